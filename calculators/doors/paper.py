"""Print an HTML document to PDF with the Chromium of the machine, and say where that Chromium is.

Nothing is fetched: it is the browser named by the environment, or the one installed.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from pathlib import Path

NAMED_BY = "YARD_BROWSER"
"""Environment variable that names a Chromium or Chrome, by its path or as a command."""
NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
PRINTING_SECONDS = 120
INSTEAD = "Print the .html from a browser instead."

QUIET_FLAGS = (
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
"""Keep to the page itself: no graphics card, nothing fetched or looked up behind anyone's back."""


class CannotPrint(Exception):
    """There is no PDF; the text says why in one line."""


class NoChromium(CannotPrint):
    """There is no Chromium to print with."""


def find() -> str:
    """The path of the Chromium that the environment names, or else of an installed one. Raises ``NoChromium``."""
    named = os.environ.get(NAMED_BY)
    if named:
        path = shutil.which(named)
        if path is None:
            raise NoChromium(f"{NAMED_BY} names {named}, which is not a program that can be started.")
        return path
    path = next((path for path in map(shutil.which, NAMES) if path), None)
    if path is None:
        raise NoChromium(f"No Chromium or Chrome is installed, and {NAMED_BY} names none.")
    return path


def flags() -> list[str]:
    """Chromium's command line for a run without a window."""
    # Chromium refuses to start as root inside its own sandbox
    return ["--headless", *(["--no-sandbox"] if is_root() else []), *QUIET_FLAGS]


def is_root() -> bool:
    """Whether this process has the rights of the superuser."""
    return hasattr(os, "geteuid") and os.geteuid() == 0


def pdf(html: str) -> bytes:
    """A whole HTML document as a PDF, on the paper that its own style asks for.

    Raises ``CannotPrint`` where no Chromium is found, or where it fails or takes longer than ``PRINTING_SECONDS``.
    """
    try:
        chromium = find()
    except NoChromium as error:
        raise NoChromium(f"No PDF: {error} {INSTEAD}") from None
    # a profile of its own, so that a browser that is open does not take the page over
    with tempfile.TemporaryDirectory(prefix="yard-", ignore_cleanup_errors=True) as folder:
        page, printed = Path(folder) / "page.html", Path(folder) / "page.pdf"
        page.write_text(html, "utf-8")
        command = [chromium, *flags(), f"--user-data-dir={Path(folder) / 'profile'}", "--no-pdf-header-footer",
                   f"--print-to-pdf={printed}", page.as_uri()]  # fmt: skip
        try:
            done = subprocess.run(
                command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                timeout=PRINTING_SECONDS, check=False,
            )  # fmt: skip
        except subprocess.TimeoutExpired:
            raise CannotPrint(f"No PDF: {chromium} was not done after {PRINTING_SECONDS} seconds. {INSTEAD}") from None
        except OSError as error:
            raise CannotPrint(f"No PDF: {chromium} can't be started: {error.strerror}. {INSTEAD}") from None
        if done.returncode != 0 or not printed.exists():
            raise CannotPrint(f"No PDF: {chromium} ended with status {done.returncode} and printed nothing. {INSTEAD}")
        return printed.read_bytes()
