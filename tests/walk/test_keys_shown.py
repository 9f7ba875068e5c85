"""The keys that `?` shows: whole words, and together with the item on one screen of any width, or in pages."""

from __future__ import annotations

from io import StringIO

import pytest

from lint.record.ledger import Ledger
from lint.walk.keys import HELP
from lint.walk.screen import Screen, StoppedError
from lint.walk.terminal import Walker

MORE = "Enter: more · b: back to the item "


class Keyboard(StringIO):
    """Typed lines, as at a terminal."""

    def isatty(self) -> bool:
        return True


def asked_for_help(house, lines: str, plain: bool = False) -> str:
    """Return what stands on the screen after `?` at the first item."""
    shown = StringIO()
    with Ledger(house.ledger_path) as ledger:
        session = house.session(ledger)
        session.open("A. Adams")
        with pytest.raises(StoppedError):
            Walker(session, Screen(Keyboard(lines), shown, plain), None).run()
    return shown.getvalue().split("> ", 1)[1]


@pytest.mark.parametrize(("columns", "rows"), [(80, 24), (40, 20), (60, 15)])
def test_help_keeps_words_whole_and_fits_the_screen_with_the_item(full_house, monkeypatch, columns, rows) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    monkeypatch.setenv("LINES", str(rows))
    pages = asked_for_help(full_house, "?\n" + "\n" * 10).split("\n> ")[0].split(MORE)
    assert len(pages) == 1 or columns < 80
    for page in pages:
        assert len(page.splitlines()) <= rows - 1, "the prompt stands on the last line"
        assert max(map(len, page.splitlines())) <= columns
    told = {word for page in pages for word in page.split()}
    assert all(word in told for _, words in HELP for word in words.split())
    assert pages[-1].count("▶ ") == 1 and "q stop" in pages[-1], "the item and its keys stand below"


def test_on_a_narrow_screen_no_prompt_and_no_choice_is_broken_in_a_word(monkeypatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    shown = StringIO()
    screen = Screen(StringIO("\n"), shown)
    choices = ("number or o WORDS: answer it anew", "b: the last one", "Enter: look again", "q: stop")
    screen.say(screen.listed(*choices))
    screen.ask(f"{screen.listed(*choices)} ")
    lines = shown.getvalue().splitlines()
    wanted = ["number or o WORDS: answer it anew ·", "b: the last one · Enter: look again ·"]
    assert lines == [*wanted, "q: stop", *wanted, "q: stop "]


def test_help_is_left_where_it_is_enough(full_house, monkeypatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    monkeypatch.setenv("LINES", "20")
    text = asked_for_help(full_house, "?\nb\n")
    assert text.count(MORE) == 1
    assert "▶ " in text


def test_a_screen_reader_is_given_each_key_in_a_line_that_fits_and_no_pages(full_house, monkeypatch) -> None:
    monkeypatch.setenv("LINES", "10")
    text = asked_for_help(full_house, "?\n", plain=True)
    assert MORE not in text
    for key, words in HELP:
        [line] = [line for line in text.splitlines() if line.startswith(f"{key}: ")]
        assert line == f"{key}: {words}" and len(line) <= 80
