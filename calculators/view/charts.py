"""Charts drawn as SVG in one quiet line style, each with its figures in a table.

Sizes are in the drawing's own units: 360 wide, the width of a small phone, so that letters stay readable there.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

from calculators.declare import Chart
from calculators.units import convert, display_symbol, display_unit, show_number
from calculators.view.elements import Element, h

WIDTH = 360.0
LEFT = 44.0
RIGHT = 10.0
TOP = 16.0
PLOT_HEIGHT = 150.0
SHADES = 5
SHORT_LABEL = 5
"""Names longer than this would be cut under an upright bar; then the bars lie."""
ROW_HEIGHT = 20.0
NAME_WIDTH = 128.0
SPAN_HEIGHT = 260.0
FIGURE_WIDTH = 44.0
SWING_HEIGHT = 32.0
SWING_MARGIN = 8.0


def _round(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".")


def _nice_top(value: float) -> tuple[float, float]:
    """A round top of the scale at or above ``value`` and the distance between its lines."""
    if value <= 0:
        return 1.0, 0.5
    rough = value / 4
    power = 10.0 ** math.floor(math.log10(rough))
    for factor in (1, 2, 2.5, 5, 10):
        if factor * power >= rough * (1 - 1e-9):
            step = factor * power
            break
    return step * math.ceil(value / step - 1e-9), step


def _text(x: float, y: float, words: str, anchor: str = "middle", class_: str = "chart-text") -> Element:
    return h("text", words, x=_round(x), y=_round(y), text_anchor=anchor, class_=class_)


def draw(chart: Chart, system: str, key: str) -> Element:
    """The chart with its caption and a table of its figures. ``key`` makes its identifiers unique on a page."""
    shown = display_unit(chart.unit, system)
    symbol = display_symbol(chart.unit, system)
    if chart.kind == "spans":
        drawing = _spans(chart, key)
    elif chart.kind == "swings":
        drawing = _swings(chart, shown, symbol, key)
    elif chart.kind == "record":
        drawing = _record(chart, shown, symbol, key)
    elif chart.kind == "bars" and len(chart.lines) == 1 and max(map(len, chart.labels), default=0) > SHORT_LABEL:
        drawing = _rows(chart, shown, symbol, key)
    else:
        drawing = _plot(chart, shown, symbol, key)
    title = f"{chart.title}, {symbol}" if symbol else chart.title
    return h(
        "figure",
        h("figcaption", title),
        drawing,
        _record_legend(chart) if chart.kind == "record" else _legend(chart) if len(chart.lines) > 1 else None,
        _span_figures(chart, key) if chart.kind == "spans" else _figures(chart, shown, symbol, key),
        class_="chart",
    )


def _legend(chart: Chart) -> Element:
    return h(
        "ul",
        [
            h("li", h("span", class_=f"swatch shade-{index % SHADES}", aria_hidden="true"), line.label)
            for index, line in enumerate(chart.lines)
        ],
        class_="legend",
    )


def _figures(chart: Chart, shown: str, symbol: str, key: str) -> Element:
    def cell(value: float | None) -> str:
        return "–" if value is None else show_number(convert(value, chart.unit, shown), 3)

    head = h(
        "tr",
        h("th", chart.axis or "", scope="col"),
        [h("th", f"{line.label}, {symbol}" if symbol else line.label, scope="col") for line in chart.lines],
    )
    body = [
        h("tr", h("th", label, scope="row"), [h("td", cell(line.values[index])) for line in chart.lines])
        for index, label in enumerate(chart.labels)
    ]
    return _folded(chart, h("table", h("thead", head), h("tbody", body)), key)


def _folded(chart: Chart, figures: Element, key: str) -> Element:
    return h(
        "details",
        h("summary", "The figures of this chart"),
        h("div", figures, class_="table-frame", tabindex="0", role="region", aria_label=f"Figures: {chart.title}"),
        data_keep=f"{key}-figures",
    )  # fmt: skip


def _plot(chart: Chart, shown: str, symbol: str, key: str) -> Element:
    def in_shown(value: float) -> float:
        return convert(value, chart.unit, shown)

    stacked = chart.kind == "bars"
    tops = [
        sum(in_shown(line.values[index] or 0.0) for line in chart.lines)
        if stacked
        else max((in_shown(line.values[index] or 0.0) for line in chart.lines), default=0.0)
        for index in range(len(chart.labels))
    ]
    top, step = _nice_top(max([*tops, *(in_shown(mark.value) for mark in chart.marks)], default=0.0))
    plot_width = WIDTH - LEFT - RIGHT
    bottom = TOP + PLOT_HEIGHT

    def up(value: float) -> float:
        return bottom - PLOT_HEIGHT * value / top

    parts: list[Any] = [h("title", chart.title, id=f"{key}-title"), h("desc", _in_a_sentence(chart, shown, symbol))]
    level = 0.0
    while level <= top * (1 + 1e-9):
        parts.append(
            h("line", x1=_round(LEFT), x2=_round(WIDTH - RIGHT), y1=_round(up(level)), y2=_round(up(level)),
              class_="chart-rule")
        )  # fmt: skip
        parts.append(_text(LEFT - 5, up(level) + 4, show_number(level, 3), "end"))
        level += step
    slots = max(len(chart.labels), 1)
    slot = plot_width / slots
    if stacked:
        parts.extend(_bars(chart, in_shown, up, slot))
    else:
        parts.extend(_lines(chart, in_shown, up, slot))
    every = max(1, math.ceil(slots / 13))
    for index, label in enumerate(chart.labels):
        if index % every == 0:
            short = label if len(label) * 6.2 <= slot * every else label[: max(1, int(slot * every / 6.6))]
            parts.append(_text(LEFT + slot * (index + 0.5), bottom + 14, short))
    for mark in chart.marks:
        y = up(in_shown(mark.value))
        parts.append(h("line", x1=_round(LEFT), x2=_round(WIDTH - RIGHT), y1=_round(y), y2=_round(y),
                       class_="chart-mark"))  # fmt: skip
        parts.append(_text(WIDTH - RIGHT, y - 4, mark.label, "end", "chart-text chart-mark-text"))
    return h("svg", parts, viewBox=f"0 0 {WIDTH:.0f} {bottom + 22:.0f}", role="img",
             aria_labelledby=f"{key}-title", focusable="false")  # fmt: skip


def _rows(chart: Chart, shown: str, symbol: str, key: str) -> Element:
    """Bars that lie, each with its name before and its figure behind."""
    line = chart.lines[0]
    values = [convert(value or 0.0, chart.unit, shown) for value in line.values]
    marks = [(convert(mark.value, chart.unit, shown), mark.label) for mark in chart.marks]
    top = max([*values, *(value for value, _ in marks)], default=0.0) or 1.0
    room = WIDTH - NAME_WIDTH - FIGURE_WIDTH
    height = ROW_HEIGHT * len(values) + 22
    parts: list[Any] = [h("title", chart.title, id=f"{key}-title"),
                        h("desc", _in_a_sentence(chart, shown, symbol))]  # fmt: skip
    for index, (label, value) in enumerate(zip(chart.labels, values, strict=True)):
        y = 6 + ROW_HEIGHT * index
        short = label if len(label) <= 21 else label[:20] + "…"
        long = room * max(value, 0.0) / top
        parts.append(_text(NAME_WIDTH - 6, y + 13, short, "end"))
        parts.append(h("rect", x=_round(NAME_WIDTH), y=_round(y + 3), width=_round(long), height="13",
                       class_="chart-bar shade-0"))  # fmt: skip
        parts.append(_text(NAME_WIDTH + long + 4, y + 13, show_number(value, 3), "start"))
    for value, label in marks:
        x = NAME_WIDTH + room * value / top
        parts.append(h("line", x1=_round(x), x2=_round(x), y1="4", y2=_round(height - 16), class_="chart-mark"))
        parts.append(_text(x, height - 4, label, "end", "chart-text chart-mark-text"))
    return h("svg", parts, viewBox=f"0 0 {WIDTH:.0f} {_round(height)}", role="img", aria_labelledby=f"{key}-title",
             focusable="false")  # fmt: skip


def _swings(chart: Chart, shown: str, symbol: str, key: str) -> Element:
    """From the mark to each row's two values, the name above; the second bar is lower, so that shade alone says nothing."""
    centre = convert(chart.marks[0].value, chart.unit, shown)
    ends = [[convert(line.values[index] or 0.0, chart.unit, shown) for line in chart.lines]
        for index in range(len(chart.labels))]
    low, high = min([centre, *map(min, ends)]), max([centre, *map(max, ends)])
    room = WIDTH - 2 * SWING_MARGIN
    height = SWING_HEIGHT * len(ends) + 34

    def across(value: float) -> float:
        return SWING_MARGIN + room * (value - low) / ((high - low) or 1.0)

    parts: list[Any] = [h("title", chart.title, id=f"{key}-title"), h("desc", _in_a_sentence(chart, shown, symbol))]
    x = across(centre)
    for row, (label, values) in enumerate(zip(chart.labels, ends, strict=True)):
        y = 4 + SWING_HEIGHT * row
        parts.append(h("line", x1=_round(x), x2=_round(x), y1=_round(y + 14), y2=_round(y + 29), class_="chart-mark"))
        parts.append(_text(SWING_MARGIN, y + 11, label, "start"))
        for shade, value in enumerate(values):
            left, right = sorted((across(centre), across(value)))
            tall = 12.0 if shade == 0 else 6.0
            parts.append(h("rect", x=_round(left), y=_round(y + 27 - tall), width=_round(right - left), height=_round(tall),
                           class_=f"chart-bar shade-{shade}"))  # fmt: skip
    anchor = "start" if x < WIDTH / 3 else "end" if x > WIDTH * 2 / 3 else "middle"
    parts.append(_text(x, height - 18, f"{chart.marks[0].label}: {show_number(centre, 3)}", anchor,
        "chart-text chart-mark-text"))
    parts.append(_text(SWING_MARGIN, height - 4, show_number(low, 3), "start"))
    parts.append(_text(WIDTH - SWING_MARGIN, height - 4, show_number(high, 3), "end"))
    return h("svg", parts, viewBox=f"0 0 {WIDTH:.0f} {_round(height)}", role="img", aria_labelledby=f"{key}-title",
             focusable="false")  # fmt: skip


