"""Mix: what goes into a heap, in kilograms and in tubs, and whether it will heat, breathe and stay moist.

The wet streams are the known load. Bulking (dry leaves, as a rule) raises carbon to nitrogen and soaks up moisture;
water is added where the mix is then too dry. Amounts are given, or found in closed form for one bulking ingredient,
or found as the cheapest of many ingredients within limits by a linear programme.

C:N is carbon to nitrogen on dry mass. Moisture is on wet mass. A dry ingredient's carbon is its nitrogen times its C:N.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from calculators import linear_programme, reference
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
    declared,
    number,
    output,
    output_table,
    output_text,
    own_choice,
    practice,
    table,
    text,
)  # fmt: skip
from calculators.known import plain
from calculators.linear_programme import Limit
from calculators.reference import figure, rows_of, source
from calculators.units import show
from calculators.working import Working, most, total

MATERIALS = {key: material.name for key, material in reference.materials().items() if material.usable_as_default}
WATER_DENSITY = figure("recipe_ranges", "constants", "water_density_kg_m3")
ORGANIC_DENSITY = figure("recipe_ranges", "constants", "organic_matter_density_kg_m3")
ASH_DENSITY = figure("recipe_ranges", "constants", "ash_density_kg_m3")
CARBON_DIVISOR = figure("recipe_ranges", "constants", "carbon_per_organic_matter_divisor")
SETTLE = figure("recipe_ranges", "constants", "settle_fraction")
RANGES = {row["key"]: row for row in rows_of("recipe_ranges", "used")}
LIFT_CONSTANT_KG = next(row["value"] for row in rows_of("lifting", "equation_limits") if row["key"] == "load_constant_kg")
LARGEST_RATIO = 12
"""Tubs are counted aloud at the heap: no more than a dozen of either, but where one side is more than that times
the other (then so many to one)."""
MOST_BULKING_TIMES = 20.0
"""A recipe that wants more than this many times the waste in bulking is no recipe."""
LEAST_KG = 1e-15
"""Less than this counts as none: next to the smallest floats a quotient has no figure."""
ROUNDING_SHARE = 1e-9
"""An amount that was worked out and is a smaller share of the load than this is what rounding left of none."""
LEAST_CONTRAST = 1e-9
"""A bulking that differs from the target by a smaller share than this can't pull a load there: rounding would answer."""
CURE_STEP = 0.1
"""To how fine a step it is said where a limit would have to lie."""
TIE_PRICE = 1e-6
"""Where two ways cost the same, the one that moves less mass wins by this much money a kilogram."""

METHODS = {
    "one_bulking": "find the bulking and water",
    "given": "amounts as I give them",
    "cheapest": "find the cheapest of several ingredients",
}
AIMS = {
    "both": "C:N and moisture, whichever needs more",
    "carbon_to_nitrogen": "C:N only",
    "moisture": "moisture only",
    "exactly_both": "both exactly, with a second ingredient",
}


@dataclass(frozen=True)
class Inputs:
    """The load, what can be added, and what the mix shall be."""

    kitchen_kg_per_day: float = number(
        "Kitchen waste", "kg/d", 300.0, low=0, high=1e6, follows="arrivals", group="What is to be mixed",
        help="Kept after the second sorting.",
    )  # fmt: skip
    market_kg_per_day: float = number(
        "Market waste", "kg/d", 0.0, low=0, high=1e6, follows="arrivals", group="What is to be mixed",
        help="Kept after the second sorting.",
    )  # fmt: skip
    garden_kg_per_day: float = number(
        "Green garden waste", "kg/d", 0.0, low=0, high=1e6, follows="arrivals", group="What is to be mixed",
        help="Kept after the second sorting.",
    )  # fmt: skip
    leaves_kg_per_day: float = number(
        "Leaves at hand, mean of the year", "kg/d", 0.0, low=0, high=1e6, follows="arrivals", group="What is to be mixed",
        help="The leaf store spreads them over the year.",
    )  # fmt: skip
    mix_method: str = choice(
        "How the amounts are found", METHODS, "one_bulking", group="How to mix",
        help="The first finds one bulking ingredient and water; the last chooses among the additions by price.",
        source=own_choice("one bulking ingredient is the usual case"),
    )  # fmt: skip
    solve_for: str = choice(
        "What the bulking shall put right", AIMS, "both", group="How to mix",
        help="Used when the bulking and water are found. The last takes the first of the other ingredients that has no amount.",
        source=own_choice("the safer of the two"),
    )  # fmt: skip
    target_carbon_to_nitrogen: float = number(
        "C:N wanted", "1", RANGES["carbon_to_nitrogen"]["preferred_low"], low=10, high=80, usual=(20, 40), group="How to mix",
        help="25 to 30 is preferred; the low end needs the least leaves.",
        source=reference.cited(RANGES["carbon_to_nitrogen"]["source"], RANGES["carbon_to_nitrogen"]["status"], ""),
    )  # fmt: skip
    target_moisture_percent: float = number(
        "Moisture wanted", "percent", RANGES["moisture_percent_wet"]["preferred_high"], low=20, high=80, usual=(45, 65),
        group="How to mix", help="50 to 60 % is preferred: a squeezed handful gives a few drops.",
        source=reference.cited(RANGES["moisture_percent_wet"]["source"], RANGES["moisture_percent_wet"]["status"], ""),
        measure="squeeze a handful of every new heap",
    )  # fmt: skip
    bulking_kg_per_day_given: float = number(
        "Bulking added", "kg/d", 100.0, low=0, high=1e6, group="How to mix", help="Used when amounts are as you give them.",
        source=own_choice("a figure to start from"),
    )  # fmt: skip
    water_l_per_day_given: float = number(
        "Water added", "l/d", 0.0, low=0, high=1e6, group="How to mix", help="Used when amounts are as you give them.",
        source=own_choice("none to start from"),
    )  # fmt: skip
    kitchen_material: str = choice(
        "Kitchen waste is", MATERIALS, "food_scraps", options_from="own_materials", group="Materials",
        help="Its figures come from the materials table, or from your own table below.", source=own_choice("the nearest row"),
    )  # fmt: skip
    market_material: str = choice(
        "Market waste is", MATERIALS, "vegetable_produce", options_from="own_materials", group="Materials",
        help="Fruit and vegetable trimmings, as a rule.", source=own_choice("the nearest row"),
    )  # fmt: skip
    garden_material: str = choice(
        "Green garden waste is", MATERIALS, "grass_clippings", options_from="own_materials", group="Materials",
        help="Grass heats and packs; hedge cuttings are drier.", source=own_choice("the nearest row"),
    )  # fmt: skip
    bulking_material: str = choice(
        "Bulking ingredient", MATERIALS, "dry_leaves", options_from="own_materials", group="Materials",
        help="Dry, coarse and rich in carbon.", source=practice("dry leaves are the usual bulking of a neighbourhood yard"),
        measure="weigh and dry a kilogram of your leaves",
    )  # fmt: skip
    leaves_material: str = choice(
        "The leaves at hand are", MATERIALS, "dry_leaves", options_from="own_materials", group="Materials",
        help="They supply the bulking only where the bulking ingredient is the same material.",
        source=practice("dry leaves are the usual bulking of a neighbourhood yard"),
    )  # fmt: skip
    bulking_price: float = number(
        "Price of the bulking", "money/kg", 0.0, low=0, high=1e6, group="Materials", help="0 where it is swept up nearby.",
        source=own_choice("leaves of the neighbourhood cost only their sweeping"),
    )  # fmt: skip
    own_materials: tuple[tuple[object, ...], ...] = table(
        "Your own materials", {
            "name": text("Name", ""),
            "moisture_percent": number("Moisture", "percent", None, low=0, high=98, blank=True),
            "nitrogen_percent": number("Nitrogen, of dry mass", "percent", None, low=0.01, high=20, blank=True),
            "carbon_to_nitrogen": number("C:N", "1", None, low=1, high=1500, blank=True),
            "density_kg_m3": number("Bulk density", "kg/m3", None, low=10, high=1500, blank=True),
            "organic_percent": number("Organic matter, of dry mass", "percent", None, low=1, high=100, blank=True),
        }, (), most_rows=20, group="Materials",
        help="A row named like a material of the table replaces its figures; empty cells keep them. A new name needs "
        "moisture, nitrogen and density, and C:N or organic matter: the other is then estimated.",
    )  # fmt: skip
    additions: tuple[tuple[object, ...], ...] = table(
        "Other ingredients", {
            "material": choice("Ingredient", MATERIALS, "sawdust", options_from="own_materials"),
            "amount_kg": number("Amount", "kg/d", None, low=0, high=1e6, blank=True),
            "least_kg": number("At least", "kg/d", None, low=0, high=1e6, blank=True),
            "most_kg": number("At most", "kg/d", None, low=0, high=1e6, blank=True),
            "price": number("Price", "money/kg", None, low=0, high=1e6, blank=True),
        }, (), most_rows=20, group="Other ingredients",
        help="With an amount it is added as it stands. Without, the cheapest mix chooses it between the two limits.",
    )  # fmt: skip
    least_carbon_to_nitrogen: float = number(
        "C:N at least", "1", RANGES["carbon_to_nitrogen"]["acceptable_low"], low=5, high=100,
        group="Limits of the cheapest mix", help="20 to 40 is reasonable.",
        source=reference.cited(RANGES["carbon_to_nitrogen"]["source"], RANGES["carbon_to_nitrogen"]["status"], ""),
    )  # fmt: skip
    most_carbon_to_nitrogen: float = number(
        "C:N at most", "1", RANGES["carbon_to_nitrogen"]["acceptable_high"], low=5, high=200,
        group="Limits of the cheapest mix", help="20 to 40 is reasonable.",
        source=reference.cited(RANGES["carbon_to_nitrogen"]["source"], RANGES["carbon_to_nitrogen"]["status"], ""),
    )  # fmt: skip
    least_moisture_percent: float = number(
        "Moisture at least", "percent", RANGES["moisture_percent_wet"]["preferred_low"], low=5, high=90,
        group="Limits of the cheapest mix", help="Below 40 % the heap slows; below 30 % it stops.",
        source=reference.cited(RANGES["moisture_percent_wet"]["source"], RANGES["moisture_percent_wet"]["status"], ""),
    )  # fmt: skip
    most_moisture_percent: float = number(
        "Moisture at most", "percent", RANGES["moisture_percent_wet"]["acceptable_high"], low=5, high=95,
        group="Limits of the cheapest mix", help="Above 65 % air no longer passes.",
        source=reference.cited(RANGES["moisture_percent_wet"]["source"], RANGES["moisture_percent_wet"]["status"], ""),
    )  # fmt: skip
    most_density_kg_m3: float = number(
        "Bulk density at most", "kg/m3", RANGES["bulk_density_kg_m3"]["acceptable_high"], low=100, high=1500,
        group="Limits of the cheapest mix", help="A heavy mix holds too little air.",
        source=reference.cited(RANGES["bulk_density_kg_m3"]["source"], RANGES["bulk_density_kg_m3"]["status"], ""),
    )  # fmt: skip
    least_free_air_space_percent: float = number(
        "Free air space at least", "percent", RANGES["free_air_space_percent"]["acceptable_low"], low=0, high=90,
        group="Limits of the cheapest mix", help="Below 20 % the heap goes sour; 35 % is better.",
        source=reference.cited(RANGES["free_air_space_percent"]["source"], RANGES["free_air_space_percent"]["status"], ""),
    )  # fmt: skip
    settle_percent: float = number(
        "Volume lost in mixing", "percent", SETTLE.typical * 100, low=0, high=50, usual=(0, 25), group="Tubs and volume",
        help="Fine pieces fill the gaps between coarse ones.", source=SETTLE.cited(),
        measure="mix ten tubs and measure the heap",
    )  # fmt: skip
    tub_l: float = number(
        "Size of a tub", "l", 40.0, low=1, high=500, usual=(15, 120), group="Tubs and volume",
        help="The tub in which the crew counts ingredients.", source=own_choice("a size two people lift with ease"),
        measure="fill a tub with water from a bucket of known size",
    )  # fmt: skip
    tub_fill_percent: float = number(
        "A tub is filled to", "percent", 90.0, low=10, high=100, usual=(70, 100), group="Tubs and volume",
        help="Of its size to the brim.", source=own_choice("a little below the brim"),
    )  # fmt: skip
    empty_tub_kg: float = number(
        "An empty tub weighs", "kg", 1.5, low=0, high=50, usual=(0.5, 5), group="Tubs and volume", help="With its handles.",
        source=own_choice("a plastic tub"), measure="weigh one",
    )  # fmt: skip


