"""Drainage, rain and water: what heaps, washing and people take, what the roof gives, and where dirty water goes.

Three waters are kept apart. Clean rain off the roof goes to a tank and serves heaps, mix and washing. Drinking and
hand-washing take tap water only. What drips from heaps, and rain on dirty floor, goes to the sump and from there to young
heaps or to whoever may take it.

Heaps: what degrades gives heat, most of which leaves with moist air. What the heap must hold at the end of its first stage,
and what it has breathed out, less what it began with, must be added. The walk through the year draws the same figure.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from calculators.declare import (
    MONTHS,
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
    flag,
    number,
    output,
    output_series,
    output_table,
    output_text,
    own_choice,
    practice,
    series,
)  # fmt: skip
from calculators.reference import cited, figure, source
from calculators.simulate import heat as air
from calculators.simulate.water import TankYear, channel_depth, least_tank, mean_excess, tank_year
from calculators.simulate.year import CURING_PACE
from calculators.topics import mix
from calculators.topics.arrivals import DAYS_IN_MONTH, DAYS_IN_YEAR
from calculators.working import Working, least, most, total, whole_up

RUN_OFF = figure("heaps", "water", "roof_run_off_coefficient")
FLOOR_FALL = figure("heaps", "limits", "pad_slope_percent")
HOT_WEEKS = figure("heaps", "stages", "manual_windrow_hot_phase_weeks")
WITH_AIR = figure("water", "heap", "heat_carried_by_air_fraction")
LEAVING = figure("water", "heap", "leaving_air_c")
BATCHES = figure("water", "heap", "batch_spread_percent")
DRINKING = figure("water", "people", "drinking_l_per_hour")
HANDS = figure("water", "people", "hand_washing_l_per_worker")
RESERVE = figure("water", "tank", "dry_spell_days")
SPARE = figure("water", "sump", "spare_fraction")
LEAST_SUMP = figure("water", "sump", "least_m3")
STORM = figure("water", "sump", "storm_mm")
PAVED = figure("water", "channels", "paved_run_off_fraction")
GUTTER_SPARE = figure("water", "channels", "gutter_spare_factor")
GUTTER_ROUGHNESS = figure("water", "channels", "manning_sheet_or_plastic")
FREEBOARD = figure("water", "channels", "freeboard_mm")
SWEEPING = figure("water", "channels", "sweeping_speed_m_s")
DESIGN_RAIN = figure("water", "channels", "design_rain_mm_per_h")
PIPE_ROUGHNESS = figure("water", "channels", "downpipe_roughness_mm")
PIPE_FILLING = figure("water", "channels", "downpipe_filling_fraction")
EFFICIENCY = figure("water", "pump", "pump_efficiency_percent")
SURFACES = {
    "smooth_concrete": "smooth concrete, trowelled", "rough_concrete": "rough concrete", "brick": "brick in mortar",
    "sheet_or_plastic": "metal sheet or plastic",
}  # fmt: skip
WETTEST_MIX = 0.98
WASH_TO = {"sewer": "a sewer or treatment that may take it", "sump": "the sump"}
ROUGHNESS = {key: figure("water", "channels", f"manning_{key}") for key in SURFACES}
DEGRADABLE = 0.85
"""Of dry solids, the part that could go in the long run: chosen here, about the organic matter of the mix."""
WETTEST_HELD = mix.RANGES["moisture_percent_wet"]["acceptable_high"]
WATERED_BELOW = mix.RANGES["moisture_percent_wet"]["acceptable_low"] + 5
NEVER_EMPTIED_DAYS = 30
"""Days that a sump must hold where nobody empties it: chosen here."""
SUMP_STEP_M3 = 0.25
"""A pit is set out in round figures (chosen here)."""
GRAVITY = air.AIR["gravity_m_s2"]
VAPOUR_LEAVING = air.humidity_ratio(air.saturation_pressure(LEAVING.typical))
"""Water (kg) that a kilogram of dry air carries out of a hot heap; what it brought in is left out of account."""
LATENT = air.latent_heat(LEAVING.typical)
AIR_HEAT = air.AIR["heat_of_gas_kj_kg_k"] / 1000
BREAK_DOWN = {"heat_mj_per_kg": air.HEAT_MJ_KG, "latent_mj_per_kg": LATENT, "air_mj_per_kg_k": AIR_HEAT}


@dataclass(frozen=True)
class Inputs:
    """Roof and tank, people, heaps, floor and drain, sump and pump, gutters, weather."""

    roof_m2: float = number(
        "Roof that drains to the tank", "m2", 0.0, low=0, high=1e5, follows="shed", group="Rain, roof and tank",
        help="Seen from above. Less, where a part has no gutter.", measure="measure the roof on the plan",
    )  # fmt: skip
    rain_mm_by_month: tuple[float, ...] = series(
        "Rain in each month", "mm", MONTHS, (0,) * 12, low=0, high=3_000, group="Rain, roof and tank",
        help="Off the roof into the tank, and onto what is open.",
        source=own_choice("none until the nearest gauge is asked"), measure="ask the nearest rain gauge for its monthly means",
    )  # fmt: skip
    run_off_percent: float = number(
        "Of the rain, runs off", "percent", 100 * RUN_OFF.typical, low=10, high=100, usual=(80, 90),
        group="Rain, roof and tank", help="0.8 for tiles, 0.9 for metal sheet.", source=RUN_OFF.cited(),
    )  # fmt: skip
    tank_l: float = number(
        "Water tank holds", "l", 0.0, low=0, high=1e7, group="Rain, roof and tank",
        help="The tank you have or mean to build. 0: none yet, and the size found here is reckoned with.",
        source=own_choice("no tank"),
    )  # fmt: skip
    has_mains: bool = flag(
        "Water can be had from the mains", True, group="Rain, roof and tank", help="Used when the tank is empty.",
        source=own_choice("most yards"),
    )  # fmt: skip
    dry_spell_days: float = number(
        "A tank holds at least, days of use", "d", RESERVE.typical, low=0, high=90, usual=(3, 30), group="Rain, roof and tank",
        help="Dry days within a month, which a monthly balance does not see.", source=RESERVE.cited(),
        measure="look up the longest dry spell of the wet months",
    )  # fmt: skip
    crew_present: int = count(
        "Workers present on a working day", "worker", 5, low=0, high=100_000, follows="crew", group="People and washing",
        help="For drinking and hands.",
    )  # fmt: skip
    shift_hours: float = number(
        "Hours of a shift", "h", 8.0, low=1, high=12, follows="crew", group="People and washing", help="For drinking."
    )
    working_days_per_week: int = count(
        "Days a week the yard works", "d", 6, low=1, high=7, follows="crew", group="People and washing",
        help="On the others nothing is washed.",
    )  # fmt: skip
    drinking_l_per_hour: float = number(
        "Drinking water, a worker in an hour", "l", DRINKING.typical, low=0, high=3, usual=(0.45, 1.5),
        group="People and washing", help="Safe to drink, cool and near. More in heat.", source=DRINKING.cited(),
    )  # fmt: skip
    hand_washing_l_per_worker: float = number(
        "Hand-washing, a worker in a day", "l", HANDS.typical, low=0, high=100, usual=(5, 30), group="People and washing",
        help="With soap, from the tap and not from the rain tank.", source=HANDS.cited(),
    )  # fmt: skip
    wash_l_per_working_day: float = number(
        "Washing down takes", "l/d", 200.0, low=0, high=1e6, group="People and washing", help="On a working day.",
        source=own_choice("a few buckets for floor and tools"), measure="read the meter before and after",
    )  # fmt: skip
    wash_goes_to: str = choice(
        "Washing water goes to", WASH_TO, "sump",
        group="People and washing", help="It is dirty: never to a ditch or the street.",
        source=own_choice("the drain of a dirty floor leads to the sump"),
    )  # fmt: skip
    tap_l_per_min: float = number(
        "A tap gives", "l/min", 10.0, low=0.5, high=500, usual=(5, 30), group="People and washing",
        help="Or the hose of the tank.",
        source=own_choice("a household tap, well open"), measure="fill a bucket of known size and count the seconds",
    )  # fmt: skip
    mix_kg_per_day: float = number(
        "Mass of mix", "kg/d", 600.0, low=0.01, high=3e6, follows="mix", group="Heaps", help="Mean of the year."
    )
    mix_m3_per_day: float = number(
        "Volume of mix", "m3/d", 2.0, low=0.001, high=5_000, follows="mix", group="Heaps", help="Mean of the year."
    )
    mix_moisture_percent: float = number(
        "Moisture of the mix", "percent", 60.0, low=1, high=98, follows="mix", group="Heaps", help="Of wet mass."
    )
    bulking_kg_per_day: float = number(
        "Bulking", "kg/d", 100.0, low=0, high=2e6, follows="mix", group="Heaps", help="The rest of the mix is waste and water."
    )
    water_l_per_day: float = number(
        "Water to add to the mix", "l/d", 0.0, low=0, high=2e6, follows="mix", group="Heaps", help="Mean of the year."
    )
    wet_kg_by_month: tuple[float, ...] = series(
        "Wet waste, mean of a day in each month", "kg/d", MONTHS, (100,) * 12, low=0, high=1e6, follows="arrivals",
        group="Heaps", help="Only the proportions count here.",
    )  # fmt: skip
    heap_m3: float = number(
        "A heap when built", "m3", 5.0, low=0.01, high=2_000, follows="bays", group="Heaps", help="For the water of one heap."
    )
    first_stage_days: int = count(
        "Days in the first stage", "d", 45, low=7, high=180, follows="bays", group="Heaps", help="In which heaps are watered."
    )
    curing_days: int = count(
        "Days of curing", "d", 45, low=0, high=365, follows="bays", group="Heaps", help="Curing heaps are not watered."
    )
    solids_lost_percent: float = number(
        "Dry solids lost by the end", "percent", 35.0, low=1, high=80, follows="worms", group="Heaps",
        help="They leave as gas. Of the dry mass of the mix.",
    )  # fmt: skip
    watered_below_percent: float = number(
        "Heaps are watered when drier than", "percent", WATERED_BELOW, low=20, high=65, group="Heaps",
        help="Looked at when turned.", source=own_choice("a little above the moisture below which a heap slows"),
    )  # fmt: skip
    watered_to_percent: float = number(
        "They are watered to", "percent", 55.0, low=25, high=70, group="Heaps",
        help="Mix and water well. A heap leaves the first stage between the two.",
        source=own_choice("the middle of the preferred range"),
    )  # fmt: skip
    held_moisture_percent: float = number(
        "A mix holds its water up to", "percent", WETTEST_HELD, low=40, high=90, usual=(60, 70), group="Heaps",
        help="Wetter than that, it drips.",
        source=cited(mix.RANGES["moisture_percent_wet"]["source"], mix.RANGES["moisture_percent_wet"]["status"], ""),
        measure="build a small heap on a tray, and see when it drips",
    )  # fmt: skip
    batch_spread_percent: float = number(
        "A batch differs from the recipe by up to", "percent", BATCHES.typical, low=0, high=20, usual=(2, 10), group="Heaps",
        help="Points of moisture, to both sides, all alike likely. The wet batches drip, though the mean would not.",
        source=BATCHES.cited(), measure="dry a sample of ten batches",
    )  # fmt: skip
    floor_fall_percent: float = number(
        "Fall of the floor", "percent", FLOOR_FALL.typical, low=0.2, high=10, follows="shed", group="Floor and drain",
        help="Towards the drain: 2.5 % is 25 mm in each metre.",
        why_limits="Flatter, water stands; steeper, carts roll away and people slip.",
    )  # fmt: skip
    floor_way_m: float = number(
        "Longest way over the floor to the drain", "m", 6.0, low=0, high=1_000, follows="shed", group="Floor and drain",
        help="For the drop that a mason sets out.",
        measure="measure it on the plan",
    )  # fmt: skip
    drain_m: float = number(
        "Length of the drain", "m", 20.0, low=0, high=1e5, follows="shed", group="Floor and drain",
        help="From its far end to the sump.", measure="measure it on the plan",
    )  # fmt: skip
    drain_width_m: float = number(
        "Width of the drain, inside", "m", 0.2, low=0.05, high=2, usual=(0.15, 0.4), group="Floor and drain",
        help="A shovel must fit in, or nobody cleans it.", source=own_choice("a narrow shovel"),
    )  # fmt: skip
    drain_fall_percent: float = number(
        "Fall of the drain", "percent", 1.0, low=0.1, high=10, follows="shed", group="Floor and drain",
        help="1 % is 10 mm in each metre.",
    )  # fmt: skip
    drain_surface: str = choice(
        "The drain is of", SURFACES, "smooth_concrete", group="Floor and drain",
        help="A smooth drain is shallower and keeps clean.",
        source=own_choice("cement trowelled smooth"),
    )  # fmt: skip
    open_pad_m2: float = number(
        "Paving without a roof, clean", "m2", 0.0, low=0, high=1e6, follows="shed", group="Floor and drain",
        help="Where no waste lies. Its rain is led away by itself.",
        measure="measure it on the plan",
    )  # fmt: skip
    sump_open_m2: float = number(
        "Open to the rain, draining to the sump", "m2", 0.0, low=0, high=1e4, group="Floor and drain",
        help="Dirty floor or sump without a roof.", source=own_choice("all under roof"),
    )  # fmt: skip
    sump_emptied_every_days: int = count(
        "Days between emptyings of the sump", "d", 7, low=0, high=365, group="Sump and pump",
        help="What it must hold. 0: never; then a month is reckoned with.", source=own_choice("once a week"),
    )  # fmt: skip
    storm_mm: float = number(
        "Rain of a day that the sump must hold", "mm", STORM.typical, low=0, high=1_000, usual=(50, 300), group="Sump and pump",
        help="On what is open and drains to it.", source=STORM.cited(), measure="ask the weather office for its heaviest days",
    )  # fmt: skip
    pump_l_per_min: float = number(
        "The pump gives", "l/min", 40.0, low=1, high=5_000, usual=(10, 200), group="Sump and pump",
        help="From the sump, or from the tank.", source=own_choice("empties a small sump within minutes"),
    )  # fmt: skip
    pump_lift_m: float = number(
        "It lifts by", "m", 5.0, low=0.1, high=100, usual=(2, 20), group="Sump and pump",
        help="From the water to the outlet, with the loss in pipes: add about a fifth.",
        source=own_choice("a pit and a hose over a heap"),
        measure="measure the heights",
    )  # fmt: skip
    pump_efficiency_percent: float = number(
        "Efficiency of pump and motor", "percent", EFFICIENCY.typical, low=5, high=90, usual=(25, 60), group="Sump and pump",
        help="Of the power taken, what lifts water.", source=EFFICIENCY.cited(), measure="read the plate of the pump",
    )  # fmt: skip
    design_rain_mm_per_h: float = number(
        "Hardest rain to be led away", "mm/h", DESIGN_RAIN.typical, low=10, high=1_000, usual=(50, 250),
        group="Gutters and downpipes", help="For gutters and open paving: the rain of a few minutes. Your local code names it.",
        source=DESIGN_RAIN.cited(),
        measure="ask the building authority or the weather office",
    )  # fmt: skip
    gutter_count: int = count(
        "Gutters that share the roof", "each", 2, low=1, high=200, group="Gutters and downpipes", help="One at each eave.",
        source=own_choice("a roof with two eaves"),
    )  # fmt: skip
    gutter_fall_percent: float = number(
        "Fall of a gutter", "percent", 0.5, low=0.05, high=5, usual=(0.2, 1), group="Gutters and downpipes",
        help="0.5 % is 5 mm in each metre.", source=practice("a slight fall that still looks level"),
    )  # fmt: skip
    downpipe_count: int = count(
        "Downpipes", "each", 4, low=1, high=400, group="Gutters and downpipes", help="In all.",
        source=own_choice("one at each end of two gutters"),
    )  # fmt: skip
    outside_c_by_month: tuple[float, ...] = series(
        "Outside temperature in each month", "°C", MONTHS, (25,) * 12, low=-40, high=55, follows="worms", group="Warmth and wet waste",
        help="A hot heap breathes out a little less in cold air. In the walk through the year curing is slower too.",
    )  # fmt: skip
    waste_wetter_by_month: tuple[float, ...] = series(
        "Wet waste holds more moisture, in each month", "percent", MONTHS, (0,) * 12, low=0, high=40,
        group="Warmth and wet waste", help="Points above its moisture of the mean day: rain in open bins.",
        source=own_choice("none until samples are dried"),
        measure="dry a sample of the waste in the wettest month",
    )  # fmt: skip


IN_THE_TANK = (
    Column("month", "Month"), Column("rain", "Off the roof", "m3"), Column("wanted", "Heaps, mix, washing", "m3"),
    Column("taken", "Of it from rain", "m3"), Column("level", "In the tank at the end", "m3"),
    Column("over", "Runs over", "m3"),
)  # fmt: skip
USES = (
    Column("month", "Month"), Column("heaps", "Heaps", "m3"), Column("mix", "Mix", "m3"), Column("wash", "Washing", "m3"),
    Column("people", "People", "m3"), Column("tap", "Of all that, from the tap", "m3"),
)  # fmt: skip


@dataclass(frozen=True)
class Outputs:
    """Water wanted and had, tank, sump, channels and pump."""

    heap_water_l_per_day: float = output("Heaps take, mean of a day", "l/d", key_figure=True, help="In their first stage.")
    tap_l_per_day: float = output(
        "From the tap, mean of a day", "l/d", key_figure=True,
        help="What the rain does not cover, and all that people drink and wash hands with.",
    )  # fmt: skip
    roof_m3_per_year: float = output("Off the roof in a year", "m3", key_figure=True)
    tank_m3: float = output(
        "Rain tank that makes the most of the roof", "m3", key_figure=True, help="The smallest that does, month by month."
    )
    rain_cover_percent: float = output(
        "Of heaps, mix and washing, rain covers", "percent", key_figure=True, help="With your tank, or with the one found."
    )
    leachate_l_per_day: float = output(
        "Leachate, mean of a day", "l/d", key_figure=True,
        help="An estimate from the balance: no published figure for a roofed yard was found.",
    )  # fmt: skip
    sump_m3: float = output("Leachate sump", "m3", key_figure=True)
    sump_size_m3: float = output("Sump to build, rounded up", "m3", help="To the next quarter of a cubic metre.")
    tank_size_m3: float = output("Rain tank, yours or the one found", "m3", help="0: none.")
    driest_months: str = output_text("Months in which the tank runs dry")
    water_wanted_l_per_day: float = output("Water in all, mean of a day", "l/d", help="Heaps, mix, washing and people.")
    people_l_per_day: float = output("Drinking and hand-washing, mean of a day", "l/d", help="Tap water only.")
    most_water_l_per_day: float = output("Water on a working day of the thirstiest month", "l/d")
    tap_hours_per_day: float = output("A tap or hose runs on that day", "h/d")
    one_heap_water_l: float = output("One heap takes through its first stage", "l", help="Mean of the year.")
    evaporated_l_per_kg: float = output("Water breathed out for each kilogram of solids lost", "l")
    sump_to_heaps_l_per_day: float = output(
        "Of what the sump gets, young heaps and fresh mixes can take", "l/d", help="Never a heap past its hot phase."
    )
    sump_away_l_per_day: float = output("Of what the sump gets, to be taken away", "l/d")
    leachate_wettest_l_per_day: float = output("Leachate in the wettest month", "l/d")
    gutter_mm: float | None = output("Half-round gutter, width", "mm", help="Each. None without a roof.")
    downpipe_mm: float | None = output("Downpipe, inside width", "mm", help="Each, round. None without a roof.")
    drain_depth_mm: float = output("Depth of the drain", "mm", help="With what stays above the water.")
    floor_drop_mm: float = output("The floor drops to the drain by", "mm")
    drain_drop_mm: float = output("The drain drops to the sump by", "mm")
    open_pad_l_per_s: float = output("Off the clean paving in the hardest rain", "l/s")
    pump_w: float = output("The pump takes", "W")
    sump_emptying_min: float = output("It empties a full sump in", "min")
    channels: tuple[tuple[object, ...], ...] = output_table(
        "Gutters, pipes and drains in the hardest rain",
        (Column("what", "What"), Column("area", "Area", "m2"), Column("flow", "Flow in each", "l/s"), Column("size", "Size"),
         Column("mm", "At least", "mm")),
    )  # fmt: skip
    months: tuple[tuple[object, ...], ...] = output_table("Rain tank month by month", IN_THE_TANK)
    uses: tuple[tuple[object, ...], ...] = output_table("Water used month by month", USES)
    tanks: tuple[tuple[object, ...], ...] = output_table(
        "Other tanks",
        (Column("tank", "Tank", "m3"), Column("cover", "Of heaps, mix and washing", "percent"),
         Column("tap", "From the tap", "l/d"), Column("dry", "Months that run dry", "1")),
        help="A smaller tank often does nearly as much. One that holds only days of use does less than a monthly balance says.",
    )  # fmt: skip
    one_heap_water_l_by_month: tuple[float, ...] = output_series(
        "One heap takes through its first stage", "l", MONTHS, help="By the month in which it is built."
    )
    leachate_l_by_month: tuple[float, ...] = output_series("Leachate, mean of a day", "l/d", MONTHS)


# ---- formulas -------------------------------------------------------------------------------------------------


def evaporated_per_kg(outside_c: float, heat_mj_per_kg: float, latent_mj_per_kg: float, air_mj_per_kg_k: float,
                      carried: float, leaving_c: float, vapour: float) -> float:  # fmt: skip
    """Water (l) breathed out for each kilogram of solids degraded.

    The share of the heat that leaves with air (0 to 1), over what a litre takes: its own vaporising, and warming the dry
    air that carries it (``vapour`` kg of water in a kilogram of air) from outside.
    """
    return heat_mj_per_kg * carried / (latent_mj_per_kg + air_mj_per_kg_k * most(leaving_c - outside_c, 0) / vapour)


def lost_in_first_stage(lost: float, first_days: float, curing_days: float, degradable: float, curing_pace: float) -> float:
    """Part of the dry solids lost in the first stage, of which ``lost`` (below ``degradable``) are gone after both.

    First-order decay, in curing at ``curing_pace`` of the pace: the same law as in the walk through the year.
    """
    return degradable - degradable * (1 - lost / degradable) ** (first_days / (first_days + curing_pace * curing_days))


def heap_water(mix_kg: float, moisture: float, lost: float, evaporated: float, made: float, moisture_at_end: float) -> float:
    """Water (l) that a mass of mix needs through its first stage: breathed out, and held at its end, less what was there
    and what is made; never below 0. ``lost`` of its dry solids, ``evaporated`` and ``made`` l for each kg of them."""
    dry = 1 - moisture
    held_at_end = dry * (1 - lost) * moisture_at_end / (1 - moisture_at_end)
    return mix_kg * most(dry * lost * (evaporated - made) + held_at_end - moisture, 0)


def drip_per_kg(moisture: float, spread: float, held: float) -> float:
    """Water (l) that a kilogram of mix holds beyond what it can, the mean of batches spread evenly about a moisture.

    Moistures as fractions of wet mass; ``held`` (below 1) is the most that a mix holds, so its dry part holds
    held ÷ (1 − held) times its own mass. Without spread it is the rule of the walk through the year.
    """
    return mean_excess(moisture, spread, held) / (1 - held)


def mean_of_year(by_month: Sequence[float]) -> float:
    """Mean of a day of the year, of figures for a day in each month."""
    return total(value * days for value, days in zip(by_month, DAYS_IN_MONTH, strict=True)) / DAYS_IN_YEAR


def roof_yield(rain_mm: float, roof_m2: float, run_off: float) -> float:
    """Water (l) off a roof: a millimetre on a square metre is a litre. Run-off 0 to 1."""
    return rain_mm * roof_m2 * run_off


def rational_flow(run_off: float, rain_mm_per_h: float, hectares: float) -> float:
    """Peak flow (m³/s) off a small area by the rational method, Q = C·i·A ÷ 360."""
    return run_off * rain_mm_per_h * hectares / 360


def channel_flow(width_m: float, depth_m: float, fall: float, roughness: float) -> float:
    """Flow (m³/s) of a rectangular channel by Manning's equation; ``fall`` in metres for each metre."""
    return width_m * depth_m * (width_m * depth_m / (width_m + 2 * depth_m)) ** (2 / 3) * fall**0.5 / roughness


