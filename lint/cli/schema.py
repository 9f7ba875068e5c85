"""`rigwalk schema`: the JSON Schemas of what people write and of what rigwalk prints as JSON, and the pages on them."""

from __future__ import annotations

from pathlib import Path

import typer

from lint.cli import completing

RIG = "rig"


def schema(
    name: str = typer.Argument(
        RIG, metavar="[NAME]", help="Which schema; --list names them.", autocompletion=completing.schemas
    ),
    listing: bool = typer.Option(False, "--list", help="List the schemas."),
    merged: bool = typer.Option(False, "--merged", help="The schema of a rig after all it extends has been merged in."),
    page: bool = typer.Option(False, "--page", help="The page for people: all that may be written (rig, house-rule)."),
    into: Path | None = typer.Option(None, "--into", metavar="FILE", help="Write to this file.", show_default=False),
    replace: bool = typer.Option(False, "--replace", help="Replace the file if it is there already."),
) -> None:
    """Print a JSON Schema: of rig files (a file made by `rigwalk new` refers to it for editors), or of a JSON report.

    With --page the reference for people, in Markdown, with every key, its meaning and examples.

    Exit status: 0 printed, 2 there is no such schema, or the file is there already.
    """
    import json

    from lint.cli.told import deliver, told
    from lint.read.editor import editor_schema
    from lint.read.nearest import did_you_mean
    from lint.read.schema import PAGES, page_text, schema_names
    from lint.read.schema import schema as whole

    if listing:
        for one in schema_names():
            typer.echo(f"{one:16}  {whole(one)['description'].partition('. ')[0].rstrip('.')}.")
        return
    if name not in schema_names():
        typer.echo(f"schema {name}: there is no such schema{did_you_mean(name, schema_names(), most=20)}", err=True)
        raise typer.Exit(2)
    if page:
        text = page_text(name)
        if text is None:
            typer.echo(f"schema {name}: there is no page on it; there are {', '.join(PAGES)}", err=True)
            raise typer.Exit(2)
    else:
        found = editor_schema() if name == RIG and not merged else whole(name)
        text = json.dumps(found, ensure_ascii=False, indent=1) + "\n"
    with told():
        deliver(text, into, replace)
