"""Names that stand for nothing, and ranges that do not fit: every message in full, one a cause, at its place."""

from __future__ import annotations

import pytest

from lint.check.example import FILE, example_document
from lint.read.problem import CannotReadError
from lint.read.schema import require_valid
from lint.rig.address import Port, Signal, Slot, Socket
from lint.rig.build import build_rig
from lint.rig.model import Models
from lint.rig.rig import Rig

# A fragment on the example rig, and the problems as line:column: message.
WRONG = [
    (
        "devices: {east-box: {model: stage-box-8x9}}",
        ["1:29: devices/east-box/model: no model is called 'stage-box-8x9'; did you mean 'stage-box-8x8'?"],
    ),
    (
        "devices: {east-box: {output_bank: 16-9}}",
        ["1:35: devices/east-box/output_bank: found the range 16-9, which runs backwards; expected 9-16"],
    ),
    (
        "power: {circuits: {left: {volts: 230}}}\ndevices: {desk: {circuit: lft}}",
        ["2:27: devices/desk/circuit: no circuit is called 'lft'; did you mean 'left'?"],
    ),
    (
        "cables: {trunk: {to: wst-box/upstream}}",
        ["1:22: cables/trunk/to: no device is called 'wst-box'; did you mean 'west-box'?"],
    ),
    (
        "cables: {trunk: {to: west-box/upstrem}}",
        ["1:22: cables/trunk/to: west-box (stage-box-16x8) has no port 'upstrem'; did you mean 'upstream'?"],
    ),
    (
        "cables: {trunk: {from: desk/link-3}}",
        ["1:24: cables/trunk/from: desk (console-32) has no port 'link-3'; did you mean 'link-2'?"],
    ),
    (
        "cables: {trunk: {from: west-box/upstream}}",
        ["1:10: cables/trunk: both ends are west-box/upstream; a cable has two ends"],
    ),
    (
        "sources: {choir: {plugged_into: wets-box/in/2}}",
        ["1:33: sources/choir/plugged_into: no device is called 'wets-box'; did you mean 'west-box'?"],
    ),
    (
        "sources: {choir: {plugged_into: [west-box/in/2, west-box/in/3]}}",
        ["1:19: sources/choir/plugged_into: choir is plugged into 2 sockets; declare its splitter under splits/"],
    ),
    (
        "splits: {s: {kind: analogue, sources: [chior]}}",
        ["1:40: splits/s/sources/[1]: no source is called 'chior'; did you mean 'choir'?"],
    ),
    (
        "splits: {s: {kind: link, from: west-box/upstream, to: desk/link-2}}",
        ["1:32: splits/s/from: west-box/upstream is not a port of a console"],
    ),
    (
        "channels: {2: {carries: chior}}",
        ["1:25: channels/2/carries: no source is called 'chior'; did you mean 'choir'?"],
    ),
    (
        "channels: {2: {patched_from: west-box/in/2}}",
        [
            "1:30: channels/2/patched_from: west-box/in/2 is not on desk; patch from desk's own link slots or input sockets"
        ],
    ),
    (
        "channels: {2: {patched_from: desk/out/2}}",
        ["1:30: channels/2/patched_from: desk/out/2 is an output; expected an input such as desk/in/2"],
    ),
    (
        "channels: {2: {patched_from: desk/link-9/2}}",
        ["1:30: channels/2/patched_from: desk (console-32) has no port 'link-9'; did you mean 'link-2'?"],
    ),
    (
        "channels: {2: {patched_from: effects/plate}}",
        ["1:30: channels/2/patched_from: no effects unit is called 'plate'"],
    ),
    ("channels: {2: {carries: effects/plate}}", ["1:25: channels/2/carries: no effects unit is called 'plate'"]),
    ("channels: {2: {doubles: 9}}", ["1:25: channels/2/doubles: there is no channel 9 on desk"]),
    (
        "mixes: {house: {takes: {channels: [1-3, 2]}}}",
        ["1:41: mixes/house/takes/channels/[2]: channel 2 is named twice here"],
    ),
    (
        "mixes: {house: {takes: {channels: [9]}}}",
        [
            "1:36: mixes/house/takes/channels/[1]: this rig has no channel 9; add it under channels, or leave it out of "
            "the list, or write a range, which leaves out what nobody uses"
        ],
    ),
    (
        "mixes: {singer-mon: {takes: {channels: {9: {}}}}}",
        [
            "1:41: mixes/singer-mon/takes/channels/9: this rig has no channel 9; add it under channels, or write "
            "9: null here in a week's file"
        ],
    ),
    (
        "mixes: {house: {takes: {channels: [1-2, 3-99]}}}",
        ["1:41: mixes/house/takes/channels/[2]: desk has channels 1-32"],
    ),
    (
        "mixes: {house: {takes: {channels: {1-99: {level_db: -3}}}}}",
        ["1:36: mixes/house/takes/channels/1-99: desk has channels 1-32"],
    ),
    (
        "mixes: {house: {takes: {channels: [3-1]}}}",
        ["1:36: mixes/house/takes/channels/[1]: found the range 3-1, which runs backwards; expected 1-3"],
    ),
    (
        "mixes: {house: {takes: {mixes: [hose]}}}",
        ["1:33: mixes/house/takes/mixes/[1]: no mix is called 'hose'; did you mean 'house'?"],
    ),
    (
        "mixes: {house: {takes: {mixes: [singer-mon.left]}}}",
        ["1:33: mixes/house/takes/mixes/[1]: the mix singer-mon is mono, so it has no side 'left'; say singer-mon"],
    ),
    (
        "mixes: {house: {takes: {mixes: [channel/9]}}}",
        ["1:33: mixes/house/takes/mixes/[1]: there is no channel 9 on desk"],
    ),
    (
        "effects: {plate: {fed_by: send}}",
        ["1:27: effects/plate/fed_by: no mix is called 'send'; known here: house, singer-mon"],
    ),
    (
        "feeds: {desk/link-1: {2: singr-mon}}",
        ["1:26: feeds/desk/link-1/2: no mix is called 'singr-mon'; did you mean 'singer-mon'?"],
    ),
    (
        "feeds: {desk/link-1: {2: house}}",
        [
            "1:26: feeds/desk/link-1/2: the mix house is stereo; say house.left, house.right or house.mono, or give it two outputs"
        ],
    ),
    ("feeds: {desk/link-1: {15: house.left}}", ["1:23: feeds/desk/link-1/15: desk/link-1/15 is fed twice"]),
    (
        "feeds: {desk/link-4: {15: house.left}}",
        ["1:9: feeds/desk/link-4: desk (console-32) has no port 'link-4'; did you mean 'link-2'?"],
    ),
    (
        "feeds: {west-box/out: {1: house.left}}",
        ["1:9: feeds/west-box/out: west-box is no console, so it sends nothing of its own"],
    ),
    ("feeds: {dsk/out: {1: house.left}}", ["1:9: feeds/dsk/out: no device is called 'dsk'; did you mean 'desk'?"]),
    (
        "feeds: {desk/out: {3-1: house}}",
        ["1:20: feeds/desk/out/3-1: found the range 3-1, which runs backwards; expected 1-3"],
    ),
    (
        "feeds: {desk/out: {1-2: {same_as: desk/link-1/15-17}}}",
        ["1:35: feeds/desk/out/1-2/same_as: 2 outputs can't be the same as 3 (desk/link-1/15-17)"],
    ),
    (
        "feeds: {desk/out: {1: {same_as: desk/out/1}}}",
        ["1:33: feeds/desk/out/1/same_as: desk/out/1 is the same as itself: same_as goes round in a ring"],
    ),
    (
        "feeds: {desk/out: {1: {same_as: desk/out/2}, 2: {same_as: desk/out/1}}}",
        [
            "1:33: feeds/desk/out/1/same_as: desk/out/1 is the same as itself: same_as goes round in a ring",
            "1:59: feeds/desk/out/2/same_as: desk/out/2 is the same as itself: same_as goes round in a ring",
        ],
    ),
    ("feeds: {desk/out: {1: channel/9}}", ["1:23: feeds/desk/out/1: there is no channel 9 on desk"]),
    (
        "destinations: {house-left: {expects: house}}",
        [
            "1:38: destinations/house-left/expects: the mix house is stereo; say house.left, house.right or house.mono, or give it two outputs"
        ],
    ),
    (
        "destinations: {house-left: {expects: hous.left}}",
        ["1:38: destinations/house-left/expects: no mix is called 'hous'; did you mean 'house'?"],
    ),
    (
        "destinations: {house-left: {plugged_into: est-box/out/7}}",
        ["1:43: destinations/house-left/plugged_into: no device is called 'est-box'; did you mean 'west-box'?"],
    ),
    (
        "destinations: {house-left: {plugged_into: east-box/out/8-7}}",
        ["1:43: destinations/house-left/plugged_into: found the range 8-7, which runs backwards; expected 7-8"],
    ),
    (
        "pairs: {keys: {left: choir, right: pinao}}",
        ["1:36: pairs/keys/right: no source is called 'pinao'; did you mean 'piano'?"],
    ),
    ("clock: {leader: dsk}", ["1:17: clock/leader: no device is called 'dsk'; did you mean 'desk'?"]),
    (
        "clock: {leader: [desk, est-box]}",
        ["1:24: clock/leader/[2]: no device is called 'est-box'; did you mean 'west-box'?"],
    ),
    ("event: {date: 2026-02-30}", ["1:15: event/date: found '2026-02-30', which is no day of the calendar"]),
    (
        "waivers: [{rule: chain-ring, about: desk, because: x, by: y, until: 2026-13-01}]",
        ["1:69: waivers/[1]/until: found '2026-13-01', expected a date such as 2026-11-29"],
    ),
    (
        "waivers: [{rule: chain-ring, about: desk, because: x, by: y, until: 2026-11-31}]",
        ["1:69: waivers/[1]/until: found '2026-11-31', which is no day of the calendar"],
    ),
    (
        "input_blocks: {1-8: desk/link-1/1-7}",
        ["1:21: input_blocks/1-8: 8 channels (1-8) can't take 7 points (desk/link-1/1-7)"],
    ),
    (
        "input_blocks: {1-8: desk/link-1/1-8, 8-9: desk/link-1/9-10}",
        ["1:38: input_blocks/8-9: channel 8 is in the block 1-8 as well"],
    ),
    (
        "input_blocks: {1-8: west-box/in/1-8}",
        ["1:21: input_blocks/1-8: west-box/in/1 is not on desk; patch from desk's own link slots or input sockets"],
    ),
    (
        "devices: {mon: {model: console-16}}",
        [
            "14:1: channels: channels at the top belong to the one console that is not under consoles/, but 2 consoles are not (desk, mon); put each further console's own under consoles/NAME"
        ],
    ),
    (
        "consoles: {desk: {channels: {1: {label: x}}}}",
        [
            "14:1: channels: channels at the top belong to the one console that is not under consoles/, but no console is left; put each further console's own under consoles/NAME"
        ],
    ),
    (
        "consoles: {dsk: {channels: {1: {label: x}}}}",
        ["1:12: consoles/dsk: no console is called 'dsk'; did you mean 'desk'?"],
    ),
    (
        "devices: {mon: {model: console-16}}\nconsoles: {mon: {mixes: {house: {kind: monitor}}}}",
        ["2:26: consoles/mon/mixes/house: desk has a mix called 'house' already; mix names are the rig's own"],
    ),
    (
        "devices: {mon: {model: console-16}}\nconsoles: {mon: {mixes: {mm: {kind: monitor, takes: {mixes: [house.left]}}}}}",
        [
            "2:62: consoles/mon/mixes/mm/takes/mixes/[1]: house.left is a mix of desk; a mix takes mixes of its own console (mon)"
        ],
    ),
    (
        "devices: {mon: {model: console-16}}\nconsoles: {mon: {channels: {1: {patched_from: desk/in/1}}}}",
        [
            "2:47: consoles/mon/channels/1/patched_from: desk/in/1 is not on mon; patch from mon's own link slots or input sockets"
        ],
    ),
    (
        "devices: {mon: {model: console-16}}\nconsoles: {mon: {mixes: {mm: {kind: monitor}}}}\nfeeds: {desk/out: {1: mm}}",
        ["3:23: feeds/desk/out/1: mm is a mix of mon; an output carries a mix of its own console (desk)"],
    ),
    (
        "devices: {mon: {model: console-16}}\nconsoles: {mon: {}}\ndestinations: {singer-wedge: {expects: channel/1}}",
        ["3:40: destinations/singer-wedge/expects: channel/1 could be on any of desk, mon; feed it through a mix"],
    ),
    (
        "cables: {trunk: {from: desk/link-1, to: desk/link-1}}",
        ["1:10: cables/trunk: both ends are desk/link-1; a cable has two ends"],
    ),
]


