"""Work in heat: minutes of each hour that work of a kind may go on, for workers used to the heat and for new ones.

Heat is told by WBGT, a mean of wet-bulb, globe and air temperature. The limits fall with the work (NIOSH 2016-106); rest in
each hour lowers the hour's mean of the work, and so raises the limit. Two other published tables stand beside it.
"""

from __future__ import annotations

from dataclasses import dataclass

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
    count,
    flag,
    number,
    output,
    output_table,
    output_text,
    own_choice,
)  # fmt: skip
from calculators.reference import cited, rows_of, source
from calculators.working import Working, exp, least, log10, most

KINDS = {row["key"]: row for row in rows_of("safety", "work_kinds")}
CLOTHES = {row["key"]: row for row in rows_of("safety", "clothing")}
SCREENING = rows_of("safety", "screening")
ISO = {row["key"]: row for row in rows_of("safety", "iso_reference")}
NEW_WORKERS = rows_of("safety", "new_workers")
HELD = {row["key"]: row["value"] for row in rows_of("safety", "heat_constants")}
ESTIMATE = {row["key"]: row["value"] for row in rows_of("safety", "estimate")}
HAIR = 1e-6
"""Minutes: less than this is rounding."""
RESTING = HELD["rest_watts"]
WATER = HELD["water_l_per_hour"]
LIMITS = cited("niosh_heat_2016", "restated", "sections 8.1 and 9.3.2")
GUESS_SUN = cited("bom_wbgt", "from memory", "0.567 T + 0.393 e + 3.94, for full sun and light wind")
GUESS_SHADE = cited("lemke_kjellstrom_2012", "from memory", "0.67 wet bulb + 0.33 air, for air that moves at 1 m/s")
RATES = cited("niosh_heat_2016", "from memory", "table 5-1")


@dataclass(frozen=True)
class Inputs:
    """How hot it is, what is done, and in what clothes."""

    work_air_c: float = number(
        "Air where people work, hottest hour", "°C", 32.0, low=-10, high=55, usual=(15, 45), group="How hot it is",
        help="In the shade of the shed.", source=own_choice("a hot day of the example ward"), measure="a thermometer in the shade at three o'clock",
    )  # fmt: skip
    work_humidity_percent: float = number(
        "Humidity of that air", "percent", 50.0, low=1, high=100, usual=(20, 95), group="How hot it is", help="Relative, in the same hour.",
        source=own_choice("a hot afternoon before the rains"), measure="a hygrometer beside the thermometer",
    )  # fmt: skip
    work_in_sun: bool = flag(
        "The sun shines on the work", False, group="How hot it is", help="No under a roof. A hot metal roof counts as sun.", source=own_choice("work under a roof"),
    )  # fmt: skip
    wet_bulb_c: float | None = number(
        "Natural wet bulb", "°C", None, low=-10, high=45, usual=(10, 35), blank=True, group="How hot it is",
        help="A thermometer in a wet sleeve, in the moving air of the place.",
    )  # fmt: skip
    globe_c: float | None = number(
        "Globe", "°C", None, low=-10, high=90, usual=(15, 70), blank=True, group="How hot it is",
        help="A thermometer in a black hollow ball. With the wet bulb it gives WBGT.",
    )  # fmt: skip
    meter_wbgt_c: float | None = number(
        "WBGT on a meter", "°C", None, low=-10, high=50, usual=(10, 38), blank=True, group="How hot it is",
        help="If there is a meter, this alone counts.",
    )  # fmt: skip
    work_kind: str = choice(
        "The hardest work of that hour", {key: row["label"] for key, row in KINDS.items()}, "heavy", group="The work",
        help="Turning and building heaps are heavy.", source=own_choice("turning with a fork"),
    )  # fmt: skip
    work_clothes: str = choice(
        "Clothes", {key: row["label"] for key, row in CLOTHES.items()}, "work_clothes", group="The work",
        help="What does not breathe adds to the heat.", source=own_choice("cloth overalls"),
    )  # fmt: skip
    shift_hours: float = number(
        "Hours of a shift", "h", 8.0, low=1, high=12, follows="crew", group="The work", help="Paid time at the yard."
    )
    rest_percent: float = number(
        "Rest, washing and delays", "percent", 25.0, low=0, high=80, follows="crew", group="The work", help="What the plan of the crew allows."
    )
    crew_present: int = count(
        "Workers present", "worker", 4, low=0, high=100_000, follows="crew", group="The work", help="For drinking water."
    )


