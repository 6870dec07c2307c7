"""Temperature record: readings and turnings of a batch against each published rule of time at temperature.

Every probe counts at once, so the coldest decides. Time counts only between two readings of a probe that both satisfy the
limit and lie no further apart than the longest gap. Where a text does not say whether its days must be in a row, both
readings are told. From the last reading on, the earliest date is told on which a rule can be met if the heap stays hot.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
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
    Span,
    choice,
    log,
    number,
    output,
    output_count,
    output_table,
    output_text,
    own_choice,
    text,
)
from calculators.hot_time import Hot, Limit, Run, Stretch, apart, coldest, reached, runs, total, warm_on_average
from calculators.known import plain
from calculators.log_reading import DAY, ORDER_WORDS, Asked, Batch, Log, LogRefused, Series, in_words, read_log
from calculators.reference import cited, rows_of, source
from calculators.units import show_number
from calculators.working import Working

RULES = rows_of("temperature_rules", "rules")
(VECTOR,) = rows_of("temperature_rules", "vector")
EQUATION = {row["key"]: row for row in rows_of("temperature_rules", "equation")}
READING = {row["key"]: row for row in rows_of("temperature_rules", "reading")}
GAP = READING["longest_gap_hours"]
HELD_C = READING["after_the_log_c"]["value"]
METHODS = {
    "turned": "turned windrow or bay",
    "aerated_static": "static pile with air forced through",
    "in_vessel": "closed vessel",
}
MET, ADDED, OPEN, NOT_MET = "met", "met if days are added up", "heat held, the rest not told", "not met yet"
MAIN_RULE = {"turned": "pfrp_257_windrow", "aerated_static": "pfrp_257_static", "in_vessel": "pfrp_257_static"}
"""The rule that the sentence tells of: the plainest one that was read in print."""
SANITISING_C = 55.0
HOT = Limit(SANITISING_C)
HOUR = 60
MOST_BARS = 60
HOURLY_UP_TO_DAYS = 4
EMPTY = own_choice("empty until you write in it")
NOT_GUESSED = own_choice("nothing that would change a verdict is guessed")


@dataclass(frozen=True)
class Inputs:
    """The log and how it is written, and what some rules ask of the batch beside heat."""

    temperature_log: str = log(
        "Readings",
        "",
        group="The log",
        help="A line for each moment: date and time, one or more probes, perhaps a batch and the word ‘turned’. Paste it or open a "
        "file; parted by tabs, semicolons or commas. First line: what the columns are, with °C or °F.",
        source=EMPTY,
    )
    turnings_typed: str = log(
        "Turnings, where the readings do not hold them",
        "",
        group="The log",
        help="A line for each: date and time; where there are several batches, the batch after a semicolon.",
        source=EMPTY,
    )
    log_batch: str = text(
        "Which batch", "", group="The log", help="Its name in the log. Empty: the one that was read last.", source=EMPTY
    )
    log_date_order: str = choice(
        "Order of the date",
        {"as_written": "as the log tells; ask me where it does not", **ORDER_WORDS},
        "as_written",
        group="The log",
        help="Needed where 03/04 could be March or April and no line has a day above 12.",
        source=NOT_GUESSED,
    )
    log_unit: str = choice(
        "Temperatures are in",
        {"as_written": "as the log tells; ask me where it does not", "c": "°C", "f": "°F"},
        "as_written",
        group="The log",
        help="Needed where neither the first line nor the figures say °C or °F.",
        source=NOT_GUESSED,
    )
    composting_method: str = choice(
        "How this batch was composted",
        METHODS,
        "turned",
        group="The batch",
        help="Rules differ by it; only those that fit are shown.",
        source=own_choice("how a yard of walled bays works"),
    )
    longest_gap_hours: float = number(
        "Longest time between two readings",
        "h",
        GAP["typical"],
        low=GAP["low"],
        high=GAP["high"],
        group="The batch",
        help="A longer gap breaks the time that counts. A rule with a gap of its own keeps that.",
        why_limits="More often than hourly no rule here needs, and the rarest that one accepts is from Friday to Monday.",
        source=own_choice("a reading each day, with six hours to spare"),
    )
    batch_moisture_percent: float | None = number(
        "Moisture of the batch while hot",
        "percent",
        None,
        low=1,
        high=99,
        blank=True,
        group="The batch",
        help="Some rules ask for 40 or 50 %.",
    )
    batch_carbon_to_nitrogen: float | None = number(
        "C:N of the batch when it was built",
        "1",
        None,
        low=1,
        high=500,
        blank=True,
        group="The batch",
        help="One rule asks for 25 to 40.",
    )
    largest_piece_mm: float | None = number(
        "Largest piece when it was built",
        "mm",
        None,
        low=0.1,
        high=2_000,
        blank=True,
        group="The batch",
        help="Rules for catering waste ask for 12, 60 or 400 mm.",
    )


@dataclass(frozen=True)
class Outputs:
    """What the batch meets, how it was read, and every line that was not taken as it stands."""

    rules_met: int = output_count("Rules met", "each", key_figure=True)
    rules_that_fit: int = output_count(
        "Rules that fit the method", "each", key_figure=True, help="Superseded ones are not counted."
    )
    rules_added_up: int = output_count(
        "Met only if days are added up",
        "each",
        key_figure=True,
        help="The text does not say whether the days must be in a row.",
    )
    hot_total_days: float | None = output("Every probe at 55 °C or more, in all", "d", key_figure=True)
    hot_run_days: float | None = output("Every probe at 55 °C or more, longest in a row", "d", key_figure=True)
    hot_turnings: int = output_count("Turnings while at 55 °C or more", "each", key_figure=True)
    batch_shown: str = output_text("Batch")
    first_reading: str = output_text("First reading")
    last_reading: str = output_text("Last reading")
    readings_taken: int = output_count("Readings taken", "each", help="Of this batch, each probe counted.")
    turnings_in_all: int = output_count("Turnings in all", "each")
    lines_not_taken: int = output_count("Lines not taken as they stand", "each", help="Of the whole log; each is listed below.")
    coldest_probe: str = output_text("Coldest probe", help="The one with the least time at 55 °C or more: it decides.")
    highest_reading_c: float | None = output("Highest reading", "°C")
    vector_attraction: str = output_text("Unattractive to flies and rats (vector attraction, option 5)")
    equation_share: float | None = output(
        "Share of the heat that the time-temperature equation asks for",
        "1",
        help="An aid, not a route of its own for compost: 1 or more is enough.",
    )
    rules: tuple[tuple[object, ...], ...] = output_table(
        "Each rule that fits the method",
        (
            Column("rule", "Rule"),
            Column("verdict", "Verdict"),
            Column("when", "When, or what is missing"),
            Column("earliest", "Earliest, if it stays hot"),
            Column("meant_for", "Meant for"),
            Column("status", "How the rule is known"),
        ),
    )
    probes: tuple[tuple[object, ...], ...] = output_table(
        "Probes of this batch",
        (
            Column("probe", "Probe"),
            Column("readings", "Readings", "each"),
            Column("lowest", "Lowest", "°C"),
            Column("highest", "Highest", "°C"),
            Column("hot", "At 55 °C or more", "d"),
            Column("gap", "Longest gap", "h"),
        ),
    )
    batches: tuple[tuple[object, ...], ...] = output_table(
        "Every batch of the log",
        (
            Column("batch", "Batch"),
            Column("first", "First reading"),
            Column("last", "Last reading"),
            Column("readings", "Readings", "each"),
            Column("turnings", "Turnings", "each"),
            Column("met", "Rules met"),
        ),
    )
    lines: tuple[tuple[object, ...], ...] = output_table(
        "Lines not taken as they stand", (Column("line", "Line"), Column("text", "What it says"), Column("why", "Why"))
    )


# ---- formulas -------------------------------------------------------------------------------------------------


def days_needed(celsius: float, constant: float, slope: float) -> float:
    """Days that the equation asks for at a temperature of 50 °C or more. Source: 40 CFR 503.32(a)(3)."""
    return constant / 10 ** (slope * celsius)


def share_of_equation(stretches: Sequence[Stretch], row: Mapping[str, Any]) -> float:
    """Time at each temperature over the time that the equation asks for there, added up; colder than its least counts nothing."""
    return math.fsum(
        (end - start) / DAY / days_needed(low, row["constant"], row["slope"])
        for start, end, low in stretches
        if low >= row["least_c"]
    )


# ---- one rule -------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Found:
    """How one reading of a rule stands: the stretch that met it, or the best so far and the earliest date."""

    met: bool
    start: int = 0
    end: int = 0
    hot: int = 0
    turned: int = 0
    earliest: int = 0


@dataclass(frozen=True)
class _Heat:
    """What a rule wants of heat and turnings, in minutes."""

    limit: Limit
    needed: int
    gap: int
    turnings: int = 0
    turnings_apart: int = 0
    turnings_within: int = 0
    also: Limit | None = None
    also_needed: int = 0


def _limit(row: Mapping[str, Any]) -> Limit:
    return Limit(row["least_c"], row.get("above", False), row.get("most_c"))


def _heats(rule: Mapping[str, Any], longest_gap: float) -> list[_Heat]:
    """The ways in which a rule may be met, any one of them."""
    gap = round(rule.get("gap_hours", longest_gap) * HOUR)
    hours = {name: round(rule.get(f"turnings_{name}_hours", 0) * HOUR) for name in ("apart", "within")}
    return [
        _Heat(
            _limit(way),
            way["hours"] * HOUR,
            gap,
            rule.get("turnings", 0),
            hours["apart"],
            hours["within"],
            _limit(way["also"]) if "also" in way else None,
            way["also"]["hours"] * HOUR if "also" in way else 0,
        )
        for way in rule["ways"]
    ]


def _probes_for(rule: Mapping[str, Any], batch: Batch) -> tuple[Series, ...]:
    """The probes that a rule reads: all, or the deepest where it asks for the core and every depth is known."""
    depths = [probe.depth_cm for probe in batch.probes]
    if rule.get("probes") == "core" and None not in depths:
        deepest = max(depths)  # type: ignore[type-var]
        return tuple(probe.series for probe in batch.probes if probe.depth_cm == deepest)
    return tuple(probe.series for probe in batch.probes)


class _Record:
    """The readings that rules look at, and the turnings of the batch; what rules have in common is worked out once."""

    def __init__(self, series: tuple[Series, ...], turnings: tuple[int, ...]) -> None:
        self.series = series
        self.turnings = turnings
        self.now = max(each[-1][0] for each in series)
        """The moment of the last reading: all that comes after it is not known."""
        self._stretches: dict[tuple[int, float | None], list[Stretch]] = {}
        self._hot: dict[tuple[int, Limit], Hot] = {}
        self._runs: dict[tuple[int, float | None, Limit], list[Run]] = {}

    def stretches(self, heat: _Heat) -> list[Stretch]:
        """Stretches between readings, with a reading beyond the upper limit taken as cold."""
        key = (heat.gap, heat.limit.most)
        if key not in self._stretches:
            self._stretches[key] = coldest(self.series, *key)
        return self._stretches[key]

    def runs(self, heat: _Heat, limit: Limit) -> list[Run]:
        """Unbroken runs within a limit, by the stretches of the rule."""
        key = (heat.gap, heat.limit.most, limit)
        if key not in self._runs:
            self._runs[key] = runs(self.stretches(heat), limit)
        return self._runs[key]

    def hot_at(self, heat: _Heat, moment: int) -> tuple[int, int] | None:
        """Since when every probe had been hot, and until when that is proven."""
        key = (heat.gap, heat.limit)
        if key not in self._hot:
            self._hot[key] = Hot(self.series, *key)
        return self._hot[key].at(moment)

    def hot_turnings(self, heat: _Heat) -> list[int]:
        """The turnings at which every probe was hot by its last reading."""
        return [moment for moment in self.turnings if self.hot_at(heat, moment)]


def _within(pieces: Sequence[Run], start: int, end: int) -> list[Run]:
    return [(max(first, start), min(last, end)) for first, last in pieces if first < end and last > start]


def added_up(record: _Record, heat: _Heat) -> Found:
    """The rule with its hours added up over all hot stretches; turnings count wherever every probe was hot."""
    pieces = record.runs(heat, heat.limit)
    hot = total(pieces)
    turned = apart(record.hot_turnings(heat), heat.turnings_apart)
    ends = [reached(pieces, heat.needed)]
    if heat.turnings:
        ends.append(turned[heat.turnings - 1] if len(turned) >= heat.turnings else None)
    hotter = record.runs(heat, heat.also) if heat.also else []
    if heat.also:
        ends.append(reached(hotter, heat.also_needed))
    if None not in ends:
        done: int = max(ends)  # type: ignore[type-var, assignment]
        return Found(True, pieces[0][0], done, hot, sum(moment <= done for moment in turned))
    now = record.now
    still = record.hot_at(heat, now)
    earliest = (max(still) if still else now) + max(0, heat.needed - hot)
    if len(turned) < heat.turnings:
        earliest = max(earliest, _turned_by(turned, heat, now))
    if heat.also:
        earliest = max(earliest, now + max(0, heat.also_needed - total(hotter)))
    return Found(False, hot=hot, turned=len(turned), earliest=max(earliest, now))


def _turned_by(turned: Sequence[int], heat: _Heat, now: int) -> int:
    """The earliest moment of the last turning that is wanted, after those that count."""
    following = max(now, turned[-1] + heat.turnings_apart) if turned else now
    return following + (heat.turnings - len(turned) - 1) * heat.turnings_apart


def _chain(turned: Sequence[int], heat: _Heat) -> int | None:
    """The moment of the last of the wanted turnings, apart and within the time that the rule sets; ``None`` for too few."""
    for place in range(len(turned)):
        kept = apart(turned[place:], heat.turnings_apart)
        if len(kept) >= heat.turnings and (
            not heat.turnings_within or kept[heat.turnings - 1] - kept[0] <= heat.turnings_within
        ):
            return kept[heat.turnings - 1]
    return None


def in_a_row(record: _Record, heat: _Heat) -> Found:
    """The rule within one unbroken run."""
    pieces = record.runs(heat, heat.limit)
    hotter = record.runs(heat, heat.also) if heat.also else []
    turnings = record.hot_turnings(heat) if heat.turnings else []
    best, best_turned = 0, 0
    for start, end in pieces:
        turned = [moment for moment in turnings if start <= moment <= end]
        ends = [start + heat.needed if end - start >= heat.needed else None]
        if heat.turnings:
            ends.append(_chain(turned, heat))
        if heat.also:
            ends.append(reached(_within(hotter, start, end), heat.also_needed))
        if None not in ends:
            done: int = max(ends)  # type: ignore[type-var, assignment]
            begun = max(start, done - heat.turnings_within) if heat.turnings_within else start
            return Found(True, begun, done, end - start, sum(begun <= moment <= done for moment in turned))
        if end - start > best:
            best, best_turned = end - start, len(apart(turned, heat.turnings_apart))
    return Found(False, hot=best, turned=best_turned, earliest=_earliest_in_a_row(record, heat, turnings, hotter))


def _earliest_in_a_row(record: _Record, heat: _Heat, turnings: Sequence[int], hotter: Sequence[Run]) -> int:
    now = record.now
    still = record.hot_at(heat, now)
    since = still[0] if still else now
    earliest = max(now, since + heat.needed)
    if heat.turnings:
        turned = [moment for moment in turnings if since <= moment <= now]
        chains = [apart(turned[place:], heat.turnings_apart)[: heat.turnings] for place in range(len(turned))] + [[]]
        ends = []
        for chain in chains:
            last = chain[-1] if len(chain) == heat.turnings else _turned_by(chain, heat, now)
            if not heat.turnings_within or last - (chain[0] if chain else now) <= heat.turnings_within:
                ends.append(last)
        earliest = max(earliest, min(ends))
    if heat.also:
        earliest = max(earliest, now + max(0, heat.also_needed - total(_within(hotter, since, now))))
    return earliest


def before_each_turning(record: _Record, heat: _Heat, wanted: int) -> Found:
    """Hot without a break for the time needed before each turning, and so for ``wanted`` turnings; others do no harm."""
    counted: list[int] = []
    first = 0
    for moment in record.turnings:
        still = record.hot_at(heat, moment)
        if still is None:
            continue
        since = max(still[0], counted[-1]) if counted else still[0]
        if still[1] - since >= heat.needed:
            first = first if counted else since
            counted.append(moment)
    hot = max((end - start for start, end in record.runs(heat, heat.limit)), default=0)
    if len(counted) >= wanted:
        return Found(True, first, counted[wanted - 1], hot, len(counted))
    now = record.now
    still = record.hot_at(heat, now)
    since = max(still[0] if still else now, counted[-1] if counted else 0)
    return Found(
        False, hot=hot, turned=len(counted), earliest=max(now, since + heat.needed) + (wanted - len(counted) - 1) * heat.needed
    )


@dataclass(frozen=True)
class Verdict:
    """A rule as it stands for a batch."""

    rule: Mapping[str, Any]
    word: str
    when: str
    earliest: int | None
    stretch: Run | None
    turned: int
    runs: tuple[Run, ...]


def _days(minutes: int, needed: int) -> str:
    """'9.2 of 15 days', or hours where hours are asked for. Rounded down, so that what is short never looks whole."""
    size, unit = (DAY, "days") if needed >= DAY else (HOUR, "hours")
    return f"{math.floor(10 * minutes / size) / 10:g} of {needed / size:g} {unit}"


def _span(start: int, end: int) -> str:
    """'6 Feb 08:00 to 21 Feb 2026 08:00'; the year once where it is one."""
    first, last = in_words(start).split(), in_words(end)
    if first[2] == last.split()[2]:
        del first[2]
    return f"{' '.join(first)} to {last}"


def _on(moment: int | None) -> str:
    return "–" if moment is None else in_words(moment)


def _turnings(turned: int) -> str:
    return "1 turning" if turned == 1 else f"{turned} turnings"


def _short(found: Found, rule: Mapping[str, Any], heat: _Heat, how: str) -> str:
    """What is missing: '9.2 of 15 days in a row, 3 of 5 turnings while hot'."""
    if "before_each_turning" in rule:
        return f"{found.turned} of {rule['before_each_turning']} turnings, each after {heat.needed // DAY} days in a row at {heat.limit.least:g} °C or more"
    words = f"{_days(found.hot, heat.needed)} {how} at {'above ' if heat.limit.above else ''}{heat.limit.least:g} °C{'' if heat.limit.above else ' or more'}"
    return words + (f", {found.turned} of {heat.turnings} turnings while hot" if heat.turnings else "")


def _conditions(rule: Mapping[str, Any], told: Mapping[str, float | None]) -> tuple[list[str], list[str]]:
    """What a rule asks of the batch beside heat: what is not told, and what is not met."""
    names = {
        "batch_moisture_percent": ("moisture", " %"),
        "batch_carbon_to_nitrogen": ("C:N", ""),
        "largest_piece_mm": ("largest piece", " mm"),
    }
    unknown, failed = [], []
    for each in rule.get("conditions", ()):
        name, unit = names[each["answer"]]
        low, high = each.get("at_least"), each.get("at_most")
        asked = (
            f"{low} to {high}{unit}"
            if low is not None and high is not None
            else f"at least {low}{unit}"
            if low is not None
            else f"at most {high}{unit}"
        )
        value = told[each["answer"]]
        if value is None:
            unknown.append(f"{name} is not told ({asked})")
        elif (low is not None and value < low) or (high is not None and value > high):
            failed.append(f"{name} {show_number(value)}{unit}, asked is {asked}")
    return unknown, failed


def judge(
    rule: Mapping[str, Any],
    batch: Batch,
    longest_gap_hours: float,
    told: Mapping[str, float | None],
    whole: _Record | None = None,
) -> Verdict:
    """One rule for one batch; ``whole`` is its record with every probe, where that is at hand."""
    series = _probes_for(rule, batch)
    record = whole if whole is not None and len(series) == len(whole.series) else _Record(series, batch.turnings)
    heats = _heats(rule, longest_gap_hours)
    if "before_each_turning" in rule:
        row = [before_each_turning(record, heat, rule["before_each_turning"]) for heat in heats]
    else:
        row = [in_a_row(record, heat) for heat in heats] if rule["in_a_row"] != "no" else []
    summed = [added_up(record, heat) for heat in heats] if rule["in_a_row"] != "yes" else []
    unknown, failed = _conditions(rule, told)
    strict = row or summed
    met = [(found, heat) for found, heat in zip(strict, heats, strict=True) if found.met]
    loose = [(found, heat) for found, heat in zip(summed, heats, strict=False) if found.met] if row else []
    shown, heat = min(met or loose, key=lambda pair: pair[0].end) if met or loose else (None, heats[0])
    warm = tuple(record.runs(heat, heat.limit))
    parts: list[str] = []
    if shown is not None:
        held = f"{heat.limit.least:g} °C: " if len(heats) > 1 else ""
        if "before_each_turning" in rule:
            turned = f", {_turnings(rule['before_each_turning'])}, each after {heat.needed // DAY} hot days"
        else:
            turned = f", {_turnings(shown.turned)} while hot" if heat.turnings else ""
        parts.append(f"{held}{_span(shown.start, shown.end)}{turned}")
    nearest = 0
    if not met:
        how = "in a row" if row and "before_each_turning" not in rule else "in all"
        nearest = max(range(len(heats)), key=lambda place: (strict[place].hot / heats[place].needed, -strict[place].earliest))
        missing = _short(strict[nearest], rule, heats[nearest], how)
        parts.append(f"in a row: {missing}" if loose else missing)
    word = NOT_MET if failed else MET if met else ADDED if loose else NOT_MET
    if word in (MET, ADDED) and unknown:
        word = OPEN if word == MET else f"{ADDED}; the rest not told"
    earliest = None if met or failed else strict[nearest].earliest
    parts += failed + unknown
    if rule.get("duty"):
        parts.append(f"also: {rule['duty']}")
    done = shown is not None and not failed
    return Verdict(
        rule,
        word,
        "; ".join(parts),
        earliest,
        (shown.start, shown.end) if done and shown else None,
        shown.turned if shown else 0,
        warm,
    )


@lru_cache(maxsize=128)
def _judged(
    batch: Batch, method: str, gap: float, moisture: float | None, ratio: float | None, piece: float | None
) -> tuple[Verdict, ...]:
    """Every rule that fits the method, in the order of the reference table."""
    told = {"batch_moisture_percent": moisture, "batch_carbon_to_nitrogen": ratio, "largest_piece_mm": piece}
    whole = _Record(tuple(probe.series for probe in batch.probes), batch.turnings)
    return tuple(judge(rule, batch, gap, told, whole) for rule in RULES if method in rule["fits"])


@lru_cache(maxsize=128)
def vector_attraction(batch: Batch, gap: float) -> tuple[str, str, str, Run | None]:
    """Vector attraction by aerobic treatment: verdict, when or what is missing, the earliest date, the stretch."""
    record = _Record(tuple(probe.series for probe in batch.probes), batch.turnings)
    heat = _Heat(Limit(VECTOR["above_c"], above=True), VECTOR["hours"] * HOUR, round(gap * HOUR))
    stretches = record.stretches(heat)
    pieces = runs(stretches, heat.limit)
    mean = VECTOR["mean_above_c"]
    found = warm_on_average(stretches, pieces, heat.needed, mean)
    if found is not None:
        return MET, _span(*found), "–", found
    longest = max((end - start for start, end in pieces), default=0)
    missing = f"{_days(longest, heat.needed)} in a row above {heat.limit.least} °C"
    if longest >= heat.needed:
        missing += f", with a mean above {mean} °C in no {VECTOR['hours'] // 24} days of them"
    now = record.now
    still = record.hot_at(heat, now)
    earliest = now + heat.needed
    if still:
        # from the last reading on the heap is taken to hold what most rules ask for
        proven = [each for each in stretches if each[0] >= still[0] and each[1] <= still[1]]
        after = (*proven, (max(still), now + 2 * heat.needed, HELD_C))
        later = warm_on_average(after, [(still[0], now + 2 * heat.needed)], heat.needed, mean)
        earliest = max(now, later[1]) if later else earliest
    return NOT_MET, missing, in_words(earliest), None


# ---- solving --------------------------------------------------------------------------------------------------


def _log(inputs: Inputs) -> Log:
    """The log as read. Raises ``CannotSolve`` with what must be told or put right."""
    order = "" if inputs.log_date_order == "as_written" else inputs.log_date_order
    unit = "" if inputs.log_unit == "as_written" else inputs.log_unit
    try:
        return read_log(inputs.temperature_log, order, unit, inputs.turnings_typed)
    except Asked as asked:
        raise CannotSolve(f"{asked}.", ("log_date_order" if asked.about == "date_order" else "log_unit",)) from None
    except LogRefused as refused:
        raise CannotSolve(f"The readings can't be used. {refused}.", ("temperature_log",)) from None


def _batch(inputs: Inputs, held: Log) -> Batch | None:
    if not held.batches:
        return None
    wanted = inputs.log_batch.casefold()
    if not wanted:
        return max(held.batches, key=lambda batch: batch.moments[-1])
    for batch in held.batches:
        if batch.name.casefold() == wanted:
            return batch
    named = ", ".join(f"‘{batch.name}’" for batch in held.batches[:8] if batch.name)
    raise CannotSolve(
        f"The log has no batch ‘{inputs.log_batch}’. "
        + (f"It has {named}." if named else "It names no batch: leave ‘Which batch’ empty."),
        ("log_batch",),
    )


def _verdicts(inputs: Inputs, batch: Batch) -> tuple[Verdict, ...]:
    return _judged(
        batch,
        inputs.composting_method,
        inputs.longest_gap_hours,
        inputs.batch_moisture_percent,
        inputs.batch_carbon_to_nitrogen,
        inputs.largest_piece_mm,
    )


def _tally(verdicts: Sequence[Verdict]) -> tuple[int, int, int]:
    """Rules met, met only if days are added up, and that fit; superseded ones aside."""
    counted = [each for each in verdicts if not each.rule.get("superseded")]
    return sum(each.word == MET for each in counted), sum(each.word == ADDED for each in counted), len(counted)


def _that_fit(method: str) -> int:
    return sum(method in rule["fits"] and not rule.get("superseded") for rule in RULES)


def _hot(batch: Batch, gap: float, series: Series | None = None) -> list[Run]:
    """Runs at 55 °C or more, of one probe or of all at once."""
    chosen = (series,) if series is not None else tuple(probe.series for probe in batch.probes)
    return runs(coldest(chosen, round(gap * HOUR)), HOT)


@lru_cache(maxsize=64)
def _probe_rows(batch: Batch, gap: float) -> tuple[tuple[object, ...], ...]:
    rows: list[tuple[object, ...]] = []
    for probe in batch.probes:
        values = [value for _, value in probe.series if value is not None]
        moments = [moment for moment, _ in probe.series]
        longest = max((after - before for before, after in zip(moments, moments[1:], strict=False)), default=0)
        rows.append(
            (
                probe.name,
                float(len(values)),
                min(values, default=None),
                max(values, default=None),
                total(_hot(batch, gap, probe.series)) / DAY,
                longest / HOUR,
            )
        )
    return tuple(rows)


def _name(batch: Batch) -> str:
    return batch.name or "without a name"


def _readings(batch: Batch) -> int:
    return sum(value is not None for probe in batch.probes for _, value in probe.series)


def _marked(rule: Mapping[str, Any]) -> str:
    return f"{rule['title']} (superseded, not counted)" if rule.get("superseded") else rule["title"]


def _numbered(place: int, verdict: Verdict) -> str:
    return f"{place + 1}. {_marked(verdict.rule)}"


def solve(inputs: Inputs, working: Working) -> Outputs:
    """Read the log, then hold the batch against each rule."""
    given = plain(inputs)
    held = _log(given)
    batch = _batch(given, held)
    lines = tuple((str(line.number) if line.number else "typed", line.text, line.why) for line in held.lines)
    if held.untold:
        lines += (("…", f"and {held.untold} more", "not listed one by one"),)
    if batch is None:
        return Outputs(
            0,
            working.untraced(_that_fit, given.composting_method),
            0,
            None,
            None,
            0,
            "none",
            "–",
            "–",
            0,
            0,
            working.untraced(len, lines),
            "–",
            None,
            "no readings",
            None,
            (),
            (),
            (),
            lines,
        )
    verdicts = _verdicts(given, batch)
    for each in verdicts:
        working.note(_marked(each.rule), each.word, note=each.when, source=cited(each.rule["source"], each.rule["status"]))
    figures = working.untraced(lambda: _figures(batch, given.longest_gap_hours, held))
    vector = vector_attraction(batch, given.longest_gap_hours)
    working.note(VECTOR["title"], vector[0], note=vector[1], source=cited(VECTOR["source"], VECTOR["status"]))
    row = EQUATION["solids_7_or_more"]
    if figures.steady_c is not None:
        working.step(
            "Days that the equation asks for at the best hours of the coldest probe",
            "d",
            days_needed,
            celsius=figures.steady_c,
            constant=row["constant"],
            slope=row["slope"],
            source=cited(row["source"], row["status"], row["note"]),
        )
    tally = working.untraced(lambda: _tally(verdicts))
    table = [
        (_numbered(place, each), each.word, each.when, _on(each.earliest), each.rule["meant_for"], each.rule["status"])
        for place, each in enumerate(verdicts)
    ]
    table.append((VECTOR["title"], vector[0], vector[1], vector[2], VECTOR["meant_for"], VECTOR["status"]))
    moments = batch.moments
    return Outputs(
        rules_met=tally[0],
        rules_that_fit=tally[2],
        rules_added_up=tally[1],
        hot_total_days=figures.hot_total_days,
        hot_run_days=figures.hot_run_days,
        hot_turnings=figures.hot_turnings,
        batch_shown=_name(batch),
        first_reading=in_words(moments[0]),
        last_reading=in_words(moments[-1]),
        readings_taken=figures.readings,
        turnings_in_all=figures.turnings,
        lines_not_taken=figures.lines,
        coldest_probe=_coldest_name(given, batch),
        highest_reading_c=figures.highest_c,
        vector_attraction=f"{vector[0]}: {vector[1]}",
        equation_share=figures.share,
        rules=tuple(table),
        probes=_probe_rows(batch, given.longest_gap_hours),
        batches=tuple(_batch_row(given, each) for each in held.batches),
        lines=lines,
    )


@dataclass(frozen=True)
class _Figures:
    """Single figures of a batch."""

    hot_total_days: float
    hot_run_days: float
    hot_turnings: int
    readings: int
    turnings: int
    lines: int
    highest_c: float | None
    share: float
    steady_c: float | None


@lru_cache(maxsize=64)
def _figures(batch: Batch, gap: float, held: Log) -> _Figures:
    series = tuple(probe.series for probe in batch.probes)
    stretches = coldest(series, round(gap * HOUR))
    pieces = runs(stretches, HOT)
    hot = Hot(series, round(gap * HOUR), HOT)
    row = EQUATION["solids_7_or_more"]
    steady = max((low for _, _, low in stretches), default=-math.inf)
    values = [value for each in series for _, value in each if value is not None]
    return _Figures(
        hot_total_days=total(pieces) / DAY,
        hot_run_days=max((end - start for start, end in pieces), default=0) / DAY,
        hot_turnings=sum(hot.at(moment) is not None for moment in batch.turnings),
        readings=_readings(batch),
        turnings=len(batch.turnings),
        lines=len(held.lines) + held.untold,
        highest_c=max(values, default=None),
        share=share_of_equation(stretches, row),
        steady_c=steady if steady >= row["least_c"] else None,
    )


def _coldest_name(inputs: Inputs, batch: Batch) -> str:
    rows = _probe_rows(batch, inputs.longest_gap_hours)
    return str(min(rows, key=lambda row: (row[4], row[2] if row[2] is not None else -99.0))[0])  # type: ignore[arg-type, return-value]


def _batch_row(inputs: Inputs, batch: Batch) -> tuple[object, ...]:
    met, _, fit = _tally(_verdicts(inputs, batch))
    moments = batch.moments
    return (
        _name(batch),
        in_words(moments[0]),
        in_words(moments[-1]),
        float(_readings(batch)),
        float(len(batch.turnings)),
        f"{met} of {fit}",
    )


# ---- words ----------------------------------------------------------------------------------------------------


def _main(inputs: Inputs, batch: Batch) -> Verdict:
    key = MAIN_RULE[inputs.composting_method]
    return next(each for each in _verdicts(inputs, batch) if each.rule["key"] == key)


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    batch = _batch(inputs, _log(inputs))
    fits = f"{outputs.rules_that_fit} rules that fit a {METHODS[inputs.composting_method]}"
    if batch is None:
        return f"No readings yet: put in a log, and it is held against {fits}."
    main = _main(inputs, batch)
    short = main.rule["short"]
    if main.stretch is not None:
        added = ", days added up," if main.word == ADDED else ""
        turned = "" if not main.rule.get("turnings") else f" with {_turnings(main.turned)} while hot"
        told = f"{short} was met{added} from {_span(*main.stretch)}{turned}"
    else:
        told = f"{short} is not met yet: {main.when}; {_on(main.earliest)} at the earliest, if it stays hot"
    name = f"Batch {batch.name}" if batch.name else "This batch"
    left = f" {_lines(outputs.lines_not_taken)} not taken as written." if outputs.lines_not_taken else ""
    return f"{name} meets {outputs.rules_met} of {fits}; {told}.{left}"


def _lines(count: int) -> str:
    return "1 line of the log was" if count == 1 else f"{count} lines of the log were"


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about this result."""
    held = _log(inputs)
    batch = _batch(inputs, held)
    if batch is None:
        return ["A blank log sheet to print, with what to write down, has a page of its own."]
    found = list(held.remarks)
    if outputs.rules_added_up:
        found.append(
            f"{outputs.rules_added_up} more would be met if hot days may be added up. Their texts do not say ‘in a row’; ask your authority "
            "which reading holds."
        )
    gap = inputs.longest_gap_hours
    late = [str(row[0]) for row in outputs.probes if float(row[5]) > gap]  # type: ignore[arg-type]
    if late:
        found.append(
            f"Gaps longer than {say(gap, 'h')} break the time that counts: {', '.join(late)}. Read more often, or see the rules with a gap of their own."
        )
    if len(batch.probes) > 1:
        found.append(f"Every probe must be hot at once; the coldest, {outputs.coldest_probe}, decides.")
    else:
        found.append("One probe tells of one place. Read at least three places: heart, edge and foot.")
    low, high = (
        READING["depth_static_cm" if inputs.composting_method == "aerated_static" else "depth_windrow_cm"][end]
        for end in ("low", "high")
    )
    odd = [f"{probe.name}" for probe in batch.probes if probe.depth_cm is not None and not low <= probe.depth_cm <= high]
    if odd and inputs.composting_method != "in_vessel":
        found.append(
            f"California reads at {say(low, 'cm')} to {say(high, 'cm')} below the surface; other depths here: {', '.join(odd)}."
        )
    if batch.turnings and outputs.hot_turnings < len(batch.turnings):
        found.append(
            f"{outputs.hot_turnings} of {_turnings(len(batch.turnings))} count: a turning counts where the last reading of every probe before it was hot. "
            "Read before you turn."
        )
    hours = [
        hour
        for hour in (rule.get("gap_hours") for rule in RULES if inputs.composting_method in rule["fits"])
        if hour is not None and hour < 2
    ]
    if hours:
        found.append(
            "Rules of one hour at 70 °C count only readings a quarter of an hour apart, that of 60 °C for two days hourly ones (both chosen here): "
            "a closed vessel logs by itself."
        )
    found.append(
        "Time counts only between two readings that both satisfy the limit; nothing is gained in between. The earliest dates count from the last reading."
    )
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """Reading a hot heap, and what the record is not."""
    read = outputs.readings_taken > 0
    raised = [
        RaisedCaution(
            "record_is_no_certificate",
            f"Batch {outputs.batch_shown}: {outputs.rules_met} of {outputs.rules_that_fit} rules met." if read else "",
            urgent=read,
        ),
        RaisedCaution("steam_burn"),
        RaisedCaution("wet_down_dust"),
        RaisedCaution("legionella"),
        RaisedCaution("compost_not_fit_until_tested"),
        RaisedCaution("meat_rules"),
    ]
    if outputs.highest_reading_c is not None and outputs.highest_reading_c >= 70:
        raised.append(
            RaisedCaution("heap_height_fire", f"The highest reading is {say(outputs.highest_reading_c, '°C')}.", urgent=True)
        )
    return raised


