"""`rigwalk spares`: a box, card, cable, link, circuit or console is dead; what is lost, and where it goes best."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from lint.cli import completing
from lint.cli.planned import Format, Planned, answer

if TYPE_CHECKING:
    from lint.check.catalogue import Catalogue
    from lint.plan.outage import Outage
    from lint.plan.rescue import Spared
    from lint.resolve.resolved import ResolvedRig
    from lint.rig.model import Models


def spares(
    rig: Path = typer.Argument(..., metavar="RIG", help="The rig file.", show_default=False),
    what: str = typer.Argument(
        ...,
        metavar="WHAT",
        help="What is dead: a box, link cable, circuit or console by its name, a link port (desk/link-1), or input "
        "sockets (west-box/in, desk/in/9-16).",
        show_default=False,
        autocompletion=completing.spared,
    ),
    write: Path | None = typer.Option(
        None, "--write", metavar="FILE", help="Write the rescued rig as a new file, comments kept.", show_default=False
    ),
    output: Format = typer.Option(Format.TEXT, "--format", help="For people or for programs."),
) -> None:
    """Say which sources are lost, and the best rescue onto the sockets that are left, with patch and labels.

    Exit status: 0 nobody is left over, nothing stays wrong and the check of the rescued rig is no no-go, 1 not so, 2
    the file can't be read or there is no such thing.
    """
    answer(rig, lambda: _planned(rig, what, output), write, output)


def _planned(rig: Path, what: str, output: Format) -> Planned:
    from lint.check.catalogue import load_catalogue
    from lint.house.load import with_house
    from lint.plan.outage import outage_of
    from lint.plan.rebuild import as_living
    from lint.plan.words import patch_between
    from lint.read.load import house_folder
    from lint.report.plan_json import spares_json
    from lint.report.spares import spares_text
    from lint.resolve.resolved import resolve_rig
    from lint.rig.build import load_rig
    from lint.rig.model import Models

    written = resolve_rig(load_rig(rig))
    models, catalogue = Models(house_folder(rig)), with_house(load_catalogue(), rig)
    outage, before = outage_of(written, what, models), as_living(written, models)
    spared = _spared(written, before, outage, models, catalogue)
    longer = _spared(written, before, outage.longer, models, catalogue) if outage.longer else None
    told = spares_json(before, spared, longer) if output is Format.JSON else spares_text(spared, longer)
    result = spared.rescue.cure.result
    return Planned(told, result, patch_between(written, result), spared.is_go)


def _spared(written: ResolvedRig, before: ResolvedRig, outage: Outage, models: Models, catalogue: Catalogue) -> Spared:
    from dataclasses import replace

    from lint.check.engine import check_rig
    from lint.plan.cures import Mending
    from lint.plan.intent import intent_of
    from lint.plan.rescue import Spared
    from lint.plan.spares import Rescuer
    from lint.plan.taken_out import with_plugs_out
    from lint.plan.wider import wider

    dead = outage.dead
    mending = Mending(before, outage.after, intent_of(before), dead, dead, models, found=written)
    rescuer = Rescuer(mending)
    rescue = rescuer.rescue()
    more = wider(rescuer, rescue)
    ways = [replace(way, cure=with_plugs_out(mending, way.cure)) for way in (rescue, more) if way is not None]
    first, *rest = (Spared(outage, way, check_rig(way.cure.result, catalogue)) for way in ways)
    return first._replace(wider=next(iter(rest), None))
