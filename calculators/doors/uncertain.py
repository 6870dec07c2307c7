"""The door to drawn years: one request of a page walks a few of them and hands back what the next request goes on with.

``request["uncertain"]`` holds ``seed`` and ``draws`` (as typed), ``done`` (the ``state`` of the reply before, or nothing)
and ``stop`` (show what there is and walk no more). A reply holds ``state``, ``done`` and ``of`` (steps: a year, or a factor
moved by itself), ``said`` in words, and once all is done or stopped ``nodes``. A state of another plan or seed, or one that is
damaged, is passed over, and the walk begins again. Where there is nothing to walk, ``stopped`` says why.

``request["size"]`` asks likewise for the least-cost yard: its prices by the names of ``PRICES``, as typed, and ``done``.
"""

from __future__ import annotations

import json
import math
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import astuple
from typing import Any

from calculators.declare import Answer, CannotSolve
from calculators.drawn_years import scenario_of
from calculators.entries import Refused, read
from calculators.plan import Evaluated, Plan
from calculators.simulate.size import (
    Candidate,
    Choices,
    OutOfWalks,
    Rates,
    Service,
    Shredder,
    Trials,
    from_state,
    least_cost,
    to_state,
)  # fmt: skip
from calculators.simulate.uncertain import (
    MEASURES,
    MONTHLY,
    MOST_SEED,
    Outcome,
    Ranges,
    Swing,
    bands,
    figures_at,
    handbook_ranges,
    influences,
    one_at_a_time,
    walk_years,
)
from calculators.simulate.year import Scenario
from calculators.view import uncertain as view
from calculators.view.elements import Element, to_data

YEARS_AT_ONCE = 5
FACTORS_AT_ONCE = 2
"""So little for one request that a page can stop soon, on a slow telephone too."""
DEFAULT_DRAWS, DEFAULT_SEED = 200, 7
MOST_DRAWS = 1_000
SEED = Answer("seed", "count", "Seed", "1", DEFAULT_SEED, 0, MOST_SEED)
DRAWS = Answer("draws", "count", "Years", "1", DEFAULT_DRAWS, 1, MOST_DRAWS)


# ---- what is handed on ----------------------------------------------------------------------------------------


def _mark(base: Scenario, seed: int) -> str:
    """Tells whether a state belongs to a plan and seed."""
    return f"{zlib.crc32(repr((base, seed)).encode()):08x}"


def _numbers(held: Any, length: int) -> tuple[float, ...] | None:
    """So many finite numbers, or ``None``."""
    if not isinstance(held, list) or len(held) != length:
        return None
    if not all(type(item) in (int, float) and math.isfinite(item) for item in held):
        return None
    return tuple(float(item) for item in held)


def _outcome(held: Any, ranges: Ranges) -> Outcome | None:
    if not isinstance(held, list) or len(held) != 3 or not isinstance(held[2], list) or len(held[2]) != len(MONTHLY):
        return None
    factors, figures = _numbers(held[0], len(ranges.year)), _numbers(held[1], len(MEASURES))
    months = [_numbers(series, 12) for series in held[2]]
    if factors is None or figures is None or None in months:
        return None
    return Outcome(factors, figures, tuple(months))  # type: ignore[arg-type]


def _swing(held: Any, place: int, ranges: Ranges) -> Swing | None:
    ends = [_numbers(end, len(MEASURES)) for end in held] if isinstance(held, list) and len(held) == 2 else [None]
    if None in ends:
        return None
    return Swing(ranges.year[place], *ends)  # type: ignore[arg-type]


def _taken_up(state: Any, mark: str, draws: int, ranges: Ranges) -> tuple[list[Outcome], list[Swing]]:
    """The years and swings of a state, or none where it is not this plan's or can't be read."""
    if not isinstance(state, dict) or state.get("mark") != mark:
        return [], []
    years, moved = state.get("years"), state.get("swings")
    if not isinstance(years, list) or not isinstance(moved, list) or len(years) > draws or len(moved) > len(ranges.year):
        return [], []
    outcomes = [_outcome(held, ranges) for held in years]
    swings = [_swing(held, place, ranges) for place, held in enumerate(moved)]
    if None in outcomes or None in swings:
        return [], []
    return outcomes, swings  # type: ignore[return-value]


def _as_state(mark: str, outcomes: Sequence[Outcome], swings: Sequence[Swing]) -> dict[str, Any]:
    return {"mark": mark, "years": [_plain(each) for each in outcomes], "swings": [[each.low, each.high] for each in swings]}


def _plain(each: Outcome) -> list[Any]:
    return [each.factors, each.figures, each.months]


# ---- one request ----------------------------------------------------------------------------------------------


