"""What the page's worker calls: JSON text in, JSON text out, never an exception.

A request holds ``answers`` (raw, as typed), ``example``, ``system``, ``parts`` (addresses on the page), ``forms``
(calculators on the page) and ``base`` (where the calculators' pages lie from this one). Instead of answers ``link``
may hold the part of a link after ``#``, or ``file`` the text of a plan file; ``save`` asks for the text of one;
``before`` holds the key figures shown last, so that the page can say what changed. A request that holds ``workshop`` is
answered by ``doors.workshop``.
"""

from __future__ import annotations

import json
import math
from typing import Any

from calculators import catalogue
from calculators.doors import workshop
from calculators.entries import link_pieces, write
from calculators.plan import DEFAULT_EXAMPLE, EXAMPLES, SYSTEMS, Plan, PlanFileError, open_plan, read_each, save_plan
from calculators.view import page

LONGEST_FILE = 1_000_000
LINK_DIGITS = 9
"""Enough that changing the unit system back gives the figure that was typed."""
EXACT_DIGITS = 15
"""As many as a float holds: a figure that stays in its unit loses nothing."""


def open_link(fragment: str) -> dict[str, Any]:
    """The plan that a link carries: raw answers for the fields, example and unit system.

    A figure without a unit is in the declared (metric) unit; it is turned into the unit system of the plan.
    What can't be read is kept as it stands, so that the form can show it and say what is wrong.
    """
    example: str | None = DEFAULT_EXAMPLE
    system = "metric"
    named: dict[str, str] = {}
    for name, raw in link_pieces(fragment):
        if raw is None or not name:
            continue
        if name == "from":
            example = raw if raw in EXAMPLES else None if raw == "nothing" else DEFAULT_EXAMPLE
        elif name == "units":
            system = SYSTEMS[1] if raw in ("feet", SYSTEMS[1]) else SYSTEMS[0]
        else:
            named[name] = raw
    return {"answers": _rewritten(named, "metric", system), "example": example or "nothing", "system": system}


def _rewritten(answers: dict[str, Any], entered_in: str, system: str) -> dict[str, Any]:
    """Answers by full name, read in one unit system and written in another; what can't be read stays as typed, and so
    does what has a name that is not known."""
    found = {name: raw for name, raw in answers.items() if name not in catalogue.NAMES}
    known = {catalogue.NAMES[name]: raw for name, raw in answers.items() if name in catalogue.NAMES}
    digits = EXACT_DIGITS if entered_in == system == "metric" else LINK_DIGITS
    for answer, value, refused in read_each(known, entered_in):
        found[answer.name] = write(answer, value, system, digits) if refused is None else known[answer.name]
    return found


def _system(asked: Any) -> str:
    """The unit system asked for, or metric for one that is not known."""
    return asked if asked in SYSTEMS else SYSTEMS[0]


def _figures_before(request: dict[str, Any]) -> dict[str, Any]:
    before = request.get("before")
    return before if isinstance(before, dict) else {}


def _plan(request: dict[str, Any]) -> Plan:
    answers = request.get("answers")
    example = request.get("example", DEFAULT_EXAMPLE)
    system = _system(request.get("system"))
    return Plan(
        answers if isinstance(answers, dict) else {},
        example if example in EXAMPLES else None if example == "nothing" else DEFAULT_EXAMPLE,
        system,
        system,
    )


def change_system(request: dict[str, Any]) -> dict[str, Any]:
    """The same answers written in the other unit system; what can't be read stays as typed."""
    plan = _plan(request)
    target = _system(request.get("to"))
    answers = _rewritten(dict(plan.answers), plan.entered_in, target)
    return {"answers": answers, "example": request.get("example", DEFAULT_EXAMPLE), "system": target}


def open_file(text: str, system: str) -> dict[str, Any]:
    """The plan that a file holds, written for the fields in the unit system of the page. Raises ``PlanFileError``."""
    if len(text) > LONGEST_FILE:
        raise PlanFileError("This file is too large to be a plan.")
    plan = open_plan(text)
    named = {name if name in catalogue.NAMES else name[:40]: raw for name, raw in plan.answers.items()}
    shown = _system(system)
    return {"answers": _rewritten(named, plan.entered_in, shown), "example": plan.example or "nothing", "system": shown}


def _request(text: str) -> dict[str, Any]:
    """The request as names with values. Raises ``PlanFileError`` for text that is no request."""
    try:
        request = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise PlanFileError(f"This request can't be read: it is not JSON ({error}).") from None
    if not isinstance(request, dict):
        raise PlanFileError("This request can't be read: it must be names with values.")
    return request


def _as_typed(held: Any) -> Any:
    """The same, with infinities (1e999 in a file) as words: an answer to the page may hold none."""
    if isinstance(held, dict):
        return {name: _as_typed(item) for name, item in held.items()}
    if isinstance(held, list):
        return [_as_typed(item) for item in held]
    return str(held) if isinstance(held, float) and not math.isfinite(held) else held


def _words(held: Any) -> list[str]:
    """The words of a list of addresses; what is none is passed over, as is an address that is not known."""
    return [item for item in held if isinstance(item, str)] if isinstance(held, list) else []


def reply(text: str) -> str:
    """Answer one request of the page. A fault inside gives ``{"fault": …}``, not a traceback."""
    try:
        request = _request(text)
        if "workshop" in request:
            return json.dumps(workshop.reply(request), ensure_ascii=False, separators=(",", ":"), allow_nan=False)
        held: dict[str, Any] = {}
        if "link" in request:
            held = open_link(str(request["link"]))
            request = {**request, **held}
        elif "file" in request:
            held = open_file(str(request["file"]), str(request.get("system")))
            request = {**request, **held}
        elif "to" in request:
            held = change_system(request)
            request = {**request, **held}
        evaluated = _plan(request).evaluate()
        found = page.update(evaluated, _words(request.get("parts")), _words(request.get("forms")),
                            page.pages(str(request.get("base", ""))), _figures_before(request))
        found["plan"] = _as_typed(held) or None
        if request.get("save"):
            found["file"] = save_plan(evaluated)
        return json.dumps(found, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    except PlanFileError as error:
        return json.dumps({"refused": str(error)})
    except RecursionError:
        return json.dumps({"refused": "This can't be read: lists stand within lists too deeply."})
    except Exception as error:  # noqa: BLE001 - the page must get an answer whatever happened here
        return json.dumps({"fault": f"{type(error).__name__}: {error}"[:300]})
