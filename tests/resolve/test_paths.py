"""What arrives on every channel and leaves at every socket, and the reason where nothing does.

addressing.md, common practice; the numbers of slots at 96 kHz are AES50's, from memory.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from rigs import base, resolved

from lint.resolve.graph import Node
from lint.resolve.resolved import Arrival, Departure, ResolvedRig, same_signal
from lint.rig.address import Port, Return, Signal, Slot, Socket

LINK = Port("desk", "link-1")


def arrival(rig: ResolvedRig, number: int, console: str = "desk") -> Arrival:
    return rig.arrivals[console, number]


def departure(rig: ResolvedRig, box: str, socket: int) -> Departure:
    return rig.departure(Socket(box, "out", socket))


# -- inputs ------------------------------------------------------------------------------------------------------


def test_what_arrives_and_by_which_way() -> None:
    rig = base("sources: {player: {kind: player, plugged_into: desk/in/3}}\nchannels: {4: {patched_from: desk/in/3}}")
    assert arrival(rig, 3) == Arrival(
        rig.rig.channels["desk", 3], ("piano",), slot=Slot(LINK, 17), socket=Socket("east-box", "in", 1)
    )
    assert arrival(rig, 4) == Arrival(rig.rig.channels["desk", 4], ("player",), socket=Socket("desk", "in", 3))
    assert rig.mismatches == []
    assert {name: [channel.number for channel in row] for name, row in rig.channels_of.items()} == {
        "vocal": [1],
        "choir": [2],
        "piano": [3],
        "player": [4],
    }
    assert [channel.number for channel in rig.carriers_of["piano"]] == [3]


STOPS = {
    "nowhere": ("channels: {1: {patched_from: null}}", "unpatched", None, None),
    "a slot past the chain's end": ("channels: {1: {patched_from: desk/link-1/25}}", "no-socket", None, None),
    "a slot of a link with no cable": ("channels: {1: {patched_from: desk/link-2/1}}", "no-socket", None, None),
    "a slot past the link": ("channels: {1: {patched_from: desk/link-1/49}}", "no-socket", None, None),
    "a socket with nothing in it": ("channels: {1: {patched_from: desk/link-1/16}}", "empty-socket", "west-box/in/16", None),
    "a socket of the desk with nothing in it": ("channels: {1: {patched_from: desk/in/32}}", "empty-socket", "desk/in/32", None),
    "a socket that the desk lacks": ("channels: {1: {patched_from: desk/in/33}}", "socket-missing", "desk/in/33", None),
    "a slot of a box that is cut off": (
        "cables: {crossing: {to: east-box/downstream}}\nchannels: {1: {patched_from: desk/link-1/24}}",
        "box-lost", None, "east-box",
    ),
    "a slot of a box that no cable reaches": (
        "cables: {crossing: null}\nchannels: {1: {patched_from: desk/link-1/24}}", "no-socket", None, None,
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", STOPS)
def test_why_nothing_arrives(name: str) -> None:
    week, stop, socket, box = STOPS[name]
    found = arrival(base(week), 1)
    assert (found.stop, found.sources, found.box) == (stop, (), box)
    assert str(found.socket or "") == (socket or "")


def test_which_arrivals_are_not_what_is_meant() -> None:
    """A cut box and a missing socket are told where their cause is, and not once more at every channel."""
    week = "channels: {1: {patched_from: desk/link-1/2}, 2: {patched_from: desk/link-1/1}}"
    assert [row.channel.number for row in base(week).mismatches] == [1, 2]
    assert [row.channel.number for row in base("channels: {1: {patched_from: desk/link-1/9}}").mismatches] == [1]
    assert base("channels: {1: {patched_from: desk/in/40}}").mismatches == []
    assert base("cables: {crossing: {to: east-box/downstream}}").mismatches == []
    assert base("channels: {1: {carries: null, patched_from: null}}").mismatches == []


def test_two_plugs_in_one_socket_are_told_at_the_socket() -> None:
    rig = base("sources: {choir: {plugged_into: west-box/in/1}}")
    assert rig.sources_in[Socket("west-box", "in", 1)] == ["vocal", "choir"]
    assert arrival(rig, 1).sources == ("vocal", "choir")
    assert rig.mismatches == []
    assert rig.plug_fault(rig.rig.sources["choir"])


PLATE = "mixes: {send: {kind: effects}}\neffects: {plate: {fed_by: send}, hall: {fed_by: send}}\n"


@pytest.mark.parametrize(
    ("carries", "patched", "wrong"),
    [
        ("effects/plate", "effects/plate", False),
        ("effects/plate", "effects/plate.left", False),
        ("effects/plate.left", "effects/plate.left", False),
        ("effects/plate.left", "effects/plate.right", True),
        ("effects/plate.left", "effects/plate", True),
        ("effects/plate", "effects/hall", True),
        ("effects/plate", "desk/link-1/1", True),
        ("vocal", "effects/plate", True),
    ],
)
def test_effects_come_back_on_channels(carries: str, patched: str, wrong: bool) -> None:
    rig = base(PLATE + f"channels: {{1: {{carries: {carries}, patched_from: {patched}}}}}")
    assert bool(rig.mismatches) == wrong
    if patched.startswith("effects"):
        name, _, side = patched.removeprefix("effects/").partition(".")
        assert arrival(rig, 1).effects == Return("desk", name, side)


# -- models that address the other way round ---------------------------------------------------------------------

SWITCHED = """\
model_format: 1
kind: stage-box
inputs: {count: 8, addressed: by-selector, selector: [1-8, 9-16, 17-24, 41-48]}
outputs: {count: 4, addressed: by-chain-order}
chain: {slots: {48000: 48, 96000: 24}}
sample_rates_hz: [48000, 96000]
"""
TWO = """\
rig_format: 1
clock: {sample_rate_hz: %s, leader: desk}
devices:
  desk: {model: console-32}
  one:  {model: switched-box%s}
  two:  {model: switched-box%s}
