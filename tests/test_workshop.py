"""Workshops: links that round trip, guesses in words, exercise sheets whose key is the plan's answer, hostile input."""

from __future__ import annotations

import json
import random
import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators import catalogue
from calculators import workshop as ws
from calculators.doors import browser, markdown_extension
from calculators.doors import workshop as door
from calculators.plan import Plan
from calculators.view import workshop as view
from calculators.view.elements import Element, text_of, to_html

ROOT = Path(__file__).resolve().parents[1]
HOSTILE = "<img src=x onerror=a()>"
LINK = (
    "#title=Bays&from=larkhollow&ask=bays.bays_total&homes=900&hide=first_stage_days&vary=homes,bay_width"
    "&say=How many bays?&ask=crew.crew_count&homes=900"
)
SHEETS = ws.open_workshop(
    "title=Sheets&homes=900&vary=homes&ask=bays.bays_total&ask=mix.mix_kg_per_day&ask=crew.crew_count&from=pennywhistle"
)


def plain(text: str) -> str:
    return text.replace("\u00a0", " ").replace("\u202f", " ")


def ask(**request: Any) -> dict[str, Any]:
    """The answer to a request of a page, by the very door that the page uses."""
    found = json.loads(browser.reply(json.dumps(request)))
    assert "fault" not in found and "refused" not in found, found
    return found


def tags(node: Any) -> set[str]:
    return set() if isinstance(node, str) else {node[0]}.union(*(tags(child) for child in node[2]))


def words(node: Any) -> str:
    return node if isinstance(node, str) else "".join(words(child) for child in node[2])


# ---- links ----------------------------------------------------------------------------------------------------


def test_a_link_written_by_hand() -> None:
    made = ws.open_workshop(LINK)
    assert made.problems == () and made.title == "Bays"
    first, second = made.questions
    assert first == ws.Question("bays.bays_total", (("homes", "900"),), ("first_stage_days",), ("homes", "bay_width_m"),
                                "larkhollow", "How many bays?")  # fmt: skip
    assert second == ws.Question("crew.crew_count", (("homes", "900"),))


def test_what_stands_before_the_first_question_is_shared_and_can_be_overridden() -> None:
    shared = "from=pennywhistle&homes=50&hide=curing"
    made = ws.open_workshop(f"{shared}&ask=bays.bays_total&ask=crew.crew_count&homes=70&from=nothing")
    assert made.problems == ()
    assert [dict(question.given)["homes"] for question in made.questions] == ["50", "70"]
    assert [question.example for question in made.questions] == ["pennywhistle", None]
    assert all(question.hidden == ("curing_days",) for question in made.questions)


@pytest.mark.parametrize(
    "fragment",
    [LINK, "from=nothing&ask=bays.heap_m3&bay_width=5ft&ask=mix.tub_ratio",
     "ask=mix.tub_ratio&own_materials=a%26b:20:0.5:90:150:",
     "homes=900&say=Wie%20viele%3F%20%26%20warum&ask=crew.crew_count&ask=crew.crew_present&from=pennywhistle",
     "market_kg_by_weekday=0;0;420;0;0;680;0&ask=arrivals.busiest_day_kg"],
)  # fmt: skip
def test_written_and_opened_again_it_is_the_same(fragment: str) -> None:
    made = ws.open_workshop(fragment)
    assert made.problems == () and made.questions
    assert ws.open_workshop(ws.to_fragment(made)) == made


