"""Killer items are looked at by a second person, who is not told the first answer."""

from __future__ import annotations

from datetime import datetime

import pytest

from lint.record.ledger import Ledger

BANK = "bank/west-box"
SECOND = f"second/{BANK}"


@pytest.fixture
def session(pair):
    with pair.opened() as opened:
        yield opened


def test_a_second_look_follows_every_killer_item_before_the_call(session) -> None:
    assert [item.key for item in session.state.plan.items if item.phase == 0] == [
        BANK,
        "bank/east-box",
        SECOND,
        "second/bank/east-box",
        "completion-call/links",
    ]


def test_it_waits_for_the_first_answer_and_is_another_persons(session, ways) -> None:
    """R11: another named person, later."""
    first, second = session.state.plan.by_key[BANK], session.state.plan.by_key[SECOND]
    assert session.state.status(second) == "waiting"
    with pytest.raises(ValueError, match="another person's, after the first"):
        session.answer(second, ways.Given("go"), "B. Brown")
    session.answer(first, ways.Given("go"))
    assert session.state.status(second) == "open"
    with pytest.raises(ValueError, match="another person's"):
        session.answer(second, ways.Given("go"), "a. adams")
    session.answer(second, ways.Given("go"), "B. Brown")
    assert session.state.status(second) == "go"
    assert session.state.answers[SECOND].by == "B. Brown"


def test_the_second_is_not_told_the_first_answer(session, ways) -> None:
    """R11: blind entry."""
    shown = ways.typed(session, ["g", "g", "B. Brown"]).text
    asked = shown[shown.index("A second look is due") :]
    assert "Second look, by B. Brown" in asked
    assert "GO" not in asked.replace("NO-GO", "") and "A. Adams" not in asked and "Answered" not in asked


def test_a_difference_is_a_no_go_until_both_agree(session, ways) -> None:
    """R11: mismatch."""
    shown = ways.typed(session, ["g", "g", "B. Brown", "n stands at 9–16", "turned it", "", "g", "g"])
    text = " ".join(shown.text.split())
    assert "Two people saw different things at: west-box, output bank: 1–8" in text
    assert "A. Adams: ✓ GO (by A. Adams, " in text
    assert "B. Brown: ✗ NO-GO: stands at 9–16 (by B. Brown, " in text
    assert "Who looks, together? (Enter: A. Adams and B. Brown)" in text
    given = [(answer.item, answer.answer, answer.people) for answer in session.state.given]
    assert given == [
        (BANK, "go", "A. Adams"),
        ("bank/east-box", "go", "A. Adams"),
        (SECOND, "no-go", "B. Brown"),
        (BANK, "go", "A. Adams and B. Brown"),
        ("second/bank/east-box", "go", "B. Brown"),
    ]
    assert session.state.differs == {}
    assert session.state.status(session.state.plan.by_key[SECOND]) == "go", "the one answer is both people's"


def test_a_joint_no_go_stands_and_then_both_look_anew(session, ways) -> None:
    lines = ["g", "g", "B. Brown", "n stands at 9–16", "", "C. Clark and B. Brown", "n broken off", "", "g"]
    ways.typed(session, lines)
    first, second = session.state.plan.by_key[BANK], session.state.plan.by_key[SECOND]
    joint = session.state.given[3]
    assert (joint.answer, joint.people) == ("no-go", "C. Clark and B. Brown")
    assert session.state.status(first) == "go", "answered again, by the first person"
    assert session.state.status(second) == "open", "and looked at anew by a second"


@pytest.mark.parametrize("names", ["B. Brown", "A. Adams and  a. adams", "A and B"])
def test_together_takes_two_people(session, ways, names) -> None:
    text = ways.typed(session, ["g", "g", "B. Brown", "n stands at 9–16", "", names]).text
    assert f"“{' '.join(names.split())}” is not two people" in text
    assert len(session.state.given) == 3
    with pytest.raises(ValueError, match="two look together"):
        session.answer(session.state.plan.by_key[BANK], ways.Given("go"), "Ann", " ANN")


def test_the_joint_answer_stands_in_history_handover_and_sign_off_with_both_names(pair, session, ways) -> None:
    ways.typed(session, ["g", "g", "B. Brown", "n stands at 9–16", "", "", "g", "g"])
    told = pair.run(["1"], "1", check="history").stdout
    assert "GO, by A. Adams and B. Brown, together (stage)" in told
    signed = session.sign("L. Lead", wants_go=False).body["answers"]
    assert [row["together_with"] for row in signed if row["item"] == BANK] == ["B. Brown"]


