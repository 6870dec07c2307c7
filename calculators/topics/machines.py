"""Machines and power: shredder hours, one against two, a breakdown, energy, currents for the electrician, noise.

What must be shredded comes from arrivals, mix and crew; the hours are those of Crew, by the same formula. Currents are
figures to hand to a licensed electrician: nothing here chooses a cable, a switch or a fuse.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from calculators.declare import (
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
    output_text,
    own_choice,
    table,
    text,
)  # fmt: skip
from calculators.known import plain
from calculators.lifting import permitted_hours
from calculators.reference import Figure, cited, figure, figures, rows_of, source
from calculators.topics.crew import machine_hours, per_working_day
from calculators.working import Working, least, log10, most, sqrt, total

EFFICIENCY = figures("machines", "efficiency")
POWER_FACTOR = figures("machines", "power_factor")
START_MULTIPLE = figures("machines", "start_multiple")
VOLTS = figures("machines", "supply")
LOAD = figure("machines", "load", "shredder")
REPAIR = figure("machines", "breakdown", "repair_days")
ROOM = figure("machines", "breakdown", "room_m3")
HAND_CHOP = figure("machines", "breakdown", "hand_chop")
SHREDDER_DB = figure("machines", "noise", "shredder_db")
SHREDDER_KW = figure("work_rates", "machines", "shredder_power_kw")
NOISE_RULES = rows_of("machines", "noise_rules")
STRICTEST = NOISE_RULES[0]
OTHERS = rows_of("machines", "other_machines")
OPTIONS = rows_of("machines", "shredder_options")
SUPPLIES = {"three": "three-phase", "single": "single-phase", "engine": "its own engine, no electricity"}
KINDS = {"three": "three-phase motor", "single": "single-phase motor", "steady": "lights or heater, single-phase"}
FEEDS = {"hand": "by hand", "belt": "by a belt"}
DAYS_IN_MONTH = 365 / 12
ENOUGH_DB = 85.0
"""Where NIOSH asks for protection over a full shift; the distance shown for others keeps to it."""


def _typical(label: str, unit: str, held: Figure, low: float, high: float, **more: object) -> float:
    return number(label, unit, held.typical, low=low, high=high, usual=(held.low, held.high), source=held.cited(), **more)


@dataclass(frozen=True)
class Inputs:
    """What is shredded, by which machine, what else runs, and who stands beside it."""

    bulking_kg_per_day: float = number(
        "Bulking", "kg/d", 100.0, low=0, high=2e6, follows="mix", group="What is shredded", help="Dry leaves and the like."
    )
    garden_kg_per_day: float = number(
        "Green garden waste kept", "kg/d", 40.0, low=0, high=1e6, follows="arrivals", group="What is shredded",
        help="Hedge cuttings, grass and the like.",
    )  # fmt: skip
    market_kg_per_day: float = number(
        "Market waste kept", "kg/d", 0.0, low=0, high=1e6, follows="arrivals", group="What is shredded",
        help="Mean of all days."
    )
    shredded_percent: float = number(
        "Bulking that is shredded", "percent", 50.0, low=0, high=100, follows="crew", group="What is shredded",
        help="Finer pieces compost faster.",
    )  # fmt: skip
    garden_shredded_percent: float = number(
        "Green garden waste that is shredded", "percent", 0.0, low=0, high=100, follows="crew", group="What is shredded",
        help="Twigs thicker than a finger; grass and soft leaves need none.",
    )  # fmt: skip
    market_shredded_percent: float = number(
        "Market waste that is shredded", "percent", 0.0, low=0, high=100, follows="crew", group="What is shredded",
        help="Stems, banana stalks, cobs, coconut husk.",
    )  # fmt: skip
    shift_hours: float = number(
        "Hours of a shift", "h", 8.0, low=1, high=12, follows="crew", group="The working week", help="Paid time at the yard."
    )
    rest_percent: float = number(
        "Rest, washing and delays", "percent", 20.0, low=0, high=80, follows="crew", group="The working week",
        help="Of the shift."
    )
    working_days_per_week: int = count(
        "Days a week the yard works", "d", 6, low=1, high=7, follows="crew", group="The working week",
        help="What comes on other days waits.",
    )  # fmt: skip
    shredder_kg_per_hour: float = number(
        "A shredder takes", "kg/h", 500.0, low=10, high=20_000, follows="crew", group="The shredder",
        help="Dry leaves and small branches.",
    )  # fmt: skip
    shredder_hands: int = count(
        "Hands at a shredder", "worker", 2, low=1, high=6, follows="crew", group="The shredder",
        help="No more can work at it at once.",
    )  # fmt: skip
    shred_rate: float = number(
        "Feed and clear the shredder", "kg/worker-h", 200.0, low=1, high=20_000, follows="crew", group="The shredder",
        help="By one worker in an hour. With a belt to feed it, write more.",
    )  # fmt: skip
    shredder_count: int = count(
        "Shredders", "each", 1, low=0, high=100_000, follows="crew", group="The shredder", help="As many as the hours ask for."
    )
    shredder_kw: float = number(
        "Power of a shredder", "kW", SHREDDER_KW.typical, low=0.1, high=500, usual=(1.5, 30), group="The shredder",
        help="Of its motor or engine, from the name plate.", source=SHREDDER_KW.cited(), measure="read the name plate",
    )  # fmt: skip
    shredder_supply: str = choice(
        "It is driven by", SUPPLIES, "three", group="The shredder",
        help="Ask the supply company whether three phases are to be had.",
        source=own_choice("motors of this size are mostly three-phase"),
    )  # fmt: skip
    shredder_load_percent: float = _typical(
        "Load while shredding, of its power", "percent", LOAD, 5, 120, group="The shredder",
        help="Mean over an hour, for energy only.",
        measure="read the meter before and after an hour's work",
    )  # fmt: skip
    shredder_options: tuple[tuple[object, ...], ...] = table(
        "Other shredders to compare", {
            "name": text("Called", ""),
            "number": count("How many", "each", 1, low=1, high=20),
            "takes": number("Each takes", "kg/h", 500.0, low=10, high=20_000),
            "power": number("Power of each", "kW", 5.0, low=0.1, high=500),
            "feed": choice("Fed", FEEDS, "hand"),
        }, tuple((row["name"], row["count"], float(row["kg_per_hour"]), float(row["kw"]), row["feed"]) for row in OPTIONS),
        most_rows=6, group="One large or two smaller", help="By hand the hands may be slower than the machine; a belt keeps "
                                                            "up.",
        source=own_choice("one of twice the size, and two of the published size"),
        measure="ask dealers for a trial with your own waste",
    )  # fmt: skip
    repair_days: float = _typical(
        "A repair takes", "d", REPAIR, 0, 365, group="When the shredder stands", help="Until the machine runs again.",
        measure="ask the dealer how long a part takes",
    )  # fmt: skip
    unshredded_room_m3: float = _typical(
        "Room for what waits unshredded", "m3", ROOM, 0, 10_000, group="When the shredder stands",
        help="Under cover, away from the heaps.", measure="measure the place",
    )  # fmt: skip
    loose_density_kg_m3: float = number(
        "Loose garden waste and leaves weigh", "kg/m3", 100.0, low=10, high=800, follows="arrivals",
        group="When the shredder stands",
        help="As they lie before shredding.",
    )  # fmt: skip
    hand_chop_rate: float = _typical(
        "Cut by hand", "kg/worker-h", HAND_CHOP, 1, 500, group="When the shredder stands",
        help="With billhook or spade on a block, by one worker.", measure="time two people for half an hour",
    )  # fmt: skip
    other_machines: tuple[tuple[object, ...], ...] = table(
        "Other machines and lights", {
            "name": text("Called", ""),
            "kw": number("Power", "kW", 1.0, low=0.001, high=500),
            "hours": number("Runs on a working day", "h", 1.0, low=0, high=24),
            "kind": choice("It is a", KINDS, "single"),
            "efficiency": number("Efficiency", "percent", None, low=5, high=100, blank=True),
            "power_factor": number("Power factor", "1", None, low=0.1, high=1, blank=True),
            "start": number("Starts at, times its current", "1", None, low=1, high=15, blank=True),
        }, tuple((row["name"], row["kw"], row["hours"], row["kind"], None, None, None) for row in OTHERS), most_rows=15,
        group="Other machines and lights", help="Empty cells take the typical figure of their kind. Power of a motor is "
                                                "what it gives.",
        source=own_choice("a first list; strike out what you will not have"), measure="read each name plate",
    )  # fmt: skip
    single_phase_volts: float = _typical(
        "Volts, single phase", "V", VOLTS["single"], 50, 500, group="Supply", help="Between live and neutral.",
        measure="ask the supply company",
    )  # fmt: skip
    three_phase_volts: float = _typical(
        "Volts, three phases", "V", VOLTS["three"], 100, 1_000, group="Supply", help="Between two phases.",
        measure="ask the supply company",
    )  # fmt: skip
    shredder_efficiency_percent: float | None = number(
        "Efficiency of the shredder's motor", "percent", None, low=5, high=100, blank=True, group="Supply",
        help="Empty: the typical figure of its kind.", source=EFFICIENCY["three"].cited(), measure="read the name plate",
    )  # fmt: skip
    shredder_power_factor: float | None = number(
        "Power factor of the shredder's motor", "1", None, low=0.1, high=1, blank=True, group="Supply",
        help="Empty: the typical figure of its kind.", source=POWER_FACTOR["three"].cited(), measure="read the name plate",
    )  # fmt: skip
    shredder_start_multiple: float | None = number(
        "It starts at, times its running current", "1", None, low=1, high=15, blank=True, group="Supply",
        help="Empty: the typical figure of its kind.", source=START_MULTIPLE["three"].cited(), measure="ask the maker",
    )  # fmt: skip
    noise_sources: tuple[tuple[object, ...], ...] = table(
        "What is loud while the shredder runs", {
            "name": text("Called", ""),
            "level": number("Level", "dB", 90.0, low=20, high=140),
            "measured": number("measured at a distance of", "m", 1.0, low=0.1, high=100),
            "worker": number("Worker stands at", "m", 1.0, low=0.1, high=500),
        }, (("Shredder", SHREDDER_DB.typical, 1.0, 1.0),), most_rows=8, group="Noise",
        help="All that sound at the same time, at work and not idling.", source=SHREDDER_DB.cited(),
        measure="borrow a sound level meter; a phone is only a hint",
    )  # fmt: skip
    shredder_turns: int = count(
        "Workers who take turns at the shredder", "worker", 1, low=1, high=50, group="Noise",
        help="The hours are shared by them.",
        source=own_choice("the same people all day, until turns are agreed"),
    )  # fmt: skip


@dataclass(frozen=True)
class Outputs:
    """Hours, energy, currents, breakdown, noise."""

    energy_kwh_per_month: float = output("Electricity, a mean month", "kWh/month", key_figure=True)
    energy_kwh_per_working_day: float = output("Electricity on a working day", "kWh/d", key_figure=True)
    shredded_kg_per_working_day: float = output("Shredded on a working day", "kg/d", key_figure=True)
    hours_each_shredder: float = output("Each shredder runs", "h/d", key_figure=True, help="On a working day.")
    shredder_use_percent: float = output("of the hours that can be worked", "percent", help="The shift less rest.")
    demand_kva: float = output("All running at once", "kVA", key_figure=True,
                               help="Added as if all lagged alike: a little too much.")
    connected_kw: float = output("Power taken, all at full load", "kW")
    shredder_running_a: float | None = output("A shredder takes, running", "A", help="– for an engine.")
    shredder_starting_a: float | None = output("A shredder takes, starting", "A", help="– for an engine.")
    largest_start: str = output_text("Hardest to start")
    start_kva: float = output("The same, starting while all else runs", "kVA")
    backlog_kg: float = output("Waits unshredded after a repair", "kg", help="With one shredder standing.")
    unshredded_wait_days: float | None = output("Room is full after", "d", help="None (–) where the others keep up.")
    catch_up_days: float | None = output("Working days to catch up", "d",
                                         help="None (–) where there is nothing, or no spare hour.")
    hand_chop_hours: float = output(
        "By hand instead, on a working day", "worker-h/d", help="Cutting what the standing shredder leaves."
    )
    noise_at_worker_db: float | None = output("Noise where the worker stands", "dB", help="None (–) where no source is given.")
    noise_dose_percent: float | None = output(
        "Noise of a working day, in percent of what NIOSH recommends", "percent", digits=2,
        help="None (–) where no source is given."
    )
    keep_away_m: float | None = output("Others without muffs stay away at least", "m",
                                       help="85 dB(A), in the open. None (–) without a source.")
    shredded_streams: tuple[tuple[object, ...], ...] = output_table(
        "What is shredded",
        (Column("what", "Waste"), Column("comes", "Mean of all days", "kg/d"), Column("share", "Shredded", "percent"),
         Column("kg", "On a working day", "kg/d"), Column("hours", "One shredder's hours", "h/d")),
    )  # fmt: skip
    shredders_compared: tuple[tuple[object, ...], ...] = output_table(
        "One large or two smaller, the yard as planned first",
        (Column("name", "Shredders"), Column("hours", "Each runs", "h/d"), Column("spare", "Spare", "h/d"),
         Column("down", "With one standing, each runs", "h/d"), Column("waits", "and waits each working day", "kg/d"),
         Column("energy", "Electricity", "kWh/month")),
    )  # fmt: skip
    energy_by_machine: tuple[tuple[object, ...], ...] = output_table(
        "Electricity",
        (Column("name", "Machine"), Column("kw", "Takes while it runs", "kW"), Column("hours", "Runs on a working day", "h/d"),
         Column("day", "A working day", "kWh/d"), Column("month", "A month", "kWh/month")),
    )  # fmt: skip
    for_the_electrician: tuple[tuple[object, ...], ...] = output_table(
        "To hand to the licensed electrician: one of each, no choice of cable, switch or fuse",
        (Column("name", "Machine"), Column("supply", "Supply"), Column("kw", "Gives", "kW"), Column("running", "Running", "A"),
         Column("starting", "Starting", "A"), Column("kva", "Takes", "kVA")),
    )  # fmt: skip
    behind_the_currents: tuple[tuple[object, ...], ...] = output_table(
        "What these currents rest on",
        (Column("name", "Machine"), Column("count", "How many", "each"), Column("taken", "Takes at full load", "kW"),
         Column("efficiency", "Efficiency", "percent"), Column("factor", "Power factor", "1"),
         Column("multiple", "Starts at, times its current", "1")),
    )  # fmt: skip
    noise_limits: tuple[tuple[object, ...], ...] = output_table(
        "Published limits on noise",
        (Column("rule", "Rule"), Column("hours", "Permitted at this level", "h/d"), Column("dose", "Of it used", "percent", 2),
         Column("met", "Reading"), Column("status", "How known")),
    )  # fmt: skip


# ---- formulas -------------------------------------------------------------------------------------------------


def power_taken(output_kw: float, efficiency_percent: float) -> float:
    """Electrical power taken (kW) for what a motor gives (kW); efficiency above 0, in percent."""
    return output_kw / (efficiency_percent / 100)


def single_phase_current(taken_kw: float, volts: float, power_factor: float) -> float:
    """Running current (A), single phase: P ÷ (V × pf), P the power taken in watts (textbooks of electrical engineering)."""
    return 1000 * taken_kw / (volts * power_factor)


def three_phase_current(taken_kw: float, volts: float, power_factor: float) -> float:
    """Running current (A) of each of three phases: P ÷ (√3 × V × pf), V between two phases (textbooks)."""
    return 1000 * taken_kw / (sqrt(3) * volts * power_factor)


def three_phase_power(volts: float, amperes: float, power_factor: float) -> float:
    """Power taken (kW) from three phases: √3 × V × I × pf. Textbooks; the formula for the current turned round."""
    return sqrt(3) * volts * amperes * power_factor / 1000


def motor_efficiency(output_kw: float, taken_kw: float) -> float:
    """Efficiency of a motor, percent: what it gives over what it takes (above 0)."""
    return 100 * output_kw / taken_kw


def starting_current(running_a: float, multiple: float) -> float:
    """Current at the moment of starting (A): a multiple of the running current."""
    return running_a * multiple


def apparent_power(taken_kw: float, power_factor: float) -> float:
    """Apparent power (kVA) of a power taken."""
    return taken_kw / power_factor


def energy_used(taken_kw: float, load_percent: float, hours: float) -> float:
    """Energy (kWh) of a machine that runs some hours at a share of its power. Losses are taken as at full load."""
    return taken_kw * load_percent / 100 * hours


def energy_in_a_month(working_day_kwh: float, working_days: float) -> float:
    """Energy of a mean month (kWh): that of a working day, on so many days of the week, in 365 ÷ 12 days."""
    return working_day_kwh * working_days / 7 * DAYS_IN_MONTH


def rate_of_power(power: float, power_for_each_kg_per_hour: float) -> float:
    """What a shredder takes (kg/h) with a power, given the power for each kilogram an hour in the same unit."""
    return power / power_for_each_kg_per_hour


def level_at(level_db: float, measured_m: float, distance_m: float) -> float:
    """Sound level at a distance: L − 20·log10(d ÷ d₀), for a small source in the open.

    Walls and a roof throw sound back, so under a shed it falls less. Source: Master Handbook of Acoustics, p. 64.
    """
    return level_db - 20 * log10(distance_m / measured_m)


def sum_of_levels(levels: Sequence[float]) -> float:
    """Level of several sources together: 10·log10(Σ 10^(L ÷ 10)). At least one. Source: US OSHA, combining decibels."""
    return 10 * log10(total(10 ** (level / 10) for level in levels))


def noise_at_worker(levels: Sequence[float], measured: Sequence[float], distances: Sequence[float]) -> float:
    """Level of all sources where the worker stands, each brought to its distance."""
    return sum_of_levels([level_at(*each) for each in zip(levels, measured, distances, strict=True)])


def noise_dose(hours: Sequence[float], permitted: Sequence[float]) -> float:
    """Dose of a day in percent: 100 × Σ hours ÷ permitted hours (US OSHA, 29 CFR 1910.95; NIOSH 98-126)."""
    return 100 * total(spent / allowed for spent, allowed in zip(hours, permitted, strict=True))


def distance_for(level_db: float, at_m: float, wanted_db: float) -> float:
    """Distance (m) at which a level heard at ``at_m`` has fallen to the wanted one; never less than ``at_m``."""
    return most(at_m, at_m * 10 ** ((level_db - wanted_db) / 20))


def backlog_each_day(kg_a_day: float, kg_an_hour: float, running: float, hours: float) -> float:
    """What is left unshredded on a working day (kg) with so many shredders running all hours."""
    return most(kg_a_day - running * kg_an_hour * hours, 0)


def kept_back(each_day: float, repair_days: float, working_days: float) -> float:
    """What has piled up when a repair is done (kg): its working days × what each leaves."""
    return each_day * repair_days * working_days / 7


def days_of_room(room_m3: float, density: float, each_day: float, working_days: float) -> float:
    """Days of the calendar until a room is full; what comes in on a working day must be above 0."""
    return room_m3 * density / (each_day * working_days / 7)


# ---- solving --------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Load:
    """One kind of machine on the supply: one of them, and how many there are."""

    name: str
    count: float
    kind: str
    gives_kw: float
    efficiency: float
    factor: float
    multiple: float
    hours: float
    load_percent: float

    @property
    def taken_kw(self) -> float:
        return power_taken(self.gives_kw, self.efficiency)

    @property
    def kva(self) -> float:
        return apparent_power(self.taken_kw, self.factor)


def _or(value: float | None, held: Figure) -> float:
    return held.typical if value is None else value


def _streams(inputs: Inputs) -> tuple[tuple[str, float, float], ...]:
    return (
        ("Bulking", inputs.bulking_kg_per_day, inputs.shredded_percent),
        ("Green garden waste", inputs.garden_kg_per_day, inputs.garden_shredded_percent),
        ("Market waste", inputs.market_kg_per_day, inputs.market_shredded_percent),
    )


def shredded_of(amounts: Sequence[float], percents: Sequence[float]) -> float:
    """What is shredded of several streams, each with its percentage."""
    return total(amount * percent / 100 for amount, percent in zip(amounts, percents, strict=True))


def _loads(inputs: Inputs, hours: float) -> list[_Load]:
    """Everything on the supply, the shredders first."""
    found = []
    kind = inputs.shredder_supply
    if kind != "engine" and inputs.shredder_count > 0:
        found.append(_Load("Shredder", inputs.shredder_count, kind, inputs.shredder_kw,
                           _or(inputs.shredder_efficiency_percent, EFFICIENCY[kind]),
                           _or(inputs.shredder_power_factor, POWER_FACTOR[kind]),
                           _or(inputs.shredder_start_multiple, START_MULTIPLE[kind]), hours,
                           inputs.shredder_load_percent))  # fmt: skip
    for name, kw, runs, of_kind, efficiency, factor, start in inputs.other_machines:
        key = str(of_kind)
        found.append(_Load(str(name) or KINDS[key], 1, key, kw, _or(efficiency, EFFICIENCY[key]),  # type: ignore[arg-type]
                           _or(factor, POWER_FACTOR[key]), _or(start, START_MULTIPLE[key]), runs,
                           100.0))  # type: ignore[arg-type]
    return found


def _current(load: _Load, inputs: Inputs, working: Working) -> tuple[float, float, float]:
    """Volts, running and starting current of one machine; the working of a shredder's is shown."""
    formula, volts = ((three_phase_current, inputs.three_phase_volts) if load.kind == "three"
                      else (single_phase_current, inputs.single_phase_volts))  # fmt: skip
    running = working.step(f"{load.name}, running", "A", formula, taken_kw=load.taken_kw, volts=volts, power_factor=load.factor)
    return volts, running, starting_current(running, load.multiple)


