"""Product quality: a laboratory report held against every published grade side by side.

Grades and limits are rows of the reference data; another jurisdiction is more rows. A reading is an interval of what is
still possible (below a detection limit, on an unknown basis, part of a sum that was measured): a limit is met where all of
the interval meets it, failed where none does, and open otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from calculators.declare import (
    Calculator,
    CannotSolve,
    Chart,
    Column,
    Line,
    Mark,
    RaisedCaution,
    Say,
    choice,
    flag,
    number,
    output,
    output_count,
    output_table,
    output_text,
    own_choice,
    table,
)  # fmt: skip
from calculators.known import plain
from calculators.reference import cited, rows_of, source
from calculators.units import show_number
from calculators.working import Working, total

PARAMETERS = {row["key"]: row for row in rows_of("quality_limits", "parameters")}
GRADES = {row["key"]: row for row in rows_of("quality_limits", "grades")}
LIMITS = rows_of("quality_limits", "limits")
OXIDES = {row["key"]: row["value"] for row in rows_of("quality_limits", "oxides")}
WHOLE_OF = {row["part"]: row["whole"] for row in rows_of("quality_limits", "part_of")}
PARTS_OF = {whole: tuple(part for part, of in WHOLE_OF.items() if of == whole) for whole in WHOLE_OF.values()}
ATOMIC = source("arithmetic")

UNITS_OF_KIND = {
    "share": {"mg_kg": 1.0, "ug_kg": 1e-3, "g_kg": 1e3, "percent": 1e4},
    "share_only": {"percent": 1.0},
    "count": {"per_g": 1.0},
    "count_4g": {"per_4g": 1.0},
    "per_volume": {"per_l": 1.0},
    "density": {"g_cm3": 1.0, "kg_m3": 1e-3},
    "conductivity": {"ds_m": 1.0, "us_cm": 1e-3},
    "plain": {"none": 1.0},
    "found": {"none": 1.0},
}
"""Units in which a kind of figure may be given, and how much of the kind's first unit one is: by definition."""
UNIT_WORDS = {
    "usual": "as named with the parameter", "mg_kg": "mg/kg (ppm)", "ug_kg": "µg/kg (ppb)", "g_kg": "g/kg", "percent": "%",
    "per_g": "in 1 g", "per_4g": "in 4 g", "per_l": "in 1 L", "ds_m": "dS/m (mS/cm)", "us_cm": "µS/cm", "g_cm3": "g/cm³ (kg/L)",
    "kg_m3": "kg/m³", "none": "no unit",
}  # fmt: skip
SIGNS = {"per_g": "/g", "per_4g": "/4 g", "per_l": "/L", "mg_kg": "mg/kg", "percent": "%", "ds_m": "dS/m", "g_cm3": "g/cm³",
         "none": ""}  # fmt: skip
BASES = {"dry": "dry mass", "wet": "as received (wet)"}
FROM_ELSEWHERE = ("moisture", "npk_sum")
"""Not entered as rows: moisture has an answer of its own, the sum is added up."""
MEETS, OPEN, FAILS, UNTESTED = "meets", "can't tell", "fails", "not tested"
WORST = (MEETS, UNTESTED, OPEN, FAILS)
ALL_MET, SOME_FAILED, NOT_ENOUGH = "meets all that is held here", "fails", "not enough tested"
SHARE_CEILING = 1e6
NEAREST_SHOWN = 8
HARMFUL = ("Metals", "Germs", "Foreign matter")
"""Groups of parameters of which less is better."""


Row = Mapping[str, Any]
"""A row of the reference data."""


def _with_unit(row: Row) -> str:
    unit = SIGNS[row["unit"]] or row.get("hint", "")
    return f"{row['label']}{', ' + unit if unit else ''}"


CHOICES = {key: _with_unit(row) for key, row in PARAMETERS.items() if key not in FROM_ELSEWHERE}
PLACES = {key: f"{row['place']}: {row['grade']}" for key, row in GRADES.items()}


