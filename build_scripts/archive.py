"""Make `build/composting-yard-handbook.zip`: the whole handbook, opened by a double-click on its `index.html`.

    python3 build_scripts/archive.py [--folder PLACE]

From a folder a page may fetch nothing, so what the calculators and the search need lies in scripts: each file gzipped,
then in base64, handed over and unpacked by the browser (`folder.js`). The pages are those of `site/` otherwise. Beside them lie a
start of Python as a browser remembers it, so that no reader waits for one, and the whole handbook as one PDF. Two builds of the
same site give the same bytes but for that start. With `--folder` the copy is left there unzipped as well.
"""

from __future__ import annotations

import argparse
import base64
import gzip
import json
import shutil
import sys
import time
import zipfile
from pathlib import Path
from typing import Any

sys.path[0] = str(Path(__file__).resolve().parent.parent)  # the checkout, not this folder

from build_scripts import environment

SITE = environment.ROOT / "site"
NAME = "composting-yard-handbook"
ARCHIVE = environment.BUILD / f"{NAME}.zip"
FIXED_DATE = (1980, 1, 1, 0, 0, 0)
LEFT_OUT = ("*.map", "sitemap.xml*", "sw.js", "runtime", "*.mjs")
START_HERE = """\
Open index.html: a double-click is enough, and no network is needed. Keep the folder together.
On a phone, unpack it with the file manager first. Calculators need a browser of 2023 or newer.
"""


def packed(content: bytes) -> str:
    """A file's content as text: gzip without a date, then base64."""
    return base64.b64encode(gzip.compress(content, 9, mtime=0)).decode("ascii")


def make_folder(folder: Path, site: Path = SITE) -> None:
    """Write the copy of ``site`` that works from files into ``folder``, which is emptied."""
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(site, folder, ignore=shutil.ignore_patterns(*LEFT_OUT))
    runtime = sorted(path for path in (site / "assets" / "runtime").iterdir() if path.suffix not in (".mjs", ".txt", ".packed"))
    carried = {path.name: path for path in runtime}
    carried["worker.js"] = site / "assets" / "worker.js"
    carried |= {path.name: path for path in (site / "assets" / "javascripts" / "workers").glob("search.*.js")}
    (folder / "packed").mkdir()
    for name, path in carried.items():
        (folder / "packed" / f"{name}.js").write_text(f"yardFolder.put({json.dumps(name)},{json.dumps(packed(path.read_bytes()))});\n")
    shutil.copyfile(site / "assets" / "runtime" / "NOTICE.txt", folder / "NOTICE.txt")
    shutil.copyfile(Path(__file__).with_name("folder.js"), folder / "assets" / "folder.js")
    index = json.loads((site / "search" / "search_index.json").read_text("utf-8"))
    (folder / "search" / "search_index.js").write_text(f"var __index = {json.dumps(index)};\n")
    (folder / "search" / "search_index.json").unlink()
    for page in folder.rglob("*.html"):
        up = "../" * (len(page.relative_to(folder).parts) - 1) or "./"
        text = page.read_text("utf-8")
        script = f'<script src="{up}assets/folder.js"></script>'
        page.write_text(text.replace("<head>", f"<head>{script}", 1), "utf-8")
    put_start(folder, b"\n")
    (folder / "START HERE.txt").write_text(START_HERE)


PATIENCE_S = 60
REMEMBERED = "yard-start-"
"""What begins the name of the file in which a browser keeps a start: see worker.js."""
_READ = """async () => {
  const place = await navigator.storage.getDirectory();
  for await (const [name, file] of place.entries()) {
    if (!name.startsWith("yard-start-")) continue;
    const content = new Uint8Array(await (await file.getFile()).arrayBuffer());
    let text = "";
    for (let at = 0; at < content.length; at += 32768) text += String.fromCharCode(...content.subarray(at, at + 32768));
    return [name, btoa(text)];
  }
  return null;
}"""


def remembered_start(driven: Any, site: Path = SITE) -> bytes:
    """What a browser keeps of a first start, so that a copy in a folder need not start Python from its files each time.

    Playwright drives the browser. Raises RuntimeError where nothing is kept in time.
    """
    from build_scripts import server

    context = driven.new_context(service_workers="block")
    with server.in_background(site) as address:
        page = context.new_page()
        page.goto(f"{address}/plan/bays.html")
        until = time.monotonic() + PATIENCE_S
        while time.monotonic() < until:
            name, text = page.evaluate(_READ) or ("", "")
            content = base64.b64decode(text)
            # the name tells how many bytes there will be when all is written
            if name and len(content) == sum(map(int, name.removeprefix(REMEMBERED).split("-")[1:])):
                context.close()
                return name.encode() + b"\n" + content
            page.wait_for_timeout(200)
    raise RuntimeError("the browser keeps no start of Python")


def put_start(folder: Path, start: bytes) -> None:
    """Give a copy in a folder a remembered start; it then has none where that is an empty line."""
    name = f"{REMEMBERED}in-folder"
    (folder / "packed" / f"{name}.js").write_text(f"yardFolder.put({json.dumps(name)},{json.dumps(packed(start))});\n")


def make_archive(folder: Path, archive: Path = ARCHIVE) -> Path:
    """Zip ``folder``: sorted, undated, so that the same folder gives the same bytes."""
    archive.parent.mkdir(parents=True, exist_ok=True)
    with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as made:
        for path in sorted(each for each in folder.rglob("*") if each.is_file()):
            entry = zipfile.ZipInfo(f"{NAME}/{path.relative_to(folder).as_posix()}", FIXED_DATE)
            entry.external_attr = 0o644 << 16
            entry.compress_type = zipfile.ZIP_DEFLATED
            made.writestr(entry, path.read_bytes(), compresslevel=9)
    return archive


def main() -> None:
    options = argparse.ArgumentParser(description="Make the archive that opens by double-click.")
    options.add_argument("--folder", type=Path, help="leave the unzipped copy here")
    options.add_argument("--without-browser", action="store_true", help="leave out what a Chromium makes: the PDF and a start already made")
    chosen = options.parse_args()
    environment.run_inside(__file__)
    from build_scripts import browser, pdf, site

    site.build()
    folder = (chosen.folder or environment.BUILD / "folder").resolve()
    make_folder(folder)
    if not chosen.without_browser:
        from playwright.sync_api import sync_playwright

        try:
            with sync_playwright() as playwright:
                driven = playwright.chromium.launch(**browser.launch_options())
                put_start(folder, remembered_start(driven))
                (folder / pdf.PDF.name).write_bytes(pdf.make(driven, SITE, pdf.words_of(), pdf.pages_of()))
                driven.close()
        except browser.NoBrowser as error:
            sys.exit(f"{error}\nOr leave out what it makes: --without-browser")
        (folder / "START HERE.txt").write_text(f"{START_HERE}To read or print it all at once: {pdf.PDF.name}.\n")
    made = make_archive(folder)
    print(f"{made.relative_to(environment.ROOT)}: {made.stat().st_size / 1e6:.1f} MB, "
          f"{sum(1 for each in folder.rglob('*') if each.is_file())} files")  # fmt: skip


if __name__ == "__main__":
    main()
