"""`rigwalk whatif`: what becomes of the rig if it is cabled, plugged or set otherwise, or if a part of it fails."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from lint.cli import completing
from lint.cli.planned import Format, Planned, answer

if TYPE_CHECKING:
    from lint.plan.whatif import WhatIf


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
        "move BOX CONSOLE/LINK | bank BOX POSITION | lose BOX, CABLE, CIRCUIT, CONSOLE or CONSOLE/LINK; `and` between "
        "several.",
        show_default=False,
        autocompletion=completing.changes,
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

    Exit status: 0 the rig that comes out (with --cure: mended so) is a go, 1 it is a no-go, 2 the file can't be read,
    the change can't be made, or that cure mends nothing.
    """
    answer(rig, lambda: _planned(rig, words, cure, output), write, output)


def _planned(rig: Path, words: list[str], cure: Way | None, output: Format) -> Planned:
    from lint.check.catalogue import load_catalogue
    from lint.house.load import with_house
    from lint.plan.whatif import what_if
    from lint.read.load import house_folder
    from lint.resolve.resolved import resolve_rig
    from lint.rig.build import load_rig
    from lint.rig.model import Models

    plan = what_if(resolve_rig(load_rig(rig)), words, Models(house_folder(rig)), with_house(load_catalogue(), rig))
    _require_cure(plan, cure)
    way = cure.value if cure else None
    return Planned(_told(plan, output), plan.result(way), plan.patch_with(way), plan.is_go_with(way))


def _require_cure(plan: WhatIf, cure: Way | None) -> None:
    """Raise CannotDoError where a cure is asked for that would leave all that is wrong as it is.

    Where nothing is wrong there is nothing to mend, and the changed rig is what was asked for.
    """
    from lint.plan.edit import CannotDoError
    from lint.report.whatif import no_cure_words

    if cure is not None and plan.cures and not plan.cures[cure.value].changes:
        raise CannotDoError(no_cure_words(plan, cure.value))


def _told(plan: WhatIf, output: Format) -> str:
    if output is Format.JSON:
        from lint.report.plan_json import whatif_json

        return whatif_json(plan)
    from lint.report.whatif import whatif_text

    return whatif_text(plan)
