"""The calculators as a reader meets them: live, by keyboard, by link, with bad input, without scripts, in print."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from build_scripts import server, translated
from calculators import catalogue
from calculators.plan import Plan

ROOT = Path(__file__).resolve().parents[2]
SITE = ROOT / "site"
KEYS = [calculator.key for calculator in catalogue.CALCULATORS]
PAGES = {
    found[1]: page.removesuffix(".md") + ".html"
    for page in translated.english()
    if (found := re.search(r"^%% calculator (\w+) %%$", (ROOT / "docs" / page).read_text("utf-8"), re.M))
}
"""Where each calculator's page lies."""
# one answer of each calculator that its sentence depends on, and another value for it
CHANGES = {
    "shed": ("plot_length_m", "60"),
    "troubles": ("smell_ammonia", "yes"),
    "climate": ("kitchen_kg_per_day", "680"),
    "heat_stress": ("work_air_c", "40"),
    "hazards": ("shredder_hours_per_day", "6"),
    "arrivals": ("homes", "900"),
    "mix": ("kitchen_kg_per_day", "700"),
    "bays": ("mix_m3_per_day", "4.5"),
    "crew": ("shift_hours", "5"),
    "machines": ("shredder_kg_per_hour", "100"),
    "siting": ("nearest_home_m", "400"),
    "quantities": ("covered_floor_m2", "800"),
    "worms": ("worm_share_percent", "40"),
    "money": ("building_cost", "90000"),
    "product": ("half_sold_percent", "50"),
    "heat": ("ambient_c", "12"),
    "water": ("roof_m2", "90"),
    "year": ("leaf_store_m3", "90"),
    "laboratory": ("batch_m3", "900"),
    "temperatures": ("batch_carbon_to_nitrogen", "50"),
    "maturity": ("final_carbon_to_nitrogen", "31"),
    "field": ("crop_yield_t_ha", "12"),
    "quality": ("compost_moisture_percent", "60"),
    "safety": ("filled_tub_kg", "30"),
}


def expected(key: str, answers: dict[str, str]) -> str:
    return Plan(answers).evaluate(frozenset([key])).results[key].sentence.replace("\u00a0", " ").replace("\u202f", " ")


def plain(text: str) -> str:
    return text.replace("\u00a0", " ").replace("\u202f", " ").strip()


def unfold(page, key: str) -> None:  # type: ignore[no-untyped-def]
    page.locator(f"[data-keep={key}] > summary").click()


@pytest.mark.parametrize("key", KEYS)
def test_an_answer_changes_the_result_by_keyboard_alone(phone_again, key: str) -> None:
    """Tab from the start of the calculator reaches the field, typing changes it, Tab goes on; focus is visible."""
    phone = phone_again
    page = phone.open_live(PAGES[key])
    before = phone.sentence()
    assert plain(before) == expected(key, {})
    name, value = CHANGES[key]
    page.locator("form[data-form] summary").first.focus()
    for presses in range(160):
        state = page.evaluate(
            "() => { const e = document.activeElement; const s = getComputedStyle(e); return [e.getAttribute('name'), e.tagName,"
            " s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) >= 2, e.parentElement.open] }"
        )
        assert state[2] or not presses, f"no visible focus on {state}"
        if state[1] == "SUMMARY" and not state[3]:
            page.keyboard.press("Enter")
        if state[0] == name:
            break
        page.keyboard.press("Tab")
    else:
        raise AssertionError(f"{name} was not reached by Tab")
    page.keyboard.press("Control+A")
    page.keyboard.type(value)
    # an answer to the first of two digits may come between
    page.wait_for_function(
        "want => document.querySelector('.sentence').innerText.replace(/[\\u00a0\\u202f]/g, ' ').trim() === want",
        arg=expected(key, {name: value}), timeout=20_000,
    )  # fmt: skip
    assert plain(before) != expected(key, {name: value})
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth"), "scrolls sideways"


def test_an_answer_is_there_again_after_a_reload(desktop) -> None:
    page = desktop.open_live("plan/mix.html")
    before = desktop.sentence()
    field = page.locator("[name=kitchen_kg_per_day]").first
    field.evaluate("node => { for (let f = node.closest('details'); f; f = f.parentElement.closest('details')) f.open = true }")
    field.fill("700")
    field.press("Enter")
    after = desktop.settle(before)
    page.reload()
    desktop.wait_ready()
    page.wait_for_function("want => document.querySelector('.sentence').innerText === want", arg=after)


