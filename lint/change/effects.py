"""What follows from the changes: what each channel receives, what each output carries and whose phantom power stands
otherwise than before. Each such difference is told once, under the one change that is its cause.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import partial
from typing import NamedTuple

from lint.change.cause import Causes, Tests
from lint.change.pile import Pile, Told
from lint.resolve.phantom import BARRED, INDIFFERENT, NEEDED, phantom_need
from lint.resolve.resolved import Arrival, Departure, ResolvedRig
from lint.rig.address import spans
from lint.rig.rig import Channel, Source

NOTHING = "nothing"


class Effect(NamedTuple):
    """One difference between two resolved rigs: in words, and what its cause must have changed, likeliest first.

    `channel`, `now` and `was` are there where it is of a channel, so that many alike are told in a line.
    """

    words: str
    tests: Tests
    channel: Channel | None = None
    now: str = ""
    was: str = ""


def effects_between(old: ResolvedRig, new: ResolvedRig) -> list[Effect]:
    """Return every difference of what arrives, what leaves and what lacks its phantom power."""
    causes = Causes(old, new)
    return [*_channels(causes), *_destinations(causes), *_sources(causes)]


def add_effects(pile: Pile) -> None:
    """Give every effect to its cause among what was told."""
    given: dict[int, list[Effect]] = {}
    for effect in effects_between(pile.old, pile.new):
        given.setdefault(_cause(pile.told, effect.tests), []).append(effect)
    for index, effects in given.items():
        told = pile.told[index]
        pile.told[index] = told._replace(follows=(*told.follows, *_lines(pile.new, told, effects)))


def _cause(told: list[Told], tests: Tests) -> int:
    """Return which of what was told has a change that passes the first of the tests that any passes."""
    for test in tests:
        for index, row in enumerate(told):
            if any(test(change) for change in row.changes):
                return index
    return 0


def _lines(rig: ResolvedRig, told: Told, effects: list[Effect]) -> Iterator[str]:
    """Yield the effects of one cause; channels that fall silent or come back together are told in one line."""
    silent = [row for row in effects if row.channel and row.now == NOTHING]
    back = [row for row in effects if row.channel and row.was == NOTHING and row.now == str(row.channel.carries)]
    for rows, words in (
        (silent, "{}: nothing arrives any more (before: {})"),
        (back, "{} now receive what they are meant to carry (before: nothing): {}"),
    ):
        for console in rig.rig.consoles:
            own = [row for row in rows if row.channel and row.channel.console == console.name]
            if len(own) > 1:
                effects = [row for row in effects if row not in own]
                names = ", ".join(row.was if rows is silent else row.now for row in own)
                yield words.format(_many(rig, [row.channel.number for row in own if row.channel], console.name), names)
    for effect in effects:
        said = rig.rig.channel_words(effect.channel) if effect.channel else ""
        is_of_it = bool(said) and told.words.startswith(said + " ")
        yield f"it{effect.words.removeprefix(said)}" if is_of_it else effect.words


def _many(rig: ResolvedRig, numbers: Iterable[int], console: str) -> str:
    desk = f" on {console}" if len(rig.rig.consoles) > 1 else ""
    return f"channels {spans(sorted(numbers))}{desk}"


def received(arrival: Arrival) -> str:
    """Return what arrives on a channel in words."""
    return str(arrival.effects) if arrival.effects is not None else " and ".join(arrival.sources) or NOTHING


def _channels(causes: Causes) -> Iterator[Effect]:
    old, new = causes.old, causes.new
    for key, arrival in new.arrivals.items():
        channel, before = arrival.channel, old.arrivals.get(key)
        said, now, meant = new.rig.channel_words(channel), received(arrival), str(channel.carries or "")
        is_right = not meant or now == meant or now.partition(".")[0] == meant
        if before is None:
            if not is_right:
                yield Effect(f"{said} receives {now}, but is meant to carry {meant}", causes.of_channel(None, arrival))
            continue
        was = received(before)
        if now == was:
            if not is_right and before.channel.carries != channel.carries:
                words = f"{said} still receives {now}, but is meant to carry {meant}"
                yield Effect(words, causes.of_meaning("channels", channel.address))
            continue
        if is_right or was != meant:
            but = "" if is_right else f", but is meant to carry {meant}"
            words = f"{said} now receives {now} (before: {was}){but}"
        else:
            words = f"{said} now receives {now} instead of {was}"
        yield Effect(words, causes.of_channel(before, arrival), channel, now, was)


def _destinations(causes: Causes) -> Iterator[Effect]:
    old, new = causes.old, causes.new
    for name, departures in new.departures.items():
        expects = new.rig.destinations[name].expects
        before = old.departures.get(name)
        now, was = _carried(departures), _carried(before or ())
        meant = " and ".join(dict.fromkeys(map(str, expects)))
        is_right = not expects or [row.signal for row in departures] == list(expects)
        sockets = " and ".join(str(row.socket) for row in departures)
        if before is None:
            if not is_right:
                yield Effect(
                    f"{name} ({sockets}) gets {now}, but needs {meant}", causes.of_destination((), departures, name)
                )
        elif [row.signal for row in before] != [row.signal for row in departures]:
            but = "" if is_right else f", but needs {meant}"
            words = f"{name} ({sockets}) now gets {now} (before: {was}){but}"
            yield Effect(words, causes.of_destination(before, departures, name))
        elif not is_right and old.rig.destinations[name].expects != expects:
            yield Effect(f"{name} still gets {now}, but needs {meant}", causes.of_meaning("destinations", name))


def _carried(departures: Iterable[Departure]) -> str:
    return " and ".join(dict.fromkeys(str(row.signal or NOTHING) for row in departures))


def _sources(causes: Causes) -> Iterator[Effect]:
    old, new = causes.old, causes.new
    for name, source in new.rig.sources.items():
        before = old.rig.sources.get(name)
        tests = causes.of_source(source)
        if before is None and not new.channels_of.get(name):
            yield Effect(f"no channel takes {name}", tests)
        elif not new.channels_of.get(name) and _channels_gone(old, new, name):
            yield Effect(f"no channel takes {name} any more", tests)
        need = phantom_need(source)
        was, now = (_phantom(old, before) if before else ""), _phantom(new, source)
        if now != was and now not in ("", _RIGHT):
            yield Effect(f"{name} {now}", tests)
        elif now == _RIGHT and was not in ("", _RIGHT):
            yield Effect(f"{name} {_MET[need]}", tests)


_RIGHT = "right"
_MET = {
    NEEDED: "has the phantom power now that it needs",
    BARRED: "is kept from phantom power now, as it must be",
    INDIFFERENT: "needs no phantom power any more",
}


def _channels_gone(old: ResolvedRig, new: ResolvedRig, name: str) -> bool:
    """Say whether all channels that took a source are no more; what others receive instead is told of them."""
    heard = old.channels_of.get(name, ())
    return bool(heard) and not any((row.console, row.number) in new.arrivals for row in heard)


def _phantom(rig: ResolvedRig, source: Source) -> str:
    """Say how phantom power is other than a source needs it, or that it is right; nothing where no channel takes it.

    That it is off is told only where a channel takes the source on purpose: elsewhere the patch must be put right.
    """
    taking = [row for row in rig.arrivals.values() if row.socket and source.name in row.sources]
    meant = [row for row in taking if row.channel.carries in (None, source.name)]
    need = phantom_need(source)
    if need == BARRED and any(map(partial(_is_powered, rig), taking)):
        return "must be kept from phantom power, but it is on there"
    if not meant:
        return ""
    is_off = need == NEEDED and not any(map(partial(_is_powered, rig), meant))
    return "needs phantom power, but it is off there" if is_off else _RIGHT


def _is_powered(rig: ResolvedRig, arrival: Arrival) -> bool:
    return arrival.socket is not None and rig.phantom.is_live(arrival.socket)
