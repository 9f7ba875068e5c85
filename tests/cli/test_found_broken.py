"""What a hunt found broken: told by the walk, the handover and the next hunt until somebody says that it is mended."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from test_hunt_left import BORROWED, call, rig, told  # noqa: F401 - rig is a fixture
from test_hunt_stopped import keys_to

from lint.record.ledger import Ledger, ledger_path
from lint.record.put_back import read_left

BROKEN = "the source violin itself: broken"


@pytest.fixture
def found(rig: Path) -> Path:  # noqa: F811
    ended = call("hunt", str(rig), "violin", "--answers", keys_to(BORROWED) + "y", "--by", "M. Mixer")
    assert "Found: " in ended.stdout
    return rig


def steps(rig: Path) -> list[str]:  # noqa: F811
    return list(json.loads(call("handover", str(rig), "--format", "json").stdout)["next_steps"])


def test_it_is_a_next_step_and_a_point_to_say_back(found: Path) -> None:
    (step,) = [row for row in steps(found) if row.startswith("Have mended or replaced what was found broken by")]
    assert "violin (dead) on 20" in step
    assert "label" in step
    assert "Have mended or replaced" in told(call("handover", str(found), "--received-by", "A. Ade", typed="q\n"))


def test_the_next_walk_tells_it(found: Path) -> None:
    said = told(call("walk", str(found), "--by", "A. Ade", typed="q\n"))
    assert "FIRST: Found broken by the hunt of violin (dead)" in said
    assert "The next hunt asks whether it is mended or replaced." in said


def test_the_next_hunt_asks_until_it_is_mended(found: Path) -> None:
    asked = "Is it mended, or another in its place for good?"
    call("hunt", str(found), "kick", "--by", "A. Ade", typed="n\nq\n")
    assert any("found broken" in row for row in steps(found))
    said = told(call("hunt", str(found), "kick", "--by", "A. Ade", typed="y\nq\n"))
    assert asked in said
    with Ledger(ledger_path(found), reading=True) as ledger:
        assert read_left(ledger) == []
        assert ledger.verify().broken is None
    assert not any("found broken" in row for row in steps(found))
    assert asked not in told(call("hunt", str(found), "kick", "--by", "A. Ade", typed="q\n"))


def test_what_was_only_wrong_and_is_right_again_is_nothing_to_mend(rig: Path) -> None:  # noqa: F811
    call(
        "hunt",
        str(rig),
        "violin",
        "--answers",
        keys_to("look phantom power of riser/in/1–4 / phantom-off") + "ny",
        "--by",
        "M. Mixer",
    )
    with Ledger(ledger_path(rig), reading=True) as ledger:
        assert read_left(ledger) == []


def test_the_handover_says_who_said_that_it_is_mended(found: Path) -> None:
    call("hunt", str(found), "kick", "--by", "A. Ade", typed="y\nq\n")
    page = told(call("handover", str(found)))
    assert "done since, as A. Ade, 20" in page


def test_a_stray_key_is_nobodys_name(rig: Path) -> None:  # noqa: F811
    keys = "".join(f"{key}\n" for key in keys_to(BORROWED) + "y")
    call("hunt", str(rig), "violin", "--plain", typed=f"{keys}y\n")
    assert not ledger_path(rig).is_file()
