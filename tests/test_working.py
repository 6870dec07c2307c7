"""The shown working is the computation itself: same floats, and figures that give the answer when worked again."""

from __future__ import annotations

import ast
import json
import math
import random
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.catalogue import ON_REQUEST
from calculators.known import Known, KnownCount, Memory, as_count, formula, known, plain
from calculators.plan import Plan
from calculators.working import ROUND_UP_GUARD, Traced, Working, exp, least, log10, most, sqrt, total, whole_up
from tests.sheet_engine import Formula, Sheet
from tests.vectors import plan_for


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
    for result in Plan({}).evaluate(ON_REQUEST).results.values():
        for step in result.steps:
            if not step.figures:
                continue
            seen += 1
            assert worked_again(step.figures) == pytest.approx(step.value, rel=0.02, abs=0.02), step
    assert seen > 30


# ---- numbers that know where they come from ---------------------------------------------------------------------

TOPICS = Path(__file__).resolve().parents[1] / "calculators" / "topics"


def written(node: Any) -> str | None:
    """The formula with each address in the place of its cell."""
    return formula(node, lambda address: address.replace("answer:", ""))


def test_a_known_number_is_the_number_that_it_would_be_without() -> None:
    memory = Memory()
    number, things = known(2.5, "answer:a", memory), known(3, "answer:n", memory)
    assert isinstance(number, Known) and isinstance(things, KnownCount)
    assert known(True, "answer:f", memory) is True and known("x", "answer:t", memory) == "x"
    series = known((1.0, 2), "answer:s", memory)
    assert [item.origin for item in series] == ["answer:s:0", "answer:s:1"] and number.origin == "answer:a"
    for kept, bare in ((number, 2.5), (things, 3)):
        for said in (repr, str, "{:.3g}".format, json.dumps):
            assert said(kept) == said(bare)
        assert type(plain(kept)) is type(bare) and plain(kept) == bare
    assert not memory.opaque and not memory.conditions
    assert hash(number) == hash(2.5) and memory.opaque


def test_arithmetic_of_known_numbers_is_that_of_plain_ones() -> None:
    chance = random.Random("known")
    operations: list[Callable[[Any, Any], Any]] = [
        lambda a, b: a + b, lambda a, b: a - b, lambda a, b: a * b, lambda a, b: a / b, lambda a, b: -a + abs(b),
        lambda a, b: a // b, lambda a, b: a % b, divmod, lambda a, b: round(a, 1), lambda a, b: round(a), lambda a, b: +a,
        lambda a, b: math.ceil(a) - math.floor(b), lambda a, b: int(a), lambda a, b: sum([a, b]), max, min,
        lambda a, b: a ** 2, lambda a, b: least(a, b) + most(a, b), lambda a, b: whole_up(a / b), lambda a, b: exp(-abs(a)),
    ]  # fmt: skip
    for _ in range(60):
        one, two = (chance.choice([chance.randint(1, 9), chance.uniform(-9, -0.5), chance.uniform(0.5, 9)]) for _ in range(2))
        for work in operations:
            wanted = work(one, two)
            for left, right in ((known(one, "a", Memory()), two), (one, known(two, "b", Memory())),
                                (known(one, "a", Memory()), known(two, "b", Memory()))):  # fmt: skip
                found = plain(work(left, right))
                assert found == wanted and type(found) is type(wanted), (one, two)


def test_a_step_keeps_its_formula_with_references() -> None:
    working = Working()
    heaps, room = known(7, "answer:heaps", working.memory), known(2.0, "answer:room", working.memory)
    bays = working.step("Bays", "bay", lambda heaps, room: whole_up(heaps / room) + 0.5, heaps=heaps * 3, room=room)
    cost = working.step("Cost", "1", lambda bays, price: bays * price, bays=bays, price=12)
    assert (bays.origin, cost.origin) == ("step:0", "step:1")
    assert written(working.steps[0].node) == "(-INT(-((heaps*3/room)-1E-09)))+0.5"
    assert written(working.steps[1].node) == "step:0*12"
    assert working.steps[0].words == "round up(heaps ÷ room) + 0.5" and working.steps[0].figures == "round up(21 ÷ 2) + 0.5"


def branching(a: float, b: float) -> float:
    if a > b:
        return a - b
    if a == b or not b:
        return 1.0
    return b / a


