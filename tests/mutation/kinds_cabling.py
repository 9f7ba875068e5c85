"""Mistakes with the link cables, the clock and the selectors."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise

from bench import DROP, Base, Site, kind, port

from lint.resolve.chain import DOWNSTREAM, UPSTREAM, Chain
from lint.rig.address import number_range
from lint.rig.rig import Cable

PATCH = ("patch-carries-other", "patch-carries-nothing", "patch-block-wrong", "stereo-crossed", "chain-swapped")
OUTPUT = (
    "output-carries-other",
    "output-carries-nothing",
    "monitor-to-house",
    "house-to-monitor",
    "house-sides-swapped",
    "house-unheard",
)


def chains(base: Base) -> list[Chain]:
    return [chain for chain in base.resolved.chains.values() if chain.boxes]


def cables_at(base: Base, device: str) -> list[tuple[Cable, str]]:
    """Return a box's cables, each with which end is at it."""
    rows = []
    for cable in base.resolved.rig.cables.values():
        written = base.data["cables"][cable.name]
        rows += [(cable, key) for key in ("from", "to") if written[key].partition("/")[0] == device]
    return rows


@kind(*PATCH, *OUTPUT, "chain-slots-exceeded", audible=True)
def swap_two_boxes(base: Base) -> Iterator[Site]:
    """Two boxes are cabled in each other's place."""
    for chain in chains(base):
        for first, second in combinations([box.device for box in chain.boxes], 2):
            other = {first: second, second: first}
            edits = []
            for cable in base.resolved.rig.cables.values():
                for key in ("from", "to"):
                    device, _, side = base.data["cables"][cable.name][key].partition("/")
                    if device in other:
                        edits.append(((*cable.trail, key), port(other[device], side)))
            yield Site(f"{first} and {second}", tuple(edits))


@kind("chain-input-from-downstream", "chain-ports-alike", audible=True)
def reverse_a_box(base: Base) -> Iterator[Site]:
    """A box is cabled in backwards: its feed goes to the downstream port."""
    turned = {UPSTREAM: DOWNSTREAM, DOWNSTREAM: UPSTREAM}
    for device in base.resolved.boxes:
        edits = []
        for cable, key in cables_at(base, device):
            side = base.data["cables"][cable.name][key].partition("/")[2]
            edits.append(((*cable.trail, key), port(device, turned[side])))
        yield Site(device, tuple(edits))


@kind("chain-port-shared", "chain-input-from-downstream", "chain-ports-alike")
def both_plugs_in_one_port(base: Base) -> Iterator[Site]:
    """The cable onward is put into the port where the feed is written to be already."""
    for device in base.resolved.boxes:
        rows = cables_at(base, device)
        if len(rows) == 2:
            for cable, key in rows:
                side = base.data["cables"][cable.name][key].partition("/")[2]
                target = UPSTREAM if side == DOWNSTREAM else DOWNSTREAM
                yield Site(f"{cable.name} at {device}", (((*cable.trail, key), port(device, target)),))


@kind("chain-box-unreached")
def missing_cable(base: Base) -> Iterator[Site]:
    """A link cable is not there."""
    for cable in base.resolved.rig.cables.values():
        yield Site(cable.name, ((cable.trail, DROP),))


def free_links(base: Base) -> list[str]:
    """Return the link ports of consoles that hold no cable."""
    used = {str(end) for cable in base.resolved.rig.cables.values() for end in cable.ends}
    return [str(link) for link in base.resolved.chains if str(link) not in used]


@kind("chain-wrong-port", audible=True)
def chain_on_another_port(base: Base) -> Iterator[Site]:
    """The head of a chain is in another link port of a console."""
    for chain in chains(base):
        cable = chain.boxes[0].cable
        key = "from" if cable.ends[0] == chain.link else "to"
        for link in free_links(base):
            yield Site(f"{chain.link} in {link}", (((*cable.trail, key), link),))


@kind("chain-wrong-port", audible=True)
def box_straight_to_the_console(base: Base) -> Iterator[Site]:
    """The cable from one box to the next comes from the console instead."""
    for chain in chains(base):
        for box in chain.boxes[1:]:
            key = "to" if box.cable.ends[0].device == box.device else "from"
            for link in free_links(base):
                yield Site(f"{box.device} on {link}", (((*box.cable.trail, key), link),))


