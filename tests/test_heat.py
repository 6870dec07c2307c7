"""The heat of a heap: formulas against tables and other software, balances that close, laws that any heap obeys."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy import constants
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

from calculators.plan import Plan
from calculators.simulate import heat
from calculators.topics import heat as topic
from calculators.topics.bays import cross_section_area

ATOMS = {"C": 12.011, "H": 1.008, "O": 15.999, "N": 14.007}
"""Standard atomic weights (IUPAC, abridged)."""


def heap_of(moisture: float = 0.6, group: str = "mixed", size: float = 1.0, free_air: float = 0.6, density: float = 400.0,
            celsius: float = 25.0, **more: Any) -> heat.Heap:  # fmt: skip
    """A block 1.2 m wide, 0.9 m high and 4 m long, times ``size``."""
    width, height, length = 1.2 * size, 0.9 * size, 4.0 * size
    volume = width * height * length
    surface = (width + 2 * height + width / 2) * length + 2 * width * height
    shares = [each.typical for each in heat.degradable(group)]
    made = heat.build(volume * density, moisture, shares, volume, surface, width * length, free_air, celsius)
    return dataclasses.replace(made, **more)


heaps = st.builds(
    heap_of, moisture=st.floats(0.02, 0.97), group=st.sampled_from(heat.GROUPS), size=st.floats(0.25, 6.0),
    free_air=st.floats(0.0, 1.0), density=st.floats(20, 1500), celsius=st.floats(-5, 50),
    fast_rate=st.floats(0.005, 0.1), slow_rate=st.floats(0.001, 0.01),
)  # fmt: skip
arounds = st.builds(heat.Around, st.floats(0.05, 1.0), st.sampled_from(list(heat.SHELTERS.values())), st.floats(0, 1))
airs = st.lists(st.floats(-10, 50), min_size=3, max_size=12)


# ---- formulas -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("celsius", "kilopascal", "share"),
    [(10, 1.228, 0.004), (20, 2.339, 0.004), (40, 7.385, 0.004), (50, 12.352, 0.002), (60, 19.946, 0.004), (70, 31.20, 0.008),
     (80, 47.41, 0.015), (100, 101.42, 0.03)],
)  # fmt: skip
def test_saturation_pressure_against_steam_tables(celsius: float, kilopascal: float, share: float) -> None:
    """Points of the steam tables, from memory; the form is meant up to 60 °C and drifts above."""
    assert heat.saturation_pressure(celsius) == pytest.approx(1000 * kilopascal, rel=share)


@pytest.mark.parametrize(("celsius", "kilojoule"), [(0, 2500.9), (20, 2453.5), (50, 2382.0), (60, 2357.7), (80, 2308.0)])
def test_latent_heat_against_steam_tables(celsius: float, kilojoule: float) -> None:
    """Points of the steam tables, from memory."""
    assert heat.latent_heat(celsius) == pytest.approx(kilojoule / 1000, rel=0.004)


def test_density_of_air() -> None:
    """The law of the ideal gas with scipy's constants and 28.965 g/mol for dry air; moist air is lighter."""
    dry = constants.atm * 28.965e-3 / (constants.R * 293.15)
    assert heat.gas_density(20, 0) == pytest.approx(dry, rel=1e-4)
    assert heat.gas_density(60, heat.saturation_pressure(60)) < heat.gas_density(60, 0) < heat.gas_density(20, 0)


def test_constants_of_nature_are_those_of_scipy() -> None:
    assert heat.LOSSES["stefan_boltzmann_w_m2_k4"] == pytest.approx(constants.Stefan_Boltzmann, rel=1e-6)
    assert heat.AIR["pressure_pa"] == constants.atm and heat.KELVIN == constants.zero_Celsius
    assert heat.AIR["gravity_m_s2"] == pytest.approx(constants.g, rel=1e-3)
    assert heat.AIR["vapour_to_air_mass"] == pytest.approx((2 * ATOMS["H"] + ATOMS["O"]) / 28.965, rel=1e-3)


