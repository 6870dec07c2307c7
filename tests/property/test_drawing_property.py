"""Laws of drawings for any text and any numbers: writers keep text as text, and every sheet can be composed."""

from __future__ import annotations

import io
import random
import xml.etree.ElementTree as ET

import ezdxf
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.doors.dxf_file import dxf, safe_text
from calculators.drawing.bay_section import Bay, Shed, across_the_shed, through_a_bay
from calculators.drawing.compose import compose, extent
from calculators.plan import Plan
from calculators.sheet import Drawing, Path, Schedule, Words, printable
from calculators.topics import bays
from calculators.units import show
from calculators.view.drawings import shown, svg_file
from calculators.view.elements import to_html
from tests.vectors import answers_for

SVG = "{http://www.w3.org/2000/svg}"
ANY_TEXT = st.text(st.characters(exclude_categories=()), max_size=80) | st.text("%\\^UP+M;{}<>&\"'\n\r\x00 duc0123456789ABCDEF", max_size=60)


def say(value: float, unit: str, digits: int = 3) -> str:
    return show(value, unit, "metric", digits)


def with_text(text: str) -> Drawing:
    """A drawing that holds the text in every place where words may stand."""
    return Drawing("any", text, text, (Path("walls", ((0.0, 0.0), (3.0, 2.0))), Words("text", (1.0, 1.0), text)),
                   Schedule(text, ("Part", text), ((text, text),), on_sheet=True), notes=(text,), yard=text)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(ANY_TEXT)
def test_any_text_is_safe_in_svg(text: str) -> None:
    root = ET.fromstring(svg_file(with_text(text)))
    assert {element.tag.removeprefix(SVG) for element in root.iter()} <= {"svg", "title", "desc", "style", "rect", "g", "path", "text"}
    lines = ["".join(element.itertext()) for element in root.iter(f"{SVG}text")]
    assert printable(text) in lines
    html = to_html(shown(with_text(text), "bays"))
    assert "<script" not in html.lower() and "\x00" not in printable(text)


@settings(max_examples=60, deadline=None)
@given(ANY_TEXT)
def test_any_text_is_safe_in_dxf(text: str) -> None:
    written = dxf(with_text(text))
    lines = written.split("\r\n")
    assert written.isascii() and "\n" not in written.replace("\r\n", "")
    assert len(lines) % 2 == 1 and all(code.strip().isdigit() for code in lines[:-1:2])
    document = ezdxf.read(io.StringIO(written.replace("\r\n", "\n")))
    audit = document.audit()
    assert not audit.errors and not audit.fixes
    if safe_text(text):
        assert any(entity.dxf.layer == "TEXT" for entity in document.modelspace())
    assert {entity.dxftype() for entity in document.modelspace()} <= {"LINE", "POLYLINE", "TEXT", "SOLID"}


metres = st.floats(0.0, 12.0)


@settings(max_examples=60, deadline=None)
@given(st.floats(0.6, 4), st.floats(0.5, 20), metres, metres, st.sampled_from(["rectangle", "trapezoid", "parabola", "triangle"]),
       st.floats(0.3, 0.9), st.floats(0.3, 1.8), st.floats(0.0, 1.0), st.integers(1, 4), st.booleans(), st.floats(0.8, 6), st.floats(2, 8),
       st.floats(0, 50), st.floats(0, 3), st.floats(0, 80), st.floats(0, 1), st.floats(0, 10))  # fmt: skip
def test_any_section_fits_on_a_sheet(width, length, low, mesh, shape, base, height, top, heaps, sloped, aisle, eaves, pitch, over, rain, vent, fall) -> None:  # type: ignore[no-untyped-def]
    bay = Bay(width, length, low, mesh, shape, base * width, base * width * top, height, length / heaps, heaps, sloped)
    for drawing in (through_a_bay(bay, say), across_the_shed(bay, Shed(aisle, eaves, pitch, over, rain, vent, fall), say)):
        composed = compose(drawing)
        found = extent(composed.parts, composed.scale / 1000)
        assert all(abs(a - b) < 1e-6 for a, b in zip(found, composed.frame, strict=True))  # nothing beyond the frame


def test_every_random_yard_can_be_drawn() -> None:
    """Whatever the form takes and the calculator solves has drawings that can be composed and written."""
    chance = random.Random(20)
    drawn = 0
    for _ in range(60):
        result = Plan(answers_for(bays.CALCULATOR, chance), None).evaluate(only="bays").results.get("bays")
        for drawing in result.drawings if result else ():
            drawn += 1
            ET.fromstring(svg_file(drawing))
            assert dxf(drawing).endswith("EOF\r\n")
    assert drawn > 60
