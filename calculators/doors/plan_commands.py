"""The commands that make, share, draw and compare plans: write, link, compare, export, draw, calendar, many, schema."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from calculators import catalogue, variants
from calculators.declare import CannotSolve
from calculators.doors import engines, qr_code
from calculators.doors.calendar_file import calendar
from calculators.doors.dxf_file import dxf
from calculators.doors.paper import INSTEAD, CannotPrint, pdf
from calculators.doors.spreadsheet import LibraryMissing, workbook
from calculators.doors.terminal import BadInput, dump, evaluated, opened, pairs, read_text, write
from calculators.entries import LONGEST_TEXT
from calculators.first_heaps import MOST_HEAPS, read_first_day, read_heaps, work_of_first_heaps
from calculators.many import CannotRead, counted, read_wards, to_csv
from calculators.plan import EXAMPLES, Evaluated, Plan
from calculators.plan_file import LONGEST_MONEY, pack, save_plan, schema, words
from calculators.sheet import Drawing
from calculators.simulate.uncertain import MOST_SEED
from calculators.view.compare import compared
from calculators.view.drawings import paper_document, svg_file
from calculators.view.elements import to_html
from calculators.view.report import to_markdown


MOST_DRAWS = 10_000
MOST_WORKERS = 256


def add_to(commands: Any) -> None:
    """Add these commands to the parser."""
    made = commands.add_parser("write", help="write a plan file, from answers as name=value")
    made.add_argument("file")
    made.add_argument("answers", nargs="*", metavar="name=value")
    made.add_argument("--from", dest="example", choices=(*EXAMPLES, "nothing"), help="the example yard to start from")
    made.add_argument("--on", metavar="FILE", help="a plan file whose answers are taken over")
    made.add_argument("--name", help="the yard's own name")
    made.add_argument("--money", help="what a unit of money is called")
    made.add_argument("--replace", action="store_true", help="write over a file that is there")
    link = commands.add_parser("link", help="the link that carries a plan file")
    link.add_argument("file")
    link.add_argument("--page", default="plan/yard.html", help="the page's address, without what follows #")
    link.add_argument("--packed", action="store_true", help="the whole plan in letters, shorter")
    link.add_argument("--qr", metavar="FILE", help="write it as a QR code too: a name ending in .svg")
    side = commands.add_parser("compare", help="what differs between plan files")
    side.add_argument("files", nargs="+")
    side.add_argument("--json", action="store_true")
    export = commands.add_parser("export", help="a plan file in another form")
    export.add_argument("file")
    export.add_argument("--to", required=True, help="where to write it: a name ending in .xlsx")
    draw = commands.add_parser("draw", help="a drawing of a plan file, to scale")
    draw.add_argument("file")
    draw.add_argument("--drawing", metavar="NAME", help="which, such as bays.shed; without it the site plan, or where there is none the "
                      "first; a PDF then holds all of them")  # fmt: skip
    draw.add_argument("--to", required=True, help="where to write it: a name ending in .dxf, .svg or .pdf")
    dates = commands.add_parser("calendar", help="the work of the first heaps of a plan file, as a calendar file")
    dates.add_argument("file")
    dates.add_argument("--from", dest="first_day", required=True, help="day of the first load, such as 2027-01-04")
    dates.add_argument("--heaps", default="3", help=f"how many first heaps, 1 to {MOST_HEAPS} (default: 3)")
    dates.add_argument("--to", required=True, help="where to write it: a name ending in .ics")
    many = commands.add_parser("many", help="a plan for each ward of a table, walked through drawn years")
    many.add_argument("file", metavar="WARDS.csv", help="a ward a row: name, from, and answers as in links")
    many.add_argument("--draws", default="200", help=f"drawn years for each, 1 to {MOST_DRAWS} (default: 200)")
    many.add_argument("--seed", default="7", help="the same seed gives the same years (default: 7)")
    many.add_argument("--workers", default=str(os.cpu_count() or 1), help="processes at once (default: one a core)")
    many.add_argument("--engine", default="processes", choices=("processes", "dask"), help="what carries it out")
    many.add_argument("--scheduler", default="", metavar="ADDRESS", help="of a Dask scheduler that is there already")
    many.add_argument("--to", required=True, help="where to write the result: a name ending in .csv")
    commands.add_parser("schema", help="the JSON Schema of plan files")


def _free(words_given: str, longest: int, what: str) -> str:
    kept = words(words_given, longest)
    if kept != words_given.strip():
        raise BadInput(f"{what} must be plain words, at most {longest} characters; you wrote ‘{words_given[:40]}’.")
    return kept


def _write(options: argparse.Namespace) -> None:
    base = opened(options.on) if options.on else Plan({}, None)
    if Path(options.file).exists() and not options.replace:
        raise BadInput(f"‘{options.file}’ is there already; --replace writes over it.")
    given = {catalogue.NAMES.get(name, name): raw for name, raw in pairs(options.answers).items()}
    before = {catalogue.NAMES.get(name, name): raw for name, raw in base.answers.items()}
    plan = replace(base, answers=before | given, guessed=tuple(name for name in base.guessed if name not in given))
    if options.example:
        plan = replace(plan, example=None if options.example == "nothing" else options.example)
    if options.name is not None:
        plan = replace(plan, name=_free(options.name, LONGEST_TEXT, "The name"))
    if options.money is not None:
        plan = replace(plan, money=_free(options.money, LONGEST_MONEY, "What a unit of money is called"))
    write(options.file, save_plan(evaluated(plan)))


def _link(options: argparse.Namespace) -> None:
    plan = evaluated(opened(options.file))
    fragment = f"plan={pack(plan)}" if options.packed else plan.fragment
    link = f"{options.page}#{fragment}" if fragment else options.page
    print(link)
    if options.qr:
        if Path(options.qr).suffix != ".svg":
            raise BadInput(f"‘{options.qr}’ must end in .svg.")
        try:
            write(options.qr, qr_code.as_file(link))
        except qr_code.TooLong as error:
            raise BadInput(str(error)) from None
        except ImportError:
            raise BadInput("QR codes need the library segno: pip install segno") from None


def _compare(options: argparse.Namespace) -> None:
    plans = [evaluated(opened(file)) for file in options.files]
    try:
        found = variants.compare(plans)
    except ValueError as error:
        raise BadInput(str(error)) from None
    if options.json:
        print(dump(compared_data(found)))
        return
    print("\n".join(to_markdown(node) for node in compared(found)))


def compared_data(found: variants.Differences) -> dict[str, Any]:
    """Differences as data."""
    return {
        "plans": [plan.plan.title for plan in found.plans],
        "answers": {
            row.answer.name: [{"value": each.value, "origin": each.origin} for each in row.standings] for row in found.answers
        },
        "results": {f"{row.calculator.key}.{row.output.name}": list(row.values) for row in found.figures},
        "same_answers": found.same_answers,
        "same_results": found.same_figures,
    }


_EXPORTS: Mapping[str, Callable[[Evaluated], str | bytes]] = {".xlsx": workbook}


def _export(options: argparse.Namespace) -> None:
    maker = _EXPORTS.get(Path(options.to).suffix)
    if maker is None:
        raise BadInput(f"‘{options.to}’ must end in {' or '.join(_EXPORTS)}.")
    try:
        held = maker(evaluated(opened(options.file)))
    except LibraryMissing as error:
        raise BadInput(str(error)) from None
    write(options.to, held)


def _pdf_of(drawings: Sequence[Drawing]) -> bytes:
    return pdf("<!doctype html>\n" + to_html(paper_document(drawings)))


_DRAWN: Mapping[str, Callable[[Sequence[Drawing]], str | bytes]] = {
    ".dxf": lambda drawings: dxf(drawings[0]), ".svg": lambda drawings: svg_file(drawings[0]), ".pdf": _pdf_of,
}  # fmt: skip


def _draw(options: argparse.Namespace) -> None:
    suffix = Path(options.to).suffix
    if suffix not in _DRAWN:
        raise BadInput(f"‘{options.to}’ must end in .dxf, .svg or .pdf.")
    asked = frozenset([options.drawing.partition(".")[0]]) if options.drawing else catalogue.ON_REQUEST
    found = evaluated(opened(options.file), asked & catalogue.ON_REQUEST)
    listed = {f"{key}.{drawing.key}": drawing for key, result in found.results.items() for drawing in result.drawings}
    if not listed:
        raise BadInput("This plan has nothing to draw: no calculator that draws has a result.")
    if options.drawing and options.drawing not in listed:
        raise BadInput(f"There is no drawing named ‘{options.drawing[:40]}’. Known: {', '.join(listed)}.")
    plans = [drawing for drawing in listed.values() if drawing.north]
    chosen = [listed[options.drawing]] if options.drawing else [*plans, *(each for each in listed.values() if not each.north)]
    try:
        write(options.to, _DRAWN[suffix](chosen))
    except CannotPrint as error:
        raise BadInput(str(error).replace(INSTEAD, "Write .svg and print that from a browser instead.")) from None


def _calendar(options: argparse.Namespace) -> None:
    if Path(options.to).suffix != ".ics":
        raise BadInput(f"‘{options.to}’ must end in .ics.")
    try:
        first_day, heaps = read_first_day(options.first_day), read_heaps(options.heaps)
        work = work_of_first_heaps(evaluated(opened(options.file)), first_day, heaps)
    except CannotSolve as error:
        raise BadInput(error.message) from None
    write(options.to, calendar(work))


def _whole(given: str, what: str, low: int, high: int) -> int:
    if not (given.isascii() and given.isdigit() and low <= int(given[:12]) <= high):
        raise BadInput(f"{what} must be a whole number from {low} to {high}; you wrote ‘{given[:40]}’.")
    return int(given)


def _many(options: argparse.Namespace) -> None:
    draws = _whole(options.draws, "--draws", 1, MOST_DRAWS)
    seed = _whole(options.seed, "--seed", 0, MOST_SEED)
    workers = _whole(options.workers, "--workers", 1, MOST_WORKERS)
    if Path(options.to).suffix != ".csv":
        raise BadInput(f"‘{options.to}’ must end in .csv.")
    if Path(options.to).resolve() == Path(options.file).resolve():
        raise BadInput(f"‘{options.to}’ is the table of wards itself.")
    try:
        wards = read_wards(read_text(options.file))
        if options.engine == "dask":
            rows = engines.over_dask(wards, draws, seed, *engines.dask_library(options.scheduler))
        else:
            rows = engines.over_processes(wards, draws, seed, workers)
        planned = []
        for row in rows:
            planned.append(row)
            print(f"\r{len(planned)} of {len(wards)} wards", end="", file=sys.stderr, flush=True)
    except CannotRead as error:
        raise BadInput(f"‘{options.file}’: {error}") from None
    except engines.EngineFailed as error:
        raise BadInput(str(error)) from None
    print(file=sys.stderr)
    write(options.to, to_csv(planned))
    found = counted(planned)
    print(f"{found['planned']} wards planned, {found['problems']} with a problem (last column).")


def _schema(options: argparse.Namespace) -> None:
    print(dump(schema()))


RUN: Mapping[str, Callable[[argparse.Namespace], None]] = {
    "write": _write, "link": _link, "compare": _compare, "export": _export, "draw": _draw, "calendar": _calendar,
    "many": _many, "schema": _schema,
}  # fmt: skip
