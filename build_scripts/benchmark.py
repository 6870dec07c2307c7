"""Measure how soon the handbook answers, what it costs to fetch, and how long changes and simulated years take: one table.

    python3 build_scripts/benchmark.py [--runs 7] [--quick]

Written to `build/benchmark.md`. All in headless Chromium on this machine, each visit in a profile never used before, the ways of
starting in turn so that a busy moment falls on all alike; medians, with least and most. The server counts and paces bytes
itself, since a browser's own brake does not reach its workers: on the slow line each file waits 400 ms and all share
1.6 Mbit/s. The processor is slowed by the browser (4 times), which slows the page and not its worker; the table says where.

`--quick` does two runs of everything, to see that it works: its figures mean little. Not part of the build or the tests. The
site must have been built (build_scripts/serve.py --build-only).
"""

from __future__ import annotations

import argparse
import gzip
import os
import platform
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import lru_cache, partial
from pathlib import Path
from typing import Any

sys.path[0] = str(Path(__file__).resolve().parent.parent)  # the checkout, not this folder

from build_scripts import environment, server
from build_scripts.in_runtime import Runtime, RuntimeFailure

OUTPUT = environment.BUILD / "benchmark.md"
WORK = environment.BUILD / "benchmark"
SITE = environment.ROOT / "site"
FEWEST_RUNS = 7
PAGE = "plan/bays.html"
PATIENCE_MS = 300_000
LATENCY_S, BYTES_A_SECOND, SLOWER = 0.4, 1_600_000 / 8, 4
PACKED = (".html", ".css", ".js", ".mjs", ".json", ".svg", ".wasm", ".zip", ".whl", ".txt")
READY = "document.documentElement.dataset.calculators === 'ready'"

CASES = {"one year of Larkhollow": 1, "three years of Larkhollow": 3}
CODE = """
import sys, time
from calculators.plan import Plan
from calculators.simulate.year import run
from calculators.topics import year
standings = Plan({{"years_to_walk": {years}}}).evaluate().not_asked["year"].standings
scenario = year.scenario(year.Inputs(**{{name: each.value for name, each in standings.items()}}))
run(scenario)
start = time.perf_counter()
record = run(scenario)
taken = time.perf_counter() - start
result = [1000 * taken, max(record.first_heaps) + max(record.curing_heaps), sys.version.split()[0], sum(record.hours_used)]
"""




# ---- a server that counts --------------------------------------------------------------------------------------


@lru_cache(maxsize=512)
def _packed(path: str, changed: int) -> bytes:
    return gzip.compress(Path(path).read_bytes(), 6)


class Host(server.Handler):
    """The handbook's server, with a host's compression, a slow line, and a list of what went over it."""

    compresses = False
    slow = False
    sent: list[tuple[str, int]] = []  # noqa: RUF012 - one for the whole host, replaced by each
    line = threading.Lock()

    def do_GET(self) -> None:
        if self.slow:
            time.sleep(LATENCY_S)
        path = Path(self.translate_path(self.path))
        path = path / "index.html" if path.is_dir() else path
        tag = self._tag()
        if not path.is_file() or self.headers.get("If-None-Match") == tag:
            super().do_GET()
            return
        packs = self.compresses and path.suffix in PACKED
        content = _packed(str(path), path.stat().st_mtime_ns) if packs else path.read_bytes()
        self.send_response(200)
        self.send_header("Content-Type", server.CONTENT_TYPES.get(path.suffix, "application/octet-stream"))
        self.send_header("Content-Length", str(len(content)))
        if packs:
            self.send_header("Content-Encoding", "gzip")
        self.end_headers()
        self.sent.append((self.path, len(content)))
        for start in range(0, len(content), 8192):
            piece = content[start : start + 8192]
            if self.slow:
                with self.line:
                    time.sleep(len(piece) / BYTES_A_SECOND)
            self.wfile.write(piece)


@contextmanager
def hosted(folder: Path, compresses: bool = True) -> Iterator[tuple[str, type[Host]]]:
    """A host of ``folder``: its address, and its handler, whose ``slow`` and ``sent`` may be set and read."""
    kind = type("Hosted", (Host,), {"compresses": compresses, "sent": [], "line": threading.Lock()})
    running = server.Server((server.HOST, 0), partial(kind, directory=str(folder)))
    threading.Thread(target=running.serve_forever, daemon=True).start()
    try:
        yield f"http://{server.HOST}:{running.server_port}", kind
    finally:
        running.shutdown()
        running.server_close()


# ---- visits -----------------------------------------------------------------------------------------------------

