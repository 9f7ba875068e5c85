"""A performer's tablet may move the house mix, or another performer's."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.mixup import nested
from lint.rig.plant import Tablet
from lint.rules._cabling import joined

_WHY = """\
One finger in the wrong place, in the dark and in the middle of a song, and the whole room or another performer's ears get
louder. Nobody at the console sees whose finger it was."""


@rule(
    title="A performer's tablet may move the house mix or another's mix",
    severity="caution",
    family="control",
    why=_WHY,
    do="Give the tablet its performer's own monitor mix alone; set this where the console grants the rights.",
    good=[
        "remote_control: {singer-tablet: {own_mix: singer-mon, may_change: [singer-mon]}}",
        "remote_control: {crew-tablet: {of: crew, may_change: [house, singer-mon]}}",
    ],
    bad=[
        Bad(
            "remote_control: {singer-tablet: {own_mix: singer-mon, may_change: [house, singer-mon]}}",
            ("singer-tablet, a performer's, may move house, a house mix.",),
        ),
        Bad(
            "mixes: {choir-mon: {kind: monitor, takes: {channels: [2]}}}\n"
            "remote_control: {singer-tablet: {own_mix: singer-mon, may_change: [choir-mon, house]}}",
            ("singer-tablet, a performer's, may move house, a house mix, and choir-mon, not its own.",),
        ),
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a tablet; where no own mix is stated, its monitor mixes are not judged."""
    for tablet in rig.rig.tablets.values():
        if tablet.of != "performer":
            continue
        house = [name for name in tablet.may_change if rig.rig.mixes[name].kind == "house"]
        others = [name for name in tablet.may_change if name not in house and _is_others(rig, tablet, name)]
        if not house and not others:
            continue
        parts = [f"{joined(house)}, {'a house mix' if len(house) == 1 else 'house mixes'}"] if house else []
        parts += [f"{joined(others)}, not its own"] if others else []
        yield Finding(
            f"{tablet.name}, a performer's, may move {', and '.join(parts)}.",
            (rig.place((*tablet.trail, "may_change"), tablet.name),),
            (_cure(tablet, [name for name in tablet.may_change if name not in (*house, *others)]),),
            {"house_mixes": len(house), "others_mixes": len(others)},
        )


def _is_others(rig: ResolvedRig, tablet: Tablet, name: str) -> bool:
    if tablet.own_mix is None:
        return rig.rig.mixes[name].kind != "monitor"
    return name != tablet.own_mix


def _cure(tablet: Tablet, left: list[str]) -> Cure:
    if left:
        change = nested((*tablet.trail, "may_change"), left)
        return Cure(f"let {tablet.name} move {joined(left)} alone", change)
    return Cure(f"take {tablet.name} off the console, or let it move its own mix alone", nested(tablet.trail, None))
