"""Maturity tests: what each test says, what they say together, and what is still missing for a verdict.

Every answer may be left empty. Each test is held against its published table; the two-test index, the Canadian rule of
2005 and the European stability rule are combined as published. A germination index alone never makes compost mature.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from calculators.declare import (
    Calculator,
    CannotSolve,
    Chart,
    Column,
    Line,
    Mark,
    RaisedCaution,
    Say,
    choice,
    count,
    number,
    output,
    output_count,
    output_table,
    output_text,
    own_choice,
    practice,
)  # fmt: skip
from calculators.known import as_count, plain
from calculators.reference import Band, band_for, bands, cited, load, rows_of, source
from calculators.units import show_number
from calculators.working import Working, most, whole_up

INDEX = load("standards_maturity")["two_test_index"]
GATE = INDEX["carbon_to_nitrogen_gate"]["high"]
INDEX_ROWS = {row["key"]: row for row in rows_of("standards_maturity", "two_test_index")}
CCME = {row["key"]: row for row in rows_of("standards_maturity", "ccme_2005")}
EU = {row["key"]: row for row in rows_of("standards_maturity", "eu_2019_1009")}
LIMITS = {row["key"]: row for row in rows_of("standards_maturity", "limits")}
FIELD = {row["key"]: row for row in rows_of("standards_maturity", "field_tests")}
CONVERSIONS = {row["key"]: row["value"] for row in rows_of("standards_maturity", "respiration_conversions")}
TABLE_STATUS = {key: load("standards_maturity")[key]["status"] for key in ("two_test_index", "ccme_2005", "eu_2019_1009")}
RATINGS = ("very mature", "mature", "immature")
STAGES = {
    "very mature": "anything, seedbeds and potting mixes too, blended down for salt",
    "mature": "fields, beds, trees and lawns; in potting mixes only as a part",
    "half-finished": "fields some weeks before sowing, mulch under trees, more curing, or back into new heaps; not for seedlings or pots",
    "unknown": "nothing yet: treat it as half-finished until it is tested",
}
"""What compost of a stage may be used for: common practice."""
CLASSES = ("I", "II", "III", "IV", "V")
SAMPLE_M3 = 3823.0
"""One composite sample of twelve grabs for each 5,000 cubic yards (3,823 m³), and at least one a year."""
GRABS = 12
NOTHING = 1e-6
"""A nitrate (mg/kg) or a root (mm) below this counts as none: no laboratory or ruler finds it (chosen here)."""
SAMPLING = source("ccr_14_sampling")
CHEAPEST_FIRST = (
    "squeeze of a handful", "reheat after a turn", "smell of a closed jar", "radish seeds", "self-heating in a flask",
    "germination index", "C:N from a laboratory", "ammonium and nitrate from a laboratory",
    "carbon dioxide or oxygen from a laboratory",
)  # fmt: skip
ORDER_OF_COST = own_choice("what to test first, the cheapest before the dearer: a judgement, not a published order")
FINISHED = ("passed", "met", "very mature", "mature", "very stable", "stable", "no harm", "stimulates", "class V", "class IV")
"""Readings that speak for mature compost. Class III passes the European rule, but its own table calls it still active."""
PRODUCT_RULE = "C:N, rule for sale"
STRICTER = {
    "C:N, stricter": "carbon_to_nitrogen_best", "carbon dioxide, British rule": "carbon_dioxide_pas100",
    "ammonium to nitrate, strictest": "ammonium_nitrate_bernal", "ammonium nitrogen, stricter": "ammonium_nitrogen_zucconi",
    "soluble carbon, looser": "water_soluble_carbon_bernal", "soluble carbon to nitrogen, stricter": "soluble_carbon_to_organic_nitrogen_bernal",
}  # fmt: skip
"""Further published limits, stricter or looser than those that the verdict rests on: shown, and not counted in it."""
NOT_OF_MATURITY = ("squeeze", PRODUCT_RULE, *STRICTER)
"""Rows that tell of moisture or of a market, not of maturity, and further limits for what is counted already."""
SAME_TEST = {
    "germination": "germination index", "ammonium to nitrate": "ammonium nitrogen", PRODUCT_RULE: "C:N", "C:N, stricter": "C:N",
    "carbon dioxide, British rule": "carbon dioxide", "ammonium to nitrate, strictest": "ammonium nitrogen",
    "ammonium nitrogen, stricter": "ammonium nitrogen", "soluble carbon, looser": "soluble carbon",
    "soluble carbon to nitrogen": "soluble carbon", "soluble carbon to nitrogen, stricter": "soluble carbon",
}  # fmt: skip
"""Rows read from the same test as another, which is counted once."""


@dataclass(frozen=True)
class Inputs:
    """Test results, each of which may be missing."""

    curing_days: int = count(
        "Days of curing", "d", 45, low=0, high=365, follows="bays", group="Curing", help="Of the batch that is tested."
    )
    screened_m3_per_day: float = number(
        "Volume to be screened", "m3/d", 1.0, low=0, high=1e5, follows="bays", group="Curing", help="For the number of samples."
    )
    final_carbon_to_nitrogen: float | None = number(
        "C:N of the compost", "1", None, low=1, high=200, blank=True, group="Laboratory", help="On dry mass, from a laboratory."
    )
    ammonium_mg_kg: float | None = number(
        "Ammonium nitrogen", "mg/kg", None, low=0, high=100_000, blank=True, group="Laboratory", help="As N, on dry mass."
    )
    nitrate_mg_kg: float | None = number(
        "Nitrate nitrogen", "mg/kg", None, low=0, high=100_000, blank=True, group="Laboratory", help="As N, on dry mass."
    )
    organic_acids_mg_kg: float | None = number(
        "Volatile organic acids", "mg/kg", None, low=0, high=1e6, blank=True, group="Laboratory", help="On dry mass."
    )
    soluble_carbon_percent: float | None = number(
        "Carbon that dissolves in water, of dry mass", "percent", None, low=0, high=30, blank=True, group="Laboratory",
        help="Falls as compost matures.",
    )  # fmt: skip
    organic_nitrogen_percent: float | None = number(
        "Organic nitrogen, of dry mass", "percent", None, low=0.01, high=15, blank=True, group="Laboratory",
        help="All nitrogen less ammonium and nitrate; for the ratio to the carbon that dissolves.",
    )  # fmt: skip
    carbon_dioxide: float | None = number(
        "Carbon dioxide given off, as carbon", "mg CO2-C/g OM/d", None, low=0, high=500, blank=True, follows="laboratory",
        group="Laboratory", help="A figure in mg CO₂ may be written with its unit.",
    )  # fmt: skip
    oxygen_uptake: float | None = number(
        "Oxygen taken up", "mmol O2/kg OM/h", None, low=0, high=2_000, blank=True, group="Laboratory",
        help="Figures in mg O2/g OM/h or mg O2/kg VS/h may be written with their unit.",
    )  # fmt: skip
    organic_percent: float | None = number(
        "Organic matter of the compost, of dry mass", "percent", None, low=1, high=100, blank=True, follows="laboratory",
        group="Laboratory", help="Turns oxygen for organic matter into oxygen for all solids.",
    )  # fmt: skip
    self_heating_highest_c: float | None = number(
        "Self-heating: highest temperature", "°C", None, low=-10, high=90, blank=True, follows="laboratory",
        group="Self-heating in a flask", help="Read daily for 5 to 10 days in a vacuum flask.",
    )  # fmt: skip
    self_heating_room_c: float | None = number(
        "Self-heating: room", "°C", None, low=-10, high=50, blank=True, follows="laboratory",
        group="Self-heating in a flask", help="Near 20 °C, when the highest was read.",
    )  # fmt: skip
    self_heating_reported_c: float | None = number(
        "Self-heating: rise, where only that is reported", "°C rise", None, low=-30, high=80, blank=True,
        group="Self-heating in a flask", help="Left aside where both readings above are given.",
    )  # fmt: skip
    seeds_sample: int | None = count(
        "Seeds in compost extract", "each", None, low=1, high=10_000, blank=True, follows="laboratory", group="Germination",
        help="All dishes together."
    )
    germinated_sample: int | None = count(
        "of these germinated", "each", None, low=0, high=10_000, blank=True, follows="laboratory", group="Germination",
        help="In compost extract."
    )
    root_sample_mm: float | None = number(
        "Mean root in compost extract", "mm", None, low=0, high=500, blank=True, follows="laboratory", group="Germination",
        help="Of those that germinated."
    )
    seeds_control: int | None = count(
        "Seeds in plain water", "each", None, low=1, high=10_000, blank=True, follows="laboratory", group="Germination",
        help="The control."
    )
    germinated_control: int | None = count(
        "of these germinated, in water", "each", None, low=0, high=10_000, blank=True, follows="laboratory", group="Germination",
        help="The control."
    )
    root_control_mm: float | None = number(
        "Mean root in plain water", "mm", None, low=0, high=500, blank=True, follows="laboratory", group="Germination",
        help="Of those that germinated."
    )
    emergence_percent: float | None = number(
        "Seedlings in compost, of the control", "percent", None, low=0, high=500, blank=True, follows="laboratory",
        group="Germination", help="Emergence after two weeks in a compost mix, against a potting soil.",
    )  # fmt: skip
    squeeze: str | None = choice(
        "Squeeze test", {"drops": "holds, a few drops", "runs": "water runs", "crumbles": "crumbles"}, None, blank=True,
        group="On the yard", help="A handful, squeezed hard.",
    )  # fmt: skip
    jar_smell: str | None = choice(
        "Smell after a week in a closed jar", {"earthy": "earthy", "sour": "sour, sharp or of ammonia"}, None, blank=True,
        group="On the yard", help="Moist sample, room temperature.",
    )  # fmt: skip
    radish_percent: float | None = number(
        "Radish seeds that sprout and grow", "percent", None, low=0, high=100, blank=True, group="On the yard",
        help="Fifteen seeds on paper wetted with extract, in the dark.",
    )  # fmt: skip
    reheat_rise_c: float | None = number(
        "Heap above the air, a day or two after turning", "°C rise", None, low=-30, high=80, blank=True, group="On the yard",
        help="Deepest reading less the air.",
    )  # fmt: skip


@dataclass(frozen=True)
class Outputs:
    """Verdicts, each test, what is missing."""

    verdict: str = output_text("Verdict", key_figure=True)
    two_test_index: str = output_text("Two-test index", key_figure=True)
    missing: str = output_text("Still missing", key_figure=True)
    next_test: str = output_text("Do next, the cheapest first", help="The order of cost is chosen here.")
    compost_stage: str = output_text("Stage", help="Half-finished as soon as one test speaks against mature compost.")
    may_be_used_for: str = output_text("May be used for", help="Where heat record, metals and germs are in order too.")
    agreement: str = output_text("Do the tests agree")
    ccme_2005: str = output_text("Canadian guideline of 2005")
    eu_stability: str = output_text("European stability rule")
    tests_entered: int = output_count("Tests entered", "each")
    samples_per_year: int = output_count(
        "Composite samples a year, at least", "each", help=f"Each mixed from {GRABS} grabs through the depth of the heap."
    )
    self_heating_rise_c: float | None = output("Self-heating rise", "°C rise", help="– where not tested.")
    germination_index_percent: float | None = output("Germination index", "percent", help="– where not tested.")
    ammonium_nitrate: float | None = output("Ammonium to nitrate", "1", help="– where not tested.")
    tests: tuple[tuple[object, ...], ...] = output_table(
        "Each test against its table",
        (Column("test", "Test"), Column("result", "Result"), Column("reading", "Reading"), Column("meaning", "Meaning"),
         Column("source", "Table"), Column("status", "How the table is known")),
    )  # fmt: skip


# ---- formulas -------------------------------------------------------------------------------------------------


def self_heating_rise(highest_c: float, room_c: float) -> float:
    """Rise of the highest reading over the room (°C)."""
    return highest_c - room_c


def self_heating_class(rise_c: float) -> Band:
    """Class V (finished) to I (raw) of a rise; a rise on a limit counts in the more mature class."""
    return band_for("self_heating", rise_c)


def germination_index(germinated: float, seeds: float, root_mm: float, germinated_control: float, seeds_control: float,
                      root_control_mm: float) -> float:  # fmt: skip
    """Germination index, percent of the control (Zucconi and others 1981). The control must have germinated and grown."""
    return 100 * (germinated / seeds) / (germinated_control / seeds_control) * (root_mm / root_control_mm)


def ammonium_nitrate_ratio(ammonium: float, nitrate: float) -> float:
    """Ammonium to nitrate nitrogen, nitrate above 0."""
    return ammonium / nitrate


def carbon_dioxide_as_carbon(carbon_dioxide_mg: float) -> float:
    """mg of carbon in mg of carbon dioxide."""
    return carbon_dioxide_mg * CONVERSIONS["carbon_per_carbon_dioxide"]


def oxygen_as_mass(oxygen_mmol: float) -> float:
    """mg O₂ for each g, from mmol O₂ for each kg."""
    return oxygen_mmol * CONVERSIONS["milligram_per_millimole_oxygen"] / 1000


def two_test_rating(key: str, value: float) -> str:
    """Rating of one test in the two-test index: very mature, mature or immature. Source: CCQC 2001."""
    row = INDEX_ROWS[key]
    if row["better"] == "lower":
        if value < row["very_mature_below"]:
            return RATINGS[0]
        return RATINGS[1] if value <= row["mature_up_to"] else RATINGS[2]
    if value > row["very_mature_above"]:
        return RATINGS[0]
    return RATINGS[1] if value >= row["mature_from"] else RATINGS[2]


def limit_met(key: str, value: float) -> bool:
    """Whether a value meets a single published limit of the reference table."""
    row = LIMITS[key]
    return {
        "at most": value <= row["limit"],
        "below": value < row["limit"],
        "at least": value >= row["limit"],
        "above": value > row["limit"],
    }[row["sense"]]


def poorest(ratings: list[str]) -> str:
    """The poorest of some ratings."""
    return max(ratings, key=RATINGS.index)


# ---- solving --------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Measured:
    rise: float | None
    index: float | None
    ratio: float | None
    oxygen_om: float | None
    oxygen_ts: float | None


def _pair_check(inputs: Inputs) -> None:
    """Refuse half-entered tests that would mislead, saying which number is missing or impossible."""
    seeds = (inputs.seeds_sample, inputs.germinated_sample, inputs.root_sample_mm, inputs.seeds_control,
             inputs.germinated_control, inputs.root_control_mm)  # fmt: skip
    for sown, grown, where in ((inputs.seeds_sample, inputs.germinated_sample, "compost extract"),
                               (inputs.seeds_control, inputs.germinated_control, "plain water")):  # fmt: skip
        if sown is not None and grown is not None and grown > sown:
            raise CannotSolve(f"More seeds germinated in {where} ({grown}) than were sown ({sown}).",
                              ("seeds_sample", "germinated_sample", "seeds_control", "germinated_control"))  # fmt: skip
    if None not in seeds and (inputs.germinated_control == 0 or inputs.root_control_mm < NOTHING):
        raise CannotSolve(
            "Nothing grew in plain water, so there is nothing to compare with: repeat the germination test with fresh seed.",
            ("germinated_control", "root_control_mm"),
        )


def _measure(inputs: Inputs, working: Working) -> _Measured:
    rise = index = ratio = oxygen_om = oxygen_ts = None
    if inputs.self_heating_highest_c is not None and inputs.self_heating_room_c is not None:
        rise = working.step("Self-heating rise", "°C rise", self_heating_rise, highest_c=inputs.self_heating_highest_c,
                            room_c=inputs.self_heating_room_c, source=source("brinton_1995"))  # fmt: skip
    elif inputs.self_heating_reported_c is not None:
        rise = inputs.self_heating_reported_c
        working.note("Self-heating rise", rise, "°C rise", "as reported")
    germination = (inputs.germinated_sample, inputs.seeds_sample, inputs.root_sample_mm, inputs.germinated_control,
                   inputs.seeds_control, inputs.root_control_mm)  # fmt: skip
    if None not in germination:
        index = working.step(
            "Germination index", "percent", germination_index, germinated=inputs.germinated_sample, seeds=inputs.seeds_sample,
            root_mm=inputs.root_sample_mm, germinated_control=inputs.germinated_control, seeds_control=inputs.seeds_control,
            root_control_mm=inputs.root_control_mm, source=source("zucconi_1981"),
        )  # fmt: skip
    if inputs.ammonium_mg_kg is not None and inputs.nitrate_mg_kg is not None and inputs.nitrate_mg_kg >= NOTHING:
        ratio = working.step("Ammonium to nitrate", "1", ammonium_nitrate_ratio, ammonium=inputs.ammonium_mg_kg,
                             nitrate=inputs.nitrate_mg_kg)  # fmt: skip
    if inputs.oxygen_uptake is not None:
        oxygen_om = working.step("Oxygen for organic matter", "mg O2/g OM/h", oxygen_as_mass, oxygen_mmol=inputs.oxygen_uptake)
        if inputs.organic_percent is not None:
            oxygen_ts = oxygen_om * inputs.organic_percent / 100
    return _Measured(*(_tidy(value) for value in (rise, index, ratio, oxygen_om, oxygen_ts)))


def _tidy(value: float | None) -> float | None:
    # 35.3 − 25.3 or 400 mg turned to mmol and back must not fall beyond a limit for the last binary digit
    return None if value is None else round(value, 9)


_Row = tuple[str, str, str, str, str, str]
"""Test, result, reading, meaning, table, how the table is known."""


def short_citation(key: str) -> str:
    """A citation up to its year, or its first sentence where it has none."""
    words = source(key).citation
    dated = re.match(r".*?\b(?:19|20)\d\d\b", words)
    return dated.group(0) if dated else words.split(". ")[0]


def _band_row(name: str, shown: str, table: str, value: float) -> _Row:
    band = band_for(table, value)
    return (name, shown, band.label, band.meaning, short_citation(band.source), band.status)


def _limit_row(name: str, shown: str, key: str, value: float) -> _Row:
    row = LIMITS[key]
    meaning = f"{row['sense']} {show_number(row['limit'])}: {row['meaning'] or 'limit'}"
    return (name, shown, "met" if limit_met(key, value) else "not met", meaning, short_citation(row["source"]), row["status"])


def _index_row(name: str, shown: str, key: str, value: float) -> _Row:
    row = INDEX_ROWS[key]
    return (name, shown, two_test_rating(key, value), f"two-test index, group {row['group']}", short_citation(row["source"]),
            row["status"])  # fmt: skip


def _rows(inputs: Inputs, found: _Measured) -> list[_Row]:
    rows: list[_Row] = []
    if inputs.final_carbon_to_nitrogen is not None:
        ratio = inputs.final_carbon_to_nitrogen
        gate = INDEX["carbon_to_nitrogen_gate"]
        rows.append(("C:N", show_number(ratio), "not met" if ratio > GATE else "met", f"at most {GATE}: before the two-test index",
                     short_citation(gate["source"]), gate["status"]))  # fmt: skip
        rows.append(_limit_row(PRODUCT_RULE, show_number(ratio), "carbon_to_nitrogen_final", ratio))
        rows.append(_limit_row("C:N, stricter", show_number(ratio), STRICTER["C:N, stricter"], ratio))
    if inputs.soluble_carbon_percent is not None:
        rows += _soluble_rows(inputs.soluble_carbon_percent, inputs.organic_nitrogen_percent)
    if found.rise is not None:
        rows.append(_band_row("self-heating", f"{show_number(found.rise)} °C", "self_heating", found.rise))
    if inputs.carbon_dioxide is not None:
        shown = f"{show_number(inputs.carbon_dioxide)} mg C/g OM/d"
        rows.append(_band_row("carbon dioxide", shown, "carbon_dioxide", inputs.carbon_dioxide))
        rows.append(_limit_row("carbon dioxide", shown, "carbon_dioxide_mpca", inputs.carbon_dioxide))
        name = "carbon dioxide, British rule"
        rows.append(_limit_row(name, shown, STRICTER[name], inputs.carbon_dioxide))
    if found.oxygen_om is not None:
        rows.append(_band_row("oxygen taken up", f"{show_number(found.oxygen_om)} mg O₂/g OM/h", "oxygen_uptake_sour",
                              found.oxygen_om))  # fmt: skip
    if found.oxygen_ts is not None:
        rows.append(_index_row("oxygen taken up", f"{show_number(found.oxygen_ts)} mg O₂/g solids/h", "oxygen_uptake",
                               found.oxygen_ts))  # fmt: skip
    if found.ratio is not None:
        rows.append(_band_row("ammonium to nitrate", show_number(found.ratio), "ammonium_nitrate_index", found.ratio))
        name = "ammonium to nitrate, strictest"
        rows.append(_limit_row(name, show_number(found.ratio), STRICTER[name], found.ratio))
    if inputs.ammonium_mg_kg is not None:
        rows.append(_band_row("ammonium nitrogen", f"{show_number(inputs.ammonium_mg_kg)} mg/kg", "ammonium_nitrogen",
                              inputs.ammonium_mg_kg))  # fmt: skip
        name = "ammonium nitrogen, stricter"
        rows.append(_limit_row(name, f"{show_number(inputs.ammonium_mg_kg)} mg/kg", STRICTER[name], inputs.ammonium_mg_kg))
    if inputs.organic_acids_mg_kg is not None:
        rows.append(_index_row("organic acids", f"{show_number(inputs.organic_acids_mg_kg)} mg/kg", "organic_acids",
                               inputs.organic_acids_mg_kg))  # fmt: skip
    if inputs.emergence_percent is not None:
        shown = f"{show_number(inputs.emergence_percent)} %"
        rows.append(_index_row("seedlings", shown, "plant_trials", inputs.emergence_percent))
        rows.append(_limit_row("seedlings", shown, "emergence_and_vigour", inputs.emergence_percent))
    germination = _relative_germination(inputs)
    if germination is not None:
        rows.append(_index_row("germination", f"{show_number(germination)} %", "seed_germination", germination))
    if found.index is not None:
        shown = f"{show_number(found.index)} %"
        rows.append(_band_row("germination index", shown, "germination_index", found.index))
        for key in ("germination_zucconi", "germination_nyt_525", "germination_mature"):
            rows.append(_limit_row("germination index", shown, key, found.index))
    return rows + _field_rows(inputs)


def _soluble_rows(carbon: float, nitrogen: float | None) -> list[_Row]:
    """Carbon that dissolves, alone and against organic nitrogen, held against Hue and Liu and against Bernal and others."""
    shown = f"{show_number(carbon)} %"
    rows = [_limit_row("soluble carbon", shown, "water_soluble_carbon_hue_liu", carbon),
            _limit_row("soluble carbon, looser", shown, STRICTER["soluble carbon, looser"], carbon)]  # fmt: skip
    if nitrogen is not None:
        ratio = _tidy(carbon / nitrogen) or 0.0
        name = "soluble carbon to nitrogen, stricter"
        rows += [_limit_row("soluble carbon to nitrogen", show_number(ratio), "soluble_carbon_to_organic_nitrogen_hue_liu", ratio),
                 _limit_row(name, show_number(ratio), STRICTER[name], ratio)]  # fmt: skip
    return rows


def _field_row(name: str, key: str, shown: str, reading: str, meaning: str) -> _Row:
    row = FIELD[key]
    return (name, shown, reading, meaning, short_citation(row["source"]), row["status"])


def _field_rows(inputs: Inputs) -> list[_Row]:
    rows: list[_Row] = []
    if inputs.squeeze is not None:
        said = {"drops": "about right", "runs": "too wet", "crumbles": "too dry"}[inputs.squeeze]
        rows.append(_field_row("squeeze", "squeeze", inputs.squeeze, said, "moisture only, not maturity"))
    if inputs.jar_smell is not None:
        good = inputs.jar_smell == "earthy"
        rows.append(_field_row("jar smell", "jar", inputs.jar_smell, "passed" if good else "failed",
                               "done" if good else "not done: cure longer"))  # fmt: skip
    if inputs.radish_percent is not None:
        good = inputs.radish_percent >= 100 * FIELD["radish"]["pass_fraction"]
        rows.append(_field_row("radish", "radish", f"{show_number(inputs.radish_percent)} %", "passed" if good else "failed",
                               "ready" if good else "cure longer"))  # fmt: skip
    if inputs.reheat_rise_c is not None:
        good = inputs.reheat_rise_c <= FIELD["reheat"]["limit_rise_c"]
        rows.append(_field_row("reheat", "reheat", f"{show_number(inputs.reheat_rise_c)} °C", "passed" if good else "failed",
                               "settled" if good else "unfinished"))  # fmt: skip
    return rows


def _relative_germination(inputs: Inputs) -> float | None:
    """Germinated in extract, percent of the control; None where not counted or the control is 0."""
    counts = (inputs.germinated_sample, inputs.seeds_sample, inputs.germinated_control, inputs.seeds_control)
    if None in counts or not inputs.germinated_control:
        return None
    return _tidy(100 * inputs.germinated_sample / inputs.seeds_sample * inputs.seeds_control / inputs.germinated_control)


def _groups(inputs: Inputs, found: _Measured) -> tuple[dict[str, str], dict[str, str]]:
    """Ratings in the two groups of the two-test index, by test."""
    values = {
        "oxygen_uptake": found.oxygen_ts,
        "carbon_dioxide": inputs.carbon_dioxide,
        "self_heating": found.rise,
        "ammonium_nitrate": found.ratio,
        "ammonium_nitrogen": inputs.ammonium_mg_kg,
        "organic_acids": inputs.organic_acids_mg_kg,
        "seed_germination": _relative_germination(inputs),
        "plant_trials": inputs.emergence_percent,
    }
    rated = {key: two_test_rating(key, value) for key, value in values.items() if value is not None}
    return (
        {key: rating for key, rating in rated.items() if INDEX_ROWS[key]["group"] == "A"},
        {key: rating for key, rating in rated.items() if INDEX_ROWS[key]["group"] == "B"},
    )


def _two_test(inputs: Inputs, stability: dict[str, str], maturity: dict[str, str]) -> str | None:
    """Rating of the two-test index, or None while something is missing."""
    ratio = inputs.final_carbon_to_nitrogen
    if ratio is not None and ratio > GATE:
        return RATINGS[2]
    if ratio is None or not stability or not maturity:
        return None
    return poorest([*stability.values(), *maturity.values()])


def _lacking(inputs: Inputs, stability: dict[str, str], maturity: dict[str, str]) -> list[str]:
    found = []
    if inputs.final_carbon_to_nitrogen is None:
        found.append("C:N of the compost")
    if not stability:
        found.append("a stability test: self-heating in a flask (cheapest), carbon dioxide or oxygen with organic matter")
    if not maturity:
        found.append("a plant or ammonia test: seedlings or germination (cheapest), ammonium and nitrate, organic acids")
    return found + _half_entered(inputs)


def _half_entered(inputs: Inputs) -> list[str]:
    """Tests of which a part is entered, each with what completes it."""
    found = []
    if inputs.self_heating_reported_c is None:
        if inputs.self_heating_highest_c is not None and inputs.self_heating_room_c is None:
            found.append("room temperature, for self-heating")
        if inputs.self_heating_room_c is not None and inputs.self_heating_highest_c is None:
            found.append("highest temperature, for self-heating")
    seeds = {
        "seeds in extract": inputs.seeds_sample, "germinated in extract": inputs.germinated_sample,
        "mean root in extract": inputs.root_sample_mm, "seeds in water": inputs.seeds_control,
        "germinated in water": inputs.germinated_control, "mean root in water": inputs.root_control_mm,
    }  # fmt: skip
    lacking = [name for name, value in seeds.items() if value is None]
    if lacking and len(lacking) < len(seeds):
        found.append(f"{', '.join(lacking)}, for the germination index")
    if inputs.oxygen_uptake is not None and inputs.organic_percent is None:
        found.append("organic matter, to rate oxygen in the two-test index")
    if inputs.organic_nitrogen_percent is not None and inputs.soluble_carbon_percent is None:
        found.append("carbon that dissolves, beside organic nitrogen")
    if inputs.nitrate_mg_kg is not None and inputs.ammonium_mg_kg is None:
        found.append("ammonium, beside nitrate")
    if inputs.ammonium_mg_kg is not None and inputs.nitrate_mg_kg is None:
        found.append("nitrate, for ammonium to nitrate")
    return found


def _next_test(inputs: Inputs, stability: dict[str, str], maturity: dict[str, str]) -> str:
    """The cheapest test not yet made, with what is still needed for the two-test index."""
    made = {
        "smell of a closed jar": inputs.jar_smell, "squeeze of a handful": inputs.squeeze, "radish seeds": inputs.radish_percent,
        "reheat after a turn": inputs.reheat_rise_c,
        "self-heating in a flask": "done" if stability else None,
        "germination index": "done" if maturity else None,
        "C:N from a laboratory": inputs.final_carbon_to_nitrogen,
        "ammonium and nitrate from a laboratory": inputs.ammonium_mg_kg,
        "carbon dioxide or oxygen from a laboratory": "done" if stability else None,
    }  # fmt: skip
    left = [name for name in CHEAPEST_FIRST if made[name] is None]
    return ", then ".join(left[:3]) if left else "nothing: every kind of test is entered"


def _speaking(rows: list[_Row]) -> tuple[list[str], list[str]]:
    """Names of the tests whose readings speak for mature compost, and of those of which one speaks against."""
    told = [row for row in rows if row[0] not in NOT_OF_MATURITY]
    against = [row[0] for row in told if row[2] not in FINISHED]
    found_for = [row[0] for row in told if row[2] in FINISHED and row[0] not in against]
    return list(dict.fromkeys(found_for)), list(dict.fromkeys(against))


def _agreement(rows: list[_Row]) -> str:
    found_for, against = _speaking(rows)
    if not found_for and not against:
        return "no test of maturity is entered"
    if found_for and against:
        return f"no: {_listed(found_for)} for mature compost, {_listed(against)} against"
    if len(found_for or against) == 1:
        return "only one test is entered"
    return "yes: all for mature compost" if found_for else "yes: all against mature compost"


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else ", ".join(names[:-1]) + " and " + names[-1]


def _rule(parts: list[bool | None], required: bool = True) -> str:
    """Met, not met or undecided, for a rule of which one of several tests must be met (and a requirement)."""
    if not required:
        return "not met"
    if any(part is True for part in parts):
        return "met"
    return "not met by the tests entered" if any(part is False for part in parts) else "no verdict: none of its tests is entered"


def _at_most(value: float | None, limit: float) -> bool | None:
    return None if value is None else value <= limit


def solve(inputs: Inputs, working: Working) -> Outputs:
    """Read every test, then the rules that combine them."""
    _pair_check(inputs)
    measured = _measure(inputs, working)
    screened = inputs.screened_m3_per_day
    inputs, found = plain(inputs), plain(measured)  # readings are words: no figure comes of them
    rows = _rows(inputs, found)
    for name, result, reading, meaning, table, status in rows:
        working.note(name, reading, note=f"{result}: {meaning} ({table}; {status})")
    stability, maturity = _groups(inputs, found)
    rating = _two_test(inputs, stability, maturity)
    lacking = _lacking(inputs, stability, maturity)
    if rating is not None:
        working.note("Two-test index", rating, note=INDEX["combination"], source=source("ccqc_2001"))
    oxygen_vs = _tidy(None if found.oxygen_om is None else found.oxygen_om * 1000)
    cured = inputs.curing_days >= CCME["curing_days"]["limit"]
    canadian = _rule(
        [_at_most(oxygen_vs, CCME["oxygen_uptake"]["limit"]), _at_most(inputs.carbon_dioxide, CCME["carbon_dioxide"]["limit"]),
         _at_most(found.rise, CCME["self_heating"]["limit"])], cured,
    )  # fmt: skip
    if not cured:
        canadian = f"not met: {inputs.curing_days} days of curing, {CCME['curing_days']['limit']} are required"
    heat_class = None if found.rise is None else CLASSES.index(self_heating_class(found.rise).key) + 1
    european = _rule(
        [_at_most(inputs.oxygen_uptake, EU["oxygen_uptake"]["limit"]),
         None if heat_class is None else heat_class >= EU["self_heating_class"]["limit"]],
    )  # fmt: skip
    stage = compost_stage(rating, rows)
    return Outputs(
        verdict=_verdict(rating, rows),
        two_test_index=rating or "no rating yet",
        missing=_missing(rating, lacking, _half_entered(inputs)),
        next_test=_next_test(inputs, stability, maturity),
        compost_stage=stage,
        may_be_used_for=STAGES[stage],
        agreement=_agreement(rows),
        ccme_2005=f"{canadian} (limits: {TABLE_STATUS['ccme_2005']})",
        eu_stability=f"{european} (limits: {TABLE_STATUS['eu_2019_1009']})",
        tests_entered=len({SAME_TEST.get(row[0], row[0]) for row in rows}),
        samples_per_year=as_count(working.step("Composite samples a year", "1", samples_a_year,
                                               volume_a_year=screened * 365, source=SAMPLING)),  # fmt: skip
        self_heating_rise_c=measured.rise,
        germination_index_percent=measured.index,
        ammonium_nitrate=measured.ratio,
        tests=tuple(rows),
    )


def samples_a_year(volume_a_year: float) -> float:
    """Composite samples for a yearly volume of compost (m³): one for each 3,823 m³, at least one."""
    return most(whole_up(volume_a_year / SAMPLE_M3), 1)


def _missing(rating: str | None, lacking: list[str], half_entered: list[str]) -> str:
    if rating is None:
        return "; ".join(lacking)
    return "nothing for the two-test index" + "".join(f"; {each}" for each in half_entered)


def _verdict(rating: str | None, rows: list[_Row]) -> str:
    """The verdict in words. A test that speaks against a good rating keeps the compost half-finished."""
    _, against = _speaking(rows)
    if rating == RATINGS[2]:
        return "half-finished: not mature by the two-test index"
    if rating is not None and against:
        return f"{rating} by the two-test index, but held as half-finished: {_listed(against)} against it"
    if rating is not None:
        return f"{rating} compost by the two-test index"
    if not rows:
        return "no verdict yet: no test is entered"
    if against:
        return f"no verdict yet, but treat it as half-finished: {_listed(against)} against mature compost"
    return "no verdict yet: nothing so far against mature compost"


def compost_stage(rating: str | None, rows: list[_Row]) -> str:
    """Very mature, mature, half-finished or unknown: the poorer of the two-test index and of every single test."""
    _, against = _speaking(rows)
    if rating == RATINGS[2] or against:
        return "half-finished"
    return rating or "unknown"


# ---- words ----------------------------------------------------------------------------------------------------


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    start = outputs.verdict[:1].upper() + outputs.verdict[1:]
    if not outputs.tests_entered:
        return f"{start}. Begin with {outputs.next_test}."
    cured = f"after {say(inputs.curing_days, 'd')} of curing"
    if outputs.two_test_index == "no rating yet":
        return f"{start}, {cured}. Still missing: {outputs.missing}."
    return f"{start}, {cured}."


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about this result."""
    found = []
    index = outputs.germination_index_percent
    rise = outputs.self_heating_rise_c
    if outputs.agreement.startswith("no:"):
        found.append(f"The tests disagree ({outputs.agreement[4:]}). Take the poorer reading, sample again from several places and "
                     "repeat both.")  # fmt: skip
    if inputs.squeeze == "crumbles":
        found.append("The sample was dry. Dry compost neither heats nor breathes, and so passes stability tests it should fail: "
                     "wet it, wait a few days, test again.")  # fmt: skip
    if index is not None and rise is not None and index > 80 and rise > INDEX_ROWS["self_heating"]["mature_up_to"]:
        found.append("The tests disagree: seeds do well, yet the compost still heats. Heating decides: cure on, test again.")
    if index is not None and rise is not None and index < 50 and rise <= 10:
        found.append("The tests disagree: it no longer heats, yet seeds suffer. Look for salt, ammonia or residues.")
    if index is not None:
        found.append("A germination index depends on seed, extract and days: with no common method, published values run from 20 to "
                     "217 %. Never judge by it alone.")  # fmt: skip
    if inputs.ammonium_mg_kg is not None and inputs.nitrate_mg_kg is not None and inputs.nitrate_mg_kg < NOTHING:
        found.append("No nitrate was found, so ammonium to nitrate has no value; ammonium alone is read.")
    if None not in (inputs.self_heating_highest_c, inputs.self_heating_room_c, inputs.self_heating_reported_c):
        found.append("The reported rise is left aside, because both readings are given.")
    if outputs.self_heating_rise_c is not None and outputs.self_heating_rise_c < 0:
        found.append("The flask was colder than the room: check the thermometer.")
    found.append("The limits of the two-test index and several bands are from memory, unverified: ask the laboratory for its own.")
    found.append(f"Each sample is mixed from {GRABS} grabs; the German rule (BioAbfV) asks for a set at least every quarter. "
                 "A public office may ask for more.")  # fmt: skip
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """Compost that is not proven must not be sold as finished."""
    proven = outputs.two_test_index in RATINGS[:2] and outputs.verdict.endswith("compost by the two-test index")
    return [
        RaisedCaution("compost_not_fit_until_tested", f"Verdict: {outputs.verdict}.", urgent=not proven),
        RaisedCaution("not_for_food_contact"),
        RaisedCaution("legionella"),
        RaisedCaution("meat_rules"),
    ]


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """The self-heating rise against the class limits, where it was measured."""
    made = []
    if outputs.self_heating_rise_c is not None:
        marks = tuple(Mark(float(band.high), f"{band.label} ends") for band in bands("self_heating") if band.high is not None)
        made.append(Chart("bars", "Self-heating rise against the classes", "°C rise", ("this sample",),
                          (Line("Rise", (max(outputs.self_heating_rise_c, 0.0),)),), marks))  # fmt: skip
    if outputs.germination_index_percent is not None:
        limits = (LIMITS["germination_nyt_525"], LIMITS["germination_mature"])
        marks = tuple(Mark(float(row["limit"]), f"{row['sense']} {row['limit']} %") for row in limits)
        made.append(Chart("bars", "Germination index against two limits", "percent", ("this sample",),
                          (Line("Index", (outputs.germination_index_percent,)),), marks))  # fmt: skip
    return made


CALCULATOR = Calculator(
    key="maturity", title="Maturity tests", question="Is this batch mature, and what is still to be tested?", inputs=Inputs,
    outputs=Outputs, solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts,
    sources=(cited("ccqc_2001", INDEX["status"], ""), source("brinton_1995"), source("tmecc_05_08"), source("ccme_2005"),
             source("eu_2019_1009"), source("zucconi_1981"), source("emino_warman_2004"), source("mpca_compost"),
             source("picon_toro_2012"), source("nyt_525_2021"), source("fco_india"), source("hue_liu_1995"), source("bernal_1998"), source("pas100"),
             source("zucconi_1987"), SAMPLING,
             source("bioabfv"), own_choice("the poorest of the tests entered in each group stands"),
             practice("what compost of each stage is used for"),
             ORDER_OF_COST),
    step="Finish and use",
)  # fmt: skip
