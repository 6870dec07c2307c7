"""The least-cost yard that still serves: bays, leaf store, crew and shredder in whole steps, tried in drawn years.

Every candidate is walked through the same drawn years (common random numbers: ``simulate.uncertain`` gives the same luck to
every yard of a seed), so candidates differ by what they are and not by chance. A year holds when no waste is refused on any
day and the crew never owes more than a stated number of its own days of work in the evening of a working day: a crew that
only builds and never turns would refuse nothing either. A candidate serves when enough of the years hold.

A year of a candidate costs what is built and, where bulking has a price, what is bought of it in the mean of the drawn years.
The search goes through the candidates from the least that each can cost up, and takes the cheapest that serves; without a
price that is the first. It stops when the least that the next can cost is above the best found (branch and bound). What is
bought is known only after a walk, so the bound has what must be bought at least: leaf fall, store and waste alone say so (see
``least_bought``). The search need not look at all candidates:

- A candidate is given up as soon as more years have failed than may. Years that failed are tried first the next time.
- Costs only rise with bays, store and crew, so for each store, crew and shredder one number of bays at a time waits in
  the queue, the cheapest first (ties: fewer bays, then a smaller store, fewer workers, a smaller shredder).
- Where a candidate fails, so does every one that has no more of anything. So, with all else as large as may be, a bisection
  first finds the least of each thing; for a crew whose turn has come, another finds the least bays. Both walk a part of the
  years only, the hardest, and so may come out too low but not too high. And where a candidate fails, the same bays and crew
  with the best store and shredder are tried: should they fail too, no other store or shredder need be.
- Where a candidate serves, more bays with the same store, crew and shredder cost more and do not buy less.

Only these last two rules take it that more is never worse. That is almost but not exactly so: a larger crew builds a heap a
day sooner and may fill the last bay a day sooner; with more bays, heaps move sooner and merge otherwise. ``tests/test_size.py``
counts how often (12 in 26 096 pairs, on random yards; in 3 of 777 pairs that serve, more bays bought less), and holds the
search against trying everything. Where it is not so, what is found still serves, since that is always tried in full, but a
yard cheaper by a step may have been left out.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import product

from calculators.simulate.exactly import added
from calculators.simulate.uncertain import LEAST_REFUSED, Ranges, Share, draw, hours_owed_in_evenings, share_of
from calculators.simulate.year import MONTH_OF_DAY, Record, Scenario, run
from calculators.topics.arrivals import DAYS_IN_YEAR


@dataclass(frozen=True)
class Shredder:
    """A shredder that can be had: what it takes (kg/h), what a year of it costs, and the worker-hours for each kilogram."""

    kg_per_hour: float
    hours_per_kg: float
    cost_per_year: float


@dataclass(frozen=True, order=True)
class Candidate:
    """Bays that heaps may take, and the places of leaf store and shredder in their lists, with the crew between them."""

    bays: int
    store: int
    crew: int
    shredder: int


@dataclass(frozen=True)
class Choices:
    """What may be built: bays and crew from and to (both meant), leaf stores in m³ and shredders, each from small to large.

    Raises ``ValueError`` where there is nothing to choose from, or a list does not rise.
    """

    bays: tuple[int, int]
    stores_m3: tuple[float, ...]
    crew: tuple[int, int]
    shredders: tuple[Shredder, ...]

    def __post_init__(self) -> None:
        for low, high in (self.bays, self.crew):
            if not 0 <= low <= high:
                raise ValueError("the first of two ends must not be above the second, nor below 0")
        takes = [shredder.kg_per_hour for shredder in self.shredders]
        hours = [-shredder.hours_per_kg for shredder in self.shredders]
        for rising in (self.stores_m3, takes, hours):
            if not rising or list(rising) != sorted(rising):
                raise ValueError("stores and shredders must be listed from small to large, and one of each at least")

    @property
    def number(self) -> int:
        """How many candidates there are."""
        low, high = self.bays
        return (high - low + 1) * len(self.outer)

    @property
    def outer(self) -> tuple[tuple[int, int, int], ...]:
        """Every store, crew and shredder together, as in ``Candidate``."""
        crews = range(self.crew[0], self.crew[1] + 1)
        return tuple(product(range(len(self.stores_m3)), crews, range(len(self.shredders))))


@dataclass(frozen=True)
class Rates:
    """What a year of each costs, in the user's money: never below 0. ``spare_per_bay`` are bays built besides, to turn into;
    ``bulking_kg`` is the price of a kilogram of bought bulking, 0 where there is none.

    Raises ``ValueError`` for a cost below 0.
    """

    bay: float
    worker: float
    store_m3: float
    spare_per_bay: float = 0.0
    bulking_kg: float = 0.0

    def __post_init__(self) -> None:
        if min(self.bay, self.worker, self.store_m3, self.spare_per_bay, self.bulking_kg) < 0:
            raise ValueError("a cost must not be below 0")


@dataclass(frozen=True)
class Service:
    """What must hold: in at least ``percent`` of ``years`` drawn from ``seed``, no waste is refused and the crew never owes
    more than ``most_owed_days`` of its own days of work."""

    percent: float = 95.0
    years: int = 100
    seed: int = 7
    most_owed_days: float = 2.0

    @property
    def may_fail(self) -> int:
        """How many of the years may fail."""
        return self.years - math.ceil(self.years * self.percent / 100 - 1e-9)


def built_bays(bays: int, rates: Rates) -> int:
    """Bays to build for so many that heaps take: the spare ones with them, rounded up."""
    return bays + math.ceil(bays * rates.spare_per_bay - 1e-9)


def cost_per_year(candidate: Candidate, choices: Choices, rates: Rates) -> float:
    """What a year of what is built of the candidate costs, in the user's money; bought bulking is not in it."""
    return (
        built_bays(candidate.bays, rates) * rates.bay
        + choices.stores_m3[candidate.store] * rates.store_m3
        + candidate.crew * rates.worker
        + choices.shredders[candidate.shredder].cost_per_year
    )


