"""Quantities: each against shapely on the plan's own polygons and lines, and against arithmetic by hand; prices and gaps."""

from __future__ import annotations

import dataclasses
import io
import math
import random
from typing import Any

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook
from shapely import LineString, Polygon, box, set_precision, unary_union
from shapely.affinity import rotate

from calculators.declare import CannotSolve, RaisedCaution
from calculators.doors.spreadsheet import workbook
from calculators.drawing.arrange import Arrangement, arrange
from calculators.drawing.build import build
from calculators.drawing.layout import Layout
from calculators.drawing.measure import Measures, measure
from calculators.plan import Plan
from calculators.topics import quantities, shed
from calculators.units import convert, show
from calculators.working import Working
from tests.yards import case_of

RATES = [name for name in quantities.CALCULATOR.answers if name.endswith("_rate")]
WASTES = [name for name in quantities.CALCULATOR.answers if name.endswith("_waste_percent")]
FIGURES = [name for name, each in quantities.CALCULATOR.results.items() if each.kind in ("number", "count")]
FLOOR, BED, TOPSOIL = 0.13, 0.2, 0.1
STRIP, POST_AREA, PAD, STEEL = (0.35, 0.4), 10.0, (0.7, 0.5), 33.0
BLOCK, COAT = (0.4, 0.2, 0.012), 0.012
SIZES: dict[str, Any] = {
    "floor_m": FLOOR, "sub_base_m": BED, "topsoil_m": TOPSOIL, "strip_width_m": STRIP[0], "strip_depth_m": STRIP[1],
    "post_area_m2": POST_AREA, "footing_side_m": PAD[0], "footing_depth_m": PAD[1], "steel_kg_m3": STEEL,
    "block_length_m": BLOCK[0], "block_height_m": BLOCK[1], "joint_m": BLOCK[2], "plaster_m": COAT, "sheet_laps_percent": 20,
    "frame_kg_m2": 14, "tank_pipe_m": 7, "concrete_waste_percent": 8, "stone_waste_percent": 30, "steel_waste_percent": 6,
    "masonry_waste_percent": 4, "mortar_waste_percent": 12, "mesh_waste_percent": 9, "sheet_waste_percent": 3, "pipe_waste_percent": 5,
    "concrete_sand_parts": 2.0, "concrete_stone_parts": 3.5, "mortar_sand_parts": 4.0, "cement_bag_kg": 25,
}  # fmt: skip


def solved(given_: quantities.Inputs | None = None, **own: Any) -> quantities.Outputs:
    return quantities.solve(dataclasses.replace(given_ or quantities.Inputs(), **own), Working())


# ---- against shapely ------------------------------------------------------------------------------------------


def from_shapes(layout: Layout, pitch_percent: float, cores: Any) -> dict[str, float]:
    """What is measured, by shapely alone. ``cores``: the floor that stands under roofs, as a shape."""
    inward = layout.gate.inward
    turn = 90 - math.degrees(math.atan2(inward[1], inward[0]))
    roofs = [Polygon(roof.polygon) for roof in layout.roofs]
    eaves = []
    for roof in layout.roofs:
        ridge = LineString(roof.ridge)
        corners = [*roof.polygon, roof.polygon[0]]
        (x0, y0), (x1, y1) = roof.ridge
        for a, b in zip(corners, corners[1:], strict=False):
            along = abs((b[0] - a[0]) * (y1 - y0) - (b[1] - a[1]) * (x1 - x0)) < 1e-6 * ridge.length * math.dist(a, b)
            if along:
                eaves.append(set_precision(rotate(LineString((a, b)), turn, origin=(0, 0)), 1e-8))
    walls = [(wall, LineString((wall.start, wall.end)).length) for wall in layout.walls]
    paved = unary_union([cores, *(Polygon(aisle.polygon) for aisle in layout.aisles),
                         *(Polygon(room.polygon) for room in layout.rooms if not room.covered)])  # fmt: skip
    lane = next(Polygon(aisle.polygon) for aisle in layout.aisles if aisle.kind == "lane")
    into = LineString(((0, 0), inward))
    return {
        "floor": cores.area, "pad": paved.area - cores.area, "roof": unary_union(roofs).area,
        "slope": sum(each.area for each in roofs) * math.hypot(1, pitch_percent / 100),
        "ridge": sum(LineString(roof.ridge).length for roof in layout.roofs), "gutter": unary_union(eaves).length,
        "wall": sum(long for wall, long in walls if wall.kind != "front"),
        "room_wall": sum(long for wall, long in walls if wall.kind == "room"),
        "solid": sum(long * wall.solid_m for wall, long in walls if wall.kind != "front"),
        "mesh": sum(long * (wall.mesh_m + wall.solid_m * (wall.kind == "front")) for wall, long in walls),
        "thick": max((wall.thickness_m for wall, _ in walls), default=0.1),
        "drain": unary_union([LineString((each.start, each.end)) for each in layout.drains]).length,
        "aisle": sum(max(_sides(aisle.polygon)) for aisle in layout.aisles if aisle.kind != "lane"),
        "lane": lane.area / _across(lane, into), "fence": Polygon(layout.plot).exterior.length
        - LineString((layout.gate.start, layout.gate.end)).length,
        "fronts": sum(each.kind == "bay_front" for room in layout.rooms for each in room.openings),
    }  # fmt: skip


