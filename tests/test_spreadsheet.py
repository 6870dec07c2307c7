"""The plan as a spreadsheet: read back, worked out again by engines that know nothing of it, and held against Python
when answers are changed: a cell shows the handbook's figure or #N/A, never another."""

from __future__ import annotations

import io
import math
import random
import sys
from collections.abc import Iterator
from functools import cache
from typing import Any

import openpyxl
import pytest
from tests.sheet_engine import Formula, Sheet, SheetError
from tests.vectors import answers_for, value_for

from calculators import catalogue
from calculators.doors.spreadsheet import LibraryMissing, workbook
from calculators.plan import Evaluated, Plan, Result
from calculators.view.report import ORIGINS

IN_CELLS = [calculator for calculator in catalogue.CALCULATORS if not calculator.on_request]
HOSTILE = "=HYPERLINK(1,2)"


@cache
def opened(data: bytes, values: bool = False) -> Any:
    return openpyxl.load_workbook(io.BytesIO(data), data_only=values)


def as_sheet(book: Any) -> Sheet:
    return Sheet({
        (page.title, cell.coordinate): Formula(cell.value[1:]) if cell.data_type == "f" else cell.value
        for page in book for row in page.iter_rows() for cell in row if cell.value is not None
    })  # fmt: skip


def part(page: Any, heading: str) -> Iterator[tuple[str, int]]:
    """Labels and rows under a heading, a row of a series as 'heading of the series / row'."""
    inside, series = False, ""
    for (cell,) in page.iter_rows(min_col=1, max_col=1):
        words = cell.value
        if words == heading:
            inside = True
        elif inside and words is None:
            return
        elif inside and words.startswith("   "):
            yield f"{series} / {words.strip()}", cell.row
        elif inside:
            series = words
            if page.cell(cell.row, 2).value is not None:
                yield words, cell.row


def figures(evaluated: Evaluated, key: str) -> dict[str, Any]:
    """Every single figure of a result by the label of its row."""
    result = evaluated.step(key)
    if not isinstance(result, Result):
        return {}
    found = {}
    for name, output in result.calculator.results.items():
        value = getattr(result.outputs, name)
        if output.kind in ("number", "count"):
            found[output.label] = value
        elif output.kind == "series":
            found |= {f"{output.label} / {row}": item for row, item in zip(output.rows, value, strict=True)}
    return found


def steps_of(evaluated: Evaluated, key: str) -> dict[str, Any]:
    result = evaluated.step(key)
    return {step.label: step.value for step in result.steps} if isinstance(result, Result) else {}


@pytest.fixture(scope="module")
def larkhollow() -> tuple[Evaluated, bytes]:
    evaluated = Plan({}).evaluate()
    return evaluated, workbook(evaluated)


# ---- read back ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("example", ["larkhollow", "pennywhistle", None])
def test_every_figure_of_the_plan_is_in_the_file(example: str | None) -> None:
    evaluated = Plan({}, example).evaluate()
    data = workbook(evaluated)
    book = opened(data, values=True)
    assert book.sheetnames == ["Read me", *(calculator.title for calculator in IN_CELLS)]
    for calculator in IN_CELLS:
        page = book[calculator.title]
        rows = dict(part(page, "Results"))
        for label, value in figures(evaluated, calculator.key).items():
            shown = page.cell(rows[label], 2).value
            assert shown == ("–" if value is None else pytest.approx(value, rel=1e-12, abs=1e-300)), label
        assert page.cell(2, 1).value == evaluated.results[calculator.key].sentence
        steps = dict(part(page, "Working"))
        for label, value in steps_of(evaluated, calculator.key).items():
            assert page.cell(steps[label], 2).value == (value if isinstance(value, str) else pytest.approx(value, rel=1e-12))
        answers = dict(part(page, "Answers"))
        for standing in evaluated.results[calculator.key].standings.values():
            if standing.answer.kind in ("number", "count") and standing.value is not None:
                row = answers[standing.answer.label]
                assert page.cell(row, 2).value == standing.value and page.cell(row, 4).value == ORIGINS[standing.origin]


