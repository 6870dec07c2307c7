"""A workshop: questions that any calculator can answer, a guess held against the answer, and exercise sheets.

A trainer picks outputs, presets some answers and keeps others back. Everyone commits a guess before the answer shows.
Exercise sheets put other numbers into the same questions, copy by copy, from a seed; their key is the same computation.

A workshop travels in a link that can be written by hand:

    title=Bays&from=larkhollow&ask=bays.bays_total&homes=900&hide=first_stage_days&vary=homes&say=How many bays?

What stands before the first ``ask`` belongs to every question; each ``ask`` begins one.
"""

from __future__ import annotations

import difflib
import math
import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any
from urllib.parse import quote

from calculators import catalogue
from calculators.declare import Answer, Output
from calculators.entries import LONGEST_LINK, Problem, in_link, link_pieces, shorten
from calculators.plan import DEFAULT_EXAMPLE, EXAMPLES, Evaluated, Plan, Result, Standing, Stopped, read_each
from calculators.units import EntryError, display_unit, parse_quantity, show, unit
from calculators.working import Step

MOST_QUESTIONS = 30
MOST_COPIES = 60
MOST_EXERCISES = 600
"""Questions times copies: each is a whole plan to compute, and a page must not stand still for minutes."""
LARGEST_SEED = 999_999_999
LONGEST_TITLE = 120
LONGEST_WORDS = 400
LONGEST_GUESS = 200
SPREAD = (0.6, 1.5)
"""Least and most of a varied answer, as shares of its set value. Chosen here: wide enough that copying a neighbour's
figure shows, near enough that the sentence of the question still fits."""
DRAWS = 12
"""How often numbers are drawn again for one copy before its exercise says that it found none. Chosen here."""
NEAR = 0.05
"""A guess this close, as a share of the answer, counts as close. Chosen here, as are the bands of words below."""
FACTORS = (1 / 12, 1.95)
"""Below the first and from the second on, guess over answer is told as a factor and not as a share."""
FRACTIONS = ((0.1, "a tenth"), (0.2, "a fifth"), (0.25, "a quarter"), (1 / 3, "a third"), (0.5, "half"),
             (2 / 3, "two thirds"), (0.75, "three quarters"), (0.9, "nine tenths"))  # fmt: skip
RESERVED = ("title", "from", "ask", "hide", "vary", "say")
NOTHING = "nothing"
_ASKABLE = ("number", "count", "text")

Pieces = Sequence[tuple[str, str]]


@dataclass(frozen=True)
class Question:
    """One question of a workshop.

    ``asks`` is the address of an output ('bays.bays_total'). ``given`` holds raw answers by full name, as typed, with
    units if wished. ``hidden`` answers count but are not told before the answer; ``varied`` ones differ from copy to
    copy of an exercise sheet. Names stand in catalogue order. ``words`` is the trainer's own sentence, or ''.
    """

    asks: str
    given: tuple[tuple[str, str], ...] = ()
    hidden: tuple[str, ...] = ()
    varied: tuple[str, ...] = ()
    example: str | None = DEFAULT_EXAMPLE
    words: str = ""

    @property
    def key(self) -> str:
        """The calculator that answers."""
        return self.asks.partition(".")[0]

    @property
    def output(self) -> Output:
        """The declaration of what is asked."""
        return catalogue.BY_KEY[self.key].results[self.asks.partition(".")[2]]


@dataclass(frozen=True)
class Workshop:
    """Questions under a title, and what could not be read of them."""

    title: str
    questions: tuple[Question, ...]
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True)
class Told:
    """An answer that a question rests on: its value in the declared unit, and whether participants are told it."""

    answer: Answer
    value: Any
    hidden: bool


@dataclass(frozen=True)
class Answered:
    """What the calculator says to a question. ``value`` is in the output's unit; where it is None, ``why`` says why.

    ``steps`` is the working up to the step that gives the value; where ``direct`` is False no single step does, and
    they are all of the calculator's.
    """

    question: Question
    evaluated: Evaluated
    result: Result | Stopped
    value: Any
    steps: tuple[Step, ...]
    direct: bool = False
    why: str = ""

    @property
    def unit(self) -> str:
        """The key of the unit of ``value``."""
        return self.question.output.unit


