"""The plan as a spreadsheet: a sheet for each calculator, with the formulas of the very computation that ran.

A live cell holds the formula of its step or result, with references to answers and steps. It is bound to conditions:
the path that the computation took must still hold, and no answer may have changed of those that only the handbook can
follow (choices, words, tables, blanks). A figure whose formula is not known is bound to every answer of its sheet
staying as it is. Where such a condition fails the cell says #N/A, so that no cell ever shows a figure that the handbook
would not give.
"""

from __future__ import annotations

import datetime
import io
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from calculators import catalogue
from calculators.cautions import ShownCaution
from calculators.declare import Answer, Output
from calculators.known import Known, KnownCount, Node, formula
from calculators.plan import Evaluated, Result, Standing, Stopped, example
from calculators.units import System, display_symbol, metric
from calculators.view.elements import h, text_of
from calculators.view.forms import cited_as, in_words
from calculators.view.report import ORIGINS
from calculators.view.results import full_citation, used_sources
from calculators.working import Step

LIBRARY = "xlsxwriter"
CREATED = datetime.datetime(2000, 1, 1)
"""The same plan gives the same bytes, so a file has no date of its own."""
LONGEST_FORMULA = 8000
"""A spreadsheet takes 8,192 signs in a cell."""
LONGEST_SHEET_NAME = 31
SAME_TO = "1E-9"
"""By how large a share a figure may differ from the computed one and still count as unchanged."""
HEADINGS = ("What", "Value", "Unit", "How it comes about", "Source, or as computed", "Mark")
WIDTHS = (34, 18, 9, 38, 26, 11)
LINE_POINTS = 14
SIGNS_PER_WIDTH = 0.9
"""Letters that fit a column for each of its units of width, at the size used here."""
MOST_PLACES = 9
VALUE = 1
NONE = "–"
LIVE, FIXED = "live", "fixed"
REPLACED, OUT_OF_RANGE, NO_FIGURE, CHANGED = "replaced", "out of range", "no figure", "changed"
NOT_A_DESIGN = "A planning aid: structure, electricity and drainage are to be designed and approved by licensed people."


class LibraryMissing(ImportError):
    """The library that writes spreadsheets is not there; the text says in one line what to install."""


@dataclass
class _Cell:
    """What stands in a cell: text, a number, or the formula that ``written`` gives once every cell has its place."""

    value: Any
    style: str = "text"
    written: Callable[[], str] | None = None
    over: int = 1
    """How many columns it takes."""


@dataclass
class _Ends:
    """Whether a sheet's guards are met, by the cells that say so."""

    settled: str = ""
    unchanged: str = ""
    conditions: tuple[str, ...] = ()


class _Sheet:
    """The rows of one sheet, and where its answers, steps and results stand."""

    def __init__(self, name: str, system: System) -> None:
        self.name = name
        self.system = system
        self.rows: list[list[_Cell | None]] = []
        self.places: dict[str, str] = {}
        self.limits: list[tuple[int, Answer]] = []
        self.live = self.fixed = self.frozen = 0

    def add(self, *cells: _Cell | None) -> int:
        self.rows.append(list(cells))
        return len(self.rows)

    def line(self, words: str, style: str = "text", written: Callable[[], str] | None = None) -> None:
        """Words over the whole width."""
        self.add(_Cell(words, style, written, len(WIDTHS)))

    def text(self, *words: str, style: str = "text") -> int:
        return self.add(*(_Cell(each, style) if each else None for each in words))

    def heading(self, words: str) -> None:
        self.rows.append([])
        self.text(words, style="heading")

    def address(self, column: int = VALUE) -> str:
        """The cell of the row that comes next."""
        return f"{chr(ord('A') + column)}{len(self.rows) + 1}"

    def symbol(self, key: str | None) -> str:
        """The symbol of a unit, with the plan's own word for money."""
        return display_symbol(key, self.system) if key else ""

    def elsewhere(self, place: str) -> str:
        """How another sheet names a cell of this one."""
        return "'" + self.name.replace("'", "''") + "'!" + self.places[place]


