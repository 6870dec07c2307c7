"""Put a drawing on a sheet of paper: scale and paper chosen so that it fits, frame, title block, scale bar, schedule.

What comes out are straight lines, arcs and lines of text in the drawing's own metres, so that a writer needs to know nothing
but how to draw those three.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from calculators.sheet import (
    TITLE_BLOCK,
    Arc,
    Dimension,
    Drawing,
    Fill,
    Layer,
    Path,
    Point,
    Schedule,
    Sign,
    Words,
    in_one_line,
    printable,
)

Part = Path | Arc | Words
Box = tuple[float, float, float, float]
"""Left, bottom, right, top."""

PAPERS = (("A4", 170.0, 250.0), ("A4", 250.0, 170.0), ("A3", 250.0, 370.0), ("A3", 370.0, 250.0))
"""Name, width and height (mm) of the frame: the paper less margins that every printer and the page's own style leave free."""
COARSER = (500, 1_000, 2_000, 5_000, 10_000, 20_000)
"""Scales for what is too large for those that a drawing asks for."""
PAD = 4.0
BLOCK_TALL = 30.0
ROW_TALL = 4.4
LETTER = 0.78
"""Width of a mean letter against the height of a capital, on the wide side, so that words keep to their place."""
NOTE_MM, SMALL_MM, NAME_MM = 2.0, 1.8, 3.0
HATCHES: dict[Fill, tuple[tuple[float, float], ...]] = {
    "cut": ((45.0, 1.2),), "heap": ((45.0, 3.0), (135.0, 3.0)), "earth": ((135.0, 2.4),), "mesh": ((60.0, 1.6), (120.0, 1.6)),
}  # fmt: skip
"""Families of lines (angle in degrees, millimetres apart on paper) by which areas differ in black and white."""
MOST_HATCH_LINES = 400


@dataclass(frozen=True)
class Composed:
    """A drawing on its sheet. ``frame`` is the sheet, in the drawing's metres."""

    drawing: Drawing
    scale: int
    paper: str
    width_mm: float
    height_mm: float
    parts: tuple[Part, ...]
    frame: Box

    def on_paper(self, point: Point) -> Point:
        """Millimetres from the left and from the top of the frame."""
        return (point[0] - self.frame[0]) * 1000 / self.scale, (self.frame[3] - point[1]) * 1000 / self.scale


def wrapped(text: str, letters: int) -> list[str]:
    """The text in lines of at most so many letters; a word that is longer is cut."""
    lines = [""]
    for word in in_one_line(text).split(" "):
        while len(word) > letters:
            if lines[-1]:
                lines.append("")
            lines[-1], word = word[:letters], word[letters:]
            lines.append("")
        if lines[-1] and len(lines[-1]) + 1 + len(word) > letters:
            lines.append("")
        lines[-1] += (" " if lines[-1] else "") + word
    return [line for line in lines if line] or [""]


def hatch(points: Sequence[Point], degrees: float, apart: float) -> list[tuple[Point, Point]]:
    """Parallel lines that fill a polygon (even-odd), ``apart`` from each other, on a grid through the origin."""
    turn = math.radians(degrees)
    along, across = (math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))
    turned = [(x * along[0] + y * along[1], x * across[0] + y * across[1]) for x, y in points]
    low, high = min(v for _, v in turned), max(v for _, v in turned)
    # a hatch that would be a grey field, or take for ever, is drawn wider
    apart = max(apart, (high - low) / MOST_HATCH_LINES)
    if apart <= 0:
        return []
    found = []
    for step in range(math.floor(low / apart) + 1, math.ceil(high / apart)):
        level = step * apart
        cuts = sorted(
            u + (level - v) / (w - v) * (t - u)
            for (u, v), (t, w) in zip(turned, [*turned[1:], turned[0]], strict=True)
            if (v <= level) != (w <= level)
        )
        for left, right in zip(cuts[::2], cuts[1::2], strict=False):
            found.append(tuple(
                (u * along[0] + level * across[0], u * along[1] + level * across[1]) for u in (left, right)
            ))  # fmt: skip
    return found  # type: ignore[return-value]


# ---- figures to parts -----------------------------------------------------------------------------------------


def _turned(point: Point, degrees: float, size: float, at: Point) -> Point:
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return (at[0] + size * (point[0] * cos - point[1] * sin), at[1] + size * (point[0] * sin + point[1] * cos))


