"""Data broken here and there: values dropped, doubled, exchanged with each other and replaced by odd ones."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Sequence
from typing import Any, Protocol


class Chooser(Protocol):
    """What decides: `random.Random`, or the bytes of a fuzzer."""

    def randint(self, a: int, b: int, /) -> int: ...

    def choice(self, seq: Sequence[Any], /) -> Any: ...


ODD: list[Any] = [
    *(
        None,
        True,
        0,
        1,
        -1,
        2,
        8,
        48,
        0.5,
        1e9,
        -120,
        "",
        "x",
        "on",
        "1-8",
        "8-1",
        "9-16",
        "a" * 200,
        [],
        {},
        "2026-02-30",
    ),
    *(
        "desk/in/1",
        "desk/link-1/1",
        "west-box/in/1",
        "west-box/out/8",
        "channel/1",
        "house",
        "house.left",
        "effects/plate",
    ),
]


def trails(data: Any, above: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Yield the trail of every value below the top."""
    members = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in members:
        yield (*above, key)
        yield from trails(value, (*above, key))


def at(data: Any, trail: tuple[Any, ...]) -> Any:
    for step in trail:
        data = data[step]
    return data


def broken(data: dict[str, Any], rng: Chooser, odd: Sequence[Any] = ODD) -> dict[str, Any]:
    """Return a copy with one to three changes, most of them such that the schema is still kept."""
    data = copy.deepcopy(data)
    for _ in range(rng.randint(1, 3)):
        every = list(trails(data))
        if not every:
            return data
        trail = rng.choice(every)
        *above, last = trail
        parent = at(data, tuple(above))
        alike = [one for one in every if len(one) == len(trail) and one[0] == trail[0] and one[-1] == last]
        match rng.choice([0, 1, 2, 2, 2, 3, 3, 4]):
            case 0:
                del parent[last]
            case 1:
                parent[last] = copy.deepcopy(rng.choice(odd))
            case 2:  # two of one kind exchanged: sockets, slots, models, feeds
                other = rng.choice(alike)
                here, there = at(data, trail), at(data, other)
                at(data, other[:-1])[other[-1]], parent[last] = here, there
            case 3:
                parent[last] = copy.deepcopy(at(data, rng.choice(alike)))
            case 4 if isinstance(parent, dict):
                parent[rng.choice(["1", "2", "99", "more", "1-4"])] = copy.deepcopy(parent[last])
    return data
