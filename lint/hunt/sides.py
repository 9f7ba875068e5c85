"""Stereo: the two sides of an end, of a mix or of a pair of sources, and what they share."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from lint.hunt.causes import SYMPTOMS, WRONG
from lint.hunt.hunt import NO, YES, Answer, Hunt
from lint.hunt.learn import Found, likelihoods
from lint.hunt.part import Part, Point, muted_for
from lint.hunt.path import path_of
from lint.hunt.target import Target, UnknownTargetError, leak_of, target_of, to_socket, way_of_side
from lint.resolve.resolved import ResolvedRig

LEFT, RIGHT, BOTH = "left", "right", "both"
POINT = "other-side"
SWAPPED = ("line of ", "leg to ", "patch ", "feed ", "line to ")  # parts of a side that may be those of the other


class Side(NamedTuple):
    """One side of what is hunted: `left` or `right`, the socket where there are more, and its path."""

    name: str
    target: Target


def sides_of(rig: ResolvedRig, what: str, at: str | None, target: Target) -> list[Side]:
    """Return the sides of what was named, each with its path; none where it has but one, or a socket was named."""
    pair = rig.rig.pairs.get(what)
    if pair is not None and what not in rig.rig.sources:
        rows = [(LEFT, pair.left, pair.right), (RIGHT, pair.right, pair.left)]
        aimed = [leak_of(rig, name, at) if target.leaks and at else target_of(rig, name, at) for _, name, _ in rows]
        return [Side(side, replace(way, mate=mate)) for way, (side, _, mate) in zip(aimed, rows, strict=True)]
    named_by_socket = {str(socket) for socket in target.sockets} & {what, at}
    if len(target.sockets) > 1 and not named_by_socket and target.then is None:
        ways = [to_socket(rig, target, index) for index in range(len(target.sockets))]
        fed = [way for way in ways if way is not None]
        names = [LEFT, RIGHT] if len(target.sockets) == 2 else [str(socket) for socket in target.sockets]
        return [Side(name, way) for name, way in zip(names, fed, strict=False)] if len(fed) == len(names) else []
    mix = rig.rig.mixes.get(what)
    if mix is not None and mix.width == "stereo" and at is None and not target.leaks:
        found = [(side, way_of_side(rig, mix.name, side)) for side in (LEFT, RIGHT)]
        return [Side(side, way) for side, way in found if way is not None] if all(way for _, way in found) else []
    return []


def chosen(sides: Sequence[Side], name: str) -> int:
    """Return which side is called so (the first for both). Raises UnknownTargetError."""
    names = [side.name for side in sides]
    if name == BOTH:
        return 0
    if name not in names:
        raise UnknownTargetError(f"there is no side '{name}' here; say --side {', '.join(names)} or both")
    return names.index(name)


def hunted_side(rig: ResolvedRig, sides: Sequence[Side], name: str | None) -> int:
    """Return which side is hunted: the one of that name; of both the first that is not silent by the rig file alone.

    Raises UnknownTargetError.
    """
    if name != BOTH:
        return chosen(sides, name) if name is not None else 0
    living = (index for index in range(len(sides)) if not _silent(rig, sides[index], sides[index - 1]))
    return next(living, 0)


def silent_beside(rig: ResolvedRig, sides: Sequence[Side], index: int) -> list[str]:
    """Return what by the rig file keeps other sides silent than the one that is hunted, which does not pass it."""
    others = [side for side in sides if side != sides[index]]
    return list(dict.fromkeys(text for side in others for text in _silent(rig, side, sides[index])))


def _silent(rig: ResolvedRig, side: Side, other: Side) -> list[str]:
    """Return what by the rig file keeps a side silent and is not on the path of another one."""
    rest = set(_lacking(rig, other.target))
    return [text for text in _lacking(rig, side.target) if text not in rest]


def _lacking(rig: ResolvedRig, target: Target) -> Iterator[str]:
    """Yield what has no mains, or is dead, on a path by the rig file."""
    for part in path_of(rig, target):
        yield from part.known.values()
    yield from (row.words for row in rig.rig.dead.values() if target.socket in row.sockets)


def parts_of_side(rig: ResolvedRig, sides: Sequence[Side], index: int, heard: bool = False) -> list[Part]:
    """Return the parts of one side's path; behind the first the question whether the next side is right.

    That one clears what they share, or leaves nothing else. Of a side that is silent by the rig file it is not asked,
    unless that was `heard` to be right.
    """
    side = sides[index]
    parts = path_of(rig, side.target)
    following = (*sides[index + 1 :], *sides[:index])
    other = next((each for each in following if heard or not _silent(rig, each, side)), None)
    if other is None:
        return parts
    shared = {(part.name, part.title) for part in path_of(rig, other.target)}
    common = frozenset(part.name for part in parts if (part.name, part.title) in shared)
    if side.target.leaks or not 0 < len(common) < len(parts):
        return parts
    # A hum by two earths is heard on one side alone, or on both; by another order one box is moved, or both.
    unsure = ("earths of ",) if _boxes(side) == _boxes(other) else ("earths of ", "chain ")
    maybe = frozenset(name for name in common if name.startswith(unsure))
    end = other.target.end or other.target.name
    socket = f" ({other.target.output})" if other.target.output is not None else ""
    what = other.target.name if other.target.source is not None else f"the {other.name} side"
    point = Point(
        POINT, f"Is the other side as it should be: {what} at {end}{socket}?", 5, True, behind=common, maybe=maybe
    )
    # Swapped with those of the other side they are wrong on both.
    swapped = frozenset(part.name for part in parts if part.name.startswith(SWAPPED)) - common
    wrong = point._replace(symptoms=frozenset((WRONG,)), maybe=maybe | swapped)
    words = parts[0].words
    asked: tuple[Point, ...] = (point._replace(symptoms=frozenset(SYMPTOMS) - {WRONG}),)
    if side.target.channel is not None and side.target.output == other.target.output:
        words = {**words, "beside": rig.rig.channel_words(side.target.channel)}
        plain, muted = muted_for(point, "beside")
        asked = (plain._replace(symptoms=plain.symptoms - {WRONG}), muted)
    return [replace(parts[0], words=words, points=(*parts[0].points, wrong, *asked)), *parts[1:]]


def _boxes(side: Side) -> list[str | None]:
    """Return the devices by which a side comes in and goes out."""
    return [at.device if at is not None else None for at in (side.target.socket, side.target.output)]


def begun(
    rig: ResolvedRig,
    target: Target,
    sides: Sequence[Side],
    name: str | None,
    about: tuple[str, Iterable[Found]],
    alone: bool = False,
) -> tuple[Target, Hunt]:
    """Return what is hunted and the hunt before its first question, for a symptom and what the house found before.

    `name` is the side, or both: what they share comes first then, unless the rig file says why one of them is silent.
    Where it is not said the first is hunted. `alone` says that the other side was heard and is right.
    """
    symptom, past = about
    if not sides:
        parts = path_of(rig, target)
        return target, Hunt(parts, symptom, likelihoods(parts, symptom, past))
    index = hunted_side(rig, sides, name)
    parts = parts_of_side(rig, sides, index, heard=alone)
    hunt = Hunt(parts, symptom, likelihoods(parts, symptom, past))
    if name == BOTH or alone:
        keys = [key for key, (_, point) in hunt.points.items() if point.name == POINT]
        hunt = replace(hunt, given=tuple(Answer(key, YES if alone else NO) for key in keys))
    return sides[index].target, hunt