def _bars(chart: Chart, in_shown: Any, up: Any, slot: float) -> list[Element]:
    made = []
    for index in range(len(chart.labels)):
        base = 0.0
        for shade, line in enumerate(chart.lines):
            value = in_shown(line.values[index] or 0.0)
            if value <= 0:
                continue
            made.append(
                h("rect", x=_round(LEFT + slot * (index + 0.14)), width=_round(slot * 0.72),
                  y=_round(up(base + value)), height=_round(up(base) - up(base + value)),
                  class_=f"chart-bar shade-{shade % SHADES}")
            )  # fmt: skip
            base += value
    return made


def _lines(chart: Chart, in_shown: Any, up: Any, slot: float) -> list[Element]:
    made = []
    for shade, line in enumerate(chart.lines):
        run: list[str] = []
        for index, value in enumerate((*line.values, None)):
            if value is not None:
                run.append(f"{_round(LEFT + slot * (index + 0.5))},{_round(up(in_shown(value)))}")
            elif run:
                made.append(h("polyline", points=" ".join(run), class_=f"chart-line shade-{shade % SHADES}"))
                run = []
    return made


def _record(chart: Chart, shown: str, symbol: str, key: str) -> Element:
    """Lines over time, each with a pattern of its own so that black and white tell them apart; bands, and events as arrows."""
    values = [convert(value, chart.unit, shown) for line in chart.lines for value in line.values if value is not None]
    marks = [(convert(mark.value, chart.unit, shown), mark.label) for mark in chart.marks]
    highest, lowest = max([*values, *(value for value, _ in marks)], default=1.0), min([*values, 0.0], default=0.0)
    top, step = _nice_top(highest)
    low = -step * math.ceil(-lowest / step) if lowest < 0 else 0.0
    width, bottom = WIDTH - LEFT - RIGHT, TOP + PLOT_HEIGHT
    slot = width / max(len(chart.labels), 1)

    def up(value: float) -> float:
        return bottom - PLOT_HEIGHT * (value - low) / (top - low)

    parts: list[Any] = [h("title", chart.title, id=f"{key}-title"), h("desc", _in_a_sentence(chart, shown, symbol))]
    for start, end, _ in chart.bands:
        parts.append(h("rect", x=_round(LEFT + width * start), y=_round(TOP), width=_round(width * (end - start)), height=_round(PLOT_HEIGHT),
                       class_="chart-band"))  # fmt: skip
    for level in (low + step * place for place in range(round((top - low) / step) + 1)):
        parts.append(h("line", x1=_round(LEFT), x2=_round(WIDTH - RIGHT), y1=_round(up(level)), y2=_round(up(level)), class_="chart-rule"))
        parts.append(_text(LEFT - 5, up(level) + 4, show_number(level, 3), "end"))
    every = max(1, math.ceil(len(chart.labels) * 44 / width))
    for index, label in enumerate(chart.labels):
        if index % every == 0:
            parts.append(_text(LEFT + slot * (index + 0.5), bottom + 14, label))
    for value, _ in marks:
        parts.append(h("line", x1=_round(LEFT), x2=_round(WIDTH - RIGHT), y1=_round(up(value)), y2=_round(up(value)), class_="chart-mark"))
    for index, line in enumerate(chart.lines):
        parts += _patterned(line.values, index, slot, lambda value: up(convert(value, chart.unit, shown)))
    for where, words in chart.events:
        x = LEFT + width * where
        parts.append(h("polygon", h("title", words), points=f"{_round(x - 4)},{_round(TOP - 9)} {_round(x + 4)},{_round(TOP - 9)} {_round(x)},{_round(TOP)}",
                       class_="chart-event"))  # fmt: skip
    return h("svg", parts, viewBox=f"0 0 {WIDTH:.0f} {bottom + 22:.0f}", role="img", aria_labelledby=f"{key}-title", focusable="false", class_="record")


