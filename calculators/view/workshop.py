"""A workshop for reading: guess and then look, the trainer's form, exercise sheets with their key."""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from calculators import catalogue
from calculators import workshop as workshops
from calculators.entries import Problem, in_link
from calculators.plan import EXAMPLES, Result, example
from calculators.units import display_unit, show, unit
from calculators.view import page, report, results
from calculators.view.elements import Element, h
from calculators.view.forms import in_words
from calculators.workshop import Answered, Copy, Exercise, Question, Workshop, answer, judge, told
from calculators.working import in_words as step_in_words

LEAST_ROWS = 3
RULED_LINES = 5
DEFAULT_SEED = 1
DEFAULT_COPIES = 24
NOT_TOLD = "not told"


@dataclass(frozen=True)
class State:
    """How far the participants are: raw guesses and shown answers by the question's place, from 0."""

    guesses: Mapping[int, str] = field(default_factory=dict)
    shown: frozenset[int] = frozenset()


# ---- a question -----------------------------------------------------------------------------------------------


def _symbol(question: Question, system: str) -> str:
    output = question.output
    return "" if output.kind == "text" else unit(display_unit(output.unit, system)).symbol


def asked(question: Question, system: str) -> str:
    """The question in words: the trainer's own, else made from what is asked."""
    if question.words:
        return question.words
    symbol = _symbol(question, system)
    return f"What is: {question.output.label}, in {symbol}?" if symbol else f"What is: {question.output.label}?"


def _givens(answered: Answered, system: str, sheet: bool = False) -> list[Any]:
    """What participants are told, what they are not, and what everything else rests on."""
    rows = [
        h("div", h("dt", each.answer.label),
          h("dd", NOT_TOLD if each.hidden else in_words(each.answer, each.value, system)),
          class_="not-told" if each.hidden else None)
        for each in told(answered, sheet)
    ]  # fmt: skip
    name = answered.question.example
    rest = f"Everything else is as in {example(name)['name']}." if name else "Everything else is at its default."
    return [h("dl", rows, class_="workshop-givens") if rows else None, h("p", rest, class_="hint")]


def figure(answered: Answered, system: str) -> str:
    """The answer with its unit."""
    return results.figure_words(answered.question.output, answered.value, system)


def _answer(answered: Answered, system: str, base: str) -> list[Any]:
    """The answer with all that belongs to it."""
    result = answered.result
    if answered.why or not isinstance(result, Result):
        return [h("p", h("strong", "No answer: "), answered.why, class_="sentence stopped")]
    kept_back = [each for each in told(answered) if each.hidden]
    urgent = [caution for caution in result.cautions if caution.urgent]
    title = result.calculator.title
    fragment = answered.evaluated.fragment
    link = page.pages(base)[answered.question.key] + (f"#{fragment}" if fragment else "")
    return [
        h("p", answered.question.output.label, ": ", h("strong", figure(answered, system)), class_="workshop-figure"),
        h("p", result.sentence),
        [h("p", "Not told before:", class_="hint"),
         h("ul", [h("li", f"{each.answer.label}: {in_words(each.answer, each.value, system)}") for each in kept_back])]
        if kept_back else None,
        h("details", h("summary", "How this comes about"), results.working(answered.steps, system), class_="fold"),
        results.caution_list(urgent, "Caution"),
        h("p", h("a", f"Open {title} with these answers", href=link)),
    ]  # fmt: skip


