"""How far a plug is carried: along the stage where the rig says where devices stand, else along the link cables."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil, sqrt
from typing import Any, NamedTuple

from lint.resolve.chain import Chain
from lint.resolve.mixup import merged, nested
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import Cable

CABLE_M = 25.0  # what a link cable of no stated length counts for: a guess
CONSOLE_STEPS = 50  # at the same distance in metres, a console's own socket is as far as a box's fifty numbers on
METRES_A_CHANGE = 5.0  # so many metres of line through the house are as much work as a change of patch: a guess
MOST_STEPS = 2 * CONSOLE_STEPS  # more than any number of sockets counts for at the same distance: less than a decimetre
FARTHEST = 10_000_000  # farther than anything: ten kilometres, in decimetres and sockets


class Carrying:
    """What carrying plugs counts for among equally many changes: as few as can be that work now, then the nearest.

    All plugs together count for less than `unit`.
    """

    def __init__(self, far: Callable[[Socket, Socket], int], plugs: int) -> None:
        """`far` says how far a plug is carried (less than FARTHEST), `plugs` how many there are."""
        self._far = far
        self._working = FARTHEST * (plugs + 1)
        self.unit = self._working * (plugs + 1)

    def count(self, start: Socket, end: Socket, works: bool) -> int:
        """Return what it counts for that a plug goes from one socket to another; `works` says that it is right now."""
        return 0 if start == end else self._far(start, end) + self._working * works


class Stage:
    """The ways between the devices of a rig, in metres."""

    def __init__(self, rig: ResolvedRig) -> None:
        self.rig = rig
        self.from_console_m: dict[str, float] = {}
        self._apart_m: dict[tuple[str, str], float] = {}
        self._far: dict[tuple[str, str], int] = {}  # of two devices, the part that no socket's number changes
        for chain in rig.chains.values():
            way_m = 0.0
            for box in (*chain.boxes, *chain.lost):
                known_m = box.cable.way_m or box.cable.length_m
                way_m += CABLE_M if known_m is None else known_m
                self.from_console_m[box.device] = way_m
        self.link = {box.device: chain.link for chain in rig.chains.values() for box in (*chain.boxes, *chain.lost)}

    def apart_m(self, first: str, second: str) -> float:
        """Return how far two devices are apart: by where they stand, else by the cable between them.

        A link cable is at least as long as the way it bridges, so this never makes a way shorter than it is by the
        rig's own words; between two links it leads by way of the console. What is on no chain counts as one cable.
        A console may stand far from the stage whatever it is abreast of: its way leads along the cable that it is on.
        """
        if (first, second) not in self._apart_m:
            self._apart_m[first, second] = self._measured_m(first, second)
        return self._apart_m[first, second]

    def _measured_m(self, first: str, second: str) -> float:
        if first == second:
            return 0.0
        one, other = self._along_m(first), self._along_m(second)
        if one is not None and other is not None:
            return max(abs(one - other), self._off_stage_m(first, second), self._off_stage_m(second, first))
        ways = [self._from_console(name) for name in (first, second)]
        same_chain = first in self.link and self.link.get(first) == self.link.get(second)
        return abs(ways[0] - ways[1]) if same_chain else sum(ways)

    def _along_m(self, name: str) -> float | None:
        """Return where a device stands; nobody knows that of one that is only planned."""
        device = self.rig.rig.devices.get(name)
        return device.along_stage_m if device is not None else None

    def _off_stage_m(self, console: str, other: str) -> float:
        """Return the way from a console to what stands along the stage, by the cable to its first box; 0: none known.

        Farther along the stage than the first box it is as much longer, as of a cable that is laid at right angles;
        nearer it is shorter, by Pythagoras, as of one that is laid straight. Either way it is the longer of both. To
        what is not on its own chains it is the longest that these say.
        """
        chains = [chain for chain in self.rig.chains.values() if chain.link.device == console]
        own = [chain for chain in chains if self.link.get(other) == chain.link]
        return max((self._by_first_box_m(chain, other) for chain in own or chains), default=0.0)

    def _by_first_box_m(self, chain: Chain, other: str) -> float:
        first = next(iter((*chain.boxes, *chain.lost)), None)
        if first is None:
            return 0.0
        known_m = first.cable.way_m or first.cable.length_m
        desk_m, first_m, box_m = map(self._along_m, (chain.link.device, first.device, other))
        if known_m is None or desk_m is None or first_m is None or box_m is None or known_m < abs(desk_m - first_m):
            return 0.0
        first_off_m, box_off_m = abs(desk_m - first_m), abs(desk_m - box_m)
        if box_off_m >= first_off_m:
            return known_m + box_off_m - first_off_m
        return min(known_m, ceil(sqrt(known_m**2 - first_off_m**2 + box_off_m**2)))

    def far(self, start: Socket, end: Socket) -> int:
        """Return how far a plug is carried, less than FARTHEST: by metres, then as near to its old number as can be.

        Neighbours stay neighbours so, and a box comes before the console.
        """
        way = start.device, end.device
        if way not in self._far:
            at_console = CONSOLE_STEPS if self._is_console(end.device) else 0
            self._far[way] = round(10 * self.apart_m(*way)) * MOST_STEPS + at_console
        return min(self._far[way] + min(abs(start.number - end.number), CONSOLE_STEPS - 1), FARTHEST - 1)

    def toll(self, start: Socket, end: Socket) -> int:
        """Return how many changes at a console it counts for that a loudspeaker's line is carried to another device."""
        return round(self.apart_m(start.device, end.device) / METRES_A_CHANGE)

    def _from_console(self, name: str) -> float:
        return 0.0 if self._is_console(name) else self.from_console_m.get(name, CABLE_M)

    def _is_console(self, name: str) -> bool:
        device = self.rig.rig.devices.get(name)
        return device is not None and device.model.chain is None

    def is_stated(self, first: str, second: str) -> bool:
        """Whether the rig says where both devices stand, or how long every link cable between them is."""
        devices = self.rig.rig.devices
        if first not in devices or second not in devices:
            return False
        if all(devices[name].along_stage_m is not None for name in (first, second)):
            return True
        for chain in self.rig.chains.values():
            names = [chain.link.device, *(box.device for box in (*chain.boxes, *chain.lost))]
            if first in names and second in names:
                start, end = sorted((names.index(first), names.index(second)))
                between = (*chain.boxes, *chain.lost)[start:end]
                return all((box.cable.way_m or box.cable.length_m) is not None for box in between)
        return False

    def way_m(self, first: str, second: str) -> float | None:
        """Return what a link cable between two devices has to reach; None where the rig doesn't say.

        To a console never less than the cable that runs there now, which was that long for a reason unless its `way_m`
        says otherwise: a desk may stand far from the stage. Between boxes on the stage their places say it.
        """
        if not self.is_stated(first, second):
            return None
        cables = self.rig.rig.cables.values()
        ran = next((row for row in cables if {end.device for end in row.ends} == {first, second}), None)
        if ran is not None and ran.way_m is not None:
            return ran.way_m
        devices = (self.rig.rig.devices[name] for name in (first, second))
        if all(device.model.chain is not None and device.along_stage_m is not None for device in devices):
            return self.apart_m(first, second)
        return max(self.apart_m(first, second), (ran and ran.length_m) or 0.0)

    def is_at_most(self, first: str, second: str) -> bool:
        """Whether a way is known by the link cables from one to the other alone, which may lie there in bights.

        Who says where both stand, or writes `way_m`, says how far it is.
        """
        cables = self.rig.rig.cables.values()
        is_written = any(
            row.way_m is not None and not row.way_at_most and {end.device for end in row.ends} == {first, second}
            for row in cables
        )
        return not is_written and any(self._along_m(name) is None for name in (first, second))


