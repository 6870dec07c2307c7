"""A yard walked through day by day: heaps, bays, stores, water and crew. What breaks is found by ``simulate.breaks``.

``run`` is a plain function of a frozen ``Scenario``: the same scenario gives the same ``Record``. Nothing is lost on the
way: water, dry solids, carbon and nitrogen that came in are in a store, in a heap, in the compost, or have left by a way
that is named, and every day's ledger says so.

How a heap is modelled, each rule chosen here unless the scenario's figure says otherwise:

- Degradable solids fall at a first-order rate, one for each stage, and leave as gas with their carbon and a share of
  nitrogen. The oxygen taken up and the water formed are not counted. Stable solids stay. Curing heaps follow the months'
  outside temperature; the first stage is hot whatever the weather, or follows the inside temperatures that are given.
  Both then go at the pace given in the mean of the year.
- Water falls at a first-order rate. A heap found too dry when it is turned is watered. What a hot heap breathes out
  beyond that is given back at its turnings and leaves at once.
- Volume shrinks with age by the curve of the Bays calculator; age counts from the day on which a heap is full.
- A mix wetter than it can hold drips into the sump as it is built, water only.
- Waste waits on the floor only over days without a crew or for want of hours; it does not rot there.
- Each working day's hours go to washing down, receiving, mixing and building, moving, screening, then turning; a job
  begun is finished, out of the next day's hours where need be. What is not done is owed. A heap owes one turning at most.

Because the share lost on a day is the same for all heaps of a stage, a day's loss follows from the sums; a heap is
brought up to date only when something is done to it.

Worm beds, where there are any:

- The stock is bought on the day on which the first half-finished compost is moved, and grows by the law of the Worm beds
  calculator. It neither grows nor eats in the months named; what a deadly month does to it is not modelled.
- Of each heap that is moved a share goes to the beds, wetted like the calculator's feed, but no more than the worms can eat:
  their day's feed for each day since the last, and of what they missed a week's worth at most. The rest is cured.
- In the beds solids fall at a first-order rate of their own, with the pace of curing through the months. Beds are kept as
  moist as they were fed; what dries beyond that and is watered back is not counted. All are emptied at once, on the working
  day on which the interval is over; then what is too moist dries off, what is too dry is wetted.
- Worms' own mass, moving the feed farther, feeding and harvesting take nothing: no account, no hours.
"""

from __future__ import annotations

import heapq
import math
from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from calculators.simulate.exactly import added, exp, log
from calculators.simulate.heat import temperature_factor
from calculators.simulate.worms import stock_after
from calculators.topics.arrivals import DAYS_IN_MONTH, DAYS_IN_YEAR
from calculators.topics.mix import water_to_add

SUBSTANCES = ("water", "dry solids", "carbon", "nitrogen")
LEAST_KG = 1e-9
"""Less than this is what rounding left of none."""
CURING_PACE = 1 / 3
"""How fast solids are degraded in curing against the first stage; chosen here."""
SETTLING_DAYS = 30
"""How much longer than a heap's whole stay the yard is walked before a steady start, for the crew and the last heaps."""
MADE_UP_DAYS = 7
"""So many days' feed, at most, that worms did not get do they eat later; chosen here."""
LATE_AFTER_DAYS = 1
"""A turning that waits longer than this past the first working day is told as late."""
MONTH_OF_DAY = tuple(month for month, days in enumerate(DAYS_IN_MONTH) for _ in range(days))


@dataclass(frozen=True)
class Outage:
    """A stretch of days on which something is missing: ``workers`` too few, or (0) the shredder does not run."""

    first_day: int
    days: int
    workers: int = 0


