"""`rigwalk whatif`: what becomes of the rig if it is cabled, plugged or set otherwise, or if a part of it fails."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from lint.plan.whatif import WhatIf


class Format(StrEnum):
    """How the result is written."""

    TEXT = "text"
    JSON = "json"


class Way(StrEnum):
    """Which cure goes into the written file."""

    CONSOLE = "console"
    PLUGS = "plugs"
    FEWEST = "fewest"


def whatif(
    rig: Path = typer.Argument(..., metavar="RIG", help="The rig file.", show_default=False),
    words: list[str] = typer.Argument(
        ...,
        metavar="CHANGE...",
        help="order BOX BOX ... | add NAME MODEL [behind BOX] [bank POSITION] | remove BOX | replace BOX MODEL | "
        "move BOX CONSOLE/LINK | bank BOX POSITION | lose BOX, CABLE, CIRCUIT or CONSOLE/LINK; `and` between several.",
        show_default=False,
    ),
    write: Path | None = typer.Option(
        None, "--write", metavar="FILE", help="Write the changed rig as a new file, comments kept.", show_default=False
    ),
    cure: Way | None = typer.Option(
        None, "--cure", help="Put this cure into the written file too.", show_default=False
    ),
    output: Format = typer.Option(Format.TEXT, "--format", help="For people or for programs."),
) -> None:
    """Say what a change or a loss does to every source and destination, check it, and list the ways to mend it.

    Exit status: 0 the changed rig is a go, 1 it is a no-go, 2 the file can't be read or the change can't be made.
    """
    from lint.check.catalogue import load_catalogue
    from lint.check.finding import Verdict
    from lint.house.load import with_house
    from lint.plan.edit import CannotDoError
    from lint.plan.whatif import what_if
    from lint.read.load import house_folder
    from lint.read.problem import CannotReadError
    from lint.report.text import problems_text
    from lint.resolve.resolved import resolve
    from lint.rig.build import load_rig
    from lint.rig.model import Models

    try:
        plan = what_if(resolve(load_rig(rig)), words, Models(house_folder(rig)), with_house(load_catalogue(), rig))
        _require_cure(plan, cure)
        told = _told(plan, output)
        if write is not None:
            _write(rig, write, plan, cure.value if cure else None)
    except CannotReadError as error:
        typer.echo(problems_text(error), err=True)
        raise typer.Exit(2) from None
    except CannotDoError as error:
        typer.echo(f"{rig}: {error}", err=True)
        raise typer.Exit(2) from None
    typer.echo(told, nl=False)
    if write is not None:
        typer.echo(f"\nWritten: {write}", err=output is Format.JSON)
    raise typer.Exit(1 if plan.checked.verdict is Verdict.NO_GO else 0)


def _require_cure(plan: WhatIf, cure: Way | None) -> None:
    """Raise CannotDoError where a cure is asked for and there is none of that kind."""
    from lint.plan.edit import CannotDoError

    if cure is None:
        return
    if not plan.cures:
        raise CannotDoError(
            f"there is no cure to write (--cure {cure.value}): after that change nothing is to be mended"
        )
    if not plan.cures[cure.value].changes:
        useful = [way for way, other in plan.cures.items() if other.changes]
        others = f"; these do: {', '.join(useful)}" if useful else ""
        raise CannotDoError(f"there is no cure --cure {cure.value}: nothing that it could change helps{others}")


def _told(plan: WhatIf, output: Format) -> str:
    if output is Format.JSON:
        from lint.report.plan_json import whatif_json

        return whatif_json(plan)
    from lint.report.whatif import whatif_text

    return whatif_text(plan)


def _write(rig: Path, target: Path, plan: WhatIf, way: str | None) -> None:
    """Write the changed rig beside the old one, and hold what was written against what was planned."""
    from lint.plan.writing import write_rig

    write_rig(rig, target, dict(plan.patch_with(way)), plan.result(way))
