"""Yield and sale: mass, water and volume at each stage, what is sold in which grade, and the stock through the seasons.

Losses are those of the walk through the year: of the dry solids a part can go, in the first stage at one rate and in curing
at a third of it; water falls evenly. So the figures here are what a year settles to. Rejects and what stays on the screen
are told apart from what is sold.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from calculators.declare import (
    MONTHS,
    Calculator,
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
    output_table,
    own_choice,
    practice,
    series,
)  # fmt: skip
from calculators.reference import figure, source
from calculators.simulate.year import CURING_PACE
from calculators.topics.arrivals import DAYS_IN_MONTH, DAYS_IN_YEAR
from calculators.topics.water import DEGRADABLE
from calculators.working import Working, least, most, total

FIRE_HEIGHT = figure("heaps", "limits", "pile_height_fire_m")
PER_WASTE = figure("heaps", "shrinkage", "product_per_waste_fraction")
LEFT_IN_BINS = figure("heaps", "shrinkage", "mass_lost_bins_fraction")
STORED_DAYS = figure("heaps", "stages", "product_storage_days")
WETTEST_SOLD = 60.0
"""Compost wetter than this (percent) is a paste to screen: chosen here."""
DRIEST_COMPOST = 0.2
"""Where the mass left at the end leaves less water than this share of it, the plan reckons with this share: chosen here."""
GRADES = ["half-finished", "mature", "worm compost"]
SACKS = {"own": "loose: customers bring their own sacks", "yard": "in sacks that the yard buys"}
TRANSPORT = {"fetched": "customers fetch it", "delivered": "the yard brings it"}


@dataclass(frozen=True)
class Inputs:
    """What comes out of each stage, what becomes of it, and what it sells for."""
    half_sold_percent: float = number(
        "Sold half-finished, of what does not go to worms", "percent", 0.0, low=0, high=100, group="Grades",
        help="Farms cure it themselves. The rest is cured here.", source=own_choice("none until a farmer asks"),
        measure="ask farmers",
    )  # fmt: skip
    overs_returned_percent: float = number(
        "Of what stays on the screen, goes back into new heaps", "percent", 90.0, low=0, high=100, group="Grades",
        help="The rest is plastic and stones: rejects.", source=own_choice("nine tenths is wood"),
        measure="sort a barrow of it",
    )  # fmt: skip
    sold_percent: float = number(
        "Of each grade, sold", "percent", 100.0, low=0, high=100, group="Grades",
        help="The rest is given to residents and parks, or used here.", source=own_choice("all, until you know"),
        measure="ask buyers before you count on them",
    )  # fmt: skip
    compost_price: float | None = number(
        "Price of compost", "money/kg", None, low=0, high=1e6, blank=True, group="Prices", help="For what is bagged.",
        source=own_choice("no price until you give one"), measure="ask buyers",
    )  # fmt: skip
    half_finished_price: float | None = number(
        "Price of half-finished compost", "money/kg", None, low=0, high=1e6, blank=True, group="Prices", help="As it lies.",
        source=own_choice("no price until you give one"), measure="ask farmers",
    )  # fmt: skip
    worm_compost_price: float | None = number(
        "Price of worm compost", "money/kg", None, low=0, high=1e6, blank=True, group="Prices", help="As harvested.",
        source=own_choice("no price until you give one"), measure="ask buyers",
    )  # fmt: skip
    worm_price: float | None = number(
        "Price of worms", "money/kg", None, low=0, high=1e6, blank=True, follows="worms", group="Prices", help="Alive."
    )
    sacks_from: str = choice(
        "How mature and worm compost leave", SACKS, "own", group="Sacks and transport", help="Half-finished goes loose.",
        source=own_choice("the cheapest"),
    )  # fmt: skip
    sack_kg: float = number(
        "A sack holds", "kg", 20.0, low=1, high=1_500, usual=(5, 25), group="Sacks and transport", help="Wet.",
        source=own_choice("one person lifts it"),
    )  # fmt: skip
    sack_price: float | None = number(
        "A sack costs", "money", None, low=0, high=1e6, blank=True, group="Sacks and transport", help="Where the yard buys it.",
        source=own_choice("no price until you give one"), measure="ask a dealer",
    )  # fmt: skip
    transport_by: str = choice(
        "How it gets to customers", TRANSPORT, "fetched", group="Sacks and transport", help="All that is sold.",
        source=own_choice("the cheapest"),
    )  # fmt: skip
    transport_cost: float | None = number(
        "To bring a tonne costs", "money/t", None, low=0, high=1e6, blank=True, group="Sacks and transport",
        help="Where the yard brings it.", source=own_choice("no price until you give one"), measure="ask a carter",
    )  # fmt: skip
    leaves_store_by_month: tuple[float, ...] = series(
        "What leaves the store in each month, as parts", "1", MONTHS, (1,) * 12, low=0, high=1e6, group="Seasons",
        help="1 in each: as much in every month. Farms buy before sowing.",
        source=own_choice("an even year until you know"), measure="ask when fields and gardens are dressed",
    )  # fmt: skip
    store_height_m: float = number(
        "Product is stacked up to", "m", 1.5, low=0.3, high=FIRE_HEIGHT.typical, group="Seasons", help="Loose or in sacks.",
        source=own_choice("reached by hand, below the height for fire"), why_limits="1.8 m is a fire limit.",
    )  # fmt: skip
    store_reserve_percent: float = number(
        "Room for paths and odd piles", "percent", 30.0, low=0, high=200, usual=(20, 60), group="Seasons",
        help="On top of the ground that product covers.", source=own_choice("a path beside each pile"),
    )  # fmt: skip
    ash_before_percent: float | None = number(
        "Ash of the mix", "percent", None, low=0.5, high=99, blank=True, group="Measured losses",
        help="Of dry mass. Both ashes tell what was lost.", source=own_choice("none until it is measured"),
        measure="send a sample of the mix",
    )  # fmt: skip
    ash_after_percent: float | None = number(
        "Ash of the mature compost", "percent", None, low=0.5, high=99, blank=True, group="Measured losses",
        help="Of dry mass, of the same heap.", source=own_choice("none until it is measured"),
        measure="send a sample of the same heap when mature",
    )  # fmt: skip
    received_kg_per_day: float = number(
        "Arrives at the gate", "kg/d", 500.0, low=0, high=2e6, follows="arrivals", group="What comes through",
        help="Mean of the year."
    )
    received_m3_per_day: float = number(
        "Volume at the gate", "m3/d", 2.0, low=0, high=1e5, follows="arrivals", group="What comes through",
        help="Mean of the year."
    )
    rejects_kg_per_day: float = number(
        "Rejects", "kg/d", 40.0, low=0, high=1e6, follows="arrivals", group="What comes through",
        help="Picked out at the second sorting.",
    )  # fmt: skip
    wet_kg_per_day: float = number(
        "Wet waste kept", "kg/d", 400.0, low=0, high=2e6, follows="arrivals", group="What comes through",
        help="Kitchen, market and green garden waste.",
    )  # fmt: skip
    load_moisture_percent: float = number(
        "Moisture before bulking and water", "percent", 75.0, low=1, high=99, follows="mix", group="What comes through",
        help="Of the wet waste.",
    )  # fmt: skip
    mix_kg_per_day: float = number(
        "Mass of mix", "kg/d", 600.0, low=0.01, high=3e6, follows="mix", group="What comes through", help="Mean of the year."
    )
    mix_m3_per_day: float = number(
        "Volume of mix", "m3/d", 2.0, low=0.001, high=5_000, follows="mix", group="What comes through", help="Mean of the year."
    )
    mix_moisture_percent: float = number(
        "Moisture of the mix", "percent", 60.0, low=1, high=98, follows="mix", group="What comes through", help="Of wet mass."
    )
    moved_m3_per_day: float = number(
        "Volume moved to curing", "m3/d", 1.5, low=0, high=1e5, follows="bays", group="What comes through",
        help="All that leaves the first stage.",
    )  # fmt: skip
    screened_m3_per_day: float = number(
        "Volume to be screened", "m3/d", 1.2, low=0, high=1e5, follows="bays", group="What comes through",
        help="If all were cured.",
    )  # fmt: skip
    half_finished_kg_per_day: float = number(
        "Half-finished compost, after the first stage", "kg/d", 420.0, low=0, high=3e6, follows="worms",
        group="What comes through", help="Wet.",
    )  # fmt: skip
    half_finished_moisture_percent: float = number(
        "Moisture of half-finished compost", "percent", 58.0, low=0, high=99, follows="worms", group="What comes through",
        help="Of wet mass.",
    )  # fmt: skip
    half_finished_to_worms_kg_per_day: float = number(
        "Half-finished compost to worms", "kg/d", 0.0, low=0, high=3e6, follows="worms", group="What comes through",
        help="Before it is wetted.",
    )  # fmt: skip
    worm_water_l_per_day: float = number(
        "Water for the feed", "l/d", 0.0, low=0, high=1e7, follows="worms", group="What comes through", help="Of the worms."
    )
    worm_compost_kg_per_day: float = number(
        "Worm compost", "kg/d", 0.0, low=0, high=3e6, follows="worms", group="What comes through", help="Wet."
    )
    worm_compost_m3_per_day: float = number(
        "Volume of worm compost", "m3/d", 0.0, low=0, high=1e5, follows="worms", group="What comes through", help="As it lies."
    )
    worm_compost_moisture_percent: float = number(
        "Moisture of the worm compost", "percent", 55.0, low=10, high=85, follows="worms", group="What comes through",
        help="As harvested.",
    )  # fmt: skip
    worms_kg_per_year: float = number(
        "Worms to sell or give away", "kg/year", 0.0, low=0, high=1e7, follows="worms", group="What comes through",
        help="When the stock is full.",
    )  # fmt: skip
    first_stage_days: int = count(
        "Days in the first stage", "d", 45, low=7, high=180, follows="bays", group="What comes through",
        help="Product comes that much later than waste.",
    )  # fmt: skip
    curing_days: int = count(
        "Days of curing", "d", 45, low=0, high=365, follows="bays", group="What comes through", help="As above."
    )
    heap_fill_days: float = number(
        "Days to fill a heap", "d", 3.0, low=0, high=1e8, follows="bays", group="What comes through",
        help="Before its first stage begins.",
    )  # fmt: skip
    mass_left_percent: float = number(
        "Mass left at the end", "percent", 50.0, low=10, high=95, follows="bays", group="What comes through",
        help="Of the mass as mixed.",
    )  # fmt: skip
    solids_lost_percent: float = number(
        "Dry solids lost by the end", "percent", 35.0, low=1, high=80, follows="worms", group="What comes through",
        help="Of the dry mass of the mix.",
    )  # fmt: skip
    screened_percent_of_bagged: float = number(
        "Of the screened mass, bagged", "percent", 85.0, low=0, high=100, follows="crew", group="What comes through",
        help="The rest stays on the screen.",
    )  # fmt: skip
    wet_kg_by_month: tuple[float, ...] = series(
        "Wet waste, mean of a day in each month", "kg/d", MONTHS, (100,) * 12, low=0, high=1e6, follows="arrivals",
        group="What comes through", help="Only the proportions count here.",
    )  # fmt: skip


@dataclass(frozen=True)
class Outputs:
    """Product, income, rejects, and the store."""

    product_kg_per_day: float = output("Product, all grades", "kg/d", key_figure=True, help="Wet, mean of the year.")
    product_m3_per_day: float = output("Volume of product", "m3/d", key_figure=True)
    income_per_year: float | None = output("Income in a year", "money", key_figure=True,
        help="Before sacks and transport. Empty "
                                           "without any price.")  # fmt: skip
    product_store_m2: float = output("Ground for stored product", "m2", key_figure=True)
    first_product_day: float = output("First mature compost after", "d", key_figure=True, help="From the first load.")
    product_dry_kg_per_day: float = output("Dry mass of product", "kg/d")
    product_percent_of_waste: float | None = output("Product, in percent of what arrives", "percent",
        help="Empty where nothing does.")
    half_finished_sold_kg_per_day: float = output("Half-finished compost to sell", "kg/d")
    mature_kg_per_day: float = output("Mature compost to sell", "kg/d", help="Through the screen.")
    mature_moisture_percent: float = output("Moisture of mature compost", "percent")
    overs_kg_per_day: float = output("Stays on the screen", "kg/d")
    overs_returned_kg_per_day: float = output("Of that, back into new heaps", "kg/d", help="Mix does not count them yet.")
    thrown_away_kg_per_day: float = output("To be taken away", "kg/d", help="Rejects of the sorting and of the screen.")
    lost_to_air_kg_per_day: float = output("Leaves as gas and vapour", "kg/d",
        help="Of the mix and the water for worms, all stages.")
    largest_stock_m3: float = output("Largest stock", "m3")
    largest_stock_days: float = output("That is the product of", "d")
    sacks_per_year: float = output("Sacks in a year", "each", help="That the yard buys.")
    sacks_cost_per_year: float | None = output("Sacks cost in a year", "money", help="Empty without a price.")
    transport_cost_per_year: float | None = output("Transport costs in a year", "money", help="Empty without a price.")
    measured_solids_lost_percent: float | None = output("Dry solids lost, from both ashes", "percent", help="Ash stays.")
    measured_organic_lost_percent: float | None = output("Organic matter lost, from both ashes", "percent", help="Ash stays.")
    product_stages: tuple[tuple[object, ...], ...] = output_table(
        "Mass at each stage, mean of a day", (
            Column("stage", "Stage"), Column("wet", "Wet mass", "kg/d"), Column("dry", "Dry mass", "kg/d"),
            Column("moisture", "Moisture", "percent"), Column("volume", "Volume", "m3/d"),
        ),
    )  # fmt: skip
    grades: tuple[tuple[object, ...], ...] = output_table(
        "Grades", (
            Column("grade", "Grade"), Column("mass", "Made", "kg/d"), Column("share", "Share", "percent"),
            Column("price", "Price", "money/kg"), Column("income", "Income in a year", "money"),
        ),
    )  # fmt: skip
    store_by_month: tuple[tuple[object, ...], ...] = output_table(
        "Mature and worm compost, month by month", (
            Column("month", "Month"), Column("made", "Made", "m3"), Column("leaves", "Leaves the store", "m3"),
            Column("stock", "In the store at its end", "m3"),
        ),
    )  # fmt: skip


# ---- formulas -------------------------------------------------------------------------------------------------


def solids_left_at_end(dry_kg: float, lost: float) -> float:
    """Dry mass after both stages, of which the fraction ``lost`` has gone."""
    return dry_kg * (1 - lost)


def solids_left_after_first_stage(dry_kg: float, lost: float, first_days: float, curing_days: float) -> float:
    """Dry mass after the first stage, where ``lost`` (below 0.85) is gone after both.

    First order: of the solids 0.85 can go, and curing goes on at a third of the first stage's rate: the walk through the
    year reckons so. ``first_days`` above 0.
    """
    return dry_kg * (1 - DEGRADABLE * (1 - (1 - lost / DEGRADABLE) ** (first_days / (first_days + CURING_PACE * curing_days))))


def water_left_at_end(mix_kg: float, dry_kg: float, mass_left: float, solids_kg: float) -> float:
    """Water (kg) after both stages: what the fraction of mass left leaves for it.

    Never less than in compost as dry as dust, and never more than was in the mix.
    """
    driest = solids_kg * DRIEST_COMPOST / (1 - DRIEST_COMPOST)
    return least(most(mix_kg * mass_left - solids_kg, driest), mix_kg - dry_kg)


def water_left_after_first_stage(water_kg: float, water_at_end_kg: float, first_days: float, curing_days: float) -> float:
    """Water (kg) after the first stage, where it falls by the same share each day. ``water_kg`` above 0."""
    return water_kg * (water_at_end_kg / water_kg) ** (first_days / (first_days + curing_days))


def moisture_percent_of(water_kg: float, dry_kg: float) -> float:
    """Moisture in percent of wet mass."""
    return 100 * water_kg / (water_kg + dry_kg)


def solids_lost_by_ash(ash_before: float, ash_after: float) -> float:
    """Fraction of dry mass lost, from the ash (fractions of dry mass) before and after: ash stays, so 1 − A₁/A₂."""
    return 1 - ash_before / ash_after


def organic_lost_by_ash(ash_before: float, ash_after: float) -> float:
    """Fraction of organic matter lost, from the ash before and after: 1 − A₁·(1 − A₂) ÷ (A₂·(1 − A₁)). Fractions below 1."""
    return 1 - ash_before * (1 - ash_after) / (ash_after * (1 - ash_before))


def product_of_waste(product_kg: float, waste_kg: float) -> float:
    """Product in percent of waste (above 0)."""
    return 100 * product_kg / waste_kg


def mass_left_percent_of(before_kg: float, after_kg: float) -> float:
    """What is left, in percent of what was."""
    return 100 * after_kg / before_kg


def income_of(kg_per_day: float, price: float, sold: float) -> float:
    """Income in a year of 365 days from what is sold (a fraction) of a grade."""
    return 365 * kg_per_day * sold * price


def in_round_figures(money: float) -> float:
    """An amount to four figures, for words."""
    return float(f"{money:.4g}")


def store_area(stock_m3: float, height_m: float, reserve: float) -> float:
    """Ground (m²) for a stock, with a fraction more for paths."""
    return stock_m3 / height_m * (1 + reserve)


def made_by_month(by_month: Sequence[float], delay_days: int, m3_per_year: float) -> list[float]:
    """Product of each month (m³): what came in ``delay_days`` before, scaled to the year. Even where nothing came."""
    days = [month for month, length in enumerate(DAYS_IN_MONTH) for _ in range(length)]
    made = [0.0] * 12
    for day, month in enumerate(days):
        made[month] += by_month[days[(day - delay_days) % DAYS_IN_YEAR]]
    whole = total(made)
    if whole <= 0:
        return [m3_per_year * length / DAYS_IN_YEAR for length in DAYS_IN_MONTH]
    return [m3_per_year * each / whole for each in made]


def stock_by_month(made: Sequence[float], parts: Sequence[float]) -> tuple[list[float], list[float]]:
    """What leaves the store in each month, all that is made by the year's end, and the stock at each month's end (m³).

    The year repeats; the store is empty once a year, at the end of the month in which least is left.
    """
    whole = total(parts)
    shares = [each / whole for each in parts] if whole > 0 else [length / DAYS_IN_YEAR for length in DAYS_IN_MONTH]
    year = total(made)
    left = [year * share for share in shares]
    stock, level = [], 0.0
    for comes, goes in zip(made, left, strict=True):
        level += comes - goes
        stock.append(level)
    least_left = min(stock)
    return left, [max(0.0, each - least_left) for each in stock]


# ---- solving --------------------------------------------------------------------------------------------------


def solve(inputs: Inputs, working: Working) -> Outputs:
    """The stages one after another, grades and income, the store."""
    mix_dry = inputs.mix_kg_per_day * (1 - inputs.mix_moisture_percent / 100)
    lost = inputs.solids_lost_percent / 100
    solids = working.step("Dry mass after curing, if all were cured", "kg/d", solids_left_at_end, dry_kg=mix_dry, lost=lost)
    water = working.step("Water after curing, if all were cured", "kg/d", water_left_at_end, mix_kg=inputs.mix_kg_per_day,
                         dry_kg=mix_dry, mass_left=inputs.mass_left_percent / 100, solids_kg=solids)  # fmt: skip
    moisture = working.step("Moisture of mature compost", "percent", moisture_percent_of, water_kg=water, dry_kg=solids)
    half = inputs.half_finished_kg_per_day
    to_worms = least(inputs.half_finished_to_worms_kg_per_day, half)
    rest = half - to_worms
    half_sold = rest * inputs.half_sold_percent / 100
    cured_share = (rest - half_sold) / most(half, 1e-12)
    cured = (solids + water) * cured_share
    working.note("Screened, of half-finished compost", 100 * cured_share, "percent", "The rest is sold before or goes to "
                                                                                     "worms.")
    fine = inputs.screened_percent_of_bagged / 100
    mature = cured * fine
    overs = cured - mature
    returned = overs * inputs.overs_returned_percent / 100
    worm_made = inputs.worm_compost_kg_per_day
    product = working.step("Product, all grades", "kg/d", total, values=[half_sold, mature, worm_made],
                           names={"values": GRADES})  # type: ignore[dict-item]  # fmt: skip
    half_dry = 1 - inputs.half_finished_moisture_percent / 100
    dry = half_sold * half_dry + mature * (1 - moisture / 100) + worm_made * (1 - inputs.worm_compost_moisture_percent / 100)
    mature_m3 = inputs.screened_m3_per_day * cured_share * fine
    half_m3 = inputs.moved_m3_per_day * half_sold / most(half, 1e-12)
    stored_m3 = mature_m3 + inputs.worm_compost_m3_per_day
    volume = half_m3 + stored_m3
    away = inputs.rejects_kg_per_day + overs - returned
    sold = inputs.sold_percent / 100
    priced = [
        ("Half-finished compost", half_sold, inputs.half_finished_price),
        ("Mature compost", mature, inputs.compost_price),
        ("Worm compost", worm_made, inputs.worm_compost_price),
        ("Worms", inputs.worms_kg_per_year / 365, inputs.worm_price),
    ]
    incomes: list[float | None] = []
    for name, kg, price in priced:
        incomes.append(None if price is None else working.step(f"Income from {name.lower()}", "money", income_of, kg_per_day=kg,
                                                               price=price, sold=sold))  # fmt: skip
    told = [each for each in incomes if each is not None]
    income = total(told) if told else None
    months, largest = working.untraced(_seasons, inputs, stored_m3)
    ground = working.step("Ground for stored product", "m2", store_area, stock_m3=largest, height_m=inputs.store_height_m,
                          reserve=inputs.store_reserve_percent / 100)  # fmt: skip
    sacked = (mature + worm_made) * sold if inputs.sacks_from == "yard" else working.constant(0.0)
    sacks = 365 * sacked / inputs.sack_kg
    carried = product * sold if inputs.transport_by == "delivered" else working.constant(0.0)
    before, after = inputs.ash_before_percent, inputs.ash_after_percent
    ash_solids = ash_organic = None
    if before is not None and after is not None:
        ash_solids = 100 * working.step("Dry solids lost, from both ashes", "fraction", solids_lost_by_ash,
                                        ash_before=before / 100, ash_after=after / 100)  # fmt: skip
        ash_organic = 100 * working.step("Organic matter lost, from both ashes", "fraction", organic_lost_by_ash,
                                         ash_before=before / 100, ash_after=after / 100)  # fmt: skip
    arrives = inputs.received_kg_per_day
    air = inputs.mix_kg_per_day + inputs.worm_water_l_per_day - half_sold - cured - worm_made
    return Outputs(
        product_kg_per_day=product,
        product_m3_per_day=volume,
        income_per_year=income,
        product_store_m2=ground,
        first_product_day=inputs.heap_fill_days + inputs.first_stage_days + inputs.curing_days,
        product_dry_kg_per_day=dry,
        product_percent_of_waste=working.step("Product, in percent of what arrives", "percent", product_of_waste,
                                              product_kg=product, waste_kg=arrives) if arrives > 0 else None,
        half_finished_sold_kg_per_day=half_sold,
        mature_kg_per_day=mature,
        mature_moisture_percent=moisture,
        overs_kg_per_day=overs,
        overs_returned_kg_per_day=returned,
        thrown_away_kg_per_day=away,
        lost_to_air_kg_per_day=air,
        largest_stock_m3=largest,
        largest_stock_days=largest / most(stored_m3, 1e-12),
        sacks_per_year=sacks,
        sacks_cost_per_year=_cost(inputs.sacks_from == "yard", sacks, inputs.sack_price, working),
        transport_cost_per_year=_cost(inputs.transport_by == "delivered", 365 * carried / 1000, inputs.transport_cost, working),
        measured_solids_lost_percent=ash_solids,
        measured_organic_lost_percent=ash_organic,
        product_stages=_stages(inputs, mix_dry, half_sold, half_m3, cured, cured_share, moisture, mature, mature_m3),
        grades=tuple(
            (name, kg, 100 * kg / most(product, 1e-12) if name != "Worms" else None, price, earned)
            for (name, kg, price), earned in zip(priced, incomes, strict=True)
        ),
        store_by_month=months,
    )  # fmt: skip


def _cost(wanted: bool, amount: float, price: float | None, working: Working) -> float | None:
    """What an option costs: nothing where it is not taken, not known without a price."""
    if not wanted:
        return working.constant(0.0)
    return None if price is None else amount * price


def _seasons(inputs: Inputs, stored_m3: float) -> tuple[tuple[tuple[object, ...], ...], float]:
    """The rows of the store's table, and the largest stock."""
    delay = inputs.first_stage_days + inputs.curing_days
    made = made_by_month(inputs.wet_kg_by_month, delay, 365 * stored_m3)
    left, stock = stock_by_month(made, inputs.leaves_store_by_month)
    return tuple(zip(MONTHS, made, left, stock, strict=True)), max(stock)


