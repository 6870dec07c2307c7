"""Areas, lengths and counts of a plan: what an estimate is made from, each taken from the geometry itself."""

from __future__ import annotations

import math
from dataclasses import dataclass

from calculators.drawing.layout import Layout, Point, Polygon
from calculators.drawing.polygons import Frame, Rectangle, area, bounds, perimeter, union_area
from calculators.drawing.programme import BAY_NAMES, NAMES, SHUT


@dataclass(frozen=True)
class Measures:
    """What is measured. Plan areas are seen from above; what lies under two roofs is counted once."""

    plot_m2: float
    roof_m2: float
    covered_floor_m2: float
    open_pad_m2: float
    paved_m2: float
    roof_length_m: float
    roof_span_m: float
    roof_slope_m2: float
    ridge_height_m: float
    gutter_m: float
    drain_m: float
    drain_drop_m: float
    floor_drop_m: float
    aisle_m: float
    lane_m: float
    lane_width_m: float
    wall_m: float
    partition_m: float
    room_wall_m: float
    solid_wall_m2: float
    mesh_m2: float
    bay_front_count: int
    door_count: int
    store_door_count: int
    plot_perimeter_m: float
    gate_clear_m: float


def measure(layout: Layout) -> Measures:
    """The measures of a plan."""
    frame = _frame(layout)
    roofs = [_box(frame, roof.polygon) for roof in layout.roofs]
    cores = [_core(layout, index, frame) for index in range(len(layout.roofs))]
    ways = [_box(frame, aisle.polygon) for aisle in layout.aisles]
    bare = [_box(frame, room.polygon) for room in layout.rooms if not room.covered]
    covered = union_area(cores)
    paved = union_area([*cores, *ways, *bare])
    slopes = 0.0
    heights: list[float] = []
    for roof, box in zip(layout.roofs, roofs, strict=True):
        span = _across(frame, roof.ridge, box)
        slopes += area(roof.polygon) / math.cos(math.radians(roof.pitch_degrees))
        heights.append(roof.eaves_height_m + span / 2 * math.tan(math.radians(roof.pitch_degrees)))
    openings = [(room.kind, opening) for room in layout.rooms for opening in room.openings]
    lane = next(aisle for aisle in layout.aisles if aisle.kind == "lane")
    lane_box = _box(frame, lane.polygon)
    return Measures(
        plot_m2=area(layout.plot),
        roof_m2=union_area(roofs),
        covered_floor_m2=covered,
        open_pad_m2=paved - covered,
        paved_m2=paved,
        roof_length_m=sum(math.dist(*roof.ridge) for roof in layout.roofs),
        roof_span_m=max((_across(frame, roof.ridge, box) for roof, box in zip(layout.roofs, roofs, strict=True)), default=0.0),
        roof_slope_m2=slopes,
        ridge_height_m=max(heights, default=0.0),
        gutter_m=_eaves(frame, layout, roofs),
        drain_m=sum(math.dist(drain.start, drain.end) for drain in layout.drains),
        drain_drop_m=-min((drain.level_end_m for drain in layout.drains), default=0.0),
        floor_drop_m=max((math.dist(fall.start, fall.end) * fall.percent / 100 for fall in layout.falls), default=0.0),
        aisle_m=sum(max(b[2] - b[0], b[3] - b[1]) for a, b in zip(layout.aisles, ways, strict=True) if a.kind != "lane"),
        lane_m=lane_box[3] - lane_box[1],
        lane_width_m=lane_box[2] - lane_box[0],
        wall_m=sum(math.dist(wall.start, wall.end) for wall in layout.walls if wall.kind != "front"),
        partition_m=sum(math.dist(wall.start, wall.end) for wall in layout.walls if wall.kind == "partition"),
        room_wall_m=sum(math.dist(wall.start, wall.end) for wall in layout.walls if wall.kind == "room"),
        solid_wall_m2=sum(math.dist(wall.start, wall.end) * wall.solid_m for wall in layout.walls if wall.kind != "front"),
        mesh_m2=sum(math.dist(wall.start, wall.end) * (wall.mesh_m + (wall.solid_m if wall.kind == "front" else 0)) for wall in layout.walls),
        bay_front_count=sum(opening.kind == "bay_front" for _, opening in openings),
        door_count=sum(opening.kind == "door" for _, opening in openings),
        store_door_count=sum(opening.kind == "vehicle" and kind in SHUT for kind, opening in openings),
        plot_perimeter_m=perimeter(layout.plot),
        gate_clear_m=math.dist(layout.gate.start, layout.gate.end),
    )  # fmt: skip


