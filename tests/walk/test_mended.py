"""What a hurried crew stumbled over: keys at word prompts, counts, disagreements, impossible values, hunts."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest

from lint.record.ledger import Ledger
from lint.walk.meanwhile import AnsweredMeanwhileError


@pytest.fixture
def session(house):
    house.one_phase(
        '{id: bank, role: stage, killer: true, challenge: "Bank: 1–8"}',
        '{id: battery, role: wireless, measure: {unit: "%", min: 80, max: 100}, challenge: "Battery: 80 to 100 %"}',
        '{id: covers, role: stage, challenge: "Covers: on"}',
    )
    with house.opened() as opened:
        yield opened


def test_a_percentage_above_a_hundred_is_a_slip_of_the_finger(session, ways) -> None:
    text = ways.typed(session, ["g", "B. Brown", "g", "101", "v -1", "95"]).plain
    assert text.count("can't be: a percentage goes from 0 to 100. Nothing was recorded.") == 2
    assert [answer.value for answer in session.state.given if answer.item == "battery"] == ["95"]


def test_a_low_value_offers_no_hunt(session, ways) -> None:
    text = ways.typed(session, ["g", "B. Brown", "g", "40", ""]).text
    assert "rigwalk hunt" not in text


def test_a_key_at_a_word_prompt_is_a_key(session, ways) -> None:
    shown = ways.typed(session, ["n", "b", "it says 9–16", "g", "cured"])
    assert session.state.given[0].seen == "it says 9–16"
    assert session.state.cures == {"bank": "cured"}
    assert shown.plain.count("is a key, and here words are asked for") == 2


def test_stop_at_a_word_prompt_stops(session, ways) -> None:
    shown = ways.typed(session, ["n", "q", "never read"])
    assert shown.go is None
    assert session.state.given[0].answer == "no-go" and not session.state.given[0].seen


def test_a_name_typed_wrongly_is_asked_for_again(session, ways) -> None:
    ways.typed(session, ["g", "B. Brwn", "who", "B. Brown", "g"])
    assert session.state.answers["second/bank"].by == "B. Brown"


def test_a_disagreement_is_settled_by_one_who_looked(session, ways) -> None:
    lines = [
        "g",
        "B. Brown",
        "n at 9–16",
        "",
        "C. Clark and D. Dean",
        "C. Clark and B. Brown",
        "g",
        "Adams had misread",
    ]
    text = ways.typed(session, lines).plain
    assert "A. Adams or B. Brown must be one of the two" in text
    assert session.state.answers["bank"].people == "C. Clark and B. Brown"
    assert session.state.cures["bank"] == "Adams had misread"


def test_the_counts_of_every_phase_add_up(session, ways) -> None:
    """Done and left are the whole, at every step of the way."""
    for lines in ([], ["g", "B. Brown", "g"], ["40", ""], ["h lunch"]):
        text = ways.typed(session, [*lines, "p"]).plain
        done, whole, left = re.findall(r"1 Links: (\d) of (\d), left: ([^○]*?)(?: [▶>]| Open| g go|$)", text)[-1]
        counted = sum(map(int, re.findall(r" (\d)(?=,|$| )", left.split(" > ")[0]))) + left.count("the call")
        assert int(done) + counted == int(whole), (lines, left)


def test_open_lists_the_item_on_the_screen_too(session, ways) -> None:
    text = ways.typed(session, ["o", ""]).text
    assert re.search(r"1 ○ open: Bank: 1–8", text)
    assert "1 second looks come after their first." in text


def test_a_role_stopped_by_its_own_held_item_opens_it(session, ways) -> None:
    text = ways.typed(session, ["h the key of the box", "o", "1", "g", "q"], role="stage").plain
    assert session.state.answers["bank"].answer == "go"
    assert "▶ Bank: 1–8" in text


def test_the_hunt_that_is_offered_is_one_that_works(full_house) -> None:
    from lint.cli.walk import _aids
    from lint.hunt.target import target_of

    with Ledger(full_house.ledger_path) as ledger:
        session = full_house.session(ledger)
        aids = _aids(full_house.rig, session)
        signals = {item.subject.signal for item in session.state.plan.items if item.subject.signal}
    assert aids.hunt("west-box") == "", "a box is no signal"
    offered = [signal for signal in signals if aids.hunt(signal)]
    assert len(offered) > 5
    for signal in offered:
        assert target_of(session.basis.checked.resolved, signal)


def test_the_lead_accepts_a_measured_no_go_with_a_reason(session, ways) -> None:
    """It is a go that says so wherever it is told; what nothing starts without is never accepted."""
    lines = ["accept hurry", "g", "B. Brown", "g", "70", "", "g", "g"]
    shown = ways.typed(session, [*lines, "o battery", "accept spare set in the pocket", "L. Lead"])
    assert "Only a measured no-go is accepted" in shown.plain
    answer = session.state.answers["battery"]
    assert (answer.answer, answer.value, answer.by) == ("go", "70", "L. Lead")
    ways.walk_on(session)
    ways.poll_all(session)
    body = session.sign("L. Lead", wants_go=True).body
    assert body["verdict"] == "go"
    assert body["accepted"] == [
        "Battery: 80 to 100 % — 70 %, expected 80 to 100 % (accepted: spare set in the pocket, by L. Lead)"
    ]


def test_a_value_that_was_measured_anew_is_not_accepted_for_another(house, session, ways) -> None:
    """The lead accepts what was shown; another terminal's later reading is not put aside by that."""
    ways.typed(session, ["g", "B. Brown", "g", "70", "", "g", "g"])
    battery = session.state.plan.by_key["battery"]
    with house.opened("C. Chen") as other:
        other.answer(battery, ways.Given("no-go", Decimal(40)))
    with pytest.raises(AnsweredMeanwhileError):
        session.accept(battery, "L. Lead", "spare set in the pocket")
    assert (session.state.answers["battery"].answer, session.state.answers["battery"].value) == ("no-go", "40")
    session.accept(battery, "L. Lead", "spare set in the pocket")
    assert session.state.answers["battery"].answer == "go"


def test_a_measured_no_go_says_its_value_once(session, ways) -> None:
    text = ways.typed(session, ["g", "B. Brown", "g", "50", "", "g", "g", "1"]).plain
    assert "NO-GO: 50 %, expected 80 to 100 % (by" in text
    assert "NO-GO 50: 50 %" not in text
