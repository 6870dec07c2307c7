"""Worm beds: what area of beds takes a share of the half-finished compost, and how the stock of worms grows to fill them.

After the first stage a share of the compost may go to worms in place of curing. The stock that eats the feed stands on an
area by a stocking; the stock bought grows until the beds are full. Published stockings lie far apart and are shown side by
side. Worms die of heat, salt and ammonia: months and feed are held against published limits.
"""

from __future__ import annotations

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
    flag,
    number,
    output,
    output_count,
    output_table,
    output_text,
    own_choice,
    practice,
    series,
)  # fmt: skip
from calculators.known import as_count
from calculators.reference import figure, rows_of, source
from calculators.simulate.worms import stock_after
from calculators.topics.mix import water_to_add
from calculators.topics.product import (
    moisture_percent_of,
    solids_left_after_first_stage,
    solids_left_at_end,
    water_left_after_first_stage,
    water_left_at_end,
)
from calculators.working import Working, log10, most, whole_up

STOCKING = figure("worms", "stocking", "trial")
STOCKING_EXTENSION = figure("worms", "stocking", "extension")
FEEDING = figure("worms", "feeding", "trial")
FEEDING_FOR_WORMS = figure("worms", "feeding", "trial_for_worms")
FEEDING_EXTENSION = figure("worms", "feeding", "extension")
LAYOUTS = {row["key"]: row for row in rows_of("worms", "layouts")}
TRENCH, UNIT = LAYOUTS["trench"], LAYOUTS["kvk"]
TRENCH_FEED = figure("worms", "trenches", "trench_feed_kg")
TRENCH_WORMS = figure("worms", "trenches", "trench_worms_kg_per_t")
TRENCH_WEEKS = figure("worms", "trenches", "trench_weeks")
RESTED = figure("worms", "trenches", "rested_tnau_days")
WIDTH = figure("worms", "beds", "width_m")
DEPTH = figure("worms", "beds", "depth_m")
LENGTH = figure("worms", "beds", "length_m")
CONTENT = figure("worms", "beds", "content_kg_m3")
DOUBLING = figure("worms", "growth", "doubling_days")
OF_FEED = figure("worms", "yield", "product_percent_of_feed")
SOLIDS_LEFT = figure("worms", "yield", "solids_left_percent")
PRODUCT_MOISTURE = figure("worms", "yield", "product_moisture_percent")
BEST_C = figure("worms", "limits", "best_c")
BORNE_C = figure("worms", "limits", "borne_c")
GAIN_C = figure("worms", "limits", "weight_gain_c")
DEADLY_C = figure("worms", "limits", "deadly_c")
BORNE_MOISTURE = figure("worms", "limits", "moisture_borne_percent")
GAIN_MOISTURE = figure("worms", "limits", "moisture_gain_percent")
INDIAN_MOISTURE = figure("worms", "limits", "moisture_indian_percent")
SALT = figure("worms", "limits", "salt_percent")
AMMONIA = figure("worms", "limits", "ammonia_mg_kg")
FULL = figure("worms", "limits", "full_share_percent").typical / 100
WEEKS_APART = 4
MOST_WEEKS = 104
USES = {"none": "no worm beds: all is cured in bays", "beds": "a share goes to worm beds"}
VERDICTS = ("too cold", "cool, slow", "good", "hot: shade and wet them", "too hot", "deadly")


