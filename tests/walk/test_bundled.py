"""The bundled checklists written out over a rig; what they are held to is in tests/published."""

from __future__ import annotations

import re

import pytest

from lint.walk.items import expand
from lint.walk.kinds import EVERY_KIND, rows_of
from lint.walk.rig_fields import RIG_FIELDS, rig_fields
from lint.walk.template import ItemTemplate, load_template


def test_the_full_walk_is_bundled_with_its_phases_in_the_order_of_the_work() -> None:
    phases = [phase.id for phase in load_template("full-walk", None).phases]
    assert phases == [
        "power-and-safety",
        "power-up",
        "before-plugging",
        "links-and-selectors",
        "plugs",
        "patch",
        "line-check",
        "loudspeakers-on",
        "monitors",
        "house-system",
        "wireless",
        "console-memory",
        "doors-poll",
    ]


LOOP = "  loop: {kind: hearing-assistance, label: Hearing loop, plugged_into: desk/out/9, expects: house.mono}\n"


@pytest.mark.parametrize("checklist", ["full-walk", "short-walk"])
def test_what_can_burn_or_trip_somebody_is_asked_before_power_goes_on(full_house, checklist) -> None:
    keys = [item.key for item in full_house.basis(checklist).plan.items]
    power = next(place for place, key in enumerate(keys) if key.startswith("power-on/"))
    first = [key for key in keys[:power] if not key.startswith(("second/", "completion-call/"))]
    asked = {key.partition("/")[0] for key in first}
    assert "walkways" in asked and asked & {"reels", "loads-and-reels"} and asked & {"circuit-loads", "loads-and-reels"}


def test_rows_have_exactly_the_declared_fields(full_house) -> None:
    rig = full_house.rig.read_text(encoding="utf-8").replace("hall:       {", "hall: {residual_current_device: false, ")
    waiver = (
        "waivers: [{rule: stage-without-residual-current-device, about: hall, because: an adapter is on its way, "
        "by: L. Lead, until: 2026-12-31}]\n"
    )
    rig = rig.replace("destinations:\n", "destinations:\n" + LOOP)
    full_house.rig.write_text(rig + waiver, encoding="utf-8")
    checked = full_house.basis().checked
    assert (
        full_house.basis()
        .plan.by_key["waiver/stage-without-residual-current-device/hall"]
        .challenge.endswith("(by L. Lead until 2026-12-31: an adapter is on its way)")
    )
    for kind, declared in EVERY_KIND.items():
        rows = [row for row, _ in rows_of(kind, checked)]
        assert rows, kind
        assert len({row.key for row in rows}) == len(rows), kind
        for row in rows:
            assert {name: type(value) for name, value in row.fields.items()} == {
                name: field.type for name, field in declared.fields.items()
            }, kind
    whole = rig_fields(checked)
    assert {name: type(value) for name, value in whole.items()} == {
        name: field.type for name, field in RIG_FIELDS.items()
    }


def test_the_full_walk_of_a_rig_with_one_of_everything(full_house) -> None:
    plan = full_house.basis().plan
    told = {item.key: item.challenge for item in plan.items}
    assert told["bank-selector/west-box"] == "west-box (stage left), output bank selector: 1–8"
    assert told["link-feed/east-box"] == (
        "east-box, upstream port: cable crossing from west-box/downstream, latched, link light steady"
    )
    assert told["box-slots/east-box"] == ("Console's view of desk/link-1, box 2: east-box, inputs on slots 17–24")
    assert told["circuit-loads/stage-left"].startswith("Circuit stage-left (stage left) feeds: west-box,")
    assert "residual-current-device/stage-left" in told and "residual-current-device/hall" in told
    assert told["plugs/west-box/in/1-8"] == (
        "west-box (stage left), inputs 1–8, a hand on each: 1 lead-vocal, 2 choir, 4 Old ribbon, 5 Headset 1; "
        "every other one empty"
    )
    assert (
        told["patch/desk/1-8"]
        == "Channels 1–8, input patch: 1–2 from desk/link-1/1–2, 3 from desk/link-1/17, 4–5 from desk/link-1/4–5"
    )
    assert told["ribbon-without-phantom/ribbon"].endswith("on channel 4, phantom power: off")
    assert told["phantom-off"] == "Phantom power, channels 1, 4–5: off"
    assert told["phantom-on/desk/1-8"] == "Channels 1–8, muted first, phantom power on: 2–3, and no other"
    assert told["ears-first/choir-ears"].endswith(": limiter on, volume at its lowest")
    assert "ears-first/singer-wedge" not in told
    assert told["loudspeaker/house-left"].startswith("house-left alone: house left heard")
    assert told["transmitter-battery/headset"] == "Headset 1, transmitter battery: 80 to 100 %"
    assert "{" not in "".join(told.values())
    assert [phase.id for phase in plan.phases] == [phase.id for phase in load_template("full-walk", None).phases]


