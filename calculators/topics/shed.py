"""Shed and layout: the rooms that a yard needs, and whether and how they stand on the plot.

Floors come from the plan's own figures (the busiest day, a day's mix, the compost that waits, the people present). They are
set in rows, all as deep as a bay is long, on both sides of aisles; ``calculators.drawing`` searches for an arrangement that
keeps every clearance, and where there is none it tries what would help. Lengths, areas and counts are measured on the plan
that was found.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from calculators.declare import (
    Calculator,
    CannotSolve,
    Column,
    RaisedCaution,
    Say,
    choice,
    count,
    flag,
    number,
    output,
    output_count,
    output_table,
    output_text,
    own_choice,
    table,
)  # fmt: skip
from calculators.drawing.advise import Advice, Tried, advise, whole_plot
from calculators.drawing.layout import Layout, Limits, Polygon, Vehicle
from calculators.drawing.measure import Measures, measure, schedule
from calculators.drawing.plan_drawing import site_plan
from calculators.drawing.polygons import bounds, is_simple, signed_area
from calculators.drawing.programme import NAMES, Case, Programme
from calculators.drawing.swept import inner_wheel_radius, outer_corner_radius, rear_axle_radius
from calculators.known import plain
from calculators.reference import Figure, figure, source
from calculators.sheet import Drawing
from calculators.working import Working


def _figure(table_name: str, key: str) -> Figure:
    return figure("layout", table_name, key)


AISLE = _figure("ways", "aisle_width_m")
LOADER_AISLE = _figure("ways", "loader_aisle_m")
NARROWEST_AISLE = _figure("ways", "narrowest_aisle_m")
FIRE_GAP = _figure("ways", "fire_gap_m")
LEAF_HEIGHT = _figure("ways", "leaf_pile_height_m")
SET_BACK = _figure("ways", "set_back_m")
CLEAN_GAP = _figure("ways", "clean_gap_m")
LANE_CLEARANCE = _figure("ways", "lane_clearance_m")
FIRE_ROAD = _figure("ways", "fire_road_m")
FIRE_GATE = _figure("ways", "fire_gate_m")
DEAD_END = _figure("ways", "dead_end_m")
ROAD = _figure("ways", "road_width_m")
VEHICLE = {
    key: _figure("vehicle", f"vehicle_{key}_m") for key in ("length", "width", "wheelbase", "front_overhang", "turning_radius")
}
CART = {key: _figure("vehicle", f"cart_{key}_m") for key in VEHICLE}
TIPPED_DEPTH = _figure("rooms", "tipped_depth_m")
SORTING = _figure("rooms", "sorting_m2")
MIXING_DEPTH = _figure("rooms", "mixing_depth_m")
SHREDDER = _figure("rooms", "shredder_m2")
SCREENED_DEPTH = _figure("rooms", "screened_depth_m")
SCREEN = _figure("rooms", "screen_m2")
SCREENING_DAYS = _figure("rooms", "screening_days")
PRODUCT_DAYS = _figure("rooms", "product_days")
PRODUCT_HEIGHT = _figure("rooms", "product_height_m")
PRODUCT_USED = _figure("rooms", "product_used_percent")
TOOLS = _figure("rooms", "tools_m2")
TOOLS_PER_WORKER = _figure("rooms", "tools_m2_per_worker")
OFFICE = _figure("rooms", "office_m2")
REST = _figure("rooms", "rest_m2_per_worker")
CENTRE = _figure("rooms", "centre_m2_per_t_day")
BED_GAP = _figure("rooms", "worm_bed_gap_m")
WALL = _figure("building", "wall_thickness_m")
ROOM_WALL = _figure("building", "room_wall_m")
PITCH = _figure("building", "roof_pitch_percent")
OVERHANG = _figure("building", "overhang_m")
SLOPE = _figure("building", "floor_slope_percent")
CHANNEL = _figure("building", "channel_fall_percent")

MOST_BAYS = 800
MOST_BEDS = 400
LARGEST_ROOM_M2 = 3_000.0
KERB_M = 0.3
"""How near to the far kerb the vehicle drives before it turns in (chosen here)."""
SIDES = {"south": "south", "north": "north", "east": "east", "west": "west"}
NO_FIT = "does not fit"


@dataclass(frozen=True)
class Inputs:
    """The plot, the vehicle, ways and gaps, rooms, the shed itself, and what is to be housed."""

    plot_length_m: float | None = number(
        "Length of the plot", "m", None, low=2, high=1_000, blank=True, follows="bays", group="The plot",
        help="From south to north in the drawing.",
    )  # fmt: skip
    plot_width_m: float | None = number(
        "Width of the plot", "m", None, low=2, high=1_000, blank=True, follows="bays", group="The plot",
        help="From west to east in the drawing.",
    )  # fmt: skip
    plot_corners: tuple[tuple[float, float], ...] = table(
        "Corners of a plot that is no rectangle",
        {
            "east_m": number("East", "m", 0.0, low=-2_000, high=2_000, usual=(-20, 60)), "north_m": number("North", "m", 0.0, low=-2_000, high=2_000, usual=(-20, 60)),
        }, (), most_rows=16, group="The plot",
        help="Metres east and north of any one point, in order around the plot. Empty: the rectangle.",
        source=own_choice("a rectangle until corners are measured"),
    )  # fmt: skip
    gate_side: str = choice(
        "The gate is on the side", SIDES, "south", group="The plot", help="Where the road passes.", source=own_choice("to begin with"),
    )  # fmt: skip
    gate_position_percent: float = number(
        "Middle of the gate along that side", "percent", 50.0, low=0, high=100, group="The plot",
        help="From the west end, or from the south end. The lane keeps clear of the corners.", source=own_choice("in the middle"),
    )  # fmt: skip
    set_back_m: float = number(
        "Set-back from the boundary", "m", SET_BACK.typical, low=0, high=100, usual=(0.9, 15), group="The plot",
        help="Nothing is built nearer. Your local code decides.", source=SET_BACK.cited(), measure="ask the planning office",
    )  # fmt: skip
    road_width_m: float = number(
        "Road before the gate", "m", ROAD.typical, low=1.5, high=50, usual=(3, 12), group="The plot",
        help="From the plot's edge to the far kerb: the vehicle turns in from there.", source=ROAD.cited(), measure="measure the road",
    )  # fmt: skip
    gate_width_m: float = number(
        "Gate, clear width", "m", FIRE_GATE.typical, low=1, high=20, usual=(3.1, 6), group="The plot",
        help="Made wider where the vehicle needs it.", source=FIRE_GATE.cited(), why_limits="Below 3.1 m a fire engine does not pass.",
    )  # fmt: skip
    vehicle_enters: bool = flag(
        "A vehicle drives in", True, group="The vehicle", help="No: all is wheeled in and out by hand cart, as in a small court.",
        source=own_choice("waste of a ward comes by vehicle"),
    )  # fmt: skip
    vehicle_length_m: float = number(
        "Length of the vehicle", "m", VEHICLE["length"].typical, low=1, high=14, usual=(2.5, 9.2), group="The vehicle",
        help="The largest that comes in.", source=VEHICLE["length"].cited(), measure="read it in the maker's sheet",
    )  # fmt: skip
    vehicle_width_m: float = number(
        "Width of the vehicle", "m", VEHICLE["width"].typical, low=0.6, high=3.2, usual=(1.2, 2.5), group="The vehicle",
        help="Body, without mirrors.", source=VEHICLE["width"].cited(), measure="read it in the maker's sheet",
    )  # fmt: skip
    vehicle_wheelbase_m: float = number(
        "Wheelbase", "m", VEHICLE["wheelbase"].typical, low=0.5, high=8, usual=(1.5, 6.1), group="The vehicle",
        help="From front axle to rear axle.", source=VEHICLE["wheelbase"].cited(), measure="read it in the maker's sheet",
    )  # fmt: skip
    vehicle_front_overhang_m: float = number(
        "Front overhang", "m", VEHICLE["front_overhang"].typical, low=0, high=3, usual=(0.3, 1.5), group="The vehicle",
        help="From the front axle to the bumper.", source=VEHICLE["front_overhang"].cited(), measure="measure it",
    )  # fmt: skip
    vehicle_turning_radius_m: float = number(
        "Turning radius, outer front wheel", "m", VEHICLE["turning_radius"].typical, low=1.5, high=15, usual=(3, 12.8),
        group="The vehicle", help="Half the turning circle between kerbs.", source=VEHICLE["turning_radius"].cited(),
        measure="read it in the maker's sheet",
    )  # fmt: skip
    lane_clearance_m: float = number(
        "Clear beside the vehicle, each side", "m", LANE_CLEARANCE.typical, low=0.1, high=3, usual=(0.3, 1), group="The vehicle",
        help="Between what the vehicle passes over and any wall.", source=LANE_CLEARANCE.cited(),
    )  # fmt: skip
    aisle_width_m: float = number(
        "Width of an aisle", "m", AISLE.typical, low=NARROWEST_AISLE.low, high=8, usual=(1.2, 6), group="Ways and gaps",
        help="For barrows and trolleys; 3 m or more for a small loader.", source=AISLE.cited(),
    )  # fmt: skip
    fire_gap_m: float = number(
        "Gap around the leaf store", "m", FIRE_GAP.typical, low=0, high=50, usual=(3, 10), group="Ways and gaps",
        help="To everything else and to the boundary. The fire service decides.", source=FIRE_GAP.cited(),
    )  # fmt: skip
    clean_gap_m: float = number(
        "Between raw waste and finished compost", "m", CLEAN_GAP.typical, low=0, high=10, usual=(1, 10), group="Ways and gaps",
        help="The lane is made as wide; receiving and shredding stand on one side of it.", source=CLEAN_GAP.cited(),
    )  # fmt: skip
    tipped_depth_m: float = number(
        "Waste is spread to a depth of", "m", TIPPED_DEPTH.typical, low=0.1, high=2, usual=(0.3, 0.8), group="Rooms",
        help="On the receiving floor, for the second sorting.", source=TIPPED_DEPTH.cited(),
    )  # fmt: skip
    leaf_pile_height_m: float = number(
        "Leaves are piled to", "m", LEAF_HEIGHT.typical, low=0.5, high=3.6, usual=(1, 3), group="Rooms",
        help="In the leaf store.", source=LEAF_HEIGHT.cited(), why_limits="Above 12 ft the code that was read asks for 30 ft of gap.",
    )  # fmt: skip
    leaf_store_roofed: bool = flag(
        "The leaf store has a roof", True, group="Rooms", help="Dry leaves are worth a roof.", source=own_choice("wet leaves dry nothing"),
    )  # fmt: skip
    screening_days: float = number(
        "Days of compost waiting at the screen", "d", SCREENING_DAYS.typical, low=0, high=60, usual=(1, 14), group="Rooms",
        help="Screened once a week: 7.", source=SCREENING_DAYS.cited(),
    )  # fmt: skip
    product_days: float = number(
        "Days of product in the store", "d", PRODUCT_DAYS.typical, low=0, high=365, usual=(7, 90), group="Rooms",
        help="Between two sales, and for the tests.", source=PRODUCT_DAYS.cited(),
    )  # fmt: skip
    product_height_m: float = number(
        "Product is stacked to", "m", PRODUCT_HEIGHT.typical, low=0.3, high=4, usual=(0.9, 1.8), group="Rooms",
        help="By hand: to the chest.", source=PRODUCT_HEIGHT.cited(),
    )  # fmt: skip
    office_m2: float = number(
        "Office", "m2", OFFICE.typical, low=0, high=200, usual=(4, 15), group="Rooms",
        help="Rest room comes on top. 0: neither office nor rest room on the plot.", source=OFFICE.cited(),
    )  # fmt: skip
    wall_thickness_m: float = number(
        "Thickness of walls", "m", WALL.typical, low=0.02, high=0.6, usual=(0.1, 0.25), group="The shed", help="Of bays and rooms.",
        source=WALL.cited(),
    )  # fmt: skip
    roof_pitch_percent: float = number(
        "Rise of the roof, on its run", "percent", PITCH.typical, low=3, high=120, usual=(10, 70), group="The shed",
        help="25 % rises 1 m in 4 m.", source=PITCH.cited(),
    )  # fmt: skip
    overhang_m: float = number(
        "Overhang of the roof", "m", OVERHANG.typical, low=0, high=3, usual=(0.5, 1.5), group="The shed",
        help="Against driven rain. Cut to the set-back where that is less.", source=OVERHANG.cited(),
    )  # fmt: skip
    floor_fall_percent: float = number(
        "Fall of the floor", "percent", SLOPE.typical, low=0.2, high=10, usual=(2, 3), group="The shed",
        help="From the back of a row to the drain in the aisle.", source=SLOPE.cited(),
    )  # fmt: skip
    drain_fall_percent: float = number(
        "Fall of the drain", "percent", CHANNEL.typical, low=0.1, high=10, usual=(0.5, 3), group="The shed",
        help="Along the aisles to the sump.", source=CHANNEL.cited(),
    )  # fmt: skip
    first_stage_bays: int = count(
        "Bays for the first stage", "bay", 8, low=0, high=100_000, usual=(0, 50), follows="bays", group="What is to be housed", help="Walled, in rows."
    )
    spare_bays: int = count(
        "Spare bays, to turn into", "bay", 1, low=0, high=100_000, usual=(0, 8), follows="bays", group="What is to be housed", help="Among the others."
    )
    curing_bays: int = count(
        "Bays for curing", "bay", 5, low=0, high=100_000, usual=(0, 35), follows="bays", group="What is to be housed", help="The same size."
    )
    reserve_bays: int = count(
        "Bays in reserve", "bay", 2, low=0, high=100_000, usual=(0, 10), follows="bays", group="What is to be housed", help="The same size."
    )
    bay_width_m: float = number(
        "Width of a bay, inside", "m", 1.5, low=0.6, high=4, usual=(1.2, 1.8), follows="bays", group="What is to be housed",
        help="Between the walls.",
    )  # fmt: skip
    bay_length_m: float = number(
        "Length of a bay, inside", "m", 5.2, low=0.5, high=610, usual=(2, 8), follows="bays", group="What is to be housed",
        help="Every row is as deep.",
    )  # fmt: skip
    low_wall_m: float = number(
        "Low wall", "m", 0.3, low=0, high=1.5, usual=(0.2, 0.6), follows="bays", group="What is to be housed", help="Of a bay."
    )
    mesh_m: float = number(
        "Mesh above the low wall", "m", 2.7, low=0, high=5, usual=(1, 3), follows="bays", group="What is to be housed",
        help="The eaves stand as high as wall and mesh.",
    )  # fmt: skip
    mix_m3_per_day: float = number(
        "Volume of mix", "m3/d", 2.0, low=0.001, high=5_000, usual=(0.1, 15), follows="mix", group="What is to be housed",
        help="For the shredding and mixing floor.",
    )  # fmt: skip
    busiest_day_kg: float = number(
        "Busiest day at the gate", "kg", 800.0, low=0, high=1e7, usual=(20, 6_000), follows="arrivals", group="What is to be housed",
        help="For the receiving floor.",
    )  # fmt: skip
    received_kg_per_day: float = number(
        "Arrives at the gate, mean of the year", "kg/d", 500.0, low=0, high=2e6, usual=(20, 4_000), follows="arrivals", group="What is to be housed",
        help="With the volume it gives the density.",
    )  # fmt: skip
    received_m3_per_day: float = number(
        "Volume at the gate, mean of the year", "m3/d", 2.0, low=0, high=1e5, usual=(0.1, 20), follows="arrivals", group="What is to be housed",
        help="As it is tipped.",
    )  # fmt: skip
    screened_m3_per_day: float = number(
        "Volume to be screened", "m3/d", 1.0, low=0, high=1e5, usual=(0.05, 6), follows="bays", group="What is to be housed",
        help="For screening, bagging and the product store.",
    )  # fmt: skip
    crew_present: int = count(
        "Workers present on a working day", "worker", 4, low=0, high=100_000, usual=(1, 40), follows="crew", group="What is to be housed",
        help="For lockers and the rest room.",
    )  # fmt: skip
    leaf_store_m3: float = number(
        "Leaf store holds", "m3", 200.0, low=0, high=1e6, usual=(0, 600), group="What is to be housed", help="Leaves beyond it are turned away.",
        source=own_choice("a shed of two bays' length"), measure="measure the store",
    )  # fmt: skip
    worm_beds: int = count(
        "Worm beds", "each", 0, low=0, high=MOST_BEDS, follows="worms", group="What is to be housed", help="None: 0.",
    )  # fmt: skip
    worm_bed_length_m: float = number(
        "Length of a worm bed", "m", 3.0, low=0.5, high=30, follows="worms", group="What is to be housed", help="Inside.",
    )  # fmt: skip
    worm_bed_width_m: float = number(
        "Width of a worm bed", "m", 1.2, low=0.3, high=3, follows="worms", group="What is to be housed", help="Inside.",
    )  # fmt: skip


@dataclass(frozen=True)
class Outputs:
    """Whether it fits, and what is measured on the plan."""

    fits_on_plot: str = output_text("Fits on the plot", key_figure=True)
    drawn_length_m: float = output("Plot drawn: length", "m", key_figure=True, help="South to north.")
    drawn_width_m: float = output("Plot drawn: width", "m", key_figure=True, help="West to east.")
    roof_m2: float = output("Under roof, overhang included", "m2", key_figure=True, help="Seen from above.")
    covered_floor_m2: float = output("Floor under roof, without overhang", "m2", key_figure=True)
    open_pad_m2: float = output("Paved without a roof", "m2", key_figure=True, help="Lane and ways.")
    plot_m2: float = output("Area of the plot drawn", "m2")
    paved_percent_of_plot: float = output("Paved or roofed, of the plot drawn", "percent")
    row_depth_m: float = output("Depth of a row, inside", "m")
    row_count: int = output_count("Rows of bays and rooms", "each", help="A row that a lane or aisle parts counts as two.")
    aisle_count: int = output_count("Aisles", "each", help="Without the cross aisle.")
    aisle_m: float = output("Length of all aisles", "m")
    lane_m: float = output("Length of the lane", "m")
    lane_width_m: float = output("Width of the lane", "m", help="What the vehicle passes over when it turns in, and the clearance.")
    inner_turn_m: float = output("Inner rear wheel turns at", "m", help="Radius.")
    outer_turn_m: float = output("Outer front corner turns at", "m", help="Radius: what a wall must stand clear of.")
    floor_way_m: float = output("Longest way over the floor to the drain", "m")
    floor_drop_m: float = output("The floor drops by", "m", help="From the back of a row to the aisle.")
    drain_m: float = output("Length of drains", "m")
    drain_drop_m: float = output("The drain drops by", "m", help="From its highest end to the sump.")
    roof_length_m: float = output("Length of ridges", "m")
    roof_span_m: float = output("Widest span of a roof, overhang included", "m")
    ridge_height_m: float = output("Height of the highest ridge", "m")
    roof_slope_m2: float = output("Roof along its slope", "m2")
    gutter_m: float = output("Gutters", "m", help="Both eaves of every roof; one between two roofs that meet.")
    wall_m: float = output("Walls of bays and rooms", "m", help="Without the mesh fronts.")
    partition_m: float = output("Of these between two bays or at the end of a row", "m")
    room_wall_m: float = output("Of these around rooms that are shut", "m", help="Solid to their full height.")
    solid_wall_m2: float = output("Solid walls", "m2", help="Low walls of bays and high ones of shut rooms; one face.")
    mesh_area_m2: float = output("Mesh, fronts of bays included", "m2")
    bay_front_count: int = output_count("Mesh fronts of bays", "each")
    door_count: int = output_count("Doors for people", "each")
    store_door_count: int = output_count("Wide doors on the lane", "each")
    plot_perimeter_m: float = output("Around the plot drawn", "m")
    gate_clear_m: float = output("Gate as drawn", "m", help="Wider than asked for where the vehicle needs it.")
    rooms: tuple[tuple[object, ...], ...] = output_table(
        "Rooms",
        (
            Column("room", "Room"), Column("count", "Number", "1"), Column("long", "Along the row, each", "m"),
            Column("deep", "Deep", "m"), Column("floor", "Floor, all", "m2"), Column("roof", "Under roof"),
        ),
    )  # fmt: skip
    what_helps: tuple[tuple[object, ...], ...] = output_table(
        "What was tried to make it fit", (Column("change", "Change"), Column("fits", "Then it fits")),
    )  # fmt: skip


# ---- formulas -------------------------------------------------------------------------------------------------


def busiest_volume(busiest_kg: float, mean_kg: float, mean_m3: float) -> float:
    """Volume (m³) of the busiest day, as dense as the mean of the year. Needs a mean above 0."""
    return busiest_kg * mean_m3 / mean_kg


def receiving_floor(busiest_m3: float, tipped_depth_m: float, sorting_m2: float) -> float:
    """Floor (m²) to tip the busiest day's waste, spread to a depth that hands can sort, and the sorting table (chosen here)."""
    return busiest_m3 / tipped_depth_m + sorting_m2


