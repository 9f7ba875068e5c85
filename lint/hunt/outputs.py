"""The parts of a path from the output patch to what is heard at its end."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from lint.hunt.causes import DEAD, NOISE
from lint.hunt.ends import in_its_place
from lint.hunt.instead import another, kind_words, other_output, place_of, twin_of
from lint.hunt.links import Links
from lint.hunt.part import Part, Point
from lint.plan.intent import sender
from lint.resolve.chain import bank_slots
from lint.resolve.circuits import Hung, may_take
from lint.resolve.dark import without_mains
from lint.rig.address import Slot, Socket
from lint.rig.plant import Amplifier
from lint.rig.rig import Destination, is_driven
from lint.walk.row_words import titled

# At an end that the mains feed these are looked at before its plugs are touched, however quickly a plug is pulled.
LOOKS_FIRST = frozenset(("end-dark", "amplifier-off", "destination-off"))
BY = "by whoever has charge of the mains"


class Outputs(Links):
    """Makes the parts of one path behind the console."""

    def _output(self, socket: Socket) -> Iterator[Part]:
        departure = self.rig.departure(socket)
        where = departure.slot or socket
        console = sender(departure)
        device = self.rig.device(socket.device)
        signal = str(self.target.signal or departure.signal or "the mix")
        at_console = self.rig.device(console).location
        words = {
            "point": str(where), "signal": signal, "console": titled(console, at_console),
            "socket": place_of(self.rig, socket), "device": titled(device.name, device.location),
            "bank": device.output_bank or "where it should be", "plug": "output",
        }  # fmt: skip
        ask = f"On {console}, look at the output meter of {where}, or listen there: {{right}}?"
        meter = Point("output-meter", ask, 10)
        links = list(self._links(socket.device, towards_console=False))
        if console in self._consoles:
            yield self._desk(console)
        reached = None
        if self.target.channel is None:
            reached = self._neighbour(None, socket, frozenset(part.name for part in links)) or self._sibling(
                socket, links
            )
        # Of a mix of another console nothing is in what this one may send.
        kinds = () if self.target.away is not None and self.target.channel is None else ("feed",)
        yield self._part(f"feed {where}", f"the output patch at {where}", kinds, words, meter, reached)
        yield from links
        yield self._outlet(socket, signal, words)
        yield from self._end(socket, words)

    def _outlet(self, socket: Socket, signal: str, words: Mapping[str, str]) -> Part:
        """Return the output itself: its selector, and what else its end may be plugged into for a test."""
        selector = ("selector",) if self._may_be_turned(socket) else ()
        end = self.target.end or "what hangs there"
        other = other_output(self.rig, end, socket, signal)
        tried = {"test": other.test, "keep": other.keep, "back": other.back} if other is not None else {}
        kinds = ("outlet",) if other is not None else ("lone-outlet",)
        ask = (
            f"Turn {end} down, go to {place_of(self.rig, socket)}, take out what is in it, plug in a powered "
            "loudspeaker or a headphone amplifier that works, turned down, and turn it up slowly: {right}?"
        )
        plug = Point("at-output", ask, 90, handles=True, after=LOOKS_FIRST)
        return self._part(f"outlet {socket}", f"the output {socket}", (*kinds, *selector), {**words, **tried}, plug)

    def _may_be_turned(self, socket: Socket) -> bool:
        """Whether a box's selector may be the cause: of a mix that leaks, where a position brings it there."""
        outputs, box = self.rig.device(socket.device).model.outputs, self.rig.boxes.get(socket.device)
        if self.rig.device(socket.device).model.chain is None or not outputs.by_selector:
            return False
        if not self.target.leaks or box is None or self.target.name not in self.rig.rig.mixes:
            return True
        slots = (Slot(box.link, bank_slots(outputs, bank)[socket.number - 1]) for bank in outputs.selector)
        sent = (self.rig.rig.feeds[slot].signal for slot in slots if slot in self.rig.rig.feeds)
        return any((signal.kind, signal.name) == ("mix", self.target.name) for signal in sent)

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
        return Point(
            "sibling",
            ask,
            5,
            substitute=True,
            behind=frozenset(part.name for part in links),
            symptoms=frozenset((DEAD,)),
        )

    def _end(self, socket: Socket, words: Mapping[str, str]) -> Iterator[Part]:
        """Yield the line and what hangs on it: an amplifier and its loudspeakers, or what has its own mains."""
        destination = self.target.destination
        amplifier = self.target.amplifier
        if amplifier is None and destination is not None and is_driven(destination):
            amplifier = next((a for a in self.rig.rig.amplifiers.values() if socket in a.sockets), None)
        end = amplifier or destination
        if end is None:
            return
        place = titled(end.name, getattr(end, "location", ""))
        circuit = self._circuit(end.circuit)
        twin, works = self._another(end)
        words = {
            **words,
            "end": place,
            "fed": place,
            "circuit": circuit,
            "dark": place,
            "another": works,
            **in_its_place(end, place, twin, works),
            **self._mains(end, place, socket),
        }
        dark = without_mains(self.rig.rig, end.name, end.circuit)
        known = {"end-dark": dark} if dark else {}
        yield self._line(socket, end.name, words)
        # By what the rig says of it: a circuit or its watts.
        fed = ("active", "fed") if end.circuit is not None or end.load.watts is not None else ("active",)
        if amplifier is None:
            kinds = ("destination", *fed)
            yield self._part(f"destination {end.name}", f"{end.name} itself", kinds, words, known=known)
            return
        name = f"the amplifier {end.name}"
        yield self._part(f"amplifier {end.name}", name, ("amplifier", *fed), words, known=known)
        more = {**words, "speaker": f"those of {end.name}", "another": "another loudspeaker that works", "lent_end": ""}
        if destination is None:
            yield self._part(f"loudspeakers of {end.name}", f"the loudspeakers of {end.name}", ("driven",), more)
            return
        twin, works = self._another(destination)
        speaker = titled(destination.name, destination.location)
        more |= {"speaker": speaker, "another": works, **in_its_place(destination, speaker, twin, works)}
        yield self._part(f"destination {destination.name}", f"{destination.name} itself", ("driven",), more)

    def _line(self, socket: Socket, end: str, words: Mapping[str, str]) -> Part:
        """Return the cable to what hangs on an output."""
        place = words["end"]
        ask = (
            f"Go to {place}: turn it down, pull its signal cable out, plug that into {words['another']}, turned down, "
            "and turn that up slowly: {right}?"
        )
        far = Point("far-end", ask, 60, handles=True, after=LOOKS_FIRST)
        ask = (
            f"Go to {place}: turn it down, pull its signal cable out, turn it up again slowly: is the noise as before "
            "with nothing plugged in?"
        )
        empty = Point("unplugged", ask, 20, handles=True, symptoms=frozenset((NOISE,)))
        several = len(self.target.sockets) > 1
        name = f"line to {end} from {socket}" if several else f"line to {end}"
        return self._part(name, f"the cable from {socket} to {end}", ("out-line",), words, far, empty)

    def _another(self, end: Destination | Amplifier) -> tuple[Destination | Amplifier | None, str]:
        """Return the twin of an end, and what its cable may be plugged into, or be put in its place, in words."""
        if isinstance(end, Amplifier):
            other = twin_of(self.rig, self.rig.rig.amplifiers.values(), end)
            return other, another(other, "amplifier")
        twin = twin_of(self.rig, self.rig.rig.destinations.values(), end)
        return twin, another(twin, kind_words(end.kind))

    def _mains(self, end: Destination | Amplifier, place: str, socket: Socket) -> dict[str, str]:
        """Return how noise from the mains of an end is looked for, and what is done about it.

        It is fed from the circuit of the console that sends to it (another one's would make a loop), if that has room.
        """
        console = self.rig.device(sender(self.rig.departure(socket)))
        circuit = self.rig.rig.circuits.get(console.circuit or "")
        fed = [Hung(end.name, end.load, end.circuit)]
        if circuit is None or circuit.name == end.circuit or not may_take(self.rig, circuit, fed):
            own = f"circuit {end.circuit}" if end.circuit is not None else f"the circuit of {place}"
            shared = f"dimmers, motors and chargers on {own}"
            test = f"Have {shared} switched off for a moment, by whoever has charge of them"
            keep = f"have {shared} fed from elsewhere, each switched off first, {BY}"
            undo = f"Have {shared} fed as they were, each switched off first, {BY}."
            return {"mains_test": test, "mains_keep": keep, "mains_undo": undo}
        there = f"the circuit that {console.name} is on ({circuit.name}), which has room by the rig file"
        test = f"Turn {place} down; have it switched off, fed from {there}, and switched on last, {BY}"
        keep = "leave it on that circuit, and dimmers, motors and chargers off it; enter the change in the rig file"
        undo = f"Turn {place} down; have it switched off, fed as it was, and switched on last, {BY}."
        return {"mains_test": test, "mains_keep": keep, "mains_undo": undo}
