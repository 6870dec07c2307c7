"""A drawing as DXF that any CAD program opens: ASCII text of release 12, in metres, layers by name.

A small writer of our own. Release 12 knows lines, polylines, arcs, circles, filled quadrilaterals and single lines of text;
that is all a composed drawing has. Dimensions are lines and text, so that every program shows the same.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence

from calculators.drawing.compose import Composed, compose, extent
from calculators.sheet import Arc, Drawing, Layer, Path, Pen, Words, printable

NAMES: Mapping[Layer, str] = {
    "walls": "WALLS", "roof": "ROOF", "bays": "BAYS", "rooms": "ROOMS", "drains": "DRAINS", "water": "WATER", "power": "POWER",
    "vehicle": "VEHICLE_PATH", "dimensions": "DIMENSIONS", "text": "TEXT", "sheet": "SHEET",
}  # fmt: skip
"""Layers as CAD programs list them. Release 12 takes capitals, figures, hyphen, dollar and underscore."""
COLOURS: Mapping[Layer, int] = {
    "walls": 7, "roof": 8, "bays": 34, "rooms": 7, "drains": 4, "water": 5, "power": 1, "vehicle": 6, "dimensions": 8, "text": 7, "sheet": 7,
}  # fmt: skip
"""Numbers of AutoCAD's colour index; 7 is black on white and white on black."""
LINE_TYPES: Mapping[Pen, str] = {
    "heavy": "CONTINUOUS", "medium": "CONTINUOUS", "fine": "CONTINUOUS", "dashed": "DASHED", "chain": "DASHDOT",
}  # fmt: skip
PATTERNS = {"CONTINUOUS": ("Solid line", ()), "DASHED": ("__ __ __", (2.0, -1.0)), "DASHDOT": ("__ . __ .", (5.0, -1.0, 0.0, -1.0))}
"""Dashes and gaps, in millimetres of paper; 0 is a dot."""
METRES = 6
"""$INSUNITS for metres."""
STYLE = "PLAIN"
LONGEST = 250
"""Letters of one text, written out: release 12 takes 255."""
PLAIN = str.maketrans({"×": "x", "–": "-", "—": "-", "−": "-", "²": "2", "³": "3", "‘": "'", "’": "'", "“": '"', "”": '"', "…": "..."})
"""Signs for which ASCII has one as good: some readers show the codes of others as they stand."""
UNKNOWN = "\u25a1"
"""Stands for what four hexadecimal digits can't name."""

Tag = tuple[int, object]


def safe_text(text: str) -> str:
    """One line of text that no CAD program takes for a command.

    A letter outside ASCII is written as \\U+XXXX, and so is a backslash, which would begin a code. A space stands behind every
    caret, as the format asks, and between two percent signs.
    """
    words = printable(text).translate(PLAIN)
    while "%%" in words:
        words = words.replace("%%", "% %")
    made = ""
    for letter in words:
        code = ord(letter)
        if code > 0xFFFF:
            letter, code = UNKNOWN, ord(UNKNOWN)
        piece = "^ " if letter == "^" else letter if 32 <= code < 127 and letter != "\\" else f"\\U+{code:04X}"
        if len(made) + len(piece) > LONGEST:
            break
        made += piece
    return made


def _number(value: float) -> str:
    text = f"{value:.9f}".rstrip("0")
    return "0.0" if text in ("-0.", "0.") else text + "0" if text.endswith(".") else text


def _point(point: Sequence[float], first: int = 10) -> list[Tag]:
    return [(first, _number(point[0])), (first + 10, _number(point[1])), (first + 20, "0.0")]


def _path(part: Path) -> Iterator[Tag]:
    name, line = NAMES[part.layer], LINE_TYPES[part.pen]
    common: list[Tag] = [(8, name), *([(6, line)] if line != "CONTINUOUS" else [])]
    if len(part.points) == 2 and not part.closed:
        yield (0, "LINE")
        yield from [*common, *_point(part.points[0]), *_point(part.points[1], 11)]
        return
    yield (0, "POLYLINE")
    yield from [*common, (66, 1), *_point((0.0, 0.0)), (70, int(part.closed))]
    for point in part.points:
        yield (0, "VERTEX")
        yield from [(8, name), *_point(point)]
    yield (0, "SEQEND")
    yield (8, name)


def _solid(part: Path) -> Iterator[Tag]:
    """A filled triangle or quadrilateral; the third and fourth corners of a SOLID are crossed over."""
    a, b, c, *rest = part.points
    d = rest[0] if rest else c
    yield (0, "SOLID")
    yield (8, NAMES[part.layer])
    for first, point in zip((10, 11, 12, 13), (a, b, d, c), strict=True):
        yield from _point(point, first)