@pytest.mark.parametrize(
    ("fragment", "said"),
    [
        ("", "no question yet"), ("homes=900", "no question yet"),
        ("ask=bays.bays_totl", "Did you mean ‘bays.bays_total’"), ("ask=bays.occupancy_by_month", "can't be guessed"),
        ("ask=", "Choose what is asked"), ("ask=bays", "no output ‘bays’"),
        ("ask=bays.bays_total&homes=many", "Question 1: Homes served: ‘many’ is not a number"),
        ("ask=bays.bays_total&hoems=3", "Did you mean ‘homes’"), ("ask=bays.bays_total&homes", "name=value"),
        ("ask=bays.bays_total&bay_width=40", "between 0.6 and 4"), ("ask=bays.bays_total&from=elsewhere", "elsewhere"),
        ("ask=bays.bays_total&hide=nothing_such", "nothing_such"),
        ("ask=bays.bays_total&vary=heap_section", "only numbers can"),
        ("ask=bays.bays_total&vary=market_kg_by_weekday", "only numbers can"),
        ("ask=mix.tub_ratio&vary=own_materials", "only numbers can"),
        ("ask=bays.bays_total&vary=homes&hide=homes", "hidden and varied"),
        ("ask=bays.bays_total&homes=1&homes=2", "given twice"),
        ("&".join(["ask=bays.bays_total"] * 31), "at most 30 questions"),
        ("ask=bays.bays_total&say=" + "x" * 20_000, "20000"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_named(fragment: str, said: str) -> None:
    made = ws.open_workshop(fragment)
    assert any(said in problem.message for problem in made.problems), made.problems
    assert len(made.questions) <= ws.MOST_QUESTIONS
    for question in made.questions:
        ws.answer(question)


def test_the_rest_of_a_bad_link_still_works() -> None:
    made = ws.open_workshop("ask=nothing.there&homes=3&ask=bays.bays_total&homes=many&bay_width=1.4")
    assert [question.asks for question in made.questions] == ["bays.bays_total"]
    assert made.questions[0].given == (("bay_width_m", "1.4"),)
    assert len(made.problems) == 2


def test_a_fault_that_all_share_is_told_once() -> None:
    made = ws.open_workshop("homes=many&vary=heap_section&ask=bays.bays_total&ask=crew.crew_count&ask=mix.tub_ratio")
    assert len(made.problems) == 2, made.problems


ANY_NAME = st.sampled_from([*catalogue.NAMES, *ws.RESERVED])
PIECE = st.one_of(
    st.sampled_from([
        "ask=bays.bays_total", "ask=mix.tub_ratio", "ask=maturity.germination_index_percent", "from=pennywhistle",
        "from=nothing", "title=A %26 b", "homes=900", "homes=0", "bay_width=5ft", "vary=homes,bay_width", "hide=homes",
        "say=<b>?", "own_materials=x:20:0.5:90:150:", "bulking_material=x", "%", "&&", "=", "ask", "#", "\ud800",
    ]),
    st.text(max_size=12),
    st.builds(lambda name, raw: f"{name}={raw}", ANY_NAME, st.text(max_size=12)),
    st.builds(lambda name, raw: f"{name}={quote(raw, errors='replace')}", ANY_NAME, st.text(max_size=12)),
)  # fmt: skip


@settings(max_examples=120, deadline=None)
@given(st.lists(PIECE, max_size=12).map("&".join))
def test_any_link_opens_and_round_trips(fragment: str) -> None:
    made = ws.open_workshop(fragment)
    again = ws.open_workshop(ws.to_fragment(made))
    assert (again.title, again.questions) == (made.title, made.questions)
    assert all(problem.message.strip() for problem in made.problems)
    if made.questions:
        assert again.problems == ()
    json.dumps(door.reply({"workshop": {"link": fragment}, "parts": ["workshop-run", "workshop-compose"]})).encode()


KEYS = st.sampled_from(
    "workshop link form ask-0 given-0 ask-99 state guesses shown at 0 sheets seed copies parts system base".split()
)
HELD = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=8)),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(KEYS, inner, max_size=5)),
)


@settings(max_examples=60, deadline=None)
@given(HELD)
def test_any_request_is_answered(held: Any) -> None:
    request = {**(held if isinstance(held, dict) else {"state": held, "sheets": held}), "workshop": held}
    request["parts"] = ["workshop-run", "workshop-compose", "workshop-sheets"]
    ask(**request)


# ---- answers and guesses --------------------------------------------------------------------------------------


@pytest.mark.parametrize("address", ws.ADDRESSES)
def test_every_output_can_be_asked_and_is_the_plans(address: str) -> None:
    key, _, name = address.partition(".")
    found = ws.answer(ws.Question(address, (("homes", "900"),)))
    outputs = Plan({"homes": 900}).evaluate(frozenset([key])).results[key].outputs
    assert found.value == getattr(outputs, name)
    assert bool(found.why) == (found.value is None)
    if found.direct:
        assert found.steps[-1].value == pytest.approx(found.value)
    assert view.asked(found.question, "metric")


