"""Two sections from plain numbers: through one bay, and across the whole shed with its roof, rain and drains.

The sections are sketches. Sizes are those given; what no number is given for (thickness of walls and sheets, depth of the
channel) is drawn thin and is no design.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from calculators.sheet import Dimension, Drawing, Figure, Path, Point, Schedule, Sign, Words

WALL_M = 0.12
"""Drawn thickness of a low wall; whoever designs it decides."""
POST_M = 0.08
SLAB_M = 0.12
SHEET_M = 0.05
CHANNEL_M = (0.2, 0.15)
"""Drawn width and depth of a channel."""
BED_BELOW_M = 0.15
LONGEST_BAY_M = 20.0
"""A shed with longer bays is not drawn across them: nothing of its heights would be seen."""
CURVE_STEPS = 20
HEAP_SHAPES = ("rectangle", "trapezoid", "parabola", "triangle")

Say = Callable[..., str]


@dataclass(frozen=True)
class Bay:
    """A bay and the heap in it. ``heap_top_m`` is the width of a trapezoid's top; ``sloped_ends`` taper over half the base."""

    width_m: float
    length_m: float
    low_wall_m: float
    mesh_m: float
    heap_shape: str
    heap_base_m: float
    heap_top_m: float
    heap_height_m: float
    heap_length_m: float
    heaps: int = 1
    sloped_ends: bool = False


@dataclass(frozen=True)
class Shed:
    """The roof over two rows of bays with an aisle between them.

    ``chosen`` says that these are not yet the user's own. ``eaves_m`` is the height under the roof at the outer walls, ``rain_degrees`` the angle of driven rain from the vertical,
    ``vent_m`` the clear height of the opening along the ridge, ``fall_percent`` that of the bays' floor towards the channel.
    """

    aisle_m: float
    eaves_m: float
    pitch_degrees: float
    overhang_m: float
    rain_degrees: float
    vent_m: float
    fall_percent: float
    chosen: bool = True


# ---- geometry -------------------------------------------------------------------------------------------------


def ridge_height(eaves_m: float, half_span_m: float, pitch_degrees: float) -> float:
    """Height (m) under the ridge: eaves + half the span × tan(pitch). Pitch 0 to below 90 degrees. Plane trigonometry."""
    return eaves_m + half_span_m * math.tan(math.radians(pitch_degrees))


def edge_height(eaves_m: float, overhang_m: float, pitch_degrees: float) -> float:
    """Height (m) of the roof's outer edge, which lies lower than the eaves at the wall. Plane trigonometry."""
    return eaves_m - overhang_m * math.tan(math.radians(pitch_degrees))


def rain_reaches(edge_m: float, overhang_m: float, rain_degrees: float) -> float:
    """Height (m) up to which rain at that angle from the vertical, past the roof's edge, strikes the outer wall; 0 if none does.

    A drop that just passes the edge falls ``overhang ÷ tan(angle)`` on its way in to the wall. Angle 0 to below 90 degrees.
    """
    slope = math.tan(math.radians(rain_degrees))
    return edge_m - overhang_m / slope if overhang_m < edge_m * slope else 0.0


def overhang_needed(eaves_m: float, low_wall_m: float, pitch_degrees: float, rain_degrees: float) -> float:
    """Overhang (m) that keeps such rain off everything above the low wall.

    Where edge − o ÷ tan(angle) = low wall and edge = eaves − o × tan(pitch):
    o = (eaves − low wall) × tan(angle) ÷ (1 + tan(angle) × tan(pitch)).
    """
    slope = math.tan(math.radians(rain_degrees))
    return max(0.0, eaves_m - low_wall_m) * slope / (1 + slope * math.tan(math.radians(pitch_degrees)))


