"""A trace of a dead console, and of what hangs on it, says that it is dead and nothing that is not so."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from rigs import BASE, resolved
from typer.testing import CliRunner

from lint.cli import app
from lint.resolve.trace import trace_signal
from lint.resolve.ways import reached

DEAD = "dead: {desk: no lamp}\nsources: {player: {kind: player, plugged_into: desk/in/1}}\nchannels: {9: {carries: player, patched_from: desk/in/1}}"
ENDS = "desk is dead (no lamp), so nothing gets through"


def told(what: str) -> tuple[list[str], list[str]]:
    steps = [step for trace in trace_signal(resolved(BASE, DEAD), what) for step in trace.every()]
    return [step.text for step in steps if step.stops], [step.text for step in steps]


@pytest.mark.parametrize("what", ["desk", "player", "wedge-mix", "desk/in/1"])
def test_it_says_that_the_console_is_dead(what: str) -> None:
    stops, every = told(what)
    assert ENDS in stops
    assert not [text for text in every if "selector takes" in text or "no channel is patched" in text]


def test_what_hangs_on_its_links_is_told_as_it_is_cabled() -> None:
    assert "desk/link-1: west-box, east-box" in told("desk")[1]
    assert "desk/link-2: nothing hangs on it" in told("desk")[1]


def test_a_console_that_works_is_told_as_before() -> None:
    steps = [step for trace in trace_signal(resolved(BASE), "desk") for step in trace.every()]
    assert not [step for step in steps if step.stops]


SOCKET = "dead: {west-box/in/1: wet}\nchannels: {2: {phantom: on}, 3: {phantom: on}}"
WET = "west-box/in/1 is dead (wet), so nothing gets through"


@pytest.mark.parametrize(
    ("week", "what", "which", "told"),
    [
        (DEAD, "left", "--upstream", [ENDS]),
        (DEAD, "vocal", "--downstream", [ENDS]),
        (DEAD, "west-box", "--downstream", [ENDS]),
        (SOCKET, "left", "--upstream", [WET]),
        (SOCKET, "vocal", "--downstream", [WET]),
        (SOCKET, "west-box/in/1", "--downstream", [WET]),
        (SOCKET, "piano", "--downstream", []),
        ("channels: {3: {phantom: on}}", "left", "--upstream", ["choir needs phantom power and gets none: silent"]),
    ],
)
def test_what_stops_a_signal_is_told_beside_all_that_is_reached(
    week: str, what: str, which: str, told: list[str], tmp_path: Path
) -> None:
    base, file = tmp_path / "base.yaml", tmp_path / "rig.yaml"
    base.write_text(BASE, encoding="utf-8")
    file.write_text(f"rig_format: 1\nextends: base.yaml\n{week}\n", encoding="utf-8")
    call = ["trace", str(file), what, which]
    found = json.loads(CliRunner().invoke(app, [*call, "--format", "json"]).stdout)
    assert found["stopped_by"] == told
    text = " ".join(CliRunner(env={"COLUMNS": "80"}).invoke(app, call).stdout.split())
    assert [part.strip() for part in text.split("✗")[1:]] == told


def test_the_outputs_behind_a_link_cable_are_fed_by_it_and_do_not_get_to_it() -> None:
    rig = resolved(BASE)
    for cable in rig.rig.cables:
        assert "output-socket" not in reached(rig, cable, upstream=True)
        assert reached(rig, cable, upstream=False)["output-socket"]