def test_plugs_are_asked_by_box_along_the_chain_inputs_before_outputs(full_house) -> None:
    keys = [item.key for item in full_house.basis().plan.items if item.key.startswith("plugs/")]
    assert keys == [
        "plugs/west-box/in/1-8",
        "plugs/west-box/out/1-8",
        "plugs/east-box/in/1-8",
        "plugs/east-box/out/1-8",
    ]


def test_a_phase_with_nothing_to_ask_is_left_out(house) -> None:
    plan = expand(load_template("full-walk", None), house.basis().checked)
    assert "wireless" not in [phase.id for phase in plan.phases]
    assert "wireless" not in plan.roles
    assert plan.roles[-1] == "lead"


def test_what_the_rig_does_not_state_is_said_to_be_unstated(house) -> None:
    house.checklist(
        "checklist_format: 1\ntitle: T\nphases:\n"
        "  - {id: p, title: P, mode: read-do, completion: P complete, items: [\n"
        '      {id: place, role: stage, for_each: boxes, challenge: "{box.name} stands: {box.location}"}]}\n'
    )
    assert house.basis().plan.items[0].challenge == "west-box stands: (not stated in the rig file)"


def test_the_memory_is_saved_before_anything_is_muted(full_house) -> None:
    keys = [item.key.partition("/")[0] for item in full_house.basis("close-down").plan.items]
    assert keys.index("memory-saved") < keys.index("faders-down") < keys.index("power-off-loud")


def test_what_can_hurt_or_break_has_its_note(full_house) -> None:
    close_down = {item.key.partition("/")[0]: item for item in full_house.basis("close-down").plan.items}
    assert close_down["walkways"].safety.word == "CAUTION"
    assert close_down["power-off"].safety.word == "CAUTION"
    short = full_house.basis("short-walk").plan.by_key
    assert "ribbon" in short["phantom-off"].safety.text
    assert "Mute the channel" in short["phantom-on"].safety.text


@pytest.mark.parametrize("checklist", ["full-walk", "short-walk"])
def test_what_is_loud_goes_on_after_all_that_could_make_it_bang(full_house, checklist) -> None:
    """Links, selectors, plugs and phantom power first; then the faders are down; the first sound comes after."""
    items = full_house.basis(checklist).plan.items
    keys = [item.key.partition("/")[0] for item in items]
    loud = keys.index("power-on-loud")
    before = {"link-feed", "bank-selector", "box", "plugs", "patch", "phantom-off", "phantom-on", "down-before-loud"}
    assert {name for name in before if name in keys[loud:]} == set()
    assert keys[loud - 3 : loud].count("down-before-loud") == 1
    assert keys.index("monitor-mix") > loud and keys.index("loudspeaker") > loud
    by_id = {item.key.partition("/")[0]: item for item in items}
    for name in ("monitor-mix", "plugs", "down-before-loud"):
        assert by_id[name].safety.word == "CAUTION"


def test_before_anything_is_plugged_comes_before_all_that_is_plugged(full_house) -> None:
    keys = [item.key.partition("/")[0] for item in full_house.basis().plan.items]
    first = keys.index("phantom-off-for-plugging")
    assert all(keys.index(name) > first for name in ("link-feed", "plugs", "bank-selector", "patch"))
    by_key = full_house.basis().plan.by_key
    assert by_key["wedges-stable"].safety.word == by_key["bank-selector/west-box"].safety.word == "CAUTION"


def killers(name: str) -> dict[str, ItemTemplate]:
    return {item.id: item for phase in load_template(name, None).phases for item in phase.items if item.killer}


