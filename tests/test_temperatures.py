"""The temperature record: logs read or refused with a reason, rules held to their texts, questions asked and nothing lost."""

from __future__ import annotations

import dataclasses
import datetime
import json
import math
import random
from pathlib import Path

import pytest
from build_scripts import evidence

from calculators import catalogue
from calculators.declare import CannotSolve
from calculators.doors import browser
from calculators.doors.take_away import NotTaken, taken
from calculators.doors.terminal import BadInput, pairs
from calculators.entries import LONGEST_LOG_IN_LINK, read
from calculators.hot_time import Hot, Limit, apart, coldest, reached, runs, total, warm_on_average
from calculators.log_reading import (
    DAY,
    LONGEST_LOG,
    MOST_COLUMNS,
    MOST_LINES,
    Asked,
    Batch,
    LogRefused,
    Probe,
    celsius,
    in_words,
    read_log,
)
from calculators.plan import Plan
from calculators.plan_file import open_plan, save_plan
from calculators.topics import temperatures
from calculators.topics.temperatures import ADDED, MET, NOT_MET, OPEN, RULES, Inputs, judge, solve
from calculators.view import batch_papers, charts
from calculators.view.elements import text_of, to_html
from calculators.working import Working

START = datetime.date(2026, 5, 3).toordinal() * DAY + 8 * 60
DAYS_OF_LOG = 90


def rule(key: str):  # type: ignore[no-untyped-def]
    return next(row for row in RULES if row["key"] == key)


def batch(*series, turned=(), depths=None) -> Batch:  # type: ignore[no-untyped-def]
    """Daily readings of some probes; turnings in days from the first reading."""
    probes = tuple(
        Probe(
            f"probe {place}",
            depths[place] if depths else None,
            tuple((START + DAY * day, value) for day, value in enumerate(values)),
        )
        for place, values in enumerate(series)
    )
    return Batch("", probes, tuple(START + round(DAY * day) for day in turned))


def word(key: str, held: Batch, gap: float = 30, **told: float | None) -> str:
    names = ("batch_moisture_percent", "batch_carbon_to_nitrogen", "largest_piece_mm")
    return judge(rule(key), held, gap, {name: told.get(name) for name in names}).word


def read_one(text: str, **more: str) -> dict[str, list[tuple[str, float | None]]]:
    """The only batch of a text: readings by probe."""
    (found,) = read_log(text, **more).batches
    return {probe.name: [(in_words(moment), value) for moment, value in probe.series] for probe in found.probes}


def solved(**answers):  # type: ignore[no-untyped-def]
    return solve(dataclasses.replace(Inputs(), **answers), Working())


# ---- texts that are logs --------------------------------------------------------------------------------------

TWO = [("3 May 2026 08:00", 61.5), ("14 May 2026 09:30", 60.0)]


@pytest.mark.parametrize(
    "text",
    [
        "date;time;heart °C\n2026-05-03;08:00;61,5\n2026-05-14;09:30;60",
        "date,time,heart (°C)\n2026-05-03,8:00,61.5\n2026-05-14,9:30,60.0",
        "Date\tTime\tHeart °C\n03/05/2026\t8:00\t61.5\n14/05/2026\t9:30\t60",
        "when|heart °C\n3.5.26 8:00|61,5\n14.5.26 9:30|60",
        "date time;heart, °C\n05/03/2026 08:00 AM;61.5\n05/14/2026 09:30 am;60",
        "date;time;heart °F\n3 May 2026;0800;142.7\nThu, 14 May 2026;0930;140",
        "date;heart\n2026-05-03T08:00:00+05:30;61.5 °C\n2026-05-14T04:00:00Z;60°C",
        'date,heart °C\n"May 3, 2026 08:00","61,5"\n"May 14, 2026 09:30",60',
        "Log of the yard\n\ndate;heart °C;air °C\n2026-05-03 08:00;61.5;22\n2026-05-14 09:30;60;25",
        "\ufeffdate;heart °C\r\n2026-05-03 08:00;61.5\r\n2026-05-14 09:30;60\r\n",
        "date;time;probe;temperature °C\n2026-05-03;08:00;heart;61.5\n2026-05-14;09:30;heart;60",
    ],
)
def test_ways_to_write_one_log(text: str) -> None:
    (found,) = read_one(text).values()
    assert [(when, round(value, 6)) for when, value in found] == TWO


