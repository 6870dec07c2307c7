"""Mix: what goes into a heap, in kilograms and in tubs, and whether it will heat, breathe and stay moist.

The wet streams are the known load. Bulking (dry leaves, as a rule) raises carbon to nitrogen and soaks up moisture;
water is added where the mix is then too dry. Amounts are given, or found in closed form for one bulking ingredient,
or found as the cheapest of many ingredients within limits by a linear programme.

C:N is carbon to nitrogen on dry mass. Moisture is on wet mass. A dry ingredient's carbon is its nitrogen times its C:N.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from calculators import linear_programme, reference
from calculators.declare import (
    Calculator,
    CannotSolve,
    Chart,
    Column,
    Line,
    RaisedCaution,
    Say,
    choice,
    number,
    output,
    output_table,
    output_text,
    own_choice,
    practice,
    table,
    text,
)  # fmt: skip
from calculators.linear_programme import Limit
from calculators.reference import figure, rows_of, source
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
"""Tubs are counted aloud at the heap: a ratio with more than a dozen on either side is not used."""
MOST_BULKING_TIMES = 20.0
"""A recipe that wants more than this many times the waste in bulking is no recipe."""
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
        help="Used when the bulking and water are found.", source=own_choice("the safer of the two"),
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
        help="A row named like a material of the table replaces its figures; empty cells keep them. A new name needs all "
        "figures but organic matter.",
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
        "C:N at least", "1", RANGES["carbon_to_nitrogen"]["acceptable_low"], low=5, high=100, group="Limits of the cheapest mix",
        help="20 to 40 is reasonable.",
        source=reference.cited(RANGES["carbon_to_nitrogen"]["source"], RANGES["carbon_to_nitrogen"]["status"], ""),
    )  # fmt: skip
    most_carbon_to_nitrogen: float = number(
        "C:N at most", "1", RANGES["carbon_to_nitrogen"]["acceptable_high"], low=5, high=200, group="Limits of the cheapest mix",
        help="20 to 40 is reasonable.",
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
    bulking_for_carbon_kg_per_day: float = output("Bulking that C:N alone would need", "kg/d")
    bulking_for_moisture_kg_per_day: float = output("Bulking that moisture alone would need", "kg/d")
    bulking_short_kg_per_day: float = output(
        "Bulking lacking", "kg/d", help="What the recipe needs beyond the leaves at hand over the year."
    )
    mix_cost_per_day: float = output("Cost of what is bought", "money/d")
    tubs_per_day: float = output("Tubs handled", "tub/d")
    food_tubs_per_day: float = output("Tubs of wet waste", "tub/d")
    bulking_tubs_per_day: float = output("Tubs of bulking", "tub/d")
    filled_tub_kg: float = output("Heaviest filled tub, the tub included", "kg")
    amounts: tuple[tuple[object, ...], ...] = output_table(
        "Amounts for a mean day",
        (
            Column("material", "Ingredient"), Column("kg", "Mass", "kg/d"), Column("tubs", "Tubs", "tub/d"),
            Column("volume", "Volume", "m3/d"), Column("share", "Of the mass", "percent"), Column("dry", "Dry mass", "kg/d"),
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
    """Moisture of a sample, percent of wet mass, from its mass wet and with its container dried. Source: WE0, Cornell."""
    return 100 * (wet_sample_g - (dry_sample_and_container_g - container_g)) / wet_sample_g


def carbon_to_nitrogen(carbon_percent: float, nitrogen_percent: float) -> float:
    """C:N from carbon and nitrogen in percent of the same mass; nitrogen above 0."""
    return carbon_percent / nitrogen_percent


def carbon_from_ash(ash_percent: float) -> float:
    """Carbon, percent of dry mass, estimated from ash (0–100): (100 − ash) ÷ 1.8 (Adams and others 1951)."""
    return (100 - ash_percent) / CARBON_DIVISOR.typical


def blend_moisture(masses: Sequence[float], moistures: Sequence[float]) -> float:
    """Moisture of a blend, in the unit of ``moistures``, weighed by wet mass. Some mass must be above 0."""
    return total(mass * share for mass, share in zip(masses, moistures, strict=True)) / total(masses)


def blend_carbon_to_nitrogen(dry_masses: Sequence[float], carbons: Sequence[float], nitrogens: Sequence[float]) -> float:
    """C:N of a blend from masses and the fraction of carbon and nitrogen in each. Some nitrogen must be present."""
    carbon = total(mass * share for mass, share in zip(dry_masses, carbons, strict=True))
    return carbon / total(mass * share for mass, share in zip(dry_masses, nitrogens, strict=True))


def bulking_for_carbon(wet_mass: float, moisture: float, carbon: float, nitrogen: float, bulking_moisture: float,
                       bulking_carbon: float, bulking_nitrogen: float, target: float) -> float:  # fmt: skip
    """Mass of bulking that brings a load to the C:N ``target``; moistures, carbon and nitrogen as fractions.

    Balances carbon against target × nitrogen of both (NRAES-54, 1992, chapter 3, rearranged). Negative where the load
    is above the target already; the bulking's own C:N must not equal the target.
    """
    lacking = wet_mass * (1 - moisture) * (target * nitrogen - carbon)
    return lacking / ((1 - bulking_moisture) * (bulking_carbon - target * bulking_nitrogen))


def bulking_for_moisture(wet_mass: float, moisture: float, bulking_moisture: float, target: float) -> float:
    """Mass of bulking that brings a load to the moisture ``target`` (fractions); it must be drier than the target."""
    return wet_mass * (moisture - target) / (target - bulking_moisture)


def water_to_add(mass: float, moisture: float, target: float) -> float:
    """Mass of water that brings ``mass`` from ``moisture`` to ``target`` (fractions, target below 1)."""
    return mass * (target - moisture) / (1 - target)


def free_air_space(density_kg_m3: float, moisture: float, organic: float) -> float:
    """Free air space, percent of volume, from wet bulk density, moisture and organic matter of dry mass (fractions).

    1 − ρ·(water ÷ ρw + organic ÷ ρo + ash ÷ ρa) (Agnew and Leonard 2003; Richard and others 2004; from memory).
    """
    dry = 1 - moisture
    solid = (
        moisture / WATER_DENSITY.typical
        + dry * organic / ORGANIC_DENSITY.typical
        + dry * (1 - organic) / ASH_DENSITY.typical
    )
    return 100 * (1 - density_kg_m3 * solid)


def bucket_bulk_density(bucket_l: float, empty_kg: float, full_kg: float) -> float:
    """Bulk density (kg/m³) from a bucket weighed empty and full."""
    return (full_kg - empty_kg) / bucket_l * 1000


def nitrogen_to_add(carbon_percent: float, nitrogen_percent: float, target: float) -> float:
    """Nitrogen to add, percent of dry mass, that brings a material down to the C:N ``target``."""
    return carbon_percent / target - nitrogen_percent


def fertiliser_to_add(nitrogen_kg: float, fertiliser_nitrogen_percent: float) -> float:
    """Mass of a fertiliser that carries a mass of nitrogen."""
    return nitrogen_kg / (fertiliser_nitrogen_percent / 100)


def parts_carbon_to_nitrogen(parts: Sequence[float], ratios: Sequence[float]) -> float:
    """C:N of equal-carbon parts: the parts' sum over the sum of part ÷ ratio. Each part holds the same carbon."""
    return total(parts) / total(part / ratio for part, ratio in zip(parts, ratios, strict=True))


