"""The year: the yard walked through day by day, what breaks first and when, and the cheapest single change that cures it.

The other calculators reckon with a mean day, or the fullest one. Here waste comes by weekday, month and festival, leaves
fall in their months, heaps pile up from the first day, the crew rests, machines fail, and each store has an end. The walk
itself is ``simulate.year``; this module turns answers into a scenario and tells what came of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from calculators.declare import (
    MONTHS,
    WEEKDAYS,
    Calculator,
    CannotSolve,
    Chart,
    Column,
    Line,
    Mark,
    RaisedCaution,
    Say,
    Span,
    choice,
    count,
    flag,
    number,
    output,
    output_count,
    output_series,
    output_table,
    output_text,
    own_choice,
    practice,
    series,
    table,
)  # fmt: skip
from calculators.reference import source
from calculators.simulate.breaks import Break, Cure, cheapest_cure, first_of_most, what_breaks
from calculators.simulate.exactly import added, exp
from calculators.simulate.year import (
    CURING_PACE,
    MONTH_OF_DAY,
    Outage,
    Record,
    Scenario,
    drying_rate,
    first_stage_rate,
    run,
    watered_by_rule,
)
from calculators.simulate.worms import bed_rate_per_day
from calculators.topics import heat, worms
from calculators.topics.arrivals import DAYS_IN_MONTH, DAYS_IN_YEAR, FESTIVALS
from calculators.topics.bays import SECTIONS, loads_by_day
from calculators.topics.product import DRIEST_COMPOST
from calculators.topics.water import DEGRADABLE, RUN_OFF, WASH_TO, WATERED_BELOW, WETTEST_HELD
from calculators.working import Working

MONTH_KEYS = {month.lower(): month for month in MONTHS}
LEAF_DENSITY_KG_M3 = 100.0
CARBON = 0.45
"""Carbon of dry solids: chosen here, close to (100 − ash) ÷ 1.8 of such a mix."""
NITROGEN_LOST = 0.3
"""Of the nitrogen of the mix, lost with as much of the degradable solids as goes: chosen here."""
IDLE_VERDICTS = ("too cold", "too hot", "deadly")
"""In months that Worm beds calls so, worms neither grow nor eat in the walk, and stay as they are: chosen here."""
MOST_HANDLED = 60_000
"""Heaps begun and turnings made in a walk, at most: more would keep a phone busy for minutes."""
LEAST_HOURS = LEAST_KG = 1e-6
"""Less is what rounding left of none."""
MOST_LISTED = 400
"""Heaps drawn at most: those of the first year."""


@dataclass(frozen=True)
class Inputs:
    """The yard as the earlier calculators plan it, its stores, its weather and its bad luck."""

    years_to_walk: int = count(
        "Years to walk through", "year", 1, low=1, high=3, group="The walk", help="Each with the same weather and arrivals.",
        source=own_choice("one shows the first ninety days and every season"),
    )  # fmt: skip
    yard_begins: str = choice(
        "The walk begins", {"empty": "with an empty yard", "steady": "with all heaps standing"}, "empty", group="The walk",
        help="On 1 January, taken to be a Monday.", source=own_choice("a new yard begins empty"),
    )  # fmt: skip
    mix_kg_per_day: float = number(
        "Mass of mix", "kg/d", 600.0, low=0.01, high=3e6, follows="mix", group="What comes", help="Mean of the year."
    )
    mix_m3_per_day: float = number(
        "Volume of mix", "m3/d", 2.0, low=0.001, high=5_000, follows="mix", group="What comes", help="Mean of the year."
    )
    mix_density_kg_m3: float = number(
        "Bulk density of the mix", "kg/m3", 400.0, low=5, high=2_500, follows="mix", group="What comes",
        help="For the heat of heaps.",
    )  # fmt: skip
    mix_free_air_space_percent: float = number(
        "Free air space of the mix", "percent", 60.0, low=-1_000, high=100, follows="mix", group="What comes",
        help="For the heat of heaps.",
    )  # fmt: skip
    bulking_kg_per_day: float = number(
        "Bulking", "kg/d", 100.0, low=0, high=2e6, follows="mix", group="What comes", help="By the recipe, mean of the year."
    )
    bulking_short_kg_per_day: float = number(
        "Bulking lacking", "kg/d", 0.0, low=0, high=2e6, follows="mix", group="What comes",
        help="Where it is all of the bulking, the leaves that fall are not what the recipe uses.",
    )  # fmt: skip
    water_l_per_day: float = number(
        "Water to add to the mix", "l/d", 0.0, low=0, high=2e6, follows="mix", group="What comes", help="Mean of the year."
    )
    mix_moisture_percent: float = number(
        "Moisture of the mix", "percent", 60.0, low=1, high=98, follows="mix", group="What comes", help="Of wet mass."
    )
    load_moisture_percent: float = number(
        "Moisture before bulking and water", "percent", 75.0, low=1, high=99, follows="mix", group="What comes",
        help="Of the wet waste.",
    )  # fmt: skip
    mix_carbon_to_nitrogen: float = number(
        "C:N of the mix", "1", 27.0, low=1, high=2_000, follows="mix", group="What comes",
        help="With waste's, it gives the nitrogen of the bulking.",
    )  # fmt: skip
    load_carbon_to_nitrogen: float = number(
        "C:N before bulking and water", "1", 16.0, low=1, high=2_000, follows="mix", group="What comes",
        help="Gives the nitrogen of the waste.",
    )  # fmt: skip
    food_tubs_per_day: float = number(
        "Tubs of wet waste", "tub/d", 30.0, low=0, high=1e6, follows="mix", group="What comes",
        help="The ratio of tubs parts the volume between waste and bulking.",
    )  # fmt: skip
    bulking_tubs_per_day: float = number(
        "Tubs of bulking", "tub/d", 40.0, low=0, high=1e6, follows="mix", group="What comes", help="As above."
    )
    bulking_price: float = number(
        "Price of the bulking", "money/kg", 0.0, low=0, high=1e6, follows="mix", group="What comes",
        help="For what must be bought when leaves run short.",
    )  # fmt: skip
    wet_kg_by_weekday: tuple[float, ...] = series(
        "Wet waste on each weekday", "kg/d", WEEKDAYS, (100,) * 7, low=0, high=1e6, follows="arrivals", group="What comes",
        help="Only the proportions count here.",
    )  # fmt: skip
    wet_kg_by_month: tuple[float, ...] = series(
        "Wet waste, mean of a day in each month", "kg/d", MONTHS, (100,) * 12, low=0, high=1e6, follows="arrivals",
        group="What comes", help="Only the proportions count here.",
    )  # fmt: skip
    festival_month: str = choice(
        "Month of the festival", FESTIVALS, "none", follows="arrivals", group="What comes", help="Its days are in mid-month."
    )
    festival_days: int = count(
        "Days of the festival", "d", 7, low=0, high=28, follows="arrivals", group="What comes",
        help="Days on which more arrives.",
    )  # fmt: skip
    festival_percent_of_mean: float = number(
        "A festival day, in percent of that month's ordinary day", "percent", 100.0, low=100, high=1_000, follows="arrivals",
        group="What comes", help="100 without a festival.",
    )  # fmt: skip
    leaves_kept_kg_by_month: tuple[float, ...] = series(
        "Dry leaves kept, mean of a day", "kg/d", MONTHS, (0,) * 12, low=0, high=1e6, follows="arrivals", group="What comes",
        help="They go into the leaf store.",
    )  # fmt: skip
    waste_wetter_by_month: tuple[float, ...] = series(
        "Wet waste holds more moisture, in each month", "percent", MONTHS, (0,) * 12, low=0, high=40, follows="water",
        group="Weather", help="Points above its moisture of the mean day: rain in open bins.",
    )  # fmt: skip
    rain_mm_by_month: tuple[float, ...] = series(
        "Rain in each month", "mm", MONTHS, (0,) * 12, low=0, high=3_000, follows="water", group="Weather",
        help="Off the roof into the tank, and into what is open of the sump.",
    )  # fmt: skip
    outside_c_by_month: tuple[float, ...] = series(
        "Outside temperature in each month", "°C", MONTHS, (25,) * 12, low=-40, high=55, follows="worms", group="Weather",
        help="Curing is slower in cold months, and so is a first stage whose heaps do not hold their heat.",
    )  # fmt: skip
    heap_m3: float = number(
        "A heap when built", "m3", 5.0, low=0.01, high=2_000, follows="bays", group="Heaps and bays",
        help="Each is filled, stands, is moved and screened by itself.",
    )  # fmt: skip
    heap_section: str = choice(
        "Cross-section of a heap", SECTIONS, "rectangle", follows="bays", group="Heaps and bays", help="For the heat of heaps."
    )
    heap_top_percent: float = number(
        "Top of a trapezoid, in percent of its base", "percent", 50.0, low=0, high=100, follows="bays", group="Heaps and bays",
        help="Used for the trapezoid only.",
    )  # fmt: skip
    heap_base_m: float = number(
        "Base of a heap", "m", 1.2, low=0.25, high=20, follows="bays", group="Heaps and bays", help="For the heat of heaps."
    )
    heap_height_m: float = number(
        "Height of a heap when built", "m", 0.9, low=0.3, high=1.8, follows="bays", group="Heaps and bays",
        help="For the heat of heaps.",
    )  # fmt: skip
    degradability: str = choice(
        "The mix is", heat.GROUPS, "mixed", follows="heat", group="Heaps and bays", help="For the heat of heaps."
    )
    heap_cover: str = choice(
        "Cover", heat.COVERS, "none", follows="heat", group="Heaps and bays", help="For the heat of heaps."
    )
    air_humidity_percent: float = number(
        "Humidity of the air", "percent", 60.0, low=5, high=100, follows="heat", group="Weather", help="For the heat of heaps."
    )
    wind_shelter: str = choice(
        "Shelter from wind", heat.SHELTERS, "sheltered", follows="heat", group="Weather", help="For the heat of heaps."
    )
    first_stage_bays: int = count(
        "For the first stage", "bay", 20, low=0, high=100_000, follows="bays", group="Heaps and bays",
        help="A heap of either stage takes any bay.",
    )  # fmt: skip
    curing_bays: int = count(
        "For curing", "bay", 15, low=0, high=100_000, follows="bays", group="Heaps and bays",
        help="A heap of either stage takes any bay.",
    )  # fmt: skip
    reserve_bays: int = count(
        "Reserve", "bay", 3, low=0, high=100_000, follows="bays", group="Heaps and bays",
        help="A heap of either stage takes any of these; spare bays, which are turned into, are left out.",
    )  # fmt: skip
    first_stage_days: int = count(
        "Days in the first stage", "d", 45, low=7, high=180, follows="bays", group="Heaps and bays",
        help="From the day on which a heap is full.",
    )  # fmt: skip
    curing_days: int = count(
        "Days of curing", "d", 45, low=0, high=365, follows="bays", group="Heaps and bays",
        help="From the day on which a curing heap is full.",
    )  # fmt: skip
    turning_interval_days: float = number(
        "Days between turnings", "d", 3.5, low=1, high=60, follows="bays", group="Heaps and bays",
        help="A heap owes one turning at most.",
    )  # fmt: skip
    volume_left_end_percent: float = number(
        "Volume left in the long run", "percent", 50.0, low=10, high=95, follows="bays", group="Heaps and bays",
        help="Of the volume as built.",
    )  # fmt: skip
    shrinkage_rate_per_day: float = number(
        "Rate of shrinkage, each day", "1", 0.025, low=0.001, high=0.5, follows="bays", group="Heaps and bays",
        help="The curve of the Bays calculator.",
    )  # fmt: skip
    mass_left_percent: float = number(
        "Mass left at the end", "percent", 50.0, low=10, high=95, follows="bays", group="Heaps and bays",
        help="Decides how fast heaps dry.",
    )  # fmt: skip
    rebuilt_for_curing: bool = flag(
        "Shrunk heaps are merged for curing", True, follows="bays", group="Heaps and bays",
        help="Yes: a moved heap is laid onto the curing heap that is not yet full.",
    )  # fmt: skip
    heaps_per_bay: int = count(
        "Heaps in a bay, end to end", "heap", 1, low=1, high=10, follows="bays", group="Heaps and bays",
        help="Of one stage.",
    )  # fmt: skip
    solids_lost_percent: float = number(
        "Dry solids lost by the end", "percent", 35.0, low=1, high=80, follows="worms", group="Heaps and bays",
        help="They leave as gas. Of the dry mass of the mix.",
    )  # fmt: skip
    worm_stock_kg: float = number(
        "Worms when the beds are full", "kg", 0.0, low=0, high=1e7, follows="worms", group="Worm beds",
        help="0: no worm beds, all is cured.",
    )  # fmt: skip
    worms_to_buy_kg: float = number(
        "Worms to buy", "kg", 0.0, low=0, high=1e7, follows="worms", group="Worm beds",
        help="When the first half-finished compost is moved. A yard that begins with all heaps standing has its full stock.",
    )  # fmt: skip
    worm_doubling_days: float = number(
        "The stock doubles in", "d", 75.0, low=20, high=400, follows="worms", group="Worm beds",
        help="By the law of the Worm beds calculator; not in months that are too cold or too hot.",
    )  # fmt: skip
    worm_share_percent: float = number(
        "Share of the half-finished compost for worms", "percent", 20.0, low=1, high=100, follows="worms", group="Worm beds",
        help="What the worms can't eat of it is cured.",
    )  # fmt: skip
    worm_feed_ratio: float = number(
        "Feed for a kilogram of worms, kilograms a day", "1", 0.75, low=0.05, high=2, follows="worms", group="Worm beds",
        help="As fed, wet.",
    )  # fmt: skip
    worm_feed_moisture_percent: float = number(
        "Feed is wetted to", "percent", 75.0, low=30, high=90, follows="worms", group="Worm beds", help="Drier feed only."
    )
    worm_harvest_days: int = count(
        "Days between harvests of a bed", "d", 90, low=14, high=730, follows="worms", group="Worm beds",
        help="All beds are emptied on one day here.",
    )  # fmt: skip
    worm_solids_left_percent: float = number(
        "Of the dry mass fed, left as worm compost", "percent", 70.0, low=20, high=100, follows="worms", group="Worm beds",
        help="Decides how fast solids fall in the beds.",
    )  # fmt: skip
    worm_compost_moisture_percent: float = number(
        "Moisture of the worm compost", "percent", 55.0, low=10, high=85, follows="worms", group="Worm beds",
        help="As harvested.",
    )  # fmt: skip
    leaf_store_m3: float = number(
        "Leaf store holds", "m3", 200.0, low=0, high=1e6, follows="shed", group="Stores", help="Leaves beyond it are turned away.",
    )  # fmt: skip
    leaf_store_start_percent: float = number(
        "Leaf store on the first day, full to", "percent", 50.0, low=0, high=100, group="Stores", help="Of what it holds.",
        source=own_choice("half full"), measure="look on the first day",
    )  # fmt: skip
    leaf_density_kg_m3: float = number(
        "Leaves in the store", "kg/m3", LEAF_DENSITY_KG_M3, low=10, high=600, usual=(60, 300), group="Stores",
        help="Bulk density as they lie.", source=own_choice("as loose dry leaves; trodden down they hold more"),
        measure="weigh a full crate of known volume",
    )  # fmt: skip
    leaves_run_short: str = choice(
        "When leaves run short",
        {"buy": "bulking is bought", "stretch": "the recipe is stretched, then waste is refused", "refuse": "waste is refused"},
        "buy", group="Stores", help="Bought bulking is taken to be like the leaves.",
        source=own_choice("buying keeps the yard open"),
    )  # fmt: skip
    least_recipe_percent: float = number(
        "The recipe is stretched down to", "percent", 80.0, low=10, high=100, group="Stores",
        help="Of its bulking. Used where it is stretched: the mix is wetter and drips.",
        source=own_choice("a fifth less is about what a mix forgives"),
    )  # fmt: skip
    roof_m2: float = number(
        "Roof that drains to the tank", "m2", 0.0, low=0, high=1e5, follows="water", group="Water", help="Seen from above."
    )
    run_off_percent: float = number(
        "Of the rain, runs off", "percent", 100 * RUN_OFF.typical, low=10, high=100, follows="water", group="Water",
        help="0.8 for tiles, 0.9 for metal sheet.",
    )  # fmt: skip
    tank_l: float = number(
        "Water tank holds", "l", 0.0, low=0, high=1e7, follows="water", group="Water",
        help="It stands half full on the first day. 0: no tank.",
    )  # fmt: skip
    has_mains: bool = flag(
        "Water can be had from the mains", True, follows="water", group="Water", help="Used when the tank is empty."
    )
    wash_l_per_working_day: float = number(
        "Washing down takes", "l/d", 200.0, low=0, high=1e6, follows="water", group="Water", help="On a working day."
    )
    wash_goes_to: str = choice(
        "Washing water goes to", WASH_TO, "sump", follows="water", group="Water", help="To the sump, it fills it."
    )
    one_heap_water_l_by_month: tuple[float, ...] = series(
        "One heap takes through its first stage", "l", MONTHS, (0,) * 12, low=0, high=1e7, follows="water", group="Water",
        help="By the month in which it is built; given in equal parts at its turnings.",
    )  # fmt: skip
    watered_below_percent: float = number(
        "Heaps are watered when drier than", "percent", WATERED_BELOW, low=20, high=65, follows="water", group="Water",
        help="Looked at when turned.",
    )  # fmt: skip
    watered_to_percent: float = number(
        "They are watered to", "percent", 55.0, low=25, high=70, follows="water", group="Water", help="Mix and water well."
    )
    held_moisture_percent: float = number(
        "A mix holds its water up to", "percent", WETTEST_HELD, low=40, high=90, follows="water", group="Water",
        help="Wetter than that, it drips into the sump.",
    )  # fmt: skip
    sump_l: float = number(
        "Leachate sump holds", "l", 2_000.0, low=0, high=1e6, group="Water",
        help="What drips from a mix that is too wet, washing water, and rain on its open part; it wets fresh mixes.",
        source=own_choice("a small pit"),
    )  # fmt: skip
    sump_open_m2: float = number(
        "Open to the rain, draining to the sump", "m2", 0.0, low=0, high=1e4, follows="water", group="Water",
        help="Floor or sump without a roof.",
    )  # fmt: skip
    sump_emptied_every_days: int = count(
        "Days between emptyings of the sump", "d", 7, low=0, high=365, follows="water", group="Water", help="0: never."
    )
    received_kg_per_day: float = number(
        "Arrives at the gate", "kg/d", 500.0, low=0, high=2e6, follows="arrivals", group="Work",
        help="Mean of the year.",
    )  # fmt: skip
    rejects_kg_per_day: float = number(
        "Rejects", "kg/d", 40.0, low=0, high=1e6, follows="arrivals", group="Work",
        help="Picked out at the second sorting.",
    )  # fmt: skip
    wet_kg_per_day: float = number(
        "Wet waste kept", "kg/d", 400.0, low=0, high=2e6, follows="arrivals", group="Work",
        help="Sorted by hand.",
    )  # fmt: skip
    crew_present: int = count(
        "Workers present on a working day", "worker", 5, low=0, high=100_000, follows="crew", group="Work",
        help="The same on every working day, but for bad days.",
    )  # fmt: skip
    shift_hours: float = number(
        "Hours of a shift", "h", 8.0, low=1, high=12, follows="crew", group="Work",
        help="Paid time at the yard.",
    )  # fmt: skip
    rest_percent: float = number(
        "Rest, washing and delays", "percent", 20.0, low=0, high=80, follows="crew", group="Work",
        help="Of the shift.",
    )  # fmt: skip
    working_days_per_week: int = count(
        "Days a week the yard works", "d", 6, low=1, high=7, follows="crew", group="Work",
        help="On the other days waste waits.",
    )  # fmt: skip
    first_rest_day: str = choice(
        "The day of rest", {day.lower(): day for day in WEEKDAYS}, "sunday", group="Work",
        help="The first, where there are more; the others follow it.", source=own_choice("ask the crew"),
    )  # fmt: skip
    receive_rate: float = number(
        "Receive, weigh and inspect", "kg/worker-h", 500.0, low=1, high=20_000, follows="crew", group="Work",
        help="By one worker in an hour of work.",
    )  # fmt: skip
    sort_rate: float = number(
        "Second sorting of wet waste", "kg/worker-h", 150.0, low=1, high=20_000, follows="crew", group="Work",
        help="By one worker in an hour of work.",
    )  # fmt: skip
    shred_rate: float = number(
        "Feed and clear the shredder", "kg/worker-h", 200.0, low=1, high=20_000, follows="crew", group="Work",
        help="By one worker in an hour of work.",
    )  # fmt: skip
    build_rate: float = number(
        "Mix and build heaps", "m3/worker-h", 1.25, low=0.05, high=200, follows="crew", group="Work",
        help="By one worker in an hour of work.",
    )  # fmt: skip
    turn_rate: float = number(
        "Turn heaps with forks", "m3/worker-h", 1.25, low=0.05, high=200, follows="crew", group="Work",
        help="By one worker in an hour of work.",
    )  # fmt: skip
    water_rate: float = number(
        "Water heaps, of heap", "m3/worker-h", 10.0, low=0.05, high=200, follows="crew", group="Work",
        help="By one worker in an hour of work.",
    )  # fmt: skip
    move_rate: float = number(
        "Barrow half-finished compost up to 20 m", "m3/worker-h", 1.06, low=0.05, high=200, follows="crew", group="Work",
        help="By one worker in an hour of work.",
    )  # fmt: skip
    screen_rate: float = number(
        "Screen by hand", "kg/worker-h", 200.0, low=1, high=20_000, follows="crew", group="Work",
        help="By one worker in an hour of work.",
    )  # fmt: skip
    bag_rate: float = number(
        "Fill, weigh and close bags", "kg/worker-h", 300.0, low=1, high=20_000, follows="crew", group="Work",
        help="By one worker in an hour of work.",
    )  # fmt: skip
    clean_hours_per_shift: float = number(
        "Wash down, tidy and keep records", "h", 1.0, low=0, high=24, follows="crew", group="Work",
        help="For the whole crew, each working day.",
    )  # fmt: skip
    shredded_percent: float = number(
        "Bulking that is shredded", "percent", 50.0, low=0, high=100, follows="crew", group="Work",
        help="While the shredder runs.",
    )  # fmt: skip
    wet_shredded_kg_per_day: float = number(
        "Garden and market waste shredded", "kg/d", 0.0, low=0, high=1e6, follows="crew", group="Work",
        help="Its hours count with those of the waste; a broken shredder is taken to leave it whole.",
    )  # fmt: skip
    shredder_kg_per_hour: float = number(
        "A shredder takes", "kg/h", 500.0, low=10, high=20_000, follows="crew", group="Work",
        help="Dry leaves and small branches.",
    )  # fmt: skip
    shredder_hands: int = count(
        "Hands at a shredder", "worker", 2, low=1, high=6, follows="crew", group="Work",
        help="They wait for a slow machine.",
    )  # fmt: skip
    screened_percent_of_bagged: float = number(
        "Of the screened mass, bagged", "percent", 85.0, low=0, high=100, follows="crew", group="Work",
        help="The coarse rest is kept as a stock of its own here.",
    )  # fmt: skip
    waiting_days: float = number(
        "Waste may wait on the floor for", "d", 2.0, low=0, high=14, usual=(1, 3), group="Work",
        help="A mean day's waste each; what is more is refused. It smells and breeds flies sooner than that in heat.",
        source=own_choice("over a day of rest"),
    )  # fmt: skip
    outages: tuple[tuple[object, ...], ...] = table(
        "Bad days in the first year", {
            "what": choice("What is missing", {"shredder": "the shredder", "workers": "workers"}, "shredder"),
            "month": choice("From", MONTH_KEYS, "january"),
            "day": count("Day of the month", "d", 1, low=1, high=31),
            "days": count("For", "d", 7, low=1, high=365),
            "workers": count("Workers too few", "worker", 1, low=1, high=1_000),
        }, (), most_rows=12, group="Bad luck", help="A broken shredder, an illness, a wedding. Workers count for workers only.",
        source=own_choice("none until you ask what would happen if"),
    )  # fmt: skip
    wage_per_hour: float | None = number(
        "Wage, an hour", "money", None, low=0, high=1e6, blank=True, follows="money", group="Prices",
        help="All that an hour of a worker costs.",
    )  # fmt: skip
    compost_price: float | None = number(
        "Price of compost", "money/kg", None, low=0, high=1e6, blank=True, follows="product", group="Prices",
        help="For what is bagged.",
    )  # fmt: skip
    worm_compost_price: float | None = number(
        "Price of worm compost", "money/kg", None, low=0, high=1e6, blank=True, follows="product", group="Prices",
        help="As harvested.",
    )  # fmt: skip
    bay_cost: float | None = number(
        "A bay costs", "money", None, low=0, high=1e9, blank=True, group="Prices", help="Built, once.",
        source=own_choice("no price until you give one"), measure="ask a mason",
    )  # fmt: skip
    leaf_store_cost: float | None = number(
        "A cubic metre of leaf store costs", "money", None, low=0, high=1e9, blank=True, group="Prices", help="Built, once.",
        source=own_choice("no price until you give one"), measure="ask a builder",
    )  # fmt: skip
    tank_cost: float | None = number(
        "A cubic metre of tank costs", "money", None, low=0, high=1e9, blank=True, group="Prices", help="Set up, once.",
        source=own_choice("no price until you give one"), measure="ask a dealer",
    )  # fmt: skip


@dataclass(frozen=True)
class Outputs:
    """What breaks, and the levels of the yard through the year."""

    first_break: str = output_text("What breaks first", key_figure=True)
    refused_days: int = output_count("Days with refused waste", "d", key_figure=True)
    refused_kg: float = output("Waste refused", "kg", key_figure=True, help="In the whole walk.")
    most_bays_in_use: int = output_count("Most bays in use", "bay", key_figure=True)
    most_bays_on: str = output_text("On")
    all_work_begun_on: str = output_text(
        "Every kind of work has begun by", help="The day on which the first compost is screened: until then heaps pile up."
    )
    leaf_store_lowest_m3: float = output("Leaf store at its lowest", "m3", key_figure=True)
    leaf_store_lowest_on: str = output_text("On (leaf store)")
    leaves_bought_kg: float = output("Bulking bought", "kg", help="In the whole walk.")
    leaves_turned_away_kg: float = output("Leaves turned away from a full store", "kg", help="In the whole walk.")
    hours_owed_most: float = output(
        "Work owed at the worst", "worker-h", key_figure=True, help="In the evening of a working day."
    )
    hours_owed_on: str = output_text("On (work)")
    latest_turning_days: int = output_count("Latest turning, working days late", "d")
    water_used_l_per_day: float = output("Water used, mean of a day", "l/d", help="Mix, heaps and washing.")
    mains_l_per_day: float = output("Of it from the mains", "l/d")
    sump_over_l: float = output("Leachate over the sump", "l", help="In the whole walk.")
    heat_held: str = output_text(
        "Heaps hold the sanitising heat",
        help="In the model of the page on heap heat, by the month in which a heap stands. A thermometer decides.",
    )  # fmt: skip
    heap_heat_by_month: tuple[tuple[object, ...], ...] = output_table(
        "Heat of a heap that stands in the month",
        (
            Column("month", "Month"), Column("outside", "Outside", "°C"), Column("highest", "Hottest mean of a day", "°C"),
            Column("hot", f"Days at {heat.HOT.typical:g} °C or hotter", "d"),
        ),
    )  # fmt: skip
    compost_kg_per_year: float = output("Compost bagged", "kg", help="In a year of the walk.")
    worm_stock_full_on: str = output_text("The worm stock is full on", help="To 95 % of the full stock.")
    worm_stock_at_end_kg: float = output("Worms at the end of the walk", "kg")
    worms_were_fed_kg: float = output("Worms were fed", "kg", help="As fed, in the whole walk.")
    worm_compost_harvested_kg: float = output("Worm compost harvested", "kg", help="Wet, in the whole walk.")
    money_of_the_walk: float | None = output(
        "Sales less wages and bought bulking", "money", help="In the whole walk; empty without a wage or a price of compost."
    )
    what_breaks: tuple[tuple[object, ...], ...] = output_table(
        "What breaks",
        (
            Column("what", "What"), Column("first", "First on"), Column("last", "Last on"), Column("days", "Days", "d"),
            Column("worst", "At the worst"), Column("cure", "Cheapest single change that cures it"),
        ),
    )  # fmt: skip
    bays_in_use_mean_by_month: tuple[float, ...] = output_series("Bays in use, mean", "bay", MONTHS)
    bays_in_use_most_by_month: tuple[float, ...] = output_series("Bays in use, most", "bay", MONTHS)
    leaf_store_m3_by_month: tuple[float, ...] = output_series("Leaf store, mean", "m3", MONTHS)
    hours_needed_by_month: tuple[float, ...] = output_series("Work that falls due, mean of a day", "worker-h/d", MONTHS)
    hours_available_by_month: tuple[float, ...] = output_series("Hours of the crew, mean of a day", "worker-h/d", MONTHS)
    water_used_l_by_month: tuple[float, ...] = output_series("Water used, mean of a day", "l/d", MONTHS)
    worm_kg_by_month: tuple[float, ...] = output_series(
        "Worms, mean of each month of the first year", "kg", MONTHS, help="Nothing before they are bought."
    )


# ---- from answers to a scenario -------------------------------------------------------------------------------


def scenario(inputs: Inputs) -> Scenario:
    """The scenario that the answers describe. Raises ``CannotSolve`` where they contradict each other."""
    load = inputs.mix_kg_per_day - inputs.bulking_kg_per_day - inputs.water_l_per_day
    if load <= 1e-9 * inputs.mix_kg_per_day:
        raise CannotSolve(
            "The mix holds no waste: its mass less bulking and water leaves nothing.",
            ("mix_kg_per_day", "bulking_kg_per_day", "water_l_per_day"),
        )
    if inputs.solids_lost_percent / 100 >= DEGRADABLE:
        raise CannotSolve("No heap loses so much of its dry solids.", ("solids_lost_percent",))
    if inputs.watered_to_percent < inputs.watered_below_percent:
        raise CannotSolve("Heaps can't be watered to less than the moisture at which they are.",
                          ("watered_to_percent", "watered_below_percent"))  # fmt: skip
    bulking = inputs.bulking_kg_per_day
    heaps = inputs.mix_m3_per_day / inputs.heap_m3 * inputs.years_to_walk * DAYS_IN_YEAR
    if heaps * (1 + inputs.first_stage_days / inputs.turning_interval_days) > MOST_HANDLED:
        raise CannotSolve(
            f"So many small heaps are not walked through one by one: {heaps:,.0f} would be begun, each turned every "
            f"{inputs.turning_interval_days:g} days. Make heaps larger, walk through fewer years, or plan several yards.",
            ("heap_m3", "mix_m3_per_day", "years_to_walk"),
        )
    days = inputs.years_to_walk * DAYS_IN_YEAR
    loads = loads_by_day(inputs.wet_kg_by_weekday, inputs.wet_kg_by_month, inputs.festival_month, inputs.festival_days,
                         inputs.festival_percent_of_mean, days)  # fmt: skip
    mean = added(loads) / days
    waste = tuple(load * value / mean for value in loads) if mean > 0 else (load,) * days
    lost = inputs.solids_lost_percent / 100
    rate = first_stage_rate(lost, DEGRADABLE, inputs.first_stage_days, inputs.curing_days)
    dry = 1 - inputs.mix_moisture_percent / 100
    solids_after = dry * (1 - lost)
    water_after = max(inputs.mass_left_percent / 100 - solids_after, solids_after * DRIEST_COMPOST / (1 - DRIEST_COMPOST))
    waste_dry = 1 - inputs.load_moisture_percent / 100
    leaf_dry, leaf_nitrogen = _leaf(inputs, load, waste_dry)
    waste_nitrogen = CARBON / inputs.load_carbon_to_nitrogen
    wanted = NITROGEN_LOST * CARBON / inputs.mix_carbon_to_nitrogen / lost
    food, brown = inputs.food_tubs_per_day, inputs.bulking_tubs_per_day
    brown_share = 0.0 if bulking <= 0 else brown / (food + brown) if food > 0 and brown > 0 else bulking / (load + bulking)
    leaves = inputs.leaves_kept_kg_by_month if _uses_leaves(inputs) else (0.0,) * 12
    store_kg = inputs.leaf_store_m3 * inputs.leaf_density_kg_m3
    usable = inputs.shift_hours * (1 - inputs.rest_percent / 100)
    leaves_a_day = added(kg * length for kg, length in zip(leaves, DAYS_IN_MONTH, strict=True)) / DAYS_IN_YEAR
    received = max(0.0, inputs.received_kg_per_day - leaves_a_day) / inputs.receive_rate
    sorted_hours = (inputs.wet_kg_per_day + inputs.rejects_kg_per_day) / inputs.sort_rate
    machine = min(inputs.shred_rate, inputs.shredder_kg_per_hour / inputs.shredder_hands)
    wet_shredding = inputs.wet_shredded_kg_per_day / machine
    first_rest = [day.lower() for day in WEEKDAYS].index(inputs.first_rest_day)
    fine = inputs.screened_percent_of_bagged / 100
    found = Scenario(
        days=days, waste_kg_by_day=waste, leaves_kg_per_day_by_month=tuple(leaves), heap_m3=inputs.heap_m3,
        stage_bays=inputs.first_stage_bays + inputs.curing_bays + inputs.reserve_bays,
        first_stage_days=inputs.first_stage_days, curing_days=inputs.curing_days,
        turning_interval_days=inputs.turning_interval_days, start=inputs.yard_begins,  # type: ignore[arg-type]
        waste_moisture_by_month=tuple(
            min(0.98, (inputs.load_moisture_percent + more) / 100) for more in inputs.waste_wetter_by_month
        ),
        leaf_moisture=1 - leaf_dry, waste_degradable=DEGRADABLE, leaf_degradable=DEGRADABLE, waste_carbon=CARBON,
        leaf_carbon=CARBON, waste_nitrogen=waste_nitrogen, leaf_nitrogen=leaf_nitrogen, carbon_of_degraded=CARBON,
        nitrogen_lost_of_degraded=min(wanted, waste_nitrogen / DEGRADABLE, leaf_nitrogen / DEGRADABLE) * (1 - 1e-9),
        bulking_kg_per_kg=bulking / load, mix_water_l_per_kg=inputs.water_l_per_day / load,
        waste_m3_per_kg=inputs.mix_m3_per_day * (1 - brown_share) / load,
        bulking_m3_per_kg=inputs.mix_m3_per_day * brown_share / bulking if bulking > 0 else 0.0,
        holding_moisture=inputs.held_moisture_percent / 100,
        leaf_policy=inputs.leaves_run_short, least_recipe_share=inputs.least_recipe_percent / 100,  # type: ignore[arg-type]
        leaf_store_m3=inputs.leaf_store_m3, leaf_density_kg_m3=inputs.leaf_density_kg_m3,
        leaf_start_kg=store_kg * inputs.leaf_store_start_percent / 100,
        first_stage_rate_per_day=rate, curing_rate_per_day=rate * CURING_PACE,
        water_rate_per_day=drying_rate(1 - dry, water_after, inputs.first_stage_days + inputs.curing_days),
        volume_lost=1 - inputs.volume_left_end_percent / 100, shrinkage_rate_per_day=inputs.shrinkage_rate_per_day,
        merged_for_curing=inputs.rebuilt_for_curing, heaps_per_bay=inputs.heaps_per_bay,
        water_below_moisture=inputs.watered_below_percent / 100, water_to_moisture=inputs.watered_to_percent / 100,
        inside_c_by_month=tuple(curve or () for curve in _curves(inputs)),
        rain_mm_by_month=tuple(inputs.rain_mm_by_month), outside_c_by_month=tuple(inputs.outside_c_by_month),
        roof_m2=inputs.roof_m2, run_off_coefficient=inputs.run_off_percent / 100, tank_l=inputs.tank_l,
        tank_start_l=inputs.tank_l / 2, mains=inputs.has_mains, wash_l_per_working_day=inputs.wash_l_per_working_day,
        sump_l=inputs.sump_l, sump_open_m2=inputs.sump_open_m2, sump_emptied_every_days=inputs.sump_emptied_every_days,
        crew_present=inputs.crew_present, usable_hours=usable, shift_hours=inputs.shift_hours,
        rest_weekdays=tuple((first_rest + more) % 7 for more in range(7 - inputs.working_days_per_week)),
        outages=tuple(_outage(*row) for row in inputs.outages),  # type: ignore[arg-type]
        waste_hours_per_kg=(received + sorted_hours + wet_shredding) / load, leaf_hours_per_kg=1 / inputs.receive_rate,
        shredded_share=inputs.shredded_percent / 100, shred_hours_per_kg=1 / machine,
        shredder_kg_per_hour=inputs.shredder_kg_per_hour, build_hours_per_m3=1 / inputs.build_rate,
        turn_hours_per_m3=1 / inputs.turn_rate + 1 / inputs.water_rate, move_hours_per_m3=1 / inputs.move_rate,
        screen_hours_per_kg=1 / inputs.screen_rate + fine / inputs.bag_rate, clean_hours_per_day=inputs.clean_hours_per_shift,
        waiting_limit_kg=inputs.waiting_days * load, fine_share=fine, wage_per_hour=inputs.wage_per_hour,
        leaf_price=inputs.bulking_price or None, compost_price=inputs.compost_price, bay_cost=inputs.bay_cost,
        leaf_store_cost_per_m3=inputs.leaf_store_cost, tank_cost_per_m3=inputs.tank_cost,
        wash_to_sump=inputs.wash_goes_to == "sump",
    )  # fmt: skip
    if inputs.worm_stock_kg > 0:
        found = _with_worms(found, inputs)
    # what heaps breathe out beyond what the walk itself dries and waters them by
    breathed = tuple(
        max(0.0, litres / inputs.heap_m3 - watered_by_rule(found, month))
        for month, litres in enumerate(inputs.one_heap_water_l_by_month)
    )
    return replace(found, breathed_l_per_m3_by_month=breathed)


def _with_worms(what: Scenario, inputs: Inputs) -> Scenario:
    """The scenario with its worm beds; solids in them fall so that what is left of the feed comes out as given."""
    full = inputs.worm_stock_kg
    gone = 1 - exp(-what.first_stage_rate_per_day * inputs.first_stage_days)
    degradable = DEGRADABLE * (1 - gone) / (1 - DEGRADABLE * gone)
    steady = inputs.yard_begins == "steady" or inputs.worms_to_buy_kg <= 0
    return replace(
        what, worm_full_kg=full, worm_start_kg=full if steady else inputs.worms_to_buy_kg,
        worm_doubling_days=inputs.worm_doubling_days, worm_share=inputs.worm_share_percent / 100,
        worm_feed_ratio=inputs.worm_feed_ratio, worm_feed_moisture=inputs.worm_feed_moisture_percent / 100,
        worm_idle_months=tuple(
            month for month, celsius in enumerate(inputs.outside_c_by_month) if worms.month_verdict(celsius) in IDLE_VERDICTS
        ),
        worm_rate_per_day=bed_rate_per_day(inputs.worm_solids_left_percent / 100, degradable, inputs.worm_harvest_days),
        worm_harvest_days=inputs.worm_harvest_days, worm_compost_moisture=inputs.worm_compost_moisture_percent / 100,
        worm_compost_price=inputs.worm_compost_price,
    )  # fmt: skip


def _curves(inputs: Inputs) -> list[tuple[float, ...] | None]:
    """The temperature of a heap by its age, were it to stand in each month; nothing where the answers make no heap."""
    heap = heat.Inputs(
        mix_moisture_percent=inputs.mix_moisture_percent, mix_free_air_space_percent=inputs.mix_free_air_space_percent,
        mix_density_kg_m3=inputs.mix_density_kg_m3, degradability=inputs.degradability, heap_section=inputs.heap_section,
        heap_top_percent=inputs.heap_top_percent, heap_m3=inputs.heap_m3, heap_base_m=inputs.heap_base_m,
        heap_height_m=inputs.heap_height_m, heap_cover=inputs.heap_cover, first_stage_days=inputs.first_stage_days,
        turning_interval_days=inputs.turning_interval_days, heap_is_watered=True,
        water_below_percent=inputs.watered_below_percent, water_up_to_percent=inputs.watered_to_percent,
        air_humidity_percent=inputs.air_humidity_percent, wind_shelter=inputs.wind_shelter,
    )  # fmt: skip
    return [heat.inside_by_day(replace(heap, ambient_c=celsius)) for celsius in inputs.outside_c_by_month]


def _uses_leaves(inputs: Inputs) -> bool:
    """Whether the recipe's bulking is the leaves that fall: not, where Mix says that all of it is lacking."""
    if inputs.bulking_kg_per_day <= 0 or not any(inputs.leaves_kept_kg_by_month):
        return True
    return inputs.bulking_short_kg_per_day < inputs.bulking_kg_per_day * (1 - 1e-9)