def test_whole_yard_follows(phone) -> None:
    page = phone.open_live("plan/yard.html")
    sentences = page.locator(".yard-step .sentence").all_inner_texts()
    page.locator("[name=homes]").fill("2400")
    page.locator("[name=homes]").press("Enter")
    phone.settle(sentences[0])
    after = [plain(words) for words in page.locator(".yard-step .sentence").all_inner_texts()]
    results = Plan({"homes": "2400"}).evaluate().results
    assert after == [plain(results[key].sentence) for key in KEYS if key not in catalogue.ON_REQUEST]
    for index in range(4):
        assert after[index] != plain(sentences[index])


def test_own_answer_overrides_and_is_taken_back(desktop) -> None:
    page = desktop.open_live("plan/bays.html")
    before = desktop.sentence()
    field = page.locator("[name=mix_m3_per_day]")
    field.evaluate("node => { for (let f = node.closest('details'); f; f = f.parentElement.closest('details')) f.open = true }")
    followed = field.input_value()
    field.fill("9")
    field.press("Enter")
    desktop.settle(before)
    standing = page.locator("[data-part='standing:mix_m3_per_day']")
    assert "Yours" in standing.inner_text() and "Mix gives" in standing.inner_text()
    standing.get_by_role("button").click()
    page.wait_for_function("want => document.querySelector('.sentence').innerText === want", arg=before)
    assert field.input_value() == followed


def test_bad_input_is_named_and_kept(desktop) -> None:
    page = desktop.open_live("plan/arrivals.html")
    before = desktop.sentence()
    for typed in ("", "abc", "-5", "1e99", "nan", "1,500", "∞"):
        page.locator("[name=homes]").fill(typed)
        page.locator("[name=homes]").press("Enter")
        page.wait_for_selector(".problems")
        assert "omes" in page.locator(".problems").inner_text()
        assert "omes" in page.locator("[data-part='error:homes']").inner_text()
        assert page.locator("[name=homes]").input_value() == typed
        assert page.locator("[name=homes]").get_attribute("aria-invalid") == "true"
        page.locator(".problems a").first.click()
        assert page.evaluate("document.activeElement.name") == "homes"
        page.locator("[name=homes]").fill("1150")
        page.locator("[name=homes]").press("Enter")
        page.wait_for_selector(".problems", state="detached")
        assert desktop.sentence() == before


def test_after_enter_the_summary_takes_the_focus(desktop) -> None:
    page = desktop.open_live("plan/arrivals.html")
    page.locator("[name=homes]").fill("many")
    page.locator("[name=homes]").press("Enter")
    page.wait_for_function("document.activeElement.classList.contains('problems')")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.name") == "homes"


def test_rows_of_a_table(phone) -> None:
    """An ingredient and a material of one's own, typed into new rows, give what Python gives for them."""
    page = phone.open_live("plan/mix.html")
    before = phone.sentence()
    page.select_option("[name=mix_method]", "cheapest")
    phone.settle(before)
    for name in ("own_materials", "additions"):
        page.locator(f"[data-answer={name}]").evaluate(
            "node => { for (let f = node.closest('details'); f; f = f.parentElement.closest('details')) f.open = true }"
        )
    page.locator("[data-add-row=own_materials]").click()
    for column, value in {"name": "pruned vine", "moisture_percent": "20", "nitrogen_percent": "0.5",
                          "carbon_to_nitrogen": "90", "density_kg_m3": "150"}.items():  # fmt: skip
        page.locator(f"[name='own_materials.0.{column}']").fill(value)
    page.locator("[name='own_materials.0.density_kg_m3']").press("Enter")
    page.locator("[data-add-row=additions]").click()
    row = "[name='additions.0.material']"
    page.wait_for_function("document.querySelector(\"[name='additions.0.material'] option[value='pruned vine']\")")
    page.select_option(row, "pruned vine")
    page.locator("[name='additions.0.price']").fill("0,5")
    page.locator("[name='additions.0.price']").press("Enter")
    answers = {"mix_method": "cheapest", "own_materials": [["pruned vine", "20", "0.5", "90", "150", ""]],
               "additions": [["pruned vine", "", "", "", "0.5"]]}  # fmt: skip
    page.wait_for_function(
        "want => document.querySelector('.sentence').innerText.replace(/[\\u00a0\\u202f]/g, ' ') === want",
        arg=expected("mix", answers),
    )
    page.locator("[data-remove-row=additions]").click()
    page.wait_for_function("document.querySelectorAll('[data-rows=additions] > .row').length === 0")