def _sides(polygon: tuple[tuple[float, float], ...]) -> tuple[float, float]:
    return math.dist(polygon[0], polygon[1]), math.dist(polygon[1], polygon[2])


def _across(lane: Polygon, inward: LineString) -> float:
    """How wide a rectangle is square to a direction."""
    (_, (x, y)) = inward.coords
    corners = [-px * y + py * x for px, py in lane.exterior.coords]
    return max(corners) - min(corners)


def held_against(outputs: quantities.Outputs, m: dict[str, float], eaves: float, downpipes: int, sump: float) -> None:
    """Every quantity from what shapely measured, by arithmetic written out here."""

    def near(found: float, wanted: float) -> None:
        assert found == pytest.approx(wanted, abs=1e-6, rel=1e-9)

    strip = m["wall"] * STRIP[0] * STRIP[1]
    posts = math.ceil(m["roof"] / POST_AREA - 1e-9)
    pads = posts * PAD[0] * PAD[0] * PAD[1]
    near(outputs.floor_concrete_m3, m["floor"] * FLOOR * 1.08)
    near(outputs.footing_concrete_m3, (strip + pads) * 1.08)
    near(outputs.concrete_m3, (m["floor"] * FLOOR + strip + pads) * 1.08)
    near(outputs.steel_kg, (m["floor"] * FLOOR + strip + pads) * STEEL * 1.06)
    near(outputs.stone_bed_m3, (m["floor"] + m["pad"]) * BED * 1.3)
    near(outputs.earth_m3, (m["floor"] + m["pad"]) * TOPSOIL + strip + pads + sump)
    in_wall = m["solid"] / (0.412 * 0.212)
    assert outputs.block_count == math.ceil(in_wall * 1.04 - 1e-9) and outputs.post_count == posts
    joints = (m["solid"] * m["thick"] - in_wall * 0.4 * 0.2 * m["thick"]) * 1.12
    near(outputs.mortar_m3, joints)
    plaster = 2 * m["solid"] + (m["wall"] - m["room_wall"]) * m["thick"]
    near(outputs.plaster_m2, plaster)
    near(outputs.mesh_bought_m2, m["mesh"] * 1.09)
    near(outputs.sheet_bought_m2, m["slope"] * 1.2 * 1.03)
    near(outputs.frame_kg, m["roof"] * 14 * 1.06)
    near(outputs.ridge_m, m["ridge"] * 1.05)
    near(outputs.gutter_bought_m, m["gutter"] * 1.05)
    near(outputs.rain_pipe_m, (downpipes * eaves + 7) * 1.05)
    near(outputs.drain_built_m, m["drain"] * 1.05)
    near(outputs.water_pipe_m, (m["aisle"] + m["lane"]) * 1.05)
    near(outputs.fence_m, m["fence"] * 1.05)
    wet = joints + plaster * 1.12 * COAT
    dry, mortar = outputs.concrete_m3 * 1.54, wet * 38 / 27
    assert outputs.cement_bags == pytest.approx((dry / 6.5 + mortar / 5) * 1506 / 25, abs=1.01)
    assert outputs.sand_m3 == pytest.approx(dry * 2 / 6.5 + mortar * 4 / 5, rel=1e-5)
    near(outputs.stone_m3, dry * 3.5 / 6.5)
    assert sum(row[1] for row in outputs.bill if row[0] == "Frames of bay fronts") == m["fronts"]


