"""`rigwalk handover`: one page for the next crew."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from lint.handover.handover import Handover


class HandoverFormat(StrEnum):
    """How the page is written."""

    TEXT = "text"
    MARKDOWN = "markdown"
    HTML = "html"
    JSON = "json"


def handover(
    rig: Path = typer.Argument(..., metavar="RIG", help="The rig file.", show_default=False),
    since: Path | None = typer.Option(
        None, "--since", metavar="RIG", help="Compare with this rig, not with the last sign-off.", show_default=False
    ),
    output: HandoverFormat = typer.Option(HandoverFormat.TEXT, "--format", help="How the page is written."),
    into: Path | None = typer.Option(None, "--into", metavar="FILE", help="Write to this file.", show_default=False),
    received_by: str = typer.Option(
        "", "--received-by", metavar="NAME", help="Who takes over: says back what is open, for the record."
    ),
    replace: bool = typer.Option(False, "--replace", help="Replace the file if it is there already."),
) -> None:
    """Tell the next crew what changed, what is open, what failed, and what to do next.

    With --received-by the one who takes over says each open point back, and the record keeps who said what.

    Exit status: 0 told, 1 told, but the house's record does not hold, or not said back to the end, 2 a file can't be
    read, or what was signed off can't be compared with.
    """
    from datetime import date

    from lint.check.engine import check_file
    from lint.cli.told import deliver, told
    from lint.handover.handover import make_handover
    from lint.handover.page import handover_json, handover_page
    from lint.handover.since import NothingToCompareError
    from lint.page.layout import wrapped
    from lint.record.ledger import RecordError

    if received_by and output is HandoverFormat.JSON:
        raise typer.BadParameter("--received-by asks questions, and --format json is for programs; use one of them")
    with told():
        try:
            checked = check_file(rig)
            found = make_handover(checked, since, date.today())
        except (NothingToCompareError, RecordError) as error:
            typer.echo(wrapped(str(error)), err=True)
            raise typer.Exit(2) from None
        read = [*map(Path, checked.resolved.rig.document.files), *([since] if since else [])]
        if output is HandoverFormat.JSON:
            deliver(handover_json(found) + "\n", into, replace, read)
        else:
            from lint.cli.pages import written

            deliver(written(handover_page(found), output.value), into, replace, read)
        if received_by:
            _receive(rig, found, received_by)
    if found.past.broken is not None:
        raise typer.Exit(1)


def _receive(path: Path, found: Handover, receiver: str) -> None:
    """Have the receiver say back what is open, and write it down."""
    from datetime import datetime

    from lint.handover.receive import read_back
    from lint.read.load import house_folder
    from lint.record.ledger import Ledger, RecordError, ledger_path
    from lint.record.received import record_received
    from lint.record.seal import digest_of, short
    from lint.rig.person import is_name
    from lint.walk.basis import rig_name
    from lint.walk.screen import Screen, StoppedError, cleaned

    screen, name = Screen(), cleaned(receiver)
    if not is_name(name):
        raise typer.BadParameter(f"--received-by: “{name}” is no name")
    digest = digest_of(found.checked.resolved.rig.document.data)
    screen.write("")
    try:
        rig = rig_name(path, house_folder(path))
        body = read_back(found, rig, digest, name, screen, lambda: datetime.now().astimezone())
        with Ledger(ledger_path(path)) as ledger:
            entry = record_received(ledger, body)
    except (StoppedError, KeyboardInterrupt):
        screen.write("")
        screen.say("Stopped; nothing was recorded of it.")
        raise typer.Exit(1) from None
    except RecordError as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(2) from None
    screen.say(f"Handed over to {name}. Seal: {short(entry.seal)}. Record: {ledger.path}, entry {entry.seq}")