@dataclass(frozen=True)
class Scenario:
    """Everything that a walk needs, resolved. Day 0 is a Monday, 1 January; years have 365 days.

    Fractions are 0 to 1, of wet mass for moisture and of dry mass for the rest. ``waste_kg_by_day`` has a figure for each
    of ``days`` (365 to 1095, or any positive number in tests). Work is in worker-hours for each kilogram or cubic metre.
    """

    days: int
    waste_kg_by_day: tuple[float, ...]
    leaves_kg_per_day_by_month: tuple[float, ...]
    heap_m3: float
    stage_bays: int
    first_stage_days: int
    curing_days: int
    turning_interval_days: float
    start: Literal["empty", "steady"] = "empty"
    # what waste and leaves are
    waste_moisture_by_month: tuple[float, ...] = (0.75,) * 12
    leaf_moisture: float = 0.15
    waste_degradable: float = 0.5
    leaf_degradable: float = 0.3
    waste_carbon: float = 0.45
    leaf_carbon: float = 0.45
    waste_nitrogen: float = 0.025
    leaf_nitrogen: float = 0.009
    carbon_of_degraded: float = 0.45
    nitrogen_lost_of_degraded: float = 0.01
    # the recipe, for each kilogram of wet waste
    bulking_kg_per_kg: float = 0.3
    mix_water_l_per_kg: float = 0.0
    waste_m3_per_kg: float = 0.002
    bulking_m3_per_kg: float = 0.01
    holding_moisture: float = 0.65
    leaf_policy: Literal["buy", "stretch", "refuse"] = "buy"
    least_recipe_share: float = 1.0
    leaf_store_m3: float = 1e6
    leaf_density_kg_m3: float = 100.0
    leaf_start_kg: float = 0.0
    # what a heap does
    first_stage_rate_per_day: float = 0.02
    curing_rate_per_day: float = 0.01
    water_rate_per_day: float = 0.01
    volume_lost: float = 0.5
    shrinkage_rate_per_day: float = 0.025
    inside_c_by_month: tuple[tuple[float, ...], ...] = ()  # by the heap's age in days, for each of twelve months, or none
    merged_for_curing: bool = True
    heaps_per_bay: int = 1
    water_below_moisture: float = 0.45
    water_to_moisture: float = 0.55
    # water
    rain_mm_by_month: tuple[float, ...] = (0.0,) * 12
    outside_c_by_month: tuple[float, ...] = (25.0,) * 12
    roof_m2: float = 0.0
    run_off_coefficient: float = 0.85
    tank_l: float = 0.0
    tank_start_l: float = 0.0
    mains: bool = True
    wash_l_per_working_day: float = 0.0
    wash_to_sump: bool = False
    breathed_l_per_m3_by_month: tuple[float, ...] = (0.0,) * 12
    sump_l: float = 1_000.0
    sump_open_m2: float = 0.0
    sump_emptied_every_days: int = 7
    # work
    crew_present: int = 2
    usable_hours: float = 6.4
    shift_hours: float = 8.0
    rest_weekdays: tuple[int, ...] = ()
    outages: tuple[Outage, ...] = ()
    waste_hours_per_kg: float = 0.0
    leaf_hours_per_kg: float = 0.0
    shredded_share: float = 0.0
    shred_hours_per_kg: float = 0.0
    shredder_kg_per_hour: float = 500.0
    build_hours_per_m3: float = 0.0
    turn_hours_per_m3: float = 0.0
    move_hours_per_m3: float = 0.0
    screen_hours_per_kg: float = 0.0
    clean_hours_per_day: float = 0.0
    waiting_limit_kg: float = 1e9
    fine_share: float = 0.85
    most_sold_kg_per_day: float = 1e9
    # worm beds: none where a full stock is 0
    worm_full_kg: float = 0.0
    worm_start_kg: float = 1.0
    worm_doubling_days: float = 75.0
    worm_share: float = 0.0
    worm_feed_ratio: float = 0.75
    worm_feed_moisture: float = 0.75
    worm_idle_months: tuple[int, ...] = ()
    worm_rate_per_day: float = 0.01
    worm_harvest_days: int = 90
    worm_compost_moisture: float = 0.55
    # money, each None where the user gave none
    wage_per_hour: float | None = None
    leaf_price: float | None = None
    compost_price: float | None = None
    worm_compost_price: float | None = None
    bay_cost: float | None = None
    leaf_store_cost_per_m3: float | None = None
    tank_cost_per_m3: float | None = None

    def __post_init__(self) -> None:
        """Raise ``ValueError`` for what no walk could keep account of."""
        if self.days < 1 or len(self.waste_kg_by_day) != self.days:
            raise ValueError(f"there must be a figure of waste for each of {self.days} days")
        if self.heap_m3 <= 0 or self.first_stage_days < 1 or self.turning_interval_days < 1:
            raise ValueError("a heap needs a volume, a first stage and a turning interval of at least a day")
        if self.worm_full_kg > 0 and min(self.worm_start_kg, self.worm_doubling_days, self.worm_harvest_days) <= 0:
            raise ValueError("worms need a first stock, days in which it doubles, and days between harvests above 0")
        for degradable, carbon, nitrogen in (
            (self.waste_degradable, self.waste_carbon, self.waste_nitrogen),
            (self.leaf_degradable, self.leaf_carbon, self.leaf_nitrogen),
        ):
            if degradable * self.carbon_of_degraded > carbon or degradable * self.nitrogen_lost_of_degraded > nitrogen:
                raise ValueError("more carbon or nitrogen would leave with the degraded solids than there is")


@dataclass(frozen=True)
class HeapSpan:
    """A heap from its first load: days on which it was begun, full, and left its bay (moved, or screened in curing).

    ``None`` is not yet. ``kg`` is its mass when it was full, or as it stands.
    """

    stage: Literal["first", "curing"]
    bay: int
    begun: int
    full: int | None
    left: int | None
    kg: float


@dataclass(frozen=True)
class LedgerDay:
    """Kilograms of one substance by the end of a day, since the first: come in, gone out, and in stock."""

    came: float
    went: float
    stock: float


@dataclass(frozen=True)
class Record:
    """What a walk gave: a figure for each day under a name with its unit, the heaps, and totals.

    ``ledger`` is, for each day, a ``LedgerDay`` for each of ``SUBSTANCES``; ``stock_at_start`` are their kilograms before
    the first day. ``in_heaps_kg`` is what the heaps hold at the end, added heap by heap, in the same order.
    ``bagged_kg`` is the fine compost made. ``worm_fed_kg`` is feed as fed, ``worm_harvest_kg`` worm compost, both wet.
    """

    scenario: Scenario
    first_heaps: tuple[int, ...]
    curing_heaps: tuple[int, ...]
    bays_in_use: tuple[int, ...]
    refused_kg: tuple[float, ...]
    refused_for_bays_kg: tuple[float, ...]
    refused_for_leaves_kg: tuple[float, ...]
    refused_for_hours_kg: tuple[float, ...]
    waiting_kg: tuple[float, ...]
    leaf_store_m3: tuple[float, ...]
    leaves_bought_kg: tuple[float, ...]
    leaves_turned_away_kg: tuple[float, ...]
    recipe_share: tuple[float, ...]
    tank_l: tuple[float, ...]
    water_used_l: tuple[float, ...]
    mix_water_l: tuple[float, ...]
    mains_l: tuple[float, ...]
    water_short_l: tuple[float, ...]
    sump_l: tuple[float, ...]
    sump_over_l: tuple[float, ...]
    hours_needed: tuple[float, ...]
    hours_available: tuple[float, ...]
    hours_used: tuple[float, ...]
    hours_owed: tuple[float, ...]
    shredder_hours: tuple[float, ...]
    unshredded_kg: tuple[float, ...]
    turned_late: tuple[int, ...]
    latest_turning_days: tuple[int, ...]
    fine_stock_kg: tuple[float, ...]
    coarse_stock_kg: tuple[float, ...]
    worm_kg: tuple[float, ...]
    worm_fed_kg: tuple[float, ...]
    worm_beds_kg: tuple[float, ...]
    worm_harvest_kg: tuple[float, ...]
    worm_compost_stock_kg: tuple[float, ...]
    money: tuple[float, ...]
    ledger: tuple[tuple[LedgerDay, ...], ...]
    stock_at_start: tuple[float, ...]
    in_heaps_kg: tuple[float, ...]
    heaps: tuple[HeapSpan, ...]
    counts: tuple[tuple[str, int], ...]
    bagged_kg: float


_WHOLE = "tuple[int, ...]"
_NOUGHTS: dict[str, float] = {
    name: 0 if kind == _WHOLE else 0.0 for name, kind in Record.__annotations__.items()
    if kind in (_WHOLE, "tuple[float, ...]") and name not in ("stock_at_start", "in_heaps_kg")
}  # fmt: skip
DAILY = tuple(_NOUGHTS)
"""Names of the figures that a record has for each day."""


