"""A heap through its days: temperature, water and degradation, from a kinetic model and a balance of heat and mass.

One node: the heap has one temperature, that of its mean; the heart is hotter, the skin cooler. Two parts of its dry
solids degrade, each by a first-order rate at 20 °C that is corrected for temperature (Rosso et al. 1993, from memory) and
for moisture, free air space and oxygen (Haug 1993, from memory). What degrades takes oxygen, gives heat, water and gas.
The heap shrinks with its solids: their mass in a cubic metre stays as built.

**Air** comes in two ways. Warm moist gas is lighter than the air outside and rises: the flow through the floor is
permeability × difference of density × gravity ÷ viscosity, with the square of free air space in the permeability (chosen
here) and a bound on the changes of air in an hour (chosen here). It leaves at the heap's temperature and saturated, less
so as the heap dries out. Oxygen also diffuses through the outer shell, counted as the flow of air that would carry as
much; its vapour passes the cool skin and leaves saturated at the temperature of the surface. Oxygen inside is what flow
and uptake leave, taken as mixed and steady.

**Heat** leaves with that air and its vapour, and through the shell, cover and surface, where radiation is made linear
(the surroundings are as warm as the air). A turning lets a share of the heat above the air go (chosen here).

The heat content, not the temperature, is integrated: reactants and products counted from 0 °C and liquid water, so that
mass and energy are linear in what is integrated and close to rounding at each step. The integrator is the embedded
Runge-Kutta pair of Bogacki and Shampine (1989), orders 3 and 2, with steps of its own choice up to the end of each day.

Units: kg, m, day, MJ, °C.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from calculators.reference import Figure, figures
from calculators.simulate.exactly import exp, log
from calculators.simulate.exactly import power as raised

SECONDS = 86_400.0
KELVIN = 273.15


def _typical(table: str) -> dict[str, float]:
    return {key: float(each.typical) for key, each in figures("heat", table).items()}


RATE, BURNING, AIR, LOSSES = (_typical(table) for table in ("rate", "burning", "air", "losses"))
SHELTERS = _typical("shelter")
COVERS = _typical("cover")
GROUPS = ("food", "mixed", "leafy", "manure")
OXYGEN = BURNING["oxygen_kg_per_kg"]
HEAT_MJ_KG = BURNING["heat_mj_per_kg_oxygen"] * OXYGEN
"""Heat of degradation, MJ for each kg of solids."""
WATER_MADE = BURNING["water_kg_per_kg"]
GAS_MADE = 1 - WATER_MADE
"""Dry gas that leaves beyond the air that came in, kg for each kg degraded: carbon dioxide and ammonia less the oxygen."""
LATENT = AIR["latent_heat_kj_kg"] / 1000
C_VAPOUR, C_WATER = AIR["heat_of_vapour_kj_kg_k"] / 1000, AIR["heat_of_water_kj_kg_k"] / 1000
C_GAS, C_SOLIDS = AIR["heat_of_gas_kj_kg_k"] / 1000, AIR["heat_of_solids_kj_kg_k"] / 1000
# read once: the formulas below run some ten thousand times for a page
_LEAST_C, _BEST_C, _MOST_C = RATE["least_c"], RATE["best_c"], RATE["most_c"]
_MOISTURE_OFFSET, _MOISTURE_SLOPE = RATE["moisture_offset"], RATE["moisture_slope"]
_SPACE_OFFSET, _SPACE_SLOPE = RATE["air_space_offset"], RATE["air_space_slope"]
_HALF, _OUTSIDE = RATE["oxygen_half_percent"], AIR["oxygen_volume_percent"]
_CARRIED = AIR["oxygen_mass_fraction"] / _OUTSIDE
_MAGNUS, _MAGNUS_SLOPE, _MAGNUS_ZERO = AIR["magnus_pa"], AIR["magnus_slope"], AIR["magnus_zero_c"]
_PRESSURE, _TO_MASS, _GAS_CONSTANT = AIR["pressure_pa"], AIR["vapour_to_air_mass"], AIR["gas_constant_air_j_kg_k"]
_MOST_VAPOUR = 0.95 * _PRESSURE
_ORGANIC_DENSITY = LOSSES["organic_density_kg_m3"]
LEAST_STEP_DAYS = 1e-6
TOLERANCE_C = 0.05
"""Error of temperature that a step may have, °C; of a mass the same share of what it was as this is of 50 °C."""


def degradable(group: str) -> tuple[Figure, Figure, Figure, Figure]:
    """A mix's group of ``GROUPS``: quick and slow shares of its dry solids, and their rates at 20 °C for each day."""
    held = figures("heat", "groups")
    return (held[f"{group}_fast_fraction"], held[f"{group}_slow_fraction"], held[f"{group}_fast_rate_per_day"],
            held[f"{group}_slow_rate_per_day"])  # fmt: skip