@dataclass(frozen=True)
class Outputs:
    """Heat, limits, minutes, and water."""

    wbgt_c: float = output("WBGT, with clothing", "°C", key_figure=True)
    work_minutes: float = output("Work in each hour, used to the heat", "min", key_figure=True, help="The rest of the hour in shade.")
    work_minutes_new: float = output("Work in each hour, new workers", "min", key_figure=True, help="And those back from two weeks away.")
    wbgt_from: str = output_text("Where the WBGT comes from")
    limit_c: float = output("Limit for that work without rest, used to the heat", "°C")
    limit_new_c: float = output("The same for new workers", "°C")
    rest_planned: str = output_text("Is the rest in the crew's plan enough?")
    drinking_water_l: float = output("Drinking water for a shift", "l", help="For all who are present, a cup each quarter of an hour.")
    by_work: tuple[tuple[object, ...], ...] = output_table(
        "Minutes of work in each hour at this heat",
        (Column("kind", "Work"), Column("limit", "Limit, used to heat", "°C"), Column("minutes", "Minutes", "min"),
         Column("limit_new", "Limit, new", "°C"), Column("minutes_new", "Minutes", "min")),
    )  # fmt: skip
    other_tables: tuple[tuple[object, ...], ...] = output_table(
        "The same by two other tables: share of each hour, and work without rest (both from memory)",
        (Column("kind", "Work"), Column("screening", "ACGIH, used to heat"), Column("screening_new", "ACGIH, new"),
         Column("iso", "ISO 7243, used to heat"), Column("iso_new", "ISO 7243, new")),
    )  # fmt: skip
    first_days: tuple[tuple[object, ...], ...] = output_table(
        "A new worker's first days in heat", (Column("day", "Day"), Column("part", "Of a full day in the heat", "percent"),
                                              Column("hours", "At most", "h")),
    )  # fmt: skip


# ---- formulas -------------------------------------------------------------------------------------------------


def wbgt_in_sun(wet_bulb: float, globe: float, air: float) -> float:
    """WBGT outdoors with sun (°C): 0.7 natural wet bulb + 0.2 globe + 0.1 air. NIOSH 2016-106, section 9.3.2."""
    return 0.7 * wet_bulb + 0.2 * globe + 0.1 * air


def wbgt_in_shade(wet_bulb: float, globe: float) -> float:
    """WBGT indoors or without sun (°C): 0.7 natural wet bulb + 0.3 globe. NIOSH 2016-106, section 9.3.2."""
    return 0.7 * wet_bulb + 0.3 * globe


def vapour_pressure(air: float, humidity_percent: float) -> float:
    """Water vapour in the air (hPa), from air temperature (°C) and relative humidity."""
    return humidity_percent / 100 * ESTIMATE["saturation_hpa"] * exp(ESTIMATE["saturation_slope"] * air / (ESTIMATE["saturation_c"] + air))


def wet_bulb(air: float, humidity_percent: float) -> float:
    """Wet-bulb temperature (°C) of moving air near sea level, by halving on the psychrometer's equation.

    Vapour in the air = saturation at the wet bulb − 0.67 hPa/°C × (air − wet bulb). Air from −20 to 60 °C.
    """
    vapour = vapour_pressure(air, humidity_percent)
    low, high = air - 60.0, air
    for _ in range(50):
        middle = (low + high) / 2
        if vapour_pressure(middle, 100) - ESTIMATE["psychrometer_hpa_c"] * (air - middle) < vapour:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def guess_in_sun(air: float, vapour_hpa: float) -> float:
    """WBGT guessed without a globe (°C), for full sun and light wind; from memory of the Australian bureau's page."""
    return ESTIMATE["sun_air"] * air + ESTIMATE["sun_vapour"] * vapour_hpa + ESTIMATE["sun_constant"]


