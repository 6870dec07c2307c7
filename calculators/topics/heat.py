"""Heap heat: does a heap reach and hold the temperature that makes it safe, does it dry out, how small is too small.

The heap of Bays, built of the mix of Mix, is walked through the days of the first stage (``simulate.heat``). The
smallest heap that still holds its heat is found by halving on the section at the same length and shape.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

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
    count,
    flag,
    number,
    output,
    output_count,
    output_table,
    output_text,
    own_choice,
)  # fmt: skip
from calculators.reference import cited, figure, rows_of, source
from calculators.simulate import heat as model
from calculators.topics.bays import SECTIONS, cross_section_area
from calculators.working import Working, log10, sqrt

HOT = figure("heat", "rule", "hot_c")
HOT_DAYS = figure("heat", "rule", "hot_days")
RULE_TURNINGS = figure("heat", "rule", "turnings")
REVIEW = figure("heat", "limits", "review_error_c")
REVIEW_MEAN = figure("heat", "limits", "review_error_mean_c")
COLD_STOP = figure("heat", "rate", "least_c")
COLD_START = figure("heat", "limits", "cold_start_c")
STILL_DEGRADABLE = figure("heat", "limits", "still_degradable_fraction")
FALL = figure("heat", "limits", "fall_c")
FLOOR_SHARE = figure("heat", "losses", "floor_share")
PERMEABILITY = figure("heat", "losses", "permeability_m2")
TURNING_LOSS = figure("heat", "losses", "turning_exchange_fraction")
UPPER = figure("heaps", "temperature", "upper_limit_c")
ACT_BEFORE = figure("heaps", "temperature", "act_before_c")
MOISTURE = next(row for row in rows_of("recipe_ranges", "used") if row["key"] == "moisture_percent_wet")
MOISTURE_SOURCE = cited(MOISTURE["source"], MOISTURE["status"], "")
SLOW_BELOW = float(MOISTURE["acceptable_low"])
LOG10_OF_E = 0.43429448190325182
SMALLEST_FACTOR, LARGEST_FACTOR = 0.4, 1.6
"""Sections tried, as factors of width and height."""
HALVINGS = 3
"""Each costs a walk of some milliseconds; three leave the answer large by at most an eighth (a sixteenth above 1)."""
LEAST_DRY_KG_M3 = 20
"""Less dry matter than this in a cubic metre is soup or fluff: no heap stands of it."""
SHORTEST_M = 0.2
"""Thinner than this it is a layer, not a heap."""
GROUPS = {
    "mixed": "food waste with leaves",
    "food": "mostly food waste",
    "leafy": "mostly leaves or wood",
    "manure": "manure with bedding",
}
SHELTERS = {
    "sheltered": "roof, and walls or mesh: still air",
    "partly": "roof only",
    "open": "open to the wind",
}
COVERS = {"none": "none", "sacking": "sacking", "straw": "0.1 m of straw or coarse compost"}


@dataclass(frozen=True)
class Inputs:
    """The heap as built, what is done to it, and what is around it."""

    mix_moisture_percent: float = number(
        "Moisture of the mix", "percent", 60.0, low=1, high=98, follows="mix", group="The mix", help="As built."
    )
    mix_free_air_space_percent: float = number(
        "Free air space of the mix", "percent", 60.0, low=-1_000, high=100, follows="mix", group="The mix",
        help="As built. Below 0 is taken as none.",
    )  # fmt: skip
    mix_density_kg_m3: float = number(
        "Bulk density of the mix", "kg/m3", 400.0, low=5, high=2_500, follows="mix", group="The mix", help="As built."
    )
    degradability: str = choice(
        "The mix is", GROUPS, "mixed", group="The mix",
        help="How much of the solids degrades, and how fast: two parts, each with its rate.",
        source=cited("haug_1993", "from memory", "rates within recalled ranges, chosen near their low end; shares chosen here"),
    )  # fmt: skip
    heap_section: str = choice(
        "Cross-section of a heap", SECTIONS, "rectangle", follows="bays", group="The heap", help="As it stands when just built."
    )
    heap_top_percent: float = number(
        "Top of a trapezoid, in percent of its base", "percent", 50.0, low=0, high=100, follows="bays", group="The heap",
        help="Used for the trapezoid only.",
    )  # fmt: skip
    heap_m3: float = number(
        "A heap when built", "m3", 5.0, low=0.01, high=2_000, follows="bays", group="The heap", help="Its volume."
    )
    heap_base_m: float = number(
        "Base of a heap", "m", 1.2, low=0.25, high=20, follows="bays", group="The heap", help="Width on the floor."
    )
    heap_height_m: float = number(
        "Height of a heap when built", "m", 0.9, low=0.3, high=1.8, follows="bays", group="The heap", help="At its highest."
    )
    heap_cover: str = choice(
        "Cover", COVERS, "none", group="The heap", help="What lies on the heap and keeps its heat.",
        source=own_choice("no cover until one is laid"),
    )  # fmt: skip
    first_stage_days: int = count(
        "Days in the first stage", "d", 45, low=7, high=180, follows="bays", group="What is done",
        help="From the day the heap is full.",
    )  # fmt: skip
    turning_interval_days: float = number(
        "Days between turnings", "d", 3.5, low=1, high=60, follows="bays", group="What is done",
        help="Twice a week is every 3.5 days.",
    )  # fmt: skip
    heap_is_watered: bool = flag(
        "Water is added when a heap is dry", True, group="What is done",
        help="No: nothing is added after the heap is built.", source=own_choice("a heap is felt and watered when it is turned"),
    )  # fmt: skip
    water_below_percent: float = number(
        "It is watered below", "percent", MOISTURE["preferred_low"], low=20, high=80, usual=(40, 55), group="What is done",
        help="Moisture of the heap.", source=MOISTURE_SOURCE, measure="squeeze a handful at every turning",
    )  # fmt: skip
    water_up_to_percent: float = number(
        "and brought to", "percent", MOISTURE["preferred_high"], low=20, high=85, usual=(50, 65), group="What is done",
        help="A squeezed handful gives a few drops.", source=MOISTURE_SOURCE,
    )  # fmt: skip
    ambient_c: float = number(
        "Air around, mean of day and night", "°C", 25.0, low=-10, high=50, usual=(5, 38), group="What is around",
        help="Also the heap's temperature when built. Try your coldest month.", source=own_choice("a mild month"),
        measure="a thermometer in the shade of the shed",
    )  # fmt: skip
    air_humidity_percent: float = number(
        "Humidity of the air", "percent", 60.0, low=5, high=100, usual=(30, 95), group="What is around",
        help="Relative, mean of the day.", source=own_choice("between dry season and rains"),
    )  # fmt: skip
    wind_shelter: str = choice(
        "Shelter from wind", SHELTERS, "sheltered", group="What is around", help="Moving air takes heat from the surface.",
        source=own_choice("a covered yard"),
    )  # fmt: skip


@dataclass(frozen=True)
class Outputs:
    """What the model gives for this heap. Temperatures are means over a day and over the heap."""

    highest_c: float = output("Highest temperature", "°C", key_figure=True, help="The highest mean of a day.")
    highest_day: int = output_count("Hottest day", "each", help="Day 1 is the first after the heap is full.")
    hot_days: int = output_count(f"Days at {HOT.typical:g} °C or hotter", "d", key_figure=True)
    hot_in_a_row_days: int = output_count("The longest of them in a row", "d")
    holds_heat: str = output_text(
        "Sanitising heat held", key_figure=True,
        help=f"{HOT.typical:g} °C for {HOT_DAYS.typical:g} days. Only a thermometer in the heap proves it.",
    )  # fmt: skip
    too_hot_days: int = output_count(f"Days above {UPPER.typical:g} °C", "d", help="Keep below, by the published advice.")
    moisture_end_percent: float = output("Moisture at the end of the stage", "percent", key_figure=True)
    slow_day: int | None = output_count(
        f"Day on which it is drier than {SLOW_BELOW:g} % if nobody waters", "each", key_figure=True,
        help="– where it stays moist.",
    )  # fmt: skip
    heap_water_l: float = output("Water to add through the stage", "l", key_figure=True, help="For one heap.")
    degraded_percent: float = output("Solids degraded in the stage", "percent", help="Of the dry solids as built.")
    smallest_height_m: float | None = output(
        "Smallest heap that still holds the heat: height", "m", key_figure=True,
        help="Same length and shape; – where even a much larger one does not.",
    )  # fmt: skip
    smallest_base_m: float | None = output("Smallest heap that still holds the heat: base", "m")
    cooling_day: int | None = output_count(
        "Day on which it first cools with food for microbes left", "each",
        help="Beside turning days. Open it, feel it, water and turn. – where it does not.",
    )  # fmt: skip
    surface_m2: float = output("Surface of the heap", "m2", help="The floor counts in part.")
    turnings: int = output_count("Turnings in the stage", "each")
    days: tuple[tuple[object, ...], ...] = output_table(
        "The heap day by day",
        (Column("day", "Day"), Column("inside", "Inside, mean of the day", "°C"), Column("moisture", "Moisture", "percent"),
         Column("oxygen", "Oxygen of the pore air", "percent"), Column("left", "Solids left", "percent"),
         Column("water", "Water added so far", "l")),
    )  # fmt: skip


# ---- formulas -------------------------------------------------------------------------------------------------


def outer_length(shape: str, base_m: float, height_m: float, top_m: float) -> float:
    """Length of a section's outline without its base (m); plane geometry. ``shape`` as in Bays."""
    if shape == "rectangle":
        return base_m + 2 * height_m
    if shape == "trapezoid":
        return top_m + 2 * sqrt(((base_m - top_m) / 2) ** 2 + height_m**2)
    if shape == "triangle":
        return 2 * sqrt((base_m / 2) ** 2 + height_m**2)
    if shape == "parabola":
        root = sqrt(base_m**2 + 16 * height_m**2)
        return root / 2 + base_m**2 / (8 * height_m) * log10((4 * height_m + root) / base_m) / LOG10_OF_E
    raise ValueError(f"there is no cross-section named {shape!r}")