def as_built(base: Scenario, candidate: Candidate, choices: Choices) -> Scenario:
    """The scenario with what the candidate has; the leaf store starts as full, for its size, as in ``base``."""
    store = choices.stores_m3[candidate.store]
    shredder = choices.shredders[candidate.shredder]
    full = base.leaf_start_kg / (base.leaf_store_m3 * base.leaf_density_kg_m3) if base.leaf_store_m3 > 0 else 0.0
    return replace(
        base, stage_bays=candidate.bays, crew_present=candidate.crew, leaf_store_m3=store,
        leaf_start_kg=min(1.0, full) * store * base.leaf_density_kg_m3, shredder_kg_per_hour=shredder.kg_per_hour,
        shred_hours_per_kg=shredder.hours_per_kg,
    )  # fmt: skip


def bought_in_a_walk(scenario: Scenario) -> float:
    """Bulking (kg) that must be bought in a walk at the least, whatever the bays, crew and shredder, if no waste is refused.

    Were all waste built on its day, the store's level would tell what is bought. Between two days on which the store overflows
    a yard that builds later cannot buy less but by what still waits, and no more than ``waiting_limit_kg`` may wait.
    """
    if scenario.leaf_policy != "buy":
        return 0.0
    full = scenario.leaf_store_m3 * scenario.leaf_density_kg_m3
    level = min(scenario.leaf_start_kg, full)
    spared = scenario.waiting_limit_kg * scenario.bulking_kg_per_kg
    surely = bought = 0.0
    for day, kg in enumerate(scenario.waste_kg_by_day):
        level += scenario.leaves_kg_per_day_by_month[MONTH_OF_DAY[day % DAYS_IN_YEAR]]
        if level >= full:
            level = full
            surely += max(0.0, bought - spared)
            bought = 0.0
        level -= kg * scenario.bulking_kg_per_kg
        if level < 0:
            bought -= level
            level = 0.0
    return surely + max(0.0, bought - spared)


