"""The shown working is the computation itself: same floats, and figures that give the answer when worked again."""

from __future__ import annotations

import math
import random
import re

import pytest

from calculators.plan import Plan
from calculators.working import Traced, Working, exp, least, log10, most, sqrt, total, whole_up


def mixed(a: float, b: float, c: float, d: float) -> float:
    return (a + b) * c / (d - a) - b / (c * d) + -a * (b - (c - d)) ** 2 + most(a, b, 3) - least(c, d) + sqrt(a) * exp(-b) + 2 / a


def worked_again(figures: str) -> float:
    text = figures.replace("\u202f", "").replace("×", "*").replace("÷", "/").replace("−", "-").replace("^", "**")
    text = text.replace("most of", "max").replace("least of", "min").replace("√", "math.sqrt").replace("round up", "up")
    text = re.sub(r"\bexp\b", "math.exp", re.sub(r"\|([^|]*)\|", r"abs(\1)", text))
    assert re.fullmatch(r"[\d\s.+\-*/(),a-z]*", text), text
    return eval(text, {"math": math, "max": max, "abs": abs, "min": min, "up": math.ceil})


def test_traced_equals_plain_and_brackets_are_right() -> None:
    chance = random.Random("working")
    for _ in range(300):
        a, b, c, d = (chance.randint(1, 9) for _ in range(4))
        if d == a:
            d += 1
        working = Working()
        result = working.step("Mixed", "1", mixed, a=a, b=b, c=c, d=d)
        assert result == mixed(float(a), float(b), float(c), float(d))
        assert type(result) is float
        assert worked_again(working.steps[0].figures) == pytest.approx(result, rel=1e-9)


def test_sums_of_lists_and_names() -> None:
    working = Working()
    result = working.step("Sum", "kg", lambda masses, share: total(masses) * share, masses=[1.0, 2.5], share=0.5,
                          names={"masses": ["leaves", "scraps"]})  # fmt: skip
    step = working.steps[0]
    assert result == 1.75 and step.words == "(leaves + scraps) × share" and step.figures == "(1 + 2.5) × 0.5"
    with pytest.raises(TypeError):
        working.step("Wrong", "1", mixed, z=1)


def test_rounding_up_forgives_a_hair() -> None:
    assert whole_up(3 + 1e-12) == 3 and whole_up(3.0001) == 4 and whole_up(3.0) == 3
    assert isinstance(whole_up(Traced(2.2, "x", "2.2")), Traced) and log10(100) == 2


def test_every_step_of_the_example_gives_its_answer_when_worked_again() -> None:
    """Each shown line of figures, worked again from its rounded numbers, lies near the answer shown."""
    seen = 0
    for result in Plan({}).evaluate().results.values():
        for step in result.steps:
            if not step.figures:
                continue
            seen += 1
            assert worked_again(step.figures) == pytest.approx(step.value, rel=0.02, abs=0.02), step
    assert seen > 30