def _patterned(values: Sequence[float | None], index: int, slot: float, up: Callable[[float], float]) -> list[Element]:
    """One line with gaps where nothing is known; a value that stands alone is a dot."""
    made: list[Element] = []
    run: list[tuple[float, float]] = []
    shade = f"chart-line shade-{index % SHADES} pattern-{index % SHADES}"
    for place, value in enumerate((*values, None)):
        if value is not None:
            run.append((LEFT + slot * (place + 0.5), up(value)))
            continue
        if len(run) == 1:
            made.append(h("circle", cx=_round(run[0][0]), cy=_round(run[0][1]), r="2", class_=shade))
        elif run:
            made.append(h("polyline", points=" ".join(f"{_round(x)},{_round(y)}" for x, y in run), class_=shade))
        run = []
    return made


def _record_legend(chart: Chart) -> Element:
    """A piece of each line with its name, then what the band and the arrows are."""
    items = [
        h("li", h("svg", h("line", x1="0", x2="30", y1="5", y2="5", class_=f"chart-line shade-{index % SHADES} pattern-{index % SHADES}"),
                  viewBox="0 0 30 10", class_="line-sample", aria_hidden="true", focusable="false"), line.label)
        for index, line in enumerate(chart.lines)
    ]  # fmt: skip
    if chart.events:
        items.append(h("li", "▼ turned"))
    items += [h("li", h("span", class_="swatch chart-band-swatch", aria_hidden="true"), words) for _, _, words in chart.bands]
    if chart.marks:
        items.append(h("li", "broken lines: " + ", ".join(mark.label for mark in chart.marks)))
    return h("ul", items, class_="legend")