def reply(request: Mapping[str, Any], plan: Plan) -> dict[str, Any]:
    """Answer one request of a page about the plan that it holds. Never raises for anything typed."""
    asked = request.get("uncertain")
    asked = asked if isinstance(asked, dict) else {}
    try:
        seed, draws = read(SEED, asked.get("seed", DEFAULT_SEED)), read(DRAWS, asked.get("draws", DEFAULT_DRAWS))
        base = scenario_of(plan.evaluate())
    except Refused as refused:
        return {"stopped": " ".join(problem.message for problem in refused.problems)}
    except CannotSolve as error:
        return {"stopped": error.message}
    ranges, mark = handbook_ranges(), _mark(base, seed)
    outcomes, swings = _taken_up(asked.get("done"), mark, draws, ranges)
    stop = asked.get("stop") is True
    if not stop:
        _go_on(base, ranges, seed, draws, outcomes, swings)
    of = draws + len(ranges.year)
    done = len(outcomes) + len(swings)
    found: dict[str, Any] = {
        "state": _as_state(mark, outcomes, swings), "done": done, "of": of, "said": _said(outcomes, draws, done == of),
    }  # fmt: skip
    if stop or done == of:
        nodes = shown(plan, base, ranges, seed, outcomes, swings)
        found["nodes"] = [to_data(node) for node in nodes]
    if "nodes" in found and outcomes:
        found["whose"] = f"The years below are {len(outcomes)} of {plan.title}, drawn in this page."
    return found


def _go_on(base: Scenario, ranges: Ranges, seed: int, draws: int, outcomes: list[Outcome], swings: list[Swing]) -> None:
    """Walk a few years more; once they are all walked, move a few factors."""
    if len(outcomes) < draws:
        outcomes += walk_years(base, ranges, seed, len(outcomes), min(draws, len(outcomes) + YEARS_AT_ONCE))
    else:
        numbers = range(len(swings), min(len(ranges.year), len(swings) + FACTORS_AT_ONCE))
        swings += one_at_a_time(base, ranges, seed, numbers)


def _said(outcomes: Sequence[Outcome], draws: int, done: bool) -> str:
    held = bands(outcomes).no_refusal.held if outcomes else 0
    so_far = f"{len(outcomes)} of {draws} years walked ({100 * len(outcomes) // draws} %); no waste refused in {held} of them."
    return f"Done: {so_far}" if done else f"{so_far} Now each thing by itself." if len(outcomes) == draws else so_far


def shown(plan: Plan, base: Scenario, ranges: Ranges, seed: int, outcomes: Sequence[Outcome],
          swings: Sequence[Swing]) -> list[Element]:  # fmt: skip
    """The trees of what was walked; none without a year."""
    if not outcomes:
        return []
    return view.result(outcomes, swings, figures_at(base, ranges, seed, {}) if swings else (), ranges, plan.shown)


def on_page(plan: Plan, years: int) -> Element:
    """The place on a page with so many years of a plan, walked now. Raises ``CannotSolve``."""
    scenario, ranges = scenario_of(plan.evaluate()), handbook_ranges()
    outcomes = list(walk_years(scenario, ranges, DEFAULT_SEED, 0, years))
    swings = list(one_at_a_time(scenario, ranges, DEFAULT_SEED))
    nodes = shown(plan, scenario, ranges, DEFAULT_SEED, outcomes, swings)
    return view.block(nodes, plan.title, years, DEFAULT_DRAWS, DEFAULT_SEED)


# ---- the least-cost yard --------------------------------------------------------------------------------------

WALKS_AT_ONCE = 6
SHREDDER_TIMES = (0.5, 1.0, 2.0)
STORE_TIMES = (0.25, 0.5, 1.0, 2.0, 4.0)
"""Sizes that are tried, in times the plan's: chosen here."""
SERVICE = Service()
PRICES = tuple(
    Answer(name, "number", label, "money", example, 0, 1e9)
    for name, label, example in (
        ("bay", "A bay, a year", 120.0), ("worker", "A worker, a year", 2500.0),
        ("store", "A cubic metre of leaf store, a year", 4.0),
        ("shredder_small", "A shredder of half the plan's size, a year", 150.0),
        ("shredder_same", "A shredder of the plan's size, a year", 300.0),
        ("shredder_large", "A shredder of twice the plan's size, a year", 600.0),
    )
)  # fmt: skip
"""What a year of each costs; the defaults are invented for the example yard."""


def choices_of(evaluated: Evaluated, base: Scenario, prices: Sequence[float]) -> Choices:
    """What is tried for a yard: bays and crew from one to twice the plan's and three, stores and shredders in steps.

    ``prices`` are those of the shredders, from small to large. Each takes as many hands as the plan's, and who feeds it is no
    faster at a larger one than by the plan's rate.
    """
    answers = evaluated.step("year").standings
    rate, hands = answers["shred_rate"].value, answers["shredder_hands"].value
    sizes = [base.shredder_kg_per_hour * times for times in SHREDDER_TIMES]
    return Choices(
        (1, 2 * base.stage_bays + 3), tuple(base.leaf_store_m3 * times for times in STORE_TIMES),
        (1, 2 * base.crew_present + 3),
        tuple(Shredder(size, 1 / min(rate, size / hands), price) for size, price in zip(sizes, prices, strict=True)),
    )  # fmt: skip


