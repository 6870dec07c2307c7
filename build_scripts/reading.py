"""How long the sentences of the handbook are: `python3 build_scripts/reading.py`, longest pages first.

A count, no verdict: many readers have English as a second language, and a long sentence is the commonest hurdle. Tables,
code, directives and link targets are left out; a figure put in at the build counts as one word.
"""

from __future__ import annotations

import re
import sys
from dataclasses import dataclass
from pathlib import Path

DOCS = Path(__file__).resolve().parent.parent / "docs"
LONG = 25
"""Words from which a sentence is called long (chosen here)."""

_LEFT_OUT = re.compile(r"```.*?```|<!--.*?-->|<script.*?</script>|^\s*\|.*?$|^%%\s.*?%%$|^\{[^}]*\}$|^!!!.*?$", re.S | re.M)
_MARKUP = re.compile(r"%%=.*?%%")
_LINK = re.compile(r"\[([^\]]*)\]\([^)]*\)")
_TAG = re.compile(r"<[^>]+>")
_END = re.compile(r"(?<=[.!?:;])[\"”’)*_]*\s+|\n\s*\n|\n(?=\s*(?:[-*+]|\d+\.|:|#+)\s)")
_WORD = re.compile(r"[^\W_]+(?:['’.-][^\W_]+)*")


@dataclass(frozen=True)
class Page:
    """The sentences of one page, as numbers of words."""

    name: str
    lengths: tuple[int, ...]

    @property
    def words(self) -> int:
        return sum(self.lengths)

    @property
    def mean(self) -> float:
        return self.words / len(self.lengths) if self.lengths else 0.0

    @property
    def long_percent(self) -> float:
        return 100 * sum(length > LONG for length in self.lengths) / len(self.lengths) if self.lengths else 0.0


def sentences(text: str) -> list[str]:
    """The sentences of a Markdown text. A heading, an item of a list and what stands before a colon count as one each."""
    text = _LEFT_OUT.sub("\n", text)
    text = _TAG.sub(" ", _LINK.sub(r"\1", _MARKUP.sub("figure", text)))
    return [found for piece in _END.split(text) if _WORD.search(found := " ".join(piece.split()))]


def read(path: Path) -> Page:
    """The counts of one page."""
    lengths = tuple(len(_WORD.findall(sentence)) for sentence in sentences(path.read_text("utf-8")))
    return Page(path.relative_to(DOCS).as_posix(), lengths)


def pages() -> list[Page]:
    """Every English page written by hand, the one with the longest sentences first."""
    written = [path for path in sorted(DOCS.rglob("*.md")) if path.name != "evidence.md" and not path.is_relative_to(DOCS / "hi")]
    found = [read(path) for path in written]
    return sorted(found, key=lambda page: -page.mean)


def in_a_line() -> str:
    """The whole handbook in a line, for the output of a build."""
    every = Page("", tuple(length for page in pages() for length in page.lengths))
    return (f"Reading: {every.words:,} words, {every.mean:.1f} to a sentence, {every.long_percent:.1f} % of sentences over {LONG}; "
            "by page: python3 build_scripts/reading.py")  # fmt: skip


def main() -> None:
    """Print the counts of every page."""
    print(f"{'words':>6}  {'a sentence':>10}  {'over ' + str(LONG):>8}  page")
    for page in pages():
        print(f"{page.words:>6}  {page.mean:>10.1f}  {page.long_percent:>6.1f} %  {page.name}")


if __name__ == "__main__":
    sys.exit(main())
