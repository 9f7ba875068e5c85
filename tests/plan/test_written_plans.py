"""A written plan tells the truth: the check of the file finds what the plan said, also where a cable does not reach."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from test_real_rigs import CATALOGUE, RIGS, changes, loaded
from typer.testing import CliRunner, Result

from lint.check.engine import check_file
from lint.check.finding import Verdict
from lint.cli import app
from lint.plan.edit import CannotDoError
from lint.plan.whatif import what_if
from lint.plan.words import edits_of, patch_between
from lint.plan.writing import write_rig
from lint.read.edit import edited_file
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import load_rig
from lint.rig.model import Models


def house_of(path: Path, into: Path) -> Path:
    """Copy the house of a rig, and return the rig's file in the copy."""
    house = path.parent.parent if path.parent.name == "rigs" else path.parent
    shutil.copytree(house, into / "house")
    return into / "house" / path.relative_to(house)


@pytest.mark.parametrize("path", RIGS, ids=lambda path: f"{path.parent.parent.name}-{path.stem}")
def test_the_check_of_the_written_file_says_what_the_plan_said(path: Path, tmp_path: Path) -> None:
    file = house_of(path, tmp_path)
    rig, models = loaded(file)
    for number, words in enumerate(changes(rig)):
        try:
            plan = what_if(rig, words, models, CATALOGUE)
        except CannotDoError:
            continue
        for way in (None, *plan.cures):
            target = file.with_name(f"planned-{number}-{way}.yaml")
            write_rig(file, target, dict(plan.patch_with(way)), plan.result(way))
            checked = check_file(target, CATALOGUE)
            assert (checked.verdict is not Verdict.NO_GO) == plan.is_go_with(way), (words, way)
            assert not plan.lacks or not plan.is_go_with(way)
            assert "{}" not in target.read_text(encoding="utf-8").replace(file.read_text(encoding="utf-8"), "")


DEMO = Path(__file__).parents[2] / "lint" / "demo" / "rigs" / "clean-week.yaml"
MODELS = Models(None)


def demo() -> ResolvedRig:
    return resolve_rig(load_rig(DEMO))


def test_a_plan_that_no_cable_reaches_is_a_go_once_a_long_enough_one_is_entered(tmp_path: Path) -> None:
    file = house_of(DEMO, tmp_path)
    plan = what_if(demo(), ["order", "east-box", "west-box", "loft-box"], MODELS, CATALOGUE)
    target = file.with_name("planned.yaml")
    write_rig(file, target, dict(plan.patch_with("console")), plan.result("console"))
    found = [row for row in check_file(target, CATALOGUE).findings if row.rule == "link-cable-short"]
    assert {row.message for row in found} >= {
        "the link cable trunk is 45 m long, and from desk/link-1 to east-box/upstream it needs up to about 59 m: it may "
        "not reach."
    }
    longer = edited_file(target, {"cables": {name: {"length_m": 60} for name in ("trunk", "crossing", "stairwell")}})
    target.write_text(longer, encoding="utf-8")
    assert check_file(target, CATALOGUE).verdict is Verdict.GO


def test_the_way_of_a_cable_goes_with_the_place_and_not_with_the_cable() -> None:
    there = ["order", "east-box", "west-box", "loft-box"]
    back = ["and", "order", "west-box", "east-box", "loft-box"]
    _, rig = edits_of(demo(), there + back, MODELS)
    assert patch_between(demo(), rig) == {}


@pytest.mark.parametrize(
    ("words", "left"),
    [
        ("lose east-box", {"trunk": "to", "crossing": "from", "stairwell": "to"}),
        ("lose stage-left", {"trunk": "from", "crossing": "to", "stairwell": "to"}),
        ("lose desk/link-1", {"trunk": "to", "crossing": "to", "stairwell": "to"}),
    ],
)
def test_a_cable_of_what_is_dead_lies_there_still(words: str, left: dict[str, str]) -> None:
    _, rig = edits_of(demo(), words.split(), MODELS)
    before = demo().rig.document.data["cables"]
    now = rig.rig.document.data["cables"]
    assert list(now) == list(before)
    for name, key in left.items():
        assert now[name][key] == before[name][key]
        assert now[name]["length_m"] == before[name]["length_m"]
    assert rig.rig.loose_cables


def test_a_cable_that_is_left_over_is_laid_again_where_it_reaches() -> None:
    _, rig = edits_of(
        demo(), ["remove", "loft-box", "and", "add", "attic", "stage-box-8x8", "behind", "east-box"], MODELS
    )
    assert rig.rig.loose_cables["stairwell"].end is None
    _, again = edits_of(rig, ["order", "west-box", "attic", "east-box"], MODELS)
    assert set(again.rig.cables) >= {"trunk", "crossing"}


def test_no_empty_section_and_no_comment_is_lost_where_the_only_cable_dies(tmp_path: Path) -> None:
    file = tmp_path / "rig.yaml"
    file.write_text(
        "rig_format: 1\ndevices: {desk: {model: console-16}, box: {model: stage-box-8x8}}\n"
        "cables:\n  # the only one\n  trunk: {from: desk/link-1, to: box/upstream}\n"
        "sources: {vox: {kind: player, plugged_into: box/in/1}}\n",
        encoding="utf-8",
    )
    rig = resolve_rig(load_rig(file))
    plan = what_if(rig, ["lose", "trunk"], MODELS, CATALOGUE)
    write_rig(file, tmp_path / "planned.yaml", dict(plan.patch), plan.after)
    text = (tmp_path / "planned.yaml").read_text(encoding="utf-8")
    assert "{}" not in text
    assert "# the only one" in text


def losses(rig: ResolvedRig) -> list[str]:
    """A part of each kind that can die, and some sockets of the first device that has any."""
    kinds = [
        [box.name for box in rig.rig.boxes],
        list(rig.rig.cables),
        rig.rig.circuit_names,
        list(map(str, rig.chains)),
    ]
    cards = [f"{device.name}/in/1-2" for device in rig.rig.devices.values() if device.model.inputs.count > 1]
    return [*(names[len(names) // 2] for names in kinds if names), *cards[:1]]


@pytest.mark.parametrize("path", RIGS, ids=lambda path: f"{path.parent.parent.name}-{path.stem}")
def test_the_check_of_a_written_rescue_says_what_the_rescue_said(path: Path, tmp_path: Path) -> None:
    """By the commands themselves, as a lead would: the verdict that `spares` tells is that of `check`."""
    file = house_of(path, tmp_path)
    for number, what in enumerate(losses(loaded(file)[0])):
        target = file.with_name(f"rescued-{number}.yaml")
        told = call("spares", str(file), what, "--write", str(target), "--format", "json")
        if told.exit_code == 2:  # a link port to which nothing is cabled
            assert "nothing is cabled to" in told.stderr
            continue
        promised = json.loads(told.stdout)
        checked = call("check", str(target), "--format", "json")
        assert json.loads(checked.stdout)["rigs"][0]["verdict"] == promised["verdict"], what
        left = [row["source"] for row in promised["rescue"] if row["to"] is None]
        assert told.exit_code == (1 if checked.exit_code or left else 0)


def call(*arguments: str) -> Result:
    return CliRunner().invoke(app, list(arguments))
