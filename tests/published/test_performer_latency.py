"""Latency for performers: rows T-1 to T-6 of our reference list.

T-1 to T-4 are published figures of buffers. T-5 and T-6 are sums of parts, worked by the path through a whole rig; the
speed of sound is 343.21 m/s at 20 degrees (textbook). How late is too late has no single value (T-T1, T-T2): Lester and
Boley, AES 123rd Convention, 2007, found from 42 ms down to possibly less than 1.4 ms, as several papers cite it.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lint.check.example import FILE, example_document
from lint.formula.latency import buffer_ms
from lint.formula.sound import travel_ms
from lint.resolve.latency import MonitorPath, monitor_paths
from lint.resolve.resolved import resolve_rig
from lint.rig.build import build_rig
from lint.rig.model import Models


def paths(fragment: str) -> dict[tuple[str, str], MonitorPath]:
    rig = resolve_rig(build_rig(example_document(fragment), FILE, Models(None)))
    return {(path.source, path.destination.name): path for path in monitor_paths(rig)}


@pytest.mark.parametrize(
    ("row", "samples", "rate_hz", "expected_ms", "tolerance"),
    [
        ("T-1", 128, 48_000, 2.667, 0.0005),
        ("T-2", 2 * 128, 44_100, 5.80, 0.005),
        ("T-3", 1024, 44_100, 23.2, 0.05),
        ("T-4", 2 * 256, 48_000, 10.7, 0.05),
    ],
)
def test_published_buffers(row: str, samples: int, rate_hz: int, expected_ms: float, tolerance: float) -> None:
    assert buffer_ms(samples, rate_hz) == pytest.approx(expected_ms, abs=tolerance), row


def test_t_5_a_wedge_two_metres_away() -> None:
    path = paths("devices: {west-box: {latency_ms: 0.5}, desk: {latency_ms: 3}}")["lead-vocal", "singer-wedge"]
    assert path.total_ms == pytest.approx(4)
    assert travel_ms(2, 20) == pytest.approx(5.83, abs=0.005)
    assert path.total_ms + travel_ms(2, 20) == pytest.approx(9.8, abs=0.05)


def test_t_6_a_budget() -> None:
    """1.5 + 0.5 + 3 + 1.5 = 6.5 ms: a radio microphone in the desk's own socket, the desk, a box, an ear transmitter."""
    fragment = (
        "devices: {west-box: {latency_ms: 0.5}, desk: {latency_ms: 3}}\n"
        "sources: {lead-vocal: {kind: wireless-receiver, plugged_into: desk/in/1, latency_ms: 1.5}}\n"
        "channels: {1: {patched_from: desk/in/1}}\n"
        "destinations: {singer-wedge: {kind: ear-transmitter, latency_ms: 1.5}}"
    )
    path = paths(fragment)["lead-vocal", "singer-wedge"]
    assert [(delay.what, delay.ms) for delay in path.delays] == [
        ("lead-vocal", 1.5),
        ("desk", 3),
        ("west-box", 0.5),
        ("singer-wedge", 1.5),
    ]
    assert path.total_ms == pytest.approx(6.5)
    # By the paper's table, from memory, singers in ears call up to 1 ms good and keyboard players up to 27 ms.
    assert path.total_ms > 1 and path.total_ms < 27


@given(st.integers(0, 100_000), st.sampled_from([44_100, 48_000, 96_000]))
def test_a_second_of_samples_is_a_second(samples: int, rate_hz: int) -> None:
    assert buffer_ms(samples + rate_hz, rate_hz) - buffer_ms(samples, rate_hz) == pytest.approx(1000)


@pytest.mark.parametrize(("samples", "rate_hz"), [(-1, 48_000), (128, 0), (128, float("nan"))])
def test_what_cannot_be_is_refused(samples: int, rate_hz: float) -> None:
    with pytest.raises(ValueError, match="expected"):
        buffer_ms(samples, rate_hz)
