"""What a drawing is: figures in metres, in named layers, with what is written about them, ready for any writer.

Plain frozen data. ``x`` runs to the right (east on a plan) and ``y`` up (north). What must be legible on paper whatever the
scale, such as letters and arrow heads, is sized in millimetres of paper. ``drawing.compose`` chooses scale and paper and adds
frame, title block and scale bar; writers make SVG and DXF of what it gives.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

Point = tuple[float, float]
Layer = Literal[
    "walls", "roof", "bays", "rooms", "drains", "water", "power", "vehicle", "dimensions", "text", "sheet",
]  # fmt: skip
Pen = Literal["heavy", "medium", "fine", "dashed", "chain"]
Fill = Literal["none", "solid", "pale", "cut", "heap", "earth", "mesh"]
Anchor = Literal["start", "middle", "end"]

LAYERS: Mapping[Layer, str] = MappingProxyType({
    "walls": "Walls and mesh",
    "roof": "Roof",
    "bays": "Bays and heaps",
    "rooms": "Rooms and floor",
    "drains": "Drains and falls",
    "water": "Water and rain",
    "power": "Power",
    "vehicle": "Path of the vehicle",
    "dimensions": "Dimensions",
    "text": "Names",
    "sheet": "Frame and title block",
})  # fmt: skip
"""Each layer with its name, in the order in which they are drawn."""

TITLE_BLOCK = (
    "Sketch for discussion. Structure, electricity and drainage are to be designed and approved by licensed people."
)
"""Stands on every sheet."""

LONGEST = 200
"""Letters of one text that are kept; nothing on a sheet needs more."""
# controls, directional marks that could turn a line about, halves of pairs, and what XML does not allow
_UNPRINTABLE = re.compile("[\x00-\x1f\x7f-\x9f\u200b\u200e\u200f\u2028-\u202f\u2060-\u206f\ud800-\udfff\ufdd0-\ufdef\ufeff\ufff0-\uffff]+")


def in_one_line(text: str) -> str:
    """Text that any writer can take: no controls, no line breaks, single spaces."""
    return " ".join(_UNPRINTABLE.sub(" ", text).split())


def printable(text: str) -> str:
    """The same, not longer than ``LONGEST``: what one line of a drawing may say."""
    words = in_one_line(text)
    return words if len(words) <= LONGEST else words[: LONGEST - 1] + "…"


@dataclass(frozen=True)
class Path:
    """Straight lines through ``points``; ``closed`` leads back to the first, and may be filled."""

    layer: Layer
    points: tuple[Point, ...]
    closed: bool = False
    pen: Pen = "medium"
    fill: Fill = "none"


@dataclass(frozen=True)
class Arc:
    """Part of a circle, anticlockwise from ``start_degrees`` to ``end_degrees``; 0 to 360 is the whole of it."""

    layer: Layer
    centre: Point
    radius: float
    start_degrees: float = 0.0
    end_degrees: float = 360.0
    pen: Pen = "medium"


@dataclass(frozen=True)
class Words:
    """A line of text whose middle height lies at ``at``. ``tall_mm`` is the height of a capital on paper."""

    layer: Layer
    at: Point
    text: str
    tall_mm: float = 2.0
    anchor: Anchor = "middle"
    turned_degrees: float = 0.0
    strong: bool = False


@dataclass(frozen=True)
class Dimension:
    """A length written along a line ``away_mm`` of paper (and ``away_m`` more) to the left of the way from ``start`` to ``end``."""

    start: Point
    end: Point
    words: str
    away_mm: float = 8.0
    away_m: float = 0.0
    layer: Layer = "dimensions"


@dataclass(frozen=True)
class Sign:
    """Something of fixed size on paper: ``parts`` are in millimetres about ``at``, turned as a whole."""

    at: Point
    parts: tuple[Path | Arc | Words, ...]
    turned_degrees: float = 0.0


Figure = Path | Arc | Words | Dimension | Sign


@dataclass(frozen=True)
class Schedule:
    """A table of words beside a drawing: what its marks and sizes mean. ``on_sheet`` draws it on the sheet too."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    on_sheet: bool = False


@dataclass(frozen=True)
class Drawing:
    """A drawing to scale.

    ``key`` names it among those of its calculator. ``about`` says in words what it shows, for whoever can't see it. ``north``
    is the unit vector that points north, where the drawing is a plan. ``scales`` are those that may be chosen, finest first;
    ``yard`` is the reader's own name for the yard, put in by the plan.
    """

    key: str
    title: str
    about: str
    figures: tuple[Figure, ...]
    schedule: Schedule
    notes: tuple[str, ...] = ()
    north: Point | None = None
    scales: tuple[int, ...] = (50, 100, 200)
    yard: str = ""

    @property
    def layers(self) -> tuple[Layer, ...]:
        """The layers that it uses, in the order of ``LAYERS``; the frame's is not among them."""
        used: set[Layer] = set()
        for figure in self.figures:
            used |= {part.layer for part in figure.parts} if isinstance(figure, Sign) else {figure.layer}
        return tuple(layer for layer in LAYERS if layer in used and layer != "sheet")
