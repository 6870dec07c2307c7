"""Tables of the reference data for reading: materials, sources, link names, cautions."""

from __future__ import annotations

from collections.abc import Callable

from calculators import catalogue, reference
from calculators.cautions import gather
from calculators.declare import RaisedCaution
from calculators.entries import limits_in_words
from calculators.units import show_number
from calculators.view.elements import Element, h
from calculators.view.forms import STATUS_WORDS
from calculators.view.results import caution_list, full_citation

_COLUMNS = (
    ("moisture_percent_wet", "Moisture, % of wet mass"),
    ("nitrogen_percent_dry", "Nitrogen, % of dry mass"),
    ("carbon_to_nitrogen", "C:N"),
    ("bulk_density_kg_m3", "Bulk density, kg/m³"),
    ("organic_matter_percent_dry", "Organic matter, % of dry mass"),
)
_GROUPS = {"food": "Food", "green": "Green", "brown": "Brown, bulking", "manure": "Manure", "other": "Other"}


def _frame(caption: str, head: list[Element], rows: list[Element]) -> Element:
    return h(
        "div",
        h("table", h("caption", caption), h("thead", h("tr", head)), h("tbody", rows)),
        class_="table-frame", tabindex="0", role="region", aria_label=caption,
    )  # fmt: skip


def _figure_cell(figure: reference.Figure | None) -> Element:
    if figure is None:
        return h("td", "–")
    spread = ""
    if figure.low != figure.high:
        spread = f" ({show_number(figure.low, 3)}–{show_number(figure.high, 3)})"
    kind = figure.status.replace(" ", "-")
    return h(
        "td",
        h("span", show_number(figure.typical, 3), class_=f"figure-of status-{kind}", title=STATUS_WORDS[figure.status]),
        h("span", spread, class_="spread"),
        h("br"),
        h("a", STATUS_WORDS[figure.status], href=f"sources.html#source-{figure.source}", class_="cell-source"),
    )


def materials() -> Element:
    """Every material with its figures, their spread, and how each is known."""
    rows = []
    for group, title in _GROUPS.items():
        for material in reference.materials().values():
            if material.group != group:
                continue
            notes = [material.note] if material.note else []
            rows.append(
                h("tr", h("th", material.name, h("br"), h("span", f"{title} · {material.key}", class_="hint"),
                          [h("p", note, class_="hint") for note in notes], scope="row"),
                  [_figure_cell(getattr(material, name)) for name, _ in _COLUMNS])
            )  # fmt: skip
    head = [h("th", "Material", scope="col")] + [h("th", label, scope="col") for _, label in _COLUMNS]
    return _frame("Materials: typical figure, spread in brackets, how it is known", head, rows)


def sources() -> Element:
    """Every source, with an anchor."""
    listed = sorted(reference.sources().values(), key=lambda each: each.citation.casefold())
    return h(
        "ul",
        [h("li", full_citation(source), id=f"source-{source.key}") for source in listed],
        class_="sources",
    )


def names() -> Element:
    """The name of every answer in links and on the command line."""
    rows = []
    seen: set[str] = set()
    for calculator, answer in catalogue.every_answer():
        if answer.name in seen:
            continue
        seen.add(answer.name)
        form = {
            "series": f"{len(answer.rows)} values parted by ;",
            "table": "rows parted by ; cells by : – " + ", ".join(column.name for column in answer.columns),
            "choice": " or ".join(option.key for option in answer.options[:6])
            + (" …" if len(answer.options) > 6 else ""),
            "flag": "yes or no",
            "text": "words",
            "log": "text of many lines",
        }.get(answer.kind, limits_in_words(answer))
        rows.append(
            h("tr", h("th", h("code", answer.link_name), scope="row"), h("td", answer.label, class_="words"),
              h("td", answer.unit if answer.unit != "1" else "–"), h("td", form, class_="words"),
              h("td", calculator.title, class_="words"))
        )  # fmt: skip
    head = [h("th", words, scope="col") for words in ("Name", "What it is", "Unit", "Allowed", "Asked by")]
    return _frame("Names of answers in links and on the command line", head, rows)


def temperature_rules() -> Element:
    """Every published rule of time at temperature, as its text has it."""
    rows = []
    for rule in (*reference.rows_of("temperature_rules", "rules"), *reference.rows_of("temperature_rules", "vector")):
        superseded = " Superseded." if rule.get("superseded") else ""
        asked = {"yes": "yes", "no": "no", "not said": "not said: both are told"}[rule.get("in_a_row", "yes")]
        rows.append(
            h("tr", h("th", rule["title"], scope="row"), h("td", rule["wording"] + "." + superseded, class_="words"), h("td", asked, class_="words"),
              h("td", rule["meant_for"], class_="words"),
              h("td", h("a", STATUS_WORDS[rule["status"]], href=f"../reference/sources.html#source-{rule['source']}", class_="cell-source"), class_="words"))
        )  # fmt: skip
    head = [h("th", words, scope="col") for words in ("Rule", "What its text asks for", "In a row?", "Meant for", "How known")]
    return _frame("Published rules of time at temperature", head, rows)


def cautions() -> Element:
    """Every caution in the reference data."""
    shown = gather(("", RaisedCaution(caution.key)) for caution in reference.cautions().values())
    return caution_list(shown, "All cautions") or h("p", "None.")


TABLES: dict[str, Callable[[], Element]] = {
    "materials": materials,
    "sources": sources,
    "names": names,
    "temperature-rules": temperature_rules,
    "all-cautions": cautions,
}