def without_overhang(layout: Layout, at: int) -> Polygon:
    """The floor under a roof square to the axes: it ends at the eaves where another roof goes on, else an overhang before."""
    roof = layout.roofs[at]
    low_x, low_y, high_x, high_y = Polygon(roof.polygon).bounds
    others = unary_union([Polygon(each.polygon) for index, each in enumerate(layout.roofs) if index != at]).buffer(1e-9)
    sides = (((low_x, low_y), (low_x, high_y)), ((low_x, low_y), (high_x, low_y)), ((high_x, low_y), (high_x, high_y)),
             ((low_x, high_y), (high_x, high_y)))  # fmt: skip
    west, south, east, north = (0.0 if LineString(side).intersection(others).length > 1e-6 else roof.overhang_m for side in sides)
    return box(low_x + west, low_y + south, high_x - east, high_y - north)


@pytest.mark.parametrize("example", ["larkhollow", "pennywhistle"])
def test_the_examples_quantities_equal_those_of_shapely(example: str) -> None:
    results = Plan({}, example).evaluate().results
    inputs = results["quantities"].inputs
    drawn = results["shed"]
    layout = shed.layout_of(drawn.inputs, drawn.outputs)
    cores = unary_union([without_overhang(layout, at) for at in range(len(layout.roofs))])
    measured = from_shapes(layout, drawn.inputs.roof_pitch_percent, cores)
    outputs = solved(inputs, **SIZES)
    held_against(outputs, measured, inputs.low_wall_m + inputs.mesh_m, inputs.downpipe_count, inputs.sump_size_m3)


def of_measures(measures: Measures, thickness_m: float, layout: Layout) -> quantities.Inputs:
    """The answers as they would follow a plan."""
    held = vars(measures)
    follows = {name: held[name] for name in vars(quantities.Inputs()) if name in held}
    solid = max((wall.solid_m for wall in layout.walls if wall.kind in ("partition", "back")), default=0.3)
    return dataclasses.replace(quantities.Inputs(), **follows, mesh_area_m2=measures.mesh_m2, wall_thickness_m=thickness_m,
                               low_wall_m=solid, **SIZES)  # fmt: skip


@pytest.mark.parametrize("seed", range(20))
def test_random_yards_quantities_equal_those_of_shapely(seed: int) -> None:
    for each in range(1_000 + seed * 40, 1_000 + seed * 40 + 40):
        case = case_of(random.Random(each))
        found = arrange(case)
        if isinstance(found, Arrangement):
            layout = build(case, found)
            cores = unary_union([Polygon(found.ground.frame.box(core[0])) for core in found.cores])
            measured = from_shapes(layout, case.roof_pitch_percent, cores)
            inputs = of_measures(measure(layout), measured["thick"], layout)
            held_against(solved(inputs), measured, inputs.low_wall_m + 2.7, 4, inputs.sump_size_m3)
            return
    raise AssertionError("none of forty fits")


# ---- by hand --------------------------------------------------------------------------------------------------


def test_a_wall_laid_by_hand() -> None:
    """4 m by 2 m in blocks of 390 by 190 mm with joints of 10 mm: ten in a course, ten courses; 0.059 m³ of joints."""
    outputs = solved(wall_m=4, room_wall_m=4, solid_wall_m2=8, masonry_waste_percent=0, mortar_waste_percent=0)
    assert outputs.block_count == 100
    assert outputs.mortar_m3 == pytest.approx(8 * 0.1 - 100 * 0.39 * 0.19 * 0.1) and outputs.plaster_m2 == 16
    assert solved(wall_m=4, room_wall_m=4, solid_wall_m2=8, masonry_waste_percent=5, plaster_m=0).block_count == 105


def test_laps_by_counting_sheets() -> None:
    """Sheets 0.90 m by 3.0 m that cover 0.76 m, end laps of 0.15 m: so many sheets on a roof that they fill exactly."""
    wide, long = 40 * 0.76, 5 * 2.85
    bought = 40 * 5 * 0.9 * 3.0
    assert quantities.LAPS.typical == pytest.approx(100 * (bought / (wide * long) - 1), abs=0.5)
    assert quantities.sheet_to_order(wide * long, 100 * (bought / (wide * long) - 1), 0) == pytest.approx(bought)


def test_mixed_by_volume() -> None:
    """The parts of a mix are in proportion and come to the loose volume."""
    parts = [quantities.part_of_mix(3.0, 1.54, each, 2, 4) for each in (1, 2, 4)]
    assert sum(parts) == pytest.approx(3 * 1.54) and parts[2] == pytest.approx(4 * parts[0])
    assert quantities.bags(1.0, 1500, 50) == 30 and quantities.bags(1.001, 1500, 50) == 31


# ---- what is lost ---------------------------------------------------------------------------------------------

random_inputs = st.integers(0, 10**9).map(lambda seed: _random(random.Random(seed)))