def workbook(evaluated: Evaluated) -> bytes:
    """The whole plan as an .xlsx file, figures in their declared units. Raises ``LibraryMissing``."""
    try:
        import xlsxwriter
    except ImportError:
        raise LibraryMissing(f"The library {LIBRARY} writes spreadsheets and is not installed: pip install {LIBRARY}") from None
    sheets: dict[str, _Sheet] = {}
    for calculator in catalogue.CALCULATORS:
        if calculator.on_request:
            continue  # a walk through a year of days is nothing that cells could follow
        sheets[calculator.key] = _chapter(evaluated.step(calculator.key), metric(evaluated.plan.shown), sheets)
    held = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    with xlsxwriter.Workbook(held, options) as book:
        book.set_properties({"title": "Plan of a composting yard", "created": CREATED})
        styles = _Styles(book)
        for sheet in (_read_me(evaluated, sheets), *sheets.values()):
            _write(book.add_worksheet(sheet.name), sheet, styles)
    return held.getvalue()


_EVERY = {"valign": "top", "font_size": 10}
_STYLES: Mapping[str, Mapping[str, Any]] = {
    "text": {"text_wrap": True},
    "title": {"bold": True, "font_size": 14, "text_wrap": True},
    "lead": {"bold": True, "text_wrap": True, "font_size": 11},
    "heading": {"bold": True, "top": 2, "font_size": 11},
    "head": {"bold": True, "bottom": 1, "text_wrap": True},
    "answer": {"border": 1, "bg_color": "#FFF6D6", "align": "left", "text_wrap": True},
    "live": {"align": "left"},
    "fixed": {"italic": True, "font_color": "#595959", "align": "left", "text_wrap": True},
}


class _Styles:
    """The formats of a workbook, each made once."""

    def __init__(self, book: Any) -> None:
        self.book = book
        self.made: dict[tuple[str, str], Any] = {}

    def of(self, cell: _Cell) -> Any:
        """The format of a cell. An answer shows every figure that was typed, a computed one as many as can be meant."""
        figures = "" if cell.style == "answer" else _figures(cell.value)
        key = (cell.style, figures)
        if key not in self.made:
            shown = {"num_format": figures} if figures else {}
            self.made[key] = self.book.add_format({**_EVERY, **_STYLES[cell.style], **shown})
        return self.made[key]


def _figures(value: Any) -> str:
    """The number format in which at least four figures of a value are seen; none for a whole number."""
    if not isinstance(value, float) or value == int(value):
        return ""
    places = 3 - math.floor(math.log10(abs(value)))
    return "" if places > MOST_PLACES else f"0.{'0' * max(places, 1)}"


def _lines(cell: _Cell, column: int) -> int:
    """Lines that the words of a cell need; spreadsheets do not all see to it themselves."""
    if not isinstance(cell.value, str) or "text_wrap" not in _STYLES[cell.style]:
        return 1
    return -(-len(cell.value) // int(sum(WIDTHS[column : column + cell.over]) * SIGNS_PER_WIDTH))


def _write(page: Any, sheet: _Sheet, styles: _Styles) -> None:
    for column, width in enumerate(WIDTHS):
        page.set_column(column, column, width)
    for row, cells in enumerate(sheet.rows):
        lines = 1
        for column, cell in enumerate(cells):
            if cell is not None:
                _write_cell(page, row, column, cell, styles.of(cell))
                lines = max(lines, _lines(cell, column))
        if lines > 1:
            page.set_row(row, LINE_POINTS * lines)
    for row, answer in sheet.limits:
        _limit(page, row, answer)
    page.set_portrait()
    page.set_paper(9)  # A4
    if sheet.frozen:
        page.freeze_panes(sheet.frozen, 0)
        page.repeat_rows(sheet.frozen - 1)
    page.fit_to_pages(1, 0)
    page.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.6)
    page.set_footer("&L&A&RPage &P of &N")