def _compared(inputs: Inputs, kg: float, usable: float, own_rate: float) -> list[tuple[object, ...]]:
    """Each choice of shredders: how long they run, what is spare, and what one standing still leaves."""
    kind = "three" if inputs.shredder_supply == "engine" else inputs.shredder_supply
    efficiency = _or(inputs.shredder_efficiency_percent, EFFICIENCY[kind])
    electric = inputs.shredder_supply != "engine"
    choices: list[tuple[str, float, float, float]] = []
    if inputs.shredder_count > 0:
        choices.append(("As planned", inputs.shredder_count, own_rate, inputs.shredder_kw))
    hands = inputs.shredder_hands * inputs.shred_rate
    for name, number_of, takes, power, feed in inputs.shredder_options:
        rate = takes if feed == "belt" else least(takes, hands)  # type: ignore[type-var]
        choices.append((str(name) or "Another", number_of, rate, power))  # type: ignore[arg-type]
    rows: list[tuple[object, ...]] = []
    for name, many, rate, power in choices:
        hours = kg / (many * rate)
        left = backlog_each_day(kg, rate, many - 1, usable)
        down = least(kg / ((many - 1) * rate), usable) if many > 1 else None
        taken = energy_used(power_taken(power, efficiency), inputs.shredder_load_percent, kg / rate)
        month = energy_in_a_month(taken, inputs.working_days_per_week) if electric else 0.0
        rows.append((name, hours, usable - hours, down, left, month))
    return rows


