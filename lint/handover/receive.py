"""The receiver of a handover says back, in words of their own, what is open: that is what makes it one.

Receiver's synthesis (I-PASS) and both names: reference/checklist-design.md 2.2 and 2.3.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any

from lint.handover.handover import Handover
from lint.rig.person import is_name, person_key, same_person
from lint.walk.entry import times
from lint.walk.given import is_reason
from lint.walk.screen import Screen, StoppedError

NOTHING_OPEN = "Nothing is open by the record and the rig file: say how the rig stands."


def read_back(
    handover: Handover, rig: str, digest: str, receiver: str, screen: Screen, now: Callable[[], datetime]
) -> Mapping[str, Any]:
    """Ask who hands over, and the receiver to say back each open point; return what the record keeps of it.

    `rig` is its name in the record, `digest` that of what its files say. Raises StoppedError.
    """
    giver = _giver(handover, receiver, screen)
    points = _points(handover) or [NOTHING_OPEN]
    screen.say(f"{receiver}, say back what is open, in your own words: what it is, and what you do about it.")
    said = [
        {"point": point, "said": _said(point, f"{count} of {len(points)}", screen)}
        for count, point in enumerate(points, start=1)
    ]
    walk = handover.past.walk
    return {
        "by": receiver,
        **times(now()),
        "given_by": giver,
        "rig": rig,
        "rig_digest": digest,
        "verdict": handover.checked.verdict.value,
        "signed_seal": walk.seal if walk is not None and walk.verdict is not None else None,
        "cautions": [row.message for row in handover.cautions],
        "waivers": [f"{row.rule} for {row.about}, {row.words}" for row, _ in handover.waivers],
        "read_back": said,
    }


def _points(handover: Handover) -> list[str]:
    """Return what is said back: the next steps, each open caution, and what was accepted outside its limits."""
    walk = handover.past.walk
    cautions = [f"Open caution: {row.message}" for row in handover.cautions]
    accepted = walk.signed_body.get("accepted", ()) if walk is not None else ()
    return [*handover.next_steps, *cautions, *(f"Accepted by the lead: {row}" for row in accepted)]


def _giver(handover: Handover, receiver: str, screen: Screen) -> str:
    walk = handover.past.walk
    lead = walk.lead if walk is not None else ""
    lead = "" if same_person(lead, receiver) else lead
    screen.forget_typed()
    while True:
        name = screen.ask(f"Who hands over{f' (Enter: {lead})' if lead else ''}? ") or lead
        if name.casefold() in ("q", "quit", "stop"):
            raise StoppedError
        if same_person(name, receiver):
            screen.say(f"{name} receives; somebody else hands over.")
        elif is_name(name):
            return name
        else:
            screen.say("A name is needed here; q stops, and nothing is recorded.")


def _said(point: str, count: str, screen: Screen) -> str:
    """Ask until something is said that is more than the point read out."""
    screen.write("")
    screen.say(point, f"{count}: ", "   ")
    while True:
        text = screen.ask("> ")
        if text.casefold() in ("q", "quit", "stop"):
            raise StoppedError
        if is_reason(text) and person_key(text) != person_key(point):
            return text
        screen.say("A few words of your own are needed; q stops, and nothing is recorded.")
