"""The cautions engine: each danger once, with every reason, the pressing ones first."""

from __future__ import annotations

import dataclasses

import pytest

from calculators import reference
from calculators.catalogue import CALCULATORS, ON_REQUEST
from calculators.cautions import HAZARDS, ShownCaution, gather
from calculators.declare import RaisedCaution
from calculators.plan import EXAMPLES, Plan


def test_every_hazard_of_the_reference_has_words_and_a_place() -> None:
    assert {each.hazard for each in reference.cautions().values()} == set(HAZARDS)
    assert all(label and label[0].isupper() and "_" not in label for label in HAZARDS.values())


@pytest.mark.parametrize("key", list(reference.cautions()))
def test_every_caution_can_be_shown_with_its_sources(key: str) -> None:
    (shown,) = gather([("bays", RaisedCaution(key))])
    held = reference.caution(key)
    assert (shown.key, shown.title, shown.text, shown.hazard) == (key, held.title, held.text, held.hazard)
    assert shown.hazard_label == HAZARDS[held.hazard]
    assert [each.key for each in shown.sources] == list(held.sources)
    assert shown.sources and shown.status in reference.STATUSES
    assert shown.because == () and shown.from_calculators == ("bays",) and shown.urgent is False


def test_nothing_raised_shows_nothing() -> None:
    assert gather([]) == ()


def test_a_danger_raised_twice_stands_once_with_both_reasons() -> None:
    (shown,) = gather([
        ("mix", RaisedCaution("lift_heavy_tub", "A tub weighs 31 kg.")),
        ("safety", RaisedCaution("lift_heavy_tub", "The limit is 9 kg.", urgent=True)),
        ("safety", RaisedCaution("lift_heavy_tub", "A tub weighs 31 kg.")),
        ("crew", RaisedCaution("lift_heavy_tub")),
    ])  # fmt: skip
    assert shown.because == ("A tub weighs 31 kg.", "The limit is 9 kg.")
    assert shown.from_calculators == ("mix", "safety", "crew")
    assert shown.urgent is True


def test_one_urgent_reason_is_enough_in_either_order() -> None:
    pressing, calm = RaisedCaution("legionella", urgent=True), RaisedCaution("legionella")
    assert gather([("a", pressing), ("b", calm)])[0].urgent
    assert gather([("a", calm), ("b", pressing)])[0].urgent


def test_urgent_first_then_by_kind_of_danger_then_as_raised() -> None:
    keys = ["rodent_mesh", "cover_fresh_food", "lockout", "shredder_guard", "leaf_store_fire"]
    shown = gather([("x", RaisedCaution(key, urgent=key == "rodent_mesh")) for key in keys])
    assert [each.key for each in shown] == [
        "rodent_mesh", "lockout", "shredder_guard", "leaf_store_fire", "cover_fresh_food",
    ]  # fmt: skip
    again = gather([("x", RaisedCaution(key)) for key in reference.cautions()])
    order = [list(HAZARDS).index(each.hazard) for each in again]
    assert order == sorted(order)


def test_a_caution_without_text_is_refused() -> None:
    with pytest.raises(reference.UnknownReference, match="no_such_danger"):
        gather([("bays", RaisedCaution("no_such_danger"))])


def test_a_generator_will_do_and_the_result_is_frozen() -> None:
    (shown,) = gather((key, RaisedCaution("heat_stress")) for key in ("crew", "bays"))
    assert isinstance(shown, ShownCaution) and shown.from_calculators == ("crew", "bays")
    with pytest.raises(dataclasses.FrozenInstanceError):
        shown.urgent = True  # type: ignore[misc]


@pytest.mark.parametrize("name", [*EXAMPLES, None])
def test_the_whole_yard_lists_each_danger_of_its_results_once(name: str | None) -> None:
    evaluated = Plan({}, name).evaluate(ON_REQUEST)
    assert set(evaluated.results) == {calculator.key for calculator in CALCULATORS}
    listed = [each.key for each in evaluated.cautions]
    assert len(listed) == len(set(listed))
    raised = {each.key for result in evaluated.results.values() for each in result.raised}
    assert set(listed) == raised
    # lifting, fire, structure, food and dust belong to every such yard
    assert {"lift_heavy_tub", "raw_waste_hands", "wall_design", "wet_down_dust", "compost_not_fit_until_tested"} <= raised
