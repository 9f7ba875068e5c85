"""Sound exposure: when somebody must look, when it is over, and that nobody can waive it."""

from __future__ import annotations

import pytest
from example_rigs import Example

CREW, AUDIENCE = "exposure-crew", "exposure-audience"


def crew(*rows: tuple[float, float], criterion: str = "niosh") -> str:
    said = f"criterion: {criterion}, " if criterion else ""
    return f"sound_levels: {{{said}crew: [{stretches(rows)}]}}"


def audience(*rows: tuple[float, float], more: str = "") -> str:
    return f"sound_levels: {{audience: [{stretches(rows)}]{more}}}"


def stretches(rows: tuple[tuple[float, float], ...]) -> str:
    return ", ".join(f"{{level_dba: {level}, hours: {hours}}}" for level, hours in rows)


def weights(example: Example, rig: str, rule: str) -> list[str]:
    return [finding.weight.value for finding in example.findings(rig, rule)]


# Where each criterion ends, and where somebody must look: NIOSH 85 dBA over 8 h, and half of that (a note, our own choice); OSHA
# 90 dBA and its action level, 85 dBA; the EU upper and lower action values, 85 and 80 dB. NIOSH's and the EU's own values
# are too much themselves; OSHA's may be reached.
@pytest.mark.parametrize(
    ("criterion", "level", "hours", "expected"),
    [
        ("niosh", 81.9, 8, []),
        ("niosh", 82, 8, ["note"]),
        ("niosh", 84.9, 8, ["note"]),
        ("niosh", 85, 8, ["no-go"]),
        ("niosh", 85.1, 8, ["no-go"]),
        ("niosh", 100, 0.24, ["note"]),
        ("niosh", 100, 0.25, ["no-go"]),
        ("osha", 84.9, 8, []),
        ("osha", 85, 8, ["caution"]),
        ("osha", 90, 8, ["caution"]),
        ("osha", 90.1, 8, ["no-go"]),
        ("osha", 89.9, 12, ["caution"]),  # the permissible limit counts from 90 dBA on
        ("osha", 105, 1, ["caution"]),
        ("osha", 105, 1.01, ["no-go"]),
        ("osha", 79.9, 24, []),
        ("osha", 115, 0.05, []),  # Table G-16 ends here
        ("osha", 115.1, 0.001, ["no-go"]),
        ("osha", 120, 0.05, ["no-go"]),
        ("eu", 79.9, 8, []),
        ("eu", 80, 8, ["caution"]),
        ("eu", 84.9, 8, ["caution"]),
        ("eu", 85, 8, ["no-go"]),
        ("eu", 85.1, 8, ["no-go"]),
        ("", 85.1, 8, ["no-go"]),
    ],
)
def test_where_each_criterion_ends(
    example: Example, criterion: str, level: float, hours: float, expected: list[str]
) -> None:
    assert weights(example, crew((level, hours), criterion=criterion), CREW) == expected


def test_h_4b_exactly_100_percent_is_not_over(example: Example) -> None:
    """OSHA, 4 h at 90, 2 h at 95 and 2 h at 85 dBA: 100 % counted from 90 dBA, 112.5 % counted from 80."""
    (finding,) = example.findings(crew((90, 4), (95, 2), (85, 2), criterion="osha"), CREW)
    assert finding.weight.value == "caution"
    assert "is 100.0 % by OSHA" in finding.message
    assert "counted from 80 dBA on it is 112.5 %" in finding.message


def test_a_little_over_is_not_printed_as_100_percent(example: Example) -> None:
    (finding,) = example.findings(crew((85, 8.001)), CREW)
    assert (finding.weight.value, finding.facts["dose_percent"]) == ("no-go", 100.01)
    assert "is 100.01 %" in finding.message


def test_the_finding_says_whose_criterion_it_is(example: Example) -> None:
    (finding,) = example.findings(crew((91, 4), criterion=""), CREW)
    assert "by NIOSH (85 dBA over 8 h, 3 dB), taken because the house names no criterion" in finding.message
    assert finding.facts == {"dose_percent": 200.0, "criterion": "NIOSH"}


@pytest.mark.parametrize("criterion", ["niosh", "osha", "eu"])
def test_turned_down_as_the_cure_says_it_is_no_longer_over(example: Example, criterion: str) -> None:
    rig = crew((94, 3), (99, 1.5), (88, 2), criterion=criterion)
    (finding,) = example.findings(rig, CREW)
    down, share = finding.cures
    assert finding.weight.value == "no-go" and down.change is not None and share.change is None
    after = example.findings(example.changed(example.document(rig), down.change), CREW)
    assert [left.weight.value for left in after] == ["note" if criterion == "niosh" else "caution"]
    dose = finding.facts["dose_percent"]
    assert isinstance(dose, float)
    assert share.text.startswith(f"let {-int(-dose // 100)} people take equal turns")


