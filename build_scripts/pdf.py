"""Make `build/composting-yard-handbook.pdf`: the whole handbook as one PDF, with bookmarks, links and page numbers.

    python3 build_scripts/pdf.py [--to FILE]

The built pages are put one behind the other in the order of the menu and printed by Chromium: once to learn on which page
each stands, and again with these numbers in the list of contents. Two runs over the same site give the same bytes, but for
another Chromium.
"""

from __future__ import annotations

import argparse
import html
import io
import posixpath
import re
import sys
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

sys.path[0] = str(Path(__file__).resolve().parent.parent)  # the checkout, not this folder

from build_scripts import environment

SITE = environment.ROOT / "site"
PDF = environment.BUILD / "composting-yard-handbook.pdf"
SCREEN_ALONE = frozenset({"plan/start.html", "plan/yards.html", "plan/report.html", "workshop/run.html", "workshop/make.html",
                          "reference/names.html"})
"""Pages that have no sense on paper: forms to be filled, yards side by side, names for links, and the report, which repeats
every calculator."""
PATIENCE_MS = 300_000

_ARTICLE = '<article class="md-content__inner md-typeset">'
_ATTRIBUTE = re.compile(r'\s(id|href|src|for|name|aria-labelledby|aria-describedby|aria-controls)="([^"]*)"')
_HEADING = re.compile(r"<(/?)h([1-5])\b")
_OUTSIDE = re.compile(r"^(https?:|mailto:|data:)")


@dataclass(frozen=True)
class Page:
    """A page of the menu: the section it stands in ('' for none), its title there, and its file under the site."""

    section: str
    title: str
    file: str

    @property
    def key(self) -> str:
        """What every name within the page begins with in the book."""
        return "at-" + re.sub(r"[^a-z0-9]+", "-", self.file.removesuffix(".html").lower())


def menu(navigation: Sequence[Any], section: str = "") -> Iterator[Page]:
    """The pages of a mkdocs menu, in order."""
    for entry in navigation:
        for title, place in entry.items():
            if isinstance(place, list):
                yield from menu(place, title)
            else:
                yield Page(section, title, place.removesuffix(".md") + ".html")


def article(text: str) -> str:
    """What stands in the article of a page that the theme made. A page may hold further articles within it.

    Raises ValueError where the theme writes pages in another way.
    """
    start = text.find(_ARTICLE)
    depth = 0
    for match in re.compile(r"<(/?)article\b").finditer(text, max(start, 0)):
        depth += -1 if match.group(1) else 1
        if start >= 0 and not depth:
            return text[start + len(_ARTICLE) : match.start()]
    raise ValueError("a page has no article: the theme writes pages in another way than this knows")


def in_book(page: Page, article: str, pages: Mapping[str, Page]) -> str:
    """A page's article as a chapter: names made its own, links to pages of the book made links within it.

    A link to a page that is not in the book loses its address; one that leads out of the handbook keeps it.
    """
    here = posixpath.dirname(page.file)

    def renamed(match: re.Match[str]) -> str:
        name, value = match.group(1), html.unescape(match.group(2))
        if name == "src":
            value = value if _OUTSIDE.match(value) else posixpath.normpath(posixpath.join(here, value))
        elif name != "href":
            value = " ".join(f"{page.key}--{word}" for word in value.split())
        elif not _OUTSIDE.match(value):
            place, _, anchor = value.partition("#")
            target = posixpath.normpath(posixpath.join(here, place.partition("?")[0])) if place else page.file
            if target not in pages:
                return ""
            # what follows # may be answers for a calculator and not a place on its page
            value = f"#{pages[target].key}" + (f"--{anchor}" if anchor and "=" not in anchor else "")
        return f' {name}="{html.escape(value)}"'

    made = re.sub(r"url\(#([^)]+)\)", rf"url(#{page.key}--\1)", _ATTRIBUTE.sub(renamed, article))
    return _HEADING.sub(lambda match: f"<{match.group(1)}h{int(match.group(2)) + 1}", made)


def chapters(site: Path, listed: Sequence[Page]) -> dict[str, str]:
    """The chapters by file. A link to a place that its page has no more leads to the page itself."""
    pages = {page.file: page for page in listed}
    made = {}
    for page in listed:
        made[page.file] = in_book(page, article((site / page.file).read_text("utf-8")), pages)
    known = {page.key for page in listed} | {name for text in made.values() for name in re.findall(r'\sid="([^"]+)"', text)}

    def sound(match: re.Match[str]) -> str:
        return match.group(0) if match.group(1) in known else f'href="#{match.group(1).partition("--")[0]}"'

    return {file: re.sub(r'href="#([^"]+)"', sound, text) for file, text in made.items()}


def contents(listed: Sequence[Page], numbers: Mapping[str, int]) -> str:
    """The list of contents, with the page on which each chapter begins where that is known."""
    lines = []
    section = ""
    for page in listed:
        if page.section != section:
            section = page.section
            lines.append(f'<p class="book-section">{html.escape(section)}</p>')
        number = numbers.get(page.key, "")
        lines.append(f'<p class="book-entry"><a href="#{page.key}">{html.escape(page.title)}</a><span class="book-dots"></span>'
                     f'<span class="book-number">{number}</span></p>')  # fmt: skip
    return "\n".join(lines)


