"""Crew: worker-hours by task, the people that takes, and how the work grows while heaps pile up in the first months.

Hours are amount ÷ work rate, task by task, for a mean day of the year; on a working day they are more by the days on
which nobody works. A worker gives the shift less rest. Turning, watering, moving and screening begin only as the heaps
come to them.
"""

from __future__ import annotations

from dataclasses import dataclass

from calculators.declare import (
    Calculator,
    Chart,
    Column,
    Line,
    Mark,
    RaisedCaution,
    Say,
    count,
    number,
    output,
    output_count,
    output_table,
    own_choice,
    practice,
)  # fmt: skip
from calculators.known import as_count
from calculators.reference import Figure, Source, cited, figure, rows_of, source
from calculators.topics.bays import mean_volume_left
from calculators.working import Working, least, most, total, whole_up

TASKS = {row["key"]: row for row in rows_of("work_rates", "tasks")}
CLEAN = figure("work_rates", "daily", "clean")
SHIFT = figure("work_rates", "day", "shift_hours")
REST = figure("work_rates", "day", "rest_fraction")
ABSENCE = figure("work_rates", "day", "absence_fraction")
SHREDDER_HANDS = figure("work_rates", "parallel_limits", "shred")
SHREDDER_RATE = figure("work_rates", "machines", "shredder_kg_per_hour")
JOBS = figure("work_rates", "proxies", "jobs_per_t_day")
EQUIPMENT = rows_of("work_rates", "protective_equipment")
WEEKS_SHOWN = 30
FEWEST = 2
"""Nobody works alone with machines, heat or a heap that can slide."""


def _rate(key: str) -> Figure:
    row = TASKS[key]
    return Figure(row["typical"], row["low"], row["high"], row["source"], row["status"], row.get("note", ""))


def _cited(key: str) -> Source:
    row = TASKS[key]
    return cited(row["source"], row["status"], "time your own crew")


def _kg_rate(key: str, label: str) -> float:
    held = _rate(key)
    return number(
        label, "kg/worker-h", held.typical, low=1, high=20_000, usual=(held.low / 2, held.high * 2), group="Work rates",
        help="By one worker in an hour of work.", source=_cited(key), measure="time the crew for a day",
    )  # fmt: skip


def _m3_rate(key: str, label: str) -> float:
    held = _rate(key)
    return number(
        label, "m3/worker-h", held.typical, low=0.05, high=200, usual=(held.low / 2, held.high * 2), group="Work rates",
        help="By one worker in an hour of work.", source=_cited(key), measure="time the crew for a day",
    )  # fmt: skip


