"""The workshop's door: one request of a page as data in, trees as data out; and the exercise sheets of the command line.

``request["workshop"]`` holds a ``link`` (what stands after ``#``) or a trainer's ``form`` (``title`` and, for each row,
``ask-0``, ``from-0``, ``given-0``, ``hide-0``, ``vary-0``, ``say-0``; ``more`` asks for a row more). ``parts`` names what
is wanted: ``workshop-run``, ``workshop-compose``, ``workshop-sheets``. ``state`` holds ``guesses`` (raw, by the question's
place from 0), ``shown`` (places) and ``at`` (where something was done last). ``sheets`` holds ``seed`` and ``copies`` as
typed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from calculators.declare import Answer
from calculators.entries import Problem, Refused, read
from calculators.plan import SYSTEMS
from calculators.view import workshop as view
from calculators.view.elements import Element, h, to_data, to_html
from calculators.workshop import (
    LARGEST_SEED,
    LONGEST_GUESS,
    MOST_COPIES,
    MOST_EXERCISES,
    MOST_QUESTIONS,
    Copy,
    Workshop,
    exercise,
    from_fields,
    open_workshop,
    to_fragment,
)  # fmt: skip

SEED = Answer("seed", "count", "Seed", "1", view.DEFAULT_SEED, 0, LARGEST_SEED)
COPIES = Answer("copies", "count", "Copies", "1", view.DEFAULT_COPIES, 1, MOST_COPIES)
_FIELD = re.compile(r"(ask|from|given|hide|vary|say)-(\d{1,2})")


class SheetsRefused(Exception):
    """Sheets can't be made; carries a problem for each field at fault."""

    def __init__(self, problems: list[Problem]) -> None:
        super().__init__("; ".join(problem.message for problem in problems))
        self.problems = problems


def make_copies(workshop: Workshop, seed: Any, copies: Any, system: str = "metric") -> tuple[Copy, ...]:
    """The copies for a seed and a number as typed. Raises ``SheetsRefused``."""
    problems: list[Problem] = []
    values: dict[str, int] = {}
    for field, raw in ((SEED, seed), (COPIES, copies)):
        try:
            values[field.name] = read(field, raw)
        except Refused as refused:
            problems += refused.problems
    if not workshop.questions:
        problems.append(Problem("ask", "Questions", "", "There is no question to make sheets of."))
    wanted = values.get("copies", 0) * len(workshop.questions)
    if wanted > MOST_EXERCISES:
        most = MOST_EXERCISES // len(workshop.questions)
        count = len(workshop.questions)
        message = f"Copies: {count} questions allow at most {most} copies at once; you wrote ‘{values['copies']}’."
        problems.append(Problem("copies", "Copies", str(values["copies"]), message))
    if problems:
        raise SheetsRefused(problems)
    return exercise(workshop, values["seed"], values["copies"], system)


def _rows(form: Mapping[str, Any]) -> list[dict[str, str]]:
    """The fields of the trainer's form, row by row."""
    rows: dict[int, dict[str, str]] = {}
    for name, raw in form.items():
        match = _FIELD.fullmatch(str(name))
        if match and isinstance(raw, str) and int(match.group(2)) < MOST_QUESTIONS:
            rows.setdefault(int(match.group(2)), {})[match.group(1)] = raw
    return [rows.get(place, {}) for place in range(max(rows, default=-1) + 1)]


def _place(raw: Any) -> int | None:
    """The place of a question that a state names, as a number or as its digits."""
    if isinstance(raw, int) and not isinstance(raw, bool):
        return raw
    return int(raw) if isinstance(raw, str) and raw.isascii() and raw.isdigit() and len(raw) <= 3 else None


def _state(held: Any) -> view.State:
    """How far the participants are; what makes no sense is passed over."""
    if not isinstance(held, dict):
        return view.State()
    guesses, shown = held.get("guesses"), held.get("shown")
    kept: dict[int, str] = {}
    for name, raw in guesses.items() if isinstance(guesses, dict) else ():
        place = _place(name)
        if place is not None and isinstance(raw, str):
            kept[place] = _text(raw)[:LONGEST_GUESS]
    places = [_place(item) for item in shown] if isinstance(shown, list) else []
    return view.State(kept, frozenset(place for place in places if place is not None))