def _placed(sign: Sign, metre_per_mm: float) -> Iterable[Part]:
    def put(point: Point) -> Point:
        return _turned(point, sign.turned_degrees, metre_per_mm, sign.at)

    for part in sign.parts:
        if isinstance(part, Path):
            yield replace(part, points=tuple(map(put, part.points)))
        elif isinstance(part, Arc):
            yield replace(part, centre=put(part.centre), radius=part.radius * metre_per_mm,
                          start_degrees=part.start_degrees + sign.turned_degrees,
                          end_degrees=part.end_degrees + sign.turned_degrees)  # fmt: skip
        else:
            yield replace(part, at=put(part.at), turned_degrees=part.turned_degrees + sign.turned_degrees)


def _measured(given: Dimension, metre_per_mm: float) -> Iterable[Part]:
    """Two lines out, the line between with a stroke at each end, and the words over it, to be read from below or the right."""
    (x1, y1), (x2, y2) = given.start, given.end
    length = math.hypot(x2 - x1, y2 - y1)
    if length == 0:
        return
    along = ((x2 - x1) / length, (y2 - y1) / length)
    left = (-along[1], along[0])
    away = given.away_m + given.away_mm * metre_per_mm

    def at(point: Point, out: float, on: float = 0.0) -> Point:
        return (point[0] + left[0] * out + along[0] * on, point[1] + left[1] * out + along[1] * on)

    mm = metre_per_mm
    side = 1.0 if away >= 0 else -1.0
    for point in (given.start, given.end):
        yield Path(given.layer, (at(point, side * min(abs(away), 1.5 * mm)), at(point, away + side * 1.5 * mm)), pen="fine")
        yield Path(given.layer, (at(point, away - 1.2 * mm, -1.2 * mm), at(point, away + 1.2 * mm, 1.2 * mm)))
    yield Path(given.layer, (at(given.start, away), at(given.end, away)), pen="fine")
    degrees = math.degrees(math.atan2(along[1], along[0]))
    over = 1.0
    if not -89.9 < degrees <= 90.1:
        degrees, over = degrees + 180, -1.0
    wide = len(printable(given.words)) * LETTER * NOTE_MM * mm
    if wide > length:  # too long for its place: on the outer side, where no words of a neighbour stand
        over = 1.4 * side
    yield Words(given.layer, at(given.start, away + over * 2.1 * mm, length / 2), given.words, NOTE_MM, turned_degrees=degrees)


def _hatched(parts: Iterable[Part], metre_per_mm: float) -> Iterable[Path]:
    for part in parts:
        for degrees, apart in HATCHES.get(part.fill, ()) if isinstance(part, Path) else ():
            for line in hatch(part.points, degrees, apart * metre_per_mm):
                yield Path(part.layer, line, pen="fine")


def drawn(drawing: Drawing, scale: int) -> list[Part]:
    """Its figures as lines, arcs and words at that scale, still without hatches."""
    mm = scale / 1000
    found: list[Part] = []
    for figure in drawing.figures:
        if isinstance(figure, Dimension):
            found += _measured(figure, mm)
        elif isinstance(figure, Sign):
            found += _placed(figure, mm)
        else:
            found.append(figure)
    return found


def half_size(words: Words, metre_per_mm: float) -> tuple[float, float]:
    """Half the width and half the height of a line of text, as it lies along its own direction."""
    return (len(printable(words.text)) * LETTER * words.tall_mm * metre_per_mm / 2, 0.7 * words.tall_mm * metre_per_mm)


