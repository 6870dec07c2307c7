"""Drawings as SVG, to scale: on the page with tools to look closer, as a file of its own, and on sheets for paper.

One unit of the SVG is a millimetre of paper. Every layer is a group, so that it can be shown or hidden; nothing in a drawing
needs colour to be told apart.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from calculators.drawing.compose import PAPERS, Composed, Part, compose
from calculators.sheet import LAYERS, Arc, Drawing, Path, Schedule, Words, in_one_line, printable
from calculators.view.elements import Element, h, to_html

EM = 1.4
"""Size of letters against the height of a capital."""
SVG = "http://www.w3.org/2000/svg"
KEYS = "Or on the drawing: keys + and −, arrows, 0; two fingers; Ctrl and the wheel."


def _mm(value: float) -> str:
    return "0" if abs(value) < 0.005 else f"{value:.2f}".rstrip("0").rstrip(".")


def _steps(composed: Composed, part: Path) -> str:
    points = [composed.on_paper(point) for point in part.points]
    return "M" + "L".join(f"{_mm(x)} {_mm(y)}" for x, y in points) + ("Z" if part.closed else "")


def _arc(composed: Composed, part: Arc) -> Element:
    x, y = composed.on_paper(part.centre)
    radius = part.radius * 1000 / composed.scale
    turn = part.end_degrees - part.start_degrees
    if turn >= 360:
        return h("circle", cx=_mm(x), cy=_mm(y), r=_mm(radius), class_=f"pen-{part.pen}")
    ends = [(x + radius * math.cos(math.radians(at)), y - radius * math.sin(math.radians(at)))
            for at in (part.start_degrees, part.end_degrees)]  # fmt: skip
    way = f"M{_mm(ends[0][0])} {_mm(ends[0][1])}A{_mm(radius)} {_mm(radius)} 0 {int(turn > 180)} 0 {_mm(ends[1][0])} {_mm(ends[1][1])}"
    return h("path", d=way, class_=f"pen-{part.pen}")


def _words(composed: Composed, part: Words) -> Element:
    x, y = composed.on_paper(part.at)
    turned = f"rotate({_mm(-part.turned_degrees)} {_mm(x)} {_mm(y)})" if part.turned_degrees else None
    return h("text", printable(part.text), x=_mm(x), y=_mm(y), dy="0.36em", font_size=_mm(part.tall_mm * EM),
             text_anchor=None if part.anchor == "start" else part.anchor, transform=turned,
             class_="strong" if part.strong else None)  # fmt: skip


def _layer(composed: Composed, parts: Sequence[Part]) -> list[Element]:
    """Shapes first, lines of one pen and fill in one path, words last."""
    open_lines: dict[str, list[str]] = {}
    shapes: list[Element] = []
    words: list[Element] = []
    for part in parts:
        if isinstance(part, Words):
            words.append(_words(composed, part))
        elif isinstance(part, Arc):
            shapes.append(_arc(composed, part))
        elif part.closed and part.fill != "none":
            shapes.append(h("path", d=_steps(composed, part), class_=f"pen-{part.pen} fill-{part.fill}"))
        else:
            open_lines.setdefault(part.pen, []).append(_steps(composed, part))
    lines = [h("path", d="".join(steps), class_=f"pen-{pen}") for pen, steps in open_lines.items()]
    return [*shapes, *lines, *words]


def _groups(composed: Composed) -> list[Element]:
    made = []
    for key in LAYERS:
        parts = [part for part in composed.parts if part.layer == key]
        if parts:
            made.append(h("g", _layer(composed, parts), class_=f"layer-{key}"))
    return made


def picture(drawing: Drawing, key: str, **more: Any) -> Element:
    """The whole sheet as SVG, as wide as on paper. ``key`` makes its identifiers unique on a page."""
    composed = compose(drawing)
    return h(
        "svg",
        h("title", printable(_title(drawing)), id=f"{key}-title"),
        h("desc", in_one_line(drawing.about), id=f"{key}-about"),
        more.pop("style", None),
        _groups(composed),
        viewBox=f"0 0 {_mm(composed.width_mm)} {_mm(composed.height_mm)}",
        width=f"{_mm(composed.width_mm)}mm", height=f"{_mm(composed.height_mm)}mm", role="img",
        aria_labelledby=f"{key}-title", aria_describedby=f"{key}-about", focusable="false", **more,
    )  # fmt: skip


def _title(drawing: Drawing) -> str:
    return f"{drawing.title}, {drawing.yard}" if drawing.yard else drawing.title


# ---- on the page ----------------------------------------------------------------------------------------------


def name(calculator: str, drawing: Drawing) -> str:
    """What a drawing is called in requests and on the command line: 'bays.shed'."""
    return f"{calculator}.{drawing.key}"


def _button(words: str, label: str, **more: Any) -> Element:
    return h("button", words, type="button", aria_label=label, **more)


def _tools(drawing: Drawing) -> Element:
    moves = (("+", "Closer", "closer"), ("−", "Farther", "farther"), ("←", "Look left", "left"), ("→", "Look right", "right"),
             ("↑", "Look up", "up"), ("↓", "Look down", "down"), ("Whole", "Whole sheet", "whole"))  # fmt: skip
    return h("div", [_button(sign, label, data_look=move) for sign, label, move in moves],
             h("span", KEYS, class_="drawing-said hint", role="status", data_drawing_said=True), class_="drawing-moves", role="group",
             aria_label=f"Look closer: {drawing.title}")  # fmt: skip


def _switches(drawing: Drawing, key: str) -> Element:
    return h(
        "fieldset",
        h("legend", "Layers"),
        [
            h("label", h("input", type="checkbox", id=f"{key}-layer-{layer}", data_layer=layer, checked=True, autocomplete="off"),
              f" {LAYERS[layer]}")
            for layer in drawing.layers
        ],
        class_="drawing-layers",
    )  # fmt: skip


def schedule_table(schedule: Schedule, drawing: str) -> Element:
    """The schedule of the drawing of that title as a table of the page."""
    head = h("tr", [h("th", column, scope="col", class_="words") for column in schedule.columns])
    body = [h("tr", h("th", row[0], scope="row"), [h("td", cell, class_="words") for cell in row[1:]]) for row in schedule.rows]
    return h("div", h("table", h("caption", schedule.title), h("thead", head), h("tbody", body)), class_="table-frame", tabindex="0",
             role="region", aria_label=f"{schedule.title}: {drawing}")  # fmt: skip


@lru_cache(maxsize=8)
def shown(drawing: Drawing, calculator: str) -> Element:
    """A drawing on a page: the picture with its tools, what it shows in words, its schedule, its files.

    Kept, since most changes to a yard leave a drawing as it is.
    """
    composed = compose(drawing)
    called = name(calculator, drawing)
    key = f"drawing-{calculator}-{drawing.key}"
    files = [h("button", words, type="button", data_drawing_file=kind, aria_label=f"{words}: {drawing.title}")
             for kind, words in (("dxf", "DXF for CAD"), ("svg", "SVG"), ("png", "PNG"))]  # fmt: skip
    return h(
        "div",
        h(
            "figure",
            h("figcaption", drawing.title, h("span", f" 1:{composed.scale} on {composed.paper}", class_="hint")),
            _tools(drawing),
            h("div", picture(drawing, key), class_="drawing-frame", tabindex="0", role="group", id=key,
              aria_label=f"{drawing.title}. Plus and minus look closer or farther, arrow keys move, 0 shows the whole."),
            _switches(drawing, key),
            class_=f"drawing {paper_class(composed)}",
        ),
        h("p", files, h("span", "", class_="hint", role="status", data_drawing_file_said=True), class_="tool-buttons drawing-files"),
        h("p", drawing.about, class_="drawing-about"),
        schedule_table(drawing.schedule, drawing.title),
        data_drawing=called, class_="drawing-block",
    )  # fmt: skip


# ---- on paper -------------------------------------------------------------------------------------------------


def for_report(drawing: Drawing, key: str) -> Element:
    """A drawing in the report: the sheet to scale, and its schedule."""
    composed = compose(drawing)
    return h("div", h("figure", picture(drawing, key), class_=f"drawing-sheet {paper_class(composed)}"), h("p", drawing.about, class_="drawing-about"),
             schedule_table(drawing.schedule, drawing.title), class_="drawing-block")  # fmt: skip


def paper_class(composed: Composed) -> str:
    """Which sheet of paper it wants: 'sheet-A4' upright, or 'sheet-A4-lying'."""
    upright = min(wide for name, wide, _ in PAPERS if name == composed.paper)
    return f"sheet-{composed.paper}" + ("-lying" if composed.width_mm > upright else "")


PEN_STYLE = """
.pen-heavy,.pen-medium,.pen-fine,.pen-dashed,.pen-chain{fill:none;stroke:#000;stroke-linejoin:round;stroke-linecap:round}
.pen-heavy{stroke-width:.6}.pen-medium{stroke-width:.35}.pen-fine{stroke-width:.15}.pen-dashed{stroke-width:.3;stroke-dasharray:2 1}
.pen-chain{stroke-width:.25;stroke-dasharray:5 1 .6 1}.fill-solid{fill:#000}.fill-pale{fill:#eee}
text{fill:#000;stroke:#fff;stroke-width:.5;paint-order:stroke;stroke-linejoin:round;font-family:system-ui,"Noto Sans","DejaVu Sans",Arial,sans-serif}.strong{font-weight:600}
.layer-drains :is(.pen-medium,.pen-heavy){stroke:#1f5f6b}.layer-water :is(.pen-medium,.pen-heavy,.pen-dashed){stroke:#1d4e89}
.layer-power .pen-medium{stroke:#8c3a12}.layer-vehicle :is(.pen-medium,.pen-heavy,.pen-dashed,.pen-chain){stroke:#6b4e9b}
"""
"""Lines in millimetres of paper. In black and white every layer keeps its own lines and signs."""
SHEET_STYLE = """
.drawing-sheet{margin:0;break-inside:avoid}.drawing-sheet svg{display:block;max-width:100%;overflow:visible}
@media print{.drawing-sheet svg{max-width:none}.sheet-A4-lying{page:a4-lying}.sheet-A3{page:a3}.sheet-A3-lying{page:a3-lying}}
@page a4-lying{size:A4 landscape;margin:16mm}@page a3{size:A3;margin:16mm}@page a3-lying{size:A3 landscape;margin:16mm}
"""


def svg_file(drawing: Drawing) -> str:
    """The sheet as an SVG file of its own: black on white, as wide as on paper."""
    ground = h("rect", width="100%", height="100%", fill="#fff")
    made = picture(drawing, "drawing", style=[h("style", PEN_STYLE), ground], xmlns=SVG)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + to_html(made) + "\n"


def paper_document(drawings: Sequence[Drawing]) -> Element:
    """Sheets for a printer, each on its own page at its scale."""
    sheets = [
        h("figure", picture(drawing, f"sheet-{place}"), class_=f"drawing-sheet {paper_class(compose(drawing))}")
        for place, drawing in enumerate(drawings)
    ]
    title = "; ".join(_title(drawing) for drawing in drawings)
    only = "body{margin:0}.drawing-sheet{break-after:page}.drawing-sheet:last-child{break-after:auto}@page{size:A4;margin:16mm}"
    return h("html", h("head", h("meta", charset="utf-8"), h("title", printable(title)), h("style", PEN_STYLE + SHEET_STYLE + only)),
             h("body", sheets), lang="en")  # fmt: skip
