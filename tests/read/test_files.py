"""Files on disk: their encodings and sizes, what is no file, and houses whose files extend one another."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from lint.read.load import MAX_EXTENDS, house_folder, load_document, load_map
from lint.read.parse import MOST_MIB
from lint.read.problem import CannotReadError
from lint.rig.build import load_rig


def refused(path: Path) -> list[str]:
    """What keeps a file from being read, with the folder of the test left out."""
    with pytest.raises(CannotReadError) as caught:
        load_document(path)
    return [str(problem).replace(f"{path.parent}{os.sep}", "") for problem in caught.value.problems]


def written(folder: Path, **files: str) -> Path:
    """Write files (`__` is a folder's end, `_` a hyphen) and return the path of the last."""
    path = folder
    for name, text in files.items():
        path = folder.joinpath(*f"{name}.yaml".replace("_", "/").split("//")).resolve(strict=False)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return path


# -- bytes -------------------------------------------------------------------------------------------------------

TEXT = "a: é\nb: 𝄞\n"
READ = {
    "UTF-8": TEXT.encode(),
    "UTF-8 with a byte-order mark": TEXT.encode("utf-8-sig"),
    "UTF-16, little end first": b"\xff\xfe" + TEXT.encode("utf-16-le"),
    "UTF-16, big end first": b"\xfe\xff" + TEXT.encode("utf-16-be"),
    "lines ended as on Windows": TEXT.replace("\n", "\r\n").encode(),
}


@pytest.mark.parametrize("encoding", READ)
def test_encodings_that_are_read(tmp_path: Path, encoding: str) -> None:
    path = tmp_path / "rig.yaml"
    path.write_bytes(READ[encoding])
    document = load_document(path)
    assert document.data == {"a": "é", "b": "𝄞"}
    assert document.locate(("b",)) == (str(path), 2, 4)


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        (b"a: 1\nb: caf\xe9\n", "rig.yaml:2:7: byte 0xe9 is not UTF-8 text; save the file as UTF-8"),
        ("a: éé".encode() + b"\xe9", "rig.yaml:1:6: byte 0xe9 is not UTF-8 text; save the file as UTF-8"),
        (b"\xef\xbb\xbfa: \xfc", "rig.yaml:1:4: byte 0xfc is not UTF-8 text; save the file as UTF-8"),
        (b"a: 1\rb: \xfc", "rig.yaml:2:4: byte 0xfc is not UTF-8 text; save the file as UTF-8"),
        (b"a: \xc3", "rig.yaml:1:4: byte 0xc3 is not UTF-8 text; save the file as UTF-8"),
        (b"a: \xed\xa0\x80", "rig.yaml:1:4: byte 0xed is not UTF-8 text; save the file as UTF-8"),
        (
            b"\xff\xfe" + "a: é\nb".encode("utf-16-le") + b"x",
            "rig.yaml:2:2: byte 0x78 is not UTF-16 text; save the file as UTF-8",
        ),
        ("a: é".encode("utf-16-be"), "rig.yaml:1:8: byte 0xe9 is not UTF-8 text; save the file as UTF-8"),
        ("a: 1".encode("utf-32"), "rig.yaml:1:1: the character U+0000 can't stand in a YAML file; take it out"),
        (b"\x89PNG\r\n\x1a\n\x00", "rig.yaml:1:1: byte 0x89 is not UTF-8 text; save the file as UTF-8"),
        (b"PK\x03\x04", "rig.yaml:1:3: the character U+0003 can't stand in a YAML file; take it out"),
        (b"", "rig.yaml:1:1: is empty; expected a map such as `rig_format: 1`"),
        (b"\xef\xbb\xbf", "rig.yaml:1:1: is empty; expected a map such as `rig_format: 1`"),
        (
            b"- a\n- b\n",
            "rig.yaml:1:1: the file holds a list or a single value; expected a map such as `rig_format: 1`",
        ),
        (b"text", "rig.yaml:1:1: the file holds a list or a single value; expected a map such as `rig_format: 1`"),
    ],
)
def test_bytes_that_are_no_rig(tmp_path: Path, raw: bytes, message: str) -> None:
    path = tmp_path / "rig.yaml"
    path.write_bytes(raw)
    assert refused(path) == [message]


def test_a_file_of_16_mib_is_read_and_not_a_byte_more(tmp_path: Path) -> None:
    path = tmp_path / "rig.yaml"
    path.write_bytes(b"a: 1\n".ljust(MOST_MIB * 1024**2 - 1, b" ") + b"\n")
    assert load_document(path).data == {"a": 1}
    with path.open("ab") as stream:
        stream.write(b"\n")
    started = time.process_time()
    assert refused(path) == ["rig.yaml: is larger than 16 MiB; a rig file is not that long"]
    assert time.process_time() - started < 1


