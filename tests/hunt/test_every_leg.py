"""Where plugs of a leak go back, phantom power is off at each leg of what is plugged there, and the words fit the work."""

from __future__ import annotations

import pytest
from rigs import BASE, resolved
from test_every_cause import begun
from test_once_lit import TWO_ENDS
from test_unlit import leak_cure

from lint.cli.hunt_noted import name_of
from lint.hunt.causes import DEAD, WRONG
from lint.hunt.hunt import CARRY_ON, Question
from lint.hunt.target import target_of
from lint.hunt.terminal import PUT_BACK, care_of
from lint.walk.screen import Screen


@pytest.mark.parametrize(
    ("what", "at", "by"),
    [
        ("band", "ears", "channel 1 on mon and channel 2 on desk"),
        ("ears-mix", "hall", "channels 2, 17, 25 on desk and channel 1 on mon"),
    ],
)
def test_each_leg_of_what_is_plugged_again_has_its_phantom_power_off(what: str, at: str, by: str) -> None:
    text, _ = leak_cure(resolved(TWO_ENDS), what, at, "input-other")
    assert f"phantom power off at all of them by {by}, wait ten seconds; plug into" in text


def test_of_a_mix_that_leaks_the_loudspeakers_are_named() -> None:
    text, _ = leak_cure(resolved(TWO_ENDS), "band", "ears", "spill")
    assert "the microphones near its loudspeakers (wedge), or move" in text


def test_before_link_cables_move_no_sockets_are_spoken_of() -> None:
    rig = resolved(BASE)
    suspects = begun(rig, target_of(rig, "vocal"), WRONG).suspects
    (row,) = [row for row in suspects if row.cause.name == "chain-order"]
    asked = Question("cured", "", "", handles=True, suspect=row, part=row.part)
    assert care_of(asked).startswith("Before a link cable moves: all down, muted and off by the words below.")
    back = care_of(asked, PUT_BACK)
    assert back == (
        "turn everything down, ears out, mute channels 1–3 on desk; cable the boxes as they were, bring up slowly."
    )


def test_what_hangs_on_the_same_circuit_may_be_without_mains_too() -> None:
    rig = resolved(TWO_ENDS)
    rows = {row.part.name: row for row in begun(rig, target_of(rig, "choir"), DEAD).suspects
            if row.cause.name == "box-dark"}  # fmt: skip
    told = rows["box side"].filled(CARRY_ON)
    assert told.endswith(
        "says how to carry on without side; if all on the circuit (far too) is dark, `rigwalk spares RIG gallery`"
    )
    assert "if all on" not in rows["box near"].filled(CARRY_ON)


def test_what_was_typed_ahead_is_no_name(monkeypatch: pytest.MonkeyPatch) -> None:
    done: list[str] = []
    screen = Screen()
    monkeypatch.setattr(screen, "forget_typed", lambda: done.append("forgotten"))
    monkeypatch.setattr(screen, "ask", lambda prompt: done.append(prompt.split(",")[0]) or "Kim")
    assert name_of(screen, by_press=True) == "Kim"
    assert done == ["forgotten", "Your name"]
    assert name_of(screen, by_press=False) == "Kim"
    assert done[2:] == ["Your name"]