def _write_cell(page: Any, row: int, column: int, cell: _Cell, style: Any) -> None:
    if cell.over > 1:
        page.merge_range(row, column, row, column + cell.over - 1, "", style)
    if cell.written is not None:
        page.write_formula(row, column, "=" + cell.written(), style, cell.value)
    elif isinstance(cell.value, str):
        page.write_string(row, column, cell.value, style)
    else:
        page.write_number(row, column, cell.value, style)


def _limit(page: Any, row: int, answer: Answer) -> None:
    """Let the cell take only what the handbook takes."""
    kind = "integer" if answer.kind == "count" else "decimal"
    low, high = answer.low, answer.high
    if low is not None and high is not None:
        rule = {"criteria": "between", "minimum": low, "maximum": high}
    elif low is not None:
        rule = {"criteria": ">=", "value": low}
    elif high is not None:
        rule = {"criteria": "<=", "value": high}
    else:
        return
    said = "Outside what the handbook takes."
    page.data_validation(row, VALUE, row, VALUE, {"validate": kind, **rule, "error_message": said})


# ---- the first sheet ------------------------------------------------------------------------------------------


def _read_me(evaluated: Evaluated, sheets: Mapping[str, _Sheet]) -> _Sheet:
    sheet = _Sheet("Read me", metric(evaluated.plan.shown))
    start = example(evaluated.plan.example)["name"] if evaluated.plan.example else "the defaults"
    sheet.line(f"Plan of a composting yard: {evaluated.plan.title}", "title")
    sheet.line(f"Starts from {start}.", "lead")
    if evaluated.plan.about:
        sheet.line(evaluated.plan.about)
    sheet.line(NOT_A_DESIGN, "lead")
    sheet.heading("What this is")
    for words in (
        "Every result of the handbook for one yard: a sheet for each calculator, with its answers, its working and its "
        "results. Figures are in metric units.",
        "The formulas in the cells are those of the computation that ran, not written a second time. A change made here does "
        "not go back into the handbook.",
    ):
        sheet.line(words)
    sheet.heading("How cells are marked")
    for sample, style, words in (
        ("An answer", "answer", "In a box. You may change it: what follows from it changes, on later sheets too."),
        ("Live", "live", "A formula. It goes along with the answers."),
        ("Fixed", "fixed", "Grey and slanted. As computed by the handbook; it does not go along."),
    ):
        sheet.add(_Cell(sample, style), _Cell(words, over=len(WIDTHS) - 1))
    sheet.heading("When a cell says #N/A")
    for words in (
        "A formula holds for the way that the computation took. Where an answer is changed so far that the handbook would go "
        "another way, or beyond what it takes, the cell says #N/A. The conditions stand at the end of each sheet, under "
        "Checks. Where one fails, lines of working from before it may still show figures; results do not.",
        "A fixed figure says #N/A as soon as any number among the answers of its sheet is changed or follows a changed one; "
        "so does what is computed from it. Choices, words, tables and what was not given are fixed too: replace one of them "
        "and the figures of that sheet say #N/A. Ask the handbook then.",
        "Sentences, verdicts, cautions and remarks are words as computed: they never change here. The line under a sheet's "
        "answer says whether they still apply.",
    ):
        sheet.line(words)
    sheet.heading("Answers of your own")
    if not evaluated.own:
        sheet.line("None yet.")
    for name, value in evaluated.own.items():
        answer = catalogue.first_asked(name)
        sheet.line(f"{answer.label}: {in_words(answer, value, sheet.system)}")
    if evaluated.problems:
        sheet.heading("Problems")
        for problem in evaluated.problems:
            sheet.line(f"{problem.label}: {problem.message}")
    sheet.heading("Sheets")
    sheet.text("Sheet", "Cells", style="head")
    for each in sheets.values():
        sheet.text(each.name, f"{each.live} live, {each.fixed} fixed")
    return sheet


# ---- a calculator's sheet -------------------------------------------------------------------------------------


