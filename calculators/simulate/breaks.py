"""What breaks in a year that was walked through, with its days, and the single change that would cure it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from calculators.simulate.year import Record, Scenario, days, run

SPELL_GAP_DAYS = 7
"""Bad days no further apart than this are one spell."""
SHORT_SHARE = 0.25
"""A weekday is named as short of hours when at least this share of such days in the record is."""

CATCH_UP_DAYS = 7
"""Hours owed that are worked off within so many days leave nobody behind; chosen here."""


@dataclass(frozen=True)
class Break:
    """Something that the yard can't hold, with its days.

    ``worst`` is the largest figure of a day, in ``unit``, on ``worst_day``; ``total`` adds all days where that has a
    meaning, else it is 0. ``spells`` are first and last day of each run of bad days. ``weekdays`` (0 a Monday) is for hours.
    """

    kind: str
    unit: str
    first_day: int
    last_day: int
    days: int
    worst: float
    worst_day: int
    total: float
    spells: tuple[tuple[int, int], ...]
    weekdays: tuple[int, ...] = ()


KINDS: dict[str, tuple[str, bool]] = {
    "bays": ("kg", True),
    "leaves": ("kg", True),
    "waiting": ("kg", True),
    "store": ("kg", True),
    "crew": ("h", False),
    "behind": ("h", False),
    "late": ("d", False),
    "water": ("l", True),
    "sump": ("l", True),
    "shredder": ("kg", True),
}
"""What can break, the unit of its figure, and whether its days may be added.

