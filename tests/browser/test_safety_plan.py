"""The safety plan in a real browser: it takes this yard's answers, and prints on one page of A4."""

from __future__ import annotations

import re


def test_the_safety_plan_takes_the_answers_and_prints_on_one_page(desktop) -> None:  # type: ignore[no-untyped-def]
    page = desktop.open_live("plan/safety-plan.html#homes=2400&units=feet&name=North%20yard%20behind%20the%20long%20wall")
    plan = page.locator(".safety-plan")
    plan.get_by_text("North yard behind the long wall").wait_for()
    text = plan.inner_text()
    assert "lb" in text and "°F" in text and "the others sign on a second sheet" in text
    assert len(re.findall(rb"/Type\s*/Page\b", page.pdf(prefer_css_page_size=True))) == 1
