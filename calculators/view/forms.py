"""The form of a calculator: one field for each answer, with its unit, limits, hint and where its value stands."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from calculators import catalogue
from calculators.declare import Answer, Option
from calculators.entries import Problem, limits_in_words, names_added, unit_words, write
from calculators.log_reading import LONGEST_LOG
from calculators.plan import OWN, Result, Standing, Stopped
from calculators.reference import Source
from calculators.units import show
from calculators.view.elements import Element, h

FOLLOWED_DIGITS = 4
ENTERED_DIGITS = 9

STATUS_WORDS = {
    "published": "published",
    "restated": "published, read in a restatement",
    "common practice": "common practice, no source",
    "from memory": "from memory, unverified",
    "computed": "computed here",
    "chosen here": "chosen here",
    "example": "invented for the example",
}


def status_mark(source: Source) -> Element:
    """How a figure is known, in words and in a shape of its own, so that a chosen value never looks published."""
    kind = source.status.replace(" ", "-")
    return h("span", STATUS_WORDS[source.status], class_=f"status status-{kind}")


def cited_as(source: Source) -> list[Any]:
    """A short citation with its status, linked to nothing outside unless the source has an address."""
    if source.status in ("common practice", "chosen here", "example") or source.key in ("from_memory", "arithmetic"):
        return [status_mark(source), f" – {source.note}" if source.note else None]
    return [source.citation, " (", status_mark(source), ")"]


def in_words(answer: Answer, value: Any, system: str) -> str:
    """A value for reading: '1.5 m', 'yes', 'Mon 0 · Tue 0 · …'."""
    if value is None:
        return "not given"
    if answer.kind in ("number", "count"):
        return show(value, answer.unit, system, 4)
    if answer.kind == "choice":
        return next((option.label for option in answer.options if option.key == value), str(value))
    if answer.kind == "series":
        return " · ".join(
            f"{row[:3]} {text}" for row, text in zip(answer.rows, write(answer, value, system, 4), strict=True)
        )
    if answer.kind == "table":
        return f"{len(value)} rows" if len(value) != 1 else "1 row"
    if answer.kind == "log":
        lines = sum(bool(line.strip()) for line in value.split("\n"))
        return "none" if not lines else "1 line" if lines == 1 else f"{lines} lines"
    return str(write(answer, value, system))


def standing_words(standing: Standing, system: str, example_name: str) -> Element:
    """Where the value of a field comes from, and what it would be without the user's own."""
    answer = standing.answer
    upstream = catalogue.BY_KEY[answer.follows].title if answer.follows else ""
    words: list[Any]
    if standing.origin in OWN:
        other = in_words(answer, standing.otherwise, system)
        giver = {
            "followed": f"{upstream} gives {other}",
            "example": f"{example_name} has {other}",
            "default": f"the default is {other}",
        }[standing.otherwise_origin]
        words = [
            h("strong", "Yours. " if standing.origin == "yours" else "A first guess. "), giver, ". ",
            h("button", "Take that back", type="button", class_="quiet", data_forget=answer.name,
              aria_label=f"Take back my answer to: {answer.label}"),
        ]  # fmt: skip
    elif standing.origin == "followed":
        words = [f"Follows {upstream}. Type to use your own."]
    elif standing.origin == "example":
        words = [h("span", f"Example: {example_name}", class_="status status-example")]
    else:
        words = ["Default: ", cited_as(answer.source)]
    if standing.origin != "yours" and answer.measure:
        words.append(h("span", f" Not measured yet: {answer.measure}.", class_="measure"))
    return h("p", words, class_=f"standing standing-{standing.origin}")


def shown_value(standing: Standing, system: str) -> Any:
    """What stands in a field: four figures of what only follows, all of what was entered."""
    answer = standing.answer
    if answer.kind == "choice":
        return standing.value if standing.value is not None else ""
    return write(answer, standing.value, system, FOLLOWED_DIGITS if standing.origin == "followed" else ENTERED_DIGITS)


def _hint(answer: Answer, system: str) -> str:
    words = [answer.help] if answer.help else []
    limits = limits_in_words(answer, system) if answer.kind in ("number", "count", "series") else ""
    if limits:
        words.append(f"Allowed: {limits}.")
    if answer.blank and answer.kind in ("number", "count"):
        words.append("May be left empty.")
    if answer.why_limits:
        words.append(answer.why_limits)
    return " ".join(words)


def _inputmode(answer: Answer) -> str | None:
    # a phone's number pad has no minus, so fields that take negatives keep the full keyboard
    if answer.kind == "count":
        return "numeric" if answer.low is not None and answer.low >= 0 else None
    if answer.kind in ("number", "series") and answer.low is not None and answer.low >= 0:
        return "decimal"
    return None


