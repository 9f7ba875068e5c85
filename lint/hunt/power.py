"""The parts by which a source gets its phantom power: its switch, and the leg of a split that it comes by.

A source that needs it and is given it by one leg alone is dead on every console when that leg, its box or its console
is: what powers it is a part of every path of it, before all that the signal passes. Where two legs give it, neither
is missed by itself: suspected is only that both are off. A box is taken to let go of its phantom power, or to keep it,
when its link is cut.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from functools import cached_property

from lint.hunt.causes import DEAD
from lint.hunt.instead import Other, other_input, place_of
from lint.hunt.links import Links
from lint.hunt.part import Part, Point
from lint.resolve.hearing import heard_on
from lint.resolve.phantom import NEEDED, phantom_need
from lint.rig.address import Socket, spans
from lint.rig.rig import Channel, Source

ONLY_DEAD = frozenset((DEAD,))
POWERED_S = 60  # to mute, switch, wait ten seconds and listen, and the same way back


class Power(Links):
    """Makes the parts of one path that give its source phantom power, and the words for them."""

    # -- who gives it ----------------------------------------------------------------------------------------------

    @cached_property
    def _needing(self) -> Source | None:
        """The source of the path, where it needs phantom power."""
        row = self.rig.rig.sources[self.target.source] if self.target.source is not None else None
        return row if row is not None and phantom_need(row) == NEEDED else None

    @cached_property
    def _giving(self) -> tuple[Socket, ...]:
        """The sockets of the source at which somebody switches phantom power on, lit or not."""
        return tuple(at for at in self._needing.sockets if self._givers(at)) if self._needing is not None else ()

    @property
    def _giver(self) -> Socket | None:
        """The only socket of the source at which somebody switches phantom power on."""
        return self._giving[0] if len(self._giving) == 1 else None

    @property
    def _other_giver(self) -> Socket | None:
        """The socket that alone gives phantom power, where the signal is heard by another."""
        return self._giver if self._giver != self.target.socket else None

    def _on_switch(self, socket: Socket) -> tuple[Socket, ...]:
        """Return the sockets that the switch of one acts on, itself included."""
        phantom = self.rig.phantom
        return phantom.sockets_on(phantom.switch_at(socket)) if self.rig.has_socket(socket) else (socket,)

    def _switch_name(self, socket: Socket) -> str:
        """Return the part that is the switch of a socket: one for all on it, whose fault is one."""
        return f"phantom power of {socket.device}/in/{spans([at.number for at in self._on_switch(socket)])}"

    def _givers(self, socket: Socket) -> list[Channel]:
        """Return the channels that say that phantom power is on at a socket."""
        if not self.rig.phantom.is_able(socket):
            return []
        at = self._on_switch(socket)
        taking = (arrival.channel for arrival in self.rig.arrivals.values() if arrival.socket in at)
        return [channel for channel in taking if channel.phantom == "on"]

    def _at_one_end(self, every: Iterable[Channel]) -> dict[str, str]:
        """Return where phantom power is looked at that nobody gives by the rig, and the one end that is to give it.

        It comes from one end of a split alone: two feeds work against each other.
        """
        rows = list(dict.fromkeys(every))
        ends = [
            channel
            for channel in rows
            if (at := self.rig.arrivals[channel.key].socket) and self.rig.phantom.may_be_on(at)
        ]
        calm = [channel for channel in ends if not self._feeds_twice(channel)]
        to = (calm or ends or rows)[:1]
        return {
            "phantom_at": self._words_of(rows), "phantom_to": self._words_of(to),
            "phantom_is": "is phantom power on at one of them",
            "one_end": ", at that one end alone and off at every other",
        }  # fmt: skip

    def _feeds_twice(self, channel: Channel) -> bool:
        """Whether the switch of a channel gives another source what it has by another leg already."""
        socket, rows = self.rig.arrivals[channel.key].socket, self.rig.rig.sources
        there = (
            {name: at for at in self._on_switch(socket) for name in self.rig.sources_in.get(at, ())} if socket else {}
        )
        return any(self.rig.phantom.fed_elsewhere(rows[name], at) for name, at in there.items())

    # -- words -----------------------------------------------------------------------------------------------------

    def _words_of(self, channels: Iterable[Channel | None]) -> str:
        every = dict.fromkeys(channel for channel in channels if channel is not None)
        return " and ".join(map(self.rig.rig.channel_words, every))

    def _on_switches(self, source: Source, sockets: Iterable[Socket]) -> tuple[list[str], list[Channel]]:
        """Return the sources on the switches of some sockets, and all that is heard when those are worked."""
        at = [each for socket in sockets for each in self._on_switch(socket)]
        names = dict.fromkeys((source.name, *(name for each in at for name in self.rig.sources_in.get(each, ()))))
        taking = [arrival.channel for arrival in self.rig.arrivals.values() if arrival.socket in at]
        heard = [channel for name in names for channel in heard_on(self.rig, name)]
        own = [self.target.channel] if self.target.channel is not None else []
        return list(names), list(dict.fromkeys((*own, *heard, *taking)))

    def _switched(self, source: Source, sockets: Iterable[Socket]) -> dict[str, str]:
        """Return all that is heard when the switches of some sockets are worked, and who needs what they give."""
        names, heard = self._on_switches(source, sockets)
        rows = [self.rig.rig.sources[name] for name in names if name != source.name]
        needing = " and ".join(row.name for row in rows if phantom_need(row) == NEEDED)
        losing = f" (the same switch gives {needing} theirs: move what needs it to other inputs)" if needing else ""
        return {"switched": self._words_of(heard), "losing": losing}

    def _split_words(self, row: Source, at: Socket) -> dict[str, str]:
        """Return what else goes through a split, and what it takes to join its cables past it for one socket."""
        splits = self.rig.rig.splits.values()
        others = [name for split in splits if row.name in split.sources for name in split.sources if name != row.name]
        power, kept, judged = self._joined(row, at)
        mute = self._switched(row, row.sockets)["switched"]
        apart = (
            f"Mute {mute} again and turn down, phantom power off; take the two apart and plug both in as they were, "
            "phantom power on only where it was; wait ten seconds, bring up slowly."
        )
        here = self._hearing(at)
        gone = self._words_of(channel for channel in heard_on(self.rig, row.name) if channel not in here)
        return {
            "others": f", and does another source get through it, such as {others[0]}" if others else "",
            "power": power, "kept": kept, "judged": judged, "gone": f", and no more on {gone}" if gone else "",
            "apart": apart if power else "",
            "joined": f"the cable from {row.name} to the one to {at}", "stay": "leave the two joined",
        }  # fmt: skip

    def _tried(self, row: Source, other: Other) -> dict[str, str]:
        """Return what is done to try another input, to stay with it, and to leave all as it was."""
        mute = self._switched(row, row.sockets)["switched"]
        back = (
            f"Mute {mute} again and turn down, phantom power off; {other.back}, phantom power on only where it was; "
            "wait ten seconds, bring up slowly."
        )
        return {"test": other.test, "keep": other.keep, "back": back}

    def _joined(self, row: Source, at: Socket) -> tuple[str, str, str]:
        """Return what gives phantom power once two cables are joined: for the test, for good, and how it is judged."""
        judged = "does it do as it should with that"
        if phantom_need(row) != NEEDED or self._givers(at):
            return "", "", judged
        on = self._words_of(self._hearing(at)) or str(at)
        alone = f"{judged}, and not with that phantom power alone"
        if not self.rig.phantom.may_be_on(at):
            own = "with a phantom supply of its own in between"
            return f", {own} (s if the house has none)", f", {own}", alone
        return (
            f", with phantom power on at {on} for as long as that",
            f", with phantom power on at {on} from now",
            alone,
        )

    def _hearing(self, at: Socket) -> list[Channel]:
        """Return the channels that hear a socket."""
        return [arrival.channel for arrival in self.rig.arrivals.values() if arrival.socket == at]

    def _spare_channel(self, power: str = "") -> Point | None:
        """Where the channel itself switches phantom power on, a wrong patch takes it away: the spare one gives it then.

        That would hide that it is off: whether it is has been looked at before.
        """
        row, home, channel = self._needing, self.target.socket, self.target.channel
        if row is None or home is None or self._giver != home or self._givers(home) != [channel]:
            return super()._spare_channel(power)
        point = super()._spare_channel(" and its phantom power on, wait ten seconds")
        if point is None:
            return None
        mute = self._switched(row, (home,))["switched"]
        back = (
            f"Mute {mute} again, leave the phantom power at {self.target.point} as it was and channel "
            f"{self._spare_number()} without a patch; wait ten seconds, bring up slowly."
        )
        ask = f"Mute {mute}; o{point.ask[1:]}"
        return point._replace(ask=ask, seconds=POWERED_S, after=frozenset(("phantom-off",)), back=back)

    def _patching(self) -> dict[str, str]:
        """Return who is muted before the channel is patched: phantom power comes and goes with that."""
        row, home = self._needing, self.target.socket
        if row is None or home is None or self._giver != home:
            return {}
        return {"muted": self._switched(row, (home,))["switched"]}

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
        words = {**words, **self._switched(row, ends)}
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
        channel = self.target.channel
        parts = []
        if channel is None or channel.console != console:
            parts.append(replace(self._box(console), title=f"the console {console}"))
        if box is not None:
            order = ", ".join(each.device for each in self.rig.chains[box.link].boxes)
            words = {"console": console, "order": order}
            parts.append(self._part(f"chain {box.link}", f"the chain on {box.link}", ("chain",), words))
            parts += reversed(self._way(box, console))
        # What lights the leg; what the signal passes itself stands there, and is told of all the same.
        lit = frozenset(part.name for part in parts)
        own = self._own_way
        parts = [replace(part, only=ONLY_DEAD) for part in parts if part.name not in own]
        if parts:
            parts[-1] = replace(parts[-1], points=tuple(self._arriving_beside(leg, console, lit)))
        yield from parts
        yield from self._asking(row, leg)

    def _asking(self, row: Source, leg: Socket) -> Iterator[Part]:
        """Yield the patch of the only channel, other than the hunted one, that asks for phantom power at a socket."""
        givers = self._givers(leg)
        if len(givers) == 1 and givers[0] != self.target.channel:
            said = self.rig.rig.channel_words(givers[0])
            words = {
                "console": givers[0].console, "channel": said, "point": str(givers[0].patched_from),
                "muted": self._switched(row, (leg,))["switched"],
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

    def _behind_split(self, row: Source, at: Socket, words: Mapping[str, str], *into: Point) -> tuple[Part, Part]:
        """Return the way of an analogue split to a socket, and the cable from there."""
        split = self._split_of(row)
        box = f"the {split}"
        words = {**words, "split": box, **self._split_words(row, at)}
        way = self._part(f"{split} to {at}", f"the way of {box} to {at}", ("split-way",), words)
        leg = {**words, "line": f"the cable of {row.name} from {box}", "source": f"{box} ({row.name})"}
        return way, self._part(f"leg to {at}", f"the cable from {box} to {at}", ("line",), leg, *into)

    def _split_of(self, row: Source) -> str:
        """Return the part that splits a source that is plugged in more than once: the rig has to declare it."""
        return f"split {next(split.name for split in self.rig.rig.splits.values() if row.name in split.sources)}"

    @property
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
