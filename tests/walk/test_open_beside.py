"""A walk of the same rig by another checklist that is open: told before another begins."""

from __future__ import annotations

from io import StringIO

from lint.record.ledger import Ledger
from lint.walk.opening import open_walk
from lint.walk.screen import Screen
from lint.walk.terminal import Walker


def told(house, checklist: str, by: str = "B. Brown") -> str:
    with Ledger(house.ledger_path) as ledger:
        shown = StringIO()
        open_walk(Walker(house.session(ledger, checklist), Screen(StringIO(), shown), None), by, new=False)
        return " ".join(shown.getvalue().split())


def test_an_open_walk_by_another_checklist_is_told_until_it_is_signed(house) -> None:
    assert "goes on with that one" not in told(house, "short-walk", "A. Adams")
    said = told(house, "full-walk")
    assert "Another walk of this rig is open, walk 1 in the house's record, begun" in said
    assert "by A. Adams: --checklist short-walk goes on with that one." in said
    assert "goes on with that one" not in told(house, "full-walk"), "that one goes on itself"
    with Ledger(house.ledger_path) as ledger:
        session = house.session(ledger, "short-walk")
        session.open("A. Adams")
        session.sign("L. Lead", wants_go=False)
    assert "--checklist short-walk" not in (said := told(house, "close-down"))
    assert "--checklist full-walk goes on with that one." in said
