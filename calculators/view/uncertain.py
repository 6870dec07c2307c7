"""Drawn years for reading: bands, swings, what to measure first, what was drawn; and the yard that was sized."""

from __future__ import annotations

from collections.abc import Sequence

from calculators.declare import MONTHS, Answer, Chart, Line, Mark
from calculators.reference import source
from calculators.simulate.size import Sized
from calculators.simulate.uncertain import (
    LEVELS,
    MEASURES,
    MONTHLY,
    Bands,
    Factor,
    Importance,
    Outcome,
    Ranges,
    Share,
    Swing,
    bands,
    what_to_measure_first,
)
from calculators.units import MINUS, System, show, show_number
from calculators.view import charts
from calculators.view.elements import Element, h

LEAST_YEARS = 20
"""Fewer years give no ranking: chance would rule it."""
MOST_BARS = 8
"""Factors drawn in a chart of swings, those that move it most."""
SWUNG = ("most_bays", "refused_kg", "hours_owed_most", "leaf_store_lowest")
"""The measures whose swings are drawn, where anything moves them."""


def _framed(caption: str, head: Sequence[str], rows: Sequence[Element]) -> Element:
    columns = [h("th", words, scope="col") for words in head]
    table = h("table", h("caption", caption), h("thead", h("tr", columns)), h("tbody", rows))
    return h("div", table, class_="table-frame", tabindex="0", role="region", aria_label=caption)


def share_words(share: Share) -> str:
    """'57 of 100 drawn years; of all such years it would be 47 to 67 in 100'."""
    low, high = show_number(100 * share.low, 2), show_number(100 * share.high, 2)
    return f"{share.held} of {share.years} drawn years; of all such years it would be {low} to {high} in 100"


def served(found: Bands) -> Element:
    """In how many of the years no waste was refused, with its interval."""
    return h("p", f"No waste is refused in {share_words(found.no_refusal)} (in 95 of 100 cases, by Wilson's interval).",
             class_="sentence")  # fmt: skip


def band_table(found: Bands, system: System | str) -> Element:
    """The percentiles of every figure."""
    rows = [
        h("tr", h("th", measure.label, scope="row"), [h("td", show(value, measure.unit, system)) for value in values])
        for measure, values in zip(MEASURES, found.figures, strict=True)
    ]
    caption = f"What {found.years} drawn years gave: so many in 100 of them lie at or below"
    return _framed(caption, ("Figure of a year", *(str(level) for level in LEVELS)), rows)