def volume(masses: Sequence[float], densities: Sequence[float], settle_percent: float) -> float:
    """Volume of a mix (m³): the ingredients' volumes, less what is lost as fine pieces fill the gaps of coarse ones."""
    loose = total(mass / density for mass, density in zip(masses, densities, strict=True))
    return loose * (1 - settle_percent / 100)


def filled_tub(density_kg_m3: float, tub_l: float, fill_percent: float, empty_kg: float) -> float:
    """Mass of a filled tub (kg), the tub included."""
    return density_kg_m3 * tub_l / 1000 * fill_percent / 100 + empty_kg


def tubs_of(mass_kg: float, density_kg_m3: float, tub_l: float, fill_percent: float) -> float:
    """Tubs that a mass fills."""
    return mass_kg / density_kg_m3 / (tub_l / 1000 * fill_percent / 100)


def small_ratio(first: float, second: float, largest: int = LARGEST_RATIO) -> tuple[int, int]:
    """Whole numbers up to ``largest`` whose ratio is nearest that of two amounts, each at least 0, not both 0."""
    if second <= 0:
        return 1, 0
    if first <= 0:
        return 0, 1
    best = (1, 1)
    gap = float("inf")
    wanted = first / second
    for above in range(1, largest + 1):
        for below in range(1, largest + 1):
            off = abs(above / below / wanted - 1) if above / below >= wanted else abs(wanted / (above / below) - 1)
            if off < gap - 1e-12:
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
        given = (moisture, nitrogen, ratio, density)
        if known is None and any(item is None for item in given):
            raise CannotSolve(
                f"Your material ‘{label}’ is new, so it needs moisture, nitrogen, C:N and bulk density.", ("own_materials",)
            )
        def pick(own: object, table_value: float, scale: float = 1.0) -> float:
            return table_value if own is None else float(own) / scale  # type: ignore[arg-type]

        base = known or Material(label, 0.0, 0.0, 1.0, 1.0, 0.8)
        made = Material(
            base.name, pick(moisture, base.moisture, 100), pick(nitrogen, base.nitrogen, 100),
            pick(ratio, base.carbon_to_nitrogen), pick(density, base.density_kg_m3), pick(organic, base.organic, 100),
        )  # fmt: skip
        found[label] = made
        if known is not None:
            found[keys_by_name[label.casefold()]] = made
    return found