def _random(chance: random.Random) -> quantities.Inputs:
    own: dict[str, Any] = {}
    for name, answer in quantities.CALCULATOR.answers.items():
        if answer.kind == "number" and answer.default is not None and chance.random() < 0.7:
            low, high = answer.usual or (answer.low, min(answer.high or 0, 900))
            own[name] = chance.uniform(low, high)
        elif answer.kind == "number" and answer.blank and chance.random() < 0.6:
            own[name] = chance.uniform(0, 90)
    own["room_wall_m"] = min(own.get("room_wall_m", 30), own.get("wall_m", 150))
    return quantities.Inputs(**own)


@given(random_inputs, st.sampled_from(WASTES))
@settings(max_examples=60, deadline=None)
def test_more_waste_never_lowers_a_quantity(inputs: quantities.Inputs, name: str) -> None:
    before = solved(inputs)
    after = solved(inputs, **{name: 2 * getattr(inputs, name)})
    raised = 0
    for figure in FIGURES:
        one, two = getattr(before, figure), getattr(after, figure)
        assert (one is None) == (two is None)
        if one is not None:
            assert two >= one - 1e-9 * abs(one), figure
            raised += two > one
    assert raised or name == "masonry_waste_percent"  # a few blocks round up to the same number


@given(random_inputs)
@settings(max_examples=40, deadline=None)
def test_costs_are_the_sum_of_the_bill(inputs: quantities.Inputs) -> None:
    outputs = solved(inputs)
    building = math.fsum(row[4] for row in outputs.bill if row[4] is not None and row[0] != "Shredders")
    rated = [row for row in outputs.bill if row[3] is not None and row[0] != "Shredders"]
    if not rated:
        assert outputs.building_cost is None and outputs.items_cost is None and outputs.cost_per_roof_m2 is None
        return
    assert outputs.items_cost == pytest.approx(building)
    assert outputs.building_cost == pytest.approx(building * (1 + inputs.contingency_percent / 100))
    for row in outputs.bill:
        assert row[1] >= row[5] - 1e-9 and (row[4] is None or row[4] == pytest.approx(row[1] * row[3]))
        name = (row[0][:1].lower() + row[0][1:]).replace(" and ", ", ")
        named = f", {name}, " in f", {outputs.items_not_priced.replace(' and ', ', ')}, "
        assert named == (row[3] is None) or outputs.items_not_priced == "every item"


# ---- prices ---------------------------------------------------------------------------------------------------


def test_no_rate_no_cost() -> None:
    outputs = solved()
    assert outputs.building_cost is None and outputs.equipment_cost is None and outputs.items_not_priced == "every item"
    assert all(row[3] is None and row[4] is None for row in outputs.bill)
    words = Plan({}, None).evaluate().results["quantities"]
    assert "give your rates" in words.sentence and any("No rate is given" in each for each in words.notices)


def test_a_rate_for_what_is_not_built_is_no_cost() -> None:
    assert solved(tank_rate=900, worm_bed_rate=50).building_cost is None
    assert solved(tank_rate=900, tank_size_m3=5).building_cost == pytest.approx(990)


def test_equipment_is_apart_from_the_building() -> None:
    own = (("Screen", 2.0, 300.0, "equipment"), ("Toilet", 1.0, 500.0, "building"), ("Tubs", 40.0, None, "equipment"))
    outputs = solved(shredder_count=2, shredder_rate=1000, gate_rate=100, own_items=own, contingency_percent=10)
    assert outputs.equipment_cost == pytest.approx(2600) and outputs.building_cost == pytest.approx(660)
    assert "tubs" in outputs.items_not_priced and "gate" not in outputs.items_not_priced
    assert solved(shredder_rate=1000).building_cost is None


@pytest.mark.parametrize("name", RATES)
def test_each_rate_prices_something(name: str) -> None:
    outputs = solved(**{name: 7.0}, tank_size_m3=3, worm_beds=4)
    cost = outputs.equipment_cost if name == "shredder_rate" else outputs.items_cost
    assert cost is not None and cost == pytest.approx(sum(row[4] for row in outputs.bill if row[4])) and cost > 0


