"""The heat model against printed temperatures: the misfit that is stated is the one that is found."""

from __future__ import annotations

import pytest

from build_scripts import evidence, generate

CURVES = evidence.curves()


@pytest.mark.parametrize("curve", CURVES, ids=[curve.title for curve in CURVES])
def test_the_misfit_is_as_stated(curve: evidence.Curve) -> None:
    """In whole degrees: a change of the model must state it anew, and a disagreement says why."""
    assert round(curve.misfit) == curve.misfit_c, curve.differences
    assert curve.agrees == (curve.expect == "agrees"), curve.differences
    assert curve.note and set(curve.printed) <= set(range(1, len(curve.ours) + 1))


def test_at_least_two_records_are_drawn_with_their_misfit() -> None:
    page = generate.evidence_page()
    assert len({curve.source.key for curve in CURVES}) >= 2
    assert page.count("Misfit: ") == len(CURVES) and "These three are no independent check" in page
    for curve in CURVES:
        assert f"{curve.title}: ours and the print" in page
