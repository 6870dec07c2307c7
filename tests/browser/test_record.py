"""A log of temperatures in a real browser: pasted, asked about, opened from a file; nothing typed is lost."""

from __future__ import annotations

import codecs
from pathlib import Path

ASKED = "date;heart\n" + "\n".join(f"0{month}/05/2026;{60 + month}" for month in range(1, 9)) + "\nwhat is this;61"
HEAD = "Datum;Zeit;heart 60 cm °C;turned"
OPENED = "\n".join(
    [HEAD, *(f"{day:02d}.05.2026;08:00;6{day % 4},5;{'ja' if day in (4, 7, 10, 13, 16) else ''}" for day in range(3, 20))]
)


def test_a_log_is_pasted_asked_about_and_opened(desktop, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    page = desktop.open_live("plan/temperatures.html")
    before = desktop.sentence()
    log = page.locator("textarea[name=temperature_log]")
    log.fill(ASKED)
    asked = desktop.settle(before)
    assert "No answer" in asked and "Choose the order of the date" in asked and log.input_value() == ASKED
    page.locator("select[name=log_date_order]").select_option("dmy")
    asked = desktop.settle(asked)
    assert "°C or °F" in asked and log.input_value() == ASKED
    page.locator("select[name=log_unit]").select_option("c")
    answered = desktop.settle(asked)
    assert "1 line of the log was not taken as written" in answered and log.input_value() == ASKED
    assert page.locator("td", has_text="‘what is this’ is no date").count() == 1
    page.reload()
    desktop.wait_ready()
    page.wait_for_function("want => document.querySelector('.sentence').innerText === want", arg=answered)
    assert log.input_value() == ASKED

    file = tmp_path / "log.csv"
    file.write_bytes(codecs.BOM_UTF16_LE + OPENED.encode("utf-16-le"))  # as an old spreadsheet writes it
    page.locator("input[data-open-log=temperature_log]").set_input_files(file)
    opened = desktop.settle(answered)
    assert log.input_value() == OPENED and "was met from 3 May 08:00 to 18 May 2026 08:00 with 5 turnings" in opened
    page.locator("[data-undo]").first.click()
    assert desktop.settle(opened) == answered and log.input_value() == ASKED

    huge = tmp_path / "huge.csv"
    huge.write_text("2026-05-03;60\n" * 100_000)
    page.locator("input[data-open-log=temperature_log]").set_input_files(huge)
    page.wait_for_function("document.querySelector('[data-said]').textContent.includes('larger than any log')")
    assert log.input_value() == ASKED
    page.goto(f"{desktop.site_url}/plan/batch-certificate.html")
    desktop.wait_ready()
    page.wait_for_function("document.querySelector('.batch-paper').textContent.includes('8 May 2026')")
    assert "no accredited certification" in page.locator(".not-certified").inner_text()