# ---- charts ---------------------------------------------------------------------------------------------------


def _lowest_by(series: Series, start: int, step: int, count: int) -> tuple[float | None, ...]:
    """The lowest reading in each step of time; ``None`` where there is none."""
    found: list[float | None] = [None] * count
    for moment, value in series:
        place = (moment - start) // step
        before = found[place]
        if value is not None and (before is None or value < before):
            found[place] = value
    return tuple(found)


def _short_date(moment: int) -> str:
    return " ".join(in_words(moment).split()[:2])


def _shares(stretch: Run, start: int, length: int) -> Run:
    return ((stretch[0] - start) / length, (stretch[1] - start) / length)  # type: ignore[return-value]


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """Temperatures with turnings and limits, and when each rule was satisfied."""
    batch = _batch(inputs, _log(inputs))
    if batch is None:
        return []
    moments = batch.moments
    hourly = moments[-1] - moments[0] <= HOURLY_UP_TO_DAYS * DAY
    step = HOUR if hourly else DAY
    start = moments[0] // step * step
    count = (moments[-1] - start) // step + 1
    length = count * step
    labels = tuple(
        f"{(start + place * step) % DAY // HOUR:02d}:00 {_short_date(start + place * step)}"
        if hourly
        else _short_date(start + place * step)
        for place in range(count)
    )
    verdicts = _verdicts(inputs, batch)
    main = _main(inputs, batch)
    bands = ((*_shares(main.stretch, start, length), main.rule["short"]),) if main.stretch else ()
    events = tuple(
        ((moment - start) / length, f"turned {in_words(moment)}")
        for moment in batch.turnings
        if start <= moment < start + length
    )
    lines = tuple(Line(probe.name, _lowest_by(probe.series, start, step, count)) for probe in batch.probes)
    record = Chart(
        "record",
        f"Lowest reading of each {'hour' if hourly else 'day'}",
        "°C",
        labels,
        lines,
        (Mark(40.0, "40 °C"), Mark(SANITISING_C, "55 °C"), Mark(65.0, "65 °C")),
        axis="Hour" if hourly else "Day",
        events=events,
        bands=bands,
    )
    spans: list[Span] = []
    for row, verdict in enumerate(verdicts):
        name = _numbered(row, verdict)
        bars = sorted(sorted(verdict.runs, key=lambda run: run[0] - run[1])[:MOST_BARS])
        for run in bars or [(start, start)]:
            spans.append(
                Span(row, 1, *_shares(run, start, length), (name, "every probe warm enough", _span(*run) if bars else "never"))
            )
        if verdict.stretch:
            spans.append(Span(row, 0, *_shares(verdict.stretch, start, length), (name, verdict.word, _span(*verdict.stretch))))
    parts = min(6, count)
    ticks = tuple(_short_date(start + length * place // parts) for place in range(parts))
    return [
        record,
        Chart(
            "spans",
            "When each rule was satisfied, by its number in the table of rules",
            "1",
            ticks,
            (Line("met in this stretch", ()), Line("every probe warm enough", ())),
            spans=tuple(spans),
            columns=("Rule", "What", "When"),
        ),
    ]


CALCULATOR = Calculator(
    key="temperatures",
    title="Temperature record",
    question="Was this batch hot enough for long enough, by which rule?",
    inputs=Inputs,
    outputs=Outputs,
    solve=solve,
    sentence=sentence,
    notices=notices,
    cautions=cautions,
    charts=charts,
    sources=(
        *{
            (row["source"], row["status"]): cited(row["source"], row["status"]) for row in (*RULES, VECTOR, *EQUATION.values())
        }.values(),
        source("ccr_14_17868"),
        own_choice("only time between two readings that both satisfy the limit; the coldest probe; the longest gap"),
    ),
    step="Run the yard",
)
