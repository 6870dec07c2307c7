"""The first heaps of a plan as work with dates: from the first load to the day on which a heap is screened.

Every span comes from the plan: days to fill a heap, of the stages and between turnings from Bays, working days a week from
Crew. A heap takes loads until it is full, the next begins then; the first stage counts from the day on which a heap is full
(as in Bays), curing from the day on which it is moved. What falls on a rest day is done on the next working day.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator
from dataclasses import dataclass

from calculators.declare import MONTHS, WEEKDAYS, CannotSolve, own_choice
from calculators.plan import Evaluated, Result, Stopped
from calculators.reference import Source
from calculators.units import EntryError, parse_count, show

MOST_HEAPS = 20
FIRST_YEAR, LAST_YEAR = 2000, 2100
SAMPLE_DAYS_BEFORE_END = 14
SAMPLE_SOURCE = own_choice(
    f"a sample {SAMPLE_DAYS_BEFORE_END} days before curing ends: the longest test asked for under Maturity tests, seedlings in "
    "compost, takes two weeks"
)
REST_SOURCE = own_choice("the rest day of the week is Sunday; where the yard rests longer, the days before it too")
SLACK = 1e-9
"""A heap that is full within this part of a day of midnight is full at midnight: 3 × 2.1 is no more than 6.3."""
DAYS_FOR_REST = 30
"""More than all the days by which rest days can put one heap off: at most six at each of four steps."""

KINDS = {
    "build": "receive and build",
    "temperature": "take the temperature",
    "turn": "turn and check water",
    "move": "move into curing",
    "sample": "sample",
    "screen": "screen and empty",
}
"""Kinds of task in the order in which a heap sees them, in the words of the trade."""

CAUTIONS = {
    "build": ("raw_waste_hands", "sharps_in_waste", "cover_fresh_food", "repeated_work"),
    "temperature": ("steam_burn", "heap_height_fire"),
    "turn": ("steam_burn", "wet_down_dust", "heat_stress", "repeated_work"),
    "move": ("steam_burn", "wet_down_dust", "repeated_work"),
    "sample": ("wet_down_dust", "compost_not_fit_until_tested"),
    "screen": ("wet_down_dust", "legionella", "repeated_work", "compost_not_fit_until_tested"),
}
"""The cautions that belong to each kind of task, by their keys in the reference data."""


@dataclass(frozen=True)
class DatedTask:
    """One piece of work on one heap, on a day or over a span of days.

    ``end`` is the last day of the work, the same as ``date`` where it is done in a day. ``kind`` is a key of ``KINDS``,
    ``cautions`` are keys of the reference data. ``why`` says which figures of the plan give this date.
    """

    date: datetime.date
    end: datetime.date
    heap: int
    kind: str
    title: str
    what: str
    cautions: tuple[str, ...]
    why: str


@dataclass(frozen=True)
class FirstHeaps:
    """The work of the first heaps in order of date, what to know about it, and the sources of what was chosen here."""

    first_day: datetime.date
    heaps: int
    tasks: tuple[DatedTask, ...]
    notes: tuple[str, ...]
    sources: tuple[Source, ...]


def work_of_first_heaps(evaluated: Evaluated, first_day: datetime.date, heaps: int = 3) -> FirstHeaps:
    """The work of the first ``heaps`` (1 to 20) when the first load comes on ``first_day`` (in 2000 to 2100).

    Raises ``CannotSolve`` where the plan has no result from Bays, where heaps or day are not allowed, and where a heap
    fills so slowly that its dates lie beyond the calendar.
    """
    _check(first_day, heaps)
    bays = evaluated.step("bays")
    if isinstance(bays, Stopped):
        raise CannotSolve(f"The first heaps have no dates, because Bays has no result. {bays.message}", bays.names)
    yard = _Yard(bays, evaluated.step("crew"), evaluated.plan.system, first_day)
    yard.check_calendar(heaps)
    tasks = [task for heap in range(1, heaps + 1) for task in yard.tasks(heap)]
    order = list(KINDS)
    tasks.sort(key=lambda task: (task.date, task.heap, order.index(task.kind)))
    return FirstHeaps(first_day, heaps, tuple(tasks), tuple(yard.notes()), yard.sources())


def read_first_day(text: str) -> datetime.date:
    """The day of the first load as someone wrote it, year first. Raises ``CannotSolve``."""
    try:
        date = datetime.date.fromisoformat(text)
    except ValueError:
        date = None
    if not text.strip():
        raise CannotSolve("First day of work: no date is given. Write year, month and day, such as 2027-01-04.")
    if date is None or date.isoformat() != text:  # Python also takes 20270104 and weeks
        raise CannotSolve(f"First day of work: ‘{text[:40]}’ is not a date. Write year, month and day, such as 2027-01-04.")
    return date


def read_heaps(text: str) -> int:
    """The number of first heaps as someone wrote it. Raises ``CannotSolve``."""
    try:
        return parse_count(text)
    except EntryError as error:
        raise CannotSolve(f"Heaps: ‘{text[:40]}’ {error.reason}. Write a whole number from 1 to {MOST_HEAPS}.") from None


def date_words(date: datetime.date) -> str:
    """A date for reading, the same on every machine: 'Monday 4 January 2027'."""
    return f"{WEEKDAYS[date.weekday()]} {date.day} {MONTHS[date.month - 1]} {date.year}"


def rest_days(working_days_per_week: int) -> tuple[int, ...]:
    """Weekdays (Monday is 0) on which a yard that works so many days a week (1 to 7) is taken to rest: the last ones."""
    return tuple(range(working_days_per_week, 7))


def filling_days(heap: int, fill_days: float) -> tuple[int, int]:
    """First and last day on which a heap takes loads, counted from the first day (0) of an even flow.

    Heap n takes what comes from (n − 1) × ``fill_days`` to n × ``fill_days``; two heaps share a day where one is full
    in the midst of it.
    """
    first = math.floor((heap - 1) * fill_days + SLACK)
    return first, max(first, math.ceil(heap * fill_days - SLACK) - 1)


def turning_days(interval_days: float, stage_days: int) -> list[int]:
    """Days after the heap is full on which it is due to be turned: one interval after, two, and so on.

    A turning due within a day counts for that day. None is due at the end of the stage, when the heap is moved anyway.
    """
    times = math.ceil(stage_days / interval_days - SLACK) - 1
    return [math.floor(time * interval_days + SLACK) for time in range(1, times + 1)]


def _check(first_day: datetime.date, heaps: int) -> None:
    if isinstance(heaps, bool) or not isinstance(heaps, int) or not 1 <= heaps <= MOST_HEAPS:
        raise CannotSolve(f"The number of first heaps must be a whole number from 1 to {MOST_HEAPS}; it is {heaps}.")
    plain = isinstance(first_day, datetime.date) and not isinstance(first_day, datetime.datetime)
    if not plain or not FIRST_YEAR <= first_day.year <= LAST_YEAR:
        raise CannotSolve(f"The first day must be a date in the years {FIRST_YEAR} to {LAST_YEAR}; it is {first_day}.")


_Turnings = dict[datetime.date, list[datetime.date]]
"""The working days on which a heap is turned, each with the days on which that was due."""


@dataclass
class _Yard:
    """What a plan says about the work of a heap, and the dates that follow."""

    bays: Result
    crew: Result | Stopped
    system: str
    first_day: datetime.date
    joined: int = 0
    """Turnings that fell together with other work on the heap, counted as the tasks are made."""

    def __post_init__(self) -> None:
        self.working_days = int(self.crew.standings["working_days_per_week"].value)
        self.rest = rest_days(self.working_days)

    def check_calendar(self, heaps: int) -> None:
        """Refuse heaps that would not be done before the calendar ends."""
        fill = self.bays.outputs.heap_fill_days
        longest = math.ceil(heaps * fill) + self.bays.inputs.first_stage_days + self.bays.inputs.curing_days + DAYS_FOR_REST
        if self.first_day.toordinal() + longest > datetime.date.max.toordinal():
            raise CannotSolve(
                f"Heap {heaps} would be done only after the year {datetime.date.max.year}: a heap takes "
                f"{show(fill, 'd', self.system)} to fill. Make heaps smaller, or ask for fewer of them.",
                ("heap_length_m", "mix_m3_per_day"),
            )

    def working_day(self, date: datetime.date) -> datetime.date:
        """The date itself, or the next one on which the yard works."""
        while date.weekday() in self.rest:
            date += datetime.timedelta(1)
        return date

    def put_off(self, due: datetime.date) -> str:
        """What to add to a reason where the work was due on a rest day."""
        if due.weekday() not in self.rest:
            return ""
        return f"; due on {date_words(due)}, a rest day (assumed), so moved to the next working day"

    def figure(self, name: str) -> str:
        """A figure of Bays with its label, for a reason: 'from Bays: days to fill a heap 2.3 days'."""
        result = self.bays
        if name in result.calculator.results:
            declared, value = result.calculator.results[name], getattr(result.outputs, name)
        else:
            declared, value = result.calculator.answers[name], getattr(result.inputs, name)  # type: ignore[assignment]
        label = declared.label[0].lower() + declared.label[1:]
        return f"from {result.calculator.title}: {label} {show(value, declared.unit, self.system)}"

    def tasks(self, heap: int) -> Iterator[DatedTask]:
        """The work of one heap, stage by stage."""
        inputs = self.bays.inputs
        days = [self.first_day + datetime.timedelta(day) for day in filling_days(heap, self.bays.outputs.heap_fill_days)]
        begun, full = map(self.working_day, days)
        yield self._build(heap, days, begun, full)
        due = full + datetime.timedelta(inputs.first_stage_days)
        moved = self.working_day(due)
        yield self._temperature(heap, full, moved - datetime.timedelta(1))
        turnings = self._turnings_due(full)
        with_end = turnings.pop(moved, [])
        self.joined += len(with_end) + sum(len(dues) - 1 for dues in turnings.values())
        yield from self._turnings(heap, full, turnings)
        stage = f"{self.figure('first_stage_days')}, counted from {date_words(full)}, when the heap is full{self.put_off(due)}"
        if with_end:
            stage += f"; takes the place of the turning due on {_listed([date_words(day) for day in with_end])}"
        if not inputs.curing_days:
            yield self._sample(heap, moved, f"the first stage ends on this day and there is no curing: {stage}")
            yield self._screen(heap, moved, f"no curing, so screening follows the first stage: {stage}")
            return
        yield self._move(heap, moved, stage)
        due = moved + datetime.timedelta(inputs.curing_days)
        cured = self.working_day(due)
        yield self._sample_in_curing(heap, moved, cured)
        yield self._screen(
            heap, cured, f"{self.figure('curing_days')}, counted from {date_words(moved)}, when it is moved{self.put_off(due)}"
        )

    def _build(self, heap: int, due: list[datetime.date], begun: datetime.date, full: datetime.date) -> DatedTask:
        start = "the first load comes" if heap == 1 else f"heap {heap - 1} is full"
        return _task(
            begun, full, heap, "build", f"Receive and build heap {heap}",
            "Weigh and sort each load, mix it with bulking material and lay it up clear of the walls until the heap is full; "
            "cover food waste the same day.",
            f"begun when {start}{self.put_off(due[0])}; "
            f"full by the last day, {self.figure('heap_fill_days')}{self.put_off(due[1])}",
        )  # fmt: skip

    def _temperature(self, heap: int, full: datetime.date, last: datetime.date) -> DatedTask:
        return _task(
            full, last, heap, "temperature", f"Take the temperature of heap {heap} every day",
            "Read it deep in the heap and in several places, at about the same hour, and write every reading down; this entry "
            "spans the whole first stage.",
            f"{self.figure('first_stage_days')}, from the day the heap is full to the day before the stage ends",
        )  # fmt: skip

    def _turnings_due(self, full: datetime.date) -> _Turnings:
        found: _Turnings = {}
        for day in turning_days(self.bays.inputs.turning_interval_days, self.bays.inputs.first_stage_days):
            due = full + datetime.timedelta(day)
            found.setdefault(self.working_day(due), []).append(due)
        return found

    def _turnings(self, heap: int, full: datetime.date, turnings: _Turnings) -> Iterator[DatedTask]:
        where = "into the spare bay" if self.bays.inputs.turning_place == "spare_bay" else "within its own bay"
        for number, (date, dues) in enumerate(turnings.items(), start=1):
            if len(dues) > 1:
                listed = _listed([date_words(due) for due in dues])
                because = f"; the turnings due on {listed} are one, because of the rest days (assumed)"
            else:
                because = self.put_off(dues[0])
            yield _task(
                date, date, heap, "turn", f"Turn heap {heap} ({number} of {len(turnings)}) and check its water by hand",
                "Squeeze a handful from the middle: wet the heap where it crumbles, mix in dry bulking material where water "
                f"runs. Turn it {where}, so that the outside comes inside.",
                f"{self.figure('turning_interval_days')}, counted from {date_words(full)}, when the heap is full{because}",
            )  # fmt: skip

    def _move(self, heap: int, date: datetime.date, why: str) -> DatedTask:
        title = f"Move heap {heap} into curing"
        what = "Move it whole to a curing bay of its own and write the day on its record."
        if self.bays.inputs.rebuilt_for_curing:
            why += f"; merged because it has shrunk, {self.figure('volume_left_first_stage_percent')}"
            what = "Begin a curing heap with it and merge the next ones into that"
            if heap > 1:
                title += " and merge it"
                what = "Merge it with the shrunk heap moved before it"
            what += " until the curing heap has its full size. Write down on which day its youngest part came in."
        return _task(date, date, heap, "move", title, what, why)

    def _sample_in_curing(self, heap: int, moved: datetime.date, cured: datetime.date) -> DatedTask:
        wanted = cured - datetime.timedelta(SAMPLE_DAYS_BEFORE_END)
        if wanted < moved:
            return self._sample(heap, moved, f"curing is shorter than the {SAMPLE_DAYS_BEFORE_END} days kept for tests (chosen "
                                f"here), so on the day it begins; {self.figure('curing_days')}")  # fmt: skip
        return self._sample(
            heap, self.working_day(wanted),
            f"{SAMPLE_DAYS_BEFORE_END} days (chosen here) before curing ends on {date_words(cured)}{self.put_off(wanted)}",
        )  # fmt: skip

    def _sample(self, heap: int, date: datetime.date, why: str) -> DatedTask:
        return _task(date, date, heap, "sample", f"Sample heap {heap} for maturity tests",
                     "Mix one sample from grabs through the whole depth, start the tests named under Maturity tests, and keep "
                     "the compost until they have spoken.", why)  # fmt: skip

    def _screen(self, heap: int, date: datetime.date, why: str) -> DatedTask:
        merged = self.bays.inputs.rebuilt_for_curing and self.bays.inputs.curing_days
        wait = "; a merged heap is as old as its youngest part, so leave what has not cured its days" if merged else ""
        return _task(date, date, heap, "screen", f"Screen heap {heap} and empty its bay",
                     f"Damp it down, screen it, put the coarse part back into a new heap and wash the bay{wait}.",
                     why)  # fmt: skip

    def notes(self) -> list[str]:
        """What to know about these dates."""
        inputs = self.bays.inputs
        found = [
            "Dates follow from an even flow, the mean of the year. In a full season heaps fill sooner, in a lean one later: "
            "put in the true day on which a heap was full and count on from it.",
            "Temperature decides, not the date: the first stage ends when turning no longer heats the heap.",
            "Taking the temperature is one entry over the whole first stage, not one for each day. A rest day without a "
            "reading is a gap in the record.",
            "Water is checked by hand at each turning, so both stand in one entry.",
            self._rest_words(),
        ]
        if isinstance(self.crew, Stopped):
            found.append(f"Crew has no result; its {self.working_days} working days a week are taken as they stand. "
                         f"{self.crew.message}")  # fmt: skip
        if inputs.curing_days and inputs.rebuilt_for_curing:
            found.append("Shrunk heaps are merged for curing. A merged heap cures from the day its youngest part came in; the "
                         "dates here are those of each heap by itself.")  # fmt: skip
        if not inputs.curing_days:
            found.append("The plan has no curing: screened compost must be kept until the maturity tests have spoken.")
        if self.joined:
            found.append("Because of rest days (assumed), turnings that are done together with another or with the work at the "
                         f"end of the first stage: {self.joined}. The entries say which.")  # fmt: skip
        return found

    def _rest_words(self) -> str:
        if not self.rest:
            return "The yard works on all seven days (from Crew), so nothing is moved."
        listed = _listed([WEEKDAYS[day] for day in self.rest])
        return (f"The yard works {show(self.working_days, 'd', self.system)} a week (from Crew). Which days are rest days is "
                f"assumed: {listed}. Work due then is moved to the next working day.")  # fmt: skip

    def sources(self) -> tuple[Source, ...]:
        """Sources of what was chosen for these dates and is not in the plan."""
        chosen = [SAMPLE_SOURCE] if self.bays.inputs.curing_days else []
        return (*chosen, *([REST_SOURCE] if self.rest else []))


def _task(date: datetime.date, end: datetime.date, heap: int, kind: str, title: str, what: str, why: str) -> DatedTask:
    return DatedTask(date, end, heap, kind, title, what, CAUTIONS[kind], why)


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
