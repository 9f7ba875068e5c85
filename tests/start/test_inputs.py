"""Input lists as people keep them: what a header means, what a row asks for, and what is never guessed in silence."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lint.check.catalogue import load_catalogue
from lint.check.engine import check_file
from lint.read.problem import CannotReadError
from lint.resolve.resolved import resolve_rig
from lint.rig.build import load_rig
from lint.start.inputs import InputList, read_inputs
from lint.start.plan import named
from lint.start.propose import Proposal, propose, sorted_channels
from lint.start.scaffold import scaffold
from lint.start.table import read_table

HOUSE = """\
rig_format: 1
devices:
  desk: {model: console-16}
  west-box: {model: stage-box-16x8, label: Box A, output_bank: 1-8}
  east-box: {model: stage-box-8x8, output_bank: 9-16}
cables:
  trunk: {from: desk/link-1, to: west-box/upstream, kind: cat5e, shielded: true}
  crossing: {from: west-box/downstream, to: east-box/upstream, kind: cat5e, shielded: true}
sources: {lectern: {kind: dynamic-microphone, plugged_into: west-box/in/1}}
channels: {1: {label: Lectern, carries: lectern, patched_from: desk/link-1/1}}
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "rigs").mkdir()
    (tmp_path / "house.yaml").write_text(HOUSE)
    return tmp_path


def listed(folder: Path, text: str) -> InputList:
    path = folder / "list.csv"
    path.write_text(text, encoding="utf-8")
    return read_inputs(read_table(path), path)


def in_house(folder: Path, text: str) -> Proposal:
    return propose(listed(folder, text), resolve_rig(load_rig(folder / "house.yaml")), "../house.yaml")


@pytest.mark.parametrize(
    ("head", "meanings"),
    [
        ("Ch.;Instrument;Mic / DI;+48V", ["channel", "name", "kind", "phantom"]),
        ("CHANNEL;Source;Microphone;Phantom Power;Stage box;Socket", ["channel", "name", "kind", "phantom", "box", "socket"]),
        ("#;Name;Type;48;Box;In", ["channel", "name", "kind", "phantom", "box"]),
        ("Input;Name;Mic;P48", ["channel", "name", "kind", "phantom"]),
        ("No;Input;Mic;48 V", ["channel", "name", "kind", "phantom"]),
        ("Strip;Description;Device;phantom;rack;port;gain (dB);Cable colour",
         ["channel", "name", "kind", "phantom", "box", "socket", "gain", "cable"]),
    ],
)  # fmt: skip
def test_headers_are_matched_tolerantly(head: str, meanings: list[str], folder: Path) -> None:
    row = "1;Kick;dyn;;west-box;3;20;red" if "rack" in head or "Socket" in head else "1;Kick;dyn;"
    found = listed(folder, f"{head}\n{row}\n")
    assert sorted(meaning for _, meaning in found.columns) == sorted(meanings)
    assert [(one.channel, one.name, one.kind) for one in found.inputs] == [(1, "Kick", "dynamic-microphone")]


def test_what_is_passed_over_is_told(folder: Path) -> None:
    assert listed(folder, "Ch,Name,Mic,Stand,Notes\n1,Kick,dyn,short,loud\n").passed_over == ["Stand", "Notes"]


@pytest.mark.parametrize(
    ("mic", "phantom", "kind"),
    [
        ("Dynamic", "", "dynamic-microphone"), ("dyn.", "x", "dynamic-microphone"), ("small cond", "x", "condenser-microphone"),
        ("Ribbon", "no", "ribbon-microphone"), ("active ribbon", "yes", "active-ribbon-microphone"), ("DI", "x", "active-di"),
        ("DI box", "", "passive-di"), ("Active DI", "", "active-di"), ("D.I. passive", "", "passive-di"), ("RF handheld", "", "wireless-receiver"),
        ("Hand held", "", "wireless-receiver"), ("Lav", "", "lavalier-microphone"), ("laptop", "", "player"), ("boundary", "on", "boundary-microphone"),
    ],
)  # fmt: skip
def test_kinds_are_read_from_the_words_of_the_trade(mic: str, phantom: str, kind: str, folder: Path) -> None:
    (row,) = listed(folder, f"Ch,Name,Mic,48V\n1,Thing,{mic},{phantom}\n").inputs
    assert row.kind == kind


