"""Arrivals: how much waste comes through the gate, when, and how much of it stays in the yard.

Kitchen waste is homes × people × rate × participation × capture, spread over the weekdays of collection and raised or
lowered by month. Market waste is weighed by weekday and follows the same months. Garden waste and leaves are given by
month. A festival raises kitchen and market waste on its days. Each stream loses its contamination to the rejects.

The year has 365 days; a mean of the year weighs each month by its days and every weekday alike.
"""

from __future__ import annotations

from dataclasses import dataclass

from calculators.declare import (
    MONTHS,
    WEEKDAYS,
    Calculator,
    Chart,
    Column,
    Line,
    RaisedCaution,
    Say,
    choice,
    count,
    number,
    output,
    output_series,
    output_table,
    own_choice,
    practice,
    series,
)  # fmt: skip
from calculators.reference import figure, source
from calculators.working import Working, most, total

DAYS_IN_MONTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
DAYS_IN_YEAR = 365
FOOD_WASTE = figure("arrivals_factors", "household", "food_waste_kg_person_day")
PARTICIPATION = figure("arrivals_factors", "capture", "participation_fraction")
CAPTURE = figure("arrivals_factors", "capture", "capture_fraction")
CONTAMINATION = figure("arrivals_factors", "capture", "contamination_fraction")
WET_DENSITY = figure("arrivals_factors", "density", "food_scraps_in_tub_kg_m3")
LOOSE_DENSITY = figure("arrivals_factors", "density", "yard_trimmings_loose_kg_m3")
FESTIVALS = {"none": "no festival", **{month.lower(): month for month in MONTHS}}


