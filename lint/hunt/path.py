"""The path of one signal as a row of parts, with the points between them at which something can be seen or heard."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from lint.hunt.causes import DEAD, NOISE, CauseKind, causes
from lint.hunt.target import Target
from lint.plan.intent import sender
from lint.plan.phantom import BARRED, NEEDED, phantom_need
from lint.resolve.chain import ChainBox
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import LINE_KINDS, Channel, Effects, Source, is_driven


class Point(NamedTuple):
    """Where one can see whether the signal is right so far.

    `substitute` turns the answer round: what is known to work is put in here, so right means that what is before it
    is at fault. `handles` says that plugs are pulled. `behind` names the parts that are right if what is put in is, or
    at fault if the signal is right so far: by default all parts that the signal passes from here on, and `also` those
    that only what is put in passes. `opens` marks a question that is answered at a glance, before any search;
    `symptoms` are those under which it tells anything (empty: all). `name` stands in the record.
    """

    name: str
    ask: str
    seconds: int
    substitute: bool = False
    handles: bool = False
    behind: frozenset[str] = frozenset()
    also: frozenset[str] = frozenset()
    opens: bool = False
    symptoms: frozenset[str] = frozenset()


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
        self.words["end"] = target.end or self.words["channel"]

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
                point._replace(behind=point.behind or (later if point.substitute else new) | point.also)
                for point in part.points
            )
            yield replace(part, points=tuple(points))

    def parts(self) -> Iterator[Part]:
        target = self.target
        if target.source is not None and target.socket is not None:
            yield from self._input(target.source, target.socket)
        if target.effects is not None and target.effects.fed_by.kind == "mix":
            yield from self._bus(target.effects.fed_by.name)
        yield from self._on_console()
        if target.then is not None:
            rest = _Walker(self.rig, target.then)
            rest.words["source"] = self.words["source"]
            yield from rest._on_console()  # what feeds its effects unit was passed already

    def _on_console(self) -> Iterator[Part]:
        """Yield the parts from the effects unit or the channel on."""
        target = self.target
        if target.effects is not None:
            yield self._effects(target.effects)
        if target.channel is not None:
            yield from self._channel(target.channel)
        for index, name in enumerate(target.mixes):
            yield from self._mix(name, index)
        if target.output is not None:
            yield from self._output(target.output)

    def _part(
        self, name: str, title: str, kinds: tuple[str, ...], words: Mapping[str, str], *points: Point | None
    ) -> Part:
        """Return a part with the words of the whole path and its own filled in."""
        every = {"right": "is nothing of {source} heard there" if self.target.leaks else "is it right there", **words}
        every = {**self.words, **every, "right": every["right"].format(**self.words)}
        return Part(name, title.format(**every), kinds, every, tuple(point for point in points if point is not None))

    # -- input -----------------------------------------------------------------------------------------------------

    def _input(self, source: str, socket: Socket) -> Iterator[Part]:
        words = {"socket": str(socket), "device": socket.device, **self._gain()}
        kinds, line, works = _source_kinds(self.rig.rig.sources[source])
        # What is put in is judged where the symptom is: it passes every part that follows.
        swap = Point("at-source", f"Put {works} on the cable of {{source}}: is it right at {{end}}?", 60, True, True)
        yield self._part(f"source {source}", "{source} itself", kinds, words, swap)
        into = Point(
            "at-socket", f"Plug {works}, with its own cable, into {socket}: is it right at {{end}}?", 60, True, True
        )
        yield self._part(f"line of {source}", "the cable from {source} to {socket}", line, words, into)
        links = list(self._links(socket.device, towards_console=True))
        shared = self._neighbour(source, socket, frozenset(part.name for part in links))
        yield self._part(f"socket {socket}", "the socket {socket}", ("socket",), words, shared)
        if (channel := self.target.channel) is not None:
            # Gain acts at the socket, before every meter of the channel.
            yield self._part(f"gain {channel.address}", "{channel}", ("gain",), words)
        yield from links

    def _gain(self) -> dict[str, str]:
        channel = self.target.channel
        known = channel is not None and channel.gain_db is not None
        return {"gain": f"{channel.gain_db:g} dB" if channel is not None and known else "as on a good day"}

    def _neighbour(self, source: str | None, socket: Socket, links: frozenset[str]) -> Point | None:
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
            f"Does {'another' if source else 'a'} source on {socket.device} arrive, such as {name}: does the input "
            f"meter of {self.rig.rig.channel_words(channel)} move when it sounds?"
        )
        return Point("neighbour", ask, 5, substitute=True, behind=links, opens=True)

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
        by_order = towards_console or not self.rig.device(device).model.outputs.by_selector
        kinds = ("clock", "chain") if by_order else ("clock",)
        spare = self._spare_channel() if towards_console else None
        yield self._part(f"chain {box.link}", f"the chain on {box.link}", kinds, of_chain, spare)

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
        return Point("spare-channel", f"Patch a spare channel from {point}: is {{source}} right there?", 40)

    def _others(self, name: str) -> Point | None:
        """Return the question whether something else that takes the same way from here on is right at its end.

        It is named, so that nobody listens to what fails for the same reason: it is of another link, or of the same
        box, whose way it then clears or blames as well.
        """
        end, mix = self.target.end, self.rig.rig.mixes[name]
        home = self.target.socket
        mine = self.rig.boxes.get(home.device) if home is not None else None
        rows: list[tuple[frozenset[str], str]] = []
        for number in mix.sends:
            arrival = self.rig.arrivals[mix.console, number]
            if arrival.socket is None or not arrival.sources or self.target.source in arrival.sources:
                continue
            theirs = self.rig.boxes.get(arrival.socket.device)
            if mine is None or theirs is None or theirs.link != mine.link:
                rows.append((frozenset(), arrival.sources[0]))
            elif theirs == mine:
                ways = self._links(theirs.device, towards_console=True)
                rows.append((frozenset(part.name for part in ways), arrival.sources[0]))
        if end is None or not rows:
            return None
        also, other = min(rows, key=lambda row: len(row[0]))
        ask = f"Listen at {end} to something else in the mix {name}, such as {other}: is that right there?"
        return Point("others", ask, 5, True, also=also)

    # -- console ---------------------------------------------------------------------------------------------------

    def _channel(self, channel: Channel) -> Iterator[Part]:
        mix = self.rig.rig.mixes[self.target.mixes[0]] if self.target.mixes else None
        send = mix.sends.get(channel.number) if mix is not None else None
        before_fader = send is not None and send.tap == "pre-fader"
        words = {
            "point": str(self.target.point or channel.patched_from or "its slot"), "console": channel.console,
            "fader_up": "" if before_fader else ", its fader up",
            "lower": f"what it sends to {mix.name}" if mix is not None and before_fader else "its fader",
        }  # fmt: skip
        patch = f"patch {channel.address}"
        strip = f"processing {channel.address}"
        if self.target.leaks:
            # On its own channel it is to be heard. What comes in by another way moves another meter.
            only = Point("only-meter", "Have {source} alone sound and look at the input meters: does none but that of "
                         "{channel} move, or only a little those of microphones near it?", 8)  # fmt: skip
            yield self._part(patch, "the input patch of {channel}", ("patch",), words, only)
            yield self._part(channel.address, "{channel}", ("channel",), words)
            return
        meter = Point("input-meter", "Look at the input meter of {channel} while {source} sounds: does it move as it "
                      "should?", 5, symptoms=frozenset((DEAD,)))  # fmt: skip
        bare = Point("bare", "Listen to {channel} alone on headphones before its fader, with gate, insert and "
                     "equaliser off: is it right there?", 12)  # fmt: skip
        yield self._part(patch, "the input patch of {channel}", ("patch",), words, meter, bare)
        alone = Point("before-fader", "Listen to {channel} alone on headphones before its fader, as it stands: is it "
                      "right there?", 8)  # fmt: skip
        yield self._part(strip, "{channel}", ("strip",), words, alone)
        after = None if before_fader else Point("behind-fader", "Listen to {channel} on headphones behind its fader: "
                                                "is it right there?", 8)  # fmt: skip
        yield self._part(channel.address, "{channel}", ("channel",), words, after)

    def _mix(self, name: str, index: int) -> Iterator[Part]:
        """Yield what is sent to a mix, what it takes besides, its bus and its fader, in this order."""
        words = {"mix": name, "console": self.rig.rig.mixes[name].console}
        others = None
        if self.target.channel is not None or index:
            before = self.target.mixes[index - 1] if index else self.words["channel"]
            more = {**words, "channel": before} if index else words
            yield self._part(f"send to {name}", f"what {before} sends to {name}", ("send",), more)
            others = self._others(name)
        yield from self._bus(name, others)

    def _bus(self, name: str, others: Point | None = None) -> Iterator[Part]:
        """Yield what a mix takes besides, its bus and its fader."""
        words = {"mix": name, "console": self.rig.rig.mixes[name].console}
        title = f"the mix {name}"
        yield self._part(f"intake of {name}", title, ("intake",), words, others)
        sent = Point("mix-before-fader", f"Listen to the mix {name} on headphones, before its fader: {{right}}?", 8)
        yield self._part(f"bus of {name}", title, ("bus",), words, sent)
        meter = Point("mix-meter", f"Listen to the mix {name} behind its fader, or look at its meter: {{right}}?", 6)
        yield self._part(f"mix {name}", title, ("mix",), words, meter)

    def _effects(self, unit: Effects) -> Part:
        ask = f"Look at the output meter of the effects unit {unit.name}, or listen there: {{right}}?"
        words = {"effects": unit.name, "console": unit.console}
        meter = Point("effects-meter", ask, 8)
        return self._part(f"effects {unit.name}", f"the effects unit {unit.name}", ("effects",), words, meter)

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
        meter = Point(
            "output-meter", f"Look at the output meter of {where} on {console}, or listen there: {{right}}?", 10
        )
        links = list(self._links(socket.device, towards_console=False))
        reached = None
        if self.target.channel is None:
            reached = self._neighbour(None, socket, frozenset(part.name for part in links)) or self._sibling(
                socket, links
            )
        yield self._part(f"feed {where}", f"the output patch at {where}", ("feed",), words, meter, reached)
        yield from links
        has_selector = device.model.chain is not None and device.model.outputs.by_selector
        kinds = ("outlet", "selector") if has_selector else ("outlet",)
        ask = f"Plug a loudspeaker or headphones that work, turned down, into {socket}: {{right}}?"
        plug = Point("at-output", ask, 90, handles=True)
        yield self._part(f"outlet {socket}", f"the output {socket}", kinds, words, plug)
        yield from self._end(socket, words)

    def _sibling(self, socket: Socket, links: Sequence[Part]) -> Point | None:
        """Return the question whether another output of that box carries its signal: that clears what they share."""
        rows = [
            (abs(departure.socket.number - socket.number), destination.name)
            for destination, departure, _ in self.rig.outputs()
            if departure.socket.device == socket.device and departure.socket != socket and departure.signal is not None
        ]
        if not rows or not links:
            return None
        ask = f"Does another output of {socket.device} carry its signal: is {min(rows)[1]} right?"
        return Point("sibling", ask, 5, substitute=True, behind=frozenset(part.name for part in links), opens=True)

    def _end(self, socket: Socket, words: Mapping[str, str]) -> Iterator[Part]:
        """Yield the line and what hangs on it: an amplifier and its loudspeakers, or what has its own mains."""
        destination = self.target.destination
        amplifier = self.target.amplifier
        if amplifier is None and destination is not None and is_driven(destination):
            amplifier = next((a for a in self.rig.rig.amplifiers.values() if socket in a.sockets), None)
        end = amplifier or destination
        if end is None:
            return
        words = {**words, "end": end.name, "fed": end.name, "circuit": end.circuit or "as the house knows it"}
        ask = f"Plug something that works, turned down, into the far end of the cable at {end.name}: {{right}}?"
        far = Point("far-end", ask, 60, handles=True)
        ask = f"Turn {end.name} down, take its line out, turn it up: is the noise as before with nothing plugged in?"
        empty = Point("unplugged", ask, 20, handles=True, symptoms=frozenset((NOISE,)))
        title = f"the cable from {socket} to {end.name}"
        yield self._part(f"line to {end.name}", title, ("out-line",), words, far, empty)
        # By what the rig says of it: a circuit or its watts.
        fed = ("active", "fed") if end.circuit is not None or end.load.watts is not None else ("active",)
        if amplifier is None:
            yield self._part(f"destination {end.name}", "{end} itself", ("destination", *fed), words)
            return
        yield self._part(f"amplifier {end.name}", f"the amplifier {end.name}", ("amplifier", *fed), words)
        if destination is not None:
            more = {**words, "speaker": destination.name}
            yield self._part(f"destination {destination.name}", "{destination} itself", ("driven",), more)
        else:
            more = {**words, "speaker": f"those of {end.name}"}
            yield self._part(f"loudspeakers of {end.name}", f"the loudspeakers of {end.name}", ("driven",), more)


def _source_kinds(source: Source) -> tuple[tuple[str, ...], tuple[str, ...], str]:
    """Return the kinds of the parts of a source and of its line, and what may be put in its place for a test."""
    needs = phantom_need(source)
    powered = ("powered-source",) if needs == NEEDED else ("barred-source",) if needs == BARRED else ()
    works = "a microphone that works and needs no phantom power"
    if source.kind == "wireless-receiver":
        return ("source", "radio", "mains-source", *powered), ("line",), "another receiver that works"
    if source.kind in LINE_KINDS:
        return ("source", "player", "mains-source", *powered), ("line",), "a player that works, turned down"
    if source.kind.endswith("-di"):
        return ("source", "di", "mains-source", *powered), ("line",), works
    return ("source", "microphone", *powered), ("line",), works
