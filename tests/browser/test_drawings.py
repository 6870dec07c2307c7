"""A drawing in a real Chromium: looked at closer by keyboard, a layer off, kept while it is renewed, taken away."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from pathlib import Path


def test_a_drawing_by_keyboard_by_layers_and_as_files(desktop) -> None:  # type: ignore[no-untyped-def]
    page = desktop.open_live("plan/bays.html")
    block = page.locator('[data-drawing="bays.shed"]')
    frame, svg = block.locator(".drawing-frame"), block.locator("svg")

    def seen() -> list[float]:
        return [float(each) for each in svg.get_attribute("viewBox").split()]

    whole = seen()
    frame.focus()
    page.keyboard.press("+")
    page.keyboard.press("+")
    closer = seen()
    assert closer[2] < whole[2] * 0.6 and "times as large" in block.locator("[data-drawing-said]").inner_text()
    page.keyboard.press("ArrowRight")
    assert seen()[0] > closer[0] and seen()[2] == closer[2]
    page.keyboard.press("-")
    assert closer[2] < seen()[2] < whole[2]
    page.keyboard.press("0")
    assert seen() == whole
    assert page.evaluate("document.activeElement.id") == "drawing-bays-shed"

    # the wheel scrolls the page unless the drawing has the focus or Ctrl is held
    page.locator("h1").first.click()
    frame.scroll_into_view_if_needed()
    frame.hover()
    page.mouse.wheel(0, -40)
    assert seen() == whole

    block.locator('[data-look="closer"]').click()
    layer = block.locator(".layer-dimensions")
    assert layer.evaluate("each => getComputedStyle(each).display") != "none"
    block.locator('[data-layer="dimensions"]').uncheck()
    assert layer.evaluate("each => getComputedStyle(each).display") == "none"

    # a changed answer renews the drawing beneath, and what was chosen stays
    before, kept = desktop.sentence(), seen()
    page.evaluate("for (let each = document.querySelector('#a-bays-low_wall_m'); each; each = each.parentElement) each.open = true")
    page.locator('[data-answer="low_wall_m"] input').fill("0.5")
    page.wait_for_function("document.querySelector('[data-drawing=\"bays.shed\"] desc').textContent.includes('0.5')")
    assert desktop.sentence() == before
    assert [seen()[0], seen()[2]] == [kept[0], kept[2]] and layer.evaluate("each => getComputedStyle(each).display") == "none"

    for form, begins in (("dxf", b"999"), ("svg", b"<?xml"), ("png", b"\x89PNG")):
        with page.expect_download() as saved:
            block.locator(f'[data-drawing-file="{form}"]').click()
        file = Path(saved.value.path())
        assert saved.value.suggested_filename == f"bays-shed.{form}" and file.read_bytes().startswith(begins)
        if form == "svg":
            assert "0.5" in "".join(ET.fromstring(file.read_text("utf-8")).itertext())
