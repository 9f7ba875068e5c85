"""Replay, resume, changes of the rig, the poll and the signature."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest

from lint.read.problem import CannotReadError
from lint.record.ledger import Ledger
from lint.walk.change import Touched
from lint.walk.meanwhile import AnsweredMeanwhileError, ChangedMeanwhileError
from lint.walk.state import replay

CALLS = ["completion-call/links", "completion-call/levels"]


def keys(items) -> list[str]:
    return [item.key for item in items]


def test_answers_are_taken_in_order_and_replayed_by_another_session(small, ledger, ways) -> None:
    first = small.session(ledger)
    opening = first.open("A. Adams")
    assert not opening.resumed
    assert first.state.next_item().key == "bank/west-box"
    ways.walk_on(first, 2)
    second = small.session(ledger)
    opening = second.open("B. Brown")
    assert opening.resumed and opening.change is None
    assert second.walk == first.walk
    assert second.state.next_item().key == "completion-call/links"
    assert second.state.answers["bank/west-box"].by == "A. Adams"


def test_replaying_every_prefix_gives_the_item_that_was_then_asked(small, ledger, ways) -> None:
    session = small.session(ledger)
    session.open("A")
    asked = []
    while (item := session.state.next_item()) is not None:
        asked.append(item.key)
        session.answer(item, ways.Given("go", item.measure and item.measure.least))
    entries = ledger.entries(session.walk)
    assert asked == ["bank/west-box", "bank/east-box", "completion-call/links", "level", "completion-call/levels"]
    for number, key in enumerate(asked):
        assert replay(session.basis.plan, entries[: number + 1]).next_item().key == key


def test_a_no_go_becomes_a_go_only_by_another_answer(small, ledger, ways) -> None:
    session = small.session(ledger)
    session.open("A")
    item = session.state.next_item()
    with pytest.raises(ValueError, match="says what was seen"):
        session.answer(item, ways.Given("no-go"))
    session.answer(item, ways.Given("no-go", seen="bank 9–16"))
    assert session.state.status(item) == "no-go"
    session.cure(item, "selector turned")
    assert session.state.status(item) == "no-go"
    assert any("selector turned, but not answered again" in reason for reason in session.reasons())
    session.answer(item, ways.Given("go"))
    assert session.state.status(item) == "go"
    assert session.state.cures[item.key] == "selector turned"
    assert [entry.body["answer"] for entry in ledger.entries(kinds=("answer",))] == ["no-go", "go"]


def test_a_held_item_comes_back_at_the_end_of_its_phase_and_of_the_walk(small, ledger, ways) -> None:
    session = small.session(ledger)
    session.open("A")
    hold, go = ways.Given("hold"), ways.Given("go")
    asked = []
    while (item := session.state.next_item()) is not None:
        asked.append(item.key)
        held = item.key == "bank/west-box" and asked.count(item.key) < 3
        session.answer(item, hold if held else ways.Given("go", Decimal(65)) if item.measure else go)
    assert asked == [
        "bank/west-box",
        "bank/east-box",
        "bank/west-box",
        "level",
        "bank/west-box",
        "completion-call/links",
        "completion-call/levels",
    ]


def test_a_held_item_blocks_the_signature(small, ledger, ways) -> None:
    session = small.session(ledger)
    session.open("A")
    while (item := session.state.next_item()) is not None:
        measured = ways.Given("go", Decimal(65)) if item.measure else ways.Given("go")
        session.answer(item, ways.Given("hold") if item.key == "bank/west-box" else measured)
    ways.poll_all(session)
    signed = session.sign("L. Lead", wants_go=True)
    assert signed.body["verdict"] == "no-go"
    assert signed.body["reasons"] == [
        "Held: west-box, output bank: 1–8",
        "Not answered: Say aloud: “Links complete”",
        "Not answered: Say aloud: “Levels complete”",
    ]


@pytest.mark.parametrize(
    ("value", "answer"), [("60", "go"), ("70.5", "go"), ("65", "go"), ("59.99", "no-go"), ("70.51", "no-go")]
)
def test_measured_values_are_judged_by_the_tool(small, ledger, ways, value, answer) -> None:
    session = small.session(ledger)
    session.open("A")
    ways.walk_on(session, 3)
    given = session.answer(session.state.next_item(), ways.Given("go", Decimal(value)))
    assert (given.answer, given.value) == (answer, value)
    assert given.seen == (None if answer == "go" else f"{value} dB, expected 60 to 70.5 dB")


def test_a_measured_item_takes_no_bare_go_and_not_applicable_needs_a_reason(small, ledger, ways) -> None:
    session = small.session(ledger)
    session.open("A")
    with pytest.raises(ValueError, match="needs a reason"):
        session.answer(session.state.next_item(), ways.Given("not-applicable"))
    ways.walk_on(session, 3)
    with pytest.raises(ValueError, match="takes a measured value"):
        session.answer(session.state.next_item(), ways.Given("go"))
    assert len(ledger.entries(kinds=("answer",))) == 3


# -- the rig changes ---------------------------------------------------------------------------------------------


def test_a_changed_rig_opens_what_it_touches_and_keeps_the_rest(small, ledger, ways) -> None:
    session = small.session(ledger)
    session.open("A")
    ways.walk_on(session)
    small.edit("output_bank: 9-16", "output_bank: 17-24", "house.yaml")
    change = session.refresh()
    assert change.rig and not change.template
    assert change.touched == [
        Touched("east-box, output bank: 9–16", "east-box, output bank: 17–24", ("east-box",), again=True)
    ]
    assert change.calls == ["Say aloud: “Links complete”", "Say aloud: “Levels complete”"], "the last is of everything"
    assert (change.came, change.went) == ([], [])
    assert session.state.next_item().key == "bank/east-box"
    assert keys(session.state.with_status("open")) == ["bank/east-box", *CALLS]
    assert session.refresh() is None
    small.edit("output_bank: 17-24", "output_bank: 9-16", "house.yaml")
    assert session.refresh() is not None
    # It was another rig meanwhile, and somebody may have turned the selector with it.
    assert keys(session.state.with_status("open")) == ["bank/east-box", *CALLS]


def test_a_change_is_told_on_resume_and_only_once(small, ledger, ways) -> None:
    session = small.session(ledger)
    session.open("A")
    ways.walk_on(session, 3)
    small.write("extends: ../house.yaml\nevent: {name: Sunday}\ndevices: {east-box: null}\ncables: {crossing: null}\n"
                "sources: {piano: null}\nchannels: {3: null}\nmixes: {house: {takes: {channels: [1-2]}}}\n"
                "destinations: {house-left: null, house-right: null}\n")  # fmt: skip
    again = small.session(ledger)
    change = again.open("A").change
    assert change.went == ["east-box, output bank: 9–16"]
    assert again.state.next_item().key == "completion-call/links", "it spoke of a box that is no more"
    assert small.session(ledger).open("A").change is None


def test_a_changed_limit_opens_the_measured_item_again(small, ledger, ways) -> None:
    session = small.session(ledger)
    session.open("A")
    ways.walk_on(session)
    small.edit("max: 70.5", "max: 70", "checklists/full-walk.yaml")
    change = session.refresh()
    assert change.template and not change.rig
    assert keys(session.state.with_status("open")) == ["level", "completion-call/levels"]


def test_a_rig_that_can_no_longer_be_read_stops_the_walk_and_loses_nothing(small, ledger, ways) -> None:
    session = small.session(ledger)
    session.open("A")
    ways.walk_on(session, 2)
    good = small.rig.read_text(encoding="utf-8")
    small.write("extends: [")
    with pytest.raises(CannotReadError):
        session.refresh()
    small.write(good)
    again = small.session(ledger)
    again.open("A")
    assert again.state.next_item().key == "completion-call/links"


# -- poll and signature -------------------------------------------------------------------------------------------


def test_everything_go_can_be_signed_go(small, ledger, ways) -> None:
    session = small.session(ledger)
    session.open("A. Adams")
    ways.walk_on(session)
    assert session.reasons() == [f"The {role} was not polled" for role in ("stage", "house-mixer", "lead")]
    ways.poll_all(session)
    body = session.sign("L. Lead", wants_go=True).body
    assert (body["verdict"], body["reasons"], body["lead"]) == ("go", [], "L. Lead")
    assert body["rig"] == "rigs/sunday.yaml"
    assert len(body["answers"]) == 5
    assert {answer["by"] for answer in body["answers"]} == {"A. Adams"}
    assert [row["role"] for row in body["poll"]] == ["stage", "house-mixer", "lead"]
    assert all(len(body[name]) == 64 for name in ("rig_digest", "template_digest", "rules_digest"))
    assert body["utc"].endswith("Z") and body["local"][-6] in "+-"
    assert session.state.is_finished


def test_the_lead_may_still_say_no_go(small, ledger, ways) -> None:
    session = small.session(ledger)
    session.open("A")
    ways.walk_on(session)
    ways.poll_all(session)
    body = session.sign("L. Lead", wants_go=False).body
    assert (body["verdict"], body["reasons"]) == ("no-go", ["The lead, L. Lead, said no-go"])


@pytest.mark.parametrize(
    ("spoil", "reason"),
    [
        (
            lambda s, g: s.answer(s.state.plan.items[0], g("no-go", seen="9–16")),
            "No-go: west-box, output bank: 1–8 — seen: 9–16",
        ),
        (lambda s, g: s.answer(s.state.plan.items[0], g("hold")), "Held: west-box, output bank: 1–8"),
        (
            lambda s, g: s.answer(s.state.plan.items[0], g("go")),
            "The stage was polled before the latest answer or change: ask again",
        ),
        (lambda s, _: s.poll("stage", "no-go", "piano dead"), "The stage said no-go in the poll: piano dead"),
    ],
)
def test_what_stands_against_a_go(small, ledger, ways, spoil, reason) -> None:
    session = small.session(ledger)
    session.open("A")
    ways.walk_on(session)
    ways.poll_all(session)
    assert session.reasons() == []
    spoil(session, ways.Given)
    assert reason in session.reasons()
    assert session.sign("L", wants_go=True).body["verdict"] == "no-go"


def test_open_items_stand_against_a_go(small, ledger, ways) -> None:
    session = small.session(ledger)
    session.open("A")
    ways.walk_on(session, 4)
    ways.poll_all(session)
    assert session.reasons() == ["Not answered: Say aloud: “Levels complete”"]


def test_a_no_go_finding_stands_against_a_go(small, ledger, ways) -> None:
    small.edit(
        "{from: west-box/downstream, to: east-box/upstream,",
        "{from: west-box/downstream, to: east-box/downstream,",
        "house.yaml",
    )
    session = small.session(ledger)
    session.open("A")
    ways.walk_on(session)
    ways.poll_all(session)
    reasons = session.reasons()
    assert [reason.partition(":")[0] for reason in reasons] == [
        "The check of the rig file stands at no-go (chain-input-from-downstream, east-box)"
    ]
    body = session.sign("L", wants_go=True).body
    assert body["verdict"] == "no-go"
    assert "chain-input-from-downstream" in [finding["rule"] for finding in body["findings"]]


def test_a_waived_finding_does_not_stand_against_a_go_and_is_recorded(small, ledger, ways) -> None:
    small.edit(
        "{from: west-box/downstream, to: east-box/upstream,",
        "{from: west-box/downstream, to: east-box/downstream,",
        "house.yaml",
    )
    small.write(
        small.rig.read_text(encoding="utf-8")
        + "waivers:\n  - {rule: chain-input-from-downstream, about: east-box, because: trial, by: M. Moss,\n"
        + "     until: 2099-01-01, asked_by: A. Silva, instead: a cue card}\n"
    )
    session = small.session(ledger)
    session.open("A")
    ways.walk_on(session)
    ways.poll_all(session)
    body = session.sign("L", wants_go=True).body
    assert body["verdict"] == "go"
    waived = [finding["waived"] for finding in body["findings"] if finding["rule"] == "chain-input-from-downstream"]
    words = "by M. Moss until 2099-01-01: trial; instead: a cue card; asked for by A. Silva"
    assert [row["words"] for row in waived] == [words]


def test_nothing_is_signed_on_a_rig_that_changed_on_the_way(small, ledger, ways) -> None:
    session = small.session(ledger)
    session.open("A")
    ways.walk_on(session)
    ways.poll_all(session)
    small.edit("output_bank: 9-16", "output_bank: 17-24", "house.yaml")
    with pytest.raises(ChangedMeanwhileError):
        session.sign("L", wants_go=True)
    assert ledger.entries(kinds=("signed",)) == []


def test_after_a_signed_no_go_the_walk_goes_on_and_is_polled_anew(small, ledger, ways) -> None:
    session = small.session(ledger)
    session.open("A")
    item = session.state.next_item()
    session.answer(item, ways.Given("no-go", seen="9–16"))
    assert session.state.next_item().killer, "nothing else is asked before it is a go"
    assert session.sign("L", wants_go=True).body["verdict"] == "no-go"
    again = small.session(ledger)
    assert again.open("A").resumed
    again.answer(item, ways.Given("go"))
    ways.walk_on(again)
    ways.poll_all(again)
    assert again.sign("L", wants_go=True).body["verdict"] == "go"
    assert not small.session(ledger).open("A").resumed


def test_yesterdays_unfinished_walk_is_left_unless_the_event_is_the_same(small, ledger, ways) -> None:
    session = small.session(ledger)
    session.open("A")
    ways.walk_on(session, 2)
    small.clock.at += timedelta(hours=25)
    later = small.session(ledger)
    opening = later.open("A")
    assert not opening.resumed and opening.left.walk == session.walk
    assert later.state.answers == {}
    small.write("extends: ../house.yaml\nevent: {name: Sunday, date: 2026-11-29}\n")
    dated = small.session(ledger)
    dated.open("A", fresh=True)
    ways.walk_on(dated, 1)
    small.clock.at += timedelta(days=2)
    assert small.session(ledger).open("A").resumed


def test_a_new_walk_begins_where_it_is_asked_for(small, ledger, ways) -> None:
    session = small.session(ledger)
    session.open("A")
    ways.walk_on(session, 2)
    fresh = small.session(ledger)
    assert not fresh.open("A", fresh=True).resumed
    assert fresh.walk == session.walk + 1
    assert fresh.state.answers == {}


def test_two_terminals_walk_one_list(small, ledger, ways) -> None:
    with Ledger(small.ledger_path) as other_ledger:
        one, two = small.session(ledger), small.session(other_ledger)
        one.open("A")
        two.open("B")
        assert two.walk == one.walk
        item = one.state.next_item()
        two.answer(item, ways.Given("go"))
        with pytest.raises(AnsweredMeanwhileError, match="B answered this meanwhile: go"):
            one.answer(item, ways.Given("go"))
        assert one.state.next_item().key == "bank/east-box"
        assert len(ledger.entries(kinds=("answer",))) == 1
        assert ledger.verify().broken is None
