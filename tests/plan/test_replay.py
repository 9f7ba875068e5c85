"""Every step of every rescue and cure, followed word by word: phantom power never meets what must not have it."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import pytest
from rigs import resolved

from lint.plan.cures import Cure, Mending
from lint.plan.edit import CannotDoError
from lint.plan.intent import intent_of
from lint.plan.outage import outage_of
from lint.plan.rebuild import rebuilt
from lint.plan.spares import Rescuer
from lint.plan.words import edits_of
from lint.read.load import house_folder
from lint.report.spares import steps_of as spares_steps
from lint.report.whatif import steps_of as cure_steps
from lint.resolve.dark import dark_in
from lint.resolve.mixup import merged, nested
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.address import Socket
from lint.rig.build import load_rig
from lint.rig.model import Models
from lint.rig.rig import Channel
from lint.rules._phantom import must_not

DEMO = Path(__file__).parents[2] / "lint" / "demo" / "rigs" / "clean-week.yaml"
MODELS = Models(None)


def ribbons(every: int, path: Path = DEMO) -> ResolvedRig:
    """The demo house, or another, with a ribbon for every so manieth source, its phantom power off."""
    rig = resolve_rig(load_rig(path))
    changes: list[Mapping[str, Any]] = []
    for source in list(rig.rig.sources.values())[::every]:
        changes.append(nested(("sources", source.name, "kind"), "ribbon-microphone"))
        changes += [
            nested((*channel.trail, "phantom"), "off")
            for channel in rig.channels_of.get(source.name, ())
            if channel.phantom == "on"
        ]
    return rebuilt(rig, merged(changes), Models(house_folder(path)))


def harmed(rig: ResolvedRig) -> list[str]:
    """The sources that have phantom power now and must not."""
    on = {socket for supply in rig.phantom.worked.values() if supply.on for socket in supply.sockets}
    return [s.name for s in rig.rig.sources.values() if must_not(s) and on.intersection(s.sockets)]


def named(rig: ResolvedRig, text: str) -> list[Channel]:
    """The channels that a step names: channels 1–3, 7 on desk and channel 2 on mon."""
    found = []
    for part in text.split(" and channel"):
        row = re.fullmatch(r"(?:channels?|s)? ?([0-9–, ]+)(?: on (\S+))?", part)
        assert row, text
        console = row[2] or rig.rig.consoles[0].name
        found += [rig.rig.channels[console, number] for number in numbers(row[1])]
    return found


def numbers(text: str) -> Iterator[int]:
    for part in re.findall(r"[0-9]+(?:–[0-9]+)?", text):
        first, _, last = part.partition("–")
        yield from range(int(first), int(last or first) + 1)


def done(rig: ResolvedRig, words: str, hand: dict[str, str], change: Mapping[str, Any], models: Models) -> ResolvedRig:
    """Return the rig after one step, read as a lead would read it."""
    patch: dict[str, Any] = {}
    console = rig.rig.consoles[0].name
    words = re.sub(r", and with it on .* \(the same switch; it does no harm there\)", "", words)
    if found := re.match(r"switch phantom power (off|on again) on (.*), and wait", words) or re.match(
        r"switch phantom power (on) at (.*), which had it off", words
    ):
        state = found[1].split()[0]
        patch = merged(nested((*channel.trail, "phantom"), state) for channel in named(rig, found[2]))
    elif found := re.match(r"plug the link cable (?:that you fetched for )?(\S+) from (\S+) to (\S+)", words):
        patch = {"cables": {found[1]: {"from": found[2], "to": found[3]}}}
    elif found := re.match(r"plug the link cable (?:\S+ )?from (\S+) into (\S+), which is free", words):
        cable, end = next((c, e) for c in rig.rig.cables.values() for e in (0, 1) if str(c.ends[e]) == found[1])
        patch = nested((*cable.trail, ("from", "to")[end]), found[2])
    elif found := re.match(r"plug the spare of the link cable (\S+) \(.*\) from (\S+) to (\S+)", words):
        patch = {"cables": {f"{found[1]}-spare": {"from": found[2], "to": found[3]}}}
    elif found := re.match(r"take the (?:dead )?link cable (\S+) out", words):
        patch = {"cables": {found[1]: None}}
    elif found := re.match(r"patch channel ([0-9]+)(?: \(.*?\))?(?: on (\S+))? from (\S+) \(now", words):
        channel = rig.rig.channels[found[2] or console, int(found[1])]
        patch = nested((*channel.trail, "patched_from"), found[3])
    elif found := re.match(r"patch the block of channels (\S+) from (\S+)(?: on (\S+))?$", words):
        block = next(b for b in rig.rig.blocks[found[3] or console] if b.key == found[1])
        patch = nested(block.trail, found[2])
    elif found := re.match(r"(\S+): out of (\S+); no channel takes it", words):
        ends = [str(socket) for socket in rig.rig.sources[found[1]].sockets]
        ends[ends.index(found[2])] = f"{console}/in/{800 + len(hand)}"
        hand[f"{found[1]} for good"] = ""
        is_list = isinstance(rig.says("sources", found[1], "plugged_into"), list)
        patch = nested(("sources", found[1], "plugged_into"), ends if is_list else ends[0])
    elif words.startswith("take ") and ", muted: " in words:
        out = re.findall(r"(\S+) out of ([^\s,]+)", words)
        plugs = {
            name: [str(at) for at in rig.rig.sources[name].sockets if (name, str(at)) not in out] for name, _ in out
        }
        patch = merged(
            nested(("sources", n, "plugged_into"), left if len(left) > 1 else left[0]) for n, left in plugs.items()
        )
    elif words.startswith("now make the change"):
        patch = dict(change)
    elif (found := re.match(r"(\S+): from (\S+|your hand) (?:into ([^\s,]+)|out and into your hand)", words)) and (
        found[1] in rig.rig.sources
    ):
        # What is in a hand is in nothing: a socket of its own that no channel takes.
        ends = [str(socket) for socket in rig.rig.sources[found[1]].sockets]
        leg = ends.index(hand.pop(found[1], "") if found[2] == "your hand" else found[2])
        ends[leg] = found[3] or hand.setdefault(found[1], f"{console}/in/{900 + len(hand)}")
        is_list = isinstance(rig.says("sources", found[1], "plugged_into"), list)
        patch = nested(("sources", found[1], "plugged_into"), ends if is_list else ends[0])
    else:
        assert words.startswith((
            "turn the house", "bring house", "label every plug of the old", "plug into the new", "fetch a link cable", "fetch the spare", "fetch the link cable", "no console reaches", "mon is dead now", "desk is dead now", "have ", "leave ", "send ", "turn the output selector", "with the faders down", "once ",
            *rig.rig.destinations, *rig.rig.amplifiers, *(f"{box.name} hung on" for box in rig.rig.boxes),
        )) or " once more; then have " in words, words  # fmt: skip
    return rebuilt(rig, patch, models) if patch else rig


def live(rig: ResolvedRig) -> set[Socket]:
    """The sockets that have phantom power now."""
    return {socket for supply in rig.phantom.worked.values() if supply.on for socket in supply.sockets}


def hearing_a_switch(was: ResolvedRig, here: ResolvedRig) -> set[tuple[str, int]]:
    """The channels, on whatever console, that hear a source at which phantom power went on or off."""
    names = {name for at in live(was) ^ live(here) for name in here.sources_in.get(at, ())}
    return {channel.key for rig in (was, here) for name in names for channel in rig.channels_of.get(name, ())}


def replay(
    rig: ResolvedRig,
    steps: Sequence[str],
    change: Mapping[str, Any],
    models: Models = MODELS,
    dead: Collection[str] = (),
) -> ResolvedRig:
    hand: dict[str, str] = {}
    muted: set[tuple[str, int]] = set()
    here, already = rig, set(harmed(rig))
    for words in steps:
        was, here = here, done(here, words, hand, change, models)
        assert set(harmed(here)) <= already, words
        if found := re.search(r" and mute (channel.*)$", words):
            muted |= {channel.key for channel in named(here, found[1])}
        if words.startswith("switch phantom power"):
            open_then = hearing_a_switch(was, here) - muted
            assert not [key for key in open_then if key[0] not in {*dead, *dark_in(here)}], words
        if found := re.search(r" unmute (channel.*?)(?:, one by one)?; then", words):
            muted -= {channel.key for channel in named(here, found[1])}
    return here


def muted_for_nothing(end: ResolvedRig, steps: Sequence[str]) -> list[str]:
    """The channels that the steps mute and never open, though they carry what they are meant to and it is heard."""
    muted: set[Channel] = set()
    for words in steps:
        if found := re.search(r" and mute (channel.*)$", words):
            muted |= {end.rig.channels[channel.key] for channel in named(end, found[1])}
        if found := re.search(r" unmute (channel.*?)(?:, one by one)?; then", words):
            muted -= {end.rig.channels[channel.key] for channel in named(end, found[1])}
    return [
        channel.address
        for channel in muted
        if channel.carries in end.arrivals[channel.key].sources and channel.carries not in end.phantom.unpowered
    ]


def fed_once(before: ResolvedRig, after: ResolvedRig, end: ResolvedRig, steps: Sequence[str]) -> list[str]:
    """Hold the steps to it that what nobody can switch off gives no source phantom power which gets it elsewhere then.

    Return the sources that this was about.
    """
    dark, found = dark_in(after), []
    said = " ".join(step for step in steps if "phantom power may still be on there" in step)
    for source in end.rig.sources.values():
        for at in source.sockets:
            lost = not after.is_reached(at.device) or at.device in end.dead
            if not lost or at.device in dark or not before.phantom.is_live(at):
                continue
            if at not in before.rig.sources[source.name].sockets or not source.needs_phantom:
                continue
            others = [other for other in source.sockets if other != at and end.phantom.is_live(other)]
            if others and not before.phantom.fed_elsewhere(before.rig.sources[source.name], at):
                found.append(source.name)
                off = re.search(r"switch off (.*?) at (?:its|their) own", said)
                assert f"{source.name} out of {at}" in said, said
                assert (off and re.search(rf"\b{at.device}\b", off[1])) or "muted: " in said, said
    return found


def mending(before: ResolvedRig, after: ResolvedRig, dead: frozenset[str]) -> Mending:
    return Mending(before, after, intent_of(before), dead, dead, MODELS)


def same_channels(cure: Cure, end: ResolvedRig) -> None:
    for key, arrival in cure.result.arrivals.items():
        assert end.arrivals[key].sources == arrival.sources


LOSSES = [
    "east-box",
    "west-box",
    "loft-box",
    "crossing",
    "stairwell",
    "trunk",
    "desk/link-1",
    "desk/in/1-6",
    "west-box/in/1-8",
]


@pytest.mark.parametrize("every", [100, 2, 3])
@pytest.mark.parametrize("what", LOSSES)
def test_the_steps_of_a_rescue_never_put_phantom_power_on_a_ribbon(what: str, every: int) -> None:
    before = ribbons(every)
    outage = outage_of(before, what, MODELS)
    rescue = Rescuer(mending(before, outage.after, outage.dead)).rescue()
    steps = spares_steps(outage, rescue)
    end = replay(before, steps, {})
    if outage.cabling or "/" in what:
        same_channels(rescue.cure, end)
    assert harmed(rescue.cure.result) == []


CHANGES = ["order east-box west-box loft-box", "order loft-box east-box west-box", "lose crossing", "remove west-box",
           "lose stairwell"]  # fmt: skip


@pytest.mark.parametrize("every", [100, 2, 3])
@pytest.mark.parametrize("words", CHANGES)
def test_the_steps_of_a_cure_never_put_phantom_power_on_a_ribbon(words: str, every: int) -> None:
    before = ribbons(every)
    edits, after = edits_of(before, words.split(), MODELS)
    dead = frozenset().union(*(edit.dead for edit in edits))
    change = merged(edit.patch for edit in edits)
    for way in ("console", "plugs", "fewest"):
        cure = mending(before, after, dead).cure(way)
        lost = any(edit.lost for edit in edits)
        steps = cure_steps(cure, () if lost else ("now make the change: so",))
        end = replay(before, [*steps[: len(cure.quiet.first)], *(["now make the change"] if lost else []),
                              *steps[len(cure.quiet.first) :]], change)  # fmt: skip
        if not any("hand" in step for step in steps):
            same_channels(cure, end)


def test_without_those_steps_the_ribbon_would_have_had_it() -> None:
    before = ribbons(100)
    outage = outage_of(before, "east-box", MODELS).longer
    assert outage is not None
    rescue = Rescuer(mending(before, outage.after, outage.dead)).rescue()
    bare = [step for step in spares_steps(outage, rescue) if not step.startswith("switch phantom power off")]
    with pytest.raises(AssertionError, match="trumpet"):
        replay(before, bare, {})


def test_a_channel_whose_source_stays_lost_is_muted_and_stays_so() -> None:
    text = (
        "rig_format: 1\ndevices: {desk: {model: console-16}, a: {model: stage-box-8x8, output_bank: 1-8}, "
        "b: {model: stage-box-8x8, output_bank: 9-16}}\n"
        "cables: {one: {from: desk/link-1, to: a/upstream}, two: {from: a/downstream, to: b/upstream}}\nsources:\n"
        + "".join(f"  a{n}: {{kind: condenser-microphone, plugged_into: a/in/{n}, priority: 7}}\n" for n in range(1, 9))
        + "".join(f"  d{n}: {{kind: player, plugged_into: desk/in/{n}, priority: 3}}\n" for n in range(1, 17))
        + "".join(f"  b{n}: {{kind: ribbon-microphone, plugged_into: b/in/{n}, priority: 1}}\n" for n in range(1, 3))
        + "channels:\n"
        + "".join(f"  {n}: {{carries: a{n}, patched_from: desk/link-1/{n}, phantom: on}}\n" for n in range(1, 9))
        + "".join(f"  {8 + n}: {{carries: b{n}, patched_from: desk/link-1/{8 + n}}}\n" for n in range(1, 3))
    )
    before = resolved(text)
    outage = outage_of(before, "a", MODELS)
    rescue = Rescuer(mending(before, outage.after, outage.dead)).rescue()
    steps = spares_steps(outage, rescue)
    kept = [row.channel.number for row in rescue.cure.quiet.kept]
    assert kept
    for row in rescue.cure.quiet.kept:
        left = (re.match(r"leave channels? ([0-9–, ]+) muted", step) for step in steps)
        assert any(found and row.channel.number in numbers(found[1]) for found in left)
    last = steps[-1]
    assert not set(kept) & set(numbers(last.split("unmute ")[1].split(", one by one")[0]))
    replay(before, steps, {})
    assert harmed(rescue.cure.result) == []


@pytest.mark.parametrize("way", ["console", "plugs", "fewest"])
@pytest.mark.parametrize(
    "words", ["order east-box west-box loft-box", "lose west-box", "remove east-box", "lose trunk"]
)
def test_the_rig_that_a_cure_makes_says_what_its_steps_leave_off(words: str, way: str) -> None:
    """A full console: nobody has a socket to go to, and the channels that lost theirs hear others."""
    before = ribbons(3)
    edits, after = edits_of(before, words.split(), MODELS)
    dead = frozenset().union(*(edit.dead for edit in edits))
    cure = mending(before, after, dead).cure(way)
    kept = {row.channel.key for row in cure.quiet.kept}
    for row in cure.quiet.kept:
        now = cure.result.rig.channels[row.channel.key].phantom
        if now != "off" and row.gets != "nothing" and row.channel.phantom == "on":
            socket = cure.result.arrivals[row.channel.key].socket
            assert socket is not None
            # It is on there all the same, by a channel that rightly asks for it: the steps say so.
            assert {channel.key for channel in cure.result.phantom.switched_on_by(socket)} - kept
            assert any("comes on again with the switch" in step for step in cure.quiet.last)
    assert harmed(cure.result) == []


CLEAN = sorted((Path(__file__).parents[1] / "clean").glob("*/rigs/*.yaml"))
BOTH_ENDS = sorted((Path(__file__).parent / "both_ends").glob("rigs/*.yaml"))


@pytest.mark.parametrize("path", [*CLEAN, *BOTH_ENDS], ids=lambda path: f"{path.parent.parent.name}-{path.stem}")
def test_no_rescue_or_cure_of_any_clean_rig_puts_it_on_what_must_not_have_it(path: Path) -> None:
    before = ribbons(3, path)
    models = Models(house_folder(path))
    cards = [f"{device.name}/in" for device in before.rig.devices.values() if device.model.inputs.count]
    consoles = [console.name for console in before.rig.consoles]
    for what in [*(box.name for box in before.rig.boxes), *before.rig.cables, *cards, *consoles]:
        try:
            outage = outage_of(before, what, models)
        except CannotDoError:
            continue  # a name that is a box's and a cable's
        plan = Mending(before, outage.after, intent_of(before), outage.dead, outage.dead, models)
        rescue = Rescuer(plan).rescue()
        steps = spares_steps(outage, rescue)
        replay(before, steps, {}, models, outage.dead)
        fed_once(before, outage.after, rescue.cure.result, steps)
        assert muted_for_nothing(rescue.cure.result, steps) == []
    for chain in before.chains.values():
        names = [box.device for box in chain.boxes]
        if len(names) < 2:
            continue
        (edit,), after = edits_of(before, ["order", *reversed(names)], models)
        for way in ("console", "plugs", "fewest"):
            cure = Mending(before, after, intent_of(before), models=models).cure(way)
            replay(before, cure_steps(cure, ["now make the change"]), edit.patch, models)
            assert muted_for_nothing(cure.result, cure_steps(cure)) == []
