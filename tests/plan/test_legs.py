"""Split sources whose every plug may move, and may be heard by another console: against every other way to plug them.

Each other way is built and resolved like a cure; none may leave less wrong, or as much by fewer changes.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_rigs import INPUTS
from rigs import examples

from lint.check.catalogue import load_catalogue
from lint.plan.cures import CONSOLE, FEWEST, PLUGS
from lint.plan.inputs import InputSide
from lint.plan.outputs import OutputCure
from lint.plan.plug import InputCure, Plug
from lint.plan.whatif import what_if
from lint.resolve.phantom import NEEDED, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.model import Models

CATALOGUE = load_catalogue()
KINDS = {"on": "condenser-microphone", "off": "ribbon-microphone", "": "dynamic-microphone"}
CHANGES = ["lose mon", "lose desk", "move box-b desk/link-1", "move box-b desk/link-2", "move box-a mon/link-2"]
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