def test_money_takes_the_building_and_the_equipment() -> None:
    results = Plan({}, "larkhollow").evaluate().results
    ours, money = results["quantities"].outputs, results["money"]
    assert ours.items_not_priced == "nothing"
    assert (money.inputs.building_cost, money.inputs.equipment_cost) == (ours.building_cost, ours.equipment_cost)
    assert money.outputs.investment == pytest.approx(ours.building_cost + ours.equipment_cost)
    rate, life, lasts = money.inputs.interest_percent / 100, money.inputs.horizon_years, money.inputs.equipment_years
    charge = sum(cost * rate / (1 - (1 + rate) ** -years) for cost, years in ((ours.building_cost, life), (ours.equipment_cost, lasts)))
    assert lasts == 8 and money.outputs.capital_charge_per_year == pytest.approx(charge)
    own = Plan({"building_cost": 50_000}, "larkhollow").evaluate().results["money"].outputs
    assert own.investment == pytest.approx(50_000 + ours.equipment_cost)
    parts = Plan({"building_parts": [["Shed", 900, 15]]}, "larkhollow").evaluate().results["money"].outputs
    assert parts.investment == pytest.approx(900)


def test_without_rates_money_goes_by_its_own() -> None:
    money = Plan({}, None).evaluate().results["money"]
    assert money.inputs.building_cost is None and money.inputs.equipment_cost is None
    assert money.outputs.investment == pytest.approx(money.inputs.building_cost_per_t_day * money.inputs.received_kg_per_day / 1000)
    only = Plan({"shredder_rate": 900}, None).evaluate().results["money"]
    assert only.inputs.equipment_cost == 900 and only.outputs.investment == money.outputs.investment


def test_rates_by_length_area_and_volume_against_pint() -> None:
    registry = pint.UnitRegistry()
    for key, other, ours, theirs in (("m", "ft", "1/meter", "1/foot"), ("m2", "ft2", "1/meter**2", "1/foot**2"),
                                     ("m3", "yd3", "1/meter**3", "1/yard**3")):  # fmt: skip
        wanted = registry.Quantity(78.0, ours).to(theirs).magnitude
        assert convert(78.0, f"money/{key}", f"money/{other}") == pytest.approx(wanted, rel=1e-12)
    assert show(78.0, "money/m3", "feet and pounds") == "59.6\u00a0units/yd³"


def test_rates_in_feet_give_the_same_cost() -> None:
    metric = Plan({"fence_rate": 10}, None).evaluate().results["quantities"].outputs
    feet = Plan({"fence_rate": "3.048"}, None, "feet and pounds", "feet and pounds").evaluate().results["quantities"].outputs
    assert feet.building_cost == pytest.approx(metric.building_cost)


# ---- words and the file ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(("opening", "said", "urgent"), [(6, "Mesh of 6", False), (10, "keeps out rats only", False),
                                                         (20, "does not keep them out", True)])  # fmt: skip
def test_the_opening_of_the_mesh(opening: float, said: str, urgent: bool) -> None:
    inputs = dataclasses.replace(quantities.Inputs(), mesh_opening_mm=opening)
    outputs = solved(inputs)
    say = lambda value, unit, digits=3: show(value, unit, "metric", digits)  # noqa: E731
    assert any(said in each for each in quantities.notices(inputs, outputs, say))
    raised = {each.key: each for each in quantities.cautions(inputs, outputs, say)}
    assert raised["rodent_mesh"].urgent is urgent and isinstance(raised["cement_burns"], RaisedCaution)
    assert {"shed_structure", "wall_design", "work_at_height", "mesh_cuts", "licensed_electrician", "sump_entry"} <= set(raised)


def test_what_is_an_allowance_says_so() -> None:
    steps = {step.label: step for step in Plan({}).evaluate().results["quantities"].steps}
    for label in ("Footings below walls", "Posts", "Footings of posts", "Steel in concrete", "Posts and roof frame"):
        assert "not a design" in steps[label].note


def test_walls_that_can_not_be_are_refused() -> None:
    with pytest.raises(CannotSolve, match="more than all walls"):
        solved(wall_m=10, room_wall_m=11)


def test_nothing_to_build_is_no_fault() -> None:
    none = {name: 0 for name, answer in quantities.CALCULATOR.answers.items() if answer.follows and answer.low == 0}
    outputs = solved(**none, sump_rate=1, concrete_rate=1)
    assert outputs.concrete_m3 == 0 and outputs.block_count == 0 and outputs.building_cost is None
    assert [row[0] for row in outputs.bill] == ["Rain pipe", "Gate of the yard", "Electrical work"]


def test_the_bill_is_in_the_spreadsheet() -> None:
    evaluated = Plan({}).evaluate()
    bill = evaluated.results["quantities"].outputs.bill
    page = load_workbook(io.BytesIO(workbook(evaluated)), data_only=True)[quantities.CALCULATOR.title[:31]]
    rows = [[cell.value for cell in row] for row in page.iter_rows()]
    for line in bill:
        assert any(row[0] == line[0] and row[2] == line[2] and row[4] == pytest.approx(line[4]) for row in rows), line
