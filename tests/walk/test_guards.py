"""What waits for a killer item: in later phases what depends on it, whoever's it is; and how one is left for now."""

from __future__ import annotations

import pytest

from lint.read.problem import CannotReadError
from lint.record.ledger import Ledger

LIST = """\
checklist_format: 1
title: Guarded
phases:
  - id: mains
    title: Mains
    mode: read-do
    completion: Mains complete
    items:
      - {id: mains, role: lead, killer: true, second_person: false, challenge: "Mains leads: whole"}
  - id: links
    title: Links
    mode: do-confirm
    completion: Links complete
    items:
      - {id: bank, role: stage, killer: true, second_person: false, for_each: boxes, challenge: "{box.name}, bank: {box.bank}"}
  - id: lines
    title: Lines
    mode: read-do
    completion: Lines complete
    items:
      - {id: line, role: house-mixer, for_each: sources, challenge: "{source.name}: heard"}
      - {id: level, role: house-mixer, challenge: "Walk-in music: heard"}
  - id: memory
    title: Memory
    mode: do-confirm
    needs: []
    completion: Memory complete
    items:
      - {id: saved, role: house-mixer, challenge: "Memory: saved"}
"""


@pytest.fixture
def guarded(house):
    house.checklist(LIST)
    return house


@pytest.fixture
def session(guarded):
    with guarded.opened() as opened:
        yield opened


def waiting(session) -> dict[str, str]:
    held = {item.key: session.state.held_back_by(item) for item in session.state.plan.items}
    return {key: guard.key for key, guard in held.items() if guard is not None}


def test_the_mains_hold_back_every_later_phase_that_needs_them(session, ways) -> None:
    plan = session.state.plan.by_key
    later = {key for key, item in plan.items() if item.phase in (1, 2) and not item.is_call}
    for answer in ({"answer": "no-go", "seen": "torn"}, {"answer": "hold"}):
        session.answer(plan["mains"], ways.Given(**answer))
        assert waiting(session) == dict.fromkeys(later, "mains")
    session.answer(plan["mains"], ways.Given("go"))
    assert "mains" not in waiting(session).values()


def test_a_box_holds_back_in_later_phases_what_is_on_it_and_nothing_else(session, ways) -> None:
    state, plan = session.state, session.state.plan.by_key
    for key in ("mains", "completion-call/mains"):
        session.answer(plan[key], ways.Given("go"))
    session.answer(plan["bank/west-box"], ways.Given("go"))
    session.answer(plan["bank/east-box"], ways.Given("no-go", seen="1–8"))
    on_east = {item.key for item in state.plan.items if item.phase == 2 and "east-box" in item.subject.about}
    assert on_east and waiting(session) == dict.fromkeys(on_east, "bank/east-box")
    assert state.next_item() is plan["bank/east-box"], "asked again while it is a no-go"
    free = state.next_item(leaving={"bank/east-box"})
    assert free.phase == 2 and "east-box" not in free.subject.about


def test_a_role_waits_for_the_killers_of_another(session, ways) -> None:
    """Across roles: the house mixer's lines wait for the lead's mains and the stage's selectors."""
    text = ways.typed(session, ["g", "", "q"], role="house-mixer").text
    assert "“Mains” is not complete, and the house-mixer's next item is in “Memory”" in text, "which needs nothing"
    text = ways.typed(session, ["a", "g", "", "q"], role="house-mixer").text
    assert "wait: nothing starts without Mains leads: whole (lead): ○ OPEN" in " ".join(text.split())
    assert [answer.item for answer in session.state.given] == ["saved"]
    text = ways.typed(session, ["", "q"], role="stage").text
    assert "2 of the stage wait: nothing starts without" in text


def test_what_waits_can_not_be_picked_either(session, ways) -> None:
    text = ways.typed(session, ["o", "2"]).text
    assert "That waits: nothing starts without “Mains leads: whole” (lead)." in text or "later phases" in text
    assert session.state.given == []


def test_a_killer_that_is_a_no_go_can_be_left_noted_and_come_back_to(session, guarded, ways) -> None:
    shown = ways.typed(session, ["n torn", "", "t asked the electrician", "", "q"])
    text = " ".join(shown.text.split())
    waits = len(waiting(session))
    assert f"The walk is a no-go while this stands; {waits} items wait for it. Have it put right" in text
    assert "▶ Memory: saved" in text, "what does not wait goes on"
    assert [(answer.item, answer.answer) for answer in session.state.given] == [("mains", "no-go")]
    stopped = guarded.run(["k", "q"], "--by", "A. Adams").stdout
    assert stopped.index("▶ Mains leads: whole") > 0, "and it comes back to it"
    assert "✗ NO-GO Mains leads: whole — nothing starts without this." in stopped
    assert session.sign("L. Lead", wants_go=True).body["verdict"] == "no-go"


def test_with_nothing_else_to_ask_it_is_said_what_to_do_now(session, ways) -> None:
    shown = ways.typed(session, ["n torn", "", "", "g", "g", "q"])
    text = " ".join(shown.text.split())
    assert (
        "Nothing starts without “Mains leads: whole”. Have it put right, then pick its number and answer anew" in text
    )
    assert shown.go is None


def test_a_list_says_which_phases_a_phase_needs_and_a_wrong_name_is_told(guarded) -> None:
    guarded.edit("needs: []", "needs: [liks]", "checklists/full-walk.yaml")
    with pytest.raises(CannotReadError) as caught:
        guarded.basis()
    [problem] = caught.value.problems
    assert str(problem).endswith("26:13: no phase before 'memory' is called 'liks'; did you mean 'links'?")


@pytest.mark.parametrize("name", ["full-walk", "short-walk"])
def test_in_the_bundled_lists_nothing_is_powered_before_mains_and_faders(full_house, ways, name) -> None:
    with Ledger(full_house.ledger_path) as ledger:
        session = full_house.session(ledger, name)
        session.open("A. Adams", role="stage")
        state = session.state
        for key in ("mains-leads", "faders-before-power"):
            steps = [item for item in state.plan.items if item.key.startswith("power-on")]
            assert steps and all(state.held_back_by(item) is not None for item in steps), key
            session.answer(state.plan.by_key[key], ways.Given("no-go", seen="not so"))
            assert all(state.held_back_by(item) is not None for item in steps)
            session.answer(state.plan.by_key[key], ways.Given("go"))
