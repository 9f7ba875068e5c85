"""The handover: compared with what was last signed off, with all that the next crew must know."""

from __future__ import annotations

import json
import re
import shutil
import sqlite3
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from html import escape
from pathlib import Path

import pytest
from closed import closed

import lint
from lint.check.engine import check_file
from lint.handover.handover import Handover, make_handover
from lint.handover.page import handover_json, handover_page
from lint.handover.since import NothingToCompareError
from lint.hunt.hunt import Hunt
from lint.hunt.learn import likelihoods
from lint.hunt.path import path_of
from lint.hunt.target import target_of
from lint.page.as_html import page_html
from lint.page.as_markdown import page_markdown
from lint.page.as_text import page_text
from lint.page.page import Page, Words
from lint.record.hunts import record_hunt
from lint.record.ledger import Ledger, ledger_path
from lint.record.recurring import recurring as in_history
from lint.record.seal import short
from lint.walk.entry import Entry

DEMO = Path(lint.__file__).parent / "demo" / "rigs"
TODAY = date(2026, 11, 26)
Walk = Callable[..., Entry]


def handover(rig: Path, other: Path | None = None, today: date = TODAY) -> Handover:
    return make_handover(check_file(rig), other, today)


def lists(found: Handover) -> dict[str, tuple[str, ...]]:
    blocks = handover_page(found).sections[0].blocks
    return {block.title: block.lines for block in blocks if isinstance(block, Words)}


def test_without_any_sign_off_it_tells_what_is_known_and_that_nobody_signed(house: Path) -> None:
    found = handover(house / "rigs" / "a.yaml")
    text = " ".join(page_text(handover_page(found), 80).split())
    assert "not walked" in text and "NOT signed off: this is what is known so far." in text
    assert "No sign-off is recorded in this house: nothing to compare with. --since RIG names another rig." in text
    assert "Nobody has taken this over yet." in text
    assert json.loads(handover_json(found))["since"] is None


def test_a_first_sign_off_has_nothing_to_compare_with(house: Path, walked: Walk) -> None:
    rig = house / "rigs" / "a.yaml"
    signed = walked(rig, "2026-11-22")
    text = page_text(handover_page(handover(rig)), 80)
    assert "This is the first rig that was signed off here" in text
    assert "The walk: ✓ GO" in text
    assert short(signed.seal) in " ".join(text.split())


def test_a_week_is_compared_with_the_week_before(house: Path, walked: Walk) -> None:
    old, new = house / "rigs" / "a.yaml", house / "rigs" / "b.yaml"
    first = walked(old, "2026-11-15")
    new.write_text(old.read_text() + "channels: {2: {gain_db: 30}}\n")
    walked(new, "2026-11-22")
    found = handover(new)
    assert found.since is not None
    assert found.since.words == "the sign-off of rigs/a.yaml on 2026-11-15"
    changed = lists(found)["What changed since the sign-off of rigs/a.yaml on 2026-11-15"]
    assert changed == ("gain in dB of channel 2 (Choir): 30 (before: not stated)",)
    assert found.past.own is not None
    assert found.past.own.seq > first.seq


def test_a_rig_that_was_changed_after_its_sign_off_is_compared_with_what_was_signed(house: Path, walked: Walk) -> None:
    rig = house / "rigs" / "a.yaml"
    walked(rig, "2026-11-22")
    rig.write_text(rig.read_text() + "channels: {2: {gain_db: 30}}\n")
    found = handover(rig)
    assert found.past.own is None
    assert [told.words for told in found.told or ()] == ["gain in dB of channel 2 (Choir): 30 (before: not stated)"]
    assert "This rig as it stands is not signed off: walk it, and sign it off." in found.next_steps
    assert "changed after that sign-off" in page_text(handover_page(found), 80)


