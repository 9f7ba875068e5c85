"""What a rig file says that can't be so at once: refused at its place, before anything is built on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from lint.read.document import Trail

DAY_H = 24
DAY_MIN = 24 * 60
# Who opens late in the evening may begin after midnight; a later beginning than this was meant for before the doors.
LATEST_AFTER_DOORS_MIN = 6 * 60

# What stands for no place at all where somebody is told to say where a spare is kept.
NOWHERE = frozenset(("none", "no", "nothing", "nowhere", "never", "nil", "n/a", "no spare", "false", "-", "–", "?"))

Contradiction = tuple[Trail, str]


def contradictions(data: Mapping[str, Any]) -> Iterator[Contradiction]:
    """Yield (where, what is wrong) for a document that fits the schema."""
    yield from _event(data.get("event", {}))
    yield from _spares(data.get("cables", {}))
    yield from _ranges(data.get("wireless", {}))
    yield from _crew_day(data.get("sound_levels", {}))
    yield from _loudspeakers(data.get("amplifiers", {}))


def _event(row: Mapping[str, Any]) -> Iterator[Contradiction]:
    if "doors" not in row or "start" not in row:
        return
    doors, start = _minutes(row["doors"]), _minutes(row["start"])
    if start < doors and (start - doors) % DAY_MIN > LATEST_AFTER_DOORS_MIN:
        message = (
            f"found '{row['start']}', which is before the doors open ({row['doors']}); expected that time or later"
        )
        yield ("event", "start"), message


def _spares(cables: Mapping[str, Any]) -> Iterator[Contradiction]:
    """Yield the spares that are none: taken for a place, they would be looked for when a link is dead."""
    for name, row in cables.items():
        if row.get("spare", "").strip().casefold() in NOWHERE:
            message = (
                f"found '{row['spare']}', expected where a tested spare is kept; where there is none, leave the key "
                "out, or write null to take out the house's"
            )
            yield ("cables", name, "spare"), message


def _minutes(time: str) -> int:
    hours, _, minutes = time.partition(":")
    return 60 * int(hours) + int(minutes)


def _ranges(row: Mapping[str, Any]) -> Iterator[Contradiction]:
    for index, (low, high) in enumerate(row.get("ranges_mhz", ())):
        if low > high:
            trail: Trail = ("wireless", "ranges_mhz", index)
            yield trail, f"found the range [{low}, {high}], which runs backwards; expected [{high}, {low}]"


def _crew_day(row: Mapping[str, Any]) -> Iterator[Contradiction]:
    hours = sum(stretch["hours"] for stretch in row.get("crew", ()))
    if round(hours, 6) > DAY_H:
        message = (
            f"found {hours:g} h in all, expected {DAY_H} h at most: it is what one of the crew is exposed to in a day"
        )
        yield ("sound_levels", "crew"), message


def _loudspeakers(amplifiers: Mapping[str, Any]) -> Iterator[Contradiction]:
    """Yield the loudspeakers said to run both on their transformer's tap and without it: the load can't be told."""
    message = (
        "found both impedance_ohm and tap_w; a loudspeaker runs on its transformer's tap or without it, so keep "
        "the one that it is set to"
    )
    for name, row in amplifiers.items():
        for key, output in row["outputs"].items():
            for index, kind in enumerate(output["loudspeakers"]):
                if "impedance_ohm" in kind and "tap_w" in kind:
                    yield ("amplifiers", name, "outputs", key, "loudspeakers", index), message
