"""Mistakes in rig files: the whole message, at its place, one for each cause.

`▸` marks the place that the message must name; it is taken out before the file is read.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from rigs import BASE, problems

ID = "a name in lower-case letters, digits and hyphens, such as west-box"
INPUT = "an input socket: device/in/number, such as west-box/in/3"
OUTPUT = "an output socket: device/out/number, such as west-box/out/1 (or a range, west-box/out/3-4)"
PATCH = (
    "where the console takes it from: console/link/slot such as desk/link-1/9, "
    "console/in/socket such as desk/in/2, or effects/name"
)
SIGNAL = "a mix, such as singer-mon, a side of it, such as house.left, or a channel's direct output, such as channel/4"
KINDS = (
    "dynamic-microphone, condenser-microphone, ribbon-microphone, active-ribbon-microphone, boundary-microphone, "
    "lavalier-microphone, passive-di, active-di, wireless-receiver, player, instrument-line or intercom"
)
SPLIT_KIND = (
    "`kind` is missing (`analogue`: a splitter in the microphone lines; "
    "`link`: the far end of the chain goes on to a second console)"
)
ABOUT = "What the finding is about, as `check` prints it: a device, a channel, a source ..."

LATER = "rig_format: found 2, expected 1: the file was written for a later rigwalk; bring this one up to date"

# What a week's file says on top of the small rig, and the messages without their places.
MISTAKES = [
    # keys that are not known, or misspelt
    ("▸rigformat: 1", "`rigformat` is not known here; did you mean 'rig_format'?"),
    ("▸Devices: {}", "`Devices` is not known here; did you mean 'devices'?"),
    ("clock: {▸sample_rate: 48000}", "clock: `sample_rate` is not known here; did you mean 'sample_rate_hz'?"),
    ("cables: {new: {▸form: desk/link-2, to: east-box/downstream}}", "cables/new: `form` is not known here; did you mean 'from'?"),
    ("sources: {new: {kind: player, ▸pluged_into: desk/in/1}}", "sources/new: `pluged_into` is not known here; did you mean 'plugged_into'?"),
    ("mixes: {new: {▸kinds: house}}", "mixes/new: `kinds` is not known here; did you mean 'kind'?"),
    ("splits: {new: {kind: link, ▸form: desk/link-1, to: desk/link-2}}", "splits/new: `form` is not known here; did you mean 'from'?"),
    ("crew: {▸boss: A. Person}", "crew: `boss` is not known here; known here: lead, stage, house-mixer, monitor-mixer, wireless"),
    ("power: {▸fuses: 1}", "power: `fuses` is not known here; known here: circuits, jurisdiction, continuous_share"),
    ("▸<<: {devices: {}}", "`<<` is not known here: nothing is merged by YAML here; `extends:` builds a file on another"),
    # keys that name something, in the wrong form
    ("devices: {▸Stage Box: {model: stage-box-8x8}}", f"devices: 'Stage Box' can't stand here; expected {ID}; perhaps 'stage-box'"),
    ("devices: {▸2nd-box: {model: stage-box-8x8}}", f"devices: '2nd-box' can't stand here; expected {ID}"),
    ("channels: {▸01: {}}", "channels: '01' can't stand here; expected a channel number, such as 12"),
    ("channels: {▸vocal: {}}", "channels: 'vocal' can't stand here; expected a channel number, such as 12"),
    ("channels: {▸1-2: {}}", "channels: '1-2' can't stand here; expected a channel number, such as 12"),
    ("feeds: {▸desk: {1: house}}", "feeds: 'desk' can't stand here; expected a console's link port or its outputs, such as desk/link-1 or desk/out"),
    ("feeds: {desk/out: {▸0: house}}", "feeds/desk/out: '0' can't stand here; expected an output number, or a range such as 15-16"),
    ("input_blocks: {▸3: desk/in/1}", "input_blocks: '3' can't stand here; expected a range of channels, such as 1-8"),
    ("mixes: {house: {takes: {channels: {▸all: {}}}}}", "mixes/house/takes/channels: 'all' can't stand here; expected a channel number, or a range such as 1-8"),
    # keys that are missing: told at the key of the map that lacks them
    ("devices: {▸new: {}}", "devices/new: `model` is missing (Its model: a bundled one (`rigwalk models` lists them) or a file in the house's models/ folder)"),
    ("pairs: {▸new: {left: vocal}}", "pairs/new: `right` is missing (The right source)"),
    ("feeds: {desk/out: {▸1: {}}}", "feeds/desk/out/1: `same_as` is missing (The range that leaves here as well)"),
    ("splits: {▸new: {}}", f"splits/new: {SPLIT_KIND}"),
    ("splits: {▸new: {kind: analogue}}", "splits/new: `sources` is missing"),
    ("rules: {▸mix-empty: {severity: note}}", "rules/mix-empty: `because` is missing (Why the house does so)"),
    # the wrong kind of value
    ("▸devices: []", "devices: found an empty list, expected a map"),
    ("▸channels: [vocal]", "channels: found a list, expected a map"),
    ("▸waivers: {}", "waivers: found an empty map, expected a list"),
    ("waivers: [▸3]", "waivers/[1]: found 3, expected a map"),
    ("devices: {new: {model: ▸8}}", f"devices/new/model: found 8, expected {ID}"),
    ("clock: {leader: ▸3}", f"clock/leader: found 3, expected {ID}"),
    ("clock: {▸leader: {desk: 1}}", "clock/leader: found a map, expected text or a list"),
    ("clock: {leader: [desk, ▸true]}", f"clock/leader/[2]: found true, expected {ID}"),
    ("clock: {sample_rate_hz: ▸48k}", "clock/sample_rate_hz: found '48k', expected a whole number"),
    ("clock: {sample_rate_hz: ▸44100.5}", "clock/sample_rate_hz: found 44100.5, expected a whole number"),
    ("clock: {sample_rate_hz: ▸'48000'}", "clock/sample_rate_hz: found '48000', expected a whole number; write it without quotes"),
    ("channels: {1: {gain_db: ▸loud}}", "channels/1/gain_db: found 'loud', expected a number"),
    ("channels: {1: {gain_db: ▸'12.5'}}", "channels/1/gain_db: found '12.5', expected a number; write it without quotes"),
    ("channels: {1: {label: ▸1}}", "channels/1/label: found 1, expected text; put it in quotes"),
    ("feeds: {desk/out: {1: ▸3}}", "feeds/desk/out/1: found 3, expected text or a map"),
    ("feeds: {desk/out: {▸1: [house]}}", "feeds/desk/out/1: found a list, expected text or a map"),
    ("mixes: {house: {takes: {channels: ▸3}}}", "mixes/house/takes/channels: found 3, expected a list or a map"),
    ("mixes: {house: {takes: {channels: [1, ▸two]}}}", "mixes/house/takes/channels/[2]: found 'two', expected a channel number, or a range such as 1-8"),
    ("mixes: {house: {takes: {channels: [▸1.5]}}}", "mixes/house/takes/channels/[1]: found 1.5, expected a channel number, or a range such as 1-8"),
    ("sources: {vocal: {plugged_into: ▸3}}", f"sources/vocal/plugged_into: found 3, expected {INPUT}"),
    ("cables: {trunk: {shielded: ▸yes}}", "cables/trunk/shielded: found 'yes', expected true or false"),
    # numbers and lists out of bounds
    ("clock: {sample_rate_hz: ▸0}", "clock/sample_rate_hz: found 0, expected at least 1"),
    ("channels: {1: {gain_db: ▸120}}", "channels/1/gain_db: found 120, expected at most 100"),
    ("cables: {trunk: {length_m: ▸0}}", "cables/trunk/length_m: found 0, expected more than 0"),
    ("channels: {1: {label: ▸''}}", "channels/1/label: found '', expected some text"),
    ("channels: {1: {label: ▸" + "x" * 201 + "}}", "channels/1/label: found '" + "x" * 75 + "...', expected at most 200 letters"),
    ("clock: {▸leader: []}", "clock/leader: found an empty list, expected at least 1 of them"),
    ("clock: {▸leader: [desk, desk]}", "clock/leader: found a list, expected no member twice"),
    # words that are not on the list
    ("sources: {vocal: {kind: ▸dynamic-microphon}}", f"sources/vocal/kind: found 'dynamic-microphon', expected {KINDS}; did you mean 'dynamic-microphone'?"),
    ("channels: {1: {phantom: ▸true}}", "channels/1/phantom: found true, expected on or off; did you mean 'on'?"),
    ("channels: {1: {phantom: ▸false}}", "channels/1/phantom: found false, expected on or off; did you mean 'off'?"),
    ("channels: {1: {phantom: ▸yes}}", "channels/1/phantom: found 'yes', expected on or off"),
    ("channels: {1: {pan: ▸center}}", "channels/1/pan: found 'center', expected left, centre or right; did you mean 'centre'?"),
    ("splits: {new: {kind: ▸analog}}", "splits/new/kind: found 'analog', expected analogue or link; did you mean 'analogue'?"),
    ("rig_format: ▸0", "rig_format: found 0, expected 1"),
    ("rig_format: ▸2", LATER),
    ("rules: {mix-empty: {because: x, off: ▸false}}", "rules/mix-empty/off: found false, expected true"),
    # forms of addresses, times and dates
    ("sources: {vocal: {plugged_into: ▸west-box/out/1}}", f"sources/vocal/plugged_into: found 'west-box/out/1', expected {INPUT}"),
    ("sources: {vocal: {plugged_into: ▸west-box/in/0}}", f"sources/vocal/plugged_into: found 'west-box/in/0', expected {INPUT}"),
    ("sources: {vocal: {plugged_into: [west-box/in/1, ▸west-box]}}", f"sources/vocal/plugged_into/[2]: found 'west-box', expected {INPUT}"),
    ('sources: {vocal: {plugged_into: ▸"west-box/in/1\\n"}}', rf"sources/vocal/plugged_into: found 'west-box/in/1\n', expected {INPUT}"),
    ("destinations: {wedge: {plugged_into: ▸west-box/in/1}}", f"destinations/wedge/plugged_into: found 'west-box/in/1', expected {OUTPUT}"),
    ("destinations: {wedge: {expects: ▸House Left}}", f"destinations/wedge/expects: found 'House Left', expected {SIGNAL}"),
    ("channels: {1: {patched_from: ▸desk/link-1}}", f"channels/1/patched_from: found 'desk/link-1', expected {PATCH}"),
    ("channels: {1: {patched_from: ▸9}}", f"channels/1/patched_from: found 9, expected {PATCH}"),
    ("channels: {1: {carries: ▸Lead Vox}}", "channels/1/carries: found 'Lead Vox', expected the name of a source, such as lead-vocal, or effects/name"),
    ("cables: {trunk: {from: ▸desk}}", "cables/trunk/from: found 'desk', expected a port: device/port, such as desk/link-1 or west-box/upstream"),
    ("devices: {west-box: {output_bank: ▸8}}", "devices/west-box/output_bank: found 8, expected a selector position: first-last, such as 9-16"),
    ("devices: {west-box: {model: ▸Stage Box}}", f"devices/west-box/model: found 'Stage Box', expected {ID}; perhaps 'stage-box'"),
    ("feeds: {desk/out: {1: {same_as: ▸desk/out}}}", "feeds/desk/out/1/same_as: found 'desk/out', expected a range of slots or sockets: device/port/first-last, such as desk/link-1/15-16"),
    ("event: {doors: ▸9:30}", "event/doors: found '9:30', expected a time such as 09:30"),
    ("event: {start: ▸'24:00'}", "event/start: found '24:00', expected a time such as 10:00"),
    ("event: {date: ▸29.11.2026}", "event/date: found '29.11.2026', expected a date such as 2026-11-29"),
    ("event: {date: ▸2026-13-01}", "event/date: found '2026-13-01', expected a date such as 2026-11-29"),
]  # fmt: skip


def marked(text: str) -> tuple[str, list[tuple[int, int]]]:
    """The text without its marks, and the line and column of each."""
    clean, places = "", []
    for part in text.split("▸"):
        clean += part
        places.append((clean.count("\n") + 1, len(clean) - clean.rfind("\n")))
    return clean, places[:-1]


@pytest.mark.parametrize(("week", "message"), MISTAKES, ids=[row[0][:50] for row in MISTAKES])
def test_one_mistake_is_one_message_at_its_place(week: str, message: str) -> None:
    text, [(line, column)] = marked(week)
    assert problems(BASE, text) == [f"week.yaml:{line}:{column}: {message}"]


def test_what_is_missing_altogether_is_told_in_one_go() -> None:
    assert problems(BASE, "waivers: [{rule: mix-empty}]") == [
        f"week.yaml:1:11: waivers/[1]: `about` is missing ({ABOUT})",
        "week.yaml:1:11: waivers/[1]: `because` is missing (Why it is accepted)",
        "week.yaml:1:11: waivers/[1]: `by` is missing (Who accepts it)",
        "week.yaml:1:11: waivers/[1]: `until` is missing (The last day on which it holds)",
    ]
    assert problems("{}") == [
        "rig.yaml:1:1: `devices` is missing (Every piece of equipment by name)",
        "rig.yaml:1:1: `rig_format` is missing (The version of this format: 1)",
    ]


def test_of_a_later_format_nothing_else_is_told() -> None:
    assert problems("rig_format: 2\nsomething_new: {}\ndevices: {new: {modle: a}}") == [f"rig.yaml:1:13: {LATER}"]


def test_mistakes_are_told_in_the_order_of_the_file() -> None:
    week, places = marked(
        "mixes:\n  house: {kind: ▸loud}\nchannels:\n  2: {gain_db: ▸x, pan: ▸up}\n"
        "  1: {▸lable: y}\nclock: {leader: ▸4}\nevent: {doors: ▸late}\n"
    )
    told = [message.split(": ")[0] for message in problems(BASE, week)]
    assert told == [f"week.yaml:{line}:{column}" for line, column in places]


def test_a_mistake_of_the_house_is_told_in_the_house_and_of_the_week_in_the_week() -> None:
    house = BASE.replace("model: console-32", "model: Console 32")
    assert [message.split(": ")[0] for message in problems(house, "clock: {sample_rate_hz: x}")] == [
        "rig.yaml:4:21",
        "week.yaml:1:25",
    ]


def test_a_flood_of_mistakes_is_cut_short() -> None:
    week = "channels:\n" + "".join(f"  {number}: {{gain_db: x}}\n" for number in range(1, 1001))
    assert len(problems(BASE, week)) == 200


def test_whole_numbers_may_be_written_as_json_schema_lets_them(tmp_path: Path) -> None:
    """To JSON Schema 48000.0 is an integer (Core, 4.2.3, from memory): it is read as one and never shown as 48000.0."""
    week = "clock: {sample_rate_hz: 48000.0}\nmixes: {house: {takes: {channels: [1.0, 2e0]}}}\nchannels: {1: {doubles: 2.0}}\n"
    assert problems(BASE, week) == []
    (tmp_path / "models").mkdir()
    model = (
        "model_format: 1.0\nkind: stage-box\ninputs: {count: 8.0, phantom: groups, phantom_group_size: 4.0}\n"
        "chain: {slots: {48000: 48.0}, max_boxes: 4.0}\nsample_rates_hz: [48000.0]\n"
    )
    (tmp_path / "models" / "float-box.yaml").write_text(model, encoding="utf-8")
    assert (
        problems(BASE, "devices: {west-box: {model: float-box, output_bank: null}}\ndestinations: null", tmp_path) == []
    )