def _arc(part: Arc) -> Iterator[Tag]:
    whole = part.end_degrees - part.start_degrees >= 360
    yield (0, "CIRCLE" if whole else "ARC")
    yield (8, NAMES[part.layer])
    yield from _point(part.centre)
    yield (40, _number(part.radius))
    if not whole:
        yield (50, _number(part.start_degrees % 360))
        yield (51, _number(part.end_degrees % 360))


def _text(part: Words, metre_per_mm: float) -> Iterator[Tag]:
    text = safe_text(part.text)
    if not text:
        return
    yield (0, "TEXT")
    yield (8, NAMES[part.layer])
    yield from _point(part.at)
    yield (40, _number(part.tall_mm * metre_per_mm))
    yield (1, text)
    yield (50, _number(part.turned_degrees % 360))
    yield (7, STYLE)
    yield (72, {"start": 0, "middle": 1, "end": 2}[part.anchor])
    yield from _point(part.at, 11)
    yield (73, 2)  # the middle of the height lies at the point


def _entities(composed: Composed) -> Iterator[Tag]:
    for layer in NAMES:
        for part in composed.parts:
            if part.layer != layer:
                continue
            if isinstance(part, Words):
                yield from _text(part, composed.scale / 1000)
            elif isinstance(part, Arc):
                yield from _arc(part)
            else:
                if part.fill == "solid" and len(part.points) in (3, 4):
                    yield from _solid(part)
                yield from _path(part)


def _table(name: str, entries: Sequence[Sequence[Tag]]) -> Iterator[Tag]:
    yield from [(0, "TABLE"), (2, name), (70, len(entries))]
    for entry in entries:
        yield (0, name)
        yield from entry
    yield (0, "ENDTAB")


def _tables(composed: Composed) -> Iterator[Tag]:
    mm = composed.scale / 1000
    yield from [(0, "SECTION"), (2, "TABLES")]
    yield from _table("LTYPE", [
        [(2, name), (70, 0), (3, words), (72, 65), (73, len(dashes)), (40, _number(sum(map(abs, dashes)) * mm)),
         *((49, _number(dash * mm)) for dash in dashes)]
        for name, (words, dashes) in PATTERNS.items()
    ])  # fmt: skip
    used = {part.layer for part in composed.parts}
    yield from _table("LAYER", [
        [(2, "0"), (70, 0), (62, 7), (6, "CONTINUOUS")],
        *([(2, name), (70, 0), (62, COLOURS[layer]), (6, "CONTINUOUS")] for layer, name in NAMES.items() if layer in used),
    ])  # fmt: skip
    yield from _table("STYLE", [
        [(2, name), (70, 0), (40, "0.0"), (41, "1.0"), (50, "0.0"), (71, 0), (42, "2.5"), (3, "arial.ttf"), (4, "")]
        for name in ("STANDARD", STYLE)
    ])  # fmt: skip
    yield (0, "ENDSEC")


def _header(composed: Composed) -> Iterator[Tag]:
    left, bottom, right, top = extent(composed.parts, composed.scale / 1000)
    yield from [(0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, "AC1009"), (9, "$DWGCODEPAGE"), (3, "ANSI_1252"),
                (9, "$INSUNITS"), (70, METRES), (9, "$INSBASE"), *_point((0.0, 0.0))]  # fmt: skip
    yield from [(9, "$EXTMIN"), *_point((left, bottom)), (9, "$EXTMAX"), *_point((right, top))]
    yield from [(9, "$LIMMIN"), *_point((left, bottom))[:2], (9, "$LIMMAX"), *_point((right, top))[:2]]
    yield from [(9, "$LUNITS"), (70, 2), (9, "$LTSCALE"), (40, "1.0"), (0, "ENDSEC")]


def tags(composed: Composed) -> Iterable[Tag]:
    """Every group code with its value, in order."""
    yield (999, safe_text(f"{composed.drawing.title}. Metres. Drawn for 1:{composed.scale} on {composed.paper}."))
    yield from _header(composed)
    yield from _tables(composed)
    yield from [(0, "SECTION"), (2, "BLOCKS"), (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES")]
    yield from _entities(composed)
    yield from [(0, "ENDSEC"), (0, "EOF")]


_CODE = re.compile(r"\\U\+([0-9A-F]{4})")


def read_text(text: str) -> str:
    """What ``safe_text`` wrote, as it is shown."""
    return _CODE.sub(lambda found: chr(int(found.group(1), 16)), text.replace("^ ", "^"))


def dxf(drawing: Drawing) -> str:
    """The drawing on its sheet as the text of a DXF file; pure ASCII."""
    return "".join(f"{code:>3}\r\n{value}\r\n" for code, value in tags(compose(drawing)))
