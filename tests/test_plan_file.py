"""Plan files and packed links: what is saved opens again, older versions too, and what can't be used is named."""

from __future__ import annotations

import base64
import json
import random
import zlib
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from calculators import catalogue
from calculators.doors import browser
from calculators.doors.as_data import evaluated_data
from calculators.plan import EXAMPLES, Plan, example
from calculators.plan_file import LONGEST_FILE, MIGRATIONS, VERSION, PlanFileError, open_plan, pack, save_plan, schema, unpack
from tests.vectors import answers_for

VALIDATOR = Draft202012Validator(schema())
FULL = Plan({"homes": "900", "bay_width": "5ft", "leaves_kg_by_month": [1] * 12}, "pennywhistle", "feet and pounds", "metric",
            "Hill <b>yard</b>", "₹", "as agreed; second draft", ("leaves_kg_by_month",))  # fmt: skip


def test_the_schema_is_a_schema() -> None:
    Draft202012Validator.check_schema(schema())


def test_every_saved_plan_keeps_to_the_schema_and_opens_to_the_same() -> None:
    chance = random.Random("schema")
    for number in range(60):
        calculator = catalogue.CALCULATORS[number % len(catalogue.CALCULATORS)]
        plan = Plan(answers_for(calculator, chance), chance.choice([*EXAMPLES, None]), name="A yard", money="Rs")
        text = save_plan(plan.evaluate())
        VALIDATOR.validate(json.loads(text))
        assert save_plan(open_plan(text).evaluate()) == text


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_examples_keep_to_the_schema(name: str) -> None:
    VALIDATOR.validate(example(name))


@pytest.mark.parametrize(
    "held",
    [
        {"yard_plan": 1, "answers": {}}, {"yard_plan": VERSION}, {"yard_plan": VERSION, "answers": {"homs": 900}},
        {"yard_plan": VERSION, "answers": {"homes": -1}}, {"yard_plan": VERSION, "answers": {"homes": True}},
        {"yard_plan": VERSION, "answers": {"festival_month": "Smarch"}}, {"yard_plan": VERSION, "answers": {}, "shown_in": "cubits"},
        {"yard_plan": VERSION, "answers": {"leaves_kg_by_month": [1, 2]}}, {"yard_plan": VERSION, "answers": [], "x": 1},
    ],
)  # fmt: skip
def test_the_schema_refuses(held: dict[str, Any]) -> None:
    assert not VALIDATOR.is_valid(held)


def test_everything_about_a_plan_travels_in_files_and_packed_links() -> None:
    first = FULL.evaluate()
    for second in (open_plan(save_plan(first)), unpack(pack(first))):
        assert (second.example, second.system, second.name, second.money, second.about, second.guessed, second.refused) == (
            FULL.example, FULL.system, FULL.name, FULL.money, FULL.about, FULL.guessed, ())  # fmt: skip
        assert evaluated_data(second.evaluate()) == evaluated_data(first)


def test_what_was_typed_wrongly_is_saved_as_typed() -> None:
    first = Plan({"homes": "many", "bay_width": "1.8"}).evaluate()
    second = open_plan(save_plan(first)).evaluate()
    assert second.plan.answers["homes"] == "many" and second.own == {"bay_width_m": 1.8}
    assert [problem.message for problem in second.problems] == [problem.message for problem in first.problems]


# ---- older versions: files as that release wrote them ----------------------------------------------------------

VERSION_1 = """{
 "yard_plan": 1,
 "example": "pennywhistle",
 "units": "feet and pounds",
 "answers": {
  "homes": 900,
  "bay_width_m": 1.524
 }
}
"""


def test_a_file_of_version_1_opens() -> None:
    plan = open_plan(VERSION_1)
    assert (plan.example, plan.system, plan.refused) == ("pennywhistle", "feet and pounds", ())
    assert plan.evaluate().own == {"homes": 900, "bay_width_m": 1.524}
    assert json.loads(save_plan(plan.evaluate()))["yard_plan"] == VERSION


def test_there_is_a_way_from_every_older_version() -> None:
    assert sorted(MIGRATIONS) == list(range(1, VERSION))


# ---- what can't be used ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["", "[]", "{}", "null", "{", '{"yard_plan": true}', '{"yard_plan": "1"}', '{"yard_plan": 0}',
                                  f'{{"yard_plan": {VERSION + 1}}}', '{"yard_plan": 1e999}', '{"yard_plan": -1}', "\ufeff{}",
                                  "NaN", "1" * 5000, "[" * 100_000, " " * LONGEST_FILE + "{}"])  # fmt: skip
def test_what_is_no_plan_file_is_refused_in_words(text: str) -> None:
    with pytest.raises(PlanFileError) as caught:
        open_plan(text)
    assert str(caught.value).strip() and "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"answers": []}, "answers"), ({"answers": "homes"}, "answers"), ({"starts_from": "elsewhere"}, "starts_from"),
        ({"starts_from": ["larkhollow"]}, "starts_from"), ({"shown_in": "cubits"}, "shown_in"), ({"shown_in": {}}, "shown_in"),
        ({"name": 3}, "name"), ({"name": "n" * 61}, "name"), ({"money": "way too long"}, "money"), ({"about": ["x"]}, "about"),
        ({"guessed": "homes"}, "guessed"), ({"guessed": ["homs"]}, "guessed"), ({"colour": "red"}, "colour"),
        ({"name": "a\u0000b"}, "name"),
    ],
)  # fmt: skip
def test_what_can_be_used_is_kept_and_the_rest_named(more: dict[str, Any], field: str) -> None:
    held = {"yard_plan": VERSION, "answers": {"homes": 900}, **more}
    evaluated = open_plan(json.dumps(held)).evaluate()
    assert [problem.name for problem in evaluated.problems] == [field]
    assert field in evaluated.problems[0].message
    if field != "answers":
        assert evaluated.own == {"homes": 900}
    assert set(evaluated.results) == set(catalogue.BY_KEY) - catalogue.ON_REQUEST
    found = json.loads(browser.reply(json.dumps({"file": json.dumps(held)})))
    assert field in json.dumps(found["problems"])


@pytest.mark.parametrize("packed", ["", "x", "eNo", "%%%", "é", "A" * 4000, pack(FULL.evaluate())[:-6], pack(FULL.evaluate())[5:]])
def test_a_packed_link_that_is_damaged_is_refused_in_words(packed: str) -> None:
    found = json.loads(browser.reply(json.dumps({"link": f"#plan={packed}"})))
    assert "packed into this link" in found["refused"]


def test_a_packed_link_never_unpacks_without_end() -> None:
    bomb = base64.urlsafe_b64encode(zlib.compress(b'{"yard_plan": 2, "about": "' + b"a" * 300_000_000, 9)).decode()
    with pytest.raises(PlanFileError, match="too large"):
        unpack(bomb)


@given(st.text(alphabet="ABCabc019-_=", max_size=60))
@settings(max_examples=200, deadline=None)
def test_any_packed_text_opens_or_is_refused(packed: str) -> None:
    try:
        unpack(packed)
    except PlanFileError as error:
        assert str(error).strip()


def test_answers_written_beside_a_packed_plan_take_the_place_of_its_own() -> None:
    plan = browser.open_link(f"#plan={pack(FULL.evaluate())}&homes=400&leaves_kg_by_month=0;0;0;0;0;0;0;0;0;0;0;0&name=Other")
    own = plan.evaluate().own
    assert own["homes"] == 400 and own["bay_width_m"] == pytest.approx(1.524) and plan.name == "Other" and plan.guessed == ()