def test_a_no_go_of_the_same_morning_is_not_what_the_week_is_compared_with(house: Path, walked: Walk) -> None:
    old, new = house / "rigs" / "a.yaml", house / "rigs" / "b.yaml"
    walked(old, "2026-11-15")
    new.write_text(old.read_text() + "channels: {2: {gain_db: 20}}\n")
    walked(new, "2026-11-22", go=False)
    new.write_text(old.read_text() + "channels: {2: {gain_db: 30}}\n")
    walked(new, "2026-11-22")
    found = handover(new)
    assert found.since is not None
    assert found.since.words == "the sign-off of rigs/a.yaml on 2026-11-15"


def test_a_comment_or_another_order_is_no_change(house: Path, walked: Walk) -> None:
    rig = house / "rigs" / "a.yaml"
    walked(rig, "2026-11-22")
    rig.write_text("# a remark\n" + rig.read_text())
    assert handover(rig).past.own is not None


def test_another_rig_may_be_named(house: Path) -> None:
    old, new = house / "rigs" / "a.yaml", house / "rigs" / "b.yaml"
    new.write_text(old.read_text() + "devices: {east-box: {output_bank: 1-8}}\n")
    found = handover(new, old)
    assert found.since is not None
    assert found.since.words == str(old)
    assert found.told is not None
    assert found.told[0].words == "east-box: the output selector stands at 1–8 (before: 9–16)"
    assert found.next_steps[0].startswith("Put right: ")


def test_what_failed_is_told_with_its_cure_and_what_keeps_failing(house: Path, walked: Walk) -> None:
    rig = house / "rigs" / "a.yaml"
    walked(rig, "2026-11-15", {"bank/east-box": ("1-8", "turned it")})
    walked(rig, "2026-11-22", {"bank/east-box": ("17-24", "taped it down"), "bank/west-box": ("9-16", "turned it")})
    found = handover(rig)
    told = lists(found)
    assert told["What failed in the walk, and its cure"] == (
        "✓ east-box, output bank: 9–16 — seen: 17-24 (S. Stage); cure: taped it down",
        "✓ west-box, output bank: 1–8 — seen: 9-16 (S. Stage); cure: turned it",
    )
    assert told["What fails again and again"] == (
        "east-box, output bank: 9–16: in 2 of the last 2 walks (2026-11-15, 2026-11-22); last cure: taped it down",
    )
    assert told["Who did what"] == (
        "L. Lead (lead): go in the poll as lead, entered by S. Stage, signed",
        "S. Stage (stage): answered 3 items for stage (2), lead (1), said go in the poll as stage, entered the poll for "
        "lead",
        "S. Second: answered 2 items for stage (2 entered by S. Stage)",
    )
    assert told["Noted on the way"] == ("the door sticks (S. Stage)",)
    assert "Find out why it keeps failing: east-box, output bank: 9–16" in found.next_steps


def test_ten_walks_back_is_as_far_as_it_looks_and_history_too(house: Path, walked: Walk) -> None:
    rig = house / "rigs" / "a.yaml"
    wrong = {"bank/east-box": ("1-8", "turned it")}
    walked(rig, "2026-09-01", wrong)
    for week in range(9):
        walked(rig, f"{date(2026, 9, 7) + timedelta(weeks=week)}", wrong if week == 8 else {})
    (row,) = handover(rig).recurring
    assert (row.dates, row.of) == (("2026-09-01", "2026-11-02"), 10)
    assert [(len(told.walks), told.of) for told in in_history(handover(rig).past.walks)] == [(2, 10)]
    walked(rig, "2026-11-09")
    assert handover(rig).recurring == in_history(handover(rig).past.walks) == []


def test_what_was_never_put_right_is_a_next_step(house: Path, walked: Walk) -> None:
    rig = house / "rigs" / "a.yaml"
    walked(rig, "2026-11-22", {"bank/east-box": ("1-8", "")})
    found = handover(rig)
    assert "Still open from the walk: east-box, output bank: 9–16: seen 1-8" in found.next_steps
    assert "✗ NO-GO" in page_text(handover_page(found), 80)
    assert lists(found)["Why it was signed no-go"]


