"""Where every plug of the outputs goes and what is sent there, with the fewest changes, at one setting of selectors.

Where each output feeds one socket the cost of a plug in a socket depends on those two alone (is it moved? must what is
sent there change?), and the whole is an assignment. Outputs that several sockets carry, or that others follow, are
what couples them. There a change of what is sent to x rights at most as many sockets as the tree has, and as want x:
that share of a change is a bound, and the search branches on what such an output sends, and on the place of a row of
plugs that the assignment tore apart (branch and bound: Land and Doig 1960).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from lint.plan.assign import LazyCosts, assign
from lint.plan.branch import CHANGE, Cheapest, Most, cheapest, in_whole
from lint.plan.feeding import HARM, Wish
from lint.rig.address import OutputPoint, Signal, Socket

if TYPE_CHECKING:
    from lint.plan.hangs import Hang
    from lint.plan.outputs import Banks, OutputSide

Places = Mapping["Hang", tuple[Socket, ...]]


class Plug(NamedTuple):
    """One plug of a row, or the only one."""

    hang: Hang
    leg: int

    @property
    def socket(self) -> Socket:
        """Where it is now."""
        return self.hang.sockets[self.leg]

    @property
    def wants(self) -> tuple[Wish, ...]:
        """What it is to carry."""
        return self.hang.wants[self.leg]


class State(NamedTuple):
    """What is decided: what an output sends, or does not send, and where a row of plugs goes."""

    only: Mapping[OutputPoint, Signal]
    never: Mapping[OutputPoint, frozenset[Signal]]
    rows: Places


class OutputSearch:
    """The search at one setting of the selectors; with `may_send` false what is sent stays as it is."""

    def __init__(self, side: OutputSide, banks: Banks, may_send: bool = True) -> None:
        self.side = side
        self.banks = banks
        self.may_send = may_send
        self.solved = 0  # how many states were
        self.open = [row[0] for row in side.rows(1, banks)]
        self.points = {socket: side.point(socket, banks) for hang in side.hangs for socket in hang.sockets}
        self.points |= {socket: side.point(socket, banks) for socket in self.open}
        wishes = [wants for hang in side.hangs for wants in hang.wants]
        self.wanted = Counter(signal for wants in wishes for signal in {wish.signal for wish in wants})
        roots = (self._root(self.points[socket]) for socket in dict.fromkeys((*self.open, *self.points)))
        self.width = Counter(root for root in roots if root is not None)  # how many sockets a tree of outputs has
        self.unit = side.carrying.unit  # all ways together count for less
        most_toll = max((side.toll(plug.socket, at) for plug in self._plugs for at in self.open), default=0)
        plugs = sum(len(hang.sockets) for hang in side.hangs)
        self.unmet = CHANGE * ((2 + most_toll) * plugs + len(self.points) + 1)
        self.never = self.unmet * (
            sum(wish.worth for wants in wishes for wish in wants) + HARM * sum(map(len, wishes)) + 1
        )

    def _root(self, point: OutputPoint | None) -> OutputPoint | None:
        return None if point is None else self.side.feeding.root(point)

    def best(self, most: Most, known: int | None = None) -> Cheapest[Places]:
        """Return where the plugs go at the least cost, and whether it is proved; None where nothing beats `known`."""
        return cheapest(State({}, {}, {}), self._solved, self._split, most._replace(unit=self.unit * CHANGE), known)

    def worth(self, unmet: int, changes: int, carried: int) -> int:
        """Return what unmet wishes of so much worth and so many changes cost, with what carrying counts for."""
        return (unmet * self.unmet + changes * CHANGE) * self.unit + carried

    def cost(self, places: Places) -> int:
        """Return what all plugs in their places cost, with the fewest changes of what is sent there."""
        moved = sum(len(row) for hang, row in places.items() if row != hang.sockets)
        sent, unmet = self.side.sent_to(places, self.banks, self.may_send)
        return self.worth(unmet, len(sent) + moved + self.side.tolls(places), self.side.carried(places))

    # -- the easier problem ----------------------------------------------------------------------------------------

    def _solved(self, state: State) -> tuple[int, int | None, Places]:
        """Place every plug by itself, with shares of changes; return the bound, the true cost and the places."""
        self.solved += 1
        held = {socket for _, row in self._standing(state) for socket in row}
        loose = [plug for plug in self._plugs if plug.hang not in state.rows]
        columns = [socket for socket in self.open if socket not in held]
        columns += [plug.socket for plug in loose if self.points[plug.socket] is None]
        never = self.never * self.unit

        def costs_of(row: int) -> list[int]:
            costs = [self._plug_cost(loose[row], socket, state) for socket in columns]
            return [*costs, *[never] * len(loose)]  # no place at all

        column_of = {socket: column for column, socket in enumerate(columns)}
        right = {
            row: column_of[plug.socket]
            for row, plug in enumerate(loose)
            if plug.socket in column_of and not self._plug_cost(plug, plug.socket, state)
        }
        costs = LazyCosts(len(loose), costs_of)
        picked = assign(costs, right, CHANGE * self.unit)
        bound = sum(costs[row][column] for row, column in enumerate(picked) if row not in right or right[row] != column)
        bound += self._standing_cost(state) * self.unit + self.side.carried(state.rows)
        if bound >= self.never * self.unit:
            return bound, None, {}
        ends: dict[Hang, list[Socket]] = {}
        for plug, column in zip(loose, picked, strict=True):
            ends.setdefault(plug.hang, []).append(columns[column])
        places = dict(state.rows) | {hang: tuple(row) for hang, row in ends.items()}
        is_torn = any(self._is_torn(row) for row in places.values())
        parts, carried = divmod(bound, self.unit)
        whole = in_whole(parts)
        # Where shares of a change were rounded up, what they are rounded to may be had with nothing carried.
        bound = whole * self.unit + (carried if whole == parts else 0)
        return bound, None if is_torn else self.cost(places), places

    @cached_property
    def _plugs(self) -> list[Plug]:
        return [Plug(hang, i) for hang in self.side.hangs if hang.movable for i in range(len(hang.sockets))]

    def _standing(self, state: State) -> Iterator[tuple[Hang, tuple[Socket, ...]]]:
        """Yield what has its place: what can't move, and the rows that are decided."""
        yield from ((hang, hang.sockets) for hang in self.side.hangs if not hang.movable)
        yield from state.rows.items()

    def _standing_cost(self, state: State) -> int:
        wants: dict[Socket, list[Wish]] = {}
        cost = 0
        for hang, row in self._standing(state):
            cost += CHANGE * (len(row) + self.side.tolls({hang: row})) if row != hang.sockets else 0
            for socket, wishes in zip(row, hang.wants, strict=True):
                wants.setdefault(socket, []).extend(wishes)
        cost += sum(self._carry_cost(socket, wishes, state) for socket, wishes in wants.items())
        sent, unmet = self.side.feeding.fewest({point: [Wish(signal)] for point, signal in state.only.items()})
        return cost + CHANGE * len(sent) + self.unmet * unmet

    def _plug_cost(self, plug: Plug, socket: Socket, state: State) -> int:
        moved = socket != plug.socket
        if moved and self.points[socket] is None:
            return self.never * self.unit
        toll = self.side.toll(plug.socket, socket) if moved else 0
        cost = self._carry_cost(socket, plug.wants, state) + CHANGE * (moved + toll)
        return cost * self.unit + self.side.carrying.count(plug.socket, socket, plug.hang in self.side.working)

    def _carry_cost(self, socket: Socket, wants: Sequence[Wish], state: State) -> int:
        """Return what it takes at least that a socket carries what is wanted, unmet wishes included."""
        point = self.points[socket]
        worth = sum(wish.worth for wish in wants)
        best = worth * self.unmet
        if point is None:
            return best
        feeding = self.side.feeding
        if not self.may_send or feeding.is_alone(point):  # what an audience must not be given counts as in the end
            best += self.unmet * feeding.harm(feeding.sent(point, {}), wants)
        for signal in dict.fromkeys(wish.signal for wish in wants):
            share = self._share(point, signal, state)
            if share is not None:
                met = sum(wish.worth for wish in wants if wish.signal == signal)
                best = min(best, share + self.unmet * (worth - met + feeding.harm(signal, wants)))
        return best

    def _share(self, point: OutputPoint, wish: Signal, state: State) -> int | None:
        """Return the least part of a change that an output takes to send `wish`; None where it can't."""
        feeding = self.side.feeding
        if wish in state.never.get(point, ()) or state.only.get(point, wish) != wish:
            return None
        if feeding.sent(point, {}) == wish:
            return 0
        if not self.may_send or not feeding.can_send(point, wish):
            return None
        root = feeding.root(point)
        # What is decided to be sent in this tree is counted with the decision.
        if any(signal == wish and feeding.root(other) == root for other, signal in state.only.items()):
            return 0
        return CHANGE // min(self.width[root], self.wanted[wish])

    def _is_torn(self, row: Sequence[Socket]) -> bool:
        return any(socket != row[0]._replace(number=row[0].number + i) for i, socket in enumerate(row))

    # -- what is decided next --------------------------------------------------------------------------------------

    def _split(self, state: State, places: Places) -> list[State]:
        """Yield the states that a state falls into: by a row that is torn, else by what one output sends."""
        torn = next((hang for hang, row in places.items() if self._is_torn(row)), None)
        if torn is not None:
            held = {socket for _, row in self._standing(state) for socket in row}
            rows = dict.fromkeys((torn.sockets, *self.side.rows(len(torn.sockets), self.banks)))
            return [state._replace(rows={**state.rows, torn: row}) for row in rows if held.isdisjoint(row)]
        chosen = self._contested(state, places)
        if chosen is None:
            return []
        point, wish = chosen
        less = state.never.get(point, frozenset()) | {wish}
        return [
            state._replace(only={**state.only, point: wish}),
            state._replace(never={**state.never, point: less}),
        ]

    def _contested(self, state: State, places: Places) -> tuple[OutputPoint, Signal] | None:
        """Return an output that is not decided, of those that several want most differently, and one of its wishes."""
        feeding = self.side.feeding
        every = {hang: hang.sockets for hang in self.side.hangs} | dict(places)
        best: tuple[tuple[int, int], OutputPoint, Signal] | None = None
        for point, wishes in self.side.wishes(every, self.banks).items():
            if point in state.only or self.width[feeding.root(point)] < 2:
                continue
            signals = [wish.signal for wish in wishes]
            open_wishes = [signal for signal in signals if signal not in state.never.get(point, ())]
            if open_wishes:
                rank = (len(set(signals)), sum(signal != feeding.sent(point, {}) for signal in signals))
                if best is None or rank > best[0]:
                    best = rank, point, open_wishes[0]
        return None if best is None else best[1:]