def shredding_floor(mix_m3: float, mixing_depth_m: float, shredder_m2: float) -> float:
    """Floor (m²) to lay out a day's mix in layers and to stand the shredder clear (chosen here)."""
    return mix_m3 / mixing_depth_m + shredder_m2


def screening_floor(screened_m3_per_day: float, days: float, screened_depth_m: float, screen_m2: float) -> float:
    """Floor (m²) for the compost that waits, and the screen with scales and bags (chosen here)."""
    return screened_m3_per_day * days / screened_depth_m + screen_m2


def product_floor(screened_m3_per_day: float, days: float, height_m: float, used: float) -> float:
    """Floor (m²) of the product store: volume × days ÷ height of a stack ÷ the part of the floor that stacks take.

    Screened volume is taken with its rejects, so it errs on the large side.
    """
    return screened_m3_per_day * days / height_m / used


def store_floor(volume_m3: float, height_m: float) -> float:
    """Floor (m²) of a store by the height of its pile, sides upright between boards."""
    return volume_m3 / height_m


def people_floor(fixed_m2: float, each_m2: float, people: float) -> float:
    """Floor (m²) of a room for people: what stands in it, and so much for each."""
    return fixed_m2 + each_m2 * people


def vehicle_on_road(road_width_m: float, vehicle_width_m: float, kerb_m: float) -> float:
    """How far (m) from the plot's edge the middle of the vehicle runs on the road before it turns in."""
    return road_width_m - kerb_m - vehicle_width_m / 2


