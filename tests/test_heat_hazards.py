"""Work in heat and the dangers of the yard: each limit passing, failing and exactly met by its publication's wording."""

from __future__ import annotations

import math
from typing import Any

import numpy
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from calculators import reference
from calculators.cautions import gather
from calculators.declare import CannotSolve, declared
from calculators.plan import Plan
from calculators.topics import hazards, heat_stress
from calculators.units import show
from calculators.working import Working


def asked(topic: Any, **given: Any) -> Any:
    answers = {name: answer.default for name, answer in declared(topic.Inputs).items()}
    return topic.Inputs(**{**answers, **given})


def solved(topic: Any, **given: Any) -> Any:
    return topic.solve(asked(topic, **given), Working())


# ---- work in heat ---------------------------------------------------------------------------------------------

AT_LIMIT = float(heat_stress.exposure_limit(415))
RESTED = float(heat_stress.exposure_limit(115))


@pytest.mark.parametrize(
    ("wbgt", "minutes"),
    [(AT_LIMIT - 0.1, 60), (AT_LIMIT, pytest.approx(60)), (AT_LIMIT + 0.1, pytest.approx(58, abs=1)), (RESTED, pytest.approx(0, abs=1e-9)), (RESTED + 0.1, 0)],
)  # fmt: skip
def test_minutes_below_at_and_above_the_limit(wbgt: float, minutes: Any) -> None:
    """NIOSH 2016-106, 8.1: the limit is on the hour's mean; at the limit itself the exposure is not beyond it."""
    assert solved(heat_stress, meter_wbgt_c=wbgt, work_kind="heavy").work_minutes == minutes


@settings(max_examples=50, deadline=None)
@given(st.floats(15, 38), st.sampled_from(sorted(heat_stress.KINDS)))
def test_the_minutes_bring_the_hours_mean_to_the_limit(wbgt: float, kind: str) -> None:
    """Outside check: the root of limit(mean of work and rest) = WBGT, by scipy."""
    watts = heat_stress.KINDS[kind]["watts"]
    for limit, minutes in (
        (lambda m: 56.7 - 11.5 * numpy.log10(m), solved(heat_stress, meter_wbgt_c=wbgt, work_kind=kind).work_minutes),
        (lambda m: 59.9 - 14.1 * numpy.log10(m), solved(heat_stress, meter_wbgt_c=wbgt, work_kind=kind).work_minutes_new),
    ):  # fmt: skip
        def slack(share: float, limit: Any = limit) -> float:
            return float(limit(share * watts + (1 - share) * 115)) - wbgt

        root = 60.0 if slack(1) >= 0 else 0.0 if slack(0) <= 0 else 60 * brentq(slack, 0, 1, xtol=1e-13)
        assert minutes == pytest.approx(root, abs=1e-6)


@settings(max_examples=50, deadline=None)
@given(st.floats(10, 40), st.floats(0, 5), st.sampled_from(sorted(heat_stress.KINDS)))
def test_more_heat_or_harder_work_never_allows_more(wbgt: float, more: float, kind: str) -> None:
    cool, hot = (solved(heat_stress, meter_wbgt_c=each, work_kind=kind) for each in (wbgt, wbgt + more))
    assert hot.work_minutes <= cool.work_minutes and hot.work_minutes_new <= cool.work_minutes_new
    assert cool.work_minutes_new <= cool.work_minutes
    minutes = [row[2] for row in cool.by_work]
    assert minutes == sorted(minutes, reverse=True)


@pytest.mark.parametrize("air", [0.0, 15.0, 30.0, 45.0])
@pytest.mark.parametrize("humidity", [10.0, 50.0, 99.0])
def test_wet_bulb_against_the_same_equation_with_another_saturation_curve(air: float, humidity: float) -> None:
    """scipy's root with Buck's curve in the place of Magnus's."""
    def saturation(celsius: float) -> float:
        return 6.1121 * math.exp((18.678 - celsius / 234.5) * celsius / (257.14 + celsius))

    wanted = brentq(lambda wet: saturation(wet) - 0.67 * (air - wet) - humidity / 100 * saturation(air), air - 60, air + 1)
    assert heat_stress.wet_bulb(air, humidity) == pytest.approx(wanted, abs=0.12)