class _Batch:
    """A heap: what it holds as of ``day``."""

    __slots__ = ("bay", "begun", "carbon", "day", "degradable", "full", "kg", "left", "moist_until", "nitrogen", "stable",
                 "stage", "turns", "volume", "water")  # fmt: skip

    def __init__(self, stage: str, bay: int, day: int) -> None:
        self.stage, self.bay, self.begun, self.day = stage, bay, day, day
        self.full: int | None = None
        self.left: int | None = None
        self.volume = self.water = self.degradable = self.stable = self.carbon = self.nitrogen = self.kg = 0.0
        self.turns = 0
        self.moist_until = -1

    @property
    def mass(self) -> float:
        return self.water + self.degradable + self.stable


class _Bays:
    """Numbered bays, each holding heaps of one stage; the lowest number is taken first."""

    def __init__(self, bays: int, heaps_per_bay: int) -> None:
        self.free = list(range(bays))
        self.room = heaps_per_bay
        self.held: dict[int, int] = {}
        self.part: dict[str, list[int]] = {"first": [], "curing": []}

    def takes(self, stage: str) -> int:
        """How many more heaps of the stage find a place."""
        return len(self.free) * self.room + sum(self.room - self.held[bay] for bay in self.part[stage])

    def take(self, stage: str) -> int:
        part = self.part[stage]
        bay = min(part) if part else heapq.heappop(self.free)
        self.held[bay] = self.held.get(bay, 0) + 1
        if self.room > 1:
            if part and self.held[bay] == self.room:
                part.remove(bay)
            elif not part:
                part.append(bay)
        return bay

    def release(self, stage: str, bay: int) -> None:
        self.held[bay] -= 1
        part = self.part[stage]
        if self.held[bay] == 0:
            del self.held[bay]
            if bay in part:
                part.remove(bay)
            heapq.heappush(self.free, bay)
        elif bay not in part:
            part.append(bay)


