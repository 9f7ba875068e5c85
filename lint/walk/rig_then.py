"""The rig as a record keeps it: its merged data and its models as text, and what has changed since in words."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from lint.read.document import Document
from lint.read.load import house_folder
from lint.read.parse import parse
from lint.read.problem import CannotReadError
from lint.resolve.resolved import ResolvedRig, resolve
from lint.rig.build import build_rig
from lint.rig.model import Models
from lint.walk.signoff import models_text, rig_text


def kept_rig(resolved: ResolvedRig) -> dict[str, str]:
    """Return what the beginning of a walk, and every change under way, keeps of the rig."""
    rig = resolved.rig
    return {"rig_as_walked": rig_text(rig.document.data), "models_as_walked": models_text(rig.devices.values())}


def rig_then(text: str, models: str | None, words: str, now: ResolvedRig) -> ResolvedRig:
    """Return the rig of a record that is called `words`; without models it stands on those of the house as they are.

    Raises CannotReadError where it is no rig any more, such as one of an older rigwalk.
    """
    data, marks = parse(text, words)
    known = Models(house_folder(Path(now.rig.file)), None if models is None else json.loads(models))
    return resolve(build_rig(Document(data, marks, (words,), ()), words, known))


def told_since(before: Mapping[str, Any], now: ResolvedRig) -> list[str]:
    """Return what changed since an entry of a walk, in the words of the trade; older records do not hold their rig."""
    if "rig_as_walked" not in before or kept_rig(now).items() <= before.items():
        return []
    from lint.change.told import tell_changes  # noqa: PLC0415 - slow, and only a change needs it

    try:
        then = rig_then(before["rig_as_walked"], before["models_as_walked"], "the rig as it was walked", now)
    except CannotReadError:
        return []
    return [told.words for told in tell_changes(then, now)]
