"""Whatever is entered gives the right value or a clear refusal, never anything else."""

from __future__ import annotations

import json
import math

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from calculators import catalogue
from calculators.doors import browser
from calculators.entries import Refused, in_link, read, write
from calculators.plan import EXAMPLES, SYSTEMS, Plan
from calculators.plan_file import PlanFileError, open_plan
from calculators.units import UNITS, EntryError, convert, display_unit, parse_number, parse_quantity, show_number

ANSWERS = [answer for _, answer in catalogue.every_answer()]
DIGITS = st.sampled_from("0123456789०१२٣٤１")
numberish = st.text(st.one_of(DIGITS, st.sampled_from(" ,.'/-+−eE½\u202f\u00a0٫٬%ftinkg;:")), max_size=20)
anything = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=20), numberish),
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(st.text(max_size=5), inner, max_size=3)),
    max_leaves=12,
)


@given(st.one_of(st.text(max_size=80), numberish))
@example("1" * 64)
@example("9e308")
@example("1,1,1,1")
@settings(max_examples=600, deadline=None)
def test_any_text_is_a_finite_number_or_a_reason(text: str) -> None:
    try:
        value = parse_number(text)
    except EntryError as error:
        assert error.reason.strip()
    else:
        assert math.isfinite(value)


@given(st.one_of(st.text(max_size=40), numberish), st.sampled_from(sorted(UNITS)))
@settings(max_examples=600, deadline=None)
def test_any_text_is_a_finite_quantity_or_a_reason(text: str, key: str) -> None:
    try:
        value = parse_quantity(text, key)
    except EntryError as error:
        assert error.reason.strip()
    else:
        assert math.isfinite(value)


@given(st.floats(-1e14, 1e14).filter(lambda value: value == 0 or abs(value) > 1e-250), st.integers(2, 12))
@settings(max_examples=400, deadline=None)
def test_a_shown_number_reads_back_to_its_digits(value: float, digits: int) -> None:
    assert parse_number(show_number(value, digits)) == pytest.approx(value, rel=10.0 ** (1 - digits))


@given(st.floats(0.001, 1e6), st.sampled_from(sorted(UNITS)), st.sampled_from(SYSTEMS))
@settings(max_examples=400, deadline=None)
def test_display_units_round_trip(value: float, key: str, system: str) -> None:
    shown = display_unit(key, system)
    assert convert(convert(value, key, shown), shown, key) == pytest.approx(value, rel=1e-12, abs=1e-11)


@pytest.mark.parametrize("answer", ANSWERS, ids=lambda answer: answer.name)
def test_every_answer_takes_anything_without_falling_over(answer) -> None:  # type: ignore[no-untyped-def]
    @given(anything, st.sampled_from(SYSTEMS))
    @settings(max_examples=25, deadline=None, database=None)
    def run(raw, system) -> None:  # type: ignore[no-untyped-def]
        try:
            value = read(answer, raw, system)
        except Refused as refused:
            assert refused.problems
            for problem in refused.problems:
                assert problem.name == answer.name and problem.message.strip() and problem.label
        else:
            again = read(answer, write(answer, value, system, 15), system)
            linked = read(answer, in_link(answer, value))
            for back in (again, linked):
                assert back == value or json.dumps(back, default=str) == pytest.approx(json.dumps(value, default=str)) or (
                    _close(back, value)
                )

    run()


def _close(one, other) -> bool:  # type: ignore[no-untyped-def]
    if isinstance(one, (tuple, list)):
        return len(one) == len(other) and all(_close(a, b) for a, b in zip(one, other, strict=True))
    if isinstance(one, float) or isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)
    return one == other


@pytest.mark.parametrize("system", SYSTEMS)
def test_defaults_are_allowed_and_read_back(system: str) -> None:
    for answer in ANSWERS:
        if answer.kind == "table" or (answer.default is None and answer.blank):
            continue
        back = read(answer, write(answer, answer.default, system, 12), system)
        assert _close(back, answer.default), answer.name


@pytest.mark.parametrize("raw", ["", "abc", "-5", "1e99", "nan", "1,500", "∞", None, True, [1], {"a": 1}])
def test_messages_name_the_field_and_what_is_allowed(raw: object) -> None:
    with pytest.raises(Refused) as caught:
        read(catalogue.first_asked("bay_width_m"), raw)
    (problem,) = caught.value.problems
    assert "idth of a bay" in problem.message
    if isinstance(raw, str) and raw:
        assert raw in problem.message
    if raw != "1,500":
        assert "between 0.6 and 4" in problem.message or "Write" in problem.message


@given(st.dictionaries(st.one_of(st.sampled_from(sorted(catalogue.NAMES)), st.text(max_size=8)), anything, max_size=5),
       st.sampled_from([*EXAMPLES, "nothing", "elsewhere", None, 3]), st.one_of(st.sampled_from(SYSTEMS), anything))  # fmt: skip
@settings(max_examples=150, deadline=None)
def test_the_page_always_gets_an_answer(answers, example_name, system) -> None:  # type: ignore[no-untyped-def]
    request = {"answers": answers, "example": example_name, "system": system, "parts": ["yard", "answer:mix", "x:y"],
               "forms": ["mix"]}  # fmt: skip
    found = json.loads(browser.reply(json.dumps(request)))
    assert "fault" not in found, found
    assert found["parts"]["answer:mix"]


@given(st.text(max_size=200))
@example("homes=900&bay_width=5ft")
@example("&&==&=1&homes=&%ff=%zz&from=&units=")
@settings(max_examples=150, deadline=None)
def test_any_link_opens(link: str) -> None:
    found = json.loads(browser.reply(json.dumps({"link": "#" + link, "parts": ["answer:bays"]})))
    assert "fault" not in found, found


@given(st.one_of(st.text(max_size=60), anything.map(lambda value: json.dumps(value, default=str))))
@settings(max_examples=200, deadline=None)
def test_any_file_is_a_plan_or_a_reason(text: str) -> None:
    try:
        plan = open_plan(text)
    except PlanFileError as error:
        assert str(error).strip()
    else:
        assert isinstance(plan, Plan)
