"""`rigwalk hunt`: from a symptom to the part that is at fault, by the next best question."""

from __future__ import annotations

import gc
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import typer

from lint.cli import completing
from lint.cli.hunt_noted import ask_left, holds, is_over, left_before, name_of, note, past, record
from lint.cli.planned import Format

if TYPE_CHECKING:
    from lint.hunt.hunt import Hunt
    from lint.hunt.keys import Keys
    from lint.hunt.learn import Found
    from lint.hunt.sides import Side
    from lint.hunt.target import Target
    from lint.resolve.resolved import ResolvedRig
    from lint.walk.screen import Screen


MOST_FAULTS = 3  # of the rig file itself, told at the start


class Asked(NamedTuple):
    """What is hunted: the thing, the symptom, where it is heard or missed, on which side; None where it is not said."""

    what: str
    symptom: str
    at: str | None
    side: str | None


class How(NamedTuple):
    """How a hunt at the terminal is answered: under which name, in whole lines, by which keys given beforehand."""

    by: str
    plain: bool
    answers: str | None


WHAT = typer.Argument(
    ...,
    metavar="WHAT",
    help="A source, pair, channel number, effects unit, mix, destination, amplifier or socket.",
    show_default=False,
    autocompletion=completing.hunted,
)
AT = typer.Option(
    None,
    "--at",
    metavar="DESTINATION",
    help="Where it is heard, or missed.",
    show_default=False,
    autocompletion=completing.ends,
)
SIDE = typer.Option(
    None,
    "--side",
    metavar="SIDE",
    help="Of what is stereo: left, right or both.",
    show_default=False,
    autocompletion=completing.sides,
)


def hunt(  # noqa: PLR0913, PLR0917 - each is an argument of the command
    rig: Path = typer.Argument(..., metavar="RIG", help="The rig file.", show_default=False),
    what: str = WHAT,
    symptom: str = typer.Argument(
        "dead",
        metavar="[SYMPTOM]",
        help="dead: nothing comes through | wrong: something else | noise: hum, hiss, crackle, buzz | distorted | "
        "elsewhere: heard where it should not be (with --at).",
        autocompletion=completing.symptoms,
    ),
    at: str | None = AT,
    side: str | None = SIDE,
    by: str = typer.Option(
        "", "--by", help="Who hunts; asked for at the end where it is not given.", show_default=False
    ),
    plain: bool = typer.Option(False, "--plain", help="Whole lines and Enter, for screen readers and slow terminals."),
    answers: str | None = typer.Option(
        None,
        "--answers",
        metavar="KEYS",
        help="The keys to answer with, such as yynsy, instead of asking.",
        show_default=False,
    ),
    output: Format = typer.Option(
        Format.TEXT, "--format", help="json: asks nothing; says where the hunt stands after --answers."
    ),
) -> None:
    """Find a fault step by step: each question says where to look and what to see; it ends in the part and the cure.

    Exit status: 0 found and right again, 1 not found or stopped, 2 a file can't be read or the call is wrong.
    """
    gc.enable()  # a hunt goes on for long
    asked = Asked(what, symptom, at, side)
    if output is Format.JSON:
        found = _told(rig, asked, lambda resolved, about: _as_json(resolved, rig, about, answers or "", by))
    else:
        found = _told(rig, asked, lambda resolved, about: _hunt(resolved, rig, about, How(by, plain, answers)))
    raise typer.Exit(0 if found else 1)


def _told(rig: Path, asked: Asked, hunted: Callable[[ResolvedRig, Asked], bool]) -> bool:
    """Hunt in the rig of a file; what keeps it from that is told, and ends with 2."""
    from lint.hunt.replay import NoAnswerError
    from lint.hunt.symptoms import UnknownSymptomError, symptom_of
    from lint.hunt.target import UnknownTargetError
    from lint.page.layout import wrapped
    from lint.read.problem import CannotReadError
    from lint.record.ledger import RecordError
    from lint.resolve.resolved import resolve_rig
    from lint.rig.build import load_rig

    try:
        about = asked._replace(symptom=symptom_of(asked.symptom))
        return hunted(resolve_rig(load_rig(rig)), about)
    except CannotReadError as error:
        typer.echo("\n".join(map(str, error.problems)), err=True)
    except UnknownSymptomError as error:
        typer.echo(wrapped(str(error), hanging="  "), err=True)
    except (UnknownTargetError, NoAnswerError, RecordError) as error:
        text = str(error) if isinstance(error, RecordError) else f"{rig}: {error}"
        typer.echo(wrapped(text, hanging="  "), err=True)
    raise typer.Exit(2)


