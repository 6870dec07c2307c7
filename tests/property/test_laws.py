"""Laws that hold for any answers: conservation, proportion, monotony, limits, and results that are always figures."""

from __future__ import annotations

import dataclasses
import json
import math
import random
from collections import Counter

import numpy
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import integrate, optimize

from calculators import catalogue, linear_programme
from calculators.declare import CannotSolve
from calculators.doors.as_data import result_data
from calculators.plan import EXAMPLES, Plan, Result, Stopped
from calculators.topics import arrivals, bays, crew, mix
from calculators.working import Working
from tests.vectors import answers_for, plan_for

MATERIALS = sorted(mix.MATERIALS)
MASS = st.floats(0.5, 5_000)
ingredients = st.lists(st.tuples(st.sampled_from(MATERIALS), MASS), min_size=1, max_size=6)


def solved_mix(**answers):  # type: ignore[no-untyped-def]
    inputs = dataclasses.replace(mix.Inputs(), **answers)
    return inputs, mix.solve(inputs, Working())


def given_mix(rows, bulking=0.0, water=0.0):  # type: ignore[no-untyped-def]
    return solved_mix(
        kitchen_kg_per_day=0.0, mix_method="given", bulking_kg_per_day_given=bulking, water_l_per_day_given=water,
        additions=tuple((key, kg, None, None, None) for key, kg in rows),
    )  # fmt: skip


# ---- mix ------------------------------------------------------------------------------------------------------


@given(ingredients, st.floats(0, 2_000), st.floats(0, 2_000))
@settings(max_examples=150, deadline=None)
def test_blending_conserves(rows, bulking, water) -> None:  # type: ignore[no-untyped-def]
    """Mass, water, carbon and nitrogen of the mix are the sums over its parts."""
    inputs, outputs = given_mix(rows, bulking, water)
    materials = mix._materials(inputs)
    parts = [(materials[key], kg) for key, kg in rows] + [(materials["dry_leaves"], bulking)]
    wet = math.fsum(kg * material.moisture for material, kg in parts) + water
    dry = [(material, kg * (1 - material.moisture)) for material, kg in parts]
    carbon = math.fsum(kg * material.carbon for material, kg in dry)
    nitrogen = math.fsum(kg * material.nitrogen for material, kg in dry)
    mass = math.fsum(kg for _, kg in parts) + water
    assert outputs.mix_kg_per_day == pytest.approx(mass, rel=1e-12)
    assert outputs.mix_kg_per_day * outputs.mix_moisture_percent / 100 == pytest.approx(wet, rel=1e-9)
    assert outputs.mix_dry_kg_per_day == pytest.approx(mass - wet, rel=1e-9)
    assert outputs.mix_carbon_to_nitrogen * nitrogen == pytest.approx(carbon, rel=1e-9)
    assert math.fsum(row[1] for row in outputs.amounts) == pytest.approx(mass, rel=1e-9)


@given(ingredients, st.floats(0, 500), st.floats(0.01, 100))
@settings(max_examples=100, deadline=None)
def test_scaling_masses_leaves_ratios(rows, water, factor) -> None:  # type: ignore[no-untyped-def]
    _, one = given_mix(rows, 10.0, water)
    _, many = given_mix([(key, kg * factor) for key, kg in rows], 10.0 * factor, water * factor)
    for name in ("mix_carbon_to_nitrogen", "mix_moisture_percent", "mix_density_kg_m3", "mix_free_air_space_percent"):
        assert getattr(many, name) == pytest.approx(getattr(one, name), rel=1e-9, abs=1e-9)
    assert many.mix_m3_per_day == pytest.approx(one.mix_m3_per_day * factor, rel=1e-9)


@given(st.floats(1, 5_000), st.floats(0, 3_000), st.sampled_from(["both", "carbon_to_nitrogen", "moisture"]),
       st.floats(18, 45), st.floats(45, 65))  # fmt: skip
