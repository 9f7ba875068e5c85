"""The facts: each row has exactly those that are declared, of the declared type, and they say what the rig does."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from big_rig import big_rig

from lint.check.engine import check_rig
from lint.check.example import FILE, example_document
from lint.facts.fact import FLAG, NUMBER, NUMBERS, TEXT, TEXTS, in_words
from lint.facts.kinds import KINDS, choices_of, rows_of
from lint.read.document import Document
from lint.read.parse import parse
from lint.resolve.graph import Node
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import build_rig, load_rig
from lint.rig.model import Models
from lint.walk.rows import rows_of as walked_rows

DEMO = Path(__file__).parents[2] / "lint" / "demo" / "rigs"
PLANT = """
event: {name: Evening, date: 2026-11-29, doors: "18:00"}
sources:
  choir: {group: choir, label: Choir, expected_spl_db: 96, carrier_mhz: 606.5}
  organ: {kind: condenser-microphone, group: organ, plugged_into: west-box/in/5}
pairs: {pipes: {left: organ, right: choir}}
channels: {4: {carries: organ, patched_from: desk/link-1/5, phantom: on, gain_db: 31.5}}
power:
  circuits:
    stage: {volts: 230, breaker_a: 16, location: wings, loads: {kettle: {watts: 2000}}, run: {length_m: 30}}
