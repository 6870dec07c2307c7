"""Quantities and building cost: what an estimate is made from, each from the plan's own geometry, priced by the user's rates.

Areas, lengths and counts come from the plan that Shed drew, sump, tank and downpipes from Water, shredders from Machines. To
each comes what is lost. Footings, steel, posts and roof frame are allowances by area, length or volume and no design. What has
no rate is counted as nothing and named. The yearly charge is made of it in Money.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from calculators.declare import (
    Calculator,
    CannotSolve,
    Chart,
    Column,
    Line,
    RaisedCaution,
    Say,
    choice,
    count,
    number,
    output,
    output_count,
    output_table,
    output_text,
    own_choice,
    practice,
    table,
    text,
)  # fmt: skip
from calculators.known import as_count
from calculators.reference import Figure, Source, figure, source
from calculators.working import Working, most, total, whole_up


def _figure(table_name: str, key: str) -> Figure:
    return figure("quantities", table_name, key)


TOPSOIL = _figure("ground", "topsoil_m")
SUB_BASE = _figure("ground", "sub_base_m")
FLOOR = _figure("ground", "floor_m")
STRIP_WIDTH = _figure("ground", "strip_width_m")
STRIP_DEPTH = _figure("ground", "strip_depth_m")
POST_AREA = _figure("ground", "post_area_m2")
FOOTING_SIDE = _figure("ground", "footing_side_m")
FOOTING_DEPTH = _figure("ground", "footing_depth_m")
STEEL = _figure("ground", "steel_kg_m3")
BLOCK_LENGTH = _figure("walls", "block_length_m")
BLOCK_HEIGHT = _figure("walls", "block_height_m")
JOINT = _figure("walls", "joint_m")
OPENING = _figure("mesh_and_roof", "mesh_opening_mm")
RAT_OPENING = _figure("mesh_and_roof", "rat_opening_mm")
LAPS = _figure("mesh_and_roof", "sheet_laps_percent")
FRAME = _figure("mesh_and_roof", "frame_kg_m2")
WASTE = {key: _figure("waste", f"{key}_percent") for key in
         ("concrete", "masonry", "mortar", "steel", "sheet", "mesh", "pipe", "stone")}  # fmt: skip
CONCRETE_YIELD = _figure("mixes", "concrete_yield")
MORTAR_YIELD = _figure("mixes", "mortar_yield")
CEMENT = _figure("mixes", "cement_kg_m3")
CONCRETE_SAND = _figure("mixes", "concrete_sand_parts")
CONCRETE_STONE = _figure("mixes", "concrete_stone_parts")
MORTAR_SAND = _figure("mixes", "mortar_sand_parts")
PLASTER = _figure("mixes", "plaster_m")
CONTINGENCY = _figure("money", "contingency_percent")
EQUIPMENT_YEARS = _figure("money", "equipment_years")
GROUND, ROOF, REST = "ground and walls", "mesh and roof", "water, doors, fence, machines"
ON_TOP = "Other things, and what comes on top"
KINDS = {"building": "part of the building", "equipment": "equipment"}
ALLOWANCE = "An allowance, not a design: the engineer decides."
NOT_COUNTED = (
    "boards of the leaf store, what closes the gap between the walls of shut rooms and the roof, ceilings, "
    "basin and toilet, paint, levelling of a slope, the road outside, permits and the engineer's fee"
)


def _geometry(label: str, unit: str, default: float, help: str, high: float = 1e6) -> float:  # noqa: A002
    """A length or area that the plan of the shed gives."""
    return number(label, unit, default, low=0, high=high, follows="shed", group="Measured on the plan", help=help)


def _chosen(label: str, unit: str, held: Figure, low: float, high: float, group: str, help: str,  # noqa: A002
            **more: object) -> float:  # fmt: skip
    """A size or share whose usual range is the figure's."""
    return number(label, unit, held.typical, low=low, high=high, usual=(held.low, held.high), group=group, help=help,
                  source=held.cited(), **more)  # fmt: skip


def _waste(label: str, key: str, help: str) -> float:  # noqa: A002
    return _chosen(label, "percent", WASTE[key], 0, 60, "Lost and cut off", help)


def _rate(label: str, unit: str, help: str, group: str, **more: str) -> float | None:  # noqa: A002
    """A price of the user's own; blank is no price."""
    return number(label, unit, None, low=0, high=1e9, blank=True, group=f"Your rates: {group}", help=help, source=NO_RATE, **more)


NO_RATE = own_choice("no price until you give one")