@dataclass(frozen=True)
class Outputs:
    """The mix of one mean day."""

    mix_carbon_to_nitrogen: float = output("C:N of the mix", "1", key_figure=True)
    mix_moisture_percent: float = output("Moisture of the mix", "percent", key_figure=True)
    mix_free_air_space_percent: float = output("Free air space of the mix", "percent", key_figure=True)
    bulking_kg_per_day: float = output("Bulking", "kg/d", key_figure=True)
    water_l_per_day: float = output("Water to add", "l/d", key_figure=True)
    tub_ratio: str = output_text("In tubs", key_figure=True)
    mix_kg_per_day: float = output("Mass of the mix", "kg/d")
    mix_m3_per_day: float = output("Volume of the mix", "m3/d")
    mix_density_kg_m3: float = output("Bulk density of the mix", "kg/m3")
    mix_dry_kg_per_day: float = output("Dry mass of the mix", "kg/d")
    load_carbon_to_nitrogen: float = output("C:N before bulking and water", "1")
    load_moisture_percent: float = output("Moisture before bulking and water", "percent")
    bulking_for_carbon_kg_per_day: float | None = output(
        "Bulking that C:N alone would need", "kg/d", help="None where this bulking has too little carbon to reach it."
    )
    bulking_for_moisture_kg_per_day: float | None = output(
        "Bulking that moisture alone would need", "kg/d", help="None where this bulking is too wet to reach it."
    )
    bulking_short_kg_per_day: float = output(
        "Bulking lacking", "kg/d",
        help="What the recipe needs beyond the leaves at hand over the year; all of it where the bulking is not those leaves.",
    )  # fmt: skip
    mix_cost_per_day: float = output("Cost of what is bought", "money/d")
    tubs_per_day: float = output("Tubs handled", "tub/d")
    food_tubs_per_day: float = output("Tubs of wet waste", "tub/d")
    bulking_tubs_per_day: float = output("Tubs of bulking", "tub/d")
    tub_ratio_error_percent: float = output(
        "Bulking by the ratio in tubs, against the recipe", "percent",
        help="What rounding to whole tubs does: above 0 is more bulking than the recipe.",
    )  # fmt: skip
    filled_tub_kg: float = output("Heaviest filled tub, the tub included", "kg")
    amounts: tuple[tuple[object, ...], ...] = output_table(
        "Amounts for a mean day",
        (
            Column("material", "Ingredient"), Column("kg", "Mass", "kg/d"), Column("tubs", "Tubs", "tub/d"),
            Column("volume", "Volume", "m3/d"), Column("share", "Of the mass", "percent"), Column("dry", "Dry mass", "kg/d"),
        ),
    )  # fmt: skip
    batch: tuple[tuple[object, ...], ...] = output_table(
        "One batch, by the ratio in tubs",
        (
            Column("material", "Ingredient"), Column("tubs", "Tubs", "tub"), Column("litres", "Volume", "l"),
            Column("kg", "Mass", "kg"),
        ),
    )  # fmt: skip


@dataclass(frozen=True)
class Material:
    """An ingredient's figures: moisture of wet mass and organic matter of dry mass as fractions, nitrogen too."""

    name: str
    moisture: float
    nitrogen: float
    carbon_to_nitrogen: float
    density_kg_m3: float
    organic: float

    @property
    def carbon(self) -> float:
        """Carbon as a fraction of dry mass."""
        return self.nitrogen * self.carbon_to_nitrogen


# ---- formulas -------------------------------------------------------------------------------------------------