def _leaf(inputs: Inputs, load: float, waste_dry: float) -> tuple[float, float]:
    """Dry mass and nitrogen (of dry mass) of the bulking, as fractions: what of the mix the waste does not account for."""
    if inputs.bulking_kg_per_day <= 0:
        return 0.85, 0.009
    mix_dry = inputs.mix_kg_per_day * (1 - inputs.mix_moisture_percent / 100)
    dry = mix_dry - load * waste_dry
    dry_part = min(0.99, max(0.02, dry / inputs.bulking_kg_per_day))
    nitrogen = mix_dry * CARBON / inputs.mix_carbon_to_nitrogen - load * waste_dry * CARBON / inputs.load_carbon_to_nitrogen
    return dry_part, min(0.2, max(1e-4, nitrogen / (dry_part * inputs.bulking_kg_per_day)))


def _outage(what: str, month: str, day: int, days: int, workers: int) -> Outage:
    at = list(MONTH_KEYS).index(month)
    first = sum(DAYS_IN_MONTH[:at]) + min(day, DAYS_IN_MONTH[at]) - 1
    return Outage(first, days, workers if what == "workers" else 0)


# ---- solving --------------------------------------------------------------------------------------------------


@lru_cache(maxsize=8)
def walked(what: Scenario) -> tuple[Record, tuple[tuple[Break, Cure | None], ...]]:
    """The record of a scenario, and what breaks with the cure of each."""
    record = run(what)
    return record, tuple((broken, cheapest_cure(what, broken)) for broken in what_breaks(record))


