"""What somebody else did while an item, or the signature, was on this screen."""

from __future__ import annotations

from collections.abc import Sequence

from lint.walk.answer import Answer
from lint.walk.change import Change
from lint.walk.items import Item


class AnsweredMeanwhileError(Exception):
    """Raised where somebody else answered the item while it was on this screen; nothing was recorded."""

    def __init__(self, answer: Answer, is_told: bool = True) -> None:
        super().__init__(f"{answer.by} answered this meanwhile{f': {answer.answer}' if is_told else ''}")
        self.answer = answer


class ChangedMeanwhileError(Exception):
    """Raised where the rig, the checklist or an answer changed on the way to the signature; nothing was signed."""

    def __init__(self, change: Change | None) -> None:
        super().__init__("the rig or the checklist has changed")
        self.change = change


class NotCompleteError(Exception):
    """Raised where a completion call is said over what is open, held or a no-go in its phase; nothing was recorded."""

    def __init__(self, left: Sequence[Item]) -> None:
        super().__init__(f"not complete: “{left[0].challenge}”" + (f" and {len(left) - 1} more" if left[1:] else ""))
        self.left = left
