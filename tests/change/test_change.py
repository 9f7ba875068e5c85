"""What changed, by meaning: the list is complete, has nothing extra, and says what follows from what."""

from __future__ import annotations

import copy
from dataclasses import fields
from itertools import product
from typing import Any

import pytest
from change_edits import EDITS, VALUES, WEEKS, edited
from hypothesis import given
from rigs import BASE, resolved

import lint.change.words as change_words
import lint.rig.model as model_module
import lint.rig.plant as plant_module
import lint.rig.rig as rig_module
from lint.change.compare import Change, apply, changes_between
from lint.change.facts import Facts, facts_of
from lint.change.pile import PARTS, Told
from lint.change.told import tell_changes
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import load_rig
from lint.rig.rig import Rig


@pytest.fixture(scope="module")
def rigs() -> list[ResolvedRig]:
    return [resolve_rig(load_rig(path)) for path in WEEKS]


def strictly(facts: Facts) -> Any:
    """Facts with the kinds of their values, so that 1 is not true."""
    return {key: repr(sorted(row.items())) for key, row in facts.items()}


def hold_complete(old: ResolvedRig, new: ResolvedRig) -> tuple[list[Change], list[Told]]:
    """Hold one comparison to what a change list promises."""
    before, after = facts_of(old.rig), facts_of(new.rig)
    kept = copy.deepcopy(before)
    changes = changes_between(before, after)
    assert strictly(apply(before, changes)) == strictly(after)
    assert before == kept
    assert len(set(map(repr, changes))) == len(changes)
    told = tell_changes(old, new)
    assert sorted(repr(change) for row in told for change in row.changes) == sorted(map(repr, changes))
    assert all(row.changes and row.words and row.part in PARTS for row in told)
    return changes, told


def test_any_rig_becomes_any_other_by_the_stated_changes(rigs: list[ResolvedRig]) -> None:
    assert len(rigs) > 12
    for index, offset in product(range(len(rigs)), (0, 1, 5)):
        old, new = rigs[index], rigs[(index + offset) % len(rigs)]
        changes, _ = hold_complete(old, new)
        assert bool(changes) is (old is not new)


def test_no_change_can_be_left_out(rigs: list[ResolvedRig]) -> None:
    old, new = rigs[-2], rigs[-1]
    before, after = facts_of(old.rig), facts_of(new.rig)
    changes = changes_between(before, after)
    assert len(changes) > 10
    for index in range(len(changes)):
        assert strictly(apply(before, changes[:index] + changes[index + 1 :])) != strictly(after)


def without_places(value: Any) -> Any:
    """A row as it is, but for where it stands in a file."""
    if hasattr(value, "_asdict"):
        return (
            type(value).__name__,
            {key: without_places(part) for key, part in value._asdict().items() if key != "trail"},
        )
    if isinstance(value, dict):
        return {key: without_places(part) for key, part in value.items()}
    return [without_places(part) for part in value] if isinstance(value, (list, tuple)) else value


def meaning(rig: Rig) -> str:
    """All that the typed rig holds, rows in the order of their names, cables without a direction."""
    left_out = ("file", "document", "idle_removals")
    rows = {field.name: without_places(getattr(rig, field.name)) for field in fields(rig) if field.name not in left_out}
    for cable in rows["cables"].values():
        cable[1]["ends"] = sorted(map(repr, cable[1]["ends"]))
    return repr({
        name: sorted(map(repr, value.items())) if isinstance(value, dict) else value for name, value in rows.items()
    })  # fmt: skip


@given(EDITS, EDITS)
def test_the_stated_changes_make_the_new_rig_and_nothing_is_extra(first: list[Any], second: list[Any]) -> None:
    old, new = edited(first), edited(second)
    if old is None or new is None:
        return
    changes, _ = hold_complete(old, new)
    assert bool(changes) is (meaning(old.rig) != meaning(new.rig))


def test_most_drawn_edits_make_a_rig() -> None:
    made = [edited([{section: patch}]) for section, patches in VALUES.items() for patch in patches]
    assert sum(rig is not None for rig in made) > 0.85 * len(made)


def test_another_way_of_writing_is_no_change() -> None:
    other = """
devices:
  desk:     {model: console-32}
cables:
  crossing: {to: west-box/downstream, from: east-box/upstream}
mixes:
  house: {kind: house, width: stereo, takes: {channels: [1, 2, 3]}}
feeds:
  desk/link-1: {15-16: null, 15: house.left, 16: house.right}
"""
    old, new = resolved(BASE), resolved(BASE, other)
    assert [told.words for told in tell_changes(old, new)] == []


