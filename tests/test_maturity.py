"""Maturity tests: edges of every table, the rules that combine tests, what is missing, and where tests disagree.

Limits typed here are those of the works named in the reference data; they are typed again, not read from it.
"""

from __future__ import annotations

from typing import Any

import pytest

from calculators.declare import CannotSolve, declared
from calculators.plan import Plan, Result
from calculators.reference import band_for
from calculators.topics import maturity
from calculators.units import show
from calculators.working import Working


def inputs(**given: Any) -> maturity.Inputs:
    answers = {name: answer.default for name, answer in declared(maturity.Inputs).items()}
    return maturity.Inputs(**{**answers, **given})


def solved(**given: Any) -> maturity.Outputs:
    return maturity.solve(inputs(**given), Working())


def readings(outputs: maturity.Outputs, test: str) -> list[str]:
    return [str(row[2]) for row in outputs.tests if row[0] == test]


def remarks(**given: Any) -> str:
    asked = inputs(**given)
    return " ".join(maturity.notices(asked, maturity.solve(asked, Working()), show))


GROWN = {
    "seeds_sample": 20, "germinated_sample": 19, "root_sample_mm": 40.0,
    "seeds_control": 20, "germinated_control": 20, "root_control_mm": 42.0,
}  # fmt: skip
MATURE = {"final_carbon_to_nitrogen": 14.0, "self_heating_highest_c": 32.0, "self_heating_room_c": 20.0, "emergence_percent": 88.0}


# ---- tables ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rise", "expected"),
    [(-3, "V"), (0, "V"), (10, "V"), (10.01, "IV"), (20, "IV"), (20.01, "III"), (30, "III"), (30.01, "II"), (40, "II"),
     (40.01, "I"), (60, "I")],
)  # fmt: skip
def test_self_heating_edges(rise: float, expected: str) -> None:
    assert maturity.self_heating_class(rise).key == expected


@pytest.mark.parametrize(
    ("table", "value", "expected"),
    [
        ("carbon_dioxide", 0, "very_stable"), ("carbon_dioxide", 1.99, "very_stable"), ("carbon_dioxide", 2, "stable"),
        ("carbon_dioxide", 7.99, "stable"), ("carbon_dioxide", 8, "moderately_unstable"), ("carbon_dioxide", 15, "unstable"),
        ("carbon_dioxide", 40, "raw"),
        ("oxygen_uptake_sour", 0.49, "very_stable"), ("oxygen_uptake_sour", 0.5, "stable"),
        ("oxygen_uptake_sour", 1.5, "moderately_unstable"), ("oxygen_uptake_sour", 3.5, "unstable"),
        ("oxygen_uptake_sour", 6.0, "unstable"), ("oxygen_uptake_sour", 6.01, "raw"),
        ("germination_index", 49.9, "strong"), ("germination_index", 50, "moderate"), ("germination_index", 80, "moderate"),
        ("germination_index", 80.1, "none"), ("germination_index", 100, "none"), ("germination_index", 100.1, "stimulates"),
        ("ammonium_nitrate_index", 0.49, "very_mature"), ("ammonium_nitrate_index", 0.5, "mature"),
        ("ammonium_nitrate_index", 3, "mature"), ("ammonium_nitrate_index", 3.01, "immature"),
        ("ammonium_nitrogen", 74, "very_mature"), ("ammonium_nitrogen", 75, "mature"), ("ammonium_nitrogen", 500, "mature"),
        ("ammonium_nitrogen", 501, "immature"),
    ],
)  # fmt: skip
def test_band_edges(table: str, value: float, expected: str) -> None:
    assert band_for(table, value).key == expected


@pytest.mark.parametrize(
    ("test", "best_edge", "last_edge", "step"),
    [("oxygen_uptake", 0.4, 1.3, 0.001), ("carbon_dioxide", 2, 8, 0.001), ("self_heating", 10, 20, 0.001),
     ("ammonium_nitrate", 0.5, 3, 0.001), ("ammonium_nitrogen", 75, 500, 0.1), ("organic_acids", 200, 1000, 0.1),
     ("seed_germination", 90, 80, -0.01), ("plant_trials", 90, 80, -0.01)],
)  # fmt: skip
def test_two_test_rating_edges(test: str, best_edge: float, last_edge: float, step: float) -> None:
    assert maturity.two_test_rating(test, best_edge - step) == "very mature"
    assert maturity.two_test_rating(test, best_edge) == "mature"
    assert maturity.two_test_rating(test, last_edge) == "mature"
    assert maturity.two_test_rating(test, last_edge + step) == "immature"


