"""The local server: right types, no stale file, the handbook's own page for what isn't there."""

from __future__ import annotations

import os
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from build_scripts import server


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in ("index.html", "404.html", "a.mjs", "a.js", "a.wasm", "a.json", "a.svg", "a.css"):
        (tmp_path / name).write_text(f"first {name}")
    return tmp_path


@pytest.fixture
def address(folder: Path):  # type: ignore[no-untyped-def]
    with server.in_background(folder) as started:
        yield started


def ask(address: str, headers: dict[str, str] | None = None, method: str = "GET"):  # type: ignore[no-untyped-def]
    """Status, headers and text of a reply, whatever the status."""
    request = urllib.request.Request(address, headers=headers or {}, method=method)
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    try:
        with opener.open(request, timeout=10) as reply:
            return reply.status, reply.headers, reply.read().decode()
    except urllib.error.HTTPError as reply:
        return reply.code, reply.headers, reply.read().decode()


@pytest.mark.parametrize(
    ("name", "content_type"),
    [
        ("a.mjs", "text/javascript; charset=utf-8"),
        ("a.js", "text/javascript; charset=utf-8"),
        ("a.wasm", "application/wasm"),
        ("a.json", "application/json"),
        ("a.svg", "image/svg+xml"),
        ("a.css", "text/css; charset=utf-8"),
        ("", "text/html; charset=utf-8"),
    ],
)
def test_content_types(address: str, name: str, content_type: str) -> None:
    status, headers, text = ask(f"{address}/{name}")
    assert (status, headers["Content-Type"]) == (200, content_type)
    assert text == f"first {name or 'index.html'}"


def test_an_unchanged_file_is_not_sent_again(address: str) -> None:
    _, headers, _ = ask(f"{address}/a.js")
    assert headers["Cache-Control"] == "no-cache"
    status, _, text = ask(f"{address}/a.js", {"If-None-Match": headers["ETag"]})
    assert (status, text) == (304, "")


def test_a_file_changed_within_the_second_is_sent(address: str, folder: Path) -> None:
    _, headers, _ = ask(f"{address}/a.js")
    before = (folder / "a.js").stat()
    (folder / "a.js").write_text("other a.js")
    # same size, same whole second, and the date that the browser holds
    os.utime(folder / "a.js", ns=(before.st_atime_ns, before.st_mtime_ns + 1_000))
    asked = {"If-None-Match": headers["ETag"], "If-Modified-Since": headers["Last-Modified"]}
    status, _, text = ask(f"{address}/a.js", asked)
    assert (status, text) == (200, "other a.js")


@pytest.mark.parametrize("path", ["nothing.html", "../secret", "%2e%2e/secret"])
def test_what_is_not_there(address: str, folder: Path, path: str) -> None:
    (folder.parent / "secret").write_text("outside the site")
    status, headers, text = ask(f"{address}/{path}")
    assert (status, text) == (404, "first 404.html")
    assert headers["Content-Type"] == "text/html; charset=utf-8"


def test_head_sends_no_text(address: str) -> None:
    assert ask(f"{address}/nothing", method="HEAD")[0::2] == (404, "")
    assert ask(f"{address}/a.js", method="HEAD")[0::2] == (200, "")