def half_round_width(flow_m3_s: float, fall: float, roughness: float) -> float:
    """Width (m) of a half-round gutter that just carries a flow, brim-full: Manning's equation turned round.

    Its area is π/8 of the width squared, its hydraulic radius a quarter of the width.
    """
    return (flow_m3_s * roughness / (0.392699082 * 0.25 ** (2 / 3) * fall**0.5)) ** (3 / 8)


def downpipe_width(flow_l_s: float, roughness_mm: float, filling: float) -> float:
    """Inside width (mm) of a round downpipe by the equation of Wyly and Eaton, Q = 2.5·10⁻⁴·k^(−1/6)·d^(8/3)·f^(5/3),
    as in EN 12056-3 (from memory): flow in l/s, roughness in mm, ``filling`` the part of the section that is water."""
    return (flow_l_s * roughness_mm ** (1 / 6) / (0.00025 * filling ** (5 / 3))) ** (3 / 8)


def pump_power(flow_l_s: float, lift_m: float, efficiency: float, gravity: float) -> float:
    """Power (W) that a pump takes: ρ·g·Q·H ÷ η, a litre of water weighing a kilogram. Efficiency above 0 to 1."""
    return flow_l_s * gravity * lift_m / efficiency


def sump_volume(inflow_l_day: float, days: float, storm_l: float, spare: float, least_m3: float) -> float:
    """Volume (m³) for the inflow of some days and a storm, with a share to spare, and no less than ``least_m3``."""
    return most((inflow_l_day * days + storm_l) * (1 + spare) / 1000, least_m3)


