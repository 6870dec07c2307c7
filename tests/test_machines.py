"""Machines: hours as in Crew, currents and energy against pint, noise against powers of ten, a breakdown by hand."""

from __future__ import annotations

import math
from typing import Any

import numpy
import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize

from calculators.declare import declared
from calculators.lifting import permitted_hours
from calculators.plan import Plan
from calculators.topics import machines, year
from calculators.units import show
from calculators.working import Working
from tests.vectors import value_for

REGISTRY = pint.UnitRegistry()
ALONE = {"other_machines": ()}
ODD = st.floats(0.3, 1.0)


def inputs(**given: Any) -> machines.Inputs:
    return machines.Inputs(**{**{name: answer.default for name, answer in declared(machines.Inputs).items()}, **given})


def solved(**given: Any) -> machines.Outputs:
    return machines.solve(inputs(**given), Working())


# ---- hours ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("own", [
    {}, {"garden_shredded": 80, "market_shredded": 30}, {"shredder_kg_per_hour": 60, "shredded": 100}, {"working_days_per_week": 4},
    {"shredded": 0}, {"shred_rate": 20},
])  # fmt: skip
@pytest.mark.parametrize("example", ["larkhollow", "pennywhistle"])
def test_hours_are_those_of_crew(own: dict[str, Any], example: str) -> None:
    results = Plan(own, example).evaluate().results
    crew, ours = results["crew"].outputs, results["machines"]
    assert ours.outputs.hours_each_shredder * max(1, crew.shredder_count) == pytest.approx(crew.shredder_hours_per_day)
    assert ours.inputs.shredder_count == crew.shredder_count
    assert sum(row[3] for row in ours.outputs.shredded_streams) == pytest.approx(ours.outputs.shredded_kg_per_working_day)
    assert sum(row[4] for row in ours.outputs.shredded_streams) == pytest.approx(crew.shredder_hours_per_day)


def test_the_year_counts_the_hours_of_shredded_market_waste() -> None:
    """Half a tonne of market waste a week, all of it shredded, adds to a day of the year what it adds to Crew's."""

    def hours(share: float) -> tuple[float, float]:
        evaluated = Plan({"market_shredded": share, "market_kg_by_weekday": "70;70;70;70;70;70;70", "homes": 300}, None).evaluate()
        standings = evaluated.not_asked["year"].standings
        scenario = year.scenario(year.Inputs(**{name: standing.value for name, standing in standings.items()}))
        waste = sum(scenario.waste_kg_by_day) / scenario.days
        return evaluated.results["crew"].outputs.worker_hours_per_day, scenario.waste_hours_per_kg * waste

    (crew_none, year_none), (crew_all, year_all) = hours(0), hours(100)
    assert crew_all - crew_none == pytest.approx(year_all - year_none, rel=0.01) and crew_all > crew_none + 0.3


def test_nothing_to_shred() -> None:
    asked = inputs(bulking_kg_per_day=0.0, garden_kg_per_day=0.0, market_kg_per_day=0.0, shredder_count=0)
    outputs = machines.solve(asked, Working())
    assert outputs.hours_each_shredder == 0 and outputs.shredder_running_a is None and outputs.backlog_kg == 0
    assert machines.sentence(asked, outputs, show).startswith("Nothing is shredded")
    assert not any(each.key == "shredder_guard" for each in machines.cautions(asked, outputs, show))


# ---- electricity, against pint --------------------------------------------------------------------------------


