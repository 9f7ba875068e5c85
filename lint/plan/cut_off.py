"""What nobody can switch phantom power off at any more: boxes that no console reaches, and dead consoles.

It may still be on there, also where a box that hung on a console as it died goes to another, or that no console reached
by the file. So they are switched off at the mains before a plug leaves them, or another plug of a source that is in
there, and before a source that stays plugged in there gets it from the other end of its split. Where something else
lives by such a device, and no plug leaves it, the plug of that source is taken out in its place. A box that a console
reaches again is wanted: it is switched on again once the plugs are where they belong.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import NamedTuple

from lint.plan.asked import Asked, Coming
from lint.plan.mains import CARE, going_off_with, switched_off, switcher
from lint.plan.moves import Handling
from lint.plan.quiet_words import barred_by, switch_of
from lint.resolve.dark import dark_in, unlit, way_of
from lint.resolve.lingering import STRANDED
from lint.resolve.phantom import BARRED, NEEDED, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import Channel, Source


class CutOff(NamedTuple):
    """The devices that are switched off, in their order, and those of them that plugs leave or enter (`handled`).

    `fed` are the plugs that stay in and whose sources get phantom power by another leg; `pulled` are those of them that
    are taken out in place of switching off. `living` are sources that have it from a device alone, by that device.
    `rehung` are boxes that a console reaches again, by the console or link port that died (empty where none was there),
    and `wary` what is plugged in there and must not have phantom power. `is_to_come` where a change that is yet to be
    made may be what takes a box from its console.
    """

    off: tuple[str, ...] = ()
    handled: frozenset[str] = frozenset()
    fed: Mapping[Socket, str] = {}
    pulled: Mapping[Socket, str] = {}
    living: Mapping[str, tuple[str, ...]] = {}
    rehung: Mapping[str, str] = {}
    wary: Mapping[Socket, str] = {}
    is_to_come: bool = False

    @property
    def devices(self) -> frozenset[str]:
        """The devices that are switched off, and those that a plug is taken out of instead."""
        return frozenset((*self.off, *(at.device for at in self.pulled)))

    @property
    def sources(self) -> frozenset[str]:
        """The sources whose phantom power goes off with all that."""
        going = (names for device, names in self.living.items() if device in self.off)
        return frozenset((*self.fed.values(), *(name for names in going for name in names)))


NOTHING_CUT_OFF = CutOff()


def cut_off(
    stages: Sequence[ResolvedRig],
    handlings: Sequence[Handling],
    woken: Collection[Channel],
    gone: Collection[str],
    asked: Asked,
) -> CutOff:
    """Return what is cut off while a rig goes through `stages`, plugs are handled and phantom power is `woken`.

    What has no mains has no phantom power either; what is `gone`, being dead, may have it, but nothing lives by that.
    What is only coming takes no box from its console before phantom power is off there; a dead console does, and so
    does what has failed, though the change puts another in its place.
    """
    coming = asked.coming
    before, cabled = stages[0], stages[1]
    dark = dark_in(cabled)
    dead = [row.name for row in cabled.rig.consoles if row.name in cabled.dead and row.name not in dark]
    hung = {name: box.link for name, box in before.boxes.items() if name not in dark}
    adrift = dict.fromkeys(at.device for at, why in before.phantom.lingering.items() if why in STRANDED)
    gone_before = {*dead, *dark}
    unreached = unlit(cabled)
    rehung = {name: on for name in hung if (on := _hung_on(before, cabled, name, gone_before, coming))}
    rehung |= {name: "" for name in adrift if cabled.is_reached(name) and name not in unreached}
    rehung |= _behind(before, cabled, handlings, {*dark, *(gone if coming is Coming.LOST else ())})
    bridged = {name: by for name, by in _cut_by(before, cabled, asked.failed).items() if name not in rehung}
    rehung |= bridged
    lost = [name for name in (*hung, *adrift) if name in unreached or not cabled.is_reached(name)]
    behind = (name for name in hung if not gone_before.isdisjoint(way_of(before, name)[:-1]))
    cut_before = {*adrift, *behind}  # whatever is coming
    boxes = [name for name in lost if coming is not Coming.PLANNED or name in cut_before]
    devices = (*boxes, *rehung, *dead)
    if not devices:
        return NOTHING_CUT_OFF
    met = {at for step in handlings for at in _met(before, step, boxes)}
    # Behind what failed, who takes the same socket again by the new way has its switch again.
    met -= {at for at in met if at.device in bridged and cabled.phantom.is_live(at)}
    handled = {at.device for at in met if at.device in devices}
    fed, living = _feeding(stages, (devices, handled, rehung), woken, gone)
    pulled = {at: name for at, name in fed.items() if at.device in living}
    off = {*handled, *(at.device for at in fed if at not in pulled)}
    kept = {*handled, *(at.device for at in pulled)}
    living = {name: names for name, names in living.items() if name in kept}
    rehung = {name: console for name, console in rehung.items() if name in off}
    in_order = tuple(name for name in devices if name in off)
    cut = CutOff(in_order, frozenset(handled), fed, pulled, living, rehung, _wary(stages, rehung))
    by_change = cut.devices.intersection(boxes) - cut_before.union(gone)
    return cut._replace(is_to_come=coming is Coming.PARTLY and bool(by_change))


def _feeding(
    stages: Sequence[ResolvedRig],
    cut: tuple[Collection[str], Collection[str], Collection[str]],
    woken: Collection[Channel],
    gone: Collection[str],
) -> tuple[dict[Socket, str], dict[str, tuple[str, ...]]]:
    """Return the plugs in devices that are cut off whose sources have phantom power elsewhere, and who lives by which.

    `cut` has those devices, those where a plug is handled, and those that a console reaches again.
    """
    before, end = stages[0], stages[-1]
    devices, handled, rehung = cut
    fed: dict[Socket, str] = {}
    living: dict[str, tuple[str, ...]] = {}
    for source in end.rig.sources.values():
        for at in _still_live(before, source, devices):
            if at.device in rehung and end.phantom.switch_at(at) in end.phantom.worked:
                continue  # who takes it there now has that switch
            if is_fed_elsewhere(end, source, at, woken):
                # Where it had both before, nothing is new in that, unless the device comes on again.
                if at.device in handled or not before.phantom.fed_elsewhere(before.rig.sources[source.name], at):
                    fed[at] = source.name
            elif at.device not in gone and any(c.console not in gone for c in end.channels_of.get(source.name, ())):
                living[at.device] = (*living.get(at.device, ()), source.name)
    return fed, living


def _hung_on(before: ResolvedRig, cabled: ResolvedRig, box: str, dead: Collection[str], coming: Coming) -> str:
    """Return the dead console or link port that a box hung on, where another has it now; empty where none is dead."""
    if not cabled.is_reached(box) or box in unlit(cabled):
        return ""
    was, now = before.boxes[box].link, cabled.boxes[box].link
    if was.device in dead:
        return was.device
    return str(was) if coming is Coming.LOST and was != now else ""


def _behind(
    before: ResolvedRig, cabled: ResolvedRig, handlings: Sequence[Handling], gone: Collection[str]
) -> dict[str, str]:
    """Return the boxes behind a dead or dark one, with that, where another plug of a source is than the one handled.

    Phantom power stayed on there as they were cut off, and who switched it may hear another slot once they are cabled.
    """
    rows = before.rig.sources
    legs = (
        at
        for step in handlings
        if step.plug in rows
        for at in rows[step.plug].sockets
        if at not in (step.start, step.end) and at.device in before.boxes and _is_live(before, at)
    )
    found = {at.device: next((name for name in way_of(before, at.device)[1:-1] if name in gone), "") for at in legs}
    again = (name for name in found if cabled.is_reached(name) and name not in unlit(cabled))
    return {name: found[name] for name in again if found[name]}


def _cut_by(before: ResolvedRig, cabled: ResolvedRig, failed: Collection[str]) -> dict[str, str]:
    """Return the boxes that a change reaches again and that hung behind what has failed, each with that."""
    rows, found = before.rig.devices, {}
    for name, box in before.boxes.items() if failed else ():
        near = before.chains[box.link].boxes[: box.position]
        way = [str(box.link), *(one for each in near for one in (each.cable.name, each.device))][:-1]
        by = (one for one in way if one in failed or (one in rows and rows[one].circuit in failed))
        if (first := next(by, "")) and cabled.is_reached(name) and name not in unlit(cabled):
            found[name] = first
    return found


def _met(before: ResolvedRig, step: Handling, boxes: Collection[str]) -> Iterator[Socket]:
    """Yield where a plug leaves a socket that may have phantom power, or goes into one; boxes that are lost may.

    The other plugs of its source bring phantom power to it as well.
    """
    for at in (step.start, step.end):
        if at is not None and at.side == "in" and (at.device in boxes or _is_live(before, at)):
            yield at
    source = before.rig.sources.get(step.plug)
    if source is not None and any(at is not None and at.side == "in" for at in (step.start, step.end)):
        yield from (at for at in source.sockets if _is_live(before, at))


def _is_live(before: ResolvedRig, socket: Socket) -> bool:
    """Whether phantom power was on at a socket, or may have been."""
    if socket.device not in before.rig.devices:
        return False  # a box that the change brings
    return before.phantom.is_live(socket) or socket in before.phantom.lingering


def _wary(stages: Sequence[ResolvedRig], boxes: Collection[str]) -> dict[Socket, str]:
    """Return what is plugged into boxes in the end, where phantom power was on, and must not have it."""
    before, end = stages[0], stages[-1]
    barred = (source for source in end.rig.sources.values() if phantom_need(source) == BARRED)
    plugs = ((at, source.name) for source in barred for at in source.sockets if at.device in boxes)
    return {at: name for at, name in plugs if _is_live(before, at)}


def _still_live(before: ResolvedRig, source: Source, devices: Collection[str]) -> list[Socket]:
    """Return where a source that needs phantom power is plugged into devices and had it."""
    was = before.rig.sources.get(source.name)
    if was is None or phantom_need(source) != NEEDED:
        return []
    return [at for at in source.sockets if at.device in devices and at in was.sockets and _is_live(before, at)]


def is_fed_elsewhere(end: ResolvedRig, source: Source, socket: Socket, woken: Collection[Channel]) -> bool:
    """Whether a source has phantom power by another leg than that in a socket, once all is done."""
    legs = {end.phantom.switch_at(at) for at in source.sockets if at != socket and end.has_socket(at)}
    giving = (*woken, *(row for row in end.phantom.fed_elsewhere(source, socket) if not barred_by(end, row)))
    return any(switch_of(end, channel) in legs for channel in giving)


def cut_off_words(end: ResolvedRig, cut: CutOff) -> list[str]:
    """Say what is switched off at the mains and which plugs are taken out, before anything else is touched."""
    words = []
    if cut.off:
        enters = " or goes into it" if cut.handled & set(cut.rehung) else ""
        wait = f"wait ten seconds before a plug leaves it{enters}" if cut.handled else "wait ten seconds"
        staying = {at: name for at, name in cut.fed.items() if at not in cut.pulled}
        words.append(
            f"{_who(end, cut, cut.off)}, and phantom power may still be on there: have {switcher(end)} switch off "
            f"{switched_off(end, cut.off)}, and {wait}. {going_off_with(end, cut.off)}{_staying(staying)}{CARE}"
        )
    if cut.pulled:
        devices = list(dict.fromkeys(at.device for at in cut.pulled))
        plugs = " and ".join(f"{name} out of {at}" for at, name in cut.pulled.items())
        # Off already where another plug leaves it.
        still = "" if set(devices) <= set(cut.off) else ", and phantom power may still be on there"
        words.append(f"{_who(end, cut, devices)}{still}: take {plugs}, muted: {other_end(cut.pulled)}")
    return words


def living_words(cut: CutOff) -> list[str]:
    """Say what has mains again, or keeps it: what is wanted, and what something has its phantom power from alone."""
    words = [_again_words(cut, name) for name in cut.rehung]
    for device, names in cut.living.items():
        have = _nowhere_else(names)
        if device not in cut.off:
            words.append(f"leave {device} on: {have}")
        elif device not in cut.rehung:
            words.append(f"have {device} on again, and wait ten seconds: {have}, and may have none from there either")
    return words


def _again_words(cut: CutOff, box: str) -> str:
    """Say how a box that a console reaches again comes on: its phantom power may be on, as it was."""
    wary = {at: name for at, name in cut.wary.items() if at.device == box}
    plugs = " and ".join(f"{name} out of {at}" for at, name in wary.items())
    first = f"take {plugs} once more; then " if wary else ""
    them = "it" if len(wary) == 1 else "them"
    last = f": where phantom power is off there by its lamps, plug {them} in again, muted" if wary else ""
    names = cut.living.get(box)
    rests = f"; {_nowhere_else(names)}, and may have none from there either" if names else ""
    return f"{first}have {box} on again, and wait ten seconds{last}{rests}"


def _nowhere_else(names: Sequence[str]) -> str:
    return f"{' and '.join(names)} {'has' if len(names) == 1 else 'have'} phantom power from nowhere else"


def _who(end: ResolvedRig, cut: CutOff, devices: Sequence[str]) -> str:
    dead = [name for name in devices if name in end.dead]
    rehung = [name for name in devices if name in cut.rehung]
    boxes = [name for name in devices if name not in dead and name not in rehung]
    parts = [f"no console reaches {', '.join(boxes)}"] if boxes else []
    dark = dark_in(end)
    for name in rehung:
        on = cut.rehung[name]
        state = "has no mains" if on.partition("/")[0] in dark else "is dead"
        parts.append(f"{name} hung on {on}, which {state}" if on else f"no console reached {name}")
    words = " and ".join((*parts, *(f"{name} is dead" for name in dead)))
    return f"once the change is made {words}" if cut.is_to_come and boxes else f"{words} now"


def _staying(fed: Mapping[Socket, str]) -> str:
    if not fed:
        return ""
    plugs = " and ".join(f"{name} out of {at}" for at, name in fed.items())
    return f"Before any of that has mains again, take {plugs}: {other_end(fed)}. "


def other_end(fed: Mapping[Socket, str]) -> str:
    """Say that sources have phantom power by another leg than that in the sockets."""
    one = len(set(fed.values())) == 1
    return (
        f"{'it gets' if one else 'they get'} phantom power from the other end of {'its' if one else 'their'} split then"
    )
