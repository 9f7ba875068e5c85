"""`rigwalk new`: a rig file from questions, from an input list, or from last week's rig."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import typer

if TYPE_CHECKING:
    from lint.start.plan import Plan

LONGEST = 56  # letters of an answer


def new(
    file: Path | None = typer.Argument(None, metavar="[FILE]", help="The rig file to write.", show_default=False),
    old: Path | None = typer.Option(
        None, "--from", metavar="RIG", help="Copy this rig to another date.", show_default=False
    ),
    date: str = typer.Option("", "--date", metavar="DATE", help="The date of the event, year-month-day."),
    inputs: Path | None = typer.Option(
        None, "--from-inputs", metavar="LIST", help="Read this input list (CSV).", show_default=False
    ),
) -> None:
    """Write a new rig file: asked for, from an input list, or last week's on a new date. No file is overwritten.

    In a house nothing is asked: FILE is a week of it that says nothing of its own yet.

    Exit status: 0 written and go, 1 written and no-go, or something in the list left out, 2 nothing written.
    """
    from lint.cli.told import told

    with told():
        day = _date(date)
        if old is not None and inputs is not None:
            refuse("--from and --from-inputs are two ways in; take one")
        if old is not None:
            _copy(old, day, file)
        elif inputs is not None:
            from lint.cli.from_list import from_list

            from_list(inputs, day, file or Path("rig.yaml"))
        elif file is not None and (house := _house_of(file)) is not None:
            _week_of(house, file, day)
        else:
            _asked(file or Path("house.yaml"), day)


def refuse(message: str) -> NoReturn:
    """Say what is wrong with the call, and leave with exit status 2."""
    typer.echo(message, err=True)
    raise typer.Exit(2)


def _date(text: str) -> str:
    from datetime import date

    try:
        return date.fromisoformat(text).isoformat() if text else ""
    except ValueError:
        refuse(f"--date {text}: expected a date such as 2026-12-06")


def _copy(old: Path, day: str, file: Path | None) -> None:
    from datetime import date

    from lint.page.write import write_whole
    from lint.start.again import on_date

    if not day:
        refuse("--from needs --date, the date of the new event")
    target = file or old.with_name(f"{day}.yaml")
    require_free(target)
    write_whole(target, on_date(old, date.fromisoformat(day), target))
    also = f", which is {old} on {day}; crew, waivers, gear and what is dead are copied as they stand."
    raise typer.Exit(check_new(target, also))


def _house_of(target: Path) -> Path | None:
    """Return the house file that a new file would extend, or None where it is one itself, or there is none."""
    from lint.read.load import HOUSE_FILE, house_folder

    folder = house_folder(target)
    return folder / HOUSE_FILE if folder is not None and target.name != HOUSE_FILE else None


def _week_of(house: Path, target: Path, day: str) -> NoReturn:
    from lint.start.plan import Plan
    from lint.start.propose import extends_path

    require_free(target)
    plan = Plan(extends_path(target, house), {"date": day} if day else {})
    title = "A week of the house: what stands in its file holds here too.\nWrite below what is other this week."
    write_rig(plan, target, title)
    also = f", a week of {plan.extends}: what is always there; write into it what is other this week."
    raise typer.Exit(check_new(target, also))


def require_free(target: Path) -> None:
    """Refuse early what would be refused at the end, before anybody has answered a question."""
    from lint.page.write import CannotWriteError

    if target.exists():
        raise CannotWriteError(f"{target} is there already, and is left as it is; name another file")
    if not target.parent.is_dir():
        raise CannotWriteError(
            f"{target} can't be written: there is no folder {target.parent}; make it first: mkdir {target.parent}"
        )


def check_new(target: Path, also: str = "", about: str = "") -> int:
    """Check a file just written; tell that it is written, `also` behind that, and the verdict, `about` before it.

    Returns 1 for no-go, else 0. Raises CannotReadError, and takes the file away again: exit status 2 means that nothing
    was written.
    """
    from lint.check.catalogue import load_catalogue
    from lint.check.engine import check_file
    from lint.check.finding import Severity, Verdict
    from lint.page.layout import wrapped
    from lint.read.problem import CannotReadError
    from lint.report.text import check_text

    catalogue = load_catalogue()
    try:
        checked = check_file(target, catalogue)
    except CannotReadError:
        target.unlink()
        raise
    typer.echo(f"Written: {target}{also}")
    for finding in checked.findings:
        if finding.weight is Severity.NO_GO and finding.waived is None:
            typer.echo(wrapped(f"✗ {finding.message}", "", "  "))
    typer.echo(f"{about}{check_text(checked, catalogue).strip().splitlines()[-1]}; rigwalk check {target} tells all.")
    return 1 if checked.verdict is Verdict.NO_GO else 0


def write_rig(plan: Plan, target: Path, title: str) -> None:
    """Write a plan as a rig file, and beside its house the schema for editors, which is told."""
    import os

    from lint.page.write import write_whole
    from lint.start.beside import schema_beside, schema_place
    from lint.start.scaffold import scaffold

    is_new = not schema_place(target, "rig").exists()
    reference = schema_beside(target, "rig")
    write_whole(target, scaffold(plan, title, reference))
    if reference and is_new:
        way = os.path.normpath(target.parent / reference)
        typer.echo(f"Written: {way}, by which editors complete and check what you type.")


def _asked(target: Path, day: str) -> None:
    from lint.page.layout import wrapped
    from lint.page.plain import shown
    from lint.read.load import HOUSE_FILE, house_folder
    from lint.rig.model import Models
    from lint.start.ask import Asker

    require_free(target)

    def ask(question: str, usual: str) -> str:
        prompt = f"{question} [{usual}]: " if usual else f"{question}: "
        while True:
            try:
                said = shown(" ".join(input(prompt).split()))
            except (EOFError, KeyboardInterrupt):
                typer.echo("\nStopped; nothing was written.", err=True)
                raise typer.Exit(2) from None
            if len(said) <= LONGEST:
                return said or usual
            typer.echo(f"That is longer than {LONGEST} letters.")

    def say(text: str) -> None:
        typer.echo(wrapped(text))

    plan = Asker(ask, say, Models(house_folder(target)), day, is_house=target.name == HOUSE_FILE).plan()
    typer.echo("\nNot asked, and assumed:")
    for remark in plan.remarks:
        typer.echo(wrapped(shown(remark.removeprefix("assumed: ")), "  ", "    "))
    write_rig(plan, target, "Made by rigwalk from your answers. All of it may be changed by hand.")
    raise typer.Exit(check_new(target))
