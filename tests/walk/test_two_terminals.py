"""What one terminal does while another answers: a no-go wins, and a line is taken for the question it was typed at."""

from __future__ import annotations

import os
import pty
from io import StringIO

import pytest

from lint.walk.screen import Screen

GO_ALL = ["g", "g", "g", "65", "g"]


@pytest.fixture
def both(small):
    with small.opened() as one, small.opened("B. Brown") as two:
        yield one, two


def test_a_no_go_wins_over_a_go_of_a_second_before(both, ways) -> None:
    one, two = both
    item = one.state.next_item()
    text = ways.typed(one, [lambda: two.answer(item, ways.Given("go")), "n amp buzzes", ""]).plain
    assert "NO-GO recorded" in text and "not recorded" not in text
    assert [(answer.answer, answer.by, answer.seen) for answer in one.state.given] == [
        ("go", "B. Brown", None),
        ("no-go", "A. Adams", "amp buzzes"),
    ]


def test_a_go_does_not_win_over_a_no_go_of_a_second_before(both, ways) -> None:
    one, two = both
    item = one.state.next_item()
    text = ways.typed(one, [lambda: two.answer(item, ways.Given("no-go", seen="buzzes")), "g"]).plain
    assert "Your answer was not recorded" in text
    assert "B. Brown (stage)" not in text, "told once"
    assert one.state.status(item) == "no-go"


def test_a_poll_gone_stale_is_taken_again_and_no_no_go_is_signed_silently(both, ways) -> None:
    one, two = both
    level = one.state.plan.by_key["level"]

    def again() -> None:
        two.refresh()
        two.answer(level, ways.Given("go", 66))

    lines = [*GO_ALL, "g", "g", "g", again, "L. Lead", "g", "g", "g", "L. Lead"]
    shown = ways.typed(one, lines)
    assert "Nothing was signed: something was answered or changed on the way here." in shown.plain
    assert "B. Brown (house-mixer): 1 answered go meanwhile" in shown.plain
    assert shown.plain.count("The poll:") == 2
    assert shown.go is True
    assert shown.walker.signed.body["answers"][-2]["value"] == "66"


def test_a_change_during_the_poll_is_said_and_polled_again(both, ways) -> None:
    one, two = both
    level = one.state.plan.by_key["level"]

    def again() -> None:
        two.refresh()
        two.answer(level, ways.Given("go", 66))

    shown = ways.typed(one, [*GO_ALL, "g", "g", again, "g", "g", "g", "g", "L. Lead", "g"])
    assert "after the poll began. All are asked again" in shown.plain
    assert shown.plain.count(" lead, go or no-go?") == 2
    assert shown.go is True


def test_who_is_not_the_lead_by_the_rig_is_asked_about_it(small, ways) -> None:
    small.write("extends: ../house.yaml\nevent: {name: Sunday}\ncrew: {lead: R. Adeyemi}\n")
    with small.opened() as session:
        shown = ways.typed(session, [*GO_ALL, "g", "g", "g", "Zed", "", "Zed", "y", "g"])
        assert shown.plain.count("R. Adeyemi is the lead in the rig; you are Zed: sign all the same?") == 2
        assert shown.go is True and shown.walker.signed.body["lead"] == "Zed"


def test_the_lead_of_the_rig_is_not_asked_twice(small, ways) -> None:
    small.write("extends: ../house.yaml\nevent: {name: Sunday}\ncrew: {lead: R. Adeyemi}\n")
    with small.opened() as session:
        shown = ways.typed(session, [*GO_ALL, "g", "g", "g", "r. adeyemi", "g"])
        assert shown.go is True and "sign all the same" not in shown.plain


def test_what_was_typed_ahead_is_forgotten() -> None:
    keyboard, terminal = pty.openpty()
    os.write(keyboard, b"g\ntyped for another question\n")
    with os.fdopen(terminal, encoding="utf-8") as source:
        screen = Screen(source, StringIO())
        assert screen.ask("> ") == "g"
        screen.forget_typed()
        os.write(keyboard, b"Zed\n")
        assert screen.ask("> ") == "Zed"
    os.close(keyboard)