def test_oxygen_and_water_from_the_formula_of_food_waste() -> None:
    """C16H27O8N + 18 O2 gives 16 CO2 + 12 H2O + NH3 (formula of table 3.2 in Polprasert), weighed out."""
    solids = 16 * ATOMS["C"] + 27 * ATOMS["H"] + 8 * ATOMS["O"] + ATOMS["N"]
    assert 8 + 36 == 16 * 2 + 12 and 27 == 24 + 3
    assert heat.OXYGEN == pytest.approx(36 * ATOMS["O"] / solids, abs=5e-4)
    assert heat.WATER_MADE == pytest.approx(12 * (2 * ATOMS["H"] + ATOMS["O"]) / solids, abs=5e-4)
    gas = 16 * (ATOMS["C"] + 2 * ATOMS["O"]) + ATOMS["N"] + 3 * ATOMS["H"] - 36 * ATOMS["O"]
    assert heat.GAS_MADE == pytest.approx(gas / solids, abs=1e-3)
    assert 17 < heat.HEAT_MJ_KG < 23  # 17 to 22 MJ/kg, recalled of Haug (1993), and 22 of food waste


def test_temperature_factor_is_the_cardinal_model() -> None:
    """The five conditions that define the model of Rosso et al. (1993), and 1 at 20 °C; slopes by differences."""

    def at(celsius: float) -> float:
        return heat.temperature_factor(celsius) / heat.temperature_factor(58.6)

    step = 1e-4
    assert heat.temperature_factor(20) == pytest.approx(1, abs=1e-12)
    assert at(5) == at(-30) == at(71.6) == at(500) == 0
    assert at(71.6 - step) > 0 and at(5 + step) < 1e-8  # none, and flat, at the least
    assert (at(58.6 + step) - at(58.6 - step)) / (2 * step) == pytest.approx(0, abs=1e-6)
    assert max(at(celsius / 10) for celsius in range(50, 717)) == pytest.approx(1, abs=1e-5)
    assert heat.temperature_factor(58.6) == pytest.approx(94451.776 / 11610, rel=1e-4)  # both parts at 20 °C by hand


def test_factors_lie_between_none_and_all() -> None:
    assert [round(heat.moisture_factor(w), 2) for w in (0.4, 0.5, 0.6)] == [0.5, 0.86, 0.97]
    assert [round(heat.air_space_factor(f), 2) for f in (0.1, 0.2, 0.3)] == [0.24, 0.78, 0.97]
    assert heat.oxygen_factor(2) == 0.5


@given(st.floats(0.1, 1e5), st.floats(1e-6, 1e4))
def test_oxygen_inside_is_what_flow_and_uptake_leave(air: float, uptake: float) -> None:
    """The root found by scipy of supply less uptake."""
    carried = heat.AIR["oxygen_mass_fraction"] / 20.95 * air

    def left_over(oxygen: float) -> float:
        return carried * (20.95 - oxygen) - uptake * heat.oxygen_factor(oxygen)

    wanted = brentq(left_over, 0, 20.95, xtol=1e-14, rtol=1e-13)
    assert heat.oxygen_inside(air, uptake) == pytest.approx(wanted, rel=1e-6, abs=1e-9)


def test_oxygen_without_uptake_or_air() -> None:
    assert heat.oxygen_inside(10, 0) == 20.95 and heat.oxygen_inside(0, 1) == 0


def test_heat_through_the_surface_worked_by_hand() -> None:
    """A metre cube's worth of surface 6 m², shell 1/12 m: 1/(4 + radiation) and (1/12)/0.3 in series, 40 K apart."""
    shares = [0.0, 0.0, 0.01, 0.005]
    heap = heat.build(400, 0.5, shares, 1.0, 6.0, 1.0, 0.5, 60.0)
    outside = heat.Outside(heat.Around(0.5), 20.0)
    found = heat.rates(heap, outside)(heap.fast, heap.slow, heap.water, heap.heat)
    radiation = 4 * 0.95 * constants.Stefan_Boltzmann * 298.15**3
    watts = 6 * 40 / (1 / (4 + radiation) + 1 / 12 / 0.3)
    assert found[7] == pytest.approx(watts * 86400 / 1e6, rel=1e-6)
    assert found[8] == pytest.approx(60) and found[9] == 20.95


