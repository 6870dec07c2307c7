"""The printable report: the page's own figures, complete, and text that stays text."""

from __future__ import annotations

import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

from markdown import Markdown

from calculators import catalogue
from calculators.plan import Plan
from calculators.view import report
from calculators.view.elements import text_of, to_html
from calculators.view.results import figure_words

ROOT = Path(__file__).resolve().parents[1]
HOSTILE = "<img src=x onerror=a()>"


def plan(**answers):  # type: ignore[no-untyped-def]
    return Plan(answers).evaluate(catalogue.ON_REQUEST)


def test_every_figure_working_caution_and_source_stands_in_it() -> None:
    evaluated = plan(homes="900")
    text = text_of(report.report(evaluated))
    for key, result in evaluated.results.items():
        assert result.sentence in text
        for name, output in result.calculator.results.items():
            if output.kind in ("number", "count", "text"):
                assert figure_words(output, getattr(result.outputs, name), "metric") in text, (key, name)
        for step in result.steps:
            assert step.label in text and step.figures in text
        for caution in result.cautions:
            assert caution.text in text
        for standing in result.standings.values():
            assert standing.answer.label in text
    assert "Homes served: 900" in text and "Not measured yet" in text and "licensed" in text


class Tags(HTMLParser):
    def __init__(self, text: str) -> None:
        super().__init__()
        self.seen: list[tuple[str, dict[str, str | None]]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))


def test_what_a_reader_typed_stays_text() -> None:
    evaluated = plan(own_materials=[[HOSTILE, "20", "0.5", "90", "150", ""]], bulking_material=HOSTILE)
    assert HOSTILE in text_of(report.report(evaluated)).replace(" ", " ")
    written = to_html(report.as_file(evaluated))
    tags = Tags(written).seen
    assert not [tag for tag, _ in tags if tag in ("img", "script", "iframe")]
    assert not [name for _, attributes in tags for name in attributes if name.startswith("on")]
    shown = Markdown(extensions=["tables"]).convert(report.titled(evaluated))
    assert "<img" not in shown and "onerror" in shown


def test_a_report_without_results_still_says_why() -> None:
    evaluated = plan(homes="many")
    text = text_of(report.report(evaluated))
    assert "No answer" in text and "Homes served" in text


def test_markdown_has_every_chapter_and_even_tables() -> None:
    written = report.titled(plan())
    for calculator in catalogue.CALCULATORS:
        assert f"\n## {calculator.title}\n" in written
    for block in re.findall(r"(?:^\|.*\n)+", written, re.M):
        widths = {len(re.findall(r"(?<!\\)\|", line)) for line in block.splitlines()}
        assert len(widths) == 1, block[:200]


def test_the_command_line_writes_it(tmp_path: Path) -> None:
    file = tmp_path / "yard.json"
    file.write_text('{"yard_plan": 1, "example": "larkhollow", "answers": {"homes": 900}}')
    for name in ("out.html", "out.md"):
        done = subprocess.run([sys.executable, "-m", "calculators", "report", str(file), "--to", str(tmp_path / name)], cwd=ROOT,
                              capture_output=True, text=True, check=True)  # fmt: skip
        assert "Written" in done.stdout
    page = (tmp_path / "out.html").read_text("utf-8")
    assert page.startswith("<!doctype html>") and plan(homes=900).results["bays"].sentence in page
    assert "http" not in re.sub(r'href="https?://[^"]*"', "", page).replace("http://www.w3.org", "")
    bad = subprocess.run([sys.executable, "-m", "calculators", "report", str(file), "--to", "out.doc"], cwd=ROOT,
                         capture_output=True, text=True, check=False)  # fmt: skip
    assert bad.returncode == 2 and len(bad.stderr.splitlines()) == 1 and ".html, .md or .pdf" in bad.stderr
