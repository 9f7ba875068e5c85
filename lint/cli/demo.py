"""`rigwalk demo`: an invented house to try everything on."""

from __future__ import annotations

import sys
from pathlib import Path

import typer

SOURCE = Path(__file__).parent.parent / "demo"
FILES = (
    "house.yaml",
    "rigs/clean-week.yaml",
    "rigs/faulty-week.yaml",
    "rules/choir-in-the-gallery.yaml",
    "rules/stream-without-talkback.yaml",
    "inputs.csv",
)


def demo(
    into: Path = typer.Option(Path("demo-house"), "--into", metavar="DIR", help="The folder to make."),
) -> None:
    """Copy the demo house into a new folder, check its two weeks, and say what to try next.

    An existing folder is never overwritten.
    """
    from lint.check.catalogue import load_catalogue
    from lint.check.engine import check_file
    from lint.report.text import check_text

    _copy(into)
    catalogue = load_catalogue()
    typer.echo(f"The demo house is in {into}/: a community hall, made up, with a clean week and a faulty one.\n")
    for name in FILES[1:3]:
        path = into / name
        typer.echo(f"$ rigwalk check {path}")
        checked = check_file(path, catalogue)
        typer.echo(check_text(checked, checked.catalogue))
    clean, faulty = into / FILES[1], into / FILES[2]
    typer.echo(
        f"Try next:\n"
        f"  rigwalk trace {faulty} lead-vocal\n"
        f"  rigwalk rules explain bank-clash\n"
        f"  rigwalk rules try --house {into}   (it has rules of its own)\n"
        f"  rigwalk whatif {clean} lose east-box\n"
        f"  rigwalk hunt {clean} lead-vocal dead\n"
        f"  rigwalk check {faulty}   (edited as the findings say)\n"
        f"  rigwalk sheet {clean} --format html --into sheets.html\n"
        f"  rigwalk handover {faulty} \\\n    --since {clean}\n"
        f"  rigwalk walk {clean} --checklist short-walk"
    )
    if sys.stdin.isatty() and sys.stdout.isatty() and typer.confirm("\nWalk the clean week now?", default=False):
        from lint.cli.walk import walk

        walk(clean, "short-walk", role=None, by="", new=False, key=None, plain=False)


def _copy(into: Path) -> None:
    """Write the demo files into a new folder, or say why not."""
    try:
        into.mkdir(parents=True)
    except FileExistsError:
        typer.echo(f"{into} is there already, and is left as it is; name another folder with --into", err=True)
        raise typer.Exit(2) from None
    except OSError as error:
        typer.echo(f"{into} can't be made: {error.strerror or error}", err=True)
        raise typer.Exit(2) from None
    try:
        for name in FILES:
            target = into / name
            target.parent.mkdir(exist_ok=True)
            target.write_text((SOURCE / name).read_text(encoding="utf-8"), encoding="utf-8")
    except OSError as error:
        typer.echo(f"{into} can't be written: {error.strerror or error}", err=True)
        raise typer.Exit(2) from None