@dataclass(frozen=True)
class Inputs:
    """A laboratory report and the grade of interest."""

    compost_moisture_percent: float | None = number(
        "Moisture of the compost", "percent", None, low=0, high=95, usual=(15, 65), blank=True, follows="laboratory", group="Report",
        help="Of wet mass, as sampled. Turns figures of dry mass into figures as received and back, and is itself limited by some "
             "rules.", measure="weigh a sample before and after drying",
    )  # fmt: skip
    laboratory_report: tuple[tuple[object, ...], ...] = table(
        "Laboratory report",
        {
            "parameter": choice("Parameter", CHOICES, "cadmium"),
            "reading": number("Figure", "1", 0.0, low=0, high=1e9, usual=(0, 500)),
            "reading_unit": choice("Unit", UNIT_WORDS, "usual"),
            "reading_basis": choice("Of", BASES, "dry"),
            "below_detection": flag("Below detection", False),
        },
        (), most_rows=60, group="Report",
        help="One row for each figure. For “< 0.1” write 0.1 and say yes to below detection. “None found” is 0.",
    )  # fmt: skip
    sold_under: str | None = choice(
        "Rule of most interest", PLACES, None, blank=True, group="Rule",
        help="Shown in full below. Empty: the limits that come nearest, of all grades.",
    )  # fmt: skip


@dataclass(frozen=True)
class Outputs:
    """Verdict for each grade, the limit that binds, and what to ask the laboratory for."""

    grades_met: int = output_count("Grades met, in all that is held here", "each", key_figure=True)
    grades_failed: int = output_count("Grades failed", "each", key_figure=True)
    grades_open: int = output_count("Grades with not enough tested", "each", key_figure=True)
    binding_limit: str = output_text("Limit that binds", help="Closest to failure, or furthest beyond it; over all grades of what harms.",
                                    key_figure=True)  # fmt: skip
    ask_laboratory: str = output_text("Ask the laboratory for", help="Asked by most grades first.")
    readings_entered: int = output_count("Figures entered, moisture among them", "each")
    nitrogen_percent_dry: float | None = output("Nitrogen, of dry mass", "percent", help="– where not reported.")
    phosphate_percent_dry: float | None = output("Phosphate (P₂O₅), of dry mass", "percent", help="– where not reported.")
    potash_percent_dry: float | None = output("Potash (K₂O), of dry mass", "percent", help="– where not reported.")
    conductivity_ds_m: float | None = output("Conductivity (EC)", "dS/m", help="– where not reported.")
    by_grade: tuple[tuple[object, ...], ...] = output_table(
        "Verdict of each grade",
        (Column("grade", "Grade"), Column("verdict", "Verdict"), Column("fails_on", "Fails on"),
         Column("open_on", "Not tested or can't tell"), Column("nearest", "Nearest limit"),
         Column("standing", "Standing of the table")),
    )  # fmt: skip
    by_parameter: tuple[tuple[object, ...], ...] = output_table(
        "Each figure against all grades",
        (Column("parameter", "Parameter"), Column("yours", "Yours"), Column("range", "Strictest and loosest limit"),
         Column("fails_in", "Fails in"), Column("meets_in", "Meets in"), Column("open_in", "Can't tell in")),
    )  # fmt: skip
    in_full: tuple[tuple[object, ...], ...] = output_table(
        "Limits in full",
        (Column("grade", "Grade"), Column("parameter", "Parameter"), Column("limit", "Limit"), Column("yours", "Yours"),
         Column("outcome", "Outcome"), Column("room", "Room left, % of the limit", "1")),
        help="All limits of the rule of most interest; without one, the limits that come nearest.",
    )  # fmt: skip


# ---- formulas -------------------------------------------------------------------------------------------------


def of_dry_mass(figure_as_received: float, moisture_percent: float) -> float:
    """A share of wet mass as a share of dry mass, in the same unit. Moisture below 100 % of wet mass."""
    return figure_as_received / (1 - moisture_percent / 100)


def as_received(figure_of_dry_mass: float, moisture_percent: float) -> float:
    """A share of dry mass as a share of wet mass, in the same unit."""
    return figure_of_dry_mass * (1 - moisture_percent / 100)


def phosphate(phosphorus: float) -> float:
    """P₂O₅ in some phosphorus P, by atomic masses."""
    return phosphorus * OXIDES["phosphate_per_phosphorus"]