WATCH = """
new MutationObserver(() => {
  const line = document.querySelector("[data-live-state]");
  const done = location.pathname.includes("/repl/") ? document.body?.textContent.includes("ANSWERED") // what the notebook's cell prints
    : line?.textContent.startsWith("Computed");
  if (!window.firstAnswer && done) window.firstAnswer = performance.now();
}).observe(document, { subtree: true, childList: true, characterData: true });
"""
TIMES = """() => {
  const paint = performance.getEntriesByType("paint").find((each) => each.name === "first-contentful-paint");
  return [paint?.startTime ?? NaN, performance.getEntriesByType("navigation")[0].domContentLoadedEventEnd, window.firstAnswer];
}"""
KEPT = """async () => {
  const held = await navigator.serviceWorker?.getRegistration();
  const place = await navigator.storage.getDirectory();
  for await (const name of place.keys()) if (name.startsWith("yard-start-")) return held?.active?.state === "activated";
  return false;
}"""


def visit(context: Any, address: str, slower: int = 1) -> list[float]:
    """Milliseconds to a page that can be read, a form that can be used, and the first answer of Python."""
    page = context.new_page()
    page.add_init_script(WATCH)
    if slower > 1:
        context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": slower})
    page.goto(address, timeout=PATIENCE_MS)
    page.wait_for_function("window.firstAnswer", timeout=PATIENCE_MS)
    times = page.evaluate(TIMES)
    page.close()
    return times


@contextmanager
def profile(playwright: Any, **more: Any) -> Iterator[Any]:
    """A browser with a profile never used before."""
    from build_scripts import browser

    with tempfile.TemporaryDirectory() as folder:
        context = playwright.chromium.launch_persistent_context(folder, **browser.launch_options(), **more)
        try:
            yield context
        finally:
            context.close()


def stored(context: Any, address: str) -> None:
    """Wait on a page until the handbook and its start are kept on the device."""
    page = context.new_page()
    page.goto(address, timeout=PATIENCE_MS)
    page.wait_for_function(READY, timeout=PATIENCE_MS)
    until = time.monotonic() + PATIENCE_MS / 1000
    while not page.evaluate(KEPT):
        if time.monotonic() > until:
            raise SystemExit("the handbook was not kept on the device in time")
        time.sleep(0.2)
    page.close()


def our_visits(playwright: Any, slow: bool) -> dict[str, list[float]]:
    """A first visit and a returning one; on the slow line the handbook was kept at full speed before."""
    with hosted(SITE) as (address, host), profile(playwright) as context:
        host.slow = slow
        first = visit(context, f"{address}/{PAGE}", SLOWER if slow else 1)
        host.slow = False
        stored(context, f"{address}/{PAGE}")
        host.slow = slow
        return {"first visit": first, "returning": visit(context, f"{address}/{PAGE}", SLOWER if slow else 1)}


STOCK_PAGE = """<!doctype html><meta charset="utf-8"><link rel="icon" href="data:,"><title>stock</title>
<p data-live-state>Starting</p><p id="out"></p><script src="pyodide.js"></script><script>
(async () => {
  const pyodide = await loadPyodide({ indexURL: "./", packages: ["calculators"] });
  const reply = pyodide.runPython("from calculators.doors.browser import reply\\nreply");
  const text = reply(JSON.stringify({ answers: {}, parts: ["answer:bays", "head:bays", "details:bays"], forms: ["bays"] }));
  document.getElementById("out").textContent = text.length;
  document.querySelector("[data-live-state]").textContent = "Computed";
})();
</script>
"""
FLOOR_PAGE = """<!doctype html><meta charset="utf-8"><link rel="icon" href="data:,"><title>floor</title>
<p data-live-state>Starting</p><form><input id="base" value="2"><input id="height" value="1.5"><input id="length" value="3">
<input id="mix" value="4.2"></form><p id="out"></p><script>
const value = (id) => Number(document.getElementById(id).value);
function show() {
  const heap = value("base") * value("height") / 2 * value("length");
  document.getElementById("out").textContent = heap / value("mix");
  document.querySelector("[data-live-state]").textContent = "Computed";
}
document.querySelector("form").addEventListener("input", show);
show();
window.changed = (height) => {
  const start = performance.now();
  document.getElementById("height").value = height;
  show();
  return new Promise((yes) => requestAnimationFrame(() => setTimeout(() => yes(performance.now() - start))));
};
</script>
"""


