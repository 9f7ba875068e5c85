"""Two at two terminals on the same killer item: each answers unaware of the other, and that is the second look."""

from __future__ import annotations

from io import StringIO

import pytest

from lint.walk.screen import Screen, StoppedError
from lint.walk.terminal import Walker


@pytest.fixture
def both(house):
    house.one_phase(
        '{id: bank, role: stage, killer: true, challenge: "Bank: 1–8"}',
        '{id: plain, role: stage, challenge: "Covers: on"}',
    )
    with house.opened("Finn") as finn, house.opened("Sam") as sam:
        yield finn, sam


def test_what_was_answered_unaware_is_the_second_look(both, ways) -> None:
    finn, sam = both
    bank = finn.state.plan.by_key["bank"]
    text = ways.typed(finn, [lambda: sam.answer(bank, ways.Given("go")), "g"]).plain
    assert "Sam has looked here too: yours, given unaware of it, is the second look." in text
    assert "Sam answered this meanwhile" not in text and "A second look is due" not in text
    assert finn.state.answers["bank"].by == "Sam" and finn.state.answers["second/bank"].by == "Finn"
    assert "▶ Covers: on" in text


def test_a_no_go_given_unaware_is_a_second_look_that_differs(both, ways) -> None:
    finn, sam = both
    bank = finn.state.plan.by_key["bank"]
    text = ways.typed(finn, [lambda: sam.answer(bank, ways.Given("go")), "n", "it says 9–16", "", "q"]).plain
    assert "Words recorded." in text
    assert finn.state.differs["bank"].seen == "it says 9–16" and finn.state.differs["bank"].by == "Finn"
    assert finn.state.status(bank) == "no-go"
    assert "Two people saw different things at: Bank" in text


def test_nothing_of_a_first_look_is_told_before_the_second(both, ways) -> None:
    finn, sam = both
    bank, plain = finn.state.plan.by_key["bank"], finn.state.plan.by_key["plain"]
    for given in (ways.Given("go"), ways.Given("not-applicable", reason="no such box")):
        sam.answer(bank, given)
        text = ways.typed(finn, [""]).plain
        assert "Sam (stage): 1 answered meanwhile that a second person looks at next" in text
        assert "answered go" not in text and "no such box" not in text and "NOT APPLICABLE" not in text
    finn.answer(finn.state.plan.by_key["second/bank"], ways.Given("not-applicable", reason="none", unseen=True), "Finn")
    sam.answer(plain, ways.Given("go"))
    assert "Sam (stage): 1 answered go meanwhile" in ways.typed(finn, []).plain


def test_back_shows_no_other_persons_first_look(both, ways) -> None:
    finn, sam = both
    sam.answer(finn.state.plan.by_key["bank"], ways.Given("go"))
    finn.refresh()
    shown = StringIO()
    walker = Walker(finn, Screen(StringIO(), shown), None)
    with pytest.raises(StoppedError):
        walker.ask(finn.state.plan.by_key["bank"], may_leave=True)
    assert "Sam has answered; until the second look is in, that is told to nobody." in " ".join(
        shown.getvalue().split()
    )
    assert "Answered before" not in shown.getvalue()


def test_a_hold_is_no_look_and_is_told_nothing(both, ways) -> None:
    finn, sam = both
    bank = finn.state.plan.by_key["bank"]
    text = ways.typed(finn, [lambda: sam.answer(bank, ways.Given("go")), "h lunch"]).plain
    assert "Sam answered this meanwhile. Your answer was not recorded." in text
    assert "second/bank" not in finn.state.answers
