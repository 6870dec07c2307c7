"""Drawings against what stands outside them: geometry, sums of their own, the paper they are printed on, the SVG as XML."""

from __future__ import annotations

import dataclasses
import io
import json
import math
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import pypdf
import pytest

from calculators.doors import paper
from calculators.doors.browser import reply
from calculators.drawing import bay_section, plan_drawing
from calculators.drawing.bay_section import Bay, Shed
from calculators.drawing.compose import PAPERS, bar_lengths, compose, extent, hatch, wrapped
from calculators.plan import Plan
from calculators.sheet import TITLE_BLOCK, Dimension, Drawing, Path as Lines, Schedule, Words, in_one_line
from calculators.units import show
from calculators.view import drawings
from calculators.view.elements import text_of, to_html
from tests.small_yard import small_yard

ROOT = Path(__file__).resolve().parents[1]
MM_PER_POINT = 25.4 / 72
SVG = "{http://www.w3.org/2000/svg}"
BAY = Bay(1.5, 5.2, 0.3, 2.7, "rectangle", 1.2, 0.6, 0.9, 4.6)
SHED = Shed(1.8, 3.0, 15.0, 0.9, 30.0, 0.3, 2.0)


def say(value: float, unit: str, digits: int = 3) -> str:
    return show(value, unit, "metric", digits)


def box(side: float, scales: tuple[int, ...] = (50, 100, 200)) -> Drawing:
    corners = ((0.0, 0.0), (side, 0.0), (side, side), (0.0, side))
    return Drawing("box", "A box", "A box.", (Lines("walls", corners, True),), Schedule("Sizes", ("Part",), ()), scales=scales)


def three() -> list[Drawing]:
    return [bay_section.through_a_bay(BAY, say), bay_section.across_the_shed(BAY, SHED, say),
            plan_drawing.site_plan(small_yard(), say)]  # fmt: skip


# ---- the sheet ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("drawing", three(), ids=lambda each: each.key)
def test_everything_stands_within_the_frame_and_clear_of_the_title_block(drawing: Drawing) -> None:
    composed = compose(drawing)
    left, bottom, right, top = composed.frame
    mm = composed.scale / 1000
    assert (right - left, top - bottom) == pytest.approx((composed.width_mm * mm, composed.height_mm * mm))
    assert any(name == composed.paper and composed.width_mm == wide and composed.height_mm <= tall for name, wide, tall in PAPERS)
    found = extent(composed.parts, mm)
    assert found == pytest.approx(composed.frame, abs=1e-9)
    own = extent((part for part in composed.parts if part.layer != "sheet"), mm)
    assert own[0] > left and own[2] < right and own[3] < top
    assert own[1] > bottom + 30 * mm  # the block is 30 mm high


def test_every_sheet_says_what_it_is_not() -> None:
    for drawing in three():
        words = " ".join(part.text for part in compose(drawing).parts if isinstance(part, Words) and part.layer == "sheet")
        assert TITLE_BLOCK in words
        assert all(in_one_line(note) in words for note in drawing.notes)
        assert f"1:{compose(drawing).scale} on {compose(drawing).paper}" in words
    assert TITLE_BLOCK == ("Sketch for discussion. Structure, electricity and drainage are to be designed and approved by licensed people.")


@pytest.mark.parametrize(
    ("side_m", "scale", "sheet"), [(5.0, 50, "A4"), (12.0, 100, "A4"), (30.0, 200, "A4"), (42.0, 200, "A3"), (80.0, 500, "A4"), (120.0, 500, "A3"), (500.0, 5000, "A4")]
)
def test_the_finest_scale_that_fits_is_taken(side_m: float, scale: int, sheet: str) -> None:
    composed = compose(box(side_m))
    assert (composed.scale, composed.paper) == (scale, sheet)


def test_the_scale_bar_is_as_long_as_it_says() -> None:
    for scale in (25, 50, 100, 200, 500, 1000, 5000, 20000):
        whole, step = bar_lengths(scale)
        assert whole == pytest.approx(5 * step) and 30 <= whole * 1000 / scale <= 75
    composed = compose(box(12.0))
    cells = [part for part in composed.parts if isinstance(part, Lines) and part.layer == "sheet" and len(part.points) == 4][1:]
    across = [x for part in cells for x, _ in part.points]
    assert max(across) - min(across) == pytest.approx(bar_lengths(100)[0])


