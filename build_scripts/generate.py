"""Write what is made from data before the site is built: the Evidence page and the schema of plan files."""

from __future__ import annotations

import json
import sys
from collections import Counter
from pathlib import Path

if __name__ == "__main__":
    sys.path[0] = str(Path(__file__).resolve().parent.parent)

from build_scripts import evidence
from calculators.declare import Chart, Line
from calculators.plan_file import schema
from calculators.units import show_number
from calculators.view.charts import draw
from calculators.view.elements import Element, h, not_searched, to_html
from calculators.view.forms import STATUS_WORDS
from calculators.view.results import full_citation

REFERENCE = Path(__file__).resolve().parent.parent / "docs" / "reference"


def _words(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return show_number(float(value), 6)
    if isinstance(value, (list, tuple)):
        return ", ".join(_words(item) for item in value)
    return str(value)


def _name(name: str) -> str:
    return name.replace("_", " ")


def _rows(check: evidence.Check) -> list[Element]:
    case = check.case
    given = "; ".join(f"{_name(name)} {_words(value)}" for name, value in case.given.items())
    made = []
    for name, printed in case.printed.items():
        ours = check.ours[name]
        number = isinstance(printed, (int, float)) and not isinstance(printed, bool)
        difference = show_number(ours - printed, 2) if number else ("same" if ours == printed else "differs")
        rounding = f"±{show_number(case.rounding.get(name, 0.0), 2)}" if number else "–"
        agrees = check.agrees
        made.append(
            h("tr", h("th", case.where, h("p", f"given: {given}", class_="hint"),
                      h("p", case.note, class_="hint") if case.note else None, scope="row"),
              h("td", _name(name), class_="words"), h("td", _words(printed)), h("td", _words(ours)), h("td", difference),
              h("td", rounding), h("td", "agrees" if agrees else h("strong", "differs"), class_="words"))
        )  # fmt: skip
    return made


def _table(checks: list[evidence.Check], title: str = "") -> Element:
    head = [h("th", words, scope="col")
            for words in ("Case", "Answer", "Printed", "Ours", "Ours less printed", "Rounding of the print", "Verdict")]  # fmt: skip
    title = title or checks[0].case.title
    return h(
        "div",
        h("table", h("caption", title), h("thead", h("tr", head)), h("tbody", [_rows(check) for check in checks])),
        class_="table-frame", tabindex="0", role="region", aria_label=f"{title}: {checks[0].case.source.key}",
    )  # fmt: skip


def _curve(curve: evidence.Curve, key: str) -> list[str]:
    """One temperature record: the chart, the misfit, and what was put in."""
    days = range(1, len(curve.ours) + 1)
    chart = Chart("lines", f"{curve.title}: ours and the print", "°C", tuple(map(str, days)),
                  (Line("Ours, mean of the day", curve.ours), Line("Printed", tuple(curve.printed.get(day) for day in days))),
                  axis="Day")  # fmt: skip
    largest = max(curve.differences.values(), key=abs)
    verdict = "within the print" if curve.agrees else "outside the print"
    misfit = (f"Misfit: {show_number(curve.misfit, 2)} °C in the mean of the printed days, {show_number(largest, 2)} °C at "
              f"the worst (ours less printed); printed to ±{show_number(curve.rounding, 2)} °C: {verdict}. "
              f"{curve.note}")  # fmt: skip
    given = "; ".join(f"{_name(name)} {_words(value)}" for name, value in curve.given.items())
    return [f"### {curve.title}", "", to_html(h("p", full_citation(curve.source), class_="source-line")), "",
            to_html(draw(chart, "metric", key)), "", misfit, "",
            to_html(h("p", f"given: {given}", class_="hint")), ""]  # fmt: skip


def _curves() -> list[str]:
    lines = [
        "## Temperature of heaps", "",
        "The heat model against what publications print of a heap's temperature. **These three are no independent check:** "
        "the law of temperature, the path of the air and the conductivity were chosen on them, within ranges that are recalled, after "
        "a first choice (the law of Haug 1993) had been 13 to 19 °C off. What is left is 3 to 9 °C in the mean, up to 13 °C on a day: "
        "**a small heap starts too slowly and then grows too hot, a windrow cools too soon.** A review "
        "(Mason 2006) found no model within 5 °C at the worst, 2 °C on average and 2 °C at the peak.", "",
    ]  # fmt: skip
    for index, curve in enumerate(evidence.curves()):
        lines += _curve(curve, f"heat-curve-{index}")
    return lines


def evidence_page() -> str:
    """The Evidence page as Markdown with the tables in it."""
    checks = [evidence.run(case) for case in evidence.cases()]
    differ = [check for check in checks if not check.agrees]
    by_status = Counter(check.case.status for check in checks)
    groups: dict[tuple[str, str], list[evidence.Check]] = {}
    for check in checks:
        groups.setdefault((check.case.source.key, check.case.title), []).append(check)
    counts = "; ".join(f"{count} {STATUS_WORDS[status]}" for status, count in sorted(by_status.items()))
    lines = [
        "# Evidence",
        "",
        f"Every published case that the calculators are held against: {len(checks)} cases from {len(groups)} tables and worked "
        f"examples ({counts}). {len(checks) - len(differ)} agree within the rounding of the print; {len(differ)} differ and say "
        "why. The page is written by the same code, from the same data, as the tests that guard each release.",
        "",
        "A printed figure stands as its publication has it. *Rounding of the print* is half a unit of its last digit, or what "
        "the publication states. ‘From memory’ means that the example was recalled and the print not read; ‘computed here’ "
        "checks arithmetic, not a publication.",
        "",
        "## Where ours and the print differ",
        "",
    ]
    lines += [to_html(_table(differ, "Where ours and the print differ")) if differ else "None.", ""]
    lines += [*_curves(), "## Every case", ""]
    for (_, title), group in groups.items():
        status = group[0].case.source
        lines += [f"### {title}", "", to_html(h("p", full_citation(status), class_="source-line")), "",
                  to_html(not_searched(_table(group))), ""]
        if any(check.case.status != status.status for check in group):
            kinds = ", ".join(sorted({STATUS_WORDS[check.case.status] for check in group}))
            lines += [to_html(h("p", f"These cases: {kinds}.", class_="hint")), ""]
    return "\n".join(lines) + "\n"


def main() -> None:
    """Write what is out of date."""
    made = {
        "evidence.md": evidence_page(),
        "plan-file.schema.json": json.dumps(schema(), ensure_ascii=False, indent=1) + "\n",
    }
    for name, text in made.items():
        file = REFERENCE / name
        if not file.exists() or file.read_text("utf-8") != text:
            file.write_text(text, "utf-8")


if __name__ == "__main__":
    main()