def test_no_answer_says_why() -> None:
    found = ws.answer(ws.open_workshop("ask=bays.bays_total&bay_width=0.6&wall_clearance=0.29").questions[0])
    assert found.value is None and "wider" in found.why
    shown = [text_of(node) for node in view.run(ws.Workshop("", (found.question,)), view.State())]
    assert any(found.why in text for text in shown)


@pytest.mark.parametrize(
    ("guess", "told"),
    [("40", "You said 40 bays; it is 60 bays: a third too few."), ("60", "spot on"), ("62", "close, a little too many"),
     ("90 bays", "half too many"), ("30", "half too few"), ("600", "too many, by a factor of about 10"),
     ("3", "too few, by a factor of about 20"), ("0", "too few"), ("-5", "too few"), ("٩٠", "half too many")],
)  # fmt: skip
def test_a_guess_in_words(guess: str, told: str) -> None:
    """60 bays is no yard's figure here: the words are held against shares worked out by hand."""
    question = ws.Question("bays.bays_total", (("homes", "900"),))
    real = ws.answer(question)
    fixed = ws.Answered(real.question, real.evaluated, real.result, 60, real.steps)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ws, "answer", lambda *_: fixed)
        judged = ws.judge(question, guess)
    assert told in plain(judged.sentence), judged
    assert judged.difference == judged.guess - 60 and judged.message == ""
    assert judged.ratio is None or judged.ratio == pytest.approx(judged.guess / 60)


def test_a_guess_in_the_readers_units() -> None:
    question = ws.Question("mix.filled_tub_kg")
    value = ws.answer(question).value
    # 1 lb = 0.45359237 kg exactly (NIST SP 811, appendix B)
    assert ws.judge(question, "40", "feet and pounds").guess == pytest.approx(40 * 0.45359237)
    assert ws.judge(question, "40 lb").difference == pytest.approx(40 * 0.45359237 - value)
    assert ws.judge(question, "40").guess == 40


@pytest.mark.parametrize("guess", ["", " ", "many", "1,500", "nan", "1e999", "5 m", "<b>", None, True, [1], {}, "\ud800"])
def test_a_bad_guess_gets_a_message(guess: Any) -> None:
    judged = ws.judge(ws.Question("bays.bays_total"), guess)
    assert judged.guess is None and judged.sentence == "" and "Bays to build" in judged.message


def test_words_are_not_scored() -> None:
    judged = ws.judge(ws.Question("mix.tub_ratio"), "two to one")
    assert judged.difference is None and judged.ratio is None and "two to one" in judged.sentence
    assert str(ws.answer(ws.Question("mix.tub_ratio")).value) in judged.sentence
    assert ws.judge(ws.Question("mix.tub_ratio"), "").message


def test_the_answer_comes_after_the_guess_only() -> None:
    link = LINK.lstrip("#")
    result = Plan({"homes": 900}).evaluate().results["bays"]
    answer = plain(result.sentence)

    def run(state: dict[str, Any]) -> tuple[dict[str, Any], str]:
        found = ask(workshop={"link": link}, state=state, parts=["workshop-run"], base="../plan/")
        return found, plain("".join(words(node) for node in found["parts"]["workshop-run"]))

    _, text = run({})
    assert answer not in text and "not told" in text and "45 days" not in text and "Commit my guess" in text
    found, text = run({"guesses": {}, "shown": [0]})
    assert answer not in text  # shown without a guess stays closed
    found, text = run({"guesses": {"0": "many"}, "shown": [0], "at": 0})
    assert answer not in text and "not a number" in found["said"]
    found, text = run({"guesses": {"0": "40"}, "shown": [], "at": 0})
    assert answer not in text and "45 days" not in text and "Show the answer" in text and "kept" in found["said"]
    found, text = run({"guesses": {"0": "40"}, "shown": [0], "at": "0"})
    assert answer in text and "45 days" in text and "too few" in found["said"]
    for caution in result.cautions:
        assert (plain(caution.text) in text) == caution.urgent
    state = view.State({0: "40"}, frozenset({0}))
    html = "".join(to_html(node) for node in view.run(ws.open_workshop(link), state, base="../plan/"))
    assert 'href="../plan/bays.html#homes=900"' in html


