"""Many wards at once: what of a table is refused and how, nothing lost, the same however it is carried out."""

from __future__ import annotations

import csv
import io
import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.doors import engines
from calculators.doors.command_line import main
from calculators.drawn_years import scenario_of
from calculators.many import HEADER, CannotRead, Ward, harmless, plan_ward, read_wards, to_csv
from calculators.plan import Plan
from calculators.simulate.uncertain import draws, handbook_ranges
from calculators.simulate.year import Record, run

TABLE = (
    "name,from,homes,people_per_home\n"
    "Larkhollow north,larkhollow,900,4\n"
    '"=1+1, south",larkhollow,700,\n'
    "Bad,larkhollow,abc,4\n"
    "\n"
    "Short,larkhollow,3\n"
    ",larkhollow,3,4\n"
    "Fresh,,300,4.5\n"
    "Odd,atlantis,600,4.5\n"
    "Vast,larkhollow,99999999999,4\n"
)


@pytest.fixture
def table(tmp_path: Path) -> Path:
    file = tmp_path / "wards.csv"
    file.write_text(TABLE, "utf-8")
    return file


def rows_of(file: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(file.read_bytes().decode("utf-8"), newline="")))


# ---- reading --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "The file is empty"), ("name,homes\n", "no row of a ward"), ("homes\n3\n", "must be a column ‘name’"),
        ("name,hmes\nA,3\n", "Row 1, column 2: ‘hmes’ is neither name, from nor an answer. Did you mean ‘homes’?"),
        ("name;homes\nA;3\n", "Separate columns with commas"),
        ("name,homes,homes\nA,1,2\n", "names a column that is there already"),
        ("name,bay_width,bay_width_m\nA,1,2\n", "column 3: ‘bay_width_m’ names a column that is there already"),
        ('name,homes\n"A,3\n', "this is not CSV"), ("name,name\nA,B\n", "there already"), ("name,\nA,B\n", "column 2: ‘’"),
    ],
)  # fmt: skip
def test_a_header_that_can_not_be_used_is_told(text: str, words: str) -> None:
    with pytest.raises(CannotRead, match=words.replace("?", r"\?")):
        read_wards(text)


def test_a_mark_of_byte_order_and_names_in_full_are_taken() -> None:
    (ward,) = read_wards("\ufeffname,from,bay_width_m\r\n A  b ,pennywhistle, 1.2 \r\n")
    assert ward == Ward(2, "A b", "pennywhistle", (("bay_width_m", "1.2"),))


@given(st.lists(st.lists(st.text(max_size=8), min_size=1, max_size=5), min_size=1, max_size=8))
@settings(max_examples=100, deadline=None)
def test_no_row_is_lost_whatever_it_holds(rows: list[list[str]]) -> None:
    """What the csv module writes comes back as one ward for each row, in order, each good or with its reason."""
    written = io.StringIO(newline="")
    csv.writer(written).writerows([["name", "homes", "from"], *rows])
    wards = read_wards(written.getvalue())
    assert len(wards) == len(rows)
    for ward, row in zip(wards, rows, strict=True):
        assert ward.problem or (len(row) == 3 and ward.name == " ".join(row[0].split()))


@given(st.text(max_size=300))
@settings(max_examples=200, deadline=None)
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    for held in (text, "name,homes\n" + text):
        try:
            assert read_wards(held)
        except CannotRead as error:
            assert str(error).endswith((".", "?", "there."))


# ---- the command ----------------------------------------------------------------------------------------------


def test_the_command_plans_every_ward_and_tells_what_it_could_not(table: Path, tmp_path: Path, capsys: Any) -> None:
    to = tmp_path / "plans.csv"
    assert main(["many", str(table), "--draws", "3", "--workers", "2", "--to", str(to)]) == 0
    said = capsys.readouterr()
    assert "3 wards planned, 5 with a problem" in said.out and "8 of 8 wards" in said.err
    rows = rows_of(to)
    assert tuple(rows[0]) == HEADER
    problems = [row["problem"] for row in rows]
    assert [bool(problem) for problem in problems] == [False, False, True, True, True, False, True, True]
    assert problems[2].startswith("Line 4, column homes: ") and "‘abc’" in problems[2]
    assert problems[3] == "Line 6 has 3 cells; the first row has 4." and "column name: it is empty" in problems[4]
    assert "not one of larkhollow, pennywhistle, nothing" in problems[6] and "column homes" in problems[7]
    for row in rows:
        assert bool(row["problem"]) == (row["bays_total"] == "") == (row["refused_kg_per_year_median"] == "")
    north = Plan({"homes": "900", "people_per_home": "4"}, "larkhollow").evaluate()
    assert int(rows[0]["bays_total"]) == north.results["bays"].outputs.bays_total
    received = north.results["arrivals"].outputs.received_kg_per_day
    assert float(rows[0]["received_kg_per_day"]) == pytest.approx(received, rel=1e-5)
    assert rows[0]["tub_ratio"] == north.results["mix"].outputs.tub_ratio


def test_the_result_is_the_same_however_many_work_at_it() -> None:
    wards = read_wards(TABLE)
    alone = to_csv(engines.over_processes(wards, 2, 7, 1))
    assert alone == to_csv(engines.over_processes(wards, 2, 7, 3))
    assert alone != to_csv(engines.over_processes(wards, 2, 8, 1))


