"""The sign-off: whether a walk may be signed go, why not, and what the record of it holds."""

from __future__ import annotations

import json
import platform
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from lint.check.finding import Finding
from lint.check.left_out import rules_off, silent_parts
from lint.rig.model import model_data
from lint.rig.person import same_person
from lint.rig.rig import Device
from lint.walk.answer import GO, HOLD, NO_GO, NOT_APPLICABLE, OPEN, Answer
from lint.walk.basis import Basis
from lint.walk.items import SECOND, Item
from lint.walk.state import State

UNANSWERED = "Not answered: "


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the lead signs: go or no-go, and for a no-go the reasons in plain words."""

    verdict: str
    reasons: Sequence[str]


def reasons_against(basis: Basis, state: State) -> list[str]:
    """Return why a go can't be signed, each in a sentence; empty where it can."""
    reasons = [
        f"The check of the rig file stands at no-go ({finding.rule}, {finding.about}): {finding.message}"
        for finding in basis.no_gos
    ]
    if state.thunder_hold is not None:
        reasons.append(state.thunder_hold.words)
    for item in state.with_status(NO_GO):
        cure = state.cures.get(item.key)
        tail = f"; then done: {cure}, but not answered again" if cure else ""
        reasons.append(f"No-go: {item.challenge} — seen: {state.seen(item)}{tail}")
    reasons += [f"Held: {item.challenge}" for item in state.with_status(HOLD)]
    reasons += [f"{UNANSWERED}{item.challenge}" for item in state.with_status(OPEN)]
    for role in state.plan.roles:
        poll = state.polls.get(role)
        if poll is None:
            reasons.append(f"The {role} was not polled")
        elif not state.poll_counts(role):
            reasons.append(f"The {role} was polled before the latest answer or change: ask again")
        elif poll.answer != GO:
            reasons.append(f"The {role} said no-go in the poll" + (f": {poll.said}" if poll.said else ""))
    return reasons


def not_applicable_killers(state: State) -> list[Item]:
    """Return what nothing should start without, and was said not to apply here."""
    return [item for item in state.with_status(NOT_APPLICABLE) if item.killer]


def seen_by_two(state: State, item: Item) -> bool:
    """Whether somebody else, too, said of a killer item that it is not applicable, asked to look second."""
    second = state.answers.get(f"{SECOND}/{item.key}")
    return second is not None and second.is_look and not same_person(second.by, state.answers[item.key].by)


def without_second_look(state: State) -> list[Item]:
    """Return the killer items that were a go, and whose second look was said not to be had."""
    found = state.with_status(NOT_APPLICABLE)
    firsts = [state.plan.by_key[item.second_of] for item in found if item.second_of]
    return [item for item in firsts if item.killer and state.status(item) == GO]


def looked_at(state: State) -> tuple[int, int]:
    """Return how many items were looked at and how many there are, without second looks and completion calls.

    What was said not to apply was not looked at, whoever said so.
    """
    items = [item for item in state.plan.items if not item.second_of and not item.is_call]
    return sum(state.status(item) in (GO, NO_GO) for item in items), len(items)


def accepted(state: State) -> list[tuple[Item, Answer]]:
    """Return the measured values outside their limits that the lead took as they are."""
    rows = [(item, state.answers[item.key]) for item in state.with_status(GO) if item.key in state.answers]
    return [(item, answer) for item, answer in rows if item.measure is not None and answer.seen]


def exceptions(state: State) -> dict[str, Any]:
    """Return what a go lacks, as its record keeps it; `exceptions_of` says it in a line."""
    absent = not_applicable_killers(state)
    looked, items = looked_at(state)
    rows = []
    for item in absent:
        answer = state.answers[item.key]
        who = "said by two" if seen_by_two(state, item) else f"said by {answer.people} alone, nobody else saw it"
        rows.append(f"{item.challenge} — {answer.reason} ({who})")
    return {
        "killers_not_applicable": rows,
        "killers_not_looked_at": [item.challenge for item in absent if not seen_by_two(state, item)],
        "looked_at": looked,
        "items": items,
        "killers_seen_by_two": sum(seen_by_two(state, item) for item in absent),
        "accepted": [
            f"{item.challenge} — {answer.seen} ({answer.reason}, by {answer.by})" for item, answer in accepted(state)
        ],
        "no_second_look": [item.challenge for item in without_second_look(state)],
    }


