"""Bays: how many walled bays of what size, for the first active stage and for curing, and whether they ever run out.

A heap stands clear of the walls of its bay. It is filled over some days, stays through the first stage while it
shrinks, is then moved and rebuilt (or kept whole) for curing, and is screened. By Little's law the heaps standing in a
stage are heaps started per day × days in the stage, plus the one being filled. A walk through the days of a year, with
its weekdays, months and festival, shows the peak where arrivals are not even.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from calculators.declare import (
    MONTHS,
    WEEKDAYS,
    Calculator,
    CannotSolve,
    Chart,
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
    output_series,
    own_choice,
    practice,
    series,
)  # fmt: skip
from calculators.drawing.bay_section import LONGEST_BAY_M, Bay, Shed, across_the_shed, through_a_bay
from calculators.known import as_count
from calculators.reference import figure, source
from calculators.sheet import Drawing
from calculators.topics.arrivals import DAYS_IN_MONTH, DAYS_IN_YEAR, FESTIVALS
from calculators.working import Working, exp, total, whole_up

VOLUME_LOST = figure("heaps", "shrinkage", "volume_lost_fraction")
MASS_LOST = figure("heaps", "shrinkage", "mass_lost_fraction")
RATE = figure("heaps", "shrinkage", "shrinkage_rate_per_day")
WIDTH = figure("heaps", "bay_and_heap", "bay_width_m")
HEIGHT = figure("heaps", "bay_and_heap", "heap_height_m")
LENGTH = figure("heaps", "bay_and_heap", "built_heap_length_m")
CLEARANCE = figure("heaps", "bay_and_heap", "wall_clearance_m")
LOW_WALL = figure("heaps", "bay_and_heap", "low_wall_height_m")
MESH = figure("heaps", "bay_and_heap", "mesh_height_m")
ACTIVE = figure("heaps", "stages", "active_stage_days")
CURING = figure("heaps", "stages", "curing_stage_days")
TURN_EVERY = figure("heaps", "stages", "manual_windrow_turn_interval_days")
TURNS_A_WEEK = figure("heaps", "stages", "turns_per_week")
FIRE_HEIGHT = figure("heaps", "limits", "pile_height_fire_m")
RETAINED = figure("heaps", "limits", "retained_height_m")
LOWEST_PILE = figure("heaps", "limits", "pile_height_minimum_m")
AIR_HEIGHT = figure("heaps", "limits", "heap_height_air_m")
REACH = figure("heaps", "limits", "reach_two_sides_m")
CROWDED_PLOT = figure("heaps", "limits", "crowded_plot_percent")
SHED = {
    name: figure("heaps", "shed_section", name)
    for name in ("aisle_m", "roof_pitch_degrees", "roof_overhang_m", "driven_rain_degrees", "ridge_opening_m",
                 "bay_floor_fall_percent", "least_eaves_m", "room_above_heap_m")
}
"""What the section of the shed is drawn with until its layout is known."""
NARROWEST_BASE_M = 0.3
LONGEST_FILL_DAYS = 7
SECTIONS = {
    "rectangle": "rectangle, between boards",
    "trapezoid": "trapezoid, flat top",
    "parabola": "parabola, rounded",
    "triangle": "triangle, ridged",
}


@dataclass(frozen=True)
class Inputs:
    """The mix to be housed, the heap, the stages and the bays."""

    mix_m3_per_day: float = number(
        "Volume of mix", "m3/d", 2.0, low=0.001, high=5_000, follows="mix", group="What is to be housed",
        help="Mean of the year.",
    )  # fmt: skip
    mix_kg_per_day: float = number(
        "Mass of mix", "kg/d", 600.0, low=0.01, high=3e6, follows="mix", group="What is to be housed", help="Mean of the year."
    )
    wet_kg_by_weekday: tuple[float, ...] = series(
        "Wet waste on each weekday", "kg/d", WEEKDAYS, (100,) * 7, low=0, high=1e6, follows="arrivals",
        group="What is to be housed", help="Only the proportions count here.",
    )  # fmt: skip
    wet_kg_by_month: tuple[float, ...] = series(
        "Wet waste, mean of a day in each month", "kg/d", MONTHS, (100,) * 12, low=0, high=1e6, follows="arrivals",
        group="What is to be housed", help="Only the proportions count here.",
    )  # fmt: skip
    festival_month: str = choice(
        "Month of the festival", FESTIVALS, "none", follows="arrivals", group="What is to be housed",
        help="Its days are taken in the middle of the month.",
    )  # fmt: skip
    festival_days: int = count(
        "Days of the festival", "d", 7, low=0, high=28, follows="arrivals", group="What is to be housed",
        help="Days on which more arrives.",
    )  # fmt: skip
    festival_percent_of_mean: float = number(
        "A festival day, in percent of that month's ordinary day", "percent", 100.0, low=100, high=1_000, follows="arrivals",
        group="What is to be housed", help="100 without a festival.",
    )  # fmt: skip
    heap_section: str = choice(
        "Cross-section of a heap", SECTIONS, "rectangle", group="The heap", help="As it stands when just built.",
        source=own_choice("boards or baskets give a square heap; forks alone a rounded one"),
    )  # fmt: skip
    bay_width_m: float = number(
        "Width of a bay, inside", "m", 1.5, low=0.6, high=4, usual=(1.2, 1.8), group="The heap",
        help="Between the walls.", source=WIDTH.cited(),
        why_limits="Wider than a crew can reach across from both ends of a fork, the middle is neither turned nor aired.",
    )  # fmt: skip
    wall_clearance_m: float = number(
        "Gap between heap and wall, each side", "m", CLEARANCE.typical, low=0, high=1, usual=(0.1, 0.3), group="The heap",
        help="The heap stands clear of the walls so that air gets in at its foot.", source=CLEARANCE.cited(),
    )  # fmt: skip
    heap_height_m: float = number(
        "Height of a heap when built", "m", HEIGHT.typical, low=0.3, high=FIRE_HEIGHT.typical, usual=(0.6, 1.25),
        group="The heap", help="Up to about 0.9 m by common practice.", source=HEIGHT.cited(),
        why_limits="Above 1 to 1.5 m air no longer passes through a food-rich heap by itself; 1.8 m is a fire limit; "
        "walls that hold back more need an engineer.",
    )  # fmt: skip
    heap_top_percent: float = number(
        "Top of a trapezoid, in percent of its base", "percent", 50.0, low=0, high=100, group="The heap",
        help="Used for the trapezoid only.", source=own_choice("sides at about the slope at which a mix rests"),
    )  # fmt: skip
    heap_length_m: float = number(
        "Length of a heap", "m", LENGTH.typical, low=0.5, high=60, usual=(1, 12), group="The heap",
        help="3 m or longer by common practice; short enough to be filled within a week.", source=LENGTH.cited(),
    )  # fmt: skip
    sloped_ends: bool = flag(
        "The ends of a heap slope", False, group="The heap",
        help="No: ends stand against boards. Yes: each end tapers over half the base width.", source=own_choice("ends boarded"),
    )  # fmt: skip
    first_stage_days: int = count(
        "Days in the first stage", "d", int(ACTIVE.typical), low=7, high=180, usual=(21, 70), group="Stages",
        help="Hot, turned and watered, counted from the day the heap is full.", source=ACTIVE.cited(),
        measure="read temperatures: it ends when turning no longer heats the heap",
    )  # fmt: skip
    turning_interval_days: float = number(
        "Days between turnings", "d", TURN_EVERY.typical, low=1, high=60, usual=(2, 7), group="Stages",
        help="Twice a week is every 3.5 days.", source=TURN_EVERY.cited(),
    )  # fmt: skip
    curing_days: int = count(
        "Days of curing", "d", int(CURING.typical), low=0, high=365, usual=(30, 90), group="Stages",
        help="In an airy store after the first stage.", source=CURING.cited(), measure="test maturity before shortening it",
    )  # fmt: skip
    volume_left_end_percent: float = number(
        "Volume left in the long run", "percent", 100 * (1 - VOLUME_LOST.typical), low=10, high=95, usual=(40, 80),
        group="Shrinkage", help="Of the volume as built. Published: 20 to 60 % is lost.", source=VOLUME_LOST.cited(),
        measure="measure a heap's height every week",
    )  # fmt: skip
    shrinkage_rate_per_day: float = number(
        "Rate of shrinkage, each day", "1", RATE.typical, low=0.001, high=0.5, usual=(0.01, 0.06), group="Shrinkage",
        help="Volume after t days = volume as built × (1 − loss × (1 − exp(−rate × t))).", source=RATE.cited(),
        measure="measure a heap's height every week",
    )  # fmt: skip
    mass_left_percent: float = number(
        "Mass left at the end", "percent", 100 * (1 - MASS_LOST.typical), low=10, high=95, usual=(35, 65), group="Shrinkage",
        help="Of the mass as mixed.", source=MASS_LOST.cited(), measure="weigh one heap in and out",
    )  # fmt: skip
    rebuilt_for_curing: bool = flag(
        "Shrunk heaps are merged for curing", True, group="Shrinkage",
        help="Yes: curing heaps are built to full size from several shrunk ones. No: each keeps a place of its own.",
        source=own_choice("it saves bays"),
    )  # fmt: skip
    heaps_per_bay: int = count(
        "Heaps in a bay, end to end", "heap", 1, low=1, high=10, group="Bays", help="One, unless bays are long.",
        source=own_choice("one heap, one record"),
    )  # fmt: skip
    turning_place: str = choice(
        "Where a heap is turned to", {"spare_bay": "into a spare bay", "same_bay": "within its own bay"}, "spare_bay",
        group="Bays", help="Into a spare bay every piece changes place; within the bay a clear length is needed.",
        source=own_choice("turning into an empty bay mixes best"),
    )  # fmt: skip
    bays_per_spare: int = count(
        "First-stage bays that share a spare one", "bay", 8, low=1, high=50, usual=(4, 15), group="Bays",
        help="Used when heaps are turned into a spare bay.", source=own_choice("a heap or two is turned on a working day"),
    )  # fmt: skip
    reserve_percent: float = number(
        "Reserve", "percent", 10.0, low=0, high=100, usual=(5, 25), group="Bays",
        help="Of first-stage and curing bays, for repairs, slow heaps and rejected ones.", source=own_choice("one in ten"),
    )  # fmt: skip
    size_for: str = choice(
        "Bays are counted for", {"peak": "the fullest days of the year", "mean": "an even year"}, "peak", group="Bays",
        help="The difference is what seasons and the festival cost.", source=own_choice("a yard must hold its peak"),
    )  # fmt: skip
    working_gap_m: float = number(
        "Clear length at the end of a bay", "m", 0.6, low=0, high=5, usual=(0.4, 2), group="Bays",
        help="For feet and forks, and for turning within the bay.", source=own_choice("room for one person"),
    )  # fmt: skip
    low_wall_m: float = number(
        "Low wall", "m", LOW_WALL.typical, low=0, high=1.5, usual=(0.2, 0.6), group="Bays",
        help="Solid, around the foot; mesh above.", source=LOW_WALL.cited(),
    )  # fmt: skip
    mesh_m: float = number(
        "Mesh above the low wall", "m", MESH.typical, low=0, high=5, usual=(1, 3), group="Bays",
        help="Keeps rats, dogs and birds out and lets air in.", source=MESH.cited(),
    )  # fmt: skip
    plot_length_m: float | None = number(
        "Length of the plot", "m", None, low=2, high=1_000, blank=True, group="The plot",
        help="For a first look whether the bays can fit.", source=own_choice("no plot until one is measured"),
        measure="measure the plot with a tape, and who owns its edges",
    )  # fmt: skip
    plot_width_m: float | None = number(
        "Width of the plot", "m", None, low=2, high=1_000, blank=True, group="The plot",
        help="Of a rectangle that lies wholly within it.", source=own_choice("no plot until one is measured"),
    )  # fmt: skip


@dataclass(frozen=True)
class Outputs:
    """Heaps, bays, and the volumes that the crew handles."""

    bays_total: int = output_count("Bays to build", "bay", key_figure=True)
    first_stage_bays: int = output_count("For the first stage", "bay", key_figure=True)
    curing_bays: int = output_count("For curing", "bay", key_figure=True)
    spare_bays: int = output_count("Spare, to turn into", "bay", key_figure=True)
    reserve_bays: int = output_count("Reserve", "bay", key_figure=True)
    heap_m3: float = output("A heap when built", "m3", key_figure=True)
    heap_fill_days: float = output("Days to fill a heap", "d", key_figure=True)
    heap_section_m2: float = output("Cross-section of a heap", "m2")
    heap_base_m: float = output("Base of a heap", "m")
    heap_kg: float = output("Mass of a heap when built", "kg")
    heaps_started_per_day: float = output("Heaps started", "heap/d")
    standing_heaps_first_stage: float = output("Heaps standing in the first stage", "heap", help="Even year; one being filled.")
    standing_heaps_curing: float = output("Heaps standing in curing", "heap", help="Even year.")
    even_year_bays: int = output_count("Bays that an even year would need", "bay", help="With spare and reserve.")
    peak_bays_needed: int = output_count(
        "Stage bays needed on the fullest day", "bay", help="First stage and curing, from the walk through the year."
    )
    bay_length_m: float = output("Length of a bay", "m")
    bay_floor_m2: float = output("Floor of all bays", "m2", help="Inside the walls; aisles come on top.")
    bays_share_of_plot_percent: float | None = output(
        "Floor of all bays, in percent of the plot", "percent",
        help="Empty until the plot's length and width are given. Aisles, shredding floor, stores and shed come on top.",
    )
    volume_left_first_stage_percent: float = output("Volume left after the first stage", "percent")
    turned_m3_per_day: float = output("Volume turned, mean of a day", "m3/d")
    moved_m3_per_day: float = output("Volume moved to curing", "m3/d")
    screened_m3_per_day: float = output("Volume to be screened", "m3/d")
    finished_kg_per_day: float = output("Mass to be screened", "kg/d")
    occupancy_by_month: tuple[float, ...] = output_series(
        "Most stage bays in use in each month", "bay", MONTHS, help="First stage and curing."
    )


# ---- formulas -------------------------------------------------------------------------------------------------


def cross_section_area(shape: str, base_m: float, height_m: float, top_m: float = 0.0) -> float:
    """Area (m²) of a heap's cross-section: rectangle, trapezoid, triangle, parabola or semicircle.

    Triangle b·h/2, parabola 2/3·b·h, trapezoid (b + t)/2·h (NRCS NEH 637.02 and plane geometry); the semicircle is of a
    heap half as high as wide, π·h²/2 (NJDEP and Rutgers, appendix A).
    """
    if shape == "rectangle":
        return base_m * height_m
    if shape == "trapezoid":
        return (base_m + top_m) / 2 * height_m
    if shape == "triangle":
        return base_m * height_m / 2
    if shape == "parabola":
        return 2 / 3 * base_m * height_m
    if shape == "semicircle":
        return math.pi * height_m * height_m / 2
    raise ValueError(f"there is no cross-section named {shape!r}")


def windrow_volume_per_area(height: float, aisle: float) -> float:
    """Volume on a unit of ground of semicircular windrows with an aisle between each: (π·h²/2) ÷ (2·h + a)."""
    return cross_section_area("semicircle", 2 * height, height) / (2 * height + aisle)


def heap_volume(section: float, length: float, base: float, ends_slope: bool) -> float:
    """Volume of a heap (m³). Sloped ends taper to a point over half the base, so each holds a third of its prism."""
    if ends_slope:
        return section * (length - base * 2 / 3)
    return section * length


def volume_left(days: float, lost_in_the_long_run: float, rate: float) -> float:
    """Fraction of the volume left after ``days``: 1 − L·(1 − exp(−k·t))."""
    return 1 - lost_in_the_long_run * (1 - exp(-rate * days))


def mean_volume_left(days: float, lost_in_the_long_run: float, rate: float) -> float:
    """Mean of ``volume_left`` over the first ``days`` (above 0): its integral divided by the days."""
    return 1 - lost_in_the_long_run + lost_in_the_long_run * (1 - exp(-rate * days)) / (rate * days)


def days_to_fill(heap_m3: float, mix_m3_per_day: float) -> float:
    """Days in which the mix fills a heap."""
    return heap_m3 / mix_m3_per_day


def standing_heaps(heaps_a_day: float, days: float) -> float:
    """Heaps standing in a stage by Little's law, and the one being filled."""
    return heaps_a_day * days + 1


