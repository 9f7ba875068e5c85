"""Boxes that others are put in the place of, selectors that are turned beside them, and ports that are full already."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from test_hot_plugs import CATALOGUE, CLEAN, RIGS, changes_of, name_of

from lint.check.engine import check_rig
from lint.plan.edit import CannotDoError
from lint.plan.outage import outage_of
from lint.plan.rebuild import rebuilt
from lint.plan.whatif import WhatIf, what_if
from lint.read.load import house_folder
from lint.report.whatif import steps_of, whatif_text
from lint.resolve.dark import unlit
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import load_rig
from lint.rig.model import Models
from lint.rig.rig import Cable

CHAINED = [path for path in CLEAN if any(len(chain.boxes) > 1 for chain in resolve_rig(load_rig(path)).chains.values())]


def planned(rig: ResolvedRig, words: str, models: Models) -> WhatIf | None:
    try:
        return what_if(rig, words.split(), models, CATALOGUE)
    except CannotDoError:
        return None


# -- one plug a port ---------------------------------------------------------------------------------------------------


def hanging(rig: ResolvedRig, models: Models) -> Iterator[tuple[str, ResolvedRig]]:
    """The rig with a cable that hangs by one plug in the last box of a chain, for each chain."""
    for chain in rig.chains.values():
        if chain.boxes and "downstream" in rig.device(chain.boxes[-1].device).model.links:
            port = f"{chain.boxes[-1].device}/downstream"
            yield port, rebuilt(rig, {"cables": {"idle": {"from": port, "kind": "cat6", "length_m": 3}}}, models)


def shared(rig: ResolvedRig) -> list[str]:
    return [row.message for row in check_rig(rig, CATALOGUE).findings if row.rule == "chain-port-shared"]


@pytest.mark.parametrize("path", CHAINED, ids=name_of)
def test_a_cable_that_hangs_in_a_port_comes_out_before_another_goes_in(path: Path) -> None:
    rig, models = resolve_rig(load_rig(path)), Models(house_folder(path))
    for port, file in hanging(rig, models):
        box = port.partition("/")[0]
        assert not shared(file)
        names = [row.device for row in rig.chains[rig.boxes[box].link].boxes]
        turned = f"order {' '.join(reversed(names))}"
        losing = (f"lose box {name} and {turned}" for name in names[:-1])
        for words in (*changes_of(rig), f"add extra stage-box-8x8 behind {box}", *losing):
            plan = planned(file, words, models)
            if plan is None:
                continue
            assert not shared(plan.after), words
            every = (*plan.after.rig.cables.values(), *plan.after.rig.loose_cables.values())
            ends = {row.name: row.ends if isinstance(row, Cable) else (row.end,) for row in every}
            taken = any(port in map(str, own) for name, own in ends.items() if name != "idle")
            steps = list(plan.made)
            assert ("take the link cable idle out" in steps) == taken, words
            filled = [n for n, step in enumerate(steps) if re.search(rf"(from|to|into) {port}\b", step)]
            assert all(steps.index("take the link cable idle out") < n for n in filled), words
        for name in file.boxes:
            assert not shared(outage_of(file, name, models).after), name


def test_a_file_with_two_plugs_in_a_port_is_told() -> None:
    rig, models = resolve_rig(load_rig(CHAINED[0])), Models(house_folder(CHAINED[0]))
    chain = next(chain for chain in rig.chains.values() if len(chain.boxes) > 1)
    port = f"{chain.boxes[0].device}/downstream"
    (told,) = shared(rebuilt(rig, {"cables": {"idle": {"to": port}}}, models))
    cable = chain.boxes[1].cable
    other = next(end for end in cable.ends if str(end) != port)
    assert told == f"2 cables are in {port}: {cable.name} (to {other}) and idle (its other end in nothing)."
    last = f"{chain.boxes[-1].device}/downstream"
    (told,) = shared(rebuilt(rig, {"cables": {"idle": {"to": last}, "other": {"from": last}}}, models))
    assert told == f"2 cables are in {last}: idle (its other end in nothing) and other (its other end in nothing)."


# -- selectors ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", CHAINED, ids=name_of)
def test_a_selector_is_turned_by_a_step_whatever_is_done_beside(path: Path) -> None:
    rig, models = resolve_rig(load_rig(path)), Models(house_folder(path))
    chain = next(chain for chain in rig.chains.values() if len(chain.boxes) > 1)
    names = [box.device for box in chain.boxes]
    for name in names:
        device = rig.device(name)
        position = next((at for at in device.model.outputs.selector if at != device.output_bank), None)
        if position is None:
            continue
        turned = f"turn the output selector of {name} to {position}"
        order = f"order {' '.join(reversed(names))}"
        for words in (
            f"bank {name} {position}",
            f"bank {name} {position} and {order}",
            f"{order} and bank {name} {position}",
        ):
            plan = planned(rig, words, models)
            assert plan is not None
            assert list(plan.made).count(turned) == 1, words
        # Of a new box it is set as that is put in.
        plan = planned(rig, f"replace {name} {device.model.name} and bank {name} {position}", models)
        assert plan is not None
        assert f"set the output selector of the new {name} to {position}" in plan.made
        assert turned not in plan.made


# -- boxes that nothing reaches ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", CHAINED, ids=name_of)
def test_a_new_box_that_no_console_reaches_is_left_off(path: Path) -> None:
    """Nobody knows whether its phantom power is on, and plugs may have to leave it again."""
    rig, models = resolve_rig(load_rig(path)), Models(house_folder(path))
    for chain in rig.chains.values():
        for box in chain.boxes:
            model = rig.device(box.device).model.name
            plan = planned(rig, f"replace {box.device} {model} and lose cable {box.cable.name}", models)
            if plan is None:
                continue
            off = [step for step in plan.made if step.endswith("leave it switched off: no console reaches it now")]
            assert bool(off) == (not plan.after.is_reached(box.device)), box.device
            on = [step for step in plan.made if f"plug the new {box.device} into the mains" in step and step not in off]
            assert bool(on) != bool(off)


@pytest.mark.parametrize("path", CHAINED, ids=name_of)
def test_a_new_box_without_mains_is_off_until_its_plugs_are_where_they_belong(path: Path) -> None:
    rig, models = resolve_rig(load_rig(path)), Models(house_folder(path))
    for name in rig.boxes:
        device = rig.device(name)
        if device.circuit not in rig.rig.circuits:
            continue
        file = rebuilt(rig, {"power": {"circuits": {device.circuit: {"dark": True}}}}, models)
        plan = planned(file, f"replace {name} {device.model.name}", models)
        assert plan is not None
        for cure in (plan.cures or {"change": plan.doing}).values():
            steps = steps_of(cure, plan.made_without(cure.quiet.out))
            rests = next(
                n for n, step in enumerate(steps) if step.endswith("leave it switched off: it has no mains now")
            )
            again = next(
                n for n, step in enumerate(steps) if step.startswith("have ") and step.endswith("until there are mains")
            )
            moves = [n for n, step in enumerate(steps) if re.match(rf"\S+: (from|out of) {name}/", step)]
            assert rests < again
            assert all(n < again for n in moves)
            # What is taken out for good does not go in again.
            put_in = next((step for step in steps if step.startswith(f"plug into the new {name} again")), "")
            assert not [
                at for at, plug in cure.quiet.out.items() if at.device == name and f"{plug} in/{at.number}" in put_in
            ]


# -- what is told of the dark ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", RIGS, ids=name_of)
def test_what_is_cut_off_by_the_dark_gets_nothing_and_no_cure_switches_what_is_on(path: Path) -> None:
    rig, models = resolve_rig(load_rig(path)), Models(house_folder(path))
    circuits = dict.fromkeys(rig.rig.devices[name].circuit for name in rig.boxes)
    for circuit in (name for name in circuits if name in rig.rig.circuits):
        file = rebuilt(rig, {"power": {"circuits": {circuit: {"dark": True}}}}, models)
        for box in rig.boxes:
            plan = planned(file, f"replace {box} {rig.device(box).model.name}", models)
            assert plan is not None
            text = " ".join(whatif_text(plan).split())
            assert not re.search(r"gets (\S+), not \1(?![\w.-])", text), (circuit, box)
            for cure in plan.cures.values():
                assert not [row for row in cure.quiet.woken if file.rig.channels[row.key].phantom == "on"]
                gone = unlit(cure.result)
                sockets = [cure.result.arrivals[row.key].socket for row in cure.quiet.woken]
                assert not [at for at in sockets if at is not None and at.device in gone]
