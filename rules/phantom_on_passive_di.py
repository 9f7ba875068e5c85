"""Phantom power is on for a passive DI box."""

from collections.abc import Iterator

from lint import Bad, Finding, ResolvedRig, rule
from lint.rules._phantom import (
    SAFETY,
    VOLTS,
    Told,
    harm,
    places,
    switch_off,
    together,
    where,
)

_WHY = """\
A passive DI box needs no phantom power. The transformer of most takes it without harm, as long as cable and plugs are
whole; but whoever plugs it hot makes a bang, and an active box may be meant that would be silent without."""


@rule(
    title="Phantom power is on for a passive DI box",
    severity="note",
    family="phantom",
    why=_WHY,
    do="Switch phantom power off for it, or write active-di where it is one.",
    source="common practice: both ends of a balanced winding stand at one voltage, so that no current flows through it",
    good=[
        "sources: {bass: {kind: passive-di, plugged_into: west-box/in/4}}\n"
        "channels: {4: {label: Bass, carries: bass, patched_from: desk/link-1/4}}"
    ],
    bad=[
        Bad(
            "sources: {bass: {kind: passive-di, plugged_into: west-box/in/4}}\n"
            "channels: {4: {label: Bass, carries: bass, patched_from: desk/link-1/4, phantom: on}}",
            ("phantom power is on for bass (west-box/in/4, channel 4 (Bass)), a passive DI box that needs none.",),
        )
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a box whose own channel asks for it; an unbalanced one is told by phantom-unbalanced."""
    yield from together(rig, "phantom-on-passive-di", _boxes(rig), "phantom power is on for {} passive DI boxes")


def _boxes(rig: ResolvedRig) -> Iterator[Told]:
    for fed in rig.phantom.fed:
        source = fed.source
        is_asked = any(channel.phantom == "on" for channel in fed.channels)
        if source.kind != "passive-di" or source.needs_phantom or harm(source) or not fed.live or not is_asked:
            continue
        if any(
            rig.phantom.needed_at(supply.sockets[0]) for supply in fed.live
        ):  # off would silence a neighbour on the same switch
            continue
        there = f"{source.name} ({where(rig, fed, live=True)})"
        finding = Finding(
            f"phantom power is on for {there}, a passive DI box that needs none.",
            places(rig, source, fed.channels),
            (switch_off(rig, fed.live),),
            {"volts": VOLTS},
        )
        yield Told(fed, finding, there)
