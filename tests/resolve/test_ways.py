"""Everything upstream of a thing, everything it feeds, every way between two things; and what all of them may be."""

from __future__ import annotations

from pathlib import Path

import pytest
from rigs import BASE, resolved

from lint.check.catalogue import load_catalogue
from lint.plan.whatif import what_if
from lint.read.load import house_folder
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.resolve.step import UnknownSignalError
from lint.resolve.trace import trace_signal
from lint.resolve.ways import Ways, nodes_of, reached, silent_without, ways_between
from lint.rig.build import load_rig
from lint.rig.model import Models

CATALOGUE = load_catalogue()

MORE = """
sources: {vocal: {label: Lead vocal}}
channels: {9: {carries: effects/plate, patched_from: effects/plate}}
mixes: {send: {kind: effects, takes: {channels: [1]}}, house: {takes: {channels: [1-3, 9]}}}
effects: {plate: {fed_by: send}}
"""


def rig(week: str = MORE) -> ResolvedRig:
    return resolved(BASE, week)


def test_everything_that_gets_to_a_destination() -> None:
    assert reached(rig(), "wedge", upstream=True) == {
        "source": ["vocal"],
        "input-socket": ["west-box/in/1"],
        "input-slot": ["desk/link-1/1"],
        "channel": ["desk/channel/1"],
        "mix": ["wedge-mix"],
        "signal": ["wedge-mix"],
        "output-slot": ["desk/link-1/1"],
        "output-socket": ["west-box/out/1"],
    }


def test_everything_that_a_socket_feeds() -> None:
    fed = reached(rig(), "west-box/in/1", upstream=False)
    assert fed["channel"] == ["desk/channel/1", "desk/channel/9"]
    assert fed["mix"] == ["house", "wedge-mix", "send"]
    assert fed["destination"] == ["wedge", "left", "right"]
    assert "source" not in fed


@pytest.mark.parametrize(
    "what", ["vocal", "Lead Vocal", "1", "channel 1", "desk/channel/1", "west-box/in/1", "send", "plate"]
)
def test_a_way_begins_at_anything_that_has_a_name(what: str) -> None:
    assert ways_between(rig(), what, "left").found


def test_the_ways_are_told_shortest_first_and_a_box_stands_for_its_sockets() -> None:
    ways = ways_between(rig(), "vocal", "left")
    assert [len(way) for way in ways.found] == sorted(len(way) for way in ways.found)
    assert len(ways.found) == 2  # straight, and by the plate
    assert not ways.more
    assert {node.name for node in nodes_of(rig(), "west-box")} == {"west-box/in/1", "west-box/in/2", "west-box/out/1"}
    assert not ways_between(rig(), "choir", "wedge").found


def test_what_carries_nothing_is_there_but_leads_nowhere() -> None:
    assert reached(rig(), "west-box/in/9", upstream=False) == {}
    assert reached(rig(), "desk/link-1/40", upstream=True) == {}


def test_what_is_not_there_is_told_with_the_nearest() -> None:
    with pytest.raises(UnknownSignalError, match="nothing here is called 'vocl'; did you mean 'vocal'"):
        reached(rig(), "vocl", upstream=True)
    with pytest.raises(UnknownSignalError):
        ways_between(rig(), "vocal", "nowhere/in/x")


def test_a_destination_that_gets_nothing_is_told_where_its_mix_leaves_instead() -> None:
    wrong = rig("devices: {east-box: {output_bank: 1-8}}")
    steps = [step for trace in trace_signal(wrong, "left") for step in trace.every()]
    assert "expected: house.left" in [step.text for step in steps]
    assert "house.left leaves on slot desk/link-1/15" in [step.text for step in steps]
    assert "no box's selector takes that slot" in [step.text for step in steps if step.stops]
    unsent = rig("feeds: {desk/link-1: {15-16: null}}")
    steps = [step for trace in trace_signal(unsent, "left") for step in trace.every()]
    assert "it is sent nowhere" in [step.text for step in steps if step.stops]


def test_a_slot_that_somebody_is_plugged_into_and_nobody_hears_stops_there() -> None:
    unheard = rig("sources: {flute: {kind: dynamic-microphone, plugged_into: east-box/in/8}}")
    assert [step.text for trace in trace_signal(unheard, "desk/link-1/24") for step in trace.every() if step.stops] == [
        "no channel is patched from that slot"
    ]
    assert not [s for trace in trace_signal(rig(), "desk/link-1/24") for s in trace.every() if s.stops]
    unplugged = rig("channels: {5: {patched_from: desk/link-1/24}}")
    assert [s.text for trace in trace_signal(unplugged, "desk/link-1/24") for s in trace.every() if s.stops]


