"""The cautions engine: what a calculator raises, joined with its text, each danger once, the pressing ones first.

Pure and small on purpose: it stands at every result that can hurt someone.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from calculators.declare import RaisedCaution
from calculators.reference import Source, caution, source

HAZARDS = {
    "machines": "Machines",
    "electricity": "Electricity",
    "structure": "Structure",
    "fire": "Fire",
    "lifting": "Lifting",
    "heat": "Heat",
    "dust_and_spores": "Dust and spores",
    "sharps": "Sharps",
    "noise": "Noise",
    "traffic": "Traffic",
    "pits": "Pits and tanks",
    "food_safety": "Food safety",
    "vermin": "Vermin",
}
"""Kinds of danger in the order shown, with the words a reader sees."""


@dataclass(frozen=True)
class ShownCaution:
    """A caution as shown: its text, what in this yard raised it, by which calculators, and its sources."""

    key: str
    hazard: str
    hazard_label: str
    title: str
    text: str
    because: tuple[str, ...]
    from_calculators: tuple[str, ...]
    urgent: bool
    sources: tuple[Source, ...]
    status: str


def gather(raised: Iterable[tuple[str, RaisedCaution]]) -> tuple[ShownCaution, ...]:
    """Each caution once, with every reason given for it: urgent ones first, then by kind of danger, then as raised.

    Raises the reference data's ``UnknownReference`` for a caution that has no text.
    """
    reasons: dict[str, list[str]] = {}
    givers: dict[str, list[str]] = {}
    urgent: dict[str, bool] = {}
    for calculator, each in raised:
        reasons.setdefault(each.key, [])
        givers.setdefault(each.key, [])
        if each.because and each.because not in reasons[each.key]:
            reasons[each.key].append(each.because)
        if calculator not in givers[each.key]:
            givers[each.key].append(calculator)
        urgent[each.key] = urgent.get(each.key, False) or each.urgent
    order = list(HAZARDS)
    shown = []
    for key, because in reasons.items():
        text = caution(key)
        shown.append(
            ShownCaution(
                key, text.hazard, HAZARDS[text.hazard], text.title, text.text, tuple(because), tuple(givers[key]),
                urgent[key], tuple(source(name) for name in text.sources), text.status,
            )  # fmt: skip
        )
    return tuple(sorted(shown, key=lambda each: (not each.urgent, order.index(each.hazard))))