@dataclass(frozen=True)
class Judged:
    """A guess held against the answer, in the output's unit; ``message`` says what is wrong with a guess that is none.

    ``ratio`` is guess over answer; None where it says nothing (words, an answer of zero, opposite signs).
    """

    guess: float | None
    difference: float | None
    ratio: float | None
    sentence: str
    message: str = ""


@dataclass(frozen=True)
class Exercise:
    """A question of one copy, with that copy's numbers in ``answered.question``; ``remark`` is for the key only."""

    answered: Answered
    remark: str = ""


@dataclass(frozen=True)
class Copy:
    """One copy of an exercise sheet."""

    number: int
    seed: int
    exercises: tuple[Exercise, ...]


# ---- reading --------------------------------------------------------------------------------------------------


def _problem(name: str, entered: Any, message: str, number: int = 0) -> Problem:
    """``number`` is the question's, from 1; 0 for what all share."""
    where = f"Question {number}: " if number else ""
    return Problem(shorten(name), shorten(name), shorten(entered), where + message, str(number) if number else "")


def _hint(name: str, known: Sequence[str]) -> str:
    near = difflib.get_close_matches(name[:80], known, 1, 0.6)
    return f" Did you mean ‘{near[0]}’?" if near else ""


def _addresses() -> list[str]:
    return [f"{calculator.key}.{name}" for calculator in catalogue.CALCULATORS
            for name, output in calculator.results.items() if output.kind in _ASKABLE]  # fmt: skip


ADDRESSES: tuple[str, ...] = tuple(_addresses())
"""Every output that a question can ask for, in catalogue order."""


def _one_line(raw: str, most: int) -> str:
    """Words on one line without signs that can't be shown, cut to ``most`` characters."""
    return "".join(sign for sign in " ".join(raw.split()) if sign.isprintable())[:most].strip()


class _Read:
    """The pieces of one question, or those that all share: names known, values not yet read."""

    def __init__(self, pieces: Pieces, number: int, problems: list[Problem]) -> None:
        self.given: dict[str, str] = {}
        self.hidden: set[str] = set()
        self.varied: set[str] = set()
        self.example: str | None = None
        self.words = ""
        self.number = number
        self.problems = problems
        for name, raw in pieces:
            self._take(name, raw)

    def _tell(self, name: str, raw: str, message: str) -> None:
        self.problems.append(_problem(name, raw, message, self.number))

    def _take(self, name: str, raw: str) -> None:
        if name == "from":
            if raw in (*EXAMPLES, NOTHING):
                self.example = raw
            else:
                known = ", ".join((*EXAMPLES, NOTHING))
                self._tell(name, raw, f"‘from’ must be one of {known}; you wrote ‘{shorten(raw)}’.")
        elif name == "say":
            self.words = _one_line(raw, LONGEST_WORDS)
        elif name in ("hide", "vary"):
            (self.hidden if name == "hide" else self.varied).update(self._names(name, raw))
        elif name not in catalogue.NAMES:
            self._tell(name, raw, f"There is no answer named ‘{shorten(name)}’.{_hint(name, list(catalogue.NAMES))}")
        else:
            full = catalogue.NAMES[name]
            if full in self.given:
                self._tell(name, raw, f"‘{name}’ is given twice; the last counts.")
            self.given[full] = raw.strip()

    def _names(self, field: str, raw: str) -> Iterator[str]:
        for name in (word.strip() for word in raw.split(",")):
            if name in catalogue.NAMES:
                yield catalogue.NAMES[name]
            elif name:
                hint = _hint(name, list(catalogue.NAMES))
                self._tell(field, name, f"‘{field}’ names ‘{shorten(name)}’, which is no answer.{hint}")


def _in_order(names: Mapping[str, Any] | set[str]) -> list[str]:
    """Full names in catalogue order."""
    return [name for name in _ORDER if name in names]


_ORDER: tuple[str, ...] = tuple(dict.fromkeys(answer.name for _, answer in catalogue.every_answer()))