def _field(question: Question, place: int, prefix: str, raw: str, message: str, system: str) -> Element:
    output = question.output
    symbol = _symbol(question, system)
    own, error = f"{prefix}-{place}-guess", f"{prefix}-{place}-error"
    # a phone's number pad has no minus: percent and temperature may lie below zero
    below_zero = output.unit in ("percent", "°C", "°C rise")
    mode = None if output.kind == "text" or below_zero else "numeric" if output.kind == "count" else "decimal"
    return h(
        "div",
        h("label", f"Your guess ({symbol})" if symbol else "Your guess", for_=own),
        h("div", h("p", message) if message else None, id=error, class_="error"),
        h("span",
          h("input", type="text", inputmode=mode, id=own, name=f"guess-{place}", value=raw, autocomplete="off",
            spellcheck="false", class_="wide" if output.kind == "text" else "short", aria_describedby=error,
            aria_invalid="true" if message else None, data_guess=str(place)),
          h("span", symbol, class_="unit", aria_hidden="true") if symbol else None,
          class_="entry"),
        h("button", "Commit my guess", type="button", data_commit=str(place)),
        class_="field workshop-guess",
    )  # fmt: skip


def _guess_words(question: Question, raw: str, system: str) -> str:
    """A good guess as it was understood."""
    judged = judge(question, raw, system)
    return raw.strip() if judged.guess is None else results.figure_words(question.output, judged.guess, system)


def _turn(answered: Answered, place: int, state: State, system: str, base: str, prefix: str) -> list[Any]:
    """Where a question stands: still to guess, guess kept, or answer shown."""
    question = answered.question
    if answered.why:
        return _answer(answered, system, base)
    raw = state.guesses.get(place)
    if raw is None:
        return [_field(question, place, prefix, "", "", system)]
    judged = judge(question, raw, system)
    if judged.message:
        return [_field(question, place, prefix, raw, judged.message, system)]
    if place not in state.shown:
        return [
            h("p", "Your guess: ", h("strong", _guess_words(question, raw, system)), ". It is kept as it is."),
            h("button", "Show the answer", type="button", data_show=str(place), id=f"{prefix}-{place}-show"),
        ]
    return [
        h("div", h("p", judged.sentence, class_="sentence"), _answer(answered, system, base), tabindex="-1",
          id=f"{prefix}-{place}-answer", class_="workshop-answer", role="group", aria_label="The answer"),
    ]  # fmt: skip


def prefix_of(workshop: Workshop) -> str:
    """What the identifiers of this workshop's fields begin with, so that several fit on one page."""
    return f"w{zlib.crc32(workshops.to_fragment(workshop).encode()):08x}"


def run(workshop: Workshop, state: State, system: str = "metric", base: str = "",
        without_scripts: bool = False) -> list[Element]:  # fmt: skip
    """The questions, each as far as its guess has come. ``base`` is the folder of the calculators' pages.

    ``without_scripts`` puts each answer into a closed fold that only shows where scripts are off.
    """
    prefix = prefix_of(workshop)
    made = []
    for place, question in enumerate(workshop.questions):
        answered = answer(question, system)
        fold = h("noscript", h("details", h("summary", "The answer"), _answer(answered, system, base), class_="fold"))
        made.append(
            h("li", h("p", asked(question, system), class_="workshop-ask"), _givens(answered, system),
              _turn(answered, place, state, system, base, prefix), fold if without_scripts and not answered.why else None,
              class_="workshop-question")
        )  # fmt: skip
    title = [h("p", workshop.title, class_="workshop-title")] if workshop.title else []
    if not made:
        return [*title, h("p", "There is no question here yet.")]
    again = h("p", h("button", "Clear my guesses", type="button", class_="quiet", data_clear_guesses=True))
    return [*title, h("ol", made, class_="workshop-questions"), again]


def said(workshop: Workshop, state: State, place: int, system: str) -> str:
    """What to announce about the question at ``place`` after something was done there; '' for none."""
    if not 0 <= place < len(workshop.questions) or place not in state.guesses:
        return ""
    question = workshop.questions[place]
    judged = judge(question, state.guesses[place], system)
    if judged.message:
        return judged.message
    if place not in state.shown:
        return f"Your guess is kept: {_guess_words(question, state.guesses[place], system)}."
    return judged.sentence


def problems(found: Iterable[Problem]) -> Element | None:
    """What could not be read of a link or a form; None where all could."""
    listed = list(dict.fromkeys(problem.message for problem in found))
    if not listed:
        return None
    title = "This could not be used" if len(listed) == 1 else f"{len(listed)} things could not be used"
    return h("div", h("p", h("strong", title), "."), h("ul", [h("li", message) for message in listed]), class_="problems",
             tabindex="-1")  # fmt: skip


