"""A yard in many years that might come: what is not known is drawn by lot, and each year is walked through.

A year is drawn in two steps. First each factor of ``Ranges.year``, in its order, by one draw: it holds for the whole walk,
however many years that has. Then, day by day, three draws: the day's waste, whether a worker is missing, whether the shredder
fails. So many draws are made whatever the figures are, so the same seed and number give the same luck to every yard: two yards
are compared in the same years.

A factor is uniform between its ends, or triangular with its peak at the plan's own figure; which, each row of the reference
data says. Both are drawn through the inverse of their distribution from ``random.Random(…).random()`` alone, which gives the
same figures in every Python.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from calculators.declare import MONTHS
from calculators.reference import rows_of
from calculators.simulate.exactly import added
from calculators.simulate.year import MONTH_OF_DAY, Outage, Record, Scenario, run
from calculators.topics.arrivals import DAYS_IN_YEAR

MOST_YEARS = 100_000
"""Numbers of drawn years are below this, so that no two pairs of seed and number share a stream of draws."""
MOST_SEED = 10**9
DRIEST, WETTEST = 0.05, 0.97
"""Moisture of the waste is kept between these, as fractions of wet mass."""
MOST_LOST = 0.95
"""Most of its volume that a heap may lose, as a fraction."""


# ---- what is drawn --------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Factor:
    """Something that is not known: ``low <= typical <= high`` in ``unit``, and how it is drawn.

    ``typical`` leaves the plan as it is, or is what the plan would count with. ``measure`` says how to know it better.
    """

    key: str
    label: str
    unit: str
    low: float
    typical: float
    high: float
    shape: Literal["uniform", "triangular"]
    source: str
    status: str
    note: str = ""
    measure: str = ""

    def at(self, share: float) -> float:
        """The value below which ``share`` (0 to 1) of the draws lie."""
        width = self.high - self.low
        if self.shape == "uniform" or width == 0:
            return self.low + share * width
        rise = self.typical - self.low
        if share * width < rise:
            return self.low + math.sqrt(share * width * rise)
        return self.high - math.sqrt((1 - share) * width * (self.high - self.typical))

    @property
    def mean(self) -> float:
        """The mean of the draws."""
        if self.shape == "uniform":
            return (self.low + self.high) / 2
        return (self.low + self.typical + self.high) / 3


@dataclass(frozen=True)
class Ranges:
    """What is drawn once for a walk, and what on each day, by the keys of the reference data."""

    year: tuple[Factor, ...]
    day: tuple[Factor, ...]

    @property
    def typical(self) -> dict[str, float]:
        """Each year's factor at the plan's own figure."""
        return {factor.key: factor.typical for factor in self.year}


def handbook_ranges() -> Ranges:
    """The ranges of the reference data, each with its source."""
    return Ranges(*(
        tuple(
            Factor(row["key"], row["label"], row["unit"], row["low"], row["typical"], row["high"], row["shape"], row["source"],
                   row["status"], row.get("note", ""), row.get("measure", ""))
            for row in rows_of("uncertainty", table)
        )
        for table in ("year_to_year", "day_to_day")
    ))  # fmt: skip


def lots(seed: int, number: int) -> Callable[[], float]:
    """The stream of draws of year ``number`` (from 0) of ``seed``. Raises ``ValueError`` beyond the limits of either."""
    if not (0 <= seed <= MOST_SEED and 0 <= number < MOST_YEARS):
        raise ValueError(f"a seed must be from 0 to {MOST_SEED}, and the number of a year from 0 to below {MOST_YEARS}")
    return random.Random(seed * MOST_YEARS + number).random


def _whole_days(days: int, times: float, least: int) -> int:
    return max(least, math.floor(days * times + 0.5)) if days else 0


def with_factors(base: Scenario, values: Mapping[str, float], waste_kg_by_day: tuple[float, ...],
                 outages: Sequence[Outage] = ()) -> Scenario:  # fmt: skip
    """The scenario with each year's factor applied, the waste of each day, and more that is missing."""
    hours, points = values["work_hours"], values["waste_moisture"] / 100
    return replace(
        base,
        waste_kg_by_day=waste_kg_by_day,
        waste_moisture_by_month=tuple(
            moisture if not points else min(WETTEST, max(DRIEST, moisture + points))
            for moisture in base.waste_moisture_by_month
        ),
        bulking_kg_per_kg=base.bulking_kg_per_kg * values["bulking_need"],
        leaves_kg_per_day_by_month=tuple(kg * values["leaf_fall"] for kg in base.leaves_kg_per_day_by_month),
        waste_hours_per_kg=base.waste_hours_per_kg * hours,
        leaf_hours_per_kg=base.leaf_hours_per_kg * hours,
        shred_hours_per_kg=base.shred_hours_per_kg * hours,
        build_hours_per_m3=base.build_hours_per_m3 * hours,
        turn_hours_per_m3=base.turn_hours_per_m3 * hours,
        move_hours_per_m3=base.move_hours_per_m3 * hours,
        screen_hours_per_kg=base.screen_hours_per_kg * hours,
        volume_lost=min(MOST_LOST, base.volume_lost * values["volume_lost"]),
        first_stage_rate_per_day=base.first_stage_rate_per_day * values["rot_pace"],
        curing_rate_per_day=base.curing_rate_per_day * values["rot_pace"],
        worm_rate_per_day=base.worm_rate_per_day * values["rot_pace"],
        water_rate_per_day=base.water_rate_per_day * values["drying_pace"],
        first_stage_days=_whole_days(base.first_stage_days, values["first_stage"], 1),
        curing_days=_whole_days(base.curing_days, values["curing"], 1),
        rain_mm_by_month=tuple(mm * values["rain"] for mm in base.rain_mm_by_month),
        outages=(*base.outages, *outages),
    )


