"""Climate effect: the decay walk against closed form and scipy, the arithmetic of the pack's example, the band, words."""

from __future__ import annotations

import math
from typing import Any

import numpy
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from calculators import reference
from calculators.declare import CannotSolve, declared
from calculators.plan import Plan
from calculators.topics import climate
from calculators.units import show
from calculators.working import Working


def inputs(**given: Any) -> climate.Inputs:
    answers = {name: answer.default for name, answer in declared(climate.Inputs).items()}
    return climate.Inputs(**{**answers, **given})


def solved(**given: Any) -> climate.Outputs:
    return climate.solve(inputs(**given), Working())


# A tonne of food a year, once: 1000/365 kg a day in the one year that the yard runs; no leaves, no power.
ONE_TONNE = {
    "kitchen_kg_per_day": 1000 / 365, "market_kg_per_day": 0.0, "garden_kg_per_day": 0.0, "bulking_kg_per_day": 0.0,
    "climate_years_running": 1, "energy_kwh_per_month": 0.0, "fuel_l_per_month": 0.0,
    "disposal_kind": "unmanaged_deep", "climate_zone": "tropical_wet",
}  # fmt: skip


# ---- the method ----------------------------------------------------------------------------------------------


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(0, 1e6), min_size=1, max_size=20), st.floats(0.01, 2), st.integers(1, 60))
def test_the_walk_is_the_closed_sum_of_all_deposits(deposits: list[float], rate: float, years: int) -> None:
    """40 CFR 98.343, equation HH-1: each deposit of year x gives e^(−k(T−x−1)) − e^(−k(T−x)) of itself in year T."""
    walked = climate.decay_walk(deposits, rate, years)
    for year in range(1, years + 1):
        closed = sum(
            mass * (math.exp(-rate * (year - laid - 1)) - math.exp(-rate * (year - laid)))
            for laid, mass in enumerate(deposits, start=1)
            if laid < year
        )
        assert walked[year - 1] == pytest.approx(closed, rel=1e-9, abs=1e-9 * max(deposits) + 1e-12)
    assert sum(walked) <= sum(deposits) * (1 + 1e-12)


@pytest.mark.parametrize("rate", [0.05, 0.185, 0.4])
def test_the_walk_is_the_integral_of_the_differential_equation(rate: float) -> None:
    """IPCC annex 3A1.1: d(DDOCm) = −k·DDOCm·dt, begun a year after the deposit, integrated by scipy."""
    years = 12
    result = solve_ivp(lambda _, mass: -rate * mass, (0, years), [60.0], t_eval=range(years + 1), rtol=1e-10, atol=1e-12)
    decomposed = -numpy.diff(result.y[0])
    assert climate.decay_walk([60.0], rate, years + 1)[1:] == pytest.approx(list(decomposed), rel=1e-7)


def test_released_share_is_what_the_walk_has_given_off() -> None:
    for rate in (0.05, 0.17, 0.4):
        for years in (1, 5, 30):
            assert sum(climate.decay_walk([1.0], rate, years + 1)) == pytest.approx(climate.released_by(rate, years))
    assert climate.released_by(0.4, 0) == 0
    assert climate.released_by(math.log(2), 1) == pytest.approx(0.5) and climate.half_life(math.log(2)) == pytest.approx(1)


def test_a_tonne_of_food_in_a_deep_dump_in_the_wet_tropics() -> None:
    """The guidelines' defaults, worked by hand: 60 kg of carbon, 40 kg of methane, 13.19 kg of it in the first year of decay."""
    outputs = solved(**ONE_TONNE, climate_horizon_years=11)
    assert outputs.methane_potential_kg_per_t == pytest.approx(40)
    by_year = [row[1] for row in outputs.by_year]
    assert by_year[0] == 0
    assert by_year[1:] == pytest.approx([13.19, 8.84, 5.93, 3.97, 2.66, 1.79, 1.20, 0.80, 0.54, 0.36], abs=0.006)
    assert outputs.methane_avoided_kg == pytest.approx(39.27, abs=0.005) and outputs.released_percent == pytest.approx(98.17, abs=0.01)
    slow = solved(**{**ONE_TONNE, "climate_zone": "boreal_temperate_dry"}, climate_horizon_years=11)
    assert slow.released_percent == pytest.approx(45.1, abs=0.05)