def book(site: Path, words: Mapping[str, str], listed: Sequence[Page], numbers: Mapping[str, int]) -> str:
    """The whole book as one HTML document, to be opened from within the site's folder."""
    made = chapters(site, listed)
    index = (site / "index.html").read_text("utf-8")
    styles = re.findall(r'<link rel="stylesheet" href="([^"]+)"', index)
    language = (re.search(r'<html lang="([^"]+)"', index) or ["", "en"])[1]
    body = []
    section = ""
    for page in listed:
        if page.section != section:
            section = page.section
            body.append(f'<h1 class="book-part" id="part-{page.key}">{html.escape(section)}</h1>')
        body.append(f'<section class="chapter" id="{page.key}"><div class="md-content__inner md-typeset">{made[page.file]}</div></section>')
    links = "".join(f'<link rel="stylesheet" href="{style}">' for style in styles)
    return f"""<!doctype html>
<html lang="{language}"><head><meta charset="utf-8"><title>{html.escape(words["title"])}</title>{links}
<style>{Path(__file__).with_name("book.css").read_text("utf-8")}</style></head>
<body class="book" data-md-color-scheme="default" data-md-color-primary="custom">
<div class="md-typeset">
<h1 class="book-title" id="book-title">{html.escape(words["title"])}</h1>
<p class="book-about">{html.escape(words["about"])}</p>
<p>{html.escape(words["edition"])}</p>
<p>{html.escape(words["example"])}</p>
<p>{html.escape(words["left_out"])}</p>
<p>{html.escape(words["licence"])}</p>
<h1 class="book-contents" id="book-contents">{html.escape(words["contents"])}</h1>
<div class="book-list">{contents(listed, numbers)}</div>
</div>
{"".join(body)}
</body></html>"""


def starts(pdf: bytes) -> dict[str, int]:
    """The page, from 1, on which each named place of a PDF stands."""
    from pypdf import PdfReader

    reader = PdfReader(io.BytesIO(pdf))
    found = {name.lstrip("/"): reader.get_destination_page_number(place) for name, place in reader.named_destinations.items()}
    return {name: number + 1 for name, number in found.items() if number is not None and number >= 0}


def undated(pdf: bytes, title: str) -> bytes:
    """The same PDF without the time of its making, packed as tightly as the format allows."""
    import pikepdf

    made = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        if "/Info" in opened.trailer:
            del opened.trailer["/Info"]
        opened.docinfo["/Title"] = title
        opened.save(made, object_stream_mode=pikepdf.ObjectStreamMode.generate, recompress_flate=True, deterministic_id=True)
    return made.getvalue()


def make(driven: Any, site: Path, words: Mapping[str, str], listed: Sequence[Page]) -> bytes:
    """Print the book of those pages of a built site with a Chromium that Playwright drives."""
    numbers: dict[str, int] = {}
    pdf = b""
    with tempfile.TemporaryDirectory(dir=site) as folder:
        file = Path(folder) / "book.html"
        for _ in range(2):
            file.write_text(book(site, words, listed, numbers).replace("<head>", '<head><base href="../">', 1), "utf-8")
            tab = driven.new_page()
            tab.set_default_timeout(PATIENCE_MS)
            tab.goto(file.as_uri())
            tab.evaluate("document.querySelectorAll('details').forEach((each) => each.setAttribute('open', ''))")
            pdf = tab.pdf(prefer_css_page_size=True, print_background=True, outline=True, tagged=True)
            tab.close()
            numbers = starts(pdf)
    return undated(pdf, words["title"])


def made_now() -> bytes:
    """The whole book of `site/`. Raises NoBrowser where no Chromium is found."""
    from playwright.sync_api import sync_playwright

    from build_scripts import browser

    with sync_playwright() as playwright:
        driven = playwright.chromium.launch(**browser.launch_options())
        try:
            return make(driven, SITE, words_of(), pages_of())
        finally:
            driven.close()


def words_of() -> dict[str, str]:
    """What the book says of itself."""
    import yaml

    from calculators import __version__

    settings = yaml.safe_load((environment.ROOT / "mkdocs.yml").read_text("utf-8"))
    return {
        "title": settings["site_name"],
        "about": settings["site_description"],
        "edition": f"Version {__version__}, every page of the site in the order of its menu.",
        "example": "Figures are those of the example yard, Larkhollow, which is invented. On the site, on the command line and in the copy that "
        "opens by a double-click the same pages reckon with your own answers.",
        "left_out": "Left out here are forms, the report and the tools for workshops. Each calculator's sources stand under Sources.",
        "licence": settings["copyright"],
        "contents": "Contents",
    }


def pages_of() -> list[Page]:
    """The pages of the menu that make the book."""
    import yaml

    settings = yaml.safe_load((environment.ROOT / "mkdocs.yml").read_text("utf-8"))
    return [page for page in menu(settings["nav"]) if page.file not in SCREEN_ALONE]


def main() -> None:
    """Build the site and print it."""
    options = argparse.ArgumentParser(description="Make the whole handbook as one PDF.")
    options.add_argument("--to", type=Path, default=PDF, help=f"where to write it (default: {PDF.relative_to(environment.ROOT)})")
    chosen = options.parse_args()
    environment.run_inside(__file__)
    from build_scripts import browser, site

    site.build()
    try:
        made = made_now()
    except browser.NoBrowser as error:
        sys.exit(str(error))
    chosen.to.parent.mkdir(parents=True, exist_ok=True)
    chosen.to.write_bytes(made)
    print(f"{chosen.to}: {len(made) / 1e6:.1f} MB")


if __name__ == "__main__":
    main()
