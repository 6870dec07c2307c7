"""The work of the first heaps for reading: a table of dates, what to know about it, its cautions and sources."""

from __future__ import annotations

import datetime

from calculators.cautions import gather
from calculators.declare import RaisedCaution
from calculators.first_heaps import KINDS, DatedTask, FirstHeaps, date_words
from calculators.view import results
from calculators.view.elements import Element, h


def work_table(work: FirstHeaps) -> Element:
    """The tasks in order of date, then notes, cautions (each once, with the work it belongs to) and what was chosen."""
    which = "heap" if work.heaps == 1 else f"{work.heaps} heaps"
    caption = f"Work of the first {which}, first load on {date_words(work.first_day)}"
    head = h("tr", [h("th", words, scope="col") for words in ("Date", "Heap", "Task", "Why this date")])
    return h(
        "section",
        h("div", h("table", h("caption", caption), h("thead", head), h("tbody", _rows(work))),
          class_="table-frame", tabindex="0", role="region", aria_label=caption),
        h("p", "Remarks on these dates", class_="part-title"),
        h("ul", [h("li", note) for note in work.notes]),
        results.caution_list(gather(_raised(work)), "Cautions that belong to this work"),
        [h("p", "Chosen for these dates", class_="part-title"), results.source_list(work.sources)] if work.sources else None,
        class_="first-heaps",
    )  # fmt: skip


def _rows(work: FirstHeaps) -> list[Element]:
    """A row for each task; what to do is told in full where a task of its kind stands first with these words."""
    told: set[str] = set()
    made = []
    for task in work.tasks:
        made.append(_row(task, task.what if task.what not in told else ""))
        told.add(task.what)
    return made


def _row(task: DatedTask, what: str) -> Element:
    return h(
        "tr",
        h("th", _day(task.date), [" to ", _day(task.end)] if task.end != task.date else None, scope="row"),
        h("td", str(task.heap)),
        h("td", h("strong", f"{task.title}."), f" {what}" if what else None, class_="words"),
        h("td", f"{task.why[0].upper()}{task.why[1:]}.", class_="words"),
    )


def _day(date: datetime.date) -> Element:
    return h("time", date_words(date), datetime=date.isoformat())


def _raised(work: FirstHeaps) -> list[tuple[str, RaisedCaution]]:
    """Each caution of the tasks with all the kinds of work that it belongs to."""
    kinds: dict[str, dict[str, None]] = {}
    for task in work.tasks:
        for key in task.cautions:
            kinds.setdefault(key, {})[KINDS[task.kind]] = None
    return [("bays", RaisedCaution(key, f"Belongs to: {', '.join(words)}.")) for key, words in kinds.items()]
