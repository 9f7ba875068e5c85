"""The walks of a house as text: listed, one in full, what fails again and again, and the proof."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import timedelta
from typing import Any

from lint.check.left_out import not_checked
from lint.page.layout import wrapped
from lint.record.ledger import Proof
from lint.record.received import received_lines
from lint.record.recurring import Recurring
from lint.record.seal import matches, short
from lint.record.walks import PastWalk
from lint.walk.change import answered, change_between
from lint.walk.entry import BEGUN, CHANGED, IN_POLL, Entry, entered
from lint.walk.pace import MOST_TIME, clocked, is_call, time_between

_INDENT = " " * 14


def proof_text(proof: Proof) -> str:
    """Return how many records hold, or which is the first that does not."""
    if proof.broken is not None:
        broken = f"✗ Record {proof.broken.seq} does not hold: {proof.broken.why}."
        before = f"The {proof.holding} before it hold."
        rest = f"{before} Not provable from record {proof.broken.seq} on: nothing of that is shown."
        return f"{wrapped(broken)}\n{wrapped(rest)}"
    if not proof.holding:
        return wrapped("○ There is no record in this file: none was ever made, or all of them were taken out.")
    return "\n".join(
        (
            wrapped(
                f"✓ Each of the {proof.holding} records holds: none was altered, dropped or reordered without sealing "
                "all anew."
            ),
            f"Last seal: {short(proof.last_seal)}",
            wrapped(
                "Not shown by this: all seals made anew by who can write the file, an end cut off, an older copy or "
                "another house's record in its place. A seal on paper shows them up to its own record (--seal), and a "
                "key up to what it signed (--signed-with); what came after, nothing shows once it is cut off."
            ),
        )
    )


def odd_text(words: str) -> str:
    """Return something odd about the record."""
    return wrapped(f"! {words}")


def recurring_text(row: Recurring) -> str:
    """Return what fails again and again, with what was seen and done each time."""
    lines = [f"! Again and again: {', '.join(row.addresses)}: in {len(row.walks)} of the last {row.of} walks"]
    for failure in row.failures:
        cure = f"; then {failure.cure}" if failure.cure else ""
        lines.append(f"  {failure.day}, walk {failure.walk}: {failure.seen or 'no words'}{cure}")
    return "\n".join(wrapped(line.strip(), line[: len(line) - len(line.lstrip())], "    ") for line in lines)


def received_text(entry: Entry) -> str:
    """Return a handover that was said back."""
    head, *points = received_lines(entry.body)
    lines = [
        wrapped(head, "     ", "     "),
        *(wrapped(point, "       ", "       ") for point in points),
    ]
    return "\n".join([*lines, f"     seal {short(entry.seal)}"])


def signature_text(walk: PastWalk) -> str:
    """Return what became of the signature with a key over a sign-off; empty where none was made or said to be."""
    key, fault, unverified = walk.signature.key, walk.signature.fault, walk.signature.unverified
    if fault:
        return wrapped(f"✗ Walk {walk.number}: {fault}.")
    if unverified:
        return wrapped(f"○ Walk {walk.number}: signed with the key {short(key)}, not verified: {unverified}")
    return wrapped(f"✓ Walk {walk.number}: the signature with the key {short(key)} holds.") if key else ""


def demanded_text(walk: PastWalk, key: str) -> str:
    """Say that a sign-off is not proven to be signed with a key that was asked for; empty where it is."""
    if not walk.seal or (
        matches(walk.signature.key, key) and not walk.signature.fault and not walk.signature.unverified
    ):
        return ""
    other = (
        f"it is signed with {short(walk.signature.key)}" if walk.signature.key else "it bears no signature that holds"
    )
    return wrapped(f"✗ Walk {walk.number}: not proven to be signed with the key {key}: {other}.")


def walk_lines(walk: PastWalk, proof: Proof) -> str:
    """Return a walk in two or three lines."""
    event = f" — {walk.event}" if walk.event else ""
    head = f"{walk.begun[:10]} {walk.begun[11:16]}  {walk.rig}, {walk.checklist}{event}"
    answers = "1 answer" if walk.answered == 1 else f"{walk.answered} answers, second looks and calls counted"
    lines = [
        wrapped(head, f"{walk.number:>3}  ", "     "),
        wrapped(f"{_verdict(walk, proof)}, {answers}, walked by {', '.join(walk.people)}", "     "),
    ]
    lines += [wrapped(f"! {walk.pace}", "     ")] if walk.pace else []
    return "\n".join([*lines, f"     seal {short(walk.seal)}"] if walk.seal else lines)


def _verdict(walk: PastWalk, proof: Proof) -> str:
    if walk.verdict is None:
        # What came after the break can't be read as proven: it may well have been signed there.
        return "○ NOT SIGNED" if proof.broken is None else f"○ NOT PROVABLE from record {proof.broken.seq} on"
    is_go = walk.signed_go
    mark = "✓ GO" if is_go else "✗ NO-GO"
    mark += "" if walk.signs_off else " for the close-down"
    mark += f" ({walk.exceptions})" if walk.exceptions else ""
    signed = f"{mark} signed by {walk.lead}, {walk.signed[:10]} {walk.signed[11:16]}"
    return f"✗ NO-GO: {signed}, {undone_words(walk)}" if is_go and walk.verdict != "go" else signed


def undone_words(walk: PastWalk) -> str:
    """Say why a signed go is a no-go all the same."""
    if walk.signature.fault:
        return "and its signature with a key is amiss (see below)"
    return f"overtaken by a no-go at {walk.overtaken[11:16]} and not signed anew"


def walk_text(walk: PastWalk, proof: Proof) -> str:
    """Return a walk with every entry."""
    shown, day = [walk_lines(walk, proof), ""], ""
    has_days = len({entry.body["local"][:10] for entry in walk.entries}) > 1
    since = walk.entries[0]
    for place, entry in enumerate(walk.entries):
        before = walk.entries[:place]
        is_change = entry.kind == CHANGED
        lines = _changed_lines(before, entry.body) if is_change else _LINES.get(entry.kind, _other_line)(entry.body)
        if is_call(entry):
            lines, since = [*lines, _took(time_between(since.body, entry.body), since)], entry
        if (today := entry.body["local"][:10]) != day and has_days:
            shown, day = [*shown, f"       {today}"], today
        shown.append(wrapped(lines[0], f"{entry.seq:>5}  {entry.body['local'][11:16]}  ", _INDENT))
        shown += [wrapped(line, _INDENT) for line in lines[1:]]
    return "\n".join(shown)


def _changed_lines(before: Sequence[Entry], body: Mapping[str, Any]) -> list[str]:
    """Say what a change of the files did to what is asked, by what stood in the record before it."""
    last = next(entry for entry in reversed(before) if entry.kind in (BEGUN, CHANGED))
    change = change_between(last.body, body, answered(before))
    if change is None:
        return [f"nothing had changed after all, at the terminal of {body['by']}"]
    asked = [words for _, words in change.rows] or ["nothing that is asked is another"]
    return [f"{change.head} had changed, at the terminal of {body['by']}", *change.told, *asked]


def _took(time: timedelta, since: Entry) -> str:
    """Say how long a phase took, and where that is longer than people keep to a list."""
    long = f" (lists that take longer than {clocked(MOST_TIME)} are cut short by people)" if time > MOST_TIME else ""
    return f"{clocked(time)} since {'the call before' if is_call(since) else 'the walk began'}{long}"


def _answer_lines(body: Mapping[str, Any]) -> list[str]:
    asked = body["asked"]
    unit = f" {asked['measure']['unit']}" if asked["measure"] else ""
    value = f" {body['value']}{unit}" if body["value"] else ""
    detail = body["seen"] or body["reason"] or ("no words yet" if body["answer"] == "no-go" else "")
    second = "second look: " if body["item"].startswith("second/") else ""
    nobody = bool(second) and body["answer"] == "not-applicable" and not body.get("looked")
    said = "NOBODY LOOKED SECOND" if nobody else body["answer"].upper()
    lines = [second + asked["challenge"], f"{said}{value}, by {_people(body)} ({body['role']})"]
    if detail:
        lines.append(f"{'because' if body['reason'] else 'seen'}: {detail}")
    return lines


def _poll_line(body: Mapping[str, Any]) -> str:
    who = f"{body['role']} ({body['person']})" if body["person"] else body["role"]
    said = f" ({body['said']})" if body["said"] else ""
    return f"poll: {who} says {body['answer']}{said}{entered(body, body['person'])}"


def _cured(item: str) -> str:
    role = item.removeprefix(f"{IN_POLL}/")
    return item if role == item else f"what the {role} said no-go to in the poll"


def _people(body: Mapping[str, Any]) -> str:
    other = body.get("together_with")
    told = f"{body['by']} and {other}, together" if other else str(body["by"])
    return told + entered(body, body["by"])


def _signed_lines(body: Mapping[str, Any]) -> list[str]:
    return [
        f"signed {body['verdict'].upper()} by {body['lead']}{entered(body, body['lead'])}",
        *(f"because: {reason}" for reason in body["reasons"]),
        *_left_out(body),
        *body.get("thunder", ()),
        *_waived(body),
        *(f"rule {row}" for row in body.get("rules_off", ())),
        *filter(None, [not_checked(body.get("not_checked", []))]),
        # Walks that were signed before this was kept have no such list.
        *(f"nothing starts without it, not applicable: {row}" for row in body.get("killers_not_applicable", ())),
        *(f"accepted by the lead: {row}" for row in body.get("accepted", ())),
        *(f"nothing starts without it, no second look: {row}" for row in body.get("no_second_look", ())),
    ]


def _waived(body: Mapping[str, Any]) -> list[str]:
    """Say what was waived at a sign-off; older records do not hold the words of it."""
    rows = [(row["message"].rstrip("."), row["waived"]) for row in body["findings"] if row["waived"]]
    return [f"{message}. Waived {waived.get('words') or 'by ' + waived['by']}" for message, waived in rows]


def _left_out(body: Mapping[str, Any]) -> list[str]:
    return [f"the house's list leaves out: {words}" for words in body.get("left_out", ())]


def _hunt_line(body: Mapping[str, Any]) -> str:
    again = " gone on with" if body.get("goes_on_from") else ""
    return f"hunt{again}: {body['about']} {body['symptom']}: {body['found']}; {body['cure']}, by {body['by']}"


def _other_line(body: Mapping[str, Any]) -> list[str]:
    return [f"by {body['by']}"]


_LINES: dict[str, Callable[[Mapping[str, Any]], list[str]]] = {
    "begun": lambda body: [f"begun by {body['by']}: {body['checklist']}, {len(body['items'])} items", *_left_out(body)],
    "resumed": lambda body: [f"resumed by {body['by']}"],
    "answer": _answer_lines,
    "seen": lambda body: [f"seen at {body['item']}: {body['seen']}, by {body['by']}"],
    "cure": lambda body: [f"cure of {_cured(body['item'])}: {body['cure']}, by {body['by']}"],
    "note": lambda body: [f"note{' on ' + body['item'] if body['item'] else ''}: {body['note']}, by {body['by']}"],
    "poll": lambda body: [_poll_line(body)],
    "hunt": lambda body: [_hunt_line(body)],
    "thunder": lambda body: [f"thunder at {body['heard_local'][11:16]}: held until {body['releases']} releases it"],
    "all-clear": lambda body: [f"all clear: the thunder hold is released by {body['by']}"],
    "signed": _signed_lines,
    "kept": lambda body: [
        f"went on without asking again {len(body['items'])} that others had answered, or more than ten minutes before, "
        f"by {body['by']}"
    ],
    "reopened": lambda body: [
        f"{len(body['items'])} asked again"
        + (", being of another day" if body.get("because") else "")
        + f", by {body['by']}"
    ],
    "signature": lambda body: [f"signature over the seal {body['of_seal'][:16]} by the key {body['public_key'][:16]}"],
}
