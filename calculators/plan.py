"""One yard: a set of answers, every calculator evaluated on it in order, an output of one followed by the next.

An answer comes from, in this order: the user's own (or a first guess made for them); the example the plan starts from;
the output (or answer) of an earlier calculator that it follows; its default. A result says which, for every answer.
"""

from __future__ import annotations

import difflib
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property
from importlib import resources
from types import MappingProxyType
from typing import Any, Literal
from urllib.parse import quote

from calculators import catalogue
from calculators.cautions import ShownCaution, gather
from calculators.declare import Answer, Calculator, CannotSolve, Chart, RaisedCaution
from calculators.entries import Problem, Refused, in_link, limits_in_words, names_added, read, shorten, too_long_for_link
from calculators.known import Memory, known
from calculators.sheet import Drawing
from calculators.units import System, show
from calculators.working import Step, Unshown, Working

Origin = Literal["yours", "guess", "example", "followed", "default"]
OWN: tuple[Origin, ...] = ("yours", "guess")
"""Origins of what the plan itself holds."""
SYSTEMS = ("metric", "feet and pounds")
EXAMPLES = ("larkhollow", "pennywhistle")
DEFAULT_EXAMPLE = "larkhollow"
NOT_ASKED = "Worked out on its own page, since it takes a moment."


@dataclass(frozen=True)
class Standing:
    """How an answer stands in a plan: its value, where it came from, and what it would be if not the user's own."""

    answer: Answer
    value: Any
    origin: Origin
    otherwise: Any
    otherwise_origin: Origin


@dataclass(frozen=True)
class Result:
    """What a calculator gave for a plan.

    ``inputs`` and ``outputs`` are plain. The working is made when it is first asked for, by a second run on numbers that
    remember: ``steps`` to be shown, and for a spreadsheet ``knowing``, the outputs with numbers that know how they came
    about, and ``memory``, what it all depended on.
    """

    calculator: Calculator
    standings: Mapping[str, Standing]
    inputs: Any
    outputs: Any
    sentence: str
    notices: tuple[str, ...]
    raised: tuple[RaisedCaution, ...]
    charts: tuple[Chart, ...]
    yard: str
    system: System

    @cached_property
    def _remembered(self) -> tuple[Any, Working]:
        working = Working()
        return self.calculator.solve(_knowing(self.calculator, self.standings, working.memory), working), working

    @property
    def knowing(self) -> Any:
        """The outputs, with numbers that know how they came about."""
        return self._remembered[0]

    @property
    def memory(self) -> Memory:
        """What the calculation depended on."""
        return self._remembered[1].memory

    @property
    def steps(self) -> tuple[Step, ...]:
        """The working, in order."""
        return tuple(self._remembered[1].steps)

    @cached_property
    def drawings(self) -> tuple[Drawing, ...]:
        """The drawings of this result with the yard's name on them; made when they are first asked for."""

        def say(value: float, unit: str, digits: int = 3) -> str:
            return show(value, unit, self.system, digits)

        return tuple(replace(made, yard=self.yard) for made in self.calculator.drawings(self.inputs, self.outputs, say))

    @property
    def cautions(self) -> tuple[ShownCaution, ...]:
        """The cautions that belong to this result, with their text."""
        return gather((self.calculator.key, caution) for caution in self.raised)


@dataclass(frozen=True)
class Stopped:
    """Why a calculator gave no result: problems of its own answers, no solution, or one before it stopped."""

    calculator: Calculator
    standings: Mapping[str, Standing]
    message: str
    names: tuple[str, ...] = ()


@dataclass(frozen=True)
class NotAsked(Stopped):
    """A calculator that takes long and was not asked for; its answers stand, and nothing is wrong with them."""


