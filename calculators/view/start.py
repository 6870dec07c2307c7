"""A first rough plan: a form of five questions and what follows from them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from calculators import catalogue, start
from calculators.entries import Problem, read, write
from calculators.plan import Evaluated, Plan, Result, Standing, Stopped
from calculators.view import forms, page, results
from calculators.view.elements import Element, h

FIRST_ASKED = {"homes": "300", "market": "no", "leaves": "yes", "plot_length_m": "", "plot_width_m": ""}
"""What stands in the form before anyone has typed: a round number, so that the page shows an answer at once."""


def form(system: str) -> list[Element]:
    """The fields of the questions."""
    made = []
    for name, answer in start.questions().items():
        value = read(answer, FIRST_ASKED[name])
        standing = Standing(answer, value, "default", value, "default")
        made.append(forms.field("start", standing, system, "", {}, alone=True))
    return made


def result(plan: Plan) -> list[Element]:
    """The first answers: a sentence for each main step, what was guessed, and what to do next."""
    evaluated = plan.evaluate()
    steps = [evaluated.step(key) for key in start.MAIN_STEPS]
    return [
        h("ol", [_step(step) for step in steps], class_="yard"),
        *_plot(evaluated),
        *_guesses(evaluated),
        *[made for step in steps if (made := _urgent(step)) is not None],
    ]


def _step(step: Result | Stopped) -> Element:
    return h("li", h("p", h("a", step.calculator.title, href=f"%page:{step.calculator.key}%"), class_="step-title"),
             results.answer(step), class_="yard-step")  # fmt: skip


def _urgent(step: Result | Stopped) -> Element | None:
    if isinstance(step, Stopped):
        return None
    return results.caution_list([caution for caution in step.cautions if caution.urgent], "Caution")


def _plot(evaluated: Evaluated) -> list[Element]:
    bays = evaluated.step("bays")
    if isinstance(bays, Stopped) or bays.outputs.bays_share_of_plot_percent is None:
        return []
    output = bays.calculator.results["bays_share_of_plot_percent"]
    words = results.figure_words(output, bays.outputs.bays_share_of_plot_percent, evaluated.plan.shown)
    crowded = [h("li", notice) for notice in bays.notices if "of the plot" in notice]
    return [h("p", f"{output.label}: ", h("strong", words), "."), *([h("ul", crowded)] if crowded else [])]


def _guesses(evaluated: Evaluated) -> list[Element]:
    """What stands in the plan without anyone having measured it."""
    found = []
    for name in evaluated.guessed:
        standing = next(step.standings[name] for step in evaluated.steps if name in step.standings)
        words = forms.in_words(standing.answer, standing.value, evaluated.plan.shown)
        found.append(h("li", f"{standing.answer.label}: {words} ({standing.answer.measure})"))
    if not found:
        return []
    return [h("p", "Guessed in proportion to the example ward, until you measure:", class_="hint"), h("ul", found)]


def problems(listed: Iterable[Problem]) -> Element | None:
    """What needs attention in the questions, linked to its field."""
    asked = list(listed)
    return forms.problem_list(asked, {problem.name: "start" for problem in asked})


def answers_of(plan: Plan) -> Mapping[str, object]:
    """The plan's answers as the fields of the other pages hold them, in the plan's unit system."""
    return {
        name: write(catalogue.first_asked(name), value, plan.system, forms.ENTERED_DIGITS) for name, value in plan.answers.items()
    }


def block(links: Mapping[str, str]) -> Element:
    """The questions of a first rough plan, and what follows from them."""
    first = result(start.first_plan(FIRST_ASKED))
    return h(
        "section",
        page.live_state(),
        h("form", form("metric"), h("p", h("button", "Show the result", type="submit"), class_="submit"),
          class_="answers", novalidate=True, data_start=True, aria_label="First questions"),
        h("div", data_start_problems=True),
        h("div", [page.with_pages(node, links) for node in first], data_start_result=True),
        h("p", h("button", "Keep this as a yard and go on", type="button", data_start_keep=True, disabled=True)),
        h("p", "", class_="tool-said", data_said=True, role="status"),
        class_="calculator", data_calculator="start", data_own_script=True, data_base=links["yard"].removesuffix("yard.html"),
        aria_label="First rough plan",
    )  # fmt: skip
