"""`rigwalk sheet`: what is pinned to the wall."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from lint.cli import completing

if TYPE_CHECKING:
    from lint.page.page import Page


class SheetFormat(StrEnum):
    """How the sheets are written."""

    TEXT = "text"
    MARKDOWN = "markdown"
    CSV = "csv"
    HTML = "html"


def sheet(
    rig: Path = typer.Argument(..., metavar="RIG", help="The rig file.", show_default=False),
    output: SheetFormat = typer.Option(SheetFormat.TEXT, "--format", help="How the sheets are written."),
    only: str = typer.Option(
        "",
        "--only",
        metavar="SHEET",
        help="One kind of sheet: overview, boxes, console, monitors, ...",
        autocompletion=completing.sheets,
    ),
    into: Path | None = typer.Option(None, "--into", metavar="FILE", help="Write to this file.", show_default=False),
    replace: bool = typer.Option(False, "--replace", help="Replace the file if it is there already."),
) -> None:
    """Print the sheets of a rig: boxes by socket, console by channel, monitors, circuits, labels.

    Exit status: 0 printed, 2 the rig can't be read or the file is there already.
    """
    from lint.check.engine import check_file
    from lint.cli.told import deliver, told
    from lint.sheet.book import KEYS, sheet_book

    with told():
        if only and only not in KEYS:
            from lint.read.nearest import did_you_mean

            typer.echo(f"--only {only}: there is no such sheet{did_you_mean(only, KEYS, most=20)}", err=True)
            raise typer.Exit(2)
        checked = check_file(rig)
        page = sheet_book(checked)
        if only:
            page = page.only(only)
            if not page.sections:
                typer.echo(f"{rig}: gives rise to no sheet of the kind '{only}'", err=True)
                raise typer.Exit(2)
        # A spreadsheet takes a file for UTF-8 only by this sign (RFC 3629, section 6); a pipe needs none.
        signed = "\ufeff" if output is SheetFormat.CSV and into is not None else ""
        deliver(signed + _written(page, output), into, replace, checked.resolved.rig.document.files)


def _written(page: Page, output: SheetFormat) -> str:
    if output is SheetFormat.CSV:
        from lint.page.as_csv import NoTableError, SeveralTablesError, page_csv
        from lint.sheet.book import KEYS

        try:
            return page_csv(page)
        except SeveralTablesError:
            names = ", ".join(key for key in KEYS)
            typer.echo(f"A CSV file holds one kind of table: say which with --only ({names})", err=True)
            raise typer.Exit(2) from None
        except NoTableError:
            what = page.sections[0].key
            typer.echo(
                f"The sheet '{what}' is a drawing and holds no table for a CSV file: "
                f"take --format html, or draw it with rigwalk picture RIG {what}",
                err=True,
            )
            raise typer.Exit(2) from None
    from lint.cli.pages import written

    return written(page, output.value)
