"""Climate effect: methane that the waste would have given off in a dump, less what the yard itself gives off.

Avoided methane by the first-order decay method of the IPCC (2006, volume 5, chapter 3), year by year; composting by its
default factors (chapter 4, table 4.1); power and fuel by the user's own factors. Carbon dioxide from the waste itself is
not counted: it was in the air before the plants grew.
"""

from __future__ import annotations

from dataclasses import dataclass

from calculators.declare import (
    Calculator,
    CannotSolve,
    Chart,
    Column,
    Line,
    Mark,
    Say,
    choice,
    count,
    number,
    output,
    output_table,
    own_choice,
)  # fmt: skip
from calculators.reference import Figure, cited, figure, figures, rows_of, source
from calculators.working import Working, exp, sqrt, total

DAYS_IN_YEAR = 365
LN_2 = 0.6931471805599453
SITES = {row["key"]: row for row in rows_of("climate", "disposal")}
ZONES = {row["key"]: row["label"] for row in rows_of("climate", "zones")}
DUMPS = figures("climate", "disposal")
SETS = {row["key"]: row for row in rows_of("climate", "warming")}
STREAMS = ("food", "garden")
EDITIONS = {"2006": "2006: half of it, for all waste", "2019": "2019: seven tenths of what rots fast"}
DELIVERED = {"corrected": "0.24 g/kg, as corrected", "printed": "0.3 g/kg, as first printed"}
METHANE_FRACTION = figure("climate", "constants", "methane_fraction")
METHANE_PER_CARBON = figure("climate", "constants", "methane_per_carbon").typical
COVERED = figure("climate", "constants", "oxidation_covered_fraction")
COMPOST_METHANE = figure("climate", "composting", "methane_g_kg")
N2O_DRY = figure("climate", "composting", "nitrous_oxide_dry_g_kg")
TABLE_MOISTURE = figure("climate", "composting", "moisture_assumed_percent")
COMPOST_N2O = {key: figure("climate", "composting", f"nitrous_oxide_{key}_g_kg") for key in DELIVERED}
DIESEL = figure("climate", "fuel", "diesel_kg_co2_l")
POWER = figure("climate", "fuel", "power_kg_co2_kwh")
RATES = figures("climate", "decay_rate")
CARBON = figures("climate", "organic_carbon")
DECOMPOSED = figures("climate", "decomposed")
CHAPTER_3 = source("ipcc_2006_v5_ch3")
CHAPTER_4 = source("ipcc_2006_v5_ch4")


def _ranges() -> dict[Figure, str]:
    """How each figure and its range are known, in words: a range may be less sure than the figure in it."""
    found = {}
    for table in ("disposal", "organic_carbon", "decomposed", "constants", "decay_rate", "composting"):
        for key, held in figures("climate", table).items():
            row = next(each for each in rows_of("climate", table) if each["key"] == key)
            other = row.get("range_status", held.status)
            found[held] = held.status if other == held.status else f"{held.status}; range {other}"
    return found


HOW_KNOWN = _ranges()


