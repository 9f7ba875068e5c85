"""How a chained rig is addressed: every table and statement of shared/design/addressing.md.

Facts of the trade, common practice, where no other source is named.
"""

from __future__ import annotations

import json

import pytest
from build_rigs import chain_text, resolved
from hypothesis import given
from hypothesis import strategies as st

from lint.check.engine import check_rig
from lint.check.example import FILE, check_example, example_document
from lint.read.merge import extend
from lint.read.parse import parse
from lint.resolve.chain import CableFault
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.address import Port, Signal, Slot, Socket, spans
from lint.rig.build import build_rig
from lint.rig.model import Models

BOX = {8: "stage-box-8x8", 16: "stage-box-16x8", 32: "stage-box-32x16"}
LINK = Port("desk", "link-1")


def arriving(rig: ResolvedRig, box: str) -> str:
    """The slots on which the sockets of a box arrive, in the order of the sockets."""
    count = rig.device(box).model.inputs.count
    slots = [rig.slot_of.get(Socket(box, "in", number)) for number in range(1, count + 1)]
    numbers = [slot.number for slot in slots if slot]
    assert numbers == sorted(numbers)
    return spans(numbers)


# -- inputs: the wiring order decides ----------------------------------------------------------------------------

# addressing.md, "Inputs": chain from the console, and what arrives where; '' is a box with no slot at all.
CHAINS = [
    ([8], ["1–8"]),
    ([8, 8, 8, 8], ["1–8", "9–16", "17–24", "25–32"]),
    ([8, 16], ["1–8", "9–24"]),
    ([16, 8], ["1–16", "17–24"]),
    ([16, 16, 16], ["1–16", "17–32", "33–48"]),
    ([16, 16, 16, 8], ["1–16", "17–32", "33–48", ""]),
    ([32, 16, 8], ["1–32", "33–48", ""]),
]


@pytest.mark.parametrize(("inputs", "expected"), CHAINS)
def test_what_arrives_where(inputs: list[int], expected: list[str]) -> None:
    rig = resolved(chain_text(*(BOX[count] for count in inputs)))
    assert [arriving(rig, f"box-{place}") for place in range(1, len(inputs) + 1)] == expected


@given(st.lists(st.sampled_from([8, 16, 32]), min_size=1, max_size=4), st.data())
def test_box_k_owns_the_slots_after_all_boxes_upstream_of_it(inputs: list[int], data: st.DataObject) -> None:
    rig = resolved(chain_text(*(BOX[count] for count in inputs)))
    place = data.draw(st.integers(1, len(inputs)))
    number = data.draw(st.integers(1, inputs[place - 1]))
    slot = sum(inputs[: place - 1]) + number
    socket = Socket(f"box-{place}", "in", number)
    if slot <= 48:
        assert rig.slot_of[socket] == Slot(LINK, slot)
        assert rig.socket_at(Slot(LINK, slot)) == socket
    else:
        assert socket not in rig.slot_of
        assert rig.socket_at(Slot(LINK, slot)) is None


@given(st.permutations([0, 1, 2]), st.permutations([8, 8, 16]))
def test_how_a_cable_is_written_changes_nothing(turned: list[int], inputs: list[int]) -> None:
    """The order of the rows and the direction of each row are writing, not wiring."""
    text = chain_text(*(BOX[count] for count in inputs))
    head, _, tail = text.partition("cables:\n")
    rows = [
        row.replace("from:", "FROM").replace("to:", "from:").replace("FROM", "to:") if number % 2 else row
        for number, row in enumerate(tail.splitlines())
    ]
    other = resolved(head + "cables:\n" + "\n".join(rows[index] for index in turned) + "\n")
    assert other.slot_of == resolved(text).slot_of
    assert other.cabling.faults == ()


# -- the swap worked through -------------------------------------------------------------------------------------

CHANNELS = (
    "sources: {{vocal: {{kind: dynamic-microphone, plugged_into: wide/in/{socket}}}}}\n"
    "channels: {{1: {{label: Vocal, carries: vocal, patched_from: desk/link-1/{slot}}}}}\n"
)


