"""From an arrangement to the plan of a yard: walls and their openings, roofs, channels with their fall, dimensions."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from calculators.drawing.arrange import Arrangement, Placed, Run, Way
from calculators.drawing.layout import (
    BAY_KINDS,
    Aisle,
    Dimension,
    Drain,
    Fall,
    Gate,
    Layout,
    Marked,
    Opening,
    Point,
    Polygon,
    Roof,
    Room,
    Wall,
)
from calculators.drawing.polygons import EPS, Frame, Rectangle
from calculators.drawing.programme import DOOR_M, NAMES, SHUT, STORE_DOOR_M, Case, beds_across
from calculators.drawing.swept import way_in


def build(case: Case, found: Arrangement) -> Layout:
    """The whole plan, in x and y."""
    frame = found.ground.frame
    rooms, beds = _rooms(case, found)
    path, swept = way_in(case.vehicle, case.rear_radius_m, case.road_m, found.lane[3] - case.limits.lane_clearance_m)
    half_gate = max(case.gate_m / 2, found.ground.half)
    drains, sump = _drains(case, found)
    return Layout(
        plot=case.plot,
        usable=tuple(frame.out(point) for point in found.ground.usable),
        gate=Gate(frame.out((-half_gate, 0.0)), frame.out((half_gate, 0.0)), frame.inward),
        rooms=rooms,
        aisles=_aisles(found),
        walls=_walls(case, found),
        roofs=tuple(_roof(case, frame, core) for core in found.cores),
        drains=tuple(Drain(frame.out(a), frame.out(b), case.channel_fall_percent, c, d) for a, b, c, d in drains),
        falls=tuple(_fall(case, frame, run) for run in found.runs),
        marks=_marks(found, sump),
        dimensions=_dimensions(case, found),
        vehicle=case.vehicle,
        swept=tuple(frame.out(point) for point in swept),
        path=tuple(frame.out(point) for point in path),
        limits=case.limits,
        beds=beds,
    )


# ---- rooms ----------------------------------------------------------------------------------------------------


def _edge(box: Rectangle, side: tuple[int, int], wanted: float = math.inf) -> tuple[Point, Point]:
    """The middle stretch, at most ``wanted`` long, of one side of a box."""
    u0, v0, u1, v1 = box
    if side[0] == 0:
        half = min(u1 - u0, wanted) / 2
        line = v1 if side[1] > 0 else v0
        return ((u0 + u1) / 2 - half, line), ((u0 + u1) / 2 + half, line)
    half = min(v1 - v0, wanted) / 2
    line = u1 if side[0] > 0 else u0
    return (line, (v0 + v1) / 2 - half), (line, (v0 + v1) / 2 + half)


def _front_openings(placed: Placed) -> list[tuple[str, tuple[int, int], tuple[Point, Point]]]:
    """Kind, side and stretch of each way into a room, in the frame of the gate."""
    kind = placed.cell.kind
    found: list[tuple[str, tuple[int, int], tuple[Point, Point]]] = []
    lane = placed.lane_side
    if lane is not None:
        width = STORE_DOOR_M if kind in SHUT else math.inf
        found.append(("vehicle", lane, _edge(placed.box, lane, width)))
    if kind in BAY_KINDS:
        found.append(("bay_front", placed.front, _edge(placed.box, placed.front)))
    elif kind in SHUT:
        if lane != placed.front:
            found.append(("door", placed.front, _edge(placed.box, placed.front, DOOR_M)))
    elif lane != placed.front:
        found.append(("open_side", placed.front, _edge(placed.box, placed.front)))
    return found


def _every_placed(found: Arrangement) -> list[Placed]:
    return [placed for run in found.runs for placed in run.cells] + ([found.leaf] if found.leaf else [])


def _rooms(case: Case, found: Arrangement) -> tuple[tuple[Room, ...], tuple[Polygon, ...]]:
    frame = found.ground.frame
    rooms: list[Room] = []
    beds: list[Polygon] = []
    for placed in _every_placed(found):
        cell = placed.cell
        openings = tuple(
            Opening(kind, frame.out(a), frame.out(b)) for kind, _, (a, b) in _front_openings(placed)  # type: ignore[arg-type]
        )
        covered = cell.kind != "leaf_store" or case.programme.leaf_store_covered
        rooms.append(Room(cell.key, cell.kind, cell.name, frame.box(placed.box), openings, covered))
        beds += [frame.box(bed) for bed in _beds(case, placed)]
    return tuple(rooms), tuple(beds)


def _beds(case: Case, placed: Placed) -> list[Rectangle]:
    """The beds of a room of beds, in files from its front to its back."""
    if not placed.cell.beds:
        return []
    wanted = case.programme
    behind, wide = beds_across(wanted)
    gap = wanted.worm_bed_gap_m
    across = wide - gap
    deep = wanted.worm_bed_length_m + wanted.worm_bed_width_m - across
    axis = 0 if placed.front[0] == 0 else 1
    u0, v0, u1, v1 = placed.box
    start = u0 if axis == 0 else v0
    sign = -(placed.front[1] if axis == 0 else placed.front[0])
    front = {(0, 1): v1, (0, -1): v0, (1, 0): u1, (-1, 0): u0}[placed.front]
    found: list[Rectangle] = []
    for index in range(placed.cell.beds):
        file, place = divmod(index, behind)
        along = start + gap + file * wide
        lines = sorted((front + sign * place * (deep + gap), front + sign * (place * (deep + gap) + deep)))
        found.append((along, lines[0], along + across, lines[1]) if axis == 0 else (lines[0], along, lines[1], along + across))
    return found


# ---- walls ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Piece:
    """A piece of wall along one line: along ``axis``, at ``line``, from ``low`` to ``high``; ``rank`` 2 room, 1 partition, 0 back."""

    axis: int
    line: float
    low: float
    high: float
    rank: int


def _walls(case: Case, found: Arrangement) -> tuple[Wall, ...]:
    frame, wall = found.ground.frame, case.programme.wall_m
    pieces: list[_Piece] = []
    fronts: list[tuple[str, Point, Point]] = []
    for run in found.runs:
        pieces += _run_pieces(case, run, wall)
        for placed in run.cells:
            fronts += _run_front(placed, wall)
    walls: list[Wall] = []
    for piece in _joined(pieces):
        a, b = ((piece.low, piece.line), (piece.high, piece.line)) if piece.axis == 0 else ((piece.line, piece.low), (piece.line, piece.high))
        solid, mesh = (case.room_wall_m, 0.0) if piece.rank == 2 else (case.low_wall_m, case.mesh_m)
        kind = ("back", "partition", "room")[piece.rank]
        walls.append(Wall(kind, frame.out(a), frame.out(b), wall, solid, mesh))  # type: ignore[arg-type]
    for kind, a, b in fronts:
        solid, mesh = (case.room_wall_m, 0.0) if kind == "room" else (case.low_wall_m, case.mesh_m)
        walls.append(Wall(kind, frame.out(a), frame.out(b), 0.0 if kind == "front" else wall, solid, mesh))  # type: ignore[arg-type]
    return tuple(walls)


def _run_pieces(case: Case, run: Run, wall: float) -> list[_Piece]:
    """Back wall and partitions of a run. A partition is a room's wall where a shut room stands on either side of it."""
    across = 1 - run.axis
    first = run.cells[0].box
    deep = abs(first[3] - first[1]) if run.axis == 0 else abs(first[2] - first[0])
    back = run.front + run.back * (deep + wall / 2)
    low, high = sorted((run.front, run.front + run.back * (deep + wall)))
    ordered = sorted(run.cells, key=lambda placed: placed.box[run.axis])
    found: list[_Piece] = []
    lines = [run.start + wall / 2] + [placed.box[run.axis + 2] + wall / 2 for placed in ordered]
    for index, line in enumerate(lines):
        beside = [placed for placed in ordered[max(0, index - 1) : index + 1]]
        if not any(abs(line - placed.box[run.axis]) < wall + EPS or abs(line - placed.box[run.axis + 2]) < wall + EPS for placed in beside):
            continue
        rank = 2 if any(placed.cell.kind in SHUT for placed in beside) else 1
        gaps: list[tuple[float, float]] = []
        for placed in beside:
            side = placed.lane_side
            if side is None or side[across] != 0:
                continue
            edge = placed.box[run.axis + 2] if side[run.axis] > 0 else placed.box[run.axis]
            if abs(edge - line) > wall:
                continue
            (a, b) = _edge(placed.box, side, STORE_DOOR_M if placed.cell.kind in SHUT else math.inf)
            gaps.append((a[across], b[across]))
        start = low
        for left, right in gaps:
            if left - start > EPS:
                found.append(_Piece(across, line, start, left, rank))
            start = right
        if high - start > EPS:
            found.append(_Piece(across, line, start, high, rank))
    for placed in ordered:
        found.append(_Piece(run.axis, back, placed.box[run.axis] - wall, placed.box[run.axis + 2] + wall, 2 if placed.cell.kind in SHUT else 0))
    return found


