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
        "console_memory", "sources/…/expected_spl_db", "latency_ms",
    ]  # fmt: skip


def test_what_is_said_is_not_told() -> None:
    said = (
        "crew: {lead: A. Person}\npower: {circuits: {left: {volts: 230}}}\n"
        "sources: {choir: {expected_spl_db: 90, latency_ms: 1}}"
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


def test_carriers_without_a_range_of_the_house() -> None:
    fragment = (
        "sources: {hand: {kind: wireless-receiver, plugged_into: west-box/in/9, carrier_mhz: 606.5}}\n"
        "channels: {9: {carries: hand, patched_from: desk/link-1/9}}"
    )
    rig = build_rig(example_document(fragment), FILE, Models(None))
    assert dict(unchecked(rig))["wireless"] == "which carriers the house may use"