def dry_density(density_kg_m3: float, moisture: float) -> float:
    """Dry matter in a cubic metre (kg/m³), moisture as a fraction of wet mass."""
    return density_kg_m3 * (1 - moisture)


def length_of(volume_m3: float, section_m2: float) -> float:
    """Length of a prism (m)."""
    return volume_m3 / section_m2


def side_surface(outline_m: float, base_m: float, floor_share: float, length_m: float) -> float:
    """Top, sides and the part of the floor that counts (m²)."""
    return (outline_m + floor_share * base_m) * length_m


def whole_surface(sides_m2: float, section_m2: float) -> float:
    """Surface with both ends (m²)."""
    return sides_m2 + 2 * section_m2


# ---- the walk through the days --------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Case:
    wet_kg: float
    moisture: float
    group: str
    volume_m3: float
    surface_m2: float
    sides_m2: float
    floor_m2: float
    free_air: float
    ambient_c: float
    humidity: float
    convection: float
    cover: float
    days: int
    turning_interval_days: float
    water_below: float | None
    water_to: float


@dataclass(frozen=True)
class _Course:
    inside: tuple[float, ...]
    moisture: tuple[float, ...]
    oxygen: tuple[float, ...]
    solids_left: tuple[float, ...]
    fast_left: tuple[float, ...]
    water_added: tuple[float, ...]
    slow_day: int | None
    smallest: float | None