devices: {west-box: {circuit: stage, watts: 40}}
sound_levels: {criterion: niosh, crew: [{level_dba: 90, hours: 2}], audience: [{what: service, level_dba: 88, hours: 1}]}
crew: {lead: R. Adeyemi}
"""


def example(fragment: str = "") -> ResolvedRig:
    return resolve_rig(build_rig(example_document(fragment), FILE, Models(None)))


def big() -> ResolvedRig:
    data, marks = parse(big_rig(120), "big.yaml")
    return resolve_rig(build_rig(Document(data, marks, ("big.yaml",), ()), "big.yaml", Models(None)))


RIGS = {
    "clean": lambda: resolve_rig(load_rig(DEMO / "clean-week.yaml")),
    "faulty": lambda: resolve_rig(load_rig(DEMO / "faulty-week.yaml")),
    "plant": lambda: example(PLANT),
    "two-consoles": big,
}


def facts(rig: ResolvedRig, kind: str, row: str) -> dict[str, Any]:
    (found,) = [one.facts for one in rows_of(kind, rig) if one.id == row]
    return found


def is_a(value: Any, kind: str) -> bool:
    plain = {TEXT: str, TEXTS: str, NUMBER: int | float, NUMBERS: int | float, FLAG: bool}[kind]
    members = value if kind in (TEXTS, NUMBERS) else [value]
    return isinstance(members, list) and all(
        isinstance(entry, plain) and isinstance(entry, bool) == (kind == FLAG) for entry in members
    )


@pytest.mark.parametrize("name", RIGS)
@pytest.mark.parametrize("kind", KINDS)
def test_a_row_has_the_declared_facts_of_the_declared_types(name: str, kind: str) -> None:
    rig = RIGS[name]()
    rows = rows_of(kind, rig)
    assert rows or kind in ("circuits", "levels")
    assert len({row.id for row in rows}) == len(rows)
    assert len({row.address for row in rows}) == len(rows)
    for row in rows:
        assert list(row.facts) == list(KINDS[kind].facts)
        assert row.facts["id"] == row.id
        for fact in KINDS[kind].facts.values():
            value = row.facts[fact.name]
            assert (value is None and not fact.is_list) or is_a(value, fact.type), (row.id, fact.name, value)
            choices = choices_of(fact)
            given = value if isinstance(value, list) else [value]
            assert not choices or set(given) <= {*choices, None}, (row.id, fact.name, value)


@pytest.mark.parametrize("name", RIGS)
@pytest.mark.parametrize("kind", KINDS)
def test_every_row_and_fact_has_its_place_in_the_file(name: str, kind: str) -> None:
    rig = RIGS[name]()
    for row in rows_of(kind, rig)[:40]:
        assert rig.rig.place(row.trail, row.address, at_key=True).line >= 1
        for fact in KINDS[kind].facts.values():
            if fact.key and rig.says(*row.trail, fact.key) is not None:
                assert rig.rig.place((*row.trail, fact.key), row.address).line >= 1


def test_every_key_that_a_fact_points_to_is_one_of_the_rig_file() -> None:
    text = (Path(__file__).parents[2] / "schemas" / "rig.schema.json").read_text(encoding="utf-8")
    keys = {fact.key for kind in KINDS.values() for fact in kind.facts.values() if fact.key}
    assert {key for key in keys if f'"{key}"' not in text} == set()


@pytest.mark.parametrize("name", ["clean", "faulty", "two-consoles"])
def test_what_is_heard_where_is_what_the_signal_graph_says(name: str) -> None:
    """The graph follows effects units as well, which bring another sound: so they are cut out of it."""
    rig = RIGS[name]()
    for node in [node for node in rig.graph.after if node.kind == "effects"]:
        for after in rig.graph.after.pop(node):
            rig.graph.before[after].remove(node)
        for before in rig.graph.before.pop(node):
            rig.graph.after[before].remove(node)
    for row in rows_of("sources", rig):
        reached = rig.graph.reached_from([Node("source", row.id)])
        for kind, fact in (("mix", "mixes"), ("destination", "destinations")):
            assert set(row.facts[fact]) == {node.name for node in reached if node.kind == kind}, row.id
    for row in rows_of("destinations", rig):
        before = rig.graph.reached_from([Node("destination", row.id)], backwards=True)
        for kind, fact in (("mix", "mixes"), ("source", "sources")):
            assert set(row.facts[fact]) == {node.name for node in before if node.kind == kind}, row.id
    heard = {(row.facts["source"], row.facts["destination"]) for row in rows_of("paths", rig)}
    told = {(row.id, name) for row in rows_of("sources", rig) for name in row.facts["destinations"]}
    assert heard == told


def test_what_a_checklist_and_a_house_rule_both_know_is_the_same() -> None:
    checked = check_rig(RIGS["clean"]())
    for kind in ("sources", "circuits"):
        own = {row.id: row.facts for row in rows_of(kind, checked.resolved)}
        for row in walked_rows(kind, checked):
            if "/" not in row.key:
                for name in {"kind", "socket", "box", "needs_phantom", "location"} & set(row.fields):
                    said = own[row.key].get(name, "")
                    assert (name == "location" and kind == "sources") or (said or "") == (row.fields[name] or ""), name
    phantom = {row.facts["number"]: row.facts["phantom"] for row in rows_of("channels", checked.resolved)}
    assert phantom == {row.fields["number"]: row.fields["phantom"] for row in walked_rows("channels", checked)}


def test_the_values_of_the_example_rig() -> None:
    rig = example(PLANT)
    choir = facts(rig, "sources", "choir")
    wanted = {
        "group": "choir", "label": "Choir", "pair": "pipes", "side": "right", "socket": "west-box/in/2", "box": "west-box",
        "number": 2, "circuit": "stage", "position": 1, "cable_m": 40, "slot": "desk/link-1/2", "slot_number": 2,
        "channels": [2], "channel_labels": ["Choir"], "phantom": "on", "gain_db": None, "expected_spl_db": 96,
        "mixes": ["house"], "mix_kinds": ["house"], "destinations": ["house-left", "house-right"], "carrier_mhz": 606.5,
    }  # fmt: skip
    assert {name: choir[name] for name in wanted} == wanted
    assert facts(rig, "sources", "piano")["cable_m"] == 52
    assert facts(rig, "sources", "organ")["gain_db"] == 31.5
    west = facts(rig, "devices", "west-box")
    assert (west["spare_inputs"], west["used_inputs"], west["spare_outputs"], west["upstream"]) == (13, 3, 7, "desk")
    stage = facts(rig, "circuits", "stage")
    assert (stage["watts"], stage["feeds"], stage["run_m"]) == (2040, ["west-box", "kettle"], 30)
    assert facts(rig, "event", "event")["weekday"] == "sunday"
    assert facts(rig, "levels", "audience/1")["level_dba"] == 88
    path = facts(rig, "paths", "lead-vocal to singer-wedge")
    assert (path["mixes"], path["channels"], path["signal"]) == (["singer-mon"], [1], "singer-mon")
    assert facts(rig, "cables", "trunk") | {"feeds": "west-box", "position": 1} == facts(rig, "cables", "trunk")


def test_a_path_names_the_mixes_in_the_order_in_which_it_goes_through_them() -> None:
    rig = RIGS["clean"]()
    assert facts(rig, "paths", "kick to encoder")["mixes"] == ["house", "stream"]


def test_a_cable_without_a_length_leaves_the_way_unsaid() -> None:
    rig = example("cables: {crossing: {length_m: null}}")
    assert facts(rig, "sources", "piano")["cable_m"] is None
    assert facts(rig, "sources", "choir")["cable_m"] == 40


@pytest.mark.parametrize(
    ("value", "words"),
    [(None, "nothing"), ("", "nothing"), (True, "true"), (2.50, "2.5"), ([], "none"), ([1, 2, 3, 7], "1–3, 7"),
     (["a", "b"], "a, b"), (7, "7")],
)  # fmt: skip
def test_a_value_in_words(value: Any, words: str) -> None:
    assert in_words(value) == words
