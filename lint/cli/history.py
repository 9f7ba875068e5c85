"""`rigwalk history`: the walks of a house, one in full, and every change made without sealing anew."""

from __future__ import annotations

import json
import sys
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from lint.record.ledger import Ledger, Proof
    from lint.record.walks import PastWalk
    from lint.walk.entry import Entry


class Form(StrEnum):
    """What the walks are told as."""

    TEXT = "text"
    JSON = "json"
    CSV = "csv"


def history(
    where: Path = typer.Argument(
        Path(), metavar="[PATH]", help="A house folder (this one) or a rig file.", show_default=False
    ),
    number: int = typer.Argument(0, metavar="[N]", help="The walk to show in full.", show_default=False, min=0),
    seal: str | None = typer.Option(
        None, "--seal", help="A seal from a handover sheet, to look for.", show_default=False
    ),
    signed_with: str | None = typer.Option(
        None,
        "--signed-with",
        metavar="KEY",
        help="Demand this key's signature: its number, as the sign-off printed it.",
    ),
    last: int = typer.Option(10, "--last", help="How many walks to look back for what fails again.", min=2),
    form: Form = typer.Option(Form.TEXT, "--format", help="text; json: every entry; csv: one row an answer."),
) -> None:
    """List the walks of a house, or show one; and show every change that was made without sealing all anew.

    Where somebody seals all anew, cuts off the end or brings an older copy, only a seal on paper (--seal) or a key
    (--signed-with) shows it, and that up to the record that they are of.

    Exit status: 0 every record holds, 1 one does not, or a seal or signature is amiss, 2 the record can't be read.
    """
    from lint.record.ledger import Ledger, RecordError

    if not number and where.name.isdecimal() and len(where.parts) == 1 and not where.exists():
        where, number = Path(), int(where.name)
    try:
        if not where.exists():
            raise RecordError(f"{where}: there is no such folder or file.")  # noqa: TRY301
        _require_long(seal, "--seal", "a seal")
        _require_long(signed_with, "--signed-with", "a key")
        path, rig = _ledger_of(where)
        if not path.is_file() and not number and not seal:
            _tell_of_none(path, form)
            return
        with Ledger(path, reading=True) as ledger:
            whole = (
                _tell(ledger, rig, number, seal or "", last, signed_with or "")
                if form is Form.TEXT
                else _export(ledger, rig, number, last, form, signed_with or "")
            )
    except RecordError as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(2) from None
    raise typer.Exit(0 if whole else 1)


def _tell_of_none(path: Path, form: Form) -> None:
    """Tell that nothing is recorded: no fault, and for a program a record with nothing in it."""
    from lint.record.export import as_csv, as_data
    from lint.record.ledger import Proof

    if form is Form.JSON:
        typer.echo(json.dumps(as_data((), Proof(0, None, ""), ()), ensure_ascii=False, indent=1))
    elif form is Form.CSV:
        sys.stdout.write(as_csv(()))
    typer.echo(f"No walk has been recorded here yet ({path}).", err=form is not Form.TEXT)


def _require_long(seal: str | None, option: str, what: str) -> None:
    """Refuse a seal or key of too few digits to tell it from others. Raises RecordError."""
    from lint.record.ledger import RecordError
    from lint.record.seal import LEAST_SHOWN, digits_of

    found = len(digits_of(seal or ""))
    if seal is not None and found < LEAST_SHOWN:
        raise RecordError(
            f"{option}: {seal!r} has {found} characters, without spaces; {what} is looked for by its first "
            f"{LEAST_SHOWN} at least, as the sign-off prints them."
        )


def _ledger_of(where: Path) -> tuple[Path, str | None]:
    """Return the ledger, and the rig's name in it where the path is one rig's."""
    from lint.read.load import HOUSE_FILE, house_folder
    from lint.record.ledger import ledger_path
    from lint.walk.basis import rig_name

    if where.is_dir():
        return _ledger_in(where), None
    if where.suffix == ".sqlite" or where.name == HOUSE_FILE:
        return (where if where.suffix == ".sqlite" else ledger_path(where)), None
    return ledger_path(where), rig_name(where, house_folder(where))


def _ledger_in(folder: Path) -> Path:
    """Return the ledger of a folder: its own, its house's, or the only one in a folder of it.

    Raises RecordError where there are several.
    """
    from lint.read.load import HOUSE_FILE
    from lint.record.ledger import RecordError, ledger_path

    own = [path for path in (folder / "records" / "walks.sqlite", folder / "walks.sqlite") if path.is_file()]
    usual = ledger_path(folder / HOUSE_FILE)
    below = sorted(folder.glob("*/records/walks.sqlite"))
    if own or usual.is_file() or not below:
        return own[0] if own else usual
    if len(below) > 1:
        known = ", ".join(str(path.parent.parent) for path in below)
        raise RecordError(f"{folder}: there are several records here; name one of {known}")
    return below[0]