def turned_volume(mix_m3_per_day: float, days: float, mean_left: float, interval_days: float) -> float:
    """Volume turned in a day (m³): what stands in the stage, shrunk as it is, once every interval."""
    return mix_m3_per_day * days * mean_left / interval_days


def floor_of_bays(bays: float, length: float, width: float) -> float:
    """Floor inside the walls of all bays (m²)."""
    return bays * length * width


def share_of_plot(floor: float, plot_length: float, plot_width: float) -> float:
    """Floor in percent of a rectangular plot."""
    return 100 * floor / (plot_length * plot_width)


def bays_for(heaps: float, in_one_bay: float) -> float:
    """Whole bays for a number of heaps."""
    return whole_up(whole_up(heaps) / in_one_bay)


# ---- the walk through a year ----------------------------------------------------------------------------------


def loads_by_day(by_weekday: Sequence[float], by_month: Sequence[float], festival_month: str, festival_days: int,
                 festival_percent: float, days: int = DAYS_IN_YEAR) -> list[float]:  # fmt: skip
    """What comes in on each of ``days`` from a Monday, 1 January: its month, weekday and the festival multiplied.

    ``by_month`` are means of a day in each month, with the festival in them; only the proportions of ``by_weekday`` count.
    A festival day, in the middle of its month, brings ``festival_percent`` of that month's ordinary day.
    """
    festival_at = list(FESTIVALS).index(festival_month) - 1
    level = festival_percent / 100
    mean_weekday = total(by_weekday) / 7
    weights = [day / mean_weekday if mean_weekday > 0 else 1.0 for day in by_weekday]
    year: list[float] = []
    for month, length in enumerate(DAYS_IN_MONTH):
        ordinary = by_month[month]
        special = festival_days if month == festival_at else 0
        if special:
            # the month's mean has the festival in it; its ordinary days lie lower
            ordinary *= length / (length - special + special * level)
        first = (length - special) // 2
        for day in range(length):
            year.append(ordinary * (level if first <= day < first + special else 1.0))
    return [year[day % DAYS_IN_YEAR] * weights[day % 7] for day in range(days)]


