"""What a section leaves out is told by name or number; what is stated in full is not."""

from __future__ import annotations

import pytest

from lint.check.example import FILE, example_document
from lint.check.partly import partly
from lint.rig.build import build_rig
from lint.rig.model import Models


def rows(fragment: str) -> list[tuple[str, str]]:
    return list(partly(build_rig(example_document(fragment), FILE, Models(None))))


def said(fragment: str) -> list[tuple[str, str]]:
    """What a fragment adds to what the example rig leaves out by itself: its two phantom supplies."""
    return [row for row in rows(fragment) if row not in BY_ITSELF]


BY_ITSELF = [("sources/…/supply_ma, least_supply_v", "whether phantom power is enough for choir and piano")]
DRAWING = "destinations: {singer-wedge: {watts: 300}, house-left: {watts: 500}, house-right: {watts: 500}}\n"
CIRCUIT = "power: {circuits: {stage: {volts: 230, breaker_a: 16, residual_current_device: true, "
UNSAID = [
    ("power/…/residual_current_device", "whether a residual-current device guards circuit stage"),
    ("power/…/run", "the cable and reel of circuit stage"),
]
PEAKS = ("sound_levels", "single peaks of the sound, which no plan states")
RADIO = "{kind: wireless-receiver, plugged_into: west-box/in/%d%s}"


def radios(*carriers: str) -> str:
    rows = ", ".join(
        f"r{n}: {RADIO % (n + 8, f', carrier_mhz: {mhz}' if mhz else '')}" for n, mhz in enumerate(carriers, start=1)
    )
    return f"sources: {{{rows}}}\n"


@pytest.mark.parametrize(
    ("fragment", "told"),
    [
        ("", []),
        ("power: {jurisdiction: us}", [("power/circuits", "mains power")]),
        # Circuits: what hangs there decides whether anything is missed.
        (DRAWING + "power: {circuits: {stage: {volts: 230}}}", []),
        (
            DRAWING + "power: {circuits: {stage: {volts: 230, loads: {urn: {watts: 9}}}, hall: {breaker_a: 16}}}\n"
            "devices: {desk: {circuit: hall, watts: 200}}",
            [
                ("power/…/volts", "the load on circuit hall"),
                ("power/…/breaker_a", "what circuit stage may carry"),
                ("power/…/residual_current_device", "whether a residual-current device guards circuit hall"),
                ("power/…/run", "the cables and reels of circuits stage and hall"),
                ("…/power_factor", "the power factors of desk and stage/urn, counted as 1"),
                ("…/earth", "the protective earths of desk and stage/urn"),
            ],
        ),
        (
            DRAWING + "power: {circuits: {stage: {volts: 230, breaker_a: 16}}}\ndevices: {desk: {circuit: stage}}",
            [*UNSAID, ("…/watts", "what desk draws"), ("…/earth", "the protective earth of desk")],
        ),
        (
            "power: {circuits: {stage: {volts: 230, breaker_a: 16}}}\ndevices: {desk: {circuit: stage}}",
            [
                *UNSAID,
                ("…/watts", "what desk, singer-wedge and 2 more draw"),
                ("…/earth", "the protective earth of desk"),
            ],
        ),
        # Loudspeakers may hang on an amplifier, where there are any.
        (
            "power: {circuits: {stage: {volts: 230, breaker_a: 16}}}\n"
            "amplifiers: {foyer: {circuit: stage, watts: 200, outputs: {a: {least_load_ohm: 4, loudspeakers: [{impedance_ohm: 8}]}}}}",
            [
                *UNSAID,
                ("…/power_factor", "the power factor of foyer, counted as 1"),
                ("…/earth", "the protective earth of foyer"),
            ],
        ),
        (
            "amplifiers: {foyer: {outputs: {a: {least_load_ohm: 4, loudspeakers: [{count: 2}]},"
            " b: {loudspeakers: [{impedance_ohm: 8}]}, c: {line_v: 100, rated_w: 60, loudspeakers: [{tap_w: 6}]}}}}",
            [
                ("amplifiers/…/impedance_ohm, tap_w", "all that hangs on foyer/a"),
                ("amplifiers/…/least_load_ohm", "what foyer/b can drive"),
                ("amplifiers/…/tap_line_v", "whether the taps on foyer/c are printed for its own line"),
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
        (
            "sources: {choir: {expected_spl_db: 140}}",
            [("sources/…/sensitivity_mv_pa", "the level of choir")],
        ),
        # What is stated in full, and what no table or phase of ours speaks of.
        (
            DRAWING + f"devices: {{desk: {{circuit: stage, watts: 9, power_factor: 0.9, earth: connected}}}}\n{CIRCUIT}"
            "run: {length_m: 9, conductor_mm2: 2.5}}}}",
            [],
        ),
        (
            DRAWING + f"devices: {{desk: {{circuit: stage, watts: 9, power_factor: 0.9, earth: connected}}}}\n{CIRCUIT}"
            "run: {length_m: 9}}}}",
            [("power/…/conductor_mm2, conductor_awg", "the conductor behind circuit stage")],
        ),
        (
            DRAWING + f"devices: {{desk: {{circuit: stage, watts: 9, power_factor: 0.9, earth: connected}}}}\n{CIRCUIT}"
            "run: {length_m: 9, conductor_mm2: 6}}}}",
            [("power/…/conductor_mm2, conductor_awg", "what the thick cable of circuit stage may carry")],
        ),
        (
            DRAWING + "power: {circuits: {stage: {volts: 400, breaker_a: 32}}}",
            [("power/…/volts", "three-phase power: circuit stage counted as one phase")],
        ),
        # Link cables.
        (
            "cables: {trunk: {length_m: null}, crossing: {kind: null, shielded: null}}",
            [
                ("cables/…/length_m", "how long trunk is"),
                ("cables/…/kind, shielded", "what kind of cable crossing is"),
            ],
        ),
        # Delays.
        (
            "destinations: {house-left: {delay_ms: 9}, house-right: {distance_m: 9}}",
            [
                ("destinations/…/distance_m", "the delay of house-left"),
                ("destinations/…/delay_ms, aligned_to", "what house-right is to be heard with"),
                ("acoustics/temperature_c", "the air, counted at 20 °C"),
            ],
        ),
        # Planned levels.
        (
            "sound_levels: {criterion: niosh, crew: [{level_dba: 80, hours: 8}]}",
            [("sound_levels/audience", "how loud it is for the audience"), PEAKS],
        ),
        (
            "sound_levels: {criterion: niosh, audience: [{level_dba: 90, hours: 2}]}",
            [("sound_levels/crew", "the crew's day"), PEAKS],
        ),
    ],
)
def test_what_is_left_out_is_told_and_nothing_else(fragment: str, told: list[tuple[str, str]]) -> None:
    assert said(fragment) == told


def test_the_example_rig_by_itself() -> None:
    assert rows("") == BY_ITSELF
