"""What can't be so at once is refused at its place, and what only looks odd is not."""

from __future__ import annotations

import pytest

from lint.check.example import FILE, example_document
from lint.read.problem import CannotReadError
from lint.read.schema import require_valid
from lint.rig.build import build_rig
from lint.rig.model import Models
from lint.rig.rig import Rig

WRONG = [
    (
        'event: {doors: "10:00", start: "09:30"}',
        "1:32: event/start: found '09:30', which is before the doors open (10:00); expected that time or later",
    ),
    (
        'event: {doors: "19:00", start: "07:30"}',
        "1:32: event/start: found '07:30', which is before the doors open (19:00); expected that time or later",
    ),
    (
        "wireless: {ranges_mhz: [[606, 614], [832, 823]]}",
        "1:37: wireless/ranges_mhz/[2]: found the range [832, 823], which runs backwards; expected [823, 832]",
    ),
    (
        "sound_levels: {crew: [{level_dba: 80, hours: 14}, {level_dba: 70, hours: 10.5}]}",
        "1:16: sound_levels/crew: found 24.5 h in all, expected 24 h at most: it is what one of the crew is exposed to in a day",
    ),
    (
        "amplifiers: {foyer: {outputs: {a: {line_v: 100, loudspeakers: [{tap_w: 10}, {tap_w: 10, impedance_ohm: 8}]}}}}",
        "1:77: amplifiers/foyer/outputs/a/loudspeakers/[2]: found both impedance_ohm and tap_w; a loudspeaker runs on its "
        "transformer's tap or without it, so keep the one that it is set to",
    ),
    (
        "amplifiers: {foyer: {expects: house.mono, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}}",
        "1:31: amplifiers/foyer/expects: foyer does not say where it is plugged in; say plugged_into as well",
    ),
    (
        "amplifiers: {foyer: {plugged_into: desk/out/1, expects: house, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}}",
        "1:57: amplifiers/foyer/expects: the mix house is stereo; say house.left, house.right or house.mono, or give it two outputs",
    ),
    (
        "cables: {trunk: {spare: none}}",
        "1:25: cables/trunk/spare: found 'none', expected where a tested spare is kept; where there is none, leave the key "
        "out, or write null to take out the house's",
    ),
    (
        "cables: {trunk: {spare: 'No '}}",
        "1:25: cables/trunk/spare: found 'No ', expected where a tested spare is kept; where there is none, leave the key "
        "out, or write null to take out the house's",
    ),
]
RIGHT = [
    'event: {doors: "10:00", start: "10:00"}',
    'event: {doors: "23:30", start: "00:15"}',
    'event: {doors: "08:00", start: "20:00"}',
    'event: {start: "00:15"}',
    "wireless: {ranges_mhz: [[606, 606]]}",
    "cables: {trunk: {spare: no. 3 on the rack}}",
    "sound_levels: {crew: [{level_dba: 80, hours: 14}, {level_dba: 70, hours: 10}]}",
    "sound_levels: {audience: [{level_dba: 80, hours: 20}, {level_dba: 70, hours: 20}]}",
    "amplifiers: {foyer: {plugged_into: desk/out/1-2, expects: house, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}}",
]


def build(fragment: str) -> Rig:
    document = example_document(fragment)
    require_valid(document, "rig")
    return build_rig(document, FILE, Models(None))


@pytest.mark.parametrize(("fragment", "wanted"), WRONG, ids=[fragment for fragment, _ in WRONG])
def test_it_is_refused(fragment: str, wanted: str) -> None:
    with pytest.raises(CannotReadError) as refused:
        build(fragment)
    assert [f"{p.line}:{p.column}: {p.message}" for p in refused.value.problems] == [wanted]


@pytest.mark.parametrize("fragment", RIGHT)
def test_it_is_let_be(fragment: str) -> None:
    build(fragment)


def test_an_amplifier_says_what_it_expects_at_each_socket() -> None:
    amplifier = build(RIGHT[-1]).amplifiers["foyer"]
    assert [str(signal) for signal in amplifier.expects] == ["house.left", "house.right"]
    assert [str(socket) for socket in amplifier.sockets] == ["desk/out/1", "desk/out/2"]
