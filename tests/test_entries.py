"""Each kind of answer, good and bad: what is read, and what the refusal says."""

from __future__ import annotations

import pytest

from calculators import catalogue
from calculators.declare import WEEKDAYS, Answer, choice, number, table, text
from calculators.entries import Refused, in_link, limits_in_words, read, unit_words, write
from calculators.units import SYSTEMS, convert, display_unit, show_number

WIDTH = Answer("width_m", "number", "Width", "m", 1.5, low=0.6, high=4, why_limits="Wider than 4 m nobody reaches the middle.")
HOMES = Answer("homes", "count", "Homes", "home", 10, low=0, high=1000)
DAYS = Answer("days", "count", "Days", "d", 45, low=7, high=180)
SHAPE = choice("Shape", {"flat": "Flat top", "round": "Round top"}, "flat").metadata["declared"]
YES_NO = Answer("roof", "flag", "Roof", default=True)
NAME = Answer("name", "text", "Name", default="")
SHARES = Answer("shares", "series", "Shares", "kg", (0.0,) * 7, low=0, high=50, rows=WEEKDAYS)
ROWS = table(
    "Own materials",
    {"name": text("Name", ""), "moisture": number("Moisture", "percent", None, low=0, high=98, blank=True),
     "shape": choice("Shape", {"chip": "Chips", "leaf": "Leaves"}, "chip", options_from="own")},
    (),
    most_rows=3,
).metadata["declared"]  # fmt: skip
ANSWERS = [answer for _, answer in catalogue.every_answer()]
NUMBERS = [answer for answer in ANSWERS if answer.kind == "number"]


def message(answer: Answer, raw: object, system: str = "metric") -> str:
    with pytest.raises(Refused) as caught:
        read(answer, raw, system)
    assert str(caught.value)
    return caught.value.problems[0].message


@pytest.mark.parametrize(
    ("answer", "raw", "value"),
    [
        (WIDTH, "1.5", 1.5), (WIDTH, "1,5", 1.5), (WIDTH, 2, 2.0), (WIDTH, "5 ft", 1.524), (WIDTH, "5'6\"", 1.6764),
        (WIDTH, "१.५", 1.5), (HOMES, "12", 12), (HOMES, "12 homes", 12), (HOMES, 12.0, 12), (HOMES, " 1e2 ", 100),
        (DAYS, "6 weeks", 42), (DAYS, "45 days", 45), (SHAPE, "flat", "flat"), (SHAPE, "Round top", "round"),
        (SHAPE, " ROUND ", "round"), (YES_NO, "yes", True), (YES_NO, "Off", False), (YES_NO, False, False), (YES_NO, 1, True),
        (NAME, "  Larkhollow   ward ", "Larkhollow ward"), (NAME, None, ""), (NAME, 12, "12"),
        (SHARES, "1;2;3;4;5;6;7", (1, 2, 3, 4, 5, 6, 7)), (SHARES, [0, "1/2", "1,5", "2 lb", 4, 5.5, "6"],
                                                          (0, 0.5, 1.5, 0.90718474, 4, 5.5, 6)),
        (ROWS, "", ()), (ROWS, [], ()), (ROWS, [["", None, " "]], ()), (ROWS, "::", ()),
        (ROWS, "straw:12,5:chip;oak leaves::leaf", (("straw", 12.5, "chip"), ("oak leaves", None, "leaf"))),
        (ROWS, [["a:b; c\\", 3, "Leaves"]], (("a:b; c\\", 3, "leaf"),)), (ROWS, r"a\:b\; c\\:3:leaf", (("a:b; c\\", 3, "leaf"),)),
        (ROWS, ["straw:1:chip"], (("straw", 1, "chip"),)),
    ],
)  # fmt: skip
def test_what_is_read(answer: Answer, raw: object, value: object) -> None:
    found = read(answer, raw)
    assert found == pytest.approx(value) if answer.kind in ("number", "series") else found == value
    assert type(found) is (type(value) if answer.kind != "series" else tuple)


