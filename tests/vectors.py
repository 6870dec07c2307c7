"""Seeded random answers for every calculator, made from its declarations: any value a user may give, blanks too."""

from __future__ import annotations

import random
from typing import Any

from calculators import catalogue
from calculators.declare import Answer, Calculator
from calculators.plan import EXAMPLES

ODDS_OF_OWN = 0.45
ODDS_OF_BLANK = 0.3


def value_for(answer: Answer, chance: random.Random) -> Any:
    """One allowed value of an answer, most often within its usual range."""
    if answer.blank and chance.random() < ODDS_OF_BLANK:
        return None
    if answer.kind in ("number", "count"):
        low = answer.low if answer.low is not None else -100.0
        high = answer.high if answer.high is not None else max(abs(low) * 10, 1000.0)
        if answer.usual is not None and chance.random() < 0.8:
            low, high = answer.usual
        drawn = chance.uniform(low, high)
        if answer.kind == "count":
            return max(int(low), min(int(high), round(drawn)))
        return round(drawn, 4) if low <= round(drawn, 4) <= high else drawn
    if answer.kind == "choice":
        return chance.choice(answer.options).key
    if answer.kind == "flag":
        return chance.random() < 0.5
    if answer.kind == "series":
        cell = Answer(answer.name, "number", answer.label, answer.unit, low=answer.low, high=answer.high,
                      usual=answer.usual)  # fmt: skip
        return [value_for(cell, chance) for _ in answer.rows]
    if answer.kind == "table":
        count = chance.randint(0, min(4, answer.most_rows))
        return [[value_for(column, chance) for column in answer.columns] for _ in range(count)]
    return chance.choice(["Own heap", "wet straw", "mulch", "x"])


def answers_for(calculator: Calculator, chance: random.Random) -> dict[str, Any]:
    """A random subset of the calculator's answers with allowed values."""
    return {
        name: value_for(answer, chance)
        for name, answer in calculator.answers.items()
        if chance.random() < ODDS_OF_OWN
    }


DRAWN_IN_A_PLAN = 4


def plan_for(chance: random.Random) -> dict[str, Any]:
    """A plan in which a few of the calculators that are worked out at once have random answers: ``answers``, ``example``.

    So each calculator meets answers of its own, figures of random ones before it, or both; and a plan in which one of them
    can't be worked out still gives results of most others.
    """
    answers: dict[str, Any] = {}
    for key in chance.sample(sorted(catalogue.AT_ONCE), DRAWN_IN_A_PLAN):
        answers |= answers_for(catalogue.BY_KEY[key], chance)
    return {"answers": answers, "example": chance.choice([*EXAMPLES, None])}