@settings(max_examples=200, deadline=None)
def test_one_bulking_meets_its_target(kitchen, market, aim, ratio, moisture) -> None:  # type: ignore[no-untyped-def]
    try:
        inputs, outputs = solved_mix(kitchen_kg_per_day=kitchen, market_kg_per_day=market, solve_for=aim,
                                     target_carbon_to_nitrogen=ratio, target_moisture_percent=moisture)  # fmt: skip
    except CannotSolve:
        assume(False)
    if aim != "moisture":
        assert outputs.mix_carbon_to_nitrogen >= ratio - 1e-6 * ratio
    if aim != "carbon_to_nitrogen":
        assert outputs.mix_moisture_percent == pytest.approx(moisture, rel=1e-6) or (
            outputs.mix_moisture_percent < moisture and outputs.water_l_per_day == 0
        )


def test_closed_forms_agree_with_a_root_finder_and_a_linear_solver() -> None:
    """Against scipy's root finder for one unknown, numpy's linear solver for bulking and water together."""
    chance = random.Random("closed forms")
    for _ in range(300):
        base_m, base_n, base_r = chance.uniform(0.6, 0.9), chance.uniform(0.01, 0.05), chance.uniform(8, 22)
        bulk_m, bulk_n, bulk_r = chance.uniform(0.05, 0.35), chance.uniform(0.002, 0.012), chance.uniform(45, 400)
        target, goal, kg = chance.uniform(24, 40), chance.uniform(0.5, 0.59), chance.uniform(1, 1_000)

        def ratio(q: float) -> float:
            carbon = kg * (1 - base_m) * base_n * base_r + q * (1 - bulk_m) * bulk_n * bulk_r
            return carbon / (kg * (1 - base_m) * base_n + q * (1 - bulk_m) * bulk_n) - target

        ours = mix.bulking_for_carbon(kg, base_m, base_n * base_r, base_n, bulk_m, bulk_n * bulk_r, bulk_n, target)
        assert ours == pytest.approx(optimize.brentq(ratio, 0, 1e7, xtol=1e-12, rtol=1e-14), rel=1e-7)
        moist = mix.bulking_for_moisture(kg, base_m, bulk_m, goal)
        assert (kg * base_m + moist * bulk_m) / (kg + moist) == pytest.approx(goal, rel=1e-12)
        # carbon balance and moisture balance solved together for bulking and water
        row_c = [(1 - bulk_m) * (bulk_n * bulk_r - target * bulk_n), 0.0]
        row_m = [bulk_m - goal, 1 - goal]
        right = [kg * (1 - base_m) * (target * base_n - base_n * base_r), kg * (goal - base_m)]
        bulking, water = numpy.linalg.solve([row_c, row_m], right)
        mass = kg + ours
        added = mix.water_to_add(mass, (kg * base_m + ours * bulk_m) / mass, goal)
        assert (ours, added) == pytest.approx((bulking, water), rel=1e-8, abs=1e-8)


@given(st.lists(st.tuples(st.sampled_from(MATERIALS), st.floats(0, 20)), min_size=1, max_size=6, unique_by=lambda row: row[0]),
       st.floats(20, 2_000), st.floats(0, 2_000))  # fmt: skip