def heap_across(bay: Bay, middle_m: float, floor_m: float = 0.0) -> tuple[Point, ...]:
    """The heap as cut across, about ``middle_m``."""
    half, high = bay.heap_base_m / 2, bay.heap_height_m
    if bay.heap_shape == "rectangle":
        points = [(-half, 0.0), (half, 0.0), (half, high), (-half, high)]
    elif bay.heap_shape == "trapezoid":
        points = [(-half, 0.0), (half, 0.0), (bay.heap_top_m / 2, high), (-bay.heap_top_m / 2, high)]
    elif bay.heap_shape == "triangle":
        points = [(-half, 0.0), (half, 0.0), (0.0, high)]
    elif bay.heap_shape == "parabola":
        steps = [1 - 2 * step / CURVE_STEPS for step in range(CURVE_STEPS + 1)]
        points = [(half * step, high * (1 - step * step)) for step in steps]
    else:
        raise ValueError(f"there is no cross-section named {bay.heap_shape!r}")
    return tuple((middle_m + x, floor_m + y) for x, y in points)


def heap_along(bay: Bay, start_m: float) -> tuple[Point, ...]:
    """One heap as cut along, from ``start_m``."""
    taper = bay.heap_base_m / 2 if bay.sloped_ends else 0.0
    end, high = start_m + bay.heap_length_m, bay.heap_height_m
    return ((start_m, 0.0), (end, 0.0), (end - taper, high), (start_m + taper, high))


# ---- parts of both --------------------------------------------------------------------------------------------


def _box(layer: str, left: float, low: float, right: float, high: float, fill: str = "none", pen: str = "medium") -> Path:
    return Path(layer, ((left, low), (right, low), (right, high), (left, high)), True, pen, fill)  # type: ignore[arg-type]


def _wall(left: float, bay: Bay, floor: float = 0.0, thick: float = WALL_M) -> list[Figure]:
    """A low wall, cut, with mesh on a line above it."""
    low, high = bay.low_wall_m, bay.low_wall_m + bay.mesh_m
    made: list[Figure] = []
    if low > 0:
        made.append(_box("walls", left, floor - SLAB_M / 2, left + thick, low, "solid"))
    if bay.mesh_m > 0:
        middle = left + thick / 2
        made += [
            Path("walls", ((middle - POST_M / 4, low), (middle - POST_M / 4, high)), pen="fine"),
            Path("walls", ((middle + POST_M / 4, low), (middle + POST_M / 4, high)), pen="fine"),
            Path("walls", ((middle, low), (middle, high)), pen="dashed"),
        ]
    return made


def _note(at: Point, to: Point, text: str, layer: str = "text", anchor: str = "start") -> list[Figure]:
    """Words with a thin line to what they name."""
    gap = 1.0 if anchor == "start" else -1.0
    return [
        Path(layer, (to, at), pen="fine"),  # type: ignore[arg-type]
        Sign(at, (Words(layer, (gap, 0.0), text, anchor=anchor),)),  # type: ignore[arg-type]
        Sign(to, (Path(layer, ((-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)), True, "fine", "solid"),)),  # type: ignore[arg-type]
    ]


def _arrow(layer: str, start: Point, end: Point, pen: str = "medium") -> list[Figure]:
    """A line with a head at its end."""
    degrees = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
    head = Path(layer, ((0.0, 0.0), (-2.6, 0.8), (-2.6, -0.8)), True, "fine", "solid")  # type: ignore[arg-type]
    return [Path(layer, (start, end), pen=pen), Sign(end, (head,), degrees)]  # type: ignore[arg-type]


# ---- through one bay ------------------------------------------------------------------------------------------


