"""Results and declarations as plain data, for JSON: the command line's, and the checks that compare runtimes."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from calculators.declare import Answer, Calculator, Output
from calculators.plan import Evaluated, Plan, Result, Stopped
from calculators.reference import Source
from calculators.working import Step, in_words


def source_data(source: Source) -> dict[str, Any]:
    """A source as data."""
    return {"key": source.key, "citation": source.citation, "status": source.status, "url": source.url,
            "note": source.note}  # fmt: skip


def answer_data(answer: Answer) -> dict[str, Any]:
    """The declaration of an answer as data."""
    held: dict[str, Any] = {
        "name": answer.name, "link_name": answer.link_name, "label": answer.label, "kind": answer.kind,
        "unit": answer.unit, "default": answer.default, "low": answer.low, "high": answer.high,
        "usual": answer.usual, "help": answer.help, "follows": answer.follows, "may_be_blank": answer.blank,
        "source": source_data(answer.source),
    }  # fmt: skip
    if answer.options:
        held["options"] = {option.key: option.label for option in answer.options}
    if answer.rows:
        held["rows"] = answer.rows
    if answer.columns:
        held["columns"] = [answer_data(column) for column in answer.columns]
    return held


def output_data(output: Output) -> dict[str, Any]:
    """The declaration of an output as data."""
    held: dict[str, Any] = {
        "name": output.name, "label": output.label, "kind": output.kind, "unit": output.unit, "help": output.help,
    }  # fmt: skip
    if output.rows:
        held["rows"] = output.rows
    if output.columns:
        held["columns"] = [
            {"key": column.key, "label": column.label, "unit": column.unit} for column in output.columns
        ]
    return held


def calculator_data(calculator: Calculator) -> dict[str, Any]:
    """The declaration of a calculator as data."""
    return {
        "name": calculator.key,
        "title": calculator.title,
        "question": calculator.question,
        "inputs": [answer_data(answer) for answer in calculator.answers.values()],
        "outputs": [output_data(output) for output in calculator.results.values()],
        "sources": [source_data(source) for source in calculator.sources],
    }


def step_data(step: Step) -> dict[str, Any]:
    """One step of working as data."""
    return {"label": step.label, "words": step.words, "figures": step.figures, "value": step.value,
            "unit": step.unit, "note": step.note, "line": in_words(step)}  # fmt: skip


def result_data(result: Result | Stopped, working: bool = False) -> dict[str, Any]:
    """A result as data: inputs with their origin, outputs, sentence, remarks, cautions, and working if asked."""
    held: dict[str, Any] = {
        "calculator": result.calculator.key,
        "inputs": {
            name: {"value": standing.value, "unit": standing.answer.unit, "origin": standing.origin}
            for name, standing in result.standings.items()
        },
    }
    if isinstance(result, Stopped):
        held["stopped"] = result.message
        return held
    held["outputs"] = {name: getattr(result.outputs, name) for name in result.calculator.results}
    held["units"] = {
        name: output.unit for name, output in result.calculator.results.items() if output.kind != "text"
    }
    held["answer"] = result.sentence
    held["remarks"] = list(result.notices)
    held["cautions"] = [
        {"key": caution.key, "title": caution.title, "because": list(caution.because), "text": caution.text}
        for caution in result.cautions
    ]
    if working:
        held["working"] = [step_data(step) for step in result.steps]
    return held


def evaluated_data(evaluated: Evaluated, working: bool = False) -> dict[str, Any]:
    """Every step of a plan as data."""
    return {
        "example": evaluated.plan.example,
        "steps": [
            result_data(part, working) for part in evaluated.steps
        ],
        "problems": [{"field": problem.field, "message": problem.message} for problem in evaluated.problems],
    }


def solve_all(text: str) -> str:
    """For checks that compare runtimes: a JSON list of plans ({"answers", "example", and "calculator" where one is meant})
    in, for each its steps (with sentence, remarks and working) and problems out."""
    found = []
    for asked in json.loads(text):
        key = asked.get("calculator", "")
        evaluated = Plan(asked["answers"], asked.get("example")).evaluate(only=key)
        steps = [evaluated.step(key)] if key else evaluated.steps
        found.append({"steps": [result_data(step, working=True) for step in steps],
                      "problems": [problem.message for problem in evaluated.problems]})  # fmt: skip
    return json.dumps(found, ensure_ascii=False)
