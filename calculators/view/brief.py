"""The figures of a brief for those who decide: what one yard asks for and gives, on half a page, and what is not measured."""

from __future__ import annotations

from collections.abc import Mapping

from calculators import catalogue
from calculators.cautions import ShownCaution
from calculators.plan import Evaluated, Result, example
from calculators.view import report, results
from calculators.view.elements import Element, h

FIGURES: Mapping[str, tuple[str, ...]] = {
    "Waste": ("arrivals.received_kg_per_day", "arrivals.busiest_day_kg", "arrivals.rejects_kg_per_day"),
    "Land and roof": ("bays.bays_total", "shed.fits_on_plot", "shed.plot_m2", "shed.covered_floor_m2", "shed.open_pad_m2"),
    "Services": ("water.tap_l_per_day", "water.sump_m3", "machines.energy_kwh_per_month", "machines.demand_kva"),
    "People": ("crew.crew_count", "crew.crew_present", "safety.lifting_index", "hazards.beyond_count", "hazards.missing_count"),
    "Money": ("money.investment", "money.running_cost_per_year", "money.whole_income_per_year", "money.cost_per_t",
              "money.net_cost_per_t", "money.saved_by_council_per_year", "money.not_priced"),
    "Product": ("product.product_kg_per_day", "product.first_product_day", "field.area_served_ha"),
    "Climate": ("climate.net_low_t", "climate.net_avoided_t", "climate.net_high_t"),
}  # fmt: skip
"""What someone who decides asks first, by the address of the figure."""


def _row(evaluated: Evaluated, address: str) -> Element | None:
    key, _, name = address.partition(".")
    result = evaluated.step(key)
    if not isinstance(result, Result):
        return None
    output = result.calculator.results[name]
    words = results.figure_words(output, getattr(result.outputs, name), evaluated.plan.shown)
    return h("tr", h("th", output.label, scope="row"), h("td", words, class_="words"),
             h("td", h("a", result.calculator.title, href=f"%page:{key}%"), class_="words"))  # fmt: skip


def _group(evaluated: Evaluated, title: str, addresses: tuple[str, ...]) -> Element:
    rows = [row for address in addresses if (row := _row(evaluated, address)) is not None]
    if not rows:
        rows = [h("tr", h("td", "no result with these answers", class_="words", colspan="3"))]
    return h("tbody", h("tr", h("th", title, scope="rowgroup", colspan="3", class_="table-group")), rows)


def _urgent(cautions: tuple[ShownCaution, ...]) -> list[Element]:
    listed = [h("li", h("strong", f"{caution.hazard_label}: "), caution.title) for caution in cautions if caution.urgent]
    return [h("p", "Urgent cautions that these figures raise", class_="part-title"), h("ul", listed)] if listed else []


def brief(evaluated: Evaluated) -> Element:
    """Whose figures these are, the table, the urgent cautions, and how much of it nobody has measured."""
    given = len(evaluated.own) - len(evaluated.guessed)
    start = example(evaluated.plan.example)["name"] if evaluated.plan.example else "the defaults"
    whose = f"Starts from {start}; {given} {'answer' if given == 1 else 'answers'} of its own." if given else f"All answers are those of {start}."
    open_points = report.not_measured(evaluated)
    caption = f"{evaluated.plan.title} in figures"
    head = h("tr", [h("th", words, scope="col", class_="words") for words in ("What", "Figure", "Worked out in")])
    return h(
        "div",
        h("p", h("strong", evaluated.plan.title), ". ", whose),
        h("div",
          h("table", h("caption", caption), h("thead", head),
            [_group(evaluated, title, addresses) for title, addresses in FIGURES.items()]),
          class_="table-frame", tabindex="0", role="region", aria_label=caption),
        _urgent(evaluated.cautions),
        h("p", f"Not measured yet: {len(open_points)} answers of this plan are defaults, guesses or the example's. The ",
          h("a", "report", href="%page:report%"), " lists them, each with how to measure it."),
        class_="brief-figures",
    )  # fmt: skip


def siting(evaluated: Evaluated) -> Element:
    """The distances that published guidances ask for, and how many of them this plot meets."""
    result = evaluated.step("siting")
    if not isinstance(result, Result):
        return results.answer(result)
    output = catalogue.BY_KEY["siting"].results["differences"]
    return results.output_table(output, result.outputs.differences, evaluated.plan.shown)