@dataclass(frozen=True)
class Inputs:
    """The half-finished compost, the worms, their beds, their food and their weather."""
    worm_use: str = choice(
        "Worm beds", USES, "none", group="Worm beds", help="The yard works without them.",
        source=own_choice("begin without, and add a bed when somebody has learnt to keep worms"),
    )  # fmt: skip
    worm_share_percent: float = number(
        "Share of the half-finished compost for worms", "percent", 20.0, low=1, high=100, group="Worm beds",
        help="The rest is cured in bays.", source=own_choice("a first step; all of it takes much ground"),
    )  # fmt: skip
    worm_keeper: bool = flag(
        "Somebody is trained to keep worms", False, group="Worm beds", help="Who looks at them every day, rest days too.",
        source=own_choice("not until somebody is"),
    )  # fmt: skip
    worm_bed_length_m: float = number(
        "Length of a worm bed", "m", LENGTH.typical, low=0.5, high=30, usual=(2, 10), group="Worm beds", help="Inside.",
        source=LENGTH.cited(),
    )  # fmt: skip
    worm_bed_width_m: float = number(
        "Width of a worm bed", "m", WIDTH.typical, low=0.3, high=3, usual=(WIDTH.low, WIDTH.high), group="Worm beds",
        help="Reached from both sides.", source=WIDTH.cited(),
    )  # fmt: skip
    worm_bed_depth_m: float = number(
        "Depth of a worm bed", "m", DEPTH.typical, low=0.1, high=1, usual=(DEPTH.low, 0.9), group="Worm beds",
        help="Of what may lie in it. Deep beds heat and pack.", source=DEPTH.cited(),
    )  # fmt: skip
    worm_spare_beds: int = count(
        "Beds to spare", "each", 1, low=0, high=100, group="Worm beds", help="Empty, to move worms into at a harvest.",
        source=own_choice("one is emptied at a time"),
    )  # fmt: skip
    worm_bed_content_kg_m3: float = number(
        "A cubic metre of worm compost weighs", "kg/m3", CONTENT.typical, low=100, high=1_200, usual=(300, 900),
        group="Worm beds",
        help="As it lies in the bed.", source=CONTENT.cited(), measure="weigh a full crate of known volume",
    )  # fmt: skip
    worm_stocking_kg_m2: float = number(
        "Worms on a square metre of bed", "kg/m2", STOCKING.typical, low=0.1, high=10, usual=(1, 5), group="Worms and feed",
        help="Published figures differ: see the table.",
        source=STOCKING.cited(), measure="count and weigh a dug square of 20 cm",
    )  # fmt: skip
    worm_feed_ratio: float = number(
        "Feed for a kilogram of worms, kilograms a day", "1", FEEDING.typical, low=0.05, high=2, usual=(0.3, 1.25),
        group="Worms and feed", help="As fed, wet.", source=FEEDING.cited(), measure="see what is left after a week",
    )  # fmt: skip
    worm_feed_moisture_percent: float = number(
        "Feed is wetted to", "percent", 75.0, low=30, high=90, usual=(60, 85), group="Worms and feed", help="Drier feed only.",
        source=own_choice("within what worms gain weight at (70 to 85) and short of dripping"),
    )  # fmt: skip
    worm_feeds_per_week: int = count(
        "Days a week on which worms are fed", "d", 3, low=1, high=7, group="Worms and feed", help="Thin layers, often.",
        source=own_choice("every second working day"),
    )  # fmt: skip
    feed_salt_percent: float | None = number(
        "Soluble salts of the feed", "percent", None, low=0, high=20, blank=True, group="Worms and feed",
        help="From a laboratory.",
        source=own_choice("none until it is measured"), measure="send a sample of half-finished compost",
    )  # fmt: skip
    feed_ammonia_mg_kg: float | None = number(
        "Ammonia of the feed", "mg/kg", None, low=0, high=50_000, blank=True, group="Worms and feed",
        help="From a laboratory.",
        source=own_choice("none until it is measured"), measure="send a sample of half-finished compost",
    )  # fmt: skip
    worm_harvest_days: int = count(
        "Days between harvests of a bed", "d", 90, low=14, high=730, usual=(42, 180), group="Harvest",
        help="The top layer, with the worms, stays.", source=own_choice("twice the weeks of published trenches"),
        measure="feel whether food is left",
    )  # fmt: skip
    worm_solids_left_percent: float = number(
        "Of the dry mass fed, left as worm compost", "percent", SOLIDS_LEFT.typical, low=20, high=100, usual=(50, 90),
        group="Harvest",
        help="The rest leaves as gas, or as worms.", source=SOLIDS_LEFT.cited(), measure="weigh one bed in and out",
    )  # fmt: skip
    worm_compost_moisture_percent: float = number(
        "Moisture of the worm compost", "percent", PRODUCT_MOISTURE.typical, low=10, high=85, usual=(40, 75), group="Harvest",
        help="As harvested.", source=PRODUCT_MOISTURE.cited(), measure="dry a sample",
    )  # fmt: skip
    worm_doubling_days: float = number(
        "The stock doubles in", "d", DOUBLING.typical, low=20, high=400, usual=(DOUBLING.low, DOUBLING.high),
        group="First purchase",
        help="While there is room and feed.", source=DOUBLING.cited(), measure="weigh the worms of one bed twice",
    )  # fmt: skip
    worm_full_by_weeks: float = number(
        "Beds are to be full after", "week", 52.0, low=0, high=520, group="First purchase",
        help="From the day of the purchase.",
        source=own_choice("a year"),
    )  # fmt: skip
    worm_start_kg: float | None = number(
        "Worms bought", "kg", None, low=0.001, high=1e6, blank=True, group="First purchase",
        help="Empty: as many as it takes to be full in time.", source=own_choice("found from the weeks"),
    )  # fmt: skip
    worm_price: float | None = number(
        "Price of worms", "money/kg", None, low=0, high=1e6, blank=True, group="First purchase", help="Bought or sold, alive.",
        source=own_choice("no price until you give one"), measure="ask a worm keeper",
    )  # fmt: skip
    outside_c_by_month: tuple[float, ...] = series(
        "Outside temperature in each month", "°C", MONTHS, (25,) * 12, low=-40, high=55, group="Weather",
        help="Mean of day and night, in the shade.", source=own_choice("a warm place without seasons"),
        measure="ask the nearest weather station",
    )  # fmt: skip
    mix_kg_per_day: float = number(
        "Mass of mix", "kg/d", 600.0, low=0.01, high=3e6, follows="mix", group="Half-finished compost", help="Mean of the year."
    )
    mix_moisture_percent: float = number(
        "Moisture of the mix", "percent", 60.0, low=1, high=98, follows="mix", group="Half-finished compost",
        help="Of wet mass."
    )
    first_stage_days: int = count(
        "Days in the first stage", "d", 45, low=7, high=180, follows="bays", group="Half-finished compost",
        help="Worms get nothing that still heats.",
    )  # fmt: skip
    curing_days: int = count(
        "Days of curing", "d", 45, low=0, high=365, follows="bays", group="Half-finished compost",
        help="For what is lost before and after the end of the first stage.",
    )  # fmt: skip
    mass_left_percent: float = number(
        "Mass left at the end", "percent", 50.0, low=10, high=95, follows="bays", group="Half-finished compost",
        help="Of the mass as mixed.",
    )  # fmt: skip
    solids_lost_percent: float = number(
        "Dry solids lost by the end", "percent", 35.0, low=1, high=80, usual=(20, 55), group="Half-finished compost",
        help="They leave as gas. Of the dry mass of the mix.", source=own_choice("about a third to a half is common"),
        measure="dry and weigh a sample of one heap in and out, and the heap",
    )  # fmt: skip
    standing_heaps_curing: float = number(
        "Heaps standing in curing", "heap", 10.0, low=0, high=1e6, follows="bays", group="Half-finished compost",
        help="If all were cured in bays.",
    )  # fmt: skip