def test_a_hatch_lies_within_its_polygon_and_has_its_spacing() -> None:
    """Lines 0.1 m apart that fill an area: their length times 0.1 is the area, in the limit; each lies within."""
    shape = ((0.0, 0.0), (3.0, 0.0), (3.0, 2.0), (1.0, 2.0), (1.0, 1.0), (0.0, 1.0))  # an L, 5 m²
    for degrees in (0.0, 30.0, 45.0, 90.0, 135.0):
        lines = hatch(shape, degrees, 0.01)
        assert sum(math.dist(*line) for line in lines) * 0.01 == pytest.approx(plan_drawing.area(shape), rel=0.02)
        for (x1, y1), (x2, y2) in lines:
            x, y = (x1 + x2) / 2, (y1 + y2) / 2
            assert 0 <= x <= 3 and 0 <= y <= 2 and not (x < 1 and y > 1)


def test_words_are_wrapped_and_none_is_lost() -> None:
    lines = wrapped("one two three " + "x" * 45, 20)
    assert max(map(len, lines)) <= 20 and "".join(lines).replace(" ", "") == "onetwothree" + "x" * 45


def test_a_dimension_stands_on_the_left_of_its_way_and_reads_from_below_or_the_right() -> None:
    made = dataclasses.replace(box(4.0), figures=(
        Dimension((0.0, 0.0), (4.0, 0.0), "east", -8), Dimension((4.0, 0.0), (0.0, 0.0), "west", -8),
        Dimension((0.0, 4.0), (0.0, 0.0), "south", -8), Dimension((0.0, 0.0), (0.0, 4.0), "north", 8),
    ))  # fmt: skip
    words = {part.text: part for part in compose(made).parts if isinstance(part, Words)}
    assert words["east"].at[1] < 0 < words["west"].at[1]  # left of the way east, with a negative distance: below
    assert words["south"].at[0] < 0 and words["north"].at[0] < 0
    for name, degrees in (("east", 0), ("west", 0), ("south", 90), ("north", 90)):
        assert words[name].turned_degrees % 360 == pytest.approx(degrees)


# ---- sections -------------------------------------------------------------------------------------------------


def test_the_heap_drawn_has_the_area_of_its_cross_section() -> None:
    """The polygon's area by the shoelace rule against the formulas of the calculator."""
    from calculators.topics.bays import cross_section_area

    for shape in bay_section.HEAP_SHAPES:
        bay = dataclasses.replace(BAY, heap_shape=shape)
        drawn = plan_drawing.area(bay_section.heap_across(bay, 0.75))
        assert drawn == pytest.approx(cross_section_area(shape, 1.2, 0.9, 0.6), rel=0.003), shape  # a curve of 20 chords
    sloped = dataclasses.replace(BAY, sloped_ends=True)
    assert plan_drawing.area(bay_section.heap_along(sloped, 0.0)) == pytest.approx((4.6 + 4.6 - 1.2) / 2 * 0.9)


def test_rain_follows_a_drop() -> None:
    """A drop stepped down from the roof's edge strikes the wall where the formula says."""
    edge = bay_section.edge_height(3.0, 0.9, 15.0)
    x, y, step = 0.9, edge, 1e-5
    while x > 0 and y > 0:
        x, y = x - step * math.sin(math.radians(30)), y - step * math.cos(math.radians(30))
    assert bay_section.rain_reaches(edge, 0.9, 30.0) == pytest.approx(y, abs=1e-3)
    needed = bay_section.overhang_needed(3.0, 0.3, 15.0, 30.0)
    assert bay_section.rain_reaches(bay_section.edge_height(3.0, needed, 15.0), needed, 30.0) == pytest.approx(0.3)
    assert bay_section.rain_reaches(edge, 0.9, 0.0) == 0 == bay_section.overhang_needed(3.0, 0.3, 15.0, 0.0)


def test_a_section_says_its_sizes_in_words_and_table() -> None:
    shed = bay_section.across_the_shed(BAY, SHED, say)
    rows = {row[0]: row[1] for row in shed.schedule.rows}
    assert rows["Shed between outer faces of its walls"] == say(2 * (0.9 + 5.2 + bay_section.WALL_M), "m")
    assert rows["Under the ridge"] == say(3.0 + (0.9 + 5.2 + bay_section.WALL_M) * math.tan(math.radians(15)), "m")
    assert "30° from the vertical" in shed.about and "would keep the mesh dry" in shed.notes[0]
    dry = bay_section.across_the_shed(BAY, dataclasses.replace(SHED, overhang_m=1.5), say)
    assert "is kept off the mesh" in dry.about


def test_sections_in_feet() -> None:
    evaluated = Plan({}, system="feet and pounds").evaluate()
    [bay, shed] = evaluated.results["bays"].drawings
    words = [part.text for part in compose(bay).parts if isinstance(part, Words)]
    assert show(evaluated.results["bays"].inputs.bay_width_m, "m", "feet and pounds").replace("\u00a0", " ") in [
        text.replace("\u00a0", " ") for text in words
    ]  # fmt: skip
    assert "ft" in shed.about


