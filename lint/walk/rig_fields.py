"""The fields of the rig as a whole, which every item of a checklist may use."""

from __future__ import annotations

from lint.check.engine import Checked
from lint.rig.rig import HOUSE_LOUDSPEAKERS, MONITOR_DESTINATIONS
from lint.walk.row_words import counted, phantom_channels
from lint.walk.rows import Field, Fields


def rig_fields(checked: Checked) -> Fields:
    """Return the fields of the rig as a whole, which every item may use as `{rig.event}`."""
    resolved = checked.resolved
    rig = resolved.rig
    on, off = phantom_channels(resolved)
    tripping = [row.name for row in rig.circuits.values() if row.residual_current_device is not False]
    kinds = [destination.kind for destination in rig.destinations.values()]
    return {
        "event": rig.event.name or "this event",
        "date": rig.event.date.isoformat() if rig.event.date else "",
        "doors": rig.event.doors or "",
        "has_doors": rig.event.doors is not None,
        "sample_rate": f"{rig.sample_rate_hz / 1000:g} kHz",
        "leader": ", ".join(rig.leaders or ()),
        "has_leader": bool(rig.leaders),
        "phantom_on_channels": counted(on),
        "phantom_off_channels": counted(off),
        "has_phantom_on": bool(on),
        "has_phantom_off": bool(off),
        "has_boxes": bool(rig.boxes),
        "has_circuits": bool(rig.circuits),
        "circuits_to_trip": ", ".join(tripping) if rig.circuits else "every circuit in use",
        "has_circuits_to_trip": bool(tripping) or not rig.circuits,
        "has_sources": bool(rig.sources),
        "has_wireless": any(source.kind == "wireless-receiver" for source in rig.sources.values()),
        "has_monitors": any(kind in MONITOR_DESTINATIONS for kind in kinds),
        "has_wedges": "wedge" in kinds,
        "has_loudspeakers": any(kind in HOUSE_LOUDSPEAKERS for kind in kinds),
        "has_loud": bool(rig.amplifiers) or any(kind in HOUSE_LOUDSPEAKERS or kind == "wedge" for kind in kinds),
    }


RIG_FIELDS = {
    "event": Field(str, "the name of the event"),
    "date": Field(str, "its date"),
    "doors": Field(str, "when the doors open"),
    "has_doors": Field(bool, "whether the rig file states when"),
    "sample_rate": Field(str, "the sample rate with its unit"),
    "leader": Field(str, "the device that leads the clock"),
    "has_leader": Field(bool, "whether the rig file states it"),
    "phantom_on_channels": Field(str, "the channels with phantom power on, such as channels 1–4"),
    "phantom_off_channels": Field(str, "the channels that carry a source, with phantom power off, such as channel 1"),
    "has_phantom_on": Field(bool, "whether there are any with it on"),
    "has_phantom_off": Field(bool, "whether there are any with it off"),
    "has_boxes": Field(bool, "whether there are stage boxes"),
    "has_circuits": Field(bool, "whether mains circuits are stated"),
    "circuits_to_trip": Field(str, "the circuits that the rig file does not say are without a residual-current device"),
    "has_circuits_to_trip": Field(bool, "whether there are any, or no circuit is stated"),
    "has_sources": Field(bool, "whether anything is plugged in on stage"),
    "has_wireless": Field(bool, "whether there are wireless receivers"),
    "has_monitors": Field(bool, "whether performers have monitors"),
    "has_wedges": Field(bool, "whether there are wedges among them"),
    "has_loudspeakers": Field(bool, "whether there are house loudspeakers"),
    "has_loud": Field(bool, "whether there are amplifiers, house loudspeakers or wedges"),
}
