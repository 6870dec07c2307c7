"""Time a simulated year of the example yard in CPython and in the shipped runtime under Node, side by side, and 200 uncertain
years in a real browser.

    python3 build_scripts/benchmark.py [--runs 9]

What is timed is `calculators.simulate.year.run` alone, on the scenario of the example yard and of the same yard over three
years, each run from the same scenario, with Python's own clock (`time.perf_counter`) inside the Python that runs it: no
start-up, no reading of answers, no search for cures. One run goes before and is not counted. Medians, with least and most,
are printed and kept in `build/benchmark.md`. The two runtimes take turns, so that other work on the machine falls on both.

In the browser (headless Chromium on the built site) it is what a reader waits for: the 200 drawn years of the page of the year
and its one-at-a-time runs, asked for in pieces from the page, with all that goes between page and worker.

Not part of the build or the tests. The runtime must have been built (build_scripts/serve.py --build-only).
"""

from __future__ import annotations

import argparse
import os
import platform
import statistics
import sys
from pathlib import Path
from typing import Any

sys.path[0] = str(Path(__file__).resolve().parent.parent)  # the checkout, not this folder

from build_scripts import environment
from build_scripts.in_runtime import Runtime, RuntimeFailure

OUTPUT = environment.BUILD / "benchmark.md"
FEWEST_RUNS = 7
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


def main() -> None:
    options = argparse.ArgumentParser(description="Time a simulated year in CPython and in the shipped runtime.")
    options.add_argument("--runs", type=int, default=9, help=f"of each, at least {FEWEST_RUNS} (default: 9)")
    runs = max(FEWEST_RUNS, options.parse_args().runs)
    environment.run_inside(__file__)
    try:
        lines = [*measured(runs), "", *in_browser(FEWEST_RUNS)]
    except RuntimeFailure as failure:
        raise SystemExit(str(failure)) from None
    load = f", load {os.getloadavg()[0]:.1f} at the end" if hasattr(os, "getloadavg") else ""
    method = (
        f"Medians of {runs} runs each, the runtimes in turn, after one run that is not counted; `run` alone, without start-up "
        f"and without the search for cures. {os.cpu_count()} cores, {platform.machine()}{load}; other work may have shared them."
    )
    text = "\n".join(["# A simulated year, timed", "", method, "", *lines, ""])
    OUTPUT.parent.mkdir(parents=True, exist_ok=True)
    OUTPUT.write_text(text, "utf-8")
    print(text)
    print(f"Written: {OUTPUT.relative_to(environment.ROOT)}")


if __name__ == "__main__":
    main()
