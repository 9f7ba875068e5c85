"""A source is heard only through the effects."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.rig.rig import Channel, Source
from lint.rules._cabling import joined
from lint.rules._heard import channels_within, main_mixes, own_channels, with_channels
from lint.rules._words import listed

_WHY = """\
It is in an effects send and in no mix of its own for the house, a recording or a stream: what comes out is its
reverberation without itself, far away and smeared, and nobody finds the cause at the effects."""

Strip = tuple[str, int]


@rule(
    title="A source is heard only through the effects",
    severity="caution",
    family="mixes",
    why=_WHY,
    do="Put its channel into the house mix as well; where only the effect is wanted, waive this with a reason.",
    good=[
        "mixes: {verb-send: {kind: effects, takes: {channels: [1-3]}}}\n"
        "effects: {plate: {fed_by: verb-send}}\n"
        "channels: {4: {label: Plate, carries: effects/plate, patched_from: effects/plate}}"
    ],
    bad=[
        Bad(
            "mixes: {verb-send: {kind: effects, takes: {channels: [1-3]}}, house: {takes: {channels: [1-2, 4]}}}\n"
            "effects: {plate: {fed_by: verb-send}}\n"
            "channels: {4: {label: Plate, carries: effects/plate, patched_from: effects/plate}}",
            (
                "piano is heard only through the effects: verb-send takes channel 3 (Piano), and no house, record or stream mix does.",
            ),
        )
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding for all sources of the same effects sends; what somebody waived for one stays on its own."""
    sends = _sends(rig)
    if not sends:
        return
    dry = _dry(rig)
    returned = {
        (arrival.effects.console, arrival.effects.effects)
        for key, arrival in rig.arrivals.items()
        if arrival.effects is not None and key in dry
    }
    wet = {name for key, unit in rig.rig.effects.items() if key in returned for name in _feeding(rig, unit.fed_by.name)}
    others = {
        (mix.console, number) for mix in rig.rig.mixes.values() if mix.kind != "effects" for number in own_channels(mix)
    }
    waived = {waiver.about for waiver in rig.rig.waivers if waiver.rule == "only-through-effects"}
    together: dict[tuple[str, ...], list[tuple[Source, list[Channel]]]] = {}
    for name, channels in rig.channels_of.items():
        strips = [(channel.console, channel.number) for channel in channels]
        mixes = tuple(dict.fromkeys(mix for strip in strips for mix in sends.get(strip, ())))
        if not mixes or not dry.isdisjoint(strips):
            continue
        if wet.isdisjoint(mixes) and not others.isdisjoint(strips):
            continue  # a performer hears it, with effects of their own
        alone = (name,) if name in waived else ()
        together.setdefault((*mixes, *alone), []).append((rig.rig.sources[name], channels))
    for rows in together.values():
        yield _finding(rig, rows, sends)


def _sends(rig: ResolvedRig) -> dict[Strip, list[str]]:
    """Return the effects mixes that take each channel."""
    found: dict[Strip, list[str]] = {}
    for mix in rig.rig.mixes.values():
        for number in own_channels(mix) if mix.kind == "effects" else ():
            found.setdefault((mix.console, number), []).append(mix.name)
    return found


def _dry(rig: ResolvedRig) -> set[Strip]:
    """Return the channels that are heard as they are: in a mix for the house, a recording or a stream, or sent directly."""
    dry = {(mix.console, number) for mix in main_mixes(rig) for number in channels_within(rig, mix.name)}
    for feed in rig.rig.feeds.values():
        if feed.signal.kind == "channel":
            console, _, number = feed.signal.name.rpartition("/")
            dry.add((console, int(number)))
    return dry


def _feeding(rig: ResolvedRig, name: str) -> set[str]:
    return set(rig.mixes_within(name)) if name in rig.rig.mixes else set()


def _finding(rig: ResolvedRig, rows: list[tuple[Source, list[Channel]]], sends: dict[Strip, list[str]]) -> Finding:
    names = [source.name for source, _ in rows]
    channels = [c for _, heard_on in rows for c in heard_on if (c.console, c.number) in sends]
    mixes = dict.fromkeys(mix for c in channels for mix in sends[c.console, c.number])
    words = joined(rig.rig.channel_words(channel) for channel in channels)
    verb = "is" if len(names) == 1 else "are"
    takes = "takes" if len(mixes) == 1 else "take"
    return Finding(
        f"{listed(names)} {verb} heard only through the effects: {joined(mixes)} {takes} {words}, and no house, record or "
        "stream mix does.",
        (
            *(rig.place(source.trail, source.name, at_key=True) for source, _ in rows),
            *(rig.place(channel.trail, channel.address, at_key=True) for channel in channels),
        ),
        (_cure(rig, channels, words),),
        {"sources": len(names)},
        explains=frozenset(
            ("pair-half-in-mix", pair.name) for pair in rig.rig.pairs.values() if {pair.left, pair.right} & set(names)
        ),
    )


def _cure(rig: ResolvedRig, channels: list[Channel], words: str) -> Cure:
    consoles = {channel.console for channel in channels}
    houses = [mix for mix in main_mixes(rig) if mix.console in consoles and mix.kind == "house" and mix.sends]
    if len(houses) == 1 and len(consoles) == 1:
        change = with_channels(rig, houses[0], (channel.number for channel in channels))
        return Cure(f"let {houses[0].name} take {words}", change)
    return Cure(f"say under mixes/ which house mix takes {words}")
