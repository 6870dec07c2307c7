"""The walk through a year: agreement with the steady calculators, events on the days on which they must fall, breaks, cures."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import pytest

from calculators import catalogue
from calculators.declare import CannotSolve
from calculators.plan import NotAsked, Plan
from calculators.simulate import breaks
from calculators.simulate.heat import temperature_factor
from calculators.simulate.year import Outage, Record, Scenario, run
from calculators.topics import year
from calculators.topics.arrivals import DAYS_IN_MONTH
from calculators.topics.bays import mean_volume_left, most_heaps_standing, volume_left
from calculators.topics.mix import water_to_add

YEAR = frozenset(["year"])

PLAIN = Scenario(
    days=200, waste_kg_by_day=(500.0,) * 200, leaves_kg_per_day_by_month=(150.0,) * 12, heap_m3=5.0, stage_bays=60,
    first_stage_days=40, curing_days=40, turning_interval_days=4.0, crew_present=50,
)  # fmt: skip
"""500 kg with 150 kg of leaves a day: 1 + 1.5 m³ of mix, so a heap of 5 m³ is full every second day."""

EVEN = {
    "market_kg_by_weekday": [70] * 7, "garden_kg_by_month": [60] * 12, "leaves_kg_by_month": [400] * 12,
    "festival_month": "none", "working_days_per_week": 7, "years_to_walk": 2, "leaf_store_m3": 5000,
    "leaf_store_start_percent": 50, "days_per_worker": 6,
}  # fmt: skip


# ---- agreement with the steady calculators --------------------------------------------------------------------


def even_yards(number: int) -> list[dict[str, object]]:
    """Random yards to which every day brings the same."""
    chance = random.Random(20)
    found = []
    for _ in range(number):
        found.append({
            **EVEN, "homes": chance.randint(100, 2500), "heap_length_m": round(chance.uniform(2, 8), 1),
            "first_stage_days": chance.randint(14, 70), "curing_days": chance.randint(10, 80),
            "turning_interval_days": round(chance.uniform(2, 9), 1), "rebuilt_for_curing": chance.random() < 0.5,
            "shrinkage_rate_per_day": round(chance.uniform(0.005, 0.06), 3), "heaps_per_bay": 1,
            "volume_left_end_percent": chance.randint(40, 80), "solve_for": chance.choice(["both", "carbon_to_nitrogen"]),
            "yard_begins": chance.choice(["empty", "steady"]), "bulking_material": "dry_leaves",
            "target_carbon_to_nitrogen": chance.randint(24, 40), "shredded_percent": chance.randint(0, 100),
            "reserve_percent": 30,
        })  # fmt: skip
    return found


def inputs_of(own: dict[str, object]) -> tuple[year.Inputs, dict[str, object]]:
    """The answers of the year as a plan gives them, without walking, and the outputs of the calculators before."""
    evaluated = Plan(own).evaluate()
    standings = evaluated.not_asked["year"].standings
    return (year.Inputs(**{name: standing.value for name, standing in standings.items()}),
            {key: result.outputs for key, result in evaluated.results.items()})  # fmt: skip


def whole_turnings(inputs: year.Inputs) -> float:
    """Volume turned of a heap of 1 m³, in whole turnings, against that of the steady formula, which counts parts of one."""
    lost, rate, stay = 1 - inputs.volume_left_end_percent / 100, inputs.shrinkage_rate_per_day, inputs.first_stage_days
    interval = inputs.turning_interval_days
    ages = [math.ceil(number * interval - 1e-9) for number in range(1, 200)]
    turned = sum(volume_left(age, lost, rate) for age in ages if age < stay)
    return turned / (stay * mean_volume_left(stay, lost, rate) / interval)


@pytest.mark.parametrize("own", even_yards(24), ids=range(24))
def test_an_even_year_agrees_with_bays_crew_and_mix(own: dict[str, object]) -> None:
    """Bays of each stage within one whole bay of the Bays calculator's, hours within one worker's day of Crew's (turnings
    taken whole, as a heap must), water as Mix says to the last figure."""
    inputs, given = inputs_of(own)
    bays, crew, mix = given["bays"], given["crew"], given["mix"]
    record = run(year.scenario(inputs))
    assert abs(max(record.first_heaps) - math.ceil(bays.standing_heaps_first_stage - 1e-9)) <= 1
    assert abs(max(record.curing_heaps) - math.ceil(bays.standing_heaps_curing - 1e-9)) <= 1
    assert max(record.bays_in_use) <= bays.even_year_bays - bays.spare_bays
    assert sum(record.refused_kg) == 0
    walked = sum(record.hours_needed[365:]) / 365
    turning = bays.turned_m3_per_day * (1 / inputs.turn_rate + 1 / inputs.water_rate)
    steady = crew.worker_hours_per_day - turning * (1 - whole_turnings(inputs))
    a_worker = inputs.shift_hours * (1 - inputs.rest_percent / 100)
    assert abs(walked - steady) <= a_worker, (walked, steady)
    if crew.crew_present <= 6:  # there even parts of a turning make no more than one worker
        assert abs(walked - crew.worker_hours_per_day) <= a_worker
    water = sum(record.mix_water_l[365:]) / 365
    assert water == pytest.approx(mix.water_l_per_day, rel=1e-9, abs=1e-9)


def test_even_yards_are_not_all_alike() -> None:
    """The check above sees dry mixes and wet ones, few bays and many."""
    evaluated = [Plan(own).evaluate().results for own in even_yards(24)]
    assert sum(results["mix"].outputs.water_l_per_day > 1 for results in evaluated) >= 3
    counts = [results["bays"].outputs.even_year_bays for results in evaluated]
    assert min(counts) < 30 and max(counts) > 90


def test_an_uneven_year_stays_within_the_bays_of_its_peak() -> None:
    """``most_heaps_standing`` bounds the first stage from all that can come in during it."""
    chance = random.Random(4)
    for _ in range(20):
        loads = tuple(chance.choice([0.0, 200.0, 900.0]) for _ in range(365))
        s = replace(PLAIN, days=365, waste_kg_by_day=loads, stage_bays=500, bulking_kg_per_kg=0.3)
        volumes = [kg * (s.waste_m3_per_kg + 0.3 * s.bulking_m3_per_kg) for kg in loads]
        assert max(run(s).first_heaps) <= most_heaps_standing(volumes, s.heap_m3, s.first_stage_days)


def worm_yards() -> list[dict[str, object]]:
    """Even yards with worm beds, whose heaps are not watered and whose waste rain does not wet: Worm beds knows neither."""
    chance = random.Random(8)
    return [
        {
            **EVEN, "homes": chance.randint(300, 2500), "years_to_walk": 3, "yard_begins": begins, "worm_use": "beds",
            "worm_share_percent": share, "worm_harvest_days": harvest, "worm_solids_left_percent": chance.randint(55, 85),
            "worm_full_by_weeks": 30, "outside_c_by_month": [24] * 12, "watered_below_percent": 20, "waste_wetter_by_month": [0] * 12,
            "mass_left_percent": chance.randint(40, 60), "reserve_percent": 30, "worm_compost_moisture_percent": moisture,
        }
        for begins, share, harvest, moisture in (
            ("steady", 20, 90, 55), ("steady", 60, 45, 70), ("empty", 20, 60, 50), ("steady", 100, 120, 60), ("empty", 50, 30, 80),
        )
    ]  # fmt: skip


@pytest.mark.parametrize("own", worm_yards(), ids=range(5))
def test_a_full_stock_of_worms_agrees_with_worm_beds(own: dict[str, object]) -> None:
    """In the third year: feed and worm compost of a day within 2 % of the Worm beds calculator's, whole harvests counted."""
    inputs, given = inputs_of(own)
    beds = given["worms"]
    record = run(year.scenario(inputs))
    assert record.worm_kg[730] >= 0.99 * beds.worm_stock_kg
    assert sum(record.worm_fed_kg[730:]) / 365 == pytest.approx(beds.worm_feed_kg_per_day, rel=0.02)
    harvests = [day for day, kg in enumerate(record.worm_harvest_kg) if kg > 0 and day >= 600]
    made = sum(record.worm_harvest_kg[day] for day in harvests[1:])
    assert made / (harvests[-1] - harvests[0]) == pytest.approx(beds.worm_compost_kg_per_day, rel=0.02)