@dataclass(frozen=True)
class Inputs:
    """What is kept from the dump, where it would have gone, and what the yard burns."""

    kitchen_kg_per_day: float = number(
        "Kitchen waste kept", "kg/d", 400.0, low=0, high=1e6, follows="arrivals", group="What is composted", help="Wet, mean of the year."
    )
    market_kg_per_day: float = number(
        "Market waste kept", "kg/d", 0.0, low=0, high=1e6, follows="arrivals", group="What is composted", help="Wet, mean of the year."
    )
    garden_kg_per_day: float = number(
        "Green garden waste kept", "kg/d", 0.0, low=0, high=1e6, follows="arrivals", group="What is composted",
        help="Wet, mean of the year.",
    )  # fmt: skip
    bulking_kg_per_day: float = number(
        "Bulking in the mix", "kg/d", 100.0, low=0, high=2e6, follows="mix", group="What is composted", help="Dry leaves and the like."
    )
    leaves_dumped_percent: float = number(
        "Of the bulking, would have gone to the dump", "percent", 0.0, low=0, high=100, group="Where it would have gone",
        help="Leaves burnt or left under the trees count 0.", source=own_choice("nothing, so that no more is claimed than is sure"),
        measure="ask where the leaves went before",
    )  # fmt: skip
    disposal_kind: str = choice(
        "The waste would have gone to a", {key: row["label"] for key, row in SITES.items()}, "uncategorised",
        group="Where it would have gone", help="Look at the site that takes the ward's waste today.",
        source=own_choice("the guidelines' entry for a site that is not known"), measure="visit the dump: how deep, covered or not",
    )  # fmt: skip
    climate_zone: str = choice(
        "Climate at the dump", ZONES, "tropical_wet", group="Where it would have gone", help="Waste rots faster where it is warm and wet.",
        source=own_choice("as in the example ward"), measure="look up mean temperature and rain of a year",
    )  # fmt: skip
    gas_captured_percent: float = number(
        "Landfill gas that is caught and burnt there", "percent", 0.0, low=0, high=95, usual=(0, 60), group="Where it would have gone",
        help="0 where there are no gas wells.", source=cited("ipcc_2006_v5_ch3", "from memory", "default recovery is 0"),
    )  # fmt: skip
    oxidation_percent: float = number(
        "Methane lost in the cover soil", "percent", 0.0, low=0, high=50, usual=(0, 10), group="Where it would have gone",
        help="10 for a landfill covered with soil, 0 for a dump.", source=COVERED.cited(),
    )  # fmt: skip
    docf_edition: str = choice(
        "Carbon that decomposes in the dump", EDITIONS, "2006", group="Where it would have gone",
        help="By which edition of the guidelines.", source=own_choice("the edition whose figure was read, and the lower one"),
    )  # fmt: skip
    climate_years_running: int = count(
        "The yard runs for", "year", 10, low=1, high=100, usual=(3, 30), group="Over what time", help="Years in which waste is kept.",
        source=own_choice("the life of a simple yard"),
    )  # fmt: skip
    climate_horizon_years: int = count(
        "Looked at over", "year", 20, low=2, high=100, usual=(10, 100), group="Over what time",
        help="From the first year. Waste goes on giving off gas after it is dumped.", source=own_choice("two lives of the yard"),
    )  # fmt: skip
    gwp_set: str = choice(
        "Warming potentials", {key: row["label"] for key, row in SETS.items()}, "ar5", group="Over what time",
        help="Say which set stands beside any figure that you hand on.", source=own_choice("the set of most national reports"),
    )  # fmt: skip
    compost_n2o_factor: str = choice(
        "Nitrous oxide of composting", DELIVERED, "corrected", group="What the yard gives off",
        help="The guidelines' table was corrected; both figures are shown below.",
        source=own_choice("the figure that follows from the table's own dry figure and moisture"),
    )  # fmt: skip
    energy_kwh_per_month: float = number(
        "Electricity, a mean month", "kWh/month", 300.0, low=0, high=1e7, follows="machines", group="What the yard gives off",
        help="From the meter.", measure="read the meter at the same day of two months",
    )  # fmt: skip
    power_co2e_kg_per_kwh: float = number(
        "Emission of a kWh, kg of CO₂e", "1", POWER.typical, low=0, high=2, usual=(0, 1.3), group="What the yard gives off",
        help="Of your own grid.", source=POWER.cited(), measure="ask the utility or the energy ministry",
    )  # fmt: skip
    fuel_l_per_month: float = number(
        "Diesel or petrol used", "l/month", 0.0, low=0, high=1e6, usual=(0, 5_000), group="What the yard gives off",
        help="For machines, and for vehicles that only come because of the yard.", source=own_choice("all machines electric"),
        measure="keep the fuel receipts of a month",
    )  # fmt: skip
    fuel_saved_l_per_month: float = number(
        "Fuel no longer used for the way to the dump", "l/month", 0.0, low=0, high=1e6, usual=(0, 5_000),
        group="What the yard gives off", help="Litres by trips that are no longer made.",
        source=own_choice("nothing claimed until it is known"), measure="trips saved × kilometres × litres per kilometre",
    )  # fmt: skip
    fuel_co2e_kg_per_l: float = number(
        "Emission of a litre of fuel, kg of CO₂e", "1", DIESEL.typical, low=0, high=5, usual=(2, 3), group="What the yard gives off",
        help="About 2.7 for diesel, 2.3 for petrol.", source=DIESEL.cited(),
    )  # fmt: skip