def _chapter(result: Result | Stopped, system: System, before: Mapping[str, _Sheet]) -> _Sheet:
    sheet = _Sheet(_sheet_name(result.calculator.title), system)
    sheet.text(result.calculator.title, style="title")
    if isinstance(result, Stopped):
        sheet.line(f"No answer: {result.message}", "lead")
        sheet.text(*HEADINGS, style="head")
        _answers(sheet, result.standings, before)
        return sheet
    ends = _Ends()
    sheet.line(result.sentence, "lead")
    sheet.line(_AS_COMPUTED, "text", lambda: f'IF({ends.unchanged},"{_AS_COMPUTED}","{_NO_LONGER}")')
    sheet.frozen = sheet.text(*HEADINGS, style="head")
    _answers(sheet, result.standings, before)
    first_check, last_check = sheet.places.get("first check"), sheet.places.get("last check")
    _working(sheet, result, ends)
    _results(sheet, result, ends)
    _checks(sheet, result, ends, f"{first_check}:{last_check}")
    _words(sheet, "Remarks", result.notices)
    _words(sheet, "Cautions", (words for caution in result.cautions for words in _caution(caution)))
    _words(sheet, "Sources", (text_of(h("p", full_citation(source))) for source in used_sources(result)))
    return sheet


_AS_COMPUTED = "As computed by the handbook: every answer of this sheet is unchanged."
_NO_LONGER = "Answers have been changed: the sentence above, the cautions and grey cells are no longer of this yard."


def _sheet_name(title: str) -> str:
    return "".join(" " if sign in "[]:*?/\\" else sign for sign in title)[:LONGEST_SHEET_NAME]


def _answers(sheet: _Sheet, standings: Mapping[str, Standing], before: Mapping[str, _Sheet]) -> None:
    sheet.heading("Answers")
    sheet.places["first check"] = sheet.address(5)
    for name, standing in standings.items():
        answer, value = standing.answer, standing.value
        origin = ORIGINS[standing.origin]
        source = _giver(standing, before)
        if answer.kind == "series":
            sheet.text(answer.label, "", "", origin)
            for index, (row, item) in enumerate(zip(answer.rows, value, strict=True)):
                _number_answer(sheet, f"answer:{name}:{index}", f"   {row}", item, answer, "", source)
        elif answer.kind == "table":
            _table_answer(sheet, answer, value, origin)
        elif value is not None and answer.kind in ("number", "count"):
            _number_answer(sheet, f"answer:{name}", answer.label, value, answer, origin, source)
        else:
            words = in_words(answer, value, sheet.system)
            _word_answer(sheet, f"answer:{name}", answer.label, words, origin, source)
    sheet.places["last check"] = f"F{len(sheet.rows)}"


def _giver(standing: Standing, before: Mapping[str, _Sheet]) -> _Sheet | None:
    """The sheet from which an answer comes: one that asked it earlier, else the one that it follows.

    So an answer that is asked twice stands in one cell that may be changed, as it is one answer in the handbook.
    """
    name = standing.answer.name
    for sheet in before.values():
        if f"answer:{name}" in sheet.places or f"answer:{name}:0" in sheet.places:
            return sheet
    return before.get(standing.answer.follows or "") if standing.origin == "followed" else None


def _kept(source: _Sheet | None, place: str) -> str | None:
    """The place of an answer's figure in the sheet that gives it: asked there too, or a result."""
    places = (place, place.replace("answer:", "result:", 1))
    return None if source is None else next((each for each in places if each in source.places), None)


def _linked(source: _Sheet | None, place: str) -> Callable[[], str] | None:
    kept = _kept(source, place)
    if source is None or kept is None:
        return None
    found = source.elsewhere(kept)
    return lambda: found


def _said(source: _Sheet | None, place: str) -> str:
    """The words of the cell from which an answer comes: a result says them in its own way, and so must what follows it."""
    kept = _kept(source, place)
    cell = source.rows[int(source.places[kept][1:]) - 1][VALUE] if source is not None and kept else None
    return cell.value if cell is not None and isinstance(cell.value, str) else ""