def test_a_young_stock_grows_by_the_law_of_worm_beds() -> None:
    """Bought with the first heap that is moved, it is full after the weeks that Worm beds says; till then the rest is cured."""
    own = {**worm_yards()[2], "worm_full_by_weeks": 60}
    inputs, given = inputs_of(own)
    record = run(year.scenario(inputs))
    bought = next(day for day, kg in enumerate(record.worm_kg) if kg > 0)
    assert record.worm_kg[bought] == given["worms"].worms_to_buy_kg and record.worm_fed_kg[bought] > 0
    full = next(day for day, kg in enumerate(record.worm_kg) if kg >= 0.95 * given["worms"].worm_stock_kg)
    assert full - bought == math.ceil(7 * given["worms"].weeks_to_full - 1e-6)
    assert sum(record.worm_fed_kg[bought : bought + 60]) < 0.6 * sum(record.worm_fed_kg[full : full + 60])
    none = run(replace(record.scenario, worm_full_kg=0.0))
    assert sum(record.curing_heaps) < sum(none.curing_heaps) and sum(none.worm_fed_kg) == 0
    assert sum(record.worm_harvest_kg) + record.bagged_kg < none.bagged_kg + sum(record.worm_fed_kg)


def test_one_feeding_by_hand() -> None:
    """One heap, one bed: its share wetted, its solids down by their rate, as moist as they were, dried off at the harvest."""
    s = replace(
        PLAIN, days=60, waste_kg_by_day=(2000.0,) + (0.0,) * 59, leaves_kg_per_day_by_month=(0.0,) * 12, leaf_start_kg=600.0,
        heap_m3=10.0, first_stage_days=20, first_stage_rate_per_day=0.0, water_rate_per_day=0.0, worm_full_kg=4000.0,
        worm_start_kg=4000.0, worm_share=0.25, worm_feed_moisture=0.8, worm_rate_per_day=0.02, worm_harvest_days=30,
        worm_compost_moisture=0.5, most_sold_kg_per_day=0.0,
    )  # fmt: skip
    record = run(s)
    solids = (2000 * 0.25 + 600 * 0.85) / 4
    degradable = (2000 * 0.25 * 0.5 + 600 * 0.85 * 0.3) / 4
    assert record.worm_fed_kg[20] == pytest.approx(solids / 0.2) and sum(record.worm_fed_kg) == record.worm_fed_kg[20]
    left = solids - degradable * (1 - math.exp(-0.02 * 30))
    assert record.worm_beds_kg[49] == pytest.approx((solids - degradable * (1 - math.exp(-0.02 * 29))) / 0.2, rel=1e-9)
    assert record.worm_harvest_kg[50] == pytest.approx(left / 0.5, rel=1e-9) == pytest.approx(record.worm_compost_stock_kg[-1])
    few = run(replace(s, worm_full_kg=100.0, worm_start_kg=100.0))
    assert few.worm_fed_kg[20] == pytest.approx(100 * 0.75)  # a day's feed: the worms are new
    sold = run(replace(s, most_sold_kg_per_day=1e9, worm_compost_price=0.5, compost_price=0.0))
    assert sold.money[-1] == pytest.approx(0.5 * left / 0.5, rel=1e-9)