def _run_front(placed: Placed, wall: float) -> list[tuple[str, Point, Point]]:
    """What closes the front of a room: mesh for a bay, walls beside the door for a shut room, nothing else."""
    a, b = _edge(placed.box, placed.front)
    if placed.cell.kind in BAY_KINDS:
        return [("front", a, b)]
    if placed.cell.kind not in SHUT:
        return []
    on_lane = placed.lane_side == placed.front
    c, d = _edge(placed.box, placed.front, STORE_DOOR_M if on_lane else DOOR_M)
    du, dv = -placed.front[0] * wall / 2, -placed.front[1] * wall / 2  # it stands within the room's front line
    return [
        ("room", (p[0] + du, p[1] + dv), (q[0] + du, q[1] + dv)) for p, q in ((a, c), (d, b)) if math.dist(p, q) > EPS
    ]


def _joined(pieces: Iterable[_Piece]) -> list[_Piece]:
    """Pieces on one line made into one where they meet or overlap; where two lie on each other the firmer stays."""
    lines: dict[tuple[int, float], list[_Piece]] = {}
    for piece in pieces:
        lines.setdefault((piece.axis, round(piece.line, 6)), []).append(piece)
    found: list[_Piece] = []
    for (axis, _), group in sorted(lines.items()):
        cuts = sorted({round(value, 9) for piece in group for value in (piece.low, piece.high)})
        open_piece: _Piece | None = None
        for low, high in zip(cuts, cuts[1:]):
            if high - low < EPS:
                continue
            ranks = [piece.rank for piece in group if piece.low <= low + EPS and piece.high >= high - EPS]
            if not ranks:
                continue
            rank = max(ranks)
            if open_piece and open_piece.rank == rank and abs(open_piece.high - low) < 2 * EPS:
                open_piece = _Piece(axis, open_piece.line, open_piece.low, high, rank)
                found[-1] = open_piece
            else:
                open_piece = _Piece(axis, group[0].line, low, high, rank)
                found.append(open_piece)
    return found