def _scattered(base: Scenario, ranges: Ranges, values: Mapping[str, float], lot: Callable[[], float]) -> Scenario:
    """The scenario with the year's factors and with each day's luck."""
    by_key = {factor.key: factor for factor in ranges.day}
    scatter, repair = by_key["arrivals_day"], by_key["breakdown_days"]
    level = values["arrivals"] / scatter.mean
    waste, missing = [], []
    for day, kg in enumerate(base.waste_kg_by_day):
        waste.append(kg * level * scatter.at(lot()))
        if lot() * 100 < values["absence"]:
            missing.append(Outage(day, 1, 1))
        if lot() * 100 < values["breakdown"]:
            missing.append(Outage(day, round(repair.typical)))
    return with_factors(base, values, tuple(waste), missing)


def draw(base: Scenario, ranges: Ranges, seed: int, number: int) -> tuple[dict[str, float], Scenario]:
    """Year ``number`` of ``seed``: its factors by key, and the scenario. Raises ``ValueError`` as ``lots``."""
    lot = lots(seed, number)
    values = {factor.key: factor.at(lot()) for factor in ranges.year}
    return values, _scattered(base, ranges, values, lot)


def draws(base: Scenario, ranges: Ranges, seed: int, count: int) -> Iterator[Scenario]:
    """The first ``count`` years of ``seed``."""
    return (draw(base, ranges, seed, number)[1] for number in range(count))


# ---- what is kept of a year -----------------------------------------------------------------------------------


def hours_owed_in_evenings(record: Record) -> float:
    """Worker-hours owed at the worst, in the evening of a day on which the crew worked."""
    pairs = zip(record.hours_owed, record.hours_available, strict=True)
    return max((owed for owed, hours in pairs if hours > 0), default=0.0)


@dataclass(frozen=True)
class Measure:
    """A figure of a walk: its key, label and unit, and how it is taken from the record."""

    key: str
    label: str
    unit: str
    of: Callable[[Record], float]


def _refused_days(record: Record) -> int:
    return sum(1 for kg in record.refused_kg if kg > LEAST_REFUSED)


MEASURES = (
    Measure("most_bays", "Most bays in use", "bay", lambda record: max(record.bays_in_use)),
    Measure("refused_kg", "Waste refused", "kg", lambda record: added(record.refused_kg)),
    Measure("refused_days", "Days with refused waste", "d", _refused_days),
    Measure("leaf_store_lowest", "Leaf store at its lowest", "m3", lambda record: min(record.leaf_store_m3)),
    Measure("hours_owed_most", "Work owed at the worst", "worker-h", hours_owed_in_evenings),
    Measure("water_used", "Water used, mean of a day", "l/d", lambda record: added(record.water_used_l) / record.scenario.days),
    Measure("leaves_bought", "Bulking bought", "kg", lambda record: added(record.leaves_bought_kg)),
)  # fmt: skip
LEAST_REFUSED = 1e-6
"""Kilograms on a day: less is what rounding left."""
LEAST_FIGURE = 1e-9
"""In the unit of a measure: as above."""


@dataclass(frozen=True)
class Monthly:
    """A series of a walk with a mean of its days in each month: key, label, unit, and the name in the record."""

    key: str
    label: str
    unit: str
    daily: str


MONTHLY = (
    Monthly("bays_in_use", "Bays in use", "bay", "bays_in_use"),
    Monthly("leaf_store", "Leaf store", "m3", "leaf_store_m3"),
    Monthly("hours_needed", "Work that falls due", "worker-h/d", "hours_needed"),
    Monthly("water_used", "Water used", "l/d", "water_used_l"),
    Monthly("refused", "Waste refused", "kg/d", "refused_kg"),
)


