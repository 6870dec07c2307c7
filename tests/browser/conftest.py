"""A real Chromium on the built handbook, served from this machine."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from build_scripts import browser as chromium
from build_scripts import server

SITE = Path(__file__).resolve().parents[2] / "site"
PHONE = {"width": 360, "height": 740}
DESKTOP = {"width": 1280, "height": 900}


@pytest.fixture(scope="session")
def site_url():
    assert (SITE / "index.html").exists(), "the handbook is not built: python3 build_scripts/serve.py --build-only"
    with server.in_background(SITE) as url:
        yield url.rstrip("/")


@pytest.fixture(scope="session")
def browser():
    # NoBrowser, raised here where none is found, says how to get one: the tests fail, they are never skipped
    path = chromium.find()
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=path, args=chromium.flags())
        yield started
        started.close()


class Watched:
    """A page with everything that went wrong on it and every address it asked for."""

    def __init__(self, page: Page, site_url: str) -> None:
        self.page = page
        self.site_url = site_url
        self.errors: list[str] = []
        self.elsewhere: list[str] = []
        page.on("console", lambda message: self.errors.append(message.text) if message.type == "error" else None)
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        page.on("request", self._asked)

    def _asked(self, request) -> None:  # type: ignore[no-untyped-def]
        if not request.url.startswith((self.site_url, "data:", "blob:")):
            self.elsewhere.append(request.url)

    def open(self, path: str) -> Page:
        self.page.goto(f"{self.site_url}/{path}")
        return self.page

    def open_live(self, path: str) -> Page:
        """Open and wait until Python answers."""
        self.open(path)
        self.wait_ready()
        return self.page

    def wait_ready(self) -> None:
        self.page.wait_for_function("document.documentElement.dataset.calculators === 'ready'", timeout=60_000)

    def sentence(self) -> str:
        return self.page.locator(".sentence").first.inner_text()

    def settle(self, before: str) -> str:
        """Wait until the answer is another than ``before``, and give it."""
        self.page.wait_for_function(
            "before => document.querySelector('.sentence').innerText !== before", arg=before, timeout=20_000
        )
        self.wait_ready()
        return self.sentence()


def _context(browser: Browser, size: dict[str, int], **more) -> BrowserContext:  # type: ignore[no-untyped-def]
    return browser.new_context(viewport=size, service_workers="block", **more)  # each would store the whole handbook


@pytest.fixture
def phone(browser, site_url):  # type: ignore[no-untyped-def]
    """A fresh page at a phone's width, with the same guards."""
    context = _context(browser, PHONE, has_touch=True)
    page = Watched(context.new_page(), site_url)
    yield page
    context.close()
    assert not page.errors, page.errors
    assert not page.elsewhere, page.elsewhere


@pytest.fixture(scope="module")
def one_phone(browser):  # type: ignore[no-untyped-def]
    """One phone for many tests, which remembers how Python starts."""
    context = _context(browser, PHONE, has_touch=True)
    yield context
    context.close()


@pytest.fixture
def phone_again(one_phone, site_url):  # type: ignore[no-untyped-def]
    """A page on that phone, with no yard kept from before, and with the same guards."""
    page = Watched(one_phone.new_page(), site_url)
    page.open("404.html").evaluate("localStorage.clear()")
    yield page
    page.page.close()
    assert not page.errors, page.errors
    assert not page.elsewhere, page.elsewhere


@pytest.fixture
def desktop(browser, site_url):  # type: ignore[no-untyped-def]
    """A fresh page at desktop width, with the same guards."""
    context = _context(browser, DESKTOP)
    page = Watched(context.new_page(), site_url)
    yield page
    context.close()
    assert not page.errors, page.errors
    assert not page.elsewhere, page.elsewhere
