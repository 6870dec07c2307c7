"""Sheets for the wall and the clipboard, one page of A4 each, with the yard's name and its own figures where they belong.

A view of results that are there already: where a calculator gave none, the sheet keeps a line to fill in by hand.
"""

from __future__ import annotations

from collections.abc import Callable

from calculators.plan import Evaluated, Result
from calculators.topics.mix import small_ratio
from calculators.units import show
from calculators.view.batch_papers import lines_table, to_fill
from calculators.view.elements import Element, h
from calculators.view.forms import in_words
from calculators.view.safety_plan import CALLS

TUBS_DRAWN = 12
"""Tubs of a ratio that are drawn one by one; more are told as a number."""
BATCH_ROWS = 8


def _result(evaluated: Evaluated, key: str) -> Result | None:
    found = evaluated.step(key)
    return found if isinstance(found, Result) else None


def _answer(evaluated: Evaluated, key: str, name: str) -> str:
    """An answer of the plan in words, or a line to fill in."""
    result = _result(evaluated, key)
    if result is None:
        return "_____"
    standing = result.standings[name]
    return in_words(standing.answer, standing.value, evaluated.plan.shown)


def _head(evaluated: Evaluated, title: str, *labels: str) -> list[Element]:
    return [h("h2", title), to_fill(("Yard", *labels), {"Yard": evaluated.plan.title})]


def _part(title: str) -> Element:
    return h("p", h("strong", title), class_="part-title")


def _rows(names: tuple[str, ...] | int, columns: int) -> list[list[str]]:
    """Rows to write in, with names in the first column or with nothing."""
    if isinstance(names, int):
        return [[""] * columns for _ in range(names)]
    return [[name, *[""] * (columns - 1)] for name in names]


def _ticks(items: tuple[str, ...]) -> Element:
    return h("ul", [h("li", f"☐ {words}") for words in items], class_="plan-ticks")


def daily_log(evaluated: Evaluated) -> Element:
    """One day of the yard: what came, what was done to which heap, what left, what was seen."""
    came = ("Kind", "Tubs", "kg", "Refused or picked out, kg", "Remarks")
    kinds = ("Kitchen waste", "Market waste", "Green garden waste", "Dry leaves", "")
    done = ("Heap or bay", "Built, turned, watered, moved, emptied", "Heart °", "Edge °", "Foot °", "Hand test", "Water", "By")
    went = ("What", "Amount", "To whom, price")
    return h(
        "article",
        _head(evaluated, "Log of one day", "Date (month in letters)", "Weather, hottest air", "Present (number)", "Written by"),
        lines_table(list(came), _rows(kinds, len(came)), "What came"),
        lines_table(list(done), _rows(12, len(done)), "What was done at the heaps (read before you turn; hand test: dry, right, wet)"),
        lines_table(list(went), _rows(("Compost", "Rejects taken away", "Water from the sump", ""), len(went)), "What left"),
        _part("Before going home"),
        _ticks(("fresh food covered", "floor washed, drain clear", "shredder off, locked", "tubs and tools clean", "doors and mesh closed",
                "no smell at the fence", "leaf store: no smoke, no warmth", "hands and boots washed")),
        to_fill(("Accidents, near misses", "Visitors, complaints", "To do tomorrow"), {}),
        class_="wall-sheet",
    )  # fmt: skip


def batch_card(evaluated: Evaluated) -> Element:
    """The card that hangs at a heap from its first layer to its last sack."""
    mix = _result(evaluated, "mix")
    turned = ("No.", "Date", "Heart ° before", "Edge °", "Foot °", "Hand test", "Water", "To bay", "By")
    marks = ("First layer", "Heap closed and covered", "First hot reading", "End of the hot stage: heats no more when turned",
             "Moved to curing, or to worms", "Squeeze, jar and radish test", "Screened", "Laboratory report, number", "First sold or used")  # fmt: skip
    return h(
        "article",
        _head(evaluated, "Card of one batch", "Batch", "Bay", "Begun on", "Made of", "Kept for records by"),
        _part("As planned"),
        h("ul",
          h("li", f"Mix: {mix.outputs.tub_ratio if mix else '_____'}."),
          h("li", f"Turn every {_answer(evaluated, 'bays', 'turning_interval_days')}; hot stage {_answer(evaluated, 'bays', 'first_stage_days')}; "
                  f"curing {_answer(evaluated, 'bays', 'curing_days')}. The readings decide, not the calendar.")),
        lines_table(list(turned), _rows(tuple(str(line) for line in range(1, 17)), len(turned)), "Turnings (read first, then turn)"),
        lines_table(["What", "Date", "Result, by"], _rows(marks, 3), "Marks in its life"),
        h("p", "A new heap that takes over this bay gets a new card. Keep this one with the log of temperatures.", class_="hint"),
        class_="wall-sheet",
    )  # fmt: skip