def test_what_is_no_file(tmp_path: Path) -> None:
    assert refused(tmp_path / "none.yaml") == ["none.yaml: there is no such file"]
    (tmp_path / "folder").mkdir()
    assert refused(tmp_path / "folder") == ["folder: this is a folder, expected a file"]
    assert refused(tmp_path / ("x" * 300)) == ["x" * 300 + ": can't be opened: File name too long"]
    assert refused(tmp_path / "a\0b") == ["a\0b: there is no such file"]
    os.mkfifo(tmp_path / "pipe")
    assert refused(tmp_path / "pipe") == ["pipe: this is a device or a pipe, expected a file"]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may open everything")
def test_a_file_that_may_not_be_opened(tmp_path: Path) -> None:
    path = tmp_path / "rig.yaml"
    path.write_text("a: 1", encoding="utf-8")
    path.chmod(0)
    assert refused(path) == ["rig.yaml: can't be opened: Permission denied"]


# -- extends -----------------------------------------------------------------------------------------------------


def test_a_week_extends_its_house(tmp_path: Path) -> None:
    week = written(tmp_path, house="a: {b: 1, c: 2}\nd: [1]\n", rigs__week="extends: ../house.yaml\na: {b: 3}\n")
    document = load_document(week)
    assert document.data == {"a": {"b": 3, "c": 2}, "d": [1]}
    assert document.files == (str(tmp_path / "house.yaml"), str(week))
    assert document.locate(("a", "b")) == (str(week), 2, 8)
    assert document.locate(("a", "c")) == (str(tmp_path / "house.yaml"), 1, 14)
    assert document.locate(("d", 0)) == (str(tmp_path / "house.yaml"), 2, 5)