def people_water(workers: float, drinking: float, shift_hours: float, hands: float, working_days: float) -> float:
    """Water (l) for drinking and hands, a mean day of the week."""
    return workers * (drinking * shift_hours + hands) * working_days / 7


def drop(way_m: float, fall_percent: float) -> float:
    """Height (mm) lost over a way at a fall."""
    return way_m * fall_percent * 10


def rounded_up(volume_m3: float, to_m3: float) -> float:
    """A volume (m³) rounded up to the next round one."""
    return whole_up(volume_m3 / to_m3) * to_m3


# ---- month by month -------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Months:
    """Litres a day in each month (``supply`` litres in all of it, ``one_heap`` litres for a heap)."""

    heaps: tuple[float, ...]
    mix: tuple[float, ...]
    leachate: tuple[float, ...]
    young: tuple[float, ...]
    one_heap: tuple[float, ...]
    supply: tuple[float, ...]


def _in_months(inputs: Inputs, working: Working, lost: float) -> _Months:
    """What each month brings and takes. A heap's water is counted in the month in which it is built."""
    mean = working.step("Wet waste, mean of a day", "kg/d", mean_of_year, by_month=inputs.wet_kg_by_month, names=_NAMES)
    waste_share = most(1 - (inputs.bulking_kg_per_day + inputs.water_l_per_day) / inputs.mix_kg_per_day, 0)
    held = inputs.held_moisture_percent / 100
    end = (inputs.watered_below_percent + inputs.watered_to_percent) / 200
    hot_share = least(1, 7 * HOT_WEEKS.typical / inputs.first_stage_days)
    heap_kg = inputs.heap_m3 * inputs.mix_kg_per_day / inputs.mix_m3_per_day
    rows = []
    for month, days in enumerate(DAYS_IN_MONTH):
        share = inputs.wet_kg_by_month[month] / mean if mean > 0 else working.constant(1.0)
        kg = inputs.mix_kg_per_day * share
        wetter = waste_share * inputs.waste_wetter_by_month[month] / 100
        moisture = least(inputs.mix_moisture_percent / 100 + wetter, WETTEST_MIX)
        dripped = drip_per_kg(moisture, inputs.batch_spread_percent / 100, held)
        if dripped > 0:
            dripped = working.step(f"A kilogram of mix drips in {MONTHS[month]}", "l", drip_per_kg, moisture=moisture,
                                   spread=inputs.batch_spread_percent / 100, held=held)  # fmt: skip
        evaporated = evaporated_per_kg(inputs.outside_c_by_month[month], carried=WITH_AIR.typical, leaving_c=LEAVING.typical,
                                       vapour=VAPOUR_LEAVING, **BREAK_DOWN)  # fmt: skip
        heaps = working.step(f"Heaps take in {MONTHS[month]}", "l/d", heap_water, mix_kg=kg * (1 - dripped),
                             moisture=(moisture - dripped) / (1 - dripped), lost=lost, evaporated=evaporated,
                             made=air.WATER_MADE, moisture_at_end=end)  # fmt: skip
        rows.append((
            heaps, inputs.water_l_per_day * share, kg * dripped + inputs.rain_mm_by_month[month] * inputs.sump_open_m2 / days,
            inputs.water_l_per_day * share + heaps * hot_share, heaps * heap_kg / kg if kg > 0 else working.constant(0.0),
            roof_yield(inputs.rain_mm_by_month[month], inputs.roof_m2, inputs.run_off_percent / 100),
        ))  # fmt: skip
    return _Months(*zip(*rows, strict=True))