# ---- ways and roofs -------------------------------------------------------------------------------------------


def _aisles(found: Arrangement) -> tuple[Aisle, ...]:
    frame = found.ground.frame
    covers = [core[0] for core in found.cores]

    def under(box: Rectangle) -> bool:
        middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
        return any(c[0] <= middle[0] <= c[2] and c[1] <= middle[1] <= c[3] for c in covers)

    ways = [Aisle("aisle", frame.box(way.box), under(way.box)) for way in found.aisles]
    if found.spine is not None:
        ways.append(Aisle("spine", frame.box(found.spine.box), under(found.spine.box)))
    return (*ways, Aisle("lane", frame.box(found.lane), under(found.lane)))


def _overhang(case: Case) -> float:
    """The overhang, never beyond the set-back."""
    return min(case.overhang_m, case.limits.set_back_m)


def roof_box(case: Case, core: tuple[Rectangle, int, bool, bool]) -> Rectangle:
    """A roof seen from above: its core with the overhang, but where another roof follows."""
    (u0, v0, u1, v1), axis, before, after = core
    over = _overhang(case)
    if axis == 0:
        return u0 - over, v0 - over * (not before), u1 + over, v1 + over * (not after)
    return u0 - over * (not before), v0 - over, u1 + over * (not after), v1 + over