@dataclass(frozen=True)
class Outputs:
    """Beds, worms, feed and what comes of it."""

    worm_beds: int = output_count("Worm beds to build", "each", key_figure=True)
    worm_beds_m2: float = output("Area of all worm beds", "m2", key_figure=True, help="Inside, spare ones with them.")
    worm_compost_kg_per_day: float = output("Worm compost", "kg/d", key_figure=True, help="Wet, when the stock is full.")
    worms_to_buy_kg: float = output("Worms to buy", "kg", key_figure=True)
    weeks_to_full: float = output("Until the stock is full", "week", key_figure=True, help="To 95 % of the full stock.")
    worm_advice: str = output_text("Do worms make sense here?", key_figure=True)
    beds_if_share: int = output_count("Beds that the share would take", "each", help="Whether or not they are built.")
    half_finished_kg_per_day: float = output("Half-finished compost, after the first stage", "kg/d")
    half_finished_moisture_percent: float = output("Moisture of half-finished compost", "percent")
    half_finished_to_worms_kg_per_day: float = output("Half-finished compost to worms", "kg/d", help="Before it is wetted.")
    worm_feed_kg_per_day: float = output("Feed as fed", "kg/d")
    worm_water_l_per_day: float = output("Water for the feed", "l/d", help="What dries off the beds comes on top.")
    worm_stock_kg: float = output("Worms when the beds are full", "kg")
    feed_per_bed_kg: float = output("A bed gets on a feeding day", "kg", help="When the stock is full.")
    feed_layer_cm: float = output("As a layer of", "cm", help="At the density of the worm compost.")
    harvest_kg: float = output("A harvest of one bed", "kg", help="Wet.")
    harvest_depth_m: float = output("Depth of a bed at harvest", "m", help="Without the bedding that it began with.")
    worm_compost_m3_per_day: float = output("Volume of worm compost", "m3/d")
    worm_compost_percent_of_feed: float = output("Worm compost, in percent of the feed", "percent")
    worms_kg_per_year: float = output("Worms to sell or give away", "kg/year",
        help="Surplus while the stock is kept nearly full.")
    curing_heaps_saved: float = output("Curing heaps fewer", "heap",
        help="The Bays calculator still counts bays for all of them.")
    first_worms_cost: float | None = output("The first worms cost", "money", help="Empty without a price.")
    stockings: tuple[tuple[object, ...], ...] = output_table(
        "Published stockings side by side", (
            Column("who", "Way"), Column("worms", "Worms", "kg/m2"), Column("load", "Feed a day", "kg/m2"),
            Column("area", "Beds for this feed", "m2"), Column("status", "How known"),
        ),
    )  # fmt: skip
    worm_growth: tuple[tuple[object, ...], ...] = output_table(
        "Growth of the stock and what it may be fed", (
            Column("week", "Week"), Column("stock", "Worms", "kg"), Column("feed", "Feed a day", "kg"),
            Column("beds", "Beds in use"),
        ),
    )  # fmt: skip
    worm_months: tuple[tuple[object, ...], ...] = output_table(
        "Months for worms", (Column("month", "Month"), Column("outside", "Outside", "°C"), Column("verdict", "For worms"))
    )


