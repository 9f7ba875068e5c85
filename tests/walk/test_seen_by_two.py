"""What two people saw of a killer item counts as theirs only where the second had the terminal and looked."""

from __future__ import annotations

import pytest

from lint.handover.walked import lacks
from lint.record.ledger import Ledger
from lint.record.walks import past_walks
from lint.walk.entry import exceptions_of

BANK = "bank/west-box"
SECOND = f"second/{BANK}"


@pytest.fixture
def session(pair):
    with pair.opened() as opened:
        yield opened


@pytest.mark.parametrize(
    ("first", "second", "seen"),
    [
        ("g", "x no such box", "not applicable, no such box (second look, by B. Brown)"),
        ("x no such box", "g", "go (second look, by B. Brown)"),
        ("x no such box", "n stands at 9–16", "stands at 9–16 (second look, by B. Brown)"),
    ],
)
def test_one_go_and_one_not_applicable_are_a_difference_that_both_settle(session, ways, first, second, seen) -> None:
    """R11: mismatch."""
    shown = ways.typed(session, [first, "g", "B. Brown", second, *([""] if second[0] == "n" else []), ""])
    text = " ".join(shown.text.split())
    assert "Two people saw different things at: west-box, output bank: 1–8" in text
    assert "Who looks, together? (Enter: A. Adams and B. Brown)" in text
    assert session.state.status(session.state.plan.by_key[BANK]) == "no-go"
    assert f"No-go: west-box, output bank: 1–8 — seen: {seen}" in session.reasons()
    ways.typed(session, ["", "g", "", "g"])
    assert session.state.differs == {}
    assert session.state.answers[BANK].people == "A. Adams and B. Brown"


def test_not_applicable_said_by_both_together_is_seen_by_two(session, ways) -> None:
    ways.typed(session, ["g", "g", "B. Brown", "x no such box", "", "x it is not here", "g", "g", "65", "g"])
    body = session.sign("L. Lead", wants_go=False).body
    assert body["killers_seen_by_two"] == 1
    assert exceptions_of(body) == "1 killer item not applicable, said by two; 2 of 3 items were looked at"


def test_not_applicable_twice_by_two_who_looked_is_seen_by_two(session, ways) -> None:
    ways.typed(session, ["x no such box", "g", "B. Brown", "x not on stage", "g", "g", "65", "g"])
    assert session.state.answers[SECOND].by == "B. Brown"
    assert session.sign("L. Lead", wants_go=False).body["killers_seen_by_two"] == 1


def test_nobody_there_is_no_second_look_whoever_types_it(small, session, ledger, ways) -> None:
    """At the terminal of somebody else, who looked at nothing."""
    ways.typed(session, ["x no such box", "g"])
    with Ledger(small.ledger_path) as another:
        other = small.session(another)
        other.open("C. Clark", role="stage")
        shown = ways.typed(other, ["x there is nobody", "x", ""], role="stage")
    assert "A second look is due" in shown.text
    session.refresh()
    assert session.state.answers[SECOND].by == "C. Clark"
    body = session.sign("L. Lead", wants_go=False).body
    assert body["killers_seen_by_two"] == 0
    row = "west-box, output bank: 1–8 — no such box (said by A. Adams alone, nobody else saw it)"
    assert body["killers_not_applicable"] == [row]
    assert exceptions_of(body).startswith("1 killer item not applicable, 1 said by one person alone")
    assert f"Not applicable: {row}" in lacks(past_walks(ledger, ledger.verify())[-1])
    told = " ".join(small.run([], "1", check="history").stdout.split())
    assert f"not applicable: {row}" in told
    assert "NOBODY LOOKED SECOND, by C. Clark" in told


def test_the_first_person_answers_no_second_look_by_not_applicable(session, ways) -> None:
    ways.typed(session, ["x no such box"])
    with pytest.raises(ValueError, match="another person's"):
        session.answer(session.state.plan.by_key[SECOND], ways.Given("not-applicable", reason="none"), "a adams")


