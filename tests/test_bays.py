"""Bays against what stands outside the module: heaps followed one by one, scipy, the year of arrivals."""

from __future__ import annotations

import dataclasses
import math

import pytest
from scipy import integrate

from calculators.declare import CannotSolve
from calculators.topics import arrivals, bays
from calculators.units import show
from calculators.working import Working

BASE_M, HEIGHT_M, TOP_M = 1.2, 0.9, 0.6
EDGE_M3 = 1e-9


def solved(**answers):  # type: ignore[no-untyped-def]
    inputs = dataclasses.replace(bays.Inputs(), **answers)
    return inputs, bays.solve(inputs, Working())


def say(value: float, unit: str, digits: int = 3) -> str:
    return show(value, unit, "metric", digits)


def notices(**answers) -> str:  # type: ignore[no-untyped-def]
    return " ".join(bays.notices(*solved(**answers), say))


def follow_heaps(volumes: list[float], heap_m3: float, days: int) -> list[int]:
    """Heaps standing at the end of each day, each heap an object that is begun, filled and carried away.

    Written from the words of the rule and not from the module's sums: tip each day's mix into the open heap, open
    another when it is full, carry a heap away when ``days`` have gone by since the day it became full.
    """
    heaps: list[dict[str, float | int | None]] = []
    standing = []
    for day, load in enumerate(volumes):
        while load > EDGE_M3:
            if not heaps or heaps[-1]["full_on"] is not None:
                heaps.append({"held_m3": 0.0, "full_on": None})
            heap = heaps[-1]
            put = min(load, heap_m3 - heap["held_m3"])  # type: ignore[operator]
            heap["held_m3"] += put  # type: ignore[operator]
            load -= put
            if heap["held_m3"] > heap_m3 - EDGE_M3:  # type: ignore[operator]
                heap["full_on"] = day
        still = [heap for heap in heaps if heap["full_on"] is None or day - heap["full_on"] < days]
        standing.append(len(still))
    return standing


SEASONS = {
    "even": {},
    "market days": {"wet_kg_by_weekday": (0, 80, 310, 80, 80, 290, 70)},
    "seasons": {"wet_kg_by_month": (90, 80, 100, 100, 110, 140, 150, 150, 130, 120, 100, 90)},
    "steep": {"wet_kg_by_month": (260, 30, 210, 60, 300, 40, 180, 20, 280, 90, 240, 50)},
    "festival": {"festival_month": "october", "festival_days": 7, "festival_percent_of_mean": 133.0},
}


@pytest.mark.parametrize("name", SEASONS)
@pytest.mark.parametrize("mix_m3, heap_m3, days", [(2.0, 4.968, 45), (0.37, 1.9, 30), (9.3, 3.1, 60)])
def test_walk_equals_heaps_followed_one_by_one(name: str, mix_m3: float, heap_m3: float, days: int) -> None:
    inputs = dataclasses.replace(bays.Inputs(), mix_m3_per_day=mix_m3, **SEASONS[name])
    volumes = bays.year_of_volumes(inputs)
    assert bays.heaps_day_by_day(volumes, heap_m3, days) == follow_heaps(volumes * 2, heap_m3, days)[365:]


@pytest.mark.parametrize("mix_m3, heap_m3, days", [(2.0, 4.968, 45), (0.37, 1.9, 30), (9.3, 3.1, 60)])
def test_littles_law_by_simulation(mix_m3: float, heap_m3: float, days: int) -> None:
    """Mean of the simulated count against heaps a day x (days + mean time in filling).

    The count lies within one of the law because the law has one whole heap for the place being filled, while a
    simulated day may end with a heap just full (none open).
    """
    followed = follow_heaps([mix_m3] * 730, heap_m3, days)[365:]
    law = bays.standing_heaps(mix_m3 / heap_m3, days)
    assert abs(sum(followed) / 365 - law) <= 1
    assert math.ceil(law - EDGE_M3) - 1 <= max(followed) <= math.ceil(law - EDGE_M3)


@pytest.mark.parametrize(
    "shape, outline",
    [
        ("rectangle", lambda x: HEIGHT_M),
        ("trapezoid", lambda x: HEIGHT_M * min(1.0, (BASE_M / 2 - abs(x)) / ((BASE_M - TOP_M) / 2))),
        ("triangle", lambda x: HEIGHT_M * (1 - abs(x) / (BASE_M / 2))),
        ("parabola", lambda x: HEIGHT_M * (1 - (x / (BASE_M / 2)) ** 2)),
    ],
)
def test_cross_sections_by_integration(shape: str, outline) -> None:  # type: ignore[no-untyped-def]
    area, _ = integrate.quad(outline, -BASE_M / 2, BASE_M / 2, points=[-TOP_M / 2, 0, TOP_M / 2])
    assert bays.cross_section_area(shape, BASE_M, HEIGHT_M, TOP_M) == pytest.approx(area, rel=1e-9)


def test_unknown_cross_section_is_refused() -> None:
    with pytest.raises(ValueError, match="hexagon"):
        bays.cross_section_area("hexagon", 1, 1)


