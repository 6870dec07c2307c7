"""Byte-compile the archives of a folder with the Python that runs this: the one inside Pyodide.

Used by runtime.py, through compile_in_runtime.mjs, where the host's Python is not of the runtime's minor
version and so cannot write bytecode for it.
"""

from __future__ import annotations

import marshal
import py_compile
import sys
import tempfile
import types
import zipfile
from pathlib import Path

# 2 leaves out asserts and docstrings; 1 keeps docstrings: runtime.py has emptied those of our package, and a dataclass
# must have one.
OPTIMISATION = {".zip": 2, ".whl": 1}


def compile_folder(folder: str) -> list[str]:
    """Compile every .zip and .whl in `folder` and return the names of the new archives.

    A wheel is renamed to say for which Python it now is (`py3` becomes, say, `cp313`); a zip keeps its
    name. The archives compiled from are removed.
    """
    made = []
    for archive in sorted([*Path(folder).glob("*.zip"), *Path(folder).glob("*.whl")]):
        python_tag = f"cp{sys.version_info.major}{sys.version_info.minor}"
        name = archive.name.replace("-py3-none-any.whl", f"-{python_tag}-none-any.whl")
        unfinished = archive.with_suffix(".unfinished")
        _compile_archive(archive, unfinished)
        archive.unlink()
        unfinished.rename(archive.with_name(name))
        made.append(name)
    return made


def _compile_archive(source: Path, target: Path) -> None:
    with (
        zipfile.ZipFile(source) as old,
        zipfile.ZipFile(target, "w") as new,
        tempfile.TemporaryDirectory() as scratch,
    ):
        for name in old.namelist():
            if not name.endswith(".py"):
                new.writestr(name, old.read(name))
                continue
            module = Path(scratch, "module.py")
            module.write_bytes(old.read(name))
            # Marked by hash, so that no clock time gets into the file.
            compiled = py_compile.compile(
                str(module), cfile=str(module) + "c", dfile=name, doraise=True,
                optimize=OPTIMISATION[source.suffix],
                invalidation_mode=py_compile.PycInvalidationMode.UNCHECKED_HASH,
            )
            new.writestr(name + "c", without_lines(Path(compiled).read_bytes()))


HEADER = 16
"""Bytes before the code in a .pyc file."""


def without_lines(compiled: bytes) -> bytes:
    """The content of a .pyc file without its tables of lines: a third of its bytes, read by tracebacks alone, which no page shows."""
    return compiled[:HEADER] + marshal.dumps(_code_without_lines(marshal.loads(compiled[HEADER:])))


def _code_without_lines(code: types.CodeType) -> types.CodeType:
    within = tuple(_code_without_lines(each) if isinstance(each, types.CodeType) else each for each in code.co_consts)
    return code.replace(co_linetable=b"", co_consts=within)


def strip_folder(folder: str) -> None:
    """Leave out the tables of lines in every .zip and .whl in `folder`, whose modules are compiled already."""
    for archive in sorted([*Path(folder).glob("*.zip"), *Path(folder).glob("*.whl")]):
        unfinished = archive.with_suffix(".unfinished")
        with zipfile.ZipFile(archive) as old, zipfile.ZipFile(unfinished, "w") as new:
            for name in old.namelist():
                content = old.read(name)
                new.writestr(name, without_lines(content) if name.endswith(".pyc") else content)
        unfinished.replace(archive)
