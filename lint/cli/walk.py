"""`rigwalk walk`: the checklist, item by item, to a signed go or no-go."""

from __future__ import annotations

import gc
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import typer

if TYPE_CHECKING:
    from lint.record.ledger import Ledger
    from lint.walk.basis import Basis
    from lint.walk.entry import Entry
    from lint.walk.screen import Screen
    from lint.walk.session import Opening, Session
    from lint.walk.terminal import Aids, Walker


class Role(StrEnum):
    """Whose items are walked."""

    LEAD = "lead"
    STAGE = "stage"
    HOUSE_MIXER = "house-mixer"
    MONITOR_MIXER = "monitor-mixer"
    WIRELESS = "wireless"


def walk(
    rig: Path = typer.Argument(..., metavar="RIG", help="The rig file.", show_default=False),
    checklist: str = typer.Option("full-walk", "--checklist", help="full-walk, short-walk, close-down or your own."),
    role: Role | None = typer.Option(None, "--role", help="Walk only this role's items.", show_default=False),
    by: str = typer.Option("", "--by", help="Who walks; asked for where it is not given.", show_default=False),
    new: bool = typer.Option(False, "--new", help="Begin a new walk, whatever there was."),
    plain: bool = typer.Option(False, "--plain", help="Words alone, a paragraph a line: for screen readers."),
) -> None:
    """Walk the checklist with the crew, poll them, and sign a go or a no-go.

    Every answer is on disk before the next question; the same command resumes where it stopped. Several may walk one
    list at once, each with --role.

    Exit status: 0 signed go, 1 no-go or not finished, 2 a file can't be read or the record can't be kept.
    """
    gc.enable()  # a walk goes on for long
    from lint.read.problem import CannotReadError
    from lint.record.ledger import RecordError
    from lint.walk.screen import Screen

    wanted = Wanted(rig, checklist, role.value if role else None, by, new)
    try:
        signed_go = _walk(wanted, Screen(plain=plain))
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


class Wanted(NamedTuple):
    """What the command was called with."""

    rig: Path
    checklist: str
    role: str | None
    by: str
    new: bool


def _discard_output() -> None:
    import os
    import sys

    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _walk(wanted: Wanted, screen: Screen) -> bool:
    from datetime import datetime

    from lint.record.ledger import Ledger, ledger_path
    from lint.record.seal import digest_of
    from lint.walk.basis import load_basis
    from lint.walk.screen import StoppedError
    from lint.walk.session import Session
    from lint.walk.terminal import Walker

    def now() -> datetime:
        return datetime.now().astimezone()

    def load() -> Basis:
        return load_basis(wanted.rig, wanted.checklist, digest_of, now().date())

    basis = load()  # first of all: a rig that can't be read leaves no record behind
    with Ledger(ledger_path(wanted.rig)) as ledger:
        _require_whole(ledger)
        session = Session(ledger, basis, load, digest_of, now)
        walker = Walker(session, screen, wanted.role, _aids(wanted.rig, session))
        try:
            _greet(session, walker, now().date().isoformat())
            if not _open(wanted, walker):
                return True
            signed_go = walker.run()
        except (StoppedError, KeyboardInterrupt):
            _tell_stopped(wanted, session, screen)
            return False
        if walker.signed is not None:
            _tell_signed(walker, ledger)
        return signed_go


def _aids(rig: Path, session: Session) -> Aids:
    """Return what helps to find a fault: the trace, and the hunt where this rigwalk has one."""
    from importlib.util import find_spec
    from shlex import quote

    from lint.walk.terminal import Aids

    def trace(signal: str) -> str:
        from lint.report.trace import trace_text
        from lint.resolve.trace import trace_signal

        return trace_text(trace_signal(session.basis.checked.resolved, signal))

    def hunt(signal: str) -> str:
        return f"rigwalk hunt {quote(str(rig))} {quote(signal)}" if find_spec("lint.cli.hunt") else ""

    return Aids(trace, hunt)


def _open(wanted: Wanted, walker: Walker) -> bool:
    """Begin or resume the walk; return False where one that was signed go is left as it stands."""
    from lint.walk.screen import cleaned

    session = walker.session
    latest = session.latest()
    again = False
    if latest is not None and latest.signed_go is not None and latest.is_todays and not wanted.new:
        choice = _after_go(latest.signed_go, walker)
        if not choice:
            return False
        again = choice == "c"
    name = cleaned(wanted.by) or _name(walker)
    opening = session.open(name, fresh=wanted.new, again=again, role=wanted.role)
    _tell_opening(opening, walker)
    return True


def _after_go(signed: Entry, walker: Walker) -> str:
    """Say that today's walk was signed go, and ask: `c` go on with it, `n` a new one, or nothing."""
    screen, body = walker.screen, signed.body
    screen.say(f"Walk {signed.walk} was signed {screen.status('go')} by {body['lead']}, {_moment(body['local'])}.")
    if body["rig_digest"] != walker.session.basis.rig_digest:
        screen.say("The rig file was changed after that: the signature does not speak of the rig as it is now.")
    while True:
        screen.say("c: go on with it, asking only what has changed, and sign anew · n: begin a new walk · q: leave it")
        line = screen.ask("> ").casefold()
        if line in ("c", "n"):
            return line
        if line in ("q", "quit", "stop"):
            screen.say("Left as it stands.")
            return ""


def _require_whole(ledger: Ledger) -> None:
    """Refuse to go on from a record that was tampered with: an answer of it could be anybody's."""
    from lint.record.ledger import RecordError

    broken = ledger.verify().broken
    if broken is not None:
        raise RecordError(
            f"{ledger.path}: record {broken.seq} does not hold ({broken.why}), so nothing is added to it. "
            "Keep the file, move it away, and walk again to begin a new one."
        )


def _name(walker: Walker) -> str:
    """Ask who walks; where the rig file says who has the role, Enter is that name."""
    screen = walker.screen
    crew = walker.session.basis.checked.resolved.rig.crew.get(walker.role or "", "")
    offer = f" (Enter: {crew})" if crew else ""
    while True:
        name = screen.ask(f"Who walks? Your name{offer}: ") or crew
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
    walker.show.no_gos()


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
        screen.say(f"Last answered: {done[0].challenge}: {walker.show.answer_words(last)}")
    if opening.change is not None:
        walker.show.change(opening.change)
    if opening.restart:
        _offer_restart(opening, walker)


def _offer_restart(opening: Opening, walker: Walker) -> None:
    """Where another person goes on, or after long, offer to ask the phase under way again from its beginning."""
    screen, items = walker.screen, opening.restart
    title = walker.session.state.plan.phases[items[0].phase].title
    screen.say(f"Of “{title}”, {len(items)} are answered, by somebody else or more than ten minutes ago.")
    if screen.ask("r: ask them again from the start · Enter: go on where it was ").casefold() in ("r", "restart"):
        walker.kept(lambda: walker.session.reopen(items))


def _moment(local: str) -> str:
    return f"{local[:10]} {local[11:16]}"


def _tell_stopped(wanted: Wanted, session: Session, screen: Screen) -> None:
    from shlex import quote

    screen.write("")
    if not session.walk:
        screen.say("Stopped before anything was recorded.")
        return
    command = f"rigwalk walk {quote(str(wanted.rig))}"
    command += f" --checklist {quote(wanted.checklist)}" if wanted.checklist != "full-walk" else ""
    command += f" --role {wanted.role}" if wanted.role else ""
    command += " --plain" if screen.is_plain else ""
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
