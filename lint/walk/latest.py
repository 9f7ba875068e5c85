"""The walk that was last, and how a session began from it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lint.walk.change import Change
from lint.walk.entry import Entry
from lint.walk.items import Item


@dataclass(frozen=True, slots=True)
class Latest:
    """The latest walk of this rig and checklist: how it stands, and whether it is today's.

    `overtaken` is the no-go that came after it was signed go: it is not signed go any more.
    """

    begun: Entry
    signed_go: Entry | None
    is_todays: bool
    overtaken: Entry | None = None


@dataclass(frozen=True, slots=True)
class Opening:
    """How a session began: the first entry of the walk, whether it is resumed, what changed, what was left alone.

    `restart` are the answered items of the phase under way, where somebody else goes on with it, or after too long.
    """

    begun: Entry
    resumed: bool
    change: Change | None = None
    left: Entry | None = None
    restart: Sequence[Item] = ()
