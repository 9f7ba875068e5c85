"""`rigwalk models`: the equipment models that a rig may use."""

from __future__ import annotations

from pathlib import Path

import typer


def models(
    house: Path = typer.Argument(
        Path(), exists=True, help="A house folder, to list its own models too.", show_default=False
    ),
) -> None:
    """List the equipment models that a rig may use."""
    from lint.read.load import HOUSE_FILE, house_folder
    from lint.read.problem import CannotReadError
    from lint.report.text import problems_text
    from lint.rig.model import Models

    known = Models(house_folder(house / HOUSE_FILE))
    names = known.names()
    width = max(map(len, names))
    broken = False
    for name in names:
        try:
            model = known.get(name)
        except CannotReadError as error:
            broken = True
            typer.echo(problems_text(error), err=True)
            continue
        typer.echo(f"{name:{width}}  {model.title if model else ''}")
    raise typer.Exit(2 if broken else 0)
