"""Rescues where sockets share a phantom switch: against every way to plug, and what a lead would do by hand."""

from __future__ import annotations

import itertools
import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rigs import examples, resolved
from test_rescue import placed

from lint.plan.cures import Mending
from lint.plan.distance import MOST_STEPS
from lint.plan.intent import intent_of
from lint.plan.outage import outage_of
from lint.plan.spares import Rescuer
from lint.resolve.phantom import BARRED, INDIFFERENT, NEEDED, phantom_need
from lint.rig.address import Socket
from lint.rig.model import Models

KINDS = ["condenser-microphone", "dynamic-microphone", "ribbon-microphone"]


@pytest.fixture(scope="module")
def grouped(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """A house with boxes that switch phantom in groups of two, three and four, and one that has none."""
    folder = tmp_path_factory.mktemp("grouped")
    (folder / "models").mkdir()
    chain = "chain: {slots: {48000: 48}}\n"
    sizes = {"pairs-6": 2, "threes-6": 3, "fours-16": 4}
    phantoms = {name: f"phantom: groups, phantom_group_size: {size}" for name, size in sizes.items()}
    for name, phantom in {**phantoms, "bare-2": "phantom: none"}.items():
        count = name.partition("-")[2]
        text = (
            f"model_format: 1\nkind: stage-box\ninputs: {{count: {count}, {phantom}}}\noutputs: {{count: 1}}\n{chain}"
        )
        (folder / "models" / f"{name}.yaml").write_text(text, encoding="utf-8")
    text = "model_format: 1\nkind: console\ninputs: {count: 0}\noutputs: {count: 1}\nchannels: 32\nlinks: {link-1: {slots: {48000: 48}}}\n"
    (folder / "models" / "bare-desk.yaml").write_text(text, encoding="utf-8")
    return folder


@st.composite
def phantom_rigs(draw: st.DrawFn) -> dict[str, Any]:
    devices = {
        "desk": {"model": "bare-desk"},
        "near": {"model": draw(st.sampled_from(["pairs-6", "threes-6"]))},
        "bare": {"model": "bare-2"},
        "lost": {"model": "stage-box-8x8"},
        "mon": {"model": "console-16"},
    }
    cables = {
        "one": {"from": "desk/link-1", "to": "near/upstream", "length_m": draw(st.integers(1, 40))},
        "two": {"from": "near/downstream", "to": "bare/upstream", "length_m": draw(st.integers(1, 40))},
        "three": {"from": "bare/downstream", "to": "lost/upstream", "length_m": draw(st.integers(1, 40))},
    }
    plugs = draw(st.lists(st.sampled_from(KINDS), min_size=1, max_size=5))
    sources = {
        f"s{i}": {"kind": kind, "plugged_into": f"lost/in/{i + 1}", "priority": draw(st.sampled_from([1, 5]))}
        for i, kind in enumerate(plugs)
    }
    channels = {str(i + 1): {"carries": f"s{i}", "patched_from": f"desk/link-1/{8 + i + 1}"} for i in range(len(plugs))}
    for number in draw(st.sets(st.integers(1, 6), max_size=3)):
        sources[f"own{number}"] = {"kind": draw(st.sampled_from(KINDS)), "plugged_into": f"near/in/{number}"}
        channels[str(20 + number)] = {"carries": f"own{number}", "patched_from": f"desk/link-1/{number}"}
        if sources[f"own{number}"]["kind"] == KINDS[1]:
            channels[str(20 + number)]["phantom"] = draw(st.sampled_from(["on", "off"]))
    # Some that need phantom power have it from another console, behind a split.
    needing = [name for name, row in sources.items() if row["kind"] == KINDS[0]]
    fed = sorted(draw(st.sets(st.sampled_from(needing)))) if needing else []
    there = {}
    for number, name in enumerate(fed, 1):
        sources[name]["plugged_into"] = [sources[name]["plugged_into"], f"mon/in/{number}"]
        there[str(number)] = {"carries": name, "patched_from": f"mon/in/{number}", "phantom": "on"}
    pairs = {"wide": {"left": "s0", "right": "s1"}} if len(plugs) > 1 and draw(st.booleans()) else {}
    return {
        "rig_format": 1, "devices": devices, "cables": cables, "sources": sources, "channels": channels, "pairs": pairs,
        "splits": {"wires": {"kind": "analogue", "sources": fed}} if fed else {}, "consoles": {"mon": {"channels": there}},
    }  # fmt: skip


def fits(rig: Any, places: dict[str, Socket | None]) -> tuple[int, int] | None:
    """Count who has phantom power from both ends and who for nothing; None where somebody lacks it or is harmed."""
    twice = needless = 0
    size = rig.devices["near"].model.inputs.phantom_group_size
    for first in range(1, 7, size):
        sockets = [Socket("near", "in", number) for number in range(first, first + size)]
        old = needs_at(rig, sockets)
        new = [need_of(rig.sources[name]) for name, socket in places.items() if socket in sockets]
        is_on = BARRED not in old and NEEDED in (*old, *new)  # off for one that must not have it, whoever else needs it
        if new and ((is_on and BARRED in new) or (NEEDED in new and not is_on)):
            return None
        heard = [row for row in rig.channels.values() if row.console == "desk" and row.phantom == "on"]
        says_on = any(rig.sources[row.carries].sockets[0] in sockets for row in heard)
        comes_on = is_on and NEEDED not in old and not says_on  # where it was on before, that is as it was
        needless += is_on * new.count(INDIFFERENT) + comes_on * old.count(INDIFFERENT)
        twice += is_on * new.count("fed") + comes_on * old.count("fed")
    on_bare = [name for name, socket in places.items() if socket is not None and socket.device == "bare"]
    return None if any(need_of(rig.sources[name]) == NEEDED for name in on_bare) else (twice, needless)


def need_of(source: Any) -> str:
    """What phantom power is to a source: one with a second leg has it from there."""
    return "fed" if len(source.sockets) > 1 else phantom_need(source)


def needs_at(rig: Any, sockets: list[Socket]) -> list[str]:
    return [need_of(source) for source in rig.sources.values() if source.sockets[0] in sockets]


@examples(1)
@given(st.data())
def test_against_every_way_to_plug_where_sockets_share_a_phantom_switch(grouped: Any, data: st.DataObject) -> None:
    drawn = data.draw(phantom_rigs())
    before = resolved(json.dumps(drawn), house=grouped)
    outage = outage_of(before, "lost", Models(grouped))
    mending = Mending(before, outage.after, intent_of(before), outage.dead, outage.dead, Models(grouped))
    found = Rescuer(mending)
    rescue = found.rescue()
    rig = before.rig
    lost = [plug.source for plug in found.lost]

    def cost(places: dict[str, Socket | None]) -> tuple[Any, ...] | None:
        phantom = fits(rig, places)
        left = sorted(rig.sources[name].priority for name, socket in places.items() if socket is None)
        counts = tuple(left.count(priority) for priority in range(1, 10))
        pairs = [(places[row.left], places[row.right]) for row in rig.pairs.values()]
        halved = sum((one is None) != (two is None) for one, two in pairs)
        apart = sum(one is not None and two is not None and one.device != two.device for one, two in pairs)
        at = {plug.source: plug.socket for plug in found.lost}
        ways = [[0] * 10, [0] * 10]
        for name, socket in places.items():
            if socket is not None:
                decimetres, steps = divmod(found.stage.far(at[name], socket), MOST_STEPS)
                ways[0][rig.sources[name].priority] += decimetres
                ways[1][rig.sources[name].priority] += steps
        return None if phantom is None else (counts, halved, *phantom, apart, ways)

    own = {plug.source: socket for plug, socket in rescue.places.items()}
    got = cost({name: own.get(name) for name in lost})
    assert got is not None
    options: list[Socket | None] = [*(at for at in found.free if at.device != "mon"), *[None] * len(lost)]
    every = set(itertools.permutations(options, len(lost))) if len(lost) < 4 else set()
    costs = [c for row in every if (c := cost(dict(zip(lost, row, strict=True)))) is not None]
    assert got == min(costs, default=got)
    assert rescue.proved


BY_HAND = """
rig_format: 1
devices:
  desk: {model: console-32, along_stage_m: 20}
  a-box: {model: fours-16, along_stage_m: 0}
  b-box: {model: stage-box-8x8, along_stage_m: 9}
cables:
  trunk: {from: desk/link-1, to: a-box/upstream, length_m: 45}
  cross: {from: a-box/downstream, to: b-box/upstream, length_m: 15}
sources:
  lead: {kind: dynamic-microphone, plugged_into: a-box/in/9, priority: 1}
  backing: {kind: dynamic-microphone, plugged_into: a-box/in/10, priority: 4}
  keys-left: {kind: passive-di, plugged_into: b-box/in/1, priority: 3}
  keys-right: {kind: passive-di, plugged_into: b-box/in/2, priority: 3}
  lectern: {kind: condenser-microphone, plugged_into: b-box/in/3, priority: 1}
  acoustic: {kind: active-di, plugged_into: b-box/in/4, priority: 4}
  violin: {kind: condenser-microphone, plugged_into: b-box/in/5, priority: 6}
pairs: {keys: {left: keys-left, right: keys-right}}
channels:
  1: {carries: lead, patched_from: desk/link-1/9}
  2: {carries: backing, patched_from: desk/link-1/10}
  3: {carries: keys-left, patched_from: desk/link-1/17}
  4: {carries: keys-right, patched_from: desk/link-1/18}
  5: {carries: lectern, patched_from: desk/link-1/19, phantom: on}
  6: {carries: acoustic, patched_from: desk/link-1/20, phantom: on}
  7: {carries: violin, patched_from: desk/link-1/21, phantom: on}
"""


def house_of(taken: range) -> str:
    """The rig above, with sockets of the first box taken by microphones that must not have phantom power."""
    data: dict[str, Any] = {"sources": {}, "channels": {}}
    for number in taken:
        data["sources"][f"ribbon{number}"] = {"kind": "ribbon-microphone", "plugged_into": f"a-box/in/{number}"}
        data["channels"][str(20 + number)] = {"carries": f"ribbon{number}", "patched_from": f"desk/link-1/{number}"}
    return json.dumps(data)


def test_nobody_who_stays_gets_phantom_power_for_nothing_where_another_switch_is_free(grouped: Any) -> None:
    """Lead and backing hang on the switch of 9-12: what needs none goes there, and nothing is carried to the desk."""
    before = resolved(BY_HAND, house_of(range(1, 9)), house=grouped)
    outage = outage_of(before, "b-box", Models(grouped))
    mending = Mending(before, outage.after, intent_of(before), outage.dead, outage.dead, Models(grouped))
    rescue = Rescuer(mending).rescue()
    assert rescue.proved
    assert placed(rescue) == {
        "keys-left": "a-box/in/11",
        "keys-right": "a-box/in/12",
        "lectern": "a-box/in/13",
        "acoustic": "a-box/in/14",
        "violin": "a-box/in/15",
    }
