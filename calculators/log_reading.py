"""Reading a log of temperatures: from pasted or opened text to readings, with each line that was not taken, and why.

The text has a line for each moment: a date with its time, one or several probes, perhaps a batch and a word that says
that the heap was turned. Columns are parted by tabs, semicolons, bars, commas or spaces. Nothing is guessed that would
change a verdict: where a date can be read in two ways, or no unit is written, ``Asked`` says what must be told. Nothing
is dropped unsaid: whatever is not taken as it stands is in ``Log.lines``.

Moments are whole minutes since the first day of the calendar that ``datetime.date`` uses.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

LONGEST_LOG = 100_000
"""Characters: some 3,000 lines of three probes."""
MOST_LINES = 5_000
MOST_COLUMNS = 40
MOST_PROBES = 24
MOST_BATCHES = 40
MOST_TOLD = 200
"""Lines that are told one by one; the rest are counted."""
LOWEST_C, HIGHEST_C = -30.0, 100.0
"""Beyond these a figure is no temperature of a heap."""
FIRST_YEAR, LAST_YEAR = 1990, 2100
SHORT_YEARS_FROM = 2020
"""A year in two figures is read from here on, so that 03.04.26 is not a day of 2003."""
DAY = 24 * 60
NOON = 12 * 60
LONGEST_BATCH_DAYS = 366
"""A reading further than this from the middle of its batch has a mistyped date, or belongs to another batch."""
SHOWN_LINE = 60
ORDERS = ("dmy", "mdy", "ymd")
ORDER_WORDS = {"dmy": "day, month, year", "mdy": "month, day, year", "ymd": "year, month, day"}
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)

Moment = int
Series = tuple[tuple[Moment, "float | None"], ...]
"""Readings of one probe in order of time, °C; ``None`` is one that stands in the log and could not be read."""


class LogRefused(ValueError):
    """The text can't be used as a log; the message says why and what would help."""


class Asked(LogRefused):
    """The text can be read in more than one way. ``about`` is 'date_order' or 'unit'."""

    def __init__(self, about: str, message: str) -> None:
        super().__init__(message)
        self.about = about


@dataclass(frozen=True)
class Probe:
    """One place in the heap where temperatures were read. ``depth_cm`` is ``None`` where the log does not say."""

    name: str
    depth_cm: float | None
    series: Series


@dataclass(frozen=True)
class Batch:
    """One batch: its probes, and the moments at which it was turned. The name is '' where the log has no batches."""

    name: str
    probes: tuple[Probe, ...]
    turnings: tuple[Moment, ...]

    @property
    def moments(self) -> list[Moment]:
        """Every moment with a reading, in order."""
        return sorted({moment for probe in self.probes for moment, _ in probe.series})


@dataclass(frozen=True)
class Line:
    """A line that was not taken as it stands: its number (0 for what is typed beside the log), its text, and why."""

    number: int
    text: str
    why: str


@dataclass(frozen=True)
class Log:
    """What was read. ``remarks`` say how; ``untold`` counts lines beyond those listed."""

    batches: tuple[Batch, ...] = ()
    lines: tuple[Line, ...] = ()
    remarks: tuple[str, ...] = ()
    untold: int = 0


