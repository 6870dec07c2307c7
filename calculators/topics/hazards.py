"""Dangers of the yard: noise dose, fire in heaps and stores, dust and spores, pits, and what must be in place.

Each figure of this yard, planned or measured, is held against a published limit in that publication's own wording, so a
figure exactly at a limit is judged as the wording says. What is not measured is not judged.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from calculators import lifting
from calculators.cautions import HAZARDS
from calculators.declare import (
    Calculator,
    CannotSolve,
    Chart,
    Column,
    Line,
    Mark,
    RaisedCaution,
    Say,
    count,
    flag,
    number,
    output,
    output_count,
    output_table,
    output_text,
    own_choice,
)  # fmt: skip
from calculators.reference import cited, rows_of, source
from calculators.working import Working, log10, total

LIMITS = {row["key"]: row for row in rows_of("safety", "limits")}
RULES = {row["key"]: row for row in rows_of("safety", "noise_rules")}
HOT_PILES = rows_of("safety", "hot_piles")
IN_PLACE = {row["key"]: row for row in rows_of("safety", "in_place")}
SMOULDER = {row["key"]: row["value"] for row in rows_of("safety", "smoulder")}
SHIFT = 8.0
"""Hours for which the levels of the noise rules are given."""
NOT_SAID = own_choice("not in place until you say so")


def _flag(key: str, group: str) -> bool:
    return flag(IN_PLACE[key]["what"], False, group=group, help="Look before you answer.", source=NOT_SAID)  # type: ignore[no-any-return]


def _measured(label: str, unit: str, high: float, help: str, group: str, low: float = 0.0) -> float | None:  # noqa: A002
    return number(label, unit, None, low=low, high=high, blank=True, group=group, help=help)  # type: ignore[no-any-return]


@dataclass(frozen=True)
class Inputs:
    """What makes noise, what may burn, what floats in the air, what moves, and what is in place."""

    shredder_hours_per_day: float = number(
        "Shredder runs on a working day", "h/d", 1.0, low=0, high=1e6, follows="crew", group="Noise and machines", help="By the plan."
    )
    shift_hours: float = number(
        "Hours of a shift", "h", 8.0, low=1, high=12, follows="crew", group="Noise and machines", help="Paid time at the yard."
    )
    shredder_noise_db: float = number(
        "Noise at the ear beside the shredder", "dB", 98.0, low=40, high=140, usual=(85, 115), group="Noise and machines",
        help="Decibels, A-weighted.", source=own_choice("loud small shredders"), measure="a sound-level meter at the ear of the one who feeds",
    )  # fmt: skip
    yard_db: float = number(
        "Noise for the rest of the shift", "dB", 75.0, low=30, high=140, usual=(55, 85), group="Noise and machines", help="Mean of the day.",
        source=own_choice("talk and forks"), measure="a sound-level meter, through an hour",
    )  # fmt: skip
    muffs_db: float = number(
        "Ear muffs take away, as worn", "dB", 15.0, low=0, high=40, usual=(5, 25), group="Noise and machines",
        help="About half of what the packet says.", source=own_choice("muffs worn with glasses, not always tight"),
    )  # fmt: skip
    guards_fitted: bool = _flag("guards_fitted", "Noise and machines")
    stop_in_reach: bool = _flag("stop_in_reach", "Noise and machines")
    lockout_kit: bool = _flag("lockout_kit", "Noise and machines")
    heap_height_m: float = number(
        "Height of a heap", "m", 0.9, low=0.3, high=1.8, follows="bays", group="Fire", help="As it stands when just built."
    )
    hottest_reading_c: float | None = _measured("Hottest reading in any heap now", "°C", 200, "Deep inside, today.", "Fire", low=-50)
    leaf_store_height_m: float = number(
        "Height of the leaf store", "m", 1.5, low=0.1, high=10, usual=(0.5, 3), group="Fire", help="Dry leaves as piled.",
        source=own_choice("as high as a fork reaches"), measure="measure the pile",
    )  # fmt: skip
    leaf_store_width_m: float = number(
        "Width of the leaf store", "m", 2.5, low=0.1, high=50, usual=(1, 6), group="Fire", help="Its shorter side.",
        source=own_choice("one bay"), measure="measure the pile",
    )  # fmt: skip
    fire_gap_m: float = number(
        "Gap around the leaf store", "m", 2.0, low=0, high=50, follows="shed", group="Fire", help="To heaps, walls and buildings.",
        measure="measure it",
    )  # fmt: skip
    days_between_readings: int = count(
        "Days between readings of heaps and stores", "d", 7, low=1, high=365, usual=(1, 14), group="Fire", help="Temperature inside, on paper.",
        source=own_choice("weekly"),
    )  # fmt: skip
    hottest_store_c: float | None = _measured("Hottest reading in a store of leaves or compost", "°C", 200, "Deep inside.", "Fire", low=-50)
    store_moisture_percent: float | None = _measured("Moisture of that store", "percent", 100, "By weighing and drying.", "Fire")
    extinguisher_ready: bool = _flag("extinguisher_ready", "Fire")
    nearest_people_m: float = number(
        "From the heaps to the nearest home or workplace", "m", 60.0, low=0, high=10_000, usual=(10, 500), group="Dust and spores",
        help="Not the yard's own.", source=own_choice("a yard within its ward"), measure="pace it out",
    )  # fmt: skip
    dust_mg_m3: float | None = _measured("Dust that can be breathed in, mg/m³", "1", 10_000, "Measured on a worker over a shift.", "Dust and spores")
    bacteria_cfu_m3: float | None = _measured("Bacteria at the nearest people, CFU/m³", "1", 1e9, "By a laboratory.", "Dust and spores")
    aspergillus_cfu_m3: float | None = _measured("Aspergillus fumigatus there, CFU/m³", "1", 1e9, "By a laboratory.", "Dust and spores")
    ammonia_ppm: float | None = _measured("Ammonia where people work, ppm", "1", 10_000, "By a tube or meter.", "Dust and spores")
    masks_worn: bool = _flag("masks_worn", "Dust and spores")
    pit_oxygen_percent: float | None = _measured("Oxygen in the sump or tank", "percent", 100, "Measured from outside.", "Pits")
    pit_flammable_percent: float | None = _measured("Flammable gas there, of its lower limit", "percent", 100, "From outside.", "Pits")
    pit_sulphide_ppm: float | None = _measured("Hydrogen sulphide there, ppm", "1", 10_000, "From outside.", "Pits")
    pit_covered: bool = _flag("pit_covered", "Pits")
    walkway_apart: bool = _flag("walkway_apart", "Traffic, washing and first aid")
    reversing_guided: bool = _flag("reversing_guided", "Traffic, washing and first aid")
    handwash_ready: bool = _flag("handwash_ready", "Traffic, washing and first aid")
    first_aid_ready: bool = _flag("first_aid_ready", "Traffic, washing and first aid")


@dataclass(frozen=True)
class Outputs:
    """What is beyond a limit, what is not in place, the noise dose, and what to do about heat in a heap."""

    beyond_count: int = output_count("Figures beyond a published limit", "each", key_figure=True)
    missing_count: int = output_count("Things not in place", "each", key_figure=True)
    shredder_dose_percent: float = output("Noise dose at the shredder, without muffs", "percent", key_figure=True, help="NIOSH; 100 is the limit.")
    noise_dose_muffs_percent: float = output("The same with muffs", "percent")
    day_level_db: float | None = output("The same as a steady level over eight hours", "dB", help="– where nothing counts.")
    shredder_allowed_h: float = output("Beside the shredder without muffs, at most", "h", help="In a day, by the NIOSH limit.")
    fire_action: str = output_text("What the hottest reading asks for", key_figure=True)
    smoulder_risk: str = output_text("May a store catch fire by itself?")
    noise: tuple[tuple[object, ...], ...] = output_table(
        "Noise dose by each rule",
        (Column("rule", "Rule"), Column("allowed", "Beside the shredder at most", "h"),
         Column("dose", "Dose", "percent"), Column("muffs", "Dose with muffs", "percent"), Column("met", "Without muffs"), Column("status", "How known")),
    )  # fmt: skip
    hazard_checks: tuple[tuple[object, ...], ...] = output_table(
        "This yard against published limits (metric)",
        (Column("danger", "Danger"), Column("what", "What"), Column("here", "Here"), Column("limit", "Limit"), Column("met", "Reading"),
         Column("status", "How known")),
    )  # fmt: skip
    in_place: tuple[tuple[object, ...], ...] = output_table(
        "What must be in place", (Column("danger", "Danger"), Column("what", "What"), Column("there", "There?"), Column("status", "How known"))
    )


# ---- formulas -------------------------------------------------------------------------------------------------


def noise_dose(hours: list[float], allowed: list[float]) -> float:
    """Dose (percent): 100 × the sum of hours at each level over the hours that level is allowed. 100 is the limit.

    NIOSH 98-126, section 1.1.3; 29 CFR 1910.95, appendix A. Levels below the rule's threshold are left out by the caller.
    """
    return 100 * total([here / most for here, most in zip(hours, allowed, strict=True)])


def steady_level(dose_percent: float, criterion_db: float, exchange_db: float) -> float:
    """The steady level over eight hours (dB) with that dose, above 0: criterion + exchange ÷ log10 2 × log10(dose ÷ 100)."""
    return criterion_db + exchange_db / 0.3010299956639812 * log10(dose_percent / 100)


def counted(rule: Mapping[str, Any], levels: list[float], hours: list[float]) -> tuple[list[float], list[float]]:
    """Hours at the levels that a rule counts (its threshold or more), and the hours it allows at each."""
    kept = [(time, lifting.permitted_hours(level, rule["criterion_db"], rule["exchange_db"], SHIFT))
            for level, time in zip(levels, hours, strict=True) if level >= rule["threshold_db"] and time > 0]  # fmt: skip
    return [time for time, _ in kept], [allowed for _, allowed in kept]


def limit_met(key: str, value: float) -> bool:
    """Whether a figure keeps to the limit of that key; exactly at it as the publication's wording says."""
    row = LIMITS[key]
    if value == row["limit"]:
        return bool(row["at_met"])
    return bool(value < row["limit"]) if row["side"] == "most" else bool(value > row["limit"])


