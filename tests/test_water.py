"""Drainage, rain and water against what stands outside the module: linear programmes, root finders, pint, the year's walk."""

from __future__ import annotations

import dataclasses
import math
import random

import numpy
import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, optimize

from calculators.declare import CannotSolve
from calculators.plan import Plan
from calculators.simulate import heat
from calculators.simulate.water import channel_depth, least_tank, manning_flow, mean_excess, tank_year
from calculators.simulate.year import Scenario, first_stage_rate, run, watered_by_rule
from calculators.topics import water, year
from calculators.topics.arrivals import DAYS_IN_MONTH
from calculators.units import show
from calculators.working import Working

UNITS = pint.UnitRegistry()
MONSOON = (12, 9, 14, 28, 60, 190, 280, 260, 170, 70, 25, 10)


def solved(**answers):  # type: ignore[no-untyped-def]
    inputs = dataclasses.replace(water.Inputs(), **answers)
    return inputs, water.solve(inputs, Working())


def say(value: float, unit: str, digits: int = 3) -> str:
    return show(value, unit, "metric", digits).replace("\u00a0", " ")


# ---- the tank -------------------------------------------------------------------------------------------------


def by_linear_programme(supply: list[float], demand: list[float]) -> tuple[float, float]:
    """What rain can cover at most in a year that repeats, and the smallest tank that covers so much (scipy, HiGHS).

    Unknowns: level, taken and over of each period, and the tank. level[t] = level[t-1] + supply - taken - over.
    """
    n = len(supply)
    balance, right = [], []
    for t in range(n):
        row = [0.0] * (3 * n + 1)
        row[t], row[n + t], row[2 * n + t] = 1.0, 1.0, 1.0
        row[(t - 1) % n] -= 1.0
        balance.append(row)
        right.append(supply[t])
    held = [[1.0 if at == t else -1.0 if at == 3 * n else 0.0 for at in range(3 * n + 1)] for t in range(n)]
    bounds = [(0, None)] * n + [(0, wanted) for wanted in demand] + [(0, None)] * (n + 1)
    most = optimize.linprog([0.0] * n + [-1.0] * n + [0.0] * (n + 1), A_eq=balance, b_eq=right, A_ub=held, b_ub=[0.0] * n,
                            bounds=bounds)  # fmt: skip
    covered = -most.fun
    enough = [0.0] * n + [-1.0] * n + [0.0] * (n + 1)
    least = optimize.linprog([0.0] * (3 * n) + [1.0], A_eq=balance, b_eq=right, A_ub=[*held, enough],
                             b_ub=[0.0] * n + [-covered + 1e-7], bounds=bounds)  # fmt: skip
    return covered, least.fun


def test_the_least_tank_is_that_of_a_linear_programme() -> None:
    chance = random.Random("tanks")
    kinds = set()
    for _ in range(60):
        supply = [chance.choice([0.0, 3.0, chance.uniform(0, 40)]) for _ in range(12)]
        demand = [chance.choice([8.0, chance.uniform(0, 20)]) for _ in range(12)]
        covered, least = by_linear_programme(supply, demand)
        ours = least_tank(supply, demand)
        assert ours == pytest.approx(least, abs=1e-5), (supply, demand)
        assert sum(tank_year(supply, demand, ours).taken) == pytest.approx(covered, abs=1e-5)
        kinds.add(sum(supply) >= sum(demand))
    assert kinds == {True, False}


def test_the_least_tank_is_the_largest_fall_of_the_mass_curve() -> None:
    """Rippl's diagram with numpy: supply less demand added up over two years, its largest fall to a later trough."""
    chance = random.Random("mass curve")
    for _ in range(50):
        supply = numpy.array([chance.uniform(0, 60) for _ in range(12)])
        demand = numpy.full(12, supply.mean() * chance.uniform(0.3, 1.0))
        curve = numpy.concatenate([[0.0], numpy.cumsum(numpy.tile(supply - demand, 2))])
        fall = (numpy.maximum.accumulate(curve) - curve).max()
        assert least_tank(list(supply), list(demand)) == pytest.approx(fall, abs=1e-9)


monthly = st.lists(st.floats(0, 1_000), min_size=12, max_size=12)