@kind("chain-box-unreached", audible=True)
def box_skipped(base: Base) -> Iterator[Site]:
    """A box in the chain is passed over: its feed goes on to the next one, and the cable between lies coiled."""
    for chain in chains(base):
        for box, after in pairwise(chain.boxes):
            key = "from" if box.cable.ends[0].device == box.device else "to"
            entry = next(str(end) for end in after.cable.ends if end.device == after.device)
            yield Site(box.device, (((*box.cable.trail, key), entry), (after.cable.trail, DROP)))


@kind("chain-ring", audible=True)
def onward_cable_back_to_the_console(base: Base) -> Iterator[Site]:
    """The cable to the next box is plugged into the console, and that box has none."""
    for chain in chains(base):
        for box in chain.boxes[1:]:
            key = "from" if box.cable.ends[0].device == box.device else "to"
            own = (link for link in free_links(base) if link.startswith(f"{chain.link.device}/"))
            for link in own:
                yield Site(f"{box.device} to {link}", (((*box.cable.trail, key), link),))


@kind("chain-ring", "chain-port-shared")
def cable_that_closes_a_ring(base: Base) -> Iterator[Site]:
    """A spare cable goes from the last box back to the first, or to the console."""
    for chain in chains(base):
        last, first = chain.boxes[-1].device, chain.boxes[0].device
        if any(key_at(base, cable, key) == port(last, DOWNSTREAM) for cable, key in cables_at(base, last)):
            continue
        used = {str(end) for cable in base.resolved.rig.cables.values() for end in cable.ends}
        console = chain.link.device
        free = [name for name in base.resolved.device(console).model.links if port(console, name) not in used]
        ends = [port(first, UPSTREAM), *(port(console, name) for name in free)]
        for end in ends:
            row = {"from": port(last, DOWNSTREAM), "to": end, "kind": "cat6a", "shielded": True, "length_m": 30}
            yield Site(f"{last} to {end}", ((("cables", "spare-cable"), row),))


def key_at(base: Base, cable: Cable, key: str) -> str:
    """Return the port that a cable's end is written to be at."""
    written: str = base.data["cables"][cable.name][key]
    return written


@kind("chain-two-consoles", "chain-ring")
def second_console_cabled_in(base: Base) -> Iterator[Site]:
    """Another console is plugged onto the far end of the chain, and no split is declared."""
    for chain in chains(base):
        last = chain.boxes[-1].device
        if any(key_at(base, cable, key) == port(last, DOWNSTREAM) for cable, key in cables_at(base, last)):
            continue
        console = base.data["devices"][chain.link.device]
        device = {key: console[key] for key in ("model", "circuit") if key in console}
        row = {"from": port(last, DOWNSTREAM), "to": f"guest-desk/{chain.link.name}", "kind": "cat6a", "shielded": True}
        row |= {"length_m": 20, "spare": "with it"}
        yield Site(
            last, ((("devices", "guest-desk"), device), (("consoles", "guest-desk"), {}), (("cables", "guest"), row))
        )


@kind("link-cable-length")
def cable_too_long(base: Base) -> Iterator[Site]:
    """A link cable is longer than the link allows."""
    for cable in base.resolved.rig.cables.values():
        yield Site(cable.name, (((*cable.trail, "length_m"), 130),))


@kind("link-cable-short")
def cable_too_short(base: Base) -> Iterator[Site]:
    """A link cable is taken that does not reach."""
    for cable in base.resolved.rig.cables.values():
        if cable.length_m is not None:
            yield Site(cable.name, (((*cable.trail, "way_m"), cable.length_m + 5),))


@kind("link-cable-kind")
def unshielded_cable(base: Base) -> Iterator[Site]:
    """An unshielded link cable is taken."""
    for cable in base.resolved.rig.cables.values():
        yield Site(cable.name, (((*cable.trail, "shielded"), False),))


@kind("link-cable-kind")
def cable_of_too_low_a_kind(base: Base) -> Iterator[Site]:
    """An old office cable is taken."""
    for cable in base.resolved.rig.cables.values():
        yield Site(cable.name, (((*cable.trail, "kind"), "cat5"),))


@kind("link-cable-coiled-spare", risky=False)
def spare_forgotten(base: Base) -> Iterator[Site]:
    """The spare of a trunk is not there."""
    for cable in base.resolved.rig.cables.values():
        if cable.spare:
            yield Site(cable.name, (((*cable.trail, "spare"), DROP),))


