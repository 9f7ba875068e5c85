"""Predicted input levels, and what phantom power leaves at a microphone."""

from __future__ import annotations

import pytest
from example_rigs import Example

RULES = ("level-clips", "level-headroom", "level-noise")
STARVED = "phantom-starved"


@pytest.mark.parametrize(("least_v", "found"), [(48, 0), (48.1, 1), (60, 1), (1, 0)])
def test_what_needs_more_than_48_v_can_never_have_it(example: Example, least_v: float, found: int) -> None:
    """Whatever it draws: its current need not be stated."""
    told = example.findings(f"sources: {{choir: {{least_supply_v: {least_v}}}}}", STARVED)
    assert [f"needs {least_v:g} V at its terminals" in finding.message for finding in told] == [True] * found


def piano(level_dbu: float, gain_db: float | str) -> str:
    return f"sources: {{piano: {{level_dbu: {level_dbu}}}}}\nchannels: {{3: {{gain_db: {gain_db}}}}}"


def told(example: Example, rig: str) -> list[tuple[str, str, str]]:
    return [(f.weight.value, f.rule, f.about) for f in example.findings(rig, *RULES)]


# The bundled boxes reach full scale at +24 dBu without gain: +4 dBu and 20 dB of gain are 0 dBFS.
@pytest.mark.parametrize(
    ("gain", "weight", "rule"),
    [
        (20.1, "no-go", "level-clips"),
        (20, "caution", "level-headroom"),
        (11.1, "caution", "level-headroom"),
        (11, "", ""),
        (-20, "", ""),
        (-20.1, "note", "level-noise"),
    ],
)
def test_one_word_about_each_level(example: Example, gain: float, weight: str, rule: str) -> None:
    expected = [(weight, rule, "desk/channel/3")] if rule else []
    assert told(example, piano(4, gain)) == expected


@pytest.mark.parametrize(
    ("gain", "words"), [(20, "which is just at full scale"), (20.004, "which is 0.004 dB over full scale")]
)
def test_at_full_scale_no_difference_is_told_as_none(example: Example, gain: float, words: str) -> None:
    (finding,) = example.findings(piano(4, gain), *RULES)
    assert words in finding.message


def test_a_microphone_by_its_sensitivity(example: Example) -> None:
    """20 mV/Pa at 110 dB SPL: −33.98 dBV/Pa + 2.22 + 16 = −15.76 dBu, 41 dB of gain and +24 dBu full scale: +1.24."""
    rig = "sources: {choir: {sensitivity_mv_pa: 20, expected_spl_db: 110}}\nchannels: {2: {gain_db: 41}}"
    (finding,) = example.findings(rig, *RULES)
    assert finding.facts == {"level_dbu": -15.76, "gain_db": 41, "full_scale_dbu": 24, "predicted_dbfs": 1.24}
    assert [place.address for place in finding.places] == ["desk/channel/2", "choir"]


@pytest.mark.parametrize("rule_gain", [("level-clips", 30), ("level-headroom", 15), ("level-noise", -30)])
def test_the_gain_of_the_cure_leaves_nothing_to_say(example: Example, rule_gain: tuple[str, float]) -> None:
    rule, gain = rule_gain
    rig = piano(4.3, gain)
    (finding,) = example.findings(rig, rule)
    (cure,) = finding.cures
    assert cure.change == {"channels": {"3": {"gain_db": 10}}}
    after = example.changed(example.document(rig), cure.change)
    assert example.findings(after, *RULES) == []


def test_a_gain_that_no_input_has_asks_for_a_pad(example: Example) -> None:
    (finding,) = example.findings(piano(30, 0), "level-clips")
    assert (
        finding.cures[0].text == "set the gain of channel 3 (Piano) to −15 dB; if it does not go so low, put in a pad"
    )
    (finding,) = example.findings(piano(-140, 0), "level-noise")
    assert finding.cures[0].change is None


@pytest.mark.parametrize(
    "rig",
    [
        "sources: {piano: {level_dbu: 20}}",
        "channels: {3: {gain_db: 60}}",
        "sources: {choir: {sensitivity_mv_pa: 20}}\nchannels: {2: {gain_db: 60}}",
        "sources: {choir: {expected_spl_db: 130}}\nchannels: {2: {gain_db: 60}}",
    ],
)
def test_where_anything_is_missing_nothing_is_said(example: Example, rig: str) -> None:
    assert told(example, rig) == []


