"""A finding about several things is waived only where each of them is: a waiver never covers a later mistake."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import pytest

from lint.check.engine import Checked
from lint.check.example import check_example
from lint.check.finding import Finding, Verdict
from lint.resolve.resolved import ResolvedRig

Made = Callable[..., Any]


def waivers(*rows: str, rule: str = "grouped") -> str:
    """Rows such as 'desk' or 'desk by A. Brandt until 2026-12-06'."""
    text = []
    for row in rows:
        about, _, rest = row.partition(" by ")
        by, _, until = rest.partition(" until ")
        text.append(
            f"{{rule: {rule}, about: {about}, because: known, by: {by or 'M. Okafor'}, until: {until or '2027-11-29'}}}"
        )
    return f"waivers:\n{''.join(f'  - {row}' + chr(10) for row in text)}"


@pytest.fixture
def grouped(make: Made) -> Any:
    """A rule that says one thing of desk, west-box and east-box together, placed at trunk."""

    def function(rig: ResolvedRig) -> Iterable[Finding]:
        place = rig.rig.place(("cables", "trunk"), "trunk")
        yield Finding("three are wrong.", (place,), members=("desk", "west-box", "east-box"))

    return make("grouped", function, severity="caution")


def told(checked: Checked) -> list[tuple[str, str, str]]:
    return [(finding.rule, finding.weight.value, finding.message) for finding in checked.findings]


def test_it_is_waived_where_every_member_is(check: Made, grouped: Any) -> None:
    checked = check(waivers("desk", "west-box by A. Brandt until 2026-12-24", "east-box"), grouped)
    assert checked.verdict is Verdict.GO
    (finding,) = checked.findings
    assert (finding.waived.by, finding.waived.because) == ("M. Okafor; A. Brandt", "known")
    assert finding.waived.until.isoformat() == "2026-12-24"
    assert finding.message == "three are wrong."


def test_it_stands_where_a_member_is_not_and_says_whose_waiver_covers_which(check: Made, grouped: Any) -> None:
    checked = check(waivers("desk", "west-box by A. Brandt"), grouped)
    words = "three are wrong. Waived there: only desk (by M. Okafor), west-box (by A. Brandt), not east-box."
    assert told(checked) == [("grouped", "caution", words)]
    assert checked.findings[0].waived is None
    assert [place.line for place in checked.findings[0].places][1:] == [2, 3]


def test_it_stands_again_where_the_waiver_of_one_member_ended(check: Made, grouped: Any) -> None:
    checked = check(waivers("desk by A. Brandt until 2026-11-28", "west-box", "east-box"), grouped)
    words = "the waiver of grouped for desk by A. Brandt ended on 2026-11-28, and it stands again: three are wrong."
    assert told(checked) == [("grouped", "no-go", words)]


def test_a_waiver_that_holds_goes_before_one_that_ended(check: Made, grouped: Any) -> None:
    rows = ("desk", "west-box", "east-box", "desk by A. Brandt until 2026-11-28")
    for order in (rows, rows[::-1]):
        assert check(waivers(*order), grouped).verdict is Verdict.GO


def test_a_waiver_of_the_place_alone_names_the_members(check: Made, grouped: Any) -> None:
    checked = check(waivers("trunk"), grouped)
    words = "the waiver of grouped for trunk waives nothing; name there, in a waiver each: desk, west-box, east-box"
    assert told(checked) == [("grouped", "caution", "three are wrong."), ("waiver-unused", "note", words)]


@pytest.mark.parametrize(
    ("rule", "fragment", "members"),
    [
        (
            "patch-carries-other",
            "sources: {lead-vocal: {plugged_into: west-box/in/2}, choir: {plugged_into: west-box/in/1}}\n",
            ("desk/channel/1", "desk/channel/2"),
        ),
        (
            "patch-carries-nothing",
            "channels: {1: {patched_from: desk/link-2/1}, 2: {patched_from: desk/link-2/2}}\n",
            ("desk/channel/1", "desk/channel/2"),
        ),
        (
            "source-unheard",
            "mixes: {house: {takes: {channels: [1]}}}\n",
            ("choir", "piano"),
        ),
        (
            "output-carries-nothing",
            "devices: {east-box: {output_bank: 17-24}}\n",
            ("house-left", "house-right"),
        ),
        (
            "output-carries-other",
            "mixes: {drum-mon: {kind: monitor, takes: {channels: [1]}}}\nfeeds: {desk/link-1: {2: drum-mon}}\n"
            "destinations: {singer-wedge: {plugged_into: west-box/out/2},"
            " drum-wedge: {kind: wedge, plugged_into: west-box/out/1, expects: drum-mon}}\n",
            ("singer-wedge", "drum-wedge"),
        ),
        (
            "phantom-missing",
            "sources: {lead-vocal: {kind: boundary-microphone}}\nchannels: {2: {phantom: off}, 3: {phantom: off}}\n",
            ("lead-vocal", "choir", "piano"),
        ),
        (
            "monitor-latency",
            "devices: {desk: {latency_ms: 25}}\nfeeds: {desk/link-1: {2: singer-mon}}\n"
            "destinations: {second-wedge: {kind: wedge, plugged_into: west-box/out/2, expects: singer-mon}}\n",
            ("singer-wedge", "second-wedge"),
        ),
        (
            "carrier-same",
            "sources: {a: {kind: wireless-receiver, plugged_into: west-box/in/8, carrier_mhz: 600},"
            " b: {kind: wireless-receiver, plugged_into: west-box/in/9, carrier_mhz: 600}}\n",
            ("a", "b"),
        ),
        (
            "circuit-unstated",
            "power: {circuits: {stage: {volts: 230}}}\n",
            ("desk", "west-box", "east-box"),
        ),
    ],
)
def test_the_rules_that_group_name_every_member(rule: str, fragment: str, members: tuple[str, ...]) -> None:
    (finding,) = [finding for finding in check_example(fragment).findings if finding.rule == rule]
    assert finding.members == members
    first = check_example(fragment + waivers(members[0], rule=rule))
    assert not all(finding.waived for finding in first.findings if finding.rule == rule)
    every = check_example(fragment + waivers(*members, rule=rule))
    assert all(finding.waived for finding in every.findings if finding.rule == rule)
    assert [finding.rule for finding in every.findings if finding.rule == "waiver-unused"] == []
