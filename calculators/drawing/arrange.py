"""The search for an arrangement: rows of bays and rooms on both sides of aisles, or, where little is wanted, every place.

All of it is worked out in the frame of the gate (``u`` to the right, ``v`` into the plot). Two patterns are tried. *Across*:
rows run along the gate's side of the plot, the lane runs in through the first of them and goes on as an aisle to the others.
*Along*: rows run away from the gate, the first two on both sides of the lane; a cross aisle leads to the others. Each is tried
with few aisles first, with every place of the cross aisle, of the leaf store and of the rooms on the lane. Where none holds
and there are few blocks, every place on a grid is tried (``everywhere``). Nothing is drawn by lot: the same case always gives
the same arrangement.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

from calculators.drawing.layout import Polygon
from calculators.drawing.polygons import (
    EPS,
    Frame,
    Interval,
    Rectangle,
    area,
    boxes_gap,
    boxes_overlap,
    edges,
    free_intervals,
    inset,
    without,
)
from calculators.drawing.programme import (
    CLEAN,
    DOOR_M,
    NARROWEST_ROOM_M,
    ON_LANE,
    RAW,
    SHUT,
    STORE_DOOR_M,
    Case,
    Cell,
    bay_cells,
    room_cells,
    row_length,
    worm_cells,
)
from calculators.drawing.reach import Reach
from calculators.drawing.swept import drawn_half_width, half_width_at_gate, outer_corner_radius

SIDES = {"south": (0.0, -1.0), "north": (0.0, 1.0), "east": (1.0, 0.0), "west": (-1.0, 0.0)}
BEHIND_VEHICLE_M = 0.5
"""The lane is at least as long as the vehicle and this, so that the gate can be shut behind it."""
LEAST_LEAF_DEPTH_M = 1.5
MOST_TIERS = 40
HOPELESS = 2
"""Where more bays than this lack a place, other rooms beside the lane won't make room for them."""
MOST_FILLED = 80
"""Skeletons that are filled before the search gives up."""
AMPLE, AMPLE_M = 2.0, 20.0
"""Where rows of this many times what is needed, and this much more, were not filled, further rows won't help."""
GRID_STEP_M = 1.0
MOST_BLOCKS = 7
MOST_GRID_PLACES = 1_500
COST_OF_REACH = 50
"""Places that could be looked at in the time in which one arrangement is checked for ways."""
LISTED_FOR_ONE = 10
"""Places that are listed in the time in which one is looked at."""
MOST_PLACES = 6_000
"""Places that ``everywhere`` looks at before it gives up."""


@dataclass(frozen=True)
class Ground:
    """The plot in the gate's frame. ``half`` is half the lane's width, ``stop`` how far in it goes at least."""

    frame: Frame
    plot: Polygon
    usable: Polygon
    leaf_usable: Polygon | None
    half: float
    stop: float
    box: Rectangle | None
    low_u: float
    high_u: float
    low_v: float
    high_v: float
    turned: Polygon
    looked_up: dict[tuple[int, float, float], list[Interval]] = field(default_factory=dict, compare=False)

    def free(self, axis: int, low: float, high: float) -> list[Interval]:
        """Stretches within the set-back of a strip: along u for axis 0, along v for axis 1."""
        if self.box is not None:
            u0, v0, u1, v1 = self.box
            if axis == 0:
                return [(u0, u1)] if low >= v0 - EPS and high <= v1 + EPS else []
            return [(v0, v1)] if low >= u0 - EPS and high <= u1 + EPS else []
        strip = (axis, low, high)
        if strip not in self.looked_up:
            self.looked_up[strip] = free_intervals(self.usable if axis == 0 else self.turned, low, high)
        return self.looked_up[strip]


@dataclass
class Row:
    """A stretch of a row that can be filled: from ``near`` towards ``far``, open at ``front``, its back on the ``back`` side."""

    axis: int
    tier: int
    front: float
    back: int
    near: float
    far: float
    on_lane: bool = False
    used: float = 0.0
    cells: list[tuple[Cell, float]] = field(default_factory=list)

    @property
    def length(self) -> float:
        """What it could hold."""
        return abs(self.far - self.near)

    @property
    def way(self) -> int:
        """+1 where it is filled towards greater u or v, −1 where towards smaller."""
        return 1 if self.far > self.near else -1

    def box(self, offset: float, width: float, depth: float) -> Rectangle:
        """The clear floor of a cell that begins ``offset`` from the near end."""
        ends = sorted((self.near + self.way * offset, self.near + self.way * (offset + width)))
        deep = sorted((self.front, self.front + self.back * depth))
        if self.axis == 0:
            return ends[0], deep[0], ends[1], deep[1]
        return deep[0], ends[0], deep[1], ends[1]


@dataclass(frozen=True)
class Placed:
    """A cell in its place. ``front`` is the side of the box that is open: (0, ±1) or (±1, 0). ``lane_side`` likewise."""

    cell: Cell
    box: Rectangle
    front: tuple[int, int]
    lane_side: tuple[int, int] | None = None


@dataclass(frozen=True)
class Run:
    """Cells in one row, from one end wall to the other: along ``axis``, from ``start`` to ``end`` (walls included)."""

    axis: int
    front: float
    back: int
    start: float
    end: float
    cells: tuple[Placed, ...]
    tier: int


@dataclass(frozen=True)
class Way:
    """An aisle: its box, along which axis it runs, and its tier."""

    box: Rectangle
    axis: int
    tier: int


@dataclass(frozen=True)
class Arrangement:
    """What was found, in the frame of the gate. ``cores`` are the roofs without overhang, with the axis of the ridge and the
    sides (−, +) across it on which another roof follows."""

    pattern: str
    ground: Ground
    runs: tuple[Run, ...]
    aisles: tuple[Way, ...]
    spine: Way | None
    lane: Rectangle
    leaf: Placed | None
    cores: tuple[tuple[Rectangle, int, bool, bool], ...]
    raw_side: int


