"""The tools that stand on every page with a calculator: which yard, how it is shown, keeping, sharing, taking away."""

from __future__ import annotations

from typing import Any

from calculators.plan import EXAMPLES, SYSTEMS, Evaluated, example
from calculators.view.elements import Element, h

YARDS_PAGE = "yards"


def _tool(label: str, control: Element, key: str) -> Element:
    return h("div", h("label", label, for_=key), control, class_="tool")


def _text(key: str, **more: Any) -> Element:
    return h("input", type="text", id=key, autocomplete="off", spellcheck="false", **more)


def _button(words: str, **more: Any) -> Element:
    return h("button", words, type="button", **more)


def _fold(title: str, key: str, *inside: Any) -> Element:
    return h("details", h("summary", title), inside, class_="fold tool-fold", data_keep=key)


def toolbar(evaluated: Evaluated) -> Element:
    """Where the answers come from and how they are shown, and what can be done with them.

    The page fills the list of the yards that this device holds. Links name pages as '%page:KEY%'.
    """
    plan = evaluated.plan
    starts = [h("option", example(name)["name"], value=name, selected=name == plan.example) for name in EXAMPLES]
    starts.append(h("option", "defaults only", value="nothing", selected=plan.example is None))
    systems = [h("option", name, value=name, selected=name == plan.system) for name in SYSTEMS]
    tools = h(
        "form",
        _tool("Yard on this device", h("select", h("option", "not kept yet", value=""), id="plan-yard", autocomplete="off"),
              "plan-yard"),
        _tool("Starts from", h("select", starts, id="plan-example", autocomplete="off"), "plan-example"),
        _tool("Units", h("select", systems, id="plan-units", autocomplete="off"), "plan-units"),
        h("div", _button("Undo", data_undo=True, disabled=True),
          h("a", "All my yards, variants, compare", href=f"%page:{YARDS_PAGE}%"), class_="tool tool-buttons"),
        _fold("Name and money", "tools-name",
              _tool("Name of this yard", _text("plan-name", class_="wide"), "plan-name"),
              _tool("What a unit of money is called", _text("plan-money", class_="short words"), "plan-money"),
              h("p", "As you write it: a sign, three letters or a word. Prices stay as typed; nothing is exchanged.", class_="hint")),
        _fold("Keep and share", "tools-share",
              h("p", _button("Save to a file", data_save_file=True),
                h("label", "Open a file", for_="plan-file", class_="file-label"),
                h("input", type="file", id="plan-file", accept=".json,application/json", class_="file-entry"),
                _button("Copy a link with my answers", data_copy_link=True),
                _button("Copy a short link", data_copy_link="packed"),
                _button("QR code", data_show="qr"), class_="tool-buttons"),
              h("p", "A link carries the answers themselves: whoever has it can read them, and they are sent to no server. The "
                "short link packs the whole plan into letters; the other can be read and changed by hand.", class_="hint")),
        _fold("Take away", "tools-away",
              h("p", h("a", "Report to print", href="%page:report%"),
                _button("Spreadsheet with formulas", data_take="workbook"), class_="tool-buttons"),
              h("p", h("label", "First day of work", for_="plan-first-day"),
                h("input", type="date", id="plan-first-day", autocomplete="off"),
                h("label", "Heaps", for_="plan-heaps"), _text("plan-heaps", value="3", inputmode="numeric", class_="short"),
                _button("Show the dates", data_show="dates"),
                _button("Calendar of the first heaps", data_take="calendar"), class_="tool-buttons"),
              h("p", "Made on this device when you ask; the first time, a small program is fetched from this site.", class_="hint")),
        h("p", _button("Clear my answers", class_="quiet", data_clear=True)),
        h("p", "", class_="tool-said", data_said=True, role="status"),
        class_="toolbar", novalidate=True, aria_label="The plan",
    )  # fmt: skip
    return h("div", tools, h("div", class_="shown-place", data_shown_place=True, tabindex="-1"))
