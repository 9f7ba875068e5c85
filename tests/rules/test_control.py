"""Tablets, saved memories and the crew."""

from __future__ import annotations

import pytest
from example_rigs import Example

REMOTE, MEMORY, ROLE = "remote-may-change-house", "memory-not-saved", "role-unfilled"
MIXES = (
    "mixes: {choir-mon: {kind: monitor, takes: {channels: [2]}}, subs: {kind: house, takes: {mixes: [house.mono]}}, "
    "verb-send: {kind: effects, takes: {channels: [1]}}}\n"
)


def tablet(may_change: str, own: str = "own_mix: singer-mon, ", of: str = "") -> str:
    return MIXES + f"remote_control: {{singer-tablet: {{{of}{own}may_change: [{may_change}]}}}}"


@pytest.mark.parametrize(
    ("may_change", "own", "says"),
    [
        ("singer-mon", "own_mix: singer-mon, ", ""),
        ("house", "own_mix: singer-mon, ", "may move house, a house mix."),
        ("house, subs", "own_mix: singer-mon, ", "may move house and subs, house mixes."),
        ("choir-mon, singer-mon", "own_mix: singer-mon, ", "may move choir-mon, not its own."),
        ("verb-send", "own_mix: singer-mon, ", "may move verb-send, not its own."),
        ("singer-mon, choir-mon", "", ""),  # whose they are is not stated
        ("house, singer-mon", "", "may move house, a house mix."),
        ("verb-send", "", "may move verb-send, not its own."),
        ("house", "own_mix: house, ", "may move house, a house mix."),
    ],
)
def test_what_a_performer_s_tablet_may_move(example: Example, may_change: str, own: str, says: str) -> None:
    found = example.findings(tablet(may_change, own), REMOTE)
    assert [f.message for f in found] == ([f"singer-tablet, a performer's, {says}"] if says else [])
    assert {f.weight.value for f in found} <= {"caution"}


def test_the_crew_s_own_tablet_may_move_anything(example: Example) -> None:
    assert example.findings(tablet("house, choir-mon", of="of: crew, "), REMOTE) == []


@pytest.mark.parametrize(
    ("may_change", "change"),
    [
        ("house, singer-mon, choir-mon", {"singer-tablet": {"may_change": ["singer-mon"]}}),
        ("house, choir-mon", {"singer-tablet": None}),
    ],
)
def test_the_cure_leaves_its_own_mix_or_nothing(example: Example, may_change: str, change: dict[str, object]) -> None:
    rig = tablet(may_change)
    (finding,) = example.findings(rig, REMOTE)
    (cure,) = finding.cures
    assert cure.change == {"remote_control": change}
    assert example.findings(example.changed(example.document(rig), cure.change), REMOTE, "removal-idle") == []


@pytest.mark.parametrize(
    ("section", "about"),
    [
        ("", []),
        ("console_memory: {desk: {before: a, after: b}}", []),
        ("console_memory: {desk: {after: b}}", ["desk"]),
        ("console_memory: {desk: {before: a}}", ["desk"]),
        (
            "devices: {mon: {model: console-16}}\nconsoles: {mon: {}}\nconsole_memory: {desk: {before: a, after: b}, mon: {}}",
            ["mon"],
        ),
    ],
)
def test_memories(example: Example, section: str, about: list[str]) -> None:
    found = example.findings(section, MEMORY)
    assert [(f.weight.value, f.about) for f in found] == [("caution", name) for name in about]


def test_a_console_that_nobody_thought_of(example: Example) -> None:
    rig = "devices: {mon: {model: console-16}}\nconsoles: {mon: {}}\nconsole_memory: {desk: {before: a, after: b}}"
    (finding,) = example.findings(rig, MEMORY)
    assert (finding.about, finding.places[0].line > 0) == ("mon", True)


@pytest.mark.parametrize("after", ["House 12", "house  12", "HOUSE 12"])
def test_a_name_that_is_there_already_is_overwritten(example: Example, after: str) -> None:
    (finding,) = example.findings(f"console_memory: {{desk: {{before: House 12, after: {after}}}}}", MEMORY)
    assert finding.message.endswith(f"under the name that it had before, {after}: that overwrites it.")


def test_both_missing_are_one_finding(example: Example) -> None:
    (finding,) = example.findings("console_memory: {desk: {}}", MEMORY)
    assert finding.facts == {"missing": 2}
    assert "console_memory/desk/before and console_memory/desk/after" in finding.cures[0].text


NO_MONITORS = "mixes: {singer-mon: null}\nfeeds: {desk/link-1: {1: null}}\ndestinations: {singer-wedge: null}\n"
RADIO = "sources: {radio-1: {kind: wireless-receiver, plugged_into: desk/in/1}}\n"


@pytest.mark.parametrize(
    ("rig", "missing"),
    [
        ("", None),
        ("crew: {}", "lead, stage, house-mixer and monitor-mixer"),
        ("crew: {lead: A. Person, stage: A. Person, house-mixer: A. Person, monitor-mixer: A. Person}", None),
        ("crew: {lead: A. Person, stage: A. Person, house-mixer: A. Person}", "monitor-mixer"),
        (NO_MONITORS + "crew: {lead: A. Person, stage: A. Person, house-mixer: A. Person}", None),
        (RADIO + "crew: {lead: A. Person, stage: A. Person, house-mixer: A. Person}", "monitor-mixer and wireless"),
        (NO_MONITORS + RADIO + "crew: {stage: A. Person, wireless: A. Person}", "lead and house-mixer"),
    ],
)
def test_roles(example: Example, rig: str, missing: str | None) -> None:
    found = example.findings(rig, ROLE)
    assert [f.message for f in found] == ([f"nobody is named as {missing}."] if missing else [])
    assert {(f.weight.value, f.about) for f in found} <= {("caution", "crew")}