@dataclass(frozen=True)
class _Part:
    material: Material
    kg: float
    role: str


def _load(inputs: Inputs, materials: dict[str, Material]) -> list[_Part]:
    """The wet streams, and the additions whose amount is given."""
    parts = [
        _Part(materials[inputs.kitchen_material], inputs.kitchen_kg_per_day, "wet"),
        _Part(materials[inputs.market_material], inputs.market_kg_per_day, "wet"),
        _Part(materials[inputs.garden_material], inputs.garden_kg_per_day, "wet"),
    ]
    for key, amount, _, _, _ in inputs.additions:
        if amount:
            parts.append(_Part(materials[str(key)], float(amount), "added"))  # type: ignore[arg-type]
    return [part for part in parts if part.kg > 0]


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
    if inputs.mix_method == "given":
        bulking_kg, water = inputs.bulking_kg_per_day_given, inputs.water_l_per_day_given
    elif inputs.mix_method == "cheapest":
        bulking_kg, water, extra = _cheapest(inputs, load, bulking, materials, working)
    else:
        bulking_kg = _bulking_by_aim(inputs, for_carbon, for_moisture)
        if bulking_kg > MOST_BULKING_TIMES * total(part.kg for part in load):
            raise CannotSolve(
                f"{bulking.name} can't bring this load to the targets: it would take more than {MOST_BULKING_TIMES:.0f} "
                "times its mass. Choose a drier bulking richer in carbon, or targets nearer the load.",
                ("bulking_material", "target_carbon_to_nitrogen", "target_moisture_percent"),
            )
        mass, wet, _, _, _ = _sums([*load, _Part(bulking, bulking_kg, "bulking")])
        water = 0.0
        if wet / mass < inputs.target_moisture_percent / 100 and inputs.solve_for != "carbon_to_nitrogen":
            water = working.step("Water to add", "l/d", water_to_add, mass=mass, moisture=wet / mass,
                                 target=inputs.target_moisture_percent / 100,
                                 note="A litre of water weighs a kilogram.")  # fmt: skip
    parts = [*load, *extra]
    if bulking_kg > 0:
        parts.append(_Part(bulking, bulking_kg, "bulking"))
    return _outputs(inputs, parts, bulking_kg, water, for_carbon, for_moisture, working)


