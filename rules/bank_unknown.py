"""A selector stands where the model has no position, or nobody says where."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.mixup import nested
from lint.rig.rig import Device
from lint.rules._inputs import unheard_of
from lint.rules._output_cures import banks_that_fit
from lint.rules._outputs import SAFETY

_WHY = """\
The selector decides which slots of the link leave a box. Where its position is not written down, or can't be set on
this box, nobody knows what its loudspeakers and wedges will carry."""


@rule(
    title="The selector position does not exist on the box, or none is stated where its outputs are used",
    severity="no-go",
    family="outputs",
    why=_WHY,
    do="Read the position off the box, and write it as `output_bank`.",
    good=[
        "devices: {spare-box: {model: stage-box-8x8}}\ncables: {tail: {from: east-box/downstream, to: spare-box/upstream}}"
    ],
    bad=[
        Bad(
            "devices: {east-box: {output_bank: 12-19}}",
            (
                "east-box is set to output bank 12-19, which its selector does not have (1-8, 9-16, 17-24, 25-32, 33-40, 41-48).",
            ),
        ),
        Bad(
            "devices: {west-box: {output_bank: null}}",
            ("west-box feeds singer-wedge, but its output bank is not stated.",),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a selector whose position is unknown."""
    for device in rig.rig.boxes:
        outputs, inputs = device.model.outputs, device.model.inputs
        used = [destination.name for destination, _, _ in rig.box_outputs.get(device.name, ())]
        if outputs.by_selector:
            yield from _selector(rig, device, "output", device.output_bank, outputs.selector, list(dict.fromkeys(used)))
        if inputs.by_selector:
            plugged = [
                name for socket, names in rig.sources_in.items() if socket.device == device.name for name in names
            ]
            yield from _selector(rig, device, "input", device.input_bank, inputs.selector, plugged)


def _selector(
    rig: ResolvedRig, device: Device, side: str, bank: str | None, positions: tuple[str, ...], used: list[str]
) -> Iterator[Finding]:
    if bank in positions or (bank is None and not used):
        return
    key = f"{side}_bank"
    if bank is None:
        verb = "feeds" if side == "output" else "takes"
        message = f"{device.name} {verb} {', '.join(used)}, but its {side} bank is not stated."
    else:
        message = (
            f"{device.name} is set to {side} bank {bank}, which its selector does not have ({', '.join(positions)})."
        )
    fitting = banks_that_fit(rig, device.name) if side == "output" else rig.input_banks_that_fit(device.name)
    whom = "all its destinations what they expect" if side == "output" else "every channel what it should carry"
    cures = [
        Cure(
            f"set it to {position}, which gives {whom}",
            nested((*device.trail, key), position),
        )
        for position in fitting
    ]
    yield Finding(
        message,
        (rig.place((*device.trail, key), device.name),),
        tuple(cures) or (Cure(f"read the position off {device.name} and write it as {key}"),),
        explains=frozenset(unheard_of(rig, [device.name])) if side == "input" else frozenset(),
    )
