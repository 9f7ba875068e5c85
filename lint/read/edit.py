"""A change of a rig file as people keep it: only what changes is rewritten; comments, order and layout stay.

The change is a merge patch (RFC 7396). The edited text is read again and must hold exactly what the merge of the old
data and the patch holds, and every comment of before: whatever can't be done so is refused, and nothing is written.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from lint.read.document import locate
from lint.read.load import base_of
from lint.read.merge import merge_patch
from lint.read.parse import parse, read_text
from lint.read.problem import CannotReadError, Problem
from lint.read.spans import lay_out
from lint.read.splice import CannotSpliceError, Change, Put, Removed, spliced

_ABSENT: Any = object()


class CannotEditError(CannotReadError):
    """Raised for a change that can't be made in the text as it is written; the text must be edited by hand."""


def edited_file(path: Path, patch: dict[str, Any]) -> str:
    """Return the text of the file at `path` with `patch` applied to the rig that it and all it extends make.

    Only this file's text changes: what it inherits is overridden in it. Raises CannotReadError, CannotEditError.
    """
    shown = str(path)
    text = read_text(path, shown)
    base = base_of(path)
    return edited(text, patch, name=shown, base=base.data if base else None)


def edited(text: str, patch: dict[str, Any], name: str, base: dict[str, Any] | None = None) -> str:
    """Return the YAML text of one file with a merge patch applied.

    `base` is the merged data of what the file extends: with it the patch is meant for the whole, so that an inherited
    entry is taken out by a null in this file. `name` is what messages call the file. Raises CannotReadError for a text
    that can't be read or holds no map, CannotEditError for a change that can't be made.
    """
    old, marks = parse(text, name)
    if not isinstance(old, dict):
        raise CannotEditError([Problem(name, 1, 1, "the file holds no map; expected one such as `rig_format: 1`")])
    try:
        return _edited(text, old, patch, base)
    except _UnlikeError:
        trail = next((trail for trail, part in _parts(patch) if not _can(text, old, part, base)), ())
        _, line, column = locate(marks, trail)
        what = ".".join(map(str, trail)) or "this change"
        message = f"{what} can't be changed here without losing what is around it; change it by hand"
        raise CannotEditError([Problem(name, line, column, message)]) from None


class _UnlikeError(Exception):
    """The edited text does not say what it should."""


def _edited(text: str, old: dict[str, Any], patch: dict[str, Any], base: dict[str, Any] | None) -> str:
    change = _own_change(base or {}, old, patch)
    try:
        new = spliced(text, old, change)
        data, _ = parse(new, "")
    except (CannotSpliceError, CannotReadError):
        raise _UnlikeError from None
    own = {key: value for key, value in old.items() if base is None or key != "extends"}
    wanted = merge_patch(merge_patch(base, own) if base is not None else own, patch)
    got = merge_patch(base, {k: v for k, v in data.items() if k != "extends"}) if base is not None else data
    if not _is_same(wanted, got) or _comments(text) - _comments(new):
        raise _UnlikeError
    return new


def _own_change(base: dict[str, Any], own: dict[str, Any], patch: dict[str, Any]) -> dict[str, Change]:
    """Return what must change in a file that says `own` over `base`, so that the whole changes by `patch`."""
    change: dict[str, Change] = {}
    for key, value in patch.items():
        mine, below = own.get(key, _ABSENT), base.get(key, _ABSENT)
        if value is None:
            if below is not _ABSENT:
                change[key] = Put(None)
            elif mine is not _ABSENT:
                change[key] = Removed()
        elif not isinstance(value, dict):
            change[key] = Put(value)
        elif isinstance(mine, dict):
            change[key] = _own_change(below if isinstance(below, dict) else {}, mine, value)
        elif mine is _ABSENT and isinstance(below, dict):
            change[key] = Put(value)
        else:
            whole = merge_patch(None, value)
            change[key] = Put(_instead_of(below, whole) if isinstance(below, dict) else whole)
    return change


def _instead_of(below: dict[str, Any], whole: dict[str, Any]) -> dict[str, Any]:
    """Return the patch that turns `below` into `whole`."""
    patch: dict[str, Any] = dict.fromkeys(key for key in below if key not in whole)
    for key, value in whole.items():
        under = below.get(key)
        patch[key] = _instead_of(under, value) if isinstance(under, dict) and isinstance(value, dict) else value
    return patch


def _is_same(one: Any, other: Any) -> bool:
    """Whether two values are alike, kinds included: 1 is not true, and 1.0 is not 1."""
    return json.dumps(one, sort_keys=True) == json.dumps(other, sort_keys=True)


def _comments(text: str) -> set[str]:
    return {text[start:end].rstrip() for start, end in lay_out(text).comments}


def _parts(patch: dict[str, Any], above: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], dict[str, Any]]]:
    """Yield every single change of a patch, with its trail, as a patch of its own."""
    for key, value in patch.items():
        trail = (*above, key)
        if isinstance(value, dict) and value:
            yield from _parts(value, trail)
            continue
        part: Any = value
        for step in reversed(trail):
            part = {step: part}
        yield trail, part


def _can(text: str, old: dict[str, Any], part: dict[str, Any], base: dict[str, Any] | None) -> bool:
    try:
        _edited(text, old, part, base)
    except _UnlikeError:
        return False
    return True
