"""Laws of the mix for any materials: balances, closed forms, limits, the cheapest, and the cures that are offered.

What is expected is worked out here from the answers alone, in plain sums or by scipy and numpy, and not by the
functions that are tested.
"""

from __future__ import annotations

import dataclasses
import math
import re

import numpy
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from scipy import optimize

from calculators.declare import CannotSolve, RaisedCaution
from calculators.topics import mix
from calculators.units import show
from calculators.working import Working

WATER, ORGANIC, ASH = 1000.0, 1600.0, 2500.0
"""kg/m³: Agnew and Leonard (2003), from memory, as the reference data have them."""
AIMS = ["both", "carbon_to_nitrogen", "moisture"]


def material(name: str, carbon: tuple[float, float] = (20, 55), nitrogen: tuple[float, float] = (0.1, 5),
             moisture: tuple[float, float] = (2, 90)):  # type: ignore[no-untyped-def]  # fmt: skip
    """A row of the user's own materials, with carbon that a dry mass can hold."""

    def row(m: float, c: float, n: float, density: float, organic: float) -> tuple[object, ...]:
        return (name, m, n, min(1500.0, max(1.0, c / n)), density, organic)

    return st.builds(row, st.floats(*moisture), st.floats(*carbon), st.floats(*nitrogen), st.floats(30, 1000),
                     st.floats(30, 99))  # fmt: skip


def wet_row(name: str):  # type: ignore[no-untyped-def]
    return material(name, (30, 50), (1, 5), (55, 90))


def dry_row(name: str):  # type: ignore[no-untyped-def]
    return material(name, (40, 50), (0.1, 1.0), (3, 40))


def say(value: float, unit: str, digits: int = 3) -> str:
    return show(value, unit, "metric", digits)


def asked(**answers) -> mix.Inputs:  # type: ignore[no-untyped-def]
    return dataclasses.replace(mix.Inputs(), **answers)


def read_out(inputs: mix.Inputs, outputs: mix.Outputs) -> None:
    """Everything that is shown of a result is finite and can be said."""
    for field in dataclasses.fields(outputs):
        value = getattr(outputs, field.name)
        cells = [cell for row in value for cell in row] if isinstance(value, tuple) else [value]
        assert all(cell is None or isinstance(cell, str) or math.isfinite(cell) for cell in cells), field.name
    words = [mix.sentence(inputs, outputs, say), *mix.notices(inputs, outputs, say)]
    words += [caution.because for caution in mix.cautions(inputs, outputs, say) if isinstance(caution, RaisedCaution)]
    assert not re.search(r"\b(nan|inf|None)\b", " ".join(words))
    for chart in mix.charts(inputs, outputs):
        assert all(value is not None and math.isfinite(value) for line in chart.lines for value in line.values)
        assert all(len(line.values) == len(chart.labels) for line in chart.lines)


def sums(rows, masses, water: float):  # type: ignore[no-untyped-def]
    """Mass, water, carbon, nitrogen, organic matter, ash and loose volume of a mix, from the user's rows."""
    mass = wet = carbon = nitrogen = organic = ash = loose = 0.0
    for (_, m, n, ratio, density, share), kg in zip(rows, masses, strict=True):
        dry = kg * (100 - m) / 100
        mass += kg
        wet += kg * m / 100
        nitrogen += dry * n / 100
        carbon += dry * n / 100 * ratio
        organic += dry * share / 100
        ash += dry * (100 - share) / 100
        loose += kg / density
    return mass + water, wet + water, carbon, nitrogen, organic, ash, loose


# ---- forward ---------------------------------------------------------------------------------------------------


@given(st.tuples(material("A"), material("B"), material("C"), material("D")),
       st.tuples(*[st.floats(0.001, 10_000)] * 4), st.floats(0, 5_000), st.floats(0, 50))  # fmt: skip