def swap_text(first: str, second: str, socket: int = 1, slot: int = 9) -> str:
    """The rig of addressing.md's swap: a wide box of 16 inputs and a narrow one of 8, in the order given."""
    return (
        "rig_format: 1\nclock: {sample_rate_hz: 48000, leader: desk}\n"
        "devices:\n  desk: {model: console-32}\n  narrow: {model: stage-box-8x8}\n  wide: {model: stage-box-16x8}\n"
        f"cables:\n  trunk: {{from: desk/link-1, to: {first}/upstream}}\n"
        f"  crossing: {{from: {first}/downstream, to: {second}/upstream}}\n" + CHANNELS.format(socket=socket, slot=slot)
    )


def heard(rig: ResolvedRig) -> tuple[str, ...]:
    return rig.arrivals["desk", 1].sources


def test_before_the_swap_slot_9_is_socket_1_of_the_wide_box() -> None:
    rig = resolved(swap_text("narrow", "wide"))
    assert rig.socket_at(Slot(LINK, 9)) == Socket("wide", "in", 1)
    assert heard(rig) == ("vocal",)
    assert rig.mismatches == []


def test_after_the_swap_every_socket_has_moved() -> None:
    rig = resolved(swap_text("wide", "narrow"))
    assert rig.socket_at(Slot(LINK, 9)) == Socket("wide", "in", 9)
    assert rig.slot_of[Socket("wide", "in", 1)] == Slot(LINK, 1)
    assert rig.slot_of[Socket("narrow", "in", 1)] == Slot(LINK, 17)
    assert heard(rig) == ()
    assert rig.mismatches == [rig.arrivals["desk", 1]]
    assert rig.arrivals["desk", 1].stop == "empty-socket"


def test_the_swap_is_put_right_at_the_plug_or_at_the_patch() -> None:
    plug = resolved(swap_text("wide", "narrow", socket=9))
    patch = resolved(swap_text("wide", "narrow", slot=1))
    assert heard(plug) == heard(patch) == ("vocal",)
    assert plug.mismatches == patch.mismatches == []


# The same swap in the example rig, where the rules are heard: 16, 8 in use, cabled 8, 16.
SWAPPED = """\
cables: {trunk: {to: east-box/upstream}, crossing: {from: east-box/downstream, to: west-box/upstream}}
sources: {choir: null, lead-vocal: {plugged_into: west-box/in/%d}, piano: null}
channels: {1: {patched_from: desk/link-1/%d}, 2: null, 3: null}
"""


def test_the_rules_name_both_cures_of_the_swap() -> None:
    (finding,) = [row for row in check_example(SWAPPED % (9, 9)).findings if row.weight.value == "no-go"]
    assert "channel 1 (Lead vox) should carry lead-vocal" in finding.message
    assert [cure.change for cure in finding.cures] == [
        {"sources": {"lead-vocal": {"plugged_into": "west-box/in/1"}}},
        {"channels": {"1": {"patched_from": "desk/link-1/17"}}},
    ]


@pytest.mark.parametrize("cured", [(1, 9), (9, 17)])
def test_each_cure_of_the_swap_is_a_go(cured: tuple[int, int]) -> None:
    assert [row for row in check_example(SWAPPED % cured).findings if row.weight.value == "no-go"] == []


# -- outputs: the selector decides -------------------------------------------------------------------------------

MIXES = "mixes:\n" + "".join(f"  mix-{slot}: {{kind: monitor}}\n" for slot in range(1, 49))
FEEDS = "feeds:\n  desk/link-1:\n" + "".join(f"    {slot}: mix-{slot}\n" for slot in range(1, 49))


def with_banks(text: str, **banks: str) -> str:
    """Set the selectors of box_1, box_2 ... of a chain."""
    for box, bank in banks.items():
        name = box.replace("_", "-")
        line = next(row for row in text.splitlines() if row.startswith(f"  {name}: {{model"))
        text = text.replace(line, line.replace("}", f", output_bank: {bank}}}"))
    return text