def year_of_volumes(inputs: Inputs) -> list[float]:
    """Volume of mix on each of 365 days: its month, weekday and the festival, scaled to the mean of the year."""
    found = loads_by_day(inputs.wet_kg_by_weekday, inputs.wet_kg_by_month, inputs.festival_month, inputs.festival_days,
                         inputs.festival_percent_of_mean)  # fmt: skip
    mean = total(found) / DAYS_IN_YEAR
    if mean <= 0:
        return [inputs.mix_m3_per_day] * DAYS_IN_YEAR
    return [value * inputs.mix_m3_per_day / mean for value in found]


class Cumulative:
    """Volume that has come in by the end of a day, for a year that repeats for ever (days may be negative)."""

    def __init__(self, volumes: Sequence[float]) -> None:
        self.sums = [0.0]
        for value in volumes:
            self.sums.append(self.sums[-1] + value)

    def __call__(self, day: int) -> float:
        years, rest = divmod(day + 1, DAYS_IN_YEAR)  # day 0 has its own load in it
        return years * self.sums[-1] + self.sums[rest]


def most_heaps_standing(volumes: Sequence[float], heap_m3: float, days: int) -> int:
    """Heaps that can stand at once in a stage, whatever the day on which the first was begun.

    All that came in during the stage's days, in heaps, rounded up, and the one being filled. For even arrivals this is
    the steady-state number rounded up.
    """
    come = Cumulative(volumes)
    largest = max(come(day) - come(day - days) for day in range(DAYS_IN_YEAR))
    return int(whole_up(largest / heap_m3)) + 1


