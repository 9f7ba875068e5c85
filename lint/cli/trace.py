"""`rigwalk trace`: one signal, end to end."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from lint.cli import completing
from lint.cli.planned import Format

if TYPE_CHECKING:
    from lint.resolve.resolved import ResolvedRig


TO = typer.Option(
    None,
    "--to",
    metavar="OTHER",
    help="Every way from WHAT to this instead.",
    show_default=False,
    autocompletion=completing.traced,
)


def trace(
    rig: Path = typer.Argument(..., metavar="RIG", help="The rig file.", show_default=False),
    what: str = typer.Argument(
        ...,
        metavar="WHAT",
        help="A source, pair, channel number, mix, destination, box, amplifier, link cable, circuit, label, socket "
        "(west-box/in/3) or slot (desk/link-1/9).",
        show_default=False,
        autocompletion=completing.traced,
    ),
    to: str | None = TO,
    upstream: bool = typer.Option(False, "--upstream", help="Everything that gets to WHAT instead."),
    downstream: bool = typer.Option(False, "--downstream", help="Everything that WHAT feeds instead."),
    output: Format = typer.Option(Format.TEXT, "--format", help="For people or for programs."),
) -> None:
    """Follow one signal end to end, and say where and why it stops.

    Exit status: 0 the signal gets through, or nothing uses the socket; 1 it stops somewhere; 2 the file can't be read
    or there is no such thing.
    """
    from lint.page.layout import wrapped
    from lint.read.problem import CannotReadError
    from lint.report.text import problems_text
    from lint.resolve.resolved import resolve_rig
    from lint.resolve.step import UnknownSignalError
    from lint.rig.build import load_rig

    if (to is not None) + upstream + downstream > 1:
        typer.echo("--to, --upstream and --downstream are three questions; ask one at a time", err=True)
        raise typer.Exit(2)
    try:
        resolved = resolve_rig(load_rig(rig))
        as_json = output is Format.JSON
        if to is not None:
            text, whole = _between(resolved, (str(rig), what, to), as_json)
        elif upstream or downstream:
            text, whole = _reached(resolved, (str(rig), what), upstream, as_json)
        else:
            text, whole = _traced(resolved, (str(rig), what), as_json)
    except CannotReadError as error:
        typer.echo(problems_text(error), err=True)
        raise typer.Exit(2) from None
    except UnknownSignalError as error:
        typer.echo(wrapped(f"{rig}: {error}", hanging="  "), err=True)
        raise typer.Exit(2) from None
    typer.echo(text, nl=output is Format.TEXT)
    raise typer.Exit(0 if whole else 1)


def _traced(rig: ResolvedRig, about: tuple[str, str], as_json: bool) -> tuple[str, bool]:
    from lint.report.trace import trace_text
    from lint.resolve.trace import trace_signal

    traces = trace_signal(rig, about[1])
    whole = not any(step.stops or step.comes_to for found in traces for step in found.every())
    if as_json:
        from lint.report.trace_json import PATH, Asked, trace_json

        return trace_json(Asked(*about, PATH), whole, traces), whole
    return trace_text(traces), whole


def _reached(rig: ResolvedRig, about: tuple[str, str], upstream: bool, as_json: bool) -> tuple[str, bool]:
    from lint.report.trace import reached_text
    from lint.resolve.graph import Node
    from lint.resolve.silent import stops_on
    from lint.resolve.ways import nodes_of, reached, sides_reached, silent_without

    kinds = reached(rig, about[1], upstream)
    silent = [] if upstream else silent_without(rig, about[1])
    met = [Node(kind, name) for kind, names in kinds.items() for name in names]
    stops = stops_on(rig, (*nodes_of(rig, about[1]), *met))
    whole = bool(kinds) and not stops
    if as_json:
        from lint.report.trace_json import DOWNSTREAM, UPSTREAM, Asked, trace_json

        asked = Asked(*about, UPSTREAM if upstream else DOWNSTREAM)
        return trace_json(asked, whole, reached=kinds, silent=silent, stops=stops), whole
    sides = sides_reached(rig, about[1], upstream)
    return reached_text(about[1], kinds, upstream, silent, stops, sides), whole


def _between(rig: ResolvedRig, about: tuple[str, str, str], as_json: bool) -> tuple[str, bool]:
    from lint.report.trace import ways_text
    from lint.resolve.ways import ways_between, words_of

    file, first, second = about
    ways = ways_between(rig, first, second)
    whole = not all(ways.stops)
    if as_json:
        from lint.report.trace_json import WAYS, Asked, trace_json

        stops = list(dict.fromkeys(text for why in ways.stops for text in why))
        return trace_json(Asked(file, first, WAYS, second), whole, ways=ways, stops=stops), whole
    return ways_text(first, second, ways, [words_of(rig, way) for way in ways.found]), whole
