"""Find the Chromium that the browser tests drive, and say how to start it.

No browser is ever downloaded by a tool of ours: it is the one named, the one installed, or the one that the
system's own package manager has.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from typing import Any

from build_scripts import environment

# Playwright brings a Node of its own, which wants a library that a bare Debian lacks (libatomic). The Node
# of the environment needs nothing, so whoever imports this module has Playwright use that.
os.environ.setdefault("PLAYWRIGHT_NODEJS_PATH", environment.node())

NAMED_BY = "YARD_BROWSER"
NAMES = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable"]

# Keep to the page under test: no graphics card, nothing fetched or looked up behind the tests' back.
QUIET_FLAGS = [
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

HOW_TO_GET_ONE = f"""\
No Chromium was found for the browser tests. Any one of these gives them one:
  Debian:   apt-get install chromium
  Fedora:   dnf install chromium
  macOS:    brew install --cask chromium
  or set {NAMED_BY} to the path of a Chromium or Chrome that is already there."""


class NoBrowser(Exception):
    """There is no Chromium to test with; the text says how to get one."""


def find(may_install: bool = False) -> str:
    """The path of a Chromium; with `may_install`, from apt if need be and if that needs no password.

    Raises NoBrowser.
    """
    named = os.environ.get(NAMED_BY)
    if named:
        path = shutil.which(named)
        if path is None:
            raise NoBrowser(f"{NAMED_BY} names {named}, which is not a program that can be started.")
        return path
    path = _installed()
    if path is None and may_install:
        _install()
        path = _installed()
    if path is None:
        raise NoBrowser(HOW_TO_GET_ONE)
    return path


def flags() -> list[str]:
    """Chromium's command line for a run without a window."""
    return ["--headless", *(["--no-sandbox"] if _is_root() else []), *QUIET_FLAGS]


def launch_options() -> dict[str, Any]:
    """The same for Playwright: `playwright.chromium.launch(**launch_options())`. Raises NoBrowser."""
    return {"executable_path": find(), "headless": True, "chromium_sandbox": not _is_root(),
            "args": QUIET_FLAGS}


def _installed() -> str | None:
    return next((path for path in map(shutil.which, NAMES) if path), None)


def _install() -> None:
    if not shutil.which("apt-get"):
        return
    if _is_root():
        become_root = []
    elif shutil.which("sudo") and subprocess.run(["sudo", "-n", "true"], capture_output=True).returncode == 0:
        become_root = ["sudo", "-n"]
    else:
        return
    print("Installing Chromium with apt-get, for the browser tests ...", flush=True)
    apt = [*become_root, "env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "--quiet=2"]
    subprocess.run([*apt, "update"])
    subprocess.run([*apt, "install", "--yes", "--no-install-recommends", "chromium"],
                   stdout=subprocess.DEVNULL)


def _is_root() -> bool:
    return hasattr(os, "geteuid") and os.geteuid() == 0
