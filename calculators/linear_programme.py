"""A small, dependable linear-programme solver for cheapest mixes: a few variables, a few dozen limits.

A general solver for the browser would bring numpy and scipy with it, many megabytes for a planner on a phone; a mix has
at most some forty ingredients. This is the two-phase simplex method on a dense table (Dantzig 1963; anti-cycling rule
of Bland, Mathematics of Operations Research 2 (1977) 103-107). The tests hold it against scipy's HiGHS on thousands of
random cases, infeasible and unbounded ones included.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

TINY = 1e-9
"""Below this a scaled coefficient or reduced cost counts as zero: rows are scaled to a largest coefficient of 1."""
GAIN = 1e-12
"""A cost, scaled to a largest of 1, that falls by less than this for a unit counts as falling no more. It is smaller
than ``TINY`` so that a price that only breaks ties is still heeded beside a large one."""
FEASIBLE = 1e-8
"""Left-over infeasibility, on scaled rows, that still counts as none."""
DANTZIG_STEPS = 300
"""Steps taken by largest gain before going over to the rule that can't cycle."""
MOST_STEPS = 20_000

Status = Literal["optimal", "infeasible", "unbounded"]


@dataclass(frozen=True)
class Limit:
    """``coefficients · x  relation  bound``, with a name for the reader."""

    name: str
    coefficients: tuple[float, ...]
    relation: Literal["<=", ">=", "="]
    bound: float


@dataclass(frozen=True)
class Solution:
    """What was found. ``slack`` is, by limit, how far the bound is from being touched (never negative)."""

    status: Status
    values: tuple[float, ...] | None
    objective: float | None
    slack: dict[str, float]
    iterations: int


def _checked(cost: Sequence[float], limits: Sequence[Limit], low: Sequence[float] | None,
             high: Sequence[float | None] | None) -> tuple[list[float], list[float | None]]:  # fmt: skip
    size = len(cost)
    lows = [0.0] * size if low is None else [float(item) for item in low]
    highs: list[float | None] = [None] * size if high is None else list(high)
    if len(lows) != size or len(highs) != size:
        raise ValueError(f"{size} costs need as many lowest and highest values")
    for limit in limits:
        if len(limit.coefficients) != size:
            raise ValueError(f"limit {limit.name!r} has {len(limit.coefficients)} coefficients for {size} variables")
        if limit.relation not in ("<=", ">=", "="):
            raise ValueError(f"limit {limit.name!r} has relation {limit.relation!r}")
        if not all(math.isfinite(item) for item in (*limit.coefficients, limit.bound)):
            raise ValueError(f"limit {limit.name!r} has a figure that is not finite")
    if not all(math.isfinite(item) for item in (*cost, *lows)):
        raise ValueError("a cost or a lowest value is not finite")
    for index, (least, most) in enumerate(zip(lows, highs, strict=True)):
        if most is not None and (not math.isfinite(most) or most < least):
            raise ValueError(f"variable {index} may be at most {most}, below its lowest value {least}")
    return lows, highs


def minimise(cost: Sequence[float], limits: Sequence[Limit], low: Sequence[float] | None = None,
             high: Sequence[float | None] | None = None) -> Solution:  # fmt: skip
    """The values of least cost within all limits, each variable between ``low`` (0) and ``high`` (no end).

    Raises ``ValueError`` for figures that don't fit together, ``ArithmeticError`` if the steps don't come to an end.
    """
    lows, highs = _checked(cost, limits, low, high)
    size = len(cost)
    # variables are counted from their lowest value; a highest value becomes one more row
    rows: list[tuple[list[float], str, float]] = []
    for limit in limits:
        shift = math.fsum(c * least for c, least in zip(limit.coefficients, lows, strict=True))
        rows.append((list(limit.coefficients), limit.relation, limit.bound - shift))
    for index, most in enumerate(highs):
        if most is not None:
            rows.append(([1.0 if column == index else 0.0 for column in range(size)], "<=", most - lows[index]))
    # columns are scaled too, so that kilograms of leaves and of food weigh alike in the tolerances
    column_scale = [1.0] * size
    for column in range(size):
        largest = max((abs(row[0][column]) / (max(map(abs, row[0]), default=0.0) or 1.0) for row in rows), default=0.0)
        column_scale[column] = 1.0 / largest if largest > 0 else 1.0
    table = _Table(size, rows, column_scale, list(cost))
    status = table.run()
    if status != "optimal":
        return Solution(status, None, None, {}, table.steps)
    found = [value * scale + least for value, scale, least in zip(table.values(), column_scale, lows, strict=True)]
    slack = {}
    for limit in limits:
        reached = math.fsum(c * x for c, x in zip(limit.coefficients, found, strict=True))
        gap = limit.bound - reached if limit.relation == "<=" else reached - limit.bound
        slack[limit.name] = 0.0 if limit.relation == "=" else max(gap, 0.0)
    objective = math.fsum(c * x for c, x in zip(cost, found, strict=True))
    return Solution("optimal", tuple(found), objective, slack, table.steps)