def signed_body(basis: Basis, state: State, verdict: Verdict, corrections: int, quick: int) -> dict[str, Any]:
    """Return what the record of a sign-off holds, but for who and when."""
    rig = basis.checked.resolved.rig
    return {
        "verdict": verdict.verdict,
        "reasons": list(verdict.reasons),
        "rig": basis.rig,
        "event": rig.event.name,
        "event_date": rig.event.date.isoformat() if rig.event.date else None,
        "rig_digest": basis.rig_digest,
        "rig_as_signed": rig_text(rig.document.data),
        "models_as_signed": models_text(rig.devices.values()),
        "checklist": basis.template.name,
        "signs_off": basis.template.signs_off,
        "left_out": list(basis.template.left_out),
        "template_digest": basis.template_digest,
        "rules_digest": basis.rules_digest,
        "versions": versions(),
        "check": basis.checked.verdict.value,
        "not_checked": silent_parts(basis.checked),
        "rules_off": rules_off(basis.checked),
        "findings": [finding_row(finding) for finding in basis.checked.findings],
        "answers": [_answer(state, item) for item in state.plan.items if item.key in state.answers],
        **exceptions(state),
        "thunder": [hold.words for hold in state.thunder_holds],
        "open": [item.challenge for item in state.with_status(OPEN)],
        "corrections": corrections,
        "quick_answers": quick,
        "poll": [
            {key: getattr(poll, key) for key in ("role", "answer", "said", "person", "by", "utc")}
            for role in state.plan.roles
            if (poll := state.polls.get(role)) is not None and state.poll_counts(role)
        ],
    }


def rig_text(data: Mapping[str, Any]) -> str:
    """Return a rig's merged data as the text that a sign-off keeps: the next handover is compared with it."""
    return json.dumps(data, ensure_ascii=False, sort_keys=True)


def models_text(devices: Iterable[Device]) -> str:
    """Return what each model in use says, as text: a model file may be another next week, under the same name."""
    models = {device.model.name: model_data(device.model) for device in devices}
    return json.dumps(models, ensure_ascii=False, sort_keys=True)


def versions() -> Mapping[str, str]:
    """Return the versions of rigwalk and of Python."""
    from importlib.metadata import PackageNotFoundError, version  # noqa: PLC0415 - slow, and only a sign-off needs it

    try:
        own = version("rigwalk")
    except PackageNotFoundError:
        own = "not installed"
    return {"rigwalk": own, "python": platform.python_version()}


def finding_row(finding: Finding) -> dict[str, Any]:
    """Return a finding as the record of a sign-off keeps it."""
    waiver = finding.waived
    waived = None
    if waiver is not None:
        waived = {
            "by": waiver.by,
            "because": waiver.because,
            "until": waiver.until.isoformat(),
            "asked_by": waiver.asked_by or None,
            "instead": waiver.instead or None,
            "words": waiver.words,
        }
    return {
        "rule": finding.rule,
        "about": finding.about,
        "severity": finding.weight.value,
        "message": finding.message,
        "waived": waived,
    }


def _answer(state: State, item: Item) -> dict[str, Any]:
    answer = state.answers[item.key]
    return {
        "item": item.key,
        "role": item.role,
        "second_of": item.second_of or None,
        "challenge": item.challenge,
        "answer": answer.answer,
        "value": answer.value,
        "seen": answer.seen,
        "reason": answer.reason,
        "cure": state.cures.get(item.key),
        "by": answer.by,
        "together_with": answer.together_with or None,
        "utc": answer.utc,
        "local": answer.local,
        "entry": answer.seq,
    }
