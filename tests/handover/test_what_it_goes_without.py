"""A go tells what it goes without: what was not checked, waived, not looked at, said by others, answered too fast."""

from __future__ import annotations

import csv
import json
from datetime import date
from io import StringIO
from pathlib import Path

import pytest
from typer.testing import CliRunner

from lint.check.engine import check_file
from lint.cli import app
from lint.handover.handover import Handover, make_handover
from lint.handover.page import handover_json, handover_page
from lint.page.as_html import page_html
from lint.page.as_text import page_text
from lint.page.page import Words
from lint.record.ledger import Ledger, ledger_path
from lint.record.seal import digest_of
from lint.sheet.book import sheet_book
from lint.walk.basis import load_basis
from lint.walk.given import Given
from lint.walk.session import Session

TODAY = date(2026, 11, 26)
WAIVED = """
sources: {clarinet: {kind: dynamic-microphone, plugged_into: east-box/in/8}}
waivers: [{rule: source-unheard, about: clarinet, because: next week, by: M. Okafor, until: 2026-12-03}]
rules: {phantom-on-line: {off: true, because: the old desk has no switches}}
"""


@pytest.fixture
def rig(house: Path) -> Path:
    path = house / "rigs" / "a.yaml"
    crew = "crew: {lead: L. Lead, stage: S. Stage, house-mixer: H. Mixer, monitor-mixer: M. Mixer}"
    path.write_text(path.read_text().replace("crew: {lead: L. Lead, stage: S. Stage}", crew))
    return path


def handover(rig: Path) -> Handover:
    return make_handover(check_file(rig, today=TODAY), None, TODAY)


def lists(found: Handover) -> dict[str, tuple[str, ...]]:
    blocks = handover_page(found).sections[0].blocks
    return {block.title: block.lines for block in blocks if isinstance(block, Words)}


def walk(rig: Path, *, apply: tuple[str, ...] = (), after_ms: int | None = None, by: str = "Alex") -> None:
    """Walk a rig to a signed go by one person at one terminal; of all items only those of `apply` apply."""
    with Ledger(ledger_path(rig)) as ledger:
        basis = load_basis(rig, "full-walk", digest_of, TODAY)
        from datetime import datetime

        session = Session(ledger, basis, lambda: basis, digest_of, lambda: datetime.now().astimezone())
        session.open(by, fresh=True)
        while (item := session.state.next_item()) is not None:
            is_there = item.is_call or item.key.removeprefix("second/") in apply or apply == ("all",)
            given = (
                Given("go", after_ms=after_ms)
                if is_there
                else Given("not-applicable", reason="no time today", unseen=bool(item.second_of))
            )
            session.answer(item, given, "S. Second" if item.second_of and is_there else "")
        for role in session.state.plan.roles:
            session.poll(role, "go", "")
        assert session.sign("L. Lead", wants_go=True).body["verdict"] == "go"


def signed(rig: Path) -> dict[str, object]:
    with Ledger(ledger_path(rig), reading=True) as ledger:
        return dict(ledger.entries(kinds=("signed",))[-1].body)


def history(rig: Path, *options: str) -> str:
    done = CliRunner().invoke(app, ["history", str(rig), *options])
    assert done.exit_code == 0, done.output
    return done.output


# -- not checked ---------------------------------------------------------------------------------------------------


def test_what_is_not_checked_is_sealed_and_told_in_handover_history_and_overview(rig: Path) -> None:
    walk(rig, apply=("all",))
    assert "amplifier loads" in signed(rig)["not_checked"]
    words = "Not checked, because the rig does not speak of it: "
    title = "Not checked, because the rig does not speak of it"
    (line,) = lists(handover(rig))[title]
    assert "wireless carriers" in line and "sound exposure" in line
    assert "wireless carriers" in page_html(handover_page(handover(rig)))
    assert "wireless carriers" in json.loads(handover_json(handover(rig)))["not_checked"]
    assert words in " ".join(history(rig, "1").split())
    overview = page_text(sheet_book(check_file(rig)).only("overview"), 200)
    assert title in overview and "wireless carriers" in overview


def test_a_waiver_and_a_rule_that_is_off_are_told_in_every_handover_and_on_the_overview(rig: Path) -> None:
    rig.write_text(rig.read_text() + WAIVED)
    for _ in range(2):
        walk(rig, apply=("all",))
        told = lists(handover(rig))
        (waiver,) = told["Waivers"]
        assert "nobody else is named as having asked for it" in waiver
        assert "accepted: clarinet" in waiver
        off = "phantom-on-line is switched off, because the old desk has no switches"
        assert told["Rules switched off or set lower"] == (off,)
    data = json.loads(handover_json(handover(rig)))
    assert data["rules_off"] == signed(rig)["rules_off"] == [off]
    assert len(data["waived"]) == 1 and "Waived by M. Okafor" in data["waived"][0]
    assert off in " ".join(history(rig, "1").split())
    overview = " ".join(page_text(sheet_book(check_file(rig, today=TODAY)).only("overview"), 80).split())
    assert "No no-go and no caution stands, beside what is accepted or not looked for below." in overview
    assert "Waived by M. Okafor until 2026-12-03" in overview
    assert f"The rule {off}" in overview


