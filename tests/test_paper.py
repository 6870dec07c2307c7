"""The report on paper: printed by the Chromium of this machine, read again with pypdf.

Needs a Chromium, as the browser tests do: where there is none these tests fail and say how to get one.
"""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
import unicodedata
import time
from html import unescape
from pathlib import Path

import pypdf
import pytest

from build_scripts import browser
from calculators import catalogue
from calculators.doors import paper
from calculators.drawing.compose import compose
from calculators.plan import Plan
from calculators.view import report
from calculators.view.drawings import paper_class
from calculators.view.elements import h, to_html
from calculators.view.results import figure_words

ROOT = Path(__file__).resolve().parents[1]
A4_POINTS = (595, 842)  # ISO 216: 210 mm × 297 mm, at 72 points to 25.4 mm


def words(text: str) -> str:
    """The text without its spaces: a line may end anywhere, and a font may print two letters as one sign."""
    return "".join(unicodedata.normalize("NFKC", text).split())


def command(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "calculators", *arguments], cwd=ROOT, capture_output=True, text=True, encoding="utf-8",
        env={**os.environ, **environment}, check=False,
    )  # fmt: skip


@pytest.fixture(scope="module")
def plan_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("plan") / "yard.json"
    file.write_text('{"yard_plan": 1, "example": "larkhollow", "answers": {}}')
    return file


@pytest.fixture(scope="module")
def printed(plan_file: Path) -> pypdf.PdfReader:
    """The report of Larkhollow, as the command line prints it."""
    browser.find()  # raises NoBrowser, which says how to get a Chromium
    target = plan_file.with_name("out.pdf")
    done = command("report", str(plan_file), "--to", str(target))
    assert done.returncode == 0 and done.stdout == f"Written: {target}\n", done.stderr
    return pypdf.PdfReader(target)


@pytest.fixture(scope="module")
def texts(printed: pypdf.PdfReader) -> list[str]:
    """The text of each page, read once."""
    return [page.extract_text() for page in printed.pages]


def test_every_page_is_a4_or_the_sheet_of_a_drawing_and_none_is_blank(printed: pypdf.PdfReader, texts: list[str]) -> None:
    sheets = [compose(drawing) for result in Plan({}).evaluate().results.values() for drawing in result.drawings]
    assert len(printed.pages) > 10
    others = []
    for page, text in zip(printed.pages, texts, strict=True):
        assert len(words(text)) > 50
        size = (float(page.mediabox.width), float(page.mediabox.height))
        if size != pytest.approx(A4_POINTS, abs=1):
            others.append(size)
            assert any(words(f"1:{sheet.scale} on {sheet.paper}") in words(text) for sheet in sheets)
    assert len(others) == sum(1 for sheet in sheets if paper_class(sheet) != "sheet-A4")


def test_answers_and_key_figures_stand_on_paper(texts: list[str]) -> None:
    text = words(" ".join(texts))
    evaluated = Plan({}).evaluate()
    assert set(evaluated.results) == catalogue.AT_ONCE
    for result in evaluated.results.values():
        assert text.count(words(result.sentence)) == 2  # in the summary and in its chapter
        for name, output in result.calculator.results.items():
            if output.key_figure:
                figure = figure_words(output, getattr(result.outputs, name), "metric")
                assert words(f"{output.label} {output.help} {figure}") in text, name


def test_neither_headers_nor_addresses_are_printed(printed: pypdf.PdfReader, texts: list[str]) -> None:
    text = " ".join(texts)
    assert printed.metadata is not None and printed.metadata.title == "Plan of a composting yard: Larkhollow ward"
    assert "file://" not in text and "page.html" not in text


def test_every_chapter_is_printed_in_its_order(texts: list[str]) -> None:
    html = to_html(report.as_file(Plan({}).evaluate()))
    text = words(" ".join(texts))
    place = 0
    headings = [words(unescape(heading)) for heading in re.findall("<h[12]>(.*?)</h[12]>", html)]
    assert len(headings) > 10
    for heading in headings:
        place = text.find(heading, place) + len(heading)
        assert place >= len(heading), heading


def test_hostile_text_is_printed_as_text() -> None:
    hostile = "<script>document.title='run'</script> & 10 € für 漢字"
    page = h("html", h("head", h("meta", charset="utf-8"), h("title", "t")), h("body", h("p", hostile)))
    read = pypdf.PdfReader(io.BytesIO(paper.pdf("<!doctype html>" + to_html(page))))
    assert words("<script>document.title='run'</script> & 10 € für") in words(read.pages[0].extract_text())
    assert read.metadata is not None and read.metadata.title == "t"


# ---- where it can't be printed --------------------------------------------------------------------------------


def test_a_missing_browser_is_one_clear_line(plan_file: Path, tmp_path: Path) -> None:
    target = tmp_path / "out.pdf"
    done = command("report", str(plan_file), "--to", str(target), YARD_BROWSER=str(tmp_path / "none"))
    assert done.returncode == 2 and not target.exists() and done.stdout == ""
    [line] = done.stderr.splitlines()
    assert "YARD_BROWSER" in line and str(tmp_path / "none") in line and "Print the .html from a browser instead" in line


def test_no_browser_at_all_is_told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("YARD_BROWSER", raising=False)
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(paper.NoChromium, match="No Chromium or Chrome is installed"):
        paper.pdf("<p>x")
    with pytest.raises(browser.NoBrowser, match="apt-get install chromium"):
        browser.find()


def stand_in(folder: Path, code: str) -> str:
    """A program that is found in Chromium's place."""
    program = folder / "program"
    program.write_text(f"#!{sys.executable}\n{code}\n")
    program.chmod(0o755)
    return str(program)


def test_a_browser_that_fails_is_told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    for code, status in (("raise SystemExit(3)", "status 3"), ("", "status 0")):
        monkeypatch.setenv("YARD_BROWSER", stand_in(tmp_path, code))
        with pytest.raises(paper.CannotPrint, match=f"{status} and printed nothing. Print the .html"):
            paper.pdf("<p>x")


def test_a_program_of_another_kind_is_told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    program = stand_in(tmp_path, "")
    Path(program).write_bytes(b"\x7fneither a script nor a program")
    monkeypatch.setenv("YARD_BROWSER", program)
    with pytest.raises(paper.CannotPrint, match="can't be started"):
        paper.pdf("<p>x")


def test_a_browser_that_hangs_is_stopped(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("YARD_BROWSER", stand_in(tmp_path, "import time\ntime.sleep(60)"))
    monkeypatch.setattr(paper, "PRINTING_SECONDS", 0.5)
    begun = time.monotonic()
    with pytest.raises(paper.CannotPrint, match="not done after 0.5 seconds"):
        paper.pdf("<p>x")
    assert time.monotonic() - begun < 20


def test_nothing_is_left_behind(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(paper.tempfile, "tempdir", str(tmp_path))
    assert paper.pdf("<!doctype html><title>t</title><p>x").startswith(b"%PDF-")
    assert list(tmp_path.iterdir()) == []


def test_the_browser_tests_use_the_same_browser_and_flags() -> None:
    assert browser.find() == paper.find()
    options = browser.launch_options()
    assert options["executable_path"] == paper.find() and options["args"] == [*paper.QUIET_FLAGS]
    assert set(options["args"]) <= set(browser.flags()) == set(paper.flags())
