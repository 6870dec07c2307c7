"""Maturity tests: what each test says, what they say together, and what is still missing for a verdict.

Every answer may be left empty. Each test is held against its published table; the two-test index, the Canadian rule of
2005 and the European stability rule are combined as published. A germination index alone never makes compost mature.
"""

from __future__ import annotations

from dataclasses import dataclass

from calculators.declare import (
    CannotSolve, Chart, Calculator, Column, Line, Mark, RaisedCaution, Say, choice, count, number, output, output_count,
    output_table, output_text, own_choice,
)  # fmt: skip
from calculators.reference import Band, band_for, cited, load, rows_of, source
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
RATINGS = ("very mature", "mature", "immature")
CLASSES = ("I", "II", "III", "IV", "V")
SAMPLE_M3 = 3823.0
"""One composite sample of twelve grabs for each 5,000 cubic yards (3,823 m³), and at least one a year."""
GRABS = 12
SAMPLING = source("ccr_14_sampling")


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
    carbon_dioxide: float | None = number(
        "Carbon dioxide given off, as carbon", "mg CO2-C/g OM/d", None, low=0, high=500, blank=True, group="Laboratory",
        help="A figure in mg CO₂ may be written with its unit.",
    )  # fmt: skip
    oxygen_uptake: float | None = number(
        "Oxygen taken up", "mmol O2/kg OM/h", None, low=0, high=2_000, blank=True, group="Laboratory",
        help="Figures in mg O2/g OM/h or mg O2/kg VS/h may be written with their unit.",
    )  # fmt: skip
    organic_percent: float | None = number(
        "Organic matter of the compost, of dry mass", "percent", None, low=1, high=100, blank=True, group="Laboratory",
        help="Turns oxygen for organic matter into oxygen for all solids.",
    )  # fmt: skip
    self_heating_highest_c: float | None = number(
        "Self-heating: highest temperature", "°C", None, low=-10, high=90, blank=True, group="Self-heating in a flask",
        help="Read daily for 5 to 10 days in a vacuum flask.",
    )  # fmt: skip
    self_heating_room_c: float | None = number(
        "Self-heating: room", "°C", None, low=-10, high=50, blank=True, group="Self-heating in a flask",
        help="Near 20 °C, when the highest was read.",
    )  # fmt: skip
    seeds_sample: int | None = count(
        "Seeds in compost extract", "each", None, low=1, high=10_000, blank=True, group="Germination", help="All dishes together."
    )
    germinated_sample: int | None = count(
        "of these germinated", "each", None, low=0, high=10_000, blank=True, group="Germination", help="In compost extract."
    )
    root_sample_mm: float | None = number(
        "Mean root in compost extract", "mm", None, low=0, high=500, blank=True, group="Germination", help="Of those that germinated."
    )
    seeds_control: int | None = count(
        "Seeds in plain water", "each", None, low=1, high=10_000, blank=True, group="Germination", help="The control."
    )
    germinated_control: int | None = count(
        "of these germinated, in water", "each", None, low=0, high=10_000, blank=True, group="Germination", help="The control."
    )
    root_control_mm: float | None = number(
        "Mean root in plain water", "mm", None, low=0, high=500, blank=True, group="Germination", help="Of those that germinated."
    )
    emergence_percent: float | None = number(
        "Seedlings in compost, of the control", "percent", None, low=0, high=500, blank=True, group="Germination",
        help="Emergence after two weeks in a compost mix, against a potting soil.",
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
         Column("status", "How the table is known")),
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
    if None not in seeds and (inputs.germinated_control == 0 or inputs.root_control_mm == 0):
        raise CannotSolve(
            "Nothing grew in plain water, so there is nothing to compare with: repeat the germination test with fresh seed.",
            ("germinated_control", "root_control_mm"),
        )


