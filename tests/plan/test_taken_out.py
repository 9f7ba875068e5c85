"""Plugs that a plan has taken out: the written file has them in nothing, and they count among what is left wrong."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

from plan_rigs import write_models
from test_both_ends import planned
from test_legs import CATALOGUE, KINDS, shared
from typer.testing import CliRunner

from lint.cli import app
from lint.plan.cures import CONSOLE, Mending
from lint.plan.intent import intent_of
from lint.plan.moves import POWERS
from lint.plan.outage import outage_of
from lint.plan.spares import Rescuer
from lint.plan.whatif import what_if
from lint.report.whatif import steps_of, whatif_text
from lint.rig.model import Models

# Both live by the monitor console; without the link to its box only s0 can have phantom power from the desk.
LIVING = shared(1, 3, 4, desk="off off", mon="on on")
OUT = "s0 is taken out of box-b/in/1, and left out"


def crowded(*sockets: str) -> dict[str, Any]:
    """The rig with more plugged in at sockets that were free, and heard."""
    data = copy.deepcopy(LIVING)
    for number, at in enumerate(sockets, start=1):
        data["sources"][f"talk-{number}"] = {"kind": KINDS[""], "plugged_into": at, "priority": 1}
        rows = data["consoles"]["mon"]["channels"] if at.startswith("mon") else data["channels"]
        rows[str(10 + number)] = {"carries": f"talk-{number}", "patched_from": at.replace("box-a/in", "desk/link-1")}
    return data


def test_a_plug_that_leaves_a_box_which_stays_on_is_in_nothing(built: Any, models: Models) -> None:
    cure = what_if(built(copy.deepcopy(LIVING)), ["lose", "cable", "to-box-b"], models, CATALOGUE).cures[CONSOLE]
    assert any("take s0 out of box-b/in/1, muted: " in step for step in steps_of(cure))
    assert cure.result.rig.document.data["sources"]["s0"]["plugged_into"] == "box-a/in/1"
    assert OUT in map(str, cure.unmet)
    assert "s0" not in cure.result.phantom.unpowered


def test_a_rescue_is_written_so_too(tmp_path: Path) -> None:
    data = crowded("mon/in/1", "mon/in/2", "desk/in/1", "desk/in/2", "box-a/in/2")
    write_models(tmp_path)
    (tmp_path / "house.yaml").write_text("{}", encoding="utf-8")
    (tmp_path / "rigs").mkdir()
    rig, written = tmp_path / "rigs" / "rig.yaml", tmp_path / "rigs" / "rescued.yaml"
    rig.write_text(json.dumps(data), encoding="utf-8")
    done = CliRunner().invoke(app, ["spares", str(rig), "to-box-b", "--format", "json", "--write", str(written)])
    assert OUT in json.loads(done.stdout)["cure"]["leaves"]
    assert "box-b/in/1" not in written.read_text(encoding="utf-8")


def test_so_is_one_whose_box_has_mains_again_at_another_console() -> None:
    plan = planned("lose console desk and move box-a mon/link-1")
    cure = plan.cures[CONSOLE]
    assert cure.result.rig.document.data["sources"]["acoustic"]["plugged_into"] == "mon/in/3"
    assert str(cure.unmet[-1]) == "acoustic is taken out of box-a/in/3, and left out"
    assert f"it leaves {len(cure.unmet)} things wrong" in " ".join(whatif_text(plan).split())
    # Nobody switches box-b on in this plan: what is plugged in there stays.
    assert cure.result.rig.document.data["sources"]["choir-left"]["plugged_into"] == ["box-b/in/1", "mon/in/4"]


def test_a_plug_that_shares_phantom_power_which_comes_on_is_not_left_unplugged(built: Any, models: Models) -> None:
    before = built(crowded("mon/in/1", "mon/in/2"))
    outage = outage_of(before, "to-box-b", models)
    rescue = Rescuer(Mending(before, outage.after, intent_of(before), outage.dead, outage.dead, models)).rescue()
    (step,) = rescue.cure.handlings
    assert (step.plug, str(step.end), step.why, step.is_idle) == ("s1", "box-a/in/2", POWERS, False)
    assert {plug.source for plug in rescue.besides} == {"s1"}
    assert not rescue.cure.result.phantom.unpowered
