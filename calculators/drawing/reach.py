"""Where a square trolley, as wide as the aisle, can be pushed among rectangles: exact for upright obstacles, no grid of cells.

The trolley's south-west corner moves in the plane from which every obstacle, enlarged by the trolley, is taken out; touching
is allowed. All that happens there changes only at the obstacles' own coordinates, so these, and what lies between two of them,
are all the places to look at. A row of places is one whole number, a bit for each.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence

from calculators.drawing.layout import Polygon
from calculators.drawing.polygons import Interval, Rectangle, free_intervals

LEAST_CONTACT_M = 0.6
"""A way in counts as reached where the trolley stands before this much of it, or all of it where it is narrower."""

ROUNDING_M = 2e-5
"""The trolley is taken so much smaller, so that rounding never closes an aisle just as wide as it."""


def _rounded(value: float) -> float:
    return round(value, 6)


def _fill(seed: int, free: int, width: int) -> int:
    """The runs of ``free`` that hold a bit of ``seed``."""
    right, left, ahead, behind, step = seed & free, seed & free, free, free, 1
    while step <= width:
        right |= ahead & (right << step)
        ahead &= ahead << step
        left |= behind & (left >> step)
        behind &= behind >> step
        step *= 2
    return right | left


class Reach:
    """What a trolley of ``side`` reaches from a stretch of the line v = 0, within ``plot`` and around ``boxes``."""

    def __init__(self, plot: Polygon, boxes: Sequence[Rectangle], side: float, start: Interval) -> None:
        side -= ROUNDING_M
        self.side = side
        obstacles = [tuple(map(_rounded, box)) for box in boxes]
        low_u, high_u = min(p[0] for p in plot), max(p[0] for p in plot) - side
        low_v, high_v = min(p[1] for p in plot), max(p[1] for p in plot) - side
        across = {_rounded(value) for value in (low_u, high_u, start[0], start[1] - side)}
        up = {_rounded(value) for value in (0.0, low_v, high_v)}
        for u0, v0, u1, v1 in obstacles:
            across |= {u1, _rounded(u0 - side)}
            up |= {v1, _rounded(v0 - side)}
        up = {value for value in up if low_v - 1e-6 <= value <= high_v + 1e-6}
        self.up = sorted(up)
        upright = len(plot) == 4 and all(a[0] == b[0] or a[1] == b[1] for a, b in zip(plot, [*plot[1:], plot[0]]))
        strips: list[list[Interval]] = []
        for row in range(2 * len(self.up) - 1):
            bottom, top = self.up[row // 2], self.up[(row + 1) // 2] + side
            strips.append([(low_u, high_u + side)] if upright else free_intervals(plot, bottom, top))
            if not upright and row % 2 == 0:
                across |= {_rounded(value) for left, right in strips[-1] for value in (left, right - side)}
        self.across = sorted(value for value in across if low_u - 1e-6 <= value <= high_u + 1e-6)
        self.places = 2 * len(self.across) - 1
        if not self.across or not self.up:
            self.reached: list[int] = []
            return
        free = [self._allowed(strip) for strip in strips]
        for u0, v0, u1, v1 in obstacles:
            bits = self._open(_rounded(u0 - side), u1)
            if not bits:
                continue
            first, last = self._range(self.up, _rounded(v0 - side), v1)
            for row in range(first, last + 1):
                free[row] &= ~bits
        self.reached = self._flood(free, start)

    def _range(self, values: list[float], low: float, high: float) -> tuple[int, int]:
        """Places strictly between two of the values, as the first and the last."""
        start, at = bisect_left(values, low), bisect_left(values, high)
        first = 2 * start + 1 if start < len(values) and values[start] == low else 2 * start
        last = 2 * at - 1 if at < len(values) and values[at] == high else 2 * (at - 1)
        return first, min(last, 2 * len(values) - 2)

    def _open(self, low: float, high: float) -> int:
        first, last = self._range(self.across, low, high)
        return ((1 << (last - first + 1)) - 1) << first if last >= first else 0

    def _closed(self, low: float, high: float) -> int:
        """Bits of the places from ``low`` to ``high``, both among them."""
        first = 2 * bisect_left(self.across, low - 2e-6)
        last = 2 * (bisect_right(self.across, high + 2e-6) - 1)
        return ((1 << (last - first + 1)) - 1) << first if last >= first else 0

    def _allowed(self, strip: list[Interval]) -> int:
        bits = 0
        for left, right in strip:
            if right - left >= self.side - 1e-6:
                bits |= self._closed(left, right - self.side)
        return bits

    def _flood(self, free: list[int], start: Interval) -> list[int]:
        reached = [0] * len(free)
        first = 2 * bisect_left(self.up, -1e-6)
        if first >= len(free):
            return reached
        reached[first] = _fill(self._closed(start[0], start[1] - self.side), free[first], self.places)
        rows = [first]
        while rows:
            row = rows.pop()
            for near in (row - 1, row + 1):
                if 0 <= near < len(free):
                    more = reached[row] & free[near] & ~reached[near]
                    if more:
                        reached[near] |= _fill(more, free[near], self.places)
                        rows.append(near)
        return reached

    def before(self, low: float, high: float, line: float, outward: tuple[int, int]) -> bool:
        """Whether the trolley can stand before a way in: the stretch ``low`` to ``high`` of a line u or v = ``line``.

        ``outward`` is (0, ±1) where the line runs along u, (±1, 0) where it runs along v.
        """
        if not self.reached:
            return False
        contact = min(LEAST_CONTACT_M, high - low, self.side)
        least, most = low - self.side + contact, high - contact
        stand = _rounded(line if sum(outward) > 0 else line - self.side)
        if outward[0] == 0:
            row = bisect_left(self.up, stand - 2e-6)
            if row >= len(self.up) or self.up[row] > stand + 2e-6:
                return False
            return bool(self.reached[2 * row] & self._within(least, most))
        column = bisect_left(self.across, stand - 2e-6)
        if column >= len(self.across) or self.across[column] > stand + 2e-6:
            return False
        bit = 1 << (2 * column)
        first = max(0, 2 * bisect_left(self.up, least - 2e-6) - 1)
        last = min(2 * len(self.up) - 2, 2 * bisect_right(self.up, most + 2e-6) - 1)
        return any(self.reached[row] & bit for row in range(first, last + 1))

    def _within(self, least: float, most: float) -> int:
        """Bits of places that hold a position from ``least`` to ``most``: what lies between two values counts where it meets."""
        first = max(0, 2 * bisect_left(self.across, least - 2e-6) - 1)
        last = min(self.places - 1, 2 * bisect_right(self.across, most + 2e-6) - 1)
        return ((1 << (last - first + 1)) - 1) << first if last >= first else 0
