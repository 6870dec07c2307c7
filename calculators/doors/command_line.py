"""The command line. Exit status 0, or 2 and one clear line for bad input."""

from __future__ import annotations

import argparse
import io
import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from calculators import catalogue
from calculators.doors import plan_commands
from calculators.doors.as_data import calculator_data, evaluated_data, result_data
from calculators.doors.paper import CannotPrint, pdf
from calculators.doors.terminal import BadInput, dump, evaluated, opened, pairs, write
from calculators.doors.workshop import COPIES, SEED, SheetsRefused, write_sheets
from calculators.entries import limits_in_words
from calculators.plan import EXAMPLES, Evaluated, Plan, Result, Stopped
from calculators.view import report
from calculators.view.elements import to_html
from calculators.view.results import figure_words
from calculators.working import in_words

SOLVED, BAD_INPUT = 0, 2


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> Any:
        raise BadInput(f"{message} (see: python -m calculators --help)")


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
    exercises = commands.add_parser("exercises", help="exercise sheets with other numbers on each copy, and their key")
    exercises.add_argument("link", help="a workshop's link after '#': ask=bays.bays_total&homes=900&vary=homes")
    exercises.add_argument("--seed", default=str(SEED.default), help="the same seed gives the same sheets")
    exercises.add_argument("--copies", default=str(COPIES.default))
    exercises.add_argument("--to", required=True, help="where to write the sheets: a name ending in .html")
    exercises.add_argument("--key", help="where to write the key; without it the key stands after the sheets")
    plan_commands.add_to(commands)
    return parser


def _named(name: str) -> Any:
    if name not in catalogue.BY_KEY:
        known = ", ".join(catalogue.BY_KEY)
        raise BadInput(f"There is no calculator named ‘{name}’. Known: {known}.")
    return catalogue.BY_KEY[name]


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


def _list(options: argparse.Namespace) -> None:
    for calculator in catalogue.CALCULATORS:
        print(f"{calculator.key:<14}{calculator.question}")


def _describe(options: argparse.Namespace) -> None:
    calculator = _named(options.name)
    if options.json:
        print(dump(calculator_data(calculator)))
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
    asked = frozenset([calculator.key])
    result = evaluated(Plan(pairs(options.answers), example), asked).step(calculator.key)
    if isinstance(result, Stopped):
        raise BadInput(result.message)
    if options.json:
        print(dump(result_data(result, options.working)))
    else:
        _print_result(result, options.working)


def _report_html(plan: Evaluated) -> str:
    return "<!doctype html>\n" + to_html(report.as_file(plan))


_WRITERS: Mapping[str, Callable[[Evaluated], str | bytes]] = {
    ".html": _report_html, ".md": report.titled, ".pdf": lambda plan: pdf(_report_html(plan)),
}  # fmt: skip


def _report(options: argparse.Namespace) -> None:
    writer = _WRITERS.get(Path(options.to).suffix)
    if writer is None:
        raise BadInput(f"‘{options.to}’ must end in .html, .md or .pdf.")
    try:
        held = writer(evaluated(opened(options.file), catalogue.ON_REQUEST))
    except CannotPrint as error:
        raise BadInput(str(error)) from None
    write(options.to, held)


def _exercises(options: argparse.Namespace) -> None:
    targets = [Path(name) for name in (options.to, options.key) if name]
    for target in targets:
        if target.suffix != ".html":
            raise BadInput(f"‘{target}’ must end in .html; print it from a browser.")
    if len(targets) == 2 and targets[0] == targets[1]:
        raise BadInput(f"‘{options.key}’ can't hold both the sheets and the key.")
    try:
        write_sheets(options.link, options.seed, options.copies, targets[0], targets[1] if options.key else None)
    except SheetsRefused as refused:
        raise BadInput(str(refused)) from None
    except OSError as error:
        raise BadInput(f"‘{error.filename}’ can't be written: {error.strerror}.") from None
    for target in targets:
        print(f"Written: {target}")


def _plan(options: argparse.Namespace) -> None:
    found = evaluated(opened(options.file), catalogue.ON_REQUEST)
    if options.json:
        print(dump(evaluated_data(found, options.working)))
        return
    for calculator in catalogue.CALCULATORS:
        _print_result(found.step(calculator.key), options.working)


RUN: Mapping[str, Callable[[argparse.Namespace], None]] = {
    "list": _list, "describe": _describe, "solve": _solve, "plan": _plan, "report": _report, "exercises": _exercises,
    **plan_commands.RUN,
}  # fmt: skip


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and give the exit status."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")  # a terminal that has no ‘m³’ is no reason to stop
    try:
        options, rest = _parser().parse_known_args(arguments)
        # answers may stand before and after the options, which argparse alone does not take
        if rest and (options.command not in ("solve", "write") or any(piece.startswith("--") for piece in rest)):
            raise BadInput(f"{rest[0]} is not known here (see: python -m calculators --help)")
        if rest:
            options.answers += rest
        RUN[options.command](options)
    except BadInput as refused:
        print(" ".join(str(refused).split()), file=sys.stderr)
        return BAD_INPUT
    except BrokenPipeError:
        sys.stderr.close()  # the reader of a pipe left: nothing more to say
    return SOLVED
