"""What hangs on the same output sockets, what each of them is to carry, and what that is worth."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from typing import NamedTuple

from lint.plan.ends import End, ends_of, plug_words
from lint.plan.feeding import Wish
from lint.plan.intent import Intent
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Signal, Socket


class Hang(NamedTuple):
    """What hangs on the same sockets: destinations and amplifiers that one plug, or one row of plugs, feeds.

    `names` are what it is called, `destinations` and `amplifiers` its rows in the rig. `wants` has what each socket is
    to carry, by everything that says so; `movable` is false where others hang on some of its sockets but not all, and
    where it has no power. `plug` is what is really plugged: the amplifier, where one drives what hangs there.
    """

    names: tuple[str, ...]
    destinations: tuple[str, ...]
    amplifiers: tuple[str, ...]
    sockets: tuple[Socket, ...]
    wants: tuple[tuple[Wish, ...], ...]
    movable: bool
    plug: str

    def wants_only(self, signals: Collection[Signal]) -> bool:
        """Whether all that it is to carry is among some signals."""
        wanted = {want.signal for wants in self.wants for want in wants}
        return bool(wanted) and wanted <= set(signals)


def hangs_of(rig: ResolvedRig, intent: Intent, dead: Collection[str], mute: Collection[Signal] = ()) -> list[Hang]:
    """Return what hangs on the outputs, the same sockets together; what has no power is left where it is.

    What is to carry nothing but `mute` signals comes after all the rest.
    """
    ends = ends_of(rig)
    worths = _worths(ends, intent, mute)
    by_sockets: dict[tuple[Socket, ...], list[str]] = {}
    for name, end in ends.items():
        by_sockets.setdefault(end.sockets, []).append(name)
    uses: dict[Socket, int] = {}
    for sockets in by_sockets:
        for socket in sockets:
            uses[socket] = uses.get(socket, 0) + 1
    hangs = []
    for sockets, names in by_sockets.items():
        wants = tuple(
            tuple(
                Wish(intent.outputs[name, i], worths[name])
                for name in names
                if (name, i) in intent.outputs and name not in dead
            )
            for i in range(len(sockets))
        )
        amplifiers = [entry for entry in rig.rig.amplifiers.values() if set(entry.sockets) & set(sockets)]
        alone = all(uses[socket] == 1 for socket in sockets) and all(a.sockets == sockets for a in amplifiers)
        movable = alone and not any(name in dead for name in names)
        destinations = tuple(name for name in names if name in rig.rig.destinations)
        driving = tuple(amplifier.name for amplifier in amplifiers)
        plug = plug_words(rig, names, sockets)
        hangs.append(Hang(tuple(names), destinations, driving, sockets, wants, movable, plug))
    return hangs


def worth(wishes: Iterable[Wish]) -> int:
    """Return what wishes count for together."""
    return sum(wish.worth for wish in wishes)


def _worths(ends: Mapping[str, End], intent: Intent, mute: Collection[Signal]) -> Mapping[str, int]:
    """Return what a wish of each end counts for: more than all of the ranks behind it together."""
    plays = {name for (name, _), signal in intent.outputs.items() if signal not in mute}
    place = {name: (name not in plays, ends[name].rank) for name, _ in intent.outputs if name in ends}
    count = Counter(place[name] for name, _ in intent.outputs if name in ends)
    worths, weight = {}, 1
    for rank in sorted(count, reverse=True):
        worths[rank] = weight
        weight *= count[rank] + 1
    return {name: worths[rank] for name, rank in place.items()}
