"""CSV against RFC 4180, "Common Format and MIME Type for Comma-Separated Values (CSV) Files", section 2.

What we write is read back by a reader written here from the grammar of that section; what we read are ten dialects that
spreadsheets and people really write (the dialects: common practice, from memory).
"""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lint.page.as_csv import page_csv
from lint.page.page import Page, Section, Table
from lint.page.plain import defused, shown
from lint.start.inputs import read_inputs
from lint.start.table import read_table


def written(columns: tuple[str, ...], rows: list[tuple[str, ...]]) -> str:
    return page_csv(Page("", "", (Section("s", "S", (Table("", columns, tuple(rows)),)),)))


def by_the_grammar(text: str) -> list[list[str]]:
    """Read a text by the ABNF of RFC 4180, section 2; anything outside it fails."""
    rows: list[list[str]] = []
    row: list[str] = []
    at = 0
    while at < len(text):
        field = ""
        if text[at] == '"':
            at += 1
            while True:
                if text.startswith('""', at):
                    field, at = field + '"', at + 2
                elif text[at] == '"':
                    at += 1
                    break
                else:
                    field, at = field + text[at], at + 1
        else:
            while at < len(text) and text[at] not in ",\r\n":
                assert text[at] != '"', "a quote inside a field that is not quoted (rule 5)"
                field, at = field + text[at], at + 1
        row.append(field)
        if at == len(text) or text.startswith("\r\n", at):
            rows.append(row)
            row, at = [], at + 2
        else:
            assert text[at] == ",", f"neither comma nor CRLF at {at}"
            at += 1
    assert not row
    return rows


def test_rule_1_each_record_on_a_line_of_its_own_that_ends_in_crlf() -> None:
    assert written(("a", "b"), [("1", "2")]) == "a,b\r\n1,2\r\n"


def test_rules_3_and_4_a_header_and_the_same_number_of_fields_in_every_line() -> None:
    rows = by_the_grammar(written(("a", "b", "c"), [("1", "", "3"), ("", "", "")]))
    assert rows == [["a", "b", "c"], ["1", "", "3"], ["", "", ""]]


def test_rules_6_and_7_commas_and_quotes_stand_in_quotes_and_quotes_are_doubled() -> None:
    assert written(("a", "b"), [("b,bb", 'b"bb')]) == 'a,b\r\n"b,bb","b""bb"\r\n'


@given(st.lists(st.tuples(st.text(max_size=8), st.text(max_size=8)), max_size=5))
def test_whatever_stands_in_a_cell_is_read_back(rows: list[tuple[str, str]]) -> None:
    text = written(("a", "b"), list(rows))
    expected = [["a", "b"], *([defused(cell) for cell in row] for row in rows)]
    assert by_the_grammar(text) == expected
    assert list(csv.reader(io.StringIO(text, newline=""))) == expected


@pytest.mark.parametrize("cell", ["=1+1", "+49 30", "-2+3", "@SUM(A1)", " =A1", "\t=A1", "\r=A1", "=HYPERLINK(1)"])
def test_what_a_spreadsheet_would_take_for_a_formula_is_text(cell: str) -> None:
    # The signs: OWASP, "CSV Injection" (from memory).
    assert defused(cell) == f"'{shown(cell)}"


@pytest.mark.parametrize("cell", ["-3", "+4.5", "12", "west-box/in/3", "Hand held red", "48 V", ""])
def test_numbers_and_words_stay_as_they_are(cell: str) -> None:
    assert defused(cell) == cell


ROWS = [("1", "Kick", "dynamic", ""), ("2", "Käthe, vox", "condenser", "x"), ("3", "Keys L", "active DI", "x")]


def _dialects() -> dict[str, bytes]:
    head = ("Ch", "Instrument", "Mic/DI", "48V")

    def table(delimiter: str, newline: str = "\r\n", quote_all: bool = False) -> str:
        out = io.StringIO()
        quoting = csv.QUOTE_ALL if quote_all else csv.QUOTE_MINIMAL
        csv.writer(out, delimiter=delimiter, lineterminator=newline, quoting=quoting).writerows([head, *ROWS])
        return out.getvalue()

    return {
        "commas, CRLF, UTF-8": table(",").encode(),
        "commas, LF, with a byte-order mark": b"\xef\xbb\xbf" + table(",", "\n").encode(),
        "semicolons, as where the comma is the decimal sign": table(";").encode(),
        "semicolons in Windows-1252": table(";").encode("cp1252"),
        "tabs in UTF-16, as spreadsheets call Unicode text": table("\t").encode("utf-16"),
        "UTF-16 without its mark": table(",").encode("utf-16-le"),
        "everything quoted": table(",", quote_all=True).encode(),
        "the separator told in a first line": ("sep=;\r\n" + table(";")).encode(),
        "bars": table("|").encode(),
        "CR alone, as old machines end lines": table(",", "\r").encode(),
        "a title and an empty line above": ("Sunday;;;\r\n;;;\r\n" + table(";")).encode(),
        "empty lines in between and no last line end": table(",")
        .replace("\r\n2,", "\r\n,,,\r\n\r\n2,")
        .rstrip()
        .encode(),
        "white space around the cells": table(";").replace(";", " ; ").encode(),
    }


@pytest.mark.parametrize("name", _dialects())
def test_a_list_in_any_dialect_says_the_same(name: str, tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes(_dialects()[name])
    listed = read_inputs(read_table(path), path)
    found = [(str(row.channel), row.name, row.kind, row.phantom) for row in listed.inputs]
    assert found == [
        ("1", "Kick", "dynamic-microphone", False),
        ("2", "Käthe, vox", "condenser-microphone", True),
        ("3", "Keys L", "active-di", True),
    ]
    assert not listed.unusable
    assert [meaning for _, meaning in listed.columns] == ["channel", "name", "kind", "phantom"]


def test_a_line_break_inside_quotes_is_part_of_the_cell_and_the_lines_after_it_keep_their_numbers(
    tmp_path: Path,
) -> None:
    # RFC 4180, section 2, rule 6: fields containing line breaks should be enclosed in double-quotes.
    path = tmp_path / "list.csv"
    path.write_bytes(b'Ch,Name,Mic\r\n1,"Lead\r\nvocal",dyn\r\n2,Choir,what\r\n')
    listed = read_inputs(read_table(path), path)
    assert [(row.line, row.name) for row in listed.inputs] == [(2, "Lead vocal"), (4, "Choir")]
