"""Yield and sale: what comes in is sold, thrown out, returned or gone as gas; one truth with the walk through the year."""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.plan import Plan
from calculators.simulate.exactly import exp
from calculators.simulate.year import run
from calculators.topics import product, worms, year
from calculators.working import Working


def solved(**answers: Any) -> product.Outputs:
    return product.solve(dataclasses.replace(product.Inputs(), **answers), Working())


def stages(outputs: product.Outputs) -> dict[str, float]:
    return {str(row[0]): float(row[1]) for row in outputs.product_stages}  # type: ignore[arg-type]


shared = st.fixed_dictionaries({
    "mix_moisture_percent": st.floats(30, 80), "mass_left_percent": st.floats(10, 95), "solids_lost_percent": st.floats(1, 80),
    "curing_days": st.integers(0, 120), "first_stage_days": st.integers(7, 120),
})  # fmt: skip


@given(shared, st.sampled_from(["none", "beds"]), st.floats(1, 100), st.floats(0, 100), st.floats(0, 100), st.floats(0, 100))
@settings(max_examples=80, deadline=None)
def test_mass_is_conserved_through_every_stage(common: dict[str, Any], use: str, share: float, sold: float, fine: float,
                                               returned: float) -> None:  # fmt: skip
    before = worms.solve(dataclasses.replace(worms.Inputs(), worm_use=use, worm_share_percent=share, **common), Working())
    follows = {name: getattr(before, name) for name, answer in product.CALCULATOR.answers.items()
               if answer.follows == "worms" and hasattr(before, name)}  # fmt: skip
    assert len(follows) == 7
    out = solved(half_sold_percent=sold, screened_percent_of_bagged=fine, overs_returned_percent=returned, **common, **follows)
    held = stages(out)
    goes = out.product_kg_per_day + out.overs_kg_per_day + out.lost_to_air_kg_per_day
    assert goes == pytest.approx(600 + before.worm_water_l_per_day, rel=1e-9)
    # nothing grows on its way, and what leaves the first stage is parted into three
    most = 1 + 1e-9
    parted = held["Sold half-finished"] + held["To worm beds"]
    assert held["After the first stage"] <= held["Mix with bulking and water"] * most
    assert parted <= held["After the first stage"] * most
    assert held["After curing"] <= (held["After the first stage"] - parted) * most + 1e-9
    dry = {str(row[0]): float(row[2]) for row in out.product_stages if row[2] is not None}  # type: ignore[arg-type]
    assert dry["After curing"] + dry["Sold half-finished"] + dry["To worm beds"] <= dry["After the first stage"] * most
    assert dry["After the first stage"] <= dry["Mix with bulking and water"] * most
    assert out.thrown_away_kg_per_day == pytest.approx(40 + out.overs_kg_per_day - out.overs_returned_kg_per_day)
    shares = [float(row[2]) for row in out.grades if row[2] is not None]  # type: ignore[arg-type]
    assert out.product_kg_per_day < 1e-3 or sum(shares) == pytest.approx(100, rel=1e-6)


@pytest.mark.parametrize("answers", [{}, {"curing_days": 90, "mass_left_percent": 40}, {"solids_lost_percent": 55, "first_stage_days": 30},
                                     {"mass_left_percent": 10}, {"mass_left_percent": 95, "curing_days": 0}])  # fmt: skip
def test_losses_are_those_of_the_year(answers: dict[str, Any]) -> None:
    """The scenario of the walk: its rates over the days of each stage leave what is said here."""
    evaluated = Plan(answers).evaluate()
    found = evaluated.results
    walked = year.scenario(year.Inputs(**{name: each.value for name, each in evaluated.step("year").standings.items()}))
    mix = found["mix"].outputs
    dry, water = mix.mix_dry_kg_per_day, mix.mix_kg_per_day - mix.mix_dry_kg_per_day
    first, both = walked.first_stage_days, walked.first_stage_days + walked.curing_days
    spent = walked.first_stage_rate_per_day * first
    half = dry * (1 - year.DEGRADABLE * (1 - exp(-spent))) + water * exp(-walked.water_rate_per_day * first)
    assert found["worms"].outputs.half_finished_kg_per_day == pytest.approx(half, rel=1e-9)
    spent += walked.curing_rate_per_day * walked.curing_days
    end = dry * (1 - year.DEGRADABLE * (1 - exp(-spent))) + water * exp(-walked.water_rate_per_day * both)
    assert stages(found["product"].outputs)["After curing"] == pytest.approx(end, rel=1e-9)