def test_a_killer_without_a_second_look_that_does_not_apply_says_that_nobody_else_saw_it(house, ways) -> None:
    """`second_person: false`: in the closing list, the verdict and the record."""
    house.one_phase('{id: trips, role: stage, killer: true, second_person: false, challenge: "Device: trips"}')
    with Ledger(house.ledger_path) as ledger:
        session = house.session(ledger)
        session.open("A. Adams")
        shown = ways.typed(session, ["x none is fitted", "g", "g", "g", "L. Lead", "g"])
    text = " ".join(shown.text.split())
    assert "Not applicable: Device: trips — none is fitted; A. Adams alone says so" in text
    assert "The record will say: GO, 1 killer item not applicable, 1 said by one person alone; only 0 of 1" in text


# -- later -----------------------------------------------------------------------------------------------------


def test_later_puts_a_second_look_off_and_says_what_waits_for_it(session, ways) -> None:
    text = " ".join(ways.typed(session, ["g", "g", "h", "h", "B. Brown", "g", "B. Brown", "g"]).text.split())
    assert "What does it wait for?" not in text, "for somebody: that is known"
    assert "The second look is put off, and 0 items wait for it. It comes back at the end of this phase." in text
    assert [(answer.item, answer.answer) for answer in session.state.given[2:]] == [
        (SECOND, "hold"),
        ("second/bank/east-box", "hold"),
        (SECOND, "go"),
        ("second/bank/east-box", "go"),
    ]
    assert session.state.given[2].reason == "somebody to look second"


def test_later_where_nothing_else_can_be_asked_says_so(house, ways) -> None:
    with Ledger(house.ledger_path) as ledger:
        session = house.session(ledger, "short-walk")
        session.open("A. Adams")
        while not (item := session.state.next_item()).second_of:
            session.answer(item, ways.Given("go"))
        last = session.state.with_status("open")
        for second in [each for each in last if each.second_of][1:]:
            session.answer(second, ways.Given("go"), "B. Brown")
        text = " ".join(ways.typed(session, ["h"]).text.split())
    assert "items wait for it. Nothing else can be asked before it. Where that takes long, stop here (q)" in text


def test_later_at_a_difference_leaves_it_a_no_go(session, ways) -> None:
    shown = ways.typed(session, ["g", "g", "B. Brown", "n stands at 9–16", "", "h", "B. Brown", "g", "q"])
    assert "Left for later: it stays a no-go until both have looked again" in shown.text
    assert session.state.status(session.state.plan.by_key[BANK]) == "no-go"
    assert session.state.differs[BANK].seen == "stands at 9–16", "what was seen is still there"


def test_what_two_say_not_to_apply_was_looked_at_by_nobody(house, ways) -> None:
    house.one_phase('{id: trips, role: stage, killer: true, challenge: "Device: trips"}')
    with Ledger(house.ledger_path) as ledger:
        session = house.session(ledger)
        session.open("A. Adams")
        shown = ways.typed(session, ["x none is fitted", "B. Brown", "x none is here", "g", "g", "L. Lead", "g"])
    text = " ".join(shown.text.split())
    assert "GO, 1 killer item not applicable, said by two; only 0 of 1 items were looked at" in text


def test_a_call_is_said_or_not_and_can_not_be_said_not_to_apply(house, ways) -> None:
    house.one_phase('{id: trips, role: stage, challenge: "Device: trips"}')
    with Ledger(house.ledger_path) as ledger:
        session = house.session(ledger)
        session.open("A. Adams")
        shown = ways.typed(session, ["g", "x not here", "g"])
        calls = [answer for answer in session.state.given if session.state.plan.by_key[answer.item].is_call]
    assert "A call is said when all of it is settled, or it is not said: g or n." in " ".join(shown.text.split())
    assert [answer.answer for answer in calls] == ["go"]
