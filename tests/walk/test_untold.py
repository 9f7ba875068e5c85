"""Nothing gives the first answer away to whoever owes the second look: no news, no list, no turning back."""

from __future__ import annotations

import csv

import pytest

from lint.handover.walked import failures
from lint.record.export import as_csv
from lint.record.ledger import Ledger
from lint.record.walks import past_walks


@pytest.fixture
def both(house):
    house.one_phase(
        '{id: bank, role: stage, killer: true, challenge: "Bank: 1–8"}',
        '{id: plain, role: stage, challenge: "Covers: on"}',
    )
    with house.opened("Vera") as vera, house.opened("Tom") as tom:
        yield vera, tom


def test_what_was_said_about_a_first_look_is_told_only_after_the_second(both, ways) -> None:
    vera, tom = both
    bank = vera.state.plan.by_key["bank"]
    vera.answer(bank, ways.Given("no-go", seen="it says 9–16"))
    vera.cure(bank, "turned it")
    vera.note(bank, "stiff to turn")
    vera.answer(bank, ways.Given("go"))
    shown = ways.typed(tom, ["", "q"])
    assert "9–16" not in shown.plain and "turned it" not in shown.plain and "stiff" not in shown.plain


def test_it_is_told_once_the_second_look_is_in(both, ways) -> None:
    vera, tom = both
    bank = vera.state.plan.by_key["bank"]

    def look() -> None:
        vera.answer(bank, ways.Given("no-go", seen="it says 9–16"))
        vera.cure(bank, "turned it")
        vera.answer(bank, ways.Given("go"))

    text = ways.typed(tom, [look, "?", "h the ladder", "", "g", "q"]).plain
    asked = text.index("Second look, by Tom")
    assert text.index("Vera: cured, turned it") > asked and text.count("cured, turned it") == 1
    assert text.index("NO-GO, it says 9–16") > asked


def test_a_second_look_put_off_is_still_to_be_given_untold(both, ways) -> None:
    vera, tom = both
    vera.answer(vera.state.plan.by_key["bank"], ways.Given("go"))
    text = ways.typed(tom, ["h", "o bank", "", "q"]).plain
    assert "Vera has answered; until the second look is in, that is told to nobody." in text
    assert "Answered before: ✓ GO" not in text


@pytest.mark.parametrize("turn", [["o bank"], ["o 1.1"], ["o :", "1"]])
def test_turning_back_from_a_second_look_hands_the_terminal_back_by_name(both, ways, turn) -> None:
    vera, _ = both
    text = ways.typed(vera, ["g", "Tom", *turn, "Tom", "q"]).plain
    assert "hand the terminal back to Vera first" in text
    assert "Answered before" not in text
    assert text.endswith("o open ? help q stop >"), "and goes on where it was"


def test_nor_does_back_from_another_item_that_was_turned_to(pair, ways) -> None:
    with pair.opened("Vera") as vera:
        text = ways.typed(vera, ["g", "g", "Tom", "o level", "b", "", "q"]).plain
        assert "Back to Vera." in text and "hand the terminal back to Vera first" in text
        assert "Answered before" not in text


def test_after_the_first_person_had_it_back_the_second_is_asked_for_anew(both, ways) -> None:
    vera, _ = both
    text = ways.typed(vera, ["g", "Tom", "o bank", "vera", "", "Tom", "g"]).plain
    assert "Back to Vera." in text and "Answered before: ✓ GO (by Vera" in text
    assert text.count("A second look is due at") == 2
    assert vera.state.answers["second/bank"].by == "Tom"


def test_a_list_that_is_searched_shows_no_first_answer(both, ways) -> None:
    vera, _ = both
    text = ways.typed(vera, ["g", "Tom", "o :", "", "q"]).plain
    assert "1 ○ open: second look due, Bank: 1–8" in text and "✓ go" not in text


def test_ones_own_answer_is_seen_again_before_anybody_had_the_terminal(both, ways) -> None:
    vera, _ = both
    vera.answer(vera.state.plan.by_key["bank"], ways.Given("go"))
    text = ways.typed(vera, ["Tom", "g", "b", "q"]).plain
    assert "hand the terminal back" not in text


def test_neither_the_handover_nor_the_table_gives_a_first_answer_away(both, ways, house) -> None:
    vera, tom = both
    bank = vera.state.plan.by_key["bank"]
    vera.answer(bank, ways.Given("no-go", seen="it says 9–16"))
    vera.answer(bank, ways.Given("go"))

    def told() -> tuple[bool, list[str]]:
        with Ledger(house.ledger_path, reading=True) as ledger:
            walks = past_walks(ledger, ledger.verify())
        (failure,) = failures(walks[0])
        return failure.settled, [row["answer"] for row in csv.DictReader(as_csv(walks).splitlines())]

    assert told() == (False, ["no-go", "second look due"])
    ways.typed(tom, ["", "g", "q"])
    assert told() == (True, ["no-go", "go", "go"])
