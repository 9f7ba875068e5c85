"""Phantom power meets an unbalanced source."""

from collections.abc import Iterator

from lint import Bad, Finding, ResolvedRig, rule
from lint.rules._phantom import (
    SAFETY,
    SOURCE,
    VOLTS,
    connect_balanced,
    harm,
    places,
    switch_off,
    where,
)

_WHY = """\
Phantom power is harmless only while both legs stand at the same voltage. Unbalanced, through a jack or with parallel
powering one leg takes the full 48 V: it may destroy the source or the adapter, and bangs through the loudspeakers."""


@rule(
    title="Phantom power meets an unbalanced source",
    severity="no-go",
    family="phantom",
    why=_WHY,
    do="Switch phantom power off, or connect the source by a balanced cable without adapters or jacks.",
    source=SOURCE + "; parallel powering is another system (DIN 45595)",
    good=[
        "sources: {lead-vocal: {connection: unbalanced-adapter}}",
        "sources: {lead-vocal: {kind: passive-di}}\nchannels: {1: {phantom: on}}",
    ],
    bad=[
        Bad(
            "sources: {lead-vocal: {connection: unbalanced-adapter}}\nchannels: {1: {phantom: on}}",
            (
                "lead-vocal (west-box/in/1, channel 1 (Lead vox)) goes through an unbalanced adapter, and phantom power "
                "is on there: one leg takes the full 48 V.",
            ),
        ),
        Bad(
            "sources: {choir: {powering: parallel}}",
            (
                "choir (west-box/in/2, channel 2 (Choir)) is powered in parallel, between its two signal wires, and "
                "phantom power is on there: one leg takes the full 48 V.",
            ),
        ),
        Bad(
            "sources: {piano: {connection: jack-patch-point}}",
            (
                "piano (east-box/in/1, channel 3 (Piano)) goes through a jack patch point, and phantom power is on "
                "there: one leg takes the full 48 V.",
            ),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a source of which one leg takes the full voltage."""
    for fed in rig.phantom.fed:
        source = fed.source
        if not harm(source) or not fed.live:
            continue
        cures = [] if source.needs_phantom else [switch_off(rig, fed.live)]
        if source.powering != "parallel":
            cures.append(connect_balanced(source))
        message = (
            f"{source.name} ({where(rig, fed, live=True)}) {harm(source)}, and phantom power is on there: one leg "
            f"takes the full {VOLTS} V."
        )
        yield Finding(message, places(rig, source, fed.channels), tuple(cures), {"volts": VOLTS})