def weigh_in(evaluated: Evaluated) -> Element:
    """A tally of containers weighed full and empty, for one day of a weigh-in week."""
    weighed = ("No.", "Street or stall", "Kind", "Full, kg", "Empty, kg", "Waste, kg", "Does not belong, kg")
    return h(
        "article",
        _head(evaluated, "Tally of a weigh-in", "Date and weekday", "Scale checked with (kg)", "Homes passed", "Homes that put out", "Weighed by"),
        lines_table(list(weighed), _rows((*(str(line) for line in range(1, 29)), "Sum"), len(weighed)), "A line for each container"),
        h("p", "Kind: kitchen, market, garden or leaves. Waste = full less empty. Tip ten containers of the day on a sheet, pick out what does not "
          "belong with tongs and gloves, and weigh that. Never reach in: glass and needles are found.", class_="hint"),
        class_="wall-sheet",
    )  # fmt: skip


INSPECTED = (
    ("Ground and water", ("Floor falls to the drain; no puddle after washing", "Drain and sump clear, cover on", "Gutters and downpipes clear; no drip on heaps",
                          "Rain tank closed against mosquitoes")),
    ("Building", ("Mesh whole, no gap at floor or door", "Walls upright, no new crack", "Roof sheets and posts fast", "Lanes free, marked, lit")),
    ("Machines and power", ("Guards on and fast", "Stop button works", "Lock and tag at the isolator", "Cables, plugs, earth: seen by an electrician on ________")),
    ("Fire", ("Leaf store low, apart, no warmth inside", "Extinguisher or hose ready, date good", "No smoking near leaves; way free for the fire service")),
    ("Heaps", ("Each heap has a card; readings of each day", "Hottest reading: ____ ° in heap ____", "Covered; no food seen; no flies hatch",
               "Hot stage held long enough by the rule: ____")),
    ("People", ("Gloves, boots, masks, muffs there and worn", "Soap, water, towel, toilet, shade, drinking water", "First-aid box full; tetanus cover asked",
                "New people shown round; plan signed")),
    ("Papers and neighbours", ("Weights in and out add up for the month", "Complaints answered, with date", "Permits and tests in date", "No smell at the fence: walk round it")),
)  # fmt: skip
"""What an inspection looks at, by place."""


def inspection(evaluated: Evaluated) -> Element:
    """A monthly walk through the yard with boxes to tick."""
    bodies = [
        h("tbody", h("tr", h("th", group, scope="rowgroup", colspan="4", class_="group-name")),
          [h("tr", h("th", item, scope="row"), [h("td", cell) for cell in ("☐", "☐", "")]) for item in items])
        for group, items in INSPECTED
    ]  # fmt: skip
    head = h("tr", [h("th", words, scope="col") for words in ("Look at", "Good", "Not", "What is to be done, by whom, until when")])
    return h(
        "article",
        _head(evaluated, "Inspection of the yard", "Date", "Inspected by", "With (from the yard)"),
        h("div", h("table", h("caption", "Walk the way of the waste, from the gate to the store"), h("thead", head), bodies, class_="log-lines"),
          class_="table-frame", tabindex="0", role="region", aria_label="What to look at"),
        to_fill(("Stop work until mended", "Next inspection", "Signed"), {}),
        h("p", "A yard’s own check; no one is certified by it. The authority’s list comes first.", class_="hint"),
        class_="wall-sheet",
    )  # fmt: skip


def safety_poster(evaluated: Evaluated) -> Element:
    """Rules for the wall in large letters, with the fill mark and the heat rule of this yard."""
    safety, heat = _result(evaluated, "safety"), _result(evaluated, "heat_stress")
    system = evaluated.plan.shown
    fill = "Fill a tub to the mark, no more."
    if safety and safety.outputs.recommended_fill_l > 0:
        fill = f"Fill a tub to {show(safety.outputs.recommended_fill_l, 'l', system, 2)}, no more."
    drink = f"Water there for all: {show(heat.outputs.drinking_water_l, 'l', system, 2)} a shift. A cup at a time, often." if heat else "Drink often, a cup at a time."
    rules = (
        ("Machine", "Guards on. Hands out. Before clearing a jam: stop, isolate, lock, wait until all stands still."),
        ("Hot heap", "Stand upwind. Open it from one side. Steam scalds; spores rise: wear the mask, wet what dusts."),
        ("Smoke", "Do not dig. Everyone out and upwind. Call the fire service."),
        ("Lifting", f"{fill} Close to the body; turn with the feet. More than that: two people or a barrow."),
        ("Heat", f"{drink} Rest in the shade. Dizzy or confused: shade, water on the skin, call for help."),
        ("Pits", "Never climb into a sump, tank or pit, not even to help. Call the fire service."),
        ("Sharps", "Tongs for glass and needles, into the hard box. Pricked: wash with soap, see a doctor today."),
        ("Vehicles", "Nobody behind a vehicle that backs. One person guides it, in the driver’s sight."),
        ("Electricity", "Dry hands. A damaged cable or plug: do not touch, switch off at the isolator, call the electrician."),
        ("Hands", "Soap and water before eating, drinking, smoking, and going home. Work clothes stay here."),
    )
    return h(
        "article",
        h("p", h("strong", "Go home well"), class_="poster-title"),
        h("p", evaluated.plan.title, class_="poster-yard"),
        h("dl", [h("div", h("dt", name), h("dd", words)) for name, words in rules], class_="poster-rules"),
        to_fill(CALLS[:5], {}),
        h("p", "Local law comes first. Cough, fever or a wound after work: tell the doctor that you work with compost.", class_="hint"),
        class_="wall-sheet poster",
    )  # fmt: skip


