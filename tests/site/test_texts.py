"""The texts of the handbook: sources cited both ways, every page in the menu, ways that are short, links that open."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

from build_scripts import reading
from calculators import reference
from calculators.doors.browser import open_link
from calculators.workshop import open_workshop

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"
SITE = ROOT / "site"
WHERE_SOURCES_ARE_CITED = ("docs", "calculators", "tests/published", "build_scripts")


class Links(HTMLParser):
    """The links of a page: those of its menu, and those of its text."""

    def __init__(self, path: Path) -> None:
        super().__init__()
        self.menu: set[str] = set()
        self.text: set[str] = set()
        self._in_text = 0
        self._folder = path.parent
        self.feed(path.read_text("utf-8"))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        attributes = {name: value or "" for name, value in attrs}
        self._in_text += tag == "article"
        parts = urlsplit(attributes.get("href", ""))
        if tag != "a" or parts.scheme or parts.netloc or not parts.path:
            return
        place = (self._folder / unquote(parts.path)).resolve()
        if place.suffix == ".html":
            (self.text if self._in_text else self.menu).add(place.relative_to(SITE).as_posix())

    def handle_endtag(self, tag: str) -> None:
        self._in_text -= tag == "article"


def test_every_source_is_cited_and_every_cited_source_exists() -> None:
    texts = [
        path.read_text("utf-8")
        for folder in WHERE_SOURCES_ARE_CITED
        for path in (ROOT / folder).rglob("*")
        if path.suffix in (".md", ".json", ".py") and path.name not in ("sources.json", "evidence.md")
    ]
    words = {word for text in texts for word in re.findall(r"[a-z0-9_]+", text)}
    known = set(reference.sources())
    # in a page 'source-KEY' gives two words, in a table and in Python the key stands alone
    assert known - words == set(), "in sources.json, and cited nowhere"
    cited = {key for text in texts for key in re.findall(r"#source-([a-z0-9_]+)", text)}
    assert len(cited) > 20 and cited <= known, cited - known


def test_every_page_is_in_the_menu() -> None:
    pages = {path.relative_to(SITE).as_posix() for path in SITE.rglob("*.html")} - {"404.html"}
    for name in ("index.html", "plan/mix.html", "officials/brief.html"):
        assert pages - Links(SITE / name).menu <= {name}, name


def test_three_clicks_lead_to_the_brief_a_sheet_and_a_first_count() -> None:
    """By links of the texts alone; the menu is quicker."""
    reached = {"index.html": 0}
    for step in (1, 2, 3):
        for page in [name for name, clicks in reached.items() if clicks == step - 1]:
            for target in Links(SITE / page).text:
                reached.setdefault(target, step)
    assert "data-start=\"short\"" in (SITE / "index.html").read_text("utf-8")
    assert {name: reached.get(name) for name in ("officials/brief.html", "workshop/make.html", "workshop/slides.html", "right-for-us.html")} == {
        "officials/brief.html": 1, "workshop/make.html": 1, "workshop/slides.html": 1, "right-for-us.html": 1
    }
    assert all(page in reached for page in ("plan/bays.html", "plan/report.html", "plan/safety-plan.html", "reference/evidence.html"))


def test_links_given_as_examples_open() -> None:
    """Every ``page.html#names=values`` in the texts is understood by the page that it leads to."""
    found = []
    for path in DOCS.rglob("*.md"):
        for page, fragment in re.findall(r"(?:^|`)((?:plan|workshop|officials)/[a-z_-]+\.html)#([^`\n]+)", path.read_text("utf-8"), re.M):
            found.append((path.name, page, fragment))
    assert len(found) > 10
    for where, page, fragment in found:
        assert (SITE / page).exists(), f"{where}: {page}"
        if "…" in fragment:
            continue  # a link shown in part
        if page.startswith("workshop/"):
            assert not open_workshop(fragment).problems, f"{where}: {fragment}"
        else:
            evaluated = open_link(fragment).evaluate()
            assert not evaluated.problems, f"{where}: {fragment}: {evaluated.problems}"


def test_sentences_are_counted_as_a_reader_counts() -> None:
    text = "# Two words\n\nOne two three. Four five!\n\n- an item\n- [a link](b/c.md) of five words\n\n| a | table |\n| --- | --- |\n\n%% calculator mix %%\n\nIt needs %%= bays.bays_total %% now.\n"
    assert [len(reading._WORD.findall(each)) for each in reading.sentences(text)] == [2, 3, 2, 2, 5, 4]
    assert all(page.words for page in reading.pages())