_NAMES = {"by_month": list(MONTHS)}


@dataclass(frozen=True)
class _Tank:
    found_l: float
    covered_percent: float
    tap_l_per_day: float
    dry: str
    months: tuple[tuple[object, ...], ...]
    uses: tuple[tuple[object, ...], ...]
    others: tuple[tuple[object, ...], ...]


def _cover(year: TankYear) -> float:
    wanted = sum(year.taken) + sum(year.lacking)
    return 100 * sum(year.taken) / wanted if wanted > 0 else 100.0


def _dry_months(year: TankYear) -> list[str]:
    return [month for month, litres, taken in zip(MONTHS, year.lacking, year.taken, strict=True)
            if litres > 1e-9 * (litres + taken)]  # fmt: skip


def _through_the_months(inputs: Inputs, months: _Months, wash: float, people: float) -> _Tank:
    """The tank found, what it or the user's own does, and what others would do."""
    demand = tuple((heaps + added + wash) * days
                   for heaps, added, days in zip(months.heaps, months.mix, DAYS_IN_MONTH, strict=True))  # fmt: skip
    daily = max(litres / days for litres, days in zip(demand, DAYS_IN_MONTH, strict=True))
    found = max(least_tank(months.supply, demand), inputs.dry_spell_days * daily) if sum(months.supply) > 0 else 0.0
    used = inputs.tank_l or found
    year = tank_year(months.supply, demand, used)

    def tap(of: TankYear) -> float:
        return people + sum(of.lacking) / DAYS_IN_YEAR

    rows, uses = [], []
    for month, days in enumerate(DAYS_IN_MONTH):
        held = (months.supply[month], demand[month], year.taken[month], year.level[month], year.over[month])
        rows.append((MONTHS[month], *(litres / 1000 for litres in held)))
        used_up = (months.heaps[month], months.mix[month], wash, people, year.lacking[month] / days + people)
        uses.append((MONTHS[month], *(litres * days / 1000 for litres in used_up)))
    others = []
    for size in sorted({found / 8, found / 4, found / 2, found, 2 * found, inputs.tank_l or found}) if found else ():
        other = tank_year(months.supply, demand, size)
        others.append((size / 1000, _cover(other), tap(other), float(len(_dry_months(other)))))
    dry = _dry_months(year)
    words = "no tank" if not used else "every month" if len(dry) == 12 else ", ".join(dry) if dry else "none"
    return _Tank(found, _cover(year), tap(year), words, tuple(rows), tuple(uses), tuple(others))


