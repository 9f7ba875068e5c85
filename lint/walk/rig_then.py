"""The rig as a record keeps it: its merged data and its models as text, and what has changed since in words."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from lint.read.load import house_folder, load_map
from lint.read.problem import CannotReadError
from lint.read.schema import require_valid
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import build_rig
from lint.rig.model import Models, models_as_signed
from lint.walk.signoff import models_text, rig_text


def kept_rig(resolved: ResolvedRig) -> dict[str, str]:
    """Return what the beginning of a walk, and every change under way, keeps of the rig."""
    rig = resolved.rig
    return {"rig_as_walked": rig_text(rig.document.data), "models_as_walked": models_text(rig.devices.values())}


def rig_then(text: str, models: str | None, words: str, now: ResolvedRig) -> ResolvedRig:
    """Return the rig of a record that is called `words`; without models it stands on those of the house as they are.

    Raises CannotReadError where it is no rig any more, such as one of an older rigwalk: whoever can seal a record can
    have written it.
    """
    document = load_map(Path(), words, text)
    require_valid(document, "rig")
    known = Models(house_folder(Path(now.rig.file)), None if models is None else models_as_signed(models, words))
    return resolve_rig(build_rig(document, words, known))


def told_since(before: Mapping[str, Any], now: ResolvedRig) -> list[str]:
    """Return what changed since an entry of a walk, in the words of the trade; older records do not hold their rig."""
    if "rig_as_walked" not in before or kept_rig(now).items() <= before.items():
        return []
    from lint.change.told import tell_changes  # noqa: PLC0415 - slow, and only a change needs it

    try:
        then = rig_then(before["rig_as_walked"], before.get("models_as_walked"), "the rig as it was walked", now)
    except CannotReadError:
        return []
    return [told.words for told in tell_changes(then, now)]
