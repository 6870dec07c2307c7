"""The revised NIOSH lifting equation, and permitted hours of noise: plain formulas with their tables.

Waters and others 1994, Applications Manual for the Revised NIOSH Lifting Equation, DHHS (NIOSH) 94-110 (rev. 2021).
Lengths in centimetres, angles in degrees, masses in kilograms, as in the manual's metric form.
"""

from __future__ import annotations

from collections.abc import Sequence

from calculators.reference import rows_of

LIMITS = {row["key"]: row["value"] for row in rows_of("lifting", "equation_limits")}
LOAD_CONSTANT_KG = LIMITS["load_constant_kg"]
BEST_HEIGHT_CM = LIMITS["vertical_best_cm"]
COUPLINGS = {row["key"]: row for row in rows_of("lifting", "coupling_multiplier")}
FREQUENCIES = rows_of("lifting", "frequency_multiplier")


def horizontal_multiplier(horizontal_cm: float) -> float:
    """25 ÷ H; 1 up to 25 cm, 0 beyond 63 cm. H is from between the ankles to the hands."""
    if horizontal_cm > LIMITS["horizontal_high_cm"]:
        return 0.0
    if horizontal_cm <= LIMITS["horizontal_low_cm"]:
        return 1.0
    return 25 / horizontal_cm


def vertical_multiplier(vertical_cm: float) -> float:
    """1 − 0.003·|V − 75|; 0 above 175 cm. V is the height of the hands above the floor."""
    if vertical_cm > LIMITS["vertical_high_cm"]:
        return 0.0
    return 1 - 0.003 * abs(vertical_cm - BEST_HEIGHT_CM)


def distance_multiplier(distance_cm: float) -> float:
    """0.82 + 4.5 ÷ D; 1 up to 25 cm, 0 beyond 175 cm. D is how far up or down the load travels."""
    if distance_cm > LIMITS["distance_high_cm"]:
        return 0.0
    if distance_cm <= LIMITS["distance_low_cm"]:
        return 1.0
    return 0.82 + 4.5 / distance_cm


def asymmetry_multiplier(asymmetry_degrees: float) -> float:
    """1 − 0.0032·A; 0 beyond 135 degrees. A is how far the body twists."""
    if asymmetry_degrees > LIMITS["asymmetry_high_degrees"]:
        return 0.0
    return 1 - 0.0032 * asymmetry_degrees


def coupling_multiplier(coupling: str, vertical_cm: float) -> float:
    """By the grip (good, fair, poor) and whether the hands are at 75 cm or higher."""
    return COUPLINGS[coupling]["high" if vertical_cm >= BEST_HEIGHT_CM else "low"]


def frequency_multiplier(lifts_per_minute: float, hours: float, vertical_cm: float) -> float:
    """By lifts a minute and hours of lifting (up to 1, 2 or 8), from the manual's table 5.

    Between two rows the faster is taken, which is the stricter. 0 above 15 lifts a minute; more than 8 hours are taken
    as 8, the longest that the table covers.
    """
    duration = "up_to_1_h" if hours <= 1 else "up_to_2_h" if hours <= 2 else "up_to_8_h"
    column = f"{duration}_{'high' if vertical_cm >= BEST_HEIGHT_CM else 'low'}"
    for row in FREQUENCIES:
        if lifts_per_minute <= row["lifts_per_minute"] + 1e-9:
            return float(row[column])
    return 0.0


def product_of_multipliers(load_constant: float, multipliers: Sequence[float]) -> float:
    """The recommended weight limit: the load constant times all six multipliers."""
    limit: float = load_constant
    for multiplier in multipliers:
        limit = limit * multiplier
    return limit


def recommended_weight_limit(horizontal_cm: float, vertical_cm: float, distance_cm: float, asymmetry_degrees: float,
                             lifts_per_minute: float, hours: float, coupling: str) -> float:  # fmt: skip
    """Recommended weight limit (kg) of one lift."""
    return product_of_multipliers(
        LOAD_CONSTANT_KG, multipliers(horizontal_cm, vertical_cm, distance_cm, asymmetry_degrees, lifts_per_minute, hours, coupling)
    )


def multipliers(horizontal_cm: float, vertical_cm: float, distance_cm: float, asymmetry_degrees: float,
                lifts_per_minute: float, hours: float, coupling: str) -> list[float]:  # fmt: skip
    """The six multipliers in the manual's order: H, V, D, A, frequency, coupling."""
    return [
        horizontal_multiplier(horizontal_cm),
        vertical_multiplier(vertical_cm),
        distance_multiplier(distance_cm),
        asymmetry_multiplier(asymmetry_degrees),
        frequency_multiplier(lifts_per_minute, hours, vertical_cm),
        coupling_multiplier(coupling, vertical_cm),
    ]


def lifting_index(load: float, limit: float) -> float:
    """Load ÷ recommended weight limit (above 0), in the same unit."""
    return load / limit


def permitted_hours(level_db: float, criterion_db: float, exchange_db: float, criterion_hours: float = 8.0) -> float:
    """Hours permitted at a noise level: T = 8 ÷ 2^((L − criterion) ÷ exchange).

    NIOSH recommends criterion 85 and exchange 3 dB(A); the US rule has 90 and 5; other countries differ.
    """
    return criterion_hours / 2 ** ((level_db - criterion_db) / exchange_db)