def _depth(flow_m3_s: float, width_m: float, fall_percent: float, surface: str) -> float:
    return channel_depth(flow_m3_s, width_m, fall_percent / 100, ROUGHNESS[surface].typical)


# ---- solving --------------------------------------------------------------------------------------------------


def solve(inputs: Inputs, working: Working) -> Outputs:
    """Heaps' water, rain and tank, people, leachate and sump, channels, pump."""
    if inputs.watered_to_percent < inputs.watered_below_percent:
        raise CannotSolve("Heaps can't be watered to less than the moisture at which they are.",
                          ("watered_to_percent", "watered_below_percent"))  # fmt: skip
    outside = total(celsius * days for celsius, days in zip(inputs.outside_c_by_month, DAYS_IN_MONTH, strict=True)) / DAYS_IN_YEAR
    evaporated = working.step("Water breathed out for each kilogram of solids lost", "l", evaporated_per_kg, outside_c=outside,
                              carried=WITH_AIR.typical, leaving_c=LEAVING.typical, vapour=VAPOUR_LEAVING, **BREAK_DOWN,
                              note="From the heat of degradation that Heap heat reckons with.")  # fmt: skip
    lost = working.step("Solids lost in the first stage, of dry mass", "fraction", lost_in_first_stage,
                        lost=inputs.solids_lost_percent / 100, first_days=inputs.first_stage_days,
                        curing_days=inputs.curing_days, degradable=DEGRADABLE, curing_pace=CURING_PACE)  # fmt: skip
    months = _in_months(inputs, working, lost)
    heaps = working.step("Heaps take, mean of a day", "l/d", mean_of_year, by_month=months.heaps, names=_NAMES, note=_BY_MONTH)
    wash = inputs.wash_l_per_working_day * inputs.working_days_per_week / 7
    people = working.step("Drinking and hand-washing, mean of a day", "l/d", people_water, workers=inputs.crew_present,
                          drinking=inputs.drinking_l_per_hour, shift_hours=inputs.shift_hours,
                          hands=inputs.hand_washing_l_per_worker, working_days=inputs.working_days_per_week)  # fmt: skip
    roof = working.step("Off the roof in a year", "l", roof_yield, rain_mm=total(inputs.rain_mm_by_month), roof_m2=inputs.roof_m2,
                        run_off=inputs.run_off_percent / 100, source=source("practical_action_rain"))  # fmt: skip
    tank = working.untraced(_through_the_months, inputs, months, wash, people)
    working.note("Rain tank", tank.found_l / 1000, "m3", _TANK)
    working.note("From the tap, mean of a day", tank.tap_l_per_day, "l/d", "What the tank lacks, and all that people take.")
    used = [each + added for each, added in zip(months.heaps, months.mix, strict=True)]
    peak = (most(*used) + wash + people) * 7 / inputs.working_days_per_week
    mean_leachate = mean_of_year(months.leachate)
    wettest = most(*months.leachate)
    working.note("Leachate in the wettest month", wettest, "l/d", _DRIP)
    days = inputs.sump_emptied_every_days if inputs.sump_emptied_every_days > 0 else working.constant(NEVER_EMPTIED_DAYS)
    dirty = wash if inputs.wash_goes_to == "sump" else working.constant(0.0)
    returned = working.untraced(_returned, months.leachate, dirty, months.young)
    sump = working.step("Sump", "m3", sump_volume, inflow_l_day=wettest + dirty, days=days,
                        storm_l=inputs.storm_mm * inputs.sump_open_m2, spare=SPARE.typical,
                        least_m3=LEAST_SUMP.typical)  # fmt: skip
    pump_flow = inputs.pump_l_per_min / 60
    power = working.step("The pump takes", "W", pump_power, flow_l_s=pump_flow, lift_m=inputs.pump_lift_m,
                         efficiency=inputs.pump_efficiency_percent / 100, gravity=GRAVITY,
                         note="A litre of water is taken as a kilogram.")  # fmt: skip
    gutter, pipe, roof_rows = _roof_drainage(inputs, working)
    drain, pad, floor_rows = _floor_drainage(inputs, working)
    return Outputs(
        heap_water_l_per_day=heaps,
        tap_l_per_day=tank.tap_l_per_day,
        roof_m3_per_year=roof / 1000,
        tank_m3=tank.found_l / 1000,
        rain_cover_percent=tank.covered_percent,
        leachate_l_per_day=mean_leachate,
        sump_m3=sump,
        sump_size_m3=working.step("Sump to build", "m3", rounded_up, volume_m3=sump, to_m3=SUMP_STEP_M3),
        tank_size_m3=inputs.tank_l / 1000 if inputs.tank_l > 0 else tank.found_l / 1000,
        driest_months=tank.dry,
        water_wanted_l_per_day=heaps + mean_of_year(months.mix) + wash + people,
        people_l_per_day=people,
        most_water_l_per_day=peak,
        tap_hours_per_day=peak / (inputs.tap_l_per_min * 60),
        one_heap_water_l=mean_of_year(months.one_heap),
        evaporated_l_per_kg=evaporated,
        sump_to_heaps_l_per_day=returned,
        sump_away_l_per_day=mean_leachate + dirty - returned,
        leachate_wettest_l_per_day=wettest,
        gutter_mm=gutter,
        downpipe_mm=pipe,
        drain_depth_mm=drain,
        floor_drop_mm=working.step("The floor drops to the drain by", "mm", drop, way_m=inputs.floor_way_m,
                                   fall_percent=inputs.floor_fall_percent),
        drain_drop_mm=working.step("The drain drops to the sump by", "mm", drop, way_m=inputs.drain_m,
                                   fall_percent=inputs.drain_fall_percent),
        open_pad_l_per_s=pad,
        pump_w=power,
        sump_emptying_min=1000 * sump / inputs.pump_l_per_min,
        channels=(*roof_rows, *floor_rows),
        months=tank.months,
        uses=tank.uses,
        tanks=tank.others,
        one_heap_water_l_by_month=months.one_heap,
        leachate_l_by_month=months.leachate,
    )  # fmt: skip