@pytest.mark.parametrize(
    ("answer", "raw", "words"),
    [
        (WIDTH, "wide", ["Width", "‘wide’", "not a number"]),
        (WIDTH, "", ["Enter width", "between 0.6 and 4\u00a0m"]),
        (WIDTH, "5", ["Width must be between 0.6 and 4\u00a0m", "‘5’", "nobody reaches"]),
        (WIDTH, "4.0001", ["between 0.6 and 4\u00a0m", "‘4.0001’"]),
        (WIDTH, "-1", ["between 0.6 and 4\u00a0m", "‘-1’"]),
        (WIDTH, "3 kg", ["Width", "unit that is not known here: kg", "number of m"]),
        (WIDTH, True, ["Width", "‘True’", "not a number"]),
        (WIDTH, float("nan"), ["Width", "‘nan’", "not a number"]),
        (WIDTH, 10**400, ["Width", "too large", "between 0.6 and 4"]),
        (WIDTH, {"m": 3}, ["Width", "‘{'m': 3}’", "not a number"]),
        (WIDTH, "1,500", ["Width", "‘1,500’", "two ways", "1500 or 1.500"]),
        (HOMES, "2.5", ["Homes", "‘2.5’", "whole number", "2 or 3"]),
        (HOMES, 2.5, ["Homes", "‘2.5’", "whole number", "2 or 3"]),
        (HOMES, "1001", ["Homes must be between 0 and 1000\u00a0homes", "‘1001’"]),
        (HOMES, "5 people", ["Homes", "‘5 people’", "not known here: people"]),
        (HOMES, 10**400, ["Homes", "too large"]),
        (DAYS, "36 h", ["Days", "‘36 h’", "whole number", "1 or 2"]),
        (SHAPE, "flta", ["Shape", "‘flta’", "Did you mean flat"]),
        (SHAPE, "", ["Choose shape"]),
        (SHAPE, ["flat"], ["Shape", "flat, round"]),
        (YES_NO, "perhaps", ["Roof", "‘perhaps’", "Write yes or no"]),
        (NAME, "x" * 61, ["Name", "longer than 60"]),
        (NAME, "a\x00b", ["Name", "can't be shown"]),
        (NAME, ["a"], ["Name must be words"]),
        (SHARES, "1;2", ["Shares needs 7 values", "Monday to Sunday", "2 given"]),
        (SHARES, 3, ["Shares must be a list"]),
        (SHARES, "1;2;3;4;5;6;99", ["Shares (Sunday) must be between 0 and 50\u00a0kg", "‘99’"]),
        (ROWS, "a:1:chip;b:2:chip;c:3:chip;d:4:chip", ["at most 3 rows; 4 given"]),
        (ROWS, "a:1:chip:9", ["4 values where 3 are known", "name, moisture, shape"]),
        (ROWS, "a:120:chip", ["Moisture (row 1) must be between 0 and 98%", "‘120’"]),
        (ROWS, "a:1:stone", ["Shape (row 1)", "‘stone’", "chip, leaf"]),
        (ROWS, "x" * 4001, ["longer than 4000"]),
        (ROWS, 7, ["Own materials must be a list"]),
        (ROWS, [7], ["Own materials must be a list"]),
        (ROWS, b"a:1", ["Own materials must be a list"]),
    ],
)  # fmt: skip
def test_what_a_refusal_says(answer: Answer, raw: object, words: list[str]) -> None:
    found = message(answer, raw)
    for piece in words:
        assert piece in found, found
    assert "\n" not in found and len(found) < 400 and ".." not in found


def test_a_number_of_thousands_of_digits_is_refused_too() -> None:
    for answer in (WIDTH, HOMES, SHAPE, YES_NO, SHARES, ROWS):
        for raw in (10**5000, [10**5000], {"a": 10**5000}):
            assert answer.label in message(answer, raw)


def test_every_fault_of_a_list_is_told_with_its_place() -> None:
    with pytest.raises(Refused) as caught:
        read(SHARES, "a;2;3;-4;5;6;7")
    assert [(problem.part, problem.entered, problem.field) for problem in caught.value.problems] == [
        ("0", "a", "shares.0"), ("3", "-4", "shares.3")]  # fmt: skip
    with pytest.raises(Refused) as caught:
        read(ROWS, [["a", 1, "chip"], ["b", 99, "stone"]])
    assert [problem.part for problem in caught.value.problems] == ["1.moisture", "1.shape"]


def test_a_choice_may_take_names_from_a_table() -> None:
    assert read(ROWS, "a:1:Own heap", extra={"own": ["own heap"]}) == (("a", 1.0, "own heap"),)
    with pytest.raises(Refused):
        read(ROWS, "a:1:Own heap")


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("answer", NUMBERS, ids=lambda answer: answer.name)
def test_limits_are_taken_as_they_are_shown(answer: Answer, system: str) -> None:
    """A limit typed back as a form shows it is allowed, and gives no value beyond the limit."""
    shown = display_unit(answer.unit, system)
    for bound in (answer.low, answer.high):
        words = show_number(convert(bound, answer.unit, shown), 4)
        assert words in limits_in_words(answer, system)
        value = read(answer, words, system)
        assert answer.low <= value <= answer.high
        assert value == pytest.approx(bound, rel=6e-4, abs=1e-9)


@pytest.mark.parametrize("answer", [a for a in ANSWERS if a.kind in ("number", "count")], ids=lambda answer: answer.name)
def test_a_hair_beyond_a_limit_in_its_own_unit_is_refused(answer: Answer) -> None:
    for bound, sign in ((answer.low, -1), (answer.high, 1)):
        step = 1 if answer.kind == "count" else max(abs(bound) * 1e-5, 1e-9)
        message(answer, repr(bound + sign * step))
        message(answer, bound + sign * step)


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("answer", ANSWERS, ids=lambda answer: answer.name)
def test_defaults_read_back(answer: Answer, system: str) -> None:
    """The default, written for a form in either unit system and for a link, reads back."""
    if answer.default is None:
        if answer.blank:
            assert read(answer, write(answer, None, system), system) is None
        else:
            assert answer.follows, "an answer that may not be blank needs a default or one to follow"
        return
    names = {column.options_from: ["own heap"] for column in answer.columns if column.options_from}
    for back in (read(answer, write(answer, answer.default, system, 15), system, names),
                 read(answer, in_link(answer, answer.default), extra=names)):  # fmt: skip
        if answer.kind in ("number", "series"):
            assert back == pytest.approx(answer.default, rel=1e-12)
        elif answer.kind == "table":
            assert len(back) == len(answer.default)
            for row, wanted in zip(back, answer.default, strict=True):
                assert row == tuple(pytest.approx(cell, rel=1e-12) if isinstance(cell, float) else cell for cell in wanted)
        else:
            assert back == answer.default


def test_units_beside_a_field() -> None:
    assert unit_words(WIDTH) == "m" and unit_words(WIDTH, "feet and pounds") == "ft"
    assert write(WIDTH, 1.524, "feet and pounds") == "5" and read(WIDTH, "5", "feet and pounds") == pytest.approx(1.524)
    assert read(WIDTH, "1.5 m", "feet and pounds") == 1.5
