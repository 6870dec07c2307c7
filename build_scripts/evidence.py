"""Run every published case through our own functions: for the Evidence page and for the tests, from the same data.

A case gives a publication's inputs and printed answers. Each label that a case names is bound here to the function that
answers it, with nothing but a change of names and units between the two.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from calculators import lifting, reference
from calculators.drawing import swept
from calculators.simulate import heat
from calculators.plan import Plan
from calculators.simulate.water import channel_depth, least_tank
from calculators.topics import (
    arrivals,
    bays,
    climate,
    field,
    hazards,
    heat_stress,
    machines,
    maturity,
    mix,
    money,
    product,
    quality,
    quantities,
    siting,
    temperatures,
    water,
    worms,
)
from calculators.log_reading import Batch, Probe
from calculators.topics.heat import outer_length, side_surface, whole_surface
from calculators.units import convert

CASES = Path(__file__).resolve().parent.parent / "tests" / "published" / "cases"
CURVES = CASES.parent / "heat_curves.json"
SLACK = 1e-9  # so that a figure exactly on the edge of the printed rounding counts as within it


@dataclass(frozen=True)
class Case:
    """One published example or table entry."""

    source: reference.Source
    title: str
    id: str
    where: str
    calculates: str
    given: Mapping[str, Any]
    printed: Mapping[str, Any]
    rounding: Mapping[str, float]
    status: str
    expect: str
    note: str


@dataclass(frozen=True)
class Check:
    """A case with what ours gives for it."""

    case: Case
    ours: Mapping[str, Any]

    @property
    def differences(self) -> dict[str, float]:
        """Ours less printed, for the answers that are numbers."""
        return {
            name: self.ours[name] - printed
            for name, printed in self.case.printed.items()
            if isinstance(printed, (int, float)) and not isinstance(printed, bool)
        }

    @property
    def agrees(self) -> bool:
        """Whether every printed answer is met within its printed rounding, words exactly."""
        return all(
            abs(self.ours[name] - printed) <= self.case.rounding.get(name, 0.0) + SLACK
            if isinstance(printed, (int, float)) and not isinstance(printed, bool)
            else self.ours[name] == printed
            for name, printed in self.case.printed.items()
        )


def cases() -> list[Case]:
    """Every case of every file, in order of file and place."""
    found = []
    for file in sorted(CASES.glob("*.json")):
        held = json.loads(file.read_text("utf-8"))
        for row in held["cases"]:
            found.append(
                Case(
                    reference.source(held["source"]), held["title"], row["id"], row["where"], row["calculates"], row["given"],
                    row["printed"], row["rounding"], row["status"], row["expect"], row.get("note", ""),
                )  # fmt: skip
            )
    return found


def run(case: Case) -> Check:
    """The case with our answers. Raises ``KeyError`` for a label that is bound to nothing."""
    return Check(case, BOUND[case.calculates](case.given))


Bound = Callable[[Mapping[str, Any]], dict[str, Any]]


def _bulking_for_carbon(given: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "bulking_kg": mix.bulking_for_carbon(
            given["base_kg"], given["base_moisture_percent_wet"] / 100, given["base_carbon_percent_dry"],
            given["base_nitrogen_percent_dry"], given["bulking_moisture_percent_wet"] / 100,
            given["bulking_carbon_percent_dry"], given["bulking_nitrogen_percent_dry"], given["target_carbon_to_nitrogen"],
        )
    }  # fmt: skip


def _bulking_for_moisture(given: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "bulking_kg": mix.bulking_for_moisture(
            given["base_kg"], given["base_moisture_percent_wet"] / 100, given["bulking_moisture_percent_wet"] / 100,
            given["target_moisture_percent_wet"] / 100,
        )
    }  # fmt: skip


def _blend_moisture(given: Mapping[str, Any]) -> dict[str, Any]:
    return {"moisture_percent_wet": mix.blend_moisture(given["masses_kg"], given["moistures_percent_wet"])}


def _blend_carbon(given: Mapping[str, Any]) -> dict[str, Any]:
    carbons = [share / 100 for share in given["carbon_percent_as_is"]]
    nitrogens = [share / 100 for share in given["nitrogen_percent_as_is"]]
    return {
        "carbon_lb": sum(mass * share for mass, share in zip(given["masses_lb"], carbons, strict=True)),
        "nitrogen_lb": sum(mass * share for mass, share in zip(given["masses_lb"], nitrogens, strict=True)),
        "carbon_to_nitrogen": mix.blend_carbon_to_nitrogen(given["masses_lb"], carbons, nitrogens),
    }


def _nitrogen_to_add(given: Mapping[str, Any]) -> dict[str, Any]:
    percent = mix.nitrogen_to_add(
        given["carbon_percent_dry"], given["nitrogen_percent_dry"], given["target_carbon_to_nitrogen"]
    )
    return {"nitrogen_percent_dry": percent, "nitrogen_kg": percent / 100 * given["dry_mass_kg"]}


def _bucket(given: Mapping[str, Any]) -> dict[str, Any]:
    density = mix.bucket_bulk_density(given["bucket_litres"], given["empty_kg"], given["full_kg"])
    return {"bulk_density_kg_m3": density, "bulk_density_kg_l": convert(density, "kg/m3", "kg/l")}


def _weight_limit(given: Mapping[str, Any]) -> dict[str, Any]:
    inches = "horizontal_in" in given

    def length(name: str) -> float:
        return convert(given[f"{name}_in"], "in", "cm") if inches else given[f"{name}_cm"]

    limit = lifting.recommended_weight_limit(
        length("horizontal"), length("vertical"), length("distance"), given["asymmetry_degrees"],
        given["lifts_per_minute"], given["duration_hours"], given["coupling"],
    )  # fmt: skip
    found = {"recommended_weight_limit_kg": limit, "recommended_weight_limit_lb": convert(limit, "kg", "lb")}
    if "load_kg" in given:
        found["lifting_index"] = lifting.lifting_index(given["load_kg"], limit)
    return found


def _product(given: Mapping[str, Any]) -> dict[str, Any]:
    unit = "kg" if "load_constant_kg" in given else "lb"
    limit = lifting.product_of_multipliers(given[f"load_constant_{unit}"], given["multipliers"])
    return {f"recommended_weight_limit_{unit}": limit}


def _noise(given: Mapping[str, Any]) -> dict[str, Any]:
    hours = lifting.permitted_hours(
        given["level_dba"], given["criterion_dba"], given["exchange_db"], given.get("criterion_hours", 8.0)
    )
    return {"permitted_hours": hours, "permitted_minutes": 60 * hours, "permitted_seconds": 3600 * hours}


def _single_phase(given: Mapping[str, Any]) -> dict[str, Any]:
    output_kw = given["output_hp"] * given["watts_for_a_horsepower"] / 1000
    taken = machines.power_taken(output_kw, given["efficiency_percent"])
    return {"amperes": machines.single_phase_current(taken, given["volts"], given["power_factor"])}


def _blocks(given: Mapping[str, Any]) -> dict[str, Any]:
    inches = {f"{name}_m": convert(given[f"{name}_in"], "in", "m") for name in ("block_length", "block_height", "joint")}
    return {"blocks": quantities.blocks_in_wall(convert(given["wall_ft2"], "ft2", "m2"), **inches)}


def _part_of_mix(given: Mapping[str, Any]) -> dict[str, Any]:
    sand, stone = given["sand_parts"], given["stone_parts"]
    parts = [quantities.part_of_mix(given["concrete_ft3"], quantities.CONCRETE_YIELD.typical, each, sand, stone) for each in (1, sand, stone)]
    return {"cement_barrels": parts[0] / given["barrel_ft3"], "sand_yd3": convert(parts[1], "ft3", "yd3"),
            "stone_yd3": convert(parts[2], "ft3", "yd3")}  # fmt: skip


def _mortar_cement(given: Mapping[str, Any]) -> dict[str, Any]:
    mortar = convert(given["mortar_yd3"], "yd3", "ft3")
    return {"cement_sacks": quantities.part_of_mix(mortar, quantities.MORTAR_YIELD.typical, 1, given["sand_parts"], 0)}


def _to_order(given: Mapping[str, Any]) -> dict[str, Any]:
    ordered = quantities.to_order(given["measured_ft3"], given["waste_percent"])
    return {"ordered_ft3": ordered, "ordered_yd3": convert(ordered, "ft3", "yd3")}


def _siting(given: Mapping[str, Any]) -> dict[str, Any]:
    (rule,) = [row for row in siting.RULES if row["guidance"] == given["guidance"] and row["what"] == given["what"]]
    return {"reading": siting.reading_of(rule, convert(given["value"], given["unit"], "m"))}


def _windrow(given: Mapping[str, Any]) -> dict[str, Any]:
    feet = bays.windrow_volume_per_area(given["height_ft"], given["aisle_ft"])
    return {"volume_yd3_acre": convert(feet * 43_560, "ft3", "yd3")}


def _parts(given: Mapping[str, Any]) -> dict[str, Any]:
    return {"carbon_to_nitrogen": mix.parts_carbon_to_nitrogen(given["parts"], given["carbon_to_nitrogens"])}


def _germination(given: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "germination_index_percent": maturity.germination_index(
            given["sample_germinated"], given["sample_seeds"], given["sample_root_mm"], given["control_germinated"],
            given["control_seeds"], given["control_root_mm"],
        )
    }  # fmt: skip


def _roof(given: Mapping[str, Any]) -> dict[str, Any]:
    litres = water.roof_yield(given["rain_mm"] - given.get("wetting_mm", 0), given["roof_m2"], given["run_off"])
    return {"yield_l": litres, "yield_kl": convert(litres, "l", "m3")}


def _lifted(given: Mapping[str, Any]) -> dict[str, Any]:
    watts = water.pump_power(convert(given["volume_m3"], "m3", "l") / 3600, given["lift_m"], 1, water.GRAVITY)
    return {"energy_kwh": convert(watts, "W", "kW")}  # in one hour
def _field_nitrogen(given: Mapping[str, Any]) -> dict[str, Any]:
    nitrogen = given["rate_t_ha"] * field.nutrient_per_tonne(given["nitrogen_percent_dry"], given["moisture_percent"])
    return {"nitrogen_kg_ha": nitrogen, "free_kg_ha": field.nitrogen_free(nitrogen, given["free_percent"])}
def _turn(given: Mapping[str, Any]) -> dict[str, Any]:
    """A turn at full lock, from the radius of the outer front wheel or of the middle of the front axle."""
    base, width = given["wheelbase_ft"], given["width_ft"]
    if "centreline_ft" in given:
        rear = swept.rear_axle_radius_of_centreline(given["centreline_ft"], base)
    else:
        rear = swept.rear_axle_radius(given["outer_wheel_ft"], base, width)
    return {
        "inner_ft": swept.inner_wheel_radius(rear, width), "outer_wheel_ft": swept.outer_wheel_radius(rear, base, width),
        "outer_corner_ft": swept.outer_corner_radius(rear, base, given["front_overhang_ft"], width),
    }  # fmt: skip


def heap_days(given: Mapping[str, Any]) -> list[heat.Day]:
    """The heap of a publication through its days, by the heat model; nothing is watered."""
    base, height, length = given["base_m"], given["height_m"], given["length_m"]
    section = bays.cross_section_area(given["shape"], base, height)
    volume = section * length
    floor_share = heat.LOSSES["floor_share"]
    surface = whole_surface(side_surface(outer_length(given["shape"], base, height, 0.0), base, floor_share, length), section)
    shares = [each.typical for each in heat.degradable(given["group"])]
    heap = heat.build(volume * given["density_kg_m3"], given["moisture_percent_wet"] / 100, shares, volume, surface,
                      base * length, given["free_air_space_percent"] / 100, given["ambient_c"])  # fmt: skip
    around = heat.Around(given["humidity_percent"] / 100, heat.SHELTERS[given["shelter"]])
    turned = heat.turnings(given["turning_interval_days"], given["days"]) if given["turning_interval_days"] else ()
    return heat.course(heap, around, [given["ambient_c"]] * given["days"], turned)


def _decay(given: Mapping[str, Any]) -> dict[str, Any]:
    walked = climate.decay_walk([given["potential_kg"]], given["rate"], given["years"])
    return {f"year_{year}": released for year, released in enumerate(walked, start=1)} | {"sum": sum(walked)}


def _heap(given: Mapping[str, Any]) -> dict[str, Any]:
    days = heap_days(given)
    inside = [day.mean_c for day in days]
    first, last = days[0].heap, days[-1].heap
    organic = given["organic_matter_percent_dry"] / 100
    return {
        "highest_c": max(inside), "day_of_highest": inside.index(max(inside)) + 1, "days_at_55_c": heat.hot_days(days, 55),
        "final_moisture_percent_wet": 100 * last.moisture,
        "organic_matter_lost_percent": 100 * (first.built_solids - last.solids) / (organic * first.built_solids),
    }  # fmt: skip


def _worms_and_area(given: Mapping[str, Any]) -> dict[str, Any]:
    stock = worms.stock_for(given["feed_kg_per_day"], given["feed_for_a_kilogram"])
    return {"stock_kg": stock, "area_m2": worms.bed_area(stock, given["kg_per_m2"])}


def _ground_per_tonne(given: Mapping[str, Any]) -> dict[str, Any]:
    return {"ground_m2_per_t_year": worms.bed_area(convert(given["site_ft2"], "ft2", "m2"), given["product_t_per_year"])}


def _tank(given: Mapping[str, Any]) -> dict[str, Any]:
    length, width, depth = (convert(given[f"{name}_ft"], "ft", "m") for name in ("length", "width", "depth"))
    return {"volume_m3": 1 / worms.content_density(1, length, width, depth)}


def _trench_stocking(given: Mapping[str, Any]) -> dict[str, Any]:
    load = worms.load_on_area(given["kg"], given["length_m"], given["width_m"])
    return {"worms_kg_m2": convert(load, "kg", "t") * given["worms_kg_per_t"]}


def _yield_of(given: Mapping[str, Any]) -> product.Outputs:
    found = Plan({}, given["example"]).evaluate().results["product"].outputs
    assert isinstance(found, product.Outputs)
    return found


def _unscreened(given: Mapping[str, Any]) -> dict[str, Any]:
    stages = {row[0]: row[1] for row in _yield_of(given).product_stages}
    return {"left_percent": product.mass_left_percent_of(stages["Mix with bulking and water"], stages["After curing"])}


@dataclass(frozen=True)
class Curve:
    """Temperatures that a publication prints for some days of a heap, and ours for all of them."""

    source: reference.Source
    title: str
    given: Mapping[str, Any]
    printed: Mapping[int, float]
    rounding: float
    status: str
    expect: str
    misfit_c: int
    note: str
    ours: tuple[float, ...]

    @property
    def differences(self) -> dict[int, float]:
        """Ours less printed on each printed day, °C."""
        return {day: self.ours[day - 1] - celsius for day, celsius in self.printed.items()}

    @property
    def misfit(self) -> float:
        """How far ours lies from the print, mean over the printed days, °C."""
        return sum(map(abs, self.differences.values())) / len(self.printed)

    @property
    def agrees(self) -> bool:
        """Whether ours is within what is printed on every printed day."""
        return all(abs(each) <= self.rounding for each in self.differences.values())


def curves() -> list[Curve]:
    """Every temperature record that ours is drawn against."""
    return [
        Curve(
            reference.source(row["source"]), row["title"], row["given"],
            {day: row["celsius"] for day in range(row["from_day"], row["to_day"] + 1)}, row["rounding"], row["status"],
            row["expect"], row["misfit_c"], row["note"], tuple(day.mean_c for day in heap_days(row["given"])),
        )
        for row in json.loads(CURVES.read_text("utf-8"))
    ]  # fmt: skip


def held_heat(given: Mapping[str, Any]) -> Batch:
    """A batch read at even times: held at a temperature, cold before and after, and where the case says so."""
    end, every = round(60 * given["hours"]), round(60 * given["read_every_hours"])
    hotter, dip = given.get("hotter"), given.get("cold_reading_at_hours")
    moments = {*range(0, end + 1, every), end}
    if hotter:
        inside = (round(60 * hotter["from_hours"]), round(60 * hotter["to_hours"]))
        moments |= {*inside, inside[0] - 1, inside[1] + 1}
    readings = {moment: given["celsius"] for moment in moments}
    for moment in readings:
        if hotter and inside[0] <= moment <= inside[1]:
            readings[moment] = hotter["celsius"]
        if dip is not None and moment == round(60 * dip):
            readings[moment] = 20.0
    readings |= {-every: 20.0, end + every: 20.0}
    start = 1_000_000
    series = tuple((start + moment, readings[moment]) for moment in sorted(readings))
    return Batch("", (Probe("probe", None, series),), tuple(sorted(start + round(60 * hours) for hours in given.get("turned_at_hours", ()))))


def _heat_rule(given: Mapping[str, Any]) -> dict[str, Any]:
    rule = next(row for row in temperatures.RULES if row["key"] == given["rule"])
    told = {name: given.get(name) for name in ("batch_moisture_percent", "batch_carbon_to_nitrogen", "largest_piece_mm")}
    word = temperatures.judge(rule, held_heat(given), temperatures.GAP["typical"], told).word
    return {"met": word == temperatures.MET, "met_added_up": word in (temperatures.MET, temperatures.ADDED)}


def _vector_attraction(given: Mapping[str, Any]) -> dict[str, Any]:
    series = tuple((1_000_000 + 1440 * day, celsius) for day, celsius in enumerate(given["celsius_by_day"]))
    verdict = temperatures.vector_attraction(Batch("", (Probe("probe", None, series),), ()), temperatures.GAP["typical"])
    return {"met": verdict[0] == temperatures.MET}


def _days_by_equation(given: Mapping[str, Any]) -> dict[str, Any]:
    row = temperatures.EQUATION[given["solids"]]
    days = temperatures.days_needed(given["celsius"], row["constant"], row["slope"])
    return {"days": days, "hours": 24 * days, "minutes": 1440 * days}


BOUND: dict[str, Bound] = {
    "heat.course": _heap,
    "arrivals.annual_mass": lambda g: {
        "annual_mass_t": convert(arrivals.annual_mass_kg(g["people"], g["waste_kg_person_year"]), "kg", "t")
    },
    "arrivals.share_percent": lambda g: {"share_percent": arrivals.share_percent(g["part"], g["whole"])},
    "bays.cross_section_area": lambda g: {"area_m2": bays.cross_section_area(g["shape"], g["width_m"], g["height_m"])},
    "bays.windrow_volume_per_area": _windrow,
    "climate.composting_emissions": lambda g: {
        "co2e_kg": 1000 * climate.composting_emissions(
            g["waste_t"], g["methane_g_kg"], g["nitrous_g_kg"], g["methane_gwp"], g["nitrous_gwp"]
        )
    },
    "climate.decay_walk": _decay,
    "climate.decomposable_carbon": lambda g: {
        "carbon_kg": climate.decomposable_carbon(g["waste_kg"], g["carbon"], g["decomposed"], g["correction"])
    },
    "climate.half_life": lambda g: {"half_life_years": climate.half_life(climate.RATES[f"{g['waste']}_{g['zone']}"].typical)},
    "climate.methane_potential": lambda g: {"methane_kg": climate.methane_potential(g["carbon_kg"], g["methane_fraction"])},
    "climate.wet_factor": lambda g: {"wet_g_kg": climate.wet_factor(g["dry_g_kg"], g["moisture_percent_wet"])},
    "heat_stress.limit": lambda g: {
        "limit_c": (heat_stress.exposure_limit if g["workers"] == "acclimatised" else heat_stress.alert_limit)(g["watts"])
    },
    "heat_stress.wbgt": lambda g: {
        "wbgt_c": heat_stress.wbgt_in_sun(g["wet_bulb_c"], g["globe_c"], g["air_c"]) if g["sun"]
        else heat_stress.wbgt_in_shade(g["wet_bulb_c"], g["globe_c"])
    },
    "heat_stress.wet_bulb": lambda g: {"wet_bulb_c": heat_stress.wet_bulb(g["air_c"], g["humidity_percent"])},
    "field.crop_offtake": lambda g: {
        "phosphate_lb": field.crop_offtake(
            convert(g["harvest_ton"] * 2000, "lb", "t"),
            field.nutrient_per_tonne(g["phosphate_percent_dry"], 100 - g["dry_matter_percent"]),
        ) / convert(1, "lb", "kg")
    },
    "field.crop_offtake_table": lambda g: {
        "phosphate_kg": field.crop_offtake(g["harvest_t"], field.CROPS[g["crop"]]["phosphate_kg_t"])
    },
    "field.days": lambda g: {"days": field.days_before_harvest(g["heat_record"], g["eaten_part"])},
    "field.nitrogen": _field_nitrogen,
    "swept.turn": _turn,
    "lifting.asymmetry_multiplier": lambda g: {
        "asymmetry_multiplier": lifting.asymmetry_multiplier(g["asymmetry_degrees"])
    },
    "lifting.coupling_multiplier": lambda g: {
        "coupling_multiplier": lifting.coupling_multiplier(g["coupling"], g["vertical_cm"])
    },
    "lifting.distance_multiplier": lambda g: {"distance_multiplier": lifting.distance_multiplier(g["distance_cm"])},
    "lifting.frequency_multiplier": lambda g: {
        "frequency_multiplier": lifting.frequency_multiplier(g["lifts_per_minute"], g["duration_hours"], g["vertical_cm"])
    },
    "lifting.horizontal_multiplier": lambda g: {
        "horizontal_multiplier": lifting.horizontal_multiplier(g["horizontal_cm"])
    },
    "lifting.lifting_index": lambda g: {"lifting_index": lifting.lifting_index(g["load_lb"], g["recommended_weight_limit_lb"])},
    "lifting.product_of_multipliers": _product,
    "lifting.recommended_weight_limit": _weight_limit,
    "lifting.vertical_multiplier": lambda g: {"vertical_multiplier": lifting.vertical_multiplier(g["vertical_cm"])},
    "machines.motor_efficiency": lambda g: {
        "efficiency_percent": machines.motor_efficiency(g["output_kw"], g["taken_kw"])
    },
    "machines.rate_of_power": lambda g: {"kg_per_hour": machines.rate_of_power(g["power_hp"], g["hp_for_each_kg_per_hour"])},
    "machines.single_phase_current": _single_phase,
    "machines.three_phase_current": lambda g: {
        "amperes": machines.three_phase_current(g["taken_kw"], g["volts"], g["power_factor"])
    },
    "machines.three_phase_power": lambda g: {
        "taken_kw": machines.three_phase_power(g["volts"], g["amperes"], g["power_factor"])
    },
    "maturity.ammonium_nitrate_ratio": lambda g: {
        "ratio": maturity.ammonium_nitrate_ratio(g["ammonium_nitrogen_mg_kg"], g["nitrate_nitrogen_mg_kg"])
    },
    "maturity.carbon_dioxide_as_carbon": lambda g: {
        "carbon_dioxide_mg_c_g_day": maturity.carbon_dioxide_as_carbon(g["carbon_dioxide_mg_co2_g_day"])
    },
    "maturity.carbon_dioxide_class": lambda g: {
        "key": reference.band_for("carbon_dioxide", g["carbon_dioxide_mg_c_g_day"]).key
    },
    "maturity.germination_index": _germination,
    "maturity.limit_met": lambda g: {"met": maturity.limit_met(g["limit"], g["value"])},
    "maturity.oxygen_as_mass": lambda g: {"oxygen_mg_g_h": maturity.oxygen_as_mass(g["oxygen_mmol_kg_h"])},
    "maturity.self_heating_class": lambda g: {
        "class": maturity.self_heating_class(maturity.self_heating_rise(g["highest_c"], g["room_c"])).key
    },
    "maturity.two_test_rating": lambda g: {"rating": maturity.two_test_rating(g["test"], g["value"])},
    "temperatures.days_needed": _days_by_equation,
    "temperatures.judge": _heat_rule,
    "temperatures.vector": _vector_attraction,
    "mix.blend_carbon_to_nitrogen": _blend_carbon,
    "mix.blend_moisture": _blend_moisture,
    "mix.bucket_bulk_density": _bucket,
    "mix.bulking_for_carbon_to_nitrogen": _bulking_for_carbon,
    "mix.bulking_for_moisture": _bulking_for_moisture,
    "mix.carbon_to_nitrogen": lambda g: {
        "carbon_to_nitrogen": mix.carbon_to_nitrogen(g["carbon_percent_dry"], g["nitrogen_percent_dry"])
    },
    "mix.carbon_to_nitrogen_of_parts": _parts,
    "mix.fertiliser_to_add": lambda g: {
        "fertiliser_kg": mix.fertiliser_to_add(g["nitrogen_kg"], g["fertiliser_nitrogen_percent"])
    },
    "mix.free_air_space": lambda g: {
        "free_air_space_percent": mix.free_air_space(
            g["bulk_density_kg_m3"], g["moisture_percent_wet"] / 100, g["organic_matter_percent_dry"] / 100
        )
    },
    "mix.nitrogen_to_add": _nitrogen_to_add,
    "mix.sample_moisture": lambda g: {
        "moisture_percent_wet": mix.sample_moisture(
            g["wet_sample_g"], g["container_g"], g["dry_sample_and_container_g"]
        )
    },
    "noise.dose_of_permitted": lambda g: {"dose_percent": machines.noise_dose(g["hours"], g["permitted_hours"])},
    "noise.level_at": lambda g: {"level_db": machines.level_at(g["level_db"], g["measured"], g["distance"])},
    "noise.permitted_hours": _noise,
    "water.channel_depth": lambda g: {"depth_m": channel_depth(g["flow_m3_s"], g["width_m"], g["fall"], g["roughness"])},
    "water.channel_flow": lambda g: {
        "flow_m3_s": water.channel_flow(g["width_m"], g["depth_m"], g["fall"], g["roughness"])
    },
    "water.downpipe_width": lambda g: {"width_mm": water.downpipe_width(g["flow_l_s"], g["roughness_mm"], g["filling"])},
    "water.least_tank": lambda g: {"tank_m3": least_tank(g["supply_m3"], g["demand_m3"])},
    "water.pump_energy": _lifted,
    "water.pump_power": lambda g: {
        "power_kw": convert(water.pump_power(g["flow_l_s"], g["lift_m"], g["efficiency"], water.GRAVITY), "W", "kW")
    },
    "water.rational_flow": lambda g: {"flow_m3_s": water.rational_flow(g["run_off"], g["rain_mm_per_h"], g["hectares"])},
    "water.roof_yield": _roof,
    "noise.sum_of_levels": lambda g: {"level_db": machines.sum_of_levels(g["levels_db"])},
    "siting.reading": _siting,
    "money.annuity": lambda g: {"payment": money.annuity(g["amount"], g["rate_percent_per_month"] / 100, g["months"])},
    "money.internal_rate": lambda g: {"rate": min(money.internal_rates(g["flows"]), key=abs)},
    "money.net_present_value": lambda g: {"value": money.net_present_value(g["rate"], g["flows"])},
    "noise.permitted_hours": _noise,
    "product.of_example_yard": lambda g: {
        "product_t_per_t": convert(_yield_of(g).product_percent_of_waste or 0.0, "percent", "fraction")
    },
    "product.organic_lost_by_ash": lambda g: {
        "organic_lost_percent": 100 * product.organic_lost_by_ash(g["ash_before_percent"] / 100, g["ash_after_percent"] / 100)
    },
    "product.unscreened_of_example_yard": _unscreened,
    "worms.ammonia_is_borne": lambda g: {"borne": worms.ammonia_is_borne(1000 * g["ammonia_mg_g"])},
    "worms.content_density": lambda g: {
        "density_kg_m3": worms.content_density(g["kg"], g["length_m"], g["width_m"], g["depth_m"])
    },
    "worms.ground_per_tonne": _ground_per_tonne,
    "worms.month_is_borne": lambda g: {
        "borne": worms.month_verdict(g["celsius"]) not in ("too cold", "too hot", "deadly")
    },
    "worms.month_verdict": lambda g: {"verdict": worms.month_verdict(g["celsius"])},
    "worms.salt_is_borne": lambda g: {"borne": worms.salt_is_borne(g["salt_percent"])},
    "worms.stock_and_area": _worms_and_area,
    "worms.stocking_units": lambda g: {"worms_lb_ft2": convert(g["worms_kg_m2"], "kg/m2", "lb/ft2")},
    "worms.tank_volume": _tank,
    "worms.trench_stocking": _trench_stocking,
    "noise.dose": lambda g: {
        "dose_percent": hazards.noise_dose(*hazards.counted(hazards.RULES[g["rule"]], g["levels_db"], g["hours"]))
    },
    "noise.permitted_hours": _noise,
    "noise.steady_level": lambda g: {
        "level_db": hazards.steady_level(g["dose_percent"], g["criterion_db"], g["exchange_db"])
    },
    "quantities.blocks_in_wall": _blocks,
    "quantities.mortar_cement": _mortar_cement,
    "quantities.part_of_mix": _part_of_mix,
    "quantities.slab_volume": lambda g: {"volume_ft3": quantities.slab_volume(g["length_ft"] * g["width_ft"], g["thickness_ft"])},
    "quantities.strip_volume": lambda g: {"volume_ft3": quantities.strip_volume(g["length_ft"], g["width_ft"], g["depth_ft"])},
    "quantities.to_order": _to_order,
    "quality.limit": lambda g: {
        "outcome": quality.judge_one(
            g["grade"], g["parameter"], g["value"], basis=g.get("basis", "dry"), moisture_percent=g.get("moisture_percent"),
            below=g.get("below", False),
        )
    },
    "quality.phosphate": lambda g: {"phosphate": quality.phosphate(g["phosphorus"])},
    "quality.potash": lambda g: {"potash": quality.potash(g["potassium"])},
    "mix.water_to_add": lambda g: {
        "water_kg": mix.water_to_add(
            g["mass_kg"], g["moisture_percent_wet"] / 100, g["target_moisture_percent_wet"] / 100
        )
    },
}