@dataclass(frozen=True)
class Outputs:
    """Avoided, given off, and what is left of it, with how unsure it is. All in CO₂ equivalents by the chosen set."""

    net_avoided_t: float = output(
        "Emissions avoided, less the yard's own", "t", key_figure=True, help="CO₂e over the time looked at; below 0 the yard adds."
    )
    net_low_t: float = output("At the least", "t", key_figure=True, help="Low end of the band.")
    net_high_t: float = output("At the most", "t", key_figure=True, help="High end of the band.")
    net_avoided_kg_per_t: float = output("For a tonne composted", "kg", key_figure=True, help="CO₂e, by the time looked at.")
    net_avoided_t_per_year: float = output("For a year of running", "t", help="CO₂e, the whole over the years that the yard runs.")
    dumped_t_per_year: float = output("Waste kept from the dump", "t/year")
    composted_t_per_year: float = output("Waste composted", "t/year", help="With all bulking.")
    methane_potential_kg_per_t: float = output(
        "Methane that a tonne of it could give off", "kg", help="In the dump, for all time, before capture and oxidation."
    )
    released_percent: float = output(
        "Of that, given off within the time looked at", "percent", help="Of all that is kept from the dump while the yard runs."
    )
    methane_avoided_kg: float = output("Methane avoided", "kg", help="What would have reached the air within the time looked at.")
    avoided_t: float = output("Avoided at the dump", "t", help="CO₂e.")
    compost_emissions_t: float = output("Given off by the heaps", "t", help="CO₂e of methane and nitrous oxide.")
    power_fuel_t: float = output("Power and fuel, less fuel saved", "t", help="CO₂e.")
    by_year: tuple[tuple[object, ...], ...] = output_table(
        "Year by year, CO₂e",
        (Column("year", "Year"), Column("methane", "Methane avoided", "kg"), Column("avoided", "Avoided", "t"),
         Column("own", "The yard's own", "t"), Column("net", "Net", "t"), Column("sum", "Net so far", "t")),
    )  # fmt: skip
    by_set: tuple[tuple[object, ...], ...] = output_table(
        "The same by each set of warming potentials, CO₂e",
        (Column("set", "Set"), Column("potentials", "Methane, nitrous oxide"), Column("avoided", "Avoided", "t"),
         Column("own", "The yard's own", "t"), Column("net", "Net", "t"), Column("status", "How known")),
    )  # fmt: skip
    by_nitrous: tuple[tuple[object, ...], ...] = output_table(
        "The same by both printed figures for nitrous oxide, CO₂e",
        (Column("figure", "Figure"), Column("rate", "g for a kg of wet waste", "1"), Column("heaps", "Heaps", "t"), Column("net", "Net", "t"),
         Column("status", "How known")),
    )  # fmt: skip
    unsure: tuple[tuple[object, ...], ...] = output_table(
        "How unsure: the net with one figure at an end of its range, CO₂e",
        (Column("what", "Figure"), Column("value", "Used", "1"), Column("range", "Range"),
         Column("net_low", "Net at the one end", "t"), Column("net_high", "Net at the other", "t"), Column("status", "How known")),
    )  # fmt: skip


# ---- the method ----------------------------------------------------------------------------------------------


def yearly_mass(kg_per_day: float) -> float:
    """Tonnes in a year of 365 days."""
    return kg_per_day * DAYS_IN_YEAR / 1000


def decomposable_carbon(waste_kg: float, carbon: float, decomposed: float, correction: float) -> float:
    """DDOCm (kg): carbon in the waste that decomposes without air. Fractions 0 to 1. IPCC 2006, volume 5, equation 3.2."""
    return waste_kg * carbon * decomposed * correction


def methane_potential(carbon_kg: float, methane_fraction: float) -> float:
    """Methane (kg) of that carbon, for all time: × F × 16/12. IPCC 2006, volume 5, equation 3.3 (Lo) and 3.6."""
    return carbon_kg * methane_fraction * METHANE_PER_CARBON


def share_reaching_air(captured_percent: float, oxidation_percent: float) -> float:
    """Part of the methane that reaches the air: what is not captured, less what the cover oxidises. Equation 3.1."""
    return (1 - captured_percent / 100) * (1 - oxidation_percent / 100)


def released_by(rate: float, years: float) -> float:
    """Part of a deposit's carbon that has decomposed ``years`` (0 or more) after decay began: 1 − e^(−k·t)."""
    return 1 - exp(-rate * years)


def half_life(rate: float) -> float:
    """Years in which half of the carbon decomposes, at a rate above 0 a year: ln 2 ÷ k."""
    return LN_2 / rate


