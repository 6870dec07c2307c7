"""Drawn years: draws and statistics against scipy and numpy, the same luck for every yard, and the door in chunks."""

from __future__ import annotations

import json
import math
import random
from dataclasses import astuple, replace
from functools import cache
from itertools import islice

import numpy
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from calculators.doors import uncertain as door
from calculators.doors.browser import reply
from calculators.drawn_years import scenario_of
from calculators.plan import Plan
from calculators.reference import STATUSES, sources
from calculators.simulate import uncertain
from calculators.simulate.size import Choices, Rates, Service, Shredder, Trials, cheapest_of_all, least_cost
from calculators.simulate.uncertain import MEASURES, MONTHLY, Factor, Outcome, handbook_ranges
from calculators.simulate.year import Scenario, run
from calculators.view.elements import text_of, to_data
from calculators.view.uncertain import measure_first, result, size_found

RANGES = handbook_ranges()
numbers = st.lists(st.one_of(st.integers(-3, 3).map(float), st.floats(-1e6, 1e6)), min_size=1, max_size=40)
SMALL = Scenario(
    days=60, waste_kg_by_day=(80.0,) * 60, leaves_kg_per_day_by_month=(15.0,) * 12, heap_m3=1.5, stage_bays=10,
    first_stage_days=10,
    curing_days=8, turning_interval_days=4, leaf_start_kg=100.0, leaf_store_m3=20.0, rain_mm_by_month=(60.0,) * 12,
    roof_m2=20.0,
    tank_l=500.0, mix_water_l_per_kg=0.1, crew_present=1, waste_hours_per_kg=0.01, build_hours_per_m3=0.8,
    turn_hours_per_m3=0.8,
    move_hours_per_m3=0.9, screen_hours_per_kg=0.005, shredded_share=0.5, shred_hours_per_kg=0.005, rest_weekdays=(6,),
    waiting_limit_kg=160.0,
)  # fmt: skip


@cache
def example_years(count: int) -> tuple[Outcome, ...]:
    return tuple(uncertain.walk_years(SMALL, RANGES, 5, 0, count))


# ---- statistics against scipy and numpy -----------------------------------------------------------------------


@given(numbers, st.floats(0, 100))
@settings(max_examples=200, deadline=None)
def test_percentiles_are_those_of_numpy(values: list[float], percent: float) -> None:
    """numpy.percentile, method 'linear' (its default)."""
    ours = uncertain.percentile(values, percent)
    assert ours == pytest.approx(float(numpy.percentile(values, percent, method="linear")), rel=1e-9, abs=1e-6)
    assert min(values) <= ours <= max(values)


def test_no_values_have_no_percentile_and_no_share() -> None:
    with pytest.raises(ValueError, match="no values"):
        uncertain.percentile([], 50)
    for held, years in ((0, 0), (3, 2), (-1, 5)):
        with pytest.raises(ValueError, match="years"):
            uncertain.share_of(held, years)


@pytest.mark.parametrize("years", [1, 2, 7, 20, 100, 1000])
def test_the_interval_of_a_share_is_scipys(years: int) -> None:
    """scipy.stats.binomtest(…).proportion_ci(method='wilson')."""
    for held in {0, 1, years // 3, years // 2, years - 1, years}:
        ours = uncertain.share_of(held, years)
        theirs = stats.binomtest(held, years).proportion_ci(0.95, method="wilson")
        assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), abs=1e-12)
        assert ours.low <= ours.share <= ours.high


@given(st.integers(2, 40).flatmap(lambda n: st.tuples(*[st.lists(st.integers(-4, 4).map(float), min_size=n, max_size=n)] * 2)))
@settings(max_examples=200, deadline=None)
def test_rank_correlations_are_scipys(pair: tuple[list[float], list[float]]) -> None:
    """scipy.stats.spearmanr, with many ties; where one does not vary it gives no number, and we none."""
    ours = uncertain.rank_correlation(*pair)
    if len(set(pair[0])) == 1 or len(set(pair[1])) == 1:
        assert ours is None
    else:
        assert ours == pytest.approx(float(stats.spearmanr(*pair).statistic), abs=1e-12)


