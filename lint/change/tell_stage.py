"""Changes on stage: what is plugged in elsewhere, what is new and what is gone, with the channels concerned."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

from lint.change.compare import Change
from lint.change.pile import Pile
from lint.change.words import said_of
from lint.rig.rig import PHANTOM_KINDS, Channel
from lint.sheet.names import kind_words

PART = "On stage"


def tell(pile: Pile) -> None:
    """Tell sources that came, went, moved or are other ones now."""
    for change in pile.take(lambda change: change.section == "sources" and change.field is None):
        if change.before is None:
            _tell_new(pile, change)
        else:
            _tell_gone(pile, change)
    for change in pile.take(lambda change: (change.section, change.field) == ("sources", "sockets")):
        _tell_moved(pile, change)
    for change in pile.take(lambda change: (change.section, change.field) == ("sources", "kind")):
        powering = pile.take(partial(_is_of_the_kind, change))
        pile.tell(PART, said_of(change.row, change), [change, *powering])
    for change in pile.take(lambda change: change.section == "sources"):
        pile.tell(PART, said_of(change.row, change), [change])


def _is_of_the_kind(kind: Change, change: Change) -> bool:
    """Say whether how a source is powered is just what is usual for the kind that it was, and for the one it is now."""
    if (change.section, change.row, change.field) != ("sources", kind.row, "powering"):
        return False
    usual = {one: "phantom" if one in PHANTOM_KINDS else "none" for one in (kind.before, kind.after)}
    return bool(change.before == usual[kind.before] and change.after == usual[kind.after])


def _sockets(fields: dict[str, Any]) -> str:
    return " and ".join(fields["sockets"])


def _tell_new(pile: Pile, change: Change) -> None:
    fields = change.after
    name = f"{change.row} “{fields['label']}”" if fields["label"] else change.row
    words = f"{name} is new: {kind_words(fields['kind'])} on {_sockets(fields)}"
    taken: list[Change] = []
    follows = []
    for channel in pile.new.carriers_of.get(change.row, ()):
        new = pile.take_field("channels", channel.address, None)
        taken += new
        said = pile.new.rig.channel_words(channel)
        changed = pile.take_field("channels", channel.address, "carries")
        taken += changed
        if new or changed:
            phantom = ", phantom power on" if channel.phantom == "on" else ""
            arrival = pile.new.arrivals[channel.console, channel.number]
            is_right = change.row in arrival.sources
            state = "is new and carries it" if new and is_right else f"is {'new and ' if new else ''}meant to carry it"
            where = f"patched from {channel.patched_from or 'nothing'}{phantom}"
            follows.append(f"{said} {state}{'' if new else ' now'}, {where}")
    pile.tell(PART, words, [change, *taken], follows)


def _tell_gone(pile: Pile, change: Change) -> None:
    fields = change.before
    words = f"{change.row} is gone (it was on {_sockets(fields)})"
    taken: list[Change] = []
    follows = []
    for channel in pile.old.carriers_of.get(change.row, ()):
        gone = pile.take_field("channels", channel.address, None)
        taken += gone
        if gone and gone[0].after is None:
            taken += pile.take_sends_of(channel.address)
            follows.append(f"{pile.old.rig.channel_words(channel)} is gone with it")
    pile.tell(PART, words, [change, *taken], follows)


def _tell_moved(pile: Pile, change: Change) -> None:
    """Tell a plug that moved, and whether its channels were patched anew."""
    words = f"{change.row} moved from {' and '.join(change.before)} to {' and '.join(change.after)}"
    taken: list[Change] = []
    follows: list[str] = []
    for channel in pile.new.carriers_of.get(change.row, ()):
        patched = pile.take_field("channels", channel.address, "patched_from")
        taken += patched
        follows += _channel_of(pile, channel, change.row, bool(patched))
    pile.tell(PART, words, [change, *taken], follows)


def _channel_of(pile: Pile, channel: Channel, source: str, is_patched_anew: bool) -> Iterator[str]:
    """Yield whether a channel goes along with a plug that moved; what it receives instead is told with all effects."""
    key = (channel.console, channel.number)
    was, now = pile.old.arrivals.get(key), pile.new.arrivals[key]
    said = pile.new.rig.channel_words(channel)
    has_it, had_it = source in now.sources, was is not None and source in was.sources
    if has_it and had_it:
        if is_patched_anew:
            yield f"{said} follows, so it is now patched from {channel.patched_from}"
        else:
            yield f"{said} still receives it, as it is patched"
    elif is_patched_anew:
        yield f"{said} is now patched from {channel.patched_from or 'nothing'}"
    elif not has_it:
        yield f"{said} is still patched from {channel.patched_from or 'nothing'}"
