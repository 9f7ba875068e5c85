"""Which house a command is about: the one that is named, or the one that the current folder is in."""

from __future__ import annotations

import os
from pathlib import Path

import typer


def house_or_here(house: Path | None) -> Path | None:
    """Return the folder of the house that is meant, or None where the current folder is in none."""
    if house is not None:
        if not (house / "house.yaml").is_file():
            typer.echo(f"{house} is no house: there is no house.yaml in it", err=True)
            raise typer.Exit(2)
        return house
    from lint.read.load import house_folder

    found = house_folder(Path("here.yaml"))
    return Path(os.path.relpath(found)) if found is not None else None


def require_house(house: Path | None) -> Path:
    """Return the folder of the house that is meant, or end with what to do."""
    found = house_or_here(house)
    if found is None:
        typer.echo(
            "this folder is in no house: go to the folder that holds house.yaml, or name it with --house DIR", err=True
        )
        raise typer.Exit(2)
    return found
