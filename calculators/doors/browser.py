"""What the page's worker calls: JSON text in, JSON text out, never an exception.

A request holds ``answers`` (raw, as typed), ``example``, ``system``, ``parts`` (addresses on the page), ``forms``
(calculators on the page) and ``base`` (where the calculators' pages lie from this one). ``link`` may hold the part of a link after ``#`` instead of answers.
"""

from __future__ import annotations

import json
from typing import Any
from urllib.parse import unquote

from calculators import catalogue
from calculators.entries import Refused, read, write
from calculators.plan import DEFAULT_EXAMPLE, EXAMPLES, SYSTEMS, Plan
from calculators.view import page

LONGEST_LINK = 20_000


def open_link(fragment: str) -> dict[str, Any]:
    """The plan that a link carries: raw answers for the fields, example and unit system.

    A figure without a unit is in the declared (metric) unit; it is turned into the unit system of the plan.
    What can't be read is kept as it stands, so that the form can show it and say what is wrong.
    """
    example: str | None = DEFAULT_EXAMPLE
    system = "metric"
    named: dict[str, str] = {}
    for piece in fragment[:LONGEST_LINK].lstrip("#").split("&"):
        name, equals, raw = piece.partition("=")
        name, raw = unquote(name), unquote(raw)
        if not equals or not name:
            continue
        if name == "from":
            example = raw if raw in EXAMPLES else None if raw == "nothing" else DEFAULT_EXAMPLE
        elif name == "units":
            system = SYSTEMS[1] if raw in ("feet", SYSTEMS[1]) else SYSTEMS[0]
        else:
            named[name] = raw
    answers: dict[str, Any] = {}
    extra: dict[str, list[str]] = {}
    for name in sorted(named, key=lambda given: _asked(given) is None or _asked(given).kind != "table"):
        answer = _asked(name)
        if answer is None:
            answers[name] = named[name]
            continue
        try:
            value = read(answer, named[name], "metric", extra)
        except Refused:
            answers[answer.name] = named[name]
            continue
        if answer.kind == "table" and answer.columns[0].kind == "text":
            extra[answer.name] = [str(row[0]) for row in value if row[0]]
        answers[answer.name] = value if answer.kind in ("choice",) else write(answer, value, system, 9)
    return {"answers": answers, "example": example or "nothing", "system": system}


def _asked(name: str) -> Any:
    full = catalogue.NAMES.get(name)
    return catalogue.first_asked(full) if full else None


def _plan(request: dict[str, Any]) -> Plan:
    answers = request.get("answers")
    example = request.get("example", DEFAULT_EXAMPLE)
    system = request.get("system", "metric")
    return Plan(
        answers if isinstance(answers, dict) else {},
        example if example in EXAMPLES else None if example == "nothing" else DEFAULT_EXAMPLE,
        system if system in SYSTEMS else "metric",
        system if system in SYSTEMS else "metric",
    )


def change_system(request: dict[str, Any]) -> dict[str, Any]:
    """The same answers written in the other unit system; what can't be read stays as typed."""
    plan = _plan(request)
    target = request.get("to") if request.get("to") in SYSTEMS else "metric"
    answers: dict[str, Any] = {}
    extra: dict[str, list[str]] = {}
    for name, raw in plan.answers.items():
        answer = _asked(name)
        if answer is None or answer.kind in ("choice", "flag", "text"):
            answers[name] = raw
            continue
        try:
            answers[name] = write(answer, read(answer, raw, plan.entered_in, extra), target, 9)
        except Refused:
            answers[name] = raw
    return {"answers": answers, "example": request.get("example", DEFAULT_EXAMPLE), "system": target}


def reply(text: str) -> str:
    """Answer one request of the page. A fault inside gives ``{"fault": …}``, not a traceback."""
    try:
        request = json.loads(text)
        held: dict[str, Any] = {}
        if "link" in request:
            held = open_link(str(request["link"]))
            request = {**request, **held}
        elif "to" in request:
            held = change_system(request)
            request = {**request, **held}
        evaluated = _plan(request).evaluate()
        found = page.update(evaluated, request.get("parts", ()), request.get("forms", ()),
                            page.pages(str(request.get("base", ""))))
        found["plan"] = held or None
    except Exception as error:  # noqa: BLE001 - the page must get an answer whatever happened here
        return json.dumps({"fault": f"{type(error).__name__}: {error}"[:300]})
    return json.dumps(found, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
