"""Random plots and programmes for the tests of the layout: rectangles, and simple polygons with and without hollow corners."""

from __future__ import annotations

import math
import random

from calculators.drawing.layout import Limits, Polygon, Vehicle
from calculators.drawing.polygons import is_simple
from calculators.drawing.programme import Case, Programme
from calculators.drawing.swept import rear_axle_radius


def plot_of(chance: random.Random) -> Polygon:
    """A plot: half of them rectangles, the others stars of 3 to 9 corners around a middle, or an L."""
    kind = chance.random()
    if kind < 0.5:
        wide, long = chance.uniform(5, 70), chance.uniform(5, 90)
        return ((0.0, 0.0), (wide, 0.0), (wide, long), (0.0, long))
    if kind < 0.6:
        wide, long = chance.uniform(20, 70), chance.uniform(20, 70)
        across, up = wide * chance.uniform(0.3, 0.7), long * chance.uniform(0.3, 0.7)
        return ((0.0, 0.0), (wide, 0.0), (wide, up), (across, up), (across, long), (0.0, long))
    while True:
        corners = chance.randint(3, 9)
        radius = chance.uniform(6, 45)
        points = []
        for index in range(corners):
            angle = 2 * math.pi * (index + chance.uniform(-0.3, 0.3)) / corners
            reach = radius * chance.uniform(0.5, 1.2)
            points.append((round(reach * math.cos(angle), 3), round(reach * math.sin(angle), 3)))
        if is_simple(points):
            return tuple(points)


def case_of(chance: random.Random) -> Case:
    """A plot, a vehicle, gaps and a programme."""
    size = chance.choice((1, 1, 3, 10))

    def floor(most: float) -> float:
        return chance.uniform(2, most) * size if chance.random() < 0.85 else 0.0

    programme = Programme(
        chance.randint(0, 8 * size), chance.randint(0, size), chance.randint(0, size), chance.randint(0, 5 * size),
        chance.uniform(1, 2.2), chance.uniform(2, 7), chance.choice((0.1, 0.15, 0.23)), floor(8), floor(8), floor(6), floor(8),
        floor(4), floor(5), floor(12), chance.random() < 0.8, chance.choice((0, 0, 3, 12)), chance.uniform(1, 4),
        chance.uniform(0.6, 1.5), 0.6,
    )  # fmt: skip
    wheelbase, width = chance.uniform(0.8, 4), chance.uniform(0.8, 2.4)
    overhang = chance.uniform(0.2, 1.2)
    vehicle = Vehicle(wheelbase + overhang + chance.uniform(0.2, 1.5), width, wheelbase, overhang,
                      1.1 * wheelbase + 0.6 * width + chance.uniform(0.3, 4))  # fmt: skip
    limits = Limits(chance.choice((0.0, 0.91, 3.0)), chance.uniform(1.0, 3.2), 0.0, chance.uniform(0.2, 0.8),
                    chance.choice((0.0, 3.05, 5.0)), chance.uniform(0, 4))  # fmt: skip
    rear = rear_axle_radius(vehicle.turning_radius_m, wheelbase, width)
    return Case(
        plot_of(chance), chance.choice(("south", "north", "east", "west")), chance.random(), programme, vehicle, rear,
        chance.uniform(width / 2 + 0.5, 10), chance.uniform(2, 5), limits, overhang_m=chance.uniform(0, 1.2),
    )  # fmt: skip