@settings(max_examples=150, deadline=None)
def test_cheapest_mix_meets_limits_and_agrees_with_scipy(rows, kitchen, leaves) -> None:  # type: ignore[no-untyped-def]
    additions = tuple((key, None, 0.0, 3_000.0, price) for key, price in rows)
    inputs = dataclasses.replace(mix.Inputs(), kitchen_kg_per_day=kitchen, leaves_kg_per_day=leaves, mix_method="cheapest",
                                 additions=additions)  # fmt: skip
    materials = mix._materials(inputs)
    open_materials = [materials["dry_leaves"]] + [materials[key] for key, _ in rows]
    limits = mix._limits(inputs, mix._load(inputs, materials), open_materials, [m.name for m in open_materials],
                         [leaves] + [3_000.0] * len(rows))  # fmt: skip
    cost = [mix.TIE_PRICE] + [price + mix.TIE_PRICE for _, price in rows] + [mix.TIE_PRICE]
    signs = [1.0 if limit.relation == "<=" else -1.0 for limit in limits]
    reference = optimize.linprog(
        cost, A_ub=[[sign * c for c in limit.coefficients] for sign, limit in zip(signs, limits, strict=True)],
        b_ub=[sign * limit.bound for sign, limit in zip(signs, limits, strict=True)], method="highs",
        # the price that breaks ties lies near HiGHS' usual tolerance, so it is asked to be as strict as it can be
        options={"dual_feasibility_tolerance": 1e-10, "primal_feasibility_tolerance": 1e-10},
    )  # fmt: skip
    try:
        outputs = mix.solve(inputs, Working())
    except CannotSolve as error:
        assert reference.status == 2, reference.message
        assert "clash" in error.message or "No mix" in error.message
        return
    assert reference.status == 0
    found = linear_programme.minimise(cost, limits)
    assert found.objective == pytest.approx(reference.fun, rel=1e-7, abs=1e-7)
    assert inputs.least_carbon_to_nitrogen - 1e-6 <= outputs.mix_carbon_to_nitrogen <= inputs.most_carbon_to_nitrogen + 1e-6
    assert inputs.least_moisture_percent - 1e-6 <= outputs.mix_moisture_percent <= inputs.most_moisture_percent + 1e-6
    assert outputs.mix_density_kg_m3 <= inputs.most_density_kg_m3 * (1 + 1e-9)


# ---- bays and crew --------------------------------------------------------------------------------------------

bay_answers = st.fixed_dictionaries(
    {
        "bay_width_m": st.floats(1.0, 3.0),
        "heap_height_m": st.floats(0.3, 1.8),
        "heap_length_m": st.floats(1.5, 12),
        "first_stage_days": st.integers(7, 180),
        "curing_days": st.integers(0, 365),
        "heap_section": st.sampled_from(sorted(bays.SECTIONS)),
        "turning_place": st.sampled_from(["spare_bay", "same_bay"]),
        "rebuilt_for_curing": st.booleans(),
        "size_for": st.sampled_from(["peak", "mean"]),
        "heaps_per_bay": st.integers(1, 4),
        "wet_kg_by_weekday": st.tuples(*[st.floats(0, 1_000)] * 7),
        "wet_kg_by_month": st.tuples(*[st.floats(0, 1_000)] * 12),
        "festival_month": st.sampled_from(["none", "march", "october"]),
        "festival_percent_of_mean": st.floats(100, 400),
    }
)


def solved_bays(answers, mix_m3):  # type: ignore[no-untyped-def]
    return bays.solve(dataclasses.replace(bays.Inputs(), mix_m3_per_day=mix_m3, **answers), Working())


@given(bay_answers, st.floats(0.05, 50), st.floats(1.0, 3.0))
@settings(max_examples=150, deadline=None)
def test_more_waste_never_needs_fewer_bays(answers, mix_m3, factor) -> None:  # type: ignore[no-untyped-def]
    less, more = solved_bays(answers, mix_m3), solved_bays(answers, mix_m3 * factor)
    for name in ("bays_total", "first_stage_bays", "curing_bays", "spare_bays", "reserve_bays", "peak_bays_needed"):
        assert getattr(more, name) >= getattr(less, name), name


@given(st.floats(0.05, 30), st.integers(7, 120), st.floats(1, 10))
@settings(max_examples=100, deadline=None)
def test_even_arrivals_agree_with_the_steady_state(mix_m3, days, heap_m3) -> None:  # type: ignore[no-untyped-def]
    """Little's law with the heap being filled, rounded up, is the most that ever stands; the walk is within one of it."""
    volumes = [mix_m3] * 365
    steady = math.ceil(mix_m3 * days / heap_m3 + 1 - 1e-9)
    assert bays.most_heaps_standing(volumes, heap_m3, days) == steady
    walked = max(bays.heaps_day_by_day(volumes, heap_m3, days))
    assert steady - 1 <= walked <= steady


@given(st.lists(st.floats(0, 20), min_size=365, max_size=365), st.integers(7, 120), st.floats(1, 10))
@settings(max_examples=40, deadline=None)
def test_walk_never_exceeds_what_is_sized_for(volumes, days, heap_m3) -> None:  # type: ignore[no-untyped-def]
    assume(sum(volumes) > 1)
    assert max(bays.heaps_day_by_day(volumes, heap_m3, days)) <= bays.most_heaps_standing(volumes, heap_m3, days)


