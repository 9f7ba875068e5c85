"""A monitor mix, effects, cue or talkback reaches a house loudspeaker."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from lint import Bad, Cure, Departure, Finding, ResolvedRig, Signal, rule
from lint.read.document import Trail
from lint.resolve.amplifiers import amplifier_inputs, drives_house
from lint.resolve.mixup import WrongOutput, nested, output_mixups
from lint.rig.rig import HOUSE_LOUDSPEAKERS
from lint.rules._cabling import joined
from lint.rules._output_cures import feed_cures, hearers, plug_cures
from lint.rules._outputs import explained

_PRIVATE = {"monitor": "a monitor mix", "effects": "an effects send", "cue": "the cue mix", "talkback": "talkback"}
_WHY = """\
What is meant for a performer's ear or the crew's would come out over the whole room: loud, unbalanced, with the count-in
and the talkback in it. It is the fault that everybody hears."""


@rule(
    title="A monitor mix, effects send, cue or talkback reaches a house loudspeaker",
    severity="no-go",
    family="outputs",
    why=_WHY,
    do="Send the house mix to the house loudspeakers, and take the private mix out of whatever feeds them.",
    safety="Pull the amplifiers or powered loudspeakers down before re-patching: a wrong mix can be far too loud for the ears near it.",
    good=["mixes: {talk: {kind: talkback}, singer-mon: {takes: {mixes: [talk]}}}"],
    bad=[
        Bad(
            "feeds: {desk/link-1: {15-16: singer-mon}}",
            (
                "singer-mon, a monitor mix, goes to house loudspeakers: house-left (east-box/out/7), house-right (east-box/out/8).",
            ),
        ),
        Bad(
            "mixes: {talk: {kind: talkback}, house: {takes: {mixes: [talk]}}}",
            (
                "talk, talkback, is heard in house and so on house loudspeakers: house-left (east-box/out/7), "
                "house-right (east-box/out/8).",
            ),
        ),
        Bad(
            "feeds: {desk/out: {1: singer-mon}}\n"
            "amplifiers: {foyer: {plugged_into: desk/out/1, outputs: {line: {line_v: 100, loudspeakers: [{tap_w: 10}]}}}}",
            ("singer-mon, a monitor mix, goes to a house loudspeaker: the amplifier foyer (desk/out/1).",),
        ),
        Bad(
            "mixes: {balcony: {kind: monitor, takes: {channels: [1]}}}\n"
            "feeds: {desk/link-1: {14: balcony}}\n"
            "destinations: {balcony: {kind: fill-loudspeaker, plugged_into: east-box/out/6, expects: balcony}}",
            (
                "balcony, a monitor mix, goes to a house loudspeaker: balcony (east-box/out/6), and to nothing else: its "
                "kind may be wrong.",
            ),
        ),
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a private mix and the way it gets to house loudspeakers."""
    heard: dict[tuple[str, ...], list[_Loud]] = {}
    for row in _loud(rig):
        signal = row.departure.signal
        if signal is None or signal.kind != "mix":
            continue
        for name, way in rig.mixes_within(signal.name).items():
            last_step = way[-2:]
            if rig.rig.mixes[name].kind in _PRIVATE and not _passes_private(rig, way):
                heard.setdefault(last_step, []).append(row)
    for way, rows in heard.items():
        yield _direct(rig, way[0], rows) if len(way) == 1 else _taken(rig, way, rows)


class _Loud(NamedTuple):
    """What sounds over the room: its name, also in words, where the file says it, what it gets and what it expects."""

    name: str
    words: str
    trail: Trail
    departure: Departure
    wanted: Signal | None


def _passes_private(rig: ResolvedRig, way: tuple[str, ...]) -> bool:
    """Whether another private mix stands nearer to the loudspeaker: that one is the cause, and is told."""
    return any(rig.rig.mixes[name].kind in _PRIVATE for name in way[:-1])


def _loud(rig: ResolvedRig) -> Iterator[_Loud]:
    """Yield what the house's loudspeakers hang on.

    Left out are amplifiers whose loudspeakers stand at the same socket, and those that expect another mix: they say so.
    """
    for destination, departure, wanted in rig.outputs():
        if destination.kind in HOUSE_LOUDSPEAKERS:
            yield _Loud(destination.name, destination.name, destination.trail, departure, wanted)
    for row in amplifier_inputs(rig):
        named = any(entry.kind in HOUSE_LOUDSPEAKERS for entry in row.driven)
        if drives_house(row) and not named and row.wanted in (None, row.departure.signal):
            name = row.amplifier.name
            yield _Loud(name, f"the amplifier {name}", row.amplifier.trail, row.departure, row.wanted)


