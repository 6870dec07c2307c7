"""The command line: list, describe, solve, plan, report, calendar. Exit status 0, or 2 and one clear line for bad input."""

from __future__ import annotations

import argparse
import datetime
import io
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from calculators import catalogue
from calculators.declare import CannotSolve
from calculators.doors.as_data import calculator_data, evaluated_data, result_data
from calculators.doors.calendar_file import calendar
from calculators.doors.paper import CannotPrint, pdf
from calculators.entries import limits_in_words
from calculators.first_heaps import MOST_HEAPS, work_of_first_heaps
from calculators.plan import EXAMPLES, Evaluated, Plan, PlanFileError, Result, Stopped, open_plan
from calculators.view import report
from calculators.view.elements import to_html
from calculators.view.results import figure_words
from calculators.working import in_words

SOLVED, BAD_INPUT = 0, 2


class _Refused(Exception):
    """Bad input; the text is the one line to print."""


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> Any:
        raise _Refused(f"{message} (see: python -m calculators --help)")


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(prog="python -m calculators", description="Calculators for a covered composting yard.")
    commands = parser.add_subparsers(dest="command", required=True, parser_class=_Parser)
    commands.add_parser("list", help="every calculator with its question")
    describe = commands.add_parser("describe", help="the answers and outputs of a calculator")
    describe.add_argument("name")
    describe.add_argument("--json", action="store_true")
    solve = commands.add_parser("solve", help="one calculator, with answers as name=value")
    solve.add_argument("name")
    solve.add_argument("answers", nargs="*", metavar="name=value")
    solve.add_argument("--from", dest="example", default="nothing", choices=(*EXAMPLES, "nothing"),
                       help="the example yard to start from (default: nothing, only defaults)")  # fmt: skip
    solve.add_argument("--json", action="store_true")
    solve.add_argument("--working", action="store_true")
    plan = commands.add_parser("plan", help="every calculator, from a plan file")
    plan.add_argument("file")
    plan.add_argument("--json", action="store_true")
    plan.add_argument("--working", action="store_true")
    report = commands.add_parser("report", help="the printable report of a plan file")
    report.add_argument("file")
    report.add_argument("--to", required=True, help="where to write it: a name ending in .html, .md or .pdf")
    dates = commands.add_parser("calendar", help="the work of the first heaps of a plan file, as a calendar file")
    dates.add_argument("file")
    dates.add_argument("--from", dest="first_day", required=True, help="day of the first load, such as 2027-01-04")
    dates.add_argument("--heaps", default="3", help=f"how many first heaps, 1 to {MOST_HEAPS} (default: 3)")
    dates.add_argument("--to", required=True, help="where to write it: a name ending in .ics")
    return parser


def _named(name: str) -> Any:
    if name not in catalogue.BY_KEY:
        known = ", ".join(catalogue.BY_KEY)
        raise _Refused(f"There is no calculator named ‘{name}’. Known: {known}.")
    return catalogue.BY_KEY[name]


def _pairs(given: Sequence[str]) -> dict[str, str]:
    answers: dict[str, str] = {}
    for piece in given:
        name, equals, value = piece.partition("=")
        if not equals or not name:
            raise _Refused(f"‘{piece}’ is not of the form name=value.")
        if catalogue.NAMES.get(name, name) in (catalogue.NAMES.get(other, other) for other in answers):
            raise _Refused(f"‘{name}’ is given twice.")
        answers[name] = value
    return answers


def _evaluated(plan: Plan) -> Evaluated:
    evaluated = plan.evaluate()
    if evaluated.problems:
        raise _Refused("; ".join(problem.message for problem in evaluated.problems))
    return evaluated


def _dump(held: Any) -> str:
    return json.dumps(held, ensure_ascii=not (sys.stdout.encoding or "").lower().startswith("utf"), indent=1)


def _print_result(result: Result | Stopped, working: bool) -> None:
    print(f"{result.calculator.title}: {result.message if isinstance(result, Stopped) else result.sentence}")
    if isinstance(result, Stopped):
        return
    for name, output in result.calculator.results.items():
        if output.kind in ("number", "count", "text"):
            print(f"  {output.label}: {figure_words(output, getattr(result.outputs, name), 'metric')}")
    for words in result.notices:
        print(f"  note: {words}")
    for caution in result.cautions:
        print(f"  caution: {caution.title}. {' '.join(caution.because)} {caution.text}".replace("  ", " "))
    if working:
        for step in result.steps:
            print(f"  working: {in_words(step)}")


def _list() -> None:
    for calculator in catalogue.CALCULATORS:
        print(f"{calculator.key:<12}{calculator.question}")


