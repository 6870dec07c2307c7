"""Build the whole handbook into `site/`: the runtime, generated inputs, the pages, all strictly.

Nothing is built where no input has changed since the last complete build.
"""

from __future__ import annotations

import gzip
import hashlib
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

from build_scripts import environment, reading, runtime

ROOT = environment.ROOT
SITE = ROOT / "site"
RUNTIME_IN_SITE = SITE / "assets" / "runtime"
STAMP = environment.BUILD / "site_made_from.txt"
SERVICE_WORKER = ROOT / "build_scripts" / "service_worker.js"
NOT_KEPT = (".map", ".xml", ".xml.gz", "sw.js", "pyodide.mjs")
"""Endings of files that no reader needs, or that a browser keeps by itself."""
GENERATOR = ROOT / "build_scripts" / "generate.py"

# Everything that a page can be made from: texts, the package that renders them, the published cases that
# the Evidence page shows, and the scripts that do the building.
INPUTS = ["docs", "calculators", "tests/published", "build_scripts", "mkdocs.yml", "pyproject.toml",
          "README.md", "LICENSE", "LICENSE-handbook.md"]


def build() -> Path:
    """Bring `site/` up to date and return it. Exits with a plain message if that fails."""
    try:
        with environment.only_one("site"):
            return _build()
    except runtime.BuildFailure as failure:
        sys.exit(f"Building the handbook failed: {failure}")


def _build() -> Path:
    if _complete() and STAMP.exists() and STAMP.read_text() == _stamp():
        print("The handbook in site/ is up to date.", flush=True)
        return SITE
    STAMP.unlink(missing_ok=True)
    with environment.only_one("runtime"):
        shipped = runtime.build()
    if GENERATOR.exists():
        print("Writing generated inputs ...", flush=True)
        _python("-m", "build_scripts.generate")
    stamp = _stamp()  # taken before the pages, so that an edit made meanwhile is built next time
    print("Building the pages ...", flush=True)
    _python("-m", "mkdocs", "build", "--strict", "--site-dir", str(SITE))
    print(reading.in_a_line(), flush=True)
    shutil.copytree(shipped, RUNTIME_IN_SITE, dirs_exist_ok=True)
    pack_runtime(RUNTIME_IN_SITE)
    write_service_worker(SITE)
    STAMP.write_text(stamp)
    return SITE


def pack_runtime(folder: Path) -> None:
    """Put what a start fetches in gzip in the place of the files themselves: a host that compresses nothing sends no more."""
    package = json.loads((folder / runtime.LOCK).read_text())["packages"]["calculators"]["file_name"]
    for name in (*runtime.CHECKED, package):
        (folder / f"{name}.gz").write_bytes(gzip.compress((folder / name).read_bytes(), 9, mtime=0))
        (folder / name).unlink()


def unpacked(file: Path) -> bytes:
    """The content of a file of the site as a reader's browser has it."""
    content = file.read_bytes()
    return gzip.decompress(content) if file.suffix == ".gz" else content


def write_service_worker(site: Path) -> None:
    """Write ``sw.js``: the service worker with every file of the site and its SHA-256, and an edition named after them."""
    files = {
        path.relative_to(site).as_posix(): hashlib.sha256(unpacked(path)).hexdigest()
        for path in sorted(site.rglob("*"))
        if path.is_file() and not path.name.endswith(NOT_KEPT)
    }
    listed = json.dumps(files, separators=(",", ":"), sort_keys=True)
    edition = hashlib.sha256((listed + SERVICE_WORKER.read_text("utf-8")).encode()).hexdigest()[:16]
    text = SERVICE_WORKER.read_text("utf-8").replace("%EDITION%", edition).replace("%FILES%", listed)
    (site / "sw.js").write_text(text, "utf-8")


def _complete() -> bool:
    return (SITE / "index.html").exists() and (RUNTIME_IN_SITE / "pyodide.asm.wasm.gz").exists()


def _stamp() -> str:
    paths: list[Path] = []
    for name in INPUTS:
        place = ROOT / name
        found = place.rglob("*") if place.is_dir() else [place]
        paths += [p for p in found if p.is_file() and "__pycache__" not in p.parts]
    return f"{runtime.hash_of_files(paths)} Python {sys.version.split()[0]}\n"


def _python(*arguments: str) -> None:
    """Run a Python module with the package importable, as the pages' Markdown extension needs."""
    done = subprocess.run([sys.executable, *arguments], cwd=ROOT,
                          env={**os.environ, "PYTHONPATH": str(ROOT), "NO_MKDOCS_2_WARNING": "1"})
    if done.returncode != 0:
        raise runtime.BuildFailure(f"`python {' '.join(arguments)}` ended with status {done.returncode}")
