"""What a trace follows: a signal forwards to everything that hears it, and backwards to all that it comes from."""

from __future__ import annotations

from lint.resolve.dark import dark_on_the_way, without_mains
from lint.resolve.resolved import Arrival, Departure, ResolvedRig, is_right, same_signal
from lint.resolve.step import Step
from lint.rig.address import OutputPoint, Return, Signal, Slot, Socket, spans
from lint.rig.dead import dead_words
from lint.rig.rig import Channel, Mix, is_driven

# A mix of more channels than this is told by their numbers, and only what is wrong with them one by one.
MOST_CHANNELS = 12


class Follower:
    """Follows signals through one rig; every mix forwards once."""

    def __init__(self, rig: ResolvedRig) -> None:
        self.rig = rig
        self.rows = rig.rig
        self.shown: set[tuple[str, ...]] = set()  # mixes already followed, by their sides: once each in a trace

    # -- forwards ----------------------------------------------------------------------------------------------

    def input_socket(self, socket: Socket) -> Step:
        """Return what becomes of what is plugged into an input socket."""
        rig = self.rig
        text = f"plugged into {socket}"
        if not rig.has_socket(socket):
            count = rig.device(socket.device).model.inputs.count
            return Step(f"{text}: {socket.device} has {count} inputs", stops=True)
        takers = [arrival for arrival in rig.arrivals.values() if arrival.socket == socket]
        if rig.device(socket.device).model.chain is not None:
            return self.over_link(socket, text, takers)
        below = tuple(self.to_channel(arrival) for arrival in takers)
        if not below and not self.dead(socket.device):  # what is patched from a dead console's own nobody hears
            below = (Step("no channel is patched from it", stops=self.is_used(socket)),)
        return Step(text, (*self.lost(socket), *below))

    def is_used(self, socket: Socket) -> bool:
        """Whether anything is plugged into an input socket: else nothing stops where no channel takes it."""
        return bool(self.rig.sources_in.get(socket))

    def over_link(self, socket: Socket, text: str, takers: list[Arrival]) -> Step:
        """Return what becomes of it on the way from a box to its console."""
        rig = self.rig
        if socket.device in rig.lost_boxes:
            return Step(f"{text}, but {socket.device} is cut off: see `rigwalk check`", stops=True)
        box = rig.boxes.get(socket.device)
        if box is None:
            return Step(f"{text}, but {rig.why_unreached(socket.device)}", stops=True)
        slot = rig.slot_of.get(socket)
        if slot is None:
            capacity = rig.chains[box.link].capacity
            return Step(f"{text}, but the link has {capacity} slots and none is left for it", stops=True)
        span = spans(list(box.input_slots))
        arrives = (
            f"arrives on slot {slot} ({box.device} is box {box.position} on the chain: its inputs are slots {span})"
        )
        below = tuple(self.to_channel(arrival) for arrival in takers)
        untaken = Step("no channel is patched from that slot", stops=self.is_used(socket))
        heard = Step(arrives, below or (untaken,))
        return Step(text, (*self.lost(socket), heard))

    def dark(self, device: str) -> tuple[Step, ...]:
        """Return where the way between a device and its console is dark: what has no mains lets nothing through."""
        return tuple(Step(f"{text}, so nothing gets through", stops=True) for text in dark_on_the_way(self.rig, device))

    def dead(self, console: str) -> tuple[Step, ...]:
        """Return that a console is dead by the file, with what is known of it; nothing where it works."""
        words = (row.words for row in self.rows.dead.values() if row.name == console)
        return tuple(Step(f"{text}, so nothing gets through", stops=True) for text in words)

    def lost(self, socket: Socket) -> tuple[Step, ...]:
        """Return why nothing gets on from an input socket: it is dead, or its console, or its way is dark."""
        box = self.rig.boxes.get(socket.device)
        console = box.link.device if box is not None else socket.device
        dead = (row.words for row in self.rows.dead.values() if socket in row.sockets)
        own = (Step(f"{words}, so nothing gets through", stops=True) for words in dead)
        return (*own, *self.dead(console), *self.dark(socket.device))

    def mains(self, name: str, circuit: str | None) -> str:
        """Return ': it has no mains ...' behind the words for a thing whose circuit is dark, else nothing."""
        text = without_mains(self.rows, name, circuit)
        return f"; {text}" if text else ""

    def input_slot(self, slot: Slot) -> Step:
        """Return which socket a slot towards the console comes from, and the channels that hear it."""
        socket = self.rig.socket_at(slot)
        takers = [arrival for arrival in self.rig.arrivals.values() if arrival.slot == slot]
        if socket is None:
            return Step("no box's input arrives on it", stops=bool(takers))
        names = self.rig.sources_in.get(socket, [])
        below = (*self.lost(socket), *(self.to_channel(arrival) for arrival in takers))
        if names and not takers:
            below = (Step("no channel is patched from that slot", stops=True),)
        text = f"comes from {socket}: {' and '.join(names) or 'nothing plugged in'}"
        return Step(text, below, stops=bool(takers) and not names)

    def to_channel(self, arrival: Arrival) -> Step:
        """Return a channel that something arrives on, whether it should, and where it goes from there."""
        channel = arrival.channel
        text = self.rows.channel_words(channel)
        wrong = not is_right(arrival)
        if channel.carries is not None:
            text += f", which should carry {channel.carries}" + (": WRONG" if wrong else ": as meant")
        if channel.phantom == "on":
            text += "; phantom on"
        unpowered = self.unpowered(arrival)
        text += f"; {unpowered}" if unpowered else ""
        return Step(text, self.from_channel(channel, frozenset()), wrong or bool(unpowered))

    def unpowered(self, arrival: Arrival) -> str:
        """Say what arrives on a channel without the phantom power that it needs; nothing where its way is dark."""
        is_dark = arrival.socket is not None and dark_on_the_way(self.rig, arrival.socket.device)
        names = [] if is_dark else [name for name in arrival.sources if name in self.rig.phantom.unpowered]
        verb = "needs" if len(names) == 1 else "need"
        return (
            f"{' and '.join(names)} {verb} phantom power and {'gets' if len(names) == 1 else 'get'} none: silent"
            if names
            else ""
        )

    def from_channel(self, channel: Channel, seen: frozenset[str]) -> tuple[Step, ...]:
        """Return what a channel is sent to."""
        steps = []
        for mix in self.rows.mixes.values():
            send = mix.sends.get(channel.number) if mix.console == channel.console else None
            if send is not None:
                away = away_from(channel) if mix.width == "stereo" else None
                panned = f"panned {channel.pan}" if away is not None else None
                level = f"{send.level_db:g} dB" if send.level_db is not None else None
                how = ", ".join(filter(None, (level, send.tap, panned)))
                below = self.from_signals(mix, [signal for signal in mix.signals if signal.side != away], seen)
                steps.append(Step(self.mix_words(mix) + (f" ({how})" if how else ""), below))
        direct = Signal("channel", f"{channel.console}/{channel.number}")
        for mix in self.rows.mixes.values():
            if direct in mix.takes:
                below = self.from_signals(mix, list(mix.signals), seen)
                steps.append(Step(f"{self.mix_words(mix)} (by its direct output)", below))
        steps.extend(self.at_output(where, direct) for where in self.rig.feeds_of(direct))
        return tuple(steps) or (Step("no mix takes it and it is sent nowhere", stops=True),)

    def from_signals(self, mix: Mix, signals: list[Signal], seen: frozenset[str]) -> tuple[Step, ...]:
        """Return where signals of a mix go, but through no mix of `seen` again."""
        if mix.name in seen:
            return (Step(f"{mix.name} again: the signal goes round in a loop", stops=True),)
        followed = (mix.name, *map(str, signals))
        if followed in self.shown:
            return (Step("as shown above"),)
        self.shown.add(followed)
        seen = seen | {mix.name}
        steps: list[Step] = []
        for signal in [*signals, Signal("mix", mix.name, "mono")]:
            steps.extend(self.at_output(where, signal) for where in self.rig.feeds_of(signal))
        for other in dict.fromkeys(taker.name for taker in self.rig.taken_by.get(mix.name, ())):
            taker = self.rows.mixes[other]
            # Both sides at once, summed or written without a side, have something of each.
            whole = {Signal("mix", mix.name, side) for side in ("", "mono")}
            taken = [signal for signal in taker.takes if signal in signals or signal in whole]
            if taken:
                sides = {signal.side for signal in taken} if keeps_sides(taker, mix.name) else {"left", "right", ""}
                below = self.from_signals(taker, [signal for signal in taker.signals if signal.side in sides], seen)
                steps.append(Step(f"taken by {self.mix_words(taker)}", below))
        steps.extend(
            Step(f"feeds the effects unit {unit.name}", self.from_effects(unit.console, unit.name, seen))
            for unit in self.rows.effects.values()
            if unit.fed_by.name == mix.name
        )
        if not steps and mix.kind not in ("cue", "talkback"):
            return (Step("it is sent nowhere", stops=True),)
        return tuple(steps)

    def from_effects(self, console: str, name: str, seen: frozenset[str]) -> tuple[Step, ...]:
        """Return the channels that an effects unit returns on."""
        returns = [
            arrival.channel
            for arrival in self.rig.arrivals.values()
            if arrival.effects and (arrival.channel.console, arrival.effects.effects) == (console, name)
        ]
        return tuple(Step(f"returns on {self.rows.channel_words(c)}", self.from_channel(c, seen)) for c in returns)

    def at_output(self, where: OutputPoint, signal: Signal) -> Step:
        """Return the output that a signal leaves at, and what takes it there."""
        if isinstance(where, Socket):
            return Step(f"{signal} leaves at {where}", self.hangs_on(where, signal))
        return Step(f"{signal} leaves on slot {where}", self.output_slot(where, signal))

    def output_slot(self, slot: Slot, signal: Signal | None = None) -> tuple[Step, ...]:
        """Return the sockets that take a slot from the console; without a signal, what is sent there counts."""
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
                steps.append(Step(text, (*self.dark(box.device), *self.hangs_on(socket, given))))
        none = Step("no box's selector takes that slot", stops=signal is not None)
        return tuple(steps) or self.dead(slot.port.device) or (none,)

    def hangs_on(self, socket: Socket, signal: Signal | None = None) -> tuple[Step, ...]:
        """Return what hangs on an output socket, and whether it should hear the signal."""
        steps: list[Step] = []
        driven: list[Step] = []
        amplifiers = [amplifier for amplifier in self.rows.amplifiers.values() if socket in amplifier.sockets]
        for destination, own, wanted in self.rig.outputs():
            if own.socket == socket:
                by_amplifier = bool(amplifiers) and is_driven(destination)
                expects, wrong = expectation(signal, wanted)
                dark = self.mains(destination.name, destination.circuit)
                step = Step(f"{destination.name}, {destination.kind}{expects}{dark}", stops=wrong or bool(dark))
                (driven if by_amplifier else steps).append(step)
        for amplifier in amplifiers:
            wanted = amplifier.expects[amplifier.sockets.index(socket)] if amplifier.expects else None
            expects, wrong = expectation(signal, wanted)
            dark = self.mains(amplifier.name, amplifier.circuit)
            text = f"{amplifier.name}, amplifier{expects}{dark}"
            steps.append(Step(text, tuple(driven), stops=wrong or bool(dark)))
        return tuple(steps) or (Step("nothing is plugged in there"),)

    # -- backwards ---------------------------------------------------------------------------------------------

    def into_output(self, departure: Departure, wanted: Signal | None) -> Step:
        """Return what an output socket carries and where that comes from."""
        text = f"{departure.socket}"
        bank = self.rig.device(departure.socket.device).output_bank
        if departure.slot is not None:
            text += f" carries slot {departure.slot}" + (f" (selector: {bank})" if bank else "")
        reason = {
            "socket-missing": "there is no such socket",
            "box-lost": self.rig.why_unreached(departure.socket.device),
            "console-dead": f"{departure.slot.port.device if departure.slot else departure.socket.device} is dead",
            "no-bank": "its output bank is not stated",
            "bank-unknown": "its selector has no such position",
            "past-link": "that slot is past the link's",
            "not-fed": "nothing is sent there",
        }.get(departure.stop)
        if reason is not None or departure.signal is None:
            return Step(f"{text}: {reason}", stops=True)
        signal = departure.signal
        wrong = wanted is not None and not same_signal(signal, wanted)
        expects = f", expected {wanted}: {'WRONG' if wrong else 'as meant'}" if wanted else ""
        copied = f", the same as {departure.feed.copied_from}" if departure.feed and departure.feed.copied_from else ""
        sent = Step(f"{signal}{expects}", self.into_signal(signal, frozenset()), wrong)
        return Step(f"{text}{copied}", (*self.dark(departure.socket.device), sent))

    def expected(self, wanted: Signal) -> Step:
        """Return where the signal that is missed leaves instead, and what takes it there."""
        below = tuple(self.at_output(where, wanted) for where in self.rig.feeds_of(wanted))
        return Step(f"expected: {wanted}", below or (Step("it is sent nowhere", stops=True),))

    def into_signal(self, signal: Signal, seen: frozenset[str]) -> tuple[Step, ...]:
        """Return where a signal comes from."""
        if signal.kind == "mix":
            return self.into_mix(self.rows.mixes[signal.name], seen, signal.side)
        console, _, number = signal.name.rpartition("/")
        return self.back_from_channel(self.rig.arrivals[console, int(number)])

    def into_mix(self, mix: Mix, seen: frozenset[str], side: str = "") -> tuple[Step, ...]:
        """Return what a mix, or one side of it, takes, but through no mix of `seen` again."""
        if mix.name in seen:
            return (Step(f"{mix.name} again: the signal goes round in a loop", stops=True),)
        seen = seen | {mix.name}
        steps = [
            Step(f"takes {signal}", self.into_signal(signal, seen)) if signal.kind == "mix" else Step(f"takes {signal}")
            for signal in mix.takes
            if not (side and keeps_sides(mix, signal.name) and signal.side not in (side, "mono"))
        ]
        every = [self.rig.arrivals[mix.console, number] for number in mix.sends]
        arrivals = [row for row in every if not side or away_from(row.channel) != side]
        bad = [row for row in arrivals if row.stop or not is_right(row) or self.is_silent(row)]
        if len(arrivals) > MOST_CHANNELS:
            numbers = spans(sorted(row.channel.number for row in arrivals))
            steps.append(Step(f"takes channels {numbers}" + ("; wrong among them:" if bad else "")))
        for arrival in bad if len(arrivals) > MOST_CHANNELS else arrivals:
            words = self.rows.channel_words(arrival.channel)
            steps.append(Step(f"{words}: {self.arrival_words(arrival)}", stops=arrival in bad))
        if away := [self.rows.channel_words(row.channel) for row in every if row not in arrivals]:
            steps.append(Step(f"nothing of {' and '.join(away)}: panned to the other side"))
        return tuple(steps) or (Step("takes nothing", stops=mix.kind not in ("cue", "talkback")),)

    def back_from_channel(self, arrival: Arrival) -> tuple[Step, ...]:
        """Return where what arrives on a channel comes from, and whether it should."""
        wanted = arrival.channel.carries
        wrong = not is_right(arrival)
        meant = f"; should carry {wanted}: {'WRONG' if wrong else 'as meant'}" if wanted else ""
        stops = wrong or bool(arrival.stop) or self.is_silent(arrival)
        return (Step(self.arrival_words(arrival) + meant, stops=stops),)

    def is_silent(self, arrival: Arrival) -> bool:
        """Whether what arrives on a channel has no phantom power, or something between them no mains."""
        socket = arrival.socket
        return bool(self.unpowered(arrival)) or (socket is not None and bool(dark_on_the_way(self.rig, socket.device)))

    def arrival_words(self, arrival: Arrival) -> str:
        """Say what arrives on a channel and by which way, or why nothing does."""
        way = " ← ".join(str(step) for step in (arrival.slot, arrival.socket) if step is not None)
        if isinstance(arrival.channel.patched_from, Return):
            return str(arrival.channel.patched_from)
        reason = {
            "unpatched": "patched from nowhere",
            "no-socket": f"{way}: past the end of the chain",
            "empty-socket": f"{way}: nothing plugged in",
            "socket-missing": f"{way}: there is no such socket",
            "socket-dead": f"{way}: {dead_words(self.rows.dead.values(), arrival.socket)}" if arrival.socket else "",
            "console-dead": f"{arrival.channel.console} is dead",
            "box-lost": f"{way}: {arrival.box} is cut off",
        }.get(arrival.stop)
        dark = dark_on_the_way(self.rig, arrival.socket.device) if arrival.socket is not None else []
        silent = filter(None, (self.unpowered(arrival),))
        return reason or "; ".join((f"{' and '.join(arrival.sources)} ({way})", *dark, *silent))

    def mix_words(self, mix: Mix) -> str:
        """Say a mix as the crew does."""
        return f"{mix.name} ({mix.kind} mix)" if mix.kind not in mix.name else mix.name


def away_from(channel: Channel) -> str | None:
    """Return the side of a stereo mix that nothing of a channel gets to, as it is panned to the other."""
    return {"left": "right", "right": "left"}.get(channel.pan or "")


def keeps_sides(taker: Mix, name: str) -> bool:
    """Whether a stereo mix takes both sides of another, each on its own side."""
    taken = {signal.side for signal in taker.takes if signal.name == name}
    return taker.width == "stereo" and {"left", "right"} <= taken


def expectation(signal: Signal | None, wanted: Signal | None) -> tuple[str, bool]:
    """Return the words on what is expected where a signal arrives, and whether it is another one."""
    if signal is None or wanted is None:
        return "", False
    if same_signal(signal, wanted):
        return f", which expects {wanted}: as meant", False
    return f", which expects {wanted} and gets {signal}: WRONG", True
