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
        elif answer.usual is None and isinstance(answer.default, (int, float)) and answer.default > 0 and chance.random() < 0.8:
            low, high = max(low, answer.default / 3), min(high, answer.default * 3)  # else most yards would be vast
        drawn = chance.uniform(low, high)
        if answer.kind == "count":
            return max(int(low), min(int(high), round(drawn)))
        drawn = float(f"{drawn:.9g}")  # as a link keeps it
        return round(drawn, 4) if low <= round(drawn, 4) <= high else min(high, max(low, drawn))
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
    if answer.kind == "log":
        return log_text(chance) if answer.name == "temperature_log" else turnings_text(chance)
    if answer.name == "log_batch":
        return chance.choice(["", "", "14", "15"])
    return chance.choice(["Own heap", "wet straw", "mulch", "x"])


def log_text(chance: random.Random) -> str:
    """A log as a yard may keep it: some columns, some gaps, some lines that can't be read; short enough for a link."""
    mark, probes = chance.choice([";", "\t", ","]), chance.randint(1, 3)
    date = chance.choice(["2026-05-{0:02d}", "{0}.5.2026", "{0:02d}/05/2026", "{0} May 2026"])
    batches, turned = chance.random() < 0.3, chance.random() < 0.7
    comma = mark != "," and chance.random() < 0.3
    head = ["date", "time", *["batch"] * batches, *(f"probe {place + 1} {30 + 15 * place} cm °C" for place in range(probes)), *["turned"] * turned]
    lines, warm = [mark.join(head)], chance.uniform(35, 68)
    for day in range(1, chance.randint(2, 26)):
        if chance.random() < 0.05:
            continue
        cells = [date.format(day), chance.choice(["08:00", "8:30", "09:15"]), *[chance.choice(["14", "15"])] * batches]
        for _ in range(probes):
            written = f"{warm + chance.uniform(-3, 4):.1f}".replace(".", "," if comma else ".")
            cells.append(chance.choice(["", "err", "612"]) if chance.random() < 0.03 else written)
        cells += [chance.choice(["", "", "yes", "x"])] * turned
        lines.append(mark.join(cells))
    if chance.random() < 0.3:
        body = lines[1:]
        chance.shuffle(body)
        lines[1:] = body
        lines.insert(chance.randint(1, len(lines)), chance.choice(["", "remark: rain", lines[-1], "40/40/2026;08:00;60"]))
    return "" if chance.random() < 0.05 else "\n".join(lines)[:1_900]


def turnings_text(chance: random.Random) -> str:
    """Turnings typed beside a log."""
    lines = [f"2026-05-{chance.randint(1, 28):02d} {chance.randint(7, 16)}:00{chance.choice(['', '; 14', '; turned'])}" for _ in range(chance.randint(0, 6))]
    return "\n".join(lines)


def answers_for(calculator: Calculator, chance: random.Random) -> dict[str, Any]:
    """A random subset of the calculator's answers with allowed values."""
    return {
        name: value_for(answer, chance)
        for name, answer in calculator.answers.items()
        if chance.random() < ODDS_OF_OWN
    }


def plan_for(chance: random.Random, turn: int = -1) -> dict[str, Any]:
    """A plan in which two of the calculators that are worked out at once have random answers: ``answers``, ``example``.

    With ``turn`` the first of them is the one whose turn it is. So each calculator meets answers of its own, figures of random
    ones before it, or both; and a plan in which one of them can't be worked out still gives results of most others.
    """
    keys = sorted(catalogue.AT_ONCE)
    drawn = {keys[turn % len(keys)] if turn >= 0 else chance.choice(keys), chance.choice(keys)}
    answers: dict[str, Any] = {}
    for key in sorted(drawn):
        answers |= answers_for(catalogue.BY_KEY[key], chance)
    return {"answers": answers, "example": chance.choice([*EXAMPLES, None])}
