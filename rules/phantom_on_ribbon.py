"""Phantom power meets a ribbon microphone."""

from collections.abc import Iterator

from lint import Bad, Finding, ResolvedRig, rule
from lint.rules._phantom import SAFETY, SOURCE, VOLTS, Told, harm, places, switch_off, together, where

_WHY = """\
A ribbon in a sound balanced cable sees no difference between its legs. A faulty cable, or a plug pulled or put in
while phantom power is on, puts 48 V across it for an instant, and that can tear it."""


@rule(
    title="Phantom power meets a ribbon microphone",
    severity="caution",
    family="phantom",
    why=_WHY,
    do="Switch phantom power off for it, before the microphone is plugged in.",
    source=SOURCE + "; that a ribbon may be harmed by a fault or a hot plug: common practice",
    good=[
        "sources: {fiddle: {kind: ribbon-microphone, plugged_into: west-box/in/4}}\n"
        "channels: {4: {label: Fiddle, carries: fiddle, patched_from: desk/link-1/4, phantom: off}}",
        "sources: {fiddle: {kind: active-ribbon-microphone, plugged_into: west-box/in/4}}\n"
        "channels: {4: {label: Fiddle, carries: fiddle, patched_from: desk/link-1/4, phantom: on}}",
    ],
    bad=[
        Bad(
            "sources: {fiddle: {kind: ribbon-microphone, plugged_into: west-box/in/4}}\n"
            "channels: {4: {label: Fiddle, carries: fiddle, patched_from: desk/link-1/4, phantom: on}}",
            (
                "phantom power is on for fiddle (west-box/in/4, channel 4 (Fiddle)), a ribbon microphone that does not "
                "need it.",
            ),
        )
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a ribbon; an unbalanced one is told by phantom-unbalanced."""
    headline = "phantom power is on for {} ribbon microphones that do not need it"
    yield from together(rig, "phantom-on-ribbon", _ribbons(rig), headline)


def _ribbons(rig: ResolvedRig) -> Iterator[Told]:
    for fed in rig.phantom.fed:
        source = fed.source
        if source.kind != "ribbon-microphone" or source.needs_phantom or harm(source) or not fed.live:
            continue
        message = (
            f"phantom power is on for {source.name} ({where(rig, fed, live=True)}), a ribbon microphone that does not "
            "need it."
        )
        finding = Finding(message, places(rig, source, fed.channels), (switch_off(rig, fed.live),), {"volts": VOLTS})
        yield Told(fed, finding, f"{source.name} ({where(rig, fed, live=True)})")
