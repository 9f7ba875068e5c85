"""What is on the screen of one walker."""

from __future__ import annotations

from dataclasses import dataclass

from lint.walk.items import Item


@dataclass(frozen=True, slots=True)
class Asked:
    """An item on the screen: who looks at it, and how long it had been shown when the line was typed."""

    item: Item
    person: str
    after_ms: int
    together_with: str = ""