def guess_in_shade(air: float, wet_bulb_c: float) -> float:
    """WBGT guessed without a globe (°C), no sun, air moving at 1 m/s; from memory of Lemke and Kjellstrom 2012."""
    return ESTIMATE["shade_wet_bulb"] * wet_bulb_c + ESTIMATE["shade_air"] * air


def exposure_limit(watts: float) -> float:
    """Limit of WBGT (°C) for workers used to the heat, at a mean metabolic rate above 0: the REL. NIOSH 2016-106, 8.1."""
    return HELD["acclimatised_intercept"] - HELD["acclimatised_slope"] * log10(watts)


def alert_limit(watts: float) -> float:
    """Limit of WBGT (°C) for new workers, at a mean metabolic rate above 0: the RAL. NIOSH 2016-106, 8.1."""
    return HELD["new_intercept"] - HELD["new_slope"] * log10(watts)


def most_watts(wbgt: float, intercept: float, slope: float) -> float:
    """The mean metabolic rate (W) at which the limit is just this WBGT: the limit's equation turned round."""
    return 10 ** ((intercept - wbgt) / slope)


def minutes_of_work(watts_allowed: float, watts: float, resting: float) -> float:
    """Minutes of each hour such that work and rest together have the allowed mean; from 0 to 60."""
    return most(least(60 * (watts_allowed - resting) / (watts - resting), 60), 0)


def water_for_shift(workers: float, hours: float, litres_per_hour: float) -> float:
    """Drinking water (l) for all through a shift."""
    return workers * hours * litres_per_hour


# ---- tables ---------------------------------------------------------------------------------------------------


def screening_share(wbgt: float, kind: str, used_to_heat: bool) -> str:
    """The largest share of each hour whose screening value is not exceeded (at the value itself it is not), in words."""
    column = f"{'limit' if used_to_heat else 'action'}_{kind}"
    for row in SCREENING:
        value = row[column]
        if value is not None and wbgt <= value:
            return str(row["label"])
    return "none"


def iso_met(wbgt: float, kind: str, used_to_heat: bool) -> str:
    """Whether a WBGT is within the ISO reference value for work without rest; at the value itself it is."""
    return "within" if wbgt <= ISO[kind]["acclimatised" if used_to_heat else "new"] else "above"


def _by_work(wbgt: float) -> tuple[tuple[object, ...], ...]:
    rows: list[tuple[object, ...]] = []
    for row in KINDS.values():
        rows.append((
            row["label"], exposure_limit(row["watts"]), _minutes(wbgt, row["watts"], "acclimatised"), alert_limit(row["watts"]),
            _minutes(wbgt, row["watts"], "new"),
        ))  # fmt: skip
    return tuple(rows)


def _other_tables(wbgt: float) -> tuple[tuple[object, ...], ...]:
    return tuple((row["label"], screening_share(wbgt, key, True), screening_share(wbgt, key, False), iso_met(wbgt, key, True),
                  iso_met(wbgt, key, False)) for key, row in KINDS.items())  # fmt: skip


def _minutes(wbgt: float, watts: float, who: str) -> float:
    return minutes_of_work(most_watts(wbgt, HELD[f"{who}_intercept"], HELD[f"{who}_slope"]), watts, RESTING)


# ---- solving --------------------------------------------------------------------------------------------------