@kind("chain-too-long", "chain-slots-exceeded")
def too_many_boxes(base: Base) -> Iterator[Site]:
    """Boxes are hung on the end of a chain until there is one more than its models allow."""
    for chain in chains(base):
        last = chain.boxes[-1]
        if any(
            key_at(base, cable, key) == port(last.device, DOWNSTREAM) for cable, key in cables_at(base, last.device)
        ):
            continue
        old = base.data["devices"][last.device]
        row = {name: old[name] for name in ("model", "circuit") if name in old}
        most = [base.resolved.device(box.device).model.chain.max_boxes or 8 for box in chain.boxes]
        edits: list[tuple[tuple[str, ...], object]] = []
        end = last.device
        for number in range(min(most) + 1 - len(chain.boxes)):
            name = f"loan-box-{number + 1}"
            cable = {"from": port(end, DOWNSTREAM), "to": port(name, UPSTREAM), "kind": "cat6a", "shielded": True}
            edits += [(("devices", name), row), (("cables", f"loan-cable-{number + 1}"), {**cable, "length_m": 5})]
            end = name
        yield Site(str(chain.link), tuple(edits))


@kind("chain-two-consoles", "chain-listener-unreached")
def split_not_declared(base: Base) -> Iterator[Site]:
    """Nobody writes down that a second console listens to the link; a splitter's sources are then refused."""
    for split in base.resolved.rig.splits.values():
        yield Site(split.name, ((split.trail, DROP),))


@kind(*PATCH, *OUTPUT, "chain-slots-exceeded", "source-unheard", audible=True)
def box_put_in_first(base: Base) -> Iterator[Site]:
    """A borrowed box is put in before the first one: every slot behind it moves."""
    for chain in chains(base):
        first = chain.boxes[0]
        cable = first.cable
        key = next(key for c, key in cables_at(base, first.device) if c.name == cable.name)
        old = base.data["devices"][first.device]
        device = {name: old[name] for name in ("model", "circuit") if name in old}
        row = {"from": "loan-box/downstream", "to": port(first.device, UPSTREAM), "kind": "cat6a", "shielded": True}
        row |= {"length_m": 5}
        if base.resolved.device(first.device).model.inputs.by_selector:
            continue  # its selectors hold the slots where they are
        yield Site(
            first.device,
            (
                (("devices", "loan-box"), device),
                ((*cable.trail, key), "loan-box/upstream"),
                (("cables", "loan-cable"), row),
            ),
        )


@kind(*PATCH, *OUTPUT, "socket-missing", "source-unheard", "chain-slots-exceeded", audible=True)
def box_of_another_size(base: Base) -> Iterator[Site]:
    """A box of another size stands in for one that is at the workshop."""
    for device in base.resolved.boxes:
        row = base.data["devices"][device]
        for model in ("stage-box-8x8", "stage-box-16x8"):
            if row["model"].startswith("stage-box-") and model != row["model"]:
                yield Site(f"{device} is a {model}", (((("devices", device, "model")), model),))


# -- clock -----------------------------------------------------------------------------------------------------


@kind("clock-leader-missing")
def no_clock_leader(base: Base) -> Iterator[Site]:
    """Nobody leads the clock."""
    leader = base.data["clock"]["leader"]
    if not base.resolved.boxes:
        return  # a console by itself runs on its own clock and harms nobody
    yield Site("no leader", ((("clock", "leader"), DROP),))
    if isinstance(leader, list):
        for name in leader:
            rest = [other for other in leader if other != name]
            yield Site(f"{name} leads no more", ((("clock", "leader"), rest),))


@kind("clock-leader-two")
def two_clock_leaders(base: Base) -> Iterator[Site]:
    """A box leads the clock as well as the console."""
    leader = base.data["clock"]["leader"]
    for device in base.resolved.boxes:
        both = [*(leader if isinstance(leader, list) else [leader]), device]
        yield Site(device, ((("clock", "leader"), both),))


@kind("clock-leader-two", "clock-leader-missing")
def box_on_its_own_clock(base: Base) -> Iterator[Site]:
    """A box is switched to its own clock."""
    for device in base.resolved.boxes:
        yield Site(device, ((("devices", device, "clock_from"), "internal"),))


@kind("clock-leader-missing", "clock-leader-two")
def leader_follows_the_link(base: Base) -> Iterator[Site]:
    """The console that should lead the clock is switched to follow the link."""
    leader = base.data["clock"]["leader"]
    for name in leader if isinstance(leader, list) else [leader]:
        if base.resolved.boxes:
            yield Site(name, ((("devices", name, "clock_from"), "link"),))