def _rates(evaluated: Evaluated, base: Scenario, prices: Sequence[float]) -> Rates:
    spare = evaluated.results["bays"].outputs.spare_bays if "bays" in evaluated.results else 0
    bulking = base.leaf_price or 0.0 if base.leaf_policy == "buy" else 0.0
    return Rates(*prices[:3], spare / base.stage_bays if base.stage_bays else 0.0, bulking)


def size_reply(request: Mapping[str, Any], plan: Plan) -> dict[str, Any]:
    """Answer one request of a page about the least-cost yard for its plan. Never raises for anything typed."""
    asked = request.get("size")
    asked = asked if isinstance(asked, dict) else {}
    prices, wrong = [], []
    for price in PRICES:
        try:
            prices.append(float(read(price, asked.get(price.name, price.default), plan.entered_in)))
        except Refused as refused:
            wrong += [problem.message for problem in refused.problems]
    if wrong:
        return {"stopped": " ".join(wrong)}
    evaluated = plan.evaluate()
    try:
        base = scenario_of(evaluated)
    except CannotSolve as error:
        return {"stopped": error.message}
    choices, rates = choices_of(evaluated, base, prices[3:]), _rates(evaluated, base, prices)
    mark = f"{zlib.crc32(repr((base, choices, SERVICE)).encode()):08x}"
    trials = Trials(base, handbook_ranges(), choices, SERVICE, *_kept(asked.get("done"), mark), WALKS_AT_ONCE)
    found: dict[str, Any] = {"of": None}
    try:
        if asked.get("stop") is not True:
            sized = least_cost(trials, rates)
            found["nodes"] = [to_data(node) for node in view.size_found(sized, SERVICE.percent, plan.shown, base.leaf_policy == "buy")]
            found["whose"] = f"The least-cost yard for {plan.title}, searched in this page."
    except OutOfWalks:
        pass  # the next request goes on
    if asked.get("stop") is True:
        found["nodes"] = []
    return found | {
        "state": {"mark": mark, "kept": to_state(trials)}, "done": trials.total,
        "said": f"{trials.total} years walked, of {len(trials.kept)} yards out of {choices.number}.",
    }  # fmt: skip


def _kept(state: Any, mark: str) -> tuple[dict[Candidate, str], dict[Candidate, int]]:
    """What a state says was tried, or nothing where it is not this search's or can't be read."""
    kept = state.get("kept") if isinstance(state, dict) and state.get("mark") == mark else None
    if not isinstance(kept, dict) or not all(isinstance(letters, str) for letters in kept.values()):
        return {}, {}
    try:
        return from_state(kept, SERVICE)
    except ValueError:
        return {}, {}


def size_on_page() -> Element:
    """The place on a page where the least-cost yard is searched."""
    return view.size_block(PRICES, SERVICE.percent, SERVICE.years)


# ---- for checks that compare runtimes -------------------------------------------------------------------------


def walk_all(text: str) -> str:
    """A JSON list of {"answers", "example", "seed", "draws"} in; for each its years, bands, correlations and share out."""
    found = []
    ranges = handbook_ranges()
    for asked in json.loads(text):
        base = scenario_of(Plan(asked["answers"], asked.get("example")).evaluate())
        outcomes = list(walk_years(base, ranges, asked["seed"], 0, asked["draws"]))
        told = bands(outcomes)
        found.append({
            "years": [_plain(each) for each in outcomes],
            "bands": [told.figures, told.months],
            "correlations": [
                [[each.factor.key, each.correlation] for each in influences(outcomes, ranges, place)]
                for place in range(len(MEASURES))
            ],
            "share": [told.no_refusal.held, told.no_refusal.low, told.no_refusal.high],
        })  # fmt: skip
    return json.dumps(found)


def size_all(text: str) -> str:
    """A JSON list of {"answers", "example", "seed", "years", "percent", "bays", "stores_m3", "crew", "shredders", "rates"} in;
    for each the yard found, every walk that it took, and the share out."""
    found = []
    for asked in json.loads(text):
        base = scenario_of(Plan(asked["answers"], asked.get("example")).evaluate())
        choices = Choices(tuple(asked["bays"]), tuple(asked["stores_m3"]), tuple(asked["crew"]),
                          tuple(Shredder(*each) for each in asked["shredders"]))  # fmt: skip
        trials = Trials(base, handbook_ranges(), choices, Service(asked["percent"], asked["years"], asked["seed"]))
        sized = least_cost(trials, Rates(*asked["rates"]))
        found.append({
            "best": sized and astuple(sized.candidate), "cost": sized and sized.cost, "share": sized and sized.share.share,
            "tried": to_state(trials),
        })  # fmt: skip
    return json.dumps(found)
