"""Rigs for the tests of reading, building and resolving: written as a user would, or drawn at random."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from hypothesis import settings
from hypothesis import strategies as st

from lint.read.document import Document
from lint.read.merge import extend
from lint.read.parse import parse
from lint.read.problem import CannotReadError
from lint.read.schema import require_valid
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import build_rig
from lint.rig.model import Models
from lint.rig.rig import Rig

FILE = "rig.yaml"
BUNDLED = Models(None)

# A small rig with nothing wrong: two boxes in a chain, three channels, a stereo house mix and a monitor.
BASE = """\
rig_format: 1
clock: {sample_rate_hz: 48000, leader: desk}
devices:
  desk:     {model: console-32}
  west-box: {model: stage-box-16x8, output_bank: 1-8}
  east-box: {model: stage-box-8x8,  output_bank: 9-16}
cables:
  trunk:    {from: desk/link-1, to: west-box/upstream}
  crossing: {from: west-box/downstream, to: east-box/upstream}
sources:
  vocal: {kind: dynamic-microphone,   plugged_into: west-box/in/1}
  choir: {kind: condenser-microphone, plugged_into: west-box/in/2}
  piano: {kind: active-di,            plugged_into: east-box/in/1}
channels:
  1: {carries: vocal, patched_from: desk/link-1/1}
  2: {carries: choir, patched_from: desk/link-1/2}
  3: {carries: piano, patched_from: desk/link-1/17}
mixes:
  house: {kind: house, width: stereo, takes: {channels: [1-3]}}
  wedge-mix: {kind: monitor, takes: {channels: [1]}}
feeds:
  desk/link-1: {1: wedge-mix, 15-16: house}
destinations:
  wedge: {kind: wedge, plugged_into: west-box/out/1, expects: wedge-mix}
  left:  {kind: house-loudspeaker, plugged_into: east-box/out/7, expects: house.left}
  right: {kind: house-loudspeaker, plugged_into: east-box/out/8, expects: house.right}
"""
# The same with nothing that lives by phantom power.
BATTERIES = BASE.replace("west-box/in/2}", "west-box/in/2, powering: battery}").replace(
    "east-box/in/1}", "east-box/in/1, powering: battery}"
)


def examples(times: float) -> settings:
    """Return settings for that many times the examples of the profile (100 a test in the suite)."""
    return settings(max_examples=round(times * settings().max_examples))


def document(text: str, week: str = "") -> Document:
    """Return the document of a text, or of a week's text that extends it."""
    data, marks = parse(text, FILE)
    base = Document(data, marks, (FILE,), ())
    if not week:
        return base
    patch, patch_marks = parse(week, "week.yaml")
    return extend(base, patch, patch_marks)


def rig(text: str, week: str = "", house: Path | None = None) -> Rig:
    """Return the rig of a text that fits the schema; `house` is a folder with models of its own."""
    read = document(text, week)
    require_valid(read, "rig")
    return build_rig(read, FILE, Models(house) if house else BUNDLED)


def resolved(text: str, week: str = "", house: Path | None = None) -> ResolvedRig:
    """Return the resolved rig of a text."""
    return resolve_rig(rig(text, week, house))


def base(week: str) -> ResolvedRig:
    """Return the small rig with a week's changes."""
    return resolved(BASE, week)


def problems(text: str, week: str = "", house: Path | None = None) -> list[str]:
    """Return what keeps a text from being a rig, place and message."""
    try:
        rig(text, week, house)
    except CannotReadError as error:
        return [str(problem) for problem in error.problems]
    return []


def of_data(data: dict[str, Any]) -> ResolvedRig:
    """Return the resolved rig of data, by way of its text (JSON is YAML)."""
    return resolved(json.dumps(data))


BOXES = ("stage-box-8x8", "stage-box-16x8", "stage-box-16x16", "stage-box-32x16")
CONSOLES = {"desk": ("console-32", 2), "mon": ("console-16", 1), "van": ("console-16", 1)}


def cabling(consoles: int, boxes: list[str], cables: list[tuple[str, str]], **more: Any) -> dict[str, Any]:
    """Return the data of a rig of nothing but devices and link cables; boxes are called a, b, c ..."""
    devices: dict[str, Any] = {name: {"model": CONSOLES[name][0]} for name in list(CONSOLES)[:consoles]}
    devices |= {"abcdefghij"[index]: {"model": model} for index, model in enumerate(boxes)}
    rows = {f"cable-{index}": {"from": first, "to": second} for index, (first, second) in enumerate(cables, start=1)}
    extra = {"consoles": {name: {} for name in list(CONSOLES)[1:consoles]}} if consoles > 1 else {}
    return {"rig_format": 1, "devices": devices, "cables": rows, **extra, **more}


@st.composite
def any_cabling(draw: st.DrawFn) -> dict[str, Any]:
    """Any cables between any ports: rings, islands, shared ports, boxes the wrong way round, links between consoles."""
    consoles = draw(st.integers(1, 3))
    boxes = draw(st.lists(st.sampled_from(BOXES), max_size=5))
    ports = [f"{name}/link-{number + 1}" for name in list(CONSOLES)[:consoles] for number in range(CONSOLES[name][1])]
    ports += [f"{'abcdefghij'[index]}/{side}" for index in range(len(boxes)) for side in ("upstream", "downstream")]
    pair = st.tuples(st.sampled_from(ports), st.sampled_from(ports)).filter(lambda ends: ends[0] != ends[1])
    cables = draw(st.lists(pair, max_size=len(ports)))
    more = {}
    if consoles > 1 and draw(st.booleans()):
        owner = draw(st.sampled_from(["desk/link-1", "desk/link-2"]))
        more = {"splits": {"stage": {"kind": "link", "from": owner, "to": "mon/link-1"}}}
    return cabling(consoles, boxes, cables, **more)


@st.composite
def good_chains(draw: st.DrawFn, least: int = 1) -> tuple[list[str], list[tuple[str, str]]]:
    """The boxes and cables of one chain on desk/link-1 with nothing wrong, each cable written in either direction."""
    boxes = draw(st.lists(st.sampled_from(BOXES), min_size=least, max_size=5))
    ends = ["desk/link-1", *(f"{'abcdefghij'[index]}/downstream" for index in range(len(boxes) - 1))]
    cables = [(end, f"{'abcdefghij'[index]}/upstream") for index, end in enumerate(ends)]
    return boxes, [cable[::-1] if draw(st.booleans()) else cable for cable in cables]