def sample_moisture(wet_sample_g: float, container_g: float, dry_sample_and_container_g: float) -> float:
    """Moisture of a sample, percent of wet mass, from its mass wet and with its container dried.

    Masses in grams, the wet sample's (without its container) above 0. Source: Cornell composting, moisture.
    """
    return 100 * (wet_sample_g - (dry_sample_and_container_g - container_g)) / wet_sample_g


def carbon_to_nitrogen(carbon_percent: float, nitrogen_percent: float) -> float:
    """C:N from carbon and nitrogen in percent of the same mass; nitrogen above 0."""
    return carbon_percent / nitrogen_percent


def carbon_from_ash(ash_percent: float) -> float:
    """Carbon, percent of dry mass, estimated from ash (0–100): (100 − ash) ÷ 1.8 (Adams and others 1951)."""
    return (100 - ash_percent) / CARBON_DIVISOR.typical


def organic_matter_from_carbon(carbon_percent: float) -> float:
    """Organic matter, percent of dry mass, from carbon (0–100): ``carbon_from_ash`` turned round, at most 100."""
    return min(100.0, carbon_percent * CARBON_DIVISOR.typical)


def blend_moisture(masses: Sequence[float], moistures: Sequence[float]) -> float:
    """Moisture of a blend, in the unit of ``moistures``, weighed by wet mass. Some mass must be above 0."""
    return total(mass * share for mass, share in zip(masses, moistures, strict=True)) / total(masses)


def blend_carbon_to_nitrogen(dry_masses: Sequence[float], carbons: Sequence[float], nitrogens: Sequence[float]) -> float:
    """C:N of a blend from masses and the fraction of carbon and nitrogen in each. Some nitrogen must be present.

    The fractions are of the masses given: dry masses with fractions of dry mass.
    """
    carbon = total(mass * share for mass, share in zip(dry_masses, carbons, strict=True))
    return carbon / total(mass * share for mass, share in zip(dry_masses, nitrogens, strict=True))


def bulking_for_carbon(wet_mass: float, moisture: float, carbon: float, nitrogen: float, bulking_moisture: float,
                       bulking_carbon: float, bulking_nitrogen: float, target: float) -> float:  # fmt: skip
    """Mass of bulking that brings a load to the C:N ``target``; moistures as fractions of wet mass, carbon and nitrogen
    all as fractions, or all as percent, of dry mass. In the unit of ``wet_mass``.

    Balances carbon against target × nitrogen of both (NRAES-54, 1992, chapter 3, rearranged). Negative where the load
    is above the target already; the bulking's own C:N must not equal the target.
    """
    lacking = wet_mass * (1 - moisture) * (target * nitrogen - carbon)
    return lacking / ((1 - bulking_moisture) * (bulking_carbon - target * bulking_nitrogen))


def bulking_for_moisture(wet_mass: float, moisture: float, bulking_moisture: float, target: float) -> float:
    """Mass of bulking that brings a load to the moisture ``target`` (fractions); it must be drier than the target."""
    return wet_mass * (moisture - target) / (target - bulking_moisture)


def two_ingredients_for_both(wet_mass: float, moisture: float, carbon: float, nitrogen: float,
                             first: tuple[float, float, float], second: tuple[float, float, float],
                             target_ratio: float, target_moisture: float) -> tuple[float, float]:  # fmt: skip
    """Masses of two ingredients that bring a load to a C:N and a moisture at once.

    ``first`` and ``second`` are each moisture of wet mass, carbon and nitrogen of dry mass, as fractions. The carbon
    balance of ``bulking_for_carbon`` and the water balance of ``bulking_for_moisture``, solved together by Cramer's
    rule. A mass may come out negative: then these two can't do it. Raises ``ValueError`` where both pull alike.
    """
    pulls = [((1 - m) * (c - target_ratio * n), m - target_moisture) for m, c, n in (first, second)]
    (first_carbon, first_water), (second_carbon, second_water) = pulls
    carbon_lacking = wet_mass * (1 - moisture) * (target_ratio * nitrogen - carbon)
    water_lacking = wet_mass * (target_moisture - moisture)
    one, other = first_carbon * second_water, second_carbon * first_water
    spread = one - other
    if abs(spread) <= LEAST_CONTRAST * (abs(one) + abs(other)):
        raise ValueError("the two ingredients pull C:N and moisture alike")
    return (
        (carbon_lacking * second_water - second_carbon * water_lacking) / spread,
        (first_carbon * water_lacking - carbon_lacking * first_water) / spread,
    )


def water_to_add(mass: float, moisture: float, target: float) -> float:
    """Mass of water that brings ``mass`` from ``moisture`` to ``target`` (fractions, target below 1)."""
    return mass * (target - moisture) / (1 - target)


def solid_volume(moisture: float, organic: float) -> float:
    """Volume of the water and the solids in a kilogram (m³/kg), without air: moisture and organic matter of dry mass as
    fractions. The densities of water, organic matter and ash are the reference data's."""
    dry = 1 - moisture
    return (
        moisture / WATER_DENSITY.typical
        + dry * organic / ORGANIC_DENSITY.typical
        + dry * (1 - organic) / ASH_DENSITY.typical
    )


def free_air_space(density_kg_m3: float, moisture: float, organic: float) -> float:
    """Free air space, percent of volume, from wet bulk density, moisture and organic matter of dry mass (fractions).

    1 − ρ·(water ÷ ρw + organic ÷ ρo + ash ÷ ρa) (Agnew and Leonard 2003; Richard and others 2004; from memory). Below 0
    where no material can be so dense.
    """
    return 100 * (1 - density_kg_m3 * solid_volume(moisture, organic))


def bucket_bulk_density(bucket_l: float, empty_kg: float, full_kg: float) -> float:
    """Bulk density (kg/m³) from a bucket (litres, above 0) weighed empty and full (kg)."""
    return (full_kg - empty_kg) / bucket_l * 1000


def nitrogen_to_add(carbon_percent: float, nitrogen_percent: float, target: float) -> float:
    """Nitrogen to add, percent of dry mass, that brings a material down to the C:N ``target`` (above 0)."""
    return carbon_percent / target - nitrogen_percent


def fertiliser_to_add(nitrogen_kg: float, fertiliser_nitrogen_percent: float) -> float:
    """Mass of a fertiliser (kg) that carries a mass of nitrogen (kg); its nitrogen in percent, above 0."""
    return nitrogen_kg / (fertiliser_nitrogen_percent / 100)


def parts_carbon_to_nitrogen(parts: Sequence[float], ratios: Sequence[float]) -> float:
    """C:N of equal-carbon parts: the parts' sum over the sum of part ÷ ratio. Each part holds the same carbon."""
    return total(parts) / total(part / ratio for part, ratio in zip(parts, ratios, strict=True))


def volume(masses: Sequence[float], densities: Sequence[float], settle_percent: float) -> float:
    """Volume of a mix (m³) from masses (kg) and bulk densities (kg/m³): the ingredients' volumes, less what is lost as
    fine pieces fill the gaps of coarse ones (percent)."""
    loose = total(mass / density for mass, density in zip(masses, densities, strict=True))
    return loose * (1 - settle_percent / 100)


def filled_tub(density_kg_m3: float, tub_l: float, fill_percent: float, empty_kg: float) -> float:
    """Mass of a filled tub (kg), the tub included."""
    return density_kg_m3 * tub_l / 1000 * fill_percent / 100 + empty_kg


def tubs_of(mass_kg: float, density_kg_m3: float, tub_l: float, fill_percent: float) -> float:
    """Tubs that a mass fills."""
    return mass_kg / density_kg_m3 / (tub_l / 1000 * fill_percent / 100)


def small_ratio(first: float, second: float, largest: int = LARGEST_RATIO) -> tuple[int, int]:
    """Whole numbers up to ``largest`` whose ratio is nearest that of two amounts, each at least 0.

    Where one is more than ``largest`` times the other, so many to one. 1 to 0 or 0 to 1 where one of them is none.
    """
    if second <= 0:
        return 1, 0
    if first <= 0:
        return 0, 1
    if first > largest * second:
        return round(first / second), 1
    if second > largest * first:
        return 1, round(second / first)
    best, gap = (1, 1), float("inf")
    for above in range(1, largest + 1):
        for below in range(1, largest + 1):
            # how many times too much or too little: 2 to 1 for 1 to 1 is as far off as 1 to 2
            off = max(above * second, below * first) / min(above * second, below * first)
            if off < gap * (1 - 1e-12):
                best, gap = (above, below), off
    reduced = Fraction(*best)
    return reduced.numerator, reduced.denominator


