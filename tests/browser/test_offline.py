"""Without a network: the handbook kept by the browser, one edition at a time; and a copy opened from a folder."""

from __future__ import annotations

import random
import shutil
from pathlib import Path

import pytest
from playwright.sync_api import TimeoutError

from build_scripts import archive, server
from build_scripts.site import write_service_worker
from calculators.plan import Plan
from tests.browser.conftest import DESKTOP, PHONE

ROOT = Path(__file__).resolve().parents[2]
SITE = ROOT / "site"
READY = "document.documentElement.dataset.calculators === 'ready'"
KEPT = "navigator.serviceWorker.ready.then((found) => found.active.state === 'activated')"


def expected(key: str, answers: dict[str, str]) -> str:
    return plain(Plan(answers).evaluate(only=key).results[key].sentence)


def plain(text: str) -> str:
    return text.replace("\u00a0", " ").replace("\u202f", " ").strip()


def answered(page, name: str, value: str) -> None:  # type: ignore[no-untyped-def]
    field = page.locator(f"[name={name}]").first
    field.evaluate("node => { for (let f = node.closest('details'); f; f = f.parentElement.closest('details')) f.open = true }")
    before = page.locator(".sentence").first.inner_text()
    field.fill(value)
    field.press("Enter")
    page.wait_for_function("before => document.querySelector('.sentence').innerText !== before", arg=before)


def searched(page, words: str) -> str:  # type: ignore[no-untyped-def]
    page.keyboard.press("f")
    page.keyboard.type(words, delay=20)
    page.wait_for_selector(".md-search-result__item")
    return page.locator(".md-search-result__meta").inner_text()


def test_the_network_is_cut_after_the_first_visit(browser) -> None:
    """The server is stopped: other pages, a reload, a second tab, calculators and search, at a path below the root."""
    context = browser.new_context(viewport=PHONE)
    page = context.new_page()
    with server.in_background(SITE) as address:
        page.goto(f"{address}/plan/arrivals.html")
        page.wait_for_function(READY, timeout=60_000)
        page.wait_for_function(KEPT, timeout=60_000)
        page.wait_for_function("navigator.serviceWorker.controller")
    for path, key, (name, value) in (("plan/bays.html", "bays", ("bay_width_m", "1.8")), ("plan/mix.html", "mix", ("homes", ""))):
        page.goto(f"{address}/{path}")
        page.wait_for_function(READY, timeout=60_000)
        if value:
            answered(page, name, value)
            assert plain(page.locator(".sentence").first.inner_text()) == expected(key, {name: value})
    page.reload()
    page.wait_for_function(READY, timeout=60_000)
    other = context.new_page()
    other.goto(f"{address}/reference/evidence.html")
    assert other.locator("h1").inner_text().startswith("Evidence")
    other.goto(f"{address}/reference/offline.html")
    other.wait_for_function("document.querySelector('[data-offline-state]').innerText.includes('opens without a network')")
    other.set_viewport_size(DESKTOP)
    assert "matching document" in searched(other, "leachate")
    other.keyboard.press("Escape")
    other.get_by_role("button", name="Remove it from this device").click()
    other.wait_for_function("document.querySelector('[data-offline-state]').innerText.startsWith('Removed')")
    assert other.evaluate("caches.keys().then((names) => names.length)") == 0
    context.close()


def test_opened_from_a_folder(browser, tmp_path: Path) -> None:
    """By its address as a file, in a browser without a network: calculators, their files to take away, links and search."""
    folder = tmp_path / "a folder"
    archive.make_folder(folder, SITE)
    context = browser.new_context(viewport=DESKTOP)
    context.set_offline(True)
    page = context.new_page()
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    # the tab's own picture is not asked for where the browser is told to be without a network
    page.on("requestfailed", lambda request: None if request.url.endswith("mark.svg") else wrong.append(request.url))
    page.goto(f"{(folder / 'plan' / 'bays.html').as_uri()}#homes=900")
    page.wait_for_function(READY, timeout=60_000)
    page.wait_for_function(
        "want => document.querySelector('.sentence').innerText.replace(/[\\u00a0\\u202f]/g, ' ') === want",
        arg=expected("bays", {"homes": "900"}),
    )
    answered(page, "bay_width_m", "1.8")
    assert plain(page.locator(".sentence").first.inner_text()) == expected("bays", {"homes": "900", "bay_width_m": "1.8"})
    page.goto((folder / "index.html").as_uri())
    assert "matching document" in searched(page, "leachate")
    page.goto((folder / "plan" / "bays.html").as_uri())
    page.wait_for_function(READY, timeout=60_000)
    assert page.evaluate("document.documentElement.dataset.startedFrom") == "files"
    archive.put_start(folder, archive.remembered_start(browser, SITE))
    page.reload()
    page.wait_for_function(READY, timeout=60_000)
    assert page.evaluate("document.documentElement.dataset.startedFrom") == "memory"
    answered(page, "bay_width_m", "1.7")
    assert plain(page.locator(".sentence").first.inner_text()) == expected("bays", {"homes": "900", "bay_width_m": "1.7"})
    assert not wrong
    context.close()