def _describe(name: str, as_json: bool) -> None:
    calculator = _named(name)
    if as_json:
        print(_dump(calculator_data(calculator)))
        return
    print(f"{calculator.title}: {calculator.question}\n\nAnswers")
    for answer in calculator.answers.values():
        follows = f" Follows {answer.follows}." if answer.follows else ""
        limits = f" Allowed: {limits_in_words(answer)}." if limits_in_words(answer) else ""
        print(f"  {answer.name} [{answer.unit}] default {answer.default}: {answer.label}.{follows}{limits}")
        print(f"    {answer.help} ({answer.source.status}: {answer.source.citation})")
    print("\nOutputs")
    for output in calculator.results.values():
        print(f"  {output.name} [{output.unit}]: {output.label}. {output.help}".rstrip())


def _solve(options: argparse.Namespace) -> None:
    calculator = _named(options.name)
    example = None if options.example == "nothing" else options.example
    evaluated = _evaluated(Plan(_pairs(options.answers), example))
    result = evaluated.step(calculator.key)
    if isinstance(result, Stopped):
        raise _Refused(result.message)
    if options.json:
        print(_dump(result_data(result, options.working)))
    else:
        _print_result(result, options.working)


def _opened(file: str) -> Evaluated:
    """A plan file, evaluated. Raises ``_Refused`` with one line for a file that can't be used."""
    try:
        text = Path(file).read_text("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        reason = error.strerror if isinstance(error, OSError) else "it is not UTF-8 text"
        raise _Refused(f"‘{file}’ can't be read: {reason}.") from None
    try:
        return _evaluated(open_plan(text))
    except PlanFileError as error:
        raise _Refused(str(error)) from None


def _report_html(plan: Evaluated) -> str:
    return "<!doctype html>\n" + to_html(report.as_file(plan))


def _report(options: argparse.Namespace) -> None:
    writers = {
        ".html": lambda plan: _report_html(plan).encode(),
        ".md": lambda plan: report.titled(plan).encode(),
        ".pdf": lambda plan: pdf(_report_html(plan)),
    }
    writer = writers.get(Path(options.to).suffix)
    if writer is None:
        raise _Refused(f"‘{options.to}’ must end in .html, .md or .pdf.")
    try:
        held = writer(_opened(options.file))
    except CannotPrint as error:
        raise _Refused(str(error)) from None
    _write(options.to, held)


def _write(target: str, held: bytes) -> None:
    try:
        Path(target).write_bytes(held)
    except OSError as error:
        raise _Refused(f"‘{target}’ can't be written: {error.strerror}.") from None
    print(f"Written: {target}")


def _date(text: str) -> datetime.date:
    try:
        date = datetime.date.fromisoformat(text)
    except ValueError:
        date = None
    if date is None or date.isoformat() != text:  # Python also takes 20270104 and weeks
        raise _Refused(f"‘{text}’ after --from is not a date: write year, month and day, such as 2027-01-04.")
    return date


def _calendar(options: argparse.Namespace) -> None:
    if Path(options.to).suffix != ".ics":
        raise _Refused(f"‘{options.to}’ must end in .ics.")
    first_day = _date(options.first_day)
    try:
        heaps = int(options.heaps)
    except ValueError:
        raise _Refused(f"‘{options.heaps}’ after --heaps is not a whole number from 1 to {MOST_HEAPS}.") from None
    try:
        work = work_of_first_heaps(_opened(options.file), first_day, heaps)
    except CannotSolve as error:
        raise _Refused(error.message) from None
    _write(options.to, calendar(work).encode())


def _plan(options: argparse.Namespace) -> None:
    evaluated = _opened(options.file)
    if options.json:
        print(_dump(evaluated_data(evaluated, options.working)))
        return
    for calculator in catalogue.CALCULATORS:
        _print_result(evaluated.step(calculator.key), options.working)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and give the exit status."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")  # a terminal that has no ‘m³’ is no reason to stop
    try:
        options, rest = _parser().parse_known_args(arguments)
        # answers may stand before and after the options, which argparse alone does not take
        if rest and (options.command != "solve" or any(piece.startswith("--") for piece in rest)):
            raise _Refused(f"{rest[0]} is not known here (see: python -m calculators --help)")
        if rest:
            options.answers += rest
        if options.command == "list":
            _list()
        elif options.command == "describe":
            _describe(options.name, options.json)
        elif options.command == "solve":
            _solve(options)
        elif options.command == "report":
            _report(options)
        elif options.command == "calendar":
            _calendar(options)
        else:
            _plan(options)
    except _Refused as refused:
        print(" ".join(str(refused).split()), file=sys.stderr)
        return BAD_INPUT
    except BrokenPipeError:
        sys.stderr.close()  # the reader of a pipe left: nothing more to say
    return SOLVED
