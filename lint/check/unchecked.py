"""What was not checked, because the rig does not speak of it: silence must not look like a clean bill."""

from __future__ import annotations

from lint.rig.address import spans
from lint.rig.rig import Rig

# What a section of the rig file lets rules look at.
_SECTIONS = (
    ("clock", "the digital clock"),
    ("channels", "the patch"),
    ("mixes", "mixes"),
    ("destinations", "what the outputs feed"),
    ("power", "mains power"),
    ("amplifiers", "amplifier loads"),
    ("wireless", "wireless carriers"),
    ("sound_levels", "sound exposure"),
    ("remote_control", "tablets"),
    ("crew", "the crew"),
)


def unchecked(rig: Rig) -> list[tuple[str, str]]:
    """Return (section, what it would let be checked) for every section that the rig leaves out."""
    console_parts = rig.says("consoles") or {}
    found = {key for part in console_parts.values() for key in part}
    missing = [(section, what) for section, what in _SECTIONS if not rig.says(section) and section not in found]
    if rig.carriers and rig.wireless is None:
        words = "which carriers the house may use"
        missing = [(section, words if section == "wireless" else what) for section, what in missing]
    missing += _unmeant(rig)
    sources = rig.sources.values()
    if sources and not any(source.expected_spl_db or source.level_dbu is not None for source in sources):
        missing.append(("sources/…/expected_spl_db", "input levels"))
    delays: list[float | None] = [source.latency_ms for source in sources]
    delays += [destination.latency_ms for destination in rig.destinations.values()]
    delays += [delay for device in rig.devices.values() for delay in (device.latency_ms, device.model.latency_ms)]
    if not any(delays):
        missing.append(("latency_ms", "monitor latency"))
    return missing


def _unmeant(rig: Rig) -> list[tuple[str, str]]:
    """What says nothing of what it is meant for can't be wrong, nor right."""
    missing = []
    numbers = [row.number for row in rig.channels.values() if row.carries is None and row.patched_from is not None]
    if numbers:
        of = "channel" if len(numbers) == 1 else "channels"
        missing.append(("channels/…/carries", f"what {of} {spans(sorted(numbers))} should carry"))
    silent = [name for name, row in rig.destinations.items() if not row.expects]
    if silent:
        missing.append(("destinations/…/expects", f"what {', '.join(silent)} should get"))
    return missing
