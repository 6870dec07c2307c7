"""Shed and layout: plane geometry against shapely, the vehicle's way against exact poses, the checks against broken plans,
the search against trying everything, and what is told to help against what then fits."""

from __future__ import annotations

import dataclasses
import itertools
import math
import random
import subprocess
import sys
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from shapely import LineString, Polygon, box, unary_union
from shapely.affinity import rotate, translate

from calculators.declare import CannotSolve
from calculators.drawing import advise as advising
from calculators.drawing import polygons, swept
from calculators.drawing.arrange import Arrangement, Ground, NoPlace, arrange, blocks_of, everywhere, ground_of
from calculators.drawing.build import build
from calculators.drawing.checks import faults
from calculators.drawing.layout import Layout, Limits, Opening, Vehicle
from calculators.drawing.measure import measure
from calculators.drawing.programme import BAY_NAMES, CLEAN, DOOR_M, NAMES, ON_LANE, RAW, SHUT, STORE_DOOR_M, Case, Programme
from calculators.plan import Plan
from calculators.topics import shed
from calculators.working import Working
from tests.yards import case_of, plot_of

RANDOM_YARDS = 150
SMALL_CASES = 60
SMALL = Vehicle(1.5, 0.8, 0.8, 0.3, 1.5)


def found_layout(case: Case) -> Layout:
    found = arrange(case)
    assert isinstance(found, Arrangement), found
    return build(case, found)


@cache
def of_example(name: str, *changed: tuple[str, Any]) -> tuple[shed.Inputs, shed.Outputs, Layout]:
    result = Plan(dict(changed), name).evaluate(only="shed").results["shed"]
    return result.inputs, result.outputs, shed.layout_of(result.inputs, result.outputs)


def example_layouts() -> list[tuple[shed.Outputs, Layout]]:
    corners = ((0, 0), (40, 0), (46, 30), (20, 48), (-4, 28))
    plans = [
        of_example("larkhollow"), of_example("pennywhistle"), of_example("larkhollow", ("plot_corners", corners), ("leaf_store_m3", 60)),
        of_example("larkhollow", ("gate_side", "east"), ("worm_beds", 12), ("plot_width_m", 90), ("overhang_m", 0.4)),
    ]  # fmt: skip
    return [(outputs, layout) for _, outputs, layout in plans]


# ---- areas and lengths ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("at", range(4))
def test_areas_and_lengths_equal_those_of_shapely(at: int) -> None:
    """To 1e-6, each from the plan's own polygons and lines."""
    outputs, layout = example_layouts()[at]
    assert outputs.plot_m2 == pytest.approx(Polygon(layout.plot).area, abs=1e-6)
    assert outputs.roof_m2 == pytest.approx(unary_union([Polygon(roof.polygon) for roof in layout.roofs]).area, abs=1e-6)
    for row in outputs.rooms:
        kinds = {room.kind for room in layout.rooms if row[0] in (NAMES[room.kind], BAY_NAMES.get(room.kind))}
        same = [Polygon(room.polygon) for room in layout.rooms if room.kind in kinds]
        assert row[1] == len(same)
        assert row[4] == pytest.approx(unary_union(same).area, abs=1e-6)
        assert row[2] * row[3] * row[1] == pytest.approx(row[4], rel=0.35)  # rooms of a kind may differ in width
    walls = [LineString((wall.start, wall.end)) for wall in layout.walls if wall.kind != "front"]
    assert outputs.wall_m == pytest.approx(unary_union(walls).length, abs=1e-6), "no wall lies on another"
    assert outputs.solid_wall_m2 == pytest.approx(
        sum(LineString((w.start, w.end)).length * w.solid_m for w in layout.walls if w.kind != "front"), abs=1e-6
    )
    assert outputs.drain_m == pytest.approx(unary_union([LineString((d.start, d.end)) for d in layout.drains]).length, abs=1e-6)
    ridges = sum(LineString(roof.ridge).length for roof in layout.roofs)
    assert outputs.roof_length_m == pytest.approx(ridges, abs=1e-6)
    lane = next(Polygon(aisle.polygon) for aisle in layout.aisles if aisle.kind == "lane")
    assert outputs.lane_m * outputs.lane_width_m == pytest.approx(lane.area, abs=1e-6)