def _wbgt(inputs: Inputs, working: Working) -> tuple[float, str]:
    """The WBGT and where it comes from: a meter, the three thermometers, or a guess."""
    if inputs.meter_wbgt_c is not None:
        working.note("WBGT on the meter", inputs.meter_wbgt_c, "°C")
        return inputs.meter_wbgt_c, "the meter"
    if (inputs.wet_bulb_c is None) != (inputs.globe_c is None):
        raise CannotSolve("WBGT needs both thermometers: give the natural wet bulb and the globe, or neither.", ("wet_bulb_c", "globe_c"))
    if inputs.wet_bulb_c is not None and inputs.globe_c is not None:
        if inputs.wet_bulb_c > inputs.globe_c:
            raise CannotSolve("A wet bulb reads no higher than the globe beside it: look at both again.", ("wet_bulb_c", "globe_c"))
        if inputs.work_in_sun:
            return working.step("WBGT in the sun", "°C", wbgt_in_sun, wet_bulb=inputs.wet_bulb_c, globe=inputs.globe_c, air=inputs.work_air_c,
                                source=LIMITS), "wet bulb, globe and air"  # fmt: skip
        return working.step("WBGT without sun", "°C", wbgt_in_shade, wet_bulb=inputs.wet_bulb_c, globe=inputs.globe_c,
                            source=LIMITS), "wet bulb and globe"  # fmt: skip
    if inputs.work_in_sun:
        vapour = working.step("Water vapour in the air, hPa", "1", vapour_pressure, air=inputs.work_air_c,
                              humidity_percent=inputs.work_humidity_percent, source=GUESS_SUN)  # fmt: skip
        return working.step("WBGT, guessed for sun", "°C", guess_in_sun, air=inputs.work_air_c, vapour_hpa=vapour,
                            source=GUESS_SUN), "a guess from air and humidity, for sun"  # fmt: skip
    wet = working.untraced(wet_bulb, inputs.work_air_c, inputs.work_humidity_percent)
    working.note("Wet bulb of that air", wet, "°C", "The psychrometer's equation, by halving.")
    return working.step("WBGT, guessed for shade", "°C", guess_in_shade, air=inputs.work_air_c, wet_bulb_c=wet,
                        source=GUESS_SHADE), "a guess from air and humidity, for shade"  # fmt: skip


def solve(inputs: Inputs, working: Working) -> Outputs:
    """The WBGT, both limits, the minutes, and whether the planned rest is enough."""
    bare, told = _wbgt(inputs, working)
    wbgt = bare + CLOTHES[inputs.work_clothes]["value"]
    if inputs.work_clothes != "work_clothes":
        working.note("WBGT with clothing", wbgt, "°C", CLOTHES[inputs.work_clothes]["label"], cited("acgih_heat", "from memory", ""))
    watts = KINDS[inputs.work_kind]["watts"]
    limit = working.step("Limit without rest, used to the heat", "°C", exposure_limit, watts=watts, source=LIMITS)
    limit_new = working.step("Limit without rest, new workers", "°C", alert_limit, watts=watts, source=LIMITS)
    minutes = {}
    for who, label in (("acclimatised", "used to the heat"), ("new", "new workers")):
        allowed = working.step(f"Mean work allowed at this heat, {label}, W", "1", most_watts, wbgt=wbgt, intercept=HELD[f"{who}_intercept"],
                               slope=HELD[f"{who}_slope"], source=LIMITS)  # fmt: skip
        minutes[who] = working.step(f"Minutes of work in each hour, {label}", "min", minutes_of_work, watts_allowed=allowed, watts=watts,
                                    resting=RESTING, source=RATES)  # fmt: skip
    return Outputs(
        wbgt_c=wbgt,
        work_minutes=minutes["acclimatised"],
        work_minutes_new=minutes["new"],
        wbgt_from=told,
        limit_c=limit,
        limit_new_c=limit_new,
        rest_planned=working.untraced(_rest, minutes["acclimatised"], minutes["new"], inputs.rest_percent),
        drinking_water_l=working.step("Drinking water", "l", water_for_shift, workers=inputs.crew_present, hours=inputs.shift_hours,
                                      litres_per_hour=WATER, source=RATES),
        by_work=working.untraced(_by_work, wbgt),
        other_tables=working.untraced(_other_tables, wbgt),
        first_days=tuple((f"day {row['day']}", float(row["part_percent"]), inputs.shift_hours * row["part_percent"] / 100) for row in NEW_WORKERS),
    )  # fmt: skip


