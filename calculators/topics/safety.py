"""Work safety: is a filled tub too heavy to lift as it is lifted here, and what to change first.

First cut: the manual-lifting check by the revised NIOSH lifting equation at both ends of the lift, with two other
published filters beside it. The cautions of the whole yard stand on the same page.
"""

from __future__ import annotations

from dataclasses import dataclass

from calculators import lifting
from calculators.declare import (
    Calculator, Chart, Column, Line, Mark, RaisedCaution, Say, choice, number, output, output_table, output_text, own_choice,
)  # fmt: skip
from calculators.reference import rows_of, source
from calculators.working import Working, least

COUPLINGS = {
    "good": "good: handles that fit the hand",
    "fair": "fair: a rim or poor handles",
    "poor": "poor: bulky, sagging, no handles",
}
NAMES = ("hand distance", "hand height", "travel up or down", "twist", "how often and how long", "grip")
ADVICE = (
    "bring the tub closer: put it on a stand with room for the feet",
    "start and end between knee and chest: set tubs on a bench or pallet",
    "shorten the way up or down: raise the start or lower the end",
    "turn with the feet, not the back: place start and end in one line",
    "lift less often or share: more workers, smaller heaps of tubs, pauses",
    "use tubs with good handles",
)


@dataclass(frozen=True)
class Inputs:
    """The load and the way it is lifted."""

    filled_tub_kg: float = number(
        "A filled tub", "kg", 18.0, low=0.1, high=800, usual=(5, 30), follows="mix", group="The load",
        help="The heaviest, tub included.",
    )  # fmt: skip
    lifts_per_minute: float = number(
        "Lifts a minute, each worker", "lifts/min", 1.0, low=0, high=1e7, follows="crew", group="The load",
        help="While lifting goes on.",
    )  # fmt: skip
    lifting_hours_per_day: float = number(
        "Lifting goes on for", "h/d", 2.0, low=0, high=24, follows="crew", group="The load", help="In a working day."
    )
    heap_height_m: float = number(
        "Height of a heap", "m", 0.9, low=0.3, high=1.8, follows="bays", group="The load",
        help="Tubs are tipped at least this high towards the end of building.",
    )  # fmt: skip
    hand_distance_cm: float = number(
        "Hands in front of the ankles", "cm", 40.0, low=10, high=100, usual=(25, 63), group="The way of lifting",
        help="From the middle between the ankles to the hands.", source=own_choice("a tub held before the body"),
        measure="measure it on a worker holding a tub",
    )  # fmt: skip
    start_height_cm: float = number(
        "Hands at the start of the lift", "cm", 30.0, low=0, high=200, usual=(0, 175), group="The way of lifting",
        help="Above the floor.", source=own_choice("a tub standing on the floor, held by its rim"),
    )  # fmt: skip
    tip_above_heap_cm: float = number(
        "Hands above the heap when tipping", "cm", 10.0, low=0, high=100, group="The way of lifting",
        help="Added to the height of the heap.", source=own_choice("a hand's breadth"),
    )  # fmt: skip
    twist_degrees: float = number(
        "Twist of the body", "1", 30.0, low=0, high=180, usual=(0, 135), group="The way of lifting",
        help="Degrees between where the tub is and where the feet point.", source=own_choice("a third of a right angle"),
    )  # fmt: skip
    coupling: str = choice(
        "Grip", COUPLINGS, "fair", group="The way of lifting", help="How the hands hold the tub.",
        source=own_choice("most tubs have a rim"),
    )  # fmt: skip


@dataclass(frozen=True)
class Outputs:
    """What may be lifted, how the load compares, and what to change."""

    lifting_index: float | None = output(
        "Lifting index", "1", key_figure=True,
        help="Load over recommended limit; 1 or less is wanted. None where a multiplier is 0: the lift must not be done.",
    )  # fmt: skip
    recommended_weight_kg: float = output("Recommended weight limit here", "kg", key_figure=True)
    lifting_class: str = output_text("Reading", key_figure=True)
    change_first: str = output_text("Change first")
    start_limit_kg: float = output("Limit at the start of the lift", "kg")
    end_limit_kg: float = output("Limit at the end of the lift", "kg")
    end_height_cm: float = output("Hands at the end of the lift", "cm")
    multipliers: tuple[tuple[object, ...], ...] = output_table(
        "Multipliers of the lifting equation",
        (Column("what", "What"), Column("start", "At the start", "1"), Column("end", "At the end", "1")),
    )  # fmt: skip
    other_filters: tuple[tuple[object, ...], ...] = output_table(
        "Other published limits on a load",
        (Column("rule", "Rule"), Column("who", "For"), Column("kg", "Limit", "kg"), Column("met", "This tub"),
         Column("status", "How known")),
    )  # fmt: skip


def _all(inputs: Inputs, height_cm: float, travel_cm: float) -> list[float]:
    return lifting.multipliers(inputs.hand_distance_cm, height_cm, travel_cm, inputs.twist_degrees, inputs.lifts_per_minute,
                               inputs.lifting_hours_per_day, inputs.coupling)  # fmt: skip


