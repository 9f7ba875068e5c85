"""How long a phase took, said once it is over (R02: reference/checklist-design.md 7)."""

from __future__ import annotations

from datetime import timedelta

from lint.record.ledger import Ledger


def test_a_phase_of_more_than_ninety_seconds_is_told_and_the_advice_given_once(small, session, ways) -> None:
    small.clock.step = timedelta(seconds=31)
    text = " ".join(ways.typed(session, ["g", "g", "g", "65", "g"]).text.split())
    assert "“Links” took 1:33, over 1:30. Lists that take longer are cut short: share it by role, or split it." in text
    assert text.count("share it by role") == 1


def test_ninety_seconds_are_enough(small, session, ways) -> None:
    small.clock.step = timedelta(seconds=30)
    assert "took" not in ways.typed(session, ["g", "g", "g"]).text


def test_a_stop_on_the_way_is_no_pace(small, session, ways) -> None:
    ways.typed(session, ["g", "g"])
    small.clock.at += timedelta(minutes=5)
    with Ledger(small.ledger_path) as ledger:
        again = small.session(ledger)
        again.open("A. Adams")
        assert "took" not in ways.typed(again, ["g"]).text
