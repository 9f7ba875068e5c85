"""Whose own is borrowed for a test: that of the least important source that fits, and never what the test may harm."""

from __future__ import annotations

from lint.hunt.instead import apart
from lint.resolve.phantom import BARRED, NEEDED, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.rig import LINE_KINDS, Source

NONE_TO_SPARE = "none to spare in this rig; s if the house has none"


def lender(rig: ResolvedRig, like: Source, kind: str | None = None) -> Source | None:
    """Return the source whose own is named to be put in the place of one, of a `kind` (its own where not said).

    It is the least important, and among equals the nearest by its socket. Before all others come those that silence
    nobody else: they go through no split, and nothing else that needs phantom power hangs on their switch, unless
    `like` does too.
    """
    rows = [row for row in rig.rig.sources.values() if row.kind == (kind or like.kind) and _may_lend(rig, row, like)]
    rows = [row for row in rows if _is_calm(rig, row, like)] or rows
    return min(rows, key=lambda row: (-row.priority, apart(row, like)), default=None)


def tester(rig: ResolvedRig, source: Source) -> Source | None:
    """Return the source whose own is named to be plugged in for a test; a player is whatever the house has."""
    if source.kind in LINE_KINDS:
        return None
    return lender(rig, source, None if source.kind == "wireless-receiver" else "dynamic-microphone")


def borrowed(other: Source | None) -> str:
    """Say whose own is taken for a test."""
    return f"such as {other.name}" if other is not None else NONE_TO_SPARE


def left_without(other: Source | None) -> str:
    """Say who goes without what was put in the place of a source, if it was the one that was named."""
    if other is None:
        return ""
    return f"; was it that of {other.name}, then {other.name} has none until another is found"


def source_kinds(source: Source, other: Source | None) -> tuple[tuple[str, ...], str]:
    """Return the kinds of a source as a part of a path, and what may be put in its place for a test."""
    powered = ("barred-source",) if phantom_need(source) == BARRED else ()
    if source.kind == "wireless-receiver":
        return ("source", "radio", "mains-source", *powered), f"another receiver that works ({borrowed(other)})"
    works = f"a dynamic microphone that works ({borrowed(other)})"
    if source.kind in LINE_KINDS:
        return ("source", "player", "mains-source", *powered), "a player that works, turned down"
    if source.kind.endswith("-di"):
        return ("source", "di", "mains-source", *powered), works
    return ("source", "microphone", *powered), works


def _may_lend(rig: ResolvedRig, row: Source, like: Source) -> bool:
    """Whether a source can do without its own for a test, and that bears what it meets in the other's place."""
    most = min(source.priority for source in rig.rig.sources.values())
    if row.name == like.name or (row.priority == most < like.priority):
        return False  # nobody lends what the day hangs on to try something lesser
    needs, theirs = phantom_need(row), phantom_need(like)
    if needs == NEEDED:
        return theirs == NEEDED
    return needs != BARRED or (theirs != NEEDED and not any(map(rig.phantom.is_live, like.sockets)))


def _is_calm(rig: ResolvedRig, row: Source, like: Source) -> bool:
    if len(row.sockets) != 1 or not rig.has_socket(row.sockets[0]):
        return False
    at = rig.phantom.sockets_on(rig.phantom.switch_at(row.sockets[0]))
    others = set(rig.phantom.needed_at(row.sockets[0])) - {row.name, like.name}
    return not others or any(socket in at for socket in like.sockets)