def through_a_bay(bay: Bay, say: Say) -> Drawing:
    """Across one bay: low walls, mesh above, the heap clear of both, sizes on all of it."""
    width, low = bay.width_m, bay.low_wall_m
    high = max(low + bay.mesh_m, bay.heap_height_m)
    gap = (width - bay.heap_base_m) / 2
    left, right = -WALL_M, width + WALL_M
    figures: list[Figure] = [
        _box("rooms", left - 0.3, -SLAB_M, right + 0.3, 0.0, "cut"),
        Path("rooms", ((left - 0.3, 0.0), (right + 0.3, 0.0)), pen="heavy"),
        *_wall(left, bay), *_wall(width, bay),
        Path("bays", heap_across(bay, width / 2), True, "medium", "heap"),
        Dimension((0.0, 0.0), (width, 0.0), say(width, "m"), -16, -SLAB_M),
        Dimension((0.0, high), (0.0, 0.0), say(high, "m"), -18, -WALL_M - 0.3),
    ]  # fmt: skip
    for start, end in ((0.0, gap), (gap, gap + bay.heap_base_m), (gap + bay.heap_base_m, width)):
        if end - start > 1e-9:
            figures.append(Dimension((start, 0.0), (end, 0.0), say(end - start, "m"), -8, -SLAB_M))
    if low > 0:
        figures.append(Dimension((0.0, low), (0.0, 0.0), say(low, "m"), -9, -WALL_M - 0.3))
    if bay.mesh_m > 0:
        figures.append(Dimension((0.0, low + bay.mesh_m), (0.0, low), say(bay.mesh_m, "m"), -9, -WALL_M - 0.3))
    figures.append(Dimension((width, 0.0), (width, bay.heap_height_m), say(bay.heap_height_m, "m"), -9, -WALL_M - 0.3))
    middle = width / 2
    figures.append(Sign((middle, bay.heap_height_m), (Words("text", (0.0, 3.0), "heap when built"),)))
    if bay.mesh_m > 0.4:
        figures.append(Sign((middle, low + bay.mesh_m * 0.8), (Words("text", (0.0, 0.0), "mesh on both sides"),)))
    if low > 0:
        figures.append(Sign((right, -SLAB_M), (Path("text", ((-1.0, 6.0), (3.0, -3.4)), pen="fine"),
                                               Words("text", (3.6, -4.0), "low wall", anchor="start"))))  # fmt: skip
    rows = [
        ("Bay between its walls", say(width, "m")),
        ("Low wall", say(low, "m")),
        ("Mesh above it", say(bay.mesh_m, "m")),
        ("Heap at its foot", say(bay.heap_base_m, "m")),
        ("Heap when built, height", say(bay.heap_height_m, "m")),
        ("Clear between heap and wall, each side", say(gap, "m")),
        ("Heap when built, length", say(bay.heap_length_m, "m")),
        ("Bay, length", say(bay.length_m, "m")),
    ]
    return Drawing(
        key="bay",
        title="Section through a bay",
        about=f"A bay {say(width, 'm')} wide between two low walls of {say(low, 'm')} with {say(bay.mesh_m, 'm')} of mesh "
        f"above. In it a heap {say(bay.heap_base_m, 'm')} wide and {say(bay.heap_height_m, 'm')} high stands "
        f"{say(gap, 'm')} clear of each wall.",
        figures=tuple(figures),
        schedule=Schedule("Sizes in this section", ("Part", "Size"), tuple(rows)),
        notes=("The heap does not lean on walls or mesh. Thickness of walls and floor is drawn, not designed.",),
        scales=(25, 50, 100, 200),
    )


# ---- across the shed ------------------------------------------------------------------------------------------


