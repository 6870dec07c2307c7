"""Time a simulated year of the example yard in CPython and in the shipped runtime under Node, side by side.

    python3 build_scripts/benchmark.py [--runs 9]

What is timed is `calculators.simulate.year.run` alone, on the scenario of the example yard and of the same yard over three
years, each run from the same scenario, with Python's own clock (`time.perf_counter`) inside the Python that runs it: no
start-up, no reading of answers, no search for cures. One run goes before and is not counted. Medians, with least and most,
are printed and kept in `build/benchmark.md`. The two runtimes take turns, so that other work on the machine falls on both.

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


def main() -> None:
    options = argparse.ArgumentParser(description="Time a simulated year in CPython and in the shipped runtime.")
    options.add_argument("--runs", type=int, default=9, help=f"of each, at least {FEWEST_RUNS} (default: 9)")
    runs = max(FEWEST_RUNS, options.parse_args().runs)
    try:
        lines = measured(runs)
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