def potash(potassium: float) -> float:
    """K₂O in some potassium K, by atomic masses."""
    return potassium * OXIDES["potash_per_potassium"]


def arsenic_oxide(arsenic: float) -> float:
    """As₂O₃ in some arsenic As, by atomic masses."""
    return arsenic * OXIDES["arsenic_oxide_per_arsenic"]


def in_first_unit(kind: str, value: float, unit: str) -> float:
    """A figure in the first unit of its kind. Raises ``KeyError`` for a unit that is none of it."""
    return _tidy(value * UNITS_OF_KIND[kind][unit])


def _tidy(value: float) -> float:
    # 0.3 % and 3 g/kg are one figure: neither may fall beyond a limit for the last binary digit
    return float(f"{value:.12g}") if math.isfinite(value) else value


@dataclass(frozen=True)
class Span:
    """What a figure may be, both ends included. ``below`` says that the laboratory found none."""

    low: float
    high: float
    below: bool = False


def outcome(sense: str, limit: float, span: Span) -> str:
    """Whether a limit is met, failed or open for a figure that lies somewhere in ``span``."""
    if sense == "none":
        return MEETS if span.high == 0 or span.below else FAILS if span.low > 0 else OPEN
    if sense == "at most":
        return MEETS if span.high <= limit else FAILS if span.low > limit else OPEN
    if sense == "below":
        return MEETS if span.high < limit else FAILS if span.low >= limit else OPEN
    if sense == "at least":
        return MEETS if span.low >= limit else FAILS if span.high < limit else OPEN
    raise ValueError(sense)


def room_percent(sense: str, limit: float, span: Span) -> float | None:
    """How far the poorest possible figure stays from a limit, percent of the limit; below 0 where beyond it.

    ``None`` where it can't be said: a limit of 0, or no end to what the figure may be.
    """
    worst = span.low if sense == "at least" else span.high
    if limit == 0 or not math.isfinite(worst):
        return None
    return round(100 * ((worst - limit) if sense == "at least" else (limit - worst)) / limit, 6)


def on_basis(span: Span, basis: str, wanted: str, moisture_percent: float | None) -> Span:
    """A figure on another basis. Without moisture only what is sure of it remains: of dry mass is never less than as received."""
    if basis == wanted:
        return span
    if moisture_percent is not None:
        turn = of_dry_mass if wanted == "dry" else as_received
        return Span(_tidy(turn(span.low, moisture_percent)), _tidy(turn(span.high, moisture_percent)), span.below)
    return Span(span.low, math.inf, span.below) if wanted == "dry" else Span(0.0, span.high, span.below)


# ---- readings -------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Reading:
    """One row of a report in the first unit of its kind."""

    parameter: str
    span: Span
    basis: str


def reading_of(parameter: str, value: float, unit: str = "usual", basis: str = "dry", below: bool = False) -> Reading:
    """A row of a report. Raises ``CannotSolve`` for a unit that does not fit or more than all of it."""
    row = PARAMETERS[parameter]
    units = UNITS_OF_KIND[row["kind"]]
    meant = row["unit"] if unit == "usual" else unit
    if meant not in units:
        fitting = ", ".join(UNIT_WORDS[each] for each in units)
        raise CannotSolve(f"{row['label']} can't be in {UNIT_WORDS[meant]}. Fitting: {fitting}.", ("laboratory_report",))
    figure = in_first_unit(row["kind"], value, meant)
    if (row["kind"] == "share" and figure > SHARE_CEILING) or (row["kind"] == "share_only" and figure > 100):
        raise CannotSolve(f"{row['label']}: {show_number(value)} {UNIT_WORDS[meant]} is more than all of the compost. Look at "
                          "the figure and its unit.", ("laboratory_report",))  # fmt: skip
    return Reading(parameter, Span(0.0 if below else figure, figure, below), basis if row["on_dry_mass"] else "as is")


def _turned(reading: Reading, key: str, formula: Callable[[float], float]) -> Reading:
    low, high = _tidy(formula(reading.span.low)), _tidy(formula(reading.span.high))
    return Reading(key, Span(low, high, reading.span.below), reading.basis)


