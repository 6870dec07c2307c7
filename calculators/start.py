"""A first rough plan from a few questions: what anyone can answer standing on the plot.

What the questions can't tell is guessed from the example ward in proportion to its homes. Such answers stand in the plan
as first guesses, never as measured.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from calculators import catalogue
from calculators.declare import Answer, declared, flag, own_choice
from calculators.entries import Problem, Refused, read
from calculators.plan import DEFAULT_EXAMPLE, Plan, example

GUESSED_FROM = DEFAULT_EXAMPLE
"""The example whose market and leaves are scaled to the homes of the new yard."""


@dataclass(frozen=True)
class _Asked:
    """The questions that the catalogue does not ask in this form."""

    market: bool = flag(
        "Does a produce market bring its waste too?", False, source=own_choice("no market until one asks"),
        help="Yes puts in two market days a week, as large for each home as the example ward's, until you weigh one.",
    )  # fmt: skip
    leaves: bool = flag(
        "Are there parks or streets whose dry leaves you can have?", True, source=own_choice("most wards have some"),
        help="Yes puts in leaves from November to February, as many for each home as in the example ward, until you weigh them.",
    )  # fmt: skip

MAIN_STEPS = ("arrivals", "mix", "bays", "crew")
"""The calculators that a first look is about."""


def questions() -> dict[str, Answer]:
    """The questions by name, in order. Those of the catalogue are the catalogue's own."""
    asked = declared(_Asked)
    return {
        "homes": replace(catalogue.first_asked("homes"), group=""),
        "market": asked["market"],
        "leaves": asked["leaves"],
        "plot_length_m": replace(catalogue.first_asked("plot_length_m"), help="Leave both empty if there is no plot yet."),
        "plot_width_m": replace(catalogue.first_asked("plot_width_m"), help=""),
    }


def _scaled(name: str, homes: int) -> list[float]:
    """A series of the example in proportion to the homes, to two figures: more would pretend to knowledge."""
    answers = example(GUESSED_FROM)["answers"]
    return [float(f"{item * homes / answers['homes']:.2g}") for item in answers[name]]


def first_plan(raw: Mapping[str, Any], system: str = "metric", name: str = "", money: str = "") -> Plan:
    """The rough plan from raw answers to ``questions``. Raises ``Refused`` with every problem of these answers."""
    problems: list[Problem] = []
    given: dict[str, Any] = {}
    for key, answer in questions().items():
        try:
            given[key] = read(answer, raw.get(key, answer.default), system)
        except Refused as refused:
            problems += refused.problems
    if problems:
        raise Refused(problems)
    answers: dict[str, Any] = {"homes": given["homes"]}
    guessed = []
    for asked, series in (("market", "market_kg_by_weekday"), ("leaves", "leaves_kg_by_month")):
        if given[asked]:
            answers[series] = _scaled(series, given["homes"])
            guessed.append(series)
    for key in ("plot_length_m", "plot_width_m"):
        if given[key] is not None:
            answers[key] = given[key]
    return Plan(answers, None, system, "metric", name=name, money=money, guessed=tuple(guessed))
