"""Units: what a figure is declared in, what a reader may write, and how a figure is shown.

Inside the package every figure is in the unit it is declared in, metric for all physical quantities. Readers may write
any unit of the same kind ("5 ft 6 in" for metres, "3 weeks" for days) and may have results shown in feet and pounds.

Factors are exact where the definition is exact (international foot and pound, US gallon of 231 cubic inches): NIST
Special Publication 811 (2008), appendix B. The tests hold every factor against an independent unit library.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

LONGEST_ENTRY = 64
LARGEST_NUMBER = 1e15
THIN_SPACE = "\u202f"
MINUS = "\u2212"
SYSTEMS = ("metric", "feet and pounds")


class EntryError(ValueError):
    """Something written that can't be read as a number or quantity.

    ``reason`` goes on from the name of the field ("is not a number"); ``advice`` is a sentence, or ''.
    """

    def __init__(self, reason: str, advice: str = "") -> None:
        super().__init__(f"{reason}. {advice}".strip())
        self.reason = reason
        self.advice = advice


class UnknownUnit(KeyError):
    """A unit key that is not known."""

    def __str__(self) -> str:
        return f"there is no unit named {self.args[0]!r}"


@dataclass(frozen=True)
class Unit:
    """A unit: ``value × factor + offset`` is the figure in the base unit of its quantity.

    ``spoken`` is its name in words, for screen readers: "kilograms a day"; '' for a pure number.
    """

    key: str
    symbol: str
    quantity: str
    factor: float
    offset: float = 0.0
    aliases: tuple[str, ...] = ()
    imperial: str = ""
    spoken: str = ""


_FOOT = 0.3048
_INCH = 0.0254
_POUND = 0.45359237
_GALLON_M3 = 231 * _INCH**3
_CUBIC_FOOT = _FOOT**3
_CUBIC_YARD = (3 * _FOOT) ** 3


# The words for the parts of a key: (several, one).
_WORDS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "kg": ("kilograms", "kilogram"), "g": ("grams", "gram"), "mg": ("milligrams", "milligram"),
        "t": ("tonnes", "tonne"), "lb": ("pounds", "pound"), "oz": ("ounces", "ounce"), "m": ("metres", "metre"),
        "cm": ("centimetres", "centimetre"), "mm": ("millimetres", "millimetre"), "km": ("kilometres", "kilometre"),
        "ft": ("feet", "foot"), "in": ("inches", "inch"), "yd": ("yards", "yard"),
        "ha": ("hectares", "hectare"), "acre": ("acres", "acre"), "m2": ("square metres", "square metre"), "ft2": ("square feet", "square foot"),
        "m3": ("cubic metres", "cubic metre"), "cm3": ("cubic centimetres", "cubic centimetre"),
        "ft3": ("cubic feet", "cubic foot"), "yd3": ("cubic yards", "cubic yard"), "l": ("litres", "litre"),
        "ml": ("millilitres", "millilitre"), "us_gal": ("US gallons", "US gallon"), "d": ("days", "day"),
        "h": ("hours", "hour"), "min": ("minutes", "minute"), "s": ("seconds", "second"), "week": ("weeks", "week"),
        "month": ("months", "month"), "year": ("years", "year"), "worker-h": ("worker-hours", "worker-hour"),
        "person": ("people", "person"), "worker": ("workers", "worker"), "home": ("homes", "home"),
        "tub": ("tubs", "tub"), "bay": ("bays", "bay"), "heap": ("heaps", "heap"), "lifts": ("lifts", "lift"),
        "each": ("pieces", "piece"), "money": ("units of money", "unit of money"), "percent": ("per cent", "per cent"),
        "fraction": ("as a fraction of one", ""), "1": ("", ""), "°C": ("degrees Celsius", "degree Celsius"),
        "°F": ("degrees Fahrenheit", "degree Fahrenheit"), "°C rise": ("degrees Celsius of rise", ""),
        "°F rise": ("degrees Fahrenheit of rise", ""), "kW": ("kilowatts", "kilowatt"), "W": ("watts", "watt"),
        "kVA": ("kilovolt-amperes", "kilovolt-ampere"), "kWh": ("kilowatt-hours", "kilowatt-hour"),
        "hp": ("horsepower", "horsepower"), "A": ("amperes", "ampere"), "V": ("volts", "volt"),
        "dB": ("decibels, A-weighted", ""), "dS": ("decisiemens", "decisiemens"),
        "mg CO2-C": ("milligrams of carbon as carbon dioxide", ""), "mg CO2": ("milligrams of carbon dioxide", ""),
        "mg O2": ("milligrams of oxygen", ""), "mmol O2": ("millimoles of oxygen", ""),
        "g OM": ("", "gram of organic matter"), "kg OM": ("", "kilogram of organic matter"),
        "kg VS": ("", "kilogram of volatile solids"),
    }
)  # fmt: skip
_TIMES = ("d", "h", "min", "s", "week", "month", "year")


def _spoken(key: str) -> str:
    """The key in words: "kg/person/d" gives "kilograms per person a day"."""
    first, *rest = key.split("/")
    words = [_WORDS[first][0]]
    for part in rest:
        link = "per" if part not in _TIMES else "an" if part == "h" else "a"
        words.append(f"{link} {_WORDS[part][1]}")
    return " ".join(words)


def _unit(key: str, quantity: str, factor: float, symbol: str | None = None, imperial: str = "",
          aliases: str = "", offset: float = 0.0) -> Unit:  # fmt: skip
    shown = key if symbol is None else symbol
    names = tuple(name.strip() for name in aliases.split(",") if name.strip())
    return Unit(key, shown, quantity, factor, offset, names, imperial, _spoken(key))


_ALL = (
    # pure numbers
    _unit("1", "number", 1.0, ""),
    _unit("fraction", "share", 1.0, ""),
    _unit("percent", "share", 0.01, "%", aliases="%, per cent, percent, pct"),
    # mass
    _unit("kg", "mass", 1.0, imperial="lb", aliases="kgs, kilo, kilos, kilogram, kilograms, kilogramme, kilogrammes"),
    _unit("g", "mass", 0.001, aliases="gram, grams, gramme, grammes"),
    _unit("mg", "mass", 1e-6, aliases="milligram, milligrams"),
    _unit("t", "mass", 1000.0, imperial="lb", aliases="tonne, tonnes, Mg, megagram, megagrams"),
    _unit("lb", "mass", _POUND, aliases="lbs, pound, pounds"),
    _unit("oz", "mass", _POUND / 16, aliases="ounce, ounces"),
    # mass in time
    _unit("kg/d", "mass in time", 1.0, imperial="lb/d", aliases="kg/day, kg a day, kg per day"),
    _unit("t/d", "mass in time", 1000.0, imperial="lb/d", aliases="t/day, tonnes/day, tonnes a day, tonnes per day"),
    _unit("t/year", "mass in time", 1000.0 / 365.0, imperial="lb/d", aliases="t a year, t/yr, tonnes a year"),
    _unit("kg/year", "mass in time", 1.0 / 365.0, imperial="lb/d", aliases="kg a year, kg/yr"),
    _unit("lb/d", "mass in time", _POUND, aliases="lb/day, lb a day, pounds a day"),
    _unit("kg/home/d", "mass for a home in time", 1.0, imperial="lb/home/d", aliases="kg/d"),
    _unit("lb/home/d", "mass for a home in time", _POUND, aliases="lb/d"),
    _unit("kg/person/d", "mass for a person in time", 1.0, imperial="lb/person/d", aliases="kg/d"),
    _unit("lb/person/d", "mass for a person in time", _POUND, aliases="lb/d"),
    _unit("kg/person/year", "mass for a person in time", 1.0 / 365.0, imperial="lb/person/d", aliases="kg/year"),
    # density
    _unit("kg/m3", "density", 1.0, "kg/m³", imperial="lb/yd3", aliases="kg/m³, kg per m3"),
    _unit("kg/l", "density", 1000.0, "kg/L", imperial="lb/yd3", aliases="kg/L, kg per litre"),
    _unit("g/cm3", "density", 1000.0, "g/cm³", imperial="lb/yd3", aliases="g/cm³, g/cc"),
    _unit("lb/yd3", "density", _POUND / _CUBIC_YARD, "lb/yd³", aliases="lb/yd³, lb per cubic yard"),
    _unit("lb/ft3", "density", _POUND / _CUBIC_FOOT, "lb/ft³", aliases="lb/ft³"),
    # length
    _unit("m", "length", 1.0, imperial="ft", aliases="metre, metres, meter, meters"),
    _unit("cm", "length", 0.01, imperial="in", aliases="centimetre, centimetres, centimeter, centimeters"),
    _unit("mm", "length", 0.001, imperial="in", aliases="millimetre, millimetres, millimeter, millimeters"),
    _unit("km", "length", 1000.0, imperial="ft", aliases="kilometre, kilometres, kilometer, kilometers"),
    _unit("ft", "length", _FOOT, aliases="foot, feet, ', ′"),
    _unit("in", "length", _INCH, aliases='inch, inches, ", ″'),
    _unit("yd", "length", 3 * _FOOT, aliases="yard, yards"),
    # area
    _unit("m2", "area", 1.0, "m²", imperial="ft2", aliases="m², sq m, square metres"),
    _unit("ft2", "area", _FOOT**2, "ft²", aliases="ft², sq ft, square feet"),
    _unit("kg/m2", "mass on an area", 1.0, "kg/m²", imperial="lb/ft2", aliases="kg/m², kg per m2"),
    _unit("lb/ft2", "mass on an area", _POUND / _FOOT**2, "lb/ft²", aliases="lb/ft², lb per sq ft"),
    _unit("ha", "area", 10_000.0, imperial="acre", aliases="hectare, hectares"),
    _unit("acre", "area", 43_560 * _FOOT**2, "acres", aliases="acres"),
    # mass on an area
    _unit("kg/m2", "mass on an area", 1.0, "kg/m²", imperial="lb/ft2", aliases="kg/m²"),
    _unit("lb/ft2", "mass on an area", _POUND / _FOOT**2, "lb/ft²", aliases="lb/ft²"),
    _unit("t/ha", "mass on an area", 0.1, imperial="lb/acre", aliases="tonnes/ha, tonnes a hectare"),
    _unit("kg/ha", "mass on an area", 1e-4, imperial="lb/acre", aliases="kg a hectare"),
    _unit("lb/acre", "mass on an area", _POUND / (43_560 * _FOOT**2), aliases="lb an acre"),
    # volume
    _unit("m3", "volume", 1.0, "m³", imperial="yd3", aliases="m³, cubic metre, cubic metres, cubic meters"),
    _unit("l", "volume", 0.001, "L", imperial="us_gal", aliases="litre, litres, liter, liters"),
    _unit("ml", "volume", 1e-6, "mL", aliases="millilitre, millilitres"),
    _unit("ft3", "volume", _CUBIC_FOOT, "ft³", aliases="ft³, cu ft, cubic foot, cubic feet"),
    _unit("yd3", "volume", _CUBIC_YARD, "yd³", aliases="yd³, cu yd, cubic yard, cubic yards"),
    _unit("us_gal", "volume", _GALLON_M3, "US gal", aliases="gal, gallon, gallons, us gal, us gallon, us gallons"),
    # volume in time
    _unit("m3/d", "volume in time", 1.0, "m³/d", imperial="yd3/d", aliases="m³/d, m3/day, m3 a day"),
    _unit("l/d", "volume in time", 0.001, "L/d", imperial="us_gal/d", aliases="l/day, litres a day"),
    _unit("l/month", "volume in time", 0.012 / 365.0, imperial="us_gal/d", aliases="l a month, litres a month"),
    _unit("m3/year", "volume in time", 1.0 / 365.0, "m³/year", imperial="yd3/d", aliases="m³/year"),
    _unit("yd3/d", "volume in time", _CUBIC_YARD, "yd³/d", aliases="yd³/d"),
    _unit("ft3/d", "volume in time", _CUBIC_FOOT, "ft³/d", aliases="ft³/d, ft3/day, cubic feet a day"),
    _unit("us_gal/d", "volume in time", _GALLON_M3, "US gal/d", aliases="gal/d, gallons a day"),
    _unit("l/s", "volume in time", 86.4, "L/s", imperial="us_gal/min", aliases="l/second, litres a second"),
    _unit("l/min", "volume in time", 1.44, "L/min", imperial="us_gal/min", aliases="l/minute, litres a minute"),
    _unit("m3/s", "volume in time", 86_400.0, "m³/s", imperial="us_gal/min", aliases="m³/s, cubic metres a second"),
    _unit("us_gal/min", "volume in time", _GALLON_M3 * 1440, "US gal/min", aliases="gal/min, gpm, gallons a minute"),
    # rain in time
    _unit("mm/h", "rain in time", 1.0, imperial="in/h", aliases="mm/hour, mm an hour"),
    _unit("in/h", "rain in time", 25.4, aliases="in/hour, inches an hour"),
    _unit("m3/kg", "volume for mass", 1.0, "m³/kg", imperial="yd3/lb"),
    _unit("yd3/lb", "volume for mass", _CUBIC_YARD / _POUND, "yd³/lb"),
    # time
    _unit("d", "time", 1.0, "days", aliases="day, days"),
    _unit("h", "time", 1.0 / 24, aliases="hour, hours, hr, hrs"),
    _unit("min", "time", 1.0 / 1440, aliases="minute, minutes, mins"),
    _unit("s", "time", 1.0 / 86400, aliases="second, seconds, sec"),
    _unit("week", "time", 7.0, "weeks", aliases="weeks, wk"),
    _unit("month", "time", 365.0 / 12, "months", aliases="months"),
    _unit("year", "time", 365.0, "years", aliases="years, yr, a"),
    _unit("h/d", "hours a day", 1.0, aliases="h/day, hours a day"),
    _unit("worker-h/d", "work in time", 1.0, "worker-hours/d", aliases="h/d, worker-hours a day"),
    _unit("worker-h/week", "work in time", 1.0 / 7, "worker-hours/week", aliases="worker-hours a week"),
    _unit("worker-h", "work", 1.0, "worker-hours", aliases="h, worker-hours"),
    _unit("kg/worker-h", "work rate by mass", 1.0, "kg/worker-hour", imperial="lb/worker-h", aliases="kg/h"),
    _unit("lb/worker-h", "work rate by mass", _POUND, "lb/worker-hour", aliases="lb/h"),
    _unit("m3/worker-h", "work rate by volume", 1.0, "m³/worker-hour", imperial="yd3/worker-h", aliases="m3/h"),
    _unit("yd3/worker-h", "work rate by volume", _CUBIC_YARD, "yd³/worker-hour", aliases="yd3/h"),
    _unit("l/worker-h", "work rate by liquid", 1.0, "L/worker-hour", imperial="us_gal/worker-h", aliases="l/h"),
    _unit("us_gal/worker-h", "work rate by liquid", _GALLON_M3 / 0.001, "US gal/worker-hour", aliases="gal/h"),
    _unit("worker-h/m3", "work for volume", 1.0, "worker-hours/m³", imperial="worker-h/yd3"),
    _unit("worker-h/yd3", "work for volume", 1.0 / _CUBIC_YARD, "worker-hours/yd³"),
    _unit("kg/h", "machine rate", 1.0, imperial="lb/h", aliases="kg/hour, kg an hour"),
    _unit("lb/h", "machine rate", _POUND, aliases="lb/hour, lb an hour"),
    # temperature and its rise
    _unit("°C", "temperature", 1.0, imperial="°F", aliases="C, deg C, degC, celsius"),
    _unit("°F", "temperature", 5 / 9, offset=-160 / 9, aliases="F, deg F, degF, fahrenheit"),
    _unit("°C rise", "temperature rise", 1.0, "°C", imperial="°F rise", aliases="°C, C, K, deg C, degC"),
    _unit("°F rise", "temperature rise", 5 / 9, "°F", aliases="°F, F, deg F, degF"),
    # power, sound
    _unit("kW", "power", 1.0, aliases="kw, kilowatt, kilowatts"),
    _unit("W", "power", 0.001, aliases="watt, watts"),
    _unit("hp", "power", 0.74569987158227022, aliases="horsepower"),
    _unit("kVA", "apparent power", 1.0),
    _unit("kWh", "energy", 1.0, aliases="kwh, kilowatt-hour, kilowatt-hours"),
    _unit("kWh/d", "energy in time", 1.0, aliases="kwh/d, kWh/day, kWh a day"),
    _unit("kWh/month", "energy in time", 12.0 / 365.0, aliases="kwh/month, kWh a month"),
    _unit("A", "electric current", 1.0, aliases="amp, amps, ampere, amperes"),
    _unit("V", "voltage", 1.0, aliases="volt, volts"),
    _unit("dB", "sound level", 1.0, "dB(A)", aliases="dB(A), dBA"),
    # chemistry of compost
    _unit("mg/kg", "share by mass", 1.0, aliases="ppm"),
    _unit("kg/t", "share by mass", 1000.0, aliases="g/kg"),
    _unit("mg CO2-C/g OM/d", "carbon dioxide given off", 1.0, "mg CO₂-C/g OM/d"),
    _unit("mg CO2/g OM/d", "carbon dioxide given off", 12.011 / 44.009, "mg CO₂/g OM/d"),
    _unit("mmol O2/kg OM/h", "oxygen taken up", 1.0, "mmol O₂/kg OM/h"),
    _unit("mg O2/g OM/h", "oxygen taken up", 1000.0 / 31.998, "mg O₂/g OM/h"),
    _unit("mg O2/kg VS/h", "oxygen taken up", 1.0 / 31.998, "mg O₂/kg VS/h"),
    _unit("dS/m", "conductivity", 1.0, aliases="mS/cm"),
    # counts
    _unit("lifts/min", "lifting rate", 1.0, "lifts/min"),
    _unit("tub", "tubs", 1.0, "tubs", aliases="tubs"),
    _unit("tub/d", "tubs in time", 1.0, "tubs/d", aliases="tubs/d, tubs a day"),
    _unit("bay", "bays", 1.0, "bays", aliases="bays"),
    _unit("heap", "heaps", 1.0, "heaps", aliases="heaps"),
    _unit("heap/d", "heaps in time", 1.0, "heaps/d"),
    _unit("worker", "workers", 1.0, "workers", aliases="workers, people"),
    _unit("home", "homes", 1.0, "homes", aliases="homes, flats, households"),
    _unit("person", "people", 1.0, "people", aliases="people, persons"),
    _unit("each", "pieces", 1.0, "", aliases="pieces"),
    # money
    _unit("money", "money", 1.0, "units", aliases="unit, units"),
    _unit("money/d", "money in time", 1.0, "units/d"),
    _unit("money/kg", "money for mass", 1.0, "units/kg", imperial="money/lb"),
    _unit("money/t", "money for mass", 0.001, "units/t", imperial="money/lb"),
    _unit("money/lb", "money for mass", 1.0 / _POUND, "units/lb"),
    _unit("money/m", "money for length", 1.0, "units/m", imperial="money/ft"),
    _unit("money/ft", "money for length", 1.0 / _FOOT, "units/ft"),
    _unit("money/m2", "money for area", 1.0, "units/m²", imperial="money/ft2"),
    _unit("money/ft2", "money for area", 1.0 / _FOOT**2, "units/ft²"),
    _unit("money/m3", "money for volume", 1.0, "units/m³", imperial="money/yd3"),
    _unit("money/yd3", "money for volume", 1.0 / _CUBIC_YARD, "units/yd³"),
)
UNITS: Mapping[str, Unit] = MappingProxyType({each.key: each for each in _ALL})


def unit(key: str) -> Unit:
    """The unit of that key. Raises ``UnknownUnit``."""
    try:
        return UNITS[key]
    except KeyError:
        raise UnknownUnit(key) from None


def convert(value: float, from_key: str, to_key: str) -> float:
    """``value`` in another unit of the same quantity. Raises ``ValueError`` for different quantities."""
    if from_key == to_key:
        return float(value)
    source, target = unit(from_key), unit(to_key)
    if source.quantity != target.quantity:
        raise ValueError(f"{from_key} is a {source.quantity}, {to_key} a {target.quantity}")
    return (float(value) * source.factor + source.offset - target.offset) / target.factor


class System(str):
    """How figures are shown: the name of the unit system, with the reader's own word for a unit of money.

    It is that name to whoever needs no more. ``money`` is free text; empty leaves 'units'.
    """

    money: str

    def __new__(cls, name: str, money: str = "") -> System:
        made = super().__new__(cls, name)
        made.money = money
        return made


def metric(system: str) -> System:
    """The metric system with the same word for money."""
    return System("metric", getattr(system, "money", ""))


def display_unit(key: str, system: str) -> str:
    """The unit in which a figure declared in ``key`` is shown: itself in metric, else its counterpart."""
    if system == "metric":
        return key
    return unit(key).imperial or key


def display_symbol(key: str, system: str) -> str:
    """The symbol of that unit, with the reader's own word for money where there is one."""
    shown = unit(display_unit(key, system))
    money = getattr(system, "money", "")
    if money and shown.key.partition("/")[0] == "money":
        return shown.symbol.replace("units", money, 1)
    return shown.symbol


