"""What is seen late has its place: at a finished role's terminal, in the poll, and while a file is half saved."""

from __future__ import annotations

from lint.record.ledger import Ledger
from lint.walk.picking import items_for

GO_ALL = ["g", "g", "g", "65", "g"]


def test_a_finished_role_may_still_answer_anew(session, ways) -> None:
    shown = ways.typed(session, ["g", "g", "o west bank", "n 9–16", "", "q"], role="stage")
    assert "Everything of the stage is answered." in shown.text
    assert session.state.answers["bank/west-box"].seen == "9–16"
    assert shown.go is None or shown.go is False


def test_a_finished_role_picks_what_is_not_settled_by_its_number(session, ways) -> None:
    lines = ["n 9–16", "", "", "g", "9", "1", "g", "q"]
    text = ways.typed(session, lines, role="stage").plain
    assert "Everything of the stage is asked; these are not settled: 1 ✗ no-go: west-box, output bank: 1–8" in text
    assert "number or o WORDS: answer an item anew" in text
    assert "“9” is no number of this list." in text and "“1” is no answer here" not in text
    assert session.state.answers["bank/west-box"].answer == "go"


def test_in_the_poll_any_item_may_be_answered_anew(session, ways) -> None:
    lines = [*GO_ALL, "g", "o level", "n too loud", "", "q"]
    shown = ways.typed(session, lines)
    assert session.state.answers["level"].answer == "no-go"
    assert "Not ready for the poll." in shown.text
    assert not session.state.poll_counts("stage"), "what was said before it is asked again"


def test_back_in_the_poll_is_the_last_answered(session, ways) -> None:
    shown = ways.typed(session, [*GO_ALL, "b", "v 66", *["g"] * 4])
    assert shown.plain.count("▶ Level: 60 to 70.5 dB") == 2
    assert session.state.answers["level"].value == "66"


def test_items_are_found_by_place_and_words(full_house) -> None:
    with Ledger(full_house.ledger_path) as ledger:
        state = full_house.session(ledger).state
    first = state.plan.items[0]
    assert items_for(state, "1.1", None) == [first]
    assert items_for(state, "99.1", None) == items_for(state, "1.99", None) == []
    assert [item.key for item in items_for(state, "WEDGE carries", None)] == ["monitor-mix/singer-wedge"]
    assert items_for(state, "nothing like it", None) == []
    assert items_for(state, "1.1", "wireless") != [first]


def test_a_poll_no_go_has_its_reason_in_the_record(session, ways) -> None:
    shown = ways.typed(session, [*GO_ALL, "g", "n", "smoke at the amplifier", "L. Lead"])
    reasons = shown.walker.signed.body["reasons"]
    assert "The house-mixer said no-go in the poll: smoke at the amplifier" in reasons
    assert [entry.body["answer"] for entry in session.entries if entry.kind == "poll"] == ["go", "no-go", "no-go"]


def test_enter_at_the_no_go_goes_back(session, ways) -> None:
    shown = ways.typed(session, [*GO_ALL, "n", "smoke", "", "g", "a fog machine", "g", "g", "L. Lead", "g"])
    assert "No sign-off was recorded." in shown.text
    assert shown.go is True


def test_a_half_saved_rig_is_told_once_and_the_walk_goes_on(small, session, ways) -> None:
    whole = small.rig.read_text(encoding="utf-8")

    def half() -> None:
        small.write(whole[: len(whole) // 2] + "\n  : [")

    def saved() -> None:
        small.write(whole.replace("Sunday", "Sunday evening"))

    text = ways.typed(session, [half, "g", "g", saved, "g"]).plain
    assert text.count("Not read: ") == 1
    assert "The walk goes on with the rig as it was last read, and looks again at the next answer." in text
    assert "The rig has changed since." in text
    assert len(session.state.given) == 3


def test_nothing_is_signed_on_a_rig_that_cannot_be_read(small, session, ways) -> None:
    whole = small.rig.read_text(encoding="utf-8")
    text = ways.typed(session, [*GO_ALL, "g", "g", "g", lambda: small.write("extends: ["), "L. Lead", "g"]).plain
    assert "Nothing was signed: the rig can't be read now." in text
    assert all(entry.kind != "signed" for entry in session.entries)
    small.write(whole)