def test_the_path_taken_is_kept_as_conditions() -> None:
    for a, b, node, conditions in (
        (3, 2, "a-b", ["a>b"]), (2, 3, "b/a", ["a<=b", "a<>b", "b<>0"]), (2, 2, "1.0", ["a<=b", "a=b"]),
        (-1, 0, "1.0", ["a<=b", "a<>b", "b=0"]),
    ):  # fmt: skip
        working = Working()
        working.step("B", "1", branching, a=known(a, "answer:a", working.memory), b=known(b, "answer:b", working.memory))
        step = working.steps[0]
        assert written(step.node) == node and [written(check) for check in step.checks] == conditions, (a, b)


def test_comparisons_in_a_solve_stand_before_later_steps() -> None:
    working = Working()
    a = known(3.0, "answer:a", working.memory)
    working.step("One", "1", lambda a: a + 1, a=a)
    larger = max(a * 2, 4.0)
    working.step("Two", "1", lambda a: a + 1, a=larger)
    assert [step.path for step in working.steps] == [0, 1] and written(working.steps[1].node) == "a*2+1"
    assert [written(each) for each in working.memory.conditions] in (["4.0<=a*2"], ["4.0<a*2"], ["a*2>=4.0"])
    assert 5 > 3 and len(working.memory.conditions) == 1


@pytest.mark.parametrize("lose", [float, int, round, math.floor, lambda a: a % 7, lambda a: a // 1, lambda a: divmod(a, 2)[0],
                                  lambda a: {3.0: 1.0, a: 2.0}[a], lambda a: a.as_integer_ratio()[0]])  # fmt: skip
def test_a_number_that_loses_its_way_is_never_a_constant(lose: Callable[[Any], Any]) -> None:
    """Neither within a formula nor before it: the step is not live, or its formula has the reference in it."""
    working = Working()
    within = eval("lambda a, b: lose(a) + b", {"lose": lose})  # a function of a module, not a closure
    working.step("In", "1", within, a=known(3.0, "answer:a", working.memory), b=1.0)
    assert working.steps[0].node is None
    working = Working()
    lost = lose(known(3.0, "answer:a", working.memory))
    working.step("After", "1", mixed_in, a=lost, b=known(2.0, "answer:b", working.memory))
    step = working.steps[0]
    assert step.opaque or step.node is None or "a" in (written(step.node) or "")


def mixed_in(a: float, b: float) -> float:
    return a * b


def test_untraced_work_is_marked_and_so_is_what_comes_of_it() -> None:
    working = Working()
    a = known(3.0, "answer:a", working.memory)

    def walk(a: float) -> tuple[float, list[int], str]:
        assert type(a) is float
        working.step("Within", "1", mixed_in, a=a, b=2)
        return a * 2, [int(a)], "words"

    twice, (whole,), words = working.untraced(walk, a)
    assert plain((twice, whole, words)) == (6.0, 3, "words") and isinstance(whole, KnownCount)
    working.step("After", "1", mixed_in, a=twice, b=2)
    assert [step.node for step in working.steps] == [None, None] and not working.memory.opaque
    assert whole > 2 and working.memory.opaque


def test_as_count_keeps_the_origin_and_refuses_parts() -> None:
    count = as_count(known(3.0, "answer:a", Memory()))
    assert count == 3 and isinstance(count, KnownCount) and written(count.node) == "TRUNC(a)"
    assert type(as_count(4.0)) is int and type(as_count(4)) is int
    for value in (3.5, known(3.5, "answer:a", Memory())):
        with pytest.raises(ValueError, match="whole"):
            as_count(value)


