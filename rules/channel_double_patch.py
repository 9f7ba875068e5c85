"""Two channels take one socket."""

from collections.abc import Iterator

from lint import Arrival, Bad, Cure, Finding, ResolvedRig, Slot, Socket, rule
from lint.resolve.mixup import merged, nested
from lint.rules._cabling import joined

_WHY = """\
Two channels of one console on one socket share its gain and phantom power: a change for one changes the other. It may
be meant (one for the house, one for the monitors), and then the rig file should say so."""


@rule(
    title="Two channels take one socket and do not say so",
    severity="caution",
    family="patch",
    why=_WHY,
    do="Where it is meant, say `doubles:` with the first channel's number; where it is not, change the patch.",
    good=["channels: {4: {label: Vox for monitors, carries: lead-vocal, patched_from: desk/link-1/1, doubles: 1}}"],
    bad=[
        Bad(
            "channels: {4: {label: Vox two, carries: lead-vocal, patched_from: desk/link-1/1}}",
            ("channel 1 (Lead vox) and channel 4 (Vox two) both take west-box/in/1 (desk/link-1/1).",),
        )
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a socket that several channels of a console take; a wrong patch is told by its own rule."""
    takers: dict[tuple[str, Slot | Socket], list[Arrival]] = {}
    for arrival in rig.arrivals.values():
        point = arrival.channel.patched_from
        if isinstance(point, Slot | Socket) and arrival.sources:
            takers.setdefault((arrival.channel.console, point), []).append(arrival)
    for (_, point), arrivals in takers.items():
        if len(arrivals) < 2:
            continue
        channels = [arrival.channel for arrival in arrivals]
        group = {channel.number for channel in channels}
        silent = [channel for channel in channels if channel.doubles not in group]
        if len(silent) < 2 or any(channel.address in rig.mismatched for channel in channels):
            continue
        names = joined(rig.rig.channel_words(channel) for channel in silent)
        socket = arrivals[0].socket
        where = f"{socket} ({point})" if socket != point else str(point)
        first, *later = silent
        numbers = f"channel{'s' if len(later) > 1 else ''} {joined(channel.number for channel in later)}"
        change = merged(nested((*channel.trail, "doubles"), first.number) for channel in later)
        yield Finding(
            f"{names} {'all' if len(later) > 1 else 'both'} take {where}.",
            tuple(rig.place((*channel.trail, "patched_from"), channel.address) for channel in reversed(silent)),
            (
                Cure(f"where that is meant, say `doubles: {first.number}` at {numbers}", change),
                Cure(f"patch {numbers} from another slot or socket"),
            ),
        )