@dataclass(frozen=True)
class Evaluated:
    """A plan with everything computed from it, and what of it was not asked for."""

    plan: Plan
    results: Mapping[str, Result]
    stopped: Mapping[str, Stopped]
    not_asked: Mapping[str, NotAsked]
    problems: tuple[Problem, ...]

    def step(self, key: str) -> Result | Stopped:
        """What a calculator gave, or why it gave nothing."""
        return self.results.get(key) or self.stopped.get(key) or self.not_asked[key]

    @property
    def steps(self) -> tuple[Result | Stopped, ...]:
        """Every calculator's result, then those that gave none."""
        return (*self.results.values(), *self.stopped.values(), *self.not_asked.values())

    @property
    def cautions(self) -> tuple[ShownCaution, ...]:
        """Every caution of the yard, each once."""
        return gather(
            (key, caution) for key, result in self.results.items() for caution in result.raised
        )

    @property
    def fragment(self) -> str:
        """The plan as the part of a link after ``#``: the user's own answers that are good, in declared units.

        What ``not_in_link`` names is left out.
        """
        parts = []
        if self.plan.example != DEFAULT_EXAMPLE:
            parts.append(f"from={self.plan.example or 'nothing'}")
        if self.plan.system != "metric":
            parts.append("units=feet")
        parts += [f"{word}={quote(value, safe='')}" for word in ("name", "money") if (value := getattr(self.plan, word))]
        if guessed := self.guessed:
            parts.append("guess=" + ",".join(catalogue.first_asked(name).link_name for name in guessed))
        for name, value in self.own.items():
            answer = catalogue.first_asked(name)
            if too_long_for_link(answer, value):
                continue
            parts.append(f"{answer.link_name}={quote(in_link(answer, value), safe=';:.,-+')}")
        return "&".join(parts)

    @property
    def not_in_link(self) -> list[str]:
        """Labels of the plan's own answers that are too long for a link: they stay on the device and in the plan file."""
        return [answer.label for name, value in self.own.items()
                if too_long_for_link(answer := catalogue.first_asked(name), value)]  # fmt: skip

    @property
    def guessed(self) -> list[str]:
        """The names of the plan's own answers that are first guesses."""
        return [name for name in self.own if name in self.plan.guessed]

    @property
    def own(self) -> dict[str, Any]:
        """The user's own answers that are good, as values in declared units, in catalogue order."""
        found: dict[str, Any] = {}
        for part in self.steps:
            for name, standing in part.standings.items():
                if standing.origin in OWN:
                    found.setdefault(name, standing.value)
        return {answer.name: found[answer.name] for _, answer in catalogue.every_answer() if answer.name in found}


class UnknownExample(ValueError):
    """There is no example of that name."""


@cache
def example(name: str) -> Mapping[str, Any]:
    """An example yard as its plan file holds it: ``name``, ``about`` and ``answers``."""
    if name not in EXAMPLES:
        raise UnknownExample(f"There is no example named ‘{name}’. Known: {', '.join(EXAMPLES)}.")
    text = resources.files("calculators").joinpath("examples", f"{name}.json").read_text("utf-8")
    return json.loads(text)


