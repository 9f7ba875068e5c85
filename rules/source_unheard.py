"""A plugged source reaches no channel."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.mixup import nested

_WHY = """\
Somebody carried the microphone to the stage and plugged it in, but no channel takes its slot or socket: nobody would
hear it."""


@rule(
    title="A plugged source reaches no channel",
    severity="caution",
    family="patch",
    why=_WHY,
    do="Patch a channel from it, or take it off the stage and out of the rig file.",
    good=[
        "sources: {spare: {kind: dynamic-microphone, plugged_into: west-box/in/9}}\nchannels: {9: {carries: spare, patched_from: desk/link-1/9}}"
    ],
    bad=[
        Bad(
            "sources: {spare: {kind: dynamic-microphone, plugged_into: west-box/in/9}}",
            ("spare (west-box/in/9) reaches no channel: nothing is patched from desk/link-1/9.",),
        )
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a source that no channel hears; what no console can hear is told with its box."""
    if not rig.rig.channels:
        return
    for source in rig.rig.sources.values():
        if source.name in rig.channels_of or rig.plug_fault(source):
            continue
        socket = source.sockets[0]
        point = rig.slot_of.get(socket) or (socket if rig.rig.devices[socket.device].model.chain is None else None)
        if point is None:
            continue
        waiting = rig.carriers_of.get(source.name, ())
        if waiting:
            channel = waiting[0]
            where = str(rig.input_point(socket, channel.console) or point)
            change = nested((*channel.trail, "patched_from"), where)
            cure = Cure(f"patch channel {channel.number} from {where}", change)
        else:
            cure = Cure(f"patch a channel from {point}, or unplug {source.name}")
        yield Finding(
            f"{source.name} ({socket}) reaches no channel: nothing is patched from {point}.",
            (rig.place((*source.trail, "plugged_into"), source.name),),
            (cure,),
        )
