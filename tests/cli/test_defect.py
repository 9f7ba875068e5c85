"""The report of a defect: enough to mend it, nothing about the person or the rig."""

from __future__ import annotations

from pathlib import Path

import pytest

from lint.cli.defect import report, tell_defect


def failing(message: str) -> BaseException:
    try:
        try:
            {}[message]
        except KeyError as cause:
            raise RuntimeError(f"{message} again") from cause
    except RuntimeError as error:
        return error


def test_the_report_names_what_failed_and_under_what_but_no_message_and_no_argument() -> None:
    text = report(
        failing("lead Ann Example"), ["walk", "rigs/ann.yaml", "--by", "Ann", "--list=short", "-q", "--plain"]
    )
    assert "called as: rigwalk walk ... --by ... --list=... ... --plain\n" in text
    assert "builtins.RuntimeError\n" in text
    assert "which came of:\nbuiltins.KeyError\n" in text
    assert "\npyyaml 6" in text
    assert "Ann" not in text


def test_our_own_steps_come_with_their_line_and_others_unnamed() -> None:
    from lint.read.load import load_document

    try:
        load_document(None)  # type: ignore[arg-type]
    except (TypeError, AttributeError) as error:
        text = report(error, [])
    assert "lint/read/load.py:" in text
    assert "(outside rigwalk)" in text
    assert "test_defect" not in text


def test_a_second_report_does_not_replace_the_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    tell_defect(failing("one"))
    tell_defect(failing("two"))
    assert sorted(path.name for path in tmp_path.iterdir()) == ["rigwalk-defect-1.txt", "rigwalk-defect-2.txt"]


def test_where_no_report_can_be_written_it_is_printed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("lint.cli.defect.write_whole", full)
    tell_defect(failing("one"))
    said = capsys.readouterr().err
    assert "No report could be written, so it follows" in said
    assert "builtins.RuntimeError" in said
