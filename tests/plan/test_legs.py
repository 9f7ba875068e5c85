"""Split sources whose every plug may move, and may be heard by another console: against every other way to plug them.

Each other way is built and resolved like a cure; none may leave less wrong, or as much by fewer changes.
"""

from __future__ import annotations

import copy
import itertools
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_rigs import INPUTS
from rigs import examples

from lint.check.catalogue import load_catalogue
from lint.plan.cures import CONSOLE, FEWEST, PLUGS, Mending, _free
from lint.plan.inputs import InputSide
from lint.plan.intent import intent_of
from lint.plan.moves import POWERS, Move, in_order
from lint.plan.outage import outage_of
from lint.plan.outputs import OutputCure
from lint.plan.plug import InputCure, Plug
from lint.plan.spares import Rescuer
from lint.plan.whatif import what_if
from lint.resolve.phantom import NEEDED, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.model import Models

CATALOGUE = load_catalogue()
KINDS = {"on": "condenser-microphone", "off": "ribbon-microphone", "": "dynamic-microphone"}
CHANGES = [
    "lose mon",
    "lose desk",
    "replace box-a grouped-4x2",
    "replace box-b grouped-4x2",
    "move box-b desk/link-1",
    "move box-b desk/link-2",
    "move box-a mon/link-2",
]
MOST_MOVED = 2


@st.composite
def rigs(draw: st.DrawFn) -> dict[str, Any]:
    """A right rig of two consoles with a box each, and up to three sources, two of which both hear."""
    models = {name: draw(st.sampled_from(["grouped-4x2", "grouped-4x2", "mini-3x2"])) for name in ("box-a", "box-b")}
    free = {name: draw(st.permutations(range(1, INPUTS[model] + 1))) for name, model in models.items()}
    data: dict[str, Any] = {
        "rig_format": 1,
        "devices": {
            "desk": {"model": "console-mini"},
            "mon": {"model": "console-mini"},
            **{name: {"model": model} for name, model in models.items()},
        },
        "cables": {
            "to-box-a": {"from": "desk/link-1", "to": "box-a/upstream"},
            "to-box-b": {"from": "mon/link-1", "to": "box-b/upstream"},
        },
    }
    sources: dict[str, Any] = {}
    rows: dict[str, dict[str, Any]] = {"desk": {}, "mon": {}}
    stands: dict[tuple[str, int], str] = {}

    def plug(name: str, console: str, box: str, number: int, says: str) -> str:
        rows[console][str(len(rows[console]) + 1)] = {
            "carries": name,
            "patched_from": f"{console}/link-1/{number}",
            "phantom": says,
        }
        return f"{box}/in/{number}"

    def stand_of(box: str, number: int) -> tuple[str, int]:
        return box, (number - 1) // 2 if models[box] == "grouped-4x2" else number

    for i in range(draw(st.integers(2, 3))):
        one, two = stand_of("box-a", free["box-a"][i]), stand_of("box-b", free["box-b"][i])
        ways = [stands.setdefault(at, draw(st.sampled_from(["on", "off"]))) for at in (one, two)]
        is_split = i < 2
        # Of two ends that are on only one may be heard with phantom power; so such a source needs none.
        fed = ways if is_split else ways[:1]
        kinds = ["on"] if fed.count("on") == 1 else ["off", ""] if "on" not in fed else [""]
        kind = draw(st.sampled_from(kinds))
        says = [way if kind != "off" else "off" for way in ways]
        legs = [plug(f"s{i}", "desk", "box-a", free["box-a"][i], says[0])]
        if is_split:
            legs.append(plug(f"s{i}", "mon", "box-b", free["box-b"][i], says[1]))
        sources[f"s{i}"] = {
            "kind": KINDS[kind],
            "plugged_into": legs if is_split else legs[0],
            "priority": draw(st.integers(1, 2)),
        }
    data |= {"sources": sources, "channels": rows["desk"], "consoles": {"mon": {"channels": rows["mon"]}}}
    data["splits"] = {"stage": {"kind": "analogue", "sources": ["s0", "s1"]}}
    return data


def ways_to_plug(side: InputSide) -> Iterator[dict[Plug, Socket]]:
    """Yield every way in which a few plugs have moved, each into a socket of its own, and none that is heard away."""
    for count in range(MOST_MOVED + 1):
        for going in itertools.combinations(side.plugs, count):
            staying = {plug.socket for plug in side.plugs if plug not in going}
            ends = [at for at in {*side.usable, *(plug.socket for plug in going)} if at not in staying]
            for row in itertools.permutations(ends, count):
                moves = dict(zip(going, row, strict=True))
                if all(end != plug.socket for plug, end in moves.items()):
                    yield moves


