"""Our linear-programme solver against HiGHS, through scipy, on thousands of random cases.

The cases come in families, each with its own seed, so that a failure names the family and the number of its case.
HiGHS is asked for its strictest tolerances (1e-10, it takes no smaller) on rows divided by their largest coefficient:
left as they are, rows of 1e-3 and 1e5 are held to one absolute tolerance, and it calls some of them infeasible that
were made around a point within all limits.
"""

from __future__ import annotations

import random as plain_random
from collections import Counter
from collections.abc import Callable, Sequence

import numpy
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from calculators import linear_programme
from calculators.linear_programme import Limit, clashing_limits, minimise, nearest_bound, with_bound

STATUS = {0: "optimal", 2: "infeasible", 3: "unbounded"}
STRICT = {"dual_feasibility_tolerance": 1e-10, "primal_feasibility_tolerance": 1e-10}
Case = tuple[list[float], list[Limit], list[float], list[float | None]]


def highs(cost, limits: Sequence[Limit], low, high):  # type: ignore[no-untyped-def]
    """The same problem solved by HiGHS."""
    above: list[list[float]] = []
    above_bounds: list[float] = []
    equal: list[list[float]] = []
    equal_bounds: list[float] = []
    for limit in limits:
        largest = max(map(abs, limit.coefficients), default=0.0) or 1.0
        if limit.relation == "=":
            equal.append([c / largest for c in limit.coefficients])
            equal_bounds.append(limit.bound / largest)
        else:
            sign = 1 if limit.relation == "<=" else -1
            above.append([sign * c / largest for c in limit.coefficients])
            above_bounds.append(sign * limit.bound / largest)

    def solved(cost, **options):  # type: ignore[no-untyped-def]
        return linprog(
            cost, A_ub=above or None, b_ub=above_bounds or None, A_eq=equal or None, b_eq=equal_bounds or None,
            bounds=list(zip(low, high, strict=True)), method="highs", options={**STRICT, **options},
        )  # fmt: skip

    found = solved(cost)
    if found.status == 2 and any(cost) and solved([0.0] * len(cost)).status == 0:
        # its presolve now and then says "infeasible" of an unbounded problem: without a cost it finds a point
        return solved(cost, presolve=False)
    return found


def worst_miss(limits: Sequence[Limit], values, low, high) -> float:  # type: ignore[no-untyped-def]
    """By how much the worst-kept limit is missed, as a share of its own terms (and of one unit of its variables)."""
    worst = 0.0
    for limit in limits:
        terms = [c * x for c, x in zip(limit.coefficients, values, strict=True)]
        size = sum(map(abs, terms)) + abs(limit.bound) + max(map(abs, limit.coefficients), default=0.0)
        size += sum(abs(c * least) for c, least in zip(limit.coefficients, low, strict=True))
        over = sum(terms) - limit.bound
        worst = max(worst, {"<=": over, ">=": -over, "=": abs(over)}[limit.relation] / (size or 1.0))
    for value, least, most in zip(values, low, high, strict=True):
        worst = max(worst, (least - value) / (1 + abs(least)))
        worst = worst if most is None else max(worst, (value - most) / (1 + abs(most)))
    return worst


# ---- families of cases ------------------------------------------------------------------------------------------


def relation_of(random, equal: float) -> str:  # type: ignore[no-untyped-def]
    return str(random.choice(["<=", ">=", "="], p=[(1 - equal) * 0.55, (1 - equal) * 0.45, equal]))


def row(place: int, coefficients, relation: str, bound) -> Limit:  # type: ignore[no-untyped-def]
    return Limit(f"limit {place}", tuple(map(float, coefficients)), relation, float(bound))  # type: ignore[arg-type]


def anything(random) -> Case:  # type: ignore[no-untyped-def]
    """Figures as they fall: feasible, infeasible and unbounded mixed."""
    size, count = int(random.integers(1, 12)), int(random.integers(0, 14))
    matrix = random.normal(size=(count, size)) * random.choice([1, 1, 0], size=(count, size))
    bounds = random.normal(size=count) * random.choice([1, 10, 0], size=count)
    limits = [row(place, matrix[place], relation_of(random, 0.1), bounds[place]) for place in range(count)]
    high = [None if random.random() < 0.5 else float(random.uniform(0, 20)) for _ in range(size)]
    cost = random.normal(size=size) if random.random() < 0.5 else random.uniform(0, 5, size=size)
    return cost.tolist(), limits, [0.0] * size, high


