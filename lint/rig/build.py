"""From a document that fits the schema to the typed rig; every name it uses must stand for something.

Raises CannotReadError with all that does not: unknown models, devices, ports, sources, mixes, ranges that don't fit.
What stands for something but is wrong on the day (a socket that the box lacks, two plugs in one socket) is left
for the rules.
"""

from __future__ import annotations

from pathlib import Path

from lint.read.collector import paused_collector
from lint.read.document import Document
from lint.read.load import house_folder, load_document
from lint.read.schema import require_valid
from lint.rig import build_console, build_devices, build_outputs, build_sources, build_week
from lint.rig import build_plant as plant
from lint.rig.contradictions import contradictions
from lint.rig.model import Models
from lint.rig.names import Names
from lint.rig.rig import Rig

DEFAULT_RATE_HZ = 48000
DEFAULT_TEMPERATURE_C = 20.0


def load_rig(path: str | Path, text: str | None = None) -> Rig:
    """Read, merge, check against the schema and build the rig of a file (as if it held `text`, if given).

    Raises CannotReadError.
    """
    path = Path(path)
    with paused_collector():
        document = load_document(path, text)
        require_valid(document, "rig")
        return build_rig(document, str(path), Models(house_folder(path)))


def build_rig(document: Document, file: str, models: Models) -> Rig:
    """Build the rig of a document that fits the schema.

    Raises CannotReadError with every name that stands for nothing.
    """
    names = Names(document, models)
    rig = _rig(names, file)
    names.stop_here()
    return rig


def _rig(names: Names, file: str) -> Rig:
    data = names.data
    build_devices.devices(names)
    consoles = build_devices.console_parts(names)
    names.stop_here()  # which mix or channel is meant can't be told before
    build_console.mixes_and_effects(names, consoles)
    splits = build_sources.splits(names)
    build_sources.sources(names, {name for split in splits.values() for name in split.sources})
    build_sources.refer_splits(names, splits)
    blocks, channels = build_console.blocks_and_channels(names, consoles)
    build_console.refer_channels(names, channels)
    build_outputs.feeds(names, channels)
    for trail, message in contradictions(data):
        names.problem(trail, message)
    power = data.get("power", {})
    return Rig(
        file,
        names.document,
        names.models,
        build_week.event(names),
        int(data.get("clock", {}).get("sample_rate_hz", DEFAULT_RATE_HZ)),
        build_devices.leaders(names),
        names.devices,
        *build_devices.cables(names),
        names.sources,
        channels,
        names.mixes,
        names.effects,
        blocks,
        names.feeds,
        names.copies,
        build_outputs.destinations(names, channels),
        build_sources.pairs(names),
        splits,
        plant.circuits(power),
        power.get("jurisdiction"),
        power.get("continuous_share"),
        build_outputs.amplifiers(names, channels),
        data.get("acoustics", {}).get("temperature_c", DEFAULT_TEMPERATURE_C),
        plant.wireless(data.get("wireless")),
        plant.carriers(data),
        plant.sound_levels(data.get("sound_levels")),
        build_week.tablets(names),
        build_week.memories(names),
        data.get("crew", {}),
        build_week.settings(names),
        build_week.waivers(names),
        names.document.idle_removals,
        *build_week.out_of_use(names),
    )