def in_words(moment: Moment, with_time: bool = True) -> str:
    """'3 Apr 2026 08:00', or '3 April 2026'."""
    day = datetime.date.fromordinal(moment // DAY)
    month = MONTHS[day.month - 1]
    if not with_time:
        return f"{day.day} {month} {day.year}"
    return f"{day.day} {month[:3]} {day.year} {moment % DAY // 60:02d}:{moment % 60:02d}"


# ---- dates and times ------------------------------------------------------------------------------------------

_WEEKDAY = re.compile(r"^(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,?\s+", re.IGNORECASE)
_NUMERIC = re.compile(r"^(\d{1,4})([-/.])(\d{1,2})\2(\d{1,4})(?:(?:[T,]|\s)\s*(\S.*))?$")
_NAMED = re.compile(r"^(\d{1,2})(?:st|nd|rd|th)?[-\s/.]*([A-Za-z]{3,9})\.?,?[-\s/.]*(\d{4}|\d{2})(?:(?:[T,]|\s)\s*(\S.*))?$")
_NAMED_FIRST = re.compile(r"^([A-Za-z]{3,9})\.?\s*(\d{1,2})(?:st|nd|rd|th)?,?\s+(\d{4})(?:(?:[T,]|\s)\s*(\S.*))?$")
_CLOCK = re.compile(
    r"^(\d{1,2})(?:[:.h](\d{2}))?(?:[:.](\d{2})(?:[.,]\d+)?)?\s*([ap]\.?m\.?)?\s*(z|utc|[+\-]\d{2}:?\d{2})?$", re.IGNORECASE
)

_Triple = tuple[str, str, str]
"""Three parts of a date as written; a month in words is already a number, with the day before it and the year after."""


@dataclass(frozen=True)
class _Date:
    parts: _Triple
    named: bool
    rest: str


@lru_cache(maxsize=4096)
def _date(cell: str) -> _Date | None:
    """The date in a cell, with what follows it, or ``None`` where there is none."""
    if len(cell) > 48:
        return None
    cell = _WEEKDAY.sub("", cell)
    if found := _NUMERIC.match(cell):
        return _Date((found[1], found[3], found[4]), False, found[5] or "")
    named = _NAMED.match(cell)
    first = None if named else _NAMED_FIRST.match(cell)
    if not named and not first:
        return None
    day, month, year, rest = (named[1], named[2], named[3], named[4]) if named else (first[2], first[1], first[3], first[4])  # type: ignore[index]
    number = next(
        (
            place
            for place, name in enumerate(MONTHS, start=1)
            if name.lower().startswith(month.lower()[:3]) and name.lower().startswith(month.lower()[: len(name)])
        ),
        0,
    )
    if month.lower() == "sept":
        number = 9
    return _Date((day, str(number), year), True, rest or "") if number else None


@lru_cache(maxsize=4096)
def _readings_of(parts: _Triple, named: bool) -> dict[str, int]:
    """The day (as an ordinal) that three parts stand for, by each order in which they make one."""
    if named:
        orders: Sequence[str] = ("dmy",)
    elif len(parts[0]) == 4 and len(parts[2]) <= 2:
        orders = ("ymd",)
    elif len(parts[2]) == 4 and len(parts[0]) <= 2:
        orders = ("dmy", "mdy")
    elif len(parts[0]) <= 2 and len(parts[2]) == 2:
        orders = ORDERS
    else:
        return {}
    found = {}
    for order in orders:
        year, month, day = (int(parts[order.index(sign)]) for sign in "ymd")
        short = len(parts[order.index("y")]) <= 2
        year += 2000 if short else 0
        if (SHORT_YEARS_FROM if short and not named else FIRST_YEAR) <= year <= LAST_YEAR:
            try:
                found[order] = datetime.date(year, month, day).toordinal()
            except ValueError:
                continue
    return found


@lru_cache(maxsize=4096)
def _clock(cell: str) -> tuple[int, int | None] | None:
    """Minutes since midnight, and the offset from universal time in minutes where one is written; ``None`` for no time."""
    if cell.isdecimal() and len(cell) == 4:
        cell = f"{cell[:2]}:{cell[2:]}"
    found = _CLOCK.match(cell) if len(cell) <= 32 else None
    if found is None or (found[2] is None and found[4] is None and not cell.lower().endswith("h")):
        return None
    hour, minute = int(found[1]), int(found[2] or 0)
    if found[4]:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if found[4].lower().startswith("p") else 0)
    if hour > 23 or minute > 59:
        return None
    offset = None
    if found[5]:
        digits = found[5].replace(":", "")
        offset = 0 if digits[0] in "zZuU" else (int(digits[1:3]) * 60 + int(digits[3:])) * (-1 if digits[0] == "-" else 1)
    return 60 * hour + minute, offset


def _shown_day(ordinal: int) -> str:
    return in_words(ordinal * DAY, with_time=False)


def _order(dates: Sequence[tuple[int, str, _Date]], told: str) -> str:
    """The order in which the dates are written: as told, or the only one in which they all make sense. Raises ``Asked``."""
    open_ = [
        (number, cell, found)
        for number, cell, each in dates
        if not each.named and len(found := _readings_of(each.parts, each.named)) > 0 and len(each.parts[0]) != 4
    ]
    if told:
        return told
    if not open_:
        return ""
    left = [order for order in ORDERS if all(order in found for _, _, found in open_)]
    if len(left) == 1 or (left and all(len({found[order] for order in left}) == 1 for _, _, found in open_)):
        return left[0]
    if left:
        number, cell, found = next(each for each in open_ if len({each[2][order] for order in left}) > 1)
        ways = " or ".join(dict.fromkeys(_shown_day(found[order]) for order in left))
        where = f"line {number}" if number else "typed turnings"
        raise Asked("date_order", f"‘{cell}’ ({where}) is {ways}, and no line tells which. Choose the order of the date")
    sure = {next(iter(found)): (number, cell) for number, cell, found in reversed(open_) if len(found) == 1}
    said = "; ".join(
        f"{f'line {number}' if number else 'typed turnings'}, ‘{cell}’, only as {ORDER_WORDS[order]}"
        for order, (number, cell) in sorted(sure.items())
    )
    raise Asked(
        "date_order", f"The dates do not all follow one order: {said}. Choose the order; lines that do not fit it are listed"
    )