# ---- numbers -------------------------------------------------------------------------------------------------

_SPACES = re.compile(r"[\s\u00a0\u2007\u2009\u202f\u200e\u200f\u2060]+")
_FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8", "⅜": "3/8",
              "⅝": "5/8", "⅞": "7/8", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6"}  # fmt: skip
_SIGNS = {"−": "-", "﹣": "-", "－": "-", "＋": "+", "٫": ".", "٬": ",", "’": "'", "،": ",", "．": ".", "，": ",",
          "⁄": "/", "∕": "/"}  # fmt: skip
_NUMBER = re.compile(r"[+-]?(?:\d(?:[\d., ]|'(?=\d{3}(?!\d)))*|[.,]\d+)(?:[eE][+-]?\d{1,3})?")
_RATIO = re.compile(r"([+-]?) ?(?:(\d{1,6}) )?(\d{1,6}) ?/ ?(\d{1,6})")


def _plain(text: str) -> str:
    """The text with every script's digits as 0–9, one kind of minus, point and space. Raises ``EntryError``."""
    if len(text) > LONGEST_ENTRY:
        raise EntryError("is too long to be a number", f"Write at most {LONGEST_ENTRY} characters.")
    out = []
    for character in text:
        if character in _FRACTIONS:
            out.append(" " + _FRACTIONS[character])
        elif character in _SIGNS:
            out.append(_SIGNS[character])
        elif character.isdecimal():
            out.append(str(unicodedata.decimal(character)))
        else:
            out.append(character)
    return _SPACES.sub(" ", "".join(out)).strip()


