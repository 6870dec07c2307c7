"""A small, dependable linear-programme solver for cheapest mixes: a few variables, a few dozen limits.

A mix has at most some forty ingredients, and a planner may be on a phone. Of the general solvers in Pyodide's
package list, scipy and highspy, each needs numpy besides and each is compiled code; the list gives no sizes,
but the scipy wheel alone is about 12 MB (11.65 MB for scipy 1.9.3, by Pyodide's pull request 3384 of 2022),
more than twice all that the runtime otherwise sends (4.5 MB compressed). So this is the two-phase simplex
method on a dense table (Dantzig, Linear Programming and Extensions, 1963, from memory), with the rule of
Bland (Mathematics of Operations Research 2 (1977) 103-107, from memory) against going round in circles.

What makes it dependable with rows as unlike as C:N and kilograms:

* rows and columns are scaled by powers of two, which loses no digit;
* the values of the last table are not believed: they are worked out anew from the limits that are touched,
  with exact residuals, and held against every limit. Values that don't pass raise ``ArithmeticError``; they
  are not handed out.

The tests hold it against scipy's HiGHS on thousands of random cases, infeasible and unbounded ones included.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

TINY = 1e-9
"""Below this a coefficient of the scaled table counts as zero in the choice of a row: a figure carries some
16 digits, and a few dozen steps cost it four or five of them, so that what is left below 1e-9 may be
rounding."""
GAIN = 1e-12
"""A cost, scaled to a largest of 1, that falls by less than this for a unit counts as falling no more. It is
smaller than ``TINY`` so that a price that only breaks ties is still heeded beside a large one; to be trusted
so far down, the costs are worked out anew from the table before a gain smaller than ``TINY`` is believed."""
FEASIBLE = 1e-9
"""A limit counts as met when it is missed by no more than this share of the sizes of its own terms (one unit
of the variable with the largest coefficient among them). Of its own: a limit of 100 t must not make a miss of
1 g invisible."""
DROPPED = 1e-7
"""A row all of whose coefficients are below this, after the others are taken out of it, repeats them."""
DANTZIG_STEPS = 300
"""Steps taken by largest gain, which is quick, before going over to the slow rule that can't cycle."""
MOST_STEPS = 5_000
"""Steps before giving up. Forty variables and eighty limits have needed fewer than 400."""
SCALING_ROUNDS = 4
"""Rounds of scaling rows and columns in turn; more change nothing to speak of."""

ILL = "the linear programme is too ill-conditioned"
Relation = Literal["<=", ">=", "="]
Status = Literal["optimal", "infeasible", "unbounded"]


@dataclass(frozen=True)
class Limit:
    """``coefficients · x  relation  bound``, with a name for the reader."""

    name: str
    coefficients: tuple[float, ...]
    relation: Relation
    bound: float


@dataclass(frozen=True)
class Solution:
    """What was found. ``slack`` is, by limit, how far the bound is from being touched (never negative).

    ``values`` and ``objective`` are ``None`` and ``slack`` is empty unless ``status`` is "optimal".
    """

    status: Status
    values: tuple[float, ...] | None
    objective: float | None
    slack: dict[str, float]
    iterations: int


def minimise(cost: Sequence[float], limits: Sequence[Limit], low: Sequence[float] | None = None,
             high: Sequence[float | None] | None = None) -> Solution:  # fmt: skip
    """The values of least cost within all limits, each variable between ``low`` (0) and ``high`` (no end).

    Costs, bounds and coefficients may have any units that fit together. Raises ``ValueError``, naming what is
    wrong, for figures that are not finite or don't fit together; ``ArithmeticError`` if the steps don't come
    to an end or the values found don't meet the limits (no case of the tests does either).
    """
    lows, highs = _checked(cost, limits, low, high)
    table = _Table(cost, limits, lows, highs)
    status = table.run()
    if status != "optimal":
        return Solution(status, None, None, {}, table.steps)
    found = [value + least for value, least in zip(table.values(), lows, strict=True)]
    # adding the lowest value may round past a bound by a last digit
    found = [x if most is None else min(x, most) for x, most in zip(found, highs, strict=True)]
    slack = {}
    for limit in limits:
        gap = limit.bound - _dot(limit.coefficients, found)
        slack[limit.name] = {"<=": max(0.0, gap), ">=": max(0.0, -gap), "=": 0.0}[limit.relation]
    return Solution("optimal", tuple(found), _dot(cost, found), slack, table.steps)


