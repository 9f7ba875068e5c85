"""Killed at any instant: no acknowledged answer is lost, and none is asked twice."""

from __future__ import annotations

import random
import re
import signal
import sys
import time

import pexpect
import pytest

from lint.record.ledger import Ledger

CODE = "import typer; from lint.cli.walk import walk; typer.run(walk)"
PLACE = re.compile(r"Phase (\d+) of \d+ · item (\d+) of")


def spawn(house) -> pexpect.spawn:
    return pexpect.spawn(
        sys.executable,
        ["-c", CODE, str(house.rig), "--by", "A"],
        encoding="utf-8",
        timeout=30,
        dimensions=(24, 80),
        env={"PATH": "/usr/bin:/bin", "TERM": "dumb", "LANG": "C.UTF-8"},
        # A shell in the background hands on an ignored SIGINT; a person's terminal does not.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )


def answered(house) -> list[str]:
    with Ledger(house.ledger_path, reading=True) as ledger:
        assert ledger.verify().broken is None
        return [entry.body["item"] for entry in ledger.entries(kinds=("answer",))]


def place_of(child: pexpect.spawn) -> str:
    """Read on to the next item's prompt and return the key of its place."""
    child.expect(PLACE)
    place = f"{child.match[1]}/{child.match[2]}"
    child.expect("q stop\r\n> ")
    return place


@pytest.mark.parametrize("seed", range(15))
def test_killed_at_random_moments(full_house, seed: int) -> None:
    chance = random.Random(seed)
    items = full_house.basis().plan.items
    acknowledged: list[str] = []
    for kill in range(3):
        child = spawn(full_house)
        try:
            for _ in range(chance.randrange(1, 6)):
                place = place_of(child)
                assert place not in acknowledged, "asked twice"
                child.sendline("g")
                child.expect("GO recorded")
                acknowledged.append(place)
            place = place_of(child)
            assert place not in acknowledged, "asked twice"
            if kill % 2 == 0:  # in the middle of an answer: typed, and killed while it is being recorded
                child.sendline("g")
            time.sleep(chance.random() * 0.004)
        finally:
            child.kill(signal.SIGKILL)
            child.wait()
            child.close()
        on_disk = answered(full_house)
        assert len(set(on_disk)) == len(on_disk), "one item recorded twice"
        assert on_disk == [item.key for item in items[: len(on_disk)]]
        assert len(on_disk) - len(acknowledged) in (0, 1), "an acknowledged answer was lost"
        if len(on_disk) > len(acknowledged):  # recorded, and killed before it could be acknowledged
            acknowledged.append(place)
    child = spawn(full_house)
    child.expect("Resuming the walk begun")
    assert place_of(child) not in acknowledged
    child.sendline("q")
    child.expect("Stopped; every answer given is on disk")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 1


def test_ctrl_c_at_a_question_stops_without_a_traceback(small) -> None:
    child = spawn(small)
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
    child = spawn(small)
    for line in ("g", "g", "g", "65", "g"):
        place_of(child)
        child.sendline(line)
    child.expect("stage, go or no-go\\? ")
    child.sendline("go")
    child.expect("house-mixer, go or no-go\\? ")
    child.kill(signal.SIGKILL)
    child.wait()
    child.close()
    child = spawn(small)
    child.expect("stage: ✓ GO \\(said already\\)")
    for prompt, line in (
        ("house-mixer, go", "go"),
        ("lead, go", "go"),
        ("lead who signs", "L. Lead"),
        ("L. Lead, go", "go"),
    ):
        child.expect(prompt)
        child.sendline(line)
    child.expect("GO signed by L. Lead")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 0