def _grouped(whole: str, mark: str) -> bool:
    """Whether digits are parted by ``mark`` in threes, or in the Indian way: threes at the end, twos before."""
    head, *rest = whole.split(mark)
    if not head.isdigit() or not rest or not all(part.isdigit() for part in rest):
        return False
    if len(rest[-1]) != 3 or not 1 <= len(head) <= 3:
        return False
    return all(len(part) == 3 for part in rest) or (len(head) <= 2 and all(len(part) == 2 for part in rest[:-1]))


def _digits(text: str) -> float:
    """A number written with digits, marks and an exponent only."""
    mantissa, _, exponent = text.lower().partition("e")
    mantissa = mantissa.strip()
    sign = "-" if mantissa.startswith("-") else ""
    body = mantissa.lstrip("+-").strip()
    for mark in (" ", "'"):
        if mark in body:
            whole = re.split(r"[.,]", body)[0]
            if not _grouped(whole, mark) or mark in body[len(whole):]:
                raise EntryError("is not one number", "Write a single number.")
            body = body.replace(mark, "")
    commas, points = body.count(","), body.count(".")
    if commas and points:
        decimal, group = (",", ".") if body.rfind(",") > body.rfind(".") else (".", ",")
        whole, _, rest = body.rpartition(decimal)
        if decimal in whole or group in rest or not _grouped(whole, group):
            raise EntryError("mixes commas and points in a way that can't be read", "Write it like 1234.5.")
        body = whole.replace(group, "") + "." + rest
    elif commas > 1 or points > 1:
        mark = "," if commas else "."
        if not _grouped(body, mark):
            raise EntryError("has more than one decimal mark", "Write it like 1234.5.")
        body = body.replace(mark, "")
    elif commas:
        whole, _, rest = body.partition(",")
        if len(rest) == 3 and 1 <= len(whole) <= 3 and not whole.startswith("0"):
            power = f"e{exponent}" if exponent else ""
            ways = f"{sign}{whole}{rest}{power} or {sign}{whole}.{rest}{power}"
            raise EntryError("can be read in two ways", f"Write {ways}.")
        body = f"{whole or '0'}.{rest}"
    try:
        value = float(sign + body + (f"e{exponent}" if exponent else ""))
    except ValueError:
        raise EntryError("is not a number", "Write a number such as 12 or 1.5.") from None
    return _bounded(value)


