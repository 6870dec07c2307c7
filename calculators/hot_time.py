"""Time at temperature: from the readings of several probes to the stretches in which all of them were hot.

The conservative reading is taken throughout. Time counts only between two readings of a probe that both satisfy the
limit and lie no further apart than the longest gap allowed; it must so count at every probe at once, so the coldest
probe decides. Nothing is gained between readings: what happened there is taken as no warmer than the colder end.

Moments and lengths are whole minutes. Nothing here knows which rule asks.
"""

from __future__ import annotations

import bisect
from collections.abc import Sequence
from dataclasses import dataclass

Series = Sequence[tuple[int, "float | None"]]
"""Readings of one probe in order of time, °C; ``None`` is one that could not be read, and counts as too cold."""
Stretch = tuple[int, int, float]
"""From, until, and the lowest of all probes' readings at both ends, °C."""
Run = tuple[int, int]
"""From and until, unbroken."""
COLD = float("-inf")


@dataclass(frozen=True)
class Limit:
    """A temperature (°C): ``least`` itself counts unless only what is ``above`` it does; more than ``most`` does not count."""

    least: float
    above: bool = False
    most: float | None = None

    def holds(self, low: float) -> bool:
        """Whether a temperature is warm enough."""
        return low > self.least if self.above else low >= self.least

    def reading(self, value: float | None) -> bool:
        """Whether a reading satisfies the limit."""
        return value is not None and self.holds(value) and (self.most is None or value <= self.most)


def coldest(probes: Sequence[Series], longest_gap: int, most: float | None = None) -> list[Stretch]:
    """The stretches between readings with what the coldest probe shows, in order; none where a probe has no reading near.

    With ``most`` a pair of readings of which one is hotter counts as cold.
    """
    moments = sorted({moment for series in probes for moment, _ in series})
    if len(moments) < 2 or not all(probes):
        return []
    place = {moment: index for index, moment in enumerate(moments)}
    lowest: list[float | None] = [float("inf")] * (len(moments) - 1)
    for series in probes:
        known = [False] * len(lowest)
        for (start, one), (end, other) in zip(series, series[1:], strict=False):
            if end - start > longest_gap:
                continue
            low = COLD if one is None or other is None or (most is not None and max(one, other) > most) else min(one, other)
            for index in range(place[start], place[end]):
                known[index] = True
                before = lowest[index]
                if before is not None and low < before:
                    lowest[index] = low
        for index, found in enumerate(known):
            if not found:
                lowest[index] = None
    return [(moments[index], moments[index + 1], low) for index, low in enumerate(lowest) if low is not None]


def runs(stretches: Sequence[Stretch], limit: Limit) -> list[Run]:
    """The unbroken runs in which every probe satisfied the limit."""
    found: list[Run] = []
    for start, end, low in stretches:
        if not limit.holds(low):
            continue
        if found and found[-1][1] == start:
            found[-1] = (found[-1][0], end)
        else:
            found.append((start, end))
    return found


def total(pieces: Sequence[Run]) -> int:
    """Minutes in all."""
    return sum(end - start for start, end in pieces)


def reached(pieces: Sequence[Run], needed: int) -> int | None:
    """The moment at which the pieces, in order, add up to ``needed`` minutes; ``None`` where they do not."""
    left = needed
    for start, end in pieces:
        if end - start >= left:
            return start + left
        left -= end - start
    return None


class Hot:
    """Since when a heap has been hot, at any moment: each probe's readings with the beginning of their hot streak."""

    def __init__(self, probes: Sequence[Series], longest_gap: int, limit: Limit) -> None:
        self.longest_gap = longest_gap
        self.moments = [[moment for moment, _ in series] for series in probes]
        self.since: list[list[int | None]] = []
        for series in probes:
            begun: list[int | None] = []
            before, start = 0, None
            for moment, value in series:
                if not limit.reading(value):
                    start = None
                elif start is None or moment - before > longest_gap:
                    start = moment
                before = moment
                begun.append(start)
            self.since.append(begun)

    def at(self, moment: int) -> tuple[int, int] | None:
        """Since when every probe had been hot, and until when that is proven; ``None`` where one was not.

        The last reading of each probe before (or at) the moment must satisfy the limit and be no older than the longest gap.
        """
        since, proven = 0, moment
        for moments, begun in zip(self.moments, self.since, strict=True):
            index = bisect.bisect_right(moments, moment) - 1
            start = begun[index] if index >= 0 else None
            if start is None or moment - moments[index] > self.longest_gap:
                return None
            proven = min(proven, moments[index])
            since = max(since, start)
        return since, proven


def apart(moments: Sequence[int], least: int) -> list[int]:
    """Of moments in order, those that lie at least ``least`` minutes after the one counted before."""
    kept: list[int] = []
    for moment in moments:
        if not kept or moment - kept[-1] >= least:
            kept.append(moment)
    return kept


def warm_on_average(stretches: Sequence[Stretch], pieces: Sequence[Run], shortest: int, mean: float) -> Run | None:
    """The first part of a run, at least ``shortest`` minutes long, whose mean lies above ``mean``; ``None`` for none.

    The mean is that of what the coldest probe shows, each stretch at the colder of its ends. Prefix sums of the excess over
    the mean tell it: a part is warm where the sum at its end is more than at its beginning.
    """
    for first, last in pieces:
        if last - first < shortest:
            continue
        points, sums = [first], [0.0]
        for start, end, low in stretches:
            if first <= start and end <= last:
                points.append(end)
                sums.append(sums[-1] + (low - mean) * (end - start))

        def at(moment: float) -> float:
            index = min(bisect.bisect_right(points, moment), len(points) - 1)  # noqa: B023 - used within this turn only
            before, after = points[index - 1], points[index]  # noqa: B023
            share = (moment - before) / (after - before)
            return sums[index - 1] + share * (sums[index] - sums[index - 1])  # noqa: B023

        ends = sorted(
            {point for point in (*points, *(point + shortest for point in points)) if first + shortest <= point <= last}
        )
        least, begun, place = float("inf"), first, 0
        for end in ends:
            while place < len(points) and points[place] <= end - shortest:
                if sums[place] < least:
                    least, begun = sums[place], points[place]
                place += 1
            start, sum_at = begun, least
            here = at(end - shortest)
            if here < sum_at:
                start, sum_at = end - shortest, here
            if at(end) - sum_at > 1e-6:
                return start, end
    return None