def _bulking_needs(inputs: Inputs, load: Sequence[_Part], bulking: Material, working: Working) -> tuple[float, float]:
    """Bulking for C:N and for moisture, each alone; 0 where the load needs none, infinite where it can't help."""
    mass, water, carbon, nitrogen, _ = _sums(load)
    dry = mass - water
    target = inputs.target_carbon_to_nitrogen
    for_carbon = 0.0
    if carbon < target * nitrogen:
        if bulking.carbon_to_nitrogen <= target:
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
        if bulking.moisture >= wanted:
            for_moisture = float("inf")
        else:
            for_moisture = working.step(
                "Bulking for the moisture wanted", "kg/d", bulking_for_moisture, wet_mass=mass, moisture=water / mass,
                bulking_moisture=bulking.moisture, target=wanted, source=source("cornell_moisture"),
            )  # fmt: skip
    return for_carbon, for_moisture


def _bulking_by_aim(inputs: Inputs, for_carbon: float, for_moisture: float) -> float:
    wanted = {"carbon_to_nitrogen": for_carbon, "moisture": for_moisture}.get(
        inputs.solve_for, float(most(for_carbon, for_moisture))
    )
    if wanted == float("inf"):
        lacks = "rich enough in carbon" if for_carbon == wanted else "dry enough"
        raise CannotSolve(
            f"The bulking ingredient is not {lacks} to reach the target. Choose another one, or another target.",
            ("bulking_material", "target_carbon_to_nitrogen", "target_moisture_percent"),
        )
    return wanted


def _cheapest(inputs: Inputs, load: Sequence[_Part], bulking: Material, materials: dict[str, Material],
              working: Working) -> tuple[float, float, list[_Part]]:  # fmt: skip
    """Amounts of bulking, water and the open additions that cost least within the limits."""
    names = [_short(bulking.name)]
    open_materials = [bulking]
    prices = [inputs.bulking_price]
    lows: list[float] = [0.0]
    highs: list[float | None] = [inputs.leaves_kg_per_day]
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
    limits = _limits(inputs, load, open_materials, names, highs)
    cost = [price + TIE_PRICE for price in prices] + [TIE_PRICE]
    try:
        found = linear_programme.minimise(cost, limits, [*lows, 0.0])
        clash = "" if found.values is not None else _why_infeasible(inputs, load, open_materials, names, highs, lows, limits)
    except ArithmeticError:
        # amounts and prices so far apart that the digits of a float don't reach
        raise CannotSolve(
            "The cheapest mix can't be worked out: amounts or prices lie too far apart. Use figures of like size.",
            ("additions", "bulking_price"),
        ) from None
    if found.values is None:
        raise CannotSolve(clash,
                          ("additions", "least_carbon_to_nitrogen", "most_carbon_to_nitrogen", "least_moisture_percent",
                           "most_moisture_percent", "most_density_kg_m3"))  # fmt: skip
    *amounts, water = found.values
    working.note("Cheapest mix", found.objective or 0.0, "money/d",
                 f"A linear programme over {len(amounts)} ingredients and water, {len(limits)} limits, "
                 f"{found.iterations} steps.")  # fmt: skip
    extra = [_Part(material, kg, "added") for material, kg in zip(open_materials[1:], amounts[1:], strict=True) if kg > 1e-9]
    return amounts[0], water, extra


def _limits(inputs: Inputs, load: Sequence[_Part], open_materials: Sequence[Material], names: Sequence[str],
            highs: Sequence[float | None]) -> list[Limit]:  # fmt: skip
    mass, wet, carbon, nitrogen, _ = _sums(load)
    loose = total(part.kg / part.material.density_kg_m3 for part in load)
    held = 1 - inputs.settle_percent / 100

    def ratio_row(ratio: float) -> tuple[tuple[float, ...], float]:
        row = [(1 - m.moisture) * (m.carbon - ratio * m.nitrogen) for m in open_materials]
        return (*row, 0.0), ratio * nitrogen - carbon

    def moisture_row(share: float) -> tuple[tuple[float, ...], float]:
        return (*[m.moisture - share for m in open_materials], 1 - share), share * mass - wet

    density = inputs.most_density_kg_m3 * held
    made = [
        Limit("C:N at least", *_ordered(ratio_row(inputs.least_carbon_to_nitrogen), ">=")),
        Limit("C:N at most", *_ordered(ratio_row(inputs.most_carbon_to_nitrogen), "<=")),
        Limit("moisture at least", *_ordered(moisture_row(inputs.least_moisture_percent / 100), ">=")),
        Limit("moisture at most", *_ordered(moisture_row(inputs.most_moisture_percent / 100), "<=")),
        Limit("bulk density at most", (*[1 - density / m.density_kg_m3 for m in open_materials], 1.0), "<=",
              density * loose - mass),
    ]  # fmt: skip
    size = len(open_materials) + 1
    for index, (name, high) in enumerate(zip(names, highs, strict=True)):
        if high is not None:
            unit_row = tuple(1.0 if column == index else 0.0 for column in range(size))
            made.append(Limit(f"supply of {name} ({index + 1})", unit_row, "<=", high))
    return made


