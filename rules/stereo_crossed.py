"""Left and right of a stereo pair are swapped, or both on one side."""

from collections.abc import Iterator

from lint import Arrival, Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.mixup import channel_mixups, merged, nested, patch_change, plug_change
from lint.resolve.resolved import is_right
from lint.rig.rig import Channel, Pair, Place
from lint.rules._cabling import joined
from lint.rules._phantom import SAFETY

_WHY = """\
With left and right of a pair swapped the picture is turned round: the high strings of the piano come from the wrong
side, and a pair over a choir no longer fits what the eye sees. With both on one side half of
the picture is missing. It is heard, but nothing is silent."""


@rule(
    title="Left and right of a stereo pair are swapped, or on one side",
    severity="caution",
    family="patch",
    why=_WHY,
    do="Swap the two plugs, or the two patches, or the two pans: one of them, not two.",
    good=["pairs: {keys: {left: lead-vocal, right: choir}}\nchannels: {1: {pan: left}, 2: {pan: right}}"],
    bad=[
        Bad(
            "pairs: {keys: {left: lead-vocal, right: choir}}\n"
            "channels: {1: {patched_from: desk/link-1/2, phantom: on}, 2: {patched_from: desk/link-1/1}}",
            (
                "the pair keys is crossed: channel 1 (Lead vox) should carry lead-vocal but receives choir, "
                "and channel 2 (Choir) the other way round.",
            ),
        ),
        Bad(
            "pairs: {keys: {left: lead-vocal, right: choir}}\nchannels: {1: {pan: right}, 2: {pan: left}}",
            ("the pair keys is panned the wrong way round: lead-vocal (channel 1) right, choir (channel 2) left.",),
        ),
        Bad(
            "pairs: {keys: {left: lead-vocal, right: choir}}\nchannels: {1: {pan: left}, 2: {pan: left}}",
            ("both halves of the pair keys are panned left: lead-vocal (channel 1) and choir (channel 2).",),
        ),
        Bad(
            "mixes: {verb-send: {kind: effects, takes: {channels: [1-3]}}}\n"
            "effects: {plate: {fed_by: verb-send}}\n"
            "channels:\n"
            "  4: {carries: effects/plate.left,  patched_from: effects/plate.left,  pan: right}\n"
            "  5: {carries: effects/plate.right, patched_from: effects/plate.right, pan: left}\n",
            (
                "the returns of plate are panned the wrong way round: plate.left (channel 4) right, plate.right "
                "(channel 5) left.",
            ),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a pair that is crossed in the patch or in the pans."""
    groups = {
        frozenset(str(arrival.channel.carries) for arrival in group): group
        for group in channel_mixups(rig)
        if all(arrival.sources for arrival in group)
    }
    for pair in rig.rig.pairs.values():
        group = groups.get(frozenset((pair.left, pair.right)))
        if group is not None:
            yield _crossed(rig, pair, group)
        else:
            yield from _panned(rig, pair)
    yield from _returns(rig)


def _crossed(rig: ResolvedRig, pair: Pair, group: list[Arrival]) -> Finding:
    first, *others = group
    words = rig.rig.channel_words
    message = (
        f"the pair {pair.name} is crossed: {words(first.channel)} should carry {first.channel.carries} but receives "
        f"{' and '.join(first.sources)}, and {joined(words(row.channel) for row in others)} the other way round."
    )
    if len(others) > 1:
        message = f"the pair {pair.name} is crossed: {joined(words(row.channel) for row in group)} receive each the other side."
    patches = [patch for arrival in group if (patch := patch_change(rig, arrival)) is not None]
    cures = [Cure("; ".join(text for text, _ in patches), merged(change for _, change in patches))] if patches else []
    if (plugs := plug_change(rig, group)) is not None:
        cures.append(Cure(*plugs))
    places = tuple(rig.place((*a.channel.trail, "patched_from"), a.channel.address) for a in group)
    explains = frozenset({("patch-carries-other", first.channel.address)})
    return Finding(message, (rig.place(pair.trail, pair.name, at_key=True), *places), tuple(cures), explains=explains)


def _panned(rig: ResolvedRig, pair: Pair) -> Iterator[Finding]:
    """Compare the pans, console by console; a channel that receives another source is told with its patch."""
    place = rig.place(pair.trail, pair.name, at_key=True)
    for left in rig.carriers_of.get(pair.left, ()):
        for right in rig.carriers_of.get(pair.right, ()):
            if left.console == right.console and left in _heard(rig, pair.left) and right in _heard(rig, pair.right):
                yield from _pans(rig, f"pair {pair.name}", place, (left, pair.left), (right, pair.right))


def _heard(rig: ResolvedRig, name: str) -> list[Channel]:
    return rig.channels_of.get(name, [])


def _returns(rig: ResolvedRig) -> Iterator[Finding]:
    """Compare the pans of the two sides that an effects unit returns."""
    for (console, name), unit in rig.rig.effects.items():
        sides: dict[str, Channel] = {}
        for arrival in rig.arrivals.values():
            if arrival.effects is not None and (arrival.effects.console, arrival.effects.effects) == (console, name):
                if not is_right(arrival):
                    sides.clear()
                    break  # told with its patch
                sides.setdefault(arrival.effects.side, arrival.channel)
        if "left" in sides and "right" in sides:
            place = rig.place(unit.trail, f"effects/{name}", at_key=True)
            names = (f"{name}.left", f"{name}.right")
            yield from _pans(rig, f"returns of {name}", place, (sides["left"], names[0]), (sides["right"], names[1]))


def _pans(
    rig: ResolvedRig, what: str, about: Place, first: tuple[Channel, str], second: tuple[Channel, str]
) -> Iterator[Finding]:
    (left, left_name), (right, right_name) = first, second
    if (left.pan, right.pan) == ("right", "left"):
        verb = "is" if what.startswith("pair") else "are"
        message = (
            f"the {what} {verb} panned the wrong way round: {left_name} (channel {left.number}) right, "
            f"{right_name} (channel {right.number}) left."
        )
    elif left.pan == right.pan and left.pan in ("left", "right"):
        message = (
            f"both halves of the {what} are panned {left.pan}: {left_name} (channel {left.number}) "
            f"and {right_name} (channel {right.number})."
        )
    else:
        return
    change = merged((nested((*left.trail, "pan"), "left"), nested((*right.trail, "pan"), "right")))
    places = tuple(rig.place((*channel.trail, "pan"), channel.address) for channel in (left, right))
    cure = Cure(f"pan channel {left.number} left and channel {right.number} right", change)
    yield Finding(message, (about, *places), (cure,))