def _built(case: _Case) -> model.Heap:
    shares = [each.typical for each in model.degradable(case.group)]
    return model.build(case.wet_kg, case.moisture, shares, case.volume_m3, case.surface_m2, case.floor_m2, case.free_air,
                       case.ambient_c)  # fmt: skip


@lru_cache(maxsize=64)
def _days(case: _Case) -> tuple[float, ...]:
    return tuple(
        day.mean_c
        for day in model.course(_built(case), model.Around(case.humidity, case.convection, case.cover),
                                (case.ambient_c,) * case.days, model.turnings(case.turning_interval_days, case.days),
                                case.water_below, case.water_to)
    )  # fmt: skip


@lru_cache(maxsize=64)
def _walked(case: _Case) -> _Course:
    """The heap's course, and the factor of its smallest sister. Kept, as most changes to a yard leave a heap alone."""
    heap = _built(case)
    around = model.Around(case.humidity, case.convection, case.cover)
    air = (case.ambient_c,) * case.days
    turned = model.turnings(case.turning_interval_days, case.days)
    days = model.course(heap, around, air, turned, case.water_below, case.water_to)
    unwatered = days
    first = next((index for index, day in enumerate(days) if day.ledger.water_added > 0), None)
    if first is not None:  # up to there the two are one
        rest = model.course(days[first - 1].heap if first else heap, around, air[first:],
                            [day - first for day in turned if day >= first],
                            stop=lambda day: 100 * day.heap.moisture < SLOW_BELOW)  # fmt: skip
        unwatered = [*days[:first], *rest]
    slow = next((index + 1 for index, day in enumerate(unwatered) if 100 * day.heap.moisture < SLOW_BELOW), None)

    def holds(factor: float) -> bool:
        sister = model.section_scaled(heap, factor, case.sides_m2)
        return model.holds(sister, around, air, turned, case.water_below, case.water_to, HOT.typical, int(HOT_DAYS.typical))

    smallest = None
    if model.hot_days(days, HOT.typical) >= HOT_DAYS.typical:
        smallest = model.least_factor(holds, SMALLEST_FACTOR, 1.0, HALVINGS)
    elif case.days >= HOT_DAYS.typical and holds(LARGEST_FACTOR):
        smallest = model.least_factor(holds, 1.0, LARGEST_FACTOR, HALVINGS)
    return _Course(
        tuple(day.mean_c for day in days), tuple(100 * day.heap.moisture for day in days),
        tuple(day.oxygen_percent for day in days), tuple(100 * day.heap.solids / heap.solids for day in days),
        tuple(day.heap.fast / heap.fast for day in days), tuple(day.ledger.water_added for day in days), slow, smallest,
    )  # fmt: skip