def test_without_a_header_columns_are_told_by_what_is_in_them() -> None:
    found = read_one("2026-05-03 08:00 61.5 60\n2026-05-04 08:00 62 59,5\n2026-05-05 10:00 turned", unit="c")
    assert found == {
        "probe 1": [("3 May 2026 08:00", 61.5), ("4 May 2026 08:00", 62.0)],
        "probe 2": [("3 May 2026 08:00", 60.0), ("4 May 2026 08:00", 59.5)],
    }


def test_depths_are_read_from_names() -> None:
    (found,) = read_log("date;heart 60 cm °C;edge 18 in °C;foot 0.3 m °C;top °C\n2026-05-03;60;60;60;60").batches
    assert [probe.depth_cm for probe in found.probes] == [60, pytest.approx(45.72), 30, None]
    (found,) = read_log("date;depth;temperature °C\n2026-05-03;30 cm;60\n2026-05-03;60 cm;61").batches
    assert [(probe.name, probe.depth_cm) for probe in found.probes] == [
        ("temperature at 30 cm", 30),
        ("temperature at 60 cm", 60),
    ]


@pytest.mark.parametrize(
    ("cell", "turned"), [("yes", 1), ("x", 1), ("1", 1), ("2", 1), ("turned", 1), ("no", 0), ("", 0), ("-", 0), ("0", 0)]
)
def test_turnings_in_a_column(cell: str, turned: int) -> None:
    held = read_log(f"date;a °C;turned\n2026-05-03 08:00;60;{cell}\n2026-05-04 08:00;60;")
    assert len(held.batches[0].turnings) == turned and not held.lines


def test_turnings_as_lines_with_a_word_and_typed_beside() -> None:
    text = "date;a °C;notes\n2026-05-03 08:00;60;\n2026-05-04 10:00;turned;\n2026-05-05 08:00;60;Turned and watered\n2026-05-06 08:00;60;not turned"
    held = read_log(text, turnings="2026-05-05 17:00\n2026-05-04 10:00\nyesterday")
    assert [in_words(moment) for moment in held.batches[0].turnings] == [
        "4 May 2026 10:00",
        "5 May 2026 08:00",
        "5 May 2026 17:00",
    ]
    assert [(line.number, line.text) for line in held.lines] == [(0, "yesterday"), (5, "2026-05-06 08:00;60;not turned")]


def test_batches_keep_their_own_readings_and_turnings() -> None:
    text = "batch;date;a °C;turned\n15;2026-05-05 08:00;50;\n14;2026-05-03 08:00;60;yes\n14;2026-05-04 08:00;61;"
    held = read_log(text, turnings="2026-05-05 09:00; 15\n2026-05-05 09:00\n2026-05-05 09:00; 16")
    assert [(each.name, len(each.moments), len(each.turnings)) for each in held.batches] == [("14", 2, 1), ("15", 1, 1)]
    assert [line.why.split(":")[1].split()[0] for line in held.lines] == ["which", "the"]
    assert "15" in solved(temperature_log=text).batch_shown and solved(temperature_log=text, log_batch="14").readings_taken == 2
    with pytest.raises(CannotSolve, match="no batch ‘99’. It has ‘14’, ‘15’"):
        solved(temperature_log=text, log_batch="99")


# ---- what is not taken, and what is asked ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("row", "why"),
    [
        (";60;61", "no date"),
        ("foo;60;61", "‘foo’ is no date"),
        ("2026-02-30 08:00;60;61", "is no date"),
        ("2026-05-04;60;61", "no time of day"),
        ("2026-05-04 25:00;60;61", "no time of day"),
        ("2026-05-04 08:00;;", "no temperature and no turning"),
        ("2026-05-04 08:00;err;61", "a: ‘err’ is no temperature; it counts as too cold"),
        ("2026-05-04 08:00;612;61", "612 is no temperature of a heap"),
        ("2026-05-04 08:00;60;61;62", "has 4 cells where there are 3 columns"),
        ("2026-05-03 08:00;60;61", "the same reading stands in line 2"),
        ("2026-05-03 08:00;50;61", "the colder counts"),
        ("2062-05-04 08:00;60;61", "more than a year from the middle"),
    ],
)
def test_a_line_that_is_not_taken_is_listed_with_its_number_and_why(row: str, why: str) -> None:
    held = read_log(f"date;a °C;b °C\n2026-05-03 08:00;60;61\n2026-05-05 08:00;60;61\n2026-05-06 08:00;60;61\n{row}")
    assert held.lines and {line.number for line in held.lines} == {5} and any(why in line.why for line in held.lines), (
        held.lines
    )