def across_the_shed(bay: Bay, shed: Shed, say: Say) -> Drawing:
    """Across two rows of bays and the aisle: walls, mesh, roof, ridge opening, driven rain, falls and channels."""
    half_aisle = shed.aisle_m / 2
    back = half_aisle + bay.length_m  # inner face of the outer wall
    span = back + WALL_M
    pitch = math.radians(shed.pitch_degrees)
    eaves = shed.eaves_m
    top = ridge_height(eaves, span, shed.pitch_degrees)
    edge = edge_height(eaves, shed.overhang_m, shed.pitch_degrees)
    reach = rain_reaches(edge, shed.overhang_m, shed.rain_degrees)
    needed = overhang_needed(eaves, bay.low_wall_m, shed.pitch_degrees, shed.rain_degrees)
    drop = (bay.length_m - CHANNEL_M[0]) * shed.fall_percent / 100  # the floor is drawn level; the fall is an arrow
    figures: list[Figure] = [
        *_floor(span, half_aisle),
        *_rows(bay, half_aisle, back),
        *_roof(shed, span, pitch, top),
        *_rain(bay, shed, span, edge, reach, say),
        *_falls(shed, half_aisle, back),
        *_shed_sizes(bay, shed, span, half_aisle, back, top, say),
    ]
    wet = (
        f"wets the outer wall up to {say(reach, 'm')} above the floor" if reach > bay.low_wall_m
        else "is kept off the mesh"
    )  # fmt: skip
    rain = f"Rain driven at {shed.rain_degrees:g}° from the vertical past an overhang of {say(shed.overhang_m, 'm')} {wet}"
    if reach > bay.low_wall_m:
        rain += f"; {say(needed, 'm')} of overhang would keep the mesh dry"
    notes = (f"{rain}.", "Posts, trusses, thickness of walls and depth of channels are not designed here.")
    if shed.chosen:
        notes += ("Aisle, roof, overhang, angle of rain, ridge opening and fall are chosen for this drawing and not yet planned.",)
    rows = [
        ("Shed between outer faces of its walls", say(2 * span, "m")),
        ("Bay, length", say(bay.length_m, "m")),
        ("Aisle", say(shed.aisle_m, "m")),
        ("Low wall", say(bay.low_wall_m, "m")),
        ("Mesh above it", say(bay.mesh_m, "m")),
        ("Eaves at the wall", say(eaves, "m")),
        ("Under the ridge", say(top, "m")),
        ("Roof pitch", f"{shed.pitch_degrees:g}°"),
        ("Overhang, measured level", say(shed.overhang_m, "m")),
        ("Overhang that would keep this rain off the mesh", say(needed, "m")),
        ("Opening along the ridge, each side", say(shed.vent_m, "m")),
        ("Fall of a bay's floor to its channel", f"{shed.fall_percent:g} %, {say(drop, 'm')}"),
        ("Heap when built", f"{say(bay.heap_base_m, 'm')} × {say(bay.heap_height_m, 'm')} × {say(bay.heap_length_m, 'm')}"),
    ]
    return Drawing(
        key="shed",
        title="Section across the shed, two rows of bays",
        about=f"Two rows of bays, each {say(bay.length_m, 'm')} long, on both sides of an aisle of {say(shed.aisle_m, 'm')}, under "
        f"a roof of {shed.pitch_degrees:g}° with its eaves at {say(eaves, 'm')} and the ridge at {say(top, 'm')}. The outer walls are "
        f"{say(bay.low_wall_m, 'm')} high with mesh above. Warm air leaves through an opening of {say(shed.vent_m, 'm')} along "
        f"the ridge. Floors fall {shed.fall_percent:g} % to a channel on each side of the aisle. {rain}.",
        figures=tuple(figures),
        schedule=Schedule("Sizes in this section", ("Part", "Size"), tuple(rows)),
        notes=notes,
        scales=(50, 100, 200),
    )  # fmt: skip