def words(old: ResolvedRig, new: ResolvedRig) -> dict[str, list[str]]:
    _, told = hold_complete(old, new)
    return {row.words: list(row.follows) for row in told}


def test_a_box_in_between_moves_all_behind_it_and_the_channels_that_were_patched_anew() -> None:
    week = """
devices: {loft-box: {model: stage-box-8x8, location: the loft, output_bank: 17-24}}
cables:
  crossing: {to: loft-box/upstream}
  landing:  {from: loft-box/downstream, to: east-box/upstream, kind: cat5e, length_m: 8}
channels: {3: {patched_from: desk/link-1/25}}
"""
    assert words(resolved(BASE), resolved(BASE, week)) == {
        "loft-box was added between west-box and east-box": [
            "loft-box is a stage-box-8x8, at the loft, output selector at 17–24",
            "the cable crossing joins loft-box/upstream and west-box/downstream now "
            "(before: east-box/upstream and west-box/downstream)",
            "the cable landing is new: it joins east-box/upstream and loft-box/downstream, cat5e, 8 m",
            "everything on east-box moved up by 8 slots because of loft-box: slots 17–24 are now 25–32",
            "channel 3 follows",
        ]
    }


def test_a_box_in_between_without_a_new_patch_is_told_with_what_arrives() -> None:
    week = """
devices: {loft-box: {model: stage-box-8x8, output_bank: 17-24}}
cables:
  crossing: {to: loft-box/upstream}
  landing:  {from: loft-box/downstream, to: east-box/upstream}
"""
    told = words(resolved(BASE), resolved(BASE, week))
    (follows,) = told.values()
    assert follows[-1] == "channel 3 now receives nothing instead of piano"


def test_a_channel_that_is_gone_takes_its_sends_along() -> None:
    assert words(resolved(BASE), resolved(BASE, "channels: {2: null}")) == {
        "channel 2 is gone": ["no channel takes choir any more"]
    }


def test_how_a_source_is_powered_is_told_only_where_its_kind_does_not_say_it() -> None:
    kind = "sources: {vocal: {kind: condenser-microphone%s}}"
    (told,) = tell_changes(resolved(BASE), resolved(BASE, kind % ""))
    assert told.words == "vocal is a condenser mic now (before: dynamic mic)"
    assert [change.field for change in told.changes] == ["kind", "powering"]
    told_two = words(resolved(BASE), resolved(BASE, kind % ", powering: battery"))
    assert any("how it is powered is battery" in one for one in told_two)


def test_a_channel_that_does_not_receive_its_new_source_is_not_said_to_carry_it() -> None:
    week = "sources: {flute: {kind: dynamic-microphone, plugged_into: east-box/in/2}}\nchannels: {2: {carries: flute}}"
    told = words(resolved(BASE), resolved(BASE, week))
    assert told["flute is new: dynamic mic on east-box/in/2"] == [
        "channel 2 is meant to carry it now, patched from desk/link-1/2",
        "channel 2 still receives choir, but is meant to carry flute",
        "no channel takes flute",
    ]


