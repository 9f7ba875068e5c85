"""The parts of an analogue split: its way to a socket, the cable from there, and what joins a source past it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from lint.hunt.instead import awake, numbered
from lint.hunt.links import heard_beside
from lint.hunt.part import Part, Point
from lint.hunt.switched import Switched
from lint.resolve.hearing import heard_on
from lint.resolve.phantom import NEEDED, phantom_need
from lint.rig.address import Socket
from lint.rig.rig import Source


class Splits(Switched):
    """Makes the parts of one path that lie in and behind an analogue split, and the words for them."""

    def _behind_split(self, row: Source, at: Socket, words: Mapping[str, str], *into: Point) -> tuple[Part, Part]:
        """Return the way of an analogue split to a socket, and the cable from there."""
        split = self._split_of(row)
        box = f"the {split}"
        words = {**words, "split": box, **self._split_words(row, at)}
        way = self._part(f"{split} to {at}", f"the way of {box} to {at}", ("split-way",), words)
        leg = {**words, "line": f"the cable of {row.name} from {box}", "source": f"{box} ({row.name})"}
        return way, self._part(f"leg to {at}", f"the cable from {box} to {at}", ("line",), leg, *into)

    def _opened(self, home: Socket) -> str:
        """Say what opens a loop of two earths besides a lift: no transformer known to us passes phantom power."""
        if self._needing is None:
            return " or put an isolating transformer into the line"
        if self._giving and not self._givers(home):
            return f" or put an isolating transformer into the leg to {home}, through which no phantom power comes"
        return " (no isolating transformer into the line: none that passes phantom power is known to us)"

    def _earths(self, row: Source, home: Socket, words: Mapping[str, str]) -> Iterator[Part]:
        """Yield the loop of the earths of two devices that a split joins by the shields of its cables.

        The rig does not say whether a split parts them. A lifted way passes no phantom power: the only one by which it
        comes is never lifted.
        """
        far = [at for at in row.sockets if at.device != home.device]
        if not far:
            return
        split = self._split_of(row)
        powers = self._needing is not None and not self._givers(home) and any(map(self._givers, far))
        ends = " and ".join(map(str, far))
        said = {
            "split": f"the {split}",
            "both": " and ".join(dict.fromkeys(at.device for at in (home, *far))),
            "lifted": str(home) if powers else ends,
            "or_else": ", through which no phantom power comes; s if there is none" if powers else
            ", or take out its cable there",
            "instead": "the source on a split with transformers" if powers else
            f"an isolating transformer for audio into the cable to {ends}",
        }  # fmt: skip
        yield self._part(f"earths of {split}", f"the {split}", ("split-earths",), {**words, **said})

    def _legs_as_one(self, row: Source, home: Socket, words: Mapping[str, str]) -> Iterator[Part]:
        """Yield the legs of a split source as what pulls all of them down: the others, then the own one.

        The one that alone gives phantom power is not taken out: the cable of another one is changed, with that off
        meanwhile, and the own one stands on its way anyhow, as another one does where the source is dead (`Power`).
        """
        mute = self._switched(row, row.sockets)["switched"]
        others = [at for at in row.sockets if at != home]
        seen = heard_beside(self.rig, self.target)  # lit, by the file
        beside = self._words_of([seen]) if seen is not None and self.rig.arrivals[seen.key].socket in others else ""
        box = f"the {self._split_of(row)}"
        for at in (*others, *([home] if beside and self._giver != home else [])):
            hearing = self._words_of(self._hearing(at))
            said = {
                "split": box, "far": str(at), "up": self._up((home,)), "beside": beside,
                "gone": f": {row.name} is not heard on {hearing} then" if hearing else "",
                "rejoined": f"Mute {mute} again and turn down, phantom power off; plug the cable to {at} in as it was, "
                "phantom power on only where it was; wait ten seconds, bring up slowly.",
            }  # fmt: skip
            whose = "own" if at == home else "other"
            kind = "powering-leg" if at == self._other_giver else f"{whose}-leg"
            yield self._part(f"{whose} leg to {at}", f"the {whose} leg of {box}, to {at}", (kind,), {**words, **said})

    def _split_of(self, row: Source) -> str:
        """Return the part that splits a source that is plugged in more than once: the rig has to declare it."""
        return f"split {next(split.name for split in self.rig.rig.splits.values() if row.name in split.sources)}"

    def _plug_of(self, row: Source) -> str:
        """Return where the one plug of a source belongs: its socket, or the split that it goes through."""
        return f"the {self._split_of(row)}" if len(row.sockets) > 1 else " and ".join(map(str, row.sockets))

    def _split_words(self, row: Source, at: Socket) -> dict[str, str]:
        """Return what else goes through a split, and what it takes to join its cables past it for one socket."""
        splits = self.rig.rig.splits.values()
        others = [name for split in splits if row.name in split.sources for name in split.sources if name != row.name]
        heard = awake(self.rig, (channel for name in (row.name, *others) for channel in heard_on(self.rig, name)))
        power, kept, judged = self._joined(row, at)
        mute = self._switched(row, row.sockets)["switched"]
        apart = (
            f"Mute {mute} again and turn down, phantom power off; take the two apart and plug both in as they were, "
            "phantom power on only where it was; wait ten seconds, bring up slowly."
        )
        here = self._hearing(at)
        gone = self._words_of(channel for channel in heard_on(self.rig, row.name) if channel not in here)
        return {
            "split_heard": numbered(heard) if others else self._words_of(heard),
            "others": f", and does another source get through it, such as {others[0]}" if others else "",
            "power": power, "kept": kept, "judged": judged, "gone": f", and no more on {gone}" if gone else "",
            "apart": apart if power else "",
            "joined": f"the cable from {row.name} to the one to {at}", "stay": "leave the two joined",
        }  # fmt: skip

    def _joined(self, row: Source, at: Socket) -> tuple[str, str, str]:
        """Return what gives phantom power once two cables are joined: for the test, for good, and how it is judged."""
        judged = "does it do as it should with that"
        if phantom_need(row) != NEEDED or self._givers(at):
            return "", "", judged
        on = self._words_of(self._hearing(at)) or str(at)
        alone = f"{judged}, and not with that phantom power alone"
        if not self.rig.phantom.may_be_on(at):
            own = "with a phantom supply of its own in between"
            return f", {own} (s if the house has none)", f", {own}", alone
        return (
            f", with phantom power on at {on} for as long as that",
            f", with phantom power on at {on} from now",
            alone,
        )