def decay_walk(deposits: list[float], rate: float, years: int) -> list[float]:
    """What decomposes in each of ``years`` (equations 3.4 and 3.5): decay of a deposit begins with the year after it.

    ``deposits`` are the masses laid down in years 1, 2, …; the result is in their unit.
    """
    kept = exp(-rate)
    stock, found = 0.0, []
    for year in range(years):
        found.append(stock * (1 - kept))
        stock = stock * kept + (deposits[year] if year < len(deposits) else 0.0)
    return found


def wet_factor(dry_g_kg: float, moisture_percent: float) -> float:
    """An emission factor on wet mass (g/kg) from that on dry mass, at a moisture of the wet mass."""
    return dry_g_kg * (1 - moisture_percent / 100)


def composting_emissions(waste_t: float, methane_g_kg: float, nitrous_g_kg: float, methane_gwp: float, nitrous_gwp: float) -> float:
    """CO₂e (t) of composting a wet mass: methane and nitrous oxide, each by its factor. Volume 5, equations 4.1 and 4.2."""
    return waste_t * (methane_g_kg * methane_gwp + nitrous_g_kg * nitrous_gwp) / 1000


def carbon_dioxide_of_methane(methane_kg: float, methane_gwp: float) -> float:
    """CO₂e (t) of a mass of methane."""
    return methane_kg * methane_gwp / 1000


def energy_emissions(kwh: float, kg_per_kwh: float, litres: float, litres_saved: float, kg_per_litre: float) -> float:
    """CO₂e (t) of power and fuel in a month, times twelve; below 0 where more fuel is saved than burnt."""
    return (kwh * kg_per_kwh + (litres - litres_saved) * kg_per_litre) * 12 / 1000


def in_quadrature(differences: list[float]) -> float:
    """Root of the sum of squares: IPCC 2006, volume 1, chapter 3, approach 1, for causes that are independent."""
    return sqrt(total(each * each for each in differences))


# ---- solving --------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Case:
    """Every figure that the result depends on; one of them may be put to an end of its range."""

    food_carbon: float
    garden_carbon: float
    food_decomposed: float
    garden_decomposed: float
    correction: float
    methane_fraction: float
    food_rate: float
    garden_rate: float
    compost_methane: float
    compost_nitrous: float


def walk_methane(food_t: float, garden_t: float, case: Case, running: int, years: int, to_air: float) -> list[float]:
    """Methane (kg) that the waste of ``running`` years would have let into the air, in each of ``years``."""
    found = [0.0] * years
    for name, tonnes in (("food", food_t), ("garden", garden_t)):
        carbon = decomposable_carbon(1000 * tonnes, getattr(case, f"{name}_carbon"), getattr(case, f"{name}_decomposed"), case.correction)
        potential = methane_potential(carbon, case.methane_fraction) * to_air
        for year, methane in enumerate(decay_walk([potential] * min(running, years), getattr(case, f"{name}_rate"), years)):
            found[year] += methane
    return found


def _central(inputs: Inputs) -> dict[str, tuple[str, Figure]]:
    """The figures of the guidelines that these answers choose, by the name in ``Case``, each with its words."""
    return {
        "food_carbon": ("Carbon of food waste", CARBON["food"]),
        "garden_carbon": ("Carbon of garden waste and leaves", CARBON["garden"]),
        "food_decomposed": ("Part of food's carbon that decomposes", DECOMPOSED[f"{inputs.docf_edition}_food"]),
        "garden_decomposed": ("Part of garden waste's that does", DECOMPOSED[f"{inputs.docf_edition}_garden"]),
        "correction": ("Correction for the kind of dump", DUMPS[inputs.disposal_kind]),
        "methane_fraction": ("Methane in the gas", METHANE_FRACTION),
        "food_rate": ("Decay of food waste, a year", RATES[f"food_{inputs.climate_zone}"]),
        "garden_rate": ("Decay of garden waste, a year", RATES[f"garden_{inputs.climate_zone}"]),
        "compost_methane": ("Methane of composting, g/kg", COMPOST_METHANE),
        "compost_nitrous": ("Nitrous oxide of composting, g/kg", COMPOST_N2O[inputs.compost_n2o_factor]),
    }