def test_idle_months_are_those_of_worm_beds() -> None:
    """Too cold, too hot and deadly months: neither feed nor growth, and the notice names them."""
    celsius = [2, 10, 20, 24, 29.5, 31, 40, 29, 24, 20, 10, 4]
    result = Plan({"worm_use": "beds", "outside_c_by_month": celsius, "yard_begins": "steady"}).evaluate(YEAR).results["year"]
    what = year.scenario(result.inputs)
    assert what.worm_idle_months == (0, 5, 6)
    record = run(what)
    for month in range(12):
        fed = sum(record.worm_fed_kg[sum(DAYS_IN_MONTH[:month]) : sum(DAYS_IN_MONTH[: month + 1])])
        assert (fed == 0) == (month in (0, 5, 6))
    words = " ".join(result.notices)
    assert "January, June and July" in words and "deadly month kills" in words and "bays planned are for curing" in words
    assert "Worms, mean of each month of the first year" in [chart.title for chart in result.charts]
    young = Plan({"worm_use": "beds"}).evaluate(YEAR).results["year"]
    assert young.outputs.worm_stock_full_on == "not within the walk" and "not full within the walk" in " ".join(young.notices)


def test_without_worm_beds_the_walk_is_the_same_to_the_last_bit() -> None:
    """Whatever worms would do: with no stock, nothing of them touches a figure."""
    inputs, _ = inputs_of({})
    plain = year.scenario(inputs)
    worms = replace(plain, worm_share=1.0, worm_start_kg=500.0, worm_rate_per_day=0.3, worm_harvest_days=1)
    one, other = run(plain), run(worms)
    assert plain.worm_full_kg == 0 and replace(other, scenario=plain) == one
    outputs = Plan({}).evaluate(YEAR).results["year"].outputs
    assert outputs.worm_stock_full_on == "no worm beds" and outputs.worms_were_fed_kg == 0