@dataclass(frozen=True)
class Inputs:
    """Rates, sizes of what the plan does not show, what is lost, and what the plan measures."""

    concrete_rate: float | None = _rate(
        "Concrete, placed", "money/m3", "Floors and footings, with mixing and labour.", GROUND, measure="ask two builders for every rate"
    )  # fmt: skip
    earth_rate: float | None = _rate("Earth, dug and carried off", "money/m3", "As it lies, before it loosens.", GROUND)
    sub_base_rate: float | None = _rate("Broken stone, rolled", "money/m3", "By the loose volume that a lorry brings.", GROUND)
    paving_rate: float | None = _rate("Paving in the open", "money/m2", "Concrete, blocks or slabs, without its stone bed.", GROUND)
    steel_rate: float | None = _rate("Steel, cut, bent and tied", "money/kg", "In the concrete.", GROUND)
    block_rate: float | None = _rate("A block", "money", "Laid, without mortar.", GROUND)
    mortar_rate: float | None = _rate("Mortar", "money/m3", "Mixed on the site.", GROUND)
    plaster_rate: float | None = _rate("Plaster", "money/m2", "Both faces of walls, with its mortar.", GROUND)
    mesh_rate: float | None = _rate("Mesh on its battens", "money/m2", "Welded, against rats and mice.", ROOF)
    frame_rate: float | None = _rate("Posts and roof frame", "money/kg", "Steel, made and raised.", ROOF)
    sheet_rate: float | None = _rate("Roof sheet", "money/m2", "Of sheet bought, with its screws.", ROOF)
    ridge_rate: float | None = _rate("Ridge", "money/m", "With its open vent.", ROOF)
    gutter_rate: float | None = _rate("Gutter", "money/m", "With brackets and ends.", ROOF)
    downpipe_rate: float | None = _rate("Rain pipe", "money/m", "Downpipes, and the pipe to the tank.", ROOF)
    drain_rate: float | None = _rate("Drain in the floor", "money/m", "Channel with its cover.", REST)
    pipe_rate: float | None = _rate("Water pipe", "money/m", "From the gate along the aisles, with taps.", REST)
    sump_rate: float | None = _rate("The sump", "money", "Complete, with cover.", REST)
    tank_rate: float | None = _rate("The rain tank", "money", "Complete, with its stand.", REST)
    front_rate: float | None = _rate("Frame of a bay's front", "money", "Without its mesh.", REST)
    door_rate: float | None = _rate("A door", "money", "For people.", REST)
    store_door_rate: float | None = _rate("A wide door", "money", "On the lane.", REST)
    gate_rate: float | None = _rate("The yard's gate", "money", "As wide as drawn.", REST)
    fence_rate: float | None = _rate("Fence", "money/m", "Around the plot.", REST)
    worm_bed_rate: float | None = _rate("A worm bed", "money", "Walls and cover.", REST)
    electricity_rate: float | None = _rate("Electrical work", "money", "The licensed electrician's offer for all of it.", REST)
    shredder_rate: float | None = _rate("A shredder", "money", "Counted as equipment.", REST)
    own_items: tuple[tuple[object, ...], ...] = table(
        "Other things to build or buy", {
            "name": text("What", "Scales"),
            "amount": number("How many", "1", 1.0, low=0, high=1e6),
            "rate": number("Each costs", "money", None, low=0, high=1e9, blank=True),
            "kind": choice("It is", KINDS, "equipment"),
        }, (), most_rows=20, group=ON_TOP, help="Screen, scales, pump, tubs, tools.",
        source=own_choice("none until you list them"),
    )  # fmt: skip
    contingency_percent: float = _chosen(
        "For what nobody thought of", "percent", CONTINGENCY, 0, 60, ON_TOP, "Added to the building, not to equipment."
    )
    equipment_years: int = count(
        "Equipment lasts", "year", int(EQUIPMENT_YEARS.typical), low=1, high=40, usual=(5, 15), group=ON_TOP,
        help="On the mean. Money makes a yearly charge of it.", source=EQUIPMENT_YEARS.cited(),
    )  # fmt: skip
    topsoil_m: float = _chosen("Soft soil taken off", "m", TOPSOIL, 0, 2, "Ground and floor", "Under floor and paving.")
    sub_base_m: float = _chosen("Broken stone below floor and paving", "m", SUB_BASE, 0, 1, "Ground and floor", "Rolled.")
    floor_m: float = _chosen("Floor under the roof, thick", "m", FLOOR, 0.02, 0.5, "Ground and floor", "Of concrete, to a fall.")
    strip_width_m: float = _chosen("Footing below walls, wide", "m", STRIP_WIDTH, 0.1, 2, "Ground and floor", ALLOWANCE)
    strip_depth_m: float = _chosen("Footing below walls, deep", "m", STRIP_DEPTH, 0.05, 3, "Ground and floor", ALLOWANCE)
    post_area_m2: float = _chosen("Roof on each post", "m2", POST_AREA, 2, 200, "Ground and floor", ALLOWANCE)
    footing_side_m: float = _chosen("Footing of a post, wide", "m", FOOTING_SIDE, 0.1, 3, "Ground and floor", ALLOWANCE)
    footing_depth_m: float = _chosen("Footing of a post, deep", "m", FOOTING_DEPTH, 0.1, 3, "Ground and floor", ALLOWANCE)
    steel_kg_m3: float = _chosen("Steel for a cubic metre of concrete", "kg/m3", STEEL, 0, 300, "Ground and floor", ALLOWANCE)
    block_length_m: float = _chosen("Block, long", "m", BLOCK_LENGTH, 0.05, 1, "Walls", "Without the joint.",
                                    measure="measure ten blocks in a row")  # fmt: skip
    block_height_m: float = _chosen("Block, high", "m", BLOCK_HEIGHT, 0.03, 0.6, "Walls", "Without the joint.")
    joint_m: float = _chosen("Joint of mortar", "m", JOINT, 0, 0.05, "Walls", "Between two blocks.")
    plaster_m: float = _chosen("Plaster, thick", "m", PLASTER, 0, 0.1, "Walls", "Each face. 0: no plaster.")
    mesh_opening_mm: float = _chosen("Opening of the mesh", "mm", OPENING, 1, 100, "Mesh and roof",
                                     "Mice pass more than 6 mm, rats more than 13 mm.")  # fmt: skip
    sheet_laps_percent: float = _chosen("Laps of roof sheets", "percent", LAPS, 0, 100, "Mesh and roof",
                                        "Sheet bought beyond the roof that it covers.")  # fmt: skip
    frame_kg_m2: float = _chosen("Posts and roof frame, for a square metre of roof", "kg/m2", FRAME, 0, 100, "Mesh and roof",
                                 ALLOWANCE)  # fmt: skip
    tank_pipe_m: float = number(
        "Pipe from the downpipes to the tank", "m", 10.0, low=0, high=1_000, group="Mesh and roof", help="And its overflow.",
        source=own_choice("a tank beside the shed"), measure="measure it on the plan",
    )  # fmt: skip
    concrete_waste_percent: float = _waste("Of concrete", "concrete", "Lost when placed.")
    stone_waste_percent: float = _waste("Of broken stone", "stone", "Loose stone shrinks when it is rolled.")
    steel_waste_percent: float = _waste("Of steel", "steel", "Offcuts and laps.")
    masonry_waste_percent: float = _waste("Of blocks", "masonry", "Broken and cut.")
    mortar_waste_percent: float = _waste("Of mortar and plaster", "mortar", "Dropped, and left in the tub.")
    mesh_waste_percent: float = _waste("Of mesh", "mesh", "Overlaps and offcuts.")
    sheet_waste_percent: float = _waste("Of roof sheet", "sheet", "Offcuts; laps come on top.")
    pipe_waste_percent: float = _waste("Of gutters, ridge, pipes, drain, fence", "pipe", "Offcuts.")
    concrete_sand_parts: float = _chosen("Sand to one of cement, in concrete", "1", CONCRETE_SAND, 0.5, 10, "Mixed on the site",
                                         "By volume.")  # fmt: skip
    concrete_stone_parts: float = _chosen("Stone to one of cement, in concrete", "1", CONCRETE_STONE, 0.5, 15,
                                          "Mixed on the site", "By volume.")  # fmt: skip
    mortar_sand_parts: float = _chosen("Sand to one of cement, in mortar", "1", MORTAR_SAND, 0.5, 12, "Mixed on the site",
                                       "By volume.")  # fmt: skip
    cement_bag_kg: float = number(
        "A bag of cement holds", "kg", 50.0, low=5, high=100, usual=(25, 50), group="Mixed on the site", help="Read it on the bag.",
        source=practice("bags of 50 kg"),
    )  # fmt: skip
    covered_floor_m2: float = _geometry("Floor under roof", "m2", 400.0, "Without the overhang.")
    open_pad_m2: float = _geometry("Paving without a roof", "m2", 20.0, "Lane and ways.")
    wall_m: float = _geometry("Walls", "m", 150.0, "Of bays and rooms, without mesh fronts.")
    room_wall_m: float = _geometry("Of these around shut rooms", "m", 30.0, "Solid to their full height.")
    solid_wall_m2: float = _geometry("Solid walls, one face", "m2", 110.0, "Low walls and walls of shut rooms.")
    wall_thickness_m: float = number(
        "Thickness of walls", "m", 0.1, low=0.02, high=0.6, follows="shed", group="Measured on the plan",
        help="Of bays and rooms.",
    )  # fmt: skip
    mesh_area_m2: float = _geometry("Mesh, fronts of bays included", "m2", 400.0, "Above low walls, and the fronts.")
    roof_m2: float = number("Roof seen from above", "m2", 450.0, low=0, high=1e5, follows="shed", group="Measured on the plan",
                            help="Overhang included.")  # fmt: skip
    roof_slope_m2: float = _geometry("Roof along its slope", "m2", 470.0, "Overhang included.")
    roof_length_m: float = _geometry("Ridges", "m", 40.0, "Of all roofs.")
    gutter_m: float = _geometry("Gutters", "m", 80.0, "Both eaves.")
    low_wall_m: float = number(
        "Low wall", "m", 0.3, low=0, high=1.5, follows="shed", group="Measured on the plan", help="Of a bay."
    )
    mesh_m: float = number(
        "Mesh above the low wall", "m", 2.7, low=0, high=5, follows="shed", group="Measured on the plan",
        help="The eaves stand as high as wall and mesh.",
    )  # fmt: skip
    drain_m: float = number(
        "Length of the drain", "m", 20.0, low=0, high=1e5, follows="shed", group="Measured on the plan", help="In the floor."
    )
    aisle_m: float = _geometry("Aisles", "m", 40.0, "For the water pipe.")
    lane_m: float = _geometry("Lane", "m", 8.0, "For the water pipe.")
    bay_front_count: int = count(
        "Mesh fronts of bays", "each", 20, low=0, high=1_000, follows="shed", group="Measured on the plan", help="One for each bay."
    )
    door_count: int = count(
        "Doors for people", "each", 3, low=0, high=1_000, follows="shed", group="Measured on the plan", help="Of shut rooms."
    )
    store_door_count: int = count(
        "Wide doors on the lane", "each", 1, low=0, high=1_000, follows="shed", group="Measured on the plan", help="Of stores."
    )
    plot_perimeter_m: float = _geometry("Around the plot drawn", "m", 100.0, "For the fence.")
    gate_clear_m: float = _geometry("Gate as drawn", "m", 4.0, "Taken off the fence.", 100)
    downpipe_count: int = count(
        "Downpipes", "each", 4, low=1, high=400, follows="water", group="From other pages", help="In all."
    )
    sump_size_m3: float = number(
        "Sump to build", "m3", 1.5, low=0, high=1e5, follows="water", group="From other pages", help="One, of this size."
    )
    tank_size_m3: float = number(
        "Rain tank", "m3", 0.0, low=0, high=1e6, follows="water", group="From other pages", help="Yours or the one found. 0: none.",
    )  # fmt: skip
    worm_beds: int = count(
        "Worm beds", "each", 0, low=0, high=400, follows="worms", group="From other pages", help="None: 0."
    )
    shredder_count: int = count(
        "Shredders", "each", 1, low=0, high=100_000, follows="machines", group="From other pages",
        help="As many as the hours ask for.",
    )  # fmt: skip