def heaps_day_by_day(volumes: Sequence[float], heap_m3: float, days: int, delay: int = 0) -> list[int]:
    """Heaps standing at the end of each day of a year, the first of them begun with the first day of the year before.

    A heap is there from its first load until ``days`` after it is full. ``delay`` shifts all of it to later.
    """
    come = Cumulative(volumes)
    started = -come(-DAYS_IN_YEAR - 1)
    found = []
    for day in range(DAYS_IN_YEAR):
        begun = math.ceil((come(day - delay) + started) / heap_m3 - 1e-9)
        emptied = math.floor((come(day - delay - days) + started) / heap_m3 + 1e-9)
        found.append(begun - emptied)
    return found


# ---- solving --------------------------------------------------------------------------------------------------


def solve(inputs: Inputs, working: Working) -> Outputs:
    """Heap, stages, bays, and the check through the year."""
    base = inputs.bay_width_m - 2 * inputs.wall_clearance_m
    if base < NARROWEST_BASE_M:
        raise CannotSolve(
            f"A bay {inputs.bay_width_m:g} m wide with {inputs.wall_clearance_m:g} m clear on each side leaves a heap "
            f"{base:.2f} m wide. Make the bay wider or the gap smaller: at least {NARROWEST_BASE_M:g} m must be left.",
            ("bay_width_m", "wall_clearance_m"),
        )
    if inputs.sloped_ends and inputs.heap_length_m < base:
        raise CannotSolve(
            f"A heap with sloped ends and a base of {base:.2f} m must be at least as long as it is wide; "
            f"it is {inputs.heap_length_m:g} m.",
            ("heap_length_m", "sloped_ends"),
        )
    working.note("Base of a heap", base, "m", "Width of the bay less the gap on both sides.")
    top = base * inputs.heap_top_percent / 100
    section = working.step("Cross-section", "m2", cross_section_area, shape=inputs.heap_section, base_m=base,
                           height_m=inputs.heap_height_m, top_m=top, source=source("nrcs_637"))  # fmt: skip
    heap = working.step("Volume of a heap when built", "m3", heap_volume, section=section, length=inputs.heap_length_m,
                        base=base, ends_slope=inputs.sloped_ends)  # fmt: skip
    fill = working.step("Days to fill a heap", "d", days_to_fill, heap_m3=heap, mix_m3_per_day=inputs.mix_m3_per_day)
    rate = 1 / fill
    lost = 1 - inputs.volume_left_end_percent / 100
    left = working.step("Volume left after the first stage", "fraction", volume_left, days=inputs.first_stage_days,
                        lost_in_the_long_run=lost, rate=inputs.shrinkage_rate_per_day)  # fmt: skip
    left_end = volume_left(inputs.first_stage_days + inputs.curing_days, lost, inputs.shrinkage_rate_per_day)
    mean_left = working.step("Mean volume left through the first stage", "fraction", mean_volume_left,
                             days=inputs.first_stage_days, lost_in_the_long_run=lost,
                             rate=inputs.shrinkage_rate_per_day)  # fmt: skip
    standing = working.step("Heaps standing in the first stage", "heap", standing_heaps, heaps_a_day=rate,
                            days=inputs.first_stage_days)  # fmt: skip
    curing_share = left if inputs.rebuilt_for_curing else 1.0
    curing = 0.0
    if inputs.curing_days:
        curing = working.step("Heaps standing in curing", "heap", standing_heaps, heaps_a_day=rate * curing_share,
                              days=inputs.curing_days,
                              note="Heaps a day count smaller where shrunk heaps are merged.")  # fmt: skip
    even = (_bays(standing, inputs.heaps_per_bay), _bays(curing, inputs.heaps_per_bay))
    peak, in_use = working.untraced(_through_the_year, inputs, heap, curing_share, even)
    working.note("First-stage bays: even year and fullest days", f"{even[0]} and {peak[0]}", note=_WALK)
    working.note("Curing bays: even year and fullest days", f"{even[1]} and {peak[1]}", note=_WALK)
    first, cure = peak if inputs.size_for == "peak" else even
    spare, reserve = _extra(inputs, first, cure)
    even_spare, even_reserve = _extra(inputs, *even)
    every_bay = first + cure + spare + reserve
    length = inputs.heaps_per_bay * inputs.heap_length_m + inputs.working_gap_m
    floor = working.step("Floor of all bays", "m2", floor_of_bays, bays=every_bay, length=length, width=inputs.bay_width_m)
    share = None
    if inputs.plot_length_m is not None and inputs.plot_width_m is not None:
        share = working.step("Floor of all bays, in percent of the plot", "percent", share_of_plot, floor=floor,
                             plot_length=inputs.plot_length_m, plot_width=inputs.plot_width_m)  # fmt: skip
    return Outputs(
        bays_total=every_bay,
        first_stage_bays=first,
        curing_bays=cure,
        spare_bays=spare,
        reserve_bays=reserve,
        heap_m3=heap,
        heap_fill_days=fill,
        heap_section_m2=section,
        heap_base_m=base,
        heap_kg=heap * inputs.mix_kg_per_day / inputs.mix_m3_per_day,
        heaps_started_per_day=rate,
        standing_heaps_first_stage=standing,
        standing_heaps_curing=curing,
        even_year_bays=even[0] + even[1] + even_spare + even_reserve,
        peak_bays_needed=peak[0] + peak[1],
        bay_length_m=length,
        bay_floor_m2=floor,
        bays_share_of_plot_percent=share,
        volume_left_first_stage_percent=100 * left,
        turned_m3_per_day=working.step(
            "Volume turned in a day", "m3/d", turned_volume, mix_m3_per_day=inputs.mix_m3_per_day,
            days=inputs.first_stage_days, mean_left=mean_left, interval_days=inputs.turning_interval_days,
        ),
        moved_m3_per_day=inputs.mix_m3_per_day * left,
        screened_m3_per_day=inputs.mix_m3_per_day * left_end,
        finished_kg_per_day=inputs.mix_kg_per_day * inputs.mass_left_percent / 100,
        occupancy_by_month=in_use,
    )  # fmt: skip


