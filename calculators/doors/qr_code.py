"""A link as a QR code, for the wall. The code is the library's; only its drawing is ours, so that it prints at any size."""

from __future__ import annotations

from calculators.view.elements import Element, h, to_html

MOST_BYTES = 1_200
"""Longer links make squares so fine that a phone can't read them off a sheet of paper (chosen here; the standard,
ISO/IEC 18004, holds up to 2,953 bytes)."""
QUIET_ZONE = 4
"""Empty squares around the code, as ISO/IEC 18004 asks."""


class TooLong(ValueError):
    """The text does not fit a code that can be scanned; the text says so in one line."""


def modules(text: str) -> list[list[bool]]:
    """The squares of the code, row by row, dark ones true. Raises ``TooLong``."""
    import segno  # loaded only when somebody asks for a code

    if len(text.encode()) > MOST_BYTES:
        raise TooLong(
            f"This link has {len(text.encode())} letters; up to {MOST_BYTES} make a code that a phone can read. Copy the link instead."
        )
    code = segno.make_qr(text, error="m", boost_error=False)
    return [[bool(square) for square in row] for row in code.matrix]


def _square(text: str, **more: str) -> Element:
    rows = modules(text)
    size = len(rows) + 2 * QUIET_ZONE
    path = "".join(_runs(row, y + QUIET_ZONE) for y, row in enumerate(rows))
    return h("svg", h("title", "QR code"), h("rect", width=size, height=size, fill="#fff"), h("path", d=path, fill="#000"),
             viewBox=f"0 0 {size} {size}", role="img", class_="qr-code", shape_rendering="crispEdges", **more)  # fmt: skip


def drawing(text: str) -> Element:
    """The code as a drawing, with the link in words below it. Raises ``TooLong``."""
    return h("figure", _square(text), h("figcaption", h("a", text, href=text)), class_="qr")


def as_file(text: str) -> str:
    """The code as an SVG file. Raises ``TooLong``."""
    return to_html(_square(text, xmlns="http://www.w3.org/2000/svg")) + "\n"


def _runs(row: list[bool], y: int) -> str:
    """A row as the outlines of its dark runs."""
    made, start = [], None
    for x, dark in enumerate([*row, False]):
        if dark and start is None:
            start = x
        elif not dark and start is not None:
            made.append(f"M{start + QUIET_ZONE} {y}h{x - start}v1h-{x - start}z")
            start = None
    return "".join(made)