@given(st.floats(0.1, 200), st.floats(100, 1_000), ODD, st.floats(20, 100))
@settings(max_examples=60, deadline=None)
def test_currents_against_pint(kw: float, volts: float, factor: float, efficiency: float) -> None:
    taken = machines.power_taken(kw, efficiency)
    apparent = REGISTRY.Quantity(kw, "kW") / (efficiency / 100) / factor
    one = (apparent / REGISTRY.Quantity(volts, "V")).to("A").magnitude
    three = (apparent / REGISTRY.Quantity(volts, "V") / 3**0.5).to("A").magnitude
    assert machines.single_phase_current(taken, volts, factor) == pytest.approx(one, rel=1e-12)
    assert machines.three_phase_current(taken, volts, factor) == pytest.approx(three, rel=1e-12)
    assert machines.three_phase_power(volts, three, factor) == pytest.approx(taken, rel=1e-12)
    assert machines.motor_efficiency(kw, taken) == pytest.approx(efficiency, rel=1e-12)
    assert machines.apparent_power(taken, factor) == pytest.approx(apparent.to("kW").magnitude, rel=1e-12)


def test_three_wires_against_complex_phasors() -> None:
    """Line current of a balanced star of three impedances, worked out with complex numbers."""
    volts, factor, kw = 400.0, 0.8, 6.0
    phase = numpy.exp(1j * numpy.deg2rad([0, -120, 120])) * volts / 3**0.5
    size = (volts**2) / (kw * 1000 / factor)
    current = phase / (size * numpy.exp(1j * math.acos(factor)))
    assert (phase * current.conj()).real.sum() == pytest.approx(kw * 1000)
    assert machines.three_phase_current(kw, volts, factor) == pytest.approx(abs(current[0]), rel=1e-12)


def test_energy_of_a_month_against_pint() -> None:
    outputs = solved(other_machines=(("Screen", 1.1, 2.0, "three", 80.0, 0.7, 7.0),), shredder_efficiency_percent=90.0,
                     shredder_load_percent=60.0, shredder_kw=9.0)  # fmt: skip
    hours = 50 * 7 / 6 / 400
    day = REGISTRY.Quantity(9.0 / 0.9 * 0.6, "kW") * REGISTRY.Quantity(hours, "hour") + REGISTRY.Quantity(1.1 / 0.8 * 2, "kWh")
    assert outputs.energy_kwh_per_working_day == pytest.approx(day.to("kWh").magnitude)
    a_month = day * 6 / 7 * (365 / 12)
    assert outputs.energy_kwh_per_month == pytest.approx(a_month.to("kWh").magnitude)
    shredder, screen = outputs.for_the_electrician
    assert shredder[3] == pytest.approx(10_000 / (3**0.5 * 400 * 0.8)) and screen[4] == pytest.approx(7 * screen[3])
    assert outputs.demand_kva == pytest.approx(10 / 0.8 + 1.1 / 0.8 / 0.7)
    assert outputs.largest_start == "Shredder" and outputs.start_kva == pytest.approx(outputs.demand_kva + 5 * 10 / 0.8)


def test_several_shredders_draw_and_run_as_several() -> None:
    one, two = solved(shredder_count=1, **ALONE), solved(shredder_count=2, **ALONE)
    assert two.demand_kva == pytest.approx(2 * one.demand_kva)
    assert two.hours_each_shredder == pytest.approx(one.hours_each_shredder / 2)
    assert two.energy_kwh_per_month == pytest.approx(one.energy_kwh_per_month)
    assert two.shredder_running_a == one.shredder_running_a


def test_an_engine_takes_no_electricity_and_warns_of_its_gas() -> None:
    asked = inputs(shredder_supply="engine", **ALONE)
    outputs = machines.solve(asked, Working())
    assert outputs.energy_kwh_per_month == 0 and outputs.demand_kva == 0 and outputs.shredder_running_a is None
    keys = [each.key for each in machines.cautions(asked, outputs, show)]
    assert "engine_exhaust" in keys and "licensed_electrician" not in keys
    assert all(row[5] == 0 for row in outputs.shredders_compared)


def test_no_cable_or_fuse_is_chosen_anywhere() -> None:
    result = Plan({}).evaluate().results["machines"]
    said = " ".join([result.sentence, *result.notices, *(output.label for output in result.calculator.results.values())])
    assert "mm²" not in said and "fuse of" not in said and "A fuse" not in said
    assert any("licensed electrician's to design" in words for words in result.notices)
    assert next(each for each in result.cautions if each.key == "licensed_electrician").urgent


