"""Plans as JSON for programs: what the screen says, and every change as a merge patch (RFC 7396)."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from lint.plan.cures import Cure
from lint.plan.distance import Lack
from lint.plan.effect import Effect
from lint.plan.moves import Handling
from lint.plan.rescue import Rescue, Spared
from lint.plan.whatif import WhatIf
from lint.plan.words import patch_between
from lint.report.json_report import finding_data
from lint.report.spares import heard_elsewhere
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket

FORMAT = 1


def whatif_json(plan: WhatIf) -> str:
    """Return the edits, their effect, the check of the result and the cures."""
    report = {
        "format": FORMAT,
        "rig": plan.before.rig.file,
        "edits": [edit.words for edit in plan.edits],
        "lost": [{"name": edit.lost, "spare": edit.spare} for edit in plan.edits if edit.lost],
        "short_cables": _lacks(plan.lacks),
        "phantom_on_other_source": [
            {
                "channel": row.channel.address,
                "should_get": row.wanted,
                "gets": list(row.gets),
                "must_not_have_it": list(row.harmed),
            }
            for row in plan.phantom_astray
        ],
        "made": list(plan.made),
        "around": _around(plan),
        "patch": plan.patch,
        "is_go": plan.is_go,
        "verdict": plan.checked.verdict.value,
        "findings": [finding_data(finding) | {"new": plan.is_new(finding)} for finding in plan.checked.findings],
        **_effect(plan.effect),
        "cures": [
            _cure(cure) | {"verdict": plan.cured(way).verdict.value} for way, cure in plan.cures.items()
        ],
    }  # fmt: skip
    return json.dumps(report, ensure_ascii=False, indent=2) + "\n"


def _effect(effect: Effect) -> dict[str, Any]:
    return {
        "sources": [
            {
                "source": row.name,
                "plugged_into": str(row.socket),
                "arrived_on": _text(row.was_at),
                "arrives_on": _text(row.now_at),
                "was_on": [channel.address for channel in row.was_on],
                "is_on": [channel.address for channel in row.now_on],
                "lacks_phantom": row.is_unpowered,
            }
            for row in effect.sources
        ],
        "outputs": [
            {
                "destination": row.end.name,
                "socket": str(row.socket),
                "carried": _text(row.was),
                "carries": _text(row.now),
                "expects": _text(row.expected),
            }
            for row in effect.outputs
        ],
        "heard": [
            {"destination": row.end.name, "gained": list(row.gained), "lost": list(row.lost)} for row in effect.hearing
        ],
        "silent": list(effect.silent),
        "house_lost": list(effect.house_lost),
    }


def spares_json(before: ResolvedRig, spared: Spared, longer: Spared | None) -> str:
    """Return what is lost, who goes where, and what follows; and the same with a longer link cable."""
    return json.dumps(_spares(before, spared, longer), ensure_ascii=False, indent=2) + "\n"


def _spares(before: ResolvedRig, spared: Spared, longer: Spared | None) -> dict[str, Any]:
    outage, rescue, checked, wider = spared
    return {
        "format": FORMAT,
        "rig": before.rig.file,
        "lost_with": outage.words,
        "spare": outage.spare,
        "cabling": list(outage.cabling),
        "short_cables": _lacks(outage.lacks),
        "with_longer_cable": _spares(before, longer, None) if longer else None,
        "with_more_hands": _spares(before, wider, None) if wider else None,
        "rescue": _rescued(before, rescue),
        "consoles_lost": list(rescue.deaf),
        "silent": list(rescue.silent),
        "still_heard": list(rescue.still),
        "free_sockets": rescue.free,
        "proved_best": rescue.proved,
        "moved_besides": [
            {"source": plug.source, "from": str(plug.socket), "to": str(end)} for plug, end in rescue.besides.items()
        ],
        "heard_as_well": list(rescue.gained),
        "barred_by_phantom": [
            {"sockets": list(map(str, at)), "sources": list(names), "need_it": is_needed, "why": why}
            for at, names, is_needed, why in rescue.barred
        ],
        "may_be_unplugged": [row.plug.source for row in rescue.room],
        "outputs_that_may_be_unplugged": [
            {"plug": row.plug, "from": list(map(str, row.sockets)), "for": list(row.saves)}
            for row in rescue.output_room
        ],
        "cure": _cure(rescue.cure),
        "dead_sockets": [str(socket) for socket in sorted(at for at in outage.after.dead if isinstance(at, Socket))],
        "is_go": spared.is_go,
        "verdict": checked.verdict.value,
        "patch": patch_between(before, rescue.cure.result),
    }


def _rescued(before: ResolvedRig, rescue: Rescue) -> list[dict[str, Any]]:
    """Return who is lost, and where each goes."""
    return [
        {
            "source": plug.source,
            "from": str(plug.socket),
            "to": _text(rescue.places.get(plug)),
            "priority": before.rig.sources[plug.source].priority,
            "channels": [channel.address for channel in rescue.channels[plug]],
            "still_heard_at": [row.address for row in heard_elsewhere(rescue, plug) if plug in rescue.left],
            "way_m": rescue.way_m.get(plug),
        }
        for plug in rescue.lost
    ]


def _around(plan: WhatIf) -> dict[str, list[str]]:
    """Return what is muted before the change and what comes on again after it, where no cure says so."""
    if plan.cures or not plan.made:
        return {"first": [], "last": []}
    return {"first": list(plan.doing.quiet.first), "last": list(plan.doing.quiet.last)}


def _lacks(found: Sequence[Lack]) -> list[str]:
    return [f"the link cable {row.cable.name}, {row.way}: {row}" for row in found]


def _cure(cure: Cure) -> dict[str, Any]:
    return {
        "way": cure.way,
        "changes": cure.changes,
        "proved_fewest": cure.proved,
        "first": list(cure.quiet.first),
        "turns": list(cure.turns),
        "moves": [handling_data(handling) for handling in cure.handlings],
        "last": list(cure.quiet.last),
        "stay_muted": [row.channel.address for row in cure.quiet.kept],
        "phantom_left_off": [channel.address for channel in cure.quiet.left_off],
        "patch": cure.patch,
        "leaves": list(map(str, cure.unmet)),
    }


def handling_data(handling: Handling) -> dict[str, str | float | bool | None]:
    """Return one plug move as plain data; null is the hand."""
    return {
        "plug": handling.plug,
        "from": _text(handling.start),
        "to": _text(handling.end),
        "why": handling.why,
        "first": handling.first,
        "to_other_device": handling.is_carried,
        "way_m": handling.way_m,
    }


def _text(value: object) -> str | None:
    return None if value is None else str(value)