# ---- the trainer's form ---------------------------------------------------------------------------------------


def rows_of(workshop: Workshop) -> list[dict[str, str]]:
    """The questions of a workshop as the rows of the trainer's form."""
    return [
        {
            "ask": question.asks,
            "from": question.example or workshops.NOTHING,
            "given": "&".join(f"{_link_name(name)}={_unmarked(raw)}" for name, raw in question.given),
            "hide": ",".join(_link_name(name) for name in question.hidden),
            "vary": ",".join(_link_name(name) for name in question.varied),
            "say": question.words,
        }
        for question in workshop.questions
    ]


def _link_name(name: str) -> str:
    return catalogue.first_asked(name).link_name


def _unmarked(raw: str) -> str:
    """A value as it may stand between '&' marks."""
    return raw.replace("%", "%25").replace("&", "%26")


def _outputs(chosen: str) -> list[Element]:
    """Every output that can be asked, by calculator."""
    return [h("option", "nothing yet", value="", selected=chosen not in workshops.ADDRESSES)] + [
        h("optgroup",
          [h("option", output.label, value=f"{calculator.key}.{name}", selected=f"{calculator.key}.{name}" == chosen)
           for name, output in calculator.results.items() if f"{calculator.key}.{name}" in workshops.ADDRESSES],
          label=calculator.title)
        for calculator in catalogue.CALCULATORS
    ]  # fmt: skip


def _picker(place: int) -> Element:
    """Every answer by its label, to be put into the fields above without knowing its name."""
    own = f"compose-pick-{place}"
    groups = []
    seen: set[str] = set()
    for calculator in catalogue.CALCULATORS:
        fresh = [answer for answer in calculator.answers.values() if answer.name not in seen]
        seen |= {answer.name for answer in fresh}
        groups.append(h("optgroup", [h("option", answer.label, value=answer.link_name,
                                       data_given=f"{answer.link_name}={_unmarked(in_link(answer, answer.default))}")
                                     for answer in fresh], label=calculator.title))  # fmt: skip
    return h(
        "div",
        h("label", "Find an answer", for_=own),
        h("select", groups, id=own, data_pick=True, autocomplete="off"),
        h("p", [h("button", words, type="button", class_="quiet", data_put=f"{field}-{place}")
                for field, words in (("given", "Give it"), ("hide", "Hide it"), ("vary", "Vary it"))], class_="tool-buttons"),
        class_="field",
    )  # fmt: skip


def _line(label: str, name: str, place: int, value: str, hint: str = "") -> Element:
    own = f"compose-{name}-{place}"
    return h(
        "div",
        h("label", label, for_=own),
        h("p", hint, class_="hint", id=f"{own}-hint") if hint else None,
        h("input", type="text", id=own, name=f"{name}-{place}", value=value, autocomplete="off", spellcheck="false",
          class_="wide", aria_describedby=f"{own}-hint" if hint else None),
        class_="field",
    )  # fmt: skip


def _row(place: int, row: Mapping[str, str]) -> Element:
    start = row.get("from", "")
    starts = [(name, example(name)["name"]) for name in EXAMPLES] + [(workshops.NOTHING, "defaults only")]
    ask, base = f"compose-ask-{place}", f"compose-from-{place}"
    return h(
        "fieldset",
        h("legend", f"Question {place + 1}"),
        h("div", h("label", "What is asked", for_=ask),
          h("select", _outputs(row.get("ask", "")), id=ask, name=f"ask-{place}", autocomplete="off"), class_="field"),
        h("div", h("label", "Everything else as in", for_=base),
          h("select", [h("option", words, value=name, selected=name == start) for name, words in starts], id=base,
            name=f"from-{place}", autocomplete="off"), class_="field"),
        _line("Answers given (name=value, parted by &)", "given", place, row.get("given", ""),
              "Such as homes=900&bay_width=5ft. Participants are told these."),
        _line("Hidden answers", "hide", place, row.get("hide", ""),
              "Names, parted by commas. They count, but are told only with the answer."),
        _line("Varied answers", "vary", place, row.get("vary", ""),
              "Names, parted by commas. Exercise sheets put other numbers there, copy by copy."),
        _picker(place),
        _line("Your words", "say", place, row.get("say", ""), "The question in your own sentence. May be left empty."),
        class_="group workshop-row",
    )  # fmt: skip


