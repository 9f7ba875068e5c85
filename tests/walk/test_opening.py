"""How a walk begins: anew, where it was, from the start of a phase, or on top of a go."""

from __future__ import annotations

from datetime import timedelta

import pytest

from lint.record.ledger import Ledger

GO_ALL = ["g", "g", "g", "65", "g"]
SIGN = ["g", "g", "g", "L. Lead", "go"]

pytestmark = pytest.mark.usefixtures("dumb")


def kinds(house) -> list[str]:
    with Ledger(house.ledger_path, reading=True) as ledger:
        return [entry.kind for entry in ledger.entries()]


def test_after_a_signed_go_it_says_so_and_asks(small) -> None:
    assert small.run([*GO_ALL, *SIGN], "--by", "A. Adams").returncode == 0
    before = kinds(small)
    left = small.run(["what", "q"], "--by", "A. Adams")
    assert left.returncode == 0, "the go stands"
    assert "Walk 1 was signed ✓ GO by L. Lead" in left.stdout
    assert "Left as it stands." in left.stdout
    assert small.run([], "--by", "A. Adams").returncode == 1
    assert kinds(small) == before, "nothing was written"
    assert "Walk 2 begins" in small.run(["n"], "--by", "A. Adams").stdout


def test_after_a_signed_go_it_says_where_a_late_no_go_goes(small) -> None:
    small.run([*GO_ALL, *SIGN], "--by", "A. Adams")
    done = small.run(["c", "o west", "n 9–16", "", "q"], "--by", "A. Adams")
    text = " ".join(done.stdout.split())
    assert "Something is no go after all? c, then o and words of the item, then n: that overtakes the GO." in text
    assert "The GO that was signed counts no more" in text
    assert done.returncode == 1


def test_a_signed_go_may_be_gone_on_with_where_the_rig_changed(small) -> None:
    small.run([*GO_ALL, *SIGN], "--by", "A. Adams")
    small.edit("output_bank: 9-16", "output_bank: 17-24", "house.yaml")
    small.edit("15-16: house", "15-16: house, 23-24: house", "house.yaml")
    done = small.run(["c", "g", "g", "g", *SIGN], "--by", "A. Adams")
    text = " ".join(done.stdout.split())
    assert "The rig file was changed after that" in text
    assert "was “east-box, output bank: 9–16”, is now “east-box, output bank: 17–24”" in text
    assert text.count("▶") == 3, "the selector, the call of its phase, and the last call"
    assert done.returncode == 0, done.stdout[-1500:]
    assert kinds(small).count("signed") == 2


def test_a_go_that_is_left_stands_only_for_the_rig_that_it_was_signed_on(small) -> None:
    small.run([*GO_ALL, *SIGN], "--by", "A. Adams")
    small.write("extends: ../house.yaml\nevent: {name: Another Sunday}\n")
    assert small.run(["q"], "--by", "A. Adams").returncode == 1


def test_two_that_begin_at_the_same_moment_walk_one_list(small, monkeypatch) -> None:
    with Ledger(small.ledger_path) as one, Ledger(small.ledger_path) as other:
        first, second = small.session(one), small.session(other)
        whole = one.append

        def append(*words, **more):
            monkeypatch.setattr(one, "append", whole)
            second.open("B. Brown")
            return whole(*words, **more)

        monkeypatch.setattr(one, "append", append)
        assert first.open("A. Adams").resumed
        assert first.walk == second.walk == 1
        assert [entry.kind for entry in one.entries()] == ["begun", "resumed"]


def test_the_name_may_be_the_crews(small) -> None:
    small.write("extends: ../house.yaml\nevent: {name: Sunday}\ncrew: {stage: S. Stage}\n")
    done = small.run(["", "g"], "--role", "stage")
    assert "Your name (Enter: S. Stage):" in done.stdout
    with Ledger(small.ledger_path, reading=True) as ledger:
        assert {entry.body["by"] for entry in ledger.entries()} == {"S. Stage"}