@pytest.mark.parametrize("factor", [*RANGES.year, *RANGES.day], ids=lambda factor: factor.key)
def test_factors_are_drawn_as_scipy_would(factor: Factor) -> None:
    """scipy.stats.triang and uniform: the point below which a share lies, and the mean."""
    width = factor.high - factor.low
    if not width:
        assert factor.at(0.3) == factor.low == factor.mean
        return
    theirs = (
        stats.uniform(factor.low, width)
        if factor.shape == "uniform"
        else stats.triang((factor.typical - factor.low) / width, factor.low, width)
    )
    for share in (0.0, 1e-9, 0.1, 0.25, 0.5, 0.77, 0.999, 1 - 1e-12):
        assert factor.at(share) == pytest.approx(float(theirs.ppf(share)), rel=1e-9, abs=1e-9)
    assert factor.mean == pytest.approx(float(theirs.mean()))


# ---- the ranges -----------------------------------------------------------------------------------------------


def test_every_range_has_its_source_and_what_to_measure() -> None:
    for factor in (*RANGES.year, *RANGES.day):
        assert factor.low <= factor.typical <= factor.high and factor.shape in ("uniform", "triangular")
        assert factor.source in sources() and factor.status in STATUSES and factor.note
    assert all(factor.measure for factor in RANGES.year)
    assert len({factor.key for factor in (*RANGES.year, *RANGES.day)}) == len(RANGES.year) + len(RANGES.day)


def test_typical_factors_leave_the_yard_as_it_is() -> None:
    assert uncertain.with_factors(SMALL, RANGES.typical, SMALL.waste_kg_by_day) == SMALL


@pytest.mark.parametrize("factor", RANGES.year, ids=lambda factor: factor.key)
def test_each_factor_changes_the_year_drawn(factor: Factor) -> None:
    """None is drawn and then forgotten: its ends give different years, in the same luck."""
    drawn = []
    base = replace(SMALL, days=365, waste_kg_by_day=(80.0,) * 365)
    for value in (factor.low, factor.high):
        lot = uncertain.lots(1, 2)
        drawn.append(uncertain._scattered(base, RANGES, RANGES.typical | {factor.key: value}, lot))
    assert drawn[0] != drawn[1]


def test_absence_and_breakdowns_come_as_often_as_drawn() -> None:
    base = replace(SMALL, days=1000, waste_kg_by_day=(1.0,) * 1000)
    drawn = uncertain._scattered(base, RANGES, RANGES.typical | {"absence": 20.0, "breakdown": 10.0}, uncertain.lots(3, 0))
    missing = [outage for outage in drawn.outages if outage.workers]
    broken = [outage for outage in drawn.outages if not outage.workers]
    assert 160 < len(missing) < 240 and 70 < len(broken) < 130  # three standard deviations of the binomial
    assert {outage.days for outage in broken} == {3} and {outage.workers for outage in missing} == {1}
    assert sum(drawn.waste_kg_by_day) / 1000 == pytest.approx(1.0, abs=0.02)  # the scatter does not change the mean


# ---- draws ----------------------------------------------------------------------------------------------------


def test_the_draws_are_pythons_own_stream() -> None:
    """random.Random(seed × 100 000 + number).random(), in the order of the ranges, then three a day."""
    values, scenario = uncertain.draw(SMALL, RANGES, 7, 12)
    stream = random.Random(7 * 100_000 + 12)
    assert values == {factor.key: factor.at(stream.random()) for factor in RANGES.year}
    first = stream.random()
    scatter = RANGES.day[0]
    assert scenario.waste_kg_by_day[0] == pytest.approx(80.0 * values["arrivals"] * scatter.at(first) / scatter.mean)


def test_seeds_and_years_out_of_reach_are_refused() -> None:
    for seed, number in ((-1, 0), (10**9 + 1, 0), (0, -1), (0, 100_000)):
        with pytest.raises(ValueError, match="seed must be"):
            uncertain.lots(seed, number)


def test_every_yard_gets_the_same_luck() -> None:
    """Another yard, of twice the waste and other heaps: the same factors, the same days missing, twice the waste."""
    other = replace(SMALL, waste_kg_by_day=(160.0,) * 60, heap_m3=3.0, crew_present=4, rain_mm_by_month=(0.0,) * 12)
    for number in range(5):
        (one, here), (two, there) = (uncertain.draw(base, RANGES, 9, number) for base in (SMALL, other))
        assert one == two and here.outages == there.outages
        assert there.waste_kg_by_day == pytest.approx([2 * kg for kg in here.waste_kg_by_day])


def test_years_differ_and_seeds_differ() -> None:
    assert len(set(uncertain.draws(SMALL, RANGES, 5, 20)) | set(uncertain.draws(SMALL, RANGES, 6, 20))) == 40


