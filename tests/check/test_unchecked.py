"""What the rig does not speak of is told, and only that."""

from __future__ import annotations

from lint.check.example import FILE, example_document
from lint.check.unchecked import unchecked
from lint.rig.build import build_rig
from lint.rig.model import Models


def sections(fragment: str) -> list[str]:
    return [section for section, _ in unchecked(build_rig(example_document(fragment), FILE, Models(None)))]


def test_every_section_that_is_left_out_is_told() -> None:
    assert sections("clock: null\nmixes: null\nfeeds: null\ndestinations: null") == [
        "clock", "mixes", "destinations", "power", "amplifiers", "wireless", "sound_levels", "remote_control", "crew",
        "console_memory", "sources/…/expected_spl_db", "latency_ms", "sources/…/supply_ma, least_supply_v",
    ]  # fmt: skip


def test_what_is_said_is_not_told() -> None:
    said = (
        "crew: {lead: A. Person}\npower: {circuits: {left: {volts: 230}}}\n"
        "sources: {choir: {expected_spl_db: 90, sensitivity_mv_pa: 12}}\n"
        "devices: {desk: {latency_ms: 1}, west-box: {latency_ms: 0}, east-box: {latency_ms: 0}}"
    )
    assert sections(said)[:5] == ["amplifiers", "wireless", "sound_levels", "remote_control", "console_memory"]
    assert {"power", "crew", "sources/…/expected_spl_db", "latency_ms"}.isdisjoint(sections(said))


def test_what_a_further_console_says_counts() -> None:
    other = (
        "devices: {mon: {model: console-16}}\nchannels: null\nmixes: null\nfeeds: null\ndestinations: null\n"
        "consoles: {mon: {channels: {1: {label: Vox}}}, desk: {mixes: {house: {kind: house}}}}"
    )
    assert {"channels", "mixes"}.isdisjoint(sections(other))


def test_what_says_not_what_it_is_meant_for_is_told_by_name() -> None:
    rig = build_rig(
        example_document(
            "channels: {2: {carries: null}, 3: {carries: null}, 9: {label: Spare}}\n"
            "destinations: {singer-wedge: {expects: null}}"
        ),
        FILE,
        Models(None),
    )
    told = dict(unchecked(rig))
    assert told["channels/…/carries"] == "what channels 2–3 should carry"
    assert told["destinations/…/expects"] == "what singer-wedge should get"


def test_a_residual_current_device_that_is_not_stated_is_told() -> None:
    """Taken out of the demo house's circuits, it would otherwise vanish from the check without a word."""
    circuits = "devices: {west-box: {circuit: stage}}\npower: {circuits: {stage: {volts: 230, breaker_a: 16%s}}}"
    assert "power/…/residual_current_device" in sections(circuits % "")
    for said in ("true", "false"):
        assert "power/…/residual_current_device" not in sections(circuits % f", residual_current_device: {said}")
    assert "power/…/residual_current_device" not in sections(circuits % ", outdoor: true")  # a no-go of its own


def test_sound_pressure_without_a_sensitivity_is_no_level() -> None:
    assert "sources/…/expected_spl_db" in sections("sources: {choir: {expected_spl_db: 140}}")


def test_who_adds_to_a_monitors_delay_and_does_not_say_is_told() -> None:
    rig = build_rig(example_document("devices: {desk: {latency_ms: 1.5}}"), FILE, Models(None))
    assert dict(unchecked(rig))["latency_ms"] == "what west-box and east-box add to monitor latency"


def test_carriers_without_a_range_of_the_house() -> None:
    fragment = (
        "sources: {hand: {kind: wireless-receiver, plugged_into: west-box/in/9, carrier_mhz: 606.5}}\n"
        "channels: {9: {carries: hand, patched_from: desk/link-1/9}}"
    )
    rig = build_rig(example_document(fragment), FILE, Models(None))
    assert dict(unchecked(rig))["wireless"] == "which carriers the house may use"