_WALK = "The second from all that comes in during the stage's days, for every day of the year, and the heap being filled."


def _through_the_year(inputs: Inputs, heap_m3: float, curing_share: float,
                      even: tuple[int, int]) -> tuple[tuple[int, int], tuple[float, ...]]:  # fmt: skip
    """Bays of the two stages for the fullest days, never fewer than an even year's, and the most in use in each month."""
    volumes = year_of_volumes(inputs)
    fitted = [value * curing_share for value in volumes]
    peak_first = most_heaps_standing(volumes, heap_m3, inputs.first_stage_days)
    peak_curing = most_heaps_standing(fitted, heap_m3, inputs.curing_days) if inputs.curing_days else 0
    peak = (
        max(even[0], _bays(peak_first, inputs.heaps_per_bay)),
        max(even[1], _bays(peak_curing, inputs.heaps_per_bay)),
    )
    days_first = heaps_day_by_day(volumes, heap_m3, inputs.first_stage_days)
    days_curing = [0] * DAYS_IN_YEAR
    if inputs.curing_days:
        days_curing = heaps_day_by_day(fitted, heap_m3, inputs.curing_days, inputs.first_stage_days)
    holding = {heaps: _bays(heaps, inputs.heaps_per_bay) for heaps in {*days_first, *days_curing}}
    in_use = [holding[a] + holding[b] for a, b in zip(days_first, days_curing, strict=True)]
    return peak, _by_month(in_use)


