"""The shown working, taken from the computation that ran.

``Working.step`` calls a plain formula function with numbers that remember how they were combined. The function
computes the very floats that it would compute by itself; the memory gives the formula as it was carried out and
the numbers put in. Nothing is written a second time, so nothing can drift apart.

A formula function uses ``+ - * / **`` and, from this module, ``exp``, ``log10``, ``sqrt``, ``whole_up``, ``least``,
``most`` and ``total``. Where it branches, the branch taken is the one shown.

The same run gives the step's formula in the signs of a spreadsheet (``known``): numbers put in that know their cell
stay references, what the branches depended on is kept as conditions.
"""

from __future__ import annotations

import inspect
import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from calculators.known import ROUND_UP_GUARD, Known, KnownCount, Memory, Node, Watched, combined, made, node_of, plain
from calculators.reference import Source
from calculators.units import MINUS, show, show_number


class Traced(Watched, float):
    """A float that remembers the expression which gave it.

    ``words`` is the formula in names, ``figures`` the same with numbers, ``rank`` how tightly it binds
    (4 a single value, 3 power, 2 product, 1 sum) so that brackets stand only where they are needed. ``node`` is the
    formula for a spreadsheet, ``memory`` where a comparison is kept.
    """

    __slots__ = ("figures", "memory", "node", "rank", "words")
    words: str
    figures: str
    rank: int

    def __new__(cls, value: float, words: str, figures: str, rank: int = 4, node: Node = None,
                memory: Memory | None = None) -> Traced:  # fmt: skip
        made = float.__new__(cls, value)
        made.words, made.figures, made.rank, made.node, made.memory = words, figures, rank, node, memory
        return made

    def __add__(self, other: Any) -> Any:
        return _join(self, other, "+", 1, float.__pos__(self) + plain(other)) if _is_number(other) else NotImplemented

    def __radd__(self, other: Any) -> Any:
        if type(other) in (int, float) and other == 0:
            return self  # the start value of sum()
        return _join(other, self, "+", 1, plain(other) + float.__pos__(self)) if _is_number(other) else NotImplemented

    def __sub__(self, other: Any) -> Any:
        return _join(self, other, "−", 1, float.__pos__(self) - plain(other)) if _is_number(other) else NotImplemented

    def __rsub__(self, other: Any) -> Any:
        return _join(other, self, "−", 1, plain(other) - float.__pos__(self)) if _is_number(other) else NotImplemented

    def __mul__(self, other: Any) -> Any:
        return _join(self, other, "×", 2, float.__pos__(self) * plain(other)) if _is_number(other) else NotImplemented

    def __rmul__(self, other: Any) -> Any:
        return _join(other, self, "×", 2, plain(other) * float.__pos__(self)) if _is_number(other) else NotImplemented

    def __truediv__(self, other: Any) -> Any:
        return _join(self, other, "÷", 2, float.__pos__(self) / plain(other)) if _is_number(other) else NotImplemented

    def __rtruediv__(self, other: Any) -> Any:
        return _join(other, self, "÷", 2, plain(other) / float.__pos__(self)) if _is_number(other) else NotImplemented

    def __pow__(self, other: Any, modulus: None = None) -> Any:
        return _power(self, other, float.__pos__(self) ** plain(other)) if _is_number(other) else NotImplemented

    def __rpow__(self, other: Any, modulus: None = None) -> Any:
        return _power(other, self, plain(other) ** float.__pos__(self)) if _is_number(other) else NotImplemented

    def __neg__(self) -> Traced:
        words, figures = _bound(self, 2)
        return Traced(-float.__pos__(self), f"−{words}", f"−{figures}", 2, combined("neg", self.node), self.memory)

    def __abs__(self) -> Traced:
        return Traced(
            abs(float.__pos__(self)), f"|{self.words}|", f"|{self.figures}|", 4, combined("ABS", self.node), self.memory
        )


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float))


def _pair(value: Any) -> tuple[str, str]:
    if isinstance(value, Traced):
        return value.words, value.figures
    shown = show_number(plain(value), 6)
    return shown, shown


def _bound(value: Any, needed: int) -> tuple[str, str]:
    if type(value) is not Traced:
        return _pair(value)
    if value.rank < needed:
        return f"({value.words})", f"({value.figures})"
    return value.words, value.figures