def test_waivers_have_their_days_left_and_gear_its_place(house: Path, walked: Walk) -> None:
    rig = house / "rigs" / "a.yaml"
    rig.write_text(
        rig.read_text()
        + """
sources: {clarinet: {kind: dynamic-microphone, plugged_into: east-box/in/8}}
waivers: [{rule: source-unheard, about: clarinet, because: next week, by: M. Okafor, until: 2026-12-03}]
gear:
  short-stands: {state: borrowed, what: two short stands, who: the school, until: 2026-12-06}
  red-wedge: {state: broken, who: T. Lindqvist, note: cuts out}
dead: {east-box/in/5-6: no signal}
"""
    )
    walked(rig, "2026-11-22")
    found = handover(rig)
    told = lists(found)
    (waiver,) = told["Waivers"]
    words = "source-unheard for clarinet: 7 days left, by M. Okafor until 2026-12-03: next week"
    assert waiver.startswith(f"{words}; nobody else is named as having asked for it — accepted: clarinet ")
    assert told["Borrowed, lent, broken, missing"] == (
        "two short stands: borrowed from the school, until 2026-12-06",
        "red-wedge: broken, seen to by T. Lindqvist, cuts out",
    )
    assert found.next_steps == [
        "The waiver of source-unheard for clarinet ends in 7 days: cure what it waives before.",
        "Give back two short stands to the school by 2026-12-06.",
        "Have red-wedge mended (T. Lindqvist).",
        "Have east-box/in/5-6 mended (no signal), then take it out of `dead:`.",
    ]
    assert told["Dead"] == ("east-box/in/5–6 are dead (no signal).",)


def test_the_json_says_the_same(house: Path, walked: Walk) -> None:
    from jsonschema import Draft202012Validator

    old, new = house / "rigs" / "a.yaml", house / "rigs" / "b.yaml"
    walked(old, "2026-11-15", {"bank/east-box": ("1-8", "turned it")})
    new.write_text(old.read_text() + "channels: {2: {gain_db: 30}}\n")
    signed = walked(new, "2026-11-22", {"bank/east-box": ("1-8", "turned it")})
    data = json.loads(handover_json(handover(new)))
    Draft202012Validator(closed("handover-report")).validate(data)
    assert data["signed"]["seal"] == signed.seal
    assert data["changes"][0]["changes"] == [
        {"section": "channels", "row": "desk/channel/2", "field": "gain_db", "before": None, "after": 30}
    ]
    assert data["recurring"][0]["dates"] == ["2026-11-15", "2026-11-22"]


def test_a_sign_off_of_an_older_rigwalk_is_told(house: Path, walked: Walk, monkeypatch: pytest.MonkeyPatch) -> None:
    from lint.walk import session

    whole = session.signed_body

    def without(*arguments: object) -> dict[str, object]:
        return {key: value for key, value in whole(*arguments).items() if key != "rig_as_signed"}  # type: ignore[arg-type]

    monkeypatch.setattr(session, "signed_body", without)
    rig = house / "rigs" / "a.yaml"
    walked(rig, "2026-11-22")
    with pytest.raises(NothingToCompareError, match="written by an older rigwalk"):
        handover(rig)


@pytest.fixture
def own_model(house: Path) -> Path:
    """A model of the house's own for its east-box, in its file."""
    (house / "models").mkdir()
    source = Path(lint.__file__).parent / "models" / "stage-box-8x8.yaml"
    model = house / "models" / "own-box.yaml"
    shutil.copy(source, model)
    rig = house / "rigs" / "a.yaml"
    rig.write_text(rig.read_text() + "devices: {east-box: {model: own-box}}\n")
    return model


def test_a_signed_rig_is_compared_on_its_models_as_they_were_signed(house: Path, own_model: Path, walked: Walk) -> None:
    rig = house / "rigs" / "a.yaml"
    walked(rig, "2026-11-15")
    rig.write_text(rig.read_text().replace("model: own-box", "model: stage-box-8x8"))
    own_model.unlink()  # nobody needs the file any more: the record holds what it said
    found = handover(rig)
    assert [told.words for told in found.told or ()] == [
        "east-box was exchanged: it is a stage-box-8x8 now (before: own-box)"
    ]


