"""JSON Merge Patch (RFC 7396), carrying the positions along, so that each value keeps the file that says it."""

from __future__ import annotations

from typing import Any

from lint.read.document import Document, Marks, in_file
from lint.read.nearest import did_you_mean
from lint.read.problem import Problem


def merge_patch(target: Any, patch: Any) -> Any:
    """Return `target` with `patch` applied by RFC 7396, section 2: maps merge, null removes, the rest replaces.

    Neither argument is changed.
    """
    if not isinstance(patch, dict):
        return patch
    merged = dict(target) if isinstance(target, dict) else {}
    for key, value in patch.items():
        if value is None:
            merged.pop(key, None)
        else:
            merged[key] = merge_patch(merged.get(key), value)
    return merged


def extend(base: Document, patch: dict[str, Any], marks: Marks) -> Document:
    """Return the document that `patch` makes of `base`; a null that removes nothing is kept as an idle removal."""
    idle: list[Problem] = list(base.idle_removals)
    data, merged = _merge(base.data, base.marks, patch, marks, idle)
    replaced = dict(base.replaced)
    for key, value in patch.items():
        before = base.data.get(key)
        if isinstance(value, list) and isinstance(before, list):
            replaced[key] = [row for row in (*replaced.get(key, ()), *before) if row not in value]
    return Document(data, merged, (*base.files, marks.file), tuple(idle), replaced)


def _merge(
    target: Any, target_marks: Any, patch: dict[str, Any], patch_marks: Marks, idle: list[Problem]
) -> tuple[dict[str, Any], Marks]:
    data: dict[str, Any] = {}
    members: dict[Any, Any] = {}
    if isinstance(target, dict):
        data.update(target)
        members.update((key, in_file(entry, target_marks.file)) for key, entry in target_marks.members.items())
    for key, value in patch.items():
        key_mark, value_marks = patch_marks.members[key]
        if value is None:
            if key not in data:
                message = f"null removes '{key}', but there is no such entry in what this extends"
                message += did_you_mean(key, data, most=0)
                idle.append(Problem(patch_marks.file, key_mark.line + 1, key_mark.column + 1, message))
            data.pop(key, None)
            members.pop(key, None)
        elif isinstance(value, dict):
            below = members[key][1] if key in members else None
            assert isinstance(value_marks, Marks)  # the marks have the shape of the data
            data[key], merged = _merge(data.get(key), below, value, value_marks, idle)
            members[key] = in_file((key_mark, merged), patch_marks.file)
        else:
            data[key] = value
            members[key] = in_file((key_mark, value_marks), patch_marks.file)
    return data, Marks(patch_marks.file, patch_marks.start, members)