def _floor(span: float, half_aisle: float) -> list[Figure]:
    """The slab with its two channels, and the ground outside."""
    wide, deep = CHANNEL_M
    inner = max(half_aisle - wide, 0.02)
    out = span + 1.0
    made: list[Figure] = [
        _box("rooms", -inner, -SLAB_M, inner, 0.0, "cut"),
        _box("rooms", half_aisle, -SLAB_M, span, 0.0, "cut"),
        _box("rooms", -span, -SLAB_M, -half_aisle, 0.0, "cut"),
        Path("rooms", ((-span, 0.0), (-half_aisle, 0.0)), pen="heavy"),
        Path("rooms", ((half_aisle, 0.0), (span, 0.0)), pen="heavy"),
        Path("rooms", ((-inner, 0.0), (inner, 0.0)), pen="heavy"),
    ]
    for side in (-1, 1):
        made.append(Path("rooms", ((side * span, -BED_BELOW_M), (side * out, -BED_BELOW_M)), pen="heavy"))
        made.append(_box("rooms", *sorted_box(side * span, -BED_BELOW_M - 0.15, side * out, -BED_BELOW_M), "earth", "fine"))
        made.append(Path("drains", ((side * half_aisle, 0.0), (side * half_aisle, -deep), (side * inner, -deep), (side * inner, 0.0)),
                         pen="heavy"))  # fmt: skip
    return made


def sorted_box(x1: float, y1: float, x2: float, y2: float) -> tuple[float, float, float, float]:
    """Left, bottom, right, top of the box with those two corners."""
    return min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)


def _rows(bay: Bay, half_aisle: float, back: float) -> list[Figure]:
    """Outer walls, the open front of each bay with its board, and the heaps of both rows."""
    made: list[Figure] = [*_wall(back, bay), *_wall(-back - WALL_M, bay)]
    spare = max(bay.length_m - bay.heaps * bay.heap_length_m, 0.0)  # the clear end lies towards the aisle
    clear = min((bay.width_m - bay.heap_base_m) / 2, spare)  # and as much at the outer wall as at the sides
    for index in range(bay.heaps):
        start = half_aisle + spare - clear + index * bay.heap_length_m
        outline = heap_along(bay, start)
        made.append(Path("bays", outline, True, "medium", "heap"))
        made.append(Path("bays", tuple((-x, y) for x, y in reversed(outline)), True, "medium", "heap"))
    for side in (-1, 1):  # the mesh gate of the front, seen on edge
        made.append(Path("walls", ((side * half_aisle, 0.05), (side * half_aisle, bay.low_wall_m + bay.mesh_m)), pen="dashed"))
    return made


def _roof(shed: Shed, span: float, pitch: float, top: float) -> list[Figure]:
    """Two slopes that stop short of the ridge, and a cap over the opening between them."""
    thick = SHEET_M / math.cos(pitch)
    slot = min(0.5, span / 3)  # half the width of the opening in plan
    made: list[Figure] = []
    for side in (-1, 1):
        x_edge = side * (span + shed.overhang_m)
        y_edge = shed.eaves_m - shed.overhang_m * math.tan(pitch)
        x_top, y_top = side * slot, top - slot * math.tan(pitch)
        made.append(Path("roof", ((x_edge, y_edge), (x_top, y_top), (x_top, y_top + thick), (x_edge, y_edge + thick)), True, "medium", "solid"))
        made.append(Path("roof", ((side * span, shed.eaves_m), (side * span, 0.0)), pen="chain"))
    cap_edge = slot * 2
    lift = thick + shed.vent_m
    cap_low = top - cap_edge * math.tan(pitch) + lift
    cap_top = top + lift
    made.append(Path("roof", ((-cap_edge, cap_low), (0.0, cap_top), (cap_edge, cap_low), (cap_edge, cap_low + thick),
                              (0.0, cap_top + thick), (-cap_edge, cap_low + thick)), True, "medium"))  # fmt: skip
    for side in (-1, 1):
        made += _arrow("roof", (side * slot * 0.4, top - 0.35), (side * cap_edge * 1.15, (top - slot * math.tan(pitch)) + thick + shed.vent_m / 2), "fine")
    return made


