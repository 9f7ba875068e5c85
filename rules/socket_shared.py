"""Two sources in one socket."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, Socket, rule
from lint.resolve.mixup import nested
from lint.rules._phantom import SAFETY

_WHY = """\
A socket takes one plug. One of the two will be left lying on the stage, and its channel will be dead or carry the
other."""


@rule(
    title="Two sources in one socket",
    severity="no-go",
    family="plugs",
    why=_WHY,
    do="Give each source a socket of its own.",
    good=["sources: {choir: {plugged_into: west-box/in/3}}\nchannels: {2: {patched_from: desk/link-1/3}}"],
    bad=[
        Bad(
            "sources: {choir: {plugged_into: west-box/in/1}}",
            ("west-box/in/1 has 2 sources plugged in: lead-vocal and choir.",),
        )
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a socket with several plugs."""
    for socket, names in rig.sources_in.items():
        if len(names) < 2:
            continue
        explains = {("source-unheard", name) for name in names}
        channels = [channel for name in names for channel in rig.carriers_of.get(name, ())]
        explains |= {("patch-carries-nothing", channel.address) for channel in channels}
        yield Finding(
            f"{socket} has {len(names)} sources plugged in: {' and '.join(names)}.",
            tuple(rig.place(("sources", name, "plugged_into"), socket) for name in names),
            tuple(_cures(rig, socket, names)),
            {"sources": len(names)},
            explains=frozenset(explains),
        )


def _cures(rig: ResolvedRig, socket: Socket, names: list[str]) -> Iterator[Cure]:
    """Send home whoever's channel listens elsewhere; where nobody's does, to the nearest free socket."""
    homes = {
        name: home
        for name in names
        for channel in rig.carriers_of.get(name, ())
        if (home := rig.arrivals[channel.console, channel.number].socket) is not None
        and home not in rig.sources_in
        and rig.has_socket(home)
    }
    for name, home in homes.items():
        text = f"move the plug of {name} to {home}, where its channel listens"
        yield Cure(text, nested(("sources", name, "plugged_into"), str(home)))
    if not homes:
        free = nearest_free(rig, socket)
        if free is not None:
            text = f"move the plug of {names[-1]} to {free}, which is free, and patch its channel from there"
            yield Cure(text)


def nearest_free(rig: ResolvedRig, socket: Socket) -> Socket | None:
    """Return the free input socket of the same box whose number is nearest."""
    count = rig.device(socket.device).model.inputs.count
    free = [
        Socket(socket.device, "in", number)
        for number in range(1, count + 1)
        if Socket(socket.device, "in", number) not in rig.sources_in
    ]
    return min(free, key=lambda entry: (abs(entry.number - socket.number), entry.number), default=None)