# ---- formulas -------------------------------------------------------------------------------------------------


def _cardinal(celsius: float) -> float:
    """Rate over that at the best temperature, 0 to 1, between the two ends (Rosso et al. 1993, from memory)."""
    above = celsius - _LEAST_C
    rising = (_BEST_C - _LEAST_C) * (celsius - _BEST_C)
    falling = (_BEST_C - _MOST_C) * (_BEST_C + _LEAST_C - 2 * celsius)
    return (celsius - _MOST_C) * above * above / ((_BEST_C - _LEAST_C) * (rising - falling))


_AT_20 = _cardinal(20.0)


def temperature_factor(celsius: float) -> float:
    """Rate at a temperature over that at 20 °C, by the cardinal temperature model (Rosso et al. 1993, from memory).

    None at 5 °C and below and from 71.6 °C, most (8.1) at 58.6 °C.
    """
    return _cardinal(celsius) / _AT_20 if _LEAST_C < celsius < _MOST_C else 0.0


def moisture_factor(moisture: float) -> float:
    """1 ÷ (exp(−17.684·w + 7.0622) + 1), w water in wet mass, 0 to 1 (Haug 1993, from memory)."""
    return 1 / (exp(_MOISTURE_OFFSET - _MOISTURE_SLOPE * moisture) + 1)


def air_space_factor(free_air: float) -> float:
    """1 ÷ (exp(−23.675·f + 3.4945) + 1), f free air space, 0 to 1 (Haug 1993, from memory)."""
    return 1 / (exp(_SPACE_OFFSET - _SPACE_SLOPE * free_air) + 1)


def oxygen_factor(oxygen_percent: float) -> float:
    """O₂ ÷ (O₂ + 2), O₂ in percent of pore gas (Haug 1993, from memory)."""
    return oxygen_percent / (oxygen_percent + _HALF)


def saturation_pressure(celsius: float) -> float:
    """Pressure of vapour over water (Pa), Magnus form; −45 to 100 °C, some 1 % high at 80 °C, 2.5 % at 100 °C."""
    return _MAGNUS * exp(_MAGNUS_SLOPE * celsius / (_MAGNUS_ZERO + celsius))


def latent_heat(celsius: float) -> float:
    """Heat that evaporates a kilogram of water at its own temperature (MJ/kg)."""
    return LATENT + (C_VAPOUR - C_WATER) * celsius


def humidity_ratio(vapour_pa: float) -> float:
    """Vapour in a kilogram of dry air (kg/kg) at a vapour pressure below that of the air around."""
    bounded = vapour_pa if vapour_pa < _MOST_VAPOUR else _MOST_VAPOUR  # boiling is not modelled; no heap comes near
    return _TO_MASS * bounded / (_PRESSURE - bounded)


def gas_density(celsius: float, vapour_pa: float) -> float:
    """Density of moist air (kg/m³)."""
    lighter = 1 - (1 - _TO_MASS) * vapour_pa / _PRESSURE
    return _PRESSURE / (_GAS_CONSTANT * (celsius + KELVIN)) * lighter


def oxygen_inside(air_kg_per_day: float, uptake_kg_per_day: float) -> float:
    """Oxygen of the pore gas (percent) where a flow of air meets an uptake that itself falls with oxygen.

    ``uptake_kg_per_day`` is what would be taken up with oxygen in plenty. The positive root of
    c·m·(O₀ − O)·(O + 2) = U·O, written so that it loses no digits.
    """
    if uptake_kg_per_day <= 0:
        return _OUTSIDE
    if air_kg_per_day <= 0:
        return 0.0
    b = _OUTSIDE - _HALF - uptake_kg_per_day / (_CARRIED * air_kg_per_day)
    root = math.sqrt(b * b + 4 * _HALF * _OUTSIDE)
    return (b + root) / 2 if b > 0 else 2 * _HALF * _OUTSIDE / (root - b)


