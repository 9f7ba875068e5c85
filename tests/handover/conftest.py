"""Weeks of a house that are really walked and signed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from lint.check.example import BASE
from lint.record.ledger import Ledger, ledger_path
from lint.record.seal import digest_of
from lint.walk.basis import load_basis
from lint.walk.entry import Entry
from lint.walk.given import Given
from lint.walk.session import Session

CHECKLIST = """\
checklist_format: 1
title: Small walk
phases:
  - id: links
    title: Links
    mode: do-confirm
    completion: Links complete
    items:
      - {id: bank, role: stage, killer: true, for_each: boxes, challenge: "{box.name}, output bank: {box.bank}"}
"""
WEEK = "rig_format: 1\nextends: ../house.yaml\nevent: {name: Sunday, date: 2026-11-22}\ncrew: {lead: L. Lead, stage: S. Stage}\n"

Walk = Callable[..., Entry]


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """A house with a week's rig, `rigs/a.yaml`."""
    (tmp_path / "rigs").mkdir()
    (tmp_path / "checklists").mkdir()
    (tmp_path / "checklists" / "full-walk.yaml").write_text(CHECKLIST)
    (tmp_path / "house.yaml").write_text(BASE)
    (tmp_path / "rigs" / "a.yaml").write_text(WEEK)
    return tmp_path


@pytest.fixture
def walked() -> Walk:
    """Walk a rig on a day to its signature; `fails` has (what was seen, cure) by item."""

    def walk(
        rig: Path,
        day: str,
        fails: dict[str, tuple[str, str]] | None = None,
        go: bool = True,
        sign: bool = True,
        checklist: str = "full-walk",
    ) -> Entry:
        moment = datetime.fromisoformat(f"{day}T08:00:00").replace(tzinfo=UTC)

        def now() -> datetime:
            nonlocal moment
            moment += timedelta(seconds=30)
            return moment

        with Ledger(ledger_path(rig)) as ledger:
            session = Session(
                ledger, load_basis(rig, checklist, digest_of, moment.date()),
                lambda: load_basis(rig, checklist, digest_of, moment.date()), digest_of, now,
            )  # fmt: skip
            session.open("S. Stage", fresh=True)
            for key, (seen, cure) in (fails or {}).items():
                item = session.state.plan.by_key[key]
                session.answer(item, Given("no-go", seen=seen))
                if cure:
                    session.cure(item, cure)
            while (item := session.state.next_item()) is not None:
                if item.key in (fails or {}) and not (fails or {})[item.key][1]:
                    break
                session.answer(item, Given("go"), "S. Second" if item.second_of else "")
            for role in session.state.plan.roles:
                session.poll(role, "go", "")
            session.note(None, "the door sticks")
            session.by = "L. Lead"
            return session.sign("L. Lead", go) if sign else ledger.entries()[-1]

    return walk
