"""No plug leaves a socket with phantom power on, or goes into one, and nothing changes on a channel that is open.

What hangs on a console that dies, or on a box that is lost, keeps its phantom power, whoever reaches it later: nobody can
switch it off any more.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import pytest
from test_replay import BOTH_ENDS, CLEAN, done, live, named

from lint.check.catalogue import load_catalogue
from lint.plan.cures import FEWEST, Mending
from lint.plan.edit import CannotDoError
from lint.plan.intent import intent_of
from lint.plan.outage import outage_of
from lint.plan.rebuild import as_living, rebuilt
from lint.plan.spares import Rescuer
from lint.plan.whatif import WhatIf, what_if
from lint.plan.words import patch_between
from lint.read.load import house_folder
from lint.report.spares import steps_of as rescue_steps
from lint.report.whatif import steps_of
from lint.resolve.dark import dark_in
from lint.resolve.lingering import STRANDED
from lint.resolve.mixup import merged
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.address import Socket
from lint.rig.build import load_rig
from lint.rig.model import Models

CATALOGUE = load_catalogue()
RIGS = [*CLEAN, *BOTH_ENDS]
TWO_CONSOLES = [path for path in RIGS if path.parent.parent.name in ("both_ends", "monitor-split", "link-split")]


def name_of(path: Path) -> str:
    return f"{path.parent.parent.name}-{path.stem}"


def hot(
    here: ResolvedRig, stuck: Collection[Socket], steps: Sequence[str], change: Mapping[str, Any], models: Models
) -> Iterator[str]:
    """Yield the steps that handle a plug where phantom power is on, be it that nobody switches it (`stuck`).

    Yield those too by which a channel that is not muted hears something else, or whose plugs are handled.
    """
    stuck, hand, muted = set(stuck), dict[str, str](), set[tuple[str, int]]()
    for words in steps:
        if found := re.search(r"switch (?:off (.*?) at (?:its|their) own|the old (\S+) off)", words):
            off = re.findall(r"[\w-]+", found[1] or found[2])
            stuck = {at for at in stuck if at.device not in off}
        ends = plug_ends(here, words)
        plugs = (
            {name for at in ends for name in here.sources_in.get(at, ())} | {words.partition(":")[0]} if ends else set()
        )
        legs = {at for name in plugs if name in here.rig.sources for at in here.rig.sources[name].sockets}
        if (ends | legs) & (stuck | live(here)):
            yield words
        muted = now_muted(here, words, muted)
        was, here = here, done(here, words, hand, change, models)
        if touched := touched_by(was, here, ends, plugs) - muted:
            yield f"open: {touched}, {words}"
        if not words.startswith("switch phantom power"):
            stuck |= live(was) - live(here)


def stuck_in(before: ResolvedRig, lost: ResolvedRig) -> set[Socket]:
    """The sockets whose phantom power is on as something is lost, and then nobody's, unless they have no mains."""
    dark = dark_in(lost)
    return {at for at in live(before) - live(lost) if at.device not in dark}


def stuck_by(file: ResolvedRig) -> set[Socket]:
    """The sockets where it may be on by the file, and nobody switches it."""
    return {at for at, why in file.phantom.lingering.items() if why in STRANDED}


def now_muted(rig: ResolvedRig, words: str, muted: set[tuple[str, int]]) -> set[tuple[str, int]]:
    """The channels that are muted once a step is done."""
    if found := re.search(r" and mute (channel.*)$", words):
        return muted | {channel.key for channel in named(rig, found[1])}
    if found := re.search(r" unmute (channel.*?)(?:, one by one)?; then", words):
        return muted - {channel.key for channel in named(rig, found[1])}
    return muted


def touched_by(was: ResolvedRig, here: ResolvedRig, ends: set[Socket], plugs: set[str]) -> set[tuple[str, int]]:
    """The channels of living consoles that hear something else after a step, or where a plug is moved."""
    gone = {*here.dead_consoles, *dark_in(here)}
    living = [(key, was.arrivals[key], now) for key, now in here.arrivals.items() if key[0] not in gone]
    return {
        key for key, old, now in living if old.sources != now.sources or now.socket in ends or plugs & {*now.sources}
    }