@pytest.mark.parametrize(
    ("week", "expected"),
    [
        ("sources: {vocal: {plugged_into: west-box/in/9}}\nchannels: {1: {patched_from: desk/link-1/9}}",
         {"vocal moved from west-box/in/1 to west-box/in/9": ["channel 1 follows, so it is now patched from desk/link-1/9"]}),
        ("sources: {vocal: {plugged_into: west-box/in/9}}",
         {"vocal moved from west-box/in/1 to west-box/in/9": [
             "channel 1 is still patched from desk/link-1/1", "channel 1 now receives nothing instead of vocal"]}),
        ("channels: {1: {patched_from: desk/link-1/2}}",
         {"channel 1 is now patched from desk/link-1/2 (before: desk/link-1/1)": ["it now receives choir instead of vocal"]}),
        ("channels: {2: {phantom: on}}", {"phantom power on channel 2: on (before: not stated)": ["choir has the phantom power now that it needs"]}),
        ("channels: {2: {gain_db: 30}}", {"gain in dB of channel 2: 30 (before: not stated)": []}),
        ("devices: {east-box: {output_bank: 1-8}}",
         {"east-box: the output selector stands at 1–8 (before: 9–16)": [
             "left (east-box/out/7) now gets nothing (before: house.left), but needs house.left",
             "right (east-box/out/8) now gets nothing (before: house.right), but needs house.right"]}),
        ("sources: {flute: {kind: dynamic-microphone, plugged_into: east-box/in/2}}\nchannels: {4: {carries: flute, patched_from: desk/link-1/18}}",
         {"flute is new: dynamic mic on east-box/in/2": ["channel 4 is new and carries it, patched from desk/link-1/18"]}),
        ("mixes: {wedge-mix: {takes: {channels: [2, 3]}}}", {"wedge-mix: no longer takes channel 1; takes channels 2–3": []}),
        ("feeds: {desk/link-1: {1: null, 2: wedge-mix}}",
         {"desk/link-1/1 now sends nothing (before: wedge-mix)": [
             "wedge (west-box/out/1) now gets nothing (before: wedge-mix), but needs wedge-mix"],
          "desk/link-1/2 now sends wedge-mix (before: nothing)": []}),
        ("waivers: [{rule: mix-empty, about: cue, because: a spare, by: M. Okafor, until: 2027-01-31}]",
         {"the waiver of mix-empty for cue is new, by M. Okafor until 2027-01-31: a spare": []}),
        ("cables: {crossing: {length_m: 30}}", {"the cable crossing: the length in metres is 30 (not stated before)": []}),
        ("devices: {east-box: {model: stage-box-16x8}}",
         {"east-box was exchanged: it is a stage-box-16x8 now (before: stage-box-8x8)": []}),
        ("devices: {east-box: null, new-box: {model: stage-box-8x8, output_bank: 9-16}}\ncables: {crossing: {to: new-box/upstream}}\n"
         "sources: {piano: {plugged_into: new-box/in/1}}\ndestinations: {left: {plugged_into: new-box/out/7}, right: {plugged_into: new-box/out/8}}",
         {"new-box stands where east-box stood": [
             "new-box is a stage-box-8x8, output selector at 9–16",
             "the cable crossing joins new-box/upstream and west-box/downstream now (before: east-box/upstream and west-box/downstream)"],
          "piano moved from east-box/in/1 to new-box/in/1": ["channel 3 still receives it, as it is patched"],
          "left moved from east-box/out/7 to new-box/out/7": ["it still gets house.left"],
          "right moved from east-box/out/8 to new-box/out/8": ["it still gets house.right"]}),
        ("sources: {vocal: {group: choir}}", {"vocal is in the group choir now": []}),
        ("sources: {vocal: {connection: unbalanced-adapter}}", {"vocal is connected as unbalanced adapter now (before: balanced)": []}),
        ("cables: {crossing: {shielded: false}}", {"the cable crossing is not shielded from plug to plug now (before: not stated)": []}),
        ("mixes: {wedge-mix: {takes: {mixes: [house.mono]}}}", {"wedge-mix: now takes house.mono": []}),
        ("crew: {lead: R. Adeyemi}", {"the lead is R. Adeyemi now (before: nobody)": []}),
        ("channels: {2: {pan: left}}", {"channel 2: the pan is left (not stated before)": []}),
    ],
)  # fmt: skip
def test_a_change_is_told_in_the_words_of_the_trade(week: str, expected: dict[str, list[str]]) -> None:
    assert words(resolved(BASE), resolved(BASE, week)) == expected


def test_what_is_taken_back_is_told_in_the_words_of_the_trade() -> None:
    old, new = resolved(BASE, "sources: {vocal: {group: choir, label: Singer}}"), resolved(BASE)
    assert words(old, new) == {
        "vocal is no longer in the group choir": [],
        "vocal: the label is no longer stated (before: Singer)": [],
    }
    taken = resolved(BASE, "mixes: {wedge-mix: {takes: {mixes: [house.mono]}}}\ncrew: {house-mixer: A. Brandt}")
    assert words(taken, new) == {
        "wedge-mix: no longer takes house.mono": [],
        "nobody is the house mixer any more (before: A. Brandt)": [],
    }


def test_every_field_of_a_rig_has_words() -> None:
    rows = [
        row
        for module in (rig_module, plant_module, model_module)
        for row in vars(module).values()
        if isinstance(row, type) and hasattr(row, "_fields")
    ]
    facts = [field for rig in map(load_rig, WEEKS) for row in facts_of(rig).values() for field in row]
    known = {*change_words._FIELDS, *change_words._FLAGS, "group", "connection"}
    top = {"Device", "Cable", "Source", "Channel", "Mix", "Send", "Feed", "Destination", "Pair", "Split", "Circuit"}
    fields = {field for row in rows if row.__name__ in top for field in row._fields}
    told_elsewhere = {"name", "trail", "console", "number", "sends", "takes", "rule", "sent", "dropped"}
    assert {*facts, *fields} - known - told_elsewhere == set()
