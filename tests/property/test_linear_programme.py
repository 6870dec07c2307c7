"""Our linear-programme solver against HiGHS, through scipy, on thousands of random cases."""

from __future__ import annotations

from collections import Counter

import numpy
import pytest
from scipy.optimize import linprog

from calculators.linear_programme import Limit, clashing_limits, minimise, nearest_bound, with_bound

STATUS = {0: "optimal", 2: "infeasible", 3: "unbounded"}


def highs(cost, limits, high):  # type: ignore[no-untyped-def]
    upper = [(1 if limit.relation == "<=" else -1, limit) for limit in limits if limit.relation != "="]
    equal = [limit for limit in limits if limit.relation == "="]
    return linprog(
        cost,
        A_ub=[[sign * c for c in limit.coefficients] for sign, limit in upper] or None,
        b_ub=[sign * limit.bound for sign, limit in upper] or None,
        A_eq=[limit.coefficients for limit in equal] or None, b_eq=[limit.bound for limit in equal] or None,
        bounds=[(0, most) for most in high], method="highs",
    )  # fmt: skip


def random_case(random, kind: int):  # type: ignore[no-untyped-def]
    size, rows = int(random.integers(1, 12)), int(random.integers(0, 14))
    matrix = random.normal(size=(rows, size)) * random.choice([1, 1, 0], size=(rows, size))
    if kind % 3 == 0:
        matrix = matrix * 10.0 ** random.uniform(-3, 4, size=(rows, 1))  # rows as unlike as C:N and kilograms
    relations = random.choice(["<=", ">=", "="], p=[0.55, 0.35, 0.1], size=rows)
    bounds = random.normal(size=rows) * random.choice([1, 10, 0], size=rows) * (1 if kind % 3 else 100)
    cost = random.normal(size=size) if kind % 2 else random.uniform(0, 5, size=size)
    high = [None if random.random() < 0.5 else float(random.uniform(0, 20)) for _ in range(size)]
    limits = [Limit(f"limit {i}", tuple(map(float, matrix[i])), str(relations[i]), float(bounds[i])) for i in range(rows)]
    return list(map(float, cost)), limits, high


def within(limits, values, high) -> bool:  # type: ignore[no-untyped-def]
    for limit in limits:
        size = sum(abs(c * x) for c, x in zip(limit.coefficients, values, strict=True)) + abs(limit.bound) + 1
        gap = sum(c * x for c, x in zip(limit.coefficients, values, strict=True)) - limit.bound
        if (limit.relation != ">=" and gap > 1e-7 * size) or (limit.relation != "<=" and gap < -1e-7 * size):
            return False
    return all(x >= -1e-9 and (most is None or x <= most + 1e-7) for x, most in zip(values, high, strict=True))


def test_thousands_of_random_cases() -> None:
    random = numpy.random.default_rng(1)
    seen: Counter[str] = Counter()
    for kind in range(3_500):
        cost, limits, high = random_case(random, kind)
        ours, theirs = minimise(cost, limits, None, high), highs(cost, limits, high)
        assert theirs.status in STATUS, theirs.message
        assert ours.status == STATUS[theirs.status], kind
        seen[ours.status] += 1
        if ours.values is not None:
            assert ours.objective == pytest.approx(theirs.fun, rel=1e-7, abs=1e-7), kind
            assert within(limits, ours.values, high), kind
    assert min(seen[status] for status in STATUS.values()) > 200, seen


def test_clashes_are_small_and_real() -> None:
    """The limits named can't all be met; take any one away and they can. Where one must lie is what scipy finds too."""
    random = numpy.random.default_rng(2)
    found = 0
    for kind in range(1_200):
        _, limits, high = random_case(random, kind)
        if minimise([0.0] * len(high), limits, None, high).status != "infeasible":
            continue
        names = clashing_limits(limits, None, high)
        named = [limit for limit in limits if limit.name in names]
        if not named:
            continue
        found += 1
        nothing = [0.0] * len(high)
        assert highs(nothing, named, high).status == 2
        for limit in named:
            assert highs(nothing, [other for other in named if other is not limit], high).status in (0, 3)
        bound = nearest_bound(named, named[0].name, None, high)
        if bound is not None and abs(bound) < 1e6:  # beyond, HiGHS' own tolerance decides
            slack = 1e-6 * (1 + abs(bound)) * {"<=": 1, ">=": -1, "=": 0}[named[0].relation]
            assert highs(nothing, with_bound(named, named[0].name, bound + slack), high).status == 0
    assert found > 150


def test_degenerate_and_cycling() -> None:
    """Beale's example (1955), on which the plain rule cycles for ever: its optimum is −1/20."""
    limits = [
        Limit("a", (0.25, -60, -1 / 25, 9), "<=", 0), Limit("b", (0.5, -90, -1 / 50, 3), "<=", 0), Limit("c", (0, 0, 1, 0), "<=", 1),
    ]  # fmt: skip
    assert minimise([-0.75, 150, -0.02, 6], limits).objective == pytest.approx(-0.05)


@pytest.mark.parametrize("bad", [
    lambda: minimise([1.0], [Limit("x", (1.0, 2.0), "<=", 1.0)]),
    lambda: minimise([float("nan")], []),
    lambda: minimise([1.0], [Limit("x", (1.0,), "<=", float("inf"))]),
    lambda: minimise([1.0], [], [2.0], [1.0]),
    lambda: minimise([1.0], [Limit("x", (1.0,), "<", 1.0)]),  # type: ignore[arg-type]
])  # fmt: skip
def test_bad_figures_are_named(bad) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ValueError, match=r"limit|cost|variable|costs"):
        bad()
