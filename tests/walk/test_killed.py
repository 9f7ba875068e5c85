"""Killed at any instant: no acknowledged answer is lost, and none is asked twice."""

from __future__ import annotations

import random
import signal

import pexpect
import pytest
from torture import ITEM, PLACE, Killing, spawn, spawn_forked

from lint.record.ledger import Ledger


def answered(house) -> list[str]:
    with Ledger(house.ledger_path, reading=True) as ledger:
        assert ledger.verify().broken is None
        return [entry.body["item"] for entry in ledger.entries(kinds=("answer",))]


def place_of(child: pexpect.spawn) -> str:
    """Read on to the next item's prompt and return the key of its place."""
    child.expect(PLACE)
    place = f"{child.match[1]}/{child.match[2]}"
    child.expect(ITEM)
    return place


@pytest.mark.parametrize(("start", "kills"), [(spawn, 6), (spawn_forked, 12)])
def test_killed_at_random_moments(full_house, start, kills: int) -> None:
    """A sample; `python tests/torture.py` kills a thousand."""
    killing = Killing(full_house.rig, random.Random(kills), start)
    killing.run(kills)
    assert killing.problems == []
    assert killing.on_disk > 5, "too little was answered to say anything"


def test_ctrl_c_at_a_question_stops_without_a_traceback(small) -> None:
    child = spawn(small.rig)
    place_of(child)
    child.sendline("g")
    place_of(child)
    child.sendintr()
    child.expect("Stopped; every answer given is on disk")
    child.expect(pexpect.EOF)
    assert "Traceback" not in child.before
    child.close()
    assert child.exitstatus == 1
    assert answered(small) == ["bank/west-box"]


def test_killed_in_the_poll_it_goes_on_with_the_next_role(small) -> None:
    child = spawn(small.rig)
    for line in ("g", "g", "g", "65", "g"):
        place_of(child)
        child.sendline(line)
    child.expect("stage, go or no-go\\? ")
    child.sendline("go")
    child.expect("house-mixer, go or no-go\\? ")
    child.kill(signal.SIGKILL)
    child.wait()
    child.close()
    child = spawn(small.rig)
    child.expect("stage: ✓ GO \\(said already\\)")
    for prompt, line in (
        ("house-mixer, go", "go"),
        ("lead, go", "go"),
        ("lead who signs GO", "L. Lead"),
    ):
        child.expect(prompt)
        child.sendline(line)
    child.expect("signed by L. Lead")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 0
