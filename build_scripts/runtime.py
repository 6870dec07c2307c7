"""Make `build/runtime/`: everything a browser fetches to run the `calculators` package in Python.

    pyodide.js, pyodide.mjs, pyodide.asm.*   Pyodide as its npm package has it
    python_stdlib.zip                        the standard library: pruned (standard_library.py), as bytecode
    calculators-...whl                       our package, as bytecode, with its reference data and methods.bin
    segno-...whl, xlsxwriter-...whl          libraries that are fetched only when they are asked for
    pyodide-lock.json                        says where the wheels are, and their checksums
    NOTICE.txt                               whose software this is

Bytecode must be written by a Python of the runtime's own minor version. Where the host's is, pyodide-build
does it (`pyodide lockfile add-wheels`, then `pyodide py-compile`); elsewhere the runtime does it itself,
under Node. Archives are stored, not deflated, so that a server's own compression works on all of the bytes.

Run alone: `python build_scripts/runtime.py [--compile-with host|runtime]`.
"""

from __future__ import annotations

import argparse
import ast
import base64
import hashlib
import importlib.util
import json
import os
import platform
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

if __name__ == "__main__":  # so that this folder's module names hide none of Python's own
    sys.path[0] = str(Path(__file__).resolve().parent.parent)

from build_scripts import compile_archives, environment, libraries, standard_library
from build_scripts.in_runtime import Runtime, RuntimeFailure

ROOT = environment.ROOT
SHIPPED = environment.BUILD / "runtime"
STAMP = environment.BUILD / "runtime_made_from.txt"
NPM_FOLDER = environment.BUILD / "npm"
PYODIDE = NPM_FOLDER / "node_modules" / "pyodide"
PACKAGE = ROOT / "calculators"
LIBRARY = "python_stdlib.zip"
LOCK = "pyodide-lock.json"

# Modules of ours that run in CPython only, with the reason. They are left out of the browser's wheel.
NOT_IN_BROWSER = {
    "calculators.__main__": "starts the command line",
    "calculators.doors.command_line": "reads arguments and prints; needs argparse",
    "calculators.doors.plan_commands": "as command_line",
    "calculators.doors.terminal": "as command_line",
    "calculators.doors.engines": "starts processes",
    "calculators.doors.markdown_extension": "renders pages at build time; needs the markdown package",
    "calculators.doors.paper": "starts a Chromium to print; a page prints with its own browser",
}

NOTICE = """\
Pyodide {pyodide} (the files named pyodide.*, and its own modules in python_stdlib.zip):
Mozilla Public License 2.0. Source: https://github.com/pyodide/pyodide
Python {python} and its standard library (compiled to bytecode and reduced to the modules used here):
Python Software Foundation License 2. Source: https://www.python.org
The calculators wheel: MIT License, The contributors.
"""

FIXED_DATE = (1980, 1, 1, 0, 0, 0)  # the earliest a zip archive can say
FIXED_EPOCH = "315532800"  # the same date, for tools that take SOURCE_DATE_EPOCH


class BuildFailure(Exception):
    """Something that whoever builds must put right; the text says what."""


def build(compile_with: str | None = None) -> Path:
    """Bring `build/runtime/` up to date and return it. Nothing is done where nothing changed.

    `compile_with` forces a route, "host" or "runtime"; by default the host where it can.
    Raises BuildFailure.
    """
    stamp = _stamp(compile_with)
    if STAMP.exists() and STAMP.read_text() == stamp:
        return SHIPPED
    STAMP.unlink(missing_ok=True)
    fetch_pyodide()
    route = compile_with or default_route()
    print(f"Compiling for the browser's Python {python_of(PYODIDE)} with "
          f"{'pyodide-build on this Python' if route == 'host' else 'the runtime itself, under Node'}.",
          flush=True)
    stage = _empty(environment.BUILD / "runtime_stage")
    assemble(PYODIDE, stage, route)
    check_imports(stage)
    shutil.rmtree(SHIPPED, ignore_errors=True)
    stage.rename(SHIPPED)
    STAMP.write_text(stamp)
    return SHIPPED