def test_where_the_wbgt_comes_from() -> None:
    assert solved(heat_stress, meter_wbgt_c=30.0, wet_bulb_c=20.0, globe_c=25.0).wbgt_c == 30
    sun = solved(heat_stress, wet_bulb_c=28.0, globe_c=40.0, work_air_c=35.0, work_in_sun=True)
    assert sun.wbgt_c == pytest.approx(0.7 * 28 + 0.2 * 40 + 0.1 * 35)
    assert solved(heat_stress, wet_bulb_c=28.0, globe_c=40.0).wbgt_c == pytest.approx(0.7 * 28 + 0.3 * 40)
    guesses = [solved(heat_stress, work_in_sun=flag) for flag in (False, True)]
    assert guesses[0].wbgt_c < guesses[1].wbgt_c and all(each.wbgt_from.startswith("a guess") for each in guesses)
    assert solved(heat_stress, meter_wbgt_c=20.0, work_clothes="tight").wbgt_c == 31
    with pytest.raises(CannotSolve, match="both thermometers"):
        solved(heat_stress, wet_bulb_c=20.0)
    with pytest.raises(CannotSolve, match="no higher than the globe"):
        solved(heat_stress, wet_bulb_c=30.0, globe_c=25.0)


@pytest.mark.parametrize(
    ("wbgt", "kind", "used", "share"),
    [
        (28.0, "moderate", True, "75 to 100 %"), (28.1, "moderate", True, "50 to 75 %"), (29.0, "moderate", True, "50 to 75 %"),
        (25.0, "moderate", False, "75 to 100 %"), (25.1, "moderate", False, "50 to 75 %"), (27.5, "heavy", True, "50 to 75 %"),
        (20.0, "heavy", True, "50 to 75 %"), (30.5, "heavy", True, "up to 25 %"), (30.6, "heavy", True, "none"),
        (30.0, "very_heavy", True, "up to 25 %"), (27.1, "very_heavy", False, "none"),
    ],
)  # fmt: skip
def test_screening_table_at_its_values(wbgt: float, kind: str, used: bool, share: str) -> None:
    assert heat_stress.screening_share(wbgt, kind, used) == share


@pytest.mark.parametrize(("wbgt", "used", "read"), [(27.9, True, "within"), (28.0, True, "within"), (28.1, True, "above"), (26.1, False, "above")])
def test_iso_values_at_their_edges(wbgt: float, used: bool, read: str) -> None:
    assert heat_stress.iso_met(wbgt, "moderate", used) == read


def test_screening_values_fall_with_work_and_rise_with_rest() -> None:
    for who in ("limit", "action"):
        for kind in heat_stress.KINDS:
            column = [row[f"{who}_{kind}"] for row in heat_stress.SCREENING if row[f"{who}_{kind}"] is not None]
            assert column == sorted(column)
        for row in heat_stress.SCREENING:
            line = [row[f"{who}_{kind}"] for kind in heat_stress.KINDS if row[f"{who}_{kind}"] is not None]
            assert line == sorted(line, reverse=True)


@pytest.mark.parametrize(
    ("wbgt", "rest", "words"),
    [(20.0, 0.0, "yes"), (AT_LIMIT + 2, 5.0, "no:"), (AT_LIMIT, 10.0, "yes for workers used to the heat"), (36.0, 80.0, "must not be done")],
)  # fmt: skip
def test_the_planned_rest_is_judged(wbgt: float, rest: float, words: str) -> None:
    assert words in solved(heat_stress, meter_wbgt_c=wbgt, rest_percent=rest).rest_planned


def test_heat_words_and_caution() -> None:
    just = asked(heat_stress, meter_wbgt_c=AT_LIMIT, rest_percent=0.0)
    assert "those used to the heat may work without extra rest" in heat_stress.sentence(just, heat_stress.solve(just, Working()), show)
    assert solved(heat_stress, meter_wbgt_c=AT_LIMIT, rest_percent=0.0).rest_planned.startswith("yes for")
    hot = asked(heat_stress, meter_wbgt_c=36.0)
    outputs = heat_stress.solve(hot, Working())
    assert "must not do it" in heat_stress.sentence(hot, outputs, show)
    assert heat_stress.cautions(hot, outputs, show)[0].urgent
    cool = asked(heat_stress, meter_wbgt_c=18.0)
    assert not heat_stress.cautions(cool, heat_stress.solve(cool, Working()), show)[0].urgent
    assert [row[2] for row in solved(heat_stress, shift_hours=10.0).first_days] == [2, 4, 6, 8, 10]