def _bays(heaps: float, in_one_bay: int) -> int:
    return as_count(bays_for(heaps, in_one_bay)) if heaps > 0 else 0


def _extra(inputs: Inputs, first: int, cure: int) -> tuple[int, int]:
    spare = math.ceil(first / inputs.bays_per_spare) if inputs.turning_place == "spare_bay" else 0
    return spare, as_count(whole_up((first + cure) * inputs.reserve_percent / 100))


def _by_month(days: Sequence[int]) -> tuple[float, ...]:
    found, start = [], 0
    for length in DAYS_IN_MONTH:
        found.append(float(max(days[start : start + length])))
        start += length
    return tuple(found)


# ---- words ----------------------------------------------------------------------------------------------------


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    parts = [f"{outputs.first_stage_bays} for the first stage"]
    if outputs.curing_bays:
        parts.append(f"{outputs.curing_bays} for curing")
    if outputs.spare_bays:
        parts.append(f"{outputs.spare_bays} spare to turn into")
    if outputs.reserve_bays:
        parts.append(f"{outputs.reserve_bays} in reserve")
    listed = ", ".join(parts[:-1]) + " and " + parts[-1] if len(parts) > 1 else parts[0]
    return (
        f"Build {say(outputs.bays_total, 'bay')} of {say(inputs.bay_width_m, 'm')} by {say(outputs.bay_length_m, 'm')}: "
        f"{listed}; each takes {'a heap' if inputs.heaps_per_bay == 1 else f'{inputs.heaps_per_bay} heaps'} of "
        f"{say(outputs.heap_m3, 'm3')}."
    )


