"""What the 48 V column says is to be done is for the source that is meant, never for what arrives by mistake."""

from __future__ import annotations

import random
import shutil
from pathlib import Path

import pytest
import yaml

import lint
from lint.check.engine import Checked, check_file
from lint.page.page import Table
from lint.sheet.book import sheet_book

CLEAN = Path(lint.__file__).parent / "demo" / "rigs" / "clean-week.yaml"
HOUSE = """
devices: {desk: {model: console-32}, box: {model: stage-box-16x8, output_bank: 1-8}}
cables: {trunk: {from: desk/link-1, to: box/upstream}}
sources:
  flute:   {kind: condenser-microphone, plugged_into: box/in/4}
  trumpet: {kind: ribbon-microphone,    plugged_into: box/in/3}
channels:
  1: {label: Flute,   carries: flute,   patched_from: desk/link-1/4, phantom: on}
  2: {label: Trumpet, carries: trumpet, patched_from: desk/link-1/3, phantom: off}
"""


def checked_of(tmp_path: Path, week: str) -> Checked:
    (tmp_path / "house.yaml").write_text(f"rig_format: 1\n{HOUSE}", encoding="utf-8")
    path = tmp_path / "week.yaml"
    path.write_text(f"rig_format: 1\nextends: house.yaml\n{week}", encoding="utf-8")
    return check_file(path)


def rows(checked: Checked, key: str, first: str) -> dict[str, dict[str, str]]:
    tables = [
        block
        for section in sheet_book(checked).sections
        if section.key == key
        for block in section.blocks
        if isinstance(block, Table)
    ]
    return {
        row[0]: dict(zip(table.columns, row, strict=True))
        for table in tables
        if table.columns[0] == first
        for row in table.rows
    }


def test_two_plugs_exchanged_send_nobody_to_a_switch_before_the_patch(tmp_path: Path) -> None:
    """Whoever obeyed "off, needs ON" for the flute that arrives on the trumpet's channel would then power the ribbon."""
    week = "sources: {flute: {plugged_into: box/in/3}, trumpet: {plugged_into: box/in/4}}"
    checked = checked_of(tmp_path, week)
    channels, sockets = rows(checked, "console", "ch"), rows(checked, "boxes", "input")
    assert (channels["1"]["but arrives"], channels["1"]["48 V"]) == (
        "trumpet",
        "switch off on channel 1, patch first (✗2), then ON",
    )
    assert (channels["2"]["but arrives"], channels["2"]["48 V"]) == ("flute", "patch first (✗2), then off")
    assert sockets["3"]["48 V"] == "patch first (✗2), then ON for flute"
    assert sockets["4"]["48 V"] == "switch off on channel 1, patch first (✗2), then off for trumpet"


def test_a_channel_that_takes_another_one_s_socket_is_marked_and_not_the_plug(tmp_path: Path) -> None:
    week = (
        "sources: {player: {kind: player, plugged_into: box/in/9}}\n"
        "channels: {7: {label: Player, carries: player, patched_from: desk/link-1/4}}"
    )
    checked = checked_of(tmp_path, week)
    flute = rows(checked, "boxes", "input")["4"]
    assert (flute["channel"], flute["meant for"], flute["48 V"]) == ("1 Flute, ≠ 7 Player", "", "ON")
    assert flute["see"] == rows(checked, "console", "ch")["7"]["see"] == "✗1"
    assert rows(checked, "console", "ch")["1"]["see"] == ""
    player = rows(checked, "boxes", "input")["9"]
    assert (player["channel"], player["meant for"]) == ("none", "≠ 7")
    assert player["48 V"] == "patch first (✗1), then off for player"


def test_power_by_another_channel_s_switch_is_told_by_its_name(tmp_path: Path) -> None:
    week = "channels: {7: {carries: trumpet, patched_from: desk/link-1/3, doubles: 2, phantom: on}}"
    checked = checked_of(tmp_path, week)
    two = rows(checked, "console", "ch")["2"]
    assert (two["but arrives"], two["48 V"]) == ("", "ON by channel 7, must be off")
    assert rows(checked, "console", "ch")["7"]["48 V"] == "ON, must be off"


@pytest.mark.parametrize(
    ("channel", "said"),
    [
        ("{patched_from: null}", "patch first (✗1), then ON"),
        ("{patched_from: desk/link-1/9}", "patch first (✗1), then ON"),
        ("{carries: null}", "ON"),
        ("{carries: null, patched_from: desk/link-1/3}", "ON"),
    ],
)
def test_what_no_right_source_arrives_at_gets_no_order(channel: str, said: str, tmp_path: Path) -> None:
    assert rows(checked_of(tmp_path, f"channels: {{1: {channel}}}"), "console", "ch")["1"]["48 V"] == said


def test_a_box_cut_off_is_mended_before_any_switch() -> None:
    checked = check_file(CLEAN.with_name("faulty-week.yaml"))
    assert rows(checked, "console", "ch")["25"]["48 V"] == "chain first (✗1), then ON"
    assert rows(checked, "boxes", "input")["1"]["48 V"] == "may be ON, chain first (✗1), then ON for soprano"


@pytest.mark.parametrize("seed", range(6))
def test_a_shuffled_patch_never_gives_an_order_by_what_arrives(seed: int, tmp_path: Path) -> None:
    channels = yaml.safe_load(CLEAN.read_text(encoding="utf-8"))["channels"]
    dice = random.Random(seed)
    numbers = sorted(channels)
    moved = dice.sample(numbers, 8)
    points = [channels[number]["patched_from"] for number in moved]
    dice.shuffle(points)
    week = "".join(f"  {number}: {{patched_from: {point}}}\n" for number, point in zip(moved, points, strict=True))
    demo = tmp_path / "demo"
    shutil.copytree(CLEAN.parents[1], demo, ignore=shutil.ignore_patterns("*.py", "__pycache__"))
    path = demo / "rigs" / "shuffled.yaml"
    path.write_text(f"rig_format: 1\nextends: clean-week.yaml\nchannels:\n{week}", encoding="utf-8")
    shown = rows(check_file(path), "console", "ch")
    wrong = [row for row in shown.values() if row["but arrives"] and row["carries"]]
    assert wrong
    for row in wrong:
        meant_on = yaml.safe_load(f"a: {channels[int(row['ch'])].get('phantom', 'off')}")["a"] is True
        assert "needs" not in row["48 V"]
        assert "must be" not in row["48 V"]
        assert row["48 V"].endswith(", then ON" if meant_on else ", then off")
