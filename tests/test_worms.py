"""Worm beds: the growth of the stock against an integrator, areas worked by hand, limits, and a choice without beds."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import brentq, minimize_scalar

from calculators.plan import Plan
from calculators.topics import product, worms
from calculators.working import Working


def solved(**answers: Any) -> worms.Outputs:
    return worms.solve(dataclasses.replace(worms.Inputs(), **answers), Working())


def beds(**answers: Any) -> worms.Outputs:
    return solved(worm_use="beds", **answers)


starts = st.floats(0.01, 0.99)
doublings = st.floats(20, 400)


@given(st.floats(1, 5_000), starts, doublings, st.floats(1, 1_500))
@settings(max_examples=40, deadline=None)
def test_growth_is_the_logistic_law_integrated_by_scipy(full: float, share: float, doubling: float, days: float) -> None:
    rate = math.log(2) / doubling
    found = solve_ivp(lambda _, n: rate * n * (1 - n / full), (0, days), [full * share], rtol=1e-9, atol=1e-9 * full)
    assert worms.stock_after(full * share, full, doubling, days) == pytest.approx(found.y[0][-1], rel=1e-6)


def test_a_small_stock_doubles_in_the_days_named() -> None:
    assert worms.stock_after(1, 1e9, 75, 75) == pytest.approx(2, rel=1e-6)
    assert worms.stock_after(1, 1e9, 75, 750) == pytest.approx(1024, rel=1e-4)
    assert worms.stock_after(5, 100, 75, 0) == 5 and worms.stock_after(50, 100, 75, 1e5) == pytest.approx(100)


@given(starts, st.floats(0.5, 0.99), doublings)
@settings(max_examples=60, deadline=None)
def test_days_and_purchase_are_two_sides_of_one_law(start: float, share: float, doubling: float) -> None:
    days = worms.days_to_share(start, 1, share, doubling)
    if start >= share:
        assert days == pytest.approx(0, abs=1e-9)
        return
    if start < share * 0.999:
        root = brentq(lambda t: worms.stock_after(start, 1, doubling, t) - share, 0, 50 * doubling, xtol=1e-10)
        assert days == pytest.approx(root, rel=1e-6, abs=1e-6)
    assert worms.stock_to_start(1, share, doubling, days) == pytest.approx(start, rel=1e-9)


def test_surplus_is_the_growth_at_that_share_and_largest_at_half() -> None:
    ahead, behind = worms.stock_after(95, 100, 75, 1e-3), worms.stock_after(95, 100, 75, 0)
    assert worms.surplus_a_year(100, 0.95, 75) == pytest.approx(365 * (ahead - behind) / 1e-3, rel=1e-4)
    best = minimize_scalar(lambda s: -worms.surplus_a_year(100, s, 75), bounds=(0, 1), method="bounded")
    assert best.x == pytest.approx(0.5, abs=1e-4)


def test_beds_worked_by_hand() -> None:
    """400 kg/d of feed at 0.75 is 533.3 kg of worms, 333.3 m² at 1.6, 47 beds of 6 by 1.2 m."""
    stock = worms.stock_for(400, 0.75)
    area = worms.bed_area(stock, 1.6)
    assert (stock, area, worms.beds_for(area, 6, 1.2)) == (pytest.approx(1600 / 3), pytest.approx(1000 / 3), 47)
    assert worms.beds_for(14.4, 6, 1.2) == 2 and worms.beds_for(14.41, 6, 1.2) == 3
    assert worms.worm_compost(100, 0.75, 0.75, 0.625) == pytest.approx(50)
    assert worms.depth_of(worms.harvest_of_bed(10, 90, 5), 600, 6, 1.2) == pytest.approx(180 / 600 / 7.2)


def test_without_beds_everything_is_cured() -> None:
    """The present plan: nothing goes to worms, and the product is that of bays alone."""
    found = Plan({}).evaluate().results
    none = found["worms"].outputs
    for name in ("worm_beds", "worm_beds_m2", "worm_compost_kg_per_day", "worms_to_buy_kg", "half_finished_to_worms_kg_per_day",
                 "worm_water_l_per_day", "worms_kg_per_year", "curing_heaps_saved", "worm_feed_kg_per_day"):  # fmt: skip
        assert getattr(none, name) == 0, name
    assert found["bays"].outputs.finished_kg_per_day * 0.85 == pytest.approx(found["product"].outputs.product_kg_per_day)
    assert found["worms"].sentence.startswith("No worm beds") and none.beds_if_share > 0


@given(st.floats(10, 5_000), st.floats(1, 99), st.floats(1.01, 3), st.integers(1, 6))
@settings(max_examples=60, deadline=None)
def test_more_feed_never_needs_fewer_beds_or_worms(mix: float, share: float, factor: float, spare: int) -> None:
    less = beds(mix_kg_per_day=mix, worm_share_percent=share, worm_spare_beds=spare)
    more = beds(mix_kg_per_day=mix * factor, worm_share_percent=share, worm_spare_beds=spare)
    for name in ("worm_beds", "worm_beds_m2", "worm_stock_kg", "worms_to_buy_kg", "worm_compost_kg_per_day"):
        assert getattr(more, name) >= getattr(less, name), name
    bed = 6 * 1.2
    assert less.worm_beds_m2 == pytest.approx(less.worm_beds * bed)
    assert less.worm_stock_kg <= (less.worm_beds - spare) * bed * 1.6 * (1 + 1e-9)


@given(st.floats(20, 90), st.floats(30, 90), st.floats(20, 100), st.floats(10, 85), st.floats(1, 80))
@settings(max_examples=60, deadline=None)
def test_dry_mass_is_never_made(mix_wet: float, feed_wet: float, left: float, out_wet: float, lost: float) -> None:
    found = beds(mix_moisture_percent=mix_wet, worm_feed_moisture_percent=feed_wet, worm_solids_left_percent=left,
                 worm_compost_moisture_percent=out_wet, solids_lost_percent=lost)  # fmt: skip
    half_dry = found.half_finished_kg_per_day * (1 - found.half_finished_moisture_percent / 100)
    assert half_dry <= 600 * (1 - mix_wet / 100) * (1 + 1e-9)
    assert found.half_finished_kg_per_day <= 600 * (1 + 1e-9)
    fed = half_dry * 0.2
    assert found.worm_compost_kg_per_day * (1 - out_wet / 100) == pytest.approx(fed * left / 100, rel=1e-9)
    assert found.worm_feed_kg_per_day == pytest.approx(found.half_finished_to_worms_kg_per_day + found.worm_water_l_per_day)
    assert found.worm_water_l_per_day >= -1e-9


def test_growth_table_runs_to_full_and_feeds_what_is_there() -> None:
    found = beds(worm_full_by_weeks=40)
    stocks = [float(row[1]) for row in found.worm_growth]  # type: ignore[arg-type]
    assert stocks == sorted(stocks) and stocks[0] == pytest.approx(found.worms_to_buy_kg)
    assert stocks[-1] == pytest.approx(0.95 * found.worm_stock_kg, rel=1e-6) and found.worm_growth[-1][0] == "40"
    assert found.weeks_to_full == pytest.approx(40)
    assert all(row[2] == pytest.approx(0.75 * float(row[1])) for row in found.worm_growth)  # type: ignore[arg-type]
    assert max(int(str(row[3])) for row in found.worm_growth) <= found.worm_beds - 1
    bought = beds(worm_start_kg=1e6)
    assert bought.weeks_to_full == 0 and len(bought.worm_growth) == 1


@pytest.mark.parametrize(
    ("answers", "said"),
    [
        ({"outside_c_by_month": (25,) * 4 + (36,) + (25,) * 7}, "no: deadly heat in May"),
        ({"outside_c_by_month": (25,) * 4 + (35,) + (25,) * 7}, "with care: too hot in May"),
        ({"outside_c_by_month": (3, 2) + (20,) * 10}, "with care: too cold in January and February"),
        ({"feed_salt_percent": 0.5}, "no: the feed is too salty"), ({"feed_salt_percent": 0.4}, "yes"),
        ({"feed_ammonia_mg_kg": 500}, "no: the feed holds too much ammonia"), ({"feed_ammonia_mg_kg": 499}, "yes"),
        ({"first_stage_days": 13}, "no: so short a first stage leaves feed that still heats"), ({"first_stage_days": 14}, "yes"),
        ({"worm_keeper": False}, "with care: nobody is trained yet"),
        ({"worm_share_percent": 1}, "with care: so little feed that one bed is enough"), ({}, "yes"),
    ],
)  # fmt: skip
def test_when_worms_do_not_make_sense(answers: dict[str, Any], said: str) -> None:
    assert beds(**{"worm_keeper": True, **answers}).worm_advice == said


def test_stockings_side_by_side() -> None:
    found = beds()
    areas = {row[0]: row[3] for row in found.stockings}
    assert areas["Used here"] == areas["Trial, for compost"] == pytest.approx(found.worm_feed_kg_per_day / 1.2)
    assert areas["Trial, for worms"] == pytest.approx(found.worm_feed_kg_per_day / 2)
    assert areas["Leaflets, most"] < areas["Leaflets, least"]
    unit_kg = 18_000 / 365 / (6 * 6.096 * 0.9144)
    assert areas["Model unit of six beds"] == pytest.approx(found.worm_compost_kg_per_day / unit_kg)


def test_half_finished_compost_is_what_the_products_formulas_say() -> None:
    """600 kg/d at 60 %, 35 % of solids lost: 240·(1 − 0.85·(1 − (1 − 0.35/0.85)^(45/60))) dry, water falling evenly."""
    found = solved()
    dry = 240 * (1 - 0.85 * (1 - (1 - 0.35 / 0.85) ** 0.75))
    water = 360 * ((300 - 156) / 360) ** 0.5
    assert found.half_finished_kg_per_day == pytest.approx(dry + water, rel=1e-12)
    assert product.solids_left_after_first_stage(240, 0.35, 45, 45) == pytest.approx(dry, rel=1e-12)
