"""The three ways to mend a changed rig: by console and selectors alone, by plugs alone, by the fewest changes of both.

All leave the link cables as they are.

Each is worked out, written as a change of the rig, and then proved: the changed rig is resolved again, and whatever
does not get what it is meant to is told.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from lint.plan.asked import A_LOSS, Asked
from lint.plan.blocks import Repatch, repatch
from lint.plan.distance import Stage
from lint.plan.ends import LAST
from lint.plan.idle_plug import with_idle_plugs
from lint.plan.inputs import InputSide
from lint.plan.intent import Intent, unmet_channels, unmet_outputs
from lint.plan.legs import is_supplied
from lint.plan.moves import POWERS, UNTAKEN, Handling, in_order
from lint.plan.one_end import left_at_one_end
from lint.plan.outputs import OutputCure, OutputSide
from lint.plan.phantom import BOTH_ENDS, SILENT, Trouble, troubles
from lint.plan.plug import InputCure
from lint.plan.quiet import Quiet, quiet_around
from lint.plan.rebuild import change_between, rebuilt
from lint.plan.taken_out import with_plugs_out
from lint.plan.uncross import uncrossed
from lint.plan.unmet import Unmet, unmet_of
from lint.plan.waking import NOT_TURNED, Turned, off_later, rested, woken
from lint.resolve.dark import dark_in
from lint.resolve.mixup import feed_changes, merged, nested
from lint.resolve.phantom import NEEDED, phantom_need
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import OutputPoint, Signal, Socket
from lint.rig.build_sources import DEFAULT_PRIORITY
from lint.rig.model import Models
from lint.rig.rig import Channel

LEAST_PRIORITY = 9
CONSOLE, PLUGS, FEWEST = "console", "plugs", "fewest"
WAYS = (CONSOLE, PLUGS, FEWEST)
RESCUE = "rescue"
SWITCHING = (CONSOLE, FEWEST, RESCUE)  # the ways that may switch phantom power on


@dataclass(frozen=True)
class Cure:
    """One way to mend a rig.

    `turns` are changes in words: channels and outputs patched anew, blocks, selectors; `handlings` the plug moves in
    the order to do them; `patch` all of it as a merge patch, `result` the rig it makes; `unmet` tells what it can't
    put right. `changes` counts every turn, every plug that moves and every phantom switch that is turned, `proved`
    says that no cure has fewer. `quiet` has what is muted, and where phantom power is off, meanwhile.
    """

    way: str
    turns: tuple[str, ...]
    handlings: tuple[Handling, ...]
    patch: Mapping[str, Any]
    result: ResolvedRig
    unmet: tuple[Unmet, ...]
    changes: int
    proved: bool
    quiet: Quiet


@dataclass(frozen=True)
class Mending:
    """A rig to mend: as it was before and as it is now, what it is meant to do, what no cure can use or turn back.

    What is muted and switched off first goes by the rig before where what is `asked` about is not so yet.
    `found` is the rig by its file, where that says that something is dead and `before` is how it was while that lived.
    """

    before: ResolvedRig
    rig: ResolvedRig
    intent: Intent
    dead: Collection[str] = ()
    settled: Collection[str] = ()
    models: Models | None = None
    asked: Asked = A_LOSS
    found: ResolvedRig | None = None

    @property
    def unmet(self) -> tuple[Unmet, ...]:
        """What is wrong with the rig as it is."""
        return self.unmet_in(self.rig)

    def unmet_in(self, rig: ResolvedRig) -> tuple[Unmet, ...]:
        """Return what is wrong with a rig; of phantom power only what was not so before, which no cure is asked for."""
        return unmet_of(self.intent, rig, self.dead, self._new_troubles(rig), self.before)

    def silenced_in(self, rig: ResolvedRig) -> frozenset[str]:
        """Return the sources that go without phantom power in a rig and did not before."""
        needy = (row.source for row in self._new_troubles(rig) if row.channels)
        return frozenset(source.name for source in needy if phantom_need(source) == NEEDED)

    def _new_troubles(self, rig: ResolvedRig) -> list[Trouble]:
        known = self._troubled_before
        return [row for row in troubles(rig, self.dead) if (row.source.name, row.kind) not in known]

    @cached_property
    def _troubled_before(self) -> frozenset[tuple[str, str]]:
        rows = [self.before] if self.found is None else [self.before, self.found]
        every = [frozenset((row.source.name, row.kind) for row in troubles(rig)) for rig in rows]
        # What arrives nowhere now was silent for another reason; once it is saved it is not to be silent for that one.
        return frozenset(row for row in frozenset.intersection(*every) if row[1] != SILENT or self._is_plugged(row[0]))

    def _is_plugged(self, source: str) -> bool:
        """Whether a source is plugged into anything that works."""
        sockets = self.rig.rig.sources[source].sockets if source in self.rig.rig.sources else ()
        return any(at.device not in self.dead and self.rig.is_reached(at.device) for at in sockets)

    @property
    def _twice_before(self) -> frozenset[str]:
        """The sources that had phantom power from both ends of their split already."""
        return frozenset(name for name, kind in self._troubled_before if kind == BOTH_ENDS)

    @cached_property
    def stage(self) -> Stage:
        """How far it is from device to device: as they stood before, whatever is cabled otherwise now."""
        return Stage(self.before)

    def wrong_in(self, rig: ResolvedRig) -> tuple[int, ...]:
        """Count the channels that are wrong by the priority of their sources, highest first, then outputs by rank."""
        sources = rig.rig.sources
        counts = Counter(
            sources[wanted].priority if isinstance(wanted, str) and wanted in sources else DEFAULT_PRIORITY
            for _, wanted in unmet_channels(self.intent, rig, self.dead)
        )
        for trouble in self._new_troubles(rig):
            counts[trouble.source.priority] += max(1, len(trouble.channels))
        outputs = Counter(end.rank for end, _, _ in unmet_outputs(self.intent, rig, self.dead))
        by_priority = (counts[priority] for priority in range(1, LEAST_PRIORITY + 1))
        return (*by_priority, *(outputs[rank] for rank in range(LAST + 1)))

    def cure(self, way: str) -> Cure:
        """Work out one of `WAYS`."""
        cure = self._worked_out(way)
        # Honestly nothing, where as much stays wrong as without it.
        if self.wrong_in(cure.result) < self.wrong_in(self.rig):
            return with_plugs_out(self, cure)
        return self.built(way, InputCure(), OutputCure())

    def _worked_out(self, way: str) -> Cure:
        inputs = InputSide(self.before, self.rig, self.intent, self.dead)
        outputs = OutputSide(self.rig, self.intent, self.dead, self.settled, self.stage.far)
        if way == CONSOLE:
            return self.built(way, inputs.by_console(), outputs.by_console())
        if way == PLUGS:
            return self.built(way, uncrossed(inputs, inputs.by_plugs()), outputs.by_plugs())
        found, sent = inputs.by_fewest(), outputs.by_fewest()
        return with_idle_plugs(self, inputs, found, sent, self.built(way, found, sent))

    def built(self, way: str, inputs: InputCure, outputs: OutputCure) -> Cure:
        """Return a cure with its words, its change of the rig and the rig that this makes."""
        rig = self.rig
        patches: list[dict[str, Any]] = []
        turns = _patch_turns(rig, repatch(rig, inputs.points, inputs.patched), patches)
        for point, signal in outputs.feeds.items():
            turns.append(f"send {signal or 'nothing'} at {point} (now: {_sent(rig, point) or 'nothing'})")
        if outputs.feeds:
            patches.append(feed_changes(rig, outputs.feeds))
        for name, bank in outputs.banks.items():
            turns.append(
                f"turn the output selector of {name} to {bank} (now: {rig.device(name).output_bank or 'not stated'})"
            )
            patches.append(nested(("devices", name, "output_bank"), bank))
        patches += _source_patches(rig, inputs)
        patches += _destination_patches(outputs)
        patch = merged(patches)
        result = rebuilt(rig, patch, self.models)
        plugs = list(self._carried(self._input_order(inputs)))
        hung = list(self._carried(self._output_order(outputs)))
        quiet, patched, result = self._quieted(patch, result, [*plugs, *hung], way)
        # What a plug is for is known once phantom power stands as it is left.
        handlings = [*_unheard(result, plugs), *hung]
        moved = len(inputs.moves) + len(outputs.as_moves())
        unmet = self.unmet_in(result)
        changes = len(turns) + moved + quiet.switched
        proved = inputs.proved and outputs.proved
        return Cure(way, tuple(turns), tuple(handlings), patched, result, unmet, changes, proved, quiet)

    def _quieted(
        self, patch: Mapping[str, Any], result: ResolvedRig, handlings: Sequence[Handling], way: str
    ) -> tuple[Quiet, Mapping[str, Any], ResolvedRig]:
        """Return what is quiet around a cure, and its patch and rig with phantom power as the steps leave it.

        Some ways switch it on elsewhere for what would go without, and off for what would have it twice; a rescue also
        for what it moves and had it twice before.
        """
        stages = self.before, self.rig, result
        quiet = quiet_around(stages, self.intent, handlings, self.dead, self.asked)
        left = self._as_left(patch, result, quiet)
        found = self._new_troubles(left[1]) if way in SWITCHING else []
        on, off = woken(left[1], found), rested(self.found or self.before, left[1], found)
        if way == RESCUE:
            off += left_at_one_end(left[1], handlings, self._twice_before, self.dead)
        turned = Turned(on, off, *self._off_later(left[1], on, off))
        if turned != NOT_TURNED:
            # What is dead keeps what the file says: until that is back it may still be on there.
            patch = merged((dict(patch), *(nested((*channel.trail, "phantom"), "off") for channel in turned.off)))
            result = rebuilt(self.rig, patch, self.models) if turned.off else result
            rows = (tuple(result.rig.channels[channel.key] for channel in each) for each in turned[:4])
            on, off, later, again = rows
            stages = self.before, self.rig, result
            now = Turned(on, off, later, again, turned.whose)
            quiet = quiet_around(stages, self.intent, handlings, self.dead, self.asked, now)
            left = self._as_left(patch, result, quiet)
        return quiet, *left

    def _off_later(
        self, rig: ResolvedRig, on: Sequence[Channel], off: Sequence[Channel]
    ) -> tuple[tuple[Channel, ...], tuple[Channel, ...], tuple[tuple[str, ...], tuple[str, ...]]]:
        """Return what must be off once the consoles are back that are dead, or that have no mains."""
        gone = {console.name for console in rig.rig.consoles}.intersection(self.dead)
        if not gone:
            return (), (), ((), ())
        states = ("on", on), ("off", off)
        patches = [nested((*row.trail, "phantom"), state) for state, rows in states for row in rows]
        patches.append({"dead": None})
        if not gone.isdisjoint(dark_in(rig)):  # without mains: then nothing goes over its cables in the plan
            old, now = (each.rig.document.data for each in (self.before, rig))
            patches += [{key: change_between(now.get(key), old.get(key))} for key in ("power", "cables")]
        return off_later(rebuilt(rig, merged(patches), self.models), on, gone, self._twice_before)

    def _as_left(
        self, patch: Mapping[str, Any], result: ResolvedRig, quiet: Quiet
    ) -> tuple[Mapping[str, Any], ResolvedRig]:
        """Return a patch and its rig as the steps leave phantom power: not on for what came in another's place."""
        if not (quiet.left_off or quiet.put_on):
            return patch, result
        states = ("off", quiet.left_off), ("on", quiet.put_on)
        set_so = [nested((*channel.trail, "phantom"), state) for state, rows in states for channel in rows]
        whole = merged((dict(patch), *set_so))
        return whole, rebuilt(self.rig, whole, self.models)

    def _carried(self, steps: Iterable[Handling]) -> Iterator[Handling]:
        """Yield the steps with the ways of those that lead to another device."""
        held: dict[str, Socket] = {}
        for step in steps:
            start = step.start or held[step.plug]
            if step.end is None:
                held[step.plug] = start
                yield step
                continue
            one, other = start.device, step.end.device
            way_m = self.stage.apart_m(one, other) if self.stage.is_stated(one, other) else None
            yield step._replace(is_carried=one != other, way_m=way_m if one != other else None)

    def _input_order(self, inputs: InputCure) -> list[Handling]:
        every = [(source.name, socket) for source in self.rig.rig.sources.values() for socket in source.sockets]
        going = {(plug.source, plug.socket) for plug in inputs.moves}
        staying = [socket for name, socket in every if (name, socket) not in going]
        return in_order(inputs.as_moves(), staying, _free(self.rig, "in", [socket for _, socket in every]))

    def _output_order(self, outputs: OutputCure) -> list[Handling]:
        moving = {socket for hang in outputs.moves for socket in hang.sockets}
        every = [socket for entry in self.rig.rig.destinations.values() for socket in entry.sockets]
        every += [socket for entry in self.rig.rig.amplifiers.values() for socket in entry.sockets]
        staying = {socket for socket in every if socket not in moving}
        return in_order(outputs.as_moves(), staying, _free(self.rig, "out", every))


