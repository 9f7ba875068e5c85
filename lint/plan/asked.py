"""What is asked about, as far as hands must know it: whether a rig is so already, what failed, which box is another."""

from __future__ import annotations

from enum import Enum, auto
from typing import NamedTuple


class Coming(Enum):
    """Whether a rig is so already: all that happens to it is a loss, or some of it or all is yet to be done."""

    LOST = auto()
    PARTLY = auto()
    PLANNED = auto()


class Asked(NamedTuple):
    """What is asked about: `failed` names what has, also where another is put in its place.

    `bared` are the boxes that another is put in the place of, of whatever model: every plug of theirs comes out.
    """

    coming: Coming = Coming.LOST
    failed: frozenset[str] = frozenset()
    bared: frozenset[str] = frozenset()


A_LOSS = Asked()