def test_decimal_comma_and_other_digits(desktop) -> None:
    page = desktop.open_live("plan/arrivals.html")
    for typed in ("3,5", "३.५", "3.5"):
        page.locator("[name=people_per_home]").fill(typed)
        page.locator("[name=people_per_home]").press("Enter")
        page.wait_for_function(
            "want => document.querySelector('.sentence').innerText.replace(/[\\u00a0\\u202f]/g, ' ') === want",
            arg=expected("arrivals", {"people_per_home": "3.5"}),
        )


def test_a_link_carries_answers(phone) -> None:
    page = phone.open("plan/bays.html#homes=900&bay_width=5ft")
    phone.wait_ready()
    want = expected("bays", {"homes": "900", "bay_width": "5ft"})
    page.wait_for_function(
        "want => document.querySelector('.sentence').innerText.replace(/[\\u00a0\\u202f]/g, ' ') === want", arg=want
    )
    assert page.locator("[name=bay_width_m]").input_value() == "1.524"
    page.wait_for_function("location.hash.includes('homes=900') && location.hash.includes('bay_width=1.524')")


def test_a_link_opened_over_a_kept_yard_leaves_it_as_it_is(desktop) -> None:
    """A link opened and then changed is a yard of its own; the one kept before is whole, and can be opened again."""
    page = desktop.open_live("plan/bays.html#bay_width=2")
    page.wait_for_function("document.querySelector('[name=bay_width_m]').value === '2'")
    page.locator("[name=heap_height_m]").fill("0.8")
    page.locator("[name=heap_height_m]").press("Enter")
    page.wait_for_function("location.hash.includes('heap_height=0.8')")
    desktop.wait_ready()
    page.goto("about:blank")
    desktop.open_live("plan/bays.html#homes=900")
    page.wait_for_function("document.querySelector('[name=bay_width_m]').value === '1.5'")
    page.locator("[name=heap_length_m]").fill("4")
    page.locator("[name=heap_length_m]").press("Enter")
    page.wait_for_function("location.hash.includes('heap_length=4')")
    assert "homes=900" in page.url and "bay_width" not in page.url and "heap_height" not in page.url
    assert page.locator("#plan-yard option").count() == 2
    page.select_option("#plan-yard", index=0)
    page.wait_for_function("location.hash.includes('bay_width=2') && !location.hash.includes('homes')")
    assert page.locator("[name=heap_height_m]").input_value() == "0.8"


def test_the_address_of_a_kept_yard_is_that_yard_with_what_was_typed_wrongly_too(desktop) -> None:
    page = desktop.open_live("plan/bays.html")
    page.locator("[name=heap_height_m]").fill("0.8")
    page.locator("[name=bay_width_m]").fill("wide")
    page.locator("[name=bay_width_m]").press("Enter")
    page.wait_for_selector(".problems")
    page.wait_for_function("location.hash.includes('heap_height=0.8')")
    desktop.wait_ready()
    page.reload()
    page.wait_for_selector(".problems")
    assert page.locator("[name=bay_width_m]").input_value() == "wide"
    assert page.locator("#plan-yard option").count() == 1


def test_feet_and_pounds(desktop) -> None:
    page = desktop.open_live("plan/bays.html#bay_width=1.524")
    page.select_option("#plan-units", "feet and pounds")
    page.wait_for_function("document.querySelector('[name=bay_width_m]').value === '5'")
    assert "(ft)" in page.locator("[data-answer=bay_width_m] label").text_content()
    page.select_option("#plan-units", "metric")
    page.wait_for_function("document.querySelector('[name=bay_width_m]').value === '1.524'")


def test_another_example(desktop) -> None:
    page = desktop.open_live("plan/bays.html")
    before = desktop.sentence()
    page.select_option("#plan-example", "pennywhistle")
    assert plain(desktop.settle(before)) == plain(Plan({}, "pennywhistle").evaluate().results["bays"].sentence)


