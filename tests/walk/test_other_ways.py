"""What is asked again after a change of the rig: whatever runs another way, what speaks of it, and nothing else."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

import lint
from lint.record.ledger import Ledger

DEMO = Path(lint.__file__).parent / "demo"
HEARD = ("line/", "lines/", "effects-return/", "monitor-mix/", "loudspeaker/")
# One thing changed in the demo house each time: (file, what is written there, what is written instead).
WEEK, ALWAYS = "rigs/sunday.yaml", "house.yaml"
CHANGES = {
    "a microphone in another socket": (WEEK, "west-box/in/10}", "desk/in/9}"),
    "a microphone moved, and patched after": (WEEK, "plugged_into: east-box/in/5}", "plugged_into: east-box/in/8}"),
    "a channel patched from another slot": (WEEK, "patched_from: desk/link-1/21,", "patched_from: desk/link-1/24,"),
    "two channels crossed": (WEEK, "patched_from: desk/link-1/1, ", "patched_from: desk/link-1/2, "),
    "another kind of microphone": (WEEK, "soloist:     {kind: dynamic", "soloist:     {kind: condenser"),
    "phantom power off": (WEEK, "phantom: on, gain_db: 22", "gain_db: 22"),
    "more gain": (WEEK, "gain_db: 34}\n  11", "gain_db: 44}\n  11"),
    "a wedge in another output": (WEEK, "west-box/out/1, ", "west-box/out/5, "),
    "another mix sent to a wedge": (WEEK, "{1: singer-mon, 2: band-mon", "{1: band-mon, 2: band-mon"),
    "a wedge's mix takes one more channel": (WEEK, "takes: {channels: {10-12: {level_db: -3", "takes: {channels: {9-12: {level_db: -3"),
    "a loudspeaker in another output": (ALWAYS, "east-box/out/6, ", "east-box/out/5, "),
    "left and right crossed": (ALWAYS, "15-16: house\n", "15: house.right\n    16: house.left\n"),
    "the subwoofer takes another mix": (ALWAYS, "14: subs", "14: foyer-mix"),
    "a box's selector": (ALWAYS, "choir gallery, circuit: gallery,     output_bank: 17-24", "choir gallery, circuit: gallery,     output_bank: 9-16"),
    "a receiver in another input": (ALWAYS, "plugged_into: desk/in/4}", "plugged_into: desk/in/7}"),
    "a box's cable in another link": (ALWAYS, "from: desk/link-1, ", "from: desk/link-2, "),
    "the effects fed by another mix": (ALWAYS, "fed_by: plate-send", "fed_by: cue.left"),
}  # fmt: skip
# What is another microphone, gain, cable, effect or mix at the same place: told by the digests alone.
DEEPER = {
    "another kind of microphone", "more gain", "a wedge's mix takes one more channel", "a box's cable in another link",
    "the effects fed by another mix", "two channels crossed",
}  # fmt: skip
QUIET = {
    "a comment": (WEEK, "# loft-box, choir gallery", "# up in the gallery"),
    "the crew": (WEEK, "P. Castell", "Q. Castell"),
    "when it starts": (WEEK, 'start: "10:00"', 'start: "10:15"'),
    "a spare's place": (ALWAYS, "on the hook under the desk", "in the drawer"),
}


@pytest.fixture
def demo(house):
    shutil.copytree(DEMO, house.folder, dirs_exist_ok=True)
    house.write((house.folder / "rigs" / "clean-week.yaml").read_text(encoding="utf-8"))
    return house


def asked(demo, checklist: str) -> dict[str, object]:
    return {item.key: item for item in demo.basis(checklist).plan.items}


def arriving(demo) -> dict[str, str]:
    """Say what comes to each channel and each destination, as the rig resolves: the second judge."""
    resolved = demo.basis().checked.resolved
    told = {
        channel.address: repr((row.sources, row.slot, row.socket, row.effects, row.stop, channel.phantom))
        for row in resolved.arrivals.values()
        for channel in [row.channel]
    }
    for name, rows in resolved.departures.items():
        told[name] = repr([(row.socket, row.slot, row.signal, row.stop) for row in rows])
    return told


@pytest.mark.parametrize("change", CHANGES)
def test_what_is_heard_another_way_is_asked_again(demo, change) -> None:
    lists = ("full-walk", "short-walk")
    before = {name: asked(demo, name) for name in lists}
    came = arriving(demo)
    file, old, new = CHANGES[change]
    demo.edit(old, new, file)
    comes = arriving(demo)
    moved = {name for name in came if came[name] != comes.get(name)}
    for name in lists:
        after = asked(demo, name)
        again = {key for key, item in after.items() if key not in before[name] or before[name][key].asked != item.asked}
        heard = {key: item for key, item in before[name].items() if key.startswith(HEARD)}
        touched = {key for key, item in heard.items() if moved & set(item.ways)}
        assert touched <= again, "each that is heard another way"
        assert again & set(heard), "something is to be heard anew after each of these"
        assert {"memory-saved/desk", "completion-call/line-check"} & again
        assert all(f"second/{key}" in again for key in again if f"second/{key}" in after), "both looks"
        if change not in DEEPER:
            assert again & set(heard) == touched, "and none that is heard as it was"


@pytest.mark.parametrize("checklist", ["full-walk", "short-walk"])
@pytest.mark.parametrize("change", QUIET)
def test_what_changes_no_way_asks_nothing_again(demo, checklist, change) -> None:
    before = asked(demo, checklist)
    file, old, new = QUIET[change]
    demo.edit(old, new, file)
    after = asked(demo, checklist)
    assert {key: item.asked for key, item in after.items()} == {key: item.asked for key, item in before.items()}


MOVES = (
    ("lead-vocal: {kind: dynamic-microphone,   plugged_into: west-box/in/1}", "lead-vocal: {kind: dynamic-microphone,   plugged_into: west-box/in/5}"),
    ("patched_from: desk/link-1/1}", "patched_from: desk/link-1/5}"),
    ("plugged_into: west-box/out/1,", "plugged_into: west-box/out/3,"),
    ("desk/link-1: {1: singer-mon", "desk/link-1: {3: singer-mon"),
)  # fmt: skip


@pytest.mark.parametrize("checklist", ["full-walk", "short-walk"])
def test_a_moved_microphone_and_a_moved_wedge_keep_no_go_of_theirs(house, ways, checklist) -> None:
    """Microphone and wedge moved rightly, patch and feed with them: the check has nothing to say, the ear has."""
    with Ledger(house.ledger_path) as ledger:
        session = house.session(ledger, checklist)
        session.open("A. Adams")
        ways.walk_on(session)
        ways.poll_all(session)
        assert session.sign("L. Lead", wants_go=True).body["verdict"] == "go"
        for old, new in MOVES:
            house.edit(old, new, "house.yaml")
        change = session.refresh()
        open_now = {item.key for item in session.state.with_status("open")}
        assert session.sign("L. Lead", wants_go=True).body["verdict"] == "no-go"
    listens = {
        "full-walk": {
            "line/1", "monitor-mix/singer-wedge", "wedges-stable", "memory-saved/desk", "phantom-off-for-plugging",
            "completion-call/line-check", "completion-call/monitors", "completion-call/console-memory",
        },
        "short-walk": {"lines/desk/1-8", "monitor-mix/singer-wedge", "memory-saved/desk", "completion-call/monitors"},
    }[checklist]  # fmt: skip
    assert listens <= open_now
    kept = {"mains-leads", "line/2", "line/3", "loudspeaker/house-left", "bank-selector/west-box", "box/west-box"}
    assert kept.isdisjoint(open_now)
    assert any("another way" not in row.now and row.ways for row in change.touched)
