"""What is odd about a record whose chain holds: clocks that went back, and a house that is not this one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from pathlib import Path

from lint.record.walks import PastWalk
from lint.rig.address import spans
from lint.walk.entry import Entry

# Two machines that walk one house need not have quite the same time.
MOST_SKEW = timedelta(minutes=5)


def oddities(entries: Sequence[Entry], walks: Sequence[PastWalk], folder: Path | None) -> list[str]:
    """Return what is odd, a sentence each; `folder` is the house that the record lies in, None where that is not told.

    None of it is a proof of anything: clocks are wrong, and folders are renamed.
    """
    return [*clocks_back(entries), *(_other_house(walks, folder) if folder is not None else ())]


def clocks_back(entries: Sequence[Entry]) -> Iterator[str]:
    """Say once a walk where a record is dated before the one that was written before it."""
    told: set[int] = set()
    latest: Entry | None = None
    for entry in entries:
        if latest is not None and _moment(entry) < _moment(latest) - MOST_SKEW and entry.walk not in told:
            told.add(entry.walk)
            yield (
                f"Walk {entry.walk}: record {entry.seq} is dated {_shown(entry)}, before record {latest.seq} of "
                f"{_shown(latest)}, which was written earlier. A clock was wrong, or was set back."
            )
        if latest is None or _moment(entry) > _moment(latest):
            latest = entry


def _moment(entry: Entry) -> datetime:
    return datetime.fromisoformat(entry.body["utc"])


def _shown(entry: Entry) -> str:
    return f"{entry.body['local'][:10]} {entry.body['local'][11:16]}"


def _other_house(walks: Sequence[PastWalk], folder: Path) -> Iterator[str]:
    """Say which walks were begun in a house folder of another name, and where no rig that was walked is here."""
    name = folder.absolute().name
    elsewhere: dict[str, list[int]] = {}
    for walk in walks:
        begun_in = walk.entries[0].body.get("house", name)  # older records do not say
        if begun_in != name:
            elsewhere.setdefault(str(begun_in), []).append(walk.number)
    for other, numbers in elsewhere.items():
        yield (
            f"Walk {spans(numbers)}: begun in a house folder called {other}, and this one is called {name}. Where it "
            "was renamed or copied that is as it should be; else it is another house's record."
        )
    rigs = sorted({walk.rig for walk in walks})
    if rigs and not any(_is_file(folder / rig) for rig in rigs):
        yield f"No rig that was walked here ({', '.join(rigs[:3])}) is in this house: it may be another house's record."


def _is_file(path: Path) -> bool:
    """Whether a file is there; one whose name no system takes is not."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False
