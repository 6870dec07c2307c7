"""Work safety: is a filled tub too heavy to lift as it is lifted here, and what to change first.

The manual-lifting check by the revised NIOSH lifting equation at both ends of the lift, with two other published filters
beside it. Heat has ``heat_stress``; noise, fire, dust, pits and traffic have ``hazards``.
"""

from __future__ import annotations

from dataclasses import dataclass

from calculators import lifting
from calculators.declare import (
    Calculator,
    CannotSolve,
    Chart,
    Column,
    Line,
    Mark,
    RaisedCaution,
    Say,
    choice,
    number,
    output,
    output_table,
    output_text,
    own_choice,
)  # fmt: skip
from calculators.known import plain
from calculators.reference import cited, rows_of, source
from calculators.working import Working, least, most

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
ZONES_FROM_THE_FLOOR = (
    ("below mid lower leg", 25.0),
    ("knuckle to mid lower leg", 75.0),
    ("elbow to knuckle", 105.0),
    ("shoulder to elbow", 140.0),
    ("above shoulder", float("inf")),
)  # fmt: skip
"""Zones of the second filter, each with its upper edge in cm above the floor."""
CLOSE_CM = 40.0
ZONE_EDGES = own_choice("heights of a standing adult, 25, 75, 105 and 140 cm, for the zones of the second filter; hands up to 40 cm "
                        "before the ankles count as close")  # fmt: skip
TEAM_SHARE = {2: 2 / 3, 3: 1 / 2}
"""What a team may lift, as a share of the sum of what its members may lift alone."""
TEAM_SOURCE = cited("hse_l23", "from memory", "Two people manage about two thirds of their summed capability, three about half.")


@dataclass(frozen=True)
class Inputs:
    """The load and the way it is lifted."""

    filled_tub_kg: float = number(
        "A filled tub", "kg", 18.0, low=0.1, high=800, usual=(5, 30), follows="mix", group="The load",
        help="The heaviest, tub included. Weigh one and write it here.", measure="weigh a full tub of food scraps",
    )  # fmt: skip
    empty_tub_kg: float = number(
        "An empty tub weighs", "kg", 1.5, low=0, high=50, follows="mix", group="The load", help="With its handles."
    )
    tub_l: float = number(
        "Size of a tub", "l", 40.0, low=1, high=500, follows="mix", group="The load", help="To the brim."
    )
    tub_fill_percent: float = number(
        "A tub is filled to", "percent", 90.0, low=10, high=100, follows="mix", group="The load", help="Of its size to the brim."
    )
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
    recommended_fill_kg: float = output(
        "Contents of a tub that one worker may lift", "kg", key_figure=True, help="The limit less the empty tub."
    )
    recommended_fill_l: float = output("The same as a fill", "l", help="At this filling's density; never more than the tub holds.")
    workers_to_lift: str = output_text("Who may lift the tub as it is filled now")
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


def lower_limit(at_start: float, at_end: float) -> float:
    """The limit of the whole lift (kg): the lower of those at its ends."""
    return least(at_start, at_end)


def fill_mass(limit_kg: float, empty_tub_kg: float) -> float:
    """Contents (kg) that bring a tub just to the limit; 0 where the empty tub alone is too heavy."""
    return most(limit_kg - empty_tub_kg, 0)


def fill_volume(fill_kg: float, filled_tub_kg: float, empty_tub_kg: float, tub_l: float, tub_fill_percent: float) -> float:
    """Litres of that mass, at the density of the present filling; at most the tub itself.

    The filled tub must weigh more than the empty one.
    """
    return least(fill_kg / (filled_tub_kg - empty_tub_kg) * tub_l * tub_fill_percent / 100, tub_l)


def team_limit(limit_kg: float, workers: int) -> float:
    """What 1, 2 or 3 workers together may lift (kg). Source: HSE L23, from memory."""
    return limit_kg if workers == 1 else limit_kg * workers * TEAM_SHARE[workers]