# ---- formulas -------------------------------------------------------------------------------------------------


def stock_for(feed_kg_per_day: float, feed_for_a_kilogram: float) -> float:
    """Worms (kg) that eat a feed (kg/d) at ``feed_for_a_kilogram`` of worms a day (above 0)."""
    return feed_kg_per_day / feed_for_a_kilogram


def bed_area(stock_kg: float, kg_per_m2: float) -> float:
    """Area (m²) on which a stock stands."""
    return stock_kg / kg_per_m2


def beds_for(area_m2: float, length_m: float, width_m: float) -> float:
    """Whole beds for an area."""
    return whole_up(area_m2 / (length_m * width_m))


def content_density(kg: float, length_m: float, width_m: float, depth_m: float) -> float:
    """Mass of what fills a bed, on its volume (kg/m³)."""
    return kg / (length_m * width_m * depth_m)


def load_on_area(kg: float, length_m: float, width_m: float) -> float:
    """Mass on the area of a bed (kg/m²)."""
    return kg / (length_m * width_m)


def stock_to_start(full_kg: float, share: float, doubling_days: float, days: float) -> float:
    """Stock (kg) that by the logistic law has grown to a ``share`` (below 1) of full after ``days``."""
    return full_kg / (1 + (1 / share - 1) * 2 ** (days / doubling_days))


def days_to_share(start_kg: float, full_kg: float, share: float, doubling_days: float) -> float:
    """Days until a stock has grown to a ``share`` (below 1) of full; 0 where it has it from the start."""
    return doubling_days * log10(most((full_kg / start_kg - 1) * share / (1 - share), 1)) / log10(2)


def surplus_a_year(full_kg: float, share: float, doubling_days: float) -> float:
    """Worms (kg in a year of 365 days) that grow again while the stock is kept at a share of full: r·s·(1 − s)·K."""
    return 365 * full_kg * share * (1 - share) * 0.6931471805599453 / doubling_days


def worm_compost(feed_kg: float, feed_moisture: float, solids_left: float, moisture: float) -> float:
    """Wet worm compost from wet feed: dry mass fed × what is left ÷ its dry part. Fractions."""
    return feed_kg * (1 - feed_moisture) * solids_left / (1 - moisture)