def cures(side: InputSide, may_patch: bool, may_move: bool) -> Iterator[InputCure]:
    """Yield the cure of every way to plug, with every console listening to every plug that it can."""
    rig = side.rig
    waiting = list(side.intent.items())
    for moves in ways_to_plug(side) if may_move else [{}]:
        at: dict[str, list[Socket]] = {}
        for plug in side.plugs:
            at.setdefault(plug.source, []).append(moves.get(plug, plug.socket))
        points = [
            [None, *(p for socket in at[str(name)] if (p := side.point(socket, key[0])) is not None)]
            if may_patch
            else [None]
            for key, name in waiting
        ]
        for chosen in itertools.product(*points):
            patched = {
                key: point
                for (key, _), point in zip(waiting, chosen, strict=True)
                if point is not None and point != rig.rig.channels[key].patched_from
            }
            keeps = {key: c.patched_from for key, c in rig.rig.channels.items() if c.patched_from is not None}
            yield InputCure(patched, moves, keeps | patched)


def is_fair(side: InputSide, cure: InputCure, result: ResolvedRig) -> bool:
    """Whether no plug that is heard now is moved to where nobody hears it, or where it has no phantom power."""
    for plug in cure.moves:
        was = [c for c in side.rig.channels_of.get(plug.source, ()) if side.heard[c.key] == plug.socket]
        if was and not any(c.key in side.intent for c in result.channels_of.get(plug.source, ())):
            return False
        needs = phantom_need(side.rig.rig.sources[plug.source]) == NEEDED
        if was and needs and plug.source in result.phantom.unpowered:
            return False
    return True


def held(before: ResolvedRig, change: str, way: str, models: Models) -> None:
    """Hold one cure of a change against every other."""
    mending = what_if(before, change.split(), models, CATALOGUE).mending
    cure = mending._worked_out(way)
    side = InputSide(mending.before, mending.rig, mending.intent, mending.dead)
    found = mending.wrong_in(cure.result), cure.changes
    for other in cures(side, way != PLUGS, way != CONSOLE):
        made = mending.built(way, other, OutputCure())
        if is_fair(side, other, made.result):
            assert (mending.wrong_in(made.result), made.changes) >= found, (other, cure)


@examples(0.05)
@given(rigs(), st.sampled_from(CHANGES))
@pytest.mark.parametrize("way", [CONSOLE, PLUGS, FEWEST])
def test_no_other_way_is_better(
    built: Callable[[dict[str, Any]], ResolvedRig], models: Models, way: str, data: dict[str, Any], change: str
) -> None:
    held(built(data), change, way, models)


# Two consoles with a box each, whose inputs share their phantom switches by twos; a split of two sources.
TWO_BOXES: dict[str, Any] = {
    "rig_format": 1,
    "devices": {
        "desk": {"model": "console-mini"},
        "mon": {"model": "console-mini"},
        "box-a": {"model": "grouped-4x2"},
        "box-b": {"model": "grouped-4x2"},
    },
    "cables": {
        "to-box-a": {"from": "desk/link-1", "to": "box-a/upstream"},
        "to-box-b": {"from": "mon/link-1", "to": "box-b/upstream"},
    },
    "splits": {"stage": {"kind": "analogue", "sources": ["s0", "s1"]}},
}


def shared(s0: int, s1: int, s2: int, desk: str, mon: str) -> dict[str, Any]:
    """Two sources with plugs in both boxes (in box-b in 1 and 3) and one that must stay off, in those sockets of box-a.

    `desk` and `mon` say whether their channels have the phantom power of the first two on, such as "off on".
    """
    at = {"1": ("s0", s0), "2": ("s1", s1), "3": ("s2", s2)}
    states = dict(zip("123", (*desk.split(), "off"), strict=True))
    return {
        **TWO_BOXES,
        "sources": {
            "s0": {"kind": KINDS["on"], "plugged_into": [f"box-a/in/{s0}", "box-b/in/1"]},
            "s1": {"kind": KINDS["on"], "plugged_into": [f"box-a/in/{s1}", "box-b/in/3"]},
            "s2": {"kind": KINDS["off"], "plugged_into": f"box-a/in/{s2}"},
        },
        "channels": {
            key: {"carries": name, "patched_from": f"desk/link-1/{number}", "phantom": states[key]}
            for key, (name, number) in at.items()
        },
        "consoles": {
            "mon": {
                "channels": {
                    key: {"carries": name, "patched_from": f"mon/link-1/{number}", "phantom": state}
                    for (key, name, number), state in zip((("1", "s0", 1), ("2", "s1", 3)), mon.split(), strict=True)
                }
            }
        },
    }


