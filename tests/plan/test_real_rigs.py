"""Plans on whole rigs: in every clean rig and the faulty demo week, boxes and cables are lost, moved and turned.

The rules are the judge here: where a cure says that it leaves nothing wrong, no rule on patch, outputs or chain order
may find anything, and the texts for people are made without a hitch.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from lint.check.catalogue import load_catalogue
from lint.check.engine import check_rig
from lint.plan.cures import FEWEST, Mending
from lint.plan.edit import CannotDoError
from lint.plan.intent import intent_of
from lint.plan.outage import outage_of
from lint.plan.rescue import Spared
from lint.plan.spares import Rescuer
from lint.plan.whatif import WhatIf, what_if
from lint.read.schema import schema
from lint.report.plan_json import whatif_json
from lint.report.spares import spares_text
from lint.report.whatif import whatif_text
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import load_rig
from lint.rig.model import Models

ROOT = Path(__file__).parents[2]
RIGS = sorted((ROOT / "tests" / "clean").glob("*/rigs/*.yaml")) + sorted((ROOT / "tests" / "clean").glob("*/*.yaml"))
RIGS = [path for path in RIGS if path.name != "house.yaml" or not list(path.parent.glob("rigs/*.yaml"))]
RIGS += sorted((ROOT / "lint" / "demo" / "rigs").glob("*.yaml"))
# What the cures answer for. A plug may land where another rule minds it: in a phantom group, on another box than its pair.
JUDGES = (
    "patch-carries-other",
    "patch-carries-nothing",
    "output-carries-other",
    "output-carries-nothing",
    "chain-swapped",
    "socket-shared",
)
CATALOGUE = load_catalogue()


def changes(rig: ResolvedRig) -> list[list[str]]:
    """One change of each kind, each of another box where there are several."""
    by_kind: dict[str, list[list[str]]] = {}
    for words in every_change(rig):
        by_kind.setdefault(" ".join(words[:2]) if words[0] == "lose" else words[0], []).append(words)
    return [rows[index % len(rows)] for index, rows in enumerate(by_kind.values())]


def every_change(rig: ResolvedRig) -> Iterator[list[str]]:
    for chain in rig.chains.values():
        names = [box.device for box in chain.boxes]
        if len(names) > 1:
            yield ["order", *reversed(names)]
        for name in names:
            yield ["lose", "box", name]
            yield ["remove", name]
            selector = rig.device(name).model.outputs.selector
            other = next((at for at in selector if at != rig.device(name).output_bank), None)
            if other is not None:
                yield ["bank", name, other]
    for cable in rig.rig.cables:
        yield ["lose", "cable", cable]


def loaded(path: Path) -> tuple[ResolvedRig, Models]:
    return resolve_rig(load_rig(path)), Models(path.parent.parent if path.parent.name == "rigs" else path.parent)


def judged(plan: WhatIf) -> None:
    fits = Draft202012Validator(schema("rig"))
    for way, cure in plan.cures.items():
        assert cure.proved, way
        found = {finding.rule for finding in plan.cured(way).findings if finding.waived is None}
        if not cure.unmet:
            assert found.isdisjoint(JUDGES), (way, found)
        assert fits.is_valid(cure.result.rig.document.data)


@pytest.mark.parametrize("path", RIGS, ids=lambda path: f"{path.parent.parent.name}-{path.stem}")
def test_every_kind_of_change_is_told_and_mended(path: Path) -> None:
    rig, models = loaded(path)
    done = 0
    for words in changes(rig):
        try:
            plan = what_if(rig, words, models, CATALOGUE)
        except CannotDoError:
            continue
        assert whatif_text(plan).startswith("What if ")
        assert json.loads(whatif_json(plan))["verdict"] == plan.checked.verdict.value
        judged(plan)
        if plan.cures:
            assert len(plan.cures[FEWEST].unmet) <= min(len(cure.unmet) for cure in plan.cures.values())
        done += 1
    assert done or not rig.rig.cables


@pytest.mark.parametrize("path", RIGS, ids=lambda path: f"{path.parent.parent.name}-{path.stem}")
def test_whatever_dies_is_rescued_or_told(path: Path) -> None:
    rig, models = loaded(path)
    boxes = [box.name for box in rig.rig.boxes]
    for what in [*boxes[:1], *list(rig.rig.cables)[-1:], *(f"{name}/in" for name in boxes[-1:])]:
        try:
            outage = outage_of(rig, what, models)
        except CannotDoError:
            continue
        rescue = Rescuer(Mending(rig, outage.after, intent_of(rig), outage.dead, outage.dead, models)).rescue()
        assert len(rescue.places) + len(rescue.left) == len(rescue.lost)
        assert not set(rescue.places.values()) & set(rig.sources_in)
        assert spares_text(Spared(outage, rescue, check_rig(rescue.cure.result, CATALOGUE)))
