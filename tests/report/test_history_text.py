"""The walks as text: never wider than the terminal, and a broken record is told for what it is."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from houses import write_house
from torture import open_session
from typer.testing import CliRunner

from lint.cli import app
from lint.record.ledger import Ledger, ledger_path
from lint.walk.given import Given


@pytest.fixture
def rig(tmp_path: Path) -> Path:
    """A rig with one walk, signed no-go."""
    file = write_house(tmp_path / "house") / "rigs" / "sunday.yaml"
    with Ledger(ledger_path(file)) as ledger:
        session = open_session(file, ledger)
        words = "the lead to the drum riser is torn at the plug and somebody has taped it over with white tape"
        session.answer(session.state.plan.items[0], Given("no-go", seen=words))
        session.sign("L. Lead", wants_go=False)
    return file


def history(rig: Path, *options: str) -> tuple[int, str]:
    done = CliRunner().invoke(app, ["history", str(rig), *options])
    return done.exit_code, done.output


def test_a_changed_byte_is_not_provable_from_there_on_and_never_not_signed(rig: Path) -> None:
    connection = sqlite3.connect(ledger_path(rig))
    connection.execute("DROP TRIGGER never_altered")
    last = connection.execute("SELECT max(seq) FROM entries").fetchone()[0]
    connection.execute("UPDATE entries SET body = replace(body, 'L. Lead', 'X. Lead') WHERE seq = ?", (last,))
    connection.commit()
    connection.close()
    status, text = history(rig)
    assert status == 1
    assert f"NOT PROVABLE from record {last} on" in text
    assert f"Not provable from record {last} on: nothing of that is shown." in " ".join(text.split())
    assert "NOT SIGNED" not in text


def test_no_line_is_wider_than_the_terminal_and_no_word_is_cut(rig: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    status, text = history(rig, "1")
    assert status == 0
    assert max(map(len, text.splitlines())) <= 80
    assert "taped it over with white tape" in " ".join(text.split())


@pytest.mark.parametrize("seal", ["ab12", "ab12 cd34", "0" * 15])
def test_a_seal_that_is_too_short_is_told_with_the_length_it_needs(rig: Path, seal: str) -> None:
    status, text = history(rig, "--seal", seal)
    assert status == 2
    told = " ".join(text.split())
    assert f"has {len(seal.replace(' ', ''))} characters, without spaces" in told
    assert "by its first 16 at least" in told