# ---- the heap and what is around it ---------------------------------------------------------------------------


@dataclass(frozen=True)
class Heap:
    """A heap as it stands. Masses in kg; ``built_*`` as when it was built, which its volume is reckoned from.

    ``surface_m2`` loses heat and lets oxygen in, ``floor_m2`` is what rising air passes. ``free_air`` is the free air
    space as built, a fraction. Rates are those at 20 °C for each day.
    """

    water: float
    fast: float
    slow: float
    stable: float
    celsius: float
    volume_m3: float
    surface_m2: float
    floor_m2: float
    free_air: float
    fast_rate: float
    slow_rate: float
    built_water: float
    built_solids: float

    @property
    def solids(self) -> float:
        """All dry solids, kg."""
        return self.fast + self.slow + self.stable

    @property
    def moisture(self) -> float:
        """Water in wet mass, a fraction."""
        return self.water / (self.water + self.solids)

    @property
    def heat_capacity(self) -> float:
        """MJ for each K."""
        return C_SOLIDS * self.solids + C_WATER * self.water

    @property
    def heat(self) -> float:
        """Heat held, counted from 0 °C, MJ."""
        return self.heat_capacity * self.celsius


def build(wet_kg: float, moisture: float, group_shares: Sequence[float], volume_m3: float, surface_m2: float, floor_m2: float,
          free_air: float, celsius: float) -> Heap:  # fmt: skip
    """A heap of ``wet_kg`` above 0 at a moisture within 0 and 1; ``group_shares`` as ``degradable`` gives them."""
    fast, slow, fast_rate, slow_rate = group_shares
    water = wet_kg * moisture
    solids = wet_kg - water
    return Heap(water, solids * fast, solids * slow, solids * (1 - fast - slow), celsius, volume_m3, surface_m2, floor_m2,
                free_air, fast_rate, slow_rate, water, solids)  # fmt: skip


def section_scaled(heap: Heap, factor: float, sides_m2: float) -> Heap:
    """A heap of the same length whose section is larger by ``factor`` both ways; ``sides_m2`` of the surface grow with the
    factor, the rest (the ends) with its square."""
    square = factor * factor
    return replace(
        heap, water=heap.water * square, fast=heap.fast * square, slow=heap.slow * square, stable=heap.stable * square,
        volume_m3=heap.volume_m3 * square, surface_m2=sides_m2 * factor + (heap.surface_m2 - sides_m2) * square,
        floor_m2=heap.floor_m2 * factor, built_water=heap.built_water * square, built_solids=heap.built_solids * square,
    )  # fmt: skip


@dataclass(frozen=True)
class Around:
    """What is around a heap: relative humidity (a fraction), heat taken up by moving air (W/m²/K) and the resistance of
    a cover (m² K/W)."""

    humidity: float
    convection: float = SHELTERS["sheltered"]
    cover: float = 0.0


@dataclass(frozen=True)
class Ledger:
    """What crossed the heap's bounds since it was built. Masses in kg, heat in MJ counted from 0 °C.

    ``air_in`` and ``gas_out`` are dry. ``heat_in`` came with air, its vapour, and water poured on; ``heat_out`` left
    with gas and vapour; ``through_surface`` and ``at_turnings`` left as heat.
    """

    air_in: float = 0.0
    vapour_in: float = 0.0
    water_added: float = 0.0
    gas_out: float = 0.0
    vapour_out: float = 0.0
    heat_in: float = 0.0
    heat_out: float = 0.0
    through_surface: float = 0.0
    at_turnings: float = 0.0

    def and_flows(self, outside: Outside, air: float, vapour: float, heat: float, surface: float, lost: float) -> Ledger:
        """The ledger with flows added: dry air in, vapour and heat out, heat through the surface, solids lost."""
        return Ledger(
            self.air_in + air, self.vapour_in + air * outside.ratio, self.water_added, self.gas_out + air + GAS_MADE * lost,
            self.vapour_out + vapour, self.heat_in + air * outside.heat_of_air, self.heat_out + heat,
            self.through_surface + surface, self.at_turnings,
        )  # fmt: skip


@dataclass(frozen=True)
class Day:
    """A day's end, and the mean of the day (``mean_c``)."""

    mean_c: float
    heap: Heap
    oxygen_percent: float
    ledger: Ledger


Flows = tuple[float, float, float, float, float, float, float, float, float, float]


def _cube(value: float) -> float:
    return value * value * value