def zones_passed(start_cm: float, end_cm: float) -> list[str]:
    """Zones of the second filter through which the hands pass between two heights above the floor."""
    low, high = min(start_cm, end_cm), max(start_cm, end_cm)
    floor = 0.0
    passed = []
    for name, edge in ZONES_FROM_THE_FLOOR:
        if low <= edge and high >= floor:  # hands on an edge count in both zones
            passed.append(name)
        floor = edge
    return passed


def _multipliers(inputs: Inputs, start_cm: float, end_cm: float, working: Working) -> tuple[list[float], list[float]]:
    """The six multipliers at the start and at the end, each with its working."""
    manual = source("niosh_94_110")
    far = working.step("Hand distance multiplier", "1", lifting.horizontal_multiplier, source=manual,
                       horizontal_cm=inputs.hand_distance_cm)  # fmt: skip
    travel = working.step("Travel multiplier", "1", lifting.distance_multiplier, source=manual,
                          distance_cm=abs(end_cm - start_cm))  # fmt: skip
    twist = working.step("Twist multiplier", "1", lifting.asymmetry_multiplier, source=manual,
                         asymmetry_degrees=inputs.twist_degrees)  # fmt: skip
    found = []
    for where, height in (("start", start_cm), ("end", end_cm)):
        high = working.step(f"Hand height multiplier at the {where}", "1", lifting.vertical_multiplier, source=manual,
                            vertical_cm=height)  # fmt: skip
        often = working.constant(lifting.frequency_multiplier(inputs.lifts_per_minute, inputs.lifting_hours_per_day, height))
        grip = working.constant(lifting.coupling_multiplier(inputs.coupling, height))
        working.note(f"Frequency multiplier at the {where}", often, note="table 5; between two rows the stricter", source=manual)
        working.note(f"Grip multiplier at the {where}", grip, note="table 7", source=manual)
        found.append([far, high, travel, twist, often, grip])
    return found[0], found[1]


def solve(inputs: Inputs, working: Working) -> Outputs:
    """The equation at both ends; the lower limit counts."""
    if inputs.filled_tub_kg <= inputs.empty_tub_kg:
        raise CannotSolve("The filled tub weighs no more than the empty one: weigh both again.", ("filled_tub_kg", "empty_tub_kg"))
    end_cm = inputs.heap_height_m * 100 + inputs.tip_above_heap_cm
    start, end = _multipliers(inputs, inputs.start_height_cm, end_cm, working)
    manual = source("niosh_94_110")
    start_limit = working.step("Limit at the start", "kg", lifting.product_of_multipliers, source=manual,
                               load_constant=lifting.LOAD_CONSTANT_KG, multipliers=start,
                               names={"multipliers": list(NAMES)})  # fmt: skip
    end_limit = working.step("Limit at the end", "kg", lifting.product_of_multipliers, source=manual,
                             load_constant=lifting.LOAD_CONSTANT_KG, multipliers=end,
                             names={"multipliers": list(NAMES)})  # fmt: skip
    limit = working.step("Recommended weight limit", "kg", lower_limit, at_start=start_limit, at_end=end_limit)
    index: float | None = None
    if limit > 0:
        index = working.step("Lifting index", "1", lifting.lifting_index, load=inputs.filled_tub_kg, limit=limit)
    else:
        working.note("Lifting index", "none: a multiplier is 0, so the lift must not be done this way")
    fill_kg = working.step("Contents one worker may lift", "kg", fill_mass, limit_kg=limit, empty_tub_kg=inputs.empty_tub_kg)
    fill_l = working.step("The same as a fill", "l", fill_volume, fill_kg=fill_kg, filled_tub_kg=inputs.filled_tub_kg,
                          empty_tub_kg=inputs.empty_tub_kg, tub_l=inputs.tub_l,
                          tub_fill_percent=inputs.tub_fill_percent)  # fmt: skip
    worse = start if plain(start_limit) <= plain(end_limit) else end
    weakest = min(range(6), key=plain(worse).__getitem__)
    band = band_of(plain(index)) if index is not None else band_of(float("inf"))
    return Outputs(
        lifting_index=index,
        recommended_weight_kg=limit,
        lifting_class=f"{band['label']}: {band['meaning']}",
        recommended_fill_kg=fill_kg,
        recommended_fill_l=fill_l,
        workers_to_lift=_team(inputs.filled_tub_kg, limit, working),
        change_first=ADVICE[weakest] if index is None or plain(index) > 1 else "nothing needs changing for this load",
        start_limit_kg=start_limit,
        end_limit_kg=end_limit,
        end_height_cm=end_cm,
        multipliers=tuple((name, a, b) for name, a, b in zip(NAMES, start, end, strict=True)),
        other_filters=working.untraced(_filters, inputs, end_cm),
    )


