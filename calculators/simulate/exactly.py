"""Exponential and logarithm that come out alike to the last binary digit wherever Python runs.

A walk through a year turns small things into large ones: a heap that is full or lacks one part in 10¹⁵ begins another a day
later. The mathematical library of a machine or a browser may differ in the last digit, and ``sum`` does between releases
of Python; addition, multiplication, division and the splitting of a float may not. So these use nothing else.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

LN_2 = 0.6931471805599453
_HIGH = 0.693145751953125
"""The first digits of ln 2: products with whole numbers up to 2048 are exact."""
_LOW = LN_2 - _HIGH + 2.3190468138462996e-17
_TERMS = 18


def exp(value: float) -> float:
    """e to the power ``value`` (−700 to 700), within a few units of the last digit."""
    twos = math.floor(value / LN_2 + 0.5)
    rest = (value - twos * _HIGH) - twos * _LOW
    summed = 1.0
    for term in range(_TERMS, 0, -1):
        summed = 1.0 + summed * rest / term
    return math.ldexp(summed, twos)


def log(value: float) -> float:
    """The natural logarithm of a value above 0, within a few units of the last digit."""
    part, twos = math.frexp(value)
    if part < 0.7071067811865476:
        part, twos = part * 2, twos - 1
    ratio = (part - 1) / (part + 1)
    square = ratio * ratio
    summed = 0.0
    for odd in range(2 * _TERMS + 5, 0, -2):
        summed = summed * square + 1.0 / odd
    return twos * _HIGH + (twos * _LOW + 2 * ratio * summed)


def added(values: Iterable[float]) -> float:
    """The sum, from the first to the last, without the corrections that later Pythons make."""
    summed = 0.0
    for value in values:
        summed += value
    return summed