@dataclass(frozen=True)
class Outputs:
    """What to order, and what it costs."""

    building_cost: float | None = output(
        "The building costs", "money", key_figure=True, help="Of what has a rate, with the share for what nobody thought of. "
                                                             "Empty: nothing has one.",
    )  # fmt: skip
    items_not_priced: str = output_text("Without a rate yet", key_figure=True)
    concrete_m3: float = output("Concrete", "m3", key_figure=True, help="Floor and footings.")
    block_count: int = output_count("Blocks", "each", key_figure=True)
    mesh_bought_m2: float = output("Mesh to buy", "m2", key_figure=True)
    sheet_bought_m2: float = output("Roof sheet to buy", "m2", key_figure=True)
    equipment_cost: float | None = output("Equipment costs", "money", help="Of what has a rate. Empty: nothing has one.")
    items_cost: float | None = output("Building, before the share on top", "money")
    cost_per_roof_m2: float | None = output("Building, by the roof", "money/m2", help="To hold against what others paid.")
    earth_m3: float = output("Earth to dig", "m3", help="As it lies.")
    stone_bed_m3: float = output("Broken stone to order", "m3", help="Loose.")
    floor_concrete_m3: float = output("Concrete of the floor", "m3")
    footing_concrete_m3: float = output("Concrete of footings", "m3", help=ALLOWANCE)
    post_count: int = output_count("Posts", "each", help=ALLOWANCE)
    steel_kg: float = output("Steel in concrete", "kg", help=ALLOWANCE)
    frame_kg: float = output("Posts and roof frame", "kg", help=ALLOWANCE)
    mortar_m3: float = output("Mortar of joints", "m3")
    plaster_m2: float = output("Plaster", "m2", help="Both faces, and the top of low walls.")
    ridge_m: float = output("Ridge to buy", "m")
    gutter_bought_m: float = output("Gutter to buy", "m")
    rain_pipe_m: float = output("Rain pipe to buy", "m")
    drain_built_m: float = output("Drain to build", "m")
    water_pipe_m: float = output("Water pipe to buy", "m")
    fence_m: float = output("Fence", "m")
    cement_bags: int = output_count("Bags of cement", "each", help="For concrete, mortar and plaster, mixed on the site.")
    sand_m3: float = output("Sand", "m3", help="Loose, for the same.")
    stone_m3: float = output("Stone for concrete", "m3", help="Loose.")
    bill: tuple[tuple[object, ...], ...] = output_table(
        "Bill of quantities, in metric units", (
            Column("item", "Item"), Column("ordered", "To order", "1"), Column("unit", "Unit"), Column("rate", "Rate", "money"),
            Column("cost", "Cost", "money"), Column("measured", "Measured", "1"),
        ),
    )  # fmt: skip
    sums: tuple[tuple[object, ...], ...] = output_table("Sums", (Column("what", "What"), Column("cost", "Cost", "money")))


