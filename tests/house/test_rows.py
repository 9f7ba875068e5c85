"""YAML rules over rows: what is found, what is said of it, and where it points."""

from __future__ import annotations

from typing import Any

import pytest


def test_a_rule_finds_the_rows_that_are_not_as_expected_and_no_others(house: Any) -> None:
    house.rule(
        """
        for_each: sources
        where: {kind: [condenser-microphone, dynamic-microphone]}
        expect: {box: west-box}
        message: "{id} is on {box}, it lives on west-box"
        """
    )
    assert house.messages() == []
    house.rig("sources: {choir: {plugged_into: east-box/in/2}}")
    (finding,) = house.found()
    assert finding.message == "choir is on east-box, it lives on west-box"
    assert (finding.about, finding.weight.value, finding.family) == ("choir", "caution", "plugs")
    # It points at the key that says it, in the file that says it.
    place = finding.places[0]
    assert (place.file.rpartition("/")[2], place.line, place.column) == ("sunday.yaml", 3, 33)
    assert finding.facts == {"box": "east-box"}


def test_without_a_message_it_says_what_is_and_what_was_expected(house: Any) -> None:
    house.rule("for_each: channels\nwhere: {number: 2}\nexpect: {phantom: 'off', gain_db: {at_most: 50}}")
    assert house.messages() == ["channel 2: phantom is on, expected off; gain_db is nothing, expected at most 50"]


@pytest.mark.parametrize(
    ("where", "ids"),
    [
        ("", ["choir", "lead-vocal", "piano"]),
        ("where: {kind: active-di}", ["piano"]),
        ("where: {kind: [active-di, dynamic-microphone]}", ["lead-vocal", "piano"]),
        ("where: {kind: {not: active-di}}", ["choir", "lead-vocal"]),
        ("where: {kind: {not: [active-di, dynamic-microphone]}}", ["choir"]),
        ("where: {kind: {not: {matches: '*microphone'}}}", ["piano"]),
        ("where: {kind: {matches: '*-microphone'}, number: 1}", ["lead-vocal"]),
        ("where: {id: {matches: '?iano'}}", ["piano"]),
        ("where: {number: {above: 1}}", ["choir"]),
        ("where: {number: {at_least: 1, below: 2}}", ["lead-vocal", "piano"]),
        ("where: {needs_phantom: true}", ["choir", "piano"]),
        ("where: {group: null}", ["choir", "lead-vocal", "piano"]),
        ("where: {group: {not: null}}", []),
        ("where: {group: [null, choir], box: east-box}", ["piano"]),
        ("where: {mixes: {has: singer-mon}}", ["lead-vocal"]),
        ("where: {mixes: {has_no: singer-mon}}", ["choir", "piano"]),
        ("where: {mixes: {only: house}}", ["choir", "piano"]),
        ("where: {mixes: {has: {matches: '*-mon'}}}", ["lead-vocal"]),
        ("where: {mixes: {count: 2}}", ["lead-vocal"]),
        ("where: {mixes: {count: {at_most: 1}}}", ["choir", "piano"]),
        ("where: {channels: {has: {above: 2}}}", ["piano"]),
        ("where: {number: [1, {above: 5}]}", ["lead-vocal", "piano"]),
        ("where: [{kind: active-di}, {number: 2}]", ["choir", "piano"]),
        ("where: {slot_number: {schema: {multipleOf: 2}}}", ["choir"]),
        ("where: {schema: {properties: {id: {minLength: 6}}}}", ["lead-vocal"]),
        ("where: {cable_m: 52}", ["piano"]),
    ],
)
def test_where_says_which_rows_are_meant(house: Any, where: str, ids: list[str]) -> None:
    house.rule(f"for_each: sources\n{where}\nexpect: {{id: nobody}}\nmessage: '{{id}}'")
    assert sorted(house.messages()) == ids