def solve(inputs: Inputs, working: Working) -> Outputs:
    """Hours, energy, currents, a breakdown, noise."""
    days = inputs.working_days_per_week
    streams = _streams(inputs)
    mean = working.step("Shredded, mean of all days", "kg/d", shredded_of, amounts=[each[1] for each in streams],
                        percents=[each[2] for each in streams],
                        names={"amounts": [each[0].lower() for each in streams],
                               "percents": [f"percent of {each[0].lower()}" for each in streams]})  # fmt: skip
    kg = working.step("Shredded on a working day", "kg/d", per_working_day, hours_a_day=mean, working_days=days,
                      names={"hours_a_day": "kg a day"})  # fmt: skip
    usable = inputs.shift_hours * (1 - inputs.rest_percent / 100)
    hours = working.step("One shredder's hours on a working day", "h/d", machine_hours, amount_kg=kg,
                         machine_kg_per_hour=inputs.shredder_kg_per_hour, hands=inputs.shredder_hands,
                         hand_kg_per_hour=inputs.shred_rate, note="The same formula as in Crew.")  # fmt: skip
    rate = least(inputs.shredder_kg_per_hour, inputs.shredder_hands * inputs.shred_rate)
    each_runs = hours / most(inputs.shredder_count, 1)
    loads = _loads(inputs, each_runs)
    energy_rows, electric_rows, basis_rows = [], [], []
    shredder_running = shredder_starting = None
    for load in loads:
        volts, running, starting = _current(load, inputs, working)
        if load is loads[0] and inputs.shredder_supply != "engine" and inputs.shredder_count > 0:
            shredder_running, shredder_starting = running, starting
        used = load.count * energy_used(load.taken_kw, load.load_percent, load.hours)
        taken = load.taken_kw * load.load_percent / 100
        energy_rows.append((load.name, load.count * taken, load.hours, used, energy_in_a_month(used, days)))
        electric_rows.append((load.name, f"{KINDS[load.kind]}, {volts:g} V", load.gives_kw, running, starting, load.kva))
        basis_rows.append((load.name, load.count, load.taken_kw, load.efficiency, load.factor, load.multiple))
    day = working.step("Electricity on a working day", "kWh/d", _added, used=[row[3] for row in energy_rows],
                       names={"used": [row[0] for row in energy_rows]})  # fmt: skip
    month = working.step("Electricity, a mean month", "kWh/month", energy_in_a_month, working_day_kwh=day, working_days=days)
    demand = working.step("All running at once", "kVA", _added, used=[load.count * load.kva for load in loads],
                          names={"used": [load.name for load in loads]},
                          note="Apparent powers added as they are; different power factors would make it a little "
                               "less.")  # fmt: skip
    hardest, start = working.untraced(_hardest, demand, loads)
    broken = _breakdown(inputs, kg, usable, rate, working)
    level = dose = away = None
    limits: tuple[tuple[object, ...], ...] = ()
    exposed = each_runs / inputs.shredder_turns
    if inputs.noise_sources:
        names, levels, measured, distances = (list(column) for column in zip(*inputs.noise_sources, strict=True))
        named = [str(name) or f"source {index + 1}" for index, name in enumerate(names)]
        level = working.step("Noise where the worker stands", "dB", noise_at_worker, levels=levels, measured=measured,
                             distances=distances, source=source("osha_otm_noise"),
                             names={"levels": named, "measured": [f"measured at, {name}" for name in named],
                                    "distances": [f"distance, {name}" for name in named]})  # fmt: skip
        allowed = working.step("Hours permitted at it", "h", permitted_hours, level_db=level,
                               criterion_db=STRICTEST["criterion_db"],
                               exchange_db=STRICTEST["exchange_db"], source=source(STRICTEST["source"]))  # fmt: skip
        dose = working.step("Noise of a working day", "percent", noise_dose, hours=[exposed], permitted=[allowed],
                            names={"hours": ["hours of each worker"], "permitted": ["hours permitted"]})  # fmt: skip
        away = working.untraced(_keep_away, inputs.noise_sources)
        limits = working.untraced(_noise_limits, level, exposed)
    return Outputs(
        energy_kwh_per_month=month,
        energy_kwh_per_working_day=day,
        shredded_kg_per_working_day=kg,
        hours_each_shredder=each_runs,
        shredder_use_percent=100 * each_runs / usable,
        demand_kva=demand,
        connected_kw=total(load.count * load.taken_kw for load in loads),
        shredder_running_a=shredder_running,
        shredder_starting_a=shredder_starting,
        largest_start=hardest,
        start_kva=start,
        backlog_kg=broken[0],
        unshredded_wait_days=broken[1],
        catch_up_days=broken[2],
        hand_chop_hours=broken[3],
        noise_at_worker_db=level,
        noise_dose_percent=dose,
        keep_away_m=away,
        shredded_streams=tuple(
            (name, comes, share, per_working_day(comes * share / 100, days), per_working_day(comes * share / 100, days) / rate)
            for name, comes, share in streams
        ),
        shredders_compared=tuple(_compared(inputs, kg, usable, rate)),
        energy_by_machine=tuple(energy_rows),
        for_the_electrician=tuple(electric_rows),
        behind_the_currents=tuple(basis_rows),
        noise_limits=limits,
    )


