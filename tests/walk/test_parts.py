"""Phases in parts: at most nine items a role before a pause, in whatever rig."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from big_rig import big_rig

from lint.record.seal import digest_of
from lint.walk.basis import load_basis
from lint.walk.items import Plan
from lint.walk.template import bundled_checklists

DEMO = Path(__file__).parents[2] / "lint" / "demo" / "rigs"


def most_in_a_phase(plan: Plan) -> int:
    """The most items of one role in any phase but the line check; second looks are another person's."""
    counts = Counter(
        (item.phase, item.role)
        for item in plan.items
        if not item.is_call and not item.second_of and not plan.phases[item.phase].unbroken
    )
    return max(counts.values())


@pytest.mark.parametrize("name", bundled_checklists())
@pytest.mark.parametrize("sources", [8, 200])
def test_no_role_has_more_than_nine_items_before_a_pause(tmp_path: Path, today, name: str, sources: int) -> None:
    """R01 on rigs of any size."""
    rig = tmp_path / "rig.yaml"
    rig.write_text(big_rig(sources), encoding="utf-8")
    assert most_in_a_phase(load_basis(rig, name, digest_of, today).plan) <= 9


@pytest.mark.parametrize("name", bundled_checklists())
@pytest.mark.parametrize("week", ["clean-week.yaml", "faulty-week.yaml"])
def test_the_demos_weeks_have_no_more_either(today, name: str, week: str) -> None:
    assert most_in_a_phase(load_basis(DEMO / week, name, digest_of, today).plan) <= 9


def test_the_regular_weeks_walk_is_short(today) -> None:
    """Some seventy questions for 36 sources in three boxes, of which the busiest role has a third.

    Three are about the console's own plugs, and one about all that is neither a monitor nor a loudspeaker of the house.
    Six are there because they can hurt: residual-current devices, what hangs or is stacked, loads and reels, phantom
    power off once the console is lit (on a dark one nobody sees it), ringing wedges and the level in the house.
    """
    plan = load_basis(DEMO / "clean-week.yaml", "short-walk", digest_of, today).plan
    work = [item for item in plan.items if not item.second_of and not item.is_call]
    assert len(work) <= 58
    assert max(Counter(item.role for item in work).values()) <= 21
    assert len(plan.items) <= 83


def test_each_part_has_its_own_call_and_killers_stay_first(today) -> None:
    plan = load_basis(DEMO / "clean-week.yaml", "full-walk", digest_of, today).plan
    calls = [item.challenge for item in plan.items if item.is_call and "Wireless" in item.challenge]
    assert calls == ["Say aloud: “Wireless, part 1 of 2, complete”", "Say aloud: “Wireless complete”"]
    for number in range(len(plan.phases)):
        killers = [item.killer for item in plan.items if item.phase == number and not item.second_of]
        assert killers == sorted(killers, reverse=True), plan.phases[number].title
        assert [item.is_call for item in plan.items if item.phase == number][-1]