@dataclass(frozen=True)
class Inputs:
    """What has to be handled, how fast people work, and how their week runs."""

    received_kg_per_day: float = number(
        "Arrives at the gate", "kg/d", 500.0, low=0, high=2e6, follows="arrivals", group="What is handled", help="Mean of the year."
    )
    rejects_kg_per_day: float = number(
        "Rejects", "kg/d", 40.0, low=0, high=1e6, follows="arrivals", group="What is handled", help="Picked out at the second sorting."
    )
    wet_kg_per_day: float = number(
        "Wet waste kept", "kg/d", 400.0, low=0, high=2e6, follows="arrivals", group="What is handled",
        help="Kitchen, market and green garden waste.",
    )  # fmt: skip
    bulking_kg_per_day: float = number(
        "Bulking", "kg/d", 100.0, low=0, high=2e6, follows="mix", group="What is handled", help="Dry leaves and the like."
    )
    garden_kg_per_day: float = number(
        "Green garden waste kept", "kg/d", 40.0, low=0, high=1e6, follows="arrivals", group="What is handled",
        help="Part of the wet waste; hedge cuttings and the like.",
    )  # fmt: skip
    market_kg_per_day: float = number(
        "Market waste kept", "kg/d", 0.0, low=0, high=1e6, follows="arrivals", group="What is handled",
        help="Part of the wet waste.",
    )  # fmt: skip
    mix_m3_per_day: float = number(
        "Mix built into heaps", "m3/d", 2.0, low=0.001, high=5_000, follows="mix", group="What is handled", help="Mean of the year."
    )
    tubs_per_day: float = number(
        "Tubs handled", "tub/d", 50.0, low=0, high=1e6, follows="mix", group="What is handled", help="Wet waste and bulking."
    )
    turned_m3_per_day: float = number(
        "Volume turned", "m3/d", 20.0, low=0, high=1e6, follows="bays", group="What is handled", help="When all heaps stand."
    )
    moved_m3_per_day: float = number(
        "Volume moved to curing", "m3/d", 1.5, low=0, high=1e5, follows="bays", group="What is handled", help="After the first stage."
    )
    finished_kg_per_day: float = number(
        "Mass to be screened", "kg/d", 200.0, low=0, high=1e6, follows="bays", group="What is handled", help="After curing."
    )
    first_stage_days: int = count(
        "Days in the first stage", "d", 45, low=7, high=180, follows="bays", group="What is handled",
        help="Turning grows until then.",
    )  # fmt: skip
    curing_days: int = count(
        "Days of curing", "d", 45, low=0, high=365, follows="bays", group="What is handled", help="Screening begins after it."
    )
    volume_left_end_percent: float = number(
        "Volume left in the long run", "percent", 50.0, low=10, high=95, follows="bays", group="What is handled",
        help="For the growth of turning in the first weeks.",
    )  # fmt: skip
    shrinkage_rate_per_day: float = number(
        "Rate of shrinkage, each day", "1", 0.025, low=0.001, high=0.5, follows="bays", group="What is handled",
        help="For the growth of turning in the first weeks.",
    )  # fmt: skip
    shift_hours: float = number(
        "Hours of a shift", "h", SHIFT.typical, low=1, high=12, usual=(4, 8), group="The working week", help="Paid time at the yard.",
        source=SHIFT.cited(), why_limits="Labour law sets the most; check it.",
    )  # fmt: skip
    rest_percent: float = number(
        "Rest, washing and delays", "percent", REST.typical * 100, low=0, high=80, usual=(10, 40), group="The working week",
        help="Of the shift. More in heat.", source=REST.cited(), measure="watch a shift",
    )  # fmt: skip
    working_days_per_week: int = count(
        "Days a week the yard works", "d", 6, low=1, high=7, group="The working week", help="Waste that comes on other days waits.",
        source=own_choice("one day of rest"),
    )  # fmt: skip
    days_per_worker: int = count(
        "Days a week each worker works", "d", 6, low=1, high=7, usual=(4, 6), group="The working week",
        help="Fewer than the yard works means a roster.", source=own_choice("one day of rest"),
    )  # fmt: skip
    absence_percent: float = number(
        "Leave, illness and training", "percent", ABSENCE.typical * 100, low=0, high=60, usual=(5, 25), group="The working week",
        help="Of the days a worker would work.", source=ABSENCE.cited(),
    )  # fmt: skip
    receive_rate: float = _kg_rate("receive", "Receive, weigh and inspect")
    sort_rate: float = _kg_rate("sort", "Second sorting of wet waste")
    shred_rate: float = _kg_rate("shred", "Feed and clear the shredder")
    build_rate: float = _m3_rate("mix_build", "Mix and build heaps")
    turn_rate: float = _m3_rate("turn", "Turn heaps with forks")
    water_rate: float = _m3_rate("water", "Water heaps, of heap")
    move_rate: float = _m3_rate("move", "Barrow half-finished compost up to 20 m")
    screen_rate: float = _kg_rate("screen", "Screen by hand")
    bag_rate: float = _kg_rate("bag", "Fill, weigh and close bags")
    clean_hours_per_shift: float = number(
        "Wash down, tidy and keep records", "h", CLEAN.typical, low=0, high=24, usual=(0.5, 4), group="Work rates",
        help="For the whole crew, each working day.", source=CLEAN.cited(), measure="time the crew for a day",
    )  # fmt: skip
    shredded_percent: float = number(
        "Bulking that is shredded", "percent", 50.0, low=0, high=100, group="Machines", help="Finer pieces compost faster.",
        source=own_choice("leaves need it least, twigs most"),
    )  # fmt: skip
    garden_shredded_percent: float = number(
        "Green garden waste that is shredded", "percent", 0.0, low=0, high=100, group="Machines",
        help="Twigs thicker than a finger; grass and soft leaves need none.",
        source=own_choice("none until you see what comes: grass needs none, hedge cuttings all"),
        measure="sort a week's garden waste by hand into soft and woody, and weigh both",
    )  # fmt: skip
    market_shredded_percent: float = number(
        "Market waste that is shredded", "percent", 0.0, low=0, high=100, group="Machines",
        help="Stems, banana stalks, cobs, coconut husk. Wet fruit clogs a shredder.",
        source=own_choice("none until you see what comes"), measure="sort a market day's waste and weigh what is hard",
    )  # fmt: skip
    shredder_kg_per_hour: float = number(
        "A shredder takes", "kg/h", SHREDDER_RATE.typical, low=10, high=20_000, usual=(100, 2_000), group="Machines",
        help="Dry leaves and small branches.", source=SHREDDER_RATE.cited(), measure="weigh an hour's work",
    )  # fmt: skip
    shredder_hands: int = count(
        "Hands at a shredder", "worker", int(SHREDDER_HANDS.typical), low=1, high=6, usual=(2, 3), group="Machines",
        help="No more can work at it at once.", source=SHREDDER_HANDS.cited(),
    )  # fmt: skip
    screened_percent_of_bagged: float = number(
        "Of the screened mass, bagged", "percent", 85.0, low=0, high=100, group="Machines",
        help="The rest is coarse and goes back into new heaps.", source=own_choice("measure what stays on the screen"),
        measure="weigh both heaps after screening",
    )  # fmt: skip
    lifts_per_tub: float = number(
        "Times each tub is lifted", "1", 2.0, low=0, high=20, usual=(1, 4), group="Lifting",
        help="From the ground to the table or barrow, and to the heap.", source=own_choice("two lifts"),
        measure="follow ten tubs",
    )  # fmt: skip
    lifting_workers: int = count(
        "Workers who share the lifting", "worker", 2, low=1, high=200, group="Lifting", help="Those who carry tubs.",
        source=own_choice("a pair"),
    )  # fmt: skip


