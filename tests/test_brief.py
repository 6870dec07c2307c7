"""The first look of the start page, the brief's figures, and the tables made for paper."""

from __future__ import annotations

import json

import pytest

from calculators import catalogue, start
from calculators.doors import browser, markdown_extension
from calculators.plan import Plan
from calculators.topics import quality
from calculators.units import UNITS, without_unit_suffix
from calculators.view import brief, page, reference_tables
from calculators.view import start as start_view
from calculators.view.elements import Element, to_html
from calculators.view.elements import text_of as shown_text


def text_of(node: Element) -> str:
    """The text with plain spaces."""
    return " ".join(shown_text(node).replace("\u202f", " ").replace("\u00a0", " ").split())


def _first(homes: str) -> list[Element]:
    return start_view.short_result(start.first_plan({**start_view.FIRST_ASKED, "homes": homes}))


def test_the_first_look_says_bays_land_and_crew() -> None:
    outputs = {key: result.outputs for key, result in start.first_plan({**start_view.FIRST_ASKED, "homes": "420"}).evaluate().results.items()}
    said = text_of(_first("420")[0])
    assert f"{outputs['bays'].bays_total} bays" in said and f"crew of {outputs['crew'].crew_count} workers" in said
    short, long = sorted((outputs["shed"].drawn_length_m, outputs["shed"].drawn_width_m))
    assert f"{short:.0f} m by {long:.0f} m" in said
    assert "Urgent cautions" in text_of(_first("420")[1])


def test_the_first_look_says_what_stops_it() -> None:
    (only,) = _first("0")
    assert "nothing to mix" in text_of(only)


def test_the_page_gets_the_short_answer_only_where_it_asks() -> None:
    asked = {"base": "plan/", "start": {"homes": "420"}}
    short, long = (json.loads(browser.reply(json.dumps({**asked, "short": each}))) for each in (True, False))
    assert short["plan"]["answers"]["homes"] == "420" == long["plan"]["answers"]["homes"]
    assert len(json.dumps(short["result"])) != len(json.dumps(long["result"]))
    assert "on a plot of" in json.dumps(short["result"]) and "on a plot of" not in json.dumps(long["result"])
    assert json.loads(browser.reply(json.dumps({"start": {"homes": "many"}, "short": True})))["wrong"] == ["homes"]


@pytest.mark.parametrize("plan", [Plan({}), Plan({"homes": "2400"}, name="Hill yard"), Plan({}, "pennywhistle"), Plan({}, None)])
def test_the_brief_shows_this_plans_figures(plan: Plan) -> None:
    evaluated = plan.evaluate()
    made = brief.brief(evaluated)
    text = text_of(made)
    assert evaluated.plan.title in text
    for key, _, name in (address.partition(".") for group in brief.FIGURES.values() for address in group):
        assert name in catalogue.BY_KEY[key].results
        if key in evaluated.results:
            assert catalogue.BY_KEY[key].results[name].label in text
    if "bays" in evaluated.results:
        assert f"{evaluated.results['bays'].outputs.bays_total} bays" in text
    assert all(caution.title in text for caution in evaluated.cautions if caution.urgent)
    assert "%page:" not in to_html(page.with_pages(made, page.pages("../plan/")))


def test_the_brief_stands_where_calculators_have_no_result() -> None:
    evaluated = Plan({"kitchen_kg_per_person": "0", "market_kg_by_weekday": [0] * 7, "garden_kg_by_month": [0] * 12}).evaluate()
    assert evaluated.stopped
    assert "in figures" in text_of(brief.brief(evaluated))
    assert brief.siting(evaluated) is not None


def test_metals_are_those_of_the_reference_data() -> None:
    table = reference_tables.metal_limits()
    rows = {text_of(row.children[0]): [text_of(cell) for cell in row.children[1:9]] for row in table.children[0].children[2].children}
    assert rows["Germany, 20 t"] == ["–", "1.5", "100", "100", "150", "1", "50", "400"]
    for grade in quality.GRADES.values():
        limited = any(row["parameter"] in reference_tables.METALS for row in quality.limits_of(grade["key"]))
        assert any(title.startswith(grade["short"]) for title in rows) == limited
    with pytest.raises(ValueError, match="can't say below"):
        reference_tables._metal_cell({"sense": "below", "unit": "mg_kg"})


def test_every_unit_and_every_ending_is_listed() -> None:
    units, endings = text_of(reference_tables.units_table()), text_of(reference_tables.symbols())
    assert all((unit.symbol or unit.key) in units for unit in UNITS.values() if unit.quantity not in ("number", "pieces"))
    for _, answer in catalogue.every_answer():
        ending = answer.name[len(without_unit_suffix(answer.name, answer.unit)) :] if answer.unit in UNITS else ""
        assert ending in endings


def test_a_table_of_the_text_can_be_reached_by_keyboard() -> None:
    from markdown import Markdown

    made = Markdown(extensions=["tables", markdown_extension.makeExtension()]).convert("| A | `b` |\n| --- | --- |\n| 1 | %%= bays.bays_total %% |")
    assert '<div aria-label="Table: A, b" class="table-scroll" role="group" tabindex="0"><table>' in made and "bays</span>" in made
