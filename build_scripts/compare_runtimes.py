"""Measure Pyodide releases against each other, stock and as we ship them, in a real browser.

    python3 build_scripts/compare_runtimes.py [--releases 0.29.5 314.0.7] [--runs 7] [--output FILE.md]

For each release two folders are made: "stock" as its npm package comes, with our ordinary wheel, and "ours"
as runtime.py ships it. Then each is opened in turn, `--runs` times, in a Chromium with a profile that has
never been used, and again in the same profile (a returning visit). The time runs from the page's start to
the first result of the whole yard in a worker, the way the handbook does it. The server is on this machine,
so the times hold start-up and no network; the byte counts stand for that.

Not part of the build or the tests: run it when a new release might be worth changing to.
"""

from __future__ import annotations

import argparse
import gzip
import json
import shutil
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path[0] = str(Path(__file__).resolve().parent.parent)  # the checkout, not this folder

from build_scripts import environment

FOLDER = environment.BUILD / "compare"

# Modules that only Python 3.14 has, or has need of at its start: True to ship, False to leave out.
OTHERWISE_IN_3_14 = {"_py_warnings": True, "annotationlib": True, "codeop": True, "compression": True,
                     "_ast_unparse": False, "_ssl": False, "lzma": False, "sqlite3": False, "ssl": False}

REQUEST = {"answers": {"homes": "900"}, "parts": ["answer:bays", "yard"], "forms": ["bays"]}

PAGE = """\
<!doctype html><meta charset="utf-8"><link rel="icon" href="data:,"><title>start</title><script>
const worker = new Worker("worker.js", { type: "WORKER_TYPE" });
worker.onmessage = ({ data }) => { window.taken_ms = performance.now(); window.reply = data; };
</script>
"""

WORKER = """\
LOAD
const folder = new URL(".", self.location.href).href;
loadPyodide({ indexURL: folder, packages: ["calculators"] }).then((pyodide) => {
  const reply = pyodide.runPython("from calculators.doors.browser import reply\\nreply");
  postMessage(reply(REQUEST));
}).catch((error) => postMessage(JSON.stringify({ fault: String(error) })));
"""


def main() -> None:
    options = argparse.ArgumentParser(description="Compare Pyodide releases in a real browser.")
    options.add_argument("--releases", nargs="+", default=["0.29.5", "314.0.7"])
    options.add_argument("--runs", type=int, default=7, help="fresh profiles for each (default: 7)")
    options.add_argument("--output", type=Path, help="write the table here too")
    chosen = options.parse_args()
    environment.run_inside(__file__)

    folders: dict[str, Path] = {}
    for release in chosen.releases:
        pyodide = fetch(release)
        folders[f"{release} stock"] = make_stock(pyodide, FOLDER / f"{release}-stock")
        folders[f"{release} ours"] = make_ours(pyodide, FOLDER / f"{release}-ours")
    first, returning = measure(folders, chosen.runs)

    lines = ["| runtime | files | raw MB | gzip MB | first result, new visitor (ms) | returning (ms) |",
             "| --- | --- | --- | --- | --- | --- |"]
    for name, folder in folders.items():
        files = fetched_files(folder)
        raw = sum(path.stat().st_size for path in files) / 1e6
        packed = sum(len(gzip.compress(path.read_bytes(), 9)) for path in files) / 1e6
        lines.append(f"| {name} | {len(files)} | {raw:.2f} | {packed:.2f} | {summary(first[name])} "
                     f"| {summary(returning[name])} |")
    table = "\n".join(lines) + "\n"
    print(table)
    if chosen.output:
        chosen.output.write_text(table)


def fetch(release: str) -> Path:
    """Fetch one release with npm and return its folder."""
    folder = FOLDER / f"npm-{release}"
    package = folder / "node_modules" / "pyodide"
    if not package.exists():
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "package.json").write_text('{"private": true}')
        subprocess.run([*environment.npm_command(), "install", "--ignore-scripts", "--no-audit", "--no-fund",
                        "--silent", f"pyodide@{release}"], cwd=folder, check=True)
    return package