# ---- solving --------------------------------------------------------------------------------------------------


def _plot_of(inputs: Inputs) -> tuple[Polygon, bool]:
    """The plot's corners, counter-clockwise, and whether any were given."""
    corners = tuple((float(east), float(north)) for east, north in inputs.plot_corners)
    if corners:
        if len(corners) < 3:
            raise CannotSolve("Give at least three corners of the plot, or none for a rectangle.", ("plot_corners",))
        if signed_area(corners) < 0:
            corners = tuple(reversed(corners))
        if not is_simple(corners):
            raise CannotSolve(
                "The corners do not go once around the plot: two of its edges cross or touch. Give them in order around it, "
                "each once.", ("plot_corners",),
            )  # fmt: skip
        return corners, True
    if inputs.plot_length_m is None or inputs.plot_width_m is None:
        return whole_plot(20.0, 30.0), False
    return whole_plot(inputs.plot_width_m, inputs.plot_length_m), True


def solve(inputs: Inputs, working: Working) -> Outputs:
    """Floors of the rooms, the turn of the vehicle, the arrangement, and what is measured on it."""
    bays = inputs.first_stage_bays + inputs.spare_bays + inputs.curing_bays + inputs.reserve_bays
    if bays > MOST_BAYS or inputs.worm_beds > MOST_BEDS:
        raise CannotSolve(
            f"A plan is drawn for up to {MOST_BAYS} bays and {MOST_BEDS} worm beds; here are {bays} bays and {inputs.worm_beds} "
            "beds. Part the work into several yards, or make heaps longer.",
            ("first_stage_bays", "curing_bays", "worm_beds"),
        )
    vehicle = _vehicle(inputs, working)
    if inputs.vehicle_enters:
        _check_vehicle(inputs)
    rear = working.step("Middle of the rear axle turns at", "m", rear_axle_radius, turning_radius_m=vehicle.turning_radius_m,
                        wheelbase_m=vehicle.wheelbase_m, width_m=vehicle.width_m)  # fmt: skip
    inner = working.step("Inner rear wheel", "m", inner_wheel_radius, rear_radius_m=rear, width_m=vehicle.width_m)
    outer = working.step("Outer front corner", "m", outer_corner_radius, rear_radius_m=rear, wheelbase_m=vehicle.wheelbase_m,
                         front_overhang_m=vehicle.front_overhang_m, width_m=vehicle.width_m)  # fmt: skip
    on_road = working.step("It runs on the road, from the plot's edge", "m", vehicle_on_road,
                           road_width_m=inputs.road_width_m, vehicle_width_m=vehicle.width_m, kerb_m=KERB_M)  # fmt: skip
    floors = _floors(inputs, working)
    for name, floor in floors.items():
        if floor > LARGEST_ROOM_M2:
            raise CannotSolve(
                f"{NAMES[name]} would take {floor:.0f} m² of floor; a plan is drawn for rooms of up to {LARGEST_ROOM_M2:.0f} m². "
                "Part the work into several yards.",
                ("leaf_store_m3", "busiest_day_kg", "screened_m3_per_day"),
            )
    found = working.untraced(_drawn, inputs, vehicle, rear, on_road, floors, working)
    return replace(found, inner_turn_m=inner, outer_turn_m=outer)