def build(fragment: str) -> Rig:
    document = example_document(fragment)
    require_valid(document, "rig")
    return build_rig(document, FILE, Models(None))


@pytest.mark.parametrize(("fragment", "problems"), WRONG)
def test_what_stands_for_nothing_is_told_at_its_place(fragment: str, problems: list[str]) -> None:
    with pytest.raises(CannotReadError) as caught:
        build(fragment)
    assert [str(problem) for problem in caught.value.problems] == [f"{FILE}:{problem}" for problem in problems]


def test_a_stereo_mix_over_two_outputs_is_its_left_and_its_right() -> None:
    feeds = build("feeds: {desk/out: {3-4: house}}").feeds
    assert feeds[Socket("desk", "out", 3)].signal == Signal("mix", "house", "left")
    assert feeds[Socket("desk", "out", 4)].signal == Signal("mix", "house", "right")


def test_a_mono_mix_over_a_range_leaves_at_each_of_it() -> None:
    feeds = build("feeds: {desk/out: {3-5: singer-mon}}").feeds
    assert {feeds[Socket("desk", "out", number)].signal for number in (3, 4, 5)} == {Signal("mix", "singer-mon")}


def test_a_stereo_destination_expects_a_side_a_socket() -> None:
    ears = "destinations: {ears: {kind: ear-transmitter, plugged_into: west-box/out/3-4, expects: house}}"
    rig = build(ears)
    assert rig.destinations["ears"].sockets == (Socket("west-box", "out", 3), Socket("west-box", "out", 4))
    assert rig.destinations["ears"].expects == (Signal("mix", "house", "left"), Signal("mix", "house", "right"))


