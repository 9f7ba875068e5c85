"""The bundled rules: one rule a module; a listing of this folder is the catalogue."""

from __future__ import annotations

from collections.abc import Iterable
from importlib import import_module
from pathlib import Path

from lint.check.catalogue import hookimpl
from lint.check.rule import Rule


@hookimpl
def rigwalk_rules() -> Iterable[Rule]:
    """Return every rule of this folder, in the order of their names."""
    names = sorted(path.stem for path in Path(__file__).parent.glob("*.py") if not path.stem.startswith("_"))
    return [import_module(f"lint.rules.{name}").check for name in names]