def solve(inputs: Inputs, working: Working) -> Outputs:
    """Masses, methane of a tonne, the walk through the years, the yard's own emissions, the band."""
    food_kg = inputs.kitchen_kg_per_day + inputs.market_kg_per_day
    garden_kg = inputs.garden_kg_per_day + inputs.bulking_kg_per_day * inputs.leaves_dumped_percent / 100
    composted_kg = food_kg + inputs.garden_kg_per_day + inputs.bulking_kg_per_day
    if composted_kg <= 0:
        raise CannotSolve("Nothing is composted: there is no climate effect to work out.", ("kitchen_kg_per_day", "bulking_kg_per_day"))
    food = working.step("Food waste kept from the dump", "t/year", yearly_mass, kg_per_day=food_kg)
    garden = working.step("Garden waste and leaves kept from the dump", "t/year", yearly_mass, kg_per_day=garden_kg)
    composted = working.step("Composted", "t/year", yearly_mass, kg_per_day=composted_kg)
    chosen = _central(inputs)
    case = Case(**{name: held.typical for name, (_, held) in chosen.items()})
    potential = {}
    for name, label in (("food", "food waste"), ("garden", "garden waste")):
        carbon = working.step(f"Carbon that decomposes in a tonne of {label}", "kg", decomposable_carbon, waste_kg=1000,
                              carbon=getattr(case, f"{name}_carbon"), decomposed=getattr(case, f"{name}_decomposed"),
                              correction=case.correction, source=CHAPTER_3)  # fmt: skip
        potential[name] = working.step(f"Methane of a tonne of {label}", "kg", methane_potential, carbon_kg=carbon,
                                       methane_fraction=case.methane_fraction, source=CHAPTER_3)  # fmt: skip
    to_air = working.step("Part of it that reaches the air", "fraction", share_reaching_air,
                          captured_percent=inputs.gas_captured_percent, oxidation_percent=inputs.oxidation_percent,
                          source=CHAPTER_3)  # fmt: skip
    running = inputs.climate_years_running if inputs.climate_years_running < inputs.climate_horizon_years else inputs.climate_horizon_years
    methane = working.untraced(walk_methane, food, garden, case, running, inputs.climate_horizon_years, to_air)
    methane_sum = total(methane)
    working.note("Methane avoided", methane_sum, "kg", "Year by year: what is left decays at its rate, and the year's waste is added.", CHAPTER_3)
    gwp = SETS[inputs.gwp_set]
    set_source = cited(gwp["source"], gwp["status"], gwp["note"])
    avoided = working.step("Avoided at the dump", "t", carbon_dioxide_of_methane, methane_kg=methane_sum, methane_gwp=gwp["methane"],
                           source=set_source)  # fmt: skip
    working.step("Nitrous oxide on wet mass, from the table's dry figure", "1", wet_factor, dry_g_kg=N2O_DRY.typical,
                 moisture_percent=TABLE_MOISTURE.typical, source=CHAPTER_4,
                 note="In g/kg: a check of the two printed figures; the one chosen is used below.")  # fmt: skip
    heaps = working.step("Heaps, in a year", "t", composting_emissions, waste_t=composted, methane_g_kg=case.compost_methane,
                         nitrous_g_kg=case.compost_nitrous, methane_gwp=gwp["methane"], nitrous_gwp=gwp["nitrous_oxide"],
                         source=CHAPTER_4)  # fmt: skip
    energy = working.step("Power and fuel, in a year", "t", energy_emissions, kwh=inputs.energy_kwh_per_month,
                          kg_per_kwh=inputs.power_co2e_kg_per_kwh, litres=inputs.fuel_l_per_month,
                          litres_saved=inputs.fuel_saved_l_per_month, kg_per_litre=inputs.fuel_co2e_kg_per_l)  # fmt: skip
    net = working.step("Net", "t", net_of, avoided=avoided, heaps=heaps, energy=energy, running=running)
    unsure = working.untraced(_unsure, inputs, food, garden, composted, energy, running)
    less, more = working.untraced(_band, [row[3] for row in unsure], [row[4] for row in unsure], net)
    all_time = (food * potential["food"] + garden * potential["garden"]) * to_air * running
    return Outputs(
        net_avoided_t=net,
        net_low_t=net - less,
        net_high_t=net + more,
        net_avoided_kg_per_t=1000 * net / (composted * running),
        net_avoided_t_per_year=net / running,
        dumped_t_per_year=food + garden,
        composted_t_per_year=composted,
        methane_potential_kg_per_t=(food * potential["food"] + garden * potential["garden"]) / (food + garden) if food + garden > 0 else 0.0,
        released_percent=100 * methane_sum / all_time if all_time > 0 else 0.0,
        methane_avoided_kg=methane_sum,
        avoided_t=avoided,
        compost_emissions_t=heaps * running,
        power_fuel_t=energy * running,
        by_year=working.untraced(_years, methane, gwp["methane"], heaps + energy, running),
        by_set=working.untraced(_sets, methane_sum, composted, case, energy, running),
        by_nitrous=working.untraced(_nitrous, avoided, composted, case, energy, running, gwp["key"]),
        unsure=unsure,
    )