def _alike(value: float) -> float:
    """The value to ten digits: a heap of the same mix out of a larger yard differs by rounding only, and is kept too."""
    return float(f"{value:.9e}")


def _case(inputs: Inputs, sides: float, surface: float, length: float) -> _Case:
    return _Case(
            _alike(inputs.heap_m3 * inputs.mix_density_kg_m3), _alike(inputs.mix_moisture_percent / 100), inputs.degradability,
            _alike(inputs.heap_m3), _alike(surface), _alike(sides), _alike(inputs.heap_base_m * length),
            _alike(min(1.0, max(0.0, inputs.mix_free_air_space_percent / 100))), inputs.ambient_c,
            inputs.air_humidity_percent / 100,
            model.SHELTERS[inputs.wind_shelter], model.COVERS[inputs.heap_cover], inputs.first_stage_days,
            inputs.turning_interval_days, inputs.water_below_percent / 100 if inputs.heap_is_watered else None,
            inputs.water_up_to_percent / 100,
    )  # fmt: skip


def inside_by_day(inputs: Inputs) -> tuple[float, ...] | None:
    """The mean temperature (°C) of each day of the stage; nothing where the answers make no heap."""
    if inputs.mix_density_kg_m3 * (1 - inputs.mix_moisture_percent / 100) < LEAST_DRY_KG_M3:
        return None
    top = inputs.heap_base_m * inputs.heap_top_percent / 100
    outline = outer_length(inputs.heap_section, inputs.heap_base_m, inputs.heap_height_m, top)
    section = cross_section_area(inputs.heap_section, inputs.heap_base_m, inputs.heap_height_m, top)
    length = length_of(inputs.heap_m3, section)
    if length < SHORTEST_M:
        return None
    sides = side_surface(outline, inputs.heap_base_m, FLOOR_SHARE.typical, length)
    return _days(_case(inputs, sides, whole_surface(sides, section), length))