cables:
  trunk:    {from: desk/link-1, to: one/upstream}
  crossing: {from: one/downstream, to: two/upstream}
sources:
  first:  {kind: passive-di, plugged_into: one/in/1}
  second: {kind: passive-di, plugged_into: two/in/1}
channels: {1: {patched_from: desk/link-1/1}, 2: {patched_from: desk/link-1/9}}
mixes: {mix: {kind: monitor}}
feeds: {desk/link-1: {1-8: mix}}
"""


@pytest.fixture
def house(tmp_path: Path) -> Path:
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "switched-box.yaml").write_text(SWITCHED, encoding="utf-8")
    return tmp_path


def two(house: Path, first: str | None, second: str | None, rate_hz: int = 48000) -> ResolvedRig:
    banks = tuple(f", input_bank: {bank}" if bank else "" for bank in (first, second))
    return resolved(TWO % (rate_hz, *banks), house=house)


def test_inputs_by_selector_do_not_care_for_the_order(house: Path) -> None:
    rig = two(house, "9-16", "1-8")
    assert (arrival(rig, 1).sources, arrival(rig, 2).sources) == (("second",), ("first",))
    assert rig.slot_of[Socket("two", "in", 8)] == Slot(LINK, 8)
    assert rig.clashing_inputs == {}


def test_inputs_on_one_bank_clash_socket_by_socket(house: Path) -> None:
    rig = two(house, "1-8", "1-8")
    assert arrival(rig, 1).sources == ("first",)
    assert rig.clashing_inputs == {
        Slot(LINK, number): [Socket("one", "in", number), Socket("two", "in", number)] for number in range(1, 9)
    }


def test_inputs_without_a_bank_arrive_nowhere(house: Path) -> None:
    rig = two(house, None, "1-8")
    assert not rig.boxes["one"].input_slots
    assert rig.input_point(Socket("one", "in", 1), "desk") is None
    assert arrival(rig, 1).sources == ("second",)


def test_outputs_by_chain_order_are_counted_box_by_box(house: Path) -> None:
    rig = two(house, "1-8", "9-16")
    assert (rig.boxes["one"].output_slots, rig.boxes["two"].output_slots) == (range(1, 5), range(5, 9))
    assert [str(departure(rig, box, 4).slot) for box in ("one", "two")] == ["desk/link-1/4", "desk/link-1/8"]
    assert departure(rig, "two", 4).signal == Signal("mix", "mix")
    assert departure(rig, "two", 5).stop == "socket-missing"
    assert rig.banks_that_fit("two") == []


def test_a_box_with_a_selector_takes_no_place_in_the_count_of_the_others(house: Path) -> None:
    """Inputs of one kind of box are counted past a box of the other kind, and outputs likewise."""
    text = TWO % (48000, ", input_bank: 41-48", ", input_bank: 17-24")
    rig = resolved(
        text.replace("two:  {model: switched-box, input_bank: 17-24}", "two:  {model: stage-box-8x8}"), house=house
    )
    assert (rig.boxes["one"].input_slots, rig.boxes["two"].input_slots) == (range(41, 49), range(1, 9))
    first = text.replace(
        "one:  {model: switched-box, input_bank: 41-48}", "one:  {model: stage-box-8x8, output_bank: 9-16}"
    )
    rig = resolved(first, house=house)
    assert (rig.boxes["one"].output_slots, rig.boxes["two"].output_slots) == (range(9, 17), range(1, 5))
    assert (rig.boxes["one"].input_slots, rig.boxes["two"].input_slots) == (range(1, 9), range(17, 25))


def test_a_bank_past_the_narrower_link_of_96_khz(house: Path) -> None:
    assert two(house, "41-48", "1-8").chains[LINK].capacity == 48
    rig = two(house, "41-48", "1-8", rate_hz=96000)
    assert rig.chains[LINK].capacity == 24
    assert Socket("one", "in", 1) not in rig.slot_of
    assert arrival(rig, 1).sources == ("second",)


# -- capacity ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rate_hz", "capacity", "last"), [(44100, 48, 24), (48000, 48, 24), (88200, 24, 24), (96000, 24, 24)]
)
def test_the_link_at_each_rate(rate_hz: int, capacity: int, last: int) -> None:
    rig = base(f"clock: {{sample_rate_hz: {rate_hz}}}\ndevices: {{far: {{model: stage-box-8x8}}}}\n"
               "cables: {more: {from: east-box/downstream, to: far/upstream}}")  # fmt: skip
    assert rig.chains[LINK].capacity == capacity
    assert max(slot.number for socket, slot in rig.slot_of.items() if socket.device != "far") == last
    assert (Socket("far", "in", 1) in rig.slot_of) == (capacity == 48)
    assert rig.boxes["far"].input_slots == range(25, 33)


def test_a_console_may_run_at_its_own_rate() -> None:
    assert base("devices: {desk: {sample_rate_hz: 96000}}").chains[LINK].capacity == 24
    assert base("devices: {west-box: {sample_rate_hz: 96000}}").chains[LINK].capacity == 48


def test_a_box_across_the_end_of_the_link_keeps_the_sockets_that_fit() -> None:
    rig = base("clock: {sample_rate_hz: 96000}\ndevices: {west-box: {model: stage-box-32x16, output_bank: 1-16}}")
    assert rig.slot_of[Socket("west-box", "in", 24)] == Slot(LINK, 24)
    assert Socket("west-box", "in", 25) not in rig.slot_of
    assert Socket("east-box", "in", 1) not in rig.slot_of
    assert rig.boxes["east-box"].input_slots == range(33, 41)


# -- outputs -----------------------------------------------------------------------------------------------------


def test_what_leaves_and_by_which_way() -> None:
    rig = base("feeds: {desk/out: {1: wedge-mix}}")
    (left,) = rig.departures["left"]
    assert (left.signal, left.slot, left.stop) == (Signal("mix", "house", "left"), Slot(LINK, 15), "")
    assert left.feed is not None
    assert left.feed.trail == ("feeds", "desk/link-1", "15-16")
    assert departure(rig, "desk", 1) == Departure(
        Socket("desk", "out", 1), Signal("mix", "wedge-mix"), None, rig.rig.feeds[Socket("desk", "out", 1)]
    )


@pytest.mark.parametrize(
    ("week", "box", "socket", "stop", "slot"),
    [
        ("", "east-box", 1, "not-fed", 9),
        ("", "desk", 1, "not-fed", None),
        ("", "east-box", 9, "socket-missing", None),
        ("", "desk", 17, "socket-missing", None),
        ("devices: {east-box: {output_bank: null}}", "east-box", 7, "no-bank", None),
        ("devices: {east-box: {output_bank: 10-17}}", "east-box", 7, "bank-unknown", 16),
        ("devices: {east-box: {output_bank: 1-16}}", "east-box", 7, "bank-unknown", 7),
        ("clock: {sample_rate_hz: 96000}\ndevices: {east-box: {output_bank: 25-32}}", "east-box", 1, "past-link", 25),
        ("clock: {sample_rate_hz: 96000}\ndevices: {east-box: {output_bank: 17-24}}", "east-box", 8, "not-fed", 24),
        ("cables: {crossing: null}", "east-box", 7, "box-lost", None),
        ("cables: {crossing: {to: east-box/downstream}}", "east-box", 7, "box-lost", None),
    ],
)
def test_why_nothing_leaves(week: str, box: str, socket: int, stop: str, slot: int | None) -> None:
    found = departure(base(week), box, socket)
    assert (found.stop, found.signal) == (stop, None)
    assert found.slot == (Slot(LINK, slot) if slot else None)


def test_which_selector_positions_fit() -> None:
    assert base("").banks_that_fit("east-box") == ["9-16"]
    assert base("").banks_that_fit("west-box") == ["1-8"]
    assert base("feeds: {desk/link-1: {23-24: house}}").banks_that_fit("east-box") == ["9-16", "17-24"]
    wrong = "feeds: {desk/link-1: {15-16: null, 23-24: house}}"
    assert base(wrong).banks_that_fit("east-box") == ["17-24"]
    assert base("feeds: {desk/link-1: {15-16: null}}").banks_that_fit("east-box") == []
    assert base("destinations: {left: {expects: null}, right: null}").banks_that_fit("east-box") == []
    assert base("cables: {crossing: null}").banks_that_fit("east-box") == []
    past = "clock: {sample_rate_hz: 96000}\nfeeds: {desk/link-1: {15-16: null, 47-48: house}}"
    assert base(past).banks_that_fit("east-box") == []
    last = "clock: {sample_rate_hz: 96000}\nfeeds: {desk/link-1: {15-16: null, 23-24: house}}"
    assert base(last).banks_that_fit("east-box") == ["17-24"]
    at_the_end = base(last + "\ndevices: {east-box: {output_bank: 17-24}}")
    assert departure(at_the_end, "east-box", 8).signal == Signal("mix", "house", "right"), "the last slot is one"
    one_off = "clock: {sample_rate_hz: 96000}\nfeeds: {desk/link-1: {15-16: null, 24-25: house}}"
    moved = "\ndestinations: {left: {plugged_into: east-box/out/8}, right: null}"
    assert base(one_off + moved).banks_that_fit("east-box") == ["17-24"]


def test_a_destination_is_content_with_what_it_expects_alone() -> None:
    mix, left = Signal("mix", "house"), Signal("mix", "house", "left")
    assert same_signal(left, left)
    assert not same_signal(mix, left)
    assert not same_signal(None, left)
    assert not same_signal(left, None)
    assert not same_signal(None, None)


# -- mixes and the graph -----------------------------------------------------------------------------------------

BUSES = (
    "mixes:\n  subs: {kind: house, takes: {mixes: [house.mono]}}\n"
    "  stream: {kind: stream, width: stereo, takes: {mixes: [house.left, house.right, subs]}}\n"
)


def test_mixes_within_mixes() -> None:
    rig = base(BUSES)
    assert {name: [mix.name for mix in row] for name, row in rig.taken_by.items()} == {
        "house": ["subs", "stream", "stream"],
        "subs": ["stream"],
    }
    assert rig.mixes_within("stream") == {
        "stream": ("stream",),
        "house": ("stream", "house"),
        "subs": ("stream", "subs"),
    }


def test_mixes_that_take_each_other_are_followed_once() -> None:
    rig = base(BUSES + "  house: {takes: {mixes: [subs]}}\n")
    assert rig.mixes_within("house") == {"house": ("house",), "subs": ("house", "subs")}
    assert [sorted(node.name for node in loop) for loop in rig.graph.loops()] == [
        ["house", "house.mono", "subs", "subs"]
    ]


def test_the_graph_from_source_to_loudspeaker() -> None:
    graph = base("").graph
    heard = {node.name for node in graph.reached_from([Node("source", "piano")]) if node.kind == "destination"}
    assert heard == {"left", "right"}
    sources = {
        node.name
        for node in graph.reached_from([Node("destination", "wedge")], backwards=True)
        if node.kind == "source"
    }
    assert sources == {"vocal"}


def test_the_graph_is_cut_where_the_signal_is() -> None:
    for week in (
        "cables: {crossing: {to: east-box/downstream}}",
        "devices: {east-box: {output_bank: 10-17}}",
        "clock: {sample_rate_hz: 96000}\ndevices: {east-box: {output_bank: 25-32}}",
    ):
        heard = base(week).graph.reached_from([Node("source", "vocal")])
        assert Node("destination", "wedge") in heard
        assert Node("destination", "left") not in heard
    assert Node("channel", "desk/channel/3") not in base("cables: {crossing: null}").graph.reached_from(
        [Node("source", "piano")]
    )