class Outside:
    """Air of one temperature outside: what every step reckons with."""

    def __init__(self, around: Around, celsius: float) -> None:
        self.celsius = celsius
        vapour = around.humidity * saturation_pressure(celsius)
        self.ratio = humidity_ratio(vapour)
        self.density = gas_density(celsius, vapour)
        self.heat_of_air = C_GAS * celsius + self.ratio * (LATENT + C_VAPOUR * celsius)
        radiation = 4 * LOSSES["emissivity"] * LOSSES["stefan_boltzmann_w_m2_k4"] * _cube(celsius + 5 + KELVIN)
        self.resistance = 1 / (around.convection + radiation) + around.cover


def rates(heap: Heap, outside: Outside) -> Callable[[float, float, float, float], Flows]:
    """How a heap changes, in kg and MJ a day, from quick and slow solids, water and heat held.

    The function gives the change of those four; then dry air in, vapour out, heat with what leaves, heat through the
    surface; then temperature and oxygen inside. What does not change with the state is worked out once.
    """
    stable, fast_rate, slow_rate = heap.stable, heap.fast_rate, heap.slow_rate
    built, volume = heap.built_solids, heap.volume_m3
    # what is filled is the volume built less its free air, less what solids lost left, and with the change of water
    filled = volume * (1 - heap.free_air) - built / _ORGANIC_DENSITY - heap.built_water / 1000
    ambient, density_outside, heat_of_air, ratio = outside.celsius, outside.density, outside.heat_of_air, outside.ratio
    outer = outside.resistance
    shell_m = LOSSES["shell_share"] * heap.volume_m3 / heap.surface_m2
    shell = shell_m / LOSSES["conductivity_w_m_k"]
    power = LOSSES["permeability_power"]
    whole_flow = (LOSSES["permeability_m2"] * AIR["gravity_m_s2"] / AIR["viscosity_pa_s"] * heap.floor_m2 * SECONDS
                  / raised(0.5, power))  # fmt: skip
    most_flow = LOSSES["most_changes_per_hour"] * 24 * heap.volume_m3
    diffusion = AIR["oxygen_diffusivity_m2_s"] * SECONDS * heap.surface_m2 / shell_m * density_outside
    to_megajoules = SECONDS / 1e6 * heap.surface_m2
    dry_water = LOSSES["dry_water_per_solids"]

    def flows(fast: float, slow: float, water: float, heat: float) -> Flows:
        solids = fast + slow + stable
        celsius = heat / (C_SOLIDS * solids + C_WATER * water)
        # a trial step far too long may land where no formula holds; it is rejected, but must have figures
        celsius = -80.0 if celsius < -80 else 150.0 if celsius > 150 else celsius
        left = solids / built
        free = 1 - (filled + solids / _ORGANIC_DENSITY + water / 1000) / (volume * left)
        free = 0.0 if free < 0 else 0.98 if free > 0.98 else free
        third = raised(left, 1 / 3)  # lengths shrink with it
        wetness = 1 - exp(-water / (dry_water * solids))
        vapour = wetness * saturation_pressure(celsius)
        lighter = density_outside - gas_density(celsius, vapour)
        diffused = diffusion * free * free * third
        risen = 0.0
        if lighter > 0:
            flow, most = whole_flow * raised(free, power) * lighter, most_flow * left
            risen = flow * most / (flow + most) * density_outside  # the bound is approached, without a corner
        air = diffused + risen
        whole = temperature_factor(celsius) * moisture_factor(water / (water + solids)) * air_space_factor(free)
        whole *= oxygen_factor(oxygen := oxygen_inside(air, OXYGEN * whole * (fast_rate * fast + slow_rate * slow)))
        fast_lost, slow_lost = whole * fast_rate * fast, whole * slow_rate * slow
        lost = fast_lost + slow_lost
        inner = shell * third
        through = (celsius - ambient) / (outer + inner)
        skin_c = celsius - inner * through
        vapour_diffused = diffused * humidity_ratio(wetness * saturation_pressure(skin_c))
        vapour_risen = risen * humidity_ratio(vapour)
        vapour_out = vapour_diffused + vapour_risen
        heat_out = (((risen + GAS_MADE * lost) * C_GAS + vapour_risen * C_VAPOUR) * celsius + vapour_out * LATENT
                    + (diffused * C_GAS + vapour_diffused * C_VAPOUR) * skin_c)  # fmt: skip
        surface = to_megajoules * third * third * through
        return (-fast_lost, -slow_lost, WATER_MADE * lost + air * ratio - vapour_out,
                HEAT_MJ_KG * lost + air * heat_of_air - heat_out - surface,
                air, vapour_out, heat_out, surface, celsius, oxygen)  # fmt: skip

    return flows


