"""Carriers: which rule speaks, and that it speaks once. Formulas are held against brute force in tests/published."""

from __future__ import annotations

import time

import pytest
from example_rigs import Example

RULES = ("carrier-same", "carrier-too-close", "carrier-intermodulation", "carrier-outside-house-range")
HOUSE = "wireless: {ranges_mhz: [[606, 614]], least_spacing_khz: 350, guard_khz: 50}\n"


def radios(*carriers_mhz: float | str, house: str = HOUSE) -> str:
    rows = "".join(
        f"  radio-{n}: {{kind: wireless-receiver, plugged_into: desk/in/{n}, carrier_mhz: {mhz}}}\n"
        for n, mhz in enumerate(carriers_mhz, 1)
    )
    strips = ", ".join(
        f"{3 + n}: {{carries: radio-{n}, patched_from: desk/in/{n}}}" for n in range(1, 1 + min(len(carriers_mhz), 28))
    )
    return f"{house}sources:\n{rows}channels: {{{strips}}}\n"


def told(example: Example, rig: str) -> list[tuple[str, str, str]]:
    return [(f.weight.value, f.rule, f.about) for f in example.findings(rig, *RULES)]


def test_carriers_that_are_clear_of_each_other(example: Example) -> None:
    assert told(example, radios(606.5, 607.0, 607.9)) == []


@pytest.mark.parametrize(("second", "close"), [(606.849999, True), (606.85, False)])
def test_the_least_spacing_is_enough_to_the_hertz(example: Example, second: float, close: bool) -> None:
    rig = radios(606.5, second)
    assert told(example, rig) == ([("caution", "carrier-too-close", "radio-2")] if close else [])


@pytest.mark.parametrize(("third", "hit"), [("607.550000", True), ("607.550001", False)])
def test_the_guard_counts_to_the_hertz(example: Example, third: str, hit: bool) -> None:
    """2 × 607.0 − 606.5 is 607.5; the guard is 50 kHz."""
    findings = example.findings(radios(606.5, 607.0, third), *RULES)
    assert [finding.rule for finding in findings] == (["carrier-intermodulation"] if hit else [])
    assert all("radio-3 (607.550 MHz)" in finding.message for finding in findings)


def test_the_same_carrier_is_told_once_and_for_the_pair_alone(example: Example) -> None:
    """Nothing is too close to itself, and a product by way of two equal carriers is no product."""
    rig = radios(606.5, 606.5, 607.0, 607.9)
    assert told(example, rig) == [("no-go", "carrier-same", "radio-1")]
    assert example.after_cures(rig, "carrier-same") == [[]]


def test_the_same_carrier_and_a_third_too_close(example: Example) -> None:
    rig = radios(606.5, 606.5, 606.7)
    assert told(example, rig) == [
        ("no-go", "carrier-same", "radio-1"),
        ("caution", "carrier-too-close", "radio-3"),
    ]
    (close,) = example.findings(rig, "carrier-too-close")
    assert close.message.startswith("radio-1 and radio-2 (606.500 MHz) and radio-3 (606.700 MHz) are 200 kHz apart")


def test_three_on_one_carrier_are_told_in_one_finding(example: Example) -> None:
    (finding,) = example.findings(radios(606.5, 606.5, 606.5), "carrier-same")
    assert "radio-1, radio-2 and radio-3 are on one carrier" in finding.message
    assert finding.facts == {"carrier_hz": 606_500_000, "transmitters": 3}
    assert [cure.change for cure in finding.cures] == [None]


def test_what_falls_beside_a_carrier_by_two_that_are_too_close_is_told_as_that(example: Example) -> None:
    """607.000 and 607.020 put a product 20 kHz beside every other carrier: that is one cause."""
    assert told(example, radios(607.0, 607.02, 609.0, 612.3)) == [("caution", "carrier-too-close", "radio-2")]


def test_without_a_stated_spacing_the_same_products_are_told(example: Example) -> None:
    rig = radios(607.0, 607.02, 609.0, house="wireless: {guard_khz: 50}\n")
    (finding,) = example.findings(rig, *RULES)
    assert finding.rule == "carrier-intermodulation"
    assert "radio-3 (609.000 MHz): " in finding.message


@pytest.mark.parametrize(
    ("house", "expected"),
    [
        ("", []),
        ("wireless: {guard_khz: 50}\n", ["carrier-intermodulation"]),
        ("wireless: {least_spacing_khz: 700}\n", ["carrier-too-close"] * 2),
        ("wireless: {ranges_mhz: [[606, 607]]}\n", ["carrier-outside-house-range"]),
    ],
)
def test_a_rule_is_silent_where_the_house_says_nothing_of_its_matter(
    example: Example, house: str, expected: list[str]
) -> None:
    assert [rule for _, rule, _ in told(example, radios(606.5, 607.0, 607.5, house=house))] == expected