@dataclass(frozen=True)
class Plan:
    """The answers of a yard, as entered: raw text, numbers or lists, by name (in full or as in links).

    ``system`` is the unit system in which results are shown; ``entered_in`` the one meant by a number that was
    entered without a unit (in "metric" that is the declared unit of the answer). ``name`` is the yard's own, ``money``
    what a unit of money is called, ``about`` a note; all three are free text. ``guessed`` names the answers that stand in
    the plan as a first guess only; ``refused`` says what of the file or link that it came from could not be used.
    """

    answers: Mapping[str, Any]
    example: str | None = DEFAULT_EXAMPLE
    system: str = "metric"
    entered_in: str = "metric"
    name: str = ""
    money: str = ""
    about: str = ""
    guessed: tuple[str, ...] = ()
    refused: tuple[Problem, ...] = ()

    @property
    def shown(self) -> System:
        """How figures of this plan are shown."""
        return System(self.system, self.money)

    @property
    def title(self) -> str:
        """The yard's own name, else that of the example it starts from."""
        return self.name or (example(self.example)["name"] if self.example else "A yard of defaults")

    def evaluate(self, also: frozenset[str] = frozenset(), only: str | Iterable[str] | None = None) -> Evaluated:
        """Read every answer and run every calculator, those on request where ``also`` names them.

        With ``only`` none but the ones named and those that they need; the answers of all others stand nevertheless.
        Never raises for anything a user entered.
        """
        if only is None or only == "":
            asked = also | catalogue.AT_ONCE
        else:
            asked = also.union(*map(catalogue.needed_for, [only] if isinstance(only, str) else only))
        problems = list(self.refused)
        own, spoilt = _read_all(self.answers, self.entered_in, problems)
        based = _example_values(self.example) if self.example else {}
        results: dict[str, Result] = {}
        stopped: dict[str, Stopped] = {}
        not_asked: dict[str, NotAsked] = {}

        def say(value: float, unit: str, digits: int = 3) -> str:
            return show(value, unit, self.shown, digits)

        for calculator in catalogue.CALCULATORS:
            standings, waiting = _standings(calculator, own, based, results, stopped | not_asked, self.guessed)
            hindered = spoilt & standings.keys() or stopped.keys() & set(waiting)
            if calculator.key not in asked and not hindered:
                not_asked[calculator.key] = NotAsked(calculator, standings, NOT_ASKED)
                continue
            message = _why_not(calculator, standings, spoilt, waiting, problems, self.shown)
            if message:
                stopped[calculator.key] = Stopped(calculator, standings, message)
                continue
            result = _kept(calculator, standings, self.title, self.shown)
            if result is None:
                inputs = calculator.inputs(**{name: standing.value for name, standing in standings.items()})
                try:
                    outputs = calculator.solve(inputs, Unshown())
                except CannotSolve as error:
                    stopped[calculator.key] = Stopped(calculator, standings, error.message, error.names)
                    continue
                result = Result(
                    calculator,
                    standings,
                    inputs,
                    outputs,
                    calculator.sentence(inputs, outputs, say),
                    (*_unusual(standings, self.shown), *calculator.notices(inputs, outputs, say)),
                    tuple(calculator.cautions(inputs, outputs, say)),
                    tuple(calculator.charts(inputs, outputs)),
                    self.title,
                    self.shown,
                )
                _KEPT[calculator.key] = [result, *_KEPT.get(calculator.key, [])][:RESULTS_KEPT]
            results[calculator.key] = result
        return Evaluated(self, results, stopped, not_asked, tuple(problems))


RESULTS_KEPT = 3
"""Of each calculator, so that a change works out again only what follows it, also between two yards side by side."""
_KEPT: dict[str, list[Result]] = {}


def _kept(calculator: Calculator, standings: Mapping[str, Standing], yard: str, system: System) -> Result | None:
    """An earlier result of the very same answers, if it is still there: with its working and drawings, where these were made."""
    for result in _KEPT.get(calculator.key, ()):
        if result.yard == yard and result.system == system and result.standings == standings:
            return result
    return None


def _knowing(calculator: Calculator, standings: Mapping[str, Standing], memory: Memory) -> Any:
    """The inputs with numbers and series that know the answer they come from; what a table holds does not."""
    return calculator.inputs(**{
        name: standing.value if standing.answer.kind == "table" else known(standing.value, f"answer:{name}", memory)
        for name, standing in standings.items()
    })  # fmt: skip


@cache
def _example_values(name: str) -> Mapping[str, Any]:
    """The answers of an example as values: read once, not at every change of an answer."""
    return MappingProxyType(_read_all(example(name)["answers"], "metric", [])[0])


def read_each(named: Mapping[str, Any], system: str) -> Iterator[tuple[Answer, Any, Refused | None]]:
    """Each answer of full name with its value, or with why it was refused; tables that add names to choices first."""
    extra: dict[str, list[str]] = {}
    for name in catalogue.reading_order(named):
        answer = catalogue.first_asked(name)
        try:
            value = read(answer, named[name], system, extra)
        except Refused as refused:
            yield answer, None, refused
            continue
        added = names_added(answer, value)
        if added is not None:
            extra[name] = added
        yield answer, value, None