def covered_by_shapely(case: Case, found: Arrangement, layout: Layout) -> tuple[float, float]:
    """Covered floor and open paving by shapely, from the arrangement's own cores."""
    frame = found.ground.frame
    cores = unary_union([Polygon(frame.box(core[0])) for core in found.cores])
    ways = [Polygon(aisle.polygon) for aisle in layout.aisles]
    bare = [Polygon(room.polygon) for room in layout.rooms if not room.covered]
    return cores.area, unary_union([cores, *ways, *bare]).area - cores.area


@pytest.mark.parametrize("seed", range(12))
def test_covered_and_open_floor_equal_those_of_shapely(seed: int) -> None:
    for each in range(seed * 40, seed * 40 + 40):
        case = dataclasses.replace(case_of(random.Random(each)), overhang_m=0.6)
        found = arrange(case)
        if isinstance(found, Arrangement):
            layout = build(case, found)
            measures = measure(layout)
            covered, bare = covered_by_shapely(case, found, layout)
            assert measures.covered_floor_m2 == pytest.approx(covered, abs=1e-6)
            assert measures.open_pad_m2 == pytest.approx(bare, abs=1e-6)
            assert measures.roof_m2 == pytest.approx(unary_union([Polygon(r.polygon) for r in layout.roofs]).area, abs=1e-6)
            return
    raise AssertionError("none of forty fits")


def test_plane_geometry_against_shapely() -> None:
    chance = random.Random(5)
    for _ in range(120):
        points = plot_of(chance)
        shape = Polygon(points)
        assert polygons.area(points) == pytest.approx(shape.area, abs=1e-9)
        assert polygons.perimeter(points) == pytest.approx(shape.length, abs=1e-9)
        at = (chance.uniform(-50, 90), chance.uniform(-50, 90))
        assert polygons.has_inside(points, at) == shape.covers(LineString((at, at)).centroid)
        by = chance.uniform(0.1, 4)
        inner = polygons.inset(points, by)
        mitred = shape.buffer(-by, join_style="mitre", mitre_limit=50)
        if inner is not None:
            assert polygons.area(inner) == pytest.approx(mitred.area, rel=1e-9)
        low = chance.uniform(shape.bounds[1], shape.bounds[3])
        high = low + chance.uniform(0.2, 6)
        for left, right in polygons.free_intervals(points, low, high):
            assert shape.buffer(1e-6).covers(box(left, low, right, high))
            assert not shape.buffer(-1e-6).covers(box(left - 0.01, low, right, high)), "the stretch is the longest there is"
            assert not shape.buffer(-1e-6).covers(box(left, low, right + 0.01, high))


def test_union_of_rectangles_against_shapely() -> None:
    chance = random.Random(6)
    for _ in range(60):
        boxes = []
        for _ in range(chance.randint(1, 12)):
            u, v = chance.uniform(0, 10), chance.uniform(0, 10)
            boxes.append((u, v, u + chance.uniform(0.1, 6), v + chance.uniform(0.1, 6)))
        assert polygons.union_area(boxes) == pytest.approx(unary_union([box(*each) for each in boxes]).area, abs=1e-9)


# ---- the vehicle ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(30))
def test_the_vehicle_stays_within_the_outline_of_its_way(seed: int) -> None:
    """The body as a rectangle at exact headings along line, arc and line, from both sides of the road by mirror."""
    case = case_of(random.Random(seed))
    v, radius, road = case.vehicle, case.rear_radius_m, case.road_m
    front = v.wheelbase_m + v.front_overhang_m
    stop = max(v.length_m + 0.5, radius - road + front)
    path, outline = swept.way_in(v, radius, road, stop)
    shape = Polygon(outline)
    assert shape.is_valid
    body = box(front - v.length_m, -v.width_m / 2, front, v.width_m / 2)
    centre = (-radius, radius - road)
    start_u, end_v = path[0][0], path[-1][1]
    bodies = [translate(body, start_u + (centre[0] - start_u) * step / 9, -road) for step in range(10)]
    for step in range(91):
        turned = rotate(body, step, origin=(0, 0))
        angle = math.radians(step - 90)
        bodies.append(translate(turned, centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)))
    bodies += [translate(rotate(body, 90, origin=(0, 0)), 0, centre[1] + (end_v - centre[1]) * step / 9) for step in range(10)]
    assert all(shape.buffer(1e-6).covers(each) for each in bodies)
    assert shape.area == pytest.approx(unary_union(bodies).area, rel=0.02), "and the outline is hardly larger than need be"
    half = swept.half_width_at_gate(radius, swept.outer_corner_radius(radius, v.wheelbase_m, v.front_overhang_m, v.width_m), front,
                                    v.width_m, road)  # fmt: skip
    if half is not None:
        inside = unary_union(bodies).intersection(box(-99, 0, 99, 99)).bounds
        assert half == pytest.approx(max(-inside[0], inside[2]), abs=0.02 + 0.01 * radius)
        assert swept.drawn_half_width(v, radius, road, stop) >= max(-inside[0], inside[2]) - 1e-9


