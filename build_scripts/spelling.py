"""Spelling of everything a reader can see in English: `python3 build_scripts/spelling.py` (after a build).

The text of the built pages, calculators' words and descriptions of drawings included, goes to cspell with its British
dictionary; words it need not know stand in `words.txt`. Code, addresses and the pages in other languages are left out.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from html.parser import HTMLParser
from pathlib import Path

sys.path[0] = str(Path(__file__).resolve().parent.parent)  # the checkout, not this folder

from build_scripts import environment

SITE = environment.ROOT / "site"
WORDS = Path(__file__).with_name("words.txt")
CSPELL = environment.BUILD / "npm" / "node_modules"

_NOT_PROSE = ("script", "style", "code", "pre", "kbd")
_SPOKEN = ("alt", "aria-label", "title", "placeholder")


class _Prose(HTMLParser):
    """What a page shows or has read aloud, a piece a line."""

    def __init__(self) -> None:
        super().__init__()
        self.pieces: list[str] = []
        self._inside = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._inside += tag in _NOT_PROSE
        self.pieces += [value for name, value in attrs if name in _SPOKEN and value]

    def handle_endtag(self, tag: str) -> None:
        self._inside -= tag in _NOT_PROSE

    def handle_data(self, data: str) -> None:
        if not self._inside:
            self.pieces.append(data)


def prose(html: str) -> str:
    """What a page shows or has read aloud."""
    parser = _Prose()
    parser.feed(html)
    return "\n".join(" ".join(piece.split()) for piece in parser.pieces if piece.strip())


def english_pages(site: Path = SITE) -> dict[str, str]:
    """The prose of each built English page by its path in the site."""
    languages = {folder.name for folder in (environment.ROOT / "docs").iterdir() if len(folder.name) == 2}
    return {path.relative_to(site).as_posix(): prose(path.read_text("utf-8")) for path in sorted(site.rglob("*.html"))
            if path.relative_to(site).parts[0] not in languages}  # fmt: skip


def unknown(texts: Mapping[str, str]) -> dict[str, list[str]]:
    """The words that neither the dictionary nor `words.txt` has, each with the names of the texts where it stands.

    Raises subprocess.CalledProcessError where cspell itself fails.
    """
    with tempfile.TemporaryDirectory() as folder:
        names = {f"{number}.txt": name for number, name in enumerate(texts)}
        for file, name in names.items():
            (Path(folder) / file).write_text(texts[name], "utf-8")
        settings = {
            "version": "0.2",
            "language": "en-GB",
            "import": [str(CSPELL / "@cspell" / "dict-en-gb" / "cspell-ext.json")],
            "dictionaryDefinitions": [{"name": "project", "path": str(WORDS)}],
            "dictionaries": ["project"],
            "minWordLength": 3,
        }
        (Path(folder) / "cspell.json").write_text(json.dumps(settings), "utf-8")
        answer = subprocess.run(
            [environment.node(), str(CSPELL / "cspell" / "bin.mjs"), "--no-progress", "--no-summary", "--no-color",
             "--no-must-find-files", "--unique", "--config", "cspell.json", *names],
            cwd=folder, capture_output=True, text=True, encoding="utf-8")  # fmt: skip
        if answer.returncode not in (0, 1) or (answer.returncode == 1 and not answer.stdout):
            raise subprocess.CalledProcessError(answer.returncode, "cspell", answer.stdout, answer.stderr)
    found: dict[str, list[str]] = {}
    for line in answer.stdout.splitlines():
        # 12.txt:3:14 - Unknown word (leachte)
        place, _, word = line.rpartition(" (")
        found.setdefault(word.split(")")[0], []).append(names[Path(place.split(":")[0]).name])
    return found


def main() -> None:
    """Print the unknown words; the exit status is 1 where there are any."""
    environment.run_inside(__file__)
    found = unknown(english_pages())
    for word, places in sorted(found.items()):
        print(f"{word}: {', '.join(places[:3])}{' …' if len(places) > 3 else ''}")
    print(f"{len(found)} unknown words. One that is right goes into {WORDS.relative_to(environment.ROOT)}.")
    sys.exit(bool(found))


if __name__ == "__main__":
    main()
