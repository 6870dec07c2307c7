"""A first rough plan: a form of five questions and what follows from them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from calculators import catalogue, start
from calculators.entries import Problem, read, write
from calculators.plan import Evaluated, Plan, Result, Standing, Stopped
from calculators.units import show
from calculators.view import forms, page, results
from calculators.view.elements import Element, h

FIRST_ASKED = {"homes": "300", "market": "no", "leaves": "yes", "plot_length_m": "", "plot_width_m": ""}
"""What stands in the form before anyone has typed: a round number, so that the page shows an answer at once."""


SHORT_ASKED = ("homes",)
"""The questions of the short form; the others keep what stands above."""
SHORT_LABEL = "It would serve"
"""The label goes on with its unit: homes."""


def form(system: str, names: Iterable[str] | None = None) -> list[Element]:
    """The fields of the questions, or of those named."""
    made = []
    asked = dict(start.questions())
    if names is not None:
        asked = {name: replace(asked[name], help="") for name in names}
        asked["homes"] = replace(asked["homes"], label=SHORT_LABEL)
    for name, answer in asked.items():
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


def short_result(plan: Plan) -> list[Element]:
    """Bays, land and crew in one sentence, and the urgent cautions, folded."""
    evaluated = plan.evaluate()
    stopped = [step for key in ("arrivals", "mix", "bays", "shed", "crew") if isinstance(step := evaluated.step(key), Stopped)]
    if stopped:
        return [results.answer(stopped[0])]  # the others wait for it
    made = [h("p", _in_short(evaluated), class_="sentence")]
    urgent = [caution for caution in evaluated.cautions if caution.urgent]
    listed = results.caution_list(urgent, "Before anyone lifts, digs or builds")
    if listed is not None:
        made.append(h("details", h("summary", f"Urgent cautions ({len(urgent)})"), listed, class_="fold", data_keep="short-cautions"))
    return made


def _in_short(evaluated: Evaluated) -> str:
    """'About 14 bays on a plot of 21 m by 32 m, with a crew of 3 workers, for 169 kg/d of waste.' Every step must have a result."""

    def said(address: str) -> str:
        key, _, name = address.partition(".")
        step = evaluated.results[key]
        return results.figure_words(step.calculator.results[name], getattr(step.outputs, name), evaluated.plan.shown)

    shed = evaluated.results["shed"].outputs
    land = " by ".join(show(side, "m", evaluated.plan.shown, 2) for side in sorted((shed.drawn_length_m, shed.drawn_width_m)))
    return (f"About {said('bays.bays_total')} on a plot of {land}, with a crew of {said('crew.crew_count')}, "
            f"for {said('arrivals.received_kg_per_day')} of waste.")  # fmt: skip


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


def short_block(links: Mapping[str, str]) -> Element:
    """The first look from the number of homes alone: one field, the answer under it."""
    first = short_result(start.first_plan(FIRST_ASKED))
    return h(
        "section",
        h("form", form("metric", SHORT_ASKED), h("p", h("button", "Show the result", type="submit"), class_="submit"),
          class_="answers", novalidate=True, data_start="short", aria_label="Your homes"),
        h("div", data_start_problems=True),
        h("div", [page.with_pages(node, links) for node in first], data_start_result=True),
        h("p", h("button", "Keep this as a yard and go on", type="button", data_start_keep=True, disabled=True), " ",
          [page.with_pages(h("a", words, href=f"%page:{key}%"), links) for words, key in (("Four more questions", "start"), ("My yard", "yard"))],
          class_="tool-buttons"),
        h("p", "", class_="tool-said", data_said=True, role="status"),
        page.live_state(),
        class_="calculator first-look", data_calculator="start", data_own_script=True,
        data_base=links["yard"].removesuffix("yard.html"), aria_label="First look with your homes",
    )  # fmt: skip


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
