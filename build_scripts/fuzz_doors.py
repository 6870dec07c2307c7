"""Throw random and mutated plan files, links, packed links and workshops at the doors, and count what became of them.

    python3 build_scripts/fuzz_doors.py [--count 10000] [--seed 1]

Each must open, or be refused with a reason that names a field or says what the file lacks. Nothing may raise, no reply may
hold a fault, and no tag may come out of what was typed. The first failure is printed with its input and ends the run.
"""

from __future__ import annotations

import argparse
import base64
import json
import random
import sys
import zlib
from collections import Counter
from pathlib import Path
from typing import Any

if __name__ == "__main__":
    sys.path[0] = str(Path(__file__).resolve().parent.parent)

from build_scripts import environment

HOSTILE = ["<script>a()</script>", "<img src=x onerror=a()>", "\x00", "\u202e", "1e999", "nan", "-1", "1,500", "", " " * 70,
           "9" * 400, "__proto__", "constructor", "${a}", "{{a}}", "=1+1", "١٢", "½", ";;;:::", "../../x", "javascript:a()",
           None, True, [], {}, [[]], [None] * 40, 1e308, -0.0, 10**30, {"a": [1]}, [["<b>", "1"] * 9]]  # fmt: skip
KINDS = ("file", "link", "packed link", "workshop")
KNOWN_TAGS = frozenset(
    "p strong ul ol li a div section table thead tbody tr th td caption details summary span dl dt dd button h2 figure figcaption "
    "svg g path title desc line rect polyline polygon text article form label input select option fieldset legend template br optgroup code".split()
)


def answers(chance: random.Random, catalogue: Any, drawn: Any) -> dict[str, Any]:
    """A few answers: allowed ones, hostile ones, under known names and strange ones."""
    found: dict[str, Any] = {}
    wild = chance.random() < 0.6
    for name, value in drawn(chance.choice(catalogue.CALCULATORS), chance).items():
        found[name] = chance.choice(HOSTILE) if wild and chance.random() < 0.3 else value
    for _ in range(chance.randint(0, 2) if wild else 0):
        found[str(chance.choice(HOSTILE))] = chance.choice(HOSTILE)
    return found


def mutated(text: str, chance: random.Random) -> str:
    """The text with some characters taken out, doubled, swapped or replaced."""
    letters = list(text)
    for _ in range(chance.randint(0, 6)):
        at = chance.randrange(len(letters) + 1)
        kind = chance.randrange(4)
        if kind == 0:
            del letters[at : at + chance.randint(1, 5)]
        elif kind == 1:
            letters[at:at] = list(str(chance.choice(HOSTILE)))
        elif kind == 2:
            letters[at:at] = letters[at : at + chance.randint(1, 20)]
        elif letters:
            letters[at % len(letters)] = chr(chance.choice([0, 34, 38, 44, 59, 60, 91, 123, 0x966, 0x1F331]))
    return "".join(letters)


def tags(node: Any) -> set[str]:
    """Every tag of a tree that goes to the page."""
    if isinstance(node, str):
        return set()
    return {node[0]}.union(*(tags(child) for child in node[2])) if node else set()


