"""The path of one signal as a row of parts, with the points between them at which something can be seen or heard."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from lint.hunt.causes import DEAD
from lint.hunt.inputs import Inputs
from lint.hunt.leaks import BY_WHAT_IS_TURNED_DOWN, LISTENS, may_pause, taker_of, takes
from lint.hunt.links import heard_beside
from lint.hunt.outputs import Outputs
from lint.hunt.part import Part, Point, muted_for
from lint.hunt.target import Target
from lint.hunt.unlit import off_for_patch
from lint.hunt.witness import is_lit
from lint.resolve.resolved import ResolvedRig
from lint.rig.rig import DRIVEN, Channel, Effects, Mix


def path_of(rig: ResolvedRig, target: Target) -> list[Part]:
    """Return the parts from where the signal begins to where it is missed, in its order."""
    return list(_Walker(rig, target).once())


def taken_to_be_lit(rig: ResolvedRig, target: Target, parts: Sequence[Part]) -> list[str]:
    """Return the consoles at which a hunt for what is dead looks as well and that are no part of its path."""
    source, other = rig.rig.sources.get(target.source or ""), heard_beside(rig, target)
    rows = [*([other] if other is not None else []), *(rig.phantom.powering(source) if source is not None else [])]
    on_path = {part.name for part in parts}
    lit = dict.fromkeys(row.console for row in rows if is_lit(rig, row.console))
    return [name for name in lit if f"console {name}" not in on_path]


class _Walker(Inputs, Outputs):
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
            yield replace(part, points=tuple(self._told_by_ear(points, names)))

    def _told_by_ear(self, points: Iterable[Point], names: Sequence[str]) -> Iterator[Point]:
        """Yield the points of a part; those of a leak that are listened at only as far as that tells anything."""
        unheard = frozenset(name for name in names if name.startswith(BY_WHAT_IS_TURNED_DOWN))
        for point in points:
            if self.heard is None or LISTENS not in point.ask:
                yield point
            elif self.heard.right:
                yield point._replace(maybe=point.maybe | unheard) if self.heard.is_paused else point

    def parts(self) -> Iterator[Part]:
        target = self.target
        if target.away is not None:
            yield from self._arriving(target.away)
        elif target.source is not None and target.socket is not None:
            yield from self._input(target.source, target.socket)
        if target.effects is not None and target.effects.fed_by.kind == "mix":
            yield self._desk(target.effects.console)
            yield from self._bus(target.effects.fed_by.name)
        yield from self._on_console()
        if target.then is not None:
            # Whose box the other ones share, that are listened to, is asked there too.
            rest = _Walker(self.rig, replace(target.then, socket=target.socket))
            rest.words["source"] = self.words["source"]
            yield from rest._on_console()  # what feeds its effects unit was passed already

    def _on_console(self) -> Iterator[Part]:
        """Yield the parts from the effects unit or the channel on, before them the console itself."""
        target = self.target
        mix = self.rig.rig.mixes[target.mixes[0]] if target.mixes else None
        first = target.channel if target.away is None and target.channel is not None else mix
        if first is not None:
            yield self._desk(first.console)
        if target.effects is not None:
            yield self._effects(target.effects)
        if target.channel is not None and target.away is None:
            yield from self._channel(target.channel)
        for index, name in enumerate(target.mixes):
            yield from self._mix(name, index)
        if target.output is not None:
            yield from self._output(target.output)

    # -- console ---------------------------------------------------------------------------------------------------

    def _others(self, name: str) -> tuple[Point, ...]:
        """Return the question whether something else that takes the same way from here on is right at its end.

        It is named, so that nobody listens to what fails for the same reason: it is of another link, or of the same
        box, whose way it then clears or blames as well, or goes through the same split.
        """
        end, mix = self.target.end, self.rig.rig.mixes[name]
        home = self.target.socket
        mine = self.rig.boxes.get(home.device) if home is not None else None
        rows: list[tuple[frozenset[str], str]] = []
        for number in mix.sends:
            arrival = self.rig.arrivals[mix.console, number]
            if arrival.socket is None or self.target.source in arrival.sources:
                continue
            device, heard = arrival.socket.device, self._arriving_at(arrival.socket.device, mix.console)
            other = next((source for source, _, channel in heard if channel.number == number), None)
            if other is None or self._shares_power(device):
                continue
            theirs, split = self.rig.boxes.get(device), self._split_shared(other)
            if mine is None or theirs is None or theirs.link != mine.link:
                rows.append((split, other))
            elif theirs == mine:
                ways = self._links(device, towards_console=True)
                rows.append((split.union(part.name for part in ways), other))
        if end is None or not rows:
            return ()
        also, other = min(rows, key=lambda row: len(row[0]))
        ask = f"Listen at {end} to something else in the mix {name}, such as {other}: is that right there?"
        maybe = frozenset(f"earths of {name}" for name in also if name.startswith("split "))
        maybe |= self._order_of_output() - also
        point = Point("others", ask, 5, True, also=also, maybe=maybe)
        return (point,) if self.target.leaks else muted_for(point, "before")

    def _order_of_output(self) -> frozenset[str]:
        """Return the chain whose order moves the output: what is right there tells nothing of another box's inputs."""
        output = self.target.output
        box = self.rig.boxes.get(output.device) if output is not None else None
        return frozenset((f"chain {box.link}",)) if box is not None and self._is_by_order(box, "out") else frozenset()

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
            here = f" on {channel.console}" if len(self.rig.rig.consoles) > 1 else ""  # a split moves others' too
            ask = (
                f"Have {{source}} alone sound and look at the input meters{here}: does none but that of {{own}} "
                "move, or only a little those of microphones near it?"
            )
            only = Point("only-meter", ask, 8)
            yield self._part(patch, "the input patch of {at}", ("patch",), self._patched(words), only)
            yield self._part(channel.address, "{channel}", ("channel",), words)
            return
        meter = Point("input-meter", "Look at the input meter of {channel} while {source} sounds: does it move as it "
                      "should?", 5, symptoms=frozenset((DEAD,)))  # fmt: skip
        # Open, it might howl without its equaliser; left so, all that is listened to behind it would be judged falsely.
        bare = Point(
            "bare",
            "Mute {channel}. Listen to it alone on headphones before its fader, with gate, insert and equaliser off: "
            "is it right there?",
            18,
            back="Switch gate, insert and equaliser of {channel} on again as they were, and unmute it.",
        )
        source = self.rig.rig.sources.get(self.target.source or "")
        patching = {**words, **self._patching(channel, source, self.target.socket)}
        yield self._part(patch, "the input patch of {channel}", ("patch",), patching, meter, bare)
        alone = Point("before-fader", "Listen to {channel} alone on headphones before its fader, as it stands: is it "
                      "right there?", 8)  # fmt: skip
        yield self._part(strip, "{channel}", ("strip",), words, alone)
        after = None if before_fader else Point("behind-fader", "Listen to {channel} on headphones behind its fader: "
                                                "is it right there?", 8)  # fmt: skip
        yield self._part(channel.address, "{channel}", ("channel",), words, after)

    def _patched(self, words: Mapping[str, str]) -> dict[str, str]:
        """Return what is looked at for a leak by the patch: not its own channel, but those that the end hears."""
        own = self.words["channel"]
        taken = [channel for channel in self._taken if channel.console == words["console"]]
        if not taken:
            return {**words, "own": own, "at": own}
        every, inlets = f"each channel that {taker_of(self.target)} takes", self._inlets(taken, patch=True)["inlets"]
        words = {**words, **off_for_patch(self.rig, taken)}
        return {**words, "own": own, "at": words["console"], "channel": every, "point": inlets}

    def _mix(self, name: str, index: int) -> Iterator[Part]:
        """Yield what is sent to a mix, what it takes besides, its bus and its fader, in this order."""
        mix = self.rig.rig.mixes[name]
        words = {"mix": name, "console": mix.console}
        others: tuple[Point, ...] = ()
        brings = f"the mix {self.target.mixes[index - 1]}" if index else self.words["channel"]
        if self.target.channel is not None or self.target.away is not None or index:
            before = self.target.mixes[index - 1] if index else self.words["channel"]
            more = {**words, "channel": before} if index else {**words, **self._send(mix)}
            yield self._sent(name, before, more)
            others = self._others(name)
        elif (heard := self._picked_up(mix)) is not None:
            yield heard
        yield from self._bus(name, brings, *others)

    def _sent(self, name: str, before: str, words: Mapping[str, str]) -> Part:
        """Return what is sent to a mix; of a console that has no channel for it only what its microphones pick up."""
        if self.target.away is None:
            words = {**words, "mute": f"Mute {before}", "unmute": f"unmute {before} again, slowly", "gone": "gone"}
            return self._part(f"send to {name}", f"what {before} sends to {name}", ("send", "open"), words)
        mix = self.rig.rig.mixes[name]
        unmute = f"on {mix.console} unmute {takes(mix)} again, slowly"
        words = {**words, "mute": f"On {mix.console}, mute {takes(mix)}", "unmute": unmute, "gone": "still heard"}
        if self.target.name in self.rig.rig.mixes and (ends := self._loudspeakers(self.target.name)):
            words |= {"near": _near(ends)}
        return self._part(f"send to {name}", f"what {name} takes", ("open",), words)

    def _picked_up(self, mix: Mix) -> Part | None:
        """Return what microphones in a mix pick up from the loudspeakers of another mix of its console, which leaks.

        Turned down is what goes to the mix, which leaves the other as it is; None where that would not be so.
        """
        rows, other = self.rig.rig, self.rig.rig.mixes.get(self.target.name)
        if other is None or not self.target.leaks or not may_pause(self.rig, mix, other):
            return None
        ends = self._loudspeakers(other.name)
        heard = {source for channel in self._taken for source in self.rig.arrivals[channel.key].sources}
        if not ends or not any(rows.sources[name].kind.endswith("microphone") for name in heard):
            return None
        mute = f"On {mix.console}, turn down what goes to {mix.name} from {takes(mix)}"
        unmute = f"on {mix.console} bring up again, slowly, what goes to {mix.name} from {takes(mix)}"
        words = {"mix": mix.name, "console": mix.console, "mute": mute, "unmute": unmute, "gone": "still heard"}
        words |= {"near": _near(ends)}
        return self._part(f"send to {mix.name}", f"what {mix.name} takes", ("open",), words)

    def _loudspeakers(self, mix: str) -> list[str]:
        """Return the loudspeakers that sound a mix."""
        rows = ((row, departure.signal) for row, departure, _ in self.rig.outputs())
        sounding = (row.name for row, sent in rows if row.kind in DRIVEN and sent is not None and sent.name == mix)
        return list(dict.fromkeys(sounding))

    def _send(self, mix: Mix) -> dict[str, str]:
        """Return how the channel is sent to a mix, where the rig says so."""
        send = mix.sends.get(self.target.channel.number) if self.target.channel is not None else None
        if send is None or self.target.leaks:
            return {}
        how = [f"{send.level_db:g} dB"] if send.level_db is not None else []
        how += [send.tap] if send.tap is not None else []
        return {"send": f"on, unmuted and {' '.join(how)}" if how else "on, unmuted and up as on a good day"}

    def _bus(self, name: str, before: str = "", *others: Point) -> Iterator[Part]:
        """Yield what a mix takes besides, its bus and its fader; `before` is what brings the signal there."""
        mix = self.rig.rig.mixes[name]
        words = {"mix": name, "console": mix.console, "takes": takes(mix), "before": before}
        title = f"the mix {name}"
        kinds = (
            ("intake",) if self.target.channel is not None or name not in self.target.mixes[:1] else ("intake", "taken")
        )
        yield self._part(f"intake of {name}", title, kinds, words, *others)
        sent = Point(
            "mix-before-fader",
            f"On {mix.console}, listen to the mix {name} on headphones, before its fader: {{right}}?",
            8,
        )
        yield self._part(f"bus of {name}", title, ("bus",), words, sent)
        ask = f"On {mix.console}, listen to the mix {name} behind its fader, or look at its meter: {{right}}?"
        meter = Point("mix-meter", ask, 6)
        yield self._part(f"mix {name}", title, ("mix",), words, meter)

    def _effects(self, unit: Effects) -> Part:
        ask = (
            f"On {unit.console}, look at the output meter of the effects unit {unit.name}, or listen there: {{right}}?"
        )
        words = {"effects": unit.name, "console": unit.console}
        meter = Point("effects-meter", ask, 8)
        return self._part(f"effects {unit.name}", f"the effects unit {unit.name}", ("effects",), words, meter)

    # -- output ----------------------------------------------------------------------------------------------------


def _near(loudspeakers: Sequence[str]) -> str:
    return f"its loudspeakers ({', '.join(loudspeakers)})"