def test_a_year_that_has_settled_bags_as_much_as_is_said() -> None:
    """Even arrivals without a tank or rest days: the walk differs only by waiting and by what watering adds."""
    answers = {
        "wet_kg_by_weekday": [100] * 7, "wet_kg_by_month": [100] * 12, "working_days_per_week": 7, "yard_begins": "steady",
        "years_to_walk": 2, "watered_below_percent": 20, "outside_c_by_month": [25] * 12, "crew_present": 40,
        "festival_month": "none", "leaf_store_m3": 100_000, "waste_wetter_by_month": [0] * 12, "reserve_percent": 100,
    }  # fmt: skip
    evaluated = Plan(answers).evaluate()
    what = year.scenario(year.Inputs(**{name: each.value for name, each in evaluated.step("year").standings.items()}))
    assert run(what).bagged_kg / 2 == pytest.approx(365 * evaluated.results["product"].outputs.mature_kg_per_day, rel=0.05)


def test_ash_tells_what_was_lost() -> None:
    """20 % ash grown to 35 %: 53.6 % of the organic matter gone, 42.9 % of the dry mass; and for any ash, ash is conserved."""
    found = solved(ash_before_percent=20.0, ash_after_percent=35.0)
    assert found.measured_organic_lost_percent == pytest.approx(53.571, abs=5e-4)
    assert found.measured_solids_lost_percent == pytest.approx(42.857, abs=5e-4)
    assert solved(ash_before_percent=20.0).measured_organic_lost_percent is None


@given(st.floats(0.01, 0.6), st.floats(0.0, 0.99))
@settings(max_examples=60, deadline=None)
def test_ash_is_conserved(ash: float, lost: float) -> None:
    organic = (1 - ash) * (1 - lost)
    after = ash / (ash + organic)
    assert product.organic_lost_by_ash(ash, after) == pytest.approx(lost, abs=1e-9) if after < 1 else True
    assert product.solids_lost_by_ash(ash, after) == pytest.approx(1 - (ash + organic), abs=1e-9)


@given(st.lists(st.floats(0, 500), min_size=12, max_size=12), st.lists(st.floats(0, 9), min_size=12, max_size=12),
       st.integers(0, 500))  # fmt: skip
@settings(max_examples=60, deadline=None)
def test_the_store_gives_out_what_came_in(by_month: list[float], parts: list[float], delay: int) -> None:
    made = product.made_by_month(by_month, delay, 120.0)
    left, stock = product.stock_by_month(made, parts)
    assert sum(made) == pytest.approx(120) and sum(left) == pytest.approx(120)
    assert min(stock) == 0 and all(each >= 0 for each in stock)
    level = stock[-1]  # the year before
    for comes, goes, end in zip(made, left, stock, strict=True):
        level += comes - goes
        assert level == pytest.approx(end, abs=1e-6)


def test_a_store_worked_by_hand() -> None:
    """10 m³ made each month and all of it taken in June: the stock grows to 110 m³ by May's end and is empty after June."""
    parts = [0.0] * 12
    parts[5] = 1
    left, stock = product.stock_by_month([10.0] * 12, parts)
    assert left[5] == 120 and stock[4] == pytest.approx(110) and stock[5] == 0 and stock[6] == pytest.approx(10)
    assert product.store_area(110, 1.5, 0.3) == pytest.approx(110 / 1.5 * 1.3)
    even = product.made_by_month([1.0] * 12, 90, 365)
    assert even == pytest.approx([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    assert product.made_by_month([0, 0, 365, *[0] * 9], 31, 100)[3] == pytest.approx(100 * 30 / 31)  # March's waste, a month later


def test_income_and_what_it_costs() -> None:
    found = solved(compost_price=0.05, half_finished_price=0.02, half_sold_percent=50.0, sold_percent=80.0, sacks_from="yard",
                   sack_price=0.1, transport_by="delivered", transport_cost=5.0)  # fmt: skip
    half, mature = found.half_finished_sold_kg_per_day, found.mature_kg_per_day
    assert found.income_per_year == pytest.approx(365 * 0.8 * (half * 0.02 + mature * 0.05))
    assert found.sacks_per_year == pytest.approx(365 * 0.8 * mature / 20)
    assert found.sacks_cost_per_year == pytest.approx(0.1 * found.sacks_per_year)
    assert found.transport_cost_per_year == pytest.approx(5 * 365 * 0.8 * (half + mature) / 1000)
    assert solved().income_per_year is None and solved().sacks_cost_per_year == 0
    assert solved(sacks_from="yard").sacks_cost_per_year is None
    free = solved(compost_price=0.0)
    assert free.income_per_year == 0