def date_words(day: int) -> str:
    """'19 October', or '19 October of year 2' for a day after the first year."""
    month = MONTH_OF_DAY[day % DAYS_IN_YEAR]
    within = day % DAYS_IN_YEAR - sum(DAYS_IN_MONTH[:month]) + 1
    later = f" of year {day // DAYS_IN_YEAR + 1}" if day >= DAYS_IN_YEAR else ""
    return f"{within} {MONTHS[month]}{later}"


def solve(inputs: Inputs, working: Working) -> Outputs:
    """Walk through the days, and say what came of it."""
    found: Outputs = working.untraced(_told, inputs)
    working.note("Days walked through", inputs.years_to_walk * DAYS_IN_YEAR, "d", _METHOD)
    working.note("Waste refused", found.refused_kg, "kg", "Added over the days.")
    working.note("Most bays in use", found.most_bays_in_use, "bay", f"In the evening of {found.most_bays_on}.")
    working.note("Work owed at the worst", found.hours_owed_most, "worker-h",
                 "Due by the evening of a working day and not done.")  # fmt: skip
    return found


_METHOD = (
    "Each day: what rots and dries overnight, rain, arrivals, then the crew's hours spent in order on cleaning, receiving, "
    "mixing, moving, screening and turning. Water, dry solids, carbon and nitrogen are kept account of: what came in is in "
    "stock or has gone out."
)


