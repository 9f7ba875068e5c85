"""Thunder is heard on every list of the house, at every prompt of the end, and released on all by the one named."""

from __future__ import annotations

from datetime import timedelta

import pytest

from lint.record.ledger import Ledger

GO_ALL = ["g", "g", "g", "65", "g"]


@pytest.fixture
def house(small):
    small.clock.step = timedelta(seconds=1)
    return small


@pytest.fixture
def ledgers(house):
    with Ledger(house.ledger_path) as one, Ledger(house.ledger_path) as other:
        yield one, other


@pytest.fixture
def session(house, ledgers):
    opened = house.session(ledgers[0])
    opened.open("A. Adams")
    return opened


def test_another_list_that_is_under_way_is_held_and_released_with_it(house, ledgers, session, ways) -> None:
    close = house.session(ledgers[1], "close-down")
    close.open("C. Clark")
    session.thunder("M. Okafor")
    shown = ways.typed(close, ["g"])
    assert "Thunder hold, heard" in shown.text and "only M. Okafor releases it" in shown.text
    assert close.state.given == []
    house.clock.at += timedelta(minutes=31)
    session.all_clear("M. Okafor")
    close.refresh()
    assert close.state.thunder_hold is None
    assert len(close.state.thunder_holds) == 1
    session.refresh()
    assert len(session.state.thunder_holds) == 1, "nothing goes to and fro"


def test_a_later_thunder_on_one_list_restarts_the_time_on_the_other(house, ledgers, session) -> None:
    """R22."""
    close = house.session(ledgers[1], "close-down")
    close.open("C. Clark")
    session.thunder("M. Okafor")
    close.refresh()
    house.clock.at += timedelta(minutes=20)
    close.thunder()
    house.clock.at += timedelta(minutes=20)
    with pytest.raises(ValueError, match="not before"):
        session.all_clear("M. Okafor")


def test_a_list_that_is_begun_or_resumed_in_a_hold_is_in_it(house, ledgers, session, ways) -> None:
    close = house.session(ledgers[1], "close-down")
    close.open("C. Clark")
    session.thunder("M. Okafor")
    close.answer(close.state.next_item(), ways.Given("hold"))
    resumed = house.session(ledgers[1], "close-down")
    resumed.open("C. Clark")
    begun = house.session(ledgers[1], "short-walk")
    begun.open("C. Clark")
    for opened in (resumed, begun):
        assert opened.state.thunder_hold.releases == "M. Okafor"


def test_a_hold_that_was_forgotten_yesterday_holds_nothing_today(house, ledgers, session) -> None:
    session.thunder("M. Okafor")
    house.clock.at += timedelta(hours=25)
    begun = house.session(ledgers[1], "short-walk")
    begun.open("C. Clark")
    assert begun.state.thunder_hold is None


def test_no_go_is_signed_over_thunder_on_another_list(house, ledgers, session, ways) -> None:
    ways.walk_on(session)
    ways.poll_all(session)
    assert session.reasons() == []
    close = house.session(ledgers[1], "close-down")
    close.open("C. Clark")
    close.thunder("M. Okafor")
    assert session.sign("L. Lead", wants_go=True).body["verdict"] == "no-go"


def test_thunder_is_taken_in_the_poll(session, ways) -> None:
    shown = ways.typed(session, [*GO_ALL, "g", "thunder M. Okafor"])
    text = shown.text[shown.text.index("The poll:") :]
    assert "Thunder recorded." in text and "only M. Okafor releases it" in " ".join(text.split())
    assert session.state.thunder_hold is not None
    assert not session.state.poll_counts("stage")


def test_thunder_is_taken_at_the_signature(session, ways) -> None:
    shown = ways.typed(session, [*GO_ALL, "g", "g", "g", "thunder M. Okafor"])
    assert "only M. Okafor releases it" in " ".join(shown.text.split())
    assert shown.walker.signed is None
    assert session.state.thunder_hold.releases == "M. Okafor"


def test_thunder_is_taken_where_a_role_is_done(house, ledgers, session, ways) -> None:
    stage = house.session(ledgers[1])
    stage.open("S. Stage", role="stage")
    shown = ways.typed(stage, ["g", "g", "thunder M. Okafor"], role="stage")
    assert "Everything of the stage is answered." in shown.text
    assert "only M. Okafor releases it" in " ".join(shown.text.split())
    assert "Thunder hold" in ways.typed(session, ["g"]).text, "and the lead's terminal is held"