def longest_run(marks: list[bool]) -> int:
    """The longest run of true ones."""
    best = run = 0
    for mark in marks:
        run = run + 1 if mark else 0
        best = max(best, run)
    return best


def first_cooling(inside: tuple[float, ...], fast_left: tuple[float, ...], turned: tuple[int, ...]) -> int | None:
    """The first day (1 is the first) that is cooler, by the stated fall, than the hottest since the last turning, with
    enough quickly degradable solids left. On the day of a turning and the next a fall is the turning's own."""
    highest = -273.15
    since_turning = 2
    for index, celsius in enumerate(inside):
        since_turning = 0 if index in turned else since_turning + 1
        if since_turning < 2:
            highest = -273.15
            continue
        if celsius < highest - FALL.typical and fast_left[index] > STILL_DEGRADABLE.typical:
            return index + 1
        highest = max(highest, celsius)
    return None


# ---- solving --------------------------------------------------------------------------------------------------


def solve(inputs: Inputs, working: Working) -> Outputs:
    """The surface of the heap, its walk through the stage, and what that says."""
    if inputs.heap_is_watered and inputs.water_up_to_percent < inputs.water_below_percent:
        raise CannotSolve(
            f"A heap that is watered below {inputs.water_below_percent:g} % can't be brought to "
            f"{inputs.water_up_to_percent:g} %: give at least {inputs.water_below_percent:g} % there.",
            ("water_up_to_percent", "water_below_percent"),
        )
    dry_kg_m3 = working.step("Dry matter in a cubic metre", "kg/m3", dry_density, density_kg_m3=inputs.mix_density_kg_m3,
                             moisture=inputs.mix_moisture_percent / 100)  # fmt: skip
    if dry_kg_m3 < LEAST_DRY_KG_M3:
        raise CannotSolve(
            f"At {inputs.mix_density_kg_m3:g} kg/m³ and {inputs.mix_moisture_percent:g} % moisture a cubic metre holds "
            f"{dry_kg_m3:.2g} kg of dry matter: give a mix with at least {LEAST_DRY_KG_M3} kg.",
            ("mix_density_kg_m3", "mix_moisture_percent"),
        )
    top = inputs.heap_base_m * inputs.heap_top_percent / 100
    outline = working.step("Outline of the section above the floor", "m", outer_length, shape=inputs.heap_section,
                           base_m=inputs.heap_base_m, height_m=inputs.heap_height_m, top_m=top)  # fmt: skip
    section = working.step("Cross-section", "m2", cross_section_area, shape=inputs.heap_section, base_m=inputs.heap_base_m,
                           height_m=inputs.heap_height_m, top_m=top, source=source("nrcs_637"))  # fmt: skip
    length = working.step("Length, ends taken upright", "m", length_of, volume_m3=inputs.heap_m3, section_m2=section)
    if length < SHORTEST_M:
        raise CannotSolve(
            f"A heap of {inputs.heap_m3:g} m³ with this cross-section would be {length:.2g} m long: give it at least "
            f"{SHORTEST_M:g} m, with more volume or a smaller section.",
            ("heap_m3", "heap_base_m", "heap_height_m"),
        )
    sides = working.step("Surface of top, sides and part of the floor", "m2", side_surface, outline_m=outline,
                         base_m=inputs.heap_base_m, floor_share=FLOOR_SHARE.typical, length_m=length,
                         source=FLOOR_SHARE.cited())  # fmt: skip
    surface = working.step("Surface that loses heat", "m2", whole_surface, sides_m2=sides, section_m2=section)
    # the walk and what is read from it are too long for cells; the surface is not
    return replace(working.untraced(_read, inputs, sides, surface, length, working), surface_m2=surface)