def _question(asks: str, shared: _Read, own: _Read) -> Question:
    """The question that these pieces make; what can't be used goes to the problems."""
    given = {**shared.given, **own.given}
    for answer, _, refused in read_each({name: given[name] for name in _in_order(given)}, "metric"):
        if refused is not None:
            source = own if answer.name in own.given else shared
            for problem in refused.problems:
                told = _problem(answer.name, problem.entered, problem.message, source.number)
                if told not in source.problems:  # what all questions share is told once
                    source.problems.append(told)
            del given[answer.name]
    hidden = shared.hidden | own.hidden
    varied = shared.varied | own.varied
    for name in _in_order(varied):
        label = catalogue.first_asked(name).label
        if catalogue.first_asked(name).kind not in ("number", "count"):
            message = f"{label} can't be varied: only numbers can."
        elif name in hidden:
            message = f"{label} is both hidden and varied: copies would differ by something that nobody is told."
        else:
            continue
        varied = varied - {name}
        source = own if name in own.varied else shared
        told = _problem("vary", name, message, source.number)
        if told not in source.problems:
            source.problems.append(told)
    example = own.example or shared.example or DEFAULT_EXAMPLE
    return Question(
        asks,
        tuple((name, given[name]) for name in _in_order(given)),
        tuple(_in_order(hidden)),
        tuple(_in_order(varied)),
        None if example == NOTHING else example,
        own.words or shared.words,
    )


def _workshop(title: str, shared: Pieces, drafts: Sequence[tuple[int, str, Pieces]], problems: list[Problem]) -> Workshop:
    """``drafts`` hold the number, the address asked and the pieces of each question."""
    common = _Read(shared, 0, problems)
    questions = []
    for number, asks, pieces in drafts[:MOST_QUESTIONS]:
        made = _question(asks, common, _Read(pieces, number, problems))
        if asks in ADDRESSES:
            questions.append(made)
        else:
            problems.append(_problem("ask", asks, _not_askable(asks), number))
    if len(drafts) > MOST_QUESTIONS:
        message = f"A workshop has at most {MOST_QUESTIONS} questions; {len(drafts)} given, the rest is left out."
        problems.append(_problem("ask", len(drafts), message))
    if not drafts:
        message = f"There is no question yet. A question begins with ask=, as in ask={ADDRESSES[0]}."
        problems.append(_problem("ask", "", message))
    whole = Workshop(_one_line(title, LONGEST_TITLE), tuple(questions), tuple(problems))
    length = len(to_fragment(whole))
    if length > LONGEST_LINK:
        message = f"The link of this workshop has {length} characters; at most {LONGEST_LINK} are read. Shorten it."
        whole = replace(whole, problems=(*problems, _problem("link", "", message)))
    return whole


def _no_value(piece: str) -> str:
    return f"‘{shorten(piece)}’ is not of the form name=value."


def _not_askable(asks: str) -> str:
    key, _, name = asks.partition(".")
    if key in catalogue.BY_KEY and name in catalogue.BY_KEY[key].results:
        return f"‘{asks}’ is a list or a table, which can't be guessed; ask for a single figure."
    if not asks.strip():
        return "Choose what is asked."
    return f"There is no output ‘{shorten(asks)}’ to ask for.{_hint(asks, ADDRESSES)}"


def open_workshop(fragment: str) -> Workshop:
    """The workshop that a link carries after ``#``. Never raises for anything typed: see ``problems``."""
    plain = fragment.encode("utf-8", "replace").decode("utf-8").lstrip("#")
    problems: list[Problem] = []
    if len(plain) > LONGEST_LINK:
        message = f"This link has {len(plain)} characters; what lies beyond {LONGEST_LINK} is left out."
        problems.append(_problem("link", "", message))
        plain = plain[:LONGEST_LINK].rpartition("&")[0]
    title = ""
    shared: list[tuple[str, str]] = []
    drafts: list[tuple[int, str, list[tuple[str, str]]]] = []
    for name, raw in link_pieces(plain):
        if raw is None:
            if name.strip():
                problems.append(_problem(name, name, _no_value(name), len(drafts)))
        elif name == "title":
            title = raw
        elif name == "ask":
            drafts.append((len(drafts) + 1, raw.strip(), []))
        else:
            (drafts[-1][2] if drafts else shared).append((name.strip(), raw))
    return _workshop(title, shared, drafts, problems)