@dataclass(frozen=True)
class Inputs:
    """What a planner says about where the waste comes from."""

    homes: int = count(
        "Homes served", "home", 1000, low=0, high=200_000, usual=(20, 5_000), group="Homes",
        help="Homes whose segregated kitchen waste comes to this yard.", source=own_choice("a round number to start from"),
        measure="count the homes on the collection round",
    )  # fmt: skip
    people_per_home: float = number(
        "People in a home", "person", 4.0, low=0.5, high=20, usual=(1.5, 7), group="Homes",
        help="Mean of the homes served.", source=own_choice("ask the ward for its own mean"), measure="ask the ward office",
    )  # fmt: skip
    kitchen_kg_per_person: float = number(
        "Kitchen waste of a person", "kg/person/d", FOOD_WASTE.typical, low=0, high=3, usual=(0.1, 0.8), group="Homes",
        help="All the food waste a person makes in a day, whether it reaches the yard or not.",
        source=FOOD_WASTE.cited(), measure="weigh a week's bins from thirty homes",
    )  # fmt: skip
    participation_percent: float = number(
        "Homes taking part", "percent", PARTICIPATION.typical * 100, low=0, high=100, usual=(20, 95), group="Homes",
        help="Share of homes that put segregated waste out.", source=PARTICIPATION.cited(),
        measure="count the bins set out on three collection days",
    )  # fmt: skip
    capture_percent: float = number(
        "Share put in the right bin", "percent", CAPTURE.typical * 100, low=0, high=100, usual=(30, 95), group="Homes",
        help="Of a participating home's kitchen waste, the share that lands in the bin for the yard.",
        source=CAPTURE.cited(), measure="look through ten bins of mixed waste",
    )  # fmt: skip
    kitchen_share_by_weekday: tuple[float, ...] = series(
        "Collection over the week, relative", "1", WEEKDAYS, (1, 1, 1, 1, 1, 1, 1), low=0, high=100, group="Days and seasons",
        help="1 each for daily collection; 0 for a day without, and more for the day after.",
        source=own_choice("collection every day"),
    )  # fmt: skip
    season_percent_by_month: tuple[float, ...] = series(
        "Kitchen and market waste by month, percent of the ordinary", "percent", MONTHS, (100,) * 12, low=0, high=500,
        group="Days and seasons", help="100 in an ordinary month; more in the season of fruit, less when people travel.",
        source=own_choice("no seasons until they are weighed"), measure="weigh one week in every month of a year",
    )  # fmt: skip
    festival_month: str = choice(
        "Month of the festival", FESTIVALS, "none", group="Days and seasons",
        help="The festival that raises kitchen and market waste most.", source=own_choice("none until one is named"),
    )  # fmt: skip
    festival_days: int = count(
        "Days of the festival", "d", 7, low=0, high=28, usual=(0, 14), group="Days and seasons",
        help="Days on which more arrives.", source=own_choice("a week"),
    )  # fmt: skip
    festival_increase_percent: float = number(
        "Rise on festival days", "percent", 30.0, low=0, high=400, usual=(0, 150), group="Days and seasons",
        help="How much more kitchen and market waste than on an ordinary day of that month.",
        source=own_choice("weigh it in the first year"), measure="weigh the festival week",
    )  # fmt: skip
    market_kg_by_weekday: tuple[float, ...] = series(
        "Market waste on each weekday", "kg", WEEKDAYS, (0,) * 7, low=0, high=100_000, group="Market",
        help="As weighed at the gate, in an ordinary month.", source=own_choice("no market until one is weighed"),
        measure="weigh every market day for a month",
    )  # fmt: skip
    garden_kg_by_month: tuple[float, ...] = series(
        "Green garden waste, mean of a day in each month", "kg/d", MONTHS, (0,) * 12, low=0, high=100_000,
        group="Gardens and leaves", help="Grass, hedge and flower waste that arrives green and wet.",
        source=own_choice("none until it is weighed"), measure="weigh what the gardeners bring",
    )  # fmt: skip
    leaves_kg_by_month: tuple[float, ...] = series(
        "Dry leaves, mean of a day in each month", "kg/d", MONTHS, (0,) * 12, low=0, high=100_000,
        group="Gardens and leaves", help="Leaves swept dry; kept in the leaf store for the months without.",
        source=own_choice("none until they are weighed"), measure="weigh twenty sacks and count sacks through the fall",
    )  # fmt: skip
    kitchen_contamination_percent: float = number(
        "Contamination of kitchen waste", "percent", CONTAMINATION.typical * 100, low=0, high=90, usual=(0, 25),
        group="Contamination", help="Plastic, glass, metal and the like, by mass, taken out at the second sorting.",
        source=CONTAMINATION.cited(), measure="sort and weigh ten tubs",
    )  # fmt: skip
    market_contamination_percent: float = number(
        "Contamination of market waste", "percent", CONTAMINATION.typical * 100, low=0, high=90, usual=(0, 25),
        group="Contamination", help="String, bags, crates, by mass.", source=CONTAMINATION.cited(),
        measure="sort and weigh ten tubs",
    )  # fmt: skip
    garden_contamination_percent: float = number(
        "Contamination of garden waste and leaves", "percent", 2.0, low=0, high=90, usual=(0, 15), group="Contamination",
        help="Litter, stones and thick wood that is not shredded.", source=own_choice("cleaner than kitchen waste"),
        measure="sort and weigh ten sacks",
    )  # fmt: skip
    arrival_density_kg_m3: float = number(
        "Kitchen and market waste in the container", "kg/m3", WET_DENSITY.typical, low=50, high=1_200, usual=(200, 900),
        group="Contamination", help="Bulk density as it arrives. Published figures run from 235 (loose cart) to 897.",
        source=WET_DENSITY.cited(), measure="weigh a full container of known volume",
    )  # fmt: skip
    loose_density_kg_m3: float = number(
        "Garden waste and leaves as they arrive", "kg/m3", LOOSE_DENSITY.typical, low=10, high=800, usual=(60, 400),
        group="Contamination", help="Bulk density in the vehicle.", source=LOOSE_DENSITY.cited(),
        measure="weigh a full sack of known volume",
    )  # fmt: skip


