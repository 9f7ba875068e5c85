"""The command line: a thin last layer, one file a command, each importing what it needs when it runs."""

from __future__ import annotations

import errno
import gc
import os
import sys
from importlib import import_module
from typing import Any, cast

# Exit statuses: 0 go, 1 no-go, 2 the files could not be read or the call is wrong, 3 a defect in rigwalk itself, and
# after ctrl-c what a shell makes of that.
DEFECT, INTERRUPTED = 3, 130

try:
    import typer

    from lint.cli.commands import COMMANDS, in_examples
except KeyboardInterrupt:  # this is most of a start, and nobody is shown a traceback
    sys.exit(INTERRUPTED)


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
            formatter.write_dl([(name, brief) for name, (brief, *_) in COMMANDS.items()])


def _command(name: str) -> Any:
    module = import_module(f"lint.cli.{name}")
    group: typer.Typer | None = getattr(module, "app", None)
    if group is None:
        group = typer.Typer(add_completion=False, rich_markup_mode=None)
        group.command(name, epilog=in_examples(COMMANDS[name][1:]))(getattr(module, name))
    return typer.main.get_command(group)


app = typer.Typer(
    cls=_Commands,
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


def main() -> None:
    """Run the command line; whatever happens, nobody is shown a traceback."""
    gc.disable()  # starting makes much and drops nothing; a command that goes on for long turns it on again
    _open_the_closed()
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            # A terminal shows what it can; what goes to a file or a program is UTF-8, whatever the system speaks.
            stream.reconfigure(encoding=None if stream.isatty() else "utf-8", errors="replace")
    try:
        _require_showable(sys.argv[1:])
        try:
            app()
        finally:
            sys.stdout.flush()  # here, where it can still be told that there is no room for it
    except BrokenPipeError:  # the reader of a pipe has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(1)  # what could not be told to the end is no go
    except KeyboardInterrupt:  # before a command was there to take it
        sys.exit(INTERRUPTED)
    except Exception as error:
        from lint.cli.defect import tell_defect
        from lint.read.problem import CannotReadError

        if isinstance(error, CannotReadError):  # read on the way to something else
            typer.echo(error, err=True)
            sys.exit(2)
        if isinstance(error, OSError) and error.errno in (errno.ENOSPC, errno.EDQUOT):
            typer.echo(f"what is printed goes where there is no room for it: {str(error.strerror).lower()}", err=True)
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            sys.exit(2)
        if isinstance(error, FileNotFoundError) and not _is_anywhere():
            from lint.read.load import GONE

            typer.echo(GONE, err=True)
            sys.exit(2)

        tell_defect(error)
        sys.exit(DEFECT)


def _is_anywhere() -> bool:
    """Whether the current folder is still there."""
    try:
        os.getcwd()  # noqa: PTH109 - Path.cwd() is this, for an import more
    except FileNotFoundError:
        return False
    return True


def _open_the_closed() -> None:
    """Put nothing in the place of a stream that was closed before the start: Python has None there."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: PTH123, SIM115 - open to the end


def _require_showable(words: list[str]) -> None:
    """End with 2 where a word of the call could forge a screen: what is named there is shown and recorded as it is."""
    from lint.read.showable import unshowable

    for number, word in enumerate(words, start=1):
        if what := unshowable(word):
            typer.echo(f"word {number} of the call holds {what}; rename what it names", err=True)
            sys.exit(2)