@pytest.mark.parametrize(
    ("limit", "met", "missed"),
    [("carbon_to_nitrogen_final", 20, 20.1), ("carbon_dioxide_mpca", 7.9, 8), ("emergence_and_vigour", 80, 79.9),
     ("germination_zucconi", 60.1, 60), ("germination_nyt_525", 70, 69.9), ("germination_mature", 80.1, 80)],
)  # fmt: skip
def test_single_limits(limit: str, met: float, missed: float) -> None:
    assert maturity.limit_met(limit, met) and not maturity.limit_met(limit, missed)


# ---- arithmetic -----------------------------------------------------------------------------------------------


def test_germination_index_arithmetic() -> None:
    # 8 of 10 against 9 of 10, 30 mm against 45 mm: 0.8889 x 0.6667 = 59.26 %
    assert maturity.germination_index(8, 10, 30, 9, 10, 45) == pytest.approx(59.259, abs=5e-4)
    # unequal dishes: shares are compared, not counts
    assert maturity.germination_index(40, 50, 30, 9, 10, 45) == pytest.approx(59.259, abs=5e-4)
    assert maturity.germination_index(9, 10, 45, 9, 10, 45) == pytest.approx(100)
    assert maturity.germination_index(0, 10, 0, 9, 10, 45) == 0


def test_conversions_of_respiration() -> None:
    assert maturity.carbon_dioxide_as_carbon(44.009) == pytest.approx(12.011, abs=1e-3)
    assert maturity.oxygen_as_mass(25) == pytest.approx(0.79995, abs=1e-5)


def test_shares_of_germination_enter_group_b() -> None:
    outputs = solved(**GROWN)
    assert readings(outputs, "germination") == ["very mature"]  # 95 % of the control
    assert outputs.germination_index_percent == pytest.approx(90.476, abs=5e-4)
    assert readings(outputs, "germination index") == ["no harm", "met", "met", "met"]
    assert outputs.tests_entered == 1


# ---- nothing entered, half entered ----------------------------------------------------------------------------


def test_with_nothing_entered_it_says_where_to_begin() -> None:
    outputs = solved()
    said = maturity.sentence(inputs(), outputs, show)
    assert said.startswith("No verdict yet: no test is entered.")
    assert "squeeze" in said and outputs.tests == () and outputs.tests_entered == 0
    assert outputs.next_test.startswith("squeeze of a handful, then reheat")
    assert all(word in outputs.missing for word in ("C:N", "self-heating", "ammonium"))
    assert outputs.ccme_2005.startswith("no verdict") and outputs.eu_stability.startswith("no verdict")
    assert outputs.self_heating_rise_c is None and maturity.charts(inputs(), outputs) == []
    assert maturity.cautions(inputs(), outputs, show)[0].urgent


def test_the_next_test_passes_over_what_is_made() -> None:
    made = {"jar_smell": "earthy", "squeeze": "drops", "reheat_rise_c": 4.0}
    assert solved(**made).next_test.startswith("radish seeds, then self-heating")
    everything = {**made, **MATURE, "radish_percent": 90.0, "ammonium_mg_kg": 20.0, "nitrate_mg_kg": 100.0}
    assert solved(**everything).next_test.startswith("nothing")


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"self_heating_highest_c": 40.0}, "room temperature"),
        ({"self_heating_room_c": 20.0}, "highest temperature"),
        ({"seeds_sample": 20, "germinated_sample": 18}, "mean root in extract, seeds in water, germinated in water"),
        ({"oxygen_uptake": 10.0}, "organic matter"),
        ({"ammonium_mg_kg": 30.0}, "nitrate, for"),
        ({"nitrate_mg_kg": 30.0}, "ammonium, beside"),
    ],
)  # fmt: skip
def test_half_a_test_says_what_completes_it(given: dict[str, Any], words: str) -> None:
    assert words in solved(**given).missing


