"""From what someone typed to the value of an answer, and back.

``read`` accepts what a form, a link, a plan file or the command line carries: text, numbers, yes/no, lists.
Whatever it can't accept comes back as ``Problem`` with the field, what was entered and what is allowed.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import unquote

from calculators.declare import Answer
from calculators.log_reading import LONGEST_LOG, tidy
from calculators.units import (
    EntryError,
    convert,
    display_symbol,
    display_unit,
    parse_count,
    parse_quantity,
    show,
    show_number,
)  # fmt: skip

LONGEST_TEXT = 60
LONGEST_LIST_TEXT = 4_000
LONGEST_LINK = 20_000
LONGEST_LOG_IN_LINK = 2_000
"""Characters of a log that a link still carries; a longer one stays on the device and in the plan file."""
ROW_MARK = ";"
CELL_MARK = ":"
ESCAPE = "\\"
"""Stands before a mark (or itself) that is part of a word in a link."""
SHOWN_LIMIT_SLACK = 5e-4
"""The most that four figures are off."""
_OTHER_UNIT = re.compile(r"[^\W\d_]|['\"′″]")
YES = ("yes", "y", "true", "1", "on")
NO = ("no", "n", "false", "0", "off")


@dataclass(frozen=True)
class Problem:
    """One entry that can't be used. ``name`` is the answer, ``part`` the cell within it ('' for the whole)."""

    name: str
    label: str
    entered: str
    message: str
    part: str = ""

    @property
    def field(self) -> str:
        """The name that a form gives to the field at fault."""
        return f"{self.name}.{self.part}" if self.part else self.name