def solve(inputs: Inputs, working: Working) -> Outputs:
    """The equation at both ends; the lower limit counts."""
    end_cm = inputs.heap_height_m * 100 + inputs.tip_above_heap_cm
    travel = abs(end_cm - inputs.start_height_cm)
    start = _all(inputs, inputs.start_height_cm, travel)
    end = _all(inputs, end_cm, travel)
    manual = source("niosh_94_110")
    start_limit = working.step("Limit at the start", "kg", lifting.product_of_multipliers, source=manual,
                               load_constant=lifting.LOAD_CONSTANT_KG, multipliers=start,
                               names={"multipliers": list(NAMES)})  # fmt: skip
    end_limit = working.step("Limit at the end", "kg", lifting.product_of_multipliers, source=manual,
                             load_constant=lifting.LOAD_CONSTANT_KG, multipliers=end,
                             names={"multipliers": list(NAMES)})  # fmt: skip
    limit = working.step("Recommended weight limit", "kg", lambda at_start, at_end: least(at_start, at_end),
                         at_start=start_limit, at_end=end_limit)  # fmt: skip
    index: float | None = None
    if limit > 0:
        index = working.step("Lifting index", "1", lifting.lifting_index, load=inputs.filled_tub_kg, limit=limit)
    else:
        working.note("Lifting index", "none: a multiplier is 0, so the lift must not be done this way")
    worse = start if start_limit <= end_limit else end
    weakest = min(range(6), key=lambda each: worse[each])
    band = band_of(index) if index is not None else band_of(float("inf"))
    return Outputs(
        lifting_index=index,
        recommended_weight_kg=limit,
        lifting_class=f"{band['label']}: {band['meaning']}",
        change_first=ADVICE[weakest] if index is None or index > 1 else "nothing needs changing for this load",
        start_limit_kg=start_limit,
        end_limit_kg=end_limit,
        end_height_cm=end_cm,
        multipliers=tuple((name, a, b) for name, a, b in zip(NAMES, start, end, strict=True)),
        other_filters=_filters(inputs),
    )


def band_of(index: float) -> dict[str, str]:
    """The reading of a lifting index: within the limit, raised, or high."""
    for row in rows_of("lifting", "lifting_index_bands"):
        above = index > row["low"] or (row["low_inclusive"] and index == row["low"])
        below = row["high"] is None or index < row["high"] or (row["high_inclusive"] and index == row["high"])
        if above and below:
            return row
    raise ValueError(f"{index} is not a lifting index")


def _filters(inputs: Inputs) -> tuple[tuple[object, ...], ...]:
    rows: list[tuple[object, ...]] = []
    for row in rows_of("lifting", "iso_reference_mass"):
        who = row["key"].replace("_", " ")
        rows.append(("ISO 11228-1 reference mass", who, float(row["mass_kg"]), _met(inputs, row["mass_kg"]), row["status"]))
    close = inputs.hand_distance_cm <= lifting.LIMITS["horizontal_low_cm"]
    reach = "close" if close else "arms extended"
    for row in rows_of("lifting", "hse_filter"):
        if row["reach"] == reach and row["height"] == "below mid lower leg":
            for who in ("men", "women"):
                kg = row[f"{who}_kg"]
                rows.append((f"HSE filter, lifted from {row['height']}, {reach}", who, float(kg), _met(inputs, kg), row["status"]))
    return tuple(rows)


def _met(inputs: Inputs, limit: float) -> str:
    return "within" if inputs.filled_tub_kg <= limit else "above"


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    tub = say(inputs.filled_tub_kg, "kg")
    if outputs.lifting_index is None:
        return f"A tub of {tub} must not be lifted this way: {outputs.change_first}."
    limit = say(outputs.recommended_weight_kg, "kg")
    index = say(outputs.lifting_index, "1", 2)
    if outputs.lifting_index <= 1:
        return f"A tub of {tub} is within the recommended {limit} for this lift (index {index})."
    return f"A tub of {tub} is {index} times the recommended {limit} for this lift: {outputs.change_first}."


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about this result."""
    found = []
    if outputs.lifting_index is not None and outputs.lifting_index > 1:
        found.append(f"Filling tubs so that they weigh at most {say(outputs.recommended_weight_kg, 'kg')} brings the index to 1. "
                     "Two people share a load only if both have a good grip and lift together.")  # fmt: skip
    if inputs.lifts_per_minute > lifting.LIMITS["frequency_high_per_minute"]:
        found.append("More than 15 lifts a minute lie beyond the published range of the equation.")
    if inputs.lifting_hours_per_day > 8:
        found.append("More than 8 hours of lifting lie beyond the published range of the equation.")
    found.append("Between two rows of the frequency table the faster, stricter one is taken. The equation is for two-handed "
                 "lifts by healthy adults on good footing; barrows, slopes and wet floors are not in it.")  # fmt: skip
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """The danger of lifting."""
    said = f"The tub weighs {say(inputs.filled_tub_kg, 'kg')}; the limit for this lift is {say(outputs.recommended_weight_kg, 'kg')}."
    return [
        RaisedCaution("lift_heavy_tub", said, urgent=outputs.lifting_index is None or outputs.lifting_index > 1),
        RaisedCaution("repeated_work", f"{say(inputs.lifts_per_minute, 'lifts/min', 2)} for {say(inputs.lifting_hours_per_day, 'h/d')}."),
    ]


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """The multipliers at the worse end."""
    at_start = outputs.start_limit_kg <= outputs.end_limit_kg
    values = tuple(float(row[1 if at_start else 2]) for row in outputs.multipliers)  # type: ignore[arg-type]
    return [
        Chart("bars", f"Multipliers at the {'start' if at_start else 'end'} of the lift: the shortest costs most", "1",
              ("distance", "height", "travel", "twist", "often", "grip"), (Line("Multiplier", values),),
              (Mark(1.0, "ideal"),), axis="What"),
    ]  # fmt: skip


CALCULATOR = Calculator(
    key="safety", title="Work safety", question="Is a filled tub too heavy, and what can hurt someone?", inputs=Inputs,
    outputs=Outputs, solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts,
    sources=(source("niosh_94_110"), source("iso_11228_1"), source("hse_l23")), step="Stay safe",
)  # fmt: skip