# Once mon is dead, s0 has phantom power switched on at the desk; an idle plug of s1 may share it.
WOKEN = shared(1, 4, 3, desk="off off", mon="on on")
# On box-a s0 shares a switch with the ribbon s2: its phantom power comes from the monitor console alone.
SHARING = shared(1, 3, 2, desk="off on", mon="on off")


def test_an_idle_plug_goes_where_phantom_power_comes_on_anyway(
    built: Callable[[dict[str, Any]], ResolvedRig], models: Models
) -> None:
    before = built(copy.deepcopy(WOKEN))
    cure = what_if(before, ["lose", "mon"], models, CATALOGUE).cures[FEWEST]
    assert cure.changes == 2
    assert not cure.turns
    assert [(step.plug, str(step.start), str(step.end)) for step in cure.handlings] == [
        ("s1", "box-b/in/3", "box-a/in/2")
    ]
    held(before, "lose mon", FEWEST, models)


def test_the_plug_that_is_left_over_brings_phantom_power(built: Any, models: Models) -> None:
    plan = what_if(built(SHARING), ["lose", "mon"], models, CATALOGUE)
    cure = plan.cures[PLUGS]
    assert [(step.plug, str(step.start), str(step.end), step.why) for step in cure.handlings] == [
        ("s0", "box-b/in/1", "box-a/in/4", POWERS)
    ]
    assert cure.changes == 1 and cure.proved and cure.unmet == ()
    assert "s0" not in cure.result.phantom.unpowered


def test_a_console_hears_the_other_plug_where_the_switch_of_the_first_must_stay_off(built: Any, models: Models) -> None:
    plan = what_if(built(SHARING), ["move", "box-b", "desk/link-1"], models, CATALOGUE)
    cure = plan.cures[CONSOLE]
    assert "patch channel 1 on desk from desk/link-1/5 (now: desk/link-1/1)" in cure.turns
    assert cure.result.arrivals["desk", 1].socket == Socket("box-b", "in", 1)
    assert "s0" not in cure.result.phantom.unpowered


def test_a_rescue_gives_phantom_power_by_a_plug_that_nobody_hears(built: Any, models: Models) -> None:
    before = built(SHARING)
    outage = outage_of(before, "mon", models)
    rescue = Rescuer(Mending(before, outage.after, intent_of(before), outage.dead, outage.dead, models)).rescue()
    assert {plug.source: str(end) for plug, end in rescue.besides.items()} == {"s0": "box-a/in/4"}
    assert "s0" in rescue.still and rescue.silent == ()


@pytest.mark.parametrize(
    ("kind", "step"),
    [
        ("", "once mon is back, first switch phantom power off on channels 1, 3 on mon, muted"),
        ("on", "once what is dead is back, first switch phantom power off again on channel 1 on desk, muted"),
    ],
)
def test_of_a_dead_console_a_whole_switch_goes_off_or_that_which_came_on(
    built: Any, models: Models, kind: str, step: str
) -> None:
    """In box-b another source hangs on the switch of s0, and has it on too."""
    data = copy.deepcopy(SHARING)
    data["sources"]["s3"] = {"kind": KINDS[kind], "plugged_into": "box-b/in/2"}
    data["consoles"]["mon"]["channels"]["3"] = {"carries": "s3", "patched_from": "mon/link-1/2", "phantom": "on"}
    data["sources"]["s2"]["kind"] = KINDS[""]  # so that the switch at desk may come on
    cure = what_if(built(data), ["lose", "mon"], models, CATALOGUE).cures[CONSOLE]
    assert f"{step}: s0 would have it from both ends of the split" in cure.quiet.last
    # Until then it may be on in box-b, and the written file says so.
    assert Socket("box-b", "in", 1) in cure.result.phantom.lingering


def test_a_plug_leaves_the_ribbon_whose_switch_a_new_box_has_it_share(built: Any, models: Models) -> None:
    """The other plug of s0 hangs on a console without phantom power: it is no way to give it any."""
    data = copy.deepcopy(TWO_BOXES) | {"splits": {"stage": {"kind": "analogue", "sources": ["s0"]}}}
    data["devices"] |= {"mon": {"model": "console-bare"}, "box-a": {"model": "mini-4x4"}}
    data["sources"] = {
        "s0": {"kind": KINDS["on"], "plugged_into": ["box-a/in/1", "mon/in/1"]},
        "s1": {"kind": KINDS["off"], "plugged_into": "box-a/in/2"},
    }
    data["channels"] = {
        "1": {"carries": "s0", "patched_from": "desk/link-1/1", "phantom": "on"},
        "2": {"carries": "s1", "patched_from": "desk/link-1/2", "phantom": "off"},
    }
    data["consoles"] = {"mon": {"channels": {"1": {"carries": "s0", "patched_from": "mon/in/1"}}}}
    before = built(data)
    cure = what_if(before, ["replace", "box-a", "grouped-4x2"], models, CATALOGUE).cures[FEWEST]
    assert (cure.changes, cure.proved, cure.unmet) == (2, True, ())
    assert [step.plug for step in cure.handlings] == ["s0"]
    assert "s0" not in cure.result.phantom.unpowered
    held(before, "replace box-a grouped-4x2", FEWEST, models)