def _vehicle(inputs: Inputs, working: Working) -> Vehicle:
    """The vehicle, or the hand cart where none drives in."""
    if inputs.vehicle_enters:
        return Vehicle(inputs.vehicle_length_m, inputs.vehicle_width_m, inputs.vehicle_wheelbase_m,
                       inputs.vehicle_front_overhang_m, inputs.vehicle_turning_radius_m)  # fmt: skip
    cart = {key: working.constant(each.typical) for key, each in CART.items()}
    return Vehicle(cart["length"], cart["width"], cart["wheelbase"], cart["front_overhang"], cart["turning_radius"])


def _check_vehicle(inputs: Inputs) -> None:
    """Refuse a vehicle that can't be."""
    if inputs.vehicle_turning_radius_m <= 1.05 * inputs.vehicle_wheelbase_m + 0.5 * inputs.vehicle_width_m:
        raise CannotSolve(
            f"A vehicle with a wheelbase of {inputs.vehicle_wheelbase_m:g} m and a width of {inputs.vehicle_width_m:g} m does not "
            f"turn at {inputs.vehicle_turning_radius_m:g} m: look at its maker's sheet.",
            ("vehicle_turning_radius_m", "vehicle_wheelbase_m"),
        )
    if inputs.vehicle_length_m < inputs.vehicle_wheelbase_m + inputs.vehicle_front_overhang_m:
        raise CannotSolve(
            f"The vehicle is shorter ({inputs.vehicle_length_m:g} m) than its wheelbase and front overhang together.",
            ("vehicle_length_m", "vehicle_wheelbase_m", "vehicle_front_overhang_m"),
        )


