"""Whether a plan holds what it must, told from the plan alone: nothing here knows how it was found."""

from __future__ import annotations

import math
from collections.abc import Iterator

from calculators.drawing.layout import BAY_KINDS, Layout, Opening, Point, Room
from calculators.drawing.polygons import (
    Frame,
    Rectangle,
    boxes_gap,
    boxes_overlap,
    edges,
    gap_to_outline,
    has_inside,
    overlap_depth,
    point_to_segment,
    rectangle,
    signed_area,
)
from calculators.drawing.programme import CLEAN, ON_LANE, RAW
from calculators.drawing.reach import Reach
from calculators.drawing.swept import heading_slack, poses

NEAR = 1e-5
"""Lengths (m) within it are alike: what the arrangement rounds."""


def faults(layout: Layout) -> list[str]:
    """All that is wrong with a plan, in words; empty where everything holds."""
    found: list[str] = []
    frame = Frame(((layout.gate.start[0] + layout.gate.end[0]) / 2, (layout.gate.start[1] + layout.gate.end[1]) / 2), layout.gate.inward)
    boxes: dict[str, Rectangle] = {}
    for room in layout.rooms:
        if room.key in boxes:
            found.append(f"two rooms are called {room.key}")
        box = _box(frame, room.polygon)
        if box is None:
            found.append(f"{room.name} is not a rectangle square to the gate")
        else:
            boxes[room.key] = box
    if found:
        return found
    lanes = [_box(frame, aisle.polygon) for aisle in layout.aisles if aisle.kind == "lane"]
    if len(lanes) != 1 or lanes[0] is None:
        return ["there is not one straight lane"]
    found += _overlaps(layout, boxes)
    found += _outside(layout, boxes, frame)
    found += _too_near(layout, boxes)
    found += _ways_blocked(layout, boxes, frame)
    found += _lane_faults(layout, boxes, frame, lanes[0])
    found += _not_reached(layout, boxes, frame, lanes[0])
    found += [f"a channel does not run down: {drain}" for drain in layout.drains if drain.level_end_m >= drain.level_start_m]
    return found


def _box(frame: Frame, polygon: tuple[Point, ...]) -> Rectangle | None:
    """The rectangle that the polygon is in the gate's frame, or ``None``."""
    points = [frame.into(point) for point in polygon]
    box = (min(p[0] for p in points), min(p[1] for p in points), max(p[0] for p in points), max(p[1] for p in points))
    if len(points) != 4 or signed_area(polygon) <= 0:
        return None
    if any(math.dist(a, b) > NEAR for a, b in zip(sorted(_rounded(points)), sorted(_rounded(rectangle(box))), strict=True)):
        return None
    return box


def _rounded(points: list[Point] | tuple[Point, ...]) -> list[Point]:
    return [(round(x, 6), round(y, 6)) for x, y in points]


def _overlaps(layout: Layout, boxes: dict[str, Rectangle]) -> Iterator[str]:
    """Rooms that share floor; each is compared with those that begin before it ends."""
    ordered = sorted(layout.rooms, key=lambda room: boxes[room.key][0])
    for index, room in enumerate(ordered):
        box = boxes[room.key]
        for other in ordered[index + 1 :]:
            against = boxes[other.key]
            if against[0] >= box[2] - NEAR:
                break
            if boxes_overlap(box, against) and overlap_depth(room.polygon, other.polygon) > NEAR:
                yield f"{room.name} and {other.name} overlap"


def _outside(layout: Layout, boxes: dict[str, Rectangle], frame: Frame) -> Iterator[str]:
    plot = [frame.into(point) for point in layout.plot]
    upright = _box(frame, layout.plot)
    for room in layout.rooms:
        least = layout.limits.set_back_m
        if room.kind == "leaf_store":
            least = max(least, layout.limits.fire_gap_m)
        box = boxes[room.key]
        if upright is not None:
            gap = min(box[0] - upright[0], box[1] - upright[1], upright[2] - box[2], upright[3] - box[3])
        else:
            corners = rectangle((box[0] + NEAR, box[1] + NEAR, box[2] - NEAR, box[3] - NEAR))
            gap = gap_to_outline(corners, plot) - NEAR if all(has_inside(plot, corner) for corner in corners) else -1.0
        if gap < least - 2 * NEAR:
            yield f"{room.name} is nearer than {least:g} m to the plot's edge, or beyond it"


