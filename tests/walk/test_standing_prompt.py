"""A prompt that is left standing at one terminal while the other goes on: nothing is asked or recorded twice."""

from __future__ import annotations

import pytest


@pytest.fixture
def three(house):
    house.one_phase(
        '{id: bank, role: stage, killer: true, challenge: "Bank: 1–8"}',
        '{id: plain, role: stage, challenge: "Covers: on"}',
    )
    with house.opened("Vera") as vera, house.opened("Tom") as tom, house.opened("Una") as una:
        yield vera, tom, una


def look(session, by: str, answer: str, ways, together: str = "") -> None:
    session.refresh()
    plan = session.state.plan.by_key
    item = plan["bank"] if together else plan["second/bank"]
    session.answer(item, ways.Given(answer, seen="it says 9–16"), by, together)


def test_a_second_look_given_elsewhere_is_not_asked_for_again(three, ways) -> None:
    vera, tom, _ = three
    text = ways.typed(vera, ["g", lambda: look(tom, "Tom", "go", ways), "Una", "q"]).plain
    assert "Somebody has looked there meanwhile; nothing was recorded here." in text
    assert "Second look, by Una" not in text and "▶ Covers: on" in text


def test_later_said_of_what_was_settled_elsewhere_is_told_so(three, ways) -> None:
    vera, tom, _ = three
    settle = lambda: look(tom, "Vera", "go", ways, "Tom")  # noqa: E731
    text = ways.typed(vera, ["g", "Tom", "n it says 9–16", "turned it", settle, "h", "q"]).plain
    assert "That was settled, or looked at anew, meanwhile; nothing was recorded here." in text
    assert "stays a no-go until both have looked again" not in text


def test_everybody_who_looked_is_shown(three, ways) -> None:
    vera, tom, una = three
    vera.answer(vera.state.plan.by_key["bank"], ways.Given("go"))
    look(tom, "Tom", "go", ways)
    look(una, "Una", "no-go", ways)
    text = ways.typed(vera, ["q"]).plain
    assert "3 people saw different things at: Bank: 1–8" in text
    assert text.index("Vera: ✓ GO") < text.index("Tom: ✓ GO") < text.index("Una: ✗ NO-GO: it says 9–16")


def test_later_at_the_last_that_is_left_says_why_it_is_asked_again(house, ways) -> None:
    house.one_phase('{id: plain, role: stage, challenge: "Covers: on"}')
    with house.opened("Vera") as vera:
        text = ways.typed(vera, ["h", "the ladder", "q"]).plain
        assert "Nothing else is left to ask before it, so here it is again." in text
