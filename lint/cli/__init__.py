"""The command line: a thin last layer, one file a command, each importing what it needs when it runs."""

from __future__ import annotations

import gc
import os
import sys
from importlib import import_module
from typing import Any, cast

import typer

# In the order in which help lists them, and what it says of each; each stands in the module of its name.
COMMANDS = {
    "demo": "Copy the demo house into a new folder and check its two weeks.",
    "new": "Write a new rig: asked for, from an input list or last week's.",
    "check": "Check rig files: what is plugged in, patched and to be heard.",
    "trace": "Follow one signal end to end; say where and why it stops.",
    "whatif": "Say what a change or a loss does, and the best way out of it.",
    "spares": "Say which sources are lost, and rescue them onto the spares.",
    "hunt": "Find a fault step by step: where to look, and why there.",
    "walk": "Walk the checklist with the crew, and sign a go or no-go.",
    "history": "List the walks of a house, show one, prove nothing was altered.",
    "handover": "Tell the next crew what changed, is open, failed, was waived.",
    "sheet": "Print the sheets of a rig: by box, by console, by stage.",
    "picture": "Draw the rig as SVG, with the findings where they are.",
    "rules": "List the rules, explain one, or write your own.",
    "models": "List the equipment models that a rig may use.",
    "schema": "Print the JSON Schema of rig files, for editors.",
}
# Exit statuses: 0 go, 1 no-go, 2 the files could not be read or the call is wrong, 3 a defect in rigwalk itself.
DEFECT = 3


class _Commands(typer.core.TyperGroup):
    """The commands by name, each imported when it is asked for: a check waits for no other command."""

    def __init__(self, **settings: Any) -> None:
        super().__init__(**settings)
        self.commands = cast("dict[str, Any]", dict.fromkeys(COMMANDS))

    def get_command(self, ctx: Any, cmd_name: str) -> Any:  # noqa: ARG002 - as the group calls it
        """Return the command of a name, or None where there is none."""
        if cmd_name in self.commands and self.commands[cmd_name] is None:
            self.commands[cmd_name] = _command(cmd_name)
        return self.commands.get(cmd_name)

    def format_commands(self, ctx: Any, formatter: Any) -> None:  # noqa: ARG002 - as the group calls it
        """List the commands without importing one."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


def _command(name: str) -> Any:
    module = import_module(f"lint.cli.{name}")
    group: typer.Typer | None = getattr(module, "app", None)
    if group is None:
        group = typer.Typer(add_completion=False, rich_markup_mode=None)
        group.command(name)(getattr(module, name))
    return typer.main.get_command(group)


app = typer.Typer(
    cls=_Commands,
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
        _tell_defect(error)
        sys.exit(DEFECT)


def _tell_defect(error: Exception) -> None:
    frame = error.__traceback__
    while frame is not None and frame.tb_next is not None:
        frame = frame.tb_next
    where = f" ({os.path.basename(frame.tb_frame.f_code.co_filename)}:{frame.tb_lineno})" if frame else ""  # noqa: PTH119
    typer.echo(
        f"rigwalk itself failed, and that is a defect in it, not in your rig: {type(error).__name__}: {error}{where}",
        err=True,
    )
