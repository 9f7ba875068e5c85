"""A destination receives another mix than it expects."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.mixup import WrongOutput, output_mixups
from lint.rules._output_cures import bank_cures, feed_cures, own_output_cures, plug_cures
from lint.rules._outputs import SAFETY, about, instead
from lint.rules._words import listed

_WHY = """\
The loudspeaker or wedge is plugged where another mix leaves: a singer hears the drummer's mix, or one part of the
room hears what was meant for another."""


@rule(
    title="A destination receives another mix than it expects",
    severity="no-go",
    family="outputs",
    why=_WHY,
    do="Move the plug to the socket that carries its mix; send its mix to the socket it is in only where nobody else hears "
    "that.",
    good=[
        "destinations: {singer-wedge: {plugged_into: west-box/out/2}}\nfeeds: {desk/link-1: {1: null, 2: singer-mon}}"
    ],
    bad=[
        Bad(
            "mixes: {drum-mon: {kind: monitor, takes: {channels: [1]}}}\n"
            "feeds: {desk/link-1: {2: drum-mon}}\n"
            "destinations: {singer-wedge: {plugged_into: west-box/out/2}}",
            ("singer-wedge (west-box/out/2) receives drum-mon instead of singer-mon.",),
        ),
        Bad(
            "mixes: {drum-mon: {kind: monitor, takes: {channels: [1]}}}\n"
            "feeds: {desk/link-1: {2: drum-mon}}\n"
            "destinations: {singer-wedge: {plugged_into: west-box/out/2},"
            " drum-wedge: {kind: wedge, plugged_into: west-box/out/1, expects: drum-mon}}",
            (
                "2 destinations receive the wrong mix: singer-wedge (west-box/out/2) receives drum-mon instead of "
                "singer-mon; drum-wedge (west-box/out/1) receives singer-mon instead of drum-mon.",
            ),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a mix-up: destinations that receive each other's mixes belong together."""
    for group in output_mixups(rig):
        if any(row.departure.signal is not None for row in group):
            yield _finding(rig, group)


def _finding(rig: ResolvedRig, group: list[WrongOutput]) -> Finding:
    rows = [instead(row) for row in group]
    names = tuple(dict.fromkeys(row.destination.name for row in group))
    whose = f"{len(names)} destinations receive" if len(names) > 1 else f"{names[0]} receives"
    message = f"{rows[0]}." if len(rows) == 1 else f"{whose} the wrong mix: {listed(rows, '; ')}."
    copies = [row.departure for row in group if row.departure.feed and row.departure.feed.copied_from]
    if copies:
        pairs = {f"{d.slot or d.socket} is the same as {d.feed.copied_from}" for d in copies if d.feed}
        message += f" The cause may be a copied range: {', '.join(sorted(pairs))}."
    banks = bank_cures(rig, group)
    if banks:
        message += f" The selector of {group[0].departure.socket.device} explains it."
    subject = about(rig, group)
    places = [rig.place((*row.destination.trail, "plugged_into"), row.destination.name) for row in group]
    if banks:
        places.insert(0, rig.place(("devices", subject, "output_bank"), subject))
    places += [rig.place(d.feed.trail, d.slot or d.socket) for d in copies if d.feed]
    cures: tuple[Cure, ...] = (*banks, *plug_cures(rig, group), *feed_cures(rig, group))
    return Finding(
        message,
        tuple(places),
        cures or tuple(own_output_cures(rig, group)),
        {"destinations": len(names)},
        members=names,
    )