# ---- figures and words ----------------------------------------------------------------------------------------

_FIGURE = re.compile(
    r"^([+\-\u2212\u2013]?)\s*(\d{1,4})(?:[.,](\d{1,6}))?\s*(?:°|º|˚|\ufffd|deg(?:rees)?\.?)?\s*(c|f|celsius|fahrenheit)?\.?$",
    re.IGNORECASE,
)
_BLANK = frozenset(("", "-", "–", "—", "−", "n/a", "na", "nan", "null", "none", ".", "?", "--", "---", "x x"))
_TURNED = re.compile(
    r"^turn(?:ed|ing|ings)?(?:\s+over)?(?:\s*(?:,|&|\+|and)\s*water(?:ed)?)?(?:\s*(?:no\.?|nr\.?|#)?\s*\d{1,2})?[.!]?$",
    re.IGNORECASE,
)
_YES = frozenset(("yes", "y", "x", "1", "true", "✓", "✔", "ja", "si", "sí", "oui"))
_NO = frozenset(("no", "n", "0", "false", "not", "nein", "non"))
_UNIT = re.compile(
    r"(?:(?:°|º|˚|\ufffd|deg(?:rees)?\.?)\s*([cf])(?![a-z])|[(\[_,/]\s*([cf])\s*[)\]]?\s*$|temp(?:erature)?s?\.?\s*(?:in\s+)?([cf])(?![a-z])"
    r"|\b(celsius|fahrenheit|centigrade)\b)",
    re.IGNORECASE,
)
_DEPTH = re.compile(r"(\d{1,3}(?:[.,]\d{1,2})?)\s*(cm|mm|m|inch(?:es)?|in|ft|feet|foot|\"|″|”)(?![a-z])", re.IGNORECASE)
_CM = {"cm": 1.0, "mm": 0.1, "m": 100.0, "i": 2.54, '"': 2.54, "″": 2.54, "”": 2.54, "f": 30.48}
_ROLES = (
    (
        "date",
        re.compile(
            r"^(?:date|day|when|time ?stamp|date ?(?:and|&|/|-|_)? ?time|datum|fecha|data|dato|moment)s?\b", re.IGNORECASE
        ),
    ),
    ("time", re.compile(r"^(?:time|hour|clock|uhrzeit|zeit|hora|heure)s?\b", re.IGNORECASE)),
    (
        "batch",
        re.compile(r"^(?:batch|heap|pile|lot|bay|windrow|charge)s?(?:\s*(?:no|nr|number|name|id|#)\.?)?$", re.IGNORECASE),
    ),
    ("turned", re.compile(r"^turn(?:ed|ing|ings|s)?\b", re.IGNORECASE)),
    (
        "probe",
        re.compile(r"^(?:probe|point|place|position|sensor|where|spot)s?(?:\s*(?:no|nr|number|name|id|#)\.?)?$", re.IGNORECASE),
    ),
    ("depth", re.compile(r"^depth\b", re.IGNORECASE)),
    ("air", re.compile(r"^(?:air|ambient|outdoors?|outside (?:air|temp)|room|shade)\b", re.IGNORECASE)),
    (
        "text",
        re.compile(
            r"^(?:note|remark|comment|by|who|name|initial|sign|water|moisture|humidity|rain|oxygen|o2|co2|ph|smell|no|nr|line|#)s?\b|%",
            re.IGNORECASE,
        ),
    ),
)


def _figure(cell: str) -> tuple[float, str] | None:
    """The figure in a cell and the unit written with it ('', 'c' or 'f')."""
    found = _FIGURE.match(cell) if len(cell) <= 24 else None
    if found is None:
        return None
    value = float(f"{int(found[2])}.{found[3] or 0}")
    return (-value if found[1] in ("-", "\u2212", "\u2013") else value), (found[4] or "")[:1].lower()


def celsius(figure: float, unit: str) -> float:
    """A temperature in °C from one in ``unit`` ('c' or 'f'): 131 °F are 55 °C, to the last digit that matters."""
    return round((figure - 32) * 5 / 9, 9) if unit == "f" else figure


def _unit_in(words: str) -> str:
    """The unit that words name: 'c', 'f' or ''."""
    found = _UNIT.search(words)
    return next(each for each in found.groups() if each)[:1].lower() if found else ""


def _depth_in(words: str) -> float | None:
    """The depth that words name, in cm."""
    found = _DEPTH.search(words)
    if found is None:
        return None
    unit = found[2].lower()
    return float(found[1].replace(",", ".")) * _CM.get(unit, _CM.get(unit[0], 1.0))