@settings(max_examples=200, deadline=None)
def test_any_mix_is_the_sum_of_its_parts(rows, masses, water, settle) -> None:  # type: ignore[no-untyped-def]
    """Mass, water, carbon, nitrogen, organic matter and volume are conserved; the batch is the day made smaller."""
    inputs = asked(
        own_materials=rows, kitchen_material="A", kitchen_kg_per_day=masses[0], market_material="B",
        market_kg_per_day=masses[1], bulking_material="C", bulking_kg_per_day_given=masses[2], bulking_price=2.0,
        additions=(("D", masses[3], None, None, 3.0),), mix_method="given", water_l_per_day_given=water, settle_percent=settle,
    )  # fmt: skip
    outputs = mix.solve(inputs, Working())
    mass, wet, carbon, nitrogen, organic, ash, loose = sums(rows, masses, water)
    room = loose * (100 - settle) / 100
    assert outputs.mix_kg_per_day == pytest.approx(mass, rel=1e-12)
    assert outputs.mix_kg_per_day - outputs.mix_dry_kg_per_day == pytest.approx(wet, rel=1e-9)
    assert outputs.mix_moisture_percent == pytest.approx(100 * wet / mass, rel=1e-12)
    assert outputs.mix_carbon_to_nitrogen == pytest.approx(carbon / nitrogen, rel=1e-12)
    assert outputs.mix_m3_per_day == pytest.approx(room, rel=1e-12)
    assert outputs.mix_density_kg_m3 * room == pytest.approx(mass, rel=1e-12)
    full = wet / WATER + organic / ORGANIC + ash / ASH
    assert outputs.mix_free_air_space_percent == pytest.approx(100 * (1 - full / room), rel=1e-9, abs=1e-9)
    assert outputs.mix_cost_per_day == pytest.approx(2 * masses[2] + 3 * masses[3], rel=1e-12)
    assert outputs.tubs_per_day * inputs.tub_l * inputs.tub_fill_percent / 100 == pytest.approx(1000 * loose, rel=1e-9)
    assert math.fsum(row[4] for row in outputs.amounts) == pytest.approx(100, rel=1e-9)
    share = outputs.batch[0][3] / outputs.amounts[0][1]
    for whole, part in zip(outputs.amounts, outputs.batch, strict=True):
        assert part[3] == pytest.approx(share * whole[1], rel=1e-9)
    read_out(inputs, outputs)


@given(st.tuples(wet_row("A"), dry_row("B")), st.floats(1, 5_000), st.floats(0.01, 50), st.sampled_from(AIMS))
@settings(max_examples=150, deadline=None)
def test_a_solved_mix_grows_with_its_load(rows, kg, factor, aim) -> None:  # type: ignore[no-untyped-def]
    """Twice the waste, twice the bulking and the water: every ratio stays, tubs in words too."""
    base = {"own_materials": rows, "kitchen_material": "A", "bulking_material": "B", "solve_for": aim}
    try:
        one = mix.solve(asked(**base, kitchen_kg_per_day=kg), Working())
    except CannotSolve as error:
        with pytest.raises(CannotSolve) as again:
            mix.solve(asked(**base, kitchen_kg_per_day=kg * factor), Working())
        assert again.value.message == error.message
        return
    assume(one.bulking_kg_per_day == 0 or 1e-3 < one.bulking_kg_per_day)
    many = mix.solve(asked(**base, kitchen_kg_per_day=kg * factor), Working())
    for name in ("mix_carbon_to_nitrogen", "mix_moisture_percent", "mix_density_kg_m3", "mix_free_air_space_percent"):
        assert getattr(many, name) == pytest.approx(getattr(one, name), rel=1e-9, abs=1e-9)
    for name in ("mix_kg_per_day", "mix_m3_per_day", "bulking_kg_per_day", "tubs_per_day"):
        assert getattr(many, name) == pytest.approx(factor * getattr(one, name), rel=1e-9, abs=1e-12)
    assert many.water_l_per_day == pytest.approx(factor * one.water_l_per_day, rel=1e-6, abs=1e-9 * many.mix_kg_per_day)


# ---- closed forms ----------------------------------------------------------------------------------------------


@given(st.tuples(wet_row("A"), dry_row("B")), st.floats(1, 5_000), st.floats(15, 45), st.floats(40, 70),
       st.sampled_from(AIMS))  # fmt: skip
