"""What is on the screen of one walker."""

from __future__ import annotations

from dataclasses import dataclass

from lint.walk.items import Item


@dataclass(frozen=True, slots=True)
class Asked:
    """An item on the screen: who looks at it, and how long it had been shown when the line was typed.

    `unseen`: it is answered without anybody looking, such as where nobody is there to look second.
    """

    item: Item
    person: str
    after_ms: int
    together_with: str = ""
    unseen: bool = False
