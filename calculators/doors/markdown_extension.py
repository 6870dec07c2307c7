"""A Python-Markdown extension that puts calculators and reference tables into the handbook's pages.

A directive stands in a paragraph of its own:

    %% calculator mix %%                     form and result of a calculator, for the example yard
    %% yard homes, bay_width_m %%            the linked plan, with these answers asked on top
    %% report %%                             the printable report of the whole yard
    %% batch-certificate %%                  the yard's own certificate of one batch's heat, to print
    %% log-sheet %%                          a blank sheet for readings, to print
    %% sheet tub-card %%                     a one-page sheet to print, with the yard's own name and figures
    %% picture heap-layers %%                a schematic picture
    %% temperature-rules %%                  the published rules of time at temperature
    %% start %%                              a first rough plan from five questions
    %% start short %%                        the same from the number of homes alone
    %% brief %%                              the figures of a brief for those who decide, renewed on the page
    %% brief-siting %%                       distances of published guidances and how many this plot meets
    %% metal-limits %%                       limits of metals, a row for each grade, for paper
    %% turned-heap-rules %%                  the rules of time at temperature for turned heaps, for paper
    %% units %%                              every unit, what it is and what may be written for it
    %% symbols %%                            the endings of names and what they mean
    %% yards %%                              the yards on this device, side by side
    %% yard-cautions %%                      every caution of the example yard, renewed on the page
    %% materials %%                          the materials table
    %% sources %%                            every source, with an anchor each
    %% quality-limits %%                     every limit of every quality grade
    %% names %%                              the link name of every answer
    %% troubles %%                           signs of trouble, their causes and what to do, as plain links
    %% safety-plan %%                        the one-page safety plan of the yard, to print and sign
    %% uncertain %%                          drawn years of the example yard, and of the reader's own
    %% size %%                               the least-cost yard, searched with the reader's prices
    %% workshop ask=bays.bays_total %%       questions to guess, from a workshop's link (the part after '#')
    %% workshop-compose %%                   the trainer's form, with exercise sheets

and within a line ``%%= bays.bays_total %%`` gives one figure of the example yard, renewed on the page, and
``%%figure heaps temperature upper_limit_c %%`` a figure of the reference tables, without its unit: its typical value, or what is named
after it (``low``, ``high``, ``range``, or a column of the table such as ``limit``); ``percent`` at the end makes percent of a fraction.
An unknown directive stops the build. ``base`` (after ``|``) says where the calculators' pages lie from here:
``%% yard homes | plan/ %%``.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as etree
from functools import cache
from typing import Any

from markdown import Markdown
from markdown.blockprocessors import BlockProcessor
from markdown.extensions import Extension
from markdown.inlinepatterns import InlineProcessor
from markdown.treeprocessors import Treeprocessor

from calculators import catalogue
from calculators.doors import uncertain
from calculators.plan import DEFAULT_EXAMPLE, EXAMPLES, Evaluated, Plan
from calculators.reference import UnknownReference, rows_of
from calculators.units import show_number
from calculators.view import compare, page, pictures, reference_tables, sheets, start
from calculators.view import workshop as workshop_view
from calculators.view.elements import Element, h, not_searched, to_html
from calculators.workshop import open_workshop, to_fragment

YEARS_ON_PAGE = 100
"""Years of the example yard that are walked when the site is built."""
NOT_SEARCHED = frozenset({"report", "yards", "safety-plan", "batch-certificate", "log-sheet", "brief", "workshop", "workshop-compose",
                          "names"})
"""Directives whose words are found better elsewhere: the search's index is fetched by every page."""
_BLOCK = re.compile(r"^%%\s+([a-z-]+)(?:\s+(.*?))?\s*%%$")
_INLINE = r"%%=\s*([a-z_]+\.[a-z_0-9]+)\s*%%"
_REFERENCE = r"%%figure\s+([a-z_]+)\s+([a-z_0-9]+)\s+([a-zA-Z_0-9]+)(?:\s+(?!percent\b)([a-z_]+))?(?:\s+(percent))?\s*%%"


class DirectiveError(ValueError):
    """A directive in the handbook can't be carried out; it stops the build."""