def _read(inputs: Inputs, sides: float, surface: float, length: float, working: Working) -> Outputs:
    """What the course says."""
    found = _walked(_case(inputs, sides, surface, length))
    turned = model.turnings(inputs.turning_interval_days, inputs.first_stage_days)
    hot = [celsius >= HOT.typical for celsius in found.inside]
    highest = max(found.inside)
    note = working.note
    note("Highest mean of a day", highest, "°C", _MODEL, source("rosso_1993"))
    note(f"Days at {HOT.typical:g} °C or hotter", sum(hot), "d", f"The rule: {HOT_DAYS.typical:g} of them.", HOT.cited())
    note("Water added", found.water_added[-1], "l", "On each day on which the heap is drier than it should be.")
    if found.smallest is not None:
        note("Smallest heap: width and height, of this one's", found.smallest, "fraction",
             f"By {HALVINGS} halvings between {SMALLEST_FACTOR:g} and 1, or 1 and {LARGEST_FACTOR:g}.")  # fmt: skip
    return Outputs(
        highest_c=highest,
        highest_day=found.inside.index(highest) + 1,
        hot_days=sum(hot),
        hot_in_a_row_days=longest_run(hot),
        holds_heat="yes, in the model" if sum(hot) >= HOT_DAYS.typical else "no",
        too_hot_days=sum(celsius > UPPER.typical for celsius in found.inside),
        moisture_end_percent=found.moisture[-1],
        slow_day=found.slow_day,
        heap_water_l=found.water_added[-1],
        degraded_percent=100 - found.solids_left[-1],
        smallest_height_m=None if found.smallest is None else found.smallest * inputs.heap_height_m,
        smallest_base_m=None if found.smallest is None else found.smallest * inputs.heap_base_m,
        cooling_day=first_cooling(found.inside, found.fast_left, turned),
        surface_m2=surface,
        turnings=len(turned),
        days=tuple(
            (str(index + 1), *row)
            for index, row in enumerate(zip(found.inside, found.moisture, found.oxygen, found.solids_left, found.water_added,
                                            strict=True))
        ),
    )  # fmt: skip


