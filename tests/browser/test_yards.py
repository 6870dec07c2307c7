"""Yards kept on the device, variants side by side, a first plan, and what is taken away: as a reader meets them."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

from calculators import start
from calculators.doors import browser as door
from calculators.plan import Plan
from calculators.plan_file import open_plan, save_plan, unpack
from tests.browser.test_pages import ROOT, expected, plain, unfold

HOSTILE = "<img src=x onerror=document.title='run'> & Co"


def change(watched, name: str, value: str) -> None:  # type: ignore[no-untyped-def]
    """Answer a field and wait until the address holds it."""
    field = watched.page.locator(f"[name={name}]").first
    field.evaluate("node => { for (let f = node.closest('details'); f; f = f.parentElement.closest('details')) f.open = true }")
    field.fill(value)
    field.press("Enter")
    link_name = name.removesuffix("_m")
    watched.page.wait_for_function("want => location.hash.includes(want)", arg=f"{link_name}={value}")
    watched.wait_ready()


def kept(page) -> list[dict]:  # type: ignore[no-untyped-def,type-arg]
    return page.evaluate(
        "() => Object.keys(localStorage).filter((key) => key.startsWith('composting-yard:'))"
        ".map((key) => JSON.parse(localStorage[key])).sort((one, other) => one.made - other.made)"
    )


def test_a_variant_is_copied_changed_and_compared(phone) -> None:
    page = phone.open_live("plan/bays.html")
    change(phone, "bay_width_m", "1.8")
    page.get_by_role("link", name="All my yards").click()
    page.wait_for_selector(".yard-kept")
    page.get_by_role("button", name="Copy as a variant").click()
    page.wait_for_function("document.querySelectorAll('.yard-kept').length === 2")
    page.get_by_role("button", name="Open:").last.click()
    page.wait_for_url("**/yard.html*")
    phone.wait_ready()
    change(phone, "homes", "800")
    phone.open("plan/yards.html")
    for tick in page.locator("[data-compare]").all():
        tick.check()
    plans = [Plan({"bay_width_m": 1.8}).evaluate(), Plan({"bay_width_m": 1.8, "homes": 800}).evaluate()]
    counts = [plan.results["bays"].outputs.bays_total for plan in plans]
    page.wait_for_function("document.querySelector('[data-part=compare]').innerText.includes('variant 2')")
    text = plain(page.locator("[data-part=compare]").inner_text())
    assert "1150 homes" in text and "800 homes" in text and "Width of a bay" not in text
    row = page.locator("[data-part=compare] tr", has_text="Bays to build").inner_text()
    assert [f"{count} bays" in plain(row) for count in counts] == [True, True]
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth"), "scrolls sideways"


def test_a_yard_is_renamed_removed_and_brought_back(desktop) -> None:
    page = desktop.open_live("plan/arrivals.html")
    change(desktop, "homes", "700")
    desktop.open("plan/yards.html")
    page.once("dialog", lambda dialog: dialog.accept(HOSTILE))
    page.get_by_role("button", name="Rename").click()
    page.wait_for_function("document.querySelector('[data-yard-name]').textContent.includes('Co')")
    assert page.locator("[data-yard-name]").inner_text() == HOSTILE
    page.get_by_role("button", name="Remove").click()
    page.wait_for_function("!document.querySelector('.yard-kept')")
    assert kept(page) == [] and page.locator("[data-no-yards]").is_visible()
    page.get_by_role("button", name="Bring it back").click()
    page.wait_for_selector(".yard-kept")
    assert kept(page)[0]["answers"] == {"homes": "700"}
    desktop.open_live("plan/yard.html")
    page.wait_for_function("document.querySelector('#plan-yard').selectedOptions[0].text.includes('Co')")
    assert page.title() != "run" and page.locator(".calculator img").count() == 0


def test_a_first_plan_in_a_minute(phone) -> None:
    page = phone.open_live("plan/start.html")
    page.locator("[name=homes]").fill("many")
    page.locator("[name=homes]").press("Enter")
    page.wait_for_selector(".problems")
    assert page.locator("[name=homes]").input_value() == "many" and page.locator("[data-start-keep]").is_disabled()
    page.locator("[name=homes]").fill("420")
    page.select_option("[name=market]", "yes")
    page.locator("[name=plot_length_m]").fill("60ft")
    page.locator("[name=plot_width_m]").fill("15")
    page.locator("[name=plot_width_m]").press("Enter")
    asked = {"homes": "420", "market": "yes", "leaves": "yes", "plot_length_m": "60ft", "plot_width_m": "15"}
    plan = start.first_plan(asked).evaluate()
    want = plan.results["bays"].sentence
    js = "want => document.querySelector('[data-start-result]').innerText.replace(/[\\u00a0\\u202f]/g, ' ').includes(want)"
    page.wait_for_function(js, arg=plain(want))
    page.locator("[data-start-keep]").click()
    page.wait_for_url("**/yard.html*")
    phone.wait_ready()
    page.wait_for_function("location.hash.includes('homes=420')")
    sentences = [plain(words) for words in page.locator(".yard-step .sentence").all_inner_texts()]
    assert plain(want) in sentences
    phone.open_live("plan/arrivals.html")
    standing = page.locator("[data-part='standing:market_kg_by_weekday']")
    page.wait_for_function("document.querySelector(\"[data-part='standing:market_kg_by_weekday']\").textContent.includes('first guess')")
    assert "weigh every market day" in standing.text_content()
    field = page.locator("[name='market_kg_by_weekday.0']")
    field.evaluate("node => { for (let f = node.closest('details'); f; f = f.parentElement.closest('details')) f.open = true }")
    field.fill("12")
    field.press("Enter")
    page.wait_for_function("document.querySelector(\"[data-part='standing:market_kg_by_weekday']\").textContent.startsWith('Yours')")


def test_a_file_opened_over_a_yard_leaves_it_as_it_is(desktop, tmp_path: Path) -> None:
    page = desktop.open_live("plan/bays.html")
    change(desktop, "bay_width_m", "1.8")
    file = tmp_path / "plan.json"
    file.write_text(json.dumps({"yard_plan": 1, "example": "pennywhistle", "colour": "red",
                                "answers": {"homes": 50, "bay_width": HOSTILE, HOSTILE: 1}}), "utf-8")  # fmt: skip
    page.set_input_files("#plan-file", file)
    page.wait_for_selector(".problems")
    text = page.locator(".problems").inner_text()
    assert "colour" in text and "Width of a bay" in text and "There is no answer named" in text and HOSTILE[:20] in text
    assert page.locator("[name=bay_width_m]").input_value() == HOSTILE and page.title() != "run"
    first, second = kept(page)
    assert first["answers"] == {"bay_width_m": "1.8"} and second["answers"]["homes"] == "50"
    page.select_option("#plan-yard", index=0)
    page.wait_for_function("document.querySelector('[name=bay_width_m]').value === '1.8'")


def test_name_money_links_and_code(desktop) -> None:
    page = desktop.open_live("plan/mix.html#mix_method=cheapest")
    unfold(page, "tools-name")
    page.locator("#plan-name").fill(HOSTILE)
    page.locator("#plan-money").fill("₹")
    page.wait_for_function("location.hash.includes('money=')")
    desktop.wait_ready()
    assert "₹/kg" in page.locator("[data-answer=bulking_price] label").text_content()
    unfold(page, "tools-share")
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    page.get_by_role("button", name="Copy a short link").click()
    page.wait_for_function("document.querySelector('[data-said]').textContent.includes('copied')")
    link = page.evaluate("navigator.clipboard.readText()")
    plan = unpack(link.partition("#plan=")[2])
    assert (plan.name, plan.money, plan.answers) == (HOSTILE, "₹", {"mix_method": "cheapest"})
    page.get_by_role("button", name="QR code").click()
    page.wait_for_selector(".qr-code path")
    shown = page.locator(".qr figcaption").inner_text()
    assert door.open_link(shown.partition("#")[2]).evaluate().own == {"mix_method": "cheapest"}
    page.emulate_media(media="print")
    assert page.locator(".qr-code").is_visible() and not page.locator(".toolbar").is_visible()
    page.emulate_media(media="screen")
    page.goto("about:blank")
    page.goto(link)
    desktop.wait_ready()
    page.wait_for_function("document.querySelector('#plan-money').value === '₹'")
    assert page.title() != "run"


def test_a_calendar_and_a_spreadsheet_are_taken_away(desktop, tmp_path: Path) -> None:
    page = desktop.open_live("plan/yard.html#homes=900")
    page.wait_for_function("document.querySelector('[name=homes]').value === '900'")
    unfold(page, "tools-away")
    page.get_by_role("button", name="Calendar of the first heaps").click()
    page.wait_for_function("document.querySelector('[data-said]').textContent.includes('First day of work')")
    page.locator("#plan-first-day").fill("2027-01-04")
    page.get_by_role("button", name="Show the dates").click()
    page.wait_for_selector(".first-heaps tbody tr")
    assert "Monday 4 January 2027" in page.locator(".first-heaps").inner_text()
    with page.expect_download() as download:
        page.get_by_role("button", name="Calendar of the first heaps").click()
    file = tmp_path / download.value.suggested_filename
    download.value.save_as(file)
    text = file.read_bytes().decode()
    assert file.suffix == ".ics" and text.startswith("BEGIN:VCALENDAR") and "DTSTART;VALUE=DATE:20270104" in text
    with page.expect_download() as download:
        page.get_by_role("button", name="Spreadsheet with formulas").click()
    file = tmp_path / download.value.suggested_filename
    download.value.save_as(file)
    from openpyxl import load_workbook

    book = load_workbook(file, data_only=True)
    texts = [str(cell.value) for row in book["Bays"].iter_rows() for cell in row if cell.value is not None]
    assert plain(Plan({"homes": 900}).evaluate().results["bays"].sentence) in map(plain, texts)


def test_a_plan_from_the_page_to_the_file_and_back_is_the_same(desktop, tmp_path: Path) -> None:
    page = desktop.open_live("plan/mix.html#own_materials=vine:20:0.5:90:150:&bulking_material=vine&units=feet&name=Vines")
    page.wait_for_function("document.querySelector('#plan-name').value === 'Vines'")
    desktop.wait_ready()
    unfold(page, "tools-share")
    with page.expect_download() as download:
        page.locator("[data-save-file]").click()
    file = tmp_path / "plan.json"
    download.value.save_as(file)
    plan = open_plan(file.read_text("utf-8"))
    assert plan.name == "Vines" and plan.system == "feet and pounds"
    sentence = plan.evaluate().results["mix"].sentence
    assert plain(desktop.sentence()) == plain(sentence) and "lb" in sentence


def test_the_page_and_the_command_line_report_the_same(desktop, tmp_path: Path) -> None:
    file = tmp_path / "plan.json"
    plan = Plan({"homes": 900, "bay_width_m": 1.8}, name="Hill yard", money="Rs")
    file.write_text(save_plan(plan.evaluate()), "utf-8")
    page = desktop.open_live("plan/report.html")
    page.set_input_files("#plan-file", file)
    page.wait_for_function("document.querySelector('.report').textContent.includes('Hill yard')")
    done = subprocess.run([sys.executable, "-m", "calculators", "report", str(file), "--to", str(tmp_path / "out.html")], cwd=ROOT,
                          capture_output=True, text=True, check=True)  # fmt: skip
    assert "Written" in done.stdout
    page.wait_for_timeout(100)
    shown = page.evaluate("document.querySelector('article.report').textContent")
    desktop.page.set_content((tmp_path / "out.html").read_text("utf-8"))
    assert page.evaluate("document.querySelector('article.report').textContent") == shown


def test_a_yard_removed_in_another_tab_is_told_and_kept_again_on_change(desktop) -> None:
    page = desktop.open_live("plan/arrivals.html")
    change(desktop, "homes", "600")
    other = page.context.new_page()
    other.goto(f"{desktop.site_url}/plan/yards.html")
    other.get_by_role("button", name="Remove").click()
    page.wait_for_function("document.querySelector('[data-said]').textContent.includes('removed')")
    change(desktop, "homes", "610")
    assert [yard["answers"] for yard in kept(page)] == [{"homes": "610"}]


def test_units_are_remembered_for_yards_begun_later(desktop) -> None:
    page = desktop.open_live("plan/bays.html")
    page.select_option("#plan-units", "feet and pounds")
    page.wait_for_function("document.querySelector('[data-answer=bay_width_m] label').textContent.includes('ft')")
    assert kept(page) == []
    desktop.open_live("plan/crew.html")
    page.wait_for_function("document.querySelector('#plan-units').value === 'feet and pounds'")


def test_the_plan_of_the_first_release_is_taken_over(desktop) -> None:
    page = desktop.open("plan/arrivals.html")
    page.evaluate(
        "localStorage.setItem('composting-yard-plan', JSON.stringify({version: 1, answers: {homes: '321'}, example: 'larkhollow',"
        " system: 'metric'}))"
    )
    desktop.open_live("plan/arrivals.html")
    page.wait_for_function("document.querySelector('[name=homes]').value === '321'")
    desktop.wait_ready()
    assert plain(desktop.sentence()) == expected("arrivals", {"homes": "321"})
    assert page.evaluate("localStorage.getItem('composting-yard-plan')") is None


def test_a_frame_keeps_nothing_on_the_device(desktop) -> None:
    page = desktop.open_live("plan/bays.html?bare#bay_width=1.8")
    change(desktop, "heap_height_m", "0.8")
    assert kept(page) == []


# ---- workshops -------------------------------------------------------------------------------------------------


def test_a_question_is_guessed_and_answered(phone) -> None:
    page = phone.open("workshop/run.html#ask=bays.bays_total&homes=900&hide=first_stage_days&say=How many?")
    page.wait_for_function("document.querySelectorAll('.workshop-question').length === 1")
    block = page.locator(".workshop-question")
    assert "not told" in block.inner_text()
    page.locator(".workshop-question input").fill("40")
    page.get_by_role("button", name="Commit my guess").click()
    page.get_by_role("button", name="Show the answer").click()
    count = Plan({"homes": 900}).evaluate().results["bays"].outputs.bays_total
    page.wait_for_function("want => document.querySelector('.workshop-question').innerText.includes(want)", arg=f"it is {count}")
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth"), "scrolls sideways"
    assert kept(page) == []


def test_a_trainer_makes_a_link_and_sheets(desktop) -> None:
    page = desktop.open("workshop/make.html")
    page.wait_for_selector("[name=ask-0]")
    page.select_option("[name=ask-0]", "bays.bays_total")
    page.locator("#compose-pick-0").select_option("homes")
    page.get_by_role("button", name="Give it").first.click()
    page.keyboard.type("900")
    page.get_by_role("button", name="Vary it").first.click()
    assert page.locator("[name=given-0]").input_value() == "homes=900"
    link = page.locator(".workshop-link input").first
    page.wait_for_function("document.querySelector('.workshop-link input').value.includes('vary=homes')")
    address = link.input_value()
    page.get_by_role("button", name="Make sheets").click()
    page.wait_for_selector(".sheet-key")
    sheets = page.locator(".sheet").all_inner_texts()
    assert len(sheets) > 1 and len({plain(sheet).split("homes")[0] for sheet in sheets}) > 1
    page.goto("about:blank")
    page.goto(address)
    page.wait_for_function("document.querySelectorAll('.workshop-question').length === 1")