def _bounded(value: float) -> float:
    if math.isnan(value):
        raise EntryError("is not a number", "Write a number such as 12 or 1.5.")
    if abs(value) > LARGEST_NUMBER:
        raise EntryError("is too large", "")
    return value


def _leading_number(text: str) -> tuple[float, str]:
    """The number at the start of plain text, and what follows it."""
    ratio = _RATIO.match(text)
    if ratio:
        sign, whole, above, below = ratio.groups()
        if int(below) == 0:
            raise EntryError("divides by nothing", "Write a number such as 0.5.")
        value = int(whole or 0) + int(above) / int(below)
        return (-value if sign == "-" else value), text[ratio.end():].strip()
    match = _NUMBER.match(text)
    if match is None:
        raise EntryError("is not a number", "Write a number such as 12 or 1.5.")
    written = match.group().rstrip(" '")
    rest = text[len(written):]
    if written[-1] in ".," and (rest.strip() or written[-2:-1] in (".", ",")):
        raise EntryError("is not one number", "Write a single number.")
    return _digits(written.rstrip(".,") if len(written) > 1 else written), rest.strip()


def _simple(value: object) -> float | None:
    if isinstance(value, bool) or value is None:
        raise EntryError("is not a number", "Write a number such as 12 or 1.5.")
    if isinstance(value, (int, float)):
        try:
            return _bounded(float(value))
        except OverflowError:
            raise EntryError("is too large", "") from None
    if not isinstance(value, str):
        raise EntryError("is not a number", "Write a number such as 12 or 1.5.")
    return None


