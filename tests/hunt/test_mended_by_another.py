"""Another in the place of a suspect that does it: what was muted, down or without phantom power is as before."""

from __future__ import annotations

import pytest
from rigs import BASE, resolved
from test_every_cause import begun
from test_powered_legs import hall
from test_splits import TWO_DESKS

from lint.hunt.causes import DEAD
from lint.hunt.target import target_of
from lint.resolve.resolved import ResolvedRig


def cures(rig: ResolvedRig, what: str, cause: str) -> list[str]:
    rows = [row for row in begun(rig, target_of(rig, what), DEAD).suspects if row.cause.name == cause]
    assert rows
    return [row.filled(row.cause.cure) for row in rows]


def test_the_phantom_power_that_went_off_for_a_borrowed_microphone_is_on_again() -> None:
    (cure,) = cures(hall(), "violin", "source-broken")
    assert cure.endswith(
        "; see that phantom power is on again by channels 17–19 on desk, and bring up again slowly what is still muted "
        "or down"
    )
    (dry,) = cures(resolved(TWO_DESKS.read_text()), "kick", "source-broken")
    assert "phantom" not in dry
    assert dry.endswith("; bring up again slowly what is still muted or down")


@pytest.mark.parametrize("cause", ["input-broken", "split-broken", "link-bad"])
def test_so_it_is_after_every_other_test_that_is_put_back_in_words(cause: str) -> None:
    for cure in cures(hall(), "bass", cause):
        assert "bring up again slowly what is still muted or down" in cure


def test_the_plug_of_a_borrowed_split_microphone_goes_back_into_the_split() -> None:
    rig = resolved(
        TWO_DESKS.read_text(),
        "sources: {vox: {priority: 9}}",
    )
    (part,) = [part for part in begun(rig, target_of(rig, "kick"), DEAD).parts if part.name == "source kick"]
    assert "put vox back into the split voxsplit, and leave kick as it was" in part.words["lent_back"]
    one = resolved(BASE)
    (part,) = [part for part in begun(one, target_of(one, "vocal"), DEAD).parts if part.name == "source vocal"]
    assert "split" not in part.words["lent_back"]
