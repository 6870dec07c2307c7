"""Many yards at once: a table of wards, one a row, each planned and walked through the same drawn years.

The table is CSV text. Its first row names the columns: ``name``, if wanted ``from`` (an example yard to start from, else
nothing but defaults), and answers, called as in links. A row that can't be used stays in the result with its reason.
"""

from __future__ import annotations

import csv
import difflib
import io
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, replace

from calculators import catalogue
from calculators.declare import CannotSolve
from calculators.drawn_years import scenario_of
from calculators.entries import LONGEST_TEXT, shorten
from calculators.plan import EXAMPLES, Evaluated, Plan
from calculators.plan_file import words
from calculators.simulate.exactly import added
from calculators.simulate.uncertain import LEAST_REFUSED, draw, handbook_ranges, percentile, share_of
from calculators.simulate.year import Record, Scenario, run

OWN_COLUMNS = ("name", "from")
"""Columns that are not answers."""
MOST_WARDS = 100_000
RISKY = ("=", "+", "-", "@", "\t", "\r")
"""What a cell of words may not begin with in a table that a spreadsheet opens: it would be run as a formula."""


class CannotRead(ValueError):
    """The table of wards can't be used at all; the text says where and why."""


@dataclass(frozen=True)
class Ward:
    """A row of the table: where it stands (the line of the file), its name, the example to start from, its answers as written.

    ``problem`` says why the row can't be used, or is ''.
    """

    line: int
    name: str
    example: str | None
    answers: tuple[tuple[str, str], ...]
    problem: str = ""


def _columns(header: Sequence[str]) -> list[str]:
    """The names of the columns: ``OWN_COLUMNS``, and answers by their full names. Raises ``CannotRead``."""
    found: list[str] = []
    for place, cell in enumerate(header, 1):
        called = cell.strip()
        name = called if called in OWN_COLUMNS else catalogue.NAMES.get(called, "")
        if not name:
            near = difflib.get_close_matches(called, [*OWN_COLUMNS, *catalogue.NAMES], 1, 0.6)
            hint = f" Did you mean ‘{near[0]}’?" if near else ""
            if ";" in called or "\t" in called:
                hint = " Separate columns with commas."
            raise CannotRead(f"Row 1, column {place}: ‘{shorten(called)}’ is neither name, from nor an answer.{hint}")
        if name in found:
            raise CannotRead(f"Row 1, column {place}: ‘{shorten(called)}’ names a column that is there already.")
        found.append(name)
    if "name" not in found:
        raise CannotRead("Row 1: there must be a column ‘name’, for the names of the wards.")
    return found


def read_wards(text: str) -> tuple[Ward, ...]:
    """The wards of a table, in their order. Lines without any cell are passed over.

    Raises ``CannotRead`` for a header that can't be used, for text that is no CSV, and for none or too many rows.
    """
    rows = csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""), strict=True)
    wards: list[Ward] = []
    columns: list[str] = []
    try:
        for row in rows:
            if not row:
                continue
            if not columns:
                columns = _columns(row)
                continue
            wards.append(_ward(rows.line_num, columns, row))
            if len(wards) > MOST_WARDS:
                raise CannotRead(f"There are more than {MOST_WARDS} rows. Part the table.")
    except csv.Error as error:
        raise CannotRead(f"Line {rows.line_num}: this is not CSV ({error}).") from None
    if not wards:
        raise CannotRead("There is no row of a ward below the first row." if columns else "The file is empty.")
    return tuple(wards)


def _ward(line: int, columns: Sequence[str], row: Sequence[str]) -> Ward:
    cells = {name: cell.strip() for name, cell in zip(columns, row, strict=False)}
    asked = cells.pop("from", "") or "nothing"
    given = cells.pop("name", "")
    name = words(given, LONGEST_TEXT)
    answers = tuple((answer, cell) for answer, cell in cells.items() if cell)
    problem = ""
    if len(row) != len(columns):
        problem = f"Line {line} has {len(row)} cells; the first row has {len(columns)}."
    elif not name:
        problem = f"Line {line}, column name: it is empty."
    elif name != " ".join(given.split()):
        problem = f"Line {line}, column name: at most {LONGEST_TEXT} characters that can be shown are allowed."
    elif asked not in (*EXAMPLES, "nothing"):
        problem = f"Line {line}, column from: ‘{shorten(asked)}’ is not one of {', '.join((*EXAMPLES, 'nothing'))}."
    return Ward(line, name, None if asked == "nothing" else asked, answers, problem)