# ---- days on which things must happen -------------------------------------------------------------------------


def test_a_heap_goes_its_way_on_its_days() -> None:
    record = run(PLAIN)
    first = [heap for heap in record.heaps if heap.stage == "first"]
    assert [(heap.begun, heap.full, heap.left) for heap in first[:3]] == [(0, 1, 41), (2, 3, 43), (4, 5, 45)]
    # left after 40 days: 1 − 0.5·(1 − e^(−1)) = 0.684 of 5 m³, so a curing heap is full with the second
    cured = [heap for heap in record.heaps if heap.stage == "curing"]
    assert (cured[0].begun, cured[0].full, cured[0].left) == (41, 43, 83)
    assert cured[1].begun == 43
    assert record.first_heaps[30] == 16 and record.bays_in_use[30] == 16
    assert max(record.first_heaps) == 21  # 40 days of half a heap a day, and the one being filled


def test_degradation_follows_its_rate() -> None:
    """One heap alone: solids, carbon and water fall as e to the rate times the days, by hand."""
    s = replace(PLAIN, days=30, waste_kg_by_day=(2000.0,) + (0.0,) * 29, leaves_kg_per_day_by_month=(0.0,) * 12, heap_m3=50.0,
                leaf_start_kg=1000.0, first_stage_rate_per_day=0.03, water_rate_per_day=0.02)  # fmt: skip
    record = run(s)
    solids, water = 2000 * 0.25 + 600 * 0.85, 2000 * 0.75 + 600 * 0.15
    degradable = 2000 * 0.25 * 0.5 + 600 * 0.85 * 0.3
    assert record.in_heaps_kg[1] == pytest.approx(solids - degradable * (1 - math.exp(-0.03 * 29)), rel=1e-12)
    assert record.in_heaps_kg[0] == pytest.approx(water * math.exp(-0.02 * 29), rel=1e-12)
    lost_carbon = 0.45 * degradable * (1 - math.exp(-0.03 * 29))
    assert record.in_heaps_kg[2] == pytest.approx(0.45 * solids - lost_carbon, rel=1e-12)
    gone = record.ledger[-1]
    assert gone[2].went == pytest.approx(lost_carbon, rel=1e-9)