def test_each_part_of_the_index_is_missed_by_name() -> None:
    assert "C:N" in solved(**{**MATURE, "final_carbon_to_nitrogen": None}).missing
    assert "stability" in solved(**{**MATURE, "self_heating_highest_c": None}).missing
    assert "plant or ammonia" in solved(**{**MATURE, "emergence_percent": None}).missing


def test_a_reported_rise_stands_in_for_two_readings_only_where_they_lack() -> None:
    assert solved(self_heating_reported_c=12.0).self_heating_rise_c == 12
    assert "highest" not in solved(self_heating_reported_c=12.0, self_heating_room_c=20.0).missing
    both = {"self_heating_reported_c": 12.0, "self_heating_highest_c": 50.0, "self_heating_room_c": 20.0}
    assert solved(**both).self_heating_rise_c == 30
    assert "left aside" in remarks(**both)


# ---- rules ----------------------------------------------------------------------------------------------------


def test_two_test_index_takes_the_poorer_group() -> None:
    assert solved(**MATURE).two_test_index == "mature"
    assert solved(**{**MATURE, "self_heating_highest_c": 25.0, "emergence_percent": 96.0}).two_test_index == "very mature"
    assert solved(**{**MATURE, "self_heating_highest_c": 25.0}).two_test_index == "mature"
    assert solved(**{**MATURE, "self_heating_highest_c": 45.0}).two_test_index == "immature"
    assert solved(**{**MATURE, "emergence_percent": 79.0}).two_test_index == "immature"


def test_the_gate_of_carbon_to_nitrogen_stops_everything_else() -> None:
    over = solved(**{**MATURE, "final_carbon_to_nitrogen": 25.1})
    assert over.two_test_index == "immature" and over.verdict.startswith("half-finished")
    assert solved(**{**MATURE, "final_carbon_to_nitrogen": 25.0}).two_test_index == "mature"
    assert solved(final_carbon_to_nitrogen=26.0).two_test_index == "immature"  # no further test is needed to fail


def test_a_rule_of_sale_is_no_reading_of_maturity() -> None:
    outputs = solved(**{**MATURE, "final_carbon_to_nitrogen": 22.0})
    assert readings(outputs, maturity.PRODUCT_RULE) == ["not met"]
    assert outputs.verdict == "mature compost by the two-test index"


def test_oxygen_is_rated_for_all_solids_only_with_organic_matter() -> None:
    # 20 mmol = 0.64 mg/g organic matter; at 50 % organic matter 0.32 mg/g solids
    given = {"final_carbon_to_nitrogen": 14.0, "emergence_percent": 95.0, "oxygen_uptake": 20.0}
    assert solved(**given).two_test_index == "no rating yet"
    assert solved(**given, organic_percent=50.0).two_test_index == "very mature"
    assert solved(**given, organic_percent=80.0).two_test_index == "mature"


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ({"curing_days": 21, "carbon_dioxide": 4.0}, "met"),
        ({"curing_days": 20, "carbon_dioxide": 1.0}, "not met: 20 days of curing, 21 are required"),
        ({"carbon_dioxide": 4.01}, "not met by the tests entered"),
        ({"carbon_dioxide": 4.01, "self_heating_reported_c": 8.0}, "met"),
        ({"self_heating_reported_c": 8.01}, "not met by the tests entered"),
        ({"oxygen_uptake": 12.5}, "met"),
        ({"oxygen_uptake": 12.6}, "not met by the tests entered"),
        ({}, "no verdict: none of its tests is entered"),
    ],
)  # fmt: skip
def test_canadian_rule(given: dict[str, Any], expected: str) -> None:
    assert solved(**given).ccme_2005 == f"{expected} (limits: from memory)"


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ({"oxygen_uptake": 25.0}, "met"),
        ({"oxygen_uptake": 25.1}, "not met by the tests entered"),
        ({"oxygen_uptake": 25.1, "self_heating_reported_c": 30.0}, "met"),
        ({"self_heating_reported_c": 30.1}, "not met by the tests entered"),
        ({"carbon_dioxide": 1.0}, "no verdict: none of its tests is entered"),
    ],
)  # fmt: skip
def test_european_rule(given: dict[str, Any], expected: str) -> None:
    assert solved(**given).eu_stability == f"{expected} (limits: from memory)"