def month_charts(found: Bands, system: System | str, key: str) -> list[Element]:
    """The lowest, middle and highest of the years through the months, for each series that is not nought throughout."""
    short = tuple(month[:3] for month in MONTHS)
    made = []
    for series, months in zip(MONTHLY, found.months, strict=True):
        if any(max(band) > 0 for band in months):
            lines = tuple(
                Line(words, tuple(band[place] for band in months))
                for words, place in (("95 in 100 below", -1), ("middle", len(LEVELS) // 2), ("5 in 100 below", 0))
            )
            chart = Chart("lines", f"{series.label} in {found.years} drawn years, mean of a day in each month",
                series.unit, short,
                          lines, axis="Month")  # fmt: skip
            made.append(charts.draw(chart, system, f"{key}-{series.key}"))
    return made


def swing_charts(swings: Sequence[Swing], centre: Sequence[float], system: System | str, key: str) -> list[Element]:
    """For each measure of ``SWUNG`` that anything moves: how far each factor alone moves it, the furthest first."""
    made = []
    for index, measure in enumerate(MEASURES):
        if measure.key not in SWUNG:
            continue
        moved = [(abs(each.high[index] - centre[index]) + abs(each.low[index] - centre[index]), each) for each in swings]
        told = [each for wide, each in sorted(moved, key=lambda pair: -pair[0]) if wide > 1e-9][:MOST_BARS]
        if told:
            chart = Chart(
                "swings", f"{measure.label}, when one thing alone is at its low or its high end", measure.unit,
                tuple(each.factor.label for each in told),
                (Line("at its low end", tuple(each.low[index] for each in told)),
                 Line("at its high end", tuple(each.high[index] for each in told))),
                (Mark(centre[index], "as planned"),), axis="What is moved",
            )  # fmt: skip
            made.append(charts.draw(chart, system, f"{key}-swing-{measure.key}"))
    return made


def _goes_with(each: Importance) -> str:
    sign = "+" if each.correlation > 0 else MINUS
    return f"goes most with: {MEASURES[each.most].label.lower()} (rank correlation {sign}{abs(each.correlation):.2f})"


def measure_first(outcomes: Sequence[Outcome], ranges: Ranges) -> list[Element]:
    """What to measure first, in words, the most important first."""
    title = h("p", "What to measure first", class_="part-title")
    if len(outcomes) < LEAST_YEARS:
        return [title, h("p", f"Fewer than {LEAST_YEARS} years tell nothing of that.", class_="hint")]
    found = what_to_measure_first(outcomes, ranges)
    if not found:
        return [title, h("p", "Nothing that was drawn matters more than chance would make it seem.", class_="hint")]
    rows = [h("li", h("strong", each.factor.label), f": {each.factor.measure}; it {_goes_with(each)}.") for each in found]
    return [
        title,
        h("ol", rows),
        h("p", "The order adds the squares of the rank correlations with every figure above. What could be chance is left out: "
          "about one in twenty that does not matter may still stand here.", class_="hint"),
    ]  # fmt: skip


def _range_words(factor: Factor) -> str:
    shape = "any as likely as another" if factor.shape == "uniform" else f"most often near {show_number(factor.typical, 3)}"
    if factor.low == factor.high:
        return f"{show_number(factor.low, 3)} {factor.unit}"
    return f"{show_number(factor.low, 3)} to {show_number(factor.high, 3)} {factor.unit}, {shape}"


def what_was_drawn(ranges: Ranges, key: str) -> Element:
    """Every range with its source, folded away."""
    rows = [
        h("tr", h("th", factor.label, scope="row"), h("td", when), h("td", _range_words(factor), class_="words"),
          h("td", f"{factor.status}: {source(factor.source).citation}. {factor.note}.", class_="words"))
        for when, factors in (("for the year", ranges.year), ("each day", ranges.day)) for factor in factors
    ]  # fmt: skip
    table = _framed("What is drawn by lot", ("What", "Drawn", "Between", "From"), rows)
    return h("details", h("summary", "What is drawn by lot, and where the ranges come from"), table, data_keep=f"{key}-drawn")


def result(outcomes: Sequence[Outcome], swings: Sequence[Swing], centre: Sequence[float], ranges: Ranges,
           system: System | str, key: str = "uncertain") -> list[Element]:  # fmt: skip
    """Everything that drawn years say, for at least one of them. ``centre`` are the measures as planned."""
    found = bands(outcomes)
    return [
        served(found),
        band_table(found, system),
        *measure_first(outcomes, ranges),
        *month_charts(found, system, key),
        *swing_charts(swings, centre, system, key),
        what_was_drawn(ranges, key),
    ]


def block(shown: Sequence[Element], title: str, years: int, draws: int, seed: int) -> Element:
    """The place on a page: the years of the example, walked at build time, and the button that walks the reader's own."""
    return _walks(
        "uncertain", f"Walk {draws} uncertain years", "Uncertain years",
        f"The years below are {years} of {title}, drawn when this page was made.",
        [h("input", type="hidden", name="seed", value=str(seed)),
            h("input", type="hidden", name="draws", value=str(draws))], shown,
    )  # fmt: skip


def size_block(prices: Sequence[Answer], percent: float, years: int) -> Element:
    """The place on a page where the reader gives prices and the least-cost yard is searched."""
    fields = [
        h("div", h("label", price.label, for_=f"size-{price.name}"),
          h("input", type="text", inputmode="decimal", id=f"size-{price.name}", name=price.name,
              value=show_number(price.default, 6),
            autocomplete="off"), class_="tool")
        for price in prices
    ]  # fmt: skip
    whose = (
        "What a year of each costs you, in money; the figures that stand here are invented. A yard serves when in "
        f"{show_number(percent, 3)} of 100 drawn years (of {years}) no waste is refused and the crew never owes more than two "
        "days of its work."
    )
    return _walks("size", "Find the least-cost yard", "Size the yard", whose, fields, ())


def _walks(what: str, button: str, label: str, whose: str, fields: Sequence[Element], shown: Sequence[Element]) -> Element:
    """Fields, a button that begins long work, one that stops it, how far it is, and the result."""
    return h(
        "section",
        h("p", whose, class_="hint", data_walks_whose=True),
        h("div", fields, class_="tools"),
        h("p",
          h("button", button, type="button", data_walks_go=True, disabled=True),
          h("button", "Stop", type="button", class_="quiet", data_walks_stop=True, disabled=True),
          class_="tool-buttons"),
        h("progress", value="0", max="1", hidden=True, data_walks_progress=True, aria_label="How far the walks are"),
        h("p", "", role="status", class_="hint", data_walks_said=True),
        h("noscript",
            h("p", "Scripts are off here, so nothing can be walked; what stands here is the example yard's.", class_="hint")),
        h("div", shown, data_walks_result=True),
        class_="calculator uncertain", data_walks=what, aria_label=label,
    )  # fmt: skip


def size_found(found: Sized | None, percent: float, system: System | str, buys: bool = False) -> list[Element]:
    """The least-cost yard that serves, its cost and service, and the work of finding it; or that there is none.

    ``buys`` says that bulking is bought when leaves run short.
    """
    if found is None:
        return [h("p", h("strong", "No yard of those allowed serves: "),
                  f"even the largest of each refuses waste, or leaves work undone, in more than "
                  f"{show_number(100 - percent, 3)} of "
                  "100 years. Allow more bays, a larger store or a larger crew.", class_="sentence stopped")]  # fmt: skip
    rows = [
        ("Bays that heaps may take", show(found.candidate.bays, "bay", system)),
        ("Bays to build, with the spare ones", show(found.bays_built, "bay", system)),
        ("Leaf store", show(found.leaf_store_m3, "m3", system)),
        ("Workers present on a working day", show(found.candidate.crew, "worker", system)),
        ("Shredder takes", show(found.shredder.kg_per_hour, "kg/h", system)),
        ("Bulking bought, mean of the drawn years", show(found.bought_kg, "kg", system)),
        ("A year of it costs", show(found.cost, "money", system)),
        ("Of it for bought bulking", show(found.bought_cost, "money", system) if found.bought_cost else "nothing"),
        ("Serves in", share_words(found.share)),
        ("Found by", f"{found.walks} simulated years of {found.tried} yards, out of {found.candidates} that could be built"),
    ]
    table = [h("tr", h("th", words, scope="row"), h("td", value, class_="words")) for words, value in rows]
    of_same = "Yards of the same cost: the fewer bays, then the smaller store, then the smaller crew is taken."
    if found.bought_cost:
        about = "Bought bulking counts at its price in the plan, so a larger leaf store pays where it saves more than it costs. "
    elif buys and found.bought_kg > 0:
        about = (
            "The plan has no price of bulking, so what is bought costs nothing here and a small store looks cheap: give the "
            "price with the materials of the mix. "
        )
    else:
        about = ""
    return [
        _framed("The least-cost yard that serves", ("What", "How much"), table), h("p", about + of_same, class_="hint")
    ]  # fmt: skip
