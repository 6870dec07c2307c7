"""Troubles: the rule that ranks causes, its laws, what must always come first, and the list that needs no Python."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators import reference
from calculators.declare import declared
from calculators.plan import Plan
from calculators.topics import troubles
from calculators.units import show
from calculators.view import reference_tables
from calculators.view.elements import Element, text_of
from calculators.working import Working

SIGNS = sorted(troubles.SIGNS)
FIGURES = sorted(troubles.FIGURES)
SEEN = st.sets(st.sampled_from(SIGNS), max_size=8)
SAID = st.sets(st.sampled_from(FIGURES), max_size=6)


def inputs(**given: Any) -> troubles.Inputs:
    answers = {name: answer.default for name, answer in declared(troubles.Inputs).items()}
    return troubles.Inputs(**{**answers, **given})


def solved(**given: Any) -> troubles.Outputs:
    return troubles.solve(inputs(**given), Working())


def scores(seen: Any, said: Any) -> dict[str, int]:
    return {each.cause["key"]: each.score for each in troubles.judge(seen, said)}


# ---- the table ------------------------------------------------------------------------------------------------


def test_every_sign_is_asked_and_explained_and_every_figure_is_used() -> None:
    asked = declared(troubles.Inputs)
    assert set(SIGNS) <= set(asked) and all(asked[key].kind == "flag" and asked[key].default is False for key in SIGNS)
    assert {key for row in troubles.CAUSES for key in row["explains"]} == set(SIGNS)
    assert {key for row in troubles.CAUSES for key in (*row["speaks_for"], *row["speaks_against"])} == set(FIGURES)
    for row in troubles.CAUSES:
        assert set(row["contradicts"]) <= set(SIGNS) and not set(row["explains"]) & set(row["contradicts"])
        assert not set(row["speaks_for"]) & set(row["speaks_against"])
        assert set(row["first_if"]) <= {*SIGNS, *FIGURES}
        assert all(reference.caution(key) for key in row["cautions"])
        assert row["status"] in reference.STATUSES and row["today"].endswith(".") and row["then"].endswith(".")
    assert all(row["answer"] in asked for row in troubles.FIGURES.values())


# ---- the rule -------------------------------------------------------------------------------------------------


def test_the_score_counts_for_and_against() -> None:
    judged = {each.cause["key"]: each for each in troubles.judge({"smell_eggs", "drips", "grey_dry"}, {"hand_wet", "turned_lately"})}
    wet = judged["too_wet"]
    assert (wet.explained, wet.contradicted, wet.figures_for, wet.figures_against) == (("smell_eggs", "drips"), ("grey_dry",), ("hand_wet",), ())
    assert wet.score == 2 + 1 - 1
    assert judged["no_air"].score == 1 + 1 - 1


@settings(max_examples=150, deadline=None)
@given(SEEN, SAID, st.sampled_from(SIGNS))
def test_a_sign_that_a_cause_explains_never_lowers_it(seen: set[str], said: set[str], sign: str) -> None:
    before, after = scores(seen, said), scores(seen | {sign}, said)
    places = list(before), list(after)
    for row in troubles.CAUSES:
        key = row["key"]
        if sign not in row["explains"] or key not in before:
            continue
        assert after[key] >= before[key]
        for other in troubles.CAUSES:  # nor its place among causes that do not explain it
            if other["key"] in before and sign not in other["explains"] and places[0].index(key) < places[0].index(other["key"]):
                assert places[1].index(key) < places[1].index(other["key"])


@settings(max_examples=150, deadline=None)
@given(SEEN, SAID, st.sampled_from(SIGNS), st.sampled_from(FIGURES))
def test_what_speaks_against_never_raises_and_figures_follow_their_side(seen: set[str], said: set[str], sign: str, figure: str) -> None:
    before, after, measured = scores(seen, said), scores(seen | {sign}, said), scores(seen, said | {figure})
    for row in troubles.CAUSES:
        key = row["key"]
        if key in before:
            if sign in row["contradicts"]:
                assert after[key] <= before[key]
            if figure in row["speaks_for"]:
                assert measured[key] >= before[key]
            if figure in row["speaks_against"]:
                assert measured[key] <= before[key]


@settings(max_examples=100, deadline=None)
@given(SEEN, SAID)
def test_listed_causes_explain_something_and_stand_in_order(seen: set[str], said: set[str]) -> None:
    judged = troubles.judge(seen, said)
    order = [row["key"] for row in troubles.CAUSES]
    for each in judged:
        assert each.explained or each.pressing
    for above, below in zip(judged, judged[1:], strict=False):
        assert above.pressing >= below.pressing
        if above.pressing == below.pressing:
            assert above.score >= below.score
            if above.score == below.score:
                assert order.index(above.cause["key"]) < order.index(below.cause["key"])
    assert {each.cause["key"] for each in judged} >= {row["key"] for row in troubles.CAUSES if set(row["explains"]) & seen}


@settings(max_examples=60, deadline=None)
@given(SEEN)
def test_smoke_always_stands_first(seen: set[str]) -> None:
    """Whatever else is seen: nobody digs in a heap that smells of burning."""
    asked = inputs(**{key: True for key in {*seen, "smell_burnt"}})
    outputs = troubles.solve(asked, Working())
    assert outputs.likeliest_cause == "It smoulders, or soon will" and "call the fire service" in outputs.do_today
    assert any(each.key == "heap_height_fire" and each.urgent for each in troubles.cautions(asked, outputs, show))


@pytest.mark.parametrize(("celsius", "first"), [(85.0, False), (85.1, True)])
def test_a_reading_above_85_stands_first_even_without_a_sign(celsius: float, first: bool) -> None:
    outputs = solved(trouble_heap_c=celsius)
    assert (outputs.likeliest_cause == "It smoulders, or soon will") is first


# ---- figures at their edges -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "given", "says"),
    [
        ("reading_70", {"trouble_heap_c": 70.0}, True), ("reading_70", {"trouble_heap_c": 69.9}, False),
        ("reading_hot", {"trouble_heap_c": 55.0}, True), ("reading_hot", {"trouble_heap_c": 54.9}, False),
        ("reading_cool", {"trouble_heap_c": 43.0}, False), ("reading_cool", {"trouble_heap_c": 42.9}, True),
        ("turned_late", {"days_since_turning": 7}, False), ("turned_late", {"days_since_turning": 8}, True),
        ("turned_lately", {"days_since_turning": 3}, True), ("turned_lately", {"days_since_turning": 4}, False),
        ("heap_young", {"heap_age_days": 14}, True), ("heap_young", {"heap_age_days": 15}, False),
        ("heap_old", {"heap_age_days": 45}, True), ("heap_old", {"heap_age_days": 44}, False),
        ("heap_cured", {"heap_age_days": 90}, True), ("heap_cured", {"heap_age_days": 89}, False),
        ("heap_low", {"heap_height_m": 0.9}, False), ("heap_low", {"heap_height_m": 0.89}, True),
        ("plan_wet", {"mix_moisture_percent": 65.0}, False), ("plan_wet", {"mix_moisture_percent": 65.1}, True),
        ("plan_dry", {"mix_moisture_percent": 40.0}, False), ("plan_dry", {"mix_moisture_percent": 39.9}, True),
        ("plan_nitrogen", {"mix_carbon_to_nitrogen": 20.0}, False), ("plan_nitrogen", {"mix_carbon_to_nitrogen": 19.9}, True),
        ("plan_carbon", {"mix_carbon_to_nitrogen": 40.0}, False), ("plan_carbon", {"mix_carbon_to_nitrogen": 40.1}, True),
        ("plan_no_air", {"mix_free_air_space_percent": 35.0}, False), ("plan_no_air", {"mix_free_air_space_percent": 34.9}, True),
        ("outside_cold", {"outside_now_c": 10.0}, False), ("outside_cold", {"outside_now_c": 9.9}, True), ("hand_dry", {}, False),
        ("hand_dry", {"heap_squeeze": "crumbles"}, True), ("hand_wet", {"heap_squeeze": "crumbles"}, False),
    ],
)  # fmt: skip
def test_figures_at_their_edges(key: str, given: dict[str, Any], says: bool) -> None:
    assert troubles.says(troubles.FIGURES[key], inputs(**given)) is says


# ---- the calculator -------------------------------------------------------------------------------------------


def test_cases_that_a_trainer_would_set() -> None:
    assert solved(smell_eggs=True, drips=True, heap_squeeze="drips").likeliest_cause == "Too wet"
    assert solved(smell_ammonia=True, mix_carbon_to_nitrogen=16.0).likeliest_cause == "Too much food for the leaves"
    assert solved(smell_ammonia=True, heap_squeeze="crumbles", grey_dry=True).likeliest_cause == "Too dry"
    assert solved(never_warm=True, lumps=True, mix_carbon_to_nitrogen=48.0).likeliest_cause == "Too many leaves for the food"
    assert solved(never_warm=True, heap_height_m=0.6, outside_now_c=4.0).likeliest_cause == "Too small, or the air too cold"
    assert solved(cooled_soon=True, heap_age_days=50, trouble_heap_c=35.0, days_since_turning=2).likeliest_cause == "The hot stage is over"
    assert solved(maggots=True, rats=True).likeliest_cause == "Food lies open"
    assert solved(bag_warms=True, seedlings_fail=True).likeliest_cause == "Not cured long enough"


def test_nothing_ticked_says_so_and_a_single_cause_needs_no_telling_apart() -> None:
    asked = inputs()
    outputs = troubles.solve(asked, Working())
    assert outputs.causes == () and "Tick what you see" in troubles.sentence(asked, outputs, show)
    assert troubles.notices(asked, outputs, show) == [] and troubles.cautions(asked, outputs, show) == []
    assert solved(ants=True).tell_apart.startswith("no other cause")


def test_measures_that_tell_two_causes_apart_are_asked_until_they_are_made() -> None:
    first = solved(smell_ammonia=True, never_warm=True)
    assert "squeeze a handful" in first.tell_apart
    again = solved(smell_ammonia=True, never_warm=True, heap_squeeze="crumbles")
    assert again.likeliest_cause == "Too dry" and "squeeze" not in again.tell_apart.split(":")[0]
    assert solved(smell_eggs=True, drips=True, smell_ammonia=True).not_explained == "A sharp smell that stings the nose (ammonia)"


def test_the_plan_speaks_through_its_own_figures() -> None:
    result = Plan({"never_warm": "yes", "bay_width": "1.2", "heap_height": "0.6"}).evaluate().results["troubles"]
    assert result.standings["heap_height_m"].origin == "yours" and result.standings["mix_moisture_percent"].origin == "followed"
    assert any("below 0.9 m" in str(row[2]) for row in result.outputs.causes)


# ---- without Python -------------------------------------------------------------------------------------------


def _every(node: Element | str) -> list[Element]:
    return [] if isinstance(node, str) else [node, *(each for child in node.children for each in _every(child))]


def test_the_plain_list_leads_from_each_sign_to_each_of_its_causes() -> None:
    made = _every(reference_tables.troubles())
    anchors = [dict(node.attributes)["id"] for node in made if "id" in dict(node.attributes)]
    assert len(anchors) == len(set(anchors))
    links = [dict(node.attributes)["href"] for node in made if node.tag == "a" and dict(node.attributes)["href"].startswith("#")]
    assert {link[1:] for link in links} <= set(anchors)
    words = text_of(reference_tables.troubles())
    for row in troubles.CAUSES:
        assert row["name"] in words and row["today"] in words and row["check"] in words and row["then"] in words
    for key, sign in troubles.SIGNS.items():
        (item,) = [node for node in made if dict(node.attributes).get("id") == f"sign-{key}"]
        leads = [dict(node.attributes)["href"] for node in _every(item) if node.tag == "a"]
        # in the order in which the calculator has them for this sign alone
        assert leads == [f"#cause-{each.cause['key']}" for each in troubles.judge({key}, set())]
        assert sign["label"] in text_of(item)