def run(count: int, seed: int) -> Counter[str]:
    """Run ``count`` inputs, as many of each kind. Raises ``AssertionError`` at the first that is not taken as it should."""
    from calculators import catalogue
    from calculators.doors import browser
    from calculators.plan_file import PlanFileError, open_plan
    from tests.vectors import answers_for

    def in_words(answer: Any, value: Any) -> str:
        if isinstance(value, list) and answer.kind in ("series", "table"):
            rows = [[cell if cell is not None else "" for cell in row] if isinstance(row, list) else row for row in value]
            return ";".join(":".join(map(str, row)) if isinstance(row, list) else str(row) for row in rows)
        return "yes" if value is True else "no" if value is False else str(value)

    def file(given: dict[str, Any]) -> str:
        version = chance.choice([1, 2, 2, 2, 3, "1", None])
        held: dict[str, Any] = {"yard_plan": version, "answers": given}
        for name, values in (("example" if version == 1 else "starts_from", ["larkhollow", None, "x"]),
                             ("units" if version == 1 else "shown_in", ["metric", "feet and pounds", "x"]),
                             ("name", HOSTILE), ("money", HOSTILE), ("about", HOSTILE), ("guessed", [["homes"], *HOSTILE])):  # fmt: skip
            if chance.random() < 0.3:
                held[name] = chance.choice(values)
        text = json.dumps(held, ensure_ascii=False)
        return mutated(text, chance) if chance.random() < 0.4 else text

    def link(given: dict[str, Any]) -> str:
        known = {name: value for name, value in given.items() if name in catalogue.NAMES and value is not None}
        pieces = [f"{name}={in_words(catalogue.first_asked(name), value)}" for name, value in known.items()]
        pieces += [f"{name}={given[name]}" for name in given if name not in known]
        pieces += [f"{word}={chance.choice(HOSTILE)}" for word in catalogue.LINK_WORDS if chance.random() < 0.1]
        text = "&".join(pieces)
        return "#" + (mutated(text, chance) if chance.random() < 0.4 else text)

    def packed(given: dict[str, Any]) -> str:
        text = base64.urlsafe_b64encode(zlib.compress(file(given).encode("utf-8", "replace"), 9)).decode().rstrip("=")
        return "#plan=" + (mutated(text, chance) if chance.random() < 0.4 else text)

    def workshop(given: dict[str, Any]) -> str:
        if chance.random() < 0.3:  # one that is as it should be
            text = f"title=Bays&ask={chance.choice(['bays.bays_total', 'mix.tub_ratio'])}&homes={chance.randint(50, 3000)}&vary=homes"
            return mutated(text, chance) if chance.random() < 0.4 else text
        asked = [f"{calculator.key}.{name}" for calculator in catalogue.CALCULATORS for name in calculator.results]
        first = "&".join(f"{word}={chance.choice([*HOSTILE, 'homes', 'bay_width,homes'])}" for word in ("hide", "vary", "say", "title"))
        text = f"ask={chance.choice([*asked, *map(str, HOSTILE)])}&{first}&{link(given)[1:]}"
        return mutated(text, chance) if chance.random() < 0.4 else text

    def request_for(kind: str, given: dict[str, Any]) -> dict[str, Any]:
        more = {"parts": ["answer:mix", "yard", "details:bays"], "forms": ["bays"]}
        if kind == "file":
            text = file(given)
            try:
                open_plan(text)
            except PlanFileError as error:
                assert str(error).strip() and "\n" not in str(error), text
            return {"file": text, **more}
        if kind == "workshop":
            return {"workshop": {"link": workshop(given)}, "parts": ["workshop-run", "workshop-compose"],
                    "state": {"guesses": {"0": str(chance.choice(HOSTILE))}, "shown": [0]}}  # fmt: skip
        return {"link": packed(given) if kind == "packed link" else link(given), **more}

    chance = random.Random(seed)
    seen: Counter[str] = Counter()
    for number in range(count):
        kind = KINDS[number % len(KINDS)]
        request = request_for(kind, answers(chance, catalogue, answers_for))
        found = json.loads(browser.reply(json.dumps(request)))
        assert "fault" not in found, (found, request)
        if "refused" in found:
            assert found["refused"].strip(), request
            seen[f"{kind} refused whole"] += 1
            continue
        for nodes in found["parts"].values():
            for node in nodes:
                assert tags(node) <= KNOWN_TAGS, (tags(node) - KNOWN_TAGS, request)
        if found["problems"]:
            assert found["wrong"] or kind == "workshop", request  # the fields at fault are named
            seen[f"{kind} opened in part, the rest refused by field"] += 1
        else:
            seen[f"{kind} opened"] += 1
    return seen


def main() -> None:
    """Read the options, run, print the counts."""
    parser = argparse.ArgumentParser(description="Throw random and mutated plan files, links and workshops at the doors.")
    parser.add_argument("--count", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    seen = run(options.count, options.seed)
    for outcome, times in sorted(seen.items()):
        print(f"{times:>7}  {outcome}")
    print(f"{sum(seen.values()):>7}  in all, none raised")


if __name__ == "__main__":
    environment.run_inside(__file__)
    main()