def _frame(layout: Layout) -> Frame:
    return Frame(layout.gate.start, layout.gate.inward)


def _box(frame: Frame, polygon: Polygon) -> Rectangle:
    return bounds(frame.into(point) for point in polygon)


def _core(layout: Layout, index: int, frame: Frame) -> Rectangle:
    """A roof without its overhang: where another roof follows there is none to take off."""
    u0, v0, u1, v1 = _box(frame, layout.roofs[index].polygon)
    over = layout.roofs[index].overhang_m
    free = [True, True, True, True]
    ridge = [frame.into(point) for point in layout.roofs[index].ridge]
    along = 0 if abs(ridge[0][1] - ridge[1][1]) < abs(ridge[0][0] - ridge[1][0]) else 1
    for other in range(len(layout.roofs)):
        if other == index:
            continue
        against = _box(frame, layout.roofs[other].polygon)
        if along == 0:
            if against[0] < u1 - 1e-6 and u0 < against[2] - 1e-6:
                free[1] = free[1] and abs(against[3] - v0) > 1e-6
                free[3] = free[3] and abs(against[1] - v1) > 1e-6
        elif against[1] < v1 - 1e-6 and v0 < against[3] - 1e-6:
            free[0] = free[0] and abs(against[2] - u0) > 1e-6
            free[2] = free[2] and abs(against[0] - u1) > 1e-6
    return u0 + over * free[0], v0 + over * free[1], u1 - over * free[2], v1 - over * free[3]


def _across(frame: Frame, ridge: tuple[tuple[float, float], tuple[float, float]], box: Rectangle) -> float:
    """The span of a roof: its plan across the ridge."""
    (u0, v0), (u1, v1) = frame.into(ridge[0]), frame.into(ridge[1])
    return box[3] - box[1] if abs(v1 - v0) < abs(u1 - u0) else box[2] - box[0]


def _eaves(frame: Frame, layout: Layout, boxes: list[Rectangle]) -> float:
    """Length of gutter: both eaves of each roof; where two roofs meet, one gutter between them."""
    lines: dict[tuple[int, float], list[tuple[float, float]]] = {}
    for roof, (u0, v0, u1, v1) in zip(layout.roofs, boxes, strict=True):
        (a0, b0), (a1, b1) = frame.into(roof.ridge[0]), frame.into(roof.ridge[1])
        along_u = abs(b1 - b0) < abs(a1 - a0)
        for line in (v0, v1) if along_u else (u0, u1):
            lines.setdefault((0 if along_u else 1, round(line, 5)), []).append((u0, u1) if along_u else (v0, v1))
    return sum(union_area([(low, 0.0, high, 1.0) for low, high in stretches]) for stretches in lines.values())


def schedule(layout: Layout) -> tuple[tuple[object, ...], ...]:
    """Rooms of a kind in one line: name, how many, along the row and deep (of the first), floor of all, whether under roof."""
    lines: list[tuple[object, ...]] = []
    kinds = {room.kind for room in layout.rooms}
    for kind in (each for each in NAMES if each in kinds):
        rooms = [room for room in layout.rooms if room.kind == kind]
        corners = rooms[0].polygon
        first, second = math.dist(corners[0], corners[1]), math.dist(corners[1], corners[2])
        front = next((each for each in rooms[0].openings if each.kind != "vehicle"), rooms[0].openings[0])
        long, deep = (first, second) if _parallel(front.start, front.end, corners[0], corners[1]) else (second, first)
        name = BAY_NAMES.get(kind, NAMES[kind])
        lines.append((name, len(rooms), long, deep, sum(area(room.polygon) for room in rooms), "yes" if rooms[0].covered else "no"))
    return tuple(lines)


def _parallel(a: Point, b: Point, c: Point, d: Point) -> bool:
    return abs((b[0] - a[0]) * (d[1] - c[1]) - (b[1] - a[1]) * (d[0] - c[0])) < 1e-6