def _ordered(row: tuple[tuple[float, ...], float], relation: str) -> tuple[tuple[float, ...], str, float]:
    return row[0], relation, row[1]


_LIMIT_ANSWERS = {
    "C:N at least": ("least_carbon_to_nitrogen", -1.0, ""),
    "C:N at most": ("most_carbon_to_nitrogen", 1.0, ""),
    "moisture at least": ("least_moisture_percent", -1.0, " %"),
    "moisture at most": ("most_moisture_percent", 1.0, " %"),
    "bulk density at most": ("most_density_kg_m3", 1.0, " kg/m³"),
}


def _why_infeasible(inputs: Inputs, load: Sequence[_Part], open_materials: Sequence[Material], names: Sequence[str],
                    highs: Sequence[float | None], lows: Sequence[float], limits: Sequence[Limit]) -> str:  # fmt: skip
    """In words: which limits can't all be met, and for each of them where it would have to lie."""
    import dataclasses

    clash = linear_programme.clashing_limits(limits, [*lows, 0.0])
    cures = []
    for name in clash:
        if name in _LIMIT_ANSWERS:
            answer, direction, symbol = _LIMIT_ANSWERS[name]
            asked = getattr(inputs, answer)

            def works(value: float, answer: str = answer) -> bool:
                tried = dataclasses.replace(inputs, **{answer: value})
                rows = _limits(tried, load, open_materials, names, highs)
                nothing = [0.0] * (len(open_materials) + 1)
                return linear_programme.minimise(nothing, rows, [*lows, 0.0]).status == "optimal"

            near, far = asked, asked
            for _ in range(30):
                far += direction * max(1.0, abs(asked) * 0.25)
                if works(far):
                    break
                near = far
            else:
                continue
            for _ in range(40):
                middle = (near + far) / 2
                near, far = (near, middle) if works(middle) else (middle, far)
            if far > 0:
                cures.append(f"{name} {_round_outward(far, direction)}{symbol} instead of {asked:g}{symbol}")
        else:
            needed = linear_programme.nearest_bound(limits, name, [*lows, 0.0])
            if needed is not None:
                thing = name.removeprefix("supply of ").rsplit(" (", 1)[0]
                cures.append(f"at least {needed:.0f} kg/d of {thing}")
    words = ", ".join(name.rsplit(" (", 1)[0] if name.startswith("supply") else name for name in clash)
    said = f"No mix meets all the limits; these clash: {words}." if words else "No mix meets all the limits."
    return said + (f" Any one of these would do: {'; '.join(cures)}." if cures else " Add another ingredient.")


def _round_outward(value: float, direction: float) -> str:
    step = 0.1
    rounded = round(value / step) * step
    if (rounded - value) * direction < 0:
        rounded += direction * step
    return f"{rounded:.1f}"


