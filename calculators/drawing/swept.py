"""What a vehicle passes over: its wheels' and corners' radii in a turn, and the outline of its way in from the road.

The rear axle's middle follows a line, an arc and a line; the body follows the rear axle (no side slip, walking pace). With
``r`` the radius of the rear axle's middle: inner rear wheel r − w/2, outer front wheel √((r + w/2)² + b²), outer front corner
√((r + w/2)² + (b + f)²), where w is the width, b the wheelbase and f the front overhang.
"""

from __future__ import annotations

import math
from functools import lru_cache

from calculators.drawing.layout import Point, Polygon, Vehicle
from calculators.working import sqrt

ARC_STEP_DEGREES = 3.0
PATH_STEP_DEGREES = 1.5


def rear_axle_radius(turning_radius_m: float, wheelbase_m: float, width_m: float) -> float:
    """Radius (m) of the middle of the rear axle where the outer front wheel turns at ``turning_radius_m``.

    Plane geometry of a vehicle whose wheels roll without slipping. Needs a turning radius above the wheelbase.
    """
    return sqrt(turning_radius_m**2 - wheelbase_m**2) - width_m / 2


def rear_axle_radius_of_centreline(centreline_radius_m: float, wheelbase_m: float) -> float:
    """Radius (m) of the middle of the rear axle where the middle of the front axle turns at ``centreline_radius_m``."""
    return sqrt(centreline_radius_m**2 - wheelbase_m**2)


def inner_wheel_radius(rear_radius_m: float, width_m: float) -> float:
    """Radius (m) of the inner rear wheel, which cuts the corner."""
    return rear_radius_m - width_m / 2


def outer_wheel_radius(rear_radius_m: float, wheelbase_m: float, width_m: float) -> float:
    """Radius (m) of the outer front wheel."""
    return sqrt((rear_radius_m + width_m / 2) ** 2 + wheelbase_m**2)


def outer_corner_radius(rear_radius_m: float, wheelbase_m: float, front_overhang_m: float, width_m: float) -> float:
    """Radius (m) of the outer front corner of the body: what a wall must stand clear of."""
    return sqrt((rear_radius_m + width_m / 2) ** 2 + (wheelbase_m + front_overhang_m) ** 2)


def half_width_at_gate(rear_radius_m: float, corner_radius_m: float, front_m: float, width_m: float,
                       road_m: float) -> float | None:  # fmt: skip
    """Half the width (m) that a vehicle turning in from the road passes over from the plot's edge inward.

    ``road_m`` is how far from the plot's edge the middle of the vehicle runs on the road, ``front_m`` the wheelbase with the
    front overhang. ``None`` where the turn can't be made between road and plot's edge: its inner wheel would cross the edge
    beside the gate.
    """
    centre = rear_radius_m - road_m  # how far within the plot the turn's centre lies
    inner = inner_wheel_radius(rear_radius_m, width_m)
    if centre <= -front_m:
        return width_m / 2
    lowest = max(0.0, centre)
    outside = math.sqrt(corner_radius_m**2 - (lowest - centre) ** 2) - rear_radius_m
    inside = width_m / 2
    if centre > 0:
        if centre >= inner:
            return None
        inside = rear_radius_m - math.sqrt(inner**2 - centre**2)
    return max(outside, inside)


@lru_cache(maxsize=64)
def drawn_half_width(vehicle: Vehicle, rear_radius_m: float, road_m: float, stop_m: float) -> float:
    """Half the width (m) from the plot's edge inward of the outline as ``way_in`` draws it."""
    outline = way_in(vehicle, rear_radius_m, road_m, stop_m)[1]
    widest = vehicle.width_m / 2
    for (u0, v0), (u1, v1) in zip(outline, [*outline[1:], outline[0]], strict=True):
        if v0 >= 0:
            widest = max(widest, abs(u0))
        if (v0 < 0) != (v1 < 0):
            widest = max(widest, abs(u0 - v0 * (u1 - u0) / (v1 - v0)))
    return widest