def test_the_short_walk_asks_every_killer_of_the_full_one_or_says_why_not() -> None:
    short, full = load_template("short-walk", None), killers("full-walk")
    assert set(full) <= set(killers("short-walk")) | set(short.not_asked)
    assert not set(short.not_asked) & set(killers("short-walk"))
    assert all(len(why) > 10 for why in short.not_asked.values())


def test_the_short_walk_asks_every_item_of_the_full_one_or_says_why_not() -> None:
    short, full = (
        {item.id for phase in load_template(name, None).phases for item in phase.items}
        for name in ("short-walk", "full-walk")
    )
    not_asked = set(load_template("short-walk", None).not_asked)
    assert full - short <= not_asked <= full


@pytest.mark.parametrize("checklist", ["full-walk", "short-walk"])
def test_a_loop_a_recorder_and_the_plugs_of_the_console_are_asked(full_house, checklist) -> None:
    rig = full_house.rig.read_text(encoding="utf-8")
    full_house.rig.write_text(rig.replace("destinations:\n", "destinations:\n" + LOOP), encoding="utf-8")
    told = {item.key: item for item in full_house.basis(checklist).plan.items}
    if checklist == "full-walk":
        item = told["other-destination/loop"]
        assert item.challenge == "Hearing loop, desk, output 9: house mono arrives, seen or heard there"
        assert item.subject.signal == "loop"
    else:
        item = told["other-destinations/1-8"]
        assert item.challenge.endswith("each seen or heard there: 1 Hearing loop: house mono")
        assert item.subject.parts["1"].signal == "loop"
    assert item.role == "house-mixer"
    assert told["plugs/desk/out/9-16"].challenge.endswith("9 Hearing loop; every other one empty")


def test_what_can_hurt_somebody_is_a_killer_in_both_walks() -> None:
    """By the same name, or by the killer item that the reason names."""
    short, full = load_template("short-walk", None), killers("full-walk")
    for name, item in full.items():
        if item.safety is not None and item.safety.word != "NOTICE" and name in short.not_asked:
            named = re.findall(r"`([\w-]+)`", short.not_asked[name])
            assert named and set(named) <= set(killers("short-walk")), name


def test_no_caution_of_the_full_walk_about_people_is_missing_in_the_short_one() -> None:
    together = {"circuit-loads": "loads-and-reels", "reels": "loads-and-reels", "line": "lines"}
    items = {item.id for phase in load_template("short-walk", None).phases for item in phase.items}
    for phase in load_template("full-walk", None).phases:
        for item in phase.items:
            if item.safety is not None and item.safety.word != "NOTICE" and not item.killer:
                assert together.get(item.id, item.id) in items, item.id


def test_a_residual_current_device_that_nobody_stated_is_asked(full_house) -> None:
    """Stated, unstated, and in a rig that states no circuit; only one that is stated not to be there is not tripped."""
    rig = full_house.rig.read_text(encoding="utf-8")
    assert "residual_current_device: true" in rig
    unstated = rig.replace(", residual_current_device: true", "")
    full_house.rig.write_text(unstated, encoding="utf-8")
    told = {item.key: item for item in full_house.basis().plan.items}
    item = told["residual-current-device/stage-left"]
    assert item.killer and item.challenge.endswith(
        "residual-current device, all that it feeds switched off: there, trips at its test button, then back on"
    )
    short = {item.key: item for item in full_house.basis("short-walk").plan.items}
    assert "stage-left" in short["residual-current-device"].challenge and short["residual-current-device"].killer
    full_house.rig.write_text(
        rig.replace("residual_current_device: true", "residual_current_device: false"), encoding="utf-8"
    )
    assert "residual-current-device/stage-left" not in {item.key for item in full_house.basis().plan.items}


def test_a_rig_without_circuits_is_asked_for_its_residual_current_devices(house) -> None:
    told = {item.key: item for item in house.basis().plan.items}
    assert told["residual-current-devices"].killer
    short = {item.key: item for item in house.basis("short-walk").plan.items}
    assert "every circuit in use" in short["residual-current-device"].challenge


def test_what_hangs_or_is_stacked_is_a_killer_and_left_to_who_is_competent(full_house) -> None:
    for name in ("full-walk", "short-walk"):
        item = full_house.basis(name).plan.by_key["hung-and-stacked"]
        assert item.killer and item.safety.word == "WARNING" and "competent rigger" in item.safety.text