def test_a_turn_between_road_and_gate_may_be_impossible() -> None:
    tight = dataclasses.replace(case_of(random.Random(1)), rear_radius_m=9.0, road_m=0.1)
    found = arrange(tight)
    assert isinstance(found, NoPlace) and "turn in" in found.reason


# ---- random yards ---------------------------------------------------------------------------------------------


def told_by_shapely(layout: Layout) -> None:
    """No overlap, within the set-back, gaps and the vehicle's clearance, all by shapely."""
    shapes = [(room, Polygon(room.polygon)) for room in layout.rooms]
    plot = Polygon(layout.plot)
    limits = layout.limits
    whole = unary_union([shape for _, shape in shapes])
    assert whole.area == pytest.approx(sum(shape.area for _, shape in shapes), abs=1e-5), "rooms overlap"
    for room, shape in shapes:
        least = max(limits.set_back_m, limits.fire_gap_m if room.kind == "leaf_store" else 0.0)
        assert plot.buffer(1e-4).covers(shape)
        assert shape.distance(plot.exterior) >= least - 1e-4
    for store, shape in shapes:
        if store.kind == "leaf_store":
            others = unary_union([other for room, other in shapes if room.kind != "leaf_store"])
            assert others.is_empty or shape.distance(others) >= limits.fire_gap_m - 1e-4
    raw = unary_union([shape for room, shape in shapes if room.kind in RAW])
    clean = unary_union([shape for room, shape in shapes if room.kind in CLEAN])
    if not raw.is_empty and not clean.is_empty:
        assert raw.distance(clean) >= limits.clean_gap_m - 1e-4
    way = Polygon(layout.swept).intersection(plot)
    assert whole.is_empty or way.distance(whole) >= limits.lane_clearance_m - 1e-4
    walls = unary_union([LineString((wall.start, wall.end)).buffer(wall.thickness_m / 2, cap_style="flat") for wall in layout.walls
                         if wall.thickness_m > 0])  # fmt: skip
    assert walls.is_empty or way.distance(walls) >= limits.lane_clearance_m - 1e-4
    ways = unary_union([Polygon(aisle.polygon) for aisle in layout.aisles])
    assert ways.intersection(whole).area < 1e-4 and ways.intersection(walls).area < 1e-3


@pytest.mark.parametrize("batch", range(5))
def test_random_plots_and_programmes(batch: int) -> None:
    """Each gives a plan without a fault, or a reason why none was found; shapely agrees with the checks."""
    held = 0
    for seed in range(batch * RANDOM_YARDS // 5, (batch + 1) * RANDOM_YARDS // 5):
        case = case_of(random.Random(seed))
        found = arrange(case)
        if isinstance(found, NoPlace):
            assert found.reason
            continue
        layout = build(case, found)
        assert faults(layout) == [], seed
        told_by_shapely(layout)
        assert len(layout.rooms) >= case.programme.bays
        held += 1
    assert held >= 10


def test_floors_of_the_rooms_are_as_wanted() -> None:
    for seed in range(40):
        case = case_of(random.Random(seed))
        found = arrange(case)
        if isinstance(found, NoPlace):
            continue
        layout = build(case, found)
        for kind in ("receiving", "shredding", "screening", "product_store", "tools_washing", "office", "leaf_store"):
            wanted = getattr(case.programme, f"{kind}_m2")
            floor = sum(Polygon(room.polygon).area for room in layout.rooms if room.kind == kind)
            assert floor >= wanted - 1e-6
        assert sum(room.kind in ("first_stage", "spare", "curing", "reserve") for room in layout.rooms) == case.programme.bays
        assert len(layout.beds) == case.programme.worm_beds
        beds = [Polygon(bed) for bed in layout.beds]
        assert unary_union(beds).area == pytest.approx(sum(bed.area for bed in beds), abs=1e-6)
        rooms = unary_union([Polygon(room.polygon) for room in layout.rooms if room.kind == "worm_bed"])
        assert all(rooms.buffer(1e-6).covers(bed) for bed in beds)


# ---- the checks find what is broken ---------------------------------------------------------------------------


def moved(layout: Layout, kind: str, by: tuple[float, float], turn: float = 0.0) -> Layout:
    """The plan with the first room of a kind elsewhere, its ways in with it."""
    at = next(index for index, room in enumerate(layout.rooms) if room.kind == kind)
    room = layout.rooms[at]

    def shift(point: tuple[float, float]) -> tuple[float, float]:
        x, y = point[0] + by[0], point[1] + by[1]
        return (x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn))

    changed = dataclasses.replace(
        room, polygon=tuple(map(shift, room.polygon)),
        openings=tuple(Opening(each.kind, shift(each.start), shift(each.end)) for each in room.openings),
    )  # fmt: skip
    return dataclasses.replace(layout, rooms=(*layout.rooms[:at], changed, *layout.rooms[at + 1 :]))