class _Walk:
    """The state of a yard, and what a day does to it."""

    def __init__(self, scenario: Scenario) -> None:
        s = self.s = scenario
        self.bays = _Bays(s.stage_bays, s.heaps_per_bay)
        self.first_day = -_days_to_settle(s) if s.start == "steady" else 0
        self.spent = _rates_added_up(s, self.first_day)
        self.keep_water = exp(-s.water_rate_per_day)
        self.degradable = {"first": 0.0, "curing": 0.0}
        self.heap_water = self.heap_stable = self.heap_carbon = self.heap_nitrogen = 0.0
        self.standing = {"first": 0, "curing": 0}
        self.open: dict[str, _Batch | None] = {"first": None, "curing": None}
        self.spans: list[_Batch] = []
        self.moves: deque[_Batch] = deque()
        self.screens: deque[_Batch] = deque()
        self.turns: deque[tuple[_Batch, int, float]] = deque()
        self.due: dict[int, list[tuple[str, _Batch]]] = {}
        self.waiting_water = self.waiting_dry = 0.0
        self.leaves_kg = min(s.leaf_start_kg, s.leaf_store_m3 * s.leaf_density_kg_m3)
        self.tank, self.sump = min(s.tank_start_l, s.tank_l), 0.0
        self.fine = [0.0, 0.0, 0.0, 0.0]
        self.coarse = [0.0, 0.0, 0.0, 0.0]
        self.worm_kg = self.appetite = 0.0
        self.beds = [0.0, 0.0, 0.0, 0.0, 0.0]  # water, degradable, stable, carbon, nitrogen
        self.worm_compost = [0.0, 0.0, 0.0, 0.0]
        self.harvest_day: int | None = None
        self.keep_in_beds = [exp(-s.worm_rate_per_day * pace) for pace in _curing_paces(s)] if s.worm_full_kg > 0 else []
        self.debt = self.leaf_hours = self.turning_owed = self.unshredded = 0.0
        self.money = self.bagged = 0.0
        self.came = [0.0, 0.0, 0.0, 0.0]
        self.went = [0.0, 0.0, 0.0, 0.0]
        self.policy = s.leaf_policy
        self.counts = dict.fromkeys(("begun", "full", "moved", "cured begun", "cured full", "screened", "turned"), 0)
        longest = s.first_stage_days + 1
        self.turn_ages = turn_ages(s)
        self.left = [1 - s.volume_lost * (1 - exp(-s.shrinkage_rate_per_day * age)) for age in range(longest)]
        self.rain_l_m2 = [mm / days for mm, days in zip(s.rain_mm_by_month, DAYS_IN_MONTH, strict=True)]
        self.rests = frozenset(s.rest_weekdays)
        self.missing: dict[int, int] = {}
        self.stopped: set[int] = set()
        for outage in s.outages:
            for day in range(outage.first_day, outage.first_day + outage.days):
                if outage.workers:
                    self.missing[day] = self.missing.get(day, 0) + outage.workers
                else:
                    self.stopped.add(day)

    # -- accounts

    def stock(self) -> tuple[float, float, float, float]:
        """Kilograms of each substance in the yard."""
        s = self.s
        leaf_dry = self.leaves_kg * (1 - s.leaf_moisture)
        heaps = self.degradable["first"] + self.degradable["curing"] + self.heap_stable
        beds, worm_compost = self.beds, self.worm_compost
        return (
            self.waiting_water + self.leaves_kg * s.leaf_moisture + self.heap_water + self.tank + self.sump
            + self.fine[0] + self.coarse[0] + beds[0] + worm_compost[0],
            self.waiting_dry + leaf_dry + heaps + self.fine[1] + self.coarse[1] + beds[1] + beds[2] + worm_compost[1],
            self.waiting_dry * s.waste_carbon + leaf_dry * s.leaf_carbon + self.heap_carbon + self.fine[2] + self.coarse[2]
            + beds[3] + worm_compost[2],
            self.waiting_dry * s.waste_nitrogen + leaf_dry * s.leaf_nitrogen + self.heap_nitrogen + self.fine[3]
            + self.coarse[3] + beds[4] + worm_compost[3],
        )  # fmt: skip

    def _leaves(self, account: list[float], kg: float) -> None:
        dry = kg * (1 - self.s.leaf_moisture)
        account[0] += kg * self.s.leaf_moisture
        account[1] += dry
        account[2] += dry * self.s.leaf_carbon
        account[3] += dry * self.s.leaf_nitrogen

    def _waste(self, account: list[float], water: float, dry: float) -> None:
        account[0] += water
        account[1] += dry
        account[2] += dry * self.s.waste_carbon
        account[3] += dry * self.s.waste_nitrogen

    # -- a heap's own time

    def _to_date(self, heap: _Batch, day: int) -> None:
        passed = day - heap.day
        if passed:
            spent = self.spent[heap.stage]
            lost = heap.degradable * (1 - exp(spent[heap.day - self.first_day] - spent[day - self.first_day]))
            heap.degradable -= lost
            heap.carbon -= lost * self.s.carbon_of_degraded
            heap.nitrogen -= lost * self.s.nitrogen_lost_of_degraded
            heap.water *= exp(-self.s.water_rate_per_day * passed)
            heap.day = day

    def _night(self, day: int) -> None:
        """The losses of all heaps since the day before, at once."""
        lost = 0.0
        at = day - self.first_day
        if at == 0:
            return
        for stage, spent in self.spent.items():
            kept = self.degradable[stage] * exp(spent[at - 1] - spent[at])
            lost += self.degradable[stage] - kept
            self.degradable[stage] = kept
        dried = self.heap_water * (1 - self.keep_water)
        carbon, nitrogen = lost * self.s.carbon_of_degraded, lost * self.s.nitrogen_lost_of_degraded
        self.heap_water -= dried
        self.heap_carbon -= carbon
        self.heap_nitrogen -= nitrogen
        went = self.went
        went[0] += dried
        went[1] += lost
        went[2] += carbon
        went[3] += nitrogen

    def _add(self, heap: _Batch, day: int, parts: Sequence[float], share: float) -> None:
        """Put a share of a load (water, degradable, stable, carbon, nitrogen, volume) onto a heap."""
        self._to_date(heap, day)
        heap.water += parts[0] * share
        heap.degradable += parts[1] * share
        heap.stable += parts[2] * share
        heap.carbon += parts[3] * share
        heap.nitrogen += parts[4] * share
        heap.volume += parts[5] * share

    def _stand(self, parts: Sequence[float], stage: str, sign: float) -> None:
        """Count a load to the sums of what stands, or off them."""
        self.heap_water += sign * parts[0]
        self.degradable[stage] += sign * parts[1]
        self.heap_stable += sign * parts[2]
        self.heap_carbon += sign * parts[3]
        self.heap_nitrogen += sign * parts[4]

    def _pour(self, stage: str, day: int, parts: Sequence[float]) -> None:
        """Build a load into the open heap of a stage and as many new ones as it takes; the bays must be there."""
        self._stand(parts, stage, 1.0)
        volume = left = parts[5]
        if volume <= 0:
            return
        while left > volume * 1e-12:
            heap = self.open[stage]
            if heap is None:
                heap = self.open[stage] = _Batch(stage, self.bays.take(stage), day)
                self.spans.append(heap)
                self.standing[stage] += 1
                self.counts["begun" if stage == "first" else "cured begun"] += 1
            room = self.s.heap_m3 - heap.volume
            taken = min(room, left)
            self._add(heap, day, parts, taken / volume)
            left -= taken
            if heap.volume >= self.s.heap_m3 * (1 - 1e-9):
                self._full(heap, day)

    def _full(self, heap: _Batch, day: int) -> None:
        s = self.s
        heap.full, heap.kg = day, heap.mass
        self.open[heap.stage] = None
        if heap.stage == "first":
            self.counts["full"] += 1
            self.due.setdefault(day + s.first_stage_days, []).append(("move", heap))
            if self.turn_ages:
                heap.moist_until = self._moist_until(heap)
                self.due.setdefault(day + self.turn_ages[0], []).append(("turn", heap))
        else:
            self.counts["cured full"] += 1
            self.due.setdefault(day + s.curing_days, []).append(("screen", heap))

    def _moist_until(self, heap: _Batch) -> int:
        """The last day of a full heap's first stage if it does not dry below the moisture for watering in it, else -1.

        Water falls at one rate and solids at a slowing one, so the moisture may rise first and then falls: where both ends
        are moist enough, so is all between.
        """
        s = self.s
        stay = s.first_stage_days
        water = heap.water * exp(-s.water_rate_per_day * stay)
        spent = self.spent["first"]
        at = heap.day - self.first_day
        solids = heap.degradable * exp(spent[at] - spent[at + stay]) + heap.stable
        below = s.water_below_moisture
        moist = heap.water >= below * heap.mass and water >= below * (water + solids)
        return heap.day + stay if moist else -1

    def _plan_turn(self, heap: _Batch, day: int) -> None:
        """The next turning after today, unless the first stage ends before."""
        ages, full = self.turn_ages, heap.full or 0
        at = heap.turns + 1
        while at < len(ages) and full + ages[at] <= day:
            at += 1
        heap.turns = at
        if at < len(ages):
            self.due.setdefault(full + ages[at], []).append(("turn", heap))

    # -- worms

    def _worms(self, month: int) -> None:
        """A night in the beds, and a day's growth and hunger of the stock."""
        s, beds = self.s, self.beds
        if beds[1] > 0:
            lost = beds[1] * (1 - self.keep_in_beds[month])
            dried = beds[0] * lost / (beds[1] + beds[2])  # as moist as they were
            carbon, nitrogen = lost * s.carbon_of_degraded, lost * s.nitrogen_lost_of_degraded
            for place, gone in ((0, dried), (1, lost), (3, carbon), (4, nitrogen)):
                beds[place] -= gone
            for place, gone in enumerate((dried, lost, carbon, nitrogen)):
                self.went[place] += gone
        if self.worm_kg > 0 and month not in s.worm_idle_months:
            if self.worm_kg < s.worm_full_kg:
                self.worm_kg = stock_after(self.worm_kg, s.worm_full_kg, s.worm_doubling_days, 1)
            self.appetite += self.worm_kg * s.worm_feed_ratio

    def _to_worms(self, parts: Sequence[float], day: int, row: dict[str, float]) -> float:
        """Feed the worms of a moved heap (water, degradable, stable, carbon, nitrogen, …); the share of it that they got."""
        s = self.s
        mass = parts[0] + parts[1] + parts[2]
        if s.worm_full_kg <= 0 or mass <= 0 or MONTH_OF_DAY[day % DAYS_IN_YEAR] in s.worm_idle_months:
            return 0.0
        if self.worm_kg <= 0:
            self.worm_kg = s.worm_start_kg
            self.appetite = self.worm_kg * s.worm_feed_ratio
            self.harvest_day = day + s.worm_harvest_days
        poured = 0.0
        if parts[0] < s.worm_feed_moisture * mass:
            poured = water_to_add(mass, parts[0] / mass, s.worm_feed_moisture)
        share = min(s.worm_share, self.appetite / (mass + poured))
        if share <= 0:
            return 0.0
        got = self._draw(poured * share, row)
        for place in range(5):
            self.beds[place] += parts[place] * share
        self.beds[0] += got
        fed = mass * share + got
        row["worm_fed_kg"] += fed
        self.appetite = min(max(0.0, self.appetite - fed), self.worm_kg * s.worm_feed_ratio * MADE_UP_DAYS)
        return share

    def _harvest(self, day: int, row: dict[str, float]) -> None:
        """Empty the beds into the stock of worm compost, at the moisture at which it is harvested."""
        s, beds = self.s, self.beds
        self.harvest_day = day + s.worm_harvest_days
        solids = beds[1] + beds[2]
        held = solids * s.worm_compost_moisture / (1 - s.worm_compost_moisture)
        if beds[0] > held:
            self.went[0] += beds[0] - held
            beds[0] = held
        else:
            beds[0] += self._draw(held - beds[0], row)
        for place, kg in enumerate((beds[0], solids, beds[3], beds[4])):
            self.worm_compost[place] += kg
        row["worm_harvest_kg"] = beds[0] + solids
        self.beds = [0.0, 0.0, 0.0, 0.0, 0.0]

    # -- a day

    def day(self, day: int, row: dict[str, float]) -> None:
        """One day, from the night before it to its evening; what is worth keeping goes into ``row``."""
        s = self.s
        calendar = day % DAYS_IN_YEAR
        month = MONTH_OF_DAY[calendar]
        self._night(day)
        if self.keep_in_beds:
            self._worms(month)
        self._rain(month, row)
        # whole weeks before the first day, so that weekdays agree
        arriving = s.waste_kg_by_day[day if day >= 0 else day % min(s.days, 364)]
        moisture = s.waste_moisture_by_month[month]
        self.waiting_water += arriving * moisture
        self.waiting_dry += arriving * (1 - moisture)
        self._waste(self.came, arriving * moisture, arriving * (1 - moisture))
        self._receive_leaves(s.leaves_kg_per_day_by_month[month], row)
        needed = arriving * s.waste_hours_per_kg
        needed += self._fall_due(day)
        needed += s.leaves_kg_per_day_by_month[month] * s.leaf_hours_per_kg
        available = 0.0
        if day % 7 not in self.rests:
            present = max(0, s.crew_present - self.missing.get(day, 0))
            available = present * s.usable_hours
            needed += s.clean_hours_per_day
            self.money -= s.crew_present * s.shift_hours * (s.wage_per_hour or 0.0)
        if available > 0:
            needed += self._work(day, available, row)
        self._refuse_what_waits_too_long(row)
        if day % 7 not in self.rests:
            if self.harvest_day is not None and day >= self.harvest_day:
                self._harvest(day, row)
            self._sell(row)
        if s.sump_emptied_every_days and day % s.sump_emptied_every_days == s.sump_emptied_every_days - 1:
            self.went[0] += self.sump
            self.sump = 0.0
        row["hours_needed"] = needed
        row["hours_available"] = available

    def _rain(self, month: int, row: dict[str, float]) -> None:
        s, mm = self.s, self.rain_l_m2[month]
        if mm <= 0:
            return
        if s.tank_l:
            caught = s.roof_m2 * mm * s.run_off_coefficient
            self.came[0] += caught
            kept = min(caught, s.tank_l - self.tank)
            self.tank += kept
            self.went[0] += caught - kept
        if s.sump_open_m2:
            fallen = s.sump_open_m2 * mm
            self.came[0] += fallen
            self._into_sump(fallen, row)

    def _into_sump(self, litres: float, row: dict[str, float]) -> None:
        kept = min(litres, self.s.sump_l - self.sump)
        self.sump += kept
        if litres > kept:
            self.went[0] += litres - kept
            row["sump_over_l"] += litres - kept

    def _receive_leaves(self, kg: float, row: dict[str, float]) -> None:
        if kg <= 0:
            return
        s = self.s
        self._leaves(self.came, kg)
        kept = min(kg, max(0.0, s.leaf_store_m3 * s.leaf_density_kg_m3 - self.leaves_kg))
        self.leaves_kg += kept
        self.leaf_hours += kg * s.leaf_hours_per_kg
        if kept < kg:
            self._leaves(self.went, kg - kept)
            row["leaves_turned_away_kg"] += kg - kept

    def _fall_due(self, day: int) -> float:
        """Put what is due today onto the lists of work; its worker-hours."""
        s, hours = self.s, 0.0
        for kind, heap in self.due.pop(day, ()):
            if kind == "move":
                self.moves.append(heap)
                hours += heap.volume * self.left[s.first_stage_days] * s.move_hours_per_m3
            elif kind == "screen":
                self._to_date(heap, day)
                self.screens.append(heap)
                hours += heap.mass * s.screen_hours_per_kg
            elif heap.left is None:
                work = heap.volume * self.left[day - heap.full] * s.turn_hours_per_m3  # type: ignore[operator]
                self.turns.append((heap, day, work))
                self.turning_owed += work
                hours += work
        return hours

    def _work(self, day: int, available: float, row: dict[str, float]) -> float:
        """A working day: the hours spent, in order. Gives the hours that the mixing of the day takes."""
        s = self.s
        hours = available - self.debt
        self.debt = 0.0
        washed = self._draw(s.wash_l_per_working_day, row)
        if s.wash_to_sump:
            self._into_sump(washed, row)
        else:
            self.went[0] += washed
        hours -= s.clean_hours_per_day + self.leaf_hours
        self.leaf_hours = 0.0
        built, hours = self._mix(day, hours, row)
        while self.moves and hours > 0:
            heap = self.moves[0]
            if not self._can_move(heap):
                break
            self.moves.popleft()
            hours -= self._move(heap, day, row)
        while self.screens and hours > 0:
            hours -= self._screen(self.screens.popleft(), day)
        while self.turns and hours > 0:
            heap, due, work = self.turns.popleft()
            self.turning_owed -= work
            if heap.left is None:
                hours -= work
                self._turn(heap, due, day, row)
        if not self.turns:
            self.turning_owed = 0.0
        row["hours_used"] = available - max(hours, 0.0)
        if hours < 0:
            self.debt = -hours
        return built

    def _mix(self, day: int, hours: float, row: dict[str, float]) -> tuple[float, float]:
        """Mix and build what waits, as far as hours, leaves and bays go; refuse what can't be taken.

        Gives the hours of mixing and building alone, and the hours left.
        """
        s = self.s
        waiting = self.waiting_water + self.waiting_dry
        if waiting <= LEAST_KG:
            return 0.0, hours
        share = self._recipe_share(waiting)
        bulking = s.bulking_kg_per_kg * share
        m3_per_kg = s.waste_m3_per_kg + bulking * s.bulking_m3_per_kg
        runs = day not in self.stopped
        shredding = bulking * s.shredded_share * s.shred_hours_per_kg if runs else 0.0
        building = shredding + m3_per_kg * s.build_hours_per_m3
        each = s.waste_hours_per_kg + building
        for_hours = waiting if each <= 0 else min(waiting, max(0.0, hours) / each)
        for_leaves = for_hours
        if self.policy != "buy" and bulking > 0:
            for_leaves = min(for_hours, self.leaves_kg / bulking)
        opened = self.open["first"]
        places = self.bays.takes("first") * s.heap_m3 + (s.heap_m3 - opened.volume if opened else 0.0)
        kg = min(for_leaves, places / m3_per_kg)
        if kg > LEAST_KG:
            self._build(day, kg, waiting, bulking, m3_per_kg, runs, row)
            hours -= kg * each
        row["recipe_share"] = share
        row["refused_for_leaves_kg"] = for_hours - for_leaves
        row["refused_for_bays_kg"] = for_leaves - kg
        self._refuse(for_hours - kg, row)
        return kg * building, hours

    def _refuse_what_waits_too_long(self, row: dict[str, float]) -> None:
        over = self.waiting_water + self.waiting_dry - self.s.waiting_limit_kg
        if over > 0:
            row["refused_for_hours_kg"] = over
            self._refuse(over, row)

    def _refuse(self, kg: float, row: dict[str, float]) -> None:
        waiting = self.waiting_water + self.waiting_dry
        refused = min(kg, waiting)
        if refused <= 0:
            return
        water, dry = self.waiting_water * refused / waiting, self.waiting_dry * refused / waiting
        self.waiting_water -= water
        self.waiting_dry -= dry
        self._waste(self.went, water, dry)
        row["refused_kg"] += refused

    def _recipe_share(self, waiting: float) -> float:
        """The part of the recipe's bulking that there is for what waits: never below the least share."""
        s = self.s
        wanted = waiting * s.bulking_kg_per_kg
        if self.policy != "stretch" or wanted <= self.leaves_kg:
            return 1.0
        return max(s.least_recipe_share, self.leaves_kg / wanted)

    def _build(self, day: int, kg: float, waiting: float, bulking: float, m3_per_kg: float, runs: bool,
               row: dict[str, float]) -> None:  # fmt: skip
        s = self.s
        part = min(1.0, kg / waiting)
        water, dry = self.waiting_water * part, self.waiting_dry * part
        self.waiting_water -= water
        self.waiting_dry -= dry
        leaves = kg * bulking
        if leaves > self.leaves_kg:
            lacking = leaves - self.leaves_kg
            if self.policy == "buy":
                self._leaves(self.came, lacking)
                row["leaves_bought_kg"] = lacking
                self.money -= lacking * (s.leaf_price or 0.0)
            else:
                leaves = self.leaves_kg  # they differ by rounding alone
            self.leaves_kg = 0.0
        else:
            self.leaves_kg -= leaves
        shredded = leaves * s.shredded_share
        if runs:
            row["shredder_hours"] = shredded / s.shredder_kg_per_hour
        else:
            row["unshredded_kg"] = shredded
        leaf_dry = leaves * (1 - s.leaf_moisture)
        recipe = bulking / s.bulking_kg_per_kg if s.bulking_kg_per_kg else 1.0
        added = self._draw(kg * s.mix_water_l_per_kg * recipe, row, from_sump=True)
        row["mix_water_l"] = added
        wet = water + leaves * s.leaf_moisture + added
        solids = dry + leaf_dry
        held = solids * s.holding_moisture / (1 - s.holding_moisture)
        if wet > held:
            self._into_sump(wet - held, row)
            wet = held
        degradable = dry * s.waste_degradable + leaf_dry * s.leaf_degradable
        carbon = dry * s.waste_carbon + leaf_dry * s.leaf_carbon
        nitrogen = dry * s.waste_nitrogen + leaf_dry * s.leaf_nitrogen
        self._pour("first", day, (wet, degradable, solids - degradable, carbon, nitrogen, kg * m3_per_kg))

    def _draw(self, litres: float, row: dict[str, float], from_sump: bool = False) -> float:
        """Water from the sump (for a fresh mix only), the tank, then the mains; what there was of it."""
        if litres <= 0:
            return 0.0
        lacking = litres
        if from_sump and self.sump > 0:
            taken = min(lacking, self.sump)
            self.sump -= taken
            lacking -= taken
        taken = min(lacking, self.tank)
        self.tank -= taken
        lacking -= taken
        if lacking > 0:
            if self.s.mains:
                self.came[0] += lacking
                row["mains_l"] += lacking
                lacking = 0.0
            else:
                row["water_short_l"] += lacking
        row["water_used_l"] += litres - lacking
        return litres - lacking

    def _can_move(self, heap: _Batch) -> bool:
        s = self.s
        if s.curing_days == 0 or not s.merged_for_curing or self.bays.held[heap.bay] == 1:
            return True  # it stays where it is, or its own bay becomes free
        opened = self.open["curing"]
        room = s.heap_m3 - opened.volume if opened else 0.0
        return heap.volume * self.left[s.first_stage_days] <= room or self.bays.takes("curing") > 0

    def _move(self, heap: _Batch, day: int, row: dict[str, float]) -> float:
        """Out of the first stage, a share to worms; the worker-hours of it."""
        s = self.s
        self._to_date(heap, day)
        heap.left = day
        self.standing["first"] -= 1
        self.counts["moved"] += 1
        parts = (heap.water, heap.degradable, heap.stable, heap.carbon, heap.nitrogen,
                 heap.volume * self.left[s.first_stage_days])  # fmt: skip
        self._stand(parts, "first", -1.0)
        work = parts[5] * s.move_hours_per_m3
        share = self._to_worms(parts, day, row)
        if share >= 1:
            self.bays.release("first", heap.bay)
            return work
        if share:
            parts = tuple(part - part * share for part in parts)  # type: ignore[assignment]
        if s.curing_days and s.merged_for_curing:
            self.bays.release("first", heap.bay)
            self._pour("curing", day, parts)
        else:
            cured = _Batch("curing", heap.bay, day)
            self.standing["curing"] += 1
            self.counts["cured begun"] += 1
            self._stand(parts, "curing", 1.0)
            self._add(cured, day, parts, 1.0)
            self.spans.append(cured)
            opened = self.open["curing"]
            self._full(cured, day)
            self.open["curing"] = opened
            if not s.curing_days:
                self.due.pop(day, None)
                self.screens.append(cured)
        return work

    def _screen(self, heap: _Batch, day: int) -> float:
        s = self.s
        self._to_date(heap, day)
        parts = (heap.water, heap.degradable, heap.stable, heap.carbon, heap.nitrogen)
        mass = heap.mass
        heap.left = day
        self.standing["curing"] -= 1
        self.counts["screened"] += 1
        self.bays.release("curing" if s.curing_days and s.merged_for_curing else "first", heap.bay)
        self._stand(parts, "curing", -1.0)
        for index, kg in enumerate((heap.water, heap.degradable + heap.stable, heap.carbon, heap.nitrogen)):
            self.fine[index] += kg * s.fine_share
            self.coarse[index] += kg * (1 - s.fine_share)
        self.bagged += mass * s.fine_share
        return mass * s.screen_hours_per_kg

    def _turn(self, heap: _Batch, due: int, day: int, row: dict[str, float]) -> None:
        s = self.s
        if day > heap.moist_until:
            self._water(heap, day, row)
        breathed = s.breathed_l_per_m3_by_month[MONTH_OF_DAY[heap.begun % DAYS_IN_YEAR]]
        if breathed:  # drawn, and gone as vapour: the heap is no wetter for it
            self.went[0] += self._draw(heap.volume * breathed / len(self.turn_ages), row)
        self.counts["turned"] += 1
        if day > due:
            waited = sum(1 for passed in range(due, day) if passed % 7 not in self.rests)
            if waited > LATE_AFTER_DAYS:
                row["turned_late"] += 1
                row["latest_turning_days"] = max(row["latest_turning_days"], waited)
        self._plan_turn(heap, day)

    def _water(self, heap: _Batch, day: int, row: dict[str, float]) -> None:
        """Bring a heap that is too dry to the moisture wanted, as far as there is water."""
        s = self.s
        self._to_date(heap, day)
        if heap.water < s.water_below_moisture * heap.mass:
            got = self._draw(water_to_add(heap.mass, heap.water / heap.mass, s.water_to_moisture), row)
            heap.water += got
            self.heap_water += got

    def _sell(self, row: dict[str, float]) -> None:
        left = self.s.most_sold_kg_per_day
        for stock, price in ((self.fine, self.s.compost_price), (self.worm_compost, self.s.worm_compost_price)):
            held = stock[0] + stock[1]
            if held <= 0:
                continue
            sold = min(held, left)
            left -= sold
            for index in range(4):
                gone = stock[index] * sold / held
                stock[index] -= gone
                self.went[index] += gone
            self.money += sold * (price or 0.0)

    def owed(self) -> float:
        """Worker-hours of work that is due and not done, the rest of a job begun among them."""
        s = self.s
        moving = added(heap.volume for heap in self.moves) * self.left[s.first_stage_days] * s.move_hours_per_m3
        screening = added(heap.mass for heap in self.screens) * s.screen_hours_per_kg
        waiting = self.waiting_water + self.waiting_dry
        m3 = s.waste_m3_per_kg + s.bulking_kg_per_kg * s.bulking_m3_per_kg
        each = s.waste_hours_per_kg + s.bulking_kg_per_kg * s.shredded_share * s.shred_hours_per_kg + m3 * s.build_hours_per_m3
        return self.debt + self.leaf_hours + moving + screening + self.turning_owed + waiting * each

    def end_of_day(self, row: dict[str, float]) -> None:
        """Levels in the evening."""
        row["first_heaps"] = self.standing["first"]
        row["curing_heaps"] = self.standing["curing"]
        row["bays_in_use"] = len(self.bays.held)
        row["waiting_kg"] = self.waiting_water + self.waiting_dry
        row["leaf_store_m3"] = self.leaves_kg / self.s.leaf_density_kg_m3
        row["tank_l"] = self.tank
        row["sump_l"] = self.sump
        row["hours_owed"] = self.owed()
        row["fine_stock_kg"] = self.fine[0] + self.fine[1]
        row["coarse_stock_kg"] = self.coarse[0] + self.coarse[1]
        row["worm_kg"] = self.worm_kg
        row["worm_beds_kg"] = self.beds[0] + self.beds[1] + self.beds[2]
        row["worm_compost_stock_kg"] = self.worm_compost[0] + self.worm_compost[1]
        row["money"] = self.money