def stock_folder() -> Path:
    """Pyodide as its npm package comes and our ordinary wheel, on the page's own thread."""
    from build_scripts import compare_runtimes, runtime

    folder = compare_runtimes.make_stock(runtime.PYODIDE, WORK / "stock")
    (folder / "index.html").write_text(STOCK_PAGE)
    return folder


def floor_folder() -> Path:
    """A heap's volume and days to fill it, written by hand in JavaScript."""
    folder = WORK / "floor"
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "index.html").write_text(FLOOR_PAGE)
    return folder


def other_visits(playwright: Any, folder: Path, page: str = "index.html") -> dict[str, list[float]]:
    """A first visit and a returning one to a page of another making."""
    with hosted(folder) as (address, _), profile(playwright) as context:
        return {when: visit(context, f"{address}/{page}") for when in ("first visit", "returning")}


def notebook_folder() -> Path | None:
    """A notebook page with the same calculation, or None, told, where it can't be had from the registries."""
    from build_scripts import notebook

    try:
        return notebook.make(WORK / "notebook")
    except (subprocess.CalledProcessError, OSError) as error:
        print(f"No notebook page to measure: {error}", flush=True)
        return None


def from_folder(playwright: Any, folder: Path) -> list[float]:
    """The copy opened by its address as a file."""
    with profile(playwright) as context:
        return visit(context, (folder / PAGE).as_uri())


def wire(playwright: Any, compresses: bool) -> dict[str, float]:
    """Bytes of a first visit, without headers: what the page itself takes, all for Python's first answer, and the search."""
    with hosted(SITE, compresses) as (address, host), profile(playwright, service_workers="block") as context:
        visit(context, f"{address}/{PAGE}")
        sent = list(host.sent)
    twice = {path for path, _ in sent if sum(path == other for other, _ in sent) > 1}
    if twice:
        raise SystemExit(f"fetched more than once: {sorted(twice)}")
    python = [size for path, size in sent if "/runtime/" in path or path.endswith("/worker.js")]
    search = sum(size for path, size in sent if "search" in path)
    whole = sum(size for _, size in sent) - search
    return {"readable page": whole - sum(python), "first answer": whole, "theme's search, which it fetches meanwhile": search}


# ---- changes ----------------------------------------------------------------------------------------------------

CHANGES = """async (count) => {
  const kinds = "input:not([type=file]):not([type=checkbox]):not([type=radio])";
  const field = document.querySelector(`form[data-form] [data-answer] ${kinds}, form[data-form] [data-answer] select`);
  const root = document.documentElement;
  const one = (step) => new Promise((yes) => {
    const start = performance.now();
    const seen = new MutationObserver(() => {
      if (root.dataset.calculators !== "ready") return;
      seen.disconnect();
      requestAnimationFrame(() => setTimeout(() => yes(performance.now() - start)));
    });
    seen.observe(root, { attributes: true, attributeFilter: ["data-calculators"] });
    if (field.tagName === "SELECT") field.selectedIndex = (field.selectedIndex + 1) % field.options.length;
    else field.value = String(+((parseFloat(field.value) || 1) * (step % 2 ? 1.03 : 0.98)).toFixed(field.inputMode === "numeric" ? 0 : 3));
    field.dispatchEvent(new Event("change", { bubbles: true }));
  });
  const times = [];
  for (let step = 0; step < count + 2; step += 1) {
    const taken = await one(step);
    if (step > 1) times.push(taken);
    await new Promise((yes) => setTimeout(yes, 50));
  }
  return times;
}"""


def changes(playwright: Any, count: int) -> tuple[dict[str, list[float]], float, float]:
    """Milliseconds from a changed answer to the screen, by calculator and for the whole yard; megabytes that a page with its
    worker holds, and those of its own scripts."""
    from build_scripts import browser
    from calculators import catalogue

    found: dict[str, list[float]] = {}
    started = playwright.chromium.launch(**browser.launch_options())
    with hosted(SITE) as (address, _):
        for key in [*catalogue.BY_KEY, "yard"]:
            context = started.new_context(service_workers="block")
            page = context.new_page()
            page.goto(f"{address}/plan/{key}.html")
            page.wait_for_function(READY, timeout=PATIENCE_MS)
            page.wait_for_timeout(300)
            found[key] = page.evaluate(CHANGES, count)
            if key == "yard":
                session = context.new_cdp_session(page)
                session.send("Performance.enable")
                metrics = {each["name"]: each["value"] for each in session.send("Performance.getMetrics")["metrics"]}
                processes = started.new_browser_cdp_session().send("SystemInfo.getProcessInfo")["processInfo"]
                held = max(_resident(each["id"]) for each in processes if each["type"] == "renderer")
            context.close()
    started.close()
    return found, held, metrics["JSHeapUsedSize"] / 1e6