def _too_near(layout: Layout, boxes: dict[str, Rectangle]) -> Iterator[str]:
    limits = layout.limits
    for room in layout.rooms:
        if room.kind == "leaf_store":
            for other in layout.rooms:
                if other.kind != "leaf_store" and boxes_gap(boxes[room.key], boxes[other.key]) < limits.fire_gap_m - NEAR:
                    yield f"{other.name} is within the fire gap of the leaf store"
        elif room.kind in RAW:
            for other in layout.rooms:
                if other.kind in CLEAN and boxes_gap(boxes[room.key], boxes[other.key]) < limits.clean_gap_m - NEAR:
                    yield f"{other.name} is too near to {room.name}"


def _wall_boxes(layout: Layout, frame: Frame) -> list[Rectangle]:
    found = []
    for wall in layout.walls:
        (u0, v0), (u1, v1) = sorted((frame.into(wall.start), frame.into(wall.end)))
        half = wall.thickness_m / 2
        if half > 0:
            along = abs(u1 - u0) > abs(v1 - v0)
            low, high = min(v0, v1), max(v0, v1)
            found.append((u0, low - half, u1, high + half) if along else (u0 - half, low, u1 + half, high))
    return found


def _ways_blocked(layout: Layout, boxes: dict[str, Rectangle], frame: Frame) -> Iterator[str]:
    """Aisles that a room or a wall stands in."""
    walls = _wall_boxes(layout, frame)
    for aisle in layout.aisles:
        way = _box(frame, aisle.polygon)
        if way is None:
            yield f"the {aisle.kind} is not a rectangle square to the gate"
            continue
        inner = (way[0] + NEAR, way[1] + NEAR, way[2] - NEAR, way[3] - NEAR)
        for room in layout.rooms:
            if boxes_overlap(inner, boxes[room.key]):
                yield f"{room.name} stands in the {aisle.kind}"
        if any(boxes_overlap(inner, wall) for wall in walls):
            yield f"a wall stands in the {aisle.kind}"
        if aisle.kind != "lane":
            if min(way[2] - way[0], way[3] - way[1]) < layout.limits.aisle_m - NEAR:
                yield f"the {aisle.kind} is narrower than {layout.limits.aisle_m:g} m"
            corners = rectangle(inner)
            if not all(has_inside([frame.into(point) for point in layout.plot], corner) for corner in corners):
                yield f"the {aisle.kind} leaves the plot"


