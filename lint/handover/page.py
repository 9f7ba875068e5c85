"""The handover as one page, and as data for programs."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict
from typing import Any

from lint.check.finding import Finding
from lint.check.left_out import rules_off, silent_parts, waived, waived_counts
from lint.handover.handover import Handover, counted_days, gear_words
from lint.handover.walked import (
    Failure,
    Found,
    NotApplicable,
    failures,
    lacks,
    not_applicable,
    notes,
    reasons,
    verdict_words,
    who_did_what,
)
from lint.hunt.causes import SYMPTOMS
from lint.page.layout import counted
from lint.page.page import FOLLOWS, Block, Line, Page, Section, Words
from lint.record.received import received_lines
from lint.record.seal import digest_of, short
from lint.rig.rig import Waiver
from lint.sheet.book import VERDICTS, event_times, event_title
from lint.sheet.boxes import PLUGGING

FORMAT = 1


def handover_page(handover: Handover) -> Page:
    """Return the handover as one page."""
    rig = handover.checked.resolved.rig
    walk = handover.past.walk
    blocks: list[Block] = [_verdict(handover)]
    blocks += _why(handover)
    if handover.hunts or handover.earlier_failures or any(failures(told) for _, told, _ in handover.walks):
        blocks.append(PLUGGING)  # before all the cures of others, which may be done once more
    blocks.append(Words("Next steps", tuple(handover.next_steps), "None that the record or the rig file knows of."))
    blocks.append(_changes(handover))
    blocks.append(Words("Open cautions", tuple(handover.open_cautions), "None."))
    blocks += _not_looked_for(handover)
    for name, told, _ in handover.walks:
        if failed := failures(told):
            blocks.append(Words(f"What failed in {name}, and its cure", tuple(map(_failed_line, failed))))
    if earlier := handover.earlier_failures:
        lines = tuple(f"{_failed_line(row)} — on {walk.begun[:10]}" for walk, row in earlier)
        blocks.append(Words("What failed before and was not seen go in a walk since", lines))
    blocks += _hunts(handover)
    if handover.recurring:
        blocks.append(Words("What fails again and again", tuple(_recurring_lines(handover))))
    if handover.gear:
        blocks.append(Words("Borrowed, lent, broken, missing", tuple(map(gear_words, handover.gear))))
    if handover.dead:
        blocks.append(Words("Dead", tuple(f"{row.words}." for row in handover.dead)))
    blocks += _said_back(handover)
    blocks += [
        Words(f"Said not to apply in {name}", tuple(_not_applicable_lines(left)))
        for name, told, _ in handover.walks
        if (left := not_applicable(told))
    ]
    for name, told, of_rig in handover.walks:
        of = "" if told is walk else f" in {name}"
        blocks.append(Words(f"Who did what{of}", tuple(who_did_what(told, of_rig.crew))))
        if noted := notes(told):
            blocks.append(Words(f"Noted on the way{of}", tuple(noted)))
    section = Section("handover", "Handover", tuple(blocks), in_columns=True)
    subtitle = ", ".join(filter(None, (event_times(rig.event), rig.file, f"as of {handover.today}")))
    return Page(event_title(rig.event, rig.file), subtitle, (section,), tuple(_foot(handover)), rig.file)


def _said_back(handover: Handover) -> list[Block]:
    """Say whether somebody has taken over what this page tells, and what was said back at the last handover."""
    last, walk = handover.past.received, handover.past.walk
    is_of_this = last is not None and last.body.get("rig_digest") == digest_of(
        handover.checked.resolved.rig.document.data
    )
    is_taken = is_of_this and last is not None and (walk is None or last.seq > walk.entries[-1].seq)
    found: list[Block] = [] if is_taken else [Words("Taken over", (), "Nobody has taken this over yet.")]
    if last is not None:
        found.append(Words("The last handover that was said back", tuple(received_lines(last.body))))
    return found


def _verdict(handover: Handover) -> Line:
    walk, broken = handover.past.walk, handover.past.broken
    words = verdict_words(walk)
    if walk is not None and walk.verdict is not None:
        note = f"Signed by {walk.lead} on {walk.signed[:10]} at {walk.signed[11:16]}. Seal: {short(walk.seal)}."
        if handover.past.is_other_model:
            note += " The rig file is as it was signed, but its models were changed after that sign-off."
        elif handover.past.own is None:
            note += " The rig file was changed after that sign-off."
    elif broken is not None:
        words = f"✗ NOT PROVABLE from record {broken.seq} of the house on"
        note = f"That record does not hold ({broken.why}): whether anybody signed after it can't be told."
    else:
        note = "NOT signed off: this is what is known so far."
    if (by := handover.went_by) is not None:
        note = " ".join((note, f"Checklist: {by.checklist}, {counted(by.items, 'item')}.", *by.changed))
    by_file = VERDICTS[handover.checked.verdict.value]
    if counts := waived_counts(handover.checked):
        by_file += f" ({', '.join(counts)})"
    return Line("", (("The rig file", by_file), ("The walk", words)), note)


def _why(handover: Handover) -> Iterator[Block]:
    """Yield why the walk is a no-go, and what it and its signature go without."""
    walk, by = handover.past.walk, handover.went_by
    if walk is not None and walk.verdict == "no-go":
        is_undone = walk.overtaken or walk.signature.fault
        title = "Why it is a no-go" if is_undone else "Why it was signed no-go"
        yield Words(title, tuple(reasons(walk)))
    if without := lacks(walk):
        yield Words("What the signature goes without", tuple(without))
    if by is not None and by.not_asked:
        yield Words(f"Not asked in the {by.checklist} as the full walk does", (f"{'; '.join(by.not_asked)}.",))


def _not_looked_for(handover: Handover) -> Iterator[Block]:
    """Yield what the check's verdict goes without."""
    checked = handover.checked
    if handover.waivers:
        yield Words("Waivers", tuple(_waiver_lines(handover)))
    if off := rules_off(checked):
        yield Words("Rules switched off or set lower", tuple(off))
    if parts := silent_parts(checked):
        yield Words("Not checked, because the rig does not speak of it", (f"{', '.join(parts)}.",))


