"""Link cables: what each joins, and what it is."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts.fact import FLAG, NUMBER, TEXT, TEXTS, Fact, Kind, Thing, by_name
from lint.facts.signals import Signals
from lint.resolve.chain import ChainBox
from lint.rig.rig import Cable


def _things(signals: Signals) -> Iterator[Thing]:
    for cable in signals.rig.cables.values():
        yield Thing(cable.name, cable.trail, cable.name, cable)


def _fed(signals: Signals, cable: Cable) -> ChainBox | None:
    boxes = (signals.box(end.device) for end in cable.ends)
    return next((box for box in boxes if box is not None and box.cable.name == cable.name), None)


_FACTS = (
    Fact("id", TEXT, "its name in the rig file", lambda _, c: c.name),
    Fact("label", TEXT, "what is written on it", lambda _, c: c.label, "label"),
    Fact("kind", TEXT, "what it is, such as cat5e", lambda _, c: c.kind, "kind", "cable/kind"),
    Fact("shielded", FLAG, "whether it is shielded", lambda _, c: c.shielded, "shielded"),
    Fact("length_m", NUMBER, "its length in metres", lambda _, c: c.length_m, "length_m"),
    Fact("way_m", NUMBER, "how far it has to reach, in metres", lambda _, c: c.way_m, "way_m"),
    Fact("way_at_most", FLAG, "whether that is the most it can be", lambda _, c: c.way_at_most, "way_at_most"),
    Fact("spare", TEXT, "where its spare is", lambda _, c: c.spare, "spare"),
    Fact("ports", TEXTS, "the two ports that it joins", lambda _, c: [str(end) for end in c.ends]),
    Fact("devices", TEXTS, "the devices that it joins", lambda _, c: [end.device for end in c.ends]),
    Fact(
        "feeds",
        TEXT,
        "the box that it feeds, where it is part of a chain",
        lambda f, c: getattr(_fed(f, c), "device", None),
    ),
    Fact(
        "position",
        NUMBER,
        "the place of that box on the chain: 1 for a trunk",
        lambda f, c: getattr(_fed(f, c), "position", None),
    ),
)

CABLES = Kind("cables", "cable", "chain", by_name(*_FACTS), _things)
