"""Every page against axe-core: WCAG 2.2 A and AA and its good practice, light and dark, wide and narrow.

Pages are looked at as they were built, before Python answers. What axe can't tell (whether words help, whether the keyboard
path makes sense) stands in the other browser tests, or is for people to look at.
"""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pypdf

from build_scripts.runtime import NPM_FOLDER

SITE = Path(__file__).resolve().parents[2] / "site"
AXE = NPM_FOLDER / "node_modules" / "axe-core" / "axe.min.js"
WHOLE = ("index.html", "officials/brief.html", "plan/mix.html", "workshop/make.html")
"""Opened for themselves in 320 px, with the theme's menu and scripts: the start, prose with tables, a form, the trainer's form."""
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
BRIEF_PAGES = 10

# all pages have the same head, menu and styles: one is opened, and the text of each other takes the place of its own
_SHOW = """async name => {
    const text = await (await fetch(name)).text();
    const other = new DOMParser().parseFromString(text, "text/html").querySelector("article");
    document.querySelector("article").replaceChildren(...other.childNodes);
}"""
_RUN = """async ([tags, where]) => {
    const asked = tags.length ? {type: "tag", values: tags} : {type: "rule", values: ["color-contrast"]};
    const off = tags.length ? {"color-contrast": {enabled: false}} : {};
    const found = await axe.run(where, {runOnly: asked, rules: off, resultTypes: ["violations"]});
    return found.violations.map(each => `${each.id} (${each.nodes.length}): ${each.nodes[0].target.join(" ")} `
        + `${each.nodes[0].html.slice(0, 120)} ${(each.nodes[0].any[0] || each.nodes[0].all[0] || each.nodes[0].none[0] || {}).message || ""}`);
}"""
# the rows of a table and the parts of a report are made by the same code: contrast is looked at in the first of them
_SHORTER = """() => {
    for (const [each, most] of [["tbody, .working, .sources, .troubles", 3], [".report", 4], ["article", 80]])
        for (const list of document.querySelectorAll(each))
            [...list.children].slice(most).forEach(more => more.remove());
}"""
_SCHEME = "scheme => document.body.setAttribute('data-md-color-scheme', scheme)"


def _violations(page: Any, name: str, where: str, colours: bool = True) -> list[str]:
    found = [(name, each) for each in page.evaluate(_RUN, [TAGS, where])]
    page.evaluate(_SHORTER)
    for scheme in ("slate", "default") if colours else ():
        page.evaluate(_SCHEME, scheme)
        found += [(f"{name}, {scheme}", each) for each in page.evaluate(_RUN, [[], where])]
    return [f"{where}: {what}" for where, what in found]


def test_no_page_has_a_violation_and_the_brief_prints(browser, site_url) -> None:  # type: ignore[no-untyped-def]
    assert AXE.exists(), "axe-core is not fetched: python3 build_scripts/serve.py --build-only"
    axe = AXE.read_text("utf-8")
    pages = sorted(path.relative_to(SITE).as_posix() for path in SITE.rglob("*.html"))
    found: list[str] = []

    def opened(width: int) -> Any:
        context = browser.new_context(viewport={"width": width, "height": 900}, service_workers="block", reduced_motion="reduce")
        context.route("**/assets/worker.js", lambda route: route.abort())
        return context.new_page()

    page = opened(1280)
    page.goto(f"{site_url}/404.html")
    page.evaluate(axe)
    for index, name in enumerate(pages):
        page.evaluate(_SHOW, f"{site_url}/{name}")
        found += _violations(page, name, "article", colours=index % 4 == 0)  # all share one palette
    page.evaluate("document.querySelector('h1').insertAdjacentHTML('afterend', '<img src=data:,><p style=color:#eee>faint</p>')")
    planted = " ".join(_violations(page, "planted", "article"))
    assert "image-alt" in planted and "color-contrast" in planted  # axe is able to find something here
    page.goto(f"{site_url}/officials/brief.html")
    assert len(pypdf.PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages) <= BRIEF_PAGES
    page.context.close()

    page = opened(320)
    for name in WHOLE:
        page.goto(f"{site_url}/{name}")
        page.evaluate(axe)
        found += _violations(page, f"{name} at 320 px", "html")
        wider = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert wider <= 0, f"{name} is {wider} px wider than 320 px"
    page.context.close()
    assert not found, "\n".join(found)