def _added(used: Sequence[float]) -> float:
    """The sum of the machines' figures, 0 for none."""
    return total(used)


def _hardest(demand: float, loads: list[_Load]) -> tuple[str, float]:
    """The machine whose start draws most while everything else runs, and what is then drawn (kVA)."""
    if not loads:
        return "nothing is on the supply", 0.0
    name, drawn = max(((load.name, demand + load.kva * (load.multiple - 1)) for load in loads), key=lambda each: each[1])
    return name, drawn


def _breakdown(inputs: Inputs, kg: float, usable: float, rate: float,
               working: Working) -> tuple[float, float | None, float | None, float]:  # fmt: skip
    """One shredder stands for the days of a repair: what waits, when room is full, how long to catch up, by hand."""
    left = working.step("Left each working day with one standing", "kg/d", backlog_each_day, kg_a_day=kg, kg_an_hour=rate,
                        running=most(inputs.shredder_count - 1, 0), hours=usable)  # fmt: skip
    days = inputs.working_days_per_week
    waits = working.step("Waits unshredded after a repair", "kg", kept_back, each_day=left, repair_days=inputs.repair_days,
                         working_days=days)  # fmt: skip
    full = None
    if left > 0:
        full = working.step("Room is full after", "d", days_of_room, room_m3=inputs.unshredded_room_m3,
                            density=inputs.loose_density_kg_m3, each_day=left, working_days=days)  # fmt: skip
    spare = inputs.shredder_count * rate * usable - kg
    catch_up = waits / spare if waits > 0 and spare > 0 else None
    return waits, full, catch_up, left / inputs.hand_chop_rate