def assemble(pyodide: Path, stage: Path, route: str, more_library: dict[str, bool] | None = None) -> None:
    """Fill the empty folder `stage` with a runtime made from the release in `pyodide`.

    `route` is "host" or "runtime". `more_library` says what to do with modules that only another release
    has. Raises BuildFailure.
    """
    wheels = [_browser_wheel(build_wheel(), stage)]
    wheels += [libraries.pack(name, stage) for name in libraries.LIBRARIES]
    _prune_library(pyodide / LIBRARY, stage / LIBRARY, more_library)
    stock_lock = json.loads((pyodide / LOCK).read_text())
    (stage / LOCK).write_text(json.dumps({**stock_lock, "packages": {}}))
    if route == "host":
        _compile_with_pyodide_build(stage, wheels)
    else:
        _compile_in_runtime(stage, pyodide)
    _finish_archives(stage)
    for path in as_they_are(pyodide):
        shutil.copyfile(path, stage / path.name)
    _add_methods(stage)
    release = json.loads((pyodide / "package.json").read_text())["version"]
    (stage / "NOTICE.txt").write_text(NOTICE.format(pyodide=release, python=python_of(pyodide))
                                      + "".join(map(libraries.notice, libraries.LIBRARIES)))


def as_they_are(pyodide: Path) -> list[Path]:
    """The files of a Pyodide release that a browser fetches unchanged."""
    names = ["pyodide.js", "pyodide.mjs", "pyodide.asm.js", "pyodide.asm.mjs", "pyodide.asm.wasm"]
    return [pyodide / name for name in names if (pyodide / name).exists()]


def fetch_pyodide() -> None:
    """Fetch what npm/package-lock.json pins by hash into `build/npm/`, if it isn't there: Pyodide, and what the tests use."""
    wanted = ROOT / "build_scripts" / "npm"
    lock = (wanted / "package-lock.json").read_bytes()
    done = NPM_FOLDER / "fetched.txt"
    if done.exists() and done.read_bytes() == lock and PYODIDE.exists():
        return
    print("Fetching Pyodide ...", flush=True)
    _empty(NPM_FOLDER)
    for name in ("package.json", "package-lock.json"):
        shutil.copyfile(wanted / name, NPM_FOLDER / name)
    _run([*environment.npm_command(), "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--silent"],
         cwd=NPM_FOLDER)
    done.write_bytes(lock)


def python_of(pyodide: Path) -> str:
    """The version of Python inside the release in that folder, such as "3.13.2"."""
    return json.loads((pyodide / LOCK).read_text())["info"]["python"]


def default_route() -> str:
    """"host" if this Python can compile for the runtime and pyodide-build is installed, else "runtime"."""
    same_minor = python_of(PYODIDE).split(".")[:2] == list(platform.python_version_tuple()[:2])
    return "host" if same_minor and importlib.util.find_spec("pyodide_build") else "runtime"


def build_wheel() -> Path:
    """Build the package's ordinary wheel into `build/wheel/` and return it."""
    if not (PACKAGE / "__init__.py").exists():
        raise BuildFailure(f"{PACKAGE} is not a package: it has no __init__.py")
    # setuptools leaves folders behind in what it builds from, so it is given a copy.
    source = _empty(environment.BUILD / "wheel_source")
    for name in ("pyproject.toml", "LICENSE"):
        shutil.copyfile(ROOT / name, source / name)
    shutil.copytree(PACKAGE, source / "calculators", ignore=shutil.ignore_patterns("__pycache__"))
    folder = _empty(environment.BUILD / "wheel")
    _run([sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(folder), str(source)],
         cwd=source, quiet=True)
    [wheel] = folder.glob("*.whl")
    return wheel


def _browser_wheel(wheel: Path, stage: Path) -> Path:
    """Copy `wheel` to `stage` without what a browser never uses."""
    left_out = {name.replace(".", "/") + ".py" for name in NOT_IN_BROWSER}
    target = stage / wheel.name
    with zipfile.ZipFile(wheel) as old, zipfile.ZipFile(target, "w") as new:
        for name in old.namelist():
            # `lockfile add-wheels` reads METADATA; the rest of dist-info is for installers.
            if ".dist-info/" in name and not name.endswith(("/METADATA", "/WHEEL")):
                continue
            if name not in left_out:
                content = old.read(name)
                if name.endswith(".json"):
                    content = json.dumps(json.loads(content), ensure_ascii=False, separators=(",", ":")).encode()
                new.writestr(name, without_docstrings(content) if name.endswith(".py") else content)
    return target


def without_docstrings(source: bytes) -> bytes:
    """A module's source with its docstrings emptied; that of a class keeps one letter.

    A dataclass without a docstring gets one made at import, from its signature, which costs more time than a letter costs bytes.
    """
    lines = source.splitlines(keepends=True)
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef) or ast.get_docstring(node) is None:
            continue
        first = node.body[0]
        start, end = first.lineno - 1, (first.end_lineno or first.lineno) - 1
        before, after = lines[start][: first.col_offset], lines[end][first.end_col_offset :]
        lines[start : end + 1] = [before + (b'"-"' if isinstance(node, ast.ClassDef) else b'""') + after, *[b""] * (end - start)]
    return b"".join(lines)


