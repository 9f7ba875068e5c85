"""Phantom power meets a line output."""

from collections.abc import Iterator

from lint import Bad, Finding, ResolvedRig, rule
from lint.rig.rig import LINE_KINDS
from lint.rules._phantom import (
    SAFETY,
    SOURCE,
    VOLTS,
    Told,
    harm,
    kind_words,
    places,
    switch_off,
    together,
    where,
)

_WHY = """\
The output of a wireless receiver, a player or an instrument is not made to have 48 V pushed into it: some take it,
some distort, some die."""


@rule(
    title="Phantom power meets a line output",
    severity="caution",
    family="phantom",
    why=_WHY,
    do="Switch phantom power off for it, or put a transformer DI box between.",
    source=SOURCE + "; that line outputs may be harmed: common practice",
    good=[
        "sources: {headset: {kind: wireless-receiver, plugged_into: west-box/in/4}}\n"
        "channels: {4: {label: Headset, carries: headset, patched_from: desk/link-1/4}}"
    ],
    bad=[
        Bad(
            "sources: {headset: {kind: wireless-receiver, plugged_into: west-box/in/4}}\n"
            "channels: {4: {label: Headset, carries: headset, patched_from: desk/link-1/4, phantom: on}}",
            ("phantom power is on for headset (west-box/in/4, channel 4 (Headset)), which is a wireless receiver.",),
        )
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a line source; an unbalanced one is told by phantom-unbalanced."""
    yield from together(rig, "phantom-on-line", _lines(rig), "phantom power is on for {} line sources")


def _lines(rig: ResolvedRig) -> Iterator[Told]:
    for fed in rig.phantom.fed:
        source = fed.source
        if source.kind not in LINE_KINDS or source.needs_phantom or harm(source) or not fed.live:
            continue
        article = "an" if kind_words(source)[0] in "aeiou" else "a"
        message = (
            f"phantom power is on for {source.name} ({where(rig, fed, live=True)}), which is {article} "
            f"{kind_words(source)}."
        )
        finding = Finding(message, places(rig, source, fed.channels), (switch_off(rig, fed.live),), {"volts": VOLTS})
        yield Told(fed, finding, f"{source.name} ({where(rig, fed, live=True)}), {article} {kind_words(source)}")