def _is_blank(cell: str) -> bool:
    return cell.lower() in _BLANK


# ---- lines and columns ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Row:
    number: int
    text: str
    cells: tuple[str, ...]


def tidy(text: str) -> str:
    """The text with line ends alike, and nothing in it but signs that can be shown, tabs and line ends."""
    text = text.replace("\r\n", "\n").replace("\r", "\n").removeprefix("\ufeff")
    if text.isascii() and text.replace("\n", "").replace("\t", "").isprintable():
        return text
    return "".join(sign if sign.isprintable() or sign in "\n\t" else " " for sign in text)


def _split(line: str, mark: str) -> list[str]:
    """The cells of a line; what stands in double quotes is one cell."""
    if mark == " ":
        return re.sub(r"\s+([ap]\.?m\.?)(?=\s|$)", r"\1", line.strip(), flags=re.IGNORECASE).split()
    if mark == "  ":
        return [cell.strip() for cell in re.split(r"\s{2,}", line.strip())]
    if '"' not in line:
        return [cell.strip() for cell in line.split(mark)]
    cells, quoted, start = [""], False, True
    for sign in line:
        if sign == '"' and (quoted or start):
            quoted = not quoted
        elif sign == mark and not quoted:
            cells.append("")
            start = True
            continue
        else:
            cells[-1] += sign
        start = start and sign.isspace()
    return [cell.strip() for cell in cells]


def _mark(lines: Sequence[str]) -> str:
    """What parts the columns: the first of tab, semicolon, bar and comma that half of the lines have, else spaces."""
    for mark in ("\t", ";", "|", ","):
        if 2 * sum(mark in line for line in lines) >= len(lines):
            return mark
    wide = sum(bool(re.search(r"\S\s{2,}\S", line)) for line in lines)
    return "  " if 2 * wide >= len(lines) else " "


@dataclass
class _Columns:
    """What each column holds."""

    date: int = -1
    time: int = -1
    batch: int = -1
    probe: int = -1
    depth: int = -1
    turned: list[int] = field(default_factory=list)
    figures: list[int] = field(default_factory=list)
    words: list[int] = field(default_factory=list)
    names: list[str] = field(default_factory=list)
    units: dict[int, str] = field(default_factory=dict)
    depths: dict[int, float | None] = field(default_factory=dict)
    count: int = 0


def _has_date(row: _Row) -> bool:
    return any(_date(cell) is not None for cell in row.cells)


def _is_header(row: _Row) -> bool:
    if len([cell for cell in row.cells if cell]) < 2:
        return False
    named = any(_ROLES[0][1].match(cell) or _ROLES[1][1].match(cell) for cell in row.cells)
    return named or not any(_figure(cell) for cell in row.cells if not _is_blank(cell))


def _role(words: str) -> str:
    return next((role for role, pattern in _ROLES if pattern.match(words)), "")


def _mostly(cells: Iterable[str], test: object) -> bool:
    told = [cell for cell in cells if not _is_blank(cell)]
    return bool(told) and 2 * sum(test(cell) is not None for cell in told) > len(told)  # type: ignore[operator]


