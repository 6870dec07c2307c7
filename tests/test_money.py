"""Money: charges, present values and rates against numpy-financial and scipy, sums that add up, and what each payer would pay."""

from __future__ import annotations

import dataclasses
import math
import random
from typing import Any

import numpy
import numpy_financial
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from calculators.plan import Plan
from calculators.topics import money
from calculators.working import Working

PRICED = {
    "wage_per_hour": 1.5, "power_price": 0.1, "water_price": 1.0, "laboratory_price": 50.0, "disposal_price": 10.0,
    "sacks_cost_per_year": 0.0, "transport_cost_per_year": 0.0,
}  # fmt: skip


def solved(**answers: Any) -> money.Outputs:
    return money.solve(dataclasses.replace(money.Inputs(), **{**PRICED, **answers}), Working())


amounts = st.floats(1, 1e6)
rates = st.floats(0, 0.6)
years = st.integers(1, 40)


# ---- formulas -------------------------------------------------------------------------------------------------


@given(amounts, rates, years)
@settings(max_examples=80, deadline=None)
def test_an_annuity_pays_off_the_amount(amount: float, rate: float, periods: int) -> None:
    """What is owed, with interest and less the payment, is nothing after the last; its present value is the amount."""
    payment = money.annuity(amount, rate, periods)
    owed = amount
    for _ in range(periods):
        owed = owed * (1 + rate) - payment
    assert owed == pytest.approx(0, abs=1e-6 * amount * (1 + rate) ** periods)
    assert money.net_present_value(rate, [0.0] + [payment] * periods) == pytest.approx(amount, rel=1e-8)


@given(st.lists(st.floats(-1e5, 1e5), min_size=1, max_size=30), st.floats(-0.5, 3))
@settings(max_examples=80, deadline=None)
def test_present_value_against_numpy(flows: list[float], rate: float) -> None:
    terms = numpy.array(flows) / (1 + rate) ** numpy.arange(len(flows))
    assert money.net_present_value(rate, flows) == pytest.approx(terms.sum(), rel=1e-9, abs=1e-9 * max(1, abs(terms).max()))


@given(amounts, st.lists(st.floats(1, 1e5), min_size=1, max_size=30))
@settings(max_examples=80, deadline=None)
def test_one_change_of_sign_has_the_rate_that_scipy_finds(paid: float, comes: list[float]) -> None:
    flows = [-paid, *comes]
    low, high = money.LOWEST_RATE, money.HIGHEST_RATE
    ends = [money.net_present_value(rate, flows) for rate in (low, high)]
    found = money.internal_rates(flows)
    if ends[0] * ends[1] > 0:
        assert found == []  # it lies outside what is looked through
        return
    wanted = brentq(lambda rate: money.net_present_value(rate, flows), low, high, xtol=1e-13)
    assert len(found) == 1 and found[0] == pytest.approx(wanted, rel=1e-7, abs=1e-9)


@given(st.lists(st.integers(-50, 50), min_size=2, max_size=8))
@settings(max_examples=150, deadline=None)
def test_every_rate_is_a_root_of_numpys_polynomial(flows: list[int]) -> None:
    """And none is missed where numpy's roots lie well apart."""
    assume(any(flows))
    found = money.internal_rates([float(flow) for flow in flows])
    discounts = [root.real for root in numpy.roots(flows[::-1]) if abs(root.imag) < 1e-9 and root.real > 0]
    real = sorted(1 / discount - 1 for discount in discounts)
    for rate in found:
        assert any(math.isclose(1 + rate, 1 + each, rel_tol=1e-3) for each in real), (rate, real)
    inside = [each for each in real if money.LOWEST_RATE * 0.999 < each < money.HIGHEST_RATE * 0.999]
    apart = all(math.log((1 + b) / (1 + a)) > 0.1 for a, b in zip(inside, inside[1:], strict=False))
    simple = all(abs(numpy.polyval(numpy.polyder(flows[::-1]), 1 / (1 + each))) > 1e-3 for each in inside)
    if apart and simple:
        assert len(found) == len(inside)


def test_none_one_and_several_rates() -> None:
    assert money.internal_rates([-10, -1, -2]) == [] and money.internal_rates([]) == []
    assert money.sign_changes([0, -1, 0, 2, 3, -1]) == 2
    assert money.internal_rates([-100, 110]) == [pytest.approx(0.1)]
    assert money.internal_rates([-100, 230, -132]) == [pytest.approx(0.1), pytest.approx(0.2)]  # (1.1 − x)(1.2 − x)
    assert money._about([]).startswith("none") and money._about([1]) == "one" and money._about([1, 2]).startswith("2 of them")


