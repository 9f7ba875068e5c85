"""The command line: a thin last layer, one file a command, each importing what it needs when it runs."""

from __future__ import annotations

import gc
import os
import sys

import typer

from lint.cli import rules
from lint.cli.check import check
from lint.cli.demo import demo
from lint.cli.handover import handover
from lint.cli.history import history
from lint.cli.hunt import hunt
from lint.cli.models import models
from lint.cli.new import new
from lint.cli.picture import picture
from lint.cli.schema import schema
from lint.cli.sheet import sheet
from lint.cli.spares import spares
from lint.cli.trace import trace
from lint.cli.walk import walk
from lint.cli.whatif import whatif

# Exit statuses: 0 go, 1 no-go, 2 the files could not be read or the call is wrong, 3 a defect in rigwalk itself.
DEFECT = 3

app = typer.Typer(
    name="rigwalk",
    help="Checks a digital sound rig before the doors open, and walks its crew to a signed go or no-go.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _version(wanted: bool) -> None:
    if wanted:
        from importlib.metadata import version

        typer.echo(f"rigwalk {version('rigwalk')}")
        raise typer.Exit


@app.callback()
def _root(
    version: bool = typer.Option(False, "--version", callback=_version, is_eager=True, help="Show the version."),
) -> None:
    pass


app.command()(demo)
app.command()(new)
app.command()(check)
app.command()(trace)
app.command()(whatif)
app.command()(spares)
app.command()(hunt)
app.command()(walk)
app.command()(history)
app.command()(handover)
app.command()(sheet)
app.command()(picture)
app.add_typer(rules.app, name="rules")
app.command()(models)
app.command()(schema)


def main() -> None:
    """Run the command line; whatever happens, nobody is shown a traceback."""
    gc.disable()  # starting makes much and drops nothing; a command that goes on for long turns it on again
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        app()
    except BrokenPipeError:  # the reader of a pipe has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(1)  # what could not be told to the end is no go
    except Exception as error:
        from lint.cli.defect import tell_defect

        tell_defect(error)
        sys.exit(DEFECT)
