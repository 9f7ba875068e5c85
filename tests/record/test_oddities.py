"""What is odd about a record whose chain holds, and who may read it."""

from __future__ import annotations

import json
import os
import shutil
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from forger import Row, altered, forge
from torture import walked_ledger
from typer.testing import CliRunner

from lint.cli import app


@pytest.fixture
def house(tmp_path: Path) -> Path:
    walked_ledger(tmp_path / "hall")
    return tmp_path / "hall"


def history(where: Path, *options: str) -> tuple[int, str]:
    done = CliRunner().invoke(app, ["history", str(where), *options])
    return done.exit_code, " ".join(done.output.split())


def test_a_usual_record_has_nothing_odd(house: Path) -> None:
    status, text = history(house)
    assert status == 0
    assert "! " not in text
    assert json.loads(CliRunner().invoke(app, ["history", str(house), "--format", "json"]).output)["odd"] == []


def test_a_sign_off_dated_before_its_walk_began_is_told(house: Path) -> None:
    earlier = {"utc": "2020-01-05T09:00:00Z", "local": "2020-01-05T10:00:00+01:00"}
    forge(house / "records" / "walks.sqlite", altered("signed", **earlier))
    status, text = history(house)
    assert status == 0
    assert "is dated 2020-01-05 10:00, before record" in text
    assert "A clock was wrong, or was set back." in text
    (odd,) = json.loads(CliRunner().invoke(app, ["history", str(house), "--format", "json"]).output)["odd"]
    assert "dated 2020-01-05" in odd


def test_clocks_of_two_machines_that_are_a_little_apart_are_none(house: Path) -> None:
    def skew(rows: list[Row]) -> list[Row]:
        shifted = []
        for number, (walk, kind, body) in enumerate(rows):
            moment = datetime(2026, 11, 25, 17, tzinfo=UTC) - timedelta(minutes=number % 2 * 4)
            shifted.append((walk, kind, {**body, "utc": moment.isoformat(), "local": moment.isoformat()}))
        return shifted

    forge(house / "records" / "walks.sqlite", skew)
    assert "A clock was wrong" not in history(house)[1]


def test_another_house_s_record_put_in_its_place_is_told(house: Path, tmp_path: Path) -> None:
    walked_ledger(tmp_path / "chapel")
    shutil.copy(tmp_path / "chapel" / "records" / "walks.sqlite", house / "records" / "walks.sqlite")
    status, text = history(house)
    assert status == 0
    assert "Walk 1: begun in a house folder called chapel, and this one is called hall." in text
    assert "another house's record" in history(house / "rigs" / "sunday.yaml")[1]


def test_a_record_of_rigs_that_are_not_here_is_told(house: Path) -> None:
    (house / "rigs" / "sunday.yaml").rename(house / "rigs" / "other.yaml")
    assert "No rig that was walked here (rigs/sunday.yaml) is in this house" in history(house)[1]


def test_an_archived_record_is_read_by_its_name_and_a_new_one_begins(house: Path) -> None:
    """As the README says: to begin a new record, rename the old."""
    records = house / "records"
    (records / "walks.sqlite").rename(records / "walks-2026.sqlite")
    status, text = history(records / "walks-2026.sqlite")
    assert status == 0
    assert "✓ GO signed by L. Lead" in text
    assert "No walk has been recorded here yet" in history(house)[1]


@pytest.mark.skipif(os.name == "nt", reason="no such modes there")
@pytest.mark.parametrize(("umask", "mode"), [(0o022, 0o640), (0o002, 0o660), (0o077, 0o600)])
def test_the_record_is_for_its_owner_and_the_group_alone(tmp_path: Path, umask: int, mode: int) -> None:
    before = os.umask(umask)
    try:
        path = walked_ledger(tmp_path / "house")
    finally:
        os.umask(before)
    assert path.stat().st_mode & 0o777 == mode
