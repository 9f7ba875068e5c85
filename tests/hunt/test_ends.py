"""Another in the place of an end: plugs are swapped before anything is carried, and nobody is left silent untold."""

from __future__ import annotations

import pytest
from rigs import BASE, resolved

from lint.hunt.causes import DISTORTED
from lint.hunt.path import path_of
from lint.hunt.target import target_of
from lint.resolve.resolved import ResolvedRig

OUTFIT = """
destinations:
  tape: {kind: recorder, plugged_into: west-box/out/3}
  disc: {kind: recorder, plugged_into: west-box/out/4}
  fill: {kind: fill-loudspeaker, plugged_into: west-box/out/5}
amplifiers:
  one: {plugged_into: east-box/out/5, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}
  two: {plugged_into: east-box/out/6, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}
"""
HANDLED = "only by whoever may lift, hang and rig it"


def told(rig: ResolvedRig, what: str, name: str) -> tuple[str, str]:
    """Return the look and the cure of a cause at the end of a path."""
    (found,) = [
        (cause.look.format(**part.words), cause.cure.format(**part.words))
        for part in path_of(rig, target_of(rig, what))
        for cause in part.causes(DISTORTED)
        if cause.name == name
    ]
    return found


def test_of_two_loudspeakers_the_signal_plugs_are_swapped_and_the_other_one_has_its_own_again() -> None:
    look, cure = told(resolved(BASE), "left", "destination-broken")
    assert look == (
        "Turn left and right down and swap their signal plugs at the loudspeakers, by longer cables that work where they do "
        "not reach; turn right up slowly: is what belongs at left right there?"
    )
    assert cure == (
        "turn both down, plug right in as it was and turn it up slowly; label left broken and take it out of use: its place "
        f"has none until another stands there, moved {HANDLED}"
    )


def test_what_is_put_in_place_of_a_recorder_is_missed_where_it_was() -> None:
    look, cure = told(resolved(BASE, OUTFIT), "tape", "destination-broken")
    assert "put another recorder that works (such as disc) in its place: is that right?" in look
    assert cure.endswith("; was it disc, then the place of disc has none until another is found")


def test_an_amplifier_is_lent_and_lifted_in_words() -> None:
    look, cure = told(resolved(BASE, OUTFIT), "one", "amplifier-broken")
    assert f"in its place (moved {HANDLED}, and off before a mains plug is pulled)" in look
    assert cure.endswith("; was it two, then the place of two has none until another is found")
    look, cure = told(resolved(BASE, OUTFIT), "one", "speaker-broken")
    assert HANDLED in look
    assert "was it" not in cure


def test_a_lone_loudspeaker_is_left_to_who_may_handle_it() -> None:
    look, cure = told(resolved(BASE, OUTFIT), "fill", "destination-broken")
    assert f"(none in this rig; s if the house has none) in its place (moved {HANDLED}, and off" in look
    assert cure == "leave the other one there; label fill broken and take it out of use"


@pytest.mark.parametrize(
    "week",
    [
        "power: {circuits: {stage: {dark: true}, hall: {}}}\ndestinations: {right: {circuit: stage}, left: {circuit: hall}}",
        "destinations: {left: {watts: 400}}",  # the other one hangs on an amplifier
    ],
)
def test_no_loudspeaker_is_named_that_is_dark_or_of_another_make(week: str) -> None:
    look, cure = told(resolved(BASE, week), "left", "destination-broken")
    assert "right down" not in look
    assert "(none in this rig; s if the house has none)" in look
    assert "was it" not in cure
