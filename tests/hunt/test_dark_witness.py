"""What is dark or dead by the rig file bears no witness in a hunt beside it: its meters are still, whatever is whole."""

from __future__ import annotations

from pathlib import Path

import pytest
from rigs import resolved
from test_every_cause import begun

from lint.hunt.causes import DEAD
from lint.hunt.path import taken_to_be_lit
from lint.hunt.target import target_of

TWO_ENDS = (Path(__file__).parent / "two-ends.yaml").read_text(encoding="utf-8")
FED = "channels: {1: {phantom: on}}"


@pytest.mark.parametrize(
    ("week", "what", "lit"),
    [
        ("", "vox", ["mon"]),
        ("power: {circuits: {wing: {dark: true}}}", "vox", []),
        ("dead: {mon: no picture}", "vox", []),
        (f"power: {{circuits: {{wing: {{dark: true}}}}}}\n{FED}", "bass", []),
    ],
)
def test_a_dark_console_behind_the_split_is_not_looked_at(week: str, what: str, lit: list[str]) -> None:
    rig = resolved(TWO_ENDS, week)
    target = target_of(rig, what, "hall")
    hunt = begun(rig, target, DEAD)
    assert taken_to_be_lit(rig, target, hunt.parts) == lit
    points = {point.name for _, point in hunt.points.values()}
    assert ("split" in points) == bool(lit)
    texts = [point.ask for _, point in hunt.points.values()] + [row.filled(row.cause.look) for row in hunt.suspects]
    assert any("on mon" in text for text in texts) == bool(lit)


def test_a_switch_that_is_dark_gives_nothing_that_could_be_off() -> None:
    rig = resolved(TWO_ENDS, f"power: {{circuits: {{wing: {{dark: true}}}}}}\n{FED}")
    titles = {row.words for row in begun(rig, target_of(rig, "bass", "hall"), DEAD).suspects}
    assert "the phantom power of near/in/1: off" in titles


def test_no_source_of_a_dark_box_is_listened_to_for_what_takes_the_same_way_on() -> None:
    more = "sources: {pad: {kind: player, plugged_into: desk/in/1}}\nchannels: {31: {carries: pad, patched_from: desk/in/1}}"
    rows = {}
    for dark in ("false", "true"):
        week = f"power: {{circuits: {{back: {{dark: false}}, stage: {{dark: {dark}}}}}}}\n{more}"
        rig = resolved(TWO_ENDS.replace("plugged_into: far/out/1", "plugged_into: desk/out/1").replace(
            "desk/link-1: {1: band, 9: house}", "desk/link-1: {1: band}\n  desk/out: {1: house}"), week)  # fmt: skip
        hunt = begun(rig, target_of(rig, "pad", "hall"), DEAD)
        rows[dark] = [point.ask for _, point in hunt.points.values() if point.name == "others"]
    assert [len(asked) for asked in rows.values()] == [1, 0]
