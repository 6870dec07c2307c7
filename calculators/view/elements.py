"""A tree of elements that becomes HTML at build time and nodes in the browser, escaped by construction.

There is no way to put ready-made markup into a tree: text is always text.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache
from html import escape
from typing import Any, NamedTuple

VOID = frozenset({"input", "br", "hr", "img", "meta", "col"})
_NAME = re.compile(r"^[a-zA-Z][a-zA-Z0-9-]*$")
_ATTRIBUTE = re.compile(r"^[a-zA-Z][a-zA-Z0-9:-]*$")


class Element(NamedTuple):  # a page is thousands of them, and a named tuple is the quickest to make
    """A tag with attributes and children; a child is another element or text."""

    tag: str
    attributes: tuple[tuple[str, str], ...]
    children: tuple[Element | str, ...]


def _flatten(children: Iterable[Any]) -> Iterable[Element | str]:
    for child in children:
        if child is None or child is False or child == "":
            continue
        if isinstance(child, (Element, str)):
            yield child
        elif isinstance(child, (list, tuple)):
            yield from _flatten(child)
        else:
            raise TypeError(f"{child!r} is neither an element nor text")


def h(tag: str, *children: Any, **attributes: Any) -> Element:
    """An element. ``class_`` and ``for_`` lose their underscore, other underscores become hyphens.

    A value of None or False leaves the attribute out; True writes it with an empty value.
    """
    kept = tuple([
        (_attribute(name), "" if value is True else str(value))
        for name, value in attributes.items() if value is not None and value is not False
    ])  # fmt: skip
    return Element(_tag(tag), kept, tuple(_flatten(children)))


# thousands of elements make a page, of a few dozen tags and attributes
@cache
def _tag(name: str) -> str:
    if not _NAME.match(name):
        raise ValueError(f"{name!r} is not a tag")
    return name


@cache
def _attribute(name: str) -> str:
    """The attribute as it is written. Raises ``ValueError`` for one that could carry a script or a style."""
    written = name.rstrip("_").replace("_", "-")
    if not _ATTRIBUTE.match(written) or written.lower().startswith("on") or written == "style":
        raise ValueError(f"{written!r} is not an attribute used here")
    return written


def not_searched(*children: Any) -> Element:
    """A block that the site's search leaves out. Its tag stands nowhere else: the search's reader ends the block at the first
    closing tag of that name."""
    return h("not-searched", *children, data_search_exclude=True)


def to_html(node: Element | str) -> str:
    """The tree as HTML text."""
    if isinstance(node, str):
        return escape(node, quote=False)
    attributes = "".join(f' {name}="{escape(value)}"' for name, value in node.attributes)
    if node.tag in VOID:
        return f"<{node.tag}{attributes}>"
    if node.tag == "style":
        # a style sheet is not text: it is taken as it stands, and may not end itself
        inner = "".join(str(child) for child in node.children)
        if "</" in inner:
            raise ValueError("a style sheet must not hold markup")
    else:
        inner = "".join(to_html(child) for child in node.children)
    return f"<{node.tag}{attributes}>{inner}</{node.tag}>"


def to_data(node: Element | str) -> Any:
    """The tree as lists for JSON: text, or [tag, {attribute: value}, [children]]."""
    if isinstance(node, str):
        return node
    return [node.tag, dict(node.attributes), [child if isinstance(child, str) else to_data(child) for child in node.children]]


def text_of(node: Element | str) -> str:
    """All the text of a tree, in order."""
    if isinstance(node, str):
        return node
    return "".join(text_of(child) for child in node.children)