_MODEL = "From the walk through the days: first-order rates with corrections, and a balance of heat, water and air."


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in words."""
    if outputs.hot_days == 0:
        held = f"It never reaches {say(HOT.typical, '°C')}"
    else:
        held = f"It is at {say(HOT.typical, '°C')} or hotter for {say(outputs.hot_days, 'd')}"
    enough = "which is enough for" if outputs.hot_days >= HOT_DAYS.typical else "short of"
    added = f" with {say(outputs.heap_water_l, 'l')} of water added" if outputs.heap_water_l > 0 else ""
    return (
        f"In the model this heap is hottest on day {outputs.highest_day}, at {say(outputs.highest_c, '°C')}. "
        f"{held}, {enough} the {say(HOT_DAYS.typical, 'd')} of the rule, "
        f"and ends the stage at {say(outputs.moisture_end_percent, 'percent')} moisture{added}."
    )


def _about_size(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """How small is too small."""
    if inputs.first_stage_days < HOT_DAYS.typical:
        return [f"The stage is shorter than the {say(HOT_DAYS.typical, 'd')} of the rule, so no heap can hold the heat in it."]
    if outputs.smallest_height_m is None or outputs.smallest_base_m is None:
        return [
            f"No heap of this mix, up to {LARGEST_FACTOR:g} times as wide and high, holds the heat in the model: more food "
            "waste, more water, a cover or a warmer month would help."
        ]
    size = f"A heap {say(outputs.smallest_base_m, 'm')} wide and {say(outputs.smallest_height_m, 'm')} high"
    if outputs.hot_days < HOT_DAYS.typical:
        return [f"{size} would hold the heat in the model; mind the limits of height on the page on bays."]
    if outputs.smallest_height_m < inputs.heap_height_m:
        return [f"{size} would still hold the heat in the model; leave a margin."]
    return []


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to bear in mind, and what to do."""
    found = [
        "This is a model, not a record. A review (Mason 2006) found none that stayed within "
        f"{say(REVIEW.typical, '°C rise')} at the worst and {say(REVIEW_MEAN.typical, '°C rise')} on average. Against "
        "printed records on which it was fitted, this one is 3 to 9 °C off in the mean (Evidence page). Only a thermometer in the heap "
        "shows that heat was held.",
        "It has one temperature, the mean of the heap; the skin is cooler and is made safe only by being turned inward. The "
        f"rule that was read asks for {RULE_TURNINGS.typical:g} turnings while it is hot, and does not say whether the days "
        "are in a row.",
    ]
    if outputs.slow_day is not None:
        found.append(
            f"Left without water it is drier than {SLOW_BELOW:g} % on day {outputs.slow_day}: work slows. It may look finished "
            "then and is not."
        )
    if outputs.cooling_day is not None:
        found.append(
            f"On day {outputs.cooling_day} it cools while food for the microbes is left. When yours does, open it: water it if "
            "it is dry, turn it if it smells or packs."
        )
    found += _about_size(inputs, outputs, say)
    if outputs.hot_days >= HOT_DAYS.typical and outputs.turnings < RULE_TURNINGS.typical:
        found.append(f"Only {outputs.turnings} turnings in the stage: the rule asks for {RULE_TURNINGS.typical:g}.")
    if inputs.ambient_c < COLD_START.typical:
        found.append(
            "In air so cold the model is a guess: its microbes stop at "
            f"{say(COLD_STOP.typical, '°C')}, while a real heap starts on the warmth of fresh waste; ice is not in it."
        )
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """The dangers of a hot heap."""
    return [
        RaisedCaution("heap_height_fire", f"In the model the heap reaches {say(outputs.highest_c, '°C')}.",
                      urgent=outputs.highest_c >= ACT_BEFORE.typical),
        RaisedCaution("steam_burn", f"Days above {say(UPPER.typical, '°C')} in the model: {outputs.too_hot_days}."),
        RaisedCaution("compost_not_fit_until_tested", "A model proves no heat. Read a thermometer and keep the record."),
    ]  # fmt: skip


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """Temperature against its limits, and moisture, through the days."""
    labels = tuple(str(row[0]) for row in outputs.days)

    def line(label: str, column: int) -> Line:
        return Line(label, tuple(float(row[column]) for row in outputs.days))  # type: ignore[arg-type]

    return [
        Chart("lines", "Temperature inside, mean of each day", "°C", labels, (line("Inside", 1),),
              (Mark(HOT.typical, f"sanitising {HOT.typical:g}"), Mark(UPPER.typical, f"keep below {UPPER.typical:g}")),
              axis="Day"),
        Chart("lines", "Moisture of the heap", "percent", labels, (line("Moisture", 2),),
              (Mark(SLOW_BELOW, f"slow below {SLOW_BELOW:g}"),), axis="Day"),
    ]  # fmt: skip


CALCULATOR = Calculator(
    key="heat", title="Heap heat", question="Does a heap get hot enough, and stay moist?", inputs=Inputs, outputs=Outputs,
    on_request=True, solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts,
    sources=(source("rosso_1993"), source("haug_1993"), source("polprasert"), source("agnew_leonard_2003"), HOT.cited(),
             REVIEW.cited(), UPPER.cited(), ACT_BEFORE.cited(), MOISTURE_SOURCE, PERMEABILITY.cited(), TURNING_LOSS.cited(),
             FLOOR_SHARE.cited(), FALL.cited(), STILL_DEGRADABLE.cited()),
)  # fmt: skip
