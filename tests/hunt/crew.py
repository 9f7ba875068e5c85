"""A crew that answers as it is: what each cause shows at each test, by where it sits on the signal's way.

This is the stated table that hunts are held against; it knows nothing of how the search narrows down.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import accumulate, permutations

from lint.hunt.causes import DISTORTED, NOISE
from lint.hunt.hunt import NO, YES, Answer, Hunt, Question, Suspect
from lint.hunt.part import Part
from lint.hunt.path import path_of
from lint.hunt.target import Target
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.rig import Channel

SWITCHED_OFF = ("source-off", "transmitter-off", "instrument-off", "player-off")
LEGS = ("other-leg-bad", "other-cable-bad", "own-leg-bad")  # met on every leg of a split
# Where each cause sits, in the order of the signal. Those of links sit in one or both of the link stages.
STAGES = (
    ("power", ("phantom-off", "phantom-off-twice")),
    (
        "source",
        ("phantom-on", *SWITCHED_OFF, "lead-broken", "source-hot", "source-broken", "ground-loop"),
    ),
    ("line", ("plug-elsewhere", "input-other", "cable-broken", "interference")),
    ("split", ("split-off", "split-ground-loop", "split-broken", *LEGS)),
    ("socket", ("input-broken", "input-worn", "gain-wrong")),
    ("links in", ("console-dark", "box-dark", "link-broken", "link-bad", "chain-order", "clock-lost")),
    ("patch", ("patch-wrong",)),
    ("strip", ("insert-wrong",)),
    ("fader", ("channel-muted",)),
    ("mixes", ("send-wrong", "spill", "mix-takes-other", "mix-brings-along", "mix-in-red", "mix-muted", "effects-off")),
    ("feed", ("feed-wrong",)),
    ("links out", ("console-dark", "box-dark", "link-broken", "link-bad", "chain-order", "clock-lost")),
    ("outlet", ("selector-wrong", "output-broken", "output-worn")),
    ("out-line", ("out-plug-elsewhere", "out-cable-broken", "out-ground-loop")),
    ("amplifier", ("amplifier-off", "amplifier-broken")),
    ("end", ("destination-off", "destination-broken", "speaker-broken")),
)
RANK = {stage: rank for rank, (stage, _) in enumerate(STAGES)}
# Within a mix: what is sent or taken, its bus, its fader.
IN_MIX = {"send-wrong": 0, "spill": 0, "mix-takes-other": 0, "mix-brings-along": 0, "mix-in-red": 1, "mix-muted": 2}
# What shows that all is right so far, and the first stage behind it.
SEES_BEFORE = {
    "input-meter": "strip", "bare": "strip", "only-meter": "strip", "spare-channel": "patch", "before-fader": "fader",
    "behind-fader": "mixes", "output-meter": "links out", "at-output": "out-line", "far-end": "amplifier",
    "unplugged": "amplifier", "effects-meter": "source",
}  # fmt: skip
# What works is put in: it is right unless the fault is in this stage or behind it.
PUT_IN = {"at-source": "line", "at-socket": "socket"}
# Looks at one cause that another fools, and swaps that mend another as well.
FOOLED = {
    "link-broken": ("box-dark", "console-dark"), "clock-lost": ("console-dark",), "destination-off": ("end-dark",), "amplifier-off": ("end-dark",),
    "split-ground-loop": ("other-leg-bad",),  # its look may take out the other cable
    "spill": ("plug-elsewhere", "input-other", "patch-wrong", "chain-order"),
}  # fmt: skip
SWAPS = {
    "lead-broken": ("instrument-off",), "source-broken": SWITCHED_OFF, "cable-broken": ("plug-elsewhere",), "split-broken": ("plug-elsewhere", "split-off", "split-ground-loop", "other-leg-bad"),
    "other-leg-bad": ("phantom-on", "split-ground-loop"), "other-cable-bad": (), "own-leg-bad": ("phantom-on", "split-ground-loop"),
    "input-broken": ("plug-elsewhere", "patch-wrong", "phantom-off", "phantom-on", "box-dark", "link-broken", "link-bad", "chain-order"),
    "link-bad": ("link-broken",), "output-broken": ("feed-wrong", "selector-wrong", "out-plug-elsewhere"), "input-worn": (), "output-worn": (), "out-cable-broken": ("out-plug-elsewhere",),
    "amplifier-broken": ("amplifier-off", "end-dark"), "speaker-broken": (),
    "destination-broken": ("destination-off", "end-dark"),
}  # fmt: skip

ON_SCREEN = ("phantom-off", "phantom-off-twice", "gain-wrong", "patch-wrong", "channel-muted", "insert-wrong", "send-wrong",
             "mix-muted", "effects-off", "feed-wrong")  # fmt: skip

Place = tuple[int, int, int, int]  # before or behind an effects unit, stage, which mix of the way, what in it


class Crew:
    """Answers the questions of one hunt as they are where one cause in one part is the fault."""

    def __init__(
        self,
        rig: ResolvedRig,
        target: Target,
        fault: Suspect,
        other: Target | None = None,
        keeps: bool = False,
        hums_twice: bool = False,
    ) -> None:
        """`other` is the path of the other side, where the thing is stereo.

        `keeps` says that a box keeps its phantom power on when its link is cut, `hums_twice` that two earths by way of a
        split are heard at both its ends, on both sides and on all that goes through it.
        """
        self.other_side = {(part.name, part.title) for part in path_of(rig, other)} if other is not None else set()
        self.rig = rig
        self.target = target
        self.fault = fault
        self.name = fault.cause.name
        self.keeps = keeps
        self.hums_elsewhere = hums_twice and self.name == "split-ground-loop"
        self.mixes = (*target.mixes, *(target.then.mixes if target.then is not None else ()))
        if target.effects is not None and target.then is None:
            self.mixes = (target.effects.fed_by.name, *self.mixes)
        names = [part.name for part in path_of(rig, target)]
        unit = next((index for index, name in enumerate(names) if name.startswith("effects ")), len(names))
        self.lit: set[str] = set()  # what lights and links the device that powers the source by another leg
        self.upstream: set[str] = set()  # of that, what the signal does not pass itself
        self.power: set[str] = set()  # all that powers it by another leg, and what it is not heard by itself
        self.own_power: set[str] = set()  # all that powers it by the very leg that is hunted
        self.left_on = ""  # what a test left changed: as long as that is so, no other answer is what it would be
        self._powered()
        self.behind_effects = frozenset(names[unit + 1 :])

    def answer(self, hunt: Hunt, question: Question) -> str:
        if question.kind == "safety":
            return YES
        if question.kind == "put-back":
            assert self.left_on
            assert question.text.startswith(self.left_on)
            self.left_on = ""
            return YES
        if question.kind == "cured" and self.left_on.removeprefix("Now ").rstrip(".") in question.text:
            self.left_on = ""  # its cure has that put back as well
        assert not self.left_on, question.text
        said = self._said(hunt, question)
        if question.back and hunt.answered(said).found is None:
            self.left_on = question.back
        if question.kind == "cured" and said == NO and question.suspect is not None:
            self.left_on = question.suspect.filled(question.suspect.cause.undo)
        return said

    def _said(self, hunt: Hunt, question: Question) -> str:
        if question.kind == "cured":
            assert question.suspect is not None
            return YES if question.suspect.key == self.fault.key else NO
        if question.suspect is not None:
            return self._looked(question.suspect)
        index, point = hunt.points[question.key]
        if point.name == "others" and hunt.symptom in (NOISE, DISTORTED) and not question.text.startswith("Mute "):
            return NO  # it sounds along with whatever is listened to
        if self.hums_elsewhere and (point.name in ("other-side", "split-heard") or self._splits_shared(question)):
            return NO
        return self._seen(point.name, question, hunt.parts[index])

    def _looked(self, suspect: Suspect) -> str:
        cause = suspect.cause.name
        same = suspect.key == self.fault.key
        # Nothing is to be seen on a console that is dark, so nobody is asked to.
        assert self.name != "console-dark" or cause not in ON_SCREEN, suspect.words
        by_leg = (suspect.part.name in self.power, self.fault.part.name in self.power)
        if by_leg[0] != by_leg[1] and cause in ("input-broken", "split-broken"):
            # Another input or no split for the one leg does nothing for the other; only the split itself is passed by.
            passed = cause == "split-broken" and self.name in SWAPS[cause] and "leg " not in self.fault.part.name
            at_patch = cause == "input-broken" and by_leg[0] and self.name == "phantom-off"
            return YES if passed or at_patch else NO
        if cause in ("cable-broken", "link-bad") and suspect.part.name != self.fault.part.name:
            return NO  # behind a split there are two: another in the place of one leaves the other as it is
        if cause in SWAPS:
            return YES if same or self.name in SWAPS[cause] else NO
        return NO if same or self.name in FOOLED.get(cause, ()) else YES

    def _seen(self, test: str, question: Question, behind: Part) -> str:
        lap, mix = self._lap(behind.name), behind.words["mix"]
        if test == "other-side":  # what is not on the other side's own way is this side's alone
            return NO if (self.fault.part.name, self.fault.part.title) in self.other_side else YES
        if test in ("split", "split-heard", "power-here", "beside-power", "beside-split"):
            return self._power_seen(test, question)
        if test in ("neighbour", "sibling") or test.startswith("on-the-way "):
            at = self.target.socket if self.target.channel is not None else self.target.output
            assert at is not None
            off = self.name == "phantom-off" or (at == self.target.socket and self.fault.part.name in self.power)
            off &= test == "neighbour" and self._hangs_on_the_switch(question)
            shared = self._splits_shared(question) if test == "neighbour" else set()
            side = "out" if test == "sibling" else "in"
            device = test.removeprefix("on-the-way ") if " " in test else at.device
            return NO if off or self.fault.part.name in self._links(device, self._heard_by(), side) | shared else YES
        if test == "others":
            bus = (lap, RANK["mixes"], self.mixes.index(mix), 1)
            other = question.text.partition("such as ")[2].partition(":")[0]
            console = self.rig.rig.mixes[mix].console
            box = next(
                row.socket.device
                for row in self.rig.arrivals.values()
                if other in row.sources and row.channel.console == console and row.socket is not None
            )
            bad = any(place >= bus for place in self._places()) or self.fault.part.name in self._links(box, console)
            bad |= self.fault.part.name in self._splits_shared(question)
            return NO if bad else YES
        if test in PUT_IN:
            return NO if any(place >= (lap, RANK[PUT_IN[test]], 0, 0) for place in self._places()) else YES
        if test in ("mix-before-fader", "mix-meter"):
            end = (lap, RANK["mixes"], self.mixes.index(mix), 2 if test == "mix-before-fader" else 3)
        else:
            end = (lap + (test == "effects-meter"), RANK[SEES_BEFORE[test]], 0, 0)
        return NO if any(place < end for place in self._places()) else YES

    # -- phantom power: who gives it, looked for leg by leg --------------------------------------------------------

    def _group(self, socket: Socket) -> set[Socket]:
        numbers = self.rig.device(socket.device).model.inputs.phantom_group(socket.number)
        return {Socket(socket.device, "in", number) for number in numbers}

    def _giving(self) -> dict[Socket, list[Channel]]:
        """The legs of the source that have phantom power, with the channels that switch it on."""
        source = self.rig.rig.sources[self.target.source] if self.target.source is not None else None
        if source is None or not source.needs_phantom or self.target.leaks:
            return {}
        found: dict[Socket, list[Channel]] = {}
        for leg in source.sockets:
            for row in self.rig.arrivals.values():
                if row.channel.phantom == "on" and row.socket in self._group(leg):
                    found.setdefault(leg, []).append(row.channel)
        return found

    def _powered(self) -> None:
        giving, source = self._giving(), self.target.source
        if source is None or len(giving) != 1:
            return
        ((leg, channels),) = giving.items()
        if leg == self.target.socket and len(channels) == 1 and channels[0] != self.target.channel:
            self.power = {f"patch {channels[0].address}"}  # another channel asks for it
        if len(self.rig.rig.sources[source].sockets) < 2:
            return
        (split,) = self._splits_of(source)
        links = self._links(leg.device)
        way = {f"split {split} to {leg}", f"leg to {leg}", f"socket {leg}"}
        way |= {f"patch {channels[0].address}"} if len(channels) == 1 else set()
        if leg == self.target.socket:
            self.own_power = way | links
            return
        assert self.target.socket is not None
        own = self._links(self.target.socket.device, self._heard_by())
        self.own_power = links & own
        self.lit = links
        self.upstream = self.lit - own
        self.power = way | self.upstream

    def _power_seen(self, test: str, question: Question) -> str:
        if test in ("split", "split-heard") and self.name in LEGS:
            return NO
        if test == "split-heard":
            return NO if self.fault.part.name in self._before_split() or self.name.startswith("phantom-off") else YES
        if test == "split":
            return NO if self.fault.part.name in self._before_split() or self._is_unpowered() else YES
        if test == "power-here":
            return YES if self.name == "phantom-off" or self.fault.part.name in self.power else NO
        return NO if self.fault.part.name in self.lit | self._splits_shared(question) else YES

    def _splits_shared(self, question: Question) -> set[str]:
        """The splits that the source goes through that is asked about."""
        return {f"split {name}" for name in self._splits_of(question.text.partition("such as ")[2].partition(":")[0])}

    def _splits_of(self, source: str) -> list[str]:
        return [split.name for split in self.rig.rig.splits.values() if source in split.sources]

    def _is_unpowered(self) -> bool:
        """Whether the fault takes the phantom power of the source, whoever hears it."""
        if self.name.startswith("phantom-off") or self.fault.part.name in self.power:
            return True
        takes = (
            "plug-elsewhere",
            "cable-broken",
            "split-broken",
            "input-broken",
            "input-worn",
            "patch-wrong",
            "box-dark",
        )
        # A box may keep its phantom power without its console; a console's own inputs have none without it.
        of_box = any(name.startswith("box ") for name in self.own_power)
        cut = () if self.keeps and of_box else ("link-broken", "link-bad", "chain-order", "console-dark")
        return self.fault.part.name in self.own_power and self.name in (*takes, *cut)

    def _hangs_on_the_switch(self, question: Question) -> bool:
        """Whether the other source that is asked about needs phantom power of the switch that is off."""
        other = self.rig.rig.sources[question.text.partition("such as ")[2].partition(":")[0]]
        switches = [self._group(leg) for leg in self._giving()]
        return other.needs_phantom and len(switches) == 1 and set(other.sockets) <= switches[0]

    def _before_split(self) -> set[str]:
        """What another console hears a source by as well: of a link that is split, its socket and box too."""
        source = self.target.source
        assert source is not None
        names = {f"lead of {source}", f"source {source}", f"line of {source}"}
        (first, *legs) = self.rig.rig.sources[source].sockets
        if legs:
            return names | {f"split {name}" for name in self._splits_of(source)}
        consoles = {channel.console for channel in self.rig.channels_of[source]}
        ways = [self._links(first.device, console) for console in consoles]
        here = self.target.channel
        assert here is not None
        names |= {f"gain {here.address}"}  # there is one, at the socket
        names |= {
            f"socket {first}",
            f"console {self.rig.boxes[first.device].link.device}",
        }  # the owner lights it for all
        return names | {name for name in set.intersection(*ways) if not name.startswith(("chain ", "clock "))}

    def _heard_by(self) -> str | None:
        return self.target.away or (self.target.channel.console if self.target.channel is not None else None)

    def _lap(self, part: str) -> int:
        """0 up to an effects unit of the way, 1 behind it; 0 where there is none."""
        return int(part in self.behind_effects)

    def _places(self) -> list[Place]:
        """Where the fault sits: a link cable that the signal passes both ways sits in two places."""
        part = self.fault.part
        if part.name in self.power:
            return [(0, RANK["power"], 0, 0)]
        if self.name == "console-dark":
            return self._dark_places(part.name.removeprefix("console "))
        stages = [rank for rank, (_, causes) in enumerate(STAGES) if self.name in causes]
        if len(stages) == 2:
            last = self.target.then or self.target
            ways = (self.target.socket if self.target.channel else None, last.output)
            return [
                (lap, rank, 0, 0)
                for lap, rank, socket, console, side in zip(
                    (0, int(bool(self.behind_effects))),
                    stages,
                    ways,
                    (self._heard_by(), None),
                    ("in", "out"),
                    strict=True,
                )
                if socket is not None and part.name in self._links(socket.device, console, side)
            ]
        if not stages:  # of what is fed by the mains at the end: where that is
            stages = [RANK["amplifier" if part.name.startswith("amplifier ") else "end"]]
        index = self.mixes.index(part.words["mix"]) if self.name in IN_MIX else 0
        index = len(self.mixes) if self.name == "effects-off" else index
        return [(self._lap(part.name), stages[0], index, IN_MIX.get(self.name, 0))]

    def _dark_places(self, console: str) -> list[Place]:
        """Where a dark console sits: at the end of the links by which it hears, and before those by which it sends."""
        last = self.target.then or self.target
        end = (int(bool(self.behind_effects)), RANK["links out"], 0, 0)
        sends = last.output is not None and f"console {console}" in self._links(last.output.device)
        mixes = any(self.rig.rig.mixes[name].console == console for name in self.mixes)
        return [(0, RANK["links in"], 0, 0), *([end] if sends or mixes else [])]

    def _is_moved(self, device: str, side: str) -> bool:
        """Whether the slots of a box are others in any other order of the boxes of its chain."""
        boxes = [each.device for each in self.rig.chains[self.rig.boxes[device].link].boxes]
        sockets = {}
        for name in boxes:
            model = self.rig.device(name).model
            rows = model.inputs if side == "in" else model.outputs
            sockets[name] = 0 if rows.by_selector else rows.count
        first = set()
        for order in permutations(boxes):
            starts = dict(zip(order, accumulate((sockets[name] for name in order), initial=0), strict=False))
            first.add(starts[device])
        return sockets[device] > 0 and len(first) > 1

    def _links(self, device: str, console: str | None = None, side: str = "in") -> set[str]:
        """The boxes and link cables by which a console has a device, the chain and the console, as the hunt names them.

        Without a console: the one that owns the chain. The way is looked for from box to box along the cables.
        """
        box = self.rig.boxes.get(device)
        if box is None:
            return {f"console {device}"}
        ways: list[tuple[str, list[str]]] = [(device, [f"box {device}"])]
        for here, way in ways:  # grows while it is walked
            for cable in self.rig.rig.cables.values():
                first, second = (end.device for end in cable.ends)
                there = second if here == first else first if here == second else None
                if there == (console or box.link.device):
                    consoles = {f"console {box.link.device}", f"console {there}"}  # who listens rides on the owner's
                    chain = {f"clock {box.link}", *([f"chain {box.link}"] if self._is_moved(device, side) else [])}
                    return {*way, f"link cable {cable.name}", *chain, *consoles}
                if there in self.rig.boxes and f"box {there}" not in way:
                    ways.append((there, [*way, f"link cable {cable.name}", f"box {there}"]))
        raise AssertionError(f"no cable leads from {device} to a console")


def answered_at(hunt: Hunt, point: str, said: str) -> Hunt:
    """Return a hunt in which a question was answered that need not be the next one, by the name of its point."""
    (key,) = [key for key, (_, each) in hunt.points.items() if each.name == point]
    return replace(hunt, answers=(*hunt.answers, Answer(key, said)))


def text_at(hunt: Hunt, point: str) -> str:
    """Return the question at a point by its name."""
    ((index, found),) = [at for at in hunt.points.values() if at[1].name == point]
    return found.ask.format(**hunt.parts[index].words)


def hunted(hunt: Hunt, crew: Crew) -> tuple[Hunt, int, int]:
    """Return the end of a hunt that a crew answers, how many questions it took, and how many seconds."""
    seconds = 0
    for count in range(200):
        question = hunt.question
        if question is None:
            return hunt, count, seconds
        seconds += question.seconds
        hunt = hunt.answered(crew.answer(hunt, question))
    raise AssertionError("the hunt does not end")
