"""The parts of a path from a source to the console that hears it, by a split where there is one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from lint.hunt.causes import DEAD
from lint.hunt.instead import another, kind_words, other_input, place_of, source_kinds
from lint.hunt.links import Links
from lint.hunt.part import Part, Point
from lint.hunt.target import heard_on
from lint.plan.phantom import NEEDED, phantom_need
from lint.rig.address import Socket
from lint.rig.rig import Source
from lint.walk.row_words import titled


class Inputs(Links):
    """Makes the parts of one path before the console."""

    def _input(self, source: str, socket: Socket) -> Iterator[Part]:
        row = self.rig.rig.sources[source]
        kinds, works = source_kinds(self.rig, row)
        place = place_of(self.rig, socket)
        words = {
            "socket": place, "device": socket.device, **self._gain(), **self._phantom(row),
            "line": titled(f"the cable of {source}", row.cable),
            "another": another(self.rig.rig.sources.values(), row, kind_words(row.kind)),
        }  # fmt: skip
        # What is put in is judged where the symptom is: it passes every part that follows.
        ask = f"Go to {source}: take its cable off and put {works} on it: is it right at {{end}}?"
        swap = Point("at-source", ask, 60, True, True)
        yield self._part(f"source {source}", "{source} itself", kinds, words, swap, self._split_point(source, socket))
        ask = f"Go to {place}: take out what is in it, and plug in {works}, with its own cable: is it right at {{end}}?"
        yield from self._lines(row, socket, words, Point("at-socket", ask, 60, True, True))
        links = list(self._links(socket.device, towards_console=True))
        shared = self._neighbour(source, socket, frozenset(part.name for part in links))
        other = other_input(self.rig, row, socket, self._console(socket), self.words["channel"])
        tried = {**words, "test": other.test, "keep": other.keep} if other is not None else words
        kinds = ("socket",) if other is not None else ("lone-socket",)
        yield self._part(f"socket {socket}", f"the socket {socket}", kinds, tried, shared)
        if (channel := self.target.channel) is not None:
            # Gain acts at the socket, before every meter of the channel.
            yield self._part(f"gain {channel.address}", "{channel}", ("gain",), words)
        yield from links

    def _lines(self, row: Source, socket: Socket, words: Mapping[str, str], into: Point) -> Iterator[Part]:
        """Yield the cable of a source; behind an analogue split the leg from there to the socket by itself."""
        name = f"line of {row.name}"
        split = next((split.name for split in self.rig.rig.splits.values() if row.name in split.sources), None)
        if split is None or len(row.sockets) < 2:
            yield self._part(name, f"the cable from {row.name} to {socket}", ("line",), words, into)
            return
        box = f"the split {split}"
        yield self._part(name, f"the cable from {row.name} to {box}", ("line",), {**words, "socket": box})
        leg = {**words, "line": f"the cable of {row.name} from {box}", "source": f"{box} ({row.name})"}
        yield self._part(f"leg to {socket}", f"the cable from {box} to {socket}", ("line",), leg, into)

    def _gain(self) -> dict[str, str]:
        channel = self.target.channel
        known = channel is not None and channel.gain_db is not None
        return {"gain": f"{channel.gain_db:g} dB" if channel is not None and known else "as on a good day"}

    def _phantom(self, source: Source) -> dict[str, str]:
        """Return where phantom power is looked at: of a split source it comes from one console, and is heard in all."""
        channels = {
            channel.key: channel for channel in (self.target.channel, *heard_on(self.rig, source.name)) if channel
        }
        every = [self.rig.rig.channel_words(channel) for channel in channels.values()]
        fed = [self.rig.rig.channel_words(channel) for channel in channels.values() if channel.phantom == "on"]
        if len({console for console, _ in channels}) < 2:
            return {"phantom_at": self.words["channel"], "heard_on": self.words["channel"]}
        at = fed[0] if fed and phantom_need(source) == NEEDED else " and ".join(every)
        return {"phantom_at": at, "heard_on": " and ".join(every)}

    def _split_point(self, source: str, socket: Socket) -> Point | None:
        """Return the question whether a source arrives on another console too: that clears or blames what they share."""
        here = self.target.channel
        others = self.rig.channels_of.get(source, ()) if here is not None else ()
        other = next((channel for channel in others if here is not None and channel.console != here.console), None)
        if other is None:
            return None
        shared = {f"source {source}", f"line of {source}"}
        if self.rig.arrivals[other.key].socket == socket:  # a link that is split shares the box as well
            shared |= {f"socket {socket}", f"box {socket.device}"}
        ask = (
            f"Does {source} arrive on {other.console} too, behind the split: does the input meter of "
            f"{self.rig.rig.channel_words(other)} move when it sounds?"
        )
        return Point(
            "split", ask, 5, substitute=True, behind=frozenset(shared), opens=True, symptoms=frozenset((DEAD,))
        )