def around_a_point(random) -> Case:  # type: ignore[no-untyped-def]
    """Limits made around a point, many of them touching it: never infeasible. Bounds below and above."""
    size, count = int(random.integers(2, 25)), int(random.integers(1, 40))
    point = random.uniform(0, 10, size) * (random.random(size) < 0.7)
    limits = []
    for place in range(count):
        coefficients = random.normal(size=size) * (random.random(size) < 0.6)
        relation = relation_of(random, 0.1)
        room = 0.0 if random.random() < 0.3 else float(abs(coefficients) @ point) * float(random.uniform(0, 0.5))
        room *= {"<=": 1, ">=": -1, "=": 0}[relation]
        limits.append(row(place, coefficients, relation, coefficients @ point + room))
    low = [float(x - random.choice([0, 1, x]) * random.uniform(0, 5)) if random.random() < 0.5 else 0.0 for x in point]
    high = [float(x + random.uniform(0, 5)) if random.random() < 0.5 else None for x in point]
    cost = random.normal(size=size) if random.random() < 0.3 else random.uniform(0, 5, size=size)
    return cost.tolist(), limits, low, high


def unlike_scales(random) -> Case:  # type: ignore[no-untyped-def]
    """The same in other units: each row times 1e-3 to 1e5, each variable in units of 1e-2 to 1e3."""
    cost, limits, low, high = around_a_point(random)
    units = 10.0 ** random.uniform(-2, 3, len(cost))
    scaled = []
    for place, limit in enumerate(limits):
        factor = 10.0 ** random.uniform(-3, 5)
        scaled.append(row(place, limit.coefficients * units * factor, limit.relation, limit.bound * factor))
    return (
        [float(c * u) for c, u in zip(cost, units, strict=True)], scaled,
        [float(x / u) for x, u in zip(low, units, strict=True)],
        [None if x is None else float(x / u) for x, u in zip(high, units, strict=True)],
    )  # fmt: skip


