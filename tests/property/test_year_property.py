"""Laws of the walk through a year, for any scenario: nothing lost, nothing below none, more room never more refused.

The ledger is held against an account of its own: what stands is added heap by heap at the end, every heap brought to date
by its own age, and so checks the sums from which each day's losses follow.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.simulate.breaks import KINDS, TRIED, find_break, holds, what_breaks
from calculators.simulate.year import DAILY, MONTH_OF_DAY, SUBSTANCES, Outage, Record, Scenario, run

CLOSE = 1e-9
share = st.floats(0, 1)
month = lambda low, high: st.tuples(*[st.floats(low, high)] * 12)  # noqa: E731


@st.composite
def scenarios(draw: st.DrawFn) -> Scenario:
    """Any yard of up to a third of a year, with what can go wrong going wrong often."""
    days = draw(st.integers(20, 130))
    mean = draw(st.sampled_from([5.0, 80.0, 600.0, 4000.0]))
    week = draw(st.lists(st.floats(0, 3), min_size=7, max_size=7))
    degradable = draw(st.floats(0, 0.9))
    return Scenario(
        days=days,
        waste_kg_by_day=tuple(mean * week[day % 7] for day in range(days)),
        leaves_kg_per_day_by_month=draw(month(0, 500)),
        heap_m3=draw(st.floats(0.3, 20)),
        stage_bays=draw(st.integers(0, 60)),
        first_stage_days=draw(st.integers(3, 50)),
        curing_days=draw(st.integers(0, 50)),
        turning_interval_days=draw(st.floats(1, 15)),
        start=draw(st.sampled_from(["empty", "steady"])),
        waste_moisture_by_month=draw(month(0.5, 0.95)),
        leaf_moisture=draw(st.floats(0.05, 0.6)),
        waste_degradable=degradable,
        leaf_degradable=degradable,
        nitrogen_lost_of_degraded=draw(st.floats(0, 0.009)),
        bulking_kg_per_kg=draw(st.floats(0, 2)),
        mix_water_l_per_kg=draw(st.floats(0, 0.5)),
        holding_moisture=draw(st.floats(0.4, 0.8)),
        leaf_policy=draw(st.sampled_from(["buy", "stretch", "refuse"])),
        least_recipe_share=draw(st.floats(0.3, 1)),
        leaf_store_m3=draw(st.floats(0, 300)),
        leaf_start_kg=draw(st.floats(0, 20000)),
        first_stage_rate_per_day=draw(st.floats(0, 0.1)),
        curing_rate_per_day=draw(st.floats(0, 0.1)),
        water_rate_per_day=draw(st.floats(0, 0.1)),
        inside_c_by_month=draw(st.sampled_from([(), ((30.0, 60.0, 65.0, 55.0, 40.0),) * 9 + ((12.0, 20.0, 30.0),) * 3])),
        outside_c_by_month=draw(month(-5, 40)),
        merged_for_curing=draw(st.booleans()),
        heaps_per_bay=draw(st.integers(1, 3)),
        rain_mm_by_month=draw(month(0, 400)),
        roof_m2=draw(st.floats(0, 800)),
        tank_l=draw(st.sampled_from([0.0, 3000.0, 50000.0])),
        tank_start_l=draw(st.floats(0, 60000)),
        mains=draw(st.booleans()),
        wash_l_per_working_day=draw(st.floats(0, 300)),
        wash_to_sump=draw(st.booleans()),
        breathed_l_per_m3_by_month=draw(month(0, 60)),
        sump_l=draw(st.floats(0, 2000)),
        sump_open_m2=draw(st.floats(0, 10)),
        sump_emptied_every_days=draw(st.integers(0, 14)),
        crew_present=draw(st.integers(0, 12)),
        rest_weekdays=draw(st.sampled_from([(), (6,), (5, 6)])),
        outages=draw(st.sampled_from([(), (Outage(10, 6),), (Outage(5, 9, 1), Outage(8, 3, 2), Outage(20, 4))])),
        waste_hours_per_kg=draw(st.floats(0, 0.02)),
        leaf_hours_per_kg=draw(st.floats(0, 0.005)),
        shredded_share=draw(share),
        shred_hours_per_kg=draw(st.floats(0, 0.01)),
        build_hours_per_m3=draw(st.floats(0, 1)),
        turn_hours_per_m3=draw(st.floats(0, 1)),
        move_hours_per_m3=draw(st.floats(0, 1)),
        screen_hours_per_kg=draw(st.floats(0, 0.01)),
        clean_hours_per_day=draw(st.floats(0, 2)),
        waiting_limit_kg=draw(st.sampled_from([0.0, 500.0, 1e9])),
        most_sold_kg_per_day=draw(st.sampled_from([0.0, 50.0, 1e9])),
        wage_per_hour=draw(st.sampled_from([None, 2.0])),
        worm_full_kg=draw(st.sampled_from([0.0, 3.0, 60.0, 5000.0])),
        worm_start_kg=draw(st.sampled_from([0.5, 40.0, 8000.0])),
        worm_doubling_days=draw(st.floats(20, 200)),
        worm_share=draw(st.sampled_from([0.05, 0.4, 1.0])),
        worm_feed_ratio=draw(st.floats(0.05, 2)),
        worm_feed_moisture=draw(st.floats(0.3, 0.9)),
        worm_idle_months=draw(st.sampled_from([(), (1, 2), tuple(range(12))])),
        worm_rate_per_day=draw(st.floats(0, 0.3)),
        worm_harvest_days=draw(st.integers(1, 60)),
        worm_compost_moisture=draw(st.floats(0.1, 0.85)),
    )  # fmt: skip


@given(scenarios())
@settings(max_examples=120, deadline=None)
def test_the_ledger_closes_every_day(scenario: Scenario) -> None:
    record = run(scenario)
    assert len(record.ledger) == scenario.days
    for day, accounts in enumerate(record.ledger):
        for name, start, account in zip(SUBSTANCES, record.stock_at_start, accounts, strict=True):
            size = max(1.0, start + account.came, account.stock)
            assert abs(start + account.came - account.went - account.stock) <= CLOSE * size, (day, name)


@given(scenarios())
@settings(max_examples=80, deadline=None)
def test_what_heaps_hold_is_what_the_sums_say(scenario: Scenario) -> None:
    """Heap by heap at the end, and no more: the rest of the stock is what stores and floor hold."""
    record = run(scenario)
    last = scenario.days - 1
    leaves = record.leaf_store_m3[last] * scenario.leaf_density_kg_m3
    elsewhere = record.waiting_kg[last] + leaves + record.fine_stock_kg[last] + record.coarse_stock_kg[last]
    elsewhere += record.tank_l[last] + record.sump_l[last] + record.worm_beds_kg[last] + record.worm_compost_stock_kg[last]
    stock = record.ledger[last][0].stock + record.ledger[last][1].stock
    size = max(1.0, *(record.ledger[last][index].came + record.stock_at_start[index] for index in (0, 1)))
    assert stock - elsewhere == pytest.approx(record.in_heaps_kg[0] + record.in_heaps_kg[1], abs=CLOSE * size)
    for index in range(4):
        assert record.in_heaps_kg[index] >= -CLOSE * size


@given(scenarios())
@settings(max_examples=80, deadline=None)
def test_nothing_is_less_than_none(scenario: Scenario) -> None:
    record = run(scenario)
    size = max(1.0, *(account.came for account in record.ledger[-1]), *record.stock_at_start)
    for name in DAILY:
        if name != "money":
            assert min(getattr(record, name)) >= -CLOSE * size, name
    for accounts in record.ledger:
        assert all(min(account.came, account.went, account.stock) >= -CLOSE * size for account in accounts)
    assert max(record.bays_in_use) <= scenario.stage_bays
    assert max(record.tank_l) <= scenario.tank_l * (1 + CLOSE) and max(record.sump_l) <= scenario.sump_l * (1 + CLOSE)
    store = max(scenario.leaf_store_m3, 0.0)
    assert max(record.leaf_store_m3) <= store * (1 + CLOSE) + CLOSE
    assert all(used <= available + CLOSE for used, available in zip(record.hours_used, record.hours_available, strict=True))


@given(scenarios())
@settings(max_examples=80, deadline=None)
def test_heaps_are_neither_made_nor_lost_between_stages(scenario: Scenario) -> None:
    record = run(replace(scenario, start="empty"))
    counts = dict(record.counts)
    first = [heap for heap in record.heaps if heap.stage == "first"]
    curing = [heap for heap in record.heaps if heap.stage == "curing"]
    assert counts["begun"] == len(first) and counts["cured begun"] == len(curing)
    assert counts["begun"] - counts["moved"] == record.first_heaps[-1] == sum(heap.left is None for heap in first)
    assert counts["cured begun"] - counts["screened"] == record.curing_heaps[-1] == sum(heap.left is None for heap in curing)
    assert counts["full"] == sum(heap.full is not None for heap in first) <= counts["begun"] <= counts["full"] + 1
    for heap in record.heaps:
        stay = scenario.first_stage_days if heap.stage == "first" else scenario.curing_days
        assert heap.full is None or heap.begun <= heap.full
        assert heap.left is None or (heap.full is not None and heap.left >= heap.full + stay)
    for day in range(0, scenario.days, 9):  # no bay holds more heaps at a time than it takes
        held: dict[int, int] = {}
        for heap in record.heaps:
            if heap.begun <= day and (heap.left is None or heap.left > day):
                held[heap.bay] = held.get(heap.bay, 0) + 1
        assert max(held.values(), default=0) <= scenario.heaps_per_bay
        assert len(held) == record.bays_in_use[day]


@given(scenarios(), st.integers(1, 20))
@settings(max_examples=80, deadline=None)
def test_more_bays_never_mean_more_waste_refused(scenario: Scenario, more: int) -> None:
    """Where hours and leaves do not run short: with more heaps standing they may, and that is another break."""
    ample = replace(scenario, crew_present=100_000, leaf_policy="buy", outages=())
    fewer, many = run(ample), run(replace(ample, stage_bays=ample.stage_bays + more))
    assert sum(many.refused_kg) <= sum(fewer.refused_kg) * (1 + CLOSE) + CLOSE


@given(scenarios())
@settings(max_examples=40, deadline=None)
def test_waste_that_came_is_built_or_refused_or_waits(scenario: Scenario) -> None:
    """With no bulking, water, rain or loss, what stands and what was screened is the waste that was not refused."""
    bare = replace(
        scenario, start="empty", bulking_kg_per_kg=0.0, mix_water_l_per_kg=0.0, rain_mm_by_month=(0.0,) * 12, tank_start_l=0.0,
        wash_l_per_working_day=0.0, first_stage_rate_per_day=0.0, curing_rate_per_day=0.0, water_rate_per_day=0.0,
        holding_moisture=0.96, water_below_moisture=0.0, leaves_kg_per_day_by_month=(0.0,) * 12, leaf_start_kg=0.0,
        most_sold_kg_per_day=0.0, worm_full_kg=0.0,
    )  # fmt: skip
    record = run(bare)
    kept = record.in_heaps_kg[0] + record.in_heaps_kg[1] + record.fine_stock_kg[-1] + record.coarse_stock_kg[-1]
    came = sum(bare.waste_kg_by_day)
    assert kept + record.waiting_kg[-1] + sum(record.refused_kg) == pytest.approx(came, rel=1e-9, abs=1e-9)


@given(scenarios())
@settings(max_examples=20, deadline=None)
def test_the_same_scenario_gives_the_same_record(scenario: Scenario) -> None:
    assert run(scenario) == run(replace(scenario))


@given(scenarios())
@settings(max_examples=25, deadline=None)
def test_breaks_are_days_of_the_record(scenario: Scenario) -> None:
    record: Record = run(scenario)
    found = what_breaks(record)
    assert {broken.kind for broken in found} <= set(KINDS) == set(TRIED)
    assert [broken.first_day for broken in found] == sorted(broken.first_day for broken in found)
    for broken in found:
        assert 0 <= broken.first_day <= broken.worst_day <= broken.last_day < scenario.days
        assert broken.spells[0][0] == broken.first_day and broken.spells[-1][1] == broken.last_day
        assert broken.worst > 0
        assert find_break(record, broken.kind) == broken
    # a walk that stops with the first bad day says the same
    assert {kind for kind in KINDS if not holds(scenario, kind)} == {broken.kind for broken in found}


@given(scenarios())
@settings(max_examples=40, deadline=None)
def test_worms_get_no_more_than_they_can_eat(scenario: Scenario) -> None:
    """Over any days they eat what they can in them and a week's feed at most besides; the stock never outgrows its beds."""
    kept = replace(scenario, start="empty", worm_full_kg=max(3.0, scenario.worm_full_kg), most_sold_kg_per_day=0.0)
    record = run(kept)
    full = max(kept.worm_full_kg, kept.worm_start_kg)
    assert max(record.worm_kg) <= full * (1 + CLOSE)
    assert list(record.worm_kg) == sorted(record.worm_kg)
    assert sum(record.worm_fed_kg) <= kept.worm_feed_ratio * (sum(record.worm_kg) + full) * (1 + CLOSE)
    for day, fed in enumerate(record.worm_fed_kg):
        assert fed == 0 or (MONTH_OF_DAY[day] not in kept.worm_idle_months and record.worm_kg[day] > 0)
    # what was harvested and not sold is the stock
    assert record.worm_compost_stock_kg[-1] == pytest.approx(sum(record.worm_harvest_kg), rel=1e-9, abs=1e-9)
    without = run(replace(kept, worm_full_kg=0.0))
    if set(kept.worm_idle_months) == set(range(12)):
        assert replace(record, scenario=without.scenario) == without