def test_inside_temperatures_set_the_pace_of_the_first_stage() -> None:
    """One heap in January, by hand: one curve in all months is as none; with cold heaps in the first three months of the
    year its pace is the factor at 20 °C over the year's mean factor."""
    s = replace(PLAIN, days=30, waste_kg_by_day=(2000.0,) + (0.0,) * 29, leaves_kg_per_day_by_month=(0.0,) * 12, heap_m3=50.0,
                leaf_start_kg=1000.0, first_stage_rate_per_day=0.03)  # fmt: skip
    hot, cold = (60.0,) * 40, (20.0,) * 40
    plain, even, winter = (
        run(replace(s, inside_c_by_month=curves)).in_heaps_kg[1] for curves in ((), (hot,) * 12, (cold,) * 3 + (hot,) * 9)
    )
    assert even == pytest.approx(plain, rel=1e-12)
    degradable = 2000 * 0.25 * 0.5 + 600 * 0.85 * 0.3
    pace = 365 / (90 + 275 * temperature_factor(60))
    kept = 2000 * 0.25 + 600 * 0.85 - degradable * (1 - math.exp(-0.03 * 29 * pace))
    assert winter == pytest.approx(kept, rel=1e-12) and winter > plain


def test_cold_months_slow_curing() -> None:
    """The year's mean rate stays; winter, in which the walk begins, loses less than an even year."""
    cold = tuple(5.0 if month in (0, 1, 2, 11) else 30.0 for month in range(12))
    steady = replace(PLAIN, start="steady", days=60, waste_kg_by_day=(500.0,) * 60)
    even, winter = run(steady), run(replace(steady, outside_c_by_month=cold))
    assert winter.ledger[-1][1].went - winter.ledger[0][1].went < even.ledger[-1][1].went - even.ledger[0][1].went


def test_dry_heaps_are_watered_to_the_moisture_wanted() -> None:
    """A heap that falls below is brought up by Mix's own formula; without mains and tank the lack is told."""
    s = replace(PLAIN, days=10, waste_kg_by_day=(500.0, 500.0) + (0.0,) * 8, water_rate_per_day=0.2)
    record = run(s)
    turned = next(day for day, litres in enumerate(record.water_used_l) if litres > 0)
    assert turned == 5  # full on day 1, turned four days later
    water, solids = (1000 * 0.75 + 300 * 0.15), (1000 * 0.25 + 300 * 0.85)
    degradable = 1000 * 0.25 * 0.5 + 300 * 0.85 * 0.3
    # half of it is five days old, half four: each half dries by its own days
    water = water / 2 * (math.exp(-0.2 * 5) + math.exp(-0.2 * 4))
    solids -= degradable / 2 * (2 - math.exp(-0.02 * 5) - math.exp(-0.02 * 4))
    wanted = water_to_add(water + solids, water / (water + solids), 0.55)
    assert record.water_used_l[5] == pytest.approx(wanted, rel=1e-9)
    dry = run(replace(s, mains=False))
    assert dry.water_short_l[5] == pytest.approx(wanted, rel=1e-9) and dry.water_used_l[5] == 0


@pytest.mark.parametrize("drying", [0.0, 0.004, 0.01, 0.02, 0.05])
def test_a_heap_not_looked_at_is_one_that_stays_moist(drying: float) -> None:
    """The rule that spares a look at moist heaps gives what looking at every turning gives."""
    s = replace(PLAIN, water_rate_per_day=drying, first_stage_rate_per_day=0.04, water_below_moisture=0.5)
    spared = run(s)

    class Looking(breaks.run.__globals__["_Walk"]):  # type: ignore[misc]
        def _moist_until(self, heap: object) -> int:
            return -1

    held = run.__globals__["_Walk"]
    try:
        run.__globals__["_Walk"] = Looking
        looked = run(s)
    finally:
        run.__globals__["_Walk"] = held
    assert looked.water_used_l == pytest.approx(spared.water_used_l, rel=1e-9, abs=1e-9)


def test_rain_fills_the_tank_as_the_roof_sheds_it() -> None:
    """50 m² of tiles under 1000 mm give 40 000 L a year: the printed example of Practical Action's page."""
    rain = tuple(1000 * days / 365 for days in DAYS_IN_MONTH)
    s = replace(PLAIN, days=365, waste_kg_by_day=(0.0,) * 365, rain_mm_by_month=rain, roof_m2=50.0, run_off_coefficient=0.8,
                tank_l=1e6, leaves_kg_per_day_by_month=(0.0,) * 12)  # fmt: skip
    assert run(s).tank_l[-1] == pytest.approx(40_000, rel=1e-9)
    full = run(replace(s, tank_l=5000.0))
    assert full.tank_l[-1] == 5000
    assert full.ledger[-1][0].went == pytest.approx(35_000, rel=1e-9)