class _Walker:
    """A heap that is walked on in time, with its ledger."""

    def __init__(self, heap: Heap, around: Around, tolerance_c: float) -> None:
        self.heap, self.around, self.tolerance = heap, around, tolerance_c
        self.step = 0.1
        self.oxygen = _OUTSIDE
        self.outside: Outside | None = None
        self.flows: Callable[[float, float, float, float], Flows] | None = None
        self.ledger = Ledger()

    def day(self, ambient_c: float, each: Callable[[Heap, Ledger], None] | None = None) -> float:
        """Walk on for a day at one outside temperature; the mean temperature of the heap meanwhile.

        Weights of Bogacki and Shampine: 2/9, 1/3, 4/9 at 0, 1/2 and 3/4 of a step; the error from the lower order. A
        step that would take more water than there is is halved: with no water left none leaves.
        """
        if self.outside is None or self.outside.celsius != ambient_c or self.flows is None:
            self.outside = Outside(self.around, ambient_c)
            self.flows = rates(self.heap, self.outside)
        heap, flows, tolerance = self.heap, self.flows, self.tolerance
        share = tolerance / 50
        fast, slow, water, heat = heap.fast, heap.slow, heap.water, heap.heat
        air = vapour = heat_out = surface = degree_days = time = 0.0
        before, start = self.ledger, heap
        k1 = flows(fast, slow, water, heat)
        step = self.step
        while time < 1:
            last = time + step >= 1 - 1e-9
            h = 1 - time if last else step
            half, most = h / 2, 0.75 * h
            water2 = water + half * k1[2]
            if water2 < 0:
                step = half
                continue
            k2 = flows(fast + half * k1[0], slow + half * k1[1], water2, heat + half * k1[3])
            water3 = water + most * k2[2]
            if water3 < 0:
                step = half
                continue
            k3 = flows(fast + most * k2[0], slow + most * k2[1], water3, heat + most * k2[3])
            a, b, c = h * 2 / 9, h / 3, h * 4 / 9
            new_fast = fast + a * k1[0] + b * k2[0] + c * k3[0]
            new_slow = slow + a * k1[1] + b * k2[1] + c * k3[1]
            new_water = water + a * k1[2] + b * k2[2] + c * k3[2]
            if new_water < 0 or new_fast < 0 or new_slow < 0:
                step = half
                continue
            new_heat = heat + a * k1[3] + b * k2[3] + c * k3[3]
            k4 = flows(new_fast, new_slow, new_water, new_heat)
            off_heat = abs(k1[3] * -5 / 72 + k2[3] / 12 + k3[3] / 9 - k4[3] / 8)
            off_water = abs(k1[2] * -5 / 72 + k2[2] / 12 + k3[2] / 9 - k4[2] / 8)
            solids = fast + slow + heap.stable
            error = h * max(off_heat / ((C_SOLIDS * solids + C_WATER * water) * tolerance),
                            off_water / (share * (water + solids)))  # fmt: skip
            if error > 1 and h > LEAST_STEP_DAYS:
                step = h * max(0.2, 0.9 * raised(error, -1 / 3))
                continue
            air += a * k1[4] + b * k2[4] + c * k3[4]
            vapour += a * k1[5] + b * k2[5] + c * k3[5]
            heat_out += a * k1[6] + b * k2[6] + c * k3[6]
            surface += a * k1[7] + b * k2[7] + c * k3[7]
            degree_days += a * k1[8] + b * k2[8] + c * k3[8]
            fast, slow, water, heat, k1 = new_fast, new_slow, new_water, new_heat, k4
            time = 1.0 if last else time + h
            grown = h * min(4.0, 0.9 * raised(max(error, 1e-3), -1 / 3))
            step = max(step, min(grown, 1.0)) if last else min(grown, 1.0)
            if each is not None or last:
                self.heap = replace(heap, fast=fast, slow=slow, water=water, celsius=k1[8])
                self.ledger = before.and_flows(self.outside, air, vapour, heat_out, surface, start.solids - self.heap.solids)
                if each is not None:
                    each(self.heap, self.ledger)
        self.step, self.oxygen = step, k1[9]
        return degree_days

    def turn(self, ambient_c: float) -> None:
        """Open the heap: a share of its heat above the air goes."""
        heap = self.heap
        cooler = heap.celsius - LOSSES["turning_exchange_fraction"] * (heap.celsius - ambient_c)
        gone = heap.heat_capacity * (heap.celsius - cooler)
        self.ledger = replace(self.ledger, at_turnings=self.ledger.at_turnings + gone)
        self.heap = replace(heap, celsius=cooler)

    def pour(self, kilograms: float, ambient_c: float) -> None:
        """Pour water of the air's temperature on the heap, not below 0 °C."""
        heap = self.heap
        brought = kilograms * C_WATER * max(0.0, ambient_c)
        water = heap.water + kilograms
        celsius = (heap.heat + brought) / (C_SOLIDS * heap.solids + C_WATER * water)
        self.ledger = replace(self.ledger, water_added=self.ledger.water_added + kilograms,
                              heat_in=self.ledger.heat_in + brought)  # fmt: skip
        self.heap = replace(heap, water=water, celsius=celsius)