def _told(inputs: Inputs) -> Outputs:
    what = scenario(inputs)
    record, broken = walked(what)
    broken = _in_order(broken)
    caught_up = all(each.kind != "behind" for each, _ in broken)
    fullest = first_of_most(record.bays_in_use)
    lowest = first_of_most([inputs.leaf_store_m3 - m3 for m3 in record.leaf_store_m3])
    evenings = [
        owed if hours > 0 and owed > LEAST_HOURS else 0.0
        for owed, hours in zip(record.hours_owed, record.hours_available, strict=True)
    ]
    worst = first_of_most(evenings)
    screened = min((heap.left for heap in record.heaps if heap.stage == "curing" and heap.left is not None), default=None)
    heated = tuple(_heated(*each) for each in zip(MONTHS, inputs.outside_c_by_month, _curves(inputs), strict=True))
    priced = any(price is not None for price in (inputs.wage_per_hour, inputs.compost_price, inputs.worm_compost_price))
    return Outputs(
        first_break=_what_in_words(broken[0][0]) if broken else "nothing",
        refused_days=sum(1 for kg in record.refused_kg if kg > LEAST_KG),
        refused_kg=sum(record.refused_kg),
        most_bays_in_use=record.bays_in_use[fullest],
        most_bays_on=date_words(fullest),
        all_work_begun_on="not within the walk" if screened is None else date_words(max(screened, 0)),
        leaf_store_lowest_m3=record.leaf_store_m3[lowest],
        leaf_store_lowest_on=date_words(lowest),
        leaves_bought_kg=sum(record.leaves_bought_kg),
        leaves_turned_away_kg=sum(record.leaves_turned_away_kg),
        hours_owed_most=evenings[worst],
        hours_owed_on=date_words(worst),
        latest_turning_days=max(record.latest_turning_days),
        water_used_l_per_day=sum(record.water_used_l) / what.days,
        mains_l_per_day=sum(record.mains_l) / what.days,
        sump_over_l=sum(record.sump_over_l),
        heat_held=_held_words(heated),
        heap_heat_by_month=heated,
        compost_kg_per_year=record.bagged_kg / inputs.years_to_walk,
        worm_stock_full_on=_worms_full_on(what, record),
        worm_stock_at_end_kg=record.worm_kg[-1],
        worms_were_fed_kg=added(record.worm_fed_kg),
        worm_compost_harvested_kg=added(record.worm_harvest_kg),
        money_of_the_walk=record.money[-1] if priced else None,
        what_breaks=tuple(_row(each, cure, caught_up) for each, cure in broken),
        bays_in_use_mean_by_month=_mean_by_month(record.bays_in_use),
        bays_in_use_most_by_month=_most_by_month(record.bays_in_use),
        leaf_store_m3_by_month=_mean_by_month(record.leaf_store_m3),
        hours_needed_by_month=_mean_by_month(record.hours_needed),
        hours_available_by_month=_mean_by_month(record.hours_available),
        water_used_l_by_month=_mean_by_month(record.water_used_l),
        worm_kg_by_month=_mean_by_month(record.worm_kg[:DAYS_IN_YEAR]),
    )