@pytest.mark.parametrize("shape", ["rectangle", "trapezoid", "parabola", "triangle"])
def test_outline_of_a_section(shape: str) -> None:
    """The length of the curve by scipy's quadrature; the others from their corners."""
    base, height, top = 1.4, 0.95, 0.6
    corners = {"rectangle": [(0, 0), (0, height), (base, height), (base, 0)],
               "triangle": [(0, 0), (base / 2, height), (base, 0)],
               "trapezoid": [(0, 0), (0.4, height), (0.4 + top, height), (base, 0)]}  # fmt: skip
    if shape == "parabola":
        wanted = quad(lambda x: math.hypot(1, 8 * height * x / base**2), -base / 2, base / 2)[0]
    else:
        wanted = sum(math.dist(a, b) for a, b in zip(corners[shape], corners[shape][1:], strict=False))
    assert topic.outer_length(shape, base, height, top) == pytest.approx(wanted, rel=1e-9)


# ---- the integrator and its balances --------------------------------------------------------------------------


def independent(heap: heat.Heap, around: heat.Around, ambient: float, days: int) -> list[float]:
    """Temperature at the end of each day by scipy's Radau at a tight tolerance."""
    flows = heat.rates(heap, heat.Outside(around, ambient))
    found = solve_ivp(lambda _, y: flows(*y)[:4], (0, days), [heap.fast, heap.slow, heap.water, heap.heat], method="Radau",
                      rtol=1e-8, atol=1e-8, t_eval=range(1, days + 1))  # fmt: skip
    assert found.success
    return [flows(*state)[8] for state in found.y.T]


CASES = [
    (heap_of(), 25.0), (heap_of(group="food", moisture=0.68), 12.0), (heap_of(size=0.4), 30.0), (heap_of(size=3), 5.0),
    (heap_of(moisture=0.35), 35.0), (heap_of(free_air=0.15, group="manure"), 20.0), (heap_of(celsius=48, free_air=0.95), 2.0),
]  # fmt: skip


@pytest.mark.parametrize(("heap", "ambient"), CASES)
@pytest.mark.parametrize(("tolerance", "apart"), [(heat.TOLERANCE_C, 0.5), (1e-3, 0.02)])
def test_the_integrator_against_scipy(heap: heat.Heap, ambient: float, tolerance: float, apart: float) -> None:
    """Within half a degree as used, and within a fiftieth with a fiftieth of the tolerance, on each of 20 days."""
    around = heat.Around(0.6)
    wanted = independent(heap, around, ambient, 20)
    found = heat.course(heap, around, [ambient] * 20, tolerance_c=tolerance)
    assert [day.heap.celsius for day in found] == pytest.approx(wanted, abs=apart)


@given(heaps, arounds, airs, st.sets(st.integers(0, 11)), st.floats(0.3, 0.6))
@settings(max_examples=60, deadline=None)
def test_mass_and_energy_close_at_every_step(
    heap: heat.Heap, around: heat.Around, airs: list[float], turned: set[int], moisture: float
) -> None:
    steps = 0
    degradable = heap.fast + heap.slow

    def close(now: heat.Heap, ledger: heat.Ledger) -> None:
        nonlocal steps
        steps += 1
        mass_in = heap.water + heap.solids + ledger.air_in + ledger.vapour_in + ledger.water_added
        mass_out = now.water + now.solids + ledger.gas_out + ledger.vapour_out
        assert mass_out == pytest.approx(mass_in, rel=1e-9)
        made = heat.WATER_MADE * (heap.solids - now.solids)
        assert now.water == pytest.approx(
            heap.water + made + ledger.vapour_in + ledger.water_added - ledger.vapour_out, abs=1e-9 * mass_in)  # fmt: skip
        burnt = heat.HEAT_MJ_KG * (degradable - now.fast - now.slow)
        left = ledger.heat_out + ledger.through_surface + ledger.at_turnings
        turnover = abs(heap.heat) + burnt + abs(ledger.heat_in) + abs(ledger.heat_out) + abs(ledger.through_surface)
        assert now.heat == pytest.approx(heap.heat + burnt + ledger.heat_in - left, abs=1e-9 * (turnover + now.heat_capacity))
        assert now.stable == heap.stable

    days = heat.course(heap, around, airs, sorted(turned), moisture, moisture + 0.05, each_step=close)
    assert len(days) == len(airs) <= steps


