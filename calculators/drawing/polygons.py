"""Plane geometry for a yard: areas, what lies within what, gaps, insets, and rectangles in a frame turned to the gate.

Polygons are simple (no edge crosses another), points counter-clockwise, in metres. Rectangles are (u0, v0, u1, v1).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from calculators.drawing.layout import Point, Polygon

EPS = 1e-7
"""A tenth of a micrometre: lengths below it are rounding."""

Rectangle = tuple[float, float, float, float]
Interval = tuple[float, float]


def signed_area(points: Sequence[Point]) -> float:
    """Area (m²) by the shoelace formula; above 0 where the points run counter-clockwise."""
    twice = 0.0
    x0, y0 = points[-1]
    for x, y in points:
        twice += x0 * y - x * y0
        x0, y0 = x, y
    return twice / 2


def area(points: Sequence[Point]) -> float:
    """Area (m²), whichever way the points run."""
    return abs(signed_area(points))


def perimeter(points: Sequence[Point]) -> float:
    """Length (m) of the outline."""
    return sum(math.dist(a, b) for a, b in edges(points))


def edges(points: Sequence[Point]) -> list[tuple[Point, Point]]:
    """Each edge, from a point to the next."""
    return list(zip(points, [*points[1:], points[0]], strict=True))


def rectangle(box: Rectangle) -> Polygon:
    """The rectangle as a polygon."""
    u0, v0, u1, v1 = box
    return ((u0, v0), (u1, v0), (u1, v1), (u0, v1))


def bounds(points: Iterable[Point]) -> Rectangle:
    """The smallest upright rectangle that holds the points."""
    listed = list(points)
    across, up = [point[0] for point in listed], [point[1] for point in listed]
    return min(across), min(up), max(across), max(up)


def has_inside(points: Sequence[Point], at: Point) -> bool:
    """Whether the point lies within; on the edge it may be told either way."""
    x, y = at
    inside = False
    for (x0, y0), (x1, y1) in edges(points):
        if (y0 > y) != (y1 > y) and x < x0 + (y - y0) * (x1 - x0) / (y1 - y0):
            inside = not inside
    return inside


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def segments_cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether two segments share a point."""
    first, second = _turn(a, b, c), _turn(a, b, d)
    third, fourth = _turn(c, d, a), _turn(c, d, b)
    if ((first > 0) != (second > 0)) and ((third > 0) != (fourth > 0)) and first and second and third and fourth:
        return True
    return any(
        turned == 0 and min(p[0], q[0]) <= r[0] <= max(p[0], q[0]) and min(p[1], q[1]) <= r[1] <= max(p[1], q[1])
        for turned, p, q, r in ((first, a, b, c), (second, a, b, d), (third, c, d, a), (fourth, c, d, b))
    )


def is_simple(points: Sequence[Point]) -> bool:
    """Whether the outline has at least three points, encloses something and never meets itself."""
    count = len(points)
    if count < 3 or area(points) < EPS or len(set(points)) < count:
        return False
    sides = edges(points)
    for index, (a, b) in enumerate(sides):
        c, d = sides[(index + 1) % count]
        if abs(_turn(a, b, d)) < 1e-12 and (b[0] - a[0]) * (d[0] - c[0]) + (b[1] - a[1]) * (d[1] - c[1]) < 0:
            return False  # folds back on itself
        for other in range(index + 2, count):
            if (other + 1) % count != index and segments_cross(a, b, *sides[other]):
                return False
    return True


def point_to_segment(at: Point, a: Point, b: Point) -> float:
    """Distance (m) of a point from a segment."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    long = dx * dx + dy * dy
    share = 0.0 if long == 0 else max(0.0, min(1.0, ((at[0] - a[0]) * dx + (at[1] - a[1]) * dy) / long))
    return math.hypot(at[0] - a[0] - share * dx, at[1] - a[1] - share * dy)


def segment_gap(a: Point, b: Point, c: Point, d: Point) -> float:
    """Distance (m) between two segments; 0 where they meet."""
    if segments_cross(a, b, c, d):
        return 0.0
    return min(point_to_segment(a, c, d), point_to_segment(b, c, d), point_to_segment(c, a, b), point_to_segment(d, a, b))


def gap_to_outline(points: Sequence[Point], outline: Sequence[Point]) -> float:
    """Distance (m) of a polygon's edge from an outline; 0 where they meet."""
    return min(segment_gap(a, b, c, d) for a, b in edges(points) for c, d in edges(outline))


def overlap_depth(one: Sequence[Point], other: Sequence[Point]) -> float:
    """How deep (m) two convex polygons lie in each other; below 0, how far apart along the best of their edges' normals."""
    deepest = math.inf
    for points in (one, other):
        for (x0, y0), (x1, y1) in edges(points):
            length = math.hypot(x1 - x0, y1 - y0)
            if length < EPS:
                continue
            nx, ny = (y1 - y0) / length, (x0 - x1) / length
            along = [x * nx + y * ny for x, y in one]
            against = [x * nx + y * ny for x, y in other]
            deepest = min(deepest, min(max(along) - min(against), max(against) - min(along)))
    return deepest