@dataclass(frozen=True)
class NoPlace:
    """Why nothing was found: ``reason`` in words, ``complete`` where every place of the grid was tried in vain."""

    reason: str
    complete: bool = False


@dataclass(frozen=True)
class _Skeleton:
    """Rows and ways of a pattern, before anything stands in them."""

    pattern: str
    axis: int
    rows: list[Row]
    aisles: list[tuple[int, float, float, Interval]]
    """Tier, from and to across, and the stretch along that is free."""
    spine: Interval | None
    spine_at: float
    lane_end: float
    first_tier_low: float


def ground_of(case: Case) -> Ground | NoPlace:
    """The plot in the frame of its gate, or why the gate, the lane or the set-back has no place on it."""
    limits = case.limits
    along = _gate_edge(case.plot, case.gate_side)
    (x0, y0), (x1, y1) = along
    length = math.hypot(x1 - x0, y1 - y0)
    dx, dy = (x1 - x0) / length, (y1 - y0) / length
    vehicle = case.vehicle
    front = vehicle.wheelbase_m + vehicle.front_overhang_m
    corner = outer_corner_radius(case.rear_radius_m, vehicle.wheelbase_m, vehicle.front_overhang_m, vehicle.width_m)
    swept = half_width_at_gate(case.rear_radius_m, corner, front, vehicle.width_m, case.road_m)
    if swept is None:
        return NoPlace("the vehicle can't turn in from the road")
    stop = max(vehicle.length_m + BEHIND_VEHICLE_M, case.rear_radius_m - case.road_m + front)
    drawn = drawn_half_width(vehicle, case.rear_radius_m, case.road_m, stop)
    stop += limits.lane_clearance_m
    half = max(limits.lane_m / 2, limits.aisle_m / 2, swept + limits.lane_clearance_m, drawn + limits.lane_clearance_m)
    if case.programme.receiving_m2 > 0 and case.programme.product_store_m2 > 0:
        half = max(half, limits.clean_gap_m / 2 - case.programme.wall_m)  # the lane parts raw waste from compost
    room = max(half + limits.set_back_m, case.gate_m / 2)
    if length < 2 * room - EPS:
        return NoPlace("the gate's side of the plot is shorter than the lane with the set-back on both sides")
    share = case.gate_position if (dx, dy) > (0, 0) or abs(dx) < 1e-9 < dy else 1 - case.gate_position
    at = min(max(share * length, room), length - room)
    frame = Frame((x0 + dx * at, y0 + dy * at), (-dy + 0.0, dx + 0.0))
    plot = tuple(frame.into(point) for point in case.plot)
    usable = inset(plot, limits.set_back_m)
    if usable is None:
        return NoPlace("the set-back leaves no one piece of the plot")
    leaf_usable = inset(plot, max(limits.set_back_m, limits.fire_gap_m)) if case.programme.leaf_store_m2 > 0 else None
    upright = len(usable) == 4 and all(abs(a[0] - b[0]) < 1e-9 or abs(a[1] - b[1]) < 1e-9 for a, b in edges(usable))
    low_u, high_u = min(p[0] for p in usable), max(p[0] for p in usable)
    low_v, high_v = limits.set_back_m, max(p[1] for p in usable)  # parts that lie beside or before the gate stay empty
    return Ground(
        frame, plot, usable, leaf_usable, half, stop,
        (low_u, low_v, high_u, high_v) if upright else None, low_u, high_u, low_v, high_v,
        tuple((v, u) for u, v in reversed(usable)),
    )  # fmt: skip


def _gate_edge(plot: Polygon, side: str) -> tuple[tuple[float, float], tuple[float, float]]:
    """The edge that looks most to that side; of several alike the longest."""
    sx, sy = SIDES[side]

    def looks(edge: tuple[tuple[float, float], tuple[float, float]]) -> tuple[float, float]:
        (x0, y0), (x1, y1) = edge
        length = math.hypot(x1 - x0, y1 - y0)
        return round(((y1 - y0) * sx - (x1 - x0) * sy) / length, 6), round(length, 6)

    return max(edges(plot), key=looks)


# ---- skeletons ------------------------------------------------------------------------------------------------


def _inside(stretches: Sequence[Interval], low: float, high: float) -> Interval | None:
    for left, right in stretches:
        if left <= low + EPS and right >= high - EPS:
            return left, right
    return None


def _cut(stretches: list[Interval], leaf: Rectangle | None, axis: int, low: float, high: float) -> list[Interval]:
    """The stretches of a strip without the leaf store and its gap."""
    if leaf is None:
        return stretches
    across = (leaf[1], leaf[3]) if axis == 0 else (leaf[0], leaf[2])
    if across[1] <= low + EPS or across[0] >= high - EPS:
        return stretches
    return without(stretches, *((leaf[0], leaf[2]) if axis == 0 else (leaf[1], leaf[3])))


@dataclass(frozen=True)
class _Stem:
    """What rows along u have in common wherever their spine runs. Each strip with its stretches that are free."""

    bands: list[tuple[int, float, float, float, int, list[Interval]]]
    ways: list[tuple[int, float, float, list[Interval]]]
    between: list[Interval]
    lane_end: float
    first: Interval


