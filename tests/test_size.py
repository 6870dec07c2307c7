"""The least-cost yard: the search against trying everything, on small random yards, and what more of each thing does."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache

import pytest

from calculators.simulate.size import (
    Candidate,
    Choices,
    OutOfWalks,
    Rates,
    Service,
    Shredder,
    Sized,
    Trials,
    as_built,
    bought_in_a_walk,
    built_bays,
    cheapest_of_all,
    cost_per_year,
    from_state,
    least_bought,
    least_cost,
    to_state,
    year_holds,
)
from calculators.simulate.uncertain import draws, handbook_ranges
from calculators.simulate.year import Scenario, run
from calculators.view.elements import text_of
from calculators.view.uncertain import size_found

RANGES = handbook_ranges()
YARDS = 72
SERVICE = Service(percent=75, years=4, seed=3, most_owed_days=3)


def small_yard(number: int) -> tuple[Scenario, Choices, Rates]:
    """A random yard of a few bays over some weeks, often short of each of the things that may be chosen."""
    lot = random.Random(number)
    days = 18
    daily = lot.uniform(60, 160)
    base = Scenario(
        days=days, waste_kg_by_day=tuple(daily * (0.4 if day % 7 == 6 else 1.1) for day in range(days)),
        leaves_kg_per_day_by_month=(lot.uniform(0.1, 0.4) * daily,) * 12, heap_m3=lot.uniform(0.8, 2), stage_bays=4,
        first_stage_days=lot.randint(3, 7), curing_days=lot.randint(2, 6), turning_interval_days=lot.randint(2, 5),
        start=lot.choice(("empty",) * 5 + ("steady",)), leaf_policy=lot.choice(("buy", "stretch", "refuse")),
        least_recipe_share=0.7,
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


@cache
def everything_tried(number: int) -> tuple[Trials, Sized | None]:
    base, choices, rates = small_yard(number)
    trials = Trials(base, RANGES, choices, SERVICE)
    return trials, cheapest_of_all(trials, rates)


def test_the_search_finds_what_trying_everything_finds() -> None:
    equal = found = walks = every = 0
    for number in range(YARDS):
        base, choices, rates = small_yard(number)
        exhaustive, best = everything_tried(number)
        searched = Trials(base, RANGES, choices, SERVICE)
        quick = least_cost(searched, rates)
        walks, every = walks + searched.total, every + exhaustive.total
        assert (best is None) == (quick is None), number
        if best is not None and quick is not None:
            found += 1
            equal += best.candidate == quick.candidate and best.cost == quick.cost and best.share == quick.share
    print(f"{found} yards of {YARDS} can be served; equal in {equal}; {walks} walks in place of {every}")
    assert equal == found >= 50 and YARDS - found >= 5
    assert walks < every


BUYING = 72


@cache
def buying_yard(number: int) -> tuple[Scenario, Choices, Rates]:
    """A small yard that has too few leaves and buys, with a price from one that hardly matters to one that decides."""
    base, choices, rates = small_yard(number)
    lot = random.Random(1000 + number)
    base = replace(
        base, days=14, waste_kg_by_day=base.waste_kg_by_day[:14], leaf_policy="buy", leaf_start_kg=lot.uniform(0, 2000),
        leaves_kg_per_day_by_month=(lot.uniform(0, 0.15) * base.waste_kg_by_day[0],) * 12,
        waiting_limit_kg=lot.uniform(1.2, 2.5) * base.waste_kg_by_day[0],
    )  # fmt: skip
    low, high = choices.bays
    stores = tuple(sorted(lot.uniform(0.3, 5) for _ in range(3)))
    choices = Choices((low, min(high, low + 3)), stores, choices.crew, choices.shredders[0 if number % 4 == 0 else 1 :])
    return base, choices, replace(rates, bulking_kg=lot.choice((0.02, 0.3, 1.0, 5.0)), store_m3=lot.uniform(0, 40))


@cache
def everything_bought(number: int) -> Trials:
    base, choices, rates = buying_yard(number)
    trials = Trials(base, RANGES, choices, SERVICE)
    cheapest_of_all(trials, rates)
    return trials


@pytest.mark.parametrize("cut", [None, 9])
def test_with_a_price_of_bulking_the_search_finds_what_trying_everything_finds(cut: int | None) -> None:
    """In one go, and handed on in small parts as a page does it (there for some of the yards)."""
    equal = found = walks = every = other = 0
    for number in range(BUYING if cut is None else 8):
        base, choices, rates = buying_yard(number)
        exhaustive = everything_bought(number)
        best = cheapest_of_all(exhaustive, rates)
        state: dict[str, str] = {}
        while True:
            searched = Trials(base, RANGES, choices, SERVICE, *from_state(state, SERVICE), most_walks=cut)
            try:
                quick = least_cost(searched, rates)
                break
            except OutOfWalks:
                state = to_state(searched)
        walks, every = walks + searched.total, every + exhaustive.total
        assert (best is None) == (quick is None), number
        if best is not None and quick is not None:
            found += 1
            equal += replace(best, walks=0, tried=0) == replace(quick, walks=0, tried=0)
            assert best.cost == cost_per_year(best.candidate, choices, rates) + best.bought_cost
            unpriced = cheapest_of_all(exhaustive, replace(rates, bulking_kg=0))
            other += unpriced is not None and unpriced.candidate != best.candidate
    print(f"{found} yards can be served; equal in {equal}, other than without a price in {other}; {walks} walks for {every}")
    assert equal == found and walks < every
    if cut is None:
        assert found >= 50 and other >= 10


def test_no_yard_that_serves_buys_less_than_the_bound() -> None:
    """The bound of each store against what every candidate that serves bought; it is close where the store decides."""
    close = told = more_bays = less = 0
    for number in range(BUYING):
        base, choices, _ = buying_yard(number)
        trials = everything_bought(number)
        least = least_bought(base, RANGES, choices, SERVICE)
        for candidate, letters in trials.kept.items():
            if letters.count("-") > SERVICE.may_fail:
                continue
            bought = trials.mean_bought(candidate)
            assert bought >= least[candidate.store], (number, candidate)
            told += bought > 50
            close += bought > 50 and least[candidate.store] > 0.5 * bought
            larger = replace(candidate, bays=candidate.bays + 1)
            if trials.kept.get(larger, "-" * SERVICE.years).count("-") <= SERVICE.may_fail:
                more_bays += 1
                less += trials.mean_bought(larger) < bought
    print(f"bound above half in {close} of {told}; more bays bought less in {less} of {more_bays}")
    assert told > 100 and close > told / 4 and more_bays > 100 and less <= more_bays / 200


def test_what_must_be_bought_by_hand() -> None:
    """30 kg of bulking a day, 10 kg of leaves: 100 kg in store last five days; then 20 kg a day, but for what may wait."""
    s = Scenario(
        days=20, waste_kg_by_day=(100.0,) * 20, leaves_kg_per_day_by_month=(10.0,) * 12, heap_m3=5.0, stage_bays=50,
        first_stage_days=20, curing_days=0, turning_interval_days=5, leaf_start_kg=100.0, waiting_limit_kg=50.0, crew_present=20,
    )  # fmt: skip
    assert bought_in_a_walk(s) == pytest.approx(15 * 20 - 50 * 0.3)
    assert sum(run(s).leaves_bought_kg) == pytest.approx(15 * 20)
    assert bought_in_a_walk(replace(s, leaf_policy="refuse")) == 0
    # a store of 50 kg overflows in February: January and March are counted each with what may wait
    months = replace(
        s, days=90, waste_kg_by_day=(100.0,) * 90, leaves_kg_per_day_by_month=(0.0, 90.0) + (0.0,) * 10, leaf_store_m3=0.5,
    )  # fmt: skip
    # on the last of February 50 kg lie there before 30 are used
    assert bought_in_a_walk(months) == pytest.approx((31 * 30 - 50 - 15) + (31 * 30 - 20 - 15))
    assert sum(run(months).leaves_bought_kg) == pytest.approx((31 * 30 - 50) + (31 * 30 - 20))


def test_more_is_almost_never_worse() -> None:
    """Each pair of neighbours in each drawn year of the small yards: how often more of a thing breaks a year that held."""
    pairs = worse = 0
    for number in range(YARDS):
        trials, _ = everything_tried(number)
        for candidate, letters in trials.kept.items():
            for name in ("bays", "store", "crew", "shredder"):
                larger = trials.kept.get(replace(candidate, **{name: getattr(candidate, name) + 1}))
                for before, after in zip(letters, larger or "", strict=False):
                    pairs += 1
                    worse += before == "+" and after == "-"
    print(f"more was worse in {worse} of {pairs} pairs")
    assert pairs > 10_000 and worse < pairs / 200


# ---- the parts ------------------------------------------------------------------------------------------------


def test_what_is_found_serves_by_walks_made_anew() -> None:
    """Held against walks outside the search: the yard found holds in enough of the drawn years, a cheaper one does not."""
    base, choices, rates = small_yard(1)
    found = least_cost(Trials(base, RANGES, choices, SERVICE), rates)
    assert found is not None

    def held(candidate: Candidate) -> int:
        built = as_built(base, candidate, choices)
        return sum(year_holds(run(scenario), SERVICE) for scenario in draws(built, RANGES, SERVICE.seed, SERVICE.years))

    assert held(found.candidate) == found.share.held >= 0.75 * SERVICE.years
    fewer = replace(found.candidate, bays=found.candidate.bays - 1)
    assert fewer.bays < choices.bays[0] or held(fewer) < 0.75 * SERVICE.years
    assert found.cost == pytest.approx(
        found.bays_built * rates.bay + found.leaf_store_m3 * rates.store_m3 + found.candidate.crew * rates.worker
        + found.shredder.cost_per_year
    )  # fmt: skip


def test_ties_go_to_fewer_bays_then_smaller_store_crew_and_shredder() -> None:
    """Where nothing costs anything, every candidate that serves costs the same."""
    free = Rates(0, 0, 0)
    for number in range(6):
        base, choices, _ = small_yard(number)
        free_choices = replace(choices, shredders=tuple(replace(each, cost_per_year=0) for each in choices.shredders))
        trials, searched = (Trials(base, RANGES, free_choices, SERVICE) for _ in range(2))
        best, quick = cheapest_of_all(trials, free), least_cost(searched, free)
        assert (best and best.candidate) == (quick and quick.candidate)
        if best:
            serving = [each for each, letters in trials.kept.items() if letters.count("-") <= SERVICE.may_fail]
            assert best.candidate == min(serving, key=lambda each: (each.bays, each.store, each.crew, each.shredder))


def test_a_search_cut_short_goes_on_where_it_was() -> None:
    """As a page does it: a few walks for each request, and what was tried handed on as text."""
    base, choices, rates = small_yard(2)
    whole = Trials(base, RANGES, choices, SERVICE)
    expected = least_cost(whole, rates)
    state: dict[str, str] = {}
    for requests in range(1, 1000):
        trials = Trials(base, RANGES, choices, SERVICE, *from_state(state, SERVICE), most_walks=7)
        try:
            found = least_cost(trials, rates)
            break
        except OutOfWalks:
            state = to_state(trials)
    assert found == expected and requests == -(-whole.total // 7)
    assert trials.kept == whole.kept and trials.bought == whole.bought


@pytest.mark.parametrize("state", [{"1 2 3": "++++ 0"}, {"1 2 3 x": "++++ 0"}, {"1 2 3 4": "+++ 0"}, {"1 2 3 4": "+++? 0"},
    {"²  1 1": "++++ 0"}, {"1 2 3 4": "++++"}, {"1 2 3 4": "++++ -3"}, {"1 2 3 4": "++++ nan"}])
def test_a_damaged_state_is_refused(state: dict[str, str]) -> None:
    with pytest.raises(ValueError, match="candidate|does not tell"):
        from_state(state, SERVICE)


def test_spare_bays_and_service_are_rounded_to_the_safe_side() -> None:
    rates = Rates(1, 1, 1, spare_per_bay=0.125)
    assert [built_bays(bays, rates) for bays in (0, 1, 8, 9, 16)] == [0, 2, 9, 11, 18]
    assert [Service(percent, 100).may_fail for percent in (95, 94.5, 100, 99.9)] == [5, 5, 0, 0]
    assert Service(95, 10).may_fail == 0 and Service(0, 10).may_fail == 10


def test_what_can_not_be_chosen_from_is_refused() -> None:
    shredder = Shredder(100, 0.02, 1)
    for bays, stores, crew, shredders in (
        ((3, 2), (1.0,), (1, 1), (shredder,)), ((-1, 2), (1.0,), (1, 1), (shredder,)), ((1, 2), (), (1, 1), (shredder,)),
        ((1, 2), (2.0, 1.0), (1, 1), (shredder,)), ((1, 2), (1.0,), (1, 1), ()),
        ((1, 2), (1.0,), (1, 1), (shredder, Shredder(50, 0.01, 1))),
        ((1, 2), (1.0,), (1, 1), (shredder, Shredder(200, 0.03, 1))),
    ):  # fmt: skip
        with pytest.raises(ValueError, match="must"):
            Choices(bays, stores, crew, shredders)
    with pytest.raises(ValueError, match="below 0"):
        Rates(-1, 0, 0)


def test_a_crew_that_never_turns_does_not_serve() -> None:
    """It refuses nothing, and owes more every week."""
    lazy = Scenario(
        days=100, waste_kg_by_day=(100.0,) * 100, leaves_kg_per_day_by_month=(30.0,) * 12, heap_m3=2.0, stage_bays=100,
        first_stage_days=60, curing_days=30, turning_interval_days=3, crew_present=1, build_hours_per_m3=5.0,
        turn_hours_per_m3=5.0,
    )  # fmt: skip
    record = run(lazy)
    assert not any(record.refused_kg) and not year_holds(record, Service())
    assert year_holds(run(replace(lazy, crew_present=100)), Service())


def test_the_words_of_what_was_found() -> None:
    base, choices, rates = small_yard(1)
    found = least_cost(Trials(base, RANGES, choices, SERVICE), rates)
    assert found is not None
    words = " ".join(text_of(node) for node in size_found(found, SERVICE.percent, "metric"))
    assert f"{found.share.held} of {SERVICE.years} drawn years" in words and f"{found.walks} simulated years" in words
    assert "No yard of those allowed serves" in " ".join(text_of(node) for node in size_found(None, 95, "metric"))