def _changes(handover: Handover) -> Words:
    if not handover.past.signed and handover.since is None and handover.past.broken is not None:
        nothing = "What was signed here can't be proved: nothing to compare with. --since RIG names another rig."
        return Words("What changed", (), nothing)
    if not handover.past.signed and handover.since is None:
        nothing = "No sign-off is recorded in this house: nothing to compare with. --since RIG names another rig."
        return Words("What changed", (), nothing)
    if handover.since is None or handover.told is None:
        return Words("What changed", (), "This is the first rig that was signed off here: nothing to compare it with.")
    lines = []
    if handover.told and all(change.section == "models" for told in handover.told for change in told.changes):
        lines.append("only what the models say of the equipment: the rig is written as it was")
    for told in handover.told:
        lines.append(told.words)
        lines += [FOLLOWS + words for words in told.follows]
    return Words(f"What changed since {handover.since.words}", tuple(lines), "Nothing.")


def _waiver_lines(handover: Handover) -> list[str]:
    lines = []
    for waiver, days in handover.waivers:
        left = "ended" if days < 0 else f"{counted_days(days)} left"
        idle = " — it waives nothing" if handover.is_idle(waiver) else ""
        asked = "" if waiver.asked_by else "; nobody else is named as having asked for it"
        found = [row.message.rstrip(".") for row in handover.checked.findings if row.waived == waiver]
        what = f" — accepted: {'; '.join(found)}" if found else ""
        lines.append(f"{waiver.rule} for {waiver.about}: {left}, {waiver.words}{asked}{idle}{what}")
    return lines


def _not_applicable_lines(rows: Sequence[NotApplicable]) -> Iterator[str]:
    for row in rows:
        yield f"{row.reason} ({row.by}), {counted(len(row.items), 'item')}:"
        yield from (FOLLOWS + item for item in row.items)


def _failed_line(row: Failure) -> str:
    return (
        f"{'✓' if row.settled else '✗'} {row.challenge} — seen: {row.seen or 'not said'} ({row.by}); "
        f"cure: {row.cure or 'none noted'}" + ("" if row.settled else "; not answered go since")
    )


def _hunts(handover: Handover) -> list[Words]:
    found = tuple(_found_line(row) for row in handover.hunts if row.is_found)
    vain = tuple(_vain_line(row) for row in handover.hunts if not row.is_found)
    blocks = (Words("What hunts found, and its cure", found), Words("What hunts did not find", vain))
    return [block for block in blocks if block.lines]


def _hunted(row: Found) -> str:
    """Say what was hunted when, and what was amiss with it: the symptoms are no words for a sentence by themselves."""
    return f"{row.about} on {row.on}: {SYMPTOMS.get(row.symptom, row.symptom)}"


def _found_line(row: Found) -> str:
    done = f" — done since, as {row.mended} said" if row.mended else ""
    return f"{_hunted(row)} — found: {row.found} ({row.by}); cure: {row.cure}{done}"


def _vain_line(row: Found) -> str:
    return f"✗ {_hunted(row)} ({row.by}) — {row.found}; to do: {row.cure}"


def _recurring_lines(handover: Handover) -> list[str]:
    return [
        f"{row.challenge}: in {len(row.dates)} of the last {row.of} walks ({', '.join(row.dates)})"
        + (f"; last cure: {row.cure}" if row.cure else "")
        for row in handover.recurring
    ]