# ---- one against two, and a breakdown -------------------------------------------------------------------------


def test_one_large_and_two_smaller_by_hand() -> None:
    """600 kg on a working day, six usable hours; one of 300 kg/h against two of 150."""
    outputs = solved(
        bulking_kg_per_day=600.0, shredded_percent=100.0, garden_kg_per_day=0.0, market_kg_per_day=0.0, working_days_per_week=7,
        shift_hours=7.5, rest_percent=20.0, shredder_hands=2, shred_rate=1_000.0, shredder_kg_per_hour=300.0, shredder_kw=6.0,
        shredder_options=(("Two", 2, 150.0, 3.0, "hand"), ("Slow two", 2, 60.0, 3.0, "belt")),
    )  # fmt: skip
    one, two, slow = outputs.shredders_compared
    assert one[1:5] == (2.0, 4.0, None, 600.0)
    assert two[1:5] == (2.0, 4.0, 4.0, 0.0)
    assert slow[1:5] == (5.0, 1.0, 6.0, 240.0)
    assert one[5] == pytest.approx(two[5]) and slow[5] == pytest.approx(two[5] * 150 / 60)


def test_hands_limit_a_machine_that_is_fed_by_hand_only() -> None:
    rows = {row[0]: row for row in solved(
        shred_rate=100.0, shredder_options=(("Hand", 1, 1_000.0, 5.0, "hand"), ("Belt", 1, 1_000.0, 5.0, "belt")),
    ).shredders_compared}  # fmt: skip
    assert rows["Hand"][1] == pytest.approx(5 * rows["Belt"][1])


def test_a_breakdown_by_hand() -> None:
    """A single machine: 100 kg a working day waits ten days of a six-day week; 10 m3 at 60 kg/m3 hold seven days."""
    outputs = solved(
        bulking_kg_per_day=600.0 / 7, shredded_percent=100.0, garden_kg_per_day=0.0, market_kg_per_day=0.0, working_days_per_week=6,
        shredder_count=1, repair_days=10.0, unshredded_room_m3=10.0, loose_density_kg_m3=60.0, hand_chop_rate=20.0,
        shift_hours=8.0, rest_percent=50.0, shredder_kg_per_hour=50.0, shred_rate=100.0,
    )  # fmt: skip
    assert outputs.shredded_kg_per_working_day == pytest.approx(100)
    assert outputs.backlog_kg == pytest.approx(100 * 10 * 6 / 7)
    assert outputs.unshredded_wait_days == pytest.approx(7)
    assert outputs.hand_chop_hours == pytest.approx(5)
    assert outputs.catch_up_days == pytest.approx(100 * 10 * 6 / 7 / (50 * 4 - 100))  # 4 h x 50 kg/h less the day's own 100 kg


def test_a_second_shredder_carries_on_alone() -> None:
    outputs = solved(shredder_count=2)
    assert outputs.backlog_kg == 0 and outputs.unshredded_wait_days is None and outputs.hand_chop_hours == 0


# ---- noise ----------------------------------------------------------------------------------------------------


@given(st.lists(st.floats(30, 130), min_size=1, max_size=8), st.floats(0.2, 50))
@settings(max_examples=80, deadline=None)
def test_levels_add_as_energies(levels: list[float], distance: float) -> None:
    energies = numpy.power(10.0, numpy.array(levels) / 10)
    assert machines.sum_of_levels(levels) == pytest.approx(10 * numpy.log10(energies.sum()), rel=1e-12)
    assert max(levels) <= machines.sum_of_levels(levels) + 1e-9
    assert machines.sum_of_levels(levels) <= max(levels) + 10 * math.log10(len(levels)) + 1e-9
    # intensity falls with the square of the distance
    fallen = 10 * math.log10(10 ** (levels[0] / 10) / distance**2)
    assert machines.level_at(levels[0], 1.0, distance) == pytest.approx(fallen, rel=1e-9, abs=1e-9)