@settings(max_examples=300, deadline=None)
def test_one_bulking_against_a_root_finder(rows, kg, ratio, moisture, aim) -> None:  # type: ignore[no-untyped-def]
    """The bulking for each target is scipy's root; the mix meets what it was asked to, and water fills what is lacking."""

    def ratio_off(bulking: float) -> float:
        _, _, carbon, nitrogen, *_ = sums(rows, (kg, bulking), 0.0)
        return carbon / nitrogen - ratio

    def moisture_off(bulking: float) -> float:
        mass, wet, *_ = sums(rows, (kg, bulking), 0.0)
        return 100 * wet / mass - moisture

    (_, load_moisture, _, load_ratio, *_), (_, bulking_moisture, _, bulking_ratio, *_) = rows
    # on the edge of what can be reached rounding decides
    assume(min(abs(load_ratio - ratio), abs(bulking_ratio - ratio)) > 1e-3)
    assume(min(abs(load_moisture - moisture), abs(bulking_moisture - moisture)) > 1e-3)
    most = 1e6 * kg
    reachable = {"carbon_to_nitrogen": ratio_off(0) >= 0 or ratio_off(most) > 0,
                 "moisture": moisture_off(0) <= 0 or moisture_off(most) < 0}  # fmt: skip
    roots = {
        "carbon_to_nitrogen": 0.0 if ratio_off(0) >= 0 or not reachable["carbon_to_nitrogen"]
        else optimize.brentq(ratio_off, 0, most, xtol=1e-12, rtol=1e-14),
        "moisture": 0.0 if moisture_off(0) <= 0 or not reachable["moisture"]
        else optimize.brentq(moisture_off, 0, most, xtol=1e-12, rtol=1e-14),
    }  # fmt: skip
    wanted = ("carbon_to_nitrogen", "moisture") if aim == "both" else (aim,)
    needed = max(roots[name] for name in wanted)
    possible = all(reachable[name] for name in wanted) and needed <= mix.MOST_BULKING_TIMES * kg
    assume(abs(needed - mix.MOST_BULKING_TIMES * kg) > 1e-3 * kg)
    inputs = asked(own_materials=rows, kitchen_material="A", bulking_material="B", kitchen_kg_per_day=kg, solve_for=aim,
                   target_carbon_to_nitrogen=ratio, target_moisture_percent=moisture)  # fmt: skip
    if not possible:
        with pytest.raises(CannotSolve):
            mix.solve(inputs, Working())
        return
    outputs = mix.solve(inputs, Working())
    assert outputs.bulking_kg_per_day == pytest.approx(needed, rel=1e-6, abs=1e-5 * kg)
    mass, wet, carbon, nitrogen, *_ = sums(rows, (kg, outputs.bulking_kg_per_day), outputs.water_l_per_day)
    if "carbon_to_nitrogen" in wanted and (carbon / nitrogen < ratio * (1 - 1e-5)):
        # only where the load is rich enough, and bulking that is not must be added against the wet; then it is said
        assert load_ratio > ratio > bulking_ratio and roots["moisture"] > 0
        assert "lowers C:N" in " ".join(mix.notices(inputs, outputs, say))
    if "moisture" in wanted:
        assert 100 * wet / mass <= moisture * (1 + 1e-5)
    # never drier than wanted: that is what the water is for
    assert 100 * wet / mass >= moisture * (1 - 1e-6)
    if outputs.water_l_per_day > 1e-6 * kg:
        assert 100 * wet / mass == pytest.approx(moisture, rel=1e-6)
    for name, shown in (("carbon_to_nitrogen", outputs.bulking_for_carbon_kg_per_day),
                        ("moisture", outputs.bulking_for_moisture_kg_per_day)):  # fmt: skip
        if shown is not None and shown < most / 2:
            assert shown == pytest.approx(roots[name], rel=1e-5, abs=1e-5 * kg)
    read_out(inputs, outputs)


@given(st.tuples(wet_row("A"), dry_row("B"), material("C", (30, 50), (0.5, 3), (5, 60))), st.floats(1, 5_000),
       st.floats(15, 45), st.floats(45, 70))  # fmt: skip
