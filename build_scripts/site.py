"""Build the whole handbook into `site/`: the runtime, generated inputs, the pages, all strictly.

Nothing is built where no input has changed since the last complete build.
"""

from __future__ import annotations

import gzip
import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

from build_scripts import environment, reading, runtime, translated

ROOT = environment.ROOT
SITE = ROOT / "site"
RUNTIME_IN_SITE = SITE / "assets" / "runtime"
STAMP = environment.BUILD / "site_made_from.txt"
SERVICE_WORKER = ROOT / "build_scripts" / "service_worker.js"
PACKED = (".wasm", ".whl", ".zip")
"""Endings of the runtime's large files, which many hosts do not compress: worker.js fetches them packed."""
NOT_KEPT = (".map", ".gz", ".xml", ".packed")
"""Endings of files that a kept handbook does without."""
CLIENT = re.compile(r'\s*<script src="([^"]*assets/client\.js)"[^>]*></script>')
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
    print(reading.in_a_line(), translated.in_a_line(), sep="\n", flush=True)
    shutil.copytree(shipped, RUNTIME_IN_SITE, dirs_exist_ok=True)
    pack(RUNTIME_IN_SITE)
    start_early(SITE)
    write_service_worker(SITE)
    STAMP.write_text(stamp)
    return SITE


def pack(folder: Path) -> None:
    """Write each large file of the runtime once more beside itself, as gzip and without a date."""
    for path in folder.iterdir():
        if path.suffix in PACKED:
            path.with_name(path.name + ".packed").write_bytes(gzip.compress(path.read_bytes(), 9, mtime=0))


def start_early(site: Path) -> None:
    """Move client.js to the head of each page; where a calculator stands on the page Python starts at once."""
    for page in site.rglob("*.html"):
        text = page.read_text("utf-8")
        found = CLIENT.search(text)
        if found is None:
            continue
        at_once = " data-at-once" if "<form" in text and "data-form=" in text else ""
        text = CLIENT.sub("", text)
        page.write_text(text.replace("</title>", f'</title><script src="{found[1]}"{at_once}></script>', 1), "utf-8")


def write_service_worker(site: Path) -> None:
    """Write ``sw.js``: the service worker with every file of the site and its SHA-256, and an edition named after them."""
    files = {
        path.relative_to(site).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(site.rglob("*"))
        if path.is_file() and path.suffix not in NOT_KEPT and path.name not in ("sw.js", "pyodide.mjs")
    }
    listed = json.dumps(files, separators=(",", ":"), sort_keys=True)
    edition = hashlib.sha256((listed + SERVICE_WORKER.read_text("utf-8")).encode()).hexdigest()[:16]
    text = SERVICE_WORKER.read_text("utf-8").replace("%EDITION%", edition).replace("%FILES%", listed)
    packed = sorted(name for name in files if (site / f"{name}.packed").exists())
    text = text.replace("%PACKED%", json.dumps(packed, separators=(",", ":")))
    (site / "sw.js").write_text(text, "utf-8")


def _complete() -> bool:
    return (SITE / "index.html").exists() and (RUNTIME_IN_SITE / "pyodide.asm.wasm").exists()


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