def _join(left: Any, right: Any, sign: str, rank: int, value: float) -> Traced:
    left_words, left_figures = _bound(left, rank)
    # a − (b + c) and a ÷ (b × c) need their brackets; a + (b + c) does not
    right_words, right_figures = _bound(right, rank + 1 if sign in "−÷" else rank)
    node = combined(_SIGNS[sign], node_of(left), node_of(right))
    return Traced(
        value, f"{left_words} {sign} {right_words}", f"{left_figures} {sign} {right_figures}", rank, node, _memory(left, right)
    )


_SIGNS = {"+": "+", "−": "-", "×": "*", "÷": "/"}


def _memory(*values: Any) -> Memory | None:
    """The memory of the first traced value: that of the formula which runs."""
    for value in values:
        if type(value) is Traced:
            return value.memory
    return None


def _power(base: Any, exponent: Any, value: float) -> Traced:
    words, figures = _bound(base, 4)
    if figures.startswith(MINUS):
        figures = f"({figures})"  # (−4)^2 is not −4^2
    raised_words, raised_figures = _bound(exponent, 4)
    node = combined("^", node_of(base), node_of(exponent))
    return Traced(value, f"{words}^{raised_words}", f"{figures}^{raised_figures}", 3, node, _memory(base, exponent))


def _called(name: str, function: str, value: float, *arguments: Any) -> float:
    """What a function gave, with its name in words and in a spreadsheet."""
    kinds = [type(item) for item in arguments]
    if Traced not in kinds:
        knowing = next((item for item, kind in zip(arguments, kinds) if kind is Known or kind is KnownCount), None)
        if knowing is None:
            return value
        return made(value, combined(function, *[node_of(item) for item in arguments]), knowing.memory)
    pairs = [_pair(item) for item in arguments]
    return Traced(
        value,
        f"{name}({', '.join(pair[0] for pair in pairs)})",
        f"{name}({', '.join(pair[1] for pair in pairs)})",
        4,
        combined(function, *[node_of(item) for item in arguments]),
        _memory(*arguments),
    )


def exp(value: float) -> float:
    """e to the power ``value``."""
    return _called("exp", "EXP", math.exp(plain(value)), value)


def log10(value: float) -> float:
    """Logarithm to base ten."""
    return _called("log10", "LOG10", math.log10(plain(value)), value)


def sqrt(value: float) -> float:
    """Square root."""
    return _called("√", "SQRT", math.sqrt(plain(value)), value)


def whole_up(value: float) -> float:
    """The next whole number up, forgiving a rounding error just above a whole number."""
    if type(value) is float or type(value) is int:  # the common case, thousands of times in a walk through a year
        return float(math.ceil(value - ROUND_UP_GUARD))
    return _called("round up", "round up", float(math.ceil(plain(value) - ROUND_UP_GUARD)), value)


def least(*values: float) -> float:
    """The smallest of the values."""
    return _called("least of", "MIN", min(float(plain(item)) for item in values), *values)


def most(*values: float) -> float:
    """The largest of the values."""
    return _called("most of", "MAX", max(float(plain(item)) for item in values), *values)


def total(values: Iterable[float]) -> float:
    """The sum of the values, 0 for none."""
    summed: float = 0.0
    first = True
    for item in values:
        summed = item if first else summed + item
        first = False
    return summed


@dataclass(frozen=True)
class Step:
    """One line of working: what, the formula as carried out, the numbers put in, and what came out.

    ``words`` and ``figures`` are empty where the step is a look-up or a walk through days; then ``note`` says so.
    For a spreadsheet: ``node`` is the formula (``None`` where it is not known), ``checks`` are the conditions on which
    it took the path that it took, ``path`` says how many of the calculation's own conditions stand before it, and
    ``opaque`` that its way depended on more than them.
    """

    label: str
    words: str
    figures: str
    value: float | str
    unit: str
    note: str = ""
    source: Source | None = None
    node: Node = field(default=None, repr=False, compare=False)
    checks: tuple[Node, ...] = field(default=(), repr=False, compare=False)
    path: int = field(default=0, repr=False, compare=False)
    opaque: bool = field(default=False, repr=False, compare=False)


def _readable(parameter: str) -> str:
    return parameter.replace("_", " ")


@lru_cache(maxsize=256)
def _parameters(formula: Callable[..., Any]) -> frozenset[str]:
    return frozenset(inspect.signature(formula).parameters)


