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
from lint.plan.plug import Placed, Places, Plug
from lint.plan.powering import Standing
from lint.resolve.phantom import BARRED, NEEDED, Switch
from lint.rig.address import Socket
from lint.rig.rig import Block, Channel

if TYPE_CHECKING:
    from lint.plan.inputs import InputSide

MOST_STATES = 2000  # looked at for one cure; beyond, the answer is not proved
MOST_TIES = 20  # of them only for shorter ways, once no fewer changes are possible
TORN = ""  # instead of the device that a pair is on
TEAR = 1  # a pair on two devices, in parts of a change: all pairs together are less than one


class State(NamedTuple):
    """What is decided: where a block starts, or does not start; the device of a pair, if any; how a switch stands.

    `lit` has the plug by whose channel a switch is on for others, or None where none is to be.
    """

    only: Mapping[Block, Start]
    never: Mapping[Block, frozenset[Start]]
    pairs: Mapping[str, str]
    switches: Mapping[Switch, str]
    lit: Mapping[Switch, Plug | None]

    @property
    def standing(self) -> Standing:
        """How the switches stand by what is decided."""
        return Standing(self.switches, frozenset(switch for switch, plug in self.lit.items() if plug is None))


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

    def best(self) -> Cheapest[Places]:
        """Return where the plugs go."""
        return cheapest(State({}, {}, {}, {}, {}), self._solved, self._split, Most(MOST_STATES, MOST_TIES, self.unit))

    def _placed(self, state: State) -> Placed:
        """Return the places by what is decided; that a pair is torn decides none."""
        devices = {name: device for name, device in state.pairs.items() if device != TORN}
        parts = (state.only, state.never, devices, state.switches, state.lit)
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

    def _solved(self, state: State) -> tuple[int, int | None, Places]:
        placed = self._placed(state)
        return self._bound(state, placed.least), self._cost(state, placed), placed.places

    def _bound(self, state: State, least: int) -> int:
        turned = sum(start != block.points[0] for block, start in state.only.items())
        turned += sum(block.points[0] in never for block, never in state.never.items() if block not in state.only)
        parts, carried = divmod(least, self.unit)
        whole = in_whole(parts + CHANGE * turned)
        # Where shares of a change were rounded up, what they are rounded to may be had with nothing carried.
        carried = carried if whole == parts + CHANGE * turned else 0
        return (whole + TEAR * list(state.pairs.values()).count(TORN)) * self.unit + carried

    def _cost(self, state: State, placed: Placed) -> int:
        """Return what the plugs in their places cost, with the fewest blocks turned and channels patched."""
        side, places = self.side, placed.places
        torn = TEAR * len(self._torn(places)) * self.unit
        if not self.rows:
            missing = sum(self._missing(state, places).values())
            return placed.least + torn + (missing + self._waking(state, places)) * self.unit
        standing = self._truly(state, places)
        # With every patch change for nothing, what is left are the channels that stay wrong and the plugs that move.
        cost = self._waking(state, places) + sum(
            side.cost_in(plug, socket, self._for_nothing, standing) for plug, socket in places.items()
        )
        cure = side.cure(places)
        cost += CHANGE * repatch(side.rig, cure.points, cure.patched).changes
        return cost * self.unit + sum(side.carried(plug, socket) for plug, socket in places.items()) + torn

    def _torn(self, places: Places) -> list[str]:
        """Return the pairs whose halves are on two devices."""
        return [name for name, (one, other) in self.side.pairs.items() if places[one].device != places[other].device]

    def _price(self, state: State, channel: Channel, socket: Socket) -> int | None:
        """Return the least part of a change that it takes to have a channel listen to a socket."""
        block = self.block_of.get(channel.key)
        if not self.may_patch:
            return 0 if self.side.heard[channel.key] == socket else None
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

    def _split(self, state: State, places: Places) -> list[State]:
        """Return the states that a state falls into: by where a block starts, else by where a torn pair is whole."""
        return self._by_switch(state, places) or self._by_block(state, places) or self._by_pair(state, places)

    # -- phantom power ---------------------------------------------------------------------------------------------

    def _truly(self, state: State, places: Places) -> Standing:
        """Return how the switches stand by what hangs on them now, and by which channels they are on."""
        side = self.side
        lighting = (
            [plug for plug, socket in places.items() if side.lights(plug, socket, partial(self._price, state))]
            if side.powering.switches and (side.living or side.powering.fed)
            else None
        )
        return side.powering.standing(places, lighting)

    def _missing(self, state: State, places: Places) -> dict[Plug, int]:
        """Return the plugs that miss phantom power by what hangs on their switch now, with what that costs."""
        side, standing = self.side, self._truly(state, places)
        found = {}
        for plug, socket in places.items():
            starved, twice = side.powering.is_starved, side.powering.is_twice
            is_right = not starved(plug, socket, standing) and not twice(plug, socket, standing)
            if is_right and (plug.source, plug.leg) not in side.living:
                continue
            now, decided = (
                side.cost_in(plug, socket, partial(self._price, state), each) for each in (standing, state.standing)
            )
            if now > decided:
                found[plug] = now - decided
        return found

    def _waking(self, state: State, places: Places) -> int:
        """Return what it costs more than its shares to switch phantom power on elsewhere for what goes without."""
        side, standing = self.side, self._truly(state, places)
        shares: dict[Switch, int] = {}
        for plug, socket in places.items() if side.may_wake and side.living else ():
            living = side.living.get((plug.source, plug.leg))
            if living is None or living.wake is None or side.powering.is_carried(socket, standing):
                continue
            if side.powering.is_starved(plug, socket, standing) or not side.lights(
                plug, socket, partial(self._price, state)
            ):
                shares[living.wake] = shares.get(living.wake, 0) + living.share
        return sum(CHANGE - share for share in shares.values())

    def _by_switch(self, state: State, places: Places) -> list[State]:
        """Decide a switch that one plug needs on and another off, or by whose channel it is on for another."""
        side, standing = self.side, self._truly(state, places)
        for plug in self._missing(state, places):
            switch = side.powering.switches[places[plug]]
            is_decided = switch in state.switches
            if not is_decided and (
                standing.ways[switch] == BARRED or side.powering.is_twice(plug, places[plug], standing)
            ):
                return [state._replace(switches={**state.switches, switch: way}) for way in (BARRED, NEEDED)]
            if switch in standing.unlit and switch not in state.lit:
                lighting = [other for other in places if other != plug and self._lit_by(other, switch, state)]
                return [state._replace(lit={**state.lit, switch: by}) for by in (None, *lighting)]
        return []

    def _lit_by(self, plug: Plug, switch: Switch, state: State) -> list[Socket]:
        """Return the sockets of a switch in which a plug has it switched on by a channel of its own."""
        own = (at for at, other in self.side.powering.switches.items() if other == switch)
        return [at for at in own if self.side.lights(plug, at, partial(self._price, state))]

    def _by_pair(self, state: State, places: Places) -> list[State]:
        torn = next((name for name in self._torn(places) if name not in state.pairs), None)
        if torn is None:
            return []
        placed, cost = self._placed(state), self._cost(state, self._placed(state))
        whole = []
        for device in self.side.columns_on:
            more = sum(placed.more_on(plug, device) for plug in self.side.pairs[torn])
            if self._bound(state, placed.least + more) < cost:
                whole.append(device)
        return [state._replace(pairs={**state.pairs, torn: way}) for way in (*whole, TORN)]

    def _by_block(self, state: State, places: Places) -> list[State]:
        """Decide the start of the block that has most to win."""
        at = {(plug.source, plug.leg): socket for plug, socket in places.items()}
        best: tuple[int, Block, Start] | None = None
        wanted: dict[Block, Counter[Start]] = {block: Counter() for block in self.rows if block not in state.only}
        for plug, heard in self.side.listeners.items():
            for channel in heard:
                block = self.block_of.get(channel.key)
                start = self.starts.get((channel.key, at[plug])) if block in wanted else None
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
