"""Raw readings: arithmetic by hand, errors against scipy and against drawn tests, sampling, and what follows from them."""

from __future__ import annotations

import math
from typing import Any

import numpy
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from calculators.declare import CannotSolve, declared
from calculators.plan import Plan
from calculators.topics import laboratory
from calculators.units import show
from calculators.working import Working

EXTRACT = [("extract", 10, 8, 35.0), ("extract", 10, 9, 38.0), ("extract", 10, 8, 33.0)]
WATER = [("water", 10, 10, 42.0), ("water", 10, 9, 44.0), ("water", 10, 10, 40.0)]
DRIED = [(10.0, 110.0, 70.0, 46.0), (11.0, 111.0, 72.0, 47.0)]


def inputs(**given: Any) -> laboratory.Inputs:
    return laboratory.Inputs(**{name: answer.default for name, answer in declared(laboratory.Inputs).items()} | given)


def solved(**given: Any) -> laboratory.Outputs:
    return laboratory.solve(inputs(**given), Working())


# ---- germination ----------------------------------------------------------------------------------------------


def test_sums_and_means_of_dishes() -> None:
    outputs = solved(seed_dishes=tuple(EXTRACT + WATER))
    assert (outputs.seeds_sample, outputs.germinated_sample, outputs.seeds_control, outputs.germinated_control) == (30, 25, 30, 29)
    assert outputs.root_sample_mm == pytest.approx((8 * 35 + 9 * 38 + 8 * 33) / 25)
    assert outputs.root_control_mm == pytest.approx((10 * 42 + 9 * 44 + 10 * 40) / 29)
    index = 100 * (25 / 30) / (29 / 30) * outputs.root_sample_mm / outputs.root_control_mm
    assert outputs.germination_percent_of_control == pytest.approx(index)


def test_one_constructed_index() -> None:
    """Control 19 of 20 and 42 mm, sample 17 of 20 and 36 mm: 76.7 %, which passes 70 and fails 80."""
    outputs = solved(seed_dishes=(("extract", 20, 17, 36.0), ("water", 20, 19, 42.0)))
    assert outputs.germination_percent_of_control == pytest.approx(76.69, abs=0.01)
    assert outputs.germination_uncertainty_percent is None and outputs.results[-1][2] == "–"


def test_error_of_a_mean_against_scipy() -> None:
    for values in ([1.0, 2.0, 4.0], [35.0, 38.0, 33.0], [7.5, 7.5]):
        assert laboratory.error_of_mean(values) == pytest.approx(stats.sem(values))


def test_counting_error_against_an_interval_of_scipy() -> None:
    """Two such errors are about half of the Wilson interval, which Agresti and Coull imitate: wider near none and all."""
    for grown, seeds, most in ((48, 100, 1.02), (60, 100, 1.02), (25, 30, 1.15), (29, 30, 1.3), (30, 30, 1.5), (0, 20, 1.5)):
        wilson = stats.binomtest(grown, seeds).proportion_ci(0.95, method="wilson")
        half = (wilson.high - wilson.low) / 2
        assert 0.99 * half <= 2 * laboratory.error_of_share(grown, seeds) <= most * 1.03 * half, (grown, seeds)


def test_error_of_the_index_against_drawn_tests() -> None:
    """A test with known truth drawn 4,000 times: the stated ± holds the truth in about 95 of 100, and not in nearly all."""
    chance = numpy.random.default_rng(20)
    share, control_share, root, control_root, spread = 0.82, 0.93, 34.0, 41.0, 3.0
    truth = 100 * share / control_share * root / control_root
    held, draws = 0, 4000
    for _ in range(draws):
        dishes = [(kind, 20, int(chance.binomial(20, p)), float(chance.normal(mean, spread)))
                  for kind, p, mean in (("extract", share, root), ("water", control_share, control_root)) for _ in range(4)]  # fmt: skip
        sample = [dish[1:] for dish in dishes[:4]]
        control = [dish[1:] for dish in dishes[4:]]
        (seeds, grown, error), (c_seeds, c_grown, c_error) = laboratory._shares(sample), laboratory._shares(control)
        (middle, root_error), (c_middle, c_root_error) = laboratory._roots(sample), laboratory._roots(control)
        index = 100 * grown / seeds / (c_grown / c_seeds) * middle / c_middle
        relative = laboratory.relative_error([error, c_error, root_error, c_root_error],
                                             [grown / seeds, c_grown / c_seeds, middle, c_middle])  # fmt: skip
        held += abs(index - truth) <= 2 * relative * index
    assert 0.92 < held / draws < 0.985