# ---- formulas -------------------------------------------------------------------------------------------------


def to_order(measured: float, waste_percent: float) -> float:
    """What is ordered for a measured amount, in its unit: so many percent more."""
    return measured * (1 + waste_percent / 100)


def sheet_to_order(slope_m2: float, laps_percent: float, waste_percent: float) -> float:
    """Sheet (m²) for a roof along its slope: laps first, then what is cut off."""
    return slope_m2 * (1 + laps_percent / 100) * (1 + waste_percent / 100)


def slab_volume(area_m2: float, thickness_m: float) -> float:
    """Volume (m³) of a slab or a layer."""
    return area_m2 * thickness_m


def strip_volume(length_m: float, width_m: float, depth_m: float) -> float:
    """Volume (m³) of a strip or a wall."""
    return length_m * width_m * depth_m


def footings_volume(posts: float, side_m: float, depth_m: float) -> float:
    """Volume (m³) of square footings."""
    return posts * side_m**2 * depth_m


def earth_volume(floor_m2: float, topsoil_m: float, footings_m3: float, sump_m3: float) -> float:
    """Earth (m³, as it lies): soft soil below floor and paving, pits of footings, the sump. A level plot is taken."""
    return floor_m2 * topsoil_m + footings_m3 + sump_m3


def posts_of(roof_m2: float, post_area_m2: float) -> float:
    """Posts for a roof (m², from above), each with its share of it: a count by area, no plan of posts."""
    return whole_up(roof_m2 / post_area_m2)


def mass_by(amount: float, kg_for_each: float) -> float:
    """Mass (kg) by an allowance for each m³ or m²."""
    return amount * kg_for_each


def blocks_in_wall(wall_m2: float, block_length_m: float, block_height_m: float, joint_m: float) -> float:
    """Blocks in a wall one block thick, half the joints around each counted with it."""
    return wall_m2 / ((block_length_m + joint_m) * (block_height_m + joint_m))


def blocks_to_order(in_wall: float, waste_percent: float) -> float:
    """Whole blocks, with those that break."""
    return whole_up(in_wall * (1 + waste_percent / 100))


def joints_volume(wall_m2: float, thickness_m: float, blocks: float, block_length_m: float, block_height_m: float) -> float:
    """Mortar (m³) in the joints of a wall: its volume less its blocks, taken as solid and as thick as the wall."""
    return thickness_m * (wall_m2 - blocks * block_length_m * block_height_m)


