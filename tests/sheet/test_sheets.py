"""The sheets of a rig: every socket, channel and circuit where the crew looks for it, findings beside what they are about."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

import lint
from lint.check.catalogue import load_catalogue
from lint.check.engine import Checked, check_file
from lint.check.example import check_example
from lint.page.as_html import page_html
from lint.page.as_markdown import page_markdown
from lint.page.as_text import page_text
from lint.page.page import Labels, Line, Page, Picture, Table, Words
from lint.sheet.book import KEYS, sheet_book
from lint.sheet.marks import Marks

DEMO = Path(lint.__file__).parent / "demo" / "rigs"


@pytest.fixture(scope="module")
def clean() -> Checked:
    return check_file(DEMO / "clean-week.yaml")


@pytest.fixture(scope="module")
def faulty() -> Checked:
    return check_file(DEMO / "faulty-week.yaml")


def tables(page: Page, key: str) -> dict[str, Table]:
    blocks = [block for section in page.sections if section.key == key for block in section.blocks]
    return {f"{block.group} {block.title}".strip(): block for block in blocks if isinstance(block, Table)}


def rows(table: Table) -> dict[str, dict[str, str]]:
    return {row[0]: dict(zip(table.columns, row, strict=True)) for row in table.rows}


def test_every_sheet_has_a_name_that_can_be_asked_for(clean: Checked) -> None:
    page = sheet_book(clean)
    assert {section.key for section in page.sections} == set(KEYS)
    assert (page.title, page.subtitle.startswith("doors 09:30, start 10:00 — lead R. Adeyemi, ")) == (
        "Sunday gathering, 2026-11-29",
        True,
    )


def test_a_box_is_told_socket_by_socket(clean: Checked) -> None:
    inputs = rows(tables(sheet_book(clean), "boxes")["east-box Inputs"])
    assert list(inputs) == [str(number) for number in range(1, 9)]
    assert inputs["4"] == {
        "input": "4", "plug in": "trumpet", "kind": "ribbon mic", "cable": "", "slot": "link-1/20",
        "channel": "20 Trumpet", "meant for": "", "48 V": "off", "see": "",
    }  # fmt: skip
    assert not any(list(inputs["8"].values())[1:])
    outputs = rows(tables(sheet_book(clean), "boxes")["east-box Outputs"])
    assert outputs["7"] == {
        "output": "7", "goes to": "house-left", "where": "left of the stage", "cable": "", "slot": "link-1/15",
        "carries": "house.left", "needs": "house.left", "see": "",
    }  # fmt: skip


def test_every_source_and_destination_is_on_a_sheet_once(clean: Checked) -> None:
    page, rig = sheet_book(clean), clean.resolved.rig
    every = [*tables(page, "boxes").values(), *tables(page, "local").values()]
    plugged = [
        re.sub(r".*\((.*)\)$", r"\1", row[1])
        for table in every
        if table.columns[0] == "input"
        for row in table.rows
        if row[1]
    ]
    assert sorted(plugged) == sorted(rig.sources)
    hung = [
        re.sub(r".*\((.*)\)$", r"\1", row[1])
        for table in every
        if table.columns[0] == "output"
        for row in table.rows
        if row[1]
    ]
    assert set(hung) == set(rig.destinations)
    (channels,) = tables(page, "console").values()
    assert [int(row[0]) for row in channels.rows] == sorted(number for _, number in rig.channels)


def test_what_is_written_on_a_thing_comes_first_and_labels_follow_the_chain() -> None:
    week = (
        "devices: {west-box: {label: Box A}, east-box: {label: Box B}}\nsources: {lead-vocal: {label: Singer}}\n"
        "cables: {trunk: {to: east-box/upstream}, crossing: {from: east-box/downstream, to: west-box/upstream}}"
    )
    page = sheet_book(check_example(week, load_catalogue()))
    titles = [section.title.partition(",")[0] for section in page.sections if section.key == "boxes"]
    assert titles == ["Box B (east-box)", "Box A (west-box)"]
    west = next(table for name, table in tables(page, "boxes").items() if name == "west-box Inputs")
    assert west.rows[0][1] == "Singer (lead-vocal)"
    (labels,) = (block for section in page.sections for block in section.blocks if isinstance(block, Labels))
    heads = [label.head for label in labels.labels if "in " in label.head]
    assert heads.index("Box B in 1 (east-box/in/1)") < heads.index("Box A in 1 (west-box/in/1)")


def test_the_selectors_stand_on_one_line(clean: Checked) -> None:
    line = next(block for block in sheet_book(clean).sections[0].blocks if isinstance(block, Line))
    assert line.values == (("west-box output", "1–8"), ("east-box output", "9–16"), ("loft-box output", "17–24"))


def test_a_finding_stands_where_it_is_and_in_the_list_by_the_same_number(faulty: Checked) -> None:
    page, marks = sheet_book(faulty), Marks(faulty)
    listed = next(
        block for block in page.sections[0].blocks if isinstance(block, Words) and block.title.startswith("The check")
    ).lines
    number = next(index for index, row in enumerate(marks.findings, 1) if row.rule == "phantom-missing")
    assert listed[number - 1].startswith(f"✗{number}: violin ")
    assert rows(tables(page, "boxes")["east-box Inputs"])["1"]["see"] == f"✗{number}"
    channel = rows(tables(page, "console")["desk Channels"])["17"]
    assert (channel["see"], channel["48 V"]) == (f"✗{number}", "off, needs ON")


def test_what_arrives_instead_is_said(faulty: Checked) -> None:
    channels = rows(tables(sheet_book(faulty), "console")["desk Channels"])
    assert channels["10"]["but arrives"] == "backing-1"
    assert channels["25"]["but arrives"] == "nothing (cut off)"
    assert channels["1"]["but arrives"] == ""


def test_monitors_by_performer_with_levels(clean: Checked) -> None:
    singer = tables(sheet_book(clean), "monitors")["singer-wedge singer-wedge, downstage centre"]
    assert singer.rows[0] == ("10", "Lead vox", "lead-vocal", "", "-3", "pre fader", "", "")
    assert len(singer.rows) == 5
    assert singer.note == "Wedge on west-box/out/1, mix singer-mon. It also takes talk."


def test_the_circuit_plan_defers_to_who_decides(clean: Checked) -> None:
    (plan,) = tables(sheet_book(clean), "circuits").values()
    assert plan.rows[0][:5] == ("desk-feed", "back wall", "230 V, 16 A", "stated", "desk")
    (section,) = (row for row in sheet_book(clean).sections if row.key == "circuits")
    assert isinstance(section.blocks[0], Words)
    assert section.blocks[0].lines[0].endswith("a licensed electrician decide.")


@pytest.mark.parametrize("write", [page_html, page_markdown, lambda page: page_text(page, 100)])
def test_care_stands_before_what_hands_do(write: Callable[[Page], str], faulty: Checked) -> None:
    page = sheet_book(faulty)
    for key in ("overview", "boxes", "local", "console", "outputs", "circuits"):
        for section in page.only(key).sections:
            text = write(page._replace(sections=(section,))).rpartition("<main>")[2].replace("</strong>", "")
            table = next((block for block in section.blocks if isinstance(block, Table)), None)
            assert "CARE: " in text, key
            assert table is None or text.index("CARE: ") < text.index(table.rows[0][1]), key


def test_a_label_for_every_socket_in_use(clean: Checked) -> None:
    labels = next(
        block for section in sheet_book(clean).sections for block in section.blocks if isinstance(block, Labels)
    )
    sockets = [label.head for label in labels.labels]
    rig = clean.resolved
    assert len(sockets) == len(rig.rig.sources) + sum(len(row.sockets) for row in rig.rig.destinations.values())
    assert ("west-box/in/1", "kick", "channel 1") in [tuple(label) for label in labels.labels]


def test_pictures_say_in_words_what_they_show(faulty: Checked) -> None:
    pictures = [
        block for section in sheet_book(faulty).sections for block in section.blocks if isinstance(block, Picture)
    ]
    assert len(pictures) == 3
    assert pictures[0].words == (
        "From desk/link-1 (48 slots): west-box (inputs on slots 1–16, outputs from slots 1–8) (see ✗6), "
        "then east-box (inputs on slots 17–24, outputs from slots 1–8) (see ✗6). Cut off: loft-box (see ✗1)."
    )


def test_the_cable_of_a_source_is_on_the_sheet() -> None:
    checked = check_example(
        "sources: {lead-vocal: {cable: red 4}}\ndestinations: {singer-wedge: {cable: blue}}", load_catalogue()
    )
    boxes = tables(sheet_book(checked), "boxes")
    assert rows(boxes["west-box Inputs"])["1"]["cable"] == "red 4"
    assert rows(boxes["west-box Outputs"])["1"]["cable"] == "blue"


@pytest.mark.parametrize("rig", ["cables: null", "cables: null\nchannels: null\nsources: null\nmixes: null\nfeeds: null\ndestinations: null",
                                 "channels: {1: {patched_from: desk/link-1/44}, 2: {patched_from: null}}",
                                 "sources: {lead-vocal: {plugged_into: west-box/in/99}, choir: {plugged_into: east-box/in/1}}"])  # fmt: skip
def test_a_rig_with_hardly_anything_or_much_amiss_has_sheets_all_the_same(rig: str) -> None:
    page = sheet_book(check_example(rig, load_catalogue()))
    assert page.sections[0].key == "overview"
    assert all(
        len(row) == len(table.columns) for key in KEYS for table in tables(page, key).values() for row in table.rows
    )


def test_two_things_on_one_socket_are_both_on_the_sheet() -> None:
    week = (
        "destinations: {spare-wedge: {kind: wedge, plugged_into: west-box/out/1, expects: singer-mon, location: pit}}"
    )
    outputs = rows(tables(sheet_book(check_example(week, load_catalogue())), "boxes")["west-box Outputs"])
    assert outputs["1"]["goes to"] == "singer-wedge and spare-wedge"
    assert outputs["1"]["needs"] == "singer-mon"


def test_a_label_says_where_its_socket_has_a_finding(faulty: Checked) -> None:
    (section,) = (row for row in sheet_book(faulty).sections if row.key == "labels")
    marks = Marks(faulty)
    told = [label for block in section.blocks if isinstance(block, Labels) for label in block.labels]
    marked = [label for label in told if " — see " in label.foot]
    assert marked
    assert len(marked) < len(told)
    for label in marked:
        numbers = {int(number) for number in re.findall(r"[✗!](\d+)", label.foot)}
        assert numbers
        for number in numbers:
            addresses = {place.address for place in marks.findings[number - 1].places}
            channels = {f"desk/channel/{channel}" for channel in re.findall(r"\d+", label.foot.partition(" — ")[0])}
            assert addresses & {label.head, label.head.partition("/")[0], label.name, *channels}
    silent = [label for label in told if label.head.startswith("loft-box/in/")]  # the whole box is cut off
    assert silent[0].foot == "channel: none (cut off), ≠ meant for 25 — see ✗1"
    assert {label.foot.partition(" — ")[2] for label in silent} == {"see ✗1"}


def test_a_selector_is_no_matter_of_the_circuit_plan(faulty: Checked) -> None:
    (section,) = (row for row in sheet_book(faulty).sections if row.key == "circuits")
    marks = Marks(faulty)
    see = " ".join(row[-1] for block in section.blocks if isinstance(block, Table) for row in block.rows)
    numbers = {int(number) for number in re.findall(r"[✗!](\d+)", see)}
    assert {marks.findings[number - 1].family for number in numbers} <= {"power"}
    assert any(row.family == "outputs" and "west-box" in row.message for row in marks.findings)
