"""Before the poll and the signature everybody hears what the go would go without."""

from __future__ import annotations

from lint.record.ledger import Ledger


def test_not_checked_rules_off_and_how_much_was_looked_at_are_said_before_the_poll(small, ways) -> None:
    small.write(
        "extends: ../house.yaml\nevent: {name: Sunday}\n"
        "rules: {phantom-on-line: {off: true, because: the old desk has no switches}}\n"
    )
    with Ledger(small.ledger_path) as ledger:
        session = small.session(ledger)
        session.open("A. Adams")
        while (item := session.state.next_item()) is not None:
            is_call = item.is_call
            session.answer(item, ways.Given("go") if is_call else ways.Given("not-applicable", reason="no time"))
        text = " ".join(ways.typed(session, ["q"]).text.split())
    assert "Not checked, because the rig does not speak of it: " in text
    assert "wireless carriers" in text
    assert "The rule phantom-on-line is switched off, because the old desk has no switches." in text
    assert "Only 0 of 3 items were looked at." in text
    assert text.index("Not checked") < text.index("The poll:")
