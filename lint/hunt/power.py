"""The parts by which a source gets its phantom power: its switch, and the leg of a split that it comes by.

A source that needs it and is given it by one leg alone is dead on every console when that leg, its box or its console
is: what powers it is a part of every path of it, before all that the signal passes. Where two legs give it, neither
is missed by itself: suspected is only that both are off. A box is taken to let go of its phantom power, or to keep it,
when its link is cut.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cached_property

from lint.hunt.causes import DEAD
from lint.hunt.instead import numbered, other_input, place_of
from lint.hunt.part import Part, Point
from lint.hunt.splits import Splits
from lint.hunt.switched import POWERED_S
from lint.hunt.unlit import off_for_order
from lint.hunt.witness import is_lit
from lint.resolve.dark import way_of
from lint.resolve.phantom import NEEDED, phantom_need
from lint.rig.address import Socket
from lint.rig.rig import Source

ONLY_DEAD = frozenset((DEAD,))


class Power(Splits):
    """Makes the parts of one path that give its source phantom power."""

    # -- parts -----------------------------------------------------------------------------------------------------

    def _power(self, row: Source, words: Mapping[str, str]) -> Iterator[Part]:
        """Yield what gives a source phantom power, in the order in which that comes to it; nothing if it needs none."""
        if self._needing is None:
            return
        leg = self._other_giver
        if leg is not None:
            yield from self._upstream(row, leg)
        if len(switches := dict.fromkeys(map(self._switch_name, self._giving))) > 1:
            at = {"phantom_at": self._words_of(each for leg in self._giving for each in self._givers(leg))}
            name = f"phantom power of {' and '.join(switch.rpartition(' ')[2] for switch in switches)}"
            every = {**words, **self._switched(row, self._giving), **at}
            yield self._part(name, f"the {name}", ("phantom-twice",), every)
            return
        home = self._giver or self.target.socket or row.sockets[0]
        if leg is None and self._giver is not None:
            yield from self._asking(row, home)
        name = self._switch_name(home)
        ends = (home,) if self._giver is not None else row.sockets
        words = {**words, **self._switched(row, ends), "lingering": self._lingering(row)}
        title = f"the {' and '.join((name, *(str(at) for at in ends if at not in self._on_switch(home))))}"
        yield self._part(name, title, ("phantom",), words)
        if leg is not None:
            yield from self._by_leg(row, leg, words)

    def _upstream(self, row: Source, leg: Socket) -> Iterator[Part]:
        """Yield the console, link cables and boxes that give a leg its phantom power, and the patch that asks for it.

        What the signal passes as well stands where it passes that.
        """
        box = self.rig.boxes.get(leg.device)
        console = box.link.device if box is not None else leg.device
        parts = [self._desk(console)]
        if box is not None:
            order = ", ".join(each.device for each in self.rig.chains[box.link].boxes)
            words = {"console": console, "order": order, **off_for_order(self.rig, box.link)}
            if self._is_by_order(box, "in"):
                parts.append(self._part(f"chain {box.link}", f"the chain on {box.link}", ("chain",), words))
            parts += reversed(self._way(box, console))
        # What lights the leg; what the signal passes itself stands there, and is told of all the same.
        lit = frozenset(part.name for part in parts)
        own = self._own_way
        parts = [self._passed_by(part, row) for part in parts if part.name not in own]
        if parts:
            parts[-1] = replace(parts[-1], points=tuple(self._arriving_beside(leg, console, lit)))
        yield from parts
        yield from self._asking(row, leg)

    def _passed_by(self, part: Part, row: Source) -> Part:
        """Return a part that only powers a source, with how that does without it: by the leg that is hunted."""
        home, words = self.target.socket, dict(part.words)
        is_free = home is not None and self.rig.phantom.may_be_on(home) and not self._givers(home)
        if "without" in words and home is not None and is_free and is_lit(self.rig, home.device):
            mute = self._switched(row, (home,))["switched"]
            circuit = self.rig.device(part.name.rpartition(" ")[2]).circuit
            way = dict.fromkeys(way_of(self.rig, home.device)) if circuit is not None else ()
            with_it = [name for name in way if self.rig.device(name).circuit == circuit]
            where = f", where {' and '.join(with_it)} {'is' if len(with_it) == 1 else 'are'} lit" if with_it else ""
            words["without"] += (
                f". {row.name} can have its phantom power from {self.words['channel']} meanwhile{where}: mute {mute}, "
                "switch it on there, wait ten seconds, bring all up slowly; it is off there again before the other end "
                "is lit"
            )
        return replace(part, only=ONLY_DEAD, words=words)

    def _lingering(self, row: Source) -> str:
        """Return which plugs come out first: where phantom power may still be on, whoever switches it off."""
        left = [at for at in row.sockets if at in self.rig.phantom.lingering]
        if not left:
            return ""
        stuck = self._stuck(left)
        on = {each for at in left if at not in stuck for each in self._on_switch(at)}
        by = [a.channel for a in self.rig.arrivals.values() if a.socket in on and a.channel.phantom == "on"]
        off = [f"switch phantom power off at {numbered(by)}"] if by else []
        off += [self._off_at_mains(stuck)] if stuck else []
        take = f"take {row.name} out of {' and '.join(map(str, left))} (both ends are too many)"
        return f"{' and '.join(off)}; ten seconds later {take}, "

    def _asking(self, row: Source, leg: Socket) -> Iterator[Part]:
        """Yield the patch of the only channel, other than the hunted one, that asks for phantom power at a socket."""
        givers = self._givers(leg)
        if len(givers) == 1 and givers[0] != self.target.channel:
            said = self.rig.rig.channel_words(givers[0])
            words = {
                "console": givers[0].console, "channel": said, "point": str(givers[0].patched_from),
                **self._patching(givers[0], row, leg),
            }  # fmt: skip
            part = self._part(f"patch {givers[0].address}", "the input patch of {channel}", ("patch",), words)
            yield replace(part, only=ONLY_DEAD)

    def _arriving_beside(self, leg: Socket, console: str, lit: frozenset[str]) -> Iterator[Point]:
        """Yield the questions whether another source of the device that gives phantom power arrives: it is lit then.

        One that goes through the same split clears that as well, or leaves it.
        """
        told: set[frozenset[str]] = set()
        sources = self.rig.rig.sources  # one that needs no phantom power hangs on less of what is suspected
        rows = sorted(
            self._arriving_at(leg.device, console),
            key=lambda row: (phantom_need(sources[row[0]]) == NEEDED, abs(row[1].number - leg.number)),
        )
        for name, _, channel in rows:
            split = self._split_shared(name)
            if name == self.target.source or split in told:
                continue
            told.add(split)
            ask = (
                f"{{source}} has its phantom power from {leg.device}. Does another source there arrive, such as "
                f"{name}: does the input meter of {self.rig.rig.channel_words(channel)} move when it sounds?"
            )
            kind = "beside-split" if split else "beside-power"
            yield Point(kind, ask, 5, substitute=True, behind=lit | split, symptoms=ONLY_DEAD)

    def _by_leg(self, row: Source, leg: Socket, words: Mapping[str, str]) -> Iterator[Part]:
        """Yield the way of phantom power from a socket to the split, and the question whether it is what is missing."""
        hearing = self._hearing(leg)
        console = hearing[0].console if hearing else leg.device
        other = other_input(self.rig, row, leg, console, self._words_of(hearing[:1])) if hearing else None
        place = {**words, "socket": place_of(self.rig, leg), "device": leg.device}
        tried = {**place, **self._tried(row, other)} if other is not None else place
        kinds = ("socket",) if other is not None else ("lone-socket",)
        way, line = self._behind_split(row, leg, place)
        seen = f"the input meter of {self._words_of(hearing[:1])}" if hearing else "the lamp of a phantom power tester"
        judged = f"does {seen} show {row.name} with that, as it did not before"
        way = replace(way, words={**way.words, "judged": judged, **self._to_home(row)}, points=self._given_here(row))
        for part in (self._part(f"socket {leg}", f"the socket {leg}", kinds, tried), line, way):
            yield replace(part, only=ONLY_DEAD)

    def _to_home(self, row: Source) -> dict[str, str]:
        """Return how to do without a leg that only powers: the source goes straight to the hunted end."""
        home = self.target.socket
        if home is None:
            return {}
        words = self._split_words(row, home)
        mute = self._switched(row, row.sockets)["switched"]
        return {
            "stay": f"mute {mute} and turn down, phantom power off, and join {words['joined']} instead",
            "kept": f"{words['kept']}, wait ten seconds, bring up slowly", "gone": words["gone"],
        }  # fmt: skip

    def _given_here(self, row: Source) -> tuple[Point, ...]:
        """Return the question whether phantom power by the leg that is hunted puts it right."""
        home, channel, leg = self.target.socket, self.target.channel, self._other_giver
        if home is None or channel is None or leg is None or not self.rig.phantom.may_be_on(home):
            return ()
        mute = self._switched(row, (home, leg))["switched"]
        giving = self._words_of(self._givers(leg))
        ask = (
            f"Mute {mute} and turn down; switch phantom power off at {giving}, then on at {{channel}}, for this test "
            "alone; wait ten seconds, bring up slowly: is {source} right at {end} with that (s if the split lets none "
            "through from there, as one with transformers)?"
        )
        back = (
            f"Mute {mute} again and turn down, switch phantom power off at {{channel}} and back at {giving} as you "
            "found it; wait ten seconds, bring up slowly."
        )
        # It is on elsewhere, or that is the fault: so that is looked at first, and what is put back is known.
        after = frozenset(("phantom-off",))
        return (Point("power-here", ask, POWERED_S, substitute=True, symptoms=ONLY_DEAD, after=after, back=back),)

    @cached_property
    def _own_way(self) -> frozenset[str]:
        """The names of the boxes, link cables and chain that the signal passes to its console."""
        home = self.target.socket
        return frozenset(part.name for part in self._links(home.device, True)) if home is not None else frozenset()

    # -- what others share of it -----------------------------------------------------------------------------------

    @property
    def _shared_switch(self) -> tuple[frozenset[str], frozenset[str]] | None:
        """The parts that switch its phantom power on, and the sources that have what they need by that alone too."""
        home = self._giver
        if home is None:
            return None
        at = self._on_switch(home)
        rows = (row for row in self.rig.rig.sources.values() if len(row.sockets) == 1 and row.sockets[0] in at)
        assert self._needing is not None
        parts = {self._switch_name(home), *(part.name for part in self._asking(self._needing, home))}
        return frozenset(parts), frozenset(row.name for row in rows if phantom_need(row) == NEEDED)

    def _shares_power(self, device: str) -> bool:
        """Whether what is plugged into a device falls silent with what powers the source by another leg."""
        leg = self._other_giver
        if leg is None:
            return False
        theirs, ours = self.rig.boxes.get(device), self.rig.boxes.get(leg.device)
        return device == leg.device or (theirs is not None and ours is not None and theirs.link == ours.link)

    def _power_shared(self, row: Source) -> tuple[frozenset[str], frozenset[str]]:
        """Return the parts that give phantom power to every leg, and those of the signal's own way that do as well.

        Those first are right where any console hears the source; of the others only that they may be at fault.
        """
        names = frozenset(part.name for part in self._power(row, {}))
        if self._giver is None or len(row.sockets) < 2:
            return names, frozenset()
        leg, home = self._other_giver, self.target.socket
        if leg is not None:
            box = self.rig.boxes.get(leg.device)
            way = {part.name for part in self._way(box, box.link.device)} if box is not None else set()
            return names, self._own_way & {*way, *([f"chain {box.link}"] if box is not None else [])}
        givers = self._givers(self._giver)
        patch = {f"patch {givers[0].address}"} if len(givers) == 1 else set()
        own = {f"{self._split_of(row)} to {home}", f"leg to {home}", f"socket {home}", *patch}
        return names, self._own_way | own
