"""A mix takes a channel in two ways."""

from collections.abc import Iterator, Mapping

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.rig.rig import Mix
from lint.rules._cabling import joined
from lint.rules._heard import MAIN_KINDS, main_mixes, own_channels
from lint.rules._loops import without_channels
from lint.rules._words import listed

_WHY = """\
A channel that is in a mix directly and again through a mix that it takes is up to 6 dB louder there than it was mixed,
follows two faders, and sounds hollow where the two ways are not equally long."""


@rule(
    title="A mix takes a channel in two ways",
    severity="caution",
    family="mixes",
    why=_WHY,
    do="Leave one of the two ways; where it is meant (two ways with different processing), waive this with a reason.",
    source="common practice; two equal signals add up to 6 dB more (textbook)",
    good=[
        "mixes: {record: {kind: record, width: stereo, takes: {channels: [3], mixes: [house.left, house.right]}}, house: {takes: {channels: [1-2]}}}\n"
        "feeds: {desk/out: {1-2: record}}\n"
        "destinations: {recorder: {kind: recorder, plugged_into: desk/out/1-2, expects: record}}",
        "mixes: {singer-mon: {takes: {mixes: [house.mono]}}}",
    ],
    bad=[
        Bad(
            "mixes: {record: {kind: record, width: stereo, takes: {channels: [3], mixes: [house.left, house.right]}}}\n"
            "feeds: {desk/out: {1-2: record}}\n"
            "destinations: {recorder: {kind: recorder, plugged_into: desk/out/1-2, expects: record}}",
            ("record takes channel 3 (Piano) directly and again through house.",),
        ),
        Bad(
            "mixes: {words: {kind: record, takes: {channels: [1]}}, all: {kind: record, takes: {mixes: [words, house.mono]}}}\n"
            "feeds: {desk/out: {1: all}}\n"
            "destinations: {recorder: {kind: recorder, plugged_into: desk/out/1, expects: all}}",
            ("all takes channel 1 (Lead vox) through words and again through house.",),
        ),
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a mix for the house, a recording or a stream; a performer may want more of one thing.

    What is in a signal loop is told as that.
    """
    looped = {node.name for group in rig.loops for node in group if node.kind == "mix"}
    for mix in main_mixes(rig):
        if not looped.isdisjoint(rig.mixes_within(mix.name)):
            continue
        by_way: dict[tuple[str, ...], list[int]] = {}
        for number, taken in sorted(_ways(rig, mix).items()):
            if len(taken) > 1:
                by_way.setdefault(tuple(taken), []).append(number)
        if by_way:
            yield _finding(rig, mix, by_way)


def _ways(rig: ResolvedRig, mix: Mix) -> dict[int, list[str]]:
    """Return how each channel gets into a mix: by itself (empty), or by which of the mixes it takes."""
    ways = {number: [""] for number in own_channels(mix)}
    for name in _taken(rig, mix):
        for number in _channels(rig, name):
            ways.setdefault(number, []).append(name)
    return ways


def _taken(rig: ResolvedRig, mix: Mix) -> list[str]:
    """Return the mixes that a mix takes; what is meant for performers and crew does not belong there, and is told so."""
    names = dict.fromkeys(signal.name for signal in mix.takes if signal.kind == "mix")
    return [name for name in names if rig.rig.mixes[name].kind in MAIN_KINDS]


def _channels(rig: ResolvedRig, name: str) -> set[int]:
    found: set[int] = set()
    seen, queue = {name}, [name]
    while queue:
        mix = rig.rig.mixes[queue.pop()]
        found |= own_channels(mix)
        fresh = set(_taken(rig, mix)) - seen
        seen |= fresh
        queue += fresh
    return found


def _finding(rig: ResolvedRig, mix: Mix, by_way: Mapping[tuple[str, ...], list[int]]) -> Finding:
    parts = []
    for way, numbers in by_way.items():
        words = listed(rig.rig.channel_words(rig.rig.channels[mix.console, number]) for number in numbers)
        first = f"through {way[0]}" if way[0] else "directly"
        parts.append(f"{words} {first} and again through {joined(way[1:])}")
    twice = {number for numbers in by_way.values() for number in numbers}
    direct = twice & own_channels(mix)
    cure = Cure(
        f"take one of {joined(dict.fromkeys(name for way in by_way for name in way))} out of what {mix.name} takes"
    )
    if direct == twice and direct <= mix.sends.keys():
        words = listed(rig.rig.channel_words(rig.rig.channels[mix.console, number]) for number in sorted(direct))
        cure = Cure(f"take {words} out of what {mix.name} takes itself", without_channels(rig, mix, direct))
    return Finding(
        f"{mix.name} takes {'; '.join(parts)}.",
        (rig.place((*mix.trail, "takes"), mix.name),),
        (cure,),
        {"channels": len(twice)},
    )
