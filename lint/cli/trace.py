"""`rigwalk trace`: one signal, end to end."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from lint.resolve.resolved import ResolvedRig


def trace(
    rig: Path = typer.Argument(..., metavar="RIG", help="The rig file.", show_default=False),
    what: str = typer.Argument(
        ...,
        metavar="WHAT",
        help="A source, channel number, mix, destination, box, amplifier, link cable, circuit, label, socket "
        "(west-box/in/3) or slot (desk/link-1/9).",
        show_default=False,
    ),
    to: str | None = typer.Option(
        None, "--to", metavar="OTHER", help="Every way from WHAT to this instead.", show_default=False
    ),
    upstream: bool = typer.Option(False, "--upstream", help="Everything that gets to WHAT instead."),
    downstream: bool = typer.Option(False, "--downstream", help="Everything that WHAT feeds instead."),
) -> None:
    """Follow one signal end to end, and say where and why it stops.

    Exit status: 0 the signal gets through, 1 it stops somewhere, 2 the file can't be read or there is no such thing.
    """
    from lint.read.problem import CannotReadError
    from lint.report.layout import wrapped
    from lint.report.text import problems_text
    from lint.resolve.resolved import resolve
    from lint.resolve.step import UnknownSignalError
    from lint.rig.build import load_rig

    if (to is not None) + upstream + downstream > 1:
        typer.echo("--to, --upstream and --downstream are three questions; ask one at a time", err=True)
        raise typer.Exit(2)
    try:
        resolved = resolve(load_rig(rig))
        if to is not None:
            text, whole = _between(resolved, what, to)
        elif upstream or downstream:
            text, whole = _reached(resolved, what, upstream)
        else:
            text, whole = _traced(resolved, what)
    except CannotReadError as error:
        typer.echo(problems_text(error), err=True)
        raise typer.Exit(2) from None
    except UnknownSignalError as error:
        typer.echo(wrapped(f"{rig}: {error}", hanging="  "), err=True)
        raise typer.Exit(2) from None
    typer.echo(text)
    raise typer.Exit(0 if whole else 1)


def _traced(rig: ResolvedRig, what: str) -> tuple[str, bool]:
    from lint.report.trace import trace_text
    from lint.resolve.trace import trace_signal

    traces = trace_signal(rig, what)
    whole = not any(step.stops or step.comes_to for found in traces for step in found.every())
    return trace_text(traces), whole


def _reached(rig: ResolvedRig, what: str, upstream: bool) -> tuple[str, bool]:
    from lint.report.trace import reached_text
    from lint.resolve.ways import reached

    kinds = reached(rig, what, upstream)
    return reached_text(what, kinds, upstream), bool(kinds)


def _between(rig: ResolvedRig, first: str, second: str) -> tuple[str, bool]:
    from lint.report.trace import ways_text
    from lint.resolve.ways import ways_between

    ways = ways_between(rig, first, second)
    return ways_text(first, second, ways), bool(ways.found)