def test_the_same_carrier_needs_no_house_rules(example: Example) -> None:
    assert told(example, radios(606.5, 606.5, house="")) == [("no-go", "carrier-same", "radio-1")]


def test_ear_transmitters_are_carriers_as_well(example: Example) -> None:
    rig = radios(606.5) + "destinations: {singer-wedge: {kind: ear-transmitter, carrier_mhz: 606.6}}"
    assert told(example, rig) == [("caution", "carrier-too-close", "singer-wedge")]
    (finding,) = example.findings(rig, "carrier-too-close")
    (cure,) = finding.cures
    assert cure.change is not None and list(cure.change) == ["destinations"]


@pytest.mark.parametrize(("carrier", "outside"), [(606, False), (614, False), (605.999999, True), (614.000001, True)])
def test_a_range_holds_its_ends(example: Example, carrier: float, outside: bool) -> None:
    assert bool(told(example, radios(carrier))) is outside


def test_many_products_on_one_carrier_are_counted_and_the_nearest_named(example: Example) -> None:
    rig = radios(*(606.4 + 0.4 * n for n in range(6)))
    (finding,) = example.findings(rig, "carrier-intermodulation")
    assert finding.message.startswith("third-order products fall within 50 kHz of 6 carriers: radio-1 (606.400 MHz): ")
    assert finding.message.count(" more") == 6
    assert finding.facts["carriers_hit"] == 6
    assert "one carrier alone is not enough" in finding.cures[0].text


def test_the_carrier_that_disturbs_the_others_is_the_one_to_tune(example: Example) -> None:
    """Three carriers that are clear, and a fourth on a product of two of them, too close to the third besides."""
    assert told(example, radios(606.5, 607.0, 607.8)) == []
    rig = radios(606.5, 607.0, 607.8, 607.54)
    assert told(example, rig) == [("caution", "carrier-intermodulation", "radio-4")]
    assert example.after_cures(rig, "carrier-intermodulation") == [[]]


def test_a_cure_by_a_free_frequency_leaves_nothing_to_say_of_that_carrier(example: Example) -> None:
    rig = radios(606.5, 607.0, 607.5, 608.2, 609.9, 612.3)
    for finding in example.findings(rig, *RULES):
        (cure,) = finding.cures
        assert cure.change is not None
        assert "where the regulator allows it" in cure.text
        after = example.changed(example.document(rig), cure.change)
        assert finding.about not in [left.about for left in example.findings(after, *RULES)]


def test_where_nothing_is_free_the_cure_is_words(example: Example) -> None:
    narrow = "wireless: {ranges_mhz: [[606, 606.4]], least_spacing_khz: 350, guard_khz: 50}\n"
    (finding,) = example.findings(radios(606.1, 606.3, house=narrow), "carrier-too-close")
    assert [cure.change for cure in finding.cures] == [None]


def test_every_rule_leaves_legality_to_the_regulator(example: Example) -> None:
    for name in RULES:
        assert "is the local regulator's word" in example.catalogue.rules[name].safety


def test_sixty_carriers_are_checked_in_no_time(example: Example) -> None:
    """Sixty carriers 400 kHz apart: the four rules together, with the search for a free frequency."""
    house = "wireless: {ranges_mhz: [[600, 640]], least_spacing_khz: 350, guard_khz: 50}\n"
    rows = "".join(
        f"  radio-{n}: {{kind: wireless-receiver, plugged_into: desk/in/{n}, carrier_mhz: {600 + 0.4 * n:.3f}}}\n"
        for n in range(1, 61)
    )
    resolved = example.check(f"{house}sources:\n{rows}").resolved
    assert len(resolved.rig.carriers) == 60
    spent = []
    for _ in range(5):
        start = time.process_time()
        found = [finding for name in RULES for finding in example.catalogue.rules[name].function(resolved)]
        spent.append(time.process_time() - start)
    (finding,) = found
    assert finding.facts["carriers_hit"] == 60
    assert min(spent) < 0.2


def test_whoever_tunes_all_as_they_are_told_has_no_two_alike(example: Example) -> None:
    sources = ", ".join(
        f"r{n}: {{kind: wireless-receiver, plugged_into: west-box/in/{n + 3}, carrier_mhz: 700}}" for n in range(4)
    )
    rig = f"wireless: {{ranges_mhz: [[606, 614]], least_spacing_khz: 400}}\nsources: {{{sources}}}\n"
    cures = [finding.cures[0] for finding in example.findings(rig, "carrier-outside-house-range")]
    tuned = [next(iter(cure.change["sources"].values()))["carrier_mhz"] for cure in cures if cure.change]
    assert len(tuned) == 4
    assert all(round(abs(a - b), 6) >= 0.4 for n, a in enumerate(tuned) for b in tuned[:n])
    assert all(606.2 <= one <= 613.8 for one in tuned)
