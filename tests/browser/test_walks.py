"""Uncertain years and the least-cost yard on their page: progress in words, a stop, and Python's own result."""

from __future__ import annotations

import json

from calculators.doors.browser import reply
from calculators.simulate.uncertain import share_of
from calculators.view.uncertain import share_words


def section(page, what: str):  # type: ignore[no-untyped-def]
    return page.locator(f"[data-walks={what}]")


def wait_until_said(page, words: str) -> None:  # type: ignore[no-untyped-def]
    page.wait_for_function(
        "words => document.querySelector('[data-walks=uncertain] [data-walks-said]').textContent.startsWith(words)",
        arg=words, timeout=120_000,
    )  # fmt: skip


def test_uncertain_years_are_walked_to_what_python_says(phone) -> None:
    page = phone.open_live("plan/year.html")
    block = section(page, "uncertain")
    page.evaluate("document.querySelector('[data-walks=uncertain] [name=draws]').value = '10'")
    block.locator("[data-walks-go]").click()
    wait_until_said(page, "Done: 10 of 10 years")
    state = None
    while state is None or "nodes" not in state:
        more = {"seed": "7", "draws": "10", "done": state and state["state"]}
        state = json.loads(reply(json.dumps({"answers": {}, "example": "larkhollow", "uncertain": more})))
    assert block.locator("[data-walks-said]").inner_text() == state["said"]
    held = int(state["said"].split("refused in ")[1].split()[0])
    assert share_words(share_of(held, 10)) in block.locator(".sentence").first.inner_text()
    assert block.locator("[data-walks-whose]").inner_text() == state["whose"]
    assert block.locator("progress").is_hidden() and block.locator("[data-walks-go]").is_enabled()
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth"), "scrolls sideways"


def test_walks_are_stopped_by_keyboard_and_the_page_goes_on(phone) -> None:
    page = phone.open_live("plan/year.html")
    block = section(page, "uncertain")
    block.locator("[data-walks-go]").focus()
    page.keyboard.press("Enter")
    wait_until_said(page, "5 of 200")
    assert block.locator("[data-walks-stop]").evaluate("node => node === document.activeElement")
    page.keyboard.press("Enter")
    wait_until_said(page, "Stopped. ")
    assert "drawn in this page" in block.locator("[data-walks-whose]").inner_text()
    assert block.locator("[data-walks-go]").evaluate("node => node === document.activeElement")


def test_a_price_that_is_none_is_told_beside_the_button(phone) -> None:
    page = phone.open_live("plan/year.html")
    block = section(page, "size")
    block.get_by_label("A bay, a year").fill("much")
    block.locator("[data-walks-go]").click()
    page.wait_for_function("document.querySelector('[data-walks=size] [data-walks-said]').textContent.includes('much')")
    assert block.locator("[data-walks-go]").is_enabled()
