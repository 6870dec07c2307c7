"""Laws of the temperature record for any log, and time at temperature against numpy, minute by minute."""

from __future__ import annotations

import random

import numpy
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.hot_time import Limit, coldest, runs, total, warm_on_average
from calculators.log_reading import DAY, Batch, LogRefused, Probe, read_log
from calculators.plan import Plan
from calculators.topics import temperatures
from calculators.topics.temperatures import ADDED, GAP, HOUR, MET, OPEN, RULES, judge

TOLD = {"batch_moisture_percent": 55.0, "batch_carbon_to_nitrogen": 30.0, "largest_piece_mm": 10.0}
RANK = {temperatures.NOT_MET: 0, ADDED: 1, MET: 2}
START = 1_000_000
LEVELS = (38.0, 40.0, 46.0, 50.0, 55.0, 58.0, 60.0, 65.0, 70.0, 75.0)

levels = st.sampled_from(LEVELS)
values = st.one_of(levels, st.none())
# streaks, so that rules of days and weeks are often met
heats = st.lists(
    st.tuples(st.one_of(st.sampled_from((55.0, 60.0, 65.0, 70.0)), values), st.integers(1, 18)), min_size=1, max_size=5
)


def series_of(heat, hours, wobble):  # type: ignore[no-untyped-def]
    """Readings every so many hours from streaks of temperatures."""
    held = [value for value, times in heat for _ in range(times)]
    return tuple((START + place * hours * HOUR + (wobble * place) % 50, value) for place, value in enumerate(held))


probes = st.lists(st.builds(series_of, heats, st.sampled_from((6, 24, 24)), st.integers(0, 30)), min_size=1, max_size=3)
turnings = st.lists(st.integers(0, 30 * 24).map(lambda hours: START + hours * HOUR), max_size=9, unique=True).map(
    lambda found: tuple(sorted(found))
)
batches = st.builds(
    lambda each, turned: Batch("", tuple(Probe(str(place), None, one) for place, one in enumerate(each)), turned),
    probes,
    turnings,
)


def words(batch: Batch) -> dict[str, str]:
    return {row["key"]: judge(row, batch, GAP["typical"], TOLD).word for row in RULES}


def changed(batch: Batch, probe: int, series) -> Batch:  # type: ignore[no-untyped-def]
    """The batch with one probe's readings replaced."""
    kept = [
        Probe(each.name, each.depth_cm, tuple(series) if place == probe else each.series)
        for place, each in enumerate(batch.probes)
    ]
    return Batch(batch.name, tuple(kept), batch.turnings)


@given(batches, st.data())
@settings(max_examples=60, deadline=None)
def test_colder_readings_never_turn_a_fail_into_a_pass(batch: Batch, data) -> None:  # type: ignore[no-untyped-def]
    """No reading here is above the upper limit of the one rule that has one (see the test of that rule)."""
    before, vector = words(batch), temperatures.vector_attraction(batch, GAP["typical"])[0]
    probe = data.draw(st.integers(0, len(batch.probes) - 1))
    series = [
        (moment, None if value is None or (drop := data.draw(st.sampled_from((0, 0, 0, 4, 12, 99)))) == 99 else value - drop)
        for moment, value in batch.probes[probe].series
    ]
    colder = changed(batch, probe, series)
    after = words(colder)
    for key in before:
        assert RANK[after[key]] <= RANK[before[key]], key
    assert not (vector != MET and temperatures.vector_attraction(colder, GAP["typical"])[0] == MET)
    row = temperatures.EQUATION["solids_7_or_more"]
    shares = [
        temperatures.share_of_equation(coldest([each.series for each in held.probes], 30 * HOUR), row)
        for held in (batch, colder)
    ]
    assert shares[1] <= shares[0] * (1 + 1e-12)


@given(batches, st.data())
@settings(max_examples=60, deadline=None)
def test_removing_hot_readings_never_makes_a_pass(batch: Batch, data) -> None:  # type: ignore[no-untyped-def]
    """A reading that satisfies a rule's limit only ever helps it. (One that does not would be missed: the log is believed.)"""
    probe = data.draw(st.integers(0, len(batch.probes) - 1))
    series = batch.probes[probe].series
    hot = [place for place, (_, value) in enumerate(series) if value is not None and value >= 70]  # satisfies every rule
    gone = set(data.draw(st.lists(st.sampled_from(hot), max_size=6))) if hot else set()
    left = [reading for place, reading in enumerate(series) if place not in gone]
    if not left:
        return
    before, after = words(batch), words(changed(batch, probe, left))
    for key in before:
        assert RANK[after[key]] <= RANK[before[key]], key