def test_no_nitrate_leaves_ammonium_to_speak() -> None:
    outputs = solved(ammonium_mg_kg=600.0, nitrate_mg_kg=0.0)
    assert outputs.ammonium_nitrate is None and readings(outputs, "ammonium nitrogen") == ["immature"]
    assert "no value" in remarks(ammonium_mg_kg=600.0, nitrate_mg_kg=0.0)


def test_a_value_on_a_limit_is_not_lost_to_the_last_binary_digit() -> None:
    assert 32.2 - 22.2 > 10  # the trap
    outputs = solved(self_heating_highest_c=32.2, self_heating_room_c=22.2)
    assert readings(outputs, "self-heating") == ["class V"]
    written = Plan({"oxygen_uptake": "400 mg O2/kg VS/h"}, None).evaluate().results["maturity"]
    assert written.outputs.ccme_2005.startswith("met")
    written = Plan({"oxygen_uptake": "1.5 mg O2/g OM/h"}, None).evaluate().results["maturity"]
    assert readings(written.outputs, "oxygen taken up") == ["moderately unstable"]


# ---- disagreement ---------------------------------------------------------------------------------------------


def test_tests_that_disagree_are_pointed_out_and_the_poorer_stands() -> None:
    given = {**MATURE, "jar_smell": "sour"}
    outputs = solved(**given)
    assert outputs.two_test_index == "mature"
    assert "half-finished" in outputs.verdict and "jar smell" in outputs.verdict
    assert outputs.agreement.startswith("no: ") and outputs.agreement.endswith("jar smell against")
    assert "disagree" in remarks(**given)
    assert maturity.cautions(inputs(**given), outputs, show)[0].urgent


def test_a_germination_index_does_not_outweigh_heat() -> None:
    given = {**GROWN, "self_heating_reported_c": 35.0}
    assert "self-heating" in solved(**given).verdict
    assert "Heating decides" in remarks(**given)


def test_seeds_that_suffer_in_cold_compost() -> None:
    given = {**GROWN, "root_sample_mm": 10.0, "self_heating_reported_c": 5.0}
    assert "salt" in remarks(**given)


def test_agreement_and_a_single_test() -> None:
    assert solved(**MATURE).agreement == "yes: all for mature compost"
    assert solved(jar_smell="sour", reheat_rise_c=25.0).agreement == "yes: all against mature compost"
    assert solved(jar_smell="earthy").agreement == "only one test is entered"
    assert solved(squeeze="drops").agreement == "no test of maturity is entered"


def test_a_mature_verdict_calms_the_caution_and_a_dry_sample_is_doubted() -> None:
    outputs = solved(**MATURE)
    assert outputs.verdict == "mature compost by the two-test index"
    raised = maturity.cautions(inputs(**MATURE), outputs, show)
    assert not raised[0].urgent
    assert {each.key for each in raised} == {
        "compost_not_fit_until_tested", "not_for_food_contact", "legionella", "meat_rules",
    }  # fmt: skip
    assert "dry" in remarks(**MATURE, squeeze="crumbles")


@pytest.mark.parametrize(
    ("given", "reading"),
    [({"radish_percent": 75.0}, "passed"), ({"radish_percent": 74.9}, "failed"), ({"reheat_rise_c": 20.0}, "passed"),
     ({"reheat_rise_c": 20.1}, "failed"), ({"squeeze": "runs"}, "too wet"), ({"jar_smell": "earthy"}, "passed")],
)  # fmt: skip
def test_field_tests(given: dict[str, Any], reading: str) -> None:
    assert [row[2] for row in solved(**given).tests] == [reading]


# ---- impossible answers, samples, the page --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"germinated_control": 0}, "nothing to compare"), ({"root_control_mm": 0.0}, "nothing to compare"),
        ({"germinated_sample": 21}, "than were sown"), ({"germinated_control": 21}, "than were sown"),
    ],
)  # fmt: skip
def test_germination_that_cannot_be(change: dict[str, Any], words: str) -> None:
    with pytest.raises(CannotSolve, match=words):
        solved(**{**GROWN, **change})


def test_samples_grow_with_the_volume() -> None:
    assert maturity.samples_a_year(0) == 1
    assert maturity.samples_a_year(maturity.SAMPLE_M3) == 1
    assert maturity.samples_a_year(maturity.SAMPLE_M3 + 1) == 2


