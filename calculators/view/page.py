"""The parts of a page, by name. The same functions fill a page at build time and renew it in the browser.

A part has an address such as ``answer:mix`` or ``yard``; ``part`` gives its content for an evaluated plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from operator import is_
from typing import Any

from calculators import catalogue
from calculators.plan import OWN, Evaluated, Result, Standing, Stopped, example
from calculators.view import batch_papers, brief, forms, report, results, safety_plan, sheets
from calculators.view.elements import Element, h, not_searched, to_data
from calculators.view.forms import in_words
from calculators.view.toolbar import toolbar


def pages(base: str) -> dict[str, str]:
    """The address of each page of the plan where ``base`` is the folder they lie in, seen from the page shown."""
    return {key: f"{base}{key}.html" for key in (*catalogue.BY_KEY, "yard", "yards", "start", "report")}


def example_name(evaluated: Evaluated) -> str:
    """The name of the yard that a plan starts from."""
    return example(evaluated.plan.example)["name"] if evaluated.plan.example else "no example"


def _urgent(evaluated: Evaluated, key: str) -> Element | None:
    result = evaluated.step(key)
    if isinstance(result, Stopped):
        return None
    return results.caution_list([caution for caution in result.cautions if caution.urgent], "Caution")


def _head(evaluated: Evaluated, key: str) -> list[Any]:
    result = evaluated.step(key)
    return [results.key_figures(result, evaluated.plan.shown), _urgent(evaluated, key)]


# results follow as one types; the button is for whoever looks for one, and makes Enter count as done
_SUBMIT = h("p", h("button", "Show the result", type="submit"), class_="submit")


def _form(evaluated: Evaluated, rest: str) -> list[Any]:
    """The fields of a calculator's form, or of the answers named ('yard/homes,bay_width_m')."""
    key, _, names = rest.partition("/")
    if not names:
        groups = forms.form_groups(evaluated.step(key), evaluated.plan.shown, example_name(evaluated))
        return [*groups, _SUBMIT]
    made = []
    for name in names.split(","):
        standings = evaluated.step(_asked_by(name)).standings
        made.append(forms.field("yard", standings[name], evaluated.plan.shown, example_name(evaluated),
                                forms.names_from_tables(standings)))  # fmt: skip
    if len(made) <= 1:
        return [*made, _SUBMIT]
    # the first answer stands alone, so that the steps below it are near
    others = h("details", h("summary", "More answers"), made[1:], class_="group", data_keep=f"{key}-more")
    return [made[0], others, _SUBMIT]


def _asked_by(name: str) -> str:
    for calculator in catalogue.CALCULATORS:
        if name in calculator.answers:
            return calculator.key
    raise KeyError(name)


def _figure(evaluated: Evaluated, address: str) -> list[Any]:
    key, _, name = address.partition(".")
    calculator = catalogue.BY_KEY[key]
    result = evaluated.step(key)
    if name in calculator.results:
        if isinstance(result, Stopped):
            return ["–"]
        return [results.figure_words(calculator.results[name], getattr(result.outputs, name), evaluated.plan.shown)]
    standing = result.standings[name]
    return [in_words(standing.answer, standing.value, evaluated.plan.shown)]


def _standing(evaluated: Evaluated, name: str) -> Standing:
    return evaluated.step(_asked_by(name)).standings[name]


def _errors(evaluated: Evaluated, name: str) -> list[Any]:
    return [h("p", problem.message) for problem in evaluated.problems if problem.name == name]


