"""A quote that is never closed swallows nothing; cells that rightly hold line breaks stay whole."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from typer.testing import CliRunner

from lint.cli import app
from lint.start.quotes import MOST, split_rows
from lint.start.table import read_table

HEAD = "Kanal;Name;Mikrofon;Stagebox;Buchse;48V;Bemerkung"
BELOW = [f"{number};Mic {number};dynamisch;SB1;{number};nein;kurz" for number in range(3, 12)]


def names(folder: Path, *rows: str) -> tuple[list[str], list[str]]:
    """Return the names of a list and what is wrong with its quotes."""
    path = folder / "list.csv"
    path.write_text("\n".join((HEAD, *rows)) + "\n", encoding="utf-8")
    table = read_table(path)
    return [row.cells[1] for row in table.rows[1:]], [doubt for row in table.rows for doubt in row.doubts]


ALL = [f"Mic {number}" for number in range(3, 12)]


@pytest.mark.parametrize(
    ("row", "name"),
    [
        ('2;"Tom;dynamisch;SB1;2;nein;kurz', "Tom"),
        ('2;"Tom (12"" deep);dynamisch;SB1;2;nein;kurz', 'Tom (12" deep)'),
        ('2;"12" Tom;dynamisch;SB1;2;nein;kurz', '12" Tom'),
    ],
)
def test_a_quote_that_is_never_closed_loses_no_row(row: str, name: str, tmp_path: Path) -> None:
    found, doubts = names(tmp_path, row, *BELOW)
    assert found == [name, *ALL]
    (doubt,) = doubts
    assert doubt.startswith("a quote opened on line 2 is never closed")


@pytest.mark.parametrize(
    "later",
    ['9;Voice "Jo";dynamisch;SB1;9;nein;kurz', '9;"Jo";dynamisch;SB1;9;nein;kurz', '9;12" Tom;dynamisch;SB1;9;nein;"a;b"'],
)  # fmt: skip
def test_a_quote_further_down_does_not_close_it(later: str, tmp_path: Path) -> None:
    found, doubts = names(tmp_path, '2;"Tom;dynamisch;SB1;2;nein;kurz', *BELOW[:6], later, *BELOW[7:])
    assert (len(found), found[0], found[1:7]) == (10, "Tom", ALL[:6])
    assert any("opened on line 2 is never closed: the next quote stands 7 lines further down" in doubt for doubt in doubts)  # fmt: skip


def test_the_row_below_is_not_swallowed_by_a_stray_quote_at_the_end_of_its_cell(tmp_path: Path) -> None:
    found, doubts = names(tmp_path, '2;"Tom;dynamisch;SB1;2;nein;kurz', '3;Tom 12";dynamisch;SB1;3;nein;kurz')
    assert found == ["Tom", 'Tom 12"']
    assert len(doubts) == 1


@pytest.mark.parametrize(
    ("row", "name"),
    [
        ('2;"Guitar\n(left; on the riser)";dynamisch;SB1;2;nein;kurz', "Guitar (left; on the riser)"),
        ('2;Guitar;dynamisch;SB1;2;nein;"moves; in half two\n\nask: 3;4\nthen back"', "Guitar"),
        ('2;"The ""big"" one\r\nof two";dynamisch;SB1;2;nein;', 'The "big" one of two'),
        ('2; "Guitar" ;dynamisch;SB1;2;nein;', "Guitar"),
    ],
)
def test_cells_that_rightly_hold_line_breaks_stay_whole(row: str, name: str, tmp_path: Path) -> None:
    assert names(tmp_path, row, *BELOW) == ([name, *ALL], [])


def test_two_columns_tell_prose_from_rows() -> None:
    text = 'Name,Note\nKick,"deep,\nwith care, please"\n"Snare,top\nHat,tall\nTom,"\n'
    assert [row.cells for row in split_rows(text, ",")] == [
        ("Name", "Note"), ("Kick", "deep,\nwith care, please"), ("Snare", "top"), ("Hat", "tall"), ("Tom", ""),
    ]  # fmt: skip


def test_a_cell_longer_than_any_note_is_none() -> None:
    text = f'1,"{"x" * MOST}",dyn\n2,"{"x" * (MOST + 1)}",dyn\n'
    assert [bool(row.doubts) for row in split_rows(text, ",")] == [False, True]


CELLS = st.text(st.sampled_from('ab1 "\n'), max_size=8) | st.text(st.sampled_from('ab1 ",;'), max_size=8)


@given(st.lists(st.tuples(st.integers(1, 99).map(str), CELLS, CELLS), min_size=1, max_size=8))
def test_what_a_csv_writer_writes_is_read_as_a_csv_reader_reads_it(rows: list[tuple[str, str, str]]) -> None:
    stream = io.StringIO(newline="")
    csv.writer(stream, quoting=csv.QUOTE_ALL).writerows(rows)
    found = list(split_rows(stream.getvalue(), ","))
    assert [row.cells for row in found] == rows
    assert not any(row.doubts for row in found)


@given(st.text(st.sampled_from('a1,"\n '), max_size=60))
def test_no_letter_of_any_text_is_lost(text: str) -> None:
    read = "".join(cell for row in split_rows(text, ",") for cell in row.cells)
    assert [sign for sign in read if sign in "a1"] == [sign for sign in text if sign in "a1"]


def test_the_lead_is_told_by_line_and_it_is_no_go_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("list.csv").write_text('Ch,Name,Mic,Box,Socket\n1,"Kick,dyn,A,1\n2,Snare,dyn,A,2\n3,Hat,cond,A,3\n')
    result = CliRunner().invoke(app, ["new", "rig.yaml", "--from-inputs", "list.csv"])
    told = " ".join(result.output.split())
    assert "line 2: a quote opened on line 2 is never closed" in told
    assert "3 of 3 inputs read" in told
    assert result.exit_code == 1
