"""Plans side by side: a table of the answers that differ and of the results that differ, the main ones first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from calculators.entries import in_link
from calculators.plan import EXAMPLES, Evaluated, NotAsked, Standing, Stopped, example
from calculators.variants import MOST_PLANS, AnswerRow, Differences, FigureRow, compare
from calculators.view import page
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
    head = h("tr", h("td"), [h("th", name, scope="col", class_="words") for name in names])
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


def yards_block(evaluated: Evaluated, others: Sequence[Evaluated], links: Mapping[str, str]) -> Element:
    """The yards that this device holds, what can be done with each, and a comparison (of the examples until it holds two).

    The page makes a row of the pattern for each yard.
    """
    pattern = h(
        "template",
        h("li", h("p", h("label", h("input", type="checkbox", data_compare=True), " ", h("strong", "", data_yard_name=True)), " ",
                  h("span", "", data_yard_about=True, class_="hint")),
          h("p", h("button", "Open", type="button", data_yard_do="open"),
            h("button", "Copy as a variant", type="button", data_yard_do="copy"),
            h("button", "Rename", type="button", data_yard_do="rename"),
            h("button", "Save to a file", type="button", data_yard_do="save"),
            h("button", "Remove", type="button", class_="quiet", data_yard_do="remove"), class_="tool-buttons"),
          class_="yard-kept"),
    )  # fmt: skip
    starts = [h("button", f"From {example(name)['name']}", type="button", data_new_yard=name) for name in EXAMPLES]
    return h(
        "section",
        page.live_state(),
        h("p", "", class_="tool-said", data_said=True, role="status"),
        h("div", data_problems=True),
        h("div", pattern, h("ul", class_="yards-kept", data_yards=True),
          h("p", "No yard is kept on this device yet. Change an answer on any page, or begin one here.", data_no_yards=True)),
        h("p", "Begin a yard", class_="part-title"),
        h("p", page.with_pages(h("a", "From five questions", href="%page:start%"), links), starts,
          h("button", "Empty, defaults only", type="button", data_new_yard="nothing"),
          h("label", "Open a file", for_="plan-file", class_="file-label"),
          h("input", type="file", id="plan-file", accept=".json,application/json", class_="file-entry"), class_="tool-buttons"),
        h("p", "Side by side", class_="part-title", id="side-by-side"),
        h("p", f"Tick two to {MOST_PLANS} yards above. Until then the two examples stand here.", class_="hint"),
        h("div", compared(compare([evaluated, *others])), data_part="compare"),
        class_="calculator", data_calculator="yards", data_own_script=True, data_base=links["yard"].removesuffix("yard.html"),
        aria_label="Yards on this device",
    )  # fmt: skip
