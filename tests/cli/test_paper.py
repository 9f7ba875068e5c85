"""The commands that print: sheet, picture, handover, schema. Every wrong call is one sentence and exit status 2."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from xml.etree import ElementTree

import pytest
from typer.testing import CliRunner, Result

from lint.cli import app
from lint.read.editor import editor_schema
from lint.read.schema import schema
from lint.sheet.book import KEYS

pytestmark = pytest.mark.usefixtures("house")
CLEAN, FAULTY = "hall/rigs/clean-week.yaml", "hall/rigs/faulty-week.yaml"


def call(*arguments: str) -> Result:
    return CliRunner(env={"COLUMNS": "80"}).invoke(app, arguments)


@pytest.mark.parametrize(
    ("form", "begins"), [("text", "Sunday gathering"), ("markdown", "# Sunday gathering"), ("html", "<!DOCTYPE html>")]
)
def test_sheets_in_every_form(form: str, begins: str) -> None:
    result = call("sheet", CLEAN, "--format", form)
    assert result.exit_code == 0
    assert result.stdout.startswith(begins)


@pytest.mark.parametrize("only", KEYS)
def test_one_kind_of_sheet_alone(only: str) -> None:
    result = call("sheet", FAULTY, "--only", only)
    assert result.exit_code == 0
    assert len(result.stdout) > 100


def test_a_csv_file_says_that_it_is_utf_8_and_a_pipe_need_not(tmp_path: Path) -> None:
    """Common practice: spreadsheets take a file without the sign for their country's old code, and garble ✗ and ≠."""
    target = tmp_path / "boxes.csv"
    assert call("sheet", FAULTY, "--only", "boxes", "--format", "csv", "--into", str(target)).exit_code == 0
    piped = call("sheet", FAULTY, "--only", "boxes", "--format", "csv").stdout
    assert target.read_bytes().replace(b"\r\n", b"\n") == b"\xef\xbb\xbf" + piped.encode().replace(b"\r\n", b"\n")
    assert "≠" in piped
    assert not piped.startswith("\ufeff")


