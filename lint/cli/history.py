"""`rigwalk history`: the walks of a house, one in full, and the proof that nothing was altered."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

if TYPE_CHECKING:
    from lint.record.ledger import Ledger, Proof
    from lint.record.walks import PastWalk


def history(
    where: Path = typer.Argument(Path(), metavar="PATH", help="A house folder or a rig file.", show_default=False),
    number: int = typer.Argument(0, metavar="[N]", help="The walk to show in full.", show_default=False, min=0),
    seal: str = typer.Option("", "--seal", help="A seal from a handover sheet, to look for.", show_default=False),
) -> None:
    """List the walks of a house, or show one; and prove that no record was altered, dropped or reordered.

    Exit status: 0 every record holds, 1 one does not, or the seal is not there, 2 the record can't be read.
    """
    from lint.record.ledger import Ledger, RecordError

    try:
        if not where.exists():
            raise RecordError(f"{where}: there is no such folder or file.")  # noqa: TRY301
        path, rig = _ledger_of(where)
        if not path.is_file() and not number and not seal:
            typer.echo(f"No walk has been recorded here yet ({path}).")
            return
        with Ledger(path, reading=True) as ledger:
            whole = _tell(ledger, rig, number, seal)
    except RecordError as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(2) from None
    raise typer.Exit(0 if whole else 1)


def _ledger_of(where: Path) -> tuple[Path, str | None]:
    """Return the ledger, and the rig's name in it where the path is one rig's."""
    from lint.read.load import HOUSE_FILE, house_folder
    from lint.record.ledger import ledger_path
    from lint.walk.basis import rig_name

    if where.is_dir():
        return ledger_path(where / HOUSE_FILE), None
    if where.suffix == ".sqlite" or where.name == HOUSE_FILE:
        return (where if where.suffix == ".sqlite" else ledger_path(where)), None
    return ledger_path(where), rig_name(where, house_folder(where))


def _tell(ledger: Ledger, rig: str | None, number: int, seal: str) -> bool:
    from lint.record.ledger import RecordError
    from lint.record.walks import past_walks

    proof = ledger.verify()
    walks = past_walks(ledger, proof)
    if number:
        chosen = next((walk for walk in walks if walk.number == number), None)
        if chosen is None:
            raise RecordError(f"{ledger.path}: there is no walk {number} here that holds; it has {_numbers(walks)}.")
        _show(chosen)
    else:
        shown = [walk for walk in walks if rig in (None, walk.rig)]
        for walk in shown:
            _list(walk)
        if not shown:
            typer.echo("No walk of this rig." if rig and walks else "No walk.")
    typer.echo("")
    _tell_proof(proof)
    found = not seal or _tell_seal(ledger, proof, seal)
    return proof.broken is None and found


def _numbers(walks: list[PastWalk]) -> str:
    from lint.rig.address import spans

    return f"walk {spans([walk.number for walk in walks])}" if walks else "none"


def _tell_proof(proof: Proof) -> None:
    from lint.record.seal import short

    if proof.broken is not None:
        typer.echo(f"✗ Record {proof.broken.seq} does not hold: {proof.broken.why}.")
        typer.echo(f"The {proof.holding} before it hold. From there on nothing is proven, and nothing is shown.")
        return
    typer.echo(f"✓ Each of the {proof.holding} records holds: none was altered, dropped or reordered.")
    typer.echo(f"Last seal: {short(proof.last_seal)}")
    typer.echo("Records cut off the end show only against a seal on paper: --seal looks for one.")


def _tell_seal(ledger: Ledger, proof: Proof, shown: str) -> bool:
    from lint.record.seal import matches

    last = proof.holding
    found = next((entry for entry in ledger.entries(up_to=last) if matches(entry.seal, shown)), None)
    if found is None:
        typer.echo(f"✗ No record that holds has the seal {shown}: records were cut off or replaced, or it is misread.")
        return False
    typer.echo(f"✓ The seal {shown} is that of record {found.seq} (walk {found.walk}, {found.kind}).")
    return True


def _list(walk: PastWalk) -> None:
    from lint.record.seal import short

    event = f" — {walk.event}" if walk.event else ""
    typer.echo(f"{walk.number:>3}  {walk.begun[:10]} {walk.begun[11:16]}  {walk.rig}{event}")
    typer.echo(f"     {_verdict(walk)}, {walk.answered} answers, walked by {', '.join(walk.people)}")
    if walk.seal:
        typer.echo(f"     seal {short(walk.seal)}")


def _verdict(walk: PastWalk) -> str:
    if walk.verdict is None:
        return "○ NOT SIGNED"
    mark = "✓ GO" if walk.verdict == "go" else "✗ NO-GO"
    return f"{mark} signed by {walk.lead}, {walk.signed[:10]} {walk.signed[11:16]}"


def _show(walk: PastWalk) -> None:
    _list(walk)
    typer.echo("")
    for entry in walk.entries:
        lines = _LINES.get(entry.kind, _other_line)(entry.body)
        typer.echo(f"{entry.seq:>5}  {entry.body['local'][11:16]}  {lines[0]}")
        for line in lines[1:]:
            typer.echo(f"              {line}")


def _answer_lines(body: Mapping[str, Any]) -> list[str]:
    asked = body["asked"]
    unit = f" {asked['measure']['unit']}" if asked["measure"] else ""
    value = f" {body['value']}{unit}" if body["value"] else ""
    detail = body["seen"] or body["reason"]
    lines = [asked["challenge"], f"{body['answer'].upper()}{value}, by {body['by']} ({body['role']})"]
    if detail:
        lines.append(f"{'seen' if body['seen'] else 'because'}: {detail}")
    return lines


def _signed_lines(body: Mapping[str, Any]) -> list[str]:
    return [
        f"signed {body['verdict'].upper()} by {body['lead']}",
        *(f"because: {reason}" for reason in body["reasons"]),
    ]


def _other_line(body: Mapping[str, Any]) -> list[str]:
    return [f"by {body['by']}"]


_LINES: dict[str, Callable[[Mapping[str, Any]], list[str]]] = {
    "begun": lambda body: [f"begun by {body['by']}: {body['checklist']}, {len(body['items'])} items"],
    "resumed": lambda body: [f"resumed by {body['by']}"],
    "changed": lambda body: ["the rig or the checklist had changed"],  # noqa: ARG005
    "answer": _answer_lines,
    "cure": lambda body: [f"cure of {body['item']}: {body['cure']}, by {body['by']}"],
    "note": lambda body: [f"note{' on ' + body['item'] if body['item'] else ''}: {body['note']}, by {body['by']}"],
    "poll": lambda body: [
        f"poll: {body['role']} says {body['answer']}" + (f" ({body['said']})" if body["said"] else "")
    ],
    "hunt": lambda body: [f"hunt: {body['about']} {body['symptom']}: {body['found']}; {body['cure']}, by {body['by']}"],
    "signed": _signed_lines,
}
