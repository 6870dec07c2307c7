"""Tables of the reference data for reading: materials, sources, link names, cautions, signs of trouble and their causes."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from calculators import catalogue, reference
from calculators.cautions import gather
from calculators.declare import RaisedCaution
from calculators.entries import limits_in_words
from calculators.topics import quality
from calculators.units import UNITS, show_number, without_unit_suffix
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


def _lines(items: list[tuple[str, str]]) -> list[Element]:
    return [h("p", h("strong", f"{head} "), words) for head, words in items if words]


def troubles() -> Element:
    """Signs, each with links to the causes that explain it, then the causes with what to do: plain links, for reading without scripts."""
    signs = reference.rows_of("troubles", "signs")
    causes = reference.rows_of("troubles", "causes")
    label = {row["key"]: row["label"] for row in signs}
    measured = {row["key"]: row["words"] for row in reference.rows_of("troubles", "figures")}
    groups = []
    for group in dict.fromkeys(row["group"] for row in signs):
        items = []
        for sign in signs:
            if sign["group"] == group:
                found = sorted((row for row in causes if sign["key"] in row["explains"]), key=lambda row: sign["key"] not in row["first_if"])
                items.append(h("li", h("strong", sign["label"]), ": ",
                               [[", " if place else "", h("a", row["name"].lower(), href=f"#cause-{row['key']}")] for place, row in enumerate(found)],
                               ".", id=f"sign-{sign['key']}"))  # fmt: skip
        groups += [h("h3", group), h("ul", items)]
    listed = [
        h("section",
          h("h3", row["name"], id=f"cause-{row['key']}"),
          h("p", row["why"]),
          _lines([("Today:", row["today"]), ("To be sure:", row["check"]), ("So that it does not come back:", row["then"])]),
          h("p", h("strong", "Explains: "),
            [["; " if place else "", h("span", label[key])] for place, key in enumerate(row["explains"])], "."),
          _lines([("Speaks for it:", "; ".join(measured[key] for key in row["speaks_for"])),
                  ("Speaks against it:", "; ".join([label[key] for key in row["contradicts"]] + [measured[key] for key in row["speaks_against"]]))]),
          [h("p", h("strong", f"{caution.title}. "), caution.text, class_="caution") for caution in map(reference.caution, row["cautions"])],
          h("p", "Cause and cure: ", _trouble_source(row), class_="source-line"),
          class_="cause")
        for row in causes
    ]  # fmt: skip
    return h("div", h("h2", "From sign to cause", id="from-sign-to-cause"), groups, h("h2", "Causes, and what to do", id="causes"), listed, class_="troubles")


def _trouble_source(row: Mapping[str, str]) -> list[Element | str]:
    if row["source"] in ("common_practice", "chosen_here", "from_memory"):
        return [STATUS_WORDS[row["status"]], "."]
    source = reference.source(row["source"])
    return [h("a", source.citation, href=f"../reference/sources.html#source-{source.key}"), f" ({STATUS_WORDS[row['status']]})."]


METALS = ("arsenic", "cadmium", "chromium", "copper", "lead", "mercury", "nickel", "zinc")
"""Those that most grades limit; the whole table stands on the page of quality limits."""


def metal_limits() -> Element:
    """Limits of metals: a row for each grade, so that it fits on paper."""
    rows = []
    for grade in quality.GRADES.values():
        limits = {row["parameter"]: row for row in quality.limits_of(grade["key"]) if row["parameter"] in METALS}
        if not limits:
            continue
        old = " (superseded)" if grade["superseded"] else ""
        rows.append(h("tr", h("th", grade["short"], old, scope="row"), [_metal_cell(limits.get(metal)) for metal in METALS],
                      h("td", h("a", _known(list(limits.values())), href=f"../reference/sources.html#source-{grade['source']}",
                                class_="cell-source"), class_="words")))  # fmt: skip
    head = [h("th", "Grade", scope="col"), [h("th", _short(quality.PARAMETERS[metal]["label"]), scope="col") for metal in METALS],
            h("th", "How known", scope="col", class_="words")]  # fmt: skip
    return _frame("Metals in compost, at most, mg/kg of dry mass; in italics from memory; * basis not stated", head, rows)


def _metal_cell(row: quality.Row | None) -> Element:
    if row is None:
        return h("td", "–")
    if (row["sense"], row["unit"]) != ("at most", "mg_kg"):
        raise ValueError(f"the table of metals can't say {row['sense']} in {row['unit']}")
    star = "" if row["basis"] == "dry" else "*"
    return h("td", h("span", show_number(float(row["limit"])) + star, class_=f"figure-of status-{row['status'].replace(' ', '-')}",
                     title=STATUS_WORDS[row["status"]]))  # fmt: skip


def _short(label: str) -> str:
    """'Cadmium (Cd)' as 'Cadmium'."""
    return str(label).partition(" (")[0].partition(",")[0]


def turned_heap_rules() -> Element:
    """The published rules of time at temperature that fit turned heaps, shortly."""
    rows = [
        h("tr", h("th", rule["title"], scope="row"), h("td", rule["meant_for"], class_="words"),
          h("td", {"yes": "yes", "no": "no", "not said": "not said"}[rule.get("in_a_row", "yes")], class_="words"),
          h("td", h("a", STATUS_WORDS[rule["status"]], href=f"../reference/sources.html#source-{rule['source']}", class_="cell-source"), class_="words"))
        for rule in reference.rows_of("temperature_rules", "rules")
        if "turned" in rule["fits"]
    ]  # fmt: skip
    head = [h("th", words, scope="col", class_="words") for words in ("Rule", "Meant for", "In a row?", "How known")]
    return _frame("Time at temperature for turned heaps", head, rows)


def units_table() -> Element:
    """Every unit: its sign, what it measures, its name in words, what else may be written, and its counterpart."""
    rows = []
    for unit in sorted(UNITS.values(), key=lambda each: each.quantity):
        if unit.quantity in ("number", "pieces"):
            continue
        counterpart = UNITS[unit.imperial].symbol if unit.imperial else "–"
        others = ", ".join(alias for alias in unit.aliases if alias != unit.symbol)
        rows.append(h("tr", h("th", unit.symbol or unit.key, scope="row"), h("td", unit.spoken or "–", class_="words"), h("td", unit.quantity, class_="words"),
                      h("td", others or "–", class_="words"), h("td", counterpart, class_="words")))  # fmt: skip
    head = [h("th", words, scope="col", class_="words") for words in ("Sign", "In words", "Measures", "May also be written", "In feet and pounds")]
    return _frame("Units", head, rows)


def symbols() -> Element:
    """The units in which names end, with an example of each."""
    found: dict[str, tuple[str, str, str]] = {}
    named = [(each.name, each.unit, each.label) for _, each in catalogue.every_answer()]
    named += [(each.name, each.unit, each.label) for calculator in catalogue.CALCULATORS for each in calculator.results.values()]
    for name, unit, label in named:
        ending = name[len(without_unit_suffix(name, unit)) :] if unit in UNITS else ""
        if ending:
            found.setdefault(ending, (unit, name, label))
    rows = [
        h("tr", h("th", h("code", ending), scope="row"), h("td", UNITS[unit].spoken or UNITS[unit].quantity, class_="words"),
          h("td", h("code", name), class_="words"), h("td", label, class_="words"))
        for ending, (unit, name, label) in sorted(found.items())
    ]  # fmt: skip
    head = [h("th", words, scope="col", class_="words") for words in ("Ending", "Means", "Example", "Which is")]
    return _frame("Endings of names", head, rows)


TABLES: dict[str, Callable[[], Element]] = {
    "materials": materials,
    "sources": sources,
    "names": names,
    "quality-limits": quality_limits,
    "temperature-rules": temperature_rules,
    "all-cautions": cautions,
    "troubles": troubles,
    "metal-limits": metal_limits,
    "turned-heap-rules": turned_heap_rules,
    "units": units_table,
    "symbols": symbols,
}
