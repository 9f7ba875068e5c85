"""The end of a phase, the poll and the signature."""

from __future__ import annotations

from io import StringIO

import pytest

from lint.record.ledger import Ledger
from lint.walk.screen import Screen, StoppedError
from lint.walk.terminal import Walker

GO_ALL = ["g", "g", "g", "65", "g"]


def call(session, phase: int):
    return next(item for item in session.state.plan.items if item.is_call and item.phase == phase)


def test_a_phase_is_complete_only_when_its_call_was_said(session, ways) -> None:
    """R07."""
    ways.walk_on(session, 2)
    assert session.state.next_item() == call(session, 0)
    assert session.state.unfinished_phase(1) == 0
    ways.typed(session, ["h", "g"])
    assert session.state.unfinished_phase(1) is None
    assert session.state.status(call(session, 0)) == "go"


def test_one_answer_is_one_entry(session, ways) -> None:
    """R09: nothing is ticked in bulk."""
    shown = ways.typed(session, ["g all", "g 1-5", "gg", "g g g", "g"])
    assert [answer.item for answer in session.state.given] == ["bank/west-box"]
    assert "Go is said to one item at a time" in shown.text


def test_answers_faster_than_a_look_are_flagged(session, ways) -> None:
    """R10: under a second between question and answer, said before the poll and kept in the record."""
    shown = ways.typed(session, [*GO_ALL, "g", "g", "g", "L. Lead", "go"])
    assert "5 of 5 answers came within a second of the question" in " ".join(shown.text.split())
    assert shown.walker.signed.body["quick_answers"] == 5


def test_the_poll_is_in_a_fixed_order_the_lead_last(session, ways) -> None:
    """R12."""
    text = ways.typed(session, [*GO_ALL, "g", "g", "g"]).text
    places = [text.index(f"{role}, go or no-go?") for role in ("stage", "house-mixer", "lead")]
    assert places == sorted(places)


@pytest.mark.parametrize("said", [[""], ["n"], ["no-go, bank is off"]])
def test_silence_and_no_stop_the_poll(session, ways, said) -> None:
    """R12: silence is a no-go, and one no-go stops it."""
    why = [] if " " in said[0] else ["bank is off"]
    shown = ways.typed(session, [*GO_ALL, *said, *why, "L. Lead"])
    assert session.state.polls["stage"].said.endswith("bank is off"), "what was seen is on record"
    assert "One no-go stops the poll." in shown.text
    assert "house-mixer, go or no-go?" not in shown.text
    assert shown.walker.signed.body["verdict"] == "no-go"


def test_a_poll_is_stale_after_any_later_answer(session, ways) -> None:
    """R13: after a change to a killer item; here, after any."""
    ways.walk_on(session)
    ways.poll_all(session)
    assert session.reasons() == []
    session.answer(session.state.plan.by_key["bank/west-box"], ways.Given("go"))
    assert session.reasons() == [
        f"The {role} was polled before the latest answer or change: ask again"
        for role in ("stage", "house-mixer", "lead")
    ]
    ways.poll_all(session)
    session.answer(session.state.plan.by_key["level"], ways.Given("go", 65))
    assert len(session.reasons()) == 3


def test_what_is_waived_or_not_applicable_is_told_before_the_poll(session, ways) -> None:
    text = ways.typed(session, ["x no west box today", "g", "g", "65", "g"]).text
    assert text.index("Not applicable: west-box, output bank: 1–8 — no west box today") < text.index("The poll:")
    assert session.state.answers["bank/west-box"].reason == "no west box today"


def test_not_applicable_needs_a_reason(session, ways) -> None:
    """R14."""
    shown = ways.typed(session, ["x", "", "", "no box"])
    assert shown.text.count("A few words are needed here") == 2
    assert session.state.answers["bank/west-box"].reason == "no box"


def test_a_hold_asks_what_it_waits_for(session, ways) -> None:
    ways.typed(session, ["h", "the ladder", "h", ""])
    assert [answer.reason for answer in session.state.given] == ["the ladder", None]


def test_enter_goes_forward_again_after_steps_back(session, ways) -> None:
    shown = ways.typed(session, ["g", "g", "g", "b", "b", "", "", "65"])
    asked = [line for line in shown.text.splitlines() if "▶" in line]
    assert [line.strip() for line in asked] == [
        "▶ west-box, output bank: 1–8",
        "▶ east-box, output bank: 9–16",
        "▶ Say aloud: “Links complete”",
        "▶ Level: 60 to 70.5 dB",
        "▶ Say aloud: “Links complete”",
        "▶ east-box, output bank: 9–16",
        "▶ Say aloud: “Links complete”",
        "▶ Level: 60 to 70.5 dB",
        "▶ Say aloud: “Levels complete”",
    ]


def test_a_no_go_offers_the_path_of_its_signal_and_the_hunt(session) -> None:
    from lint.walk.terminal import Aids

    shown = StringIO()
    aids = Aids(lambda signal: f"path of {signal}", lambda signal: f"rigwalk hunt week.yaml {signal}")
    lines = StringIO("l\nn wrong\nl\nturned it\ng\n")
    with pytest.raises(StoppedError):
        Walker(session, Screen(lines, shown), None, aids).run()
    text = shown.getvalue()
    assert text.count("path of west-box") == 2
    assert "To find it step by step, at another terminal: rigwalk hunt week.yaml west-box" in text
    assert session.state.cures == {"bank/west-box": "turned it"}