@given(st.integers(1, 9), st.integers(0, 12))
@settings(max_examples=12, deadline=None)
def test_chunks_and_going_on_later_change_nothing(chunk: int, before: int) -> None:
    whole = example_years(10)
    steps = list(uncertain.in_chunks(SMALL, RANGES, 5, 10, chunk, example_years(12)[:before]))
    assert (steps[-1] if steps else whole) == whole
    assert all(len(two) > len(one) for one, two in zip(steps, steps[1:], strict=False))


def test_a_walk_may_be_left_after_any_year() -> None:
    assert tuple(islice(uncertain.walk_years(SMALL, RANGES, 5, 0, 90_000), 3)) == example_years(3)


# ---- bands and rankings ---------------------------------------------------------------------------------------


def test_bands_are_numpys_of_walks_made_anew() -> None:
    records = [run(scenario) for scenario in uncertain.draws(SMALL, RANGES, 5, 30)]
    found = uncertain.bands(example_years(30))
    expected = {
        "most_bays": [max(each.bays_in_use) for each in records], "refused_kg": [sum(each.refused_kg) for each in records],
        "leaf_store_lowest": [min(each.leaf_store_m3) for each in records],
        "leaves_bought": [sum(each.leaves_bought_kg) for each in records],
        "water_used": [numpy.mean(each.water_used_l) for each in records],
    }  # fmt: skip
    for measure, band in zip(MEASURES, found.figures, strict=True):
        if measure.key in expected:
            assert band == pytest.approx(list(numpy.percentile(expected[measure.key], [5, 25, 50, 75, 95])))
        assert list(band) == sorted(band)
    held = sum(1 for each in records if max(each.refused_kg) < 1e-6)
    assert 0 < held < 30 and found.no_refusal == uncertain.share_of(held, 30)
    january = [numpy.mean(each.bays_in_use[:31]) for each in records]
    assert found.months[0][0] == pytest.approx(list(numpy.percentile(january, [5, 25, 50, 75, 95])))
    assert len(found.months) == len(MONTHLY) and found.months[0][5] == (0.0,) * 5  # sixty days do not reach June


def made_up(count: int) -> list[Outcome]:
    """Years in which the fourth factor decides the first figure, the second has a part in it, and nothing else matters."""
    chance = random.Random(4)
    found = []
    for _ in range(count):
        factors = tuple(factor.at(chance.random()) for factor in RANGES.year)
        figures = [0.0] * len(MEASURES)
        figures[0] = 10 * factors[3] + 0.15 * factors[1]
        found.append(Outcome(factors, tuple(figures), ((0.0,) * 12,) * len(MONTHLY)))
    return found


def test_what_decides_is_named_first() -> None:
    years = made_up(200)
    ranked = uncertain.what_to_measure_first(years, RANGES)
    assert [each.factor for each in ranked[:2]] == [RANGES.year[3], RANGES.year[1]]
    assert ranked[0].most == 0 and ranked[0].weight == pytest.approx(ranked[0].correlation**2)
    found = uncertain.influences(years, RANGES, 0)
    theirs = stats.spearmanr([each.factors[3] for each in years], [each.figures[0] for each in years])
    assert found[0].factor == RANGES.year[3] and found[0].correlation == pytest.approx(theirs.statistic)
    assert [each.correlation for each in uncertain.influences(years, RANGES, 1)] == [None] * len(RANGES.year)


def test_what_could_be_chance_is_left_out() -> None:
    """Of figures that nothing decides, about one factor in twenty is named: here in 40 sets of years."""
    named = 0
    for seed in range(40):
        chance = random.Random(seed)
        years = [
            replace(year, factors=tuple(factor.at(chance.random()) for factor in RANGES.year),
                figures=(chance.random(),) + (0.0,) * 6)
            for year in made_up(50)
        ]
        named += len(uncertain.what_to_measure_first(years, RANGES))
    assert 0.02 < named / (40 * len(RANGES.year)) < 0.09


def test_each_thing_by_itself_is_a_walk_of_its_own() -> None:
    swings = list(uncertain.one_at_a_time(SMALL, RANGES, 5))
    centre = uncertain.figures_at(SMALL, RANGES, 5, {})
    assert [each.factor for each in swings] == list(RANGES.year)
    arrivals = swings[0]
    bought = [measure.key for measure in MEASURES].index("leaves_bought")
    assert arrivals.low[bought] < centre[bought] < arrivals.high[bought]
    assert list(uncertain.one_at_a_time(SMALL, RANGES, 5, [2, 3])) == swings[2:4]