@pytest.mark.parametrize(
    ("kind", "by", "said"),
    [
        ("first_stage", (0.5, 0.0), "overlap"), ("leaf_store", (0.0, -4.0), "fire gap"), ("leaf_store", (-2.0, 0.0), "plot's edge"),
        ("receiving", (40.0, 0.0), "plot's edge"), ("receiving", (2.0, 0.0), "stands in the lane"),
        ("receiving", (-0.4, 0.0), "no opening on the lane"), ("product_store", (-4.0, 0.0), "too near"),
        ("curing", (0.0, -1.0), "stands in the aisle"),
    ],
)  # fmt: skip
def test_a_room_moved_is_found(kind: str, by: tuple[float, float], said: str) -> None:
    _, _, layout = of_example("larkhollow")
    assert faults(layout) == []
    assert any(said in fault for fault in faults(moved(layout, kind, by))), faults(moved(layout, kind, by))


def test_other_breaches_are_found() -> None:
    _, _, layout = of_example("larkhollow")
    change = dataclasses.replace
    room = layout.rooms[0]

    def first(changed: Any) -> Layout:
        return change(layout, rooms=(changed, *layout.rooms[1:]))

    broken = {
        "is not a rectangle": moved(layout, "office", (0, 0), 0.1),
        "no way in": first(change(room, openings=())),
        "not on its edge": first(change(room, openings=(Opening("open_side", (1.0, 1.0), (1.5, 1.7)),))),
        "two rooms are called": first(change(room, key=layout.rooms[1].key)),
        "not one straight lane": change(layout, aisles=tuple(each for each in layout.aisles if each.kind != "lane")),
        "narrower than": change(layout, limits=change(layout.limits, aisle_m=2.5)),
        "does not run down": change(layout, drains=(change(layout.drains[0], level_end_m=1.0), *layout.drains[1:])),
        "leaves the outline": change(layout, vehicle=change(layout.vehicle, front_overhang_m=1.6, length_m=5.5)),
        "than its clearance": change(layout, limits=change(layout.limits, lane_clearance_m=1.2)),
        "longer than the lane": change(layout, vehicle=change(layout.vehicle, length_m=30.0)),
    }  # fmt: skip
    for said, changed in broken.items():
        assert any(said in fault for fault in faults(changed)), (said, faults(changed))


def test_a_way_that_is_built_up_is_found() -> None:
    """A wall across the cross aisle or the mouth of an aisle cuts off what lies behind it."""
    _, _, layout = of_example("larkhollow")
    spine = next(aisle for aisle in layout.aisles if aisle.kind == "spine")
    (x0, y0), (x1, _), (_, y1), _ = spine.polygon
    middle = (y0 + y1) / 2
    wall = dataclasses.replace(layout.walls[0], start=(x0, middle), end=(x1, middle))
    told = faults(dataclasses.replace(layout, walls=(*layout.walls, wall)))
    assert any("a wall stands in the spine" in each for each in told)
    low_x, low_y, high_x, high_y = layout.plot[0][0], y0, layout.plot[1][0], y1
    across = dataclasses.replace(wall, start=(low_x, (low_y + high_y) / 2), end=(high_x, (low_y + high_y) / 2))
    told = faults(dataclasses.replace(layout, walls=(*layout.walls, across)))
    assert any("can't be reached" in each for each in told)


