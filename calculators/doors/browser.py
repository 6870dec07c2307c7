"""What the page's worker calls: JSON text in, JSON text out, never an exception.

A request holds a plan (``answers`` raw, as typed; ``example``, ``system``, ``name``, ``money``, ``about``, ``guessed``),
``parts`` (addresses on the page), ``forms`` (calculators on the page) and ``base`` (where the calculators' pages lie from
this one). Instead of answers ``link`` may hold the part of a link after ``#``, ``file`` the text of a plan file, or
``start`` the answers to the questions of a first plan (with ``short`` for a short reply). ``before`` holds the key figures shown last, so that the page can
say what changed; ``others`` holds further plans to stand beside this one; ``take`` names something to take away. A request
that holds ``workshop`` is answered by ``doors.workshop``, one that holds ``uncertain`` or ``size`` by ``doors.uncertain``.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from calculators import catalogue
from calculators.doors import take_away
from calculators.entries import LONGEST_TEXT, Problem, Refused, link_pieces, shorten, write
from calculators.plan import DEFAULT_EXAMPLE, EXAMPLES, SYSTEMS, Plan, read_each
from calculators.plan_file import LONGEST_MONEY, LONGEST_NOTE, PlanFileError, open_plan, unpack, words
from calculators.view import page
from calculators.view.elements import to_data

LINK_DIGITS = 9
"""Enough that changing the unit system back gives the figure that was typed."""
EXACT_DIGITS = 15
"""As many as a float holds: a figure that stays in its unit loses nothing."""

_FREE = {"name": ("Name of this yard", LONGEST_TEXT), "money": ("What a unit of money is called", LONGEST_MONEY)}
"""What a reader may call as they like: label and longest text."""

Held = dict[str, Any]
"""A plan as the page keeps it."""


# ---- plans in and out -----------------------------------------------------------------------------------------


def _held(plan: Plan, system: str) -> Held:
    """The plan as the page keeps it: answers by full name, written in ``system``; what can't be read stays as typed."""
    digits = EXACT_DIGITS if plan.entered_in == system == "metric" else LINK_DIGITS
    known = {catalogue.NAMES[name]: raw for name, raw in plan.answers.items() if name in catalogue.NAMES}
    answers = {str(name)[:40]: raw for name, raw in plan.answers.items() if name not in catalogue.NAMES}
    for answer, value, refused in read_each(known, plan.entered_in):
        answers[answer.name] = write(answer, value, system, digits) if refused is None else known[answer.name]
    return {"answers": answers, "example": plan.example or "nothing", "system": system, "name": plan.name,
            "money": plan.money, "about": plan.about, "guessed": list(plan.guessed)}  # fmt: skip


def _plan(held: Mapping[str, Any]) -> Plan:
    """The plan that the page holds. Whatever has no sense is passed over: the page can hold nothing else."""
    answers, example, guessed = held.get("answers"), held.get("example", DEFAULT_EXAMPLE), held.get("guessed")
    system = _system(held.get("system"))
    refused = [
        Problem(name, label, shorten(held[name]), f"{label}: at most {longest} characters that can be shown are kept.")
        for name, (label, longest) in _FREE.items()
        if isinstance(held.get(name), str) and words(held[name], longest) != " ".join(held[name].split())
    ]
    return Plan(
        answers if isinstance(answers, dict) else {},
        example if example in EXAMPLES else None if example == "nothing" else DEFAULT_EXAMPLE,
        system,
        system,
        words(held.get("name")),
        words(held.get("money"), LONGEST_MONEY),
        words(held.get("about"), LONGEST_NOTE),
        tuple(_words(guessed)),
        tuple(refused),
    )


def _system(asked: Any) -> str:
    """The unit system asked for, or metric for one that is not known."""
    return asked if asked in SYSTEMS else SYSTEMS[0]


def open_link(fragment: str) -> Plan:
    """The plan that a link carries. Raises ``PlanFileError`` for a packed plan that can't be read.

    A figure without a unit is in the declared (metric) unit. Answers written beside a packed plan take the place of its own.
    """
    packed: Plan | None = None
    named: dict[str, Any] = {}
    told: dict[str, str] = {}
    for name, raw in link_pieces(fragment):
        if raw is None or not name:
            continue
        if name == "plan":
            packed = unpack(raw)
        elif name in catalogue.LINK_WORDS:
            told[name] = raw
        else:
            named[catalogue.NAMES.get(name, name)] = raw
    base = packed or Plan({})
    example = base.example
    if "from" in told:
        example = told["from"] if told["from"] in EXAMPLES else None if told["from"] == "nothing" else DEFAULT_EXAMPLE
    system = base.system
    if "units" in told:
        system = SYSTEMS[1] if told["units"] in ("feet", SYSTEMS[1]) else SYSTEMS[0]
    guessed = [catalogue.NAMES[name] for name in told.get("guess", "").split(",") if name in catalogue.NAMES]
    answers = {catalogue.NAMES.get(name, name): raw for name, raw in base.answers.items()} | named
    return Plan(
        answers, example, system, "metric", words(told.get("name", base.name)),
        words(told.get("money", base.money), LONGEST_MONEY), base.about,
        (*(name for name in base.guessed if name not in named), *guessed), base.refused,
    )  # fmt: skip