# ---- one ward -------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Planned:
    """A row of the result. Bays ``for_heaps`` are those that heaps may take: all but the spare ones.

    Those needed in 95 % of the years are the least number that at least so many years do not go beyond.
    ``problem`` says why there are no figures (each is then ``None``), or is ''.
    """

    line: int
    name: str
    received_kg_per_day: float | None = None
    bays_total: int | None = None
    bays_for_heaps: int | None = None
    crew_count: int | None = None
    tub_ratio: str | None = None
    years: int | None = None
    bays_for_heaps_needed_in_95_percent_of_years: int | None = None
    refused_kg_per_year_median: float | None = None
    refused_kg_per_year_95th_percentile: float | None = None
    years_without_refusal_percent: float | None = None
    years_without_refusal_percent_low: float | None = None
    years_without_refusal_percent_high: float | None = None
    problem: str = ""


HEADER = tuple(field.name for field in fields(Planned))


def _evaluated(ward: Ward) -> Evaluated:
    """The ward's plan, worked out. Raises ``CannotSolve`` that names every cell at fault."""
    evaluated = Plan(dict(ward.answers), ward.example).evaluate()
    if evaluated.problems:
        told = [f"Line {ward.line}, column {_column(problem.name)}: {problem.message}" for problem in evaluated.problems]
        raise CannotSolve(" ".join(told))
    for key in ("arrivals", "mix", "bays", "crew"):
        if key in evaluated.stopped:
            raise CannotSolve(f"Line {ward.line}: {evaluated.stopped[key].message}")
    return evaluated


def _column(name: str) -> str:
    full = catalogue.NAMES.get(name)
    return catalogue.first_asked(full).link_name if full else name


def _ample(base: Scenario) -> Scenario:
    """The same yard with more bays than heaps can be begun in a walk, even at three times its waste."""
    m3 = max(base.waste_kg_by_day) * (base.waste_m3_per_kg + base.bulking_kg_per_kg * base.bulking_m3_per_kg)
    heaps = math.ceil(3 * m3 * (base.first_stage_days + base.curing_days + 2 * base.days) / base.heap_m3)
    return replace(base, stage_bays=max(base.stage_bays, 2 * heaps))


def _bays_taken(record: Record) -> int:
    """The most bays that heaps of a walk took at a time, within a day too: the bay of the lowest number is taken first."""
    return max((heap.bay + 1 for heap in record.heaps), default=0)


def _with_built(ample: Record, built: Scenario) -> Record:
    """The year with the bays that are built: the one walked with ample bays, where that never took more of them."""
    return ample if built.start == "empty" and _bays_taken(ample) <= built.stage_bays else run(built)


def plan_ward(ward: Ward, draws: int, seed: int) -> Planned:
    """Plan a ward and walk its drawn years. Never raises: what went wrong stands in the row."""
    if ward.problem:
        return Planned(ward.line, ward.name, problem=ward.problem)
    try:
        evaluated = _evaluated(ward)
        base = scenario_of(evaluated)
    except CannotSolve as error:
        return Planned(ward.line, ward.name, problem=error.message)
    ranges = handbook_ranges()
    taken, refused, without = [], [], 0
    for number in range(draws):
        built = draw(base, ranges, seed, number)[1]
        ample = run(_ample(built))
        record = _with_built(ample, built)
        taken.append(_bays_taken(ample))
        refused.append(added(record.refused_kg))
        without += max(record.refused_kg) <= LEAST_REFUSED
    share = share_of(without, draws)
    results = {key: result.outputs for key, result in evaluated.results.items()}
    return Planned(
        ward.line, ward.name, results["arrivals"].received_kg_per_day, results["bays"].bays_total, base.stage_bays,
        results["crew"].crew_count, results["mix"].tub_ratio, draws, sorted(taken)[math.ceil(0.95 * draws - 1e-9) - 1],
        percentile(refused, 50), percentile(refused, 95), 100 * share.share, 100 * share.low, 100 * share.high,
    )  # fmt: skip


# ---- the result as a table ------------------------------------------------------------------------------------


def harmless(cell: str) -> str:
    """Words that no spreadsheet takes for a formula: an apostrophe stands before a risky first letter."""
    return f"'{cell}" if cell.startswith(RISKY) else cell


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.6g}" if value < 1e6 else f"{value:.0f}"
    return harmless(str(value))


def to_csv(planned: Iterable[Planned]) -> str:
    """The result as CSV text, a row for each ward in the order of the table."""
    written = io.StringIO(newline="")
    rows = csv.writer(written, lineterminator="\r\n")
    rows.writerow(HEADER)
    for each in planned:
        rows.writerow([_cell(getattr(each, name)) for name in HEADER])
    return written.getvalue()


def counted(planned: Sequence[Planned]) -> Mapping[str, int]:
    """How many wards have figures, and how many a problem."""
    problems = sum(1 for each in planned if each.problem)
    return {"planned": len(planned) - problems, "problems": problems}
