"""The order of plug moves: never two plugs in one socket, no step too many."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from rigs import examples

from lint.plan.moves import Handling, Move, in_order
from lint.rig.address import Socket


def socket(number: int) -> Socket:
    return Socket("box", "in", number)


def done(handlings: list[Handling], standing: dict[str, Socket]) -> dict[str, Socket]:
    """Do every step by the book: a plug leaves where it is, and goes only where no plug is."""
    where: dict[str, Socket | None] = dict(standing)
    for step in handlings:
        assert where[step.plug] == step.start
        assert step.end is None or step.end not in where.values()
        where[step.plug] = step.end
    assert None not in where.values()
    return {plug: end for plug, end in where.items() if end is not None}


@st.composite
def partial_moves(draw: st.DrawFn) -> tuple[dict[str, Socket], dict[str, Socket], list[Socket]]:
    """Plugs in their sockets, where each is to end, and the sockets that there are."""
    count = draw(st.integers(1, 9))
    size = count + draw(st.integers(0, 3))
    starts = draw(st.permutations(range(size)))[:count]
    ends = draw(st.permutations(range(size)))[:count]
    names = [f"plug-{index}" for index in range(count)]
    every = [socket(number + 1) for number in range(size)]
    return (
        {name: socket(number + 1) for name, number in zip(names, starts, strict=True)},
        {name: socket(number + 1) for name, number in zip(names, ends, strict=True)},
        every,
    )


@examples(4)
@given(partial_moves())
def test_no_two_plugs_are_ever_in_one_socket_and_no_step_is_too_many(
    drawn: tuple[dict[str, Socket], dict[str, Socket], list[Socket]],
) -> None:
    starts, ends, every = drawn
    moves = [Move(name, starts[name], ends[name]) for name in starts if starts[name] != ends[name]]
    staying = [starts[name] for name in starts if starts[name] == ends[name]]
    free = [one for one in every if one not in starts.values()]
    steps = in_order(moves, staying, free)
    assert done(steps, starts) == ends
    assert len(steps) == len(moves) + rings(moves)
    used = {*starts.values(), *ends.values()}
    if rings(moves) and any(one not in used for one in free):
        assert all(step.end is not None for step in steps)


def rings(moves: list[Move]) -> int:
    """Count the rings of moves: each needs one step on the way, because its every target is taken."""
    after = {move.start: move.end for move in moves}
    found, seen = 0, set()
    for start in after:
        trail = []
        here = start
        while here in after and here not in seen:
            seen.add(here)
            trail.append(here)
            here = after[here]
        found += here in trail
    return found


def test_two_plugs_change_places_by_way_of_the_nearest_free_socket_of_their_box() -> None:
    swap = [Move("a", socket(1), socket(2)), Move("b", socket(2), socket(1))]
    free = [Socket("other", "in", 1), socket(8), socket(4)]  # nobody carries a plug to another box for that
    assert in_order(swap, [], free) == [
        Handling("a", socket(1), socket(4), "to make room"),
        Handling("b", socket(2), socket(1)),
        Handling("a", socket(4), socket(2)),
    ]


def test_where_no_socket_is_free_a_hand_holds_the_plug() -> None:
    swap = [Move("a", socket(1), socket(2)), Move("b", socket(2), socket(1))]
    steps = in_order(swap, [], [Socket("other", "in", 3)])
    assert [(step.plug, step.start, step.end) for step in steps] == [
        ("a", socket(1), None),
        ("b", socket(2), socket(1)),
        ("a", None, socket(2)),
    ]


def test_two_plugs_said_to_be_in_one_socket_part_before_anything_goes_in_there() -> None:
    moves = [Move("a", socket(1), socket(2)), Move("b", socket(1), socket(3)), Move("c", socket(4), socket(1))]
    assert [step.plug for step in in_order(moves, [], [])] == ["a", "b", "c"]