# ---- exercise sheets ------------------------------------------------------------------------------------------


def test_the_key_is_what_a_plan_gives_for_each_copy() -> None:
    copies = ws.exercise(SHEETS, 7, 12)
    key = plain(text_of(view.key(copies, "Sheets")))
    for copy in copies:
        for made in copy.exercises:
            question = made.answered.question
            plan = Plan(dict(question.given), question.example).evaluate().results[question.key]
            assert made.answered.value == getattr(plan.outputs, question.output.name)
            assert plain(view.figure(made.answered, "metric")) in key
            homes = plan.standings["homes"].value if "homes" in plan.standings else None
            assert homes is None or f"Homes served {homes:,}".replace(",", " ") in key


def test_the_same_seed_gives_the_same_sheets_and_more_copies_begin_alike() -> None:
    one, again, longer, other = (ws.exercise(SHEETS, seed, copies) for seed, copies in ((7, 6), (7, 6), (7, 9), (8, 6)))
    numbers = [
        [made.answered.question.given for copy in sheets for made in copy.exercises]
        for sheets in (one, again, longer, other)
    ]
    assert numbers[0] == numbers[1] == numbers[2][: len(numbers[0])]
    assert numbers[0] != numbers[3]


def test_neighbouring_copies_differ_in_every_answer() -> None:
    copies = ws.exercise(SHEETS, 3, 30)
    for before, after in zip(copies, copies[1:], strict=False):
        for one, two in zip(before.exercises, after.exercises, strict=True):
            same = view.figure(one.answered, "metric") == view.figure(two.answered, "metric")
            assert not same or "copy before" in two.remark
    assert len({copy.exercises[0].answered.value for copy in copies}) > 10


def test_numbers_follow_the_rule_restated_here() -> None:
    """Between 60 and 150 % of the set value, within limits and usual range, two figures, counts whole: worked anew from
    the generator. Every draw is taken, since no volume of a day's turning comes twice in a row."""
    made = ws.open_workshop("ask=bays.turned_m3_per_day&homes=900&bay_width=1.5&vary=homes,bay_width&from=nothing")
    chance = random.Random(11)
    for copy in ws.exercise(made, 11, 20):
        given = dict(copy.exercises[0].answered.question.given)
        homes = 540 + (1350 - 540) * chance.random()
        width = 1.2 + (1.8 - 1.2) * chance.random()  # 0.9 to 2.25, cut to the usual 1.2 to 1.8 m
        assert int(given["homes"]) == round(homes, -2 if homes >= 995 else -1)
        assert float(given["bay_width_m"]) == round(width, 1)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, ws.LARGEST_SEED), st.sampled_from(
    ["homes=900", "homes=3", "participation=95", "first_stage_days=8", "bay_width=3.9", "festival_days=1",
     "shrinkage_rate_per_day=0.0011"]))  # fmt: skip
def test_drawn_numbers_stay_within_their_bounds(seed: int, piece: str) -> None:
    made = ws.open_workshop(f"ask=bays.bay_floor_m2&{piece}&vary={piece.partition('=')[0]}")
    assert made.problems == (), made.problems
    name, raw = made.questions[0].given[0]
    declared = catalogue.first_asked(name)
    for copy in ws.exercise(made, seed, 2):
        value = float(dict(copy.exercises[0].answered.question.given)[name])
        assert 0.6 * float(raw) <= value <= 1.5 * float(raw) or value == float(raw)
        assert declared.low <= value <= declared.high
        if declared.usual[0] <= float(raw) <= declared.usual[1]:
            assert declared.usual[0] <= value <= declared.usual[1]
        assert declared.kind != "count" or value == int(value)
        assert float(f"{value:.1e}") == value or value == float(raw)


@pytest.mark.parametrize(
    ("fragment", "said"),
    [("ask=bays.bays_total&homes=0&vary=homes", "has no value or is zero"),
     ("ask=bays.bays_total&vary=germinated_sample", "has no value"),
     ("ask=crew.shredder_count&vary=homes", "copy before has the same answer"),
     ("ask=bays.heap_m3&vary=bay_width&wall_clearance=1&bay_width=0.7", "gave no result")],
)  # fmt: skip
def test_what_cannot_be_varied_is_said_in_the_key(fragment: str, said: str) -> None:
    copies = ws.exercise(ws.open_workshop(fragment), 5, 2)
    assert said in text_of(view.key(copies, "")), text_of(view.key(copies, ""))
    assert said not in "".join(text_of(node) for node in view.sheet(copies, ws.Workshop("", ()), with_key=False))


