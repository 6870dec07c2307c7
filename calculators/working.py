"""The shown working, taken from the computation that ran.

``Working.step`` calls a plain formula function with numbers that remember how they were combined. The function
computes the very floats that it would compute by itself; the memory gives the formula as it was carried out and
the numbers put in. Nothing is written a second time, so nothing can drift apart.

A formula function uses ``+ - * / **`` and, from this module, ``exp``, ``log10``, ``sqrt``, ``whole_up``, ``least``,
``most`` and ``total``. Where it branches, the branch taken is the one shown.
"""

from __future__ import annotations

import inspect
import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from calculators.reference import Source
from calculators.units import MINUS, show, show_number

ROUND_UP_GUARD = 1e-9
"""A quotient this close above a whole number counts as that number: 3.0000000001 bays are three bays."""


class Traced(float):
    """A float that remembers the expression which gave it.

    ``words`` is the formula in names, ``figures`` the same with numbers, ``rank`` how tightly it binds
    (4 a single value, 3 power, 2 product, 1 sum) so that brackets stand only where they are needed.
    """

    words: str
    figures: str
    rank: int

    def __new__(cls, value: float, words: str, figures: str, rank: int = 4) -> Traced:
        made = super().__new__(cls, value)
        made.words, made.figures, made.rank = words, figures, rank
        return made

    def __add__(self, other: Any) -> Any:
        return _join(self, other, "+", 1, float(self) + float(other)) if _is_number(other) else NotImplemented

    def __radd__(self, other: Any) -> Any:
        if _is_number(other) and other == 0:
            return self  # the start value of sum()
        return _join(other, self, "+", 1, float(other) + float(self)) if _is_number(other) else NotImplemented

    def __sub__(self, other: Any) -> Any:
        return _join(self, other, "−", 1, float(self) - float(other)) if _is_number(other) else NotImplemented

    def __rsub__(self, other: Any) -> Any:
        return _join(other, self, "−", 1, float(other) - float(self)) if _is_number(other) else NotImplemented

    def __mul__(self, other: Any) -> Any:
        return _join(self, other, "×", 2, float(self) * float(other)) if _is_number(other) else NotImplemented

    def __rmul__(self, other: Any) -> Any:
        return _join(other, self, "×", 2, float(other) * float(self)) if _is_number(other) else NotImplemented

    def __truediv__(self, other: Any) -> Any:
        return _join(self, other, "÷", 2, float(self) / float(other)) if _is_number(other) else NotImplemented

    def __rtruediv__(self, other: Any) -> Any:
        return _join(other, self, "÷", 2, float(other) / float(self)) if _is_number(other) else NotImplemented

    def __pow__(self, other: Any, modulus: None = None) -> Any:
        return _power(self, other, float(self) ** float(other)) if _is_number(other) else NotImplemented

    def __rpow__(self, other: Any, modulus: None = None) -> Any:
        return _power(other, self, float(other) ** float(self)) if _is_number(other) else NotImplemented

    def __neg__(self) -> Traced:
        words, figures = _bound(self, 2)
        return Traced(-float(self), f"−{words}", f"−{figures}", 2)

    def __abs__(self) -> Traced:
        return Traced(abs(float(self)), f"|{self.words}|", f"|{self.figures}|")


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float))


def _pair(value: Any) -> tuple[str, str]:
    if isinstance(value, Traced):
        return value.words, value.figures
    shown = show_number(float(value), 6)
    return shown, shown


def _bound(value: Any, needed: int) -> tuple[str, str]:
    words, figures = _pair(value)
    if isinstance(value, Traced) and value.rank < needed:
        return f"({words})", f"({figures})"
    return words, figures


