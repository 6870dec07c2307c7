"""Units against an independent library (pint), and numbers as people write them."""

from __future__ import annotations

import pint
import pytest

from calculators.units import (
    SYSTEMS,
    UNITS,
    EntryError,
    convert,
    display_unit,
    parse_count,
    parse_number,
    parse_quantity,
    show,
    show_number,
    unit,
    without_unit_suffix,
)  # fmt: skip

REGISTRY = pint.UnitRegistry()
REGISTRY.define("person = []")
REGISTRY.define("home = []")
REGISTRY.define("worker = []")
REGISTRY.define("year365 = 365 day")
REGISTRY.define("month365 = year365 / 12")
REGISTRY.define("acre43560 = 43560 * foot**2")

# ours: pint's. Counted things (tubs, bays, heaps, lifts, money) have no counterpart there: factors of 1 by definition.
IN_PINT = {
    "kg": "kilogram", "g": "gram", "mg": "milligram", "t": "metric_ton", "lb": "pound", "oz": "ounce",
    "kg/d": "kilogram/day", "t/d": "metric_ton/day", "lb/d": "pound/day", "t/year": "metric_ton/year365",
    "kg/year": "kilogram/year365", "kg/home/d": "kilogram/home/day", "lb/home/d": "pound/home/day",
    "kg/person/d": "kilogram/person/day", "lb/person/d": "pound/person/day", "kg/person/year": "kilogram/person/year365",
    "ha": "hectare", "acre": "acre43560", "kg/m2": "kilogram/meter**2", "lb/ft2": "pound/foot**2",
    "t/ha": "metric_ton/hectare", "kg/ha": "kilogram/hectare", "lb/acre": "pound/acre43560",
    "mg/kg": "milligram/kilogram", "kg/t": "kilogram/metric_ton",
    "kg/m3": "kilogram/meter**3", "kg/l": "kilogram/liter", "g/cm3": "gram/centimeter**3", "lb/yd3": "pound/yard**3",
    "lb/ft3": "pound/foot**3", "kg/m2": "kilogram/meter**2", "lb/ft2": "pound/foot**2", "m": "meter", "km": "kilometer",
    "cm": "centimeter", "mm": "millimeter", "ft": "foot", "in": "inch",
    "yd": "yard", "m2": "meter**2", "ft2": "foot**2", "m3": "meter**3", "l": "liter", "ml": "milliliter",
    "ft3": "foot**3", "yd3": "yard**3", "us_gal": "gallon", "m3/d": "meter**3/day", "l/d": "liter/day",
    "m3/year": "meter**3/year365", "yd3/d": "yard**3/day", "ft3/d": "foot**3/day",
    "us_gal/d": "gallon/day", "l/s": "liter/second", "l/min": "liter/minute", "m3/s": "meter**3/second",
    "us_gal/min": "gallon/minute", "mm/h": "millimeter/hour", "in/h": "inch/hour", "m3/kg": "meter**3/kilogram",
    "yd3/lb": "yard**3/pound", "d": "day", "h": "hour", "min": "minute", "s": "second", "week": "week",
    "year": "year365", "month": "month365", "A": "ampere", "V": "volt",
    "kg/worker-h": "kilogram/worker/hour", "lb/worker-h": "pound/worker/hour", "m3/worker-h": "meter**3/worker/hour",
    "yd3/worker-h": "yard**3/worker/hour", "l/worker-h": "liter/worker/hour", "us_gal/worker-h": "gallon/worker/hour",
    "worker-h/m3": "worker*hour/meter**3", "worker-h/yd3": "worker*hour/yard**3", "kg/h": "kilogram/hour",
    "lb/h": "pound/hour", "°C rise": "delta_degree_Celsius", "°F rise": "delta_degree_Fahrenheit", "kW": "kilowatt",
    "W": "watt", "kVA": "kilovolt_ampere", "kWh": "kilowatt_hour", "kWh/d": "kilowatt_hour/day",
    "kWh/month": "kilowatt_hour/month365", "hp": "horsepower", "percent": "percent", "fraction": "dimensionless",
}  # fmt: skip


def test_factors_against_pint() -> None:
    """Every pair of units of one quantity converts as pint converts it."""
    checked = 0
    for one, its in IN_PINT.items():
        for other, theirs in IN_PINT.items():
            if unit(one).quantity != unit(other).quantity:
                continue
            wanted = REGISTRY.Quantity(7.3, its).to(theirs).magnitude
            assert convert(7.3, one, other) == pytest.approx(wanted, rel=1e-12), (one, other)
            checked += 1
    assert checked > 150