# ---- the view -------------------------------------------------------------------------------------------------


def test_what_is_shown_says_what_was_found() -> None:
    years, swings = example_years(30), list(uncertain.one_at_a_time(SMALL, RANGES, 5))
    words = "".join(text_of(node) for node in result(years, swings, uncertain.figures_at(SMALL, RANGES, 5, {}),
        RANGES, "metric"))
    held = uncertain.bands(years).no_refusal.held
    assert f"No waste is refused in {held} of 30 drawn years" in words
    for label in (*(measure.label for measure in MEASURES), *(factor.label for factor in RANGES.year)):
        assert label in words
    assert "when one thing alone" in words and "What to measure first" in words
    assert "tell nothing" in "".join(text_of(node) for node in measure_first(years[:5], RANGES))


# ---- the door -------------------------------------------------------------------------------------------------


def asked(more: dict[str, object], **plan: object) -> dict[str, object]:
    request = {"answers": {}, "example": "pennywhistle", **plan, "uncertain": more}
    return json.loads(reply(json.dumps(request)))


def test_the_door_walks_in_chunks_to_the_same_end() -> None:
    done, steps = None, []
    while not steps or "nodes" not in steps[-1]:
        steps.append(asked({"seed": "3", "draws": 12, "done": done}))
        done = steps[-1]["state"]
    assert [step["done"] for step in steps] == [5, 10, 12, *range(14, 26, 2), 25]
    assert all(step["of"] == 12 + len(RANGES.year) for step in steps)
    assert steps[0]["said"] == "5 of 12 years walked (41 %); no waste refused in 5 of them."
    base = scenario_of(Plan({}, "pennywhistle").evaluate())
    whole = list(uncertain.walk_years(base, RANGES, 3, 0, 12))
    assert json.loads(json.dumps([door._plain(each) for each in whole])) == done["years"]
    assert "Pennywhistle" in steps[-1]["whose"] and "In 12 drawn" not in steps[-1]["said"]
    vectors = json.loads(door.walk_all(json.dumps([{"answers": {}, "example": "pennywhistle", "seed": 3, "draws": 12}])))
    assert vectors[0]["years"] == done["years"] and vectors[0]["share"][0] == 12


def test_a_walk_that_is_stopped_shows_what_there_is() -> None:
    first = asked({"seed": 3, "draws": 40})
    stopped = asked({"seed": 3, "draws": 40, "done": first["state"], "stop": True})
    assert stopped["done"] == 5 and stopped["state"] == first["state"] and stopped["nodes"]
    at_once = asked({"seed": 3, "draws": 40, "stop": True})
    assert at_once["nodes"] == [] and "whose" not in at_once


def test_a_state_of_another_plan_or_seed_is_passed_over() -> None:
    state = asked({"seed": 3, "draws": 40})["state"]
    assert asked({"seed": 3, "draws": 40, "done": state})["done"] == 10
    assert asked({"seed": 4, "draws": 40, "done": state})["done"] == 5
    assert asked({"seed": 3, "draws": 40, "done": state}, answers={"homes": 50})["done"] == 5


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.sampled_from(["mark", "years", "swings", "x"]),
        inner, max_size=4),
    max_leaves=12,
)


@given(json_values, st.sampled_from(["years", "swings"]))
@settings(max_examples=150, deadline=None)
def test_a_damaged_state_is_taken_up_as_nothing(held: object, place: str) -> None:
    state = {"mark": "m", "years": [], "swings": []}
    assert door._taken_up(held, "m", 3, RANGES) == ([], [])
    assert door._taken_up(state | {place: held}, "m", 3, RANGES) == ([], [])


YEAR = [[0] * 13, [0] * 7, [[0] * 12] * 5]


@pytest.mark.parametrize(
    "years", [[[[1e400] * 13, *YEAR[1:]]], [YEAR] * 3, [[*YEAR[:2], [[0] * 11] * 5]], [[[True] * 13, *YEAR[1:]]],
        [YEAR[:2]], [None]]
)  # fmt: skip
def test_a_damaged_state_never_harms(years: object) -> None:
    mark = door._mark(scenario_of(Plan({}, "pennywhistle").evaluate()), 3)
    found = asked({"seed": 3, "draws": 2, "done": {"mark": mark, "years": years, "swings": []}, "stop": True})
    assert "fault" not in found and found["done"] == 0 and found["of"] == 2 + len(RANGES.year)