def test_what_a_stretch_is_called_outlives_the_cure(example: Example) -> None:
    rig = "sound_levels: {crew: [{what: event, level_dba: 97, hours: 2}]}"
    (finding,) = example.findings(rig, CREW)
    assert finding.cures[0].change == {"sound_levels": {"crew": [{"what": "event", "level_dba": 90.9, "hours": 2}]}}


@pytest.mark.parametrize(
    ("rows", "over"),
    [
        (((100, 2),), False),  # the WHO's 100 dB is kept by 100 dB, however long
        (((100.1, 0.25),), True),
        (((102, 0.15),), False),  # 9 minutes at 102 dB and quiet after that are 99.8 dB over 15
        (((102, 0.15), (98, 0.1)), True),
        (((98, 0.1), (102, 0.05), (90, 1), (102, 0.1)), True),  # as if the loud parts came one after another
        (((103, 0.05), (96, 2)), False),
    ],
)
def test_the_loudest_quarter_of_an_hour(example: Example, rows: tuple[tuple[float, float], ...], over: bool) -> None:
    assert weights(example, audience(*rows), AUDIENCE) == (["no-go"] if over else [])


def test_a_house_may_set_its_own_limit(example: Example) -> None:
    assert weights(example, audience((95, 1), more=", audience_limit_db: 93"), AUDIENCE) == ["no-go"]


def test_a_limit_over_the_whos_is_never_silent(example: Example) -> None:
    """Planned under it, over it or not at all: the raised limit is told, and nobody can waive that."""
    assert weights(example, audience((101, 1), more=", audience_limit_db: 103"), AUDIENCE) == ["caution"]
    assert weights(example, audience((104, 1), more=", audience_limit_db: 103"), AUDIENCE) == ["no-go", "caution"]
    (finding,) = example.findings("sound_levels: {audience_limit_db: 110}", AUDIENCE)
    assert "110 dB, is over the 100 dB LAeq in 15 minutes of the WHO's standard." in finding.message
    after = example.changed(example.document("sound_levels: {audience_limit_db: 110}"), finding.cures[0].change or {})
    assert example.findings(after, AUDIENCE) == []
    assert weights(example, audience((99, 1), more=", audience_limit_db: 100"), AUDIENCE) == []


@pytest.mark.parametrize(("level", "hours"), [(94, 2), (88.1, 4), (85, 8)])
@pytest.mark.parametrize("criterion", ["niosh", "eu"])
def test_no_cure_ends_at_the_limit_that_is_too_much_itself(
    example: Example, criterion: str, level: float, hours: float
) -> None:
    rig = crew((level, hours), criterion=criterion)
    (finding,) = example.findings(rig, CREW)
    after = example.changed(example.document(rig), finding.cures[0].change or {})
    assert [left.weight.value for left in example.findings(after, CREW)] in (["note"], ["caution"])
    people = int(finding.cures[1].text.split()[1])
    assert weights(example, crew((level, hours / people), criterion=criterion), CREW) in ([], ["note"], ["caution"])


def test_over_oshas_ceiling_nobody_takes_a_turn(example: Example) -> None:
    rig = crew((120, 0.05), (80, 2), criterion="osha")
    (finding,) = example.findings(rig, CREW)
    (down,) = finding.cures
    assert "by OSHA nothing over 115 dBA is permitted, however short" in finding.message
    assert weights(example, example.changed(example.document(rig), down.change or {}), CREW) == []  # type: ignore[arg-type]


@pytest.mark.parametrize("rig", ["", "sound_levels: {criterion: eu}"])
def test_nothing_planned_is_nothing_said(example: Example, rig: str) -> None:
    assert example.findings(rig, CREW, AUDIENCE) == []


@pytest.mark.parametrize(("rule", "about"), [(CREW, "crew"), (AUDIENCE, "audience")])
def test_hearing_is_not_waivable(example: Example, rule: str, about: str) -> None:
    rig = (
        "event: {date: 2026-11-29}\n"
        "sound_levels: {crew: [{level_dba: 99, hours: 3}], audience: [{level_dba: 103, hours: 1}]}\n"
        f"waivers: [{{rule: {rule}, about: {about}, because: it is loud, by: A. Person, until: 2027-01-01}}]"
    )
    assert sorted(example.no_goes(rig)) == sorted([AUDIENCE, CREW, "waiver-forbidden"])
    assert example.findings(rig, rule)[0].waived is None


def test_both_rules_leave_it_to_local_law(example: Example) -> None:
    for name in (CREW, AUDIENCE):
        assert "Local law decides" in example.catalogue.rules[name].safety
        assert not example.catalogue.rules[name].waivable
