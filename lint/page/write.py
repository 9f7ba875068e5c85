"""Files written whole or not at all, and never over another unasked."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

# What a page may be called to be replaced by another: rigs, house rules and the records of walks never are.
PAGES = frozenset(("", ".html", ".htm", ".md", ".markdown", ".txt", ".csv", ".svg", ".json"))


class CannotWriteError(Exception):
    """Raised where a file can't be written, or is there already: one sentence."""


def write_whole(path: Path, text: str, replace: bool = False) -> None:
    """Write a text file (UTF-8, line ends as they are in the text) so that it is whole or as it was before.

    Raises CannotWriteError, also where the file is there already and `replace` does not say to replace it, or it is
    none of PAGES.
    """
    if path.exists() and not replace:
        also = ", or say --replace" if _is_page(path) else ""
        raise CannotWriteError(f"{path} is there already, and is left as it is; name another file{also}")
    if path.exists() and not _is_page(path):
        message = (
            f"{path} is no page that --replace replaces, and is left as it is; name another file, such as page.html"
        )
        raise CannotWriteError(message)
    scratch = ""
    try:
        handle, scratch = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:50]}-", suffix=".part")
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        Path(scratch).chmod(0o666 & ~_umask())
        if replace or not _linked(scratch, path):
            Path(scratch).replace(path)
    except FileExistsError:
        raise CannotWriteError(f"{path} is there already, and is left as it is") from None
    except OSError as error:
        raise CannotWriteError(f"{path} can't be written: {error.strerror or error}") from None
    finally:
        if scratch:
            Path(scratch).unlink(missing_ok=True)


def _is_page(path: Path) -> bool:
    return {path.suffix.casefold(), path.resolve().suffix.casefold()} <= PAGES


def _linked(scratch: str, path: Path) -> bool:
    """Give the file its name, which unlike a rename fails where somebody was quicker.

    Memory sticks and some network drives know no links: there it returns False, and a rename must do.
    """
    try:
        os.link(scratch, path)
    except FileExistsError:
        raise
    except OSError:
        if path.exists():
            raise FileExistsError from None
        return False
    return True


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