def test_what_can_not_be_read_counts_as_too_cold_and_the_colder_of_two_decides() -> None:
    good = "date;a °C\n" + "\n".join(f"2026-05-{day:02d} 08:00;60" for day in range(3, 20))
    assert solved(temperature_log=good).hot_run_days == 16
    assert solved(temperature_log=good.replace("2026-05-11 08:00;60", "2026-05-11 08:00;6o")).hot_run_days == 7
    assert solved(temperature_log=good + "\n2026-05-11 08:00;40").hot_run_days == 7
    assert solved(temperature_log=good.replace("2026-05-11 08:00;60", "2026-05-11 08:00;60;60")).hot_run_days == 7


@pytest.mark.parametrize(
    ("text", "about", "said"),
    [
        ("date;a °C\n03/04/2026;60\n05/04/2026;61", "date_order", "‘03/04/2026’ (line 2) is 3 April 2026 or 4 March 2026"),
        ("date;a °C\n13/04/2026;60\n04/13/2026;61", "date_order", "do not all follow one order"),
        ("date;a °C\n26-05-27;60", "date_order", "26 May 2027 or 27 May 2026"),
        ("date;a\n2026-05-03;60", "unit", "‘60’ (line 2) is °C or °F"),
    ],
)
def test_what_can_be_read_in_two_ways_is_asked(text: str, about: str, said: str) -> None:
    with pytest.raises(Asked) as caught:
        read_log(text)
    assert caught.value.about == about and said in str(caught.value)


def test_one_day_above_12_settles_the_order_and_an_answer_does() -> None:
    text = "date;a °C\n03/04/2026;60\n{0};61"
    for row, order, first in (
        ("13/04/2026", "", "3 Apr"),
        ("04/13/2026", "", "4 Mar"),
        ("05/04/2026", "mdy", "4 Mar"),
        ("05/04/2026", "dmy", "3 Apr"),
    ):
        assert read_one(text.format(row), date_order=order)["a"][0][0].startswith(first)
    assert read_one("date;a °C\n04/04/2026;60\n05/05/2026;61")["a"][0][0].startswith("4 Apr")  # both ways the same
    mixed = read_log("date;a °C\n13/04/2026;60\n04/13/2026;61\n14/04/2026;60", date_order="dmy")
    assert [line.number for line in mixed.lines] == [3] and "in the order day, month, year" in mixed.lines[0].why


def test_the_unit_that_is_written_wins() -> None:
    assert read_one("date;a °F\n2026-05-03;131")["a"][0][1] == 55 == celsius(131, "f")
    said = read_log("date;a °F\n2026-05-03;131", unit="c")
    assert said.batches[0].probes[0].series[0][1] == 55 and "left aside" in said.remarks[0]
    assert read_one("date;a\n2026-05-03;131", unit="f")["a"][0][1] == 55
    assert read_one("date;a °C;b\n2026-05-03;55;131 F")["b"][0][1] == 55


@pytest.mark.parametrize(
    "text", ["2026-05-03,61,5,60,2\n2026-05-04,61,1,60,3", "date,a °C,b °C\n2026-05-03,61,5,60,2\n2026-05-04,61,1,60,3"]
)
def test_commas_that_part_columns_and_figures_are_refused(text: str) -> None:
    with pytest.raises(LogRefused, match="semicolons"):
        read_log(text)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("x" * (LONGEST_LOG + 1), "longer than"),
        ("2026-05-03;60\n" * (MOST_LINES + 1), "lines"),
        ("hello", "No date"),
        ("2026-05-03" + ";60" * (MOST_COLUMNS + 1), "columns"),
        ("date;a b\n2026-05-03", ""),
        ("batch;date;a °C\n" + "\n".join(f"{number};2026-05-03;60" for number in range(41)), "batches"),
        ("date;probe;t °C\n" + "\n".join(f"2026-05-03;{number};60" for number in range(25)), "probes"),
    ],
)
def test_what_is_no_log_or_too_much_is_refused_in_words(text: str, said: str) -> None:
    if said:
        with pytest.raises(LogRefused, match=said):
            read_log(text)
    else:
        assert not read_log(text).batches


