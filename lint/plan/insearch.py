"""The best places of all plugs, where some of it does not come out plug by plug: blocks of patch, and stereo pairs.

Once it is decided where every block starts and on which device every pair is, the rest is an assignment of plugs to
sockets. A block that is open counts as if each of its channels took its share of one turn, since a turn rights no more
of them than find a socket there; a pair that is open counts as whole. The search branches on where such a block
starts, and on the device of a pair that the assignment tore (branch and bound: Land and Doig 1960).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from copy import copy
from functools import partial
from typing import TYPE_CHECKING, NamedTuple

from lint.plan.blocks import Start, repatch, start_for
from lint.plan.branch import CHANGE, Cheapest, Most, cheapest, in_whole
from lint.plan.legs import Way
from lint.plan.plug import Placed, Places, Plug
from lint.plan.powering import Standing
from lint.resolve.phantom import BARRED, NEEDED, Switch
from lint.rig.address import Socket
from lint.rig.rig import Block, Channel

if TYPE_CHECKING:
    from lint.plan.inputs import InputSide

MOST_STATES = 2000  # looked at for one cure; beyond, the answer is not proved
MOST_WORK = 600_000  # costs of plugs in sockets for all of them: in a large rig fewer are looked at, for seconds count
FEWEST_STATES = 60
MOST_TIES = 20  # of them only for shorter ways, once no fewer changes are possible
TORN = ""  # instead of the device that a pair is on
TEAR = 1  # a pair on two devices, in parts of a change: all pairs together are less than one


class State(NamedTuple):
    """What is decided: where a block starts, or does not start; the device of a pair, if any; how a switch stands.

    `lit` has the plug by whose channel a switch is on for others, or None where none is to be; `by` how split sources
    are heard.
    """

    only: Mapping[Block, Start]
    never: Mapping[Block, frozenset[Start]]
    pairs: Mapping[str, str]
    switches: Mapping[Switch, str]
    lit: Mapping[Switch, Plug | None]
    by: Mapping[str, Way]

    @property
    def standing(self) -> Standing:
        """How the switches stand by what is decided."""
        unlit = frozenset(switch for switch, plug in self.lit.items() if plug is None)
        return Standing(self.switches, unlit, self.by)


class Answer(NamedTuple):
    """Where the plugs go, and how split sources are heard then."""

    places: Places
    by: Mapping[str, Way]


class InputSearch:
    """The search for one rig; with `may_patch` false the console is left as it is."""

    def __init__(self, side: InputSide, may_patch: bool) -> None:
        """Search the input side of a changed rig."""
        self.side = side = copy(side)
        side.may_wake = may_patch
        self.may_patch = may_patch
        self.unit = side.carrying.unit
        rows: dict[Block, list[Channel]] = {}
        channels = [channel for heard in side.listeners.values() for channel in heard]
        blocks = [block for blocks in side.rig.rig.blocks.values() for block in blocks] if may_patch else []
        for block in blocks:
            own = [c for c in channels if c.console == block.console and c.number in block.channels]
            rows[block] = [channel for channel in own if channel.by_block == block.key]
        self.rows = rows
        side.known = None if rows else {}  # how a block is turned is decided on the way, and is part of a price
        self.block_of = {channel.key: block for block, own in rows.items() for channel in own}
        self.starts = {
            (channel.key, socket): start_for(block, channel.number, point)
            for block, own in rows.items()
            for channel in own
            for socket in side.columns
            if (point := side.point(socket, channel.console)) is not None
        }
        # How many channels of a block have a socket at all where it starts: a turn rights no more of them.
        self.most = Counter((self.block_of[key], start) for (key, _), start in self.starts.items())
        self._known: dict[object, Placed] = {}

    def best(self) -> Cheapest[Answer]:
        """Return where the plugs go, and how split sources are heard."""
        start = State({}, {}, {}, {}, {}, {})
        size = len(self.side.plugs) * len(self.side.columns)
        most = min(MOST_STATES, max(FEWEST_STATES, MOST_WORK // max(1, size)))
        return cheapest(start, self._solved, self._split, Most(most, MOST_TIES, self.unit))

    def _placed(self, state: State) -> Placed:
        """Return the places by what is decided; that a pair is torn decides none."""
        devices = {name: device for name, device in state.pairs.items() if device != TORN}
        parts = (state.only, state.never, devices, state.switches, state.lit, state.by)
        key = tuple(frozenset(decided.items()) for decided in parts)
        if key not in self._known:
            at = {device: frozenset(self.side.columns[c] for c in own) for device, own in self.side.columns_on.items()}
            on: dict[Plug, Collection[Socket]] = {
                plug: at[device] for name, device in devices.items() for plug in self.side.pairs[name]
            }
            for switch, plug in state.lit.items():
                if plug is not None:
                    on[plug] = [at for at in self._lit_by(plug, switch, state) if plug not in on or at in on[plug]]
            self._known[key] = self.side.placed(partial(self._price, state), on, state.standing)
        return self._known[key]

    def _solved(self, state: State) -> tuple[int, int | None, Answer]:
        placed = self._placed(state)
        truth = self._truly(state, placed.places)
        return self._bound(state, placed.least), self._cost(state, placed, truth), Answer(placed.places, truth.by)

    def _bound(self, state: State, least: int) -> int:
        turned = sum(start != block.points[0] for block, start in state.only.items())
        turned += sum(block.points[0] in never for block, never in state.never.items() if block not in state.only)
        parts, carried = divmod(least, self.unit)
        whole = in_whole(parts + CHANGE * turned)
        # Where shares of a change were rounded up, what they are rounded to may be had with nothing carried.
        carried = carried if whole == parts + CHANGE * turned else 0
        return (whole + TEAR * list(state.pairs.values()).count(TORN)) * self.unit + carried

    def _cost(self, state: State, placed: Placed, truth: Standing) -> int:
        """Return what the plugs in their places cost, with the fewest blocks turned and channels patched."""
        side, places = self.side, placed.places
        torn = TEAR * len(self._torn(places)) * self.unit
        if not self.rows:
            missing = sum(self._missing(state, places, truth).values())
            return placed.least + torn + (missing + self._waking(state, places, truth)) * self.unit
        # With every patch change for nothing, what is left are the channels that stay wrong and the plugs that move.
        cost = self._waking(state, places, truth) + sum(
            side.cost_in(plug, socket, self._for_nothing, truth) for plug, socket in places.items()
        )
        cure = side.hearing(truth.by).cure(places)
        cost += CHANGE * repatch(side.rig, cure.points, cure.patched).changes
        return cost * self.unit + sum(side.carried(plug, socket) for plug, socket in places.items()) + torn

    def _torn(self, places: Places) -> list[str]:
        """Return the pairs whose halves are on two devices."""
        return [name for name, (one, other) in self.side.pairs.items() if places[one].device != places[other].device]

    def _price(self, state: State, channel: Channel, socket: Socket) -> int | None:
        """Return the least part of a change that it takes to have a channel listen to a socket."""
        if not self.may_patch:
            return 0 if self.side.heard[channel.key] == socket else None
        block = self.block_of.get(channel.key)
        if block is None:
            return self.side.single_price(channel, socket)
        if (channel.key, socket) not in self.starts:
            return None
        start = self.starts[channel.key, socket]
        if block in state.only:
            return 0 if start == state.only[block] else CHANGE
        never = state.never.get(block, ())
        if start is None or start in never:
            return CHANGE
        return 0 if start == block.points[0] or block.points[0] in never else CHANGE // self.most[block, start]

    def _for_nothing(self, channel: Channel, socket: Socket) -> int | None:
        """Return 0 where a channel can listen to a socket at all."""
        return None if self.side.single_price(channel, socket) is None else 0

    def _split(self, state: State, answer: Answer) -> list[State]:
        """Return the states that a state falls into: by phantom power, else by a block, else by where a pair is."""
        places = answer.places
        return self._by_switch(state, places) or self._by_block(state, answer) or self._by_pair(state, places)

    # -- phantom power ---------------------------------------------------------------------------------------------

    def _truly(self, state: State, places: Places) -> Standing:
        """Return how the switches stand by what hangs on them now, and how split sources are heard then."""
        side, price = self.side, partial(self._price, state)
        if not side.splits:
            return side.truly(places, price)
        by = side.best_ways(places, price, side.truly(places, price, state.by))
        return side.truly(places, price, by)

    def _missing(self, state: State, places: Places, truth: Standing) -> dict[Plug, int]:
        """Return the plugs that cost more by what hangs on their switch now than by what is decided, with how much."""
        side, price = self.side, partial(self._price, state)
        found = {}
        for plug, socket in places.items():
            if plug.source not in side.splits and not side.powering.is_starved(plug, socket, truth):
                continue
            now, decided = (side.cost_in(plug, socket, price, each) for each in (truth, state.standing))
            if now != decided:
                found[plug] = now - decided
        return found

    def _waking(self, state: State, places: Places, truth: Standing) -> int:
        """Return what it costs more than its shares to switch phantom power on elsewhere for what goes without."""
        side, price = self.side, partial(self._price, state)
        shares: Counter[Switch] = Counter()
        for plug, socket in places.items() if side.may_wake else ():
            way = truth.by.get(plug.source)
            if way is None or way.powers != plug.leg or side.powering.is_carried(socket, truth):
                continue
            if not side.lights(way.heard[plug.leg], socket, price):
                shares[side.rig.phantom.switch_at(socket)] += side.waking
        return sum(max(0, CHANGE - share) for share in shares.values())

    def _by_switch(self, state: State, places: Places) -> list[State]:
        """Decide how a split source is heard, a switch that one plug needs on and another off, or who has one on."""
        side, truth = self.side, self._truly(state, places)
        for plug in self._missing(state, places, truth):
            if plug.source in side.splits and plug.source not in state.by:
                return [state._replace(by={**state.by, plug.source: way}) for way in side.splits[plug.source].ways]
            switch = side.powering.switches.get(places[plug])
            if switch is None:
                continue
            is_quiet = plug.source in state.by and state.by[plug.source].powers != plug.leg
            if switch not in state.switches and (truth.ways[switch] == BARRED or is_quiet):
                return [state._replace(switches={**state.switches, switch: way}) for way in (BARRED, NEEDED)]
            if switch in truth.unlit and switch not in state.lit:
                lighting = [other for other in places if other != plug and self._lit_by(other, switch, state)]
                return [state._replace(lit={**state.lit, switch: by}) for by in (None, *lighting)]
        return []

    def _lit_by(self, plug: Plug, switch: Switch, state: State) -> list[Socket]:
        """Return the sockets of a switch in which a plug has it switched on by a channel of its own."""
        side, heard = self.side, self.side.waiting(plug)
        own = (at for at, other in side.powering.switches.items() if other == switch)
        return [at for at in own if side.lights(heard, at, partial(self._price, state))]

    def _by_pair(self, state: State, places: Places) -> list[State]:
        torn = next((name for name in self._torn(places) if name not in state.pairs), None)
        if torn is None:
            return []
        placed = self._placed(state)
        cost = self._cost(state, placed, self._truly(state, places))
        whole = []
        for device in self.side.columns_on:
            more = sum(placed.more_on(plug, device) for plug in self.side.pairs[torn])
            if self._bound(state, placed.least + more) < cost:
                whole.append(device)
        return [state._replace(pairs={**state.pairs, torn: way}) for way in (*whole, TORN)]

    def _by_block(self, state: State, answer: Answer) -> list[State]:
        """Decide the start of the block that has most to win."""
        at = {(plug.source, plug.leg): socket for plug, socket in answer.places.items()}
        best: tuple[int, Block, Start] | None = None
        wanted: dict[Block, Counter[Start]] = {block: Counter() for block in self.rows if block not in state.only}
        for leg, heard in self.side.hearing(answer.by).listeners.items():
            for channel in heard if leg in at else ():
                block = self.block_of.get(channel.key)
                start = self.starts.get((channel.key, at[leg])) if block in wanted else None
                if block is not None and start is not None and start not in state.never.get(block, ()):
                    wanted[block][start] += 1
        for block, starts in wanted.items():
            gain = sum(count for start, count in starts.items() if start != block.points[0])
            if gain and (best is None or gain > best[0]):
                best = gain, block, starts.most_common(1)[0][0]
        if best is None:
            return []
        _, block, start = best
        less = state.never.get(block, frozenset()) | {start}
        return [
            state._replace(only={**state.only, block: start}),
            state._replace(never={**state.never, block: less}),
        ]