@pytest.mark.parametrize(
    "kind", ["sources", "channels", "mixes", "destinations", "devices", "cables", "paths", "event"]
)
def test_every_kind_of_rows_can_be_asked(house: Any, kind: str) -> None:
    house.rule(f"for_each: {kind}\nexpect: {{id: nobody}}\nmessage: 'not {{id}}'")
    found = house.found()
    assert found
    assert all(finding.places[0].line >= 1 for finding in found)
    assert len({finding.about for finding in found}) == len(found)


def test_circuits_and_levels_are_asked_where_the_rig_speaks_of_them(house: Any) -> None:
    house.rig(
        """
        power: {circuits: {stage: {volts: 230, breaker_a: 16}}}
        sound_levels: {audience: [{what: service, level_dba: 88, hours: 1}, {what: children, level_dba: 86, hours: 1}]}
        """
    )
    house.rule("for_each: circuits\nexpect: {residual_current_device: true}")
    house.rule(
        "for_each: levels\nwhere: {what: {matches: '*children*'}}\nexpect: {level_dba: {below: 85}}", "quiet-children"
    )
    assert house.messages() == ["circuit stage: residual_current_device is nothing, expected true"]
    (finding,) = house.found("quiet-children")
    assert finding.message == "planned level audience/2: level_dba is 86, expected less than 85"
    assert finding.about == "audience/2"
    assert finding.places[0].line == 5


def test_several_ways_to_be_right_are_a_list(house: Any) -> None:
    house.rule("for_each: sources\nexpect: [{box: west-box}, {kind: active-di}]")
    assert house.messages() == []
    house.rule("for_each: sources\nexpect: [{box: east-box}, {kind: active-di}]")
    assert house.messages() == [
        "source choir: box is west-box, expected east-box; or kind is condenser-microphone, expected active-di",
        "source lead-vocal: box is west-box, expected east-box; or kind is dynamic-microphone, expected active-di",
    ]


def test_a_house_sets_severity_and_waives_as_with_any_rule(house: Any) -> None:
    house.rule("for_each: sources\nwhere: {id: piano}\nexpect: {box: west-box}")
    house.rig("rules: {own-rule: {severity: no-go, because: we say so}}")
    assert house.check().verdict.value == "no-go"
    house.rig(
        "event: {date: 2026-11-29}\n"
        "waivers: [{rule: own-rule, about: piano, because: the hall is let, by: M. Okafor, until: 2026-12-06}]"
    )
    (finding,) = house.found()
    assert finding.waived is not None
    house.rig("rules: {own-rule: {off: true, because: not this week}}")
    assert house.found() == []


def test_a_rule_without_a_good_or_a_bad_example_is_a_caution(house: Any) -> None:
    house.rule("for_each: sources\nexpect: {box: [west-box, east-box]}", examples="good: [{event: {name: any}}]\n")
    (finding,) = house.check().findings
    assert (finding.rule, finding.weight.value, finding.about) == ("rule-unproven", "caution", "rules/own-rule")
    assert finding.message == ("the house rule own-rule has no bad example, so nobody knows that it works")
    house.rule("for_each: sources\nexpect: {box: [west-box, east-box]}", examples="")
    assert "has no good and no bad example" in house.check().findings[0].message


def test_a_long_list_does_not_make_a_long_message(house: Any) -> None:
    many = "\n".join(f"  x-{n}: {{kind: monitor, takes: {{channels: [1]}}}}" for n in range(300))
    house.rig(f"mixes:\n{many}\n")
    house.rule("for_each: channels\nwhere: {number: 1}\nexpect: {mixes: {count: 1}}\nmessage: 'in {mixes}'")
    (message,) = house.messages()
    assert len(message) < 220
    assert message.endswith("...")


def test_of_several_ways_the_message_names_all(house: Any) -> None:
    house.rule(
        "for_each: sources\nwhere: {id: piano}\nexpect: [{box: west-box, number: 7}, {kind: passive-di}, {label: Grand}]"
    )
    (message,) = house.messages()
    assert message.startswith("source piano: box is east-box, expected west-box; number is ")
    assert message.count("; or ") == 2
    assert message.endswith(
        "expected 7; or kind is active-di, expected passive-di; or label is nothing, expected Grand"
    )