def _worms_full_on(what: Scenario, record: Record) -> str:
    """The first day on which the stock is nearly full, in words."""
    if what.worm_full_kg <= 0:
        return "no worm beds"
    full = worms.FULL * what.worm_full_kg * (1 - 1e-9)
    first = next((day for day, kg in enumerate(record.worm_kg) if kg >= full), None)
    return "not within the walk" if first is None else date_words(first)


def _heated(month: str, outside_c: float, curve: tuple[float, ...] | None) -> tuple[object, ...]:
    if curve is None:
        return month, outside_c, None, None
    return month, outside_c, max(curve), float(sum(celsius >= heat.HOT.typical for celsius in curve))


def _held_words(rows: Sequence[tuple[object, ...]]) -> str:
    """'in every month', or the months in which they do not."""
    if any(row[3] is None for row in rows):
        return "not known: the answers make no heap"
    cold = [str(row[0]) for row in rows if float(row[3]) < heat.HOT_DAYS.typical]  # type: ignore[arg-type]
    if len(cold) == len(rows):
        return "in no month, in the model"
    return f"in the model, not in {_listed(cold)}" if cold else "in every month, in the model"


def _in_order(broken: Sequence[tuple[Break, Cure | None]]) -> tuple[tuple[Break, Cure | None], ...]:
    """By date, hours owed last: those worked off within days break nothing; late turnings and waste that waits are told too."""
    return tuple(sorted(broken, key=lambda each: (each[0].kind == "crew", each[0].first_day)))