# ---- the search against trying everything ---------------------------------------------------------------------


def small_case(chance: random.Random) -> Case:
    """A few rooms on a small plot, all sizes whole and half metres, a hand cart, the gate in the south."""
    bays = chance.choice((0, 1, 2))
    kinds = chance.sample(("receiving", "product_store", "shredding", "office", "tools_washing"), 1 if bays == 2 else chance.choice((1, 2, 2)))
    rooms = {f"{kind}_m2": float(chance.choice((2.56, 3.24, 7.84))) for kind in kinds}
    programme = Programme(first_stage_bays=bays, bay_width_m=1.3, bay_length_m=chance.choice((1.8, 2.8)), wall_m=0.1, **rooms)
    wide, long = chance.choice((4.5, 5.0, 6.0)), chance.choice((4.0, 4.5, 5.0))
    limits = Limits(0.0, chance.choice((1.0, 1.5)), 0.0, 0.2, 1.0, 0.0)
    rear = swept.rear_axle_radius(SMALL.turning_radius_m, SMALL.wheelbase_m, SMALL.width_m)
    return Case(((0.0, 0.0), (wide, 0.0), (wide, long), (0.0, long)), "south", chance.choice((0.0, 0.5, 1.0)), programme, SMALL, rear,
                5.0, 1.6, limits)  # fmt: skip


def spots(ground: Ground, shape: tuple[float, float], directed: bool, wall: float) -> Iterator[tuple[Any, str | None]]:
    """Every place of a block on the grid of 1 m: its outer box, and the side that is open where that is given."""
    assert ground.box is not None
    u0, v0, u1, v1 = ground.box
    for turned in (False, True):
        w, h = (shape[1], shape[0]) if turned else shape
        if turned and abs(w - h) < 1e-9 and not directed:
            continue
        for i, j in itertools.product(range(9), range(9)):
            u, v = u0 + i, v0 + j
            if u + w + 2 * wall > u1 + 1e-9 or v + h + 2 * wall > v1 + 1e-9:
                continue
            outer = (u, v, u + w + 2 * wall, v + h + 2 * wall)
            for side in (("east", "west") if turned else ("north", "south")) if directed else (None,):
                yield outer, side


def trolley_reaches(case: Case, ground: Ground, lane_half: float, stood: Sequence[tuple[Any, Any, str | None]]) -> bool:
    """By shapely: the middle of a square trolley moves in the plot less half its side, outside every box grown by as much."""
    side = case.limits.aisle_m - 1e-4
    low_u, high_u = min(p[0] for p in ground.plot), max(p[0] for p in ground.plot)
    high_v = max(p[1] for p in ground.plot)
    half = side / 2
    room = box(low_u + half, half, high_u - half, high_v - half)
    free = room.difference(unary_union([box(b[0] - half, b[1] - half, b[2] + half, b[3] + half) for _, b, _ in stood]))
    parts = list(free.geoms) if free.geom_type == "MultiPolygon" else [free]
    gate = LineString(((-lane_half + half, half), (lane_half - half, half)))
    here = unary_union([part for part in parts if part.distance(gate) < 1e-9])
    if here.is_empty:
        return False
    wall = case.programme.wall_m
    for block, b, front in stood:
        reached = False
        for name in (front,) if front else ("south", "north", "west", "east"):
            if name in ("south", "north"):
                low, high = b[0] + wall, b[2] - wall
                line = b[1] - half if name == "south" else b[3] + half
            else:
                low, high = b[1] + wall, b[3] - wall
                line = b[0] - half if name == "west" else b[2] + half
            long = min(high - low, DOOR_M) if block.kind in SHUT else high - low
            stretches = [((low + high - long) / 2, (low + high + long) / 2)]
            if len(block.cells) > 1:
                width = block.cells[0].width_m
                stretches = [(low + at * (width + wall), low + at * (width + wall) + width) for at in range(len(block.cells))]
            ok = True
            for start, end in stretches:
                contact = min(0.6, end - start, side)
                ends = ((start + contact - half, line), (end - contact + half, line))
                stand = LineString(ends if name in ("south", "north") else tuple((q, p) for p, q in ends))
                ok = ok and here.distance(stand) < 1e-6
            reached = reached or ok
        if not reached:
            return False
    return True


