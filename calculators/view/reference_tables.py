"""Tables of the reference data for reading: materials, sources, link names, cautions."""

from __future__ import annotations

from collections.abc import Callable

from calculators import catalogue, reference
from calculators.cautions import gather
from calculators.declare import RaisedCaution
from calculators.entries import limits_in_words
from calculators.topics import quality
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


def quality_limits() -> Element:
    """Every limit of every quality grade side by side: a row for each parameter, a column for each grade."""
    grades = list(quality.GRADES.values())
    rows = []
    for key in quality.LIMITED:
        cells = []
        for grade in grades:
            limits = [row for row in quality.limits_of(grade["key"]) if row["parameter"] == key]
            kinds = " ".join(f"status-{row['status'].replace(' ', '-')}" for row in limits[:1])
            words = "; ".join(quality.limit_words(row) for row in limits) or "–"
            cells.append(h("td", h("span", words, class_=f"figure-of {kinds}", title=_known(limits)), class_="words"))
        rows.append(h("tr", h("th", quality.PARAMETERS[key]["label"], scope="row"), cells))
    head = [h("th", "Parameter", scope="col")] + [
        h("th", h("a", grade["short"], href=f"sources.html#source-{grade['source']}"), scope="col") for grade in grades
    ]
    return _frame("Quality limits side by side: those in italics are from memory or chosen here", head, rows)


def _known(limits: list[quality.Row]) -> str:
    return "; ".join(dict.fromkeys(STATUS_WORDS[row["status"]] for row in limits)) or "no limit"


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
        }.get(answer.kind, limits_in_words(answer))
        rows.append(
            h("tr", h("th", h("code", answer.link_name), scope="row"), h("td", answer.label, class_="words"),
              h("td", answer.unit if answer.unit != "1" else "–"), h("td", form, class_="words"),
              h("td", calculator.title, class_="words"))
        )  # fmt: skip
    head = [h("th", words, scope="col") for words in ("Name", "What it is", "Unit", "Allowed", "Asked by")]
    return _frame("Names of answers in links and on the command line", head, rows)


def cautions() -> Element:
    """Every caution in the reference data."""
    shown = gather(("", RaisedCaution(caution.key)) for caution in reference.cautions().values())
    return caution_list(shown, "All cautions") or h("p", "None.")


TABLES: dict[str, Callable[[], Element]] = {
    "materials": materials,
    "sources": sources,
    "names": names,
    "quality-limits": quality_limits,
    "all-cautions": cautions,
}