def test_names_stand_in_the_order_of_the_file() -> None:
    """Not in that of the graph, which meets a mix first where another takes it."""
    taken = rig("mixes: {wedge-mix: {takes: {mixes: [subs]}}, band: {kind: monitor, takes: {channels: [1]}},\n"
                " subs: {kind: house, takes: {channels: [1]}}}")  # fmt: skip
    assert reached(taken, "vocal", upstream=False)["mix"] == ["house", "wedge-mix", "band", "subs"]


def test_more_ways_than_anybody_reads_are_cut_and_said_to_be_more(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("lint.resolve.ways.MOST_WAYS", 1)
    ways = ways_between(rig(), "vocal", "left")
    assert (len(ways.found), ways.more) == (1, True)
    monkeypatch.setattr("lint.resolve.ways.MOST_WAYS", 2)
    ways = ways_between(rig(), "vocal", "left")
    assert (len(ways.found), ways.more) == (2, False)


def test_a_destination_in_a_socket_that_is_not_there_hides_no_other() -> None:
    missing = rig("destinations: {wedge: {plugged_into: west-box/out/9}}")
    assert reached(missing, "wedge", upstream=True) == {}
    assert "vocal" in reached(missing, "left", upstream=True)["source"]
    amplifiers = rig("amplifiers: {bad: {plugged_into: west-box/out/9, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}},\n"
                     " good: {plugged_into: west-box/out/1, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}}")  # fmt: skip
    assert reached(amplifiers, "bad", upstream=True) == {}
    assert reached(amplifiers, "good", upstream=True)["source"] == ["vocal"]


def test_an_amplifier_alone_on_a_box_hangs_on_its_slot() -> None:
    alone = rig("feeds: {desk/link-1: {5: wedge-mix}}\n"
                "amplifiers: {amp: {plugged_into: west-box/out/5, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}}")  # fmt: skip
    assert reached(alone, "amp", upstream=True)["output-slot"] == ["desk/link-1/5"]
    dark = rig("devices: {west-box: {output_bank: 3-10}}\n"
               "amplifiers: {amp: {plugged_into: west-box/out/5, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}}")  # fmt: skip
    assert "output-slot" not in reached(dark, "amp", upstream=True)


AMPLIFIED = """
amplifiers: {amp: {plugged_into: east-box/out/7-8, outputs: {one: {loudspeakers: [{impedance_ohm: 8}]}}}}
"""


def test_an_amplifier_stands_between_its_output_and_its_loudspeakers_each_half_by_itself() -> None:
    amplified = rig(AMPLIFIED)
    (way,) = ways_between(amplified, "east-box/out/7", "left").found
    assert [node.name for node in way] == ["east-box/out/7", "amp/in/1", "left"]
    assert reached(amplified, "amp", upstream=False) == {"destination": ["left", "right"]}
    assert "amp/in/2" not in reached(amplified, "left", upstream=True)["amplifier"]
    texts = [step.text for trace in trace_signal(amplified, "house") for step in trace.every()]
    assert texts.index("amp, amplifier") < next(i for i, text in enumerate(texts) if text.startswith("left, "))
    (ended,) = trace_signal(amplified, "left")
    assert ended.text == "left, house-loudspeaker, driven by the amplifier amp"
    (amp,) = trace_signal(amplified, "amp")
    assert [step.text for step in amp.every() if step.text.startswith("drives")] == [
        "drives left, house-loudspeaker", "drives right, house-loudspeaker",
    ]  # fmt: skip


def test_an_amplifier_alone_hears_all_that_is_sent_to_it_and_powered_loudspeakers_do_without() -> None:
    lone = rig("amplifiers: {amp: {plugged_into: east-box/out/7, outputs: {one: {loudspeakers: [{impedance_ohm: 8}]}}}}\n"
               "destinations: {left: {watts: 200}}")  # fmt: skip
    (way,) = ways_between(lone, "east-box/out/7", "left").found
    assert [node.name for node in way] == ["east-box/out/7", "left"]
    assert "vocal" in reached(lone, "amp", upstream=True)["source"]


SLIPPED = """
devices: {east-box: {output_bank: 1-8}}
amplifiers:
  amp: {plugged_into: east-box/out/1, expects: house.mono, outputs: {one: {loudspeakers: [{impedance_ohm: 8}]}}}
"""


def test_a_mix_that_enters_an_amplifier_that_expects_another_is_wrong_there() -> None:
    steps = [step for trace in trace_signal(rig(SLIPPED), "wedge-mix") for step in trace.every()]
    assert [step.text for step in steps if step.stops] == [
        "amp, amplifier, which expects house.mono and gets wedge-mix: WRONG"
    ]
    (box,) = trace_signal(rig(SLIPPED), "east-box")
    assert "east-box/out/1 carries wedge-mix: amp, amplifier, which expects house.mono and gets wedge-mix: WRONG" in [
        step.text for step in box.every() if step.stops
    ]


def test_a_box_tells_its_amplifiers_and_what_they_drive() -> None:
    (box,) = trace_signal(rig(AMPLIFIED), "east-box")
    texts = [step.text for step in box.every()]
    assert texts[-4:] == [
        "east-box/out/7 carries house.left: amp", "left, house-loudspeaker, which expects house.left: as meant",
        "east-box/out/8 carries house.right: amp", "right, house-loudspeaker, which expects house.right: as meant",
    ]  # fmt: skip


def test_a_box_feeds_its_own_outputs_and_what_hangs_behind_it() -> None:
    rig = resolved(BASE)
    west, trunk = reached(rig, "west-box", upstream=False), reached(rig, "trunk", upstream=False)
    assert west == trunk  # the first box of the link is all that its cable carries
    assert silent_without(rig, "west-box") == silent_without(rig, "trunk")
    assert "piano" in silent_without(rig, "west-box")  # it is plugged into the box behind
    assert "vocal" not in silent_without(rig, "east-box")


def test_what_lives_by_the_phantom_power_of_a_box_is_silent_without_it() -> None:
    split = (
        "devices: {mon: {model: console-16}}\n"
        "splits: {stage: {kind: analogue, sources: [vocal, choir]}}\n"
        "sources:\n"
        "  vocal: {plugged_into: [west-box/in/1, mon/in/1]}\n"
        "  choir: {plugged_into: [west-box/in/2, mon/in/2]}\n"
        "channels: {2: {phantom: on}}\n"
        "consoles:\n"
        "  mon:\n"
        "    channels: {1: {carries: vocal, patched_from: mon/in/1}, 2: {carries: choir, patched_from: mon/in/2}}\n"
        "    mixes: {cue: {kind: monitor, takes: {channels: [1-2]}}}\n"
        "feeds: {mon/out: {1: cue}}\n"
        "destinations: {cue-wedge: {kind: wedge, plugged_into: mon/out/1, expects: cue}}"
    )
    silent = silent_without(resolved(BASE, split), "west-box")
    assert "choir" in silent
    assert "vocal" not in silent
    there = split.replace("patched_from: mon/in/2", "patched_from: mon/in/2, phantom: on").replace(
        "2: {phantom: on}}", "2: {phantom: off}}"
    )
    assert "choir" not in silent_without(resolved(BASE, there), "west-box")


CLEAN = sorted((Path(__file__).parents[1] / "clean").glob("*/rigs/*.yaml"))
BOTH_ENDS = sorted((Path(__file__).parents[1] / "plan" / "both_ends").glob("rigs/*.yaml"))


@pytest.mark.parametrize("path", [*CLEAN, *BOTH_ENDS], ids=lambda path: f"{path.parent.parent.name}-{path.stem}")
def test_the_sources_that_are_silent_without_a_thing_are_those_that_a_plan_finds(path: Path) -> None:
    rig, models = resolve_rig(load_rig(path)), Models(house_folder(path))
    for kind, names in (("cable", rig.rig.cables), ("box", rig.boxes), ("circuit", rig.rig.circuit_names)):
        for name in names:
            silent = what_if(rig, ["lose", kind, name], models, CATALOGUE).effect.silent
            assert [each for each in silent_without(rig, name) if each in rig.rig.sources] == [*silent], name


def named(ways: Ways) -> list[str]:
    return [" ".join(dict.fromkeys(node.name for node in way)) for way in ways.found]


def test_the_ways_of_a_link_cable_begin_at_what_it_carries_either_way() -> None:
    down = "desk/link-1/15 east-box/out/7 left"
    assert named(ways_between(rig(), "crossing", "left")) == [
        down, f"east-box/in/1 desk/link-1/17 desk/channel/3 house house.left {down}",
    ]  # fmt: skip
    # A box nearer to the console that carries the same slots does so without that cable.
    twin = rig("devices: {west-box: {output_bank: 9-16}}\n"
               "destinations: {wedge: {plugged_into: west-box/out/7, expects: house.left}}")  # fmt: skip
    assert not [way for way in named(ways_between(twin, "crossing", "wedge")) if way.startswith("desk")]
    assert named(ways_between(rig(), "east-box", "left"))[0] == "east-box/out/7 left"


def test_a_box_feeds_the_same_by_its_label() -> None:
    labelled = rig("devices: {west-box: {label: Box A}}")
    for name in ("Box A", "box a"):
        assert reached(labelled, name, upstream=False) == reached(labelled, "west-box", upstream=False)
        assert silent_without(labelled, name) == silent_without(labelled, "west-box")