def compose(title: str, rows: Sequence[Mapping[str, str]], fragment: str = "",
            run_page: str = "run.html") -> list[Element]:  # fmt: skip
    """The trainer's form: the rows given, at least ``LEAST_ROWS``, the link made from it, and the sheets' controls."""
    count = min(max(len(rows), LEAST_ROWS), workshops.MOST_QUESTIONS)
    shown = [*rows, *[{}] * (count - len(rows))][:count]
    link = f"{run_page}#{fragment}" if fragment else run_page
    more = h("p", h("button", "Add a question", type="button", data_add_question=True))
    seeds = f"A whole number up to {show(workshops.LARGEST_SEED, '1')}. The same seed gives the same sheets."
    return [
        h(
            "form",
            h("div", h("label", "Title of the workshop", for_="compose-title"),
              h("input", type="text", id="compose-title", name="title", value=title, autocomplete="off", class_="wide"),
              class_="field"),
            [_row(place, row) for place, row in enumerate(shown)],
            more if count < workshops.MOST_QUESTIONS else None,
            class_="answers", novalidate=True, autocomplete="off", data_compose_form=True, aria_label="The workshop",
        ),
        h("div", class_="compose-problems", data_compose_problems=True),
        h(
            "div",
            h("label", "Link for participants", for_="compose-link"),
            h("input", type="text", id="compose-link", value=link, readonly=True, class_="wide", data_compose_link=True),
            h("p", h("button", "Copy the link", type="button", data_copy_workshop=True), " ",
              h("a", "Open as participant", href=link, data_open_workshop=True)),
            class_="field workshop-link",
        ),
        h(
            "form",
            _whole_number("Seed", "seed", DEFAULT_SEED, seeds),
            _whole_number("Copies", "copies", DEFAULT_COPIES, f"1 to {workshops.MOST_COPIES}."),
            h("p", h("button", "Make sheets", type="submit", data_make_sheets=True), " ",
              h("button", "Print the sheets", type="button", data_print="sheets", disabled=True), " ",
              h("button", "Print the key", type="button", data_print="key", disabled=True)),
            class_="answers", novalidate=True, data_sheets_form=True, aria_label="Exercise sheets",
        ),
    ]  # fmt: skip


def _whole_number(label: str, name: str, value: int, hint: str) -> Element:
    own = f"sheets-{name}"
    return h(
        "div",
        h("label", label, for_=own),
        h("p", hint, class_="hint", id=f"{own}-hint"),
        h("input", type="text", inputmode="numeric", id=own, name=name, value=str(value), class_="short", autocomplete="off",
          aria_describedby=f"{own}-hint"),
        class_="field",
    )  # fmt: skip


# ---- exercise sheets ------------------------------------------------------------------------------------------


def _exercise(made: Exercise, system: str) -> Element:
    question = made.answered.question
    symbol = _symbol(question, system)
    return h(
        "li",
        h("p", asked(question, system), class_="workshop-ask"),
        _givens(made.answered, system, sheet=True),
        h("div", [h("div", class_="sheet-line") for _ in range(RULED_LINES)], class_="sheet-working"),
        h("p", "Answer: ", h("span", class_="sheet-blank"), f" {symbol}" if symbol else None, class_="sheet-answer"),
        class_="workshop-question",
    )