def clashing_limits(limits: Sequence[Limit], low: Sequence[float] | None = None,
                    high: Sequence[float | None] | None = None,
                    variables: Sequence[str] | None = None) -> list[str]:  # fmt: skip
    """A small set of limits, by name, that can't all be met: take any one of them away and the rest can.

    With names for the ``variables``, their lowest and highest values may be named too, as "least of NAME" and
    "most of NAME" (without, they are taken as given). A lowest value above 0 is taken away by letting the
    variable go down to 0. Empty when all can be met. Found by leaving out one limit after the other, in the
    order given ("deletion filter": Chinneck and Dravnieks, ORSA Journal on Computing 3 (1991) 157-168, from
    memory). Raises as ``minimise``.
    """
    size = len(limits[0].coefficients) if limits else 0
    lows, highs = _checked([0.0] * size, limits, low, high) if limits else ([], [])
    if variables is not None and limits and len(variables) != size:
        raise ValueError(f"{len(variables)} names for {size} variables")
    # a limit is told by its place; a bound by the place of its variable
    everything = [("limit", place) for place in range(len(limits))]
    if variables is not None:
        everything += [("least", place) for place, least in enumerate(lows) if least > 0]
        everything += [("most", place) for place, most in enumerate(highs) if most is not None]

    def only(kept: Sequence[tuple[str, int]]) -> _Table:
        """The problem with no more than these limits and bounds."""
        held = set(kept)
        some = [limit for place, limit in enumerate(limits) if ("limit", place) in held]
        if variables is None:
            return _Table([0.0] * size, some, lows, highs)
        down = [least if ("least", place) in held else min(least, 0.0) for place, least in enumerate(lows)]
        up = [most if ("most", place) in held else None for place, most in enumerate(highs)]
        return _Table([0.0] * size, some, down, up)

    whole = only(everything)
    if not limits or whole.run() != "infeasible":
        return []
    # the rows that the last table of the first phase leans on clash already, if not always as few as can be
    blamed = whole.blamed()
    places = {place for kind, place in blamed if kind == "limit"}
    touched = {place for place in range(size) if any(limits[each].coefficients[place] for each in places)}
    kept = [each for each in everything if each in blamed or each[0] == "least" and each[1] in touched]
    if only(kept).run() != "infeasible":
        kept = everything
    for each in list(kept):
        without = [other for other in kept if other != each]
        if only(without).run() == "infeasible":
            kept = without
    names = variables or ()
    return [limits[place].name if kind == "limit" else f"{kind} of {names[place]}" for kind, place in kept]


def nearest_bound(limits: Sequence[Limit], name: str, low: Sequence[float] | None = None,
                  high: Sequence[float | None] | None = None) -> float | None:  # fmt: skip
    """The bound nearest the one asked at which the limit ``name`` can be met with all the others kept.

    That is the bound asked where it can be met as it is. ``None`` when the others can't be met among
    themselves. For an equality the nearest on either side. Raises as ``minimise``, and ``ValueError`` for a
    name that no limit has.
    """
    wanted = next((limit for limit in limits if limit.name == name), None)
    if wanted is None:
        raise ValueError(f"no limit is named {name!r}")
    others = [limit for limit in limits if limit is not wanted]
    nearest = wanted.bound
    # how low, and how high, the left side can go; an end that doesn't exist sets no bound
    for sign in (1.0, -1.0):
        if wanted.relation != {1.0: ">=", -1.0: "<="}[sign]:
            found = minimise([sign * c for c in wanted.coefficients], others, low, high)
            if found.status == "infeasible":
                return None
            if found.objective is not None:
                nearest = max(nearest, found.objective) if sign > 0 else min(nearest, -found.objective)
    return nearest


def with_bound(limits: Sequence[Limit], name: str, bound: float) -> list[Limit]:
    """The same limits with another bound for one of them."""
    return [replace(limit, bound=bound) if limit.name == name else limit for limit in limits]