def _tell(ledger: Ledger, rig: str | None, number: int, seal: str, last: int, key: str) -> bool:
    from lint.record.received import RECEIVED
    from lint.record.recurring import recurring
    from lint.report.history import (
        odd_text,
        proof_text,
        received_text,
        recurring_text,
        signature_text,
        walk_lines,
        walk_text,
    )

    proof = ledger.verify()
    walks, shown = _chosen(ledger, proof, rig, number)
    if number:
        typer.echo(walk_text(shown[0], proof))
    else:
        for walk in shown:
            typer.echo(walk_lines(walk, proof))
        if not shown:
            typer.echo("No walk of this rig." if rig and walks else "No walk.")
        for entry in ledger.entries(kinds=(RECEIVED,), up_to=proof.holding):
            if rig in (None, entry.body["rig"]):
                typer.echo(received_text(entry))
        for row in recurring(shown, last):
            typer.echo(f"\n{recurring_text(row)}")
    typer.echo("")
    typer.echo(proof_text(proof))
    for text in filter(None, (*map(odd_text, _odd(ledger, proof, walks)), *map(signature_text, shown))):
        typer.echo(text)
    found = not seal or _tell_seal(ledger, proof, seal)
    lacking = _lacking(shown, key)
    for text in lacking:
        typer.echo(text)
    return proof.broken is None and found and not lacking and not any(walk.signature.fault for walk in shown)


def _odd(ledger: Ledger, proof: Proof, walks: list[PastWalk]) -> list[str]:
    """Return what is odd about the record, in the house that it lies in."""
    from lint.record.oddities import oddities

    folder = ledger.path.absolute().parent
    return oddities(ledger.entries(up_to=proof.holding), walks, folder.parent if folder.name == "records" else None)


def _lacking(walks: list[PastWalk], key: str) -> list[str]:
    """Return what is said of each sign-off that is not proven to be signed with `key`, where one is demanded."""
    from lint.report.history import demanded_text

    if key and not any(walk.seal for walk in walks):
        return [f"✗ There is no sign-off here that could be signed with the key {key}."]
    return [text for walk in walks if key and (text := demanded_text(walk, key))]


def _chosen(ledger: Ledger, proof: Proof, rig: str | None, number: int) -> tuple[list[PastWalk], list[PastWalk]]:
    """Return the walks that hold, and of these the ones asked for: one by number, or those of the rig, or all."""
    from lint.record.ledger import RecordError
    from lint.record.walks import past_walks

    walks = past_walks(ledger, proof)
    if not number:
        return walks, [walk for walk in walks if rig in (None, walk.rig)]
    chosen = [walk for walk in walks if walk.number == number]
    if not chosen:
        raise RecordError(
            f"{ledger.path}: there is no walk {number} here that holds; it has {_numbers(walks)}. "
            "A handover that was said back and a hunt have numbers of their own in between."
        )
    return walks, chosen


def _export(ledger: Ledger, rig: str | None, number: int, last: int, form: Form, key: str) -> bool:
    from lint.record.export import as_csv, as_data
    from lint.record.recurring import recurring

    proof = ledger.verify()
    walks, shown = _chosen(ledger, proof, rig, number)
    if form is Form.CSV:
        sys.stdout.write(as_csv(shown))
        if proof.broken is not None:
            typer.echo(f"Record {proof.broken.seq} does not hold: {proof.broken.why}.", err=True)
    else:
        beside = [] if number else _beside(ledger, proof, rig, walks)
        data = as_data(shown, proof, recurring(shown, last), beside, _odd(ledger, proof, walks))
        typer.echo(json.dumps(data, ensure_ascii=False, indent=1))
    faults = [f"✗ Walk {walk.number}: {walk.signature.fault}." for walk in shown if walk.signature.fault]
    faults += _lacking(shown, key)
    for text in faults:
        typer.echo(text, err=True)
    return proof.broken is None and not faults


def _beside(ledger: Ledger, proof: Proof, rig: str | None, walks: list[PastWalk]) -> list[Entry]:
    """Return the records that are of a rig and of no walk: handovers that were said back, and hunts."""
    from lint.record.hunts import HUNT
    from lint.record.put_back import PUT_BACK
    from lint.record.received import RECEIVED

    numbers = {walk.number for walk in walks}
    found = ledger.entries(kinds=(RECEIVED, HUNT, PUT_BACK), up_to=proof.holding)
    return [entry for entry in found if entry.walk not in numbers and rig in (None, entry.body["rig"])]


def _numbers(walks: list[PastWalk]) -> str:
    from lint.rig.address import spans

    return f"walk {spans([walk.number for walk in walks])}" if walks else "none"


def _tell_seal(ledger: Ledger, proof: Proof, shown: str) -> bool:
    from lint.record.seal import matches

    last = proof.holding
    found = next((entry for entry in ledger.entries(up_to=last) if matches(entry.seal, shown)), None)
    if found is None:
        typer.echo(f"✗ No record that holds has the seal {shown}: records were cut off or replaced, or it is misread.")
        return False
    after = last - found.seq
    follows = "it is the last" if not after else f"{after} {'record follows' if after == 1 else 'records follow'} it"
    typer.echo(f"✓ The seal {shown} is that of record {found.seq} (walk {found.walk}, {found.kind}); {follows}.")
    return True
