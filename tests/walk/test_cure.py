"""What was done about a no-go is asked whenever it becomes a go, whoever said the no-go and whenever."""

from __future__ import annotations

from lint.handover.walked import failures
from lint.record.ledger import Ledger
from lint.record.walks import past_walks

BANK = "bank/west-box"
IN_POLL = "It was a no-go. What was it, or what was done about it?"
ASKED = "What was it, or what was done about it?"


def bank(session):
    return session.state.plan.by_key[BANK]


def test_it_is_asked_where_the_no_go_was_said_at_another_terminal(small, session, ledger, ways) -> None:
    with Ledger(small.ledger_path) as another:
        other = small.session(another)
        other.open("S. Stage", role="stage")
        other.answer(bank(other), ways.Given("no-go", seen="stands at 9–16"))
    shown = ways.typed(session, ["g", "g", "turned it"])
    assert ASKED in shown.text and "Cure recorded." in shown.text
    assert session.state.cures[BANK] == "turned it"
    [failure] = failures(past_walks(ledger, ledger.verify())[-1])
    assert (failure.settled, failure.cure) == (True, "turned it")


def test_it_is_asked_in_a_later_session_and_from_the_list_of_open_items(small, session, ways) -> None:
    ways.typed(session, ["n stands at 9–16", "", "", "q"])
    with Ledger(small.ledger_path) as another:
        later = small.session(another)
        later.open("A. Adams")
        shown = ways.typed(later, ["", "o west-box", "g", "turned it", "q"])
    assert shown.text.count(ASKED) == 1
    assert later.state.cures[BANK] == "turned it"


def test_a_hold_in_between_takes_nothing_away(session, ways) -> None:
    ways.typed(session, ["n stands at 9–16", "", "h the ladder", "g"])
    text = ways.typed(session, ["g", "turned it", "q"]).text
    assert ASKED in text
    assert session.state.cures[BANK] == "turned it"


def test_a_measured_value_that_is_one_of_these_is_asked_too(session, ways) -> None:
    ways.typed(session, ["g", "g", "g", "75", "", "q"])
    ways.typed(session, ["o level", "65", "turned down", "q"])
    assert session.state.cures["level"] == "turned down"


def test_it_is_not_asked_again_where_it_was_told_nor_where_nothing_was_wrong(session, ways) -> None:
    text = ways.typed(session, ["n stands at 9–16", "turned it", "g", "g", "g", "o west-box", "g", "q"]).text
    assert ASKED not in text


def test_a_second_no_go_is_cured_anew(session, ways) -> None:
    ways.typed(session, ["n stands at 9–16", "turned it", "g"])
    ways.typed(session, ["o west-box", "n turned back", "", "g", "taped it", "q"])
    assert session.state.cures[BANK] == "taped it"


def test_a_key_is_no_cure_and_enter_says_nothing(session, ways) -> None:
    text = ways.typed(session, ["n stands at 9–16", "", "g", "g", "", "q"]).text
    assert "“g” is a key, and here words are asked for" in text
    assert BANK not in session.state.cures
    assert session.state.status(bank(session)) == "go"


def test_a_no_go_in_the_poll_that_becomes_a_go_leaves_its_cure(small, session, ledger, ways) -> None:
    ways.typed(session, ["g", "g", "g", "65", "g", "g", "n a wedge hums", "L. Lead"])
    text = ways.typed(session, ["g", "g", "pulled the wedge's plug", "g", "L. Lead", "g"]).plain
    assert text.count(IN_POLL) == 1 and "Cure recorded." in text
    [failure] = failures(past_walks(ledger, ledger.verify())[-1])
    assert (failure.seen, failure.cure, failure.settled) == ("a wedge hums", "pulled the wedge's plug", True)
    assert "cure of what the house-mixer said no-go to in the poll: pulled the wedge's plug" in " ".join(
        small.run(["1"], "1", check="history").stdout.split()
    )


def test_a_no_go_of_the_poll_that_stands_is_open_in_the_handover(session, ledger, ways) -> None:
    ways.typed(session, ["g", "g", "g", "65", "g", "n", "smell of burning", "L. Lead"])
    [failure] = failures(past_walks(ledger, ledger.verify())[-1])
    assert (failure.seen, failure.settled) == ("smell of burning", False)