@cache
def example_plan(also: frozenset[str] = catalogue.ON_REQUEST) -> Evaluated:
    """The example yard, evaluated once for a build, with what is worked out on request but where ``also`` is less."""
    evaluated = Plan({}).evaluate(also)
    if evaluated.stopped:
        reasons = "; ".join(f"{key}: {part.message}" for key, part in evaluated.stopped.items())
        raise DirectiveError(f"the example yard does not compute: {reasons}")
    return evaluated


def render(directive: str, rest: str) -> Element:
    """The element that a block directive stands for. Raises ``DirectiveError``."""
    words, _, base = (piece.strip() for piece in rest.partition("|"))
    if directive == "calculator":
        if words not in catalogue.BY_KEY:
            raise DirectiveError(f"there is no calculator named {words!r}")
        made = page.calculator_block(example_plan(), words, page.pages(base))
    elif directive == "yard":
        names = [name.strip() for name in words.split(",") if name.strip()]
        unknown = [name for name in names if name not in catalogue.NAMES]
        if unknown:
            raise DirectiveError(f"there is no answer named {unknown[0]!r}")
        made = page.yard_block(example_plan(frozenset()), [catalogue.NAMES[name] for name in names], page.pages(base))
    elif directive == "report":
        made = page.report_block(example_plan(), page.pages(base))
    elif directive == "safety-plan":
        made = page.safety_plan_block(example_plan(frozenset()), page.pages(base))
    elif directive in ("batch-certificate", "log-sheet", "brief"):
        made = page.paper_block(example_plan(frozenset()), directive, page.pages(base))
    elif directive == "sheet":
        if words not in sheets.SHEETS:
            raise DirectiveError(f"there is no sheet named {words!r}")
        made = page.paper_block(example_plan(frozenset()), f"sheet:{words}", page.pages(base))
    elif directive == "picture":
        if words not in pictures.PICTURES:
            raise DirectiveError(f"there is no picture named {words!r}")
        return pictures.picture(words)
    elif directive == "brief-siting":
        return h("div", page.part(example_plan(frozenset()), directive, page.pages(base)), data_part=directive, class_="calculator")
    elif directive == "start":
        made = start.short_block(page.pages(base)) if words == "short" else start.block(page.pages(base))
    elif directive == "yards":
        others = [Plan({}, name).evaluate() for name in EXAMPLES if name != DEFAULT_EXAMPLE]
        made = compare.yards_block(example_plan(frozenset()), others, page.pages(base))
    elif directive == "yard-cautions":
        return h("div", page.part(example_plan(frozenset()), "yard-cautions", {}), data_part="yard-cautions", class_="calculator")
    elif directive == "uncertain":
        return uncertain.on_page(Plan({}), YEARS_ON_PAGE)
    elif directive == "size":
        return uncertain.size_on_page()
    elif directive == "workshop":
        return _workshop(words, base)
    elif directive == "workshop-compose":
        return _workshop_maker(base)
    elif directive in reference_tables.TABLES:
        return reference_tables.TABLES[directive]()
    else:
        raise DirectiveError(f"there is no directive named {directive!r}")
    return h("div", made, class_="calculator-frame", data_base=base)


def _workshop_state() -> Element:
    """Whether the questions can be answered on this page yet, and what is announced. Filled by the page."""
    return h(
        "div",
        h("noscript", h("p", "Scripts are off here, so no guess is kept and no sheet can be made.", class_="hint")),
        h("p", "", class_="workshop-said", role="status", data_workshop_said=True),
    )  # fmt: skip


def _workshop(fragment: str, base: str) -> Element:
    """The questions of a workshop, complete before scripts. Raises ``DirectiveError`` for what can't be read."""
    workshop = open_workshop(fragment)
    if workshop.problems:
        raise DirectiveError("; ".join(problem.message for problem in workshop.problems))
    made = workshop_view.run(workshop, workshop_view.State(), base=base, without_scripts=True)
    return h(
        "section",
        h("div", data_workshop_problems=True),
        h("div", made, data_workshop_part="workshop-run"),
        _workshop_state(),
        class_="calculator workshop", data_workshop=to_fragment(workshop), data_base=base,
        aria_label=workshop.title or "Workshop",
    )  # fmt: skip


