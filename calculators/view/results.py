"""What a calculator gave, for reading: the answer in a sentence, key figures, cautions, charts, tables, working."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from calculators.cautions import ShownCaution
from calculators.declare import Output
from calculators.plan import NotAsked, Result, Stopped
from calculators.reference import Source
from calculators.units import convert, display_symbol, display_unit, metric, show, show_number
from calculators.view import charts, drawings
from calculators.view.elements import Element, h
from calculators.view.forms import cited_as, in_words, status_mark
from calculators.working import Step


def figure_words(output: Output, value: Any, system: str) -> str:
    """One output as text with its unit."""
    if value is None:
        return "–"
    if output.kind in ("number", "count"):
        return show(value, output.unit, system, output.digits)
    return str(value)


def answer(result: Result | Stopped) -> Element:
    """The answer in one sentence; where there is none, why."""
    if isinstance(result, NotAsked):
        return h("p", result.message, class_="hint")
    if isinstance(result, Stopped):
        return h("p", h("strong", "No answer: "), result.message, class_="sentence stopped")
    return h("p", result.sentence, class_="sentence")


def key_figures(result: Result | Stopped, system: str) -> Element | None:
    """The outputs declared as key figures."""
    if isinstance(result, Stopped):
        return None
    rows = [
        h("div", h("dt", output.label), h("dd", figure_words(output, getattr(result.outputs, name), system)),
          class_="in-words" if output.kind == "text" else None)
        for name, output in result.calculator.results.items()
        if output.key_figure
    ]
    return h("dl", rows, class_="key-figures") if rows else None


def caution_list(cautions: Sequence[ShownCaution], heading: str) -> Element | None:
    """Cautions with what this yard's figures have to do with them."""
    if not cautions:
        return None
    return h(
        "section",
        h("p", heading, class_="part-title"),
        [
            h(
                "div",
                h("p", h("span", caution.hazard_label, class_="hazard"), " ", h("strong", caution.title)),
                [h("p", because, class_="because") for because in caution.because],
                h("p", caution.text),
                h("p", "Source: ", _joined([cited_as(source) for source in caution.sources]), class_="source-line"),
                class_="caution urgent" if caution.urgent else "caution",
            )
            for caution in cautions
        ],
        class_="cautions",
    )


def _joined(parts: Sequence[Any]) -> list[Any]:
    made: list[Any] = []
    for index, part in enumerate(parts):
        made.append("; " if index else "")
        made.append(part)
    return made


def output_table(output: Output, value: Any, system: str, across: bool = False) -> Element:
    """A table or a series that a calculator gave; a series lies ``across`` where asked."""
    if output.kind == "series" and across:
        shown = display_unit(output.unit, system)
        symbol = display_symbol(output.unit, system)
        head = [h("td")] + [h("th", row[:3], scope="col") for row in output.rows]
        cells = [show_number(convert(item, output.unit, shown), output.digits) for item in value]
        body = [h("tr", h("th", symbol or "Value", scope="row"), [h("td", cell) for cell in cells])]
    elif output.kind == "series":
        shown = display_unit(output.unit, system)
        symbol = display_symbol(output.unit, system)
        head = [h("td"), h("th", f"{output.label}, {symbol}" if symbol else output.label, scope="col")]
        body = [
            h("tr", h("th", row, scope="row"),
              h("td", show_number(convert(item, output.unit, shown), output.digits)))
            for row, item in zip(output.rows, value, strict=True)
        ]  # fmt: skip
    else:
        symbols = [
            display_symbol(column.unit, system) if column.unit else "" for column in output.columns
        ]
        head = [
            h("th", f"{column.label}, {symbol}" if symbol else column.label, scope="col")
            for column, symbol in zip(output.columns, symbols, strict=True)
        ]
        body = [h("tr", _cells(output, row, system)) for row in value]
    return h(
        "div",
        h("table", h("caption", output.label), h("thead", h("tr", head)), h("tbody", body)),
        class_="table-frame", tabindex="0", role="region", aria_label=output.label,
    )  # fmt: skip


def _cells(output: Output, row: Sequence[Any], system: str) -> list[Element]:
    made = []
    for position, (column, item) in enumerate(zip(output.columns, row, strict=True)):
        if item is None:
            text = "–"
        elif column.unit is None or isinstance(item, str):
            text = str(item)
        else:
            text = show_number(convert(float(item), column.unit, display_unit(column.unit, system)), column.digits)
        words = isinstance(item, str)
        made.append(h("th", text, scope="row") if position == 0 else h("td", text, class_="words" if words else None))
    return made