@given(heaps, arounds, airs, st.sets(st.integers(0, 11)), st.booleans())
@settings(max_examples=60, deadline=None)
def test_figures_stay_physical(
    heap: heat.Heap, around: heat.Around, airs: list[float], turned: set[int], watered: bool
) -> None:
    """No water below none, no heat made above the end of the rate at 80.2 °C, no cold below a wet bulb's."""
    for day in heat.course(heap, around, airs, sorted(turned), 0.5 if watered else None, 0.6):
        now = day.heap
        assert now.water >= 0 and 0 <= now.fast <= heap.fast and 0 <= now.slow <= heap.slow
        assert min(*airs, heap.celsius) - 30 < now.celsius < max(80.5, *airs, heap.celsius + 0.5)
        assert 0 <= day.oxygen_percent <= 20.95 and math.isfinite(day.mean_c)


def test_a_stage_is_few_evaluations(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the time goes into, counted, since a clock on a shared machine proves nothing: some 6 µs each."""
    made, count = heat.rates, 0

    def counted(*values: Any) -> Any:
        flows = made(*values)

        def run(*state: float) -> Any:
            nonlocal count
            count += 1
            return flows(*state)

        return run

    monkeypatch.setattr(heat, "rates", counted)
    heat.course(heap_of(), heat.Around(0.6), [25.0] * 45, heat.turnings(3.5, 45), 0.5, 0.6)
    assert 200 < count < 1200


# ---- laws -----------------------------------------------------------------------------------------------------


moist_heaps = st.builds(
    heap_of, moisture=st.floats(0.4, 0.9), size=st.floats(0.25, 1.5), free_air=st.floats(0.1, 0.9), density=st.floats(200, 900),
    celsius=st.floats(0, 60),
)  # fmt: skip


@given(moist_heaps, st.floats(0, 45))
@settings(max_examples=40, deadline=None)
def test_with_nothing_to_degrade_a_heap_tends_to_the_air(heap: heat.Heap, ambient: float) -> None:
    """In saturated air, where no water evaporates from a moist heap as warm as the air."""
    inert = dataclasses.replace(heap, fast=0.0, slow=0.0, stable=heap.solids)
    days = heat.course(inert, heat.Around(1.0), [ambient] * 30)
    gaps = [abs(heap.celsius - ambient)] + [abs(day.heap.celsius - ambient) for day in days]
    assert all(later <= before + 0.1 for before, later in zip(gaps, gaps[1:], strict=False))
    assert gaps[-1] <= 0.75 * gaps[0] + 0.1  # the largest and wettest lose half in a month
    assert days[-1].heap.solids == pytest.approx(heap.solids)


@given(st.floats(0.5, 0.65), st.floats(0.5, 2), st.floats(0.3, 0.8), st.floats(0, 35), st.floats(0.2, 1))
@settings(max_examples=40, deadline=None)
@example(moisture=0.5, size=0.5, free_air=0.75, ambient=16.0, cover=1.0)  # heats sooner, is dry sooner, and then cools
def test_a_better_cover_keeps_a_heating_heap_hotter(
    moisture: float, size: float, free_air: float, ambient: float, cover: float
) -> None:
    """While the covered one heats up, below the temperature at which the rate is highest: a hotter heap is dry and spent sooner."""
    heap = heap_of(moisture=moisture, size=size, free_air=free_air, celsius=ambient)
    bare = heat.course(heap, heat.Around(0.9), [ambient] * 10, tolerance_c=0.01)
    covered = heat.course(heap, heat.Around(0.9, cover=cover), [ambient] * 10, tolerance_c=0.01)
    before = ambient
    for one, other in zip(bare, covered, strict=True):
        if other.mean_c > 65 or one.heap.celsius < ambient or (one.mean_c > other.mean_c < before):
            break
        assert other.mean_c >= one.mean_c - 0.05
        before = other.mean_c


def test_what_keeps_a_heap_from_heating() -> None:
    """Dry, without air, or with little to degrade it stays cool; wind, cold and smallness cool it."""
    around, air = heat.Around(0.6), [20.0] * 15

    def highest(heap: heat.Heap, where: heat.Around = around, ambient: list[float] = air) -> float:
        return max(day.mean_c for day in heat.course(heap, where, ambient))

    good = highest(heap_of(celsius=20))
    assert good > 55
    assert highest(heap_of(moisture=0.15, celsius=20)) < 30 > highest(heap_of(free_air=0.0, celsius=20)) - 5
    assert highest(heap_of(celsius=20, size=0.3)) < good - 10
    assert highest(heap_of(celsius=20), heat.Around(0.6, heat.SHELTERS["open"])) < good
    assert highest(heap_of(celsius=0), ambient=[0.0] * 15) < good


def test_turning_and_watering_do_what_they_say() -> None:
    heap = heap_of(celsius=60)
    before = heat.course(heap, heat.Around(0.6), [20.0])[0]
    turned = heat.course(heap, heat.Around(0.6), [20.0], [0])[0]
    assert turned.ledger.at_turnings == pytest.approx(0.2 * 40 * heap.heat_capacity) and turned.mean_c < before.mean_c
    dry = heap_of(moisture=0.3)
    poured = heat.course(dry, heat.Around(0.6), [20.0], (), 0.4, 0.5)[0].ledger.water_added
    assert (dry.water + poured) / (dry.water + poured + dry.solids) == pytest.approx(0.5)
    assert heat.water_needed(600, 400, 0.5) == 0 and heat.water_needed(400, 600, 0.55) == pytest.approx(1000 * 0.15 / 0.45)


def test_turnings_fall_on_days_within_the_stage() -> None:
    assert heat.turnings(3.5, 15) == (3, 7, 10, 14) and heat.turnings(60, 45) == ()
    assert heat.turnings(1, 4) == (1, 2, 3) and heat.turnings(7, 28) == (7, 14, 21)


@pytest.mark.parametrize("limit", [0.41, 0.5, 0.77, 0.99])
def test_least_factor_against_trying_them_all(limit: float) -> None:
    steps = 6
    grid = [0.4 * (1 / 0.4) ** (step / 2**steps) for step in range(2**steps + 1)]
    wanted = min(factor for factor in grid if factor >= limit)
    assert heat.least_factor(lambda factor: factor >= limit, 0.4, 1.0, steps) == pytest.approx(wanted)


def test_holds_ends_early_with_the_answer_of_the_whole_walk() -> None:
    around, air = heat.Around(0.6), [25.0] * 30
    for size in (0.4, 0.7, 1.0, 1.5):
        heap = heap_of(size=size)
        hot = heat.hot_days(heat.course(heap, around, air, (), 0.5, 0.6), 55)
        for days in (1, 5, 10, 20, 31):
            assert heat.holds(heap, around, air, (), 0.5, 0.6, 55, days) == (hot >= days)


# ---- the calculator -------------------------------------------------------------------------------------------


def solved(**own: Any) -> Any:
    return Plan(own).evaluate(only="heat").results["heat"]


def test_counts_agree_with_the_days_shown() -> None:
    result = solved()
    outputs = result.outputs
    inside = [row[1] for row in outputs.days]
    assert len(inside) == 45 and outputs.hot_days == sum(celsius >= 55 for celsius in inside)
    assert outputs.highest_c == max(inside) == inside[outputs.highest_day - 1]
    assert outputs.hot_in_a_row_days <= outputs.hot_days and outputs.turnings == 12
    assert outputs.heap_water_l == outputs.days[-1][5] and outputs.moisture_end_percent == outputs.days[-1][2]


def test_the_limits_of_models_stand_beside_the_answer() -> None:
    result = solved()
    words = " ".join(result.notices)
    assert "Mason 2006" in words and "3 to 9 °C off in the mean" in words and "thermometer" in words
    keys = {caution.key for caution in result.raised}
    assert {"heap_height_fire", "steam_burn", "compost_not_fit_until_tested"} <= keys
    assert any(caution.urgent for caution in result.raised) == (result.outputs.highest_c >= 75)


def test_the_smallest_heap_holds_and_a_smaller_one_does_not() -> None:
    """Seen by the whole calculator: the same answers with the section asked for, and with one a step smaller."""
    own = {"degradability": "food", "turning_interval_days": 7, "heap_cover": "straw", "bay_width_m": 1.8, "heap_height_m": 1.2}
    first = solved(**own).outputs
    assert first.hot_days >= 15 and first.smallest_height_m < 1.2 * 0.99
    assert first.smallest_base_m / 1.5 == pytest.approx(first.smallest_height_m / 1.2)
    step = (1 / topic.SMALLEST_FACTOR) ** (1 / 2**topic.HALVINGS)
    for share, enough in ((1.0, True), (1 / step, False)):
        base, height = first.smallest_base_m * share, first.smallest_height_m * share
        again = solved(**own | {"bay_width_m": base + 0.3, "heap_height_m": height}).outputs
        assert (again.hot_days >= 15) == enough, share


def test_a_cold_wind_and_no_cover_ask_for_more() -> None:
    mild, hard = solved().outputs, solved(ambient_c=2, wind_shelter="open").outputs
    assert hard.highest_c < mild.highest_c and hard.hot_days <= mild.hot_days
    assert solved(heap_is_watered="no").outputs.heap_water_l == 0


def test_watering_up_to_less_than_below_is_refused() -> None:
    evaluated = Plan({"water_below_percent": 55, "water_up_to_percent": 50}).evaluate(only="heat")
    assert "can't be brought to 50 %" in evaluated.stopped["heat"].message
    assert evaluated.stopped["heat"].names == ("water_up_to_percent", "water_below_percent")


@pytest.mark.parametrize(
    ("own", "said"),
    [({"mix_density_kg_m3": 60, "mix_moisture_percent": 90}, "holds 6 kg of dry matter: give a mix with at least 20 kg"),
     ({"heap_m3": 0.1}, "A heap of 0.1 m³ with this cross-section would be 0.093 m long: give it at least 0.2 m")],
)  # fmt: skip
def test_what_is_no_heap_is_refused(own: dict[str, float], said: str) -> None:
    evaluated = Plan(own).evaluate(only="heat")
    assert said in evaluated.stopped["heat"].message and not evaluated.problems


def test_cooling_is_told_beside_turning_days() -> None:
    left = (1.0,) * 9
    inside = (30.0, 50.0, 60.0, 50.0, 52.0, 58.0, 58.0, 54.0, 40.0)
    assert topic.first_cooling(inside, left, (3,)) == 8
    assert topic.first_cooling(inside, (0.1,) * 9, (3,)) is None
    assert topic.first_cooling(inside, left, ()) == 4
    assert topic.longest_run([True, False, True, True]) == 2 and topic.longest_run([]) == 0


def test_rule_and_limits_are_those_of_the_reference_data() -> None:
    assert (topic.HOT.typical, topic.HOT_DAYS.typical, topic.HOT.source) == (55, 15, "cfr_257")
    assert topic.SLOW_BELOW == 40 and topic.REVIEW.source == "mason_2006"
    assert cross_section_area("rectangle", 1.2, 0.9) == pytest.approx(1.08)