def test_the_yard_says_what_changed(desktop) -> None:
    page = desktop.open_live("plan/yard.html")
    before = page.locator(".yard-step .sentence").first.inner_text()
    bays = [Plan(answers).evaluate().results["bays"].outputs.bays_total for answers in ({}, {"homes": 2400})]
    page.locator("[name=homes]").fill("2400")
    page.locator("[name=homes]").press("Enter")
    desktop.settle(before)
    assert f"Bays to build: {bays[0]} bays → {bays[1]} bays" in plain(page.locator(".changes").inner_text())


def test_a_plan_saved_in_the_browser_opens_on_the_command_line_and_back(desktop, tmp_path) -> None:
    page = desktop.open_live("plan/bays.html#homes=900&bay_width=5ft")
    page.wait_for_function("document.querySelector('[name=bay_width_m]').value === '1.524'")
    sentence = desktop.sentence()
    unfold(page, "tools-share")
    with page.expect_download() as download:
        page.locator("[data-save-file]").click()
    file = tmp_path / "yard.json"
    download.value.save_as(file)
    done = subprocess.run([sys.executable, "-m", "calculators", "plan", str(file), "--json"], cwd=ROOT, capture_output=True,
                          text=True, check=True)  # fmt: skip
    assert plain(json.loads(done.stdout)["steps"][2]["answer"]) == plain(sentence)
    page.locator("[data-clear]").click()
    desktop.settle(sentence)
    page.set_input_files("#plan-file", file)
    page.wait_for_function("want => document.querySelector('.sentence').innerText === want", arg=sentence)
    assert page.locator("[name=bay_width_m]").input_value() == "1.524"


def test_undo(desktop) -> None:
    page = desktop.open_live("plan/arrivals.html")
    before = desktop.sentence()
    assert page.locator("[data-undo]").is_disabled()
    page.locator("[name=homes]").fill("500")
    page.locator("[name=homes]").press("Enter")
    after = desktop.settle(before)
    page.select_option("#plan-example", "pennywhistle")
    desktop.settle(after)
    page.locator("[data-undo]").click()
    page.wait_for_function("want => document.querySelector('.sentence').innerText === want", arg=after)
    page.locator("[data-undo]").click()
    page.wait_for_function("want => document.querySelector('.sentence').innerText === want", arg=before)
    assert page.locator("[name=homes]").input_value() == "1150" and page.locator("[data-undo]").is_disabled()


def test_two_tabs_keep_each_others_answers(desktop) -> None:
    page = desktop.open_live("plan/arrivals.html")
    other = page.context.new_page()
    other.goto(f"{desktop.site_url}/plan/bays.html")
    other.wait_for_function("document.documentElement.dataset.calculators === 'ready'")
    page.locator("[name=homes]").fill("600")
    page.locator("[name=homes]").press("Enter")
    want = expected("bays", {"homes": "600"})
    js = "want => document.querySelector('.sentence').innerText.replace(/[\\u00a0\\u202f]/g, ' ') === want"
    other.wait_for_function(js, arg=want)
    other.locator("[name=bay_width_m]").fill("1.8")
    other.locator("[name=bay_width_m]").press("Enter")
    other.wait_for_function(js, arg=expected("bays", {"homes": "600", "bay_width_m": "1.8"}))
    page.wait_for_function("location.hash.includes('bay_width=1.8') && location.hash.includes('homes=600')")


def test_storage_that_is_forbidden_is_told_and_the_plan_still_works(browser, site_url) -> None:
    context = browser.new_context(service_workers="block")
    page = context.new_page()
    page.add_init_script(
        "Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError') }"
    )
    page.goto(f"{site_url}/plan/arrivals.html")
    page.wait_for_function("document.documentElement.dataset.calculators === 'ready'")
    page.locator("[name=homes]").fill("600")
    page.locator("[name=homes]").press("Enter")
    page.wait_for_function(
        "want => document.querySelector('.sentence').innerText.replace(/[\\u00a0\\u202f]/g, ' ') === want",
        arg=expected("arrivals", {"homes": "600"}),
    )
    assert "does not let the page keep" in page.locator("[data-said]").inner_text()
    unfold(page, "tools-share")
    with page.expect_download():
        page.locator("[data-save-file]").click()
    context.close()