def inset(points: Sequence[Point], by: float) -> Polygon | None:
    """The polygon whose edges lie ``by`` (m) within those given; ``None`` where that leaves nothing or cuts it in two."""
    if by <= 0:
        return tuple(points)
    sides = edges(points)
    moved: list[tuple[Point, Point]] = []
    for (x0, y0), (x1, y1) in sides:
        length = math.hypot(x1 - x0, y1 - y0)
        nx, ny = (y0 - y1) / length * by, (x1 - x0) / length * by
        moved.append(((x0 + nx, y0 + ny), (x1 + nx, y1 + ny)))
    found: list[Point] = []
    for index, (a, b) in enumerate(moved):
        c, d = moved[index - 1]
        across = (b[0] - a[0]) * (d[1] - c[1]) - (b[1] - a[1]) * (d[0] - c[0])
        if abs(across) < 1e-9:
            found.append(a)
            continue
        share = ((c[0] - a[0]) * (d[1] - c[1]) - (c[1] - a[1]) * (d[0] - c[0])) / across
        found.append((a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])))
    for (a, b), (c, d) in zip(edges(found), sides, strict=True):
        if (b[0] - a[0]) * (d[0] - c[0]) + (b[1] - a[1]) * (d[1] - c[1]) <= 0:
            return None  # an edge has turned round: the corner is too narrow
    if all(_turn(a, b, c) >= 0 for a, b, c in zip(points, [*points[1:], points[0]], [*points[2:], *points[:2]])):
        return tuple(found)  # of a convex polygon the moved edges bound just what lies so far within
    if not is_simple(found) or signed_area(found) <= 0:
        return None
    if gap_to_outline(found, points) < by - 1e-6:
        return None
    return tuple(found)


# ---- rectangles in a frame ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Frame:
    """A frame turned to the gate: ``u`` to the right along the plot's edge, ``v`` into the plot, from the gate's middle."""

    origin: Point
    inward: Point

    def out(self, at: Point) -> Point:
        """A point of the frame in x and y."""
        u, v = at
        ix, iy = self.inward
        return self.origin[0] + u * iy + v * ix, self.origin[1] - u * ix + v * iy

    def into(self, at: Point) -> Point:
        """A point in x and y in the frame."""
        x, y = at[0] - self.origin[0], at[1] - self.origin[1]
        ix, iy = self.inward
        return x * iy - y * ix, x * ix + y * iy

    def box(self, box: Rectangle) -> Polygon:
        """A rectangle of the frame as a polygon in x and y."""
        return tuple(self.out(point) for point in rectangle(box))


def free_intervals(points: Sequence[Point], low: float, high: float) -> list[Interval]:
    """Where along u a strip from v = ``low`` to ``high`` lies wholly within the polygon: stretches, from left to right."""
    blocked: list[Interval] = []
    for (u0, v0), (u1, v1) in edges(points):
        bottom, top = (v0, v1) if v0 <= v1 else (v1, v0)
        if top <= low + EPS or bottom >= high - EPS:
            continue
        if top - bottom < EPS:
            blocked.append((min(u0, u1), max(u0, u1)))
            continue
        start = u0 + (u1 - u0) * (max(low, bottom) - v0) / (v1 - v0)
        end = u0 + (u1 - u0) * (min(high, top) - v0) / (v1 - v0)
        blocked.append((min(start, end), max(start, end)))
    blocked.sort()
    found: list[Interval] = []
    middle = (low + high) / 2
    reach = -math.inf
    for left, right in blocked:
        if reach > -math.inf and left > reach + EPS and has_inside(points, ((reach + left) / 2, middle)):
            found.append((reach, left))
        reach = max(reach, right)
    return found


def without(stretches: Iterable[Interval], low: float, high: float) -> list[Interval]:
    """The stretches with what lies between ``low`` and ``high`` taken out."""
    found: list[Interval] = []
    for left, right in stretches:
        if high <= left or low >= right:
            found.append((left, right))
            continue
        if low - left > EPS:
            found.append((left, low))
        if right - high > EPS:
            found.append((high, right))
    return found


def boxes_gap(one: Rectangle, other: Rectangle) -> float:
    """Distance (m) between two rectangles; 0 where they touch or overlap."""
    across = max(one[0] - other[2], other[0] - one[2], 0.0)
    up = max(one[1] - other[3], other[1] - one[3], 0.0)
    return math.hypot(across, up)


def boxes_overlap(one: Rectangle, other: Rectangle) -> bool:
    """Whether two rectangles share more than an edge."""
    return (
        one[0] < other[2] - EPS and other[0] < one[2] - EPS and one[1] < other[3] - EPS and other[1] < one[3] - EPS
    )


def union_area(boxes: Sequence[Rectangle]) -> float:
    """Area (m²) that the rectangles cover together: what lies under several is counted once."""
    cuts = sorted({value for box in boxes for value in (box[0], box[2])})
    covered = 0.0
    for left, right in zip(cuts, cuts[1:]):
        reach = -math.inf
        high = 0.0
        for low, top in sorted((box[1], box[3]) for box in boxes if box[0] <= left and box[2] >= right):
            if top > reach:
                high += top - max(low, reach)
                reach = top
        covered += high * (right - left)
    return covered
