"""The sides of stereo mixes: what is panned to one gets to no other, whichever way it is asked for."""

from __future__ import annotations

import re

import pytest
from rigs import BASE, resolved

from lint.report.trace import reached_text, ways_text
from lint.resolve.graph import Node
from lint.resolve.resolved import ResolvedRig
from lint.resolve.sided import sided_graph
from lint.resolve.ways import reached, sides_reached, ways_between, words_of

PANNED = """\
channels: {1: {pan: left}, 2: {pan: right}}
mixes:
  house: {width: stereo}
  rec:   {kind: record, width: stereo, takes: {mixes: [house.left, house.right]}}
  fill:  {kind: monitor, takes: {mixes: [house.mono]}}
feeds: {desk/out: {1-2: rec, 3: fill}}
destinations:
  recorder: {kind: recorder, plugged_into: desk/out/1-2, expects: rec}
  side:     {kind: fill-loudspeaker, plugged_into: desk/out/3, expects: fill}
"""


def rig() -> ResolvedRig:
    return resolved(BASE, PANNED)


def test_only_what_is_not_panned_away_is_upstream_of_a_side() -> None:
    assert reached(rig(), "left", upstream=True)["source"] == ["vocal", "piano"]
    assert reached(rig(), "right", upstream=True)["source"] == ["choir", "piano"]
    assert reached(rig(), "side", upstream=True)["source"] == ["vocal", "choir", "piano"]  # both sides together
    assert sides_reached(rig(), "left", upstream=True) == {"house": "left"}
    assert sides_reached(rig(), "side", upstream=True) == {}
    text = reached_text("left", {"mix": ["house"], "signal": ["house.left"]}, True, sides={"house": "left"})
    assert "mixes (1): house (left)\n" in text


def test_what_is_panned_feeds_one_side_and_stays_on_it_where_both_are_taken() -> None:
    fed = reached(rig(), "vocal", upstream=False)
    assert fed["destination"] == ["wedge", "left", "recorder", "side"]
    assert {"house.left", "rec.left", "house.mono"} <= set(fed["signal"])
    assert not {"house.right", "rec.right"} & set(fed["signal"])
    assert sides_reached(rig(), "vocal", upstream=False) == {"house": "left", "rec": "left"}
    assert set(reached(rig(), "piano", upstream=False)["signal"]) >= {"house.left", "house.right", "rec.right"}


@pytest.mark.parametrize(
    ("source", "end", "said"),
    [("vocal", "left", ["house (panned left)", "house.left"]), ("vocal", "side", ["house (panned left)", "house.mono"]),
     ("choir", "right", ["house (panned right)"]), ("piano", "left", ["house", "house.left"])],
)  # fmt: skip
def test_a_way_names_the_side_that_its_channel_is_panned_to(source: str, end: str, said: list[str]) -> None:
    ways = ways_between(rig(), source, end)
    (words,) = [words_of(rig(), way) for way in ways.found]
    at = words.index(said[0])
    assert words[at : at + len(said)] == said
    assert Node("mix", "house") in ways.found[0]
    text = re.sub("\x1b\\[[0-9]+m", "", ways_text(source, end, ways, [words]))
    stops = " ".join(f"✗ {why}" for why in ways.stops[0]) or "✓ nothing stops it by the file"
    assert " ".join(text.split()).endswith(f"→ {end} {stops}")


def test_there_is_no_way_to_the_side_that_it_is_panned_away_from() -> None:
    assert not ways_between(rig(), "vocal", "right").found
    assert not ways_between(rig(), "choir", "left").found
    assert len(ways_between(rig(), "piano", "recorder").found) == 2  # by either side


def test_every_side_and_nothing_else_is_a_node_of_its_own() -> None:
    sided = sided_graph(rig())
    assert {half.name for half in sided.side} == {"house.left", "house.right", "rec.left", "rec.right"}
    assert set(sided.plain.values()) == set(rig().graph.after)
    assert sided.plainly(sided.reached_from([Node("source", "vocal")], without={Node("mix", "house")})) == {
        Node("source", "vocal"), Node("input-socket", "west-box/in/1"), Node("input-slot", "desk/link-1/1"),
        Node("channel", "desk/channel/1"), *(node for node in rig().graph.after if "wedge" in node.name),
        Node("output-slot", "desk/link-1/1"), Node("output-socket", "west-box/out/1"),
    }  # fmt: skip
