"""Link cables that lie ready: an end of them, or both, is plugged into nothing."""

from __future__ import annotations

from typing import NamedTuple

from lint.rig.address import Port


class LooseCable(NamedTuple):
    """A link cable that carries no signal: one `end` of it or both are plugged into nothing. `length_m` in metres."""

    name: str
    end: Port | None
    kind: str | None
    shielded: bool | None
    length_m: float | None
    way_m: float | None
    label: str | None
    spare: str | None