def _copy(copy: Copy, title: str, system: str) -> Element:
    return h(
        "section",
        h("p", title or "Exercise sheet", class_="workshop-title"),
        h("p", f"Copy {copy.number} · seed {copy.seed} · Name: ", h("span", class_="sheet-blank"), class_="sheet-mark"),
        h("ol", [_exercise(made, system) for made in copy.exercises], class_="workshop-questions"),
        class_="sheet",
    )


def _key_line(made: Exercise, system: str) -> Element:
    answered = made.answered
    result = answered.result
    if answered.why or not isinstance(result, Result):
        return h("li", h("strong", "No answer: "), answered.why, f" {made.remark}" if made.remark else None)
    working = step_in_words(answered.steps[-1], system) if answered.direct else result.sentence
    numbers = "; ".join(
        f"{each.answer.label} {in_words(each.answer, each.value, system)}"
        for each in told(answered, sheet=True)
        if each.answer.name in answered.question.varied
    )
    return h(
        "li",
        h("strong", figure(answered, system)),
        f" ({answered.question.output.label}{f'; {numbers}' if numbers else ''}). ",
        h("span", working, class_="hint"),
        h("em", f" {made.remark}") if made.remark else None,
    )


def _urgent(copies: Sequence[Copy]) -> Element | None:
    """The urgent cautions of all the answers, each once; the figures that raise them differ from copy to copy."""
    results_found = [made.answered.result for copy in copies for made in copy.exercises]
    found = {
        caution.key: replace(caution, because=())
        for result in results_found
        if isinstance(result, Result)
        for caution in result.cautions
        if caution.urgent
    }
    return results.caution_list(list(found.values()), "Cautions that belong to these answers")


def key(copies: Sequence[Copy], title: str, system: str = "metric") -> Element:
    """The answer key of the copies: each answer with its working in one line, then their urgent cautions."""
    return h(
        "section",
        h("p", f"Answer key: {title}" if title else "Answer key", class_="workshop-title"),
        h("p", f"Seed {copies[0].seed}, {len(copies)} {'copy' if len(copies) == 1 else 'copies'}.", class_="sheet-mark"),
        [
            h("div", h("p", f"Copy {copy.number}", class_="part-title"),
              h("ol", [_key_line(made, system) for made in copy.exercises]), class_="key-copy")
            for copy in copies
        ],
        _urgent(copies),
        class_="sheet-key",
    )  # fmt: skip


def sheet(copies: Sequence[Copy], workshop: Workshop, with_key: bool, system: str = "metric") -> list[Element]:
    """Exercise sheets for A4 paper, one page or more for each copy; then the key, if asked for."""
    made = [_copy(copy, workshop.title, system) for copy in copies]
    return [*made, key(copies, workshop.title, system)] if with_key and copies else made


STYLE = """
.workshop-title{font-weight:bold;font-size:1.3em;border-bottom:3px double #555;margin:.2em 0}
.sheet-mark{font-size:.8em;color:#444}.workshop-ask{font-weight:bold}.workshop-givens{margin:.3em 0}
.workshop-givens div{display:flex;gap:.6em}.workshop-givens dt{min-width:16em}
.workshop-givens dd{margin:0;font-weight:bold}.workshop-givens .not-told dd{font-weight:normal;font-style:italic}
.workshop-question{break-inside:avoid;margin-bottom:1em}.sheet-line{border-bottom:1px solid #bbb;height:7mm}
.sheet-blank{display:inline-block;border-bottom:1px solid #000;min-width:14em;height:1.1em}
.sheet{break-after:page}.key-copy{break-inside:avoid}
"""
"""Added to the report's style where sheets are a file of their own; the pages have theirs in the style sheet."""


def as_file(made: Sequence[Element], title: str) -> Element:
    """Sheets or a key as a whole HTML document that needs nothing else."""
    return h(
        "html",
        h("head", h("meta", charset="utf-8"), h("meta", name="viewport", content="width=device-width"), h("title", title),
          h("style", report.STYLE + STYLE)),
        h("body", made),
        lang="en",
    )  # fmt: skip