def _direct(rig: ResolvedRig, mix: str, rows: list[_Loud]) -> Finding:
    message = f"{mix}, {_PRIVATE[rig.rig.mixes[mix].kind]}, goes to {_loudspeakers(rows)}."
    names = {(row.name, row.departure.socket) for row in rows}
    groups = [
        group
        for group in output_mixups(rig)
        if any((row.destination.name, row.departure.socket) in names for row in group)
    ]
    cures: list[Cure] = []
    if len(groups) == 1 or all(len(group) == 1 for group in groups):
        every: list[WrongOutput] = [row for group in groups for row in group]
        cures = [*plug_cures(rig, every), *feed_cures(rig, every)] if every else []
    if _may_be_called_wrongly(rig, mix, rows):
        message = f"{message[:-1]}, and to nothing else: its kind may be wrong."
        cures.append(
            Cure(
                f"if {mix} is a house mix, say so: `kind: house`", nested((*rig.rig.mixes[mix].trail, "kind"), "house")
            )
        )
    places = [rig.place((*row.trail, "plugged_into"), row.name) for row in rows]
    feeds = [row.departure.feed for row in rows if row.departure.feed]
    places += [rig.place(feed.trail, mix) for feed in feeds]
    explains = explained(rig, [row for group in groups for row in group])
    sockets = {row.departure.socket for row in rows}
    explains |= {("output-shared", str(socket)) for socket in sockets}
    explains |= {
        ("amplifier-input-wrong", row.amplifier.name)
        for row in amplifier_inputs(rig)
        if row.departure.socket in sockets
    }
    return Finding(
        message,
        tuple(dict.fromkeys(places)),
        tuple(cures) or (_otherwise(rig, mix, rows),),
        {"loudspeakers": len(rows)},
        explains=explains,
    )


def _otherwise(rig: ResolvedRig, mix: str, rows: list[_Loud]) -> Cure:
    """Send another mix where these alone hear it; where it is right for somebody else, only the plugs can go."""
    points = {rig.sent_at(row.departure) for row in rows}
    loud = {row.name for row in rows} | {row.words for row in rows}
    also = dict.fromkeys(
        name
        for name, departure, wanted in hearers(rig)
        if name not in loud and rig.sent_at(departure) in points and wanted in (None, departure.signal)
    )
    if not also:
        return Cure(f"send a house mix there instead of {mix}, or unplug the loudspeaker")
    hear = "hears" if len(also) == 1 else "hear"
    return Cure(
        f"unplug the loudspeaker, or plug it in where a house mix is sent: {joined(also)} {hear} {mix} there too"
    )


def _may_be_called_wrongly(rig: ResolvedRig, mix: str, rows: list[_Loud]) -> bool:
    """Whether every loudspeaker here waits for this mix, and nothing else hears it: then its kind is the slip."""
    heard = {departure for _, departure, _ in rig.outputs() if departure.signal and departure.signal.name == mix}
    alone = mix not in rig.taken_by and not any(unit.fed_by.name == mix for unit in rig.rig.effects.values())
    return (
        alone and all(row.wanted == row.departure.signal for row in rows) and heard <= {row.departure for row in rows}
    )


def _taken(rig: ResolvedRig, way: tuple[str, ...], rows: list[_Loud]) -> Finding:
    taker, taken = way
    mix = rig.rig.mixes[taker]
    message = f"{taken}, {_PRIVATE[rig.rig.mixes[taken].kind]}, is heard in {taker} and so on {_loudspeakers(rows)}."
    trail = (*mix.trail, "takes", "mixes")
    rest = [text for text, signal in zip(rig.says(*trail), mix.takes, strict=True) if signal.name != taken]
    change = nested(trail, rest)
    return Finding(
        message,
        (rig.place((*mix.trail, "takes", "mixes"), taker),),
        (Cure(f"take {taken} out of what {taker} takes", change),),
        {"loudspeakers": len(rows)},
    )


def _loudspeakers(rows: list[_Loud]) -> str:
    names = ", ".join(f"{row.words} ({row.departure.socket})" for row in rows)
    return f"{'house loudspeakers' if len(rows) > 1 else 'a house loudspeaker'}: {names}"
