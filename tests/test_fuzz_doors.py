"""A short sample of the fuzzing command: plan files and links, random and mutated."""

from __future__ import annotations

from build_scripts import fuzz_doors


def test_a_sample_of_hostile_files_and_links() -> None:
    seen = fuzz_doors.run(250, seed=7)
    assert sum(seen.values()) == 250
    # each kind of outcome must occur, or the sample would prove little
    assert {"file opened", "link opened", "file refused whole"} <= set(seen)
    assert any("in part" in outcome for outcome in seen)
