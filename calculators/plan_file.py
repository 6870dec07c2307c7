"""A plan as a file, as text packed into a link, and the published schema of both.

The file is JSON: ``yard_plan`` is the version of its form, ``answers`` holds the user's own answers by name, in declared
units (or as text with a unit). Older versions are brought up to date when they are opened.
"""

from __future__ import annotations

import base64
import binascii
import json
import zlib
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from calculators import catalogue
from calculators.declare import Answer
from calculators.entries import LONGEST_TEXT, Problem, shorten
from calculators.log_reading import LONGEST_LOG
from calculators.plan import EXAMPLES, SYSTEMS, Evaluated, Plan

VERSION = 2
LONGEST_MONEY = 8
LONGEST_NOTE = 2_000
LONGEST_FILE = 1_000_000
"""Characters: hundreds of times the longest plan there can be."""


class PlanFileError(ValueError):
    """A plan file can't be read; the text says why in one line."""


# ---- older versions -------------------------------------------------------------------------------------------


def _from_1(held: Mapping[str, Any]) -> dict[str, Any]:
    """Version 1 called ``starts_from`` ``example`` and ``shown_in`` ``units``."""
    renamed = {"example": "starts_from", "units": "shown_in"}
    return {renamed.get(name, name): value for name, value in held.items()} | {"yard_plan": 2}


MIGRATIONS: Mapping[int, Callable[[Mapping[str, Any]], dict[str, Any]]] = {1: _from_1}
"""From each older version to the next."""


def _brought_up_to_date(held: dict[str, Any]) -> dict[str, Any]:
    version = held["yard_plan"]
    if not isinstance(version, int) or isinstance(version, bool) or not 1 <= version <= VERSION:
        later = " It was written by a later handbook." if isinstance(version, int) and version > VERSION else ""
        raise PlanFileError(
            f"This plan file has version {shorten(version)}; versions 1 to {VERSION} can be opened.{later}"
        )
    while held["yard_plan"] < VERSION:
        held = MIGRATIONS[held["yard_plan"]](held)
    return held


# ---- opening --------------------------------------------------------------------------------------------------


def words(raw: Any, longest: int = LONGEST_TEXT) -> str:
    """Free text on one line, with nothing in it that can't be shown, cut to ``longest`` characters."""
    plain = " ".join(raw.split()) if isinstance(raw, str) else ""
    return "".join(sign for sign in plain if sign.isprintable())[:longest].strip()


def open_plan(text: str) -> Plan:
    """A plan from the text of a plan file. Raises ``PlanFileError`` for what is no plan file at all.

    Whatever else can't be used is listed in ``Plan.refused``; single bad answers are found by ``evaluate``.
    """
    if len(text) > LONGEST_FILE:
        raise PlanFileError("This file is too large to be a plan.")
    try:
        held = json.loads(text.removeprefix("\ufeff"))
    except (ValueError, RecursionError) as error:
        raise PlanFileError(f"This is not a plan file: it is not JSON ({error}).") from None
    if not isinstance(held, dict) or "yard_plan" not in held:
        raise PlanFileError("This is not a plan file: it has no ‘yard_plan’ number.")
    held = _brought_up_to_date(held)
    refused: list[Problem] = []

    def refuse(name: str, reason: str) -> None:
        refused.append(Problem(name, name, shorten(held.get(name)), f"Plan file: {reason}"))

    for name in held:
        if name not in _FIELDS:
            refuse(str(name)[:40], f"‘{shorten(name)}’ is not part of a plan file and was left out.")
    answers = held.get("answers", {})
    if not isinstance(answers, dict):
        refuse("answers", "‘answers’ must be names with values; none could be taken.")
        answers = {}
    start = held.get("starts_from")
    if start is not None and start not in EXAMPLES:
        refuse("starts_from", f"‘starts_from’ is ‘{shorten(start)}’; known are {', '.join(EXAMPLES)}. The defaults were taken.")
        start = None
    system = held.get("shown_in", SYSTEMS[0])
    if system not in SYSTEMS:
        refuse("shown_in", f"‘shown_in’ is ‘{shorten(system)}’; it must be one of {', '.join(SYSTEMS)}.")
        system = SYSTEMS[0]
    free = {}
    for name, longest in (("name", LONGEST_TEXT), ("money", LONGEST_MONEY), ("about", LONGEST_NOTE)):
        raw = held.get(name, "")
        free[name] = words(raw, longest)
        if not isinstance(raw, str) or " ".join(raw.split()) != free[name]:
            refuse(name, f"‘{name}’ must be plain words, at most {longest} characters; ‘{shorten(free[name])}’ was kept.")
    guessed = held.get("guessed", [])
    if not isinstance(guessed, list) or not all(isinstance(name, str) and name in catalogue.NAMES for name in guessed):
        refuse("guessed", "‘guessed’ must be a list of names of answers; names that are not known were left out.")
        guessed = [name for name in guessed if isinstance(name, str)] if isinstance(guessed, list) else []
    known = tuple(catalogue.NAMES[name] for name in guessed if name in catalogue.NAMES)
    return Plan(answers, start, system, refused=tuple(refused), guessed=known, **free)


# ---- saving ---------------------------------------------------------------------------------------------------


def _held(evaluated: Evaluated) -> dict[str, Any]:
    """What a file holds: the user's own answers in declared units; what could not be read stays as it was typed."""
    plan = evaluated.plan
    good = evaluated.own
    spoilt = {
        name: raw for given, raw in plan.answers.items()
        if (name := catalogue.NAMES.get(given)) is not None and name not in good and _is_plain(raw)
    }  # fmt: skip
    free = {name: value for name in ("name", "about", "money") if (value := getattr(plan, name))}
    guessed = {"guessed": evaluated.guessed} if evaluated.guessed else {}
    return {"yard_plan": VERSION, **free, "starts_from": plan.example, "shown_in": plan.system, **guessed,
            "answers": {**good, **spoilt}}  # fmt: skip


