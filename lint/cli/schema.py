"""`rigwalk schema`: the JSON Schema of rig files, for editors that complete and check while typing."""

from __future__ import annotations

from pathlib import Path

import typer


def schema(
    merged: bool = typer.Option(False, "--merged", help="The schema of a rig after all it extends has been merged in."),
    into: Path | None = typer.Option(None, "--into", metavar="FILE", help="Write to this file.", show_default=False),
    replace: bool = typer.Option(False, "--replace", help="Replace the file if it is there already."),
) -> None:
    """Print the JSON Schema of rig files; a file made by `rigwalk new` refers to it for editors.

    Exit status: 0 printed, 2 the file is there already.
    """
    import json

    from lint.cli.told import deliver, told
    from lint.read.editor import editor_schema
    from lint.read.schema import schema as whole

    with told():
        deliver(
            json.dumps(whole("rig") if merged else editor_schema(), ensure_ascii=False, indent=1) + "\n", into, replace
        )
