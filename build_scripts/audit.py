"""Audit built pages with Lighthouse: `python3 build_scripts/audit.py [page ...]` (after a build).

Performance, accessibility and best practices as Lighthouse weighs them for a phone on a slow line (its own defaults), on a
host that compresses. Prints each score and each audit that costs part of it, and writes `build/audit.md`. Lighthouse is
fetched into `build/audit/`, pinned by hash in `audit_npm/`; it is no part of the build or of the tests, since a
performance score depends on what else the machine does.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import statistics
import subprocess
import sys
from pathlib import Path
from typing import Any

sys.path[0] = str(Path(__file__).resolve().parent.parent)  # the checkout, not this folder

from build_scripts import environment

FOLDER = environment.BUILD / "audit"
REPORT = environment.BUILD / "audit.md"
PAGES = ("index.html", "plan/bays.html", "officials/brief.html")
CATEGORIES = ("performance", "accessibility", "best-practices")


def fetch() -> Path:
    """Lighthouse's command, fetched if it isn't there."""
    wanted = Path(__file__).with_name("audit_npm")
    lock = (wanted / "package-lock.json").read_bytes()
    done = FOLDER / "fetched.txt"
    if not done.exists() or done.read_bytes() != lock:
        shutil.rmtree(FOLDER, ignore_errors=True)
        FOLDER.mkdir(parents=True)
        for name in ("package.json", "package-lock.json"):
            shutil.copyfile(wanted / name, FOLDER / name)
        subprocess.run([*environment.npm_command(), "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--silent"],
                       cwd=FOLDER, check=True)  # fmt: skip
        done.write_bytes(lock)
    return FOLDER / "node_modules" / "lighthouse" / "cli" / "index.js"


def audit(command: Path, address: str) -> dict[str, Any]:
    """Lighthouse's own report on one page. Raises subprocess.CalledProcessError."""
    from build_scripts import browser

    answer = subprocess.run(
        [environment.node(), str(command), address, "--quiet", "--no-enable-error-reporting", "--output=json",
         f"--only-categories={','.join(CATEGORIES)}", f"--chrome-flags={' '.join(browser.flags())}"],
        env={**os.environ, "CHROME_PATH": browser.find()}, capture_output=True, text=True, encoding="utf-8", check=True)  # fmt: skip
    return json.loads(answer.stdout)


def scores(report: dict[str, Any]) -> dict[str, float]:
    """The score of each category, of 100."""
    return {name: 100 * report["categories"][name]["score"] for name in CATEGORIES}


def costly(report: dict[str, Any]) -> list[str]:
    """The audits with a weight that are not at their best, in words."""
    found = []
    for name in CATEGORIES:
        for reference in report["categories"][name]["auditRefs"]:
            one = report["audits"][reference["id"]]
            if reference["weight"] and one["score"] is not None and one["score"] < 1:
                found.append(f"{one['title']}: {one.get('displayValue') or 'failed'} (scores {100 * one['score']:.0f}, weight {reference['weight']})")
    return found


def main() -> None:
    """Audit the pages and print what costs."""
    options = argparse.ArgumentParser(description="Audit built pages with Lighthouse.")
    options.add_argument("pages", nargs="*", default=PAGES, help=f"pages under site/ (default: {' '.join(PAGES)})")
    options.add_argument("--runs", type=int, default=3, help="audits of each page; the median is told (default: 3)")
    chosen = options.parse_args()
    environment.run_inside(__file__)

    from build_scripts import benchmark

    command = fetch()
    lines = ["| page | " + " | ".join(CATEGORIES) + " | what costs, in the middle run |", "| --- |" + " --- |" * (len(CATEGORIES) + 1)]
    with benchmark.hosted(environment.ROOT / "site") as (address, _):
        for page in chosen.pages:
            reports = sorted((audit(command, f"{address}/{page}") for _ in range(chosen.runs)), key=lambda one: scores(one)["performance"])
            middle = reports[len(reports) // 2]
            medians = [statistics.median(scores(one)[name] for one in reports) for name in CATEGORIES]
            lines.append(f"| {page} | " + " | ".join(f"{value:.0f}" for value in medians) + f" | {'; '.join(costly(middle)) or 'nothing'} |")
            print(lines[-1], flush=True)
    REPORT.write_text("\n".join(lines) + "\n", "utf-8")
    print(f"Written to {REPORT.relative_to(environment.ROOT)}")


if __name__ == "__main__":
    main()
