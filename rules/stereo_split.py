"""The two sides of a stereo pair go into different boxes."""

from collections.abc import Iterator

from lint import Arrival, Bad, Cure, Finding, ResolvedRig, rule
from lint.rig.rig import Source
from lint.rules._phantom import SAFETY

_WHY = """\
A pair over two boxes is easy to lose by half: one box loses power or its place in the chain, and half of the piano
goes with it. The two boxes may also add different delays."""


@rule(
    title="A stereo pair goes into two different boxes",
    severity="caution",
    family="plugs",
    why=_WHY,
    do="Plug both into neighbouring sockets of one box.",
    good=["pairs: {keys: {left: lead-vocal, right: choir}}"],
    bad=[
        Bad(
            "pairs: {keys: {left: choir, right: piano}}",
            ("the pair keys is on two boxes: choir in west-box/in/2, piano in east-box/in/1.",),
        )
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a pair whose plugs are on different devices."""
    wrong = {arrival.channel.address: arrival for arrival in rig.mismatches}
    for pair in rig.rig.pairs.values():
        left, right = rig.rig.sources[pair.left], rig.rig.sources[pair.right]
        at_left, at_right = ({socket.device for socket in source.sockets} for source in (left, right))
        if at_left <= at_right or at_right <= at_left:
            continue  # a leg that is missing behind a splitter is told as that
        if len({_awaited_at(rig, wrong, source) for source in (left, right)}) == 1:
            continue  # one of its plugs is in a wrong socket: that is told, and puts this right as well
        message = f"the pair {pair.name} is on two boxes: {left.name} in {left.sockets[0]}, {right.name} in {right.sockets[0]}."
        places = tuple(rig.place((*source.trail, "plugged_into"), source.name) for source in (left, right))
        home = left.sockets[0].device
        yield Finding(
            message,
            (rig.place(pair.trail, pair.name, at_key=True), *places),
            (Cure(f"plug {right.name} into {home} as well, beside {left.name}, and patch its channel from there"),),
        )


def _awaited_at(rig: ResolvedRig, wrong: dict[str, Arrival], source: Source) -> str:
    """Return the device at which a source's channel listens for it, or else the one that it is plugged into."""
    for channel in rig.carriers_of.get(source.name, ()):
        arrival = wrong.get(channel.address)
        if arrival is not None and arrival.socket is not None:
            return arrival.socket.device
    return source.sockets[0].device