def _rest(minutes: float, minutes_new: float, rest_percent: float) -> str:
    planned = 60 * rest_percent / 100
    if minutes <= 0:
        return "no: this work must not be done in this heat"
    if 60 - minutes > planned + HAIR:
        return f"no: {60 - minutes:.0f} minutes of rest in the hour are needed, the plan has {planned:.0f}"
    if 60 - minutes_new > planned + HAIR:
        return "yes for workers used to the heat, no for new ones"
    return "yes"


# ---- words ----------------------------------------------------------------------------------------------------


def _work_words(minutes: float, who: str) -> str:
    if minutes <= 0:
        return f"{who} must not do it"
    if minutes >= 60 - HAIR:
        return f"{who} may work without extra rest"
    return f"{who} may work {int(minutes + HAIR)} minutes of each hour"


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    work = KINDS[inputs.work_kind]["label"].split(":")[0]
    return (f"At a WBGT of {say(outputs.wbgt_c, '°C')}, in {work} work, {_work_words(outputs.work_minutes, 'those used to the heat')}, "
            f"and {_work_words(outputs.work_minutes_new, 'new workers')}.")  # fmt: skip


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about this result."""
    found = []
    if outputs.wbgt_from.startswith("a guess"):
        found.append("The WBGT is a guess. Under a hot roof, without wind or beside hot heaps it is hotter than guessed: a wet-bulb and a globe "
                     "thermometer, or a meter, tell.")  # fmt: skip
    if outputs.rest_planned != "yes":
        found.append(f"The rest of {say(inputs.rest_percent, 'percent')} in the crew's plan: {outputs.rest_planned}. Move heavy work to the cool "
                     "hours, or plan more people.")  # fmt: skip
    found.append(f"Have {say(outputs.drinking_water_l, 'l')} of cool drinking water for the shift, within reach of the work; nobody should drink "
                 f"more than {say(HELD['water_most_l_per_hour'], 'l')} in an hour.")  # fmt: skip
    if inputs.work_clothes == "tight":
        found.append("In clothes that do not breathe, WBGT says little: watch each worker, and keep such work to minutes.")
    found.append("Rest is taken to be in the same heat. Shade and moving air allow more. The table of work rates may be wrong by 30 %: where "
                 "people tire sooner, they are right.")  # fmt: skip
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """The danger of heat."""
    return [RaisedCaution("heat_stress", f"WBGT {say(outputs.wbgt_c, '°C')}: the limit without rest is {say(outputs.limit_c, '°C')} for those used to "
                          f"the heat, {say(outputs.limit_new_c, '°C')} for new workers.", urgent=outputs.wbgt_c > outputs.limit_new_c),
            RaisedCaution("steam_burn")]  # fmt: skip


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """Minutes by kind of work."""
    kinds = tuple(str(row[0]).split(":")[0] for row in outputs.by_work)
    return [
        Chart("lines", "Minutes of work in each hour at this heat", "min", kinds,
              (Line("Used to the heat", tuple(float(row[2]) for row in outputs.by_work)),  # type: ignore[arg-type]
               Line("New workers", tuple(float(row[4]) for row in outputs.by_work))),  # type: ignore[arg-type]
              (Mark(60.0 - 60 * inputs.rest_percent / 100, "work in the crew's plan"),), axis="Work"),
    ]  # fmt: skip


CALCULATOR = Calculator(
    key="heat_stress", title="Work in heat", question="How long may people work in this heat, and how much must they rest?", inputs=Inputs,
    outputs=Outputs, solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts, step="Stay safe",
    sources=(LIMITS, RATES, cited("acgih_heat", "from memory", "screening table"), source("iso_7243"), GUESS_SHADE, GUESS_SUN),
)  # fmt: skip
