"""What confuses a volunteer at the terminal: what is shown, found and said again."""

from __future__ import annotations

from io import StringIO

import pytest

from lint.walk.screen import Screen

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


def test_the_first_screen_says_what_keys_need_and_what_words_mean_once(pair) -> None:
    shown = " ".join(pair.run(["g", "g", "S. Second", "g", "g", "g", "65"], "--by", "Vera").stdout.split())
    assert "Answer each with a key and Enter; ? and Enter shows the keys." in shown
    assert shown.count("(do-confirm: it is done; look at each, then answer)") == 1
    assert shown.count("(read-do: read it, do it, answer)") == 1
    assert shown.count("the call (said aloud once all of this is done)") == 1
    assert shown.count("Nothing starts without this: a killer item. Somebody else looks as well.") == 1
    assert shown.count("Nothing starts without this.") >= 1


def test_what_a_short_walk_leaves_out_is_told_after_the_name(full_house) -> None:
    shown = full_house.run(["Vera", "q"], "--checklist", "short-walk").stdout
    assert shown.index("Who walks?") < shown.index("Not asked here as the full walk does")


def test_why_more_is_left_than_before_is_said(session, ways) -> None:
    text = ways.typed(session, ["g", "g", "g", "o west", "n off", "turned", "q"]).plain
    assert "2 more left now: it, its second look or the calls over it are due again." in text
    assert text.count("more left now") == 1


class Terminal(StringIO):
    """A target that is a terminal."""

    def isatty(self) -> bool:
        return True


def test_plain_breaks_between_words_at_a_terminal(monkeypatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    screen = Screen(StringIO("\n"), target := Terminal(), plain=True)
    screen.say("a word or two " * 20)
    screen.ask("and a question of many words " * 4)
    lines = target.getvalue().splitlines()
    assert max(map(len, lines)) <= 80 and len(lines) > 5
    assert set(target.getvalue().split()) == set("a word or two and question of many words".split())  # noqa: SIM905


def test_words_of_what_another_role_is_asked_say_whose_it_is(session, ways) -> None:
    text = ways.typed(session, ["o level", "o nothing", "q"], role="stage").plain
    assert "That is asked at another terminal: Level (house-mixer)." in text
    assert "No item here has “nothing” in it." in text


def test_words_find_an_item_from_below_a_list_as_well(session, ways) -> None:
    assert "▶ Level: 60" in ways.typed(session, ["o", "o level", "q"]).plain


def test_a_key_is_no_note(session, ways) -> None:
    text = ways.typed(session, ["t", "o", "the reel is wet", "q"]).plain
    assert "“o” is a key, and here words are asked for" in text
    assert [entry.body["note"] for entry in session.entries if entry.kind == "note"] == ["the reel is wet"]


def test_a_sentence_is_nobodys_name(house, ways) -> None:
    house.one_phase('{id: bank, role: stage, killer: true, challenge: "Bank: 1–8"}')
    with house.opened("Vera") as session:
        text = ways.typed(session, ["g", "lead cut at the east riser", "Ana Maria de la Cruz", "q"]).plain
    assert "“lead cut at the east riser” is not a second person." in text
    assert "Second look, by Ana Maria de la Cruz" in text


def test_what_waits_for_two_killers_waits_for_each(house, ways) -> None:
    house.phases(
        links=[
            '{id: one, role: stage, killer: true, second_person: false, challenge: "One: whole"}',
            '{id: two, role: stage, killer: true, second_person: false, challenge: "Two: whole"}',
        ],
        levels=['{id: level, role: stage, challenge: "Level: 60"}'],
    )
    with house.opened("Vera") as session:
        text = ways.typed(session, ["n torn", "", "", "n torn", "", "q"]).plain
    assert text.count("and 1 item waits for it") == 2
    assert text.count("The walk is a no-go while this stands; 1 item waits for it.") == 2


def test_a_rig_file_that_is_saved_as_it_was_stops_no_signature(session, small, ways) -> None:
    def saved() -> None:
        small.write(small.rig.read_text(encoding="utf-8"))

    shown = ways.typed(session, ["g", "g", "g", "66", "g", "g", "g", "g", "g", saved, "L. Lead"])
    assert "Nothing was signed" not in shown.plain
    assert shown.go is True, shown.plain


@pytest.mark.parametrize("again", ["K. P.", "kp", "K.P."])
def test_initials_are_one_persons_however_they_are_typed(house, ways, again) -> None:
    house.one_phase('{id: bank, role: stage, killer: true, challenge: "Bank: 1–8"}')
    with house.opened("KP") as session:
        text = ways.typed(session, ["g", again, "q"]).plain
    assert f"“{again}” looked first and is not a second person" in text


@pytest.mark.parametrize(("said", "looked"), [("", 0), ("n", 0), ("y", 1)])
def test_a_name_that_may_be_the_other_cut_short_is_asked_about(house, ways, said, looked) -> None:
    house.one_phase('{id: bank, role: stage, killer: true, challenge: "Bank: 1–8"}')
    with house.opened("Kim") as session:
        text = ways.typed(session, ["g", "Kim Pell", said, *(["g"] if looked else []), "q"]).plain
    assert "Kim looked first. Is Kim Pell another person? y is yes:" in text
    assert text.count("Second look, by Kim Pell") == looked


def test_where_another_roles_second_look_is_due_it_says_how_to_give_it(house, ways) -> None:
    house.phases(
        links=['{id: one, role: stage, killer: true, challenge: "One: whole"}'],
        levels=['{id: level, role: lead, challenge: "Level: 60"}'],
    )
    with house.opened("Vera", role="stage") as session:
        session.answer(session.state.plan.by_key["one"], ways.Given("go"))
        text = ways.typed(session, ["", "q"], role="lead").plain
    assert "sits down at that terminal, or starts one with --role stage under a name of their own." in text
