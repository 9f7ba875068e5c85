"""`dead:` in a rig file: what it may name, and what is said of what it can't."""

from __future__ import annotations

import pytest
from rigs import BASE, resolved, rig

from lint.read.problem import CannotReadError
from lint.rig.address import Socket


def test_a_range_is_each_of_its_sockets_and_nothing_comes_of_them() -> None:
    found = resolved(BASE, "dead: {west-box/in/1-2: no signal}")
    (row,) = found.rig.dead.values()
    assert (row.sockets, row.note) == ((Socket("west-box", "in", 1), Socket("west-box", "in", 2)), "no signal")
    assert row.words == "west-box/in/1–2 are dead (no signal)"
    assert [arrival.stop for arrival in found.arrivals.values()] == ["socket-dead", "socket-dead", ""]
    assert "choir" not in found.channels_of


def test_all_inputs_of_a_device_are_named_without_numbers() -> None:
    found = resolved(BASE, "dead: {west-box/in: no signal}")
    assert found.rig.dead["west-box/in"].sockets == tuple(Socket("west-box", "in", number) for number in range(1, 17))
    assert found.rig.dead["west-box/in"].words == "west-box/in/1–16 are dead (no signal)"
    assert not found.dead_consoles and found.is_reached("west-box")


def test_of_a_dead_console_nothing_is_heard_and_nothing_is_sent() -> None:
    found = resolved(BASE, "dead: {desk: no picture}")
    assert found.rig.dead["desk"].words == "desk is dead (no picture)"
    assert found.dead_consoles == {"desk"}
    assert {arrival.stop for arrival in found.arrivals.values()} == {"console-dead"}
    rows = [departure for _, departure, _ in found.outputs()]
    assert {(row.signal, row.stop) for row in rows} == {(None, "box-lost")}
    assert {found.why_unreached(box) for box in ("west-box", "east-box")} == {"desk is dead (no picture)"}


@pytest.mark.parametrize(
    ("row", "message"),
    [
        ("west-box/in/17: x", "dead/west-box/in/17: west-box (stage-box-16x8) has 16 inputs; west-box/in/17 is not there"),
        ("westbox/in/1: x", "dead/westbox/in/1: no device is called 'westbox'; did you mean 'west-box'?"),
        ("west-box/in/3-1: x", "dead/west-box/in/3-1: found the range 3-1, which runs backwards; expected 1-3"),
        ("west-box/out/1: x", "dead: 'west-box/out/1' can't stand here; expected an input socket: device/in/number"),
        ("dezk: x", "dead/dezk: no device is called 'dezk'; did you mean 'desk'?"),
        ("west-box: x", "dead/west-box: west-box is a box, and as a whole only a console can stand here; say west-box/in/1-16"),
        ("west-box/in/1: ''", "dead/west-box/in/1: found '', expected some text"),
    ],
)  # fmt: skip
def test_what_it_can_t_name_is_told_at_its_place(row: str, message: str) -> None:
    with pytest.raises(CannotReadError) as told:
        rig(BASE, f"dead: {{{row}}}")
    (problem,) = told.value.problems
    assert problem.message.startswith(message)
    assert problem.line == 1