def parse_number(text: str | float) -> float:
    """The number that ``text`` stands for. Raises ``EntryError``.

    Digits of any script, spaces and thousands marks, a decimal comma, fractions and exponents are understood. A point
    is a decimal point ("1.500" is 1.5); "1,500" could be either and is asked about; "1,234,567" is plain.
    """
    simple = _simple(text)
    if simple is not None:
        return simple
    plain = _plain(str(text))
    if not plain:
        raise EntryError("is empty", "Write a number.")
    value, rest = _leading_number(plain)
    if rest:
        raise EntryError("is not a number", "Write a number such as 12 or 1.5.")
    return value


def parse_count(text: str | float, key: str = "1") -> int:
    """A whole number of ``key``, which may be written after it ("1150 homes", "6 weeks"). Raises ``EntryError``."""
    value = parse_quantity(text, key)
    nearest = round(value)
    if abs(value - nearest) > 1e-9 * max(1, abs(nearest)):  # 72 h are 3 days, whatever the last binary digit says
        raise EntryError("is not a whole number", f"Write {math.floor(value)} or {math.floor(value) + 1}.")
    return nearest


def _find_unit(words: str, quantity: str) -> Unit | None:
    """The unit written as ``words`` among those of a quantity; capitals matter only where they change the size.

    "Mg" is a tonne and "ML" a million litres: neither may pass for a milligram or a millilitre.
    """
    asked = " ".join(words.split()).rstrip(".")
    for exact in (True, False):
        if not exact and asked in ("MG", "ML", "Ml"):
            return None
        for each in _ALL:
            if each.quantity != quantity:
                continue
            names = (each.key, each.symbol, *each.aliases)
            if asked in names or (not exact and asked.casefold() in {name.casefold() for name in names}):
                return each
    return None


