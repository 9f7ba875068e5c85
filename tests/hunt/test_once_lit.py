"""What is lit again brings its phantom power: no source has it from both ends of its split then, nor does it thump."""

from __future__ import annotations

from pathlib import Path

import pytest
from rigs import resolved
from test_every_cause import begun
from test_relit import cure

from lint.check.engine import check_rig
from lint.hunt.causes import DEAD, NOISE, WRONG
from lint.hunt.hunt import CARRY_ON
from lint.hunt.target import UnknownTargetError, target_of
from lint.hunt.terminal import PUT_BACK, care_of
from lint.resolve.dark import dark_in
from lint.resolve.lingering import STRANDED
from lint.resolve.step import UnknownSignalError

TWO_ENDS = (Path(__file__).parent / "two-ends.yaml").read_text(encoding="utf-8")
DARK_MON = "power: {circuits: {wing: {dark: true}}}\nchannels: {1: {phantom: on}}"
DARK_NEAR = (
    "power: {circuits: {stage: {dark: true}}}\nchannels: {1: {phantom: off}}\n"
    "consoles: {mon: {channels: {2: {phantom: on}}}}"
)


@pytest.mark.parametrize(
    ("week", "what", "part", "source", "off"),
    [
        (DARK_MON, "ears-mix", "console mon", "bass", "channel 1 on desk"),
        (DARK_NEAR, "band", "box near", "host", "channel 2 on mon"),
    ],
)
def test_what_gave_it_meanwhile_goes_off_before_the_other_end_is_lit(
    week: str, what: str, part: str, source: str, off: str
) -> None:
    rig = resolved(TWO_ENDS, week)
    (text, asked), name = cure(rig, "vox", part, {"band": "wedge", "ears-mix": "ears"}[what]), part.split()[1]
    steps = [
        "ears out; mute ",
        f"(phantom power comes back with {name}); phantom power off by {off} first, wait ten seconds "
        f"({source} would have it from both ends of the split); then see that {name} has mains",
        "bring all up again slowly",
    ]
    assert [text.index(step) for step in steps] == sorted(text.index(step) for step in steps)
    assert asked.suspect is not None
    again = f"phantom power on again by {off}, ten seconds"
    assert again in asked.suspect.filled(CARRY_ON)
    assert again in care_of(asked, PUT_BACK)
    # Lit without that, the check says no-go; lit with it, it has nothing to say of phantom power.
    lit = week.replace("true", "false")
    calm = lit.replace("1: {phantom: on}", "1: {phantom: off}").replace("2: {phantom: on}", "2: {phantom: off}")
    rules = [{each.rule for each in check_rig(resolved(TWO_ENDS, every)).findings} for every in (lit, calm)]
    assert ["phantom-two-feeds" in found for found in rules] == [True, False]


def test_where_no_other_end_gives_it_nothing_goes_off() -> None:
    for week in ("", "power: {circuits: {wing: {dark: true}}}"):
        text, asked = cure(resolved(TWO_ENDS, week), "vox", "console mon", "ears")
        assert "phantom power off" not in text
        assert "phantom power on again" not in care_of(asked, PUT_BACK)


def test_a_source_that_has_it_already_is_not_to_be_given_it() -> None:
    rig = resolved(TWO_ENDS, DARK_MON)
    for row in begun(rig, target_of(rig, "bass"), DEAD).suspects:
        if row.cause.name == "console-dark":
            assert "switch it on there" not in row.filled(CARRY_ON)


def test_all_that_lights_by_the_same_circuit_is_turned_down_and_muted() -> None:
    text, _ = cure(resolved(TWO_ENDS, "power: {circuits: {gallery: {dark: true}}}"), "choir", "box side")
    assert text.startswith(
        "turn down all else on circuit gallery or behind it, lit with side (far, hall), monitors and house, ears out; "
        "mute channels 17, 25 on desk (phantom power comes back with side and far); then see that side has mains"
    )
    text, _ = cure(resolved(TWO_ENDS), "choir", "box side")
    assert "all else on circuit gallery or behind it, which may be dark too (far, hall), monitors" in text
    assert "mute channels 17, 25 on desk (phantom power comes back with side)" in text


ONE_CIRCUIT = "devices: {near: {circuit: wing}}"


@pytest.mark.parametrize(
    ("week", "can", "on"),
    [
        ("", True, "says how to carry on without mon"),
        (ONE_CIRCUIT, True, "if all on the circuit (near too) is dark, `rigwalk spares RIG wing`"),
        (f"{ONE_CIRCUIT}\npower: {{circuits: {{wing: {{dark: true}}}}}}", False, "`rigwalk spares RIG wing` says how"),
    ],
)
def test_phantom_power_is_not_to_be_had_from_a_box_that_is_dark_as_well(week: str, can: bool, on: str) -> None:
    rig = resolved(TWO_ENDS, week)
    rows = [row for row in begun(rig, target_of(rig, "bass"), DEAD).suspects if row.cause.name == "console-dark"]
    (text,) = [row.filled(CARRY_ON) for row in rows if row.part.name == "console mon"]
    assert on in text
    assert ("bass can have its phantom power from " in text) == can
    assert (", where near is lit: " in text) == (can and bool(week))


def test_a_plug_in_a_dead_console_comes_out_before_the_other_end_gives_phantom_power() -> None:
    rig = resolved(TWO_ENDS, "dead: {mon: no picture}")
    (row,) = [row for row in begun(rig, target_of(rig, "bass"), DEAD).suspects if row.cause.name == "phantom-off"]
    text = row.filled(row.cause.cure)
    steps = [
        "as no channel switches phantom power off at mon/in/1, the lead or whoever has charge of the mains switches off mon",
        "mains plug, and leaves it so; ten seconds later take bass out of mon/in/1 (both ends are too many), switch",
    ]
    assert [text.index(step) for step in steps] == sorted(text.index(step) for step in steps)


@pytest.mark.parametrize("week", ["dead: {mon: no picture}", "dead: {desk: no picture}", DARK_MON, DARK_NEAR])
@pytest.mark.parametrize("symptom", [DEAD, NOISE, WRONG])
def test_before_a_plug_moves_what_no_channel_switches_is_off_at_the_mains(week: str, symptom: str) -> None:
    rig = resolved(TWO_ENDS, week)
    stuck = {at for at, why in rig.phantom.lingering.items() if why in STRANDED}
    gone = {*rig.dead_consoles, *dark_in(rig)}
    for name in rig.rig.sources:
        try:
            suspects = begun(rig, target_of(rig, name), symptom).suspects
        except (UnknownTargetError, UnknownSignalError):
            continue
        for words in (row.part.words for row in suspects):
            here = [at for at in stuck if str(at) in words.get("sockets", "")]
            assert all(str(at) in words["switch"] and "mains plug" in words["switch"] for at in here), name
            assert not here or not any(f" on {console}" in words["switch"] for console in gone), words["switch"]