def _tub(x: float, y: float, filled: bool) -> list[Element]:
    lines = [h("path", d=f"M{x + 12 + step * 8} {y + 44}L{x + 16 + step * 8} {y + 8}", class_="picture-thin") for step in range(4)] if filled else []
    return [h("path", d=f"M{x} {y}L{x + 8} {y + 50}L{x + 44} {y + 50}L{x + 52} {y}Z", class_="picture-pale picture-thick" if filled else "picture-thick"),
            *lines, h("path", d=f"M{x - 3} {y}L{x + 55} {y}", class_="picture-thick")]  # fmt: skip


def _tubs(count: int, filled: bool, about: str) -> Element:
    """A row of tubs, so many on a line; a number where there are too many to draw."""
    if count > TUBS_DRAWN:
        return h("p", f"{count} ×", class_="tub-count")
    across = min(count, 6)
    lines = -(-count // 6)
    parts = [_tub(6 + place % 6 * 66, 8 + place // 6 * 66, filled) for place in range(count)]
    return h("svg", h("title", about), parts, viewBox=f"0 0 {max(across, 1) * 66} {lines * 66}", role="img", aria_label=about, focusable="false",
             class_=f"tubs tubs-{across}")  # fmt: skip


def _counted(tubs: int) -> str:
    return "1 tub" if tubs == 1 else f"{tubs} tubs"


def tub_card(evaluated: Evaluated) -> Element:
    """The yard's own ratio of wet waste to bulking, as tubs to count at the heap."""
    result = _result(evaluated, "mix")
    if result is None:
        return h("article", h("h2", "Mix by the tub"), h("p", "The mix does not come out with these answers: see the page ‘Mix’."), class_="wall-sheet tub-card")
    outputs, system = result.outputs, evaluated.plan.shown
    wet, bulking = small_ratio(outputs.food_tubs_per_day, outputs.bulking_tubs_per_day)
    water = next((row[2] for row in outputs.batch if row[0] == "water"), 0.0)
    dry = in_words(result.standings["bulking_material"].answer, result.standings["bulking_material"].value, system).split(",")[0].lower()
    litres = show(result.inputs.tub_l, "l", system, 2)
    fill = _answer(evaluated, "mix", "tub_fill_percent")
    others = [row for row in outputs.batch[:BATCH_ROWS] if row[1]]
    return h(
        "article",
        h("h2", "Mix by the tub"),
        h("p", evaluated.plan.title, class_="poster-yard"),
        h("p", h("strong", outputs.tub_ratio[:1].upper() + outputs.tub_ratio[1:]), class_="poster-title"),
        h("div",
          [_part(f"Wet waste: {wet}"), _tubs(wet, True, f"{_counted(wet)} of wet waste")] if wet else None,
          [_part(f"Bulking, {dry}: {bulking}"), _tubs(bulking, False, f"{_counted(bulking)} of {dry}")] if bulking else None,
          h("p", f"and about {show(water, 'l', system, 2)} of water, by the hand test" if water else "Water only where the hand test says ‘too dry’",
            class_="tub-water"),
          class_="picture"),
        h("ol",
          h("li", f"A tub holds {litres} and is filled to {fill}. The same tub for everything."),
          h("li", "Tip the bulking first, the wet waste on it, and mix both with the fork before the next batch."),
          h("li", "Squeeze a handful: one to a few drops is right. Runs: one tub of bulking more. Crumbles: water."),
          h("li", "Cover the day’s work with leaves or cured compost.")),
        h("p", f"A full tub may weigh {show(outputs.filled_tub_kg, 'kg', system, 2)}: two people or a barrow where it is above the lifting limit.", class_="hint"),
        h("details", h("summary", "What is in one batch"),
          h("ul", [h("li", f"{row[0]}: {show(row[1], 'tub', system, 2)}, {show(row[3], 'kg', system, 2)}") for row in others]), class_="fold no-print"),
        h("p", "Work it out again when the waste or the leaves change.", class_="hint"),
        to_fill(("Worked out on", "Look again on"), {}),
        class_="wall-sheet tub-card",
    )  # fmt: skip


SHEETS: dict[str, Callable[[Evaluated], Element]] = {
    "daily-log": daily_log,
    "batch-card": batch_card,
    "weigh-in": weigh_in,
    "inspection": inspection,
    "safety-poster": safety_poster,
    "tub-card": tub_card,
}
"""Each sheet by the name that a page asks for."""