def test_too_wet_a_mix_drips_into_the_sump() -> None:
    s = replace(PLAIN, days=3, waste_kg_by_day=(1000.0, 0.0, 0.0), bulking_kg_per_kg=0.0, waste_moisture_by_month=(0.8,) * 12,
                holding_moisture=0.7, sump_l=250.0, leaves_kg_per_day_by_month=(0.0,) * 12)  # fmt: skip
    record = run(s)
    # 200 kg of solids hold 200 · 0.7/0.3 = 466.7 kg of water; 333.3 kg drip, 250 of them into the sump
    assert record.sump_l[0] == 250 and record.sump_over_l[0] == pytest.approx(800 - 200 * 0.7 / 0.3 - 250)


# ---- breaks ---------------------------------------------------------------------------------------------------


def kinds(record: Record) -> list[str]:
    return [broken.kind for broken in breaks.what_breaks(record)]


def test_nothing_breaks_in_an_ample_yard() -> None:
    assert kinds(run(PLAIN)) == []


def test_bays_break_on_the_day_on_which_none_is_free() -> None:
    """Ten bays take 50 m³ at 2.5 m³ a day: full with day 19, the next waste is refused until the first heap leaves."""
    s = replace(PLAIN, stage_bays=10)
    (broken,) = breaks.what_breaks(run(s))
    assert (broken.kind, broken.first_day, broken.worst) == ("bays", 20, 500.0)
    assert broken.spells[0][0] == 20
    cure = breaks.cheapest_cure(s, broken)
    assert cure is not None and cure.key == "bays"
    assert kinds(run(replace(s, stage_bays=10 + cure.amount))) == []
    assert kinds(run(replace(s, stage_bays=10 + cure.amount - 1))) == ["bays"]


def test_leaves_break_by_what_was_said_to_do_then() -> None:
    none = replace(PLAIN, leaves_kg_per_day_by_month=(0.0,) * 12, leaf_start_kg=1500.0, days=40, waste_kg_by_day=(500.0,) * 40)
    assert run(none).leaves_bought_kg[9:12] == (0.0, 150.0, 150.0)
    refused = run(replace(none, leaf_policy="refuse"))
    assert refused.refused_for_leaves_kg[9:12] == pytest.approx((0.0, 500.0, 500.0))
    stretched = run(replace(none, leaf_policy="stretch", least_recipe_share=0.5))
    assert sum(stretched.refused_kg) <= sum(refused.refused_kg)
    assert min(stretched.recipe_share) == 0.5
    for policy, kind in (("buy", "store"), ("refuse", "leaves"), ("stretch", "leaves")):
        s = replace(none, leaf_policy=policy)  # type: ignore[arg-type]
        found = breaks.find_break(run(s), kind)
        assert found is not None and found.first_day >= 10
        cure = breaks.cheapest_cure(s, found)
        assert cure is not None and cure.key == "start_leaves" and cure.amount == 5000  # 40 days × 150 kg, less 1500


def test_hours_break_on_the_days_that_are_too_full() -> None:
    """One worker of six hours; receiving 500 kg at 0.01 h takes five, turning the rest; Sunday's waste waits for Monday."""
    s = replace(PLAIN, crew_present=1, usable_hours=6.0, waste_hours_per_kg=0.01, rest_weekdays=(6,), turn_hours_per_m3=0.05)
    record = run(s)
    broken = breaks.find_break(record, "crew")
    assert broken is not None and 0 in broken.weekdays and 6 not in broken.weekdays
    cure = breaks.cheapest_cure(s, broken)
    assert cure is not None
    changed = breaks.CHANGES[cure.key].apply(s, cure.amount)
    assert breaks.find_break(run(changed), "crew") is None


