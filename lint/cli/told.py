"""What commands that write files share: bad input told in a sentence, and a file that is whole or not there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

import typer


@contextmanager
def told() -> Iterator[None]:
    """Tell what keeps a command from its work in a sentence, and leave with exit status 2."""
    from lint.page.write import CannotWriteError
    from lint.read.problem import CannotReadError

    try:
        yield
    except CannotReadError as error:
        typer.echo("\n".join(map(str, error.problems)), err=True)
        raise typer.Exit(2) from None
    except CannotWriteError as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(2) from None


def deliver(text: str, into: Path | None, replace: bool, read: Iterable[str | Path] = ()) -> None:
    """Print a text, or write it to a file and say so; never over a file that it was made from (`read`).

    Raises CannotWriteError.
    """
    if into is None:
        typer.echo(text, nl=False)
        return
    from lint.page.write import CannotWriteError, write_whole

    if into.exists() and any(Path(one).exists() and into.samefile(one) for one in read):
        raise CannotWriteError(f"{into} is what this is made from, and is left as it is; name another file")
    write_whole(into, text, replace)
    typer.echo(f"Written: {into}")