@given(monthly, monthly, st.floats(0, 3_000))
@settings(max_examples=150, deadline=None)
def test_the_tank_keeps_its_account(supply: list[float], demand: list[float], capacity: float) -> None:
    """What comes in is taken, runs over or stands in the tank, in each month and over the year, which ends as it began."""
    found = tank_year(supply, demand, capacity)
    before = found.start
    for month in range(12):
        gone = found.taken[month] + found.over[month] + found.level[month]
        assert gone == pytest.approx(before + supply[month], rel=1e-9, abs=1e-9)
        assert found.taken[month] + found.lacking[month] == pytest.approx(demand[month], rel=1e-9, abs=1e-9)
        assert 0 <= found.level[month] <= capacity and min(found.taken[month], found.over[month], found.lacking[month]) >= 0
        assert found.lacking[month] == 0 or found.level[month] == 0  # none lacks while there is any
        before = found.level[month]
    assert found.level[-1] == pytest.approx(found.start, rel=1e-9, abs=1e-6)


def test_the_year_that_repeats_is_where_many_years_end() -> None:
    """Walked on from an empty tank and from a full one for hundreds of years, it comes to the same year."""
    chance = random.Random("many years")
    for _ in range(30):
        supply = [float(chance.randint(0, 40)) for _ in range(12)]
        demand = [float(chance.randint(0, 40)) for _ in range(12)]
        if sum(supply) == sum(demand):
            demand[0] += 1
        capacity = float(chance.choice([0, 5, 30, 100]))
        for level in (0.0, capacity):
            for _ in range(300):
                levels = []
                for given, wanted in zip(supply, demand, strict=True):
                    level = min(capacity, max(0.0, level + given - wanted))
                    levels.append(level)
            assert levels == pytest.approx(tank_year(supply, demand, capacity).level)


# ---- rain, flows, pump ----------------------------------------------------------------------------------------


def test_flows_and_power_in_their_units() -> None:
    """pint carries the units that the formulas leave out."""
    q = UNITS.Quantity
    off = (q(12, "mm") * q(640, "m**2") * 0.85).to("liter").magnitude
    assert water.roof_yield(12, 640, 0.85) == pytest.approx(off, rel=1e-12)
    peak = (0.9 * q(150, "mm/hour") * q(0.13, "hectare")).to("m**3/s").magnitude
    assert water.rational_flow(0.9, 150, 0.13) == pytest.approx(peak, rel=1e-12)
    power = (q(1, "kg/liter") * q(9.81, "m/s**2") * q(0.7, "liter/s") * q(5, "m") / 0.4).to("watt").magnitude
    assert water.pump_power(0.7, 5, 0.4, 9.81) == pytest.approx(power, rel=1e-12)
    assert water.drop(6, 2.5) == pytest.approx((q(6, "m") * q(2.5, "percent")).to("mm").magnitude)


def test_depth_of_a_channel_by_a_root_finder() -> None:
    chance = random.Random("channels")
    for _ in range(100):
        flow, width = 10 ** chance.uniform(-5, 0), chance.uniform(0.05, 2)
        fall, rough = 10 ** chance.uniform(-3, -1), chance.uniform(0.009, 0.02)

        def lacks(depth: float, flow: float = flow, width: float = width, fall: float = fall, rough: float = rough) -> float:
            area, wetted = width * depth, width + 2 * depth
            return area ** (5 / 3) / wetted ** (2 / 3) * math.sqrt(fall) / rough - flow

        wanted = optimize.brentq(lacks, 0, 1e4, xtol=1e-14, rtol=1e-13)
        assert channel_depth(flow, width, fall, rough) == pytest.approx(wanted, rel=1e-9)
        assert water.channel_flow(width, wanted, fall, rough) == pytest.approx(flow, rel=1e-9)
    assert channel_depth(0, 0.2, 0.01, 0.013) == 0


@pytest.mark.parametrize("flow", [1e-4, 0.0033, 0.02])
def test_a_half_round_gutter_carries_its_flow(flow: float) -> None:
    """Its area by integration over the half circle and its wetted length, put into Manning's equation."""
    width = water.half_round_width(flow, 0.005, 0.012)
    area, _ = integrate.quad(lambda x: math.sqrt(max(0.0, width**2 / 4 - x * x)), -width / 2, width / 2)
    assert manning_flow(area, math.pi * width / 2, 0.005, 0.012) == pytest.approx(flow, rel=1e-6)


def test_a_downpipe_is_the_equation_turned_round() -> None:
    for width in (50, 75, 100, 150):
        flow = 2.5e-4 * 0.25 ** (-1 / 6) * width ** (8 / 3) * 0.33 ** (5 / 3)
        assert water.downpipe_width(flow, 0.25, 0.33) == pytest.approx(width, rel=1e-12)


# ---- water of the heaps ---------------------------------------------------------------------------------------