def test_a_no_go_of_several_asks_which_and_records_what_it_is_about(full_house, ways) -> None:
    with Ledger(full_house.ledger_path) as ledger:
        session = full_house.session(ledger)
        session.open("A. Adams")
        item = session.state.plan.by_key["plugs/west-box/in/1-8"]
        while session.state.next_item() != item:
            asked = session.state.next_item()
            session.answer(asked, ways.Given("go"), "B. Brown" if asked.second_of else "")
        text = ways.typed(session, ["n", "1 and 4: swapped", "", "g"]).text
        assert "Which number, and what do you see, hear or read instead?" in text
        assert session.state.answers[item.key].seen == "1, 4: swapped"
        answer = next(entry.body for entry in session._entries if entry.kind == "seen")
        assert answer["seen"] == "1, 4: swapped"
        assert answer["about"] == ["lead-vocal", "west-box/in/1", "west-box", "ribbon", "west-box/in/4"]


@pytest.mark.parametrize("reason", [".", "no", "12 34", "a b c", "?!", "skip", "not applicable"])
def test_a_reason_has_a_word_of_three_letters(session, ways, reason) -> None:
    shown = ways.typed(session, [f"x {reason}", reason, "no box"])
    refused = shown.text.count("says nothing; a reason needs") + shown.text.count("is a key, and here words are asked")
    assert refused == 2
    assert session.state.answers["bank/west-box"].reason == "no box"
    with pytest.raises(ValueError, match="with a word in it"):
        session.answer(session.state.plan.by_key["bank/east-box"], ways.Given("not-applicable", reason=reason))


def test_a_killer_that_does_not_apply_is_listed_at_the_signature_and_in_the_record(session, ways) -> None:
    shown = ways.typed(session, ["x no west box", *GO_ALL[1:], "g", "g", "g", "L. Lead", "g"])
    line = "! Nothing starts without this, not applicable: west-box, output bank: 1–8 — no west box"
    text = " ".join(shown.text.split())
    assert text.index(line) > text.index("The poll:")
    assert shown.walker.signed.body["killers_not_applicable"] == [
        "west-box, output bank: 1–8 — no west box (said by A. Adams alone, nobody else saw it)"
    ]


def test_what_stands_against_a_go_is_not_pushed_off_the_screen_by_what_is_open(session, ways) -> None:
    session.answer(session.state.plan.by_key["bank/west-box"], ways.Given("no-go", seen="9-16"))
    text = " ".join(ways.typed(session, ["s", ""]).text.split())
    end = text[text.index("A go can't be signed:") :]
    assert "No-go: west-box, output bank: 1–8 — seen: 9-16" in end
    assert "Not answered: 4 items; the record holds them all" in end
    assert "Not answered: east-box" not in end


# -- the signature ---------------------------------------------------------------------------------------------


def test_the_lead_says_go_once_in_the_poll_and_signs_with_the_name(session, ways) -> None:
    shown = ways.typed(session, [*GO_ALL, "g", "g", "g", "L. Lead"])
    assert shown.go is True
    assert shown.text.count("go or no-go?") == 3, "each role once, the lead too"


@pytest.mark.parametrize("typed", [["n", "L. Lead"], ["n", "g", "n", "L. Lead"]])
def test_the_lead_may_still_say_no_go_at_the_signature(session, ways, typed) -> None:
    shown = ways.typed(session, [*GO_ALL, "g", "g", "g", *typed])
    assert shown.go is False
    assert shown.walker.signed.body["reasons"] == ["The lead, L. Lead, said no-go"]


@pytest.mark.parametrize("typed", ["", "g", "y", "go", "?"])
def test_a_key_pressed_by_habit_signs_nothing(session, ways, typed) -> None:
    shown = ways.typed(session, [*GO_ALL, "g", "g", "g", typed])
    assert shown.walker.signed is None


def test_a_poll_that_is_taken_again_says_why(session, small, ways) -> None:
    """R13: whatever changes, each role's go speaks of what stands."""
    ways.walk_on(session)
    with Ledger(small.ledger_path) as ledger:
        other = small.session(ledger)
        other.open("S. Stage")

        class Lines(StringIO):
            def readline(self, *_) -> str:
                line = super().readline()
                if line == "go, after a look\n":
                    other.answer(other.state.plan.by_key["level"], ways.Given("go", 66))
                return line

        shown = StringIO()
        with pytest.raises(StoppedError):
            Walker(session, Screen(Lines("g\ngo, after a look\ng\ng\ng\n"), shown), None).run()
    text = " ".join(shown.getvalue().split())
    assert "All are asked again: each says go to what stands now." in text
    assert text.count("stage, go or no-go?") == 2
    assert all(map(session.state.poll_counts, session.state.plan.roles))


def test_nobody_signs_a_close_down_that_leaves_the_house_otherwise(full_house, ways) -> None:
    """R18: nobody takes over, so what stays and what is in writing is answered, or it is a no-go."""
    with full_house.opened(checklist="close-down") as session:
        ways.walk_on(session)
        ways.poll_all(session)
        assert session.reasons() == []
        left = session.state.plan.by_key["left"]
        for given in (ways.Given("no-go", seen="the amplifier rack hums"), ways.Given("hold")):
            session.answer(left, given)
            ways.poll_all(session)
            assert any("The house as it is left alone" in reason for reason in session.reasons())
        assert session.sign("L. Lead", wants_go=True).body["verdict"] == "no-go"