# ---- materials ------------------------------------------------------------------------------------------------


def _materials(inputs: Inputs) -> dict[str, Material]:
    """Every material by key, the user's own rows put over the table's. Raises ``CannotSolve`` for a row too empty."""
    found: dict[str, Material] = {}
    keys_by_name: dict[str, str] = {}
    for key, row in reference.materials().items():
        if not row.usable_as_default:
            continue
        keys_by_name[row.name.casefold()] = keys_by_name[key.casefold()] = key
        found[key] = Material(
            row.name, row.moisture_percent_wet.typical / 100, row.nitrogen_percent_dry.typical / 100,
            row.carbon_to_nitrogen.typical, row.bulk_density_kg_m3.typical, row.organic_matter_percent_dry.typical / 100,
        )  # fmt: skip
    for name, moisture, nitrogen, ratio, density, organic in inputs.own_materials:
        label = str(name).strip()
        if not label:
            continue
        known = found.get(keys_by_name.get(label.casefold(), ""))
        made = _own_material(label, known, moisture, nitrogen, ratio, density, organic)
        found[label] = made
        if known is not None:
            found[keys_by_name[label.casefold()]] = made
    return found


def _own_material(label: str, known: Material | None, *figures: object) -> Material:
    """A row of the user's own over the table's figures of the same name, if it has any; what neither gives and can be
    worked out from carbon is."""
    numbers = (None if item is None else float(item) for item in figures)  # type: ignore[arg-type]
    moisture, nitrogen, ratio, density, organic = numbers
    if known is not None:
        made = Material(
            known.name,
            known.moisture if moisture is None else moisture / 100,
            known.nitrogen if nitrogen is None else nitrogen / 100,
            known.carbon_to_nitrogen if ratio is None else ratio,
            known.density_kg_m3 if density is None else density,
            known.organic if organic is None else organic / 100,
        )
    elif moisture is None or nitrogen is None or density is None or (ratio is None and organic is None):
        raise CannotSolve(
            f"Your material ‘{label}’ is new, so it needs moisture, nitrogen and bulk density, and C:N or organic matter.",
            ("own_materials",),
        )
    else:
        if ratio is None:
            ratio = carbon_to_nitrogen(carbon_from_ash(100 - (organic or 0.0)), nitrogen)
        if organic is None:
            organic = organic_matter_from_carbon(ratio * nitrogen)
        made = Material(label, moisture / 100, nitrogen / 100, ratio, density, organic / 100)
    if made.carbon > 1:
        raise CannotSolve(
            f"Your material ‘{label}’ can't be: nitrogen times C:N makes {show(100 * made.carbon, 'percent')} of the dry mass "
            "carbon. Look at both figures.",
            ("own_materials",),
        )
    return made


@dataclass(frozen=True)
class _Part:
    """An ingredient in the mix. ``role`` is wet (a stream that arrives), added (an addition) or bulking; ``price`` is
    money a kilogram."""

    material: Material
    kg: float
    role: str
    price: float = 0.0


def _load(inputs: Inputs, materials: dict[str, Material]) -> list[_Part]:
    """The wet streams, and the additions whose amount is given."""
    parts = [
        _Part(materials[inputs.kitchen_material], inputs.kitchen_kg_per_day, "wet"),
        _Part(materials[inputs.market_material], inputs.market_kg_per_day, "wet"),
        _Part(materials[inputs.garden_material], inputs.garden_kg_per_day, "wet"),
    ]
    for key, amount, _, _, price in inputs.additions:
        if amount is not None:
            parts.append(_Part(materials[str(key)], float(amount), "added", float(price or 0.0)))  # type: ignore[arg-type]
    return [part for part in parts if part.kg > LEAST_KG]


def _sums(parts: Sequence[_Part]) -> tuple[float, float, float, float, float]:
    """Wet mass, water, carbon, nitrogen and organic matter of ingredients (kg)."""
    mass = total(part.kg for part in parts)
    water = total(part.kg * part.material.moisture for part in parts)
    dry = [part.kg * (1 - part.material.moisture) for part in parts]
    carbon = total(kg * part.material.carbon for kg, part in zip(dry, parts, strict=True))
    nitrogen = total(kg * part.material.nitrogen for kg, part in zip(dry, parts, strict=True))
    organic = total(kg * part.material.organic for kg, part in zip(dry, parts, strict=True))
    return mass, water, carbon, nitrogen, organic


# ---- solving --------------------------------------------------------------------------------------------------


def solve(inputs: Inputs, working: Working) -> Outputs:
    """Find the amounts by the method chosen, then the figures of the mix."""
    materials = _materials(inputs)
    load = _load(inputs, materials)
    if not load:
        raise CannotSolve(
            "There is nothing to mix: no kitchen, market or garden waste is kept. Give at least one of them.",
            ("kitchen_kg_per_day", "market_kg_per_day", "garden_kg_per_day"),
        )
    bulking = materials[inputs.bulking_material]
    for_carbon, for_moisture = _bulking_needs(inputs, load, bulking, working)
    extra: list[_Part] = []
    water = working.constant(0.0)
    if inputs.mix_method == "given":
        bulking_kg, water = inputs.bulking_kg_per_day_given, inputs.water_l_per_day_given
    elif inputs.mix_method == "cheapest":
        bulking_kg, water, extra = working.untraced(_cheapest, inputs, load, bulking, materials, working)
    elif inputs.solve_for == "exactly_both":
        bulking_kg, extra = working.untraced(_both_exactly, inputs, load, bulking, materials, working)
    else:
        bulking_kg = _bulking_by_aim(inputs, for_carbon, for_moisture)
        if bulking_kg > MOST_BULKING_TIMES * total(part.kg for part in load):
            raise CannotSolve(
                f"{bulking.name} can't bring this load to the targets: it would take more than {MOST_BULKING_TIMES:.0f} "
                "times its mass. Choose a drier bulking richer in carbon, or targets nearer the load.",
                ("bulking_material", "target_carbon_to_nitrogen", "target_moisture_percent"),
            )
        mass, wet, _, _, _ = _sums([*load, _Part(bulking, bulking_kg, "bulking")])
        # where the bulking was found for the moisture itself, the last binary digit is no lack of water
        if wet / mass < inputs.target_moisture_percent / 100 * (1 - 1e-12):
            water = working.step("Water to add", "l/d", water_to_add, mass=mass, moisture=wet / mass,
                                 target=inputs.target_moisture_percent / 100,
                                 note="A litre of water weighs a kilogram.")  # fmt: skip
    if bulking_kg <= LEAST_KG or (inputs.mix_method != "given" and bulking_kg <= _rounding(load)):
        bulking_kg = 0.0
    parts = [*load, *extra]
    if bulking_kg > 0:
        parts.append(_Part(bulking, bulking_kg, "bulking", inputs.bulking_price))
    return _outputs(inputs, parts, load, water, (for_carbon, for_moisture), _leaves_supply(inputs, materials), working)


def _rounding(load: Sequence[_Part]) -> float:
    """What an amount (kg) that was worked out for this load may be off by."""
    return ROUNDING_SHARE * total(part.kg for part in load)


def _leaves_supply(inputs: Inputs, materials: dict[str, Material]) -> float | None:
    """The bulking at hand (kg a day), ``None`` where the bulking is not the leaves and has to be found elsewhere."""
    same = materials[inputs.bulking_material].name == materials[inputs.leaves_material].name
    return inputs.leaves_kg_per_day if same else None