@pytest.mark.parametrize(("seed", "copies"), [(-1, 1), (1, 0), (1, 61), (ws.LARGEST_SEED + 1, 1)])
def test_bounds_of_sheets(seed: int, copies: int) -> None:
    with pytest.raises(ValueError, match="copies must be"):
        ws.exercise(SHEETS, seed, copies)


@pytest.mark.parametrize(
    ("seed", "copies", "wrong", "said"),
    [("x", "3", ["seed"], "Seed: ‘x’ is not a number"), ("1", "", ["copies"], "copies"),
     ("-1", "61", ["seed", "copies"], "between 1 and 60"),
     ("1.5", "2", ["seed"], "not a whole number"), (None, [], ["seed", "copies"], "Copies")],
)  # fmt: skip
def test_a_bad_seed_or_number_is_told_at_its_field(seed: Any, copies: Any, wrong: list[str], said: str) -> None:
    link = "ask=bays.bays_total&vary=homes"
    found = ask(workshop={"link": link}, parts=["workshop-sheets"], sheets={"seed": seed, "copies": copies})
    assert found["wrong"] == wrong
    assert said in "".join(words(node) for node in found["parts"]["workshop-sheets"])


def test_a_page_is_not_made_to_wait_for_minutes() -> None:
    many = ws.open_workshop("&".join(["ask=bays.bays_total"] * 30))
    with pytest.raises(door.SheetsRefused, match="at most 20 copies"):
        door.make_copies(many, "1", "60")


def test_sheets_hold_no_answer_and_the_key_all() -> None:
    copies = ws.exercise(SHEETS, 7, 4)
    sheets = view.sheet(copies, SHEETS, with_key=False)
    assert len(sheets) == 4 and len(view.sheet(copies, SHEETS, with_key=True)) == 5
    for node, copy in zip(sheets, copies, strict=True):
        text = plain(text_of(node))
        assert f"Copy {copy.number} · seed 7" in text
        for made in copy.exercises:
            assert made.answered.result.sentence not in text_of(node)  # type: ignore[union-attr]


# ---- text stays text ------------------------------------------------------------------------------------------


class Tags(HTMLParser):
    def __init__(self, text: str) -> None:
        super().__init__()
        self.seen: list[tuple[str, dict[str, str | None]]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))


def harmless(html: str) -> None:
    for tag, attributes in Tags(html).seen:
        assert tag not in ("img", "script", "iframe", "object")
        assert not [name for name in attributes if name.startswith("on")]
        assert not (attributes.get("href") or "").lower().startswith("javascript")


def test_what_a_trainer_or_participant_typed_stays_text() -> None:
    own = f"own_materials={HOSTILE}:20:0.5:90:150:&bulking_material={HOSTILE}"
    made = ws.open_workshop(f"title={HOSTILE}&ask=mix.tub_ratio&{own}&say={HOSTILE}")
    assert made.problems == ()
    for state in (view.State(), view.State({0: HOSTILE}), view.State({0: HOSTILE}, frozenset({0}))):
        html = "".join(to_html(node) for node in view.run(made, state, base="../plan/", without_scripts=True))
        harmless(html)
        assert "&lt;img" in html
    harmless(to_html(view.as_file(view.sheet(ws.exercise(made, 1, 2), made, True), HOSTILE)))
    form = dict.fromkeys(["title", "ask-0", "hide-0", "say-0"], HOSTILE) | {"given-0": f"{HOSTILE}&homes={HOSTILE}"}
    found = ask(workshop={"form": form}, parts=["workshop-compose", "workshop-run"])
    assert not {"img", "script"} & tags(["div", {}, [*found["parts"]["workshop-compose"], found["problems"]]])
    assert found["problems"] and "homes" in words(found["problems"]).lower()


# ---- the trainer's form ---------------------------------------------------------------------------------------


