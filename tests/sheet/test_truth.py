"""Every sheet and picture tells what is really there, what is meant where that differs, and which finding says why."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

import lint
from lint.check.catalogue import load_catalogue
from lint.check.engine import Checked, check_file
from lint.check.example import check_example
from lint.page.as_csv import page_csv
from lint.page.as_html import page_html
from lint.page.as_markdown import page_markdown
from lint.page.as_text import page_text
from lint.page.page import Labels, Table, Words
from lint.picture.draw import drawn
from lint.sheet.book import sheet_book
from lint.sheet.marks import Marks
from lint.sheet.phantom import PHANTOM_LEGEND

FAULTY = Path(lint.__file__).parent / "demo" / "rigs" / "faulty-week.yaml"
# By hand, from the rig file: channel, what it is meant to carry, what really arrives, and the rule that says why.
WRONG_CHANNELS = {
    10: ("lead-vocal", "backing-1", "patch-carries-other"),
    11: ("backing-1", "lead-vocal", "patch-carries-other"),
    22: ("piano-left", "piano-right", "stereo-crossed"),
    23: ("piano-right", "piano-left", "stereo-crossed"),
    25: ("soprano", "nothing (cut off)", "chain-input-from-downstream"),
    26: ("alto", "nothing (cut off)", "chain-input-from-downstream"),
    27: ("tenor", "nothing (cut off)", "chain-input-from-downstream"),
    28: ("choir-bass", "nothing (cut off)", "chain-input-from-downstream"),
    29: ("organ-left", "nothing (cut off)", "chain-input-from-downstream"),
    30: ("organ-right", "nothing (cut off)", "chain-input-from-downstream"),
    31: ("soloist", "nothing (cut off)", "chain-input-from-downstream"),
}
WRONG_DESTINATIONS = {
    "choir-wedge": ("choir-mon", "nothing (cut off)", "chain-input-from-downstream"),
    "strings-wedge": ("strings-mon", "singer-mon", "bank-clash"),
    "house-left": ("house.left", "nothing", "bank-clash"),
    "house-right": ("house.right", "nothing", "bank-clash"),
    "sub": ("subs", "nothing", "bank-clash"),
    "foyer": ("foyer-mix", "band-mon", "monitor-to-house"),
}


@pytest.fixture(scope="module")
def faulty() -> Checked:
    return check_file(FAULTY)


def mark(faulty: Checked, rule: str) -> str:
    marks = Marks(faulty)
    number = next(index for index, row in enumerate(marks.findings, 1) if row.rule == rule)
    return f"{marks.mark(number)}{number}"


def rows(faulty: Checked, key: str) -> list[dict[str, str]]:
    tables = [
        block
        for section in sheet_book(faulty).sections
        if section.key == key
        for block in section.blocks
        if isinstance(block, Table)
    ]
    return [dict(zip(table.columns, row, strict=True)) for table in tables for row in table.rows]


def test_the_console_sheet_tells_both(faulty: Checked) -> None:
    for row in rows(faulty, "console"):
        wrong = WRONG_CHANNELS.get(int(row["ch"]))
        if wrong is None:
            assert not row["but arrives"], row
        else:
            assert (row["carries"], row["but arrives"]) == wrong[:2]
            assert mark(faulty, wrong[2]) in row["see"]


def test_the_box_sheets_tell_both(faulty: Checked) -> None:
    plugged = {row["plug in"]: row for row in rows(faulty, "boxes") if row.get("plug in")}
    for number, (meant, _, rule) in WRONG_CHANNELS.items():
        assert plugged[meant]["meant for"] == f"≠ {number}"
        assert mark(faulty, rule) in plugged[meant]["see"]
    assert plugged["soprano"]["channel"] == "none (cut off)"
    hung = {row["goes to"]: row for key in ("boxes", "local") for row in rows(faulty, key) if row.get("goes to")}
    for name, (meant, real, rule) in WRONG_DESTINATIONS.items():
        assert (hung[name]["carries"], hung[name]["needs"]) == (real, f"≠ {meant}")
        assert mark(faulty, rule) in hung[name]["see"]
    right = [row for name, row in hung.items() if name not in WRONG_DESTINATIONS]
    assert right
    assert not [row for row in right if "≠" in "".join(row.values())]


def test_the_monitor_sheet_tells_the_real_source_and_the_real_mix(faulty: Checked) -> None:
    (section,) = (row for row in sheet_book(faulty).sections if row.key == "monitors")
    singer = next(block for block in section.blocks if isinstance(block, Table) and block.group == "singer-wedge")
    lead = dict(zip(singer.columns, singer.rows[0], strict=True))
    assert (lead["carries"], lead["but arrives"], lead["see"]) == (
        "lead-vocal",
        "backing-1",
        mark(faulty, "patch-carries-other"),
    )
    said = " ".join(line for block in section.blocks if isinstance(block, Words) for line in block.lines)
    assert f"≠ It gets nothing (cut off), not choir-mon: see {mark(faulty, 'chain-input-from-downstream')}" in said
    assert f"≠ It gets singer-mon, not strings-mon: see {mark(faulty, 'bank-clash')}" in said
    choir = next(block for block in section.blocks if isinstance(block, Table) and block.group == "choir-wedge")
    for row in choir.rows:
        cells = dict(zip(choir.columns, row, strict=True))
        assert cells["but here"] == "nothing (cut off)"
        assert mark(faulty, "chain-input-from-downstream") in cells["see"]


def test_the_output_patch_tells_what_each_feed_misses(faulty: Checked) -> None:
    sent = {row["carries"]: row for row in rows(faulty, "outputs")}
    for name, (meant, _, rule) in WRONG_DESTINATIONS.items():
        row = sent.get(meant) or sent["band-mon"]
        assert name in row["but should"] or name == "foyer"
        assert mark(faulty, rule) in row["see"] or name == "foyer"
    foyer = next(row for row in rows(faulty, "outputs") if row["output"] == "desk/out/5")
    assert (foyer["but should"], foyer["see"]) == ("≠ foyer needs foyer-mix", mark(faulty, "monitor-to-house"))


def test_the_labels_tell_both(faulty: Checked) -> None:
    labels = {
        label.name: label.foot
        for section in sheet_book(faulty).sections
        for block in section.blocks
        if isinstance(block, Labels)
        for label in block.labels
    }
    for number, (meant, _, rule) in WRONG_CHANNELS.items():
        assert f"≠ meant for {number} — see {mark(faulty, rule)}" in labels[meant]
    for name, (meant, real, rule) in WRONG_DESTINATIONS.items():
        assert labels[name].startswith(f"carries {real}, ≠ needs {meant} — see ")
        assert mark(faulty, rule) in labels[name]


@pytest.mark.parametrize("what", ["signals", "stage"])
def test_the_pictures_tell_both(what: str, faulty: Checked) -> None:
    svg = drawn(faulty, what)
    tree = ElementTree.fromstring(svg)
    words = ["".join(text.itertext()) for text in tree.iter("{http://www.w3.org/2000/svg}text")]
    described = "".join(tree.find("{http://www.w3.org/2000/svg}desc").itertext())
    wrong = WRONG_CHANNELS if what == "signals" else WRONG_DESTINATIONS
    for about, (meant, real, rule) in wrong.items():
        if what == "signals":
            assert {real, f"≠ {meant}"} <= set(words)
            assert f"Channel {about} receives {real} ≠ {meant} (see {mark(faulty, rule)}" in described
        else:
            assert f"gets {real} ≠ {meant}" in words
            assert f"{about} gets {real} ≠ {meant} (see " in described
        assert mark(faulty, rule) in words
    if what == "signals":
        marked = [word for word in words if word == mark(faulty, "chain-input-from-downstream")]
        assert len(marked) == 7 + 1  # one a channel that is cut off, and the legend


@pytest.mark.parametrize("write", [page_html, page_markdown, lambda page: page_text(page, 100)])
def test_no_form_leaves_it_out(write: object, faulty: Checked) -> None:
    text = re.sub(r"\s+", " ", write(sheet_book(faulty)).replace("\\", ""))  # type: ignore[operator]
    assert "It gets nothing (cut off), not choir-mon" in text
    assert PHANTOM_LEGEND.replace("&", "") in text


def test_csv_tells_it_in_every_row(faulty: Checked) -> None:
    text = page_csv(sheet_book(faulty).only("monitors"))
    assert text.count("nothing (cut off)") >= 6
    assert f"lead-vocal,backing-1,-3,pre fader,,{mark(faulty, 'patch-carries-other')}" in text


def test_a_difference_that_no_finding_tells_is_marked_all_the_same() -> None:
    week = (
        "channels: {1: {carries: choir}, 2: {carries: lead-vocal}}\n"
        "rules: {patch-carries-other: {off: true, because: a test}, stereo-crossed: {off: true, because: a test}}"
    )
    checked = check_example(week, load_catalogue())
    one = next(row for row in rows(checked, "console") if row["ch"] == "1")
    assert (one["carries"], one["but arrives"], one["see"]) == ("choir", "lead-vocal", "≠")


@pytest.mark.parametrize(
    ("week", "said"),
    [
        ("channels: {1: {phantom: on}}", "ON"),
        ("channels: {1: {phantom: off}}", "off"),
        ("channels: {1: {phantom: null}}", "off"),
        ("channels: {1: {phantom: on}}\nsources: {lead-vocal: {kind: ribbon-microphone}}", "ON, must be off"),
        ("channels: {1: {phantom: off}}\nsources: {lead-vocal: {kind: condenser-microphone}}", "off, needs ON"),
        ("channels: {1: {patched_from: null, carries: null}}", "–"),
    ],
)
def test_phantom_power_is_told_by_one_convention(week: str, said: str) -> None:
    checked = check_example(week, load_catalogue())
    console = next(row for row in rows(checked, "console") if row["ch"] == "1")
    box = next(row for row in rows(checked, "boxes") if row.get("plug in") == "lead-vocal")
    assert (console["48 V"], box["48 V"]) == (said, said)
    assert said.split(", ", maxsplit=1)[0] in drawn(checked, "signals")
