"""Clean houses of many sizes and shapes: the check lets each of them go, without a caution and without noise."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from lint.check.engine import check_file
from lint.check.finding import Severity, Verdict

HERE = Path(__file__).parent
RIGS = sorted(HERE.glob("*/rigs/*.yaml"))
TODAY = date(2026, 11, 25)
# Notes a lead wants to read even in a clean rig; anything else would be noise.
WANTED_NOTES = {"phantom-while-patching"}


def test_there_are_enough_and_none_is_left_out() -> None:
    houses = {path.parent.name for path in HERE.glob("*/house.yaml")}
    assert len(houses) >= 12
    assert houses == {path.parent.parent.name for path in RIGS}


@pytest.mark.parametrize("path", RIGS, ids=lambda path: path.parent.parent.name)
def test_a_clean_rig_goes(path: Path) -> None:
    checked = check_file(path, today=TODAY)
    standing = [finding for finding in checked.findings if finding.waived is None]
    weighty = [(f.rule, f.message) for f in standing if f.weight is not Severity.NOTE]
    assert weighty == []
    assert checked.verdict is Verdict.GO
    noise = [(f.rule, f.message) for f in standing if f.rule not in WANTED_NOTES]
    assert noise == []


@pytest.mark.parametrize("path", RIGS, ids=lambda path: path.parent.parent.name)
def test_a_clean_rig_states_what_it_means(path: Path) -> None:
    """What says nothing can't be wrong: every patched channel says what it carries, every destination what it expects."""
    rig = check_file(path, today=TODAY).resolved.rig
    assert [channel.address for channel in rig.channels.values() if channel.carries is None] == []
    assert [name for name, destination in rig.destinations.items() if not destination.expects] == []
    assert rig.sources
    assert rig.destinations


def test_a_waiver_counts_in_one_of_them() -> None:
    """So that what happens when it runs out can be tried."""
    waived = [f for path in RIGS for f in check_file(path, today=TODAY).findings if f.waived is not None]
    assert [finding.rule for finding in waived] == ["stereo-split"]
