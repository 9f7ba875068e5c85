"""One signal end to end, as a tree of steps: forwards to everything that hears it, backwards to all it comes from."""

from __future__ import annotations

import re
from collections.abc import Iterator

from lint.resolve.resolved import Arrival, Departure, ResolvedRig, same_signal
from lint.resolve.step import Step, UnknownSignalError, unknown
from lint.rig.address import OutputPoint, Return, Signal, Slot, Socket, point, spans
from lint.rig.plant import Amplifier
from lint.rig.rig import Cable, Channel, Destination, Device, Effects, Mix, Source, is_driven

# A mix of more channels than this is told by their numbers, and only what is wrong with them one by one.
MOST_CHANNELS = 12


def trace_signal(rig: ResolvedRig, what: str) -> list[Step]:
    """Return the traces of everything that `what` may mean: an id, a label, a channel number, an address.

    Raises UnknownSignalError.
    """
    found = list(_Tracer(rig).find(what.strip()))
    if not found:
        raise UnknownSignalError(unknown(rig, what))
    return found


class _Tracer:
    def __init__(self, rig: ResolvedRig) -> None:
        self.rig = rig
        self.rows = rig.rig
        self.shown: set[str] = set()  # mixes already followed: each is followed once in a trace

    def find(self, what: str) -> Iterator[Step]:
        rows = self.rows
        label = what.casefold()
        for source in rows.sources.values():
            if what == source.name or label == source.label.casefold() != "":
                yield self.source(source)
        for channel in rows.channels.values():
            names = {str(channel.number), f"channel/{channel.number}", f"channel {channel.number}", channel.address}
            if label in names or label == channel.label.casefold() != "":
                yield self.channel(channel)
        name, _, side = what.partition(".")
        for mix in rows.mixes.values():
            if (
                what == mix.name
                or (name == mix.name and what in map(str, mix.signals))
                or label == mix.label.casefold() != ""
            ):
                yield self.mix(mix, side if name == mix.name else "")
        for destination in rows.destinations.values():
            if what == destination.name or label == destination.label.casefold() != "":
                yield self.destination(destination)
        yield from self.find_equipment(what)

    def find_equipment(self, what: str) -> Iterator[Step]:
        """Yield the traces of an effects unit, a box, a socket or a slot."""
        rows = self.rows
        for unit in rows.effects.values():
            if what in (unit.name, f"effects/{unit.name}"):
                yield self.effects_unit(unit)
        for device in rows.boxes:
            if what == device.name or what.casefold() == device.label.casefold() != "":
                yield self.box(device)
        for amplifier in rows.amplifiers.values():
            if what == amplifier.name or what.casefold() == amplifier.label.casefold() != "":
                yield self.amplifier(amplifier)
        if what in rows.cables:
            yield self.cable(rows.cables[what])
        if what in rows.circuit_names:
            yield self.circuit(what)
        if match := re.fullmatch(r"([^/]+)/([^/]+)/([1-9][0-9]{0,5})", what):
            yield from self.address(match[1], match[2], int(match[3]))

    # -- what it may mean --------------------------------------------------------------------------------------

    def source(self, source: Source) -> Step:
        label = f" “{source.label}”" if source.label else ""
        below = tuple(map(self.input_socket, source.sockets))
        return Step(f"{source.name}{label}, {source.kind}", below, comes_to=self.lost_way(source))

    def lost_way(self, source: Source) -> str:
        """Say which channel a source does not reach, and where it comes out instead."""
        meant, got = self.rig.carriers_of.get(source.name, ()), self.rig.channels_of.get(source.name, ())
        missed = [self.rows.channel_words(channel) for channel in meant if channel not in got]
        if not missed:
            return ""
        instead = " and ".join(self.rows.channel_words(channel) for channel in got if channel not in meant)
        end = f"it comes out on {instead}" if instead else "it comes out on no other"
        return f"{source.name} does not reach {' and '.join(missed)}; {end}"

    def channel(self, channel: Channel) -> Step:
        arrival = self.rig.arrivals[channel.console, channel.number]
        come = Step("comes from", self.back_from_channel(arrival), bool(arrival.stop))
        return Step(self.rows.channel_words(channel), (come, Step("goes to", self.from_channel(channel, frozenset()))))

    def mix(self, mix: Mix, side: str) -> Step:
        signals = [signal for signal in mix.signals if not side or signal.side == side]
        come = Step("comes from", self.into_mix(mix, frozenset()))
        return Step(self.mix_words(mix), (come, Step("goes to", self.from_signals(mix, signals, frozenset()))))

    def destination(self, destination: Destination) -> Step:
        below = []
        for index, departure in enumerate(self.rig.departures[destination.name]):
            wanted = destination.expects[index] if destination.expects else None
            below.append(self.into_output(departure, wanted))
            if wanted is not None and not same_signal(departure.signal, wanted):
                below.append(self.expected(wanted))
        label = f" “{destination.label}”" if destination.label else ""
        amplifiers = [a.name for a in self.rows.amplifiers.values() if set(a.sockets) & set(destination.sockets)]
        by = f", driven by the amplifier {' and '.join(amplifiers)}" if amplifiers and is_driven(destination) else ""
        return Step(f"{destination.name}{label}, {destination.kind}{by}", tuple(below))

    def effects_unit(self, unit: Effects) -> Step:
        come = Step("comes from", (Step(str(unit.fed_by), self.into_signal(unit.fed_by, frozenset())),))
        goes = self.from_effects(unit.console, unit.name, frozenset())
        back = goes or (Step("it returns on no channel", stops=True),)
        return Step(f"{unit.name}, effects unit in {unit.console}", (come, Step("goes to", back)))

    def box(self, device: Device) -> Step:
        """Tell where a box is on its chain, and what is plugged into it, socket by socket."""
        place = self.rig.boxes.get(device.name)
        words = f"{device.name}, {device.model.name}"
        if place is None:
            return Step(f"{words}: no console reaches it; see `rigwalk check`", stops=True)
        bank = f", output bank {device.output_bank}" if device.output_bank else ""
        plugged = sorted(
            (socket, names) for socket, names in self.rig.sources_in.items() if socket.device == device.name
        )
        inputs = [
            Step(f"{socket} → {self.rig.slot_of.get(socket, 'no slot')}: {' and '.join(names)}")
            for socket, names in plugged
        ]
        outputs = [
            Step(f"{socket} carries {self.rig.departure(socket).signal or 'nothing'}: {destination.name}")
            for destination, socket, _ in sorted(self.rig.box_outputs.get(device.name, ()), key=lambda row: row[1])
        ]
        return Step(f"{words}: box {place.position} on {place.link}{bank}", (*inputs, *outputs))

    def amplifier(self, amplifier: Amplifier) -> Step:
        steps = []
        for index, socket in enumerate(amplifier.sockets):
            wanted = amplifier.expects[index] if amplifier.expects else None
            steps.append(self.into_output(self.rig.departure(socket), wanted))
            driven = [d for d in self.rows.destinations.values() if socket in d.sockets and is_driven(d)]
            steps += [Step(f"drives {destination.name}, {destination.kind}") for destination in driven]
        return Step(
            f"{amplifier.name}, amplifier", tuple(steps) or (Step("the rig does not say where it is plugged in"),)
        )

    def cable(self, cable: Cable) -> Step:
        """Tell what rides on a link cable: all that is plugged into the boxes behind it."""
        text = f"{cable.name}, link cable from {cable.ends[0]} to {cable.ends[1]}"
        for chain in self.rig.chains.values():
            place = next((box.position for box in chain.boxes if box.cable.name == cable.name), None)
            if place is not None:
                behind = [box.device for box in chain.boxes if box.position >= place]
                return Step(text, tuple(self.box(self.rows.devices[name]) for name in behind))
        return Step(f"{text}: nothing rides on it", stops=True)

    def circuit(self, name: str) -> Step:
        """Tell what a mains circuit feeds, and which sources and destinations are silent without it."""
        rows = self.rows
        boxes = [self.box(device) for device in rows.boxes if device.circuit == name]
        fed = [
            Step(f"{d.name}, {d.model.name}")
            for d in rows.devices.values()
            if d.circuit == name and d.model.chain is None
        ]
        fed += [self.amplifier(amplifier) for amplifier in rows.amplifiers.values() if amplifier.circuit == name]
        fed += [Step(f"{d.name}, {d.kind}") for d in rows.destinations.values() if d.circuit == name]
        return Step(f"{name}, mains circuit, feeds", (*fed, *boxes) or (Step("nothing that the rig names"),))

    def address(self, device: str, side: str, number: int) -> Iterator[Step]:
        known = self.rows.devices.get(device)
        if known is None:
            return
        where = point(device, side, number)
        if isinstance(where, Socket):
            if not self.rig.has_socket(where):
                yield Step(f"{where}: {device} ({known.model.name}) has no such socket", stops=True)
            elif side == "in":
                names = self.rig.sources_in.get(where, [])
                plugged = f"{' and '.join(names)} plugged in" if names else "nothing plugged in"
                yield Step(f"{where}: {plugged}", (self.input_socket(where),))
            else:
                yield Step(f"{where}", (*self.hangs_on(where), self.into_output(self.rig.departure(where), None)))
        elif side in known.model.links:
            yield Step(f"{where}, towards the console", (self.input_slot(where),))
            yield Step(f"{where}, from the console", self.output_slot(where))

    # -- forwards ----------------------------------------------------------------------------------------------

    def input_socket(self, socket: Socket) -> Step:
        rig = self.rig
        text = f"plugged into {socket}"
        if not rig.has_socket(socket):
            count = rig.device(socket.device).model.inputs.count
            return Step(f"{text}: {socket.device} has {count} inputs", stops=True)
        takers = [arrival for arrival in rig.arrivals.values() if arrival.socket == socket]
        if rig.device(socket.device).model.chain is not None:
            return self.over_link(socket, text, takers)
        below = tuple(self.to_channel(arrival) for arrival in takers)
        return Step(text, below or (Step("no channel is patched from it", stops=True),))

    def over_link(self, socket: Socket, text: str, takers: list[Arrival]) -> Step:
        rig = self.rig
        if socket.device in rig.lost_boxes:
            return Step(f"{text}, but {socket.device} is cut off: see `rigwalk check`", stops=True)
        box = rig.boxes.get(socket.device)
        if box is None:
            return Step(f"{text}, but no console reaches {socket.device}", stops=True)
        slot = rig.slot_of.get(socket)
        if slot is None:
            capacity = rig.chains[box.link].capacity
            return Step(f"{text}, but the link has {capacity} slots and none is left for it", stops=True)
        span = spans(list(box.input_slots))
        arrives = (
            f"arrives on slot {slot} ({box.device} is box {box.position} on the chain: its inputs are slots {span})"
        )
        below = tuple(self.to_channel(arrival) for arrival in takers)
        return Step(text, (Step(arrives, below or (Step("no channel is patched from that slot", stops=True),)),))

    def input_slot(self, slot: Slot) -> Step:
        socket = self.rig.socket_at(slot)
        if socket is None:
            return Step("no box's input arrives on it", stops=True)
        names = self.rig.sources_in.get(socket, [])
        takers = [arrival for arrival in self.rig.arrivals.values() if arrival.slot == slot]
        below = tuple(self.to_channel(arrival) for arrival in takers)
        if names and not takers:
            below = (Step("no channel is patched from that slot", stops=True),)
        text = f"comes from {socket}: {' and '.join(names) or 'nothing plugged in'}"
        return Step(text, below, stops=bool(takers) and not names)

    def to_channel(self, arrival: Arrival) -> Step:
        channel = arrival.channel
        text = self.rows.channel_words(channel)
        wrong = arrival in self.rig.mismatches
        if channel.carries is not None:
            text += f", which should carry {channel.carries}" + (": WRONG" if wrong else ": right")
        if channel.phantom == "on":
            text += "; phantom on"
        return Step(text, self.from_channel(channel, frozenset()), wrong)

    def from_channel(self, channel: Channel, seen: frozenset[str]) -> tuple[Step, ...]:
        steps = []
        for mix in self.rows.mixes.values():
            send = mix.sends.get(channel.number) if mix.console == channel.console else None
            if send is not None:
                how = ", ".join(filter(None, (f"{send.level_db:g} dB" if send.level_db is not None else "", send.tap)))
                below = self.from_signals(mix, list(mix.signals), seen)
                steps.append(Step(self.mix_words(mix) + (f" ({how})" if how else ""), below))
        direct = Signal("channel", f"{channel.console}/{channel.number}")
        steps.extend(self.at_output(where, direct) for where in self.rig.feeds_of(direct))
        return tuple(steps) or (Step("no mix takes it and it is sent nowhere", stops=True),)

    def from_signals(self, mix: Mix, signals: list[Signal], seen: frozenset[str]) -> tuple[Step, ...]:
        if mix.name in seen:
            return (Step(f"{mix.name} again: the signal goes round in a loop", stops=True),)
        if mix.name in self.shown:
            return (Step("as shown above"),)
        self.shown.add(mix.name)
        seen = seen | {mix.name}
        steps: list[Step] = []
        for signal in [*signals, Signal("mix", mix.name, "mono")]:
            steps.extend(self.at_output(where, signal) for where in self.rig.feeds_of(signal))
        for other in dict.fromkeys(taker.name for taker in self.rig.taken_by.get(mix.name, ())):
            taker = self.rows.mixes[other]
            steps.append(Step(f"taken by {self.mix_words(taker)}", self.from_signals(taker, list(taker.signals), seen)))
        steps.extend(
            Step(f"feeds the effects unit {unit.name}", self.from_effects(unit.console, unit.name, seen))
            for unit in self.rows.effects.values()
            if unit.fed_by.name == mix.name
        )
        if not steps and mix.kind not in ("cue", "talkback"):
            return (Step("it is sent nowhere", stops=True),)
        return tuple(steps)

    def from_effects(self, console: str, name: str, seen: frozenset[str]) -> tuple[Step, ...]:
        returns = [
            arrival.channel
            for arrival in self.rig.arrivals.values()
            if arrival.effects and (arrival.channel.console, arrival.effects.effects) == (console, name)
        ]
        return tuple(Step(f"returns on {self.rows.channel_words(c)}", self.from_channel(c, seen)) for c in returns)

    def at_output(self, where: OutputPoint, signal: Signal) -> Step:
        if isinstance(where, Socket):
            return Step(f"{signal} leaves at {where}", self.hangs_on(where, signal))
        return Step(f"{signal} leaves on slot {where}", self.output_slot(where, signal))

    def output_slot(self, slot: Slot, signal: Signal | None = None) -> tuple[Step, ...]:
        steps: list[Step] = []
        for box in self.rig.boxes.values():
            if box.link != slot.port or slot.number not in box.output_slots:
                continue
            socket = Socket(box.device, "out", box.output_slots.index(slot.number) + 1)
            departure = self.rig.departure(socket)
            bank = self.rig.device(box.device).output_bank
            text = f"{socket}" + (f" ({box.device}'s selector: {bank})" if bank else "")
            given = signal if signal is not None else departure.signal
            if departure.stop in ("", "not-fed"):
                steps.append(Step(text, self.hangs_on(socket, given)))
        return tuple(steps) or (Step("no box's selector takes that slot", stops=signal is not None),)

    def hangs_on(self, socket: Socket, signal: Signal | None = None) -> tuple[Step, ...]:
        steps: list[Step] = []
        driven: list[Step] = []
        amplifiers = [amplifier for amplifier in self.rows.amplifiers.values() if socket in amplifier.sockets]
        for destination, own, wanted in self.rig.outputs():
            if own.socket == socket:
                by_amplifier = bool(amplifiers) and is_driven(destination)
                wrong = wanted is not None and signal is not None and not same_signal(signal, wanted)
                expects = f", which expects {wanted}: {'WRONG' if wrong else 'right'}" if wanted and signal else ""
                step = Step(f"{destination.name}, {destination.kind}{expects}", stops=wrong)
                (driven if by_amplifier else steps).append(step)
        steps += [Step(f"{amplifier.name}, amplifier", tuple(driven)) for amplifier in amplifiers]
        return tuple(steps) or (Step("nothing is plugged in there"),)

    # -- backwards ---------------------------------------------------------------------------------------------

    def into_output(self, departure: Departure, wanted: Signal | None) -> Step:
        text = f"{departure.socket}"
        bank = self.rig.device(departure.socket.device).output_bank
        if departure.slot is not None:
            text += f" carries slot {departure.slot}" + (f" (selector: {bank})" if bank else "")
        reason = {
            "socket-missing": "there is no such socket",
            "box-lost": f"no console reaches {departure.socket.device}",
            "no-bank": "its output bank is not stated",
            "bank-unknown": "its selector has no such position",
            "past-link": "that slot is past the link's",
            "not-fed": "nothing is sent there",
        }.get(departure.stop)
        if reason is not None or departure.signal is None:
            return Step(f"{text}: {reason}", stops=True)
        signal = departure.signal
        wrong = wanted is not None and not same_signal(signal, wanted)
        expects = f", expected {wanted}: {'WRONG' if wrong else 'right'}" if wanted else ""
        copied = f", the same as {departure.feed.copied_from}" if departure.feed and departure.feed.copied_from else ""
        return Step(f"{text}{copied}", (Step(f"{signal}{expects}", self.into_signal(signal, frozenset()), wrong),))

    def expected(self, wanted: Signal) -> Step:
        """Return where the signal that is missed leaves instead, and what takes it there."""
        below = tuple(self.at_output(where, wanted) for where in self.rig.feeds_of(wanted))
        return Step(f"expected: {wanted}", below or (Step("it is sent nowhere", stops=True),))

    def into_signal(self, signal: Signal, seen: frozenset[str]) -> tuple[Step, ...]:
        if signal.kind == "mix":
            return self.into_mix(self.rows.mixes[signal.name], seen)
        console, _, number = signal.name.rpartition("/")
        return self.back_from_channel(self.rig.arrivals[console, int(number)])

    def into_mix(self, mix: Mix, seen: frozenset[str]) -> tuple[Step, ...]:
        if mix.name in seen:
            return (Step(f"{mix.name} again: the signal goes round in a loop", stops=True),)
        seen = seen | {mix.name}
        steps = [
            Step(f"takes {signal}", self.into_signal(signal, seen)) if signal.kind == "mix" else Step(f"takes {signal}")
            for signal in mix.takes
        ]
        arrivals = [self.rig.arrivals[mix.console, number] for number in mix.sends]
        bad = [arrival for arrival in arrivals if arrival.stop or arrival in self.rig.mismatches]
        if len(arrivals) > MOST_CHANNELS:
            numbers = spans(sorted(mix.sends))
            steps.append(Step(f"takes channels {numbers}" + ("; wrong among them:" if bad else "")))
        for arrival in bad if len(arrivals) > MOST_CHANNELS else arrivals:
            words = self.rows.channel_words(arrival.channel)
            steps.append(Step(f"{words}: {self.arrival_words(arrival)}", stops=arrival in bad))
        return tuple(steps) or (Step("takes nothing", stops=mix.kind not in ("cue", "talkback")),)

    def back_from_channel(self, arrival: Arrival) -> tuple[Step, ...]:
        wanted = arrival.channel.carries
        wrong = arrival in self.rig.mismatches
        meant = f"; should carry {wanted}: {'WRONG' if wrong else 'right'}" if wanted else ""
        return (Step(self.arrival_words(arrival) + meant, stops=wrong or bool(arrival.stop)),)

    def arrival_words(self, arrival: Arrival) -> str:
        way = " ← ".join(str(step) for step in (arrival.slot, arrival.socket) if step is not None)
        if isinstance(arrival.channel.patched_from, Return):
            return str(arrival.channel.patched_from)
        reason = {
            "unpatched": "patched from nowhere",
            "no-socket": f"{way}: past the end of the chain",
            "empty-socket": f"{way}: nothing plugged in",
            "socket-missing": f"{way}: there is no such socket",
            "box-lost": f"{way}: {arrival.box} is cut off",
        }.get(arrival.stop)
        return reason or f"{' and '.join(arrival.sources)} ({way})"

    def mix_words(self, mix: Mix) -> str:
        return f"{mix.name} ({mix.kind} mix)" if mix.kind not in mix.name else mix.name
