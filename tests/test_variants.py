"""Plans side by side, first plans from a few questions, first guesses, a yard's own money: and the commands for them."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest

from calculators import start
from calculators.doors import browser
from calculators.entries import Refused
from calculators.plan import Plan, example
from calculators.plan_file import save_plan
from calculators.units import System, display_symbol, parse_quantity, show
from calculators.variants import MOST_PLANS, compare
from calculators.view import compare as compare_view
from calculators.view import report
from calculators.view.elements import text_of

ROOT = Path(__file__).resolve().parents[1]


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "calculators", *arguments], cwd=ROOT, capture_output=True, text=True, check=False)


# ---- side by side ----------------------------------------------------------------------------------------------


def test_what_differs_is_listed_and_what_does_not_is_counted() -> None:
    plans = [Plan({}).evaluate(), Plan({"homes": "900", "bay_width_m": "1.8"}).evaluate()]
    found = compare(plans)
    assert {row.answer.name for row in found.answers} == {"homes", "bay_width_m"}
    bays = next(row for row in found.figures if row.output.name == "bays_total")
    assert bays.values == tuple(plan.results["bays"].outputs.bays_total for plan in plans)
    singles = sum(output.kind in ("number", "count", "text") for result in plans[0].results.values()
                  for output in result.calculator.results.values())  # fmt: skip
    assert len(found.figures) + found.same_figures == singles


def test_a_plan_is_like_itself() -> None:
    found = compare([Plan({"homes": 5}).evaluate()] * 3)
    assert not found.answers and not found.figures
    assert "same answers" in "".join(map(text_of, compare_view.compared(found)))


def test_an_answer_that_only_follows_is_not_listed_and_an_own_one_is() -> None:
    plain, own = Plan({"homes": 600}).evaluate(), Plan({"homes": 600, "mix_m3_per_day": 9}).evaluate()
    other = Plan({"homes": 700}).evaluate()
    assert "mix_m3_per_day" in {row.answer.name for row in compare([plain, own]).answers}
    assert {row.answer.name for row in compare([plain, other]).answers} == {"homes"}


@pytest.mark.parametrize("count", [0, 1, MOST_PLANS + 1])
def test_too_few_or_too_many_plans(count: int) -> None:
    with pytest.raises(ValueError, match=str(MOST_PLANS)):
        compare([Plan({}).evaluate()] * count)


def test_a_plan_without_a_result_says_why() -> None:
    words = "".join(map(text_of, compare_view.compared(compare([Plan({}).evaluate(), Plan({"homes": "many"}).evaluate()]))))
    assert "Some have no result" in words and "Homes served" in words and "Larkhollow ward (1)" in words


def test_the_page_compares_plans_in_one_unit_system() -> None:
    others = [{"answers": {"bay_width_m": "1.5"}, "name": "one"},
              {"answers": {"bay_width_m": "5"}, "system": "feet and pounds", "name": "<b>two</b>"}]  # fmt: skip
    found = json.loads(browser.reply(json.dumps({"answers": {}, "others": others})))
    text = json.dumps(found["parts"]["compare"], ensure_ascii=False)
    assert "1.5\u00a0m" in text and "1.524\u00a0m" in text and "<b>two</b>" in text and '"b"' not in text


# ---- a first plan ----------------------------------------------------------------------------------------------


def test_a_first_plan_scales_the_example_to_its_homes_and_says_that_it_guesses() -> None:
    plan = start.first_plan({"homes": "115", "market": "yes", "leaves": "yes", "plot_length_m": "20", "plot_width_m": "60 ft"})
    ward = example("larkhollow")["answers"]
    tenth = [float(f"{kg / 10:.2g}") for kg in ward["market_kg_by_weekday"]]
    assert list(plan.answers["market_kg_by_weekday"]) == tenth and ward["homes"] == 1150
    evaluated = plan.evaluate()
    assert set(evaluated.guessed) == {"market_kg_by_weekday", "leaves_kg_by_month"} and not evaluated.stopped
    assert evaluated.own["plot_width_m"] == pytest.approx(18.288)
    text = text_of(report.report(evaluated))
    assert "first guess, not measured" in text
    assert evaluated.results["arrivals"].standings["market_kg_by_weekday"].origin == "guess"


def test_a_first_plan_without_market_and_leaves_guesses_nothing() -> None:
    plan = start.first_plan({"homes": 60, "market": "no", "leaves": "no"})
    assert plan.answers == {"homes": 60} and plan.guessed == ()


def test_bad_answers_to_the_questions_are_named() -> None:
    with pytest.raises(Refused) as caught:
        start.first_plan({"homes": "lots", "market": "perhaps", "plot_length_m": "-3"})
    assert [problem.name for problem in caught.value.problems] == ["homes", "market", "plot_length_m"]
    found = json.loads(browser.reply(json.dumps({"start": {"homes": "<img>"}})))
    assert found["wrong"] == ["homes"] and "<img>" in json.dumps(found["problems"]) and "plan" not in found


def test_an_answer_changed_is_no_guess_any_more() -> None:
    held = json.loads(browser.reply(json.dumps({"link": "#guess=leaves_kg_by_month,homes&homes=9"})))["plan"]
    assert held["guessed"] == ["leaves_kg_by_month", "homes"]
    evaluated = browser.open_link("#guess=leaves_kg_by_month,homes&homes=9").evaluate()
    assert evaluated.guessed == ["homes"]  # what is not in the plan is no guess of it


# ---- money -----------------------------------------------------------------------------------------------------


def test_money_is_called_what_the_reader_calls_it() -> None:
    assert show(5, "money/d", System("metric", "₹")) == "5\u00a0₹/d"
    assert show(1, "money/kg", System("feet and pounds", "Rs")) == "0.454\u00a0Rs/lb"
    assert display_symbol("kg/d", System("metric", "kg")) == "kg/d" and show(5, "money/d") == "5\u00a0units/d"
    plan = Plan({"mix_method": "cheapest", "additions": [["sawdust", "", "", "", "₹2.5"]]}, money="₹").evaluate()
    assert not plan.problems and plan.own["additions"][0][4] == 2.5
    assert "₹/d" in text_of(report.report(plan)) and "units/d" not in text_of(report.report(plan))


def test_a_sign_of_money_may_stand_by_a_price_and_by_nothing_else() -> None:
    assert parse_quantity("€ 3", "money/kg") == 3 and parse_quantity("3 $", "money") == 3
    with pytest.raises(ValueError, match="not a number"):
        parse_quantity("€ 3", "kg")


def test_a_name_that_can_not_be_kept_is_told() -> None:
    found = json.loads(browser.reply(json.dumps({"answers": {}, "name": "n" * 70, "money": "thousands"})))
    text = json.dumps(found["problems"])
    assert "at most 60" in text and "at most 8" in text


# ---- the commands ----------------------------------------------------------------------------------------------


def test_a_plan_written_by_the_command_line_opens_in_the_page(tmp_path: Path) -> None:
    file = tmp_path / "yard.json"
    done = run("write", str(file), "homes=900", "--from", "larkhollow", "--name", "Hill yard", "--money", "Rs", "bay_width=5ft")
    assert done.returncode == 0 and "Written" in done.stdout, done.stderr
    found = json.loads(browser.reply(json.dumps({"file": file.read_text("utf-8"), "take": {"kind": "file"}})))
    assert found["plan"]["answers"] == {"homes": "900", "bay_width_m": "1.524"} and found["plan"]["name"] == "Hill yard"
    assert found["taken"]["text"] == file.read_text("utf-8")
    other = tmp_path / "other.json"
    assert run("write", str(other), "homes=800", "--on", str(file)).returncode == 0
    assert json.loads(other.read_text())["answers"] == {"homes": 800, "bay_width_m": 1.524}
    side = json.loads(run("compare", str(file), str(other), "--json").stdout)
    assert list(side["answers"]) == ["homes"] and side["plans"] == ["Hill yard", "Hill yard"]
    assert "| Homes served" in run("compare", str(file), str(other)).stdout


def test_links_and_codes_of_the_command_line(tmp_path: Path) -> None:
    import segno

    file, code = tmp_path / "yard.json", tmp_path / "code.svg"
    file.write_text(save_plan(Plan({"homes": 900}).evaluate()), "utf-8")
    done = run("link", str(file), "--page", "https://yard.test/plan/yard.html", "--qr", str(code))
    link = done.stdout.splitlines()[0]
    assert link == "https://yard.test/plan/yard.html#homes=900"
    packed = run("link", str(file), "--packed").stdout.strip()
    assert browser.open_link(packed.partition("#")[2]).evaluate().own == {"homes": 900}
    squares = segno.make_qr(link, error="m", boost_error=False).matrix
    drawn = ElementTree.parse(code).getroot()
    path = next(each for each in drawn if each.tag.endswith("path")).get("d")
    dark = {(int(x) + step - 4, int(y) - 4) for x, y, width in _runs(path) for step in range(int(width))}
    assert dark == {(x, y) for y, row in enumerate(squares) for x, square in enumerate(row) if square}


def _runs(path: str) -> list[tuple[str, str, str]]:
    import re

    return re.findall(r"M(\d+) (\d+)h(\d+)v1h-\3z", path)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["write", "{file}"], "--replace"), (["write", "{new}", "homes=x"], "‘x’"), (["write", "{new}", "homes"], "name=value"),
        (["write", "{new}", "--name", "n" * 61], "at most 60"), (["write", "{new}", "--on", "none.json"], "can't be read"),
        (["link", "none.json"], "can't be read"), (["link", "{file}", "--qr", "code.gif"], ".svg"),
        (["link", "{file}", "--page", "https://yard.test/" + "x" * 1300, "--qr", "code.svg"], "Copy the link"),
        (["compare", "{file}"], "Between 2 and 6"), (["export", "{file}", "--to", "x.doc"], ".xlsx"),
    ],
)  # fmt: skip
def test_bad_commands_are_told_in_one_line(arguments: list[str], words: str, tmp_path: Path) -> None:
    file = tmp_path / "yard.json"
    file.write_text(save_plan(Plan({}).evaluate()), "utf-8")
    done = run(*[each.format(file=file, new=tmp_path / "new.json") for each in arguments])
    assert done.returncode == 2 and len(done.stderr.splitlines()) == 1 and words in done.stderr