@settings(max_examples=200, deadline=None)
def test_two_ingredients_against_a_linear_solver(rows, kg, ratio, moisture) -> None:  # type: ignore[no-untyped-def]
    """Bulking and a second ingredient meet both targets exactly, with numpy's solution; or it is negative or huge there too."""
    columns = []
    for row in rows:
        mass, wet, carbon, nitrogen, *_ = sums([row], [1.0], 0.0)
        columns.append((carbon - ratio * nitrogen, wet - moisture / 100 * mass))
    matrix = numpy.array(columns[1:]).T
    assume(numpy.linalg.cond(matrix) < 1e5)
    solution = numpy.linalg.solve(matrix, -kg * numpy.array(columns[0]))
    inputs = asked(own_materials=rows, kitchen_material="A", bulking_material="B", kitchen_kg_per_day=kg,
                   solve_for="exactly_both", target_carbon_to_nitrogen=ratio, target_moisture_percent=moisture,
                   additions=(("C", None, None, None, None),))  # fmt: skip
    assume(all(abs(amount) > 1e-3 * kg for amount in solution) and abs(max(solution) - mix.MOST_BULKING_TIMES * kg) > 1e-3 * kg)
    if min(solution) < 0 or max(solution) > mix.MOST_BULKING_TIMES * kg:
        with pytest.raises(CannotSolve):
            mix.solve(inputs, Working())
        return
    outputs = mix.solve(inputs, Working())
    found = {row[0]: row[1] for row in outputs.amounts}
    assert (found["B"], found["C"]) == pytest.approx(tuple(solution), rel=1e-6)
    assert outputs.mix_carbon_to_nitrogen == pytest.approx(ratio, rel=1e-6)
    assert outputs.mix_moisture_percent == pytest.approx(moisture, rel=1e-6)
    read_out(inputs, outputs)


# ---- the cheapest ----------------------------------------------------------------------------------------------


@st.composite
def cheapest_cases(draw):  # type: ignore[no-untyped-def]
    """A load, bulking with a supply, and up to four ingredients with prices, least and most amounts; varied limits."""
    count = draw(st.integers(0, 4))
    rows = (draw(wet_row("Load")), draw(dry_row("Bulking")), *(draw(material(f"Part {index}")) for index in range(count)))
    kg = draw(st.floats(10, 2_000))
    share = st.floats(0, 2).map(lambda times: round(times * kg, 2))
    additions = []
    for index in range(count):
        low, high = sorted((draw(share), draw(share)))
        additions.append((f"Part {index}", None, draw(st.sampled_from([None, low / 10])), draw(st.sampled_from([None, high])),
                          draw(st.floats(0, 20).map(lambda price: round(price, 2)))))  # fmt: skip
    ratio, moisture = draw(st.floats(15, 30)), draw(st.floats(30, 60))
    limits = {
        "least_carbon_to_nitrogen": ratio, "most_carbon_to_nitrogen": ratio + draw(st.floats(0.5, 25)),
        "least_moisture_percent": moisture, "most_moisture_percent": moisture + draw(st.floats(0.5, 20)),
        "most_density_kg_m3": draw(st.floats(250, 1_000)), "least_free_air_space_percent": draw(st.floats(0, 60)),
        "settle_percent": draw(st.floats(0, 25)),
    }  # fmt: skip
    return rows, kg, draw(share), draw(st.floats(0, 5).map(lambda price: round(price, 2))), tuple(additions), limits


def programme(rows, kg, leaves, price, additions, limits):  # type: ignore[no-untyped-def]
    """The same question put to scipy, from the user's rows. The last variable is water. Loads are divided out."""
    unit = [sums([row], [1.0], 0.0) for row in rows[1:]] + [(1.0, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0)]
    load = sums(rows[:1], [1.0], 0.0)
    held = 1 - limits["settle_percent"] / 100
    air = 1 - limits["least_free_air_space_percent"] / 100

    def over(part) -> list[float]:  # type: ignore[no-untyped-def]
        """By how much a part pushes each limit past its bound."""
        mass, wet, carbon, nitrogen, organic, ash, loose = part
        return [
            limits["least_carbon_to_nitrogen"] * nitrogen - carbon,
            carbon - limits["most_carbon_to_nitrogen"] * nitrogen,
            limits["least_moisture_percent"] / 100 * mass - wet,
            wet - limits["most_moisture_percent"] / 100 * mass,
            (mass - limits["most_density_kg_m3"] * held * loose) / 500,
            wet / WATER + organic / ORGANIC + ash / ASH - air * held * loose,
        ]

    bounds = [(0, leaves / kg), *(((low or 0) / kg, None if high is None else high / kg) for _, _, low, high, _ in additions),
              (0, None)]  # fmt: skip
    cost = [price, *(each or 0.0 for *_, each in additions), 0.0]
    return optimize.linprog(
        [each + mix.TIE_PRICE for each in cost], A_ub=numpy.array([over(part) for part in unit]).T,
        b_ub=[-each for each in over(load)], bounds=bounds, method="highs",
        # the price that breaks ties lies near HiGHS' usual tolerance, so it is asked to be as strict as it can be
        options={"dual_feasibility_tolerance": 1e-10, "primal_feasibility_tolerance": 1e-10},
    )  # fmt: skip


