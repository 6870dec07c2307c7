"""Hold the pages of other languages against the English ones: what is not translated, what is older, what does not agree.

    python3 build_scripts/translated.py [--stamp]

A language is a folder of `docs/` with a name of two letters, and mirrors the English tree. A page agrees with its English one
where both have the same directives, links, anchors, footnotes and code in the same number: words may change, what the build
reads may not. `translated.json` of the language holds, by page, the digest of the English text that was translated; `--stamp`
writes it for all pages that agree, once somebody has seen to the changes. Standard library only.
"""

from __future__ import annotations

import hashlib
import json
import re
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

DOCS = Path(__file__).resolve().parent.parent / "docs"
STAMPS = "translated.json"
GENERATED = {"reference/evidence.md"}
"""Pages that the build writes: they are translated with the program's own words."""

_CODE = re.compile(r"^```.*?^```", re.MULTILINE | re.DOTALL)
_KINDS = {
    "directive": re.compile(r"%%.*?%%", re.DOTALL),
    "link": re.compile(r"\]\(([^)\s]+)"),
    "address": re.compile(r"\b(?:href|src)=\"([^\"]*)\""),
    "element": re.compile(r"<(/?[a-z][a-z0-9-]*)[ >]"),
    "footnote": re.compile(r"\[\^[^\]]+\]"),
    "code": re.compile(r"(?<!`)`([^`\n]+)`(?!`)"),
    "table row": re.compile(r"^\|", re.MULTILINE),
}
_HEADING = re.compile(r"^(#+) +(.*?)\s*(?:\{([^}]*)\})?\s*$", re.MULTILINE)


def languages() -> list[str]:
    """Folders of other languages."""
    return sorted(each.name for each in DOCS.iterdir() if each.is_dir() and re.fullmatch("[a-z]{2}", each.name))


def english() -> list[str]:
    """Pages that are to be translated, by path."""
    found = (path.relative_to(DOCS) for path in DOCS.rglob("*.md"))
    return sorted(path.as_posix() for path in found if path.parts[0] not in languages() and path.as_posix() not in GENERATED)


def digest(text: str) -> str:
    """What a stamp holds of an English page."""
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def anchor(heading: str) -> str:
    """The anchor that the build gives a heading without one of its own."""
    plain = re.sub(r"<[^>]*>|[`*]|\]\([^)]*\)|\[", "", heading)
    return re.sub(r"[-\s]+", "-", re.sub(r"[^\w\s-]", "", plain).strip().lower())


def anchors(text: str) -> Iterator[str]:
    """Level and anchor of each heading of a page."""
    for marks, words, attributes in _HEADING.findall(_CODE.sub("", text)):
        named = re.search(r"#([\w-]+)", attributes or "")
        yield f"{marks} {named.group(1) if named else anchor(words)}"


def differences(original: str, translation: str) -> list[str]:
    """What the build reads in one page and not in the other, in words."""
    found = []
    for kind, pattern in _KINDS.items():
        one, other = (Counter(pattern.findall(text)) for text in (original, translation))
        found += [f"{kind} missing: {each}" for each in (one - other).elements()]
        found += [f"{kind} too many: {each}" for each in (other - one).elements()]
    # the title's anchor is no one's target, and most pages leave it to its words
    one_by_one = [[each for each in anchors(text) if not each.startswith("# ")] for text in (original, translation)]
    if one_by_one[0] != one_by_one[1]:
        found.append(f"anchors: {one_by_one[1]} instead of {one_by_one[0]}")
    return found


@dataclass(frozen=True)
class Standing:
    """How a language stands: pages not there, pages whose English changed since, pages without an English one, and differences."""

    missing: tuple[str, ...]
    older: tuple[str, ...]
    orphans: tuple[str, ...]
    different: dict[str, list[str]]


def standing(language: str) -> Standing:
    """Every page of a language, held against the English ones."""
    folder = DOCS / language
    have = {path.relative_to(folder).as_posix() for path in folder.rglob("*.md")}
    wanted = english()
    stamps = json.loads((folder / STAMPS).read_text("utf-8")) if (folder / STAMPS).exists() else {}
    texts = {page: ((DOCS / page).read_text("utf-8"), (folder / page).read_text("utf-8")) for page in wanted if page in have}
    return Standing(
        tuple(page for page in wanted if page not in have),
        tuple(page for page, (original, _) in texts.items() if stamps.get(page) != digest(original)),
        tuple(sorted(have - set(wanted) - GENERATED)),
        {page: found for page, pair in texts.items() if (found := differences(*pair))},
    )


def stamp(language: str) -> None:
    """Note for each page that agrees which English text it translates."""
    found = standing(language)
    held = {
        page: digest((DOCS / page).read_text("utf-8"))
        for page in english() if page not in found.missing and page not in found.different
    }  # fmt: skip
    (DOCS / language / STAMPS).write_text(json.dumps(held, indent=1) + "\n", "utf-8")


def in_a_line() -> str:
    """How far each language is, for the output of a build."""
    pages = len(english())
    parts = []
    for language in languages():
        found = standing(language)
        parts.append(f"{language} {pages - len(found.missing)} of {pages} pages, {len(found.older)} of them older than the English")
    return "Translated: " + "; ".join(parts) + "; which: python3 build_scripts/translated.py"


def main() -> None:
    for language in languages():
        if "--stamp" in sys.argv[1:]:
            stamp(language)
        found = standing(language)
        print(f"{language}: {len(english()) - len(found.missing)} of {len(english())} pages translated")
        for what, pages in (("not translated", found.missing), ("English changed since", found.older), ("no English page", found.orphans)):
            print(*(f"  {what}: {page}" for page in pages), sep="\n", end="\n" if pages else "")
        for page, words in found.different.items():
            print(*(f"  {page}: {each}" for each in words), sep="\n")


if __name__ == "__main__":
    main()