def test_a_covered_landfill_oxidises_a_tenth() -> None:
    """1 t of food, managed: 50 kg × 0.9 = 45 kg reach the air in the end."""
    outputs = solved(**{**ONE_TONNE, "disposal_kind": "managed_anaerobic"}, oxidation_percent=10.0, climate_horizon_years=100)
    assert outputs.methane_avoided_kg == pytest.approx(45, abs=0.001)
    half = solved(**{**ONE_TONNE, "disposal_kind": "managed_anaerobic"}, gas_captured_percent=50.0, climate_horizon_years=100)
    assert half.methane_avoided_kg == pytest.approx(25, abs=0.001)


@pytest.mark.parametrize(
    ("gwp_set", "n2o", "kilograms"),
    [("ar5", "corrected", 175.6), ("ar5", "printed", 191.5), ("ar4", "corrected", 171.5), ("ar6", "corrected", 173.5)],
)  # fmt: skip
def test_composting_a_tonne_by_each_set(gwp_set: str, n2o: str, kilograms: float) -> None:
    outputs = solved(**ONE_TONNE, climate_horizon_years=50, gwp_set=gwp_set, compost_n2o_factor=n2o)
    assert 1000 * outputs.compost_emissions_t == pytest.approx(kilograms, abs=0.05)


def test_over_the_full_decay_a_tonne_avoids_944_kg() -> None:
    outputs = solved(**ONE_TONNE, climate_horizon_years=100)
    assert 1000 * outputs.avoided_t == pytest.approx(1120, abs=0.1)
    assert outputs.net_avoided_kg_per_t == pytest.approx(944.4, abs=0.1)


# ---- the calculator -------------------------------------------------------------------------------------------


def test_tables_agree_with_the_totals() -> None:
    outputs = solved(market_kg_per_day=80.0, garden_kg_per_day=60.0, leaves_dumped_percent=40.0)
    assert sum(float(row[1]) for row in outputs.by_year) == pytest.approx(outputs.methane_avoided_kg)  # type: ignore[arg-type]
    assert outputs.by_year[-1][5] == pytest.approx(outputs.net_avoided_t)
    assert [row[4] for row in outputs.by_set if row[0] == "AR5 (2013)"] == [pytest.approx(outputs.net_avoided_t)]
    assert outputs.by_nitrous[0][3] == pytest.approx(outputs.net_avoided_t)
    assert outputs.by_nitrous[0][3] - outputs.by_nitrous[1][3] == pytest.approx(  # type: ignore[operator]
        10 * outputs.composted_t_per_year * 0.06 * 265 / 1000
    )
    assert outputs.net_avoided_t == pytest.approx(outputs.avoided_t - outputs.compost_emissions_t - outputs.power_fuel_t)
    assert outputs.net_avoided_t_per_year * 10 == pytest.approx(outputs.net_avoided_t)


def test_the_band_is_in_quadrature_and_holds_each_single_end() -> None:
    outputs = solved()
    below = [max(outputs.net_avoided_t - min(float(row[3]), float(row[4])), 0) for row in outputs.unsure]  # type: ignore[arg-type]
    above = [max(max(float(row[3]), float(row[4])) - outputs.net_avoided_t, 0) for row in outputs.unsure]  # type: ignore[arg-type]
    assert outputs.net_avoided_t - outputs.net_low_t == pytest.approx(numpy.hypot.reduce(below))
    assert outputs.net_high_t - outputs.net_avoided_t == pytest.approx(numpy.hypot.reduce(above))
    assert outputs.net_low_t <= outputs.net_avoided_t - max(below) and outputs.net_high_t >= outputs.net_avoided_t + max(above)


def test_each_range_has_its_status_and_the_dump_matters_most_where_it_is_not_known() -> None:
    outputs = solved()
    widest = max(outputs.unsure, key=lambda row: abs(float(row[4]) - float(row[3])))  # type: ignore[arg-type]
    assert widest[0] == "Correction for the kind of dump"
    assert all(row[5] for row in outputs.unsure)
    assert {row[0]: row[5] for row in outputs.unsure}["Carbon of food waste"] == "restated; range from memory"
    assert any("Go and look at it" in words for words in climate.notices(inputs(), outputs, show))


