"""`rigwalk spares`: a box, card, cable, link or circuit is dead; what is lost, and where it goes best."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from lint.cli.whatif import Format

if TYPE_CHECKING:
    from lint.plan.outage import Outage
    from lint.plan.spares import Rescue
    from lint.resolve.resolved import ResolvedRig
    from lint.rig.model import Models


def spares(
    rig: Path = typer.Argument(..., metavar="RIG", help="The rig file.", show_default=False),
    what: str = typer.Argument(
        ...,
        metavar="WHAT",
        help="What is dead: a box, link cable or circuit by its name, a link port (desk/link-1), or input sockets "
        "(west-box/in, desk/in/9-16).",
        show_default=False,
    ),
    write: Path | None = typer.Option(
        None, "--write", metavar="FILE", help="Write the rescued rig as a new file, comments kept.", show_default=False
    ),
    output: Format = typer.Option(Format.TEXT, "--format", help="For people or for programs."),
) -> None:
    """Say which sources are lost, and the best rescue onto the sockets that are left, with patch and labels.

    Exit status: 0 every source is saved, 1 some are not, 2 the file can't be read or there is no such thing.
    """
    from lint.check.catalogue import load_catalogue
    from lint.check.engine import check_rig
    from lint.house.load import with_house
    from lint.plan.edit import CannotDoError
    from lint.read.load import house_folder
    from lint.read.problem import CannotReadError
    from lint.report.text import problems_text
    from lint.resolve.resolved import resolve
    from lint.rig.build import load_rig
    from lint.rig.model import Models

    try:
        before = resolve(load_rig(rig))
        outage, rescue = _rescued(before, what, Models(house_folder(rig)))
        checked = check_rig(rescue.cure.result, with_house(load_catalogue(), rig))
        if output is Format.JSON:
            from lint.report.plan_json import spares_json

            told = spares_json(before, outage, rescue, checked)
        else:
            from lint.report.spares import spares_text

            told = spares_text(outage, rescue, checked)
        if write is not None:
            from lint.plan.words import patch_between
            from lint.plan.writing import write_rig

            write_rig(rig, write, patch_between(before, rescue.cure.result), rescue.cure.result)
    except CannotReadError as error:
        typer.echo(problems_text(error), err=True)
        raise typer.Exit(2) from None
    except CannotDoError as error:
        typer.echo(f"{rig}: {error}", err=True)
        raise typer.Exit(2) from None
    typer.echo(told, nl=False)
    if write is not None:
        typer.echo(f"\nWritten: {write}", err=output is Format.JSON)
    raise typer.Exit(1 if rescue.left else 0)


def _rescued(before: ResolvedRig, what: str, models: Models) -> tuple[Outage, Rescue]:
    from lint.plan.cures import Mending
    from lint.plan.intent import intent_of
    from lint.plan.outage import outage_of
    from lint.plan.spares import Rescuer

    outage = outage_of(before, what, models)
    mending = Mending(before, outage.after, intent_of(before), outage.dead, outage.dead, models)
    return outage, Rescuer(mending, outage.barred).rescue()
