"""The arrangement of a yard as a dimensioned plan: plot, roofs, walls, bays and rooms by number, drains, services, vehicle."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence

from calculators.drawing.layout import Drain, Fall, Layout, Marked, Opening, Room, Wall
from calculators.sheet import Arc, Dimension, Drawing, Figure, Layer, Path, Point, Schedule, Sign, Words

Say = Callable[..., str]

KINDS: Mapping[str, str] = {
    "first_stage": "First-stage bay", "curing": "Curing bay", "spare": "Spare bay, to turn into", "reserve": "Reserve bay",
    "worm_bed": "Worm bed", "receiving": "Receiving", "shredding": "Shredding", "leaf_store": "Leaf store", "screening": "Screening and bagging",
    "product_store": "Product store", "tools_washing": "Tools and washing", "office": "Office",
}  # fmt: skip
MARKS: Mapping[str, tuple[str, Layer, str]] = {
    "tap": ("T", "water", "Tap"), "sump": ("S", "drains", "Sump"), "power": ("P", "power", "Power point"), "lamp": ("L", "power", "Lamp"),
    "extinguisher": ("E", "rooms", "Extinguisher"),
}  # fmt: skip
"""Letter, layer and name of what is marked."""
LETTERS: Mapping[str, str] = {"first_stage": "B", "curing": "C", "spare": "S", "reserve": "R", "worm_bed": "W"}
"""Bays and beds are told apart by the letter before their number; other rooms have a number alone."""
METRES_PER_LETTER = 0.33
"""Width of a letter of a name at 1:200: a name that fits then fits always."""
SAME_M = 0.005
UNNAMED = ("", "plot", "room")
"""Dimensions that say by their place what they measure."""


# ---- geometry -------------------------------------------------------------------------------------------------


def area(polygon: Sequence[Point]) -> float:
    """Area (m²) of a polygon by its corners (the shoelace rule); counter-clockwise is positive."""
    return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(polygon, [*polygon[1:], polygon[0]], strict=True)) / 2


def centre(polygon: Sequence[Point]) -> Point:
    """Centroid of a polygon, by its corners; the mean of the corners where it has no area."""
    total = area(polygon)
    if abs(total) < 1e-9:
        return (sum(x for x, _ in polygon) / len(polygon), sum(y for _, y in polygon) / len(polygon))
    x = y = 0.0
    for (x1, y1), (x2, y2) in zip(polygon, [*polygon[1:], polygon[0]], strict=True):
        cross = x1 * y2 - x2 * y1
        x += (x1 + x2) * cross
        y += (y1 + y2) * cross
    return (x / (6 * total), y / (6 * total))


def sides(polygon: Sequence[Point]) -> tuple[float, float] | None:
    """Both sides (m) of a rectangle, however it lies, the shorter first; None for any other shape."""
    if len(polygon) != 4:
        return None
    a, b, c, d = (math.dist(p, q) for p, q in zip(polygon, [*polygon[1:], polygon[0]], strict=True))
    if abs(a - c) > SAME_M or abs(b - d) > SAME_M or abs(math.dist(polygon[0], polygon[2]) - math.hypot(a, b)) > SAME_M:
        return None
    return min(a, b), max(a, b)


def without(start: Point, end: Point, gaps: Iterable[tuple[Point, Point]], near: float) -> list[tuple[Point, Point]]:
    """What is left of a line where gaps that lie along it, not farther than ``near``, are cut out."""
    length = math.dist(start, end)
    if length == 0:
        return []
    along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)

    def place(point: Point) -> tuple[float, float]:
        x, y = point[0] - start[0], point[1] - start[1]
        return x * along[0] + y * along[1], abs(x * along[1] - y * along[0])

    cuts = []
    for one, other in gaps:
        (a, off_a), (b, off_b) = place(one), place(other)
        if max(off_a, off_b) <= near:
            cuts.append((min(a, b), max(a, b)))
    kept, reached = [], 0.0
    for low, high in [*sorted(cuts), (length, length)]:
        if low - reached > 1e-6:
            kept.append((reached, min(low, length)))
        reached = max(reached, high)
    return [
        ((start[0] + along[0] * a, start[1] + along[1] * a), (start[0] + along[0] * b, start[1] + along[1] * b))
        for a, b in kept if b > a
    ]  # fmt: skip


def band(start: Point, end: Point, thick: float) -> tuple[Point, ...]:
    """The rectangle of that thickness along a middle line."""
    length = math.dist(start, end) or 1.0
    x, y = -(end[1] - start[1]) / length * thick / 2, (end[0] - start[0]) / length * thick / 2
    return ((start[0] - x, start[1] - y), (end[0] - x, end[1] - y), (end[0] + x, end[1] + y), (start[0] + x, start[1] + y))


# ---- parts ----------------------------------------------------------------------------------------------------


def _closed(layer: Layer, points: Sequence[Point], pen: str = "medium", fill: str = "none") -> Path:
    return Path(layer, tuple(points), True, pen, fill)  # type: ignore[arg-type]


def _arrow(layer: Layer, start: Point, end: Point, pen: str = "medium") -> list[Figure]:
    degrees = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
    head = Path(layer, ((0.0, 0.0), (-2.4, 0.8), (-2.4, -0.8)), True, "fine", "solid")
    return [Path(layer, (start, end), pen=pen), Sign(end, (head,), degrees)]  # type: ignore[arg-type]


def _wall(wall: Wall, openings: Sequence[Opening]) -> list[Figure]:
    """A wall with a solid part is filled; one of mesh alone, and the front that lifts out, is a broken line."""
    gaps = [(each.start, each.end) for each in openings if each.kind != "bay_front"]
    made: list[Figure] = []
    for start, end in without(wall.start, wall.end, gaps, wall.thickness_m + 0.05):
        if wall.kind == "front" or wall.solid_m <= 0:
            made.append(Path("walls", (start, end), pen="dashed"))
        else:
            made.append(_closed("walls", band(start, end, wall.thickness_m), "fine", "solid"))
    return made


def _opening(opening: Opening, room: Room) -> list[Figure]:
    """A door with the quarter circle of its leaf, into the room; other openings need no sign."""
    if opening.kind != "door":
        return []
    wide = math.dist(opening.start, opening.end)
    (x, y), (to_x, to_y) = opening.start, opening.end
    middle = centre(room.polygon)
    degrees = math.degrees(math.atan2(to_y - y, to_x - x))
    left = (to_x - x) * (middle[1] - y) - (to_y - y) * (middle[0] - x) >= 0
    leaf = math.radians(degrees + (90 if left else -90))
    arc = (degrees, degrees + 90) if left else (degrees - 90, degrees)
    return [
        Path("walls", ((x, y), (x + wide * math.cos(leaf), y + wide * math.sin(leaf)))),
        Arc("walls", (x, y), wide, *arc, "fine"),
    ]


def _mark(marked: Marked) -> Figure:
    letter, layer, _ = MARKS[marked.kind]
    edge: Path | Arc = (
        Path(layer, ((-1.8, -1.8), (1.8, -1.8), (1.8, 1.8), (-1.8, 1.8)), True)
        if marked.kind == "sump" else Arc(layer, (0.0, 0.0), 1.9)
    )  # fmt: skip
    return Sign(marked.at, (edge, Words(layer, (0.0, 0.0), letter, 1.8, strong=True)))


def _drain(drain: Drain) -> list[Figure]:
    return _arrow("drains", drain.start, drain.end, "heavy")


def _fall(fall: Fall) -> list[Figure]:
    """The arrow, and its percent behind its tail, so that the number of a bay keeps its place."""
    degrees = math.degrees(math.atan2(fall.end[1] - fall.start[1], fall.end[0] - fall.start[0]))
    text = f"{fall.percent:g} %"
    if -90 < degrees <= 90:
        words, turned = Words("drains", (-0.8, 0.0), text, 1.6, "end"), degrees
    else:
        words, turned = Words("drains", (0.8, 0.0), text, 1.6, "start"), degrees + 180
    return [*_arrow("drains", fall.start, fall.end, "fine"), Sign(fall.start, (words,), turned)]


def named(layout: Layout) -> dict[str, str]:
    """The mark of each room by its key: 'B12' for the twelfth first-stage bay, '3' for the third room that is no bay or bed."""
    marks: dict[str, str] = {}
    counts: dict[str, int] = {}
    for room in layout.rooms:
        letter = LETTERS.get(room.kind, "")
        counts[letter] = counts.get(letter, 0) + 1
        marks[room.key] = f"{letter}{counts[letter]}"
    return marks


def _room(room: Room, mark: str) -> list[Figure]:
    numbered = room.kind in LETTERS
    layer: Layer = "bays" if numbered else "rooms"
    at = centre(room.polygon)
    words: list[Words] = [Words("text", (0.0, 0.0), mark, 1.7 if numbered else 2.4, strong=True)]
    across = max(x for x, _ in room.polygon) - min(x for x, _ in room.polygon)
    if not numbered and len(room.name) * METRES_PER_LETTER <= across:
        words = [Words("text", (0.0, 1.9), mark, 2.4, strong=True), Words("text", (0.0, -1.9), room.name, 1.8)]
    return [_closed(layer, room.polygon, "fine", "pale" if room.kind == "curing" else "none"), Sign(at, tuple(words))]


# ---- schedule and words ---------------------------------------------------------------------------------------


def ranges(marks: Sequence[str]) -> str:
    """Marks in short: 'B1–B4, B7'."""
    runs: list[list[str]] = []
    for mark in marks:
        if runs and mark == _next(runs[-1][-1]):
            runs[-1].append(mark)
        else:
            runs.append([mark])
    return ", ".join(run[0] if len(run) == 1 else f"{run[0]}–{run[-1]}" for run in runs)


def _next(mark: str) -> str:
    letter = mark.rstrip("0123456789")
    return f"{letter}{int(mark[len(letter):]) + 1}"


def schedule(layout: Layout, say: Say) -> Schedule:
    """Each room with its mark, size and floor; rooms of one kind and size together; then what is marked."""
    marks = named(layout)
    groups: dict[tuple[str, str, str], list[Room]] = {}
    for room in layout.rooms:
        pair = sides(room.polygon)
        size = f"{say(pair[0], 'm')} × {say(pair[1], 'm')}" if pair else "–"
        name = KINDS[room.kind] if room.kind in LETTERS else room.name
        groups.setdefault((room.kind, name, size), []).append(room)
    rows = []
    for (_, name, size), rooms in groups.items():
        floor = sum(abs(area(room.polygon)) for room in rooms)
        count = str(len(rooms))
        rows.append((ranges([marks[room.key] for room in rooms]), name, size, count, say(floor, "m2")))
    for kind, (letter, _, name) in MARKS.items():
        count = sum(1 for marked in layout.marks if marked.kind == kind)
        if count:
            rows.append((f"({letter})", f"{name}, proposed", "–", str(count), "–"))
    return Schedule("Rooms", ("Mark", "Room", "Size, clear", "Number", "Floor"), tuple(rows), on_sheet=True)


def _about(layout: Layout, say: Say) -> str:
    counts: dict[str, int] = {}
    for room in layout.rooms:
        name = KINDS[room.kind].split(",")[0].lower()
        counts[name] = counts.get(name, 0) + 1
    listed = ", ".join(f"{name} ({number} of them)" if number > 1 else name for name, number in counts.items())
    across = max(x for x, _ in layout.plot) - min(x for x, _ in layout.plot)
    deep = max(y for _, y in layout.plot) - min(y for _, y in layout.plot)
    return (
        f"A plan of a plot that measures {say(across, 'm')} by {say(deep, 'm')} over all, {say(abs(area(layout.plot)), 'm2')}. "
        f"On it stand: {listed}. {len(layout.roofs)} {'roof' if len(layout.roofs) == 1 else 'roofs'}. The path shown is that of a vehicle "
        f"{say(layout.vehicle.length_m, 'm')} long and {say(layout.vehicle.width_m, 'm')} wide. The table names each room by its mark."
    )


def _notes(layout: Layout, say: Say) -> tuple[str, ...]:
    """What the lines mean, and what of the roofs a plan can't show."""
    lines = (
        "Filled lines are walls; broken ones mesh fronts and the edges of roofs; the thin line within the plot is the set-back. Sizes are "
        "clear, between walls. The broken band is what the vehicle passes over; arrows in channels show where water runs."
    )
    roofs = dict.fromkeys(
        f"pitch {roof.pitch_degrees:.3g}°, eaves {say(roof.eaves_height_m, 'm')}, overhang {say(roof.overhang_m, 'm')}" for roof in layout.roofs
    )
    return (lines, f"Roofs: {'; '.join(roofs)}.") if roofs else (lines,)


