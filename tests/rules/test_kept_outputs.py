"""No cure at the outputs takes from anybody what they have: where another hears the same, only the plug moves."""

from __future__ import annotations

import pytest
from example_rigs import Example

from lint.check.finding import Finding

OTHER, NOTHING, HOUSE, UNHEARD = "output-carries-other", "output-carries-nothing", "monitor-to-house", "house-unheard"
LOUD = "outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}"
CHOIR_MON = "mixes: {choir-mon: {kind: monitor, takes: {channels: [2]}}}\n"
SECOND = "destinations: {choir-wedge: {kind: wedge, plugged_into: west-box/out/1, expects: choir-mon}}"


def only(example: Example, rig: str, rule: str) -> Finding:
    (finding,) = example.findings(rig, rule)
    return finding


def test_the_plug_alone_moves_where_another_wedge_has_its_mix_at_the_same_socket(example: Example) -> None:
    (cure,) = only(example, CHOIR_MON + SECOND, OTHER).cures
    assert cure.text == (
        "move the plug of choir-wedge to west-box/out/2 and send choir-mon to desk/link-1/2; send nothing else to "
        "desk/link-1/1, which singer-wedge hears too"
    )
    assert example.after_cures(CHOIR_MON + SECOND, OTHER) == [[]]


def test_an_amplifier_that_has_its_mix_there_is_named(example: Example) -> None:
    rig = (
        CHOIR_MON
        + "feeds: {desk/out: {1: choir-mon}}\n"
        + (
            f"amplifiers: {{bar: {{plugged_into: desk/out/1, expects: choir-mon, {LOUD}}}}}\n"
            "destinations: {recorder: {kind: recorder, plugged_into: desk/out/1, expects: house.mono}}"
        )
    )
    (cure,) = only(example, rig, OTHER).cures
    assert cure.text.endswith("send nothing else to desk/out/1, which the amplifier bar hears too")
    assert example.after_cures(rig, OTHER) == [[]]


def test_a_plug_does_not_move_where_an_amplifier_is(example: Example) -> None:
    rig = CHOIR_MON + (
        "feeds: {desk/out: {1: choir-mon}}\n"
        f"amplifiers: {{bar: {{plugged_into: desk/out/1, expects: choir-mon, {LOUD}}}}}\n"
        "destinations: {recorder: {kind: recorder, plugged_into: west-box/out/1, expects: choir-mon}}"
    )
    (cure,) = only(example, rig, OTHER).cures
    assert "desk/out/1" not in cure.text


def test_where_two_want_different_mixes_of_one_dead_socket_each_gets_an_output(example: Example) -> None:
    rig = CHOIR_MON + (
        "destinations: {choir-wedge: {kind: wedge, plugged_into: west-box/out/3, expects: choir-mon}, "
        "singer-wedge: {plugged_into: west-box/out/3}}\nfeeds: {desk/link-1: {1: null}}"
    )
    (cure,) = only(example, rig, NOTHING).cures
    assert cure.text == (
        "plug singer-wedge into an output that singer-mon is sent to and choir-wedge into an output that choir-mon is "
        "sent to"
    )


def test_no_selector_is_turned_away_from_what_an_amplifier_has(example: Example) -> None:
    wrong = "feeds: {desk/link-1: {1: null, 9: singer-mon, 2: singer-mon}}\n"
    assert "selector" in only(example, wrong, NOTHING).cures[0].text
    amplifier = f"amplifiers: {{bar: {{plugged_into: west-box/out/2, expects: singer-mon, {LOUD}}}}}"
    cures = only(example, wrong + amplifier, NOTHING).cures
    assert cures
    assert not any("selector" in cure.text for cure in cures)


def test_a_house_mix_is_not_sent_over_a_monitor_that_is_right(example: Example) -> None:
    rig = "destinations: {fill: {kind: fill-loudspeaker, plugged_into: west-box/out/1}}"
    assert [cure.text for cure in only(example, rig, HOUSE).cures] == [
        "unplug the loudspeaker, or plug it in where a house mix is sent: singer-wedge hears singer-mon there too"
    ]


@pytest.mark.parametrize(
    "also", ["", "recorder: {kind: recorder, plugged_into: west-box/out/1, expects: singer-mon}, "]
)
def test_a_house_mix_that_is_awaited_is_not_sent_over_what_is_right(example: Example, also: str) -> None:
    rig = (
        "mixes: {balcony: {kind: house, takes: {channels: [1]}}}\n"
        f"destinations: {{{also}balcony: {{kind: fill-loudspeaker, plugged_into: west-box/out/1, expects: balcony}}}}"
    )
    texts = [cure.text for finding in example.findings(rig, UNHEARD, OTHER, HOUSE) for cure in finding.cures]
    assert texts
    assert not any("balcony to desk/link-1/1" in text for text in texts)