@pytest.mark.parametrize(
    ("more", "plan", "words"),
    [
        ({"seed": "x"}, {}, "Seed"), ({"seed": -1}, {}, "Seed"), ({"draws": 0}, {}, "Years"), ({"draws": "1e9"}, {}, "Years"),
        ({}, {"answers": {"homes": "many"}}, "No result until"), ({"draws": [3]}, {}, "Years"),
    ],
)  # fmt: skip
def test_what_can_not_be_walked_says_why(more: dict[str, object], plan: dict[str, object], words: str) -> None:
    assert words in str(asked(more, **plan)["stopped"])


def test_a_number_is_never_lost_on_its_way_through_json() -> None:
    held = [door._plain(each) for each in example_years(5)]
    assert json.loads(json.dumps(held)) == [[list(f), list(g), [list(m) for m in months]] for f, g, months in held]
    assert all(math.isfinite(value) for each in example_years(5) for value in (*each.factors, *each.figures))


# ---- the door to the least-cost yard --------------------------------------------------------------------------


def sized(more: dict[str, object], **plan: object) -> dict[str, object]:
    return json.loads(reply(json.dumps({"answers": {}, "example": "pennywhistle", **plan, "size": more})))


def test_the_door_finds_the_least_cost_yard_in_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    """In as many requests as there are steps, and the same as the search in one go; with fewer years, for speed."""
    monkeypatch.setattr(door, "SERVICE", Service(years=20))
    found, requests = sized({}), 1
    while "nodes" not in found:
        found, requests = sized({"done": found["state"]}), requests + 1
    evaluated = Plan({}, "pennywhistle").evaluate()
    base = scenario_of(evaluated)
    prices = [price.default for price in door.PRICES]
    trials = Trials(base, RANGES, door.choices_of(evaluated, base, prices[3:]), door.SERVICE)
    best = least_cost(trials, door._rates(evaluated, base, prices))
    assert best is not None and found["done"] == best.walks and requests == -(-best.walks // door.WALKS_AT_ONCE)
    assert found["nodes"] == json.loads(json.dumps([to_data(node) for node in size_found(best, 95, "metric", buys=True)]))
    assert "Pennywhistle" in str(found["whose"])


def test_the_door_to_the_size_says_what_is_wrong_and_stops() -> None:
    wrong = str(sized({"bay": "-3", "worker": "much"})["stopped"])
    assert "A bay, a year" in wrong and "‘much’" in wrong
    assert "No result until" in str(sized({}, answers={"homes": "many"})["stopped"])
    first = sized({})
    assert first["done"] == door.WALKS_AT_ONCE and "nodes" not in first
    stopped = sized({"done": first["state"], "stop": True})
    assert stopped["done"] == door.WALKS_AT_ONCE and stopped["nodes"] == []
    for damaged in (3, {"mark": first["state"]["mark"], "kept": 3}, first["state"] | {"kept": {"1 1 1 1": 3}},
                    first["state"] | {"kept": {"1 1 1": "+"}}, first["state"] | {"mark": "other"}):  # fmt: skip
        assert sized({"done": damaged})["done"] == door.WALKS_AT_ONCE


def test_the_vectors_of_the_size_are_those_of_trying_everything() -> None:
    """What runtimes are compared by: the same yard as by trying every one, and every walk that it took."""
    asked = {
        "answers": {}, "example": "pennywhistle", "seed": 7, "years": 4, "percent": 75, "bays": [3, 6], "stores_m3": [50, 200],
        "crew": [1, 2], "shredders": [[250, 0.008, 150], [500, 0.005, 300]], "rates": [120, 2500, 4, 0.125],
    }  # fmt: skip
    (found,) = json.loads(door.size_all(json.dumps([asked])))
    choices = Choices((3, 6), (50, 200), (1, 2), (Shredder(250, 0.008, 150), Shredder(500, 0.005, 300)))
    base = scenario_of(Plan({}, "pennywhistle").evaluate())
    trials = Trials(base, RANGES, choices, Service(75, 4, 7))
    best = cheapest_of_all(trials, Rates(120, 2500, 4, 0.125))
    assert best is not None and tuple(found["best"]) == astuple(best.candidate) and found["cost"] == best.cost
    whole = {" ".join(map(str, astuple(candidate))): letters for candidate, letters in trials.kept.items()}
    for name, told in found["tried"].items():
        letters = told.split(" ")[0]
        assert all(letter in (".", known) for letter, known in zip(letters, whole[name], strict=True))