def answers_of(case) -> mix.Inputs:  # type: ignore[no-untyped-def]
    rows, kg, leaves, price, additions, limits = case
    return asked(own_materials=rows, kitchen_material="Load", kitchen_kg_per_day=kg, bulking_material="Bulking",
                 leaves_material="Bulking", leaves_kg_per_day=leaves, bulking_price=price, additions=additions,
                 mix_method="cheapest", **limits)  # fmt: skip


def meets_limits(inputs: mix.Inputs, outputs: mix.Outputs) -> None:
    near = 1e-6
    assert inputs.least_carbon_to_nitrogen - near <= outputs.mix_carbon_to_nitrogen <= inputs.most_carbon_to_nitrogen + near
    assert inputs.least_moisture_percent - near <= outputs.mix_moisture_percent <= inputs.most_moisture_percent + near
    assert outputs.mix_density_kg_m3 <= inputs.most_density_kg_m3 * (1 + near)
    assert outputs.mix_free_air_space_percent >= inputs.least_free_air_space_percent - near
    assert outputs.bulking_kg_per_day <= inputs.leaves_kg_per_day * (1 + near) + near
    found = {str(row[0]): float(row[1]) for row in outputs.amounts}
    for name, _, low, high, _ in inputs.additions:
        assert found.get(str(name), 0.0) >= (low or 0.0) * (1 - near) - near  # type: ignore[operator]
        assert high is None or found.get(str(name), 0.0) <= high * (1 + near) + near  # type: ignore[operator]


@given(cheapest_cases())
@settings(max_examples=300, deadline=None)
def test_the_cheapest_agrees_with_scipy(case) -> None:  # type: ignore[no-untyped-def]
    inputs = answers_of(case)
    theirs = programme(*case)
    try:
        outputs = mix.solve(inputs, Working())
    except CannotSolve as error:
        assert theirs.status == 2, (theirs.message, error.message)
        return
    assert theirs.status == 0, theirs.message
    meets_limits(inputs, outputs)
    kg = case[1]
    ours = outputs.mix_cost_per_day + mix.TIE_PRICE * (outputs.mix_kg_per_day - kg)
    assert ours == pytest.approx(kg * theirs.fun, rel=1e-6, abs=1e-6 * kg)
    read_out(inputs, outputs)


_CURES = (
    (r"C:N up to ([\d.,]+)", "most_carbon_to_nitrogen"),
    (r"C:N down to ([\d.,]+)", "least_carbon_to_nitrogen"),
    (r"moisture up to ([\d.,]+)", "most_moisture_percent"),
    (r"moisture down to ([\d.,]+)", "least_moisture_percent"),
    (r"bulk density up to ([\d.,]+)", "most_density_kg_m3"),
    (r"free air space down to ([\d.,]+)", "least_free_air_space_percent"),
    (r"at least ([\d.,]+) kg/d of bulking to be had", "leaves_kg_per_day"),
)


def cures(message: str) -> list[tuple[str, float]]:
    offered = message.replace("\N{NO-BREAK SPACE}", " ").partition(" would do: ")[2]
    found = [(answer, re.search(words, offered)) for words, answer in _CURES]
    return [(answer, float(match[1].rstrip(".").replace(",", ""))) for answer, match in found if match]


