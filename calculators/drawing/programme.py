"""What is wanted on a yard: so many bays of a size, beds, and rooms of an area; and the cells that rows are filled with."""

from __future__ import annotations

import math
from dataclasses import dataclass

from calculators.drawing.layout import Limits, Polygon, RoomKind, Vehicle

RAW = ("receiving", "shredding")
"""Rooms for raw waste: kept away from the clean ones."""
CLEAN = ("screening", "product_store")
"""Rooms for finished compost."""
SHUT = ("product_store", "tools_washing", "office")
"""Rooms with solid walls and a door; all others stand open."""
ON_LANE = ("receiving", "product_store")
"""Rooms at which a vehicle is loaded or unloaded."""
NAMES: dict[str, str] = {
    "first_stage": "First-stage bay", "curing": "Curing bay", "spare": "Spare bay", "reserve": "Reserve bay",
    "worm_bed": "Worm beds", "receiving": "Receiving and second sorting", "shredding": "Shredding and mixing",
    "leaf_store": "Leaf store", "screening": "Screening and bagging", "product_store": "Product store",
    "tools_washing": "Tools and washing", "office": "Office and rest",
}  # fmt: skip
BAY_NAMES: dict[str, str] = {
    "first_stage": "First-stage bays", "curing": "Curing bays", "spare": "Spare bays", "reserve": "Reserve bays",
}  # fmt: skip
"""Of a kind of bay all together."""
DOOR_M = 1.0
"""Clear width of a door for people and barrows (chosen here)."""
STORE_DOOR_M = 2.4
"""Clear width of a shut room's opening on the lane (chosen here)."""
NARROWEST_ROOM_M = 1.2
"""No room is made narrower along its row than this."""
LONGEST_ROOM_M = 8.0
"""A room or beds that would fill more of a row than this are parted into several rooms."""


@dataclass(frozen=True)
class Programme:
    """What is wanted. Areas are clear floors (m²); 0 leaves a room out."""

    first_stage_bays: int = 0
    spare_bays: int = 0
    reserve_bays: int = 0
    curing_bays: int = 0
    bay_width_m: float = 1.5
    bay_length_m: float = 5.2
    wall_m: float = 0.1
    receiving_m2: float = 0.0
    shredding_m2: float = 0.0
    screening_m2: float = 0.0
    product_store_m2: float = 0.0
    tools_washing_m2: float = 0.0
    office_m2: float = 0.0
    leaf_store_m2: float = 0.0
    leaf_store_covered: bool = True
    worm_beds: int = 0
    worm_bed_length_m: float = 3.0
    worm_bed_width_m: float = 1.2
    worm_bed_gap_m: float = 0.6

    @property
    def bays(self) -> int:
        """Bays of every kind."""
        return self.first_stage_bays + self.spare_bays + self.reserve_bays + self.curing_bays

    @property
    def row_depth_m(self) -> float:
        """Clear depth of every row: a bay's length, or what a bed needs where that is more."""
        if not self.worm_beds:
            return self.bay_length_m
        return max(self.bay_length_m, min(self.worm_bed_length_m, self.worm_bed_width_m) + self.worm_bed_gap_m)


@dataclass(frozen=True)
class Case:
    """All that an arrangement depends on. The plot is in x and y; the gate is in the edge that looks most to its side."""

    plot: Polygon
    gate_side: str
    gate_position: float
    programme: Programme
    vehicle: Vehicle
    rear_radius_m: float
    road_m: float
    gate_m: float
    limits: Limits
    low_wall_m: float = 0.3
    mesh_m: float = 2.7
    room_wall_m: float = 2.4
    roof_pitch_percent: float = 25.0
    overhang_m: float = 0.6
    floor_slope_percent: float = 2.0
    channel_fall_percent: float = 1.0


@dataclass(frozen=True)
class Cell:
    """A stretch of a row: one bay, one room, or a room of beds. ``width_m`` is its clear length along the row."""

    key: str
    kind: RoomKind
    name: str
    width_m: float
    beds: int = 0


def beds_across(programme: Programme) -> tuple[int, float]:
    """How many beds stand one behind the other in the depth of a row, and the length of row that such a file takes (m)."""
    gap, depth = programme.worm_bed_gap_m, programme.row_depth_m
    long, short = programme.worm_bed_length_m, programme.worm_bed_width_m
    best = (0, 1.0)
    for deep, wide in ((long, short), (short, long)):
        behind = math.floor((depth + gap) / (deep + gap) + 1e-9)
        if behind and (not best[0] or behind / (wide + gap) > best[0] / best[1]):
            best = (behind, wide + gap)
    return best


def room_cells(programme: Programme) -> list[Cell]:
    """The rooms that stand in rows, other than bays and beds, each as deep as the row."""
    depth = programme.row_depth_m
    found: list[Cell] = []
    kinds: tuple[RoomKind, ...] = ("receiving", "product_store", "shredding", "screening", "tools_washing", "office")
    for kind in kinds:
        floor = getattr(programme, f"{kind}_m2")
        parts = math.ceil(floor / depth / LONGEST_ROOM_M - 1e-9)
        for part in range(1, parts + 1):
            key, name = (f"{kind}-{part}", f"{NAMES[kind]} {part}") if parts > 1 else (kind, NAMES[kind])
            found.append(Cell(key, kind, name, max(NARROWEST_ROOM_M, floor / parts / depth)))
    return found


def worm_cells(programme: Programme) -> list[Cell]:
    """The rooms of beds, each short enough to be placed."""
    if not programme.worm_beds:
        return []
    behind, wide = beds_across(programme)
    files = math.ceil(programme.worm_beds / behind)
    in_one = max(1, math.floor(LONGEST_ROOM_M / wide))
    rooms = math.ceil(files / in_one)
    found: list[Cell] = []
    left = programme.worm_beds
    for index in range(rooms):
        here = files // rooms + (index < files % rooms)
        beds = min(left, here * behind)
        left -= beds
        found.append(Cell(f"worm_beds-{index + 1}", "worm_bed", f"{NAMES['worm_bed']} {index + 1}", here * wide + programme.worm_bed_gap_m, beds))
    return found


def bay_cells(programme: Programme) -> list[Cell]:
    """The bays, in the order in which rows are filled from the raw side."""
    found: list[Cell] = []
    kinds: tuple[RoomKind, ...] = ("first_stage", "spare", "reserve", "curing")
    for kind in kinds:
        for _ in range(getattr(programme, f"{kind}_bays")):
            number = len(found) + 1
            found.append(Cell(f"bay-{number}", kind, f"{NAMES[kind]} {number}", programme.bay_width_m))
    return found


def row_length(cells: list[Cell], wall_m: float) -> float:
    """Length of row (m) that the cells take with the walls between them, the wall at one end of the row not counted."""
    return sum(cell.width_m + wall_m for cell in cells)