class Report:
    """The readings of a report, with what follows from them for parameters that were not measured."""

    def __init__(self, readings: Sequence[Reading], moisture_percent: float | None) -> None:
        self.moisture_percent = moisture_percent
        self.direct: dict[str, list[Reading]] = {}
        for reading in readings:
            self.direct.setdefault(reading.parameter, []).append(reading)
        self._oxide("phosphorus", "phosphate", phosphate)
        self._oxide("potassium", "potash", potash)
        if moisture_percent is not None:
            self.direct["moisture"] = [Reading("moisture", Span(moisture_percent, moisture_percent), "as is")]
        self._npk()

    def _oxide(self, element: str, oxide: str, formula: Callable[[float], float]) -> None:
        if element in self.direct:
            self.direct.setdefault(oxide, []).extend(_turned(reading, oxide, formula) for reading in self.direct[element])

    def _npk(self) -> None:
        parts = [self.spans(each, "dry") for each in ("nitrogen", "phosphate", "potash")]
        if all(parts):
            low = total(min(span.low for span in spans) for spans in parts)
            high = total(min(span.high for span in spans) for spans in parts)
            self.direct["npk_sum"] = [Reading("npk_sum", Span(_tidy(low), _tidy(high)), "dry")]

    def spans(self, parameter: str, wanted: str) -> list[Span]:
        """What each direct figure of a parameter may be, on the wanted basis."""
        if parameter not in self.direct:
            return []
        return [
            on_basis(reading.span, reading.basis, wanted, self.moisture_percent) if reading.basis != "as is" else reading.span
            for reading in self.direct[parameter]
        ]

    def implied(self, parameter: str, wanted: str) -> list[Span]:
        """What a parameter may be at all, from the whole that it is part of and from its parts."""
        low, high, below, known = 0.0, math.inf, False, False
        whole = WHOLE_OF.get(parameter)
        if whole is not None:
            for span in self.spans(whole, wanted) or self.implied_by_whole(whole, wanted):
                high, below, known = min(high, span.high), below or span.below, True
        for part in PARTS_OF.get(parameter, ()):
            for span in self.spans(part, wanted):
                low, known = max(low, span.low), True
        return [Span(min(low, high), high, below)] if known else []

    def implied_by_whole(self, parameter: str, wanted: str) -> list[Span]:
        """A whole that is itself a part of something measured."""
        whole = WHOLE_OF.get(parameter)
        return self.spans(whole, wanted) if whole is not None else []


BOUNDS = {id(row): in_first_unit(PARAMETERS[row["parameter"]]["kind"], row["limit"], row["unit"]) for row in LIMITS}
"""Each limit in the first unit of its kind. The rows are read once and never change, so they are told apart by identity."""


@dataclass(frozen=True)
class Result:
    """A limit, what was found for it, and how near it is."""

    limit: Row
    outcome: str
    room_percent: float | None
    span: Span | None


def _wanted(limit: Row) -> str:
    """The basis on which a limit is held. Where the text names none, the one on which it is harder to meet."""
    basis = limit["basis"]
    if basis == "unstated":
        return "wet" if limit["sense"] == "at least" else "dry"
    return basis


def judge(row: Row, report: Report) -> Result:
    """One limit against a report; of several figures for one parameter the poorest counts."""
    parameter = str(row["parameter"])
    bound = BOUNDS[id(row)]
    spans = report.spans(parameter, _wanted(row)) or report.implied(parameter, _wanted(row))
    if row.get("as_oxide"):
        spans = [Span(_tidy(arsenic_oxide(span.low)), _tidy(arsenic_oxide(span.high)), span.below) for span in spans]
    sense = str(row["sense"])
    found = [Result(row, outcome(sense, bound, span), room_percent(sense, bound, span), span) for span in spans]
    if not found:
        return Result(row, UNTESTED, None, None)
    return max(found, key=lambda each: (WORST.index(each.outcome), -(each.room_percent or 0.0)))


def verdict(results: Sequence[Result]) -> str:
    """The verdict of a grade: all its limits must be met, of those that stand for each other one."""
    singles = [each.outcome for each in results if not each.limit.get("one_of")]
    groups: dict[str, list[str]] = {}
    for each in results:
        if each.limit.get("one_of"):
            groups.setdefault(each.limit["one_of"], []).append(each.outcome)
    outcomes = singles + [_best(group) for group in groups.values()]
    if FAILS in outcomes:
        return SOME_FAILED
    return NOT_ENOUGH if OPEN in outcomes or UNTESTED in outcomes else ALL_MET