def test_where_only_a_model_was_changed_it_says_so(house: Path, own_model: Path, walked: Walk) -> None:
    rig = house / "rigs" / "a.yaml"
    walked(rig, "2026-11-15")
    assert handover(rig).past.own is not None
    text = own_model.read_text()
    assert "phantom: each" in text or "phantom" not in text
    own_model.write_text(re.sub(r"inputs:\s*\{count: 8", "inputs: {count: 6", text))
    assert own_model.read_text() != text
    found = handover(rig)
    assert found.past.own is None
    (title,) = (title for title in lists(found) if title.startswith("What changed"))
    assert lists(found)[title] == (
        "only what the models say of the equipment: the rig is written as it was",
        "the model own-box (of east-box) is described otherwise now: inputs: 6 (before: 8)",
    )
    assert "but its models were changed after that sign-off." in " ".join(page_text(handover_page(found), 100).split())
    assert "This rig as it stands is not signed off: walk it, and sign it off." in found.next_steps


def test_a_record_without_models_is_compared_on_those_of_today(
    house: Path, own_model: Path, walked: Walk, monkeypatch: pytest.MonkeyPatch
) -> None:
    from lint.walk import session

    whole = session.signed_body

    def without(*arguments: object) -> dict[str, object]:
        return {key: value for key, value in whole(*arguments).items() if key != "models_as_signed"}  # type: ignore[arg-type]

    monkeypatch.setattr(session, "signed_body", without)
    rig = house / "rigs" / "a.yaml"
    walked(rig, "2026-11-15")
    assert handover(rig).past.own is not None
    rig.write_text(rig.read_text().replace("model: own-box", "model: stage-box-8x8"))
    own_model.unlink()
    with pytest.raises(NothingToCompareError, match=r"is no rig any more .*no model is called 'own-box'"):
        handover(rig)


def test_a_record_that_was_altered_is_told_on_the_page(house: Path, walked: Walk) -> None:
    rig = house / "rigs" / "a.yaml"
    walked(rig, "2026-11-15")
    walked(rig, "2026-11-22")
    with sqlite3.connect(ledger_path(rig)) as database:
        database.execute("DROP TRIGGER never_altered")
        (last,) = database.execute("SELECT max(seq) FROM entries").fetchone()
        database.execute("UPDATE entries SET body = replace(body, 'go', 'GO') WHERE seq = ?", (last,))
    found = handover(rig)
    assert f"✗ Record {last} of the house does not hold" in page_text(handover_page(found), 80)


def test_next_weeks_file_tells_of_the_walk_that_it_is_compared_with(house: Path, walked: Walk) -> None:
    old, new = house / "rigs" / "a.yaml", house / "rigs" / "b.yaml"
    walked(old, "2026-11-22", {"bank/east-box": ("17-24", "taped it down")})
    new.write_text(old.read_text().replace("2026-11-22", "2026-11-29").replace("S. Stage", "N. Next"))
    for found in (handover(new), handover(new, old)):
        told = lists(found)
        assert told["What failed in the walk of rigs/a.yaml on 2026-11-22, and its cure"] == (
            "✓ east-box, output bank: 9–16 — seen: 17-24 (S. Stage); cure: taped it down",
        )
        assert told["Noted on the way in the walk of rigs/a.yaml on 2026-11-22"] == ("the door sticks (S. Stage)",)
        who = told["Who did what in the walk of rigs/a.yaml on 2026-11-22"]
        assert (
            "S. Stage (stage): answered 3 items for stage (2), lead (1), said go in the poll as stage, entered the poll for lead"
            in who
        )
        data = json.loads(handover_json(found))
        assert [row["cure"] for row in data["failed"]] == ["taped it down"]
        assert data["people"] == list(who)
        assert data["notes"] == ["the door sticks (S. Stage)"]