def test_a_difference_stands_against_a_go(session, ways) -> None:
    first, second = session.state.plan.by_key[BANK], session.state.plan.by_key[SECOND]
    session.answer(first, ways.Given("go"))
    session.answer(second, ways.Given("no-go", seen="9–16"), "B. Brown")
    assert session.state.status(first) == "no-go"
    reason = "No-go: west-box, output bank: 1–8 — seen: 9–16 (second look, by B. Brown)"
    assert session.reasons().count(reason) == 1
    assert session.sign("L", wants_go=True).body["verdict"] == "no-go"


def test_a_new_first_answer_wants_a_new_second(session, ways) -> None:
    first, second = session.state.plan.by_key[BANK], session.state.plan.by_key[SECOND]
    session.answer(first, ways.Given("go"))
    session.answer(second, ways.Given("go"), "B. Brown")
    session.answer(first, ways.Given("go"))
    assert session.state.status(second) == "open"


def test_where_there_is_nobody_else_that_is_said_and_stays_on_record(session, ways) -> None:
    """One entry each, each with its reason; the lead is told before the poll."""
    lines = ["g", "g", "x walking alone", "x", "", "g", "65", "g"]
    text = ways.typed(session, lines).text
    reasons = [answer.reason for answer in session.state.given if answer.answer == "not-applicable"]
    assert reasons == ["walking alone", "walking alone"]
    assert "No second look: west-box, output bank: 1–8 — walking alone" in text


def test_the_first_person_is_no_second_one(session, ways) -> None:
    text = ways.typed(session, ["g", "g", "A. Adams", "g", "", "B. Brown"]).text
    assert "“A. Adams” looked first and is not a second person" in text
    assert "“g” is not a second person." in text
    assert "Second look, by B. Brown" in text


def test_another_terminal_may_look_second(pair, session, ways) -> None:
    ways.typed(session, ["g", "g"])
    with Ledger(pair.ledger_path) as ledger:
        other = pair.session(ledger)
        other.open("B. Brown", role="stage")
        text = ways.typed(other, ["", "g"], role="stage").text
    assert "Name of the second person (Enter: B. Brown)" in text
    assert "Second look, by B. Brown" in text
    session.refresh()
    assert session.state.answers[SECOND].by == "B. Brown"


def test_second_looks_come_before_what_they_guard_and_a_hold_holds_it_back(full_house, ways) -> None:
    with Ledger(full_house.ledger_path) as ledger:
        session = full_house.session(ledger, "short-walk")
        session.open("A. Adams")
        keys = [item.key for item in session.state.plan.items]
        assert keys.index("second/mains-leads") < next(at for at, key in enumerate(keys) if key.startswith("power-on"))
        plan = session.state.plan.by_key
        session.answer(plan["mains-leads"], ways.Given("hold"))
        for key in ("residual-current-device", "hung-and-stacked", "faders-before-power"):
            session.answer(plan[key], ways.Given("go"))
            session.answer(plan[f"second/{key}"], ways.Given("go"), "B. Brown")
        walkways = plan["walkways"]
        assert session.state.held_back_by(walkways) is plan["mains-leads"]
        assert session.state.next_item() is plan["mains-leads"]
        session.answer(plan["mains-leads"], ways.Given("hold"))
        assert session.state.next_item() is plan["mains-leads"], "once more at the end: all else waits for the mains"
        session.answer(plan["mains-leads"], ways.Given("hold"))
        assert session.state.next_item() is None
        shown = ways.typed(session, ["o", "1"]).text
        assert "mains plug" in shown
        session.answer(plan["mains-leads"], ways.Given("go"))
        session.answer(plan["second/mains-leads"], ways.Given("go"), "B. Brown")
        assert session.state.held_back_by(walkways) is None


TWO_PHASES = {
    "links": [
        '{id: bank, role: stage, killer: true, for_each: boxes, challenge: "{box.name}, output bank: {box.bank}"}',
    ],
    "mutes": [
        '{id: muted, role: house-mixer, killer: true, challenge: "Every output: muted"}',
    ],
}


@pytest.fixture
def phases(house):
    house.phases(**TWO_PHASES)
    with house.opened("Ann") as opened:
        yield opened


def test_each_phase_asks_anew_who_looks_second_and_offers_the_last_name(phases, ways) -> None:
    """R11: nobody's name is carried on unasked."""
    text = ways.typed(phases, ["g", "g", "Bob", "g", "g", "g", "g", "", "g"]).text
    assert text.count("A second look is due at") == 2
    assert "Name of the second person: " in text
    assert "Name of the second person (Enter: Bob): " in text
    assert phases.state.answers["second/muted"].by == "Bob"
    assert phases.state.answers["muted"].by == "Ann"