def _floors(inputs: Inputs, working: Working) -> dict[str, float]:
    """The floor of each room (m²), 0 for one that is not wanted."""
    step, constant = working.step, working.constant
    receiving = constant(0.0)
    if inputs.received_kg_per_day > 0 and inputs.received_m3_per_day > 0 and inputs.busiest_day_kg > 0:
        busiest = step("Volume on the busiest day", "m3", busiest_volume, busiest_kg=inputs.busiest_day_kg,
                       mean_kg=inputs.received_kg_per_day, mean_m3=inputs.received_m3_per_day)  # fmt: skip
        receiving = step("Receiving and second sorting", "m2", receiving_floor, busiest_m3=busiest,
                         tipped_depth_m=inputs.tipped_depth_m, sorting_m2=SORTING.typical, source=SORTING.cited())  # fmt: skip
    screening, product = constant(0.0), constant(0.0)
    if inputs.screened_m3_per_day > 0:
        screening = step("Screening and bagging", "m2", screening_floor, screened_m3_per_day=inputs.screened_m3_per_day,
                         days=inputs.screening_days, screened_depth_m=SCREENED_DEPTH.typical, screen_m2=SCREEN.typical,
                         source=SCREEN.cited())  # fmt: skip
        product = step("Product store", "m2", product_floor, screened_m3_per_day=inputs.screened_m3_per_day,
                       days=inputs.product_days, height_m=inputs.product_height_m, used=PRODUCT_USED.typical / 100,
                       source=PRODUCT_USED.cited())  # fmt: skip
    office = constant(0.0)
    if inputs.office_m2 > 0:
        office = step("Office and rest", "m2", people_floor, fixed_m2=inputs.office_m2, each_m2=REST.typical,
                      people=inputs.crew_present, source=REST.cited())  # fmt: skip
    return {
        "receiving": receiving,
        "shredding": step("Shredding and mixing", "m2", shredding_floor, mix_m3=inputs.mix_m3_per_day,
                          mixing_depth_m=MIXING_DEPTH.typical, shredder_m2=SHREDDER.typical, source=SHREDDER.cited()),
        "screening": screening,
        "product_store": product,
        "tools_washing": step("Tools and washing", "m2", people_floor, fixed_m2=TOOLS.typical, each_m2=TOOLS_PER_WORKER.typical,
                              people=inputs.crew_present, source=TOOLS.cited()),
        "office": office,
        "leaf_store": step("Leaf store", "m2", store_floor, volume_m3=inputs.leaf_store_m3, height_m=inputs.leaf_pile_height_m),
    }  # fmt: skip