def test_a_copy_of_a_copy_is_followed_to_where_the_signal_is_sent() -> None:
    rig = build("feeds: {desk/out: {1: {same_as: desk/out/2}, 2: {same_as: desk/link-1/1}}}")
    origin = Slot(Port("desk", "link-1"), 1)
    assert rig.feeds[Socket("desk", "out", 1)].signal == Signal("mix", "singer-mon")
    assert rig.copies == {Socket("desk", "out", 1): origin, Socket("desk", "out", 2): origin}


def test_a_copy_of_nothing_sends_nothing() -> None:
    rig = build("feeds: {desk/out: {1: {same_as: desk/link-1/40}}}")
    assert Socket("desk", "out", 1) not in rig.feeds
    assert rig.copies == {Socket("desk", "out", 1): Slot(Port("desk", "link-1"), 40)}


def test_ranges_and_maps_of_sends() -> None:
    mixes = build("mixes: {house: {takes: {channels: {1-2: {level_db: -3, tap: pre-fader}, 3: {}}}}}").mixes
    sends = mixes["house"].sends
    assert {number: (send.level_db, send.tap) for number, send in sends.items()} == {
        1: (-3, "pre-fader"),
        2: (-3, "pre-fader"),
        3: (None, None),
    }


def test_an_input_block_patches_the_channels_that_say_nothing_themselves() -> None:
    rig = build("input_blocks: {1-8: desk/link-1/9-16}\nchannels: {1: {patched_from: null}}")
    assert rig.channels["desk", 1].patched_from == Slot(Port("desk", "link-1"), 9)
    assert rig.channels["desk", 1].by_block == "1-8"
    assert rig.channels["desk", 2].patched_from == Slot(Port("desk", "link-1"), 2)
    assert rig.channels["desk", 2].by_block is None


def test_what_stands_at_the_top_belongs_to_the_console_that_is_not_listed() -> None:
    rig = build("devices: {mon: {model: console-16}}\nconsoles: {mon: {channels: {1: {label: Vox}}}}")
    assert set(rig.channels) == {("desk", 1), ("desk", 2), ("desk", 3), ("mon", 1)}
    assert rig.channels["mon", 1].address == "mon/channel/1"
    assert rig.channel_words(rig.channels["mon", 1]) == "channel 1 (Vox) on mon"


def test_what_a_kind_needs_may_be_said_otherwise() -> None:
    sources = build("sources: {choir: {powering: battery}, lead-vocal: {powering: phantom}}").sources
    assert not sources["choir"].needs_phantom
    assert sources["lead-vocal"].needs_phantom
    assert sources["piano"].needs_phantom
