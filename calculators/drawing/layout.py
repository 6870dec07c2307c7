"""The plan of a yard as frozen data: what an arrangement gives, what a drawing and quantities are made from.

Everything is in metres. ``x`` runs east and ``y`` north; the south-west corner of a rectangular plot is the origin, and a
plot of corner points keeps its own coordinates. Polygons are tuples of points, counter-clockwise, the first not repeated.
Nothing here knows pages, colours or files.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Point = tuple[float, float]
Polygon = tuple[Point, ...]

RoomKind = Literal[
    "first_stage", "curing", "spare", "reserve", "worm_bed", "receiving", "shredding", "leaf_store", "screening", "product_store",
    "tools_washing", "office",
]  # fmt: skip
BAY_KINDS = ("first_stage", "spare", "curing", "reserve")
"""Rooms that are walled bays, one heap's place (or several, end to end) each."""


@dataclass(frozen=True)
class Opening:
    """A way into a room: the stretch of its edge from ``start`` to ``end``.

    ``bay_front``: mesh gate over a low board; ``door``: for people and trolleys; ``vehicle``: open side on the lane;
    ``open_side``: no wall there at all.
    """

    kind: Literal["bay_front", "door", "vehicle", "open_side"]
    start: Point
    end: Point


@dataclass(frozen=True)
class Room:
    """A bay, a bed or a room: the polygon of its clear floor, within its walls.

    ``key`` is unique ('bay-12'), ``name`` is for the drawing and the schedule ('First-stage bay 12').
    """

    key: str
    kind: RoomKind
    name: str
    polygon: Polygon
    openings: tuple[Opening, ...]
    covered: bool = True


@dataclass(frozen=True)
class Wall:
    """A wall along its middle line. ``solid_m`` is the height of the solid part, ``mesh_m`` that of the mesh above it.

    ``partition`` stands between two bays or rooms of a row, ``back`` behind them, ``front`` is the mesh front of a bay (its
    solid part a board that lifts out), ``room`` encloses a room that is shut.
    """

    kind: Literal["partition", "back", "front", "room"]
    start: Point
    end: Point
    thickness_m: float
    solid_m: float
    mesh_m: float


@dataclass(frozen=True)
class Aisle:
    """A way for people and trolleys, or (``lane``) for the vehicle."""

    kind: Literal["aisle", "spine", "lane"]
    polygon: Polygon
    covered: bool


@dataclass(frozen=True)
class Roof:
    """One roof with two slopes. ``polygon`` is its plan, overhang included; ``ridge`` runs along its middle."""

    polygon: Polygon
    ridge: tuple[Point, Point]
    pitch_degrees: float
    eaves_height_m: float
    overhang_m: float


@dataclass(frozen=True)
class Drain:
    """A channel in the floor, water running from ``start`` to ``end``. Levels are of its bed, the first channel's start 0."""

    start: Point
    end: Point
    fall_percent: float
    level_start_m: float
    level_end_m: float


@dataclass(frozen=True)
class Fall:
    """An arrow down the slope of a floor, from ``start`` to ``end``."""

    start: Point
    end: Point
    percent: float


@dataclass(frozen=True)
class Gate:
    """The gate: its opening in the plot's edge, and the unit vector that points into the plot."""

    start: Point
    end: Point
    inward: Point


@dataclass(frozen=True)
class Marked:
    """A place to be marked: where water, power or the sump is proposed."""

    kind: Literal["tap", "power", "sump", "lamp", "extinguisher"]
    at: Point
    name: str


@dataclass(frozen=True)
class Dimension:
    """A length to be written in the drawing: from ``start`` to ``end``, the line drawn ``offset_m`` to the left of that way."""

    start: Point
    end: Point
    offset_m: float
    label: str = ""


@dataclass(frozen=True)
class Vehicle:
    """The stated vehicle. The turning radius is that of its outer front wheel at full lock."""

    length_m: float
    width_m: float
    wheelbase_m: float
    front_overhang_m: float
    turning_radius_m: float


@dataclass(frozen=True)
class Limits:
    """The clearances that the arrangement was asked to keep."""

    set_back_m: float
    aisle_m: float
    lane_m: float
    lane_clearance_m: float
    fire_gap_m: float
    clean_gap_m: float


@dataclass(frozen=True)
class Layout:
    """A whole arrangement. ``swept`` is the outline of what the vehicle passes over (its own clearance not added);
    ``path`` is the way of the middle of its rear axle. ``north`` is the unit vector that points north in x and y."""

    plot: Polygon
    usable: Polygon
    gate: Gate
    rooms: tuple[Room, ...]
    aisles: tuple[Aisle, ...]
    walls: tuple[Wall, ...]
    roofs: tuple[Roof, ...]
    drains: tuple[Drain, ...]
    falls: tuple[Fall, ...]
    marks: tuple[Marked, ...]
    dimensions: tuple[Dimension, ...]
    vehicle: Vehicle
    swept: Polygon
    path: tuple[Point, ...]
    limits: Limits
    beds: tuple[Polygon, ...] = ()
    """Each bed, within the rooms of kind ``worm_bed``."""
    north: Point = (0.0, 1.0)