def test_the_archive_is_the_same_twice(tmp_path: Path) -> None:
    (tmp_path / "copy").mkdir()
    shutil.copyfile(SITE / "index.html", tmp_path / "copy" / "index.html")
    made = [archive.make_archive(tmp_path / "copy", tmp_path / f"{name}.zip").read_bytes() for name in ("one", "two")]
    assert made[0] == made[1]
    assert archive.packed(b"the same") == archive.packed(b"the same")


# ---- one edition at a time ---------------------------------------------------------------------------------------

PAGE = """<!doctype html><title>{edition}</title><link rel="icon" href="data:,"><p data-page>{edition}</p>
<a href="{other}.html">other</a><script defer src="assets/offline.js"></script><script defer src="assets/mark.js"></script>"""


def write_edition(folder: Path, edition: int) -> None:
    """A handbook of two pages and a script, each of which says its edition; every file changes with it."""
    (folder / "assets").mkdir(exist_ok=True)
    for name, other in (("index", "next"), ("next", "index")):
        (folder / f"{name}.html").write_text(PAGE.format(edition=edition, other=other))
    (folder / "assets" / "mark.js").write_text(f"window.mark = '{edition}';")
    (folder / "assets" / "late.js").write_text(f"window.late = '{edition}';")
    shutil.copyfile(ROOT / "docs" / "assets" / "offline.js", folder / "assets" / "offline.js")
    write_service_worker(folder)


def editions(page) -> set[str]:  # type: ignore[no-untyped-def]
    """The editions of a page's parts: its text, its script, and a script that it asks for now."""
    page.wait_for_function("window.mark")
    return set(page.evaluate(
        """async () => {
          const script = document.createElement("script");
          script.src = new URL("assets/late.js", document.baseURI);
          await new Promise((done) => { script.onload = done; document.head.append(script); });
          return [document.querySelector("[data-page]").textContent, window.mark, window.late];
        }"""
    ))  # fmt: skip


def settled(page) -> set[str]:  # type: ignore[no-untyped-def]
    """``editions``, again where the page was loading anew under the question."""
    for _ in range(20):
        try:
            return editions(page)
        except Exception as error:
            if "context was destroyed" not in str(error) and "navigat" not in str(error):
                raise
            page.wait_for_load_state("load")
    raise AssertionError("the page never stood still")


SETTLED = "(edition) => document.querySelector('[data-edition] button') || document.querySelector('[data-page]').textContent === edition"


def opened(page, address: str = "") -> None:  # type: ignore[no-untyped-def]
    """The page at that address, or loaded anew; it may itself be loading anew for a newer edition at that moment."""
    try:
        page.goto(address) if address else page.reload()
    except Exception as error:
        if "ERR_ABORTED" not in str(error):
            raise
        page.wait_for_load_state("load")


def offered(page, edition: int) -> None:  # type: ignore[no-untyped-def]
    """The page loaded anew until it is of that edition or offers a newer one: what was being stored as the files changed was given up."""
    for _ in range(10):
        opened(page)
        try:
            page.wait_for_function(SETTLED, arg=str(edition), timeout=3_000)
            return
        except TimeoutError:
            continue
    raise AssertionError(f"edition {edition} was never offered")


def step(chance: random.Random, tabs: list, address: str) -> bool:  # type: ignore[type-arg]
    """Do one random thing with the tabs; whether it was to take a newer edition."""
    page = chance.choice(tabs)
    what = chance.choice(["reload", "turn", "open", "close", "take", "take", "look"])
    if what == "reload":
        opened(page)
    elif what == "turn":
        opened(page, f"{address}/{chance.choice(['index', 'next'])}.html")
    elif what == "open" and len(tabs) < 3:
        tabs.append(page.context.new_page())
        tabs[-1].goto(f"{address}/next.html")
    elif what == "close" and len(tabs) > 1:
        tabs.remove(page)
        page.close()
    elif what == "take" and page.locator("[data-edition] button").count():
        page.locator("[data-edition] button").first.click()
        return True
    return False


def test_no_page_is_ever_of_two_editions(browser, tmp_path: Path) -> None:
    """Fifty new editions among random openings, reloads, turnings of pages and takings of them in up to three tabs."""
    chance = random.Random("editions")
    taken = 0
    write_edition(tmp_path, 0)
    context = browser.new_context()
    with server.in_background(tmp_path) as address:
        tabs = [context.new_page()]
        tabs[0].goto(f"{address}/index.html")
        tabs[0].wait_for_function(KEPT, timeout=30_000)
        tabs[0].wait_for_function("navigator.serviceWorker.controller")
        for edition in range(1, 51):
            write_edition(tmp_path, edition)
            opened(chance.choice(tabs))
            if edition % 2:  # else the next steps fall into its being stored
                tabs[0].wait_for_timeout(60)
            if not edition % 8:  # a browser on a quick machine looks for a newer edition later than the steps go
                offered(tabs[0], edition)
                if tabs[0].locator("[data-edition] button").count():
                    tabs[0].locator("[data-edition] button").first.click()
                    taken += 1
            for _ in range(1 + edition % 2):
                taken += step(chance, tabs, address)
                for each in tabs:
                    found = settled(each)
                    assert len(found) == 1, (edition, found)
        offered(tabs[0], 50)
        if tabs[0].locator("[data-edition] button").count():
            tabs[0].locator("[data-edition] button").click()
        tabs[0].wait_for_function("document.querySelector('[data-page]').textContent === '50' && window.mark === '50'")
    context.close()
    assert taken >= 4
