"""`rigwalk rules`: the catalogue, and one rule explained."""

from __future__ import annotations

import typer


def rules(
    rule: str = typer.Argument("", help="The rule to explain in full.", show_default=False),
) -> None:
    """List the rules, or explain one: why it matters, what to do, its limits and examples."""
    from lint.check.catalogue import load_catalogue
    from lint.read.nearest import did_you_mean
    from lint.report.rules import catalogue_text, rule_text

    catalogue = load_catalogue()
    for failure in catalogue.failures:
        typer.echo(f"the rule package '{failure.name}' could not be loaded: {failure.reason}", err=True)
    if not rule:
        typer.echo(catalogue_text(catalogue))
    elif rule in catalogue.rules:
        typer.echo(rule_text(catalogue.rules[rule]))
    else:
        typer.echo(f"no rule is called '{rule}'{did_you_mean(rule, catalogue.rules)}", err=True)
        raise typer.Exit(2)
    raise typer.Exit(1 if catalogue.failures else 0)