Waste refused for want of bays, of leaves, of hours; the leaf store empty (the bulking bought in its place); hours owed in
the evening of a working day; hours owed for longer than a week on end; turnings late; water lacking; the sump over; bulking used unshredded.
"""


def first_of_most(figures: Sequence[float]) -> int:
    """The first day whose figure is the largest, as far as figures can be told apart."""
    most = max(figures)
    return next(day for day, figure in enumerate(figures) if figure >= most - 1e-9 * abs(most))


_FIGURES: dict[str, str] = {
    "bays": "refused_for_bays_kg", "leaves": "refused_for_leaves_kg", "waiting": "refused_for_hours_kg",
    "store": "leaves_bought_kg", "crew": "hours_owed", "behind": "hours_owed", "late": "latest_turning_days", "water": "water_short_l",
    "sump": "sump_over_l", "shredder": "unshredded_kg",
}  # fmt: skip
"""The daily figure that says how bad it is; hours owed count on working days only."""
LEAST = 1e-6
"""Less is what rounding left of none."""


def owed_for_long(evenings: Iterable[tuple[float, float]], a_worker: float) -> Iterator[float]:
    """Of each evening's hours owed and hours of the crew, what is owed after a week in which it was not worked off, else 0.

    A crew has caught up in the evening of a working day in which it owes no more than one worker does in a day (``a_worker``).
    """
    since: int | None = None
    for day, (owed, hours) in enumerate(evenings):
        if hours > 0:
            since = None if owed <= a_worker + LEAST else day if since is None else since
        yield owed if hours > 0 and since is not None and day - since >= CATCH_UP_DAYS else 0.0


def _bad_days(record: Record, kind: str) -> Sequence[float]:
    figures: Sequence[float] = getattr(record, _FIGURES[kind])
    if kind == "behind":
        evenings = zip(figures, record.hours_available, strict=True)
        return list(owed_for_long(evenings, record.scenario.usable_hours))
    if kind != "crew":
        return figures
    return [owed if available > 0 else 0.0 for owed, available in zip(figures, record.hours_available, strict=True)]


def holds(scenario: Scenario, kind: str) -> bool:
    """Whether nothing of that kind breaks; the walk ends with the first day on which it does."""
    name = _FIGURES[kind]
    if kind == "behind":
        evenings = ((row[name], row["hours_available"]) for row in days(scenario))
        return not any(owed_for_long(evenings, scenario.usable_hours))
    return all(row[name] <= LEAST or (kind == "crew" and row["hours_available"] <= 0) for row in days(scenario))


def find_break(record: Record, kind: str) -> Break | None:
    """What broke of one of ``KINDS``, or ``None``. Raises ``KeyError`` for another kind."""
    unit, adds = KINDS[kind]
    figures = _bad_days(record, kind)
    bad_days = [day for day, figure in enumerate(figures) if figure > LEAST]
    if not bad_days:
        return None
    spells = [[bad_days[0], bad_days[0]]]
    for day in bad_days[1:]:
        if day - spells[-1][1] <= SPELL_GAP_DAYS:
            spells[-1][1] = day
        else:
            spells.append([day, day])
    worst_day = first_of_most(figures)
    weekdays: tuple[int, ...] = ()
    if kind == "crew":
        bad = [sum(1 for day in bad_days if day % 7 == weekday) for weekday in range(7)]
        weekdays = tuple(weekday for weekday in range(7) if bad[weekday] * 7 >= SHORT_SHARE * len(figures))
    return Break(kind, unit, bad_days[0], bad_days[-1], len(bad_days), figures[worst_day], worst_day,
                 sum(figures) if adds else 0.0, tuple((first, last) for first, last in spells), weekdays)  # fmt: skip


def what_breaks(record: Record) -> tuple[Break, ...]:
    """All that broke, the earliest first."""
    found = [broken for kind in KINDS if (broken := find_break(record, kind)) is not None]
    return tuple(sorted(found, key=lambda broken: broken.first_day))


# ---- what would cure it ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Change:
    """One thing that may be altered, by whole steps: ``key``, the ``unit`` of a ``step``, how many steps are tried at most,
    what so much of it makes of a scenario, and its cost in money for the whole walk (``None`` where there is no price)."""

    key: str
    unit: str
    step: int
    bound: int
    apply: Callable[[Scenario, int], Scenario]
    cost: Callable[[Scenario, int], float | None]


@dataclass(frozen=True)
class Cure:
    """The change that removes a break: its key, how much of it, and the cost in money for the whole walk if it is known."""

    key: str
    amount: int
    unit: str
    cost: float | None


def _times(price: float | None, amount: float) -> float | None:
    return None if price is None else price * amount


def _wages(s: Scenario, hours_a_day: float) -> float | None:
    return _times(s.wage_per_hour, hours_a_day * sum(1 for day in range(s.days) if day % 7 not in s.rest_weekdays))


def _longer_shift(s: Scenario, hours: int) -> Scenario:
    share = s.usable_hours / s.shift_hours
    return replace(s, shift_hours=s.shift_hours + hours, usable_hours=s.usable_hours + hours * share)


CHANGES: dict[str, Change] = {
    "bays": Change("bays", "bay", 1, 32, lambda s, n: replace(s, stage_bays=s.stage_bays + n),
                   lambda s, n: _times(s.bay_cost, n)),
    "workers": Change("workers", "worker", 1, 16, lambda s, n: replace(s, crew_present=s.crew_present + n),
                      lambda s, n: _wages(s, s.shift_hours * n)),
    "shift": Change("shift", "h", 1, 2, _longer_shift, lambda s, n: _wages(s, s.crew_present * n)),
    "work_rest_days": Change("work_rest_days", "d", 1, 1, lambda s, n: replace(s, rest_weekdays=()),
                             lambda s, n: _extra_days(s)),
    "leaf_store": Change("leaf_store", "m3", 25, 64, lambda s, n: replace(s, leaf_store_m3=s.leaf_store_m3 + n),
                         lambda s, n: _times(s.leaf_store_cost_per_m3, n)),
    "start_leaves": Change("start_leaves", "kg", 1000, 128, lambda s, n: _more_to_start(s, n),
                           lambda s, n: _start_cost(s, n)),
    "buy": Change("buy", "kg", 1, 1, lambda s, n: replace(s, leaf_policy="buy"),
                  lambda s, n: _bought(s)),
    "tank": Change("tank", "l", 1000, 64, lambda s, n: replace(s, tank_l=s.tank_l + n, tank_start_l=s.tank_start_l + n),
                   lambda s, n: _times(s.tank_cost_per_m3, n / 1000)),
    "mains": Change("mains", "l", 1, 1, lambda s, n: replace(s, mains=True), lambda s, n: None),
    "sump": Change("sump", "l", 500, 64, lambda s, n: replace(s, sump_l=s.sump_l + n), lambda s, n: None),
    "roof_sump": Change("roof_sump", "m2", 1, 1, lambda s, n: replace(s, sump_open_m2=0.0), lambda s, n: None),
}  # fmt: skip
"""What is tried; each from one step up to its bound."""

TRIED: dict[str, tuple[str, ...]] = {
    "bays": ("bays",),
    "leaves": ("leaf_store", "start_leaves", "buy"),
    "waiting": ("shift", "workers", "work_rest_days"),
    "store": ("leaf_store", "start_leaves"),
    "crew": ("shift", "workers", "work_rest_days"),
    "behind": ("shift", "workers", "work_rest_days"),
    "late": ("shift", "workers", "work_rest_days"),
    "water": ("tank", "mains"),
    "sump": ("roof_sump", "sump"),
    "shredder": (),
}
"""The changes tried for each kind of break, in the order in which they are taken where no price decides."""


def _bought(s: Scenario) -> float | None:
    """What buying would cost when leaves run short."""
    return None if s.leaf_price is None else s.leaf_price * sum(run(replace(s, leaf_policy="buy")).leaves_bought_kg)


def _extra_days(s: Scenario) -> float | None:
    rests = sum(1 for day in range(s.days) if day % 7 in s.rest_weekdays)
    return _times(s.wage_per_hour, s.crew_present * s.shift_hours * rests)


def _more_to_start(s: Scenario, kg: int) -> Scenario:
    """More leaves on the first day, and the store to hold them."""
    start = s.leaf_start_kg + kg
    return replace(s, leaf_start_kg=start, leaf_store_m3=max(s.leaf_store_m3, start / s.leaf_density_kg_m3))


def _start_cost(s: Scenario, kg: int) -> float | None:
    bigger = max(0.0, (s.leaf_start_kg + kg) / s.leaf_density_kg_m3 - s.leaf_store_m3)
    price, store = _times(s.leaf_price, kg), _times(s.leaf_store_cost_per_m3, bigger)
    return None if price is None or (bigger and store is None) else price + (store or 0.0)


def cheapest_cure(scenario: Scenario, broken: Break) -> Cure | None:
    """The single change that removes a break at the least cost, or ``None`` where none of those tried does.

    Each change of ``TRIED`` is tried by itself at its bound; where that helps, the least number of steps is found by
    bisection, taking it that more of a thing never brings the break back. Costs are compared where all are known; else the
    first of ``TRIED`` that helps is taken.
    """
    found: list[Cure] = []
    for key in TRIED[broken.kind]:
        change = CHANGES[key]
        if change.apply(scenario, change.step) == scenario or not _helps(scenario, change, change.bound, broken.kind):
            continue
        below, above = 0, change.bound
        while above - below > 1:
            middle = (above + below) // 2
            below, above = (below, middle) if _helps(scenario, change, middle, broken.kind) else (middle, above)
        amount = above * change.step
        found.append(Cure(key, amount, change.unit, change.cost(scenario, amount)))
        if found[0].cost is None:
            break
    if not found:
        return None
    if any(cure.cost is None for cure in found):
        return found[0]
    return min(found, key=lambda cure: cure.cost or 0.0)


def _helps(scenario: Scenario, change: Change, steps: int, kind: str) -> bool:
    return holds(change.apply(scenario, steps * change.step), kind)
