"""The work of the first heaps as a calendar file that any calendar opens: iCalendar text after RFC 5545.

A small writer of our own: each task is an all-day event, and the same work gives the same bytes.
"""

from __future__ import annotations

import datetime
import hashlib
import re
from collections.abc import Iterator

from calculators.first_heaps import DatedTask, FirstHeaps
from calculators.reference import caution

PRODUCT = "-//Composting yard handbook//first heaps//EN"
LINE_OCTETS = 75
"""RFC 5545 section 3.1: lines should be no longer than this, line break excluded."""
_CONTROLS = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")
"""Controls that TEXT may not hold (RFC 5545 section 3.1, CONTROL); tab may stay, and newlines are escaped."""


def calendar(work: FirstHeaps, stamp: datetime.datetime | None = None) -> str:
    """The work as the text of a calendar file.

    ``stamp`` is when the file is made (taken as UTC where it has no zone); without one it is the start of the first day,
    so that the same plan gives the same bytes.
    """
    made = stamp or datetime.datetime.combine(work.first_day, datetime.time())
    if made.tzinfo is not None:
        made = made.astimezone(datetime.timezone.utc)
    # section 3.6: VERSION and PRODID are required; section 3.7.1: the Gregorian calendar is the default
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{PRODUCT}"]
    for task in work.tasks:
        lines += _event(task, made)
    lines.append("END:VCALENDAR")
    # section 3.1: lines end with CR and LF, the last one too
    return "".join(f"{folded(line)}\r\n" for line in lines)


def _event(task: DatedTask, made: datetime.datetime) -> Iterator[str]:
    # section 3.6.1: UID and DTSTAMP are required of an event, DTSTART where the calendar has no METHOD
    yield "BEGIN:VEVENT"
    yield f"UID:{_identity(task)}"
    yield f"DTSTAMP:{made:%Y%m%dT%H%M%S}Z"  # section 3.8.7.2: in UTC
    # section 3.3.4: DATE values; section 3.6.1: DTEND is the first day after the event
    yield f"DTSTART;VALUE=DATE:{_date(task.date)}"
    yield f"DTEND;VALUE=DATE:{_date(task.end + datetime.timedelta(1))}"
    yield f"SUMMARY:{escaped(task.title)}"
    yield f"DESCRIPTION:{escaped(description(task))}"
    yield "TRANSP:TRANSPARENT"  # section 3.8.2.7: a task for the yard does not make anybody's day busy
    yield "END:VEVENT"


def description(task: DatedTask) -> str:
    """What to do, why on this date, and each caution with its text, in lines."""
    texts = [caution(key) for key in task.cautions]
    return "\n".join([task.what, f"Why this date: {task.why}.", *(f"Caution: {text.title}. {text.text}" for text in texts)])


def escaped(text: str) -> str:
    """TEXT after RFC 5545 section 3.3.11: backslash, semicolon, comma and newline are escaped, controls left out."""
    text = re.sub(r"\r\n?", "\n", text)
    text = _CONTROLS.sub("", text).encode("utf-8", "replace").decode()  # half a character pair is no UTF-8 text
    return text.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")


def folded(line: str) -> str:
    """A content line folded after RFC 5545 section 3.1: no more than 75 octets, and no UTF-8 character in two lines.

    Each piece holds one octet less, because a continuation line begins with a space. An escaped sign stays with its
    backslash, for readers that take the lines apart too early.
    """
    pieces = [""]
    octets = 0
    for unit in re.findall(r"\\.|.", line):
        size = len(unit.encode())
        if octets + size > LINE_OCTETS - 1:
            pieces.append("")
            octets = 0
        pieces[-1] += unit
        octets += size
    return "\r\n ".join(pieces)


def _identity(task: DatedTask) -> str:
    """Section 3.8.4.7: the same task always has the same UID, and no other has it."""
    said = "\x1f".join((task.kind, str(task.heap), _date(task.date), _date(task.end), task.title, task.what, task.why))
    return hashlib.sha256(said.encode("utf-8", "replace")).hexdigest()[:32]


def _date(date: datetime.date) -> str:
    return date.isoformat().replace("-", "")