def first_stage_rate(lost_fraction: float, degradable: float, first_days: float, curing_days: float) -> float:
    """First-order rate (per day) in the first stage by which ``lost_fraction`` of dry solids is gone after both stages.

    Of the solids the fraction ``degradable`` can go; curing goes on at ``CURING_PACE``.
    """
    return -log(1 - lost_fraction / degradable) / (first_days + CURING_PACE * curing_days)


def turn_ages(s: Scenario) -> list[int]:
    """Days after a heap is full on which it falls due to be turned."""
    interval = s.turning_interval_days
    ages = [math.ceil(number * interval - 1e-9) for number in range(1, int(s.first_stage_days / interval) + 2)]
    return [age for age in dict.fromkeys(ages) if age < s.first_stage_days]


def watered_by_rule(s: Scenario, month: int) -> float:
    """Water (l) for each m³ that a heap of a month's mix, built in a day and turned on its days, gets for being too dry."""
    leaves = s.bulking_kg_per_kg
    moisture = s.waste_moisture_by_month[month]
    water = moisture + leaves * s.leaf_moisture + s.mix_water_l_per_kg
    dry, leaf_dry = 1 - moisture, leaves * (1 - s.leaf_moisture)
    water = min(water, (dry + leaf_dry) * s.holding_moisture / (1 - s.holding_moisture))
    degradable = dry * s.waste_degradable + leaf_dry * s.leaf_degradable
    stable = dry + leaf_dry - degradable
    rate, before, given = s.first_stage_rate_per_day * _first_stage_paces(s)[month], 0, 0.0
    for age in turn_ages(s):
        water *= exp(-s.water_rate_per_day * (age - before))
        mass = water + degradable * exp(-rate * age) + stable
        if water < s.water_below_moisture * mass:
            added_l = water_to_add(mass, water / mass, s.water_to_moisture)
            given += added_l
            water += added_l
        before = age
    return given / (s.waste_m3_per_kg + leaves * s.bulking_m3_per_kg)


