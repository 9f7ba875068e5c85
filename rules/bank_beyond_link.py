"""A bank lies past the slots that the link has."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, Severity, rule
from lint.resolve.chain import Chain
from lint.resolve.mixup import nested
from lint.rules._cabling import kilohertz
from lint.rules._capacity import explained_by_rate, rates_that_fit
from lint.rules._output_cures import banks_that_fit
from lint.rules._outputs import SAFETY

_WHY = """\
A link carries fewer slots at a higher sample rate. A selector that points past them leaves sockets with nothing on
them, at any level."""


@rule(
    title="The selected output bank lies past the slots of the link",
    severity="no-go or caution",
    family="outputs",
    why=_WHY,
    do="Choose a bank inside the link's slots, or run at a lower sample rate.",
    source="common practice; 48 slots at 44.1/48 kHz: AES50-2011; 24 at 88.2/96 kHz: from memory",
    good=["devices: {east-box: {output_bank: 41-48}}\nfeeds: {desk/link-1: {15-16: null, 47-48: house}}"],
    bad=[
        Bad(
            "clock: {sample_rate_hz: 96000}\ndevices: {east-box: {output_bank: 41-48}}",
            (
                "east-box is on output bank 41-48, but the link has 24 slots at 96000 Hz. Dead outputs: house-left, house-right.",
            ),
        )
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a box whose bank runs past the link; a caution where nothing hangs on the dead sockets."""
    for chain in rig.chains.values():
        rate = rig.device(chain.link.device).sample_rate_hz or rig.rig.sample_rate_hz
        for box in chain.boxes:
            if not box.output_slots or box.output_slots[-1] <= chain.capacity:
                continue
            device = rig.device(box.device)
            if device.model.outputs.by_selector and device.output_bank not in device.model.outputs.selector:
                continue
            dead = [
                destination.name
                for destination, socket, _ in rig.box_outputs.get(box.device, ())
                if socket.number <= len(box.output_slots) and box.output_slots[socket.number - 1] > chain.capacity
            ]
            bank = device.output_bank or f"{box.output_slots[0]}-{box.output_slots[-1]}"
            message = f"{box.device} is on output bank {bank}, but the link has {chain.capacity} slots at {rate} Hz."
            if dead:
                message += f" Dead outputs: {', '.join(dict.fromkeys(dead))}."
            yield Finding(
                message,
                (rig.place((*device.trail, "output_bank"), box.device),),
                _cures(rig, box.device, chain),
                {"slots": chain.capacity, "sample_rate_hz": rate},
                severity=None if dead else Severity.CAUTION,
                explains=frozenset(_same_cause(rig, chain) if dead else ()),
            )


def _same_cause(rig: ResolvedRig, chain: Chain) -> Iterator[tuple[str, str]]:
    """Yield what a lower rate would put right as well; what nobody hears of is not the heavier half of it."""
    silent = any(socket not in rig.slot_of for socket in rig.sources_in if socket.device in _devices(chain))
    yield from (key for key in explained_by_rate(rig, chain) if not silent or key[0] == "socket-missing")


def _devices(chain: Chain) -> set[str]:
    return {box.device for box in chain.boxes}


def _cures(rig: ResolvedRig, device: str, chain: Chain) -> tuple[Cure, ...]:
    cures = [
        Cure(f"set {device}'s selector to {bank}", nested(("devices", device, "output_bank"), bank))
        for bank in banks_that_fit(rig, device)
    ]
    if (rates := rates_that_fit(rig, chain)) and not any(row.sample_rate_hz for row in rig.rig.devices.values()):
        cures.append(Cure(f"run the whole rig at {kilohertz(rates[0])}", {"clock": {"sample_rate_hz": rates[0]}}))
    return tuple(cures) or (
        Cure(
            f"set {device}'s selector to a bank inside the link's slots that no other box is on, and send its feeds there"
        ),
    )
