"""Every calculator, in the order in which a yard is planned.

Adding one is: write its module under ``topics``, list it here, give it a page and its published cases.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache

from calculators.declare import Answer, Calculator
from calculators.topics import (
    arrivals,
    bays,
    climate,
    crew,
    field,
    hazards,
    heat,
    heat_stress,
    laboratory,
    machines,
    maturity,
    mix,
    money,
    product,
    quality,
    quantities,
    safety,
    shed,
    siting,
    temperatures,
    troubles,
    water,
    worms,
    year,
)

CALCULATORS: tuple[Calculator, ...] = (
    arrivals.CALCULATOR,
    mix.CALCULATOR,
    bays.CALCULATOR,
    worms.CALCULATOR,
    crew.CALCULATOR,
    shed.CALCULATOR,
    water.CALCULATOR,
    machines.CALCULATOR,
    siting.CALCULATOR,
    quantities.CALCULATOR,
    product.CALCULATOR,
    money.CALCULATOR,
    heat.CALCULATOR,
    year.CALCULATOR,
    temperatures.CALCULATOR,
    troubles.CALCULATOR,
    laboratory.CALCULATOR,
    maturity.CALCULATOR,
    quality.CALCULATOR,
    field.CALCULATOR,
    climate.CALCULATOR,
    safety.CALCULATOR,
    heat_stress.CALCULATOR,
    hazards.CALCULATOR,
)
BY_KEY: dict[str, Calculator] = {calculator.key: calculator for calculator in CALCULATORS}
AT_ONCE: frozenset[str] = frozenset(calculator.key for calculator in CALCULATORS if not calculator.on_request)
"""Those that are worked out whenever a plan is."""
ON_REQUEST: frozenset[str] = frozenset(calculator.key for calculator in CALCULATORS if calculator.on_request)
"""Keys of the calculators that are worked out only where they are asked for."""


def every_answer() -> Iterator[tuple[Calculator, Answer]]:
    """Each answer with its calculator, in order."""
    for calculator in CALCULATORS:
        for answer in calculator.answers.values():
            yield calculator, answer


_FIRST_ASKED: dict[str, Answer] = {}
for _, _answer in every_answer():
    _FIRST_ASKED.setdefault(_answer.name, _answer)


def _names() -> dict[str, str]:
    known: dict[str, str] = {}
    for _, answer in every_answer():
        known.setdefault(answer.name, answer.name)
        known.setdefault(answer.link_name, answer.name)
    return known


NAMES: dict[str, str] = _names()
"""Each answer's full name by every name it may be called: in full, or without the unit at its end."""


LINK_WORDS = ("plan", "from", "units", "name", "money", "guess")
"""What a link says beside answers; no answer may be called so."""


@cache
def needed_for(key: str) -> frozenset[str]:
    """A calculator and all that it follows, directly or through another.

    One on request is left out: what may be followed of it are its answers, which stand without it.
    """
    follows = {answer.follows for answer in BY_KEY[key].answers.values() if answer.follows} - ON_REQUEST
    return frozenset({key}.union(*(needed_for(each) for each in follows)))


def reading_order(names: Iterable[str]) -> list[str]:
    """Full names sorted so that a table which adds names to choices comes before the choices that may use them."""

    def uses_names(name: str) -> bool:
        answer = first_asked(name)
        return answer.options_from is not None or any(column.options_from for column in answer.columns)

    return sorted(names, key=uses_names)


def first_asked(name: str) -> Answer:
    """The answer of that name where it is asked first. Raises ``KeyError``."""
    return _FIRST_ASKED[name]


def faults() -> list[str]:
    """What is wrong with the catalogue: names that clash, an answer that follows what does not come before it."""
    found: list[str] = []
    given: dict[str, set[str]] = {}
    links: dict[str, str] = {}
    owner: dict[str, tuple[str, Answer]] = {}
    for calculator in CALCULATORS:
        for answer in calculator.answers.values():
            address = f"{calculator.key}.{answer.name}"
            if answer.follows is not None and answer.name not in given.get(answer.follows, set()):
                found.append(f"{address} follows {answer.follows}, which does not give it before")
            if answer.follows in ON_REQUEST and answer.name in BY_KEY[answer.follows or ""].results:
                found.append(f"{address} follows a result of {answer.follows}, which is worked out on request only")
            if answer.follows is None and answer.name in owner:
                found.append(f"{address} is also asked by {owner[answer.name][0]} and should follow it")
            if links.setdefault(answer.link_name, answer.name) != answer.name:
                found.append(f"{address} shares its link name with {links[answer.link_name]}")
            if {answer.name, answer.link_name} & set(LINK_WORDS):
                found.append(f"{address} has a name that means something else in links")
            owner.setdefault(answer.name, (calculator.key, answer))
            first = owner[answer.name][1]
            if (first.low, first.high, first.blank) != (answer.low, answer.high, answer.blank):
                found.append(f"{address} has other limits than in {owner[answer.name][0]}, where it is asked first")
            if owner[answer.name][1].unit != answer.unit:
                found.append(f"{address} is in {answer.unit}, elsewhere in {owner[answer.name][1].unit}")
        given[calculator.key] = set(calculator.answers) | set(calculator.results)
    outputs: dict[str, str] = {}
    for calculator in CALCULATORS:
        for name in calculator.results:
            if name in outputs:
                found.append(f"{calculator.key}.{name} is also given by {outputs[name]}")
            outputs[name] = calculator.key
            if name in calculator.answers:
                found.append(f"{calculator.key}.{name} is asked and given by the same calculator")
    return found