# ---- noise ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("hours", "reading"), [(1.9, "within"), (2.0, "within"), (2.1, "beyond")])
def test_dose_below_at_and_above_a_hundred(hours: float, reading: str) -> None:
    """NIOSH: 91 dB for two hours is the recommended limit, not beyond it."""
    outputs = solved(hazards, shredder_noise_db=91.0, shredder_hours_per_day=hours, yard_db=60.0)
    assert outputs.noise[0][4] == reading
    assert outputs.shredder_dose_percent == pytest.approx(50 * hours)
    assert (outputs.shredder_dose_percent > 100) == (reading == "beyond")


@settings(max_examples=40, deadline=None)
@given(st.floats(80, 130), st.floats(0.01, 8), st.floats(80, 100))
def test_dose_is_the_sum_of_energy(loud: float, hours: float, rest: float) -> None:
    """Outside check: with halving each 3 dB the dose is 2^(L/3) summed over time, by numpy."""
    outputs = solved(hazards, shredder_noise_db=loud, shredder_hours_per_day=hours, yard_db=rest, shift_hours=8.0)
    energy = numpy.dot([hours, 8 - hours], numpy.exp2((numpy.array([loud, rest]) - 85) / 3)) / 8
    assert outputs.shredder_dose_percent == pytest.approx(100 * energy)
    assert outputs.day_level_db == pytest.approx(85 + 3 * numpy.log2(energy))
    assert outputs.noise_dose_muffs_percent <= outputs.shredder_dose_percent


def test_quiet_counts_for_nothing() -> None:
    outputs = solved(hazards, shredder_noise_db=79.9, yard_db=60.0)
    assert outputs.shredder_dose_percent == 0 and outputs.day_level_db is None
    assert solved(hazards, shredder_noise_db=90.0, shredder_hours_per_day=8.0, yard_db=60.0).noise[2][2] == pytest.approx(100)
    assert solved(hazards, shredder_noise_db=89.9, shredder_hours_per_day=8.0, yard_db=60.0).noise[2][2] == 0


# ---- limits ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "passing", "at", "failing"),
    [
        ("heap_height", 1.7, (1.8, True), 1.9),  # 'keep to 6 ft or lower'
        ("leaf_height", 1.7, (1.8, True), 1.9),  # '5 to 6 ft high'
        ("leaf_width", 2.9, (3.0, True), 3.1),  # '8 to 10 ft wide'
        ("fire_gap", 7.7, (7.6, True), 7.5),  # '25 ft'
        ("reading_interval", 6, (7, True), 8),  # 'monitor weekly'
        ("neighbours", 251, (250, False), 249),  # 'within 250 m'
        ("dust", 9, (10, True), 11),
        ("bacteria", 999, (1000, True), 1001),
        ("aspergillus", 499, (500, True), 501),
        ("ammonia", 24, (25, True), 26),
        ("oxygen_low", 20, (19.5, True), 19.4),  # 'less than 19.5 %'
        ("oxygen_high", 23, (23.5, True), 23.6),  # 'more than 23.5 %'
        ("flammable", 9, (10, True), 11),  # 'more than 10 %'
        ("sulphide", 9, (10, True), 11),
    ],
)
def test_each_limit_passing_at_and_failing(key: str, passing: float, at: tuple[float, bool], failing: float) -> None:
    assert hazards.limit_met(key, passing) and not hazards.limit_met(key, failing)
    assert hazards.LIMITS[key]["limit"] == at[0] and hazards.limit_met(key, at[0]) is at[1]


def test_every_limit_is_tested_and_held_against_an_answer() -> None:
    assert {key for key, _ in hazards.MEASURED} == set(hazards.LIMITS)
    assert {name for _, name in hazards.MEASURED} <= set(declared(hazards.Inputs))
    assert set(hazards.IN_PLACE) <= set(declared(hazards.Inputs))


