"""The exponential and the logarithm of the walks, held against Python's own and against its decimal arithmetic."""

from __future__ import annotations

import math
import random
from decimal import Decimal, localcontext

import pytest

from calculators.simulate.exactly import added, exp, log


def test_against_decimal_arithmetic() -> None:
    chance = random.Random(8)
    with localcontext() as context:
        context.prec = 40
        for _ in range(400):
            power, value = chance.uniform(-60, 60), math.exp(chance.uniform(-40, 40))
            assert exp(power) == pytest.approx(float(Decimal(power).exp()), rel=1e-15)
            assert log(value) == pytest.approx(float(Decimal(value).ln()), rel=1e-15, abs=1e-15)


def test_at_the_ends() -> None:
    assert exp(0.0) == 1.0 and log(1.0) == 0.0
    assert exp(-700) == pytest.approx(math.exp(-700), rel=1e-12) and exp(700) == pytest.approx(math.exp(700), rel=1e-12)
    assert log(5e-324) == pytest.approx(math.log(5e-324)) and log(1.7e308) == pytest.approx(math.log(1.7e308))


def test_sums_go_from_first_to_last() -> None:
    """As plain addition does: later Pythons' ``sum`` gives 1 here."""
    assert added([1.0, 1e-16, 1e-16, 1e-16, 1e-16]) == 1.0 + 1e-16 + 1e-16 + 1e-16 + 1e-16
    assert added([1e16, 1.0, -1e16]) == 0.0 and added([]) == 0.0