class _Table:
    """The simplex table: one row per limit, one column per variable, slack and artificial, and the right side."""

    def __init__(self, size: int, rows: list[tuple[list[float], str, float]], column_scale: list[float],
                 cost: list[float]) -> None:  # fmt: skip
        self.size = size
        self.steps = 0
        prepared = []
        for coefficients, relation, bound in rows:
            scaled = [c * s for c, s in zip(coefficients, column_scale, strict=True)]
            largest = max(map(abs, scaled), default=0.0) or 1.0
            scaled = [c / largest for c in scaled]
            bound /= largest
            if bound < 0:
                scaled, bound = [-c for c in scaled], -bound
                relation = {"<=": ">=", ">=": "<=", "=": "="}[relation]
            prepared.append((scaled, relation, bound))
        slacks = sum(relation != "=" for _, relation, _ in prepared)
        artificials = sum(relation != "<=" for _, relation, _ in prepared)
        self.real = size + slacks
        width = self.real + artificials + 1
        self.rows: list[list[float]] = []
        self.basis: list[int] = []
        next_slack, next_artificial = size, self.real
        for scaled, relation, bound in prepared:
            row = scaled + [0.0] * (width - size)
            row[-1] = bound
            if relation == "<=":
                row[next_slack] = 1.0
                self.basis.append(next_slack)
                next_slack += 1
            else:
                if relation == ">=":
                    row[next_slack] = -1.0
                    next_slack += 1
                row[next_artificial] = 1.0
                self.basis.append(next_artificial)
                next_artificial += 1
            self.rows.append(row)
        largest_cost = max((abs(c * s) for c, s in zip(cost, column_scale, strict=True)), default=0.0) or 1.0
        self.cost = [c * s / largest_cost for c, s in zip(cost, column_scale, strict=True)] + [0.0] * (width - size)
        self.width = width

    def run(self) -> Status:
        if self.width - 1 > self.real:
            wanted = [0.0] * self.real + [1.0] * (self.width - 1 - self.real) + [0.0]
            self._descend(self._priced(wanted), self.width - 1)
            left = math.fsum(row[-1] for row, basic in zip(self.rows, self.basis, strict=True) if basic >= self.real)
            scale = max((row[-1] for row in self.rows), default=0.0)
            if left > FEASIBLE * max(1.0, scale):
                return "infeasible"
            self._drive_out()
        return "optimal" if self._descend(self._priced(self.cost), self.real) else "unbounded"

    def values(self) -> list[float]:
        found = [0.0] * self.size
        for row, basic in zip(self.rows, self.basis, strict=True):
            if basic < self.size:
                found[basic] = max(row[-1], 0.0)
        return found

    def _priced(self, cost: list[float]) -> list[float]:
        """The row of reduced costs for the present basis."""
        priced = list(cost)
        for row, basic in zip(self.rows, self.basis, strict=True):
            weight = cost[basic]
            if weight:
                for column in range(self.width):
                    priced[column] -= weight * row[column]
        return priced

    def _descend(self, priced: list[float], columns: int) -> bool:
        """Pivot until no column lowers the cost. False if the cost falls without end."""
        begun = self.steps
        while True:
            careful = self.steps - begun > DANTZIG_STEPS
            entering = -1
            best = -GAIN
            for column in range(columns):
                if priced[column] < best:
                    entering = column
                    if careful:
                        break  # Bland: the first column that helps
                    best = priced[column]
            if entering < 0:
                return True
            leaving = self._leaving(entering)
            if leaving < 0:
                return False
            self._pivot(leaving, entering, priced)

    def _leaving(self, entering: int) -> int:
        leaving, least = -1, math.inf
        for index, row in enumerate(self.rows):
            if row[entering] > TINY:
                ratio = row[-1] / row[entering]
                tie = abs(ratio - least) <= TINY * max(1.0, abs(least)) if leaving >= 0 else False
                if ratio < least and not tie or tie and self.basis[index] < self.basis[leaving]:
                    leaving, least = index, ratio
        return leaving

    def _pivot(self, leaving: int, entering: int, priced: list[float] | None) -> None:
        self.steps += 1
        if self.steps > MOST_STEPS:
            raise ArithmeticError("the linear programme did not come to an end")
        row = self.rows[leaving]
        pivot = row[entering]
        row = [item / pivot for item in row]
        row[entering] = 1.0
        self.rows[leaving] = row
        self.basis[leaving] = entering
        others = [other for index, other in enumerate(self.rows) if index != leaving]
        if priced is not None:
            others.append(priced)
        for other in others:
            weight = other[entering]
            if weight:
                for column, item in enumerate(row):
                    if item:
                        other[column] -= weight * item
                other[entering] = 0.0
        for index, other in enumerate(self.rows):
            if -TINY < other[-1] < 0:
                self.rows[index][-1] = 0.0

    def _drive_out(self) -> None:
        """Take artificial columns out of the basis; a row that then says nothing is dropped."""
        kept_rows, kept_basis = [], []
        for index in range(len(self.rows)):
            if self.basis[index] >= self.real:
                row = self.rows[index]
                column = max(range(self.real), key=lambda each: abs(row[each]), default=0)
                if self.real and abs(row[column]) > TINY:
                    self._pivot(index, column, None)
        for row, basic in zip(self.rows, self.basis, strict=True):
            if basic < self.real:
                kept_rows.append(row)
                kept_basis.append(basic)
        self.rows, self.basis = kept_rows, kept_basis