def _columns(header: _Row | None, rows: Sequence[_Row], remarks: list[str]) -> _Columns:
    """What the columns hold, by the words of the header, else by what stands in them."""
    found = _Columns()
    width = max(len(row.cells) for row in rows) if header is None else len(header.cells)
    if max(width, max(len(row.cells) for row in rows)) > MOST_COLUMNS:
        raise LogRefused(f"A line has more than {MOST_COLUMNS} columns; that is no log of a heap")
    found.count = width
    held: list[list[str]] = [[row.cells[place] for row in rows if place < len(row.cells)] for place in range(width)]
    words = [header.cells[place] if header else "" for place in range(width)]
    roles = [_role(cell) for cell in words]

    def another(place: int) -> bool:
        """Whether some other column can be the temperatures, so that this one names the probe."""
        return any(other != place and roles[other] == "" and _mostly(held[other], _figure) for other in range(width))

    dates = [sum(_date(cell) is not None for cell in cells) for cells in held]
    # the column that is named so, else the one with the most dates
    found.date = next(
        (place for place in range(width) if roles[place] == "date" and dates[place]),
        max(range(width), key=lambda place: dates[place]),
    )
    if not dates[found.date]:
        raise LogRefused("No column of dates was found. Each line needs a date, such as 2026-05-03, and best the time of day")
    for place in range(width):
        role = roles[place]
        if place == found.date:
            continue
        if (
            role in ("time", "date", "")
            and found.time < 0
            and _mostly(held[place], _clock)
            and (role or not _mostly(held[place], _figure))
        ):
            found.time = place
        elif role == "batch" and found.batch < 0 and not _unit_in(words[place]):
            found.batch = place
        elif role == "probe" and found.probe < 0 and (another(place) or not _mostly(held[place], _figure)):
            found.probe = place
        elif role == "depth" and found.depth < 0:
            found.depth = place
        elif role == "turned":
            found.turned.append(place)
        elif role == "air":
            remarks.append(f"Column ‘{words[place][:40]}’ is taken as the air around, not as a probe of the heap.")
        elif role == "text" or not (_mostly(held[place], _figure) or (words[place] and _unit_in(words[place]))):
            found.words.append(place)
            if words[place] and role == "" and any(not _is_blank(cell) for cell in held[place]):
                remarks.append(
                    f"Column ‘{words[place][:40]}’ holds no temperatures; only the word ‘turned’ is looked for in it."
                )
        else:
            found.figures.append(place)
            found.units[place] = _unit_in(words[place])
            found.depths[place] = _depth_in(words[place])
    for position, place in enumerate(found.figures, start=1):
        plain = re.sub(r"\s*[(\[]\s*[)\]]", "", _UNIT.sub("", words[place])).strip(" ,;:_/()[]-")
        name = plain[:40] or f"probe {position}"
        while name in found.names:
            name += "′"
        found.names.append(name)
    if found.probe >= 0 and len(found.figures) > 1:
        remarks.append(
            "A column names the probe, and there are several columns of temperatures: each pair is a probe of its own."
        )
    return found


# ---- reading --------------------------------------------------------------------------------------------------


class _Reader:
    """Gathers readings, turnings, lines not taken and remarks."""

    def __init__(self) -> None:
        self.held: dict[tuple[str, str], dict[Moment, tuple[float | None, int]]] = {}
        self.depths: dict[tuple[str, str], float | None] = {}
        self.turnings: dict[str, dict[Moment, int]] = {}
        self.lines: list[Line] = []
        self.untold = 0
        self.remarks: list[str] = []
        self.order: list[str] = []

    def refuse(self, row: _Row, why: str) -> None:
        """List a line that was not taken as it stands."""
        if len(self.lines) >= MOST_TOLD:
            self.untold += 1
            return
        text = " ".join(row.text.split())
        self.lines.append(Line(row.number, text if len(text) <= SHOWN_LINE else text[: SHOWN_LINE - 1] + "…", why))

    def reading(self, row: _Row, batch: str, probe: str, depth: float | None, moment: Moment, value: float | None) -> None:
        """Keep a reading; of two at one moment the colder counts."""
        series = self.held.setdefault((batch, probe), {})
        self.depths.setdefault((batch, probe), depth)
        before = series.get(moment)
        if before is None:
            series[moment] = (value, row.number)
            return
        kept, number = before
        if kept == value:
            self.refuse(row, f"{probe}: the same reading stands in line {number}; it is counted once")
            return
        colder = None if kept is None or value is None else min(kept, value)
        shown = " and ".join(
            "unreadable" if each is None else f"{each:g} °C" for each in sorted((kept, value), key=lambda v: (v is None, v))
        )
        self.refuse(row, f"{probe}: another reading of {in_words(moment)} stands in line {number} ({shown}); the colder counts")
        series[moment] = (colder, number)


def _rows(text: str) -> tuple[list[_Row], str]:
    lines = [(number, line) for number, line in enumerate(text.split("\n"), start=1) if line.strip()]
    if len(lines) > MOST_LINES:
        raise LogRefused(
            f"The log has {len(lines)} lines; at most {MOST_LINES} can be read. Split it by batch, or keep one line an hour"
        )
    mark = _mark([line for _, line in lines])
    return [_Row(number, line, tuple(_split(line, mark))) for number, line in lines], mark


def _parted(rows: list[_Row], reader: _Reader) -> tuple[_Row | None, list[_Row], str]:
    """The header (where there is one), the lines of readings, and the words of what stands before the header."""
    first = next((place for place, row in enumerate(rows[:60]) if _has_date(row)), None)
    if first is None:
        raise LogRefused("No date was found in it. Each line needs a date, such as 2026-05-03, best with the time of day")
    before = rows[:first]
    header = before.pop() if before and _is_header(before[-1]) else None
    for row in before:
        why = (
            "stands before the first reading and has no date"
            if header is None
            else "stands above the header; it is not a reading"
        )
        reader.refuse(row, why)
    return header, rows[first:], " ".join(row.text for row in before)


