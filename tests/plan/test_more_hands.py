"""With more hands: a source that lives moves for one that is lost, where its rescue alone leaves it unheard."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from hypothesis import given
from hypothesis import strategies as st
from rigs import examples, resolved
from test_rescue_phantom import grouped, phantom_rigs
from typer.testing import CliRunner

from lint.cli import app
from lint.plan.cures import Mending
from lint.plan.intent import intent_of
from lint.plan.outage import outage_of
from lint.plan.spares import Rescuer
from lint.plan.wider import wider
from lint.resolve.resolved import ResolvedRig
from lint.rig.model import Models

__all__ = ["grouped"]  # a fixture

DESK = {
    "model_format": 1, "kind": "console", "inputs": {"count": 1, "phantom": "none"}, "outputs": {"count": 1},
    "channels": 16, "links": {"link-1": {"slots": {"48000": 16}}},
}  # fmt: skip
BOX = {
    "model_format": 1, "kind": "stage-box", "outputs": {"count": 1}, "chain": {"slots": {"48000": 16}},
    "inputs": {"count": 4, "addressed": "by-chain-order", "phantom": "groups", "phantom_group_size": 2},
}  # fmt: skip


def house(folder: Path, living: str = "dynamic-microphone") -> Path:
    """A condenser on a box that dies; on the box that is left its switch is held by another that needs no phantom.

    near/in/1 is lit for a condenser, near/in/2 on that switch has what lives, near/in/3 a ribbon, near/in/4 is free.
    """
    (folder / "models").mkdir()
    (folder / "house.yaml").write_text("rig_format: 1\n", encoding="utf-8")
    for name, model in (("desk-1", DESK), ("box-4", BOX)):
        (folder / "models" / f"{name}.yaml").write_text(json.dumps(model), encoding="utf-8")
    sources: dict[str, Any] = {
        "choir": {"kind": "condenser-microphone", "plugged_into": "near/in/1"},
        "kick": {"kind": living, "plugged_into": "near/in/2", "priority": 1},
        "trumpet": {"kind": "ribbon-microphone", "plugged_into": "near/in/3"},
        "lectern": {"kind": "condenser-microphone", "plugged_into": "far/in/1", "priority": 2},
    }
    at = {"choir": 1, "kick": 2, "trumpet": 3, "lectern": 5}
    data = {
        "rig_format": 1,
        "devices": {"desk": {"model": "desk-1"}, "near": {"model": "box-4"}, "far": {"model": "box-4"}},
        "cables": {
            "one": {"from": "desk/link-1", "to": "near/upstream"},
            "two": {"from": "near/downstream", "to": "far/upstream"},
        },
        "sources": sources,
        "channels": {
            str(number): {
                "label": name.title(), "carries": name, "patched_from": f"desk/link-1/{slot}",
                "phantom": "on" if sources[name]["kind"].startswith("condenser") else "off",
            }
            for number, (name, slot) in enumerate(at.items(), 1)
        },
    }  # fmt: skip
    rig = folder / "rig.yaml"
    rig.write_text(json.dumps(data), encoding="utf-8")
    return rig


def told(rig: Path, *more: str) -> str:
    return " ".join(CliRunner().invoke(app, ["spares", str(rig), "far", *more]).output.split())


def test_one_that_lives_moves_to_a_dark_socket_and_makes_room_in_a_lit_one(tmp_path: Path) -> None:
    text = told(house(tmp_path))
    first, title, second = text.partition("WITH MORE HANDS")
    assert title
    assert "Below: first with what works left where it is, then with more hands." in first
    assert "NO-GO: lectern stays lost at channel 4" in first
    assert "kick moves too, and lectern is heard as well." in second.lower()
    assert "kick: from near/in/2 into near/in/4" in second
    assert "lectern: from far/in/1 into near/in/2" in second
    assert second.partition(" The first of these ways counts")[0].endswith("GO: all that was lost is heard again.")


def test_what_phantom_power_keeps_out_of_a_free_socket_is_named(tmp_path: Path) -> None:
    first, _, second = told(house(tmp_path)).partition("WITH MORE HANDS")
    assert (
        "near/in/4: free, but lectern needs phantom power, and trumpet on the same switch must not have it."
    ) in first
    assert "desk/in/1: free, but lectern needs phantom power, and desk has none." in first
    assert "free, but" not in second


def test_a_program_gets_both_ways_and_the_patch_of_each(tmp_path: Path) -> None:
    report = json.loads(CliRunner().invoke(app, ["spares", str(house(tmp_path)), "far", "--format", "json"]).output)
    more = report["with_more_hands"]
    assert [row["to"] for row in report["rescue"]] == [None]
    assert [row["to"] for row in more["rescue"]] == ["near/in/2"]
    assert more["moved_besides"] == [{"source": "kick", "from": "near/in/2", "to": "near/in/4"}]
    assert more["heard_as_well"] == ["lectern"]
    assert more["patch"]["sources"]["kick"]["plugged_into"] == "near/in/4"
    assert more["is_go"]
    assert not report["is_go"]
    assert more["with_more_hands"] is None


def test_a_ribbon_moves_to_where_there_is_no_phantom_power_so_that_its_switch_may_come_on(tmp_path: Path) -> None:
    _, _, second = told(house(tmp_path, living="condenser-microphone")).partition("WITH MORE HANDS")
    assert "trumpet: from near/in/3 into desk/in/1" in second
    assert second.partition(" The first of these ways counts")[0].endswith("GO: all that was lost is heard again.")


def test_where_nothing_that_lives_can_go_elsewhere_there_is_no_second_way(tmp_path: Path) -> None:
    rig = house(tmp_path, living="condenser-microphone")
    data = json.loads(rig.read_text(encoding="utf-8"))
    data["dead"] = {"desk/in/1": "no signal"}
    rig.write_text(json.dumps(data), encoding="utf-8")
    text = told(rig)
    assert "MORE HANDS" not in text
    assert "trumpet on the same switch must not have it" in text
    assert "NO-GO: lectern stays lost" in text


def crowded(data: dict[str, Any], free: int) -> dict[str, Any]:
    """The rig with a microphone that needs no phantom power in every socket of near but the last that are free."""
    taken = {row["plugged_into"] for row in data["sources"].values() if isinstance(row["plugged_into"], str)}
    left = [number for number in range(1, 7) if f"near/in/{number}" not in taken]
    for number in left[: max(0, len(left) - free)]:
        data["sources"][f"more{number}"] = {"kind": "dynamic-microphone", "plugged_into": f"near/in/{number}"}
        data["channels"][str(10 + number)] = {"carries": f"more{number}", "patched_from": f"desk/link-1/{number}"}
    return data


@examples(1)
@given(st.data())
def test_of_random_rigs_it_saves_who_matters_more_and_silences_nothing_that_plays(
    grouped: Any, data: st.DataObject
) -> None:
    """Counted by hand on the rigs that come out: what arrives where it should, with the phantom power that it had."""
    before = resolved(json.dumps(crowded(data.draw(phantom_rigs()), data.draw(st.integers(1, 2)))), house=grouped)
    outage = outage_of(before, "lost", Models(grouped))
    rescuer = Rescuer(Mending(before, outage.after, intent_of(before), outage.dead, outage.dead, Models(grouped)))
    rescue = rescuer.rescue()
    more = wider(rescuer, rescue)
    if more is None:
        return

    lost = {plug.source for plug in rescue.lost}
    excused = before.phantom.unpowered - lost  # what is saved is not to be silent for another reason

    def silent(rig: ResolvedRig) -> dict[str, list[int]]:
        """The channels at which each source is not heard."""
        missed: dict[str, list[int]] = {}
        for arrival in rig.arrivals.values():
            name = arrival.channel.carries
            if isinstance(name, str) and (arrival.sources != (name,) or name in rig.phantom.unpowered - excused):
                missed.setdefault(name, []).append(arrival.channel.number)
        return missed

    def by_priority(missed: dict[str, list[int]]) -> list[int]:
        rows = before.rig.sources
        return [sum(len(c) for name, c in missed.items() if rows[name].priority == p) for p in range(1, 10)]

    first, second = silent(rescue.cure.result), silent(more.cure.result)
    assert by_priority(second) < by_priority(first)
    assert set(more.gained) == {name for name in first if len(second.get(name, ())) < len(first[name])}
    assert all(len(second[name]) <= len(first.get(name, ())) for name in second if name not in lost)
    assert not set(more.cure.result.phantom.harmed) - set(before.phantom.harmed)