@dataclass(frozen=True)
class Outcome:
    """What is kept of a drawn year: its factors, ``MEASURES``, and ``MONTHLY`` (twelve figures each), in their orders.

    A month that the walk does not reach holds 0.
    """

    factors: tuple[float, ...]
    figures: tuple[float, ...]
    months: tuple[tuple[float, ...], ...]


def _by_month(days: Sequence[float]) -> tuple[float, ...]:
    sums, counts = [0.0] * len(MONTHS), [0] * len(MONTHS)
    for day, value in enumerate(days):
        month = MONTH_OF_DAY[day % DAYS_IN_YEAR]
        sums[month] += value
        counts[month] += 1
    return tuple(total / count if count else 0.0 for total, count in zip(sums, counts, strict=True))


def figures_of(record: Record) -> tuple[float, ...]:
    """``MEASURES`` of a walk; what rounding left of none is 0."""
    figures = (float(measure.of(record)) for measure in MEASURES)
    return tuple(0.0 if abs(figure) < LEAST_FIGURE else figure for figure in figures)


def outcome(values: Mapping[str, float], record: Record) -> Outcome:
    """What is kept of a walk."""
    return Outcome(
        tuple(values.values()),
        figures_of(record),
        tuple(_by_month(getattr(record, series.daily)) for series in MONTHLY),
    )


def walk_years(base: Scenario, ranges: Ranges, seed: int, first: int, last: int) -> Iterator[Outcome]:
    """Walk the drawn years from ``first`` to before ``last``, one at a time: whoever asks may stop, and go on later."""
    for number in range(first, last):
        values, scenario = draw(base, ranges, seed, number)
        yield outcome(values, run(scenario))


def in_chunks(base: Scenario, ranges: Ranges, seed: int, count: int, chunk: int,
              done: Sequence[Outcome] = ()) -> Iterator[tuple[Outcome, ...]]:  # fmt: skip
    """All outcomes so far, after each ``chunk`` of years, until there are ``count``; ``done`` are those already walked."""
    found = list(done[:count])
    while len(found) < count:
        found += walk_years(base, ranges, seed, len(found), min(count, len(found) + chunk))
        yield tuple(found)


# ---- bands and shares -----------------------------------------------------------------------------------------

LEVELS = (5, 25, 50, 75, 95)
"""The percentiles of a band."""


def percentile(values: Sequence[float], percent: float) -> float:
    """The percentile (0 to 100) of at least one value, straight between the two nearest in order.

    Of n values in order, numbered from 0, it lies at place (n − 1) × percent ÷ 100: definition 7 of Hyndman and Fan (1996),
    from memory, and numpy's method 'linear'. Raises ``ValueError`` without values.
    """
    if not values:
        raise ValueError("there are no values")
    ordered = sorted(values)
    place = (len(ordered) - 1) * percent / 100
    below = min(math.floor(place), len(ordered) - 1)
    above = min(below + 1, len(ordered) - 1)
    return ordered[below] + (ordered[above] - ordered[below]) * (place - below)


def band(values: Sequence[float]) -> tuple[float, ...]:
    """The percentiles of ``LEVELS``."""
    return tuple(percentile(values, level) for level in LEVELS)


@dataclass(frozen=True)
class Share:
    """How many of so many years held, as a share (0 to 1), and between what the share of all years lies in 95 of 100 cases."""

    held: int
    years: int
    share: float
    low: float
    high: float


NORMAL_975 = 1.959963984540054
"""The 97.5 % point of the normal distribution: 2.5 % above, and as much below its negative."""


def share_of(held: int, years: int) -> Share:
    """A share with its 95 % interval by Wilson (1927; formula from memory). Raises ``ValueError`` without years."""
    if not 0 <= held <= years or years < 1:
        raise ValueError("there must be years, and no more held than there are")
    z2 = NORMAL_975 * NORMAL_975
    share = held / years
    middle = (share + z2 / (2 * years)) / (1 + z2 / years)
    half = NORMAL_975 / (1 + z2 / years) * math.sqrt(share * (1 - share) / years + z2 / (4 * years * years))
    low = 0.0 if held == 0 else middle - half
    high = 1.0 if held == years else middle + half
    return Share(held, years, share, low, high)


# ---- what matters most ----------------------------------------------------------------------------------------


def ranks(values: Sequence[float]) -> list[float]:
    """The place of each value in order, from 1; equal values share the mean of their places."""
    order = sorted(range(len(values)), key=lambda index: values[index])
    found = [0.0] * len(values)
    start = 0
    while start < len(order):
        end = start
        while end + 1 < len(order) and values[order[end + 1]] == values[order[start]]:
            end += 1
        for index in order[start : end + 1]:
            found[index] = (start + end) / 2 + 1
        start = end + 1
    return found