def _checked(cost: Sequence[float], limits: Sequence[Limit], low: Sequence[float] | None,
             high: Sequence[float | None] | None) -> tuple[list[float], list[float | None]]:  # fmt: skip
    """The lowest and highest values, once everything is found to fit together."""
    size = len(cost)
    lows = [0.0] * size if low is None else [float(item) for item in low]
    given = [None] * size if high is None else high
    highs = [None if item is None else float(item) for item in given]
    for what, items in (("lowest", lows), ("highest", highs)):
        if len(items) != size:
            raise ValueError(f"{len(items)} {what} values for {size} variables")
    names: set[str] = set()
    for limit in limits:
        if limit.name in names:
            raise ValueError(f"two limits are named {limit.name!r}")
        names.add(limit.name)
        if len(limit.coefficients) != size:
            held = len(limit.coefficients)
            raise ValueError(f"limit {limit.name!r} has {held} coefficients for {size} variables")
        if limit.relation not in ("<=", ">=", "="):
            raise ValueError(f"limit {limit.name!r} has relation {limit.relation!r}")
        if not all(math.isfinite(item) for item in (*limit.coefficients, limit.bound)):
            raise ValueError(f"limit {limit.name!r} has a figure that is not finite")
    for place, (price, least, most) in enumerate(zip(cost, lows, highs, strict=True)):
        if not math.isfinite(price):
            raise ValueError(f"the cost of variable {place} is not finite: {price}")
        if not math.isfinite(least):
            raise ValueError(f"the lowest value of variable {place} is not finite: {least}")
        if most is not None and not math.isfinite(most):
            raise ValueError(f"the highest value of variable {place} is {most}; None stands for no end")
        if most is not None and most < least:
            raise ValueError(f"variable {place} may be at most {most}, below its lowest value {least}")
    return lows, highs


def _dot(left: Sequence[float], right: Sequence[float]) -> float:
    return math.fsum(a * b for a, b in zip(left, right, strict=True))


def _power_of_two(value: float) -> float:
    """The power of two nearest by ratio; multiplying by it rounds nothing."""
    return 2.0 ** round(math.log2(value))


@dataclass
class _Row:
    """A limit, or the highest value of a variable, over variables counted from their lowest values."""

    origin: tuple[str, int]
    coefficients: list[float]
    relation: Relation
    bound: float
    size: float
    """What the row is measured by, before the terms of the values found are added: see ``FEASIBLE``."""
    own: tuple[int, ...] = ()
    """The columns of the table that belong to this row alone: its slack, its artificial variable."""

    def multiply(self, factor: float) -> None:
        self.coefficients = [factor * c for c in self.coefficients]
        self.bound *= factor
        self.size *= abs(factor)

    def missed(self, values: Sequence[float]) -> bool:
        """Whether these values miss the row by more than rounding."""
        terms = [c * x for c, x in zip(self.coefficients, values, strict=True)]
        over = math.fsum([*terms, -self.bound])
        by = {"<=": over, ">=": -over, "=": abs(over)}[self.relation]
        return by > FEASIBLE * (self.size + math.fsum(map(abs, terms)))


