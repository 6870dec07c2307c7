"""Field use: rates and caps by hand, enriching against a linear solver, salt against its own balance, when not to use it."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.declare import CannotSolve, declared
from calculators.plan import Plan
from calculators.topics import field, maturity
from calculators.units import show
from calculators.working import Working

MEASURED = {"compost_moisture_percent": 40.0, "nitrogen_percent_dry": 1.5, "phosphate_percent_dry": 0.8, "potash_percent_dry": 1.6,
            "conductivity_ds_m": 3.0}  # fmt: skip


def inputs(**given: Any) -> field.Inputs:
    answers = {name: answer.default for name, answer in declared(field.Inputs).items()}
    return field.Inputs(**{**answers, **MEASURED, **given})


def solved(**given: Any) -> field.Outputs:
    return field.solve(inputs(**given), Working())


def test_ten_tonnes_by_hand() -> None:
    """10 t/ha at 40 % moisture and 1.5 % N: 6 t dry, 90 kg N, of which 5 to 10 % become free (UC, citing Hartz)."""
    outputs = solved(dry_limit_t_ha=6.0, harvests_covered=10, crop_yield_t_ha=300.0)
    assert outputs.rate_t_ha == pytest.approx(10) and outputs.rate_limited_by == "legal limit on dry mass"
    assert outputs.nitrogen_kg_ha == pytest.approx(90) and outputs.organic_dry_t_ha == pytest.approx(6)
    for percent, free in ((5, 4.5), (10, 9.0)):
        again = solved(dry_limit_t_ha=6.0, harvests_covered=10, crop_yield_t_ha=300.0, mineralised_percent=float(percent))
        assert again.nitrogen_first_year_kg_ha == pytest.approx(free)
        assert again.nitrogen_lacking_kg_ha == pytest.approx(120 - free)


def test_phosphate_decides_for_a_usual_compost() -> None:
    """Cabbage, 30 t: 27 kg P2O5. Compost with 0.8 % of 600 kg dry in a tonne holds 4.8 kg: 5.625 t/ha."""
    outputs = solved()
    assert outputs.rate_t_ha == pytest.approx(27 / 4.8) and "phosphate" in outputs.rate_limited_by
    assert outputs.phosphate_kg_ha == pytest.approx(27)
    assert solved(harvests_covered=2).rate_t_ha == pytest.approx(2 * 27 / 4.8)
    assert solved(crop_phosphate_kg_t=1.8).rate_t_ha == pytest.approx(2 * 27 / 4.8)
    assert outputs.area_served_ha == pytest.approx(200 * 365 / 1000 / (27 / 4.8))
    assert outputs.compost_kg_per_bed == pytest.approx(27 / 4.8 * 1000 / 10_000 * 10)
    assert outputs.compost_tubs_per_bed == pytest.approx(outputs.compost_kg_per_bed / (0.04 * 0.9 * 600))
    assert outputs.layer_mm == pytest.approx(27 / 4.8 * 1000 / 10_000 / 600 * 1000)


def test_nitrogen_decides_where_it_is_free_at_once() -> None:
    outputs = solved(mineralised_percent=100.0, harvests_covered=10, crop_nitrogen_kg_ha=45.0)
    assert outputs.rate_limited_by == "nitrogen that the crop needs" and outputs.rate_t_ha == pytest.approx(45 / 9)
    assert outputs.nitrogen_lacking_kg_ha == pytest.approx(0, abs=1e-9)


def test_salt_balance() -> None:
    """At the rate by salt, soil and compost mixed reach what the crop bears: Maas 1990 prints 1.0 dS/m for beans."""
    outputs = solved(crop="french_bean", harvests_covered=10, crop_yield_t_ha=200.0, conductivity_ds_m=9.0)
    assert outputs.rate_limited_by == "salt that the crop bears"
    dry, soil = outputs.organic_dry_t_ha, 0.15 * 10_000 * 1.3
    assert 0.5 + 6.4 * 9.0 * dry / soil == pytest.approx(1.0)
    assert solved(crop="french_bean", soil_salt_ds_m=1.2).rate_t_ha == 0
    none = inputs(crop="french_bean", soil_salt_ds_m=1.2)
    found = field.solve(none, Working())
    assert found.area_served_ha is None and field.sentence(none, found, show).startswith("None may be spread")


@pytest.mark.parametrize(("crop", "borne"), [("cabbage", 1.8), ("carrot", 1.0), ("onion", 1.2), ("potato", 1.7), ("french_bean", 1.0),
                                             ("beetroot", 4.0), ("lettuce", 1.3), ("maize_grain", 1.7)])  # fmt: skip
def test_salt_thresholds_as_printed(crop: str, borne: float) -> None:
    assert field.CROPS[crop]["salt"]["threshold_ds_m"] == borne


# ---- enriching ------------------------------------------------------------------------------------------------


@settings(max_examples=60, deadline=None)
@given(st.floats(0.3, 3.5), st.floats(0.2, 4), st.floats(0, 400), st.floats(10, 70),
       st.sampled_from(["neem_cake", "groundnut_cake", "castor_cake"]))  # fmt: skip
def test_enriching_against_a_linear_solver(wish_n, wish_p, dung, moisture, cake_key) -> None:  # type: ignore[no-untyped-def]
    outputs = solved(target_nitrogen_percent=wish_n, target_phosphate_percent=wish_p, dung_kg_per_t=dung, nitrogen_source=cake_key,
                     compost_moisture_percent=moisture)  # fmt: skip
    cake, rock, manure = field.ENRICHERS[cake_key], field.ENRICHERS["rock_phosphate"], field.DUNG["cattle_manure"]
    dry, dung_dry = 1000 * (1 - moisture / 100), dung * (1 - manure.moisture_percent_wet.typical / 100)
    held_n = dry * 0.015 + dung_dry * manure.nitrogen_percent_dry.typical / 100
    held_p = dry * 0.008 + dung_dry * 0.01
    n, p = wish_n / 100, wish_p / 100
    left = [[cake["nitrogen_percent_dry"] / 100 - n, -n],
            [cake["phosphate_percent_dry"] / 100 - p, rock["phosphate_percent_dry"] / 100 - p]]  # fmt: skip
    right = [n * (dry + dung_dry) - held_n, p * (dry + dung_dry) - held_p]
    both = numpy.linalg.solve(left, right)
    added = {row[0]: float(row[1]) for row in outputs.enriching}
    if min(both) > 1e-6:
        assert added[cake["name"]] == pytest.approx(both[0] / 0.9, rel=1e-6)
        assert added[rock["name"]] == pytest.approx(both[1] / 0.98, rel=1e-6)
        assert (outputs.enriched_nitrogen_percent, outputs.enriched_phosphate_percent) == pytest.approx((wish_n, wish_p), rel=1e-9)
    assert all(mass >= 0 for mass in added.values())


def test_one_wish_alone() -> None:
    outputs = solved(target_nitrogen_percent=2.5)
    # 600 kg dry with 9 kg N; x kg of dry neem cake of 5.2 %: 9 + 0.052 x = 0.025 (600 + x)
    assert {row[0]: row[1] for row in outputs.enriching}["Neem cake"] == pytest.approx(6 / 0.027 / 0.9)
    assert outputs.enriched_nitrogen_percent == pytest.approx(2.5)
    assert len(solved(target_nitrogen_percent=1.0).enriching) == 1  # rich enough as it is
    assert solved(dung_kg_per_t=300.0).enriching[1][0] == "Cattle manure, fresh"


def test_a_source_too_poor_is_said() -> None:
    with pytest.raises(CannotSolve, match="Castor cake holds 4.3 %"):
        solved(target_nitrogen_percent=4.2, nitrogen_source="castor_cake")


# ---- when not to use it ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(("record", "part", "days"), [
    ("not_met", "soil_contact", 120), ("unknown", "soil_contact", 120), ("met", "soil_contact", 0), ("unknown", "no_contact", 90),
    ("met", "no_contact", 0), ("unknown", "not_eaten", 0), ("met", "fodder", 21), ("not_met", "fodder", 21),
])  # fmt: skip
def test_days_before_harvest(record: str, part: str, days: int) -> None:
    """7 CFR 205.203(c)(1): 120 and 90 days for raw manure; BioAbfV s. 7(4): 21 days before grazing or fodder."""
    assert solved(heat_record=record, eaten_part=part).days_before_harvest == days


def test_immature_or_unproven_compost_is_held_back() -> None:
    good = {"heat_record": "met", "compost_stage": "mature"}
    assert solved(**good).use_verdict.startswith("yes") and solved(**good).days_before_sowing == 0
    assert "half-finished" in solved(**{**good, "compost_stage": "half-finished"}).use_verdict
    assert solved(**{**good, "compost_stage": "half-finished"}).days_before_sowing == 30
    assert "test it first" in solved(**{**good, "compost_stage": "unknown"}).use_verdict
    assert "no record of its heat" in solved(**{**good, "heat_record": "unknown"}).use_verdict
    asked = inputs(**{**good, "heat_record": "unknown"})
    assert field.sentence(asked, field.solve(asked, Working()), show).startswith("Once it may be used, spread")
    assert field.sentence(inputs(**good), solved(**good), show).startswith("Spread")
    raised = field.cautions(asked, field.solve(asked, Working()), show)
    assert raised[0].key == "compost_on_food_crops" and raised[0].urgent


@pytest.mark.parametrize(("ratio", "words"), [(31.0, "ties up"), (30.0, "neither"), (20.0, "neither"), (19.9, "gives nitrogen")])
def test_carbon_to_nitrogen_as_the_laboratory_words_it(ratio: float, words: str) -> None:
    """Clemson: C:N above 30 will likely tie up nitrogen, below 20 gives some."""
    row = next(row for row in solved(final_carbon_to_nitrogen=ratio).checks if row[0] == "C:N")
    assert words in row[2]


@pytest.mark.parametrize(("salt", "fit"), [(3.99, True), (4.0, False), (8.0, False)])
def test_salt_in_seedbeds(salt: float, fit: bool) -> None:
    row = next(row for row in solved(conductivity_ds_m=salt).checks if row[0] == "salt in seedbeds")
    assert ("fit for seedbeds" in row[2]) == fit


def test_the_maturity_tests_and_the_report_lead_here() -> None:
    cured = {"self_heating_reported": "5", "final_carbon_to_nitrogen": "12", "emergence_percent": "95"}
    report = "nitrogen:1.2:percent:wet:no;phosphorus:0.4:percent:dry:no;conductivity:3500:us_cm:dry:no"
    evaluated = Plan({**cured, "laboratory_report": report, "compost_moisture": "40"}).evaluate()
    standings = evaluated.results["field"].standings
    assert standings["compost_stage"].value == "very mature" and standings["compost_stage"].origin == "followed"
    assert standings["nitrogen_percent_dry"].value == pytest.approx(2.0)
    assert standings["phosphate_percent_dry"].value == pytest.approx(0.4 * 2.29133, rel=1e-5)
    assert standings["conductivity_ds_m"].value == pytest.approx(3.5) and standings["potash_percent_dry"].value is None
    assert set(maturity.STAGES) == set(field.STAGES)


def test_what_stays_unmeasured_is_said() -> None:
    asked = dataclasses.replace(inputs(), nitrogen_percent_dry=None, conductivity_ds_m=None)
    words = " ".join(field.notices(asked, field.solve(asked, Working()), show))
    assert "nitrogen, conductivity" in words


@settings(max_examples=40, deadline=None)
@given(st.floats(0.1, 5), st.floats(0.1, 30), st.floats(1, 3))
def test_richer_or_saltier_compost_never_allows_more(phosphate, salt, times) -> None:  # type: ignore[no-untyped-def]
    base = solved(phosphate_percent_dry=phosphate, conductivity_ds_m=salt)
    assert solved(phosphate_percent_dry=phosphate * times, conductivity_ds_m=salt).rate_t_ha <= base.rate_t_ha * (1 + 1e-9)
    assert solved(phosphate_percent_dry=phosphate, conductivity_ds_m=salt * times).rate_t_ha <= base.rate_t_ha * (1 + 1e-9)


def test_nothing_to_go_by_is_said() -> None:
    with pytest.raises(CannotSolve, match="Nothing limits the rate"):
        solved(nitrogen_percent_dry=0.0, phosphate_percent_dry=0.0, conductivity_ds_m=0.0)