@lru_cache(maxsize=4)
def least_bought(base: Scenario, ranges: Ranges, choices: Choices, service: Service) -> tuple[float, ...]:
    """For each leaf store, the least bulking (kg) that a candidate which serves buys in the mean of the drawn years.

    Years that may fail may refuse waste and buy none: those that would buy most are left out. A kilogram is left for rounding.
    """
    low = Candidate(choices.bays[0], 0, choices.crew[0], 0)
    years = [draw(as_built(base, low, choices), ranges, service.seed, number)[1] for number in range(service.years)]
    found = []
    for place in range(len(choices.stores_m3)):
        built = as_built(base, replace(low, store=place), choices)
        kept = [
            bought_in_a_walk(replace(year, leaf_store_m3=built.leaf_store_m3, leaf_start_kg=built.leaf_start_kg))
            for year in years
        ]
        surely = sorted(kept)[: service.years - service.may_fail]
        found.append(max(0.0, added(surely) / service.years * (1 - 1e-9) - 1.0))
    return tuple(found)


def year_holds(record: Record, service: Service) -> bool:
    """Whether a year refused nothing and its crew kept up."""
    scenario = record.scenario
    limit = service.most_owed_days * scenario.crew_present * scenario.usable_hours
    return max(record.refused_kg) <= LEAST_REFUSED and hours_owed_in_evenings(record) <= limit + 1e-9


class OutOfWalks(Exception):
    """As many years were walked as were allowed; ``Trials.kept`` goes on from there."""


@dataclass
class Trials:
    """Walks of candidates through drawn years, each made once.

    ``kept`` holds, for each candidate, a letter for each year: ``+`` held, ``-`` failed, ``.`` not walked. ``bought`` holds
    the bulking bought in its years walked, each in whole kilograms, so that their order does not matter. ``walks`` counts the
    years walked here, and ``OutOfWalks`` is raised once there are ``most_walks``.
    """

    base: Scenario
    ranges: Ranges
    choices: Choices
    service: Service
    kept: dict[Candidate, str] = field(default_factory=dict)
    bought: dict[Candidate, int] = field(default_factory=dict)
    most_walks: int | None = None
    walks: int = 0

    def __post_init__(self) -> None:
        self._order = list(range(self.service.years))

    def _holds_in(self, candidate: Candidate, number: int) -> bool:
        known = self.kept.get(candidate, "." * self.service.years)
        if known[number] == ".":
            if self.most_walks is not None and self.walks >= self.most_walks:
                raise OutOfWalks
            self.walks += 1
            scenario = draw(as_built(self.base, candidate, self.choices), self.ranges, self.service.seed, number)[1]
            record = run(scenario)
            letter = "+" if year_holds(record, self.service) else "-"
            kg = math.floor(added(record.leaves_bought_kg) + 0.5)
            self.bought[candidate] = self.bought.get(candidate, 0) + kg
            self.kept[candidate] = known = known[:number] + letter + known[number + 1 :]
        return known[number] == "+"

    def fails(self, candidate: Candidate, most_years: int | None = None) -> bool:
        """Whether more of the years fail than may, among the first ``most_years`` in the order of trial (all, if ``None``).

        Stops at the first that is too many. Years that failed are put first for the next candidate.
        """
        failed: list[int] = []
        for number in self._order[:most_years]:
            if not self._holds_in(candidate, number):
                failed.append(number)
                if len(failed) > self.service.may_fail:
                    break
        first = set(failed)
        self._order = failed + [number for number in self._order if number not in first]
        return len(failed) > self.service.may_fail

    def mean_bought(self, candidate: Candidate) -> float:
        """Bulking (kg) bought in the mean of the years by a candidate that was tried in full."""
        return self.bought[candidate] / self.service.years

    def share(self, candidate: Candidate) -> Share:
        """The share of years in which a candidate holds that was tried in full."""
        return share_of(self.kept[candidate].count("+"), self.service.years)

    @property
    def total(self) -> int:
        """How many years were walked for all that is kept."""
        return sum(len(letters) - letters.count(".") for letters in self.kept.values())