def _outputs(inputs: Inputs, parts: Sequence[_Part], bulking_kg: float, water: float, for_carbon: float,
             for_moisture: float, working: Working) -> Outputs:  # fmt: skip
    names = [_short(part.material.name) for part in parts]
    masses = [part.kg for part in parts]
    dry = [part.kg * (1 - part.material.moisture) for part in parts]
    ratio = working.step(
        "C:N of the mix", "1", blend_carbon_to_nitrogen, dry_masses=dry,
        carbons=[part.material.carbon for part in parts], nitrogens=[part.material.nitrogen for part in parts],
        names={"dry_masses": [f"dry {name}" for name in names], "carbons": [f"C of {name}" for name in names],
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
    heaviest = max(parts, key=lambda part: part.material.density_kg_m3).material
    filled = working.step("Heaviest filled tub", "kg", filled_tub, density_kg_m3=heaviest.density_kg_m3, tub_l=inputs.tub_l,
                          fill_percent=inputs.tub_fill_percent, empty_kg=inputs.empty_tub_kg,
                          note=f"{heaviest.name}: the densest here.")  # fmt: skip
    prices = {str(key): float(price or 0) for key, _, _, _, price in inputs.additions}  # type: ignore[arg-type]
    materials = _materials(inputs)
    by_name = {materials[key].name: price for key, price in prices.items()}
    cost = bulking_kg * inputs.bulking_price + total(
        part.kg * by_name.get(part.material.name, 0.0) for part in parts if part.role == "added"
    )
    rows = [
        (part.material.name, part.kg, count, part.kg / part.material.density_kg_m3, 100 * part.kg / mass, kg)
        for part, count, kg in zip(parts, tubs, dry, strict=True)
    ]
    if water > 0:
        rows.append(("water", water, None, None, 100 * water / mass, 0.0))
    finite = [value if value != float("inf") else 0.0 for value in (for_carbon, for_moisture)]
    return Outputs(
        mix_carbon_to_nitrogen=ratio,
        mix_moisture_percent=100 * moisture,
        mix_free_air_space_percent=air,
        bulking_kg_per_day=bulking_kg,
        water_l_per_day=water,
        tub_ratio=_ratio_words(food_tubs, bulking_tubs, parts),
        mix_kg_per_day=mass,
        mix_m3_per_day=room,
        mix_density_kg_m3=density,
        mix_dry_kg_per_day=total(dry),
        bulking_for_carbon_kg_per_day=finite[0],
        bulking_for_moisture_kg_per_day=finite[1],
        bulking_short_kg_per_day=max(0.0, bulking_kg - inputs.leaves_kg_per_day),
        mix_cost_per_day=cost,
        tubs_per_day=total(tubs),
        food_tubs_per_day=food_tubs,
        bulking_tubs_per_day=bulking_tubs,
        filled_tub_kg=filled,
        amounts=tuple(rows),
    )


def _short(name: str) -> str:
    """'Dry leaves, swept in a dry season' as said at the heap: 'dry leaves'."""
    first = name.split(",")[0].split(" (")[0]
    return first[:1].lower() + first[1:]


def _ratio_words(food: float, bulking: float, parts: Sequence[_Part]) -> str:
    thing = next((_short(part.material.name) for part in parts if part.role == "bulking"), "bulking")
    first, second = small_ratio(food, bulking)
    if second == 0:
        return "wet waste alone, no bulking"
    if first == 0:
        return f"{thing} alone"
    tubs = "tub" if first == 1 else "tubs"
    return f"{first} {tubs} of wet waste to {second} of {thing}"


# ---- words ----------------------------------------------------------------------------------------------------


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    water = f" and {say(outputs.water_l_per_day, 'l/d')} of water" if outputs.water_l_per_day >= 0.5 else ""
    return (
        f"Mix {outputs.tub_ratio}: {say(outputs.bulking_kg_per_day, 'kg/d')} of bulking{water} for "
        f"{say(inputs.kitchen_kg_per_day + inputs.market_kg_per_day + inputs.garden_kg_per_day, 'kg/d')} of waste "
        f"give C:N {say(outputs.mix_carbon_to_nitrogen, '1')} at {say(outputs.mix_moisture_percent, 'percent')} moisture."
    )


_TOO_LOW = {
    "carbon_to_nitrogen": "nitrogen will be lost as ammonia and it will smell: add dry carbon-rich bulking",
    "moisture_percent_wet": "it will stop for want of water: add water while mixing",
    "free_air_space_percent": "it will go sour for want of air: add coarse bulking",
}
_TOO_HIGH = {
    "carbon_to_nitrogen": "it will be slow to heat: use less bulking or greener waste",
    "moisture_percent_wet": "air will not pass: add dry bulking, not water",
    "bulk_density_kg_m3": "it is heavy and holds too little air: add coarse bulking",
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
    found = []
    for key, label, value in (
        ("carbon_to_nitrogen", "C:N", outputs.mix_carbon_to_nitrogen),
        ("moisture_percent_wet", "Moisture", outputs.mix_moisture_percent),
        ("free_air_space_percent", "Free air space", outputs.mix_free_air_space_percent),
        ("bulk_density_kg_m3", "Bulk density", outputs.mix_density_kg_m3),
    ):
        verdict = judge(key, value)
        unit_key = {"carbon_to_nitrogen": "1", "bulk_density_kg_m3": "kg/m3"}.get(key, "percent")
        shown = say(value, unit_key)
        if verdict == "too low":
            found.append(f"{label} {shown} is too low: {_TOO_LOW[key]}.")
        elif verdict == "too high":
            found.append(f"{label} {shown} is too high: {_TOO_HIGH.get(key, 'look at the recipe again')}.")
        else:
            found.append(f"{label} {shown} is within the {verdict} range.")
    if inputs.mix_method == "one_bulking" and inputs.solve_for == "both":
        governs = "Moisture" if outputs.bulking_for_moisture_kg_per_day > outputs.bulking_for_carbon_kg_per_day else "C:N"
        if outputs.bulking_kg_per_day > 0:
            found.append(f"{governs} decides how much bulking is needed.")
    if outputs.bulking_short_kg_per_day > 0:
        found.append(
            f"The leaves at hand fall short by {say(outputs.bulking_short_kg_per_day, 'kg/d')} over the year: find more, "
            "buy bulking, or take in less wet waste."
        )
    if any(amount is None for _, amount, *_ in inputs.additions) and inputs.mix_method != "cheapest":
        found.append("Ingredients without an amount are used only when the cheapest mix is looked for.")
    if inputs.bulking_material == "dry_leaves":
        found.append("The moisture of swept leaves varies more than anything else here: dry and weigh a sample of yours.")
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """The dangers of handling and mixing."""
    heavy = outputs.filled_tub_kg > LIFT_CONSTANT_KG
    found = [
        RaisedCaution("lift_heavy_tub", f"A filled tub weighs up to {say(outputs.filled_tub_kg, 'kg')}.", urgent=heavy),
        RaisedCaution("raw_waste_hands"),
        RaisedCaution("meat_rules"),
        RaisedCaution("wet_down_dust", f"{say(outputs.bulking_kg_per_day, 'kg/d')} of dry bulking is tipped and mixed."),
    ]
    if outputs.mix_moisture_percent > 65:
        found.append(RaisedCaution("leachate_reuse", f"At {say(outputs.mix_moisture_percent, 'percent')} the mix will drip."))
    return found


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """Shares of the mix by mass and by tubs."""
    rows = [row for row in outputs.amounts if row[2] is not None]
    return [
        Chart("bars", "A mean day's mix, by mass", "kg/d", tuple(_short(str(row[0])) for row in outputs.amounts),
              (Line("Mass", tuple(float(row[1]) for row in outputs.amounts)),), axis="Ingredient"),
        Chart("bars", "The same in tubs", "tub/d", tuple(_short(str(row[0])) for row in rows),
              (Line("Tubs", tuple(float(row[2]) for row in rows)),), axis="Ingredient"),
    ]  # fmt: skip


CALCULATOR = Calculator(
    key="mix", title="Mix", question="What goes into a heap, in kilograms and in tubs?", inputs=Inputs, outputs=Outputs,
    solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts,
    sources=(source("rynk_1992"), source("cornell_cn"), source("cornell_moisture"), source("agnew_leonard_2003"),
             ORGANIC_DENSITY.cited(), SETTLE.cited(),
             *(reference.cited(row["source"], row["status"], "") for row in RANGES.values())),
)  # fmt: skip