def test_what_is_assumed_is_told(folder: Path) -> None:
    rows = listed(folder, "Ch,Name,Mic,48V\n1,Kick,Thumper,\n2,Choir,,x\n3,Bass DI,,\n").inputs
    assert [row.assumed for row in rows] == [
        ["“Thumper” is no kind that is known, so dynamic-microphone is assumed, because no phantom power is asked for"],
        ["condenser-microphone is assumed, because phantom power is asked for"],
        ["taken from its name: a DI", "passive-di, because no phantom power is asked for"],
    ]


@pytest.mark.parametrize(
    ("row", "why"),
    [
        ("x,Kick,dyn,,", "Kick: the channel is 'x', expected a whole number, or two side by side such as 6/7"),
        ("6/8,Kick,dyn,,", "Kick: the channel is '6/8', expected a whole number, or two side by side such as 6/7"),
        ("1,,dyn,,", "it has no name (1 | dyn)"),
        ("1,Kick,dyn,,left", "Kick: the socket is 'left', expected a number, or a box and a number such as west-box 3"),
        ("1,Kick \u202etcejorp,dyn,,", "the name is too long, or holds a sign that can't be shown"),
        (f"1,{'K' * 61},dyn,,", "its name is longer than 60 letters"),
    ],
)
def test_a_row_that_can_not_be_used_is_told_by_its_line(row: str, why: str, folder: Path) -> None:
    found = listed(folder, f"Ch,Name,Mic,48V,Socket\n7,Snare,dyn,,\n{row}\n")
    assert [(bad.line, bad.why) for bad in found.unusable] == [(3, why)]
    assert [good.name for good in found.inputs] == ["Snare"]


