"""A plan takes work by what is wrong, not by the size of the rig: counted in costs that are asked for, not in time."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from big_rig import PER_CONSOLE, big_rig

from lint.plan.cures import FEWEST, PLUGS, Mending
from lint.plan.inputs import InputSide
from lint.plan.intent import intent_of
from lint.plan.outputs import OutputSide
from lint.plan.outsearch import OutputSearch
from lint.plan.words import edits_of
from lint.resolve.resolved import resolve_rig
from lint.rig.build import load_rig
from lint.rig.model import Models


@pytest.mark.parametrize("way", [PLUGS, FEWEST])
def test_plugs_that_are_right_are_not_tried_in_other_sockets(
    way: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "rig.yaml"
    path.write_text(big_rig(10 * PER_CONSOLE), encoding="utf-8")
    before = resolve_rig(load_rig(path))
    _, after = edits_of(before, ["order", "box-0-2", "box-0-1", "box-0-0"], Models(None))
    mending = Mending(before, after, intent_of(before), models=Models(None))
    asked: Counter[str] = Counter()
    for owner, name in ((InputSide, "cost_in"), (OutputSearch, "_plug_cost")):
        real = getattr(owner, name)

        def counted(self: object, *what: object, real: object = real, name: str = name) -> object:
            asked[name] += 1
            return real(self, *what)  # type: ignore[operator]

        monkeypatch.setattr(owner, name, counted)
    cure = mending.cure(way)
    assert (cure.changes, cure.unmet, cure.proved) == (32, (), True)
    plugs, sockets = 10 * PER_CONSOLE, 10 * (PER_CONSOLE + 16)
    assert asked["cost_in"] <= PER_CONSOLE * sockets + 4 * plugs  # of all of them it would be plugs × sockets
    outlets = 10 * (3 * 8 + 16)
    assert asked["_plug_cost"] <= outlets + 4 * 10 * 3  # one row of costs, and every plug where it is


@pytest.mark.parametrize(
    "words",
    [
        ["bank", "box-0-0", "9-16"],
        ["remove", "box-1-1"],
        ["lose", "cable-0-1"],
        ["replace", "box-0-1", "stage-box-8x8"],
        ["bank", "box-0-1", "1-8", "and", "bank", "box-1-0", "17-24"],
    ],
)
def test_selectors_of_consoles_that_miss_nothing_would_not_help(
    words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "rig.yaml"
    path.write_text(big_rig(2 * PER_CONSOLE), encoding="utf-8")
    before = resolve_rig(load_rig(path))
    edits, after = edits_of(before, words, Models(None))
    dead = frozenset().union(*(edit.dead for edit in edits))
    settled = frozenset().union(*(edit.settled for edit in edits))
    few = OutputSide(after, intent_of(before), dead, settled)
    found = few.by_fewest()
    assert len(few._wrong_consoles()) == words.count("bank") or words[0] != "bank"
    monkeypatch.setattr(OutputSide, "_wrong_consoles", lambda side: {row.name for row in side.rig.rig.consoles})
    every = OutputSide(after, intent_of(before), dead, settled).by_fewest()
    assert found.proved
    assert (found.unmet, found.changes) == (every.unmet, every.changes)


IDLE = "  idle-{n}: {{kind: player, plugged_into: {at}}}\n"


@pytest.mark.parametrize("crowded", ["", "desk-0", "desk-1"])
@pytest.mark.parametrize(
    "words",
    [
        "lose box-0-0 and lose box-1-1",
        "remove box-0-1 and bank box-1-1 1-8",
        "order box-0-2 box-0-1 box-0-0 and lose cable-1-1",
        "bank box-0-1 1-8 and bank box-1-0 17-24",
    ],
)
def test_consoles_that_share_nothing_are_planned_by_themselves_as_well_as_together(
    words: str, crowded: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = big_rig(2 * PER_CONSOLE - 4)
    if crowded:  # what nobody waits for stands in its sockets
        rows = "".join(IDLE.format(n=n, at=f"{crowded}/in/{n}") for n in range(1, 5))
        text = text.replace("\nsources:\n", f"\nsources:\n{rows}")
    path = tmp_path / "rig.yaml"
    path.write_text(text, encoding="utf-8")
    before = resolve_rig(load_rig(path))
    edits, after = edits_of(before, words.split(), Models(None))
    dead, settled = (frozenset().union(*(getattr(edit, name) for edit in edits)) for name in ("dead", "settled"))

    def planned() -> list[object]:
        intent, found = intent_of(before), []
        for way in ("by_plugs", "by_fewest"):
            side = InputSide(before, after, intent, dead)
            cure = getattr(side, way)()
            places = cure.moves.items()
            carried = sum(side.carried(plug, end) for plug, end in places)
            found.append((cure.proved, len(cure.patched), len(cure.moves), carried))
            out = getattr(OutputSide(after, intent, dead, settled), way)()
            found.append((out.proved, out.unmet, out.changes))
        return found

    apart = planned()
    assert len(OutputSide(after, intent_of(before), dead, settled).islands) == 2
    assert crowded or len(InputSide(before, after, intent_of(before), dead).islands) == 2
    for side in (InputSide, OutputSide):
        monkeypatch.setattr(side, "islands", property(lambda self: [self]))
    assert apart == planned()