def _best(group: list[str]) -> str:
    """Of limits that stand for each other: met where one is, failed only where all are."""
    if MEETS in group:
        return MEETS
    return FAILS if all(each == FAILS for each in group) else OPEN


@cache
def limits_of(grade: str) -> tuple[Row, ...]:
    """The limits of a grade, in the order of the reference data."""
    return tuple(row for row in LIMITS if row["grade"] == grade)


def judge_one(grade: str, parameter: str, value: float, unit: str = "usual", basis: str = "dry",
              moisture_percent: float | None = None, below: bool = False) -> str:  # fmt: skip
    """The poorest outcome of one figure against the limits that a grade sets for it."""
    readings = [] if parameter == "moisture" else [reading_of(parameter, value, unit, basis, below)]
    if parameter == "moisture":
        moisture_percent = value
    report = Report(readings, moisture_percent)
    found = [judge(limit, report).outcome for limit in limits_of(grade) if limit["parameter"] == parameter]
    return max(found, key=WORST.index)


# ---- solving --------------------------------------------------------------------------------------------------


def _record(rows: Iterable[tuple[object, ...]], moisture: float | None, working: Working) -> list[Reading]:
    """Read the rows; where a basis or an oxide is turned, show how."""
    readings = []
    for parameter, value, unit, basis, below in rows:
        reading = reading_of(str(parameter), float(value), str(unit), str(basis), bool(below))
        readings.append(reading)
        row = PARAMETERS[reading.parameter]
        shown_unit = row["unit"]
        figure = _shown_figure(reading.parameter, reading.span.high)
        sign = SIGNS[shown_unit]
        note = f"{'below detection at this figure; ' if below else ''}{sign or 'no unit'}, {BASES.get(reading.basis, 'as reported')}"
        if reading.basis == "wet" and moisture is not None and row["kind"] == "share":
            unit_key = "percent" if shown_unit == "percent" else "mg/kg"
            working.step(f"{row['label']}, of dry mass", unit_key, of_dry_mass, figure_as_received=figure,
                         moisture_percent=moisture, note=note)  # fmt: skip
        else:
            working.note(row["label"], f"{show_number(figure)} {sign}".strip(), note=note)
        for element, name, formula in (("phosphorus", "Phosphate (P₂O₅)", phosphate), ("potassium", "Potash (K₂O)", potash)):
            if reading.parameter == element:
                working.step(f"{name}, on the same basis", "percent", formula, source=ATOMIC, **{element: figure})
    return readings


def _shown_figure(parameter: str, value: float) -> float:
    """A figure in the unit named with its parameter."""
    row = PARAMETERS[parameter]
    return _tidy(value / UNITS_OF_KIND[row["kind"]][row["unit"]])


def _nutrient(report: Report, working: Working, moisture: float | None, parameter: str, label: str) -> float | None:
    """The mean of what was reported of a nutrient, percent of dry mass; ``None`` where nothing is sure."""
    found = []
    for reading in report.direct.get(parameter, ()):
        if reading.span.below or (reading.basis == "wet" and moisture is None):
            continue
        figure = _shown_figure(parameter, reading.span.high)
        found.append(of_dry_mass(figure, moisture) if reading.basis == "wet" else figure)
    if len(found) < 2:
        return found[0] if found else None
    return working.step(label, "percent", _mean, figures=found, names={"figures": "figure of dry mass"})


def _mean(figures: Sequence[float]) -> float:
    return total(figures) / len(figures)


def limit_words(row: Row) -> str:
    """A limit as said: 'at most 150 mg/kg', 'none found', with its basis where that is not dry mass."""
    if row["sense"] == "none":
        return "none found"
    sign = SIGNS[str(row["unit"])]
    basis = {"wet": ", as received", "unstated": ", basis not stated"}.get(str(row["basis"]), "")
    return f"{row['sense']} {show_number(float(row['limit']))} {sign}".strip() + basis


