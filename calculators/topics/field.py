"""Field use: how much compost to spread, what limits it, what it brings, and when not to use it.

The rate is the least of what the crop's nitrogen, its phosphate, the salt that it bears and a law allow. Phosphate nearly
always decides: compost gives a tenth of its nitrogen in the first year, and all of its phosphate in the end.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

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
from calculators.known import plain
from calculators.reference import Source, cited, figures, material, materials, rows_of, source
from calculators.units import show_number
from calculators.working import Working, least, most

CROPS = {row["key"]: row for row in rows_of("field", "crops")}
PRACTICE = figures("field", "practice")
ENRICHERS = {row["key"]: row for row in rows_of("field", "enrichers")}
INTERVALS = {row["key"]: row for row in rows_of("field", "intervals")}
COMPOST = material("finished_compost")
DUNG = {key: each for key, each in materials().items() if each.group == "manure"}
STAGES = {
    "very mature": "very mature", "mature": "mature", "half-finished": "half-finished", "unknown": "not tested yet",
}  # fmt: skip
HEAT = {"met": "met, with records", "not_met": "not met", "unknown": "not known"}
SEEDBED_DS_M = 4.0
"""Conductivity below which compost may lie in a seedbed: category AA of Ontario."""
LOCKS_NITROGEN, GIVES_NITROGEN = 30.0, 20.0
"""C:N above which compost ties up nitrogen of the soil, and below which it gives some: Clemson University."""
M2_PER_HA = 10_000
NO_LIMIT = "no limit"
READY = "yes"
CAPS = ("nitrogen that the crop needs", "phosphate that the crop removes", "salt that the crop bears", "legal limit on dry mass")


def _of_kind(role: str) -> dict[str, str]:
    return {key: row["name"] for key, row in ENRICHERS.items() if row.get("role") == role}


@dataclass(frozen=True)
class Inputs:
    """The crop, the compost, the soil, and what is wished for."""

    crop: str = choice("Crop", {key: row["name"] for key, row in CROPS.items()}, "cabbage", group="Crop",
                       help="The nearest in the list; own figures may stand in its place.")  # fmt: skip
    crop_yield_t_ha: float = number(
        "Harvest, fresh", "t/ha", 30.0, low=0, high=300, usual=(2, 80), group="Crop", help="What is carried off the field.",
        source=practice("a fair cabbage field; grain gives 3 to 8"), measure="weigh the harvest of ten square metres",
    )  # fmt: skip
    crop_phosphate_kg_t: float | None = number(
        "Phosphate in the harvest, own figure", "kg/t", None, low=0, high=50, blank=True, group="Crop", help="Empty: from the table.",
    )  # fmt: skip
    crop_nitrogen_kg_ha: float = number(
        "Nitrogen that the crop needs", "kg/ha", PRACTICE["crop_nitrogen_kg_ha"].typical, low=0, high=600, usual=(40, 250),
        group="Crop", help="Ask the farm adviser, less what the soil gives.", source=PRACTICE["crop_nitrogen_kg_ha"].cited(),
    )  # fmt: skip
    crop_salt_ds_m: float | None = number(
        "Salt that the crop bears, own figure", "dS/m", None, low=0.3, high=20, blank=True, group="Crop",
        help="Conductivity of the saturated soil extract above which the yield falls. Empty: from the table.",
    )  # fmt: skip
    compost_moisture_percent: float | None = number(
        "Moisture of the compost", "percent", None, low=0, high=95, blank=True, follows="quality", group="Compost",
        help=f"Empty: {show_number(COMPOST.moisture_percent_wet.typical)} %.",
    )  # fmt: skip
    nitrogen_percent_dry: float | None = number(
        "Nitrogen, of dry mass", "percent", None, low=0, high=15, blank=True, follows="quality", group="Compost",
        help=f"Empty: {show_number(COMPOST.nitrogen_percent_dry.typical)} %.",
    )  # fmt: skip
    phosphate_percent_dry: float | None = number(
        "Phosphate (P₂O₅), of dry mass", "percent", None, low=0, high=40, blank=True, follows="quality", group="Compost",
        help=f"Empty: {show_number(PRACTICE['phosphate_percent_dry'].typical)} %. From P: times 2.291.",
    )  # fmt: skip
    potash_percent_dry: float | None = number(
        "Potash (K₂O), of dry mass", "percent", None, low=0, high=40, blank=True, follows="quality", group="Compost",
        help=f"Empty: {show_number(PRACTICE['potash_percent_dry'].typical)} %. From K: times 1.205.",
    )  # fmt: skip
    conductivity_ds_m: float | None = number(
        "Conductivity (EC)", "dS/m", None, low=0, high=60, blank=True, follows="quality", group="Compost",
        help=f"Of one part of dry compost in five of water. Empty: {show_number(PRACTICE['conductivity_ds_m'].typical)} dS/m.",
    )  # fmt: skip
    final_carbon_to_nitrogen: float | None = number(
        "C:N of the compost", "1", None, low=1, high=200, blank=True, follows="maturity", group="Compost",
        help="From a laboratory, if known.",
    )  # fmt: skip
    compost_density_kg_m3: float = number(
        "Weight of loose compost", "kg/m3", COMPOST.bulk_density_kg_m3.typical, low=200, high=1200, usual=(400, 850), group="Compost",
        help="For tubs and for the height of the layer.", source=COMPOST.bulk_density_kg_m3.cited(), measure="weigh a full tub",
    )  # fmt: skip
    mineralised_percent: float = number(
        "Nitrogen that becomes free in the first year", "percent", PRACTICE["mineralised_percent"].typical, low=0, high=100,
        usual=(5, 15), group="Compost", help="Of all nitrogen in it.", source=PRACTICE["mineralised_percent"].cited(),
    )  # fmt: skip
    harvests_covered: int = count(
        "Harvests whose phosphate one spreading may cover", "each", 1, low=1, high=10, group="Limits",
        help="2 where compost is spread every second year.", source=own_choice("each harvest is made up for; soil tests may allow more"),
    )  # fmt: skip
    soil_salt_ds_m: float = number(
        "Salt in the soil now", "dS/m", 0.5, low=0, high=20, usual=(0.1, 4), group="Limits",
        help="Conductivity of the saturated extract.", source=own_choice("a soil without salt trouble"), measure="a soil test",
    )  # fmt: skip
    mixed_in_cm: float = number(
        "Depth that the compost is mixed into", "cm", 15.0, low=2, high=40, usual=(5, 25), group="Limits", help="By hoe or plough.",
        source=practice("a hoe or a light plough"),
    )  # fmt: skip
    dry_limit_t_ha: float | None = number(
        "Legal limit, dry mass in one spreading", "t/ha", None, low=0, high=500, blank=True, group="Limits",
        help="Empty: none. Germany allows 20 t in three years.",
    )  # fmt: skip
    product_kg_per_day: float = number(
        "Compost that the yard gives, screened and wet", "kg/d", 200.0, low=0, high=3e6, follows="product", group="Yard",
        help="Mean of the year, all grades.",
    )  # fmt: skip
    bed_m2: float = number("A bed or plot", "m2", 10.0, low=0.1, high=1e6, group="Yard", help="For the figure by bed.",
                           source=own_choice("a garden bed of 1.2 m by some 8 m"))  # fmt: skip
    tub_l: float = number("Size of a tub", "l", 40.0, low=1, high=500, follows="mix", group="Yard", help="To the brim.")
    tub_fill_percent: float = number("A tub is filled to", "percent", 90.0, low=10, high=100, follows="mix", group="Yard",
                                     help="Of its size to the brim.")  # fmt: skip
    compost_stage: str = choice("Stage of the compost", STAGES, "unknown", follows="maturity", group="When not to use it",
                                help="From the maturity tests.")  # fmt: skip
    heat_record: str = choice("Time at temperature of the batch", HEAT, "unknown", group="When not to use it",
                              help="Was the rule on hot days met, and written down?")  # fmt: skip
    eaten_part: str = choice("What grows there", {key: row["name"] for key, row in INTERVALS.items()}, "soil_contact",
                             group="When not to use it", help="The part that is eaten.")  # fmt: skip
    farm_curing_days: int = count(
        "Further curing on the farm, if needed", "d", int(PRACTICE["farm_curing_days"].typical), low=0, high=365, usual=(14, 90),
        group="When not to use it", help="In a heap under a cover, turned now and then.", source=PRACTICE["farm_curing_days"].cited(),
    )  # fmt: skip
    target_nitrogen_percent: float | None = number(
        "Nitrogen wanted after enriching, of dry mass", "percent", None, low=0, high=6, blank=True, group="Enriching",
        help="Empty: as it is.",
    )  # fmt: skip
    nitrogen_source: str = choice("Cake meal", _of_kind("nitrogen"), "neem_cake", group="Enriching", help="Brings nitrogen.")
    target_phosphate_percent: float | None = number(
        "Phosphate wanted after enriching, of dry mass", "percent", None, low=0, high=18, blank=True, group="Enriching",
        help="Empty: as it is. India asks 10.4 % of phosphate-rich organic manure.",
    )  # fmt: skip
    phosphate_source: str = choice("Phosphate from", _of_kind("phosphate"), "rock_phosphate", group="Enriching",
                                   help="Brings phosphate, slowly.")  # fmt: skip
    dung_kg_per_t: float = number("Dung mixed in, for each tonne of compost", "kg/t", 0.0, low=0, high=5000, group="Enriching",
                                  help="Wet. Then it must heat again.", source=own_choice("none"))  # fmt: skip
    dung_material: str = choice("Dung", {key: each.name for key, each in DUNG.items()}, "cattle_manure", group="Enriching",
                                help="Nitrogen and moisture from the table of materials.")  # fmt: skip


@dataclass(frozen=True)
class Outputs:
    """Rate, what limits it, what it brings, where it may go."""

    rate_t_ha: float = output("Spread, wet", "t/ha", key_figure=True)
    rate_limited_by: str = output_text("Limited by", key_figure=True)
    rate_kg_m2: float = output("the same, by square metre", "kg/m2")
    compost_kg_per_bed: float = output("on a bed", "kg")
    compost_tubs_per_bed: float = output("on a bed, in tubs", "tub", digits=2)
    layer_mm: float = output("Height of the layer", "mm", digits=2)
    area_served_ha: float | None = output(
        "Land that the yard can serve in a year", "ha", key_figure=True, help="– where none may be spread."
    )
    nitrogen_kg_ha: float = output("Nitrogen brought, all", "kg/ha")
    nitrogen_first_year_kg_ha: float = output("Nitrogen free in the first year", "kg/ha")
    nitrogen_lacking_kg_ha: float = output("Nitrogen still lacking", "kg/ha", help="From legumes, dung or fertiliser.")
    phosphate_kg_ha: float = output("Phosphate (P₂O₅) brought", "kg/ha")
    potash_kg_ha: float = output("Potash (K₂O) brought", "kg/ha")
    organic_dry_t_ha: float = output("Dry mass brought", "t/ha")
    use_verdict: str = output_text("May it be used", key_figure=True)
    days_before_sowing: int = output_count("Days before sowing", "d", help="Curing on the farm where it is not mature.")
    days_before_harvest: int = output_count("Days between spreading and harvest, at least", "d")
    enriched_nitrogen_percent: float = output("Nitrogen after enriching, of dry mass", "percent")
    enriched_phosphate_percent: float = output("Phosphate after enriching, of dry mass", "percent")
    enriched_potash_percent: float = output("Potash after enriching, of dry mass", "percent")
    limits: tuple[tuple[object, ...], ...] = output_table(
        "What limits the rate",
        (Column("limit", "Limit"), Column("rate", "Wet compost at most", "t/ha"), Column("how", "How it was found")),
    )  # fmt: skip
    enriching: tuple[tuple[object, ...], ...] = output_table(
        "Mix for a tonne of wet compost",
        (Column("part", "Part"), Column("wet", "Wet", "kg"), Column("nitrogen", "Nitrogen", "kg"), Column("phosphate", "P₂O₅", "kg"),
         Column("potash", "K₂O", "kg")),
    )  # fmt: skip
    checks: tuple[tuple[object, ...], ...] = output_table(
        "When not to use it",
        (Column("check", "Check"), Column("standing", "Here"), Column("action", "What to do"), Column("status", "How the rule is known")),
    )  # fmt: skip


# ---- formulas -------------------------------------------------------------------------------------------------


def nutrient_per_tonne(percent_of_dry_mass: float, moisture_percent: float) -> float:
    """Kilograms of a nutrient in a tonne of wet compost."""
    return percent_of_dry_mass / 100 * 1000 * (1 - moisture_percent / 100)


def crop_offtake(harvest: float, content: float) -> float:
    """What a harvest carries away: the harvest on a hectare times what a tonne of it holds (kg/ha)."""
    return harvest * content


def rate_by_nitrogen(need_kg_ha: float, nitrogen_kg_t: float, free_percent: float) -> float:
    """Wet compost (t/ha) whose free nitrogen of the first year covers a need. Nitrogen and its free share above 0."""
    return need_kg_ha / (nitrogen_kg_t * free_percent / 100)


def rate_by_phosphate(offtake_kg_ha: float, harvests: float, phosphate_kg_t: float) -> float:
    """Wet compost (t/ha) that brings the phosphate of some harvests. Phosphate above 0."""
    return offtake_kg_ha * harvests / phosphate_kg_t


def soil_mass(depth_cm: float, soil_density_kg_m3: float) -> float:
    """Dry soil (t/ha) to a depth."""
    return depth_cm / 100 * 10_000 * soil_density_kg_m3 / 1000


def rate_by_salt(borne_ds_m: float, in_soil_ds_m: float, compost_ds_m: float, saturation_factor: float, soil_t_ha: float,
                 moisture_percent: float) -> float:  # fmt: skip
    """Wet compost (t/ha) that lifts the salt of the mixed soil to what a crop bears.

    Mixed evenly, the soil's 1:5 extract gains the compost's conductivity in the share of its dry mass; times the factor that
    is its saturated extract. Before any rain washes salt down. Conductivity of the compost above 0.
    """
    return (borne_ds_m - in_soil_ds_m) / (saturation_factor * compost_ds_m) * soil_t_ha / (1 - moisture_percent / 100)


def nitrogen_free(nitrogen_kg: float, free_percent: float) -> float:
    """Nitrogen that becomes free in the first year."""
    return nitrogen_kg * free_percent / 100


def area_served(product_kg_per_day: float, rate_t_ha: float) -> float:
    """Hectares that a year of compost covers."""
    return product_kg_per_day * 365 / 1000 / rate_t_ha


def for_one(wanted: float, dry: float, held: float, content: float) -> float:
    """Dry mass of one source that lifts a share to what is wanted. ``content`` above ``wanted``, both as fractions."""
    return (wanted * dry - held) / (content - wanted)


def first_of_two(dry: float, held_a: float, wanted_a: float, held_b: float, wanted_b: float, first_a: float, first_b: float,
                 second_a: float, second_b: float) -> float:  # fmt: skip
    """Dry mass of the first of two sources that together lift two shares a and b to what is wanted (Cramer's rule)."""
    gap_a, gap_b = wanted_a * dry - held_a, wanted_b * dry - held_b
    return (gap_a * (second_b - wanted_b) - gap_b * (second_a - wanted_a)) / (
        (first_a - wanted_a) * (second_b - wanted_b) - (first_b - wanted_b) * (second_a - wanted_a)
    )


# ---- solving --------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Contents:
    """The compost as it is worked with: each figure the user's, a laboratory's or a typical one."""

    moisture: float
    nitrogen: float
    phosphate: float
    potash: float
    salt: float


def _contents(inputs: Inputs, working: Working) -> _Contents:
    def or_typical(given: float | None, label: str, unit: str, typical: float, origin: Source) -> float:
        if given is not None:
            return given
        working.note(label, typical, unit, "not measured: a typical figure", origin)
        return working.constant(typical)

    return _Contents(
        or_typical(inputs.compost_moisture_percent, "Moisture", "percent", COMPOST.moisture_percent_wet.typical,
                   COMPOST.moisture_percent_wet.cited()),
        or_typical(inputs.nitrogen_percent_dry, "Nitrogen, of dry mass", "percent", COMPOST.nitrogen_percent_dry.typical,
                   COMPOST.nitrogen_percent_dry.cited()),
        *(or_typical(getattr(inputs, key), label, unit, PRACTICE[key].typical, PRACTICE[key].cited())
          for key, label, unit in (("phosphate_percent_dry", "Phosphate, of dry mass", "percent"),
                                   ("potash_percent_dry", "Potash, of dry mass", "percent"),
                                   ("conductivity_ds_m", "Conductivity", "dS/m"))),
    )  # fmt: skip


def _enrich(inputs: Inputs, found: _Contents, working: Working) -> tuple[list[tuple[object, ...]], tuple[float, float, float]]:
    """Parts for a tonne of wet compost, and nitrogen, phosphate and potash of the mix, percent of dry mass."""
    dung, added = DUNG[inputs.dung_material], ENRICHERS["dung"]
    cake, rock = ENRICHERS[inputs.nitrogen_source], ENRICHERS[inputs.phosphate_source]
    dung_dry = inputs.dung_kg_per_t * (1 - dung.moisture_percent_wet.typical / 100)
    dry = working.step("Dry mass of compost and dung, for a tonne of compost", "kg", _dry_of_both, compost_kg=1000.0,
                       moisture_percent=found.moisture, dung_dry_kg=dung_dry)  # fmt: skip
    compost_dry = dry - dung_dry
    dung_contents = (dung.nitrogen_percent_dry.typical, added["phosphate_percent_dry"], added["potash_percent_dry"])
    own = (found.nitrogen, found.phosphate, found.potash)
    held = [compost_dry * share / 100 + dung_dry * other / 100 for share, other in zip(own, dung_contents, strict=True)]
    cake_dry, rock_dry = _sources(inputs, dry, held, cake, rock, working)
    sources_of = ((cake, cake_dry), (rock, rock_dry))
    keys = ("nitrogen_percent_dry", "phosphate_percent_dry", "potash_percent_dry")
    all_dry = dry + cake_dry + rock_dry
    if all_dry <= 0:
        return [], (found.nitrogen, found.phosphate, found.potash)
    ends = [amount + cake_dry * cake[key] / 100 + rock_dry * rock[key] / 100 for amount, key in zip(held, keys, strict=True)]
    rows: list[tuple[object, ...]] = [("compost", 1000.0, *(compost_dry * share / 100 for share in own))]
    if inputs.dung_kg_per_t > 0:
        rows.append((dung.name, inputs.dung_kg_per_t, *(dung_dry * share / 100 for share in dung_contents)))
    for row, mass in sources_of:
        if mass > 0:
            rows.append((row["name"], mass / (1 - row["moisture_percent"] / 100), *(mass * row[key] / 100 for key in keys)))
    return rows, tuple(100 * end / all_dry for end in ends)  # type: ignore[return-value]


def _dry_of_both(compost_kg: float, moisture_percent: float, dung_dry_kg: float) -> float:
    return compost_kg * (1 - moisture_percent / 100) + dung_dry_kg


def _sources(inputs: Inputs, dry: float, held: list[float], cake: Mapping[str, Any], rock: Mapping[str, Any], working: Working) -> tuple[float, float]:
    """Dry mass of cake meal and of phosphate source; never less than nothing, so that what is rich enough stays as it is."""
    cake_n, cake_p = cake["nitrogen_percent_dry"] / 100, cake["phosphate_percent_dry"] / 100
    rock_n, rock_p = rock["nitrogen_percent_dry"] / 100, rock["phosphate_percent_dry"] / 100
    wish_n = None if inputs.target_nitrogen_percent is None else inputs.target_nitrogen_percent / 100
    wish_p = None if inputs.target_phosphate_percent is None else inputs.target_phosphate_percent / 100
    for wish, content, name, field in ((wish_n, cake_n, cake["name"], "target_nitrogen_percent"),
                                       (wish_p, rock_p, rock["name"], "target_phosphate_percent")):
        if wish is not None and wish >= content * 0.95:
            raise CannotSolve(f"{name} holds {show_number(100 * content)} % itself, so it can't lift the mix to "
                              f"{show_number(100 * plain(wish))} %. Ask for less or choose another source.", (field,))  # fmt: skip
    none = working.constant(0.0)
    cake_dry = rock_dry = none
    if wish_n is not None and wish_p is not None:
        both = {"dry": dry, "held_a": held[0], "wanted_a": wish_n, "held_b": held[1], "wanted_b": wish_p}
        first = working.step(f"{cake['name']}, dry", "kg", first_of_two, **both, first_a=cake_n, first_b=cake_p,
                             second_a=rock_n, second_b=rock_p)  # fmt: skip
        other = {"dry": dry, "held_a": held[1], "wanted_a": wish_p, "held_b": held[0], "wanted_b": wish_n}
        second = working.step(f"{rock['name']}, dry", "kg", first_of_two, **other, first_a=rock_p, first_b=rock_n,
                              second_a=cake_p, second_b=cake_n)  # fmt: skip
        if first >= 0 and second >= 0:
            return first, second
        if first >= 0:
            wish_p = None
        else:
            wish_n = None
    if wish_n is not None:
        cake_dry = most(none, working.step(f"{cake['name']} alone, dry", "kg", for_one, wanted=wish_n, dry=dry, held=held[0],
                                           content=cake_n))  # fmt: skip
    elif wish_p is not None:
        rock_dry = most(none, working.step(f"{rock['name']} alone, dry", "kg", for_one, wanted=wish_p, dry=dry,
                                           held=held[1], content=rock_p))  # fmt: skip
    return cake_dry, rock_dry


def _caps(inputs: Inputs, found: _Contents, per_tonne: tuple[float, float], working: Working) -> list[float | None]:
    """The most wet compost (t/ha) by nitrogen, phosphate, salt and law; ``None`` where one does not limit."""
    nitrogen, phosphate = per_tonne
    by_nitrogen = by_phosphate = by_salt = by_law = None
    if nitrogen > 0 and inputs.mineralised_percent > 0:
        by_nitrogen = working.step("Rate by nitrogen", "t/ha", rate_by_nitrogen, need_kg_ha=inputs.crop_nitrogen_kg_ha,
                                   nitrogen_kg_t=nitrogen, free_percent=inputs.mineralised_percent)  # fmt: skip
    crop = CROPS[inputs.crop]
    content = crop["phosphate_kg_t"] if inputs.crop_phosphate_kg_t is None else inputs.crop_phosphate_kg_t
    offtake = working.step("Phosphate in the harvest", "kg/ha", crop_offtake, harvest=inputs.crop_yield_t_ha, content=content,
                           source=cited(crop["source"], crop["status"], ""))  # fmt: skip
    if phosphate > 0:
        by_phosphate = working.step("Rate by phosphate", "t/ha", rate_by_phosphate, offtake_kg_ha=offtake,
                                    harvests=inputs.harvests_covered, phosphate_kg_t=phosphate)  # fmt: skip
    borne = _borne(inputs)
    if borne is not None and found.salt > 0:
        soil = working.step("Soil that it is mixed into", "t/ha", soil_mass, depth_cm=inputs.mixed_in_cm,
                            soil_density_kg_m3=PRACTICE["soil_density_kg_m3"].typical,
                            source=PRACTICE["soil_density_kg_m3"].cited())  # fmt: skip
        by_salt = most(0, working.step(
            "Rate by salt", "t/ha", rate_by_salt, borne_ds_m=borne, in_soil_ds_m=inputs.soil_salt_ds_m, compost_ds_m=found.salt,
            saturation_factor=PRACTICE["saturation_factor"].typical, soil_t_ha=soil, moisture_percent=found.moisture,
            source=PRACTICE["saturation_factor"].cited(),
        ))  # fmt: skip
    if inputs.dry_limit_t_ha is not None:
        by_law = working.step("Rate by law", "t/ha", _wet_of_dry, dry_t_ha=inputs.dry_limit_t_ha, moisture_percent=found.moisture)
    return [by_nitrogen, by_phosphate, by_salt, by_law]


def _borne(inputs: Inputs) -> float | None:
    if inputs.crop_salt_ds_m is not None:
        return inputs.crop_salt_ds_m
    salt = CROPS[inputs.crop]["salt"]
    return None if salt is None else salt["threshold_ds_m"]


def _wet_of_dry(dry_t_ha: float, moisture_percent: float) -> float:
    return dry_t_ha / (1 - moisture_percent / 100)


def days_before_harvest(heat_record: str, eaten_part: str) -> int:
    """Days between spreading and harvest. A met heat record needs none for food; fodder waits in any case."""
    if heat_record == "met" and eaten_part != "fodder":
        return 0
    return INTERVALS[eaten_part]["days"]


def _verdict(inputs: Inputs) -> str:
    food = inputs.eaten_part in ("soil_contact", "no_contact")
    if inputs.heat_record != "met" and food:
        return "not on food that is eaten raw: no record of its heat"
    if inputs.compost_stage == "half-finished":
        return "only some weeks before sowing, or after more curing: it is half-finished"
    if inputs.compost_stage == "unknown":
        return "test it first: nothing says that it is mature"
    return f"{READY}, within the limits below"


def _checks(inputs: Inputs, salt: float, measured: bool) -> list[tuple[object, ...]]:
    """Rows of the table of checks, for plain inputs."""
    ready = inputs.compost_stage in ("mature", "very mature")
    interval = INTERVALS[inputs.eaten_part]
    days = days_before_harvest(inputs.heat_record, inputs.eaten_part)
    ratio = inputs.final_carbon_to_nitrogen
    found: list[tuple[object, ...]] = [
        ("maturity", STAGES[inputs.compost_stage],
         "may be sown into" if ready else f"cure {inputs.farm_curing_days} days more, or spread and work in some weeks before sowing",
         "common practice"),
        ("time at temperature", HEAT[inputs.heat_record],
         "keep the record with the batch" if inputs.heat_record == "met" else "treat it as raw waste, or heat it again", "published"),
        ("days to harvest", interval["name"],
         "none asked" if days == 0 else f"at least {days} days between spreading and harvest", interval["status"]),
        ("salt in seedbeds", f"{show_number(salt)} dS/m" + ("" if measured else ", not measured"),
         "fit for seedbeds" if salt < SEEDBED_DS_M else "mix it well in; not into seedbeds or pots without testing", "restated"),
    ]  # fmt: skip
    if ratio is not None:
        what = ("ties up nitrogen of the soil: give nitrogen with it, or cure on" if ratio > LOCKS_NITROGEN
                else "gives nitrogen" if ratio < GIVES_NITROGEN else "neither gives nor takes much nitrogen at first")  # fmt: skip
        found.append(("C:N", show_number(ratio), what, "published"))
    return found


def solve(inputs: Inputs, working: Working) -> Outputs:
    """The rate and its limits, what it brings, the mix for enriching, and the checks."""
    found = _contents(inputs, working)
    nitrogen_t, phosphate_t, potash_t = (
        working.step(label, "kg/t", nutrient_per_tonne, percent_of_dry_mass=percent, moisture_percent=found.moisture)
        for label, percent in (("Nitrogen in a tonne of wet compost", found.nitrogen), ("Phosphate in a tonne", found.phosphate),
                               ("Potash in a tonne", found.potash))
    )  # fmt: skip
    caps = _caps(inputs, found, (nitrogen_t, phosphate_t), working)
    limiting = [(cap, name) for cap, name in zip(caps, CAPS, strict=True) if cap is not None]
    if not limiting:
        raise CannotSolve("Nothing limits the rate: this compost has no nitrogen and no phosphate, and no salt or law is given. "
                          "Enter what a laboratory found.", ("nitrogen_percent_dry", "phosphate_percent_dry"))  # fmt: skip
    rate = working.step("Rate", "t/ha", _least_of, rates=[cap for cap, _ in limiting], names={"rates": [name for _, name in limiting]})
    limited_by = next(name for cap, name in limiting if plain(cap) == plain(rate))
    brought = nitrogen_t * rate
    free = working.step("Nitrogen free in the first year", "kg/ha", nitrogen_free, nitrogen_kg=brought,
                        free_percent=inputs.mineralised_percent)  # fmt: skip
    area = None
    if rate > 0:
        area = working.step("Land served in a year", "ha", area_served, product_kg_per_day=inputs.product_kg_per_day, rate_t_ha=rate)
    per_m2 = rate * 1000 / M2_PER_HA
    per_bed = per_m2 * inputs.bed_m2
    tub_kg = inputs.tub_l / 1000 * inputs.tub_fill_percent / 100 * inputs.compost_density_kg_m3
    rows, enriched = _enrich(inputs, found, working)
    told = plain(inputs)
    return Outputs(
        rate_t_ha=rate,
        rate_limited_by=limited_by,
        rate_kg_m2=per_m2,
        compost_kg_per_bed=per_bed,
        compost_tubs_per_bed=per_bed / tub_kg,
        layer_mm=per_m2 / inputs.compost_density_kg_m3 * 1000,
        area_served_ha=area,
        nitrogen_kg_ha=brought,
        nitrogen_first_year_kg_ha=free,
        nitrogen_lacking_kg_ha=most(0, inputs.crop_nitrogen_kg_ha - free),
        phosphate_kg_ha=phosphate_t * rate,
        potash_kg_ha=potash_t * rate,
        organic_dry_t_ha=rate * (1 - found.moisture / 100),
        use_verdict=_verdict(told),
        days_before_sowing=0 if told.compost_stage in ("mature", "very mature") else told.farm_curing_days,
        days_before_harvest=days_before_harvest(told.heat_record, told.eaten_part),
        enriched_nitrogen_percent=enriched[0],
        enriched_phosphate_percent=enriched[1],
        enriched_potash_percent=enriched[2],
        limits=tuple((name, cap, how) for (name, cap), how in zip(zip(CAPS, caps, strict=True), _how(told), strict=True)),
        enriching=tuple(rows),
        checks=tuple(_checks(told, plain(found.salt), told.conductivity_ds_m is not None)),
    )


def _least_of(rates: list[float]) -> float:
    return least(*rates)


def _how(inputs: Inputs) -> tuple[str, str, str, str]:
    borne = _borne(inputs)
    harvests = "one harvest" if inputs.harvests_covered == 1 else f"{inputs.harvests_covered} harvests"
    return (
        f"{show_number(inputs.mineralised_percent)} % of its nitrogen becomes free in the first year",
        f"phosphate of {harvests}",
        "no figure for this crop" if borne is None else
        f"soil stays within {show_number(borne)} dS/m, before rain washes salt down",
        NO_LIMIT if inputs.dry_limit_t_ha is None else "as entered",
    )  # fmt: skip


# ---- words ----------------------------------------------------------------------------------------------------


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    crop = CROPS[inputs.crop]["name"].split(",")[0].lower()
    if outputs.rate_t_ha <= 0:
        return f"None may be spread for {crop}: the {outputs.rate_limited_by} leaves no room."
    served = "" if outputs.area_served_ha is None else f"; a year of the yard’s compost serves {say(outputs.area_served_ha, 'ha')}"
    ready = outputs.use_verdict.startswith(READY)
    start = "Spread" if ready else "Once it may be used, spread"
    held = "" if ready else f". For now: {outputs.use_verdict}"
    return (
        f"{start} {say(outputs.rate_t_ha, 't/ha')} for {crop} ({say(outputs.compost_kg_per_bed, 'kg')} or "
        f"{say(outputs.compost_tubs_per_bed, 'tub', 2)} on {say(inputs.bed_m2, 'm2')}), limited by the "
        f"{outputs.rate_limited_by}{served}{held}."
    )


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about this result."""
    found = [f"May it be used: {outputs.use_verdict}."]
    unmeasured = [label for label, value in (
        ("moisture", inputs.compost_moisture_percent), ("nitrogen", inputs.nitrogen_percent_dry),
        ("phosphate", inputs.phosphate_percent_dry), ("potash", inputs.potash_percent_dry), ("conductivity", inputs.conductivity_ds_m),
    ) if value is None]  # fmt: skip
    if unmeasured:
        found.append(f"Not measured, so a typical figure stands in: {', '.join(unmeasured)}. Have it tested before you promise "
                     "a rate.")  # fmt: skip
    usual = PRACTICE["usual_rate_t_ha"]
    if not usual.low <= outputs.rate_t_ha <= usual.high:
        found.append(f"Usual rates are {usual.low:g} to {usual.high:g} t/ha (from memory): see whether the answers are those of "
                     "your field.")  # fmt: skip
    if outputs.nitrogen_lacking_kg_ha >= 0.5:
        found.append(
            f"Compost feeds the soil first: {say(outputs.nitrogen_lacking_kg_ha, 'kg/ha')} of nitrogen is still lacking in the first "
            "year. More compost is not the way to it; legumes, dung or a little fertiliser are."
        )
    if inputs.final_carbon_to_nitrogen is not None and inputs.final_carbon_to_nitrogen > LOCKS_NITROGEN:
        found.append("Above C:N 30 it ties up nitrogen of the soil for a while: count none of its own.")
    if inputs.soil_salt_ds_m > 0 and "salt" in outputs.rate_limited_by:
        found.append("Salt decides. Rain or watering washes it down: spread well before sowing, and test the soil again.")
    if any(row[0] not in ("compost",) for row in outputs.enriching):
        found.append("Contents of cakes and rock phosphate are from memory and differ by maker: read the bag or the test sheet. Rock "
                     "phosphate is slow in soils that are not sour.")  # fmt: skip
    if sum(float(row[1]) for row in outputs.enriching[1:]) > 1000:  # type: ignore[arg-type]
        found.append("More is added than there is compost: such a mix is a fertiliser with some compost in it. Ask for less.")
    found.append("The adviser’s soil test and the law of your place come first: some limit nitrogen, phosphate or dry mass by year.")
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """Food, metals, and spreading what is not ready."""
    food = inputs.eaten_part in ("soil_contact", "no_contact")
    waits = outputs.days_before_harvest
    found = [RaisedCaution("compost_on_food_crops", f"{waits} days between spreading and harvest, at least." if waits else "",
                           urgent=food and inputs.heat_record != "met")]  # fmt: skip
    if inputs.compost_stage not in ("mature", "very mature"):
        found.append(RaisedCaution("compost_not_fit_until_tested", f"Stage: {STAGES[inputs.compost_stage]}."))
    if inputs.dung_kg_per_t > 0:
        found.append(RaisedCaution("raw_waste_hands", "Raw dung is mixed in, so the mix must pass its hot stage again."))
    return [*found, RaisedCaution("metals_stay_in_soil"), RaisedCaution("legionella")]


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """What each limit would allow, and what the rate brings against what the crop takes."""
    rows = [row for row in outputs.limits if row[1] is not None]
    return [Chart("bars", "Wet compost that each limit allows", "t/ha", tuple(str(row[0]).split()[0] for row in rows),
                  (Line("At most", tuple(float(row[1]) for row in rows)),),  # type: ignore[arg-type]
                  (Mark(outputs.rate_t_ha, "the rate"),), axis="Limit")]  # fmt: skip


CALCULATOR = Calculator(
    key="field", title="Field use", question="How much compost to spread, on how much land, and when not?", inputs=Inputs,
    outputs=Outputs, solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts,
    sources=(*{row["source"]: cited(row["source"], row["status"], "") for row in CROPS.values()}.values(), source("maas_1990"),
             *(PRACTICE[key].cited() for key in ("mineralised_percent", "phosphate_percent_dry", "conductivity_ds_m", "saturation_factor",
                                                 "usual_rate_t_ha", "german_dry_t_ha_3_years")),
             source("nop_205_203"), source("fda_112_56"), source("clemson_interpretation"), source("ontario_compost"),
             cited("from_memory", "from memory", "contents of cakes, dung and rock phosphate"),
             own_choice("salt is mixed evenly into the soil, and none is washed down")),
    step="Finish and use",
)  # fmt: skip