def drying_rate(water_before: float, water_after: float, days: float) -> float:
    """First-order rate (per day) by which water falls from one amount to another (above 0); never below 0."""
    return max(0.0, log(water_before / water_after) / days)


def _paces(factors: Sequence[float]) -> list[float]:
    """Twelve months' factors over their mean of the year; all 1 where there is none."""
    mean = added(factor * days for factor, days in zip(factors, DAYS_IN_MONTH, strict=True)) / DAYS_IN_YEAR
    return [factor / mean if mean > 0 else 1.0 for factor in factors]


def _first_stage_paces(s: Scenario) -> list[float]:
    """How fast the first stage goes in each month: by the mean of the factor over the curve of the month's heaps."""
    means = []
    for curve in s.inside_c_by_month or ((),) * 12:
        hot = curve[: s.first_stage_days]
        means.append(added(map(temperature_factor, hot)) / len(hot) if hot else 1.0)
    return _paces(means)


def _curing_paces(s: Scenario) -> list[float]:
    """How fast curing goes in each month, by its outside temperature."""
    return _paces([temperature_factor(celsius) for celsius in s.outside_c_by_month])


def _rates_added_up(s: Scenario, first_day: int) -> dict[str, list[float]]:
    """By the end of each day from ``first_day``, the rates of each stage added up: what e is raised to, less the sign.

    It goes on for the length of a first stage after the last day.
    """
    first = [s.first_stage_rate_per_day * pace for pace in _first_stage_paces(s)]
    curing = [s.curing_rate_per_day * pace for pace in _curing_paces(s)]
    spent: dict[str, list[float]] = {"first": [0.0], "curing": [0.0]}
    for day in range(first_day + 1, s.days + s.first_stage_days):
        month = MONTH_OF_DAY[day % DAYS_IN_YEAR]
        spent["first"].append(spent["first"][-1] + first[month])
        spent["curing"].append(spent["curing"][-1] + curing[month])
    return spent


