"""References between consoles: splits of links, copies of outputs, mixes of another desk; and one message a cause."""

from __future__ import annotations

import pytest
from rigs import BASE, base, problems

MON = "devices: {mon: {model: console-16}}\nconsoles: {mon: {mixes: {ears: {kind: monitor}}}}\n"
VAN = "devices: {mon: {model: console-16}, van: {model: console-16}}\nconsoles: {mon: {}, van: {}}\n"

# What a week says on top of the small rig, `▸` at the place of each message, and the messages.
WRONG = {
    "a split back to the same console": (
        "splits: {stage: {kind: link, from: desk/link-1, to: ▸desk/link-2}}",
        ["splits/stage/to: desk/link-1 and desk/link-2 are both on desk; a split leads to another console"],
    ),
    "a split from a port to itself": (
        "splits: {stage: {kind: link, from: desk/link-1, to: ▸desk/link-1}}",
        ["splits/stage/to: desk/link-1 and desk/link-1 are both on desk; a split leads to another console"],
    ),
    "a split to a box": (
        "splits: {stage: {kind: link, from: desk/link-1, to: ▸east-box/downstream}}",
        ["splits/stage/to: east-box/downstream is not a port of a console"],
    ),
    "two splits to one port": (
        MON + "splits:\n"
        "  one: {kind: link, from: desk/link-1, to: ▸mon/link-1}\n"
        "  two: {kind: link, from: desk/link-2, to: ▸mon/link-1}",
        [
            "splits/one/to: mon/link-1 listens to desk/link-2 already, by the split two",
            "splits/two/to: mon/link-1 listens to desk/link-1 already, by the split one",
        ],
    ),
    "a split from a port that only listens": (
        VAN + "splits:\n"
        "  one: {kind: link, from: desk/link-1, to: mon/link-1}\n"
        "  two: {kind: link, from: ▸mon/link-1, to: van/link-1}",
        ["splits/two/from: mon/link-1 listens to desk/link-1 itself, by the split one; say who owns the chain"],
    ),
    "a split of a source that there is not": (
        "splits: {stage: {kind: analogue, sources: [vocal, ▸vocals]}}",
        ["splits/stage/sources/[2]: no source is called 'vocals'; did you mean 'vocal'?"],
    ),
    "a copy of a device that there is not": (
        "feeds: {desk/out: {1: {same_as: ▸dsk/out/2}}}",
        ["feeds/desk/out/1/same_as: no device is called 'dsk'; did you mean 'desk'?"],
    ),
    "a copy of a port that there is not": (
        "feeds: {desk/out: {1: {same_as: ▸desk/link-3/2}}}",
        ["feeds/desk/out/1/same_as: desk (console-32) has no port 'link-3'; did you mean 'link-2'?"],
    ),
    "a copy of an input": (
        "feeds: {desk/out: {1: {same_as: ▸desk/in/2}}}",
        ["feeds/desk/out/1/same_as: desk/in/2 is an input; expected an output such as desk/out/2"],
    ),
    "a copy of another console's output": (
        MON + "feeds: {desk/out: {1: {same_as: ▸mon/out/2}}}",
        ["feeds/desk/out/1/same_as: mon/out/2 is not on desk; an output can only be the same as one of its console's"],
    ),
    "copies in a ring, and one that leads into it": (
        "feeds: {desk/out: {1-2: {same_as: ▸desk/out/3-4}, 3-4: {same_as: ▸desk/out/1-2}, 5: {same_as: desk/out/1}}}",
        [
            "feeds/desk/out/1-2/same_as: desk/out/1 is the same as itself: same_as goes round in a ring",
            "feeds/desk/out/3-4/same_as: desk/out/3 is the same as itself: same_as goes round in a ring",
        ],
    ),
    "an effects unit fed by another console's mix": (
        MON + "effects: {plate: {fed_by: ▸ears}}",
        ["effects/plate/fed_by: ears is a mix of mon; an effects unit is fed by a mix of its own console (desk)"],
    ),
    "a mix that takes another console's": (
        MON + "mixes: {house: {takes: {mixes: [▸ears]}}}",
        ["mixes/house/takes/mixes/[1]: ears is a mix of mon; a mix takes mixes of its own console (desk)"],
    ),
    "an output that carries another console's mix": (
        MON + "feeds: {desk/out: {1: ▸ears}}",
        ["feeds/desk/out/1: ears is a mix of mon; an output carries a mix of its own console (desk)"],
    ),
    "a destination that expects a channel that there is not": (
        "destinations: {wedge: {expects: ▸channel/9}}",
        ["destinations/wedge/expects: there is no channel 9 on desk"],
    ),
    "a destination that expects a channel of one of two consoles": (
        MON + "destinations: {wedge: {expects: ▸channel/9}}",
        ["destinations/wedge/expects: channel/9 could be on any of desk, mon; feed it through a mix"],
    ),
    "a device whose name means something else": (
        "devices: {▸effects: {model: stage-box-8x8}}",
        ["devices/effects: effects/... means an effects unit; call the device otherwise"],
    ),
    # a range that runs backwards is one cause: no second message about its length
    "a fed range that runs backwards": (
        "feeds: {desk/out: {▸2-1: house}}",
        ["feeds/desk/out/2-1: found the range 2-1, which runs backwards; expected 1-2"],
    ),
    "a copied range that runs backwards": (
        "feeds: {desk/out: {1-2: {same_as: ▸desk/out/6-5}}}",
        ["feeds/desk/out/1-2/same_as: found the range 6-5, which runs backwards; expected 5-6"],
    ),
    "a destination's range that runs backwards": (
        "destinations: {left: {plugged_into: ▸east-box/out/8-7, expects: house}}",
        ["destinations/left/plugged_into: found the range 8-7, which runs backwards; expected 7-8"],
    ),
    "blocks that run backwards": (
        "input_blocks: {▸8-1: desk/in/1-8, 9-16: ▸desk/in/16-9}",
        [
            "input_blocks/8-1: found the range 8-1, which runs backwards; expected 1-8",
            "input_blocks/9-16: found the range 16-9, which runs backwards; expected 9-16",
        ],
    ),
    "outputs that are fed twice": (
        "feeds: {desk/out: {1-4: wedge-mix, ▸3-5: wedge-mix}}",
        ["feeds/desk/out/3-5: desk/out/3 is fed twice"],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG)
def test_what_is_wrong_is_told_at_its_place(name: str) -> None:
    week, messages = WRONG[name]
    clean, places = "", []
    for part in week.split("▸"):
        clean += part
        places.append(f"week.yaml:{clean.count(chr(10)) + 1}:{len(clean) - clean.rfind(chr(10))}")
    assert problems(BASE, clean) == [f"{place}: {message}" for place, message in zip(places, messages, strict=False)]
    assert len(places) == len(messages) + 1


def test_a_split_between_consoles_is_a_split() -> None:
    rig = base(MON + "splits: {stage: {kind: link, from: desk/link-1, to: mon/link-1}}").rig
    assert [(str(split.owner), str(split.listener)) for split in rig.splits.values()] == [("desk/link-1", "mon/link-1")]


def test_a_source_behind_a_declared_splitter_may_be_plugged_in_twice() -> None:
    twice = "sources: {vocal: {plugged_into: [west-box/in/1, desk/in/1]}}\n"
    assert problems(BASE, twice) == [
        "week.yaml:1:19: sources/vocal/plugged_into: vocal is plugged into 2 sockets; declare its splitter under splits/"
    ]
    rig = base(twice + "splits: {stage: {kind: analogue, sources: [vocal]}}").rig
    assert [str(socket) for socket in rig.sources["vocal"].sockets] == ["west-box/in/1", "desk/in/1"]