def clashing_limits(limits: Sequence[Limit], low: Sequence[float] | None = None,
                    high: Sequence[float | None] | None = None) -> list[str]:  # fmt: skip
    """A smallest set of limits, by name, that can't all be met: take any one away and the rest can.

    Found by leaving out one limit after the other. Empty when all can be met, or when the bounds alone decide.
    """
    size = len(limits[0].coefficients) if limits else 0
    nothing = [0.0] * size
    kept = list(limits)
    if not limits or minimise(nothing, kept, low, high).status != "infeasible":
        return []
    for limit in limits:
        without = [other for other in kept if other is not limit]
        if minimise(nothing, without, low, high).status == "infeasible":
            kept = without
    return [limit.name for limit in kept]


def nearest_bound(limits: Sequence[Limit], name: str, low: Sequence[float] | None = None,
                  high: Sequence[float | None] | None = None) -> float | None:  # fmt: skip
    """The bound nearest the one asked at which the limit ``name`` can be met with all the others kept.

    ``None`` when the others can't be met among themselves. For an equality the nearest on either side.
    """
    wanted = next(limit for limit in limits if limit.name == name)
    others = [limit for limit in limits if limit is not wanted]
    reached = []
    for sign in (1.0, -1.0) if wanted.relation == "=" else ((1.0,) if wanted.relation == "<=" else (-1.0,)):
        found = minimise([sign * c for c in wanted.coefficients], others, low, high)
        if found.status == "infeasible":
            return None
        reached.append(-math.inf * sign if found.objective is None else sign * found.objective)
    if wanted.relation == "<=":
        return max(wanted.bound, reached[0])
    if wanted.relation == ">=":
        return min(wanted.bound, reached[0])
    return min(max(wanted.bound, reached[0]), reached[1])


def with_bound(limits: Sequence[Limit], name: str, bound: float) -> list[Limit]:
    """The same limits with another bound for one of them."""
    return [replace(limit, bound=bound) if limit.name == name else limit for limit in limits]
