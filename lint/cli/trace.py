"""`rigwalk trace`: one signal, end to end."""

from __future__ import annotations

from pathlib import Path

import typer


def trace(
    rig: Path = typer.Argument(..., metavar="RIG", help="The rig file.", show_default=False),
    what: str = typer.Argument(
        ...,
        metavar="WHAT",
        help="A source, channel number, mix, destination, box, label, socket (west-box/in/3) or slot (desk/link-1/9).",
        show_default=False,
    ),
) -> None:
    """Follow one signal end to end, and say where and why it stops.

    Exit status: 0 the signal gets through, 1 it stops somewhere, 2 the file can't be read or there is no such thing.
    """
    from lint.read.problem import CannotReadError
    from lint.report.text import problems_text
    from lint.report.trace import trace_text
    from lint.resolve.resolved import resolve
    from lint.resolve.trace import UnknownSignalError, trace_signal
    from lint.rig.build import load_rig

    try:
        traces = trace_signal(resolve(load_rig(rig)), what)
    except CannotReadError as error:
        typer.echo(problems_text(error), err=True)
        raise typer.Exit(2) from None
    except UnknownSignalError as error:
        typer.echo(f"{rig}: {error}", err=True)
        raise typer.Exit(2) from None
    typer.echo(trace_text(traces))
    raise typer.Exit(1 if any(step.stops for found in traces for step in found.every()) else 0)
