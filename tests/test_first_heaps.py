"""The first heaps' work: dates against a hand computation and python-dateutil, the calendar file against icalendar."""

from __future__ import annotations

import dataclasses
import datetime
import re
import subprocess
import sys
from functools import cache
from pathlib import Path

import icalendar
import pytest
from dateutil import rrule
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators import reference
from calculators.declare import CannotSolve
from calculators.doors.calendar_file import calendar, description
from calculators.first_heaps import (
    CAUTIONS,
    KINDS,
    SAMPLE_DAYS_BEFORE_END,
    DatedTask,
    FirstHeaps,
    date_words,
    work_of_first_heaps,
)
from calculators.plan import Evaluated, Plan
from calculators.view.elements import text_of, to_html
from calculators.view.first_heaps import work_table
from calculators.view.report import to_markdown

ROOT = Path(__file__).resolve().parents[1]
DAY = datetime.timedelta(1)
MONDAY = datetime.date(2027, 1, 4)
# a heap of 1 m × 1 m × 2.3 m filled with 1 m³ a day: full after 2.3 days
SIMPLE = {
    "mix_m3_per_day": 1, "bay_width_m": 1.5, "wall_clearance_m": 0.25, "heap_section": "rectangle", "heap_height_m": 1,
    "heap_length_m": 2.3, "first_stage_days": 14, "turning_interval_days": 4, "curing_days": 20, "working_days_per_week": 6,
}  # fmt: skip


@cache
def _evaluated(answers: tuple[tuple[str, object], ...]) -> Evaluated:
    evaluated = Plan(dict(answers), None).evaluate()
    assert not evaluated.problems
    return evaluated


def work(first_day: datetime.date = MONDAY, heaps: int = 3, **changed: object) -> FirstHeaps:
    return work_of_first_heaps(_evaluated(tuple({**SIMPLE, **changed}.items())), first_day, heaps)


def of_kind(found: FirstHeaps, kind: str, heap: int = 1) -> list[DatedTask]:
    return [task for task in found.tasks if (task.kind, task.heap) == (kind, heap)]


def joined(found: FirstHeaps) -> int:
    """Turnings that the notes say are done with other work."""
    said = [re.search(r"end of the first stage: (\d+)\.", note) for note in found.notes]
    return sum(int(match[1]) for match in said if match)


# ---- dates ----------------------------------------------------------------------------------------------------


def test_a_simple_yard_worked_out_by_hand() -> None:
    """Counted on a wall calendar of January and February 2027 (4 January is a Monday, Sundays are 10, 17, 24, 31, 7, 14).

    Heap 1 takes days 0 to 2.3: 4 to 6 January. Turned 4, 8, 12 days on: Sunday 10 → 11, 14, 18. Stage of 14 days: moved
    on the 20th. Cured 20 days: 9 February, sampled 14 days before.
    Heap 2 takes days 2.3 to 4.6: 6 to 8 January. Turned 12, 16, 20; moved 22; cured 11 February.
    Heap 3 takes days 4.6 to 6.9: from 8 January; full on Sunday 10 → 11. Turned 15, 19, 23; moved 25; cured on Sunday
    14 → 15 February.
    """

    def days(*pairs: tuple[int, int]) -> list[datetime.date]:
        return [datetime.date(2027, month, day) for month, day in pairs]

    by_hand = {
        1: {"build": days((1, 4), (1, 6)), "temperature": days((1, 6), (1, 19)), "turn": days((1, 11), (1, 14), (1, 18)),
            "move": days((1, 20)), "sample": days((1, 26)), "screen": days((2, 9))},
        2: {"build": days((1, 6), (1, 8)), "temperature": days((1, 8), (1, 21)), "turn": days((1, 12), (1, 16), (1, 20)),
            "move": days((1, 22)), "sample": days((1, 28)), "screen": days((2, 11))},
        3: {"build": days((1, 8), (1, 11)), "temperature": days((1, 11), (1, 24)), "turn": days((1, 15), (1, 19), (1, 23)),
            "move": days((1, 25)), "sample": days((2, 1)), "screen": days((2, 15))},
    }  # fmt: skip
    found = work()
    for heap, kinds in by_hand.items():
        for kind, dates in kinds.items():
            tasks = of_kind(found, kind, heap)
            spans = [task.date for task in tasks] if kind == "turn" else sorted({tasks[0].date, tasks[-1].end})
            assert spans == dates, (heap, kind)
    assert len(found.tasks) == 3 * 8
    moved = [task for task in found.tasks if "rest day" in task.why]
    assert [(task.heap, task.kind) for task in moved] == [(3, "build"), (1, "turn"), (3, "screen")]
    for task, sunday in zip(moved, ("10 January", "10 January", "14 February"), strict=True):
        assert f"due on Sunday {sunday} 2027, a rest day (assumed)" in task.why


