"""A walk that goes on on another day: what may have changed overnight is looked at again, the rest is kept."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from lint.record.ledger import Ledger
from lint.walk.meanwhile import ChangedMeanwhileError
from lint.walk.resuming import SAME_DAY

# The plugs bear a caution, and are in as they were; where power goes on the caution is about today.
LIST = """\
checklist_format: 1
title: Evening and morning
phases:
  - id: stage
    title: Stage
    mode: do-confirm
    completion: Stage complete
    items:
      - {id: mains, role: stage, killer: true, challenge: "Mains leads: whole"}
      - id: exits
        role: stage
        drifts: true
        challenge: "Exits: clear"
      - id: plugs
        role: stage
        challenge: "Plugs: as labelled"
        safety: {word: CAUTION, hazard: A plug bangs, consequence: An ear is hurt, avoidance: Mute first}
  - id: papers
    title: Papers
    mode: read-do
    completion: Papers complete
    items:
      - {id: sheet, role: lead, challenge: "Patch sheet: printed"}
  - id: doors
    title: Doors
    mode: read-do
    completion: Doors complete
    items:
      - {id: exits-still, role: stage, repeats: [exits], challenge: "Exits, before the doors: clear"}
"""
RIG = "extends: ../house.yaml\nevent: {name: Sunday, date: 2026-11-29}\n"
EVENING = datetime(2026, 11, 28, 20, 0, tzinfo=UTC)
MORNING = datetime(2026, 11, 29, 8, 0, tzinfo=UTC)
AGAIN = {"mains", "second/mains", "exits", "exits-still", "completion-call/stage", "completion-call/doors"}


@pytest.fixture
def evening(house):
    """A house whose walk for Sunday is answered on Saturday's evening, and not polled."""
    house.checklist(LIST)
    house.write(RIG)
    house.clock.at = EVENING
    return house


def answered(session) -> set[str]:
    return set(session.state.answers)


def test_on_the_day_what_drifts_and_what_nothing_starts_without_is_asked_again(evening, ways) -> None:
    with Ledger(evening.ledger_path) as ledger:
        first = evening.session(ledger)
        first.open("A. Adams")
        ways.walk_on(first)
        everything = answered(first)
        evening.clock.at = MORNING
        second = evening.session(ledger)
        assert second.open("A. Adams").resumed
        assert everything - answered(second) == AGAIN
        assert second.state.next_item().key == "mains"
        assert any(reason.startswith("Not answered: Mains leads") for reason in second.reasons())
        ways.walk_on(second)
        ways.poll_all(second)
        assert second.reasons() == []
        third = evening.session(ledger)
        assert third.open("A. Adams").resumed
        assert answered(third) == everything  # answered today: nothing is asked a third time


def test_it_is_said_in_words_at_the_start_and_history_has_the_dates(evening, ways) -> None:
    evening.clock.at = datetime.now().astimezone() - timedelta(days=3)
    with Ledger(evening.ledger_path) as ledger:
        session = evening.session(ledger)
        session.open("A. Adams")
        ways.walk_on(session)
    evening.clock.at = datetime.now().astimezone()
    shown = " ".join(evening.run(["q"], "--by", "A. Adams").stdout.split())
    assert "Answered on another day: 6 items and calls" in shown
    assert "They are asked again today; the rest is kept." in shown
    assert "▶ Mains leads: whole" in shown
    told = evening.run([], "1", check="history").stdout
    lines = [line.strip() for line in told.splitlines()]
    days = [(datetime.now().astimezone() - timedelta(days=back)).date().isoformat() for back in (3, 0)]
    assert [line for line in lines if line in days] == days
    assert "6 asked again, being of another day, by A. Adams" in told


def test_a_walk_of_one_day_has_no_dates_between_its_lines(evening, ways) -> None:
    evening.clock.at = datetime.now().astimezone().replace(hour=12)
    with Ledger(evening.ledger_path) as ledger:
        session = evening.session(ledger)
        session.open("A. Adams")
        ways.walk_on(session)
    told = evening.run([], "1", check="history").stdout
    assert evening.clock.at.date().isoformat() not in [line.strip() for line in told.splitlines()]


def test_a_walk_over_midnight_is_one_evenings(evening, ways) -> None:
    evening.clock.at = datetime(2026, 11, 28, 23, 40, tzinfo=UTC)
    with Ledger(evening.ledger_path) as ledger:
        session = evening.session(ledger)
        session.open("A. Adams")
        ways.walk_on(session)
        everything = answered(session)
        evening.clock.at += timedelta(hours=2)
        later = evening.session(ledger)
        later.open("A. Adams")
        assert answered(later) == everything
        evening.clock.at += SAME_DAY
        much_later = evening.session(ledger)
        much_later.open("A. Adams")
        assert everything - answered(much_later) == AGAIN


def test_a_terminal_left_open_overnight_asks_again_too(evening, ways) -> None:
    with Ledger(evening.ledger_path) as ledger:
        session = evening.session(ledger)
        session.open("A. Adams")
        ways.walk_on(session)
        everything = answered(session)
        evening.clock.at = MORNING
        session.poll("stage", "go", "go")
        text = ways.typed(session, ["q"]).text
        assert "Answered on another day: 6 items and calls" in text
        assert everything - answered(session) == AGAIN


def test_a_go_is_not_signed_on_what_was_seen_the_day_before(evening, ways) -> None:
    with Ledger(evening.ledger_path) as ledger:
        session = evening.session(ledger)
        session.open("A. Adams")
        ways.walk_on(session)
        ways.poll_all(session)
        assert session.reasons() == []
        evening.clock.at = MORNING
        with pytest.raises(ChangedMeanwhileError):
            session.sign("L. Lead", wants_go=True, told=[])
        assert "Not answered: Mains leads: whole" in session.reasons()


def test_what_is_a_no_go_or_held_keeps_its_words_over_night(evening, ways) -> None:
    with Ledger(evening.ledger_path) as ledger:
        session = evening.session(ledger)
        session.open("A. Adams")
        session.answer(session.state.plan.by_key["mains"], ways.Given("no-go", seen="a torn plug"))
        evening.clock.at = MORNING
        later = evening.session(ledger)
        later.open("A. Adams")
        assert any("a torn plug" in reason for reason in later.reasons())


def test_of_a_clock_that_went_back_a_day_nobody_knows_the_day(evening, ways) -> None:
    with Ledger(evening.ledger_path) as ledger:
        session = evening.session(ledger)
        session.open("A. Adams")
        ways.walk_on(session)
        everything = answered(session)
        evening.clock.at = EVENING - timedelta(days=2)
        later = evening.session(ledger)
        later.open("A. Adams")
        assert everything - answered(later) == AGAIN


def test_the_bundled_lists_ask_again_what_says_now(full_house, ways) -> None:
    for name in ("short-walk", "full-walk"):
        full_house.clock.at = datetime(2026, 11, 24, 19, 0, tzinfo=UTC)  # the rig says 2026-11-25
        with Ledger(full_house.ledger_path) as ledger:
            session = full_house.session(ledger, name)
            session.open("A. Adams", fresh=True)
            ways.walk_on(session)
            everything = answered(session)
            full_house.clock.at = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
            later = full_house.session(ledger, name)
            assert later.open("A. Adams").resumed
            again = {key.partition("/")[0] for key in everything - answered(later)}
            assert {"mains-leads", "walkways", "faders-before-power", "power-on", "phantom-on"} <= again
            kept = {key.partition("/")[0] for key in answered(later)}
            assert {"plugs", "lines" if name == "short-walk" else "line", "monitor-mix"} <= kept