def hot_pile_action(celsius: float) -> Mapping[str, Any]:
    """The strongest row of the fire table that a temperature inside a heap has reached."""
    reached = HOT_PILES[0]
    for row in HOT_PILES[1:]:
        if celsius > row["low"] or (row["at_met"] and celsius == row["low"]):
            reached = row
    return reached


def may_smoulder(celsius: float, moisture_percent: float) -> bool:
    """Whether a large store of this temperature and moisture lies where self-ignition is known. Rynk 2000, from memory."""
    return (celsius > SMOULDER["temperature_c"]
            and SMOULDER["moisture_low_percent"] <= moisture_percent <= SMOULDER["moisture_high_percent"])  # fmt: skip


# ---- solving --------------------------------------------------------------------------------------------------

MEASURED = (
    ("heap_height", "heap_height_m"), ("leaf_height", "leaf_store_height_m"), ("leaf_width", "leaf_store_width_m"),
    ("fire_gap", "fire_gap_m"), ("reading_interval", "days_between_readings"), ("neighbours", "nearest_people_m"), ("dust", "dust_mg_m3"),
    ("bacteria", "bacteria_cfu_m3"), ("aspergillus", "aspergillus_cfu_m3"), ("ammonia", "ammonia_ppm"),
    ("oxygen_low", "pit_oxygen_percent"), ("oxygen_high", "pit_oxygen_percent"), ("flammable", "pit_flammable_percent"),
    ("sulphide", "pit_sulphide_ppm"),
)  # fmt: skip
"""Each limit with the answer that is held against it."""


