"""`rigwalk check`: is the rig right?"""

from __future__ import annotations

import sys
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lint.check.catalogue import Catalogue
    from lint.cli.many import Job, Told


class FailOn(StrEnum):
    """From what on a check ends with exit status 1."""

    NO_GO = "no-go"
    CAUTION = "caution"


class Format(StrEnum):
    """How the result is written."""

    TEXT = "text"
    BRIEF = "brief"
    JSON = "json"
    SARIF = "sarif"
    JUNIT = "junit"

    @property
    def is_for_people(self) -> bool:
        """Whether each rig is told as soon as it is its turn, instead of all in one report."""
        return self in (Format.TEXT, Format.BRIEF)


def check(
    rigs: list[Path] = typer.Argument(
        ...,
        metavar="RIG...",
        help="Rig files to check, or folders: a house, or one with rigs; - is standard input, read as a file of the "
        "current folder.",
        show_default=False,
    ),
    output: Format = typer.Option(Format.TEXT, "--format", help="For people (brief: one line a rig) or for programs."),
    trust: list[str] = typer.Option(
        [],
        "--trust",
        metavar="SHA256",
        help="Let the Python rule of the house with this digest run, where nobody can be asked.",
        show_default=False,
    ),
    fail_on: FailOn = typer.Option(FailOn.NO_GO, "--fail-on", help="With caution, a caution that stands is no go too."),
    timings: bool = typer.Option(False, "--timings", help="Say how long each rule took."),
    watch: bool = typer.Option(False, "--watch", help="Check again whenever the rig or its house is saved."),
) -> None:
    """Check rig files: what is plugged in, what is patched, and what is meant to be heard.

    Exit status: 0 go (cautions allowed, but for --fail-on caution), 1 no-go, 2 a file could not be read.
    """
    from lint.check.catalogue import load_catalogue
    from lint.cli.many import Job, rigs_in
    from lint.read.parse import STANDARD_INPUT

    paths = rigs_in(rigs)
    if watch and (len(paths) != 1 or output is not Format.TEXT or str(paths[0]) == STANDARD_INPUT):
        typer.echo("--watch looks after one rig file, and tells it as text", err=True)
        raise typer.Exit(2)
    _ask_for_trust(paths, trust)
    job = Job(output.value, tuple(trust), timings, _given(paths))
    if watch:
        from lint.cli.watch import keep_checking

        keep_checking(paths[0], load_catalogue(), job)
        return
    catalogue = load_catalogue()
    is_folder = any(path.is_dir() for path in rigs)
    done = _tell(paths, catalogue, job, is_folder)
    if not output.is_for_people:
        typer.echo(_report(output, catalogue, done))
    elif is_folder:
        typer.echo(_sum(done))
    raise typer.Exit(_status(done, catalogue, job, fail_on))


def _given(paths: Sequence[Path]) -> bytes:
    """Return what standard input holds, where it is to be checked; here, since other processes do not have it."""
    from lint.read.parse import MOST_MIB, STANDARD_INPUT

    if Path(STANDARD_INPUT) not in paths:
        return b""
    return sys.stdin.buffer.read(MOST_MIB * 1024**2 + 1)  # one more than a rig may have: it is told by that


def _tell(paths: Sequence[Path], catalogue: Catalogue, job: Job, is_folder: bool) -> list[Told]:
    """Check the rigs and tell each, in their order, as soon as it is its turn."""
    from contextlib import closing

    from lint.cli.many import Bar, told

    done: list[Told] = []
    for_people, is_alone = Format(job.output).is_for_people, len(paths) == 1 and not is_folder
    bar = Bar(len(paths))
    try:
        with closing(told(paths, catalogue, job)) as rows:
            for row in rows:
                if for_people or row.timings:
                    bar.wipe()
                if for_people and row.problems:
                    typer.echo("\n".join(map(str, row.problems)), err=True)
                elif for_people and row.verdict:  # the last line of a rig alone is its verdict
                    typer.echo(str(row.report).rstrip("\n") if is_alone else row.report)
                if row.timings:
                    typer.echo(row.timings, err=not for_people)
                # What has been written is not kept: a folder may hold thousands.
                done.append(row._replace(report=None) if for_people else row)
                bar.show(len(done))
    finally:
        bar.wipe()
    return done


def _report(output: Format, catalogue: Catalogue, done: Sequence[Told]) -> str:
    """Return the whole report for programs."""
    from lint.read.problem import CannotReadError

    unreadable = [(row.path, CannotReadError(row.problems)) for row in done if row.problems]
    parts = [row.report for row in done if row.verdict]
    if output is Format.JSON:
        from lint.report.json_report import check_json

        return check_json(parts, unreadable)
    if output is Format.SARIF:
        from importlib.metadata import version

        from lint.report.sarif import check_sarif

        return check_sarif(parts, unreadable, catalogue, version("rigwalk"))
    from lint.report.junit import check_junit

    return check_junit(parts, unreadable)


def _sum(done: Sequence[Told]) -> str:
    """Say in a few lines what a folder comes to, and which rigs are not go."""
    from lint.page.layout import wrapped

    groups = (
        ("go", [row for row in done if row.verdict == "go"]),
        ("go with cautions", [row for row in done if row.verdict == "go-with-cautions"]),
        ("no-go", [row for row in done if row.verdict == "no-go"]),
        ("can't be read", [row for row in done if row.problems]),
        ("could not be checked", [row for row in done if not row.verdict and not row.problems]),
    )
    counts = ", ".join(f"{len(rows):,} {words}" for words, rows in groups if rows)
    lines = [f"{len(done):,} rig{'s' if len(done) != 1 else ''}: {counts}."]
    for words, rows in groups[2:]:
        names = [str(row.path) for row in rows]
        more = f" and {len(names) - 20:,} more" if len(names) > 20 else ""
        lines += [wrapped(f"{words}: {', '.join(names[:20])}{more}", "  ", "    ")] if names else []
    return "\n".join(lines)


def _status(done: Sequence[Told], catalogue: Catalogue, job: Job, fail_on: FailOn) -> int:
    """Return the exit status: the worst that any rig comes to."""
    from lint.cli.many import tell

    for row in done:
        if not row.verdict and not row.problems:
            # A defect in another process: here it is told as any other. What only failed there is not go either.
            tell(row.path, catalogue, job)
            return 2
    if any(row.problems for row in done):
        return 2
    failing = ("no-go",) if fail_on is FailOn.NO_GO else ("no-go", "go-with-cautions")
    return 1 if any(row.verdict in failing for row in done) else 0


def _ask_for_trust(rigs: list[Path], trust: list[str]) -> None:
    """On a terminal, ask about each Python rule of the houses that has not been trusted yet, or has changed since."""
    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        return
    from lint.house.load import house_of, untrusted

    for house in dict.fromkeys(house for path in rigs if (house := house_of(path)) is not None):
        for rule in untrusted(house, trust):
            from lint.cli.trust import ask

            ask(rule.path, rule.digest)
