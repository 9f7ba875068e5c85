"""Branch and bound: the cheapest of all answers, where a part of what is to be decided makes the rest easy.

A state leaves some things open. What it costs at least is had from an easier problem (its bound), together with an
answer and what that really costs. Where the two differ the state is split by one thing that it left open.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterable
from typing import Generic, NamedTuple, TypeVar

CHANGE = 27_720  # one change, in parts of one: the least common multiple of 1 to 12
State = TypeVar("State")
Answer = TypeVar("Answer")


class Most(NamedTuple):
    """How many states are solved at most, and how many of them only to break ties.

    A tie is where an answer is less than one `unit` better than another: that there are no whole ones is what is
    proved.
    """

    states: int
    ties: int = 0
    unit: int = 1


class Cheapest(NamedTuple, Generic[Answer]):
    """The cheapest answer, and whether that is proved; no answer where none is cheaper than what was known."""

    answer: Answer | None
    is_proved: bool


def cheapest(
    start: State,
    solved: Callable[[State], tuple[int, int | None, Answer]],
    split: Callable[[State, Answer], Iterable[State]],
    most: Most,
    known: int | None = None,
) -> Cheapest[Answer]:
    """Return the cheapest of all answers that cost less than `known`.

    `solved` gives a state's bound, the true cost of the answer that it comes with (None: it is none as it is), and
    that answer; `split` the states that it falls into. The state with the least bound is always split first, so no
    order of splitting proves it in fewer.
    """
    best = known
    found: Answer | None = None
    waiting: list[tuple[int, int, int | None, State, Answer]] = []

    def add(state: State, number: int) -> None:
        nonlocal best, found
        bound, cost, answer = solved(state)
        if cost is not None and (best is None or cost < best):
            best, found = cost, answer
        if best is None or bound < best:
            # Of equal bounds the youngest first: it is the nearest to an answer.
            heapq.heappush(waiting, (bound, -number, cost, state, answer))

    count, left = 1, most.states
    is_proved, is_whole = False, True
    add(start, count)
    while waiting:
        bound, _, cost, state, answer = heapq.heappop(waiting)
        if best is not None and bound >= best:
            return Cheapest(found, is_whole)
        if not is_proved and best is not None and bound // most.unit >= best // most.unit:
            is_proved, left = is_whole, min(left, count + most.ties)
        parts = list(split(state, answer))
        if not parts and cost is not None and cost // most.unit > bound // most.unit:
            is_whole = False  # nothing more can be decided, and what it costs at least was not reached
        for part in parts:
            if count >= left:
                return Cheapest(found, is_proved)
            count += 1
            add(part, count)
    return Cheapest(found, is_whole)


def in_whole(parts: int) -> int:
    """Return a bound in parts of a change, up to whole ones: only whole changes are made."""
    return -(-parts // CHANGE) * CHANGE