@pytest.mark.parametrize(
    ("flows", "wanted"),
    [([-100, 50, 50, 50], 2.0), ([-100, 40, 40, 40], 2.5), ([-100, 20, 20], None), ([0, 5], 0.0), ([-10, -5, 30], 1.5),
     ([-10, -5], None)],
)  # fmt: skip
def test_payback(flows: list[float], wanted: float | None) -> None:
    assert money.payback(flows) == (None if wanted is None else pytest.approx(wanted))


def test_parts_are_replaced_and_what_is_left_of_them_counts() -> None:
    """A shed of 20 years and a machine of 4 in a look of 10: the machine is bought thrice, half of the last is left."""
    flows = money.cash_flows([(1000.0, 20), (100.0, 4)], 50.0, 10)
    assert flows == pytest.approx([-1100, 50, 50, 50, -50, 50, 50, 50, -50, 50, 50 + 500 + 50])
    assert money.cash_flows([(1000.0, 10)], 50.0, 10)[-1] == 50  # worn out at the end


def test_present_value_and_annuity_against_numpy_financial() -> None:
    chance = random.Random("present value")
    for _ in range(200):
        flows = [chance.uniform(-1e4, 1e4) for _ in range(chance.randint(1, 40))]
        rate, periods = chance.uniform(0, 0.5), chance.randint(1, 40)
        assert money.net_present_value(rate, flows) == pytest.approx(numpy_financial.npv(rate, flows), rel=1e-9, abs=1e-6)
        assert money.annuity(flows[0], rate, periods) == pytest.approx(-numpy_financial.pmt(rate, periods, flows[0]), rel=1e-9)
        assert money.annuity(100, 0, periods) == pytest.approx(-numpy_financial.pmt(0, periods, 100))


def test_internal_rate_against_numpy_financial() -> None:
    chance = random.Random("internal rate")
    compared = 0
    for _ in range(200):
        flows = [-chance.uniform(1, 1e5)] + [chance.uniform(0, 1e4) for _ in range(chance.randint(1, 40))]
        found = money.internal_rates(flows)
        if found:
            compared += 1
            assert found == [pytest.approx(float(numpy_financial.irr(flows)), rel=1e-6, abs=1e-8)]
    assert compared > 150


# ---- the calculator -------------------------------------------------------------------------------------------

plans = st.fixed_dictionaries({
    "building_cost": st.floats(0, 1e6), "interest_percent": st.floats(0, 30), "horizon_years": years,
    "income_per_year": st.floats(0, 1e5), "gate_fee": st.floats(0, 50), "home_fee_per_month": st.floats(0, 3),
    "council_per_year": st.floats(0, 1e5), "wage_per_hour": st.floats(0, 10),
})  # fmt: skip


@given(plans)
@settings(max_examples=60, deadline=None)
def test_what_is_left_after_the_charge_is_the_present_value_spread_out(answers: dict[str, Any]) -> None:
    found = solved(**answers)
    rate, periods = answers["interest_percent"] / 100, answers["horizon_years"]
    size = found.whole_cost_per_year + found.whole_income_per_year + 1
    spread = money.annuity(found.net_present_value, rate, periods)
    assert spread == pytest.approx(found.whole_income_per_year - found.whole_cost_per_year, abs=1e-7 * size)
    items = [float(row[1]) for row in found.costs]  # type: ignore[arg-type]
    assert sum(items) == pytest.approx(found.whole_cost_per_year, rel=1e-9)
    assert found.whole_cost_per_year == pytest.approx(found.capital_charge_per_year + found.running_cost_per_year)


@given(plans)
@settings(max_examples=40, deadline=None)
def test_break_even_breaks_even(answers: dict[str, Any]) -> None:
    """Each price or fee that is said to cover the rest, put in, leaves nothing; where nothing is lacking it is 0 or less needed."""
    found = solved(**answers)
    size = found.whole_cost_per_year + found.whole_income_per_year + 1
    assert found.break_even_gate_fee is not None and found.break_even_home_fee is not None and found.break_even_price is not None

    def lacks(**changed: Any) -> float:
        again = solved(**{**answers, **changed})
        return again.whole_cost_per_year - again.whole_income_per_year

    for name, value in (
        ("gate_fee", found.break_even_gate_fee), ("home_fee_per_month", found.break_even_home_fee),
        ("income_per_year", found.break_even_price * 200 * 365),
    ):  # fmt: skip
        left = lacks(**{name: value})
        assert left == pytest.approx(0, abs=1e-9 * size) if value > 0 else left <= 1e-9 * size