def test_temperatures_against_pint() -> None:
    for value in (-40.0, 0.0, 55.0, 65.5, 100.0):
        wanted = REGISTRY.Quantity(value, "degree_Celsius").to("degree_Fahrenheit").magnitude
        assert convert(value, "°C", "°F") == pytest.approx(wanted, abs=1e-9)
        assert convert(wanted, "°F", "°C") == pytest.approx(value, abs=1e-9)


def test_printed_factor() -> None:
    """lb/yd3 × 0.5933 = kg/m3, as extension tables print it."""
    assert convert(1, "lb/yd3", "kg/m3") == pytest.approx(0.5933, abs=5e-5)


def test_other_quantities_do_not_mix() -> None:
    with pytest.raises(ValueError, match="kg is a mass"):
        convert(1, "kg", "m")
    with pytest.raises(KeyError):
        unit("stone")


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("12", 12), (" 12 ", 12), ("1.5", 1.5), ("0,75", 0.75), ("12,5", 12.5), ("3,1416", 3.1416), ("1.500", 1.5),
        ("0,500", 0.5), ("1 500", 1500), ("1\u202f500", 1500), ("1'500", 1500), ("1,234,567", 1234567),
        ("12,34,567", 1234567), ("1.234,5", 1234.5), ("1,234.5", 1234.5), ("1.234.567", 1234567), ("+3", 3), ("-3", -3),
        ("−3", -3), ("1e3", 1000), ("1/2", 0.5), ("2 1/2", 2.5), ("½", 0.5), ("1½", 1.5), ("1⁄2", 0.5), ("2⅗", 2.6),
        ("−½", -0.5), ("-2 1/2", -2.5), (".5", 0.5), ("12.", 12),
        ("१२३", 123), ("३.५", 3.5), ("٣٫٥", 3.5), ("১২", 12), ("１２", 12), ("۱۲", 12), ("1٬234٬567", 1234567),
    ],
)  # fmt: skip
def test_numbers_as_written(written: str, value: float) -> None:
    assert parse_number(written) == pytest.approx(value, rel=1e-15)


@pytest.mark.parametrize("written", ["", "  ", "abc", "nan", "inf", "-inf", "∞", "1 2 3", "5 6", "1,2,3", "1.2.3",
                                     "12.,", "12,,",
                                     "0x10", "1_000",
                                     "1e999", "9" * 65, "1e16", "--3", "3-", "1/0", ",", ".", "e5", None, True, False,
                                     float("nan"), float("inf"), 10**400, b"3", [3], "3 kg", "²"])  # fmt: skip
def test_what_is_no_number_is_refused_with_a_reason(written: object) -> None:
    with pytest.raises(EntryError) as caught:
        parse_number(written)  # type: ignore[arg-type]
    assert caught.value.reason


def test_a_comma_that_can_be_read_in_two_ways_is_asked_about() -> None:
    asked = {"1,500": "1500 or 1.500", "-1,500": "-1500 or -1.500", "1,500e2": "1500e2 or 1.500e2"}
    for written, ways in asked.items():
        with pytest.raises(EntryError, match=f"two ways. Write {ways}"):
            parse_number(written)


@pytest.mark.parametrize(
    ("written", "key", "value"),
    [
        ("5ft", "m", 1.524), ("5 ft 6 in", "m", 1.6764), ("5'6\"", "m", 1.6764), ("5′ 6″", "m", 1.6764), ("18 in", "m", 0.4572),
        ("3 weeks", "d", 21), ("36 h", "d", 1.5), ("131 F", "°C", 55), ("131 °F", "°C", 55), ("60 %", "percent", 60),
        ("0,6", "percent", 0.6), ("20 litres", "l", 20), ("5 gal", "l", 18.92705892), ("1,5 kg", "g", 1500),
        ("2 lb 8 oz", "kg", 1.133980925), ("396 lb/yd3", "kg/m3", 234.93746), ("10 m³", "m3", 10), ("16 mg CO₂/g OM/d",
        "mg CO2-C/g OM/d", 4.36674), ("400 mg O2/kg VS/h", "mmol O2/kg OM/h", 12.50078), ("7", "m", 7),
        ("3 Mg", "kg", 3000), ("3 KG", "kg", 3), ("3 mL", "l", 0.003), ("2 km", "m", 2000), ("100 ft3/d", "m3/d", 2.8316847),
        ("25 tonnes/day", "kg/d", 25000), ("5 US gallons", "l", 18.92705892), ("40 units/t", "money/kg", 0.04),
    ],
)  # fmt: skip
def test_units_as_written(written: str, key: str, value: float) -> None:
    assert parse_quantity(written, key) == pytest.approx(value, rel=1e-6)