def test_reasons_name_the_figures_of_the_plan() -> None:
    found = work()
    assert "from Bays: days to fill a heap 2.3\u00a0days" in of_kind(found, "build")[0].why
    assert "days between turnings 4\u00a0days" in of_kind(found, "turn")[0].why
    assert "days in the first stage 14\u00a0days" in of_kind(found, "move")[0].why
    assert "days of curing 20\u00a0days" in of_kind(found, "screen")[0].why
    assert f"{SAMPLE_DAYS_BEFORE_END} days (chosen here)" in of_kind(found, "sample")[0].why
    assert {source.status for source in found.sources} == {"chosen here"} and len(found.sources) == 2
    assert any("Sunday" in note and "assumed" in note for note in found.notes)


@pytest.mark.parametrize(("interval", "stage"), [(1, 7), (2, 45), (3.5, 45), (3.5, 49), (5, 50), (7, 14), (60, 45), (2.5, 180)])
def test_as_many_turnings_as_a_recurrence_rule_counts(interval: float, stage: int) -> None:
    """RFC 5545 recurrence, as python-dateutil expands it, in hours so that half days count."""
    found = work(turning_interval_days=interval, first_stage_days=stage, working_days_per_week=7)
    full = datetime.datetime.combine(of_kind(found, "build")[0].end, datetime.time())
    end = full + datetime.timedelta(stage)
    due = rrule.rrule(rrule.HOURLY, interval=int(24 * interval), dtstart=full, until=end)[1:]
    assert [task.date for task in of_kind(found, "turn")] == [when.date() for when in due if when < end]


@pytest.mark.parametrize("working_days", range(1, 7))
@pytest.mark.parametrize("interval", [1, 2, 3, 4, 7])
def test_turnings_of_a_yard_with_rest_days(working_days: int, interval: int) -> None:
    """Each due day put off to the next day of a weekly rule; due days that meet are one turning, none meets the move."""
    found = work(turning_interval_days=interval, working_days_per_week=working_days)
    full = datetime.datetime.combine(of_kind(found, "build")[0].end, datetime.time())
    working = rrule.rrule(rrule.DAILY, byweekday=range(working_days), dtstart=full, until=full + datetime.timedelta(60))
    due = rrule.rrule(rrule.DAILY, interval=interval, dtstart=full, until=full + datetime.timedelta(13))[1:]
    done = [working.after(day, inc=True).date() for day in due]
    move = working.after(full + datetime.timedelta(14), inc=True).date()
    assert [task.date for task in of_kind(found, "move")] == [move]
    assert [task.date for task in of_kind(found, "turn")] == sorted(set(done) - {move})
    assert joined(found) == 3 * len(list(due)) - len([task for task in found.tasks if task.kind == "turn"])
    assert ("takes the place" in of_kind(found, "move")[0].why) == (move in done)


def test_the_last_day_of_a_whole_number_of_days_is_not_one_too_late() -> None:
    """0.1 × 3 is more than 0.3 in binary, a heap of three days' loads is none the longer for it."""
    found = work(heap_length_m=3, working_days_per_week=7, heaps=20)
    for heap in range(1, 21):
        [build] = of_kind(found, "build", heap)
        assert (build.date, build.end) == (MONDAY + (heap - 1) * 3 * DAY, MONDAY + (heap * 3 - 1) * DAY)