def _check_commas(mark: str, header: _Row | None, rows: Sequence[_Row]) -> None:
    """Refuse a text in which commas part the columns and are decimal marks too."""
    if mark != ",":
        return
    help_ = "Commas stand between the columns and, it seems, in the figures: save it with semicolons between the columns, or points in the figures"
    if header is not None:
        longer = sum(len(row.cells) > len(header.cells) for row in rows)
        if 2 * longer > len(rows):
            raise LogRefused(help_)
        return
    tails = []
    for row in rows:
        figures = [cell for cell in row.cells if _figure(cell) and not _date(cell) and not (":" in cell)]
        if not figures:
            continue
        if len(figures) % 2 or any("." in cell for cell in figures):
            return
        tails += figures[1::2]
    if tails and all(len(tail) == 1 for tail in tails):
        raise LogRefused(help_)


def _unit(columns: _Columns, header: _Row | None, titles: str, told: str, rows: Sequence[_Row], remarks: list[str]) -> str:
    """The unit of figures that have none written with them. Raises ``Asked``."""
    written = set(columns.units.values()) - {""}
    over_all = _unit_in(titles) or (_unit_in(header.text) if header else "")
    if len(written) == 1:
        (said,) = written
    elif not written and over_all:
        said = over_all
    else:
        said = ""
    if said:
        if told and told != said:
            remarks.append(f"The log itself says °{said.upper()}; your answer °{told.upper()} is left aside.")
        return said
    if told:
        return told
    bare = next(
        (
            (row.number, row.cells[place])
            for row in rows
            for place in columns.figures
            if not columns.units[place] and place < len(row.cells) and (figure := _figure(row.cells[place])) and not figure[1]
        ),
        None,
    )
    if bare is None:
        return "c"
    raise Asked("unit", f"The log does not say whether ‘{bare[1]}’ (line {bare[0]}) is °C or °F. Choose the unit")


def _moment(row: _Row, columns: _Columns, order: str, timed: bool, zone: list[int]) -> Moment | str:
    """The moment of a line, or why it has none."""
    cell = row.cells[columns.date] if columns.date < len(row.cells) else ""
    date = _date(cell)
    if date is None:
        return "no date" if _is_blank(cell) else f"‘{cell[:30]}’ is no date"
    days = _readings_of(date.parts, date.named)
    day = days.get("dmy") if date.named else days.get(order, days.get("ymd") if len(date.parts[0]) == 4 else None)
    if day is None:
        if days and order:
            return f"‘{cell[:30]}’ is no date in the order {ORDER_WORDS[order]}"
        return f"‘{cell[:30]}’ is no date" + ("; write the year in full" if len(date.parts[2]) == 2 else "")
    said = date.rest or (row.cells[columns.time] if 0 <= columns.time < len(row.cells) else "")
    if not said or _is_blank(said):
        return "no time of day, though other lines have one" if timed else day * DAY + NOON
    clock = _clock(said)
    if clock is None:
        return f"‘{said[:30]}’ is no time of day"
    minutes, offset = clock
    if offset is not None:
        if not zone:
            zone.append(offset)
        minutes += zone[0] - offset
    return day * DAY + minutes


def _has_time(row: _Row, columns: _Columns) -> bool:
    date = _date(row.cells[columns.date]) if columns.date < len(row.cells) else None
    if date is None:
        return False
    return _clock(date.rest or (row.cells[columns.time] if 0 <= columns.time < len(row.cells) else "")) is not None


def _turned(row: _Row, columns: _Columns, reader: _Reader) -> bool:
    """Whether a line says that the heap was turned."""
    for place in columns.turned:
        cell = row.cells[place].lower() if place < len(row.cells) else ""
        if _is_blank(cell) or cell in _NO:
            continue
        if cell in _YES or _TURNED.match(cell) or (cell.isdecimal() and len(cell) <= 2):
            return True
        reader.refuse(row, f"‘{cell[:30]}’ in the column of turnings is neither yes nor no; no turning is counted")
    for place in (*columns.words, *columns.figures):
        cell = row.cells[place] if place < len(row.cells) else ""
        if _TURNED.match(cell):
            return True
        if place in columns.words and "turn" in cell.lower() and not columns.turned:
            reader.refuse(
                row, f"‘{cell[:40]}’ is not counted as a turning: write the word ‘turned’ alone, or a column of turnings"
            )
    return False


