"""`rigwalk check`: is the rig right?"""

from __future__ import annotations

import gc
from enum import StrEnum
from pathlib import Path

import typer


class Format(StrEnum):
    """How the result is written."""

    TEXT = "text"
    JSON = "json"
    SARIF = "sarif"
    JUNIT = "junit"


def check(
    rigs: list[Path] = typer.Argument(..., metavar="RIG...", help="Rig files to check.", show_default=False),
    output: Format = typer.Option(Format.TEXT, "--format", help="For people or for programs."),
) -> None:
    """Check rig files: what is plugged in, what is patched, and what is meant to be heard.

    Exit status: 0 go (cautions allowed), 1 no-go, 2 a file could not be read.
    """
    from lint.check.catalogue import load_catalogue
    from lint.check.engine import check_file
    from lint.check.finding import Verdict
    from lint.read.problem import CannotReadError

    catalogue = load_catalogue()
    done, unreadable = [], []
    for number, path in enumerate(rigs):
        if number:
            gc.enable()
        try:
            checked = check_file(path, catalogue)
        except CannotReadError as error:
            unreadable.append((path, error))
            if output is Format.TEXT:
                from lint.report.text import problems_text

                typer.echo(problems_text(error), err=True)
            continue
        done.append(checked)
        if output is Format.TEXT:
            from lint.report.text import check_text

            typer.echo(check_text(checked, catalogue))
    if output is Format.JSON:
        from lint.report.json_report import check_json

        typer.echo(check_json(done, unreadable))
    elif output is Format.SARIF:
        from importlib.metadata import version

        from lint.report.sarif import check_sarif

        typer.echo(check_sarif(done, unreadable, catalogue, version("rigwalk")))
    elif output is Format.JUNIT:
        from lint.report.junit import check_junit

        typer.echo(check_junit(done, unreadable, catalogue))
    if unreadable:
        raise typer.Exit(2)
    raise typer.Exit(1 if any(checked.verdict is Verdict.NO_GO for checked in done) else 0)