def test_the_same_plan_gives_the_same_bytes(larkhollow: tuple[Evaluated, bytes]) -> None:
    assert workbook(Plan({}).evaluate()) == larkhollow[1]
    assert workbook(Plan({"homes": 900}).evaluate()) != larkhollow[1]


@pytest.mark.parametrize("lead", ["=", "+", "-", "@", '="', "{=", "\t="])
def test_what_a_user_typed_stays_text(lead: str) -> None:
    name = f"{lead}1+CMD({HOSTILE})"
    own = {"own_materials": [[name, 60, 1.2, 30, 400, 80]], "kitchen_material": name.strip(), "nothing_known": name}
    evaluated = Plan(own).evaluate()
    assert "own_materials" in evaluated.own
    book = opened(workbook(evaluated))
    seen = 0
    for page in book:
        for row in page.iter_rows():
            for cell in row:
                if isinstance(cell.value, str) and "CMD(" in cell.value:
                    assert cell.data_type == "s", cell.coordinate
                    seen += 1
    assert seen >= 4


def test_print_and_header(larkhollow: tuple[Evaluated, bytes]) -> None:
    book = opened(larkhollow[1])
    for page in book:
        assert page.page_setup.paperSize == 9 and page.page_setup.orientation == "portrait"
        assert page.sheet_properties.pageSetUpPr.fitToPage and page.page_setup.fitToHeight == 0
        assert page.page_setup.fitToWidth in (1, None)  # 1 is what a reader takes where it is not said
        assert page.title == "Read me" or page.freeze_panes == "A5"
    words = " ".join(str(cell.value) for row in book["Read me"].iter_rows() for cell in row if cell.value)
    assert "designed and approved by licensed people" in words and "Larkhollow ward" in words and "#N/A" in words


def test_fixed_cells_are_marked_and_answers_stand_out(larkhollow: tuple[Evaluated, bytes]) -> None:
    marks = {"live": 0, "fixed": 0}
    for page in opened(larkhollow[1]):
        for heading in ("Working", "Results"):
            for _, row in part(page, heading):
                mark, cell = page.cell(row, 6).value, page.cell(row, 2)
                if mark in marks:
                    marks[mark] += 1
                    assert cell.font.italic == (mark == "fixed")
                else:
                    assert cell.data_type == "s" and cell.font.italic
    assert marks["live"] > 2 * marks["fixed"] > 0  # what is measured on the plan of the shed stands fixed
    assert opened(larkhollow[1])["Arrivals"]["B7"].border.left.style == "thin"


def test_a_calculator_that_stopped_still_has_its_sheet() -> None:
    evaluated = Plan({"bay_width_m": 0.6, "wall_clearance_m": 0.3}).evaluate()
    assert "bays" in evaluated.stopped
    page = opened(workbook(evaluated))["Bays"]
    assert page["A2"].value.startswith("No answer: ") and dict(part(page, "Answers"))["Width of a bay, inside"]


def test_without_the_library_one_line_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "xlsxwriter", None)
    with pytest.raises(LibraryMissing, match="install") as caught:
        workbook(Plan({}).evaluate())
    assert "\n" not in str(caught.value) and "xlsxwriter" in str(caught.value)


# ---- worked out again -----------------------------------------------------------------------------------------


def same(found: Any, wanted: Any, share: float = 1e-9) -> bool:
    if isinstance(wanted, (int, float)) and isinstance(found, (int, float)):
        return math.isclose(found, wanted, rel_tol=share, abs_tol=1e-12)
    return bool((found or "") == (wanted or ""))


@pytest.mark.parametrize("example", ["larkhollow", "pennywhistle"])
def test_every_formula_worked_out_again_gives_its_cached_value(example: str) -> None:
    data = workbook(Plan({}, example).evaluate())
    sheet, cached = as_sheet(opened(data)), opened(data, values=True)
    assert len(sheet.formulas) > 500
    for page, address in sheet.formulas:
        assert same(sheet.value(page, address), cached[page][address].value), (page, address)


