"""`rigwalk rules`: the catalogue, one rule explained, and the page that shows them all."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from lint.check.catalogue import Catalogue

app = typer.Typer(help="The rules: list them, or explain one.", invoke_without_command=True, rich_markup_mode=None)


@app.callback()
def rules(context: typer.Context) -> None:
    """List the rules, in the order in which a signal flows."""
    if context.invoked_subcommand is None:
        from lint.report.rules import catalogue_text

        catalogue = _catalogue()
        typer.echo(catalogue_text(catalogue))
        raise typer.Exit(1 if catalogue.failures else 0)


@app.command()
def explain(
    rule: str = typer.Argument(..., metavar="RULE", help="The rule to explain.", show_default=False),
) -> None:
    """Explain one rule: why it matters, what to do, its source, its limits and examples."""
    from lint.read.nearest import did_you_mean
    from lint.report.rules import rule_text

    catalogue = _catalogue()
    if rule not in catalogue.documented:
        typer.echo(f"no rule is called '{rule}'{did_you_mean(rule, catalogue.documented)}", err=True)
        raise typer.Exit(2)
    typer.echo(rule_text(catalogue.documented[rule]))
    raise typer.Exit(1 if catalogue.failures else 0)


@app.command()
def page() -> None:
    """Print all rules in full as one Markdown page."""
    from lint.report.rules import catalogue_page

    typer.echo(catalogue_page(_catalogue()), nl=False)


def _catalogue() -> Catalogue:
    from lint.check.catalogue import load_catalogue

    catalogue = load_catalogue()
    for failure in catalogue.failures:
        typer.echo(f"the rule package '{failure.name}' could not be loaded: {failure.reason}", err=True)
    return catalogue
