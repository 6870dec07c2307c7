"""Find the Chromium that the browser tests drive, or have it installed.

Where one is looked for and how it is started is told by `calculators.doors.paper`, which prints with it.

No browser is ever downloaded by a tool of ours: it is the one named, the one installed, or the one that the
system's own package manager has.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from typing import Any

from build_scripts import environment
from calculators.doors import paper
from calculators.doors.paper import NAMED_BY, flags

__all__ = ["HOW_TO_GET_ONE", "NoBrowser", "find", "flags", "launch_options"]

# Playwright brings a Node of its own, which wants a library that a bare Debian lacks (libatomic). The Node
# of the environment needs nothing, so whoever imports this module has Playwright use that.
os.environ.setdefault("PLAYWRIGHT_NODEJS_PATH", environment.node())

HOW_TO_GET_ONE = f"""\
No Chromium was found for the browser tests. Any one of these gives them one:
  Debian:   apt-get install chromium
  Fedora:   dnf install chromium
  macOS:    brew install --cask chromium
  or set {NAMED_BY} to the path of a Chromium or Chrome that is already there."""


class NoBrowser(Exception):
    """There is no Chromium to test with; the text says how to get one."""


def find(may_install: bool = False) -> str:
    """The path of a Chromium; with `may_install`, from apt if need be and if that needs no password.

    Raises NoBrowser.
    """
    try:
        return paper.find()
    except paper.NoChromium as error:
        if os.environ.get(NAMED_BY):
            raise NoBrowser(str(error)) from None
    if not may_install:
        raise NoBrowser(HOW_TO_GET_ONE)
    _install()
    return find()


def launch_options() -> dict[str, Any]:
    """The same for Playwright: `playwright.chromium.launch(**launch_options())`. Raises NoBrowser."""
    return {"executable_path": find(), "headless": True, "chromium_sandbox": not paper.is_root(),
            "args": list(paper.QUIET_FLAGS)}


def _install() -> None:
    if not shutil.which("apt-get"):
        return
    if paper.is_root():
        become_root = []
    elif shutil.which("sudo") and subprocess.run(["sudo", "-n", "true"], capture_output=True).returncode == 0:
        become_root = ["sudo", "-n"]
    else:
        return
    print("Installing Chromium with apt-get, for the browser tests ...", flush=True)
    apt = [*become_root, "env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "--quiet=2"]
    subprocess.run([*apt, "update"])
    subprocess.run([*apt, "install", "--yes", "--no-install-recommends", "chromium"],
                   stdout=subprocess.DEVNULL)
