"""What the commands of the command line share: bad input as one line, files read and written, plans opened."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from calculators import catalogue
from calculators.plan import Evaluated, Plan
from calculators.plan_file import PlanFileError, open_plan


class BadInput(Exception):
    """Bad input; the text is the one line to print."""


def pairs(given: Sequence[str]) -> dict[str, str]:
    """Answers written as name=value; a log may be ``@`` and the name of its file. Raises ``BadInput``."""
    answers: dict[str, str] = {}
    for piece in given:
        name, equals, value = piece.partition("=")
        if not equals or not name:
            raise BadInput(f"‘{piece}’ is not of the form name=value.")
        if catalogue.NAMES.get(name, name) in (catalogue.NAMES.get(other, other) for other in answers):
            raise BadInput(f"‘{name}’ is given twice.")
        answers[name] = _log_file(name, value)
    return answers


def _log_file(name: str, value: str) -> str:
    """The text of the file that ``@`` names, for an answer of many lines; any other value as it is. Raises ``BadInput``."""
    full = catalogue.NAMES.get(name)
    if full is None or catalogue.first_asked(full).kind != "log" or not value.startswith("@"):
        return value
    return read_text(value[1:])


def evaluated(plan: Plan, also: frozenset[str] = frozenset()) -> Evaluated:
    """The plan with its results, those on request where ``also`` names them. Raises ``BadInput`` that names every bad answer."""
    found = plan.evaluate(also)
    if found.problems:
        raise BadInput("; ".join(problem.message for problem in found.problems))
    return found


def read_text(file: str) -> str:
    """The text of a file. Raises ``BadInput``."""
    try:
        return Path(file).read_bytes().decode("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        reason = error.strerror if isinstance(error, OSError) else "it is not UTF-8 text"
        raise BadInput(f"‘{file}’ can't be read: {reason}.") from None


def opened(file: str) -> Plan:
    """A plan file. Raises ``BadInput`` with one line for a file that can't be used."""
    try:
        return open_plan(read_text(file))
    except PlanFileError as error:
        raise BadInput(str(error)) from None


def write(file: str, content: str | bytes) -> None:
    """Write a file and say so. Raises ``BadInput``."""
    try:
        Path(file).write_bytes(content.encode() if isinstance(content, str) else content)
    except OSError as error:
        raise BadInput(f"‘{file}’ can't be written: {error.strerror}.") from None
    print(f"Written: {file}")


def dump(held: Any) -> str:
    """Data as JSON that this terminal can show."""
    return json.dumps(held, ensure_ascii=not (sys.stdout.encoding or "").lower().startswith("utf"), indent=1)
