"""What a section leaves out is told by name or number; what is stated in full is not."""

from __future__ import annotations

import pytest

from lint.check.example import FILE, example_document
from lint.check.partly import partly
from lint.rig.build import build_rig
from lint.rig.model import Models


def said(fragment: str) -> list[tuple[str, str]]:
    return list(partly(build_rig(example_document(fragment), FILE, Models(None))))


DRAWING = "destinations: {singer-wedge: {watts: 300}, house-left: {watts: 500}, house-right: {watts: 500}}\n"
RADIO = "{kind: wireless-receiver, plugged_into: west-box/in/%d%s}"


def radios(*carriers: str) -> str:
    rows = ", ".join(
        f"r{n}: {RADIO % (n + 8, f', carrier_mhz: {mhz}' if mhz else '')}" for n, mhz in enumerate(carriers, start=1)
    )
    return f"sources: {{{rows}}}\n"


@pytest.mark.parametrize(
    ("fragment", "rows"),
    [
        ("", []),
        ("power: {jurisdiction: us}", [("power/circuits", "mains power")]),
        # Circuits: what hangs there decides whether anything is missed.
        (DRAWING + "power: {circuits: {stage: {volts: 230}}}", []),
        (
            DRAWING + "power: {circuits: {stage: {volts: 230, loads: {urn: {watts: 9}}}, hall: {breaker_a: 16}}}\n"
            "devices: {desk: {circuit: hall, watts: 200}}",
            [("power/…/volts, breaker_a", "what circuits stage and hall may carry")],
        ),
        (
            DRAWING + "power: {circuits: {stage: {volts: 230, breaker_a: 16}}}\ndevices: {desk: {circuit: stage}}",
            [("…/watts", "what desk draws")],
        ),
        (
            "power: {circuits: {stage: {volts: 230, breaker_a: 16}}}\ndevices: {desk: {circuit: stage}}",
            [("…/watts", "what desk, singer-wedge and 2 more draw")],
        ),
        # Loudspeakers may hang on an amplifier, where there are any.
        (
            "power: {circuits: {stage: {volts: 230, breaker_a: 16}}}\n"
            "amplifiers: {foyer: {circuit: stage, watts: 200, outputs: {a: {least_load_ohm: 4, loudspeakers: [{impedance_ohm: 8}]}}}}",
            [],
        ),
        (
            "amplifiers: {foyer: {outputs: {a: {least_load_ohm: 4, loudspeakers: [{count: 2}]},"
            " b: {loudspeakers: [{impedance_ohm: 8}]}, c: {line_v: 100, rated_w: 60, loudspeakers: [{tap_w: 6}]}}}}",
            [
                ("amplifiers/…/impedance_ohm, tap_w", "all that hangs on foyer/a"),
                ("amplifiers/…/least_load_ohm", "what foyer/b can drive"),
            ],
        ),
        # Carriers.
        (radios("", ""), []),
        (radios("606.5"), []),
        (
            radios("606.5", "") + "wireless: {ranges_mhz: [[606, 614]]}",
            [("…/carrier_mhz", "the carrier of r2")],
        ),
        (
            radios("606.5", "607.5", "", "", "", "") + "wireless: {ranges_mhz: [[606, 614]]}",
            [
                ("…/carrier_mhz", "the carriers of r3, r4 and 2 more"),
                ("wireless/least_spacing_khz", "how near each other carriers are"),
                ("wireless/guard_khz", "intermodulation"),
            ],
        ),
        (
            radios("606.5", "607.5") + "wireless: {least_spacing_khz: 350, guard_khz: 50}",
            [("wireless/ranges_mhz", "which carriers the house may use")],
        ),
        (radios("606.5", "607.5") + "wireless: {ranges_mhz: [[606, 614]], least_spacing_khz: 350, guard_khz: 50}", []),
        (
            radios("") + "wireless: {ranges_mhz: [[606, 614]]}\ndestinations: {singer-wedge: {kind: ear-transmitter}}",
            [("…/carrier_mhz", "the carriers of r1 and singer-wedge")],
        ),
        # Levels.
        (
            "sources: {choir: {sensitivity_mv_pa: 12, expected_spl_db: 90}}",
            [
                ("sources/…/level_dbu", "the levels of 2 sources"),
                ("channels/…/gain_db", "the level on 1 channel"),
            ],
        ),
        (
            "sources: {choir: {level_dbu: 0}, lead-vocal: {level_dbu: 0}, piano: {level_dbu: 0}}\n"
            "channels: {1: {gain_db: 0}, 2: {gain_db: 0}, 3: {gain_db: 0}}",
            [],
        ),
        # Planned levels.
        (
            "sound_levels: {criterion: niosh, crew: [{level_dba: 80, hours: 8}]}",
            [("sound_levels/audience", "how loud it is for the audience")],
        ),
        (
            "sound_levels: {criterion: niosh, audience: [{level_dba: 90, hours: 2}]}",
            [("sound_levels/crew", "the crew's day")],
        ),
    ],
)
def test_what_is_left_out_is_told_and_nothing_else(fragment: str, rows: list[tuple[str, str]]) -> None:
    assert said(fragment) == rows