def site_plan(layout: Layout, say: Say) -> Drawing:
    """The plan, dimensioned, with a schedule of rooms; north is up unless the layout says otherwise."""
    marks = named(layout)
    openings = [opening for room in layout.rooms for opening in room.openings]
    gate = layout.gate
    figures: list[Figure] = []
    for start, end in zip(layout.plot, [*layout.plot[1:], layout.plot[0]], strict=True):
        figures += [Path("rooms", piece, pen="chain") for piece in without(start, end, [(gate.start, gate.end)], 0.05)]
    if layout.usable and layout.usable != layout.plot:
        figures.append(_closed("rooms", layout.usable, "fine"))
    for roof in layout.roofs:
        figures += [_closed("roof", roof.polygon, "dashed"), Path("roof", roof.ridge, pen="chain")]
    for aisle in layout.aisles:
        figures.append(_closed("vehicle" if aisle.kind == "lane" else "rooms", aisle.polygon, "fine"))
    for room in layout.rooms:
        figures += _room(room, marks[room.key])
    figures += [_closed("bays", bed, "fine") for bed in layout.beds]
    for wall in layout.walls:
        figures += _wall(wall, openings)
    for room in layout.rooms:
        for opening in room.openings:
            figures += _opening(opening, room)
    for drain in layout.drains:
        figures += _drain(drain)
    for fall in layout.falls:
        figures += _fall(fall)
    figures += [_mark(marked) for marked in layout.marks]
    if layout.swept:
        figures.append(_closed("vehicle", layout.swept, "dashed"))
    if len(layout.path) > 1:
        figures += [Path("vehicle", layout.path, pen="chain"), *_arrow("vehicle", layout.path[-2], layout.path[-1], "chain")[1:]]
    figures += _gate(layout, say)
    for given in layout.dimensions:
        length = math.dist(given.start, given.end)
        words = say(length, "m") if given.label in UNNAMED else f"{given.label} {say(length, 'm')}"
        figures.append(Dimension(given.start, given.end, words, 0.0, given.offset_m))
    return Drawing(
        key="plan", title="Plan of the yard", about=_about(layout, say), figures=tuple(figures), schedule=schedule(layout, say),
        notes=_notes(layout, say), north=layout.north, scales=(50, 100, 200),
    )  # fmt: skip


