"""Where phantom power may still be on though nobody can switch it, and why that is not known."""

from __future__ import annotations

from pathlib import Path

import pytest
from rigs import BASE, resolved

from lint.resolve.lingering import BEHIND_DARK, BEHIND_DEAD, CONSOLE, DEAD, SHARED, STRANDED, UNREACHED

ON = "channels: {2: {phantom: on}, 3: {phantom: on}}\n"
CHOIR, PIANO = "west-box/in/2", "east-box/in/1"
# The choir is heard by a second console too, which takes it at its own socket.
SPLIT = ON + (
    "devices: {mon: {model: console-16}}\n"
    "splits: {stage: {kind: analogue, sources: [choir]}}\n"
    "sources: {choir: {plugged_into: [west-box/in/2, mon/in/2]}}\n"
    "consoles: {mon: {channels: {2: {carries: choir, patched_from: mon/in/2, phantom: on}}}}\n"
)


def dark(device: str) -> str:
    return f"devices: {{{device}: {{circuit: stage}}}}\npower: {{circuits: {{stage: {{dark: true}}}}}}\n"


def lingering(week: str, text: str = BASE, house: Path | None = None) -> dict[str, str]:
    return {str(at): why for at, why in resolved(text, week, house).phantom.lingering.items()}


@pytest.mark.parametrize(
    ("week", "where"),
    [
        ("", {}),
        ("dead: {west-box/in: no level}", {CHOIR: DEAD}),
        ("dead: {east-box/in/1: no level}", {PIANO: DEAD}),
        ("dead: {desk: no lamp}", {CHOIR: BEHIND_DEAD, PIANO: BEHIND_DEAD}),
        # What has no mains has no phantom power, what hangs behind it may.
        (dark("west-box"), {PIANO: BEHIND_DARK}),
        (dark("east-box"), {}),
        (dark("desk"), {CHOIR: BEHIND_DARK, PIANO: BEHIND_DARK}),
        ("cables: {crossing: null}", {PIANO: UNREACHED}),
        ("cables: {trunk: null}", {CHOIR: UNREACHED, PIANO: UNREACHED}),
        # Whatever the channel gets now, by the box that came into its place.
        (
            "cables: {trunk: null, crossing: {from: desk/link-1}}\n"
            "sources: {bell: {kind: player, plugged_into: east-box/in/2}}\n",
            {CHOIR: UNREACHED},
        ),
        # A box that a cable is lacking to has no dead console to be behind of.
        ("cables: {crossing: null}\ndead: {desk: no lamp}", {CHOIR: BEHIND_DEAD, PIANO: UNREACHED}),
        ("cables: {crossing: null}\n" + dark("east-box"), {}),
        ("cables: {trunk: null}\n" + dark("west-box"), {PIANO: UNREACHED}),
    ],
)
def test_where_it_may_be_on_and_why(week: str, where: dict[str, str]) -> None:
    assert lingering(ON + week) == where


def test_what_no_channel_has_on_is_off_behind_a_dead_console_too() -> None:
    week = "channels: {2: {phantom: on}, 3: {phantom: off}}\n"
    assert lingering(week + "cables: {trunk: null}") == {CHOIR: UNREACHED}
    assert lingering(week + "dead: {desk: no lamp}") == {CHOIR: BEHIND_DEAD}


def test_a_dead_console_may_have_it_on_at_its_own_sockets() -> None:
    assert lingering(SPLIT) == {}
    assert lingering(SPLIT + "dead: {mon: no lamp}") == {"mon/in/2": CONSOLE}


def test_a_channel_that_hears_another_leg_does_not_wait_for_the_box_that_nobody_reaches() -> None:
    lost = SPLIT + "cables: {trunk: null}"
    assert lingering(lost) == {CHOIR: UNREACHED, PIANO: UNREACHED}
    hears = lost.replace("2: {phantom: on}", "2: {phantom: on, patched_from: desk/in/2}")
    assert lingering(hears.replace("mon/in/2]", "mon/in/2, desk/in/2]")) == {PIANO: UNREACHED}


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """A house whose small box switches phantom power in fours."""
    (tmp_path / "models").mkdir()
    (tmp_path / "models/quad-box.yaml").write_text(
        "model_format: 1\nkind: stage-box\ntitle: small box with phantom power in fours\n"
        "inputs: {count: 8, phantom: groups, phantom_group_size: 4}\n"
        "outputs: {count: 8, addressed: by-selector, selector: [1-8, 9-16]}\n"
        "chain: {slots: {48000: 40}, cable_kind: cat5e, cable_shielded: true, max_cable_m: 80}\n",
        encoding="utf-8",
    )
    return tmp_path


def test_a_switch_of_several_sockets_is_on_at_all_of_them(house: Path) -> None:
    text = BASE.replace("stage-box-8x8", "quad-box")
    fours = [f"east-box/in/{number}" for number in range(1, 5)]
    assert lingering(ON + "cables: {crossing: null}", text, house) == dict.fromkeys(fours, UNREACHED)
    one_dead = lingering(ON + "dead: {east-box/in/1: no level}", text, house)
    assert one_dead == {fours[0]: DEAD} | dict.fromkeys(fours[1:], SHARED)


def test_only_what_a_dead_socket_shares_its_switch_with_can_be_told_by_its_own_channel() -> None:
    assert not {DEAD, SHARED} & STRANDED
    assert {CONSOLE, BEHIND_DEAD, BEHIND_DARK, UNREACHED} == STRANDED
    assert UNREACHED == "no console reaches it"  # as a sheet says it
