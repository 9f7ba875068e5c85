"""What the cures of splits, leaks and lent places say: no phantom power lost, nothing of others taken out or clicked."""

from __future__ import annotations

from pathlib import Path

import pytest
from rigs import BASE, resolved
from test_every_cause import CHAPEL, begun, rig_of
from test_splits import TWO_DESKS

from lint.hunt.causes import DEAD, ELSEWHERE, NOISE
from lint.hunt.hunt import Suspect
from lint.hunt.target import UnknownTargetError, leak_of, target_of
from lint.resolve.resolved import ResolvedRig

SPLIT = """
sources:
  bass: {kind: active-di, plugged_into: [abox/in/7, mon/in/2]}
splits: {voxsplit: {sources: [vox, bass]}}
channels: {7: {carries: bass, patched_from: desk/link-1/7}}
consoles: {mon: {channels: {2: {carries: bass, patched_from: mon/in/2, phantom: on}}}}
mixes: {house: {takes: {channels: [1-7]}}}
"""


def suspect(rig: ResolvedRig, what: str, symptom: str, cause: str, part: str = "") -> Suspect:
    rows = begun(rig, target_of(rig, what), symptom).suspects
    (row,) = [row for row in rows if row.cause.name == cause and row.part.name.startswith(part)]
    return row


def cure(row: Suspect) -> str:
    return row.filled(row.cause.cure)


def split_rig() -> ResolvedRig:
    return resolved(TWO_DESKS.read_text(), SPLIT)


def test_no_transformer_goes_into_a_line_by_which_phantom_power_comes() -> None:
    rig = split_rig()
    alone = cure(suspect(rig, "keys-l", NOISE, "ground-loop"))
    assert "(no isolating transformer into the line: none that passes phantom power is known to us)" in alone
    split = cure(suspect(rig, "bass", NOISE, "ground-loop"))
    assert "into the leg to abox/in/7, through which no phantom power comes" in split
    chapel = rig_of(CHAPEL)
    assert "or put an isolating transformer into the line" in cure(suspect(chapel, "keyboard", NOISE, "ground-loop"))


def test_of_a_split_only_the_way_of_the_source_is_emptied() -> None:
    row = suspect(split_rig(), "bass", DEAD, "plug-elsewhere", "line of ")
    assert "take out what else is in bass's way of the split voxsplit, plug bass in there" in cure(row)


def test_all_that_goes_through_a_split_is_muted_before_it_is_switched_on() -> None:
    assert cure(suspect(split_rig(), "bass", DEAD, "split-off")).startswith(
        "mute channels 1, 7 on desk and channels 1–2 on mon and turn down, switch it on"
    )


def test_of_what_a_leaking_mix_takes_no_meter_is_asked_about() -> None:
    rig = split_rig()
    names = [point.name for _, point in begun(rig, leak_of(rig, "vox-ears", "house-l"), ELSEWHERE).points.values()]
    assert "only-meter" not in names  # vox is on desk too, and its meter moves with it


def test_the_output_patch_of_a_console_that_carries_nothing_of_a_mix_is_no_suspect_of_its_leak() -> None:
    rig = split_rig()
    away = {row.cause.name for row in begun(rig, leak_of(rig, "vox-ears", "house-l"), ELSEWHERE).suspects}
    assert "feed-wrong" not in away
    assert "out-plug-elsewhere" in away
    own = {row.cause.name for row in begun(rig, leak_of(rig, "wedge-a", "house-l"), ELSEWHERE).suspects}
    assert "feed-wrong" in own


GROUPED = """
model_format: 1
kind: stage-box
inputs: {count: 8, phantom: groups, phantom_group_size: 8}
outputs: {count: 8, addressed: by-selector, selector: [1-8, 9-16]}
chain: {slots: {48000: 48}, max_boxes: 4, cable_kind: cat5e, cable_shielded: true, max_cable_m: 80}
"""


def test_a_place_is_lent_where_nobody_elses_phantom_power_comes_with_it(tmp_path: Path) -> None:
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "grp.yaml").write_text(GROUPED)
    patch = """
    devices: {east-box: {model: grp}}
    sources: {horn: {kind: dynamic-microphone, plugged_into: east-box/in/2}}
    channels: {3: {phantom: on}, 4: {carries: horn, patched_from: desk/link-1/18}}
    mixes: {house: {takes: {channels: [1-4]}}}
    """
    rig = resolved(BASE, patch, tmp_path)
    horn = suspect(rig, "horn", DEAD, "input-broken")
    assert horn.filled(horn.cause.look).startswith("Plug horn into west-box/in/3, which is free, and patch channel 4")
    piano = suspect(rig, "piano", DEAD, "input-broken")
    assert piano.filled(piano.cause.look).startswith(
        "Mute channels 3–4 on desk as well (one phantom switch), and plug piano into east-box/in/3, which is free"
    )


@pytest.mark.parametrize("socket", ["west-box/in/9", "east-box/out/1"])
def test_a_free_socket_is_nothing_to_hunt(socket: str) -> None:
    with pytest.raises(UnknownTargetError, match=f"{socket} is free: by the rig file nothing is plugged in there"):
        target_of(resolved(BASE), socket)


def test_a_socket_that_is_not_there_is_told_as_such() -> None:
    with pytest.raises(UnknownTargetError, match="west-box has no socket in/17"):
        target_of(resolved(BASE), "west-box/in/17")
