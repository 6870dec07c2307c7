"""The built handbook as files: complete, self-contained, readable before any script runs."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest

from calculators import catalogue
from calculators.plan import Plan

ROOT = Path(__file__).resolve().parents[2]
SITE = ROOT / "site"
PAGES = sorted(path.relative_to(SITE).as_posix() for path in SITE.rglob("*.html"))
VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"}


class Read(HTMLParser):
    """Tags with attributes, identifiers, and the text of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.text = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, {name: value or "" for name, value in attrs}))

    def handle_data(self, data: str) -> None:
        self.text += data


@pytest.fixture(scope="module")
def pages() -> dict[str, Read]:
    assert PAGES, "the handbook is not built: python3 build_scripts/serve.py --build-only"
    return {name: Read((SITE / name).read_text("utf-8")) for name in PAGES}


def test_nothing_is_fetched_from_elsewhere(pages) -> None:  # type: ignore[no-untyped-def]
    for name, page in pages.items():
        for tag, attributes in page.tags:
            wants = {"script": "src", "link": "href", "img": "src", "iframe": "src", "source": "src"}.get(tag)
            target = attributes.get(wants or "", "")
            if attributes.get("rel") == "canonical":
                continue
            assert not re.match(r"^(https?:)?//", target), f"{name}: {tag} {target}"
    for sheet in SITE.rglob("*.css"):
        for url in re.findall(r"url\(([^)]+)\)", sheet.read_text("utf-8")):
            assert url.strip("'\"").startswith(("data:", "#")) or not re.match(r"^['\"]?(https?:)?//", url), f"{sheet}: {url}"


def test_links_lead_somewhere(pages) -> None:  # type: ignore[no-untyped-def]
    anchors = {name: {attributes["id"] for _, attributes in page.tags if "id" in attributes} for name, page in pages.items()}
    for name, page in pages.items():
        if name == "404.html":
            continue  # its links are from the root of a host
        for tag, attributes in page.tags:
            target = attributes.get("href" if tag in ("a", "link") else "src", "")
            parts = urlsplit(target)
            if parts.scheme or parts.netloc or not target:
                continue
            place = (SITE / name).parent / unquote(parts.path) if parts.path else SITE / name
            assert place.resolve().exists(), f"{name} links to {target}"
            found = place.resolve().relative_to(SITE).as_posix()
            if tag == "a" and parts.fragment and "=" not in parts.fragment and found in anchors:
                assert unquote(parts.fragment) in anchors[found], f"{name} links to {target}"


def test_identifiers_are_unique_and_labels_point_to_fields(pages) -> None:  # type: ignore[no-untyped-def]
    for name, page in pages.items():
        listed = [attributes["id"] for _, attributes in page.tags if attributes.get("id")]
        twice = {each for each in listed if listed.count(each) > 1}
        assert not twice, f"{name}: {sorted(twice)[:5]}"
        for tag, attributes in page.tags:
            if tag == "label" and attributes.get("for", "").startswith("a-") and "#" not in attributes["for"]:
                assert attributes["for"] in listed, f"{name}: label for {attributes['for']}"


@pytest.mark.parametrize("calculator", catalogue.CALCULATORS, ids=lambda each: each.key)
def test_a_calculators_page_is_complete_before_scripts(pages, calculator) -> None:  # type: ignore[no-untyped-def]
    page = pages[f"plan/{calculator.key}.html"]
    result = Plan({}).evaluate(catalogue.ON_REQUEST).results[calculator.key]
    assert result.sentence in page.text
    fields = {attributes.get("data-answer") for _, attributes in page.tags}
    assert set(calculator.answers) <= fields
    for caution in result.cautions:
        assert caution.title in page.text and caution.text in page.text
    for step in result.steps:
        assert step.label in page.text
    for output in calculator.results.values():
        assert output.label in page.text


def test_one_heading_and_a_language(pages) -> None:  # type: ignore[no-untyped-def]
    for name, page in pages.items():
        tags = [tag for tag, _ in page.tags]
        assert tags.count("h1") == 1, name
        assert next(attributes for tag, attributes in page.tags if tag == "html").get("lang") == "en"


def test_number_fields_are_text_with_the_right_keyboard(pages) -> None:  # type: ignore[no-untyped-def]
    for name, page in pages.items():
        for tag, attributes in page.tags:
            if tag == "input" and attributes.get("name", "") in catalogue.NAMES:
                assert attributes["type"] == "text" and "required" not in attributes and "maxlength" not in attributes
                answer = catalogue.first_asked(catalogue.NAMES[attributes["name"]])
                if answer.low is not None and answer.low < 0:
                    assert "inputmode" not in attributes, f"{name}: {attributes['name']} takes negatives"


def _luminance(colour: str) -> float:
    parts = [int(colour[index : index + 2], 16) / 255 for index in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast of two colours by WCAG 2.2's definition."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("scheme", [":root", '[data-md-color-scheme="slate"]'])
def test_colours_have_contrast(scheme: str) -> None:
    """4.5:1 for text, 3:1 for the shades of charts, against both papers (WCAG 2.2, 1.4.3 and 1.4.11)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    sheet = (ROOT / "docs/assets/handbook.css").read_text("utf-8")
    block = sheet.split(scheme + " {", 1)[1].split("}", 1)[0]
    colours = dict(re.findall(r"--([a-z0-9-]+): (#[0-9a-f]{6});", block))
    for paper in ("paper", "paper-deep"):
        for text in ("ink", "ink-soft", "leaf", "clay"):
            assert contrast(colours[text], colours[paper]) >= 4.5, (text, paper)
    assert contrast(colours["clay"], colours["clay-paper"]) >= 4.5
    assert contrast(colours["ink"], colours["clay-paper"]) >= 4.5
    for shade in range(5):
        assert contrast(colours[f"shade-{shade}"], colours["paper"]) >= 3, shade
    assert contrast(colours["rule-strong"], colours["paper"]) >= 3


def test_examples_name_no_one_else() -> None:
    """The example plans are the two invented ones, and say that they are invented."""
    files = sorted(path.stem for path in (ROOT / "calculators" / "examples").glob("*.json"))
    assert files == ["larkhollow", "pennywhistle"]
    for file in (ROOT / "calculators" / "examples").glob("*.json"):
        assert "invented" in file.read_text("utf-8")


def test_the_page_script_computes_nothing() -> None:
    """JavaScript carries values: no arithmetic on answers, no markup from text, no address outside the site."""
    for script in ("page.js", "worker.js", "workshop.js", "drawing.js"):
        text = (ROOT / "docs/assets" / script).read_text("utf-8")
        assert "innerHTML" not in text and "eval(" not in text and "document.write" not in text
        if script != "drawing.js":  # which reads what part of a sheet is seen
            assert "parseFloat" not in text and "Number(" not in text
        assert not re.search(r"https?://(?!www\.w3\.org/2000/svg)", text)