def band_of(index: float) -> dict[str, str]:
    """The reading of a lifting index: within the limit, raised, or high."""
    for row in rows_of("lifting", "lifting_index_bands"):
        above = index > row["low"] or (row["low_inclusive"] and index == row["low"])
        below = row["high"] is None or index < row["high"] or (row["high_inclusive"] and index == row["high"])
        if above and below:
            return row
    raise ValueError(f"{index} is not a lifting index")


def _team(load_kg: float, limit_kg: float, working: Working) -> str:
    words = {1: "one worker", 2: "two workers together", 3: "three workers together"}
    for workers, said in words.items():
        together = working.step(f"Limit for {said}", "kg", team_limit, limit_kg=limit_kg, workers=workers,
                                source=None if workers == 1 else TEAM_SOURCE)  # fmt: skip
        if together > 0 and load_kg <= together:
            return said
    return "nobody by hand in this way: fill less, change the lift, or use a cart, a hoist or a tipping frame"


def _filters(inputs: Inputs, end_cm: float) -> tuple[tuple[object, ...], ...]:
    """ISO reference masses, and the smallest figure of the zones that the hands pass through."""
    rows: list[tuple[object, ...]] = []
    for row in rows_of("lifting", "iso_reference_mass"):
        who = row["key"].replace("_", " ").replace("men ", "men aged ", 1)
        rows.append(("ISO 11228-1 reference mass", who, float(row["mass_kg"]), _met(inputs, row["mass_kg"]), row["status"]))
    reach = "close" if inputs.hand_distance_cm <= CLOSE_CM else "arms extended"
    passed = zones_passed(inputs.start_height_cm, end_cm)
    held = [row for row in rows_of("lifting", "hse_filter") if row["reach"] == reach and row["height"] in passed]
    for who in ("men", "women"):
        strictest = min(held, key=lambda row: row[f"{who}_kg"])
        kg = strictest[f"{who}_kg"]
        rows.append((f"HSE filter, {strictest['height']}, {reach}", who, float(kg), _met(inputs, kg), strictest["status"]))
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
        if outputs.recommended_fill_kg > 0:
            found.append(f"A fill of {say(outputs.recommended_fill_l, 'l')}, {say(outputs.recommended_fill_kg, 'kg')}, brings the "
                         "index to 1 if nothing else changes.")  # fmt: skip
        else:
            found.append("Even an empty tub is above the limit for this lift: change the lift, not the fill.")
        found.append(f"The tub as filled now: {outputs.workers_to_lift}. A team lift counts two thirds of two workers' limits, half of "
                     "three's; each needs a good grip and they lift on one word.")  # fmt: skip
    if inputs.lifts_per_minute > lifting.LIMITS["frequency_high_per_minute"]:
        found.append("More than 15 lifts a minute lie beyond the published range of the equation.")
    if inputs.lifting_hours_per_day <= 2:
        found.append("Short lifting counts as short only with rest or light work after it: 1.2 times as long after an hour, 0.3 times "
                     "after two.")  # fmt: skip
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
              ("hand distance", "hand height", "travel", "twist", "how often", "grip"), (Line("Multiplier", values),),
              (Mark(1.0, "ideal"),), axis="What"),
    ]  # fmt: skip


CALCULATOR = Calculator(
    key="safety", title="Work safety", question="Is a filled tub too heavy, and what can hurt someone?", inputs=Inputs,
    outputs=Outputs, solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts,
    sources=(source("niosh_94_110"), source("iso_11228_1"), source("hse_l23"), TEAM_SOURCE, ZONE_EDGES), step="Stay safe",
)  # fmt: skip
