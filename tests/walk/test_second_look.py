"""Killer items are looked at by a second person, who is not told the first answer."""

from __future__ import annotations

import pytest

from lint.record.ledger import Ledger

BANK = "bank/west-box"
SECOND = f"second/{BANK}"


@pytest.fixture
def pair(small):
    small.edit("killer: true, second_person: false", "killer: true", "checklists/full-walk.yaml")
    return small


@pytest.fixture
def session(pair):
    with Ledger(pair.ledger_path) as ledger:
        opened = pair.session(ledger)
        opened.open("A. Adams")
        yield opened


def test_a_second_look_follows_every_killer_item_before_the_call(session) -> None:
    assert [item.key for item in session.state.plan.items if item.phase == 0] == [
        BANK,
        "bank/east-box",
        SECOND,
        "second/bank/east-box",
        "completion-call/links",
    ]


def test_it_waits_for_the_first_answer_and_is_another_persons(session, ways) -> None:
    """R11: another named person, later."""
    first, second = session.state.plan.by_key[BANK], session.state.plan.by_key[SECOND]
    assert session.state.status(second) == "waiting"
    with pytest.raises(ValueError, match="another person's, after the first"):
        session.answer(second, ways.Given("go"), "B. Brown")
    session.answer(first, ways.Given("go"))
    assert session.state.status(second) == "open"
    with pytest.raises(ValueError, match="another person's"):
        session.answer(second, ways.Given("go"), "a. adams")
    session.answer(second, ways.Given("go"), "B. Brown")
    assert session.state.status(second) == "go"
    assert session.state.answers[SECOND].by == "B. Brown"


def test_the_second_is_not_told_the_first_answer(session, ways) -> None:
    """R11: blind entry."""
    shown = ways.typed(session, ["g", "g", "B. Brown"]).text
    asked = shown[shown.index("A second look is due") :]
    assert "Second look, by B. Brown" in asked
    assert "GO" not in asked.replace("NO-GO", "") and "A. Adams" not in asked and "Answered" not in asked


def test_a_difference_is_a_no_go_until_both_agree(session, ways) -> None:
    """R11: mismatch."""
    shown = ways.typed(session, ["g", "g", "B. Brown", "n stands at 9–16", "turned it", "n really", "", "g", "g", "g"])
    assert "The second look differs: stands at 9–16 (second look, by B. Brown)" in " ".join(shown.text.split())
    given = [(answer.item, answer.answer, answer.by) for answer in session.state.given]
    assert given[:5] == [
        (BANK, "go", "A. Adams"),
        ("bank/east-box", "go", "A. Adams"),
        (SECOND, "no-go", "B. Brown"),
        (BANK, "no-go", "A. Adams"),
        (BANK, "go", "A. Adams"),
    ]
    assert given[5:] == [(SECOND, "go", "B. Brown"), ("second/bank/east-box", "go", "B. Brown")]
    assert session.state.differs == {}


def test_a_difference_stands_against_a_go(session, ways) -> None:
    first, second = session.state.plan.by_key[BANK], session.state.plan.by_key[SECOND]
    session.answer(first, ways.Given("go"))
    session.answer(second, ways.Given("no-go", seen="9–16"), "B. Brown")
    assert session.state.status(first) == "no-go"
    reason = "No-go: west-box, output bank: 1–8 — seen: 9–16 (second look, by B. Brown)"
    assert session.reasons().count(reason) == 1
    assert session.sign("L", wants_go=True).body["verdict"] == "no-go"


def test_a_new_first_answer_wants_a_new_second(session, ways) -> None:
    first, second = session.state.plan.by_key[BANK], session.state.plan.by_key[SECOND]
    session.answer(first, ways.Given("go"))
    session.answer(second, ways.Given("go"), "B. Brown")
    session.answer(first, ways.Given("go"))
    assert session.state.status(second) == "open"


def test_where_there_is_nobody_else_that_is_said_and_stays_on_record(session, ways) -> None:
    """One entry each, each with its reason; the lead is told before the poll."""
    lines = ["g", "g", "x walking alone", "x", "", "g", "65", "g"]
    text = ways.typed(session, lines).text
    reasons = [answer.reason for answer in session.state.given if answer.answer == "not-applicable"]
    assert reasons == ["walking alone", "walking alone"]
    assert "No second look: west-box, output bank: 1–8 — walking alone" in text


def test_the_first_person_is_no_second_one(session, ways) -> None:
    text = ways.typed(session, ["g", "g", "A. Adams", "g", "", "B. Brown"]).text
    assert "“A. Adams” is not a second person." in text
    assert "“g” is not a second person." in text
    assert "Second look, by B. Brown" in text


def test_another_terminal_may_look_second(pair, session, ways) -> None:
    ways.typed(session, ["g", "g"])
    with Ledger(pair.ledger_path) as ledger:
        other = pair.session(ledger)
        other.open("B. Brown", role="stage")
        text = ways.typed(other, ["g"], role="stage").text
    assert "Second look, by B. Brown" in text
    session.refresh()
    assert session.state.answers[SECOND].by == "B. Brown"


def test_second_looks_come_before_what_they_guard_and_a_hold_holds_it_back(full_house, ways) -> None:
    with Ledger(full_house.ledger_path) as ledger:
        session = full_house.session(ledger, "short-walk")
        session.open("A. Adams")
        keys = [item.key for item in session.state.plan.items]
        assert keys.index("second/mains-leads") < next(at for at, key in enumerate(keys) if key.startswith("power-on"))
        plan = session.state.plan.by_key
        session.answer(plan["mains-leads"], ways.Given("hold"))
        session.answer(plan["faders-before-power"], ways.Given("go"))
        walkways = plan["walkways"]
        assert session.state.held_back_by(walkways) is plan["mains-leads"]
        assert session.state.next_item() is plan["mains-leads"]
        session.answer(plan["mains-leads"], ways.Given("hold"))
        assert session.state.next_item().phase > 0
        shown = ways.typed(session, ["o", "1"]).text
        assert "mains plug" in shown
        session.answer(plan["mains-leads"], ways.Given("go"))
        session.answer(plan["second/mains-leads"], ways.Given("go"), "B. Brown")
        assert session.state.held_back_by(walkways) is None