@pytest.mark.parametrize("name", ["Ann", "ann", " ANN "])
def test_however_the_first_name_is_spelt_it_is_no_second_one(phases, ways, name) -> None:
    text = ways.typed(phases, ["g", "g", name, "Bob"]).text
    assert "looked first and is not a second person" in text
    assert "Second look, by Bob" in text
    with pytest.raises(ValueError, match="another person's"):
        phases.answer(phases.state.plan.by_key[SECOND], ways.Given("go"), name)


def test_back_in_a_second_look_neither_shows_nor_changes_the_first_answer(phases, ways) -> None:
    text = ways.typed(phases, ["g", "g", "Bob", "b", "back", "g"]).text
    assert text.count("Bob gave no second look before this") == 2
    assert "Answered before" not in text
    assert [(answer.item, answer.by) for answer in phases.state.given][2:] == [(SECOND, "Bob")]


def test_back_leads_to_ones_own_second_look(phases, ways) -> None:
    text = ways.typed(phases, ["g", "g", "Bob", "g", "b", "n off", "", ""]).text
    assert "Answered before: ✓ GO (by Bob" in text and "by Ann" not in text.split("Two people saw")[0]
    assert [(answer.item, answer.answer, answer.by) for answer in phases.state.given][2:] == [
        (SECOND, "go", "Bob"),
        (SECOND, "no-go", "Bob"),
    ]


def test_notes_and_cures_of_a_second_look_are_the_second_persons(phases, ways) -> None:
    ways.typed(phases, ["g", "g", "Bob", "t hard to read", "n off", "turned it"])
    kinds = {entry.kind: entry.body["by"] for entry in phases._entries if entry.kind in ("note", "cure")}
    assert kinds == {"note": "Bob", "cure": "Bob"}


def test_after_the_second_looks_it_is_said_whose_turn_it_is(phases, ways) -> None:
    assert "Back to Ann." in ways.typed(phases, ["g", "g", "Bob", "g", "g"]).text


def test_who_resumes_to_look_second_is_not_told_the_last_answer(phases, ways, house) -> None:
    house.clock.at = datetime.now().astimezone()  # the walk that resumes has the true time
    ways.typed(phases, ["g", "g"])
    shown = house.run(["", "", "g"], "--by", "Bob").stdout
    assert "Last answered: east-box, output bank: 9–16: by Ann" in shown
    assert "GO (by Ann" not in shown


def test_one_person_in_any_spelling_is_one_of_the_people(phases, ways, house) -> None:
    """Resume, history's people and the handover's."""
    from lint.handover.walked import who_did_what
    from lint.record.walks import past_walks

    ways.typed(phases, ["g", "g"])
    with Ledger(house.ledger_path) as ledger:
        again = house.session(ledger)
        assert not again.open(" ANN ").restart
        ways.typed(again, ["x nobody here", "x", ""])
        again.sign("ann", wants_go=False)
        [walk] = past_walks(ledger, ledger.verify())
    assert walk.people == ["Ann"]
    assert who_did_what(walk, {"lead": "ANN"})[0].endswith("signed")


def test_the_terminal_is_handed_over_anew_where_the_first_person_has_had_it_back(session, ways) -> None:
    """R11: what the first person types next is never put down as the second's."""
    typed = ["g", "g", "B. Brown", "g", "g", "o west-box", "n loose", "", "g", "tightened", "g", "B. Brown", "g"]
    shown = ways.typed(session, typed)
    assert shown.text.count("A second look is due") == 2
    looks = [(answer.item, answer.by) for answer in session.state.given]
    assert looks[-1] == (SECOND, "B. Brown")
    assert (BANK, "A. Adams") in looks[4:]


@pytest.mark.parametrize("spelt", ["a. adams", "A Adams", "A. ADAMS."])
def test_another_spelling_is_no_second_person(session, ways, spelt: str) -> None:
    shown = ways.typed(session, ["g", "g", spelt])
    assert "looked first and is not a second person" in " ".join(shown.text.split())


def test_what_two_settled_together_is_settled_in_the_handover_too(session, ways) -> None:
    from lint.handover.walked import failures
    from lint.record.walks import PastWalk

    ways.typed(session, ["g", "g", "B. Brown", "n stands at 9–16", "turned it", "", "g"])
    entries = session.entries
    (failure,) = failures(PastWalk(entries=tuple(entries), **dict.fromkeys(missing(PastWalk), None)))
    assert failure.settled and failure.cure == "turned it"


def missing(kind) -> list[str]:
    """Return the fields that the test does not need."""
    return [name for name in kind.__dataclass_fields__ if name != "entries"]
