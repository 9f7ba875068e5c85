"""Every difference of what arrives, what leaves and what lacks its phantom power is told, under one cause alone."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from itertools import permutations
from pathlib import Path
from typing import Any

from change_edits import EDITS, WEEKS, edited
from hypothesis import given
from rigs import BASE, of_data

from lint.change.told import tell_changes
from lint.read.merge import merge_patch
from lint.read.parse import parse
from lint.resolve.phantom import BARRED, NEEDED, phantom_need
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import load_rig

RECEIVES = re.compile(r"channels? ([0-9, –]+)(?: \(.*?\))?(?: on ([^\s:]+))?(?:: nothing arrives| now receives? )")
GETS = re.compile(r"^(\S+) \(\S+(?: and \S+)*\) now gets ")


def spelled(numbers: str) -> Iterable[int]:
    for part in numbers.split(","):
        first, _, last = part.strip().partition("–")
        yield from range(int(first), int(last or first) + 1)


def told_of(old: ResolvedRig, new: ResolvedRig) -> tuple[Counter[tuple[str, int]], Counter[str], list[str]]:
    """Count in the words how often each channel and destination is told to get something else."""
    channels, destinations, lines = Counter[tuple[str, int]](), Counter[str](), list[str]()
    desk = new.rig.consoles[0].name if new.rig.consoles else ""
    for told in tell_changes(old, new):
        for said in told.follows:
            line = said
            if line.startswith("it now receives"):
                line = f"{told.words.partition(' is now patched')[0]} {line.removeprefix('it ')}"
            lines.append(line)
            if found := RECEIVES.match(line):
                channels.update((found[2] or desk, number) for number in spelled(found[1]))
            elif found := GETS.match(line):
                destinations[found[1]] += 1
    return channels, destinations, lines


def received(rig: ResolvedRig) -> dict[Any, Any]:
    return {key: (row.sources, str(row.effects)) for key, row in rig.arrivals.items()}


def hold(old: ResolvedRig, new: ResolvedRig) -> None:
    channels, destinations, lines = told_of(old, new)
    was, now = received(old), received(new)
    expected = Counter(key for key in now if key in was and now[key] != was[key])
    assert channels == expected
    gets = {name: [row.signal for row in rows] for name, rows in new.departures.items()}
    got = {name: [row.signal for row in rows] for name, rows in old.departures.items()}
    assert destinations == Counter(name for name in gets if name in got and gets[name] != got[name])
    for name, source in new.rig.sources.items():
        before, after = needs(old, name), needs(new, name)
        if after and after != before:
            assert sum(line.startswith(f"{source.name} {after}") for line in lines) == 1, (name, lines)


def needs(rig: ResolvedRig, name: str) -> str:
    """What the switches really are at the channels that take a source, worked out from the rig alone."""
    if name not in rig.rig.sources:
        return ""
    source = rig.rig.sources[name]
    rows = [row for row in rig.arrivals.values() if row.socket and name in row.sources]
    on = {row.socket for row in rig.arrivals.values() if row.channel.phantom == "on" and row.socket}
    if phantom_need(source) == BARRED and any(row.socket in on for row in rows):
        return "must be kept from phantom power"
    meant = [row for row in rows if row.channel.carries in (None, name)]
    is_off = phantom_need(source) == NEEDED and meant and not any(row.socket in on for row in meant)
    return "needs phantom power, but it is off" if is_off else ""


def test_any_rig_against_any_other() -> None:
    rigs = {path: resolve_rig(load_rig(path)) for path in WEEKS}
    by_house: dict[Path, list[ResolvedRig]] = {}
    for path, rig in rigs.items():
        by_house.setdefault(path.parents[1], []).append(rig)
    pairs = [pair for group in by_house.values() for pair in permutations(group, 2)]
    pairs += list(zip(rigs.values(), [*list(rigs.values())[3:], *list(rigs.values())[:3]], strict=True))
    assert len(pairs) > 12
    for old, new in pairs:
        hold(old, new)
    assert any(len(new.rig.consoles) > 1 for _, new in pairs)


@given(EDITS, EDITS)
def test_any_edit_of_a_rig(first: list[Any], second: list[Any]) -> None:
    old, new = edited(first), edited(second)
    if old is not None and new is not None:
        hold(old, new)


THREE = """
devices: {loft-box: {model: stage-box-16x8, output_bank: 17-24}}
cables:
  stairs: {from: east-box/downstream, to: loft-box/upstream}