def harvest_of_bed(product_kg_per_day: float, days: float, beds: float) -> float:
    """Worm compost (kg) of one of ``beds`` after some days."""
    return product_kg_per_day * days / beds


def depth_of(kg: float, content_kg_m3: float, length_m: float, width_m: float) -> float:
    """Depth (m) of a mass that lies evenly on a bed."""
    return kg / content_kg_m3 / (length_m * width_m)


def month_verdict(celsius: float) -> str:
    """What a month's mean does to composting worms in shaded beds: one of ``VERDICTS``.

    4 to 30 °C are borne (Earthworm Ecology, table 18.3); 15 to 29 °C good for breeding there or for gain of weight
    (Kaplan and others, 1980); above 35 °C deadly (from memory).
    """
    if celsius < BORNE_C.low:
        return VERDICTS[0]
    if celsius < BEST_C.low:
        return VERDICTS[1]
    if celsius <= GAIN_C.high:
        return VERDICTS[2]
    if celsius <= BORNE_C.high:
        return VERDICTS[3]
    return VERDICTS[4] if celsius <= DEADLY_C.high else VERDICTS[5]


def salt_is_borne(percent: float) -> bool:
    """Whether soluble salts are below the limit of 0.5 % (Earthworm Ecology, table 18.3)."""
    return percent < SALT.typical


def ammonia_is_borne(mg_kg: float) -> bool:
    """Whether ammonia is below the limit of 0.5 mg/g (Earthworm Ecology, table 18.3)."""
    return mg_kg < AMMONIA.typical


# ---- solving --------------------------------------------------------------------------------------------------


