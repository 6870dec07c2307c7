"""Set up, build the handbook, and run every test.

    python3 build_scripts/test.py [pytest arguments]

Needs Python 3.11 or newer and pip; everything else is fetched into `.venv/` and `build/`, and Chromium comes
from the system. The last line and the exit status are pytest's.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

sys.path[0] = str(Path(__file__).resolve().parent.parent)  # the checkout, not this folder

from build_scripts import environment


def _on_all_cores(arguments: list[str]) -> list[str]:
    """What makes pytest use every core, unless the caller says how many or there is only one."""
    cores = os.cpu_count() or 1
    told = any(each.startswith(("-n", "--numprocesses")) for each in arguments)
    return [] if told or cores == 1 else ["-n", str(cores), "--dist", "worksteal"]


def main() -> None:
    environment.run_inside(__file__)

    from build_scripts import browser, site

    site.build()
    try:
        print(f"The browser tests use {browser.find(may_install=True)}", flush=True)
    except browser.NoBrowser as error:
        # The other tests are still worth running; the browser tests fail with this same text.
        print(error, file=sys.stderr, flush=True)
    command = [sys.executable, "-m", "pytest", *_on_all_cores(sys.argv[1:]), *sys.argv[1:]]
    os.chdir(environment.ROOT)
    if os.name == "nt":
        sys.exit(subprocess.call(command))
    os.execv(command[0], command)


if __name__ == "__main__":
    main()