def all_figures(result: Result, system: str, across: bool = False) -> list[Element]:
    """Every output: single figures in one table, then the tables; series lie ``across`` the page where paper counts."""
    singles = []
    tables = []
    for name, output in result.calculator.results.items():
        value = getattr(result.outputs, name)
        if output.kind in ("series", "table"):
            tables.append(
                output_table(output, value, system, across) if value else h("p", f"{output.label}: nothing to show yet.", class_="hint")
            )
        else:
            singles.append(
                h("tr", h("th", output.label, h("span", f" {output.help}", class_="hint") if output.help else None,
                          scope="row"),
                  h("td", figure_words(output, value, system), class_="words" if output.kind == "text" else None))
            )  # fmt: skip
    return [
        h("div", h("table", h("caption", "All figures"), h("tbody", singles)), class_="table-frame", tabindex="0",
          role="region", aria_label=f"All figures of {result.calculator.title}"),
        *tables,
    ]  # fmt: skip


def working(steps: Sequence[Step], system: str) -> Element:
    """The formula as it was carried out, the numbers put in, and the result of each step."""
    return h("ol", [_step(step, system) for step in steps], class_="working")


def _step(step: Step, system: str) -> Element:
    value = step.value if isinstance(step.value, str) else show(step.value, step.unit, metric(system), 4)
    lines: list[Any] = [h("p", h("strong", step.label), class_="step-name")]
    if step.words and step.words != step.figures:
        lines.append(h("p", "= ", step.words))
    if step.figures:
        lines.append(h("p", "= ", step.figures))
    lines.append(h("p", "= ", h("strong", value)))
    if system != "metric" and not isinstance(step.value, str):
        other = show(step.value, step.unit, system, 4)
        if other != value:
            lines.append(h("p", f"that is {other}"))
    if step.note:
        lines.append(h("p", step.note, class_="hint"))
    if step.source is not None:
        lines.append(h("p", "Source: ", cited_as(step.source), class_="source-line"))
    return h("li", lines)


def source_list(sources: Sequence[Source]) -> Element:
    """Full citations, each with how it is known."""
    return h("ul", [h("li", full_citation(source)) for source in sources], class_="sources")


def full_citation(source: Source) -> list[Any]:
    """A citation with status, where it was read, its address and the note."""
    return [
        source.citation,
        " ",
        status_mark(source),
        f" Read in: {source.read_in}." if source.read_in else None,
        [" ", h("a", "address", href=source.url, rel="noopener external")] if source.url else None,
        f" {source.note}" if source.note else None,
    ]


def used_sources(result: Result) -> list[Source]:
    """The sources of a calculator and of the defaults in force, each once."""
    listed = list(result.calculator.sources)
    listed += [step.source for step in result.steps if step.source is not None]
    listed += [standing.answer.source for standing in result.standings.values() if standing.origin == "default"]
    return each_once(listed)


def each_once(listed: Iterable[Source]) -> list[Source]:
    """The sources in order, one of a kind: the same work may stand twice where it is known in two ways."""
    found: dict[tuple[str, str], Source] = {}
    for source in listed:
        found.setdefault((source.key, source.status), source)
    return list(found.values())


def details(result: Result | Stopped, system: str) -> list[Element]:
    """What stands open under the form: notices, drawings, charts, figures, cautions."""
    if isinstance(result, Stopped):
        return [h("p", result.message)]
    key = result.calculator.key
    made: list[Any] = []
    if result.notices:
        made.append(
            h("section", h("p", "Remarks on this result", class_="part-title"),
              h("ul", [h("li", words) for words in result.notices]), class_="notices")
        )  # fmt: skip
    made += [drawings.shown(drawing, key) for drawing in result.drawings]
    for index, chart in enumerate(result.charts):
        made.append(charts.draw(chart, system, f"{key}-chart-{index}"))
    made += all_figures(result, system)
    made.append(caution_list(result.cautions, "Cautions that belong to this result"))
    return [item for item in made if item is not None]


def papers(result: Result, system: str) -> list[Element]:
    """What bears a result out and is folded away on a screen: its working, its sources, and what was entered."""
    key = result.calculator.key
    return [
        h("details", h("summary", "Working: how these figures come about"), working(result.steps, system),
          class_="fold", data_keep=f"{key}-working"),
        h("details", h("summary", "Sources of this calculator"), source_list(used_sources(result)),
          class_="fold", data_keep=f"{key}-sources"),
        entered(result, system),
    ]  # fmt: skip


def entered(result: Result, system: str) -> Element:
    """What went in, for print: every answer with its value and where it came from."""
    origins = {"yours": "yours", "guess": "first guess", "example": "example", "followed": "follows", "default": "default"}
    return h("table", h("caption", "What was entered"), h("tbody", answer_rows(result, system, origins)), class_="entered")


def answer_rows(result: Result, system: str, origins: Mapping[str, str]) -> list[Element]:
    """A row for each answer of a result: label, value, and where it comes from in the words of ``origins``."""
    return [
        h("tr", h("th", standing.answer.label, scope="row"),
          h("td", in_words(standing.answer, standing.value, system), class_="words"),
          h("td", origins[standing.origin], class_="words"))
        for standing in result.standings.values()
    ]  # fmt: skip
