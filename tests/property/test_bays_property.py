"""Laws of the bays that hold for any answers within the limits."""

from __future__ import annotations

import dataclasses
import math

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from calculators.declare import CannotSolve, declared
from calculators.topics import bays
from calculators.units import show
from calculators.working import Working

ANSWERS = declared(bays.Inputs)
COUNTS = (
    "bays_total", "first_stage_bays", "curing_bays", "spare_bays", "reserve_bays", "even_year_bays", "peak_bays_needed",
)  # fmt: skip


def allowed(answer):  # type: ignore[no-untyped-def]
    """Any value that the declaration lets through."""
    if answer.kind == "choice":
        return st.sampled_from([option.key for option in answer.options])
    if answer.kind == "flag":
        return st.booleans()
    if answer.kind == "count":
        return st.integers(int(answer.low), int(answer.high))
    cell = st.floats(answer.low, answer.high)
    return st.tuples(*[cell] * len(answer.rows)) if answer.kind == "series" else cell


any_answers = st.fixed_dictionaries({name: allowed(answer) for name, answer in ANSWERS.items()})
season = st.fixed_dictionaries(
    {
        "mix_m3_per_day": st.floats(0.05, 50),
        "wet_kg_by_weekday": st.tuples(*[st.floats(0, 1_000)] * 7),
        "wet_kg_by_month": st.tuples(*[st.floats(0, 1_000)] * 12),
        "festival_month": st.sampled_from(["none", "october"]),
        "festival_percent_of_mean": st.floats(100, 300),
        "heap_section": st.sampled_from(sorted(bays.SECTIONS)),
        "size_for": st.sampled_from(["peak", "mean"]),
        "rebuilt_for_curing": st.booleans(),
        "heaps_per_bay": st.integers(1, 4),
    }
)


def solved(answers):  # type: ignore[no-untyped-def]
    inputs = dataclasses.replace(bays.Inputs(), **answers)
    return inputs, bays.solve(inputs, Working())


def say(value: float, unit: str, digits: int = 3) -> str:
    return show(value, unit, "metric", digits)


@given(any_answers)
@settings(max_examples=200, deadline=None)
def test_every_allowed_answer_gives_finite_figures_or_a_reason(answers) -> None:  # type: ignore[no-untyped-def]
    try:
        inputs, outputs = solved(answers)
    except CannotSolve as stopped:
        assert stopped.message and set(stopped.names) <= set(ANSWERS)
        return
    for name, value in dataclasses.asdict(outputs).items():
        for figure in value if isinstance(value, tuple) else (value,):
            assert math.isfinite(figure) and figure >= 0, name
    assert outputs.bays_total >= outputs.first_stage_bays >= 1
    assert outputs.screened_m3_per_day <= outputs.moved_m3_per_day <= inputs.mix_m3_per_day
    assert bays.sentence(inputs, outputs, say) and bays.charts(inputs, outputs)
    assert all(isinstance(words, str) and words for words in bays.notices(inputs, outputs, say))
    assert bays.cautions(inputs, outputs, say)


@given(season, st.floats(1.0, 4.0))
@settings(max_examples=150, deadline=None)
def test_more_waste_never_needs_fewer_bays(answers, factor) -> None:  # type: ignore[no-untyped-def]
    _, less = solved(answers)
    _, more = solved({**answers, "mix_m3_per_day": answers["mix_m3_per_day"] * factor})
    for name in COUNTS:
        assert getattr(more, name) >= getattr(less, name), name


@given(season, st.floats(0.8, 3.0), st.floats(1.0, 12.0), st.floats(1.0, 1.3), st.floats(1.0, 2.0), st.booleans())
@settings(max_examples=200, deadline=None)
def test_a_wider_or_longer_heap_never_makes_more_heaps(  # type: ignore[no-untyped-def]
    answers, width, length, wider, longer, slope
) -> None:
    base = width - 2 * bays.Inputs().wall_clearance_m
    # With sloped ends a heap shorter than 4/3 of its base loses more to its ends than its width adds.
    assume(not slope or length >= 4 / 3 * (width * wider))
    assume(base >= bays.NARROWEST_BASE_M)
    _, small = solved({**answers, "bay_width_m": width, "heap_length_m": length, "sloped_ends": slope})
    _, large = solved({**answers, "bay_width_m": width * wider, "heap_length_m": length * longer, "sloped_ends": slope})
    assert large.heaps_started_per_day <= small.heaps_started_per_day * (1 + 1e-12)
    for name in COUNTS:
        assert getattr(large, name) <= getattr(small, name), name


@given(st.floats(0.05, 30), st.floats(0.5, 12), st.integers(7, 120), st.integers(0, 120), st.booleans())
@settings(max_examples=150, deadline=None)
def test_even_arrivals_need_what_the_steady_state_says(  # type: ignore[no-untyped-def]
    mix_m3, length, days, curing, merged
) -> None:
    """Exactly: both round up heaps a day x days and the place being filled.

    The walk's fullest day is within one a stage: a day may end with a heap just full and none open.
    """
    answers = {"mix_m3_per_day": mix_m3, "heap_length_m": length, "first_stage_days": days, "curing_days": curing,
               "rebuilt_for_curing": merged}  # fmt: skip
    _, for_peak = solved({**answers, "size_for": "peak"})
    _, for_mean = solved({**answers, "size_for": "mean"})
    assert for_peak.bays_total == for_mean.bays_total == for_peak.even_year_bays
    stages = 2 if curing else 1
    assert for_peak.peak_bays_needed - stages <= max(for_peak.occupancy_by_month) <= for_peak.peak_bays_needed