@dataclass(frozen=True)
class Outputs:
    """People, hours, machines and protection."""

    crew_count: int = output_count("Workers on the roster", "worker", key_figure=True)
    crew_present: int = output_count("Workers present on a working day", "worker", key_figure=True)
    worker_hours_per_day: float = output("Work, mean of all days", "worker-h/d", key_figure=True)
    worker_hours_per_working_day: float = output("Work on a working day", "worker-h/d", key_figure=True)
    shredder_hours_per_day: float = output("Shredder runs on a working day", "h/d", key_figure=True)
    shredder_count: int = output_count("Shredders needed", "each")
    wet_shredded_kg_per_day: float = output("Garden and market waste shredded", "kg/d", help="Mean of all days.")
    first_week_worker_hours: float = output("Work in the first week, a working day", "worker-h/d")
    lifts_per_minute: float = output("Lifts of a tub, each worker", "lifts/min", help="While lifting goes on.")
    lifting_hours_per_day: float = output("Lifting goes on for", "h/d", help="On a working day.")
    hours_by_task: tuple[tuple[object, ...], ...] = output_table(
        "Work by task, a working day when all heaps stand",
        (
            Column("task", "Task"), Column("amount", "Amount a day of the year"), Column("rate", "Rate"),
            Column("hours", "On a working day", "worker-h/d"), Column("share", "Share", "percent"),
        ),
    )  # fmt: skip
    hours_by_week: tuple[tuple[object, ...], ...] = output_table(
        "Work in the first weeks, a working day", (Column("week", "Week"), Column("hours", "Work", "worker-h/d"))
    )
    equipment: tuple[tuple[object, ...], ...] = output_table(
        "Protective equipment",
        (Column("item", "Item"), Column("first", "To begin with", "each"), Column("year", "In a year", "each"),
         Column("status", "How known")),
    )  # fmt: skip


def hours_for(amount: float, rate: float) -> float:
    """Worker-hours for an amount at a work rate (above 0) in the same unit of amount."""
    return amount / rate


def per_working_day(hours_a_day: float, working_days: float) -> float:
    """Hours on a working day, from hours as a mean of all seven days."""
    return hours_a_day * 7 / working_days


def workers_present(hours: float, shift_hours: float, rest_percent: float) -> float:
    """People present for a number of worker-hours: whole, and never fewer than two."""
    return most(whole_up(hours / (shift_hours * (1 - rest_percent / 100))), FEWEST)


def workers_on_roster(present: float, yard_days: float, worker_days: float, absence_percent: float) -> float:
    """People employed so that enough are present on every day the yard works."""
    return whole_up(present * most(yard_days / worker_days, 1) / (1 - absence_percent / 100))