def _for_stages(outputs: Outputs) -> int:
    """Bays that heaps of the two stages may take: all that are built but the spare ones, which are turned into."""
    return outputs.first_stage_bays + outputs.curing_bays + outputs.reserve_bays


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about this result."""
    found = []
    if outputs.heap_fill_days > LONGEST_FILL_DAYS:
        found.append(
            f"A heap takes {say(outputs.heap_fill_days, 'd')} to fill; beyond a week its first layers are spent before the "
            "last are laid. Make heaps shorter."
        )
    if outputs.heap_fill_days < 1:
        found.append(f"More than one heap is begun in a day ({say(outputs.heaps_started_per_day, 'heap/d')}): longer heaps "
                     "would mean fewer bays and records.")  # fmt: skip
    if inputs.heap_height_m < LOWEST_PILE.typical:
        found.append(f"Below {say(LOWEST_PILE.typical, 'm')} a heap holds heat poorly (published), above all in cold months.")
    if inputs.heap_height_m > AIR_HEIGHT.typical:
        found.append(f"Above {say(AIR_HEIGHT.typical, 'm')} (common practice) air may not reach the heart of a food-rich heap "
                     "by itself: watch for sour smells, or build lower.")  # fmt: skip
    if inputs.wall_clearance_m == 0:
        found.append("No gap is left between heap and wall: the wall carries the heap and its sides get no air.")
    if inputs.low_wall_m > RETAINED.typical:
        found.append(f"A solid wall above {say(RETAINED.typical, 'm')} (limit chosen here) needs an engineer's design where "
                     "material can lean on it.")  # fmt: skip
    if inputs.turning_place == "same_bay" and inputs.working_gap_m == 0:
        found.append("Turning within a bay needs a clear length at its end; none is left.")
    if outputs.heap_base_m > REACH.typical:
        found.append(f"A heap {say(outputs.heap_base_m, 'm')} wide is hard to reach across with a fork.")
    if outputs.even_year_bays < outputs.bays_total:
        found.append(f"An even year would need {say(outputs.even_year_bays, 'bay')}; seasons and festival add "
                     f"{outputs.bays_total - outputs.even_year_bays}.")  # fmt: skip
    have = _for_stages(outputs)
    if max(outputs.occupancy_by_month) > have:
        full = [month for month, used in zip(MONTHS, outputs.occupancy_by_month, strict=True) if used > have]
        found.append(f"Bays run out in {', '.join(full)} even with the reserve: count them for the fullest days.")
    share = outputs.bays_share_of_plot_percent
    if share is not None and share > CROWDED_PLOT.typical:
        found.append(
            f"The floor of the bays alone is {say(share, 'percent')} of the plot"
            + (": they do not fit on it." if share > 100 else
               f"; above {say(CROWDED_PLOT.typical, 'percent')} (chosen here) hardly enough is left for aisles, shredding "
               "floor, stores and a vehicle.")
        )
    found.append("Weekdays, months and the festival are multiplied; the mix is taken to follow the wet waste day by day.")
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """The dangers of heaps and walls."""
    high = inputs.heap_height_m > AIR_HEIGHT.high
    return [
        RaisedCaution("wall_design", f"Walls of {say(inputs.low_wall_m, 'm')} with {say(inputs.mesh_m, 'm')} of mesh on "
                      f"{outputs.bays_total} bays: the heap must stand clear and not lean on them."),
        RaisedCaution("shed_structure", f"{say(outputs.bay_floor_m2, 'm2')} of bays under a roof."),
        RaisedCaution("heap_height_fire", f"Heaps stand {say(inputs.heap_height_m, 'm')} high.", urgent=high),
        RaisedCaution("steam_burn"),
        RaisedCaution("rodent_mesh"),
        RaisedCaution("repeated_work", f"{say(outputs.turned_m3_per_day, 'm3/d')} is turned with forks."),
    ]  # fmt: skip


def _bay(inputs: Inputs, outputs: Outputs) -> Bay:
    return Bay(
        inputs.bay_width_m, outputs.bay_length_m, inputs.low_wall_m, inputs.mesh_m, inputs.heap_section, outputs.heap_base_m,
        outputs.heap_base_m * inputs.heap_top_percent / 100, inputs.heap_height_m, inputs.heap_length_m, inputs.heaps_per_bay,
        inputs.sloped_ends,
    )  # fmt: skip


def _shed(inputs: Inputs) -> Shed:
    eaves = max(inputs.low_wall_m + inputs.mesh_m, inputs.heap_height_m + SHED["room_above_heap_m"].typical, SHED["least_eaves_m"].typical)
    return Shed(
        SHED["aisle_m"].typical, eaves, SHED["roof_pitch_degrees"].typical, SHED["roof_overhang_m"].typical,
        SHED["driven_rain_degrees"].typical, SHED["ridge_opening_m"].typical, SHED["bay_floor_fall_percent"].typical,
    )  # fmt: skip


def drawings(inputs: Inputs, outputs: Outputs, say: Say) -> list[Drawing]:
    """A bay in section; and two rows of such bays under a roof, unless they are too long for that to show anything."""
    made = [through_a_bay(_bay(inputs, outputs), say)]
    if outputs.bay_length_m <= LONGEST_BAY_M:
        made.append(across_the_shed(_bay(inputs, outputs), _shed(inputs), say))
    return made


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """Bays in use through the year."""
    have = _for_stages(outputs)
    return [
        Chart("bars", "Most stage bays in use in each month", "bay", tuple(month[:3] for month in MONTHS),
              (Line("Bays in use", outputs.occupancy_by_month),),
              (Mark(float(have), f"built, spare not counted: {have}"),), axis="Month"),
    ]  # fmt: skip


CALCULATOR = Calculator(
    key="bays", title="Bays", question="How many bays of what size, for how long?", inputs=Inputs, outputs=Outputs,
    solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts, drawings=drawings,
    sources=(source("nrcs_637"), VOLUME_LOST.cited(), RATE.cited(), FIRE_HEIGHT.cited(), LOWEST_PILE.cited(),
             AIR_HEIGHT.cited(), RETAINED.cited(), TURN_EVERY.cited(), REACH.cited(), TURNS_A_WEEK.cited(), CROWDED_PLOT.cited(),
             practice("sizes of bays and heaps, days of the stages")),
)  # fmt: skip