def test_a_model_without_a_stated_full_scale_is_not_judged(house: Example) -> None:
    assert house.house is not None
    (house.house / "models" / "plain-box.yaml").write_text(
        "model_format: 1\nkind: stage-box\ninputs: {count: 8}\n"
        "outputs: {count: 8, addressed: by-selector, selector: [1-8, 9-16]}\nchain: {slots: {48000: 48}}\n"
    )
    rig = piano(4, 40)
    assert told(house, rig) != []
    assert told(house, rig + "\ndevices: {east-box: {model: plain-box}}") == []


def test_another_full_scale_moves_everything(house: Example) -> None:
    assert house.house is not None
    (house.house / "models" / "low-box.yaml").write_text(
        "model_format: 1\nkind: stage-box\ninputs: {count: 8, full_scale_dbu: 14}\n"
        "outputs: {count: 8, addressed: by-selector, selector: [1-8, 9-16]}\nchain: {slots: {48000: 48}}\n"
    )
    rig = piano(4, 11)
    assert told(house, rig) == []
    assert [rule for _, rule, _ in told(house, rig + "\ndevices: {east-box: {model: low-box}}")] == ["level-clips"]


def test_a_wrong_patch_is_told_as_that_alone(example: Example) -> None:
    """Channel 1 hears the piano by mistake, with the gain of a microphone."""
    rig = (
        "sources: {piano: {level_dbu: 4}}\n"
        "channels: {1: {patched_from: desk/link-1/17, gain_db: 40}, 3: {patched_from: desk/link-1/1}}"
    )
    assert told(example, rig) == []
    assert example.no_goes(rig)


def test_a_house_that_states_nominal_levels(example: Example) -> None:
    strict = "\nrules: {level-headroom: {limits: {headroom_db: 18}, because: our rigs state nominal levels}}"
    assert told(example, piano(4, 5)) == []
    assert told(example, piano(4, 5) + strict) == [("caution", "level-headroom", "desk/channel/3")]


def choir(current_ma: float, least_v: float | None = None, more: str = "") -> str:
    least = f", least_supply_v: {least_v}" if least_v is not None else ""
    return f"sources: {{choir: {{supply_ma: {current_ma}{least}{more}}}}}"


# IEC 61938 for P48 (check-values.md, PH-1 to PH-3): 2 mA leave 41.2 V, 5 mA 31 V, 10 mA, which is the most, 14 V.
@pytest.mark.parametrize(
    ("current_ma", "least_v", "starved"),
    [
        (2, 41.2, False),
        (2, 41.3, True),
        (5, 31, False),
        (5, 31.1, True),
        (10, 14, False),
        (10, None, False),
        (10.1, None, True),
        (0, 48, False),
        (0, 48.1, True),
    ],
)
def test_what_is_left_at_the_microphone(
    example: Example, current_ma: float, least_v: float | None, starved: bool
) -> None:
    rig = choir(current_ma, least_v)
    assert [(f.weight.value, f.about) for f in example.findings(rig, STARVED)] == (
        [("no-go", "choir")] if starved else []
    )
    if starved:
        assert example.after_cures(rig, STARVED) == [[]]


def test_ph_9_more_than_the_supply_gives_into_a_short_circuit(example: Example) -> None:
    (finding,) = example.findings(choir(15, 12), STARVED)
    assert "and more than it gives into a short circuit" in finding.message


@pytest.mark.parametrize("powering", ["battery", "internal", "none"])
def test_what_has_a_supply_of_its_own_is_not_judged(example: Example, powering: str) -> None:
    assert example.findings(choir(9, 40, f", powering: {powering}"), STARVED) == []


def test_a_need_without_a_current_is_not_judged(example: Example) -> None:
    assert example.findings("sources: {choir: {least_supply_v: 44}}", STARVED) == []


def test_one_minus_sign_throughout(example: Example) -> None:
    (finding,) = example.findings(piano(-18.3, -40), "level-noise")
    assert "−18.3 dBu at its loudest and −40 dB of gain" in finding.message
    assert " -" not in finding.message