@given(bay_answers, st.floats(0.1, 20))
@settings(max_examples=60, deadline=None)
def test_the_year_carries_the_mean(answers, mix_m3) -> None:  # type: ignore[no-untyped-def]
    inputs = dataclasses.replace(bays.Inputs(), mix_m3_per_day=mix_m3, **answers)
    assert math.fsum(bays.year_of_volumes(inputs)) / 365 == pytest.approx(mix_m3, rel=1e-9)


def test_the_parabola_by_integration() -> None:
    """The other sections, as drawn, are measured in tests/test_drawing.py."""
    smooth, _ = integrate.quad(lambda x: 0.9 * (1 - (x / 0.6) ** 2), -0.6, 0.6)
    assert smooth == pytest.approx(bays.cross_section_area("parabola", 1.2, 0.9, 0.6), rel=1e-10)


def test_sloped_ends_and_shrinkage_by_integration() -> None:
    def section_at(x: float) -> float:
        scale = min(1.0, x / 0.6, (4.6 - x) / 0.6)
        return scale * scale * 1.08  # similar sections: width and height both taper

    numeric, _ = integrate.quad(section_at, 0, 4.6, points=[0.6, 4.0])
    assert bays.heap_volume(1.08, 4.6, 1.2, True) == pytest.approx(numeric, rel=1e-9)
    mean, _ = integrate.quad(lambda t: bays.volume_left(t, 0.5, 0.025), 0, 45)
    assert bays.mean_volume_left(45, 0.5, 0.025) == pytest.approx(mean / 45, rel=1e-10)


@given(st.floats(0, 1), st.floats(0, 5_000), st.floats(0, 5_000))
@settings(max_examples=80, deadline=None)
def test_more_work_never_needs_fewer_people(share, received, turned) -> None:  # type: ignore[no-untyped-def]
    base = crew.Inputs()
    low = dataclasses.replace(base, received_kg_per_day=received * share, turned_m3_per_day=turned * share)
    high = dataclasses.replace(base, received_kg_per_day=received, turned_m3_per_day=turned)
    assert crew.solve(high, Working()).crew_count >= crew.solve(low, Working()).crew_count


def test_hands_wait_for_a_slow_shredder() -> None:
    """80 kg at a machine of 40 kg/h that two people serve: two hours, four worker-hours; and muffs for those two."""
    base = dataclasses.replace(crew.Inputs(), bulking_kg_per_day=80.0, shredded_percent=100.0, shredder_kg_per_hour=40.0,
                               shredder_hands=2, working_days_per_week=7)  # fmt: skip
    outputs = crew.solve(base, Working())
    shred = next(row for row in outputs.hours_by_task if row[0] == crew.TASKS["shred"]["task"])
    assert outputs.shredder_hours_per_day == pytest.approx(2) and shred[3] == pytest.approx(4)
    muffs = {row[0]: row[1] for row in outputs.equipment}["ear muffs"]
    assert muffs == 2
    none = crew.solve(dataclasses.replace(base, bulking_kg_per_day=0.0), Working())
    assert {row[0]: (row[1], row[2]) for row in none.equipment}["ear muffs"] == (0, 0)


def test_hours_grow_to_the_steady_work() -> None:
    outputs = crew.solve(crew.Inputs(), Working())
    weeks = [row[1] for row in outputs.hours_by_week]
    assert all(later >= earlier - 1e-9 for earlier, later in zip(weeks, weeks[1:], strict=False))
    assert weeks[-1] == pytest.approx(outputs.worker_hours_per_working_day, rel=1e-9)


# ---- arrivals -------------------------------------------------------------------------------------------------