def _as_json(rig: ResolvedRig, path: Path, asked: Asked, answers: str, by: str) -> bool:
    """Tell where a hunt stands after the answers; return whether it found the fault.

    It is recorded under a name once it is over, or was stopped: a program may ask again with an answer more.
    """
    from lint.hunt.by_file import dead_on
    from lint.hunt.replay import replayed
    from lint.hunt.sides import begun, sides_of
    from lint.hunt.target import called_as_well
    from lint.report.hunt_json import BeforeIt, hunt_json
    from lint.walk.screen import cleaned

    target = _target(rig, asked)
    sides = sides_of(rig, asked.what, asked.at, target)
    side = _side(sides, asked.side)
    started = _started(path, lambda past: begun(rig, target, sides, side, (asked.symptom, past)), answers)
    hunt, said = replayed(started.hunt, answers.casefold())
    if started.entry is None and is_over(hunt, answers) and (name := cleaned(by)):
        record(path, started.target.name, hunt, name)
    dead = [words for words, _ in dead_on(rig, started.target)]
    wrong = [*_rig_faults(rig, started.target, hunt), *dead, *_dark(hunt), *_silent_beside(rig, sides, side)]
    lit = _lit(rig, started.target, hunt)
    others = called_as_well(rig, asked.what, started.target) if asked.at is None else []
    left = [row.words for row in left_before(path)]
    typer.echo(hunt_json(str(path), started.target, hunt, said, BeforeIt(left, wrong, lit, others)), nl=False)
    return hunt.found is not None


class Started(NamedTuple):
    """A hunt before its first question, how many found ones count in it, and its record where the keys replay it."""

    target: Target
    hunt: Hunt
    past: int
    entry: int | None = None


def _started(path: Path, begun: Callable[[Sequence[Found]], tuple[Target, Hunt]], keys: str | None) -> Started:
    """Return the hunt that begins with what the house found before.

    Where the keys given are those of a hunt that was recorded a moment ago it is that one, and what it taught does not
    count in itself: it would be asked otherwise, and noted twice.
    """
    from datetime import datetime

    from lint.hunt.replay import through
    from lint.read.load import house_folder
    from lint.record.hunts import found_before, is_of, of_the_same
    from lint.walk.basis import rig_name

    entries = past(path)
    target, hunt = begun(found_before(entries))
    now, name = datetime.now().astimezone(), rig_name(path, house_folder(path))
    for noted in of_the_same(entries, name, target.name, hunt.symptom, now) if keys else ():
        before = found_before(entries[: entries.index(noted)])
        _, again = begun(before)
        if is_of(noted, through(again, (keys or "").casefold())) and holds(path):
            return Started(target, again, len(before), noted.seq)
    return Started(target, hunt, len(found_before(entries)))


def _hunt(rig: ResolvedRig, path: Path, asked: Asked, how: How) -> bool:
    from lint.hunt.draft import Draft
    from lint.hunt.keys import Keys
    from lint.hunt.replay import after_the_end
    from lint.hunt.sides import begun, sides_of
    from lint.hunt.terminal import Hunter, ask_side, to_leave
    from lint.record.ledger import ledger_path
    from lint.walk.screen import Screen, StoppedError

    screen = Screen()
    keys = Keys(screen, how.answers, how.plain)
    target = _target(rig, asked)
    sides = sides_of(rig, asked.what, asked.at, target)
    try:
        ask_left(path, how.by, keys)
        side = _side(sides, asked.side) or (ask_side(screen, keys, sides) if how.answers is None else None)
    except (StoppedError, KeyboardInterrupt):
        screen.write("")
        screen.say("Stopped before the first question.")
        return False
    alone = side in {each.name for each in sides} and asked.side is None  # both were listened to
    started = _started(path, lambda past: begun(rig, target, sides, side, (asked.symptom, past), alone), how.answers)
    _say_head(rig, started, screen)
    silent = [] if alone else _silent_beside(rig, sides, side)
    if asked.at is None:
        _say_which(rig, asked.what, started.target, screen)
    if sides:
        from lint.hunt.terminal import say_side

        is_guess = asked.side is None and how.answers is not None
        say_side(screen, sides, side, is_guess, started.target, silent)
    draft = Draft(ledger_path(path).parent, (str(path.resolve()), *asked[:3], side)) if how.answers is None else None
    hunter = Hunter(started.hunt, started.target, screen, keys, draft)
    found = None
    try:
        found = hunter.run()
    except (StoppedError, KeyboardInterrupt):
        screen.write("")
        hunter.tell_stopped()
    if left := keys.left:
        raise after_the_end(keys.taken, left[0])
    if len(hunter.hunt.answers) > 1 or hunter.hunt.is_stopped or to_leave(hunter.hunt.question):
        _noted(path, started, hunter.hunt, how, keys)
    if draft is not None:
        draft.forget()
    for text in silent if found is not None and side == "both" else ():
        screen.say(f"Not mended by that: {text}.")
    return found is not None


