"""`rigwalk picture`: the chain, the signals or the stage as a drawing."""

from __future__ import annotations

from pathlib import Path

import typer

from lint.cli import completing


def picture(
    rig: Path = typer.Argument(..., metavar="RIG", help="The rig file.", show_default=False),
    what: str = typer.Argument(
        "chain",
        metavar="[WHAT]",
        help="chain, stage, signals, or one source or console by its name.",
        autocompletion=completing.drawn,
    ),
    into: Path | None = typer.Option(None, "--into", metavar="FILE", help="Write to this file.", show_default=False),
    replace: bool = typer.Option(False, "--replace", help="Replace the file if it is there already."),
) -> None:
    """Draw the rig as SVG, with the findings where they are.

    Exit status: 0 drawn, 2 the rig can't be read, there is no such thing in it, or the file is there already.
    """
    from lint.check.engine import check_file
    from lint.cli.told import deliver, told
    from lint.picture.draw import UnknownPictureError, drawn

    with told():
        checked = check_file(rig)
        try:
            svg = drawn(checked, what)
        except UnknownPictureError as error:
            typer.echo(f"{rig}: {error}", err=True)
            raise typer.Exit(2) from None
        deliver(svg + "\n", into, replace, checked.resolved.rig.document.files)
