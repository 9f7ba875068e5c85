"""`rigwalk new`, from all three sides: nothing is overwritten, and what is written checks clean."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

import lint
from lint.check.engine import check_file
from lint.check.finding import Verdict
from lint.cli import app
from lint.read.editor import editor_schema
from lint.read.load import load_document
from lint.read.parse import parse
from lint.rig.build import load_rig
from lint.rig.model import Models
from lint.start.ask import Asker
from lint.start.scaffold import scaffold

DEMO = Path(lint.__file__).parent / "demo"
LIST = "Ch;Instrument;Mic;48V\n1;Kick;dyn;\n2;Choir;cond;x\n"


@pytest.fixture
def hall(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "rigs").mkdir()
    (tmp_path / "house.yaml").write_bytes((DEMO / "house.yaml").read_bytes())
    (tmp_path / "rigs" / "last.yaml").write_bytes((DEMO / "rigs" / "clean-week.yaml").read_bytes())
    monkeypatch.chdir(tmp_path)
    return tmp_path


def new(*arguments: str, typed: str | None = None) -> Result:
    return CliRunner(env={"COLUMNS": "80"}).invoke(app, ["new", *arguments], input=typed)


def files(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}


def test_last_weeks_rig_on_a_new_date_keeps_every_other_byte(hall: Path) -> None:
    result = new("--from", "rigs/last.yaml", "--date", "2026-12-13")
    assert result.exit_code == 0, result.output
    old, made = (hall / "rigs" / "last.yaml").read_text(), (hall / "rigs" / "2026-12-13.yaml").read_text()
    assert made == old.replace("date: 2026-11-29", "date: 2026-12-13")
    assert made != old


def test_a_copy_in_another_folder_still_finds_its_house(hall: Path) -> None:
    (hall / "rigs" / "spring").mkdir()
    result = new("rigs/spring/x.yaml", "--from", "rigs/last.yaml", "--date", "2026-12-13")
    assert result.exit_code == 0, result.output
    made = hall / "rigs" / "spring" / "x.yaml"
    assert "extends: ../../house.yaml\n" in made.read_text()
    assert load_document(made).data["devices"] == load_document(hall / "rigs" / "last.yaml").data["devices"]


def test_a_copy_that_could_not_be_read_is_not_written(hall: Path) -> None:
    outside = hall.parent / "outside" / "deep"
    outside.mkdir(parents=True, exist_ok=True)
    result = new("../outside/deep/x.yaml", "--from", "rigs/last.yaml", "--date", "2026-12-13")
    assert result.exit_code == 2
    told = " ".join(result.output.split())
    assert "lies outside the house folder" in told
    assert "nothing was written; keep the copy in its house, such as rigs/x.yaml" in told
    assert "Written" not in told
    assert list(outside.iterdir()) == []


def test_a_copy_in_a_house_without_its_models_is_taken_away_again(hall: Path) -> None:
    (hall / "models").mkdir()
    (hall / "models" / "ours.yaml").write_bytes((DEMO.parent / "models" / "stage-box-8x8.yaml").read_bytes())
    (hall / "alone.yaml").write_text("rig_format: 1\ndevices: {here: {model: ours}}\n")
    other = hall.parent / "other"
    other.mkdir(exist_ok=True)
    result = new("../other/x.yaml", "--from", "alone.yaml", "--date", "2026-12-13")
    assert result.exit_code == 2, result.output
    assert "Written" not in result.output
    assert list(other.iterdir()) == []


def test_a_list_becomes_a_rig_of_the_house(hall: Path) -> None:
    (hall / "list.csv").write_text(LIST)
    result = new("rigs/next.yaml", "--from-inputs", "list.csv", "--date", "2026-12-13")
    assert result.exit_code == 0, result.output
    rig = check_file(hall / "rigs" / "next.yaml").resolved.rig
    assert {"kick", "choir", "lectern"} <= set(rig.sources)
    assert rig.event.date is not None
    text = (hall / "rigs" / "next.yaml").read_text()
    assert "# yaml-language-server: $schema=../rig.schema.json\n" in text
    assert "extends: ../house.yaml\n" in text
    assert (hall / "rig.schema.json").is_file()


def test_an_import_without_a_house_says_first_that_it_makes_the_boxes_up(hall: Path) -> None:
    Path("list.csv").write_text("Ch;Instrument;Mic;Socket\n1;Kick;dyn;box 4 3\n")
    first = "✗ No house.yaml stands beside rigs/next.yaml or above it, so the console and the boxes are made up from"
    assert first not in " ".join(new("rigs/other.yaml", "--from-inputs", "list.csv").output.split())
    (hall / "house.yaml").unlink()
    result = new("rigs/next.yaml", "--from-inputs", "list.csv")
    told = " ".join(result.output.split())
    assert told.startswith(first)
    assert "write the house first (rigwalk new house.yaml), and read the list into its folder rigs" in told


def test_rows_that_were_left_out_show_in_the_exit_status(hall: Path) -> None:
    (hall / "list.csv").write_text(LIST + "x;Bad;dyn;\n")
    result = new("rigs/next.yaml", "--from-inputs", "list.csv")
    assert result.exit_code == 1
    assert "line 4: Bad: the channel is 'x', expected a whole number" in result.output


def test_what_was_left_out_stands_in_the_file_and_go_is_never_said_of_the_whole(hall: Path) -> None:
    rows = "".join(f"{number};Mic {number};dyn;;Box Z;{number}\n" for number in range(2, 26))
    (hall / "list.csv").write_text("Ch;Instrument;Mic;48V;Box;Socket\n1;Kick;dyn;maybe;east-box;3\n" + rows)
    result = new("rigs/next.yaml", "--from-inputs", "list.csv")
    assert result.exit_code == 1
    *_, verdict, last = result.output.strip().splitlines()
    assert last == "✗ 1 of 25 inputs read; what is amiss stands as comments at the top of rigs/next.yaml."
    assert verdict.startswith("What was read is GO")
    lines = (hall / "rigs" / "next.yaml").read_text().splitlines()
    left_out = [line for line in lines if line.startswith("# line ") and "list.csv was left out: Mic " in line]
    assert len(left_out) == 24
    assert "# 1 of 25 inputs read from list.csv." in lines
    assert "# line 2 of list.csv: Kick: the phantom power is 'maybe', expected yes or no; it is left unsaid" in lines
    check_file(hall / "rigs" / "next.yaml")


@pytest.mark.parametrize(
    ("above", "name", "source"),
    [("", "summer gathering", "the name of the list's file"), ("Harvest supper\n", "Harvest supper", "above the list")],
)
def test_an_imported_rig_has_an_event_with_a_name(
    above: str, name: str, source: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("summer_gathering.csv").write_text(above + LIST)
    result = new("rig.yaml", "--from-inputs", "summer_gathering.csv")
    assert result.exit_code == 0, result.output
    assert check_file(Path("rig.yaml")).resolved.rig.event.name == name
    assert f"the event is called “{name}”" in result.output
    assert source in result.output
    assert f"# assumed: the event is called “{name}”" in Path("rig.yaml").read_text()


def test_what_was_assumed_of_many_rows_is_told_once(hall: Path) -> None:
    rows = "1;Kick;Thumper;;SB1;1\n2;Snare;Thumper;;;2\n3;Vox;dyn;;;\n;Piano L;cond;x;;4\n5;Piano R;cond;x;;5\n"
    Path("list.csv").write_text("Ch;Instrument;Mic;48V;Box;Socket\n" + rows)
    (hall / "house.yaml").unlink()
    result = new("rig.yaml", "--from-inputs", "list.csv")
    assert result.exit_code == 0, result.output
    told = " ".join(result.output.split())
    assert "Kick, Snare (lines 2–3): “Thumper” is no kind that is known" in told
    assert "Snare, Piano L, Piano R (lines 3, 5–6): on SB1, the box that stands above" in told
    assert "Piano L, Piano R (lines 5–6): read as the pair “piano”, by the two names" in told
    assert "proposed: line 4 Vox: socket sb1/in/3; line 5 Piano L: channel 4" in told
    notes = [line.partition("  # ")[2] for line in Path("rig.yaml").read_text().splitlines() if "plugged_into" in line]
    assert [bool(note) for note in notes] == [True, True, False, False, False]


ANSWERS = "Sunday\n\n\n2\n\n\nstage left\n40\n\n\nstage-box-8x8\n\n\ny\non a hook\nLead vocal\n1\nKeys\n4\nChoir\n2\n\n2\nSinger\n\n\nDrummer\n2\ndrum riser\n\n\n1\n\n2\n\n\n"


def test_a_house_that_is_asked_for_checks_clean(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    result = new(typed=ANSWERS)
    assert result.exit_code == 0, result.output
    checked = check_file(tmp_path / "house.yaml")
    assert checked.verdict is not Verdict.NO_GO
    assert {row.rule for row in checked.findings if row.weight.value == "caution"} <= {"phantom-while-patching"}
    rig = checked.resolved.rig
    assert (len(rig.boxes), len(rig.sources), len(rig.mixes), len(rig.destinations)) == (2, 3, 4, 6)
    assert [cable.spare for cable in rig.cables.values()] == [None, "on a hook"]
    text = (tmp_path / "house.yaml").read_text()
    assert text.count("\n# ") >= 6
    assert "Written: rig.schema.json, by which editors complete and check what you type." in result.output
    assert "date" not in result.output
    assert [(row.kind, row.location) for row in rig.destinations.values()] == [
        ("wedge", "stage"),
        ("ear-transmitter", "drum riser"),
        ("house-loudspeaker", "left of the stage"),
        ("house-loudspeaker", "right of the stage"),
        ("hearing-assistance", "mix position"),
        ("recorder", "mix position"),
    ]


def test_a_house_without_sources_is_ended_by_enter_and_waits_for_its_weeks(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    result = new(typed="\n" * 40)
    assert result.exit_code == 0, result.output
    assert "Enter alone to end the list" in " ".join(result.output.split())
    checked = check_file(tmp_path / "house.yaml")
    assert checked.resolved.rig.sources == {}
    assert [finding.rule for finding in checked.findings] == ["link-cable-coiled-spare"]
    week = tmp_path / "week.yaml"
    week.write_text(
        "rig_format: 1\nextends: house.yaml\nsources: {vox: {kind: dynamic-microphone, plugged_into: west-box/in/3}}\n"
        "channels: {12: {carries: vox, patched_from: desk/link-1/3}}\n"
    )
    assert check_file(week).verdict is Verdict.GO


def test_nobody_has_a_spare_by_keeping_enter_down_or_by_saying_that_there_is_none() -> None:
    answers = iter(["", "", "", "3", *[""] * 4, "maybe", "", *[""] * 4, "y", "none", *[""] * 4, "y"])
    plan = Asker(lambda _, usual: next(answers, "") or usual, lambda _: None, Models(None), is_house=True).plan()
    assert [row.get("spare") for row in plan.sections["cables"].values()] == [None, None, "under the console"]


def test_what_the_questions_left_open_is_told_at_the_end_and_in_the_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    answers = "Sunday\n\n\n1\n\n\n\n\n\nPiano L\n2\nPiano R\n2\nVox left\n1\n\n1\nSinger\n\n\n\n\n\n"
    result = new(typed=answers)
    assert result.exit_code == 0, result.output
    told = " ".join(result.output.partition("Not asked, and assumed:")[2].split())
    text = (tmp_path / "house.yaml").read_text()
    for words in (
        "every monitor takes all channels, before the fader and at -6 dB",
        "the link cables are shielded, of category 5e",
        "the selector of west-box stands at 1-8",
        "house-left is on west-box/out/7",
        "piano-l and piano-r are the pair piano, by their names",
        "the house mix is stereo and takes all channels",
    ):
        assert words in told
        assert f"# assumed: {words}" in text
    assert {name: (pair.left, pair.right) for name, pair in check_file(Path("house.yaml")).resolved.rig.pairs.items()} == {
        "piano": ("piano-l", "piano-r")
    }  # fmt: skip


@pytest.mark.parametrize("boxes", range(5))
@pytest.mark.parametrize("sources", [1, 2, 30])
@pytest.mark.parametrize("mixes", [0, 1, 6])
def test_every_size_of_house_that_can_be_asked_for_is_a_go(
    boxes: int, sources: int, mixes: int, tmp_path: Path
) -> None:
    left = sources

    def ask(question: str, usual: str) -> str:
        nonlocal left
        if "How many stage boxes" in question:
            return str(boxes)
        if "How many monitor" in question:
            return str(mixes)
        if question.endswith(": source"):
            left -= 1
            return "Mic" if left >= 0 else ""
        if "its model" in question:
            return "stage-box-8x8"
        return "2" if "its kind" in question else usual

    plan = Asker(ask, lambda _: None, Models(None)).plan()
    path = tmp_path / "house.yaml"
    path.write_text(scaffold(plan, "A house", ""))
    checked = check_file(path)
    told = [(row.rule, row.message) for row in checked.findings if row.weight.value != "note"]
    assert {rule for rule, _ in told} <= {"phantom-while-patching"}, told
    assert len(checked.resolved.rig.sources) == sources


def test_answers_that_can_not_be_used_are_asked_again() -> None:
    answers = iter(
        [
            "Sunday",
            "6.12.",
            "",
            "nonsense",
            "stage-box-8x8",
            "console-16",
            "",
            "9",
            "x",
            "0",
            "Vox",
            "77",
            "1",
            "",
            "0",
            "",
            "",
            "9",
            "",
        ]
    )
    said: list[str] = []
    plan = Asker(lambda _, usual: next(answers) or usual, said.append, Models(None)).plan()
    assert plan.sections["devices"]["desk"]["model"] == "console-16"
    assert sum("is no console that is known" in line for line in said) == 2
    assert sum("is no number from 0 to 4" in line for line in said) == 2
    assert any("is none of 1, 2" in line for line in said)
    assert "“9” is none of 1, 2, 3." in said
    assert any("“6.12.” is no date" in line for line in said)


def test_one_may_go_back_and_ask_what_is_meant() -> None:
    answers = iter([
        "Sunday", "?", "2026-13-01", "<", "Monday", "2026-12-07", "", "", "0", "Vox", "?", "<", "Voice", "9", "7", "Bass", "4", "<", "3", "", "0", "", "", "",
    ])  # fmt: skip
    asked: list[str] = []
    said: list[str] = []

    def ask(question: str, usual: str) -> str:
        asked.append(question)
        return next(answers) or usual

    plan = Asker(ask, said.append, Models(None)).plan()
    assert plan.event == {"name": "Monday", "date": "2026-12-07"}
    # After `<` the answer to the question before is forgotten, and nothing else.
    assert {name: row["kind"] for name, row in plan.sections["sources"].items()} == {
        "voice": "boundary-microphone",
        "source-7": "passive-di",
    }
    assert asked.count("Name of the event") == 2
    assert any(line.startswith("Year, month and day") for line in said)
    assert any("a ribbon is kept without it" in line for line in said)


def test_every_question_has_an_explanation() -> None:
    asked: dict[str, list[str]] = {}
    said: list[str] = []
    counts = {
        "How many stage boxes": "2",
        "How many monitor": "2",
        "Is there a tested spare": "y",
        "What else": "2",
    }
    left = iter(["Mic", "Mic"])
    explained: set[str] = set()

    def ask(question: str, usual: str) -> str:
        if question not in explained:
            explained.add(question)
            said.clear()
            return "?"
        asked[question] = list(said)
        if question.endswith(": source"):
            return next(left, "")
        return next((count for part, count in counts.items() if part in question), usual)

    Asker(ask, said.append, Models(None)).plan()
    assert len(asked) > 15
    assert not [question for question, words in asked.items() if not words or words[0].startswith("Empty answers")]


def test_a_ribbon_is_kept_without_phantom_power(tmp_path: Path) -> None:
    kinds = iter(["7", "2"])
    names = iter(["Trumpet", "Choir", ""])

    def ask(question: str, usual: str) -> str:
        if question.endswith(": source"):
            return next(names)
        return next(kinds) if "its kind" in question else usual

    plan = Asker(ask, lambda _: None, Models(None)).plan()
    assert plan.sections["sources"]["trumpet"]["kind"] == "ribbon-microphone"
    assert [row.get("phantom") for row in plan.sections["channels"].values()] == ["off", "on"]
    path = tmp_path / "house.yaml"
    path.write_text(scaffold(plan, "A house", ""))
    assert check_file(path).verdict is not Verdict.NO_GO


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["--from", "rigs/last.yaml"], "--from needs --date"),
        (["--from", "rigs/last.yaml", "--date", "13.12.2026"], "--date 13.12.2026: expected a date such as 2026-12-06"),
        (["--from", "rigs/none.yaml", "--date", "2026-12-13"], "rigs/none.yaml: there is no such file"),
        (["rigs/last.yaml", "--from", "house.yaml", "--date", "2026-12-13"], "rigs/last.yaml is there already"),
        (
            ["none/x.yaml", "--from", "rigs/last.yaml", "--date", "2026-12-13"],
            "there is no folder none; make it first: mkdir none",
        ),
        (["x.yaml", "--from-inputs", "none.csv"], "none.csv: there is no such file"),
        (["x.yaml", "--from-inputs", "broken.csv"], "broken.csv:1:1: no header names the columns"),
        (["x.yaml", "--from-inputs", "empty.csv"], "empty.csv: no row of the list can be used, so nothing was written"),
        (["house.yaml", "--from-inputs", "list.csv"], "house.yaml is there already"),
        (["--from", "rigs/last.yaml", "--from-inputs", "list.csv"], "two ways in; take one"),
    ],
)
def test_a_wrong_call_is_told_in_a_sentence_and_writes_nothing(arguments: list[str], message: str, hall: Path) -> None:
    (hall / "list.csv").write_text(LIST)
    (hall / "broken.csv").write_text("a,b\n1,2\n")
    (hall / "empty.csv").write_text("Ch,Name,Mic\nx,y,z\n")
    before = {name: (hall / name).read_bytes() for name in files(hall)}
    result = new(*arguments, typed="")
    assert result.exit_code == 2, result.output
    assert message in " ".join(result.output.split())
    assert "Traceback" not in result.output
    assert {name: (hall / name).read_bytes() for name in files(hall)} == before


def test_an_existing_schema_file_is_left_alone(hall: Path) -> None:
    (hall / "rig.schema.json").write_text("mine")
    (hall / "list.csv").write_text(LIST)
    assert new("rigs/next.yaml", "--from-inputs", "list.csv").exit_code == 0
    assert (hall / "rig.schema.json").read_text() == "mine"


# -- the schema for editors ------------------------------------------------------------------------------------

ROOT = Path(__file__).parents[2]
WRITTEN = [
    DEMO / "house.yaml",
    *sorted(DEMO.glob("rigs/*.yaml")),
    *sorted(ROOT.glob("tests/clean/*/house.yaml")),
    *sorted(ROOT.glob("tests/clean/*/rigs/*.yaml")),
]


def test_the_schema_for_editors_takes_every_file_as_it_is_written() -> None:
    from jsonschema import Draft202012Validator

    Draft202012Validator.check_schema(editor_schema())
    validator = Draft202012Validator(editor_schema())
    assert len(WRITTEN) > 20
    for path in WRITTEN:
        data, _ = parse(path.read_text(encoding="utf-8"), str(path))
        assert [error.message for error in validator.iter_errors(data)] == [], path


@pytest.mark.parametrize(
    "text",
    [
        "rig_format: 1\nsorces: {}",
        "rig_format: 1\nsources: {kick: {kind: drum}}",
        "rig_format: 1\nchannels: {1: {phantom: perhaps}}",
    ],
)
def test_the_schema_for_editors_still_finds_slips(text: str) -> None:
    from jsonschema import Draft202012Validator

    data, _ = parse(text, "x")
    assert list(Draft202012Validator(editor_schema()).iter_errors(data))


def test_the_schema_for_editors_describes_every_key() -> None:
    found = 0

    def look(part: object) -> None:
        nonlocal found
        if isinstance(part, list):
            for entry in part:
                look(entry)
        if isinstance(part, dict):
            for key, entry in part.get("properties", {}).items() if isinstance(part.get("properties"), dict) else ():
                reference = entry.get("anyOf", [{}])[0].get("$ref", "").removeprefix("#/$defs/")
                said = entry.get("description") or editor_schema()["$defs"].get(reference, {}).get("description")
                assert said, key
                found += 1
            for key, entry in part.items():
                if key not in ("if", "then", "else"):  # conditions, not statements of their own
                    look(entry)

    look(editor_schema())
    assert found > 120


def test_questions_that_are_left_write_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    result = new("x.yaml", typed="")
    assert result.exit_code == 2
    assert "Stopped; nothing was written." in result.output
    assert list(tmp_path.iterdir()) == []


def test_in_a_house_a_week_says_nothing_of_its_own_and_is_all_of_the_house(hall: Path) -> None:
    result = new("rigs/week.yaml", "--date", "2026-12-20", typed="")
    assert result.exit_code == 0, result.output
    assert "Written: rigs/week.yaml, a week of ../house.yaml: what is always there" in " ".join(result.output.split())
    week, house = load_rig(hall / "rigs" / "week.yaml"), load_rig(hall / "house.yaml")
    assert (week.sources, week.devices.keys()) == (house.sources, house.devices.keys())
    assert str(week.event.date) == "2026-12-20"
    again = new("rigs/week.yaml", typed="")
    assert (again.exit_code, "is there already" in again.output) == (2, True)


def test_two_that_are_a_pair_by_their_names_are_panned_to_their_sides(hall: Path) -> None:
    (hall / "pairs.csv").write_text("Ch,Name,Pan\n1,Harp L,\n2,Harp R,\n3,Toms L,centre\n4,Toms R,\n")
    assert new("rigs/pairs.yaml", "--from-inputs", "pairs.csv").exit_code in (0, 1)
    channels = load_rig(hall / "rigs" / "pairs.yaml").channels.values()
    assert [row.pan for row in channels if row.label[:4] in ("Harp", "Toms")] == ["left", "right", "centre", "right"]


WHOLE = "Ch,Name,Box,Socket,Gain,Cable\n{}\n9,Triangle,west-box,3,20,\n"


def test_what_the_house_has_anyway_may_stand_in_the_list(hall: Path) -> None:
    rows = "15,Lectern,west-box,15,35,green\n,Hand held red,desk,1,9,\n,Ambience for the stream,,,,"
    (hall / "all.csv").write_text(WHOLE.format(rows))
    told = new("rigs/all.yaml", "--from-inputs", "all.csv")
    assert told.exit_code == 0, told.output
    said = " ".join(told.output.split())
    assert "4 of 4 inputs read." in said
    assert "what the house has anyway: lectern in west-box/in/15 on channel 15" in said
    week, house = load_rig(hall / "rigs" / "all.yaml"), load_rig(hall / "house.yaml")
    assert set(week.sources) == {*house.sources, "triangle"}
    channels = {row.carries: row for row in week.channels.values()}
    assert (channels["lectern"].gain_db, channels["radio-1"].gain_db, channels["hall-west"].gain_db) == (35, 9, 28)
    assert channels["lectern"].phantom == "on"
    assert week.sources["lectern"].cable == "green"


@pytest.mark.parametrize(
    ("row", "why"),
    [
        ("15,Lectern,east-box,1,,", "channel 15 is taken by the house"),
        ("7,Lectern,west-box,15,,", "west-box/in/15 is taken by lectern"),
        ("15,Reader,west-box,15,,", "west-box/in/15 is taken by lectern"),
    ],
)
def test_what_stands_elsewhere_than_in_the_house_is_not_the_house_s(hall: Path, row: str, why: str) -> None:
    (hall / "all.csv").write_text(WHOLE.format(row))
    told = new("rigs/all.yaml", "--from-inputs", "all.csv")
    assert told.exit_code == 1
    assert why in " ".join(told.output.split())


def test_a_list_of_nothing_but_what_the_house_has_is_a_week(hall: Path) -> None:
    (hall / "all.csv").write_text("Name,Box\nLectern,west-box\n")
    assert new("rigs/all.yaml", "--from-inputs", "all.csv").exit_code == 0
    assert load_rig(hall / "rigs" / "all.yaml").sources.keys() == load_rig(hall / "house.yaml").sources.keys()


def test_a_row_that_is_left_out_on_both_sides_is_one_row(hall: Path) -> None:
    (hall / "all.csv").write_text("Name,Box,Socket,Stereo\nKeyboard,west-box,15-16,yes\nBell,west-box,1,\n")
    said = " ".join(new("rigs/all.yaml", "--from-inputs", "all.csv").output.split())
    assert (
        "Left out (1 row): line 2: Keyboard L: west-box/in/15 is taken by lectern; Keyboard R: west-box/in/16" in said
    )
    assert "1 of 2 inputs read" in said