def make_stock(pyodide: Path, folder: Path) -> Path:
    """The release untouched, with our wheel as pip would install it: sources, deflated."""
    from build_scripts import runtime

    _empty(folder)
    wheel = runtime.build_wheel()
    lock = json.loads((pyodide / runtime.LOCK).read_text())
    for path in [*runtime.as_they_are(pyodide), pyodide / runtime.LIBRARY, wheel]:
        shutil.copyfile(path, folder / path.name)
    (folder / runtime.LOCK).write_text(json.dumps(lock))
    runtime.enter_in_lock(folder / wheel.name, folder)
    return _add_page(folder)


def make_ours(pyodide: Path, folder: Path) -> Path:
    """The release as runtime.py ships it, compiled inside itself so that both are treated alike."""
    from build_scripts import runtime

    _empty(folder)
    newer = runtime.python_of(pyodide) >= "3.14"
    runtime.assemble(pyodide, folder, "runtime", OTHERWISE_IN_3_14 if newer else None)
    return _add_page(folder)


def _add_page(folder: Path) -> Path:
    # Releases whose engine is an .mjs refuse classic workers.
    as_module = (folder / "pyodide.asm.mjs").exists()
    load = 'import { loadPyodide } from "./pyodide.mjs";' if as_module else 'importScripts("pyodide.js");'
    worker = WORKER.replace("LOAD", load).replace("REQUEST", json.dumps(json.dumps(REQUEST)))
    (folder / "worker.js").write_text(worker)
    (folder / "index.html").write_text(PAGE.replace("WORKER_TYPE", "module" if as_module else "classic"))
    return folder


def fetched_files(folder: Path) -> list[Path]:
    """What a browser fetches of a folder: one of the two loaders, and neither the page nor the notice."""
    loader = "pyodide.mjs" if (folder / "pyodide.asm.mjs").exists() else "pyodide.js"
    left_out = {"index.html", "worker.js", "NOTICE.txt"} | ({"pyodide.js", "pyodide.mjs"} - {loader})
    return sorted(path for path in folder.iterdir() if path.name not in left_out)


def measure(folders: dict[str, Path], runs: int) -> tuple[dict[str, list[float]], dict[str, list[float]]]:
    """Milliseconds to the first result for each folder: with new profiles, and on a second visit."""
    from playwright.sync_api import sync_playwright

    from build_scripts import browser, server

    first: dict[str, list[float]] = {name: [] for name in folders}
    returning: dict[str, list[float]] = {name: [] for name in folders}
    options = browser.launch_options()
    with sync_playwright() as playwright:
        for run in range(runs):
            for name, folder in folders.items():  # in turn, so that a busy moment falls on all alike
                with tempfile.TemporaryDirectory() as profile, server.in_background(folder) as address:
                    context = playwright.chromium.launch_persistent_context(profile, **options)
                    first[name].append(_time_one(context, address))
                    returning[name].append(_time_one(context, address))
                    context.close()
                print(f"run {run + 1}: {name}: {first[name][-1]:.0f}, {returning[name][-1]:.0f} ms",
                      flush=True)
    return first, returning


def _time_one(context, address: str) -> float:  # type: ignore[no-untyped-def]
    page = context.new_page()
    page.goto(f"{address}/index.html")
    page.wait_for_function("window.reply !== undefined", timeout=120_000)
    reply = json.loads(page.evaluate("window.reply"))
    if "fault" in reply:
        raise RuntimeError(reply["fault"])
    taken_ms = page.evaluate("window.taken_ms")
    page.close()
    return taken_ms


def summary(times_ms: list[float]) -> str:
    return f"{statistics.median(times_ms):.0f} ({min(times_ms):.0f}–{max(times_ms):.0f})"


def _empty(folder: Path) -> None:
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)


if __name__ == "__main__":
    main()