def corners(words: Words, metre_per_mm: float) -> list[Point]:
    """The corners of the place that a line of text takes."""
    half, tall = half_size(words, metre_per_mm)
    shift = {"start": half, "middle": 0.0, "end": -half}[words.anchor]
    box = [(shift + side * half, up * tall) for side, up in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    return [_turned(corner, words.turned_degrees, 1.0, words.at) for corner in box]


def extent(parts: Iterable[Part], metre_per_mm: float) -> Box:
    """The least box about the parts; whole circles are taken for arcs."""
    points: list[Point] = []
    for part in parts:
        if isinstance(part, Path):
            points += part.points
        elif isinstance(part, Arc):
            x, y = part.centre
            points += [(x - part.radius, y - part.radius), (x + part.radius, y + part.radius)]
        else:
            points += corners(part, metre_per_mm)
    if not points:
        return (0.0, 0.0, 1.0, 1.0)
    across, up = [x for x, _ in points], [y for _, y in points]
    return (min(across), min(up), max(across), max(up))


# ---- the sheet ------------------------------------------------------------------------------------------------


def _rule(*points: Point, pen: str = "fine", closed: bool = False) -> Path:
    return Path("sheet", points, closed, pen)  # type: ignore[arg-type]


def _line(x: float, y: float, text: str, tall: float = NOTE_MM, strong: bool = False, anchor: str = "start") -> Words:
    return Words("sheet", (x, y), text, tall, anchor, strong=strong)  # type: ignore[arg-type]


def letters_in(width_mm: float, tall_mm: float) -> int:
    """How many letters of that height stand in a width."""
    return max(8, int(width_mm / (LETTER * tall_mm)))


def _table(schedule: Schedule) -> tuple[list[Part], float, float]:
    """The schedule as lines and words from its upper left corner (0, 0) down, its width and height in mm."""
    widths = [
        max(len(printable(row[place])) for row in (schedule.columns, *schedule.rows)) * LETTER * SMALL_MM + 3
        for place in range(len(schedule.columns))
    ]
    wide = sum(widths)
    parts: list[Part] = [_line(0, -2.5, schedule.title, NOTE_MM, strong=True)]
    top = -5.5
    for index, row in enumerate((schedule.columns, *schedule.rows)):
        x = 0.0
        parts.append(_rule((0, top), (wide, top)))
        for width, cell in zip(widths, row, strict=True):
            parts.append(_line(x + 1, top - ROW_TALL / 2, cell, SMALL_MM, strong=index == 0))
            x += width
        top -= ROW_TALL
    parts.append(_rule((0, top), (wide, top)))
    return parts, wide, -top


def bar_lengths(scale: int) -> tuple[float, float]:
    """The length of the scale bar and of one of its parts, in metres: a round figure between 30 and 75 mm of paper."""
    for power in range(-2, 6):
        for step in (1, 2, 5):
            whole = 5 * step * 10.0**power
            if whole * 1000 / scale >= 30:
                return whole, whole / 5
    raise ValueError(f"no bar for 1:{scale}")


def _scale_bar(scale: int) -> list[Part]:
    """Metres above and feet below, from (0, 0)."""
    whole, step = bar_lengths(scale)
    mm = 1000 / scale
    parts: list[Part] = []
    for index in range(5):
        left, right = index * step * mm, (index + 1) * step * mm
        box = ((left, 0.0), (right, 0.0), (right, 1.6), (left, 1.6))
        parts.append(Path("sheet", box, True, "fine", "none" if index % 2 else "solid"))
    for index in (0, 1, 5):
        parts.append(_line(index * step * mm, 3.6, f"{index * step:g}", SMALL_MM, anchor="middle"))
    parts.append(_line(whole * mm + 4.5, 3.6, "m", SMALL_MM))
    feet = 0.3048
    tick = max(step_ft for step_ft in (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1_000, 2_000, 5_000)
               if step_ft * feet <= whole / 2)  # fmt: skip
    count = int(whole / (tick * feet) + 1e-9)
    for index in range(count + 1):
        x = index * tick * feet * mm
        parts.append(_rule((x, 0.0), (x, -1.2)))
        if index in (0, count):
            parts.append(_line(x, -3.2, f"{index * tick:g}", SMALL_MM, anchor="middle"))
    parts.append(_line(whole * mm + 4.5, -3.2, "ft", SMALL_MM))
    return parts


def _north(direction: Point, at: Point) -> list[Part]:
    """An arrow that points north, in mm."""
    degrees = math.degrees(math.atan2(direction[1], direction[0])) - 90

    def put(*points: Point) -> tuple[Point, ...]:
        return tuple(_turned(point, degrees, 1.0, at) for point in points)

    return [
        Path("sheet", put((0, 6), (-2.4, -4), (0, -2.2)), True, "fine", "solid"),
        Path("sheet", put((0, 6), (2.4, -4), (0, -2.2)), True, "fine"),
        Words("sheet", put((0, 8.4))[0], "N", NOTE_MM, strong=True),
    ]


def _block(drawing: Drawing, scale: int, paper: str, wide: float) -> list[Part]:
    """The title block: whose yard, what, to which scale, and what it is not. From the frame's lower left corner, in mm."""
    part_at = wide * 0.58
    room = letters_in(part_at - 2 * PAD, NAME_MM)
    names = wrapped(printable(drawing.yard) or "A composting yard", room)[:2]
    parts: list[Part] = [_rule((0, BLOCK_TALL), (wide, BLOCK_TALL), pen="medium"), _rule((part_at, 0), (part_at, BLOCK_TALL))]
    y = BLOCK_TALL - 4
    for name in names:
        parts.append(_line(PAD, y, name, NAME_MM, strong=True))
        y -= 4.6
    for line in wrapped(drawing.title, letters_in(part_at - 2 * PAD, NOTE_MM))[:1]:
        parts.append(_line(PAD, y, line))
    parts += _placed(Sign((PAD + 2, 6.0), tuple(_scale_bar(scale))), 1.0)
    parts.append(_line(part_at - PAD, 6.0, f"1:{scale} on {paper}", NOTE_MM + 0.4, strong=True, anchor="end"))
    right = wide - part_at - 2 * PAD - (14 if drawing.north else 0)
    y = BLOCK_TALL - 4
    for line in [*wrapped(TITLE_BLOCK, letters_in(right, SMALL_MM)),
                 *wrapped("To scale only where printed at full size; the bar is always right.", letters_in(right, SMALL_MM))]:  # fmt: skip
        parts.append(_line(part_at + PAD, y, line, SMALL_MM))
        y -= 3.5
    if drawing.north:
        parts += _north(drawing.north, (wide - 9, BLOCK_TALL / 2 - 3))
    return parts


@lru_cache(maxsize=16)
def compose(drawing: Drawing) -> Composed:
    """The drawing on A4 at the finest scale that takes it; from the coarsest of its own scales on, on A3 rather than coarser.

    A schedule that is wanted on the sheet stands beside the drawing or below it; where it would ask for a coarser scale than
    that, only the page has it.
    """
    nothing: tuple[list[Part], float, float] = ([], 0.0, 0.0)
    table = _table(drawing.schedule) if drawing.schedule.on_sheet else nothing
    coarsest = drawing.scales[-1]
    for scale in (*drawing.scales, *(scale for scale in COARSER if scale > coarsest)):
        parts = drawn(drawing, scale)
        box = extent(parts, scale / 1000)
        sheets = [(table, "A4")] if scale < coarsest else [(table, "A4"), (table, "A3"), (nothing, "A4"), (nothing, "A3")]
        for cells, paper in sheets:
            for name, wide, tall in PAPERS:
                for beside in (True, False) if cells[0] else (True,):
                    composed = _fitted(drawing, scale, name, wide, tall, parts, box, cells, beside) if name == paper else None
                    if composed:
                        return composed
    raise ValueError(f"{drawing.title}: larger than any sheet")


def _fitted(drawing: Drawing, scale: int, paper: str, wide: float, tall: float, parts: list[Part], box: Box,
            table: tuple[list[Part], float, float], beside: bool) -> Composed | None:  # fmt: skip
    """The sheet, or None where the drawing does not fit on it; the schedule stands beside or below."""
    cells, table_wide, table_tall = table
    mm = scale / 1000
    left_wide = wide - 2 * PAD - (table_wide + PAD if cells and beside else 0)
    notes = [line for note in drawing.notes for line in wrapped(note, letters_in(wide - 2 * PAD, NOTE_MM))]
    below = BLOCK_TALL + PAD + 3.8 * len(notes) + (PAD if notes else 0)
    if cells and not beside:
        below += table_tall + PAD
    room = tall - below - PAD
    size = ((box[2] - box[0]) / mm, (box[3] - box[1]) / mm)
    too_tall = beside and table_tall > tall - below - PAD
    if size[0] > left_wide or size[1] > room or too_tall or table_wide > wide - 2 * PAD:
        return None
    # what is not needed of the sheet's height is left off, so that the picture stands near its title block
    tall = min(tall, below + PAD + max(size[1], table_tall if beside else 0) + 2 * PAD)
    room = tall - below - PAD
    left = box[0] - (PAD + (left_wide - size[0]) / 2) * mm
    bottom = box[1] - (below + (room - size[1]) / 2) * mm
    sheet: list[Part] = [_rule((0, 0), (wide, 0), (wide, tall), (0, tall), pen="medium", closed=True)]
    sheet += _block(drawing, scale, paper, wide)
    for index, note in enumerate(notes):
        sheet.append(_line(PAD, BLOCK_TALL + PAD + 3.8 * (len(notes) - index) - 2, note))
    if cells:
        corner = (wide - PAD - table_wide, tall - PAD) if beside else (PAD, below - PAD)
        sheet += _placed(Sign(corner, tuple(cells)), 1.0)
    placed = list(_placed(Sign((left, bottom), tuple(sheet)), mm))
    frame = (left, bottom, left + wide * mm, bottom + tall * mm)
    return Composed(drawing, scale, paper, wide, tall, (*parts, *_hatched(parts, mm), *placed), frame)
