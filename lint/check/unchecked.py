"""What was not checked, because the rig does not speak of it: silence must not look like a clean bill."""

from __future__ import annotations

from lint.check.naming import named
from lint.check.partly import has_level, late_parts, partly
from lint.rig.address import spans
from lint.rig.rig import MONITOR_DESTINATIONS, Rig

_LEVEL = ("level-clips", "level-headroom", "level-noise")
# What a section of the rig file lets rules look at, and the rules that can say nothing at all without it.
_SECTIONS = (
    ("clock", "the digital clock", ("clock-leader-missing", "clock-leader-two")),
    (
        "channels",
        "the patch",
        (
            "channel-double-patch",
            "patch-block-wrong",
            "patch-carries-nothing",
            "patch-carries-other",
            "phantom-group",
            "phantom-missing",
            "phantom-on-line",
            "phantom-on-passive-di",
            "phantom-on-ribbon",
            "phantom-two-feeds",
            "phantom-unbalanced",
            "phantom-while-patching",
            "stereo-crossed",
            *_LEVEL,
        ),
    ),
    (
        "mixes",
        "mixes",
        (
            "house-sides-swapped",
            "house-to-monitor",
            "house-unheard",
            "mix-empty",
            "mix-unheard",
            "monitor-after-fader",
            "monitor-to-house",
        ),
    ),
    (
        "destinations",
        "what the outputs feed",
        (
            "bank-clash",
            "delay-misaligned",
            "feed-copied",
            "house-sides-swapped",
            "house-to-monitor",
            "house-unheard",
            "monitor-latency",
            "monitor-to-house",
            "output-carries-nothing",
            "output-carries-other",
        ),
    ),
    (
        "power",
        "mains power",
        (
            "breaker-over-conductor",
            "circuit-dark",
            "circuit-overloaded",
            "circuit-shared-with-dimmers",
            "circuit-unstated",
            "outdoor-without-residual-current-device",
            "reel-not-unwound",
            "stage-without-residual-current-device",
            "voltage-drop",
        ),
    ),
    (
        "amplifiers",
        "amplifier loads",
        ("amplifier-input-wrong", "amplifier-load-low", "line-overloaded", "tap-on-low-impedance"),
    ),
    (
        "wireless",
        "wireless carriers",
        ("carrier-intermodulation", "carrier-outside-house-range", "carrier-too-close"),
    ),
    ("sound_levels", "sound exposure", ("exposure-audience", "exposure-crew")),
    ("remote_control", "tablets", ("remote-may-change-house",)),
    ("crew", "the crew", ("role-unfilled",)),
    ("console_memory", "saved console memories", ("memory-not-saved",)),
)
# What no rig file speaks of, and no rule looks at: told with every check.
NEVER = (
    "rigging, stands and lifting, fire and exits, and the electrical installation itself; competent people look after "
    "these, by local rules"
)
_LEVELS_SECTION, _LATENCY_SECTION = "sources/…/expected_spl_db", "latency_ms"


def unchecked(rig: Rig) -> list[tuple[str, str]]:
    """Return (section, what it would let be checked) for every section, or part of one, that the rig leaves out."""
    missing = [(section, what) for section, what, _ in _unsaid(rig)]
    if rig.carriers and rig.wireless is None:
        words = "which carriers the house may use"
        missing = [(section, words if section == "wireless" else what) for section, what in missing]
    missing += _unmeant(rig)
    if _has_no_level(rig):
        missing.append((_LEVELS_SECTION, "input levels"))
    if _has_no_delay(rig):
        missing.append((_LATENCY_SECTION, "monitor latency"))
    elif any(row.kind in MONITOR_DESTINATIONS for row in rig.destinations.values()) and (parts := late_parts(rig)):
        missing.append(
            (_LATENCY_SECTION, f"what {named(parts)} {'adds' if len(parts) == 1 else 'add'} to monitor latency")
        )
    return [*missing, *partly(rig)]


def idle_rules(rig: Rig) -> dict[str, str]:
    """Return the rules that could say nothing of this rig, each with the section that it would need."""
    idle: dict[str, str] = {}
    for section, _, rules in _unsaid(rig):
        idle = {**dict.fromkeys(rules, section), **idle}
    if rig.amplifiers and "mixes" not in idle.values():
        idle.pop("monitor-to-house", None)  # it looks at what drives the house's loudspeakers as well
    if not rig.carriers and rig.wireless is None:
        idle["carrier-same"] = "wireless"
    if _has_no_level(rig):
        idle = {**dict.fromkeys(_LEVEL, _LEVELS_SECTION), **idle}
    if _has_no_delay(rig):
        idle.setdefault("monitor-latency", _LATENCY_SECTION)
    return idle


def _unsaid(rig: Rig) -> list[tuple[str, str, tuple[str, ...]]]:
    console_parts = rig.says("consoles") or {}
    found = {key for part in console_parts.values() for key in part}
    return [row for row in _SECTIONS if not rig.says(row[0]) and row[0] not in found]


def _has_no_level(rig: Rig) -> bool:
    """Whether no source says enough: sound pressure alone, without a sensitivity, is not."""
    sources = rig.sources.values()
    return bool(sources) and not any(map(has_level, sources))


def _has_no_delay(rig: Rig) -> bool:
    delays: list[float | None] = [source.latency_ms for source in rig.sources.values()]
    delays += [destination.latency_ms for destination in rig.destinations.values()]
    delays += [delay for device in rig.devices.values() for delay in (device.latency_ms, device.model.latency_ms)]
    return not any(delays)


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