def plastered(solid_wall_m2: float, wall_m: float, room_wall_m: float, thickness_m: float) -> float:
    """Plaster (m²): both faces of solid walls, and the top of low walls."""
    return 2 * solid_wall_m2 + most(wall_m - room_wall_m, 0) * thickness_m


def fence_length(perimeter_m: float, gate_m: float) -> float:
    """Fence (m) around the plot, less the gate."""
    return most(perimeter_m - gate_m, 0)


def rain_pipes(downpipes: float, low_wall_m: float, mesh_m: float, tank_pipe_m: float) -> float:
    """Rain pipe (m): downpipes as high as the eaves, and the pipe to the tank."""
    return downpipes * (low_wall_m + mesh_m) + tank_pipe_m


def water_pipe(aisle_m: float, lane_m: float) -> float:
    """Water pipe (m), an allowance: along the lane and every aisle."""
    return aisle_m + lane_m


def part_of_mix(volume_m3: float, yield_: float, parts: float, sand_parts: float, stone_parts: float) -> float:
    """Loose volume (m³) of one ingredient of ``parts`` in a mix of 1 of cement, sand and stone.

    ``yield_`` is the loose volume of all of them for a volume of the mix: 1.54 for concrete 1:2:4 (Griffith's table), 38 ÷ 27
    for mortar (NAVEDTRA 14043). Mixes leaner than 1:2:4 take a little more.
    """
    return volume_m3 * yield_ * parts / (1 + sand_parts + stone_parts)


def bags(cement_m3: float, kg_m3: float, bag_kg: float) -> float:
    """Whole bags of cement for a loose volume."""
    return whole_up(cement_m3 * kg_m3 / bag_kg)


def sum_of_costs(amounts: list[float], rates: list[float]) -> float:
    """Amount × rate, summed."""
    return total(amount * rate for amount, rate in zip(amounts, rates, strict=True))


def with_contingency(items: float, contingency_percent: float) -> float:
    """Cost with so many percent on top."""
    return items * (1 + contingency_percent / 100)


# ---- solving --------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Item:
    """A line of the bill: what the plan measures, what is ordered for it, and the rate."""

    name: str
    measured: float
    ordered: float
    unit: str
    rate: float | None
    equipment: bool = False


def _ground(inputs: Inputs, working: Working) -> tuple[list[_Item], dict[str, float]]:
    """Earth, stone, concrete and steel."""
    step = working.step
    paved = inputs.covered_floor_m2 + inputs.open_pad_m2
    bed = step("Broken stone, rolled", "m3", slab_volume, area_m2=paved, thickness_m=inputs.sub_base_m, source=SUB_BASE.cited())
    bed_bought = step("Broken stone to order", "m3", to_order, measured=bed, waste_percent=inputs.stone_waste_percent)
    floor = step("Floor", "m3", slab_volume, area_m2=inputs.covered_floor_m2, thickness_m=inputs.floor_m, source=FLOOR.cited())
    strip = step("Footings below walls", "m3", strip_volume, length_m=inputs.wall_m, width_m=inputs.strip_width_m,
                 depth_m=inputs.strip_depth_m, note=ALLOWANCE, source=STRIP_DEPTH.cited())  # fmt: skip
    posts = step("Posts", "each", posts_of, roof_m2=inputs.roof_m2, post_area_m2=inputs.post_area_m2, note=ALLOWANCE,
                 source=POST_AREA.cited())  # fmt: skip
    pads = step("Footings of posts", "m3", footings_volume, posts=posts, side_m=inputs.footing_side_m,
                depth_m=inputs.footing_depth_m, note=ALLOWANCE, source=FOOTING_SIDE.cited())  # fmt: skip
    earth = step("Earth to dig", "m3", earth_volume, floor_m2=paved, topsoil_m=inputs.topsoil_m, footings_m3=strip + pads,
                 sump_m3=inputs.sump_size_m3)  # fmt: skip
    waste = inputs.concrete_waste_percent
    floor_bought = step("Concrete of the floor", "m3", to_order, measured=floor, waste_percent=waste,
                        source=WASTE["concrete"].cited())  # fmt: skip
    footings_bought = step("Concrete of footings", "m3", to_order, measured=strip + pads, waste_percent=waste)
    steel = step("Steel in concrete", "kg", mass_by, amount=floor + strip + pads, kg_for_each=inputs.steel_kg_m3, note=ALLOWANCE,
                 source=STEEL.cited())  # fmt: skip
    steel_bought = step("Steel to order", "kg", to_order, measured=steel, waste_percent=inputs.steel_waste_percent)
    return [
        _Item("Earth dug", earth, earth, "m³", inputs.earth_rate),
        _Item("Broken stone below floor and paving", bed, bed_bought, "m³", inputs.sub_base_rate),
        _Item("Concrete of the floor", floor, floor_bought, "m³", inputs.concrete_rate),
        _Item("Concrete of footings (allowance)", strip + pads, footings_bought, "m³", inputs.concrete_rate),
        _Item("Steel in concrete (allowance)", steel, steel_bought, "kg", inputs.steel_rate),
        _Item("Paving in the open", inputs.open_pad_m2, inputs.open_pad_m2, "m²", inputs.paving_rate),
    ], {"earth": earth, "bed": bed_bought, "floor": floor_bought, "footings": footings_bought, "posts": posts,
        "steel": steel_bought}  # fmt: skip