def _stages(inputs: Inputs, mix_dry: float, half_sold: float, half_m3: float, cured: float, cured_share: float, moisture: float,
            mature: float, mature_m3: float) -> tuple[tuple[object, ...], ...]:  # fmt: skip
    """The rows of the table of stages. ``None`` where nothing is known."""
    def row(name: str, kg: float, wet_percent: float | None, m3: float | None) -> tuple[object, ...]:
        return (name, kg, None if wet_percent is None else kg * (1 - wet_percent / 100), wet_percent, m3)

    half_moisture = inputs.half_finished_moisture_percent
    to_worms = inputs.half_finished_to_worms_kg_per_day
    return (
        row("Arrives at the gate", inputs.received_kg_per_day, None, inputs.received_m3_per_day),
        row("Rejects of the sorting", inputs.rejects_kg_per_day, None, None),
        row("Wet waste kept", inputs.wet_kg_per_day, inputs.load_moisture_percent, None),
        ("Mix with bulking and water", inputs.mix_kg_per_day, mix_dry, inputs.mix_moisture_percent, inputs.mix_m3_per_day),
        row("After the first stage", inputs.half_finished_kg_per_day, half_moisture, inputs.moved_m3_per_day),
        row("Sold half-finished", half_sold, half_moisture, half_m3),
        row("To worm beds", to_worms, half_moisture, None),
        row("After curing", cured, moisture, inputs.screened_m3_per_day * cured_share),
        row("Through the screen", mature, moisture, mature_m3),
        row("Stays on the screen", cured - mature, moisture, None),
        row("Worm compost", inputs.worm_compost_kg_per_day, inputs.worm_compost_moisture_percent,
            inputs.worm_compost_m3_per_day),
    )


