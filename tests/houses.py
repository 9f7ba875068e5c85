"""A small house to walk, for the tests of the walk and the record."""

from __future__ import annotations

from pathlib import Path

from lint.check.example import BASE

# One row of every kind that a checklist can be written over; a walk of it with nothing wrong.
FULL = """\
event: {name: Harvest evening, date: 2026-11-25, doors: "18:30"}
crew: {lead: L. Lead, stage: S. Stage}
devices:
  desk:     {location: mix position, circuit: hall}
  west-box: {location: stage left, circuit: stage-left}
power:
  circuits:
    hall:       {volts: 230, breaker_a: 16}
    stage-left: {volts: 230, breaker_a: 16, residual_current_device: true, location: stage left}
sources:
  ribbon:  {kind: ribbon-microphone, label: Old ribbon, plugged_into: west-box/in/4}
  headset: {kind: wireless-receiver, label: Headset 1,  plugged_into: west-box/in/5}
channels:
  4: {label: Ribbon,  carries: ribbon,  patched_from: desk/link-1/4}
  5: {label: Headset, carries: headset, patched_from: desk/link-1/5}
mixes:
  house: {takes: {channels: [1-5]}}
  ears:  {kind: monitor, takes: {channels: {2: {level_db: -4, tap: pre-fader}}}}
feeds:
  desk/link-1: {2: ears}
destinations:
  choir-ears: {kind: ear-transmitter, plugged_into: west-box/out/2, expects: ears}
"""


def write_house(folder: Path, rig: str = FULL) -> Path:
    """Write the house of the rules' base example with one rig, `rigs/sunday.yaml`, and return its folder."""
    (folder / "rigs").mkdir(parents=True)
    (folder / "house.yaml").write_text(BASE, encoding="utf-8")
    (folder / "rigs" / "sunday.yaml").write_text("extends: ../house.yaml\n" + rig, encoding="utf-8")
    return folder
