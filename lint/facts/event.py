"""The event as a whole: one row."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts.fact import NUMBER, TEXT, TEXTS, Fact, Kind, Thing, by_name
from lint.facts.signals import Signals
from lint.rig.rig import Rig


def _things(signals: Signals) -> Iterator[Thing]:
    yield Thing("event", ("event",), "event", signals.rig)


def _date(_signals: Signals, rig: Rig) -> str | None:
    return rig.event.date.isoformat() if rig.event.date else None


def _weekday(_signals: Signals, rig: Rig) -> str | None:
    return rig.event.date.strftime("%A").lower() if rig.event.date else None


_FACTS = (
    Fact("id", TEXT, "always event", lambda _, _rig: "event"),
    Fact("name", TEXT, "its name", lambda _, r: r.event.name or None, "name"),
    Fact("date", TEXT, "its date, such as 2026-11-29", _date, "date"),
    Fact("weekday", TEXT, "its day of the week, such as sunday", _weekday, "date"),
    Fact("doors", TEXT, "when the doors open, such as 09:30", lambda _, r: r.event.doors, "doors"),
    Fact("start", TEXT, "when it starts", lambda _, r: r.event.start, "start"),
    Fact("roles", TEXTS, "the roles of the crew that are filled", lambda _, r: list(r.crew)),
    Fact("sample_rate_hz", NUMBER, "the sample rate in hertz", lambda _, r: r.sample_rate_hz),
    Fact("clock_leaders", TEXTS, "the devices that lead the clock", lambda _, r: list(r.leaders or ())),
    Fact("sources", NUMBER, "how many sources there are", lambda _, r: len(r.sources)),
    Fact("channels", NUMBER, "how many channels there are", lambda _, r: len(r.channels)),
    Fact("tablets", TEXTS, "the tablets that may move mixes", lambda _, r: list(r.tablets)),
    Fact("memories", TEXTS, "the consoles with a saved memory", lambda _, r: list(r.memories)),
)

EVENT = Kind("event", "event", "control", by_name(*_FACTS), _things)
