"""What a walk stands on, as its first entry and every change under way say it."""

from __future__ import annotations

from typing import Any

from lint.walk.basis import Basis, Digest
from lint.walk.change import asked_list
from lint.walk.rig_then import kept_rig


def what_is_walked(basis: Basis, digest: Digest) -> dict[str, Any]:
    """Return the house, rig, checklist and rules with their digests, the rig whole, and every item that is asked."""
    return {
        "house": basis.house,
        "rig": basis.rig,
        "event": basis.checked.resolved.rig.event.name,
        "event_date": event_date(basis),
        "checklist": basis.template.name,
        "signs_off": basis.template.signs_off,
        "left_out": list(basis.template.left_out),
        "rig_digest": basis.rig_digest,
        "template_digest": basis.template_digest,
        "rules_digest": basis.rules_digest,
        **kept_rig(basis.checked.resolved),
        "items": asked_list(basis.plan, digest),
    }


def event_date(basis: Basis) -> str | None:
    """Return the day of the event as a record has it, or None where the rig does not say."""
    day = basis.checked.resolved.rig.event.date
    return day.isoformat() if day else None
