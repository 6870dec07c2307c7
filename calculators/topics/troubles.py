"""Troubles: from what is seen, smelt and measured to causes in order, and what to do today.

The rule is simple and shown: a cause scores one for each ticked sign that it explains and for each figure that speaks for
it, and loses one for each sign and figure that speaks against it. Causes that explain no ticked sign are not listed. Equal
scores stand in the order of the reference table: what can hurt comes first, then what is commonest. One thing is not left to
scores: where there is smoke, a smell of burning or a reading above 85 °C, fire stands first.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from calculators.declare import (
    Calculator,
    Column,
    RaisedCaution,
    Say,
    choice,
    count,
    flag,
    number,
    output_count,
    output_table,
    output_text,
    own_choice,
)  # fmt: skip
from calculators.reference import cited, rows_of
from calculators.working import Working

SIGNS = {row["key"]: row for row in rows_of("troubles", "signs")}
FIGURES = {row["key"]: row for row in rows_of("troubles", "figures")}
CAUSES = rows_of("troubles", "causes")
SQUEEZES = {"drips": "it drips", "right": "a few drops at most, and it holds together", "crumbles": "it crumbles"}
LATE = 2.0
"""A turning is late after this many planned intervals: chosen here."""
NOT_SEEN = own_choice("not there until you say so")
MEASURED = ("heap_squeeze", "trouble_heap_c", "days_since_turning", "heap_age_days", "outside_now_c")
"""Answers that a user may measure now; the others come from the plan."""


def _sign(key: str) -> bool:
    return flag(SIGNS[key]["label"], False, group=SIGNS[key]["group"], help=SIGNS[key]["help"], source=NOT_SEEN)  # type: ignore[no-any-return]


@dataclass(frozen=True)
class Inputs:
    """What is seen and smelt, what was measured, and what the plan has."""

    smell_burnt: bool = _sign("smell_burnt")
    smell_ammonia: bool = _sign("smell_ammonia")
    smell_eggs: bool = _sign("smell_eggs")
    smell_sour: bool = _sign("smell_sour")
    smell_rotting: bool = _sign("smell_rotting")
    smell_mould: bool = _sign("smell_mould")
    never_warm: bool = _sign("never_warm")
    cooled_soon: bool = _sign("cooled_soon")
    very_hot: bool = _sign("very_hot")
    uneven_heat: bool = _sign("uneven_heat")
    warms_again: bool = _sign("warms_again")
    drips: bool = _sign("drips")
    puddles: bool = _sign("puddles")
    matted: bool = _sign("matted")
    grey_dry: bool = _sign("grey_dry")
    packed: bool = _sign("packed")
    lumps: bool = _sign("lumps")
    maggots: bool = _sign("maggots")
    rats: bool = _sign("rats")
    ants: bool = _sign("ants")
    bag_warms: bool = _sign("bag_warms")
    weeds: bool = _sign("weeds")
    seedlings_fail: bool = _sign("seedlings_fail")
    heap_squeeze: str | None = choice(
        "A handful from the heart, squeezed", SQUEEZES, None, blank=True, group="Measured today", help="With a glove."
    )
    trouble_heap_c: float | None = number(
        "Temperature deep inside", "°C", None, low=-30, high=150, usual=(0, 80), blank=True, group="Measured today", help="The hottest place."
    )
    days_since_turning: int | None = count(
        "Days since it was turned", "d", None, low=0, high=400, usual=(0, 30), blank=True, group="Measured today", help="From the log."
    )
    heap_age_days: int | None = count(
        "Days since it was built", "d", None, low=0, high=1500, usual=(0, 150), blank=True, group="Measured today", help="From the log."
    )
    outside_now_c: float | None = number(
        "Air outside", "°C", None, low=-40, high=55, usual=(-10, 45), blank=True, group="Measured today", help="Mean of these days."
    )
    mix_moisture_percent: float = number(
        "Moisture of the mix", "percent", 60.0, low=1, high=98, follows="mix", group="From the plan", help="As built."
    )
    mix_carbon_to_nitrogen: float = number(
        "C:N of the mix", "1", 28.0, low=1, high=2_000, follows="mix", group="From the plan", help="As built."
    )
    mix_free_air_space_percent: float = number(
        "Free air space of the mix", "percent", 60.0, low=-1_000, high=100, follows="mix", group="From the plan", help="As built."
    )
    heap_height_m: float = number(
        "Height of a heap", "m", 0.9, low=0.3, high=1.8, follows="bays", group="From the plan", help="When just built."
    )
    turning_interval_days: float = number(
        "Days between turnings", "d", 3.5, low=1, high=60, follows="bays", group="From the plan", help="As planned."
    )
    first_stage_days: int = count(
        "Days in the first stage", "d", 45, low=7, high=180, follows="bays", group="From the plan", help="As planned."
    )
    curing_days: int = count("Days of curing", "d", 45, low=0, high=365, follows="bays", group="From the plan", help="As planned.")


@dataclass(frozen=True)
class Outputs:
    """The likeliest cause, what to do today, what tells it apart, and all causes in order."""

    likeliest_cause: str = output_text("Likeliest cause")
    do_today: str = output_text("Do today")
    tell_apart: str = output_text("What tells it apart from the next", key_figure=True)
    then_do: str = output_text("So that it does not come back")
    not_explained: str = output_text("Signs that it does not explain")
    signs_seen: int = output_count("Signs seen", "each")
    causes: tuple[tuple[object, ...], ...] = output_table(
        "Causes, the likeliest first",
        (Column("cause", "Cause"), Column("score", "Score", "1"), Column("speaks_for", "Speaks for it"), Column("speaks_against", "Speaks against it"),
         Column("today", "Do today"), Column("status", "How known")),
    )  # fmt: skip


# ---- the rule -------------------------------------------------------------------------------------------------


def says(row: Mapping[str, Any], inputs: Inputs) -> bool:
    """Whether a figure says what its row says; what is not given says nothing."""
    value, side = getattr(inputs, row["answer"]), row["side"]
    if value is None:
        return False
    if side == "is":
        return bool(value == row["value"])
    if side == "late":
        return bool(value > LATE * inputs.turning_interval_days)
    if side == "lately":
        return bool(value <= inputs.turning_interval_days)
    if side == "first stage over":
        return bool(value >= inputs.first_stage_days)
    if side == "curing over":
        return bool(value >= inputs.first_stage_days + inputs.curing_days)
    return bool({"above": value > row["value"], "at least": value >= row["value"], "below": value < row["value"],
                 "at most": value <= row["value"]}[side])  # fmt: skip


@dataclass(frozen=True)
class Judged:
    """A cause with what speaks for and against it."""

    cause: Mapping[str, Any]
    explained: tuple[str, ...]
    contradicted: tuple[str, ...]
    figures_for: tuple[str, ...]
    figures_against: tuple[str, ...]
    pressing: bool

    @property
    def score(self) -> int:
        """One for each sign explained and figure for it, less one for each sign and figure against it."""
        return len(self.explained) + len(self.figures_for) - len(self.contradicted) - len(self.figures_against)


def judge(seen: Iterable[str], said: Iterable[str]) -> list[Judged]:
    """Every cause that explains a sign seen: a pressing one first, then by score; ``said`` are the figures that say something."""
    seen, said = set(seen), set(said)
    found = [
        Judged(
            row,
            tuple(key for key in row["explains"] if key in seen),
            tuple(key for key in row["contradicts"] if key in seen),
            tuple(key for key in row["speaks_for"] if key in said),
            tuple(key for key in row["speaks_against"] if key in said),
            any(key in seen or key in said for key in row["first_if"]),
        )
        for row in CAUSES
    ]
    listed = (each for each in found if each.explained or each.pressing)
    return sorted(listed, key=lambda each: (not each.pressing, -each.score))  # equal ones stay in the table's order


def telling(first: Judged, second: Judged, inputs: Inputs) -> list[str]:
    """What to measure, not measured yet, on which the two causes differ; in the order of the reference table."""
    found = []
    for key, row in FIGURES.items():
        if row["answer"] not in MEASURED or getattr(inputs, row["answer"]) is not None:
            continue
        sides = [(key in each.cause["speaks_for"]) - (key in each.cause["speaks_against"]) for each in (first, second)]
        if sides[0] != sides[1] and row["ask"] not in found:
            found.append(row["ask"])
    return found


# ---- solving --------------------------------------------------------------------------------------------------

NOTHING = "nothing to do: no sign is ticked"


def _words(keys: Iterable[str], rows: Mapping[str, Mapping[str, Any]], word: str) -> list[str]:
    return [rows[key][word] for key in keys]


def _found(inputs: Inputs) -> tuple[list[str], list[Judged]]:
    seen = [key for key in SIGNS if getattr(inputs, key)]
    return seen, judge(seen, (key for key, row in FIGURES.items() if says(row, inputs)))


def solve(inputs: Inputs, working: Working) -> Outputs:
    """All causes by the rule. Nothing here is arithmetic but the count."""
    found: Outputs = working.untraced(_solve, inputs)
    for row in found.causes:
        working.note(f"Score of: {row[0]}", row[1], note=f"For: {row[2]}. Against: {row[3]}.")  # type: ignore[arg-type]
    return found


def _solve(inputs: Inputs) -> Outputs:
    seen, judged = _found(inputs)
    if not judged:
        return Outputs("none: no sign is ticked", NOTHING, "tick what you see and smell", NOTHING, "none", 0, ())
    first = judged[0]
    left = _words((key for key in seen if key not in first.explained), SIGNS, "label")
    return Outputs(
        likeliest_cause=first.cause["name"],
        do_today=first.cause["today"],
        tell_apart=_tell_apart(judged, inputs),
        then_do=first.cause["then"],
        not_explained="; ".join(left) if left else "none",
        signs_seen=len(seen),
        causes=tuple(_row(each) for each in judged),
    )


def _row(each: Judged) -> tuple[object, ...]:
    speaks_for = _words(each.explained, SIGNS, "label") + _words(each.figures_for, FIGURES, "words")
    against = _words(each.contradicted, SIGNS, "label") + _words(each.figures_against, FIGURES, "words")
    return (each.cause["name"], float(each.score), "; ".join(speaks_for), "; ".join(against) or "nothing", each.cause["today"],
            each.cause["status"])  # fmt: skip


def _tell_apart(judged: list[Judged], inputs: Inputs) -> str:
    if judged[0].pressing:
        return f"nothing: do not wait to be sure. {judged[0].cause['check']}"
    if len(judged) == 1:
        return f"no other cause explains these signs; to be sure: {judged[0].cause['check']}"
    first, second = judged[0], judged[1]
    measures = telling(first, second, inputs)
    if not measures:
        return f"{first.cause['check']} Against ‘{second.cause['name']}’: {second.cause['check']}"
    return f"{', '.join(measures)}: that tells ‘{first.cause['name']}’ from ‘{second.cause['name']}’"


# ---- words ----------------------------------------------------------------------------------------------------


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    if not outputs.causes:
        return "Tick what you see and smell; the likeliest cause and what to do today then stand here."
    return f"Likeliest cause: {outputs.likeliest_cause.lower()}. {outputs.do_today}"


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about this result."""
    found = []
    scores = [row[1] for row in outputs.causes]
    pressing = any(each.pressing for each in _found(inputs)[1])
    if len(scores) > 1 and scores[0] == scores[1] and not pressing:
        alike = [str(row[0]).lower() for row in outputs.causes if row[1] == scores[0]]
        found.append(f"These score alike: {', '.join(alike)}. Measure before you move much.")
    if scores and float(scores[0]) <= 0 and not pressing:  # type: ignore[arg-type]
        found.append("As much speaks against even the first cause as for it: look again, and measure.")
    blank = [name for name in MEASURED if getattr(inputs, name) is None]
    if scores and len(blank) == len(MEASURED):
        found.append("Nothing is measured yet. A squeezed handful and a thermometer settle most questions in five minutes.")
    if scores:
        found.append("Score: one for each sign explained and each figure for it, less one for each against it. Equal scores stand with what can "
                     "hurt first, then with what is commonest. Fire stands first where there is smoke.")  # fmt: skip
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """The cautions of the causes listed; those of a heap that may burn are pressing."""
    _, judged = _found(inputs)
    found = []
    for each in judged:
        for key in each.cause["cautions"]:
            found.append(RaisedCaution(key, f"Belongs to: {each.cause['name'].lower()}.", urgent=each.pressing))
    return found


CALCULATOR = Calculator(
    key="troubles", title="Troubles", question="What is wrong with this heap, and what to do today?", inputs=Inputs, outputs=Outputs, solve=solve,
    sentence=sentence, notices=notices, cautions=cautions, step="Run the yard",
    sources=tuple({(row["source"], row["status"]): cited(row["source"], row["status"], "") for row in (*CAUSES, *FIGURES.values())}.values()),
)  # fmt: skip