def test_nothing_grown_in_extract_is_an_index_of_none() -> None:
    outputs = solved(seed_dishes=(("extract", 10, 0, None), *WATER))
    assert outputs.germination_percent_of_control == 0 and outputs.root_sample_mm == 0
    with pytest.raises(CannotSolve, match="Nothing grew in plain water"):
        solved(seed_dishes=(*EXTRACT, ("water", 10, 0, None)))
    with pytest.raises(CannotSolve, match="more grew"):
        solved(seed_dishes=(("extract", 10, 11, 3.0),))


def test_seedlings_of_the_control() -> None:
    outputs = solved(seed_dishes=(("pot", 20, 17, None), ("pot", 20, 18, None), ("soil", 20, 19, None), ("soil", 20, 20, None)))
    assert outputs.emergence_percent == pytest.approx(100 * (35 / 40) / (39 / 40))


# ---- flask, weighings, jars -----------------------------------------------------------------------------------


def test_the_highest_reading_of_the_flask() -> None:
    outputs = solved(flask_readings=((1, 24.0, 20.0), (2, 36.0, 20.5), (3, 31.0, 20.0), (2, 35.0, 19.0)))
    assert (outputs.self_heating_highest_c, outputs.self_heating_room_c) == (36.0, 20.5)
    # two readings, each anywhere within half a degree: the standard deviation of the difference, drawn
    drawn = numpy.random.default_rng(3).uniform(-0.5, 0.5, (2, 200_000))
    assert laboratory.rise_error(0.5) == pytest.approx(numpy.std(drawn[0] - drawn[1]), rel=0.01)


def test_moisture_and_ash() -> None:
    """Cornell's dish: 4 g, with 10 g of grass, dried to 6.3 g: 77 %."""
    outputs = solved(weighings=((4.0, 14.0, 6.3, None),))
    assert outputs.compost_moisture_percent == pytest.approx(77) and outputs.organic_percent is None
    outputs = solved(weighings=tuple(DRIED))
    assert outputs.compost_moisture_percent == pytest.approx((40 + 39) / 2)
    assert outputs.organic_percent == pytest.approx((100 * 24 / 60 + 100 * 25 / 61) / 2)
    assert outputs.results[0][2] == f"{2 * stats.sem([40, 39]):.2g} %"
    for wrong in ((10.0, 50.0, 60.0, None), (10.0, 50.0, 30.0, 31.0), (10.0, 50.0, 30.0, 9.0), (10.0, 50.0, 10.0, None)):
        with pytest.raises(CannotSolve):
            solved(weighings=(wrong,))


def test_titration_by_equivalents() -> None:
    """22 g of CO2, so 6 g of carbon, to the equivalent: 1 mL of acid of 1 mol/L saved is 6.0055 mg of carbon."""
    assert laboratory.carbon_given_off(25.0, 24.0, 1.0, 1.0, 1.0) == pytest.approx(44.009 / 2 * 12.011 / 44.009)
    outputs = solved(weighings=tuple(DRIED), alkali_traps=(("blank", 24.5), ("blank", 24.7), ("compost", 18.1), ("compost", 18.9)),
                     jar_days=2.0, acid_mol_l=0.5, jar_compost_g=25.0)  # fmt: skip
    organic = 25 * (1 - outputs.compost_moisture_percent / 100) * outputs.organic_percent / 100
    assert outputs.carbon_dioxide == pytest.approx((24.6 - 18.5) * 0.5 * 6.0055 / organic / 2)
    error = math.hypot(stats.sem([24.5, 24.7]), stats.sem([18.1, 18.9])) * 0.5 * 6.0055 / organic / 2
    assert outputs.results[-1][2].startswith(f"{2 * error:.2g}")
    with pytest.raises(CannotSolve, match="mixed up"):
        solved(weighings=tuple(DRIED), alkali_traps=(("blank", 10.0), ("compost", 20.0)))
    assert solved(alkali_traps=(("blank", 20.0), ("compost", 10.0))).carbon_dioxide is None  # no ash, no organic matter


