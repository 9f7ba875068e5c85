"""Who gives a source its phantom power, by which switch, and who hears it when that is worked."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property

from lint.hunt.instead import Other, awake, kind_words, numbered
from lint.hunt.links import Links
from lint.hunt.part import Point
from lint.hunt.unlit import off_for_patch, off_for_plugs
from lint.hunt.witness import is_lit
from lint.plan.mains import switched_off, switcher
from lint.resolve.hearing import heard_on
from lint.resolve.lingering import STRANDED
from lint.resolve.phantom import BARRED, NEEDED, phantom_need
from lint.rig.address import Socket, spans
from lint.rig.rig import Channel, Source

POWERED_S = 60  # to mute, switch, wait ten seconds and listen, and the same way back


class Switched(Links):
    """Knows the switches of phantom power of one path, and has the words for working them."""

    # -- who gives it ----------------------------------------------------------------------------------------------

    @cached_property
    def _needing(self) -> Source | None:
        """The source of the path, where it needs phantom power."""
        row = self.rig.rig.sources[self.target.source] if self.target.source is not None else None
        return row if row is not None and phantom_need(row) == NEEDED else None

    @cached_property
    def _giving(self) -> tuple[Socket, ...]:
        """The sockets of the source at which somebody switches phantom power on; lit ones, if any is."""
        every = tuple(at for at in self._needing.sockets if self._givers(at)) if self._needing is not None else ()
        return tuple(at for at in every if is_lit(self.rig, at.device)) or every

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

    def _at_one_end(self, source: Source, every: Iterable[Channel]) -> dict[str, str]:
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
            "sharing": self._sharing(source, to[0]) if to else "",
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

    def _on_switches(self, source: Source | None, sockets: Iterable[Socket]) -> tuple[list[str], list[Channel]]:
        """Return the sources on the switches of some sockets, and all that is heard when those are worked."""
        at = [each for socket in sockets for each in self._on_switch(socket)]
        own = (source.name,) if source is not None else ()
        names = dict.fromkeys((*own, *(name for each in at for name in self.rig.sources_in.get(each, ()))))
        taking = [arrival.channel for arrival in self.rig.arrivals.values() if arrival.socket in at]
        heard = [channel for name in names for channel in heard_on(self.rig, name)]
        hunted = [self.target.channel] if self.target.channel is not None else []
        return list(names), awake(self.rig, (*hunted, *heard, *taking))

    def _switched(self, source: Source, sockets: Iterable[Socket]) -> dict[str, str]:
        """Return all that is heard when the switches of some sockets are worked, and who needs what they give."""
        names, heard = self._on_switches(source, sockets)
        rows = [self.rig.rig.sources[name] for name in names if name != source.name]
        needing = " and ".join(row.name for row in rows if phantom_need(row) == NEEDED)
        losing = f" (the same switch gives {needing} theirs: move what needs it to other inputs)" if needing else ""
        return {"switched": self._words_of(heard), "losing": losing}

    def _sharing(self, source: Source, channel: Channel | None) -> str:
        """Say which others the switch acts on by which a channel gives a source its phantom power."""
        at = self.rig.arrivals[channel.key].socket if channel is not None else None
        names = [name for each in (self._on_switch(at) if at is not None else ())
                 for name in self.rig.sources_in.get(each, ()) if name != source.name]  # fmt: skip
        return f" (the same switch acts on {' and '.join(names)})" if names else ""

    def _switch_words(self, sockets: Iterable[Socket], *handled: Source) -> str:
        """Say which channels switch phantom power at some sockets, and who else has none while it is off there."""
        every = list(dict.fromkeys(sockets))
        stuck = self._stuck(every)
        giving = {at: self._givers(at) for at in every if at not in stuck}
        at_mains = f", and {self._off_at_mains(stuck)}" if stuck else ""
        if not any(giving.values()):
            return at_mains
        by = numbered(dict.fromkeys(channel for channels in giving.values() for channel in channels))
        names = [name for at, channels in giving.items() if channels for name in self.rig.phantom.needed_at(at)]
        others = " and ".join(name for name in dict.fromkeys(names) if name not in {row.name for row in handled})
        return (f" by {by} (none for {others} meanwhile)" if others else f" by {by}") + at_mains

    def _stuck(self, sockets: Iterable[Socket]) -> list[Socket]:
        """Return the sockets where phantom power may still be on and no channel switches it off."""
        lingering = self.rig.phantom.lingering
        return [at for at in sockets if lingering.get(at) in STRANDED]

    def _off_at_mains(self, stuck: Sequence[Socket]) -> str:
        """Say what is switched off at the mains before a plug moves, as no channel switches it there."""
        devices = list(dict.fromkeys(at.device for at in stuck))
        where = " and ".join(map(str, stuck))
        return (
            f"as no channel switches phantom power off at {where}, {switcher(self.rig)} switches off "
            f"{switched_off(self.rig, devices)}, and leaves it so"
        )

    def _tried(self, row: Source, other: Other) -> dict[str, str]:
        """Return what is done to try another input, to stay with it, and to leave all as it was."""
        mute = self._switched(row, row.sockets)["switched"]
        back = (
            f"Mute {mute} again and turn down, phantom power off; {other.back}, phantom power on only where it was; "
            "wait ten seconds, bring up slowly."
        )
        return {"test": other.test, "keep": other.keep, "back": back}

    def _replugged(self, source: Source | None, taken: Sequence[Channel]) -> dict[str, str]:
        """Return what is muted and off while a plug of a leak goes where it belongs: it may be in any that is taken.

        What is plugged there has its phantom power by whatever leg: that of each goes off.
        """
        own = source.sockets if source is not None else ()
        arriving = (self.rig.arrivals[channel.key].socket for channel in taken)
        ends = [*own, *(socket for socket in arriving if socket is not None)]
        rows = (self.rig.rig.sources[name] for each in ends for name in self.rig.sources_in.get(each, ()))
        at = list(dict.fromkeys((*ends, *(leg for row in rows for leg in row.sockets))))
        stuck = self._stuck(at)
        givers = list(dict.fromkeys(c for socket in at if socket not in stuck for c in self._givers(socket)))
        names, heard = self._on_switches(source, at)
        handled = [source] if source is not None else []
        off = off_for_plugs(givers, [self.rig.rig.sources[name] for name in names], len(at))
        if stuck:
            off["unplugged"] = f"{off.get('unplugged', '')}{self._off_at_mains(stuck)}, wait ten seconds; "
        return {
            **off,
            "switched": numbered(dict.fromkeys((*heard, *taken))),
            "switch": self._switch_words(at, *handled),
        }

    def _unplugged(self, source: Source, others: str = "each other socket") -> dict[str, str]:
        """Return how phantom power goes off while a plug of a source moves, and on again; nothing where none is on.

        Where a plug stands that is not where it belongs the rig file does not say: it may be any of `others`.
        """
        if all(channel.phantom != "on" for channel in self.rig.rig.channels.values()):
            return {}
        homes = f"{' and '.join(map(str, source.sockets))}{self._switch_words(source.sockets, source)}"
        barred = f" ({source.name}, a {kind_words(source.kind)}, must not have it)"
        why = barred if phantom_need(source) == BARRED else ""
        off = f"phantom power off at {homes}"
        idle = f", all muted and turned down, {off}, ten seconds before"
        return {
            "unplugged": f"{off}, and at {others} that a plug leaves or goes to{why}, wait ten seconds; ",
            "replugged": "phantom power on only where it was, ten seconds, ",
            "idle": idle if any(map(self._givers, source.sockets)) else "",
        }  # fmt: skip

    def _up(self, sockets: Iterable[Socket]) -> str:
        """Say what a cure leaves to be done once another is in its place: all is to be as it was before the test."""
        givers = numbered(dict.fromkeys(channel for at in sockets for channel in self._givers(at)))
        on = f"see that phantom power is on again by {givers}, and " if givers else ""
        return f"; {on}bring up again slowly what is still muted or down"

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

    def _patching(self, channel: Channel, source: Source | None, home: Socket | None) -> dict[str, str]:
        """Return who is muted before a channel is patched from its socket: phantom power comes and goes with that."""
        if source is None or home is None:
            return {}
        guard = self._guard(channel, source, home)
        if not (channel.phantom == "on" or home == self._giver or guard):
            return {}
        words = off_for_patch(self.rig, [channel], source.name) | guard
        muted = self._switched(source, (home,))["switched"]
        there = " and all that hear what it is patched from now or share its switch" if words else ""
        return {**words, "muted": f"{muted}{there}"}

    def _guard(self, channel: Channel, source: Source, home: Socket) -> dict[str, str]:
        """Return that phantom power is off first where a source must not have it: who took its place may have it on."""
        if phantom_need(source) != BARRED or not self.rig.phantom.is_able(home):
            return {}
        own = self.rig.rig.channel_words(channel)
        off = f"see that the {self._switch_name(home)} is off by whoever takes it, {own} too, and wait ten seconds: "
        return {"unlit": f"{off}{source.name}, a {kind_words(source.kind)}, must not have it; "}