def _stem(ground: Ground, case: Case, start: str, around_leaf: Rectangle | None, tiers: int, through: bool) -> _Stem | None:
    """Rows along u. ``start``: a row or an aisle comes first. ``through``: the lane runs through the first aisle's far row."""
    depth, wall, aisle = case.programme.row_depth_m, case.programme.wall_m, case.limits.aisle_m
    gross, half = depth + wall, ground.half
    y: float | None = ground.low_v
    bands: list[tuple[int, float, float, float, int]] = []
    ways: list[tuple[int, float, float]] = []
    for tier in range(tiers):
        if y is None:
            return None
        low = y
        if tier or start == "row":
            low = y + gross
            bands.append((tier, y, low, low, -1))
        high = low + aisle
        if high > ground.high_v + EPS:
            return None
        ways.append((tier, low, high))
        y = None
        if high + gross <= ground.high_v + EPS:
            bands.append((tier, high, high + gross, high, 1))
            y = high + gross - wall
    if through and not any(band[0] == 0 and band[4] == 1 for band in bands):
        return None
    lane_end = max(ground.stop, ways[0][2] + gross if through else ways[0][2])

    def free(low: float, high: float) -> list[Interval]:
        return _cut(ground.free(0, low, high), around_leaf, 0, low, high)

    if _inside(free(ground.low_v, lane_end), -half, half) is None:
        return None
    first = _inside(free(*ways[0][1:]), -half, half)
    if first is None:
        return None
    return _Stem(
        [(*band, free(band[1], band[2])) for band in bands], [(*way, free(way[1], way[2])) for way in ways],
        free(ways[0][1], ways[-1][2]) if tiers > 1 else [], lane_end, first,
    )  # fmt: skip


def _across(ground: Ground, case: Case, stem: _Stem, spine_side: str) -> _Skeleton | None:
    """The rows of a stem with their spine on one side."""
    wall, aisle, half = case.programme.wall_m, case.limits.aisle_m, ground.half
    ways, several = stem.ways, len(stem.ways) > 1
    spine = {"middle": (-aisle / 2, aisle / 2), "left": (stem.first[0], stem.first[0] + aisle),
             "right": (stem.first[1] - aisle, stem.first[1])}[spine_side]  # fmt: skip
    aisles: list[tuple[int, float, float, Interval]] = [(*ways[0][:3], stem.first)]
    for tier, low, high, stretches in ways[1:]:
        found = _inside(stretches, *spine)
        if found is None:
            return None
        aisles.append((tier, low, high, found))
    if several and _inside(stem.between, *spine) is None:
        return None
    rows: list[Row] = []
    for tier, low, high, front, back, free in stem.bands:
        left_end, right_end = aisles[tier][3]
        stretches = [(max(left, left_end), min(right, right_end)) for left, right in free]
        anchor = 0.0
        if low < stem.lane_end - EPS:
            stretches = without(stretches, -half, half)
        elif several:
            anchor = (spine[0] + spine[1]) / 2
        if several and low > ways[0][1] - EPS and high < ways[-1][2] + EPS:
            stretches = without(stretches, *spine)
        for left, right in stretches:
            if right - left < NARROWEST_ROOM_M:
                continue
            near, far = (right, left) if abs(right - anchor) < abs(left - anchor) else (left, right)
            on_lane = tier == 0 and abs(abs(near) - half) < EPS and high <= stem.lane_end + EPS
            rows.append(Row(0, tier, front, back, near, far, on_lane, wall))
    return _Skeleton("across", 0, rows, aisles, spine if several else None, 0.0, stem.lane_end, ground.low_v)


def _along(ground: Ground, case: Case, cross: str, around_leaf: Rectangle | None, right: int, left: int) -> _Skeleton | None:
    """Rows along v: two on the lane, and ``right`` and ``left`` further aisles, reached by a cross aisle in front or behind."""
    depth, wall, aisle = case.programme.row_depth_m, case.programme.wall_m, case.limits.aisle_m
    gross, half = depth + wall, ground.half
    low_v, high_v = ground.low_v, ground.high_v
    if around_leaf is not None and around_leaf[2] - around_leaf[0] > 0.7 * (ground.high_u - ground.low_u):
        high_v = min(high_v, around_leaf[1])
    further = right + left > 0
    spine = None
    if further:
        spine = (low_v, low_v + aisle) if cross == "front" else (high_v - aisle, high_v)
    middle = _inside(
        _cut(ground.free(1, -half, half), around_leaf, 1, -half, half), low_v, max(ground.stop, spine[1] if spine else 0.0)
    )
    if middle is None:
        return None
    middle = (middle[0], min(middle[1], high_v))
    bands: list[tuple[int, float, float, float, int]] = []
    aisles: list[tuple[int, float, float, Interval]] = [(0, -half, half, middle)]
    tier = 0
    for side, count in ((1, right), (-1, left)):
        edge = side * half
        end = edge + side * gross
        limit = ground.high_u if side > 0 else ground.low_u
        if side * end > side * limit + EPS:
            if count:
                return None
            continue
        bands.append((0, min(edge, end), max(edge, end), edge, side))
        for _ in range(count):
            tier += 1
            back = end - side * wall
            front = back + side * gross
            out = front + side * aisle
            if side * out > side * limit + EPS:
                return None
            low, high = min(front, out), max(front, out)
            assert spine is not None
            stretch = _inside(_cut(ground.free(1, low, high), around_leaf, 1, low, high), *spine)
            if stretch is None:
                return None
            aisles.append((tier, low, high, (stretch[0], min(stretch[1], high_v))))
            bands.append((tier, min(back, front), max(back, front), front, -side))
            end = out + side * gross
            if side * end > side * limit + EPS:
                end = math.inf * side
                continue
            bands.append((tier, min(out, end), max(out, end), out, side))
    if spine is not None:
        low, high = min(each[1] for each in aisles), max(each[2] for each in aisles)
        if _inside(_cut(ground.free(0, *spine), around_leaf, 0, *spine), low, high) is None:
            return None
    lowest, highest = min(each[1] for each in aisles), max(each[2] for each in aisles)
    rows: list[Row] = []
    for tier_of, low, high, front, back in bands:
        stretch = next(each[3] for each in aisles if each[0] == tier_of)
        stretches = [
            (max(start, stretch[0]), min(end, stretch[1]))
            for start, end in _cut(ground.free(1, low, high), around_leaf, 1, low, high)
        ]
        if spine is not None and lowest < (low + high) / 2 < highest:
            stretches = without(stretches, *spine)
        for start, end in stretches:
            if end - start >= NARROWEST_ROOM_M:
                rows.append(Row(1, tier_of, front, back, start, end, tier_of == 0, wall))
    return _Skeleton("along", 1, rows, aisles, spine, 0.0, ground.stop, low_v)


