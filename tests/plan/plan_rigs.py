"""Random rigs that are right, and random things that are done to them; a second reading of a rig, by hand."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from hypothesis import strategies as st

INPUTS = {"mini-2x2": 2, "mini-3x2": 3, "mini-4x4": 4, "grouped-4x2": 4, "console-mini": 2}
OUTPUTS = {"mini-2x2": 2, "mini-3x2": 2, "mini-4x4": 4, "grouped-4x2": 2, "console-mini": 2}
SLOTS = 10


def write_models(folder: Path) -> None:
    """Write the small models of these rigs into a house folder."""
    (folder / "models").mkdir(parents=True, exist_ok=True)
    for name in ("mini-2x2", "mini-3x2", "mini-4x4", "grouped-4x2"):
        phantom = ", phantom: groups, phantom_group_size: 2" if name == "grouped-4x2" else ""
        width = OUTPUTS[name]
        banks = [f"{first}-{first + width - 1}" for first in range(1, SLOTS - width + 2, width)]
        (folder / "models" / f"{name}.yaml").write_text(
            f"model_format: 1\nkind: stage-box\ninputs: {{count: {INPUTS[name]}, addressed: by-chain-order{phantom}}}\n"
            f"outputs: {{count: {width}, addressed: by-selector, selector: {banks}}}\n"
            f"chain: {{slots: {{48000: {SLOTS}}}}}\n",
            encoding="utf-8",
        )
    consoles = {
        "console-mini": "",
        "console-pairs": ", phantom: groups, phantom_group_size: 2",
        "console-bare": ", phantom: none",
    }
    for name, phantom in consoles.items():
        (folder / "models" / f"{name}.yaml").write_text(
            f"model_format: 1\nkind: console\ninputs: {{count: 2{phantom}}}\noutputs: {{count: 2}}\nchannels: 16\n"
            f"links:\n  link-1: {{slots: {{48000: {SLOTS}}}}}\n  link-2: {{slots: {{48000: {SLOTS}}}}}\n",
            encoding="utf-8",
        )


@st.composite
def right_rigs(draw: st.DrawFn, most_boxes: int = 4, most_plugs: int = 12) -> dict[str, Any]:
    """A rig of small boxes on one link or two in which every channel and destination gets what it is meant to."""
    names = [f"box-{letter}" for letter in "abcd"[: draw(st.integers(1, most_boxes))]]
    devices: dict[str, Any] = {"desk": {"model": "console-mini"}}
    cables: dict[str, Any] = {}
    feeds_at = {"desk/link-1": "desk/link-1", "desk/link-2": "desk/link-2"}
    for name in names:
        model = draw(st.sampled_from(["mini-2x2", "mini-3x2", "mini-4x4"]))
        width = OUTPUTS[model]
        first = 1 + width * draw(st.integers(0, SLOTS // width - 1))
        devices[name] = {"model": model, "output_bank": f"{first}-{first + width - 1}"}
        link = draw(st.sampled_from(["desk/link-1", "desk/link-1", "desk/link-2"]))
        cables[f"to-{name}"] = {"from": feeds_at[link], "to": f"{name}/upstream"}
        feeds_at[link] = f"{name}/downstream"
    data: dict[str, Any] = {"rig_format": 1, "devices": devices, "cables": cables}
    points = hearing(data)
    sockets = draw(st.permutations(sorted(points)))[: draw(st.integers(1, most_plugs))]
    data["sources"] = {
        f"source-{index}": {"kind": "dynamic-microphone", "plugged_into": socket}
        for index, socket in enumerate(sockets)
    }
    data["channels"] = {
        str(index + 1): {"carries": f"source-{index}", "patched_from": points[socket]}
        for index, socket in enumerate(sockets)
    }
    if draw(st.booleans()):  # a channel more for a source that has one
        data["channels"][str(len(sockets) + 1)] = dict(data["channels"]["1"])
    _outputs(draw, data)
    return data


def _outputs(draw: st.DrawFn, data: dict[str, Any]) -> None:
    data["mixes"] = {f"mix-{index}": {"kind": "monitor", "takes": {"channels": [1]}} for index in range(4)}
    carried = carrying(data)
    sent: dict[str, str] = {}
    data["destinations"] = {}
    for index, socket in enumerate(draw(st.permutations(sorted(carried)))[: draw(st.integers(0, 5))]):
        mix = sent.setdefault(carried[socket], draw(st.sampled_from(sorted(data["mixes"]))))
        data["destinations"][f"wedge-{index}"] = {"kind": "wedge", "plugged_into": socket, "expects": mix}
    data["feeds"] = {}
    for point, mix in sent.items():
        port, _, number = point.rpartition("/")
        data["feeds"].setdefault(port, {})[number] = mix


def chains(data: dict[str, Any]) -> dict[str, list[str]]:
    """The boxes on each link, followed from plug to plug."""
    whole = [row for row in data["cables"].values() if {"from", "to"} <= row.keys()]
    after = {row["from"]: row["to"] for row in whole} | {row["to"]: row["from"] for row in whole}
    found = {}
    for link in ("desk/link-1", "desk/link-2"):
        boxes, here = [], link
        while here in after and after[here].endswith("/upstream"):
            boxes.append(after[here].partition("/")[0])
            here = f"{boxes[-1]}/downstream"
        found[link] = boxes
    return found


def hearing(data: dict[str, Any]) -> dict[str, str]:
    """What the console patches from to hear each input socket, by counting along the chains."""
    points = {f"desk/in/{number}": f"desk/in/{number}" for number in (1, 2)}
    for link, boxes in chains(data).items():
        slot = 0
        for box in boxes:
            for number in range(1, INPUTS[data["devices"][box]["model"]] + 1):
                slot += 1
                if slot <= SLOTS:
                    points[f"{box}/in/{number}"] = f"{link}/{slot}"
    return points


def carrying(data: dict[str, Any]) -> dict[str, str]:
    """The console output that each output socket carries, by the selectors."""
    points = {f"desk/out/{number}": f"desk/out/{number}" for number in (1, 2)}
    for link, boxes in chains(data).items():
        for box in boxes:
            row = data["devices"][box]
            first = int(row["output_bank"].partition("-")[0]) if row.get("output_bank") else None
            for number in range(1, OUTPUTS[row["model"]] + 1):
                if first is not None and first + number - 1 <= SLOTS:
                    points[f"{box}/out/{number}"] = f"{link}/{first + number - 1}"
    return points


def wrong_by_hand(data: dict[str, Any]) -> set[str]:
    """The channels and destinations of a rig's data that do not get what it says they are meant to."""
    hears = {point: socket for socket, point in hearing(data).items()}
    plugged: dict[str, list[str]] = {}
    for name, row in data["sources"].items():
        plugged.setdefault(row["plugged_into"], []).append(name)
    wrong = {
        f"channel {number}"
        for number, row in data["channels"].items()
        if plugged.get(hears.get(row["patched_from"], ""), []) != [row["carries"]]
    }
    carried = carrying(data)
    for name, row in data["destinations"].items():
        port, _, number = carried.get(row["plugged_into"], "").rpartition("/")
        if data["feeds"].get(port, {}).get(number) != row["expects"]:
            wrong.add(name)
    return wrong


@st.composite
def changes(draw: st.DrawFn, data: dict[str, Any]) -> list[str]:
    """Words of something that may be done to a rig."""
    on_chain = [box for boxes in chains(data).values() for box in boxes]
    box = draw(st.sampled_from(on_chain))
    link = next(link for link, boxes in chains(data).items() if box in boxes)
    other = "desk/link-2" if link == "desk/link-1" else "desk/link-1"
    model = draw(st.sampled_from(["mini-2x2", "mini-3x2", "mini-4x4"]))
    width = OUTPUTS[data["devices"][box]["model"]]
    first = 1 + width * draw(st.integers(0, SLOTS // width - 1))
    order = draw(st.permutations(chains(data)[link]))
    return draw(
        st.sampled_from(
            [
                ["order", *order],
                ["order", *order],
                ["remove", box],
                ["replace", box, model],
                ["move", box, other],
                ["bank", box, f"{first}-{first + width - 1}"],
                ["lose", box],
                ["lose", f"to-{box}"],
                ["add", "box-new", model, "behind", box, "bank", f"1-{OUTPUTS[model]}"],
            ]
        )
    )