def from_fields(title: str, rows: Sequence[Mapping[str, str]]) -> Workshop:
    """The workshop of a trainer's form: a row for each question with ``ask``, ``from``, ``given``, ``hide``, ``vary``
    and ``say``. A row in which nothing is chosen and nothing written is no question."""
    problems: list[Problem] = []
    drafts: list[tuple[int, str, Pieces]] = []
    for number, row in enumerate(rows, start=1):
        field = {name: str(row.get(name, "")).encode("utf-8", "replace").decode("utf-8") for name in (*RESERVED, "given")}
        if not any(field[name].strip() for name in ("ask", "given", "hide", "vary", "say")):
            continue
        pieces = [(name, field[name]) for name in ("from", "hide", "vary", "say") if field[name].strip()]
        for name, raw in link_pieces(field["given"]):
            if name.strip() in RESERVED:
                problems.append(_problem("given", name, f"‘{name.strip()}’ is not the name of an answer.", number))
            elif raw is not None:
                pieces.append((name.strip(), raw))
            elif name.strip():
                problems.append(_problem("given", name, _no_value(name), number))
        drafts.append((number, field["ask"].strip(), pieces))
    return _workshop(title.encode("utf-8", "replace").decode("utf-8"), (), drafts, problems)


# ---- writing --------------------------------------------------------------------------------------------------


def _piece(name: str, raw: str) -> str:
    return f"{name}={quote(raw, safe=';:.,-+/?')}"


def _parts(question: Question) -> dict[str, str]:
    """What a question's link holds beside ``ask``, by name; what is the default is left out."""
    parts = {"from": question.example or NOTHING} if question.example != DEFAULT_EXAMPLE else {}
    for name, raw in question.given:
        parts[catalogue.first_asked(name).link_name] = raw
    for field, names in (("hide", question.hidden), ("vary", question.varied)):
        if names:
            parts[field] = ",".join(catalogue.first_asked(name).link_name for name in names)
    if question.words:
        parts["say"] = question.words
    return parts


def to_fragment(workshop: Workshop) -> str:
    """The workshop as the part of a link after ``#``; what all questions share is written once."""
    held = [_parts(question) for question in workshop.questions]
    shared: dict[str, str] = {}
    if len(held) > 1:
        shared = {name: raw for name, raw in held[0].items() if all(each.get(name) == raw for each in held)}
    pieces = [_piece("title", workshop.title)] if workshop.title else []
    pieces += [_piece(name, raw) for name, raw in shared.items()]
    for question, each in zip(workshop.questions, held, strict=True):
        pieces.append(_piece("ask", question.asks))
        pieces += [_piece(name, raw) for name, raw in each.items() if name not in shared]
    return "&".join(pieces)


# ---- answering ------------------------------------------------------------------------------------------------


@lru_cache(maxsize=64)
def _evaluated(given: tuple[tuple[str, str], ...], example: str | None, system: str, key: str) -> Evaluated:
    return Plan(dict(given), example, system).evaluate(frozenset([key]))


def answer(question: Question, system: str = "metric") -> Answered:
    """What the calculator says: the value, and the working that leads to it, or why there is no value."""
    evaluated = _evaluated(question.given, question.example, system, question.key)
    result = evaluated.step(question.key)
    if isinstance(result, Stopped):
        return Answered(question, evaluated, result, None, (), why=result.message)
    value = getattr(result.outputs, question.output.name)
    if value is None:
        why = f"{question.output.label}: the answers given lead to no figure. {result.sentence}"
        return Answered(question, evaluated, result, None, (), why=why)
    return Answered(question, evaluated, result, value, *_leading_to(result, value, question.output))


def _leading_to(result: Result, value: Any, output: Output) -> tuple[tuple[Step, ...], bool]:
    """The steps up to the one that gives the value, and True; all of them and False where none gives it by itself."""
    for index, step in enumerate(result.steps):
        if isinstance(value, str) or isinstance(step.value, str):
            met = step.value == value
        else:
            met = step.unit == output.unit and math.isclose(step.value, value, rel_tol=1e-9)
        if met:
            return result.steps[: index + 1], True
    return result.steps, False


def standing(evaluated: Evaluated, name: str, key: str) -> Standing:
    """How an answer stands in the calculator ``key``, or in the first that asks it."""
    if name in catalogue.BY_KEY[key].answers:
        return evaluated.step(key).standings[name]
    return next(part.standings[name] for part in evaluated.steps if name in part.standings)


