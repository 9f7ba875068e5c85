"""Many mistakes in one file, told in one go: each once, whole, at its place, in the order of the file.

`▸` marks the place that each message must name, in order; it is taken out before the file is read. Mistakes of a rig
one at a time are in test_schema_messages.py.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from lint.check.example import BASE
from lint.read.problem import CannotReadError
from lint.rig.build import load_rig
from lint.rig.model import Models
from lint.walk.template import load_template

ID = "a name in lower-case letters, digits and hyphens, such as"
INPUT = "an input socket: device/in/number, such as west-box/in/3"
OUTPUT = "an output socket: device/out/number, such as west-box/out/1 (or a range, west-box/out/3-4)"
SIGNAL = "a mix, such as singer-mon, a side of it, such as house.left, or a channel's direct output, such as channel/4"
PATCH = (
    "where the console takes it from: console/link/slot such as desk/link-1/9, "
    "console/in/socket such as desk/in/2, or effects/name"
)
DESTINATIONS = (
    "house-loudspeaker, subwoofer, delay-loudspeaker, fill-loudspeaker, zone-loudspeaker, wedge, ear-transmitter, "
    "headphone-amplifier, hearing-assistance, recorder, stream-encoder, broadcast-feed or control-room-monitor"
)
MIXES = "house, monitor, effects, record, stream, cue or talkback"
CABLES = "cat5, cat5e, cat6, cat6a, cat7, cat8, fibre or coax"
RANGE = "a range of slots or sockets: device/port/first-last, such as desk/link-1/15-16"
FORMAT = "`rig_format` is missing (The version of this format: 1)"

Row = tuple[str, tuple[str, ...]]

# A week's file, line by line, and what is said of each line.
WEEK: list[Row] = [
    ("extends: ../house.yaml", ()),
    ("rig_format: ▸'1'", ("rig_format: found '1', expected 1",)),
    ("▸chanels: {}", ("`chanels` is not known here; did you mean 'channels'?",)),
    ("event: {name: ▸2026, date: ▸2026-2-30, doors: ▸9:30, start: ▸10, ▸end: \"12:00\"}", (
        "event/name: found 2026, expected text; put it in quotes",
        "event/date: found '2026-2-30', expected a date such as 2026-11-29",
        "event/doors: found '9:30', expected a time such as 09:30",
        "event/start: found 10, expected a time such as 10:00",
        "event: `end` is not known here; known here: name, date, doors, start",
    )),
    ("clock: {sample_rate_hz: ▸48 kHz, leader: ▸The Desk}", (
        "clock/sample_rate_hz: found '48 kHz', expected a whole number",
        f"clock/leader: found 'The Desk', expected {ID} west-box; perhaps 'the-desk'",
    )),
    ("devices:", ()),
    ("  west-box: {output_bank: ▸1 to 8, clock_from: ▸links}", (
        "devices/west-box/output_bank: found '1 to 8', expected a selector position: first-last, such as 9-16",
        "devices/west-box/clock_from: found 'links', expected internal, link or external; did you mean 'link'?",
    )),
    ("  ▸loft-box: {▸location: [gallery, left]}", (
        "devices/loft-box: `model` is missing (Its model: a bundled one (`rigwalk models` lists them) or a file in the house's models/ folder)",
        "devices/loft-box/location: found a list, expected text",
    )),
    ("  ▸Pit Box 2: {model: stage-box-8x8}", (f"devices: 'Pit Box 2' can't stand here; expected {ID} west-box; perhaps 'pit-box-2'",)),
    ("cables:", ()),
    ("  trunk: {kind: ▸cat 5e, shielded: ▸no, length_m: ▸40m, ▸colour: blue}", (
        f"cables/trunk/kind: found 'cat 5e', expected {CABLES}; did you mean 'cat5e'?",
        "cables/trunk/shielded: found 'no', expected true or false",
        "cables/trunk/length_m: found '40m', expected a number",
        "cables/trunk: `colour` is not known here; known here: from, to, kind, shielded, length_m, way_m, way_at_most, label, spare",
    )),
    ("  crossing: {from: ▸west-box, length_m: ▸-3}", (
        "cables/crossing/from: found 'west-box', expected a port: device/port, such as desk/link-1 or west-box/upstream",
        "cables/crossing/length_m: found -3, expected more than 0",
    )),
    ("  spare: ▸on its hook", ("cables/spare: found 'on its hook', expected a map",)),
    ("sources:", ()),
    ("  lead-vocal: {plugged_into: ▸west-box/1, connection: ▸XLR, powering: ▸true}", (
        f"sources/lead-vocal/plugged_into: found 'west-box/1', expected {INPUT}",
        "sources/lead-vocal/connection: found 'XLR', expected balanced, unbalanced, unbalanced-adapter or jack-patch-point",
        "sources/lead-vocal/powering: found true, expected phantom, battery, internal, parallel or none",
    )),
    ("  choir: {▸plugged_into: [west-box/in/2, west-box/in/2]}", ("sources/choir/plugged_into: found a list, expected no member twice",)),
    ("  flute: {kind: player, ▸plugged: west-box/in/3}", ("sources/flute: `plugged` is not known here; did you mean 'plugged_into'?",)),
    ("channels:", ()),
    ("  1: {label: ▸'', carries: ▸12, phantom: ▸true, gain_db: ▸+130, pan: ▸middle}", (
        "channels/1/label: found '', expected some text",
        "channels/1/carries: found 12, expected the name of a source, such as lead-vocal, or effects/name",
        "channels/1/phantom: found true, expected on or off; did you mean 'on'?",
        "channels/1/gain_db: found 130, expected at most 100",
        "channels/1/pan: found 'middle', expected left, centre or right",
    )),
    ("  2: {patched_from: ▸west-box, doubles: ▸one}", (
        f"channels/2/patched_from: found 'west-box', expected {PATCH}",
        "channels/2/doubles: found 'one', expected a whole number",
    )),
    ("  ▸ch3: {}", ("channels: 'ch3' can't stand here; expected a channel number, such as 12",)),
    ("mixes:", ()),
    ("  house: {kind: ▸main, width: ▸2, takes: {channels: [1, ▸1-x, ▸0], mixes: ▸singer-mon, ▸sources: [choir]}}", (
        f"mixes/house/kind: found 'main', expected {MIXES}; did you mean 'house'?",
        "mixes/house/width: found 2, expected mono or stereo",
        "mixes/house/takes/channels/[2]: found '1-x', expected a channel number, or a range such as 1-8",
        "mixes/house/takes/channels/[3]: found 0, expected at least 1",
        "mixes/house/takes/mixes: found 'singer-mon', expected a list",
        "mixes/house/takes: `sources` is not known here; known here: channels, mixes",
    )),
    ("  singer-mon: {takes: {channels: {1: {level_db: ▸loud, tap: ▸pre}, ▸one: {}}}}", (
        "mixes/singer-mon/takes/channels/1/level_db: found 'loud', expected a number",
        "mixes/singer-mon/takes/channels/1/tap: found 'pre', expected pre-fader or post-fader",
        "mixes/singer-mon/takes/channels: 'one' can't stand here; expected a channel number, or a range such as 1-8",
    )),
    ("effects: {▸plate: {}}", ("effects/plate: `fed_by` is missing (The mix that feeds it)",)),
    ("feeds:", ()),
    ("  desk/link-1: {▸one: house, 2: ▸House Left, ▸3: {}, 4: {same_as: ▸desk/link-1}}", (
        "feeds/desk/link-1: 'one' can't stand here; expected an output number, or a range such as 15-16",
        f"feeds/desk/link-1/2: found 'House Left', expected {SIGNAL}",
        "feeds/desk/link-1/3: `same_as` is missing (The range that leaves here as well)",
        f"feeds/desk/link-1/4/same_as: found 'desk/link-1', expected {RANGE}",
    )),
    ("destinations:", ()),
    ("  singer-wedge: {kind: ▸wedges, plugged_into: ▸west-box/in/1, expects: ▸singer mon}", (
        f"destinations/singer-wedge/kind: found 'wedges', expected {DESTINATIONS}; did you mean 'wedge'?",
        f"destinations/singer-wedge/plugged_into: found 'west-box/in/1', expected {OUTPUT}",
        f"destinations/singer-wedge/expects: found 'singer mon', expected {SIGNAL}",
    )),
    ("power: {circuits: {west: {volts: ▸230 V, breaker_a: ▸0, residual_current_device: ▸1}}}", (
        "power/circuits/west/volts: found '230 V', expected a number",
        "power/circuits/west/breaker_a: found 0, expected more than 0",
        "power/circuits/west/residual_current_device: found 1, expected true or false",
    )),
    ("crew: {▸lead: {name: A. Person}, ▸mixer: A. Person}", (
        "crew/lead: found a map, expected text",
        "crew: `mixer` is not known here; did you mean 'house-mixer'?",
    )),
    ("rules: {▸mix-empty: {severity: ▸warning, limits: {most: ▸three}, because: }}", (
        # An empty value removes what the house says, and here it says nothing.
        "rules/mix-empty: `because` is missing (Why the house does so)",
        "rules/mix-empty/severity: found 'warning', expected no-go, caution or note",
        "rules/mix-empty/limits/most: found 'three', expected a number",
    )),
    ("waivers:", ()),
    ("  - ▸mix-empty", ("waivers/[1]: found 'mix-empty', expected a map",)),
    ("  - {rule: mix-empty, about: house, because: x, by: A. Person, until: ▸next week}", ("waivers/[2]/until: found 'next week', expected a date such as 2026-11-29",)),
]  # fmt: skip

Read = Callable[[str], object]


def in_house(folder: Path, name: str, text: str, read: Read) -> list[str]:
    """What is said of one file of a house, places and messages, without the path to it."""
    (folder / "house.yaml").write_text(BASE, encoding="utf-8")
    path = folder / name
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, encoding="utf-8")
    with pytest.raises(CannotReadError) as caught:
        read(name)
    return [str(problem).removeprefix(str(path)) for problem in caught.value.problems]


def expected(rows: list[Row]) -> tuple[str, list[str]]:
    """The text of the rows without its marks, and what must be said of it."""
    lines, messages = [], []
    for number, (line, told) in enumerate(rows, start=1):
        parts = line.split("▸")
        columns = [sum(map(len, parts[:count])) + 1 for count in range(1, len(parts))]
        if len(told) > len(columns):  # several are told at the last mark of a line, in the order of their words
            columns += columns[-1:] * (len(told) - len(columns))
        messages += [f":{number}:{column}: {message}" for column, message in zip(columns, told, strict=True)]
        lines.append("".join(parts))
    return "\n".join(lines) + "\n", messages


def test_a_week_full_of_mistakes(tmp_path: Path) -> None:
    text, messages = expected(WEEK)
    assert len(messages) >= 50
    assert len({message.split(": ", 1)[1] for message in messages}) == len(messages)
    assert in_house(tmp_path, "rigs/week.yaml", text, lambda name: load_rig(tmp_path / name)) == messages


@pytest.mark.parametrize("row", [row for row in WEEK if row[1]], ids=lambda row: row[0][:30])
def test_a_line_with_mistakes_is_told_the_same_alone(tmp_path: Path, row: Row) -> None:
    """No message depends on what else is wrong: of the whole file, only what holds the line up is kept."""
    at = WEEK.index(row)
    head = next(line for line in reversed(WEEK[: at + 1]) if not line[0].startswith(" "))
    rows = [WEEK[0], *([head] if head is not row else []), row]
    text, messages = expected(rows)
    if row[0].startswith("  - {rule"):
        messages = [message.replace("[2]", "[1]") for message in messages]
    assert in_house(tmp_path, "rigs/week.yaml", text, lambda name: load_rig(tmp_path / name)) == messages


# -- models ----------------------------------------------------------------------------------------------------

MODEL: list[Row] = [
    ("model_format: ▸1.1", ("model_format: found 1.1, expected 1",)),
    ("kind: ▸stagebox", ("kind: found 'stagebox', expected console, stage-box or other; did you mean 'stage-box'?",)),
    ("title: ▸16", ("title: found 16, expected text; put it in quotes",)),
    ("inputs: {count: ▸'16', phantom: ▸all, ▸sockets: 16}", (
        "inputs/count: found '16', expected a whole number; write it without quotes",
        "inputs/phantom: found 'all', expected each, groups or none",
        "inputs: `sockets` is not known here; known here: count, addressed, selector, phantom, phantom_group_size, full_scale_dbu",
    )),
    ("outputs: {count: ▸-1, addressed: by-selector, selector: [1-8, ▸9, ▸9 - 16], phantom_group_size: ▸1}", (
        "outputs/count: found -1, expected at least 0",
        "outputs/selector/[2]: found 9, expected a selector position: first-last, such as 9-16",
        "outputs/selector/[3]: found '9 - 16', expected a selector position: first-last, such as 9-16",
        "outputs/phantom_group_size: found 1, expected at least 2",
    )),
    ("chain: {slots: {48000: ▸many, ▸48k: 32, 96000: ▸0}, max_boxes: ▸300, cable_kind: ▸cat5a, cable_shielded: ▸yes, max_cable_m: ▸0}", (
        "chain/slots/48000: found 'many', expected a whole number",
        "chain/slots: '48k' can't stand here; expected a sample rate in hertz, such as 48000",
        "chain/slots/96000: found 0, expected at least 1",
        "chain/max_boxes: found 300, expected at most 256",
        f"chain/cable_kind: found 'cat5a', expected {CABLES}; did you mean 'cat5'?",
        "chain/cable_shielded: found 'yes', expected true or false",
        "chain/max_cable_m: found 0, expected more than 0",
    )),
    ("sample_rates_hz: ▸48000", ("sample_rates_hz: found 48000, expected a list",)),
    ("links: {▸Link 1: {}, ▸link-2: {}, link-3: {▸slots: {}}}", (
        "links: 'Link 1' can't stand here; expected a port name, such as link-1",
        "links/link-2: `slots` is missing (Slots each way, by sample rate in hertz)",
        "links/link-3/slots: found an empty map, expected at least 1 entries",
    )),
    ("▸channel: 32", ("`channel` is not known here; did you mean 'channels'?",)),
]  # fmt: skip


def read_model(folder: Path) -> Read:
    return lambda name: Models(folder).get(Path(name).stem)


def test_a_model_full_of_mistakes(tmp_path: Path) -> None:
    text, messages = expected(MODEL)
    assert in_house(tmp_path, "models/own.yaml", text, read_model(tmp_path)) == messages


@pytest.mark.parametrize(
    ("text", "messages"),
    [
        ("{}", ["1:1: `kind` is missing (What it is)", "1:1: `model_format` is missing (The version of this format: 1)"]),
        ("model_format: 1\nkind: stage-box\n", ["1:1: `chain` is missing"]),
        ("model_format: 1\nkind: other\ninputs: {phantom: each}\n", ["3:1: inputs: `count` is missing (How many sockets)"]),
        ("model_format: 1\nkind: other\ninputs: {count: 8, phantom: groups}\n", ["3:1: inputs: `phantom_group_size` is missing"]),
        ("model_format: 1\nkind: other\noutputs: {count: 8, addressed: by-selector}\n", ["3:1: outputs: `selector` is missing"]),
        # What no schema can say.
        ("model_format: 1\nkind: other\noutputs: {count: 8, selector: [1-8, 16-9, 9-24]}\n", [
            "3:37: found the range 16-9, which runs backwards; expected 9-16",
            "3:43: the position 9-24 holds 16 slots, but there are 8 sockets",
        ]),
        ("model_format: 1\nkind: console\nchain: {slots: {48000: 8}}\nlinks: {in: {slots: {48000: 8}}}\n", [
            "3:1: a console has `links`; a `chain` is what a stage box passes on",
            "4:9: a link port can't be called 'in': addresses such as desk/in/1 mean something else",
        ]),
    ],
    ids=lambda value: value[:50] if isinstance(value, str) else "",
)  # fmt: skip
def test_a_model_with_one_mistake(tmp_path: Path, text: str, messages: list[str]) -> None:
    told = in_house(tmp_path, "models/own.yaml", text, read_model(tmp_path))
    assert told == [f":{message}" for message in messages]


def test_a_wrong_model_is_told_in_its_own_file_though_the_rig_is_read(tmp_path: Path) -> None:
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "own.yaml").write_text("model_format: 1\nkind: bridge\n", encoding="utf-8")
    week = "extends: ../house.yaml\ndevices: {loft-box: {model: own}}\n"
    (message,) = in_house(tmp_path, "rigs/week.yaml", week, lambda name: load_rig(tmp_path / name))
    assert (
        message == f"{tmp_path / 'models' / 'own.yaml'}:2:7: kind: found 'bridge', expected console, stage-box or other"
    )


# -- checklists ------------------------------------------------------------------------------------------------

CHECKLIST: list[Row] = [
    ("checklist_format: ▸two", ("checklist_format: found 'two', expected 1",)),
    ("title: ▸~", ("title: found nothing, expected text",)),
    ("phases:", ()),
    ("  - {id: ▸The Links, title: Links, mode: ▸do, completion: ▸'', ▸items: []}", (
        f"phases/[1]/id: found 'The Links', expected {ID} bank-selector; perhaps 'the-links'",
        "phases/[1]/mode: found 'do', expected do-confirm or read-do",
        "phases/[1]/completion: found '', expected some text",
        "phases/[1]/items: found an empty list, expected at least 1 of them",
    )),
    ("  - ▸links", ("phases/[2]: found 'links', expected a phase with an id, a title, a mode, a completion call and items",)),
    ("  - {id: x, title: X, mode: read-do, completion: X, items: [▸look, {id: x, role: ▸boss, challenge: ▸3, killer: ▸no, measure: {unit: dB, min: ▸low}}]}", (
        "phases/[3]/items/[1]: found 'look', expected an item with an id, a role and a challenge",
        "phases/[3]/items/[2]/role: found 'boss', expected lead, stage, house-mixer, monitor-mixer or wireless",
        "phases/[3]/items/[2]/challenge: found 3, expected text; put it in quotes",
        "phases/[3]/items/[2]/killer: found 'no', expected true or false",
        "phases/[3]/items/[2]/measure/min: found 'low', expected a number",
    )),
    ("▸titel: x", ("`titel` is not known here; did you mean 'title'?",)),
]  # fmt: skip


def test_a_checklist_full_of_mistakes(tmp_path: Path) -> None:
    text, messages = expected(CHECKLIST)
    told = in_house(tmp_path, "checklists/own.yaml", text, lambda name: load_template(Path(name).stem, tmp_path))
    assert told == messages