class Lack(NamedTuple):
    """A link cable that is shorter than the way between its new ends, or that is not there at all (of no length).

    `is_at_most` says that the way is no longer than `need_m`, and may well be shorter.
    """

    cable: Cable
    need_m: float | None
    is_at_most: bool = False

    def __str__(self) -> str:
        need = f"it {self.needs}" if self.need_m is not None else "how long it must be is not known"
        return f"{need}, {self.has}"

    @property
    def needs(self) -> str:
        """How long it has to be, where that is known."""
        return f"needs {'up to ' if self.is_at_most else ''}about {self.need_m or 0:g} m"

    @property
    def is_doubt(self) -> bool:
        """Whether the cable is there, and reaches if the way turns out to be shorter."""
        return self.is_at_most and self.need_m is not None and self.cable.length_m is not None

    @property
    def has(self) -> str:
        """What there is for it."""
        return "there is none for it" if self.cable.length_m is None else f"this is {self.cable.length_m:g} m"

    @property
    def way(self) -> str:
        """Where it would go."""
        return f"{self.cable.ends[0]} to {self.cable.ends[1]}"

    @property
    def fetching(self) -> str:
        """What is to be done before all else."""
        length = ", length not known," if self.need_m is None else f" of {self.need_m:g} m or more"
        name, has_m = self.cable.name, self.cable.length_m
        cable = f"{name} is {has_m:g} m" if has_m is not None else f"it is called {name} in the file"
        less = "; measure the way first, it may be shorter" if self.is_doubt else ""
        return f"fetch a link cable{length} for {self.way}: {cable}{less}"

    @property
    def longer(self) -> str:
        """How long the cable is that does it, where the way is known."""
        if self.is_at_most:
            return f"up to about {self.need_m or 0:g} m for {self.way}, to be measured first"
        return f"{self.need_m or 0:g} m or more for {self.way}"

    @property
    def lacking(self) -> str:
        """What is missing, in half a sentence, where the way is known."""
        has_m = self.cable.length_m
        has = f"{self.cable.name} is {has_m:g} m" if has_m is not None else "and none is left for it"
        return f"{self.way} {self.needs}, {has}"