def _yard(evaluated: Evaluated) -> list[Any]:
    """The linked plan: each calculator a step with its answer, what it follows from and what is not yet measured."""
    system = evaluated.plan.shown
    steps = []
    for calculator in catalogue.CALCULATORS:
        result = evaluated.step(calculator.key)
        follows: list[str] = []
        yours: list[Any] = []
        measure: list[str] = []
        for standing in result.standings.values():
            answer = standing.answer
            if standing.origin == "followed" and answer.follows:
                follows.append(catalogue.BY_KEY[answer.follows].title)
            elif standing.origin == "yours":
                yours.append(h("li", f"{answer.label}: {in_words(answer, standing.value, system)}"))
            elif answer.measure:
                guessed = " (a first guess)" if standing.origin == "guess" else ""
                measure.append(f"{answer.label}{guessed}: {answer.measure}")
        steps.append(
            h(
                "li",
                h("p", h("a", calculator.title, href=f"%page:{calculator.key}%"), " ",
                  h("span", calculator.question, class_="hint"), class_="step-title"),
                results.answer(result),
                results.key_figures(result, system),
                h("p", "Follows from: ", ", ".join(dict.fromkeys(follows)), ".", class_="hint") if follows else None,
                [h("p", "Your own answers here:", class_="hint"), h("ul", yours)] if yours else None,
                h("details", h("summary", f"Not measured yet ({len(measure)})"),
                  h("ul", [h("li", words) for words in measure]), data_keep=f"yard-measure-{calculator.key}")
                if measure else None,
                _urgent(evaluated, calculator.key),
                class_="yard-step",
            )
        )  # fmt: skip
    return [h("ol", steps, class_="yard")]


def _yard_cautions(evaluated: Evaluated) -> list[Any]:
    return [results.caution_list(evaluated.cautions, "Every caution of this yard")]


def key_figures(evaluated: Evaluated) -> dict[str, str]:
    """Every key figure as shown, by calculator and output ('bays.bays_total'): what a change is told by."""
    return {
        f"{key}.{name}": results.figure_words(output, getattr(result.outputs, name), evaluated.plan.shown)
        for key, result in evaluated.results.items()
        for name, output in result.calculator.results.items()
        if output.key_figure
    }


def _changes(now: Mapping[str, str], before: Mapping[str, Any]) -> list[Any]:
    """What changed against the figures shown before: 'Bays to build 63 bays → 71 bays'."""
    told = []
    for address, text in now.items():
        was = before.get(address)
        if isinstance(was, str) and was != text:
            key, _, name = address.partition(".")
            told.append(h("li", f"{catalogue.BY_KEY[key].results[name].label}: {was} → {text}"))
    if not told:
        return []
    return [h("p", "What changed", class_="part-title"), h("ul", told)]


def part(evaluated: Evaluated, address: str, links: Mapping[str, str]) -> list[Element | str]:
    """The content of the part of that address. ``links`` gives each calculator's page (see ``pages``).

    Raises ``KeyError`` for an address that is not known.
    """
    kind, _, rest = address.partition(":")
    made: list[Any]
    if kind == "answer":
        made = [results.answer(evaluated.step(rest))]
    elif kind == "head":
        made = _head(evaluated, rest)
    elif kind == "details":
        made = results.details(evaluated.step(rest), evaluated.plan.shown)
    elif kind == "papers":
        result = evaluated.step(rest)
        made = results.papers(result, evaluated.plan.shown) if isinstance(result, Result) else []
    elif kind == "form":
        made = _form(evaluated, rest)
    elif kind == "figure":
        made = _figure(evaluated, rest)
    elif kind == "standing":
        standing = _standing(evaluated, rest)
        made = [forms.standing_words(standing, evaluated.plan.shown, example_name(evaluated))]
    elif kind == "error":
        made = _errors(evaluated, rest)
    elif kind == "yard":
        made = _yard(evaluated)
    elif kind == "report":
        made = [report.report(evaluated)]
    elif kind == "safety-plan":
        made = [safety_plan.safety_plan(evaluated)]
    elif kind == "brief":
        made = [brief.brief(evaluated)]
    elif kind == "brief-siting":
        made = [brief.siting(evaluated)]
    elif kind == "batch-certificate":
        made = [batch_papers.certificate(evaluated)]
    elif kind == "log-sheet":
        made = [batch_papers.log_sheet(evaluated)]
    elif kind == "sheet":
        made = [sheets.SHEETS[rest](evaluated)]
    elif kind == "changes":
        made = []  # nothing has changed yet where nothing was shown before: see ``update``
    elif kind == "yard-cautions":
        made = _yard_cautions(evaluated)
    else:
        raise KeyError(address)
    return [with_pages(item, links) for item in made if item is not None]


