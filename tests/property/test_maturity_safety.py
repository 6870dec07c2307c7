"""Whatever is entered within limits, blanks too: a known verdict or a reason, finite figures, and no other error."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators import lifting, reference
from calculators.cautions import gather
from calculators.declare import Answer, Calculator, CannotSolve, RaisedCaution
from calculators.topics import maturity, safety
from calculators.units import show
from calculators.working import Working

ROUNDS = settings(max_examples=150, deadline=None)


def values(answer: Answer) -> st.SearchStrategy[Any]:
    """Any allowed value of an answer, its ends likelier than chance."""
    if answer.kind == "choice":
        found: st.SearchStrategy[Any] = st.sampled_from([option.key for option in answer.options])
    elif answer.kind == "count":
        found = st.integers(int(answer.low or 0), int(answer.high or 0))
    else:
        found = st.floats(answer.low, answer.high) | st.sampled_from([answer.low, answer.high])
        if answer.usual:
            found |= st.floats(*answer.usual)
    return st.none() | found if answer.blank else found


def entered(calculator: Calculator) -> st.SearchStrategy[Any]:
    return st.builds(calculator.inputs, **{name: values(answer) for name, answer in calculator.answers.items()})


MATURITY = entered(maturity.CALCULATOR)
SAFETY = entered(safety.CALCULATOR)


def whole_result(calculator: Calculator, inputs: Any) -> Any:
    """Solve and say everything; None where the answers can't go together, which must be explained."""
    working = Working()
    try:
        outputs = calculator.solve(inputs, working)
    except CannotSolve as error:
        assert error.message.endswith(".") and set(error.names) <= set(calculator.answers)
        return None
    for name, output in calculator.results.items():
        value = getattr(outputs, name)
        if output.kind == "text":
            assert isinstance(value, str) and value
        elif output.kind == "table":
            assert all(len(row) == len(output.columns) for row in value)
        elif value is not None:
            assert math.isfinite(value)
        else:
            assert "–" in output.help or "None" in output.help
    assert all(isinstance(step.value, str) or math.isfinite(step.value) for step in working.steps)
    said = calculator.sentence(inputs, outputs, show)
    assert said.endswith(".") and "nan" not in said and "inf " not in said
    assert all(calculator.notices(inputs, outputs, show))
    assert gather((calculator.key, each) for each in calculator.cautions(inputs, outputs, show))
    for chart in calculator.charts(inputs, outputs):
        assert all(value is None or math.isfinite(value) for line in chart.lines for value in line.values)
    return outputs


@ROUNDS
@given(MATURITY)
def test_any_test_results_give_a_known_verdict(inputs: Any) -> None:
    outputs = whole_result(maturity.CALCULATOR, inputs)
    if outputs is None:
        return
    assert outputs.two_test_index in (*maturity.RATINGS, "no rating yet")
    assert (outputs.two_test_index == "no rating yet") == outputs.verdict.startswith("no verdict yet")
    ratio = inputs.final_carbon_to_nitrogen
    if ratio is not None and ratio > 25:
        assert outputs.two_test_index == "immature"
    if inputs.curing_days < 21:
        assert outputs.ccme_2005.startswith("not met")
    if outputs.verdict == "mature compost by the two-test index":
        assert not outputs.agreement.startswith("no:")


@ROUNDS
@given(SAFETY)
def test_any_lift_gives_a_finite_limit_or_none_at_all(inputs: Any) -> None:
    outputs = whole_result(safety.CALCULATOR, inputs)
    if outputs is None:
        assert inputs.filled_tub_kg <= inputs.empty_tub_kg
        return
    assert 0 <= outputs.recommended_weight_kg <= 23
    assert (outputs.lifting_index is None) == (outputs.recommended_weight_kg == 0)
    assert 0 <= outputs.recommended_fill_l <= inputs.tub_l
    assert all(0 <= float(value) <= 1 for row in outputs.multipliers for value in row[1:])


HEIGHTS = st.floats(0, 200)
RATES = st.floats(0, 20)
HOURS = st.floats(0, 24)
GRIPS = st.sampled_from(["good", "fair", "poor"])


@ROUNDS
@given(st.floats(0, 80), st.floats(0, 30), HEIGHTS, st.floats(0, 200), st.floats(0, 160), RATES, HOURS, GRIPS)
def test_farther_never_allows_more(near: float, more: float, height: float, travel: float, twist: float, rate: float,
                                   hours: float, grip: str) -> None:  # fmt: skip
    limit = lifting.recommended_weight_limit(near, height, travel, twist, rate, hours, grip)
    assert lifting.recommended_weight_limit(near + more, height, travel, twist, rate, hours, grip) <= limit
    assert lifting.recommended_weight_limit(near, height, travel + more, twist, rate, hours, grip) <= limit
    assert lifting.recommended_weight_limit(near, height, travel, twist + more, rate, hours, grip) <= limit
    assert lifting.recommended_weight_limit(near, height, travel, twist, rate + more, hours, grip) <= limit
    assert lifting.recommended_weight_limit(near, height, travel, twist, rate, hours + more, grip) <= limit
    assert lifting.recommended_weight_limit(near, height, travel, twist, rate, hours, "poor") <= limit


@ROUNDS
@given(st.sampled_from([key for key, row in maturity.INDEX_ROWS.items()]), st.floats(0, 1e4), st.floats(0, 1e4))
def test_a_better_result_never_rates_poorer(test: str, first: float, second: float) -> None:
    low, high = sorted((first, second))
    better, poorer = (low, high) if maturity.INDEX_ROWS[test]["better"] == "lower" else (high, low)
    order = maturity.RATINGS.index
    assert order(maturity.two_test_rating(test, better)) <= order(maturity.two_test_rating(test, poorer))


@ROUNDS
@given(st.floats(-1, 120))
def test_a_hotter_flask_is_never_a_better_class(rise: float) -> None:
    order = maturity.CLASSES.index
    assert order(maturity.self_heating_class(rise + 1).key) <= order(maturity.self_heating_class(rise).key)


@ROUNDS
@given(st.integers(1, 500), st.integers(1, 500), st.floats(0.1, 100), st.integers(1, 50))
def test_an_extract_like_water_has_an_index_of_a_hundred(grown: int, more: int, root: float, times: int) -> None:
    seeds = grown + more
    index = maturity.germination_index(grown * times, seeds * times, root, grown, seeds, root)
    assert index == pytest.approx(100)


RAISED = st.lists(
    st.tuples(
        st.sampled_from(["mix", "bays", "crew", "safety"]),
        st.builds(RaisedCaution, st.sampled_from(sorted(reference.cautions())), st.sampled_from(["", "a", "b"]), st.booleans()),
    )
)


@ROUNDS
@given(RAISED)
def test_gathering_loses_nothing_and_says_nothing_twice(raised: list[tuple[str, RaisedCaution]]) -> None:
    shown = gather(raised)
    assert {each.key for each in shown} == {each.key for _, each in raised}
    assert len({each.key for each in shown}) == len(shown)
    for each in shown:
        mine = [(giver, caution) for giver, caution in raised if caution.key == each.key]
        assert set(each.because) == {caution.because for _, caution in mine if caution.because}
        assert set(each.from_calculators) == {giver for giver, _ in mine}
        assert each.urgent == any(caution.urgent for _, caution in mine)
    assert [each.urgent for each in shown] == sorted((each.urgent for each in shown), reverse=True)
    assert gather(raised) == shown
