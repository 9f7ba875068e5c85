"""Before a dark console or box has mains again, all that starts with it is named, turned down and out of the ears."""

from __future__ import annotations

import pytest
from rigs import BASE, resolved
from test_every_cause import begun
from test_splits import TWO_DESKS

from lint.hunt.causes import DEAD
from lint.hunt.hunt import Question
from lint.hunt.target import target_of
from lint.hunt.terminal import PUT_BACK, care_of
from lint.resolve.resolved import ResolvedRig

MON = """
destinations: {mon-wedge: {kind: wedge, plugged_into: mon/out/2}}
channels: {1: {phantom: off}}
"""


AMPLIFIED = "amplifiers: {rack: {plugged_into: west-box/out/1, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}}"


def cure(rig: ResolvedRig, what: str, part: str, at: str | None = None) -> tuple[str, Question]:
    rows = begun(rig, target_of(rig, what, at), DEAD).suspects
    (row,) = [row for row in rows if row.part.name == part and row.cause.name in ("console-dark", "box-dark")]
    text = row.filled(row.cause.cure)
    return text, Question("cured", "", text, handles=row.cause.mends_by_plug, suspect=row, part=row.part)


@pytest.mark.parametrize(
    ("what", "part", "hung", "beside"),
    [
        ("ears", "console mon", "ears, mon-wedge", "abox, a-wedge, house-l, house-r"),
        ("kick", "console desk", "a-wedge, house-l, house-r", ""),
        ("kick", "box abox", "a-wedge, house-l, house-r", "mon, ears, mon-wedge"),
    ],
)
def test_all_that_hangs_on_it_or_on_its_circuit_is_turned_down_first(
    what: str, part: str, hung: str, beside: str
) -> None:
    text, asked = cure(resolved(TWO_DESKS.read_text(), MON), what, part)
    name = part.rpartition(" ")[2]
    others = f"all else on circuit left or behind it, which may be dark too ({beside}), " if beside else ""
    down = f"turn down all on {name} ({hung}), {others}monitors and house, ears out; "
    assert text.startswith(down)
    assert text.index("then see that") > 0
    assert text.endswith("; wait ten seconds, bring all up again slowly")
    assert asked.handles
    assert care_of(asked).startswith("Before mains: all named below down, ears out")
    assert "phantom" not in care_of(asked, PUT_BACK)


def test_what_a_box_lights_behind_it_comes_back_with_it() -> None:
    far = "destinations: {far: {kind: wedge, is_powered: true, plugged_into: east-box/out/5}}"
    text, _ = cure(resolved(BASE, far.replace("is_powered: true, ", "")), "vocal", "box west-box")
    assert ", far)" in text


def test_of_a_passive_loudspeaker_its_amplifier_is_turned_down() -> None:
    text, _ = cure(resolved(BASE, AMPLIFIED), "vocal", "console desk")
    assert "(left, right, rack)" in text
