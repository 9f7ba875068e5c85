"""The parts of a path from a source to the console that hears it, by a split where there is one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from lint.hunt.borrow import borrowed, left_without, lender, source_kinds, tester
from lint.hunt.causes import DEAD, DISTORTED, NOISE, WRONG
from lint.hunt.instead import awake, kind_words, numbered, other_input, place_of, thing_words
from lint.hunt.leaks import channels_in, taker_of
from lint.hunt.links import heard_beside
from lint.hunt.part import Part, Point
from lint.hunt.power import Power
from lint.hunt.unlit import off_for_patch
from lint.resolve.hearing import handled_with, heard_on
from lint.resolve.phantom import BARRED, NEEDED, phantom_need
from lint.rig.address import Socket, spans
from lint.rig.rig import Channel, Source
from lint.walk.row_words import titled

_DEAD = frozenset((DEAD,))
_HEARD = frozenset((WRONG, NOISE, DISTORTED))
_POWERED = frozenset(("phantom-off",))
HARMFUL = frozenset(("phantom-on",))  # to a microphone that must not have it, such as a ribbon
MOST_INLETS = 3  # named in a question


class Inputs(Power):
    """Makes the parts of one path before the console."""

    def _input(self, source: str, socket: Socket) -> Iterator[Part]:
        row = self.rig.rig.sources[source]
        twin, put_in = lender(self.rig, row), tester(self.rig, row)
        kinds, works = source_kinds(row, put_in)
        place = place_of(self.rig, socket)
        words = {
            "socket": place, "device": socket.device, **self._gain(), **self._phantom(row),
            "line": titled(f"the cable of {source}", row.cable),
            "another": f"another {kind_words(row.kind)} that works ({borrowed(twin)})",
            "lent": left_without(twin), "thing": thing_words(row), **self._care(row),
            "battery": "its battery" if row.kind == "passive-di" else "the battery of either",
            "opened": self._opened(socket),
        }  # fmt: skip
        yield from self._power(row, words)
        if row.kind.endswith("-di"):
            title = f"the lead from the instrument to {words['thing']}"
            yield self._part(f"lead of {source}", title, ("lead",), words)
        tests = self._tests(row, works)
        words |= self._lent(row, put_in, "tested")
        title = "{thing}" if row.kind.endswith("-di") else "{source} itself"
        swapped = {**words, **self._lent(row, twin, "lent")}
        points = (tests[0], *self._split_points(source, socket))
        itself = self._part(f"source {source}", title, kinds, swapped, *points)
        yield replace(itself, harmful=HARMFUL) if row.kind.endswith("microphone") else itself
        yield from self._lines(row, socket, words, tests[1])
        links = list(self._links(socket.device, towards_console=True))
        shared = self._neighbour(source, socket, frozenset(part.name for part in links), self._shared_switch)
        unfed = self._other_giver is not None  # where it has phantom power too that would mend what gives it
        other = other_input(self.rig, row, socket, self._console(socket), self.words["channel"], unfed)
        tried = {**words, **self._tried(row, other)} if other is not None else words
        kinds = ("socket",) if other is not None else ("lone-socket",)
        passed = self._on_the_way(source, socket, links)
        dead = next((each.words for each in self.rig.rig.dead.values() if socket in each.sockets), None)
        known = {"input-broken" if other is not None else "input-worn": dead} if dead is not None else {}
        yield self._part(f"socket {socket}", f"the socket {socket}", kinds, tried, shared, *passed, known=known)
        if (channel := self.target.channel) is not None:
            # Gain acts at the socket, before every meter of the channel.
            yield self._part(f"gain {channel.address}", "{gained}", ("gain",), words)
        yield from links

    def _tests(self, row: Source, works: str) -> tuple[Point, Point]:
        """Return the questions whether what works is right in the place of a source, and in that of its last plug.

        It is judged where the symptom is: it passes every part that follows.
        """
        at = f"Go to {row.name}, which is plugged into {' and '.join(map(str, row.sockets))}"
        ask = f"{at}: take its cable off and put {works} on it: is it right at {{end}}?"
        seen = _POWERED  # as it was is as somebody saw it
        source = Point("at-source", ask, 60, True, True, after=seen, back="{tested_back}", borrows="tested")
        ask = f"Go to {{socket}}: swap {row.name} for {works}: is it right at {{end}}?"
        return source, Point("at-socket", ask, 60, True, True, after=seen, back="{tested_back}", borrows="tested")

    def _lines(self, row: Source, socket: Socket, words: Mapping[str, str], into: Point) -> Iterator[Part]:
        """Yield the cable of a source; behind an analogue split the leg from there to the socket by itself."""
        name = f"line of {row.name}"
        if len(row.sockets) < 2:
            yield self._part(name, f"the cable from {row.name} to {socket}", ("line",), words, into)
            return
        split = self._split_of(row)
        box = f"the {split}"
        inner = {**words, "socket": f"{row.name}'s way of {box}"}
        if not self.target.leaks:
            inner |= self._unplugged(row, "the sockets behind each other way")
        yield self._part(name, f"the cable from {row.name} to {box}", ("line",), inner)
        way, leg = self._behind_split(row, socket, words, into)
        yield self._part(split, box, ("split",), way.words)
        yield from self._earths(row, socket, words)
        yield from self._legs_as_one(row, socket, words)
        yield from (way, leg)

    def _arriving(self, console: str) -> Iterator[Part]:
        """Yield how a source may get into a console that has no channel for it: its plug, theirs, a wrong patch."""
        source, socket, taken = self.target.source, self.target.socket, self._taken
        row = self.rig.rig.sources[source] if source is not None else None
        words = {"console": console, **self._inlets(taken), **self._replugged(row, taken)}
        made = []
        if row is not None and socket is not None:
            line = titled(f"the cable of {source}", row.cable)
            words |= {"socket": place_of(self.rig, socket), "line": line, **self._care(row)}
            made.append(self._part(f"line of {source}", f"the cable from {source} to {socket}", ("line",), words))
        if socket is not None and self.rig.input_point(socket, console) is not None:
            made += self._links(socket.device, towards_console=True)
            patch = {
                **words,
                "channel": f"each channel that {taker_of(self.target)} takes",
                "point": self._inlets(taken, patch=True)["inlets"],
                **off_for_patch(self.rig, taken),
            }
            made.append(self._part(f"patch {console}", f"the input patch of {console}", ("patch",), patch))
        elif taken:
            title = f"the inputs of {console} for {taker_of(self.target)}"
            made.append(self._part(f"inputs of {console}", title, ("inlet",), words))
        if taken and not self._is_part_of_it(taken):
            ask = (
                f"Have {{source}} alone sound and look at the input meters on {console}, of {{inlets}}: does none "
                "move, or only a little those of microphones near it?"
            )
            made[-1] = replace(made[-1], points=(*made[-1].points, Point("only-meter", ask, 8)))
        yield from made

    def _is_part_of_it(self, taken: Sequence[Channel]) -> bool:
        """Whether a mix that leaks takes a source of some channels: their meters move with it, as they should."""
        name = self.target.name
        ours = channels_in(self.rig, name) if name in self.rig.rig.mixes else []
        within = {source for channel in ours for source in self.rig.arrivals[channel.key].sources}
        return any(within.intersection(self.rig.arrivals[channel.key].sources) for channel in taken)

    def _inlets(self, taken: Sequence[Channel], patch: bool = False) -> dict[str, str]:
        """Return what is to be plugged in where for some channels, or patched from where; of many only the first."""
        rows = []
        for channel in taken:
            arrival = self.rig.arrivals[channel.key]
            at = channel.patched_from if patch else arrival.socket or channel.patched_from
            wanted = channel.carries if isinstance(channel.carries, str) else " and ".join(arrival.sources)
            if at is not None:
                rows.append(f"{at} ({wanted})" if wanted else str(at))
        more = f" and {len(rows) - MOST_INLETS} more" if len(rows) > MOST_INLETS else ""
        return {"inlets": ", ".join(rows[:MOST_INLETS]) + more}

    def _gain(self) -> dict[str, str]:
        """Return where the gain of the channel is set, how much it is, and who hears it change.

        Who listens to a link hears it at the gain that its owner sets.
        """
        channel, socket = self.target.channel, self.target.socket
        box = self.rig.boxes.get(socket.device) if socket is not None else None
        setting, gained = channel, self.words["channel"]
        if channel is not None and socket is not None and box is not None and box.link.device != channel.console:
            owners = [each for each in self._hearing(socket) if each.console == box.link.device]
            setting = owners[0] if owners else None
            gained = self._words_of(owners[:1]) or f"{socket} on {box.link.device}"
        known = setting is not None and setting.gain_db is not None
        return {
            "gain": f"{setting.gain_db:g} dB" if setting is not None and known else "as on a good day",
            "gained": gained,
            "gain_heard": self._words_of(dict.fromkeys((channel, setting))) or gained,
        }

    def _phantom(self, source: Source) -> dict[str, str]:
        """Return where phantom power is looked at: needed, where it comes from; barred, wherever it may come from."""
        every = [channel for channel in (self.target.channel, *heard_on(self.rig, source.name)) if channel]
        every = awake(self.rig, every)
        need = phantom_need(source)
        if need == NEEDED:  # at a dead socket a switch tells nothing
            every = [row for row in every if not self._is_at_dead(row)] or every
        fed = [channel for channel in every if channel.phantom == "on"]
        if need == NEEDED and (fed or len({channel.console for channel in every}) < 2):
            giver = self._words_of(fed[:1]) or self.words["channel"]
            sharing = self._sharing(source, next(iter(fed), self.target.channel))
            return {"phantom_at": giver, "phantom_to": giver, "sharing": sharing}
        if need == NEEDED:
            return self._at_one_end(source, every)
        if need == BARRED:
            at = [each for socket in source.sockets for each in self._on_switch(socket)]
            every += [arrival.channel for arrival in self.rig.arrivals.values() if arrival.socket in at]
        off = "is phantom power off on each of them" if len(set(every)) > 1 else "is its phantom power off"
        return {"phantom_at": self._words_of(every) or self.words["channel"], "phantom_off": off}

    def _is_at_dead(self, channel: Channel) -> bool:
        socket = self.rig.arrivals[channel.key].socket
        return socket is not None and self.rig.is_dead(socket)

    def _care(self, source: Source) -> dict[str, str]:
        """Return what is muted before hands are laid on a source, its cables or its sockets, and those sockets.

        Whatever console hears it by whatever leg: one that is plugged clicks in all of them.
        """
        handled = handled_with(self.rig, source)
        every = awake(self.rig, (c for c in (self.target.channel, *handled) if c is not None))
        consoles = dict.fromkeys(channel.console for channel in every)
        moved = self._replugged(source, self._taken) if self.target.leaks else self._unplugged(source)
        return {
            "heard_on": " and ".join(map(self.rig.rig.channel_words, every)) or self.words["channel"],
            **self._switched(source, (self.target.socket or source.sockets[0],)),
            "everywhere": _everywhere(len(consoles)),
            "up": self._up(source.sockets),
            "sockets": " and ".join(map(str, source.sockets)) if len(source.sockets) > 1 else "",
            "switch": self._switch_words(source.sockets, source),
            **moved,
        }

    def _lent(self, source: Source, other: Source | None, key: str) -> dict[str, str]:
        """Return what is muted and has its phantom power off where another is unplugged to be put in a place.

        It leaves a socket that may have it: all that hears that, and all on its switch, click as well. `key` is what
        the question says that it borrows; under `key`_back stands how all goes back where it was.
        """
        home, theirs = self.target.socket or source.sockets[0], other.sockets if other is not None else ()
        _, heard = self._on_switches(source, (home, *theirs))
        at = [each for socket in theirs for each in self._on_switch(socket)]
        numbers = {device: [each.number for each in at if each.device == device] for device in [e.device for e in at]}
        group = " and ".join(f"{device}/in/{spans(sorted(some))}" for device, some in numbers.items())
        lending = f" and {other.name}'s {group}" if other is not None and theirs else ""
        care = {
            "mute": numbered(heard) or self.words["channel"],
            "everywhere": _everywhere(len({channel.console for channel in heard})),
            "sockets": f"{' and '.join(map(str, source.sockets))}{lending}",
            "switch": self._switch_words((*source.sockets, *theirs), *(row for row in (source, other) if row)),
        }
        into = f"put {other.name} back into {self._plug_of(other)}, " if other is not None and theirs else ""
        back = (
            "Mute {mute} again and turn down{everywhere}, phantom power off at {sockets}{switch}, wait ten seconds; "
            "take out what was borrowed, {into}and leave {source} as it was, phantom power on only where it was; wait "
            "ten seconds, bring up slowly."
        ).format(**care, into=into, source=source.name)
        care |= {"back": back, "up": self._up((*source.sockets, *theirs))}
        return {f"{key}_{name}": text for name, text in care.items()}

    def _split_points(self, source: str, socket: Socket) -> Iterator[Point]:
        """Yield the questions whether a source is right on another console: that clears or blames what they share.

        Whether it arrives is seen at a meter; all else is heard. What pulls a leg down, whichever, is met on both.
        """
        here, other = self.target.channel, heard_beside(self.rig, self.target)
        if here is None or other is None:
            return
        row = self.rig.rig.sources[source]
        shared = frozenset((f"lead of {source}", f"source {source}", f"line of {source}"))
        if len(row.sockets) > 1:
            shared |= {self._split_of(row)}
        if self.rig.arrivals[other.key].socket == socket:  # a link that is split shares the box as well, and more
            shared |= {f"socket {socket}", f"gain {here.address}"}
            shared |= self._shared_way(socket, here.console, other.console)
            shared |= (
                {f"console {box.link.device}"} if (box := self.rig.boxes.get(socket.device)) is not None else set()
            )
        power, maybe = self._power_shared(row)
        legs = frozenset(f"{'own' if at == socket else 'other'} leg to {at}" for at in row.sockets)
        words = self.rig.rig.channel_words(other)
        ask = (
            f"Does {source} arrive on {other.console} too, behind the split: does the input meter of {words} move when "
            "it sounds?"
        )
        behind, maybe = shared | power | legs, maybe - shared
        yield Point("split", ask, 5, substitute=True, behind=behind, maybe=maybe, symptoms=_DEAD)
        ask = f"Listen to {words} alone on headphones there, before its fader: is it right?"
        # Two earths may be heard at one end of the split alone, or at both; so may what gives phantom power.
        maybe = frozenset(f"earths of {name}" for name in shared if name.startswith("split "))
        maybe |= (
            {f"{self._split_of(row)} to {socket}", f"leg to {socket}"} if maybe and self._giver == socket else set()
        )
        yield Point("split-heard", ask, 10, substitute=True, behind=behind, maybe=maybe, symptoms=_HEARD)

    def _shared_way(self, socket: Socket, *consoles: str) -> frozenset[str]:
        """Return the boxes and link cables by which each of some consoles hears a socket."""
        box = self.rig.boxes.get(socket.device)
        ways = [frozenset(part.name for part in self._way(box, console)) for console in consoles] if box else []
        return frozenset.intersection(*ways) if ways else frozenset()


def _everywhere(consoles: int) -> str:
    """Say on how many consoles monitors and house are turned down; nothing of one alone."""
    return ("", " on both", " on all of them")[min(consoles, 3) - 1] if consoles else ""