class _Table:
    """The simplex table: one row per limit, one column per variable, slack and artificial, and the right
    side.

    ``rows`` holds the limits as they were (scaled), ``table`` what the steps make of them.
    """

    def __init__(self, cost: Sequence[float], limits: Sequence[Limit], lows: Sequence[float],
                 highs: Sequence[float | None]) -> None:  # fmt: skip
        self.count = len(cost)
        self.steps = 0
        self.repeating: set[int] = set()  # artificial variables of the rows that repeat others
        self.rows: list[_Row] = []
        for place, limit in enumerate(limits):
            shifts = [c * least for c, least in zip(limit.coefficients, lows, strict=True)]
            size = max(map(abs, limit.coefficients), default=0.0) or 1.0
            size += abs(limit.bound) + math.fsum(map(abs, shifts))
            bound = math.fsum([limit.bound, *(-shift for shift in shifts)])
            self.rows.append(_Row(("limit", place), list(limit.coefficients), limit.relation, bound, size))
        for place, (least, most) in enumerate(zip(lows, highs, strict=True)):
            if most is not None:
                unit = [1.0 if column == place else 0.0 for column in range(self.count)]
                size = 1.0 + abs(most) + abs(least)
                self.rows.append(_Row(("most", place), unit, "<=", most - least, size))
        self._scale()
        self._lay_out()
        scaled = [c * s for c, s in zip(cost, self.scales, strict=True)]
        largest = max(map(abs, scaled), default=0.0) or 1.0
        self.cost = [c / largest for c in scaled] + [0.0] * (self.width - self.count)

    def _scale(self) -> None:
        """Bring the coefficients of each row and each column near 1. A variable is its column's scale times
        as large."""
        self.scales = [1.0] * self.count
        for _ in range(SCALING_ROUNDS):
            for row in self.rows:
                sizes = [abs(c) for c in row.coefficients if c]
                if sizes:
                    row.multiply(_power_of_two(1.0 / (math.sqrt(min(sizes)) * math.sqrt(max(sizes)))))
            for column in range(self.count):
                sizes = [abs(row.coefficients[column]) for row in self.rows if row.coefficients[column]]
                if sizes:
                    factor = _power_of_two(1.0 / (math.sqrt(min(sizes)) * math.sqrt(max(sizes))))
                    self.scales[column] *= factor
                    for row in self.rows:
                        row.coefficients[column] *= factor
        for row in self.rows:
            largest = max(map(abs, row.coefficients), default=0.0)
            if largest:
                row.multiply(_power_of_two(1.0 / largest))

    def _lay_out(self) -> None:
        """Give each row its slack and, where that can't begin in the basis, an artificial variable."""
        for row in self.rows:
            if row.bound < 0 or row.bound == 0 and row.relation == ">=":
                row.multiply(-1.0)
                turned: dict[Relation, Relation] = {"<=": ">=", ">=": "<=", "=": "="}
                row.relation = turned[row.relation]
        self.real = self.count + sum(row.relation != "=" for row in self.rows)
        self.width = self.real + sum(row.relation != "<=" for row in self.rows)
        self.table: list[list[float]] = []
        self.basis: list[int] = []
        slack, artificial = self.count, self.real
        for row in self.rows:
            line = row.coefficients + [0.0] * (self.width - self.count) + [row.bound]
            own = []
            if row.relation != "=":
                line[slack] = 1.0 if row.relation == "<=" else -1.0
                own.append(slack)
                slack += 1
            if row.relation != "<=":
                line[artificial] = 1.0
                own.append(artificial)
                artificial += 1
            row.own = tuple(own)
            self.basis.append(own[-1])
            self.table.append(line)

    def run(self) -> Status:
        if self.width > self.real:
            self.first = [0.0] * self.real + [1.0] * (self.width - self.real)
            self._descend(self.first, self.width)
            values = self._touching()
            held = set(self.basis)
            waiting = [row for row in self.rows if row.own[-1] >= self.real and row.own[-1] in held]
            if any(row.missed(values) for row in waiting):
                return "infeasible"
            for row in waiting:
                # what it is missed by is no more than rounding; from here on it is wider by that, so that all
                # the limits can be met at once: else the miss would turn up, perhaps larger, at another limit
                row.bound = _dot(row.coefficients, values)
            self._drive_out()
        if not self._descend(self.cost, self.real):
            return "unbounded"
        values = self._touching()
        if any(row.missed(values) for row in self.rows):
            raise ArithmeticError(f"{ILL}: the values found don't meet its limits")
        return "optimal"

    def values(self) -> list[float]:
        """The variables, counted from their lowest values, in their own units."""
        return [value * scale for value, scale in zip(self._touching(), self.scales, strict=True)]

    def blamed(self) -> set[tuple[str, int]]:
        """After "infeasible": the rows whose weighted sum says that something negative is positive."""
        priced = self._priced(self.first)
        weights = [priced[row.own[0]] - self.first[row.own[0]] for row in self.rows]
        return {row.origin for row, weight in zip(self.rows, weights, strict=True) if abs(weight) > TINY}

    def _touching(self) -> list[float]:
        """The scaled variables of the present basis, from the rows that it makes touch, to the last digit."""
        # a row with its slack or artificial variable in the basis need not touch, nor one that repeats others
        held = set(self.basis) | self.repeating
        free = sorted(column for column in held if column < self.count)
        touched = [row for row in self.rows if held.isdisjoint(row.own)]
        values = [0.0] * self.count
        matrix = [[row.coefficients[column] for column in free] for row in touched]
        solved = _solved(matrix, [row.bound for row in touched])
        for column, value in zip(free, solved, strict=True):
            values[column] = max(value, 0.0)  # below 0 by rounding only, or it will miss a limit
        return values

    def _priced(self, cost: Sequence[float]) -> list[float]:
        """By how much a unit of each column would raise the cost, worked out anew from the table."""
        priced = list(cost)
        for line, basic in zip(self.table, self.basis, strict=True):
            weight = cost[basic]
            if weight:
                for column, item in enumerate(line[:-1]):
                    if item:
                        priced[column] -= weight * item
        return priced

    def _descend(self, cost: Sequence[float], columns: int) -> bool:
        """Step until no column lowers the cost. False if the cost falls without end."""
        begun = self.steps
        priced, fresh = self._priced(cost), True
        while True:
            careful = self.steps - begun > DANTZIG_STEPS
            entering, best = -1, -GAIN
            for column in range(columns):
                if priced[column] < best:
                    entering, best = column, priced[column]
                    if careful:
                        break  # Bland: the first column that helps
            leaving = self._leaving(entering, careful) if entering >= 0 else -1
            if not fresh and (leaving < 0 or best > -TINY):
                # an end, or a gain so small that rounding may have made it, is judged by fresh figures
                priced, fresh = self._priced(cost), True
                continue
            if entering < 0:
                return True
            if leaving < 0:
                return False
            self._step(leaving, entering, priced)
            fresh = False

    def _leaving(self, entering: int, careful: bool) -> int:
        """The row that stops the entering variable first; of several, the one with the largest coefficient,
        which rounds least (Bland: the one whose variable comes first)."""
        stopping = [place for place, line in enumerate(self.table) if line[entering] > TINY]
        ratios = [(self.table[place][-1] / self.table[place][entering], place) for place in stopping]
        if not ratios:
            return -1
        least = min(ratios)[0]
        tied = [place for ratio, place in ratios if ratio <= least + 1e-12 * (1.0 + abs(least))]
        if careful:
            return min(tied, key=lambda place: self.basis[place])
        return max(tied, key=lambda place: self.table[place][entering])

    def _step(self, leaving: int, entering: int, priced: list[float] | None) -> None:
        """Let the entering variable take the leaving one's place in the basis."""
        self.steps += 1
        if self.steps > MOST_STEPS:
            raise ArithmeticError(f"the linear programme did not come to an end in {MOST_STEPS} steps")
        pivot = self.table[leaving][entering]
        line = [item / pivot for item in self.table[leaving]]
        line[entering] = 1.0
        self.table[leaving] = line
        self.basis[leaving] = entering
        filled = [(column, item) for column, item in enumerate(line) if item]
        for place, other in enumerate(self.table):
            weight = other[entering]
            if weight and place != leaving:
                for column, item in filled:
                    other[column] -= weight * item
                other[entering] = 0.0
                # below 0 by rounding only, as the leaving row was the first to stop the entering variable
                other[-1] = max(other[-1], 0.0)
        if priced is not None:
            weight = priced[entering]
            for column, item in filled:
                if column < self.width:
                    priced[column] -= weight * item
            priced[entering] = 0.0

    def _drive_out(self) -> None:
        """Take artificial variables out of the basis; a row that then says nothing is dropped."""
        for place, line in enumerate(self.table):
            if self.basis[place] >= self.real:
                line[-1] = 0.0  # it was found to be no more than rounding
                column = max(range(self.real), key=lambda each: abs(line[each]), default=-1)
                if column >= 0 and abs(line[column]) > DROPPED:
                    self._step(place, column, None)
        self.repeating = {basic for basic in self.basis if basic >= self.real}
        kept = [place for place, basic in enumerate(self.basis) if basic < self.real]
        self.table = [self.table[place] for place in kept]
        self.basis = [self.basis[place] for place in kept]