def _number_answer(sheet: _Sheet, place: str, label: str, value: float, answer: Answer, origin: str,
                   source: _Sheet | None) -> None:  # fmt: skip
    here, computed = sheet.address(), sheet.address(4)
    sheet.places[place] = here
    link = _linked(source, place)
    outside = [f"{here}<{answer.low!r}"] if answer.low is not None else []
    outside += [f"{here}>{answer.high!r}"] if answer.high is not None else []
    outside += [f"{here}<>INT({here})"] if answer.kind == "count" else []
    differs = f'IF(ABS({here}-{computed})>{SAME_TO}*ABS({computed}),"{CHANGED}","")'
    if outside:
        differs = f'IF(OR({",".join(outside)}),"{OUT_OF_RANGE}",{differs})'
    check = f'IF(ISNUMBER({here}),{differs},"{NO_FIGURE}")'
    if link is None:
        sheet.limits.append((len(sheet.rows), answer))
    sheet.add(
        _Cell(label), _Cell(value, "live" if link else "answer", link), _Cell(sheet.symbol(answer.unit)), _Cell(origin),
        _Cell(value, "fixed"), _Cell("", "text", lambda: check),
    )  # fmt: skip


def _word_answer(sheet: _Sheet, place: str, label: str, words: str, origin: str, source: _Sheet | None) -> None:
    here, computed = sheet.address(), sheet.address(4)
    sheet.places[place] = here
    link = _linked(source, place)
    words = _said(source, place) or words
    sheet.add(
        _Cell(label), _Cell(words, "fixed", link), None, _Cell(origin), _Cell(words, "fixed"),
        _Cell("", "text", lambda: f'IF({here}={computed},"","{REPLACED}")'),
    )  # fmt: skip


def _table_answer(sheet: _Sheet, answer: Answer, rows: Sequence[Sequence[Any]], origin: str) -> None:
    """Each cell of the table on a line of its own, so that each can be watched."""
    _word_answer(sheet, f"answer:{answer.name}", answer.label, in_words(answer, rows, sheet.system), origin, None)
    for number, row in enumerate(rows, start=1):
        for column, item in zip(answer.columns, row, strict=True):
            _word_answer(sheet, f"answer:{answer.name}:{number}:{column.name}", f"   {number}. {column.label}",
                         in_words(column, item, sheet.system), "", None)  # fmt: skip


def _working(sheet: _Sheet, result: Result, ends: _Ends) -> None:
    sheet.heading("Working")
    for index, step in enumerate(result.steps):
        here = sheet.address()
        how = ". ".join(part for part in (step.words, step.note) if part)
        source = text_of(h("p", cited_as(step.source))) if step.source is not None else ""
        symbol = "" if isinstance(step.value, str) else sheet.symbol(step.unit)
        figure, mark = _figure(sheet, step.value, step.node, step, ends)
        sheet.add(_Cell(step.label), figure, _Cell(symbol), _Cell(how), _Cell(source), mark)
        sheet.places[f"step:{index}"] = here


def _figure(sheet: _Sheet, value: Any, node: Node, at: Step, ends: _Ends) -> tuple[_Cell, _Cell]:
    """The cell of a figure that was computed, and its mark: live if its formula is known, else bound to all answers."""
    if value is None or isinstance(value, str):
        return _Cell(NONE if value is None else value, "fixed"), _Cell("", "text")
    expression = None if at.opaque else formula(node, sheet.places.get)
    checks = [formula(check, sheet.places.get) for check in at.checks]
    if expression is None or None in checks or len(expression) + sum(len(each or "") for each in checks) > LONGEST_FORMULA:
        sheet.fixed += 1
        return _Cell(value, "fixed", lambda: f"IF({ends.unchanged},{value!r},NA())".upper()), _Cell(FIXED, "fixed")
    sheet.live += 1

    def written() -> str:
        guard = ends.conditions[at.path - 1] if at.path else ends.settled
        held = ",".join([guard, *(each or "" for each in checks)])
        return f"IF(AND({held}),{expression},NA())" if checks else f"IF({guard},{expression},NA())"

    return _Cell(value, "live", written), _Cell(LIVE)


