"""A rig with a change in it, taken through the same reading and resolving as any other."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from lint.read.collector import paused_collector
from lint.read.document import Document, Mark, Marks, Step
from lint.read.load import house_folder
from lint.read.merge import extend
from lint.resolve.dark import is_dark
from lint.resolve.mixup import merged, nested
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import build_rig
from lint.rig.model import Models

PLANNED = "planned"  # stands for the file name at what only the change says


class _Nowhere:
    """The mark of what stands in no file: counted from 0 it gives line 0, the file as a whole."""

    __slots__ = ("column", "line")

    def __init__(self) -> None:
        self.line = self.column = -1


_NOWHERE = _Nowhere()


def rebuilt(rig: ResolvedRig, patch: Mapping[str, Any], models: Models | None = None) -> ResolvedRig:
    """Return the resolved rig that a merge patch (RFC 7396) makes of `rig`, with the places of all it leaves alone.

    Raises CannotReadError where the change names what does not exist.
    """
    with paused_collector():
        marks = _marks(dict(patch))
        assert isinstance(marks, Marks)
        old, file = rig.rig.document, rig.rig.file
        document = extend(old, dict(patch), marks)
        # What a patch removes in vain is its own business, not the file's.
        document = Document(document.data, document.marks, old.files, old.idle_removals)
        return resolve_rig(build_rig(document, file, models or Models(house_folder(Path(file)))))


def as_living(rig: ResolvedRig, models: Models | None = None) -> ResolvedRig:
    """Return the rig as it was before what its file says is dead died: what is heard then is what a plan is to save.

    Dark circuits are lit in it too. By that its phantom power is known that may still be on where nobody can switch it
    off.
    """
    dark = [name for name in rig.rig.circuits if is_dark(rig.rig, name)]
    changes = [nested(("power", "circuits", name, "dark"), None) for name in dark]
    changes += [{"dead": None}] if rig.rig.dead else []
    return rebuilt(rig, merged(changes), models) if changes else rig


def _marks(value: Any) -> Mark | Marks:
    """Return positions of the shape of the value, all of them nowhere."""
    members: dict[Step, Any]
    if isinstance(value, dict):
        members = dict(value)
    elif isinstance(value, list):
        members = dict(enumerate(value))
    else:
        return _NOWHERE
    return Marks(PLANNED, _NOWHERE, {key: (_NOWHERE, _marks(member)) for key, member in members.items()})


def change_between(old: Any, new: Any) -> Any:
    """Return the merge patch that makes `new` of `old`: the inverse of a change is the way back from its result."""
    if not isinstance(old, dict) or not isinstance(new, dict):
        return new
    patch = {key: None for key in old if key not in new}
    for key, value in new.items():
        if key not in old:
            patch[key] = value
        elif old[key] != value:
            patch[key] = change_between(old[key], value)
    return patch