def run(scenario: Scenario) -> Record:
    """Walk through the days of a scenario. Raises nothing: what can't be done is refused, owed or short, and recorded."""
    walk = _Walk(scenario)
    _settle(walk)
    at_start = walk.stock()
    rows, ledger = [], []
    for row in _days(walk):
        rows.append(row)
        ledger.append(tuple(map(LedgerDay, walk.came, walk.went, walk.stock())))
    heaps = [0.0, 0.0, 0.0, 0.0]
    last = scenario.days - 1
    for heap in walk.spans:
        if heap.left is None:
            walk._to_date(heap, last)
            for index, kg in enumerate((heap.water, heap.degradable + heap.stable, heap.carbon, heap.nitrogen)):
                heaps[index] += kg
    return Record(
        scenario=scenario, ledger=tuple(ledger), stock_at_start=at_start, in_heaps_kg=tuple(heaps),
        heaps=tuple(
            HeapSpan(heap.stage, heap.bay, heap.begun, heap.full, heap.left, heap.kg or heap.mass) for heap in walk.spans
        ),
        counts=tuple(walk.counts.items()), bagged_kg=walk.bagged,
        **{name: tuple([row[name] for row in rows]) for name in DAILY},
    )  # type: ignore[arg-type]  # fmt: skip


def _days(walk: _Walk) -> Iterator[dict[str, float]]:
    """The figures of each day (``DAILY``), one after the other."""
    blank = _NOUGHTS | {"recipe_share": 1.0}
    for day in range(walk.s.days):
        row = blank.copy()
        walk.day(day, row)
        walk.end_of_day(row)
        yield row


