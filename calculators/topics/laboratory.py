"""From raw readings to test results: germination, self-heating, carbon dioxide by titration, moisture and ash; each with how
unsure it is. With a sampling plan and the day of the next test. The maturity tests follow what is found here.

Standard uncertainties are combined in quadrature and doubled for about 95 % (GUM). Replicates tell of spread; a single
reading tells nothing of it, and then none is given.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from calculators.declare import (
    MONTHS,
    Calculator,
    CannotSolve,
    Chart,
    Column,
    Line,
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
    table,
    text,
)  # fmt: skip
from calculators.known import as_count, plain
from calculators.reference import Source, cited, source
from calculators.topics.maturity import germination_index, two_test_rating
from calculators.topics.mix import sample_moisture
from calculators.units import show_number
from calculators.working import Working, least, log10, most, sqrt, total, whole_up

DISHES = {
    "extract": "seeds in compost extract", "water": "seeds in plain water", "pot": "pot of compost mix", "soil": "pot of potting soil",
}  # fmt: skip
TRAPS = {"compost": "jar with compost", "blank": "jar without compost"}
COVERAGE = 2.0
"""Expanded uncertainty is this many standard uncertainties: about 95 %."""
CARBON_MG_PER_MEQ = 12.011 / 2
"""Carbon (mg) in the carbon dioxide that a milliequivalent of alkali binds: CO₂ + 2 NaOH."""
FEWEST_GRABS, MOST_GRABS, GRABS_PER_ROOT = 12.0, 30.0, 0.5
"""Sub-samples: half the root of the cubic metres, at least 12 and at most 30."""
RULE_GRABS, RULE_KG = 5, 3
"""Fewest sub-samples and about how much mixed sample the German rule asks for germs."""
QUARTER_DAYS = 91
SAID = ("germination index", "seedlings", "self-heating rise", "carbon dioxide")
"""Results that a verdict on maturity rests on: the sentence names these where there are any."""
GUM = cited("gum_2008", "from memory", "combined in quadrature, coverage factor 2")
SAMPLING = cited("en_12579", "from memory", "half the root of the cubic metres, 12 to 30")


@dataclass(frozen=True)
class Inputs:
    """Readings as they were written down, and the batch that is sampled."""

    seed_dishes: tuple[tuple[Any, ...], ...] = table(
        "Dishes and pots with seeds",
        {
            "dish": choice("What", DISHES, "extract"),
            "seeds": count("Seeds", "each", 10, low=1, high=1_000, usual=(20, 50)),
            "grown": count("Grown", "each", 0, low=0, high=1_000, usual=(0, 20)),
            "root_mm": number("Mean root", "mm", None, low=0, high=500, usual=(5, 60), blank=True),
        },
        (), most_rows=40, group="Germination", help="One row for each dish or pot; three of each at least. Roots for dishes only.",
    )  # fmt: skip
    flask_readings: tuple[tuple[Any, ...], ...] = table(
        "Readings of the flask",
        {
            "day": count("Day", "d", 1, low=0, high=60, usual=(0, 10)),
            "flask_c": number("In the flask", "°C", 20.0, low=-10, high=90, usual=(20, 60)),
            "room_c": number("Room", "°C", 20.0, low=-10, high=50, usual=(18, 24)),
        },
        (), most_rows=60, group="Self-heating", help="Daily for 5 to 10 days. Several flasks may share the table.",
    )  # fmt: skip
    thermometer_error_c: float = number(
        "The thermometer is right within", "°C rise", 0.5, low=0, high=5, usual=(0.1, 1), group="Self-heating",
        help="Check it in melting ice.", source=practice("a glass or digital thermometer of a school"),
    )  # fmt: skip
    weighings: tuple[tuple[Any, ...], ...] = table(
        "Weighings of dishes",
        {
            "empty_g": number("Empty dish", "g", 10.0, low=0, high=5_000, usual=(5, 20)),
            "wet_g": number("With wet compost", "g", 110.0, low=0, high=10_000, usual=(90, 120)),
            "dried_g": number("After drying", "g", 70.0, low=0, high=10_000, usual=(50, 80)),
            "burnt_g": number("After burning", "g", None, low=0, high=10_000, usual=(25, 45), blank=True),
        },
        (), most_rows=20, group="Moisture and ash",
        help="Dried at about 105 °C until it weighs the same twice; burnt at 550 °C by a laboratory, or left empty.",
    )  # fmt: skip
    alkali_traps: tuple[tuple[Any, ...], ...] = table(
        "Titration of the alkali",
        {
            "trap": choice("Jar", TRAPS, "compost"),
            "acid_ml": number("Acid used", "ml", 0.0, low=0, high=500, usual=(5, 25)),
        },
        (), most_rows=30, group="Carbon dioxide",
        help="Of the same alkali in each jar. Jars without compost take more acid.",
    )  # fmt: skip
    acid_mol_l: float = number(
        "Strength of the acid", "1", 0.5, low=0.01, high=5, usual=(0.05, 1), group="Carbon dioxide",
        help="Moles of acid in a litre, for hydrochloric acid.", source=own_choice("a strength that schools keep"),
    )  # fmt: skip
    jar_compost_g: float = number(
        "Wet compost in a jar", "g", 25.0, low=0.1, high=5_000, usual=(10, 100), group="Carbon dioxide", help="The same in each.",
        source=own_choice("a handful"),
    )  # fmt: skip
    jar_days: float = number(
        "The jars stood for", "d", 1.0, low=0.1, high=30, usual=(0.5, 4), group="Carbon dioxide", help="At about 25 to 37 °C.",
        source=own_choice("a day, so that the alkali is not used up"),
    )  # fmt: skip
    batch_m3: float = number(
        "Volume of the batch", "m3", 5.0, low=0.01, high=1e5, usual=(1, 500), group="Sampling", help="What one sample stands for.",
        source=own_choice("one heap"), measure="measure the heap",
    )  # fmt: skip
    grab_l: float = number(
        "A sub-sample is", "l", 1.0, low=0.05, high=20, usual=(0.5, 5), group="Sampling", help="The same from each place.",
        source=practice("a litre with a clean trowel"),
    )  # fmt: skip
    laboratory_l: float = number(
        "The laboratory wants", "l", 5.0, low=0.1, high=100, usual=(1, 20), group="Sampling", help="Ask it.",
        source=practice("2 to 10 litres"),
    )  # fmt: skip
    sampled_on: str = text("Sampled on", "", group="Sampling", help="Year, month, day, such as 2027-03-14. Empty: no date.")
    retest_after_days: int = count(
        "Test again after, if not mature", "d", 21, low=1, high=365, usual=(7, 60), group="Sampling", help="Of more curing.",
        source=own_choice("three weeks, the least curing of the Canadian guideline"),
    )  # fmt: skip


@dataclass(frozen=True)
class Outputs:
    """Test results as the maturity tests take them, how unsure they are, and the sampling."""

    results_found: int = output_count("Results found", "each", key_figure=True)
    germination_percent_of_control: float | None = output("Germination index from the dishes", "percent", help="– without dishes.",
                                                          key_figure=True)  # fmt: skip
    germination_uncertainty_percent: float | None = output(
        "± of the germination index, about 95 %", "percent", help="– below two dishes of each.", key_figure=True
    )
    seeds_sample: int | None = output_count("Seeds in extract", "each", help="– without dishes.")
    germinated_sample: int | None = output_count("germinated in extract", "each", help="– without dishes.")
    root_sample_mm: float | None = output("Mean root in extract", "mm", help="– without dishes.")
    seeds_control: int | None = output_count("Seeds in water", "each", help="– without dishes.")
    germinated_control: int | None = output_count("germinated in water", "each", help="– without dishes.")
    root_control_mm: float | None = output("Mean root in water", "mm", help="– without dishes.")
    emergence_percent: float | None = output("Seedlings, of the control", "percent", help="– without pots of both.")
    self_heating_highest_c: float | None = output("Flask, highest", "°C", help="– without readings.")
    self_heating_room_c: float | None = output("Room at that reading", "°C", help="– without readings.")
    compost_moisture_percent: float | None = output("Moisture", "percent", help="– without weighings.")
    organic_percent: float | None = output("Organic matter, of dry mass", "percent", help="– without burning.")
    carbon_dioxide: float | None = output("Carbon dioxide given off, as carbon", "mg CO2-C/g OM/d", help="– without jars and ash.")
    sub_samples: int = output_count("Sub-samples to take", "each", key_figure=True)
    mixed_sample_l: float = output("Mixed sample", "l")
    quarterings: int = output_count("Times to quarter it", "each")
    retest_on: str = output_text("Test again", key_figure=True)
    results: tuple[tuple[object, ...], ...] = output_table(
        "Results and how unsure they are",
        (Column("result", "Result"), Column("value", "Value"), Column("error", "± about 95 %"), Column("readings", "Readings", "1"),
         Column("method", "How the ± was found")),
    )  # fmt: skip
    plan: tuple[tuple[object, ...], ...] = output_table(
        "Sampling, step by step", (Column("step", "Step", "1"), Column("what", "What to do"), Column("why", "Why")),
    )  # fmt: skip


# ---- formulas -------------------------------------------------------------------------------------------------


def mean(values: Sequence[float]) -> float:
    """Arithmetic mean of at least one value."""
    return total(values) / len(values)


def error_of_mean(values: Sequence[float]) -> float:
    """Standard error of a mean: sample standard deviation over the root of the number. At least two values."""
    middle = mean(values)
    return sqrt(total((value - middle) ** 2 for value in values) / (len(values) - 1) / len(values))


def error_of_share(grown: float, seeds: float) -> float:
    """Standard error of a counted share, binomial, with two of each added so that none of few is not taken for none.

    Agresti and Coull, The American Statistician 52 (1998) 119-126.
    """
    share = (grown + 2) / (seeds + 4)
    return sqrt(share * (1 - share) / (seeds + 4))


def relative_error(errors: Sequence[float], values: Sequence[float]) -> float:
    """Relative standard uncertainty of products and ratios: the roots of the squares (GUM). Values above 0."""
    return sqrt(total((error / value) ** 2 for error, value in zip(errors, values, strict=True)))


def rise_error(thermometer_error_c: float) -> float:
    """Standard uncertainty of the difference of two readings of a thermometer right within some degrees (rectangular)."""
    return thermometer_error_c / sqrt(3) * sqrt(2)


def carbon_given_off(blank_ml: float, compost_ml: float, acid_mol_l: float, organic_g: float, days: float) -> float:
    """Carbon given off as CO₂ (mg for a gram of organic matter and day) from acid saved by it; a mole of HCl is an equivalent."""
    return (blank_ml - compost_ml) * acid_mol_l * CARBON_MG_PER_MEQ / organic_g / days


def organic_share(dried_g: float, burnt_g: float, empty_g: float) -> float:
    """Loss on burning, percent of dry mass."""
    return 100 * (dried_g - burnt_g) / (dried_g - empty_g)


def grabs_for(batch_m3: float) -> float:
    """Sub-samples of a batch: half the root of its cubic metres, 12 to 30."""
    return least(MOST_GRABS, most(FEWEST_GRABS, whole_up(GRABS_PER_ROOT * sqrt(batch_m3))))


def quarterings_for(mixed_l: float, wanted_l: float) -> float:
    """How often a mixed sample can be halved and still holds what is wanted."""
    return most(0.0, whole_up(log10(mixed_l / wanted_l) / log10(2.0) + 1e-9) - 1)


# ---- solving --------------------------------------------------------------------------------------------------

_Line = tuple[str, str, str, int, str]


@dataclass
class _Found:
    """What was worked out so far, by the names of the outputs, with the rows of the table."""

    values: dict[str, float | int | None]
    rows: list[_Line]

    def add(self, name: str, value: str, error: str, readings: int, method: str) -> None:
        """A row of the table of results."""
        self.rows.append((name, value, error, readings, method))


def _shares(dishes: Sequence[tuple[int, int, float | None]]) -> tuple[int, int, float]:
    """Seeds, grown, and the standard error of the share: the larger of counting and of the spread between dishes."""
    seeds, grown = sum(dish[0] for dish in dishes), sum(dish[1] for dish in dishes)
    error = error_of_share(grown, seeds)
    if len(dishes) > 1:
        error = max(error, error_of_mean([dish[1] / dish[0] for dish in dishes]))
    return seeds, grown, error


def _roots(dishes: Sequence[tuple[int, int, float | None]]) -> tuple[float | None, float | None]:
    """Mean root of all that grew, and its standard error from the spread between dishes; 0 where nothing grew."""
    grown = [(dish[1], dish[2]) for dish in dishes if dish[1] > 0]
    if not grown:
        return 0.0, None
    if any(root is None for _, root in grown):
        return None, None
    roots = [float(root) for _, root in grown]
    middle = total(number * root for (number, _), root in zip(grown, roots, strict=True)) / sum(number for number, _ in grown)
    return middle, error_of_mean(roots) if len(roots) > 1 else None


def _germination(inputs: Inputs, found: _Found, working: Working) -> None:
    by_kind: dict[str, list[tuple[int, int, float | None]]] = {kind: [] for kind in DISHES}
    for kind, seeds, grown, root in inputs.seed_dishes:
        if grown > seeds:
            raise CannotSolve(f"In one row more grew ({grown}) than were sown ({seeds}).", ("seed_dishes",))
        by_kind[str(kind)].append((seeds, grown, root))
    sample, control = by_kind["extract"], by_kind["water"]
    shares = {}
    for dishes, where in ((sample, "sample"), (control, "control")):
        if dishes:
            seeds, grown, error = shares[where] = _shares(dishes)
            root, _ = _roots(dishes)
            words = "extract" if where == "sample" else "water"
            working.note(f"Seeds in {words}", f"{grown} of {seeds}", note=f"{len(dishes)} dishes")
            found.values |= {f"seeds_{where}": seeds, f"germinated_{where}": grown, f"root_{where}_mm": root}
            found.add(f"germinated in {words}", f"{show_number(100 * grown / seeds)} %", f"{show_number(100 * COVERAGE * error, 2)} %",
                      len(dishes), "binomial, or the spread between dishes where that is larger")  # fmt: skip
    if sample and control:
        _index(sample, control, found, working)
    pots, soil = by_kind["pot"], by_kind["soil"]
    if pots and soil:
        _emergence(pots, soil, found, working)


def _index(sample: list[tuple[int, int, float | None]], control: list[tuple[int, int, float | None]], found: _Found,
           working: Working) -> None:  # fmt: skip
    seeds, grown, error = _shares(sample)
    control_seeds, control_grown, control_error = _shares(control)
    root, root_error = _roots(sample)
    control_root, control_root_error = _roots(control)
    if control_grown == 0 or control_root == 0:
        raise CannotSolve("Nothing grew in plain water, so there is nothing to compare with: repeat the germination test with fresh "
                          "seed.", ("seed_dishes",))  # fmt: skip
    if root is None or control_root is None:
        return
    index = working.step("Germination index", "percent", germination_index, germinated=float(grown), seeds=float(seeds), root_mm=root,
                         germinated_control=float(control_grown), seeds_control=float(control_seeds), root_control_mm=control_root,
                         source=source("zucconi_1981"))  # fmt: skip
    found.values["germination_percent_of_control"] = index
    words = "–"
    if root_error is not None and control_root_error is not None and index > 0:
        share = working.step(
            "Relative uncertainty of the index", "1", relative_error,
            errors=[error, control_error, root_error, control_root_error],
            values=[grown / seeds, control_grown / control_seeds, root, control_root], source=GUM,
            names={"errors": "error", "values": "figure"},
        )  # fmt: skip
        doubled = COVERAGE * share * index
        found.values["germination_uncertainty_percent"] = doubled
        words = f"{show_number(plain(doubled), 2)} %"
    found.add("germination index", f"{show_number(plain(index))} %", words, len(sample) + len(control),
              "two germinations and two mean roots, in quadrature" if words != "–" else "needs two dishes of each with roots")  # fmt: skip


def _emergence(pots: list[tuple[int, int, float | None]], soil: list[tuple[int, int, float | None]], found: _Found,
               working: Working) -> None:  # fmt: skip
    seeds, grown, error = _shares(pots)
    soil_seeds, soil_grown, soil_error = _shares(soil)
    if soil_grown == 0:
        raise CannotSolve("Nothing grew in the potting soil, so there is nothing to compare with: sow again.", ("seed_dishes",))
    share, soil_share = grown / seeds, soil_grown / soil_seeds
    value = working.step("Seedlings, of the control", "percent", _of_control, share=share, control=soil_share)
    found.values["emergence_percent"] = min(plain(value), 500.0)
    spread = relative_error([error, soil_error], [max(share, error), soil_share])
    found.add("seedlings", f"{show_number(plain(value))} %", f"{show_number(COVERAGE * spread * max(plain(value), 1.0), 2)} %",
              len(pots) + len(soil), "binomial, or the spread between pots where that is larger")  # fmt: skip


def _of_control(share: float, control: float) -> float:
    return 100 * share / control


def _self_heating(inputs: Inputs, found: _Found, working: Working) -> None:
    if not inputs.flask_readings:
        return
    day, highest, room = max(inputs.flask_readings, key=lambda row: (row[1], row[1] - row[2], -row[0]))
    found.values |= {"self_heating_highest_c": float(highest), "self_heating_room_c": float(room)}
    working.note("Highest in the flask", float(highest), "°C", f"on day {day}, the room at {show_number(float(room))} °C")
    error = working.step("Uncertainty of the rise", "°C rise", rise_error, thermometer_error_c=inputs.thermometer_error_c, source=GUM)
    found.add("self-heating rise", f"{show_number(float(highest) - float(room))} °C",
              f"{show_number(COVERAGE * plain(error), 2)} °C", len(inputs.flask_readings), "two readings of the thermometer")  # fmt: skip


def _weighed(inputs: Inputs, found: _Found, working: Working) -> None:
    moistures, organics = [], []
    for empty, wet, dried, burnt in inputs.weighings:
        if not empty < dried <= wet:
            raise CannotSolve("A dish weighs least empty, more after drying and most with wet compost: look at the weighings.",
                              ("weighings",))  # fmt: skip
        moistures.append(sample_moisture(wet - empty, empty, dried))
        if burnt is not None:
            if not empty <= burnt <= dried:
                raise CannotSolve("After burning a dish weighs no more than after drying, and no less than empty.", ("weighings",))
            organics.append(organic_share(dried, burnt, empty))
    for values, name, label in ((moistures, "compost_moisture_percent", "moisture"), (organics, "organic_percent", "organic matter")):
        if values:
            found.values[name] = working.step(label.capitalize(), "percent", mean, values=values, names={"values": "dish"})
            error = f"{show_number(COVERAGE * error_of_mean(values), 2)} %" if len(values) > 1 else "–"
            found.add(label, f"{show_number(plain(found.values[name]))} %", error, len(values),
                      "spread between dishes" if len(values) > 1 else "needs two dishes")  # fmt: skip


def _respired(inputs: Inputs, found: _Found, working: Working) -> None:
    used = {kind: [float(row[1]) for row in inputs.alkali_traps if row[0] == kind] for kind in TRAPS}
    if not used["compost"] or not used["blank"]:
        return
    moisture, organic = found.values.get("compost_moisture_percent"), found.values.get("organic_percent")
    if moisture is None or organic is None:
        return
    grams = working.step("Organic matter in a jar", "g", _organic_grams, wet_g=inputs.jar_compost_g, moisture_percent=moisture,
                         organic_percent=organic)  # fmt: skip
    blank, compost = mean(used["blank"]), mean(used["compost"])
    if compost > blank:
        raise CannotSolve("Jars with compost took more acid than those without. They may be mixed up.", ("alkali_traps",))
    if plain(grams) <= 0:
        raise CannotSolve("There is no organic matter in the jar by these weighings.", ("weighings", "alkali_traps"))
    value = working.step("Carbon dioxide, as carbon", "mg CO2-C/g OM/d", carbon_given_off, blank_ml=blank, compost_ml=compost,
                         acid_mol_l=inputs.acid_mol_l, organic_g=grams, days=inputs.jar_days, source=source("soil_ecology_notes"))  # fmt: skip
    found.values["carbon_dioxide"] = value
    words, method = "–", "needs two jars of each"
    if min(map(len, used.values())) > 1:
        spread = (error_of_mean(used["blank"]) ** 2 + error_of_mean(used["compost"]) ** 2) ** 0.5
        error = carbon_given_off(spread, 0.0, plain(inputs.acid_mol_l), plain(grams), plain(inputs.jar_days))
        words, method = f"{show_number(COVERAGE * error, 2)} mg C/g OM/d", "spread between jars, in quadrature"
    found.add("carbon dioxide", f"{show_number(plain(value))} mg C/g OM/d", words, sum(map(len, used.values())), method)


def _organic_grams(wet_g: float, moisture_percent: float, organic_percent: float) -> float:
    return wet_g * (1 - moisture_percent / 100) * organic_percent / 100


def read_date(words: str) -> datetime.date | None:
    """The date that was written as year, month and day, or ``None`` for nothing and for anything else."""
    try:
        date = datetime.date.fromisoformat(words)
    except ValueError:
        return None
    return date if date.isoformat() == words and 1900 <= date.year <= 9000 else None


def not_mature(values: dict[str, float | int | None]) -> list[str]:
    """Which of the results speak against mature compost, by the two-test index."""
    plain_values = {name: plain(value) for name, value in values.items()}
    high, room = plain_values.get("self_heating_highest_c"), plain_values.get("self_heating_room_c")
    looked_at = {
        "self_heating": None if high is None or room is None else high - room,
        "carbon_dioxide": plain_values.get("carbon_dioxide"), "plant_trials": plain_values.get("emergence_percent"),
        "seed_germination": plain_values.get("germination_percent_of_control"),
    }  # fmt: skip
    names = {"self_heating": "self-heating", "carbon_dioxide": "carbon dioxide", "plant_trials": "seedlings",
             "seed_germination": "germination index"}  # fmt: skip
    return [names[key] for key, value in looked_at.items() if value is not None and two_test_rating(key, round(value, 9)) == "immature"]


def _retest(inputs: Inputs, found: _Found) -> str:
    date = read_date(inputs.sampled_on)
    against = not_mature(found.values)
    if not found.rows:
        return "as soon as there are readings"
    days = inputs.retest_after_days if against else QUARTER_DAYS
    why = f"{' and '.join(against)} against mature compost" if against else "the next batch, or within a quarter"
    if date is None:
        said = f" (‘{inputs.sampled_on}’ is not a date: write year, month and day, such as 2027-03-14)" if inputs.sampled_on else ""
        return f"after {days} days: {why}{said}"
    due = date + datetime.timedelta(days=plain(days))
    return f"on {due.day} {MONTHS[due.month - 1]} {due.year}: {why}"


def solve(inputs: Inputs, working: Working) -> Outputs:
    """Results of the tests, then the sampling."""
    found = _Found({}, [])
    told = plain(inputs)
    _germination(told, found, working)
    _self_heating(inputs, found, working)
    _weighed(told, found, working)
    _respired(inputs, found, working)
    grabs = as_count(working.step("Sub-samples", "1", grabs_for, batch_m3=inputs.batch_m3, source=SAMPLING))
    mixed = grabs * inputs.grab_l
    turns = as_count(working.step("Times to quarter", "1", quarterings_for, mixed_l=mixed, wanted_l=inputs.laboratory_l))
    return Outputs(
        results_found=len(found.rows),
        germination_percent_of_control=found.values.get("germination_percent_of_control"),
        germination_uncertainty_percent=found.values.get("germination_uncertainty_percent"),
        **{name: found.values.get(name) for name in (
            "seeds_sample", "germinated_sample", "root_sample_mm", "seeds_control", "germinated_control", "root_control_mm",
            "emergence_percent", "self_heating_highest_c", "self_heating_room_c", "compost_moisture_percent", "organic_percent",
            "carbon_dioxide",
        )},
        sub_samples=grabs,
        mixed_sample_l=mixed,
        quarterings=turns,
        retest_on=_retest(told, found),
        results=tuple(found.rows),
        plan=_plan(told, plain(grabs), plain(mixed), plain(turns)),
    )  # fmt: skip


def _plan(inputs: Inputs, grabs: int, mixed_l: float, turns: int) -> tuple[tuple[object, ...], ...]:
    kept = mixed_l / 2**turns
    often = "once" if turns == 1 else f"{turns} times"
    quarter = (f"Heap it on a clean sheet, flatten it, cut it in four, keep two opposite quarters and mix them again: {often}, "
               f"down to some {show_number(kept)} L") if turns else "Mix it well on a clean sheet; no quartering is needed"  # fmt: skip
    wanted = f"; the laboratory wants {show_number(inputs.laboratory_l)} L, so take larger sub-samples"
    short = wanted if kept < inputs.laboratory_l else ""
    steps = (
        (f"Mark {grabs} places over the whole batch of {show_number(inputs.batch_m3)} m³: top, middle and foot, both sides, and the "
         "heart, by opening it", "one place speaks for itself only"),
        (f"Take {show_number(inputs.grab_l)} L from each with a clean trowel into a clean tub: {show_number(mixed_l)} L together",
         "equal shares make a fair mean"),
        (quarter + short, "so that what is sent is like the whole"),
        ("For germs use disinfected tools and a sterile bag, and keep it cold: they multiply and die in a warm bag",
         f"the German rule mixes at least {RULE_GRABS} sub-samples to about {RULE_KG} kg"),
        ("Label it: batch, date, hour, name, and keep a second bag in the cold", "for a quarrel or a second test"),
        ("Send it the same day, cool, in a bag with holes for stability tests", "it goes on changing"),
    )  # fmt: skip
    return tuple((position, *row) for position, row in enumerate(steps, start=1))


# ---- words ----------------------------------------------------------------------------------------------------


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    take = f"take {outputs.sub_samples} sub-samples of {say(inputs.grab_l, 'l')} from the batch and mix them"
    if not outputs.results_found:
        return f"No reading is entered yet: {take}."
    told = [row for row in outputs.results if row[0] in SAID] or list(outputs.results)
    listed = "; ".join(f"{row[0]} {row[1]}" + (f" ± {row[2]}" if row[2] != "–" else "") for row in told)
    return f"From the readings: {listed}. Test again {outputs.retest_on}."


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about these figures."""
    found = []
    index, error = outputs.germination_percent_of_control, outputs.germination_uncertainty_percent
    if index is not None and error is not None:
        for limit in (80, 90):
            if abs(index - limit) < error:
                found.append(f"The germination index lies within its own ± of {limit} %: it can't be told on which side. Sow more dishes.")
                break
    if inputs.alkali_traps and outputs.carbon_dioxide is None:
        found.append("Carbon dioxide needs jars with and without compost, and weighings with ash for the organic matter in the jar.")
    kinds = [row[0] for row in inputs.seed_dishes]
    few = [DISHES[kind] for kind in DISHES if 0 < kinds.count(kind) < 3]
    if few:
        found.append(f"Fewer than three of: {', '.join(few)}. The ± is then a rough guess.")
    if 0 < len({row[0] for row in inputs.flask_readings}) < 5:
        found.append("Fewer than five days in the flask: the highest may still come.")
    if outputs.results_found:
        found.append("The maturity tests take these figures unless you enter others there.")
    found.append("The ± tells of the readings only. Sampling is often the larger part: two mixed samples of one heap show it.")
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """Alkali and acid burn; compost carries germs."""
    found = [RaisedCaution("raw_waste_hands"), RaisedCaution("legionella")]
    return [RaisedCaution("alkali_and_acid", urgent=True), *found] if inputs.alkali_traps else found


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """The flask day by day."""
    if not inputs.flask_readings:
        return []
    days = sorted({int(row[0]) for row in inputs.flask_readings})
    hottest = {day: max((row for row in inputs.flask_readings if row[0] == day), key=lambda row: row[1]) for day in days}
    return [Chart("lines", "Flask and room, day by day", "°C", tuple(str(day) for day in days),
                  (Line("Flask", tuple(float(hottest[day][1]) for day in days)),
                   Line("Room", tuple(float(hottest[day][2]) for day in days))), axis="Day")]  # fmt: skip


def _sources() -> tuple[Source, ...]:
    return (source("zucconi_1981"), source("brinton_1995"), source("soil_ecology_notes"), GUM, source("agresti_coull_1998"), SAMPLING,
            source("bioabfv"), source("ccr_14_sampling"), practice("drying at about 105 °C, burning at 550 °C"),
            own_choice("the larger of counting error and spread between dishes"))  # fmt: skip


CALCULATOR = Calculator(
    key="laboratory", title="Raw readings", question="What do the readings of dishes, flasks and jars come to, and how sure is it?",
    inputs=Inputs, outputs=Outputs, solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts,
    sources=_sources(), step="Finish and use",
)  # fmt: skip