def plug_ends(rig: ResolvedRig, words: str) -> set[Socket]:
    """The sockets that a step takes a plug out of or puts it into."""
    if swapped := re.match(r"label every plug of the old (\S+) and|plug into the new (\S+) again", words):
        sockets = (at for row in rig.rig.sources.values() for at in row.sockets)
        return {at for at in sockets if at.device in swapped.groups()}
    found = re.match(r"(\S+): (?:from|out of) ", words)
    if not found or found[1] not in rig.rig.sources:
        return set()
    ends = re.findall(r"(?:from|out of|into) ([\w-]+)/in/(\d+)", words.partition("(the file")[0])
    return {Socket(device, "in", int(number)) for device, number in ends}


def what_ifs(rig: ResolvedRig) -> Iterator[str]:
    """All that is asked of a rig: every console dead, every box lost, moved as its console dies, or put the other way."""
    consoles = [console.name for console in rig.rig.consoles]
    for console in consoles:
        yield f"lose console {console}"
        for name, box in rig.boxes.items():
            others = [other for other in consoles if other != box.link.device]
            yield from (f"lose console {console} and move {name} {other}/link-1" for other in others)
    yield from (f"lose box {name}" for name in rig.boxes)
    for chain in rig.chains.values():
        names = [box.device for box in chain.boxes]
        if len(names) > 1:
            yield f"order {' '.join(reversed(names))}"


def followed(plan: WhatIf, models: Models, left_out: str = "nothing") -> Iterator[str]:
    """Yield what is handled hot or open in any way to mend a change, each with the way; steps may be left out."""
    file = plan.before
    living = as_living(file, models)
    lost = rebuilt(file, merged(edit.patch for edit in plan.edits if edit.lost), models)
    change = merged(edit.patch for edit in plan.edits if not edit.lost)
    stuck = stuck_in(living, lost) | stuck_by(file)
    for way, cure in (plan.cures or {"change": plan.doing}).items():
        steps = [step for step in steps_of(cure, ["now make the change"]) if not step.startswith(left_out)]
        yield from (f"{way}: {step}" for step in hot(lost, stuck, steps, change, models))


@pytest.mark.parametrize("path", RIGS, ids=name_of)
def test_no_plug_of_any_plan_is_handled_hot(path: Path) -> None:
    rig, models = resolve_rig(load_rig(path)), Models(house_folder(path))
    for words in what_ifs(rig):
        try:
            plan = what_if(rig, words.split(), models, CATALOGUE)
        except CannotDoError:
            continue
        assert [*followed(plan, models)] == [], words


def made_of(plan: WhatIf) -> list[str]:
    """How a change is made, as far as plugs of sources go: a box that is another has them all taken out."""
    return ["now make the change", *(step for step in plan.made if " the old " in step or step.startswith("plug into"))]


@pytest.mark.parametrize("path", RIGS, ids=name_of)
def test_nor_where_a_box_is_another_of_its_kind(path: Path) -> None:
    """Nothing is to be mended, and yet every plug comes out: what is muted and without phantom power is so till the end."""
    rig, models = resolve_rig(load_rig(path)), Models(house_folder(path))
    for name in rig.boxes:
        plan = what_if(rig, ["replace", name, rig.device(name).model.name], models, CATALOGUE)
        steps = steps_of(plan.doing, made_of(plan))
        assert not plan.cures
        assert [*hot(rig, stuck_by(rig), steps, {}, models)] == [], name
        assert [step for step in steps if step.startswith("label every plug")], name
        here, hand, muted = rig, dict[str, str](), set[tuple[str, int]]()
        for step in steps:
            here, muted = done(here, step, hand, {}, models), now_muted(here, step, muted)
        assert (live(here), muted) == (live(rig), set()), name


