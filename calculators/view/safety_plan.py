"""The safety plan of a yard on one page: its dangers with its own figures, rules, protection, numbers to fill in, signatures.

A view of results that are there already. What no calculator gives is a line to fill in by hand. Where a calculator gave no
result, its danger stays on the page without a figure.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from calculators.plan import Evaluated, Result
from calculators.reference import rows_of
from calculators.units import show
from calculators.view.elements import Element, h
from calculators.view.forms import STATUS_WORDS

CALLS = ("Fire service", "Ambulance", "Police", "Nearest hospital", "Electrician", "Person in charge", "Council or labour office")
PLACES = ("Meeting point", "First-aid box", "First-aider of the shift", "Extinguisher, water", "Isolator of the machines")
SIGNATURES = 10
"""Lines for workers; a longer crew signs on a second sheet."""


def _outputs(evaluated: Evaluated, key: str) -> Any:
    result = evaluated.step(key)
    return result.outputs if isinstance(result, Result) else None


def _inputs(evaluated: Evaluated, key: str) -> Any:
    result = evaluated.step(key)
    return result.inputs if isinstance(result, Result) else None


def _figures(evaluated: Evaluated) -> dict[str, str]:
    """What this yard's figures say of each danger, by the key of its row; a danger without figures is left out."""
    system = evaluated.plan.shown

    def say(value: float, unit: str, digits: int = 3) -> str:
        return show(value, unit, system, digits)

    def lifting() -> str:
        outputs, inputs = _outputs(evaluated, "safety"), _inputs(evaluated, "safety")
        return (f"A full tub weighs {say(inputs.filled_tub_kg, 'kg', 2)}; one worker may lift {say(outputs.recommended_weight_kg, 'kg', 2)} "
                f"this way, {say(outputs.recommended_fill_l, 'l', 2)} in it. Mark that line.")  # fmt: skip

    def heat() -> str:
        outputs = _outputs(evaluated, "heat_stress")
        return (f"At WBGT {say(outputs.wbgt_c, '°C')}: {_minutes(outputs.work_minutes)} of hard work in an hour, "
                f"{_minutes(outputs.work_minutes_new)} for new workers. Water: {say(outputs.drinking_water_l, 'l', 2)} a shift.")  # fmt: skip

    def noise() -> str:
        outputs, inputs = _outputs(evaluated, "hazards"), _inputs(evaluated, "hazards")
        return (f"Shredder {say(inputs.shredder_hours_per_day, 'h/d', 2)} at {say(inputs.shredder_noise_db, 'dB')}; without muffs at most "
                f"{say(outputs.shredder_allowed_h, 'h', 2)} a day.")  # fmt: skip

    def dust() -> str:
        return f"{say(_outputs(evaluated, 'bays').turned_m3_per_day, 'm3/d', 2)} turned; people live or work {say(_inputs(evaluated, 'hazards').nearest_people_m, 'm')} away."

    def fire() -> str:
        inputs, heat = _inputs(evaluated, "hazards"), _outputs(evaluated, "heat")
        expected = f"; expected up to {say(heat.highest_c, '°C', 2)}" if heat is not None else ""
        return (f"Heaps {say(inputs.heap_height_m, 'm')}, leaf store {say(inputs.leaf_store_height_m, 'm')} high, read every "
                f"{say(inputs.days_between_readings, 'd')}{expected}.")  # fmt: skip

    def sharps() -> str:
        outputs = _outputs(evaluated, "arrivals")
        return f"{say(outputs.wet_kg_per_day + outputs.rejects_kg_per_day, 'kg/d', 2)} sorted by hand."

    def traffic() -> str:
        return f"{say(_outputs(evaluated, 'arrivals').received_kg_per_day, 'kg/d', 2)} come in, about {say(_outputs(evaluated, 'arrivals').received_m3_per_day, 'm3/d', 2)}."

    def walls() -> str:
        inputs = _inputs(evaluated, "bays")
        return f"{_outputs(evaluated, 'bays').bays_total} bays, walls {say(inputs.low_wall_m, 'm')} with {say(inputs.mesh_m, 'm')} of mesh."

    asked: dict[str, Callable[[], str]] = {
        "lifting": lifting, "heat": heat, "noise": noise, "dust": dust, "fire": fire, "traffic": traffic, "sharps": sharps, "walls": walls,
    }  # fmt: skip
    found = {}
    for key, words in asked.items():
        try:
            found[key] = words()
        except AttributeError:  # a calculator that it needs gave no result
            continue
    return found


