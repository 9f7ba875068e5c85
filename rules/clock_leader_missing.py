"""An island of digital devices has no clock leader."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.mixup import merged
from lint.rig.rig import Device
from lint.rules._cabling import joined
from lint.rules._islands import SAFETY, islands, name_leaders

_WHY = """\
Digital audio passes from device to device only in step. With nobody to lead, each runs on its own clock, and samples
slip: clicks, dropouts, or silence. At one part in a million apart that is a click every twenty seconds at 48 kHz."""


@rule(
    title="Devices that exchange digital audio have no clock leader",
    severity="no-go",
    family="clock",
    why=_WHY,
    do="Let one device of each island lead (usually the console), and all the others follow the link.",
    source="AES11 (one reference signal locks all equipment); common practice",
    good=["clock: {leader: west-box}\ndevices: {desk: {clock_from: link}}"],
    bad=[
        Bad(
            "clock: {leader: null}",
            ("no clock leader is named for desk, west-box and east-box, which exchange digital audio.",),
        ),
        Bad(
            "devices: {desk: {clock_from: link}}",
            ("desk is named as the clock leader of west-box and east-box, but takes its own clock from the link.",),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding an island without a leader; silent where the rig says nothing about its clock."""
    leaders = rig.rig.leaders
    if leaders is None:
        return
    named_leaders = frozenset(leaders)
    for island in islands(rig):
        named = [device for device in island if device.name in named_leaders]
        own = [device for device in island if device.clock_from == "internal"]
        if leaders and not named and any(fault.kind == "unreached" for fault in rig.cabling.faults):
            continue  # the cable that is missing parts it from its leader
        if any(device.clock_from != "link" for device in named) or len(own) > 1:
            continue  # it is led, or has several that would: clock-leader-two tells that
        if named:
            others = joined(device.name for device in island if device is not named[0])
            message = (
                f"{named[0].name} is named as the clock leader of {others}, but takes its own clock from the link."
            )
        else:
            message = f"no clock leader is named for {joined(d.name for d in island)}, which exchange digital audio."
        first = named[0] if named else (own or _fit(island))[0]
        yield Finding(
            message,
            (
                rig.place((*first.trail, "clock_from"), first.name),
                rig.place(("clock",), "clock", at_key=True),
            ),
            tuple(_cures(leaders, island, named, own)),
            {"devices": len(island)},
        )


def _fit(island: list[Device]) -> list[Device]:
    """Return the devices of an island, those first that usually lead: what has a clock of its own, then consoles."""
    return sorted(island, key=lambda device: (device.clock_from == "link", device.model.kind != "console"))


def _cures(leaders: tuple[str, ...], island: list[Device], named: list[Device], own: list[Device]) -> Iterator[Cure]:
    if named and not own:
        text = f"set the clock of {named[0].name} to internal"
        yield Cure(text, {"devices": {named[0].name: {"clock_from": "internal"}}})
        return
    lead = (own or _fit(island))[0]
    change = name_leaders([*(name for name in leaders if name not in {d.name for d in named}), lead.name])
    if lead.clock_from == "link":
        change = merged((change, {"devices": {lead.name: {"clock_from": "internal"}}}))
    yield Cure(f"name {lead.name} as the leader under clock/leader, and set all others to follow the link", change)