def shredded_mass(bulking: float, bulking_percent: float, garden: float, garden_percent: float, market: float,
                  market_percent: float) -> float:  # fmt: skip
    """What is shredded of three streams, in their unit: each with its percentage."""
    return bulking * bulking_percent / 100 + garden * garden_percent / 100 + market * market_percent / 100


def machine_hours(amount_kg: float, machine_kg_per_hour: float, hands: float, hand_kg_per_hour: float) -> float:
    """Hours a machine runs: as fast as it takes, or as the hands at it can feed it, whichever is slower."""
    return amount_kg / least(machine_kg_per_hour, hands * hand_kg_per_hour)


def lifting_rate(tubs: float, lifts_each: float, workers: float, hours: float) -> float:
    """Lifts a minute of each worker."""
    return tubs * lifts_each / workers / (hours * 60)


def turning_share(days: float, stage_days: float, lost: float, rate: float) -> float:
    """Part of the full turning work reached after ``days``: the volume standing by then over that of a full stage."""
    shown = min(days, stage_days)
    if shown <= 0:
        return 0.0
    return float(shown * mean_volume_left(shown, lost, rate) / (stage_days * mean_volume_left(stage_days, lost, rate)))


def shredded_kg(inputs: Inputs) -> float:
    """What is shredded on a mean day (kg)."""
    return shredded_mass(inputs.bulking_kg_per_day, inputs.shredded_percent, inputs.garden_kg_per_day,
                         inputs.garden_shredded_percent, inputs.market_kg_per_day, inputs.market_shredded_percent)  # fmt: skip


def _tasks(inputs: Inputs) -> list[tuple[str, str, float, str, float]]:
    """Key, label, amount on a mean day, its unit, and the work rate, of every task but cleaning."""
    bagged = inputs.finished_kg_per_day * inputs.screened_percent_of_bagged / 100
    return [
        ("receive", TASKS["receive"]["task"], inputs.received_kg_per_day, "kg", inputs.receive_rate),
        ("sort", "Second sorting of wet waste", inputs.wet_kg_per_day + inputs.rejects_kg_per_day, "kg", inputs.sort_rate),
        ("shred", TASKS["shred"]["task"], shredded_kg(inputs), "kg",
         least(inputs.shred_rate, inputs.shredder_kg_per_hour / inputs.shredder_hands)),  # hands wait for a slow machine
        ("mix_build", TASKS["mix_build"]["task"], inputs.mix_m3_per_day, "m³", inputs.build_rate),
        ("turn", TASKS["turn"]["task"], inputs.turned_m3_per_day, "m³", inputs.turn_rate),
        ("water", "Water heaps while turning", inputs.turned_m3_per_day, "m³", inputs.water_rate),
        ("move", TASKS["move"]["task"], inputs.moved_m3_per_day, "m³", inputs.move_rate),
        ("screen", TASKS["screen"]["task"], inputs.finished_kg_per_day, "kg", inputs.screen_rate),
        ("bag", TASKS["bag"]["task"], bagged, "kg", inputs.bag_rate),
    ]