def degenerate(random) -> Case:  # type: ignore[no-untyped-def]
    """Small whole numbers, many limits through one point, limits that repeat or follow from others."""
    size, count = int(random.integers(2, 12)), int(random.integers(2, 24))
    matrix = random.integers(-2, 3, size=(count, size)).astype(float)
    if count > 4:
        matrix[count // 2], matrix[count // 2 + 1] = matrix[0], matrix[0] + matrix[1]
    point = random.integers(0, 3, size).astype(float)
    limits = []
    for place in range(count):
        relation = relation_of(random, 0.2)
        room = 0 if random.random() < 0.7 else {"<=": 1, ">=": -1, "=": 0}[relation]
        limits.append(row(place, matrix[place], relation, matrix[place] @ point + room))
    high = [float(x + random.integers(0, 3)) if random.random() < 0.4 else None for x in point]
    return random.integers(-2, 6, size).astype(float).tolist(), limits, [0.0] * size, high


def mix(random) -> Case:  # type: ignore[no-untyped-def]
    """A load of three wet streams and 2 to 40 ingredients and water, within C:N, moisture, density and supply."""
    size = int(random.integers(2, 41))
    moisture, carbon = random.uniform(0.05, 0.92, size), random.uniform(0.35, 0.52, size)
    nitrogen, density = 10 ** random.uniform(-3.3, -1.1, size), 10 ** random.uniform(1.8, 3, size)
    load, load_moisture = random.uniform(10, 5_000, 3), random.uniform(0.6, 0.9, 3)
    load_nitrogen = float((load * (1 - load_moisture) * 10 ** random.uniform(-2, -1.3, 3)).sum())
    load_carbon = float((load * (1 - load_moisture) * 0.45).sum())
    ratios, shares = sorted(random.uniform(15, 45, 2)), sorted(random.uniform(0.4, 0.7, 2))
    most_density = random.uniform(350, 800)
    limits = []
    for relation, ratio, share in zip((">=", "<="), ratios, shares, strict=True):
        by_dry = (1 - moisture) * (carbon - ratio * nitrogen)
        limits.append(row(len(limits), [*by_dry, 0.0], relation, ratio * load_nitrogen - load_carbon))
        wet = float((load * load_moisture).sum())
        limits.append(row(len(limits), [*(moisture - share), 1 - share], relation, share * load.sum() - wet))
    loose = most_density * load.sum() / 600
    limits.append(row(len(limits), [*(1 - most_density / density), 1.0], "<=", loose - load.sum()))
    high = [float(10 ** random.uniform(0, 4)) if random.random() < 0.7 else None for _ in range(size)]
    prices = random.uniform(0, 3, size) * (random.random(size) < 0.8) + 1e-6
    return [*map(float, prices), 1e-6], limits, [0.0] * (size + 1), [*high, None]


def large_beside_small(random) -> Case:  # type: ignore[no-untyped-def]
    """A bound of up to 1e8 beside one of 1e-4, which must not be lost in it."""
    cost, limits, low, high = anything(random)
    size = len(cost)
    limits = [*limits, Limit("large", (1.0,) * size, "<=", float(10.0 ** random.uniform(4, 8)))]
    place, least = int(random.integers(size)), float(10.0 ** random.uniform(-4, -1))
    alone = tuple(1.0 if column == place else 0.0 for column in range(size))
    limits.append(Limit("small at least", alone, ">=", least))
    if random.random() < 0.4:
        limits.append(Limit("small at most", alone, "<=", least / 2))
    return cost, limits, low, high


def full_size(random) -> Case:  # type: ignore[no-untyped-def]
    """40 variables and 80 limits, the most that is meant; four in ten with one more limit against one of them."""
    size, count = 40, 80
    point = random.uniform(0, 100, size) * (random.random(size) < 0.7)
    matrix = random.normal(size=(count, size)) * (random.random((count, size)) < 0.5)
    matrix *= 10.0 ** random.uniform(-2, 3, (count, 1))
    limits = []
    for place in range(count):
        relation = relation_of(random, 0.05)
        room = 0.0 if random.random() < 0.2 else float(abs(matrix[place]) @ point) * float(random.uniform(0, 0.5))
        room *= {"<=": 1, ">=": -1, "=": 0}[relation]
        limits.append(row(place, matrix[place], relation, matrix[place] @ point + room))
    if random.random() < 0.4:
        other = limits[int(random.integers(count))]
        far = abs(other.bound) / 10 + max(map(abs, other.coefficients))
        below = other.relation == ">="
        limits.append(Limit("against", other.coefficients, "<=" if below else ">=", other.bound + (-far if below else far)))
    high = [float(x + random.uniform(0, 50)) if random.random() < 0.5 else None for x in point]
    return random.uniform(0, 5, size).tolist(), limits, [0.0] * size, high


def endless(random) -> Case:  # type: ignore[no-untyped-def]
    """Around a point, with a direction that no limit stops and that pays: never anything but unbounded."""
    _, limits, low, _ = unlike_scales(random)
    size = len(low)
    direction = random.uniform(0, 1, size) * (random.random(size) < 0.6)
    direction[int(random.integers(size))] = 1.0
    open_limits = []
    for limit in limits:
        drift = float(numpy.dot(limit.coefficients, direction))
        # take the part along the direction out of the row where it would stop it
        if limit.relation == "=" or (drift > 0) == (limit.relation == "<="):
            continue
        open_limits.append(limit)
    cost = random.uniform(0, 1, size)
    cost -= direction * (float(cost @ direction) + random.uniform(0.1, 1)) / float(direction @ direction)
    return cost.tolist(), open_limits, low, [None] * size


FAMILIES: dict[Callable[..., Case], tuple[int, dict[str, int]]] = {
    # how many cases, and of which statuses at least how many
    anything: (350, {"optimal": 80, "infeasible": 80, "unbounded": 25}),
    around_a_point: (150, {"optimal": 120, "unbounded": 1}),
    unlike_scales: (160, {"optimal": 130, "unbounded": 1}),
    degenerate: (160, {"optimal": 120, "unbounded": 1}),
    mix: (270, {"optimal": 190, "infeasible": 20}),
    large_beside_small: (160, {"optimal": 30, "infeasible": 90}),
    full_size: (30, {"optimal": 10, "infeasible": 6}),
    endless: (100, {"unbounded": 100}),
}


@pytest.mark.parametrize("family", FAMILIES, ids=lambda family: family.__name__)
def test_status_and_cost_are_those_of_highs(family) -> None:  # type: ignore[no-untyped-def]
    """More than a thousand cases: the same status, the cost within 1e-7 of itself, every limit kept to 1e-9 of its terms."""
    count, least_seen = FAMILIES[family]
    random = numpy.random.default_rng(1)
    seen: Counter[str] = Counter()
    worst_cost = worst_limit = 0.0
    for number in range(count):
        cost, limits, low, high = family(random)
        ours, theirs = minimise(cost, limits, low, high), highs(cost, limits, low, high)
        assert theirs.status in STATUS, (number, theirs.message)
        assert ours.status == STATUS[theirs.status], number
        seen[ours.status] += 1
        if ours.status != "optimal":
            assert ours.values is None and ours.objective is None and not ours.slack
            continue
        # a cost of 0 that is a sum of cancelling terms is measured by a thousandth of the terms
        terms = sum(abs(c * x) for c, x in zip(cost, theirs.x, strict=True))
        size = max(abs(theirs.fun), terms / 1_000, 1e-6)
        worst_cost = max(worst_cost, abs(ours.objective - theirs.fun) / size)
        worst_limit = max(worst_limit, worst_miss(limits, ours.values, low, high))
        assert worst_cost <= 1e-7, (number, ours.objective, theirs.fun)
        assert worst_limit <= 1e-9, number
        for limit in limits:
            gap = limit.bound - sum(c * x for c, x in zip(limit.coefficients, ours.values, strict=True))
            gap = {"<=": gap, ">=": -gap, "=": 0.0}[limit.relation]
            assert ours.slack[limit.name] == pytest.approx(max(gap, 0.0), rel=1e-6, abs=1e-6 * (1 + abs(limit.bound)))
    print(f"{family.__name__}: {dict(seen)}, worst cost {worst_cost:.1e}, worst limit {worst_limit:.1e}")
    assert sum(seen.values()) == count
    assert all(seen[status] >= least for status, least in least_seen.items()), seen
    assert set(seen) == set(least_seen), seen


@pytest.mark.parametrize("family", [mix, around_a_point, unlike_scales, degenerate], ids=lambda family: family.__name__)
def test_the_edge_of_what_can_be_met(family) -> None:  # type: ignore[no-untyped-def]
    """A limit put where it can just be met, and past that by steps from 1e-15 to 1e-5 of its size.

    Short of 1e-11 it can be met, from 1e-6 on it can't; between, either will do, but once it can't it stays so, and
    there is always a result: searches for the edge by halving, as for "what would meet it", come that close.
    """
    random = numpy.random.default_rng(4)
    turned: Counter[int] = Counter()
    while turned.total() < 20:
        cost, limits, low, high = family(random)
        coefficients = tuple(map(float, random.normal(size=len(cost)) * (random.random(len(cost)) < 0.6)))
        reach = minimise(coefficients, limits, low, high).objective
        if reach is None or not any(coefficients):
            continue
        size = max(map(abs, coefficients)) + abs(reach)
        statuses = []
        for step in [0.0, *(10.0**power for power in range(-15, -4))]:
            relation = "=" if random.random() < 0.3 else "<="
            edge = Limit("edge", coefficients, relation, reach - step * size)  # type: ignore[arg-type]
            found = minimise(cost, [*limits, edge], low, high)
            statuses.append("infeasible" if found.status == "infeasible" else "met")
            if found.values is not None:
                assert worst_miss([*limits, edge], found.values, low, high) <= 2e-9
        turn = (statuses + ["infeasible"]).index("infeasible")
        assert set(statuses[turn:]) <= {"infeasible"}, statuses
        assert 6 <= turn <= 10, statuses
        turned[turn] += 1


# ---- which limits clash, and where one would have to lie -------------------------------------------------------


def bounds_named(names: Sequence[str], low, high):  # type: ignore[no-untyped-def]
    """Lowest and highest values, those not named taken away."""
    return (
        [least if f"least of {place}" in names else min(least, 0.0) for place, least in enumerate(low)],
        [most if f"most of {place}" in names else None for place, most in enumerate(high)],
    )


def infeasible_cases(count: int):  # type: ignore[no-untyped-def]
    random = numpy.random.default_rng(2)
    found = 0
    while found < count:
        family = (anything, anything, mix, large_beside_small)[found % 4]
        cost, limits, low, high = family(random)
        if family is anything and random.random() < 0.5:
            low = [float(random.uniform(0, 5)) if most is None else min(most, 1.0) for most in high]
        if highs([0.0] * len(cost), limits, low, high).status == 2:
            found += 1
            yield limits, low, high


def test_clashes_are_real_and_none_can_be_spared() -> None:
    """HiGHS finds the limits and bounds named infeasible together, and feasible with any one of them taken away."""
    kinds: Counter[str] = Counter()
    for limits, low, high in infeasible_cases(180):
        nothing = [0.0] * len(low)
        names = clashing_limits(limits, low, high, [str(place) for place in range(len(low))])
        assert names and len(set(names)) == len(names)
        kinds.update(name.split()[0] for name in names)
        for spared in [None, *names]:
            held = [name for name in names if name != spared]
            some = [limit for limit in limits if limit.name in held]
            expected = 2 if spared is None else 0
            assert highs(nothing, some, *bounds_named(held, low, high)).status == expected, (names, spared)
    assert min(kinds["limit"], kinds["most"], kinds["least"]) > 20, kinds


def test_clashes_with_bounds_taken_as_given() -> None:
    """Without names for the variables only limits are named, and all the bounds stay."""
    for limits, low, high in infeasible_cases(80):
        nothing = [0.0] * len(low)
        names = clashing_limits(limits, low, high)
        for spared in [None, *names]:
            some = [limit for limit in limits if limit.name in names and limit.name != spared]
            assert highs(nothing, some, low, high).status == (2 if spared is None else 0), (names, spared)


def test_nearest_bound_is_the_least_shift() -> None:
    """HiGHS, with the shift of the bound as one more variable to be made small, finds the same distance."""
    found = shifted = 0
    for limits, low, high in infeasible_cases(160):
        names = clashing_limits(limits, low, high)
        for name in names[:2]:
            wanted = next(limit for limit in limits if limit.name == name)
            up, down = float(wanted.relation != ">="), float(wanted.relation != "<=")
            wider = [
                Limit(limit.name, (*limit.coefficients, -up, down) if limit is wanted else (*limit.coefficients, 0.0, 0.0),
                      limit.relation, limit.bound)
                for limit in limits
            ]  # fmt: skip
            theirs = highs([0.0] * len(low) + [1.0, 1.0], wider, [*low, 0.0, 0.0], [*high, None, None])
            ours = nearest_bound(limits, name, low, high)
            found += 1
            if theirs.status == 2:
                assert ours is None
                continue
            assert theirs.status == 0 and ours is not None
            shifted += 1
            size = max(map(abs, wanted.coefficients), default=0.0) + abs(ours)
            assert abs(ours - wanted.bound) == pytest.approx(theirs.fun, rel=1e-7, abs=1e-8 * size)
            assert minimise([0.0] * len(low), with_bound(limits, name, ours), low, high).status == "optimal"
    assert found > 160 and shifted > 80


def test_nearest_bound_of_a_limit_that_is_met_is_its_own() -> None:
    limits = [Limit("both", (1.0, 1.0), "<=", 4.0), Limit("first", (1.0, 0.0), ">=", 1.0)]
    assert nearest_bound(limits, "both") == 4.0
    assert nearest_bound(limits, "first") == 1.0
    assert clashing_limits(limits) == []


def test_a_clash_by_hand() -> None:
    """At least 10 kg of two ingredients, of which there are 3 kg and 4 kg: 7 kg, or 6 kg of the first, would do."""
    limits = [Limit("in all", (1.0, 1.0), ">=", 10.0), Limit("unconcerned", (1.0, -1.0), "<=", 50.0)]
    assert clashing_limits(limits, None, [3.0, 4.0], ["leaves", "straw"]) == ["in all", "most of leaves", "most of straw"]
    assert clashing_limits(limits, None, [3.0, 4.0]) == ["in all"]
    assert nearest_bound(limits, "in all", None, [3.0, 4.0]) == 7.0
    assert nearest_bound([*limits, Limit("leaves", (1.0, 0.0), "<=", 3.0)], "leaves", None, [None, 4.0]) == 6.0
    assert clashing_limits([Limit("in all", (1.0, 1.0), "<=", 1.0)], [2.0, 0.0], None, ["leaves", "straw"]) == [
        "in all", "least of leaves",
    ]  # fmt: skip


# ---- laws that hold whatever the figures -------------------------------------------------------------------------

seeds = st.integers(0, 2**32 - 1)
families = st.sampled_from([anything, around_a_point, unlike_scales, degenerate, mix])


@settings(max_examples=80, deadline=None)
@given(families, seeds)
def test_order_and_units_change_nothing(family, seed) -> None:  # type: ignore[no-untyped-def]
    """Limits in another order, each times its own factor, and variables in other units: same status, same cost."""
    cost, limits, low, high = family(numpy.random.default_rng(seed))
    first = minimise(cost, limits, low, high)
    shuffle = plain_random.Random(seed)
    order = shuffle.sample(range(len(cost)), len(cost))
    units = [10.0 ** shuffle.uniform(-2, 2) for _ in cost]
    turned = []
    for limit in shuffle.sample(limits, len(limits)):
        factor = 10.0 ** shuffle.uniform(-3, 3)
        coefficients = tuple(factor * limit.coefficients[place] * units[place] for place in order)
        turned.append(Limit(limit.name, coefficients, limit.relation, factor * limit.bound))
    second = minimise(
        [cost[place] * units[place] for place in order], turned, [low[place] / units[place] for place in order],
        [None if high[place] is None else high[place] / units[place] for place in order],
    )  # fmt: skip
    assert second.status == first.status
    if first.objective is not None and first.values is not None:
        terms = sum(abs(c * x) for c, x in zip(cost, first.values, strict=True))
        assert second.objective == pytest.approx(first.objective, rel=1e-7, abs=1e-9 * terms + 1e-9)


@settings(max_examples=80, deadline=None)
@given(families, seeds)
def test_one_limit_more_never_costs_less(family, seed) -> None:  # type: ignore[no-untyped-def]
    """Taking the last limit away gives a cost no higher, and never makes the rest infeasible; twice gives the same."""
    cost, limits, low, high = family(numpy.random.default_rng(seed))
    with_all, without = minimise(cost, limits, low, high), minimise(cost, limits[:-1], low, high)
    assert with_all == minimise(cost, limits, low, high)
    if with_all.status != "infeasible":
        assert without.status != "infeasible"
    if with_all.objective is not None and without.objective is not None:
        assert without.objective <= with_all.objective + 1e-7 * (1 + abs(with_all.objective))


# ---- single cases --------------------------------------------------------------------------------------------------


def test_degenerate_and_cycling() -> None:
    """Beale's example (1955, from memory), on which the plain rule cycles for ever: its optimum is −1/20."""
    limits = [
        Limit("a", (0.25, -60, -1 / 25, 9), "<=", 0),
        Limit("b", (0.5, -90, -1 / 50, 3), "<=", 0),
        Limit("c", (0, 0, 1, 0), "<=", 1),
    ]
    assert minimise([-0.75, 150, -0.02, 6], limits).objective == pytest.approx(-0.05)


def test_the_careful_rule_finds_the_same(monkeypatch) -> None:  # type: ignore[no-untyped-def]
    """The rule that can't cycle, used from the first step on, against HiGHS."""
    monkeypatch.setattr(linear_programme, "DANTZIG_STEPS", -1)
    random = numpy.random.default_rng(3)
    for number in range(300):
        cost, limits, low, high = (degenerate, mix, anything)[number % 3](random)
        ours, theirs = minimise(cost, limits, low, high), highs(cost, limits, low, high)
        assert ours.status == STATUS[theirs.status], number
        if ours.objective is not None:
            assert ours.objective == pytest.approx(theirs.fun, rel=1e-7, abs=1e-8), number


def test_steps_without_end_are_said(monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setattr(linear_programme, "MOST_STEPS", 1)
    with pytest.raises(ArithmeticError, match="did not come to an end in 1 steps"):
        minimise([1.0, 1.0], [Limit("x", (1.0, 0.0), ">=", 1.0), Limit("y", (0.0, 1.0), ">=", 1.0)])


def test_a_small_miss_is_seen_beside_a_large_bound() -> None:
    """1 g is wanted and half a gram is there; that 100 t of another thing are allowed doesn't make it feasible."""
    limits = [
        Limit("wanted", (1.0, 0.0), ">=", 0.001),
        Limit("there", (1.0, 0.0), "<=", 0.0005),
        Limit("other", (0.0, 1.0), "<=", 1e5),
    ]
    assert minimise([1.0, -1.0], limits).status == "infeasible"
    assert clashing_limits(limits) == ["wanted", "there"]


def test_a_miss_by_rounding_is_none() -> None:
    """0.1 + 0.2 is more than 0.3 by the last digit of a float, which must not make a problem infeasible."""
    assert minimise([1.0], [Limit("most", (1.0,), "<=", 0.3)], [0.1 + 0.2]).status == "optimal"
    both = [Limit("a", (0.1,), "=", 0.3), Limit("b", (1.0,), "=", 3.0), Limit("c", (3.0,), "=", 9.000000000000002)]
    assert minimise([1.0], both).values == pytest.approx((3.0,), rel=1e-12)


def test_nothing_to_decide() -> None:
    """No variables, no limits, rows of noughts, and bounds that leave one value."""
    assert minimise([], []).objective == 0.0
    assert minimise([], [Limit("x", (), ">=", 1.0)]).status == "infeasible"
    assert minimise([1.0, 0.0], []).values == (0.0, 0.0)
    assert minimise([-1.0], []).status == "unbounded"
    assert minimise([-1.0], [], None, [2.5]).values == (2.5,)
    assert minimise([1.0], [Limit("nought", (0.0,), "<=", 1.0)]).values == (0.0,)
    assert minimise([1.0], [Limit("nought", (0.0,), "=", 1.0)]).status == "infeasible"
    assert minimise([1.0], [], [-4.0]).values == (-4.0,)
    assert minimise([1.0, 2.0], [], [0.1, 0.2], [0.1, 0.2]).values == (0.1, 0.2)
    assert clashing_limits([], None, None) == []


X = Limit("x", (1.0,), "<=", 1.0)


@pytest.mark.parametrize(("bad", "words"), [
    (lambda: minimise([1.0], [Limit("x", (1.0, 2.0), "<=", 1.0)]), "limit 'x' has 2 coefficients for 1 variables"),
    (lambda: minimise([1.0, float("nan")], []), "cost of variable 1 is not finite"),
    (lambda: minimise([1.0], [Limit("x", (1.0,), "<=", float("inf"))]), "limit 'x' has a figure that is not finite"),
    (lambda: minimise([1.0], [Limit("x", (float("nan"),), "<=", 1.0)]), "limit 'x' has a figure that is not finite"),
    (lambda: minimise([1.0], [], [2.0], [1.0]), "variable 0 may be at most 1.0, below its lowest value 2.0"),
    (lambda: minimise([1.0], [], [float("-inf")]), "lowest value of variable 0 is not finite"),
    (lambda: minimise([1.0], [], None, [float("inf")]), "highest value of variable 0 is inf; None stands for no end"),
    (lambda: minimise([1.0], [], [0.0, 0.0]), "2 lowest values for 1 variables"),
    (lambda: minimise([1.0], [], None, []), "0 highest values for 1 variables"),
    (lambda: minimise([1.0], [Limit("x", (1.0,), "<", 1.0)]), "limit 'x' has relation '<'"),  # type: ignore[arg-type]
    (lambda: minimise([1.0], [X, X]), "two limits are named 'x'"),
    (lambda: clashing_limits([X], variables=["a", "b"]), "2 names for 1 variables"),
    (lambda: clashing_limits([X], [2.0], [1.0]), "variable 0 may be at most 1.0"),
    (lambda: nearest_bound([X], "y"), "no limit is named 'y'"),
])  # fmt: skip
def test_bad_figures_are_named(bad, words: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ValueError) as caught:
        bad()
    assert words in str(caught.value)