def _lane_faults(layout: Layout, boxes: dict[str, Rectangle], frame: Frame, lane: Rectangle | None) -> Iterator[str]:
    assert lane is not None
    vehicle, limits = layout.vehicle, layout.limits
    plot = [frame.into(point) for point in layout.plot]
    corners = rectangle((lane[0] + NEAR, lane[1] + NEAR, lane[2] - NEAR, lane[3] - NEAR))
    if not all(has_inside(plot, corner) for corner in corners) or gap_to_outline(corners, plot) <= 0:
        yield "the lane leaves the plot"
    if lane[3] < vehicle.length_m - NEAR:
        yield "the vehicle is longer than the lane"
    if lane[2] - lane[0] < vehicle.width_m + 2 * limits.lane_clearance_m - NEAR:
        yield "the lane is narrower than the vehicle with its clearance"
    swept = [frame.into(point) for point in layout.swept]
    if signed_area(swept) <= 0:
        yield "the outline of what the vehicle passes over runs the wrong way"
    within = [(u, v) for u, v in _at_gate(swept) if v >= -NEAR]
    slack = limits.lane_clearance_m - NEAR
    if any(u < lane[0] + slack or u > lane[2] - slack or v > lane[3] - slack for u, v in within):
        yield "the vehicle passes nearer to the lane's edge or end than its clearance"
    path = tuple(frame.into(point) for point in layout.path)
    grown = heading_slack(vehicle)
    every = poses(vehicle, path)
    for body in every[:: max(1, len(every) // 12)] + every[-1:]:
        for at in body:
            if not has_inside(swept, at) and min(point_to_segment(at, a, b) for a, b in edges(swept)) > grown:
                yield "the vehicle leaves the outline of what it passes over"
                return
    for kind in ON_LANE:
        rooms = [room for room in layout.rooms if room.kind == kind]
        ways = [opening for room in rooms for opening in room.openings if opening.kind == "vehicle"]
        if rooms and not any(_on_lane(frame, opening, lane, layout) for opening in ways):
            yield f"{rooms[0].name} has no opening on the lane as wide as the vehicle"


def _at_gate(swept: list[Point]) -> Iterator[Point]:
    """The outline's points, and where it crosses the plot's edge."""
    for (u0, v0), (u1, v1) in edges(swept):
        yield u0, v0
        if (v0 < 0) != (v1 < 0):
            yield u0 + (u1 - u0) * (0 - v0) / (v1 - v0), 0.0


def _on_lane(frame: Frame, opening: Opening, lane: Rectangle, layout: Layout) -> bool:
    (u0, v0), (u1, v1) = sorted((frame.into(opening.start), frame.into(opening.end)))
    reach = max((wall.thickness_m for wall in layout.walls), default=0.0) + NEAR
    box = (u0, min(v0, v1), u1, max(v0, v1))
    if boxes_gap(box, lane) > reach:
        return False
    shared = max(min(box[2], lane[2]) - max(box[0], lane[0]), min(box[3], lane[3]) - max(box[1], lane[1]))
    return shared >= min(layout.vehicle.width_m, math.dist(opening.start, opening.end)) - NEAR


def _not_reached(layout: Layout, boxes: dict[str, Rectangle], frame: Frame, lane: Rectangle | None) -> Iterator[str]:
    """Rooms to which no trolley as wide as the aisle can be pushed from the gate."""
    assert lane is not None
    walls = [(u0 + NEAR, v0 + NEAR, u1 - NEAR, v1 - NEAR) for u0, v0, u1, v1 in _wall_boxes(layout, frame)]
    obstacles = [*boxes.values(), *walls]  # a wall ends on a room's front: rounding must not let it stand out
    reach = Reach(tuple(frame.into(point) for point in layout.plot), obstacles, layout.limits.aisle_m, (lane[0], lane[2]))
    for room in layout.rooms:
        if not room.openings:
            yield f"{room.name} has no way in"
            continue
        if not any(_opened(frame, room, boxes[room.key], opening) is not None for opening in room.openings):
            yield f"{room.name}: its way in is not on its edge"
            continue
        if not any(_reached(frame, room, boxes[room.key], opening, reach, lane, layout) for opening in room.openings):
            yield f"{room.name} can't be reached from the gate"
        if room.kind in BAY_KINDS and not any(opening.kind == "bay_front" for opening in room.openings):
            yield f"{room.name} has no open front"


def _opened(frame: Frame, room: Room, box: Rectangle, opening: Opening) -> tuple[float, float, float, tuple[int, int]] | None:
    """From, to, line and outward side of a way in, where it lies on the room's edge."""
    (u0, v0), (u1, v1) = frame.into(opening.start), frame.into(opening.end)
    if abs(v0 - v1) < NEAR and box[0] - NEAR <= min(u0, u1) and max(u0, u1) <= box[2] + NEAR:
        if abs(v0 - box[3]) < NEAR:
            return min(u0, u1), max(u0, u1), box[3], (0, 1)
        if abs(v0 - box[1]) < NEAR:
            return min(u0, u1), max(u0, u1), box[1], (0, -1)
    if abs(u0 - u1) < NEAR and box[1] - NEAR <= min(v0, v1) and max(v0, v1) <= box[3] + NEAR:
        if abs(u0 - box[2]) < NEAR:
            return min(v0, v1), max(v0, v1), box[2], (1, 0)
        if abs(u0 - box[0]) < NEAR:
            return min(v0, v1), max(v0, v1), box[0], (-1, 0)
    return None


def _reached(frame: Frame, room: Room, box: Rectangle, opening: Opening, reach: Reach, lane: Rectangle, layout: Layout) -> bool:
    stretch = _opened(frame, room, box, opening)
    if stretch is None:
        return False
    if opening.kind == "vehicle" and _on_lane(frame, opening, lane, layout):
        return True
    return reach.before(*stretch)
