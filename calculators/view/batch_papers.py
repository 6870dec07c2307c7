"""Papers of one batch: a blank sheet to log it on, and the yard's own certificate of its heat, to print and sign."""

from __future__ import annotations

from typing import Any

from calculators.plan import Evaluated, Result, Stopped
from calculators.view import charts, results
from calculators.view.elements import Element, h
from calculators.view.forms import in_words
from calculators.view.report import ORIGINS

KEY = "temperatures"
SHEET_LINES = 31
PLACES = ("heart", "edge", "foot")
MOST_COLUMNS = 5
STATEMENT = (
    "This is the yard’s own record, worked out from its own readings. It is no accredited certification, no test for germs and no permission to "
    "sell. The local authority decides which rule counts, and whether germs, metals and foreign matter must be tested as well."
)
TO_SIGN = ("Read by", "Responsible for the yard", "Seen by, for the authority")
NOT_IN_TABLE = ("rules_met", "rules_that_fit", "rules_added_up", "batch_shown")


def to_fill(labels: tuple[str, ...], known: dict[str, str]) -> Element:
    """Lines to write on, some of them filled."""
    return h(
        "div", [h("p", f"{label}: ", h("span", known.get(label, ""), class_="blank")) for label in labels], class_="to-fill"
    )


def lines_table(head: list[str], rows: list[list[str]], caption: str) -> Element:
    """A table with a frame round every cell, to write in."""
    return h(
        "div",
        h(
            "table",
            h("caption", caption),
            h("thead", h("tr", [h("th", words, scope="col") for words in head])),
            h("tbody", [h("tr", [h("td", cell) for cell in row]) for row in rows]),
            class_="log-lines",
        ),
        class_="table-frame",
        tabindex="0",
        role="region",
        aria_label=caption,
    )


def log_sheet(evaluated: Evaluated) -> Element:
    """A month of lines to fill by hand, with the places that the yard's log has, else heart, edge and foot."""
    result = evaluated.step(KEY)
    places = [str(row[0]) for row in result.outputs.probes][:MOST_COLUMNS] if isinstance(result, Result) else []
    places = places or list(PLACES)
    head = ["Line", "Date (month in letters)", "Time", *places, "Air", "Turned", "Water, L", "Remarks, initials"]
    rows = [[str(line), *[""] * (len(head) - 1)] for line in range(1, SHEET_LINES + 1)]
    return h(
        "article",
        h("h2", "Log of temperatures"),
        to_fill(
            (
                "Yard",
                "Batch",
                "Bay or heap",
                "Built on",
                "Made of",
                "Method",
                "C:N when built",
                "Moisture when built, %",
                "Largest piece, mm",
                "Thermometer checked on",
                "Degrees: °C or °F",
            ),
            {"Yard": evaluated.plan.title},
        ),
        lines_table(head, rows, "A line for each reading"),
        h("p", "How to read", class_="part-title"),
        h(
            "ul",
            [
                h("li", words)
                for words in (
                    "Read every place each day at the same hour, 30 to 60 cm below the surface (12 to 18 inches, 30 to 45 cm, in a pile with forced air). "
                    "Wait until the figure stands still.",
                    "Read before you turn, and write ‘yes’ under Turned. A turning counts only where the heap was hot before it.",
                    "Write down what you read, the cold places too. Leave a cell empty where nothing was read; never fill it later.",
                    "One line for each moment; write the month in letters, so that nobody mistakes it for the day.",
                    "Have the thermometer checked at least once a year, and keep this sheet for as long as your authority asks.",
                )
            ],
        ),
        h("p", "Keep safe", class_="part-title"),
        h(
            "p",
            "A hot heap scalds: stand upwind, wear gloves and boots, and keep your face out of the steam, which carries spores. A long stem is "
            "sharp: push it in slowly with the hand low, never towards a person, and carry it point down.",
        ),
        class_="batch-paper",
    )


def certificate(evaluated: Evaluated) -> Element:
    """The record of the batch that the plan shows: what was read, what it meets, what it is not, and who signs."""
    result = evaluated.step(KEY)
    title = h("h2", "Heat of one batch: the yard’s own certificate")
    if isinstance(result, Stopped):
        return h("article", title, results.answer(result), class_="batch-paper")
    outputs, shown = result.outputs, evaluated.plan.shown
    if not outputs.probes:
        return h("article", title, results.answer(result), h("p", STATEMENT, class_="not-certified"), class_="batch-paper")
    facts = [("Yard", evaluated.plan.title), ("Batch", outputs.batch_shown)]
    facts += [
        (output.label, results.figure_words(output, getattr(outputs, name), shown))
        for name, output in result.calculator.results.items()
        if output.kind in ("number", "count", "text") and name not in NOT_IN_TABLE
    ]
    facts += [
        (standing.answer.label, f"{in_words(standing.answer, standing.value, shown)} ({ORIGINS[standing.origin]})")
        for standing in result.standings.values()
        if standing.answer.group == "The batch"
    ]
    return h(
        "article",
        title,
        h("p", STATEMENT, class_="not-certified"),
        results.answer(result),
        h(
            "div",
            h(
                "table",
                h("caption", "What was read and told"),
                h("tbody", [h("tr", h("th", label, scope="row"), h("td", words, class_="words")) for label, words in facts]),
            ),
            class_="table-frame",
            tabindex="0",
            role="region",
            aria_label="What was read and told",
        ),
        [charts.draw(chart, shown, f"certificate-{index}") for index, chart in enumerate(result.charts[:1])],
        _tables(result, shown),
        h("p", "How time is counted", class_="part-title"),
        h(
            "p",
            "Time counts only between two readings of a probe that both satisfy the limit and lie no further apart than the longest time between "
            "readings, and only while every probe does so; the coldest decides. Readings that could not be read count as too cold.",
        ),
        h("p", "Signed", class_="part-title"),
        [to_fill((who, "Name", "Date"), {}) for who in TO_SIGN],
        class_="batch-paper",
    )


def _tables(result: Result, system: Any) -> list[Element]:
    names = ("rules", "probes", "lines")
    return [
        results.output_table(result.calculator.results[name], value, system)
        for name in names
        if (value := getattr(result.outputs, name))
    ]