def _case(inputs: Inputs, vehicle: Vehicle, rear_radius_m: float, road_m: float,
          floors: dict[str, float]) -> tuple[Case, bool]:  # fmt: skip
    plot, given = _plot_of(inputs)
    programme = Programme(
        inputs.first_stage_bays, inputs.spare_bays, inputs.reserve_bays, inputs.curing_bays, inputs.bay_width_m,
        inputs.bay_length_m, inputs.wall_thickness_m, _alike(floors["receiving"]), _alike(floors["shredding"]),
        _alike(floors["screening"]), _alike(floors["product_store"]), _alike(floors["tools_washing"]), _alike(floors["office"]),
        _alike(floors["leaf_store"]), inputs.leaf_store_roofed, inputs.worm_beds, inputs.worm_bed_length_m,
        inputs.worm_bed_width_m, BED_GAP.typical,
    )  # fmt: skip
    limits = Limits(inputs.set_back_m, inputs.aisle_width_m, 0.0, inputs.lane_clearance_m, inputs.fire_gap_m, inputs.clean_gap_m)
    return Case(
        plot, inputs.gate_side, inputs.gate_position_percent / 100, programme, vehicle, rear_radius_m, road_m, inputs.gate_width_m,
        limits, inputs.low_wall_m, inputs.mesh_m, ROOM_WALL.typical, inputs.roof_pitch_percent,
        inputs.overhang_m, inputs.floor_fall_percent, inputs.drain_fall_percent,
    ), given  # fmt: skip


def _alike(value: float) -> float:
    """The value to eight digits: a floor that differs by rounding only is the same case."""
    return float(f"{value:.7e}")


@lru_cache(maxsize=48)
def _measured(layout: Layout) -> Measures:
    return measure(layout)


