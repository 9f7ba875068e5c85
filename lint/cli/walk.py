"""`rigwalk walk`: the checklist, item by item, to a signed go or no-go."""

from __future__ import annotations

import gc
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from lint.record.ledger import Ledger
    from lint.walk.basis import Basis
    from lint.walk.screen import Screen
    from lint.walk.session import Opening, Session
    from lint.walk.terminal import Walker


class Role(StrEnum):
    """Whose items are walked."""

    LEAD = "lead"
    STAGE = "stage"
    HOUSE_MIXER = "house-mixer"
    MONITOR_MIXER = "monitor-mixer"
    WIRELESS = "wireless"


def walk(
    rig: Path = typer.Argument(..., metavar="RIG", help="The rig file.", show_default=False),
    checklist: str = typer.Option("full-walk", "--checklist", help="The checklist: the house's own, or a bundled one."),
    role: Role | None = typer.Option(None, "--role", help="Walk only this role's items.", show_default=False),
    by: str = typer.Option("", "--by", help="Who walks; asked for where it is not given.", show_default=False),
    new: bool = typer.Option(False, "--new", help="Begin a new walk, though one is unfinished."),
) -> None:
    """Walk the checklist with the crew, poll them, and sign a go or a no-go.

    Every answer is on disk before the next question; the same command resumes where it stopped.

    Exit status: 0 signed go, 1 no-go or not finished, 2 a file can't be read or the record can't be kept.
    """
    gc.enable()  # a walk goes on for long
    from lint.read.problem import CannotReadError
    from lint.record.ledger import RecordError
    from lint.walk.screen import Screen

    try:
        signed_go = _walk(rig, checklist, role.value if role else None, (by, new), Screen())
    except CannotReadError as error:
        typer.echo("\n".join(map(str, error.problems)), err=True)
        raise typer.Exit(2) from None
    except RecordError as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(2) from None
    except BrokenPipeError:  # nobody reads any more; what was answered is on disk, and nothing was signed
        _discard_output()
        raise typer.Exit(1) from None
    raise typer.Exit(0 if signed_go else 1)


def _discard_output() -> None:
    import os
    import sys

    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _walk(rig: Path, checklist: str, role: str | None, who: tuple[str, bool], screen: Screen) -> bool:
    from datetime import datetime

    from lint.record.ledger import Ledger, ledger_path
    from lint.record.seal import digest_of
    from lint.walk.basis import load_basis
    from lint.walk.screen import StoppedError, cleaned
    from lint.walk.session import Session
    from lint.walk.terminal import Walker

    def now() -> datetime:
        return datetime.now().astimezone()

    def load() -> Basis:
        return load_basis(rig, checklist, digest_of, now().date())

    basis = load()  # first of all: a rig that can't be read leaves no record behind
    with Ledger(ledger_path(rig)) as ledger:
        _require_whole(ledger)
        session = Session(ledger, basis, load, digest_of, now)
        walker = Walker(session, screen, role)
        try:
            _greet(session, walker, now().date().isoformat())
            name = cleaned(who[0]) or _name(screen)
            _tell_opening(session.open(name, who[1]), walker)
            signed_go = walker.run()
        except (StoppedError, KeyboardInterrupt):
            _tell_stopped(rig, checklist, role, session, screen)
            return False
        if walker.signed is not None:
            _tell_signed(walker, ledger)
        return signed_go


def _require_whole(ledger: Ledger) -> None:
    """Refuse to go on from a record that was tampered with: an answer of it could be anybody's."""
    from lint.record.ledger import RecordError

    broken = ledger.verify().broken
    if broken is not None:
        raise RecordError(
            f"{ledger.path}: record {broken.seq} does not hold ({broken.why}), so nothing is added to it. "
            "Keep the file, move it away, and walk again to begin a new one."
        )


def _name(screen: Screen) -> str:
    while True:
        name = screen.ask("Who walks? Your name: ")
        if len(name) > 1 and name != "??":
            return name
        if name:
            screen.say(f"“{name}” is no name; expected yours, as the record shall show it.")


def _greet(session: Session, walker: Walker, today: str) -> None:
    screen, basis = walker.screen, session.basis
    rig = basis.checked.resolved.rig
    event = ", ".join(filter(None, (rig.event.name, rig.event.date.isoformat() if rig.event.date else "")))
    screen.say(f"{basis.template.title} of {basis.rig}" + (f" — {event}" if event else ""))
    if rig.event.date is not None and rig.event.date.isoformat() != today:
        screen.say(f"Note: today is {today}, and the rig file says that the event is on {rig.event.date.isoformat()}.")
    walker.tell_no_gos()


def _tell_opening(opening: Opening, walker: Walker) -> None:
    screen, session = walker.screen, walker.session
    if opening.left is not None:
        body = opening.left.body
        screen.say(f"The unfinished walk of {_moment(body['local'])} by {body['by']} is left as it stands.")
    if not opening.resumed:
        count = sum(walker.role is None or item.role == walker.role for item in session.state.plan.items)
        screen.say(f"Walk {session.walk} begins: {count} items. Type ? for help at any item.")
        return
    body = opening.begun.body
    item = session.state.next_item(walker.role)
    where = f"at: {item.challenge}" if item else "at its end"
    screen.say(f"Resuming the walk begun {_moment(body['local'])} by {body['by']}, {where}")
    done = session.state.last_answered(walker.role)
    if done:
        last = session.state.answers[done[0].key]
        screen.say(f"Last answered: {done[0].challenge}: {walker.answer_words(last)}")
    if opening.change is not None:
        walker.tell_change(opening.change)


def _moment(local: str) -> str:
    return f"{local[:10]} {local[11:16]}"


def _tell_stopped(rig: Path, checklist: str, role: str | None, session: Session, screen: Screen) -> None:
    from shlex import quote

    screen.write("")
    if not session.walk:
        screen.say("Stopped before anything was recorded.")
        return
    command = f"rigwalk walk {quote(str(rig))}"
    command += f" --checklist {quote(checklist)}" if checklist != "full-walk" else ""
    command += f" --role {role}" if role else ""
    screen.say(f"Stopped; every answer given is on disk. To resume: {command}")


def _tell_signed(walker: Walker, ledger: Ledger) -> None:
    from lint.record.seal import short

    screen, signed = walker.screen, walker.signed
    assert signed is not None
    body = signed.body
    screen.write("")
    screen.write(f"{screen.status(body['verdict'])} signed by {body['lead']}, {_moment(body['local'])}")
    screen.write(f"Seal: {short(signed.seal)}")
    screen.say("Write the seal on the handover sheet: it alone shows later that nothing was cut off the record's end.")
    screen.say(f"Record: {ledger.path}, walk {signed.walk}, entry {signed.seq}")
    if body["verdict"] != "go":
        screen.say("Cure what stands, then run the walk again: it asks only what is not settled, and polls anew.")