def _in_months(days: tuple[float, ...]) -> list[list[float]]:
    months: list[list[float]] = [[] for _ in MONTHS]
    for day, value in enumerate(days):
        months[MONTH_OF_DAY[day % DAYS_IN_YEAR]].append(value)
    return months


def _mean_by_month(days: tuple[float, ...]) -> tuple[float, ...]:
    return tuple(sum(values) / len(values) for values in _in_months(days))


def _most_by_month(days: tuple[float, ...]) -> tuple[float, ...]:
    return tuple(float(max(values)) for values in _in_months(days))


# ---- words ----------------------------------------------------------------------------------------------------

_NAMES = {
    "bays": "bays full", "leaves": "leaves run out, waste refused", "waiting": "too much waste waits, waste refused",
    "store": "leaf store empty", "crew": "crew short of hours", "behind": "crew more than a week behind", "late": "turnings late", "water": "water lacking",
    "sump": "sump over", "shredder": "shredder out, bulking unshredded",
}  # fmt: skip
_CURES = {
    "bays": ("{} more bay", "{} more bays"), "workers": ("{} more worker each day", "{} more workers each day"),
    "shift": ("a shift longer by {} hour", "a shift longer by {} hours"),
    "work_rest_days": ("working on rest days too, with a roster",) * 2, "leaf_store": ("a leaf store larger by {} m³",) * 2,
    "start_leaves": ("{} kg more leaves gathered before the first day, with room for them",) * 2,
    "buy": ("buying bulking when leaves run short",) * 2, "tank": ("a tank larger by {} L, half of it full at the start",) * 2,
    "mains": ("water from the mains",) * 2, "sump": ("a sump larger by {} L",) * 2,
    "roof_sump": ("a roof over what drains to the sump",) * 2,
}  # fmt: skip
_WORST = {"kg": "{} kg on {}", "l": "{} L on {}", "h": "{} worker-hours on {}", "d": "{} working days on {}"}