def test_means_against_a_calendar_counted_day_by_day() -> None:
    """The year's mean equals the mean of 365 days counted one by one, over all seven starting weekdays."""
    inputs = dataclasses.replace(
        arrivals.Inputs(), market_kg_by_weekday=(0, 0, 420, 0, 0, 680, 0), season_percent_by_month=tuple(range(80, 140, 5)),
        garden_kg_by_month=tuple(range(12)), festival_month="october", festival_days=7, festival_increase_percent=40.0,
        kitchen_share_by_weekday=(2, 0, 1, 1, 1, 1, 1),
    )  # fmt: skip
    kitchen = inputs.homes * inputs.people_per_home * inputs.kitchen_kg_per_person * 0.6 * 0.7
    total = 0.0
    for start in range(7):
        day = start
        for month, days in enumerate(arrivals.DAYS_IN_MONTH):
            for date in range(days):
                level = 1.4 if month == 9 and (days - 7) // 2 <= date < (days - 7) // 2 + 7 else 1.0
                season = inputs.season_percent_by_month[month] / 100 * level
                share = inputs.kitchen_share_by_weekday[day % 7]
                total += (kitchen * share + inputs.market_kg_by_weekday[day % 7]) * season + inputs.garden_kg_by_month[month]
                day += 1
    outputs = arrivals.solve(inputs, Working())
    assert outputs.received_kg_per_day == pytest.approx(total / 7 / 365, rel=1e-9)


@given(st.integers(0, 100_000), st.integers(0, 100_000), st.floats(0, 100), st.floats(0, 100))
@settings(max_examples=80, deadline=None)
def test_more_homes_never_bring_less(homes, more, taking, capture) -> None:  # type: ignore[no-untyped-def]
    few = dataclasses.replace(arrivals.Inputs(), homes=homes, participation_percent=taking, capture_percent=capture)
    many = dataclasses.replace(few, homes=homes + more)
    less, greater = arrivals.solve(few, Working()), arrivals.solve(many, Working())
    assert greater.received_kg_per_day >= less.received_kg_per_day
    assert greater.kept_kg_per_day + greater.rejects_kg_per_day == pytest.approx(greater.received_kg_per_day, abs=1e-9)


# ---- every calculator -----------------------------------------------------------------------------------------


def _finite(value) -> bool:  # type: ignore[no-untyped-def]
    if isinstance(value, dict):
        return all(_finite(item) for item in value.values())
    if isinstance(value, (list, tuple)):
        return all(_finite(item) for item in value)
    return not isinstance(value, float) or math.isfinite(value)


def _good(part: Result | Stopped) -> bool:
    """Whether it is solved. Asserts that all it says is finite and can be read, a reason included."""
    held = result_data(part, working=True)
    assert _finite(held), held
    json.dumps(held, allow_nan=False)
    if isinstance(part, Result):
        assert part.sentence.endswith(".") and "nan" not in part.sentence and "inf " not in part.sentence
    else:
        assert part.message.endswith(".")
    return isinstance(part, Result)


@pytest.mark.parametrize("seed", range(4))
def test_any_allowed_answers_give_figures_or_reasons(seed: int) -> None:
    """For many random plans of allowed answers: finite outputs, words that can be read, or a reason; never an exception."""
    chance = random.Random(f"figures {seed}")
    solved: Counter[str] = Counter()
    for _ in range(100):
        drawn = plan_for(chance)
        evaluated = Plan(drawn["answers"], drawn["example"]).evaluate()
        assert not [each for each in evaluated.problems if each.name in drawn["answers"]], evaluated.problems
        solved.update(part.calculator.key for part in evaluated.steps if _good(part))
    assert min(solved[key] for key in catalogue.AT_ONCE) > 30, solved


@pytest.mark.parametrize("key", sorted(catalogue.ON_REQUEST))
def test_any_allowed_answers_give_figures_or_reasons_on_request(key: str) -> None:
    chance = random.Random(f"figures {key}")
    solved = 0
    for _ in range(40):  # each of its walks takes long
        answers = answers_for(catalogue.BY_KEY[key], chance)
        evaluated = Plan(answers, chance.choice([*EXAMPLES, None])).evaluate(only=key)
        assert not [each for each in evaluated.problems if each.name in answers], evaluated.problems
        solved += _good(evaluated.step(key))
    assert solved > 5
