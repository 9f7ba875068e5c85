"""A mix takes nothing."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, Severity, rule
from lint.resolve.amplifiers import amplifier_inputs
from lint.rig.rig import HOUSE_LOUDSPEAKERS, Mix
from lint.rules._cabling import joined
from lint.rules._mixes import is_empty
from lint.rules._words import SAVED_WHOLE

_WHY = """\
A mix that takes nothing sends silence: whoever stands before its wedge or waits for its recording hears nothing. Where
loudspeakers of the house carry a house mix that takes nothing, the room is silent, and it is a no-go."""


@rule(
    title="A mix takes nothing",
    severity="no-go or caution",
    family="mixes",
    why=_WHY,
    do="Say which channels and mixes it takes, or take the mix out.",
    good=[
        "mixes: {talk: {kind: talkback}, cue: {kind: cue}}",
        "sources: null\nchannels: null\nmixes: {singer-mon: {takes: {channels: {1: null, 1-8: {tap: pre-fader}}}}}",
    ],
    bad=[
        Bad("mixes: {singer-mon: {takes: null}}", ("singer-mon takes nothing.",)),
        Bad(
            "mixes: {house: {takes: null}}",
            ("house takes nothing, and house-left and house-right carry it: the house is silent.",),
        ),
        Bad(
            "mixes: {house: {takes: {channels: [9-16]}}}",
            (
                "house takes nothing, as the rig has none of the channels that it names, and house-left and house-right "
                "carry it: the house is silent.",
            ),
        ),
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding an empty mix. Where nothing is plugged in yet, those that name channels wait for them."""
    is_house_alone = not rig.rig.sources and not rig.rig.channels
    for mix in rig.rig.mixes.values():
        names_channels = bool(rig.says(*mix.trail, "takes", "channels"))
        if is_empty(mix) and not (is_house_alone and names_channels):
            yield _finding(rig, mix, names_channels)


def _finding(rig: ResolvedRig, mix: Mix, names_channels: bool) -> Finding:
    message = f"{mix.name} takes nothing"
    cure = f"say under mixes/{mix.name}/takes which channels it takes"
    if names_channels:
        message += ", as the rig has none of the channels that it names"
    carried = _carried_by(rig, mix) if mix.kind == "house" and rig.rig.sources else []
    if carried:
        message += f", and {joined(carried)} carr{'y' if len(carried) > 1 else 'ies'} it: the house is silent"
    return Finding(
        f"{message}.",
        (rig.place((*mix.trail, "takes"), mix.name),),
        (Cure(cure), *((SAVED_WHOLE,) if carried else ())),
        severity=None if carried else Severity.CAUTION,
    )


def _carried_by(rig: ResolvedRig, mix: Mix) -> list[str]:
    """Return the loudspeakers of the house and the amplifiers that carry a mix; whose an amplifier is, is not said."""
    loudspeakers = [
        destination.name
        for destination, departure, _ in rig.outputs()
        if destination.kind in HOUSE_LOUDSPEAKERS
        and departure.signal is not None
        and departure.signal.kind == "mix"
        and departure.signal.name == mix.name
    ]
    signals = [(row.amplifier.name, row.departure.signal) for row in amplifier_inputs(rig)]
    return loudspeakers + [
        name for name, signal in signals if signal is not None and (signal.kind, signal.name) == ("mix", mix.name)
    ]
