"""`rigwalk handover`: one page for the next crew."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path

import typer


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
    replace: bool = typer.Option(False, "--replace", help="Replace the file if it is there already."),
) -> None:
    """Tell the next crew what changed, what is open, what failed, and what to do next.

    Exit status: 0 told, 2 a file can't be read or there is no sign-off to compare with.
    """
    from datetime import date

    from lint.check.engine import check_file
    from lint.cli.told import deliver, told
    from lint.handover.handover import make_handover
    from lint.handover.page import handover_json, handover_page
    from lint.handover.since import NothingToCompareError
    from lint.record.ledger import RecordError
    from lint.report.layout import wrapped

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
            return
        from lint.cli.pages import written

        deliver(written(handover_page(found), output.value), into, replace, read)
