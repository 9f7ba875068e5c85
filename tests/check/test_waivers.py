"""Waivers: by whom, why, until when; past, forbidden and idle ones."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from lint.check.catalogue import LoadFailure
from lint.check.engine import Checked, check_file
from lint.check.example import BASE
from lint.check.finding import Verdict
from lint.read.problem import CannotReadError
from lint.resolve.resolved import ResolvedRig

Made = Callable[..., Any]


def waiver(rule: str = "broken", about: str = "desk", until: str = "2026-12-06") -> str:
    return f"waivers:\n  - {{rule: {rule}, about: {about}, because: it is known, by: M. Okafor, until: {until}}}\n"


def told(checked: Checked) -> list[tuple[str, str, bool]]:
    return [(finding.rule, finding.weight.value, finding.waived is not None) for finding in checked.findings]


def test_a_waived_no_go_gives_go_and_keeps_who_why_and_until(check: Made, says: Made) -> None:
    checked = check(waiver(), says("broken", "desk", severity="no-go"))
    assert checked.verdict is Verdict.GO
    assert told(checked) == [("broken", "no-go", True)]
    accepted = checked.findings[0].waived
    assert (accepted.by, accepted.because, accepted.until) == ("M. Okafor", "it is known", date(2026, 12, 6))


@pytest.mark.parametrize(
    ("until", "long"), [("2027-11-29", False), ("2027-11-30", False), ("2027-12-01", True), ("2099-12-31", True)]
)
def test_a_waiver_for_more_than_a_year_counts_and_is_told(check: Made, says: Made, until: str, long: bool) -> None:
    """Seen from the event, 2026-11-29; 366 days, a leap year, are a year."""
    checked = check("event: {date: 2026-11-29}\n" + waiver(until=until), says("broken", "desk", severity="no-go"))
    assert told(checked) == [("broken", "no-go", True), *([("waiver-long", "caution", False)] if long else [])]


def test_a_waiver_accepts_its_rule_about_its_address_and_nothing_else(check: Made, says: Made) -> None:
    checked = check(
        waiver(), says("broken", "desk", "west-box", severity="no-go"), says("other", "desk", severity="no-go")
    )
    assert checked.verdict is Verdict.NO_GO
    assert [(finding.rule, finding.about) for finding in checked.findings if finding.waived] == [("broken", "desk")]


def test_a_waiver_accepts_every_finding_of_that_rule_there(check: Made, says: Made) -> None:
    checked = check(waiver(), says("broken", "desk", "desk", severity="no-go"))
    assert [finding.waived is not None for finding in checked.findings] == [True, True]


@pytest.mark.parametrize(
    ("until", "today", "holds"),
    [
        ("2026-11-29", date(2026, 11, 29), True),  # its last day still counts
        ("2026-11-28", date(2026, 11, 29), False),
        ("2027-01-01", date(2026, 12, 31), True),
    ],
)
def test_a_waiver_holds_through_its_last_day(check: Made, says: Made, until: str, today: date, holds: bool) -> None:
    checked = check(waiver(until=until), says("broken", "desk", severity="caution"), today=today)
    if holds:
        assert told(checked) == [("broken", "caution", True)]
        assert checked.verdict is Verdict.GO
    else:
        assert told(checked) == [("broken", "no-go", False)]
        assert checked.verdict is Verdict.NO_GO
        assert (
            checked.findings[0].message
            == f"the waiver of broken for desk by M. Okafor ended on {until}, and it stands again: broken of desk"
        )
        assert [place.line for place in checked.findings[0].places][-1] == 2


@pytest.mark.parametrize(
    ("event", "today", "holds"),
    [
        ("2026-12-06", date(2027, 5, 1), True),  # an old rig checked later is judged by its own day
        ("2026-12-07", date(2026, 11, 1), False),  # next month's rig checked today is judged by next month
    ],
)
def test_the_day_of_the_event_goes_before_today(check: Made, says: Made, event: str, today: date, holds: bool) -> None:
    fragment = f"event: {{date: {event}}}\n{waiver(until='2026-12-06')}"
    checked = check(fragment, says("broken", "desk", severity="no-go"), today=today)
    assert (checked.verdict is Verdict.GO) == holds


def test_a_waiver_of_nothing_is_a_note_with_the_nearest_address(check: Made, says: Made) -> None:
    checked = check(waiver(about="west-bax"), says("broken", "west-box", severity="no-go"))
    assert told(checked) == [("broken", "no-go", False), ("waiver-unused", "note", False)]
    assert checked.findings[1].message == ("the waiver of broken for west-bax waives nothing; did you mean 'west-box'?")


def test_a_past_waiver_of_nothing_is_a_note_only(check: Made, says: Made) -> None:
    checked = check(waiver(until="2020-01-01"), says("broken"))
    assert told(checked) == [("waiver-unused", "note", False)]
    assert checked.findings[0].message == "the waiver of broken for desk waives nothing, and ended on 2020-01-01"


def test_what_is_not_waivable_stands_and_the_waiver_is_a_no_go_of_its_own(check: Made, says: Made) -> None:
    checked = check(waiver(), says("broken", "desk", severity="caution", waivable=False))
    assert told(checked) == [("waiver-forbidden", "no-go", False), ("broken", "caution", False)]
    assert checked.verdict is Verdict.NO_GO
    assert checked.findings[0].message == "broken can't be waived by anybody; the waiver by M. Okafor does not count"


def test_the_failure_of_a_rule_cannot_be_waived(check: Made, make: Made) -> None:
    def function(_rig: ResolvedRig) -> Any:
        raise RuntimeError("boom")

    checked = check(waiver("rule-failed", "rules/breaks"), make("breaks", function))
    assert checked.verdict is Verdict.NO_GO
    assert [rule for rule, _, waived in told(checked) if not waived] == ["rule-failed", "waiver-forbidden"]


def test_the_failure_of_a_package_cannot_be_waived(check: Made, says: Made) -> None:
    fragment = waiver("rule-failed", "rules/house")
    checked = check(fragment, says("calm"), failures=[LoadFailure("house", "ImportError: no")])
    assert checked.verdict is Verdict.NO_GO
    assert [rule for rule, _, waived in told(checked) if not waived] == ["rule-failed", "waiver-forbidden"]


def test_a_waiver_of_an_unknown_rule_names_the_nearest(check: Made, says: Made) -> None:
    with pytest.raises(CannotReadError) as caught:
        check(waiver("brokn"), says("broken", "desk"))
    (problem,) = caught.value.problems
    assert str(problem) == "example.yaml:2:12: waivers: no rule is called 'brokn'; did you mean 'broken'?"


@pytest.mark.parametrize("left_out", ["rule", "about", "because", "by", "until"])
def test_a_waiver_says_all_five(check: Made, says: Made, left_out: str) -> None:
    row = {"rule": "broken", "about": "desk", "because": "known", "by": "M. Okafor", "until": "2026-12-06"}
    row.pop(left_out)
    text = ", ".join(f"{key}: {value}" for key, value in row.items())
    with pytest.raises(CannotReadError, match=f"`{left_out}` is missing"):
        check(f"waivers: [{{{text}}}]", says("broken", "desk"))


def test_a_day_that_is_not_in_the_calendar_is_refused(check: Made, says: Made) -> None:
    with pytest.raises(CannotReadError, match=r"2026-02-30.*no day of the calendar"):
        check(waiver(until="2026-02-30"), says("broken", "desk"))


HOUSE = f"extends: base.yaml\n{waiver('source-unheard', 'tuba')}  - {{rule: mix-empty, about: spare, because: x, by: x, until: 2099-01-01}}\n"


def week(tmp_path: Path, text: str) -> list[tuple[int, str]]:
    """The line and message of what is said of replaced waivers, where a week's file extends a house."""
    (tmp_path / "base.yaml").write_text(BASE, encoding="utf-8")
    (tmp_path / "house.yaml").write_text(HOUSE, encoding="utf-8")
    path = tmp_path / "week.yaml"
    path.write_text(f"extends: house.yaml\n{text}", encoding="utf-8")
    found = check_file(path).findings
    return [(row.places[0].line, row.message) for row in found if row.rule == "waivers-replaced"]