def told(answered: Answered, sheet: bool = False) -> list[Told]:
    """The answers given and hidden of a question; on an exercise ``sheet`` the varied ones too."""
    question = answered.question
    named = {name for name, _ in question.given} | set(question.hidden) | (set(question.varied) if sheet else set())
    return [
        Told(stands.answer, stands.value, name in question.hidden)
        for name in _in_order(named)
        for stands in [standing(answered.evaluated, name, question.key)]
    ]


# ---- judging a guess ------------------------------------------------------------------------------------------


def judge(question: Question, guess_raw: Any, system: str = "metric") -> Judged:
    """A guess held against the answer. No points and no ranking: how far off, in which direction, in words.

    A figure without a unit is in the output's unit as shown in ``system``. For an answer in words nothing is scored.
    """
    answered = answer(question, system)
    output = question.output
    if output.kind == "text":
        words = _one_line(guess_raw if isinstance(guess_raw, str) else shorten(guess_raw), LONGEST_GUESS)
        if not words:
            return Judged(None, None, None, "", f"{output.label}: write your guess in words first.")
        sentence = f"You said: {words}. The calculator says: {answered.value}."
        return Judged(None, None, None, "" if answered.why else sentence)
    shown = display_unit(output.unit, system)
    try:
        guess = parse_quantity(guess_raw, output.unit, shown)
    except EntryError as error:
        return Judged(None, None, None, "", _bad_guess(output, guess_raw, error, shown))
    if answered.why:
        return Judged(guess, None, None, "")
    value = float(answered.value)
    ratio = guess / value if guess * value > 0 and not unit(output.unit).offset else None
    said = show(guess, output.unit, system, max(output.digits, 3))
    is_ = show(value, output.unit, system, output.digits)
    how_far = _how_far(guess, value, ratio, said == is_, output)
    return Judged(guess, guess - value, ratio, f"You said {said}; it is {is_}: {how_far}.")


def _bad_guess(output: Output, raw: Any, error: EntryError, shown: str) -> str:
    symbol = unit(shown).symbol
    advice = error.advice or f"Write a number{f' of {symbol}' if symbol else ''}."
    return f"{output.label}: ‘{shorten(raw)}’ {error.reason}. {advice}"


def _how_far(guess: float, value: float, ratio: float | None, same: bool, output: Output) -> str:
    """'a third too few', 'about 3 times as much', 'spot on'."""
    if same:
        return "spot on"
    less, more = ("too few", "too many") if output.kind == "count" else ("too low", "too high")
    direction = less if guess < value else more
    if ratio is None:
        return direction
    off = abs(ratio - 1)
    if off <= NEAR:
        return f"close, a little {direction}"
    if ratio <= FACTORS[0] or ratio >= FACTORS[1]:
        times = ratio if ratio > 1 else 1 / ratio
        return f"{direction}, by a factor of about {show(times, '1', digits=2)}"
    share, words = min(FRACTIONS, key=lambda each: abs(each[0] - off))
    about = "" if abs(share - off) < 0.035 else "about "
    return f"{about}{words} {direction}"


# ---- exercise sheets ------------------------------------------------------------------------------------------


def _two_figures(value: float, whole: bool) -> float:
    if whole and abs(value) < 10:
        return float(f"{value:.0f}")
    return float(f"{value:.1e}")


def _bounds(stands: Standing) -> tuple[float, float] | None:
    """Least and most that a varied answer may become; None where it has no value, or zero, to vary."""
    value, declared = stands.value, stands.answer
    if not value:
        return None
    low, high = sorted((SPREAD[0] * value, SPREAD[1] * value))
    limits = [(declared.low, declared.high)]
    if declared.usual and declared.usual[0] <= value <= declared.usual[1]:
        limits.append(declared.usual)
    for least, most in limits:
        low = low if least is None else max(low, least)
        high = high if most is None else min(high, most)
    return low, high


