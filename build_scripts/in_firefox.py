"""Open the archive's pages in Firefox as files: `python3 build_scripts/in_firefox.py` (after a build).

Each page with a calculator is opened from a folder, its first answer changed, and the sentence that comes back held against
the one that Python works out here. Needs a Firefox: the one named by `YARD_FIREFOX`, or `firefox-esr` or `firefox`. It is a
check before a release, no part of the tests, which drive one browser only.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path[0] = str(Path(__file__).resolve().parent.parent)  # the checkout, not this folder

from build_scripts import environment

NAMED_BY = "YARD_FIREFOX"
NAMES = ("firefox-esr", "firefox")
WITHOUT_A_NUMBER = ("quality",)
"""Calculators whose page asks for no number first."""


def find() -> str:
    """The path of a Firefox. Raises FileNotFoundError with how to get one."""
    for name in (os.environ.get(NAMED_BY), *NAMES):
        found = name and shutil.which(name)
        if found:
            return found
    raise FileNotFoundError(f"No Firefox was found. Debian: apt-get install firefox-esr; or set {NAMED_BY} to the path of one.")


def plain(text: str) -> str:
    """Text with ordinary spaces only."""
    return " ".join(text.replace("\u00a0", " ").replace("\u202f", " ").split())


def main() -> None:
    """Print a line for each page; the exit status is 1 where one fails."""
    environment.run_inside(__file__)
    from build_scripts import archive, site
    from calculators import catalogue
    from calculators.plan import Plan

    site.build()
    try:
        firefox = find()
    except FileNotFoundError as error:
        sys.exit(str(error))
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "handbook"
        archive.make_folder(folder)
        profile = Path(scratch) / "profile"
        profile.mkdir()
        keys = {(folder / "plan" / f"{key}.html").as_uri(): key for key in catalogue.BY_KEY if key not in WITHOUT_A_NUMBER}
        command = [environment.node(), str(Path(__file__).with_suffix(".mjs")), firefox, str(profile), *keys]
        good = 0
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, encoding="utf-8") as started:
            assert started.stdout is not None
            for text in started.stdout:
                line = json.loads(text)
                key = keys[line["address"]]
                if "failed" in line:
                    print(f"{key}: {line['failed']}", flush=True)
                    continue
                name, _, value = line["answer"].partition("=")
                wanted = plain(Plan({name.split(".")[0]: value}).evaluate(frozenset([key]), only=key).results[key].sentence)
                alike = plain(line["after"]) == wanted
                good += alike
                print(f"{key}: ready after {line['ready_ms']} ms; {line['answer']}: {'as here' if alike else 'OTHER: ' + line['after']}", flush=True)
    print(f"{good} of {len(keys)} pages as they should be")
    sys.exit(good != len(keys))


if __name__ == "__main__":
    main()