class Working:
    """Collects the steps of one calculation, in order, and in ``memory`` what its way depended on."""

    def __init__(self) -> None:
        self.steps: list[Step] = []
        self.memory = Memory()

    def step(
        self,
        label: str,
        unit: str,
        formula: Callable[..., float],
        *,
        note: str = "",
        source: Source | None = None,
        names: dict[str, str] | None = None,
        **values: Any,
    ) -> float:
        """Run ``formula`` on ``values`` (by its parameter names) and record how the result came about.

        Numbers are traced one by one, and so are the numbers of a list or tuple. ``names`` replaces the words
        shown for a parameter; for a list it may be a list of words. Returns a float that knows its step.
        """
        wanted = _parameters(formula)
        within = Memory()
        traced: dict[str, Any] = {}
        for name, value in values.items():
            if name not in wanted:
                raise TypeError(f"{formula.__name__} has no parameter {name!r}")
            words = (names or {}).get(name, _readable(name))
            traced[name] = _trace(value, words, within)
        result = formula(**traced)
        value = float(plain(result))
        checks = tuple(within.conditions)
        # what a formula encloses is not among its values, so nothing tells where it comes from
        followed = not within.opaque and getattr(formula, "__closure__", None) is None
        if isinstance(result, Traced):
            node = result.node if followed else None
            return self._record(label, result.words, result.figures, value, unit, note, source, node, checks)
        # a constant on the path taken; a number that lost its way has left the formula opaque
        node = node_of(result) if followed else None
        return self._record(label, "", "", value, unit, note, source, node, checks)

    def note(self, label: str, value: float | str, unit: str = "1", note: str = "",
             source: Source | None = None) -> None:  # fmt: skip
        """Record a figure or a verdict that was looked up or counted, not computed by a formula."""
        known = isinstance(value, (Known, KnownCount))
        kept = float(plain(value)) if isinstance(value, (int, float)) else value
        self._record(label, "", "", kept, unit, note, source, node_of(value) if known else None, ())

    def constant(self, value: float) -> float:
        """A figure that is the same for whatever answers lead the same way: 0 where nothing is needed, a table's row
        found by comparing. Not for a figure worked out from answers."""
        return made(plain(value), None if self.memory.closed else plain(value), self.memory)

    def untraced(self, work: Callable[..., Any], *values: Any) -> Any:
        """What ``work`` gives for the plain values: for long walks and searches, which no cell could hold."""
        return self.memory.untraced(work, *values)

    def _record(self, label: str, words: str, figures: str, value: Any, unit: str, note: str, source: Source | None,
                node: Node, checks: tuple[Node, ...]) -> Any:  # fmt: skip
        address = f"step:{len(self.steps)}"
        path, opaque = len(self.memory.conditions), self.memory.opaque
        if self.memory.closed:
            node = None
        self.steps.append(Step(label, words, figures, value, unit, note, source, node, checks, path, opaque))
        return made(value, ("@", 1, address), self.memory)


class Unshown(Working):
    """Runs the same formulas on the same numbers, plain, and records nothing: where only the outputs are wanted."""

    def step(self, label: str, unit: str, formula: Callable[..., float], *, note: str = "", source: Source | None = None,
             names: dict[str, str] | None = None, **values: Any) -> float:  # fmt: skip
        """What the formula gives."""
        return float(formula(**{name: _floats(value) for name, value in values.items()}))

    def note(self, label: str, value: float | str, unit: str = "1", note: str = "",
             source: Source | None = None) -> None:  # fmt: skip
        """Nothing: no one looks."""

    def constant(self, value: float) -> float:
        """The figure."""
        return value

    def untraced(self, work: Callable[..., Any], *values: Any) -> Any:
        """What ``work`` gives."""
        return work(*values)


def _floats(value: Any) -> Any:
    """A formula's value as a traced run hands it over, without its words: numbers as floats, tuples as lists."""
    kind = type(value)
    if kind is float or kind is bool or kind is str or value is None:
        return value
    if kind is int:
        return float(value)
    if kind is list or kind is tuple:
        return [_floats(item) for item in value]
    return value


def _trace(value: Any, words: Any, memory: Memory) -> Any:
    if isinstance(value, bool) or value is None or isinstance(value, str):
        return value
    if isinstance(value, (int, float)):
        shown = plain(value)
        return Traced(float(shown), str(words), show_number(float(shown), 4), 4, node_of(value), memory)
    if isinstance(value, (list, tuple)):
        named = words if isinstance(words, (list, tuple)) else [words] * len(value)
        return [_trace(item, word, memory) for item, word in zip(value, named, strict=True)]
    return value


def in_words(step: Step, system: str = "metric") -> str:
    """One line: label = formula = numbers = answer with its unit, or without the middle where there is none."""
    answer = step.value if isinstance(step.value, str) else show(step.value, step.unit, system, 4)
    parts = [step.label] + ([step.words, step.figures] if step.words else []) + [answer]
    return " = ".join(parts)
