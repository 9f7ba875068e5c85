"""A rig of any size for measuring: many consoles, each with a chain of three boxes, mixes and loudspeakers."""

from __future__ import annotations

BOXES = (("stage-box-16x8", 16, 1), ("stage-box-16x8", 16, 9), ("stage-box-16x8", 16, 17))
PER_CONSOLE = 48


def big_rig(sources: int) -> str:
    """Return the text of a clean rig file with that many sources, 48 a console."""
    consoles = -(-sources // PER_CONSOLE)
    parts = {name: [] for name in ("devices", "cables", "sources", "consoles", "feeds", "destinations")}
    leaders = ", ".join(f"desk-{number}" for number in range(consoles))
    left = sources
    for number in range(consoles):
        _console(parts, number, min(PER_CONSOLE, left))
        left -= PER_CONSOLE
    body = "\n".join(f"{name}:\n" + "\n".join(lines) for name, lines in parts.items())
    return f"rig_format: 1\nclock: {{sample_rate_hz: 48000, leader: [{leaders}]}}\n{body}\n"


def _console(parts: dict[str, list[str]], number: int, sources: int) -> None:
    desk, link = f"desk-{number}", f"desk-{number}/link-1"
    parts["devices"].append(f"  {desk}: {{model: console-48, location: mix position}}")
    feed = link
    sockets = []
    for index, (model, inputs, bank) in enumerate(BOXES):
        box = f"box-{number}-{index}"
        parts["devices"].append(f"  {box}: {{model: {model}, location: stage, output_bank: {bank}-{bank + 7}}}")
        parts["cables"].append(
            f"  cable-{number}-{index}: {{from: {feed}, to: {box}/upstream, kind: cat5e, shielded: true, "
            f"length_m: 30, spare: on the rack}}"
        )
        feed = f"{box}/downstream"
        sockets += [f"{box}/in/{socket}" for socket in range(1, inputs + 1)]
    lines = [f"  {desk}:", "    channels:"]
    for slot in range(1, sources + 1):
        name = f"source-{number}-{slot}"
        parts["sources"].append(f"  {name}: {{kind: dynamic-microphone, plugged_into: {sockets[slot - 1]}}}")
        lines.append(
            f"      {slot}: {{label: Strip {slot}, carries: {name}, patched_from: {link}/{slot}, gain_db: 30}}"
        )
    lines += [
        "    mixes:",
        f"      house-{number}: {{kind: house, width: stereo, takes: {{channels: [1-{sources}]}}}}",
        f"      mon-{number}: {{kind: monitor, takes: {{channels: {{1: {{tap: pre-fader}}}}}}}}",
    ]
    parts["consoles"] += lines
    parts["feeds"].append(f"  {link}: {{1: mon-{number}, 9-10: house-{number}}}")
    parts["destinations"] += [
        f"  wedge-{number}: {{kind: wedge, plugged_into: box-{number}-0/out/1, expects: mon-{number}}}",
        f"  left-{number}: {{kind: house-loudspeaker, plugged_into: box-{number}-1/out/1, expects: house-{number}.left}}",
        f"  right-{number}: {{kind: house-loudspeaker, plugged_into: box-{number}-1/out/2, "
        f"expects: house-{number}.right}}",
    ]
