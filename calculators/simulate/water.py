"""A rain tank through the months of a year that repeats, the smallest tank that serves, and the depth of a channel.

Plain functions of plain numbers. Within a month rain and use are taken as even, so that only the months' balance counts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

HALVINGS = 60


@dataclass(frozen=True)
class TankYear:
    """What a tank does in each month: taken from it, run over, lacking, and what it holds at the end. All in one unit."""

    taken: tuple[float, ...]
    over: tuple[float, ...]
    lacking: tuple[float, ...]
    level: tuple[float, ...]
    start: float


def _largest_run(gains: Sequence[float]) -> float:
    """The largest sum of gains one after the other in a year that repeats, never below 0, at most once round."""
    largest = held = 0.0
    for gain in (*gains, *gains):
        held = max(0.0, held + gain)
        largest = max(largest, held)
    return largest


def least_tank(supply: Sequence[float], demand: Sequence[float]) -> float:
    """The smallest tank that makes the most of the supply, by the sequent peak algorithm over a year that repeats.

    Where the year's supply is enough, no period runs dry with it, and does with any smaller one: the largest sum of
    deficits. Where it is not, nothing runs over: the largest sum of surpluses, and a larger tank gives nothing more.
    """
    surplus = [given - wanted for given, wanted in zip(supply, demand, strict=True)]
    if sum(surplus) >= 0:
        surplus = [-each for each in surplus]
    return _largest_run(surplus)


def tank_year(supply: Sequence[float], demand: Sequence[float], capacity: float) -> TankYear:
    """The months of a tank of ``capacity`` (0 or more) in a year like the one before it.

    From full where the year brings enough, else from empty, the second round is the one that repeats: by then the tank
    has been full (or empty), and what was before it no longer counts.
    """
    enough = sum(supply) >= sum(demand)
    level = capacity if enough else 0.0
    found = TankYear((), (), (), (), level)
    for _ in range(2):
        start = level
        taken, over, lacking, levels = [], [], [], []
        for given, wanted in zip(supply, demand, strict=True):
            used = min(wanted, level + given)
            left = level + given - used
            level = min(left, capacity)
            taken.append(used)
            lacking.append(wanted - used)
            over.append(left - level)
            levels.append(level)
        found = TankYear(tuple(taken), tuple(over), tuple(lacking), tuple(levels), start)
    return found


def manning_flow(area_m2: float, wetted_m: float, fall: float, roughness: float) -> float:
    """Flow (m³/s) of a channel by Manning's equation, Q = A·(A/P)^(2/3)·√S ÷ n; ``fall`` in metres for each metre."""
    return area_m2 * (area_m2 / wetted_m) ** (2 / 3) * fall**0.5 / roughness


def channel_depth(flow_m3_s: float, width_m: float, fall: float, roughness: float) -> float:
    """Depth (m) at which a rectangular channel carries a flow (0 or more), found by halving: its flow grows with depth."""
    if flow_m3_s <= 0:
        return 0.0

    def carries(depth: float) -> float:
        return manning_flow(width_m * depth, width_m + 2 * depth, fall, roughness)

    deep = width_m
    while carries(deep) < flow_m3_s:
        deep *= 2
    shallow = 0.0
    for _ in range(HALVINGS):
        middle = (shallow + deep) / 2
        if carries(middle) < flow_m3_s:
            shallow = middle
        else:
            deep = middle
    return deep


def mean_excess(value: float, spread: float, limit: float) -> float:
    """Mean of what exceeds a limit where values lie evenly within ``spread`` (0 or more) on both sides of ``value``."""
    if value - spread >= limit:
        return value - limit
    if value + spread <= limit:
        return 0.0
    return (value + spread - limit) ** 2 / (4 * spread)
