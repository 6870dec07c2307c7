"""The shown working is the computation itself: same floats, and figures that give the answer when worked again."""

from __future__ import annotations

import math
import random
import re

import pytest

from calculators.known import Known
from calculators.plan import Plan
from calculators.working import ROUND_UP_GUARD, Traced, Working, exp, least, log10, most, sqrt, total, whole_up


def mixed(a: float, b: float, c: float, d: float) -> float:
    first = (a + b) * c / (d - a) - b / (c * d) + -a * (b - (c - d)) ** 2
    return first + most(a, b, 3) - least(c, d) + sqrt(a) * exp(-b) + 2 / a


def with_absolutes(text: str) -> str:
    """|x| as abs(x), nested ones too: a bar opens where a value must begin, and closes where one has ended."""
    found = ""
    for character in text:
        if character != "|":
            found += character
        elif not found.rstrip() or found.rstrip()[-1] in "+-*/(,":
            found += "abs("
        else:
            found += ")"
    return found


def worked_again(figures: str) -> float:
    text = figures.replace("\u202f", "").replace("×", "*").replace("÷", "/").replace("−", "-").replace("^", "**")
    text = text.replace("most of", "max").replace("least of", "min").replace("√", "math.sqrt").replace("round up", "up")
    text = text.replace("log10", "math.log10")
    text = re.sub(r"\bexp\b", "math.exp", with_absolutes(text))
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
        assert isinstance(result, Known) and result.origin == "step:0"
        assert worked_again(working.steps[0].figures) == pytest.approx(result, rel=1e-9)


def random_formula(chance: random.Random, depth: int, constant: bool = False) -> str:
    """A random formula of four parameters, as code: every operation that a formula may use, nested.

    No operation is on constants alone: its result would be shown with six figures only.
    """
    if depth == 0 or chance.random() < 0.1:
        return chance.choice(["a", "b", "c", "d"] + ["2", "3.5"] * constant)
    one, two = random_formula(chance, depth - 1), random_formula(chance, depth - 1, True)
    return chance.choice([
        f"({one} + {two})", f"({one} - {two})", f"({one} * {two})", f"({one} / {two})", f"({one} - ({two} - b))",
        f"({one} / ({two} / c))", f"(-{one})", f"abs({one})", f"({one} ** 2)", f"(2 ** -abs({one} / 50))", f"sqrt(abs({one}))",
        f"exp(-abs({one} / 9))", f"least({one}, {two})", f"most({one}, {two}, 1)", f"total([{one}, {two}, a])",
        f"log10(abs({one}) + 1)", f"sum([{one}, {two}])", f"(-{one}) ** 2", f"({two} * -{one})", f"(({one} ** 2) ** 2)",
    ])  # fmt: skip


def test_random_formulas_are_traced_bit_for_bit() -> None:
    chance = random.Random("formulas")
    names = {"sqrt": sqrt, "exp": exp, "least": least, "most": most, "total": total, "log10": log10}
    compared = 0
    for _ in range(1_500):
        code = random_formula(chance, chance.randint(1, 4))
        formula = eval(f"lambda a, b, c, d: {code}", names)
        # figures that are shown in full, so that the shown line may be held to the last digits
        values = {
            name: chance.choice([chance.randint(1, 99), chance.randint(1, 99) / 4, -chance.randint(1, 9)]) for name in "abcd"
        }
        try:
            plain = float(formula(**{name: float(value) for name, value in values.items()}))
        except (ZeroDivisionError, OverflowError):
            continue
        working = Working()
        result = working.step("Random", "1", formula, **values)
        assert result == plain and isinstance(result, Known), code
        step = working.steps[0]
        assert step.value == plain
        if step.figures:
            compared += 1
            assert worked_again(step.figures) == pytest.approx(plain, rel=1e-6, abs=1e-6), (code, step.figures)
            assert re.sub(r"[^×÷^|√]", "", step.words) == re.sub(r"[^×÷^|√]", "", step.figures), (code, step.words)
    assert compared > 1_000


def test_sums_of_lists_and_names() -> None:
    working = Working()
    result = working.step("Sum", "kg", lambda masses, share: total(masses) * share, masses=[1.0, 2.5], share=0.5,
                          names={"masses": ["leaves", "scraps"]})  # fmt: skip
    step = working.steps[0]
    assert result == 1.75 and step.words == "(leaves + scraps) × share" and step.figures == "(1 + 2.5) × 0.5"
    with pytest.raises(TypeError):
        working.step("Wrong", "1", mixed, z=1)


def test_rounding_up_forgives_a_hair() -> None:
    for whole in (0, 1, 7, 1000):
        assert whole_up(whole + 0.9 * ROUND_UP_GUARD) == whole and whole_up(whole + 3 * ROUND_UP_GUARD) == whole + 1
        assert type(whole_up(whole)) is float
    assert whole_up(0.1 * 3 / 0.1) == 3 and whole_up(-0.5) == 0 and whole_up(1.1 * 3 / 1.1) == 3
    step = Working()
    assert step.step("Bays", "bay", lambda heaps, room: whole_up(heaps / room), heaps=7, room=2) == 4
    assert step.steps[0].figures == "round up(7 ÷ 2)" and step.steps[0].words == "round up(heaps ÷ room)"
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
