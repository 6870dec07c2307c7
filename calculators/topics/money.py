"""Money: what the yard costs to build and to run, what it brings, who pays, and whether it pays back.

Building becomes a yearly charge by the annuity; running cost is added from people, power, water and the rest; income is
taken off. A figure without a price counts nothing and is named. All is in today's money: no inflation, so interest is what
lies above it.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from calculators.declare import (
    Calculator,
    Chart,
    Column,
    Line,
    Mark,
    RaisedCaution,
    Say,
    choice,
    count,
    number,
    output,
    output_table,
    output_text,
    own_choice,
    table,
    text,
)  # fmt: skip
from calculators.reference import figure, source
from calculators.simulate.exactly import exp, log
from calculators.working import Working, most, total

BUILDING = figure("money", "rules", "building_per_t_day")
RUNNING = figure("money", "rules", "running_percent")
HORIZON = figure("money", "usual", "horizon_years")
INTEREST = figure("money", "usual", "interest_percent")
REPAIR = figure("money", "usual", "upkeep_percent")
INSURANCE = figure("money", "usual", "insurance_percent")
TESTS = figure("money", "usual", "laboratory_tests")
LOWEST_RATE, HIGHEST_RATE = -0.99, 10.0
"""Between these internal rates of return are looked for: −99 % and 1,000 %."""
STEPS = 240
SMALLEST_RATE = 1e-6
PAID_FOR = {"roster": "everyone on the roster, for every shift", "hours": "the hours of work only"}


@dataclass(frozen=True)
class Inputs:
    """What things cost, what they bring, and how money is judged."""

    building_cost: float | None = number(
        "The yard costs to build", "money", None, low=0, high=1e12, blank=True, follows="quantities", group="Building",
        help="Of what has a rate in Quantities. Empty: by the rate below.", measure="ask two builders for an offer",
    )  # fmt: skip
    equipment_cost: float | None = number(
        "Equipment costs", "money", None, low=0, high=1e12, blank=True, follows="quantities", group="Building",
        help="Beside the cost to build. Without that, the rate below is taken to hold it.",
    )  # fmt: skip
    equipment_years: int = count(
        "Equipment lasts", "year", 8, low=1, high=40, follows="quantities", group="Building", help="On the mean."
    )
    building_cost_per_t_day: float = number(
        "Or, for each tonne a day at the gate", "money", BUILDING.typical, low=0, high=1e9, group="Building",
        help="US dollars, published. Put it into your own money.", source=BUILDING.cited(),
    )  # fmt: skip
    building_parts: tuple[tuple[object, ...], ...] = table(
        "Or part by part", {
            "part": text("Part", "Shed"),
            "cost": number("Costs", "money", 1_000.0, low=0, high=1e9),
            "years": count("Lasts", "year", 15, low=1, high=60),
        }, (), most_rows=20, group="Building", help="With rows here, all of the above counts for nothing.",
        source=own_choice("none until you list them"),
    )  # fmt: skip
    received_kg_per_day: float = number(
        "Arrives at the gate", "kg/d", 500.0, low=0, high=2e6, follows="arrivals", group="Building", help="Mean of the year."
    )
    first_worms_cost: float | None = number(
        "The first worms cost", "money", None, low=0, high=1e9, blank=True, follows="worms", group="Building",
        help="With their price.",
    )  # fmt: skip
    horizon_years: int = count(
        "Years looked at", "year", int(HORIZON.typical), low=1, high=40, usual=(5, 25), group="Building",
        help="The yard lasts so long where parts are not listed.", source=HORIZON.cited(),
    )  # fmt: skip
    interest_percent: float = number(
        "Interest in a year, above inflation", "percent", INTEREST.typical, low=0, high=60, usual=(2, 15), group="Building",
        help="What the money would earn or cost elsewhere.", source=INTEREST.cited(), measure="ask the treasurer",
    )  # fmt: skip
    crew_count: int = count(
        "Workers on the roster", "worker", 6, low=0, high=100_000, follows="crew", group="People", help="Those employed."
    )
    days_per_worker: int = count(
        "Days a week each worker works", "d", 6, low=1, high=7, follows="crew", group="People", help="Paid days."
    )
    shift_hours: float = number(
        "Hours of a shift", "h", 8.0, low=1, high=12, follows="crew", group="People", help="Paid time at the yard."
    )
    worker_hours_per_day: float = number(
        "Work, mean of all days", "worker-h/d", 24.0, low=0, high=1e6, follows="crew", group="People",
        help="Where only hours of work are paid.",
    )  # fmt: skip
    paid_for: str = choice(
        "Wages are paid for", PAID_FOR, "roster", group="People", help="Leave and rest are paid with the roster.",
        source=own_choice("a crew is employed"),
    )  # fmt: skip
    wage_per_hour: float | None = number(
        "Wage, an hour", "money", None, low=0, high=1e6, blank=True, group="People", help="All that an hour of a worker costs.",
        source=own_choice("no price until you give one"), measure="ask what is paid, with all that comes on top",
    )  # fmt: skip
    other_pay_per_year: float = number(
        "Foreman, office and watchman, a year", "money", 0.0, low=0, high=1e9, group="People",
        help="All that is not in the crew.",
        source=own_choice("none until you say so"),
    )  # fmt: skip
    energy_kwh_per_month: float = number(
        "Electricity, a mean month", "kWh/month", 200.0, low=0, high=1e7, follows="machines", group="Running",
        help="Shredder, lights, pump.", measure="read the meter",
    )  # fmt: skip
    power_price: float | None = number(
        "A kilowatt-hour costs", "money", None, low=0, high=1e6, blank=True, group="Running", help="From the bill.",
        source=own_choice("no price until you give one"), measure="ask for the tariff",
    )  # fmt: skip
    tap_l_per_day: float = number(
        "Water from the tap", "l/d", 500.0, low=0, high=1e8, follows="water", group="Running", help="Mean of the year.",
        measure="read the meter",
    )  # fmt: skip
    water_price: float | None = number(
        "A cubic metre of tap water costs", "money", None, low=0, high=1e6, blank=True, group="Running", help="From the bill.",
        source=own_choice("no price until you give one"), measure="ask for the tariff",
    )  # fmt: skip
    mix_cost_per_day: float = number(
        "Bought ingredients", "money/d", 0.0, low=0, high=1e9, follows="mix", group="Running", help="By the prices of the mix."
    )
    upkeep_percent: float = number(
        "Repair in a year, of building cost", "percent", REPAIR.typical, low=0, high=50, usual=(1, 6), group="Running",
        help="Machines, roof, tools, gloves.", source=REPAIR.cited(), measure="keep the receipts of a year",
    )  # fmt: skip
    insurance_percent: float = number(
        "Insurance in a year, of building cost", "percent", INSURANCE.typical, low=0, high=20, usual=(0.2, 1.5),
        group="Running",
        help="Fire, accidents, third parties.", source=INSURANCE.cited(), measure="ask an insurer",
    )  # fmt: skip
    laboratory_tests_per_year: int = count(
        "Laboratory tests in a year", "each", int(TESTS.typical), low=0, high=1_000, group="Running",
        help="Your rule for sale says how many.", source=TESTS.cited(),
    )  # fmt: skip
    laboratory_price: float | None = number(
        "A laboratory test costs", "money", None, low=0, high=1e6, blank=True, group="Running", help="All that is measured.",
        source=own_choice("no price until you give one"), measure="ask a laboratory",
    )  # fmt: skip
    thrown_away_kg_per_day: float = number(
        "To be taken away", "kg/d", 45.0, low=0, high=2e6, follows="product", group="Running", help="Rejects."
    )
    disposal_price: float | None = number(
        "To have a tonne taken away costs", "money/t", None, low=0, high=1e6, blank=True, group="Running",
        help="Carting and fee.", source=own_choice("no price until you give one"), measure="ask the council",
    )  # fmt: skip
    sacks_cost_per_year: float | None = number(
        "Sacks cost in a year", "money", None, low=0, high=1e9, blank=True, follows="product", group="Running",
        help="Where the yard buys them.",
    )  # fmt: skip
    transport_cost_per_year: float | None = number(
        "Transport costs in a year", "money", None, low=0, high=1e9, blank=True, follows="product", group="Running",
        help="Where the yard brings its product.",
    )  # fmt: skip
    rent_per_year: float = number(
        "Rent of the plot, a year", "money", 0.0, low=0, high=1e9, group="Running", help="Nothing where the council lends it.",
        source=own_choice("a council's own plot"),
    )  # fmt: skip
    income_per_year: float | None = number(
        "Sale of product in a year", "money", None, low=0, high=1e9, blank=True, follows="product", group="Income",
        help="By your prices.",
    )  # fmt: skip
    product_kg_per_day: float = number(
        "Product, all grades", "kg/d", 200.0, low=0, high=3e6, follows="product", group="Income", help="Wet."
    )
    sold_percent: float = number(
        "Of each grade, sold", "percent", 100.0, low=0, high=100, follows="product", group="Income",
        help="For the break-even price."
    )
    gate_fee: float = number(
        "Fee at the gate, a tonne", "money/t", 0.0, low=0, high=1e6, group="Income", help="For what is brought.",
        source=own_choice("none"),
    )  # fmt: skip
    homes: int = count(
        "Homes served", "home", 500, low=0, high=200_000, follows="arrivals", group="Income", help="For a fee of residents."
    )
    paying_percent: float = number(
        "Homes that pay a fee", "percent", 80.0, low=1, high=100, group="Income", help="Of those served.",
        source=own_choice("a fifth never pays"), measure="ask who collects other fees",
    )  # fmt: skip
    home_fee_per_month: float = number(
        "Fee of a home in a month", "money", 0.0, low=0, high=1e6, group="Income", help="From those that pay.",
        source=own_choice("none"),
    )  # fmt: skip
    council_per_year: float = number(
        "The council pays in a year", "money", 0.0, low=0, high=1e9, group="Income", help="A grant or a contract.",
        source=own_choice("none"),
    )  # fmt: skip
    dump_saved: float | None = number(
        "A tonne kept from the dump saves the council", "money/t", None, low=0, high=1e6, blank=True, group="Income",
        help="Carting and fee. Not the yard's own income.", source=own_choice("not known until asked"),
        measure="ask the council's engineer",
    )  # fmt: skip
    moved_by_percent: float = number(
        "Each figure is moved by", "percent", 20.0, low=1, high=90, group="What matters most",
        help="Up and down, one at a time.",
        source=own_choice("about how sure first figures are"),
    )  # fmt: skip


@dataclass(frozen=True)
class Outputs:
    """Cost, income, and what comes of both."""

    cost_per_t: float | None = output("Cost by mass of waste", "money/t", key_figure=True,
        help="Building and running, before income.")
    net_cost_per_t: float | None = output("The same, after income", "money/t", key_figure=True,
        help="Below nought the yard earns.")
    break_even_price: float | None = output("Price of product that covers all", "money/kg", key_figure=True,
        help="Of all that is "
                                            "sold, on the mean.")  # fmt: skip
    payback_years: float | None = output("Paid back after", "year", key_figure=True,
        help="Without interest. Empty: not in the years "
                                         "looked at.")  # fmt: skip
    not_priced: str = output_text("Without a price yet", key_figure=True)
    investment: float = output("To build, with the first worms", "money")
    capital_charge_per_year: float = output("Building as a yearly charge", "money")
    running_cost_per_year: float = output("Running cost in a year", "money")
    whole_cost_per_year: float = output("Both in a year", "money")
    whole_income_per_year: float = output("Income in a year, all of it", "money")
    net_per_year: float = output("Left in a year, before the charge", "money", help="Income less running cost.")
    running_percent_of_building: float | None = output("Running cost, in percent of building cost", "percent",
        help="15 is published.")
    break_even_gate_fee: float | None = output("Gate fee that covers the rest", "money/t",
        help="With the other income as it is.")
    break_even_home_fee: float | None = output("Fee of a paying home in a month that covers the rest", "money")
    net_present_value: float = output("Net present value", "money", help="Over the years looked at, at the interest.")
    internal_rate_percent: float | None = output("Internal rate of return", "percent", help="Empty: none, or several.")
    internal_rate_said: str = output_text("About that rate")
    saved_by_council_per_year: float | None = output("The council saves in a year", "money", help="Empty until asked.")
    costs: tuple[tuple[object, ...], ...] = output_table(
        "Cost in a year", (Column("item", "Item"), Column("cost", "In a year", "money"), Column("share", "Share", "percent"),
                           Column("known", "Price")),
    )  # fmt: skip
    who_pays: tuple[tuple[object, ...], ...] = output_table(
        "Who could pay, and what", (
            Column("who", "Who pays"), Column("year", "In a year", "money"), Column("tonne", "By mass of waste", "money/t"),
            Column("home", "A paying home, a month", "money"), Column("kilogram", "A kilogram sold", "money/kg"),
        ),
    )  # fmt: skip
    what_matters: tuple[tuple[object, ...], ...] = output_table(
        "Cost by mass of waste after income, when one figure alone is moved", (
            Column("what", "Moved"), Column("down", "Down", "money/t"), Column("up", "Up", "money/t"),
        ),
    )  # fmt: skip
    cash_by_year: tuple[tuple[object, ...], ...] = output_table(
        "Cash, year by year", (Column("year", "Year"), Column("cash", "Cash", "money"), Column("sum", "All so far", "money"))
    )


# ---- formulas -------------------------------------------------------------------------------------------------


def annuity(amount: float, rate: float, periods: float) -> float:
    """What is paid at the end of each period so that ``amount`` is paid off with interest: A·r ÷ (1 − (1 + r)^−n).

    ``rate`` (a fraction for a period) from 0, ``periods`` from 1. Below a millionth the first terms of its series stand for
    it, where the difference of two nearly equal numbers would be lost to rounding.
    """
    if rate < SMALLEST_RATE:
        return amount / periods * (1 + rate * (periods + 1) / 2)
    return amount * rate / (1 - (1 + rate) ** -periods)


def yearly_wages(hours: float, wage: float) -> float:
    """Wages of a year."""
    return hours * wage


def roster_hours(workers: float, days_a_week: float, shift: float) -> float:
    """Paid hours in a year of 365 days."""
    return workers * days_a_week / 7 * 365 * shift


def cost_of_a_tonne(cost_per_year: float, tonnes_per_year: float) -> float:
    """Cost of a year on the tonnes of a year (above 0)."""
    return cost_per_year / tonnes_per_year


def net_present_value(rate: float, flows: Sequence[float]) -> float:
    """Value today of flows, the first of them today, one in each period: Σ flow ÷ (1 + r)^t. ``rate`` above −1."""
    discount = 1 / (1 + rate)
    value = 0.0
    for flow in reversed(flows):
        value = value * discount + flow
    return value


def sign_changes(flows: Sequence[float]) -> int:
    """How often the flows change their sign, noughts left out. There are at most so many internal rates (Descartes)."""
    signs = [flow > 0 for flow in flows if flow != 0]
    return sum(a != b for a, b in zip(signs, signs[1:], strict=False))


def internal_rates(flows: Sequence[float]) -> list[float]:
    """Every rate between −99 % and 1,000 % at which the flows are worth nothing, lowest first.

    Where the flows change their sign never there is none, where once one at most. Otherwise two that lie closer together
    than a step of the search (an eightieth of 1 + r, and less) may be missed.
    """
    if sign_changes(flows) == 0:
        return []
    low, high = log(1 + LOWEST_RATE), log(1 + HIGHEST_RATE)
    edges = [exp(low + (high - low) * step / STEPS) - 1 for step in range(STEPS + 1)]
    values = [net_present_value(rate, flows) for rate in edges]
    found = []
    for a, b, at_a, at_b in zip(edges, edges[1:], values, values[1:], strict=False):
        if at_a == 0:
            found.append(a)
        elif (at_a < 0) != (at_b < 0) and at_b != 0:
            found.append(_bisect(flows, a, b, at_a < 0))
    if values[-1] == 0:
        found.append(edges[-1])
    return found


def _bisect(flows: Sequence[float], a: float, b: float, below_at_a: bool) -> float:
    for _ in range(60):
        middle = (a + b) / 2
        if (net_present_value(middle, flows) < 0) == below_at_a:
            a = middle
        else:
            b = middle
    return (a + b) / 2


def payback(flows: Sequence[float]) -> float | None:
    """Years until the sum of flows, the first of them today, is no longer below 0; within a year evenly. ``None``: never."""
    level = 0.0
    for year, flow in enumerate(flows):
        before, level = level, level + flow
        if level >= 0:
            return 0.0 if year == 0 else year - 1 + -before / flow
    return None


def cash_flows(parts: Sequence[tuple[float, int]], net_per_year: float, years: int) -> list[float]:
    """Flows from today to the end: parts (cost, life) are bought, replaced when they are worn out, and what is left of them
    at the end counts by the years left; ``net_per_year`` comes at the end of each year."""
    flows = [0.0] + [net_per_year] * years
    for cost, life in parts:
        bought = 0
        for year in range(0, years, life):
            flows[year] -= cost
            bought = year
        flows[years] += cost * (bought + life - years) / life
    return flows


# ---- solving --------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Sums:
    """Amounts of a year, of which the rest follows."""

    investment: float
    charge: float
    items: tuple[tuple[str, float, bool], ...]
    running: float
    income: float
    other_income: float
    tonnes: float


def _parts(inputs: Inputs) -> list[tuple[float, int]]:
    """Cost and life of what is bought, the first worms last."""
    worms = inputs.first_worms_cost
    bought = [(worms, inputs.horizon_years)] if worms is not None else []
    if inputs.building_parts:
        return [(row[1], row[2]) for row in inputs.building_parts] + bought  # type: ignore[misc]
    if inputs.building_cost is None:
        return [(inputs.building_cost_per_t_day * inputs.received_kg_per_day / 1000, inputs.horizon_years), *bought]
    equipment = inputs.equipment_cost
    return [(inputs.building_cost, inputs.horizon_years),
            *([(equipment, inputs.equipment_years)] if equipment is not None else []), *bought]  # fmt: skip


def _built(inputs: Inputs) -> list[tuple[float, int]]:
    """The parts without the first worms: what is repaired and insured."""
    parts = _parts(inputs)
    return parts if inputs.first_worms_cost is None else parts[:-1]


def _summed(inputs: Inputs, working: Working) -> _Sums:
    """All amounts of a year, each a step."""
    rate = inputs.interest_percent / 100
    parts = _parts(inputs)
    charges = [working.step(_part_name(inputs, at), "money", annuity, amount=cost, rate=rate, periods=life,
                            source=source("numpy_financial"))
               for at, (cost, life) in enumerate(parts)]  # fmt: skip
    building = total(cost for cost, _ in _built(inputs))
    hours = (working.step("Paid hours in a year", "worker-h", roster_hours, workers=inputs.crew_count,
                          days_a_week=inputs.days_per_worker, shift=inputs.shift_hours)
             if inputs.paid_for == "roster" else inputs.worker_hours_per_day * 365)  # fmt: skip
    tonnes = inputs.received_kg_per_day * 365 / 1000
    items: list[tuple[str, float, bool]] = []

    def add(name: str, amount: float, price: float | None = 1.0) -> None:
        items.append((name, working.constant(0.0) if price is None else amount * price, price is not None))

    wage = inputs.wage_per_hour
    add("Wages", 1.0 if wage is None else working.step("Wages in a year", "money", yearly_wages, hours=hours, wage=wage),
        None if wage is None else 1.0)
    add("Foreman, office and watchman", inputs.other_pay_per_year)
    add("Electricity", inputs.energy_kwh_per_month * 12, inputs.power_price)
    add("Water", inputs.tap_l_per_day * 365 / 1000, inputs.water_price)
    add("Bought ingredients", inputs.mix_cost_per_day * 365)
    add("Repair", building * inputs.upkeep_percent / 100)
    add("Insurance", building * inputs.insurance_percent / 100)
    add("Laboratory", inputs.laboratory_tests_per_year, inputs.laboratory_price)
    add("Rejects taken away", inputs.thrown_away_kg_per_day * 365 / 1000, inputs.disposal_price)
    add("Sacks", 1.0, inputs.sacks_cost_per_year)
    add("Transport", 1.0, inputs.transport_cost_per_year)
    add("Rent", inputs.rent_per_year)
    other = (tonnes * inputs.gate_fee + inputs.homes * inputs.paying_percent / 100 * inputs.home_fee_per_month * 12
             + inputs.council_per_year)  # fmt: skip
    sale = inputs.income_per_year
    return _Sums(
        total(cost for cost, _ in parts), total(charges), tuple(items), total(amount for _, amount, _ in items),
        other if sale is None else other + sale, other, tonnes,
    )  # fmt: skip


def _part_name(inputs: Inputs, at: int) -> str:
    if at < len(inputs.building_parts):
        return f"Yearly charge of part {at + 1}, {inputs.building_parts[at][0]}"
    if at == 0:
        return "Yearly charge of building"
    return "Yearly charge of equipment" if at < len(_built(inputs)) else "Yearly charge of the first worms"


def solve(inputs: Inputs, working: Working) -> Outputs:
    """Costs, income, break-even, and the judgement over the years."""
    sums = _summed(inputs, working)
    whole = sums.charge + sums.running
    net = sums.income - sums.running
    tonnes = sums.tonnes
    sold_kg = inputs.product_kg_per_day * 365 * inputs.sold_percent / 100
    paying_months = inputs.homes * inputs.paying_percent / 100 * 12
    some, sells, pay = tonnes > 0, sold_kg > 0, paying_months > 0
    gap = whole - sums.income
    cost = working.step("Cost by mass of waste", "money/t", cost_of_a_tonne, cost_per_year=whole,
                        tonnes_per_year=tonnes) if some else None  # fmt: skip
    flows, value, rates, back, matters = working.untraced(_judged, inputs, net)
    building = total(cost for cost, _ in _built(inputs))
    gate_income = tonnes * inputs.gate_fee
    fee_income = paying_months * inputs.home_fee_per_month
    saved = None
    if inputs.dump_saved is not None:
        saved = most(tonnes - inputs.thrown_away_kg_per_day * 365 / 1000, 0) * inputs.dump_saved
    return Outputs(
        cost_per_t=cost,
        net_cost_per_t=gap / tonnes if some else None,
        break_even_price=most(whole - sums.other_income, 0) / sold_kg if sells else None,
        payback_years=back,
        not_priced=_listed([name.lower() for name, _, priced in sums.items if not priced]
                           + (["sale"] if inputs.income_per_year is None else [])) or "nothing",
        investment=sums.investment,
        capital_charge_per_year=sums.charge,
        running_cost_per_year=sums.running,
        whole_cost_per_year=whole,
        whole_income_per_year=sums.income,
        net_per_year=net,
        running_percent_of_building=100 * sums.running / building if building > 0 else None,
        break_even_gate_fee=most(gap + gate_income, 0) / tonnes if some else None,
        break_even_home_fee=most(gap + fee_income, 0) / paying_months if pay else None,
        net_present_value=value,
        internal_rate_percent=rates[0] if len(rates) == 1 else None,
        internal_rate_said=_about(rates),
        saved_by_council_per_year=saved,
        costs=(("Building, as a charge", sums.charge, _share(sums.charge, whole), ""),
               *((name, amount, _share(amount, whole), "" if priced else "no price yet")
                 for name, amount, priced in sums.items)),
        who_pays=working.untraced(_who_pays, inputs, whole, sums.income - sums.other_income, tonnes, paying_months, sold_kg),
        what_matters=matters,
        cash_by_year=flows,
    )  # fmt: skip


def _share(part: float, whole: float) -> float:
    return 100 * part / most(whole, 1e-12)


def _judged(inputs: Inputs, net: float) -> tuple[tuple[tuple[object, ...], ...], float, tuple[float, ...], float | None,
                                                 tuple[tuple[object, ...], ...]]:  # fmt: skip
    """Cash by year, its value, internal rates (percent), payback, and what moves the cost of a tonne."""
    flows = cash_flows(_parts(inputs), net, inputs.horizon_years)
    level, rows = 0.0, []
    for year, flow in enumerate(flows):
        level += flow
        rows.append((str(year), flow, level))
    rates = tuple(100 * rate for rate in internal_rates(flows))
    return tuple(rows), net_present_value(inputs.interest_percent / 100, flows), rates, payback(flows), _what_matters(inputs)


MOVED = {
    "Cost of building": ("building_cost", "building_cost_per_t_day", "building_parts"),
    "Cost of equipment": ("equipment_cost",), "Wage, an hour": ("wage_per_hour",),
    "Pay of others": ("other_pay_per_year",), "Interest": ("interest_percent",), "Price of power": ("power_price",),
    "Price of water": ("water_price",), "Bought ingredients": ("mix_cost_per_day",), "Repair": ("upkeep_percent",),
    "Insurance": ("insurance_percent",), "Laboratory": ("laboratory_price",), "Price of disposal": ("disposal_price",),
    "Sacks": ("sacks_cost_per_year",), "Transport": ("transport_cost_per_year",), "Rent": ("rent_per_year",),
    "Income of sale": ("income_per_year",), "Fee at the gate": ("gate_fee",), "Fee of homes": ("home_fee_per_month",),
    "What the council pays": ("council_per_year",),
}  # fmt: skip


def _moved(inputs: Inputs, names: Sequence[str], factor: float) -> Inputs:
    """The inputs with some of them times a factor."""
    changed: dict[str, object] = {}
    for name in names:
        value = getattr(inputs, name)
        if name == "building_parts":
            changed[name] = tuple((part, cost * factor, life) for part, cost, life in value)
        elif value is not None:
            changed[name] = value * factor
    return dataclasses.replace(inputs, **changed)  # type: ignore[arg-type]


class _Quiet(Working):
    """Computes and keeps nothing: for trying one changed figure after another."""

    def step(self, label: str, unit: str, formula: Callable[..., float], **values: Any) -> float:
        return formula(**{name: value for name, value in values.items() if name not in ("note", "source", "names")})

    def constant(self, value: float) -> float:
        return value


def _net_cost_per_t(inputs: Inputs) -> float:
    sums = _summed(inputs, _Quiet())
    return float((sums.charge + sums.running - sums.income) / sums.tonnes)


def _what_matters(inputs: Inputs) -> tuple[tuple[object, ...], ...]:
    """What each figure alone, moved down and up, makes of the cost of a tonne; the furthest first."""
    if inputs.received_kg_per_day <= 0:
        return ()
    step = inputs.moved_by_percent / 100
    rows = []
    for name, moved in MOVED.items():
        if not any(getattr(inputs, each) for each in moved):
            continue
        down, up = (_net_cost_per_t(_moved(inputs, moved, factor)) for factor in (1 - step, 1 + step))
        if abs(up - down) > 1e-9:
            rows.append((name, down, up))
    return tuple(sorted(rows, key=lambda row: -abs(row[2] - row[1])))


def _about(rates: Sequence[float]) -> str:
    if not rates:
        return "none: at no interest do the flows come out even"
    return "one" if len(rates) == 1 else f"{len(rates)} of them, so none can be trusted: go by the net present value"


def _who_pays(inputs: Inputs, whole: float, sale: float, tonnes: float, paying_months: float,
              sold_kg: float) -> tuple[tuple[object, ...], ...]:  # fmt: skip
    """All of the cost, or what sale leaves of it, on one payer."""
    rest = max(whole - sale, 0.0)

    def a(amount: float, on: float) -> float | None:
        return amount / on if on > 0 else None

    return (
        ("The council alone", whole, a(whole, tonnes), None, None),
        ("Sale, and the council the rest", rest, a(rest, tonnes), None, None),
        ("Residents alone", whole, None, a(whole, paying_months), None),
        ("Sale, and residents the rest", rest, None, a(rest, paying_months), None),
        ("Half of the rest each, council and residents", rest / 2, a(rest / 2, tonnes), a(rest / 2, paying_months), None),
        ("Whoever brings waste, at the gate", rest, a(rest, tonnes), None, None),
        ("Buyers alone", whole, None, None, a(whole, sold_kg)),
    )


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1] if words else ""


# ---- words ----------------------------------------------------------------------------------------------------


def in_round_figures(amount: float) -> float:
    """An amount to four figures, for words."""
    return float(f"{amount:.4g}")


def sentence(inputs: Inputs, outputs: Outputs, say: Say) -> str:
    """The answer in one sentence."""
    if outputs.cost_per_t is None or outputs.net_cost_per_t is None:
        return f"Nothing arrives, so it has no cost by mass; the year costs {_money(outputs.whole_cost_per_year, say)}."
    costs = f"Composting this waste costs {say(in_round_figures(outputs.cost_per_t), 'money/t')}"
    if outputs.not_priced != "nothing":
        costs += " in what has a price so far"
    after = outputs.net_cost_per_t
    if outputs.whole_income_per_year <= 0:
        year = _money(outputs.whole_cost_per_year, say)
        return f"{costs}, and nothing comes in yet: {year} a year is to be paid by somebody."
    if after > 0:
        return f"{costs}; income leaves {say(in_round_figures(after), 'money/t')} of it to be paid by somebody."
    so_far = " before what has none" if outputs.not_priced != "nothing" else ""
    return f"{costs}; income covers it and leaves {say(in_round_figures(-after), 'money/t')}{so_far}."


def _money(amount: float, say: Say) -> str:
    return say(in_round_figures(amount), "money")


def notices(inputs: Inputs, outputs: Outputs, say: Say) -> list[str]:
    """What to know about this result."""
    found = []
    if outputs.not_priced != "nothing":
        found.append(f"No price is given for: {outputs.not_priced}. It counts as nothing here: the yard costs more, or "
                     "earns more.")
    if not inputs.building_parts and inputs.building_cost is None:
        rate = inputs.building_cost_per_t_day
        if rate == BUILDING.typical:
            found.append(
                f"Building is reckoned at {rate:,.0f} for each tonne a day: the middle of a published range of "
                f"{BUILDING.low:,.0f} to "
                f"{BUILDING.high:,.0f} US dollars for centres of 2 to 20 tonnes. Unless you count in US dollars, it is "
                "not yours."
            )
        else:
            found.append("Building is reckoned by a rate for each tonne a day. Small yards cost more for a tonne than "
                         "large ones.")
    share = outputs.running_percent_of_building
    if share is not None and outputs.not_priced == "nothing" and not 0.5 * RUNNING.typical <= share <= 2 * RUNNING.typical:
        found.append(f"Running costs {say(share, 'percent')} of what was built, in a year. Published for recovery centres: "
                     f"{RUNNING.typical:g} %. Work by hand raises it, dear building lowers it.")  # fmt: skip
    elif share is not None and outputs.not_priced == "nothing":
        found.append(f"Running costs {say(share, 'percent')} of what was built, in a year; {RUNNING.typical:g} % is published.")
    if outputs.payback_years is None:
        found.append("The yard does not pay back what it cost within the years looked at. Many yards do not: they save "
                     "carting and "
                     "the dump, and somebody else gains that.")  # fmt: skip
    if outputs.saved_by_council_per_year is not None:
        gap = outputs.whole_cost_per_year - outputs.whole_income_per_year
        saves = outputs.saved_by_council_per_year
        found.append(
            f"The council saves {_money(saves, say)} a year on carting and dumping"
            + (f", which covers what is lacking ({_money(gap, say)})." if saves >= gap > 0 else
               "; the yard lacks nothing." if gap <= 0 else f"; {_money(gap, say)} is lacking.")
        )
    if "of them" in outputs.internal_rate_said:
        found.append("Parts that are replaced make the flows change their sign more than once; then an internal rate says "
                     "nothing.")
    found.append("All is in today's money, so prices and wages are taken to rise alike. Taxes are left out.")
    return found


def cautions(inputs: Inputs, outputs: Outputs, say: Say) -> list[RaisedCaution]:
    """Nothing may be sold untested, whatever it brings."""
    if not inputs.income_per_year:
        return []
    return [RaisedCaution("compost_not_fit_until_tested", f"{_money(inputs.income_per_year, say)} a year is counted on.")]


def charts(inputs: Inputs, outputs: Outputs) -> list[Chart]:
    """Costs, cash, and what matters most."""
    shown = [(str(row[0]), float(row[1])) for row in outputs.costs if float(row[1]) > 0]  # type: ignore[arg-type]
    made = []
    if shown:
        made.append(Chart("bars", "Cost in a year", "money", tuple(name for name, _ in shown),
                          (Line("Cost", tuple(amount for _, amount in shown)),), axis="Item"))  # fmt: skip
    if outputs.what_matters and outputs.net_cost_per_t is not None:
        rows = outputs.what_matters[:8]
        by = f"{inputs.moved_by_percent:g} %"
        made.append(
            Chart("swings", f"Cost by mass of waste after income, when one figure alone is {by} lower or higher", "money/t",
                  tuple(str(row[0]) for row in rows),
                  (Line(f"{by} lower", tuple(float(row[1]) for row in rows)),  # type: ignore[arg-type]
                   Line(f"{by} higher", tuple(float(row[2]) for row in rows))),  # type: ignore[arg-type]
                  (Mark(outputs.net_cost_per_t, "as planned"),), axis="Moved")
        )  # fmt: skip
    return made


CALCULATOR = Calculator(
    key="money", title="Money", question="What does it cost, who pays, and does it pay back?", inputs=Inputs, outputs=Outputs,
    solve=solve, sentence=sentence, notices=notices, cautions=cautions, charts=charts,
    sources=(BUILDING.cited(), RUNNING.cited(), source("numpy_financial"),
             own_choice("interest, life, repair, insurance and number of tests: to begin with")),
)  # fmt: skip