def test_long_bays_have_no_section_across_the_shed() -> None:
    assert [each.key for each in Plan({"heap_length_m": 30}).evaluate().results["bays"].drawings] == ["bay"]


# ---- the plan -------------------------------------------------------------------------------------------------


def test_walls_stop_at_doors_and_the_plot_at_its_gate() -> None:
    pieces = plan_drawing.without((0.0, 0.0), (10.0, 0.0), [((2.0, 0.01), (3.0, 0.01)), ((6.0, 0.0), (5.0, 0.0)), ((8.0, 2.0), (9.0, 2.0))], 0.05)
    assert pieces == [((0.0, 0.0), (2.0, 0.0)), ((3.0, 0.0), (5.0, 0.0)), ((6.0, 0.0), (10.0, 0.0))]
    assert plan_drawing.without((0.0, 0.0), (4.0, 0.0), [((-1.0, 0.0), (5.0, 0.0))], 0.05) == []
    layout = small_yard()
    plot = [part for part in plan_drawing.site_plan(layout, say).figures
            if isinstance(part, Lines) and part.layer == "rooms" and part.pen == "chain"]  # fmt: skip
    assert sum(math.dist(*part.points) for part in plot) == pytest.approx(2 * (14 + 18) - 3.5)


def test_the_schedule_names_every_room_and_its_floor() -> None:
    layout = small_yard()
    drawing = plan_drawing.site_plan(layout, say)
    marks = plan_drawing.named(layout)
    assert len(set(marks.values())) == len(layout.rooms)
    rows = {row[0]: row for row in drawing.schedule.rows}
    assert rows["B1–B5"][1:] == ("First-stage bay", "1.5\u00a0m × 3.6\u00a0m", "5", "27\u00a0m²")
    assert rows["2"][1] == "Office" and rows["(T)"][1] == "Tap, proposed"
    assert sum(int(row[3]) for row in drawing.schedule.rows if not row[0].startswith("(")) == len(layout.rooms)
    words = [part.text for part in compose(drawing).parts if isinstance(part, Words)]
    assert set(marks.values()) <= set(words) and "gate 3.5\u00a0m" in words and "N" in words


def test_shapes_are_measured() -> None:
    turned = tuple((3 * math.cos(a) - 2 * math.sin(a), 3 * math.sin(a) + 2 * math.cos(a)) for a in (0.3,))
    assert math.dist(turned[0], (0, 0)) == pytest.approx(math.hypot(3, 2))
    cos, sin = math.cos(0.3), math.sin(0.3)
    tilted = tuple((x * cos - y * sin, x * sin + y * cos) for x, y in ((0, 0), (3, 0), (3, 2), (0, 2)))
    assert plan_drawing.sides(tilted) == pytest.approx((2, 3)) and plan_drawing.area(tilted) == pytest.approx(6)
    assert plan_drawing.centre(tilted) == pytest.approx((1.5 * cos - sin, 1.5 * sin + cos))
    assert plan_drawing.sides(((0, 0), (3, 0), (4, 2), (1, 2))) is None
    assert plan_drawing.ranges(["B1", "B2", "B3", "B9", "3"]) == "B1–B3, B9, 3"


def test_every_layer_asked_for_is_there() -> None:
    assert set(plan_drawing.site_plan(small_yard(), say).layers) == {
        "walls", "roof", "bays", "rooms", "drains", "water", "power", "vehicle", "dimensions", "text",
    }  # fmt: skip


# ---- as SVG, on the page and on paper -------------------------------------------------------------------------


@pytest.mark.parametrize("drawing", three(), ids=lambda each: each.key)
def test_the_svg_file_is_xml_to_scale(drawing: Drawing) -> None:
    composed = compose(drawing)
    root = ET.fromstring(drawings.svg_file(drawing))
    assert root.tag == f"{SVG}svg"
    assert root.get("width") == f"{composed.width_mm:g}mm"
    assert [float(each) for each in root.get("viewBox", "").split()] == pytest.approx(
        [0, 0, composed.width_mm, composed.height_mm], abs=0.01
    )
    groups = {group.get("class", "").removeprefix("layer-") for group in root.iter(f"{SVG}g")}
    assert groups == {*drawing.layers, "sheet"}
    title = root.find(f"{SVG}title")
    assert title is not None and title.text == drawing.title and root.get("role") == "img"