def _noted(path: Path, started: Started, hunt: Hunt, how: How, keys: Keys) -> None:
    """Note a hunt under the name of who hunted, once, if it is over."""
    from lint.record.ledger import ledger_path
    from lint.walk.screen import StoppedError

    screen = keys.screen
    if not is_over(hunt, how.answers):
        screen.say("Not recorded: it is not over. Give more answers, or q at their end to note how far it got.")
        return
    if started.entry is not None:
        screen.say(f"Recorded already: {ledger_path(path)}, entry {started.entry}.")
        return
    try:
        by = how.by or ("" if how.answers is not None else name_of(screen, keys.by_press))
        note(path, started.target.name, hunt, by, screen)
    except (StoppedError, KeyboardInterrupt):
        screen.write("")
        screen.say("Not recorded.")


def _say_head(rig: ResolvedRig, started: Started, screen: Screen) -> None:
    from lint.hunt.by_file import dead_on
    from lint.hunt.causes import SYMPTOMS
    from lint.page.layout import counted

    target, hunt, past, _ = started
    end = f" to {target.end}" if target.end not in (None, target.name) else ""
    screen.say(f"Hunt: {target.name}{end}, {hunt.symptom}: {SYMPTOMS[hunt.symptom]}.")
    if past:  # those that found nothing are not among them
        screen.say(f"This house's records know {counted(past, 'hunt')}; they count in the likelihoods.")
    faults = _rig_faults(rig, target, hunt)
    for text in faults[:MOST_FAULTS]:
        screen.say(f"NO-GO by the rig file itself, so mend that first: {text}", hanging="  ")
    if len(faults) > MOST_FAULTS:
        screen.say(f"And {len(faults) - MOST_FAULTS} more such on this path: see `rigwalk check`.")
    for words, name in dead_on(rig, target):
        told = f"By the rig file itself {words}: `rigwalk spares RIG {name}` says how to carry on."
        if name in rig.rig.devices:
            told += " Nothing comes through it, whatever its lamps show: below it is taken to be alive."
        screen.say(told)
    dark = _dark(hunt)
    for text in dark:
        screen.say(f"By the rig file itself {text}, so nothing comes through it.")
    if not dark and (consoles := _lit(rig, target, hunt)):
        screen.say(
            f"Taken to be lit, besides what is on its path: {' and '.join(consoles)}. Where one is dark or off, answer "
            "s to what is asked about it."
        )


def _lit(rig: ResolvedRig, target: Target, hunt: Hunt) -> list[str]:
    """Return the consoles beside the path that a hunt takes to be lit: only where all is silent may one be dark."""
    from lint.hunt.causes import DEAD
    from lint.hunt.path import taken_to_be_lit

    return taken_to_be_lit(rig, target, hunt.parts) if hunt.symptom == DEAD else []


def _say_which(rig: ResolvedRig, what: str, target: Target, screen: Screen) -> None:
    """Say which channel is hunted where others go by the same name."""
    from lint.hunt.target import called_as_well

    others = called_as_well(rig, what, target)
    if others and target.channel is not None:
        names = " or ".join(other.address for other in others)
        screen.say(f"It is hunted at {rig.rig.channel_words(target.channel)}; for the other call it {names}.")


def _side(sides: Sequence[Side], name: str | None) -> str | None:
    """Return the side that was asked for, if it is one. Raises UnknownTargetError."""
    from lint.hunt.sides import chosen
    from lint.hunt.target import UnknownTargetError

    if name is None:
        return None
    if not sides:
        raise UnknownTargetError("it has one side only, so there is no --side to choose")
    chosen(sides, name)
    return name


def _silent_beside(rig: ResolvedRig, sides: Sequence[Side], side: str | None) -> list[str]:
    """Return what by the rig file keeps the other sides silent."""
    from lint.hunt.sides import hunted_side, silent_beside

    return silent_beside(rig, sides, hunted_side(rig, sides, side)) if sides else []


def _dark(hunt: Hunt) -> list[str]:
    """Return what on a path has no mains by the rig file."""
    from lint.hunt.causes import DARK

    return [text for part in hunt.parts for cause, text in part.known.items() if cause in DARK]


def _target(rig: ResolvedRig, asked: Asked) -> Target:
    from lint.hunt.target import BelongsError, UnknownTargetError, leak_of, target_of

    what, symptom, at, _ = asked
    if symptom != "elsewhere":
        return target_of(rig, what, at)
    if at is None:
        raise UnknownTargetError(f"where is {what} heard? Say it with --at DESTINATION")
    try:
        return leak_of(rig, what, at)
    except BelongsError as error:
        from lint.hunt.by_file import no_goes

        if not (faults := no_goes(rig, error.names)):
            raise
        text = (
            f"no part has failed: by the rig file itself {error.way}, and `rigwalk check` says no-go of it: {faults[0]}"
        )
        raise UnknownTargetError(text) from None


def _rig_faults(rig: ResolvedRig, target: Target, hunt: Hunt) -> list[str]:
    """Return what the check finds on this path that is no go: no hunt is needed for that."""
    from lint.hunt.by_file import no_goes, on_path

    return no_goes(rig, on_path(rig, target, hunt.parts))