def _span_words(row: Row, span: Span | None) -> str:
    if span is None:
        return "–"
    kind, unit = PARAMETERS[str(row["parameter"])]["kind"], str(row["unit"])
    low, high = (_tidy(end / UNITS_OF_KIND[kind][unit]) for end in (span.low, span.high))
    sign = SIGNS[unit]
    if span.below:
        return f"below {show_number(high)} {sign}".strip() if math.isfinite(high) else "not known without moisture"
    if low == high:
        return f"{show_number(high)} {sign}".strip()
    if not math.isfinite(high):
        return f"{show_number(low)} {sign} or more".replace("  ", " ")
    return f"{show_number(low)} to {show_number(high)} {sign}".strip()


def _named(results: Sequence[Result], outcomes: Sequence[str]) -> str:
    names = dict.fromkeys(PARAMETERS[each.limit["parameter"]]["label"] for each in results
                          if each.outcome in outcomes and not _stood_for(each, results))  # fmt: skip
    return ", ".join(names) or "–"


def _stood_for(result: Result, results: Sequence[Result]) -> bool:
    """Whether another limit of the same group is met, so that this one need not be."""
    group = result.limit.get("one_of")
    return bool(group) and any(
        other.limit.get("one_of") == group and other.outcome == MEETS for other in results
    )


def _nearest(results: Iterable[Result]) -> Result | None:
    """The limit with the least room; one that is failed without a distance comes before all."""
    counted = [each for each in results if each.outcome == FAILS or (each.outcome == MEETS and each.room_percent is not None)]
    return min(counted, key=_room_or_failed, default=None)


def _room_or_failed(result: Result) -> float:
    return -math.inf if result.room_percent is None else result.room_percent


def _grade_row(key: str, results: Sequence[Result]) -> tuple[object, ...]:
    row = GRADES[key]
    near = _nearest(results)
    statuses = dict.fromkeys(each.limit["status"] for each in results)
    return (
        row["short"], verdict(results), _named(results, (FAILS,)), _named(results, (OPEN, UNTESTED)),
        "–" if near is None else f"{PARAMETERS[near.limit['parameter']]['label']} {limit_words(near.limit)}: {_room_words(near)}",
        f"{row['standing']} ({', '.join(statuses)})" + (f"; not held here: {row['lacks']}" if row["lacks"] else ""),
    )  # fmt: skip


@cache
def _ends(parameter: str) -> str:
    """The strictest and the loosest limit for a parameter, in words; those that must not be passed, else those to be reached."""
    rows = [row for row in LIMITS if row["parameter"] == parameter]
    most_rows = sorted((row for row in rows if row["sense"] != "at least"), key=lambda row: BOUNDS[id(row)])
    least = sorted((row for row in rows if row["sense"] == "at least"), key=lambda row: -BOUNDS[id(row)])
    ends = most_rows or least
    words = [f"{limit_words(row)} ({GRADES[row['grade']]['short']})" for row in (ends[0], ends[-1])]
    span = words[0] if words[0] == words[1] else f"{words[0]} to {words[1]}"
    return span + (f"; also {limit_words(least[0])} ({GRADES[least[0]['grade']]['short']})" if most_rows and least else "")


LIMITED = tuple(key for key in PARAMETERS if any(row["parameter"] == key for row in LIMITS))
"""Parameters for which some grade has a limit."""


def _parameter_rows(judged: dict[str, list[Result]]) -> list[tuple[object, ...]]:
    by_parameter: dict[str, list[Result]] = {key: [] for key in LIMITED}
    for results in judged.values():
        for each in results:
            by_parameter[each.limit["parameter"]].append(each)
    rows = []
    for key, found in by_parameter.items():
        seen = next((each for each in found if each.span is not None), None)
        rows.append((PARAMETERS[key]["label"], _span_words(seen.limit, seen.span) if seen else "–", _ends(key),
                     *(_where(found, wanted) if seen else "–" for wanted in (FAILS, MEETS, OPEN))))  # fmt: skip
    return rows


def _where(results: Sequence[Result], wanted: str) -> str:
    by_grade: dict[str, str] = {}
    for each in results:
        grade = each.limit["grade"]
        by_grade[grade] = max(by_grade.get(grade, MEETS), each.outcome, key=WORST.index)
    return ", ".join(GRADES[grade]["short"] for grade, reached in by_grade.items() if reached == wanted) or "–"


