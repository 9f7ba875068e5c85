"""`rigwalk check`: is the rig right?"""

from __future__ import annotations

import gc
import sys
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from lint.check.catalogue import Catalogue
    from lint.check.engine import Checked


class Format(StrEnum):
    """How the result is written."""

    TEXT = "text"
    JSON = "json"
    SARIF = "sarif"
    JUNIT = "junit"


def check(
    rigs: list[Path] = typer.Argument(..., metavar="RIG...", help="Rig files to check.", show_default=False),
    output: Format = typer.Option(Format.TEXT, "--format", help="For people or for programs."),
    trust: list[str] = typer.Option(
        [],
        "--trust",
        metavar="SHA256",
        help="Let the Python rule of the house with this digest run, where nobody can be asked.",
        show_default=False,
    ),
    timings: bool = typer.Option(False, "--timings", help="Say how long each rule took."),
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
    _ask_for_trust(rigs, trust)
    for number, path in enumerate(rigs):
        if number:
            gc.enable()
        try:
            checked = check_file(path, catalogue, trust=trust)
        except CannotReadError as error:
            unreadable.append((path, error))
            if output is Format.TEXT:
                from lint.report.text import problems_text

                typer.echo(problems_text(error), err=True)
            continue
        done.append(checked)
        if output is Format.TEXT:
            from lint.report.text import check_text

            typer.echo(check_text(checked, checked.catalogue))
        if timings:
            from lint.report.timings import timings_text

            typer.echo(timings_text(checked), err=output is not Format.TEXT)
    if output is Format.JSON:
        from lint.report.json_report import check_json

        typer.echo(check_json(done, unreadable))
    elif output is Format.SARIF:
        from importlib.metadata import version

        from lint.report.sarif import check_sarif

        typer.echo(check_sarif(done, unreadable, _together(catalogue, done), version("rigwalk")))
    elif output is Format.JUNIT:
        from lint.report.junit import check_junit

        typer.echo(check_junit(done, unreadable))
    if unreadable:
        raise typer.Exit(2)
    raise typer.Exit(1 if any(checked.verdict is Verdict.NO_GO for checked in done) else 0)


def _ask_for_trust(rigs: list[Path], trust: list[str]) -> None:
    """On a terminal, ask about each Python rule of the houses that has not been trusted yet, or has changed since."""
    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        return
    from lint.house.load import house_of, untrusted

    for house in dict.fromkeys(house for path in rigs if (house := house_of(path)) is not None):
        for rule in untrusted(house, trust):
            from lint.cli.trust import ask

            ask(rule.path, rule.digest)


def _together(catalogue: Catalogue, done: list[Checked]) -> Catalogue:
    """Return the rules of the packages and of all houses that were checked."""
    from dataclasses import replace

    rules = dict(catalogue.rules)
    for checked in done:
        rules = {**checked.catalogue.rules, **rules}
    return replace(catalogue, rules=rules)
