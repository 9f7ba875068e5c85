"""A channel receives another source than it is meant to carry."""

from collections.abc import Iterator

from lint import Arrival, Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.mixup import channel_mixups, input_bank_changes, merged, patch_change, plug_change
from lint.rules._phantom import SAFETY
from lint.rules._words import listed

_WHY = """\
What is plugged in, what is patched and what is meant must agree. Here a channel's slot or socket holds another
source: the wrong voice would come up with that fader, and its gain, phantom power and monitor sends fit another
microphone."""


@rule(
    title="The channel receives another source than it is meant to carry",
    severity="no-go",
    family="patch",
    why=_WHY,
    do="Change the patch on the console, or move the plugs on stage; not both.",
    good=[
        "channels: {2: {patched_from: desk/link-1/17, carries: piano}, 3: {patched_from: desk/link-1/2, carries: choir}}"
    ],
    bad=[
        Bad(
            "sources: {lead-vocal: {plugged_into: west-box/in/2}, choir: {plugged_into: west-box/in/1}}",
            (
                "2 channels receive the wrong source: channel 1 (Lead vox) should carry lead-vocal but receives choir "
                "(desk/link-1/1, west-box/in/1); channel 2 (Choir) should carry choir but receives lead-vocal "
                "(desk/link-1/2, west-box/in/2).",
            ),
        ),
        Bad(
            "channels: {3: {patched_from: desk/link-1/2}}",
            ("channel 3 (Piano) should carry piano but receives choir (desk/link-1/2, west-box/in/2).",),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a mix-up: channels that receive each other's sources belong together."""
    for group in channel_mixups(rig):
        if not any(arrival.sources or arrival.effects for arrival in group):
            continue
        rows = [_row(rig, arrival) for arrival in group]
        message = (
            f"{rows[0]}." if len(rows) == 1 else f"{len(rows)} channels receive the wrong source: {listed(rows, '; ')}."
        )
        explains = {("patch-carries-nothing", arrival.channel.address) for arrival in group}
        explains |= {("source-unheard", str(arrival.channel.carries)) for arrival in group}
        yield Finding(
            message,
            tuple(rig.place((*a.channel.trail, "patched_from"), a.channel.address) for a in group),
            _cures(rig, group),
            {"channels": len(group)},
            explains=frozenset(explains),
            members=tuple(arrival.channel.address for arrival in group),
        )


def _row(rig: ResolvedRig, arrival: Arrival) -> str:
    given = " and ".join(arrival.sources) or (str(arrival.effects) if arrival.effects else "nothing")
    way = ", ".join(str(step) for step in (arrival.slot, arrival.socket) if step is not None)
    words = rig.rig.channel_words(arrival.channel)
    return f"{words} should carry {arrival.channel.carries} but receives {given}" + (f" ({way})" if way else "")


def _cures(rig: ResolvedRig, group: list[Arrival]) -> tuple[Cure, ...]:
    cures = [Cure(*change) for change in input_bank_changes(rig, group)]
    patches = [patch_change(rig, arrival) for arrival in group]
    if all(patch is not None for patch in patches):
        known = [patch for patch in patches if patch is not None]
        cures.append(Cure("; ".join(words for words, _ in known), merged(change for _, change in known)))
    plugs = plug_change(rig, group)
    if plugs is not None:
        cures.append(Cure(*plugs))
    return tuple(cures)
