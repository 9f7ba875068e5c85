"""The schema that an editor completes and checks by, beside the house: a way that holds on every machine."""

from __future__ import annotations

import json
import os
from pathlib import Path

from lint.page.write import CannotWriteError, write_whole
from lint.read.editor import editor_schema
from lint.read.load import house_folder
from lint.read.schema import schema_text


def schema_place(target: Path, name: str) -> Path:
    """Return where the schema for a target stands: beside the house file, or the target where there is none."""
    return (house_folder(target) or target.parent) / f"{name}.schema.json"


def schema_beside(target: Path, name: str) -> str:
    """Put a schema beside the house file (or the target), if it is not there; return the way to it from the target.

    The way is empty where it can't be written: the target is worth more than its helper.
    """
    place = schema_place(target, name)
    try:
        if not place.exists():
            text = (
                json.dumps(editor_schema(), ensure_ascii=False, indent=1) + "\n" if name == "rig" else schema_text(name)
            )
            write_whole(place, text)
    except CannotWriteError:
        return ""
    return Path(os.path.relpath(place, target.parent)).as_posix()