def _prune_library(stock: Path, target: Path, more: dict[str, bool] | None) -> None:
    """Write the part of the `stock` library that is shipped, still as source."""
    unnamed = set()
    with zipfile.ZipFile(stock) as old, zipfile.ZipFile(target, "w") as new:
        for name in old.namelist():
            if name.endswith("/"):
                continue
            try:
                if standard_library.is_kept(name, more):
                    new.writestr(name, old.read(name))
            except KeyError as error:
                unnamed.add(error.args[0])
        for name, source in standard_library.STAND_INS.items():
            new.writestr(name, source)
    if unnamed:
        raise BuildFailure("standard_library.py must say whether to ship: " + " ".join(sorted(unnamed)))


def _compile_with_pyodide_build(stage: Path, wheels: list[Path]) -> None:
    # -O and -OO are how py-compile is told what to leave out; compile_archives.py says why they differ.
    lock = str(stage / LOCK)
    compiling = ["-m", "pyodide_cli", "py-compile", "--silent", "--compression-level", "0"]
    _run([sys.executable, "-m", "pyodide_cli", "lockfile", "add-wheels", "--input", lock, "--output", lock,
          "--base-path", str(stage), *map(str, wheels)], cwd=stage, quiet=True)
    _run([sys.executable, "-OO", *compiling, str(stage / LIBRARY)], cwd=stage, quiet=True)
    _run([sys.executable, "-O", *compiling, "--exclude", LIBRARY, str(stage)], cwd=stage, quiet=True)
    compile_archives.strip_folder(str(stage))


def _compile_in_runtime(stage: Path, pyodide: Path) -> None:
    script = ROOT / "build_scripts" / "compile_in_runtime.mjs"
    _run([environment.node(), str(script), str(pyodide), str(stage)], cwd=stage, quiet=True)
    for compiled in sorted(stage.glob("*.whl")):
        enter_in_lock(compiled, stage)


def enter_in_lock(wheel: Path, stage: Path) -> None:
    """Add a wheel to the lock file in `stage`, as `pyodide lockfile add-wheels` would."""
    name, version = wheel.name.split("-")[:2]
    lock = json.loads((stage / LOCK).read_text())
    lock["packages"][name] = {
        "name": name, "version": version, "file_name": wheel.name, "install_dir": "site",
        "sha256": _sha256(wheel.read_bytes()), "package_type": "package", "imports": [name],
        "depends": [], "unvendored_tests": False,
    }
    (stage / LOCK).write_text(json.dumps(lock))


def _finish_archives(stage: Path) -> None:
    """Rewrite both archives alike, whoever wrote them: sorted, undated, stored. Then renew the checksum."""
    for archive in [*stage.glob("*.zip"), *stage.glob("*.whl")]:
        with zipfile.ZipFile(archive) as old:
            contents = {name: old.read(name) for name in sorted(old.namelist())}
        with zipfile.ZipFile(archive, "w", zipfile.ZIP_STORED) as new:
            for name, content in contents.items():
                entry = zipfile.ZipInfo(name, FIXED_DATE)
                entry.external_attr = 0o644 << 16
                new.writestr(entry, content)
    lock = json.loads((stage / LOCK).read_text())
    for package in lock["packages"].values():
        package["sha256"] = _sha256((stage / package["file_name"]).read_bytes())
    # with it the lock file tells one runtime from any other: worker.js keeps a start under its digest
    lock["library_sha256"] = _sha256((stage / LIBRARY).read_bytes())
    (stage / LOCK).write_text(json.dumps(lock, sort_keys=True, separators=(",", ":")))


METHODS = "methods.bin"
_RECORD_METHODS = """
import base64, dataclasses, marshal, types, zlib
made = {}
def without_lines(code):
    within = tuple(without_lines(each) if isinstance(each, types.CodeType) else each for each in code.co_consts)
    return code.replace(co_linetable=b"", co_consts=within)
def recording(source, *names):
    code = compile(source, "<string>", "exec")
    if made.setdefault(zlib.crc32(source.encode()), (source, code))[0] != source:
        raise ValueError("two methods with one checksum")
    exec(code, *names)
dataclasses.exec = recording
import calculators.doors.browser
del dataclasses.exec
result = base64.b64encode(marshal.dumps({key: without_lines(code) for key, (_, code) in made.items()})).decode()
"""