def _gate(layout: Layout, say: Say) -> list[Figure]:
    gate = layout.gate
    middle = ((gate.start[0] + gate.end[0]) / 2, (gate.start[1] + gate.end[1]) / 2)
    degrees = math.degrees(math.atan2(gate.inward[1], gate.inward[0]))
    arrow = (
        Path("vehicle", ((-7.0, 0.0), (-1.0, 0.0))),
        Path("vehicle", ((0.0, 0.0), (-2.6, 1.0), (-2.6, -1.0)), True, "fine", "solid"),
    )
    wide = math.dist(gate.start, gate.end)
    along = ((gate.end[0] - gate.start[0]) / wide, (gate.end[1] - gate.start[1]) / wide)
    beside = (along[0] * 3.0 - gate.inward[0] * 3.6, along[1] * 3.0 - gate.inward[1] * 3.6)
    words = Words("text", beside, f"gate {say(wide, 'm')}", anchor="start" if beside[0] >= 0 else "end")
    posts: list[Figure] = [
        Sign(post, (Path("walls", ((-0.8, -0.8), (0.8, -0.8), (0.8, 0.8), (-0.8, 0.8)), True, "fine", "solid"),))
        for post in (gate.start, gate.end)
    ]
    return [*posts, Sign(middle, arrow, degrees), Sign(gate.end, (words,))]