def _take(row: _Row, columns: _Columns, unit: str, moment: Moment | str, reader: _Reader) -> None:
    """Readings and turning of one line."""

    def cell(place: int) -> str:
        return row.cells[place] if 0 <= place < len(row.cells) else ""

    batch = cell(columns.batch)[:40]
    if any(not _is_blank(extra) for extra in row.cells[columns.count :]):
        known = (
            isinstance(moment, int)
            and columns.probe < 0
            and columns.depth < 0
            and not (columns.batch >= 0 and _is_blank(batch))
        )
        then = "it counts as too cold until it is put right" if known else "nothing of it is counted"
        reader.refuse(row, f"has {len(row.cells)} cells where there are {columns.count} columns; {then}")
        if known:
            for name, place in zip(columns.names, columns.figures, strict=True):
                reader.reading(row, batch, name, columns.depths[place], moment, None)  # type: ignore[arg-type]
        return
    if isinstance(moment, str):
        reader.refuse(row, f"{moment}; nothing of it is counted")
        return
    if columns.batch >= 0 and _is_blank(batch):
        reader.refuse(row, "no batch, though the log has a column of batches; nothing of it is counted")
        return
    turned = _turned(row, columns, reader)
    if turned:
        reader.turnings.setdefault(batch, {})[moment] = row.number
    any_figure = False
    depth = _depth_in(cell(columns.depth)) if columns.depth >= 0 else None
    if depth is None and columns.depth >= 0 and (figure := _figure(cell(columns.depth))):
        depth = figure[0]
    for name, place in zip(columns.names, columns.figures, strict=True):
        written = cell(place)
        if columns.probe >= 0:
            which = cell(columns.probe)[:30] or "no name"
            name = which if len(columns.figures) == 1 else f"{which}, {name}"
        if columns.depth >= 0 and not _is_blank(cell(columns.depth)):
            name = f"{name} at {cell(columns.depth)[:12]}"
        if _is_blank(written) or _TURNED.match(written):
            continue
        any_figure = True
        figure = _figure(written)
        if figure is None:
            reader.refuse(row, f"{name}: ‘{written[:30]}’ is no temperature; it counts as too cold until it is put right")
            value = None
        else:
            value = celsius(figure[0], figure[1] or columns.units[place] or unit)
            if not LOWEST_C <= value <= HIGHEST_C:
                reader.refuse(
                    row, f"{name}: {written[:30]} is no temperature of a heap; it counts as too cold until it is put right"
                )
                value = None
        reader.reading(row, batch, name, depth if depth is not None else columns.depths[place], moment, value)
    if not any_figure and not turned:
        reader.refuse(row, "no temperature and no turning in it")


def _typed(text: str, order: str, reader: _Reader) -> Iterator[tuple[str, Moment]]:
    """Turnings typed beside the log: on each line a date, perhaps its time, perhaps a batch after a semicolon."""
    rows = [
        _Row(0, line, tuple(part.strip() for part in re.split(r"[;\t|]", line))) for line in text.split("\n") if line.strip()
    ]
    if len(rows) > MOST_LINES:
        raise LogRefused(f"At most {MOST_LINES} turnings can be read")
    dates = [(0, row.cells[0], date) for row in rows if (date := _date(row.cells[0]))]
    order = _order(dates, order)
    for row in rows:
        cells = list(row.cells)
        columns = _Columns(date=0, time=1 if len(cells) > 1 and _clock(cells[1]) else -1)
        moment = _moment(_Row(0, row.text, tuple(cells)), columns, order, False, [])
        rest = [cell for place, cell in enumerate(cells) if place not in (0, columns.time) and cell and not _TURNED.match(cell)]
        if isinstance(moment, str) or len(rest) > 1:
            why = moment if isinstance(moment, str) else "more than a date, its time and a batch"
            reader.refuse(row, f"typed as a turning: {why}; it is not counted")
            continue
        yield (rest[0][:40] if rest else ""), moment


def _add_typed(text: str, order: str, reader: _Reader, batches: Sequence[str]) -> None:
    for batch, moment in _typed(text, order, reader):
        row = _Row(0, f"{in_words(moment)} {batch}".strip(), ())
        if not batch and len(batches) == 1:
            batch = batches[0]
        if not batch and len(batches) > 1:
            reader.refuse(row, f"typed as a turning: which of the batches {', '.join(batches[:6])}? Write it after a semicolon")
        elif batches and batch not in batches:
            reader.refuse(row, f"typed as a turning: the log has no batch ‘{batch}’; it is not counted")
        else:
            reader.turnings.setdefault(batch, {}).setdefault(moment, 0)


