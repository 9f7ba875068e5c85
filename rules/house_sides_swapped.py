"""The left side of the house reaches the right."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.mixup import WrongOutput, output_mixups
from lint.rules._output_cures import feed_cures, plug_cures
from lint.rules._outputs import SAFETY, about, instead

_WHY = """\
The picture is turned round for the whole room: what stands left on the stage is heard from the right."""


@rule(
    title="Left and right of the house are swapped",
    severity="caution",
    family="outputs",
    why=_WHY,
    do="Swap the two plugs, or the two feeds: one of them, not both.",
    good=["feeds: {desk/link-1: {15-16: null, 15: house.left, 16: house.right}}"],
    bad=[
        Bad(
            "destinations: {house-left: {plugged_into: east-box/out/8}, house-right: {plugged_into: east-box/out/7}}",
            (
                "the sides of the house are swapped: house-left (east-box/out/8) receives house.right instead of "
                "house.left; house-right (east-box/out/7) receives house.left instead of house.right.",
            ),
        )
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a group of house loudspeakers that carry the other side of the mix they expect."""
    for group in output_mixups(rig):
        if all(_is_other_side(rig, row) for row in group):
            rows = "; ".join(instead(row) for row in group)
            yield Finding(
                f"the sides of the house are swapped: {rows}.",
                tuple(rig.place((*row.destination.trail, "plugged_into"), row.destination.name) for row in group),
                (*plug_cures(rig, group), *feed_cures(rig, group)) or (Cure("swap the two plugs"),),
                explains=frozenset({("output-carries-other", about(rig, group))}),
            )


def _is_other_side(rig: ResolvedRig, row: WrongOutput) -> bool:
    given, wanted = row.departure.signal, row.wanted
    if given is None or given.kind != "mix" or given.name != wanted.name:
        return False
    return rig.rig.mixes[given.name].kind == "house" and {given.side, wanted.side} == {"left", "right"}