def _foot(handover: Handover) -> list[str]:
    proof, broken = handover.past.proof, handover.past.broken
    lines = []
    if broken is not None:
        lines.append(f"✗ Record {broken.seq} of the house does not hold ({broken.why}); later ones are left out.")
    faults = [(row.number, row.signature.fault) for row in handover.past.walks if row.signature.fault]
    lines += [f"✗ Walk {number} of the house: {fault}." for number, fault in faults]
    if odd := handover.past.odd:
        before = len(odd) - 1
        more = f" So it was in {counted(before, 'earlier walk')}: see rigwalk history." if before else ""
        lines.append(f"! {odd[-1]}{more}")
    kept = ""
    if proof is not None and proof.holding:
        kept = (
            f" The house's record has {counted(proof.holding, 'entry', 'entries')} so far, the last with the seal "
            f"{short(proof.last_seal)}. Keep this sheet: by a seal, rigwalk history --seal tells whether the record up "
            "to it was changed since."
        )
    lines.append(f"Printed by rigwalk: it says what was checked and recorded.{kept}")
    return lines


def handover_json(handover: Handover) -> str:
    """Return the handover by `schemas/handover-report.schema.json`."""
    return json.dumps(_data(handover), ensure_ascii=False, indent=2)


def _data(handover: Handover) -> dict[str, Any]:
    rig = handover.checked.resolved.rig
    return {
        "format": FORMAT,
        "rig": rig.file,
        "event": {"name": rig.event.name, "date": rig.event.date.isoformat() if rig.event.date else None},
        "as_of": handover.today.isoformat(),
        "verdict": handover.checked.verdict.value,
        "signed": _signed(handover),
        "went_by": None if handover.went_by is None else asdict(handover.went_by),
        "proof": None if handover.past.proof is None else asdict(handover.past.proof),
        "odd": list(handover.past.odd),
        "since": handover.since.words if handover.since else None,
        "changes": None if handover.told is None else [told.as_data() for told in handover.told],
        "no_gos": list(map(_finding, handover.no_gos)),
        "cautions": list(map(_finding, handover.cautions)),
        "waived": waived(handover.checked),
        "rules_off": rules_off(handover.checked),
        "not_checked": silent_parts(handover.checked),
        "not_applicable": [asdict(row) for _, told, _ in handover.walks for row in not_applicable(told)],
        "waivers": [_waiver(waiver, days) for waiver, days in handover.waivers],
        "failed": [_failed(row) for _, told, _ in handover.walks for row in failures(told)],
        "failed_before": [
            {"on": walk.begun[:10], "rig": walk.rig, **_failed(row)} for walk, row in handover.earlier_failures
        ],
        "hunts": [asdict(row) for row in handover.hunts],
        "recurring": [
            {"challenge": row.challenge, "dates": list(row.dates), "cure": row.cure} for row in handover.recurring
        ],
        "gear": [gear_words(row) for row in handover.gear],
        "dead": [row.words for row in handover.dead],
        "people": [line for _, told, of_rig in handover.walks for line in who_did_what(told, of_rig.crew)],
        "notes": [line for _, told, _ in handover.walks for line in notes(told)],
        "next_steps": handover.next_steps,
        "received": None if handover.past.received is None else _received(handover.past.received.body),
    }


def _signed(handover: Handover) -> dict[str, Any] | None:
    walk = handover.past.walk
    if walk is None or walk.verdict is None:
        return None
    return {
        "verdict": walk.verdict,
        "overtaken": walk.overtaken or None,
        "signature": asdict(walk.signature),
        "answers": walk.answered,
        "quick_answers": walk.quick_answers,
        "by": walk.lead,
        "at": walk.signed,
        "seal": walk.seal,
        "same_rig": handover.past.own is not None,
        "without": lacks(walk),
    }


def _waiver(waiver: Waiver, days_left: int) -> dict[str, Any]:
    return {
        "rule": waiver.rule,
        "about": waiver.about,
        "because": waiver.because,
        "by": waiver.by,
        "until": waiver.until.isoformat(),
        "asked_by": waiver.asked_by or None,
        "instead": waiver.instead or None,
        "days_left": days_left,
    }


def _failed(row: Failure) -> dict[str, Any]:
    return {key: getattr(row, key) for key in ("challenge", "seen", "cure", "by", "settled")}


def _received(body: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "by": body["by"],
        "from": body["given_by"],
        "at": body["local"],
        "rig": body["rig"],
        "read_back": [dict(row) for row in body["read_back"]],
    }


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "rule": finding.rule,
        "about": finding.about,
        "message": finding.message,
        "cures": [cure.text for cure in finding.cures],
    }
