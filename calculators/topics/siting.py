"""Siting: this plot's distances held against each published guidance, side by side.

Every guidance is rows of a reference table; a new one is new rows. Nothing is weighed: what is counted is how many rules
are met. Published guidances differ much, and none of them decides here: the local code does.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from calculators.declare import (
    Calculator,
    Chart,
    Column,
    Line,
    Mark,
    RaisedCaution,
    Say,
    choice,
    number,
    output,
    output_count,
    output_table,
    output_text,
    own_choice,
)  # fmt: skip
from calculators.reference import cited, rows_of
from calculators.units import convert, show_number
from calculators.working import Working

GUIDANCES = rows_of("siting", "guidances")
RULES = rows_of("siting", "rules")
SMALL_SITES = rows_of("siting", "small_sites")
SUBJECTS = {row["key"]: row["name"] for row in rows_of("siting", "subjects")}
MET, MISSED, UNKNOWN, CONDITIONS, DOES_NOT_APPLY = "met", "not met", "not measured", "only on its conditions", "does not apply"
FLOOD = {"outside": "no, outside it", "inside": "yes, inside it"}
WIND = {"away": "away from the nearest people", "towards": "towards the nearest people", "none": "no main direction"}
NOT_YET = own_choice("nothing until it is measured")
BIOAEROSOL_M = 250.0


def _distance(label: str, group: str, help: str, measure: str = "measure it on the map, then with a tape",
              high: float = 100_000) -> Any:
    return number(label, "m", None, low=0, high=high, blank=True, group=group, help=help, source=NOT_YET, measure=measure)


PEOPLE, WATER, GROUND, ACCESS = "Distance to people", "Distance to water", "Ground and wind", "Access"


@dataclass(frozen=True)
class Inputs:
    """What is measured on the plot; each may be empty."""

    nearest_home_m: float | None = _distance("Nearest home", PEOPLE,
                                             "From the nearest heap, bay or receiving floor to its wall.")
    nearest_workplace_m: float | None = _distance("Nearest workplace", PEOPLE, "Shop, office or workshop of others.")
    nearest_sensitive_m: float | None = _distance("Nearest school, hospital or park", PEOPLE, "And the like, to its boundary.")
    property_line_m: float | None = _distance("Edge of the property", PEOPLE, "From the nearest heap to the nearest edge.")
    nearest_well_m: float | None = _distance("Nearest well or borehole", WATER, "In use or not; ask the neighbours.")
    nearest_stream_m: float | None = _distance("Nearest stream or river", WATER, "To its bank in the rains.")
    nearest_pond_m: float | None = _distance("Nearest pond, lake or wetland", WATER, "To its edge in the rains.")
    nearest_ditch_m: float | None = _distance("Nearest drain or ditch", WATER, "One that leads to a stream or pond.")
    groundwater_depth_m: float | None = _distance(
        "Depth to groundwater in the wettest season", WATER, "Below the floor of the yard.",
        "ask well owners, or dig a pit in the rains", 1_000
    )
    in_flood_plain: str | None = choice(
        "Is the plot flooded in a rare flood?", FLOOD, None, blank=True, group=WATER,
        help="One that comes once in about a hundred years, by the map of the water authority.", source=NOT_YET,
        measure="ask the water authority and the oldest neighbours",
    )  # fmt: skip
    ground_slope_percent: float | None = number(
        "Slope of the ground", "percent", None, low=0, high=100, blank=True, group=GROUND,
        help="Metres of fall in 100 m, where heaps stand.",
        source=NOT_YET, measure="measure with a hose level or a long level",
    )  # fmt: skip
    prevailing_wind: str | None = choice(
        "The wind mostly blows", WIND, None, blank=True, group=GROUND, help="Over the months in which heaps are turned most.",
        source=NOT_YET, measure="watch a ribbon on a pole for some weeks, or ask the weather service",
    )  # fmt: skip
    access_road_m: float | None = _distance("Width of the road", ACCESS, "Where it is narrowest, between kerbs.",
                                            "measure with a tape", 100)
    gate_width_m: float = number(
        "Gate, clear width", "m", 3.1, low=1, high=20, follows="shed", group=ACCESS, help="When open.",
        measure="measure with a tape",
    )  # fmt: skip
    headroom_m: float | None = _distance("Clear height on the way in", ACCESS, "Under wires, branches, beams.",
                                         "measure with a pole", 100)
    dead_end_m: float | None = _distance(
        "Length of a dead end", ACCESS, "Drive without a place where a lorry can turn; 0 if there is one.",
        "measure with a tape", 10_000
    )
    fire_engine_m: float | None = _distance(
        "From a fire engine to the far end of the shed", ACCESS, "From where it can stand.", "walk it with a tape", 10_000
    )
    garden_kg_per_day: float = number(
        "Green garden waste kept", "kg/d", 40.0, low=0, high=1e6, follows="arrivals", group="From the steps before",
        help="One guidance asks for more distance where grass comes.",
    )  # fmt: skip
    heap_m3: float = number(
        "A heap when built", "m3", 3.0, low=0.01, high=2_000, follows="bays", group="From the steps before",
        help="For rules on small sites."
    )
    standing_heaps_first_stage: float = number(
        "Heaps standing in the first stage", "heap", 20.0, low=0, high=1e6, follows="bays", group="From the steps before",
        help="For rules on small sites.",
    )  # fmt: skip
    standing_heaps_curing: float = number(
        "Heaps standing in curing", "heap", 15.0, low=0, high=1e6, follows="bays", group="From the steps before",
        help="For rules on small sites.",
    )  # fmt: skip


@dataclass(frozen=True)
class Outputs:
    """What is met, what is not, what to measure, and where guidances differ."""

    guidances_met: int = output_count("Guidances met in all that they ask", "each", key_figure=True)
    guidances_missed: int = output_count("Guidances with a rule that is not met", "each", key_figure=True)
    guidances_open: int = output_count("Guidances with nothing missed but something not measured", "each", key_figure=True)
    siting_rules_met: int = output_count("Rules met", "each")
    rules_missed: int = output_count("Rules not met", "each")
    rules_open: int = output_count("Rules that wait for a measurement", "each")
    measure_first: str = output_text("Measure first", key_figure=True, help="What most rules wait for.")
    strictest_missed: str = output_text("Furthest from being met", key_figure=True)
    material_on_site_m3: float = output("Material in heaps, at most", "m3", help="All heaps as large as when built.")
    by_guidance: tuple[tuple[object, ...], ...] = output_table(
        "Each published guidance",
        (Column("guidance", "Guidance"), Column("written_for", "Written for"), Column("rules", "Its rules"),
         Column("reading", "Reading"),
         Column("status", "How known")),
    )  # fmt: skip
    differences: tuple[tuple[object, ...], ...] = output_table(
        "Where guidances differ, in distances",
        (Column("what", "Distance"), Column("said", f"Guidances that name one, of {len(GUIDANCES)}", "each"),
         Column("least", "Least asked", "m"), Column("most", "Most asked", "m"), Column("yours", "Yours", "m"),
         Column("met", "met by yours", "each")),
    )  # fmt: skip
    distance_rules: tuple[tuple[object, ...], ...] = output_table(
        "Distances, rule by rule",
        (Column("guidance", "Guidance"), Column("what", "What"), Column("asked", "Asked, as printed"),
         Column("yours", "Yours", "m"),
         Column("reading", "Reading"), Column("short", "Off by", "m")),
    )  # fmt: skip
    other_rules: tuple[tuple[object, ...], ...] = output_table(
        "Ground, floods, wind, rule by rule",
        (Column("guidance", "Guidance"), Column("what", "What"), Column("asked", "Asked"), Column("yours", "Yours"),
         Column("reading", "Reading")),
    )  # fmt: skip
    small_sites: tuple[tuple[object, ...], ...] = output_table(
        "Rules for small sites",
        (Column("rule", "Rule"), Column("limit", "Up to", "m3"), Column("yours", "Yours", "m3"), Column("reading", "Reading"),
         Column("status", "How known")),
    )  # fmt: skip


# ---- formulas -------------------------------------------------------------------------------------------------


def limit_of(rule: Mapping[str, Any]) -> float:
    """The limit of a rule in the unit of its subject: metres, or percent for a slope."""
    return float(rule["limit"]) if rule["unit"] == "percent" else convert(rule["limit"], rule["unit"], "m")


def reading_of(rule: Mapping[str, Any], value: float | str | None, garden_kg: float = 1.0) -> str:
    """What a value says to a rule: met, not met, not measured, only on its conditions, or that the rule does not apply.

    At the limit itself 'at least' and 'at most' are met, 'more than' is not: so the publications word them.
    """
    if rule.get("only_if") == "garden" and garden_kg <= 0:
        return DOES_NOT_APPLY
    if value is None:
        return UNKNOWN
    sense = rule["sense"]
    if sense in ("is", "conditions"):
        return MET if value == rule["limit"] else MISSED if sense == "is" else CONDITIONS
    limit = limit_of(rule)
    held = {"at least": value >= limit, "at most": value <= limit, "more than": value > limit}[sense]  # type: ignore[operator]
    return MET if held else MISSED


def short_by(rule: Mapping[str, Any], value: float) -> float:
    """How far a number is from the limit of a rule (0 where it is met, or would be at a hair more)."""
    away = limit_of(rule) - value
    return max(0.0, -away if rule["sense"] == "at most" else away)


def volume_standing(heap_m3: float, first_stage: float, curing: float) -> float:
    """Volume of the heaps of both stages (m³), each as large as when built: more than there is."""
    return heap_m3 * (first_stage + curing)


# ---- solving --------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Read:
    """One rule held against the plot."""

    rule: Mapping[str, Any]
    value: float | str | None
    reading: str

    @property
    def short(self) -> float | None:
        """How far from being met, ``None`` for what is no number or not missed."""
        if self.reading != MISSED or isinstance(self.value, str) or self.value is None:
            return None
        return short_by(self.rule, self.value)


def read_all(inputs: Inputs) -> list[_Read]:
    """Every rule of every guidance held against the plot, in the order of the reference table."""
    found = []
    for rule in RULES:
        value = getattr(inputs, rule["what"])
        found.append(_Read(rule, value, reading_of(rule, value, inputs.garden_kg_per_day)))
    return found


def _names() -> dict[str, str]:
    return {row["key"]: row["name"] for row in GUIDANCES}


def printed(rule: Mapping[str, Any]) -> str:
    """The rule as its publication prints it, the other unit behind: 'at least 100 ft (30.5 m)', and what else it says."""
    if rule["sense"] in ("is", "conditions") or rule["unit"] == "percent":
        return str(rule["words"])
    return printed_limit(rule) + (f", {rule['aside']}" if "aside" in rule else "")


def printed_limit(rule: Mapping[str, Any]) -> str:
    """The figure of a rule as printed, with the same in the other unit of length."""
    figure = f"{rule['sense']} {show_number(rule['limit'])}"
    if rule["unit"] == "percent":
        return f"{figure}%"
    other = "m" if rule["unit"] == "ft" else "ft"
    return f"{figure} {rule['unit']} ({show_number(convert(rule['limit'], rule['unit'], other))} {other})"


def _count(read: Sequence[_Read], *readings: str) -> int:
    return sum(each.reading in readings for each in read)


def _counts(read: Sequence[_Read]) -> str:
    """How many rules of a guidance are read in each way: '3 met, 2 not met'."""
    readings = (MET, MISSED, UNKNOWN, CONDITIONS, DOES_NOT_APPLY)
    return ", ".join(f"{_count(read, reading)} {reading}" for reading in readings if _count(read, reading))


def _verdict(read: Sequence[_Read]) -> str:
    missed, unknown = _count(read, MISSED), _count(read, UNKNOWN)
    if missed:
        return "not met"
    if unknown:
        return "open: not all is measured"
    return "met on its conditions: read them" if _count(read, CONDITIONS) else "met"


def _first_to_measure(read: Sequence[_Read]) -> str:
    waiting = {what: _count([each for each in read if each.rule["what"] == what], UNKNOWN) for what in SUBJECTS}
    most = max(waiting.values())
    if most == 0:
        return "nothing: all is measured"
    ahead = [SUBJECTS[what] for what, number_of in waiting.items() if number_of == most]
    listed = " and ".join([", ".join(ahead[:-1]), ahead[-1]]) if len(ahead) > 1 else ahead[0]
    return f"{listed} ({most} rule{'s' if most > 1 else ''}{' each' if len(ahead) > 1 else ''})"


def _furthest(read: Sequence[_Read]) -> str:
    names = _names()
    numbered = [each for each in read if each.short is not None and each.rule["unit"] != "percent"]
    if numbered:
        worst = max(numbered, key=lambda each: each.short or 0.0)
        return f"{names[worst.rule['guidance']]}: {SUBJECTS[worst.rule['what']]}, {printed_limit(worst.rule)}"
    other = next((each for each in read if each.reading == MISSED), None)
    if other is None:
        return "no rule is missed"
    return f"{names[other.rule['guidance']]}: {SUBJECTS[other.rule['what']]}, {printed(other.rule)}"


def _told(inputs: Inputs, material: float) -> Outputs:
    """Everything, from plain figures."""
    read = read_all(inputs)
    names = _names()
    by_guidance = []
    verdicts = []
    for row in GUIDANCES:
        own = [each for each in read if each.rule["guidance"] == row["key"]]
        verdicts.append(_verdict(own))
        by_guidance.append((row["name"], row["written_for"], _counts(own), verdicts[-1], row["status"]))
    distances, others = [], []
    for each in read:
        rule = each.rule
        head = (names[rule["guidance"]], SUBJECTS[rule["what"]], printed(rule))
        if rule["unit"] in ("ft", "m"):
            distances.append((*head, each.value, each.reading, each.short))
        else:
            others.append((*head, _in_words(rule["what"], each.value), each.reading))
    return Outputs(
        guidances_met=sum(verdict.startswith("met") for verdict in verdicts),
        guidances_missed=verdicts.count("not met"),
        guidances_open=sum(verdict.startswith("open") for verdict in verdicts),
        siting_rules_met=_count(read, MET),
        rules_missed=_count(read, MISSED),
        rules_open=_count(read, UNKNOWN),
        measure_first=_first_to_measure(read),
        strictest_missed=_furthest(read),
        material_on_site_m3=material,
        by_guidance=tuple(by_guidance),
        differences=tuple(_difference(what, read) for what in SUBJECTS if _asked(what, read)),
        distance_rules=tuple(distances),
        other_rules=tuple(others),
        small_sites=tuple(_small(row, material) for row in SMALL_SITES),
    )


def _asked(what: str, read: Sequence[_Read]) -> list[_Read]:
    """What guidances ask of a distance; a rule that does not apply here is left out."""
    own = [each for each in read if each.rule["what"] == what and each.reading != DOES_NOT_APPLY]
    return [each for each in own if each.rule["unit"] in ("ft", "m")]


def _difference(what: str, read: Sequence[_Read]) -> tuple[object, ...]:
    asked = _asked(what, read)
    saying = {each.rule["guidance"] for each in asked}
    met = sum(all(each.reading == MET for each in asked if each.rule["guidance"] == one) for one in saying)
    limits = [limit_of(each.rule) for each in asked]
    upper = asked[0].rule["sense"] == "at most"
    name = f"{SUBJECTS[what]}, no more than" if upper else SUBJECTS[what]
    return name, len(saying), min(limits), max(limits), asked[0].value, met if asked[0].value is not None else None


def _in_words(what: str, value: float | str | None) -> str:
    if value is None:
        return "–"
    if what == "ground_slope_percent":
        return f"{show_number(value)}%"  # type: ignore[arg-type]
    return {**FLOOD, **WIND}[str(value)]


def _small(row: Mapping[str, Any], material: float) -> tuple[object, ...]:
    limit = convert(row["limit"], row["unit"], "m3")
    return row["rule"], limit, material, "small enough" if material <= limit else "larger", row["status"]


def solve(inputs: Inputs, working: Working) -> Outputs:
    """Every rule held against the plot; what is counted is told as it is, without weights."""
    material = working.step("Material in heaps, at most", "m3", volume_standing, heap_m3=inputs.heap_m3,
                            first_stage=inputs.standing_heaps_first_stage, curing=inputs.standing_heaps_curing)  # fmt: skip
    told: Outputs = working.untraced(_told, inputs, material)
    working.note("Rules met", told.siting_rules_met, "each", "Counted in the tables; no rule weighs more than another.")
    working.note("Rules not met", told.rules_missed, "each")
    working.note("Rules that wait for a measurement", told.rules_open, "each")
    return told


# ---- words ----------------------------------------------------------------------------------------------------


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    all_of_them = len(GUIDANCES)
    if outputs.siting_rules_met + outputs.rules_missed == 0:
        return (f"Nothing is measured yet, so none of {all_of_them} published guidances can be read: measure "
                f"{outputs.measure_first} first.")  # fmt: skip
    parts = [f"Of {all_of_them} published guidances your plot meets {outputs.guidances_met}, misses "
             f"{outputs.guidances_missed} and leaves "
             f"{outputs.guidances_open} open"]  # fmt: skip
    if outputs.rules_missed:
        parts.append(f"furthest from being met is {outputs.strictest_missed}")
    if outputs.rules_open:
        parts.append(f"measure first: {outputs.measure_first}")
    return "; ".join(parts) + "."


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about this result."""
    found = ["Your local code decides. These guidances come from other places, for yards of other sizes, and differ much: "
             "show the "
             "tables to your authority and ask which distances hold here."]  # fmt: skip
    near = [value for value in (inputs.nearest_home_m, inputs.nearest_workplace_m) if value is not None]
    if near and min(near) <= BIOAEROSOL_M:
        found.append(f"People live or work within {say(BIOAEROSOL_M, 'm')}: one national regulator then asks for an "
                     f"assessment of spores in "
                     "the air. Turn, shred and screen when the wind blows away from them.")  # fmt: skip
    if inputs.in_flood_plain == "inside":
        found.append("A flood would carry raw waste and leachate away. Look for another plot before anything else is planned.")
    if inputs.prevailing_wind == "towards":
        found.append("The wind carries smell and spores to the nearest people: put receiving and turning at the far end, or "
                     "look further.")
    if any(row[3] == "small enough" for row in outputs.small_sites):
        found.append("Some places let a site this small off their rules of location. Ask whether yours does; neighbours and "
                     "water stay as near.")
    if outputs.rules_open and outputs.siting_rules_met + outputs.rules_missed:
        found.append("An empty distance is not a good one: a guidance counts as met only when all that it asks for is "
                     "measured.")
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """The dangers of a site."""
    near = [value for value in (inputs.nearest_home_m, inputs.nearest_workplace_m) if value is not None]
    because = f"The nearest people are {say(min(near), 'm')} away." if near else "The nearest home is not measured yet."
    found = [RaisedCaution("neighbours_spores", because, urgent=bool(near) and min(near) <= BIOAEROSOL_M)]
    if inputs.dead_end_m:
        found.append(RaisedCaution("reversing_vehicles", f"A dead end of {say(inputs.dead_end_m, 'm')}: vehicles back out "
                                                         f"of it."))
    found.append(RaisedCaution("leaf_store_fire", "Ask the fire service whether its engine reaches the shed and the leaf "
                                                  "store."))
    return found


