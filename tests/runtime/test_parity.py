"""The shipped Pyodide gives what CPython gives: the same answers, sentences, remarks and working."""

from __future__ import annotations

import json
import math
import random
from collections.abc import Callable, Iterable
from typing import Any

import pytest

from build_scripts.in_runtime import Runtime
from calculators import catalogue
from calculators.doors import as_data
from calculators.plan import EXAMPLES
from tests.vectors import answers_for, plan_for

PARTS = 2
TURNS = 4
"""How often, in a part, it is a calculator's turn to have random answers."""
SOLVED_IN_A_PART = 4
"""At least so many results of each calculator, no two from the same answers."""
SOLVED_ON_REQUEST = 15
"""Of a calculator that walks through days, again and again in search of cures."""
MOST_DRAWN = 500
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


def compare(runtime: Runtime, draw: Callable[[int], dict[str, Any]], keys: Iterable[str], enough: int, plans: int) -> None:
    """Draw so many plans, more where a calculator of ``keys`` was not solved for enough sets of answers, and compare all."""
    asked: list[dict[str, Any]] = []
    ours: list[Any] = []
    solved: dict[str, set[str]] = {key: set() for key in keys}
    while len(asked) < plans or (any(len(found) < enough for found in solved.values()) and len(asked) < MOST_DRAWN):
        asked.append(draw(len(asked)))
        ours += json.loads(as_data.solve_all(json.dumps(asked[-1:])))
        for step in ours[-1]["steps"]:
            if "outputs" in step and step["calculator"] in solved:
                solved[step["calculator"]].add(json.dumps(step["inputs"]))
    short = {key: len(found) for key, found in solved.items() if len(found) < enough}
    assert not short, f"of {len(asked)} plans too few gave a result: {short}"
    theirs = json.loads(runtime.call("calculators.doors.as_data:solve_all", json.dumps(asked)))
    # refusals are compared too
    wrong = [line for index, (a, b) in enumerate(zip(ours, theirs, strict=True))
             for line in differences(a, b, f"plan {index}")]  # fmt: skip
    assert not wrong, "\n".join(wrong[:20])


@pytest.mark.parametrize("part", range(PARTS))
def test_equal_results(runtime: Runtime, part: int) -> None:
    chance = random.Random(f"parity {part}")
    compare(runtime, lambda turn: plan_for(chance, turn), catalogue.AT_ONCE, SOLVED_IN_A_PART,
            TURNS * len(catalogue.AT_ONCE))


@pytest.mark.parametrize("key", sorted(catalogue.ON_REQUEST))
def test_equal_results_on_request(runtime: Runtime, key: str) -> None:
    chance = random.Random(f"parity {key}")
    calculator = catalogue.BY_KEY[key]

    def draw(_: int) -> dict[str, Any]:
        return {"calculator": key, "example": chance.choice([*EXAMPLES, None]), "answers": answers_for(calculator, chance)}

    compare(runtime, draw, [key], SOLVED_ON_REQUEST, SOLVED_ON_REQUEST)


def test_page_reply_is_the_same(runtime: Runtime) -> None:
    from calculators.doors import browser

    request = json.dumps({"answers": {"homes": "900"}, "parts": ["answer:bays", "yard"], "forms": ["bays"]})
    assert json.loads(runtime.call("calculators.doors.browser:reply", request)) == json.loads(browser.reply(request))


def test_exercise_sheets_are_the_same(runtime: Runtime) -> None:
    """One seed, one set of sheets: numbers, answers and key, to the letter, wherever they are made."""
    from calculators.doors import browser

    link = "homes=900&vary=homes,bay_width&ask=bays.bays_total&ask=mix.mix_kg_per_day&ask=mix.tub_ratio&from=nothing"
    sheets = {"seed": "20261", "copies": "12"}
    request = json.dumps({"workshop": {"link": link}, "parts": ["workshop-sheets"], "sheets": sheets})
    ours = json.loads(browser.reply(request))
    assert ours["said"].startswith("12 copies are ready")
    assert json.loads(runtime.call("calculators.doors.browser:reply", request)) == ours
