"""Mistakes with the plugs of amplifiers, and with outputs that two things are plugged into."""

from __future__ import annotations

from collections.abc import Iterator

from bench import Base, Site, kind, words
from kinds_outputs import TO_HOUSE

from lint.rig.address import Socket
from lint.rig.plant import Amplifier

WRONG = "amplifier-input-wrong"


def plugged(base: Base) -> list[Amplifier]:
    """Return the amplifiers that say where they are plugged in."""
    return [amplifier for amplifier in base.resolved.rig.amplifiers.values() if amplifier.sockets]


def outputs(base: Base) -> Iterator[Socket]:
    """Yield every output socket that signals get to."""
    for device in base.resolved.rig.devices.values():
        if base.resolved.is_reached(device.name):
            for number in range(1, device.model.outputs.count + 1):
                yield Socket(device.name, "out", number)


@kind("socket-missing")
def amplifier_in_no_socket(base: Base) -> Iterator[Site]:
    """The sheet names an output for an amplifier that the device does not have."""
    for amplifier in base.resolved.rig.amplifiers.values():
        for device in base.resolved.rig.devices.values():
            there = Socket(device.name, "out", device.model.outputs.count + 1)
            yield Site(f"{amplifier.name} in {there}", (((*amplifier.trail, "plugged_into"), str(there)),))


@kind(WRONG)
def amplifier_in_a_dead_output(base: Base) -> Iterator[Site]:
    """An amplifier is plugged into an output where nothing is sent."""
    dead = [socket for socket in outputs(base) if base.resolved.departure(socket).stop == "not-fed"]
    for amplifier in base.resolved.rig.amplifiers.values():
        for there in dead:
            yield Site(f"{amplifier.name} in {there}", (((*amplifier.trail, "plugged_into"), str(there)),))


@kind(WRONG, TO_HOUSE)
def amplifier_in_another_output(base: Base) -> Iterator[Site]:
    """An amplifier is plugged into an output that carries another mix than it expects."""
    for amplifier in plugged(base):
        for there in outputs(base):
            signal = base.resolved.departure(there).signal
            if amplifier.expects and signal is not None and signal not in amplifier.expects:
                yield Site(f"{amplifier.name} in {there}", (((*amplifier.trail, "plugged_into"), str(there)),))


@kind(TO_HOUSE)
def monitor_mix_to_an_amplifier(base: Base) -> Iterator[Site]:
    """A monitor mix is sent where an amplifier for the house is plugged in, and nothing says what it expects."""
    rig = base.resolved.rig
    for amplifier in plugged(base):
        lines = [output for output in amplifier.outputs if output.line_v is not None]
        monitors = [mix for mix in rig.mixes.values() if mix.kind == "monitor" and mix.width == "mono"]
        for mix in monitors if lines else ():
            for there in outputs(base):
                signal = base.resolved.departure(there).signal
                if signal is not None and signal.name == mix.name:
                    row = {key: value for key, value in base.at(amplifier.trail).items() if key != "expects"}
                    edits = ((amplifier.trail, {**row, "plugged_into": str(there)}),)
                    yield Site(f"{amplifier.name} gets {mix.name}", edits)


@kind("output-shared")
def two_plugs_in_one_output(base: Base) -> Iterator[Site]:
    """A second recorder is to hang on an output that something is plugged into already."""
    for destination, departure, wanted in base.resolved.outputs():
        if wanted is not None and wanted == departure.signal and len(destination.sockets) == 1:
            row = {"kind": "recorder", "plugged_into": str(departure.socket), "expects": words(wanted)}
            yield Site(f"beside {destination.name}", ((("destinations", "second-recorder"), row),))


@kind("output-shared")
def two_amplifiers_on_one_output(base: Base) -> Iterator[Site]:
    """A second amplifier is to hang on an output that one is plugged into already."""
    for amplifier in plugged(base):
        row = {**base.at(amplifier.trail), "label": "Another"}
        yield Site(f"beside {amplifier.name}", ((("amplifiers", "second-amplifier"), row),))


@kind("output-shared")
def recorder_on_an_amplifiers_output(base: Base) -> Iterator[Site]:
    """A recorder is to hang on the output that feeds an amplifier."""
    for amplifier in plugged(base):
        socket, expects = amplifier.sockets[0], words(amplifier.expects[0])
        row = {"kind": "recorder", "plugged_into": str(socket), "expects": expects}
        yield Site(f"beside {amplifier.name}", ((("destinations", "second-recorder"), row),))
