"""An island of digital devices has two clock leaders."""

from collections.abc import Iterator
from typing import Any

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.rig.rig import Device
from lint.rules._cabling import joined
from lint.rules._islands import SAFETY, islands, name_leaders

_WHY = """\
Two clocks never run quite alike. Between two leaders samples slip: clicks that come and go, and that nobody can find
by pulling plugs. Ten parts in a million apart is a click every two seconds at 48 kHz."""


@rule(
    title="Devices that exchange digital audio have two clock leaders",
    severity="no-go",
    family="clock",
    why=_WHY,
    do="Let one lead, and set every other device of the island to follow the link.",
    source="AES11 (one reference signal locks all equipment); common practice",
    good=["devices: {desk: {clock_from: internal}, west-box: {clock_from: link}}"],
    bad=[
        Bad(
            "devices: {west-box: {clock_from: internal}}",
            (
                "desk, west-box and east-box have two clock leaders: desk (named), and west-box (on its internal clock).",
            ),
        ),
        Bad(
            "clock: {leader: [desk, east-box]}",
            ("desk, west-box and east-box have two clock leaders: desk (named), and east-box (named).",),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding an island with several leaders; silent where the rig says nothing about its clock."""
    leaders = rig.rig.leaders
    if leaders is None:
        return
    named_leaders = frozenset(leaders)
    for island in islands(rig):
        named = [d for d in island if d.name in named_leaders and d.clock_from != "link"]
        named.sort(key=lambda device: leaders.index(device.name))
        own = [d for d in island if d.clock_from == "internal" and d not in named]
        leading = [*named, *own]
        if len(leading) < 2:
            continue
        count = "two" if len(leading) == 2 else str(len(leading))
        told = [f"{d.name} ({'named' if d in named else 'on its internal clock'})" for d in leading]
        message = (
            f"{joined(d.name for d in island)} have {count} clock leaders: {', '.join(told[:-1])}, and {told[-1]}."
        )
        yield Finding(
            message,
            tuple(rig.place((*d.trail, "clock_from"), d.name) for d in (*leading[1:], leading[0])),
            tuple(_let_lead(leaders, leading, keep) for keep in leading),
            {"leaders": len(leading)},
        )


def _let_lead(leaders: tuple[str, ...], leading: list[Device], keep: Device) -> Cure:
    """Return the cure that leaves one leader and lets the others follow."""
    others = [device for device in leading if device is not keep]
    gone = {device.name for device in others}
    change: dict[str, Any] = name_leaders([*(name for name in leaders if name not in gone), keep.name])
    change["devices"] = {name: {"clock_from": "link"} for name in gone}
    name = "" if keep.name in leaders else ", name it under clock/leader"
    text = f"let {keep.name} lead{name}, and set the clock of {joined(d.name for d in others)} to follow the link"
    return Cure(text, change)