CHANGES: tuple[dict[str, float], ...] = (
    {"homes": 900, "bay_width_m": 1.7, "first_stage_days": 50, "shift_hours": 7.5, "tub_fill_percent": 80},
    {"target_carbon_to_nitrogen": 40, "heap_height_m": 1.1, "hand_distance_cm": 45, "absence_percent": 20},
)


class Rows:
    """Where the figures of a file stand, found once."""

    def __init__(self, book: Any) -> None:
        self.found = {
            (calculator.key, heading): [
                (label, f"B{row}", book[calculator.title].cell(row, 6).value)
                for label, row in part(book[calculator.title], heading)
            ]
            for calculator in IN_CELLS for heading in ("Answers", "Working", "Results")
        }  # fmt: skip

    def changed(self, changes: dict[str, Any]) -> dict[tuple[str, str], Any]:
        """The cells to change: an answer's where it is first asked; on later sheets it follows that one."""
        found: dict[tuple[str, str], Any] = {}
        for name, value in changes.items():
            calculator, answer = next(
                (each, asked) for each, asked in catalogue.every_answer() if asked.name == name and each in IN_CELLS
            )
            places = {label: place for label, place, _ in self.found[calculator.key, "Answers"]}
            if answer.kind == "series":
                for row, item in zip(answer.rows, value, strict=True):
                    found[calculator.title, places[f"{answer.label} / {row}"]] = item
            else:
                found[calculator.title, places[answer.label]] = value
        return found

    def held_against(self, after: Evaluated, value: Any) -> tuple[int, int]:
        """Every figure of working and results held against Python; how many were figures and how many said #N/A.

        Where Python stops without a result, no result may be shown; lines of working before the stop may.
        """
        right = silent = 0
        for calculator in IN_CELLS:
            for heading, figures_of in (("Working", steps_of), ("Results", figures)):
                wanted = figures_of(after, calculator.key)
                for label, place, mark in self.found[calculator.key, heading]:
                    if mark not in ("live", "fixed") or (heading == "Working" and calculator.key in after.stopped):
                        continue
                    found = value(calculator.title, place)
                    if isinstance(found, (int, float)):
                        assert wanted.get(label) is not None, (calculator.key, label, found)
                        assert same(found, wanted[label]), (calculator.key, label, found, wanted[label])
                        right += 1
                    else:
                        silent += 1
        return right, silent


def test_another_engine_agrees_before_and_after_changes(larkhollow: tuple[Evaluated, bytes], tmp_path: Any) -> None:
    """The library ``formulas`` (a public spreadsheet engine) works the file out, as written and with changed answers."""
    import formulas  # takes a second to load, and only this test needs it

    data = larkhollow[1]
    path = tmp_path / "plan.xlsx"
    path.write_bytes(data)
    model = formulas.ExcelModel().loads(str(path)).finish()

    def named(page: str, address: str) -> str:
        return f"'[plan.xlsx]{page.upper()}'!{address}"

    def worked_out(changes: dict[tuple[str, str], Any]) -> Any:
        solution = model.calculate(inputs={named(*place): item for place, item in changes.items()})

        def value(page: str, address: str) -> Any:
            found = solution[named(page, address)].value[0, 0]
            return float(found) if isinstance(found, (int, float)) else found

        return value

    book, cached = opened(data), opened(data, values=True)
    rows, own = Rows(book), as_sheet(book)
    before = worked_out({})
    right, silent = rows.held_against(larkhollow[0], before)
    assert silent == 0 and right > 130
    for page, address in own.formulas:
        assert same(before(page, address), cached[page][address].value), (page, address)
    counted = []
    for changes in CHANGES:
        cells = rows.changed(changes)
        after = worked_out(cells)
        counted.append(rows.held_against(Plan(changes).evaluate(), after))
        mine = own.change(cells)
        for page, address in own.formulas:
            if not isinstance(mine.value(page, address), SheetError):
                assert same(after(page, address), mine.value(page, address)), (page, address)
    assert counted[0][0] > counted[0][1], counted  # what is measured on the plan of the shed stands fixed, and what is ordered by it


