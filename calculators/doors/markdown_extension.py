"""A Python-Markdown extension that puts calculators and reference tables into the handbook's pages.

A directive stands in a paragraph of its own:

    %% calculator mix %%                     form and result of a calculator, for the example yard
    %% yard homes, bay_width_m %%            the linked plan, with these answers asked on top
    %% report %%                             the printable report of the whole yard
    %% start %%                              a first rough plan from five questions
    %% yards %%                              the yards on this device, side by side
    %% yard-cautions %%                      every caution of the example yard, renewed on the page
    %% materials %%                          the materials table
    %% sources %%                            every source, with an anchor each
    %% names %%                              the link name of every answer

and within a line ``%%= bays.bays_total %%`` gives one figure of the example yard, renewed on the page.
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

from calculators import catalogue
from calculators.plan import DEFAULT_EXAMPLE, EXAMPLES, Evaluated, Plan
from calculators.view import page, reference_tables
from calculators.view.elements import Element, h, to_html

_BLOCK = re.compile(r"^%%\s+([a-z-]+)(?:\s+(.*?))?\s*%%$")
_INLINE = r"%%=\s*([a-z_]+\.[a-z_0-9]+)\s*%%"


class DirectiveError(ValueError):
    """A directive in the handbook can't be carried out; it stops the build."""


@cache
def example_plan() -> Evaluated:
    """The example yard, evaluated once for a build."""
    evaluated = Plan({}).evaluate()
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
        made = page.yard_block(example_plan(), [catalogue.NAMES[name] for name in names], page.pages(base))
    elif directive == "report":
        made = page.report_block(example_plan(), page.pages(base))
    elif directive == "start":
        made = page.start_block(page.pages(base))
    elif directive == "yards":
        others = [Plan({}, name).evaluate() for name in EXAMPLES if name != DEFAULT_EXAMPLE]
        made = page.yards_block(example_plan(), others, page.pages(base))
    elif directive == "yard-cautions":
        return h("div", page.part(example_plan(), "yard-cautions", {}), data_part="yard-cautions", class_="calculator")
    elif directive in reference_tables.TABLES:
        return reference_tables.TABLES[directive]()
    else:
        raise DirectiveError(f"there is no directive named {directive!r}")
    return h("div", made, class_="calculator-frame", data_base=base)


class _Blocks(BlockProcessor):
    def test(self, parent: etree.Element, block: str) -> bool:
        return block.startswith("%% ")

    def run(self, parent: etree.Element, blocks: list[str]) -> None:
        block = blocks.pop(0).strip()
        match = _BLOCK.match(block)
        if match is None:
            raise DirectiveError(f"this directive can't be read: {block[:60]!r}")
        stashed = self.parser.md.htmlStash.store(to_html(render(match.group(1), match.group(2) or "")))
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


class CalculatorsExtension(Extension):
    """Registers the block and the inline directive."""

    def extendMarkdown(self, md: Markdown) -> None:
        md.parser.blockprocessors.register(_Blocks(md.parser), "calculators", 180)
        md.inlinePatterns.register(_Figures(_INLINE, md), "calculator-figure", 185)


def makeExtension(**options: Any) -> CalculatorsExtension:
    """What Python-Markdown calls."""
    return CalculatorsExtension(**options)
