"""TITLE."""

from collections.abc import Iterator

from lint import Bad, Finding, Limit, ResolvedRig, rule


@rule(
    title="Every stage box has spare inputs",
    severity="caution",
    family="plugs",
    why="A microphone that dies before the doors needs a socket that is known to be free.",
    do="Move a source to another box, or bring a larger box.",
    source="our own house rule",
    limits={"least": Limit(2, "sockets", "inputs that stay free on each box")},
    good=["sources: {choir: {plugged_into: west-box/in/3}}"],
    bad=[
        Bad(
            "sources:\n"
            + "".join(f"  kit-{n}: {{kind: dynamic-microphone, plugged_into: east-box/in/{n}}}\n" for n in range(2, 9)),
            ("east-box has 0 spare inputs; 2 are wanted.",),
        )
    ],
)
def check(rig: ResolvedRig, least: float) -> Iterator[Finding]:
    """Yield one finding a box with too few."""
    for device in rig.rig.boxes:
        used = {socket.number for socket in rig.sources_in if socket.device == device.name}
        spare = device.model.inputs.count - len(used)
        if spare < least:
            place = rig.rig.place(device.trail, device.name, at_key=True)
            yield Finding(
                f"{device.name} has {spare} spare inputs; {least:g} are wanted.", (place,), facts={"spare": spare}
            )