def test_a_channel_that_stands_twice_is_used_once(folder: Path) -> None:
    found = listed(folder, "Ch,Name,Mic\n1,Kick,dyn\n1,Snare,dyn\n")
    assert [(bad.line, bad.why) for bad in found.unusable] == [(3, "Snare: channel 1 stands on line 2 already")]


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        (b"", "holds no row"),
        (b"PK\x03\x04xxxx", "is a spreadsheet's own file"),
        (b"1,2,3\n4,5,6\n", "no header names the columns"),
        (b"a\x1b[2J,\xe2\x80\xaeb\n1,2\n", "found: a\ufffd.2J . \ufffdb"),
        (b"\xff\xfe\x00", "is no text that can be read"),
        (b"\x00\x01\x02\x00\x00", "is no text that can be read"),
    ],
)
def test_what_is_no_list_is_refused_in_a_sentence(raw: bytes, message: str, tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes(raw)
    with pytest.raises(CannotReadError, match=message):
        read_inputs(read_table(path), path)


@pytest.mark.parametrize(
    ("name", "message"), [("/dev/zero", "a device"), ("pipe", "a device or a pipe"), (".", "a folder")]
)
def test_what_has_no_end_is_refused_at_once(name: str, message: str, tmp_path: Path) -> None:
    import os

    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(CannotReadError, match=message):
        read_table(tmp_path / name)


@given(st.binary(max_size=300))
def test_any_bytes_end_in_rows_or_in_a_sentence(raw: bytes) -> None:
    import tempfile

    with tempfile.TemporaryDirectory() as scratch:
        path = Path(scratch) / "list.csv"
        path.write_bytes(raw)
        try:
            read_inputs(read_table(path), path)
        except CannotReadError as error:
            assert len(error.problems) == 1


# -- sockets and channels --------------------------------------------------------------------------------------


def test_in_a_house_free_sockets_and_channels_are_proposed(folder: Path) -> None:
    plan = in_house(folder, "Ch,Name,Mic\n,Kick,dyn\n,Radio,wireless\n5,Snare,dyn\n").plan
    assert plan.sections["sources"] == {
        "kick": {"kind": "dynamic-microphone", "plugged_into": "west-box/in/2"},
        "radio": {"kind": "wireless-receiver", "plugged_into": "desk/in/1"},
        "snare": {"kind": "dynamic-microphone", "plugged_into": "west-box/in/3"},
    }
    assert {number: row["patched_from"] for number, row in plan.sections["channels"].items()} == {
        "2": "desk/link-1/2", "3": "desk/in/1", "5": "desk/link-1/3",
    }  # fmt: skip


def test_boxes_are_found_by_name_or_label_and_slots_by_the_chain(folder: Path) -> None:
    text = "Ch,Name,Mic,Box,Socket\n2,Kick,dyn,Box A,4\n3,Snare,dyn,,east-box 2\n4,Hat,cond,East Box,3\n"
    plan = in_house(folder, text).plan
    assert [row["plugged_into"] for row in plan.sections["sources"].values()] == [
        "west-box/in/4",
        "east-box/in/2",
        "east-box/in/3",
    ]
    assert [row["patched_from"] for row in plan.sections["channels"].values()] == [
        "desk/link-1/4",
        "desk/link-1/18",
        "desk/link-1/19",
    ]
    assert plan.sections["channels"]["4"]["phantom"] == "on"


def test_what_the_house_has_taken_is_not_given_away(folder: Path) -> None:
    text = "Ch,Name,Mic,Box,Socket\n1,Kick,dyn,Box A,4\n2,Snare,dyn,Box A,1\n3,Hat,dyn,Box A,17\n4,Tom,dyn,Box Z,1\n5,Bass,dyn,,9\n"
    assert [(bad.line, bad.why) for bad in in_house(folder, text).unusable] == [
        (2, "Kick: channel 1 is taken by the house"),
        (3, "Snare: west-box/in/1 is taken by lectern"),
        (4, "Hat: west-box has 16 inputs, and no input 17"),
        (
            5,
            "Tom: the box “Box Z” is none of west-box, east-box, desk; write one of those, or make it the label of one",
        ),
        (6, "Bass: socket 9, but of which box? (west-box, east-box, desk)"),
    ]


def test_a_list_longer_than_the_rig_says_what_found_no_room(folder: Path) -> None:
    text = "Name,Mic\n" + "".join(f"Mic {number},dyn\n" for number in range(60))
    proposal = in_house(folder, text)
    assert len(proposal.plan.sections["sources"]) == 15  # of 16 channels the house has taken one
    assert {bad.why.partition(": ")[2] for bad in proposal.unusable} <= {"no channel is left", "no socket is left"}
    assert len(proposal.unusable) == 45


def test_a_list_in_which_nobody_is_named_has_a_header_all_the_same(folder: Path) -> None:
    path = folder / "list.csv"
    path.write_text("Ch,Name,Mic,48V\n1, ,dyn,x\n", encoding="utf-8")
    found = read_inputs(read_table(path), path)
    assert len(found.inputs) + len(found.unusable) == 1
    assert "header" not in " ".join(bad.why for bad in found.unusable)


NAMES = st.text(st.characters(exclude_categories=("Cs",)), min_size=1, max_size=12)
MICS = st.sampled_from(["dyn", "condenser", "DI", "active DI", "ribbon", "wireless", "", "what"])
LISTS = st.lists(st.tuples(st.integers(0, 50), NAMES, MICS, st.sampled_from(["x", "", "no"])), min_size=1, max_size=20)


@given(LISTS)
def test_whatever_a_list_says_the_file_that_is_made_can_be_read(rows: list[tuple[int, str, str, str]]) -> None:
    import csv
    import tempfile

    with tempfile.TemporaryDirectory() as scratch:
        path = Path(scratch) / "list.csv"
        with path.open("w", encoding="utf-8", newline="") as stream:
            writer = csv.writer(stream)
            writer.writerow(("Ch", "Name", "Mic", "48V"))
            writer.writerows((channel or "", name, mic, phantom) for channel, name, mic, phantom in rows)
        found = read_inputs(read_table(path), path)
        proposal = propose(found, None, "")
        lines = len(found.inputs) + len(found.unusable)
        placed = proposal.plan.sections.get("sources", {})
        assert len(placed) + len(proposal.unusable) == lines
        if placed:
            sorted_channels(proposal.plan)
            rig = Path(scratch) / "rig.yaml"
            rig.write_text(scaffold(proposal.plan, "A title", ""), encoding="utf-8")
            checked = check_file(rig, load_catalogue())
            assert set(checked.resolved.rig.sources) == set(placed)
            assert {finding.rule for finding in checked.findings if finding.weight.value == "no-go"} <= {
                "phantom-missing"
            }


@given(st.text(max_size=80), st.sets(st.sampled_from(["source", "source-2", "a", "kick"])))
def test_any_text_gives_a_name_that_the_schema_takes(text: str, taken: set[str]) -> None:
    import re

    from lint.read.schema import schema

    name = named(text, taken)
    assert name not in taken
    assert len(name) <= 60
    pattern = schema("rig")["$defs"]["id"]["pattern"]
    assert re.fullmatch(pattern.replace("$", ""), name), name


def test_a_cell_that_can_not_be_read_is_told_and_its_row_kept(folder: Path) -> None:
    text = "Ch,Name,Mic,48V,Gain,Pan\n1,Choir,cond,maybe,loud,up\n2,Kick,dyn,no,20,left\n3,Bass,DI,maybe,123,\n"
    found = listed(folder, text)
    assert found.unusable == []
    assert [(cell.line, cell.why) for cell in found.cells] == [
        (2, "Choir: the phantom power is 'maybe', expected yes or no; it is left unsaid"),
        (2, "Choir: the gain is 'loud', expected a number of decibels, -60 to 100; it is left unsaid"),
        (2, "Choir: the pan is 'up', expected left, centre or right; it is left unsaid"),
        (4, "Bass: the phantom power is 'maybe', expected yes or no; it is left unsaid"),
        (4, "Bass: the gain is '123', expected a number of decibels, -60 to 100; it is left unsaid"),
    ]
    assert found.inputs[2].assumed == ["passive-di, because whether phantom power is asked for can't be read"]
    channels = propose(found, None, "").plan.sections["channels"]
    assert "phantom" not in channels["1"]  # not even for a condenser: what was meant is asked of a person
    assert "gain_db" not in channels["1"]
    assert (channels["2"]["gain_db"], channels["2"]["pan"]) == (20, "left")


@pytest.mark.parametrize(
    ("text", "kind", "phantom"),
    [
        ("Kanal;Quelle;Mikrofon/DI;Phantomspeisung;Buchse;Verstärkung;Panorama\n5;Chor;Kondensator;ja;3;30;links\n", "condenser-microphone", True),
        ("Nr.;Eingang;Abnahme;48 V\n5;Trompete;Bändchenmikrofon;nein\n", "ribbon-microphone", False),
        ("Kanaal;Bron;Microfoon;Fantoomvoeding;Aansluiting\n5;Koor;condensator;ja;3\n", "condenser-microphone", True),
        ("N°;Ingang;Soort;Fantoom\n5;Presentator;draadloos;nee\n", "wireless-receiver", False),
        ("Voie;Instrument;Micro / DI;Alimentation fantôme;Prise\n5;Chœur;électrostatique;oui;3\n", "condenser-microphone", True),
        ("Tranche;Entrée;Capteur;48V\n5;Trompette;ruban;non\n", "ribbon-microphone", False),
        ("Canal;Fuente;Micrófono;Phantom;Toma;Ganancia\n5;Coro;condensador;sí;3;30\n", "condenser-microphone", True),
        ("Nº;Entrada;Tipo;48V\n5;Voz;dinámico;no\n", "dynamic-microphone", False),
    ],
)  # fmt: skip
def test_lists_in_other_languages_are_read(text: str, kind: str, phantom: bool, folder: Path) -> None:
    found = listed(folder, text)
    assert found.passed_over == []
    (row,) = found.inputs
    assert (row.channel, row.kind, row.phantom) == (5, kind, phantom)
    assert not any("assumed" in words for words in row.assumed)
    assert row.socket == (3 if ";3" in text else None)
    assert row.pan == ("left" if "links" in text else "")


def test_stereo_pairs_and_pans_are_read_from_the_list(folder: Path) -> None:
    text = "Ch,Name,Mic,Socket,Pan,Stereo\n1,Piano L,cond,1,L,x\n2,Piano R,cond,2,R,x\n3,Keys,DI,3-4,,stereo\n5,Vox left,dyn,5,,\n6,Kick,dyn,6,C,\n7,Pad,dyn,7,,x\n"
    found = listed(folder, text)
    assert found.unusable == []
    proposal = propose(found, None, "")
    assert proposal.plan.sections["pairs"] == {
        "piano": {"left": "piano-l", "right": "piano-r"},
        "keys": {"left": "keys-l", "right": "keys-r"},
    }
    pans = {number: row.get("pan") for number, row in proposal.plan.sections["channels"].items()}
    assert pans == {"1": "left", "2": "right", "3": "left", "4": "right", "5": None, "6": "centre", "7": None}
    told = " ".join(one.words for one in proposal.assumed)
    assert "read as the pair “piano”, by the two names" in told
    assert "“x” asks for a pair, but one input is listed, so it is read as one" in told


# -- what the list states is never belied ----------------------------------------------------------------------


GERMAN = """\
Kanal;Bezeichnung;Quelle / Mikrofon;Stagebox;Eingang;48V;Bemerkung
1;Große Trommel;Grenzfläche;SB1;1;ja;
2;Kleine Trommel;dynamisch;SB1;2;nein;
3;Becken;Kondensator;SB1;11;ja;
4;Trompete;Bändchen;SB2;1;nein;kein 48 V!
5;Gesang;Funk Handsender;SB2;2;nein;
6;Zuspieler;Laptop;SB2;3;nein;
"""


def test_a_german_list_is_read_like_its_sisters(folder: Path) -> None:
    found = listed(folder, GERMAN)
    assert {meaning for _, meaning in found.columns} == {"channel", "name", "kind", "phantom", "box", "socket"}
    proposal = propose(found, None, "")
    assert [row["plugged_into"] for row in proposal.plan.sections["sources"].values()] == [
        "sb1/in/1", "sb1/in/2", "sb1/in/11", "sb2/in/1", "sb2/in/2", "sb2/in/3",
    ]  # fmt: skip
    assert proposal.plan.sections["sources"]["trompete"]["kind"] == "ribbon-microphone"
    assert [row["model"] for row in proposal.plan.sections["devices"].values()] == [
        "console-16", "stage-box-16x8", "stage-box-8x8",
    ]  # fmt: skip
    assert "sb1 (stage-box-16x8, as input 11 is the highest that the list names there)" in proposal.assumed[0].words


@pytest.mark.parametrize(
    "head",
    [
        "Kanal;Quelle;Mikrofon;Stagebox;Eingang",
        "Kanal;Quelle;Mikrofon;Stagebox;Eingang Stagebox",
        "Kanal;Quelle / Mikrofon;Abnahme;Stagebox;Stagebox-Eingang",
        "Kanal;Quelle;Mikrofon;Multicore;Nr.",
        "Channel;Source;Mic;Snake;Socket",
        "Channel;Name;Source;Box;In",
        "Kanaal;Bron;Microfoon;Stagebox;Ingang",
        "Voie;Nom;Micro;Boîtier;Entrée",
        "Canal;Fuente;Micrófono;Caja;Entrada",
    ],
)
def test_two_boxes_may_have_the_same_numbers(head: str, folder: Path) -> None:
    rows = [f"{4 * box + n + 1};Mic {box}{n};dyn;SB{box};{n + 1}" for box in (1, 2) for n in range(4)]
    found = listed(folder, "\n".join((head, *rows)))
    assert found.passed_over == []
    assert [(one.kind, one.box, one.socket) for one in found.inputs] == [
        ("dynamic-microphone", f"SB{box}", n + 1) for box in (1, 2) for n in range(4)
    ]


def test_a_box_without_a_socket_gets_none_elsewhere(folder: Path) -> None:
    text = "Ch,Name,Mic,Box\n2,Kick,dyn,east-box\n3,Snare,dyn,\n4,Radio,wireless,Box A\n5,Hat,cond,Box Z\n"
    proposal = in_house(folder, text)
    assert [row["plugged_into"] for row in proposal.plan.sections["sources"].values()] == [
        "east-box/in/1", "west-box/in/3", "west-box/in/2",
    ]  # fmt: skip
    assert [(bad.line, bad.why) for bad in proposal.unusable] == [
        (5, "Hat: the box “Box Z” is none of west-box, east-box, desk; write one of those, or make it the label of one")
    ]
    many = "Ch,Name,Mic,Box\n" + "".join(f"{n},Mic {n},dyn,east-box\n" for n in range(2, 12))
    assert {bad.why for bad in in_house(folder, many).unusable} == {
        "Mic 10: no input of east-box is left", "Mic 11: no input of east-box is left",
    }  # fmt: skip


def test_a_box_named_once_is_that_of_the_rows_below(folder: Path) -> None:
    text = "Ch,Name,Mic,Snake,Socket\nDRUMS,,,,\n1,Kick,dyn,Stage Left,1\n2,Snare,dyn,,2\n3,Choir,cond,Stage Right,1\n4,Vox,dyn,,2\n"
    found = listed(folder, text)
    assert [(one.box, one.socket) for one in found.inputs] == [
        ("Stage Left", 1), ("Stage Left", 2), ("Stage Right", 1), ("Stage Right", 2),
    ]  # fmt: skip
    assert "on Stage Left, the box that stands above" in found.inputs[1].assumed
    assert [(row.line, row.why) for row in found.idle] == [(2, "DRUMS")]


def test_headings_totals_and_unused_channels_are_no_inputs(folder: Path) -> None:
    text = "Spring fair,,,\nCh,Name,Mic,48V\n1,Kick,dyn,\n,VOICES,,\n2,Vox,dyn,\n3,,,\n4,-,,\n5,,cond,x\nTotal,2,,\n,,,\nCall Jo first,,,\n"
    found = listed(folder, text)
    assert [one.name for one in found.inputs] == ["Kick", "Vox"]
    assert [row.line for row in found.idle] == [4, 6, 7, 9, 11]
    assert [(row.line, row.why) for row in found.unusable] == [(8, "it has no name (5 | cond | x)")]
    assert found.title == "Spring fair"


def test_a_phantom_cell_that_can_not_be_read_is_left_unsaid_for_a_ribbon_too(folder: Path) -> None:
    found = listed(folder, "Ch,Name,Mic,48V\n1,Trumpet,ribbon,?\n2,Horn,ribbon,NO!!\n3,Oboe,ribbon,no\n")
    assert [cell.line for cell in found.cells] == [2]
    channels = propose(found, None, "").plan.sections["channels"]
    assert [row.get("phantom") for row in channels.values()] == [None, "off", "off"]


def test_bare_sockets_and_no_box_mean_one_box_that_has_them_all(folder: Path) -> None:
    found = listed(folder, "Ch,Name,Mic,Socket\n1,Kick,dyn,1\n2,Vox,dyn,24\n")
    proposal = propose(found, None, "")
    assert proposal.unusable == []
    assert proposal.plan.sections["devices"]["west-box"]["model"] == "stage-box-32x16"


def test_a_row_that_names_two_boxes_is_left_out(folder: Path) -> None:
    text = "Ch,Name,Mic,Box,Socket\n1,Kick,dyn,West,East 3\n2,Snare,dyn,West Box,West 4\n"
    found = listed(folder, text)
    assert [bad.why for bad in found.unusable] == ["Kick: the box is 'West', but the socket is 'East 3'"]
    assert [one.socket for one in found.inputs] == [4]


def test_whole_numbers_may_have_a_decimal(folder: Path) -> None:
    (row,) = listed(folder, "Ch,Name,Mic,Box,Input\n7.0,Kick,dyn,West,3.0\n").inputs
    assert (row.channel, row.socket) == (7, 3)


def test_a_column_headed_like_sockets_that_is_not_used_is_doubtful(folder: Path) -> None:
    rows = "".join(f"{number},Mic {number},dyn,{number % 2 + 1}\n" for number in range(1, 9))
    assert listed(folder, f"Ch,Name,Mic,Input\n{rows}").doubtful == ["Input"]


def test_a_box_that_is_an_input_of_the_console_is_no_box(folder: Path) -> None:
    """Hands write `local 2` into the column of boxes, where there is no box to name."""
    found = listed(folder, "Ch,Name,Mic,Box,Socket\n1,Kick,dyn,A,1\n2,Talk,dyn,local 2,\n3,Vox,dyn,A 1,\n")
    assert [(row.name, row.box, row.socket) for row in found.inputs] == [
        ("Kick", "A", 1),
        ("Talk", "local", 2),
        ("Vox", "A 1", None),
    ]
