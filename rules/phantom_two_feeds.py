"""Both ends of a split feed phantom power to one source."""

from collections.abc import Iterator

from lint import Bad, Finding, ResolvedRig, rule
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
        )
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a source; one that must have none at all is told by phantom-unbalanced."""
    for fed in rig.phantom.fed:
        source = fed.source
        if len(fed.live) < 2 or harm(source):
            continue
        feeds = []
        for supply in fed.live:
            channels = " and ".join(rig.rig.channel_words(channel) for channel in supply.says_on)
            feeds.append(f"{' and '.join(str(s) for s in source.sockets if s in supply.sockets)} ({channels})")
        yield Finding(
            f"{source.name} gets phantom power from both ends of its split: {' and '.join(feeds)}.",
            places(rig, source, fed.channels),
            tuple(switch_off(rig, [other for other in fed.live if other is not keep]) for keep in fed.live),
            {"volts": VOLTS},
        )
