"""Several at once: by role, each at a terminal, seeing what the others answer."""

from __future__ import annotations

import pytest

CREW = "event: {name: Sunday}\ncrew: {lead: L. Lead, stage: S. Stage, house-mixer: M. Mixer}\n"


@pytest.fixture
def two(small):
    """Two sessions of one walk, each with a connection of its own."""
    small.write("extends: ../house.yaml\n" + CREW)
    with small.opened("S. Stage", "stage") as stage, small.opened("M. Mixer", "house-mixer") as mixer:
        yield stage, mixer


def test_names_of_the_crew_stand_beside_the_roles(two, ways) -> None:
    text = ways.typed(two[0], [], "stage").text
    assert "Open here: stage (S. Stage) 2" in text
    assert "2 of 2 left · stage (S. Stage)" in text


def test_a_role_does_not_go_ahead_of_an_unfinished_phase_unasked(two, ways) -> None:
    stage, mixer = two
    text = ways.typed(mixer, ["", "p"], "house-mixer").text
    assert text.count("“Links” is not complete, and the house-mixer's next item is in “Levels”.") == 3
    assert "Still open there: stage (S. Stage) 2" in text
    assert " 1 Links: 0 of 3, left: stage (S. Stage) 2, the call" in text
    assert mixer.state.given == []
    ways.typed(stage, ["g", "g"], "stage")
    assert "Still open there: lead (L. Lead), the call" in ways.typed(mixer, [], "house-mixer").text


def test_going_ahead_is_said_and_stands_in_the_record(two, ways) -> None:
    _, mixer = two
    ways.typed(mixer, ["a", "65"], "house-mixer")
    assert mixer.state.answers["level"].answer == "go"
    notes = [entry.body["note"] for entry in mixer._entries if entry.kind == "note"]
    assert notes == ["the house-mixer goes ahead to “Levels”"]


def test_each_sees_what_the_other_answers(two, ways) -> None:
    stage, mixer = two
    ways.typed(stage, ["g", "n bank 17–24", "turned", "g"], "stage")
    text = ways.typed(mixer, [], "house-mixer").text
    assert "S. Stage (stage): east-box, output bank: 9–16: ✗ NO-GO, bank 17–24" in text
    assert "S. Stage: cured, turned" in text
    assert "S. Stage (stage): 2 answered go meanwhile" in text
    assert "meanwhile" not in ways.typed(mixer, [], "house-mixer").text, "told once"


def test_nobody_writes_over_an_answer_that_was_not_on_the_screen(two, ways) -> None:
    stage, mixer = two
    item = stage.state.plan.items[0]
    mixer.answer(item, ways.Given("no-go", seen="off"))
    text = ways.typed(stage, [], "stage").text
    assert "M. Mixer (stage): west-box, output bank: 1–8: ✗ NO-GO, off" in text


def test_a_signature_speaks_of_what_was_answered_at_the_other_terminal_too(two, ways) -> None:
    stage, mixer = two
    ways.walk_on(stage)
    ways.poll_all(stage)
    mixer.refresh()
    mixer.answer(mixer.state.plan.items[0], ways.Given("no-go", seen="off"))
    body = stage.sign("L. Lead", wants_go=True).body
    assert body["verdict"] == "no-go"
    assert "No-go: west-box, output bank: 1–8 — seen: off" in body["reasons"]


def test_the_lead_alone_signs(two, ways) -> None:
    stage, _ = two
    text = ways.typed(stage, ["s", "g", "g"], "stage").text
    assert "The sign-off is the lead's." in text
    assert "run the walk without --role" in text


def test_the_lead_waits_for_the_others(two, ways) -> None:
    stage, _ = two
    text = ways.typed(stage, ["", "p"], "lead").text
    assert text.count("Nothing for the lead now. Open in “Links”: stage (S. Stage) 2") == 3
    ways.typed(stage, ["g", "g"], "stage")
    assert "▶ Say aloud: “Links complete”" in ways.typed(stage, ["g"], "lead").text
    assert ways.typed(stage, ["s", "L. Lead"], "lead").go is False