def parse_quantity(text: str | float, key: str, assume: str | None = None) -> float:
    """The figure in unit ``key`` that ``text`` stands for.

    A unit may be written after the number, or two parts of one length ("5 ft 6 in"). Without one ``assume`` is meant
    (``key`` where not given). Raises ``EntryError``.
    """
    meant = assume or key
    simple = _simple(text)
    if simple is not None:
        return _bounded(convert(simple, meant, key))
    plain = _plain(str(text))
    quantity = unit(key).quantity
    if quantity.startswith("money"):
        plain = "".join(sign for sign in plain if unicodedata.category(sign) != "Sc").strip()  # whose sign it is counts for nothing
    if not plain:
        raise EntryError("is empty", "Write a number.")
    value, rest = _leading_number(plain)
    if not rest:
        return _bounded(convert(value, meant, key))
    written = _find_unit(rest, quantity)
    if written is not None:
        return _bounded(convert(value, written.key, key))
    parts = re.fullmatch(r"(\D{1,8}?) ?(\d.*)", rest)
    if parts and quantity in ("length", "mass"):
        first = _find_unit(parts.group(1).strip(), quantity)
        second, second_rest = _leading_number(parts.group(2))
        smaller = _find_unit(second_rest, quantity) if second_rest else None
        if first and smaller and smaller.factor < first.factor and value >= 0:
            return _bounded(convert(value, first.key, key) + convert(second, smaller.key, key))
    shown = unit(meant).symbol
    advice = f"Write a number of {shown}." if shown else "Write a number alone."
    raise EntryError(f"has a unit that is not known here: {rest[:20]}", advice)