def _is_plain(raw: Any) -> bool:
    """Whether JSON can hold it: a file opened from elsewhere may have held an infinity."""
    try:
        json.dumps(raw, allow_nan=False)
    except (ValueError, TypeError, RecursionError):
        return False
    return True


def save_plan(evaluated: Evaluated) -> str:
    """The plan as the text of a plan file."""
    return json.dumps(_held(evaluated), ensure_ascii=False, indent=1) + "\n"


def pack(evaluated: Evaluated) -> str:
    """The whole plan in letters that a link can carry: its file, compressed."""
    small = json.dumps(_held(evaluated), ensure_ascii=False, separators=(",", ":")).encode()
    return base64.urlsafe_b64encode(zlib.compress(small, 9)).decode().rstrip("=")


def unpack(packed: str) -> Plan:
    """The plan that ``pack`` put into a link. Raises ``PlanFileError``. Never unpacks more than a file may hold."""
    try:
        small = base64.b64decode(packed + "=" * (-len(packed) % 4), altchars=b"-_", validate=True)
        unpacking = zlib.decompressobj()
        text = unpacking.decompress(small, LONGEST_FILE).decode()
    except (ValueError, binascii.Error, zlib.error):
        raise PlanFileError("The plan packed into this link can't be read: the link is damaged or was cut short.") from None
    if not unpacking.eof:
        raise PlanFileError("The plan packed into this link can't be read: it was cut short, or is too large.")
    return open_plan(text)


# ---- the published schema -------------------------------------------------------------------------------------

_FIELDS: Mapping[str, Mapping[str, Any]] = {
    "yard_plan": {"const": VERSION, "description": "Version of this form."},
    "name": {"type": "string", "maxLength": LONGEST_TEXT, "description": "The yard's own name."},
    "about": {"type": "string", "maxLength": LONGEST_NOTE, "description": "A note for whoever opens the plan."},
    "starts_from": {"enum": [*EXAMPLES, None], "description": "The example whose answers stand where the plan has none; null for the defaults."},
    "shown_in": {"enum": list(SYSTEMS), "description": "How results are shown. Answers without a unit are metric, whatever stands here."},
    "money": {"type": "string", "maxLength": LONGEST_MONEY, "description": "What a unit of money is called."},
    "guessed": {"type": "array", "items": {"type": "string"}, "description": "Names of answers that are first guesses, not measured."},
    "answers": {"description": "The user's own answers, by name in full or as in links."},
}  # fmt: skip


def _cell(answer: Answer) -> dict[str, Any]:
    """The schema of one value."""
    if answer.kind in ("number", "count"):
        limits = {word: bound for word, bound in (("minimum", answer.low), ("maximum", answer.high)) if bound is not None}
        number = {"type": "integer" if answer.kind == "count" else "number", **limits}
        made: dict[str, Any] = {"anyOf": [number, {"type": "string", "description": "The figure, with a unit if wished."}]}
    elif answer.kind == "flag":
        made = {"enum": [True, False, "yes", "no"]}
    elif answer.kind == "choice" and answer.options_from is None:
        made = {"enum": [option.key for option in answer.options]}
    else:
        made = {"type": "string", "maxLength": LONGEST_LOG if answer.kind == "log" else LONGEST_TEXT}
    return {"anyOf": [made, {"enum": [None, ""]}]} if answer.blank else made


def _value(answer: Answer) -> dict[str, Any]:
    if answer.kind == "series":
        cell = _cell(Answer(answer.name, "number", answer.label, answer.unit, low=answer.low, high=answer.high))
        shape: dict[str, Any] = {"type": "array", "items": cell, "minItems": len(answer.rows), "maxItems": len(answer.rows)}
    elif answer.kind == "table":
        row = {"type": "array", "prefixItems": [_cell(column) for column in answer.columns], "items": False}
        shape = {"type": "array", "items": row, "maxItems": answer.most_rows}
    else:
        return _cell(answer)
    return {"anyOf": [shape, {"type": "string", "description": "The values in one text, as in a link."}]}


def _widest() -> dict[str, Answer]:
    """Each answer as it is asked first, with all that any calculator which asks it takes: limits, and no answer."""
    found: dict[str, Answer] = {}
    for _, answer in catalogue.every_answer():
        first = found.setdefault(answer.name, answer)
        low = None if first.low is None or answer.low is None else min(first.low, answer.low)
        high = None if first.high is None or answer.high is None else max(first.high, answer.high)
        found[answer.name] = replace(first, low=low, high=high, blank=first.blank or answer.blank)
    return found


def schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of a plan file of this version."""
    named: dict[str, Any] = {}
    for answer in _widest().values():
        unit = f" In {answer.unit}." if answer.unit != "1" else ""
        described = {"title": answer.label, "description": f"{answer.help}{unit}".strip(), **_value(answer)}
        named.setdefault(answer.name, described)
        if answer.link_name != answer.name:
            named.setdefault(answer.link_name, {"$ref": f"#/properties/answers/properties/{answer.name}"})
    answers = {**_FIELDS["answers"], "type": "object", "properties": named, "additionalProperties": False}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Plan of a composting yard",
        "type": "object",
        "properties": {**_FIELDS, "answers": answers},
        "required": ["yard_plan", "answers"],
        "additionalProperties": False,
    }