@given(st.floats(60, 120), st.floats(0.1, 12), st.floats(0.1, 12))
@settings(max_examples=60, deadline=None)
def test_dose_of_two_spells_is_that_of_their_mean_level(level: float, one: float, other: float) -> None:
    """With 3 dB exchange a dose is an energy: near enough that of the energy's mean (3 dB stand for a factor of 1.995)."""
    hours, levels = [one, other], [level, level + 6]
    dose = machines.noise_dose(hours, [permitted_hours(each, 85, 3) for each in levels])
    mean = machines.sum_of_levels([each + 10 * math.log10(h / (one + other)) for each, h in zip(levels, hours, strict=True)])
    assert dose == pytest.approx(100 * (one + other) / permitted_hours(mean, 85, 3), rel=0.01)


def test_the_dose_follows_hours_turns_and_distance() -> None:
    outputs = solved(noise_sources=(("Shredder", 94.0, 1.0, 1.0),), shredder_turns=1)
    assert outputs.noise_at_worker_db == pytest.approx(94)
    assert outputs.noise_dose_percent == pytest.approx(100 * outputs.hours_each_shredder / 1.0)  # an hour is permitted at 94
    assert solved(noise_sources=(("S", 94.0, 1.0, 1.0),), shredder_turns=4).noise_dose_percent == pytest.approx(
        outputs.noise_dose_percent / 4)  # fmt: skip
    assert solved(noise_sources=(("S", 94.0, 1.0, 2.0),)).noise_at_worker_db == pytest.approx(94 - 20 * math.log10(2))
    assert outputs.keep_away_m == pytest.approx(optimize.brentq(lambda d: machines.level_at(94.0, 1.0, d) - 85, 0.1, 1e3))
    assert [row[3] for row in outputs.noise_limits] == ["within"] * 3
    assert solved(noise_sources=()).noise_dose_percent is None


def test_published_limits_differ_and_the_strictest_leads() -> None:
    outputs = solved(noise_sources=(("S", 100.0, 1.0, 1.0),), bulking_kg_per_day=1_000.0)
    doses = [row[2] for row in outputs.noise_limits]
    assert doses[0] == pytest.approx(outputs.noise_dose_percent) and doses[0] == max(doses)
    assert outputs.noise_limits[0][3] == "above"


# ---- anything that may be entered -----------------------------------------------------------------------------


@given(st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None)
def test_any_answers_give_finite_figures_and_words(chance: Any) -> None:
    """Tables, blanks and ends of limits, beyond what a plan of the laws would draw."""
    asked = machines.Inputs(**{
        name: tuple(tuple(row) for row in value) if isinstance(value := value_for(answer, chance), list) else value
        for name, answer in declared(machines.Inputs).items()
    })  # fmt: skip
    outputs = machines.solve(asked, Working())
    for name, output in machines.CALCULATOR.results.items():
        value = getattr(outputs, name)
        if output.kind == "table":
            assert all(len(row) == len(output.columns) <= 6 for row in value)
            value = [cell for row in value for cell in row]
        for cell in value if isinstance(value, list) else [value]:
            assert isinstance(cell, str) or cell is None or math.isfinite(cell), name
            assert cell is not None or output.kind == "table" or "–" in output.help
    said = machines.sentence(asked, outputs, show) + " ".join(machines.notices(asked, outputs, show))
    assert "nan" not in said and "inf " not in said
    assert machines.cautions(asked, outputs, show) or outputs.shredded_kg_per_working_day == 0
    for chart in machines.charts(asked, outputs):
        assert all(value is not None and math.isfinite(value) for line in chart.lines for value in line.values)


def test_a_shredders_current_is_in_the_working_as_it_ran() -> None:
    working = Working()
    machines.solve(inputs(), working)
    step = next(step for step in working.steps if step.label == "Shredder, running")
    assert step.words.startswith("1000 × taken kw ÷ (") and step.unit == "A"