def _leaf_places(ground: Ground, case: Case) -> Iterator[tuple[Rectangle | None, Rectangle | None]]:
    """Places for the leaf store at the far end of the plot, each with the gap around it; ``None`` where none is wanted."""
    floor = case.programme.leaf_store_m2
    if floor <= 0:
        yield None, None
        return
    room, gap = ground.leaf_usable, case.limits.fire_gap_m
    if room is None:
        return
    low_u, high_u = min(p[0] for p in room), max(p[0] for p in room)
    low_v, high_v = min(p[1] for p in room), max(p[1] for p in room)
    seen: set[Rectangle] = set()
    places: list[Rectangle] = []
    wide, deep = high_u - low_u, high_v - low_v
    for depth in (floor / wide, math.sqrt(floor), math.sqrt(2 * floor)):
        depth = max(depth, LEAST_LEAF_DEPTH_M)
        if depth > deep + EPS:
            continue
        width = floor / depth
        for step in range(1 if ground.box is not None else 8):
            top = high_v - step * (deep - depth) / 8
            found = [each for each in free_intervals(room, top - depth, top) if each[1] - each[0] >= width - 1e-6]
            if not found:
                continue
            for left in (found[0][0], found[-1][1] - width):
                box = (left, top - depth, left + width, top)
                rounded = tuple(round(value, 6) for value in box)
                if rounded not in seen:
                    seen.add(rounded)  # type: ignore[arg-type]
                    places.append(box)
            break
    if ground.box is None:
        places.sort(key=lambda box: -round(box[1], 6))  # the farther from the gate, the more room is left
    for box in places:
        yield box, (box[0] - gap, box[1] - gap, box[2] + gap, box[3] + gap)


def _most_across(ground: Ground, case: Case, start: str, tiers: int, through: bool) -> float:
    """No skeleton of rows along u holds more than this: each row the whole width, less what the lane and the spine take of it."""
    rows = 2 * tiers - (start == "aisle")
    lane, aisle = 2 * ground.half, case.limits.aisle_m
    beside = (lane if start == "row" else 0.0) + 2 * (tiers - 1) * aisle
    if through:
        beside += lane - aisle if tiers > 1 else lane
    return rows * (ground.high_u - ground.low_u - case.programme.wall_m) - beside


