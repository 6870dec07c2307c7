"""The files that a browser fetches: complete, checked by their own checksum, nothing superfluous."""

from __future__ import annotations

import hashlib
import json
import zipfile

import pytest

from build_scripts import runtime as build
from build_scripts import libraries, site, standard_library
from build_scripts.in_runtime import SHIPPED, Runtime, RuntimeFailure
from calculators import catalogue
from calculators.doors import qr_code, spreadsheet
from calculators.plan import Plan


@pytest.fixture(scope="module")
def running():
    with Runtime() as started:
        yield started


@pytest.fixture(scope="module")
def package() -> dict:
    return packages()["calculators"]


def packages() -> dict:
    return json.loads((SHIPPED / "pyodide-lock.json").read_text())["packages"]


def test_the_lock_file_has_the_package_and_the_libraries() -> None:
    assert sorted(packages()) == sorted(["calculators", *libraries.LIBRARIES])
    assert {path.name for path in SHIPPED.glob("*.whl")} == {each["file_name"] for each in packages().values()}


def test_starts_without_complaint(running: Runtime) -> None:
    # Pyodide prints what goes wrong in loading a package and goes on
    assert running.printed() == ""


def test_python_is_the_release_pinned(running: Runtime) -> None:
    assert running.run("import sys; result = sys.version.split()[0]") == (
        build.python_of(build.PYODIDE)
    )


def test_checksums_are_the_wheels() -> None:
    for package in packages().values():
        content = (SHIPPED / package["file_name"]).read_bytes()
        assert hashlib.sha256(content).hexdigest() == package["sha256"]


def test_libraries_work_in_the_runtime_as_here() -> None:
    """The same QR code, and a spreadsheet of the same size, from the copies packed for the browser."""
    evaluated = Plan({"homes": 900}).evaluate()
    program = """
from calculators.doors import qr_code, spreadsheet
from calculators.plan import Plan
result = [qr_code.modules("https://yard.test/#homes=900"), len(spreadsheet.workbook(Plan({"homes": 900}).evaluate()))]
"""
    with Runtime(libraries=[*libraries.LIBRARIES]) as started:
        squares, size = started.run(program)
    assert squares == qr_code.modules("https://yard.test/#homes=900")
    assert abs(size - len(spreadsheet.workbook(evaluated))) < 200  # zlib releases differ by some bytes


def test_libraries_are_loaded_only_when_asked_for(running: Runtime) -> None:
    assert running.run("import importlib.util as u; result = [bool(u.find_spec(n)) for n in ('segno', 'xlsxwriter')]") == [False] * 2


def test_wheel_has_every_module_and_table(package: dict) -> None:
    with zipfile.ZipFile(SHIPPED / package["file_name"]) as wheel:
        shipped = {name for name in wheel.namelist() if ".dist-info/" not in name}
    left_out = {name.replace(".", "/") + ".pyc" for name in build.NOT_IN_BROWSER}
    wanted = set()
    for path in build.PACKAGE.rglob("*"):
        name = path.relative_to(build.ROOT).as_posix()
        if path.suffix == ".py":
            wanted.add(name + "c")
        elif path.suffix == ".json":
            wanted.add(name)
    assert shipped == wanted - left_out | {build.METHODS}


@pytest.mark.parametrize("archive", ["python_stdlib.zip", "wheel"])
def test_archives_hold_bytecode_and_are_stored(archive: str, package: dict) -> None:
    path = SHIPPED / (package["file_name"] if archive == "wheel" else archive)
    with zipfile.ZipFile(path) as opened:
        entries = opened.infolist()
    assert any(entry.filename.endswith(".pyc") for entry in entries)
    assert [entry.filename for entry in entries if entry.filename.endswith(".py")] == []
    assert {entry.compress_type for entry in entries} == {zipfile.ZIP_STORED}
    assert {entry.date_time for entry in entries} == {build.FIXED_DATE}


def test_site_has_the_same_files() -> None:
    for path in SHIPPED.iterdir():
        assert (site.RUNTIME_IN_SITE / path.name).read_bytes() == path.read_bytes(), path.name


def test_an_error_in_the_runtime_is_an_error_here(running: Runtime) -> None:
    with pytest.raises(RuntimeFailure, match="ZeroDivisionError"):
        running.run("1 / 0")
    assert running.run("result = [1.5, None, 'ä']") == [1.5, None, "ä"]  # and it goes on


def test_a_missing_runtime_is_named(tmp_path) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(RuntimeFailure, match="no runtime"):
        Runtime(tmp_path)


def test_catalogue_is_the_same(running: Runtime) -> None:
    keys = running.run("from calculators import catalogue; result = [c.key for c in catalogue.CALCULATORS]")
    assert keys == [calculator.key for calculator in catalogue.CALCULATORS]


@pytest.mark.parametrize(
    ("path", "kept"),
    [
        ("json/__init__.py", True),
        ("json/tool.py", False),
        ("encodings/utf_8.py", True),
        ("encodings/koi8_r.py", False),
        ("urllib/parse.py", True),
        ("urllib/request.py", False),
        ("email/message.py", False),
    ],
)
def test_longer_names_override_shorter(path: str, kept: bool) -> None:
    assert standard_library.is_kept(path) is kept


def test_an_unknown_module_asks_for_a_decision() -> None:
    with pytest.raises(KeyError, match="brand_new"):
        standard_library.is_kept("brand_new/thing.py")
    assert standard_library.is_kept("brand_new/thing.py", {"brand_new": True})
