"""Sources behind a split of which one end is on boxes that nothing reaches."""

from collections.abc import Collection, Iterator

from lint import ResolvedRig
from lint.resolve.dark import dark_on_the_way
from lint.rig.rig import Source
from lint.rules._words import listed


def halves_of(rig: ResolvedRig, devices: Collection[str]) -> list[Source]:
    """Return the sources behind a splitter of which one end is on these boxes and another is not."""
    return [
        source
        for source in rig.rig.sources.values()
        if len({socket.device in devices for socket in source.sockets}) == 2
    ]


def halves_words(rig: ResolvedRig, halves: list[Source], devices: Collection[str]) -> str:
    """Say which of them is still heard, and which is silent at the other end too: lost, without mains or phantom power."""
    heard: list[str] = []
    silent: list[str] = []
    lost: list[str] = []
    dark: dict[str, list[str]] = {}
    for source in halves:
        ends = [dark_on_the_way(rig, at.device) for at in source.sockets if at.device not in devices]
        if all(ends):
            dark.setdefault("; ".join(dict.fromkeys(why for end in ends for why in end)), []).append(source.name)
        elif source.name not in rig.channels_of:  # its other end is lost by something else
            lost.append(source.name)
        else:
            (silent if source.name in rig.phantom.unpowered else heard).append(source.name)
    words = f" Arrives by one end of its split only: {listed(heard)}." if heard else ""
    words += f" Silent at both ends of its split: {listed(lost)}." if lost else ""
    words += f" Silent at both ends of its split, without phantom power: {listed(silent)}." if silent else ""
    return words + "".join(f" Silent at both ends of its split: {listed(who)}; {why}." for why, who in dark.items())


def waiting_for(rig: ResolvedRig, halves: list[Source]) -> Iterator[tuple[str, str]]:
    """Yield the findings about channels that wait for the end of a split that is on these boxes."""
    for arrival in rig.mismatches:
        if arrival.stop in ("no-socket", "unpatched") and arrival.channel.carries in {half.name for half in halves}:
            yield "patch-carries-nothing", arrival.channel.address