def test_the_form_makes_the_link_and_the_link_the_form() -> None:
    form = {"title": "Bays", "ask-0": "bays.bays_total", "from-0": "larkhollow", "given-0": "homes=900 & bay_width=5ft",
            "vary-0": "homes", "ask-2": "mix.tub_ratio", "from-2": "pennywhistle", "say-2": "In tubs?"}  # fmt: skip
    found = ask(workshop={"form": form}, parts=["workshop-compose"])
    assert found["problems"] is None and found["questions"] == 2
    made = ws.open_workshop(found["fragment"])
    assert dict(made.questions[0].given) == {"homes": "900", "bay_width_m": "5ft"}
    assert made.questions[1].example == "pennywhistle"
    rows = view.rows_of(made)
    assert ws.from_fields(made.title, rows) == made
    awkward = ws.open_workshop("ask=mix.tub_ratio&own_materials=a%26b%25:20:0.5:90:150:")
    assert ws.from_fields("", view.rows_of(awkward)) == awkward and awkward.questions


def test_faults_of_the_form_are_told_at_their_fields() -> None:
    form = {"ask-0": "bays.bays_total", "given-0": "homes=many&ask=x&bare", "vary-0": "heap_section",
            "ask-1": "", "given-1": "homes=3"}  # fmt: skip
    found = ask(workshop={"form": form}, parts=[])
    assert found["wrong"] == ["ask-1", "given-0", "vary-0"]
    text = words(found["problems"])
    for said in ("Question 1: Homes served", "‘ask’ is not the name", "‘bare’", "Question 2: Choose what is asked"):
        assert said in text
    untouched = ask(workshop={"form": {f"from-{place}": "larkhollow" for place in range(5)}}, parts=["workshop-compose"])
    assert untouched["questions"] == 0 and untouched["wrong"] == []


def test_every_output_stands_in_the_form_under_its_calculator() -> None:
    html = "".join(to_html(node) for node in view.compose("", []))
    for calculator in catalogue.CALCULATORS:
        assert f'<optgroup label="{calculator.title}">' in html
    for address in ws.ADDRESSES:
        assert f'value="{address}"' in html
    seen = [attributes["id"] for _, attributes in Tags(html).seen if "id" in attributes]
    assert len(seen) == len(set(seen))


# ---- doors ----------------------------------------------------------------------------------------------------


def test_the_block_of_a_page_is_readable_without_scripts() -> None:
    made = markdown_extension.render("workshop", f"{LINK} | ../plan/")
    html = to_html(made)
    assert html.count("<noscript><details") == 2 and "data-workshop=" in html and 'data-base="../plan/"' in html
    assert Plan({"homes": 900}).evaluate().results["bays"].sentence in text_of(made)
    assert isinstance(markdown_extension.render("workshop-compose", "| ../plan/"), Element)
    for bad in ("", "ask=bays.nothing", "ask=bays.bays_total&homes=many"):
        with pytest.raises(markdown_extension.DirectiveError):
            markdown_extension.render("workshop", bad)


def command(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "calculators", *arguments], cwd=ROOT, capture_output=True, text=True, encoding="utf-8"
    )


def test_the_command_line_writes_sheets_and_key(tmp_path: Path) -> None:
    sheets, key = tmp_path / "sheets.html", tmp_path / "key.html"
    link = "title=Bays&ask=bays.bays_total&homes=900&vary=homes"
    done = command("exercises", link, "--seed", "7", "--copies", "5", "--to", str(sheets), "--key", str(key))
    assert done.returncode == 0 and done.stdout.count("Written") == 2, done.stderr
    copies = ws.exercise(ws.open_workshop(link), 7, 5)
    written, held = sheets.read_text("utf-8"), key.read_text("utf-8")
    assert written.startswith("<!doctype html>") and written.count('<section class="sheet">') == 5
    assert 'class="sheet-key"' not in written
    for copy in copies:
        made = copy.exercises[0].answered
        assert f"{view.figure(made, 'metric')}</strong>" in held
        assert made.result.sentence in held and made.result.sentence not in written  # type: ignore[union-attr]
    assert "http" not in written + held
    both = tmp_path / "both.html"
    assert command("exercises", link, "--to", str(both)).returncode == 0
    assert 'class="sheet-key"' in both.read_text("utf-8")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [(["ask=bays.nothing", "--to", "x.html"], "no output"), (["ask=bays.bays_total", "--to", "x.doc"], ".html"),
     (["ask=bays.bays_total", "--to", "x.html", "--copies", "99"], "between 1 and 60"),
     (["ask=bays.bays_total", "--to", "x.html", "--seed", "s"], "Seed"),
     (["ask=bays.bays_total", "--to", "x.html", "--key", "x.html"], "both"), (["", "--to", "x.html"], "no question"),
     (["ask=bays.bays_total", "--to", "/does/not/exist.html"], "can't be written"), (["ask=bays.bays_total"], "required")],
)  # fmt: skip
def test_bad_exercises_are_one_clear_line(arguments: list[str], said: str) -> None:
    done = command("exercises", *arguments)
    assert (done.returncode, done.stdout, len(done.stderr.splitlines())) == (2, "", 1), done
    assert said in done.stderr