def pairs_of(rig: ResolvedRig) -> Iterator[tuple[str, str]]:
    """A box or link cable that fails, and what is done at once: another box in its place, or what hung behind it moved."""
    for chain in rig.chains.values():
        free = [str(link) for link in rig.chains if link != chain.link]
        for near, far in zip(chain.boxes, chain.boxes[1:], strict=False):
            for model in (rig.device(near.device).model.name, "stage-box-32x16"):
                yield f"box {near.device}", f"replace {near.device} {model}"
            for lost in (f"box {near.device}", f"cable {far.cable.name}"):
                yield from ((lost, f"move {far.device} {link}") for link in free[-2:])


@pytest.mark.parametrize("path", RIGS, ids=name_of)
def test_nor_where_what_fails_is_bridged_at_once(path: Path) -> None:
    """What hung behind it had its phantom power on as it failed; who takes that socket again by the new way switches it."""
    rig, models = resolve_rig(load_rig(path)), Models(house_folder(path))
    for lost, then in pairs_of(rig):
        try:
            plan = what_if(rig, f"lose {lost} and {then}".split(), models, CATALOGUE)
        except CannotDoError:
            continue
        here = what_if(rig, f"lose {lost}".split(), models, CATALOGUE).after
        stuck = (stuck_in(rig, here) | stuck_by(rig)) - live(plan.after)
        change = patch_between(here, plan.after)
        for way, cure in (plan.cures or {"change": plan.doing}).items():
            steps = steps_of(cure, made_of(plan))
            assert [*hot(here, stuck, steps, change, models)] == [], f"lose {lost} and {then}, {way}"


@pytest.mark.parametrize("path", RIGS, ids=name_of)
def test_a_box_that_is_added_as_another_fails_takes_its_plugs(path: Path) -> None:
    rig, models = resolve_rig(load_rig(path)), Models(house_folder(path))
    for chain in rig.chains.values():
        for near, far in zip(chain.boxes, chain.boxes[1:], strict=False):
            words = f"add extra stage-box-16x16 behind {near.device} and lose box {far.device}"
            try:
                plan = what_if(rig, words.split(), models, CATALOGUE)
            except CannotDoError:
                continue
            needy = [row.name for row in rig.rig.sources.values() if {at.device for at in row.sockets} == {far.device}]
            ends = {step.end.device for step in plan.cures[FEWEST].handlings if step.end} if plan.cures else set()
            assert not needy or ends, words


@pytest.mark.parametrize("path", TWO_CONSOLES, ids=name_of)
def test_nor_of_a_plan_of_a_rig_whose_file_has_a_dead_console(path: Path) -> None:
    whole, models = resolve_rig(load_rig(path)), Models(house_folder(path))
    for console in (row.name for row in whole.rig.consoles):
        rig = rebuilt(whole, {"dead": {console: "no picture"}}, models)
        for words in what_ifs(whole):
            if f"console {console}" in words and " and " not in words:
                continue
            try:
                plan = what_if(rig, words.split()[-3:], models, CATALOGUE)
            except CannotDoError:
                continue
            assert [*followed(plan, models)] == [], f"{console} dead, {words}"


@pytest.mark.parametrize("path", [path for path in RIGS if path.stem != "few"], ids=name_of)
def test_nor_where_the_file_lacks_a_link_cable(path: Path) -> None:
    """What is behind it may have phantom power on, and no console reaches it; so may what is behind a box that dies."""
    whole, models = resolve_rig(load_rig(path)), Models(house_folder(path))
    for cable in [name for name, row in whole.rig.cables.items() if len(row.ends) == 2][-3:]:
        file = rebuilt(whole, {"cables": {cable: None}}, models)
        for box in file.boxes:
            for words in (f"lose box {box}", f"bank {box} 1-8"):
                try:
                    plan = what_if(file, words.split(), models, CATALOGUE)
                except CannotDoError:
                    continue
                assert [*followed(plan, models)] == [], f"without {cable}, {words}"
            outage = outage_of(file, box, models)
            mending = Mending(file, outage.after, intent_of(file), outage.dead, outage.dead, models)
            stuck = stuck_in(file, outage.after) | stuck_by(file)
            steps = rescue_steps(outage, Rescuer(mending).rescue())
            found = file if outage.cabling else outage.after
            assert [*hot(found, stuck, steps, {}, models)] == [], f"without {cable}, {box}"