def test_framed_in_another_site(desktop, tmp_path) -> None:
    """On another origin the framed calculator works, stands alone, and tells the page around it its height only."""
    (tmp_path / "index.html").write_text(
        "<!doctype html><title>another site</title><link rel='icon' href='data:,'>"
        f"<iframe width=360 height=600 src='{desktop.site_url}/plan/arrivals.html?bare#homes=900'></iframe>"
        "<script>heard = []; addEventListener('message', e => heard.push(e.data))</script>"
    )
    with server.in_background(tmp_path) as elsewhere:
        page = desktop.page
        desktop.elsewhere = []
        page.goto(elsewhere + "/index.html")
        frame = page.frame_locator("iframe")
        want = expected("arrivals", {"homes": "900"})
        page.wait_for_function("heard.length > 0", timeout=60_000)
        inner = page.frames[1]
        inner.wait_for_function("document.documentElement.dataset.calculators === 'ready'", timeout=60_000)
        inner.wait_for_function(
            "want => document.querySelector('.sentence').innerText.replace(/[\\u00a0\\u202f]/g, ' ') === want", arg=want
        )
        assert not frame.locator(".md-header").is_visible() and not frame.locator("h1").is_visible()
        assert frame.locator(".key-figures").is_visible()
        for message in page.evaluate("heard"):
            assert set(message) == {"kind", "height"} and 300 < message["height"] < 20_000
    desktop.elsewhere = [url for url in desktop.elsewhere if not url.startswith(elsewhere)]


def test_the_framing_example(desktop) -> None:
    page = desktop.open("reference/framing.html")
    page.locator("iframe").scroll_into_view_if_needed()
    page.wait_for_function("Number(document.querySelector('iframe').height) !== 900", timeout=60_000)
    page.frames[1].wait_for_function("document.documentElement.dataset.calculators === 'ready'", timeout=60_000)


def test_a_bad_file_is_refused_in_words_and_nothing_is_lost(desktop, tmp_path) -> None:
    page = desktop.open_live("plan/bays.html#homes=900")
    page.wait_for_function("location.hash.includes('homes=900')")
    page.on("dialog", lambda dialog: dialog.accept())
    file = tmp_path / "other.json"
    file.write_text('{"name": "<img src=x onerror=alert(1)>"}')
    page.set_input_files("#plan-file", file)
    page.wait_for_function("document.querySelector('[data-said]').innerText.includes('not a plan file')")
    assert "homes=900" in page.url
    file.write_text('{"yard_plan": 1, "answers": {"bay_width": "<b>wide</b>", "homes": 800, "<i>x</i>": 1}}')
    page.set_input_files("#plan-file", file)
    page.wait_for_selector(".problems")
    words = page.locator(".problems").inner_text()
    assert "<b>wide</b>" in words and "<i>x</i>" in words and page.locator(".problems b, .problems i").count() == 0
    page.wait_for_function("location.hash.includes('homes=800')")


def test_readable_without_scripts(browser, site_url) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    for key in KEYS:
        page.goto(f"{site_url}/{PAGES[key]}")
        assert plain(page.locator(".sentence").first.inner_text()) == expected(key, {})
        assert page.locator("noscript").count() >= 1
    page.goto(f"{site_url}/plan/yard.html")
    assert page.locator(".yard-step").count() == len(KEYS)
    context.close()


def test_network_cut_after_start(desktop) -> None:
    page = desktop.open_live("plan/arrivals.html")
    failed: list[str] = []
    page.on("requestfailed", lambda request: failed.append(request.url))
    page.context.set_offline(True)
    before = desktop.sentence()
    page.locator("[name=homes]").fill("777")
    page.locator("[name=homes]").press("Enter")
    assert plain(desktop.settle(before)) == expected("arrivals", {"homes": "777"})
    # Chromium asks for the tab's picture again when the address changes; nothing else may want the network
    assert all(url.endswith("assets/mark.svg") for url in failed), failed
    desktop.errors = [words for words in desktop.errors if "ERR_INTERNET_DISCONNECTED" not in words]