class Refused(Exception):
    """Carries the problems found while one answer was read."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        super().__init__("; ".join(problem.message for problem in problems))
        self.problems = tuple(problems)


def shorten(raw: Any) -> str:
    """What was entered, on one line of at most 40 characters."""
    try:
        words = raw if isinstance(raw, str) else repr(raw)
    except (RecursionError, ValueError):  # lists within lists without end, a number of thousands of digits
        return "…"
    words = " ".join(words.split())
    return words if len(words) <= 40 else words[:39] + "…"


def _is_blank(raw: Any) -> bool:
    return raw is None or (isinstance(raw, str) and not raw.strip())


def limits_in_words(answer: Answer, system: str = "metric") -> str:
    """'between 1 and 20 m', 'at least 0 kg' or '' where there is no limit."""
    shown = display_unit(answer.unit, system)
    if answer.low is not None and answer.high is not None:
        low = show_number(convert(answer.low, answer.unit, shown), 4)
        return f"between {low} and {show(answer.high, answer.unit, system, 4)}"
    if answer.low is not None:
        return f"at least {show(answer.low, answer.unit, system, 4)}"
    if answer.high is not None:
        return f"at most {show(answer.high, answer.unit, system, 4)}"
    return ""


def _label_of(answer: Answer, where: str) -> str:
    return f"{answer.label} ({where})" if where else answer.label


def _number(answer: Answer, raw: Any, system: str, label: str) -> float | int:
    if _is_blank(raw):
        raise EntryError(f"Enter {_lower_first(label)}", _allowed(answer, system))
    try:
        if answer.kind == "count":
            value: float | int = parse_count(raw, answer.unit)
        else:
            value = parse_quantity(raw, answer.unit, display_unit(answer.unit, system))
    except EntryError as error:
        advice = error.advice or _allowed(answer, system)
        raise EntryError(f"{label}: ‘{shorten(raw)}’ {error.reason}", advice) from None
    within = _within(answer, value, raw, system)
    if within is None:
        raise EntryError(
            f"{label} must be {limits_in_words(answer, system)}; you wrote ‘{shorten(raw)}’", answer.why_limits
        )
    return within


def _within(answer: Answer, value: float | int, raw: Any, system: str) -> float | int | None:
    """The value, moved to the limit that it passes by no more than a limit shown in another unit is rounded by.

    A limit is shown with four figures: 800 kg as 1764 lb, which is 800.14 kg, and must be taken when typed back.
    ``None`` beyond that, and for every figure written in the declared unit.
    """
    elsewhere = display_unit(answer.unit, system) != answer.unit or (isinstance(raw, str) and _OTHER_UNIT.search(raw))
    slack = SHOWN_LIMIT_SLACK if elsewhere and answer.kind == "number" else 0.0
    for bound, beyond in ((answer.low, -1), (answer.high, 1)):
        if bound is not None and (value - bound) * beyond > 0:
            return float(bound) if (value - bound) * beyond <= slack * max(abs(bound), 1e-6) else None
    return value


def _allowed(answer: Answer, system: str) -> str:
    words = limits_in_words(answer, system)
    return f"It must be a number {words}." if words else "It must be a number."


def _lower_first(label: str) -> str:
    return label[:1].lower() + label[1:] if label[1:2].islower() else label


def _choice(answer: Answer, raw: Any, label: str, extra: Sequence[str]) -> str:
    words = raw.strip() if isinstance(raw, str) else shorten(raw) if isinstance(raw, (int, float)) else ""
    for option in answer.options:
        if words.casefold() in (option.key.casefold(), option.label.casefold()):
            return option.key
    for name in extra:
        if words.casefold() == name.casefold():
            return name
    known = [option.key for option in answer.options] + list(extra)
    near = difflib.get_close_matches(words, known, 3, 0.5)
    listed = near or known[:12]
    raise EntryError(
        f"{label}: ‘{shorten(raw)}’ is not one of the choices",
        ("Did you mean " if near else "Choose one of ") + ", ".join(listed) + ("?" if near else "."),
    )


def _flag(raw: Any, label: str) -> bool:
    if isinstance(raw, bool):
        return raw
    words = shorten(raw).casefold()
    if words in YES:
        return True
    if words in NO:
        return False
    raise EntryError(f"{label}: ‘{shorten(raw)}’ is neither yes nor no", "Write yes or no.")


def _text(raw: Any, label: str) -> str:
    if not isinstance(raw, (str, int, float)) or isinstance(raw, bool):
        raise EntryError(f"{label} must be words", "")
    words = " ".join(raw.split()) if isinstance(raw, str) else shorten(raw)
    if len(words) > LONGEST_TEXT:
        raise EntryError(f"{label} is longer than {LONGEST_TEXT} letters", "Shorten it.")
    if not all(character.isprintable() for character in words):
        raise EntryError(f"{label} holds a character that can't be shown", "Write plain words.")
    return words


def _log(raw: Any, label: str) -> str:
    if raw is None:
        return ""
    if not isinstance(raw, str):
        raise EntryError(f"{label} must be text", "")
    if len(raw) > LONGEST_LOG:
        raise EntryError(f"{label}: {len(raw)} characters are more than the {LONGEST_LOG} that can be read",
                         "Split the log by batch, or keep one line an hour.")  # fmt: skip
    return tidy(raw) if raw.strip() else ""


def _single(answer: Answer, raw: Any, system: str, where: str, extra: Sequence[str]) -> Any:
    label = _label_of(answer, where)
    if answer.blank and _is_blank(raw):
        return None
    if answer.kind in ("number", "count"):
        return _number(answer, raw, system, label)
    if answer.kind == "choice":
        if _is_blank(raw):
            raise EntryError(f"Choose {_lower_first(label)}", "")
        return _choice(answer, raw, label, extra)
    if answer.kind == "flag":
        return _flag(raw, label)
    if answer.kind == "log":
        return _log(raw, label)
    return _text("" if raw is None else raw, label)


def _split(text: str, mark: str) -> list[str]:
    """The pieces between marks. A mark after ``ESCAPE`` parts nothing; in cells the escapes are taken out."""
    pieces = [""]
    characters = iter(text)
    for character in characters:
        if character == mark:
            pieces.append("")
        elif character == ESCAPE:
            after = next(characters, "")
            known = after in (ROW_MARK, CELL_MARK, ESCAPE) and after
            pieces[-1] += after if known and mark == CELL_MARK else character + after
        else:
            pieces[-1] += character
    return pieces


def _escaped(words: str) -> str:
    for mark in (ESCAPE, ROW_MARK, CELL_MARK):
        words = words.replace(mark, ESCAPE + mark)
    return words


def _items(raw: Any, mark: str, label: str) -> list[Any]:
    if isinstance(raw, str):
        if len(raw) > LONGEST_LIST_TEXT:
            raise EntryError(f"{label} is longer than {LONGEST_LIST_TEXT} characters", "Shorten it.")
        return _split(raw, mark) if raw.strip() else []
    if isinstance(raw, Sequence) and not isinstance(raw, (bytes, bytearray)):
        return list(raw)
    raise EntryError(f"{label} must be a list", f"Part the values by ‘{mark}’.")


def _message(error: EntryError) -> str:
    reason = error.reason.rstrip(".") + "."
    return f"{reason} {error.advice}".strip()


def read(answer: Answer, raw: Any, system: str = "metric", extra: Mapping[str, Sequence[str]] | None = None) -> Any:
    """The value of ``answer`` that ``raw`` stands for, in the declared unit.

    ``system`` is the unit system meant where a number has no unit written with it. ``extra`` gives further names
    that a choice may take, by the name of the table they come from. Raises ``Refused`` with every problem found.
    """
    more = extra or {}
    problems: list[Problem] = []

    def part(cell: Answer, value: Any, where: str, address: str) -> Any:
        try:
            return _single(cell, value, system, where, more.get(cell.options_from or "", ()))
        except EntryError as error:
            problems.append(Problem(answer.name, _label_of(cell, where), shorten(value), _message(error), address))
            return None

    value: Any
    try:
        if answer.kind == "series":
            items = _items(raw, ROW_MARK, answer.label)
            if len(items) != len(answer.rows):
                raise EntryError(
                    f"{answer.label} needs {len(answer.rows)} values, one for each of {answer.rows[0]} to "
                    f"{answer.rows[-1]}; {len(items)} given",
                    f"Part them by ‘{ROW_MARK}’.",
                )
            cell = _cell_of(answer)
            value = tuple(
                part(cell, item, row, str(index))
                for index, (item, row) in enumerate(zip(items, answer.rows, strict=True))
            )
        elif answer.kind == "table":
            value = _rows(answer, raw, part)
        else:
            value = part(answer, raw, "", "")
    except EntryError as error:
        problems.append(Problem(answer.name, answer.label, shorten(raw), _message(error)))
        value = None
    if problems:
        raise Refused(problems)
    return value


def _rows(answer: Answer, raw: Any, part: Any) -> tuple[tuple[Any, ...], ...]:
    rows = []
    for row in _items(raw, ROW_MARK, answer.label):
        cells = _items(row, CELL_MARK, answer.label)
        if all(_is_blank(cell) for cell in cells):
            continue  # an empty row of a form is no row
        if len(cells) > len(answer.columns):
            raise EntryError(
                f"{answer.label}: a row has {len(cells)} values where {len(answer.columns)} are known",
                "The order is " + ", ".join(column.name for column in answer.columns) + ".",
            )
        rows.append(list(cells) + [None] * (len(answer.columns) - len(cells)))
    if len(rows) > answer.most_rows:
        raise EntryError(f"{answer.label} may have at most {answer.most_rows} rows; {len(rows)} given", "")
    return tuple(
        tuple(
            part(column, cell, f"row {index + 1}", f"{index}.{column.name}")
            for column, cell in zip(answer.columns, cells, strict=True)
        )
        for index, cells in enumerate(rows)
    )


def names_added(answer: Answer, value: Any) -> list[str] | None:
    """The names that a table of the user's own adds to choices (its first column); ``None`` for any other answer."""
    if answer.kind == "table" and answer.columns and answer.columns[0].kind == "text":
        return [str(row[0]) for row in value if row[0]]
    return None