def _bulking_needs(inputs: Inputs, load: Sequence[_Part], bulking: Material, working: Working) -> tuple[float, float]:
    """Bulking for C:N and for moisture, each alone; 0 where the load needs none, infinite where it can't help."""
    mass, water, carbon, nitrogen, _ = _sums(load)
    dry = mass - water
    target = inputs.target_carbon_to_nitrogen
    for_carbon = 0.0
    if carbon < target * nitrogen:
        if bulking.carbon_to_nitrogen <= target * (1 + LEAST_CONTRAST):
            for_carbon = float("inf")
        else:
            for_carbon = working.step(
                "Bulking for the C:N wanted", "kg/d", bulking_for_carbon,
                names={"carbon": "its carbon", "nitrogen": "its nitrogen", "moisture": "its moisture"},
                wet_mass=mass, moisture=water / mass, carbon=carbon / dry, nitrogen=nitrogen / dry,
                bulking_moisture=bulking.moisture, bulking_carbon=bulking.carbon, bulking_nitrogen=bulking.nitrogen,
                target=target, source=source("rynk_1992"),
            )  # fmt: skip
    wanted = inputs.target_moisture_percent / 100
    for_moisture = 0.0
    if water > wanted * mass * (1 + 1e-12):
        if bulking.moisture >= wanted * (1 - LEAST_CONTRAST):
            for_moisture = float("inf")
        else:
            for_moisture = working.step(
                "Bulking for the moisture wanted", "kg/d", bulking_for_moisture, wet_mass=mass, moisture=water / mass,
                bulking_moisture=bulking.moisture, target=wanted, source=source("cornell_moisture"),
            )  # fmt: skip
    return for_carbon, for_moisture


def _bulking_by_aim(inputs: Inputs, for_carbon: float, for_moisture: float) -> float:
    wanted = {"carbon_to_nitrogen": for_carbon, "moisture": for_moisture}.get(
        inputs.solve_for, most(for_carbon, for_moisture)
    )
    if wanted == float("inf"):
        lacks = "rich enough in carbon" if for_carbon == wanted else "dry enough"
        raise CannotSolve(
            f"The bulking ingredient is not {lacks} to reach the target. Choose another one, or another target.",
            ("bulking_material", "target_carbon_to_nitrogen", "target_moisture_percent"),
        )
    return wanted


def _both_exactly(inputs: Inputs, load: Sequence[_Part], bulking: Material, materials: dict[str, Material],
                  working: Working) -> tuple[float, list[_Part]]:  # fmt: skip
    """Bulking and the first addition without an amount, such that C:N and moisture are both as wanted."""
    looked_at = ("solve_for", "additions", "bulking_material", "target_carbon_to_nitrogen", "target_moisture_percent")
    row = next((row for row in inputs.additions if row[1] is None), None)
    if row is None:
        raise CannotSolve(
            "To meet both targets exactly a second ingredient is needed. Give one among the other ingredients and leave its "
            "amount empty.",
            looked_at,
        )
    second = materials[str(row[0])]
    first_name = _short(bulking.name)
    both = f"{first_name[:1].upper()}{first_name[1:]} and {_short(second.name)}"
    mass, wet, carbon, nitrogen, _ = _sums(load)
    dry = mass - wet
    try:
        amounts = two_ingredients_for_both(
            mass, wet / mass, carbon / dry, nitrogen / dry, (bulking.moisture, bulking.carbon, bulking.nitrogen),
            (second.moisture, second.carbon, second.nitrogen), inputs.target_carbon_to_nitrogen,
            inputs.target_moisture_percent / 100,
        )  # fmt: skip
    except ValueError:
        raise CannotSolve(
            f"{both} pull C:N and moisture the same way, so they can't meet both targets. "
            "Choose a second ingredient less like the first.",
            looked_at,
        ) from None
    for material, kg in zip((bulking, second), amounts, strict=True):
        if kg < -_rounding(load):
            raise CannotSolve(
                f"{both} can't meet both targets exactly: it would take less than none of "
                f"{_short(material.name)}. Choose another second ingredient, or “{AIMS['both']}”.",
                looked_at,
            )
    if max(amounts) > MOST_BULKING_TIMES * mass:
        raise CannotSolve(
            f"{both} meet both targets only at more than {MOST_BULKING_TIMES:.0f} times the "
            "load's mass. Choose a drier ingredient richer in carbon, or targets nearer the load.",
            looked_at,
        )
    bulking_kg, second_kg = (max(0.0, kg) for kg in amounts)
    low, high, price = float(row[2] or 0.0), row[3], float(row[4] or 0.0)  # type: ignore[arg-type]
    off = _rounding(load)
    if second_kg < low - off or (high is not None and second_kg > float(high) + off):  # type: ignore[arg-type]
        raise CannotSolve(
            f"Both targets together need {show(second_kg, 'kg/d')} of {_short(second.name)}, which is outside the least and "
            "most given for it.",
            looked_at,
        )
    how = "The balances of carbon and of water, solved together."
    working.note(f"{bulking.name}, for both targets", bulking_kg, "kg/d", how, source("rynk_1992"))
    working.note(f"{second.name}, for both targets", second_kg, "kg/d", how, source("rynk_1992"))
    return bulking_kg, [_Part(second, second_kg, "added", price)] if second_kg > off else []


def _cheapest(inputs: Inputs, load: Sequence[_Part], bulking: Material, materials: dict[str, Material],
              working: Working) -> tuple[float, float, list[_Part]]:  # fmt: skip
    """Amounts of bulking, water and the open additions that cost least within the limits."""
    names = [_short(bulking.name)]
    open_materials = [bulking]
    prices = [inputs.bulking_price]
    lows: list[float] = [0.0]
    highs: list[float | None] = [_leaves_supply(inputs, materials)]
    for key, amount, low, high, price in inputs.additions:
        if amount is None:
            material = materials[str(key)]
            names.append(_short(material.name))
            open_materials.append(material)
            prices.append(float(price or 0.0))  # type: ignore[arg-type]
            lows.append(float(low or 0.0))  # type: ignore[arg-type]
            highs.append(None if high is None else float(high))  # type: ignore[arg-type]
            if highs[-1] is not None and highs[-1] < lows[-1]:
                raise CannotSolve(f"{material.name}: the most ({highs[-1]:g} kg) is below the least ({lows[-1]:g} kg).",
                                  ("additions",))  # fmt: skip

    def limits_for(asked: Inputs) -> list[Limit]:
        return [*_limits(asked, load, open_materials, names, highs), *_least_limits(names, lows)]

    limits = limits_for(inputs)
    cost = [price + TIE_PRICE for price in prices] + [TIE_PRICE]
    try:
        found = linear_programme.minimise(cost, limits)
        clash = "" if found.values is not None else _why_infeasible(inputs, limits_for)
    except ArithmeticError:
        # amounts and prices so far apart that the digits of a float don't reach
        raise CannotSolve(
            "The cheapest mix can't be worked out: amounts or prices lie too far apart. Use figures of like size.",
            ("additions", "bulking_price"),
        ) from None
    if found.values is None:
        raise CannotSolve(clash, ("additions", "leaves_kg_per_day", *(kind.answer for kind in _LIMIT_KINDS.values())))
    *amounts, water = found.values
    bought = math.fsum(price * kg for price, kg in zip(prices, amounts, strict=True))
    working.note("Cheapest mix", bought, "money/d",
                 f"A linear programme over {len(amounts)} ingredients and water, {len(limits)} limits, "
                 f"{found.iterations} steps.")  # fmt: skip
    extra = [
        _Part(material, kg, "added", price)
        for material, kg, price in zip(open_materials[1:], amounts[1:], prices[1:], strict=True)
        if kg > _rounding(load)
    ]
    return amounts[0], water, extra


@dataclass(frozen=True)
class _LimitKind:
    """A limit of the mix: the answer that sets it, its unit, how it reads, and which way it gives way (1 is up)."""

    answer: str
    unit: str
    words: str
    way: int


_LIMIT_KINDS = {
    "C:N at least": _LimitKind("least_carbon_to_nitrogen", "1", "C:N", -1),
    "C:N at most": _LimitKind("most_carbon_to_nitrogen", "1", "C:N", 1),
    "moisture at least": _LimitKind("least_moisture_percent", "percent", "moisture", -1),
    "moisture at most": _LimitKind("most_moisture_percent", "percent", "moisture", 1),
    "bulk density at most": _LimitKind("most_density_kg_m3", "kg/m3", "bulk density", 1),
    "free air space at least": _LimitKind("least_free_air_space_percent", "percent", "free air space", -1),
}