def _rain(bay: Bay, shed: Shed, span: float, edge: float, reach: float, say: Say) -> list[Figure]:
    """A line of driven rain past the right edge of the roof, to the wall or the ground, with its angle."""
    x = span + shed.overhang_m
    slope = math.tan(math.radians(shed.rain_degrees))
    start = (x + 0.6 * slope, edge + 0.6)
    end = (span, reach) if reach > 0 else (x - edge * slope, 0.0)
    made = _arrow("water", start, end, "dashed")
    made += _note((x + 0.9, edge * 0.55), (x - (edge * 0.45) * slope, edge * 0.55), f"rain at {shed.rain_degrees:g}°", "water")
    if reach > bay.low_wall_m:
        made.append(Path("water", ((span + 0.05, bay.low_wall_m), (span + 0.05, reach)), pen="heavy"))
    return made


def _falls(shed: Shed, half_aisle: float, back: float) -> list[Figure]:
    """Arrows down the floors, under the slab, and the channels named."""
    made: list[Figure] = []
    level = -SLAB_M - 0.2
    for side in (-1, 1):
        made += _arrow("drains", (side * (half_aisle + (back - half_aisle) * 0.7), level), (side * (half_aisle + 0.15), level))
        made.append(Sign((side * (half_aisle + (back - half_aisle) * 0.4), level),
                         (Words("drains", (0.0, -2.4), f"fall {shed.fall_percent:g} %"),)))  # fmt: skip
    made.append(Sign((0.0, level), (Words("drains", (0.0, -2.4), "channel"),)))
    return made


def _shed_sizes(bay: Bay, shed: Shed, span: float, half_aisle: float, back: float, top: float, say: Say) -> list[Figure]:
    """Dimensions below and at the left, names within."""
    outer = span + shed.overhang_m
    thick = SHEET_M / math.cos(math.radians(shed.pitch_degrees))
    low, high = bay.low_wall_m, bay.low_wall_m + bay.mesh_m
    edges = [-back, -half_aisle, half_aisle, back]
    below = -SLAB_M - 0.2
    made: list[Figure] = [
        Dimension((a, below), (b, below), say(b - a, "m"), -11) for a, b in zip(edges, edges[1:], strict=False)
    ]
    made.append(Dimension((-span, below), (span, below), say(2 * span, "m"), -19))
    for a, b in ((-outer, -span), (span, outer)):
        if b - a > 1e-9:
            made.append(Dimension((a, below), (b, below), say(b - a, "m"), -11))
    x = -outer - 0.15
    for upper, lower in ((low, 0.0), (high, low), (shed.eaves_m, high)):
        if upper - lower > 0.02:
            made.append(Dimension((x, upper), (x, lower), say(upper - lower, "m"), -7))
    made.append(Dimension((x, top), (x, 0.0), say(top, "m"), -15))
    slot = min(0.5, span / 3)
    cap = (2 * slot, top - 2 * slot * math.tan(math.radians(shed.pitch_degrees)) + thick)
    if shed.vent_m > 0:
        made.append(Sign((cap[0], cap[1] + shed.vent_m / 2), (
            Path("text", ((0.0, 0.0), (9.0, 5.0)), pen="fine"),
            Words("text", (10.0, 5.0), f"ridge opening {say(shed.vent_m, 'm')} high", anchor="start"),
        )))  # fmt: skip
    middle = -(half_aisle + back) / 2
    made.append(Sign((middle, bay.heap_height_m), (Words("text", (0.0, 3.0), "heap"),)))
    made.append(Sign((0.0, 1.0), (Words("text", (0.0, 0.0), "aisle"),)))
    if bay.mesh_m > 0.5:
        made.append(Sign((middle, low + bay.mesh_m * 0.75), (Words("text", (0.0, 0.0), "mesh, open to the wind"),)))
    made.append(Sign((-span / 2, ridge_height(shed.eaves_m, span / 2, shed.pitch_degrees) + thick),
                     (Words("text", (0.0, 3.2), f"roof {shed.pitch_degrees:g}°", turned_degrees=shed.pitch_degrees),)))  # fmt: skip
    return made
