"""A link cable is not cleared by its lamps: where nothing comes over it the spare is tried."""

from __future__ import annotations

from crew import Crew
from rigs import BASE, resolved
from test_every_cause import begun

from lint.hunt.causes import DEAD
from lint.hunt.target import target_of
from lint.hunt.terminal import care_of

LIT = """
cables: {crossing: {spare: in the drawer}}
sources: {horn: {kind: dynamic-microphone, plugged_into: east-box/in/2}}
channels: {3: {phantom: on}, 4: {carries: horn, patched_from: desk/link-1/18}}
mixes: {house: {takes: {channels: [1-4]}}}
"""


def test_a_cable_whose_lamps_are_lit_is_found_by_its_spare() -> None:
    rig = resolved(BASE, LIT)
    target = target_of(rig, "horn")
    start = begun(rig, target, DEAD)
    (fault,) = [row for row in start.suspects if row.key == ("link cable crossing", "link-bad")]
    crew, hunt, asked = Crew(rig, target, fault), start, []
    while (question := hunt.question) is not None:
        asked.append(question)
        hunt = hunt.answered(crew.answer(hunt, question))
    assert hunt.found is not None
    assert hunt.found.key == fault.key
    looked = [row.text for row in asked if row.suspect is not None and row.suspect.part.name == fault.part.name]
    assert "are both plugs in and the link lamps there" in looked[0]
    assert looked[1].startswith(
        "Turn everything down, ears out, put its spare (in the drawer) in the place of crossing"
    )
    assert len(looked) == 2
    care = care_of(asked[-1])  # the piano's phantom power comes over it too
    assert "mute channels 3–4 on desk" in care
    assert "phantom power off at the sockets it leaves and goes to by channel 3 on desk" in care


def test_what_did_not_help_is_put_back_with_phantom_power_off() -> None:
    rig = resolved(BASE, LIT)
    hunt = begun(rig, target_of(rig, "horn"), DEAD)
    (row,) = [row for row in hunt.suspects if row.key == ("link cable crossing", "link-bad")]
    assert row.filled(row.cause.back) == (
        "Turn everything down, ears out, mute channels 3–4 on desk, phantom power off on channel 3 on desk, wait ten "
        "seconds; put crossing back where it was, phantom power on there again, wait ten seconds, bring up slowly."
    )