def test_volume_turned_is_what_stands_over_the_interval() -> None:
    """Every day's load followed at its own age: the sum over ages, divided by the interval, against the formula."""
    inputs, outputs = solved(turning_interval_days=3.5)
    lost = 1 - inputs.volume_left_end_percent / 100
    by_age, _ = integrate.quad(
        lambda age: inputs.mix_m3_per_day * (1 - lost * (1 - math.exp(-inputs.shrinkage_rate_per_day * age))),
        0, inputs.first_stage_days,
    )  # fmt: skip
    assert outputs.turned_m3_per_day == pytest.approx(by_age / 3.5, rel=1e-9)


def test_days_follow_the_arrivals_by_weekday_month_and_festival() -> None:
    """The year of mix has the shape of the year that arrivals describe, written out here from its own answers."""
    given = dataclasses.replace(
        arrivals.Inputs(), homes=1150, market_kg_by_weekday=(0,) * 7, festival_month="october", festival_days=7,
        festival_increase_percent=33.0, kitchen_share_by_weekday=(2, 1, 1, 1, 1, 1, 0),
        season_percent_by_month=(90, 90, 100, 100, 100, 120, 130, 130, 120, 110, 100, 90),
    )  # fmt: skip
    came = arrivals.solve(given, Working())
    inputs = dataclasses.replace(
        bays.Inputs(), wet_kg_by_weekday=came.wet_kg_by_weekday, wet_kg_by_month=came.wet_kg_by_month,
        festival_month="october", festival_days=7, festival_percent_of_mean=came.festival_percent_of_mean,
    )  # fmt: skip
    wanted, at = [], 0
    for month, length in enumerate(arrivals.DAYS_IN_MONTH):
        for day in range(length):
            feast = 1.33 if month == 9 and 12 <= day < 19 else 1.0
            wanted.append(given.season_percent_by_month[month] * given.kitchen_share_by_weekday[at % 7] * feast)
            at += 1
    scale = 365 * inputs.mix_m3_per_day / sum(wanted)
    assert bays.year_of_volumes(inputs) == pytest.approx([value * scale for value in wanted], rel=1e-9)


def test_parts_add_up_and_the_sentence_says_them() -> None:
    inputs, outputs = solved()
    parts = (outputs.first_stage_bays, outputs.curing_bays, outputs.spare_bays, outputs.reserve_bays)
    assert outputs.bays_total == sum(parts)
    words = bays.sentence(inputs, outputs, say)
    assert all(str(part) in words for part in (outputs.bays_total, *parts)) and "4.97" in words


def test_turning_within_the_bay_needs_no_spare_bay() -> None:
    _, spare = solved()
    _, within = solved(turning_place="same_bay")
    assert spare.spare_bays > 0 and within.spare_bays == 0 and within.bays_total < spare.bays_total


def test_merging_saves_curing_bays_and_no_curing_needs_none() -> None:
    merged, kept, none = (solved(**each)[1] for each in (
        {"rebuilt_for_curing": True}, {"rebuilt_for_curing": False}, {"curing_days": 0}))  # fmt: skip
    assert none.curing_bays == 0 < merged.curing_bays < kept.curing_bays
    assert merged.first_stage_bays == kept.first_stage_bays == none.first_stage_bays


def test_an_uneven_year_needs_more_and_a_yard_for_the_mean_is_told_when_it_is_full() -> None:
    seasons = (60, 60, 60, 60, 60, 60, 60, 60, 60, 300, 300, 60)
    _, peak = solved(wet_kg_by_month=seasons)
    _, mean = solved(wet_kg_by_month=seasons, size_for="mean")
    assert mean.bays_total == mean.even_year_bays < peak.bays_total
    assert "run out" in notices(wet_kg_by_month=seasons, size_for="mean")
    assert "run out" not in notices(wet_kg_by_month=seasons)


def test_walls_that_leave_no_room_are_refused_in_words() -> None:
    with pytest.raises(CannotSolve, match="wider"):
        solved(bay_width_m=0.9, wall_clearance_m=0.4)
    with pytest.raises(CannotSolve, match="as long as"):
        solved(sloped_ends=True, heap_length_m=1.0)


@pytest.mark.parametrize(
    "answers, words",
    [
        ({"heap_height_m": 1.4}, "air may not reach"),
        ({"wall_clearance_m": 0.0}, "No gap is left"),
        ({"low_wall_m": 1.2}, "engineer"),
        ({"turning_place": "same_bay", "working_gap_m": 0.0}, "clear length"),
        ({"bay_width_m": 2.5}, "hard to reach"),
        ({"heap_height_m": 0.6}, "holds heat poorly"),
        ({"mix_m3_per_day": 0.2}, "to fill"),
    ],
)
def test_remarks_on_limits_stand_where_they_belong(answers: dict[str, object], words: str) -> None:
    assert words in notices(**answers)
    assert words not in notices()


@pytest.mark.parametrize("mix_m3", [0.9, 2.6, 7.7])
def test_bays_in_use_by_month_are_those_of_heaps_followed_one_by_one(mix_m3: float) -> None:
    """At the end of each day its own load is in: a month's most is not the most of the days one earlier."""
    inputs, outputs = solved(mix_m3_per_day=mix_m3, curing_days=0, **SEASONS["market days"], **SEASONS["steep"])
    followed = follow_heaps(bays.year_of_volumes(inputs) * 2, outputs.heap_m3, inputs.first_stage_days)[365:]
    start = 0
    for length, shown in zip(arrivals.DAYS_IN_MONTH, outputs.occupancy_by_month, strict=True):
        assert shown == max(followed[start : start + length])
        start += length