def way_in(vehicle: Vehicle, rear_radius_m: float, road_m: float, stop_m: float) -> tuple[tuple[Point, ...], Polygon]:
    """The way of the rear axle's middle from the road to where the vehicle stands, and the outline of what it passes over.

    In the frame of the gate: from the left along the road at ``road_m`` before the plot's edge, a quarter turn to the left,
    straight in until its front is at ``stop_m``. Arcs are drawn a little outside where they bound the outline outward and
    on the chord inward, so that the outline is never too small.
    """
    half, front = vehicle.width_m / 2, vehicle.wheelbase_m + vehicle.front_overhang_m
    rear = vehicle.length_m - front
    radius = rear_radius_m
    centre = (-radius, radius - road_m)
    start = centre[0] - max(0.0, rear)
    end = max(centre[1], stop_m - front)
    arc = [
        (centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle))
        for angle in _angles(-math.pi / 2, 0.0, PATH_STEP_DEGREES)
    ]
    path = tuple(_merged([(start, -road_m), *arc, (0.0, end)]))
    inner = radius - half
    inside = [(centre[0] + inner * math.cos(a), centre[1] + inner * math.sin(a)) for a in _angles(-math.pi / 2, 0.0)]
    lead, swing = math.atan2(front, radius + half), math.atan2(max(0.0, rear), radius + half)
    nose, tail = math.hypot(radius + half, front), math.hypot(radius + half, rear)
    if rear > front:  # the tail swings out farther than the nose, all through the turn
        outside = [*_around(centre, tail, -math.pi / 2 - swing, -swing), *_around(centre, nose, -lead, lead)]
    else:
        outside = _around(centre, tail, -math.pi / 2 - swing, -math.pi / 2 + swing) if rear > 0 else []
        outside += _around(centre, nose, -math.pi / 2 + lead, lead)
    outline = [
        (start - rear, -road_m - half), *outside, (half, end + front), (-half, end + front), *reversed(inside),
        (start - rear, -road_m + half),
    ]  # fmt: skip
    return path, tuple(_merged(outline))


def _angles(start: float, end: float, step_degrees: float = ARC_STEP_DEGREES) -> list[float]:
    count = max(1, math.ceil((end - start) / math.radians(step_degrees) - 1e-9))
    return [start + (end - start) * step / count for step in range(count + 1)]


def _around(centre: Point, radius: float, start: float, end: float) -> list[Point]:
    """Points of a polyline that runs outside an arc and touches it: its ends lie on the arc's tangents."""
    angles = _angles(start, end)
    step = (angles[1] - angles[0]) / 2
    wide = radius / math.cos(step)
    found = [(centre[0] + radius * math.cos(start), centre[1] + radius * math.sin(start))]
    found += [(centre[0] + wide * math.cos(a + step), centre[1] + wide * math.sin(a + step)) for a in angles[:-1]]
    return [*found, (centre[0] + radius * math.cos(end), centre[1] + radius * math.sin(end))]


def _merged(points: list[Point]) -> list[Point]:
    found: list[Point] = []
    for point in points:
        if not found or math.dist(point, found[-1]) > 1e-9:
            found.append(point)
    if math.dist(found[0], found[-1]) <= 1e-9:
        found.pop()
    return found


def heading_slack(vehicle: Vehicle) -> float:
    """How far (m) a corner of the vehicle in ``poses`` may be off, where an arc of the path begins or ends."""
    front = vehicle.wheelbase_m + vehicle.front_overhang_m
    return math.radians(PATH_STEP_DEGREES / 2) * max(front, vehicle.length_m - front) + 0.005


def poses(vehicle: Vehicle, path: tuple[Point, ...], pieces: int = 4) -> list[Polygon]:
    """The body of the vehicle as it stands along its way, at each point of the path and between them on long pieces.

    At a point it heads along the mean of the pieces that meet there, which is the arc's own heading but at its two ends.
    """
    half, front = vehicle.width_m / 2, vehicle.wheelbase_m + vehicle.front_overhang_m
    rear = vehicle.length_m - front
    ways = []
    for (x0, y0), (x1, y1) in zip(path, path[1:]):
        length = math.hypot(x1 - x0, y1 - y0)
        ways.append(((x1 - x0) / length, (y1 - y0) / length, length) if length > 1e-9 else None)
    stands: list[tuple[float, float, float, float]] = []
    for index, (x, y) in enumerate(path):
        meeting = [way for way in ways[max(0, index - 1) : index + 1] if way]
        long = [way for way in meeting if way[2] > 0.3]
        dx, dy = sum(way[0] for way in long or meeting), sum(way[1] for way in long or meeting)
        stands.append((x, y, dx / math.hypot(dx, dy), dy / math.hypot(dx, dy)))
        if index < len(ways) and ways[index] and ways[index][2] > 0.3:  # type: ignore[index]
            along = ways[index]
            assert along is not None
            for step in range(1, pieces):
                at = along[2] * step / pieces
                stands.append((x + along[0] * at, y + along[1] * at, along[0], along[1]))
    return [
        (
            (x - dx * rear + dy * half, y - dy * rear - dx * half), (x + dx * front + dy * half, y + dy * front - dx * half),
            (x + dx * front - dy * half, y + dy * front + dx * half), (x - dx * rear - dy * half, y - dy * rear + dx * half),
        )
        for x, y, dx, dy in stands
    ]  # fmt: skip
