"""A source that needs phantom power gets none."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, Socket, rule
from lint.resolve.lingering import STRANDED
from lint.resolve.mixup import merged
from lint.resolve.phantom import Fed, Supply
from lint.rules._cabling import joined
from lint.rules._phantom import (
    SAFETY,
    SOURCE,
    VOLTS,
    Told,
    connect_balanced,
    harm,
    places,
    set_phantom,
    together,
    where,
)

_WHY = """\
Condenser microphones, active DI boxes and the like are silent without phantom power: the channel is dead, and looks
like a broken cable."""


@rule(
    title="A source that needs phantom power gets none",
    severity="no-go",
    family="phantom",
    why=_WHY,
    do="Mute the channel, switch phantom power on, and wait until it is quiet before opening it.",
    source=SOURCE,
    good=[
        "sources: {choir: {powering: battery}}\nchannels: {2: {phantom: off}}",
        "sources: {organ: {kind: passive-di, plugged_into: west-box/in/3}}\n"
        "channels: {4: {carries: organ, patched_from: desk/link-1/3}}",
    ],
    bad=[
        Bad(
            "channels: {2: {phantom: off}}",
            ("choir (west-box/in/2, channel 2 (Choir)) needs phantom power, but it is off there.",),
        ),
        Bad(
            "sources: {lead-vocal: {kind: boundary-microphone}}\nchannels: {2: {phantom: off}, 3: {phantom: off}}",
            (
                "3 sources need phantom power, and get none: lead-vocal (west-box/in/1, channel 1 (Lead vox)); choir "
                "(west-box/in/2, channel 2 (Choir)); piano (east-box/in/1, channel 3 (Piano)).",
            ),
        ),
        Bad(
            "sources: {choir: {connection: jack-patch-point}}\nchannels: {2: {phantom: null}}",
            (
                "choir (west-box/in/2, channel 2 (Choir)) needs phantom power, but it is off there. "
                "choir goes through a jack patch point, where one leg would take the full 48 V: put that right first.",
            ),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a source that needs it and has it on no socket; behind a split one feed is enough."""
    yield from together(rig, "phantom-missing", _missing(rig), "{} sources need phantom power, and get none")


def _missing(rig: ResolvedRig) -> Iterator[Told]:
    # A pair that is crossed in the patch is no no-go by itself, so that its silence must be told beside it.
    rows = [row for row in rig.phantom.fed if _is_without(row) and not rig.phantom.comes_with_the_patch(row.source)]
    for fed in (*rows, *filter(_is_without, rig.phantom.crossed)):
        source = fed.source
        able = [supply for supply in fed.supplies if supply.available]
        message = f"{source.name} ({where(rig, fed)}) needs phantom power, but "
        devices = joined(dict.fromkeys(socket.device for supply in fed.supplies for socket in supply.sockets))
        message += f"it is off there{_lost(rig, fed)}." if able else f"{devices} has none{_lost(rig, fed)}."
        if harm(source):
            message += (
                f" {source.name} {harm(source)}, where one leg would take the full {VOLTS} V: put that right first."
            )
        finding = Finding(message, places(rig, source, fed.channels), tuple(_cures(rig, fed, able)), {"volts": VOLTS})
        yield Told(fed, finding, f"{source.name} ({where(rig, fed)})")


def _is_without(fed: Fed) -> bool:
    return fed.source.needs_phantom and not fed.live


def _may_be_live(rig: ResolvedRig, fed: Fed) -> list[Socket]:
    """Return where nobody can switch it off any more: by a console that is dead, or that reaches the box no longer."""
    sockets = fed.source.sockets if rig.phantom.awaited(fed.source) else ()
    return [at for at in sockets if at in rig.phantom.lingering]


def _off_first(rig: ResolvedRig, sockets: list[Socket]) -> str:
    """Say which boxes are switched off at the mains before a plug leaves them, as no channel switches anything there."""
    boxes = dict.fromkeys(at.device for at in sockets if rig.phantom.lingering[at] in STRANDED)
    off = f"have {joined(boxes)} switched off by whoever has charge of the mains, wait ten seconds, and "
    return off if boxes else ""


def _waiting(rig: ResolvedRig, fed: Fed) -> str:
    """Name the channels that should carry it and have it on, and do not receive it: there it came from."""
    words: str = joined(map(rig.rig.channel_words, rig.phantom.awaited(fed.source)))
    return words


def _lost(rig: ResolvedRig, fed: Fed) -> str:
    """Say where it came from, and whether some wrong patch happens to bring it."""
    waiting, by = _waiting(rig, fed), rig.phantom.powering(fed.source)
    words = f"; it is on at {waiting}, where {fed.source.name} does not arrive" if waiting else ""
    return words + (f"; only the wrong patch of {joined(map(rig.rig.channel_words, by))} brings it" if by else "")


def _cures(rig: ResolvedRig, fed: Fed, able: list[Supply]) -> Iterator[Cure]:
    """Yield first that its own channel gets it again, where that can hear it: switched on here too it had two feeds."""
    name, awaited = fed.source.name, rig.phantom.awaited(fed.source)
    legs = [at for at in fed.source.sockets if rig.phantom.is_able(at)]
    is_near = any(rig.input_point(at, channel.console) is not None for at in legs for channel in awaited)
    again = [Cure(f"put right what arrives at {_waiting(rig, fed)}: phantom power comes to {name} with that")]
    yield from again if is_near else ()
    yield from _cures_here(rig, fed, able)
    yield from again if awaited and not is_near else ()


def _cures_here(rig: ResolvedRig, fed: Fed, able: list[Supply]) -> Iterator[Cure]:
    name = fed.source.name
    if not able:
        yield Cure(f"plug {name} into a box that has phantom power, or give it a supply or battery of its own")
    free = [supply for supply in able if not set(rig.phantom.barred_at(supply.sockets[0])) - {name}]
    if able and not free:
        yield Cure(f"with phantom power off, plug {name} in at a switch with nothing on it that must not have it")
    for supply in free:
        own = [channel for channel in supply.channels if channel in fed.channels][:1]
        if not own:
            continue  # a leg that no channel takes
        cure = set_phantom(rig, own, "on")
        if harm(fed.source):
            balanced = connect_balanced(fed.source)
            assert cure.change is not None and balanced.change is not None
            cure = Cure(f"{balanced.text}; then {cure.text}", merged((dict(balanced.change), dict(cure.change))))
        if left := _may_be_live(rig, fed):
            first = f"{_off_first(rig, left)}take {name} out of {joined(left)}, muted: phantom power may still be on there, and both ends are too many"
            cure = Cure(f"{first}; then {cure.text}", cure.change)
        yield cure