def _options(answer: Answer, value: Any, extra: Sequence[str]) -> list[Element]:
    listed = list(answer.options) + [Option(name, name) for name in extra]
    if answer.blank:
        listed.insert(0, Option("", "not given"))
    return [
        h("option", option.label, value=option.key, selected=option.key == ("" if value is None else value))
        for option in listed
    ]


def _entry(answer: Answer, name: str, field_id: str, value: Any, system: str, described: str | None,
           extra: Sequence[str]) -> Element:  # fmt: skip
    """One control. ``value`` is already text, or the key of a choice."""
    common: dict[str, Any] = {
        "id": field_id, "name": name, "aria_describedby": described, "autocomplete": "off",
    }  # fmt: skip
    if answer.kind == "choice":
        return h("select", _options(answer, value, extra), data_options_from=answer.options_from, **common)
    text = value if isinstance(value, str) else write(answer, value, system)
    if answer.kind == "flag":
        return h(
            "select",
            h("option", "yes", value="yes", selected=text == "yes"),
            h("option", "no", value="no", selected=text == "no"),
            **common,
        )
    if answer.kind == "log":
        return h("textarea", text, rows="8" if text else "4", wrap="off", spellcheck="false", class_="log", **common)
    wide = answer.kind == "text"
    symbol = unit_words(answer, system) if answer.kind in ("number", "count") else ""
    return h(
        "span",
        h("input", type="text", inputmode=_inputmode(answer), value=text, spellcheck="false",
          class_="wide" if wide else "short", **common),
        h("span", symbol, class_="unit", aria_hidden="true") if symbol else None,
        class_="entry",
    )  # fmt: skip


def _label_words(answer: Answer, system: str) -> str:
    symbol = unit_words(answer, system) if answer.kind in ("number", "count", "series") else ""
    return f"{answer.label} ({symbol})" if symbol else answer.label


def field(calculator_key: str, standing: Standing, system: str, example_name: str,
          extra: Mapping[str, Sequence[str]], alone: bool = False) -> Element:  # fmt: skip
    """The field (or group of fields) of one answer, filled with its value; ``alone`` without where that comes from."""
    answer = standing.answer
    base = f"{calculator_key}-{answer.name}"
    hint_id, standing_id, error_id = f"hint-{base}", f"standing-{base}", f"error-{base}"
    described = f"{error_id} {hint_id}" if alone else f"{error_id} {hint_id} {standing_id}"
    hint = h("p", _hint(answer, system), class_="hint", id=hint_id)
    where = None if alone else h("div", standing_words(standing, system, example_name), id=standing_id,
                                 data_part=f"standing:{answer.name}")  # fmt: skip
    error = h("div", id=error_id, class_="error", data_part=f"error:{answer.name}")
    if answer.kind in ("series", "table"):
        inner = (
            _series(answer, base, shown_value(standing, system), system)
            if answer.kind == "series"
            else _table(answer, base, standing.value, system, extra)
        )
        return h(
            "fieldset",
            h("legend", _label_words(answer, system)),
            hint, error, inner, where,
            class_=f"field field-{answer.kind}", data_answer=answer.name, data_kind=answer.kind,
            aria_describedby=hint_id,
        )  # fmt: skip
    opener = _opener(answer, base) if answer.kind == "log" else None
    control = _entry(answer, answer.name, f"a-{base}", shown_value(standing, system), system, described,
                     extra.get(answer.options_from or "", ()))  # fmt: skip
    return h(
        "div",
        h("label", _label_words(answer, system), for_=f"a-{base}"),
        hint, error, control, opener, where,
        class_="field", data_answer=answer.name, data_kind=answer.kind,
    )  # fmt: skip


def _opener(answer: Answer, base: str) -> Element:
    """A button that puts a file's text into a log's field."""
    return h(
        "p",
        h("label", "Open a file", for_=f"file-{base}", class_="file-label"),
        h("input", type="file", id=f"file-{base}", accept=".csv,.tsv,.txt,text/plain,text/csv", class_="file-entry", data_open_log=answer.name,
          data_most_bytes=str(4 * LONGEST_LOG), aria_label=f"Open a file: {answer.label}"),
        class_="tool-buttons",
    )  # fmt: skip


