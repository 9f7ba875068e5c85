from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from io import StringIO
from pathlib import Path
from types import SimpleNamespace

import pytest
from houses import FULL, write_house

from lint.record.ledger import Ledger, ledger_path
from lint.record.seal import digest_of
from lint.walk.basis import Basis, load_basis
from lint.walk.given import Given
from lint.walk.screen import Screen, StoppedError
from lint.walk.session import Session
from lint.walk.terminal import Walker

A_PHASE = """\
  - id: {name}
    title: {title}
    mode: do-confirm
    completion: {title} complete
    items:
"""


AT_ANOTHER_TIME = """\
import datetime, typer
class Then(datetime.datetime):
    @classmethod
    def now(cls, tz=None):
        return super().now(tz) + datetime.timedelta(seconds={ahead_s})
datetime.datetime = Then
"""


@dataclass
class Clock:
    """A clock that goes on by a second at every look."""

    at: datetime = datetime(2026, 11, 25, 17, 0, tzinfo=UTC)
    step: timedelta = timedelta(seconds=1)

    def __call__(self) -> datetime:
        self.at += self.step
        return self.at


@dataclass
class House:
    """A house folder with one rig, and ways to walk it."""

    folder: Path
    clock: Clock = field(default_factory=Clock)

    @property
    def rig(self) -> Path:
        return self.folder / "rigs" / "sunday.yaml"

    @property
    def ledger_path(self) -> Path:
        return ledger_path(self.rig)

    def write(self, text: str) -> None:
        self.rig.write_text(text, encoding="utf-8")

    def edit(self, old: str, new: str, file: str = "rigs/sunday.yaml") -> None:
        path = self.folder / file
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new, 1), encoding="utf-8")

    def basis(self, checklist: str = "full-walk") -> Basis:
        return load_basis(self.rig, checklist, digest_of, date(2026, 11, 25))

    def session(self, ledger: Ledger, checklist: str = "full-walk") -> Session:
        return Session(ledger, self.basis(checklist), lambda: self.basis(checklist), digest_of, self.clock)

    @contextmanager
    def opened(self, by: str = "A. Adams", role: str | None = None, checklist: str = "full-walk") -> Iterator[Session]:
        """A walk that somebody has begun, or gone on with, at a terminal of their own."""
        with Ledger(self.ledger_path) as ledger:
            session = self.session(ledger, checklist)
            session.open(by, role=role)
            yield session

    def phases(self, **phases: Sequence[str]) -> None:
        """Write a checklist of these phases, each with its items."""
        rows = [
            A_PHASE.format(name=name, title=name.title()) + "".join(f"      - {item}\n" for item in items)
            for name, items in phases.items()
        ]
        self.checklist("checklist_format: 1\ntitle: Small walk\nphases:\n" + "".join(rows))

    def one_phase(self, *items: str) -> None:
        """Write a checklist of one phase, the links, with these items."""
        self.phases(links=items)

    def checklist(self, text: str, name: str = "full-walk") -> Path:
        path = self.folder / "checklists" / f"{name}.yaml"
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
        return path

    def run(self, lines: list[str], *options: str, check: str = "walk") -> subprocess.CompletedProcess[str]:
        """Run a command as a shell does, on the day of this house's clock: on another, an open walk is an old one."""
        ahead_s = (self.clock.at - datetime.now(UTC)).total_seconds()
        code = f"{AT_ANOTHER_TIME.format(ahead_s=ahead_s)}\nfrom lint.cli.{check} import {check}; typer.run({check})"
        command = [sys.executable, "-c", code, str(self.rig if check == "walk" else self.folder), *options]
        text = "".join(line + "\n" for line in lines)
        return subprocess.run(command, input=text, capture_output=True, text=True, check=False, timeout=60)


@pytest.fixture
def house(tmp_path: Path) -> House:
    """The house of the rules' base example."""
    return House(write_house(tmp_path / "house", "event: {name: Sunday}\n"))


@pytest.fixture
def full_house(house: House) -> House:
    """The house with one of everything."""
    house.write("extends: ../house.yaml\n" + FULL)
    return house


@pytest.fixture
def small(house: House) -> House:
    """The house with a checklist of five items in two phases, which are quickly walked."""
    house.checklist(
        """\
checklist_format: 1
title: Small walk
phases:
  - id: links
    title: Links
    mode: do-confirm
    completion: Links complete
    items:
      - {id: bank, role: stage, killer: true, second_person: false, for_each: boxes, challenge: "{box.name}, output bank: {box.bank}"}
  - id: levels
    title: Levels
    needs: []
    mode: read-do
    completion: Levels complete
    items:
      - {id: level, role: house-mixer, measure: {unit: dB, min: 60, max: 70.5}, challenge: "Level: 60 to 70.5 dB"}
"""
    )
    return house


@pytest.fixture
def dumb(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal of 80 columns without colours."""
    monkeypatch.setenv("TERM", "dumb")
    monkeypatch.setenv("COLUMNS", "80")


@pytest.fixture
def pair(small: House) -> House:
    """The small walk with its killer items looked at by two."""
    small.edit("killer: true, second_person: false", "killer: true", "checklists/full-walk.yaml")
    return small


@pytest.fixture
def ledger(house: House) -> Iterator[Ledger]:
    """The record of the house."""
    with Ledger(house.ledger_path) as opened:
        yield opened


@pytest.fixture
def session(small: House, ledger: Ledger) -> Session:
    """The small walk, begun."""
    opened = small.session(ledger)
    opened.open("A. Adams")
    return opened


def walk_on(session: Session, most: int = 1000) -> int:
    """Answer go to whatever is asked, up to a number of items, with a second person; return how many were asked."""
    for asked in range(most):
        item = session.state.next_item()
        if item is None:
            return asked
        least = item.measure.least if item.measure else None
        session.answer(item, Given("go", least), "S. Second" if item.second_of else "")
    return most


def poll_all(session: Session) -> None:
    for role in session.state.plan.roles:
        session.poll(role, "go", "go")


class Lines(StringIO):
    """Typed lines, among them what somebody else does just before the next is typed."""

    def __init__(self, lines: Sequence[str | Callable[[], object]]) -> None:
        super().__init__()
        self._lines = list(lines)

    def readline(self, _size: int | None = -1, /) -> str:
        while self._lines:
            line = self._lines.pop(0)
            if isinstance(line, str):
                return line + "\n"
            line()
        return ""


@dataclass
class Typed:
    """A walk with typed lines, in this process. `plain` is what was shown, without its line breaks."""

    walker: Walker
    text: str
    go: bool | None

    @property
    def plain(self) -> str:
        return " ".join(self.text.split())


def typed(session: Session, lines: Sequence[str | Callable[[], object]], role: str | None = None) -> Typed:
    """Type lines at an opened session until they end; return what the screen showed."""
    shown = StringIO()
    walker = Walker(session, Screen(Lines(lines), shown), role)
    try:
        go: bool | None = walker.run()
    except StoppedError:
        go = None
    return Typed(walker, shown.getvalue(), go)


@pytest.fixture
def ways() -> SimpleNamespace:
    """What several tests do with a session; conftest is not for importing."""
    return SimpleNamespace(walk_on=walk_on, poll_all=poll_all, typed=typed, Given=Given)


@pytest.fixture
def today() -> date:
    return date(2026, 11, 25)
