"""Mix-ups: which wrong arrivals and outputs are one, and the changes that put them right, in words and as patches."""

from __future__ import annotations

import pytest
from rigs import BASE, resolved

from lint.resolve.mixup import channel_mixups, feed_changes, merged, nested, output_mixups, patch_change, plug_change
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import OutputPoint, Port, Signal, Slot, Socket

LINK = Port("desk", "link-1")
WEDGE, LEFT = Signal("mix", "wedge-mix"), Signal("mix", "house", "left")


def groups(rig: ResolvedRig) -> list[list[tuple[str, int]]]:
    return [[(row.channel.console, row.channel.number) for row in group] for group in channel_mixups(rig)]


# What is wrong, the channels that are one cause, and what the plugs should do; None where only the patch can be changed.
PLUGS = {
    "two plugs swapped": (
        "sources: {vocal: {plugged_into: west-box/in/2}, choir: {plugged_into: west-box/in/1}}",
        [[("desk", 1), ("desk", 2)]],
        "move the plugs: vocal to west-box/in/1, choir to west-box/in/2",
    ),
    "three plugs gone round, across boxes": (
        "sources: {vocal: {plugged_into: west-box/in/2}, choir: {plugged_into: east-box/in/1},\n"
        " piano: {plugged_into: west-box/in/1}}",
        [[("desk", 1), ("desk", 2), ("desk", 3)]],
        "move the plugs: vocal to west-box/in/1, choir to west-box/in/2, piano to east-box/in/1",
    ),
    "one plug beside its socket": (
        "sources: {vocal: {plugged_into: west-box/in/3}}",
        [[("desk", 1)]],
        "move the plug of vocal to west-box/in/1",
    ),
    "one channel on another's slot: the plug there must stay": (
        "channels: {1: {patched_from: desk/link-1/2}}",
        [[("desk", 1)]],
        None,
    ),
    "one channel past the chain: there is no socket": (
        "channels: {1: {patched_from: desk/link-1/30}}",
        [[("desk", 1)]],
        None,
    ),
    "three channels off by as many slots": (
        "channels: {1: {patched_from: desk/link-1/3}, 2: {patched_from: desk/link-1/4}, 3: {patched_from: desk/link-1/19}}",
        [[("desk", 1), ("desk", 2), ("desk", 3)]],
        "move the plugs: vocal to west-box/in/3, choir to west-box/in/4, piano to east-box/in/3",
    ),
    "channels off by different numbers of slots": (
        "channels: {1: {patched_from: desk/link-1/3}, 2: {patched_from: desk/link-1/5}, 3: {patched_from: desk/link-1/22}}",
        [[("desk", 1)], [("desk", 2)], [("desk", 3)]],
        "move the plug of vocal to west-box/in/3",
    ),
    "a second console without a split: the source is heard rightly where it is": (
        "devices: {mon: {model: console-16}}\nconsoles: {mon: {channels: {1: {carries: vocal, patched_from: mon/in/1}}}}",
        [[("mon", 1)]],
        None,
    ),
    "a declared split of which the other leg lies there": (
        "devices: {mon: {model: console-16}}\nsplits: {wires: {kind: analogue, sources: [vocal]}}\n"
        "consoles: {mon: {channels: {1: {carries: vocal, patched_from: mon/in/1}}}}",
        [[("mon", 1)]],
        "plug the other leg of vocal's split into mon/in/1",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", PLUGS)
def test_what_is_one_cause_and_how_its_plugs_should_move(name: str) -> None:
    week, one_cause, words = PLUGS[name]
    rig = resolved(BASE, week)
    assert groups(rig) == one_cause
    change = plug_change(rig, channel_mixups(rig)[0])
    assert (change and change[0]) == words


def test_a_leg_and_a_plug_that_are_one_cause_are_said_in_one_sentence() -> None:
    week = (
        "devices: {mon: {model: console-16}}\nsplits: {wires: {kind: analogue, sources: [vocal]}}\n"
        "sources: {choir: {plugged_into: mon/in/1}}\n"
        "consoles: {mon: {channels: {1: {carries: vocal, patched_from: mon/in/1}}}}"
    )
    rig = resolved(BASE, week)
    (group,) = channel_mixups(rig)
    assert plug_change(rig, group) == (
        "plug the other leg of vocal's split into mon/in/1, and move the plug of choir to west-box/in/2",
        {
            "sources": {
                "vocal": {"plugged_into": ["west-box/in/1", "mon/in/1"]},
                "choir": {"plugged_into": "west-box/in/2"},
            }
        },
    )


def test_a_channel_is_patched_from_where_its_source_is() -> None:
    rig = resolved(BASE, "channels: {1: {patched_from: desk/link-1/2}}")
    assert patch_change(rig, rig.arrivals["desk", 1]) == (
        "patch channel 1 from desk/link-1/1",
        {"channels": {"1": {"patched_from": "desk/link-1/1"}}},
    )
    two = "devices: {mon: {model: console-16}}\nconsoles: {mon: {channels: {1: {carries: vocal, patched_from: mon/in/1}}}}"
    rig = resolved(BASE, two)
    assert patch_change(rig, rig.arrivals["mon", 1]) is None, "no cable leads from its socket to that console"
    local = resolved(BASE, two + "\nsources: {vocal: {plugged_into: mon/in/2}}")
    assert patch_change(local, local.arrivals["mon", 1]) == (
        "patch channel 1 on mon from mon/in/2",
        {"consoles": {"mon": {"channels": {"1": {"patched_from": "mon/in/2"}}}}},
    )
    effects = (
        "mixes: {send: {kind: effects}}\neffects: {plate: {fed_by: send}}\nchannels: {1: {carries: effects/plate.left}}"
    )
    rig = resolved(BASE, effects)
    assert patch_change(rig, rig.arrivals["desk", 1]) == (
        "patch channel 1 from effects/plate.left",
        {"channels": {"1": {"patched_from": "effects/plate.left"}}},
    )
    past = resolved(BASE, "sources: {vocal: {plugged_into: west-box/in/17}}")
    assert patch_change(past, past.arrivals["desk", 1]) is None


COPIED = "feeds: {desk/out: {1-4: {same_as: desk/link-1/13-16}, 5-6: channel/1}}"


@pytest.mark.parametrize(
    ("week", "wanted", "change"),
    [
        ("", {Slot(LINK, 1): None}, {"desk/link-1": {"1": None}}),
        ("", {Slot(LINK, 7): None}, {"desk/link-1": {}}),
        ("", {Slot(LINK, 15): WEDGE}, {"desk/link-1": {"15-16": None, "15": "wedge-mix", "16": "house.right"}}),
        ("", {Slot(LINK, 15): None}, {"desk/link-1": {"15-16": None, "16": "house.right"}}),
        (
            "",
            {Slot(LINK, 2): Signal("channel", "desk/3"), Socket("desk", "out", 4): LEFT},
            {"desk/link-1": {"2": "channel/3"}, "desk/out": {"4": "house.left"}},
        ),
        (
            COPIED,
            {Socket("desk", "out", 3): WEDGE},
            {
                "desk/out": {
                    "1-4": None,
                    "1": {"same_as": "desk/link-1/13"},
                    "2": {"same_as": "desk/link-1/14"},
                    "3": "wedge-mix",
                    "4": {"same_as": "desk/link-1/16"},
                }
            },
        ),
        (COPIED, {Socket("desk", "out", 5): None}, {"desk/out": {"5-6": None, "6": "channel/1"}}),
    ],
)
def test_a_range_is_written_out_so_that_the_rest_of_it_stays(
    week: str, wanted: dict[OutputPoint, Signal | None], change: dict[str, object]
) -> None:
    assert feed_changes(resolved(BASE, week), wanted) == {"feeds": change}


def test_wrong_outputs_are_one_by_what_they_exchange_share_or_miss() -> None:
    def one_cause(week: str) -> list[list[str]]:
        return [[row.destination.name for row in group] for group in output_mixups(resolved(BASE, week))]

    sides = "destinations: {left: {plugged_into: east-box/out/8}, right: {plugged_into: east-box/out/7}}"
    assert one_cause(sides) == [["left", "right"]], "each gets what the other should"
    assert one_cause("feeds: {desk/link-1: {15-16: null}}") == [["left", "right"]], "two sides of what is not sent"
    second = "destinations: {second: {kind: wedge, plugged_into: west-box/out/2, expects: wedge-mix}}\n"
    alone = second + "feeds: {desk/link-1: {1: house.mono, 2: house.mono}}"
    assert one_cause(alone) == [["wedge"], ["second"]], "two outputs, each sent the wrong mix"
    copied = (
        second + "feeds: {desk/out: {1: house.mono}, desk/link-1: {1: {same_as: desk/out/1}, 2: {same_as: desk/out/1}}}"
    )
    assert one_cause(copied) == [["wedge", "second"]], "both repeat one output"


def test_a_selector_is_the_cause_where_it_puts_all_right_and_no_plugs_were_exchanged() -> None:
    rig = resolved(BASE, "devices: {east-box: {output_bank: 17-24}}")
    assert [[row.destination.name for row in group] for group in output_mixups(rig)] == [["left", "right"]]
    exchanged = (
        "mixes: {second-mix: {kind: monitor}}\nfeeds: {desk/link-1: {1: second-mix, 9: wedge-mix}}\n"
        "destinations: {second: {kind: wedge, plugged_into: east-box/out/1, expects: second-mix}}"
    )
    rig = resolved(BASE, exchanged)
    assert rig.banks_that_fit("west-box") == ["9-16"]
    assert [[row.destination.name for row in group] for group in output_mixups(rig)] == [["wedge", "second"]]


def test_patches_are_nested_and_merged() -> None:
    assert nested(("a", 1, "b"), None) == {"a": {"1": {"b": None}}}
    assert merged([nested(("a", "b"), 1), nested(("a", "c", "d"), 2), nested(("a", "c", "e"), 3)]) == {
        "a": {"b": 1, "c": {"d": 2, "e": 3}}
    }
    assert merged([nested(("a",), 1), nested(("a", "b"), 2)]) == {"a": {"b": 2}}
    assert merged([]) == {}
