"""A destination receives nothing."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.mixup import WrongOutput, output_mixups
from lint.rules._output_cures import bank_cures, feed_cures, own_output_cures, plug_cures
from lint.rules._outputs import SAFETY, about
from lint.rules._words import listed

_WHY = """\
Nothing is sent to the socket that the loudspeaker, wedge or recorder is plugged into: it would stay silent, and the
recording empty."""


@rule(
    title="A destination receives nothing",
    severity="no-go",
    family="outputs",
    why=_WHY,
    do="Send its mix to the slot or socket it is on, or move its plug to where the mix leaves.",
    good=[
        "destinations: {recorder: {kind: recorder, plugged_into: desk/out/1, expects: house.mono}}\nfeeds: {desk/out: {1: house.mono}}"
    ],
    bad=[
        Bad(
            "destinations: {singer-wedge: {plugged_into: west-box/out/3}}",
            (
                "singer-wedge (west-box/out/3) receives nothing: no mix is sent to desk/link-1/3. It expects singer-mon.",
            ),
        ),
        Bad(
            "devices: {east-box: {output_bank: 17-24}}",
            (
                "everything on east-box is on the wrong slots: its selector is on 17-24, where no mix of theirs is sent. "
                "Dead: house-left, house-right.",
            ),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a dead output, or one a box whose selector explains all of its dead outputs."""
    for group in output_mixups(rig):
        if all(row.departure.signal is None for row in group):
            if banks := bank_cures(rig, group):
                yield _box(rig, group, banks)
            else:
                yield _unsent(rig, group)
    for destination, departure, wanted in rig.outputs():
        if wanted is None and departure.stop == "not-fed":
            where = departure.slot or departure.socket
            message = f"{destination.name} ({departure.socket}) receives nothing: no mix is sent to {where}."
            place = rig.place((*destination.trail, "plugged_into"), destination.name)
            yield Finding(message, (place,), (Cure(f"send a mix to {where}"),))


def _box(rig: ResolvedRig, group: list[WrongOutput], banks: list[Cure]) -> Finding:
    device = about(rig, group)
    names = tuple(dict.fromkeys(row.destination.name for row in group))
    message = (
        f"everything on {device} is on the wrong slots: its selector is on {rig.device(device).output_bank}, where no "
        f"mix of theirs is sent. Dead: {', '.join(names)}."
    )
    places = [rig.place(("devices", device, "output_bank"), device)]
    places += [rig.place((*row.destination.trail, "plugged_into"), row.destination.name) for row in group]
    cures = (*banks, *plug_cures(rig, group), *feed_cures(rig, group))
    return Finding(
        message,
        tuple(places),
        cures,
        {"destinations": len(names)},
        members=names,
    )


def _unsent(rig: ResolvedRig, group: list[WrongOutput]) -> Finding:
    rows = [
        f"{row.destination.name} ({row.departure.socket}) receives nothing: no mix is sent to {rig.sent_at(row.departure)}"
        for row in group
    ]
    names = tuple(dict.fromkeys(row.destination.name for row in group))
    wanted = ", ".join(dict.fromkeys(str(row.wanted) for row in group))
    cures = (*plug_cures(rig, group), *feed_cures(rig, group)) or tuple(own_output_cures(rig, group))
    return Finding(
        f"{listed(rows, '; ')}. {'It expects' if len(names) == 1 else 'They expect'} {wanted}.",
        tuple(rig.place((*row.destination.trail, "plugged_into"), row.destination.name) for row in group),
        cures,
        {"destinations": len(names)},
        members=names,
    )