def test_without_curing_screening_follows_the_first_stage() -> None:
    found = work(curing_days=0)
    assert not of_kind(found, "move")
    [sample], [screen] = of_kind(found, "sample"), of_kind(found, "screen")
    assert sample.date == screen.date == datetime.date(2027, 1, 20) and "no curing" in screen.why
    assert found.tasks.index(sample) < found.tasks.index(screen)
    assert any("no curing" in note for note in found.notes)


def test_a_short_curing_is_sampled_as_it_begins() -> None:
    found = work(curing_days=5)
    assert of_kind(found, "sample")[0].date == of_kind(found, "move")[0].date
    assert "shorter than" in of_kind(found, "sample")[0].why


def test_merging_and_turning_are_told_as_planned() -> None:
    merged, kept = work(), work(rebuilt_for_curing="no", turning_place="same_bay")
    assert "merge" in of_kind(merged, "move", 2)[0].title and "youngest part" in of_kind(merged, "screen")[0].what
    assert not any("merge" in task.title + task.what for task in kept.tasks)
    assert "spare bay" in of_kind(merged, "turn")[0].what and "own bay" in of_kind(kept, "turn")[0].what


def test_temperature_is_one_span_of_the_first_stage() -> None:
    found = work(working_days_per_week=7)
    [task] = of_kind(found, "temperature")
    assert (task.end - task.date).days + 1 == 14
    assert any("one entry over the whole first stage" in note for note in found.notes)


def test_every_caution_has_its_text() -> None:
    assert CAUTIONS.keys() == KINDS.keys()
    for keys in CAUTIONS.values():
        assert keys and all(reference.caution(key).text for key in keys)


# ---- limits ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("first_day", "heaps", "words"),
    [
        (MONDAY, 0, "from 1 to 20; it is 0"), (MONDAY, 21, "from 1 to 20; it is 21"), (MONDAY, True, "it is True"),
        (MONDAY, 2.5, "it is 2.5"), (datetime.date(1999, 12, 31), 3, "2000 to 2100; it is 1999-12-31"),
        (datetime.date(2101, 1, 1), 3, "it is 2101-01-01"), (None, 3, "it is None"),
    ],
)  # fmt: skip
def test_what_is_not_allowed_is_named(first_day: datetime.date, heaps: int, words: str) -> None:
    with pytest.raises(CannotSolve, match=re.escape(words)):
        work(first_day, heaps)


def test_the_ends_of_what_is_allowed() -> None:
    assert work(datetime.date(2000, 1, 1), 1).tasks and work(datetime.date(2100, 12, 31), 20).tasks


def test_a_plan_without_bays_says_why() -> None:
    for answers in ({"wall_clearance_m": 1}, {"heap_height_m": "high"}):
        evaluated = Plan(answers).evaluate()
        with pytest.raises(CannotSolve) as refused:
            work_of_first_heaps(evaluated, MONDAY)
        assert "Bays has no result" in refused.value.message and evaluated.stopped["bays"].message in refused.value.message


def test_heaps_that_outlast_the_calendar_are_refused() -> None:
    with pytest.raises(CannotSolve, match="after the year 9999"):
        work(heaps=20, mix_m3_per_day=0.001, heap_length_m=60, heap_height_m=1.8, bay_width_m=4)


def test_a_plan_without_a_crew_still_has_dates() -> None:
    evaluated = Plan({**SIMPLE, "shift_hours": "long"}, None).evaluate()
    assert "crew" in evaluated.stopped
    found = work_of_first_heaps(evaluated, MONDAY)
    assert found.tasks == work().tasks and any("Crew has no result" in note for note in found.notes)


# ---- laws -----------------------------------------------------------------------------------------------------