def _measure(inputs: Inputs, working: Working) -> _Measured:
    rise = index = ratio = oxygen_om = oxygen_ts = None
    if inputs.self_heating_highest_c is not None and inputs.self_heating_room_c is not None:
        rise = working.step("Self-heating rise", "°C rise", self_heating_rise, highest_c=inputs.self_heating_highest_c,
                            room_c=inputs.self_heating_room_c, source=source("brinton_1995"))  # fmt: skip
    germination = (inputs.germinated_sample, inputs.seeds_sample, inputs.root_sample_mm, inputs.germinated_control,
                   inputs.seeds_control, inputs.root_control_mm)  # fmt: skip
    if None not in germination:
        index = working.step(
            "Germination index", "percent", germination_index, germinated=inputs.germinated_sample, seeds=inputs.seeds_sample,
            root_mm=inputs.root_sample_mm, germinated_control=inputs.germinated_control, seeds_control=inputs.seeds_control,
            root_control_mm=inputs.root_control_mm, source=source("zucconi_1981"),
        )  # fmt: skip
    if inputs.ammonium_mg_kg is not None and inputs.nitrate_mg_kg:
        ratio = working.step("Ammonium to nitrate", "1", ammonium_nitrate_ratio, ammonium=inputs.ammonium_mg_kg,
                             nitrate=inputs.nitrate_mg_kg)  # fmt: skip
    if inputs.oxygen_uptake is not None:
        oxygen_om = working.step("Oxygen for organic matter", "mg O2/g OM/h", oxygen_as_mass, oxygen_mmol=inputs.oxygen_uptake)
        if inputs.organic_percent is not None:
            oxygen_ts = oxygen_om * inputs.organic_percent / 100
    return _Measured(rise, index, ratio, oxygen_om, oxygen_ts)


_Row = tuple[str, str, str, str, str]


def _band_row(name: str, shown: str, table: str, value: float) -> _Row:
    band = band_for(table, value)
    return (name, shown, band.label, band.meaning, band.status)


def _rows(inputs: Inputs, found: _Measured) -> list[_Row]:
    rows: list[_Row] = []
    if inputs.final_carbon_to_nitrogen is not None:
        ratio = inputs.final_carbon_to_nitrogen
        met = limit_met("carbon_to_nitrogen_final", ratio)
        row = LIMITS["carbon_to_nitrogen_final"]
        gate = "" if ratio <= GATE else f"; above {GATE}: not mature by the two-test index"
        rows.append(("C:N", show_number(ratio), "met" if met else "not met", f"limit {row['limit']}{gate}", row["status"]))
    if found.rise is not None:
        rows.append(_band_row("self-heating", f"{show_number(found.rise)} °C", "self_heating", found.rise))
    if inputs.carbon_dioxide is not None:
        rows.append(_band_row("carbon dioxide", f"{show_number(inputs.carbon_dioxide)} mg C/g OM/d", "carbon_dioxide",
                              inputs.carbon_dioxide))  # fmt: skip
    if found.oxygen_om is not None:
        rows.append(_band_row("oxygen taken up", f"{show_number(found.oxygen_om)} mg O₂/g OM/h", "oxygen_uptake_sour",
                              found.oxygen_om))  # fmt: skip
    if found.ratio is not None:
        rows.append(_band_row("ammonium to nitrate", show_number(found.ratio), "ammonium_nitrate_index", found.ratio))
    if inputs.ammonium_mg_kg is not None:
        rows.append(_band_row("ammonium nitrogen", f"{show_number(inputs.ammonium_mg_kg)} mg/kg", "ammonium_nitrogen",
                              inputs.ammonium_mg_kg))  # fmt: skip
    for key, name, value in (("organic_acids", "organic acids", inputs.organic_acids_mg_kg),
                             ("plant_trials", "seedlings", inputs.emergence_percent)):  # fmt: skip
        if value is not None:
            row = INDEX_ROWS[key]
            rows.append((name, show_number(value), two_test_rating(key, value), "two-test index, group B", row["status"]))
    if found.index is not None:
        rows.append(_band_row("germination index", f"{show_number(found.index)} %", "germination_index", found.index))
        for key in ("germination_nyt_525", "germination_mature"):
            row = LIMITS[key]
            met = limit_met(key, found.index)
            rows.append(("germination index", f"{show_number(found.index)} %", "met" if met else "not met",
                         f"{row['sense']} {row['limit']} %: {row['meaning']}", row["status"]))  # fmt: skip
    return rows + _field_rows(inputs)