def course(
    heap: Heap,
    around: Around,
    ambient_c_by_day: Sequence[float],
    turn_days: Sequence[int] = (),
    water_below: float | None = None,
    water_to: float = 0.0,
    tolerance_c: float = TOLERANCE_C,
    stop: Callable[[Day], bool] | None = None,
    each_step: Callable[[Heap, Ledger], None] | None = None,
) -> list[Day]:
    """The heap day by day, one for each of ``ambient_c_by_day``; day 0 is the first day it stands.

    It is turned at the beginning of each of ``turn_days``. With ``water_below`` (a moisture) it is watered at a day's
    beginning where it is drier than that, to ``water_to``. ``stop`` ends the walk early; ``each_step`` sees every step.
    """
    walker = _Walker(heap, around, tolerance_c)
    turned = frozenset(turn_days)
    found = []
    for number, ambient in enumerate(ambient_c_by_day):
        if number in turned:
            walker.turn(ambient)
        if water_below is not None and walker.heap.moisture < water_below:
            walker.pour(water_needed(walker.heap.water, walker.heap.solids, water_to), ambient)
        mean = walker.day(ambient, each_step)
        found.append(Day(mean, walker.heap, walker.oxygen, walker.ledger))
        if stop is not None and stop(found[-1]):
            break
    return found


def water_needed(water: float, solids: float, moisture: float) -> float:
    """Water (kg) that brings a heap to a moisture below 1; none where it is there already."""
    return max(0.0, solids * moisture / (1 - moisture) - water)


def hot_days(days: Sequence[Day], hot_c: float) -> int:
    """Days whose mean is at or above ``hot_c``."""
    return sum(day.mean_c >= hot_c for day in days)


def holds(heap: Heap, around: Around, ambient_c_by_day: Sequence[float], turn_days: Sequence[int], water_below: float | None,
          water_to: float, hot_c: float, days: int) -> bool:  # fmt: skip
    """Whether a heap is at or above ``hot_c`` on ``days`` days, as ``course`` walks it; ends as soon as that is sure."""
    hot, left = 0, len(ambient_c_by_day)

    def sure(day: Day) -> bool:
        nonlocal hot, left
        hot += day.mean_c >= hot_c
        left -= 1
        return hot >= days or hot + left < days

    course(heap, around, ambient_c_by_day, turn_days, water_below, water_to, stop=sure)
    return hot >= days


def least_factor(holds: Callable[[float], bool], low: float, high: float, steps: int) -> float:
    """The smallest factor within ``low`` and ``high`` that holds, by halving on the logarithm ``steps`` times.

    ``high`` is known to hold, ``low`` not to, and what holds must hold for all larger factors within them. The result
    holds, and is larger than the least one by at most the ratio of the two to the power of 1/2^steps.
    """
    for _ in range(steps):
        middle = math.sqrt(low * high)
        if holds(middle):
            high = middle
        else:
            low = middle
    return high


def turnings(interval_days: float, days: int) -> tuple[int, ...]:
    """The days on which a heap is turned, every ``interval_days`` (1 or more) within ``days``."""
    return tuple(math.floor(count * interval_days + 1e-9) for count in range(1, math.ceil(days / interval_days - 1e-9)))
