"""The handbook as one PDF: names and links within it, and a small one as printed."""

from __future__ import annotations

import io
import re
from pathlib import Path

from pypdf import PdfReader

from build_scripts import pdf

SITE = Path(__file__).resolve().parents[2] / "site"
FEW = ("right-for-us.html", "plan/batch-certificate.html", "run/moisture.html")


def test_every_link_within_the_book_leads_somewhere() -> None:
    listed = pdf.pages_of()
    made = pdf.chapters(SITE, listed)
    names = [page.key for page in listed] + [name for text in made.values() for name in re.findall(r'\sid="([^"]+)"', text)]
    assert len(names) == len(set(names))
    links = [link for text in made.values() for link in re.findall(r'\shref="([^"]*)"', text)]
    inner = [link[1:] for link in links if link.startswith("#")]
    assert len(inner) > 500
    assert not set(inner) - set(names)
    assert all(link.startswith(("#", "http", "mailto:")) for link in links)


def test_a_page_that_is_not_in_the_book_is_no_link_there() -> None:
    one, other = pdf.Page("", "One", "plan/one.html"), pdf.Page("Plan", "Other", "other.html")
    text = '<a href="../other.html#here">a</a> <a href="gone.html">b</a> <a href="#x">c</a> <h1 id="x">d</h1> <a href="../other.html#a=1">e</a>'
    made = pdf.in_book(one, text, {page.file: page for page in (one, other)})
    assert made == (
        '<a href="#at-other--here">a</a> <a>b</a> <a href="#at-plan-one--x">c</a> <h2 id="at-plan-one--x">d</h2> '
        '<a href="#at-other">e</a>'
    )  # fmt: skip


def test_a_few_pages_as_printed(browser) -> None:
    listed = [page for page in pdf.pages_of() if page.file in FEW]
    assert len(listed) == len(FEW)
    made = pdf.make(browser, SITE, pdf.words_of(), listed)
    printed = PdfReader(io.BytesIO(made))
    assert "/CreationDate" not in (printed.metadata or {})
    starts = pdf.starts(made)
    contents = printed.pages[1].extract_text()
    for page in listed:
        number = starts[page.key]
        assert re.search(rf"{re.escape(page.title)}\s*{number}\b", contents), contents
        heading = re.search(r"<h1[^>]*>(.*?)</h1>", (SITE / page.file).read_text("utf-8"))
        assert heading
        assert " ".join(heading[1].split()) in " ".join(printed.pages[number - 1].extract_text().split())

    def titles(entries) -> list[str]:  # type: ignore[no-untyped-def]
        return [title for entry in entries for title in (titles(entry) if isinstance(entry, list) else [entry.title])]

    marks = titles(printed.outline)
    assert "Run the yard" in marks
    assert any(mark.startswith("Is a yard right") for mark in marks)
    known = {name.lstrip("/") for name in printed.named_destinations}
    led = [str(link["/Dest"]).lstrip("/") for page in printed.pages for link in map(lambda each: each.get_object(), page.get("/Annots", []))
           if "/Dest" in link]  # fmt: skip
    assert led
    assert not set(led) - known
