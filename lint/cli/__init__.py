"""The command line: a thin last layer, one file a command, each importing what it needs when it runs."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Callable

import typer

from lint.cli import rules
from lint.cli.check import check
from lint.cli.demo import demo
from lint.cli.examples import in_examples
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
    add_completion=True,
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


def _add(command: Callable[..., None], brief: str, *examples: str) -> None:
    """Add a command with its line in the list and what its own help ends with."""
    app.command(short_help=brief, epilog=in_examples(examples))(command)


_add(demo, "Copy the demo house and check its two weeks.", "demo", "demo --into my-house")
_add(
    new,
    "Write a new rig file: asked, from an input list, or next week's.",
    "new rigs/sunday.yaml",
    "new rigs/sunday.yaml --from-inputs inputs.csv",
    "new rigs/next.yaml --from rigs/clean-week.yaml --date 2026-12-06",
)
_add(
    check,
    "Check rig files: what is plugged, patched and meant to be heard.",
    "check rigs/clean-week.yaml",
    "check rigs/*.yaml --format json",
)
_add(
    trace,
    "Follow one signal end to end, and say where and why it stops.",
    "trace rigs/faulty-week.yaml lead-vocal",
    "trace rigs/faulty-week.yaml 12",
    "trace rigs/faulty-week.yaml west-box/in/3 --downstream",
)
_add(
    whatif,
    "Say what a change or a loss does to everything, and mend it.",
    "whatif rigs/clean-week.yaml order east-box west-box loft-box",
    "whatif rigs/clean-week.yaml lose east-box",
)
_add(
    spares,
    "Say which sources are lost with a box, and the best rescue.",
    "spares rigs/clean-week.yaml east-box",
    "spares rigs/clean-week.yaml west-box --write rigs/rescued.yaml",
)
_add(
    hunt,
    "Find a fault step by step: where to look and what to see.",
    "hunt rigs/clean-week.yaml lead-vocal dead",
    "hunt rigs/clean-week.yaml 12 noise",
)
_add(
    walk,
    "Walk the checklist with the crew, and sign a go or a no-go.",
    "walk rigs/clean-week.yaml",
    "walk rigs/clean-week.yaml --checklist short-walk --by Sam",
)
_add(history, "List or show a house's walks, and prove their records.", "history", "history 3")
_add(
    handover,
    "Tell next week's crew what changed, what is open, what failed.",
    "handover rigs/clean-week.yaml",
    "handover rigs/faulty-week.yaml --since rigs/clean-week.yaml",
    "handover rigs/clean-week.yaml --format html --into handover.html",
)
_add(
    sheet,
    "Print the sheets: boxes, console, monitors, circuits, labels.",
    "sheet rigs/clean-week.yaml --only boxes",
    "sheet rigs/clean-week.yaml --format html --into sheets.html",
)
_add(
    picture,
    "Draw the rig as SVG, with the findings where they are.",
    "picture rigs/faulty-week.yaml chain --into chain.svg",
    "picture rigs/faulty-week.yaml lead-vocal --into lead-vocal.svg",
)
app.add_typer(rules.app, name="rules", short_help="List the rules, explain one, or write your own.")
_add(models, "List the equipment models that a rig may use.", "models")
_add(schema, "Print the JSON Schema of rig files, for editors.", "schema --into rig.schema.json")


def main() -> None:
    """Run the command line; whatever happens, nobody is shown a traceback."""
    gc.disable()  # starting makes much and drops nothing; a command that goes on for long turns it on again
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        _require_showable(sys.argv[1:])
        app()
    except BrokenPipeError:  # the reader of a pipe has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(1)  # what could not be told to the end is no go
    except Exception as error:
        from lint.cli.defect import tell_defect
        from lint.read.problem import CannotReadError

        if isinstance(error, CannotReadError):  # read on the way to something else
            typer.echo(error, err=True)
            sys.exit(2)

        tell_defect(error)
        sys.exit(DEFECT)


def _require_showable(words: list[str]) -> None:
    """End with 2 where a word of the call could forge a screen: what is named there is shown and recorded as it is."""
    from lint.read.showable import unshowable

    for number, word in enumerate(words, start=1):
        if what := unshowable(word):
            typer.echo(f"word {number} of the call holds {what}; rename what it names", err=True)
            sys.exit(2)