def _full_row(result: Result) -> tuple[object, ...]:
    row = result.limit
    note = f"; {row['note']}" if row.get("note") else ""
    return (GRADES[row["grade"]]["short"], PARAMETERS[row["parameter"]]["label"], f"{limit_words(row)}{note} ({row['status']})",
            _span_words(row, result.span), result.outcome, result.room_percent)  # fmt: skip


def _ask(judged: dict[str, list[Result]], grades: Sequence[str]) -> str:
    """Parameters without a figure, those that most grades ask for first."""
    asked: dict[str, int] = {}
    for grade in grades:
        results = judged[grade]
        for name in dict.fromkeys(each.limit["parameter"] for each in results
                                  if each.outcome == UNTESTED and not _stood_for(each, results)):  # fmt: skip
            asked[name] = asked.get(name, 0) + 1
    names = sorted(asked, key=lambda name: -asked[name])
    listed = [PARAMETERS[name]["label"] for name in names]
    if not listed:
        return "nothing more"
    return ", ".join(listed[:12]) + (f" and {len(listed) - 12} more" if len(listed) > 12 else "")


def solve(inputs: Inputs, working: Working) -> Outputs:
    """Read the report, judge every limit, and gather verdicts."""
    known_moisture = inputs.compost_moisture_percent
    readings = _record(plain(inputs.laboratory_report), known_moisture, working)
    report = Report(readings, plain(known_moisture))
    nutrients = [
        _nutrient(report, working, known_moisture, key, label)
        for key, label in (("nitrogen", "Nitrogen, of dry mass"), ("phosphate", "Phosphate, of dry mass"),
                           ("potash", "Potash, of dry mass"))
    ]  # fmt: skip
    judged = {key: [judge(limit, report) for limit in limits_of(key)] for key in GRADES}
    verdicts = {key: verdict(results) for key, results in judged.items()}
    for key, words in verdicts.items():
        near = _nearest(judged[key])
        working.note(GRADES[key]["short"], words, source=cited(GRADES[key]["source"], GRADES[key]["status"], ""),
                     note="" if near is None else f"nearest: {PARAMETERS[near.limit['parameter']]['label']}")
    chosen = plain(inputs.sold_under)
    of_interest = judged[chosen] if chosen else [each for results in judged.values() for each in results]
    # over all grades only what harms is compared: one country's wish for phosphate says nothing of another's compost
    compared = of_interest if chosen else [
        each for each in of_interest if PARAMETERS[each.limit["parameter"]]["group"] in HARMFUL
    ]  # fmt: skip
    binding = _nearest(compared)
    nearest = sorted((each for each in compared if each.span is not None and _nearest([each])), key=_room_or_failed)
    conductivity = [reading.span.high for reading in report.direct.get("conductivity", ()) if not reading.span.below]
    return Outputs(
        grades_met=sum(each == ALL_MET for each in verdicts.values()),
        grades_failed=sum(each == SOME_FAILED for each in verdicts.values()),
        grades_open=sum(each == NOT_ENOUGH for each in verdicts.values()),
        binding_limit="none yet" if binding is None else _binding_words(binding),
        ask_laboratory=_ask(judged, [chosen] if chosen else list(judged)),
        readings_entered=len(readings) + (report.moisture_percent is not None),
        nitrogen_percent_dry=nutrients[0],
        phosphate_percent_dry=nutrients[1],
        potash_percent_dry=nutrients[2],
        conductivity_ds_m=max(conductivity) if conductivity else None,
        by_grade=tuple(_grade_row(key, results) for key, results in judged.items()),
        by_parameter=tuple(_parameter_rows(judged)),
        in_full=tuple(_full_row(each) for each in (judged[chosen] if chosen else nearest[:NEAREST_SHOWN])),
    )


def _binding_words(result: Result) -> str:
    row = result.limit
    return f"{PARAMETERS[row['parameter']]['label']} {limit_words(row)} ({GRADES[row['grade']]['short']}): {_room_words(result)}"


def _room_words(result: Result) -> str:
    room = result.room_percent
    if room is None:
        return result.outcome
    return f"{show_number(-room)} % beyond" if room < 0 else f"{show_number(room)} % of it left"