def test_cures_come_with_their_words_of_care_once_each(house: Path) -> None:
    old, new = house / "rigs" / "a.yaml", house / "rigs" / "b.yaml"
    new.write_text(old.read_text() + "devices: {east-box: {output_bank: 1-8}}\n")
    found = handover(new, old)
    rules = {row.rule for row in (*found.no_gos, *found.cautions)}
    care = {rule.safety for rule in found.checked.catalogue.documented.values() if rule.id in rules and rule.safety}
    text = "\n".join((*found.next_steps, *found.open_cautions))
    assert care
    for words in care:
        assert len(re.findall(rf"CARE \d+: {re.escape(' '.join(words.split()))}", text)) == 1
    assert all(" Cure: " in step for step in found.next_steps if step.startswith("Put right"))
    assert all(" Cure: " in line for line in found.open_cautions)


@pytest.mark.parametrize("write", [page_html, page_markdown, lambda page: page_text(page, 100)])
def test_care_stands_before_the_cure_in_every_form(write: Callable[[Page], str]) -> None:
    found = handover(DEMO / "faulty-week.yaml", DEMO / "clean-week.yaml")
    documented = found.checked.catalogue.documented
    findings = [*found.no_gos, *found.cautions]
    lines = [line for line in (*found.next_steps, *found.open_cautions) if " Cure: " in line]
    assert len(lines) == len(findings) == 11
    told: list[str] = []
    for row, line in zip(findings, lines, strict=True):
        rule = documented[row.rule]
        if rule.safety in told:
            assert f"CARE: as CARE {told.index(rule.safety) + 1}. Cure: " in line
        elif rule.safety:
            told.append(rule.safety)
            assert f"CARE {len(told)}: {' '.join(rule.safety.split())} Cure: " in line
        assert "CARE" not in line.partition(" Cure: ")[2]
    assert len(told) > 1
    text = " ".join(re.sub("</?strong>|\\\\", "", write(handover_page(found))).split())
    for line in lines:
        assert " ".join(escape(line).replace("&#x27;", "'").split()) in text.replace("&#x27;", "'") or line in text


def test_a_sheet_without_a_seal_speaks_of_none(house: Path, walked: Walk) -> None:
    old, new = house / "rigs" / "a.yaml", house / "rigs" / "b.yaml"
    new.write_text(old.read_text() + "channels: {2: {gain_db: 30}}\n")
    assert "Keep this sheet" not in page_text(handover_page(handover(new, old)), 80)
    walked(new, "2026-11-22")
    assert (
        "Keep this sheet: by a seal, rigwalk history --seal tells whether the record up to it was changed since."
        in " ".join(page_text(handover_page(handover(new, old)), 80).split())
    )


def test_a_waiver_of_nothing_is_no_deadline(house: Path) -> None:
    old, new = house / "rigs" / "a.yaml", house / "rigs" / "b.yaml"
    waiver = "{rule: source-unheard, about: vocal, because: later, by: M. Okafor, until: 2026-12-03}"
    new.write_text(f"{old.read_text()}waivers: [{waiver}]\n")
    found = handover(new, old)
    assert "The waiver of source-unheard for vocal waives nothing: take it out." in found.next_steps
    assert not any("ends in" in step for step in found.next_steps)
    assert lists(found)["Waivers"][0].endswith(" — it waives nothing")


OTHER_ITEM = '{id: doors, role: stage, challenge: "The doors: shut"}'
BEFORE = "What failed before and was not seen go in a walk since"


def test_what_failed_last_week_stays_until_a_walk_sees_it_go(house: Path, walked: Walk) -> None:
    rig, checklist = house / "rigs" / "a.yaml", house / "checklists" / "full-walk.yaml"
    walked(rig, "2026-11-08", {"bank/east-box": ("1-8", "turned it")})
    written = checklist.read_text()
    checklist.write_text(re.sub(r"\{id: bank, .*\}$", OTHER_ITEM, written, flags=re.MULTILINE))
    rig.write_text(rig.read_text() + "channels: {2: {gain_db: 30}}\n")
    walked(rig, "2026-11-15")  # this week's walk looks at other things
    found = handover(rig)
    assert lists(found)[BEFORE] == (
        "✓ east-box, output bank: 9–16 — seen: 1-8 (S. Stage); cure: turned it — on 2026-11-08",
    )
    assert (
        "Look at it again: east-box, output bank: 9–16: it failed on 2026-11-08 and no walk has seen it go since"
        in found.next_steps
    )
    assert [row["on"] for row in json.loads(handover_json(found))["failed_before"]] == ["2026-11-08"]
    assert not found.recurring
    assert page_text(handover_page(found), 100).index("CARE: Mute, turn") < page_text(handover_page(found), 100).index(
        "cure: turned it"
    )
    checklist.write_text(written)
    walked(rig, "2026-11-22")
    assert BEFORE not in lists(handover(rig))