def _add_methods(stage: Path) -> None:
    """Put into the package what `dataclasses` compiles as it is imported, by the checksum of its source.

    That compiling is nearly half of an import in the browser; worker.js hands the code over in its place.
    """
    try:
        with Runtime(stage) as runtime:
            methods = base64.b64decode(runtime.run(_RECORD_METHODS))
    except RuntimeFailure as failure:
        raise BuildFailure(f"the runtime just built does not work: {failure}") from failure
    [wheel] = stage.glob("calculators-*.whl")
    with zipfile.ZipFile(wheel, "a") as opened:
        opened.writestr(METHODS, methods)
    _finish_archives(stage)


def check_imports(folder: Path) -> None:
    """Import, in the runtime in `folder`, every module of the package and all that these may import later.

    Raises BuildFailure naming what is missing, so that a pruned module is noticed here, not on a page.
    """
    modules, needed = _imports_of_package()
    code = f"""
import importlib
result = []
for name in {sorted(modules)!r} + {sorted(needed)!r}:
    try:
        importlib.import_module(name)
    except ImportError as error:
        result.append(f"{{name}}: {{type(error).__name__}}: {{error}}")
"""
    try:
        with Runtime(folder, [*libraries.LIBRARIES]) as runtime:
            complaint = runtime.printed()  # Pyodide only prints what goes wrong in loading a package
            missing = runtime.run(code)
    except RuntimeFailure as failure:
        raise BuildFailure(f"the runtime just built does not work: {failure}") from failure
    if complaint:
        raise BuildFailure(f"the runtime just built complains as it starts:\n{complaint}")
    if missing:
        raise BuildFailure(
            "These cannot be imported in the browser's Python. Keep the module in "
            "build_scripts/standard_library.py, or list ours under NOT_IN_BROWSER in runtime.py:\n  "
            + "\n  ".join(missing))


def _imports_of_package() -> tuple[set[str], set[str]]:
    """The package's own modules, and the library modules named in any import statement within them."""
    modules, needed = set(), set()
    for path in PACKAGE.rglob("*.py"):
        name = ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        if name in NOT_IN_BROWSER:
            continue
        modules.add(name)
        for node in ast.walk(ast.parse(path.read_bytes(), str(path))):
            if isinstance(node, ast.Import):
                needed.update(alias.name for alias in node.names)
            elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
                needed.add(node.module)
    # What exists in a browser only is given by Pyodide there, and need not exist under Node.
    return modules, {name for name in needed if name.split(".")[0] not in {"js", "pyodide_js"}}


def _stamp(compile_with: str | None) -> str:
    """A hash of all that `build/runtime/` is made from."""
    scripts = ROOT / "build_scripts"
    paths = [p for p in PACKAGE.rglob("*") if p.is_file() and "__pycache__" not in p.parts]
    paths += [ROOT / "pyproject.toml", ROOT / "LICENSE", environment.LOCKED_REQUIREMENTS]
    paths += [scripts / "npm" / "package-lock.json", Path(__file__), Path(standard_library.__file__)]
    paths += [scripts / "compile_archives.py", scripts / "compile_in_runtime.mjs", scripts / "libraries.py"]
    digest = hash_of_files(paths)
    return f"{digest} Python {platform.python_version()} {compile_with or 'default'}\n"


def hash_of_files(paths: list[Path]) -> str:
    """One hash over the names and contents of `paths`, whatever their order."""
    whole = hashlib.sha256()
    for path in sorted(paths):
        whole.update(f"{path.relative_to(ROOT).as_posix()} {_sha256(path.read_bytes())}\n".encode())
    return whole.hexdigest()


def _sha256(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _empty(folder: Path) -> Path:
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    return folder


def _run(command: list[str], cwd: Path, quiet: bool = False) -> None:
    """Run a command; `quiet` holds its output back unless it fails. Raises BuildFailure."""
    done = subprocess.run(command, cwd=cwd, env={**os.environ, "SOURCE_DATE_EPOCH": FIXED_EPOCH},
                          stdout=subprocess.PIPE if quiet else None,
                          stderr=subprocess.STDOUT if quiet else None, text=True)
    if done.returncode != 0:
        raise BuildFailure(f"failed with exit status {done.returncode}: {' '.join(command)}\n"
                           + (done.stdout or ""))


def main() -> None:
    options = argparse.ArgumentParser(description="Build the browser runtime into build/runtime/.")
    options.add_argument("--compile-with", choices=["host", "runtime"],
                         help="who writes the bytecode (default: the host where it can)")
    chosen = options.parse_args()
    environment.run_inside(__file__)
    try:
        with environment.only_one("runtime"):
            folder = build(chosen.compile_with)
    except BuildFailure as failure:
        sys.exit(f"Building the runtime failed: {failure}")
    for path in sorted(folder.iterdir()):
        print(f"{path.stat().st_size:>10,}  {path.name}")


if __name__ == "__main__":
    main()