def _walls(inputs: Inputs, working: Working) -> tuple[list[_Item], dict[str, float]]:
    """Blocks, mortar and plaster."""
    step = working.step
    size = {"block_length_m": inputs.block_length_m, "block_height_m": inputs.block_height_m}
    blocks = step("Blocks in the walls", "each", blocks_in_wall, wall_m2=inputs.solid_wall_m2, joint_m=inputs.joint_m, **size,
                  source=source("navedtra_14045"))  # fmt: skip
    blocks_bought = step("Blocks to order", "each", blocks_to_order, in_wall=blocks, waste_percent=inputs.masonry_waste_percent)
    mortar = step("Mortar in the joints", "m3", joints_volume, wall_m2=inputs.solid_wall_m2, thickness_m=inputs.wall_thickness_m,
                  blocks=blocks, **size)  # fmt: skip
    waste = inputs.mortar_waste_percent
    mortar_bought = step("Mortar to mix", "m3", to_order, measured=mortar, waste_percent=waste, source=WASTE["mortar"].cited())
    plaster = working.constant(0.0)
    if inputs.plaster_m > 0:
        plaster = step("Plaster", "m2", plastered, solid_wall_m2=inputs.solid_wall_m2, wall_m=inputs.wall_m,
                       room_wall_m=inputs.room_wall_m, thickness_m=inputs.wall_thickness_m)  # fmt: skip
    coat = step("Mortar of the plaster", "m3", slab_volume, area_m2=to_order(plaster, waste), thickness_m=inputs.plaster_m)
    return [
        _Item("Blocks", blocks, blocks_bought, "each", inputs.block_rate),
        _Item("Mortar of joints", mortar, mortar_bought, "m³", inputs.mortar_rate),
        _Item("Plaster", plaster, plaster, "m²", inputs.plaster_rate),
    ], {"blocks": blocks_bought, "mortar": mortar_bought, "plaster": plaster, "coat": coat}  # fmt: skip


def _roof(inputs: Inputs, working: Working) -> tuple[list[_Item], dict[str, float]]:
    """Mesh, frame, sheet, ridge and gutters."""
    step, cut = working.step, inputs.pipe_waste_percent
    mesh = step("Mesh to buy", "m2", to_order, measured=inputs.mesh_area_m2, waste_percent=inputs.mesh_waste_percent)
    frame = step("Posts and roof frame", "kg", mass_by, amount=inputs.roof_m2, kg_for_each=inputs.frame_kg_m2, note=ALLOWANCE,
                 source=FRAME.cited())  # fmt: skip
    frame_bought = step("Posts and roof frame, to order", "kg", to_order, measured=frame,
                        waste_percent=inputs.steel_waste_percent)  # fmt: skip
    sheet = step("Roof sheet to buy", "m2", sheet_to_order, slope_m2=inputs.roof_slope_m2, laps_percent=inputs.sheet_laps_percent,
                 waste_percent=inputs.sheet_waste_percent, source=LAPS.cited())  # fmt: skip
    ridge = step("Ridge to buy", "m", to_order, measured=inputs.roof_length_m, waste_percent=cut)
    gutter = step("Gutter to buy", "m", to_order, measured=inputs.gutter_m, waste_percent=cut)
    pipes = step("Downpipes and pipe to the tank", "m", rain_pipes, downpipes=inputs.downpipe_count, low_wall_m=inputs.low_wall_m,
                 mesh_m=inputs.mesh_m, tank_pipe_m=inputs.tank_pipe_m)  # fmt: skip
    pipes_bought = step("Rain pipe to buy", "m", to_order, measured=pipes, waste_percent=cut)
    return [
        _Item("Mesh", inputs.mesh_area_m2, mesh, "m²", inputs.mesh_rate),
        _Item("Posts and roof frame (allowance)", frame, frame_bought, "kg", inputs.frame_rate),
        _Item("Roof sheet", inputs.roof_slope_m2, sheet, "m²", inputs.sheet_rate),
        _Item("Ridge", inputs.roof_length_m, ridge, "m", inputs.ridge_rate),
        _Item("Gutter", inputs.gutter_m, gutter, "m", inputs.gutter_rate),
        _Item("Rain pipe", pipes, pipes_bought, "m", inputs.downpipe_rate),
    ], {"mesh": mesh, "frame": frame_bought, "sheet": sheet, "ridge": ridge, "gutter": gutter, "pipes": pipes_bought}  # fmt: skip


def _rest(inputs: Inputs, working: Working) -> tuple[list[_Item], dict[str, float]]:
    """Water, doors, fence, electricity, and what the user added."""
    step, cut = working.step, inputs.pipe_waste_percent
    drain = step("Drain to build", "m", to_order, measured=inputs.drain_m, waste_percent=cut)
    water = step("Water pipe", "m", water_pipe, aisle_m=inputs.aisle_m, lane_m=inputs.lane_m, note="An allowance.")
    water_bought = step("Water pipe to buy", "m", to_order, measured=water, waste_percent=cut)
    around = step("Fence", "m", fence_length, perimeter_m=inputs.plot_perimeter_m, gate_m=inputs.gate_clear_m)
    fence = step("Fence to build", "m", to_order, measured=around, waste_percent=cut)
    one, none = working.constant(1.0), working.constant(0.0)
    sump = one if inputs.sump_size_m3 > 0 else none
    tank = one if inputs.tank_size_m3 > 0 else none
    found = [
        _Item("Drain in the floor", inputs.drain_m, drain, "m", inputs.drain_rate),
        _Item("Water pipe (allowance)", water, water_bought, "m", inputs.pipe_rate),
        _Item("Sump", sump, sump, "whole", inputs.sump_rate),
        _Item("Rain tank", tank, tank, "whole", inputs.tank_rate),
    ]
    for name, amount, rate in (
        ("Frames of bay fronts", inputs.bay_front_count, inputs.front_rate), ("Doors", inputs.door_count, inputs.door_rate),
        ("Wide doors", inputs.store_door_count, inputs.store_door_rate), ("Worm beds", inputs.worm_beds, inputs.worm_bed_rate),
    ):  # fmt: skip
        found.append(_Item(name, amount, amount, "each", rate))
    found += [
        _Item("Gate of the yard", one, one, "whole", inputs.gate_rate),
        _Item("Fence", around, fence, "m", inputs.fence_rate),
        _Item("Electrical work", one, one, "whole", inputs.electricity_rate),
        _Item("Shredders", inputs.shredder_count, inputs.shredder_count, "each", inputs.shredder_rate, True),
    ]
    for name, amount, rate, kind in inputs.own_items:
        found.append(_Item(str(name), amount, amount, "each", rate, kind == "equipment"))  # type: ignore[arg-type]
    return found, {"drain": drain, "water": water_bought, "fence": fence}