def changes_of(rig: ResolvedRig) -> Iterator[str]:
    """What may be asked of a rig though nothing fails: each box taken out, turned or replaced, each chain the other way."""
    for name in rig.boxes:
        like = rig.device(name).model.name
        yield from (f"remove {name}", f"bank {name} 9-16", f"replace {name} stage-box-8x8", f"replace {name} {like}")
    for chain in rig.chains.values():
        names = [box.device for box in chain.boxes]
        if len(names) > 1:
            yield f"order {' '.join(reversed(names))}"
            yield f"order {' '.join((*names[1:], names[0]))}"


@pytest.mark.parametrize("path", RIGS, ids=name_of)
def test_nor_where_a_box_is_dark_by_the_file(path: Path) -> None:
    """What hangs behind it has its own mains, and its phantom power as it was; who reaches it again switches it."""
    whole, models = resolve_rig(load_rig(path)), Models(house_folder(path))
    nearer = {row.device: whole.rig.devices[row.device].circuit for c in whole.chains.values() for row in c.boxes[:-1]}
    for circuit in dict.fromkeys(name for name in nearer.values() if name in whole.rig.circuits):
        file = rebuilt(whole, {"power": {"circuits": {circuit: {"dark": True}}}}, models)
        for words in changes_of(whole):
            try:
                plan = what_if(file, words.split(), models, CATALOGUE)
            except CannotDoError:
                continue
            taken = {at for supply in plan.after.phantom.worked.values() for at in supply.sockets}
            change = patch_between(file, plan.after)
            for way, cure in (plan.cures or {"change": plan.doing}).items():
                steps = steps_of(cure, made_of(plan))
                told = [*hot(file, stuck_by(file) - taken, steps, change, models)]
                assert told == [], f"{circuit} dark, {words}, {way}"


@pytest.mark.parametrize("path", RIGS, ids=name_of)
def test_nor_of_a_rescue(path: Path) -> None:
    before, models = resolve_rig(load_rig(path)), Models(house_folder(path))
    names = [row.name for row in (*before.rig.boxes, *before.rig.consoles)]
    for what in [*names, *before.rig.cables, *map(str, before.chains)]:
        try:
            outage = outage_of(before, what, models)
        except CannotDoError:
            continue
        rescue = Rescuer(Mending(before, outage.after, intent_of(before), outage.dead, outage.dead, models)).rescue()
        stuck, steps = stuck_in(before, outage.after), rescue_steps(outage, rescue)
        found = before if outage.cabling else outage.after
        assert [*hot(found, stuck, steps, {}, models)] == [], what


@pytest.mark.parametrize("path", [path for path in BOTH_ENDS if path.stem != "few"], ids=name_of)
def test_nor_where_a_box_goes_to_another_port_and_a_plug_moves_there(path: Path) -> None:
    """Until a channel listens at the new port nobody switches the phantom power of the box."""
    living, models = resolve_rig(load_rig(path)), Models(house_folder(path))
    written = rebuilt(living, {"dead": {"box-b/in/2": "hums"}}, models)
    outage = outage_of(written, "desk/link-1", models)
    mending = Mending(living, outage.after, intent_of(living), outage.dead, outage.dead, models, found=written)
    rescue = Rescuer(mending).rescue()
    steps = rescue_steps(outage, rescue)
    assert any(str(step.start) == "box-b/in/2" for step in rescue.cure.handlings)
    assert [*hot(written, stuck_in(living, outage.after), steps, {}, models)] == []


@pytest.mark.parametrize("left_out", ["turn the house", "switch phantom power off", "box-b hung on"])
def test_without_its_first_steps_a_plan_would_be_told(left_out: str) -> None:
    path = next(path for path in BOTH_ENDS if path.stem == "boxed")
    rig, models = resolve_rig(load_rig(path)), Models(house_folder(path))
    plan = what_if(rig, ["lose", "desk", "and", "move", "box-b", "mon/link-1"], models, CATALOGUE)
    assert [*followed(plan, models)] == []
    assert [*followed(plan, models, left_out)] != []