def shared(one: Any, other: Any) -> bool:
    return (min(one[2], other[2]) - max(one[0], other[0]) > 1e-6) and (min(one[3], other[3]) - max(one[1], other[1]) > 1e-6)


def on_lane(block: Any, b: Any, lane: Any, wall: float, least: float) -> bool:
    clear = (b[0] + wall, b[1] + wall, b[2] - wall, b[3] - wall)
    for touches, low, high, lane_low, lane_high in (
        (abs(b[2] - lane[0]) < 1e-6 or abs(b[0] - lane[2]) < 1e-6, clear[1], clear[3], lane[1], lane[3]),
        (abs(b[1] - lane[3]) < 1e-6, clear[0], clear[2], lane[0], lane[2]),
    ):
        long = min(high - low, STORE_DOOR_M) if block.kind in SHUT else high - low
        start = (low + high - long) / 2
        if touches and min(start + long, lane_high) - max(start, lane_low) >= min(least, long) - 1e-9:
            return True
    return False


def by_trying_everything(case: Case) -> bool:
    """Whether any of all places on the grid holds every block, its lane and its ways."""
    ground = ground_of(case)
    if isinstance(ground, NoPlace):
        return False
    wall, half = case.programme.wall_m, ground.half
    high_v = max(p[1] for p in ground.plot)
    ends = [float(end) for end in range(1, 12) if ground.stop - 1e-9 <= end <= high_v + 1e-9]
    for blocks in blocks_of(case):
        for end in ends:
            lane = (-half, 0.0, half, end)

            def placed(index: int, stood: list[Any]) -> bool:
                if index == len(blocks):
                    return trolley_reaches(case, ground, half, stood)
                block = blocks[index]
                directed = block.cells[0].key.startswith("bay-")
                for shape in dict.fromkeys(block.shapes):
                    for outer, side in spots(ground, shape, directed, wall):
                        if shared(outer, lane) or any(shared(outer, other) for _, other, _ in stood):
                            continue
                        if block.kind in ON_LANE and not on_lane(block, outer, lane, wall, case.vehicle.width_m):
                            continue
                        if placed(index + 1, [*stood, (block, outer, side)]):
                            return True
                return False

            if placed(0, []):
                return True
    return False


