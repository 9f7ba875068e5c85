"""A seal can be set by anybody over anything: what is read of a record is held to a form before anything is made of it."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

import pytest
import typer
from breaking import at, trails
from fuzz_seeds import entries
from fuzz_targets import go_on, scratch, seal_all

from lint.cli.history import Form, history
from lint.record.form import is_record
from lint.record.ledger import Ledger, RecordError
from lint.walk.thunder import released

UNREADABLE = "what it says is not readable as a record"
ENTRIES = entries()
KINDS = {entry["kind"]: entry["body"] for entry in ENTRIES}


def record(folder: Path, bodies: list[dict[str, Any]]) -> Path:
    path = folder / "walks.sqlite"
    seal_all(path, bodies)
    return path


def test_what_a_walk_writes_is_of_that_form(tmp_path: Path) -> None:
    assert {"begun", "answer", "seen", "cure", "note", "poll", "thunder", "reopened", "kept"} < set(KINDS)
    assert {"signed", "signature", "hunt", "received"} < set(KINDS)
    with Ledger(record(tmp_path, ENTRIES), reading=True) as ledger:
        assert ledger.verify().broken is None


@pytest.mark.parametrize("odd", [None, 7, {"a": [7]}, [7], "\x1b[2Jgo", "a\u202eb"])
@pytest.mark.parametrize("kind", sorted(KINDS))
def test_a_record_that_says_something_else_is_of_no_form_or_does_no_harm(
    kind: str, odd: Any, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every value of every kind of record is exchanged; what is still taken for a record is told like any other."""
    refused = 0
    for trail in trails(KINDS[kind]):
        body = _with(KINDS[kind], trail, odd)
        refused += not is_record(1, kind, body)
        if isinstance(odd, str):
            assert not is_record(1, kind, body)
    assert refused >= 3
    others = [
        entry if entry["kind"] != kind else {**entry, "body": _with(entry["body"], ("by",), odd)} for entry in ENTRIES
    ]
    path = record(tmp_path, others)
    for form in Form:
        with pytest.raises(typer.Exit) as ended:
            history(path, number=0, seal=None, signed_with=None, last=10, form=form)
        assert ended.value.exit_code == 1
    said = capsys.readouterr()
    assert UNREADABLE in said.out
    assert "\x1b" not in said.out + said.err
    with Ledger(path, reading=True) as ledger, pytest.raises(RecordError, match="no longer readable"):
        ledger.entries(kinds=(kind,))


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_a_record_that_lacks_something_is_of_no_form_or_does_no_harm(kind: str) -> None:
    """Every key of every kind of record is taken away; what is still taken for a record is read like any other."""
    path = scratch() / "records" / "walks.sqlite"
    for trail in trails(KINDS[kind]):
        body = _without(KINDS[kind], trail)
        if not is_record(1, kind, body) or any(isinstance(step, int) and step for step in trail):
            continue
        path.unlink(missing_ok=True)
        seal_all(path, [entry if entry["kind"] != kind else {**entry, "body": body} for entry in ENTRIES])
        go_on(path)
        for form in Form:
            with pytest.raises(typer.Exit):
                history(path, number=1, seal=None, signed_with=None, last=10, form=form)


def _without(body: dict[str, Any], trail: tuple[Any, ...]) -> dict[str, Any]:
    changed = copy.deepcopy(body)
    del at(changed, trail[:-1])[trail[-1]]
    return changed


def _with(body: dict[str, Any], trail: tuple[Any, ...], value: Any) -> dict[str, Any]:
    changed = copy.deepcopy(body)
    at(changed, trail[:-1])[trail[-1]] = value
    return changed


def test_a_release_without_a_hold_releases_nothing() -> None:
    assert released([], {"local": "2026-11-25T18:00:00+01:00"}) == []