def _limits(inputs: Inputs, load: Sequence[_Part], open_materials: Sequence[Material], names: Sequence[str],
            highs: Sequence[float | None]) -> list[Limit]:  # fmt: skip
    """The limits of the mix and of the supplies over the kilograms of the open ingredients and, last, of water.

    Each is a ratio of sums, so it becomes linear when multiplied by the sum below the line: C:N by nitrogen, moisture
    by mass, density and free air space by volume.
    """
    mass, wet, carbon, nitrogen, _ = _sums(load)
    held = 1 - inputs.settle_percent / 100
    room = held * total(part.kg / part.material.density_kg_m3 for part in load)
    filled = total(part.kg * solid_volume(part.material.moisture, part.material.organic) for part in load)

    def ratio_limit(name: str, ratio: float, relation: linear_programme.Relation) -> Limit:
        row = [(1 - m.moisture) * (m.carbon - ratio * m.nitrogen) for m in open_materials]
        return Limit(name, (*row, 0.0), relation, ratio * nitrogen - carbon)

    def moisture_limit(name: str, share: float, relation: linear_programme.Relation) -> Limit:
        return Limit(name, (*[m.moisture - share for m in open_materials], 1 - share), relation, share * mass - wet)

    density = inputs.most_density_kg_m3
    not_air = 1 - inputs.least_free_air_space_percent / 100
    solids = [solid_volume(m.moisture, m.organic) for m in open_materials]
    rooms = [held / m.density_kg_m3 for m in open_materials]
    made = [
        ratio_limit("C:N at least", inputs.least_carbon_to_nitrogen, ">="),
        ratio_limit("C:N at most", inputs.most_carbon_to_nitrogen, "<="),
        moisture_limit("moisture at least", inputs.least_moisture_percent / 100, ">="),
        moisture_limit("moisture at most", inputs.most_moisture_percent / 100, "<="),
        Limit("bulk density at most", (*[1 - density * each for each in rooms], 1.0), "<=", density * room - mass),
        Limit("free air space at least",
              (*[solid - not_air * each for solid, each in zip(solids, rooms, strict=True)], solid_volume(1.0, 0.0)), "<=",
              not_air * room - filled),
    ]  # fmt: skip
    for index, (name, high) in enumerate(zip(names, highs, strict=True)):
        if high is not None:
            made.append(Limit(f"supply of {name} ({index + 1})", _alone(index, len(names)), "<=", high))
    return made


def _least_limits(names: Sequence[str], lows: Sequence[float]) -> list[Limit]:
    """What is to be used at least, as limits, so that they can be named where they clash."""
    return [
        Limit(f"least of {name} ({index + 1})", _alone(index, len(names)), ">=", low)
        for index, (name, low) in enumerate(zip(names, lows, strict=True))
        if low > 0
    ]


def _alone(index: int, ingredients: int) -> tuple[float, ...]:
    return tuple(1.0 if column == index else 0.0 for column in range(ingredients + 1))


def _why_infeasible(inputs: Inputs, limits_for: Callable[[Inputs], list[Limit]]) -> str:
    """In words: which limits can't all be met, and for each of them where it would have to lie with the others kept."""
    limits = limits_for(inputs)
    clash, cures = [], []
    for name in linear_programme.clashing_limits(limits):
        if name in _LIMIT_KINDS:
            kind = _LIMIT_KINDS[name]
            clash.append(f"{name} {show(getattr(inputs, kind.answer), kind.unit, 'metric', 6)}")
            nearest = _nearest_answer(inputs, kind, limits_for)
            if nearest is not None:
                cures.append(f"{kind.words} {'up' if kind.way > 0 else 'down'} to {show(nearest, kind.unit, 'metric', 6)}")
            continue
        side, thing = name.rsplit(" (", 1)[0].split(" of ", 1)
        bound = next(limit.bound for limit in limits if limit.name == name)
        asked = show(bound, "kg/d", "metric", 6)
        nearest = linear_programme.nearest_bound(limits, name)
        if side == "supply":
            clash.append(f"at most {asked} of {thing}")
            if nearest is not None:
                enough = math.ceil(nearest / CURE_STEP - 1e-6) * CURE_STEP
                cures.append(f"at least {show(enough, 'kg/d', 'metric', 6)} of {thing} to be had")
        else:
            clash.append(f"at least {asked} of {thing}")
            if nearest is not None:
                little = math.floor(nearest / CURE_STEP + 1e-6) * CURE_STEP
                cures.append(f"no more than {show(little, 'kg/d', 'metric', 6)} of {thing} asked for")
    limits_said = "these limits together" if len(clash) > 1 else "this limit"
    said = f"No mix meets {limits_said}: {'; '.join(clash)}." if clash else "No mix meets all the limits."
    if not cures:
        return f"{said} Add an ingredient of another kind, or widen more than one of them."
    any_one = "Any one of these would do" if len(cures) > 1 else "This would do"
    return f"{said} {any_one}: {'; '.join(cures)}."


def _nearest_answer(inputs: Inputs, kind: _LimitKind, limits_for: Callable[[Inputs], list[Limit]]) -> float | None:
    """Where a limit would have to lie for a mix to be possible, to a tenth on the safe side, the others being kept;
    ``None`` if nowhere that the answer may lie. A limit only ever lets more through as it gives way, so halving finds it."""

    def possible(value: float) -> bool:
        limits = limits_for(dataclasses.replace(inputs, **{kind.answer: value}))
        return linear_programme.minimise([0.0] * len(limits[0].coefficients), limits).status == "optimal"

    answer = declared(Inputs)[kind.answer]
    near, far = getattr(inputs, kind.answer), float((answer.high if kind.way > 0 else answer.low) or 0.0)
    if near == far or not possible(far):
        return None
    while abs(far - near) > CURE_STEP / 20:
        middle = (near + far) / 2
        near, far = (near, middle) if possible(middle) else (middle, far)
    rounded = round(far / CURE_STEP) * CURE_STEP
    if not possible(rounded):
        rounded += kind.way * CURE_STEP
    return min(rounded, answer.high or rounded) if kind.way > 0 else max(rounded, answer.low or 0.0)