def _asked_by_guidance(what: str) -> tuple[tuple[str, ...], tuple[float | None, ...]]:
    """For each guidance that names a distance, the most it asks."""
    names, limits = [], []
    for row in GUIDANCES:
        own = [rule for rule in RULES if rule["guidance"] == row["key"] and rule["what"] == what and "only_if" not in rule]
        if own:
            names.append(row["short"])
            limits.append(max(map(limit_of, own)))
    return tuple(names), tuple(limits)


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """What each guidance asks, with this plot's own distance across."""
    found = []
    for what, title in (("nearest_home_m", "Distance to homes that each guidance asks for"),
                        ("property_line_m", "Distance to the edge of the property that each asks for"),
                        ("nearest_well_m", "Distance to wells that each asks for")):  # fmt: skip
        names, limits = _asked_by_guidance(what)
        yours = getattr(inputs, what)
        marks = (Mark(yours, "yours"),) if yours is not None and yours <= 2 * max(limit or 0.0 for limit in limits) else ()
        found.append(Chart("bars", title, "m", names, (Line("Asked", limits),), marks, axis="Guidance"))
    return found


CALCULATOR = Calculator(
    key="siting", title="Siting", question="May a yard stand here, by what others have published?", inputs=Inputs,
    outputs=Outputs,
    solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts,
    sources=tuple({row["source"]: cited(row["source"], row["status"], row.get("note", "")) for row in GUIDANCES}.values())
    + (cited(SMALL_SITES[0]["source"], SMALL_SITES[0]["status"]),),
)  # fmt: skip