def _solved(matrix: list[list[float]], right: Sequence[float]) -> list[float]:
    """Solve a square system to the last digit: elimination, then corrections from exact residuals.

    Raises ``ArithmeticError`` if the system has no single solution.
    """
    size = len(right)
    if any(len(line) != size for line in matrix) or len(matrix) != size:
        raise ArithmeticError(f"{ILL}: its basis has lost a row")
    work = [list(line) for line in matrix]
    order = list(range(size))
    for step in range(size):
        pivot = max(range(step, size), key=lambda place: abs(work[place][step]))
        if work[pivot][step] == 0.0:
            raise ArithmeticError(f"{ILL}: its basis has no single solution")
        work[step], work[pivot] = work[pivot], work[step]
        order[step], order[pivot] = order[pivot], order[step]
        for place in range(step + 1, size):
            if work[place][step]:
                factor = work[place][step] = work[place][step] / work[step][step]
                for column in range(step + 1, size):
                    work[place][column] -= factor * work[step][column]
    exact = [[(column, Fraction(item)) for column, item in enumerate(line) if item] for line in matrix]
    found = [Fraction(0)] * size
    for _ in range(8):
        residual = [
            float(Fraction(bound) - sum((item * found[column] for column, item in line), Fraction(0)))
            for bound, line in zip(right, exact, strict=True)
        ]
        change = [residual[place] for place in order]
        for place in range(size):
            change[place] -= math.fsum(work[place][column] * change[column] for column in range(place))
        for place in reversed(range(size)):
            later = range(place + 1, size)
            change[place] -= math.fsum(work[place][column] * change[column] for column in later)
            change[place] /= work[place][place]
        found = [value + Fraction(item) for value, item in zip(found, change, strict=True)]
        if all(abs(item) <= 1e-17 * abs(value) for item, value in zip(change, found, strict=True)):
            break
    return [float(value) for value in found]
