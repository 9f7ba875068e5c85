"""A go that a no-go came after, or that goes without what nothing should start without: told wherever records are read."""

from __future__ import annotations

import pytest

from lint.record.ledger import Ledger
from lint.record.walks import past_walks
from lint.report.history import walk_lines
from lint.walk.entry import exceptions_of


def signed(small, ledger, ways):
    session = small.session(ledger)
    session.open("A. Adams")
    ways.walk_on(session)
    ways.poll_all(session)
    assert session.sign("L. Lead", wants_go=True).body["verdict"] == "go"
    return session


def told(ledger) -> str:
    proof = ledger.verify()
    return " ".join(walk_lines(past_walks(ledger, proof)[-1], proof).split())


@pytest.mark.parametrize("how", ["answer", "poll"])
def test_a_no_go_after_the_signature_overtakes_the_go(small, ledger, ways, how) -> None:
    session = signed(small, ledger, ways)
    assert "✓ GO signed by L. Lead" in told(ledger)
    if how == "answer":
        session.answer(session.state.plan.by_key["bank/west-box"], ways.Given("no-go", seen="9–16"))
    else:
        session.poll("stage", "no-go", "smoke")
    walk = past_walks(ledger, ledger.verify())[-1]
    assert walk.verdict == "no-go"
    assert "✗ NO-GO: ✓ GO signed by L. Lead" in told(ledger)
    assert "overtaken by a no-go at" in told(ledger)
    assert not session.go_stands()
    assert session.latest().signed_go is None
    # Put right, but not signed anew: it still counts for nothing.
    if how == "answer":
        session.answer(session.state.plan.by_key["bank/west-box"], ways.Given("go"))
        assert ways.walk_on(session) == 2, "the calls of the phase and of the whole are said anew"
    ways.poll_all(session)
    assert past_walks(ledger, ledger.verify())[-1].verdict == "no-go"
    assert session.sign("L. Lead", wants_go=True).body["verdict"] == "go"
    assert "overtaken" not in told(ledger)
    assert session.go_stands()


def test_the_next_who_opens_it_is_told_and_goes_on_with_it(small, ledger, ways) -> None:
    session = signed(small, ledger, ways)
    session.answer(session.state.plan.by_key["level"], ways.Given("go", 90))
    text = " ".join(small.run(["q"], "--by", "A. Adams").stdout.split())
    assert "Walk 1 was signed go, overtaken by a no-go at" in text
    assert "begin a new walk" not in text


def test_not_applicable_killers_are_in_the_verdict(full_house, ways) -> None:
    """Every killer item said away, the second looks by nobody or by somebody."""
    with Ledger(full_house.ledger_path) as ledger:
        session = full_house.session(ledger)
        session.open("A. Adams")
        while (item := session.state.next_item()) is not None:
            least = item.measure.least if item.measure else None
            if item.killer or item.second_of:
                looked = "S. Second" if item.second_of == "mains-leads" else ""
                nobody = bool(item.second_of) and not looked
                session.answer(item, ways.Given("not-applicable", reason="none here", unseen=nobody), looked)
            else:
                session.answer(item, ways.Given("go", least))
        ways.poll_all(session)
        body = session.sign("L. Lead", wants_go=True).body
        assert body["verdict"] == "go"
        killers = [item for item in session.state.plan.items if item.killer]
        words = f"{len(killers)} killer items not applicable, {len(killers) - 1} said by one person alone"
        assert exceptions_of(body).startswith(f"{words}; ")
        assert f"✓ GO ({exceptions_of(body)}) signed by L. Lead" in told(ledger)
        assert any(
            row.startswith("Every mains plug") and "none here (said by two)" in row
            for row in body["killers_not_applicable"]
        )
        assert (
            sum("said by A. Adams alone, nobody else saw it" in row for row in body["killers_not_applicable"])
            == len(killers) - 1
        )


def test_a_go_without_second_looks_says_so(full_house, ways) -> None:
    with Ledger(full_house.ledger_path) as ledger:
        session = full_house.session(ledger)
        session.open("A. Adams")
        while (item := session.state.next_item()) is not None:
            least = item.measure.least if item.measure else None
            given = (
                ways.Given("not-applicable", reason="nobody", unseen=True)
                if item.second_of
                else ways.Given("go", least)
            )
            session.answer(item, given)
        ways.poll_all(session)
        body = session.sign("L. Lead", wants_go=True).body
    assert exceptions_of(body) == f"{len(body['no_second_look'])} without a second look"
    assert len(body["no_second_look"]) > 3