def _in_a_sentence(chart: Chart, shown: str, symbol: str) -> str:
    said = []
    for line in chart.lines:
        known = [
            (convert(value, chart.unit, shown), label)
            for value, label in zip(line.values, chart.labels, strict=True)
            if value is not None
        ]
        if known:
            low, high = min(known), max(known)
            said.append(
                f"{line.label}: lowest {show_number(low[0], 3)} {symbol} ({low[1]}), "
                f"highest {show_number(high[0], 3)} {symbol} ({high[1]})"
            )
    return "; ".join(said)


def _spans(chart: Chart, key: str) -> Element:
    """A bar for each span in its row, the first row on top; the second kind is lower, so that shade alone says nothing."""
    rows = max((span.row for span in chart.spans), default=0) + 1
    step = min(12.0, max(3.0, SPAN_HEIGHT / rows))
    width = WIDTH - LEFT - RIGHT
    bottom = TOP + step * rows
    parts: list[Any] = [h("title", chart.title, id=f"{key}-title"),
                        h("desc", f"{len(chart.spans)} bars in {rows} rows; the table below has each of them.")]  # fmt: skip
    slot = width / max(len(chart.labels), 1)
    for index, label in enumerate(chart.labels):
        x = LEFT + slot * index
        parts.append(h("line", x1=_round(x), x2=_round(x), y1=_round(TOP), y2=_round(bottom), class_="chart-rule"))
        parts.append(_text(x + slot / 2, bottom + 14, label[: max(1, int(slot / 6.6))]))
    every = max(1, math.ceil(12 / step))
    for row in range(0, rows, every if every == 1 else 5 * math.ceil(every / 5)):
        parts.append(_text(LEFT - 5, TOP + step * row + min(step, 10), str(row + 1), "end"))
    for span in chart.spans:
        tall = step * (0.8 if span.line == 0 else 0.45)
        parts.append(
            h("rect", x=_round(LEFT + width * span.start), y=_round(TOP + step * (span.row + 0.9) - tall),
              width=_round(max(width * (span.end - span.start), 0.5)), height=_round(tall),
              class_=f"chart-bar shade-{span.line % SHADES}")
        )  # fmt: skip
    return h("svg", parts, viewBox=f"0 0 {WIDTH:.0f} {_round(bottom + 22)}", role="img", aria_labelledby=f"{key}-title",
             focusable="false")  # fmt: skip


def _span_figures(chart: Chart, key: str) -> Element:
    head = h("tr", [h("th", words, scope="col", class_="words") for words in chart.columns])
    body = [
        h("tr", h("th", span.words[0], scope="row"), [h("td", words, class_="words") for words in span.words[1:]])
        for span in chart.spans
    ]
    return _folded(chart, h("table", h("thead", head), h("tbody", body)), key)
