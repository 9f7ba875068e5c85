"""One signal end to end, as a tree of steps: forwards to everything that hears it, backwards to all it comes from."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from lint.resolve.dark import is_dark, were_all_lit
from lint.resolve.follow import Follower
from lint.resolve.phantom import NEEDED, phantom_need
from lint.resolve.resolved import ResolvedRig, same_signal
from lint.resolve.step import Step, UnknownSignalError, unknown
from lint.rig.address import Slot, Socket, point, spans
from lint.rig.plant import Amplifier
from lint.rig.rig import Cable, Channel, Destination, Device, Effects, Mix, Source, is_driven

UNSENT = ("not-fed", "no-bank", "past-link")  # where nothing is sent to a socket, and nobody minds if it is not used


def trace_signal(rig: ResolvedRig, what: str) -> list[Step]:
    """Return the traces of everything that `what` may mean: an id, a label, a channel number, an address.

    Of a pair they are those of both its sources.
    Raises UnknownSignalError.
    """
    found = list(_Tracer(rig).find(what.strip()))
    if not found:
        raise UnknownSignalError(unknown(rig, what))
    return found


class _Tracer(Follower):
    def find(self, what: str) -> Iterator[Step]:
        rows = self.rows
        label = what.casefold()
        pair = rows.pairs.get(what) if what not in rows.sources else None
        named = {what} if pair is None else {pair.left, pair.right}
        for source in rows.sources.values():
            if source.name in named or label == source.label.casefold() != "":
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
        for device in rows.devices.values():
            if what == device.name or what.casefold() == device.label.casefold() != "":
                yield self.box(device) if device.model.chain is not None else self.console(device)
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
        below = (*self.lives_by(source), *map(self.input_socket, source.sockets))
        end = "; ".join(filter(None, (self.harm(source), self.lost_way(source))))
        return Step(f"{source.name}{label}, {source.kind}", below, comes_to=end)

    def lives_by(self, source: Source) -> Iterator[Step]:
        """Yield where a source that is plugged in by several legs has the phantom power from that it needs."""
        giving = [socket for socket in source.sockets if self.rig.phantom.is_live(socket)]
        if len(source.sockets) < 2 or phantom_need(source) != NEEDED or not giving:
            return
        by = " and by ".join(
            f"{socket}, from {' and '.join(map(self.rows.channel_words, self.rig.phantom.switched_on_by(socket)))}"
            for socket in giving
        )
        alone = ": without that leg it is silent on all" if len(giving) == 1 else ""
        yield Step(f"has its phantom power by {by}{alone}")

    def harm(self, source: Source) -> str:
        """Say who brings phantom power to a source that must not have it."""
        channels = self.rig.phantom.harmed.get(source.name, ())
        words = " and ".join(map(self.rows.channel_words, channels))
        return f"{source.name} must not have phantom power, and gets it by {words}" if words else ""

    def lost_way(self, source: Source) -> str:
        """Say which channel a source does not reach, and where it comes out instead."""
        meant, got = self.rig.carriers_of.get(source.name, ()), self.rig.channels_of.get(source.name, ())
        missed = [self.rows.channel_words(channel) for channel in meant if channel not in got]
        if not missed:
            return ""
        instead = " and ".join(self.rows.channel_words(channel) for channel in got if channel not in meant)
        rightly = [self.rows.channel_words(channel) for channel in got if channel in meant]
        end = f"it comes out on {instead}" if instead else "it comes out on no other"
        if source.name in self.rig.phantom.unpowered:
            end = f"on {' and '.join(filter(None, (*rightly, instead)))} it arrives without phantom power: silent"
        return f"{source.name} does not reach {' and '.join(missed)}; {end}"

    def channel(self, channel: Channel) -> Step:
        arrival = self.rig.arrivals[channel.console, channel.number]
        come = Step("comes from", self.back_from_channel(arrival), bool(arrival.stop))
        return Step(self.rows.channel_words(channel), (come, Step("goes to", self.from_channel(channel, frozenset()))))

    def mix(self, mix: Mix, side: str) -> Step:
        signals = [signal for signal in mix.signals if not side or signal.side == side]
        come = Step("comes from", self.into_mix(mix, frozenset(), side))
        return Step(self.mix_words(mix), (come, Step("goes to", self.from_signals(mix, signals, frozenset()))))

    def destination(self, destination: Destination) -> Step:
        below = []
        for index, departure in enumerate(self.rig.departures[destination.name]):
            wanted = destination.expects[index] if destination.expects else None
            below.append(self.into_output(departure, wanted))
            if wanted is not None and not same_signal(departure.signal, wanted):
                below.append(self.expected(wanted))
        label = f" “{destination.label}”" if destination.label else ""
        dark = self.mains(destination.name, destination.circuit)
        amplifiers = [a.name for a in self.rows.amplifiers.values() if set(a.sockets) & set(destination.sockets)]
        by = f", driven by the amplifier {' and '.join(amplifiers)}" if amplifiers and is_driven(destination) else ""
        if is_driven(destination):
            dark += "".join(self.mains(name, self.rows.amplifiers[name].circuit) for name in amplifiers)
        return Step(f"{destination.name}{label}, {destination.kind}{by}{dark}", tuple(below), stops=bool(dark))

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
            return Step(f"{words}: {self.rig.why_unreached(device.name, 'it')}; see `rigwalk check`", stops=True)
        bank = f", output bank {device.output_bank}" if device.output_bank else ""
        plugged = sorted(
            (socket, names) for socket, names in self.rig.sources_in.items() if socket.device == device.name
        )
        inputs = [
            Step(f"{socket} → {self.rig.slot_of.get(socket, 'no slot')}: {' and '.join(names)}")
            for socket, names in plugged
        ]
        below = (*self.dark(device.name), *inputs, *self.outputs_of(device))
        return Step(f"{words}: box {place.position} on {place.link}{bank}", below)

    def outputs_of(self, device: Device) -> Iterator[Step]:
        """Yield what hangs on each output of a device: destinations, amplifiers and what these drive."""
        used = {socket for own in self.outputs_used() for socket in own if socket.device == device.name}
        for socket in sorted(used):
            signal = self.rig.departure(socket).signal
            hangs = self.hangs_on(socket, signal)
            names = " and ".join(each.text if each.stops else each.text.partition(", ")[0] for each in hangs)
            driven = tuple(step for each in hangs for step in each.below)
            text = f"{socket} carries {signal or 'nothing'}: {names}"
            yield Step(text, driven, stops=any(each.stops for each in hangs))

    def console(self, device: Device) -> Step:
        """Tell what hangs on a console: its links and their boxes, its own sockets, and how much it carries."""
        rows, dead = self.rows, self.dead(device.name)
        hung = were_all_lit(self.rig) if dead else self.rig
        chains = [
            Step(f"{link}: {', '.join(box.device for box in chain.boxes) or 'nothing hangs on it'}")
            for link, chain in hung.chains.items()
            if link.device == device.name
        ]
        inputs = []
        for socket, names in sorted(self.rig.sources_in.items()):
            if socket.device == device.name:
                heard = [rows.channel_words(row.channel) for row in self.rig.arrivals.values() if row.socket == socket]
                inputs.append(Step(f"{socket}: {' and '.join(names)} → {' and '.join(heard) or 'no channel'}"))
        channels = [number for console, number in rows.channels if console == device.name]
        mixes = [mix.name for mix in rows.mixes.values() if mix.console == device.name]
        carries = [Step(f"channels {spans(sorted(channels))}")] if channels else []
        carries += [Step(f"mixes {', '.join(mixes)}")] if mixes else []
        below = (*dead, *self.dark(device.name), *chains, *inputs, *carries, *self.outputs_of(device))
        return Step(f"{device.name}, {device.model.name}: console", below)

    def amplifier(self, amplifier: Amplifier) -> Step:
        steps = []
        for index, socket in enumerate(amplifier.sockets):
            wanted = amplifier.expects[index] if amplifier.expects else None
            steps.append(self.into_output(self.rig.departure(socket), wanted))
            driven = [d for d in self.rows.destinations.values() if socket in d.sockets and is_driven(d)]
            steps += [Step(f"drives {destination.name}, {destination.kind}") for destination in driven]
        dark = self.mains(amplifier.name, amplifier.circuit)
        below = tuple(steps) or (Step("the rig does not say where it is plugged in"),)
        return Step(f"{amplifier.name}, amplifier{dark}", below, stops=bool(dark))

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
        state = " that is DARK, and would feed" if is_dark(rows, name) else ", feeds"
        return Step(f"{name}, mains circuit{state}", (*fed, *boxes) or (Step("nothing that the rig names"),))

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
                is_taken = any(arrival.socket == where for arrival in self.rig.arrivals.values())
                plugged = f"{' and '.join(names)} plugged in" if names else "nothing plugged in"
                idle = "" if names or is_taken else ", and no channel takes it"
                yield Step(f"{where}: {plugged}{idle}", (self.input_socket(where),), is_idle=bool(idle))
            else:
                yield self.output_socket(where)
        elif side in known.model.links:
            yield from self.slot(where)

    def slot(self, slot: Slot) -> Iterator[Step]:
        """Tell both ways of a slot."""
        is_taken = any(arrival.slot == slot for arrival in self.rig.arrivals.values())
        is_idle = not is_taken and self.rig.socket_at(slot) not in self.rig.sources_in
        yield Step(f"{slot}, towards the console", (self.input_slot(slot),), is_idle=is_idle)
        hung = (self.rig.departure(socket).slot for own in self.outputs_used() for socket in own)
        is_idle = slot not in self.rows.feeds and slot not in hung
        yield Step(f"{slot}, from the console", self.output_slot(slot), is_idle=is_idle)

    def output_socket(self, socket: Socket) -> Step:
        """Tell what an output socket carries, and what hangs there; where nothing does nothing need be sent."""
        departure = self.rig.departure(socket)
        hangs, carries = self.hangs_on(socket), self.into_output(departure, None)
        if departure.stop not in UNSENT or any(socket in own for own in self.outputs_used()):
            return Step(f"{socket}", (*hangs, carries))
        return Step(
            f"{socket}: nothing plugged in, and nothing is sent there", (replace(carries, stops=False),), is_idle=True
        )

    def outputs_used(self) -> Iterator[tuple[Socket, ...]]:
        """Yield the sockets of all that is plugged into outputs."""
        yield from (row.sockets for row in self.rows.destinations.values())
        yield from (row.sockets for row in self.rows.amplifiers.values())
