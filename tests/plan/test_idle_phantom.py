"""A channel that had phantom power on for its neighbours alone: it is left off where these are not beside it."""

from __future__ import annotations

from typing import Any

import pytest
from test_dead_sockets import Saved, saved
from test_second_console import changed

from lint.report.spares import steps_of
from lint.rig.address import Socket

__all__ = ["saved"]  # a fixture

# The drum shares the switch of box-b/in/3-4 with a piano that needs it on; box-a, which is first, has one a socket.
BESIDE_A_PIANO: dict[str, Any] = changed((("channels", "6", "phantom"), "on"), (("sources", "horn", "priority"), 1))
BESIDE_A_PIANO["sources"]["piano"] = {"kind": "condenser-microphone", "plugged_into": "box-b/in/4"}
BESIDE_A_PIANO["channels"]["7"] = {"carries": "piano", "patched_from": "desk/link-1/8", "phantom": "on"}
OFF = "leave phantom power off on channel 6 on desk: it was on for others on the same switch, and drum needs none"


def phantom(rescue: Any) -> str | None:
    state: str | None = rescue.cure.result.rig.channels["desk", 6].phantom
    return state


def test_it_is_left_off_on_a_switch_of_its_own(saved: Saved) -> None:
    spared = saved("box-b", BESIDE_A_PIANO)
    places = {plug.source: socket for plug, socket in spared.rescue.places.items()}
    assert places["drum"].device in ("box-a", "desk")
    steps = steps_of(spared.outage, spared.rescue)
    assert OFF in steps
    (again,) = [step for step in steps if step.startswith("switch phantom power on again")]
    assert "6" not in again
    assert phantom(spared.rescue) == "off"
    assert not spared.rescue.cure.result.phantom.is_live(places["drum"])


@pytest.mark.parametrize("kind", ["condenser-microphone", "active-di"])
def test_what_needs_it_has_it_again(saved: Saved, kind: str) -> None:
    data = {**BESIDE_A_PIANO, "sources": {**BESIDE_A_PIANO["sources"]}}
    data["sources"]["drum"] = {"kind": kind, "plugged_into": "box-b/in/3"}
    assert phantom(saved("box-b", data).rescue) == "on"


def test_where_it_had_it_on_of_its_own_accord_it_has_it_again(saved: Saved) -> None:
    data = {**BESIDE_A_PIANO, "sources": {**BESIDE_A_PIANO["sources"]}}
    data["sources"]["piano"] = {"kind": "dynamic-microphone", "plugged_into": "box-b/in/4"}
    assert phantom(saved("box-b", data).rescue) == "on"


def test_where_a_neighbour_needs_it_again_it_comes_on(saved: Saved) -> None:
    """The sockets are dead, and the other switch of the box is free: both go there together."""
    data = {**BESIDE_A_PIANO, "sources": {**BESIDE_A_PIANO["sources"]}}
    del data["sources"]["horn"]
    data["channels"] = {key: row for key, row in data["channels"].items() if key != "5"}
    data["mixes"] = {"house": {"kind": "house", "takes": {"channels": [1, 2, 3, 6]}}}
    for index, socket in enumerate(("box-a/in/4", "desk/in/1", "desk/in/2")):
        data["sources"][f"pad-{index}"] = {"kind": "player", "plugged_into": socket, "priority": 1}
    rescue = saved("box-b/in/3-4", data).rescue
    assert set(rescue.places.values()) == {Socket("box-b", "in", 1), Socket("box-b", "in", 2)}
    assert phantom(rescue) == "on"


def test_where_another_on_the_new_switch_has_it_on_no_switch_is_asked_for_two_states(saved: Saved) -> None:
    """The oboe's channel has it on of its own accord: the drum that comes to its switch has it on again as before."""
    data = {**BESIDE_A_PIANO, "sources": {**BESIDE_A_PIANO["sources"]}, "devices": {**BESIDE_A_PIANO["devices"]}}
    data["devices"]["box-a"] = {"model": "grouped-4x2", "output_bank": "1-2"}
    data["sources"]["oboe"] = {"kind": "dynamic-microphone", "plugged_into": "box-a/in/3"}
    for index, socket in enumerate(("desk/in/1", "desk/in/2")):
        data["sources"][f"pad-{index}"] = {"kind": "player", "plugged_into": socket, "priority": 1}
    data["sources"]["piano"] = {**data["sources"]["piano"], "priority": 9}
    data["sources"]["drum"] = {**data["sources"]["drum"], "priority": 1}
    data["sources"]["horn"] = {"kind": "dynamic-microphone", "plugged_into": "box-b/in/1", "priority": 9}
    spared = saved("box-b", data)
    assert spared.rescue.places
    assert {plug.source: str(at) for plug, at in spared.rescue.places.items()}["drum"] == "box-a/in/4"
    assert phantom(spared.rescue) == "on"
    assert "phantom-group" not in {finding.rule for finding in spared.checked.findings}
