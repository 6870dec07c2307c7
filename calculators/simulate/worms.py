"""Worms and their beds as laws of time: how the stock grows, and how fast what it was fed loses solids."""

from __future__ import annotations

from calculators.simulate.exactly import LN_2, exp

FASTEST = 50.0
"""Rate × days beyond which nothing degradable is left."""


def stock_after(start_kg: float, full_kg: float, doubling_days: float, days: float) -> float:
    """Stock (kg) after some days: K ÷ (1 + (K/N₀ − 1)·2^(−t/d)), the logistic law.

    It doubles in ``doubling_days`` while it is small and levels off at ``full_kg``. All above 0, ``days`` from 0.
    """
    return full_kg / (1 + (full_kg / start_kg - 1) * exp(-LN_2 * days / doubling_days))


def mean_share_left(rate_days: float) -> float:
    """What is left of the degradable solids of a bed fed alike each day, on the day of its harvest: (1 − e^(−rT)) ÷ (rT)."""
    return (1 - exp(-rate_days)) / rate_days if rate_days > 1e-6 else 1 - rate_days / 2


def bed_rate_per_day(solids_left: float, degradable: float, harvest_days: float) -> float:
    """First-order rate (per day) by which a bed fed alike each day holds at its harvest ``solids_left`` of the dry mass fed.

    ``degradable`` is the fraction of the feed's dry mass that can go. 0 where nothing is to go; as fast as ``FASTEST`` where
    more is to go than can.
    """
    wanted = 1 - (1 - solids_left) / degradable if degradable > 0 else 1.0
    if wanted >= 1:
        return 0.0
    low, high = 0.0, FASTEST
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if mean_share_left(middle) > wanted else (low, middle)
    return high / harvest_days
