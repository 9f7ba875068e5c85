"""What follows from a box that hangs on another console now, told once: it is one cause, however many rules see it."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from lint.check.finding import Finding
from lint.page.layout import counted
from lint.plan.ends import ends_of
from lint.plan.quiet_words import channels_words
from lint.plan.whatif import WhatIf
from lint.report.steps import FEWEST_FOLDED, named
from lint.rig.rig import Channel

# What is silent or on another channel; what may harm, or is loud in the wrong place, is always told by itself.
FOLDED = ("patch-carries-other", "patch-carries-nothing", "output-carries-nothing")


def moved_box(plan: WhatIf) -> str:
    """Return the box that is moved to another console, where that is all that is changed; empty where it is not so."""
    before, after = plan.before.boxes, plan.after.boxes
    moved = [name for name in before if name in after and before[name].link.device != after[name].link.device]
    return moved[0] if len(moved) == len(plan.edits) == 1 else ""


def following(plan: WhatIf, findings: Sequence[Finding]) -> list[Finding]:
    """Return the new findings about nothing but what came over the old console by a moved box, or by those behind it.

    None where they are so few that each is told by itself.
    """
    box = moved_box(plan)
    if not box:
        return []
    channels, others = _over(plan, box)
    theirs = {*(channel.address for channel in channels), *others}
    new = (row for row in findings if row.rule in FOLDED and plan.is_new(row))
    found = [row for row in new if theirs.issuperset(place.address for place in row.places)]
    return found if len(found) >= FEWEST_FOLDED else []


def following_words(plan: WhatIf, findings: Sequence[Finding]) -> str:
    """Say the cause of findings, how many there are, by which rules, and whom they are about."""
    box = moved_box(plan)
    channels, others = _over(plan, box)
    about = list(dict.fromkeys(place.address for row in findings for place in row.places))
    parts = [channels_words(plan.after, [row for row in channels if row.address in about]), *_named(others, about)]
    rules = ", ".join(dict.fromkeys(row.rule for row in findings))
    was, now = plan.before.boxes[box].link, plan.after.boxes[box].link
    count = counted(len(findings), "finding follows", "findings follow")
    who = "; ".join(filter(None, parts))
    return f"{box} hangs on {now} now, not on {was}, and {count} from that: {who}; --format json has each ({rules})"


def _over(plan: WhatIf, box: str) -> tuple[list[Channel], list[str]]:
    """Return the channels that hear what is plugged into a box or those behind it, and the names of all that is."""
    rig, place = plan.before, plan.before.boxes[box]
    devices = {row.device for row in rig.chains[place.link].boxes if row.position >= place.position}
    sources = [row.name for row in rig.rig.sources.values() if any(at.device in devices for at in row.sockets)]
    ends = [name for name, end in ends_of(rig).items() if any(at.device in devices for at in end.sockets)]
    channels = dict.fromkeys(channel for name in sources for channel in rig.channels_of.get(name, ()))
    return list(channels), [*sources, *ends]


def _named(names: Collection[str], about: Collection[str]) -> list[str]:
    found = [name for name in names if name in about]
    return [named(found)] if found else []
