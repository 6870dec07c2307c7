"""Sheets of one page, schematic pictures, and figures of the reference tables within a page's text."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pypdf
import pytest

from calculators import reference
from calculators.doors import markdown_extension, paper
from calculators.plan import Plan
from calculators.topics.mix import small_ratio
from calculators.view import page, pictures, sheets
from calculators.view.elements import Element, h, text_of, to_html

ROOT = Path(__file__).resolve().parents[1]
A4_POINTS = (595, 842)  # ISO 216: 210 mm × 297 mm, at 72 points to 25.4 mm


def sheet(plan: Plan, name: str) -> Element:
    (found,) = page.part(plan.evaluate(), f"sheet:{name}", {})
    assert isinstance(found, Element)
    return found


def test_each_sheet_prints_on_one_page_of_a4() -> None:
    """All at once, with the handbook's own style: a long name, the other units, and a mix of many tubs make no second page."""
    long = Plan({"target_carbon_to_nitrogen": "38", "target_moisture_percent": "52"}, name="Neighbourhood yard behind the long wall by the old mill", system="feet")
    made = [(name, sheet(plan, name)) for plan in (Plan({}), long) for name in sheets.SHEETS]
    style = (ROOT / "docs/assets/handbook.css").read_text("utf-8") + ".one{break-after:page}.one:last-child{break-after:auto}"
    body = [h("div", h("div", each, class_="calculator"), class_="md-typeset one") for _, each in made]
    document = h("html", h("head", h("meta", charset="utf-8"), h("style", style)), h("body", body, data_md_color_scheme="default"))
    pages = pypdf.PdfReader(io.BytesIO(paper.pdf("<!doctype html>" + to_html(document)))).pages
    assert len(pages) == len(made) == 12
    for printed, (name, each) in zip(pages, made, strict=True):
        assert (float(printed.mediabox.width), float(printed.mediabox.height)) == pytest.approx(A4_POINTS, abs=1)
        first = text_of(each)[:8]
        assert first in " ".join(printed.extract_text().split()), name


def test_the_tub_card_draws_the_readers_own_ratio() -> None:
    for answers in ({}, {"target_carbon_to_nitrogen": "30"}, {"tub_l": "20"}):
        outputs = Plan(answers).evaluate().results["mix"].outputs
        wet, dry = small_ratio(outputs.food_tubs_per_day, outputs.bulking_tubs_per_day)
        card = sheet(Plan(answers), "tub-card")
        html = to_html(card)
        assert outputs.tub_ratio in text_of(card).lower() or outputs.tub_ratio[1:] in text_of(card)
        drawn = [svg.count('class="picture-thick"') + svg.count("picture-pale") for svg in re.findall("<svg.*?</svg>", html)]
        assert drawn == [count * 2 for count in (wet, dry)]  # a body and a rim for each tub
    assert sheets._tubs(13, True, "").tag == "p"  # too many to draw one by one


def test_sheets_carry_the_yards_name_and_figures_and_do_without_a_result() -> None:
    evaluated = Plan({}).evaluate()
    for name in sheets.SHEETS:
        assert evaluated.plan.title in text_of(sheet(Plan({}), name)), name
        assert "<script>" not in to_html(sheet(Plan({}, name="<script>x</script>"), name))
    assert f"Mix: {evaluated.results['mix'].outputs.tub_ratio}." in text_of(sheet(Plan({}), "batch-card"))
    assert "Turn every 5\u00a0days" in text_of(sheet(Plan({"turning_interval_days": "5"}), "batch-card"))
    stopped = Plan({"homes": "none at all"})
    assert {"mix", "safety"} <= set(stopped.evaluate().stopped)
    assert "does not come out" in text_of(sheet(stopped, "tub-card"))
    assert "Mix: _____" in text_of(sheet(stopped, "batch-card")) and "to the mark" in text_of(sheet(stopped, "safety-poster"))
    with pytest.raises(KeyError):
        page.part(evaluated, "sheet:nonesuch", {})


@pytest.mark.parametrize("name", pictures.PICTURES)
def test_a_picture_says_what_it_shows_and_keeps_its_words_inside(name: str) -> None:
    made = pictures.picture(name)
    svg = made.children[0]
    assert isinstance(svg, Element)
    title, about, _ = pictures.PICTURES[name]
    assert len(about) > 80 and title in text_of(svg) and about in text_of(svg)
    height = float(dict(svg.attributes)["viewBox"].split()[3])
    words = 0
    for part in svg.children:
        if isinstance(part, Element) and part.tag == "text":
            at = dict(part.attributes)
            wide = 6.3 * len(text_of(part))  # about the width of a letter of 11 pixels
            left = float(at["x"]) - {"middle": wide / 2, "end": wide}.get(at.get("text-anchor", ""), 0)
            assert left > -4 and left + wide < pictures.WIDTH + 6, text_of(part)
            assert 8 < float(at["y"]) < height, text_of(part)
            words += 1
    assert words >= 5


def test_the_timeline_stands_on_the_reference_tables() -> None:
    text = text_of(pictures.picture("timeline"))
    assert f"day {reference.figure('heaps', 'stages', 'active_stage_days').typical:.0f}" in text


def test_a_figure_of_the_reference_tables_in_a_line() -> None:
    assert markdown_extension.reference_figure("heaps", "temperature", "upper_limit_c") == f"{reference.figure('heaps', 'temperature', 'upper_limit_c').typical}"
    text = markdown_extension.Markdown(extensions=["calculators.doors.markdown_extension"]).convert(
        "From %%figure heaps temperature best_range_c range %% °C; loses %%figure heaps shrinkage volume_lost_fraction range percent %% %, "
        "height %%figure safety limits heap_height limit %% m."
    )
    best, lost = reference.figure("heaps", "temperature", "best_range_c"), reference.figure("heaps", "shrinkage", "volume_lost_fraction")
    assert f"{best.low} to {best.high}" in text and f"{lost.low * 100:.0f} to {lost.high * 100:.0f}" in text and ">1.8<" in text
    for wrong in (("nonesuch", "a", "b"), ("heaps", "nonesuch", "b"), ("heaps", "temperature", "nonesuch"), ("heaps", "temperature", "upper_limit_c", "source")):
        with pytest.raises(markdown_extension.DirectiveError):
            markdown_extension.reference_figure(*wrong)


@pytest.mark.parametrize("directive", ["sheet", "picture"])
def test_an_unknown_sheet_or_picture_stops_the_build(directive: str) -> None:
    with pytest.raises(markdown_extension.DirectiveError, match="nonesuch"):
        markdown_extension.render(directive, "nonesuch")


def test_every_figure_of_the_reference_tables_in_the_pages_is_there() -> None:
    """The build stops at an unknown one; this says so without a build."""
    found = [match for path in (ROOT / "docs").rglob("*.md") for match in re.findall(markdown_extension._REFERENCE, path.read_text("utf-8"))]
    assert len(found) > 10
    for file, table, key, what, percent in found:
        assert markdown_extension.reference_figure(file, table, key, what or "typical", bool(percent))


def test_every_picture_and_sheet_stands_on_a_page() -> None:
    text = "\n".join(path.read_text("utf-8") for path in (ROOT / "docs").rglob("*.md"))
    assert set(re.findall(r"^%% picture ([a-z-]+) %%$", text, re.MULTILINE)) == set(pictures.PICTURES)
    assert set(re.findall(r"^%% sheet ([a-z-]+) ", text, re.MULTILINE)) == set(sheets.SHEETS)