def _costed(label: str, items: list[_Item], working: Working) -> float | None:
    """The sum of what has a rate; ``None`` where nothing has."""
    priced = [item for item in items if item.rate is not None and item.ordered > 0]
    if not priced:
        return None
    names = [item.name.lower() for item in priced]
    said: dict[str, Any] = {"amounts": names, "rates": [f"rate of {name}" for name in names]}
    return working.step(label, "money", sum_of_costs, amounts=[item.ordered for item in priced],
                        rates=[item.rate for item in priced], names=said)  # fmt: skip


def solve(inputs: Inputs, working: Working) -> Outputs:
    """What is ordered, what it is mixed from, and what it costs."""
    if inputs.room_wall_m > inputs.wall_m * (1 + 1e-9):
        raise CannotSolve("Walls around shut rooms are more than all walls together.", ("room_wall_m", "wall_m"))
    ground, of_ground = _ground(inputs, working)
    walls, of_walls = _walls(inputs, working)
    roof, of_roof = _roof(inputs, working)
    rest, of_rest = _rest(inputs, working)
    concrete = of_ground["floor"] + of_ground["footings"]
    mortar = of_walls["mortar"] + of_walls["coat"]
    in_concrete = {"volume_m3": concrete, "yield_": CONCRETE_YIELD.typical, "sand_parts": inputs.concrete_sand_parts,
                   "stone_parts": inputs.concrete_stone_parts}  # fmt: skip
    in_mortar = {"volume_m3": mortar, "yield_": MORTAR_YIELD.typical, "sand_parts": inputs.mortar_sand_parts, "stone_parts": 0.0}
    names = {"yield_": "loose volume of a mixed one"}
    mix = working.step
    cement = mix("Cement in concrete, loose", "m3", part_of_mix, parts=1.0, names=names, source=CONCRETE_YIELD.cited(),
                 **in_concrete)  # fmt: skip
    sand = mix("Sand in concrete", "m3", part_of_mix, parts=inputs.concrete_sand_parts, names=names, **in_concrete)
    stone = mix("Stone in concrete", "m3", part_of_mix, parts=inputs.concrete_stone_parts, names=names, **in_concrete)
    cement_too = mix("Cement in mortar and plaster, loose", "m3", part_of_mix, parts=1.0, names=names,
                     source=MORTAR_YIELD.cited(), **in_mortar)  # fmt: skip
    sand_too = mix("Sand in mortar and plaster", "m3", part_of_mix, parts=inputs.mortar_sand_parts, names=names, **in_mortar)
    cement_bags = mix("Bags of cement", "each", bags, cement_m3=cement + cement_too, kg_m3=CEMENT.typical,
                      bag_kg=inputs.cement_bag_kg, source=CEMENT.cited())  # fmt: skip
    items = [*ground, *walls, *roof, *rest]
    bought = [item for item in items if item.ordered > 0]
    summed = _costed("Building, before the share on top", [item for item in items if not item.equipment], working)
    building = None
    if summed is not None:
        building = mix("The building costs", "money", with_contingency, items=summed,
                       contingency_percent=inputs.contingency_percent, source=CONTINGENCY.cited())  # fmt: skip
    equipment = _costed("Equipment", [item for item in items if item.equipment], working)
    return Outputs(
        building_cost=building,
        items_not_priced=_not_priced(bought),
        concrete_m3=concrete,
        block_count=as_count(of_walls["blocks"]),
        mesh_bought_m2=of_roof["mesh"],
        sheet_bought_m2=of_roof["sheet"],
        equipment_cost=equipment,
        items_cost=summed,
        cost_per_roof_m2=building / inputs.roof_m2 if building is not None and inputs.roof_m2 > 0 else None,
        earth_m3=of_ground["earth"],
        stone_bed_m3=of_ground["bed"],
        floor_concrete_m3=of_ground["floor"],
        footing_concrete_m3=of_ground["footings"],
        post_count=as_count(of_ground["posts"]),
        steel_kg=of_ground["steel"],
        frame_kg=of_roof["frame"],
        mortar_m3=of_walls["mortar"],
        plaster_m2=of_walls["plaster"],
        ridge_m=of_roof["ridge"],
        gutter_bought_m=of_roof["gutter"],
        rain_pipe_m=of_roof["pipes"],
        drain_built_m=of_rest["drain"],
        water_pipe_m=of_rest["water"],
        fence_m=of_rest["fence"],
        cement_bags=as_count(cement_bags),
        sand_m3=sand + sand_too,
        stone_m3=stone,
        bill=tuple((item.name, item.ordered, item.unit, item.rate, None if item.rate is None else item.ordered * item.rate,
                    item.measured) for item in bought),
        sums=(("Building, before the share on top", summed),
              ("For what nobody thought of", None if building is None or summed is None else building - summed),
              ("The building", building), ("Equipment", equipment)),
    )  # fmt: skip