def test_many_bad_lines_are_counted_beyond_those_listed() -> None:
    held = read_log("date;a °C\n2026-05-03 08:00;60\n" + "bad;1\n" * 300)
    assert len(held.lines) == 200 and held.untold == 100
    outputs = solved(temperature_log="date;a °C\n2026-05-03 08:00;60\n" + "bad;1\n" * 300)
    assert outputs.lines_not_taken == 300 and outputs.lines[-1][1] == "and 100 more"


def ragged_log(seed: str):  # type: ignore[no-untyped-def]
    """Three probes for 90 days as a yard keeps them, the readings in it, and the numbers of the lines that are not taken."""
    chance = random.Random(seed)
    truth: dict[str, dict[int, float]] = {"heart": {}, "edge": {}, "foot": {}}
    rows: list[tuple[str, bool]] = []
    turned = []
    for day in range(DAYS_OF_LOG):
        if chance.random() < 0.08:
            continue  # nobody was there
        moment = START // DAY * DAY + day * DAY + chance.choice([480, 487, 510, 545])
        date = datetime.date.fromordinal(moment // DAY)
        cells = []
        for place, series in enumerate(truth.values()):
            value = round(62 - 4 * place - 0.3 * max(0, day - 30) + chance.uniform(-2, 2), 1)
            if chance.random() < 0.05:
                cells.append(chance.choice(["", "-", "n/a"]))
                continue
            series[moment] = value
            cells.append(f"{value:.1f}".replace(".", ","))
        turn = chance.random() < 0.2
        if turn:
            turned.append(moment)
        row = f"{date.day:02d}.{date.month:02d}.{date.year};{moment % DAY // 60:02d}:{moment % 60:02d};{';'.join(cells)};{'ja' if turn else ''}"
        if not any(moment in series for series in truth.values()) and not turn:
            rows.append((row, False))
            continue
        rows.append((row, True))
        if chance.random() < 0.06 and any(moment in series for series in truth.values()):
            rows.append((row, False))  # written twice
    for bad in (
        "31.06.2026;08:00;60,0;59,0;58,0;",
        ";08:00;60,0;59,0;58,0;",
        "12.06.2026;half past;60,0;;;",
        "total;;;;;",
        "Datum;Zeit;heart;edge;foot;turned",
    ):
        rows.insert(chance.randint(1, len(rows)), (bad, False))
    for _ in range(10):
        one = chance.randrange(len(rows) - 1)
        if rows[one][0] != rows[one + 1][0]:  # a copy stays behind what it copies
            rows[one], rows[one + 1] = rows[one + 1], rows[one]
    text = "Datum;Zeit;heart °C;edge °C;foot °C;turned\n" + "\n".join(row for row, _ in rows)
    return text, truth, turned, [place + 2 for place, (_, good) in enumerate(rows) if not good]


@pytest.mark.parametrize("seed", ["monsoon", "winter", "harvest", "leaves"])
def test_a_ragged_log_of_three_probes_and_90_days(seed: str) -> None:
    text, truth, turned, bad = ragged_log(seed)
    held = read_log(text)
    (found,) = held.batches
    assert {probe.name: dict(probe.series) for probe in found.probes} == truth
    assert list(found.turnings) == sorted(turned)
    told = {line.number for line in held.lines}
    copies = [number for number in bad if number not in told]
    # of two equal lines that changed places the later one is told
    lines = text.split("\n")
    assert all(lines.count(lines[number - 1]) > 1 for number in copies)
    assert len(told) == len(bad) and all(line.why for line in held.lines)
    assert any("order" in remark for remark in held.remarks)
    outputs = solved(temperature_log=text)
    assert outputs.readings_taken == sum(map(len, truth.values())) and outputs.lines_not_taken >= len(bad)


# ---- rules ----------------------------------------------------------------------------------------------------


def test_each_rule_has_cases_that_pass_fail_and_stand_at_the_limit() -> None:
    """On the Evidence page, from the wording of each rule; the cases themselves run with the published ones."""
    cases = [case for case in evidence.cases() if case.calculates == "temperatures.judge"]
    assert len(cases) > 100
    for each in RULES:
        own = [case for case in cases if case.given["rule"] == each["key"]]
        assert {case.printed["met"] for case in own} == {True, False}, each["key"]
        assert any("at_limit" in case.id for case in own) and {case.source.key for case in own} == {each["source"]}, each["key"]


def test_days_in_a_row_and_added_up_are_told_apart() -> None:
    broken = batch([60] * 10 + [40] + [60] * 9, turned=(1, 3, 5, 7, 15))
    assert word("pfrp_257_windrow", broken) == ADDED and word("ccme_windrow", broken) == MET
    assert word("psrp_massachusetts", broken) == MET and word("as_4454_high", broken) == ADDED
    verdict = judge(rule("pfrp_257_windrow"), broken, 30, {})
    assert "3 May 08:00 to 20 May 2026 08:00" in verdict.when and "in a row: 9 of 15 days" in verdict.when
    assert in_words(verdict.earliest) == "29 May 2026 08:00"  # the run since 14 May goes on


def test_the_coldest_probe_decides_and_the_core_where_a_rule_says_so() -> None:
    hot, cold = [60.0] * 20, [60.0] * 9 + [54.9] + [60.0] * 10
    turned = (3, 6, 8, 12, 15)
    assert word("pfrp_257_windrow", batch(hot, hot, turned=turned)) == MET
    assert word("pfrp_257_windrow", batch(hot, cold, turned=turned)) == ADDED
    assert word("as_4454_low", batch(hot, [30.0] * 20, turned=turned, depths=(60, 30))) == MET
    assert word("as_4454_low", batch(hot, [30.0] * 20, turned=turned, depths=(60, None))) == NOT_MET
    outputs = solved(temperature_log="date;a °C;b °C\n2026-05-03 08:00;60;50\n2026-05-04 08:00;60;60\n2026-05-05 08:00;60;60")
    assert outputs.coldest_probe == "b" and outputs.hot_total_days == 1


def test_a_gap_breaks_a_run_unless_the_rule_allows_it() -> None:
    days = [0, 1, 2, 5, 6, 7, 8, 9, 12, 13, 14]  # nobody reads on Saturday and Sunday
    held = Batch("", (Probe("a", None, tuple((START + day * DAY, 60.0) for day in days)),), ())
    assert word("bioabfv_composted", held, batch_moisture_percent=40) == MET
    assert word("who_2006", held) == NOT_MET and word("who_2006", held, gap=72) == MET
    assert word("who_2006", held, gap=71.9) == NOT_MET


def test_conditions_that_are_not_told_leave_a_rule_open() -> None:
    held = batch([60.0] * 20, turned=(3, 6, 9, 12, 15))
    assert word("nop_windrow", held) == OPEN and word("nop_windrow", held, batch_carbon_to_nitrogen=30) == MET
    verdict = judge(rule("nop_windrow"), held, 30, {"batch_carbon_to_nitrogen": 41})
    assert verdict.word == NOT_MET and "C:N 41, asked is 25 to 40" in verdict.when and verdict.stretch is None


def test_turnings_count_only_while_hot_apart_and_within() -> None:
    held = batch([60.0] * 9 + [30.0] * 3 + [60.0] * 9, turned=(10, 10.5, 11, 11.2, 11.4))
    assert "0 of 5 turnings" in judge(rule("ccme_windrow"), held, 30, {}).when
    uk = rule("uk_windrow")
    told = {"largest_piece_mm": 100}
    assert judge(uk, batch([60.0] * 9, turned=(2, 4, 6)), 30, told).word == MET
    assert judge(uk, batch([60.0] * 9, turned=(2, 3.9, 6)), 30, told).word == NOT_MET
    assert judge(uk, batch([60.0] * 20, turned=(1, 3, 9.5)), 30, told).word == NOT_MET  # 8.5 days from the first to the last
    later = judge(uk, batch([60.0] * 20, turned=(1, 3.5, 9.5, 11.5)), 30, told)
    assert later.word == MET and later.stretch == (START + 3 * DAY + DAY // 2, START + 11 * DAY + DAY // 2)
    waits = judge(uk, batch([60.0] * 6, turned=(1, 4.5)), 30, told)
    assert waits.earliest == START + 8 * DAY  # the third not before day 6.5
    assert judge(uk, batch([60.0] * 9, turned=(8,)), 30, told).earliest == START + 12 * DAY


def test_too_hot_for_one_rule_is_not_hot_enough_for_it() -> None:
    """The one rule with an upper limit: there, and only there, a colder reading can turn a fail into a pass."""
    held = batch([60.0] * 10 + [78.0] + [60.0] * 9, turned=(3, 6, 9, 13, 15))
    assert word("nop_windrow", held, batch_carbon_to_nitrogen=30) == ADDED and word("pfrp_257_windrow", held) == MET


def test_time_and_temperature_by_the_equation() -> None:
    row = temperatures.EQUATION["solids_7_or_more"]
    for degrees in (50, 55, 60.5):
        days = temperatures.days_needed(degrees, row["constant"], row["slope"])
        minutes = round(days * DAY)
        assert temperatures.share_of_equation([(0, minutes, degrees)], row) == pytest.approx(1, abs=2e-3)
        assert math.log10(row["constant"] / days) == pytest.approx(0.14 * degrees)
    assert temperatures.share_of_equation([(0, DAY, 49.9)], row) == 0
    parts = [(0, 600, 55.0), (600, 1200, 61.0)]
    assert temperatures.share_of_equation(parts, row) == sum(temperatures.share_of_equation([part], row) for part in parts)


def test_pieces_of_time() -> None:
    stretches = coldest([((0, 60.0), (10, 55.0), (20, None), (30, 58.0), (40, 58.0), (90, 58.0))], 20)
    assert stretches == [(0, 10, 55.0), (10, 20, -math.inf), (20, 30, -math.inf), (30, 40, 58.0)]
    assert runs(stretches, Limit(55)) == [(0, 10), (30, 40)] and runs(stretches, Limit(55, above=True)) == [(30, 40)]
    assert total([(0, 10), (30, 40)]) == 20 and reached([(0, 10), (30, 40)], 15) == 35 and reached([(0, 10)], 11) is None
    assert coldest([((0, 60.0),)], 20) == [] and coldest([((0, 60.0), (5, 60.0)), ()], 20) == []
    assert apart([0, 1, 2, 3, 5], 2) == [0, 2, 5]
    hot = Hot([((0, 60.0), (10, 60.0), (20, 50.0))], 10, Limit(55))
    assert [hot.at(moment) for moment in (-1, 0, 15, 20, 25)] == [None, (0, 0), (0, 10), None, None]
    assert warm_on_average([(0, 10, 50.0), (10, 20, 44.0)], [(0, 20)], 15, 45) == (0, 15)
    assert warm_on_average([(0, 10, 44.0), (10, 20, 46.0)], [(0, 20)], 20, 45) is None


# ---- in a plan ------------------------------------------------------------------------------------------------


def test_a_question_stops_the_record_alone_and_loses_nothing() -> None:
    text = "date;a °C\n03/04/2026;60\n05/04/2026;61"
    stopped = Plan({"temperature_log": text}).evaluate()
    assert (
        list(stopped.stopped) == ["temperatures"] and "3 April 2026 or 4 March 2026" in stopped.stopped["temperatures"].message
    )
    assert stopped.own["temperature_log"] == text == open_plan(save_plan(stopped)).evaluate().own["temperature_log"]
    answered = Plan({"temperature_log": text, "log_date_order": "dmy"}).evaluate()
    assert answered.results["temperatures"].outputs.first_reading == "3 Apr 2026 12:00"


def test_a_long_log_stays_in_the_file_and_out_of_the_link() -> None:
    text = ragged_log("monsoon")[0]
    assert len(text) > LONGEST_LOG_IN_LINK
    evaluated = Plan({"temperature_log": text, "homes": 900}).evaluate()
    assert evaluated.fragment == "homes=900" and evaluated.not_in_link == ["Readings"]
    assert (
        open_plan(save_plan(evaluated)).evaluate().results["temperatures"].sentence
        == evaluated.results["temperatures"].sentence
    )
    packed = taken(evaluated, {"kind": "packed"})["fragment"]
    assert browser.open_link("#" + packed).evaluate().own == evaluated.own
    noise = random.Random("noise")
    huge = "\n".join(f"2026-05-03 08:00;{noise.random()}" for _ in range(2_000))
    with pytest.raises(NotTaken, match="too long for a link"):
        taken(Plan({"temperature_log": huge}).evaluate(), {"kind": "packed"})
    reply = json.loads(browser.reply(json.dumps({"answers": {"temperature_log": text}, "parts": [], "forms": []})))
    assert reply["notInLink"] == ["Readings"] and "temperature_log" not in reply["fragment"]


def test_a_log_is_read_from_a_file_on_the_command_line(tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    file.write_text("date;a °C\n2026-05-03;61\n", "utf-8")
    assert pairs([f"temperature_log=@{file}", "log_batch=@x"]) == {"temperature_log": file.read_text("utf-8"), "log_batch": "@x"}
    with pytest.raises(BadInput, match="can't be read"):
        pairs(["temperature_log=@" + str(tmp_path / "none.csv")])


def test_the_answer_of_many_lines() -> None:
    answer = catalogue.first_asked("temperature_log")
    assert read(answer, "a\r\nb\x00\u00a0c\rd") == "a\nb  c\nd" and read(answer, " \n ") == "" and read(answer, None) == ""
    (problem,) = Plan({"temperature_log": "x" * (LONGEST_LOG + 1)}).evaluate().problems
    assert "100001 characters are more than the 100000" in problem.message
    (problem,) = Plan({"temperature_log": ["a"]}).evaluate().problems
    assert "must be text" in problem.message


def test_the_example_is_told_in_a_sentence() -> None:
    result = Plan({}).evaluate().results["temperatures"]
    assert result.sentence.startswith("Batch 14 meets ") and "the 15-day rule of 40 CFR 257 was met from" in result.sentence
    assert result.outputs.rules_met == sum(
        row[1] == MET for row in result.outputs.rules if "superseded" not in row[0] and "503.33" not in row[0]
    )
    later = Plan({"log_batch": "15"}).evaluate().results["temperatures"]
    assert "is not met yet" in later.sentence and "at the earliest" in later.sentence
    nothing = Plan({}, None).evaluate().results["temperatures"]
    assert nothing.sentence.startswith("No readings yet") and nothing.outputs.hot_total_days is None


def test_a_hot_heap_raises_its_caution() -> None:
    def raised(value: int) -> set[str]:
        return {
            each.key
            for each in Plan({"temperature_log": f"date;a °C\n2026-05-03;{value}"}).evaluate().results["temperatures"].raised
        }

    assert "heap_height_fire" in raised(70) and "heap_height_fire" not in raised(69)
    assert {"record_is_no_certificate", "steam_burn", "wet_down_dust"} <= raised(40)


def test_the_chart_tells_probes_apart_without_colour() -> None:
    chart = Plan({}).evaluate().results["temperatures"].charts[0]
    drawn = to_html(charts.draw(chart, "metric", "k"))
    assert len(chart.events) == 5 == drawn.count("chart-event") and len(chart.bands) == 1
    for place in range(3):
        assert f"pattern-{place}" in drawn
    style = (Path(__file__).resolve().parents[1] / "docs" / "assets" / "handbook.css").read_text("utf-8")
    assert len({line.split("{")[1] for line in style.splitlines() if line.startswith(".chart-line.pattern-")}) == 4
    one = solved(temperature_log="date;a °C\n2026-05-03 08:00;60")
    inputs = dataclasses.replace(Inputs(), temperature_log="date;a °C\n2026-05-03 08:00;60")
    assert one.readings_taken == 1 and "circle" in to_html(
        charts.draw(temperatures.charts(inputs, one)[0], "feet and pounds", "k")
    )


def test_the_certificate_says_what_it_is_and_what_it_is_not() -> None:
    evaluated = Plan({"temperature_log": ragged_log("winter")[0]}).evaluate()
    paper = text_of(batch_papers.certificate(evaluated))
    outputs = evaluated.results["temperatures"].outputs
    assert (
        "yard’s own record" in paper
        and "no accredited certification" in paper
        and evaluated.results["temperatures"].sentence in paper
    )
    for row in outputs.rules:
        assert row[0] in paper and row[1] in paper and row[2] in paper
    for row in outputs.lines:
        assert row[2] in paper
    assert all(who in paper for who in batch_papers.TO_SIGN)
    stopped = Plan({"temperature_log": "nothing"}).evaluate()
    assert "No answer" in text_of(batch_papers.certificate(stopped))
    assert "No readings yet" in text_of(batch_papers.certificate(Plan({}, None).evaluate()))


def test_the_log_sheet_has_the_places_of_the_yard() -> None:
    own, blank = (text_of(batch_papers.log_sheet(Plan({}, example).evaluate())) for example in ("larkhollow", None))
    assert "heart 60 cm" in own and "Larkhollow" in own and "heart" in blank and "30 to 60 cm" in blank
    assert blank.count("31") >= 1 and "month in letters" in blank
    reply = json.loads(browser.reply(json.dumps({"answers": {}, "parts": ["log-sheet", "batch-certificate"], "forms": []})))
    assert set(reply["parts"]) == {"log-sheet", "batch-certificate"}