# ---- showing --------------------------------------------------------------------------------------------------


def show_number(value: float, digits: int = 3) -> str:
    """The number with at least ``digits`` significant figures; whole digits are never dropped.

    10 000 and more get a thin space before each three digits, which reads back; below a millionth, an exponent.
    """
    value = float(value)
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else "–"
    size = abs(value)
    sign = MINUS if value < 0 else ""
    if size < 1e-6 or size >= 1e15:
        return sign + f"{size:.{max(digits - 1, 0)}e}"
    places = max(0, digits - 1 - math.floor(math.log10(size)))
    text = f"{size:.{places}f}"
    whole, _, rest = text.partition(".")
    rest = rest.rstrip("0")
    if len(whole) >= 5:
        whole = f"{int(whole):,}".replace(",", THIN_SPACE)
    text = f"{whole}.{rest}" if rest else whole
    return "0" if text == "0" else sign + text


def show(value: float, key: str, system: str = "metric", digits: int = 3) -> str:
    """The figure with its symbol, in the unit system asked for."""
    shown = display_unit(key, system)
    text = show_number(convert(value, key, shown), digits)
    symbol = display_symbol(key, system)
    if not symbol:
        return text
    if symbol == "units" and text == "1":
        symbol = "unit"
    singular = {"bays": "bay", "heaps": "heap", "tubs": "tub", "acres": "acre", "workers": "worker", "homes": "home",
                "people": "person", "days": "day", "weeks": "week", "months": "month", "years": "year"}  # fmt: skip
    if text == "1":
        symbol = singular.get(symbol, symbol)
    space = "" if symbol == "%" else THIN_SPACE if symbol in ("°C", "°F") else "\u00a0"
    return f"{text}{space}{symbol}"


_SUFFIXES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "kg": ("_kg",), "g": ("_g",), "t": ("_t",),
        "kg/m3": ("_kg_m3",), "m": ("_m",), "cm": ("_cm",), "mm": ("_mm",), "m2": ("_m2",), "m3": ("_m3",),
        "l": ("_l",), "d": ("_days",), "h": ("_hours", "_h"),
        "percent": ("_percent",), "fraction": ("_fraction",), "°C": ("_c",),
        "°C rise": ("_c",), "mg/kg": ("_mg_kg",), "kW": ("_kw",), "dB": ("_db",),
    }
)  # fmt: skip


def without_unit_suffix(name: str, key: str) -> str:
    """``name`` without the unit at its end, where it ends in that unit: 'bay_width_m' in m gives 'bay_width'.

    Rates keep their unit ('mix_kg_per_day'): a yard has several rates of one thing.
    """
    for suffix in _SUFFIXES.get(key, ()):
        if name.endswith(suffix) and len(name) > len(suffix):
            return name[: -len(suffix)]
    return name
