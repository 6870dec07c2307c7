"""From a plan to the yard that is walked through drawn years."""

from __future__ import annotations

from calculators.declare import CannotSolve
from calculators.plan import Evaluated
from calculators.simulate.year import Scenario
from calculators.topics import year


def scenario_of(evaluated: Evaluated) -> Scenario:
    """The scenario of a plan's first year. Raises ``CannotSolve`` where the plan gives none, with the reason."""
    if "year" in evaluated.stopped:
        stopped = evaluated.stopped["year"]
        raise CannotSolve(stopped.message, stopped.names)
    answers = {name: standing.value for name, standing in evaluated.step("year").standings.items()}
    return year.scenario(year.Inputs(**answers | {"years_to_walk": 1}))