def _keep_away(sources: Sequence[Sequence[float]]) -> float:
    """Distance (m) from the middle of the sources at which all of them together are no louder than 85 dB(A)."""
    together = sum_of_levels([level_at(level, measured, 1.0) for _, level, measured, _ in sources])
    return float(distance_for(together, 1.0, ENOUGH_DB))


def _noise_limits(level: float, hours: float) -> tuple[tuple[object, ...], ...]:
    rows: list[tuple[object, ...]] = []
    for row in NOISE_RULES:
        allowed = permitted_hours(level, row["criterion_db"], row["exchange_db"])
        dose = noise_dose([hours], [allowed])
        rows.append((row["rule"], min(allowed, 24.0), dose, "within" if dose <= 100 else "above", row["status"]))
    return tuple(rows)


# ---- words ----------------------------------------------------------------------------------------------------


def _time(hours: float, say: Say) -> str:
    return say(hours * 60, "min", 2) if hours < 1 else say(hours, "h", 2)


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    month = say(outputs.energy_kwh_per_month, "kWh/month")
    if outputs.shredded_kg_per_working_day <= 0:
        return f"Nothing is shredded; machines and lights take {month} of electricity."
    who = "the shredder runs" if inputs.shredder_count <= 1 else f"each of {inputs.shredder_count} shredders runs"
    return (
        f"On a working day {who} {_time(outputs.hours_each_shredder, say)} for "
        f"{say(outputs.shredded_kg_per_working_day, 'kg')}; "
        f"all machines and lights take {month} of electricity."
    )


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about this result."""
    found = []
    shreds = outputs.shredded_kg_per_working_day > 0
    if shreds and inputs.shredder_count == 0:
        found.append("There is something to shred but no shredder: give one, or shred nothing.")
    if outputs.shredder_use_percent > 100:
        found.append(f"Each shredder would run {say(outputs.hours_each_shredder, 'h/d')}, more than the shift less rest: "
                     f"have another, "
                     "a faster one, or shred less.")  # fmt: skip
    week = outputs.hours_each_shredder * inputs.working_days_per_week
    usable = inputs.shift_hours * (1 - inputs.rest_percent / 100)
    if 0 < week <= usable and inputs.working_days_per_week > 1:
        found.append(f"A week's shredding, {_time(week, say)}, fits one shift. Kept for one day with two trained people, it "
                     f"may suit a "
                     "machine that is shared or hired; the noise of that day is then the whole week's.")  # fmt: skip
    hands = inputs.shredder_hands * inputs.shred_rate
    if shreds and hands < inputs.shredder_kg_per_hour:
        found.append(f"The hands feed {say(hands, 'kg/h')}, the machine could take "
                     f"{say(inputs.shredder_kg_per_hour, 'kg/h')}: a belt or "
                     "a raised feeding table gains more than a larger machine.")  # fmt: skip
    if inputs.garden_kg_per_day > 0 and inputs.garden_shredded_percent == 0:
        found.append("No garden waste is shredded with these answers. Twigs thicker than a finger stay whole in a heap; see "
                     "what comes.")
    if outputs.unshredded_wait_days is not None:
        full, repair = outputs.unshredded_wait_days, inputs.repair_days
        if full < repair:
            found.append(f"With one shredder standing the room is full after {say(full, 'd')}, before a repair of "
                         f"{say(repair, 'd')} is "
                         f"done: more room, a second smaller shredder, or {say(outputs.hand_chop_hours, 'worker-h/d')} of "
                         f"cutting by hand.")  # fmt: skip
        found.append("Dry leaves and branches can wait. Green and market waste cannot wait for long: build it in whole, "
                     "with more dry leaves.")
    if outputs.backlog_kg > 0 and outputs.catch_up_days is None:
        found.append("There is no spare hour to work off what has waited after a repair.")
    if inputs.shredder_supply == "engine":
        found.append("The shredder has its own engine: its fuel is not reckoned, and the comparison of electricity leaves "
                     "shredders out.")
    if outputs.for_the_electrician:
        found.append(f"Hardest to start: {outputs.largest_start}, {say(outputs.start_kva, 'kVA')} for a moment while all "
                     f"else runs. Ask the "
                     "supply company what it allows, and the electrician about a gentler start.")  # fmt: skip
        found.append("Currents are figures to ask with. Cable, protection, earthing and isolators are the licensed "
                     "electrician's to design.")
    dose = outputs.noise_dose_percent
    if dose is not None and outputs.hours_each_shredder > 0 and dose > 100:
        found.append(f"The worker gets {say(dose, 'percent', 2)} of the noise that NIOSH recommends as a day's most: "
                     f"quieter machine, more "
                     "distance, shorter turns; muffs are the last measure, and needed until then.")  # fmt: skip
    if outputs.noise_at_worker_db is not None:
        found.append("Noise is reckoned in the open. Under a roof and between walls it is louder than this.")
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """The dangers of machines."""
    found = []
    if outputs.shredded_kg_per_working_day > 0 or inputs.shredder_count > 0:
        ran = f"Each shredder runs {_time(outputs.hours_each_shredder, say)} on a working day."
        level = outputs.noise_at_worker_db
        over = outputs.noise_dose_percent is not None and outputs.noise_dose_percent > 100
        heard = f"{say(level, 'dB')} where the worker stands." if level is not None else ran
        found += [
            RaisedCaution("shredder_guard", ran, urgent=True),
            RaisedCaution("lockout"),
            RaisedCaution("noise_shredder", heard, urgent=over),
            RaisedCaution("wet_down_dust", "Dry leaves and garden waste give off dust when they are shredded."),
        ]
        if inputs.shredder_supply == "engine":
            found.append(RaisedCaution("engine_exhaust", "The shredder has its own engine."))
    if outputs.for_the_electrician:
        found += [
            RaisedCaution("licensed_electrician", f"{say(outputs.demand_kva, 'kVA')} when all run at once.", urgent=True),
            RaisedCaution("damaged_cable"),
        ]
    return found


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """Electricity by machine, and hours by choice of shredder."""
    usable = inputs.shift_hours * (1 - inputs.rest_percent / 100)
    found = []
    if outputs.energy_by_machine:
        found.append(Chart("bars", "Electricity in a mean month", "kWh/month",
                           tuple(str(row[0]) for row in outputs.energy_by_machine),
                           (Line("Electricity", tuple(float(row[4]) for row in outputs.energy_by_machine)),),
                           axis="Machine"))  # type: ignore[arg-type]
    if outputs.shredders_compared:
        found.append(Chart("bars", "Hours that each shredder runs on a working day", "h/d",
                           tuple(str(row[0]) for row in outputs.shredders_compared),
                           (Line("Hours", tuple(float(row[1]) for row in outputs.shredders_compared)),),  # type: ignore[arg-type]
                           (Mark(plain(usable), "shift less rest"),), axis="Shredders"))  # fmt: skip
    return found


CALCULATOR = Calculator(
    key="machines", title="Machines and power", question="How long does the shredder run, and what do the machines draw?",
    inputs=Inputs,
    outputs=Outputs, solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts,
    sources=(SHREDDER_KW.cited(), LOAD.cited(), *(cited(row["source"], row["status"]) for row in NOISE_RULES),
             source("everest_acoustics"), source("induction_motor_slides"), EFFICIENCY["three"].cited(),
             START_MULTIPLE["three"].cited(),
             HAND_CHOP.cited()),
)  # fmt: skip