_BY_MONTH = "From the balance of each month's mix, air and amount, a heap's water counted in the month in which it is built."
_TANK = (
    "By the sequent peak algorithm over a year that repeats: the largest sum of monthly deficits where the year brings enough, "
    "else of surpluses; and no less than the days of use that were asked for."
)
_DRIP = (
    "What batches hold beyond what they can, were batches spread evenly about the month's mix, and rain on what is open: an "
    "estimate. No published figure for a roofed yard was found."
)


def _returned(leachate: tuple[float, ...], dirty: float, young: tuple[float, ...]) -> float:
    """Of what the sump gets, what fresh mixes and young heaps of the month can take: a mean day of the year."""
    return mean_of_year(tuple(min(each + dirty, takes) for each, takes in zip(leachate, young, strict=True)))


def _roof_drainage(inputs: Inputs, working: Working) -> tuple[float | None, float | None, tuple[tuple[object, ...], ...]]:
    if inputs.roof_m2 <= 0:
        return None, None, ()
    each = inputs.roof_m2 / inputs.gutter_count
    flow = working.step("Flow in a gutter in the hardest rain", "m3/s", rational_flow, run_off=1.0,
                        rain_mm_per_h=inputs.design_rain_mm_per_h, hectares=each / 10_000,
                        note="In such rain a roof sheds all of it.")  # fmt: skip
    gutter = 1000 * working.step("Half-round gutter, width", "m", half_round_width, flow_m3_s=flow * GUTTER_SPARE.typical,
                                 fall=inputs.gutter_fall_percent / 100, roughness=GUTTER_ROUGHNESS.typical,
                                 note="Manning's equation, brim-full, for half as much again.")  # fmt: skip
    below = inputs.roof_m2 / inputs.downpipe_count
    pipe_flow = 1000 * rational_flow(1.0, inputs.design_rain_mm_per_h, below / 10_000)
    pipe = working.step("Downpipe, inside width", "mm", downpipe_width, flow_l_s=pipe_flow,
                        roughness_mm=PIPE_ROUGHNESS.typical, filling=PIPE_FILLING.typical,
                        source=source("en_12056_3"))  # fmt: skip
    return gutter, pipe, (
        ("Gutter, half-round", each, 1000 * flow, "width", gutter), ("Downpipe, round", below, pipe_flow, "inside width", pipe),
    )  # fmt: skip