def net_of(avoided: float, heaps: float, energy: float, running: float) -> float:
    """Avoided less what heaps, power and fuel give off in the years of running (t CO₂e)."""
    return avoided - (heaps + energy) * running


def _years(methane: list[float], methane_gwp: float, own_each: float, running: int) -> tuple[tuple[object, ...], ...]:
    rows: list[tuple[object, ...]] = []
    so_far = 0.0
    for year, kg in enumerate(methane, start=1):
        avoided = carbon_dioxide_of_methane(kg, methane_gwp)
        own = own_each if year <= running else 0.0
        so_far += avoided - own
        rows.append((str(year), kg, avoided, own, avoided - own, so_far))
    return tuple(rows)


def _sets(methane_kg: float, composted: float, case: Case, energy: float, running: int) -> tuple[tuple[object, ...], ...]:
    rows: list[tuple[object, ...]] = []
    for row in SETS.values():
        avoided = carbon_dioxide_of_methane(methane_kg, row["methane"])
        own = (composting_emissions(composted, case.compost_methane, case.compost_nitrous, row["methane"], row["nitrous_oxide"]) + energy) * running
        rows.append((row["label"], f"{row['methane']:g}, {row['nitrous_oxide']:g}", avoided, own, avoided - own, row["status"]))
    return tuple(rows)


def _nitrous(avoided: float, composted: float, case: Case, energy: float, running: int, key: str) -> tuple[tuple[object, ...], ...]:
    row = SETS[key]
    found: list[tuple[object, ...]] = []
    for words, held in (("as corrected", COMPOST_N2O["corrected"]), ("as first printed", COMPOST_N2O["printed"])):
        heaps = composting_emissions(composted, case.compost_methane, held.typical, row["methane"], row["nitrous_oxide"])
        found.append((words, held.typical, heaps * running, net_of(avoided, heaps, energy, running), held.status))
    return tuple(found)


def _unsure(inputs: Inputs, food: float, garden: float, composted: float, energy: float, running: int) -> tuple[tuple[object, ...], ...]:
    """The net with each figure in turn at both ends of its range, the others as used."""
    chosen = _central(inputs)
    gwp = SETS[inputs.gwp_set]
    to_air = share_reaching_air(inputs.gas_captured_percent, inputs.oxidation_percent)
    used = {name: held.typical for name, (_, held) in chosen.items()}

    def net(changed: str, value: float) -> float:
        case = Case(**{**used, changed: value})
        kg = total(walk_methane(food, garden, case, running, inputs.climate_horizon_years, to_air))
        heaps = composting_emissions(composted, case.compost_methane, case.compost_nitrous, gwp["methane"], gwp["nitrous_oxide"])
        return float(net_of(carbon_dioxide_of_methane(kg, gwp["methane"]), heaps, energy, running))

    rows = []
    for name, (label, held) in chosen.items():
        rows.append((label, held.typical, f"{held.low:g} to {held.high:g}", net(name, held.low), net(name, held.high), HOW_KNOWN[held]))
    return tuple(rows)


def _band(at_one_end: list[float], at_the_other: list[float], net: float) -> tuple[float, float]:
    """How far below and above the net it may lie: the differences of all causes, in quadrature on each side."""
    lower = [max(net - min(pair), 0.0) for pair in zip(at_one_end, at_the_other, strict=True)]
    higher = [max(max(pair) - net, 0.0) for pair in zip(at_one_end, at_the_other, strict=True)]
    return in_quadrature(lower), in_quadrature(higher)


# ---- words ----------------------------------------------------------------------------------------------------