def test_a_sheet_as_csv_is_one_table() -> None:
    result = call("sheet", CLEAN, "--only", "console", "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(result.stdout)))
    assert result.exit_code == 0
    assert [row["ch"] for row in rows][:3] == ["1", "2", "3"]
    assert rows[0]["of"] == "desk"


def test_a_box_is_one_table_with_its_inputs_and_outputs() -> None:
    result = call("sheet", CLEAN, "--only", "boxes", "--format", "csv")
    assert result.exit_code == 0, result.output
    rows = list(csv.DictReader(io.StringIO(result.stdout)))
    first = rows[0]
    assert (first["of"], first["table"], first["no"], first["plug in"]) == ("west-box", "Inputs", "1", "kick")
    out = next(row for row in rows if row["table"] == "Outputs")
    assert (out["of"], out["no"], out["plug in"], out["carries"]) == ("west-box", "1", "", out["needs"])
    assert {row["of"] for row in rows} == {"west-box", "east-box", "loft-box"}


@pytest.mark.parametrize("only", KEYS)
def test_every_sheet_is_csv_or_refused_in_a_sentence(only: str) -> None:
    result = call("sheet", FAULTY, "--only", only, "--format", "csv")
    if only in ("stage", "signals"):
        assert result.exit_code == 2
        assert f"The sheet '{only}' is a drawing and holds no table for a CSV file" in result.output
    else:
        assert result.exit_code == 0
        assert len(list(csv.reader(io.StringIO(result.stdout)))) > 1


@pytest.mark.parametrize("form", ["text", "markdown"])
def test_how_to_read_a_drawing_is_not_said_where_there_is_none(form: str) -> None:
    said = " ".join(call("sheet", CLEAN, "--format", form).stdout.split())
    assert "filled dot" not in said
    assert "Squares are" not in said
    assert "west-box: stage left" in said.replace("\\", "")
    assert "A filled dot" in call("sheet", CLEAN, "--format", "html").stdout


def test_a_drawing_of_its_own_says_what_its_marks_stand_for() -> None:
    alone = " ".join(ElementTree.fromstring(call("picture", FAULTY, "chain").stdout).itertext())
    assert "✗" in alone
    check = " ".join(call("check", FAULTY).stdout.split())
    assert "loft-box" in check
    legend = [words for words in alone.splitlines() if "loft-box" in words]
    assert len(legend) > 1
    clean = call("picture", CLEAN, "chain").stdout
    assert "✗" not in clean


def test_into_a_file_and_never_over_another_unasked() -> None:
    target = Path("sheets.html")
    assert call("sheet", CLEAN, "--format", "html", "--into", str(target)).exit_code == 0
    first = target.read_bytes()
    again = call("sheet", FAULTY, "--format", "html", "--into", str(target))
    assert again.exit_code == 2
    assert "sheets.html is there already, and is left as it is" in again.output
    assert target.read_bytes() == first
    assert call("sheet", FAULTY, "--format", "html", "--into", str(target), "--replace").exit_code == 0
    assert target.read_bytes() != first


@pytest.mark.parametrize("command", [["sheet", CLEAN], ["picture", CLEAN], ["handover", CLEAN, "--since", FAULTY]])
@pytest.mark.parametrize("target", [CLEAN, FAULTY, "hall/house.yaml", "copy.html", "linked.html"])
def test_no_rig_is_ever_replaced_by_a_page(command: list[str], target: str) -> None:
    # A rig whose name does not say what it is, and another name of the same file.
    Path("copy.html").write_bytes(Path(CLEAN).read_bytes().replace(b"../house.yaml", b"hall/house.yaml"))
    Path("linked.html").hardlink_to(CLEAN)
    command = [part.replace(CLEAN, "copy.html") if target == "copy.html" else part for part in command]
    before = Path(target).read_bytes()
    result = call(*command, "--into", target, "--replace")
    assert result.exit_code == 2, result.output
    assert "is left as it is; name another file" in " ".join(result.output.split())
    assert Path(target).read_bytes() == before


@pytest.mark.parametrize("what", ["chain", "stage", "signals", "desk", "lead-vocal"])
def test_a_picture_is_an_svg_file(what: str) -> None:
    result = call("picture", FAULTY, what)
    assert result.exit_code == 0
    assert ElementTree.fromstring(result.stdout).tag.endswith("svg")


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["sheet", "none.yaml"], "none.yaml: there is no such file"),
        (["sheet", "broken.yaml"], "broken.yaml:1:"),
        (["sheet", CLEAN, "--only", "boxen"], "--only boxen: there is no such sheet; did you mean 'boxes'?"),
        (["sheet", CLEAN, "--format", "csv"], "A CSV file holds one kind of table: say which with --only"),
        (["sheet", CLEAN, "--into", "none/x.txt"], "none/x.txt can't be written"),
        (["picture", CLEAN, "violine"], "nothing to draw is called 'violine'; did you mean 'violin'?"),
        (["picture", "none.yaml"], "none.yaml: there is no such file"),
        (["handover", "none.yaml"], "none.yaml: there is no such file"),
        (["handover", CLEAN, "--since", "broken.yaml"], "broken.yaml:1:"),
        (["schema", "--into", "broken.yaml"], "broken.yaml is there already"),
    ],
)
def test_a_wrong_call_is_one_sentence(arguments: list[str], message: str) -> None:
    Path("broken.yaml").write_text("[")
    result = call(*arguments)
    assert result.exit_code == 2, result.output
    assert message in result.output
    assert "Traceback" not in result.output


def test_a_record_that_is_no_record_is_told(house: Path) -> None:
    (house / "records").mkdir()
    (house / "records" / "walks.sqlite").write_bytes(b"not a database, and long enough to be looked at")
    result = call("handover", CLEAN)
    assert result.exit_code == 2
    assert "the record is damaged" in result.output


@pytest.mark.parametrize("form", ["text", "markdown", "html", "json"])
def test_a_handover_against_another_rig(form: str) -> None:
    result = call("handover", FAULTY, "--since", CLEAN, "--format", form)
    assert result.exit_code == 0, result.output
    assert "clarinet is new" in result.stdout
    if form == "json":
        assert json.loads(result.stdout)["since"] == CLEAN


def test_the_schemas_are_printed() -> None:
    assert json.loads(call("schema").stdout) == editor_schema()
    assert json.loads(call("schema", "--merged").stdout) == schema("rig")
