"""What a question and its cure name: who is awake to be muted, what has a battery, what shares a switch."""

from __future__ import annotations

from pathlib import Path

import pytest
from rigs import BASE, resolved
from test_every_cause import begun

from lint.hunt.causes import DEAD
from lint.hunt.hunt import Suspect
from lint.hunt.target import target_of
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import load_rig

HALL = Path(__file__).parent / "powered-legs" / "rigs" / "hall.yaml"
TWO = """
splits: {wires: {kind: analogue, sources: [vocal]}}
devices: {mon: {model: console-16, circuit: side}}
sources: {vocal: {plugged_into: [west-box/in/1, mon/in/1]}}
consoles: {mon: {channels: {1: {carries: vocal, patched_from: mon/in/1}}}}
"""


def the(rig: ResolvedRig, what: str, cause: str, at: str | None = None) -> Suspect:
    (row, *_) = [row for row in begun(rig, target_of(rig, what, at), DEAD).suspects if row.cause.name == cause]
    return row


def test_nobody_is_sent_to_mute_a_channel_of_a_console_that_is_dark_or_dead() -> None:
    for away, muted in (
        ("power: {circuits: {side: {}}}", "mute channel 1 on desk and channel 1 on mon,"),
        ("power: {circuits: {side: {dark: true}}}", "mute channel 1 on desk,"),
        ("power: {circuits: {side: {}}}\ndead: {mon: no picture}", "mute channel 1 on desk,"),
    ):
        row = the(resolved(BASE, f"{TWO}{away}"), "vocal", "source-off")
        assert row.filled(row.cause.cure).startswith(muted)


def test_as_long_as_a_console_is_dark_its_own_channels_are_not_muted() -> None:
    rig = resolved(BASE, "channels: {2: {phantom: on}}")
    row = the(rig, "choir", "console-dark")
    assert row.part.name == "console desk"
    cure = row.filled(row.cause.cure)
    assert cure.startswith("turn down all on desk (wedge, left, right), monitors and house, ears out; then see")
    assert cure.endswith("; wait ten seconds, bring all up again slowly")


@pytest.mark.parametrize(
    ("kind", "battery"), [("passive-di", "its battery fresh"), ("active-di", "the battery of either")]
)
def test_a_passive_di_box_has_no_battery(kind: str, battery: str) -> None:
    row = the(resolved(BASE, f"sources: {{piano: {{kind: {kind}}}}}"), "piano", "instrument-off")
    assert battery in row.filled(row.cause.look)


def test_who_hangs_on_a_switch_is_named_before_it_is_turned() -> None:
    rig = resolve_rig(load_rig(HALL))
    row = the(rig, "violin", "phantom-off")
    assert "on (the same switch acts on harp-l and harp-r), wait ten seconds" in row.filled(row.cause.cure)
    alone = the(resolved(BASE), "choir", "phantom-off")
    assert "the same switch" not in alone.filled(alone.cause.cure)


def test_where_a_console_is_dead_its_patch_goes_back_as_it_was() -> None:
    rig = resolved(BASE, f"{TWO}dead: {{desk: no picture}}")
    backs = [row.filled(row.cause.back) for row in begun(rig, target_of(rig, "choir"), DEAD).suspects]
    assert any("patch channel 2 on desk as it was" in back for back in backs)
    assert not any("None" in back for back in backs)
