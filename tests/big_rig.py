"""A rig of any size for measuring: many consoles, each with a chain of three boxes, mixes and loudspeakers."""

from __future__ import annotations

import re

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


def lost_box_rig() -> str:
    """Return a rig whose box `lost` holds 32 sources, with 40 free sockets elsewhere."""
    sources = "".join(f"  s{n}: {{kind: dynamic-microphone, plugged_into: lost/in/{n}}}\n" for n in range(1, 33))
    channels = "".join(f"  {n}: {{carries: s{n}, patched_from: desk/link-1/{8 + n}}}\n" for n in range(1, 33))
    return (
        "rig_format: 1\n"
        "devices: {desk: {model: console-32}, near: {model: stage-box-8x8}, lost: {model: stage-box-32x16}}\n"
        "cables: {one: {from: desk/link-1, to: near/upstream}, two: {from: near/downstream, to: lost/upstream}}\n"
        f"sources:\n{sources}channels:\n{channels}"
    )


def long_chain_rig(boxes: int = 8) -> str:
    """Return a rig with one source at the end of a long chain, heard at a subwoofer by way of two mixes."""
    devices = "".join(f"  b{n}: {{model: stage-box-8x8, output_bank: 1-8}}\n" for n in range(1, boxes + 1))
    ends = ["desk/link-1", *(f"b{n}/downstream" for n in range(1, boxes))]
    cables = "".join(f"  c{n}: {{from: {end}, to: b{n}/upstream}}\n" for n, end in enumerate(ends, start=1))
    return (
        f"rig_format: 1\ndevices:\n  desk: {{model: console-48}}\n{devices}cables:\n{cables}"
        f"sources: {{source: {{kind: condenser-microphone, plugged_into: b{min(boxes, 6)}/in/1}}}}\n"
        f"channels: {{1: {{carries: source, patched_from: desk/link-1/{8 * (min(boxes, 6) - 1) + 1}, phantom: on}}}}\n"
        "mixes:\n  house: {kind: house, takes: {channels: [1]}}\n  subs: {kind: house, takes: {mixes: [house]}}\n"
        "feeds: {desk/link-1: {1: subs}}\n"
        f"destinations: {{sub: {{kind: subwoofer, plugged_into: b{boxes}/out/1, expects: subs}}}}\n"
    )


def faulty_rig(sources: int) -> str:
    """Return the big rig with mistakes in proportion to it: wrong patches, shared sockets, phantom on what it may harm."""
    lines = []
    for line in big_rig(sources).split("\n"):
        slot = re.fullmatch(r"(      \d+: .*link-1/)(\d+)(, gain_db: 30)\}", line)
        plug = re.fullmatch(r"(  source-\d+-(\d+): \{kind: )dynamic(-microphone, .*/in/)(\d+)\}", line)
        if slot:
            number = int(slot[2])
            wrong = number - 1 if number % 13 == 12 else number
            lines.append(f"{slot[1]}{wrong}{slot[3]}{', phantom: on' if number % 5 == 0 else ''}}}")
        elif plug:
            kind, socket = ("condenser" if int(plug[2]) % 7 == 0 else "dynamic"), int(plug[4])
            lines.append(f"{plug[1]}{kind}{plug[3]}{2 if socket == 3 else socket}}}")
        else:
            lines.append(line)
    return "\n".join(lines)
