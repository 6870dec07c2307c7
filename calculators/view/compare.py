"""Plans side by side: a table of the answers that differ and of the results that differ, the main ones first."""

from __future__ import annotations

from typing import Any

from calculators.entries import in_link
from calculators.plan import Evaluated, NotAsked, Standing, Stopped
from calculators.variants import AnswerRow, Differences, FigureRow
from calculators.view.elements import Element, h
from calculators.view.forms import in_words
from calculators.view.results import figure_words

ORIGINS = {"yours": "", "guess": "first guess", "example": "example", "followed": "follows", "default": "default"}


def titles(plans: tuple[Evaluated, ...]) -> list[str]:
    """The names of the plans, numbered where two are called alike."""
    names = [plan.plan.title for plan in plans]
    return [f"{name} ({names[: index + 1].count(name)})" if names.count(name) > 1 else name
            for index, name in enumerate(names)]  # fmt: skip


def _value(standing: Standing, plan: Evaluated) -> Element:
    words = (
        in_link(standing.answer, standing.value).replace(";", "; ")
        if standing.answer.kind == "table" and standing.value
        else in_words(standing.answer, standing.value, plan.plan.shown)
    )
    origin = ORIGINS[standing.origin]
    return h("td", words, h("span", f" {origin}", class_="hint") if origin else None, class_="words")


def _table(caption: str, names: list[str], rows: list[Any]) -> Element:
    head = h("tr", h("th", "", scope="col"), [h("th", name, scope="col", class_="words") for name in names])
    return h(
        "div",
        h("table", h("caption", caption), h("thead", head), h("tbody", rows)),
        class_="table-frame", tabindex="0", role="region", aria_label=caption,
    )  # fmt: skip


def _answer_row(row: AnswerRow, plans: tuple[Evaluated, ...]) -> Element:
    cells = [_value(standing, plan) for standing, plan in zip(row.standings, plans, strict=True)]
    return h("tr", h("th", row.answer.label, h("span", f" {row.calculator.title}", class_="hint"), scope="row"), cells)


def _figure_row(row: FigureRow, plans: tuple[Evaluated, ...]) -> Element:
    words = [figure_words(row.output, value, plan.plan.shown) for value, plan in zip(row.values, plans, strict=True)]
    text = row.output.kind == "text"
    return h("tr", h("th", row.output.label, h("span", f" {row.calculator.title}", class_="hint"), scope="row"),
             [h("td", word, class_="words" if text else None) for word in words])  # fmt: skip


def _no_result(plans: tuple[Evaluated, ...], names: list[str]) -> list[Element]:
    """Why a plan has no result at a step: an empty cell must not pass for a nought."""
    return [
        h("li", f"{name}, {part.calculator.title}: {part.message}")
        for plan, name in zip(plans, names, strict=True)
        for part in plan.steps
        if isinstance(part, Stopped) and not isinstance(part, NotAsked)
    ]


def compared(found: Differences) -> list[Element]:
    """What differs, for reading: answers, main results, and the rest folded away."""
    names = titles(found.plans)
    main = [row for row in found.figures if row.output.key_figure]
    rest = [row for row in found.figures if not row.output.key_figure]
    stopped = _no_result(found.plans, names)
    made: list[Element] = []
    if stopped:
        made.append(h("div", h("p", h("strong", "Some have no result")), h("ul", stopped), class_="problems"))
    if not found.answers and not found.figures:
        return [*made, h("p", "These plans have the same answers and the same results.")]
    if found.answers:
        made.append(_table("Answers that differ", names, [_answer_row(row, found.plans) for row in found.answers]))
    made.append(h("p", f"{found.same_answers} answers are the same in all.", class_="hint"))
    if main:
        made.append(_table("Main results that differ", names, [_figure_row(row, found.plans) for row in main]))
    if rest:
        table = _table("Other results that differ", names, [_figure_row(row, found.plans) for row in rest])
        made.append(h("details", h("summary", f"Other results that differ ({len(rest)})"), table, class_="fold",
                      data_keep="compare-rest"))  # fmt: skip
    made.append(h("p", f"{found.same_figures} results are the same in all.", class_="hint"))
    return made