def _figures(value: float) -> str:
    return f"{value:,.0f}".replace(",", "\u202f") if value >= 10 else f"{value:.2g}"


def _what_in_words(broken: Break) -> str:
    """'bays full from 3 to 19 October': the first spell."""
    first, last = broken.spells[0]
    when = f"on {date_words(first)}" if first == last else f"from {date_words(first)} to {date_words(last)}"
    return f"{_named(broken)} {when}"


def _named(broken: Break) -> str:
    name = _NAMES[broken.kind]
    if broken.weekdays:
        name += " on " + _listed([WEEKDAYS[day] + "s" for day in broken.weekdays])
    return name


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]


def _cure_words(cure: Cure | None) -> str:
    if cure is None:
        return "none of those tried"
    words = _CURES[cure.key][cure.amount != 1].format(_figures(cure.amount) if cure.amount >= 10 else cure.amount)
    return words if cure.cost is None else f"{words}: {_figures(cure.cost)} in money"


NOT_NEEDED = "not needed: worked off within a week"


def _row(broken: Break, cure: Cure | None, caught_up: bool) -> tuple[object, ...]:
    """A line of the table; ``caught_up`` says that the crew never owes its hours for longer than a week."""
    words = _cure_words(cure)
    if broken.kind == "crew" and caught_up:
        words = NOT_NEEDED if cure is None else f"{NOT_NEEDED}. To owe nothing in any evening: {words}"
    worst = _WORST[broken.unit].format(_figures(broken.worst), date_words(broken.worst_day))
    return (_named(broken), date_words(broken.first_day), date_words(broken.last_day), broken.days, worst, words)


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    span = "year" if inputs.years_to_walk == 1 else f"{inputs.years_to_walk} years"
    if not outputs.what_breaks:
        used = say(outputs.most_bays_in_use, "bay")
        return f"Nothing breaks in the {span}: at most {used} are in use, and no waste is refused."
    refused = (
        f"{say(outputs.refused_kg, 'kg')} of waste is refused in the {span}"
        if outputs.refused_days
        else f"no waste is refused in the {span}"
    )
    cure = str(outputs.what_breaks[0][5])
    leads = "A cure is" if cure.startswith(NOT_NEEDED) else "What cures that:"
    return f"First: {outputs.first_break}; {refused}. {leads} {cure}."


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about this result."""
    found = []
    cold = outputs.heat_held.partition("not in ")[2]
    if cold or outputs.heat_held.startswith("in no"):
        found.append(
            f"Heaps do not hold {say(heat.HOT.typical, '°C')} for {say(heat.HOT_DAYS.typical, 'd')} in the model in "
            f"{cold or 'any month'}: cover them, make them larger or drier, and let the thermometer decide."
        )
    if inputs.yard_begins == "empty":
        found.append(f"The yard begins empty, and heaps pile up. Every kind of work has begun by: {outputs.all_work_begun_on}.")
    if not _uses_leaves(inputs):
        found.append("The recipe's bulking is not the leaves that fall: none of them go into the store here.")
    if outputs.leaves_turned_away_kg > 0:
        found.append(f"{say(outputs.leaves_turned_away_kg, 'kg')} of leaves find the store full and are turned away.")
    if inputs.worm_stock_kg > 0:
        found += _about_worms(inputs, outputs, say)
    dry = 1 - inputs.mix_moisture_percent / 100
    if inputs.mass_left_percent / 100 < dry * (1 - inputs.solids_lost_percent / 100) / (1 - DRIEST_COMPOST):
        found.append("So little mass left would be compost drier than dust: the walk reckons with "
                     f"{say(100 * DRIEST_COMPOST, 'percent')} moisture at the end.")  # fmt: skip
    found.append("Each change is tried by itself, and stands for the whole walk; two smaller ones together may be cheaper.")
    found.append("The weather is the same each year and nothing is drawn by lot: a real year strays from this one.")
    return found


def _about_worms(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know of worm beds in the walk."""
    eaten = f"Worms are fed {say(outputs.worms_were_fed_kg, 'kg')} in the walk"
    harvested = f"{say(outputs.worm_compost_harvested_kg, 'kg')} of worm compost are harvested"
    if outputs.worm_stock_full_on == "not within the walk":
        growing = (
            f"the stock is not full within the walk ({say(outputs.worm_stock_at_end_kg, 'kg')} of "
            f"{say(inputs.worm_stock_kg, 'kg')}). What the worms can't eat of their share is cured in bays."
        )
    elif inputs.yard_begins == "steady":
        growing = "the stock is full from the first day, as in a yard in full work."
    else:
        growing = f"the stock is full on {outputs.worm_stock_full_on}. Until then the rest of its share is cured in bays."
    found = [f"{eaten}, {harvested}; {growing}"]
    idle = [(month, worms.month_verdict(celsius)) for month, celsius in zip(MONTHS, inputs.outside_c_by_month, strict=True)]
    idle = [(month, verdict) for month, verdict in idle if verdict in IDLE_VERDICTS]
    if idle:
        found.append(f"Worms neither eat nor grow in the walk in {_listed([month for month, _ in idle])}: too cold or too hot.")
    if any(verdict == "deadly" for _, verdict in idle):
        found.append("A deadly month kills the stock in truth; here it lives on and only waits.")
    found.append("The bays planned are for curing everything: worm beds leave some free. Hours for feeding and harvest are left "
                 "out, since the crew gives no rate of work for them.")  # fmt: skip
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """The dangers that a year brings."""
    found = [RaisedCaution("leaf_store_fire", f"Up to {say(inputs.leaf_store_m3, 'm3')} of leaves are stored.")]
    if outputs.hours_owed_most > 0:
        found.append(RaisedCaution("repeated_work", f"The crew owes up to {say(outputs.hours_owed_most, 'worker-h')} of work: "
                                   "hurry and tiredness hurt people."))  # fmt: skip
        found.append(RaisedCaution("heat_stress"))
    if inputs.sump_l > 0:
        found.append(RaisedCaution("sump_entry"))
        found.append(RaisedCaution("leachate_reuse"))
    if inputs.tank_l > 0:
        found.append(RaisedCaution("legionella", "Rain stands in the tank."))
    if inputs.waiting_days > 1:
        found.append(RaisedCaution("cover_fresh_food", f"Waste may wait {say(inputs.waiting_days, 'd')} on the floor."))
    return found


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """Each heap in its bay, then bays, leaf store and hours by month."""
    what = scenario(inputs)
    record, _ = walked(what)
    short = tuple(month[:3] for month in MONTHS)
    worm_stock = Chart(
        "lines", "Worms, mean of each month of the first year", "kg", short, (Line("Worms", outputs.worm_kg_by_month),),
        (Mark(inputs.worm_stock_kg, "full stock"),), axis="Month",
    )  # fmt: skip
    drawn = [
        Chart("spans", "Each heap in its bay through the first year", "1", short,
              (Line("First stage", ()), Line("Curing", ())), spans=_spans(record), axis="Bay",
              columns=("Bay", "Stage", "Begun", "Full", "Left")),
        Chart("lines", "Bays in use, most and mean of each month", "bay", short,
              (Line("Most", outputs.bays_in_use_most_by_month), Line("Mean", outputs.bays_in_use_mean_by_month)),
              (Mark(float(what.stage_bays), f"built, spare not counted: {what.stage_bays}"),), axis="Month"),
        Chart("bars", "Leaf store, mean of each month", "m3", short, (Line("Leaves", outputs.leaf_store_m3_by_month),),
              (Mark(inputs.leaf_store_m3, "full"),), axis="Month"),
        Chart("lines", "Work that falls due and hours of the crew, mean of a day", "worker-h/d", short,
              (Line("Due", outputs.hours_needed_by_month), Line("Hours of the crew", outputs.hours_available_by_month)),
              axis="Month"),
        Chart("bars", "Water used, mean of a day", "l/d", short, (Line("Water", outputs.water_used_l_by_month),), axis="Month"),
    ]  # fmt: skip
    return [*drawn, worm_stock] if inputs.worm_stock_kg > 0 else drawn