@dataclass(frozen=True)
class Outputs:
    """What arrives and what is kept."""

    received_kg_per_day: float = output("Arrives at the gate, mean of the year", "kg/d", key_figure=True)
    kept_kg_per_day: float = output("Kept for composting", "kg/d", key_figure=True)
    rejects_kg_per_day: float = output("Rejects to be taken away", "kg/d", key_figure=True)
    busiest_day_kg: float = output(
        "Busiest day at the gate", "kg", key_figure=True,
        help="The fullest weekday of the fullest month, on a festival day where that month has one.",
    )  # fmt: skip
    kitchen_kg_per_day: float = output("Kitchen waste kept", "kg/d")
    market_kg_per_day: float = output("Market waste kept", "kg/d")
    garden_kg_per_day: float = output("Green garden waste kept", "kg/d")
    leaves_kg_per_day: float = output("Dry leaves kept, mean of the year", "kg/d", help="They fall in some months only.")
    wet_kg_per_day: float = output("Kitchen, market and green garden waste kept", "kg/d")
    received_m3_per_day: float = output("Volume at the gate, mean of the year", "m3/d")
    festival_percent_of_mean: float = output(
        "A festival day, in percent of that month's ordinary day", "percent", help="Wet waste kept; 100 without a festival."
    )
    wet_kg_by_weekday: tuple[float, ...] = output_series("Wet waste kept on each weekday", "kg/d", WEEKDAYS)
    wet_kg_by_month: tuple[float, ...] = output_series("Wet waste kept, mean of a day in each month", "kg/d", MONTHS)
    leaves_kept_kg_by_month: tuple[float, ...] = output_series("Dry leaves kept, mean of a day", "kg/d", MONTHS)
    received_by_month: tuple[tuple[object, ...], ...] = output_table(
        "At the gate, mean of a day in each month",
        (
            Column("month", "Month"), Column("kitchen", "Kitchen", "kg/d"), Column("market", "Market", "kg/d"),
            Column("garden", "Garden", "kg/d"), Column("leaves", "Leaves", "kg/d"), Column("all", "All", "kg/d"),
        ),
    )  # fmt: skip


def annual_mass_kg(people: float, kg_per_person_per_year: float) -> float:
    """Mass in a year (kg) of a population with a yearly rate for a person. Both at least 0."""
    return people * kg_per_person_per_year


def share_percent(part: float, whole: float) -> float:
    """``part`` as a percentage of ``whole``, which must not be 0."""
    return 100 * part / whole


def kitchen_set_out_kg(homes: float, people_per_home: float, kg_per_person: float, taking_part: float,
                       right_bin: float) -> float:  # fmt: skip
    """Kitchen waste set out for the yard in a day (kg): the last two are fractions 0–1, kg_per_person a day's."""
    return homes * people_per_home * kg_per_person * taking_part * right_bin


def mean_of_weekdays(day_figures: list[float]) -> float:
    """Mean over the seven weekdays."""
    return total(day_figures) / 7


def mean_of_months(month_figures: list[float]) -> float:
    """Mean of the year from twelve daily means, each month weighed by its days (365 in all)."""
    return total(value * days for value, days in zip(month_figures, DAYS_IN_MONTH, strict=True)) / DAYS_IN_YEAR


def season_of_month(season_percent: float, festival_increase_percent: float, festival_days: float, month_days: float) -> float:
    """Mean factor of a month on kitchen and market waste: its season, and the festival spread over its days."""
    return season_percent / 100 * (1 + festival_increase_percent / 100 * festival_days / month_days)


def kept_kg(arriving_kg: float, contamination_percent: float) -> float:
    """What is left of a stream when its contamination is taken out."""
    return arriving_kg * (1 - contamination_percent / 100)


def volume_m3(wet_kg: float, wet_density: float, loose_kg: float, loose_density: float) -> float:
    """Volume of two streams of different bulk density (kg/m³, above 0)."""
    return wet_kg / wet_density + loose_kg / loose_density


def _festival(inputs: Inputs) -> tuple[int, float]:
    """Index of the festival's month (−1 for none) and its rise in percent."""
    keys = list(FESTIVALS)
    index = keys.index(inputs.festival_month) - 1
    if index < 0 or inputs.festival_days == 0:
        return -1, 0.0
    return index, inputs.festival_increase_percent


def _shares(inputs: Inputs) -> list[float]:
    """Each weekday's part of a week's collection, mean 1; an all-zero week counts as even."""
    mean = total(inputs.kitchen_share_by_weekday) / 7
    return [share / mean if mean > 0 else 1.0 for share in inputs.kitchen_share_by_weekday]