def _roof(case: Case, frame: Frame, core: tuple[Rectangle, int, bool, bool]) -> Roof:
    box = roof_box(case, core)
    u0, v0, u1, v1 = box
    middle = ((core[0][0] + core[0][2]) / 2, (core[0][1] + core[0][3]) / 2)
    ridge = ((u0, middle[1]), (u1, middle[1])) if core[1] == 0 else ((middle[0], v0), (middle[0], v1))
    return Roof(frame.box(box), (frame.out(ridge[0]), frame.out(ridge[1])), math.degrees(math.atan(case.roof_pitch_percent / 100)),
                case.low_wall_m + case.mesh_m, _overhang(case))  # fmt: skip


# ---- water ----------------------------------------------------------------------------------------------------


def _fall(case: Case, frame: Frame, run: Run) -> Fall:
    box = run.cells[0].box
    middle = (run.start + run.end) / 2
    deep = run.front + run.back * (box[3] - box[1] if run.axis == 0 else box[2] - box[0])
    a, b = ((middle, deep), (middle, run.front)) if run.axis == 0 else ((deep, middle), (run.front, middle))
    return Fall(frame.out(a), frame.out(b), case.floor_slope_percent)


_Channel = tuple[Point, Point, float, float]


def _drains(case: Case, found: Arrangement) -> tuple[list[_Channel], Point]:
    """Channels with the levels of both ends, those that run into another before it, and where the sump is."""
    fall = case.channel_fall_percent / 100
    if not found.aisles:
        return _drains_alone(found, fall)
    spine, axis = found.spine, found.aisles[0].axis
    made: list[_Channel] = []

    def at(way: Way, along: float) -> Point:
        across = _middle(way)
        return (along, across) if way.axis == 0 else (across, along)

    if spine is None:
        way = found.aisles[0]
        low, high = way.box[axis], way.box[axis + 2]
        start, end = (low, high) if axis == 1 or found.raw_side > 0 else (high, low)
        return [(at(way, start), at(way, end), 0.0, -fall * (high - low))], at(way, end)
    meet = _middle(spine)
    joins: list[tuple[float, float]] = []  # where along the spine, at what level
    collected = found.aisles if axis == 1 else found.aisles[1:]
    for way in collected:
        for end in (way.box[axis], way.box[axis + 2]):
            length = abs(end - meet)
            if length > EPS:
                made.append((at(way, end), at(way, meet), 0.0, -fall * length))
                joins.append((_middle(way), -fall * length))
    if axis == 0:
        outlet = _middle(found.aisles[0])
        level, start = _collected(joins, outlet, fall)
        made.append((at(spine, start), at(spine, outlet), level, level - fall * abs(start - outlet)))
        first = found.aisles[0]
        low, high = first.box[0], first.box[2]
        far, end = (low, high) if found.raw_side > 0 else (high, low)
        level = min(0.0, made[-1][3] + fall * abs(meet - far))
        made.append((at(first, far), at(first, end), level, level - fall * (high - low)))
        return made, at(first, end)
    outlet = spine.box[2] if found.raw_side > 0 else spine.box[0]
    level, start = _collected(joins, outlet, fall)
    made.append((at(spine, start), at(spine, outlet), level, level - fall * abs(start - outlet)))
    return made, at(spine, outlet)


def _middle(way: Way) -> float:
    across = 1 - way.axis
    return (way.box[across] + way.box[across + 2]) / 2


