"""What a reader takes away from the page: a plan file, a packed link, a QR code, a spreadsheet, a calendar, a drawing.

What each needs is imported when it is asked for, so that nobody else waits for it.
"""

from __future__ import annotations

import base64
from collections.abc import Callable, Mapping
from typing import Any

from calculators.declare import CannotSolve
from calculators.entries import LONGEST_LINK
from calculators.plan import Evaluated
from calculators.plan_file import pack, save_plan
from calculators.sheet import Drawing
from calculators.view.drawings import svg_file
from calculators.view.elements import to_data

SPREADSHEET = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


class NotTaken(ValueError):
    """It can't be made; the text says why in one line."""


def _plan_file(evaluated: Evaluated, asked: Mapping[str, Any]) -> dict[str, Any]:
    return {"name": "yard-plan.json", "type": "application/json", "text": save_plan(evaluated)}


def _packed(evaluated: Evaluated, asked: Mapping[str, Any]) -> dict[str, Any]:
    fragment = f"plan={pack(evaluated)}"
    if len(fragment) > LONGEST_LINK:
        raise NotTaken("This plan is too long for a link, even packed: save it to a file and send that.")
    return {"fragment": fragment}


def _qr(evaluated: Evaluated, asked: Mapping[str, Any]) -> dict[str, Any]:
    """A QR code of the link in ``page`` with the plan, readable if it is short enough to be scanned, packed if not."""
    from calculators.doors import qr_code

    where = str(asked.get("page", ""))[: qr_code.MOST_BYTES]
    readable = "" if evaluated.not_in_link else evaluated.fragment
    links = [f"{where}#{part}" for part in (readable, f"plan={pack(evaluated)}") if part] or [where]
    try:
        return {"tree": to_data(qr_code.drawing(min(links, key=len)))}
    except qr_code.TooLong as error:
        raise NotTaken(str(error)) from None


def _workbook(evaluated: Evaluated, asked: Mapping[str, Any]) -> dict[str, Any]:
    from calculators.doors.spreadsheet import LibraryMissing, workbook

    try:
        return as_file("yard-plan.xlsx", SPREADSHEET, workbook(evaluated))
    except LibraryMissing as error:
        raise NotTaken(str(error)) from None


def _first_heaps(evaluated: Evaluated, asked: Mapping[str, Any]) -> Any:
    from calculators.first_heaps import read_first_day, read_heaps, work_of_first_heaps

    try:
        first_day = read_first_day(str(asked.get("first_day", "")))
        return work_of_first_heaps(evaluated, first_day, read_heaps(str(asked.get("heaps", ""))))
    except CannotSolve as error:
        raise NotTaken(error.message) from None


def _calendar(evaluated: Evaluated, asked: Mapping[str, Any]) -> dict[str, Any]:
    from calculators.doors.calendar_file import calendar

    return {"name": "first-heaps.ics", "type": "text/calendar", "text": calendar(_first_heaps(evaluated, asked))}


def _dates(evaluated: Evaluated, asked: Mapping[str, Any]) -> dict[str, Any]:
    from calculators.view.first_heaps import work_table

    return {"tree": to_data(work_table(_first_heaps(evaluated, asked)))}


def drawing_named(evaluated: Evaluated, name: str) -> Drawing:
    """The drawing of that name ('bays.shed') of a plan. Raises ``NotTaken``."""
    calculator, _, key = name.partition(".")
    result = evaluated.results.get(calculator)
    found = [drawing for drawing in result.drawings if drawing.key == key] if result else []
    if not found:
        raise NotTaken(f"This plan has no drawing named ‘{name[:40]}’.")
    return found[0]


def _drawing(evaluated: Evaluated, asked: Mapping[str, Any]) -> dict[str, Any]:
    """A drawing in the ``form`` asked for. PNG is made of the SVG by the browser, which alone can paint."""
    name, form = str(asked.get("drawing", "")), str(asked.get("form", ""))
    drawing = drawing_named(evaluated, name)
    called = name.replace(".", "-")
    if form == "dxf":
        from calculators.doors.dxf_file import dxf

        return {"name": f"{called}.dxf", "type": "application/dxf", "text": dxf(drawing)}
    if form in ("svg", "png"):
        return {"name": f"{called}.{form}", "type": "image/svg+xml", "text": svg_file(drawing), "form": form}
    raise NotTaken(f"A drawing can't be had as ‘{form[:40]}’.")


_MAKERS: Mapping[str, Callable[[Evaluated, Mapping[str, Any]], dict[str, Any]]] = {
    "file": _plan_file, "packed": _packed, "qr": _qr, "calendar": _calendar, "dates": _dates, "workbook": _workbook,
    "drawing": _drawing,
}  # fmt: skip


def taken(evaluated: Evaluated, asked: Mapping[str, Any]) -> dict[str, Any]:
    """What was asked for by ``kind``: a file (``name``, ``type`` and ``text`` or ``base64``), a link's ``fragment`` or
    a ``tree`` to show. Raises ``NotTaken``."""
    maker = _MAKERS.get(str(asked.get("kind")))
    if maker is None:
        raise NotTaken(f"There is nothing named ‘{str(asked.get('kind'))[:40]}’ to take away.")
    return {"kind": asked["kind"], **maker(evaluated, asked)}


def as_file(name: str, type_: str, content: bytes) -> dict[str, Any]:
    """A file of bytes as the page gets it."""
    return {"name": name, "type": type_, "base64": base64.b64encode(content).decode()}
