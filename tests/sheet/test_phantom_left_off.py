"""The 48 V column never tells to switch on what must stay off: a ribbon on the same switch, the other end of a split."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from lint.check.engine import check_file
from lint.page.page import Table
from lint.sheet.book import sheet_book

GROUPED = """\
model_format: 1
kind: stage-box
title: stage box 16 in, 8 out, phantom by fours
inputs:  {count: 16, phantom: groups, phantom_group_size: 4}
outputs: {count: 8, addressed: by-selector, selector: [1-8, 9-16]}
chain: {slots: {48000: 32}, max_boxes: 4, cable_kind: cat5e, cable_shielded: true, max_cable_m: 80}
"""
HOUSE = """\
rig_format: 1
devices:
  desk:  {model: console-32}
  mon:   {model: console-16}
  box:   {model: stage-box-16x8, output_bank: 1-8}
  m-box: {model: stage-box-8x8, output_bank: 1-8}
cables:
  trunk: {from: desk/link-1, to: box/upstream}
  mlink: {from: mon/link-1, to: m-box/upstream}
splits: {stage: {kind: analogue, sources: [bass]}}
sources:
  bass:    {kind: active-di, plugged_into: [box/in/4, m-box/in/1]}
  talk:    {kind: dynamic-microphone, plugged_into: m-box/in/2}
channels:
  4: {label: Bass, carries: bass, patched_from: desk/link-1/4, phantom: off}
consoles:
  mon:
    channels:
      1: {label: Bass, carries: bass, patched_from: mon/link-1/1, phantom: on}
      2: {label: Talk, carries: talk, patched_from: mon/link-1/2, phantom: off}
"""


def told(tmp_path: Path, week: str, key: str, group: str, first: str) -> str:
    """Return the 48 V cell of the row of a channel or socket, with the marks of findings left out."""
    (tmp_path / "house.yaml").write_text(HOUSE, encoding="utf-8")
    path = tmp_path / "week.yaml"
    path.write_text(f"rig_format: 1\nextends: house.yaml\n{week}", encoding="utf-8")
    (cell,) = [
        dict(zip(table.columns, row, strict=True))["48 V"]
        for section in sheet_book(check_file(path)).sections
        if section.key == key
        for table in section.blocks
        if isinstance(table, Table) and table.group == group and table.title in ("Channels", "Inputs")
        for row in table.rows
        if row[0] == first
    ]
    return re.sub(r" \(✗\d+\)", "", cell)


FEW = "channels: {4: {patched_from: null}}"
BACK = "consoles: {mon: {channels: {1: {patched_from: mon/link-1/7}}}}"
BOTH = "channels: {4: {patched_from: null}}\nconsoles: {mon: {channels: {1: {patched_from: null}}}}"
TALK = "sources: {talk: {kind: condenser-microphone}}"


@pytest.mark.parametrize(
    ("week", "console", "channel", "said"),
    [
        ("", "desk", "4", "off: has it from channel 1 (mon)"),
        (FEW, "desk", "4", "patch first, then off: has it from channel 1 (mon)"),
        ("cables: {trunk: null}", "desk", "4", "patch first, then off: has it from channel 1 (mon)"),
        (BACK, "desk", "4", "off, silent until channel 1 (mon) receives it"),
        (BOTH, "desk", "4", "patch first, then off, silent until channel 1 (mon) receives it"),
        (BOTH, "mon", "1", "patch first, then ON"),
        ("dead: {desk: no lamps}", "desk", "4", "dead console"),
        ("dead: {mon: no lamps}", "mon", "1", "dead console"),
        # What is to give it can't: the switch here is the only one.
        ("dead: {mon: no lamps}", "desk", "4", "off, needs ON"),
        ("dead: {m-box/in/1: crackles}", "desk", "4", "off, needs ON"),
        (f"{TALK}\ndead: {{mon: no lamps}}", "mon", "2", "dead console"),
        (TALK, "mon", "2", "off, needs ON"),
    ],
)
def test_the_other_end_of_a_split_that_gives_it_keeps_it_off(
    week: str, console: str, channel: str, said: str, tmp_path: Path
) -> None:
    assert told(tmp_path, week, "console", console, channel) == said


RIBBON = """
devices: {box: {model: grouped-box}}
sources:
  trumpet: {kind: ribbon-microphone, plugged_into: box/in/3}
  guitar:  {kind: dynamic-microphone, plugged_into: box/in/2}
channels:
  3: {label: Trumpet, carries: trumpet, patched_from: desk/link-1/3, phantom: off}
"""
NO_OTHER_END = "consoles: {mon: {channels: {1: {phantom: off}}}}"
SILENT = "off, silent: trumpet on the same switch must not have it"


@pytest.mark.parametrize(
    ("rest", "channel", "said"),
    [
        (NO_OTHER_END, "4", SILENT),
        ("dead: {mon: no lamps}", "4", SILENT),
        ("dead: {m-box/in/1: crackles}", "4", SILENT),
        (f"  4: {{patched_from: desk/link-1/9}}\n{NO_OTHER_END}", "4", f"patch first, then {SILENT}"),
        ("  5: {carries: guitar, patched_from: desk/link-1/9, phantom: on}", "5", "patch first, then off"),
    ],
)
def test_what_must_not_have_it_on_the_same_switch_keeps_it_off(
    rest: str, channel: str, said: str, tmp_path: Path
) -> None:
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "grouped-box.yaml").write_text(GROUPED, encoding="utf-8")
    assert told(tmp_path, RIBBON + rest, "console", "desk", channel) == said


def test_what_the_file_has_on_for_a_source_that_does_not_mind_stays_on(tmp_path: Path) -> None:
    week = "channels: {5: {carries: guitar, patched_from: desk/link-1/9, phantom: on}}\n"
    week += "sources: {guitar: {kind: dynamic-microphone, plugged_into: box/in/2}}"
    assert told(tmp_path, week, "console", "desk", "5") == "patch first, then ON"
    assert told(tmp_path, week, "boxes", "box", "2") == "patch first, then ON for guitar"


def test_of_the_channels_on_one_switch_the_one_that_is_meant_for_it_is_named(tmp_path: Path) -> None:
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "grouped-box.yaml").write_text(GROUPED, encoding="utf-8")
    week = (
        "devices: {box: {model: grouped-box}}\n"
        "sources: {choir: {kind: condenser-microphone, plugged_into: box/in/3}}\n"
        "channels:\n"
        "  3: {carries: choir, patched_from: desk/link-1/3, phantom: on}\n"
        "  4: {phantom: on}\n"
        "consoles: {mon: {channels: {1: {phantom: off}}}}"
    )
    assert told(tmp_path, week, "console", "mon", "1") == "off: has it from channel 4 (desk)"
    away = week.replace("4: {phantom: on}", "4: {patched_from: null, phantom: off}")
    assert told(tmp_path, away, "console", "mon", "1") == "off: has it from channel 3 (desk)"


def test_the_sheet_of_a_box_says_it_of_the_plug(tmp_path: Path) -> None:
    assert told(tmp_path, "", "boxes", "box", "4") == "off: has it from channel 1 (mon)"
    assert told(tmp_path, "dead: {mon: no lamps}", "boxes", "m-box", "2") == "dead console"
