"""One phantom switch is asked for two states."""

from collections.abc import Iterable, Iterator
from typing import Any

from lint import Bad, Cure, Finding, ResolvedRig, Socket, rule
from lint.resolve.mixup import merged, nested
from lint.resolve.phantom import Fed, Supply, Switch
from lint.rig.rig import Channel, Device, Source
from lint.rules._cabling import joined
from lint.rules._phantom import SAFETY, SOURCE, VOLTS, must_not, places, set_phantom

_WHY = """\
One switch has one state. Where it serves several sockets, or one socket that several channels take, whoever needs
phantom power and whoever must not have it can't both be served: one is silent, or the other is harmed."""

CABLE_M = 25.0  # what a box farther on the chain counts for, where the rig doesn't say where it stands: a guess
_TOLD_HERE = ("phantom-missing", "phantom-unbalanced", "phantom-on-ribbon", "phantom-on-line")


@rule(
    title="One phantom switch is asked for two states",
    severity="no-go",
    family="phantom",
    why=_WHY,
    do="Move one of the plugs to a socket with another switch, or let all channels of the switch say the same.",
    source=SOURCE + "; the grouping is the model's own",
    good=["channels: {4: {label: Choir too, carries: choir, patched_from: desk/link-1/2, phantom: on, doubles: 2}}"],
    bad=[
        Bad(
            "channels: {4: {label: Choir too, carries: choir, patched_from: desk/link-1/2, phantom: off, doubles: 2}}",
            (
                "west-box/in/2 has one phantom switch, but channel 2 (Choir) says on and channel 4 (Choir too) says off. "
                "choir needs it.",
            ),
        )
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a switch; what its sources suffer by it is told with it and not again."""
    shared = [row for row in rig.phantom.supplies.items() if row[1].available and _may_clash(row[1])]
    fed_by: dict[tuple[Socket, ...], list[Fed]] = {}
    for entry in rig.phantom.fed if shared else ():
        for sockets in dict.fromkeys(supply.sockets for supply in entry.supplies):
            fed_by.setdefault(sockets, []).append(entry)
    for switch, supply in shared:
        members = fed_by.get(supply.sockets, [])
        hungry = [entry for entry in members if entry.source.needs_phantom and not must_not(entry.source)]
        needing = [entry.source for entry in hungry if not _is_fed_elsewhere(rig, entry, switch)]
        fed_else = [entry.source for entry in hungry if entry.source not in needing]
        harmed = [entry for entry in members if must_not(entry.source)]
        clash = len(supply.sockets) > 1 and bool(needing) and bool(harmed)
        if not clash and not (supply.says_on and supply.says_off):
            continue
        words = _clash_words if clash else _states_words
        cures = (
            [_move(rig, supply, needing, harmed)]
            if clash
            else _agree(rig, supply, needing, [h.source for h in harmed] + fed_else)
        )
        yield Finding(
            words(rig, supply, needing, harmed),
            _places(rig, supply, members, harmed),
            tuple(cures),
            {"volts": VOLTS, "sockets": len(supply.sockets)},
            explains=frozenset((name, entry.source.name) for entry in members for name in _TOLD_HERE),
        )


def _may_clash(supply: Supply) -> bool:
    return len(supply.sockets) > 1 or len(supply.channels) > 1


def _is_fed_elsewhere(rig: ResolvedRig, entry: Fed, switch: Switch) -> bool:
    """Whether a source gets its power by another leg, now or once a wrong patch is right: it needs nothing of this."""
    here = rig.phantom.supplies[switch]
    return any(other is not here for other in entry.live) or rig.phantom.comes_by_another_leg(entry.source, switch)


def _clash_words(_: ResolvedRig, supply: Supply, needing: list[Source], harmed: list[Fed]) -> str:
    verb = "needs" if len(needing) == 1 else "need"
    why = joined(f"{entry.source.name} {must_not(entry.source)}" for entry in harmed)
    return (
        f"{supply.words} have one phantom switch: {joined(source.name for source in needing)} {verb} it on, but "
        f"{why} and must not have it."
    )


def _states_words(rig: ResolvedRig, supply: Supply, needing: list[Source], harmed: list[Fed]) -> str:
    def said(channels: Iterable[Channel], state: str) -> str:
        every = [rig.rig.channel_words(channel) for channel in channels]
        return f"{joined(every)} {'says' if len(every) == 1 else 'say'} {state}"

    verb = "has" if len(supply.sockets) == 1 else "have"
    message = f"{supply.words} {verb} one phantom switch, but {said(supply.says_on, 'on')} and {said(supply.says_off, 'off')}."
    if harmed:
        message += " " + joined(f"{entry.source.name} {must_not(entry.source)}" for entry in harmed)
        message += " and must not have it."
    elif needing:
        message += f" {joined(source.name for source in needing)} {'needs' if len(needing) == 1 else 'need'} it."
    return message


def _agree(rig: ResolvedRig, supply: Supply, needing: list[Source], kept_from: list[Source]) -> list[Cure]:
    """Let all channels of the switch say what its sources call for; where those call for nothing, either."""
    if needing and kept_from:
        names = joined(source.name for source in kept_from)
        plugs = "plug" if len(kept_from) == 1 else "plugs"
        return [Cure(f"with phantom power off, move the {plugs} of {names} to where it is off on a switch of its own")]
    on = set_phantom(rig, supply.says_off, "on")
    off = set_phantom(rig, supply.says_on, "off")
    return [off] if kept_from else [on] if needing else [off, on]


def _move(rig: ResolvedRig, supply: Supply, needing: list[Source], harmed: list[Fed]) -> Cure:
    """Move the plugs of what must not have it to free sockets whose switch is off, and their channels with them.

    What stays on the switch has it on then: all its channels are to say so.
    """
    changes: list[dict[str, Any]] = []
    words = []
    given: set[Socket] = set()
    for entry in harmed:
        source = entry.source
        target = next((socket for socket in _sockets_without(rig, entry) if socket not in given), None)
        if target is None:
            return Cure(f"move the plug of {source.name} to a box of its own, or put a transformer DI box between")
        given.add(target)
        changes.append(nested((*source.trail, "plugged_into"), str(target)))
        for channel in entry.channels:
            point = str(rig.input_point(target, channel.console))
            changes.append(nested(channel.trail, {"patched_from": point, "phantom": "off"}))
        numbers = joined(rig.rig.channel_words(channel) for channel in entry.channels)
        points = joined(dict.fromkeys(str(rig.input_point(target, channel.console)) for channel in entry.channels))
        words.append(f"move the plug of {source.name} to {target} and patch {numbers} from {points}")
    text = "with phantom power off, " + ", ".join(words)
    on = _to_say_on(rig, supply, needing, harmed)
    off = _still_giving(rig, needing) if on else []
    if off:
        text += f"; then, muted, switch phantom power off at {joined(map(rig.rig.channel_words, off))}, whose socket is dead"
    if on:
        text += f"{', and' if off else '; then, muted, switch phantom power'} on at {joined(map(rig.rig.channel_words, on))}"
        changes += [nested((*c.trail, "phantom"), state) for state, rows in (("off", off), ("on", on)) for c in rows]
    return Cure(text, merged(changes))


def _to_say_on(rig: ResolvedRig, supply: Supply, needing: list[Source], harmed: list[Fed]) -> list[Channel]:
    """Return the channels that must say on once what must not have it is gone; none where more of that stays."""
    gone = {entry.source.name for entry in harmed}
    if not gone.issuperset(rig.phantom.barred_at(supply.sockets[0])):
        return []
    moving = {channel for entry in harmed for channel in entry.channels}
    staying = [channel for channel in supply.channels if channel not in moving]
    names = {source.name for source in needing}
    hungry = {channel for channel in staying if channel.carries in names}
    return [
        channel for channel in staying if channel.phantom == "off" or (channel in hungry and channel.phantom != "on")
    ]


def _still_giving(rig: ResolvedRig, sources: list[Source]) -> list[Channel]:
    """Return the channels that have it on at a dead socket of sources: such may still give it, from the other end."""
    rows = ((source, at, supply) for source in sources for at, supply in rig.phantom.delivered_at(source).items())
    alone = (supply for source, at, supply in rows if rig.is_dead(at) and rig.phantom.needed_at(at) == [source.name])
    return list(dict.fromkeys(channel for supply in alone for channel in supply.says_on))


def _sockets_without(rig: ResolvedRig, entry: Fed) -> Iterator[Socket]:
    """Yield the free sockets that a source could move to, the nearest first, and where nobody wants phantom power."""
    if len(entry.source.sockets) > 1:
        return
    busy = {arrival.socket for arrival in rig.arrivals.values()} | set(rig.sources_in)
    wanting = {supply.sockets for other in rig.phantom.fed if other.source.needs_phantom for supply in other.supplies}
    here = entry.source.sockets[0].device
    for device in sorted(rig.rig.devices.values(), key=lambda device: _nearness(rig, here, device)):
        for number in range(1, device.model.inputs.count + 1):
            socket = Socket(device.name, "in", number)
            supply = rig.phantom.supplies.get(rig.phantom.switch_at(socket))
            wanted = supply is not None and (supply.on or supply.sockets in wanting)
            heard = all(rig.input_point(socket, channel.console) is not None for channel in entry.channels)
            if socket not in busy and not wanted and heard and not rig.is_dead(socket):
                yield socket


def _nearness(rig: ResolvedRig, here: str, device: Device) -> tuple[bool, float]:
    """Return what sorts devices by their way from one, a console last: by where they stand, else by the boxes between."""
    own = rig.rig.devices[here].along_stage_m
    if own is not None and device.along_stage_m is not None:
        away_m = abs(own - device.along_stage_m)
    else:
        ends = [rig.boxes.get(name) for name in (here, device.name)]
        places = [box.position if box else 0 for box in ends]
        is_one_chain = all(ends) and len({box.link for box in ends if box}) == 1
        away_m = CABLE_M * (abs(places[0] - places[1]) if is_one_chain else sum(places))
    return device.model.chain is None and device.name != here, away_m if device.name != here else -1.0


def _places(rig: ResolvedRig, supply: Supply, members: list[Fed], harmed: list[Fed]) -> tuple[Any, ...]:
    """Point at what would be harmed, else at the source whose channel says off, else at that channel."""
    off = [entry for entry in members if not set(entry.channels).isdisjoint(supply.says_off)]
    first = next(iter([*harmed, *off, *members]), None)
    if first is None:
        channels = (*supply.says_off, *supply.says_on)
        return tuple(rig.place((*channel.trail, "phantom"), channel.address) for channel in channels)
    others = [entry.source for entry in members if entry is not first]
    return (
        *places(rig, first.source, dict.fromkeys((*first.channels, *supply.says_off, *supply.says_on))),
        *(rig.place((*source.trail, "plugged_into"), source.name) for source in others),
    )