def leaving(rig: ResolvedRig, box: str, socket: int) -> tuple[int, str]:
    departure = rig.departure(Socket(box, "out", socket))
    assert departure.slot is not None
    return departure.slot.number, str(departure.signal)


# addressing.md, "Outputs": bank, socket, slot.
@pytest.mark.parametrize(("bank", "socket", "slot"), [("1-8", 8, 8), ("9-16", 8, 16), ("17-24", 1, 17)])
@pytest.mark.parametrize("place", [1, 2, 3])
def test_the_bank_table_wherever_in_the_chain_the_box_is(bank: str, socket: int, slot: int, place: int) -> None:
    text = with_banks(chain_text(*["stage-box-8x8"] * 3, rows=MIXES + FEEDS), **{f"box_{place}": bank})
    assert leaving(resolved(text), f"box-{place}", socket) == (slot, f"mix-{slot}")


@given(st.sampled_from([1, 9, 17, 25, 33, 41]), st.integers(1, 8))
def test_output_socket_s_carries_slot_b_plus_s_minus_1(first: int, socket: int) -> None:
    text = with_banks(chain_text("stage-box-16x8", rows=MIXES + FEEDS), box_1=f"{first}-{first + 7}")
    slot = first + socket - 1
    assert leaving(resolved(text), "box-1", socket) == (slot, f"mix-{slot}")


def test_two_boxes_on_one_bank_carry_the_same_signals_socket_by_socket() -> None:
    text = with_banks(chain_text("stage-box-16x8", "stage-box-8x8", rows=MIXES + FEEDS), box_1="9-16", box_2="9-16")
    rig = resolved(text)
    for socket in range(1, 9):
        assert leaving(rig, "box-1", socket) == leaving(rig, "box-2", socket) == (socket + 8, f"mix-{socket + 8}")


def test_one_bank_on_two_boxes_is_a_fault_only_where_their_needs_differ() -> None:
    twins = (
        "devices: {east-box: {output_bank: 1-8}}\nfeeds: {desk/link-1: {15-16: null, 7-8: house}}\n"
        "destinations: {foyer: {kind: zone-loudspeaker, plugged_into: west-box/out/7, expects: house.left}}"
    )
    assert rules_at(twins) == set()
    assert rules_at("devices: {east-box: {output_bank: 1-8}}") == {"bank-clash"}


@pytest.mark.parametrize(
    "copy", ["desk/out: {15-16: {same_as: desk/link-1/15-16}}", "desk/link-2: {1-2: {same_as: desk/link-1/15-16}}"]
)
def test_a_copied_range_leaves_in_both_places(copy: str) -> None:
    text = chain_text("stage-box-8x8", rows=MIXES + FEEDS + f"  {copy}\n")
    rig = resolved(text)
    for slot in (15, 16):
        points = rig.feeds_of(Signal("mix", f"mix-{slot}"))
        assert len(points) == 2
        assert points[0] == Slot(LINK, slot)
        assert rig.rig.feeds[points[1]].copied_from == Slot(LINK, slot)


def test_a_copy_of_a_copy_is_the_mix_that_leaves_first() -> None:
    copies = "  desk/out: {1: {same_as: desk/out/2}, 2: {same_as: desk/link-1/7}}\n"
    rig = resolved(chain_text("stage-box-8x8", rows=MIXES + FEEDS + copies))
    assert str(rig.departure(Socket("desk", "out", 1)).signal) == "mix-7"


def test_a_copy_is_a_fault_where_a_destination_on_it_needs_something_else() -> None:
    copy = "feeds: {desk/out: {1: {same_as: desk/link-1/1}}}\ndestinations: {booth: {kind: control-room-monitor, plugged_into: desk/out/1, expects: %s}}"
    assert rules_at(copy % "singer-mon") == set()
    assert rules_at(copy % "house.left") == {"output-carries-other"}


# -- ports -------------------------------------------------------------------------------------------------------


def rules_at(fragment: str) -> set[str]:
    """The rules that say no-go to the example rig with a fragment merged in."""
    return {row.rule for row in check_example(fragment).findings if row.weight.value == "no-go"}


def faults_of(fragment: str) -> list[CableFault]:
    return list(check_example(fragment).resolved.cabling.faults)


