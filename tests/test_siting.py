"""Siting: the table against a second transcription, every rule passing, failing and at its limit, and laws of distance."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.declare import declared
from calculators.plan import Plan
from calculators.reference import sources
from calculators.topics import siting
from calculators.units import convert, show
from calculators.working import Working
from tests.vectors import value_for

FT = 0.3048
# Typed a second time from the publications and notes of them: line, home, work, sensitive, well, stream, pond, in feet.
FEET = {
    "nc_type3": (100, 500, None, None, 100, 50, None),
    "nc_small": (100, 200, None, None, 100, 50, None),
    "nc_type1": (50, 200, None, None, 100, 50, None),
    "maryland": (50, 300, None, None, 100, 100, 100),
    "handbook_leaf": (50, 250, 250, 150, None, None, None),
    "minnesota_2012": (None, 500, 500, 500, None, None, None),
    "klickitat_low": (50, 200, 200, None, 100, 100, 100),
    "klickitat_high": (100, 500, 500, None, 200, 200, 200),
    "north_st_paul": (3, 20, None, None, None, 20, 20),
}
METRES = {
    "uk_bioaerosol": (None, 250, 250, None, None, None, None),
    "manitoba": (100, None, None, None, 100, 100, 100),
    "india_2016": (None, 200, None, 200, None, 100, 200),
}
SUBJECTS = ("property_line_m", "nearest_home_m", "nearest_workplace_m", "nearest_sensitive_m", "nearest_well_m",
            "nearest_stream_m",
            "nearest_pond_m")  # fmt: skip
ANSWERS = declared(siting.Inputs)
NUMBERED = [row for row in siting.RULES if row["sense"] in ("at least", "at most", "more than")]
NAMED = [row for row in siting.RULES if row["sense"] in ("is", "conditions")]
AWAY = [row for row in NUMBERED if row["sense"] != "at most" and row["unit"] != "percent"]


def label(row: Any) -> str:
    return f"{row['guidance']}-{row['what']}-{row['sense']}-{row['limit']}"


def inputs(**given: Any) -> siting.Inputs:
    return siting.Inputs(**{**{name: answer.default for name, answer in ANSWERS.items()}, **given})


def solved(**given: Any) -> siting.Outputs:
    return siting.solve(inputs(**given), Working())


# ---- the table ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", [*FEET, *METRES])
def test_the_table_against_a_second_transcription(key: str) -> None:
    factor = FT if key in FEET else 1.0
    for what, limit in zip(SUBJECTS, FEET.get(key) or METRES[key], strict=True):
        own = [row for row in siting.RULES if row["guidance"] == key and row["what"] == what and "only_if" not in row]
        assert len(own) == (limit is not None), (key, what)
        if own:
            assert siting.limit_of(own[0]) == pytest.approx(limit * factor, rel=1e-12)


def test_the_other_limits_against_a_second_transcription() -> None:
    others = {label(row) for row in NUMBERED if row["what"] not in SUBJECTS}
    assert others == {
        "klickitat_low-nearest_ditch_m-at least-25", "klickitat_high-nearest_ditch_m-at least-25",
        "klickitat_low-groundwater_depth_m-at least-2", "klickitat_high-groundwater_depth_m-at least-5",
        "cornell_municipal-ground_slope_percent-at least-2", "cornell_municipal-ground_slope_percent-at most-3",
        "composting_handbook-ground_slope_percent-at most-5", "nraes_54-ground_slope_percent-at least-2",
        "nraes_54-ground_slope_percent-at most-4", "uk_fire-access_road_m-at least-3.7", "uk_fire-gate_width_m-at least-3.1",
        "uk_fire-headroom_m-at least-3.7", "uk_fire-dead_end_m-at most-20", "uk_fire-fire_engine_m-at most-45",
        "us_fire-access_road_m-at least-20", "us_fire-headroom_m-at least-13.5",
    }  # fmt: skip


def test_metric_figures_as_rounded_in_the_notes() -> None:
    """500 ft are 152 m, 300 ft 91 m, 250 ft 76 m, 100 ft 30.5 m, 25 ft 7.6 m, 5 ft 1.5 m; 50 cubic yards 38 m³, 80 61 m³."""
    for feet, metres, places in ((500, 152, 0), (300, 91, 0), (250, 76, 0), (100, 30.5, 1), (25, 7.6, 1), (5, 1.5, 1)):
        assert round(convert(feet, "ft", "m"), places) == metres
    assert [round(row[1]) for row in solved().small_sites] == [38, 61]


def test_rows_are_whole() -> None:
    keys = [row["key"] for row in siting.GUIDANCES]
    assert len(keys) == len(set(keys)) and {row["guidance"] for row in siting.RULES} == set(keys)
    for row in (*siting.RULES, *siting.GUIDANCES):
        assert row["source"] in sources()
    for row in siting.RULES:
        (own,) = [each for each in siting.GUIDANCES if each["key"] == row["guidance"]]
        assert (row["source"], row["status"]) == (own["source"], own["status"])
        assert row["what"] in ANSWERS and row["what"] in siting.SUBJECTS and row["words"]
        assert row["unit"] in ("ft", "m", "percent", "")
    assert set(siting.SUBJECTS) == {row["what"] for row in siting.RULES}


# ---- every rule: passing, failing, at the limit ---------------------------------------------------------------


@pytest.mark.parametrize("row", NUMBERED, ids=label)
def test_a_numbered_rule(row: Any) -> None:
    limit = siting.limit_of(row)
    inside, outside = (0.99 * limit, 1.01 * limit) if row["sense"] == "at most" else (1.01 * limit, 0.99 * limit)
    assert siting.reading_of(row, inside) == "met" and siting.short_by(row, inside) == 0
    assert siting.reading_of(row, outside) == "not met" and siting.short_by(row, outside) == pytest.approx(0.01 * limit)
    # 'at least', 'not closer than', 'minimum buffer' and 'at most' hold at the figure; 'within 250 m' takes it in
    assert siting.reading_of(row, limit) == ("not met" if row["sense"] == "more than" else "met")
    assert siting.reading_of(row, None) == "not measured"


@pytest.mark.parametrize("row", [row for row in NUMBERED if row["unit"] != "percent"], ids=label)
def test_the_printed_figure_as_a_user_writes_it(row: Any) -> None:
    """'500 ft' entered in a form meets a rule of at least 500 ft: no rounding lies between the two."""
    result = Plan({row["what"]: f"{row['limit']} {row['unit']}", "garden_kg_per_day": 10},
                  None).evaluate(only="siting").results["siting"]
    (read,) = [each for each in siting.read_all(result.inputs) if each.rule is row]
    assert read.reading == ("not met" if row["sense"] == "more than" else "met")


@pytest.mark.parametrize("row", NAMED, ids=label)
def test_a_rule_of_words(row: Any) -> None:
    assert siting.reading_of(row, row["limit"]) == "met"
    others = [option.key for option in ANSWERS[row["what"]].options if option.key != row["limit"]]
    assert others
    for other in others:
        assert siting.reading_of(row, other) == ("not met" if row["sense"] == "is" else "only on its conditions")
    assert siting.reading_of(row, None) == "not measured"


def test_grass_needs_more_distance_only_where_garden_waste_comes() -> None:
    near = {"nearest_home_m": 300 * FT}
    grass = "at least 1000 ft (305 m), from where grass is handled"
    readings = {garden: next(row[4] for row in solved(**near, garden_kg_per_day=garden).distance_rules if row[2] == grass)
                for garden in (0.0, 5.0)}  # fmt: skip
    assert readings == {0.0: "does not apply", 5.0: "not met"}


# ---- laws -----------------------------------------------------------------------------------------------------


def any_plot(chance: Any) -> dict[str, Any]:
    return {name: value_for(answer, chance) for name, answer in ANSWERS.items()}


@given(st.randoms(use_true_random=False), st.sampled_from(sorted({row["what"] for row in AWAY})), st.floats(0, 600),
       st.floats(0, 600))
@settings(max_examples=80, deadline=None)
def test_moving_away_never_turns_a_met_rule_into_a_miss(chance: Any, what: str, near: float, more: float) -> None:
    plot = any_plot(chance)
    before = siting.read_all(inputs(**{**plot, what: near}))
    after = siting.read_all(inputs(**{**plot, what: near + more}))
    for one, other in zip(before, after, strict=True):
        if one.rule["what"] != what:
            assert one.reading == other.reading
        elif one.rule in AWAY and one.reading == "met":
            assert other.reading == "met"
    nearer, farther = solved(**{**plot, what: near}), solved(**{**plot, what: near + more})
    assert farther.rules_missed <= nearer.rules_missed and farther.guidances_missed <= nearer.guidances_missed


@given(st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None)
def test_counts_add_up_and_words_are_whole(chance: Any) -> None:
    asked = inputs(**any_plot(chance))
    outputs = siting.solve(asked, Working())
    read = siting.read_all(asked)
    other = sum(each.reading in ("only on its conditions", "does not apply") for each in read)
    assert outputs.siting_rules_met + outputs.rules_missed + outputs.rules_open + other == len(siting.RULES)
    assert outputs.guidances_met + outputs.guidances_missed + outputs.guidances_open == len(siting.GUIDANCES)
    assert len(outputs.distance_rules) + len(outputs.other_rules) == len(siting.RULES)
    assert (outputs.rules_missed == 0) == (outputs.strictest_missed == "no rule is missed")
    for table in siting.CALCULATOR.results.values():
        if table.kind == "table":
            assert all(len(row) == len(table.columns) <= 6 for row in getattr(outputs, table.name))
    said = siting.sentence(asked, outputs, show)
    assert said.endswith(".") and "nan" not in said and siting.notices(asked, outputs, show)
    assert siting.cautions(asked, outputs, show) and siting.charts(asked, outputs)


@given(st.randoms(use_true_random=False), st.sampled_from([name for name, answer in ANSWERS.items() if answer.blank]))
@settings(max_examples=40, deadline=None)
def test_leaving_something_out_never_makes_a_guidance_met(chance: Any, what: str) -> None:
    plot = any_plot(chance)
    assert solved(**{**plot, what: None}).guidances_met <= solved(**plot).guidances_met


# ---- what is said ---------------------------------------------------------------------------------------------


def test_nothing_measured_is_no_pass() -> None:
    outputs = solved()
    # the gate follows the plan of the yard, so its one rule is not open
    assert outputs.guidances_met == 0 and outputs.rules_open == len(siting.RULES) - 1
    assert "measure first: homes" in siting.sentence(inputs(), outputs, show)


def test_the_furthest_and_what_to_measure_first() -> None:
    outputs = solved(nearest_home_m=160.0, garden_kg_per_day=0.0, nearest_well_m=20.0)
    # 90 m off, Manitoba's wells 80
    assert outputs.strictest_missed == "Bioaerosol distance, England: homes, more than 250 m (820 ft)"
    asked = {"nearest_home_m": 1e4, "nearest_workplace_m": 1e4, "nearest_sensitive_m": 1e4, "property_line_m": 1e4,
             "nearest_well_m": 1e4,
             "nearest_stream_m": 1e4, "nearest_pond_m": 1e4, "nearest_ditch_m": 1e4, "groundwater_depth_m": 9.0,
             "access_road_m": 9.0,
             "gate_width_m": 9.0, "headroom_m": 9.0, "dead_end_m": 0.0, "fire_engine_m": 9.0, "in_flood_plain": "outside",
             "prevailing_wind": "away"}  # fmt: skip
    assert solved(**asked).measure_first == "slope (5 rules)"
    whole = solved(**asked, ground_slope_percent=2.5)
    assert whole.guidances_met == len(siting.GUIDANCES) and whole.measure_first == "nothing: all is measured"
    flooded = solved(**{**asked, "in_flood_plain": "inside"}, ground_slope_percent=2.5)
    assert flooded.strictest_missed.startswith("Maryland: floods")
    assert {row[3] for row in flooded.by_guidance} == {"met", "not met", "met on its conditions: read them"}


def test_where_guidances_differ() -> None:
    rows = {row[0]: row for row in solved(nearest_home_m=100.0, garden_kg_per_day=0.0).differences}
    assert rows["homes"][1:] == (11, pytest.approx(20 * FT), 250.0, 100.0, 6)
    assert rows["dead end, no more than"][1] == 1


def test_small_sites() -> None:
    small = solved(heap_m3=2.0, standing_heaps_first_stage=12.0, standing_heaps_curing=8.0)
    assert [row[3] for row in small.small_sites] == ["larger", "small enough"]  # 40 m³ against 38 and 61


def test_near_homes_raise_the_caution_beside_the_answer() -> None:
    for metres, urgent in ((250.0, True), (251.0, False)):
        asked = inputs(nearest_home_m=metres)
        raised = siting.cautions(asked, siting.solve(asked, Working()), show)
        assert next(each for each in raised if each.key == "neighbours_spores").urgent is urgent


def test_a_new_guidance_is_new_rows(monkeypatch: pytest.MonkeyPatch) -> None:
    guidance = {"key": "here", "name": "Here", "short": "Here", "written_for": "yards here", "source": "chosen_here",
                "status": "example"}
    rule = {"guidance": "here", "what": "nearest_home_m", "sense": "at least", "limit": 40, "unit": "m", "words": "from homes",
            "source": "chosen_here", "status": "example"}  # fmt: skip
    monkeypatch.setattr(siting, "GUIDANCES", (*siting.GUIDANCES, guidance))
    monkeypatch.setattr(siting, "RULES", (*siting.RULES, rule))
    assert solved(nearest_home_m=41.0).by_guidance[-1] == ("Here", "yards here", "1 met", "met", "example")
