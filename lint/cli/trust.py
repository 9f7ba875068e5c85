"""Asking whether a Python rule of a house may run on this machine, and keeping the answer."""

from __future__ import annotations

from pathlib import Path

import typer


def ask(path: Path, digest: str) -> bool:
    """Show what would be trusted, ask, and keep a yes."""
    from lint.page.layout import wrapped

    what = f"{path} is a rule written in Python: a program, which may do on this machine whatever you may."
    asked = "Nobody has said yet that exactly this content may run here. Read it first, or have it read by one who can."
    typer.echo("\n".join([wrapped(what), f"  SHA-256 {digest}", wrapped(asked)]), err=True)
    if not typer.confirm("Let it run from now on, until it is changed?", default=False, err=True):
        typer.echo("It is left out, and the check says so.\n", err=True)
        return False
    return keep(path, digest)


def keep(path: Path, digest: str) -> bool:
    """Keep a digest; say where, or why not."""
    from lint.house.trust import add_trust
    from lint.page.layout import wrapped

    try:
        where = add_trust(digest, path.name)
    except OSError as error:
        typer.echo(f"the digest can't be kept: {error.strerror or error}", err=True)
        return False
    typer.echo(wrapped(f"{path} may run here until it is changed (kept in {where}).") + "\n", err=True)
    return True