def solve(inputs: Inputs, working: Working) -> Outputs:
    """Feed, stock, beds, purchase and growth, harvest, months."""
    built = inputs.worm_use == "beds"
    dry = inputs.mix_kg_per_day * (1 - inputs.mix_moisture_percent / 100)
    water = inputs.mix_kg_per_day - dry
    lost = inputs.solids_lost_percent / 100
    solids = working.step("Dry mass after the first stage", "kg/d", solids_left_after_first_stage, dry_kg=dry, lost=lost,
                          first_days=inputs.first_stage_days, curing_days=inputs.curing_days)  # fmt: skip
    end = water_left_at_end(inputs.mix_kg_per_day, dry, inputs.mass_left_percent / 100, solids_left_at_end(dry, lost))
    wet = working.step("Water after the first stage", "kg/d", water_left_after_first_stage, water_kg=water, water_at_end_kg=end,
                       first_days=inputs.first_stage_days, curing_days=inputs.curing_days)  # fmt: skip
    half = solids + wet
    working.note("Half-finished compost", half, "kg/d")
    moisture = working.step("Its moisture", "percent", moisture_percent_of, water_kg=wet, dry_kg=solids)
    given = half * inputs.worm_share_percent / 100
    drier = most(inputs.worm_feed_moisture_percent, moisture) / 100
    poured = working.step("Water for the feed", "l/d", water_to_add, mass=given, moisture=moisture / 100, target=drier)
    feed = given + poured
    stock = working.step("Worms when the beds are full", "kg", stock_for, feed_kg_per_day=feed,
                         feed_for_a_kilogram=inputs.worm_feed_ratio)  # fmt: skip
    area = working.step("Area for the worms", "m2", bed_area, stock_kg=stock, kg_per_m2=inputs.worm_stocking_kg_m2,
                        source=STOCKING.cited())  # fmt: skip
    in_use = working.step("Beds in use", "each", beds_for, area_m2=area, length_m=inputs.worm_bed_length_m,
                          width_m=inputs.worm_bed_width_m)  # fmt: skip
    beds = as_count(in_use + inputs.worm_spare_beds)
    bed_m2 = inputs.worm_bed_length_m * inputs.worm_bed_width_m
    product = working.step("Worm compost", "kg/d", worm_compost, feed_kg=feed, feed_moisture=drier,
                           solids_left=inputs.worm_solids_left_percent / 100,
                           moisture=inputs.worm_compost_moisture_percent / 100)  # fmt: skip
    harvest = working.step("A harvest of one bed", "kg", harvest_of_bed, product_kg_per_day=product,
                           days=inputs.worm_harvest_days, beds=in_use)  # fmt: skip
    depth = working.step("Depth of a bed at harvest", "m", depth_of, kg=harvest, content_kg_m3=inputs.worm_bed_content_kg_m3,
                         length_m=inputs.worm_bed_length_m, width_m=inputs.worm_bed_width_m)  # fmt: skip
    days = inputs.worm_full_by_weeks * 7
    if inputs.worm_start_kg is None:
        start = working.step("Worms to buy", "kg", stock_to_start, full_kg=stock, share=FULL,
                             doubling_days=inputs.worm_doubling_days, days=days)  # fmt: skip
    else:
        start = inputs.worm_start_kg
    until = working.step("Days until the stock is full", "d", days_to_share, start_kg=start, full_kg=stock, share=FULL,
                         doubling_days=inputs.worm_doubling_days)  # fmt: skip
    surplus = working.step("Worms to sell or give away", "kg/year", surplus_a_year, full_kg=stock, share=FULL,
                           doubling_days=inputs.worm_doubling_days)  # fmt: skip
    feeding = feed * 7 / inputs.worm_feeds_per_week / in_use
    none = working.constant(0.0)

    def if_built(value: float) -> float:
        return value if built else none

    return Outputs(
        worm_beds=beds if built else as_count(none),
        worm_beds_m2=if_built(beds * bed_m2),
        worm_compost_kg_per_day=if_built(product),
        worms_to_buy_kg=if_built(start),
        weeks_to_full=if_built(until / 7),
        worm_advice=working.untraced(_advice, inputs, as_count(in_use)),
        beds_if_share=beds,
        half_finished_kg_per_day=half,
        half_finished_moisture_percent=moisture,
        half_finished_to_worms_kg_per_day=if_built(given),
        worm_feed_kg_per_day=if_built(feed),
        worm_water_l_per_day=if_built(poured),
        worm_stock_kg=if_built(stock),
        feed_per_bed_kg=feeding,
        feed_layer_cm=100 * feeding / bed_m2 / inputs.worm_bed_content_kg_m3,
        harvest_kg=harvest,
        harvest_depth_m=depth,
        worm_compost_m3_per_day=if_built(product / inputs.worm_bed_content_kg_m3),
        worm_compost_percent_of_feed=100 * product / feed,
        worms_kg_per_year=if_built(surplus),
        curing_heaps_saved=if_built(inputs.standing_heaps_curing * inputs.worm_share_percent / 100),
        first_worms_cost=None if inputs.worm_price is None else if_built(start * inputs.worm_price),
        stockings=working.untraced(_stockings, inputs, feed, product),
        worm_growth=working.untraced(_growth, inputs, start, stock, as_count(in_use)),
        worm_months=working.untraced(_months, inputs),
    )  # fmt: skip


def _stockings(inputs: Inputs, feed: float, product: float) -> tuple[tuple[object, ...], ...]:
    """Each published way, what it puts on a square metre, and the area that it would take for this feed."""
    def row(name: str, worms: float | None, load: float, status: str) -> tuple[object, ...]:
        return (name, worms, load, feed / load, status)

    trench = load_on_area(TRENCH_FEED.typical, TRENCH["length_m"], TRENCH["width_m"])
    unit_m2 = UNIT["count"] * UNIT["length_m"] * UNIT["width_m"]
    made = UNIT["product_t_per_year"] * 1000 / 365 / unit_m2
    own = inputs.worm_stocking_kg_m2 * inputs.worm_feed_ratio
    few, many = STOCKING_EXTENSION.low, STOCKING_EXTENSION.high
    return (
        row("Used here", inputs.worm_stocking_kg_m2, own, "your answers"),
        row("Trial, for compost", STOCKING.typical, STOCKING.typical * FEEDING.typical, STOCKING.status),
        row("Trial, for worms", STOCKING.typical, STOCKING.typical * FEEDING_FOR_WORMS.typical, STOCKING.status),
        row("Leaflets, least", few, few * FEEDING_EXTENSION.low, FEEDING_EXTENSION.status),
        row("Leaflets, most", many, many * FEEDING_EXTENSION.low, FEEDING_EXTENSION.status),
        row("Trenches filled at once", trench * TRENCH_WORMS.typical / 1000, trench / (7 * TRENCH_WEEKS.typical), "computed"),
        row("Model unit of six beds", None, made * feed / product, "computed"),
    )  # fmt: skip