@given(cheapest_cases())
@example(((("Load", 80.0, 3.0, 15.0, 600.0, 85.0), ("Bulking", 15.0, 0.9, 54.0, 100.0, 90.0)), 400.0, 50.0, 0.0, (),
          {"least_carbon_to_nitrogen": 20.0, "most_carbon_to_nitrogen": 40.0, "least_moisture_percent": 40.0,
           "most_moisture_percent": 60.0, "most_density_kg_m3": 650.0, "least_free_air_space_percent": 20.0,
           "settle_percent": 10.0}))  # fmt: skip
@settings(max_examples=150, deadline=None)
def test_every_cure_that_is_offered_cures(case) -> None:  # type: ignore[no-untyped-def]
    """Follow each proposal by itself: a mix is found. Go a little less far: none is."""
    inputs = answers_of(case)
    try:
        mix.solve(inputs, Working())
    except CannotSolve as error:
        assert re.match("No mix meets (this limit|these limits together): ", error.message), error.message
        offered = cures(error.message)
    else:
        return
    for answer, value in offered:
        declared = mix.CALCULATOR.answers[answer]
        assert declared.low <= value <= declared.high
        before = getattr(inputs, answer)
        cured = dataclasses.replace(inputs, **{answer: value})
        meets_limits(cured, mix.solve(cured, Working()))
        short = value - math.copysign(0.25, value - before)
        if (short - before) * (value - before) > 0:
            with pytest.raises(CannotSolve):
                mix.solve(dataclasses.replace(inputs, **{answer: short}), Working())


# ---- anything that is allowed ----------------------------------------------------------------------------------


def edge(low: float, high: float):  # type: ignore[no-untyped-def]
    """Anywhere in an answer's limits, and often at their ends."""
    return st.one_of(st.sampled_from([low, high]), st.floats(low, high))


def within(name: str):  # type: ignore[no-untyped-def]
    answer = mix.CALCULATOR.answers[name]
    if answer.kind == "choice":
        return st.sampled_from([option.key for option in answer.options])
    return edge(float(answer.low), float(answer.high))


def cell(column, materials):  # type: ignore[no-untyped-def]
    if column.kind == "choice":
        return st.sampled_from(materials)
    if column.kind == "text":
        return st.sampled_from(["Own", "dry_leaves", "food_scraps", "Sawdust"])
    return st.one_of(st.none(), edge(float(column.low), float(column.high)))


SINGLE = [name for name, answer in mix.CALCULATOR.answers.items() if answer.kind in ("number", "choice")]
COLUMNS = {name: answer.columns for name, answer in mix.CALCULATOR.answers.items() if answer.kind == "table"}
SOME = ["food_scraps", "dry_leaves", "sawdust", "fish_scrap", "fruit", "layer_manure"]


@given(st.fixed_dictionaries({name: within(name) for name in SINGLE}),
       *[st.lists(st.tuples(*[cell(column, SOME) for column in COLUMNS[name]]), max_size=3).map(tuple)
         for name in ("own_materials", "additions")])  # fmt: skip
@settings(max_examples=400, deadline=None)
def test_anything_allowed_gives_figures_or_a_reason(answers, own, additions) -> None:  # type: ignore[no-untyped-def]
    """Limits of every answer included: no exception but ``CannotSolve``, and finite figures in words that can be read."""
    inputs = mix.Inputs(**answers, own_materials=own, additions=additions)
    try:
        outputs = mix.solve(inputs, Working())
    except CannotSolve as error:
        assert error.message.endswith(".") and not re.search(r"\b(nan|inf)\b", error.message)
        assert set(error.names) <= set(mix.CALCULATOR.answers)
        return
    read_out(inputs, outputs)


@given(st.floats(1e-9, 1e9), st.floats(1e-9, 1e9))
@settings(max_examples=200, deadline=None)
def test_small_ratios_turn_round(first, second) -> None:  # type: ignore[no-untyped-def]
    """Whole numbers in lowest terms, as near the other way about, and never further off than between 6 and 7 to 1: there
    the steps of ratios up to a dozen are widest."""
    above, below = mix.small_ratio(first, second)
    assert math.gcd(above, below) == 1
    off = max(above / below / (first / second), first / second / (above / below))
    assert off <= math.sqrt(7 / 6) + 1e-9
    turned = mix.small_ratio(second, first)
    turned_off = max(turned[0] / turned[1] / (second / first), second / first / (turned[0] / turned[1]))
    assert turned_off == pytest.approx(off, rel=1e-9)