# ---- words ----------------------------------------------------------------------------------------------------


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    made = f"{say(outputs.product_kg_per_day, 'kg/d')} of product leave the yard"
    if outputs.product_percent_of_waste is not None:
        made += f", {say(outputs.product_percent_of_waste, 'percent')} of what arrives"
    if outputs.income_per_year is None:
        return f"{made}; keep {say(outputs.product_store_m2, 'm2')} for stock. Give a price to see the income."
    brings = say(in_round_figures(outputs.income_per_year), "money")
    return f"{made}, and bring {brings} in a year; keep {say(outputs.product_store_m2, 'm2')} for stock."


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about this result."""
    found = []
    missing = [str(row[0]).lower() for row in outputs.grades if float(row[1]) > 0 and row[3] is None]  # type: ignore[arg-type]
    if missing and outputs.income_per_year is not None:
        found.append(f"No price is given for: {', '.join(missing)}. The income is without it.")
    if outputs.sacks_cost_per_year is None:
        found.append("Sacks have no price yet.")
    if outputs.transport_cost_per_year is None:
        found.append("Transport has no price yet.")
    if outputs.product_percent_of_waste is not None:
        share = outputs.product_percent_of_waste / 100
        if not PER_WASTE.low <= share <= PER_WASTE.high:
            found.append(
                f"Product is {say(100 * share, 'percent')} of what arrives. Recovery centres are said to get "
                f"{100 * PER_WASTE.typical:g} % (published), and {100 * (1 - LEFT_IN_BINS.high):.0f} to "
                f"{100 * (1 - LEFT_IN_BINS.low):.0f} % of the mix was left unscreened in measured bins. Bulking and water "
                "of the "
                "mix are in the product too; weigh a heap in and out before you promise anything."
            )
    if outputs.mature_moisture_percent > WETTEST_SOLD and outputs.mature_kg_per_day > 0:
        found.append(f"Mature compost of {say(outputs.mature_moisture_percent, 'percent')} moisture clogs a screen: "
                     "spread it to dry "
                     f"first (above {WETTEST_SOLD:g} %, chosen here).")  # fmt: skip
    lost = outputs.measured_solids_lost_percent
    if lost is not None:
        if lost <= 0:
            found.append("The compost holds no more ash than the mix: nothing was lost, or the two samples are not of one "
                         "heap.")
        else:
            found.append(f"Your ashes say that {say(lost, 'percent')} of the dry solids went; the plan reckons with "
                         f"{say(inputs.solids_lost_percent, 'percent')}. Soil carried in with the turning hides in the "
                         "ash.")  # fmt: skip
    if outputs.largest_stock_days > STORED_DAYS.high:
        found.append(f"The largest stock is the product of {say(outputs.largest_stock_days, 'd')}; a store for about "
                     f"{STORED_DAYS.typical:g} days is usual (from memory). Find buyers for the slow months.")  # fmt: skip
    if outputs.half_finished_sold_kg_per_day > 0:
        found.append("Half-finished compost is for curing on a farm, not for pots or seedlings; say so to the buyer.")
    if outputs.overs_returned_kg_per_day > 0:
        found.append(f"{say(outputs.overs_returned_kg_per_day, 'kg/d')} goes back into new heaps: the mix does not count "
                     "it, so the "
                     "yard holds a little more than planned.")  # fmt: skip
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """Nothing is sold untested; what is stored can burn."""
    leaves = f"{say(outputs.product_kg_per_day, 'kg/d')} is to be sold or given away."
    found = [RaisedCaution("compost_not_fit_until_tested", leaves)]
    if outputs.largest_stock_m3 > 0:
        found.append(RaisedCaution("heap_height_fire", f"Up to {say(outputs.largest_stock_m3, 'm3')} of product is stacked "
                                   f"{say(inputs.store_height_m, 'm')} high."))  # fmt: skip
    if outputs.sacks_per_year > 0:
        found.append(RaisedCaution("repeated_work", f"Sacks of {say(inputs.sack_kg, 'kg')} are filled and lifted."))
    if inputs.transport_by == "delivered":
        found.append(RaisedCaution("reversing_vehicles"))
    return found


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """Mass at each stage, and the store through the year."""
    short = tuple(month[:3] for month in MONTHS)
    made, left, stock = (
        tuple(float(row[column]) for row in outputs.store_by_month) for column in (1, 2, 3)  # type: ignore[arg-type]
    )
    before = ("Arrives at the gate", "Rejects of the sorting", "Wet waste kept")
    shown = [row for row in outputs.product_stages if row[0] not in before
             and float(row[1]) > 0]  # type: ignore[arg-type]  # fmt: skip
    return [
        Chart("bars", "Mass at each stage, mean of a day", "kg/d", tuple(str(row[0]) for row in shown),
              (Line("Wet mass", tuple(float(row[1]) for row in shown)),), axis="Stage"),  # type: ignore[arg-type]
        Chart("lines", "Product made, and leaving the store", "m3", short,
              (Line("Made", made), Line("Leaves", left)), axis="Month"),
        Chart("bars", "In the store at the end of each month", "m3", short, (Line("Stock", stock),),
              (Mark(outputs.largest_stock_m3, "largest"),), axis="Month"),
    ]  # fmt: skip


CALCULATOR = Calculator(
    key="product", title="Yield and sale", question="How much compost of which grade, and what does it bring?", inputs=Inputs,
    outputs=Outputs, solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts,
    sources=(PER_WASTE.cited(), LEFT_IN_BINS.cited(), STORED_DAYS.cited(), FIRE_HEIGHT.cited(), source("haug_1993"),
             practice("screening after curing, coarse pieces back into new heaps"),
             own_choice("degradable part and pace of curing: see the page of the year")),
)  # fmt: skip