def _outputs(inputs: Inputs, parts: Sequence[_Part], load: Sequence[_Part], water: float,
             needs: tuple[float, float], supply: float | None, working: Working) -> Outputs:  # fmt: skip
    """The figures of the mix of ``parts`` and water. ``needs`` is the bulking for C:N and for moisture alone."""
    names = [_short(part.material.name) for part in parts]
    masses = [part.kg for part in parts]
    dry = [part.kg * (1 - part.material.moisture) for part in parts]
    ratio = working.step(
        "C:N of the mix", "1", blend_carbon_to_nitrogen, dry_masses=dry,
        carbons=[part.material.carbon for part in parts], nitrogens=[part.material.nitrogen for part in parts],
        names={"dry_masses": [f"dry mass of {name}" for name in names], "carbons": [f"C of {name}" for name in names],
               "nitrogens": [f"N of {name}" for name in names]},
    )  # fmt: skip
    moisture = working.step(
        "Moisture of the mix, water added", "fraction", blend_moisture, masses=[*masses, water],
        moistures=[*[part.material.moisture for part in parts], 1.0],
        names={"masses": [*names, "water"], "moistures": [*[f"moisture of {name}" for name in names], "all of it"]},
    )  # fmt: skip
    mass = total(masses) + water
    densities = [part.material.density_kg_m3 for part in parts]
    room = working.step(
        "Volume of the mix", "m3/d", volume, masses=masses, densities=densities, settle_percent=inputs.settle_percent,
        names={"masses": names, "densities": [f"density of {name}" for name in names]},
        note="Water goes into the pores and takes no room of its own.",
    )  # fmt: skip
    organic = total(kg * part.material.organic for kg, part in zip(dry, parts, strict=True)) / total(dry)
    density = mass / room
    air = working.step("Free air space", "percent", free_air_space, density_kg_m3=density, moisture=moisture,
                       organic=organic, source=source("agnew_leonard_2003"))  # fmt: skip
    tubs = [tubs_of(part.kg, part.material.density_kg_m3, inputs.tub_l, inputs.tub_fill_percent) for part in parts]
    food_tubs = total(count for count, part in zip(tubs, parts, strict=True) if part.role == "wet")
    bulking_tubs = total(count for count, part in zip(tubs, parts, strict=True) if part.role == "bulking")
    counted = working.untraced(small_ratio, food_tubs, bulking_tubs)
    heaviest = max(parts, key=lambda part: part.material.density_kg_m3).material
    filled = working.step("Heaviest filled tub", "kg", filled_tub, density_kg_m3=heaviest.density_kg_m3, tub_l=inputs.tub_l,
                          fill_percent=inputs.tub_fill_percent, empty_kg=inputs.empty_tub_kg,
                          note=f"{heaviest.name}: the densest here.")  # fmt: skip
    amounts = [
        (part.material.name, part.kg, count, part.kg / part.material.density_kg_m3, 100 * part.kg / mass, kg)
        for part, count, kg in zip(parts, tubs, dry, strict=True)
    ]
    # a batch has the ratio's tubs of wet waste; where there is none of it, one tub of bulking, else the whole day's
    share = counted[0] / food_tubs if food_tubs > 0 else counted[1] / bulking_tubs if bulking_tubs > 0 else 1.0
    batch: list[tuple[object, ...]] = [
        (part.material.name, share * count, share * 1000 * part.kg / part.material.density_kg_m3, share * part.kg)
        for part, count in zip(parts, tubs, strict=True)
    ]
    if water > 0:
        amounts.append(("water", water, None, None, 100 * water / mass, 0.0))
        batch.append(("water", None, share * water, share * water))
    load_mass, load_wet, load_carbon, load_nitrogen, _ = _sums(load)
    bulking_kg = total(part.kg for part in parts if part.role == "bulking")
    for_carbon, for_moisture = (value if math.isfinite(value) else None for value in needs)
    return Outputs(
        mix_carbon_to_nitrogen=ratio,
        mix_moisture_percent=100 * moisture,
        mix_free_air_space_percent=air,
        bulking_kg_per_day=bulking_kg,
        water_l_per_day=water,
        tub_ratio=_ratio_words(plain(counted), parts),
        mix_kg_per_day=mass,
        mix_m3_per_day=room,
        mix_density_kg_m3=density,
        mix_dry_kg_per_day=total(dry),
        load_carbon_to_nitrogen=load_carbon / load_nitrogen,
        load_moisture_percent=100 * load_wet / load_mass,
        bulking_for_carbon_kg_per_day=for_carbon,
        bulking_for_moisture_kg_per_day=for_moisture,
        bulking_short_kg_per_day=most(0.0, bulking_kg - (0.0 if supply is None else supply)),
        mix_cost_per_day=total(part.kg * part.price for part in parts),
        tubs_per_day=total(tubs),
        food_tubs_per_day=food_tubs,
        bulking_tubs_per_day=bulking_tubs,
        tub_ratio_error_percent=working.untraced(_ratio_error, counted, food_tubs, bulking_tubs),
        filled_tub_kg=filled,
        amounts=tuple(amounts),
        batch=tuple(batch),
    )


def _short(name: str) -> str:
    """'Dry leaves, swept in a dry season' as said at the heap: 'dry leaves'."""
    first = name.split(",")[0].split(" (")[0]
    return first[:1].lower() + first[1:]


def _ratio_error(counted: tuple[int, int], food_tubs: float, bulking_tubs: float) -> float:
    """By how many percent the ratio in whole tubs brings more bulking than the recipe; 0 where one of them is none."""
    if food_tubs <= 0 or bulking_tubs <= 0:
        return 0.0
    return 100 * (counted[1] / counted[0] / (bulking_tubs / food_tubs) - 1)


def _ratio_words(counted: tuple[int, int], parts: Sequence[_Part]) -> str:
    wet = [_short(part.material.name) for part in parts if part.role == "wet"]
    waste = wet[0] if len(set(wet)) == 1 else "wet waste"
    thing = next((_short(part.material.name) for part in parts if part.role == "bulking"), "bulking")
    first, second = counted
    if second == 0:
        return f"{waste}, with no bulking" if wet else "no bulking"
    if first == 0:
        return f"{thing} alone"
    tubs = "tub" if first == 1 else "tubs"
    return f"{first} {tubs} of {waste} to {second} of {thing}"


# ---- words ----------------------------------------------------------------------------------------------------


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    waste = inputs.kitchen_kg_per_day + inputs.market_kg_per_day + inputs.garden_kg_per_day
    # the mix is waste, bulking, water and what else was added
    others = outputs.mix_kg_per_day - waste - outputs.bulking_kg_per_day - outputs.water_l_per_day
    added = [f"{say(outputs.bulking_kg_per_day, 'kg/d')} of bulking"]
    if others >= 0.5:
        added.append(f"{say(others, 'kg/d')} of other ingredients")
    if outputs.water_l_per_day >= 0.5:
        added.append(f"{say(outputs.water_l_per_day, 'l/d')} of water")
    listed = f"{', '.join(added[:-1])} and {added[-1]}" if len(added) > 1 else added[0]
    return (
        f"Mix {outputs.tub_ratio}: {listed} for {say(waste, 'kg/d')} of waste "
        f"give C:N {say(outputs.mix_carbon_to_nitrogen, '1')} at {say(outputs.mix_moisture_percent, 'percent')} moisture."
    )


_TOO_LOW = {
    "carbon_to_nitrogen": "nitrogen will be lost as ammonia and it will smell: add dry carbon-rich bulking",
    "moisture_percent_wet": "it will stop for want of water: add water while mixing",
    "free_air_space_percent": "it will go sour for want of air: add coarse bulking",
}
_TOO_HIGH = {
    "carbon_to_nitrogen": "it will be slow to heat: mix in greener waste, or use a bulking with less carbon",
    "moisture_percent_wet": "air will not pass: add dry bulking, not water",
    "bulk_density_kg_m3": "it is heavy and holds too little air: add coarse bulking",
}
_ON_THE_LOW_SIDE = {
    "carbon_to_nitrogen": "on the low side: cover it well and watch for the smell of ammonia",
    "moisture_percent_wet": "on the dry side: squeeze a handful at each turn",
    "free_air_space_percent": "on the low side: keep some coarse pieces in it and turn it on time",
}
_ON_THE_HIGH_SIDE = {
    "carbon_to_nitrogen": "on the high side: it heats more slowly",
    "moisture_percent_wet": "on the wet side: keep rain off",
    "free_air_space_percent": "on the high side: it dries and cools sooner, so cover it",
    "bulk_density_kg_m3": "on the heavy side: keep some coarse pieces in it",
}


def judge(key: str, value: float) -> str:
    """Where a figure lies in the recipe ranges: 'preferred', 'acceptable', 'too low' or 'too high'."""
    row = RANGES[key]

    def under(bound: float | None) -> bool:
        return bound is not None and value < bound - 1e-9

    def over(bound: float | None) -> bool:
        return bound is not None and value > bound + 1e-9

    if under(row["acceptable_low"]):
        return "too low"
    if over(row["acceptable_high"]):
        return "too high"
    return "acceptable" if under(row["preferred_low"]) or over(row["preferred_high"]) else "preferred"


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """How the mix stands against the recipe ranges, and what is lacking."""
    found = [
        _standing("carbon_to_nitrogen", "C:N", "1", outputs.mix_carbon_to_nitrogen, say),
        _standing("moisture_percent_wet", "Moisture", "percent", outputs.mix_moisture_percent, say),
        _standing("free_air_space_percent", "Free air space", "percent", outputs.mix_free_air_space_percent, say),
        _standing("bulk_density_kg_m3", "Bulk density", "kg/m3", outputs.mix_density_kg_m3, say),
    ]
    if outputs.mix_free_air_space_percent < 0:
        found.append("No mix has less than no air: the density and the moisture of a material can't both be right.")
    if inputs.mix_method == "one_bulking":
        found.extend(_what_governs(inputs, outputs, say))
    found.extend(_about_supply(inputs, outputs, say))
    if abs(outputs.tub_ratio_error_percent) >= 0.5:
        more = "more" if outputs.tub_ratio_error_percent > 0 else "less"
        found.append(
            f"Counted in whole tubs the mix gets {say(abs(outputs.tub_ratio_error_percent), 'percent', 2)} {more} bulking than "
            "the recipe asks."
        )
    left_out = inputs.mix_method == "given" or (inputs.mix_method == "one_bulking" and inputs.solve_for != "exactly_both")
    if left_out and any(amount is None for _, amount, *_ in inputs.additions):
        found.append("Ingredients without an amount are used only for the cheapest mix, or to meet both targets exactly.")
    if inputs.bulking_material in ("leaves", "dry_leaves"):
        found.append("The moisture of swept leaves varies more than anything else here: dry and weigh a sample of yours.")
    return found