def _unheard(result: ResolvedRig, steps: Iterable[Handling]) -> Iterator[Handling]:
    """Yield the steps; plugs that had to make room and that no channel takes any more are not carried anywhere.

    One by which its source has phantom power for those who hear it by another leg is wanted all the same.
    """
    taken = {arrival.socket for arrival in result.arrivals.values()}
    for step in steps:
        is_end = step.end is not None and step.end in result.rig.sources[step.plug].sockets
        if is_end and _powers(result, step):
            yield step._replace(why=POWERS)
        elif not is_end or step.end in taken:
            yield step
        else:
            yield step._replace(why=UNTAKEN, is_carried=False, way_m=None, is_idle=True)


def _powers(result: ResolvedRig, step: Handling) -> bool:
    """Whether a plug brings its source phantom power alone: who is meant to carry it hears it by another."""
    source = result.rig.sources[step.plug]
    meant = [row for row in result.channels_of.get(source.name, ()) if row.carries in (None, source.name)]
    is_heard_here = any(result.arrivals[row.key].socket == step.end for row in meant)
    is_heard = bool(meant) and not is_heard_here
    return is_heard and source.needs_phantom and step.end is not None and is_supplied(result, step.end)


def _free(rig: ResolvedRig, side: str, taken: Collection[Socket]) -> list[Socket]:
    """Return the sockets of every device that nothing is plugged into."""
    counts = {
        name: (device.model.inputs if side == "in" else device.model.outputs).count
        for name, device in rig.rig.devices.items()
    }
    every = (Socket(name, side, number) for name, count in counts.items() for number in range(1, count + 1))
    held = set(taken)
    return [socket for socket in every if socket not in held and not rig.is_dead(socket)]