def with_pages(node: Element | str, links: Mapping[str, str]) -> Element | str:
    """The tree with every address '%page:KEY%' replaced by that of the page, as seen from the page shown."""
    if isinstance(node, str):
        return node
    attributes = node.attributes
    if node.tag == "a":
        attributes = tuple(
            (name, links.get(value[6:-1], "#") if name == "href" and value.startswith("%page:") else value)
            for name, value in attributes
        )
    children = tuple([child if isinstance(child, str) else with_pages(child, links) for child in node.children])
    # most trees hold no such address, and are handed on as they are
    if attributes == node.attributes and all(map(is_, children, node.children)):
        return node
    return Element(node.tag, attributes, children)


def _filled(evaluated: Evaluated, address: str, links: Mapping[str, str], tag: str = "div", **more: Any) -> Element:
    return h(tag, part(evaluated, address, links), data_part=address, **more)


def live_state() -> Element:
    """The line that says whether answers are computed on this page yet, and what changed. Filled by the page."""
    return h(
        "div",
        h("p", "", class_="live-state", data_live_state=True),
        h("noscript", h("p", "Scripts are off here, so the figures stay those of the example yard.", class_="live-state")),
        h("p", "", role="status", class_="spoken", data_spoken=True),
    )  # fmt: skip


def calculator_block(evaluated: Evaluated, key: str, links: Mapping[str, str]) -> Element:
    """A calculator as it stands in a page: answer, form, everything else."""
    calculator = catalogue.BY_KEY[key]
    return h(
        "section",
        live_state(),
        h("div", data_problems=True),
        _filled(evaluated, f"answer:{key}", links, class_="answer-strip"),
        _filled(evaluated, f"head:{key}", links, class_="head"),
        _filled(evaluated, f"form:{key}", links, "form", class_="answers", novalidate=True, data_form=key,
                aria_label=f"Answers for {calculator.title}"),
        with_pages(toolbar(evaluated), links),
        not_searched(
            _filled(evaluated, f"details:{key}", links, class_="result-details"),
            _filled(evaluated, f"papers:{key}", links, class_="result-details"),
        ),
        class_="calculator", data_calculator=key, aria_label=calculator.title,
    )  # fmt: skip


def yard_block(evaluated: Evaluated, names: Iterable[str], links: Mapping[str, str]) -> Element:
    """The whole yard: the answers named, then every step."""
    return h(
        "section",
        live_state(),
        h("div", data_problems=True),
        _filled(evaluated, f"form:yard/{','.join(names)}", links, "form", class_="answers", novalidate=True,
                data_form="yard", aria_label="Main answers of the yard"),
        with_pages(toolbar(evaluated), links),
        _filled(evaluated, "changes", links, class_="changes"),
        _filled(evaluated, "yard", links),
        _filled(evaluated, "yard-cautions", links),
        class_="calculator whole-yard", data_calculator="yard", aria_label="Whole yard",
    )  # fmt: skip


def report_block(evaluated: Evaluated, links: Mapping[str, str]) -> Element:
    """The printable report, renewed on the page from the answers kept on the device or in the link."""
    return h(
        "section",
        live_state(),
        h("div", data_problems=True),
        with_pages(toolbar(evaluated), links),
        _filled(evaluated, "report", links),
        class_="calculator", data_calculator="report", aria_label="Report",
    )  # fmt: skip


def safety_plan_block(evaluated: Evaluated, links: Mapping[str, str]) -> Element:
    """The one-page safety plan, renewed on the page from the answers kept on the device or in the link."""
    return h(
        "section",
        live_state(),
        h("div", data_problems=True),
        with_pages(toolbar(evaluated), links),
        _filled(evaluated, "safety-plan", links),
        safety_plan.how_known(),
        class_="calculator", data_calculator="safety-plan", aria_label="Safety plan",
    )  # fmt: skip