def _standing(key: str, label: str, unit: str, value: float, say: Say) -> str:
    """Where one figure of the mix lies in the recipe ranges, and what to do."""
    verdict = judge(key, value)
    shown = f"{label} {say(value, unit)}"
    if verdict == "too low":
        return f"{shown} is too low: {_TOO_LOW[key]}."
    if verdict == "too high":
        return f"{shown} is too high: {_TOO_HIGH[key]}."
    if verdict == "preferred":
        return f"{shown} is within the preferred range."
    preferred_low = RANGES[key]["preferred_low"]
    low_side = preferred_low is not None and value < preferred_low
    return f"{shown} is within the acceptable range, {(_ON_THE_LOW_SIDE if low_side else _ON_THE_HIGH_SIDE)[key]}."


def _what_governs(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """Which target decided the bulking, and what that does to the other."""
    if inputs.solve_for == "exactly_both":
        return []
    for_carbon, for_moisture = outputs.bulking_for_carbon_kg_per_day, outputs.bulking_for_moisture_kg_per_day
    found = []
    if inputs.solve_for == "both" and outputs.bulking_kg_per_day > 0:
        by_moisture = (for_moisture or 0.0) > (for_carbon or 0.0)
        found.append(f"{'Moisture' if by_moisture else 'C:N'} decides how much bulking is needed.")
        if by_moisture and judge("carbon_to_nitrogen", outputs.mix_carbon_to_nitrogen) == "too high":
            found.append(
                "So much bulking against the wet makes C:N too high: let the waste drain first, or use a drier bulking with "
                "less carbon."
            )
        if outputs.mix_carbon_to_nitrogen < inputs.target_carbon_to_nitrogen * (1 - 1e-6):
            found.append(
                f"This bulking has less carbon for its nitrogen than is wanted, so what moisture needs of it lowers C:N to "
                f"{say(outputs.mix_carbon_to_nitrogen, '1')}: choose one richer in carbon."
            )
    if outputs.mix_moisture_percent > inputs.target_moisture_percent + 1e-6:
        wetter = (
            f"With bulking for C:N alone the mix is wetter than wanted ({say(outputs.mix_moisture_percent, 'percent')} against "
            f"{say(inputs.target_moisture_percent, 'percent')}): "
        )
        if for_moisture is None:
            found.append(wetter + "this bulking is too wet to mend that, so dry it or choose another.")
        else:
            found.append(wetter + f"moisture would need {say(for_moisture, 'kg/d')} of bulking.")
    if inputs.solve_for == "moisture" and outputs.mix_carbon_to_nitrogen < inputs.target_carbon_to_nitrogen - 1e-6:
        lower = (
            f"With bulking for moisture alone C:N is lower than wanted ({say(outputs.mix_carbon_to_nitrogen, '1')} against "
            f"{say(inputs.target_carbon_to_nitrogen, '1')}): "
        )
        if for_carbon is None:
            found.append(lower + "this bulking has too little carbon to mend that, so choose another.")
        else:
            found.append(lower + f"C:N would need {say(for_carbon, 'kg/d')} of bulking.")
    return found


def _about_supply(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """Whether the bulking can be had."""
    if outputs.bulking_kg_per_day == 0:
        return []
    materials = _materials(inputs)
    if _leaves_supply(inputs, materials) is None:
        return [
            f"The bulking is not the leaves at hand, so all {say(outputs.bulking_kg_per_day, 'kg/d')} of it must be found or "
            "bought."
        ]
    store = "The leaf store carries leaves over the months without any, so it is the mean of the year that must be enough."
    if outputs.bulking_short_kg_per_day <= ROUNDING_SHARE * outputs.bulking_kg_per_day:
        return [store]
    return [
        f"The leaves at hand fall short by {say(outputs.bulking_short_kg_per_day, 'kg/d')} over the year: find more, "
        "buy bulking, or take in less wet waste.",
        store,
    ]


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """The dangers of handling and mixing."""
    heavy = outputs.filled_tub_kg > LIFT_CONSTANT_KG
    weighs = f"A filled tub weighs up to {say(outputs.filled_tub_kg, 'kg')}."
    if heavy:
        weighs += (
            f" The lifting equation allows no more than {say(LIFT_CONSTANT_KG, 'kg')} even in the best posture: use smaller "
            "tubs or fill them less."
        )
    found = [
        RaisedCaution("lift_heavy_tub", weighs, urgent=heavy),
        RaisedCaution("raw_waste_hands"),
        RaisedCaution("sharps_in_waste"),
        RaisedCaution("meat_rules"),
        RaisedCaution("cover_fresh_food"),
    ]
    if outputs.bulking_kg_per_day > 0:
        dry = f"{say(outputs.bulking_kg_per_day, 'kg/d')} of dry bulking is tipped and mixed."
        found.append(RaisedCaution("wet_down_dust", dry))
        found.append(RaisedCaution("leaf_store_fire"))
    if outputs.mix_moisture_percent > RANGES["moisture_percent_wet"]["acceptable_high"]:
        found.append(RaisedCaution("leachate_reuse", f"At {say(outputs.mix_moisture_percent, 'percent')} the mix will drip."))
    return found


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """Shares of the mix by mass and by tubs, and where C:N and moisture lie in their ranges."""
    rows = [row for row in outputs.amounts if row[2] is not None]
    return [
        Chart("bars", "A mean day's mix, by mass", "kg/d", tuple(_short(str(row[0])) for row in outputs.amounts),
              (Line("Mass", tuple(float(row[1]) for row in outputs.amounts)),), axis="Ingredient"),
        Chart("bars", "The same in tubs", "tub/d", tuple(_short(str(row[0])) for row in rows),
              (Line("Tubs", tuple(float(row[2]) for row in rows)),), axis="Ingredient"),
        _position("carbon_to_nitrogen", "C:N", "1", outputs.load_carbon_to_nitrogen, outputs.mix_carbon_to_nitrogen),
        _position("moisture_percent_wet", "Moisture", "percent", outputs.load_moisture_percent, outputs.mix_moisture_percent),
    ]  # fmt: skip


def _position(key: str, label: str, unit: str, before: float, after: float) -> Chart:
    """One figure before and after mixing, with the bounds of its ranges drawn across."""
    row = RANGES[key]
    bounds = [row["acceptable_low"], row["preferred_low"], row["preferred_high"], row["acceptable_high"]]
    title = f"{label}: acceptable {bounds[0]}–{bounds[3]}, preferred {bounds[1]}–{bounds[2]}"
    return Chart("bars", title, unit, ("before", "the mix"), (Line(label, (before, after)),),
                 tuple(Mark(float(bound), str(bound)) for bound in bounds), axis="Mix")  # fmt: skip


CALCULATOR = Calculator(
    key="mix", title="Mix", question="What goes into a heap, in kilograms and in tubs?", inputs=Inputs, outputs=Outputs,
    solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts,
    sources=(source("rynk_1992"), source("cornell_cn"), source("cornell_moisture"), source("agnew_leonard_2003"),
             ORGANIC_DENSITY.cited(), SETTLE.cited(),
             *(reference.cited(row["source"], row["status"], "") for row in RANGES.values())),
)  # fmt: skip
