"""From the sections about what is plugged in to sources, pairs and splits."""

from __future__ import annotations

from collections.abc import Mapping

from lint.read.document import Trail
from lint.rig.address import Port
from lint.rig.names import Names
from lint.rig.rig import PHANTOM_KINDS, Pair, Source, Split

DEFAULT_PRIORITY = 5


def sources(names: Names, split: set[str]) -> None:
    """Read the sources; only those in `split` may be plugged into several sockets."""
    for name, row in names.data.get("sources", {}).items():
        trail: Trail = ("sources", name)
        written = row["plugged_into"]
        if isinstance(written, list):
            rows = enumerate(written)
            sockets = tuple(names.socket(text, (*trail, "plugged_into", index)) for index, text in rows)
        else:
            sockets = (names.socket(written, (*trail, "plugged_into")),)
        if len(sockets) > 1 and name not in split:
            message = f"{name} is plugged into {len(sockets)} sockets; declare its splitter under splits/"
            names.problem((*trail, "plugged_into"), message)
        kind = row["kind"]
        powering = row.get("powering", "phantom" if kind in PHANTOM_KINDS else "none")
        connection = row.get("connection", "balanced")
        names.sources[name] = Source(
            name,
            kind,
            row.get("label", ""),
            sockets,
            connection,
            powering,
            row.get("sensitivity_mv_pa"),
            row.get("expected_spl_db"),
            row.get("level_dbu"),
            row.get("supply_ma"),
            row.get("least_supply_v"),
            row.get("latency_ms", 0.0),
            int(row.get("priority", DEFAULT_PRIORITY)),
            row.get("group"),
            row.get("cable", ""),
        )


def pairs(names: Names) -> dict[str, Pair]:
    """Read which sources are a left and a right."""
    pairs = {}
    for name, row in names.data.get("pairs", {}).items():
        for side in ("left", "right"):
            names.known("source", row[side], names.sources, ("pairs", name, side))
        pairs[name] = Pair(name, row["left"], row["right"])
    return pairs


def splits(names: Names) -> dict[str, Split]:
    """Read the splits; what they name is held against the rest by `refer_splits`."""
    splits = {}
    for name, row in names.data.get("splits", {}).items():
        trail: Trail = ("splits", name)
        owner = names.port(row["from"], (*trail, "from")) if row["kind"] == "link" else None
        listener = names.port(row["to"], (*trail, "to")) if row["kind"] == "link" else None
        splits[name] = Split(name, row["kind"], tuple(row.get("sources", ())), owner, listener)
    return splits


def refer_splits(names: Names, splits: Mapping[str, Split]) -> None:
    """Hold the sources and consoles that splits name against those there are."""
    for split in splits.values():
        for index, name in enumerate(split.sources):
            names.known("source", name, names.sources, (*split.trail, "sources", index))
        if split.owner is not None and split.listener is not None:
            _refer_link(names, split, split.owner, split.listener, splits)


def _refer_link(names: Names, split: Split, owner: Port, listener: Port, splits: Mapping[str, Split]) -> None:
    """Hold the split of a link against the consoles: it leads from one to another, and each port plays one part."""
    trail = (*split.trail, "to")
    for key, port in (("from", owner), ("to", listener)):
        device = names.devices.get(port.device)
        if device is not None and device.model.kind != "console":
            names.problem((*split.trail, key), f"{port} is not a port of a console")
    if owner.device == listener.device:
        names.problem(trail, f"{owner} and {listener} are both on {owner.device}; a split leads to another console")
    for other in splits.values():
        if other.name == split.name:
            continue
        if other.listener == listener:
            names.problem(trail, f"{listener} listens to {other.owner} already, by the split {other.name}")
        if other.listener == owner:
            message = f"{owner} listens to {other.owner} itself, by the split {other.name}; say who owns the chain"
            names.problem((*split.trail, "from"), message)
