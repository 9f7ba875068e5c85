"""`rigwalk rules facts`, `new`, `try` and `trust`: a house writes its own rules."""

from __future__ import annotations

import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from lint.cli import completing
from lint.cli.planned import Format

if TYPE_CHECKING:
    from lint.check.rule import Rule
    from lint.facts.fact import Row

HOUSE = typer.Option(
    None, "--house", metavar="DIR", help="The house, where it is not the current folder's.", show_default=False
)


def facts(
    kind: str = typer.Argument(
        "",
        metavar="[KIND]",
        help="sources, channels, mixes, ...",
        show_default=False,
        autocompletion=completing.kinds,
    ),
    rig: Path | None = typer.Argument(
        None, metavar="[RIG]", help="Whose values; without one, the small example rig's.", show_default=False
    ),
    row: str = typer.Argument("", metavar="[ROW]", help="Show one row of it whole.", show_default=False),
    output: Format = typer.Option(Format.TEXT, "--format", help="For people or for programs."),
) -> None:
    """Show what a house rule can ask about.

    With a rig: what each fact is there; without one, what it is in the small example rig.

    Exit status: 0 shown, 2 there is no such kind or row, or the rig can't be read.
    """
    from lint.facts.kinds import KINDS
    from lint.read.nearest import did_you_mean
    from lint.report.facts import facts_json, facts_text, kinds_text, row_text

    if not kind and output is Format.JSON:
        typer.echo(f"--format json prints the rows of one kind; name it: {', '.join(KINDS)}", err=True)
        raise typer.Exit(2)
    if not kind:
        typer.echo(f"{kinds_text()}\nrigwalk rules facts KIND RIG shows what each means, and its values in a rig.")
        return
    if kind not in KINDS:
        typer.echo(f"there are no rows called '{kind}'{did_you_mean(kind, KINDS, most=12)}", err=True)
        raise typer.Exit(2)
    rows = _rows(kind, rig)
    if row:
        found = [one for one in rows if one.id == row]
        if not found:
            typer.echo(f"no row is called '{row}'{did_you_mean(row, [one.id for one in rows])}", err=True)
            raise typer.Exit(2)
        rows = found
    if output is Format.JSON:
        typer.echo(facts_json(KINDS[kind], rows))
    elif row:
        typer.echo(row_text(KINDS[kind], rows[0]), nl=False)
    else:
        typer.echo(facts_text(KINDS[kind], rows))
        if rig is None:
            typer.echo("These are the values in the small example rig, which the examples of a rule are merged into.")
        named = repr(rows[0].id) if rows else "NAME"
        typer.echo(f"One whole: rigwalk rules facts {kind} {'RIG' if rig is None else rig} {named}")


def _rows(kind: str, rig: Path | None) -> list[Row]:
    """Return the rows of a rig, or of the small example rig where none is named."""
    from lint.check.example import FILE, example_document
    from lint.facts.kinds import rows_of
    from lint.read.problem import CannotReadError
    from lint.resolve.resolved import resolve_rig
    from lint.rig.build import build_rig, load_rig
    from lint.rig.model import Models

    try:
        built = build_rig(example_document(""), FILE, Models(None)) if rig is None else load_rig(rig)
        return rows_of(kind, resolve_rig(built))
    except CannotReadError as error:
        typer.echo("\n".join(map(str, error.problems)), err=True)
        raise typer.Exit(2) from None


def new(
    name: str = typer.Argument(..., metavar="NAME", help="Its name, such as choir-on-west-box.", show_default=False),
    python: bool = typer.Option(False, "--python", help="Write it in Python, where YAML can't say it."),
    house: Path | None = HOUSE,
) -> None:
    """Start a rule of your own.

    It is a file that works, with a good and a bad example, to be changed. Beside the house stands then the schema by
    which editors complete and check such rules; one in Python is trusted as it is written.

    Exit status: 0 written, 2 nothing written.
    """
    from lint.cli.house import require_house
    from lint.house.load import FOLDER
    from lint.house.start import new_rule
    from lint.page.layout import wrapped
    from lint.start.beside import schema_beside

    folder = require_house(house)
    if not re.fullmatch("[a-z][a-z0-9-]{0,58}[a-z0-9]", name):
        typer.echo(
            f"found '{name}', expected a name of 2 to 60 lower-case letters, digits and hyphens that begins with a "
            "letter, such as choir-on-west-box",
            err=True,
        )
        raise typer.Exit(2)
    _require_free(folder, name)
    try:
        way = "" if python else schema_beside(folder / FOLDER / f"{name}.yaml", "house-rule")
        path = new_rule(folder, name, python, way)
    except FileExistsError as error:
        typer.echo(f"{error.filename} is there already, and is left as it is", err=True)
        raise typer.Exit(2) from None
    except OSError as error:
        typer.echo(f"{error.filename} can't be written: {error.strerror or error}", err=True)
        raise typer.Exit(2) from None
    if python:
        from lint.cli.trust import keep
        from lint.house.trust import digest_of

        keep(path, digest_of(path.read_bytes()))
    typer.echo(wrapped(f"{path} is there, and works. Change it to what your house wants, and then:"))
    typer.echo(f"  rigwalk rules try {name}")


