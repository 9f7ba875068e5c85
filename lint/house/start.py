"""A new rule file: one that works, with a good and a bad example, to be changed into one's own."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from lint.house.load import FOLDER

_STARTERS = files("lint.house") / "starters"


def new_rule(house: Path, name: str, python: bool, schema: str) -> Path:
    """Write a new rule of that name into a house and return its file; `schema` is the way from there to its schema.

    Raises FileExistsError where there is one already, and OSError where it can't be written.
    """
    path = house / FOLDER / (f"{name.replace('-', '_')}.py" if python else f"{name}.yaml")
    text = (_STARTERS / ("rule.py" if python else "rule.yaml")).read_text(encoding="utf-8")
    text = text.replace("NAME", name).replace("SCHEMA", schema or "house-rule.schema.json")
    text = text.replace("TITLE", name.replace("-", " ").capitalize())
    path.parent.mkdir(exist_ok=True)
    with path.open("x", encoding="utf-8") as stream:
        stream.write(text)
    return path