def solve(inputs: Inputs, working: Working) -> Outputs:
    """Streams by month and weekday, what is kept, and the busiest day."""
    kitchen = working.step(
        "Kitchen waste set out, ordinary day", "kg/d", kitchen_set_out_kg,
        names={"kg_per_person": "kg a person", "taking_part": "share taking part", "right_bin": "share in the right bin"},
        homes=inputs.homes, people_per_home=inputs.people_per_home, kg_per_person=inputs.kitchen_kg_per_person,
        taking_part=inputs.participation_percent / 100, right_bin=inputs.capture_percent / 100,
    )  # fmt: skip
    market = working.step("Market waste, mean of an ordinary week", "kg/d", mean_of_weekdays,
                          day_figures=list(inputs.market_kg_by_weekday), names={"day_figures": list(WEEKDAYS)})  # fmt: skip
    festival_at, rise = _festival(inputs)
    seasons = [
        season_of_month(percent, rise if month == festival_at else 0.0, inputs.festival_days, days)
        for month, (percent, days) in enumerate(zip(inputs.season_percent_by_month, DAYS_IN_MONTH, strict=True))
    ]
    if festival_at >= 0:
        working.step(
            f"Factor of {MONTHS[festival_at]}, the festival in it", "1", season_of_month,
            season_percent=inputs.season_percent_by_month[festival_at], festival_increase_percent=rise,
            festival_days=inputs.festival_days, month_days=DAYS_IN_MONTH[festival_at],
        )  # fmt: skip
    season = working.step("Mean factor of the year", "1", mean_of_months, month_figures=seasons,
                          names={"month_figures": list(MONTHS)})  # fmt: skip
    garden = working.step("Green garden waste, mean of the year", "kg/d", mean_of_months,
                          month_figures=list(inputs.garden_kg_by_month), names={"month_figures": list(MONTHS)})  # fmt: skip
    leaves = working.step("Dry leaves, mean of the year", "kg/d", mean_of_months,
                          month_figures=list(inputs.leaves_kg_by_month), names={"month_figures": list(MONTHS)})  # fmt: skip

    def keep(label: str, arriving: float, contamination: float) -> float:
        return working.step(label, "kg/d", kept_kg, arriving_kg=arriving, contamination_percent=contamination)

    kitchen_kept = keep("Kitchen waste kept", kitchen * season, inputs.kitchen_contamination_percent)
    market_kept = keep("Market waste kept", market * season, inputs.market_contamination_percent)
    garden_kept = keep("Green garden waste kept", garden, inputs.garden_contamination_percent)
    leaves_kept = keep("Dry leaves kept", leaves, inputs.garden_contamination_percent)
    received = (kitchen + market) * season + garden + leaves
    kept = kitchen_kept + market_kept + garden_kept + leaves_kept
    working.note("At the gate, mean of the year", received, "kg/d", "The four streams added.")
    working.note("Rejects", received - kept, "kg/d", "What arrives less what is kept.")

    clean_kitchen = kept_kg(kitchen, inputs.kitchen_contamination_percent)
    clean_market = [kept_kg(value, inputs.market_contamination_percent) for value in inputs.market_kg_by_weekday]
    clean_garden = [kept_kg(value, inputs.garden_contamination_percent) for value in inputs.garden_kg_by_month]
    shares = _shares(inputs)
    wet_by_month = [
        (clean_kitchen + total(clean_market) / 7) * factor + green
        for factor, green in zip(seasons, clean_garden, strict=True)
    ]
    wet_by_weekday = [
        (clean_kitchen * share + day) * season + garden_kept
        for share, day in zip(shares, clean_market, strict=True)
    ]
    festival_percent = working.constant(100.0)
    if festival_at >= 0:
        ordinary = (clean_kitchen + total(clean_market) / 7) * inputs.season_percent_by_month[festival_at] / 100
        base = ordinary + clean_garden[festival_at]
        if base > 0:
            festival_percent = 100 * (base + ordinary * rise / 100) / base
    busiest = working.untraced(_busiest, inputs, kitchen, shares, festival_at, rise)
    working.note("Busiest day at the gate", busiest, "kg", "The largest of twelve months × seven weekdays, festival days in.")
    table = tuple(
        (month, kitchen * factor, market * factor, green, brown, (kitchen + market) * factor + green + brown)
        for month, factor, green, brown in zip(
            MONTHS, seasons, inputs.garden_kg_by_month, inputs.leaves_kg_by_month, strict=True
        )
    )
    return Outputs(
        received_kg_per_day=received,
        kept_kg_per_day=kept,
        rejects_kg_per_day=most(received - kept, 0.0),
        busiest_day_kg=busiest,
        kitchen_kg_per_day=kitchen_kept,
        market_kg_per_day=market_kept,
        garden_kg_per_day=garden_kept,
        leaves_kg_per_day=leaves_kept,
        wet_kg_per_day=kitchen_kept + market_kept + garden_kept,
        received_m3_per_day=working.step(
            "Volume at the gate", "m3/d", volume_m3, wet_kg=(kitchen + market) * season,
            wet_density=inputs.arrival_density_kg_m3, loose_kg=garden + leaves, loose_density=inputs.loose_density_kg_m3,
        ),
        festival_percent_of_mean=festival_percent,
        wet_kg_by_weekday=tuple(wet_by_weekday),
        wet_kg_by_month=tuple(wet_by_month),
        leaves_kept_kg_by_month=tuple(
            kept_kg(value, inputs.garden_contamination_percent) for value in inputs.leaves_kg_by_month
        ),
        received_by_month=table,
    )  # fmt: skip