@dataclass(frozen=True)
class Sized:
    """The yard found: what it is, a year's cost, bought bulking in it, in how many of the years it held; the work of finding it.

    ``bought_kg`` is bulking bought in the mean of the years, ``bought_cost`` what it costs (0 without a price).
    """

    candidate: Candidate
    bays_built: int
    leaf_store_m3: float
    shredder: Shredder
    cost: float
    bought_kg: float
    bought_cost: float
    share: Share
    walks: int
    tried: int
    candidates: int


Outer = tuple[int, int, int]
"""A store, crew and shredder, as in ``Candidate``."""
SAMPLE = 0.25
"""The part of the years that a bisection walks: chosen here, for speed; a larger part gives closer bounds."""


def _no_more(one: Sequence[int], other: Sequence[int]) -> bool:
    return all(a <= b for a, b in zip(one, other, strict=True))


def least_cost(trials: Trials, rates: Rates) -> Sized | None:
    """The cheapest candidate that serves, or ``None`` where the largest does not. Raises ``OutOfWalks``."""
    choices, high = trials.choices, trials.choices.bays[1]
    sample = max(2 * (trials.service.may_fail + 1), math.ceil(trials.service.years * SAMPLE))
    floor = _least_of_each(trials, sample)
    if floor is None:
        return None
    priced = rates.bulking_kg > 0
    surely_bought = (
        least_bought(trials.base, trials.ranges, choices, trials.service) if priced else (0.0,) * len(choices.stores_m3)
    )
    best_found: tuple[float, Candidate] | None = None
    surely: dict[Outer, int] = {}  # for a store, crew and shredder: so many bays are known to fail
    looked: set[Outer] = set()
    queue: list[tuple[float, Candidate]] = []

    def fails(bays: int, outer: Outer, most_years: int | None = None) -> bool:
        return trials.fails(Candidate(bays, *outer), most_years)

    def wait(bays: int, outer: Outer) -> None:
        if bays <= high:
            candidate = Candidate(bays, *outer)
            least = cost_per_year(candidate, choices, rates) + surely_bought[candidate.store] * rates.bulking_kg
            heapq.heappush(queue, (least, candidate))

    def all_fail_above(outer: Outer) -> bool:
        """Whether even the most bays fail; asked once for each."""
        asked = outer in looked
        looked.add(outer)
        return not asked and fails(high, outer)

    for outer in choices.outer:
        if _no_more((floor.store, floor.crew, floor.shredder), outer):
            wait(floor.bays, outer)
    bounded: set[int] = set()
    while queue and (best_found is None or queue[0] < best_found):
        _, candidate = heapq.heappop(queue)
        bays, crew = candidate.bays, candidate.crew
        outer = (candidate.store, crew, candidate.shredder)
        best = (len(choices.stores_m3) - 1, crew, len(choices.shredders) - 1)  # what fails with these fails with any
        known = max((each for other, each in surely.items() if _no_more(outer, other)), default=-1)
        if bays <= known:
            wait(known + 1, outer)
        elif crew not in bounded:
            bounded.add(crew)
            surely[best] = _bisected(bays, high, lambda value, at=best: fails(value, at, sample))  # type: ignore[misc]
            wait(max(bays, surely[best] + 1), outer)
        elif not trials.fails(candidate):
            found = (_cost(candidate, trials, rates), candidate)
            best_found = found if best_found is None else min(best_found, found)
        else:
            at_fault = best if fails(bays, best) else outer
            surely[at_fault] = high if all_fail_above(at_fault) else bays
            wait(surely[at_fault] + 1, outer)
    return None if best_found is None else _sized(best_found[1], trials, rates)


