"""Single bytes of the record changed: whatever touches a record is noticed."""

from __future__ import annotations

from pathlib import Path
from statistics import median

from torture import flip_bytes, time_answers, walked_ledger


def test_every_changed_byte_that_touches_a_record_is_noticed(tmp_path: Path) -> None:
    """A sample; `python tests/torture.py` changes ten thousand."""
    found = flip_bytes(walked_ledger(tmp_path / "house"), 120, seed=3)
    assert found.missed == []
    assert found.touched > 60, "too few touched a record to say anything"


def test_an_answer_costs_no_more_than_a_few_bare_syncs(tmp_path: Path) -> None:
    """The figure itself is `python tests/torture.py`'s: here only that nothing grows with what was answered before."""
    found = {name: median(times) for name, times in time_answers(tmp_path / "few", 20).items()}
    assert found["answer"] < 40 * found["fsync"] + 40
