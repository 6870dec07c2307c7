"""Pages of other languages hold what the build reads in the English ones: directives, links, anchors, code."""

from __future__ import annotations

import pytest

from build_scripts import translated

PAGE = """# Bays { #bays }

A [link](mix.md#how-much) and `code`.[^one]

%% calculator bays %%

## How long

| a | b |
|---|---|

<a href="x.html">there</a>
"""
OTHER = PAGE.replace("## How long", "## कितने दिन { #how-long }").replace("link", "कड़ी").replace("there", "वहाँ")


def test_words_may_change() -> None:
    assert translated.differences(PAGE, OTHER) == []


@pytest.mark.parametrize(
    ("was", "becomes"),
    [
        ("%% calculator bays %%", ""), ("%% calculator bays %%", "%% calculator mix %%"), ("(mix.md#how-much)", "(mix.md)"), ("`code`", "कोड"),
        ("[^one]", ""), (" { #how-long }", ""), ("|---|---|\n", ""), ('href="x.html"', 'href="y.html"'), ("</a>", ""), ("## ", "### "),
    ],
)  # fmt: skip
def test_what_the_build_reads_may_not(was: str, becomes: str) -> None:
    assert was in OTHER
    assert translated.differences(PAGE, OTHER.replace(was, becomes, 1))


@pytest.mark.parametrize("language", translated.languages())
def test_pages_of_a_language_agree(language: str) -> None:
    """What is not translated, or older than its English page, is listed by ``build_scripts/translated.py``; it is not a fault."""
    found = translated.standing(language)
    assert found.different == {}
    assert found.orphans == ()
    assert set(found.missing) < set(translated.english())


def test_a_changed_page_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    language = translated.languages()[0]
    found = translated.standing(language)
    current = set(translated.english()) - {*found.missing, *found.older}
    assert current
    monkeypatch.setattr(translated, "digest", lambda text: "another")
    assert current <= set(translated.standing(language).older)