def _drawn(stands: Standing, part: float) -> float:
    """The number that lies ``part`` (0 to 1) of the way through the bounds, to two figures, counts whole.

    Where rounding leaves the bounds, the next round number inside; where there is none, the set value.
    """
    bounds = _bounds(stands)
    if bounds is None:
        return stands.value
    low, high = bounds
    whole = stands.answer.kind == "count"
    rounded = _two_figures(low + (high - low) * part, whole)
    step = 10.0 ** (math.floor(math.log10(abs(rounded))) - 1) if rounded else 1.0
    step = max(step, 1.0) if whole else step
    for candidate in (rounded, _two_figures(rounded + step, whole), _two_figures(rounded - step, whole)):
        if low <= candidate <= high:
            return candidate
    return stands.value


def _with_numbers(question: Question, numbers: Mapping[str, float]) -> Question:
    given = dict(question.given)
    for name, value in numbers.items():
        declared = catalogue.first_asked(name)
        given[name] = in_link(declared, int(value) if declared.kind == "count" else value)
    return replace(question, given=tuple((name, given[name]) for name in _in_order(given)))


def _figure(answered: Answered) -> str:
    """The answer as it will be printed: two copies differ when this does."""
    output = answered.question.output
    return str(answered.value) if output.kind == "text" else show(answered.value, output.unit, "metric", output.digits)


def _drawn_group(group: Sequence[Question], chance: random.Random, before: Sequence[str], system: str) -> list[Exercise]:
    """The exercises of questions that share their numbers, for one copy."""
    first = group[0]
    evaluated = _evaluated(first.given, first.example, system, first.key)
    stand = {name: standing(evaluated, name, first.key) for name in first.varied}
    fixed = [stands.answer.label for stands in stand.values() if _bounds(stands) is None]
    remark = f"Not varied, because it has no value or is zero: {', '.join(fixed)}." if fixed else ""
    if len(fixed) == len(stand):
        return [Exercise(answer(question, system), remark) for question in group]
    kept: list[Answered] | None = None
    for _ in range(DRAWS):
        numbers = {name: _drawn(stands, chance.random()) for name, stands in stand.items()}
        found = [answer(_with_numbers(question, numbers), system) for question in group]
        if any(each.why for each in found):
            continue
        kept = kept or found
        if all(_figure(each) != was for each, was in zip(found, before, strict=True)):
            return [Exercise(each, remark) for each in found]
    if kept is None:
        none = f"{DRAWS} draws gave no result, so the numbers set by the trainer stand."
        return [Exercise(answer(question, system), f"{remark} {none}".strip()) for question in group]
    same = f"The copy before has the same answer: {DRAWS} draws found no other."
    return [
        Exercise(each, f"{remark} {same}".strip() if _figure(each) == was else remark)
        for each, was in zip(kept, before, strict=True)
    ]


def exercise(workshop: Workshop, seed: int, copies: int, system: str = "metric") -> tuple[Copy, ...]:
    """``copies`` (1 to 60) sheets with numbers of their own; the same seed (0 to 999 999 999) gives the same sheets.

    Each varied answer is drawn evenly within ``SPREAD`` of its set value, its limits and, if it lies there, its usual
    range. Questions with the same answers and the same varied ones share their numbers. Numbers that give no result,
    or the figure of the copy before, are drawn again. More copies of one seed begin with the same copies.
    Raises ``ValueError`` beyond those limits, which the doors check first.
    """
    if not 1 <= copies <= MOST_COPIES or not 0 <= seed <= LARGEST_SEED:
        raise ValueError(f"copies must be 1 to {MOST_COPIES} and the seed 0 to {LARGEST_SEED}")
    chance = random.Random(seed)  # only .random() is used: it gives the same figures in every Python
    groups: dict[Any, list[int]] = {}
    for index, question in enumerate(workshop.questions):
        groups.setdefault((question.given, question.example, question.varied), []).append(index)
    before = [""] * len(workshop.questions)
    made = []
    for number in range(1, copies + 1):
        found: dict[int, Exercise] = {}
        for places in groups.values():
            group = [workshop.questions[index] for index in places]
            drawn = _drawn_group(group, chance, [before[index] for index in places], system)
            found.update(zip(places, drawn, strict=True))
        before = ["" if found[index].answered.why else _figure(found[index].answered) for index in range(len(before))]
        made.append(Copy(number, seed, tuple(found[index] for index in range(len(before)))))
    return tuple(made)