def test_a_broken_runtime_says_so(browser, site_url) -> None:
    context = browser.new_context(service_workers="block")
    page = context.new_page()
    page.route("**/pyodide.asm.wasm.packed", lambda route: route.abort())
    page.goto(f"{site_url}/plan/arrivals.html")
    page.wait_for_function("document.documentElement.dataset.calculators === 'failed'", timeout=60_000)
    assert "did not start" in page.locator("[data-live-state]").inner_text()
    page.locator("[name=homes]").fill("900")
    page.unroute("**/pyodide.asm.wasm.packed")
    half = (SITE / "assets" / "runtime" / "pyodide.asm.wasm.packed").read_bytes()[:1_000_000]
    page.route("**/pyodide.asm.wasm.packed", lambda route: route.fulfill(body=half, content_type="application/octet-stream"))
    page.get_by_role("button", name="Try again").click()
    page.wait_for_function("document.querySelector('[data-live-state]').innerText.includes('damaged')", timeout=60_000)
    assert page.locator("[name=homes]").input_value() == "900"
    page.unroute("**/pyodide.asm.wasm.packed")
    page.get_by_role("button", name="Try again").click()
    page.wait_for_function(
        "want => document.querySelector('.sentence').innerText.replace(/[\\u00a0\\u202f]/g, ' ') === want",
        arg=expected("arrivals", {"homes": "900"}), timeout=60_000,
    )  # fmt: skip
    context.close()


REMEMBERED = """async () => {
  const place = await navigator.storage.getDirectory();
  const names = [];
  for await (const name of place.keys()) if (name.startsWith("yard-start-")) names.push(name);
  return names.length === 1 && names[0];
}"""
SPOIL = """async (name) => {
  const file = await (await navigator.storage.getDirectory()).getFileHandle(name);
  const size = (await file.getFile()).size;
  const to = await file.createWritable();
  await to.write(new Uint8Array(size).fill(7));
  await to.close();
}"""


def test_a_start_is_remembered(browser, site_url) -> None:
    """The second start is from what Python's memory was: the same answers, modules and libraries that come later. One that is
    spoilt is given up for the files."""
    context = browser.new_context(service_workers="block", accept_downloads=True)
    page = context.new_page()

    def answers_from(where: str) -> None:
        page.wait_for_function(
            "want => document.querySelector('.sentence').innerText.replace(/[\\u00a0\\u202f]/g, ' ') === want",
            arg=expected("arrivals", {"homes": "900"}), timeout=60_000,
        )  # fmt: skip
        assert page.evaluate("document.documentElement.dataset.startedFrom") == where

    page.goto(f"{site_url}/plan/arrivals.html#homes=900")
    answers_from("files")
    page.wait_for_function(REMEMBERED, timeout=20_000)
    page.reload()
    answers_from("memory")
    with page.expect_download() as saved:
        page.evaluate("""yardCalculators.request({ answers: {}, take: { kind: "workbook" } }, ["xlsxwriter"])
            .then((found) => yardCalculators.download(found.taken))""")
    assert Path(saved.value.path()).read_bytes()[:2] == b"PK"
    page.evaluate(SPOIL, page.evaluate(REMEMBERED))
    page.reload()
    answers_from("files")
    context.close()


def test_prints_to_paper(desktop) -> None:
    page = desktop.open_live("plan/bays.html")
    page.emulate_media(media="print")
    assert not page.locator("form.answers").first.is_visible()
    assert page.locator("table.entered").is_visible()
    assert page.pdf(format="A4")[:5] == b"%PDF-"


@pytest.mark.parametrize("width", [320, 1280])
def test_no_page_scrolls_sideways(browser, site_url, width: int) -> None:
    """Every page at a narrow phone's width, every fourth on a desk, as built; and each has one title."""
    context = browser.new_context(viewport={"width": width, "height": 800}, java_script_enabled=False)
    page = context.new_page()
    wide = []
    paths = sorted((ROOT / "site").rglob("*.html"))
    for path in paths if width == 320 else paths[::4]:  # what fits a phone rarely fails on a desk
        page.goto(f"{site_url}/{path.relative_to(ROOT / 'site')}")
        if page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth"):
            wide.append(path.name)
        assert page.locator("h1").count() == 1, path.name
    context.close()
    assert not wide


@pytest.mark.parametrize("path", ["index.html", "reference/evidence.html"])
def test_a_page_without_a_calculator_asks_for_nothing_outside(phone, path: str) -> None:
    phone.open(path).wait_for_load_state("load")
