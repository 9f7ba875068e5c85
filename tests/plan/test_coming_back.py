"""What has no mains gets them back some time: nothing has phantom power from both ends then, nor while plugs leave it."""

from __future__ import annotations

import re

import pytest
from test_both_ends import MODELS, planned, rig_of, spared

from lint.plan.rebuild import change_between, rebuilt
from lint.resolve.resolved import ResolvedRig

LOST = [(name, circuit) for name in ("base", "few", "two_chains") for circuit in rig_of(name).rig.circuits]


def fed_twice(rig: ResolvedRig) -> set[str]:
    rows = rig.rig.sources.values()
    return {source.name for source in rows if source.needs_phantom and len(rig.phantom.live_at(source)) > 1}


def with_mains(before: ResolvedRig, planned: ResolvedRig) -> ResolvedRig:
    """Return a planned rig once the mains are back and the link cables are as they were."""
    old, now = before.rig.document.data, planned.rig.document.data
    return rebuilt(planned, {key: change_between(now.get(key), old.get(key)) for key in ("power", "cables")}, MODELS)


@pytest.mark.parametrize(("name", "circuit"), LOST)
def test_nothing_is_fed_from_both_ends_once_the_mains_are_back(name: str, circuit: str) -> None:
    before = rig_of(name)
    cures = [*planned(f"lose circuit {circuit}", name).cures.values()]
    assert all(name in " ".join(map(str, cure.unmet)) for cure in cures for name in cure.quiet.out.values())
    for cure in (*cures, spared(circuit, name)[0].rescue.cure):
        twice = fed_twice(with_mains(before, cure.result)) - fed_twice(before)
        # What hangs behind it has its own mains: there the steps say that the plug comes out first.
        assert all(f"{name} out of " in " ".join(cure.quiet.first) for name in twice), cure.way


@pytest.mark.parametrize(("name", "circuit"), LOST)
def test_what_a_plug_with_phantom_power_leaves_is_kept_off_meanwhile(name: str, circuit: str) -> None:
    before = rig_of(name)
    cure = spared(circuit, name)[0].rescue.cure
    dark = [device for device in before.rig.devices.values() if device.circuit == circuit]
    kept = " ".join(re.findall(r"switch off (.*?) at (?:its|their) own", " ".join(cure.quiet.first)))
    for device in dark:
        starts = [step.start for step in cure.handlings if step.start and step.start.device == device.name]
        if any(at.side == "in" and before.phantom.is_live(at) for at in starts):
            assert f"{device.name} (circuit {circuit}" in kept
            assert any(step.startswith("have ") and f"{device.name}" in step for step in cure.quiet.last)


def test_link_cables_between_two_dark_things_stay_where_they_are() -> None:
    """Taken out they would help nobody, and be missing once the mains are back."""
    before = rig_of("base")
    for circuit in before.rig.circuits:
        dark = {device.name for device in before.rig.devices.values() if device.circuit == circuit}
        then = planned(f"lose circuit {circuit}").after
        for name, cable in before.rig.cables.items():
            if all(end.device in dark for end in cable.ends):
                assert then.rig.cables[name].ends == cable.ends