def _field_rows(inputs: Inputs) -> list[_Row]:
    rows: list[_Row] = []
    if inputs.squeeze is not None:
        said = {"drops": "about right", "runs": "too wet", "crumbles": "too dry"}[inputs.squeeze]
        rows.append(("squeeze", inputs.squeeze, said, "moisture only, not maturity", FIELD["squeeze"]["status"]))
    if inputs.jar_smell is not None:
        good = inputs.jar_smell == "earthy"
        rows.append(("jar smell", inputs.jar_smell, "passed" if good else "failed",
                     "done" if good else "not done: cure longer", FIELD["jar"]["status"]))  # fmt: skip
    if inputs.radish_percent is not None:
        good = inputs.radish_percent >= 100 * FIELD["radish"]["pass_fraction"]
        rows.append(("radish", f"{show_number(inputs.radish_percent)} %", "passed" if good else "failed",
                     "ready" if good else "cure longer", FIELD["radish"]["status"]))  # fmt: skip
    if inputs.reheat_rise_c is not None:
        good = inputs.reheat_rise_c <= FIELD["reheat"]["limit_rise_c"]
        rows.append(("reheat", f"{show_number(inputs.reheat_rise_c)} °C", "passed" if good else "failed",
                     "settled" if good else "unfinished", FIELD["reheat"]["status"]))  # fmt: skip
    return rows


def _groups(inputs: Inputs, found: _Measured) -> tuple[dict[str, str], dict[str, str]]:
    """Ratings in the two groups of the two-test index, by test."""
    values = {
        "oxygen_uptake": found.oxygen_ts,
        "carbon_dioxide": inputs.carbon_dioxide,
        "self_heating": found.rise,
        "ammonium_nitrate": found.ratio,
        "ammonium_nitrogen": inputs.ammonium_mg_kg,
        "organic_acids": inputs.organic_acids_mg_kg,
        "seed_germination": None,
        "plant_trials": inputs.emergence_percent,
    }
    if None not in (inputs.germinated_sample, inputs.seeds_sample, inputs.germinated_control, inputs.seeds_control):
        if inputs.germinated_control:
            values["seed_germination"] = 100 * (inputs.germinated_sample / inputs.seeds_sample) / (
                inputs.germinated_control / inputs.seeds_control
            )  # fmt: skip
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
    return found


def _rule(parts: list[bool | None], required: bool = True) -> str:
    """Met, not met or undecided, for a rule of which one of several tests must be met (and a requirement)."""
    if not required:
        return "not met"
    if any(part is True for part in parts):
        return "met"
    return "not met by the tests entered" if any(part is False for part in parts) else "no test entered"


def _at_most(value: float | None, limit: float) -> bool | None:
    return None if value is None else value <= limit


def solve(inputs: Inputs, working: Working) -> Outputs:
    """Read every test, then the rules that combine them."""
    _pair_check(inputs)
    found = _measure(inputs, working)
    rows = _rows(inputs, found)
    for name, result, reading, meaning, _ in rows:
        working.note(name, reading, note=f"{result}: {meaning}")
    stability, maturity = _groups(inputs, found)
    rating = _two_test(inputs, stability, maturity)
    lacking = _lacking(inputs, stability, maturity)
    if rating is not None:
        working.note("Two-test index", rating, note=INDEX["combination"], source=source("ccqc_2001"))
    oxygen_vs = None if found.oxygen_om is None else found.oxygen_om * 1000
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
    return Outputs(
        verdict=_verdict(rating, lacking, rows),
        two_test_index=rating or "no rating yet",
        missing="nothing for the two-test index" if rating is not None else "; ".join(lacking),
        ccme_2005=canadian,
        eu_stability=european,
        tests_entered=len({row[0] for row in rows}),
        samples_per_year=int(working.step("Composite samples a year", "1", samples_a_year,
                                          volume_a_year=inputs.screened_m3_per_day * 365, source=SAMPLING)),  # fmt: skip
        self_heating_rise_c=found.rise,
        germination_index_percent=found.index,
        ammonium_nitrate=found.ratio,
        tests=tuple(rows),
    )