def test_solids_are_lost_by_the_law_of_the_walk() -> None:
    chance = random.Random("solids")
    for _ in range(50):
        lost, first, curing = chance.uniform(0.01, 0.8), chance.randint(7, 180), chance.randint(0, 365)
        rate = first_stage_rate(lost, water.DEGRADABLE, first, curing)
        walked = water.DEGRADABLE * (1 - math.exp(-rate * first))
        ours = water.lost_in_first_stage(lost, first, curing, water.DEGRADABLE, water.CURING_PACE)
        assert ours == pytest.approx(walked, rel=1e-9)
        assert ours <= lost + 1e-12


def test_a_heap_with_its_water_ends_as_moist_as_wanted() -> None:
    """Kept account of by hand: water in, made, added and breathed out, and the moisture at the end."""
    for moisture, lost, evaporated, end in ((0.6, 0.28, 5.9, 0.5), (0.55, 0.4, 5.0, 0.6), (0.5, 0.1, 6.0, 0.45)):
        added = water.heap_water(100.0, moisture, lost, evaporated, 0.6, end)
        solids = 100 * (1 - moisture) * (1 - lost)
        left = 100 * moisture + added + 100 * (1 - moisture) * lost * (0.6 - evaporated)
        assert left / (left + solids) == pytest.approx(end, rel=1e-12)
    assert water.heap_water(100.0, 0.9, 0.1, 5.0, 0.6, 0.5) == 0


def test_water_breathed_out_is_near_what_the_heats_say() -> None:
    """5 to 6 kg for each kg of volatile solids come from 20 MJ/kg, a share of 0.6 to 0.8 and 2.4 to 2.6 MJ/kg (from memory)."""
    warm = solved()[1].evaporated_l_per_kg
    assert 20 * 0.6 / 2.6 < warm - heat.WATER_MADE < 20 * 0.8 / 2.4
    assert solved(outside_c_by_month=(-10.0,) * 12)[1].evaporated_l_per_kg < warm
    # a heat balance of its own: vapour from 0 °C water by the latent heat of steam tables at 55 °C, 2370 kJ/kg (from memory)
    assert water.LATENT == pytest.approx(2.370, rel=0.005)
    assert water.VAPOUR_LEAVING == pytest.approx(0.115, rel=0.01)  # psychrometric charts at 55 °C, from memory


def test_two_models_of_a_heap_agree_roughly() -> None:
    """The balance here and the heap walked through its days, which share constants and little else: within a third."""
    results = Plan({}).evaluate(frozenset(["heat"])).results
    ours, walked = results["water"].outputs.one_heap_water_l, results["heat"].outputs.heap_water_l
    assert ours == pytest.approx(walked, rel=1 / 3)


@given(st.floats(0.3, 0.95), st.floats(0.001, 0.2), st.floats(0.4, 0.9))
@settings(max_examples=60, deadline=None)
def test_batches_drip_as_counted_one_by_one(moisture: float, spread: float, held: float) -> None:
    batches = numpy.linspace(moisture - spread, moisture + spread, 20_001)
    excess = numpy.trapezoid(numpy.maximum(batches - held, 0), batches) / (2 * spread)
    assert mean_excess(moisture, spread, held) == pytest.approx(excess, abs=1e-6)
    assert mean_excess(moisture, 0.0, held) == pytest.approx(max(0.0, moisture - held), abs=1e-15)


# ---- one truth with the walk through the year -----------------------------------------------------------------

EVEN = {
    "market_kg_by_weekday": [0] * 7, "garden_kg_by_month": [20] * 12, "leaves_kg_by_month": [3000] * 12,
    "festival_month": "none", "waste_wetter_by_month": [0] * 12, "outside_c_by_month": [25] * 12, "yard_begins": "steady",
    "working_days_per_week": 7, "absence_percent": 0, "reserve_percent": 60, "leaf_store_m3": 2000,
    "leaf_store_start_percent": 100, "batch_spread_percent": 0, "rain_mm_by_month": [0] * 12, "rest_percent": 0,
    "season_percent_by_month": [100] * 12, "days_per_worker": 7, "wash_goes_to": "sewer",
}  # fmt: skip