# ---- words ----------------------------------------------------------------------------------------------------


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    if not outputs.readings_entered:
        return f"No figure of a laboratory is entered yet. Ask it for: {outputs.ask_laboratory}."
    if inputs.sold_under is not None:
        row = next(each for each in outputs.by_grade if each[0] == GRADES[inputs.sold_under]["short"])
        if row[1] == SOME_FAILED:
            return f"By {PLACES[inputs.sold_under]} this compost fails on {row[2]}."
        if row[1] == NOT_ENOUGH:
            return f"By {PLACES[inputs.sold_under]} not enough is tested; still open: {row[3]}."
        return f"This compost meets all limits held here of {PLACES[inputs.sold_under]}; the nearest is {outputs.binding_limit}."
    return (
        f"Of {len(outputs.by_grade)} published grades this report meets {outputs.grades_met} in all that is held here, fails "
        f"{outputs.grades_failed} and leaves {outputs.grades_open} open; the limit that binds is {outputs.binding_limit}."
    )


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about this result."""
    found = []
    rows = inputs.laboratory_report
    if any(row[4] for row in rows):
        found.append(
            "A figure below detection is taken at the detection limit: it meets a limit only where the detection limit meets it, "
            "else nothing can be told. Where a rule asks that none be found, “below detection” meets it."
        )
    if inputs.compost_moisture_percent is None:
        found.append("Without moisture, figures as received and of dry mass can't be turned into each other: some limits stay open.")
    names = [row[0] for row in rows]
    if len(set(names)) < len(names):
        found.append("Where one parameter stands in several rows, the poorest row counts; nutrients carried on are their mean.")
    if any(row["superseded"] and row["short"] == shown[0] and shown[1] != NOT_ENOUGH for row in GRADES.values()
           for shown in outputs.by_grade):  # fmt: skip
        found.append("India’s tables of 2016 are superseded from 1 April 2026; the schedule of 2026 was not read. Ask for it.")
    found.append("Limits from memory are unverified, and laws change: hold the report against your authority’s own table. "
                 "“Meets” means the limits held here only, never a licence to sell.")  # fmt: skip
    found.append("One sample tells of one batch. Where the text names no basis, the harder of dry and wet is taken.")
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """Compost beyond a limit stays off food crops; metals stay in soil."""
    failed = outputs.grades_failed > 0
    because = f"The report fails {outputs.grades_failed} of {len(outputs.by_grade)} published grades." if failed else ""
    germs = [row for row in outputs.by_parameter if row[0] in _GERMS and row[3] != "–"]
    found = [RaisedCaution("compost_not_fit_until_tested", because, urgent=failed), RaisedCaution("metals_stay_in_soil")]
    if germs:
        found.insert(0, RaisedCaution("germs_in_compost", f"{germs[0][0]}: {germs[0][1]}, beyond the limit of {germs[0][3]}.",
                                      urgent=True))
    return found


_GERMS = {row["label"] for row in PARAMETERS.values() if row["group"] == "Germs" and row["key"] != "weed_seeds"}


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """How much of each limit is used up, nearest first, for limits that must not be passed."""
    bars = [(f"{row[1]}, {row[0]}", 100 - float(row[5])) for row in outputs.in_full
            if row[5] is not None and not str(row[2]).startswith("at least")]  # fmt: skip
    bars = sorted(bars, key=lambda bar: -bar[1])[:12]
    if not bars:
        return []
    return [Chart("bars", "Share of each limit used up", "percent", tuple(name for name, _ in bars),
                  (Line("Used", tuple(max(used, 0.0) for _, used in bars)),), (Mark(100.0, "the limit"),), axis="Limit")]  # fmt: skip


CALCULATOR = Calculator(
    key="quality", title="Product quality", question="Does a laboratory report meet the limits, and of which country?",
    inputs=Inputs, outputs=Outputs, solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts,
    sources=(*{row["source"]: cited(row["source"], row["status"], "") for row in LIMITS}.values(), ATOMIC,
             own_choice("of several figures the poorest counts; an unstated basis is read the harder way")),
    step="Finish and use",
)  # fmt: skip