def samples_a_year(volume_a_year: float) -> float:
    """Composite samples for a yearly volume of compost (m³): one for each 3,823 m³, at least one."""
    return most(whole_up(volume_a_year / SAMPLE_M3), 1)


def _verdict(rating: str | None, lacking: list[str], rows: list[_Row]) -> str:
    if rating == RATINGS[2]:
        return "half-finished: not mature by the two-test index"
    if rating is not None:
        return f"{rating} compost by the two-test index"
    if not rows:
        return "no verdict: no test is entered"
    failed = [row[0] for row in rows if row[2] in ("failed", "not met", "immature", "class I", "class II")]
    if failed:
        return f"no verdict yet, but these speak against maturity: {', '.join(dict.fromkeys(failed))}"
    return "no verdict yet"


# ---- words ----------------------------------------------------------------------------------------------------


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    start = outputs.verdict[:1].upper() + outputs.verdict[1:]
    cured = f"after {say(inputs.curing_days, 'd')} of curing"
    if outputs.two_test_index == "no rating yet":
        return f"{start}, {cured}. Still missing: {outputs.missing}."
    return f"{start}, {cured}."


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about this result."""
    found = []
    index = outputs.germination_index_percent
    rise = outputs.self_heating_rise_c
    if index is not None and rise is not None and index > 80 and rise > INDEX_ROWS["self_heating"]["mature_up_to"]:
        found.append("The tests disagree: seeds do well, yet the compost still heats. Heating decides: cure on, test again.")
    if index is not None and rise is not None and index < 50 and rise <= 10:
        found.append("The tests disagree: it no longer heats, yet seeds suffer. Look for salt, ammonia or residues.")
    if index is not None:
        found.append("A germination index depends on seed, extract and days; published comparisons ran from 20 to 217 % for one "
                     "compost. Never judge by it alone.")  # fmt: skip
    if inputs.ammonium_mg_kg is not None and inputs.nitrate_mg_kg == 0:
        found.append("No nitrate was found, so ammonium to nitrate has no value; ammonium alone is read.")
    if (inputs.self_heating_highest_c is None) != (inputs.self_heating_room_c is None):
        found.append("Self-heating needs both readings: the highest and the room.")
    if outputs.self_heating_rise_c is not None and outputs.self_heating_rise_c < 0:
        found.append("The flask was colder than the room: check the thermometer.")
    found.append("The limits of the two-test index and several bands are from memory, unverified: ask the laboratory for its own.")
    found.append(f"Each sample is mixed from {GRABS} grabs; the German rule (BioAbfV) asks for a set at least every quarter. "
                 "A public office may ask for more.")  # fmt: skip
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """Compost that is not proven must not be sold as finished."""
    proven = outputs.two_test_index in RATINGS[:2]
    return [
        RaisedCaution("compost_not_fit_until_tested", f"Verdict: {outputs.verdict}.", urgent=not proven),
        RaisedCaution("not_for_food_contact"),
        RaisedCaution("legionella"),
        RaisedCaution("meat_rules"),
    ]


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """The self-heating rise against the class limits, where it was measured."""
    if outputs.self_heating_rise_c is None:
        return []
    marks = tuple(Mark(limit, f"class {upper} ends") for limit, upper in ((10.0, "V"), (20.0, "IV"), (30.0, "III"), (40.0, "II")))
    return [Chart("bars", "Self-heating rise against the classes", "°C rise", ("this sample",),
                  (Line("Rise", (max(outputs.self_heating_rise_c, 0.0),)),), marks)]  # fmt: skip


CALCULATOR = Calculator(
    key="maturity", title="Maturity tests", question="Is this batch mature, and what is still to be tested?", inputs=Inputs,
    outputs=Outputs, solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts,
    sources=(cited("ccqc_2001", INDEX["status"], ""), source("brinton_1995"), source("tmecc_05_08"), source("ccme_2005"),
             source("eu_2019_1009"), source("zucconi_1981"), source("emino_warman_2004"), source("mpca_compost"),
             source("picon_toro_2012"), source("nyt_525_2021"), source("fco_india"), SAMPLING,
             source("bioabfv"), own_choice("the poorest of the tests entered in each group stands")),
    step="Finish and use",
)  # fmt: skip