def _spans(record: Record) -> tuple[Span, ...]:
    """A bar for each heap of the first year, from its first load to the day on which it left its bay."""
    made = []
    for heap in record.heaps:
        if heap.begun >= DAYS_IN_YEAR or len(made) == MOST_LISTED:
            break
        end = DAYS_IN_YEAR if heap.left is None else min(heap.left, DAYS_IN_YEAR)
        start = max(heap.begun, 0)
        words = (
            str(heap.bay + 1),
            "first stage" if heap.stage == "first" else "curing",
            date_words(heap.begun) if heap.begun >= 0 else "before the walk",
            "still filling" if heap.full is None else date_words(heap.full) if heap.full >= 0 else "before the walk",
            "still there" if heap.left is None else date_words(heap.left),
        )
        made.append(Span(heap.bay, 0 if heap.stage == "first" else 1, start / DAYS_IN_YEAR, end / DAYS_IN_YEAR, words))
    return tuple(made)


CALCULATOR = Calculator(
    key="year", title="The year", question="What breaks first, and when?", inputs=Inputs, outputs=Outputs, solve=solve,
    sentence=sentence, notices=notices, cautions=cautions, charts=charts, on_request=True,
    sources=(RUN_OFF.cited(), source("rosso_1993"), practice("order of the day's work, rest days"),
             own_choice("degradable part, carbon, loss of nitrogen and pace of curing: see the page")),
)  # fmt: skip