def _growth(inputs: Inputs, start: float, full: float, in_use: int) -> tuple[tuple[object, ...], ...]:
    """Every four weeks until full, two years at most: stock, what it eats, and the beds that it fills."""
    rows = []
    for week in range(0, MOST_WEEKS + 1, WEEKS_APART):
        stock = stock_after(start, full, inputs.worm_doubling_days, 7 * week) if start < full else start
        eats = min(stock, full) * inputs.worm_feed_ratio
        rows.append((str(week), stock, eats, str(int(max(1, min(in_use, whole_up(stock / (full / in_use))))))))
        if stock >= FULL * full:
            break
    return tuple(rows)


def _months(inputs: Inputs) -> tuple[tuple[object, ...], ...]:
    by_month = zip(MONTHS, inputs.outside_c_by_month, strict=True)
    return tuple((month, celsius, month_verdict(celsius)) for month, celsius in by_month)


def _advice(inputs: Inputs, in_use: int) -> str:
    """'yes', or what speaks against it: what would kill worms first."""
    against, care = _reasons(inputs, in_use)
    if against:
        return "no: " + "; ".join(against)
    return "with care: " + "; ".join(care) if care else "yes"


def _reasons(inputs: Inputs, in_use: int) -> tuple[list[str], list[str]]:
    months = _months(inputs)
    deadly = [str(month) for month, _, verdict in months if verdict == "deadly"]
    hot = [str(month) for month, _, verdict in months if verdict == "too hot"]
    cold = [str(month) for month, _, verdict in months if verdict == "too cold"]
    against, care = [], []
    if deadly:
        against.append(f"deadly heat in {_listed(deadly)}")
    if inputs.feed_salt_percent is not None and not salt_is_borne(inputs.feed_salt_percent):
        against.append("the feed is too salty")
    if inputs.feed_ammonia_mg_kg is not None and not ammonia_is_borne(inputs.feed_ammonia_mg_kg):
        against.append("the feed holds too much ammonia")
    if inputs.first_stage_days < RESTED.typical:
        against.append("so short a first stage leaves feed that still heats")
    if hot:
        care.append(f"too hot in {_listed(hot)}")
    if cold:
        care.append(f"too cold in {_listed(cold)}")
    if not inputs.worm_keeper:
        care.append("nobody is trained yet")
    if in_use == 1:
        care.append("so little feed that one bed is enough")
    return against, care


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]