def test_the_path_of_dask_through_a_stand_in() -> None:
    """Not Dask itself, which is an optional extra: an object with the two functions that are used, ``delayed`` and
    ``compute``, as its documentation describes them. It computes out of order, in threads, as a scheduler may."""

    def compute(*tasks: Any, scheduler: Any) -> tuple[Any, ...]:
        assert scheduler == "a scheduler"
        with ThreadPoolExecutor(3) as pool:
            waiting = [pool.submit(task) for task in reversed(tasks)]
            return tuple(each.result() for each in reversed(waiting))

    stand_in = SimpleNamespace(delayed=lambda work: lambda *given: lambda: work(*given), compute=compute)
    wards = read_wards(TABLE)
    through = to_csv(engines.over_dask(wards, 2, 7, stand_in, "a scheduler"))
    assert through == to_csv(engines.over_processes(wards, 2, 7, 1))


def test_without_dask_one_line_says_what_to_do(table: Path, tmp_path: Path, capsys: Any, monkeypatch: Any) -> None:
    monkeypatch.setitem(sys.modules, "dask", None)  # as where it is not installed
    assert main(["many", str(table), "--engine", "dask", "--to", str(tmp_path / "x.csv")]) == 2
    assert capsys.readouterr().err == "The engine dask needs the library dask: pip install 'calculators[dask]'\n"


def test_a_scheduler_that_does_not_answer_is_told(table: Path, tmp_path: Path, capsys: Any, monkeypatch: Any) -> None:
    def client(address: str) -> None:
        raise OSError(f"timed out for {address}")

    monkeypatch.setitem(sys.modules, "dask", SimpleNamespace())
    monkeypatch.setitem(sys.modules, "dask.distributed", SimpleNamespace(Client=client))
    arguments = ["many", str(table), "--engine", "dask", "--scheduler", "tcp://nowhere:1", "--to", str(tmp_path / "x.csv")]
    assert main(arguments) == 2
    assert capsys.readouterr().err.startswith("No Dask scheduler answers at ‘tcp://nowhere:1’")


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--draws", "0"], "--draws must be a whole number from 1 to 10000; you wrote ‘0’."),
        (["--draws", "x"], "--draws must be"),
        (["--seed", "-1"], "--seed"), (["--workers", "0"], "--workers must be"), (["--to", "plans.txt"], "must end in .csv"),
        (["--seed", "9" * 30], "--seed must be"),
    ],
)  # fmt: skip
def test_bad_options_are_one_line(table: Path, tmp_path: Path, capsys: Any, options: list[str], words: str) -> None:
    assert main(["many", str(table), "--to", str(tmp_path / "p.csv"), *options]) == 2
    said = capsys.readouterr().err
    assert words in said and said.count("\n") == 1


def test_a_table_that_is_missing_or_written_over_is_told(table: Path, tmp_path: Path, capsys: Any) -> None:
    assert main(["many", str(tmp_path / "none.csv"), "--to", str(tmp_path / "p.csv")]) == 2
    assert "can't be read" in capsys.readouterr().err
    assert main(["many", str(table), "--to", str(table)]) == 2
    assert "is the table of wards itself" in capsys.readouterr().err and table.read_text("utf-8") == TABLE


# ---- the figures ----------------------------------------------------------------------------------------------


def test_a_ward_is_walked_through_the_drawn_years_of_its_plan() -> None:
    ward = Ward(2, "P", "pennywhistle", (("reserve_percent", "0"),))
    found = plan_ward(ward, 12, 7)
    base = scenario_of(Plan({"reserve_percent": "0"}, "pennywhistle").evaluate())
    records = [run(scenario) for scenario in draws(base, handbook_ranges(), 7, 12)]
    without = sum(1 for record in records if not any(kg > 1e-6 for kg in record.refused_kg))
    assert found.years_without_refusal_percent == pytest.approx(100 * without / 12)
    assert found.bays_for_heaps == base.stage_bays
    totals = sorted(sum(record.refused_kg) for record in records)
    assert found.refused_kg_per_year_median == pytest.approx((totals[5] + totals[6]) / 2)


def test_bays_needed_are_enough_in_as_many_years_as_said() -> None:
    """Built so, at least 19 of 20 years refuse nothing for want of a bay, and other years are the same as with more bays."""
    ward = Ward(2, "P", "pennywhistle", (("homes", "120"),))
    needed = plan_ward(ward, 20, 7).bays_for_heaps_needed_in_95_percent_of_years
    assert needed is not None
    base = scenario_of(Plan({"homes": "120"}, "pennywhistle").evaluate())

    def walked(bays: int) -> list[Record]:
        return [run(each) for each in draws(replace(base, stage_bays=bays), handbook_ranges(), 7, 20)]

    def never_short(bays: int) -> int:
        """Years that go as they would with any number of bays."""
        pairs = zip(walked(bays), many, strict=True)
        return sum(1 for here, there in pairs if here.heaps == there.heaps and here.refused_kg == there.refused_kg)

    many = walked(500)
    assert sum(1 for each in walked(needed) if max(each.refused_for_bays_kg) <= 1e-6) >= 19
    assert never_short(needed) >= 19 > never_short(needed - 1)


@given(st.text(max_size=20))
def test_no_cell_is_a_formula(words: str) -> None:
    shown = harmless(words)
    assert not shown.startswith(("=", "+", "-", "@", "\t", "\r")) and shown.removeprefix("'") == words.removeprefix("'")