@settings(max_examples=40, deadline=None)
@given(
    st.floats(1, 5000), st.floats(0, 2000), st.sampled_from(sorted(climate.SITES)), st.sampled_from(sorted(climate.ZONES)),
    st.integers(1, 60), st.integers(2, 100), st.floats(0, 90),
)  # fmt: skip
def test_laws_for_any_yard(food: float, garden: float, site: str, zone: str, running: int, horizon: int, captured: float) -> None:
    asked = {"kitchen_kg_per_day": food, "garden_kg_per_day": garden, "disposal_kind": site, "climate_zone": zone,
             "climate_years_running": running, "climate_horizon_years": horizon, "gas_captured_percent": captured}  # fmt: skip
    outputs = solved(**asked)
    assert 0 <= outputs.released_percent <= 100 + 1e-9
    assert outputs.net_low_t <= outputs.net_avoided_t <= outputs.net_high_t
    # twice the waste and no other burden: twice the effect
    twice = solved(**{**asked, "kitchen_kg_per_day": 2 * food, "garden_kg_per_day": 2 * garden}, bulking_kg_per_day=200.0,
                   energy_kwh_per_month=600.0)  # fmt: skip
    assert twice.net_avoided_t == pytest.approx(2 * outputs.net_avoided_t, rel=1e-9, abs=1e-9)
    # looking longer never finds less methane; catching gas never avoids more
    assert solved(**{**asked, "climate_horizon_years": min(horizon + 5, 100)}).methane_avoided_kg >= outputs.methane_avoided_kg * (1 - 1e-12)
    assert solved(**{**asked, "gas_captured_percent": captured + 5}).methane_avoided_kg <= outputs.methane_avoided_kg
    # more power or fuel never helps, fuel saved never hurts
    assert solved(**asked, energy_kwh_per_month=400.0).net_avoided_t <= outputs.net_avoided_t
    assert solved(**asked, fuel_saved_l_per_month=10.0).net_avoided_t >= outputs.net_avoided_t
    said = climate.sentence(inputs(**asked), outputs, show)
    assert said.endswith(".") and "nan" not in said and ("avoids about" in said) == (outputs.net_avoided_t > 0)


def test_a_yard_that_gives_off_more_than_it_avoids_says_so() -> None:
    asked = {"disposal_kind": "managed_semi_aerobic", "climate_zone": "boreal_temperate_dry", "gas_captured_percent": 70.0,
             "climate_horizon_years": 20}  # fmt: skip
    outputs = solved(**asked)
    assert outputs.net_avoided_t < 0
    assert "more than it avoids" in climate.sentence(inputs(**asked), outputs, show)


def test_no_waste_gives_words_and_only_leaves_avoid_nothing() -> None:
    nothing = {"kitchen_kg_per_day": 0.0, "market_kg_per_day": 0.0, "garden_kg_per_day": 0.0}
    with pytest.raises(CannotSolve, match="Nothing is composted"):
        solved(**nothing, bulking_kg_per_day=0.0)
    leaves = solved(**nothing, bulking_kg_per_day=50.0)
    assert leaves.avoided_t == 0 and leaves.net_avoided_t < 0 and leaves.methane_potential_kg_per_t == 0


def test_no_claim_of_a_credit_and_the_set_is_named() -> None:
    asked = inputs()
    outputs = climate.solve(asked, Working())
    assert "(AR5)" in climate.sentence(asked, outputs, show)
    assert any("no carbon credit" in words for words in climate.notices(asked, outputs, show))
    late = inputs(climate_years_running=30)
    assert any("cut off" in words for words in climate.notices(late, climate.solve(late, Working()), show))


def test_the_plan_hands_on_its_waste() -> None:
    evaluated = Plan({}).evaluate()
    result = evaluated.results["climate"]
    assert result.standings["kitchen_kg_per_day"].origin == "followed"
    wet = evaluated.results["arrivals"].outputs.wet_kg_per_day
    assert result.outputs.dumped_t_per_year == pytest.approx(wet * 0.365)


def test_rows_of_the_guidelines_are_whole() -> None:
    rates = {(row["waste"], row["zone"]) for row in reference.rows_of("climate", "decay_rate")}
    assert rates == {(waste, zone) for waste in ("food", "garden", "paper", "wood") for zone in climate.ZONES}
    assert [reference.figure("climate", "disposal", key).typical for key in climate.SITES] == [1.0, 0.5, 0.8, 0.4, 0.6]