def test_a_crew_that_catches_up_within_a_week_is_not_behind() -> None:
    """One worker of six hours. 500 kg a day at 0.0095 h: 4.75 h, and Sunday's caught up within days. At 0.0125 h
    6.25 h on seven days are more than 36 h a week: behind for good, until there are more hours."""
    s = replace(PLAIN, crew_present=1, usable_hours=6.0, rest_weekdays=(6,), waste_hours_per_kg=0.0095)
    assert "crew" in kinds(run(s)) and "behind" not in kinds(run(s))
    slow = replace(s, waste_hours_per_kg=0.0125)
    record = run(slow)
    behind = breaks.find_break(record, "behind")
    assert behind is not None and behind.worst == max(
        owed for owed, hours in zip(record.hours_owed, record.hours_available, strict=True) if hours > 0
    )
    cure = breaks.cheapest_cure(slow, behind)
    assert cure is not None and breaks.find_break(run(breaks.CHANGES[cure.key].apply(slow, cure.amount)), "behind") is None


def test_a_week_is_counted_from_the_first_evening_that_owes() -> None:
    """By hand: owed from day 1, a rest day between, caught up on day 10; then six days are no week."""
    owed = [0, 9, 9, 9, 9, 9, 9, 9, 9, 9, 5, 9, 9, 9, 9, 9, 9, 0, 9]
    hours = [8.0] * len(owed)
    hours[8] = 0.0
    told = list(breaks.owed_for_long(zip(owed, hours, strict=True), 6.0))
    assert [day for day, figure in enumerate(told) if figure] == [9]
    hours[10] = 0.0  # a day of rest catches nothing up
    told = list(breaks.owed_for_long(zip(owed, hours, strict=True), 6.0))
    assert [day for day, figure in enumerate(told) if figure] == [9, 11, 12, 13, 14, 15, 16]


def test_prices_decide_between_cures() -> None:
    s = replace(PLAIN, crew_present=1, usable_hours=6.0, shift_hours=6.0, waste_hours_per_kg=0.01, turn_hours_per_m3=0.05)
    broken = breaks.find_break(run(s), "crew")
    assert broken is not None
    by_order, cheap = breaks.cheapest_cure(s, broken), breaks.cheapest_cure(replace(s, wage_per_hour=2.0), broken)
    assert by_order is not None and by_order.cost is None
    assert cheap is not None and cheap.cost == 2.0 * 200 * (cheap.amount if cheap.key == "shift" else 6 * cheap.amount)


def test_outages_and_late_turnings_are_told() -> None:
    s = replace(PLAIN, shredded_share=0.5, shred_hours_per_kg=0.005, outages=(Outage(10, 5),))
    broken = breaks.find_break(run(s), "shredder")
    assert broken is not None and (broken.first_day, broken.last_day, broken.total) == (10, 14, pytest.approx(5 * 75.0))
    short = replace(PLAIN, crew_present=2, turn_hours_per_m3=0.4, outages=(Outage(60, 12, 2),))
    late = breaks.find_break(run(short), "late")
    assert late is not None and late.first_day >= 72 and late.worst >= 9
    assert "late" not in kinds(run(replace(short, outages=())))


def test_a_break_of_a_kind_unknown_is_no_break() -> None:
    with pytest.raises(KeyError):
        breaks.find_break(run(PLAIN), "walls")


@pytest.mark.parametrize("change", [
    {"days": 0, "waste_kg_by_day": ()}, {"days": 199}, {"heap_m3": 0.0}, {"turning_interval_days": 0.5},
    {"carbon_of_degraded": 0.95}, {"nitrogen_lost_of_degraded": 0.5},
])  # fmt: skip
def test_what_no_walk_could_account_for_is_refused(change: dict[str, object]) -> None:
    with pytest.raises(ValueError):
        replace(PLAIN, **change)  # type: ignore[arg-type]


# ---- the calculator -------------------------------------------------------------------------------------------


def test_larkhollow_tells_its_year() -> None:
    """What the example is made to show: leaves out before the new ones fall, no waste refused, ninety days of piling up."""
    result = Plan({}).evaluate(YEAR).results["year"]
    outputs = result.outputs
    assert outputs.first_break.startswith("leaf store empty from") and "October" in outputs.first_break
    assert outputs.refused_kg == 0 and outputs.leaves_bought_kg > 0
    assert outputs.bays_in_use_most_by_month[0] < outputs.bays_in_use_most_by_month[3]
    assert outputs.first_break in result.sentence
    assert outputs.what_breaks[0][5] in result.sentence