def _minutes(minutes: float) -> str:
    return "none" if minutes <= 0 else f"{int(minutes + 1e-6)} minutes"


def _blank(words: str) -> Element:
    return h("p", h("span", words), " ", h("span", class_="sheet-blank"), class_="plan-blank")


def _missing(evaluated: Evaluated) -> list[str]:
    """What is not said to be there; everything, where the calculator that asks gave no result."""
    outputs = _outputs(evaluated, "hazards")
    if outputs is None:
        return [row["what"] for row in rows_of("safety", "in_place")]
    return [str(row[1]) for row in outputs.in_place if row[2] != "yes"]


def _signatures(evaluated: Evaluated) -> Element:
    outputs = _outputs(evaluated, "crew")
    count = outputs.crew_count if outputs is not None else SIGNATURES
    lines = min(max(count, 2), SIGNATURES)
    more = f" {count} are on the roster: the others sign on a second sheet." if count > SIGNATURES else ""
    return h(
        "section",
        h("p", h("strong", "I have read this, had it explained, and have the equipment."), more, class_="part-title"),
        h("div", [h("p", h("span", class_="sheet-blank"), class_="plan-blank") for _ in range(lines)], class_="plan-columns"),
        h("div", [_blank(words) for words in ("Written by, date", "Checked by, date", "To be looked at again on")], class_="plan-columns"),
    )


def safety_plan(evaluated: Evaluated) -> Element:
    """The plan on one page of A4."""
    figures = _figures(evaluated)
    head = h("tr", [h("th", words, scope="col") for words in ("Danger", "In this yard", "Rule", "Wear")])
    rows = [
        h("tr", h("th", row["danger"], scope="row"), h("td", figures.get(row["key"], "–"), class_="words"), h("td", row["rule"], class_="words"),
          h("td", row["wear"] or "–", class_="words"))
        for row in rows_of("safety", "plan_rows")
    ]  # fmt: skip
    missing = _missing(evaluated)
    return h(
        "article",
        h("p", h("strong", f"Safety plan: {evaluated.plan.title}"), class_="plan-title"),
        h("p", "The law of this place and what its officers say come before anything here. A planning aid of the yard itself; no one has certified it.",
          class_="hint"),
        h("div", h("table", h("caption", "Dangers and rules"), h("thead", head), h("tbody", rows)), class_="table-frame", tabindex="0", role="region",
          aria_label="Dangers and rules"),
        h("section", h("p", h("strong", "Not said to be in place: do not begin without it"), class_="part-title"),
          h("ul", [h("li", f"☐ {words}") for words in missing], class_="plan-ticks")) if missing else
        h("p", "All that must be in place is said to be there. Look again before work begins.", class_="part-title"),
        h("section", h("p", h("strong", "Call"), class_="part-title"), h("div", [_blank(words) for words in CALLS], class_="plan-columns"),
          h("p", h("strong", "Where"), class_="part-title"), h("div", [_blank(words) for words in PLACES], class_="plan-columns")),
        h("section", h("p", h("strong", "First aid, then a doctor"), class_="part-title"),
          h("ul", [h("li", row["words"]) for row in rows_of("safety", "first_aid")])),
        _signatures(evaluated),
        class_="safety-plan",
    )  # fmt: skip


def how_known() -> Element:
    """How each rule of the plan is known, for under the page."""
    listed = [h("li", f"{row['danger']}: {STATUS_WORDS[row['status']]}.") for row in rows_of("safety", "plan_rows")]
    return h("details", h("summary", "How each rule is known"), h("ul", listed), class_="fold")