@pytest.mark.parametrize("written", ["5 m", "5 parsecs", "5 ft 6", "kg", "5 kg kg"])
def test_units_that_do_not_fit_are_refused(written: str) -> None:
    with pytest.raises(EntryError):
        parse_quantity(written, "kg")


def test_a_capital_never_shrinks_a_figure_a_thousand_million_times() -> None:
    """ML (megalitre) is not known; it must be asked about, not read as a millilitre."""
    for written, key in (("3 ML", "l"), ("3 MG", "kg")):
        with pytest.raises(EntryError, match="unit that is not known here"):
            parse_quantity(written, key)


def test_a_number_that_grows_too_large_in_its_unit_is_refused() -> None:
    for written in (1e14, "1e14", "1e14 t"):
        with pytest.raises(EntryError, match="is too large"):
            parse_quantity(written, "kg", "t")


def test_units_in_words() -> None:
    """Every unit but the pure number has a name to read aloud, with no sign or digit in it."""
    words = {"kg/d": "kilograms a day", "kg/person/d": "kilograms per person a day",
             "m3/worker-h": "cubic metres per worker-hour",
             "kg/h": "kilograms an hour", "lb/yd3": "pounds per cubic yard", "lifts/min": "lifts a minute",
             "mg O2/kg VS/h": "milligrams of oxygen per kilogram of volatile solids an hour"}  # fmt: skip
    for key, spoken in words.items():
        assert unit(key).spoken == spoken
    for its in UNITS.values():
        assert (its.spoken == "") == (its.key == "1")
        assert not set(its.spoken) & set("0123456789/°%³²_")
        assert its.spoken == " ".join(its.spoken.split())


def test_counts() -> None:
    assert parse_count("1,234,567") == 1234567
    assert parse_count("1150 homes", "home") == 1150
    assert parse_count("6 weeks", "d") == 42 and parse_count("72 h", "d") == 3 and parse_count(3.0) == 3
    for other in ("300 people", "5 tubs", "3 kg"):
        with pytest.raises(EntryError, match="unit that is not known here"):
            parse_count(other, "home")
    for wrong in (True, None, 10**400, float("nan"), float("inf"), "36 h", [1]):
        with pytest.raises(EntryError):
            parse_count(wrong, "d")  # type: ignore[arg-type]
    with pytest.raises(EntryError, match="whole number. Write 2 or 3"):
        parse_count("2.5")


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("key", list(UNITS))
def test_a_shown_figure_reads_back(key: str, system: str) -> None:
    """What is shown, with its unit or without, reads back to the value within the digits shown."""
    for value in (0.0, 0.0123, 1.0, 3.7, 62.2345, 1034.2, 12345.678, -4.5):
        shown = show(value, key, system, 6)
        there = display_unit(key, system)
        bare = show_number(convert(value, key, there), 6)
        back = parse_quantity(bare, key, there)
        spread = abs(convert(1e-5 * max(abs(convert(value, key, there)), 1e-9), there, key) - convert(0, there, key))
        assert back == pytest.approx(value, rel=1e-5, abs=spread + 1e-9), shown
        if unit(there).symbol and "units" not in shown:
            assert parse_quantity(shown, key, there) == pytest.approx(back, rel=1e-12), shown


def test_shown_numbers() -> None:
    cases = {1034.2: "1034", 12345.6: "12\u202f346", 0.5: "0.5", 62.23: "62.2", 0: "0", -4.56: "\u22124.56",
             0.000012: "0.000012"}  # fmt: skip
    for value, words in cases.items():
        assert show_number(value) == words
    assert show_number(27.05, 4) == "27.05"
    assert show(1, "bay") == "1\u00a0bay" and show(2, "bay") == "2\u00a0bays"


def test_names_without_their_unit() -> None:
    assert without_unit_suffix("bay_width_m", "m") == "bay_width"
    assert without_unit_suffix("kitchen_kg_per_home", "kg/home/d") == "kitchen_kg_per_home"
    assert without_unit_suffix("m", "m") == "m"