def _sheets(workshop: Workshop, held: Any, system: str) -> tuple[list[Element], list[str], str]:
    """The sheets and the key, or what is wrong with seed or copies; the names of those fields; what to announce."""
    asked = held if isinstance(held, dict) else {}
    try:
        copies = make_copies(workshop, asked.get("seed", ""), asked.get("copies", ""), system)
    except SheetsRefused as refused:
        lines = [h("p", problem.message) for problem in refused.problems]
        return [h("div", lines, class_="error")], [problem.name for problem in refused.problems], str(refused)
    ready = f"{len(copies)} {'copy is' if len(copies) == 1 else 'copies are'} ready, with the key at the end."
    return view.sheet(copies, workshop, with_key=True, system=system), [], ready


def _text(raw: Any) -> str:
    """Raw words as text that can be written as UTF-8."""
    return raw.encode("utf-8", "replace").decode("utf-8") if isinstance(raw, str) else ""


def reply(request: Mapping[str, Any]) -> dict[str, Any]:
    """Answer one request of a workshop page. Never raises for anything typed."""
    asked = request.get("workshop")
    asked = asked if isinstance(asked, dict) else {}
    form = asked.get("form")
    if isinstance(form, dict):
        rows = _rows(form)
        title = _text(form.get("title"))
        workshop = from_fields(title, rows)
    else:
        workshop = open_workshop(_text(asked.get("link")))
        rows, title = view.rows_of(workshop), workshop.title
    more = isinstance(form, dict) and bool(form.get("more"))
    system = request.get("system") if request.get("system") in SYSTEMS else SYSTEMS[0]
    base = _text(request.get("base"))
    state = _state(request.get("state"))
    fragment = to_fragment(workshop)
    announced = ""
    wanted = request.get("parts")
    parts: dict[str, list[Element]] = {}
    wrong = sorted({f"{_field_of(problem)}-{int(problem.part) - 1}" for problem in workshop.problems if problem.part})
    for address in wanted if isinstance(wanted, list) else ():
        if address == "workshop-run":
            parts[address] = view.run(workshop, state, system, base)
        elif address == "workshop-compose":
            parts[address] = view.compose(title, [*rows, {}] if more else rows, fragment)
        elif address == "workshop-sheets":
            parts[address], at_fault, announced = _sheets(workshop, request.get("sheets"), system)
            wrong += at_fault
    summary = view.problems(workshop.problems)
    held = request.get("state")
    at = _place(held.get("at")) if isinstance(held, dict) else None
    if at is not None:
        announced = view.said(workshop, state, at, system)
    return {
        "parts": {address: [to_data(node) for node in nodes] for address, nodes in parts.items()},
        "fragment": fragment,
        "title": workshop.title,
        "questions": len(workshop.questions),
        "problems": to_data(summary) if summary else None,
        "wrong": wrong,
        "said": announced,
    }


def _field_of(problem: Problem) -> str:
    """The field of the trainer's form that a problem of a question belongs to."""
    return problem.name if problem.name in ("ask", "from", "hide", "vary", "say") else "given"


def write_sheets(link: str, seed: Any, copies: Any, sheets_to: Path, key_to: Path | None) -> None:
    """Write the exercise sheets of a link, and the key: into a file of its own, else after the sheets.

    Raises ``SheetsRefused`` for a link, seed or number that can't be used, ``OSError`` for a file that can't be written.
    """
    workshop = open_workshop(link)
    if workshop.problems:
        raise SheetsRefused(list(workshop.problems))
    made = make_copies(workshop, seed, copies)
    title = workshop.title or "Exercise sheets"
    files = {sheets_to: (view.sheet(made, workshop, with_key=key_to is None), title)}
    if key_to is not None:
        files[key_to] = ([view.key(made, workshop.title)], f"Answer key: {title}")
    for file, (nodes, name) in files.items():
        file.write_text("<!doctype html>\n" + to_html(view.as_file(nodes, name)) + "\n", "utf-8")
