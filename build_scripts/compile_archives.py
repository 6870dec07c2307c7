"""Byte-compile the archives of a folder with the Python that runs this, and leave out of bytecode what no reader needs.

Used by runtime.py: `compile_folder` through compile_in_runtime.mjs by the Python inside Pyodide, where the host's Python is
not of the runtime's minor version and so cannot write bytecode for it; `lighten_folder` by the host after pyodide-build has
compiled.
"""

from __future__ import annotations

import dis
import inspect
import marshal
import py_compile
import sys
import tempfile
import zipfile
from pathlib import Path
from types import CodeType

# 2 leaves out asserts and docstrings; 1 keeps docstrings. Ours are kept: a dataclass without a docstring
# gets one made at import, from its signature, which costs more time than the docstring costs bytes.
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


HEADER = 16
"""Bytes of a .pyc before its code: magic number, kind, hash of the source."""


def lighten(bytecode: bytes) -> bytes:
    """A .pyc without line numbers and without docstrings of functions: a third of its compressed bytes.

    Nobody reads a traceback in the browser; a fault is told by its type and message.
    """
    return bytecode[:HEADER] + marshal.dumps(_light(marshal.loads(bytecode[HEADER:])))


def _light(code: CodeType) -> CodeType:
    constants = [_light(each) if isinstance(each, CodeType) else each for each in code.co_consts]
    if _starts_with_docstring(code):
        constants[0] = ""
    return code.replace(co_consts=tuple(constants), co_linetable=b"")


def _starts_with_docstring(code: CodeType) -> bool:
    """Whether the first constant is a docstring and nothing else: up to Python 3.13 a function's is that or None."""
    is_function = bool(code.co_flags & inspect.CO_NEWLOCALS) and not code.co_name.startswith("<")
    return is_function and isinstance((*code.co_consts, None)[0], str) and not any(
        each.arg == 0 and each.opname.endswith("_CONST") for each in dis.get_instructions(code)
    )  # fmt: skip


def lighten_folder(folder: str) -> None:
    """Lighten the bytecode in every .zip and .whl of a folder, which this Python must be able to read."""
    for archive in sorted([*Path(folder).glob("*.zip"), *Path(folder).glob("*.whl")]):
        with zipfile.ZipFile(archive) as old:
            contents = {name: old.read(name) for name in old.namelist()}
        with zipfile.ZipFile(archive, "w") as new:
            for name, content in contents.items():
                new.writestr(name, lighten(content) if name.endswith(".pyc") else content)


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
            new.writestr(name + "c", lighten(Path(compiled).read_bytes()))