def _require_free(house: Path, name: str) -> None:
    """End with 2 where another file of the house, or another rule, has the name: the check would refuse it."""
    from lint.check.catalogue import load_catalogue
    from lint.house.load import rule_files, rule_name

    told = [f"{path} is there already, and is left as it is" for path in rule_files(house) if rule_name(path) == name]
    if not told and name in load_catalogue().documented:
        told = [f"the name '{name}' is taken already, by a rule that comes with rigwalk or a package"]
    if told:
        typer.echo(told[0], err=True)
        raise typer.Exit(2)


def try_rules(
    names: list[str] = typer.Argument(
        None, metavar="[RULE...]", help="The rules; all of the house.", show_default=False
    ),
    house: Path | None = HOUSE,
    digests: list[str] = typer.Option(
        [],
        "--trust",
        metavar="SHA256",
        help="Let the Python rule with this digest run, where nobody can be asked.",
        show_default=False,
    ),
) -> None:
    """Run the examples of the house's own rules.

    Where a rule does not say what it should, expected and given stand side by side.

    Exit status: 0 all say what they should, 1 one does not, 2 there is none of that name.
    """
    from lint.check.catalogue import load_catalogue
    from lint.cli.house import require_house
    from lint.house.load import rule_files, rule_name, taken_names
    from lint.read.nearest import did_you_mean

    files = rule_files(require_house(house))
    taken = taken_names(load_catalogue(), files)
    paths: dict[str, list[Path]] = {}
    for path in files:
        paths.setdefault(rule_name(path), []).append(path)
    wanted = [rule_name(Path(name)) if name.endswith((".yaml", ".yml", ".py")) else name for name in names or paths]
    for name in wanted:
        if name not in paths:
            typer.echo(f"no rule of this house is called '{name}'{did_you_mean(name, paths)}", err=True)
            raise typer.Exit(2)
    if not wanted:
        typer.echo("this house has no rules of its own yet: rigwalk rules new NAME starts one")
        return
    right = [_try(path, taken.get(path, ""), digests) for name in wanted for path in paths[name]]
    raise typer.Exit(0 if all(right) else 1)


def _try(path: Path, taken: str, digests: list[str]) -> bool:
    """Show how one rule file does, whose name may be taken by another; return whether all is right with it."""
    from lint.check.rule import RuleFailedError
    from lint.house.load import NotTrustedError, load_rule
    from lint.house.proof import examples
    from lint.read.problem import CannotReadError
    from lint.report.proof import outcome_text, rule_heading

    if taken:
        typer.echo(f"{path}: its name is taken already, by {taken}")
        return False
    try:
        rule = load_rule(path, digests)
    except CannotReadError as error:
        typer.echo("\n".join(map(str, error.problems)))
        return False
    except RuleFailedError as error:
        typer.echo(f"{error.file}:{error.line}: {error}")
        return False
    except NotTrustedError as error:
        if sys.stdin.isatty() and sys.stderr.isatty():
            from lint.cli.trust import ask

            return ask(path, error.digest) and _try(path, taken, digests)
        typer.echo(f"{error}; read it, and then: rigwalk rules trust {path}")
        return False
    typer.echo(rule_heading(rule))
    right = _has_both(rule)
    for example in examples(rule):
        outcome = example.run()
        right = right and outcome.is_right
        typer.echo(outcome_text(example, outcome))
    return right


def _has_both(rule: Rule) -> bool:
    for word, found in (("good", rule.good), ("bad", rule.bad)):
        if not found:
            typer.echo(f"  ! it has no {word} example")
    return bool(rule.good and rule.bad)


def trust(
    file: Path = typer.Argument(..., metavar="FILE", help="A Python rule that you have read.", show_default=False),
) -> None:
    """Let a Python rule of the house run.

    It runs on this machine from then on, until its content changes.

    The digest is kept in your own configuration folder, never in the house, and printed: `check --trust` takes it.

    Exit status: 0 trusted, 2 the file can't be read, or the trust can't be kept.
    """
    from lint.cli.trust import keep
    from lint.house.python_rule import read_source
    from lint.house.trust import digest_of
    from lint.read.problem import CannotReadError

    try:
        digest = digest_of(read_source(file, str(file)))
    except CannotReadError as error:
        typer.echo("\n".join(map(str, error.problems)), err=True)
        raise typer.Exit(2) from None
    if not keep(file, digest):
        raise typer.Exit(2)
    typer.echo(digest)
