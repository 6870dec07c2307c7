"""Several plans side by side: which answers differ, and which results differ because of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from calculators import catalogue
from calculators.declare import Answer, Calculator, Output
from calculators.plan import Evaluated, NotAsked, Result, Standing

MOST_PLANS = 6
"""More columns than this can't be read side by side, on paper or on a screen."""


@dataclass(frozen=True)
class AnswerRow:
    """An answer that differs, with how it stands in each plan."""

    calculator: Calculator
    answer: Answer
    standings: tuple[Standing, ...]


@dataclass(frozen=True)
class FigureRow:
    """A result that differs; ``None`` where a plan has none."""

    calculator: Calculator
    output: Output
    values: tuple[Any, ...]


@dataclass(frozen=True)
class Differences:
    """What differs between plans, and how much does not."""

    plans: tuple[Evaluated, ...]
    answers: tuple[AnswerRow, ...]
    figures: tuple[FigureRow, ...]
    same_answers: int
    same_figures: int


def compare(plans: Sequence[Evaluated]) -> Differences:
    """The differences between two to ``MOST_PLANS`` plans.

    Answers that only follow an earlier step are left out: what they follow is listed. Tables and series of results are
    left out too, since single figures sum them up. Raises ``ValueError`` for fewer or more plans.
    """
    if not 2 <= len(plans) <= MOST_PLANS:
        raise ValueError(f"Between 2 and {MOST_PLANS} plans can stand side by side; {len(plans)} were given.")
    answers: list[AnswerRow] = []
    figures: list[FigureRow] = []
    same_answers = same_figures = 0
    seen: set[str] = set()
    for calculator in catalogue.CALCULATORS:
        steps = [plan.step(calculator.key) for plan in plans]
        for name, answer in calculator.answers.items():
            standings = [step.standings.get(name) for step in steps]
            given = tuple(standing for standing in standings if standing is not None)
            if name in seen or len(given) < len(plans) or all(standing.origin == "followed" for standing in given):
                continue
            seen.add(name)
            if len({repr(standing.value) for standing in given}) > 1:
                answers.append(AnswerRow(calculator, answer, given))
            else:
                same_answers += 1
        if any(isinstance(step, NotAsked) for step in steps):
            continue
        for name, output in calculator.results.items():
            if output.kind not in ("number", "count", "text"):
                continue
            values = tuple(getattr(step.outputs, name) if isinstance(step, Result) else None for step in steps)
            if len({repr(value) for value in values}) > 1:
                figures.append(FigureRow(calculator, output, values))
            else:
                same_figures += 1
    return Differences(tuple(plans), tuple(answers), tuple(figures), same_answers, same_figures)