@pytest.mark.parametrize("own", [
    {}, {"target_moisture_percent": 52, "solve_for": "carbon_to_nitrogen"}, {"first_stage_days": 30},
    {"solids_lost_percent": 55, "mass_left_percent": 40}, {"watered_below_percent": 52},
])  # fmt: skip
def test_the_walk_through_an_even_year_draws_the_same_water(own: dict[str, object]) -> None:
    """Heaps', mix and washing of a standing even yard, walked through by days, against the balance by months."""
    evaluated = Plan({**EVEN, **own}).evaluate()
    found = evaluated.results["water"].outputs
    standings = evaluated.not_asked["year"].standings
    inputs = year.Inputs(**{name: standing.value for name, standing in standings.items()})
    inputs = dataclasses.replace(inputs, crew_present=100)  # so that no turning waits
    record = run(year.scenario(inputs))
    wanted = found.water_wanted_l_per_day - found.people_l_per_day
    assert found.heap_water_l_per_day > 10
    assert sum(record.water_used_l) / 365 == pytest.approx(wanted, rel=0.03)


def test_a_mix_without_spread_drips_as_in_the_walk() -> None:
    own = {**EVEN, "waste_wetter_by_month": [12] * 12, "sump_l": 1e6, "sump_emptied_every_days": 0, "water_l_per_day": 0}
    evaluated = Plan(own).evaluate()
    found = evaluated.results["water"].outputs
    inputs = year.Inputs(**{name: each.value for name, each in evaluated.not_asked["year"].standings.items()})
    record = run(year.scenario(dataclasses.replace(inputs, crew_present=100)))
    assert found.leachate_l_per_day > 10
    assert record.sump_l[-1] / 365 == pytest.approx(found.leachate_l_per_day, rel=0.01)


def test_watering_by_rule_is_that_of_the_walk() -> None:
    """One load that fills one heap: what the walk draws for it, against the sum over its turnings."""
    for drying in (0.0, 0.03, 0.08, 0.2):
        s = Scenario(days=60, waste_kg_by_day=(1000.0,) + (0.0,) * 59, leaves_kg_per_day_by_month=(0.0,) * 12, heap_m3=5.0,
                     stage_bays=5, first_stage_days=40, curing_days=0, turning_interval_days=3.5, water_rate_per_day=drying,
                     leaf_start_kg=1e5, usable_hours=1e6)  # fmt: skip
        drawn = sum(run(s).water_used_l)
        assert drawn == pytest.approx(5.0 * watered_by_rule(s, 0), rel=1e-9, abs=1e-9)
        assert (drawn > 0) == (drying > 0.02)
        more = dataclasses.replace(s, breathed_l_per_m3_by_month=(20.0,) * 12)
        assert sum(run(more).water_used_l) == pytest.approx(drawn + 100, rel=1e-9)


# ---- the calculator -------------------------------------------------------------------------------------------

yards = st.fixed_dictionaries({
    "rain_mm_by_month": st.tuples(*[st.floats(0, 600)] * 12), "tank_l": st.sampled_from([0.0, 3_000.0, 60_000.0]),
    "wet_kg_by_month": st.tuples(*[st.floats(0, 900)] * 12), "mix_kg_per_day": st.floats(50, 5_000),
    "mix_moisture_percent": st.floats(40, 75), "wash_l_per_working_day": st.floats(0, 2_000),
    "sump_open_m2": st.floats(0, 100), "wash_goes_to": st.sampled_from(["sewer", "sump"]),
})  # fmt: skip


@given(yards, st.floats(1, 2_000), st.floats(1, 4))
@settings(max_examples=60, deadline=None)
def test_a_larger_roof_never_needs_more_from_the_tap(own: dict[str, object], roof: float, times: float) -> None:
    none, small, large = (solved(**own, roof_m2=m2)[1] for m2 in (0.0, roof, roof * times))
    assert large.tap_l_per_day <= small.tap_l_per_day * (1 + 1e-9) + 1e-9
    assert small.tap_l_per_day <= none.tap_l_per_day * (1 + 1e-9) + 1e-9
    assert none.tap_l_per_day == pytest.approx(none.water_wanted_l_per_day, rel=1e-9)
    assert large.gutter_mm >= small.gutter_mm and large.downpipe_mm >= small.downpipe_mm  # type: ignore[operator]


@given(yards, st.floats(10, 300), st.floats(1, 4))
@settings(max_examples=40, deadline=None)
def test_harder_rain_needs_larger_gutters_and_drains(own: dict[str, object], rain: float, times: float) -> None:
    mild, hard = (solved(**own, roof_m2=200.0, open_pad_m2=50.0, design_rain_mm_per_h=each)[1] for each in (rain, rain * times))
    for name in ("gutter_mm", "downpipe_mm", "drain_depth_mm", "open_pad_l_per_s"):
        assert getattr(hard, name) >= getattr(mild, name) * (1 - 1e-12), name
    assert hard.sump_m3 == mild.sump_m3 and hard.tap_l_per_day == mild.tap_l_per_day


