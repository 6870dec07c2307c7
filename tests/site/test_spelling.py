"""The words a reader sees, against a British dictionary and the project's own list."""

from __future__ import annotations

from build_scripts import spelling


def test_no_word_is_misspelt() -> None:
    texts = spelling.english_pages()
    assert len(texts) > 50, "the handbook is not built: python3 build_scripts/serve.py --build-only"
    found = spelling.unknown({**texts, "a slip": "A heap of wet leafs and leachte."})
    assert found.pop("leachte", None) == ["a slip"], "the check no longer sees a misspelt word"
    assert not found, found


def test_every_listed_word_is_still_used() -> None:
    text = "\n".join(spelling.english_pages().values()).lower()
    listed = [word for line in spelling.WORDS.read_text("utf-8").splitlines() if (word := line.strip()) and not word.startswith("#")]
    assert not [word for word in listed if word.lower() not in text]
