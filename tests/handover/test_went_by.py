"""What a walk went by: named on the handover, and told where it is another by now."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from datetime import date
from pathlib import Path

from typer.testing import CliRunner

from lint.check.engine import check_file
from lint.cli import app
from lint.handover.handover import Handover, make_handover
from lint.handover.page import handover_json, handover_page
from lint.page.as_text import page_text
from lint.record.ledger import Ledger, ledger_path
from lint.record.seal import short
from lint.walk.entry import Entry

Walk = Callable[..., Entry]
HOUSE_RULE = """\
rule_format: 1
rule: choir-on-the-west-box
title: The choir is plugged into the west box
severity: caution
because: its cables reach no other
do: Plug it in there.
for_each: sources
where: {id: choir}
expect: {box: west-box}
message: "{id} is plugged into {socket}"
"""


def handover(rig: Path) -> Handover:
    return make_handover(check_file(rig), None, date(2026, 11, 26))


def told(found: Handover) -> str:
    return " ".join(page_text(handover_page(found), 80).split())


def test_the_checklist_and_its_length_stand_beside_the_signature(house: Path, walked: Walk) -> None:
    rig = house / "rigs" / "a.yaml"
    walked(rig, "2026-11-22")
    assert "Checklist: full-walk, 5 items." in told(handover(rig))
    assert "changed after that" not in told(handover(rig))
    assert json.loads(handover_json(handover(rig)))["went_by"] == {
        "checklist": "full-walk", "items": 5, "not_asked": [], "changed": []
    }  # fmt: skip


def test_what_a_short_list_asks_nowhere_is_told(house: Path, walked: Walk) -> None:
    rig, own = house / "rigs" / "a.yaml", house / "checklists" / "brief.yaml"
    text = (house / "checklists" / "full-walk.yaml").read_text()
    own.write_text(text + "not_asked: {clock: the clock, box: boxes (`bank` asks them)}\n")
    walked(rig, "2026-11-22", checklist="brief")
    assert "Not asked in the brief as the full walk does" in told(handover(rig)).replace("AS THE", "as the")
    assert json.loads(handover_json(handover(rig)))["went_by"]["not_asked"] == ["the clock"]


def test_a_checklist_that_was_changed_after_the_signature_is_told(house: Path, walked: Walk) -> None:
    rig, own = house / "rigs" / "a.yaml", house / "checklists" / "full-walk.yaml"
    walked(rig, "2026-11-22")
    own.write_text(own.read_text().replace("output bank", "bank"))
    assert "The checklist full-walk was changed after that." in told(handover(rig))
    own.write_text("nonsense")
    assert "The checklist full-walk was changed after that." in told(handover(rig))


def test_rules_that_were_changed_after_the_signature_are_told(house: Path, walked: Walk) -> None:
    rig = house / "rigs" / "a.yaml"
    walked(rig, "2026-11-22")
    (house / "rules").mkdir()
    (house / "rules" / "choir-on-the-west-box.yaml").write_text(HOUSE_RULE)
    assert "The rules that check the rig, or rigwalk, were changed after that." in told(handover(rig))


def test_a_record_that_does_not_hold_is_told_first_and_ends_in_a_status(house: Path, walked: Walk) -> None:
    rig = house / "rigs" / "a.yaml"
    walked(rig, "2026-11-22")
    with sqlite3.connect(ledger_path(rig)) as database:
        database.execute("DROP TRIGGER never_altered")
        database.execute("UPDATE entries SET body = replace(body, 'go', 'GO') WHERE seq = 2")
    found = handover(rig)
    text = told(found)
    assert "The walk: ✗ NOT PROVABLE from record 2 of the house on" in text
    assert "NOT signed off" not in text
    assert "No sign-off is recorded" not in text
    assert json.loads(handover_json(found))["proof"]["broken"]["seq"] == 2
    assert found.next_steps[0].startswith("Record 2 of the house does not hold")
    for form in ("text", "json"):
        assert CliRunner().invoke(app, ["handover", str(rig), "--format", form]).exit_code == 1


def test_the_seal_of_the_records_last_entry_is_on_the_sheet(house: Path, walked: Walk) -> None:
    """What comes after a sign-off, such as a no-go, can be cut off unseen by the seal of the sign-off alone."""
    rig = house / "rigs" / "a.yaml"
    signed = walked(rig, "2026-11-22")
    with Ledger(ledger_path(rig)) as ledger:
        last = ledger.append(signed.walk, "note", {**_said(signed), "item": "bank/west-box", "note": "it hums"})
    text = told(handover(rig))
    assert short(signed.seal) in text and short(last.seal) in text
    path = str(rig)
    at_hand = CliRunner().invoke(app, ["history", path, "--seal", short(signed.seal)])
    assert "1 record follows it" in " ".join(at_hand.output.split())
    assert CliRunner().invoke(app, ["history", path, "--seal", short(last.seal)]).exit_code == 0
    with sqlite3.connect(ledger_path(rig)) as database:
        database.execute("DROP TRIGGER never_dropped")
        database.execute("DELETE FROM entries WHERE seq = ?", (last.seq,))
    assert CliRunner().invoke(app, ["history", path, "--seal", short(signed.seal)]).exit_code == 0
    assert CliRunner().invoke(app, ["history", path, "--seal", short(last.seal)]).exit_code == 1


def _said(signed: Entry) -> dict[str, object]:
    return {key: signed.body[key] for key in ("utc", "local", "by")}