def _patch_turns(rig: ResolvedRig, new: Repatch, patches: list[dict[str, Any]]) -> list[str]:
    """Say every block and channel that is patched anew, and add the changes to `patches`."""
    turns = []
    for turn in new.turns:
        block = turn.block
        turns.append(f"patch the block of channels {block.key} from {turn.text}{_on(rig, block.console)}")
        patches.append(nested(block.trail, turn.text))
    for key, point in sorted(new.channels.items(), key=lambda row: row[0]):
        channel = rig.rig.channels[key]
        was = channel.patched_from if channel.patched_from is not None else "nowhere"
        turns.append(f"patch {rig.rig.channel_words(channel)} from {point} (now: {was})")
        patches.append(nested((*channel.trail, "patched_from"), str(point)))
    return turns


def _on(rig: ResolvedRig, console: str) -> str:
    return f" on {console}" if len(rig.rig.consoles) > 1 else ""


def _sent(rig: ResolvedRig, point: OutputPoint) -> Signal | None:
    feed = rig.rig.feeds.get(point)
    return feed.signal if feed is not None else None


def _source_patches(rig: ResolvedRig, inputs: InputCure) -> list[dict[str, Any]]:
    patches = []
    for name in dict.fromkeys(plug.source for plug in inputs.moves):
        sockets = [str(socket) for socket in rig.rig.sources[name].sockets]
        for plug, end in inputs.moves.items():
            if plug.source == name:
                sockets[plug.leg] = str(end)
        is_list = isinstance(rig.says("sources", name, "plugged_into"), list)
        patches.append(nested(("sources", name, "plugged_into"), sockets if is_list else sockets[0]))
    return patches


def _destination_patches(outputs: OutputCure) -> list[dict[str, Any]]:
    patches = []
    for hang, ends in outputs.moves.items():
        text = str(ends[0]) if len(ends) == 1 else f"{ends[0]}-{ends[-1].number}"
        patches += [nested(("destinations", name, "plugged_into"), text) for name in hang.destinations]
        patches += [nested(("amplifiers", name, "plugged_into"), text) for name in hang.amplifiers]
    return patches