def _drawn(inputs: Inputs, vehicle: Vehicle, rear_radius_m: float, road_m: float, floors: dict[str, float],
           working: Working) -> Outputs:  # fmt: skip
    """The plan and what is measured on it."""
    case, given = _case(inputs, vehicle, rear_radius_m, road_m, floors)
    found = advise(case, given, min(inputs.aisle_width_m, NARROWEST_AISLE.typical))
    layout = found.layout
    if layout is None:
        raise CannotSolve(
            f"No plan could be drawn: {found.reason}, and no larger plot that was tried helps either. Look at the vehicle, the "
            "road before the gate, the set-back and the corners of the plot.",
            ("vehicle_turning_radius_m", "road_width_m", "set_back_m", "plot_corners", "gate_side"),
        )
    measures = _measured(layout)
    low_x, low_y, high_x, high_y = bounds(layout.plot)
    words = "no plot given" if not given else "yes" if found.fits else "no"
    working.note("Fits on the plot", words, note=_SEARCHED)
    working.note("Plan drawn on a plot of", high_x - low_x, "m", f"wide, {high_y - low_y:g} m long")
    depth = case.programme.row_depth_m
    rows = len({(fall.start, fall.end) for fall in layout.falls})
    return Outputs(
        fits_on_plot=words,
        drawn_length_m=high_y - low_y,
        drawn_width_m=high_x - low_x,
        roof_m2=measures.roof_m2,
        covered_floor_m2=measures.covered_floor_m2,
        open_pad_m2=measures.open_pad_m2,
        plot_m2=measures.plot_m2,
        paved_percent_of_plot=100 * measures.paved_m2 / measures.plot_m2,
        row_depth_m=depth,
        row_count=rows,
        aisle_count=sum(aisle.kind == "aisle" for aisle in layout.aisles),
        aisle_m=measures.aisle_m,
        lane_m=measures.lane_m,
        lane_width_m=measures.lane_width_m,
        inner_turn_m=0.0,
        outer_turn_m=0.0,
        floor_way_m=depth + inputs.aisle_width_m / 2,
        floor_drop_m=measures.floor_drop_m,
        drain_m=measures.drain_m,
        drain_drop_m=measures.drain_drop_m,
        roof_length_m=measures.roof_length_m,
        roof_span_m=measures.roof_span_m,
        ridge_height_m=measures.ridge_height_m,
        roof_slope_m2=measures.roof_slope_m2,
        gutter_m=measures.gutter_m,
        wall_m=measures.wall_m,
        partition_m=measures.partition_m,
        room_wall_m=measures.room_wall_m,
        solid_wall_m2=measures.solid_wall_m2,
        mesh_area_m2=measures.mesh_m2,
        bay_front_count=measures.bay_front_count,
        door_count=measures.door_count,
        store_door_count=measures.store_door_count,
        plot_perimeter_m=measures.plot_perimeter_m,
        gate_clear_m=measures.gate_clear_m,
        rooms=schedule(layout),
        what_helps=tuple((_change(case, each), "yes" if each.fits else "no") for each in found.tried),
    )  # fmt: skip


_SEARCHED = (
    "Rows along and across, with every place of the cross aisle, the leaf store and the rooms on the lane; small yards also at "
    "every place of a grid of 1 m. The plan is then checked by itself: nothing overlaps, all is reached, every gap holds."
)


def _change(case: Case, tried: Tried) -> str:
    """A change in words."""
    amount = tried.amount
    bays = case.programme.bays
    if tried.what == "gate":
        return f"gate on the {amount} along it" if tried.fits else "gate elsewhere: any side, at both ends and in the middle"
    if tried.what == "aisle":
        return f"aisles of {amount:g} m instead of {case.limits.aisle_m:g} m"
    if tried.what == "leaf_store":
        return "leaf store elsewhere"
    if tried.what in ("bays", "bays_without_leaf_store"):
        where = ", and the leaf store elsewhere" if tried.what != "bays" else ""
        if not tried.fits:
            return f"fewer bays{where}, down to one"
        return f"at most {amount:g} bays, {bays - float(amount):g} fewer{where}"  # type: ignore[arg-type]
    if not tried.fits:
        return {"longer": "a longer plot", "wider": "a wider plot"}.get(tried.what, "a larger plot")
    along = {"longer": "longer, south to north", "wider": "wider, west to east", "both": "wider, and longer in proportion"}
    return f"a plot {amount:g} m {along[tried.what]}"


def advice_of(inputs: Inputs) -> Advice:
    """The search's whole answer for the answers given; kept, so that asking again costs nothing. May raise ``CannotSolve``."""
    working = Working()
    vehicle = plain(_vehicle(inputs, working))
    rear = rear_axle_radius(vehicle.turning_radius_m, vehicle.wheelbase_m, vehicle.width_m)
    road = vehicle_on_road(inputs.road_width_m, vehicle.width_m, KERB_M)
    case, given = _case(inputs, vehicle, rear, road, plain(_floors(inputs, working)))
    return advise(case, given, min(inputs.aisle_width_m, NARROWEST_AISLE.typical))


def layout_of(inputs: Inputs, outputs: Outputs) -> Layout:
    """The plan that the results were measured on, for a drawing."""
    found = advice_of(inputs).layout
    assert found is not None, "outputs are there, so there is a plan"
    return found


def drawings(inputs: Inputs, outputs: Outputs, say: Say) -> list[Drawing]:
    """The plan of the yard, to scale."""
    return [site_plan(layout_of(inputs, outputs), say)]


