"""What nobody can switch phantom power off at any more: boxes that no console reaches, and dead consoles.

It may still be on there. So they are switched off at the mains before a plug leaves them, and before a source that
stays plugged in there gets it from the other end of its split. Where something else lives by such a device, and no plug
leaves it, the plug of that source is taken out in its place.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from enum import Enum, auto
from typing import NamedTuple

from lint.plan.mains import CARE, going_off_with, switched_off, switcher
from lint.plan.moves import Handling
from lint.plan.quiet_words import barred_by, switch_of
from lint.resolve.dark import dark_in
from lint.resolve.phantom import NEEDED, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import Channel, Source


class Coming(Enum):
    """Whether a rig is so already: all that happens to it is a loss, or some of it or all is yet to be done."""

    LOST = auto()
    PARTLY = auto()
    PLANNED = auto()


class CutOff(NamedTuple):
    """The devices that are switched off, in their order, and those of them that a plug leaves (`left`).

    `fed` are the plugs that stay in and whose sources get phantom power by another leg; `pulled` are those of them that
    are taken out in place of switching off. `living` are sources that have it from a device alone, by that device.
    `is_to_come` where a change that is yet to be made may be what takes a box from its console.
    """

    off: tuple[str, ...] = ()
    left: frozenset[str] = frozenset()
    fed: Mapping[Socket, str] = {}
    pulled: Mapping[Socket, str] = {}
    living: Mapping[str, tuple[str, ...]] = {}
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
    stages: Sequence[ResolvedRig], handlings: Iterable[Handling], woken: Collection[Channel], gone: Collection[str]
) -> CutOff:
    """Return what is cut off while a rig goes through `stages`, plugs are handled and phantom power is `woken`.

    What has no mains has no phantom power either; what is `gone`, being dead, may have it, but nothing lives by that.
    """
    before, cabled, end = stages[0], stages[1], stages[-1]
    dark = dark_in(cabled)
    boxes = [name for name in before.boxes if name not in dark and not cabled.is_reached(name)]
    dead = [row.name for row in cabled.rig.consoles if row.name in cabled.dead and row.name not in dark]
    if not (boxes or dead):
        return NOTHING_CUT_OFF
    starts = [step.start for step in handlings if step.start is not None and step.start.side == "in"]
    left = {at.device for at in starts if at.device in boxes or (at.device in dead and before.phantom.is_live(at))}
    fed: dict[Socket, str] = {}
    living: dict[str, tuple[str, ...]] = {}
    for source in end.rig.sources.values():
        for at in _still_live(before, source, (*boxes, *dead)):
            if _is_fed_elsewhere(end, source, at, woken):
                if not before.phantom.fed_elsewhere(before.rig.sources[source.name], at):  # else nothing is new in that
                    fed[at] = source.name
            elif at.device not in gone and any(c.console not in gone for c in end.channels_of.get(source.name, ())):
                living[at.device] = (*living.get(at.device, ()), source.name)
    pulled = {at: name for at, name in fed.items() if at.device in living}
    off = {*left, *(at.device for at in fed if at not in pulled)}
    living = {name: names for name, names in living.items() if name in left or any(at.device == name for at in pulled)}
    return CutOff(tuple(name for name in (*boxes, *dead) if name in off), frozenset(left), fed, pulled, living)


def _still_live(before: ResolvedRig, source: Source, devices: Collection[str]) -> list[Socket]:
    """Return where a source that needs phantom power is plugged into devices and had it."""
    was = before.rig.sources.get(source.name)
    if was is None or phantom_need(source) != NEEDED:
        return []
    return [at for at in source.sockets if at.device in devices and at in was.sockets and before.phantom.is_live(at)]


def _is_fed_elsewhere(end: ResolvedRig, source: Source, socket: Socket, woken: Collection[Channel]) -> bool:
    """Whether a source has phantom power by another leg than that in a socket, once all is done."""
    legs = {end.phantom.switch_at(at) for at in source.sockets if at != socket and end.has_socket(at)}
    giving = (*woken, *(row for row in end.phantom.fed_elsewhere(source, socket) if not barred_by(end, row)))
    return any(switch_of(end, channel) in legs for channel in giving)


def cut_off_words(end: ResolvedRig, cut: CutOff) -> list[str]:
    """Say what is switched off at the mains and which plugs are taken out, before anything else is touched."""
    words = []
    if cut.off:
        wait = "wait ten seconds before a plug leaves it" if cut.left else "wait ten seconds"
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
        words.append(f"{_who(end, cut, devices)}{still}: take {plugs}, muted: {_other_end(cut.pulled)}")
    return words


def living_words(cut: CutOff) -> list[str]:
    """Say what has mains again, or keeps it, for what has its phantom power from there alone, if from anywhere."""
    words = []
    for device, names in cut.living.items():
        have = f"{' and '.join(names)} {'has' if len(names) == 1 else 'have'} phantom power from nowhere else"
        again = f"have {device} on again, and wait ten seconds: {have}, and may have none from there either"
        words.append(again if device in cut.off else f"leave {device} on: {have}")
    return words


def _who(end: ResolvedRig, cut: CutOff, devices: Sequence[str]) -> str:
    dead = [name for name in devices if name in end.dead]
    boxes = [name for name in devices if name not in dead]
    parts = [f"no console reaches {', '.join(boxes)}"] if boxes else []
    words = " and ".join((*parts, *(f"{name} is dead" for name in dead)))
    return f"once the change is made {words}" if cut.is_to_come and boxes else f"{words} now"


def _staying(fed: Mapping[Socket, str]) -> str:
    if not fed:
        return ""
    plugs = " and ".join(f"{name} out of {at}" for at, name in fed.items())
    return f"Before any of that has mains again, take {plugs}: {_other_end(fed)}. "


def _other_end(fed: Mapping[Socket, str]) -> str:
    one = len(set(fed.values())) == 1
    return (
        f"{'it gets' if one else 'they get'} phantom power from the other end of {'its' if one else 'their'} split then"
    )
