"""Copper lengths against ISO/IEC 11801 and TIA-568, and the rule that holds a rig to them.

Numbers are from secondary pages (a cable maker's summary of TIA-568-B and ISO/IEC 11801:2002 among them); the
work-area formula is from memory.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lint.check.example import check_example
from lint.formula.cable import (
    CHANNEL_M,
    CORDS_M,
    ELECTRICAL_CHANNEL_M,
    PERMANENT_LINK_M,
    channel_length_m,
    cords_length_m,
    electrical_length_m,
    fits_channel,
    work_area_cord_m,
)
from lint.read.problem import CannotReadError

INSTALLED_M = st.floats(0, 90)
GAUGE = st.sampled_from([24, 26])


def test_a_channel_is_90_m_installed_and_10_m_of_cords() -> None:
    # ISO/IEC 11801, TIA-568: three secondary pages.
    assert (PERMANENT_LINK_M, CORDS_M, CHANNEL_M) == (90, 10, 100)
    assert channel_length_m(90, 10) == 100


@pytest.mark.parametrize(
    ("installed_m", "cords_m", "told"),
    [
        (90, 10.5, "a channel of 100.5 m is over its limit of 100 m, patch leads included"),
        (90.5, 5, "found 90.5 m of permanent link, expected from 0 to 90 m"),
        (-1, 5, "found -1 m of permanent link, expected from 0 to 90 m"),
        (90, -1, "found -1 m of cords, expected from 0 to 100 m"),
        (float("nan"), 5, "found nan m of permanent link"),
    ],
)
def test_a_channel_over_its_limits_is_refused(installed_m: float, cords_m: float, told: str) -> None:
    with pytest.raises(ValueError, match=f"^{told}"):
        channel_length_m(installed_m, cords_m)


# D-9: C = (102 - H) / 1.2, W = C - 5, 24 AWG. Formula from memory of TIA-568-B; printed tables round 5/9/13/17/22.
D_9 = [(90, 10.0, 5.0), (85, 14.2, 9.2), (80, 18.3, 13.3), (75, 22.5, 17.5), (70, 26.7, 21.7)]


@pytest.mark.parametrize(("installed_m", "cords_m", "work_area_m"), D_9)
def test_d_9_cords_by_installed_length(installed_m: float, cords_m: float, work_area_m: float) -> None:
    assert cords_length_m(installed_m) == pytest.approx(cords_m, abs=0.1)
    assert work_area_cord_m(installed_m) == pytest.approx(work_area_m, abs=0.1)


def test_d_9_the_far_cord_stops_at_22_m_by_tia_568_b_and_20_m_by_iso_iec_11801() -> None:
    # Limits: secondary pages.
    assert work_area_cord_m(60) == 22
    assert work_area_cord_m(70, longest_m=20) == 20


# 26 AWG loses half as much again (secondary page); W with 3.5 m kept for the rack, as tables print it: from memory.
@pytest.mark.parametrize(
    ("installed_m", "cords_m", "work_area_m"), [(90, 8, 4), (85, 11, 7), (80, 15, 11), (75, 18, 14), (70, 21, 17)]
)
def test_26_awg_cords_are_shorter(installed_m: float, cords_m: float, work_area_m: float) -> None:
    assert round(cords_length_m(installed_m, 26)) == cords_m
    assert int(work_area_cord_m(installed_m, 26)) == work_area_m


def test_d_10_a_reel_of_100_m_made_only_of_stranded_24_awg_counts_120_m_and_does_not_fit() -> None:
    assert electrical_length_m(0, 100, 24) == pytest.approx(120)
    assert not fits_channel(0, 100, 24)
    assert electrical_length_m(0, 100, 26) == pytest.approx(150)


def test_d_10_the_rule_makes_a_person_look_at_a_reel_of_100_m() -> None:
    (finding,) = found("cables: {trunk: {length_m: 100}}")
    assert finding.weight.value == "caution"
    assert "near its limit" in finding.message


@given(INSTALLED_M, GAUGE)
def test_the_cords_the_formula_allows_use_up_exactly_what_a_channel_may_lose(installed_m: float, awg: int) -> None:
    cords_m = cords_length_m(installed_m, awg)
    assert electrical_length_m(installed_m, cords_m, awg) == pytest.approx(ELECTRICAL_CHANNEL_M)
    assert fits_channel(installed_m, min(cords_m, CHANNEL_M - installed_m) * (1 - 1e-9), awg)
    assert not fits_channel(installed_m, cords_m + 0.01, awg)


@given(INSTALLED_M, INSTALLED_M, GAUGE)
def test_more_installed_cable_never_leaves_more_for_cords(one: float, other: float, awg: int) -> None:
    less, more = sorted((one, other))
    assert cords_length_m(more, awg) <= cords_length_m(less, awg)
    assert work_area_cord_m(more, awg) <= work_area_cord_m(less, awg)


@pytest.mark.parametrize("wrong", [(90.1, 24), (-1, 24), (float("nan"), 24), (50, 22)])
def test_what_the_formula_does_not_cover_is_refused(wrong: tuple[float, int]) -> None:
    with pytest.raises(ValueError, match="expected"):
        cords_length_m(*wrong)


def test_a_run_of_no_end_or_less_than_nothing_is_refused() -> None:
    for solid_m, stranded_m in ((float("inf"), 1), (1, -1), (float("nan"), 1)):
        with pytest.raises(ValueError, match="expected 0 m or more"):
            electrical_length_m(solid_m, stranded_m)


def found(fragment: str) -> list:
    return [finding for finding in check_example(fragment).findings if finding.rule == "link-cable-length"]


# The bundled models state 100 m, the limit of the channel; the caution from 90 m on is ours (common practice).
@pytest.mark.parametrize(
    ("length_m", "weight"),
    [
        (90, None),
        (90.5, "caution"),
        (100, "caution"),
        (100.01, "no-go"),
        (101, "no-go"),
        (120, "no-go"),
        (1000, "no-go"),
    ],
)
def test_the_rule_holds_a_link_to_100_m(length_m: float, weight: str | None) -> None:
    findings = found(f"cables: {{trunk: {{length_m: {length_m}}}}}")
    assert [finding.weight.value for finding in findings] == ([weight] if weight else [])
    assert all(finding.facts == {"length_m": length_m, "limit_m": CHANNEL_M} for finding in findings)


def test_each_cable_of_a_chain_has_its_own_100_m() -> None:
    # AES50 is point to point, up to 100 m a span (AES news page for AES50-2011): two spans may make 180 m.
    assert found("cables: {trunk: {length_m: 90}, crossing: {length_m: 90}}") == []
    both = found("cables: {trunk: {length_m: 110}, crossing: {length_m: 110}}")
    assert sorted((finding.about, finding.weight.value) for finding in both) == [
        ("crossing", "no-go"),
        ("trunk", "no-go"),
    ]


def test_a_house_may_move_the_caution_but_not_the_limit() -> None:
    said = "rules: {link-cable-length: {limits: {caution_share: 0.5}, because: the reel is old}}\n"
    (finding,) = found(said + "cables: {trunk: {length_m: 60}, crossing: {length_m: 12}}")
    assert finding.weight.value == "caution"
    (finding,) = found(said.replace("0.5", "1") + "cables: {trunk: {length_m: 101}}")
    assert finding.weight.value == "no-go"
    with pytest.raises(CannotReadError, match=r"caution_share is 2, expected 0\.1 to 1"):
        found(said.replace("0.5", "2"))
