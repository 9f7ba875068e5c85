"""What confuses a volunteer at the terminal: what is shown, found and said again."""

from __future__ import annotations

import pytest

NOTE = "safety: {word: WARNING, hazard: It is live, consequence: It can kill, avoidance: Leave it}"


@pytest.fixture
def cautioned(house):
    house.one_phase(
        f'{{id: one, role: stage, challenge: "Lead one: whole", {NOTE}}}',
        f'{{id: two, role: stage, challenge: "Lead two: whole", {NOTE}}}',
    )
    with house.opened("Vera") as session:
        yield session


@pytest.mark.parametrize("aside", [["o", ""], ["?"], ["l"], ["t seen"], ["p"]])
def test_a_caution_that_was_pushed_off_the_screen_is_said_in_full_again(cautioned, ways, aside) -> None:
    text = ways.typed(cautioned, [*aside, "g", "q"]).plain
    assert text.count("WARNING: It is live") == 2


def test_a_call_is_said_or_not_and_is_found_by_its_words(session, ways) -> None:
    text = ways.typed(session, ["g", "g", "g", "o complete", "q"]).plain
    assert "g said n no-go b back o open ? help q stop" in text
    assert "1 ✓ go: Say aloud: “Links complete”" in text and "2 ○ open: Say aloud: “Levels complete”" in text


def test_words_of_an_item_find_no_call_beside_it(session, ways) -> None:
    assert "▶ Level: 60" in ways.typed(session, ["o level", "q"]).plain


def test_enter_at_what_keeps_a_go_away_lists_it_again(session, ways) -> None:
    text = ways.typed(session, ["g", "g", "g", "90", "", "", "", "hm", "q"]).plain
    assert text.count("Not ready for the poll.") == 3
    assert "“hm” is no answer here." in text


def test_a_name_typed_at_the_thunder_screen_is_told_where_it_goes(session, ways) -> None:
    text = ways.typed(session, ["thunder", "Vera", "q"]).plain
    assert "“Vera” is no answer here; c asks for your name, to release the hold." in text


@pytest.mark.parametrize("checklist", ["full-walk", "short-walk"])
def test_a_microphone_in_another_socket_has_nothing_to_do_with_what_hangs(full_house, checklist) -> None:
    before = full_house.basis(checklist).plan.by_key["hung-and-stacked"]
    full_house.edit("plugged_into: west-box/in/4}", "plugged_into: west-box/in/6}")
    assert full_house.basis(checklist).plan.by_key["hung-and-stacked"].asked == before.asked
    full_house.edit("destinations:\n", "destinations:\n  house-left: {location: on the balcony}\n")
    assert full_house.basis(checklist).plan.by_key["hung-and-stacked"].asked != before.asked
