"""The command line as others call it: in a process of its own."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from calculators import catalogue
from calculators.plan import Plan
from calculators.units import UNITS

ROOT = Path(__file__).resolve().parents[1]


def run(*arguments: str, env: dict[str, str] | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "calculators", *arguments], cwd=ROOT, capture_output=True, text=True, encoding="utf-8", env=env
    )


def test_list() -> None:
    done = run("list")
    assert done.returncode == 0 and [line.split()[0] for line in done.stdout.splitlines()] == list(catalogue.BY_KEY)


@pytest.mark.parametrize("key", list(catalogue.BY_KEY))
def test_describe(key: str) -> None:
    held = json.loads(run("describe", key, "--json").stdout)
    for answer in held["inputs"]:
        assert {"name", "unit", "default", "low", "high", "help", "source", "follows"} <= answer.keys()
        assert answer["source"]["status"] and answer["source"]["citation"] and answer["help"]
        assert answer["unit"] in UNITS
        if answer["kind"] in ("number", "count"):
            assert answer["low"] < answer["high"]
            assert answer["may_be_blank"] or answer["low"] <= answer["default"] <= answer["high"]
    assert len(held["inputs"]) > 2 and len(held["outputs"]) > 3
    for output in held["outputs"]:
        assert output["unit"] in UNITS and output["label"]
        assert all(column["unit"] is None or column["unit"] in UNITS for column in output.get("columns", ()))
    assert key and run("describe", key).stdout.startswith(held["title"])


def test_solve_with_units_and_working() -> None:
    done = run("solve", "bays", "mix_m3_per_day=4.5", "bay_width=5ft", "--working", "--json")
    held = json.loads(done.stdout)
    assert held["inputs"]["bay_width_m"] == {"value": pytest.approx(1.524), "unit": "m", "origin": "yours"}
    wanted = Plan({"mix_m3_per_day": 4.5, "bay_width": "5ft"}, None).evaluate().results["bays"]
    assert held["outputs"]["bays_total"] == wanted.outputs.bays_total and held["answer"] == wanted.sentence
    assert any("Cross-section" in step["label"] and step["figures"] for step in held["working"])
    plain = run("solve", "bays", "mix_m3_per_day=4.5", "--working").stdout
    assert "working:" in plain and "caution:" in plain


def test_solve_from_an_example() -> None:
    held = json.loads(run("solve", "crew", "--from", "larkhollow", "homes=900", "--json").stdout)
    assert held["answer"] == Plan({"homes": 900}).evaluate().results["crew"].sentence


def test_plan_file(tmp_path: Path) -> None:
    file = tmp_path / "yard.json"
    file.write_text('{"yard_plan": 1, "example": "larkhollow", "answers": {"homes": 900, "bay_width": "5 ft"}}')
    held = json.loads(run("plan", str(file), "--json").stdout)
    assert [step["calculator"] for step in held["steps"]] == list(catalogue.BY_KEY)
    assert held["steps"][2]["answer"] == Plan({"homes": 900, "bay_width": "5 ft"}).evaluate().results["bays"].sentence
    assert "Bays: Build" in run("plan", str(file)).stdout


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["solve", "bays", "bay_width=wide"], "Width of a bay"),
        (["solve", "bays", "bay_width=-3"], "between 0.6 and 4"),
        (["solve", "bays", "bay_width=nan"], "not a number"),
        (["solve", "bays", "bay_widht=2"], "bay_width"),
        (["solve", "bays", "bay_width"], "name=value"),
        (["solve", "bays", "bay_width=0.6", "wall_clearance=0.29"], "wider"),
        (["solve", "arrivals", "homes=1,500"], "1500 or 1.500"),
        (["solve", "bays", "bay_width=2", "bay_width_m=3"], "given twice"),
        (["solve", "bays", "=2"], "name=value"),
        (["solve", "bays", "no\nsuch=2\n3"], "no answer named"),
        (["solve", "bays", "bay_width=3 kg"], "unit that is not known here: kg"),
        (["solve", "bays", "mix_m3_per_day=1e999"], "too large"),
        (["solve", "bays", "--from", "elsewhere"], "elsewhere"),
        (["solve", "arrivals", "homes=3 people"], "people"),
        (["plan", "."], "can't be read"),
        (["plan", "tests/test_plan.py"], "not a plan file"),
        (["solve", "nothing"], "no calculator named"),
        (["describe", "nothing"], "no calculator named"),
        (["plan", "/does/not/exist.json"], "can't be read"),
        (["plan", "README.md"], "not a plan file"),
        (["dance"], "dance"),
        ([], "required"),
    ],
)
def test_bad_input_is_one_clear_line_and_status_two(arguments: list[str], words: str) -> None:
    done = run(*arguments)
    assert done.returncode == 2
    assert done.stdout == ""
    lines = done.stderr.splitlines()
    assert len(lines) == 1 and words in lines[0], done.stderr
    assert "Traceback" not in done.stderr


def test_each_fault_of_a_plan_file_is_told_in_the_one_line(tmp_path: Path) -> None:
    file = tmp_path / "yard.json"
    file.write_text('{"yard_plan": 1, "answers": {"homes": -3, "bay_width": "wide", "hoems": 1}}')
    done = run("plan", str(file), "--json")
    assert (done.returncode, done.stdout, len(done.stderr.splitlines())) == (2, "", 1)
    for words in ("Homes served", "‘-3’", "Width of a bay", "‘wide’", "Did you mean ‘homes’"):
        assert words in done.stderr
    file.write_bytes(b"\xff\xfe\x00")
    done = run("plan", str(file))
    assert done.returncode == 2 and "not UTF-8" in done.stderr and len(done.stderr.splitlines()) == 1


def test_a_terminal_without_the_letters() -> None:
    """Where standard output holds ASCII only, words are escaped and JSON stays JSON."""
    asked = ("solve", "bays", "mix_m3_per_day=4.5", "--working")
    narrow = {**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    plain = run(*asked, env=narrow)
    assert plain.returncode == 0 and "Bays: Build" in plain.stdout and plain.stderr == ""
    assert json.loads(run(*asked, "--json", env=narrow).stdout) == json.loads(run(*asked, "--json").stdout)


def test_with_docstrings_stripped() -> None:
    """The browser's bytecode holds neither asserts nor docstrings; nothing may rest on them."""
    asked = ["-m", "calculators", "plan", "calculators/examples/larkhollow.json", "--json", "--working"]
    one, two = (
        subprocess.run([sys.executable, *more, *asked], cwd=ROOT, capture_output=True, text=True) for more in ([], ["-OO"])
    )
    assert one.returncode == two.returncode == 0 and one.stdout == two.stdout and len(one.stdout) > 10_000