def test_an_overview_with_nothing_accepted_says_that_nothing_stands(rig: Path) -> None:
    overview = " ".join(page_text(sheet_book(check_file(rig)).only("overview"), 80).split())
    assert "No no-go and no caution stands." in overview
    assert "Accepted on purpose" not in overview


# -- who said it ---------------------------------------------------------------------------------------------------


def test_nobody_is_said_to_have_spoken_where_another_typed_it(rig: Path) -> None:
    walk(rig, apply=("all",))
    who = lists(handover(rig))["Who did what"]
    assert "S. Stage (stage): go in the poll as stage, entered by Alex" in who
    assert "L. Lead (lead): go in the poll as lead, entered by Alex, signed, entered by Alex" in who
    assert any(line.startswith("Alex: ") and line.endswith("entered the poll for stage, lead") for line in who)
    text = " ".join(history(rig, "1").split())
    assert "poll: stage (S. Stage) says go, entered by Alex" in text
    assert "signed GO by L. Lead, entered by Alex" in text
    assert "by S. Second, entered by Alex (stage)" in text
    rows = list(csv.DictReader(StringIO(history(rig, "--format", "csv"), newline="")))
    assert {(row["by"], row["entered_by"]) for row in rows} == {("Alex", ""), ("S. Second", "Alex")}


def test_who_speaks_at_the_own_terminal_said_it(rig: Path) -> None:
    walk(rig, apply=("all",), by="S. Stage")
    assert any("said go in the poll as stage" in line for line in lists(handover(rig))["Who did what"])
    assert "says go, entered by" in history(rig, "1")  # the lead's alone
    assert "(S. Stage) says go, entered" not in history(rig, "1")


# -- how fast ------------------------------------------------------------------------------------------------------


def test_answers_too_fast_to_look_are_told_beside_the_verdict_everywhere(rig: Path) -> None:
    walk(rig, apply=("all",), after_ms=400)
    words = "5 of 5 answers came within a second of the question"
    assert words in history(rig)
    assert words in " ".join(history(rig, "1").split())
    assert f"The walk: ✓ GO; {words}" in " ".join(page_text(handover_page(handover(rig)), 80).split())
    assert words in page_html(handover_page(handover(rig)))
    data = json.loads(handover_json(handover(rig)))["signed"]
    assert (data["quick_answers"], data["answers"]) == (5, 5)
    (past,) = json.loads(history(rig, "--format", "json"))["walks"]
    assert past["quick_answers"] == 5
    rows = list(csv.DictReader(StringIO(history(rig, "--format", "csv"), newline="")))
    assert [row["after_ms"] for row in rows] == ["400"] * 5


def test_at_a_person_s_pace_nothing_is_said_of_it(rig: Path) -> None:
    walk(rig, apply=("all",), after_ms=4000)
    assert "within a second" not in history(rig) + page_text(handover_page(handover(rig)), 80)


# -- not applicable ------------------------------------------------------------------------------------------------


def test_a_walk_that_nobody_looked_in_says_so_plainly_and_is_a_next_step(rig: Path) -> None:
    walk(rig)
    found = handover(rig)
    assert "only 0 of 2 items were looked at" in " ".join(page_text(handover_page(found), 80).split())
    assert "only 0 of 2 items were looked at" in " ".join(history(rig).split())
    assert lists(found)["Said not to apply in the walk"] == (
        "no time today (Alex), 2 items:",
        "→ west-box, output bank: 1–8",
        "→ east-box, output bank: 9–16",
    )
    steps = [step for step in found.next_steps if step.startswith("Look at it before anything starts")]
    assert [step.rpartition("alone: ")[2] for step in steps] == [
        "west-box, output bank: 1–8",
        "east-box, output bank: 9–16",
    ]
    (row,) = json.loads(handover_json(found))["not_applicable"]
    assert row == {
        "reason": "no time today",
        "by": "Alex",
        "items": ["west-box, output bank: 1–8", "east-box, output bank: 9–16"],
    }


def test_a_few_that_do_not_apply_are_counted_without_alarm(rig: Path) -> None:
    walk(rig, apply=("bank/west-box",))
    text = " ".join(history(rig).split())
    assert "1 of 2 items were looked at" in text
    assert "only" not in text


def test_where_all_was_looked_at_nothing_is_said_of_it(rig: Path) -> None:
    walk(rig, apply=("all",))
    assert "looked at" not in history(rig)
    assert "Said not to apply in the walk" not in lists(handover(rig))