@given(st.lists(heats, min_size=1, max_size=3), st.data())
@settings(max_examples=40, deadline=None)
def test_leaving_out_any_reading_of_a_daily_log_never_makes_a_pass(streaks, data) -> None:  # type: ignore[no-untyped-def]
    """Of a log read daily a cold reading can't be left out: the gap that it leaves breaks the run as it did.

    Not so where a rule allows the gap of a weekend, and a turning is believed hot by the reading before it.
    """
    batch = Batch("", tuple(Probe(str(place), None, series_of(heat, 24, 0)) for place, heat in enumerate(streaks)), ())
    rows = [row for row in RULES if row.get("gap_hours", 30) <= 30 and not row.get("turnings") and "before_each_turning" not in row]
    before = {row["key"]: judge(row, batch, GAP["typical"], TOLD).word for row in rows}
    probe = data.draw(st.integers(0, len(batch.probes) - 1))
    series = batch.probes[probe].series
    gone = set(data.draw(st.lists(st.integers(0, len(series) - 1), max_size=6)))
    left = [reading for place, reading in enumerate(series) if place not in gone]
    if left:
        for row in rows:
            assert RANK[judge(row, changed(batch, probe, left), GAP["typical"], TOLD).word] <= RANK[before[row["key"]]], row["key"]


@given(batches, turnings)
@settings(max_examples=40, deadline=None)
def test_more_turnings_never_make_a_fail(batch: Batch, more) -> None:  # type: ignore[no-untyped-def]
    one, two = words(batch), words(Batch("", batch.probes, tuple(sorted({*batch.turnings, *more}))))
    for key in one:
        # a turning more can take the place of one that was counted where they must lie apart: then the first chain still stands
        assert RANK[two[key]] >= RANK[one[key]], key


def held_hot(batch: Batch, now: int, end: int) -> Batch:
    """The batch read every 50 minutes at 75 °C from its last reading to the end, and turned six times right away."""
    moments = sorted({*range(now + 50, end, 50), end} - {now})
    grown = [Probe(each.name, None, (*each.series, *((moment, 75.0) for moment in moments))) for each in batch.probes]
    return Batch("", tuple(grown), tuple(sorted({*batch.turnings, *range(now, now + 6)})))


@given(st.lists(heats, min_size=1, max_size=2), turnings)
@settings(max_examples=25, deadline=None)
def test_a_rule_is_met_on_the_earliest_date_if_it_stays_hot(streaks, turned) -> None:  # type: ignore[no-untyped-def]
    """Hot at the last reading and from then on, turned right away as often as asked: it is met then, and no minute before."""
    longest = max(sum(times for _, times in heat) for heat in streaks)
    ends = [((70.0, longest + 1 - sum(times for _, times in heat)),) for heat in streaks]
    batch = Batch(
        "",
        tuple(
            Probe(str(place), None, series_of((*heat, *end), 24, 0))
            for place, (heat, end) in enumerate(zip(streaks, ends, strict=True))
        ),
        turned,
    )
    now = batch.moments[-1]
    batch = Batch("", batch.probes, tuple(moment for moment in batch.turnings if moment <= now))
    tried = 0
    for row in RULES:
        if row.get("turnings_apart_hours") or "before_each_turning" in row or min(way["hours"] for way in row["ways"]) == 1:
            continue  # turnings that must wait, and rules of one hour: tested by example
        verdict = judge(row, batch, GAP["typical"], TOLD)
        if verdict.earliest is None:
            continue
        tried += 1
        latest = max(verdict.earliest, now + 5) if row.get("turnings") else verdict.earliest
        assert judge(row, held_hot(batch, now, latest), GAP["typical"], TOLD).word == MET, row["key"]
        if latest == verdict.earliest and now + 1 < latest and len(row["ways"]) == 1:
            assert judge(row, held_hot(batch, now, latest - 1), GAP["typical"], TOLD).word != MET, row["key"]


# ---- against numpy, minute by minute --------------------------------------------------------------------------

short_series = st.lists(st.tuples(st.integers(1, 9), values), min_size=2, max_size=12).map(
    lambda steps: tuple(zip(numpy.cumsum([step for step, _ in steps]).tolist(), [value for _, value in steps], strict=True))
)


def minute_by_minute(series, gap):  # type: ignore[no-untyped-def]
    """The coldest probe in each minute from 0 on; nan where a probe is not known."""
    lowest = numpy.full((len(series), 120), numpy.nan)
    for place, one in enumerate(series):
        times = numpy.array([moment for moment, _ in one])
        held = numpy.array([-numpy.inf if value is None else value for _, value in one])
        for minute in range(120):
            after = numpy.searchsorted(times, minute, side="right")
            if 0 < after < len(times) and times[after] - times[after - 1] <= gap:
                lowest[place, minute] = min(held[after - 1], held[after])
    return lowest.min(axis=0)


