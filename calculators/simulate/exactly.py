"""Exponential, logarithm and powers that come out alike to the last binary digit wherever Python runs.

A walk through a year turns small things into large ones: a heap that is full or lacks one part in 10¹⁵ begins another a day
later, and a step that is just taken or just refused leads elsewhere. The mathematical library of a machine or a browser may
differ in the last digit, and ``sum`` does between releases of Python; addition, multiplication, division, the square root
and the splitting of a float may not. So these use nothing else. Each looks up the nearest of a few values worked out once
and needs only a short series from there.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

LN_2 = 0.6931471805599453
_HIGH = 0.693145751953125
"""The first digits of ln 2: products with whole numbers up to 2**21 are exact."""
_LOW = LN_2 - _HIGH + 2.3190468138462996e-17
_PARTS = 32
_PER = _PARTS / LN_2
_STEP_HIGH, _STEP_LOW = _HIGH / _PARTS, _LOW / _PARTS


def _exp_by_series(value: float) -> float:
    """e to the power of a value between 0 and ln 2."""
    summed = 1.0
    for term in range(22, 0, -1):
        summed = 1.0 + summed * value / term
    return summed


def _log_by_series(value: float) -> float:
    """The natural logarithm of a value between 0.5 and 1."""
    ratio = (value - 1) / (value + 1)
    summed = 0.0
    for odd in range(61, 0, -2):
        summed = summed * ratio * ratio + 1.0 / odd
    return 2 * ratio * summed


_POWERS = tuple(_exp_by_series(part * LN_2 / _PARTS) for part in range(_PARTS))
_CENTRES = tuple((_PARTS + part + 0.5) / (2 * _PARTS) for part in range(_PARTS))
_LOGARITHMS = tuple(_log_by_series(centre) for centre in _CENTRES)


def exp(value: float) -> float:
    """e to the power ``value`` (−700 to 700), within a few units of the last digit."""
    steps = math.floor(value * _PER + 0.5)
    x = (value - steps * _STEP_HIGH) - steps * _STEP_LOW
    series = 1 + x * (1 + x / 2 * (1 + x / 3 * (1 + x / 4 * (1 + x / 5 * (1 + x / 6)))))
    return math.ldexp(_POWERS[steps % _PARTS] * series, steps // _PARTS)


def log(value: float) -> float:
    """The natural logarithm of a value above 0, within a few units of the last digit of it or of one."""
    part, twos = math.frexp(value)
    if twos == 1 and part < 0.5 + 1 / _PARTS:
        part, twos = part * 2, 0  # next to 1 the two sums below would cancel
        near = 0.0
        centre = 1.0
    elif twos == 0 and part > 1 - 1 / _PARTS:
        near, centre = 0.0, 1.0
    else:
        place = int(part * 2 * _PARTS) - _PARTS
        near, centre = _LOGARITHMS[place], _CENTRES[place]
    ratio = (part - centre) / (part + centre)
    square = ratio * ratio
    series = 2 * ratio * (1 + square * (1 / 3 + square * (1 / 5 + square * (1 / 7 + square * (1 / 9 + square / 11)))))
    return twos * _HIGH + (twos * _LOW + near + series)


def power(base: float, exponent: float) -> float:
    """``base`` (0 or more) raised to ``exponent``; 0 stays 0."""
    return exp(exponent * log(base)) if base > 0 else 0.0


def added(values: Iterable[float]) -> float:
    """The sum, from the first to the last, without the corrections that later Pythons make."""
    summed = 0.0
    for value in values:
        summed += value
    return summed