def about(value: float) -> float:
    """The value to two significant figures: more would say more than is known."""
    return float(f"{value:.2g}")


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence, to two figures."""
    gwp = SETS[inputs.gwp_set]["label"].split()[0]
    band = f"between {say(about(outputs.net_low_t), 't')} and {say(about(outputs.net_high_t), 't')}"
    if outputs.net_avoided_t <= 0:
        return (f"By these figures the yard gives off {say(about(-outputs.net_avoided_t), 't')} of CO₂e more than it avoids in "
                f"{say(inputs.climate_horizon_years, 'year')} ({band} avoided, {gwp}).")  # fmt: skip
    return (
        f"Over {say(inputs.climate_horizon_years, 'year')} the yard avoids about {say(about(outputs.net_avoided_t), 't')} of CO₂e, "
        f"{band} ({gwp}): {say(about(outputs.net_avoided_kg_per_t), 'kg')} for each tonne composted."
    )


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about this result."""
    found = ["A planning figure, no carbon credit: a credit needs an approved method, a baseline that is proven, and someone who "
             "checks it."]  # fmt: skip
    if inputs.climate_years_running >= inputs.climate_horizon_years:
        found.append("The yard runs to the end of the time looked at, so the gas of its last years' waste is cut off. Look over a longer "
                     "time, or let it run for fewer years.")  # fmt: skip
    if 0 < outputs.released_percent < 60:
        found.append(f"Only {say(outputs.released_percent, 'percent', 2)} of the gas would have come out within this time: waste rots slowly "
                     "in this climate.")  # fmt: skip
    if outputs.net_low_t < 0 < outputs.net_avoided_t:
        found.append("The band reaches below 0: it is not sure that the yard avoids anything. What matters most stands at the longest bar.")
    if inputs.disposal_kind == "uncategorised":
        found.append("The kind of dump is not known, and no figure matters more. Go and look at it.")
    if inputs.disposal_kind.startswith("unmanaged") and (inputs.gas_captured_percent > 0 or inputs.oxidation_percent > 0):
        found.append("An open dump has no gas wells and no living cover: capture and oxidation belong to landfills.")
    printed = "0.24" if inputs.compost_n2o_factor == "corrected" else "0.3"
    found.append(f"Nitrous oxide of composting is taken as {printed} g/kg of wet waste. The guidelines printed 0.3; 0.24, a later correction, is "
                 "what follows from the table's own 0.6 on dry mass at 60 % moisture.")  # fmt: skip
    found.append("Not counted: carbon dioxide of the rotting itself, carbon that stays in the soil, fertiliser that the compost replaces, and "
                 "what was burnt instead of dumped.")  # fmt: skip
    return found


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """Year by year, and what the result hangs on."""
    years = tuple(str(row[0]) for row in outputs.by_year)

    def line(column: int) -> tuple[float, ...]:
        return tuple(float(row[column]) for row in outputs.by_year)  # type: ignore[arg-type]

    lines = [Line("Avoided", line(2)), Line("The yard's own", line(3))]
    order = sorted(outputs.unsure, key=lambda row: -abs(float(row[4]) - float(row[3])))[:6]  # type: ignore[arg-type]
    return [
        Chart("lines", "Each year: avoided, and the yard's own, CO₂e", "t", years,
              tuple(lines if min(line(3)) >= 0 else lines[:1]), axis="Year"),  # saved fuel may bring the yard's own below 0
        Chart("swings", "What the result hangs on: net with one figure at the ends of its range, CO₂e", "t",
              tuple(str(row[0]) for row in order),
              (Line("At the one end", tuple(float(row[3]) for row in order)), Line("At the other", tuple(float(row[4]) for row in order))),  # type: ignore[arg-type]
              (Mark(outputs.net_avoided_t, "as used"),), axis="Figure"),
    ]  # fmt: skip


CALCULATOR = Calculator(
    key="climate", title="Climate effect", question="What does keeping this waste from the dump do for the climate?", inputs=Inputs,
    outputs=Outputs, solve=solve, sentence=sentence, notices=notices, charts=charts, step="Finish and use",
    sources=(CHAPTER_3, CHAPTER_4, source("ipcc_2019_v5_ch3"), source("cfr_98_hh1"), source("ipcc_2006_v1_ch3"),
             *(cited(row["source"], row["status"], row["note"]) for row in SETS.values()), POWER.cited(), DIESEL.cited()),
)  # fmt: skip