# ---- the two-hour workshop ------------------------------------------------------------------------------------

TWO_HOURS = (ROOT / "docs" / "workshop" / "two-hours.md").read_text("utf-8")


def test_the_timetable_adds_up_and_the_headings_keep_to_it() -> None:
    rows = [(int(hour) * 60 + int(minute), int(length))
            for hour, minute, length in re.findall(r"^\| (\d):(\d\d) \| (\d+) \|", TWO_HOURS, re.M)]  # fmt: skip
    assert sum(length for _, length in rows) == 120 and rows[0][0] == 0
    for (start, length), (following, _) in zip(rows, rows[1:], strict=False):
        assert start + length == following
    headings = re.findall(r"^## .*\((\d):(\d\d), (\d+) minutes\)$", TWO_HOURS, re.M)
    assert len(headings) == 6
    assert {(int(hour) * 60 + int(minute), int(length)) for hour, minute, length in headings} < set(rows)


def test_what_the_two_hour_page_says_of_its_exercises_is_so() -> None:
    blocks = [ws.open_workshop(rest.partition("|")[0]) for rest in re.findall(r"^%% workshop (.*) %%$", TWO_HOURS, re.M)]
    market, tubs, bays, crew = ([ws.answer(question) for question in block.questions] for block in blocks)
    kitchen = 0.216 * 4 * 900 * 0.60 * 0.70
    assert market[0].value == pytest.approx(kitchen + 680) and market[1].value == pytest.approx(kitchen + (420 + 680) / 7)
    mix = tubs[0].result.outputs  # type: ignore[union-attr]
    assert mix.bulking_kg_per_day == max(mix.bulking_for_carbon_kg_per_day, mix.bulking_for_moisture_kg_per_day) < 400
    assert mix.bulking_tubs_per_day > mix.food_tubs_per_day and mix.water_l_per_day > 0
    before, after = bays[0].result.outputs, bays[2].result.outputs  # type: ignore[union-attr]
    assert 1.2 < after.first_stage_bays / before.first_stage_bays <= 60 / 45 and after.curing_bays <= before.curing_bays
    assert after.volume_left_first_stage_percent < before.volume_left_first_stage_percent
    assert after.bays_total / before.bays_total < 60 / 45
    assert after.spare_bays > before.spare_bays and after.reserve_bays > before.reserve_bays
    usual, ill, weekly = (each.value for each in crew)
    assert usual < ill < 2 * usual and usual / 2 < weekly < usual
    absent = [each.result.standings["absence_percent"].value for each in crew]
    assert absent == [10, 20, 10]
    by_task = {row[0]: row[-1] for row in crew[0].result.outputs.hours_by_task}  # type: ignore[union-attr]
    most, next_most = sorted(by_task.values(), reverse=True)[:2]
    assert by_task["Turn heaps with forks"] == most > 2 * next_most


def test_the_take_home_link_opens_and_each_exercise_varies() -> None:
    link = re.search(r'href="make\.html#([^"]+)"', TWO_HOURS)
    assert link is not None
    made = ws.open_workshop(link.group(1).replace("&amp;", "&"))
    assert made.problems == () and len(made.questions) == 4 and all(question.varied for question in made.questions)
    assert not any(exercise.answered.why for copy in ws.exercise(made, 1, 3) for exercise in copy.exercises)
