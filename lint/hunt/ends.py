"""Another in the place of what is heard at an end: how it is tried, what is left to do, and whose place has none then.

Signal plugs are swapped before a loudspeaker is carried, which may hang, or be too heavy for one.
"""

from __future__ import annotations

from lint.rig.plant import Amplifier
from lint.rig.rig import DRIVEN, Destination

HANDLED = "only by whoever may lift, hang and rig it"


def in_its_place(
    end: Destination | Amplifier, place: str, other: Destination | Amplifier | None, works: str
) -> dict[str, str]:
    """Return how another is tried for an end that stands at a place, and what to do where that puts it right.

    `other` is the rig's own of the kind, which is in use, and `works` what may be put in, in words. `without` says how
    to carry on without the end.
    """
    is_heavy = isinstance(end, Amplifier) or end.kind in DRIVEN
    lifted = f" (moved {HANDLED}, and off before a mains plug is pulled)" if is_heavy else ""
    lent = f"; was it {other.name}, then the place of {other.name} has none until another is found" if other else ""
    words = {
        "lifted": lifted,
        "lent_end": lent,
        "without": f"carry on without {end.name}, or with {works} in its place{lifted}{lent}",
        "end_test": f"Turn {place} down and put {works} in its place{lifted}: is that right",
        "end_keep": f"leave the other one there; label {end.name} broken and take it out of use{lent}",
    }
    if other is None or isinstance(end, Amplifier) or not is_heavy:
        return words
    words["end_test"] = (
        f"Turn {place} and {other.name} down and swap their signal plugs at the loudspeakers, by longer cables that "
        f"work where they do not reach; turn {other.name} up slowly: is what belongs at {end.name} right there"
    )
    words["end_keep"] = (
        f"turn both down, plug {other.name} in as it was and turn it up slowly; label {end.name} broken and take it "
        f"out of use: its place has none until another stands there, moved {HANDLED}"
    )
    return words
