"""The printable plan: summary, every result with its answers, figures, working, cautions and sources, and what is not
yet measured. One tree for the page, the command line's HTML and its Markdown."""

from __future__ import annotations

from collections.abc import Iterable

from calculators import catalogue
from calculators.plan import Evaluated, Result, Stopped, example
from calculators.reference import Source
from calculators.view import charts, drawings, results
from calculators.view.elements import Element, h, text_of
from calculators.view.forms import in_words

ORIGINS = {"yours": "measured or decided by you", "guess": "first guess, not measured", "example": "from the example", "followed": "follows an earlier step",
           "default": "default, not checked on site"}  # fmt: skip


def _answers(result: Result, system: str) -> Element:
    head = h("tr", [h("th", words, scope="col") for words in ("Answer", "Value", "Where it comes from")])
    return h("table", h("caption", "Answers"), h("thead", head), h("tbody", results.answer_rows(result, system, ORIGINS)))


def _chapter(evaluated: Evaluated, key: str) -> Element:
    calculator = catalogue.BY_KEY[key]
    result = evaluated.step(key)
    system = evaluated.plan.shown
    if isinstance(result, Stopped):
        return h("section", h("h2", calculator.title), results.answer(result), class_="report-part")
    return h(
        "section",
        h("h2", calculator.title),
        results.answer(result),
        h("ul", [h("li", words) for words in result.notices]) if result.notices else None,
        [drawings.for_report(drawing, f"report-{key}-{drawing.key}") for drawing in result.drawings],
        [charts.draw(chart, system, f"report-{key}-{index}") for index, chart in enumerate(result.charts)],
        results.all_figures(result, system, across=True),
        _answers(result, system),
        h("p", "Working", class_="part-title"),
        results.working(result.steps, system),
        class_="report-part",
    )


def not_measured(evaluated: Evaluated) -> list[Element]:
    """What the plan holds that nobody has measured, each with how to."""
    found: dict[str, str] = {}
    for part in evaluated.steps:
        for standing in part.standings.values():
            if standing.answer.measure and standing.origin in ("default", "example", "guess"):
                found.setdefault(standing.answer.label, standing.answer.measure)
    return [h("li", f"{label}: {measure}") for label, measure in found.items()]


def report(evaluated: Evaluated) -> Element:
    """The whole report of a plan."""
    start = example(evaluated.plan.example)["name"] if evaluated.plan.example else "the defaults"
    open_points = not_measured(evaluated)
    summary = [
        h("li", h("strong", f"{calculator.title}. "), text_of(results.answer(evaluated.step(calculator.key))))
        for calculator in catalogue.CALCULATORS
    ]
    own = [
        h("li", f"{catalogue.first_asked(name).label}: {in_words(catalogue.first_asked(name), value, evaluated.plan.shown)}")
        for name, value in evaluated.own.items()
    ]
    return h(
        "article",
        h("section", h("h2", "Summary"), h("p", h("strong", evaluated.plan.title), f". Starts from {start}."),
          h("p", evaluated.plan.about) if evaluated.plan.about else None, h("ul", summary),
          [h("p", "Answers of your own", class_="part-title"), h("ul", own)] if own else h("p", "No answer of your own yet."),
          class_="report-part"),
        h("section", h("h2", f"Not measured yet ({len(open_points)})"),
          h("p", "These figures are defaults or the example's. Each should be measured on site before anything is built."),
          h("ul", open_points), class_="report-part"),
        [_chapter(evaluated, calculator.key) for calculator in catalogue.CALCULATORS],
        h("section", h("h2", "Cautions"), results.caution_list(evaluated.cautions, "Each once, with what raised it"),
          class_="report-part"),
        h("section", h("h2", "Sources"), results.source_list(_sources(evaluated)), class_="report-part"),
        h("section", h("h2", "What this is not"),
          h("p", "A planning aid. Structure, electricity and drainage are to be designed and approved by licensed people; "
            "local codes decide what may be built, composted and sold."), class_="report-part"),
        class_="report",
    )  # fmt: skip


def _sources(evaluated: Evaluated) -> list[Source]:
    return results.each_once(source for result in evaluated.results.values() for source in results.used_sources(result))


# ---- Markdown -------------------------------------------------------------------------------------------------

_MARKS = "\\`*_{}[]<>#|"


def _plain(text: str) -> str:
    """Text in which no sign has a meaning of its own in Markdown."""
    return "".join("\\" + character if character in _MARKS else character for character in text)


def to_markdown(node: Element | str) -> str:
    """The report as Markdown: headings, lists, tables and text; drawings are left to HTML."""
    return "\n".join(_lines(node)).strip() + "\n"