yards = st.fixed_dictionaries(
    {
        "mix_m3_per_day": st.floats(0.05, 20),
        "first_stage_days": st.integers(7, 180),
        "turning_interval_days": st.integers(4, 240).map(lambda quarters: quarters / 4),
        "curing_days": st.integers(0, 365),
        "working_days_per_week": st.integers(1, 7),
        "rebuilt_for_curing": st.sampled_from(["yes", "no"]),
    }
)
some_days = st.dates(datetime.date(2000, 1, 1), datetime.date(2100, 12, 31))


@given(answers=yards, first_day=some_days, heaps=st.integers(1, 20))
@settings(max_examples=60, deadline=None)
def test_laws_of_the_dates(answers: dict[str, object], first_day: datetime.date, heaps: int) -> None:
    found = work(first_day, heaps, **answers)
    dates = [task.date for task in found.tasks]
    assert dates == sorted(dates) and dates[0] >= first_day
    assert {task.heap for task in found.tasks} == set(range(1, heaps + 1))
    rest = range(int(answers["working_days_per_week"]), 7)  # type: ignore[call-overload]
    full_before = first_day
    for heap in range(1, heaps + 1):
        assert len(of_kind(found, "move", heap)) == int(bool(answers["curing_days"]))
        [build], [temperature], [sample], [screen] = (
            of_kind(found, kind, heap) for kind in ("build", "temperature", "sample", "screen")
        )
        ends = (of_kind(found, "move", heap) or [screen])[0].date
        assert full_before <= build.date <= build.end == temperature.date <= temperature.end
        assert temperature.end < ends <= sample.date <= screen.date
        turned = [task.date for task in of_kind(found, "turn", heap)]
        assert turned == sorted(set(turned)) and all(build.end < date < ends for date in turned)
        assert all(task.date.weekday() not in rest for task in found.tasks if task.heap == heap)
        assert build.end.weekday() not in rest
        full_before = build.end
    start = datetime.datetime(2027, 1, 1)
    until = start + datetime.timedelta(answers["first_stage_days"], minutes=-1)  # type: ignore[arg-type]
    hours = int(24 * answers["turning_interval_days"])  # type: ignore[operator]
    due = rrule.rrule(rrule.HOURLY, interval=hours, dtstart=start, until=until)[1:]
    assert len([task for task in found.tasks if task.kind == "turn"]) + joined(found) == heaps * len(due)


# ---- the calendar file ----------------------------------------------------------------------------------------

HOSTILE = [
    "plain", "a, b; c", "back\\slash, \\n and \\, and \\;", "two\nlines\r\nand\rmore", "🪱" * 60, "ä" * 100 + "🌱é", "x" * 300,
    "BEGIN:VEVENT\r\nSUMMARY:false\r\nEND:VEVENT", 'quotes " and \' and : and = and %2C', " leading and trailing ",
    "tab\there", "a\u0301" * 50, "\u202eturned\u202c", "\\", "\\\\", "y" * 66, "y" * 65 + "é", "\n",
]  # fmt: skip


def hostile_work(texts: list[str]) -> FirstHeaps:
    tasks = tuple(
        DatedTask(MONDAY + n * DAY, MONDAY + (n + n % 3) * DAY, n + 1, "turn", text, f"do {text}", CAUTIONS["turn"], f"{text}!")
        for n, text in enumerate(texts)
    )
    return FirstHeaps(MONDAY, len(texts), tasks, (), ())


def same_newlines(text: str) -> str:
    return text.replace("\r\n", "\n").replace("\r", "\n")


def assert_each_event_is_its_task(found: FirstHeaps, written: str) -> None:
    read = icalendar.Calendar.from_ical(written.encode())
    assert read["prodid"] == "-//Composting yard handbook//first heaps//EN" and read["version"] == "2.0"
    events = read.walk("VEVENT")
    assert len(events) == len(found.tasks) and len({str(event["uid"]) for event in events}) == len(events)
    for task, event in zip(found.tasks, events, strict=True):
        assert not event.errors
        assert event["dtstart"].dt == task.date and event["dtstart"].params["VALUE"] == "DATE"
        assert event["dtend"].dt == task.end + DAY and not isinstance(event["dtend"].dt, datetime.datetime)
        assert str(event["summary"]) == same_newlines(task.title)
        assert str(event["description"]) == same_newlines(description(task))
        assert task.what in description(task) and task.why in description(task)
        assert all(reference.caution(key).text in description(task) for key in task.cautions)