def _not_priced(items: list[_Item]) -> str:
    """The names of what has no rate."""
    without = [_lowered(item.name) for item in items if item.rate is None]
    return "nothing" if not without else "every item" if len(without) == len(items) else _listed(without)


def _lowered(name: str) -> str:
    """A name within a line of words."""
    return name[:1].lower() + name[1:]


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1] if words else ""


# ---- words ----------------------------------------------------------------------------------------------------


def in_round_figures(amount: float) -> float:
    """An amount to three figures, for words."""
    return float(f"{amount:.3g}")


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    orders = (
        f"Order about {say(in_round_figures(outputs.concrete_m3), 'm3')} of concrete, {say(outputs.block_count, 'each')} blocks, "
        f"{say(in_round_figures(outputs.mesh_bought_m2), 'm2')} of mesh and "
        f"{say(in_round_figures(outputs.sheet_bought_m2), 'm2')} of roof sheet"
    )
    if outputs.building_cost is None:
        return f"{orders}; give your rates, and the page says what it costs."
    so_far = "" if outputs.items_not_priced == "nothing" else " in what has a rate so far"
    bought = "" if outputs.equipment_cost is None else f", and equipment {say(in_round_figures(outputs.equipment_cost), 'money')}"
    return f"{orders}; the building costs about {say(in_round_figures(outputs.building_cost), 'money')}{so_far}{bought}."


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about this result."""
    found = []
    if outputs.building_cost is None:
        found.append("No rate is given, so there is no cost. Rates differ from town to town; ask two builders, with this bill.")
    elif outputs.items_not_priced != "nothing":
        found.append(f"No rate is given for: {outputs.items_not_priced}. Each counts as nothing here and in Money; the yard costs "
                     "more.")  # fmt: skip
    if inputs.mesh_opening_mm > RAT_OPENING.typical:
        found.append(f"Rats pass an opening of more than {say(RAT_OPENING.typical, 'mm')}: this mesh does not keep them out.")
    elif inputs.mesh_opening_mm > OPENING.typical:
        found.append(f"Mice pass an opening of more than {say(OPENING.typical, 'mm')}: this mesh keeps out rats only.")
    else:
        found.append(f"Mesh of {say(inputs.mesh_opening_mm, 'mm')}, welded and galvanised. Fix it to wall, posts and floor with no "
                     "wider gap than that, at the fronts too.")  # fmt: skip
    found.append("Footings, steel, posts and roof frame are allowances by length, volume and area, not a design. When the "
                 "engineer has drawn them, put the engineer's figures in.")  # fmt: skip
    if inputs.tank_size_m3 > 0:
        found.append(f"The tank is one of {say(inputs.tank_size_m3, 'm3')}, the sump one of {say(inputs.sump_size_m3, 'm3')}.")
    found.append(f"Not counted: {NOT_COUNTED}. Add what you need to the list of other things.")
    found.append("The bill is the plan's as drawn. Where the yard does not fit on its plot, it is that of the larger plot.")
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """Dangers of the building site, and who designs."""
    found = [
        RaisedCaution("shed_structure", f"{say(outputs.frame_kg, 'kg')} of posts and roof frame are an allowance, not a design."),
        RaisedCaution("wall_design", f"{say(outputs.footing_concrete_m3, 'm3')} of footings are an allowance, not a design."),
        RaisedCaution("work_at_height", f"{say(outputs.sheet_bought_m2, 'm2')} of sheet go onto the roof."),
        RaisedCaution("cement_burns", f"{say(outputs.cement_bags, 'each')} bags of cement."),
        RaisedCaution("rodent_mesh", f"Mesh with openings of {say(inputs.mesh_opening_mm, 'mm')}.",
                      urgent=inputs.mesh_opening_mm > RAT_OPENING.typical),
        RaisedCaution("mesh_cuts", f"{say(outputs.mesh_bought_m2, 'm2')} of mesh are cut."),
        RaisedCaution("licensed_electrician", "The bill has one line for all electrical work: the electrician's own offer."),
    ]  # fmt: skip
    if inputs.sump_size_m3 > 0:
        found.append(RaisedCaution("sump_entry", "The sides of a pit fall in, too: shore it while it is dug."))
    return found


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """What the money goes into, the most first."""
    costs = [(str(row[0]), float(row[4])) for row in outputs.bill if row[4]]  # type: ignore[arg-type]
    if not costs:
        return []
    costs.sort(key=lambda each: -each[1])
    shown, rest = costs[:9], costs[9:]
    if rest:
        shown.append(("All else", sum(cost for _, cost in rest)))
    return [Chart("bars", "Cost by item", "money", tuple(name for name, _ in shown),
                  (Line("Cost", tuple(cost for _, cost in shown)),), axis="Item")]  # fmt: skip


def _sources() -> tuple[Source, ...]:
    return (OPENING.cited(), WASTE["concrete"].cited(), WASTE["mortar"].cited(), source("navedtra_14045"), CONCRETE_YIELD.cited(),
            MORTAR_YIELD.cited(), FLOOR.cited(), STEEL.cited(), FRAME.cited(), LAPS.cited())  # fmt: skip


CALCULATOR = Calculator(
    key="quantities", title="Quantities and building cost", question="What is to be ordered, and what does the building cost?",
    inputs=Inputs, outputs=Outputs, solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts,
    sources=_sources(),
)  # fmt: skip