@kind("clock-rate-mismatch")
def device_at_another_rate(base: Base) -> Iterator[Site]:
    """One device is left at another sample rate."""
    now = base.resolved.rig.sample_rate_hz
    for device in base.resolved.boxes:
        rates = base.resolved.device(device).model.sample_rates_hz
        for rate in rates:
            if rate != now:
                yield Site(f"{device} at {rate} Hz", ((("devices", device, "sample_rate_hz"), rate),))


@kind(*PATCH, *OUTPUT, "chain-slots-exceeded", "bank-beyond-link", "clock-rate-unsupported", audible=True)
def sample_rate_doubled(base: Base) -> Iterator[Site]:
    """Everything is set to double the sample rate: the link has half the slots."""
    rate = base.resolved.rig.sample_rate_hz
    yield Site(f"{2 * rate} Hz", ((("clock", "sample_rate_hz"), 2 * rate),))


@kind("clock-rate-unsupported")
def sample_rate_that_a_device_lacks(base: Base) -> Iterator[Site]:  # noqa: ARG001 - it is the same everywhere
    """Everything is set to a rate that some device can't run at."""
    yield Site("192000 Hz", ((("clock", "sample_rate_hz"), 192000),))


# -- selectors -------------------------------------------------------------------------------------------------


@kind(*OUTPUT, "bank-clash", "bank-beyond-link", audible=True)
def wrong_output_bank(base: Base) -> Iterator[Site]:
    """A box's output selector is on another position."""
    for device in base.resolved.boxes:
        outputs = base.resolved.device(device).model.outputs
        for bank in outputs.selector if outputs.by_selector else ():
            if bank != base.data["devices"][device].get("output_bank"):
                yield Site(f"{device} on {bank}", ((("devices", device, "output_bank"), bank),))


@kind(*OUTPUT, "bank-clash", audible=True)
def bank_of_another_box(base: Base) -> Iterator[Site]:
    """A box's output selector is on the position of another box of its chain."""
    for chain in chains(base):
        for box in chain.boxes:
            for other in chain.boxes:
                bank = base.data["devices"][other.device].get("output_bank")
                own = base.resolved.device(box.device).model.outputs
                if other is not box and own.by_selector and bank in own.selector:
                    yield Site(f"{box.device} on {bank}", ((("devices", box.device, "output_bank"), bank),))


@kind("bank-unknown", audible=True)
def output_bank_not_stated(base: Base) -> Iterator[Site]:
    """Nobody wrote down the output selector's position."""
    for device in base.resolved.boxes:
        if "output_bank" in base.data["devices"][device]:
            yield Site(device, ((("devices", device, "output_bank"), DROP),))


@kind("bank-unknown", audible=True)
def output_bank_that_does_not_exist(base: Base) -> Iterator[Site]:
    """The output selector is said to be on a position that its label does not have."""
    for device in base.resolved.boxes:
        bank = base.data["devices"][device].get("output_bank")
        if bank is not None:
            numbers = number_range(bank)
            yield Site(device, ((("devices", device, "output_bank"), f"{numbers.start + 2}-{numbers.stop + 1}"),))


@kind(*PATCH, "bank-clash", "bank-beyond-link", "source-unheard", audible=True)
def wrong_input_bank(base: Base) -> Iterator[Site]:
    """A box's input selector is on another position."""
    for device in base.resolved.boxes:
        inputs = base.resolved.device(device).model.inputs
        for bank in inputs.selector if inputs.by_selector else ():
            if bank != base.data["devices"][device].get("input_bank"):
                yield Site(f"{device} on {bank}", ((("devices", device, "input_bank"), bank),))


@kind("bank-unknown", *PATCH, audible=True)
def input_bank_not_stated(base: Base) -> Iterator[Site]:
    """Nobody wrote down the input selector's position."""
    for device in base.resolved.boxes:
        if "input_bank" in base.data["devices"][device]:
            yield Site(device, ((("devices", device, "input_bank"), DROP),))


@kind("bank-unknown")
def input_bank_that_does_not_exist(base: Base) -> Iterator[Site]:
    """The input selector is said to be on a position that its label does not have."""
    for device in base.resolved.boxes:
        bank = base.data["devices"][device].get("input_bank")
        if bank is not None:
            numbers = number_range(bank)
            yield Site(device, ((("devices", device, "input_bank"), f"{numbers.start + 2}-{numbers.stop + 1}"),))
