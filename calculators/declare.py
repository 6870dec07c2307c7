"""What an answer, an output, a caution and a calculator are.

A calculator is one module with a frozen dataclass of answers, a frozen dataclass of outputs, plain formula
functions, and a ``solve`` function that turns the first into the second while it records its working.
Everything that a form, a page, the command line or a test needs to know about it is declared here as data,
so that none of them is written twice.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal

from calculators.reference import Source, cited, source
from calculators.sheet import Drawing
from calculators.units import without_unit_suffix

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip

Kind = Literal["number", "count", "choice", "flag", "text", "series", "table", "log"]

CHOSEN_HERE = source("chosen_here")


@dataclass(frozen=True)
class Option:
    """One value that a choice may take: the stored ``key`` and the words a reader sees."""

    key: str
    label: str


@dataclass(frozen=True)
class Answer:
    """One thing the user may tell a calculator.

    ``low`` and ``high`` are refused beyond; ``usual`` only warns. All three are in ``unit``, as is ``default``.
    ``follows`` names the upstream calculator whose output (or answer) of the same name gives the value until
    the user gives one. ``blank`` means that no answer is an answer (``None``): a test not made, an amount to be found.
    ``why_limits`` says in a sentence why the limits stand where they do.
    """

    name: str
    kind: Kind
    label: str
    unit: str = "1"
    default: Any = None
    low: float | None = None
    high: float | None = None
    usual: tuple[float, float] | None = None
    help: str = ""
    source: Source = CHOSEN_HERE
    follows: str | None = None
    blank: bool = False
    options: tuple[Option, ...] = ()
    options_from: str | None = None
    rows: tuple[str, ...] = ()
    columns: tuple[Answer, ...] = ()
    most_rows: int = 0
    group: str = ""
    why_limits: str = ""
    measure: str = ""

    @property
    def link_name(self) -> str:
        """The name used in links and on the command line: the name without the unit at its end."""
        return without_unit_suffix(self.name, self.unit)


@dataclass(frozen=True)
class Column:
    """A column of an output table. Text columns have unit ``None``."""

    key: str
    label: str
    unit: str | None = None
    digits: int = 3


@dataclass(frozen=True)
class Output:
    """One thing a calculator gives. ``kind`` is number, count, text, series or table.

    ``key_figure`` puts it among the figures shown right under the answer.
    """

    name: str
    kind: Literal["number", "count", "text", "series", "table"]
    label: str
    unit: str = "1"
    digits: int = 3
    help: str = ""
    rows: tuple[str, ...] = ()
    columns: tuple[Column, ...] = ()
    key_figure: bool = False


def _field(declared: Answer | Output, default: Any = dataclasses.MISSING) -> Any:
    metadata = {"declared": declared}
    if default is dataclasses.MISSING:
        return dataclasses.field(metadata=metadata)
    return dataclasses.field(default=default, metadata=metadata)


def number(label: str, unit: str, default: float | None, **more: Any) -> Any:
    """A measured quantity in ``unit``."""
    return _field(Answer("", "number", label, unit, default, **more), default)


def count(label: str, unit: str, default: int | None, **more: Any) -> Any:
    """A whole number of things."""
    return _field(Answer("", "count", label, unit, default, **more), default)


def choice(label: str, options: Mapping[str, str], default: str | None, **more: Any) -> Any:
    """One of ``options`` (key to words). ``options_from="own_materials"`` adds the first column of that table."""
    listed = tuple(Option(key, words) for key, words in options.items())
    return _field(Answer("", "choice", label, "1", default, options=listed, **more), default)


def flag(label: str, default: bool, **more: Any) -> Any:
    """Yes or no."""
    return _field(Answer("", "flag", label, "1", default, **more), default)


def text(label: str, default: str, **more: Any) -> Any:
    """A short name. At most 60 characters."""
    return _field(Answer("", "text", label, "1", default, **more), default)


def log(label: str, default: str, **more: Any) -> Any:
    """Text of many lines, pasted or opened from a file: at most ``entries.LONGEST_LOG`` characters. Blank is ''."""
    return _field(Answer("", "log", label, "1", default, **more), default)


def series(label: str, unit: str, rows: Sequence[str], default: Sequence[float], **more: Any) -> Any:
    """One number for each of fixed rows, such as the days of a week; the value is a tuple of floats."""
    value = tuple(float(item) for item in default)
    return _field(Answer("", "series", label, unit, value, rows=tuple(rows), **more), value)


def table(
    label: str,
    columns: Mapping[str, Any],
    default: Sequence[Sequence[Any]],
    most_rows: int = 30,
    **more: Any,
) -> Any:
    """Any number of rows (at most ``most_rows``) whose cells are answers; the value is a tuple of tuples.

    ``columns`` maps a column's name to what ``number``, ``choice`` and the others give.
    """
    cells = tuple(
        dataclasses.replace(made.metadata["declared"], name=name) for name, made in columns.items()
    )
    value = tuple(tuple(row) for row in default)
    return _field(Answer("", "table", label, "1", value, columns=cells, most_rows=most_rows, **more), value)


def output(label: str, unit: str, **more: Any) -> Any:
    """A figure that a calculator gives."""
    return _field(Output("", "number", label, unit, **more))


def output_count(label: str, unit: str, **more: Any) -> Any:
    """A whole number that a calculator gives."""
    return _field(Output("", "count", label, unit, **more))


def output_text(label: str, **more: Any) -> Any:
    """Words that a calculator gives: a verdict, a ratio in tubs."""
    return _field(Output("", "text", label, **more))


def output_series(label: str, unit: str, rows: Sequence[str], **more: Any) -> Any:
    """A number for each of fixed rows."""
    return _field(Output("", "series", label, unit, rows=tuple(rows), **more))


def output_table(label: str, columns: Sequence[Column], **more: Any) -> Any:
    """Rows of figures and words: a tuple of tuples, in the order of ``columns``."""
    return _field(Output("", "table", label, columns=tuple(columns), **more))


def declared(cls: type) -> dict[str, Any]:
    """Every answer or output of a dataclass made with the functions above, by name, in order."""
    return {
        field.name: dataclasses.replace(field.metadata["declared"], name=field.name)
        for field in dataclasses.fields(cls)
    }


@dataclass(frozen=True)
class RaisedCaution:
    """A caution that belongs to a result: the key in the reference data's text, and why it stands here.

    ``because`` carries this yard's own figures where they matter ('a filled tub weighs 31 kg').
    ``urgent`` puts it beside the answer and not under the working.
    """

    key: str
    because: str = ""
    urgent: bool = False


@dataclass(frozen=True)
class Mark:
    """A limit or target drawn across a chart."""

    value: float
    label: str


@dataclass(frozen=True)
class Line:
    """One named set of values of a chart; ``None`` leaves a gap."""

    label: str
    values: tuple[float | None, ...]


@dataclass(frozen=True)
class Span:
    """A bar from ``start`` to ``end`` of a chart's width (each 0 to 1) in a row (from 0), drawn as the line of index ``line``.

    ``words`` say the same in a row of the table: the row's name first.
    """

    row: int
    line: int
    start: float
    end: float
    words: tuple[str, ...]


@dataclass(frozen=True)
class Chart:
    """Data for a chart: ``bars`` (stacked where there are several lines), ``lines``, ``spans`` or ``swings``.

    For ``spans`` the labels part the width evenly, the lines name what a bar may be, and ``columns`` head the table of
    ``Span.words``. For ``swings`` there are two lines, whose values reach from the one mark to both sides of it. A ``record``
    is lines through evenly spaced moments, with ``events`` (where across, 0 to 1, and what happened) and ``bands`` (from,
    until, what held).
    """

    kind: Literal["bars", "lines", "spans", "swings", "record"]
    title: str
    unit: str
    labels: tuple[str, ...] = ()
    lines: tuple[Line, ...] = ()
    marks: tuple[Mark, ...] = ()
    axis: str = ""
    spans: tuple[Span, ...] = ()
    columns: tuple[str, ...] = ()
    events: tuple[tuple[float, str], ...] = ()
    bands: tuple[tuple[float, float, str], ...] = ()


class CannotSolve(ValueError):
    """The answers are each allowed, but together give no result. The text says why and what would help.

    ``names`` are the answers to look at.
    """

    def __init__(self, message: str, names: Sequence[str] = ()) -> None:
        super().__init__(message)
        self.message = message
        self.names = tuple(names)


Say = Callable[..., str]
"""``say(value, unit, digits=3)``: the figure with its unit, in the unit system that the reader chose."""


def _nothing(inputs: Any, outputs: Any, say: Say) -> list[Any]:
    return []


def _no_charts(inputs: Any, outputs: Any) -> list[Chart]:
    return []


def _no_drawings(inputs: Any, outputs: Any, say: Say) -> list[Drawing]:
    return []


@dataclass(frozen=True)
class Calculator:
    """A calculator as the rest of the package sees it.

    One that is ``on_request`` takes long, so a plan works it out only where it is asked for. ``drawings`` are made only where
    they are shown or taken away; the key of each is its own among those of the calculator.
    """

    key: str
    title: str
    question: str
    inputs: type
    outputs: type
    solve: Callable[[Any, Any], Any]
    sentence: Callable[[Any, Any, Say], str]
    cautions: Callable[[Any, Any, Say], list[RaisedCaution]] = _nothing
    notices: Callable[[Any, Any, Say], list[str]] = _nothing
    charts: Callable[[Any, Any], list[Chart]] = _no_charts
    drawings: Callable[[Any, Any, Say], list[Drawing]] = _no_drawings
    sources: tuple[Source, ...] = ()
    step: str = "Plan the yard"
    on_request: bool = False

    @cached_property
    def answers(self) -> dict[str, Answer]:
        """The answers by name, in the order of the form."""
        return declared(self.inputs)

    @cached_property
    def results(self) -> dict[str, Output]:
        """The outputs by name, in the order shown."""
        return declared(self.outputs)


def own_choice(note: str) -> Source:
    """A figure chosen for this handbook, with the reason."""
    return cited("chosen_here", "chosen here", note)


def practice(note: str) -> Source:
    """A figure of common practice without a source, with what it says."""
    return cited("common_practice", "common practice", note)
