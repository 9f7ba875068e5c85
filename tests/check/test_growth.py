"""A rig of ten times the size takes ten times the work, right or wrong: counted in lines of ours that run, not in time."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from big_rig import big_rig, faulty_rig

from lint.check.catalogue import Catalogue, load_catalogue
from lint.check.engine import Checked, check_file

SMALL, LARGE = 240, 2400


def counted(path: Path, catalogue: Catalogue) -> tuple[Checked, int]:
    """Check a rig and count the lines of Python that run."""
    lines = 0

    def trace(_frame: Any, event: str, _argument: Any) -> Any:
        nonlocal lines
        lines += event == "line"
        return trace

    before = sys.gettrace()  # coverage's own, where it is measured
    sys.settrace(trace)
    try:
        checked = check_file(path, catalogue)
    finally:
        sys.settrace(before)
    return checked, lines


@pytest.mark.parametrize(("make", "findings", "most"), [(big_rig, 0, 1.1), (faulty_rig, 10, 1.1)])
def test_work_grows_in_proportion(make: Callable[[int], str], findings: int, most: float, tmp_path: Path) -> None:
    catalogue = load_catalogue()
    work = []
    for sources in (SMALL, SMALL, LARGE):  # the first fills what is read once: schema, models
        path = tmp_path / f"rig-{sources}.yaml"
        path.write_text(make(sources), encoding="utf-8")
        checked, lines = counted(path, catalogue)
        assert len(checked.findings) >= findings
        assert not [finding for finding in checked.findings if finding.rule == "rule-failed"]
        work.append(lines)
    assert work[2] <= work[1] * LARGE / SMALL * most, work
