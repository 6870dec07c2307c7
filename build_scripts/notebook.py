"""A JupyterLite page with the package in it, all self-hosted, for the benchmark to stand beside: `make(folder)`.

Everything comes from the registries: JupyterLite and its Pyodide kernel from PyPI, the Pyodide that this kernel wants from npm,
and what its kernel needs besides as wheels from PyPI, entered in Pyodide's lock file, which knows them from elsewhere only.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
import tarfile
import zipfile
from pathlib import Path
from urllib.parse import quote

from build_scripts import compare_runtimes, environment

TOOLS = ("jupyterlite-core==0.8.6", "jupyterlite-pyodide-kernel==0.8.6")
PYODIDE = "314.0.6"
"""The release that the kernel is made for."""
PYTHON = "3.14"
WHEELS = (
    "asttokens==3.0.2", "comm==0.2.3", "decorator==5.3.1", "executing==2.3.0", "ipython==9.18.1", "ipython_pygments_lexers==1.1.1",
    "jedi==0.20.1", "matplotlib_inline==0.2.2", "micropip==0.11.1", "packaging==26.4", "parso==0.8.7", "prompt_toolkit==3.0.53",
    "pure_eval==0.2.4", "pygments==2.21.0", "stack_data==0.6.3", "traitlets==5.16.1", "typing_extensions==4.16.0",
    "wcwidth==0.2.13",  # later ones are compiled
)  # fmt: skip
DEPENDS = {"micropip": ["packaging"], "jedi": ["parso"]}
ANSWERED = "ANSWERED"
CODE = f"""import micropip
await micropip.install("calculators")
import json
from calculators.doors.browser import reply
text = reply(json.dumps({{"answers": {{}}, "parts": ["answer:bays", "head:bays", "details:bays"], "forms": ["bays"]}}))
print("{ANSWERED[:4]}" + "{ANSWERED[4:]}", len(text))
"""
PAGE = "repl/index.html?kernel=python&execute=1&toolbar=0&code=" + quote(CODE)
"""The page that runs one cell with the calculation, in JupyterLite's smallest application."""


def make(folder: Path) -> Path:
    """Build the site into ``folder``, unless it is there, and return it. Raises subprocess.CalledProcessError."""
    from build_scripts import runtime

    made = folder / "site"
    wheel = runtime.build_wheel()
    stamp = folder / "made_from.txt"
    wanted = f"{TOOLS} {PYODIDE} {WHEELS} {hashlib.sha256(wheel.read_bytes()).hexdigest()}"
    if stamp.exists() and stamp.read_text() == wanted:
        return made
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    tools, wheels, pyodide = folder / "tools", folder / "wheels", folder / "pyodide"
    outer = environment.outer_python()
    _run([outer, "-m", "venv", "--without-pip", str(tools)])
    _run([outer, "-m", "pip", "--python", str(tools / "bin" / "python"), "install", "--quiet", "--only-binary", ":all:", *TOOLS])
    _run([outer, "-m", "pip", "download", "--quiet", "--no-deps", "--python-version", PYTHON, "--only-binary", ":all:", "--dest", str(wheels),
          *WHEELS])  # fmt: skip
    shutil.copytree(compare_runtimes.fetch(PYODIDE), pyodide)
    _enter([*sorted(wheels.glob("*.whl")), wheel], pyodide)
    archive = folder / "pyodide.tar.bz2"
    with tarfile.open(archive, "w:bz2") as opened:
        opened.add(pyodide, "pyodide")
    _run([str(tools / "bin" / "jupyter"), "lite", "build", "--pyodide", str(archive), "--output-dir", str(made), "--lite-dir",
          str(folder / "lite")], cwd=folder)  # fmt: skip
    stamp.write_text(wanted)
    return made


def _enter(wheels: list[Path], pyodide: Path) -> None:
    """Copy wheels beside a Pyodide and name them in its lock file."""
    lock = json.loads((pyodide / "pyodide-lock.json").read_text())
    names = []
    for wheel in wheels:
        name, version = wheel.name.split("-")[:2]
        key = name.lower().replace("_", "-")
        names.append(key)
        shutil.copyfile(wheel, pyodide / wheel.name)
        imports = {each.split("/")[0].removesuffix(".py") for each in zipfile.ZipFile(wheel).namelist() if ".dist-info" not in each}
        lock["packages"][key] = {
            "name": key, "version": version, "file_name": wheel.name, "install_dir": "site",
            "sha256": hashlib.sha256(wheel.read_bytes()).hexdigest(), "package_type": "package", "imports": sorted(imports),
            "depends": DEPENDS.get(key, []), "unvendored_tests": False,
        }  # fmt: skip
    lock["packages"]["ipython"]["depends"] = [name for name in names if name not in ("ipython", "micropip", "calculators")]
    (pyodide / "pyodide-lock.json").write_text(json.dumps(lock))


def _run(command: list[str], cwd: Path | None = None) -> None:
    subprocess.run(command, cwd=cwd, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
