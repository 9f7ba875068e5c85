"""What a socket cell of an input list names: a range is never a new box, and what a list names is given to nobody."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from typer.testing import CliRunner

from lint.cli import app
from lint.resolve.resolved import resolve_rig
from lint.rig.build import load_rig
from lint.start.inputs import read_inputs
from lint.start.propose import Proposal, propose, sorted_channels
from lint.start.scaffold import scaffold
from lint.start.sockets import Place, looks_like_sockets, place_of
from lint.start.table import read_table


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("3", Place("", (3,))), ("A3", Place("A", (3,))), ("A-3", Place("A", (3,))), ("west-box 3", Place("west-box", (3,))),
        ("west-box/in/3", Place("west-box", (3,))), ("SB1 In 2", Place("SB1", (2,))), ("SB2:1", Place("SB2", (1,))),
        ("A3-4", Place("A", (3, 4))), ("A3/4", Place("A", (3, 4))), ("A 5-6", Place("A", (5, 6))), ("7+8", Place("", (7, 8))),
        ("A3-A4", Place("A", (3, 4))), ("3 to 6", Place("", (3, 4, 5, 6))), ("A1,2,5", Place("A", (1, 2, 5))), ("A1/B2", None),
        ("left", None), ("A0", None),
    ],
)  # fmt: skip
def test_a_cell_names_one_input_or_several(text: str, place: Place | None) -> None:
    assert place_of("", text) == place


def test_a_number_before_the_last_belongs_to_the_box_only_where_that_box_is_known() -> None:
    assert place_of("", "SB1-3", frozenset(("sb1",))) == Place("SB1", (3,))
    assert place_of("", "SB1-3") == Place("SB", (1, 2, 3))
    assert place_of("west-box", "3-4", frozenset(("west-box", "box-3"))) == Place("west-box", (3, 4))


def test_columns_that_look_like_sockets() -> None:
    assert looks_like_sockets(["A4", "SB1 In 2", "", "A5-6"], bare=False)
    assert not looks_like_sockets(["short", "tall", "loud; very"], bare=False)
    assert not looks_like_sockets(["1", "2"], bare=False)
    assert looks_like_sockets(["1", "2"], bare=True)
    assert not looks_like_sockets(["SM57", "SM57", "SM57", "D6"], bare=False)  # a thing of which there are many


def proposed(folder: Path, text: str) -> Proposal:
    path = folder / "list.csv"
    path.write_text(text, encoding="utf-8")
    return propose(read_inputs(read_table(path), path), None, "")


def sockets(proposal: Proposal) -> dict[str, str]:
    return {name: row["plugged_into"] for name, row in proposal.plan.sections["sources"].items()}


def test_a_range_makes_no_box_and_its_sockets_stay_free(tmp_path: Path) -> None:
    proposal = proposed(tmp_path, "Ch;Name;Mic;Socket\n1;Kick;dyn;A1\n2;Toms;dyn;A2-3\n3;Tom;dyn;A 4/5\n4;Spare;dyn;\n")
    assert set(proposal.plan.sections["devices"]) == {"desk", "a"}
    assert sockets(proposal) == {"kick": "a/in/1", "spare": "a/in/6"}
    assert [(row.line, row.why) for row in proposal.unusable] == [
        (
            3,
            "Toms: 'A2-3' is sockets 2–3 of A, or input 3 of A2; write a row for each socket, or “stereo” beside its name, or A2 in 3",
        ),
        (
            4,
            "Tom: 'A 4/5' is sockets 4–5 of A, or input 5 of A 4; write a row for each socket, or “stereo” beside its name, or A 4 in 5",
        ),
    ]


def test_a_pair_takes_two_sockets_and_two_channels(tmp_path: Path) -> None:
    proposal = proposed(
        tmp_path,
        "Ch;Name;Mic;Socket\n1;Kick;dyn;A1\n3;Over;condenser pair;A3-4\n6;Keys;stereo DI;A5/6\n7;Bass;dyn;A7\n",
    )
    assert sockets(proposal) == {
        "kick": "a/in/1", "over-l": "a/in/3", "over-r": "a/in/4", "keys-l": "a/in/5", "keys-r": "a/in/6", "bass": "a/in/7",
    }  # fmt: skip
    # The next channel if it is free, else the first free one: the row is kept, and what was assumed is told.
    assert carried(proposal) == {1: "kick", 2: "keys-r", 3: "over-l", 4: "over-r", 6: "keys-l", 7: "bass"}
    assert proposal.unusable == []
    assert "channel 4 is proposed for the right side, as nothing else is on it" in told_of(proposal, "Over R")
    assert told_of(proposal, "Keys R").endswith("channel 7 is not free, so channel 2 is proposed for the right side")


def carried(proposal: Proposal) -> dict[int, str]:
    return {int(number): row["carries"] for number, row in sorted(proposal.plan.sections["channels"].items())}


def told_of(proposal: Proposal, name: str) -> str:
    return "; ".join(one.words for one in proposal.assumed if one.name == name)


def test_a_pair_takes_no_channel_of_a_row_that_is_left_out(tmp_path: Path) -> None:
    proposal = proposed(tmp_path, "Ch;Name;Mic;Socket\n1;Kick;dyn;A1\n3;Over;condenser pair;A3-4\n4;Toms;dyn;A5-6\n")
    assert carried(proposal) == {1: "kick", 2: "over-r", 3: "over-l"}
    assert [row.line for row in proposal.unusable] == [4]


@pytest.mark.parametrize(
    ("row", "expected", "told"),
    [
        # No socket is named: each side gets one.
        ("2;Playback;stereo player;", {2: "playback-l", 3: "playback-r"}, "“stereo player” is read as a pair"),
        ("2/3;Over;cond;A2-3", {2: "over-l", 3: "over-r"}, "“A2-3” is read as a pair on A 2 and 3"),
        ("2/3;Over;cond;A2-A3", {2: "over-l", 3: "over-r"}, "“A2-A3” is read as a pair on A 2 and 3"),
        ("2+3;Over;cond;", {2: "over-l", 3: "over-r"}, "“2+3” is read as the two channels of a pair"),
        ("2;Keys;stereo DI;A2", {2: "keys"}, "“stereo DI” asks for a pair, but one input is listed"),
        ("2;St Anne organ;cond;", {2: "st-anne-organ"}, "asks for a pair, but one input is listed"),
    ],
)
def test_what_a_stereo_row_means(row: str, expected: dict[int, str], told: str, tmp_path: Path) -> None:
    proposal = proposed(tmp_path, f"Ch;Name;Mic;Socket\n1;Kick;dyn;A1\n{row}\n")
    assert carried(proposal) == {1: "kick"} | expected
    assert proposal.unusable == []
    assert told in " ".join(one.words for one in proposal.assumed)
    assert ("pairs" in proposal.plan.sections) == (len(expected) == 2)


def test_a_stereo_row_with_one_socket_takes_the_next_where_the_list_leaves_it_free(tmp_path: Path) -> None:
    rows = (
        "1;Kick;dyn;A1\n2;Keys;stereo DI;A2\n3;Bass;dyn;A4\n4;Pad stereo;DI;A5\n5;Vox;dyn;A6\n6;Tape;stereo player;A7\n"
    )
    proposal = proposed(tmp_path, f"Ch;Name;Mic;Socket\n{rows}")
    assert sockets(proposal) == {
        "kick": "a/in/1", "keys-l": "a/in/2", "keys-r": "a/in/3", "bass": "a/in/4",
        "pad-stereo": "a/in/5", "vox": "a/in/6", "tape": "a/in/7",
    }  # fmt: skip
    assert "“stereo DI” is read as a pair on A 2 and 3, as the list puts nothing on 3" in told_of(proposal, "Keys L")
    assert "asks for a pair, but one input is listed, so it is read as one" in told_of(proposal, "Pad stereo")


def test_a_pair_whose_channel_the_house_has_taken_is_kept(tmp_path: Path) -> None:
    (tmp_path / "house.yaml").write_text(
        "rig_format: 1\ndevices: {desk: {model: console-16}}\nsources: {vox: {kind: dynamic-microphone, plugged_into: desk/in/1}}\n"
        "channels: {8: {label: Vox, carries: vox, patched_from: desk/in/1}}\n"
    )
    path = tmp_path / "list.csv"
    path.write_text("Ch;Name;Mic\n7;Keys;stereo DI\n")
    proposal = propose(
        read_inputs(read_table(path), path), resolve_rig(load_rig(tmp_path / "house.yaml")), "house.yaml"
    )
    assert carried(proposal) == {1: "keys-r", 7: "keys-l"}


def test_what_can_not_be_patched_is_left_out_and_the_file_loads(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    rows = "".join(f"{n};Mic {n};dyn;Box {chr(64 + n)};8\n" for n in range(1, 9))
    Path("list.csv").write_text("Ch;Name;Mic;Box;Socket\n" + rows)
    result = CliRunner().invoke(app, ["new", "rig.yaml", "--from-inputs", "list.csv"])
    assert result.exit_code == 1
    assert "Mic 7: box-g/in/8 has no way to desk; a link carries 48 slots" in " ".join(result.output.split())
    assert "None" not in Path("rig.yaml").read_text()
    assert len(resolve_rig(load_rig(Path("rig.yaml"))).rig.channels) == 6


@pytest.mark.parametrize("head", ["Input", "In", "Snake", "Stage box", "Stage Box Input"])
def test_sockets_are_found_under_headers_that_may_mean_other_things(head: str, tmp_path: Path) -> None:
    assert sockets(proposed(tmp_path, f"Ch;Name;Mic;{head}\n1;Gtr;dyn;A4\n2;Pno;dyn;SB1 In 2\n")) == {
        "gtr": "a/in/4",
        "pno": "sb1/in/2",
    }


def test_a_column_of_sockets_that_is_not_used_is_told_and_ends_in_1(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("list.csv").write_text("Ch;Name;Mic;Where to\n1;Gtr;dyn;A4\n2;Pno;dyn;A7\n")
    result = CliRunner().invoke(app, ["new", "rig.yaml", "--from-inputs", "list.csv"])
    assert result.exit_code == 1
    assert "✗ “Where to” looks like sockets, but was not used: head it “Socket”" in " ".join(result.output.split())


PARTS = st.sampled_from([*"AB139 -/+,:#", "in ", "Box ", " to "])
CELLS = st.lists(PARTS, min_size=1, max_size=8).map("".join)


@given(st.lists(st.tuples(CELLS, st.sampled_from(("Kick", "Keys stereo"))), min_size=1, max_size=8))
def test_whatever_the_socket_cells_say_the_file_loads_and_no_socket_is_given_twice(rows: list[tuple[str, str]]) -> None:
    import csv
    import tempfile

    with tempfile.TemporaryDirectory() as scratch:
        path = Path(scratch) / "list.csv"
        with path.open("w", encoding="utf-8", newline="") as stream:
            csv.writer(stream).writerows([("Name", "Mic", "Socket"), *((name, "dyn", cell) for cell, name in rows)])
        proposal = propose(read_inputs(read_table(path), path), None, "")
        if not proposal.plan.sections.get("sources"):
            return
        sorted_channels(proposal.plan)
        rig = Path(scratch) / "rig.yaml"
        rig.write_text(scaffold(proposal.plan, "A title", ""), encoding="utf-8")
        loaded = resolve_rig(load_rig(rig))
    assert all(len(names) == 1 for names in loaded.sources_in.values())
    assert set(loaded.rig.sources) == set(proposal.plan.sections["sources"])
    assert None not in {channel.patched_from for channel in loaded.rig.channels.values()}


def test_exit_status_2_means_that_nothing_was_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from lint.check import engine
    from lint.read.problem import cannot_read

    def refuses(*_: object) -> None:
        raise cannot_read("rig.yaml", "a house rule asks for what is not there")

    monkeypatch.setattr(engine, "check_file", refuses)
    monkeypatch.chdir(tmp_path)
    Path("list.csv").write_text("Ch;Name;Mic\n1;Gtr;dyn\n")
    result = CliRunner().invoke(app, ["new", "rig.yaml", "--from-inputs", "list.csv"])
    assert result.exit_code == 2
    assert not Path("rig.yaml").exists()


HOUSE = """\
rig_format: 1
devices: {desk: {model: console-16}, NAME: {model: stage-box-16x8, output_bank: 1-8}MORE}
cables: {trunk: {from: desk/link-1, to: NAME/upstream}MORE_CABLES}
"""
SECOND = (
    ", east-box: {model: stage-box-8x8, output_bank: 9-16}",
    ", far: {from: NAME/downstream, to: east-box/upstream}",
)


def imported(rows: str, folder: Path, monkeypatch: pytest.MonkeyPatch, box: str = "sb1", two: bool = False) -> str:
    """Import rows into a house with one stage box, or two; return what was said."""
    monkeypatch.chdir(folder)
    device, cable = SECOND if two else ("", "")
    house = HOUSE.replace("MORE_CABLES", cable).replace("MORE", device).replace("NAME", box)
    Path("house.yaml").write_text(house, encoding="utf-8")
    Path("list.csv").write_text(f"Ch;Name;Mic;48V;Socket\n{rows}\n", encoding="utf-8")
    return " ".join(CliRunner().invoke(app, ["new", "x.yaml", "--from-inputs", "list.csv"]).output.split())


def plugged(folder: Path) -> list[tuple[str, str]]:
    return [(name, str(row.sockets[0])) for name, row in load_rig(folder / "x.yaml").sources.items()]


@pytest.mark.parametrize("socket", ["SB1-7/8", "SB1-7+8", "sb1 7/8", "SB1 in 7 & 8", "SB1-7/SB1-8"])
def test_two_inputs_of_a_box_of_the_house_are_a_pair(
    socket: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = imported(f"1;Playback;player;;{socket}", tmp_path, monkeypatch)
    assert plugged(tmp_path) == [("playback-l", "sb1/in/7"), ("playback-r", "sb1/in/8")]
    assert f"“{socket}” is read as a pair on" in told
    assert "1 of 1 input read" in told


@pytest.mark.parametrize(
    ("socket", "number"),
    [
        ("SB1-7", 7),
        ("SB1 12", 12),
        ("Box 1 / 5", 5),
        ("box 1-5", 5),
        ("Stage box 5", 5),
        ("SB1/in/3", 3),
    ],
)
def test_the_only_box_of_a_house_is_box_1(
    socket: str, number: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = imported(f"1;Kick;dyn;;{socket}", tmp_path, monkeypatch)
    assert plugged(tmp_path) == [("kick", f"sb1/in/{number}")]
    assert ("is read as sb1, the one stage box of the house" in told) == (not socket.startswith("SB1"))


def test_no_digit_of_a_number_is_taken_for_the_box(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    told = imported("1;Kick;dyn;;SB116\n2;Vox;dyn;;SB1 2", tmp_path, monkeypatch)
    assert "sb1 has 16 inputs, and no input 116" in told
    assert plugged(tmp_path) == [("vox", "sb1/in/2")]


def test_box_1_is_no_box_where_there_are_two(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    told = imported("1;Kick;dyn;;Box 1 / 5", tmp_path, monkeypatch, "west-box", two=True)
    assert "no row of the list can be used" in told
    assert "the one stage box" not in told


def test_what_is_advised_where_a_range_is_left_out_can_be_done(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    told = imported("1;Kick;dyn;;SB1-1\n2;Toms;dyn;;SB1-2-3\n3;Bass;DI;;SB2-4", tmp_path, monkeypatch)
    assert "Toms: 'SB1-2-3' is sockets 2–3 of SB1; write a row for each socket, or “stereo” beside its name" in told
    assert "Bass: 'SB2-4' names no box of the house (sb1); write one of them and the input, such as “sb1 4”" in told
    assert "SB1-2 in 3" not in told
    (tmp_path / "x.yaml").unlink()
    told = imported("1;Toms;dyn stereo;;SB1-2-3\n3;Bass;DI;;sb1 4", tmp_path, monkeypatch)
    assert "2 of 2 inputs read" in told


@pytest.mark.parametrize("name", ["Keys L/R", "Keys (L+R)", "Keys L & R", "Keys left/right", "Keys - L/R"])
def test_a_name_of_both_sides_is_parted(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    imported(f"1/2;{name};DI;phantom;SB1-7/8", tmp_path, monkeypatch)
    rig = load_rig(tmp_path / "x.yaml")
    assert plugged(tmp_path) == [("keys-l", "sb1/in/7"), ("keys-r", "sb1/in/8")]
    assert [channel.label for channel in rig.channels.values()] == ["Keys L", "Keys R"]
    assert [channel.phantom for channel in rig.channels.values()] == ["on", "on"]
    assert list(rig.pairs) == ["keys"]