@pytest.mark.parametrize("batch", range(4))
def test_small_cases_against_trying_everything(batch: int) -> None:
    """Where every place on a grid is tried and one holds, the search finds a plan; where it says that none does, none did."""
    told = {True: 0, False: 0}
    for seed in range(batch * SMALL_CASES // 4, (batch + 1) * SMALL_CASES // 4):
        case = small_case(random.Random(seed))
        ground = ground_of(case)
        exhaustive = by_trying_everything(case)
        found = arrange(case)
        told[exhaustive] += 1
        if exhaustive:
            assert isinstance(found, Arrangement), (seed, found)
        if isinstance(found, Arrangement):
            assert faults(build(case, found)) == [], seed
        if isinstance(ground, Ground):
            alone = everywhere(case, ground, most=1_000_000)
            assert isinstance(alone, Arrangement) == exhaustive, seed
            assert exhaustive or (isinstance(alone, NoPlace) and alone.complete)
    assert min(told.values()) >= 2, told


# ---- what helps -----------------------------------------------------------------------------------------------


def test_what_is_told_to_help_does_help() -> None:
    inputs, outputs, _ = of_example("larkhollow")
    assert outputs.fits_on_plot == "no"
    advice = shed.advice_of(inputs)
    told = {each.what: each for each in advice.tried}
    assert {"gate", "aisle", "leaf_store", "bays", "longer", "wider"} <= set(told)

    def fits(**changed: Any) -> bool:
        answers = {name: value for name, value in changed.items()}
        return Plan(answers, "larkhollow").evaluate(only="shed").results["shed"].outputs.fits_on_plot == "yes"

    longer, wider = told["longer"].amount, told["wider"].amount
    assert isinstance(longer, float) and isinstance(wider, float)
    assert fits(plot_length_m=36 + longer) and fits(plot_width_m=24 + wider)
    assert not fits(plot_length_m=36 + longer - 1) or not fits(plot_width_m=24 + wider - 1)
    assert told["leaf_store"].fits == fits(leaf_store_m3=0)
    assert told["aisle"].fits == fits(aisle_width_m=1.2)
    fewer = told.get("bays_without_leaf_store")
    assert fewer is not None and isinstance(fewer.amount, float)
    programme = advising.fewer_bays(advising.replace(shed.advice_of(inputs).case.programme), int(fewer.amount))
    assert programme.bays == fewer.amount
    assert fits(
        leaf_store_m3=0, first_stage_bays=programme.first_stage_bays, spare_bays=programme.spare_bays,
        curing_bays=programme.curing_bays, reserve_bays=programme.reserve_bays,
    )  # fmt: skip


def test_random_advice_holds() -> None:
    """Where a yard does not fit, the plan shown stands on a plot that holds it, and the reason is told."""
    for seed in range(30):
        case = case_of(random.Random(90_000 + seed))
        found = advising.advise(case, seed % 5 > 0, min(1.2, case.limits.aisle_m))
        assert found.fits or found.reason
        if found.layout is not None:
            assert faults(found.layout) == []
            assert found.layout.plot == found.case.plot
            assert found.fits or found.case.plot != case.plot
            assert found.case.programme == case.programme


def test_halving_finds_the_least() -> None:
    for threshold in range(1, 60):
        asked: list[float] = []

        def holds(value: float, threshold: int = threshold, asked: list[float] = asked) -> bool:
            asked.append(value)
            return value >= threshold

        assert advising.least_that(holds, 0, 60, 1) == threshold
        assert len(asked) <= 14
    assert advising.least_that(lambda value: False, 0, 60, 1) is None


# ---- the calculator -------------------------------------------------------------------------------------------


def test_the_example_yards() -> None:
    inputs, outputs, layout = of_example("larkhollow")
    assert outputs.fits_on_plot == "no" and faults(layout) == []
    assert (outputs.drawn_width_m, outputs.drawn_length_m) != (24, 36)
    assert len([room for room in layout.rooms if room.key.startswith("bay-")]) == 63
    smaller = of_example("larkhollow", ("leaf_store_m3", 60), ("homes", 350), ("market_kg_by_weekday", (0,) * 7))[1]
    assert smaller.fits_on_plot == "yes" and (smaller.drawn_width_m, smaller.drawn_length_m) == (24, 36)
    court, drawn, plan = of_example("pennywhistle")
    assert drawn.fits_on_plot == "no plot given" and faults(plan) == []
    assert court.plot_length_m is None and drawn.plot_m2 < 600


def test_floors_by_hand() -> None:
    """Each by arithmetic on the answers."""
    assert shed.busiest_volume(2000, 500, 2) == 8
    assert shed.receiving_floor(8, 0.5, 6) == 22
    assert shed.shredding_floor(2, 0.4, 9) == 14
    assert shed.screening_floor(1, 7, 0.5, 8) == 22
    assert shed.product_floor(1.2, 30, 1.2, 0.6) == pytest.approx(50)
    assert shed.store_floor(200, 2) == 100
    assert shed.people_floor(4, 0.5, 6) == 7


def refused(**changed: Any) -> CannotSolve:
    with pytest.raises(CannotSolve) as caught:
        shed.solve(dataclasses.replace(shed.Inputs(), **changed), Working())
    return caught.value


def test_answers_that_give_no_plan_are_refused_with_words() -> None:
    assert "at least three" in refused(plot_corners=((0, 0), (1, 1))).message
    assert "cross or touch" in refused(plot_corners=((0, 0), (10, 10), (10, 0), (0, 10))).message
    assert "up to 800 bays" in refused(first_stage_bays=900).message
    assert "maker's sheet" in refused(vehicle_turning_radius_m=2.0).message
    assert "shorter" in refused(vehicle_length_m=1.0).message
    assert "road before the gate" in refused(road_width_m=1.5, vehicle_turning_radius_m=15.0).message
    assert "Part the work" in refused(leaf_store_m3=1e6).message


def test_corners_may_be_given_either_way_round() -> None:
    corners = ((0.0, 0.0), (30.0, 0.0), (34.0, 40.0), (-2.0, 40.0))
    one = shed.solve(dataclasses.replace(shed.Inputs(), plot_corners=corners), Working())
    other = shed.solve(dataclasses.replace(shed.Inputs(), plot_corners=tuple(reversed(corners))), Working())
    assert one.fits_on_plot == other.fits_on_plot == "yes"
    assert one.plot_m2 == pytest.approx(other.plot_m2)
    assert one.plot_m2 == pytest.approx(Polygon(corners).area)


@pytest.mark.parametrize("side", ["south", "north", "east", "west"])
def test_the_gate_stands_in_the_side_named(side: str) -> None:
    inputs = dataclasses.replace(shed.Inputs(), plot_length_m=40.0, plot_width_m=40.0, gate_side=side, gate_position_percent=50.0)
    layout = shed.layout_of(inputs, shed.solve(inputs, Working()))
    middle = ((layout.gate.start[0] + layout.gate.end[0]) / 2, (layout.gate.start[1] + layout.gate.end[1]) / 2)
    assert middle == pytest.approx({"south": (20, 0), "north": (20, 40), "east": (40, 20), "west": (0, 20)}[side])
    assert faults(layout) == []
    west_end = dataclasses.replace(inputs, gate_position_percent=20.0)
    layout = shed.layout_of(west_end, shed.solve(west_end, Working()))
    at = layout.gate.start[0 if side in ("south", "north") else 1]
    assert at < 20, "from the west end, or from the south end"


def test_a_plan_is_kept_while_nothing_it_depends_on_changes() -> None:
    inputs = of_example("larkhollow")[0]
    shed.solve(inputs, Working())
    before = advising.advise.cache_info()
    shed.solve(dataclasses.replace(inputs, first_stage_bays=inputs.first_stage_bays), Working())
    assert advising.advise.cache_info().misses == before.misses
    Plan({"wage_per_hour": 3}, "larkhollow").evaluate(only="shed")
    assert advising.advise.cache_info().misses == before.misses


def test_the_same_answers_give_the_same_plan_in_any_process() -> None:
    code = (
        "from calculators.plan import Plan\nfrom calculators.topics import shed\n"
        "r = Plan({'worm_beds': 7}, 'larkhollow').evaluate(only='shed').results['shed']\n"
        "import zlib\nprint(zlib.crc32(repr(shed.layout_of(r.inputs, r.outputs)).encode()))"
    )
    root = Path(__file__).resolve().parents[1]
    told = {
        subprocess.run([sys.executable, "-c", code], env={"PYTHONHASHSEED": seed, "PYTHONPATH": str(root)}, cwd=root, check=True,
                       capture_output=True, text=True).stdout
        for seed in ("1", "2")
    }  # fmt: skip
    assert len(told) == 1


def test_receiving_is_by_the_gate_and_compost_across_the_lane() -> None:
    _, _, layout = of_example("larkhollow")
    gate = LineString((layout.gate.start, layout.gate.end))
    bays = [Polygon(room.polygon).distance(gate) for room in layout.rooms if room.kind == "curing"]
    receiving = next(Polygon(room.polygon) for room in layout.rooms if room.kind == "receiving")
    store = next(Polygon(room.polygon) for room in layout.rooms if room.kind == "product_store")
    assert receiving.distance(gate) < min(bays)
    lane = next(Polygon(aisle.polygon) for aisle in layout.aisles if aisle.kind == "lane")
    assert receiving.distance(store) >= layout.limits.clean_gap_m
    assert LineString((receiving.centroid, store.centroid)).crosses(lane)


def test_water_runs_down_to_one_sump() -> None:
    """Each channel ends on another that lies no higher there, or at the sump."""
    for _, layout in example_layouts():
        sump = next(mark.at for mark in layout.marks if mark.kind == "sump")
        ends_at_sump = 0
        for drain in layout.drains:
            assert drain.level_end_m - drain.level_start_m == pytest.approx(-math.dist(drain.start, drain.end) * drain.fall_percent / 100)
            if math.dist(drain.end, sump) < 1e-6:
                ends_at_sump += 1
                continue
            end = LineString((drain.end, drain.end)).centroid
            into = [other for other in layout.drains if other is not drain and LineString((other.start, other.end)).distance(end) < 1e-6]
            assert into
            levels = [other.level_start_m - math.dist(other.start, drain.end) * other.fall_percent / 100 for other in into]
            assert min(levels) <= drain.level_end_m + 1e-9
        assert ends_at_sump >= 1