def days(scenario: Scenario) -> Iterator[dict[str, float]]:
    """The figures that ``run`` would record for each day, one after the other, for whoever may stop before the end."""
    walk = _Walk(scenario)
    _settle(walk)
    return _days(walk)


def _days_to_settle(s: Scenario) -> int:
    return s.first_stage_days + s.curing_days + SETTLING_DAYS


def _settle(walk: _Walk) -> None:
    """Let the heaps pile up before the first day, leaves not counted; then stores as at a start, and the books at nought."""
    s = walk.s
    walk.policy = "buy"
    for day in range(walk.first_day, 0):
        walk.day(day, _NOUGHTS.copy())
    walk.policy = s.leaf_policy
    walk.leaves_kg = min(s.leaf_start_kg, s.leaf_store_m3 * s.leaf_density_kg_m3)
    walk.tank, walk.sump = min(s.tank_start_l, s.tank_l), 0.0
    walk.money = walk.bagged = 0.0
    walk.fine, walk.coarse, walk.worm_compost = [0.0] * 4, [0.0] * 4, [0.0] * 4
    walk.came, walk.went = [0.0] * 4, [0.0] * 4
    walk.counts = dict.fromkeys(walk.counts, 0)
    walk.spans = [heap for heap in walk.spans if heap.left is None]