def _busiest(inputs: Inputs, kitchen: float, shares: list[float], festival_at: int, rise: float) -> float:
    found = 0.0
    for month in range(12):
        factor = inputs.season_percent_by_month[month] / 100 * (1 + rise / 100 if month == festival_at else 1.0)
        fixed = inputs.garden_kg_by_month[month] + inputs.leaves_kg_by_month[month]
        for share, market in zip(shares, inputs.market_kg_by_weekday, strict=True):
            found = float(most(found, (kitchen * share + market) * factor + fixed))
    return found


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    return (
        f"About {say(outputs.received_kg_per_day, 'kg/d')} arrives and {say(outputs.kept_kg_per_day, 'kg/d')} is kept; "
        f"the busiest day brings {say(outputs.busiest_day_kg, 'kg')}."
    )


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about this result."""
    found = []
    bare = [month for month, kg in zip(MONTHS, inputs.leaves_kg_by_month, strict=True) if kg == 0]
    if len(bare) == 12:
        found.append("No leaves arrive: the mix needs bulking from elsewhere all year.")
    elif bare:
        found.append(f"No leaves fall in {len(bare)} months ({bare[0]} to {bare[-1]}): the leaf store must carry them."
                     if _in_a_row(bare) else f"No leaves fall in {len(bare)} months: the leaf store must carry them.")  # fmt: skip
    if outputs.received_kg_per_day == 0:
        found.append("Nothing arrives with these answers.")
    elif outputs.rejects_kg_per_day > 0.15 * outputs.received_kg_per_day:
        found.append("More than 15 % of what arrives is thrown out again: work on segregation at the homes first.")
    mean = outputs.received_kg_per_day
    if mean > 0 and outputs.busiest_day_kg > 2 * mean:
        found.append("The busiest day brings more than twice the mean: plan the receiving floor and the crew for it.")
    return found


def _in_a_row(months: list[str]) -> bool:
    start = MONTHS.index(months[0])
    return [MONTHS[(start + step) % 12] for step in range(len(months))] == months


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """The dangers of receiving waste."""
    found = [
        RaisedCaution("raw_waste_hands", f"{say(outputs.received_kg_per_day, 'kg/d')} of raw waste passes through hands."),
        RaisedCaution("reversing_vehicles", f"Up to {say(outputs.busiest_day_kg, 'kg')} comes by vehicle in a day."),
        RaisedCaution("rodent_mesh"),
    ]
    if outputs.rejects_kg_per_day > 0:
        found.append(RaisedCaution("sharps_in_waste",
                                   f"{say(outputs.rejects_kg_per_day, 'kg/d')} of rejects is picked out by hand."))  # fmt: skip
    return found


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """By month and by weekday."""
    columns = list(zip(*outputs.received_by_month, strict=True))
    return [
        Chart("bars", "Arrivals at the gate, mean of a day in each month", "kg/d",
              tuple(month[:3] for month in MONTHS),
              tuple(Line(name, tuple(columns[index])) for index, name in
                    enumerate(("Kitchen", "Market", "Garden", "Leaves"), start=1)), axis="Month"),
        Chart("bars", "Wet waste kept on each weekday", "kg/d", tuple(day[:3] for day in WEEKDAYS),
              (Line("Wet waste", outputs.wet_kg_by_weekday),), axis="Weekday"),
    ]  # fmt: skip


CALCULATOR = Calculator(
    key="arrivals", title="Arrivals", question="How much arrives, and when?", inputs=Inputs, outputs=Outputs,
    solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts,
    sources=(FOOD_WASTE.cited(), WET_DENSITY.cited(), source("escap_irrc"),
             practice("rejects and seasons must be weighed on site")),
)  # fmt: skip
