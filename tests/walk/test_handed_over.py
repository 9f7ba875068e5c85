"""Whoever is handed the terminal: cautions in full, and nothing of what the first person said."""

from __future__ import annotations

from io import StringIO
from itertools import pairwise

import pytest

from lint.walk.screen import Screen, StoppedError
from lint.walk.terminal import Walker

CAUTION = "CAUTION: A plug in the wrong socket thumps. It can harm hearing. Mute first."
NOTE = (
    "safety: {word: CAUTION, hazard: A plug in the wrong socket thumps, consequence: It can harm hearing, "
    "avoidance: Mute first}"
)


@pytest.fixture
def cautioned(house):
    house.one_phase(
        f'{{id: one, role: stage, killer: true, challenge: "Box one: 1–8", {NOTE}}}',
        f'{{id: two, role: stage, killer: true, challenge: "Box two: 9–16", {NOTE}}}',
    )
    return house


def challenges(text: str) -> list[tuple[str, bool]]:
    """Return each box that was shown, and whether its caution stood above it in full."""
    shown = [part.rsplit("CAUTION: ", 1) for part in text.split("▶ Box ")]
    return [(after[0][:3], before[-1].startswith("A plug")) for before, after in pairwise(shown)]


def test_a_second_person_has_the_caution_in_full_first(cautioned, ways) -> None:
    with cautioned.opened("Ann") as session:
        text = ways.typed(session, ["g", "g", "Bob", "g", "g"]).plain
    assert CAUTION in text
    assert challenges(text) == [("one", True), ("two", False), ("one", True), ("two", False)]


def test_another_second_person_and_the_first_come_back_have_it_anew(cautioned, ways) -> None:
    with cautioned.opened("Ann") as session:
        text = ways.typed(session, ["g", "g", "Bob", "who", "Cid", "n off", "turned", "", "o box one", "g"]).plain
    assert challenges(text)[2:4] == [("one", True), ("one", True)], "Bob, then Cid"
    assert challenges(text)[4] == ("one", True), "Ann and Cid together"


def test_another_terminal_and_a_resumed_walk_have_it_in_full(cautioned, ways) -> None:
    with cautioned.opened("Ann") as session:
        ways.typed(session, ["g"])
        with cautioned.opened("Bob") as other:
            assert challenges(ways.typed(other, []).plain) == [("two", True)]
        assert challenges(ways.typed(session, []).plain) == [("two", True)]


class Terminal(StringIO):
    """A target that is a terminal."""

    def isatty(self) -> bool:
        return True


def on_a_terminal(session, lines: str, plain: bool = False) -> str:
    shown = Terminal()
    with pytest.raises(StoppedError):
        Walker(session, Screen(StringIO(lines), shown, plain), None).run()
    return shown.getvalue()


def test_nothing_of_the_first_look_stands_on_the_screen_of_the_second(cautioned, ways, monkeypatch) -> None:
    """R11: neither the answer just given, nor what was answered before it was asked again."""
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setenv("LINES", "24")
    with cautioned.opened("Alex") as session:
        for key in ("one", "two"):
            session.answer(session.state.plan.by_key[key], ways.Given("go"))
        session.reopen([session.state.plan.by_key["one"], session.state.plan.by_key["two"]])
        shown = on_a_terminal(session, "g\ng\nTom\n")
    before, second = shown.split("A second look is due")
    assert (
        "Asked again: Alex answered at " in before
        and "and it may be otherwise by now." in before
        and "answered go" not in shown
    )
    assert before.endswith("\n" * 24), "a screen of nothing"
    assert "GO recorded" not in second and "Alex" not in second and "Asked again" not in second


def test_plain_mode_pushes_nothing_out_of_sight(cautioned) -> None:
    with cautioned.opened("Alex") as session:
        assert "\n\n\n" not in on_a_terminal(session, "g\ng\nTom\n", plain=True)