def test_what_was_never_put_right_stays_however_long_ago(house: Path, walked: Walk) -> None:
    rig, checklist = house / "rigs" / "a.yaml", house / "checklists" / "full-walk.yaml"
    walked(rig, "2026-06-07", {"bank/east-box": ("1-8", ""), "bank/west-box": ("9-16", "turned it")})
    written = checklist.read_text()
    checklist.write_text(re.sub(r"\{id: bank, .*\}$", OTHER_ITEM, written, flags=re.MULTILINE))
    for week in range(10):
        walked(rig, f"{date(2026, 9, 20) + timedelta(weeks=week)}")
    found = handover(rig)
    (line,) = lists(found)[BEFORE]  # what was cured more than ten walks ago is told no more
    assert line.startswith("✗ east-box")
    assert (
        "Still open from the walk of rigs/a.yaml on 2026-06-07: east-box, output bank: 9–16: seen 1-8"
        in found.next_steps
    )


def test_what_hunts_found_is_told_since_the_last_ten_walks_began(house: Path, walked: Walk) -> None:
    rig = house / "rigs" / "a.yaml"
    walked(rig, "2026-11-15")
    checked = check_file(rig)
    parts = path_of(checked.resolved, target_of(checked.resolved, "lead-vocal", None))
    hunt = Hunt(parts, "dead", likelihoods(parts, "dead", []))
    for _ in range(50):
        if hunt.found is None:
            hunt = hunt.answered("y" if hunt.question and hunt.question.kind != "look" else "n")
    for month, day in ((9, 1), (11, 20)):
        with Ledger(ledger_path(rig)) as ledger:
            record_hunt(
                ledger, "rigs/a.yaml", "lead-vocal", hunt, "M. Mixer", datetime(2026, month, day, 9, tzinfo=UTC)
            )
    found = handover(rig)
    (line,) = lists(found)["What hunts found, and its cure"]
    assert line.startswith("lead-vocal on 2026-11-20: nothing comes through — found: ")
    assert "(M. Mixer); cure: " in line
    (row,) = json.loads(handover_json(found))["hunts"]
    assert (row["on"], row["about"], row["rig"]) == ("2026-11-20", "lead-vocal", "rigs/a.yaml")
    assert row["is_found"]


def test_a_hunt_in_vain_is_told_as_such_until_the_fault_is_found(house: Path, walked: Walk) -> None:
    rig = house / "rigs" / "a.yaml"
    walked(rig, "2026-11-15")
    checked = check_file(rig)
    parts = path_of(checked.resolved, target_of(checked.resolved, "lead-vocal", None))
    begun = Hunt(parts, "dead", likelihoods(parts, "dead", []))
    vain = begun.answered("y").answered("y")

    def noted(hunt: Hunt, about: str, day: int) -> None:
        with Ledger(ledger_path(rig)) as ledger:
            record_hunt(ledger, "rigs/a.yaml", about, hunt, "M. Mixer", datetime(2026, 11, day, 9, tzinfo=UTC))

    noted(vain, "lead-vocal", 18)
    noted(begun.answered("n"), "choir", 19)
    found = handover(rig)
    first, second = lists(found)["What hunts did not find"]
    assert first.startswith(
        "✗ lead-vocal on 2026-11-18: nothing comes through (M. Mixer) — not found after 1 answer; ruled out, if only one "
        "thing has failed: "
    )
    assert first.endswith("; to do: hunt it again")
    assert second == (
        "✗ choir on 2026-11-19: nothing comes through (M. Mixer) — smoke, water, heat or a tingle: nothing more may be touched; "
        "to do: keep away from it until a licensed electrician has seen it"
    )
    assert "What hunts found, and its cure" not in lists(found)
    assert "Still not found: lead-vocal, dead on 2026-11-18: hunt it again." in found.next_steps
    hunt = begun
    for _ in range(50):
        if hunt.found is None:
            hunt = hunt.answered("y" if hunt.question and hunt.question.kind != "look" else "n")
    noted(hunt, "lead-vocal", 20)
    found = handover(rig)
    assert [row.about for row in found.hunts] == ["choir", "lead-vocal"]
    assert not any("lead-vocal, dead" in step for step in found.next_steps)


