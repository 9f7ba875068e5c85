"""What one terminal does while another answers: a no-go wins, and a line is taken for the question it was typed at."""

from __future__ import annotations

import os
import pty
from collections.abc import Callable
from io import StringIO

import pytest

from lint.record.ledger import Ledger
from lint.walk.screen import Screen, StoppedError
from lint.walk.terminal import Walker

GO_ALL = ["g", "g", "g", "65", "g"]


class Lines:
    """Typed lines, among them what somebody else does just before the next is typed."""

    def __init__(self, *lines: str | Callable[[], object]) -> None:
        self._lines = list(lines)

    def isatty(self) -> bool:
        return False

    def readline(self) -> str:
        while self._lines:
            line = self._lines.pop(0)
            if isinstance(line, str):
                return line + "\n"
            line()
        return ""


@pytest.fixture
def both(small):
    with Ledger(small.ledger_path) as ledger, Ledger(small.ledger_path) as other_ledger:
        one, two = small.session(ledger), small.session(other_ledger)
        one.open("A. Adams")
        two.open("B. Brown")
        yield one, two


def walked(session, *lines) -> tuple[str, bool | None, Walker]:
    shown = StringIO()
    walker = Walker(session, Screen(Lines(*lines), shown), None)
    try:
        go = walker.run()
    except StoppedError:
        go = None
    return " ".join(shown.getvalue().split()), go, walker


def test_a_no_go_wins_over_a_go_of_a_second_before(both, ways) -> None:
    one, two = both
    item = one.state.next_item()
    text, _, _ = walked(one, lambda: two.answer(item, ways.Given("go")), "n amp buzzes", "")
    assert "NO-GO recorded" in text and "not recorded" not in text
    assert [(answer.answer, answer.by, answer.seen) for answer in one.state.given] == [
        ("go", "B. Brown", None),
        ("no-go", "A. Adams", "amp buzzes"),
    ]


def test_a_go_does_not_win_over_a_no_go_of_a_second_before(both, ways) -> None:
    one, two = both
    item = one.state.next_item()
    text, _, _ = walked(one, lambda: two.answer(item, ways.Given("no-go", seen="buzzes")), "g")
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
    text, go, walker = walked(one, *lines)
    assert "Nothing was signed: something was answered or changed on the way here." in text
    assert "B. Brown (house-mixer): 1 answered go meanwhile" in text
    assert text.count("The poll:") == 2
    assert go is True
    assert walker.signed.body["answers"][-2]["value"] == "66"


def test_a_change_during_the_poll_is_said_and_polled_again(both, ways) -> None:
    one, two = both
    level = one.state.plan.by_key["level"]

    def again() -> None:
        two.refresh()
        two.answer(level, ways.Given("go", 66))

    text, go, _ = walked(one, *GO_ALL, "g", "g", again, "g", "g", "g", "g", "L. Lead", "g")
    assert "after the poll began. All are asked again" in text
    assert text.count(" lead, go or no-go?") == 2
    assert go is True


def test_who_is_not_the_lead_by_the_rig_is_asked_about_it(small) -> None:
    small.write("extends: ../house.yaml\nevent: {name: Sunday}\ncrew: {lead: R. Adeyemi}\n")
    with Ledger(small.ledger_path) as ledger:
        session = small.session(ledger)
        session.open("A. Adams")
        text, go, walker = walked(session, *GO_ALL, "g", "g", "g", "Zed", "", "Zed", "y", "g")
        assert text.count("R. Adeyemi is the lead in the rig; you are Zed: sign all the same?") == 2
        assert go is True and walker.signed.body["lead"] == "Zed"
        assert ledger.verify().broken is None


def test_the_lead_of_the_rig_is_not_asked_twice(small) -> None:
    small.write("extends: ../house.yaml\nevent: {name: Sunday}\ncrew: {lead: R. Adeyemi}\n")
    with Ledger(small.ledger_path) as ledger:
        session = small.session(ledger)
        session.open("A. Adams")
        text, go, _ = walked(session, *GO_ALL, "g", "g", "g", "r. adeyemi", "g")
        assert go is True and "sign all the same" not in text


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