def solve(inputs: Inputs, working: Working) -> Outputs:
    """Hours by task, people, machine, lifting, the first weeks, equipment."""
    hours: dict[str, float] = {}
    rows: list[tuple[str, str, str, float]] = []
    for key, label, amount, amount_unit, rate in _tasks(inputs):
        hours[key] = working.step(label, "worker-h/d", hours_for, amount=amount, rate=rate,
                                  names={"amount": f"{amount_unit} a day", "rate": f"{amount_unit} an hour"})  # fmt: skip
        rows.append((label, f"{amount:.3g} {amount_unit}", f"{rate:.3g} {amount_unit}/h",
                     per_working_day(hours[key], inputs.working_days_per_week)))  # fmt: skip
    rows.append((CLEAN_LABEL, "–", "–", inputs.clean_hours_per_shift))
    mean = total(hours.values())
    by_amount = working.step("Work on a working day, cleaning aside", "worker-h/d", per_working_day, hours_a_day=mean,
                             working_days=inputs.working_days_per_week)  # fmt: skip
    working_day = by_amount + inputs.clean_hours_per_shift
    working.note("Work on a working day with cleaning", working_day, "worker-h/d")
    present = working.step("Workers present", "worker", workers_present, hours=working_day, shift_hours=inputs.shift_hours,
                           rest_percent=inputs.rest_percent, note=f"Never fewer than {FEWEST}: nobody works alone.")  # fmt: skip
    roster = working.step("Workers on the roster", "worker", workers_on_roster, present=present,
                          yard_days=inputs.working_days_per_week, worker_days=inputs.days_per_worker,
                          absence_percent=inputs.absence_percent)  # fmt: skip
    shredded = per_working_day(shredded_kg(inputs), inputs.working_days_per_week)
    machine = working.step("Shredder runs on a working day", "h/d", machine_hours, amount_kg=shredded,
                           machine_kg_per_hour=inputs.shredder_kg_per_hour, hands=inputs.shredder_hands,
                           hand_kg_per_hour=inputs.shred_rate)  # fmt: skip
    usable = inputs.shift_hours * (1 - inputs.rest_percent / 100)
    shredders = as_count(whole_up(machine / usable))
    lift_hours = least(per_working_day(hours["mix_build"] + hours["receive"], inputs.working_days_per_week)
                       / inputs.lifting_workers, usable)  # fmt: skip
    working.note("Lifting goes on for", lift_hours, "h/d", "Receiving and building, shared, within the shift less rest.")
    tubs = per_working_day(inputs.tubs_per_day, inputs.working_days_per_week)
    lifts = working.step("Lifts a minute, each worker", "lifts/min", lifting_rate, tubs=tubs, lifts_each=inputs.lifts_per_tub,
                         workers=inputs.lifting_workers, hours=lift_hours)  # fmt: skip
    weeks = working.untraced(_weeks, inputs, hours)
    return Outputs(
        crew_count=as_count(roster),
        crew_present=as_count(present),
        worker_hours_per_day=mean + inputs.clean_hours_per_shift * inputs.working_days_per_week / 7,
        worker_hours_per_working_day=working_day,
        shredder_hours_per_day=machine,
        shredder_count=shredders,
        wet_shredded_kg_per_day=shredded_mass(0.0, 0.0, inputs.garden_kg_per_day, inputs.garden_shredded_percent,
                                              inputs.market_kg_per_day, inputs.market_shredded_percent),
        first_week_worker_hours=weeks[0][1],
        lifts_per_minute=lifts,
        lifting_hours_per_day=lift_hours,
        hours_by_task=tuple((*row, 100 * row[3] / working_day if working_day > 0 else 0.0) for row in rows),
        hours_by_week=tuple(weeks),
        equipment=working.untraced(_equipment, inputs, as_count(roster), as_count(present), shredders),
    )


TASK_NAMES = ("receive, inspect", "second sorting", "shred", "mix and build", "turn", "water", "move", "screen", "bag",
              "clean, records")  # fmt: skip
CLEAN_LABEL = "Wash down, tidy and keep records"


def _weeks(inputs: Inputs, hours: dict[str, float]) -> list[tuple[str, float]]:
    """Work on a working day in each of the first weeks: what has not begun yet is left out."""
    lost = 1 - inputs.volume_left_end_percent / 100
    found = []
    for week in range(1, WEEKS_SHOWN + 1):
        end = 7.0 * week
        share = turning_share(end, inputs.first_stage_days, lost, inputs.shrinkage_rate_per_day)
        moving = 1.0 if end > inputs.first_stage_days else 0.0
        screening = 1.0 if end > inputs.first_stage_days + inputs.curing_days else 0.0
        day = (
            hours["receive"] + hours["sort"] + hours["shred"] + hours["mix_build"]
            + share * (hours["turn"] + hours["water"])
            + moving * hours["move"]
            + screening * (hours["screen"] + hours["bag"])
        )  # fmt: skip
        working_day = float(per_working_day(day, inputs.working_days_per_week)) + inputs.clean_hours_per_shift
        found.append((str(week), working_day))
    return found


