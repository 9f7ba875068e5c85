"""Files are whole or not there, and nobody's file is overwritten unasked."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from lint.page import write
from lint.page.write import CannotWriteError, write_whole


def test_a_file_is_written_as_it_is_given(tmp_path: Path) -> None:
    write_whole(tmp_path / "a.csv", "a,b\r\nä\r\n")
    assert (tmp_path / "a.csv").read_bytes() == "a,b\r\nä\r\n".encode()
    assert [path.name for path in tmp_path.iterdir()] == ["a.csv"]


def test_what_is_there_stays_unless_it_is_to_be_replaced(tmp_path: Path) -> None:
    path = tmp_path / "a"
    path.write_text("mine")
    with pytest.raises(CannotWriteError, match="is there already"):
        write_whole(path, "yours")
    assert path.read_text() == "mine"
    write_whole(path, "yours", replace=True)
    assert path.read_text() == "yours"


@pytest.mark.parametrize("name", ["rig.yaml", "rig.YML", "walks.sqlite", "rule.py", "link.html"])
def test_what_is_no_page_is_never_replaced(name: str, tmp_path: Path) -> None:
    path = tmp_path / name
    if name == "link.html":
        (tmp_path / "house.yaml").write_text("mine")
        path.symlink_to(tmp_path / "house.yaml")
    else:
        path.write_text("mine")
    with pytest.raises(CannotWriteError, match="is no page that --replace replaces"):
        write_whole(path, "yours", replace=True)
    with pytest.raises(CannotWriteError, match=r"name another file$"):
        write_whole(path, "yours")
    assert path.read_text() == "mine"


def test_somebody_quicker_is_not_overwritten(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a"
    fsync = os.fsync

    def slow(handle: int) -> None:
        fsync(handle)
        path.write_text("theirs")

    monkeypatch.setattr(write.os, "fsync", slow)
    with pytest.raises(CannotWriteError, match="is there already"):
        write_whole(path, "yours")
    assert path.read_text() == "theirs"
    assert [entry.name for entry in tmp_path.iterdir()] == ["a"]


def test_a_disk_that_fails_leaves_nothing_half_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a"
    path.write_text("mine")

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(write.os, "fsync", full)
    with pytest.raises(CannotWriteError, match="No space left"):
        write_whole(path, "yours", replace=True)
    assert path.read_text() == "mine"
    assert [entry.name for entry in tmp_path.iterdir()] == ["a"]


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(CannotWriteError, match="can't be written: No such file"):
        write_whole(tmp_path / "none" / "a", "x")


def test_a_disk_without_links_takes_a_file_all_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_source: str, _target: Path) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(write.os, "link", refuse)
    write_whole(tmp_path / "a", "x")
    assert [(path.name, path.read_text()) for path in tmp_path.iterdir()] == [("a", "x")]
    with pytest.raises(CannotWriteError, match="is there already"):
        write_whole(tmp_path / "a", "y")