@pytest.mark.parametrize(
    ("title", "answer", "value", "silent"),
    [
        ("Work safety", "Hands in front of the ankles", 20, "Hand distance multiplier"),  # a branch within the formula
        ("Bays", "Width of a bay, inside", 0.3, "Bays to build"), ("Bays", "Width of a bay, inside", 0.3, "Length of a bay"),
        ("Bays", "Width of a bay, inside", 4.1, "Length of a bay"), ("Arrivals", "Homes served", 900.5, "Kept for composting"),
        ("Bays", "Width of a bay, inside", "wide", "Length of a bay"), ("Bays", "Width of a bay, inside", None, "Length of a bay"),
        ("Bays", "Width of a bay, inside", 1.6, "Bays to build"),  # fixed: from the walk through a year
        ("Arrivals", "Homes served", 900, "Busiest day at the gate"), ("Mix", "Bulking ingredient", "Straw", "Bulking"),
        ("Mix", "Other ingredients", "1 row", "Bulking"), ("Mix", "C:N wanted", 60, "Bulking"),  # dry leaves have C:N 54
        ("Arrivals", "Kitchen and market waste in the container", 40, "Volume at the gate"),  # 50 is the least
        ("Bays", "Shrunk heaps are merged for curing", "no", "Heaps standing in curing"),
    ],
)  # fmt: skip
def test_what_only_the_handbook_can_follow_says_so(
    larkhollow: tuple[Evaluated, bytes], title: str, answer: str, value: Any, silent: str
) -> None:
    """One answer changed: the cell had a figure before, and says #N/A after."""
    book = opened(larkhollow[1])
    page, sheet = book[title], as_sheet(book)
    row = dict(part(page, "Answers"))[answer]
    found = {**dict(part(page, "Working")), **dict(part(page, "Results"))}[silent]
    changed = sheet.change({(title, f"B{row}"): value})
    assert isinstance(sheet.value(title, f"B{found}"), float) and isinstance(changed.value(title, f"B{found}"), SheetError)
    assert str(changed.value(title, "A3")).startswith("Answers have been changed")


def numbers_to_change(evaluated: Evaluated, chance: random.Random, often: float) -> dict[str, Any]:
    """New values for some of the numbers that have one."""
    steps = [each for each in evaluated.steps if each.calculator in IN_CELLS]
    held = {name for each in steps for name, standing in each.standings.items() if standing.value is not None}
    drawn = {
        answer.name: value_for(answer, chance)
        for _, answer in catalogue.every_answer()
        if answer.kind in ("number", "count", "series") and answer.name in held and chance.random() < often
    }
    return {name: value for name, value in drawn.items() if value is not None}


def test_changed_answers_give_the_handbooks_figures_or_none() -> None:
    """From many yards, with few or many answers changed at random within what the handbook takes."""
    chance = random.Random("changed answers")
    right = silent = 0
    for turn in range(YARDS):
        own: dict[str, Any] = {}
        if turn >= 2:
            for calculator in IN_CELLS:
                if chance.random() < 0.5:
                    own |= answers_for(calculator, chance)
        example = chance.choice(["larkhollow", "pennywhistle", None])
        evaluated = Plan(own, example).evaluate()
        book = opened(workbook(evaluated))
        rows, sheet = Rows(book), as_sheet(book)
        for _ in range(CHANGES_OF_A_YARD):
            changes = numbers_to_change(evaluated, chance, chance.choice([0.01, 0.02, 0.1, 0.4]))
            after = Plan({**evaluated.own, **changes}, example).evaluate()
            counted = rows.held_against(after, sheet.change(rows.changed(changes)).value)
            right, silent = right + counted[0], silent + counted[1]
    assert right > 20 * YARDS * CHANGES_OF_A_YARD and silent > YARDS * CHANGES_OF_A_YARD, (right, silent)


YARDS, CHANGES_OF_A_YARD = 5, 4