def _series(answer: Answer, base: str, cells: Sequence[str], system: str) -> Element:
    one = Answer(answer.name, "number", answer.label, answer.unit, low=answer.low)
    return h(
        "div",
        [
            h("div", h("label", row, for_=f"a-{base}-{index}"),
              _entry(one, f"{answer.name}.{index}", f"a-{base}-{index}", cells[index], system,
                     f"error-{base} hint-{base}", ()),
              class_="cell", data_row=str(index))
            for index, row in enumerate(answer.rows)
        ],
        class_="series",
    )  # fmt: skip


def _table(answer: Answer, base: str, value: Sequence[Sequence[Any]], system: str,
           extra: Mapping[str, Sequence[str]]) -> Element:  # fmt: skip
    rows = [_table_row(answer, base, index, list(row), system, extra) for index, row in enumerate(value)]
    empty: list[Any] = [None if column.kind == "choice" else "" for column in answer.columns]
    spare = h("template", _table_row(answer, base, -1, empty, system, extra))
    return h(
        "div",
        h("div", rows, class_="rows", data_rows=answer.name),
        spare,
        h("button", "Add a row", type="button", class_="quiet", data_add_row=answer.name,
          aria_label=f"Add a row to: {answer.label}"),
        class_="table-entry",
    )  # fmt: skip


def _table_row(answer: Answer, base: str, index: int, row: list[Any], system: str,
               extra: Mapping[str, Sequence[str]]) -> Element:  # fmt: skip
    """A row of a table; index −1 is the pattern from which the page makes new rows ('#' stands for their number)."""
    number = "#" if index < 0 else str(index)
    shown = "#" if index < 0 else str(index + 1)
    cells = []
    for column, value in zip(answer.columns, row, strict=True):
        cell_id = f"a-{base}-{number}-{column.name}"
        # the pattern has no choice made yet
        asked = column if index >= 0 or column.kind != "choice" else dataclasses.replace(column, blank=True)
        cells.append(
            h("div", h("label", _label_words(column, system), for_=cell_id),
              _entry(asked, f"{answer.name}.{number}.{column.name}", cell_id, value, system, f"error-{base}",
                     extra.get(column.options_from or "", ())),
              class_="cell", data_column=column.name)
        )  # fmt: skip
    remove = h("button", "Remove", type="button", class_="quiet", data_remove_row=answer.name,
               aria_label=f"Remove row {shown} from: {answer.label}")  # fmt: skip
    return h("div", h("p", f"Row {shown}", class_="row-name"), cells, remove, class_="row", role="group",
             aria_label=f"{answer.label}, row {shown}")  # fmt: skip


def form_groups(part: Result | Stopped, system: str, example_name: str) -> list[Element]:
    """The fields of a calculator in their groups; the first group is open."""
    calculator = part.calculator
    extra = names_from_tables(part.standings)
    groups: dict[str, list[Element]] = {}
    asked: dict[str, bool] = {}
    for standing in part.standings.values():
        title = standing.answer.group or ("From the steps before" if standing.answer.follows else "Answers")
        groups.setdefault(title, []).append(field(calculator.key, standing, system, example_name, extra))
        asked[title] = asked.get(title, False) or standing.answer.follows is None
    # the first group with an answer to give is open; figures that only follow an earlier step wait behind their title
    opened = next((title for title, own in asked.items() if own), next(iter(groups)))
    return [
        h("details", h("summary", title), fields, class_="group", open=title == opened,
          data_keep=f"{calculator.key}-group-{position}")
        for position, (title, fields) in enumerate(groups.items())
    ]  # fmt: skip


def names_from_tables(standings: Mapping[str, Standing]) -> dict[str, list[str]]:
    """The names that tables of the user's own add to choices, by table."""
    added = {name: names_added(standing.answer, standing.value) for name, standing in standings.items()}
    return {name: names for name, names in added.items() if names is not None}


def problem_list(problems: Iterable[Problem], places: Mapping[str, str]) -> Element | None:
    """The summary of what needs attention, each line linked to its field where the page has it.

    ``places`` gives the calculator on the page by the name of an answer.
    """
    listed = list(problems)
    if not listed:
        return None
    lines = []
    for problem in listed:
        key = places.get(problem.name)
        if key is None:
            lines.append(h("li", problem.message))
            continue
        part = "-" + problem.part.replace(".", "-") if problem.part else ""
        lines.append(h("li", h("a", problem.message, href=f"#a-{key}-{problem.name}{part}", data_goto=True)))
    count = len(listed)
    title = "One answer needs attention" if count == 1 else f"{count} answers need attention"
    return h(
        "div",
        h("p", h("strong", title), ". Results that depend on it keep their last good figures."),
        h("ul", lines),
        class_="problems",
        tabindex="-1",
    )
