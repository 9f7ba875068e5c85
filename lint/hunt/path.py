"""The path of one signal as a row of parts, with the points between them at which something can be seen or heard."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

from lint.hunt.causes import CauseKind, causes
from lint.hunt.target import Target
from lint.plan.intent import sender
from lint.plan.phantom import BARRED, NEEDED, phantom_need
from lint.resolve.chain import ChainBox
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import LINE_KINDS, Channel, Effects


class Point(NamedTuple):
    """Where one can see whether the signal is right so far.

    `substitute` turns the answer round: what is known to work is put in here, so right means that what is before it
    is at fault. `handles` says that plugs are pulled. `behind` names the parts that are right if what is put in is, or
    at fault if the signal is right so far: by default all parts that the signal passes from here on. `opens` marks a
    question that is answered at a glance, before any search.
    """

    ask: str
    seconds: int
    substitute: bool = False
    handles: bool = False
    behind: frozenset[str] = frozenset()
    opens: bool = False


@dataclass(frozen=True)
class Part:
    """One part of the path: what it is, its words, what may be wrong with it, and what can be asked behind it."""

    name: str
    title: str
    kinds: tuple[str, ...]
    words: Mapping[str, str]
    points: tuple[Point, ...] = ()

    def causes(self, symptom: str) -> list[CauseKind]:
        """Return what may be wrong with it under a symptom."""
        return [cause for cause in causes() if cause.part in self.kinds and symptom in cause.odds]


def path_of(rig: ResolvedRig, target: Target) -> list[Part]:
    """Return the parts from where the signal begins to where it is missed, in its order."""
    return list(_Walker(rig, target).once())


class _Walker:
    def __init__(self, rig: ResolvedRig, target: Target) -> None:
        self.rig = rig
        self.target = target
        self.words: dict[str, str] = {"source": "what is sent", "channel": "the channel", "mix": "the mix"}
        if target.source is not None:
            self.words["source"] = target.source
        elif target.effects is not None:
            self.words["source"] = f"the effects unit {target.effects.name}"
        if target.channel is not None:
            self.words["channel"] = rig.rig.channel_words(target.channel)
        if target.destination is not None:
            self.words["destination"] = target.destination.name

    def once(self) -> Iterator[Part]:
        """Yield the parts; a link cable that the signal passes both ways counts where it is passed first."""
        every = list(self.parts())
        names = [part.name for part in every]
        for index, part in enumerate(every):
            if part.name in names[:index]:
                continue
            later = frozenset(names[index + 1 :])
            new = later.difference(names[: index + 1])
            # What is put in here goes through all that follows, a link that was passed before included.
            points = (
                point if point.behind else point._replace(behind=later if point.substitute else new)
                for point in part.points
            )
            yield replace(part, points=tuple(points))

    def parts(self) -> Iterator[Part]:
        target = self.target
        if target.source is not None and target.socket is not None:
            yield from self._input(target.source, target.socket)
        if target.effects is not None:
            yield from self._effects(target.effects)
        if target.channel is not None:
            yield from self._channel(target.channel)
        for index, name in enumerate(target.mixes):
            yield from self._mix(name, index)
        if target.output is not None:
            yield from self._output(target.output)
        if target.then is not None:
            rest = _Walker(self.rig, target.then)
            rest.words["source"] = self.words["source"]
            yield from rest.parts()

    def _part(
        self, name: str, title: str, kinds: tuple[str, ...], words: Mapping[str, str], *points: Point | None
    ) -> Part:
        """Return a part with the words of the whole path and its own filled in."""
        every = {"right": "is nothing of {source} heard there" if self.target.leaks else "is it right there", **words}
        every = {**self.words, **every, "right": every["right"].format(**self.words)}
        return Part(name, title.format(**every), kinds, every, tuple(point for point in points if point is not None))

    # -- input -----------------------------------------------------------------------------------------------------

    def _input(self, source: str, socket: Socket) -> Iterator[Part]:
        words = {"socket": str(socket), "device": socket.device}
        heard = "{channel}" if self.target.channel is not None else "the console"
        needs = phantom_need(self.rig.rig.sources[source])
        kind = self.rig.rig.sources[source].kind
        kinds = ("source", *(("powered-source",) if needs == NEEDED else ("barred-source",) if needs == BARRED else ()))
        line = ("line", "mains-line") if kind in LINE_KINDS or kind.endswith("-di") else ("line",)
        swap = Point(f"Put a microphone that works on the cable of {{source}}: is it right at {heard}?", 60, True, True)
        yield self._part(f"source {source}", "{source} itself", kinds, words, swap)
        into = Point(f"Plug a microphone with its own cable into {socket}: is it right at {heard}?", 60, True, True)
        yield self._part(f"line of {source}", "the cable from {source} to {socket}", line, words, into)
        links = list(self._links(socket.device, towards_console=True))
        shared = self._neighbour(source, socket, frozenset(part.name for part in links))
        yield self._part(f"socket {socket}", "the socket {socket}", ("socket",), words, shared)
        yield from links

    def _neighbour(self, source: str, socket: Socket, links: frozenset[str]) -> Point | None:
        """Return the question whether another source of the same box arrives: that clears or blames all they share."""
        console = self.target.channel.console if self.target.channel is not None else None
        near: list[tuple[int, str, Channel]] = []
        for name, other in self.rig.rig.sources.items():
            heard = [channel for channel in self.rig.channels_of.get(name, ()) if console in (None, channel.console)]
            if name != source and heard and [at.device for at in other.sockets] == [socket.device]:
                near.append((abs(other.sockets[0].number - socket.number), name, heard[0]))
        if not near or not links:
            return None
        _, name, channel = min(near, key=lambda row: row[0])
        ask = (
            f"Does another source on {socket.device} arrive, such as {name}: does the input meter of "
            f"{self.rig.rig.channel_words(channel)} move when it sounds?"
        )
        return Point(ask, 5, substitute=True, behind=links, opens=True)

    def _links(self, device: str, towards_console: bool) -> Iterator[Part]:
        """Yield the boxes and link cables between a box and its console, in the direction of the signal."""
        box = self.rig.boxes.get(device)
        if box is None:
            return
        chain = [each for each in self.rig.chains[box.link].boxes if each.position <= box.position]
        rows = list(reversed(chain)) if towards_console else chain
        order = ", ".join(each.device for each in self.rig.chains[box.link].boxes)
        rate = f"{(self.rig.device(box.link.device).sample_rate_hz or self.rig.rig.sample_rate_hz) / 1000:g} kHz"
        of_chain = {"console": box.link.device, "order": order, "rate": rate}
        for each in rows:
            parts = [self._box(each.device), self._link(each)]
            yield from parts if towards_console else reversed(parts)
        if towards_console:
            title = f"the chain on {box.link}"
            yield self._part(f"chain {box.link}", title, ("chain",), of_chain, self._spare_channel())

    def _box(self, name: str) -> Part:
        circuit = self.rig.device(name).circuit or "as the house knows it"
        return self._part(f"box {name}", f"the box {name}", ("box",), {"device": name, "circuit": circuit})

    def _link(self, box: ChainBox) -> Part:
        cable = box.cable
        ends = " and ".join(str(end) for end in cable.ends)
        words = {"cable": cable.name, "ends": ends, "spare": cable.spare or "the rig names none"}
        return self._part(f"link cable {cable.name}", f"the link cable {cable.name}", ("link",), words)

    def _spare_channel(self) -> Point | None:
        point = self.target.point
        if point is None or self.target.leaks:
            return None
        return Point(f"Patch a spare channel from {point}: is {{source}} right at its input meter?", 40)

    def _others(self, mix: str) -> Point | None:
        """Return the question whether others that take the same way from here on are right at its end."""
        end = self.target.destination
        if end is None or len(self.rig.rig.mixes[mix].sends) < 2:
            return None
        return Point(f"Listen at {end.name} to something else in the mix {mix}: is that right there?", 5, True)

    # -- console ---------------------------------------------------------------------------------------------------

    def _channel(self, channel: Channel) -> Iterator[Part]:
        point = str(self.target.point or channel.patched_from or "its slot")
        gain = f"{channel.gain_db:g} dB" if channel.gain_db is not None else "as on a good day"
        words = {"point": point, "gain": gain, "console": channel.console}
        if self.target.leaks:
            # On its own channel it is to be heard. What comes in by another way moves another meter.
            only = Point("Have {source} alone sound and look at the input meters: does none but that of {channel} "
                         "move, or only a little those of microphones near it?", 8)  # fmt: skip
            yield self._part(f"patch {channel.address}", "the input patch of {channel}", ("patch",), words, only)
            yield self._part(channel.address, "{channel}", ("channel",), words)
            return
        meter = Point("Look at the input meter of {channel} while {source} sounds, and listen to it alone on "
                      "headphones, before its fader: is it right there?", 8)  # fmt: skip
        yield self._part(f"patch {channel.address}", "the input patch of {channel}", ("patch",), words, meter)
        after = Point("Listen to {channel} on headphones behind its fader: is it right there?", 8)
        yield self._part(channel.address, "{channel}", ("channel",), words, after)

    def _mix(self, name: str, index: int) -> Iterator[Part]:
        mix = self.rig.rig.mixes[name]
        words = {"mix": name, "console": mix.console}
        sent = Point(f"Listen to the mix {name} on headphones, before its fader: {{right}}?", 8)
        if self.target.channel is not None or index:
            before = self.target.mixes[index - 1] if index else self.words["channel"]
            more = {**words, "channel": before} if index else words
            title = f"what {before} sends to {name}"
            yield self._part(f"send to {name}", title, ("send",), more, sent, self._others(name))
        yield self._bus(name)

    def _bus(self, name: str) -> Part:
        words = {"mix": name, "console": self.rig.rig.mixes[name].console}
        meter = Point(f"Listen to the mix {name} behind its fader, or look at its meter: {{right}}?", 6)
        return self._part(f"mix {name}", f"the mix {name}", ("mix",), words, meter)

    def _effects(self, unit: Effects) -> Iterator[Part]:
        """Yield what feeds an effects unit, and the unit."""
        if unit.fed_by.kind == "mix":
            yield self._bus(unit.fed_by.name)
        meter = Point(f"Look at the output meter of the effects unit {unit.name}, or listen there: {{right}}?", 8)
        words = {"effects": unit.name, "console": unit.console}
        yield self._part(f"effects {unit.name}", f"the effects unit {unit.name}", ("effects",), words, meter)

    # -- output ----------------------------------------------------------------------------------------------------

    def _output(self, socket: Socket) -> Iterator[Part]:
        departure = self.rig.departure(socket)
        where = departure.slot or socket
        console = sender(departure)
        device = self.rig.device(socket.device)
        signal = str(self.target.signal or departure.signal or "the mix")
        words = {
            "point": str(where), "signal": signal, "console": console, "socket": str(socket), "device": socket.device,
            "bank": device.output_bank or "where it should be",
        }  # fmt: skip
        meter = Point(f"Look at the output meter of {where} on {console}, or listen there: {{right}}?", 10)
        yield self._part(f"feed {where}", f"the output patch at {where}", ("feed",), words, meter)
        yield from self._links(socket.device, towards_console=False)
        has_selector = device.model.chain is not None and device.model.outputs.by_selector
        kinds = ("outlet", "selector") if has_selector else ("outlet",)
        plug = Point(f"Plug a loudspeaker or headphones that work, turned down, into {socket}: {{right}}?", 90,
                     handles=True)  # fmt: skip
        yield self._part(f"outlet {socket}", f"the output {socket}", kinds, words, plug)
        yield from self._end(socket, words)

    def _end(self, socket: Socket, words: Mapping[str, str]) -> Iterator[Part]:
        destination = self.target.destination
        if destination is None:
            return
        amplifier = next((a.name for a in self.rig.rig.amplifiers.values() if socket in a.sockets), None)
        to = amplifier or destination.name
        ask = f"Plug something that works, turned down, into the far end of the cable at {to}: {{right}}?"
        cable = Point(ask, 60, handles=True)
        yield self._part(f"line to {to}", f"the cable from {socket} to {to}", ("out-line",), words, cable)
        if amplifier is not None:
            more = {**words, "amplifier": amplifier}
            yield self._part(f"amplifier {amplifier}", f"the amplifier {amplifier}", ("amplifier",), more)
        yield self._part(f"destination {destination.name}", "{destination} itself", ("destination",), words)