SPARE = "devices: {spare-a: {model: stage-box-8x8}, spare-b: {model: stage-box-8x8}}\n"
THIRD = (
    "devices: {third-box: {model: stage-box-8x8}}\nsources: {organ: {kind: passive-di, plugged_into: third-box/in/1}}\n"
)
MON = "devices: {mon: {model: console-16}}\nconsoles: {mon: {}}\n"

# addressing.md, "Ports": each fault of its list, one finding each.
PORT_FAULTS = [
    ("the feed arrives at a downstream port", "cables: {crossing: {to: east-box/downstream}}", "backwards", "chain-input-from-downstream"),
    ("downstream to downstream", SPARE + "cables: {far: {from: spare-a/downstream, to: spare-b/downstream}}", "ports-alike", "chain-ports-alike"),
    ("upstream to upstream", SPARE + "cables: {far: {from: spare-a/upstream, to: spare-b/upstream}}", "ports-alike", "chain-ports-alike"),
    ("one port with two cables", THIRD + "cables: {far: {from: west-box/downstream, to: third-box/upstream}}", "port-shared", "chain-port-shared"),
    ("a ring", "cables: {loop: {from: east-box/downstream, to: desk/link-2}}", "ring", "chain-ring"),
    ("a box that no console reaches", "cables: {crossing: null}", "unreached", "chain-box-unreached"),
    ("a box that two consoles reach", MON + "cables: {far: {from: east-box/downstream, to: mon/link-1}}", "two-consoles", "chain-two-consoles"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("fragment", "kind", "rule"), [row[1:] for row in PORT_FAULTS], ids=[row[0] for row in PORT_FAULTS]
)
def test_each_port_fault_is_told_once_and_as_what_it_is(fragment: str, kind: str, rule: str) -> None:
    assert [fault.kind for fault in faults_of(fragment) if fault.kind != "unreached" or kind == "unreached"] == [kind]
    assert rules_at(fragment) == {rule}


def test_the_example_rig_has_no_port_fault() -> None:
    assert faults_of("") == []
    assert rules_at("") == set()


def test_a_box_in_backwards_silences_all_behind_it() -> None:
    fragment = "cables: {trunk: {to: west-box/downstream}, crossing: {from: west-box/upstream}}"
    (fault,) = faults_of(fragment)
    assert fault.devices == ("west-box", "east-box")
    rig = check_example(fragment).resolved
    assert {arrival.stop for arrival in rig.arrivals.values()} == {"box-lost"}
    assert {departure.stop for row in rig.departures.values() for departure in row} == {"box-lost"}


def test_two_consoles_with_a_declared_split_are_no_fault() -> None:
    fragment = MON + (
        "cables: {far: {from: east-box/downstream, to: mon/link-1}}\n"
        "splits: {stage: {kind: link, from: desk/link-1, to: mon/link-1}}"
    )
    assert faults_of(fragment) == []
    assert rules_at(fragment) == set()


# -- the layers that must agree ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "fragment",
    [
        "sources: {lead-vocal: {plugged_into: west-box/in/2}, choir: {plugged_into: west-box/in/1}}",
        "channels: {1: {patched_from: desk/link-1/3}}",
        "devices: {east-box: {output_bank: 17-24}}",
        "feeds: {desk/link-1: {1: null, 2: singer-mon}}",
    ],
)
def test_every_disagreement_offers_at_least_two_ways_to_put_it_right_and_each_one_does(fragment: str) -> None:
    """addressing.md: every message names the two ways, move the plug or change the patch (or the selector)."""
    findings = [row for row in check_example(fragment).findings if row.weight.value == "no-go"]
    assert findings
    assert all(len(row.cures) >= 2 for row in findings)
    for row in findings:
        for cure in row.cures:
            assert cure.change is not None
            patch, marks = parse(json.dumps(cure.change), "cure.yaml")
            cured = build_rig(extend(example_document(fragment), patch, marks), FILE, Models(None))
            assert [left for left in check_rig(resolve_rig(cured)).findings if left.weight.value == "no-go"] == []
