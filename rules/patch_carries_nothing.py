"""A channel is patched from where nothing is."""

from collections.abc import Iterator

from lint import Arrival, Bad, Cure, Finding, ResolvedRig, Slot, rule
from lint.resolve.mixup import (
    channel_mixups,
    home_slot,
    idle_link,
    input_bank_changes,
    merged,
    patch_change,
    plug_change,
)
from lint.resolve.other_model import OtherModel, models_that_fit
from lint.rules._models import another_model, explained_by_model
from lint.rules._phantom import SAFETY
from lint.rules._words import listed

_WHY = """\
The channel is patched from a socket with nothing plugged in, or from a slot past the end of the chain: its fader
would be dead."""


@rule(
    title="The channel is patched from where nothing is plugged in",
    severity="no-go",
    family="patch",
    why=_WHY,
    do="Plug the source in where the console listens, or patch the channel from where the source is.",
    good=["channels: {4: {label: Spare}}"],
    bad=[
        Bad(
            "sources: {choir: {plugged_into: west-box/in/5}}",
            (
                "channel 2 (Choir) should carry choir, but nothing is plugged into west-box/in/2 (desk/link-1/2). "
                "choir is in west-box/in/5.",
            ),
        ),
        Bad(
            "channels: {3: {patched_from: desk/link-1/30}}",
            (
                "channel 3 (Piano) should carry piano, but desk/link-1/30 is past the end of the chain, which has "
                "24 input slots. piano is in east-box/in/1.",
            ),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a dead channel; where it is part of a wider mix-up, patch-carries-other tells of it."""
    for group in channel_mixups(rig):
        dead = [arrival for arrival in group if not arrival.sources and arrival.effects is None]
        if len(dead) == len(group) > 1:
            yield _all_dead(rig, group)
        else:
            yield from (_dead(rig, arrival) for arrival in dead)


def _dead(rig: ResolvedRig, arrival: Arrival) -> Finding:
    channel, wanted = arrival.channel, str(arrival.channel.carries)
    message = _missed(rig, [arrival])
    cures = [plug_change(rig, [arrival]), patch_change(rig, arrival)]
    return Finding(
        message,
        (rig.place((*channel.trail, "patched_from"), channel.address),),
        tuple(Cure(*cure) for cure in cures if cure is not None),
        explains=frozenset({("source-unheard", wanted)}),
    )


def _missed(rig: ResolvedRig, rows: list[Arrival]) -> str:
    """Say what each channel should carry and why it does not, and where that is plugged in."""
    whys = (
        f"{rig.rig.channel_words(row.channel)} should carry {row.channel.carries}, but {_reason(rig, row)}"
        for row in rows
    )
    wanted = dict.fromkeys(str(row.channel.carries) for row in rows)
    sources = [source for name in wanted if (source := rig.rig.sources.get(name))]
    plugs = (f" {source.name} is in {' and '.join(map(str, source.sockets))}." for source in sources)
    return f"{listed(whys, '; ')}.{''.join(plugs)}"


def _all_dead(rig: ResolvedRig, group: list[Arrival]) -> Finding:
    """Tell of channels that are dead for one reason: nothing hangs on their link, all are off by as many slots, or one
    source is missed on all of them.
    """
    names = listed(f"{rig.rig.channel_words(row.channel)} should carry {row.channel.carries}" for row in group)
    first = group[0]
    others: list[OtherModel] = []
    links = {idle_link(rig, row) for row in group}
    if len(links) == 1 and (link := links.pop()):
        message = f": no box hangs on {link}. {names[0].upper()}{names[1:]}."
    elif apart := _apart(rig, group):
        source = rig.rig.sources[str(first.channel.carries)]
        others = models_that_fit(rig, _before(rig, source.sockets[0].device))
        message = (
            f", {apart}: {source.name} arrives on {home_slot(rig, first)}, and its channel is patched from {first.slot}. "
            f"{names[0].upper()}{names[1:]}."
        )
    else:
        message = f": {_missed(rig, group)}"
    message = f"{len(group)} channels carry nothing{message}"
    patches = [patch_change(rig, row) for row in group]
    known = [patch for patch in patches if patch is not None]
    cures = [Cure("; ".join(words for words, _ in known), merged(change for _, change in known))]
    plugs = plug_change(rig, group)
    return Finding(
        message,
        tuple(rig.place((*row.channel.trail, "patched_from"), row.channel.address) for row in group),
        (
            *(Cure(*change) for change in input_bank_changes(rig, group)),
            *(cures if len(known) == len(group) else ()),
            *((Cure(*plugs),) if plugs else ()),
            *map(another_model, others),
        ),
        {"channels": len(group)},
        explains=frozenset(("source-unheard", str(row.channel.carries)) for row in group)
        | explained_by_model(rig, others),
        members=tuple(row.channel.address for row in group),
    )


def _apart(rig: ResolvedRig, group: list[Arrival]) -> str:
    """Say how far from their sources the channels listen, where that is as far for all; else nothing."""
    homes = [(row.slot, home_slot(rig, row)) for row in group]
    slots = {slot.number - home.number for slot, home in homes if slot and home}
    if not all(home for _, home in homes) or len({abs(number) for number in slots}) != 1:
        return ""
    where = "behind" if min(slots) > 0 else "before" if max(slots) < 0 else "away from"
    return f"all patched {abs(min(slots))} slots {where} where their sources arrive"


def _before(rig: ResolvedRig, device: str) -> list[str]:
    """Return the boxes whose inputs decide where those of a box begin: those before it on its chain."""
    box = rig.boxes.get(device)
    boxes = rig.chains[box.link].boxes if box else ()
    return [other.device for other in boxes if box and other.position < box.position]


def _reason(rig: ResolvedRig, arrival: Arrival) -> str:
    if arrival.stop == "unpatched":
        return "it is not patched from anywhere"
    if arrival.stop == "no-socket":
        assert isinstance(arrival.slot, Slot)
        chain = rig.chains.get(rig.owner_slot(arrival.slot).port)
        slots = max((box.input_slots[-1] for box in chain.boxes if box.input_slots), default=0) if chain else 0
        if not slots:
            return f"no box hangs on {arrival.slot.port}, so nothing arrives on {arrival.slot}"
        capacity = min(slots, chain.capacity) if chain else 0
        return f"{arrival.slot} is past the end of the chain, which has {capacity} input slots"
    slot = f" ({arrival.slot})" if arrival.slot else ""
    return f"nothing is plugged into {arrival.socket}{slot}"