def _workshop_maker(base: str) -> Element:
    """The trainer's form, and the place where exercise sheets appear."""
    return h(
        "section",
        h("div", workshop_view.compose("", []), data_workshop_part="workshop-compose"),
        _workshop_state(),
        h("div", class_="workshop-sheets", data_workshop_part="workshop-sheets", tabindex="-1"),
        class_="calculator workshop", data_workshop_compose=True, data_base=base, aria_label="Make a workshop",
    )  # fmt: skip


class _Blocks(BlockProcessor):
    def test(self, parent: etree.Element, block: str) -> bool:
        return block.startswith("%% ")

    def run(self, parent: etree.Element, blocks: list[str]) -> None:
        block = blocks.pop(0).strip()
        match = _BLOCK.match(block)
        if match is None:
            raise DirectiveError(f"this directive can't be read: {block[:60]!r}")
        made = render(match.group(1), match.group(2) or "")
        if match.group(1) in NOT_SEARCHED:
            made = not_searched(made)
        stashed = self.parser.md.htmlStash.store(to_html(made))
        etree.SubElement(parent, "p").text = stashed


class _Figures(InlineProcessor):
    def handleMatch(self, m: re.Match[str], data: str) -> Any:
        address = f"figure:{m.group(1)}"
        try:
            content = page.part(example_plan(), address, {})
        except (KeyError, AttributeError):
            raise DirectiveError(f"there is no figure named {m.group(1)!r}") from None
        made = h("span", content, data_part=address, class_="figure")
        return self.md.htmlStash.store(to_html(made)), m.start(0), m.end(0)


def reference_figure(file: str, table: str, key: str, what: str = "typical", percent: bool = False) -> str:
    """A figure of the reference tables as text, without its unit. Raises ``DirectiveError``."""
    try:
        row = next((each for each in rows_of(file, table) if each.get("key") == key), None)
    except UnknownReference as error:
        raise DirectiveError(str(error)) from None
    names = ("low", "high") if what == "range" else (what,)
    values = [row.get(name) if row else None for name in names]
    if any(type(value) not in (int, float) for value in values):
        raise DirectiveError(f"there is no figure {what!r} in {file}, {table}, {key}")
    return " to ".join(show_number(100 * value if percent else value, 2) for value in values)


class _ReferenceFigures(InlineProcessor):
    def handleMatch(self, m: re.Match[str], data: str) -> Any:
        made = h("span", reference_figure(m.group(1), m.group(2), m.group(3), m.group(4) or "typical", bool(m.group(5))), class_="figure")
        return self.md.htmlStash.store(to_html(made)), m.start(0), m.end(0)


class _Tables(Treeprocessor):
    """Puts each table of the text into a frame that scrolls where the page is narrow and can be reached by the keyboard."""

    def run(self, root: etree.Element) -> None:
        for parent in list(root.iter()):
            for index, child in enumerate(list(parent)):
                if child.tag != "table":
                    continue
                heads = ", ".join(words for cell in child.iter("th") if (words := "".join(cell.itertext()).strip()))
                frame = etree.Element("div", {"class": "table-scroll", "tabindex": "0", "role": "group", "aria-label": f"Table: {heads}"})
                frame.tail, child.tail = child.tail, None
                parent.remove(child)
                frame.append(child)
                parent.insert(index, frame)


class CalculatorsExtension(Extension):
    """Registers the block and the inline directive."""

    def extendMarkdown(self, md: Markdown) -> None:
        md.parser.blockprocessors.register(_Blocks(md.parser), "calculators", 180)
        md.treeprocessors.register(_Tables(md), "tables-in-frames", 5)
        md.inlinePatterns.register(_Figures(_INLINE, md), "calculator-figure", 185)
        md.inlinePatterns.register(_ReferenceFigures(_REFERENCE, md), "reference-figure", 186)


def makeExtension(**options: Any) -> CalculatorsExtension:
    """What Python-Markdown calls."""
    return CalculatorsExtension(**options)