def _lines(node: Element | str) -> Iterable[str]:
    if isinstance(node, str):
        yield _plain(node)
        return
    if node.tag in ("svg", "figure"):
        return
    if node.tag == "h2":
        yield from ("", f"## {_plain(text_of(node))}", "")
    elif node.tag in ("p", "summary"):
        yield from (_plain(text_of(node)), "")
    elif node.tag in ("ul", "ol"):
        for index, item in enumerate(node.children, start=1):
            mark = f"{index}." if node.tag == "ol" else "-"
            yield f"{mark} {_plain(_item_text(item))}"
        yield ""
    elif node.tag == "table":
        yield from _table(node)
    else:
        for child in node.children:
            yield from _lines(child)


def _item_text(node: Element | str) -> str:
    if isinstance(node, str):
        return node
    if any(isinstance(child, Element) and child.tag == "p" for child in node.children):
        return " ".join(text_of(child) for child in node.children)
    return text_of(node)


def _rows(node: Element) -> list[Element]:
    found: list[Element] = []
    for child in node.children:
        if isinstance(child, Element):
            found += [child] if child.tag == "tr" else _rows(child)
    return found


def _table(node: Element) -> Iterable[str]:
    caption = next((child for child in node.children if isinstance(child, Element) and child.tag == "caption"), None)
    if caption is not None:
        yield from (f"**{_plain(text_of(caption))}**", "")
    rows = [[_plain(text_of(cell)) for cell in row.children] for row in _rows(node)]
    if not rows:
        return
    head_given = any(isinstance(child, Element) and child.tag == "thead" for child in node.children)
    head = rows[0] if head_given else [""] * len(rows[0])
    yield "| " + " | ".join(head) + " |"
    yield "|" + " --- |" * len(head)
    for row in rows[1:] if head_given else rows:
        yield "| " + " | ".join(row) + " |"
    yield ""


STYLE = """
body{font:11pt/1.5 Charter,Cambria,Georgia,serif;color:#000;background:#fff;max-width:46rem;margin:2rem auto;padding:0 1rem}
h1{border-bottom:3px double #555}table{border-collapse:collapse;width:100%;font:9pt/1.4 sans-serif;margin:1em 0}
caption{text-align:left;font-weight:bold}th,td{border-top:1px solid #bbb;padding:.2em .5em;text-align:left;vertical-align:top}
.sentence{font-weight:bold;font-size:1.15em}.status{border:1px solid #555;padding:0 .3em;font-size:.8em}
.status-chosen-here,.status-from-memory,.status-computed{border-style:dashed;font-style:italic}.status-common-practice{border-style:dotted}
.working p{margin:.1em 0}li{margin:.1em 0}.caution p{margin:.2em 0}.caution{border-left:4px solid #000;padding-left:.8em;margin:.8em 0}.hint,.source-line{font-size:.85em;color:#444}
.hazard{text-transform:uppercase;font-size:.75em;font-weight:bold}.part-title{font-weight:bold}details>summary{display:none}
.chart svg{max-width:28rem;width:100%}.chart-text{font:11px sans-serif}.chart-rule{stroke:#ccc}.chart-mark{stroke:#000;stroke-dasharray:5 3}
.chart-line{fill:none;stroke:#000;stroke-width:2}.chart-band{fill:#eee}.chart-event{fill:#000}.line-sample{width:2em;margin-right:.4em}
.pattern-1{stroke-dasharray:7 3}.pattern-2{stroke-dasharray:2 2}.pattern-3{stroke-dasharray:9 2 2 2}.pattern-4{stroke-dasharray:4 4}
.shade-0{fill:#333}.shade-1{fill:#999}.shade-2{fill:#ccc}.shade-3{fill:#666}.shade-4{fill:#eee}
.swatch{display:inline-block;width:.8em;height:.8em;border:1px solid #000;margin-right:.4em}.swatch.shade-0{background:#333}
.swatch.shade-1{background:#999}.swatch.shade-2{background:#ccc}.swatch.shade-3{background:#666}.swatch.shade-4{background:#eee}
ul.legend{list-style:none;padding:0;display:flex;flex-wrap:wrap;gap:.2em 1.2em;font:9pt sans-serif}
@media print{h2,.sentence,.part-title,caption,thead{break-after:avoid}tr,.caution,figure,.working li{break-inside:avoid}
tbody tr:nth-child(-n+2){break-before:avoid}.chart svg{max-width:21rem}@page{size:A4;margin:16mm}}
"""
"""For the report as a file of its own: black on white, A4."""


def as_file(evaluated: Evaluated) -> Element:
    """The report as a whole HTML document that needs nothing else."""
    title = f"Plan of a composting yard: {evaluated.plan.title}"
    return h(
        "html",
        h("head", h("meta", charset="utf-8"), h("meta", name="viewport", content="width=device-width"), h("title", title),
          h("style", STYLE + drawings.PEN_STYLE + drawings.SHEET_STYLE)),
        h("body", h("h1", title), report(evaluated)),
        lang="en",
    )  # fmt: skip


def titled(evaluated: Evaluated) -> str:
    """The report as Markdown with its title."""
    return f"# Plan of a composting yard: {_plain(evaluated.plan.title)}\n\n{to_markdown(report(evaluated))}"
