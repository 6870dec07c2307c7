"""The shipped Pyodide gives what CPython gives: the same answers, sentences, remarks and working."""

from __future__ import annotations

import json
import math
import random
from typing import Any

import pytest

from build_scripts.in_runtime import Runtime
from calculators import catalogue
from calculators.doors import as_data
from calculators.plan import EXAMPLES
from tests.vectors import answers_for

VECTORS_EACH = 220
RELATIVE = 1e-9


@pytest.fixture(scope="module")
def runtime():
    with Runtime() as started:
        yield started


def differences(ours: Any, theirs: Any, path: str = "") -> list[str]:
    """Where two results differ: numbers by more than 1e-9 of their size, anything else at all."""
    if isinstance(ours, float) and isinstance(theirs, (int, float)) and not isinstance(theirs, bool):
        same = math.isclose(ours, theirs, rel_tol=RELATIVE, abs_tol=1e-12)
        return [] if same else [f"{path}: {ours!r} and {theirs!r}"]
    if isinstance(ours, dict) and isinstance(theirs, dict):
        found = [f"{path}: keys differ"] if ours.keys() != theirs.keys() else []
        return found + [line for key in ours.keys() & theirs.keys()
                        for line in differences(ours[key], theirs[key], f"{path}.{key}")]  # fmt: skip
    if isinstance(ours, list) and isinstance(theirs, list):
        if len(ours) != len(theirs):
            return [f"{path}: {len(ours)} and {len(theirs)} items"]
        return [line for index, (a, b) in enumerate(zip(ours, theirs, strict=True))
                for line in differences(a, b, f"{path}[{index}]")]  # fmt: skip
    return [] if ours == theirs else [f"{path}: {ours!r} and {theirs!r}"]


@pytest.mark.parametrize("key", [calculator.key for calculator in catalogue.CALCULATORS])
def test_equal_results(runtime: Runtime, key: str) -> None:
    chance = random.Random(f"parity {key}")
    calculator = catalogue.BY_KEY[key]
    asked = [
        {
            "calculator": key,
            "example": chance.choice([*EXAMPLES, None]),
            "answers": answers_for(calculator, chance) if number else {},
        }
        for number in range(VECTORS_EACH)
    ]
    text = json.dumps(asked)
    ours = json.loads(as_data.solve_all(text))
    theirs = json.loads(runtime.call("calculators.doors.as_data:solve_all", text))
    wrong = [line for index, (a, b) in enumerate(zip(ours, theirs, strict=True))
             for line in differences(a, b, f"vector {index}")]  # fmt: skip
    assert not wrong, "\n".join(wrong[:20])
    solved = sum("outputs" in result for result in ours)
    # a comparison of refusals only would prove little
    assert solved >= VECTORS_EACH // 2, f"only {solved} of {VECTORS_EACH} vectors gave a result"


def test_page_reply_is_the_same(runtime: Runtime) -> None:
    from calculators.doors import browser

    request = json.dumps({"answers": {"homes": "900"}, "parts": ["answer:bays", "yard"], "forms": ["bays"]})
    assert json.loads(runtime.call("calculators.doors.browser:reply", request)) == json.loads(browser.reply(request))
