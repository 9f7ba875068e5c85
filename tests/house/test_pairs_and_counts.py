"""YAML rules over pairs of rows, and over numbers of rows."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import pytest

from lint.house import budget

STEREO = """
sources:
  organ-left:  {kind: condenser-microphone, plugged_into: west-box/in/5}
  organ-right: {kind: condenser-microphone, plugged_into: east-box/in/5}
channels:
  5: {label: Organ L, carries: organ-left,  patched_from: desk/link-1/5,  phantom: on, gain_db: 30}
  6: {label: Organ R, carries: organ-right, patched_from: desk/link-1/21, phantom: on, gain_db: 34}
pairs: {organ: {left: organ-left, right: organ-right}}
"""


def test_two_rows_that_should_be_alike(house: Any) -> None:
    house.rig(STEREO)
    house.rule(
        """
        pairs_of: sources
        where: {alike: pair}
        expect: {alike: [gain_db, box], unlike: side}
        """
    )
    (finding,) = house.found()
    assert finding.message == (
        "organ-left and organ-right: gain_db is 30 and 34, expected the same; "
        "box is west-box and east-box, expected the same"
    )
    assert [place.address for place in finding.places] == ["organ-left and organ-right", "organ-right"]
    assert [place.line for place in finding.places] == [5, 6]


def test_what_is_not_stated_is_neither_alike_nor_unlike(house: Any) -> None:
    house.rule("pairs_of: sources\nwhere: {alike: group}\nexpect: {alike: box}")
    assert house.messages() == []
    house.rule("pairs_of: sources\nwhere: {unlike: group}\nexpect: {alike: box}")
    assert house.messages() == []
    house.rule("pairs_of: sources\nwhere: {first: {id: choir}, second: {id: piano}}\nexpect: {alike: group}")
    assert house.messages() == ["choir and piano: group is nothing and nothing, expected the same"]


@pytest.mark.parametrize("order", [("choir", "piano"), ("piano", "choir")])
def test_in_which_order_the_two_are_written_does_not_matter(house: Any, order: tuple[str, str]) -> None:
    first, second = order
    house.rule(
        f"pairs_of: sources\nwhere: {{first: {{id: {first}}}, second: {{id: {second}}}}}\nexpect: {{alike: box}}\n"
        "message: '{first.id} on {first.box}, {second.id} on {second.box}'"
    )
    boxes = {"choir": "west-box", "piano": "east-box"}
    assert house.messages() == [f"{first} on {boxes[first]}, {second} on {boxes[second]}"]


def test_every_pair_is_told_once(house: Any) -> None:
    house.rule("pairs_of: sources\nexpect: {alike: id}\nmessage: '{first.id} {second.id}'")
    told = {frozenset(message.split()) for message in house.messages()}
    assert told == {frozenset(pair) for pair in combinations(["choir", "lead-vocal", "piano"], 2)}
    assert len(house.messages()) == 3


def test_several_wheres_and_schemas_of_pairs(house: Any) -> None:
    house.rule(
        """
        pairs_of: sources
        where: [{first: {id: choir}, second: {id: piano}}, {alike: box}]
        expect: {schema: {properties: {first: {properties: {number: {const: 7}}}}}}
        message: "{first.id} {second.id}"
        """
    )
    assert sorted(" ".join(sorted(message.split())) for message in house.messages()) == [
        "choir lead-vocal",
        "choir piano",
    ]


def test_too_many_pairs_are_that_rules_failure_and_name_the_way_out(
    house: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("lint.house.pair_rule.MAX_PAIRS", 5)
    house.rule("pairs_of: sources\nexpect: {alike: id}", "all-alike")
    house.rule("for_each: sources\nwhere: {id: piano}\nexpect: {box: west-box}")
    findings = house.check().findings
    assert [(finding.rule, finding.about) for finding in findings if finding.rule != "all-alike"] == [
        ("rule-failed", "rules/all-alike"),
        ("own-rule", "piano"),
    ]
    assert "it looks at more than 5 pairs; narrow it with `where`, such as `alike`" in findings[0].message


def test_a_rule_that_takes_too_long_is_ended(house: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(budget, "SECONDS", -1.0)
    house.rule("for_each: sources\nwhere: {id: piano}\nexpect: {box: west-box}")
    (finding,) = house.check().findings
    assert finding.rule == "rule-failed"
    assert "it took longer than -1 s; narrow it with `where`" in finding.message


# -- counts ----------------------------------------------------------------------------------------------------


def test_at_most_so_many_for_each_value_of_a_fact(house: Any) -> None:
    house.rule("for_each: sources\nwhere: {needs_phantom: true}\nat_most: 1 per box")
    assert house.messages() == []
    house.rig("sources: {extra: {kind: active-di, plugged_into: west-box/in/9}}")
    (finding,) = house.found()
    assert finding.message == "box west-box: 2 sources (choir, extra), expected at most 1"
    assert finding.about == "west-box"
    assert [place.address for place in finding.places] == ["west-box", "choir", "extra"]
    assert finding.facts == {"count": 2}


def test_at_least_counts_a_value_that_no_counted_row_has(house: Any) -> None:
    house.rule(
        "for_each: sources\nwhere: {kind: dynamic-microphone}\nat_least: 1 per box\nmessage: '{box} has {count}: {ids}'"
    )
    assert house.messages() == ["east-box has 0: none"]


def test_in_all(house: Any) -> None:
    house.rule("for_each: channels\nwhere: {carries: choir}\nat_least: 2\nat_most: 3")
    (finding,) = house.found()
    assert finding.message == "1 channel (2), expected at least 2"
    assert (finding.about, finding.places[0].line) == ("channels", 14)


def test_per_a_list_counts_each_member(house: Any) -> None:
    house.rule("for_each: channels\nat_most: 2 per mixes\nmessage: '{mixes} hears {count}'")
    assert house.messages() == ["house hears 3"]


def test_the_channel_that_must_be_there(house: Any) -> None:
    house.rule(
        "for_each: channels\nwhere: {number: 1, carries: lectern}\nat_least: 1\nmessage: 'channel 1 is not the lectern'"
    )
    assert house.messages() == ["channel 1 is not the lectern"]
    house.rig(
        "sources: {lectern: {kind: condenser-microphone, plugged_into: west-box/in/1}, lead-vocal: null}\n"
        "channels: {1: {carries: lectern}}"
    )
    assert house.messages() == []


def test_of_several_ways_the_message_of_a_pair_names_all(house: Any) -> None:
    house.rule(
        "pairs_of: sources\nwhere: {first: {id: choir}, second: {id: piano}}\nexpect: [{alike: box}, {alike: kind}]"
    )
    (message,) = house.messages()
    assert message.count("; or ") == 1
    assert "box is west-box and east-box, expected the same; or kind is " in message


def test_one_row_is_told_as_one(house: Any) -> None:
    house.rule("for_each: channels\nwhere: {number: 1}\nat_most: 0")
    (message,) = house.messages()
    assert message == "1 channel (1), expected at most 0"
