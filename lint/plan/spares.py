"""Spares: what is lost with a box, a card or a link, and the best rescue onto the sockets that are left.

Who is saved comes first, by priority: one source of a higher priority outweighs all of lower ones together; of
equally many, such that the fewest consoles go without one of them, that of the house first, and then that the fewest
stereo pairs are torn. Then phantom power: nobody gets a socket where it is missing
or harmful, as few as can be are fed from both ends of their split, and few have it on for nothing, those that stay on
the same switch counted with them. Then stereo pairs stay whole, both halves on one device. Then the way along the
stage, in metres: that of the most important first, so that they get the nearest; and only then how near the new number
is to the old. These aims are put one above another in one whole-number cost, whose least is found exactly as an
assignment; pairs, and sockets that share a phantom switch, are branched on where a solution contradicts itself.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from lint.plan.assign import assign
from lint.plan.barred import barred_sockets
from lint.plan.cures import LEAST_PRIORITY, Cure, Mending
from lint.plan.distance import MOST_STEPS, Stage
from lint.plan.hearers import weighing
from lint.plan.inputs import InputSide
from lint.plan.intent import unmet_channels
from lint.plan.mute import mute_signals
from lint.plan.one_side import one_sided
from lint.plan.outputs import OutputCure, OutputSide
from lint.plan.outroom import output_room
from lint.plan.phantom import FITS, Switches, need_at
from lint.plan.plug import InputCure, Plug, halves_of
from lint.plan.repowered import repowered
from lint.plan.rescue import MovedOutput, Rescue, Room
from lint.plan.scales import Scales
from lint.resolve.phantom import BARRED, NEEDED, Switch
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Signal, Socket

MOST_NODES = 200  # assignments solved for one rescue; beyond, the answer is not proved
MOST_PULLED = 100  # plugs that are tried for whether it makes room to pull them
WAYS = HALF, NEITHER, WHOLE = "half", "neither", "whole"  # of a pair
APART, ON = "apart", "on "  # both halves are saved, on two devices or on the one that is named
Rest = Mapping[Plug, Socket]
Decided = Mapping["Switch | str", str]  # how a switch stands, and what becomes of a pair, by its name


@dataclass(frozen=True)
class Rescuer:
    """A rig that lost something (`mending`); `pulled` are plugs that are taken out to make room."""

    mending: Mending
    pulled: frozenset[Plug] = frozenset()

    @cached_property
    def side(self) -> InputSide:
        """The input side of the rig."""
        mending = self.mending
        side = InputSide(mending.before, mending.rig, mending.intent, mending.dead)
        side.plugs = [plug for plug in side.plugs if plug not in self.pulled]
        return side

    @cached_property
    def lost(self) -> tuple[Plug, ...]:
        """The plugs that somebody waits for and nobody hears where they are, the most important first."""
        side = self.side
        lost = [p for p in side.plugs if p.socket not in side.usable and side.listeners.get((p.source, p.leg))]
        return tuple(sorted(lost, key=self._priority))

    def _priority(self, plug: Plug) -> int:
        return self.mending.rig.rig.sources[plug.source].priority

    @cached_property
    def free(self) -> tuple[Socket, ...]:
        """The sockets that work and that nothing is plugged into; the consoles' own come last."""
        taken = {plug.socket for plug in self.side.plugs}
        boxes = {box.name for box in self.mending.rig.rig.boxes}
        free = (socket for socket in self.side.usable if socket not in taken)
        return tuple(sorted(free, key=lambda socket: (socket.device not in boxes, socket)))

    @cached_property
    def stage(self) -> Stage:
        """How far it is from box to box; where the boxes stood before."""
        return Stage(self.mending.before)

    # -- the best places -------------------------------------------------------------------------------------------

    @cached_property
    def switches(self) -> Switches:
        """The phantom switches of the free sockets."""
        staying = {p.socket: p.source for p in self.side.plugs if p not in self.lost}
        return Switches(self.mending.rig, staying, self.free, self.mending.dead)

    def best(self) -> tuple[Rest, bool]:
        """Return the best places, and whether they are proved to be.

        Depth first over the switches that may go either way: with none of them decided a solution costs no more than
        any that decides them, so a branch that already costs more than a whole solution is cut.
        """
        best: tuple[int, Rest] | None = None
        first: Decided = dict(self.switches.state.items())
        waiting = [(*self._solved(first), first)]
        nodes = 0
        while nodes < MOST_NODES:
            if not waiting:
                return (best[1] if best else {}), True
            cost, places, state = waiting.pop()
            if best is not None and cost >= best[0]:
                continue
            torn = self._torn(places, state)
            if torn is None:
                best = cost, places
                continue
            found = [(*self._solved(each), each) for each in self._branches(torn, state)]
            nodes += len(found)
            waiting += sorted(found, key=lambda node: -node[0])  # the cheapest is tried first
        return (best[1] if best else self._solved(dict.fromkeys(self.switches.of.values(), BARRED))[1]), False

    def _branches(self, torn: Switch | str, state: Decided) -> list[Decided]:
        if isinstance(torn, Switch):
            return [{**state, torn: way} for way in (BARRED, NEEDED)]
        if torn not in self._apart_now:
            counts = Counter(socket.device for socket in self.free)
            whole = [f"{ON}{device}" for device, count in counts.items() if count > 1]
            return [{**state, torn: way} for way in (HALF, NEITHER, APART, *whole)]
        return [{**state, torn: way} for way in WAYS]

    @cached_property
    def _apart_now(self) -> frozenset[str]:
        """The pairs that were on two devices before, by their names: nobody minds where their halves go."""
        return frozenset(name for name, halves in self.pairs.items() if len({p.socket.device for p in halves}) > 1)

    def _torn(self, places: Rest, state: Decided) -> Switch | str | None:
        """Return what contradicts itself and is not decided: a switch, or a pair of which half is left behind or
        whose halves are on two devices.

        A switch does where it would have to be on for one plug and is not as good for another, or for a bystander.
        """
        for name, halves in self.pairs.items():
            devices = {places[half].device if half in places else "" for half in halves}
            if name not in state and len(devices) > 1 and ("" in devices or name not in self._apart_now):
                return name
        needs: dict[Switch, set[str]] = {}
        for plug, socket in places.items():
            switch = self.switches.of.get(socket)
            if switch is not None and switch not in state:
                needs.setdefault(switch, set()).add(self._need(plug))
        lit = (switch for switch, found in sorted(needs.items()) if NEEDED in found)
        return next((switch for switch in lit if len(needs[switch]) > 1 or switch in self.switches.bystanders), None)

    @cached_property
    def pairs(self) -> Mapping[str, frozenset[Plug]]:
        """The stereo pairs of which both halves are lost, each end of their split by itself."""
        found = halves_of(self.mending.rig, self.lost)
        return {f"{name} {leg}".removesuffix(" 0"): frozenset(both) for (name, leg), both in found.items()}

    def _need(self, plug: Plug) -> str:
        return need_at(self.mending.rig, plug.source, plug.socket, self.mending.dead)

    def _solved(self, state: Decided) -> tuple[int, Rest]:
        """Return the least cost and its places while the switches and the pairs stand as in `state`."""
        scales = self._scales
        never = scales.left[min(scales.left)] * (len(self.lost) + 1) if scales.left else 1
        switched = {switch: way for switch, way in state.items() if isinstance(switch, Switch)}
        as_pair = {half: state.get(name, HALF) for name, halves in self.pairs.items() for half in halves}
        rows = []
        for plug in self.lost:
            decided = as_pair.get(plug, HALF)
            own = self._row(plug, switched, never) if decided != NEITHER else [never] * len(self.free)
            if decided.startswith(ON):
                own = [c if f"{ON}{at.device}" == decided else never for c, at in zip(own, self.free, strict=True)]
            is_saved = decided in (WHOLE, APART) or decided.startswith(ON)
            left = never if is_saved else scales.left[self._priority(plug)]
            rows.append([*own, *[left] * len(self.lost)])
        columns = assign(rows)
        cost = sum(row[column] for row, column in zip(rows, columns, strict=True))
        cost += sum(self._woken(switch) for switch, way in switched.items() if way == NEEDED)
        cost += scales.half * sum(state.get(name) == HALF for name in self.pairs)
        cost += scales.apart * sum(state.get(name) == APART for name in self.pairs)
        chosen = zip(self.lost, columns, strict=True)
        return cost, {plug: self.free[column] for plug, column in chosen if column < len(self.free)}

    def _row(self, plug: Plug, state: Mapping[Switch, str], never: int) -> list[int]:
        need, row = self._need(plug), []
        for socket in self.free:
            if not self._bears(plug, socket, state):
                row.append(never)
                continue
            powered = self._scales.powering[self.switches.fit(socket, need, state) or FITS]
            powered += self._share(socket, state) if need == NEEDED else 0
            away = plug in self._other and self._other[plug] != socket.device
            decimetres, steps = divmod(self.stage.far(plug.socket, socket), MOST_STEPS)
            priority = self._priority(plug)
            way = self._scales.way[priority] * decimetres + self._scales.step[priority] * steps
            row.append(
                powered + away * self._scales.apart + way + self._scales.deaf[priority] * self._deaf(plug, socket)
            )
        return row

    def _woken(self, switch: Switch) -> int:
        """Return what it costs by the bystanders of a switch that it comes on."""
        there = self.switches.bystanders.get(switch, Counter())
        return sum(self._scales.powering[how] * count for how, count in there.items())

    def _share(self, socket: Socket, state: Mapping[Switch, str]) -> int:
        """Return what a plug bears at least of that, while its switch is not decided: all that find room bear it."""
        switch = self.switches.of.get(socket)
        return 0 if switch is None or switch in state else self._woken(switch) // self._room_on[switch]

    @cached_property
    def _room_on(self) -> Mapping[Switch, int]:
        """How many plugs that need phantom power may go onto each switch at once."""
        needing = sum(self._need(plug) == NEEDED for plug in self.lost)
        return {switch: min(count, needing) for switch, count in Counter(self.switches.of.values()).items()}

    def _bears(self, plug: Plug, socket: Socket, state: Mapping[Switch, str]) -> bool:
        """Whether who waits for a plug hears it in a socket, and the phantom power there is as it must be."""
        return self._hears(plug, socket) and self.switches.fit(socket, self._need(plug), state) is not None

    def _hears(self, plug: Plug, socket: Socket) -> bool:
        return any(self.side.point(socket, console) is not None for console in self._hearers[plug])

    def _deaf(self, plug: Plug, socket: Socket) -> int:
        """Weigh the consoles that wait for a plug and don't hear it in a socket."""
        hearers = self._hearers[plug].items()
        return sum(weight for console, weight in hearers if self.side.point(socket, console) is None)

    @cached_property
    def _hearers(self) -> Mapping[Plug, Mapping[str, int]]:
        """The consoles that wait for each plug, and what it counts for that one does not hear it."""
        weights, listeners = weighing(self.mending.rig), self.side.listeners
        return {plug: weights(listeners[plug.source, plug.leg]) for plug in self.lost}

    @cached_property
    def _other(self) -> Mapping[Plug, str]:
        """Where the other half of a pair works on, for those plugs that were on the same device."""
        rows = halves_of(self.mending.rig, self.side.plugs).values()
        together = (both for both in rows if both[0].socket.device == both[1].socket.device)
        device = {half: half.socket.device for both in together for half in both}
        whole = {half for both in self.pairs.values() for half in both}
        return {plug: device[plug] for plug in self.lost if plug in device and plug not in whole}

    @cached_property
    def _scales(self) -> Scales:
        bystanders = sum(counts.total() for counts in self.switches.bystanders.values())
        deaf = max((sum(weights.values()) for weights in self._hearers.values()), default=1)
        return Scales.of([self._priority(plug) for plug in self.lost], bystanders, deaf)

    # -- the whole rescue ------------------------------------------------------------------------------------------

    def rescue(self) -> Rescue:
        """Return who goes where, with the patch that follows, resolved again; and the outputs that can be mended."""
        places, proved = self.best()
        places = self._uncrossed(places)
        rescue = self.told(places, replace(self.side.cure(places), proved=proved))
        return replace(rescue, room=self._room([plug for plug in self.lost if plug not in places]))

    def told(self, places: Rest, inputs: InputCure) -> Rescue:
        """Return a rescue with its outputs: `places` has where the lost ones go, `inputs` all that moves.

        Where outputs are too few, those come last that nothing would play on.
        """
        fed = self._fed()
        outputs = fed.by_fewest()
        moved, cure = repowered(self.mending, inputs, outputs if outputs.changes else OutputCure())
        mute = mute_signals(self.mending, cure.result) if fed.unmet(outputs) else frozenset()
        if mute:
            fed = self._fed(mute)
            outputs = fed.by_fewest()
            moved, cure = repowered(self.mending, inputs, outputs if outputs.changes else OutputCure())
        rescue = self._of_sources(places, replace(moved, proved=inputs.proved), cure)
        return replace(
            rescue,
            output_room=output_room(fed, outputs, self._stated_m),
            is_short_of_outputs=any(fed.has_sender(hang) for hang in fed.unmet(outputs)),
            outputs=self._moved_outputs(cure, outputs),
            one_sided=one_sided(self.mending.before, cure.result, self.mending.dead),
            mute=tuple(hang.plug for hang in fed.hangs if hang.wants_only(mute)),
        )

    def _stated_m(self, first: str, second: str) -> float:
        """Return how far two devices are apart, 0 where the rig does not say."""
        return self.stage.apart_m(first, second) if self.stage.is_stated(first, second) else 0.0

    def _fed(self, mute: Collection[Signal] = ()) -> OutputSide:
        mending, far, toll = self.mending, self.stage.far, self.stage.toll
        return OutputSide(mending.rig, mending.intent, mending.dead, mending.settled, far, toll, mute)

    def _of_sources(self, places: Rest, inputs: InputCure, cure: Cure) -> Rescue:
        """Return what a rescue comes to for the sources."""
        side, mending = self.side, self.mending
        channels = {plug: tuple(side.listeners[plug.source, plug.leg]) for plug in self.lost}
        unheard = {channel.key for channel, _ in unmet_channels(mending.intent, cure.result, mending.dead)}
        left = tuple(p for p in self.lost if p not in places and any(row.key in unheard for row in channels[p]))
        idle = {(step.plug, step.end) for step in cure.handlings if step.is_idle}
        besides = ((p, end) for p, end in inputs.moves.items() if p not in places and (p.source, end) not in idle)
        heard = [name for name in mending.before.rig.sources if name in mending.before.channels_of]
        still = self._still_heard(cure.result)
        return Rescue(
            self.lost,
            places,
            left,
            free=sum(any(self._bears(plug, at, self.switches.state) for plug in self.lost) for at in self.free),
            proved=inputs.proved,
            cure=cure,
            channels=channels,
            way_m={plug: self.stage.apart_m(plug.socket.device, at.device) for plug, at in places.items()},
            torn={
                half: name.partition(" ")[0]
                for name, both in self.pairs.items()
                for half in both
                if len(both.intersection(left)) == 1
            },
            deaf=tuple(console.name for console in mending.rig.rig.consoles if console.name in mending.dead),
            silent=tuple(name for name in heard if name not in still),
            still=tuple(name for name in heard if name in still),
            besides=dict(besides),
            barred=barred_sockets(cure.result, self._free_for(left, cure.result)),
        )

    def _free_for(self, left: Collection[Plug], result: ResolvedRig) -> list[tuple[str, str, list[Socket]]]:
        """Return those who are left, what phantom power is to them, and the free sockets they would be heard in."""
        free = [socket for socket in self.side.usable if not result.sources_in.get(socket)]
        return [(plug.source, self._need(plug), [at for at in free if self._hears(plug, at)]) for plug in left]

    def _still_heard(self, result: ResolvedRig) -> set[str]:
        """Return the sources that a console hears that works."""
        dead = self.mending.dead
        living = {name for name, rows in result.channels_of.items() if any(row.console not in dead for row in rows)}
        return living - result.phantom.unpowered

    def _uncrossed(self, places: Rest) -> Rest:
        """Return the places with the left of a pair on the lower number, where the other way is exactly as good."""
        straight = dict(places)
        for left, right in halves_of(self.mending.rig, places).values():
            if left.socket > right.socket:
                continue
            here = straight[left], straight[right]
            alike = self._priority(left) == self._priority(right) and self._need(left) == self._need(right)
            ways = [self.stage.far(left.socket, a) + self.stage.far(right.socket, b) for a, b in (here, here[::-1])]
            hears = self._hears(left, here[1]) and self._hears(right, here[0])
            if here[0].device == here[1].device and here[0] > here[1] and alike and hears and ways[0] == ways[1]:
                straight |= {left: here[1], right: here[0]}
        return straight

    def _moved_outputs(self, cure: Cure, outputs: OutputCure) -> tuple[MovedOutput, ...]:
        """Return the plugs of outputs that were moved, by their new sockets."""
        rows = [
            MovedOutput(
                move.plug,
                move.end,
                cure.result.departure(move.end).signal,
                self.stage.apart_m(move.start.device, move.end.device),
            )
            for move in outputs.as_moves()
        ]
        return tuple(sorted(rows, key=lambda row: row.socket))

    def _room(self, left: Collection[Plug]) -> tuple[Room, ...]:
        """Return which plugs may be pulled for those who are left, one after the other, what matters least first.

        Each is tried by the whole rescue without it: it is named only where that saves somebody who matters more.
        """
        rows: list[Room] = []
        now, waiting = self, set(left)
        for plug in self._pulled_first if left else ():
            if not any(self._matters_more(each, plug) for each in waiting):
                continue
            then = replace(now, pulled=now.pulled | {plug})
            still = set(then.lost) - set(then.best()[0])
            if now._weight_of(still, then.pulled) < now._weight_of(waiting, now.pulled):
                saved, instead = (
                    tuple(each for each in self.lost if each in found) for found in (waiting - still, still - waiting)
                )
                rows.append(Room(plug, saved, instead))
                now, waiting = then, still
        return tuple(rows)

    @cached_property
    def _pulled_first(self) -> list[Plug]:
        """The plugs that work in sockets that anybody of the lost could be heard from, what matters least first."""
        side = self.side
        works = [plug for plug in side.plugs if plug not in self.lost and plug.socket in side.usable]
        helps = [plug for plug in works if any(self._hears(each, plug.socket) for each in self.lost)]
        return sorted(helps, key=lambda plug: (self._is_heard(plug), -self._priority(plug)))[:MOST_PULLED]

    def _is_heard(self, plug: Plug) -> bool:
        return bool(self.side.listeners.get((plug.source, plug.leg)))

    def _matters_more(self, plug: Plug, than: Plug) -> bool:
        return not self._is_heard(than) or self._priority(plug) < self._priority(than)

    def _weight_of(self, left: Collection[Plug], pulled: Collection[Plug]) -> tuple[int, ...]:
        """Count who goes without by priority, the highest first; what nobody waits for counts for nothing."""
        counts = Counter(self._priority(plug) for plug in (*left, *pulled) if self._is_heard(plug))
        return tuple(counts[priority] for priority in range(1, LEAST_PRIORITY + 1))