def test_a_year_worked_by_hand() -> None:
    """6 workers, 6 days, 8 hours: 15,017 paid hours; 200 kWh; 500 L; 10,000 over 10 years without interest."""
    found = solved(building_cost=10_000.0, horizon_years=10, interest_percent=0.0, income_per_year=4_000.0)
    costs = {row[0]: row[1] for row in found.costs}
    assert costs["Wages"] == pytest.approx(6 * 6 / 7 * 365 * 8 * 1.5) and costs["Electricity"] == pytest.approx(240)
    assert costs["Water"] == pytest.approx(182.5) and costs["Repair"] == 300 and costs["Insurance"] == 50
    assert costs["Laboratory"] == 200 and costs["Rejects taken away"] == pytest.approx(45 * 0.365 * 10)
    assert found.capital_charge_per_year == 1000
    assert found.cost_per_t == pytest.approx(found.whole_cost_per_year / 182.5)
    assert found.not_priced == "nothing"
    payers = {row[0]: row for row in found.who_pays}
    rest = found.whole_cost_per_year - 4_000
    assert payers["Sale, and the council the rest"][1] == pytest.approx(rest)
    assert payers["Sale, and residents the rest"][3] == pytest.approx(rest / (500 * 0.8 * 12))
    assert payers["Buyers alone"][4] == pytest.approx(found.whole_cost_per_year / (200 * 365))


def test_without_prices_it_says_so() -> None:
    found = money.solve(money.Inputs(), Working())
    assert found.not_priced.startswith("wages, electricity, water") and found.not_priced.endswith("and sale")
    assert found.payback_years is None and found.internal_rate_percent is None and found.internal_rate_said.startswith("none")
    assert found.investment == pytest.approx(17_500 * 0.5)
    nothing = money.solve(dataclasses.replace(money.Inputs(), received_kg_per_day=0.0), Working())
    assert nothing.cost_per_t is None and nothing.break_even_gate_fee is None and nothing.what_matters == ()


def test_parts_stand_in_for_the_sum() -> None:
    parts = (("Shed", 8_000.0, 20), ("Shredder", 2_000.0, 5))
    found = solved(building_cost=1.0, building_parts=parts, interest_percent=0.0, first_worms_cost=300.0)
    assert found.investment == 10_300 and found.capital_charge_per_year == pytest.approx(400 + 400 + 20)
    assert {row[0]: row[1] for row in found.costs}["Repair"] == pytest.approx(300)
    assert found.cash_by_year[5][1] == pytest.approx(found.net_per_year - 2_000)


def test_what_matters_is_what_happens_when_it_is_changed() -> None:
    found = solved(building_cost=10_000.0, income_per_year=4_000.0, moved_by_percent=10.0)
    moved = {row[0]: row for row in found.what_matters}
    assert moved["Wage, an hour"][2] == pytest.approx(
        solved(building_cost=10_000.0, income_per_year=4_000.0, wage_per_hour=1.65).net_cost_per_t
    )
    assert moved["Cost of building"][1] == pytest.approx(solved(building_cost=9_000.0, income_per_year=4_000.0).net_cost_per_t)
    widths = [abs(row[2] - row[1]) for row in found.what_matters]  # type: ignore[operator]
    assert widths == sorted(widths, reverse=True) and found.what_matters[0][0] == "Wage, an hour"


def test_one_price_of_compost_and_one_wage_for_all() -> None:
    evaluated = Plan({"compost_price": 0.08, "wage_per_hour": 2.0}).evaluate()
    walk = evaluated.step("year").standings
    assert walk["compost_price"].value == 0.08 and walk["wage_per_hour"].value == 2.0
    found = evaluated.results
    assert found["money"].standings["income_per_year"].value == found["product"].outputs.income_per_year
    grown = 365 * found["product"].outputs.mature_kg_per_day * 0.08
    assert found["product"].outputs.income_per_year == pytest.approx(grown)