def test_a_cure_of_the_table_cures() -> None:
    result = Plan({}).evaluate(YEAR).results["year"]
    assert result.outputs.what_breaks[0][5] == "a leaf store larger by 75 m³"
    larger = Plan({"leaf_store_m3": 450 + 75}).evaluate(YEAR).results["year"].outputs
    assert all(row[0] != "leaf store empty" for row in larger.what_breaks)


def test_the_table_judges_hours_owed_over_a_week() -> None:
    """Larkhollow's crew catches up within days; one worker short, it does not."""
    rows = Plan({}).evaluate(YEAR).results["year"].outputs.what_breaks
    (words,) = [str(row[5]) for row in rows if str(row[0]).startswith("crew short")]
    assert words.startswith(year.NOT_NEEDED) and "To owe nothing in any evening: 5 more workers" in words
    roomy = Plan({"leaf_store_m3": 2000, "leaf_store_start_percent": 100}).evaluate(YEAR).results["year"]
    assert "A cure is not needed: worked off within a week." in roomy.sentence
    few = Plan({"crew_present": 5}).evaluate(YEAR).results["year"].outputs.what_breaks
    (behind,) = [row for row in few if row[0] == "crew more than a week behind"]
    assert "worker" in str(behind[5]) or "shift" in str(behind[5]) or "rest days" in str(behind[5])
    (words,) = [str(row[5]) for row in few if str(row[0]).startswith("crew short")]
    assert not words.startswith(year.NOT_NEEDED)


def test_answers_change_the_year() -> None:
    refused = Plan({"leaf_store_m3": 60, "leaves_run_short": "refuse"}).evaluate(YEAR).results["year"].outputs
    assert refused.refused_days > 30 and refused.refused_kg > 5000
    out = Plan({"outages": [["shredder", "june", 1, 21, 1]]}).evaluate(YEAR).results["year"].outputs
    assert ("shredder out, bulking unshredded", "1 June", "21 June") in [row[:3] for row in out.what_breaks]
    priced = Plan({"wage_per_hour": 2, "compost_price": 0.1}).evaluate(YEAR).results["year"].outputs
    assert priced.money_of_the_walk is not None


def test_dates_count_years() -> None:
    assert [year.date_words(day) for day in (0, 31, 58, 59, 364, 365, 800)] == [
        "1 January", "1 February", "28 February", "1 March", "31 December", "1 January of year 2", "12 March of year 3"
    ]  # fmt: skip


def test_contradictions_are_told() -> None:
    base = year.Inputs()
    for change, words in (
        ({"bulking_kg_per_day": 600.0}, "no waste"), ({"watered_to_percent": 30.0}, "watered"),
    ):  # fmt: skip
        with pytest.raises(CannotSolve, match=words):
            year.scenario(replace(base, **change))


def test_the_year_is_worked_out_only_on_request() -> None:
    plan = Plan({"leaf_store_m3": "70"})
    left = plan.evaluate()
    assert "year" not in left.results and isinstance(left.step("year"), NotAsked) and not left.stopped
    assert left.own == {"leaf_store_m3": 70} and left.fragment == plan.evaluate(catalogue.ON_REQUEST).fragment
    assert {key for key in left.results} | catalogue.ON_REQUEST == set(catalogue.BY_KEY)
    spoilt = Plan({"leaf_store_m3": "much"}).evaluate()
    assert "year" in spoilt.stopped and spoilt.problems


def test_volume_left_by_age_is_that_of_bays() -> None:
    s = replace(PLAIN, days=42, waste_kg_by_day=(500.0,) * 42, move_hours_per_m3=1.0)
    moved = run(s).hours_needed[41] - run(replace(s, move_hours_per_m3=0.0)).hours_needed[41]
    assert moved == pytest.approx(5.0 * volume_left(40, 0.5, 0.025), rel=1e-9)