def _floor_drainage(inputs: Inputs, working: Working) -> tuple[float, float, tuple[tuple[object, ...], ...]]:
    """Depth (mm) of the drain under the roof, flow (l/s) off the clean paving, and rows of the table."""
    rained = rational_flow(1.0, inputs.design_rain_mm_per_h, inputs.sump_open_m2 / 10_000)
    flow = inputs.tap_l_per_min / 60_000 + rained
    working.note("Flow in the drain", flow, "m3/s", "A hose, and the hardest rain on what is open and drains to the sump.")
    drain = _channel(inputs, working, "drain", flow)
    rows: list[tuple[object, ...]] = [("Drain to the sump", inputs.sump_open_m2, 1000 * flow, "depth", drain)]
    pad = working.step("Off the clean paving in the hardest rain", "m3/s", rational_flow, run_off=PAVED.typical,
                       rain_mm_per_h=inputs.design_rain_mm_per_h, hectares=inputs.open_pad_m2 / 10_000)  # fmt: skip
    if inputs.open_pad_m2 > 0:
        rows.append(("Drain of the clean paving, as wide", inputs.open_pad_m2, 1000 * pad, "depth",
                     _channel(inputs, working, "drain of the clean paving", pad)))  # fmt: skip
    return drain, 1000 * pad, tuple(rows)


def _channel(inputs: Inputs, working: Working, what: str, flow: float) -> float:
    depth = working.untraced(_depth, flow, inputs.drain_width_m, inputs.drain_fall_percent, inputs.drain_surface)
    working.step(f"At the depth found, the {what} carries", "m3/s", channel_flow, width_m=inputs.drain_width_m, depth_m=depth,
                 fall=inputs.drain_fall_percent / 100, roughness=ROUGHNESS[inputs.drain_surface].typical,
                 note="Manning's equation; the depth is found by halving.")  # fmt: skip
    return 1000 * depth + FREEBOARD.typical