def _cell_of(answer: Answer) -> Answer:
    """The answer that each row of a series is."""
    return Answer(
        answer.name, "number", answer.label, answer.unit, low=answer.low, high=answer.high, usual=answer.usual,
        why_limits=answer.why_limits,
    )  # fmt: skip


def write(answer: Answer, value: Any, system: str = "metric", digits: int = 6) -> Any:
    """What a form shows for a value: text, or lists of text for a series and a table. Reads back to the same."""
    if value is None:
        return ""
    if answer.kind == "number":
        return show_number(convert(float(value), answer.unit, display_unit(answer.unit, system)), digits)
    if answer.kind == "count":
        return str(value)
    if answer.kind == "flag":
        return "yes" if value else "no"
    if answer.kind == "series":
        cell = _cell_of(answer)
        return [write(cell, item, system, digits) for item in value]
    if answer.kind == "table":
        return [
            [write(column, item, system, digits) for column, item in zip(answer.columns, row, strict=True)]
            for row in value
        ]
    return str(value)


def in_link(answer: Answer, value: Any) -> str:
    """The value as a link and the command line carry it, in the declared unit, full precision."""
    if value is None:
        return ""
    if answer.kind in ("number", "count"):
        return repr(value) if isinstance(value, int) else _plain(float(value))
    if answer.kind == "series":
        return ROW_MARK.join(_plain(float(item)) for item in value)
    if answer.kind == "table":
        return ROW_MARK.join(
            CELL_MARK.join(_escaped(in_link(column, cell)) for column, cell in zip(answer.columns, row, strict=True))
            for row in value
        )
    return write(answer, value)


def too_long_for_link(answer: Answer, value: Any) -> bool:
    """Whether a link leaves the answer out because it is a long log."""
    return answer.kind == "log" and len(value or "") > LONGEST_LOG_IN_LINK


def link_pieces(fragment: str) -> Iterator[tuple[str, str | None]]:
    """Name and value of each piece of a link after ``#``, decoded; the value is ``None`` where no ``=`` stands.

    What lies beyond ``LONGEST_LINK`` characters is not read.
    """
    for piece in fragment[:LONGEST_LINK].lstrip("#").split("&"):
        name, equals, raw = piece.partition("=")
        yield unquote(name), unquote(raw) if equals else None


def _plain(value: float) -> str:
    return str(int(value)) if value == int(value) and abs(value) < 1e15 else repr(value)


def unit_words(answer: Answer, system: str = "metric") -> str:
    """The unit in which a form expects a figure, as a symbol."""
    return display_symbol(answer.unit, system)