# ---- words ----------------------------------------------------------------------------------------------------


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """Whether it fits, in one line."""
    bays = inputs.first_stage_bays + inputs.spare_bays + inputs.curing_bays + inputs.reserve_bays
    drawn = f"{say(outputs.drawn_width_m, 'm')} by {say(outputs.drawn_length_m, 'm')}"
    if outputs.fits_on_plot == "yes":
        return (
            f"The yard fits on the plot of {drawn}: {say(bays, 'bay')} and all rooms, with {say(outputs.covered_floor_m2, 'm2')} of "
            f"floor under roof and {say(outputs.open_pad_m2, 'm2')} paved in the open."
        )
    if outputs.fits_on_plot == "no":
        return (
            f"The yard does not fit on the plot as given; it would on one of {drawn}, for which the figures below hold: "
            f"{say(outputs.covered_floor_m2, 'm2')} of floor under roof for {say(bays, 'bay')} and all rooms."
        )
    return (
        f"Look for a plot of about {drawn}: it holds {say(bays, 'bay')} and all rooms, with "
        f"{say(outputs.covered_floor_m2, 'm2')} of floor under roof."
    )


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What helps, and what to know about the plan."""
    found: list[str] = []
    if outputs.fits_on_plot == "no":
        helps = [str(row[0]) for row in outputs.what_helps if row[1] == "yes"]
        found.append("Each of these was tried and makes it fit: " + "; ".join(helps) + "." if helps else "Nothing that was tried makes it fit.")
    if inputs.received_kg_per_day > 0:
        each = outputs.plot_m2 / (inputs.received_kg_per_day / 1000)
        found.append(
            f"The plot drawn is {say(each, 'm2')} for a tonne a day; a published figure for whole recovery centres is "
            f"{CENTRE.low:g} to {say(CENTRE.high, 'm2')}. Long stays in bays, a leaf store with its gap and the set-back need more."
        )
    if outputs.lane_width_m < FIRE_ROAD.typical or inputs.gate_width_m < FIRE_GATE.typical:
        found.append(f"A fire engine needs a road of {say(FIRE_ROAD.typical, 'm')} and a gate of {say(FIRE_GATE.typical, 'm')} "
                     "(one published guide); ask your fire service how it would come near.")  # fmt: skip
    if outputs.lane_m > DEAD_END.typical:
        found.append(f"The lane is a dead end of {say(outputs.lane_m, 'm')}; beyond {say(DEAD_END.typical, 'm')} one published guide "
                     "asks for a place to turn.")  # fmt: skip
    if inputs.vehicle_enters:
        found.append("The vehicle turns in from the road, drives in straight and reverses out: have someone guide it. Traffic on "
                     "the road, kerbs and trees beside the gate are not in the plan.")  # fmt: skip
    else:
        found.append("No vehicle drives in: a hand cart brings and fetches all, and the lane is as wide as it needs.")
    if inputs.aisle_width_m < LOADER_AISLE.low:
        found.append(f"The aisles are for barrows and trolleys; a small loader needs {say(LOADER_AISLE.low, 'm')} or more.")
    if inputs.overhang_m > inputs.set_back_m:
        found.append(f"The overhang is cut to the set-back, {say(inputs.set_back_m, 'm')}, so that no rain falls on the neighbour.")
    if outputs.roof_span_m > 12:
        found.append(f"A roof spans {say(outputs.roof_span_m, 'm')}: posts along the aisle, or trusses; the engineer decides.")
    found.append("Bays and open rooms have mesh above low walls on every side, so wind passes under the roof; leave the ridge open "
                 "for warm air. Product store, tools and office are shut.")  # fmt: skip
    found.append("A sketch for discussion. Sizes of rooms are for planning; set-back, gaps, structure and drainage are decided by the "
                 "local code and by licensed people.")  # fmt: skip
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """Structure, traffic, fire, pits and power on the plan."""
    found = [
        RaisedCaution("shed_structure", f"Roofs span up to {say(outputs.roof_span_m, 'm')} over {say(outputs.covered_floor_m2, 'm2')}."),
        RaisedCaution("wall_design", f"{say(outputs.wall_m, 'm')} of walls."),
        RaisedCaution("sump_entry", f"{say(outputs.drain_m, 'm')} of drains run to a sump."),
        RaisedCaution("licensed_electrician", "The plan proposes where power is wanted, no more."),
        RaisedCaution("rodent_mesh", f"{say(outputs.mesh_area_m2, 'm2')} of mesh."),
    ]
    if inputs.vehicle_enters:
        found.insert(0, RaisedCaution("reversing_vehicles", f"The vehicle reverses out along {say(outputs.lane_m, 'm')} of lane.",
                                      urgent=True))  # fmt: skip
    if inputs.leaf_store_m3 > 0:
        near = inputs.fire_gap_m < FIRE_GAP.low
        found.insert(1, RaisedCaution("leaf_store_fire", f"{say(inputs.leaf_store_m3, 'm3')} of dry leaves with "
                                      f"{say(inputs.fire_gap_m, 'm')} clear around.", urgent=near))  # fmt: skip
    return found


CALCULATOR = Calculator(
    key="shed", title="Shed and layout", question="Does the yard fit on the plot, and how does it stand?", inputs=Inputs,
    outputs=Outputs, solve=solve, sentence=sentence, notices=notices, cautions=cautions, drawings=drawings,
    sources=(AISLE.cited(), LOADER_AISLE.cited(), FIRE_GAP.cited(), SET_BACK.cited(), FIRE_ROAD.cited(), DEAD_END.cited(),
             SLOPE.cited(), VEHICLE["length"].cited(), source("aashto_design_vehicles"), SORTING.cited(), MIXING_DEPTH.cited(),
             SCREENED_DEPTH.cited(), PRODUCT_USED.cited(), TOOLS_PER_WORKER.cited(), BED_GAP.cited(), ROOM_WALL.cited(), CENTRE.cited()),
)  # fmt: skip