def test_every_row_names_its_table_and_how_it_is_known() -> None:
    everything = {
        **GROWN, **MATURE, "ammonium_mg_kg": 90.0, "nitrate_mg_kg": 60.0, "organic_acids_mg_kg": 300.0, "carbon_dioxide": 3.0,
        "oxygen_uptake": 10.0, "organic_percent": 45.0, "squeeze": "drops", "jar_smell": "earthy", "radish_percent": 80.0,
        "reheat_rise_c": 5.0,
    }  # fmt: skip
    outputs = solved(**everything)
    known = {"published", "restated", "from memory"}
    assert all(len(row) == 6 and row[4] and row[5] in known for row in outputs.tests)
    assert outputs.tests_entered == 12
    assert len(maturity.charts(inputs(**everything), outputs)) == 2


def test_the_plan_hands_on_days_of_curing_and_volume() -> None:
    result = Plan({"curing_days": 14}).evaluate().results["maturity"]
    assert isinstance(result, Result)
    assert "14 days" in result.outputs.ccme_2005
    assert result.inputs.screened_m3_per_day > 0


@pytest.mark.parametrize("nitrate", [0.0, 2.2e-311, 1e-9])
def test_a_trace_of_nitrate_that_no_laboratory_finds_counts_as_none(nitrate: float) -> None:
    outputs = solved(ammonium_mg_kg=1.0, nitrate_mg_kg=nitrate)
    assert outputs.ammonium_nitrate is None


def test_a_control_without_a_root_to_measure_is_refused() -> None:
    grown = dict(seeds_sample=10, germinated_sample=9, root_sample_mm=30.0, seeds_control=10, germinated_control=9)
    with pytest.raises(CannotSolve):
        solved(root_control_mm=1e-311, **grown)


# ---- further schemes, and the stage ---------------------------------------------------------------------------


@pytest.mark.parametrize(("carbon", "nitrogen", "expected"), [
    (0.99, None, ["met"]), (1.0, None, ["not met"]), (0.69, 1.0, ["met", "met"]), (0.7, 1.0, ["met", "not met"]),
    (1.4, 2.5, ["not met", "met"]),
])  # fmt: skip
def test_carbon_that_dissolves(carbon: float, nitrogen: float | None, expected: list[str]) -> None:
    """Hue and Liu 1995: below 1 % of dry mass, and below 0.70 of organic nitrogen."""
    outputs = solved(soluble_carbon_percent=carbon, organic_nitrogen_percent=nitrogen)
    found = readings(outputs, "soluble carbon") + readings(outputs, "soluble carbon to nitrogen")
    assert found == expected and outputs.tests_entered == 1


@pytest.mark.parametrize(("name", "test", "met", "missed"), [
    ("carbon_dioxide", "carbon dioxide, British rule", 4.36, 4.37), ("final_carbon_to_nitrogen", "C:N, stricter", 15, 15.1),
    ("ammonium_mg_kg", "ammonium nitrogen, stricter", 399.0, 400.0), ("soluble_carbon_percent", "soluble carbon, looser", 1.69, 1.7),
])  # fmt: skip
def test_stricter_limits_are_shown_and_not_counted(name: str, test: str, met: float, missed: float) -> None:
    """PAS 100: at most 16 mg CO2, 4.36 mg C; Bernal 1998: C:N 15, soluble carbon below 1.7 %; Zucconi 1987: below 400 mg/kg."""
    assert readings(solved(**{name: met}), test) == ["met"] and readings(solved(**{name: missed}), test) == ["not met"]
    assert test not in solved(**{name: missed}).agreement


def test_the_stage_and_what_it_may_be_used_for() -> None:
    assert solved().compost_stage == "unknown" and solved(**MATURE).compost_stage == "mature"
    assert solved(**{**MATURE, "jar_smell": "sour"}).compost_stage == "half-finished"
    assert solved(**{**MATURE, "final_carbon_to_nitrogen": 26.0}).compost_stage == "half-finished"
    best = {"final_carbon_to_nitrogen": 12.0, "self_heating_reported_c": 4.0, "emergence_percent": 95.0}
    assert solved(**best).compost_stage == "very mature" and "seedbeds" in solved(**best).may_be_used_for
    assert "not for seedlings" in solved(jar_smell="sour").may_be_used_for
