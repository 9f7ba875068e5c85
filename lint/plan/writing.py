"""A planned rig as a new file: the old file's text with the change in it, comments kept, read again to prove it."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from lint.plan.edit import CannotDoError
from lint.read.edit import edited_file
from lint.resolve.resolved import ResolvedRig
from lint.rig.build import load_rig


def write_rig(rig: Path, target: Path, patch: dict[str, Any], wanted: ResolvedRig) -> None:
    """Write the rig file with a merge patch applied as a new file in the same folder, and read it back.

    Raises CannotDoError where it can't be written there, CannotReadError where the change can't be made in the text.
    """
    if target.exists():
        raise CannotDoError(f"{target} is there already, and is left as it is; name another file")
    if os.path.abspath(target.parent) != os.path.abspath(rig.parent):  # noqa: PTH100 - as extends: reads paths
        why = "what it extends, and the models of its house, are found from its folder"
        raise CannotDoError(f"{target} must stand beside {rig}: {why}")
    # A section of which nothing is left says nothing: it is not written as an empty one.
    gone = {key: None for key in patch if wanted.rig.document.data.get(key) == {}}
    text = edited_file(rig, {**patch, **gone})
    try:
        with target.open("x", encoding="utf-8") as file:
            file.write(text)
    except OSError as error:
        raise CannotDoError(f"{target} can't be written: {error.strerror or error}") from None
    if load_rig(target).document.data != {k: v for k, v in wanted.rig.document.data.items() if k not in gone}:
        target.unlink()
        raise CannotDoError(f"{target} would not have read as planned, so it was not kept; change {rig} by hand")
