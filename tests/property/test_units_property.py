"""Numbers written in every custom that is known to be read, and whatever else is typed."""

from __future__ import annotations

import math
import re
import string
import time
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from calculators.units import (
    LARGEST_NUMBER,
    SYSTEMS,
    UNITS,
    EntryError,
    convert,
    display_unit,
    parse_count,
    parse_number,
    parse_quantity,
    show,
    unit,
)  # fmt: skip

ZEROS = "0٠۰०০੦૦௦๐０"
CUSTOMS = {  # name: (mark between groups, digits of the groups before the last, decimal marks)
    "plain": ("", 3, ".,"), "comma groups": (",", 3, "."), "point groups": (".", 3, ","), "spaces": (" ", 3, ".,"),
    "thin spaces": ("\u2009", 3, ".,"), "narrow no-break spaces": ("\u202f", 3, ".,"), "apostrophes": ("'", 3, "."),
    "Indian groups": (",", 2, "."), "Arabic marks": ("٬", 3, "٫"),
}  # fmt: skip


def grouped(digits: str, mark: str, size: int) -> str:
    if not mark or len(digits) <= 3:
        return digits
    head, last = digits[:-3], digits[-3:]
    first = len(head) % size
    parts = ([head[:first]] if first else []) + [head[i:i + size] for i in range(first, len(head), size)]
    return mark.join([*parts, last])


@given(st.integers(0, 10**12), st.integers(0, 9999), st.integers(0, 4), st.sampled_from(sorted(CUSTOMS)),
       st.sampled_from(ZEROS), st.sampled_from(["", "+", "-", "−"]), st.booleans())  # fmt: skip
@settings(max_examples=1500, deadline=None)
def test_numbers_in_every_custom(
    whole: int, decimals: int, places: int, custom: str, zero: str, sign: str, first_decimal: bool
) -> None:
    mark, size, decimal_marks = CUSTOMS[custom]
    part = str(decimals).zfill(4)[:places]
    decimal_mark = decimal_marks[0 if first_decimal else -1]
    written = grouped(str(whole), mark, size) + (decimal_mark + part if part else "")
    foreign = sign + written.translate({ord("0") + i: chr(ord(zero) + i) for i in range(10)})
    value = float(Fraction(f"{whole}.{part or 0}")) * (-1 if sign in ("-", "−") else 1)
    plain = written.translate(str.maketrans("٬٫", ",."))
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", plain):
        with pytest.raises(EntryError, match="two ways"):
            parse_number(foreign)
    elif re.fullmatch(r"\d{1,3}\.\d{3}", plain) and "." == mark:
        assert parse_number(foreign) == pytest.approx(float(plain) * (-1 if sign in ("-", "−") else 1))  # a point is a point
    else:
        assert parse_number(foreign) == pytest.approx(value, rel=1e-15)


@given(st.integers(0, 999), st.integers(0, 40), st.integers(1, 40), st.sampled_from(["", "-"]))
@settings(max_examples=300, deadline=None)
def test_fractions(whole: int, above: int, below: int, sign: str) -> None:
    value = whole + above / below
    assert parse_number(f"{sign}{whole} {above}/{below}") == pytest.approx(-value if sign else value)
    assert parse_number(f"{sign}{above} / {below}") == pytest.approx((-above if sign else above) / below)


@given(st.integers(0, 200), st.integers(0, 11), st.sampled_from([(" ft ", " in"), ("'", '"'), ("ft", "in"), ("′ ", "″"),
                                                                 (" feet ", " inches")]))  # fmt: skip
@settings(max_examples=200, deadline=None)
def test_feet_and_inches(feet: int, inches: int, marks: tuple[str, str]) -> None:
    assert parse_quantity(f"{feet}{marks[0]}{inches}{marks[1]}", "m") == pytest.approx((12 * feet + inches) * 0.0254)


@given(st.floats(-1e9, 1e9).filter(lambda value: value == 0 or abs(value) > 1e-5), st.sampled_from(sorted(UNITS)))
@settings(max_examples=600, deadline=None)
def test_every_name_of_a_unit_is_read(value: float, key: str) -> None:
    """A figure with any name of a unit is what that unit converts to, in every unit of the same quantity."""
    its = unit(key)
    for name in (its.key, *its.aliases):
        owners = [other for other in UNITS.values() if other.quantity == its.quantity and name in (other.key, *other.aliases)]
        assert owners == [its], name
        if key != "1":
            for other in (other.key for other in UNITS.values() if other.quantity == its.quantity):
                try:
                    found = parse_quantity(f"{value!r} {name}", other)
                except EntryError as error:
                    assert error.reason == "is too large" and abs(convert(value, key, other)) > LARGEST_NUMBER
                else:
                    assert found == pytest.approx(convert(value, key, other), rel=1e-12, abs=1e-12)


@given(st.floats(-1e12, 1e12).filter(lambda value: value == 0 or abs(value) > 1e-3), st.sampled_from(sorted(UNITS)),
       st.sampled_from(SYSTEMS))  # fmt: skip
@settings(max_examples=800, deadline=None)
def test_a_shown_quantity_reads_back(value: float, key: str, system: str) -> None:
    there = display_unit(key, system)
    if abs(convert(value, key, there)) > LARGEST_NUMBER / 10:
        return
    back = parse_quantity(show(value, key, system, 12), key, there)
    offset = abs(convert(0, key, there)) + abs(convert(0, there, key))
    assert back == pytest.approx(value, rel=1e-10, abs=1e-10 * (1 + offset))


hostile = st.text(st.sampled_from(string.printable + "½¼٣１२٫٬ \u2009\u202f\u200f−'′\"″e"), max_size=70)


@given(st.one_of(hostile, st.text(), st.binary(), st.none(), st.booleans(), st.integers(), st.floats(), st.complex_numbers(),
                 st.lists(st.integers(), max_size=2)), st.sampled_from(sorted(UNITS)))  # fmt: skip
@example("9" * 400, "kg")
@example(10**5000, "kg")
@example("(" * 64, "m")
@example("1 " * 32, "m")
@example("1'" * 32, "m")
@example("1e-999", "1")
@example("1e15 t/d", "kg/d")
@settings(max_examples=1200, deadline=None)
def test_whatever_is_typed(raw, key: str) -> None:  # type: ignore[no-untyped-def]
    """A finite number or an ``EntryError`` with a reason and no other fault, within a quarter of a second."""
    for reader in (parse_number, lambda text: parse_quantity(text, key), lambda text: parse_count(text, key)):
        begun = time.process_time()
        try:
            found = reader(raw)
        except EntryError as error:
            assert error.reason.strip() and "\n" not in error.reason
        else:
            assert math.isfinite(found)
        assert time.process_time() - begun < 0.25