def _join(left: Any, right: Any, sign: str, rank: int, value: float) -> Traced:
    left_words, left_figures = _bound(left, rank)
    # a − (b + c) and a ÷ (b × c) need their brackets; a + (b + c) does not
    right_words, right_figures = _bound(right, rank + 1 if sign in "−÷" else rank)
    return Traced(value, f"{left_words} {sign} {right_words}", f"{left_figures} {sign} {right_figures}", rank)


def _power(base: Any, exponent: Any, value: float) -> Traced:
    words, figures = _bound(base, 4)
    if figures.startswith(MINUS):
        figures = f"({figures})"  # (−4)^2 is not −4^2
    raised_words, raised_figures = _bound(exponent, 4)
    return Traced(value, f"{words}^{raised_words}", f"{figures}^{raised_figures}", 3)


def _called(name: str, value: float, *arguments: Any) -> float:
    if not any(isinstance(item, Traced) for item in arguments):
        return value
    pairs = [_pair(item) for item in arguments]
    return Traced(
        value,
        f"{name}({', '.join(pair[0] for pair in pairs)})",
        f"{name}({', '.join(pair[1] for pair in pairs)})",
    )


def exp(value: float) -> float:
    """e to the power ``value``."""
    return _called("exp", math.exp(float(value)), value)


def log10(value: float) -> float:
    """Logarithm to base ten."""
    return _called("log10", math.log10(float(value)), value)


def sqrt(value: float) -> float:
    """Square root."""
    return _called("√", math.sqrt(float(value)), value)


def whole_up(value: float) -> float:
    """The next whole number up, forgiving a rounding error just above a whole number."""
    return _called("round up", float(math.ceil(float(value) - ROUND_UP_GUARD)), value)


def least(*values: float) -> float:
    """The smallest of the values."""
    return _called("least of", min(float(item) for item in values), *values)


def most(*values: float) -> float:
    """The largest of the values."""
    return _called("most of", max(float(item) for item in values), *values)


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
    """

    label: str
    words: str
    figures: str
    value: float | str
    unit: str
    note: str = ""
    source: Source | None = None


def _readable(parameter: str) -> str:
    return parameter.replace("_", " ")


class Working:
    """Collects the steps of one calculation, in order."""

    def __init__(self) -> None:
        self.steps: list[Step] = []

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
        shown for a parameter; for a list it may be a list of words. Returns a plain float.
        """
        wanted = inspect.signature(formula).parameters
        traced: dict[str, Any] = {}
        for name, value in values.items():
            if name not in wanted:
                raise TypeError(f"{formula.__name__} has no parameter {name!r}")
            words = (names or {}).get(name, _readable(name))
            traced[name] = _trace(value, words)
        result = formula(**traced)
        if isinstance(result, Traced):
            self.steps.append(Step(label, result.words, result.figures, float(result), unit, note, source))
        else:
            self.steps.append(Step(label, "", "", float(result), unit, note, source))
        return float(result)

    def note(self, label: str, value: float | str, unit: str = "1", note: str = "",
             source: Source | None = None) -> None:  # fmt: skip
        """Record a figure or a verdict that was looked up or counted, not computed by a formula."""
        kept = float(value) if isinstance(value, (int, float)) else value
        self.steps.append(Step(label, "", "", kept, unit, note, source))


def _trace(value: Any, words: Any) -> Any:
    if isinstance(value, bool) or value is None or isinstance(value, str):
        return value
    if isinstance(value, (int, float)):
        return Traced(float(value), str(words), show_number(float(value), 4))
    if isinstance(value, (list, tuple)):
        named = words if isinstance(words, (list, tuple)) else [words] * len(value)
        return [_trace(item, word) for item, word in zip(value, named, strict=True)]
    return value


def in_words(step: Step, system: str = "metric") -> str:
    """One line: label = formula = numbers = answer with its unit, or without the middle where there is none."""
    answer = step.value if isinstance(step.value, str) else show(step.value, step.unit, system, 4)
    parts = [step.label] + ([step.words, step.figures] if step.words else []) + [answer]
    return " = ".join(parts)