def _collected(joins: list[tuple[float, float]], outlet: float, fall: float) -> tuple[float, float]:
    """Level at which a collecting channel begins, and where, so that every channel runs down into it."""
    start = max((where for where, _ in joins), key=lambda where: abs(where - outlet))
    return min(level + fall * abs(where - start) for where, level in joins), start


def _drains_alone(found: Arrangement, fall: float) -> tuple[list[_Channel], Point]:
    """Where blocks stand alone: a channel before each row of bays, and the sump at the end of the longest."""
    made: list[_Channel] = []
    for run in found.runs:
        if run.cells[0].cell.kind in BAY_KINDS:
            a, b = ((run.start, run.front), (run.end, run.front)) if run.axis == 0 else ((run.front, run.start), (run.front, run.end))
            made.append((a, b, 0.0, -fall * (run.end - run.start)))
    if not made:
        return [], (0.0, found.lane[3])
    return made, min(made, key=lambda channel: channel[3])[1]


# ---- marks and dimensions -------------------------------------------------------------------------------------


def _marks(found: Arrangement, sump: Point) -> tuple[Marked, ...]:
    frame = found.ground.frame
    made = [Marked("sump", frame.out(sump), "Sump")]
    for placed in _every_placed(found):
        kind = placed.cell.kind
        a, b = _edge(placed.box, placed.front)
        front = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        if kind in ("tools_washing", "receiving"):
            made.append(Marked("tap", frame.out(front), f"Tap: {NAMES[kind].lower()}"))
        if kind in ("shredding", "screening"):
            made.append(Marked("power", frame.out(front), f"Power and isolator: {NAMES[kind].lower()}"))
        if kind in ("leaf_store", "shredding"):
            made.append(Marked("extinguisher", frame.out(a), f"Extinguisher: {NAMES[kind].lower()}"))
    for run in found.runs:
        if len(run.cells) > 1:
            along = (run.start + run.end) / 2
            made.append(Marked("lamp", frame.out((along, run.front) if run.axis == 0 else (run.front, along)), "Light over the aisle"))
    return tuple(made)


def _dimensions(case: Case, found: Arrangement) -> tuple[Dimension, ...]:
    frame = found.ground.frame
    made: list[Dimension] = []
    count = len(case.plot)
    for index in range(count):
        made.append(Dimension(case.plot[(index + 1) % count], case.plot[index], 1.5, "plot"))
    half = found.ground.half
    middle = found.lane[3] / 2
    made.append(Dimension(frame.out((-half, middle)), frame.out((half, middle)), 0.0, "lane"))
    for way in found.aisles[: 1 if found.spine is None else None]:
        u0, v0, u1, v1 = way.box
        if way.axis == 0:
            made.append(Dimension(frame.out((u1 - 0.5, v0)), frame.out((u1 - 0.5, v1)), 0.0, "aisle"))
        else:
            made.append(Dimension(frame.out((u0, v1 - 0.5)), frame.out((u1, v1 - 0.5)), 0.0, "aisle"))
    for run in found.runs[:1]:
        box = run.cells[-1].box
        made.append(Dimension(frame.out((box[0], box[1])), frame.out((box[2], box[1])), 0.3, "room"))
        made.append(Dimension(frame.out((box[0], box[1])), frame.out((box[0], box[3])), -0.3, "room"))
    for core, axis, _, _ in found.cores:
        u0, v0, u1, v1 = core
        if axis == 0:
            made.append(Dimension(frame.out((u0, v0)), frame.out((u0, v1)), 0.7, "row and aisle"))
        else:
            made.append(Dimension(frame.out((u0, v0)), frame.out((u1, v0)), -0.7, "row and aisle"))
    if found.leaf is not None and found.cores:
        (u0, v0, u1, v1) = found.leaf.box
        nearest = max((box[3] for core in found.cores for box in (core[0],) if box[3] < v0 + EPS), default=None)
        if nearest is not None:
            made.append(Dimension(frame.out(((u0 + u1) / 2, nearest)), frame.out(((u0 + u1) / 2, v0)), 0.0, "fire gap"))
    return tuple(made)