def lacks(before: ResolvedRig, after: ResolvedRig) -> tuple[Lack, ...]:
    """Return the link cables that do not reach where they go in `after`, by the ways of `before`, or are not there.

    What stays where it was reaches, whatever the rig says of it, and so does what nobody knows.
    """
    stage = Stage(before)
    found = []
    for name, cable in after.rig.cables.items():
        was = before.rig.cables.get(name)
        if was is not None and set(was.ends) == set(cable.ends):
            continue
        ends = cable.ends[0].device, cable.ends[1].device
        need_m = stage.way_m(*ends)
        lack = Lack(cable, need_m, stage.is_at_most(*ends))
        is_there = was is not None or name in before.rig.loose_cables
        if cable.length_m is None:
            found += [] if is_there else [lack]
        elif need_m is not None and need_m > cable.length_m:
            found.append(lack)
    return tuple(found)


def ways_noted(before: ResolvedRig, after: ResolvedRig) -> dict[str, Any]:
    """Return the change that says of the link cables that do not reach how far they have to: the check goes by that."""
    noted = []
    for lack in lacks(before, after):
        if lack.need_m is not None:
            noted.append(nested((*lack.cable.trail, "way_m"), float_or_whole(lack.need_m)))
            noted += [nested((*lack.cable.trail, "way_at_most"), True)] if lack.is_at_most else []
    return merged(noted)


def float_or_whole(value_m: float) -> float:
    """Return metres as people write them: 45, not 45.0."""
    return int(value_m) if value_m == int(value_m) else value_m


def lacking_words(found: Sequence[Lack]) -> str:
    """Say in a sentence that the link cables that there are do not reach, or may not; nothing where they do."""
    known = [lack for lack in found if lack.need_m is not None]
    more = "; ".join(lack.way for lack in found if lack.need_m is None)
    words = [f"A link cable more is needed, how long is not known: {more}."] if more else []
    if known:
        ways = "; ".join(lack.lacking for lack in known)
        what = "one" if len(known) == 1 else "such"
        if all(lack.is_doubt for lack in known):
            words.insert(0, f"The link cables you have may not reach: {ways}. Measure the way, or fetch {what} first.")
        else:
            words.insert(0, f"It can't be done with the link cables you have: {ways}. Fetch {what} first.")
    return " ".join(words)
