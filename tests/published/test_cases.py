"""Every published case through our functions, within the rounding that was printed; disagreements must stay ones."""

from __future__ import annotations

import pytest

from build_scripts import evidence

CASES = evidence.cases()


@pytest.mark.parametrize("case", CASES, ids=[f"{case.source.key}:{case.id}" for case in CASES])
def test_case(case: evidence.Case) -> None:
    check = evidence.run(case)
    assert check.agrees == (case.expect == "agrees"), f"printed {dict(case.printed)}, ours {dict(check.ours)}"
    if case.expect == "disagrees":
        assert case.note, "a disagreement must say why"


def test_enough_cases_of_publications() -> None:
    """At least 25 reproduced cases that were read, in print or a restatement, and not only one publication's tables."""
    read = [case for case in CASES if case.status in ("published", "restated") and case.expect == "agrees"]
    assert len(read) >= 25
    assert len([case for case in read if not case.calculates.startswith("lifting.")]) >= 25
    assert len({case.source.key for case in read}) >= 8


def test_every_label_is_used() -> None:
    assert {case.calculates for case in CASES} == set(evidence.BOUND)