sources:
  alto:  {kind: condenser-microphone, plugged_into: loft-box/in/1}
channels:
  4: {label: Alto, carries: alto, patched_from: desk/link-1/25, phantom: on}
"""


def made(*weeks: str) -> ResolvedRig:
    data = parse(BASE, "base.yaml")[0]
    for week in filter(None, weeks):
        data = merge_patch(data, parse(week, "week.yaml")[0])
    return of_data(data)


def follows(old: str, new: str) -> dict[str, tuple[str, ...]]:
    return {row.words: row.follows for row in tell_changes(made(THREE, old), made(THREE, new))}


def test_boxes_in_another_order_and_one_exchanged_are_told_once_each_with_its_own_effects() -> None:
    week = (
        "devices: {loft-box: {model: stage-box-8x8}}\n"
        "cables: {crossing: {to: loft-box/upstream}, stairs: {from: loft-box/downstream, to: east-box/upstream}}"
    )
    told = follows("", week)
    order = next(words for words in told if words.startswith("the boxes on desk/link-1 now stand"))
    assert sum("moved up by" in line for lines in told.values() for line in lines) == 1
    assert "channel 3 now receives alto instead of piano" in told[order]
    assert told["loft-box was exchanged: it is a stage-box-8x8 now (before: stage-box-16x8)"] == ()


def test_an_exchange_moves_what_stands_behind_it_and_only_that() -> None:
    told = follows("", "devices: {east-box: {model: stage-box-16x8}, loft-box: {model: stage-box-8x8}}")
    east = told["east-box was exchanged: it is a stage-box-16x8 now (before: stage-box-8x8)"]
    assert "everything on loft-box moved up by 8 slots because of east-box: slots 25–40 are now 33–40" in east
    assert told["loft-box was exchanged: it is a stage-box-8x8 now (before: stage-box-16x8)"] == ()


def test_a_plug_that_comes_back_is_not_said_to_have_been_there_still() -> None:
    swapped = "sources: {vocal: {plugged_into: west-box/in/2}, choir: {plugged_into: west-box/in/1}}"
    told = follows(swapped, "")
    assert told["vocal moved from west-box/in/2 to west-box/in/1"] == ("channel 1 now receives vocal (before: choir)",)
    assert not [line for lines in told.values() for line in lines if "still" in line]


def test_a_box_cut_off_takes_its_channels_and_its_outputs_along_and_brings_them_back() -> None:
    base = (
        "sources: {tenor: {kind: dynamic-microphone, plugged_into: loft-box/in/2}}\n"
        "channels: {5: {carries: tenor, patched_from: desk/link-1/26}}\nfeeds: {desk/link-1: {17: wedge-mix}}\n"
        "destinations: {choir-wedge: {kind: wedge, plugged_into: loft-box/out/1, expects: wedge-mix}}\n"
    )
    lost = "cables: {stairs: {to: loft-box/downstream}}"
    there, cut_off = made(THREE, base), made(THREE, base, lost)
    (gone,) = (row.follows for row in tell_changes(there, cut_off))
    assert gone[1:] == (
        "channels 4–5: nothing arrives any more (before: alto, tenor)",
        "choir-wedge (loft-box/out/1) now gets nothing (before: wedge-mix), but needs wedge-mix",
    )
    (back,) = (row.follows for row in tell_changes(cut_off, there))
    assert back[1:] == (
        "channels 4–5 now receive what they are meant to carry (before: nothing): alto, tenor",
        "choir-wedge (loft-box/out/1) now gets wedge-mix (before: nothing)",
    )


def test_what_a_new_source_and_another_kind_of_one_lead_to() -> None:
    week = "sources: {clarinet: {kind: dynamic-microphone, plugged_into: east-box/in/8}, piano: {kind: %s}}"
    passive = made("sources: {piano: {kind: passive-di}}\nchannels: {3: {phantom: off}}")
    active = made(week % "active-di", "channels: {3: {phantom: off}}")
    told = {row.words: row.follows for row in tell_changes(passive, active)}
    assert told["clarinet is new: dynamic mic on east-box/in/8"] == ("no channel takes clarinet",)
    (piano,) = (lines for words, lines in told.items() if words.startswith("piano is an active DI now"))
    assert piano == ("piano needs phantom power, but it is off there",)