# A box without shared switches, at which a ribbon is plugged in beside s0: the box that replaces it has them share one.
BESIDE: dict[str, Any] = {
    **TWO_BOXES,
    "devices": TWO_BOXES["devices"] | {"box-a": {"model": "mini-4x4"}},
    "splits": {"stage": {"kind": "analogue", "sources": ["s0"]}},
    "sources": {
        "s0": {"kind": KINDS["on"], "plugged_into": ["box-a/in/1", "box-b/in/1"]},
        "s1": {"kind": KINDS["off"], "plugged_into": "box-a/in/2"},
    },
    "channels": {
        "1": {"carries": "s0", "patched_from": "desk/link-1/1", "phantom": "on"},
        "2": {"carries": "s1", "patched_from": "desk/link-1/2", "phantom": "off"},
    },
}


def test_what_was_fed_by_both_ends_goes_silent_like_any_other(built: Any, models: Models) -> None:
    listening = {"carries": "s0", "patched_from": "mon/link-1/1", "phantom": "on"}
    before = built(copy.deepcopy(BESIDE) | {"consoles": {"mon": {"channels": {"1": listening}}}})
    words = "replace box-a grouped-4x2 and lose console mon"
    plan = what_if(before, words.split(), models, CATALOGUE)
    assert any(str(row).startswith("s0 (box-a/in/1) needs phantom power") for row in plan.cures[CONSOLE].unmet)
    cure = plan.cures[FEWEST]
    assert (cure.changes, [step.plug for step in cure.handlings], cure.unmet) == (2, ["s0"], ())
    held(before, words, FEWEST, models)


def test_a_console_hears_the_plug_that_nobody_heard_where_a_new_box_bars_the_other(built: Any, models: Models) -> None:
    data = copy.deepcopy(BESIDE)
    data["cables"]["to-box-b"]["from"] = "desk/link-2"
    data["consoles"] = {"mon": {"channels": {}}}
    before = built(data)
    cure = what_if(before, ["replace", "box-a", "grouped-4x2"], models, CATALOGUE).cures[CONSOLE]
    assert cure.turns == ("patch channel 1 on desk from desk/link-2/1 (now: desk/link-1/1)",)
    assert (cure.changes, cure.unmet) == (1, ())
    held(before, "replace box-a grouped-4x2", FEWEST, models)


def test_two_plugs_of_one_source_change_places() -> None:
    one, two = Socket("box-a", "in", 1), Socket("box-a", "in", 2)
    steps = in_order([Move("s0", one, two), Move("s0", two, one)], [], [Socket("box-a", "in", 3)])
    assert len(steps) == 3
    assert sorted(str(step.end) for step in steps if step.why == "") == ["box-a/in/1", "box-a/in/2"]


def test_nothing_is_parked_in_a_dead_socket(built: Any) -> None:
    rig = built(copy.deepcopy(SHARING) | {"dead": {"box-a/in/4": "crackles"}})
    free = [str(socket) for socket in _free(rig, "in", [])]
    assert "box-a/in/4" not in free and "box-a/in/3" in free


def test_each_channel_of_a_console_hears_a_source_by_a_plug_of_its_own(built: Any, models: Models) -> None:
    """Channel 2 hears it by box-c, which nothing changes: only channel 1 is wrong."""
    data = {
        "rig_format": 1,
        "devices": {"desk": {"model": "console-mini"}} | {f"box-{x}": {"model": "mini-4x4"} for x in "abc"},
        "cables": {
            "one": {"from": "desk/link-1", "to": "box-a/upstream"},
            "two": {"from": "box-a/downstream", "to": "box-b/upstream"},
            "three": {"from": "desk/link-2", "to": "box-c/upstream"},
        },
        "sources": {"s0": {"kind": "dynamic-microphone", "plugged_into": ["box-a/in/1", "box-c/in/1"]}},
        "splits": {"stage": {"kind": "analogue", "sources": ["s0"]}},
        "channels": {
            "1": {"carries": "s0", "patched_from": "desk/link-1/1"},
            "2": {"carries": "s0", "patched_from": "desk/link-2/1"},
        },
    }
    plan = what_if(built(data), ["order", "box-b", "box-a"], models, CATALOGUE)
    for way, cure in plan.cures.items():
        assert (cure.changes, cure.unmet, cure.proved) == (1, (), True), way
    assert list(plan.cures[CONSOLE].patch["channels"]) == ["1"]
