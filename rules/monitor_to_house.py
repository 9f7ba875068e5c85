"""A monitor mix, effects, cue or talkback reaches a house loudspeaker."""

from collections.abc import Iterator

from lint import Bad, Cure, Departure, Finding, ResolvedRig, rule
from lint.resolve.mixup import WrongOutput, nested, output_mixups
from lint.rig.rig import HOUSE_LOUDSPEAKERS, Destination
from lint.rules._output_cures import feed_cures, plug_cures
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
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a private mix and the way it gets to house loudspeakers."""
    heard: dict[tuple[str, ...], list[tuple[Destination, Departure]]] = {}
    for destination, departure, _ in rig.outputs():
        signal = departure.signal
        if destination.kind not in HOUSE_LOUDSPEAKERS or signal is None or signal.kind != "mix":
            continue
        for name, way in rig.mixes_within(signal.name).items():
            last_step = way[-2:]
            if rig.rig.mixes[name].kind in _PRIVATE and not _passes_private(rig, way):
                heard.setdefault(last_step, []).append((destination, departure))
    for way, rows in heard.items():
        yield _direct(rig, way[0], rows) if len(way) == 1 else _taken(rig, way, rows)


def _passes_private(rig: ResolvedRig, way: tuple[str, ...]) -> bool:
    """Whether another private mix stands nearer to the loudspeaker: that one is the cause, and is told."""
    return any(rig.rig.mixes[name].kind in _PRIVATE for name in way[:-1])


def _direct(rig: ResolvedRig, mix: str, rows: list[tuple[Destination, Departure]]) -> Finding:
    what = _PRIVATE[rig.rig.mixes[mix].kind]
    message = f"{mix}, {what}, goes to {_loudspeakers(rows)}."
    names = {(destination.name, departure.socket) for destination, departure in rows}
    groups = [
        group
        for group in output_mixups(rig)
        if any((row.destination.name, row.departure.socket) in names for row in group)
    ]
    cures: list[Cure] = []
    if len(groups) == 1 or all(len(group) == 1 for group in groups):
        every: list[WrongOutput] = [row for group in groups for row in group]
        cures = [*plug_cures(rig, every), *feed_cures(rig, every)] if every else []
    places = [rig.place((*destination.trail, "plugged_into"), destination.name) for destination, _ in rows]
    feeds = [departure.feed for _, departure in rows if departure.feed]
    places += [rig.place(feed.trail, mix) for feed in feeds]
    return Finding(
        message,
        tuple(dict.fromkeys(places)),
        tuple(cures) or (Cure(f"send a house mix there instead of {mix}, or unplug the loudspeaker"),),
        {"loudspeakers": len(rows)},
        explains=explained(rig, [row for group in groups for row in group]),
    )


def _taken(rig: ResolvedRig, way: tuple[str, ...], rows: list[tuple[Destination, Departure]]) -> Finding:
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


def _loudspeakers(rows: list[tuple[Destination, Departure]]) -> str:
    names = ", ".join(f"{destination.name} ({departure.socket})" for destination, departure in rows)
    return f"{'house loudspeakers' if len(rows) > 1 else 'a house loudspeaker'}: {names}"