@given(yards)
@settings(max_examples=40, deadline=None)
def test_sums_of_the_year_close(own: dict[str, object]) -> None:
    """The tables add up to the means, the sump's ways out to what it gets, and no rain leaves everything to the tap."""
    inputs, found = solved(**own, roof_m2=300.0)
    days = sum(DAYS_IN_MONTH)
    used = sum(sum(row[1:5]) for row in found.uses) * 1000 / days  # type: ignore[arg-type]
    assert used == pytest.approx(found.water_wanted_l_per_day, rel=1e-9)
    assert sum(row[5] for row in found.uses) * 1000 / days == pytest.approx(found.tap_l_per_day, rel=1e-9)  # type: ignore[misc]
    assert sum(row[1] for row in found.months) == pytest.approx(found.roof_m3_per_year, rel=1e-9)  # type: ignore[misc]
    washed = inputs.wash_l_per_working_day * 6 / 7 if inputs.wash_goes_to == "sump" else 0.0
    out = found.sump_to_heaps_l_per_day + found.sump_away_l_per_day
    assert out == pytest.approx(found.leachate_l_per_day + washed, rel=1e-9, abs=1e-9)
    dry = solved(**own | {"rain_mm_by_month": (0.0,) * 12}, roof_m2=300.0)[1]
    assert dry.tap_l_per_day == pytest.approx(dry.water_wanted_l_per_day, rel=1e-9) and dry.tank_m3 == 0


def test_larkhollow_by_its_monsoon() -> None:
    """What the example is made to show: a roof that gives more than enough, at the wrong time for a small tank."""
    own = {"roof_m2": 640}
    result = Plan(own).evaluate().results["water"]
    found = result.outputs
    assert 100 < found.heap_water_l_per_day < 400
    assert found.roof_m3_per_year == pytest.approx(sum(MONSOON) * 640 * 0.85 / 1000)
    assert found.driest_months == "January, February, March"
    assert found.leachate_l_by_month[6] > found.leachate_l_by_month[0] == 0
    assert "your tank of 10\u00a0m³" in result.sentence and "Heaps take about" in result.sentence
    built = Plan({**own, "tank_l": 1000 * found.tank_m3 + 1}).evaluate().results["water"]
    assert built.outputs.driest_months == "none" and "no month runs dry" in built.sentence
    assert built.outputs.tap_l_per_day == pytest.approx(found.people_l_per_day, rel=1e-9)
    smaller = Plan({**own, "tank_l": 990 * found.tank_m3}).evaluate().results["water"].outputs
    assert smaller.driest_months == "March"
    assert {each.key for each in result.cautions} >= {
        "sump_entry", "leachate_reuse", "licensed_electrician", "damaged_cable", "rain_not_for_drinking", "mosquitoes_in_tanks",
        "legionella",
    }  # fmt: skip


def test_what_the_page_says_of_odd_yards() -> None:
    def told(**answers) -> tuple[str, str]:  # type: ignore[no-untyped-def]
        inputs, found = solved(**answers)
        return water.sentence(inputs, found, say), " ".join(water.notices(inputs, found, say))

    assert "no rain is caught" in told()[0]
    assert "No rain was given" in told(roof_m2=50.0)[1]
    small = told(roof_m2=5.0, rain_mm_by_month=MONSOON)
    assert "rain covers" in small[0] and "does not catch enough" in small[1]
    assert "no mains" in told(has_mains=False)[1]
    assert "longer than the shift" in told(tap_l_per_min=0.5)[1]
    assert "wetter than it can hold" in told(mix_moisture_percent=72.0)[1]
    assert "never emptied" in told(sump_emptied_every_days=0)[1]
    assert "no sewer" in told(wash_goes_to="sewer")[1]
    assert "less than 7 days of use" in told(roof_m2=500.0, rain_mm_by_month=MONSOON, tank_l=500.0)[1]
    with pytest.raises(CannotSolve, match="watered"):
        solved(watered_to_percent=30.0)


def test_no_roof_no_gutter_and_a_drum_for_a_sump() -> None:
    found = solved(wash_goes_to="sewer")[1]
    assert found.gutter_mm is None and found.downpipe_mm is None and found.sump_m3 == water.LEAST_SUMP.typical
    stormy = solved(wash_goes_to="sewer", sump_open_m2=40.0, storm_mm=150.0)[1]
    assert stormy.sump_m3 == pytest.approx(40 * 0.150 * 1.25, rel=1e-9)
