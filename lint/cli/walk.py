"""`rigwalk walk`: the checklist, item by item, to a signed go or no-go."""

from __future__ import annotations

import gc
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import typer

from lint.cli import completing

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    from lint.record.ledger import Ledger
    from lint.walk.basis import Basis
    from lint.walk.screen import Screen
    from lint.walk.session import Session
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
    checklist: str = typer.Option(
        "full-walk",
        "--checklist",
        help="full-walk, short-walk, close-down or your own.",
        autocompletion=completing.checklists,
    ),
    role: Role | None = typer.Option(None, "--role", help="Walk only this role's items.", show_default=False),
    by: str = typer.Option("", "--by", help="Who walks; asked for where it is not given.", show_default=False),
    new: bool = typer.Option(False, "--new", help="Begin a new walk, whatever there was."),
    key: Path | None = typer.Option(None, "--key", help="A key file to sign with as well.", show_default=False),
    plain: bool = typer.Option(False, "--plain", help="Words alone, no marks or rules: for screen readers."),
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

    wanted = Wanted(rig, checklist, role.value if role else None, by, new, key)
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
    key: Path | None


def _discard_output() -> None:
    import os
    import sys

    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _walk(wanted: Wanted, screen: Screen) -> bool:
    from dataclasses import replace
    from datetime import datetime

    from lint.record.ledger import Ledger, ledger_path
    from lint.record.put_back import read_left
    from lint.record.seal import digest_of
    from lint.walk.basis import load_basis
    from lint.walk.opening import greet, open_walk
    from lint.walk.screen import StoppedError
    from lint.walk.session import Session
    from lint.walk.terminal import Walker

    def now() -> datetime:
        return datetime.now().astimezone()

    def load() -> Basis:
        return load_basis(wanted.rig, wanted.checklist, digest_of, now().date())

    key = _key(wanted.key, screen)
    basis = load()  # first of all: a rig that can't be read leaves no record behind
    with Ledger(ledger_path(wanted.rig)) as ledger:
        _require_whole(ledger, screen)
        session = Session(ledger, basis, load, digest_of, now)
        if key is not None:
            session.signs_with = _public(key)
        walker = Walker(session, screen, wanted.role, replace(_aids(wanted.rig, session), earlier=_earlier(ledger)))
        for left in read_left(ledger):
            said = left.words[0].upper() + left.words[1:].rstrip(".")
            is_done = "it is mended or replaced" if left.is_broken else "it is"
            screen.say(f"{said}. The next hunt asks whether {is_done}.", "FIRST: ", "  ")
        try:
            greet(walker, now().date().isoformat())
            if not open_walk(walker, wanted.by, wanted.new):
                return session.go_stands()
            signed_go = walker.run()
        except (StoppedError, KeyboardInterrupt):
            _tell_stopped(wanted, session, screen)
            return False
        if walker.signed is not None:
            _tell_signed(walker, ledger)
            if key is not None:
                _add_signature(walker, key)
        return signed_go


def _key(path: Path | None, screen: Screen) -> Ed25519PrivateKey | None:
    """Read the key to sign with, or offer to make it, before anything is asked."""
    if path is None:
        return None
    from lint.record.signature import load_key, make_key, require_signing
    from lint.walk.screen import StoppedError

    require_signing()
    if not path.exists():
        screen.say(
            f"There is no key {path}. A new one signs as you to whoever knows its number; keep the file to yourself."
        )
        try:
            wanted = screen.ask("Make one? y: yes · Enter: no ").casefold()
        except StoppedError:
            wanted = ""
        if wanted not in ("y", "yes"):
            raise typer.Exit(2)
        make_key(path)
    return load_key(path)


def _public(key: Ed25519PrivateKey) -> str:
    from lint.record.signature import public_key

    return public_key(key)


def _add_signature(walker: Walker, key: Ed25519PrivateKey) -> None:
    from lint.record.seal import short
    from lint.record.signature import sign_seal

    assert walker.signed is not None
    signature = sign_seal(key, walker.signed.seal)
    walker.kept(lambda: walker.session.add_signature(signature))
    number = short(signature["public_key"])
    walker.screen.say(f"Signed with the key {number} as well. Keep that number where the record is not: with it")
    walker.screen.write(f"  rigwalk history --signed-with '{number}'")
    walker.screen.say("finds a sign-off that was altered, even if all seals were made anew.")


def _earlier(ledger: Ledger) -> dict[str, str]:
    """Return what signed walks of the house saw to be no-go and no later one saw go, or go for the first time since."""
    from lint.handover.walked import not_seen_go_since
    from lint.record.walks import past_walks

    signed = [walk for walk in past_walks(ledger, ledger.verify()) if walk.signs_off and walk.verdict is not None]
    return {
        row.item.removeprefix("second/"): f"No-go on {walk.begun[:10]}: seen {row.seen or 'not said'}; "
        + (f"done: {row.cure}" if row.cure else "nobody noted what was done")
        + "."
        for walk, row in not_seen_go_since(signed, ())
    }


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
        """Return the command that hunts a signal; empty where a hunt does not take it, such as a box."""
        if find_spec("lint.cli.hunt") is None:
            return ""
        from lint.hunt.target import UnknownTargetError, target_of

        try:
            target_of(session.basis.checked.resolved, signal)
        except UnknownTargetError:
            return ""
        return f"rigwalk hunt {quote(str(rig))} {quote(signal)}"

    return Aids(trace, hunt)


def _require_whole(ledger: Ledger, screen: Screen) -> None:
    """Refuse to go on from a record that was tampered with, and tell where a signature with a key is amiss.

    An answer of such a record could be anybody's; a signature may be missing as a walk was cut off before it.
    """
    from lint.record.ledger import RecordError
    from lint.record.walks import past_walks

    proof = ledger.verify()
    for past in past_walks(ledger, proof):
        if past.signature.fault:
            screen.say(f"{screen.status('no-go')} Walk {past.number}: {past.signature.fault}.")
    broken = proof.broken
    if broken is not None:
        raise RecordError(
            f"{ledger.path}: record {broken.seq} does not hold ({broken.why}), so nothing is added to it. "
            "Keep the file, move it away, and walk again to begin a new one."
        )


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
    for item in session.state.standing():
        screen.say(f"{item.challenge} — nothing starts without this.", f"{screen.status('no-go')} ", "  ")
    screen.say(f"Stopped; every answer given is on disk. To resume: {command}")


def _tell_signed(walker: Walker, ledger: Ledger) -> None:
    from lint.record.seal import short
    from lint.walk.entry import exceptions_of, quick_words
    from lint.walk.opening import moment

    screen, signed = walker.screen, walker.signed
    assert signed is not None
    body = signed.body
    screen.write("")
    quick = quick_words(body["quick_answers"], len(walker.session.state.given))
    without = "; ".join(filter(None, (exceptions_of(body), quick))) if body["verdict"] == "go" else ""
    lacks = f" ({without})" if without else ""
    screen.say(f"{screen.status(body['verdict'])}{lacks} signed by {body['lead']}, {moment(body['local'])}")
    screen.write(f"Seal: {short(signed.seal)}")
    screen.say("Write the seal on the handover sheet: by it, the record can be held against this sign-off later.")
    screen.say(f"Walk {signed.walk}, entry {signed.seq} of the record {ledger.path}")
    if body["verdict"] != "go":
        screen.say("Cure what stands, then run the walk again: it asks only what is not settled, and polls anew.")