def test_paths_are_shown_as_the_user_gave_them(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    written(tmp_path, house="a: 1\n", rigs__week="extends: ../house.yaml\n")
    monkeypatch.chdir(tmp_path / "rigs")
    assert load_document(Path("week.yaml")).files == ("../house.yaml", "week.yaml")
    monkeypatch.chdir(tmp_path)
    assert load_document(Path("rigs/week.yaml")).files == ("house.yaml", "rigs/week.yaml")


@pytest.mark.parametrize(
    ("value", "message"),
    [
        ("null", "found nothing, expected the path of a file, such as ../house.yaml"),
        ("3", "found 3, expected the path of a file, such as ../house.yaml"),
        ("true", "found true, expected the path of a file, such as ../house.yaml"),
        ('""', "found '', expected the path of a file, such as ../house.yaml"),
        ("[a, b]", "found a list, expected the path of a file, such as ../house.yaml"),
        ("{a: b}", "found a map, expected the path of a file, such as ../house.yaml"),
        ("/etc/passwd", "expected a path relative to this file, such as ../house.yaml"),
        ("../hose.yaml", "there is no file ../hose.yaml; did you mean 'house.yaml'?"),
        ("house.yaml", "there is no file house.yaml"),
        ("nowhere/x.yaml", "there is no file nowhere/x.yaml"),
        ("..", ".. is a folder, expected a file, such as ../house.yaml"),
        (".", ". is a folder, expected a file, such as ../house.yaml"),
        ("../../other.yaml", "../../other.yaml lies outside the house folder hall/"),
        ("../../hall-two/house.yaml", "../../hall-two/house.yaml lies outside the house folder hall/"),
        ("../rigs/../../x.yaml", "../rigs/../../x.yaml lies outside the house folder hall/"),
        ("week.yaml", "goes round in a ring: week.yaml extends week.yaml"),
        ("../rigs/./week.yaml", "goes round in a ring: week.yaml extends week.yaml"),
        ("x" * 300 + ".yaml", "there is no file " + "x" * 75 + "..."),
    ],
)
def test_extends_that_lead_nowhere(tmp_path: Path, value: str, message: str) -> None:
    week = written(
        tmp_path,
        other="a: 1",
        hall_two__house="a: 1",
        hall__house="a: 1",
        hall__rigs__week=f"rig_format: 1\nextends: {value}\n",
    )
    assert refused(week) == [f"week.yaml:2:10: extends: {message}"]


@pytest.mark.parametrize("value", ['"a\\0b"', '"a\\nb"', "'\ta'"])
def test_extends_of_names_no_file_has(tmp_path: Path, value: str) -> None:
    (message,) = refused(written(tmp_path, house=f"extends: {value}\n"))
    assert message.startswith("house.yaml:1:10: ")
    assert "\n" not in message


def test_a_ring_of_three_is_told_where_it_closes(tmp_path: Path) -> None:
    (message,) = refused(written(tmp_path, house="a: 1", one="extends: two.yaml", two="extends: three.yaml", three="extends: one.yaml"))  # fmt: skip
    assert message == "two.yaml:1:10: extends: goes round in a ring: three.yaml extends one.yaml extends two.yaml extends three.yaml"  # fmt: skip


@pytest.mark.parametrize("deep", [MAX_EXTENDS, MAX_EXTENDS + 1, 25])
def test_how_deep_extends_may_go(tmp_path: Path, deep: int) -> None:
    files = {f"file{number}": f"extends: file{number - 1}.yaml\n" for number in range(1, deep + 1)}
    path = written(tmp_path, file0="a: 1", **files)
    if deep <= MAX_EXTENDS:
        assert load_document(path).data == {"a": 1}
        assert len(load_document(path).files) == deep + 1
    else:
        name = f"file{deep - MAX_EXTENDS}.yaml"
        assert refused(path) == [f"{name}:1:10: extends: more than 20 files deep"]


def test_a_file_without_a_house_may_extend_within_the_folder_above(tmp_path: Path) -> None:
    week = written(tmp_path, base="a: 1\n", rigs__week="extends: ../base.yaml\n")
    assert load_document(week).data == {"a": 1}
    assert house_folder(week) is None


def test_the_house_is_the_nearest_one_above(tmp_path: Path) -> None:
    week = written(tmp_path, house="a: 1", inner__house="a: 2", inner__rigs__week="extends: ../house.yaml")
    assert house_folder(week) == tmp_path / "inner"
    assert load_document(week).data == {"a": 2}


def test_mistakes_are_told_in_the_file_that_makes_them(tmp_path: Path) -> None:
    week = written(
        tmp_path,
        house="rig_format: 1\ndevices:\n  desk: {model: console-32}\n  box: {modle: stage-box-8x8}\n",
        rigs__week="extends: ../house.yaml\ndevices: {desk: {location: 3}}\n",
    )
    with pytest.raises(CannotReadError) as caught:
        load_rig(week)
    assert [(problem.file, problem.line, problem.column) for problem in caught.value.problems] == [
        (str(tmp_path / "house.yaml"), 4, 9),
        (str(week), 2, 28),
    ]


def test_a_broken_house_is_told_as_the_house(tmp_path: Path) -> None:
    week = written(tmp_path, house="a: [1\n", rigs__week="extends: ../house.yaml\n")
    with pytest.raises(CannotReadError) as caught:
        load_document(week)
    assert caught.value.problems[0].file == str(tmp_path / "house.yaml")


def test_a_model_extends_nothing(tmp_path: Path) -> None:
    path = written(tmp_path, house="a: 1", models__box="extends: ../house.yaml\n")
    assert load_map(path).data == {"extends": "../house.yaml"}


# -- removals ----------------------------------------------------------------------------------------------------


def idle(tmp_path: Path, house: str, week: str) -> list[str]:
    document = load_document(written(tmp_path, house=house, rigs__week="extends: ../house.yaml\n" + week))
    return [str(problem).replace(f"{tmp_path}/rigs/", "") for problem in document.idle_removals]


def test_a_null_that_removes_nothing_is_kept_for_a_note(tmp_path: Path) -> None:
    house = "cables: {trunk: {length_m: 3}}\n"
    assert idle(tmp_path, house, "cables: {trunk: null}\n") == []
    assert idle(tmp_path, house, "cables: {trnk: null}\n") == [
        "week.yaml:2:10: null removes 'trnk', but there is no such entry in what this extends; did you mean 'trunk'?"
    ]
    assert idle(tmp_path, house, "cables: {trunk: {kind: null}}\nsplits: null\n") == [
        "week.yaml:2:18: null removes 'kind', but there is no such entry in what this extends",
        "week.yaml:3:1: null removes 'splits', but there is no such entry in what this extends",
    ]


def test_idle_removals_of_every_file_of_a_chain_are_kept(tmp_path: Path) -> None:
    path = written(
        tmp_path, house="a: 1\n", mid="extends: house.yaml\nb: null\n", week="extends: mid.yaml\na: null\nc: null\n"
    )
    document = load_document(path)
    assert document.data == {}
    assert [(Path(problem.file).name, problem.line) for problem in document.idle_removals] == [
        ("mid.yaml", 2),
        ("week.yaml", 3),
    ]


def test_a_null_where_nothing_is_extended_is_a_mistake(tmp_path: Path) -> None:
    path = written(tmp_path, house="rig_format: 1\ndevices: {}\ncables: {trunk: null}\n")
    with pytest.raises(CannotReadError) as caught:
        load_rig(path)
    (problem,) = caught.value.problems
    assert (problem.line, problem.message) == (3, "cables/trunk: found nothing, expected a map")