def _checks(inputs: Inputs) -> tuple[tuple[tuple[object, ...], ...], int]:
    rows: list[tuple[object, ...]] = []
    beyond = 0
    for key, name in MEASURED:
        value, row = getattr(inputs, name), LIMITS[key]
        if value is None:
            continue
        met = limit_met(key, value)
        beyond += not met
        sign = "at most" if row["side"] == "most" else "at least" if row["at_met"] else "more than"
        rows.append((HAZARDS[row["danger"]], row["what"], f"{value:g} {row['unit']}", f"{sign} {row['limit']:g} {row['unit']}: {row['words']}",
                     "within" if met else "beyond", row["status"]))  # fmt: skip
    return tuple(rows), beyond


def _in_place(inputs: Inputs) -> tuple[tuple[tuple[object, ...], ...], int]:
    rows = tuple((HAZARDS[row["danger"]], row["what"], "yes" if getattr(inputs, key) else "not yet", row["status"]) for key, row in IN_PLACE.items())
    return rows, sum(row[2] == "not yet" for row in rows)


def _noise(inputs: Inputs, at_shredder: float) -> tuple[tuple[object, ...], ...]:
    rows: list[tuple[object, ...]] = []
    hours = [at_shredder, inputs.shift_hours - at_shredder]
    for row in RULES.values():
        dose = noise_dose(*counted(row, [inputs.shredder_noise_db, inputs.yard_db], hours))
        muffled = noise_dose(*counted(row, [inputs.shredder_noise_db - inputs.muffs_db, inputs.yard_db], hours))
        allowed = lifting.permitted_hours(inputs.shredder_noise_db, row["criterion_db"], row["exchange_db"], SHIFT)
        rows.append((f"{row['label']}: {row['criterion_db']} dB(A) for eight hours", min(allowed, 24.0), dose, muffled, "within" if dose <= 100 else "beyond",
                     row["status"]))  # fmt: skip
    return tuple(rows)


