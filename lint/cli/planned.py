"""How `whatif` and `spares` end: the answer, the planned rig written where that is asked for, the exit status."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, NoReturn

import typer

if TYPE_CHECKING:
    from lint.resolve.resolved import ResolvedRig


class Format(StrEnum):
    """How the result is written."""

    TEXT = "text"
    JSON = "json"


class Planned(NamedTuple):
    """What is told, the rig that comes out with the change that makes it, and whether it is a go."""

    told: str
    result: ResolvedRig
    patch: Mapping[str, Any]
    is_go: bool


def _loosened(plan: Planned) -> str:
    """Say which link cables a written plan has without an end: a dead box or circuit took them along."""
    names = [name for name in plan.result.rig.loose_cables if name in plan.patch.get("cables", {})]
    if not names:
        return ""
    cables = f"the link cable{'s' if len(names) > 1 else ''} {' and '.join(names)}"
    lie = "lie" if len(names) > 1 else "lies"
    return f"In the file {cables} {lie} loose: write the ends in again once used."


def answer(rig: Path, planned: Callable[[], Planned], write: Path | None, output: Format) -> NoReturn:
    """Work out a plan, write it where `write` says so, tell it, and end with its exit status: 0 go, 1 no-go, 2 neither.

    Nothing is told where it can't be written.
    """
    from lint.page.layout import wrapped
    from lint.plan.edit import CannotDoError
    from lint.plan.writing import write_rig
    from lint.read.problem import CannotReadError
    from lint.report.text import problems_text

    try:
        plan = planned()
        if write is not None:
            write_rig(rig, write, dict(plan.patch), plan.result)
    except CannotReadError as error:
        typer.echo(problems_text(error), err=True)
        raise typer.Exit(2) from None
    except CannotDoError as error:
        typer.echo(wrapped(f"{rig}: {error}", hanging="  "), err=True)
        raise typer.Exit(2) from None
    typer.echo(plan.told, nl=False)
    if write is not None:
        is_err = output is Format.JSON
        if loosened := _loosened(plan):
            typer.echo("\n" + wrapped(loosened), err=is_err)
        typer.echo(f"\nWritten: {write} ({'no NO-GO' if plan.is_go else 'NO-GO'})", err=is_err)
    raise typer.Exit(0 if plan.is_go else 1)