@given(st.lists(short_series, min_size=1, max_size=3), st.integers(1, 9), st.sampled_from((40.0, 55.0, 60.0)), st.booleans())
@settings(max_examples=120, deadline=None)
def test_hot_runs_against_numpy(series, gap, least, above) -> None:  # type: ignore[no-untyped-def]
    lowest = minute_by_minute(series, gap)
    hot = numpy.nan_to_num(lowest, nan=-1e9) > least if above else numpy.nan_to_num(lowest, nan=-1e9) >= least
    edges = numpy.flatnonzero(numpy.diff(numpy.concatenate(([0], hot.astype(int), [0]))))
    found = runs(coldest(series, gap), Limit(least, above))
    assert found == list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)) and total(found) == int(hot.sum())


@given(short_series, st.integers(2, 12))
@settings(max_examples=120, deadline=None)
def test_warm_on_average_against_every_window(series, shortest) -> None:  # type: ignore[no-untyped-def]
    stretches = coldest([series], 9)
    pieces = runs(stretches, Limit(40, above=True))
    lowest = minute_by_minute([series], 9)
    windows = [
        (start, end)
        for first, last in pieces
        for start in range(first, last)
        for end in range(start + shortest, last + 1)
        if numpy.sum(lowest[start:end] - 55) > 1e-6
    ]
    found = warm_on_average(stretches, pieces, shortest, 55)
    assert (found is not None) == bool(windows)
    if found:
        start, end = found
        assert end - start >= shortest and numpy.mean(lowest[start:end]) > 55


# ---- texts ----------------------------------------------------------------------------------------------------

PIECES = (
    "2026-05-03",
    "03/04/2026",
    "13.04.26",
    "08:00",
    "8 am",
    ";",
    ",",
    "\t",
    "\n",
    "\n",
    " ",
    "61.5",
    "60,2",
    "°C",
    "°F",
    "date",
    "time",
    "probe 1",
    "batch",
    "turned",
    "yes",
    '"',
    "err",
    "NaN",
    "-",
    "99999",
    "\x00",
    "५५",
    "é",
    "depth 30 cm",
    "\ud800",
    "|",
    "heart",
)
scraps = st.lists(st.sampled_from(PIECES), max_size=60).map("".join)


@given(
    st.one_of(st.text(max_size=200), scraps),
    st.one_of(st.text(max_size=40), scraps),
    st.sampled_from(("", "dmy", "mdy", "ymd")),
    st.sampled_from(("", "c", "f")),
)
@settings(max_examples=300, deadline=None)
def test_any_text_is_a_log_or_a_reason(text: str, typed: str, order: str, unit: str) -> None:
    try:
        held = read_log(text, order, unit, typed)
    except LogRefused as refused:
        assert str(refused).strip()
        return
    for batch in held.batches:
        for probe in batch.probes:
            moments = [moment for moment, _ in probe.series]
            assert moments == sorted(set(moments)) and all(value is None or -30 <= value <= 100 for _, value in probe.series)


@given(scraps, scraps)
@settings(max_examples=40, deadline=None)
def test_any_text_in_a_plan_raises_nothing(text: str, typed: str) -> None:
    answers = {"temperature_log": text, "turnings_typed": typed, "log_unit": "c", "log_date_order": "dmy", "log_batch": ""}
    evaluated = Plan(answers).evaluate(only="temperatures")
    part = evaluated.step("temperatures")
    assert getattr(part, "message", "") or part.sentence


@pytest.mark.parametrize("seed", range(12))
def test_the_order_of_lines_changes_nothing(seed: int) -> None:
    chance = random.Random(f"shuffled {seed}")
    head = "date;time;batch;a °C;b °C;turned"
    rows = []
    for day in range(1, 25):
        for batch in ("7", "8"):
            figures = ";".join(chance.choice(["", "err", f"{chance.uniform(40, 66):.1f}", "60,5", "61"]) for _ in range(2))
            rows.append(
                f"2026-05-{day:02d};{chance.choice(['08:00', '20:00'])};{batch};{figures};{chance.choice(['', '', 'x'])}"
            )
    rows += chance.sample(rows, 4) + ["nonsense", "2026-05-04;08:00;7;55;55;"]
    results = []
    for _ in range(3):
        found = Plan({"temperature_log": "\n".join([head, *rows]), "log_batch": "7", "longest_gap_hours": 48}).evaluate(
            only="temperatures"
        )
        outputs = found.results["temperatures"].outputs
        results.append(
            [
                outputs.rules,
                outputs.batches,
                outputs.probes,
                outputs.hot_total_days,
                outputs.equation_share,
                outputs.vector_attraction,
                found.results["temperatures"].charts,
            ]
        )
        chance.shuffle(rows)
    assert results[0] == results[1] == results[2]


def test_open_is_between_met_and_not_met() -> None:
    assert OPEN not in RANK  # with everything told no rule stays open
    batch = Batch(
        "",
        (Probe("a", None, tuple((START + DAY * day, 75.0) for day in range(20))),),
        tuple(START + 3 * DAY * each for each in range(6)),
    )
    assert OPEN not in words(batch).values() and list(words(batch).values()).count(MET) > 15