# ---- sampling and the next test -------------------------------------------------------------------------------


@pytest.mark.parametrize(("volume", "grabs"), [(1, 12), (576, 12), (577, 13), (900, 15), (3600, 30), (90_000, 30)])
def test_sub_samples(volume: float, grabs: int) -> None:
    """Half the root of the volume, at least 12 and at most 30 (EN 12579, from memory)."""
    assert solved(batch_m3=float(volume)).sub_samples == grabs


@settings(max_examples=80, deadline=None)
@given(st.floats(0.01, 1e5), st.floats(0.05, 20), st.floats(0.1, 100))
def test_quartering_keeps_enough(volume, grab, wanted) -> None:  # type: ignore[no-untyped-def]
    outputs = solved(batch_m3=volume, grab_l=grab, laboratory_l=wanted)
    kept = outputs.mixed_sample_l / 2**outputs.quarterings
    assert kept >= wanted * (1 - 1e-6) or outputs.quarterings == 0
    assert kept / 2 < wanted * (1 + 1e-6) or outputs.mixed_sample_l < wanted


@pytest.mark.parametrize(("flask", "date", "words"), [
    (45.0, "2027-03-14", "on 4 April 2027: self-heating against mature compost"),
    (28.0, "2027-03-14", "on 13 June 2027: the next batch, or within a quarter"),
    (40.0, "2028-02-10", "on 11 May 2028"), (40.1, "2028-02-10", "on 2 March 2028"),
    (45.0, "", "after 21 days"), (45.0, "14.3.2027", "after 21 days: self-heating against mature compost (‘14.3.2027’ is not a date"),
])  # fmt: skip
def test_the_day_of_the_next_test(flask: float, date: str, words: str) -> None:
    outputs = solved(flask_readings=((3, flask, 20.0),), sampled_on=date)
    assert outputs.retest_on.startswith(words)


# ---- what follows ---------------------------------------------------------------------------------------------


def test_maturity_follows_and_blank_stays_blank() -> None:
    dishes = ";".join(":".join(str(cell) for cell in row) for row in EXTRACT + WATER)
    evaluated = Plan({"seed_dishes": dishes, "flask_readings": "2:30:20", "weighings": "10:110:70:46"}).evaluate()
    maturity = evaluated.results["maturity"]
    assert maturity.outputs.germination_index_percent == pytest.approx(evaluated.results["laboratory"].outputs.germination_percent_of_control)
    assert maturity.outputs.self_heating_rise_c == 10 and maturity.standings["organic_percent"].value == pytest.approx(40)
    assert maturity.standings["carbon_dioxide"].value is None
    assert evaluated.results["quality"].standings["compost_moisture_percent"].value == pytest.approx(40)
    own = Plan({"seed_dishes": dishes, "root_sample": "20"}).evaluate().results["maturity"]
    assert own.inputs.root_sample_mm == 20 and own.inputs.seeds_sample == 30
    bare = Plan({}).evaluate().results["maturity"]
    assert bare.outputs.tests_entered == 0


def test_a_figure_within_its_own_error_of_a_limit_is_said() -> None:
    asked = inputs(seed_dishes=tuple(EXTRACT + WATER))
    words = " ".join(laboratory.notices(asked, laboratory.solve(asked, Working()), show))
    assert "within its own ± of 80 %" in words
    jars = inputs(alkali_traps=(("blank", 20.0),))
    raised = laboratory.cautions(jars, laboratory.solve(jars, Working()), show)
    assert raised[0].key == "alkali_and_acid" and raised[0].urgent
