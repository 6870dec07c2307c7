"""The least-cost yard: the search against trying everything, on small random yards, and what more of each thing does."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import product

import pytest

from calculators.simulate.size import (
    Candidate,
    Choices,
    OutOfWalks,
    Rates,
    Service,
    Shredder,
    Trials,
    as_built,
    built_bays,
    cheapest_of_all,
    cost_per_year,
    from_state,
    least_cost,
    to_state,
    year_holds,
)
from calculators.simulate.uncertain import handbook_ranges
from calculators.simulate.year import Scenario, run

RANGES = handbook_ranges()
YARDS = 64
SERVICE = Service(percent=75, years=4, seed=3, most_owed_days=3)


def small_yard(number: int) -> tuple[Scenario, Choices, Rates]:
    """A random yard of a few bays over some weeks, often short of each of the things that may be chosen."""
    lot = random.Random(number)
    days = 24
    daily = lot.uniform(60, 160)
    base = Scenario(
        days=days, waste_kg_by_day=tuple(daily * (0.4 if day % 7 == 6 else 1.1) for day in range(days)),
        leaves_kg_per_day_by_month=(lot.uniform(0.1, 0.4) * daily,) * 12, heap_m3=lot.uniform(0.8, 2), stage_bays=4,
        first_stage_days=lot.randint(3, 7), curing_days=lot.randint(2, 6), turning_interval_days=lot.randint(2, 5),
        start=lot.choice(("empty", "empty", "steady")), leaf_policy=lot.choice(("buy", "stretch", "refuse")), least_recipe_share=0.7,
        bulking_kg_per_kg=lot.uniform(0.15, 0.4), leaf_store_m3=20.0, leaf_start_kg=lot.uniform(500, 2000), crew_present=1,
        usable_hours=lot.uniform(3.5, 6.4), rest_weekdays=lot.choice(((), (6,))), waste_hours_per_kg=0.006, shredded_share=0.5,
        build_hours_per_m3=0.8, turn_hours_per_m3=0.8, move_hours_per_m3=0.9, screen_hours_per_kg=0.005,
        merged_for_curing=lot.random() < 0.7, waiting_limit_kg=2 * daily, clean_hours_per_day=0.5,
    )  # fmt: skip
    least = lot.randint(2, 7)
    store = lot.uniform(5, 20)
    choices = Choices(
        (least, least + lot.randint(3, 5)), (store, store * 3), (1, 2),
        (Shredder(100.0, 0.02, lot.uniform(0, 50)), Shredder(400.0, 0.005, lot.uniform(50, 400))),
    )  # fmt: skip
    return base, choices, Rates(lot.uniform(20, 300), lot.uniform(300, 3000), lot.uniform(0, 20), lot.choice((0.0, 0.125)))


def test_the_search_finds_what_trying_everything_finds() -> None:
    equal = found = walks = every = 0
    for number in range(YARDS):
        base, choices, rates = small_yard(number)
        exhaustive = Trials(base, RANGES, choices, SERVICE)
        searched = Trials(base, RANGES, choices, SERVICE)
        best, quick = cheapest_of_all(exhaustive, rates), least_cost(searched, rates)
        walks, every = walks + searched.total, every + exhaustive.total
        assert (best is None) == (quick is None), number
        if best is not None and quick is not None:
            found += 1
            equal += best.candidate == quick.candidate and best.cost == quick.cost and best.share == quick.share
    print(f"{found} yards of {YARDS} can be served; equal in {equal}; {walks} walks in place of {every}")
    assert equal == found >= 40 and YARDS - found >= 5
    assert walks < every


def test_more_is_almost_never_worse() -> None:
    """Each pair of neighbours in each drawn year of the small yards: how often more of a thing breaks a year that held."""
    pairs = worse = 0
    for number in range(0, YARDS, 4):
        base, choices, rates = small_yard(number)
        trials = Trials(base, RANGES, choices, SERVICE)
        cheapest_of_all(trials, rates)
        for candidate, letters in trials.kept.items():
            for name in ("bays", "store", "crew", "shredder"):
                larger = trials.kept.get(replace(candidate, **{name: getattr(candidate, name) + 1}))
                for before, after in zip(letters, larger or "", strict=False):
                    pairs += 1
                    worse += before == "+" and after == "-"
    print(f"more was worse in {worse} of {pairs} pairs")
    assert pairs > 1_000 and worse < pairs / 200