def _cost(candidate: Candidate, trials: Trials, rates: Rates) -> float:
    """A year's cost of a candidate tried in full, with what it buys."""
    return cost_per_year(candidate, trials.choices, rates) + trials.mean_bought(candidate) * rates.bulking_kg


def _least_of_each(trials: Trials, sample: int) -> Candidate | None:
    """The least of each thing with which, all else being the largest, a candidate may serve; ``None`` where none may."""
    choices = trials.choices
    largest = Candidate(choices.bays[1], len(choices.stores_m3) - 1, choices.crew[1], len(choices.shredders) - 1)
    if trials.fails(largest, sample):
        return None
    floor = largest
    for name, low in (("crew", choices.crew[0]), ("bays", choices.bays[0]), ("store", 0), ("shredder", 0)):
        high = getattr(largest, name)
        fails = lambda value, name=name: trials.fails(replace(largest, **{name: value}), sample)  # noqa: E731
        floor = replace(floor, **{name: _bisected(low, high, fails) + 1})
    return floor


def _bisected(low: int, high: int, fails: Callable[[int], bool]) -> int:
    """The most that fails, from ``low`` − 1 (none of them) to ``high``, taking it that all below fail too."""
    below, above = low - 1, high + 1
    middle = high  # the largest first: where it fails, one trial tells all
    while above - below > 1:
        below, above = (middle, above) if fails(middle) else (below, middle)
        middle = (below + above) // 2
    return below


def _sized(candidate: Candidate, trials: Trials, rates: Rates) -> Sized:
    choices, bought = trials.choices, trials.mean_bought(candidate)
    return Sized(
        candidate, built_bays(candidate.bays, rates), choices.stores_m3[candidate.store], choices.shredders[candidate.shredder],
        _cost(candidate, trials, rates), bought, bought * rates.bulking_kg, trials.share(candidate), trials.total, len(trials.kept), choices.number,
    )  # fmt: skip


def cheapest_of_all(trials: Trials, rates: Rates) -> Sized | None:
    """The same answer by trying every candidate in full, with nothing left out: for checks, and for small yards."""
    low, high = trials.choices.bays
    every = [Candidate(bays, *outer) for outer in trials.choices.outer for bays in range(low, high + 1)]
    serving = [
        (_cost(candidate, trials, rates), candidate) for candidate in every
        if not _fails_in_full(trials, candidate)
    ]
    if not serving:
        return None
    return _sized(min(serving)[1], trials, rates)


def _fails_in_full(trials: Trials, candidate: Candidate) -> bool:
    held = [trials._holds_in(candidate, number) for number in range(trials.service.years)]
    return held.count(False) > trials.service.may_fail


# ---- to hand on between requests -------------------------------------------------------------------------------


def to_state(trials: Trials) -> dict[str, str]:
    """What was tried, as names with letters and kilograms bought, for JSON."""
    return {
        f"{c.bays} {c.store} {c.crew} {c.shredder}": f"{letters} {trials.bought[c]}" for c, letters in trials.kept.items()
    }


def from_state(state: Mapping[str, str], service: Service) -> tuple[dict[Candidate, str], dict[Candidate, int]]:
    """What was tried, read back: letters and kilograms bought. Raises ``ValueError`` for what can't be that."""
    kept, bought = {}, {}
    for name, told in state.items():
        numbers = name.split(" ")
        if len(numbers) != 4 or not all(_is_whole(number) for number in numbers):
            raise ValueError(f"{name[:40]!r} is no candidate")
        letters, _, kg = told.partition(" ")
        if len(letters) != service.years or set(letters) - set("+-.") or not _is_whole(kg):
            raise ValueError(f"{told[:40]!r} does not tell {service.years} years")
        candidate = Candidate(*map(int, numbers))
        kept[candidate], bought[candidate] = letters, int(kg)
    return kept, bought


def _is_whole(word: str) -> bool:
    return word.isascii() and word.isdigit() and len(word) <= 15