def _far(reader: _Reader, rows: dict[int, _Row]) -> None:
    """Take out readings whose date lies far from the rest of their batch."""
    moments: dict[str, list[Moment]] = {}
    for (batch, _), series in reader.held.items():
        moments.setdefault(batch, []).extend(series)
    for (batch, probe), series in reader.held.items():
        middle = sorted(moments[batch])[len(moments[batch]) // 2]
        for moment in [each for each in series if abs(each - middle) > LONGEST_BATCH_DAYS * DAY]:
            _, number = series.pop(moment)
            reader.refuse(
                rows[number],
                f"{probe}: {in_words(moment)} lies more than a year from the middle of its batch; mistyped, or another "
                "batch: it is not counted",
            )


@lru_cache(maxsize=8)
def read_log(text: str, date_order: str = "", unit: str = "", turnings: str = "") -> Log:
    """What a text says. ``date_order`` is one of ``ORDERS`` or '', ``unit`` 'c', 'f' or '', ``turnings`` are typed beside it.

    Raises ``Asked`` where more must be told, ``LogRefused`` for what is no log or is too long.
    """
    if len(text) > LONGEST_LOG or len(turnings) > LONGEST_LOG:
        raise LogRefused(f"The log is longer than {LONGEST_LOG} characters. Split it by batch, or keep one line an hour")
    text, turnings = tidy(text), tidy(turnings)
    if not text.strip():
        if turnings.strip():
            raise LogRefused("Turnings are typed, but there are no readings. Put the log in first")
        return Log()
    reader = _Reader()
    every, mark = _rows(text)
    header, rows, titles = _parted(every, reader)
    _check_commas(mark, header, rows)
    if header is not None and mark == " " and 2 * sum(len(row.cells) != len(header.cells) for row in rows) > len(rows):
        raise LogRefused(
            "The first line has another number of words than the lines below have values: put semicolons or tabs between columns"
        )
    columns = _columns(header, rows, reader.remarks)
    reader.order = columns.names
    dates = [
        (row.number, row.cells[columns.date], date)
        for row in rows
        if columns.date < len(row.cells) and (date := _date(row.cells[columns.date]))
    ]
    order = _order(dates, date_order)
    unit = _unit(columns, header, titles, unit, rows, reader.remarks)
    with_figures = [
        row for row in rows if any(place < len(row.cells) and _figure(row.cells[place]) for place in columns.figures)
    ]
    timed = any(_has_time(row, columns) for row in with_figures)
    zone: list[int] = []
    last: dict[str, Moment] = {}
    backwards = 0
    for row in rows:
        moment = _moment(row, columns, order, timed and _needs_time(row, columns), zone)
        _take(row, columns, unit, moment, reader)
        if isinstance(moment, int):
            batch = row.cells[columns.batch] if 0 <= columns.batch < len(row.cells) else ""
            backwards += moment < last.get(batch, 0)
            last[batch] = moment
    if backwards:
        said = "1 line stands" if backwards == 1 else f"{backwards} lines stand"
        reader.remarks.append(f"{said} earlier in time than a line above; the readings were put in order.")
    if not timed and with_figures:
        reader.remarks.append(
            "No time of day is written: each reading is taken as read at the same hour. Write the time to be exact."
        )
    _far(reader, {row.number: row for row in rows})
    return _as_log(reader, turnings, order)


def _needs_time(row: _Row, columns: _Columns) -> bool:
    """A line with a temperature needs a time where others have one; one that only tells of a turning does not."""
    return any(place < len(row.cells) and _figure(row.cells[place]) for place in columns.figures)


def _as_log(reader: _Reader, turnings: str, order: str) -> Log:
    named = list(dict.fromkeys([batch for batch, _ in reader.held] + list(reader.turnings)))
    if len(named) > MOST_BATCHES:
        raise LogRefused(f"The log has {len(named)} batches; at most {MOST_BATCHES} can be read at once. Split it")
    _add_typed(turnings, order, reader, sorted({batch for batch, _ in reader.held}))
    batches = []
    for name in named:
        probes = [
            Probe(probe, reader.depths[name, probe], tuple((moment, series[moment][0]) for moment in sorted(series)))
            for (batch, probe), series in reader.held.items()
            if batch == name and series
        ]
        if len(probes) > MOST_PROBES:
            raise LogRefused(f"Batch ‘{name}’ has {len(probes)} probes; at most {MOST_PROBES} can be read")
        # in the order of the columns; by name where a column names the probe
        probes.sort(key=lambda probe: (reader.order.index(probe.name) if probe.name in reader.order else -1, probe.name))
        if probes:
            batches.append(Batch(name, tuple(probes), tuple(sorted(reader.turnings.get(name, ())))))
        elif reader.turnings.get(name):
            reader.remarks.append(f"Batch ‘{name}’ has turnings and no reading; it is left aside.")
    batches.sort(key=lambda batch: (batch.moments[0], batch.name))
    lines = sorted(reader.lines, key=lambda line: line.number)
    return Log(tuple(batches), tuple(lines), tuple(reader.remarks), reader.untold)
