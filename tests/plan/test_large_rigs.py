"""A plan takes work by what is wrong, not by the size of the rig: counted in costs that are asked for, not in time."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from big_rig import PER_CONSOLE, big_rig

from lint.plan.cures import FEWEST, PLUGS, Mending
from lint.plan.inputs import InputSide
from lint.plan.intent import intent_of
from lint.plan.outsearch import OutputSearch
from lint.plan.words import edits_of
from lint.resolve.resolved import resolve
from lint.rig.build import load_rig
from lint.rig.model import Models


@pytest.mark.parametrize("way", [PLUGS, FEWEST])
def test_plugs_that_are_right_are_not_tried_in_other_sockets(
    way: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "rig.yaml"
    path.write_text(big_rig(10 * PER_CONSOLE), encoding="utf-8")
    before = resolve(load_rig(path))
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