def test_another_person_or_a_long_break_may_have_the_phase_asked_again(small, ways) -> None:
    """R08: the last done item is repeated at every resume; the place is offered to be taken from the start."""
    with Ledger(small.ledger_path) as ledger:
        session = small.session(ledger)
        session.open("A. Adams")
        ways.walk_on(session, 1)
        same = small.session(ledger)
        assert same.open("A. Adams").restart == []
        other = small.session(ledger).open("B. Brown")
        assert [item.key for item in other.restart] == ["bank/west-box"]
        small.clock.at += timedelta(minutes=11)
        late = small.session(ledger)
        opening = late.open("A. Adams")
        assert [item.key for item in opening.restart] == ["bank/west-box"]
        late.reopen(opening.restart)
        assert late.state.next_item().key == "bank/west-box"
        assert "and it may be otherwise by now." in ways.typed(late, []).text


def test_the_phase_is_asked_again_only_where_that_is_wanted(small) -> None:
    small.run(["g"], "--by", "A. Adams")
    assert "at: east-box" in small.run(["k", "q"], "--by", "B. Brown").stdout
    again = small.run(["r"], "--by", "C. Clay").stdout
    assert "▶ west-box, output bank: 1–8" in again
    assert (kinds(small).count("kept"), kinds(small).count("reopened")) == (1, 1)


def test_where_nothing_starts_without_it_there_is_no_way_round_the_choice(small) -> None:
    """R08."""
    small.run(["g"], "--by", "A. Adams")
    asked = small.run(["", "", "q"], "--by", "B. Brown").stdout
    assert asked.count("k: go on where it was") == 3
    assert "▶" not in asked
    assert not {"kept", "reopened"} & set(kinds(small))
    small.run(["k"], "--by", "B. Brown")
    told = small.run([], "1", check="history").stdout
    assert (
        "went on without asking again 1 that others had answered, or more than ten minutes before, by B. Brown"
        in " ".join(told.split())
    )


def test_the_last_item_is_read_out_at_every_resume_to_be_looked_at_once_more(small) -> None:
    """R08: repeated, and not asked: what was answered and is on disk is asked of nobody twice."""
    small.run(["g"], "--by", "A. Adams")
    told = " ".join(small.run(["b", "n 9–16", "turned", "g"], "--by", "A. Adams").stdout.split())
    assert "Last answered: west-box, output bank: 1–8: ✓ GO (by A. Adams, " in told
    assert "Look once more; b answers it anew." in told
    assert "▶ east-box, output bank: 9–16" in told and told.count("▶ west-box, output bank: 1–8") == 2


def test_there_is_no_way_round_the_choice_in_any_phase(small) -> None:
    """R08: also where no killer item is among what was answered."""
    small.checklist(
        (small.folder / "checklists" / "full-walk.yaml")
        .read_text("utf-8")
        .replace("killer: true, second_person: false, ", "")
    )
    small.run(["g"], "--by", "A. Adams")
    asked = small.run(["", "go", "q"], "--by", "B. Brown").stdout
    assert asked.count("k: go on where it was") == 3 and "▶" not in asked
    assert not {"kept", "reopened"} & set(kinds(small))


def test_nothing_of_an_earlier_week_is_an_answer(small, ways) -> None:
    """R25."""
    with Ledger(small.ledger_path) as ledger:
        session = small.session(ledger)
        session.open("A")
        ways.walk_on(session)
        ways.poll_all(session)
        session.sign("L", wants_go=True)
        small.clock.at += timedelta(days=7)
        later = small.session(ledger)
        later.open("A")
        assert later.state.answers == {}
        assert later.state.polls == {}


def test_a_short_walk_says_at_its_start_what_it_leaves_to_the_full_one(full_house) -> None:
    done = full_house.run(["q"], "--checklist", "short-walk", "--by", "A. Adams")
    shown = " ".join(done.stdout.split())
    assert "Not asked here as the full walk does: the clock of each device (" in shown
    assert "every carrier (the house's own stay; a new one wants the full walk); radio microphones walked" in shown
    assert "link cables one by one" not in shown, "asked all the same, by another item"
