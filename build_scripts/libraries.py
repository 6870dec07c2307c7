"""The libraries that the browser fetches only when a reader asks for what needs them.

Each is packed anew from the copy that the lock file pins and `.venv` holds: its modules and its licence.
"""

from __future__ import annotations

import zipfile
from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib import metadata
from pathlib import Path


@dataclass(frozen=True)
class Library:
    """What is packed of a library. `stand_ins` are put in place of modules of the standard library that the browser does
    not have and that the library imports for what is not used of it here. Path in the archive: source."""

    wanted_for: str
    without: tuple[str, ...] = ()
    stand_ins: Mapping[str, str] = field(default_factory=dict)


LIBRARIES = {
    # Only the code's squares are taken from it. Its own writers of files import these two.
    "segno": Library(
        "QR codes",
        without=("segno/cli.py", "segno/helpers.py"),
        stand_ins={"gzip.py": "", "xml/__init__.py": "", "xml/sax/__init__.py": "", "xml/sax/saxutils.py": "escape = quoteattr = None\n"},
    ),
    "xlsxwriter": Library("spreadsheets"),
}


def pack(name: str, stage: Path) -> Path:
    """Write the wheel of a library into the folder `stage`, still as source, and return it."""
    library = LIBRARIES[name]
    installed = metadata.distribution(name)
    version = installed.version
    wheel = stage / f"{name}-{version}-py3-none-any.whl"
    with zipfile.ZipFile(wheel, "w") as new:
        for file in installed.files or ():
            path = file.as_posix()
            if not _is_packed(path) or path in library.without:
                continue
            new.writestr(path, Path(str(installed.locate_file(file))).read_bytes())
        for path, source in library.stand_ins.items():
            new.writestr(path, source)
    return wheel


def _is_packed(path: str) -> bool:
    if ".dist-info/" in path:
        return path.endswith(("/METADATA", "/WHEEL")) or "licen" in path.lower()
    return path.endswith(".py") and not path.startswith("..")


def notice(name: str) -> str:
    """A line that says whose software it is."""
    about = metadata.metadata(name)
    classed = [each.rpartition(" :: ")[2] for each in about.get_all("Classifier") or () if each.startswith("License ::")]
    licence = about.get("License-Expression") or ", ".join(classed) or about.get("License") or "see its licence file"
    return f"{about['Name']} {about['Version']}, for {LIBRARIES[name].wanted_for}: {licence}. Source: https://pypi.org/project/{name}/\n"