def solve(inputs: Inputs, working: Working) -> Outputs:
    """Doses by the first rule with their working, then every table."""
    if inputs.store_moisture_percent is not None and inputs.hottest_store_c is None:
        raise CannotSolve("The moisture of a store says nothing about fire without its temperature: read that too.", ("hottest_store_c",))
    at_shredder = min(inputs.shredder_hours_per_day, inputs.shift_hours)
    rule = RULES["niosh"]
    rule_source = source("niosh_noise")
    allowed = working.step("Beside the shredder without muffs, at most", "h", lifting.permitted_hours, level_db=inputs.shredder_noise_db,
                           criterion_db=rule["criterion_db"], exchange_db=rule["exchange_db"], criterion_hours=SHIFT,
                           source=rule_source)  # fmt: skip
    doses = {}
    for worn, less, label in (("without", 0.0, "without muffs"), ("with", inputs.muffs_db, "with muffs")):
        hours, permitted = counted(rule, [inputs.shredder_noise_db - less, inputs.yard_db], [at_shredder, inputs.shift_hours - at_shredder])
        if hours:
            doses[worn] = working.step(f"Noise dose {label}", "percent", noise_dose, hours=hours, allowed=permitted, source=rule_source)
        else:
            doses[worn] = working.constant(0.0)
            working.note(f"Noise dose {label}", doses[worn], "percent", "Nothing is as loud as what the rule counts.", rule_source)
    level = None
    if doses["without"] > 0:
        level = working.step("The same as a steady level over eight hours", "dB", steady_level, dose_percent=doses["without"],
                             criterion_db=rule["criterion_db"], exchange_db=rule["exchange_db"], source=rule_source)  # fmt: skip
    checks, beyond = working.untraced(_checks, inputs)
    in_place, missing = working.untraced(_in_place, inputs)
    noise = working.untraced(_noise, inputs, at_shredder)
    return Outputs(
        beyond_count=beyond + (1 if doses["without"] > 100 else 0),
        missing_count=missing,
        shredder_dose_percent=doses["without"],
        noise_dose_muffs_percent=doses["with"],
        day_level_db=level,
        shredder_allowed_h=allowed if allowed < 24 else working.constant(24.0),
        fire_action=working.untraced(_fire, inputs.hottest_reading_c, inputs.hottest_store_c),
        smoulder_risk=working.untraced(_smoulder, inputs.hottest_store_c, inputs.store_moisture_percent),
        noise=noise,
        hazard_checks=checks,
        in_place=in_place,
    )


def _hottest(heap_c: float | None, hottest_store_c: float | None) -> float | None:
    read = [celsius for celsius in (heap_c, hottest_store_c) if celsius is not None]
    return max(read) if read else None


def _fire(heap_c: float | None, hottest_store_c: float | None) -> str:
    hottest = _hottest(heap_c, hottest_store_c)
    if hottest is None:
        return "No reading given: read every heap and store, at least weekly."
    return f"At {hottest:.4g} °C: {hot_pile_action(hottest)['does']}"


def _smoulder(hottest_store_c: float | None, moisture_percent: float | None) -> str:
    if hottest_store_c is None:
        return "not measured: read the temperature deep inside"
    if moisture_percent is None:
        return "yes, if it is half dry: keep away and call the fire service" if hottest_store_c > SMOULDER["temperature_c"] else "its moisture is not measured"
    if may_smoulder(hottest_store_c, moisture_percent):
        return "yes: keep away and call the fire service"
    return "it lies outside the range known for that; go on reading it"