# ---- words ----------------------------------------------------------------------------------------------------


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    of = f"{say(inputs.worm_bed_length_m, 'm')} by {say(inputs.worm_bed_width_m, 'm')}"
    beds = outputs.beds_if_share
    if inputs.worm_use == "none":
        return (
            f"No worm beds: all half-finished compost is cured in bays; {say(inputs.worm_share_percent, 'percent')} of it "
            "would "
            f"take {beds} worm {'bed' if beds == 1 else 'beds'} of {of}."
        )
    return (
        f"Build {beds} worm {'bed' if beds == 1 else 'beds'} of {of} and buy {say(outputs.worms_to_buy_kg, 'kg')} of "
        "worms: after "
        f"{say(outputs.weeks_to_full, 'week')} they eat {say(outputs.worm_feed_kg_per_day, 'kg/d')} and leave "
        f"{say(outputs.worm_compost_kg_per_day, 'kg/d')} of worm compost."
    )


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about this result."""
    found = []
    against, care = _reasons(inputs, outputs.beds_if_share - inputs.worm_spare_beds)
    if inputs.worm_use == "beds":
        if against:
            found.append(f"Do not keep worms as things stand: {'; '.join(against)}.")
        if care:
            found.append(f"With care: {'; '.join(care)}. Begin with one bed and let the stock grow.")
        found.append(
            f"The Bays calculator still cures everything: {say(outputs.curing_heaps_saved, 'heap')} fewer stand in curing once "
            "the stock is full, and until then more. The walk through the year counts with the beds."
        )
        shown = min(outputs.weeks_to_full, inputs.worm_full_by_weeks)
        if inputs.worm_start_kg is not None and outputs.weeks_to_full > inputs.worm_full_by_weeks:
            found.append(f"That is more than the {say(inputs.worm_full_by_weeks, 'week')} wanted: buy more worms.")
        elif shown > 0:
            found.append("Give the growing stock no more than the table says; what it cannot eat goes on to curing.")
    if inputs.worm_harvest_days < 7 * TRENCH_WEEKS.low:
        found.append(f"Published trenches take {TRENCH_WEEKS.low:g} to {TRENCH_WEEKS.high:g} weeks to become worm "
                     "compost; harvests "
                     f"every {say(inputs.worm_harvest_days, 'd')} take what is not done.")  # fmt: skip
    if outputs.harvest_depth_m > inputs.worm_bed_depth_m:
        found.append(f"By the harvest {say(outputs.harvest_depth_m, 'm')} would lie in a bed: harvest oftener, or feed "
                     "more beds.")
    if not OF_FEED.low <= outputs.worm_compost_percent_of_feed <= OF_FEED.high:
        found.append(f"Worm compost is {say(outputs.worm_compost_percent_of_feed, 'percent')} of the feed; {OF_FEED.low:g} to "
                     f"{OF_FEED.high:g} % is usual (from memory).")  # fmt: skip
    if inputs.worm_feed_moisture_percent < BORNE_MOISTURE.low:
        found.append(
            f"Feed of {say(inputs.worm_feed_moisture_percent, 'percent')} moisture is drier than the {BORNE_MOISTURE.low:g} to "
            f"{BORNE_MOISTURE.high:g} % that composting worms bear (restated); Indian manuals write {INDIAN_MOISTURE.low:g} to "
            f"{INDIAN_MOISTURE.high:g} %. The two do not agree; believe the worms."
        )
    elif outputs.half_finished_moisture_percent > inputs.worm_feed_moisture_percent:
        found.append("The half-finished compost is wetter than the feed is to be: no water is added.")
    if inputs.feed_salt_percent is None or inputs.feed_ammonia_mg_kg is None:
        found.append("Salts and ammonia of the feed are not known: put twenty worms into a pot of it for two days before "
                     "each new "
                     "batch. If they crowd at the rim or die, wait, rinse or mix (common practice).")  # fmt: skip
    if inputs.worm_bed_width_m > WIDTH.high:
        found.append(f"Beds wider than {say(WIDTH.high, 'm')} are hard to reach into.")
    found.append("Months are means of day and night: a bed in the sun is far hotter on an afternoon. Shade, wet sacking and "
                 "shallow beds help; a thermometer in the bed decides.")  # fmt: skip
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """Worms do not make safe what was not."""
    if inputs.worm_use == "none":
        return []
    return [
        RaisedCaution("compost_not_fit_until_tested", "Worm beds stay cool: feed must have held its heat in the first stage."),
        RaisedCaution("raw_waste_hands"),
        RaisedCaution("rodent_mesh", "Worms draw rats, moles and birds."),
    ]


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """Growth of the stock, and the months."""
    weeks = tuple(str(row[0]) for row in outputs.worm_growth)
    stock = tuple(float(row[1]) for row in outputs.worm_growth)  # type: ignore[arg-type]
    drawn = [Chart("lines", "Worms by week after the purchase", "kg", weeks, (Line("Worms", stock),), axis="Week")]
    if min(inputs.outside_c_by_month) >= 0:  # bars stand on nought
        drawn.append(
            Chart("bars", "Outside temperature in each month", "°C", tuple(month[:3] for month in MONTHS),
                  (Line("Outside", inputs.outside_c_by_month),), (Mark(BORNE_C.high, "borne up to here"),), axis="Month")
        )  # fmt: skip
    return drawn


CALCULATOR = Calculator(
    key="worms", title="Worm beds", question="Do worm beds make sense, and how many of them?", inputs=Inputs, outputs=Outputs,
    solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts,
    sources=(STOCKING.cited(), FEEDING_EXTENSION.cited(), source("csrti"), source("tnau_worms"), source("kvk_thiruvannamalai"),
             WIDTH.cited(), BORNE_C.cited(), GAIN_C.cited(), DOUBLING.cited(), practice("trying new feed on a few worms")),
)  # fmt: skip
