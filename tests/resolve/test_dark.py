"""A trace shows where a path is dark: a box, a console, an amplifier or a destination whose circuit has failed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from rigs import BASE, BATTERIES, resolved
from typer.testing import CliRunner

from lint.cli import app
from lint.resolve.dark import dark_on_the_way, without_mains
from lint.resolve.resolved import ResolvedRig
from lint.resolve.trace import trace_signal

CIRCUITS = """
devices: {desk: {circuit: back}, west-box: {circuit: left}, east-box: {circuit: right}}
destinations: {wedge: {circuit: floor}}
power: {circuits: {back: {}, left: {}, right: {}, floor: {}}}
"""


def dark(*names: str) -> ResolvedRig:
    week = CIRCUITS
    for name in names:
        week = week.replace(f"{name}: {{}}", f"{name}: {{dark: true}}")
    return resolved(BATTERIES, week)


def stops(rig: ResolvedRig, what: str) -> list[str]:
    return [step.text for trace in trace_signal(rig, what) for step in trace.every() if step.stops]


def test_with_nothing_dark_nothing_stops() -> None:
    assert stops(dark(), "vocal") == stops(dark(), "piano") == stops(dark(), "left") == []


@pytest.mark.parametrize(
    ("circuit", "what", "says"),
    [
        ("left", "vocal", "west-box has no mains: its circuit left is dark, so nothing gets through"),
        # The far box's signals pass the near one.
        ("left", "piano", "west-box has no mains: its circuit left is dark, so nothing gets through"),
        ("right", "piano", "east-box has no mains: its circuit right is dark, so nothing gets through"),
        ("right", "left", "east-box has no mains: its circuit right is dark, so nothing gets through"),
        ("right", "3", "piano (desk/link-1/17 ← east-box/in/1); east-box has no mains: its circuit right is dark; should carry piano: as meant"),
        ("back", "vocal", "desk has no mains: its circuit back is dark, so nothing gets through"),
        ("floor", "wedge", "wedge, wedge; wedge has no mains: its circuit floor is dark"),
        ("floor", "vocal", "wedge, wedge, which expects wedge-mix: as meant; wedge has no mains: its circuit floor is dark"),
        ("right", "east-box", "east-box has no mains: its circuit right is dark, so nothing gets through"),
    ],
)  # fmt: skip
def test_a_trace_stops_where_it_is_dark(circuit: str, what: str, says: str) -> None:
    assert says in stops(dark(circuit), what)


def test_what_is_nearer_to_the_console_than_the_dark_box_gets_through() -> None:
    assert dark_on_the_way(dark("right"), "west-box") == []
    assert dark_on_the_way(dark("left", "right"), "east-box") == [
        "west-box has no mains: its circuit left is dark",
        "east-box has no mains: its circuit right is dark",
    ]


def test_a_circuit_that_the_rig_does_not_describe_is_not_dark() -> None:
    assert without_mains(dark().rig, "west-box", "elsewhere") == without_mains(dark().rig, "west-box", None) == ""


def test_a_loudspeaker_is_dark_with_the_amplifier_that_drives_it() -> None:
    week = (
        "amplifiers: {amp: {plugged_into: east-box/out/7, circuit: rack, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}}\n"
        "power: {circuits: {rack: {dark: true}}}"
    )
    rig = resolved(BASE, week)
    assert "left, house-loudspeaker, driven by the amplifier amp; amp has no mains: its circuit rack is dark" in stops(
        rig, "left"
    )


def test_the_command_tells_it_for_each_of_its_questions(tmp_path: Path) -> None:
    file = tmp_path / "rig.yaml"
    file.write_text(
        BASE.replace("west-box: {model", "west-box: {circuit: left, model")
        + "power: {circuits: {left: {dark: true}}}\n",
        encoding="utf-8",
    )

    def call(*more: str) -> tuple[int, str]:
        done = CliRunner(env={"COLUMNS": "80"}).invoke(app, ["trace", str(file), *more])
        return done.exit_code, done.stdout

    for more in (["vocal"], ["piano", "--to", "left"]):
        code, text = call(*more)
        assert code == 1
        assert "west-box has no mains: its circuit left is dark" in " ".join(text.split())
    for more in (["left", "--upstream"], ["vocal", "--downstream"]):
        assert "✗ west-box has no mains: its circuit left is dark, so nothing gets through" in " ".join(
            call(*more)[1].split()
        )
    _, text = call("piano", "--to", "left", "--format", "json")
    found = json.loads(text)
    why = "west-box has no mains: its circuit left is dark, so nothing gets through"
    assert (found["whole"], found["stopped_by"]) == (False, [why])
