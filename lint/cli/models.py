"""`rigwalk models`: the equipment models that a rig may use."""

from __future__ import annotations

from pathlib import Path

import typer

from lint.cli.planned import Format


def models(
    house: Path = typer.Argument(
        Path(), exists=True, help="A house folder, to list its own models too.", show_default=False
    ),
    output: Format = typer.Option(Format.TEXT, "--format", help="For people or for programs."),
) -> None:
    """List the equipment models that a rig may use.

    Exit status: 0 listed, 2 a model of the house can't be read.
    """
    from lint.read.load import HOUSE_FILE, house_folder
    from lint.read.problem import CannotReadError, Problem
    from lint.report.models import models_json, models_text
    from lint.rig.model import Model, Models

    known = Models(house_folder(house / HOUSE_FILE))
    found: dict[str, Model] = {}
    problems: list[Problem] = []
    for name in known.names():
        try:
            if (model := known.get(name)) is not None:
                found[name] = model
        except CannotReadError as error:
            problems += error.problems
    if output is Format.JSON:
        typer.echo(models_json(found, problems))
    else:
        if problems:
            typer.echo("\n".join(map(str, problems)), err=True)
        typer.echo(models_text(found))
    raise typer.Exit(2 if problems else 0)
