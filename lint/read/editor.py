"""The schema of rig files as they are written, for editors: a file that extends another may say a part of a row."""

from __future__ import annotations

import copy
from typing import Any

from lint.read.schema import schema

_EXTENDS = {
    "type": "string",
    "description": "The file that this one extends, as a path from here; this one says only what is different.",
}


def editor_schema() -> dict[str, Any]:
    """Return the rig schema for single files: nothing is required, null takes an entry out, `extends` may stand."""
    whole = copy.deepcopy(schema("rig"))
    _loosen(whole)
    whole["properties"]["extends"] = _EXTENDS
    whole["required"] = ["rig_format"]
    whole["$id"] = "https://rigwalk.example/schemas/rig-file.schema.json"
    whole["title"] = "rigwalk rig file, as written"
    whole["description"] = "One rig or house file, before it is merged with what it extends."
    return whole


def _loosen(part: Any) -> None:
    """Make every key optional and every value in a map removable, all the way down."""
    if isinstance(part, list):
        for entry in part:
            _loosen(entry)
    elif isinstance(part, dict):
        if isinstance(part.get("required"), list):
            del part["required"]
        for key in ("properties", "patternProperties"):
            if isinstance(part.get(key), dict):
                part[key] = {name: _removable(entry) for name, entry in part[key].items()}
        for key, entry in part.items():
            if key not in ("enum", "const"):
                _loosen(entry)


def _removable(entry: Any) -> Any:
    described = {"description": entry["description"]} if isinstance(entry, dict) and "description" in entry else {}
    return {**described, "anyOf": [entry, {"type": "null"}]}
