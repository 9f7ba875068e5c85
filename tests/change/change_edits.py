"""Rigs to compare: the weeks of all houses in the tests, and random edits of one rig."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from hypothesis import strategies as st
from rigs import BASE, of_data

from lint.read.merge import merge_patch
from lint.read.parse import parse
from lint.read.problem import CannotReadError
from lint.resolve.resolved import ResolvedRig

ROOT = Path(__file__).parents[2]
WEEKS = sorted(ROOT.glob("tests/clean/*/rigs/*.yaml")) + sorted((ROOT / "lint" / "demo" / "rigs").glob("*.yaml"))

VALUES: dict[str, list[Any]] = {
    "devices": [{"east-box": {"output_bank": "1-8"}}, {"east-box": {"label": "Box B"}}, {"west-box": {"model": "stage-box-8x8"}},
                {"loft": {"model": "stage-box-8x8"}}, {"desk": {"watts": 300}}],
    "cables": [{"crossing": {"to": "east-box/downstream"}}, {"crossing": {"length_m": 12}}, {"crossing": None},
               {"stairs": {"from": "east-box/downstream", "to": "loft/upstream"}},
               {"trunk": {"to": "east-box/upstream"}, "crossing": {"from": "east-box/downstream", "to": "west-box/upstream"}}],
    "sources": [{"vocal": {"plugged_into": "west-box/in/3"}}, {"vocal": {"label": "Singer"}}, {"vocal": {"cable": "red"}},
                {"flute": {"kind": "dynamic-microphone", "plugged_into": "east-box/in/2"}}, {"piano": {"kind": "passive-di"}}],
    "channels": [{"1": {"patched_from": "desk/link-1/3"}}, {"2": {"phantom": "on"}}, {"3": {"gain_db": 20}}, {"3": {"patched_from": "desk/link-1/9"}},
                 {"4": {"carries": "vocal", "patched_from": "desk/link-1/1", "doubles": 1}}, {"2": {"label": "Choir"}}],
    "mixes": [{"wedge-mix": {"takes": {"channels": [1, 2]}}}, {"wedge-mix": {"takes": {"channels": {"1": {"level_db": -3}}}}},
              {"cue": {"kind": "cue"}}, {"house": {"label": "PA"}}, {"wedge-mix": {"takes": {"mixes": ["house.mono"]}}}],
    "feeds": [{"desk/link-1": {"2": "wedge-mix"}}, {"desk/link-1": {"1": None}}, {"desk/out": {"1-2": {"same_as": "desk/link-1/15-16"}}}],
    "destinations": [{"wedge": {"plugged_into": "west-box/out/2"}}, {"left": None}, {"wedge": {"cable": "blue"}}],
    "waivers": [[{"rule": "source-unheard", "about": "flute", "because": "next week", "by": "M. Okafor", "until": "2027-01-31"}]],
    "gear": [{"red-wedge": {"state": "broken"}}, {"stands": {"state": "borrowed", "until": "2026-12-06"}}],
    "dead": [{"west-box/in/1": "crackles"}, {"west-box/in/1": "no signal", "east-box/in/2-3": "crackles"}, {"west-box/in/1": None}],
    "crew": [{"lead": "R. Adeyemi"}, {"lead": "T. Lindqvist", "stage": "A. Brandt"}],
    "event": [{"name": "Sunday", "date": "2026-11-29"}, {"doors": "09:30"}],
    "power": [{"circuits": {"stage": {"volts": 230, "breaker_a": 16}}}, {"jurisdiction": "us"}],
    "acoustics": [{"temperature_c": 25}],
}  # fmt: skip
EDITS = st.lists(
    st.sampled_from([{section: patch} for section, patches in VALUES.items() for patch in patches]), max_size=6
)
BASE_DATA = parse(BASE, "base.yaml")[0]


def edited(edits: list[dict[str, Any]]) -> ResolvedRig | None:
    data = BASE_DATA
    for edit in edits:
        data = merge_patch(data, edit)
    try:
        return of_data(data)
    except CannotReadError:
        return None  # such as a cable to a box that is not there: no rig, so nothing to compare