def change_system(request: Mapping[str, Any]) -> Held:
    """The same answers written in the other unit system; what can't be read stays as typed."""
    return _held(_plan(request), _system(request.get("to")))


# ---- one request ----------------------------------------------------------------------------------------------


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


def _names(held: Any) -> dict[str, Any]:
    return held if isinstance(held, dict) else {}


# What only some pages need is imported where it is needed: each module costs a few milliseconds of every start.


def _workshop(request: Mapping[str, Any]) -> dict[str, Any]:
    from calculators.doors import workshop

    return workshop.reply(request)


def _first_plan(request: Mapping[str, Any]) -> dict[str, Any]:
    """What follows from the questions of a first plan, and the plan to keep; or what is wrong with the answers."""
    from calculators import start
    from calculators.view import start as start_view

    asked = _names(request.get("start"))
    try:
        plan = start.first_plan(asked, _system(request.get("system")), words(request.get("name")),
                                words(request.get("money"), LONGEST_MONEY))  # fmt: skip
    except Refused as refused:
        listed = start_view.problems(refused.problems)
        return {"problems": to_data(listed) if listed else None, "wrong": [problem.field for problem in refused.problems]}
    links = page.pages(str(request.get("base", "")))
    made = start_view.short_result(plan) if request.get("short") is True else start_view.result(plan)
    return {"problems": None, "wrong": [], "result": [to_data(page.with_pages(node, links)) for node in made],
            "plan": _held(plan, plan.system)}  # fmt: skip


def _compared(request: Mapping[str, Any]) -> list[Any]:
    """The plans of the request side by side, in the unit system of the first."""
    from calculators.variants import MOST_PLANS, compare
    from calculators.view import compare as compare_view

    others = [item for item in request["others"] if isinstance(item, dict)] if isinstance(request["others"], list) else []
    plans = [_plan({**item, **change_system({**item, "to": others[0].get("system")})}) for item in others[:MOST_PLANS]]
    if len(plans) < 2:
        return []
    return [to_data(node) for node in compare_view.compared(compare([plan.evaluate() for plan in plans]))]


def _answered(request: dict[str, Any]) -> dict[str, Any]:
    """The plan of the request, evaluated, as the page needs it."""
    held: Held = {}
    plan = _plan(request)
    if "link" in request:
        plan = open_link(str(request["link"]))
        held = _held(plan, plan.system)
    elif "file" in request:
        plan = open_plan(str(request["file"]))
        held = _held(plan, _system(request.get("system")))
    elif "to" in request:
        held = change_system(request)
    if held:
        plan = replace(_plan(held), refused=plan.refused)
    wanted = page.wanted(_words(request.get("parts")), _words(request.get("forms")))
    evaluated = plan.evaluate(only=wanted | catalogue.AT_ONCE if "take" in request else wanted)
    found = page.update(evaluated, _words(request.get("parts")), _words(request.get("forms")),
                        page.pages(str(request.get("base", ""))), _names(request.get("before")))  # fmt: skip
    found["plan"] = _as_typed(held) or None
    if "others" in request:
        found["parts"]["compare"] = _compared(request)
    if "take" in request:
        found["taken"] = take_away.taken(evaluated, _names(request["take"]))
    return found


def _drawn(request: dict[str, Any]) -> dict[str, Any]:
    from calculators.doors import uncertain

    return uncertain.reply(request, _plan(request))


def _sized(request: dict[str, Any]) -> dict[str, Any]:
    from calculators.doors import uncertain

    return uncertain.size_reply(request, _plan(request))


_KINDS: Mapping[str, Callable[[dict[str, Any]], dict[str, Any]]] = {
    "start": _first_plan, "workshop": _workshop, "uncertain": _drawn, "size": _sized,
}  # fmt: skip
"""Requests that are not about one whole plan, by the word that tells them."""


def reply(text: str) -> str:
    """Answer one request of the page. A fault inside gives ``{"fault": …}``, not a traceback."""
    try:
        request = _request(text)
        kind = next((answer for word, answer in _KINDS.items() if word in request), _answered)
        return json.dumps(kind(request), ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    except (PlanFileError, take_away.NotTaken) as error:
        return json.dumps({"refused": str(error)})
    except RecursionError:
        return json.dumps({"refused": "This can't be read: lists stand within lists too deeply."})
    except Exception as error:  # noqa: BLE001 - the page must get an answer whatever happened here
        return json.dumps({"fault": f"{type(error).__name__}: {error}"[:300]})
