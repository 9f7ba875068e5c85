"""`rigwalk rules`: the catalogue, one rule explained, and everything for writing rules of one's own."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from lint.cli import completing
from lint.cli.commands import in_examples
from lint.cli.own_rules import facts, new, trust, try_rules
from lint.cli.planned import Format

if TYPE_CHECKING:
    from lint.check.catalogue import Catalogue

app = typer.Typer(
    help="List the rules, explain one, or write your own.",
    invoke_without_command=True,
    add_completion=False,
    rich_markup_mode=None,
)
HOUSE = typer.Option(
    None, "--house", metavar="DIR", help="The house, where it is not the current folder's.", show_default=False
)
OUTPUT = typer.Option(Format.TEXT, "--format", help="For people or for programs.")


@app.callback()
def rules(context: typer.Context, house: Path | None = HOUSE, output: Format = OUTPUT) -> None:
    """List the rules, in the order in which a signal flows; inside a house, with its own.

    Exit status: 0 all could be loaded, 1 one could not, 2 there is no such house.
    """
    if context.invoked_subcommand is None:
        from lint.report.rules import catalogue_text, rules_json

        catalogue = _catalogue(house)
        typer.echo(rules_json(catalogue) if output is Format.JSON else catalogue_text(catalogue))
        raise typer.Exit(1 if catalogue.failures else 0)


@app.command(short_help="Explain one rule.", epilog=in_examples(["rules explain phantom-group"]))
def explain(
    rule: str = typer.Argument(
        ..., metavar="RULE", help="The rule to explain.", show_default=False, autocompletion=completing.rules
    ),
    house: Path | None = HOUSE,
    output: Format = OUTPUT,
) -> None:
    """Explain one rule: why it matters, what to do, its source, its limits and examples.

    Exit status: 0 told, 1 told, and another rule could not be loaded, 2 there is no rule of that name.
    """
    from lint.read.nearest import did_you_mean
    from lint.report.rules import rule_text, rules_json

    catalogue = _catalogue(house)
    if rule not in catalogue.documented:
        typer.echo(f"no rule is called '{rule}'{did_you_mean(rule, catalogue.documented)}", err=True)
        raise typer.Exit(2)
    found = catalogue.documented[rule]
    typer.echo(rules_json(catalogue, [found]) if output is Format.JSON else rule_text(found))
    raise typer.Exit(1 if catalogue.failures else 0)


@app.command()
def page() -> None:
    """Print all rules in full as one Markdown page."""
    from lint.check.catalogue import load_catalogue
    from lint.report.rules import catalogue_page

    typer.echo(catalogue_page(load_catalogue()), nl=False)


_FACTS = (
    "rules facts",
    "rules facts sources rigs/clean-week.yaml",
    "rules facts channels rigs/clean-week.yaml --format json",
)
app.command(short_help="Show what a house rule can ask about.", epilog=in_examples(_FACTS))(facts)
app.command(short_help="Start a rule of your own.", epilog=in_examples(["rules new no-ribbon-on-east-box"]))(new)
app.command("try", short_help="Run the examples of your own rules.", epilog=in_examples(["rules try"]))(try_rules)
app.command(
    short_help="Trust a Python rule, by its content.",
    epilog=in_examples(["rules trust rules/my_rule.py"]),
)(trust)


def _catalogue(house: Path | None) -> Catalogue:
    """Return the rules of all packages, and of the house that is meant; say what could not be loaded."""
    from lint.check.catalogue import load_catalogue
    from lint.cli.house import house_or_here
    from lint.house.load import with_rules

    catalogue = load_catalogue()
    folder = house_or_here(house)
    if folder is not None:
        catalogue = with_rules(catalogue, folder)
    for failure in catalogue.failures:
        if failure.file:
            where = f"{failure.file}:{failure.line}:{failure.column}" if failure.line else failure.file
            typer.echo(f"{where}: the house rule {failure.name} can't be used: {failure.reason}", err=True)
        else:
            typer.echo(f"the rule package '{failure.name}' could not be loaded: {failure.reason}", err=True)
    return catalogue