def test_a_list_that_replaces_the_houses_says_which_waivers_no_longer_count(tmp_path: Path) -> None:
    start = "this list replaces the one that it extends, of which "
    assert week(tmp_path, "event: {name: Sunday}\nwaivers: []\n") == [
        (3, f"{start}2 waivers no longer count: source-unheard for tuba, mix-empty for spare")
    ]
    longer = waiver("source-unheard", "tuba", "2099-12-31")  # another date is no loss
    assert week(tmp_path, longer) == [(2, f"{start}one waiver no longer counts: mix-empty for spare")]


@pytest.mark.parametrize("text", ["", "waivers: null\n", HOUSE.partition("\n")[2]])
def test_no_list_a_list_taken_out_and_the_same_list_are_let_be(tmp_path: Path, text: str) -> None:
    assert week(tmp_path, text) == []


OWN_WAIVER = """\
waivers:
  - {rule: broken, about: desk, because: a spare comes, by: M. Okafor, asked_by: %s, instead: the small desk, until: 2026-12-06}
"""


def test_whoever_asked_for_a_waiver_can_not_accept_it(check: Made, says: Made) -> None:
    """R15 of reference/checklist-design.md 7: approver is not requester."""
    checked = check(OWN_WAIVER % "m. okafor", says("broken", "desk", severity="no-go"))
    assert checked.verdict is Verdict.NO_GO
    assert sorted(told(checked)) == [("broken", "no-go", False), ("waiver-by-asker", "caution", False)]
    assert "M. Okafor asked for the waiver of broken for desk and accepted it as well; it does not count" in [
        finding.message for finding in checked.findings
    ]


def test_who_asked_and_what_is_done_instead_are_kept(check: Made, says: Made) -> None:
    """R15: scope (rule and about), reason, compensating action, approver and requester, last day."""
    checked = check(OWN_WAIVER % "A. Silva", says("broken", "desk", severity="no-go"))
    assert checked.verdict is Verdict.GO
    accepted = checked.findings[0].waived
    words = "by M. Okafor until 2026-12-06: a spare comes; instead: the small desk; asked for by A. Silva"
    assert accepted.words == words
