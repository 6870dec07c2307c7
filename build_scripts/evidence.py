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
from calculators.topics import arrivals, bays, maturity, mix
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


BOUND: dict[str, Bound] = {
    "heat.course": _heap,
    "arrivals.annual_mass": lambda g: {
        "annual_mass_t": convert(arrivals.annual_mass_kg(g["people"], g["waste_kg_person_year"]), "kg", "t")
    },
    "arrivals.share_percent": lambda g: {"share_percent": arrivals.share_percent(g["part"], g["whole"])},
    "bays.cross_section_area": lambda g: {"area_m2": bays.cross_section_area(g["shape"], g["width_m"], g["height_m"])},
    "bays.windrow_volume_per_area": _windrow,
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
    "noise.permitted_hours": _noise,
    "mix.water_to_add": lambda g: {
        "water_kg": mix.water_to_add(
            g["mass_kg"], g["moisture_percent_wet"] / 100, g["target_moisture_percent_wet"] / 100
        )
    },
}