def paper_block(evaluated: Evaluated, address: str, links: Mapping[str, str]) -> Element:
    """A paper to print, renewed on the page from the answers kept on the device or in the link."""
    return h(
        "section",
        live_state(),
        h("div", data_problems=True),
        with_pages(toolbar(evaluated), links),
        _filled(evaluated, address, links),
        class_="calculator", data_calculator=address, aria_label="Paper to print",
    )  # fmt: skip


_OF_WHOLE: Mapping[str, frozenset[str]] = {
    "report": catalogue.AT_ONCE | catalogue.ON_REQUEST, "error": frozenset(), "batch-certificate": frozenset([batch_papers.KEY]),
    "log-sheet": frozenset([batch_papers.KEY]),
}  # fmt: skip
"""Calculators that a part without a name in its address shows, where these are not all that are worked out at once."""


def wanted(addresses: Iterable[str], forms_on_page: Iterable[str]) -> frozenset[str]:
    """The calculators whose results the parts of those addresses show, or whose fields show what they follow.

    Those on request are among them where a part shows their results, not where only their fields stand.
    """
    found: set[str] = set()
    fields = list(forms_on_page)
    for address in addresses:
        kind, _, rest = address.partition(":")
        if kind in ("answer", "head", "details", "papers", "figure"):
            found.add(rest.partition(".")[0])
        elif kind == "form":
            fields.append(rest.partition("/")[0])
        elif kind == "standing" and rest in catalogue.NAMES.values():
            fields.append(_asked_by(rest))
        else:
            found |= _OF_WHOLE.get(kind, catalogue.AT_ONCE)
    for key in fields:
        if key == "yard":
            found |= catalogue.AT_ONCE
        elif key in catalogue.BY_KEY:
            found |= catalogue.needed_for(key) - catalogue.ON_REQUEST
    return frozenset(found & catalogue.BY_KEY.keys())


def update(evaluated: Evaluated, addresses: Iterable[str], forms_on_page: Iterable[str],
           links: Mapping[str, str], before: Mapping[str, Any] | None = None) -> dict[str, Any]:  # fmt: skip
    """What the page needs to renew itself: content by part, values of the fields that are not the user's own.

    Parts of a calculator that gave no result are left out, so that the page keeps the last good figures, except
    for the sentence that says why. ``before`` holds the key figures that the page showed last.
    """
    parts: dict[str, Any] = {}
    for address in addresses:
        kind, _, key = address.partition(":")
        if kind in ("head", "details", "papers") and (key in evaluated.stopped or key in evaluated.not_asked):
            continue
        try:
            parts[address] = [to_data(node) for node in part(evaluated, address, links)]
        except KeyError:
            continue  # an address that this release does not know stays as it is
    figures = key_figures(evaluated)
    if "changes" in parts:
        parts["changes"] = [to_data(node) for node in _changes(figures, before or {})]
    values: dict[str, Any] = {}
    extra: dict[str, list[str]] = {}
    shown = set(forms_on_page)
    for calculator in catalogue.CALCULATORS:
        standings = evaluated.step(calculator.key).standings
        extra.update(forms.names_from_tables(standings))
        if "yard" not in shown and calculator.key not in shown:
            continue
        for name, standing in standings.items():
            if name not in values and standing.origin not in OWN:
                values[name] = forms.shown_value(standing, evaluated.plan.shown)
    places = {
        name: key
        for key in forms_on_page
        for name in (catalogue.BY_KEY[key].answers if key in catalogue.BY_KEY else catalogue.NAMES.values())
    }  # fmt: skip
    summary = forms.problem_list(evaluated.problems, places)
    return {
        "parts": parts,
        "values": values,
        "choices": extra,
        "problems": to_data(summary) if summary else None,
        "wrong": [problem.field for problem in evaluated.problems],
        "fragment": evaluated.fragment,
        "notInLink": evaluated.not_in_link,
        "figures": figures,
        "example": evaluated.plan.example or "nothing",
        "system": evaluated.plan.system,
        "title": evaluated.plan.title,
    }