def _results(sheet: _Sheet, result: Result, ends: _Ends) -> None:
    sheet.heading("Results")
    at_end = Step("", "", "", 0.0, "", path=len(result.memory.conditions), opaque=result.memory.opaque)
    for name, output in result.calculator.results.items():
        value, node = getattr(result.outputs, name), _nodes(getattr(result.knowing, name))
        if output.kind == "series":
            sheet.text(output.label, "", "", output.help)
            for index, (row, item) in enumerate(zip(output.rows, value, strict=True)):
                _result(sheet, f"result:{name}:{index}", f"   {row}", item, node and node[index], output, "", at_end, ends)
        elif output.kind != "table":
            _result(sheet, f"result:{name}", output.label, value, node, output, output.help, at_end, ends)
    for name, output in result.calculator.results.items():
        if output.kind == "table":
            nodes = _nodes(getattr(result.knowing, name))
            _result_table(sheet, output, getattr(result.outputs, name), nodes, at_end, ends)


def _nodes(value: Any) -> Any:
    """How each number came about, in the shape of the value; ``None`` for words and where it is not known."""
    if isinstance(value, tuple):
        return tuple(_nodes(item) for item in value)
    return value.node if isinstance(value, (Known, KnownCount)) else None


def _result(sheet: _Sheet, place: str, label: str, value: Any, node: Node, output: Output, hint: str, at: Step,
            ends: _Ends) -> None:  # fmt: skip
    sheet.places[place] = sheet.address()
    if isinstance(value, str):
        sheet.add(_Cell(label), _Cell(value, "fixed", over=len(WIDTHS) - 1))
        return
    figure, mark = _figure(sheet, value, node, at, ends)
    symbol = sheet.symbol(output.unit) if output.kind != "text" else ""
    sheet.add(_Cell(label), figure, _Cell(symbol), _Cell(hint), None, mark)


def _result_table(sheet: _Sheet, output: Output, rows: Sequence[Sequence[Any]], nodes: Any, at: Step, ends: _Ends) -> None:
    sheet.heading(output.label)
    symbols = [sheet.symbol(column.unit) for column in output.columns]
    sheet.text(*(f"{column.label}, {symbol}" if symbol else column.label
                 for column, symbol in zip(output.columns, symbols, strict=True)), style="head")  # fmt: skip
    for row, known in zip(rows, nodes or (), strict=True):
        sheet.add(*(_figure(sheet, item, node, at, ends)[0] for item, node in zip(row, known, strict=True)))
    if not rows:
        sheet.text("Nothing to show.")


def _checks(sheet: _Sheet, result: Result, ends: _Ends, marks: str) -> None:
    """The conditions, each holding only where those before it hold, so that a cell needs to look at one."""
    sheet.heading("Checks")
    ends.settled = sheet.address()
    counted = "+".join(f'COUNTIF({marks},"{mark}")' for mark in (REPLACED, OUT_OF_RANGE, NO_FIGURE))
    sheet.add(_Cell("What only the handbook can follow is as it was"), _Cell(True, "live", lambda: f"{counted}=0"))
    ends.unchanged = sheet.address()
    sheet.add(_Cell("Every answer is as computed"),
              _Cell(True, "live", lambda: f'AND({ends.settled},COUNTIF({marks},"{CHANGED}")=0)'))  # fmt: skip
    last = ends.settled
    places = []
    for number, condition in enumerate(result.memory.conditions, start=1):
        places.append(sheet.address())
        test = formula(condition, sheet.places.get) or ends.unchanged
        written = f"AND({last},{test})"
        sheet.add(_Cell(f"The way taken, {number}"), _Cell(True, "live", lambda written=written: written))
        last = places[-1]
    ends.conditions = tuple(places)


def _caution(caution: ShownCaution) -> list[str]:
    cited = "; ".join(text_of(h("p", cited_as(source))) for source in caution.sources)
    return [" ".join([f"{caution.hazard_label}: {caution.title}.", *caution.because, caution.text, f"Source: {cited.rstrip('.')}."])]


def _words(sheet: _Sheet, heading: str, lines: Iterable[str]) -> None:
    listed = list(lines)
    if listed:
        sheet.heading(heading)
    for words in listed:
        sheet.line(words)
