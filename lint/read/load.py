"""A rig file and all that it extends, merged into one document."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from lint.read.document import Document, Marks
from lint.read.merge import extend
from lint.read.parse import parse, read_text
from lint.read.problem import cannot_read, found, shortened
from lint.read.showable import unshowable

HOUSE_FILE = "house.yaml"
MAX_EXTENDS = 20
GONE = "the folder that this is called from is gone; go to one that is there"


def house_folder(path: Path) -> Path | None:
    """Return the folder of the house that a file belongs to: the nearest one above it that holds `house.yaml`."""
    start = _absolute(path).parent
    return next((folder for folder in (start, *start.parents) if (folder / HOUSE_FILE).is_file()), None)


def _absolute(path: Path) -> Path:
    """Return a path from the root; `Path.resolve` would follow links out of the house."""
    try:
        return Path(os.path.abspath(path))  # noqa: PTH100
    except FileNotFoundError:
        raise cannot_read(str(path), GONE) from None


def load_document(path: Path, text: str | None = None) -> Document:
    """Read a file (as if it held `text`, if given) and, first, whatever its `extends:` names, and return them merged.

    Raises CannotReadError for a file that can't be read, a ring of `extends:`, or one that leads out of the house.
    """
    return _load(path, str(path), _root(path), (), text)


def base_of(path: Path) -> Document | None:
    """Return what a file extends, merged, or None for a file that extends nothing. Raises as `load_document` does."""
    shown = str(path)
    data, marks = _parse_map(path, shown)
    return _base(path, shown, _root(path), (), data, marks)


def _root(path: Path) -> Path:
    return house_folder(path) or _absolute(path).parent.parent


def load_map(path: Path, shown: str = "", text: str | None = None) -> Document:
    """Read one file that extends nothing and must hold a map: a model, a checklist, a house rule; `text` if read."""
    shown = shown or str(path)
    data, marks = _parse_map(path, shown, text)
    return Document(data, marks, (shown,), ())


def _parse_map(path: Path, shown: str, text: str | None = None) -> tuple[dict[str, Any], Marks]:
    data, marks = parse(read_text(path, shown) if text is None else text, shown)
    if not isinstance(data, dict):
        raise cannot_read(
            shown, "the file holds a list or a single value; expected a map such as `rig_format: 1`", 1, 1
        )
    return data, marks


def _load(path: Path, shown: str, root: Path, above: tuple[Path, ...], text: str | None = None) -> Document:
    data, marks = _parse_map(path, shown, text)
    base = _base(path, shown, root, above, data, marks)
    return extend(base, data, marks) if base else Document(data, marks, (shown,), ())


def _base(
    path: Path, shown: str, root: Path, above: tuple[Path, ...], data: dict[str, Any], marks: Marks
) -> Document | None:
    """Take `extends:` out of a file's data and return what it names, merged."""
    if "extends" not in data:
        return None
    _, value_mark = marks.members.pop("extends")
    wanted = data.pop("extends")
    at = value_mark.start if isinstance(value_mark, Marks) else value_mark
    here = (at.line + 1, at.column + 1)
    if not isinstance(wanted, str) or not wanted:
        message = f"extends: {found(wanted)}, expected the path of a file, such as ../house.yaml"
        raise cannot_read(shown, message, *here)
    if Path(wanted).is_absolute() or "\0" in wanted:
        raise cannot_read(shown, "extends: expected a path relative to this file, such as ../house.yaml", *here)
    base_path = Path(os.path.abspath(path.parent / wanted))  # noqa: PTH100
    seen = (*above, _absolute(path))
    if base_path in seen:
        ring = " extends ".join(step.name for step in (*seen[seen.index(base_path) :], base_path))
        raise cannot_read(shown, f"extends: goes round in a ring: {ring}", *here)
    if len(seen) > MAX_EXTENDS:
        raise cannot_read(shown, f"extends: more than {MAX_EXTENDS} files deep", *here)
    if _is_outside(base_path, path.parent, root):
        raise cannot_read(shown, f"extends: {shortened(wanted)} lies outside the house folder {root.name}/", *here)
    if not _is_file(base_path):
        raise cannot_read(shown, f"extends: {_no_file(base_path, wanted, seen)}", *here)
    base_shown = os.path.normpath(os.path.join(os.path.dirname(shown), wanted))  # noqa: PTH118, PTH120
    return _load(base_path, base_shown, root, seen)


def _is_outside(path: Path, beside: Path, root: Path) -> bool:
    """Whether a path leaves the house, by its steps or by a link; a folder of rigs may itself be linked in."""
    real = Path(os.path.realpath(path))
    inside = any(real.is_relative_to(os.path.realpath(folder)) for folder in (root, beside))
    return not (inside and path.is_relative_to(root))


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except OSError:  # such as a name longer than a file can have
        return False


def _no_file(path: Path, wanted: str, seen: tuple[Path, ...]) -> str:
    """Say that there is no such file, and which one beside it may be meant."""
    from lint.read.nearest import did_you_mean  # noqa: PLC0415

    try:
        if path.is_dir():
            return f"{shortened(wanted)} is a folder, expected a file, such as ../house.yaml"
        names = [
            entry.name
            for entry in path.parent.glob("*.y*ml")
            if entry.is_file() and entry not in seen and not unshowable(entry.name)
        ]
    except OSError:
        names = []
    return f"there is no file {shortened(wanted)}{did_you_mean(path.name, names)}"
