"""DXF read back by ezdxf, which knows nothing of the writer: sound, in metres, layers by name, every line where it belongs."""

from __future__ import annotations

import dataclasses
import io
import math
from pathlib import Path as Path_

import ezdxf
import pytest
from ezdxf import bbox, recover

from calculators.doors.dxf_file import LONGEST, NAMES, PLAIN, dxf, read_text, safe_text
from calculators.drawing import bay_section, plan_drawing
from calculators.drawing.compose import compose
from calculators.sheet import Arc, Drawing, Path, Words, printable
from calculators.units import show
from tests.small_yard import small_yard

METRES = 6


def say(value: float, unit: str, digits: int = 3) -> str:
    return show(value, unit, "metric", digits)


def some() -> list[Drawing]:
    bay = bay_section.Bay(1.5, 5.2, 0.3, 2.7, "parabola", 1.2, 0.6, 0.9, 4.6)
    shed = bay_section.Shed(1.8, 3.0, 15.0, 0.9, 30.0, 0.3, 2.0)
    return [bay_section.through_a_bay(bay, say), bay_section.across_the_shed(bay, shed, say), plan_drawing.site_plan(small_yard(), say)]


def opened(drawing: Drawing) -> ezdxf.document.Drawing:
    text = dxf(drawing)
    assert text.isascii() and text.endswith("EOF\r\n")
    return ezdxf.read(io.StringIO(text.replace("\r\n", "\n")))  # as a file is read


@pytest.mark.parametrize("drawing", some(), ids=lambda each: each.key)
def test_the_auditor_finds_nothing(drawing: Drawing) -> None:
    document = opened(drawing)
    audit = document.audit()
    assert not audit.errors and not audit.fixes
    assert document.units == METRES and document.dxfversion == "AC1009"


@pytest.mark.parametrize("drawing", some(), ids=lambda each: each.key)
def test_layers_are_named_and_hold_what_is_theirs(drawing: Drawing) -> None:
    document = opened(drawing)
    wanted = {NAMES[layer] for layer in (*drawing.layers, "sheet")}
    assert wanted <= {layer.dxf.name for layer in document.layers}
    entities = list(document.modelspace())
    assert {entity.dxf.layer for entity in entities} == wanted
    composed = compose(drawing)
    for layer, name in NAMES.items():
        words = [safe_text(part.text) for part in composed.parts if isinstance(part, Words) and part.layer == layer]
        assert sorted(words) == sorted(
            entity.dxf.text for entity in entities if entity.dxftype() == "TEXT" and entity.dxf.layer == name
        )
        arcs = sum(1 for part in composed.parts if isinstance(part, Arc) and part.layer == layer)
        assert arcs == sum(1 for entity in entities if entity.dxftype() in ("ARC", "CIRCLE") and entity.dxf.layer == name)
        lines = sum(1 for part in composed.parts if isinstance(part, Path) and part.layer == layer)
        assert lines == sum(1 for entity in entities if entity.dxftype() in ("LINE", "POLYLINE") and entity.dxf.layer == name)


@pytest.mark.parametrize("drawing", some(), ids=lambda each: each.key)
def test_the_extents_are_those_of_the_drawing_in_metres(drawing: Drawing) -> None:
    document = opened(drawing)
    found = bbox.extents(entity for entity in document.modelspace() if entity.dxftype() != "TEXT")
    left, bottom, right, top = compose(drawing).frame
    assert (found.extmin.x, found.extmin.y) == pytest.approx((left, bottom), abs=1e-6)
    assert (found.extmax.x, found.extmax.y) == pytest.approx((right, top), abs=1e-6)
    assert tuple(document.header["$EXTMIN"])[:2] == pytest.approx((left, bottom), abs=1e-6)
    assert tuple(document.header["$EXTMAX"])[:2] == pytest.approx((right, top), abs=1e-6)


def test_rooms_have_their_corners() -> None:
    """Closed polylines of the layer of bays are the polygons of the layout, to a micrometre."""
    layout = small_yard()
    document = opened(plan_drawing.site_plan(layout, say))
    drawn = [[(point.x, point.y) for point in entity.points()] for entity in document.modelspace().query('POLYLINE[layer=="BAYS"]') if entity.is_closed]
    for room in layout.rooms:
        if room.kind in plan_drawing.LETTERS:
            assert any(len(points) == len(room.polygon) and all(math.dist(a, b) < 1e-6 for a, b in zip(points, room.polygon, strict=True))
                       for points in drawn), room.key  # fmt: skip


def test_filled_quadrilaterals_are_not_twisted() -> None:
    """Corners of a SOLID go in a zigzag; read as ezdxf reads it, each has the area of the wall that it fills."""
    layout = small_yard()
    solids = opened(plan_drawing.site_plan(layout, say)).modelspace().query('SOLID[layer=="WALLS"]')
    areas = [abs(plan_drawing.area([(point.x, point.y) for point in solid.wcs_vertices()])) for solid in solids]
    walls = [math.dist(wall.start, wall.end) * wall.thickness_m for wall in layout.walls if wall.kind not in ("front", "room")]
    for wanted in walls:
        assert any(found == pytest.approx(wanted, abs=1e-6) for found in areas), wanted


HOSTILE = [
    "50%%d off", "%%%%%%", "%%u%%123", "\\P\\U+0041\\M+1828D", "^J^M^ ^", "line\nbreak\r\n  0\nEOF", "\x00\x07\x1b[0m", "Ünïcödé ° ² ×",
    "पेनीव्हिसल", "堆肥場", "\U0001f331 sprout", "\ud800 half", "\u202e turned", "x" * 500, "漢" * 100, "", "   ", "<script>&\"'", "{\\fArial;}",
]  # fmt: skip


@pytest.mark.parametrize("name", HOSTILE)
def test_what_a_reader_types_stays_text(name: str) -> None:
    drawing = dataclasses.replace(some()[0], yard=name)
    document = opened(drawing)
    audit = document.audit()
    assert not audit.errors and not audit.fixes
    plain = opened(some()[0])
    assert sum(1 for _ in document.modelspace()) - sum(1 for _ in plain.modelspace()) in (0, 1)  # a long name takes two lines
    for entity in document.modelspace().query("TEXT"):
        assert "\n" not in entity.dxf.text and "%%" not in entity.dxf.text


def test_a_cad_program_shows_the_name(tmp_path: Path_) -> None:
    """Codes are read back as letters by ezdxf, from a file as CAD programs open it."""
    for name in ("Ünïcödé ° µ", "पेनीव्हिसल", "堆肥場", "a \\ b", "5 % more", "caret ^J here"):
        file = tmp_path / "plan.dxf"
        file.write_bytes(dxf(dataclasses.replace(some()[0], yard=name)).encode("ascii"))
        shown = [entity.plain_text() for entity in recover.readfile(file)[0].modelspace().query("TEXT")]
        assert name in shown, name


def test_text_comes_back() -> None:
    for name in HOSTILE:
        safe = safe_text(name)
        assert safe.isascii() and safe.isprintable() and len(safe) <= LONGEST and "%%" not in safe
        assert safe.count("^") == safe.count("^ ")
        wanted = printable(name).translate(PLAIN)
        while "%%" in wanted:
            wanted = wanted.replace("%%", "% %")
        wanted = "".join(letter if ord(letter) < 0x10000 else "□" for letter in wanted)
        assert wanted.startswith(read_text(safe)) and (read_text(safe) == wanted or len(safe) > LONGEST - 6)
