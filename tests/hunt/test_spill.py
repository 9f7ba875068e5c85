"""A mix that microphones pick up from its loudspeakers and that is heard in another mix of the same console."""

from __future__ import annotations

import pytest
from crew import Crew, hunted
from rigs import BASE, resolved
from test_every_cause import begun

from lint.hunt.causes import ELSEWHERE
from lint.hunt.hunt import Suspect
from lint.hunt.target import leak_of
from lint.resolve.resolved import ResolvedRig

TALK = """
mixes: {wedge-mix: {takes: {channels: [3]}}, rec: {kind: record, takes: {channels: [1]}}}
feeds: {desk/out: {1: rec}}
destinations: {tape: {kind: recorder, plugged_into: desk/out/1, expects: rec}}
"""


def spill(rig: ResolvedRig, what: str, at: str) -> list[Suspect]:
    return [row for row in begun(rig, leak_of(rig, what, at), ELSEWHERE).suspects if row.cause.name == "spill"]


def test_what_a_mix_takes_is_turned_down_and_not_muted_since_the_other_takes_it_too() -> None:
    (row,) = spill(resolved(BASE), "house", "wedge")
    assert row.filled(row.cause.look) == (
        "On desk, turn down what goes to wedge-mix from channel 1 for a moment: is house still heard at wedge?"
    )
    assert row.filled(row.cause.cure).startswith(
        "turn down in wedge-mix the microphones near its loudspeakers (left, right), or move them away from there"
    )


@pytest.mark.parametrize(
    ("week", "what", "at"),
    [
        ("mixes: {wedge-mix: {takes: {channels: [3]}}}", "house", "wedge"),  # no microphone is in it
        ("", "wedge-mix", "left"),  # its sends may be behind the faders that would be turned down
        (TALK, "rec", "left"),  # no loudspeaker sounds with it
        (
            "mixes: {house: {takes: {mixes: [wedge-mix]}}}",
            "house",
            "wedge",
        ),  # it takes the one that would be turned down
    ],
)
def test_where_the_test_would_tell_nothing_it_is_no_suspect(week: str, what: str, at: str) -> None:
    assert not spill(resolved(BASE, week), what, at)


def test_before_the_faders_it_is_told_from_every_other_cause() -> None:
    rig = resolved(BASE, "mixes: {wedge-mix: {takes: {channels: {1: {tap: pre-fader}}}}}")
    for what, at in (("wedge-mix", "left"), ("house", "wedge")):
        target = leak_of(rig, what, at)
        start = begun(rig, target, ELSEWHERE)
        assert "spill" in {row.cause.name for row in start.suspects}
        for fault in start.suspects:
            end, _, _ = hunted(start, Crew(rig, target, fault))
            assert end.found is not None
            assert end.found.key == fault.key