def _equipment(inputs: Inputs, roster: int, present: int, shredders: int) -> tuple[tuple[object, ...], ...]:
    days = inputs.working_days_per_week * 52
    rows = []
    for item in EQUIPMENT:
        at_shredder = item.get("tasks") == ("shred",)
        users = min(roster, inputs.shredder_hands * shredders) if at_shredder else roster
        first = whole_up(users * item["per_worker_count"] * (1 + item["spare_fraction"]))
        wearing = present if item.get("tasks") and not at_shredder else users
        used = wearing * item["per_worker_count"] * (1 + item["spare_fraction"]) * days / item["life_days"]
        rows.append((item["name"], float(first), float(max(whole_up(used), first)), item["status"]))
    return tuple(rows)


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    return (
        f"Employ {say(outputs.crew_count, 'worker')}, {outputs.crew_present} of them present on a working day of "
        f"{say(inputs.shift_hours, 'h')}, for {say(outputs.worker_hours_per_working_day, 'worker-h/d')} of work."
    )


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about this result."""
    found = []
    if outputs.shredder_count > 1:
        found.append(
            f"One shredder would have to run {say(outputs.shredder_hours_per_day, 'h/d')}, more than the shift allows: only "
            f"{inputs.shredder_hands} can work at it at once. Have {outputs.shredder_count}, or shred less."
        )
    grown = outputs.worker_hours_per_working_day
    if outputs.first_week_worker_hours < 0.9 * grown:
        found.append(
            f"The first week takes {say(outputs.first_week_worker_hours, 'worker-h/d')}; by the time all heaps stand it is "
            f"{say(grown, 'worker-h/d')}. Hire before the turning grows, not after."
        )
    turning = next(row for row in outputs.hours_by_task if row[0] == TASKS["turn"]["task"])
    if float(turning[4]) > 50:  # type: ignore[arg-type]
        found.append("Turning is more than half of the work: see whether every turning is needed (temperature tells).")
    tonnes = inputs.received_kg_per_day / 1000
    if tonnes > 0 and not JOBS.low <= outputs.crew_count / tonnes <= JOBS.high:
        found.append(
            f"That is {outputs.crew_count / tonnes:.3g} workers for a tonne a day; a published figure for recovery centres of "
            f"2 to 20 tonnes a day is {JOBS.low:g} to {JOBS.high:g}. Small yards, turning by hand and slow rates raise it."
        )
    if outputs.crew_present == FEWEST:
        found.append("Two are the fewest: nobody works alone with machines, heat or a heap that can slide.")
    found.append("Most work rates were chosen here or are from memory: time your own crew for a day before you hire.")
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """The dangers of the work."""
    found = [
        RaisedCaution("heat_stress", f"Shifts of {say(inputs.shift_hours, 'h')} of heavy work beside hot heaps."),
        RaisedCaution("wet_down_dust", f"{say(inputs.turned_m3_per_day, 'm3/d')} is turned in a day."),
        RaisedCaution("legionella"),
        RaisedCaution("repeated_work", f"{say(outputs.worker_hours_per_working_day, 'worker-h/d')} with fork, barrow and tub."),
        RaisedCaution("raw_waste_hands", f"{say(inputs.wet_kg_per_day + inputs.rejects_kg_per_day, 'kg/d')} is sorted by hand."),
        RaisedCaution("sharps_in_waste"),
    ]
    if outputs.shredder_hours_per_day > 0:
        ran = f"The shredder runs {say(outputs.shredder_hours_per_day, 'h/d')}."
        found += [
            RaisedCaution("shredder_guard", ran, urgent=True),
            RaisedCaution("lockout"),
            RaisedCaution("noise_shredder", ran),
            RaisedCaution("licensed_electrician"),
        ]
    return found


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """Work by task, and its growth."""
    return [
        Chart("bars", "Work by task on a working day", "worker-h/d",
              tuple(TASK_NAMES),
              (Line("Work", tuple(float(row[3]) for row in outputs.hours_by_task)),), axis="Task"),  # type: ignore[arg-type]
        Chart("bars", "Work on a working day in the first weeks", "worker-h/d",
              tuple(str(row[0]) for row in outputs.hours_by_week),
              (Line("Work", tuple(float(row[1]) for row in outputs.hours_by_week)),),  # type: ignore[arg-type]
              (Mark(outputs.worker_hours_per_working_day, "when all heaps stand"),), axis="Week"),
    ]  # fmt: skip


CALCULATOR = Calculator(
    key="crew", title="Crew", question="How many people, for how many hours?", inputs=Inputs, outputs=Outputs,
    solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts,
    sources=(*{row["source"]: cited(row["source"], row["status"], "") for row in TASKS.values()}.values(),
             SHREDDER_RATE.cited(), JOBS.cited(), source("yesaya_2021"), practice("hands at a machine, length of a shift")),
)  # fmt: skip
