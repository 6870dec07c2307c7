"""The one-page safety plan: every danger with this yard's figures, blanks for what only people know, and nothing invented."""

from __future__ import annotations

import pytest

from calculators.plan import EXAMPLES, Plan
from calculators.reference import rows_of
from calculators.topics import hazards
from calculators.view import page, safety_plan
from calculators.view.elements import Element, text_of, to_html

ROWS = rows_of("safety", "plan_rows")


def made(plan: Plan) -> Element:
    (found,) = page.part(plan.evaluate(), "safety-plan", {})
    assert isinstance(found, Element)
    return found


@pytest.mark.parametrize("example", [*EXAMPLES, None])
def test_every_danger_rule_blank_and_first_aid_line_stands_on_it(example: str | None) -> None:
    text = text_of(made(Plan({}, example)))
    for row in ROWS:
        assert row["danger"] in text and row["rule"] in text
    for words in (*safety_plan.CALLS, *safety_plan.PLACES, "Written by, date", "law of this place", "no one has certified it"):
        assert words in text
    assert all(row["words"] in text for row in rows_of("safety", "first_aid"))


def test_figures_are_those_of_the_calculators() -> None:
    evaluated = Plan({}).evaluate()
    figures = safety_plan._figures(evaluated)
    assert {row["key"] for row in ROWS} - set(figures) == {"pits", "electricity"}
    assert f"{evaluated.results['bays'].outputs.bays_total} bays" in figures["walls"]
    other = safety_plan._figures(Plan({"filled_tub": "31"}).evaluate())
    assert "weighs 31" in other["lifting"] and other["lifting"] != figures["lifting"]
    assert "minutes" in figures["heat"] and "none of hard work" in safety_plan._figures(Plan({"meter_wbgt": 38}).evaluate())["heat"]


def test_what_is_not_in_place_stands_with_a_box_until_it_is() -> None:
    text = text_of(made(Plan({})))
    assert text.count("☐") == len(hazards.IN_PLACE)
    whole = text_of(made(Plan({key: "yes" for key in hazards.IN_PLACE})))
    assert "☐" not in whole and "Look again before work begins" in whole


def test_a_danger_whose_calculator_gave_nothing_keeps_its_rule_without_a_figure() -> None:
    evaluated = Plan({"filled_tub": "0.2", "empty_tub": "5"}).evaluate()
    assert "safety" in evaluated.stopped and "lifting" not in safety_plan._figures(evaluated)
    stopped = Plan({"homes": "none at all", **{key: "yes" for key in hazards.IN_PLACE}})
    text = text_of(made(stopped))
    assert "hazards" in stopped.evaluate().stopped and all(row["rule"] in text for row in ROWS)
    assert text.count("☐") == len(hazards.IN_PLACE)  # what is not known to be there is not there


def test_as_many_lines_as_people_up_to_a_page() -> None:
    def lines(plan: Plan) -> int:
        return to_html(safety_plan._signatures(plan.evaluate())).count('class="plan-blank"') - 3

    assert lines(Plan({"homes": 30}, None)) >= 2
    assert lines(Plan({"homes": 20000})) == safety_plan.SIGNATURES
    assert "second sheet" in text_of(safety_plan._signatures(Plan({"homes": 20000}).evaluate()))


def test_a_name_is_text_whatever_it_holds() -> None:
    assert "<script>" not in to_html(made(Plan({}, name="<script>x</script>")))
