"""What the rules about mains power share: the words that end every finding, and the change that moves a load."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from lint import ResolvedRig
from lint.formula.limit import told_apart
from lint.read.document import Trail
from lint.resolve.circuits import Hung
from lint.resolve.mixup import merged, nested
from lint.rig.plant import Circuit

ENDING = " Local electrical codes and a licensed electrician decide."
SAFETY = "Mains voltage kills. Local electrical codes and a licensed electrician decide; nobody else opens anything."


def move(rig: ResolvedRig, hung: Iterable[Hung], circuit: Circuit) -> dict[str, Any]:
    """Return the change that hangs things on another circuit."""
    return merged(change for entry in hung for change in _moves(rig, entry, circuit))


def _moves(rig: ResolvedRig, hung: Hung, circuit: Circuit) -> list[dict[str, Any]]:
    if not hung.own:
        return [nested((*hung.load.trail, "circuit"), circuit.name)]
    there: Trail = (*circuit.trail, "loads", hung.load.name)
    return [nested(hung.load.trail, None), nested(there, rig.says(*hung.load.trail))]


def number(value: float) -> str:
    """Write a number shortly, with two digits after the point at most."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def beside(value: float, limit: float) -> str:
    """Write a number shortly, with as many digits as show that it is not its limit."""
    return told_apart(value, limit, 2).rstrip("0").rstrip(".")