def rank_correlation(one: Sequence[float], other: Sequence[float]) -> float | None:
    """Spearman's rank correlation (−1 to 1), or ``None`` where either does not vary."""
    left, right = ranks(one), ranks(other)
    middle = (len(left) + 1) / 2
    both = added((a - middle) * (b - middle) for a, b in zip(left, right, strict=True))
    size = added((a - middle) * (a - middle) for a in left) * added((b - middle) * (b - middle) for b in right)
    return max(-1.0, min(1.0, both / math.sqrt(size))) if size > 0 else None


@dataclass(frozen=True)
class Influence:
    """How strongly a factor goes with a measure over the drawn years: rank correlation, ``None`` where either stands still."""

    factor: Factor
    correlation: float | None


LEAST_TELLING = 1.96
"""A rank correlation below this over the root of (years − 1) may well be chance (about 1 in 20): large samples, from memory."""


def influences(outcomes: Sequence[Outcome], ranges: Ranges, measure: int) -> tuple[Influence, ...]:
    """Every factor's influence on the measure of that index, the strongest first; equal ones stay in their order."""
    figures = [each.figures[measure] for each in outcomes]
    found = [
        Influence(factor, rank_correlation([each.factors[index] for each in outcomes], figures))
        for index, factor in enumerate(ranges.year)
    ]
    return tuple(sorted(found, key=lambda each: -abs(each.correlation or 0.0)))


def telling(influence: Influence, years: int) -> bool:
    """Whether a correlation over so many years is stronger than chance would often give."""
    return abs(influence.correlation or 0.0) * math.sqrt(max(years - 1, 0)) >= LEAST_TELLING


@dataclass(frozen=True)
class Importance:
    """How much a factor matters for the whole yard: the squares of its telling rank correlations with all measures, added.

    ``most`` is the index of the measure that it goes with most strongly.
    """

    factor: Factor
    weight: float
    most: int
    correlation: float


def what_to_measure_first(outcomes: Sequence[Outcome], ranges: Ranges) -> tuple[Importance, ...]:
    """The factors that matter, the most important first: those with a telling correlation with any measure.

    A square of a rank correlation is about the share of the spread in ranks that goes with a factor; each measure counts alike.
    """
    found: dict[str, Importance] = {}
    for measure in range(len(MEASURES)):
        for each in influences(outcomes, ranges, measure):
            if each.correlation is None or not telling(each, len(outcomes)):
                continue
            before = found.get(each.factor.key, Importance(each.factor, 0.0, measure, 0.0))
            weight = before.weight + each.correlation * each.correlation
            if abs(each.correlation) > abs(before.correlation):
                found[each.factor.key] = Importance(each.factor, weight, measure, each.correlation)
            else:
                found[each.factor.key] = replace(before, weight=weight)
    return tuple(sorted(found.values(), key=lambda each: -each.weight))


@dataclass(frozen=True)
class Swing:
    """The measures with one factor at its low and at its high end, all others at the plan's own figure."""

    factor: Factor
    low: tuple[float, ...]
    high: tuple[float, ...]


def one_at_a_time(base: Scenario, ranges: Ranges, seed: int, numbers: Sequence[int] | None = None) -> Iterator[Swing]:
    """For each factor (or those of the indices in ``numbers``), the walks at its two ends, in the days' luck of year 0."""
    for index in range(len(ranges.year)) if numbers is None else numbers:
        factor = ranges.year[index]
        yield Swing(factor, *(figures_at(base, ranges, seed, {factor.key: value}) for value in (factor.low, factor.high)))


def figures_at(base: Scenario, ranges: Ranges, seed: int, values: Mapping[str, float]) -> tuple[float, ...]:
    """The measures with some of the factors given and all others at the plan's own figure, in the days' luck of year 0."""
    lot = lots(seed, 0)
    for _ in ranges.year:
        lot()
    return figures_of(run(_scattered(base, ranges, ranges.typical | values, lot)))


# ---- everything together --------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Bands:
    """What the drawn years say: for each of ``MEASURES`` its band, for each of ``MONTHLY`` a band for each month,
    and the share of years without a day of refused waste."""

    years: int
    figures: tuple[tuple[float, ...], ...]
    months: tuple[tuple[tuple[float, ...], ...], ...]
    no_refusal: Share


REFUSED_DAYS = [measure.key for measure in MEASURES].index("refused_days")


def bands(outcomes: Sequence[Outcome]) -> Bands:
    """Bands of at least one year. Raises ``ValueError`` without any."""
    return Bands(
        len(outcomes),
        tuple(band([each.figures[index] for each in outcomes]) for index in range(len(MEASURES))),
        tuple(
            tuple(band([each.months[index][month] for each in outcomes]) for month in range(len(MONTHS)))
            for index in range(len(MONTHLY))
        ),
        share_of(sum(1 for each in outcomes if each.figures[REFUSED_DAYS] == 0), len(outcomes)),
    )
