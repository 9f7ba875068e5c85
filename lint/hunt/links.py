"""The boxes and link cables that a signal passes, and what every part of a path is made with."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property

from lint.hunt.causes import DEAD
from lint.hunt.instead import free_channel
from lint.hunt.leaks import heard_of, taken_at
from lint.hunt.part import Part, Point
from lint.hunt.relit import before_mains
from lint.hunt.target import Target
from lint.hunt.unlit import off_for_link, off_for_order
from lint.hunt.witness import is_witness
from lint.resolve.chain import ChainBox
from lint.resolve.dark import is_dark, without_mains
from lint.resolve.phantom import NEEDED, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import Cable, Channel
from lint.walk.row_words import titled

_DEAD = frozenset((DEAD,))


class Links:
    """Makes the parts of one path that lie between a box and its console."""

    def __init__(self, rig: ResolvedRig, target: Target) -> None:
        self.rig = rig
        self.target = target
        self._made: dict[str, Part] = {}
        self.words: dict[str, str] = {"source": "what is sent", "channel": "the channel", "mix": "the mix"}
        if target.source is not None:
            self.words["source"] = target.source
        elif target.effects is not None:
            self.words["source"] = f"the effects unit {target.effects.name}"
        elif target.leaks:
            self.words["source"] = target.name
        if target.channel is not None:
            self.words["channel"] = rig.rig.channel_words(target.channel)
        if target.destination is not None:
            self.words["destination"] = target.destination.name
        self.words["near"] = self.words["source"]
        self.heard = heard_of(rig, target, self.words["source"]) if target.leaks else None
        if self.heard is not None:
            self.words["leak"] = self.heard.leak
        self.words["end"] = target.end or self.words["channel"]
        self.words |= {
            "phantom_is": "is its phantom power on",
            "phantom_off": "is its phantom power off",
            "one_end": "",
        }
        self.words |= dict.fromkeys(
            ("unlit", "relit", "unlit_too", "unplugged", "replugged", "idle", "sharing", "unfed", "lingering"), ""
        )
        self.words["send"] = "off, as the rig has it" if target.leaks else "as on a good day"

    def _part(
        self,
        name: str,
        title: str,
        kinds: tuple[str, ...],
        words: Mapping[str, str],
        *points: Point | None,
        known: Mapping[str, str] | None = None,
    ) -> Part:
        """Return a part with the words of the whole path and its own filled in."""
        every = {"right": self.heard.right if self.heard is not None else "is it right there", **words}
        every.setdefault("muted", every.get("channel", self.words["channel"]))
        every = {**self.words, **every, "right": every["right"].format(**self.words)}
        return Part(
            name,
            title.format(**every),
            kinds,
            every,
            tuple(point for point in points if point is not None),
            known or {},
        )

    def _neighbour(
        self,
        source: str | None,
        socket: Socket,
        links: frozenset[str],
        switch: tuple[frozenset[str], frozenset[str]] | None = None,
    ) -> Point | None:
        """Return the question whether another source of the same box arrives: that clears or blames all they share.

        `switch` has the parts that switch phantom power on and the sources that need it of the same: they come first,
        and last those that go through the same split, which they share as well.
        """
        console = self.target.channel.console if self.target.channel is not None else None
        parts, sharing = switch or (frozenset(), frozenset())
        rows = [
            (self._split_shared(name), name not in sharing, abs(at.number - socket.number), name, channel)
            for name, at, channel in self._arriving_at(socket.device, console)
            if name not in (source, self.target.mate)
        ]
        if not rows:
            return None
        split, _, _, name, channel = min(rows, key=lambda row: row[:3])
        behind = links | (parts if name in sharing else set()) | split
        # Inputs and outputs go by counts of their own: of an output's order a source tells nothing.
        maybe = frozenset() if source else frozenset(part for part in links if part.startswith("chain "))
        if not behind:
            return None
        ask = (
            f"Does {'another' if source else 'a'} source on {socket.device} arrive, such as {name}: does the input "
            f"meter of {self.rig.rig.channel_words(channel)} move when it sounds?"
        )
        return Point("neighbour", ask, 5, substitute=True, behind=behind, maybe=maybe, symptoms=_DEAD)

    def _on_the_way(self, source: str, home: Socket, links: Sequence[Part]) -> Iterator[Point]:
        """Yield for each other box of the way the question whether a source there arrives: that clears the way from it.

        Of the order of the boxes it tells nothing: that moves the slots of each box by another count.
        """
        console = self.target.channel.console if self.target.channel is not None else None
        boxes = (part.name.removeprefix("box ") for part in links if part.name.startswith("box "))
        for device in boxes:
            arriving = list(self._arriving_at(device, console)) if device != home.device else []
            rows = [(at.number, name, channel) for name, at, channel in arriving
                    if name not in (source, self.target.mate) and not self._split_shared(name)]  # fmt: skip
            if not rows:
                continue
            _, name, channel = min(rows, key=lambda row: row[0])
            way = frozenset(part.name for part in self._links(device, towards_console=True))
            maybe = frozenset(part for part in way if part.startswith("chain "))
            ask = (
                f"Does a source on {device}, on the way there, arrive, such as {name}: does the input meter "
                f"of {self.rig.rig.channel_words(channel)} move when it sounds?"
            )
            yield Point(
                f"on-the-way {device}", ask, 5, substitute=True, behind=way - maybe, maybe=maybe, symptoms=_DEAD
            )

    def _arriving_at(self, device: str, console: str | None) -> Iterator[tuple[str, Socket, Channel]]:
        """Yield each source that a console (None: any) hears by an input of a device, with that and its channel.

        What has the phantom power that it needs from elsewhere is left out: it may be silent for want of that.
        """
        for arrival in self.rig.arrivals.values():
            at = arrival.socket
            if at is None or at.device != device or not is_witness(self.rig, self.target, arrival.channel):
                continue
            if console in (None, arrival.channel.console):
                for name in arrival.sources[:1]:
                    needs = phantom_need(self.rig.rig.sources[name]) == NEEDED
                    if not needs or len(self.rig.rig.sources[name].sockets) == 1 or self.rig.phantom.is_live(at):
                        yield name, at, arrival.channel

    def _split_shared(self, other: str) -> frozenset[str]:
        """Return the analogue split that another source goes through as well, which may be what is dead, as a part."""
        splits = self.rig.rig.splits.values()
        return frozenset(f"split {split.name}" for split in splits if {self.target.source, other} <= set(split.sources))

    def _links(self, device: str, towards_console: bool) -> Iterator[Part]:
        """Yield the boxes and link cables between a box and its console, and that, in the direction of the signal.

        Of an input or output of a console it is that console alone.
        """
        box = self.rig.boxes.get(device)
        if box is None:
            if device in self._consoles:
                yield self._desk(device)
            return
        order = ", ".join(each.device for each in self.rig.chains[box.link].boxes)
        rate = f"{(self.rig.device(box.link.device).sample_rate_hz or self.rig.rig.sample_rate_hz) / 1000:g} kHz"
        console = self._heard_by() if towards_console else None
        # One that listens to the link runs by the clock of the one that owns it, and may lose it by itself.
        clocked = " and at ".join(dict.fromkeys((box.link.device, console or box.link.device)))
        of_chain = {"console": box.link.device, "order": order, "rate": rate, "clocked": clocked}
        of_chain |= off_for_order(self.rig, box.link)
        way = self._way(box, console or box.link.device)
        if not towards_console:
            way = [self._desk(box.link.device), *reversed(way)]
        yield from way
        if towards_console:  # by the link of another it rides on what the owner's mains keep going
            yield from map(self._desk, dict.fromkeys((box.link.device, console or box.link.device)))
        spare = self._spare_channel() if towards_console else None
        title, by_order = f"the chain on {box.link}", self._is_by_order(box, "in" if towards_console else "out")
        yield self._part(f"clock {box.link}", title, ("clock",), of_chain, None if by_order else spare)
        if by_order:
            yield self._part(f"chain {box.link}", title, ("chain",), of_chain, spare)

    def _is_by_order(self, box: ChainBox, side: str) -> bool:
        """Whether the slots of a box depend on its place: not by a selector, nor where it has no other before it."""
        boxes = self.rig.chains[box.link].boxes
        rows = {each.device: self.rig.device(each.device).model for each in boxes}
        ours = {name: model.inputs if side == "in" else model.outputs for name, model in rows.items()}
        counted = {name for name, sockets in ours.items() if sockets.count and not sockets.by_selector}
        return box.device in counted and len(counted) > 1

    def _way(self, box: ChainBox, console: str) -> list[Part]:
        """Return the boxes and link cables from a box to the console that owns its chain, or one that listens there."""
        boxes = self.rig.chains[box.link].boxes  # in the order of their positions, counted from 1
        listener = next(
            (
                port
                for port, owner in self.rig.cabling.listens_to.items()
                if owner == box.link and port.device == console
            ),
            None,
        )
        lead = next((cable for cable in self.rig.rig.cables.values() if listener in cable.ends), None)
        tap = lead.other(listener).device if lead is not None and listener is not None else None
        last = next((each.position for each in boxes if each.device == tap), 0)  # 0: the console's own end
        parts = [self._box(box.device)]
        for each in boxes[box.position : last]:  # away from the console that owns it
            parts += [self._link(each.cable), self._box(each.device)]
        for each in reversed(boxes[last : box.position]):
            parts.append(self._link(each.cable))
            if each.position > 1:
                parts.append(self._box(boxes[each.position - 2].device))
        return [*parts, self._link(lead)] if lead is not None else parts

    @cached_property
    def _taken(self) -> list[Channel]:
        """The channels that are heard at the end, or the one whose direct output is sent there."""
        return taken_at(self.rig, self.target)

    def _heard_by(self) -> str | None:
        """Return the console that hears what is hunted, as far as a channel or a leak says which."""
        channel = self.target.channel
        return self.target.away or (channel.console if channel is not None else None)

    @cached_property
    def _consoles(self) -> frozenset[str]:
        return frozenset(console.name for console in self.rig.rig.consoles)

    def _box(self, name: str) -> Part:
        return self._fed(name, "box")

    def _desk(self, name: str) -> Part:
        """Return a console as what may have no mains: all that it hears and sends is silent then."""
        return self._fed(name, "console")

    def _fed(self, name: str, kind: str) -> Part:
        """Return a device of the path that has mains of its own, made once: many a question asks what its way is."""
        if (made := self._made.get(name)) is not None:
            return made
        device = self.rig.device(name)
        circuit = self._circuit(device.circuit)
        words = {"device": titled(name, device.location), "circuit": circuit, **before_mains(self.rig, name)}
        words |= {
            "dark": words["device"],
            "without": f"{self._carried_on(name)}{words['unfed']}",
        }
        dark = without_mains(self.rig.rig, name, device.circuit)
        known = {f"{kind}-dark": dark} if dark else {}
        self._made[name] = self._part(f"{kind} {name}", f"the {kind} {name}", (kind,), words, known=known)
        return self._made[name]

    def _carried_on(self, name: str) -> str:
        """Say what tells how to carry on without a device, and without all on its circuit if there is more."""
        circuit = self.rig.device(name).circuit
        said = f"`rigwalk spares RIG {name}` says how to carry on without {name}"
        others = [each.name for each in self.rig.rig.devices.values() if each.circuit == circuit and each.name != name]
        if circuit is None or not others:
            return said
        if is_dark(self.rig.rig, circuit):
            return f"`rigwalk spares RIG {circuit}` says how to carry on without it and {', '.join(others)}"
        return f"{said}; if all on the circuit ({', '.join(others)} too) is dark, `rigwalk spares RIG {circuit}`"

    def _circuit(self, name: str | None) -> str:
        """Return a circuit and where its breaker is."""
        if name is None:
            return "as the house knows it"
        known = self.rig.rig.circuits.get(name)
        return titled(name, known.location if known is not None else "")

    def _link(self, cable: Cable) -> Part:
        ends = " and ".join(str(end) for end in cable.ends)
        length = f" of at least {cable.length_m:g} m" if cable.length_m is not None else ""
        spare = f"its spare ({cable.spare})" if cable.spare else f"another that works{length}"
        rows = [(chain.boxes, box) for chain in self.rig.chains.values() for box in chain.boxes if box.cable == cable]
        beyond = [each.device for boxes, box in rows for each in boxes[box.position - 1 :]]
        words = {"cable": titled(cable.name, cable.label or ""), "ends": ends, "spare": spare}
        words |= off_for_link(self.rig, beyond)
        return self._part(f"link cable {cable.name}", f"the link cable {cable.name}", ("link",), words)

    def _spare_channel(self, power: str = "") -> Point | None:
        """Return the question whether a free channel in the place of its own does it; `power` is added to it."""
        point, channel = self.target.point, self.target.channel
        number = self._spare_number()
        if channel is None or number is None:
            return None
        ask = (
            f"On {channel.console}, patch channel {number}, which is free, from {point}, its fader down{power}, "
            "and listen to it on headphones: is {source} right there?"
        )
        return Point("spare-channel", ask, 40)

    def _spare_number(self) -> int | None:
        """Return the channel that may be patched in the place of the one that is hunted."""
        channel = self.target.channel
        if self.target.point is None or channel is None or self.target.leaks:
            return None
        return free_channel(self.rig, channel.console)

    def _console(self, socket: Socket) -> str:
        """Return the console that hears, or can hear, an input."""
        box = self.rig.boxes.get(socket.device)
        heard = self.target.channel.console if self.target.channel is not None else None
        return heard or (box.link.device if box is not None else socket.device)


def heard_beside(rig: ResolvedRig, target: Target) -> Channel | None:
    """Return the first channel that hears the source of a path on another console than its own, lit by the file."""
    here = target.channel
    every = [each for each in rig.channels_of.get(target.source or "", ()) if is_witness(rig, target, each)]
    return next((channel for channel in every if here is not None and channel.console != here.console), None)