def _resident(process: int) -> float:
    """Megabytes that a process has in memory; NaN where the system does not tell."""
    try:
        lines = Path(f"/proc/{process}/status").read_text().splitlines()
    except OSError:
        return float("nan")
    return next(int(line.split()[1]) * 1024 / 1e6 for line in lines if line.startswith("VmRSS"))


def floor_changes(playwright: Any, count: int) -> list[float]:
    """The same for the page written by hand."""
    with hosted(WORK / "floor") as (address, _), profile(playwright) as context:
        page = context.new_page()
        page.goto(address + "/index.html")
        return [page.evaluate("(height) => window.changed(height)", 1 + step / 50) for step in range(count)]


def p95(values: Sequence[float]) -> float:
    """The least value that 95 of 100 do not pass."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, -(-95 * len(ordered) // 100) - 1)]


# ---- simulated years --------------------------------------------------------------------------------------------


def here(code: str) -> Any:
    """What the code leaves in `result`, run in this Python."""
    names: dict[str, Any] = {}
    exec(code, names)  # noqa: S102 - our own text above, the same that the runtime gets
    return names["result"]


def measured(runs: int) -> list[str]:
    """The lines of the table."""
    lines = ["| what is walked through | runtime | median, ms | least–most, ms |", "| --- | --- | --- | --- |"]
    with Runtime() as runtime:
        for label, years in CASES.items():
            code = CODE.format(years=years)
            found: dict[str, list[Any]] = {"CPython": [], "Pyodide under Node, Python": []}
            for _ in range(runs):
                found["CPython"].append(here(code))
                found["Pyodide under Node, Python"].append(runtime.run(code))
            hours = {round(each[3], 6) for all_ in found.values() for each in all_}
            if len(hours) != 1:
                raise SystemExit(f"the two runtimes walked through different years: {sorted(hours)}")
            for name, all_ in found.items():
                times = [each[0] for each in all_]
                lines.append(f"| {label}, at most {all_[0][1]} heaps | {name} {all_[0][2]} | {statistics.median(times):.1f} "
                             f"| {min(times):.1f}–{max(times):.1f} |")  # fmt: skip
    return lines


DRAWN = """async (years) => {
  const start = performance.now();
  let done = null, found = null, replies = 0, longest = 0;
  do {
    const asked = performance.now();
    found = await window.yardCalculators.request({ answers: {}, example: "larkhollow", uncertain: { seed: "1", draws: String(years), done } });
    longest = Math.max(longest, performance.now() - asked);
    done = found.state;
    replies += 1;
  } while (!found.nodes);
  return [performance.now() - start, replies, longest];
}"""


def in_browser(runs: int, years: int = 200) -> list[str]:
    """The lines of the table for drawn years in a browser."""
    from playwright.sync_api import sync_playwright

    from build_scripts import browser, server

    with server.in_background(environment.ROOT / "site") as address, sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=browser.find(), args=browser.flags())
        page = started.new_page()
        page.goto(f"{address.rstrip('/')}/plan/year.html")
        page.wait_for_function("document.documentElement.dataset.calculators === 'ready'", timeout=90_000)
        found = [page.evaluate(DRAWN, years) for _ in range(runs)]
        version = started.version
        started.close()
    seconds = [each[0] / 1000 for each in found]
    return [
        "| what is walked through | browser | median, s | least–most, s |", "| --- | --- | --- | --- |",
        f"| {years} uncertain years of Larkhollow, in {found[0][1]} pieces, the longest {max(each[2] for each in found) / 1000:.2f} s "
        f"| Chromium {version} | {statistics.median(seconds):.1f} | {min(seconds):.1f}–{max(seconds):.1f} |",
    ]  # fmt: skip


# ---- the table --------------------------------------------------------------------------------------------------


def _row(what: str, values: Sequence[float], unit: str) -> str:
    digits = 2 if unit == "MB" else 0
    return f"| {what} | {statistics.median(values):,.{digits}f} {unit} | {min(values):,.{digits}f}–{max(values):,.{digits}f} |"


def visits(playwright: Any, runs: int) -> list[str]:
    """The rows of bytes and of first answers."""
    from build_scripts import archive, browser, notebook

    archive.make_folder(WORK / "folder", SITE)
    driven = playwright.chromium.launch(**browser.launch_options())
    archive.put_start(WORK / "folder", archive.remembered_start(driven, SITE))
    driven.close()
    notes = notebook_folder()
    others = [("stock Pyodide on the page's thread", stock_folder(), "index.html"), ("JavaScript written by hand", floor_folder(), "index.html")]
    if notes:
        others.append(("JupyterLite, one cell", notes, notebook.PAGE))
    found: dict[str, list[list[float]]] = {}
    for run in range(runs):
        print(f"Visits, run {run + 1} of {runs} ...", flush=True)
        for slow, line in ((False, ""), (True, ", slow line and processor")):
            for when, times in our_visits(playwright, slow).items():
                found.setdefault(f"handbook, {when}{line}", []).append(times)
        for name, folder, page in others:
            for when, times in other_visits(playwright, folder, page).items():
                found.setdefault(f"{name}, {when}", []).append(times)
        found.setdefault("handbook from a folder (file://)", []).append(from_folder(playwright, WORK / "folder"))
    rows = []
    for compresses, host in ((True, "a host that compresses (gzip)"), (False, "a plain host")):
        rows += [_row(f"bytes to the {what}, {host}", [size / 1e6], "MB") for what, size in wire(playwright, compresses).items()]
    for name, every in found.items():
        ours = name.startswith("handbook")
        for index, what in enumerate(("page can be read", "form can be used", "first answer")):
            if ours or index == 2:
                rows.append(_row(f"{name}: {what}", [times[index] for times in every], "ms"))
    return rows


def main() -> None:
    options = argparse.ArgumentParser(description="Measure how soon the handbook answers and what it costs to fetch.")
    options.add_argument("--runs", type=int, default=FEWEST_RUNS, help=f"of each, at least {FEWEST_RUNS} (default: {FEWEST_RUNS})")
    options.add_argument("--quick", action="store_true", help="two runs, to see that it works")
    chosen = options.parse_args()
    runs = 2 if chosen.quick else max(FEWEST_RUNS, chosen.runs)
    environment.run_inside(__file__)
    from playwright.sync_api import sync_playwright

    from build_scripts import browser

    loads = [os.getloadavg()[0]] if hasattr(os, "getloadavg") else []
    try:
        with sync_playwright() as playwright:
            started = playwright.chromium.launch(**browser.launch_options())
            version = started.version
            started.close()
            rows = visits(playwright, runs)
            print("Changes ...", flush=True)
            count = 6 if chosen.quick else 40
            by_page, held, scripts = changes(playwright, count)
            by_page["the JavaScript written by hand"] = floor_changes(playwright, count)
            rows.append(_row("memory of the whole yard's page with its worker (resident)", [held], "MB"))
            rows.append(_row("of it the page's own scripts", [scripts], "MB"))
        print("Simulated years ...", flush=True)
        years = [*measured(runs), "", *in_browser(2 if chosen.quick else FEWEST_RUNS, 20 if chosen.quick else 200)]
    except RuntimeFailure as failure:
        raise SystemExit(str(failure)) from None
    loads += [os.getloadavg()[0]] if hasattr(os, "getloadavg") else []
    method = (
        f"{'QUICK TRIAL, not a measurement. ' if chosen.quick else ''}Medians of {runs} runs in turn, with least and most; "
        f"Chromium {version}, headless; {os.cpu_count()} cores, {platform.machine()}, {platform.system()}; other work on the machine: "
        f"load {' to '.join(f'{each:.1f}' for each in loads)}. Server on the same machine. Page: {PAGE}. A returning visit is one after the "
        f"handbook and its start were kept on the device. Slow: {LATENCY_S * 1000:.0f} ms before each file and 1.6 Mbit/s, paced by "
        f"the server; the page's thread {SLOWER} times slower, its worker not, which the browser can't slow: on a real phone Python's own "
        "part of the start is longer. Bytes are those of bodies, without headers. JupyterLite is its smallest page with one cell, self-hosted."
    )
    lines = ["# The handbook, timed", "", method, "", "| what | median | least–most |", "| --- | --- | --- |", *rows, "",
             f"From a changed answer to the screen ({count} changes of the first answer on the page):", "",
             "| page | median, ms | 95th percentile, ms |", "| --- | --- | --- |"]  # fmt: skip
    lines += [f"| {name} | {statistics.median(values):.0f} | {p95(values):.0f} |" for name, values in by_page.items()]
    text = "\n".join([*lines, "", *years, ""])
    OUTPUT.parent.mkdir(parents=True, exist_ok=True)
    OUTPUT.write_text(text, "utf-8")
    print(text)
    print(f"Written: {OUTPUT.relative_to(environment.ROOT)}")


if __name__ == "__main__":
    main()