def _skeletons(ground: Ground, case: Case, around_leaf: Rectangle | None, need: float) -> Iterator[_Skeleton]:
    """Skeletons that hold enough length of row, those with few aisles first."""
    wall = case.programme.wall_m

    most = 0.0

    def enough(found: _Skeleton) -> bool:
        nonlocal most
        holds = sum(row.length - wall for row in found.rows)
        most = max(most, holds)
        return holds >= need - EPS

    gross = case.programme.row_depth_m + wall
    for tiers in range(1, MOST_TIERS + 1):
        any_fits = False
        too_short: list[tuple[str, bool]] = []
        width, deep = ground.high_u - ground.low_u, ground.high_v - ground.low_v
        sides = ("middle",) if tiers == 1 else ("middle", "left", "right")
        least = tiers * case.limits.aisle_m + (2 * tiers - 2) * gross + (1 - tiers) * wall
        if least > deep + EPS:
            pass  # so many aisles do not fit one behind the other
        elif 2 * tiers * width >= need:
            for start in ("row", "aisle"):
                for through in (False, True):
                    if start == "aisle" and not through:
                        continue
                    if _most_across(ground, case, start, tiers, through) < need - EPS:
                        too_short.append((start, through))
                        continue
                    stem = _stem(ground, case, start, around_leaf, tiers, through)
                    if stem and sum(max(0.0, right - left - wall) for band in stem.bands for left, right in band[5]) < need - EPS:
                        too_short.append((start, through))
                        continue
                    for side in sides if stem else ():
                        found = _across(ground, case, stem, side)
                        if found is not None:
                            any_fits = True
                            if enough(found):
                                yield found
        else:
            any_fits = True
        further = tiers - 1
        if (further - 1) * (case.limits.aisle_m + 2 * gross - 2 * wall) > width:
            pass
        elif 2 * tiers * deep >= need:
            pitch = case.limits.aisle_m + 2 * gross - 2 * wall
            to_right = min(further, math.floor(max(0.0, ground.high_u - ground.half) / pitch + 1))
            to_left = min(further, math.floor(max(0.0, -ground.low_u - ground.half) / pitch + 1))
            first, last = further - to_left, to_right
            for right in sorted({first, (first + last) // 2, last}) if first <= last else ():
                for cross in ("front", "back") if further else ("front",):
                    found = _along(ground, case, cross, around_leaf, right, further - right)
                    if found is not None:
                        any_fits = True
                        if enough(found):
                            yield found
        else:
            any_fits = True
        while too_short and not any_fits:
            start, through = too_short.pop()
            stem = _stem(ground, case, start, around_leaf, tiers, through)
            any_fits = stem is not None and any(_across(ground, case, stem, side) for side in sides)
        if not any_fits or most > AMPLE * need + AMPLE_M:
            return


# ---- filling --------------------------------------------------------------------------------------------------


def _fill_rows(skeleton: _Skeleton, case: Case, rooms: list[Cell], worms: list[Cell],
               bays: list[Cell]) -> tuple[list[Row], int] | None:  # fmt: skip
    """Rows with everything in them, and on which side of the lane the raw waste is (−1 left, 1 right)."""
    wall, depth = case.programme.wall_m, case.programme.row_depth_m
    by_kind: dict[str, list[Cell]] = {}
    for cell in rooms:
        by_kind.setdefault(cell.kind, []).append(cell)
    receiving, store = by_kind.get("receiving"), by_kind.get("product_store")
    slots = [index for index, row in enumerate(skeleton.rows) if row.on_lane]
    firsts: list[int | None] = [*slots] if receiving else [None]
    seconds: list[int | None] = [*slots] if store else [None]
    for first in firsts:
        for second in seconds:
            if first is not None and first == second and (skeleton.axis == 0 or not bays):
                continue
            rows = [Row(r.axis, r.tier, r.front, r.back, r.near, r.far, r.on_lane, r.used, []) for r in skeleton.rows]
            lacking = _place_all(rows, first, second, by_kind, worms, bays, wall, depth, case.limits.clean_gap_m)
            if lacking > HOPELESS:
                return None
            if not lacking:
                raw = first if first is not None else 0
                row = rows[raw]
                middle = (row.near + row.far) / 2 if row.axis == 0 else row.front
                return rows, 1 if middle > 0 else -1
    return None


def _place_all(rows: list[Row], first: int | None, second: int | None, by_kind: dict[str, list[Cell]], worms: list[Cell],
               bays: list[Cell], wall: float, depth: float, clean_gap: float) -> int:  # fmt: skip
    """Fill the rows; how many bays have found no place, 1 where a room has none."""
    raw_boxes: list[Rectangle] = []
    clean_boxes: list[Rectangle] = []

    def put(row: Row, cell: Cell) -> bool:
        if row.used + cell.width_m + wall > row.length + EPS:
            return False
        box = row.box(row.used, cell.width_m, depth)
        if cell.kind in RAW and any(boxes_gap(box, other) < clean_gap - EPS for other in clean_boxes):
            return False
        if cell.kind in CLEAN and any(boxes_gap(box, other) < clean_gap - EPS for other in raw_boxes):
            return False
        if cell.kind in RAW:
            raw_boxes.append(box)
        elif cell.kind in CLEAN:
            clean_boxes.append(box)
        row.cells.append((cell, row.used))
        row.used += cell.width_m + wall
        return True

    between: list[Cell] = []
    if first is not None and first == second:  # one row on the lane: bays part raw waste from compost
        between = bays[: math.ceil(clean_gap / (bays[0].width_m + wall) - 1e-9)]
        bays = bays[len(between) :]
    ranked = sorted(range(len(rows)), key=lambda index: (rows[index].tier, index))
    raw_first = [index for index in (first,) if index is not None]
    clean_first = [index for index in (second,) if index is not None]
    receiving, store = by_kind.get("receiving", []), by_kind.get("product_store", [])
    shredding = by_kind.get("shredding", [])
    raw, clean = [*raw_first, *ranked], [*clean_first, *ranked]
    if between:
        wanted = [*((cell, raw_first if not part else raw) for part, cell in enumerate([*receiving, *shredding])),
                  *((cell, raw_first) for cell in between),
                  *((cell, clean_first if not part else clean) for part, cell in enumerate(store))]  # fmt: skip
    else:
        wanted = [*((cell, raw_first) for cell in receiving[:1]), *((cell, clean_first) for cell in store[:1]),
                  *((cell, raw) for cell in [*receiving[1:], *shredding]), *((cell, clean) for cell in store[1:])]  # fmt: skip
    wanted += [(cell, clean) for kind in ("screening", "office", "tools_washing") for cell in by_kind.get(kind, [])]
    for cell, order in wanted:
        if not any(put(rows[index], cell) for index in order):
            return 1
    for cell in worms:
        if not any(put(rows[index], cell) for index in reversed(ranked)):
            return 1
    if not bays:
        return 0
    each = bays[0].width_m + wall
    places = [math.floor((row.length - row.used) / each + 1e-9) for row in rows]
    if sum(places) < len(bays):
        return len(bays) - sum(places)
    raw_sign = 0.0 if first is None else _side(rows[first])
    filling = sorted(range(len(rows)), key=lambda index: (rows[index].tier, _side(rows[index]) != raw_sign, index))
    left = iter(bays)
    remaining = len(bays)
    for index in filling:
        for _ in range(min(places[index], remaining)):
            put(rows[index], next(left))
            remaining -= 1
    return remaining


def _side(row: Row) -> float:
    return math.copysign(1, (row.near + row.far) / 2 if row.axis == 0 else row.front)


# ---- putting together -----------------------------------------------------------------------------------------


def arrange(case: Case) -> Arrangement | NoPlace:
    """An arrangement of all that is wanted, or why none was found."""
    ground = ground_of(case)
    if isinstance(ground, NoPlace):
        return ground
    return by_pattern(case, ground) or everywhere(case, ground)


@lru_cache(maxsize=64)
def _cells(programme: Programme) -> tuple[list[Cell], list[Cell], list[Cell], float]:
    """Rooms, beds and bays, and the length of row that they need; the same lists each time, not to be changed."""
    rooms, worms, bays = room_cells(programme), worm_cells(programme), bay_cells(programme)
    return rooms, worms, bays, row_length([*rooms, *worms, *bays], programme.wall_m)


def by_pattern(case: Case, ground: Ground) -> Arrangement | None:
    """An arrangement by one of the two patterns."""
    programme = case.programme
    rooms, worms, bays, need = _cells(programme)
    # an aisle serves no more than a row on each of its sides, and nothing stands in the gap around the leaf store, which
    # reaches at least so far into what can be used: less ground than this can't do
    beside = max(0.0, case.limits.fire_gap_m - case.limits.set_back_m)
    leaf_m2 = (math.sqrt(programme.leaf_store_m2) + 2 * beside) ** 2 if programme.leaf_store_m2 > 0 else 0.0
    if need * (programme.row_depth_m + case.limits.aisle_m / 2) + leaf_m2 > area(ground.usable) + EPS:
        return None
    tries = 0
    for leaf, around in _leaf_places(ground, case):
        if around is not None and boxes_overlap(around, (-ground.half, ground.low_v, ground.half, ground.stop)):
            continue
        for skeleton in _skeletons(ground, case, around, need):
            tries += 1
            if tries > MOST_FILLED:
                return None
            filled = _fill_rows(skeleton, case, rooms, worms, bays)
            if filled is None:
                continue
            found = _together(ground, case, skeleton, filled[0], filled[1], leaf)
            if leaf is None:
                return found
            front = _leaf_front(ground, case, found, leaf)
            if front is not None:
                assert found.leaf is not None
                return replace(found, leaf=replace(found.leaf, front=front))
    return None


def _leaf_front(ground: Ground, case: Case, found: Arrangement, leaf: Rectangle) -> tuple[int, int] | None:
    """The side of the leaf store to which a trolley comes, the side towards the gate first."""
    depth = case.programme.row_depth_m + case.programme.wall_m
    boxes = [leaf]
    for run in found.runs:
        deep = sorted((run.front, run.front + run.back * depth))
        boxes.append((run.start, deep[0], run.end, deep[1]) if run.axis == 0 else (deep[0], run.start, deep[1], run.end))
    reach = Reach(ground.plot, boxes, case.limits.aisle_m, (-ground.half, ground.half))
    for side in ((0, -1), (-1, 0), (1, 0), (0, 1)):
        low, high = (leaf[0], leaf[2]) if side[0] == 0 else (leaf[1], leaf[3])
        if reach.before(low, high, leaf[{(0, -1): 1, (0, 1): 3, (-1, 0): 0, (1, 0): 2}[side]], side):
            return side
    return None


def _together(ground: Ground, case: Case, skeleton: _Skeleton, rows: list[Row], raw_side: int,
              leaf: Rectangle | None) -> Arrangement:  # fmt: skip
    wall, depth, half = case.programme.wall_m, case.programme.row_depth_m, ground.half
    gross = depth + wall
    axis = skeleton.axis
    runs: list[Run] = []
    lane_end = skeleton.lane_end
    for row in rows:
        if not row.cells:
            continue
        front = (0, -row.back) if axis == 0 else (-row.back, 0)
        placed = []
        for index, (cell, offset) in enumerate(row.cells):
            lane_side = None
            if cell.kind in ON_LANE and row.on_lane:
                lane_side = ((-row.way, 0) if index == 0 else None) if axis == 0 else front
                if axis == 1:
                    lane_end = max(lane_end, row.near + offset + cell.width_m)
            placed.append(Placed(cell, row.box(offset, cell.width_m, depth), front, lane_side))
        ends = sorted((row.near, row.near + row.way * row.used))
        runs.append(Run(axis, row.front, row.back, ends[0], ends[1], tuple(placed), row.tier))
    used_tiers = sorted({run.tier for run in runs} | {0})
    aisles: list[Way] = []
    cores: list[tuple[Rectangle, int, bool, bool]] = []
    spans: dict[int, Interval] = {}
    last = used_tiers[-1] if axis == 0 else None
    for tier, low, high, stretch in skeleton.aisles:
        if tier not in used_tiers and (axis == 1 or tier > used_tiers[-1]):
            continue
        facing = [run for run in runs if run.tier == tier]
        points = [value for run in facing for value in (run.start, run.end)]
        if axis == 0:
            points += [-half, half] if tier == 0 else []
            if skeleton.spine is not None and last:
                points += list(skeleton.spine)
        else:
            points += [ground.low_v, min(lane_end, stretch[1])] if tier == 0 else []
            if skeleton.spine is not None and used_tiers != [0]:
                points += list(skeleton.spine)
        span = (min(points), max(points))
        spans[tier] = span
        aisles.append(Way((span[0], low, span[1], high) if axis == 0 else (low, span[0], high, span[1]), axis, tier))
    for way in aisles:
        low, high = (way.box[1], way.box[3]) if axis == 0 else (way.box[0], way.box[2])
        facing = [run for run in runs if run.tier == way.tier]
        before = any(run.back < 0 for run in facing)
        after = any(run.back > 0 for run in facing)
        if not facing:
            continue
        start, end = low - gross * before, high + gross * after
        joined_before = before and any(
            abs(other.front + other.back * gross - (start + wall)) < EPS and other.back > 0 for other in runs
        )
        joined_after = after and any(
            abs(other.front + other.back * gross - (end - wall)) < EPS and other.back < 0 for other in runs
        )
        start += wall / 2 * joined_before
        end -= wall / 2 * joined_after
        span = (min(run.start for run in facing), max(run.end for run in facing))
        cores.append(((span[0], start, span[1], end) if axis == 0 else (start, span[0], end, span[1]), axis, joined_before, joined_after))
    spine: Way | None = None
    if skeleton.spine is not None and len(aisles) > 1:
        if axis == 0:
            spine = Way((skeleton.spine[0], aisles[0].box[1], skeleton.spine[1], aisles[-1].box[3]), 1, -1)
        else:
            lows, highs = [way.box[0] for way in aisles], [way.box[2] for way in aisles]
            spine = Way((min(lows), skeleton.spine[0], max(highs), skeleton.spine[1]), 0, -1)
    lane = (-half, 0.0, half, lane_end)
    store = None
    if leaf is not None:
        store = Placed(Cell("leaf_store", "leaf_store", "Leaf store", leaf[2] - leaf[0]), leaf, (0, -1))
        if case.programme.leaf_store_covered:
            cores.append((leaf, 0, False, False))
    return Arrangement(skeleton.pattern, ground, tuple(runs), tuple(aisles), spine, lane, store, tuple(cores), raw_side)


# ---- every place ----------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Block:
    """Something that stands alone: a row of bays, or a room. ``shapes`` are the clear floors it may have, along and deep."""

    cells: tuple[Cell, ...]
    shapes: tuple[tuple[float, float], ...]

    @property
    def kind(self) -> str:
        """That of its cells; bays count as one kind."""
        return self.cells[0].kind


def blocks_of(case: Case) -> list[list[Block]]:
    """The wanted things as blocks, in each of the ways in which the bays may be parted."""
    wanted = case.programme
    depth = wanted.row_depth_m
    rooms: list[Block] = []
    for cell in room_cells(wanted):
        square = math.sqrt(cell.width_m * depth)
        rooms.append(Block((cell,), ((cell.width_m, depth), (square, square))))
    rooms += [Block((cell,), ((cell.width_m, depth),)) for cell in worm_cells(wanted)]
    if wanted.leaf_store_m2 > 0:
        square = math.sqrt(wanted.leaf_store_m2)
        rooms.append(Block((Cell("leaf_store", "leaf_store", "Leaf store", square),), ((square, square), (2 * square, square / 2))))
    bays = bay_cells(wanted)
    if not bays:
        return [rooms]
    found: list[list[Block]] = []
    for parts in (1, 2, 3):
        if parts > len(bays):
            break
        size = math.ceil(len(bays) / parts)
        chunks = [tuple(bays[at : at + size]) for at in range(0, len(bays), size)]
        found.append([*(Block(chunk, ((row_length(list(chunk), wanted.wall_m) - wanted.wall_m, depth),)) for chunk in chunks), *rooms])
    return found


@dataclass(frozen=True)
class Stood:
    """A block in its place: gross box, clear box, and the open side."""

    block: Block
    gross: Rectangle
    clear: Rectangle
    front: tuple[int, int]


def everywhere(case: Case, ground: Ground, step: float = GRID_STEP_M, most: int = MOST_PLACES) -> Arrangement | NoPlace:
    """An arrangement found by trying every place of a grid for every block; only where there are few."""
    choices = [blocks for blocks in blocks_of(case) if len(blocks) <= MOST_BLOCKS]
    places = (ground.high_u - ground.low_u) * (ground.high_v - ground.low_v) / step**2
    if not choices or places > MOST_GRID_PLACES:
        return NoPlace("no arrangement of rows was found that holds everything")
    left = [most]
    for blocks in choices:
        for lane_end in _lane_ends(ground, step):
            stood = _stand(case, ground, blocks, lane_end, step, left)
            if stood is not None:
                return _alone(case, ground, stood, lane_end)
            if left[0] <= 0:
                return NoPlace("no arrangement was found among rows, nor among the places that were tried one by one")
    return NoPlace("every place on a grid was tried, with the bays in up to three rows, and none holds everything", True)


def _lane_ends(ground: Ground, step: float) -> list[float]:
    shortest = ground.stop
    longest = max((right for left, right in ground.free(1, -ground.half, ground.half) if left <= ground.low_v + EPS), default=0.0)
    ends = []
    at = ground.low_v + step * math.ceil((shortest - ground.low_v) / step - 1e-9)
    while at <= longest + EPS:
        ends.append(at)
        at += step
    return ends


def _stand(case: Case, ground: Ground, blocks: Sequence[Block], lane_end: float, step: float,
           left: list[int]) -> list[Stood] | None:  # fmt: skip
    wall = case.programme.wall_m
    lane = (-ground.half, 0.0, ground.half, lane_end)
    order = sorted(range(len(blocks)), key=lambda index: (-max(a * b for a, b in blocks[index].shapes), index))
    columns = [ground.low_u + step * i for i in range(int((ground.high_u - ground.low_u) / step + 1e-9) + 1)]
    levels = [ground.low_v + step * i for i in range(int((ground.high_v - ground.low_v) / step + 1e-9) + 1)]
    spots: list[list[tuple[Rectangle, Rectangle, tuple[int, int] | None]]] = []
    for index in order:
        block = blocks[index]
        margin = case.limits.fire_gap_m if block.kind == "leaf_store" else 0.0
        found: list[tuple[Rectangle, Rectangle, tuple[int, int] | None]] = []
        seen: set[tuple[float, float, bool]] = set()
        one_front = len(block.cells) > 1 or block.kind not in ("leaf_store",) and block.cells[0].key.startswith("bay-")
        for along, deep in block.shapes:
            for turned in (False, True):
                size = (deep, along) if turned else (along, deep)
                key = (round(size[0], 6), round(size[1], 6), turned and one_front)
                if key in seen:
                    continue
                seen.add(key)
                fronts: tuple[tuple[int, int] | None, ...] = (None,)
                if one_front:
                    fronts = ((1, 0), (-1, 0)) if turned else ((0, 1), (0, -1))
                w, h = size[0] + 2 * wall, size[1] + 2 * wall
                left[0] -= len(columns) * len(levels) // LISTED_FOR_ONE
                if left[0] <= 0:
                    return None
                for v in levels:
                    if v + h > ground.high_v + EPS:
                        break
                    free = ground.free(0, v, v + h)
                    for u in columns:
                        if not any(a <= u + EPS and b >= u + w - EPS for a, b in free):
                            continue
                        gross = (u, v, u + w, v + h)
                        if boxes_overlap(gross, lane):
                            continue
                        clear = (u + wall, v + wall, u + w - wall, v + h - wall)
                        if margin and not _within_leaf(ground, clear):
                            continue
                        if block.kind in ON_LANE and _lane_contact(block.kind, gross, clear, lane, case.vehicle.width_m) is None:
                            continue
                        found += [(gross, clear, front) for front in fronts]
        if not found:
            return None
        spots.append(found)
    stood: list[tuple[Block, Rectangle, Rectangle, tuple[int, int] | None]] = []

    def fits(block: Block, gross: Rectangle, clear: Rectangle) -> bool:
        for other, other_gross, other_clear, _ in stood:
            if boxes_overlap(gross, other_gross):
                return False
            least = 0.0
            if "leaf_store" in (block.kind, other.kind):
                least = case.limits.fire_gap_m
            elif (block.kind in RAW and other.kind in CLEAN) or (block.kind in CLEAN and other.kind in RAW):
                least = case.limits.clean_gap_m
            if least and boxes_gap(clear, other_clear) < least - EPS:
                return False
        return True

    def tried(depth: int) -> list[Stood] | None:
        if depth == len(order):
            left[0] -= COST_OF_REACH
            return _all_reached(case, ground, stood)
        block = blocks[order[depth]]
        for gross, clear, front in spots[depth]:
            left[0] -= 1
            if left[0] <= 0:
                return None
            if fits(block, gross, clear):
                stood.append((block, gross, clear, front))
                found = tried(depth + 1)
                stood.pop()
                if found is not None:
                    return found
        return None

    return tried(0)


def _within_leaf(ground: Ground, clear: Rectangle) -> bool:
    room = ground.leaf_usable
    if room is None:
        return False
    return _inside(free_intervals(room, clear[1], clear[3]), clear[0], clear[2]) is not None


def _lane_contact(kind: str, gross: Rectangle, clear: Rectangle, lane: Rectangle, least: float) -> tuple[int, int] | None:
    """The side of a block on which its opening lies on the lane for at least ``least`` (or all of it), or ``None``."""

    def opens(low: float, high: float, lane_low: float, lane_high: float) -> bool:
        long = min(high - low, STORE_DOOR_M) if kind in SHUT else high - low
        start = (low + high - long) / 2
        return min(start + long, lane_high) - max(start, lane_low) >= min(least, long) - EPS

    if abs(gross[2] - lane[0]) < 1e-6 and opens(clear[1], clear[3], lane[1], lane[3]):
        return 1, 0
    if abs(gross[0] - lane[2]) < 1e-6 and opens(clear[1], clear[3], lane[1], lane[3]):
        return -1, 0
    if abs(gross[1] - lane[3]) < 1e-6 and opens(clear[0], clear[2], lane[0], lane[2]):
        return 0, -1
    return None


def _all_reached(case: Case, ground: Ground,
                 stood: Sequence[tuple[Block, Rectangle, Rectangle, tuple[int, int] | None]]) -> list[Stood] | None:  # fmt: skip
    reach = Reach(ground.plot, [gross for _, gross, _, _ in stood], case.limits.aisle_m, (-ground.half, ground.half))
    found: list[Stood] = []
    for block, gross, clear, front in stood:
        for side in ((0, -1), (0, 1), (-1, 0), (1, 0)) if front is None else (front,):
            low, high = (clear[0], clear[2]) if side[0] == 0 else (clear[1], clear[3])
            line = gross[{(0, -1): 1, (0, 1): 3, (-1, 0): 0, (1, 0): 2}[side]]
            if all(reach.before(a, b, line, side) for a, b in _fronts(block, low, high, case.programme.wall_m)):
                found.append(Stood(block, gross, clear, side))
                break
        else:
            return None
    return found


def _fronts(block: Block, low: float, high: float, wall: float) -> list[Interval]:
    """The way in of each cell of a block on that side: the door of a shut room, else all of its front."""
    if len(block.cells) == 1:
        half = min(high - low, DOOR_M if block.kind in SHUT else math.inf) / 2
        return [((low + high) / 2 - half, (low + high) / 2 + half)]
    found = []
    for cell in block.cells:
        found.append((low, low + cell.width_m))
        low += cell.width_m + wall
    return found


def _alone(case: Case, ground: Ground, stood: Sequence[Stood], lane_end: float) -> Arrangement:
    """Blocks that stand alone as an arrangement: each a run of its own under a roof of its own."""
    wall = case.programme.wall_m
    lane = (-ground.half, 0.0, ground.half, lane_end)
    runs: list[Run] = []
    cores: list[tuple[Rectangle, int, bool, bool]] = []
    leaf: Placed | None = None
    for tier, each in enumerate(stood):
        axis = 0 if each.front[0] == 0 else 1
        clear, gross = each.clear, each.gross
        if each.block.kind == "leaf_store":
            leaf = Placed(each.block.cells[0], clear, each.front)
            if case.programme.leaf_store_covered:
                cores.append((clear, 0 if clear[2] - clear[0] >= clear[3] - clear[1] else 1, False, False))
            continue
        front_sign = each.front[1] if axis == 0 else each.front[0]
        across = (clear[1], clear[3]) if axis == 0 else (clear[0], clear[2])
        front = across[1] if front_sign > 0 else across[0]
        start = clear[0] if axis == 0 else clear[1]
        lane_side = _lane_contact(each.block.kind, gross, clear, lane, case.vehicle.width_m) if each.block.kind in ON_LANE else None
        placed: list[Placed] = []
        total = (clear[2] - clear[0]) if axis == 0 else (clear[3] - clear[1])
        for cell in each.block.cells:
            width = total if len(each.block.cells) == 1 else cell.width_m
            box = (start, clear[1], start + width, clear[3]) if axis == 0 else (clear[0], start, clear[2], start + width)
            placed.append(Placed(cell, box, each.front, lane_side))
            start += width + wall
        ends = (clear[0] - wall, clear[2] + wall) if axis == 0 else (clear[1] - wall, clear[3] + wall)
        runs.append(Run(axis, front, -front_sign, ends[0], ends[1], tuple(placed), tier))
        deep = sorted((front, front - front_sign * (across[1] - across[0] + wall)))
        core = (ends[0], deep[0], ends[1], deep[1]) if axis == 0 else (deep[0], ends[0], deep[1], ends[1])
        cores.append((core, axis, False, False))
    return Arrangement("alone", ground, tuple(runs), (), None, lane, leaf, tuple(cores), -1)