@pytest.mark.parametrize(
    ("work", "text"),
    [
        (lambda a, b, c: -(a ** 2), "(-(a^2))"), (lambda a, b, c: (-a) ** 2, "(-a)^2"), (lambda a, b, c: 2 ** -a, "2^(-a)"),
        (lambda a, b, c: a ** b ** c, "a^(b^c)"), (lambda a, b, c: a - (b - c), "a-(b-c)"),
        (lambda a, b, c: a - b - c, "a-b-c"), (lambda a, b, c: a / (b * c), "a/(b*c)"),
        (lambda a, b, c: (a + b) * -c, "(a+b)*(-c)"), (lambda a, b, c: a * -2.5, "a*(-2.5)"),
        (lambda a, b, c: least(a, 1) + most(b, c), "MIN(a,1)+MAX(b,c)"),
    ],
)  # fmt: skip
def test_brackets_of_the_spreadsheets_formula(work: Callable[..., float], text: str) -> None:
    working = Working()
    values = {name: known(value, name, working.memory) for name, value in zip("abc", (3.0, 2.0, 1.5), strict=True)}
    result = working.step("S", "1", work, **values)
    written_down = written(working.steps[0].node)
    assert written_down == text
    sheet = Sheet({("S", "E1"): Formula(text.replace("a", "A1").replace("b", "B1").replace("c", "C1")),
                   ("S", "A1"): 3.0, ("S", "B1"): 2.0, ("S", "C1"): 1.5})  # fmt: skip
    assert sheet.value("S", "E1") == plain(result)


def test_what_a_formula_encloses_is_not_taken_for_a_constant() -> None:
    working = Working()
    bare = plain(known(3.0, "answer:a", working.memory))
    working.step("Closed", "1", lambda b: b * bare, b=known(2.0, "answer:b", working.memory))
    assert working.steps[0].node is None and working.steps[0].words


@settings(max_examples=400, deadline=None)
@given(st.integers(0, 10**9), st.lists(st.integers(-9, 40).map(lambda whole: whole / 4), min_size=4, max_size=4))
def test_the_spreadsheets_formula_gives_the_value(seed: int, values: list[float]) -> None:
    """Any formula of the allowed operations, written for a spreadsheet and worked out by its rules of precedence."""
    chance = random.Random(seed)
    code = random_formula(chance, chance.randint(1, 4))
    code = chance.choice([code, f"whole_up({code})", f"({code}) if a > b else c", f"most({code}, whole_up(b), -a)"])
    names = {"sqrt": sqrt, "exp": exp, "least": least, "most": most, "total": total, "log10": log10, "whole_up": whole_up}
    run = eval(f"lambda a, b, c, d: {code}", names)
    working = Working()
    held = dict(zip("abcd", values, strict=True))
    derived = known(held["a"], "answer:A1", working.memory) * 2 - 3
    cells = {name: known(held[name], f"answer:{name.upper()}1", working.memory) for name in "bd"}
    inputs = {"a": derived, "c": held["c"], **cells}
    try:
        result = working.step("Random", "1", run, **inputs)
    except (ZeroDivisionError, OverflowError):
        return
    step = working.steps[0]
    assert step.node is not None or len(code) > 200
    text = written(step.node)
    if text is None or not math.isfinite(result):
        return
    sheet = Sheet({("S", "A1"): held["a"], ("S", "B1"): held["b"], ("S", "D1"): held["d"], ("S", "E1"): Formula(text)}
                  | {("S", f"F{row}"): Formula(written(check) or "") for row, check in enumerate(step.checks, start=1)})  # fmt: skip
    assert sheet.value("S", "E1") == pytest.approx(plain(result), rel=1e-12, abs=1e-300), (code, text)
    assert all(sheet.value("S", f"F{row + 1}") is True for row in range(len(step.checks)))


def test_topics_use_no_function_of_math_that_hides_a_number() -> None:
    """``math.sqrt`` of a known number gives a bare one unseen; ``working.sqrt`` does not."""
    allowed = {"ceil", "floor", "pi", "inf", "isfinite", "fsum"}
    for file in TOPICS.glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "math":
                assert node.attr in allowed, f"{file.name}:{node.lineno}"


def test_the_examples_keep_their_way_in_sight() -> None:
    """No conversion in a topic hides where a figure comes from."""
    for example in ("larkhollow", "pennywhistle", None):
        for result in Plan({}, example).evaluate(ON_REQUEST).results.values():
            assert not result.memory.opaque, result.calculator.key
            for name in result.calculator.results:
                assert not isinstance(getattr(result.outputs, name), (Known, KnownCount))


def test_the_shown_run_gives_what_the_plain_run_gave() -> None:
    """A plan is worked out on plain numbers, its working by a second run that remembers: the same figures to the last bit."""
    chance = random.Random("two runs")
    found = 0
    for _ in range(25):
        drawn = plan_for(chance)
        for result in Plan(drawn["answers"], drawn["example"]).evaluate().results.values():
            assert repr(plain(result.knowing)) == repr(result.outputs), result.calculator.key
            found += 1
    assert found > 200