def _read_all(
    answers: Mapping[str, Any], system: str, problems: list[Problem]
) -> tuple[dict[str, Any], set[str]]:
    """Values of the good answers, and the names of the spoilt ones, whose problems are added to ``problems``."""
    named: dict[str, Any] = {}
    for given, raw in answers.items():
        name = catalogue.NAMES.get(given)
        if name is None:
            near = difflib.get_close_matches(str(given), list(catalogue.NAMES), 1, 0.6)
            hint = f" Did you mean ‘{near[0]}’?" if near else ""
            words = str(given)[:40]
            problems.append(Problem(words, words, shorten(raw), f"There is no answer named ‘{words}’.{hint}"))
        else:
            named[name] = raw
    good: dict[str, Any] = {}
    spoilt: set[str] = set()
    for answer, value, refused in read_each(named, system):
        if refused is None:
            good[answer.name] = value
        else:
            problems.extend(refused.problems)
            spoilt.add(answer.name)
    return good, spoilt


def _standings(
    calculator: Calculator,
    own: Mapping[str, Any],
    based: Mapping[str, Any],
    results: Mapping[str, Result],
    without: Mapping[str, Stopped],
    guessed: Sequence[str],
) -> tuple[dict[str, Standing], list[str]]:
    """How every answer of a calculator stands, and the earlier calculators that it waits for."""
    standings: dict[str, Standing] = {}
    waiting: list[str] = []
    for name, answer in calculator.answers.items():
        otherwise: Any = answer.default
        otherwise_origin: Origin = "default"
        if name in based:
            otherwise, otherwise_origin = based[name], "example"
        elif answer.follows is not None:
            upstream = results.get(answer.follows)
            if upstream is not None:
                otherwise, otherwise_origin = _given(upstream, name), "followed"
                if answer.kind == "series":
                    otherwise = tuple(otherwise)
            else:
                at_rest = without[answer.follows].standings.get(name)
                if at_rest is not None:
                    otherwise, otherwise_origin = at_rest.value, "followed"
                elif name not in own:
                    waiting.append(answer.follows)
        if name in own:
            origin: Origin = "guess" if name in guessed else "yours"
            standings[name] = Standing(answer, own[name], origin, otherwise, otherwise_origin)
        else:
            standings[name] = Standing(answer, otherwise, otherwise_origin, otherwise, otherwise_origin)
    return standings, waiting


def _given(result: Result, name: str) -> Any:
    return getattr(result.outputs, name) if name in result.calculator.results else result.standings[name].value


def _why_not(
    calculator: Calculator,
    standings: Mapping[str, Standing],
    spoilt: set[str],
    waiting: list[str],
    problems: list[Problem],
    system: str,
) -> str:
    """Why the calculator can't run yet, in a sentence; '' when it can. Adds problems of followed values."""
    bad = [standing.answer.label for name, standing in standings.items() if name in spoilt]
    if bad:
        return "No result until this is put right: " + "; ".join(bad) + "."
    if waiting:
        titles = [catalogue.BY_KEY[key].title for key in dict.fromkeys(waiting)]
        return "No result until there is one from: " + ", ".join(titles) + "."
    for standing in standings.values():
        message = _outside(standing, system)
        if message:
            problems.append(Problem(standing.answer.name, standing.answer.label, str(standing.value), message))
            return message
    return ""


def _outside(standing: Standing, system: str) -> str:
    """A followed figure may lie beyond what a calculator takes; then it says so, as for a typed one."""
    answer = standing.answer
    if standing.origin != "followed" or answer.kind not in ("number", "count") or standing.value is None:
        return ""
    low = answer.low is not None and standing.value < answer.low
    high = answer.high is not None and standing.value > answer.high
    if not (low or high):
        return ""
    return (
        f"{answer.label} must be {limits_in_words(answer, system)}; "
        f"{catalogue.BY_KEY[answer.follows or ''].title} gives {show(standing.value, answer.unit, system)}."
    )


def _unusual(standings: Mapping[str, Standing], system: str) -> list[str]:
    found = []
    for standing in standings.values():
        answer = standing.answer
        if answer.usual is None or standing.value is None or answer.kind not in ("number", "count"):
            continue
        low, high = answer.usual
        if not low <= standing.value <= high:
            found.append(
                f"{answer.label}: {show(standing.value, answer.unit, system)} is unusual; most yards lie between "
                f"{show(low, answer.unit, system)} and {show(high, answer.unit, system)}. Check it."
            )
    return found