def lines_of(written: str) -> list[str]:
    assert written.endswith("\r\n")
    lines = written.split("\r\n")[:-1]
    assert not [line for line in lines if "\n" in line or "\r" in line]
    return lines


def properties(written: str) -> list[str]:
    """Content lines as they stand, folds and all."""
    return re.split(r"\r\n(?! )", written.removesuffix("\r\n"))


@pytest.mark.parametrize("text", HOSTILE, ids=ascii)
def test_hostile_text_comes_back_as_it_went(text: str) -> None:
    found = hostile_work([text])
    written = calendar(found)
    assert_each_event_is_its_task(found, written)
    # RFC 5545 section 3.1: "Lines of text SHOULD NOT be longer than 75 octets, excluding the line break"
    assert all(len(line.encode()) <= 75 for line in lines_of(written))


def test_the_work_of_the_example_comes_back() -> None:
    found = work_of_first_heaps(Plan({}).evaluate(), MONDAY, 4)
    written = calendar(found)
    assert_each_event_is_its_task(found, written)
    longest = max(len(line.encode()) for line in lines_of(written))
    assert 70 < longest <= 75


@given(texts=st.lists(st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")) | st.sampled_from("\\,;:\n\r\t"),
                              max_size=120), min_size=1, max_size=4))  # fmt: skip
@settings(max_examples=150, deadline=None)
def test_any_text_comes_back(texts: list[str]) -> None:
    found = hostile_work(texts)
    written = calendar(found)
    assert_each_event_is_its_task(found, written)
    for line in lines_of(written):
        assert len(line.encode()) <= 75
        assert len(re.search(r"\\*$", line)[0]) % 2 == 0, "a backslash is parted from what it escapes"  # type: ignore[index]


@pytest.mark.parametrize("stamp", [None, datetime.datetime(2026, 11, 25, 8, 30, 15, tzinfo=datetime.timezone.utc)])
def test_icalendar_writes_the_same_events(stamp: datetime.datetime | None) -> None:
    """Its own writer, given the same properties, escapes to the same text and folds to the same octets.

    Folds are compared where the text holds no backslash or caret: icalendar moves a line's last one on to the next line,
    the second of an escaped pair too, where ours keeps the pair whole.
    """
    found = hostile_work(HOSTILE)
    made = stamp or datetime.datetime(2027, 1, 4, tzinfo=datetime.timezone.utc)
    for task in found.tasks:
        alone = dataclasses.replace(found, tasks=(task,))
        ours = properties(calendar(alone, stamp))
        event = icalendar.Event()
        event.add("uid", next(line for line in ours if line.startswith("UID:"))[4:])
        event.add("dtstamp", made)
        event.add("dtstart", task.date)
        event.add("dtend", task.end + DAY)
        event.add("summary", same_newlines(task.title))
        event.add("description", same_newlines(description(task)))
        event.add("transp", "TRANSPARENT")
        theirs = properties(event.to_ical().decode())
        if "\\" not in task.title and "^" not in task.title:
            assert sorted(ours[3:-1]) == sorted(theirs)
        assert sorted(line.replace("\r\n ", "") for line in ours[3:-1]) == sorted(line.replace("\r\n ", "") for line in theirs)