@pytest.mark.parametrize(
    ("celsius", "key"),
    [
        (69.9, "read_on"), (70, "act"), (70.9, "act"), (71, "turn"), (74, "turn"), (74.1, "watch"), (80, "watch"), (80.1, "fire_service"),
        (85, "fire_service"), (85.1, "cool_at_once"), (-20, "read_on"),
    ],
)  # fmt: skip
def test_fire_table_at_its_edges(celsius: float, key: str) -> None:
    """'Turn at 160 F' counts at 71 °C itself; 'above 165 F', 'above 80 °C' and 'above 185 F' do not."""
    assert hazards.hot_pile_action(celsius)["key"] == key


@pytest.mark.parametrize(
    ("celsius", "moisture", "risk"),
    [(94, 30, True), (94, 20, True), (94, 45, True), (94, 19, False), (94, 46, False), (93, 30, False)],
)  # fmt: skip
def test_self_ignition_at_its_edges(celsius: float, moisture: float, risk: bool) -> None:
    assert hazards.may_smoulder(celsius, moisture) is risk


@settings(max_examples=40, deadline=None)
@given(st.floats(-20, 150), st.floats(0, 30))
def test_a_hotter_pile_never_asks_for_less(celsius: float, more: float) -> None:
    order = [row["key"] for row in hazards.HOT_PILES]
    assert order.index(hazards.hot_pile_action(celsius)["key"]) <= order.index(hazards.hot_pile_action(celsius + more)["key"])


# ---- the calculator -------------------------------------------------------------------------------------------


def test_what_is_not_measured_is_not_judged() -> None:
    rows = [row[1] for row in solved(hazards).hazard_checks]
    assert len(rows) == 6 and not any("Oxygen" in str(row) for row in rows)
    measured = solved(hazards, pit_oxygen_percent=18.0, pit_sulphide_ppm=10.0)
    assert [row[4] for row in measured.hazard_checks[-3:]] == ["beyond", "within", "within"]
    assert any("nobody enters" in words for words in hazards.notices(asked(hazards, pit_oxygen_percent=20.9), measured, show))


def test_each_thing_put_in_place_is_one_less_missing() -> None:
    missing = solved(hazards).missing_count
    assert missing == len(hazards.IN_PLACE)
    for key in hazards.IN_PLACE:
        assert solved(hazards, **{key: True}).missing_count == missing - 1
    whole = {key: True for key in hazards.IN_PLACE}
    best = asked(hazards, **whole, nearest_people_m=300.0, fire_gap_m=8.0, shredder_hours_per_day=0.2)
    outputs = hazards.solve(best, Working())
    assert outputs.beyond_count == outputs.missing_count == 0 and "No figure given" in hazards.sentence(best, outputs, show)


def test_readings_raise_the_fire_caution() -> None:
    def fire(**given: Any) -> Any:
        inputs = asked(hazards, **given)
        return next(each for each in hazards.cautions(inputs, hazards.solve(inputs, Working()), show) if each.key == "heap_height_fire")

    assert not fire().urgent and not fire(hottest_reading_c=69.0).urgent
    assert fire(hottest_reading_c=70.0).urgent and fire(hottest_store_c=90.0, hottest_reading_c=50.0).urgent
    assert "call the fire service" in solved(hazards, hottest_store_c=81.0).fire_action
    assert solved(hazards, hottest_store_c=95.0, store_moisture_percent=30.0).smoulder_risk.startswith("yes")
    with pytest.raises(CannotSolve, match="temperature"):
        solved(hazards, store_moisture_percent=30.0)


@pytest.mark.parametrize("topic", [heat_stress, hazards])
def test_every_row_says_how_it_is_known_and_cautions_have_text(topic: Any) -> None:
    inputs = asked(topic)
    assert gather((topic.CALCULATOR.key, each) for each in topic.cautions(inputs, topic.solve(inputs, Working()), show))
    for table in reference.load("safety").values():
        assert all(row["status"] in reference.STATUSES for row in table["rows"])


def test_the_plan_hands_on_its_figures() -> None:
    evaluated = Plan({}).evaluate()
    for key, name in (("heat_stress", "crew_present"), ("heat_stress", "rest_percent"), ("hazards", "shredder_hours_per_day"),
                      ("hazards", "heap_height_m")):  # fmt: skip
        assert evaluated.results[key].standings[name].origin == "followed", name
