"""Both ends of a split feed phantom power to one source."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.phantom import Supply
from lint.rig.rig import Source
from lint.rules._cabling import joined
from lint.rules._phantom import SAFETY, SOURCE, VOLTS, harm, places, switch_off

_WHY = """\
Through a plain splitter the two supplies work against each other: the microphone gets an uneven feed, hum comes in
by the second ground, and when one desk switches off, the bang is heard in the other."""


@rule(
    title="Both ends of a split feed phantom power to one source",
    severity="no-go",
    family="phantom",
    why=_WHY,
    do="Agree which console feeds it, and switch phantom power off at the other.",
    source=SOURCE + "; one feed only: common practice",
    good=[
        "devices: {mon: {model: console-16}}\n"
        "splits: {choir-split: {kind: analogue, sources: [choir]}}\n"
        "sources: {choir: {plugged_into: [west-box/in/2, mon/in/2]}}\n"
        "consoles: {mon: {channels: {2: {carries: choir, patched_from: mon/in/2, phantom: off}}}}"
    ],
    bad=[
        Bad(
            "devices: {mon: {model: console-16}}\n"
            "splits: {choir-split: {kind: analogue, sources: [choir]}}\n"
            "sources: {choir: {plugged_into: [west-box/in/2, mon/in/2]}}\n"
            "consoles: {mon: {channels: {2: {carries: choir, patched_from: mon/in/2, phantom: on}}}}",
            (
                "choir gets phantom power from both ends of its split: west-box/in/2 (channel 2 (Choir) on desk) and "
                "mon/in/2 (channel 2 on mon).",
            ),
        ),
        Bad(
            "devices: {mon: {model: console-16}}\n"
            "splits: {choir-split: {kind: analogue, sources: [choir]}}\n"
            "sources: {choir: {plugged_into: [west-box/in/2, mon/in/2]}}\n"
            "channels: {2: {phantom: off}, 3: {patched_from: desk/link-1/2}}\n"
            "consoles: {mon: {channels: {2: {carries: choir, patched_from: mon/in/2, phantom: on}}}}",
            (
                "choir gets phantom power from both ends of its split: west-box/in/2 (channel 3 (Piano) on desk, meant "
                "for piano) and mon/in/2 (channel 2 on mon).",
            ),
            also=("patch-carries-other",),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a source; one that must have none at all is told by phantom-unbalanced or phantom-astray.

    What a wrong patch brings there is as much there as the rest.
    """
    for source in rig.rig.sources.values():
        live = rig.phantom.live_at(source)
        if len(live) < 2 or harm(source):
            continue
        supplies = list(dict.fromkeys(live.values()))
        feeds = (f"{joined(at for at in live if live[at] is supply)} ({_by(rig, supply)})" for supply in supplies)
        own = rig.channels_of.get(source.name, ())
        by = (channel for supply in supplies for channel in supply.says_on)
        yield Finding(
            f"{source.name} gets phantom power from both ends of its split: {' and '.join(feeds)}.",
            places(rig, source, dict.fromkeys((*own, *by))),
            tuple(_cures(rig, source, supplies)),
            {"volts": VOLTS},
        )


def _by(rig: ResolvedRig, supply: Supply) -> str:
    """Say which channels switch a supply on, and of those that are there by mistake, what they are meant to carry."""
    meant = {c: f", meant for {c.carries}" if c.address in rig.phantom.wrong else "" for c in supply.says_on}
    words: str = joined(f"{rig.rig.channel_words(channel)}{wrong}" for channel, wrong in meant.items())
    return words


def _cures(rig: ResolvedRig, source: Source, supplies: list[Supply]) -> Iterator[Cure]:
    """Yield the ways to leave one supply on, one that is on by mistake alone last."""
    if len(supplies) == 1:
        yield Cure(f"with phantom power off, move one plug of {source.name} to a socket where it is off")
    else:
        for keep in sorted(supplies, key=lambda supply: not _is_meant(rig, supply)):
            yield switch_off(rig, [other for other in supplies if other is not keep])


def _is_meant(rig: ResolvedRig, supply: Supply) -> bool:
    return any(channel.address not in rig.phantom.wrong for channel in supply.says_on)
