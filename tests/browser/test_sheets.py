"""Sheets of one page in a real browser, with the theme's own style: each prints on one A4, and the reader's mix stands on the card."""

from __future__ import annotations

import io

import pypdf
import pytest

from calculators.view.sheets import SHEETS

A4_POINTS = (595, 842)  # ISO 216: 210 mm × 297 mm, at 72 points to 25.4 mm


def test_each_sheet_prints_on_one_page_and_the_card_takes_the_readers_mix(desktop) -> None:  # type: ignore[no-untyped-def]
    long = "name=North%20yard%20behind%20the%20long%20wall%20by%20the%20old%20mill&units=feet"
    for name in SHEETS:  # the last opened is the card of tubs
        page = desktop.open(f"sheets/{name}.html" + (f"#target_carbon_to_nitrogen=33&{long}" if name == "tub-card" else ""))
        if name == "tub-card":
            desktop.wait_ready()
            page.locator(".tub-card").get_by_text("North yard behind the long wall").wait_for()
            assert "US gal" in page.locator(".tub-card").inner_text()
            first, *_ = page.locator(".tub-card .poster-title").inner_text().split()
            tubs = page.locator(".tub-card svg.tubs").first
            assert tubs.get_attribute("aria-label") == f"{first} {'tub' if first == '1' else 'tubs'} of wet waste"
            assert tubs.locator("path.picture-pale").count() == int(first)
        printed = pypdf.PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages
        assert len(printed) == 1, name
        assert (float(printed[0].mediabox.width), float(printed[0].mediabox.height)) == pytest.approx(A4_POINTS, abs=1)
