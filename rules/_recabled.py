"""What the rules share that are put right by a link cable: the cure as a change, and what else has that cause."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from lint import Port, ResolvedRig
from lint.resolve.mixup import wrong_outputs
from lint.resolve.recabled import Wrong
from lint.resolve.resolved import is_right
from lint.rules._outputs import explained
from lint.rules._words import listed


def cable_change(rig: ResolvedRig, ends: Mapping[str, tuple[Port, Port]]) -> dict[str, Any]:
    """Return the change that plugs cables between the given ports; only the ends that move are written."""
    rows: dict[str, dict[str, str]] = {}
    for name, ports in ends.items():
        known = rig.rig.cables.get(name)
        old = known.ends if known else (None, None)
        sides = zip(("from", "to"), ports, old, strict=True)
        rows[name] = {side: str(port) for side, port, before in sides if port != before}
    return {"cables": rows}


def put_right(rig: ResolvedRig, then: ResolvedRig) -> frozenset[tuple[str, str]]:
    """Return the findings, as (rule, address), about what would no longer be wrong: they have the same cause."""
    explains: set[tuple[str, str]] = set()
    mended = [row for key, row in rig.arrivals.items() if not is_right(row) and is_right(then.arrivals[key])]
    for row in mended:
        channel = row.channel
        explains |= {(name, channel.address) for name in ("patch-carries-other", "patch-carries-nothing")}
        explains.add(("patch-block-wrong", f"{channel.console}/input_blocks/{channel.by_block}"))
        explains.add(("source-unheard", str(channel.carries)))
        explains |= {("source-unheard", name) for name in row.sources}
    carried = {str(row.channel.carries) for row in mended}
    explains |= {("stereo-crossed", row.name) for row in rig.rig.pairs.values() if carried & {row.left, row.right}}
    # Of a chain that stays as it is nothing is put right.
    anew = [name for name, box in rig.boxes.items() if _hanging(then, box.link) != _hanging(rig, box.link)]
    explains |= {(name, box) for name in ("chain-swapped", "chain-slots-exceeded") for box in anew}
    still = {(row.destination.name, row.departure.socket) for row in wrong_outputs(then)}
    rows = [row for row in wrong_outputs(rig) if (row.destination.name, row.departure.socket) not in still]
    if rig.cabling.faults and not then.cabling.faults:
        rules = ("chain-ring", "chain-two-consoles", "chain-ports-alike", "chain-port-shared", "clock-leader-missing")
        explains |= {(name, device) for name in rules for device in rig.rig.devices}
    explains |= explained(rig, rows)
    explains |= {("bank-clash", box) for box in rig.boxes if rows}
    return frozenset(explains)


def _hanging(rig: ResolvedRig, link: Port) -> list[str]:
    return [box.device for box in rig.chains[link].boxes] if link in rig.chains else []


def wrong_words(rig: ResolvedRig, items: Iterable[Wrong]) -> str:
    """Name channels by number, then destinations, each once."""
    every = list(items)
    channels = sorted((row.owner, int(row.what)) for row in every if row.kind == "channel")
    names = sorted({str(row.what) for row in every if row.kind == "destination"})
    words: str = listed([*(rig.rig.channel_words(rig.rig.channels[key]) for key in channels), *names])
    return words


def cabling_words(rig: ResolvedRig, way: Mapping[str, tuple[Port, Port]]) -> str:
    """Say which plugs move where, and which cable is run."""
    words = []
    for name, ends in way.items():
        known = rig.rig.cables.get(name)
        if known is None:
            words.append(f"run a link cable from {ends[0]} to {ends[1]}")
        else:
            (old,), (target,) = set(known.ends) - set(ends), set(ends) - set(known.ends)
            words.insert(0, f"move the plug of {name} from {old} to {target}")
    return " and ".join(words)
