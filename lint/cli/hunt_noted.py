"""How a hunt is noted in the house's record, and what an earlier one left there to be put back."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lint.hunt.hunt import Hunt
    from lint.hunt.keys import Keys
    from lint.record.put_back import Left
    from lint.walk.entry import Entry
    from lint.walk.screen import Screen

NO_WITNESS = "Until that is done judge nothing by it: what is muted, off or moved there is silent for that alone."


def is_over(hunt: Hunt, keys: str | None) -> bool:
    """Whether a hunt ended, or was stopped on purpose: where given keys only ran out it may go on with more."""
    return hunt.question is None or keys is None or keys.casefold().endswith("q")


def past(path: Path) -> list[Entry]:
    """Return the records of this house's hunts; nothing where nothing was recorded."""
    from lint.record.hunts import past_hunts
    from lint.record.ledger import Ledger, ledger_path

    ledger = ledger_path(path)
    if not ledger.is_file():
        return []
    with Ledger(ledger, reading=True) as book:
        return past_hunts(book)


def holds(path: Path) -> bool:
    """Whether the house's record holds."""
    from lint.record.ledger import Ledger, ledger_path

    with Ledger(ledger_path(path), reading=True) as book:
        return book.verify().broken is None


def left_before(path: Path) -> list[Left]:
    """Return what earlier hunts of this house left to be put back, oldest first."""
    from lint.record.ledger import Ledger, ledger_path
    from lint.record.put_back import read_left

    ledger = ledger_path(path)
    if not ledger.is_file():
        return []
    with Ledger(ledger, reading=True) as book:
        return read_left(book)


def ask_left(path: Path, by: str, keys: Keys) -> None:
    """Tell what earlier hunts left, and ask whether it is put back; with keys given beforehand it is told alone.

    Raises StoppedError.
    """
    for left in left_before(path):
        keys.screen.say(f"{left.words[0].upper()}{left.words[1:]}", "  FIRST: ", "  ")
        if keys.given is None and _is_done(keys, left):
            _put_back(path, left, by or name_of(keys.screen, keys.by_press), keys.screen)
        elif not left.is_broken:
            keys.screen.say(NO_WITNESS, "    ", "    ")
        keys.screen.write("")


def _is_done(keys: Keys, left: Left) -> bool:
    from lint.walk.screen import StoppedError

    while True:
        asked = "Is it mended, or another in its place for good?" if left.is_broken else "Is all of that done?"
        keys.screen.say(f"{asked} y yes   n not yet   q stop", "    ", "    ")
        key = keys.press("    > ")
        if key in ("y", "n"):
            return key == "y"
        if key == "q":
            raise StoppedError


def _put_back(path: Path, left: Left, by: str, screen: Screen) -> None:
    from datetime import datetime

    from lint.record.ledger import Ledger, ledger_path
    from lint.record.put_back import record_put_back
    from lint.rig.person import is_name
    from lint.walk.screen import cleaned

    if not is_name(name := cleaned(by)):
        screen.say("Not recorded, so the next hunt asks again.")
        return
    with Ledger(ledger_path(path)) as ledger:
        entry = record_put_back(ledger, left, name, datetime.now().astimezone())
    screen.say(f"Recorded as done: entry {entry.seq}.")


def name_of(screen: Screen, by_press: bool) -> str:
    """Ask who hunted; where keys were pressed, a first Enter may be that of the last key."""
    screen.write("")
    if by_press:
        screen.forget_typed()
    name = screen.ask("Your name, for the house's record (Enter: record nothing): ")
    return name or (screen.ask("Enter once more records nothing; or your name: ") if by_press else "")


def note(path: Path, about: str, hunt: Hunt, by: str, screen: Screen) -> None:
    """Record a hunt under a name and say so; nothing without one. Raises RecordError."""
    from lint.hunt.terminal import to_leave
    from lint.record.ledger import ledger_path
    from lint.rig.person import is_name
    from lint.walk.screen import cleaned

    name = cleaned(by)
    if not is_name(name):
        screen.say(
            "Not recorded, so nobody else is told what to put back." if to_leave(hunt.question) else "Not recorded."
        )
        return
    number = record(path, about, hunt, name)
    screen.say(f"Recorded for the walk and the handover: {ledger_path(path)}, entry {number}.")


def record(path: Path, about: str, hunt: Hunt, name: str) -> int:
    """Write a hunt into the house's record; return the number of its entry. Raises RecordError."""
    from datetime import datetime

    from lint.read.load import house_folder
    from lint.record.hunts import record_hunt
    from lint.record.ledger import Ledger, ledger_path
    from lint.walk.basis import rig_name

    with Ledger(ledger_path(path)) as ledger:
        ledger.require_whole()
        now = datetime.now().astimezone()
        return record_hunt(ledger, rig_name(path, house_folder(path)), about, hunt, name, now).seq
