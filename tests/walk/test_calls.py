"""A completion call is not said over what is open, held or a no-go in its phase: that is named, and turned to (R07)."""

from __future__ import annotations

from io import StringIO

import pytest

from lint.record.ledger import Ledger
from lint.walk.meanwhile import NotCompleteError
from lint.walk.screen import Screen, StoppedError
from lint.walk.terminal import Walker

LIST = {
    "links": [
        '{id: bank, role: stage, killer: true, second_person: false, challenge: "Bank: 1–8"}',
        '{id: covers, role: stage, challenge: "Covers: on"}',
        '{id: level, role: stage, measure: {unit: dB, max: 70}, challenge: "Level: at most 70 dB"}',
    ],
    "doors": [
        '{id: door, role: house-mixer, challenge: "Doors: shut"}',
    ],
}
CALL = "completion-call/links"


@pytest.fixture
def session(house):
    house.phases(**LIST)
    with Ledger(house.ledger_path) as ledger:
        opened = house.session(ledger)
        opened.open("A. Adams")
        yield opened


def status(session, key: str) -> str:
    return session.state.status(session.state.plan.by_key[key])


@pytest.mark.parametrize("answers", [["n torn", "", "60"], ["h the ladder", "60", "h the ladder"]])
def test_it_names_what_is_not_settled_and_goes_on_without_the_call(session, ways, answers) -> None:
    shown = ways.typed(session, ["g", *answers, "", "g", "q"])
    text = " ".join(shown.text.split())
    assert "“Links complete” is not said now, for what is not settled there:" in text
    assert "▶ Say aloud: “Links complete”" not in text
    assert text.count("is not said now") == 1
    assert status(session, CALL) == "open" and status(session, "door") == "go"


def test_from_there_it_is_turned_to_and_the_call_follows(session, ways) -> None:
    shown = ways.typed(session, ["g", "n torn", "", "60", "1", "g", "sewn", "g"])
    text = shown.text
    assert text.index("is not said now") < text.rindex("▶ Covers: on") < text.index("▶ Say aloud: “Links complete”")
    assert status(session, CALL) == "go"
    assert session.state.cures == {"covers": "sewn"}


def test_what_is_accepted_or_does_not_apply_is_settled(session, ways) -> None:
    shown = ways.typed(session, ["g", "x no covers here", "75", "", "1", "accept the hall is empty", "L. Lead"])
    assert shown.text.count("is not said now") == 1
    assert session.state.next_item().key == CALL


@pytest.mark.parametrize("late", ["n torn", "h the ladder"])
def test_it_is_said_anew_after_something_in_it_is_not_settled_again(session, ways, late) -> None:
    ways.typed(session, ["g", "g", "60", "g", "g"])
    text = ways.typed(session, ["o covers", late, "", "o covers", "g", "", "g", "g"]).plain
    assert text.count("▶ Say aloud: “Links complete”") == 1
    assert "A. Adams said so at " in text and "; since then something was open or a no-go again." in text
    assert status(session, CALL) == "go"


def test_the_last_call_waits_for_every_phase_and_is_said_anew_after_any_of_them(session, ways) -> None:
    last = "completion-call/doors"
    text = ways.typed(session, ["g", "n torn", "", "60", "", "g", "q"]).plain
    assert "▶ Say aloud: “Doors complete”" not in text
    assert "Not ready for the poll. These keep a go away: 1 ✗ no-go: Covers: on" in text
    with pytest.raises(NotCompleteError, match="not complete: “Covers: on”"):
        session.answer(session.state.plan.by_key[last], ways.Given("go"))
    ways.typed(session, ["1", "g", "sewn", "g", "g"])
    assert status(session, CALL) == status(session, last) == "go"
    session.answer(session.state.plan.by_key["level"], ways.Given("go", 75))
    assert status(session, CALL) == status(session, last) == "open"
    session.answer(session.state.plan.by_key["level"], ways.Given("go", 65))
    assert session.state.next_item().key == CALL


def test_the_walk_is_not_ready_without_it(session, ways) -> None:
    text = " ".join(ways.typed(session, ["g", "n torn", "", "60", "", "g", "g", "q"]).text.split())
    assert "Not ready for the poll. These keep a go away: 1 ✗ no-go: Covers: on" in text
    assert "Not answered: Say aloud: “Links complete”" in session.reasons()


def test_a_call_over_what_another_terminal_said_meanwhile_is_refused(house, session, ways) -> None:
    for key in ("bank", "covers", "level"):
        session.answer(session.state.plan.by_key[key], ways.Given("go", 60 if key == "level" else None))
    call, covers = session.state.plan.by_key[CALL], session.state.plan.by_key["covers"]
    with Ledger(house.ledger_path) as another:
        other = house.session(another)
        other.open("S. Stage")
        other.answer(covers, ways.Given("no-go", seen="torn"))
        shown = StringIO()
        walker = Walker(session, Screen(StringIO("g\n"), shown), None)
        walker.ask(call, may_leave=False)
        with pytest.raises(NotCompleteError, match="not complete: “Covers: on”"):
            session.answer(call, ways.Given("go"))
    assert "The call was not recorded, not complete: “Covers: on”." in shown.getvalue()
    assert status(session, CALL) == "open"


def test_the_lead_at_a_terminal_of_their_own_is_told_what_it_waits_for(house, session, ways) -> None:
    """By role: the phase is named with who has what is left."""
    plan = session.state.plan.by_key
    session.answer(plan["bank"], ways.Given("go"))
    session.answer(plan["covers"], ways.Given("no-go", seen="torn"))
    session.answer(plan["level"], ways.Given("go", 60))
    with Ledger(house.ledger_path) as another:
        lead = house.session(another)
        lead.open("L. Lead", role="lead")
        walker = Walker(lead, Screen(StringIO(""), shown := StringIO()), "lead")
        with pytest.raises(StoppedError):
            walker.run()
    assert "Say aloud: “Links complete”" not in shown.getvalue()
    assert "Links" in shown.getvalue() and "stage 1" in shown.getvalue()


def test_the_last_call_waits_for_a_call_that_was_a_no_go(house, ways) -> None:
    house.checklist(
        """\
checklist_format: 1
title: Two phases
phases:
  - {id: one, title: One, mode: do-confirm, completion: One complete, items: [{id: a, role: stage, challenge: "A: done"}]}
  - {id: two, title: Two, mode: do-confirm, completion: All complete, items: [{id: b, role: stage, challenge: "B: done"}]}
"""
    )
    with Ledger(house.ledger_path) as ledger:
        session = house.session(ledger)
        session.open("A. Adams")
        ways.typed(session, ["g", "n not yet heard", "", "g", "q"])
        calls = [item for item in session.state.plan.items if item.is_call]
        assert [session.state.status(call) for call in calls] == ["no-go", "open"]
        assert calls[0] in session.state.waits(calls[1].phase)