def test_the_block_on_a_page_has_tools_switches_words_table_and_files() -> None:
    drawing = three()[1]
    html = to_html(drawings.shown(drawing, "bays"))
    for layer in drawing.layers:
        assert f'data-layer="{layer}"' in html
    for move in ("closer", "farther", "left", "right", "up", "down", "whole"):
        assert f'data-look="{move}"' in html
    for form in ("dxf", "svg", "png"):
        assert f'data-drawing-file="{form}"' in html
    assert 'tabindex="0"' in html and "role=\"img\"" in html
    words = text_of(drawings.shown(drawing, "bays"))
    assert drawing.about in words
    for row in drawing.schedule.rows:
        assert row[1] in words


def _ends(pdf: bytes) -> tuple[list[float], tuple[float, float], str]:
    """The x (mm) at which strokes of a printed page begin and end, the page's size (mm) and its text."""
    page = pypdf.PdfReader(io.BytesIO(pdf)).pages[0]
    found: list[float] = []

    def visit(operator: bytes, operands: list, cm: list[float], _tm: list[float]) -> None:
        if operator in (b"m", b"l"):
            x, y = float(operands[0]), float(operands[1])
            found.append((cm[0] * x + cm[2] * y + cm[4]) * MM_PER_POINT)

    text = page.extract_text(visitor_operand_before=visit)
    return found, (float(page.mediabox.width) * MM_PER_POINT, float(page.mediabox.height) * MM_PER_POINT), text


def test_a_metre_on_paper_is_as_long_as_the_scale_says(tmp_path: Path) -> None:
    """A box of 12 m at 1:100, printed to PDF: its sides are 120 mm apart, and the frame is as wide as the sheet's."""
    drawing = box(12.0)
    pdf = paper.pdf("<!doctype html>\n" + to_html(drawings.paper_document([drawing])))
    ends, size, text = _ends(pdf)
    assert size == pytest.approx((210, 297), abs=0.5)
    assert "licensed people" in " ".join(text.split()) and "1:100 on A4" in text
    left = min(ends)
    assert max(ends) - left == pytest.approx(compose(drawing).width_mm, abs=0.1)
    x = (0 - compose(drawing).frame[0]) * 10  # mm from the frame at 1:100
    assert min(abs(end - left - x) for end in ends) < 0.05
    assert min(abs(end - left - x - 120) for end in ends) < 0.05


# ---- taken away -----------------------------------------------------------------------------------------------


def taken(**asked: str) -> dict:
    request = {"answers": {"low_wall": "0.5"}, "name": "Hill & yard", "parts": [], "take": {"kind": "drawing", **asked}}
    return json.loads(reply(json.dumps(request)))


def test_the_page_takes_drawings_of_the_plan_as_it_stands() -> None:
    for form, begins in (("dxf", "999"), ("svg", "<?xml"), ("png", "<?xml")):
        found = taken(drawing="bays.bay", form=form)["taken"]
        assert found["name"] == f"bays-bay.{form}" and found["text"].strip().startswith(begins)
        assert "0.5 m" in found["text"] and ("Hill & yard" if form == "dxf" else "Hill &amp; yard") in found["text"]


def test_what_is_not_there_is_refused_in_words() -> None:
    assert "no drawing named ‘bays.roof’" in taken(drawing="bays.roof", form="svg")["refused"]
    assert "no drawing named ‘mix.bay’" in taken(drawing="mix.bay", form="svg")["refused"]
    assert "no drawing named ‘’" in taken(form="svg")["refused"]
    assert "can't be had as ‘exe’" in taken(drawing="bays.bay", form="exe")["refused"]


# ---- the command line -----------------------------------------------------------------------------------------


def command(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "calculators", "draw", *arguments], cwd=ROOT, capture_output=True, text=True,
                          check=False)  # fmt: skip


def test_the_command_line_draws(tmp_path: Path) -> None:
    file = tmp_path / "yard.json"
    file.write_text('{"yard_plan": 2, "name": "Hill yard", "answers": {}}')
    assert command(str(file), "--to", str(tmp_path / "a.svg")).returncode == 0
    assert command(str(file), "--drawing", "bays.shed", "--to", str(tmp_path / "a.dxf")).returncode == 0
    assert "Hill yard" in (tmp_path / "a.svg").read_text("utf-8")
    assert "Section across the shed" in (tmp_path / "a.dxf").read_text("ascii")
    for arguments, words in (
        (("--to", str(tmp_path / "a.doc")), ".dxf, .svg or .pdf"),
        (("--drawing", "bays.none", "--to", str(tmp_path / "b.dxf")), "Known: bays.bay, bays.shed"),
    ):
        done = command(str(file), *arguments)
        assert done.returncode == 2 and words in done.stderr and len(done.stderr.splitlines()) == 1
