"""Schematic pictures of the handbook, drawn from code: few lines, each thing named beside it.

They show how things lie to each other, not sizes; what is to scale is a drawing (``view.drawings``). One unit is a pixel of
a small phone, so that words stay readable there. Colours come from the style sheet; nothing needs colour to be told apart.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

from calculators.reference import figure
from calculators.units import show_number
from calculators.view.elements import Element, h

WIDTH = 360
LINE = 14
"""From one line of words to the next."""
Point = tuple[float, float]


def _at(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".") if abs(value) >= 0.05 else "0"


def _path(points: Sequence[Point], class_: str = "picture-line", closed: bool = False) -> Element:
    steps = "M" + "L".join(f"{_at(x)} {_at(y)}" for x, y in points) + ("Z" if closed else "")
    return h("path", d=steps, class_=class_)


def _shape(steps: str, class_: str = "picture-line") -> Element:
    return h("path", d=steps, class_=class_)


def _words(x: float, y: float, text: str, anchor: str = "start", strong: bool = False) -> list[Element]:
    """Words at a place; a bar parts lines."""
    class_ = "picture-words picture-strong" if strong else "picture-words"
    return [
        h("text", line, x=_at(x), y=_at(y + LINE * place), text_anchor=None if anchor == "start" else anchor, class_=class_)
        for place, line in enumerate(text.split("|"))
    ]


def _arrow(points: Sequence[Point], class_: str = "picture-line") -> list[Element]:
    """A line with a head at its end."""
    (fromx, fromy), (x, y) = points[-2], points[-1]
    turn = math.atan2(y - fromy, x - fromx)
    head = [(x - 7 * math.cos(turn + side), y - 7 * math.sin(turn + side)) for side in (0.42, -0.42)]
    return [_path(points, class_), _path([(x, y), *head], "picture-solid", closed=True)]


def _named(thing: Point, words: Point, text: str) -> list[Element]:
    """A thin line from a thing to its name at the right of it, with a dot at the thing."""
    x, y = words
    return [h("circle", cx=_at(thing[0]), cy=_at(thing[1]), r="2", class_="picture-solid"),
            _path([thing, (x - 4, y - 4)], "picture-thin"), *_words(x, y, text)]  # fmt: skip


def _ground(y: float, left: float = 6, right: float = 216) -> list[Element]:
    strokes = [_path([(x, y), (x - 5, y + 6)], "picture-thin") for x in range(int(left) + 8, int(right), 12)]
    return [_path([(left, y), (right, y)], "picture-thick"), *strokes]


HEAP = "M22 190L42 78Q48 60 66 58Q110 48 154 58Q172 60 178 78L198 190Z"
"""The outline of a heap that stands on the ground at 190."""


def _across(y: float) -> tuple[float, float]:
    """Where the sides of the heap lie at a height of the picture."""
    share = (190 - y) / (190 - 78)
    return 22 + 20 * share, 198 - 20 * share


def _heap_layers() -> tuple[list[Any], int]:
    made: list[Any] = [*_ground(190), _shape(HEAP, "picture-pale")]
    for place, y in enumerate((168, 150, 132, 114, 96)):
        left, right = _across(y)
        made.append(_path([(left, y), (right, y)], "picture-line" if place == 0 else "picture-dashed"))
    left, right = _across(180)
    twigs = [(left + 4 + 12 * step, 186 if step % 2 else 172) for step in range(int((right - left - 8) // 12) + 1)]
    made.append(_path(twigs, "picture-thin"))
    made.append(_shape("M38 102Q46 72 68 70Q110 60 152 70Q174 72 182 102", "picture-line"))
    made += _named((110, 62), (222, 52), "Cover: dry leaves or|cured compost")
    made += _named((150, 84), (222, 92), "Layers of wet waste|mixed with leaves")
    made += _named((160, 132), (222, 132), "Between them: water,|by the hand test")
    made += _named((168, 178), (222, 172), "Bed: coarse twigs or|straw lets air in")
    made += [*_arrow([(4, 160), (26, 176)]), *_words(2, 152, "air")]
    return made, 206


def _heap_places() -> tuple[list[Any], int]:
    made: list[Any] = [*_ground(190), _shape(HEAP, "picture-pale"),
                       h("ellipse", cx="110", cy="122", rx="46", ry="36", class_="picture-dashed")]  # fmt: skip
    made += [_path([(92, 36), (108, 122)], "picture-thick"), _path([(26, 82), (62, 110)], "picture-thick"),
             _path([(4, 150), (52, 172)], "picture-thick")]  # fmt: skip
    made += _named((108, 122), (222, 60), "1 Heart: hottest")
    made += _named((62, 110), (222, 112), "2 Edge: cooler, drier,|a forearm deep")
    made += _named((52, 172), (222, 164), "3 Foot: coolest and|wettest; often fails")
    made += [*_words(86, 30, "1", "end", True), *_words(20, 80, "2", "end", True), *_words(2, 140, "3", "start", True)]
    return made, 206


def _heap_turning() -> tuple[list[Any], int]:
    made: list[Any] = [*_ground(150, 6, 354)]
    for left in (16, 206):
        made.append(_shape(f"M{left} 150L{left + 16} 66Q{left + 22} 52 {left + 36} 50Q{left + 67} 44 {left + 98} 50"
                           f"Q{left + 112} 52 {left + 118} 66L{left + 134} 150Z", "picture-pale"))  # fmt: skip
        made.append(h("ellipse", cx=_at(left + 67), cy="104", rx="34", ry="28", class_="picture-dashed"))
    made += [*_words(83, 108, "heart", "middle"), *_words(83, 66, "outside", "middle"), *_words(273, 108, "outside", "middle"),
             *_words(273, 66, "heart", "middle")]  # fmt: skip
    made += _arrow([(120, 62), (156, 30), (210, 30), (248, 94)])
    made += _arrow([(100, 118), (170, 134), (214, 92)], "picture-dashed")
    made += [*_words(83, 22, "Before", "middle", True), *_words(290, 22, "After", "middle", True)]
    made += _words(180, 176, "The outside goes into the heart, the heart goes outside.|Lumps are broken; dry places get water.", "middle")
    return made, 198


def _timeline() -> tuple[list[Any], int]:
    hot = figure("heaps", "stages", "active_stage_days").typical
    cured = hot + figure("heaps", "stages", "curing_stage_days").typical
    rule, highest = figure("heat", "rule", "hot_c").typical, figure("heaps", "temperature", "upper_limit_c").typical
    left, right, top, floor = 40.0, 350.0, 30.0, 170.0

    def place(day: float, warm: float) -> Point:
        return left + (right - left) * day / cured, floor - (floor - top) * (warm - 15) / 60

    made: list[Any] = [_path([(left, top - 6), (left, floor), (right, floor)], "picture-thick")]
    for degrees in (rule, highest):
        made += [_path([place(0, degrees), place(cured, degrees)], "picture-dashed"),
                 *_words(left - 4, place(0, degrees)[1] + 4, show_number(degrees, 2), "end")]  # fmt: skip
    made += _words(left - 34, top - 14, "°C in the heart")
    turns = [7 + figure("heaps", "stages", "manual_windrow_turn_interval_days").typical * step for step in range(10)]
    turns = [day for day in turns if day < hot]
    curve = [place(0, 28), place(1, 42), place(2, 56), place(4, 63)]
    for turn in turns:
        peak = 64 - 0.0045 * turn**2 * 1.6
        curve += [place(turn, peak), place(turn + 0.3, peak - 14), place(turn + 1.5, peak - 2)]
    made.append(_path([*curve, place(hot, 48), place(hot + 8, 38), place(hot + 22, 32), place(cured, 29)], "picture-thick"))
    for turn in turns:
        x, y = place(turn, 15)
        made.append(_path([(x, y), (x - 4, y + 7), (x + 4, y + 7)], "picture-solid", closed=True))
    x = place(hot, 15)[0]
    made += [_path([(x, top - 6), (x, floor + 22)], "picture-line"), *_words((left + x) / 2, floor + 22, "hot stage", "middle", True),
             *_words((x + right) / 2, floor + 22, "curing", "middle", True)]  # fmt: skip
    made += _words(right - 2, 92, "no more turning:|it cools to the|warmth of the air", "end")
    made += [*_words(left, floor + 38, "day 1"), *_words(x, floor + 38, f"day {show_number(hot, 2)}", "middle"),
             *_words(right, floor + 38, f"day {show_number(cured, 2)}", "end")]  # fmt: skip
    made += [_path([(left + 4, floor + 52), (left, floor + 59), (left + 8, floor + 59)], "picture-solid", closed=True),
             *_words(left + 14, floor + 59, "turned: it cools for hours, then heats again")]  # fmt: skip
    return made, int(floor + 70)


def _air_and_water() -> tuple[list[Any], int]:
    made: list[Any] = [
        _path([(8, 70), (118, 22), (244, 70)], "picture-thick"), _path([(26, 64), (26, 196)], "picture-line"),
        _path([(214, 60), (214, 196)], "picture-line"), _path([(20, 168), (20, 196), (32, 196), (32, 168)], "picture-pale", closed=True),
        _path([(208, 168), (208, 200), (220, 202), (220, 168)], "picture-pale", closed=True),
        _path([(6, 194), (244, 204)], "picture-thick"), _shape("M56 196L68 128Q74 116 120 114Q166 116 172 128L184 201Z", "picture-pale"),
        _path([(244, 204), (244, 220), (266, 220), (266, 204)], "picture-thick"),
        _shape("M238 72Q244 82 252 72", "picture-thick"), _path([(248, 78), (248, 128), (286, 128)], "picture-line"),
        _path([(286, 112), (286, 156), (340, 156), (340, 112)], "picture-line"), _path([(286, 124), (340, 124)], "picture-thin"),
    ]  # fmt: skip
    for y in range(80, 166, 10):
        made += [_path([(24, y), (28, y)], "picture-thin"), _path([(212, y), (216, y)], "picture-thin")]
    made += _arrow([(4, 150), (40, 160), (66, 184)])
    made += _words(33, 126, "cool|air")
    for x in (98, 120, 142):
        made += _arrow([(x, 112), (x + 4, 92), (x - 2, 76)])
    made += _arrow([(118, 66), (118, 34)])
    made += _words(126, 62, "warm, wet air")
    for x in (160, 184, 208):
        made += _path_rain(x)
    made += [*_words(176, 16, "rain"), *_words(313, 104, "rain tank", "middle"), *_words(313, 144, "clean", "middle")]
    made += _arrow([(186, 198), (238, 200)], "picture-dashed")
    made += _words(255, 238, "drain, to the sump", "middle")
    made += _words(8, 222, "floor falls to the drain;|brown water stays apart")
    made += _words(120, 160, "heap", "middle", True)
    return made, 250


def _path_rain(x: float) -> list[Element]:
    return [_path([(x, 10), (x - 4, 20)], "picture-thin"), _path([(x + 8, 20), (x + 4, 30)], "picture-thin")]


def _fist(x: float, y: float) -> list[Element]:
    """A closed hand seen from the back of the fingers, the arm coming from above at the left."""
    knuckles = [h("path", d=f"M{_at(x + 14 * place)} {_at(y)}q7 -7 14 0v26q-7 9 -14 0Z", class_="picture-pale") for place in range(4)]
    arm = _shape(f"M{_at(x - 2)} {_at(y + 4)}L{_at(x - 20)} {_at(y - 26)}M{_at(x + 18)} {_at(y - 4)}L{_at(x + 2)} {_at(y - 34)}", "picture-line")
    thumb = _shape(f"M{_at(x - 6)} {_at(y + 12)}q-6 8 4 12l28 4q8 -5 0 -11l-18 -3", "picture-pale")
    return [arm, *knuckles, thumb]


def _drop(x: float, y: float) -> Element:
    return _shape(f"M{_at(x)} {_at(y)}q-5 8 0 10q5 -2 0 -10Z", "picture-solid")


def _hand_test() -> tuple[list[Any], int]:
    made: list[Any] = []
    for x, title, below in ((34, "too dry", "no drop; it|crumbles when|you open"), (152, "right", "one to a few|drops; the ball|holds together"),
                            (270, "too wet", "water runs|between the|fingers")):  # fmt: skip
        made += [*_fist(x, 56), *_words(x + 24, 16, title, "middle", True), *_words(x + 24, 144, below, "middle")]
    made += [h("circle", cx=_at(x), cy=_at(y), r="2.2", class_="picture-solid") for x, y in ((44, 100), (54, 108), (64, 102), (72, 112), (50, 118))]
    made += [_drop(176, 100), _drop(190, 110)]
    made += [_path([(x, 94), (x, 124)], "picture-thick") for x in (282, 294, 306, 318)]
    made += [_drop(288, 112), _drop(312, 114)]
    made += [_path([(118, 6), (118, 180)], "picture-thin"), _path([(238, 6), (238, 180)], "picture-thin")]
    return made, 184


def _worm_bed() -> tuple[list[Any], int]:
    made: list[Any] = [
        _path([(6, 46), (112, 14), (218, 46)], "picture-thick"), *_ground(192),
        _path([(24, 90), (24, 184), (200, 190), (200, 90)], "picture-thick"), _path([(200, 186), (214, 190)], "picture-thick"),
        _shape("M26 92Q60 84 112 88Q164 84 198 92", "picture-thick"), _path([(26, 108), (198, 108)], "picture-line"),
        _path([(26, 150), (198, 150)], "picture-dashed"), _path([(26, 170), (198, 174)], "picture-line"),
    ]  # fmt: skip
    for x, y in ((40, 122), (84, 116), (126, 124), (166, 118), (58, 138), (108, 140), (150, 136)):
        made.append(_shape(f"M{x} {y}q5 -6 9 0t9 0t9 0", "picture-line"))
    made += [h("circle", cx=_at(x), cy=_at(y), r="1.6", class_="picture-thin") for x in range(36, 196, 14) for y in (178, 183)]
    made += _named((150, 26), (226, 30), "Roof and shade")
    made += _named((150, 87), (226, 66), "Wet sacking")
    made += _named((188, 100), (226, 92), "Thin layer of cooled,|half-finished compost")
    made += _named((180, 124), (226, 128), "Worms feed here")
    made += _named((184, 162), (226, 156), "Finished worm compost")
    made += _named((180, 182), (226, 182), "Gravel; floor falls|to an outlet")
    return made, 208


PICTURES: dict[str, tuple[str, str, Callable[[], tuple[list[Any], int]]]] = {
    "heap-layers": (
        "A new heap, cut across",
        "A heap with sloping sides stands on the floor. At the bottom lies a bed of coarse twigs through which air comes in; above it four layers of "
        "wet waste mixed with leaves, with water between them where it is needed; over everything a cover of dry leaves or cured compost.",
        _heap_layers,
    ),
    "heap-places": (
        "Where to read the temperature",
        "A heap cut across with three probes: one deep in the heart, which is hottest; one a forearm deep in the edge; one in the foot, which is "
        "coolest and wettest.",
        _heap_places,
    ),
    "heap-turning": (
        "What turning does",
        "Two heaps side by side, before and after turning. Arrows lead from the outside of the first to the heart of the second, and from the heart "
        "of the first to the outside of the second.",
        _heap_turning,
    ),
    "timeline": (
        "Life of a heap",
        "The temperature in the heart of a heap against days. It climbs above the line of the heat rule within days, falls for some hours at each turning and heats again, "
        "each time a little less. At the end of the hot stage it sinks, and through curing comes down to the warmth of the air.",
        _timeline,
    ),
    "air-and-water": (
        "Ways of air and water through a bay",
        "A bay under a roof, cut across. Cool air comes in through the mesh to the foot of the heap; warm, wet air rises from the top and leaves at the "
        "ridge. Rain runs off the roof through a gutter into a tank. The floor falls to a drain, which leads brown water to the sump.",
        _air_and_water,
    ),
    "hand-test": (
        "The hand test for moisture",
        "Three fists that squeeze a handful. Too dry: no drop, and it crumbles. Right: one to a few drops, and the ball holds. Too wet: water runs "
        "between the fingers.",
        _hand_test,
    ),
    "worm-bed": (
        "A worm bed, cut across",
        "A shallow walled bed under a roof. From top to bottom: wet sacking, a thin layer of cooled half-finished compost, the layer in which worms feed, "
        "finished worm compost, gravel on a floor that falls to an outlet.",
        _worm_bed,
    ),
}  # fmt: skip
"""Each picture: its caption, what it shows in words, and how it is drawn (figures, height)."""


def picture(name: str) -> Element:
    """The picture of that name with its caption. Raises ``KeyError``."""
    title, about, drawn = PICTURES[name]
    parts, height = drawn()
    return h(
        "figure",
        h("svg", h("title", title, id=f"picture-{name}-title"), h("desc", about, id=f"picture-{name}-about"), parts,
          viewBox=f"0 0 {WIDTH} {height}", role="img", aria_labelledby=f"picture-{name}-title",
          aria_describedby=f"picture-{name}-about", focusable="false"),
        h("figcaption", title, h("span", " Schematic, not to scale.", class_="hint")),
        class_="picture",
    )  # fmt: skip