# ---- words ----------------------------------------------------------------------------------------------------


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    if not outputs.beyond_count and not outputs.missing_count:
        return "No figure given is beyond a published limit, and all that must be in place is said to be there."
    figures = f"{outputs.beyond_count} figure{'s' if outputs.beyond_count != 1 else ''} of this yard beyond a published limit"
    things = f"{outputs.missing_count} thing{'s' if outputs.missing_count != 1 else ''} not in place yet"
    return f"There {'is' if outputs.beyond_count == 1 else 'are'} {figures}, and {things}."


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about this result."""
    found = [f"{row[1]}: {row[2]} here; {row[3]} ({row[5]})." for row in outputs.hazard_checks if row[4] == "beyond"]
    if outputs.shredder_dose_percent > 100:
        found.append(f"Noise: whoever is beside the shredder for its {say(min(inputs.shredder_hours_per_day, inputs.shift_hours), 'h')} takes "
                     f"{say(outputs.shredder_dose_percent, 'percent')} of the allowed dose; without muffs {say(outputs.shredder_allowed_h, 'h', 2)} "
                     f"is the most. With muffs as worn it is {say(outputs.noise_dose_muffs_percent, 'percent')}.")  # fmt: skip
    if inputs.shredder_hours_per_day > inputs.shift_hours:
        found.append("The shredder's hours are more than a shift: more than one machine runs. The dose is for a worker beside one of them all day.")
    if inputs.nearest_people_m <= LIMITS["neighbours"]["limit"]:
        found.append("Turn and screen when the wind blows away from people, and wet first. What distance holds, and whether a risk assessment is "
                     "needed, your own authority says.")  # fmt: skip
    if inputs.pit_oxygen_percent is not None or inputs.pit_flammable_percent is not None or inputs.pit_sulphide_ppm is not None:
        found.append("Gas in a pit within limits now says nothing about the next minute: nobody enters without a permit, whatever was measured.")
    found.append("Limits of one place are shown to think with. The law of your own place decides, and a blank is not a pass.")
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """The dangers that these figures touch: pressing ones by what was read or measured, and the shredder wherever it runs."""
    hottest = _hottest(inputs.hottest_reading_c, inputs.hottest_store_c)
    near = inputs.nearest_people_m <= LIMITS["neighbours"]["limit"]
    found = [
        RaisedCaution("heap_height_fire", outputs.fire_action, urgent=hottest is not None and hot_pile_action(hottest)["low"] is not None),
        RaisedCaution("leaf_store_fire", f"The leaf store is {say(inputs.leaf_store_height_m, 'm')} high, with {say(inputs.fire_gap_m, 'm')} clear beside it."),
        RaisedCaution("wet_down_dust", "" if inputs.masks_worn else "Masks are not said to be worn."),
        RaisedCaution("legionella"),
        RaisedCaution("sump_entry", "" if inputs.pit_covered else "The sump is not said to be covered."),
        RaisedCaution("reversing_vehicles", "" if inputs.walkway_apart and inputs.reversing_guided else "Walking way and guide are not said to be there."),
        RaisedCaution("raw_waste_hands", "" if inputs.handwash_ready else "No place to wash is said to be ready."),
        RaisedCaution("sharps_in_waste"),
    ]  # fmt: skip
    if near:
        found.append(RaisedCaution("neighbours_spores", f"The nearest people are {say(inputs.nearest_people_m, 'm')} away."))
    if inputs.shredder_hours_per_day > 0:
        found += [
            RaisedCaution("shredder_guard", "" if inputs.guards_fitted and inputs.stop_in_reach else "Guards and stop are not said to be there.", urgent=True),
            RaisedCaution("lockout", "" if inputs.lockout_kit else "Lock and tag are not said to be there."),
            RaisedCaution("noise_shredder", f"{say(outputs.shredder_dose_percent, 'percent')} of the dose without muffs.",
                          urgent=outputs.shredder_dose_percent > 100),
        ]  # fmt: skip
    return found


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """The dose by each rule."""
    return [
        Chart("bars", "Noise dose beside the shredder, without muffs", "percent", ("NIOSH", "Canada", "OSHA"),
              (Line("Dose", tuple(float(row[2]) for row in outputs.noise)),), (Mark(100.0, "limit"),), axis="Rule"),  # type: ignore[arg-type]
    ]  # fmt: skip


CALCULATOR = Calculator(
    key="hazards", title="Dangers of the yard", question="Noise, fire, dust, pits, traffic: what is beyond a limit, what is not in place?",
    inputs=Inputs, outputs=Outputs, solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts, step="Stay safe",
    sources=(*{(row["source"], row["status"]): cited(row["source"], row["status"], "") for row in (*RULES.values(), *LIMITS.values(), *HOT_PILES[1:])}.values(),
             cited("rynk_2000_fires", "from memory", ""), cited("osha_guards", "from memory", ""), cited("osha_lockout", "from memory", ""),
             cited("cdc_hands", "from memory", "")),
)  # fmt: skip
