"""Dead input sockets: what the check says of who uses them, and that nothing else is told for the same reason."""

from __future__ import annotations

import pytest
from example_rigs import Example

DEAD = "dead: {west-box/in/2: crackles}\n"


def told(example: Example, rig: str) -> list[tuple[str, str]]:
    return [(row.weight.value, row.about) for row in example.findings(rig, "dead-in-use")]


def test_a_plug_that_a_channel_waits_for_is_a_no_go_and_told_once(example: Example) -> None:
    assert told(example, DEAD) == [("no-go", "west-box/in/2")]
    assert example.no_goes(DEAD) == ["dead-in-use"]
    (finding,) = example.findings(DEAD, "dead-in-use")
    assert [place.address for place in finding.places] == ["west-box/in/2", "choir", "desk/channel/2"]
    assert [cure.text for cure in finding.cures] == ["ask `rigwalk spares RIG west-box/in/2` where it goes best"]


def test_what_is_elsewhere_already_is_patched_from_there(example: Example) -> None:
    rig = DEAD + "sources: {choir: {plugged_into: west-box/in/4}}\n"
    (finding,) = example.findings(rig, "dead-in-use")
    assert (
        finding.message == "west-box/in/2 is dead (crackles): channel 2 (Choir) should carry choir, and gets nothing."
    )
    assert [cure.change for cure in finding.cures] == [{"channels": {"2": {"patched_from": "desk/link-1/4"}}}]
    assert example.after_cures(rig, "dead-in-use") == [[]]


def test_nobody_is_patched_from_another_dead_socket(example: Example) -> None:
    rig = "dead: {west-box/in/2: crackles, west-box/in/4: no signal}\nsources: {choir: {plugged_into: west-box/in/4}}\n"
    assert told(example, rig) == [("no-go", "west-box/in/2"), ("caution", "west-box/in/4")]
    assert not [cure for row in example.findings(rig, "dead-in-use") for cure in row.cures if cure.change]


def test_nothing_that_anybody_waits_for_is_a_caution_and_an_unused_one_is_not_told(example: Example) -> None:
    spare = "sources: {tom: {kind: dynamic-microphone, plugged_into: west-box/in/5}}\n"
    assert told(example, "dead: {west-box/in/4-6: no signal}\n" + spare) == [("caution", "west-box/in/4-6")]
    assert told(example, "dead: {west-box/in/4-6: no signal}\n") == []


def test_a_channel_of_two_rows_is_told_with_the_first(example: Example) -> None:
    rows = told(example, "dead: {west-box/in/2: crackles, west-box/in/1-3: no signal}\n")
    assert rows == [("no-go", "west-box/in/1-3"), ("no-go", "west-box/in/2")]
    (wide,) = [
        row
        for row in example.findings("dead: {west-box/in/2: crackles, west-box/in/1-3: no signal}\n", "dead-in-use")
        if row.about == "west-box/in/1-3"
    ]
    assert "channel 2" not in wide.message


def test_a_dead_console_is_one_no_go_for_all_that_is_gone_with_it(example: Example) -> None:
    rig = "dead: {desk: no picture}\n"
    assert example.no_goes(rig) == ["dead-in-use"]
    (finding,) = example.findings(rig, "dead-in-use")
    assert [place.address for place in finding.places] == ["desk", "desk"]
    assert finding.cures[0].text.startswith("ask `rigwalk spares RIG desk` who is still heard")
    assert finding.message.startswith(
        "desk is dead (no picture): every channel, mix and output of it is gone, and nothing reaches west-box and east-box."
    )


@pytest.mark.parametrize("week", ["dead: {west-box/in/2: null}", "dead: null"])
def test_once_it_is_mended_it_is_taken_out(example: Example, week: str) -> None:
    assert (
        told(
            example,
            example.changed(
                example.document(DEAD), {"dead": None if week == "dead: null" else {"west-box/in/2": None}}
            ),
        )
        == []
    )


def test_with_a_dead_console_its_effects_are_gone_too(example: Example) -> None:
    rig = (
        "dead: {desk: no picture}\nmixes: {send: {kind: effects, takes: {channels: [1]}}}\n"
        "effects: {hall: {fed_by: send}}\nchannels: {9: {label: Hall, patched_from: effects/hall}}\n"
    )
    assert not example.findings(rig, "effects-unreturned")
    assert example.findings(rig, "dead-in-use")


def test_what_must_not_have_phantom_power_may_still_get_it_at_a_dead_socket(grouped: Example) -> None:
    rig = (
        "devices: {east-box: {model: group-box}}\n"
        "sources: {ribbon: {kind: ribbon-microphone, plugged_into: east-box/in/2}}\n"
    )
    assert grouped.no_goes(rig) == ["phantom-astray"]
    assert grouped.no_goes(f"{rig}dead: {{east-box/in/2: crackles}}\n") == ["phantom-astray"]