# ---- words ----------------------------------------------------------------------------------------------------


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    heaps = f"Heaps take about {say(outputs.heap_water_l_per_day, 'l/d')} of water"
    tap = f"the tap gives {say(outputs.tap_l_per_day, 'l/d')}"
    sump = f"make the leachate sump {say(outputs.sump_m3, 'm3')}"
    if outputs.roof_m3_per_year <= 0:
        return f"{heaps}; no rain is caught, and {tap} for the whole yard; {sump}."
    rain = f"the roof gives {say(outputs.roof_m3_per_year, 'm3')} in a year"
    size = f"your tank of {say(inputs.tank_l / 1000, 'm3')}" if inputs.tank_l > 0 else f"a tank of {say(outputs.tank_m3, 'm3')}"
    if outputs.driest_months == "none":
        does = f"with {size} no month runs dry"
    else:
        does = f"with {size} rain covers {say(outputs.rain_cover_percent, 'percent')} of what heaps, mix and washing take"
    return f"{heaps}; {rain}; {does}, and {tap}; {sump}."


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about this result."""
    found = []
    if inputs.roof_m2 > 0 and not any(inputs.rain_mm_by_month):
        found.append("No rain was given: ask the nearest gauge for its twelve monthly means.")
    if inputs.roof_m2 <= 0:
        found.append("No roof drains to a tank: give its size and the rain of each month, to see what rain can do.")
    if outputs.roof_m3_per_year > 0:
        found.extend(_about_rain(inputs, outputs, say))
    if not inputs.has_mains and outputs.tap_l_per_day > 0:
        found.append(f"There are no mains: {say(outputs.tap_l_per_day, 'l/d')} must come by cart or from a well, and of it "
                     f"{say(outputs.people_l_per_day, 'l/d')} fit to drink.")  # fmt: skip
    if outputs.tap_hours_per_day > inputs.shift_hours:
        found.append(f"One tap would run {say(outputs.tap_hours_per_day, 'h/d')}, longer than the shift: have more taps, or a "
                     "tank that fills overnight.")  # fmt: skip
    elif outputs.tap_hours_per_day > inputs.shift_hours / 4:
        found.append(f"A tap runs {say(outputs.tap_hours_per_day, 'h/d')} in the thirstiest month: a raised tank and a wide "
                     "hose save a worker's time.")  # fmt: skip
    if inputs.mix_moisture_percent > inputs.held_moisture_percent:
        found.append(f"The mix itself is wetter than it can hold, {say(inputs.mix_moisture_percent, 'percent')}: more "
                     "bulking is better than a larger sump.")  # fmt: skip
    found.append("Leachate is an estimate from the moisture balance: no published figure for a roofed yard was found. Measure "
                 "yours in a bucket for a wet week before you dig.")  # fmt: skip
    if outputs.sump_to_heaps_l_per_day > 0:
        found.append(f"Fresh mixes and young heaps can take {say(outputs.sump_to_heaps_l_per_day, 'l/d')} from the sump; "
                     "each litre saves one of clean water, which is not counted above.")  # fmt: skip
    if outputs.sump_away_l_per_day > 1e-9:
        found.append(f"No heap takes the other {say(outputs.sump_away_l_per_day, 'l/d')} that the sump gets: settle with the "
                     "authority where it goes.")  # fmt: skip
    if inputs.sump_emptied_every_days == 0:
        found.append(f"A sump that is never emptied runs over; {NEVER_EMPTIED_DAYS} days are reckoned with.")
    if inputs.wash_goes_to == "sewer":
        found.append("Washing water is dirty. Where no sewer or treatment may take it, let it go to the sump and see how "
                     "that grows.")
    if _speed(inputs, outputs) < SWEEPING.typical:
        found.append("In the drain water moves more slowly than is needed to carry solids along: sweep it, and put a grid "
                     "and a trap before the sump.")  # fmt: skip
    found.append("Falls and sizes are for planning and for a quotation: your local code and a licensed person decide about "
                 "drainage.")  # fmt: skip
    return found


def _about_rain(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    found = []
    if inputs.tank_l > 0 and outputs.driest_months != "none":
        better = f"Your tank runs dry in: {outputs.driest_months}."
        if inputs.tank_l < 1000 * outputs.tank_m3 * (1 - 1e-6):
            better += f" One of {say(outputs.tank_m3, 'm3')} would make the most of this roof; the table shows the rest."
        found.append(better)
    elif outputs.driest_months != "none":
        found.append("This roof does not catch enough for the year: a larger tank than that would give nothing more.")
    daily = outputs.water_wanted_l_per_day - outputs.people_l_per_day
    if 0 < inputs.tank_l < inputs.dry_spell_days * daily:
        found.append(f"Your tank holds less than {say(inputs.dry_spell_days, 'd')} of use: between rains it runs dry where "
                     "the months do not show it.")  # fmt: skip
    found.append("The balance is by months. The walk through the year is by days, with your own tank; wetter and drier years "
                 "are among its uncertain years.")  # fmt: skip
    found.append("Let the first rain after a dry spell run to waste: it washes the roof.")
    return found


def _speed(inputs: Inputs, outputs: Outputs) -> float:
    """Speed (m/s) of what flows in the drain in the hardest rain."""
    depth = (outputs.drain_depth_mm - FREEBOARD.typical) / 1000
    if depth <= 0:
        return 0.0
    fall = inputs.drain_fall_percent / 100
    flow = channel_flow(inputs.drain_width_m, depth, fall, ROUGHNESS[inputs.drain_surface].typical)
    return flow / (inputs.drain_width_m * depth)


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """The dangers of pits, standing water, dirty water and pumps."""
    found = [
        RaisedCaution("sump_entry", f"A sump of {say(outputs.sump_m3, 'm3')}. Its cover must bear a person, and no child may "
                      "be able to lift it."),
        RaisedCaution("leachate_reuse", f"Some {say(outputs.leachate_l_per_day, 'l/d')} of leachate, in the wettest month "
                      f"{say(outputs.leachate_wettest_l_per_day, 'l/d')}."),
        RaisedCaution("licensed_electrician", f"A pump of some {say(outputs.pump_w, 'W', 2)} stands in or by water."),
        RaisedCaution("damaged_cable", "A pump's cable lies in the wet."),
    ]  # fmt: skip
    if outputs.roof_m3_per_year > 0 or inputs.tank_l > 0:
        found += [
            RaisedCaution("rain_not_for_drinking", f"People need {say(outputs.people_l_per_day, 'l/d')} of safe water."),
            RaisedCaution("mosquitoes_in_tanks"),
            RaisedCaution("legionella", "Rain stands warm in a tank and leaves it by a hose."),
        ]
    if inputs.tank_l > 0 or outputs.tank_m3 > 0:
        tonnes = max(inputs.tank_l / 1000, outputs.tank_m3)
        found.append(RaisedCaution("shed_structure", f"A full tank of {say(tonnes, 'm3')} weighs {say(tonnes, 't')}: its "
                                   "stand and footing need a design too."))  # fmt: skip
    return found


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """Water wanted by where it comes from, rain and tank through the year, leachate."""
    short = tuple(month[:3] for month in MONTHS)
    rain, wanted, taken, level, over = zip(*(row[1:] for row in outputs.months), strict=True)
    kept = tuple(off - gone for off, gone in zip(rain, over, strict=True))  # type: ignore[operator]
    size = inputs.tank_l / 1000 or outputs.tank_m3
    tap = tuple(row[-1] for row in outputs.uses)
    return [
        Chart("bars", "Water that the yard takes, by month", "m3", short,
              (Line("From rain", taken), Line("From the tap", tap)), axis="Month"),  # type: ignore[arg-type]
        Chart("lines", "The rain tank, and what heaps, mix and washing take", "m3", short,
              (Line("In the tank at the end of the month", level), Line("Heaps, mix and washing", wanted)),
              (Mark(size, "the tank is full"),) if size else (), axis="Month"),
        Chart("bars", "Rain off the roof", "m3", short, (Line("Used or stored", kept), Line("Runs over", over)), axis="Month"),
        Chart("bars", "Leachate, mean of a day", "l/d", short, (Line("Leachate", outputs.leachate_l_by_month),), axis="Month"),
    ]  # fmt: skip


CALCULATOR = Calculator(
    key="water", title="Drainage, rain and water", question="How much water, from where, and where does dirty water go?",
    inputs=Inputs, outputs=Outputs, solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts,
    sources=(RUN_OFF.cited(), FLOOR_FALL.cited(), source("pichtel"), WITH_AIR.cited(), LEAVING.cited(),
             HOT_WEEKS.cited(), source("haug_1993"), source("chow_1959"), source("en_12056_3"), PAVED.cited(),
             GUTTER_SPARE.cited(), SPARE.cited(),
             practice("Manning's equation, rational method, sequent peak algorithm: general hydraulics")),
)  # fmt: skip