CLOSING = """\
checklist_format: 1
title: Our close-down
extends: close-down
"""


@pytest.mark.parametrize("checklist", ["close-down", "our-close-down"])
def test_a_close_downs_go_is_not_the_rigs(house: Path, walked: Walk, checklist: str) -> None:
    """Neither the walk's verdict nor the last sign-off; what was noted at it is told all the same."""
    (house / "checklists" / "our-close-down.yaml").write_text(CLOSING)
    rig = house / "rigs" / "a.yaml"
    walked(rig, "2026-11-21", go=False)
    walked(rig, "2026-11-22", checklist=checklist)
    found = handover(rig)
    page = page_text(handover_page(found), 200)
    assert "✗ NO-GO" in page and "✓ GO" not in page
    assert "Noted on the way in the close-down on 2026-11-22" in page.replace("\n", " ")
    past = found.past
    assert past.own is not None and past.own.body["verdict"] == "no-go"
    assert past.closed is not None and past.closed.verdict == "go"


def test_with_a_close_down_alone_nothing_is_signed_off(house: Path, walked: Walk) -> None:
    rig = house / "rigs" / "a.yaml"
    walked(rig, "2026-11-22", checklist="close-down")
    assert handover(rig).past.own is None
    assert "NOT signed off" in page_text(handover_page(handover(rig)), 80)


def test_a_go_that_a_no_go_came_after_counts_no_more(house, walked) -> None:
    """And what the signature goes without stands on the page."""
    rig = house / "rigs" / "a.yaml"
    walked(rig, "2026-11-22")
    with Ledger(ledger_path(rig)) as ledger:
        last = ledger.entries()[-1]
        body = {"role": "stage", "answer": "no-go", "said": "smoke", "person": "", "by": "S. Stage"}
        ledger.append(last.walk, "poll", {**body, "utc": "2026-11-22T09:10:00Z", "local": "2026-11-22T09:10:00+00:00"})
    found = handover(rig)
    text = " ".join(page_text(handover_page(found), 80).split())
    assert "✗ NO-GO (✓ GO signed, overtaken by a no-go at 09:10)" in text
    assert "Why it is a no-go" in text and "have the lead sign anew" in text
    data = json.loads(handover_json(found))
    assert data["signed"]["verdict"] == "no-go"
    assert data["signed"]["overtaken"].startswith("2026-11-22T09:10")
    assert any("safety cautions of full-walk" in row for row in data["signed"]["without"])


def test_a_clock_that_was_set_back_is_one_line_at_the_foot(house: Path, walked: Walk) -> None:
    rig = house / "rigs" / "a.yaml"
    walked(rig, "2026-11-22")
    found = handover(rig)
    assert "A clock" not in page_text(handover_page(found), 80)
    assert json.loads(handover_json(found))["odd"] == []
    walked(rig, "2026-11-15")
    found = handover(rig)
    (line,) = [line for line in handover_page(found).foot if "clock" in line]
    assert line.startswith("! Walk 2: record ")
    assert "is dated 2026-11-15 " in line
    assert line.endswith("which was written earlier. A clock was wrong, or was set back.")
    assert json.loads(handover_json(found))["odd"] == [line.removeprefix("! ")]
    walked(rig, "2026-11-08")
    (line,) = [line for line in handover_page(handover(rig)).foot if "clock" in line]
    assert line.startswith("! Walk 3: record ")
    assert line.endswith("set back. So it was in 1 earlier walk: see rigwalk history.")