def test_controls_and_broken_characters_are_left_out() -> None:
    found = hostile_work(["a\x00b\x07c\x1bd\x7fe\ud800f"])
    written = calendar(found)
    assert re.search(r"SUMMARY:abcde\?f\r\n", written) and not re.search(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", written)
    icalendar.Calendar.from_ical(written.encode())


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert calendar(work()) == calendar(work())
    identities = [re.findall("UID:(.*)\r\n", calendar(work(turning_interval_days=days))) for days in (4, 5)]
    assert len(set(identities[0])) == len(identities[0]) and set(identities[0]) != set(identities[1])


def test_a_stamp_is_told_in_utc() -> None:
    east = datetime.timezone(datetime.timedelta(hours=5, minutes=30))
    written = calendar(work(), datetime.datetime(2027, 1, 1, 4, 0, tzinfo=east))
    assert set(re.findall("DTSTAMP:(.*)\r\n", written)) == {"20261231T223000Z"}
    assert set(re.findall("DTSTAMP:(.*)\r\n", calendar(work()))) == {"20270104T000000Z"}


def test_nothing_points_outside() -> None:
    written = calendar(work_of_first_heaps(Plan({}).evaluate(), MONDAY)).replace("\r\n ", "")
    assert not re.search(r"https?:|mailto:|ATTACH|ORGANIZER|ATTENDEE|\nURL", written)


# ---- the table ------------------------------------------------------------------------------------------------


def test_the_table_has_every_task() -> None:
    found = work(heaps=2)
    table = work_table(found)
    text, html, markdown = text_of(table), to_html(table), to_markdown(table)
    assert html.count("<tr>") == len(found.tasks) + 1
    for task in found.tasks:
        assert f'<time datetime="{task.date}">{date_words(task.date)}</time>' in html
        assert task.title in text and task.what in text and task.why[1:] in text
        assert all(reference.caution(key).title in text for key in task.cautions)
    assert all(note in text for note in found.notes)
    assert all(source.note in text for source in found.sources) and "chosen here" in text
    assert markdown.count("\n| ") == len(found.tasks) + 2  # with its head and the rule below


def test_hostile_words_stay_text_in_the_table() -> None:
    html = to_html(work_table(hostile_work(["<img src=x onerror=a()>"])))
    assert "<img" not in html and "&lt;img" in html


# ---- the command line -----------------------------------------------------------------------------------------


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "calculators", *arguments], cwd=ROOT, capture_output=True, text=True,
                          encoding="utf-8", check=False)  # fmt: skip


@pytest.fixture
def plan_file(tmp_path: Path) -> str:
    file = tmp_path / "yard.json"
    file.write_text('{"yard_plan": 1, "example": "larkhollow", "answers": {"homes": 900}}')
    return str(file)


def test_the_command_line_writes_the_file(tmp_path: Path, plan_file: str) -> None:
    target = tmp_path / "work.ics"
    done = run("calendar", plan_file, "--from", "2027-01-04", "--heaps", "2", "--to", str(target))
    assert done.returncode == 0 and "Written" in done.stdout
    found = work_of_first_heaps(Plan({"homes": 900}).evaluate(), MONDAY, 2)
    assert target.read_bytes() == calendar(found).encode()
    assert_each_event_is_its_task(found, target.read_bytes().decode())


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (["--from", "2027-02-30"], "‘2027-02-30’ is not a date"), (["--from", "soon"], "such as 2027-01-04"),
        (["--from", "20270104"], "such as 2027-01-04"), (["--from", "1999-01-01"], "2000 to 2100; it is 1999-01-01"),
        (["--from", "2027-01-04", "--heaps", "many"], "Heaps: ‘many’"),
        (["--from", "2027-01-04", "--heaps", "21"], "from 1 to 20; it is 21"), ([], "--from"),
        (["--from", "2027-01-04", "--to", "work.txt"], "must end in .ics"),
        (["--from", "2027-01-04", "--to", "no/such/folder/work.ics"], "can't be written"),
    ],
)  # fmt: skip
def test_the_command_line_says_what_is_wrong(plan_file: str, more: list[str], words: str) -> None:
    done = run("calendar", plan_file, "--to", "work.ics", *more)
    assert done.returncode == 2 and words in done.stderr and len(done.stderr.splitlines()) == 1
    assert not (ROOT / "work.ics").exists()
