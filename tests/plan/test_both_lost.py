"""Both ends of a split are lost: each is saved for its own console, with its phantom power, and pairs stay whole at both."""

from __future__ import annotations

import pytest
from test_both_ends import planned, rig_of, spared

from lint.plan.cures import FEWEST
from lint.plan.plug import halves_of
from lint.report.spares import _rehung
from lint.rig.address import Port, Slot, Socket

CUT = {"cables": {"de": None}}  # no console reaches box-e then, by the file


def test_each_plug_goes_to_where_its_own_console_hears_it() -> None:
    saved, steps = spared("box-c", "two_chains", CUT)
    rescue = saved.rescue
    at = {(plug.source, plug.leg): socket for plug, socket in rescue.places.items()}
    for name in ("organ-left", "organ-right", "radio"):
        heard = {channel.console for channel in rescue.cure.result.channels_of[name]}
        assert heard == {"desk", "mon"}, steps
        assert at[name, 0].device in {"box-a", "box-b", "desk"}
        assert at[name, 1].device in {"box-d", "mon"}
    assert not rescue.left
    assert {channel.console for plug, rows in rescue.channels.items() if plug.leg for channel in rows} == {"mon"}


def test_pairs_stay_whole_at_both_ends() -> None:
    saved, _ = spared("box-c", "two_chains", CUT)
    places = saved.rescue.places
    both = halves_of(saved.rescue.cure.result, places)
    assert {key for key in both if key[0] == "organ"} == {("organ", 0), ("organ", 1)}
    for left, right in both.values():
        assert places[left].device == places[right].device


def test_a_pair_is_not_torn_where_nearer_sockets_would_tear_it() -> None:
    """Of the first ends alone: a free socket of box-b is nearer to box-c than any two of box-a."""
    taken = {f"more-{n}": {"kind": "dynamic-microphone", "plugged_into": f"box-b/in/{n}"} for n in (3, 4)}
    saved, steps = spared("box-c", "two_chains", CUT | {"sources": taken})
    ends = {
        saved.rescue.places[plug].device
        for plug in saved.rescue.lost
        if plug.source.startswith("organ") and not plug.leg
    }
    assert len(ends) == 1, steps


def test_what_is_saved_is_not_silent_for_want_of_phantom_power() -> None:
    """The monitor console gave it, whose box is cut off by the file: the organ was silent for more reasons than one."""
    saved, steps = spared("box-c", "two_chains", CUT)
    result = saved.rescue.cure.result
    assert not {"organ-left", "organ-right"} & result.phantom.unpowered, steps
    off = next(index for index, step in enumerate(steps) if "box-e" in step and "switch off" in step)
    moved = [index for index, step in enumerate(steps) if step.startswith("organ") and "box-" in step]
    assert moved
    assert off < min(moved)


@pytest.mark.parametrize("words", ["lose box-c", "remove box-c"])
def test_a_cure_says_so_where_it_can_t(words: str) -> None:
    cure = planned(words, "two_chains", CUT).cures[FEWEST]
    silent = {name for name in ("organ-left", "organ-right") if name in cure.result.phantom.unpowered}
    told = " ".join(map(str, cure.unmet))
    assert all(name in told for name in silent)


def test_a_channel_that_hears_no_plug_waits_for_the_one_that_nobody_hears() -> None:
    saved, _ = spared("box-c", "two_chains", CUT)
    legs = {
        plug.leg: {row.console for row in rows}
        for plug, rows in saved.rescue.channels.items()
        if plug.source == "radio"
    }
    assert legs == {0: {"desk"}, 1: {"mon"}}


def test_a_plug_moves_only_once_no_other_of_its_source_may_have_phantom_power_from_what_nobody_reaches() -> None:
    rig = rig_of("two_chains", CUT)
    assert Socket("box-e", "in", 1) in rig.phantom.lingering
    assert rig.socket_at(Slot(Port("mon", "link-1"), 9)) is None
    plan = planned("lose box-c", "two_chains", CUT)
    for cure in plan.cures.values():
        if any(step.plug.startswith("organ") for step in cure.handlings):
            assert any(
                "box-e" in step and "at the mains" not in step and "switch off" in step for step in cure.quiet.first
            )


def test_a_box_that_has_mains_and_hangs_on_a_dead_console_is_named_where_room_is_short() -> None:
    saved, _ = spared("mon", "boxed")
    assert "have box-d on a console that lives (`whatif` with `and move box-d CONSOLE/LINK`" in _rehung(saved)
    assert not _rehung(spared("box-c", "boxed")[0])


def test_a_box_that_is_moved_robs_no_other_of_its_cable_whose_spare_comes_into_use() -> None:
    """Once box-d is gone from it, the spare of the trunk leads to box-e; the trunk itself stays where it is."""
    stage = {"desk": 0, "mon": 10, "box-a": 2, "box-b": 4, "box-c": 5, "box-d": 12, "box-e": 20}
    short = {"dl": {"length_m": 5}, "de": {"length_m": 10}}
    change = {"devices": {name: {"along_stage_m": at} for name, at in stage.items()}, "cables": short}
    plan = planned("move box-d desk/link-2", "two_chains", change)
    assert str(plan.after.rig.cables["trunk"].ends[0]) == str(plan.before.rig.cables["trunk"].ends[0])
    assert plan.after.is_reached("box-a")
    assert plan.after.boxes["box-d"].link == Port("desk", "link-2")
    assert "spare" in str(plan.patch["cables"]["trunk"])


def test_once_a_dead_console_is_back_the_sources_are_named_that_hang_at_its_slots_then() -> None:
    """With a new box first on its link, box-d has the slots of box-e: what was the organ's there is the choir's."""
    change = {
        "splits": {"snake": {"sources": ["organ-left", "organ-right", "radio", "choir-left"]}},
        "sources": {"choir-left": {"plugged_into": ["box-b/in/1", "box-d/in/1"]}},
        "consoles": {
            "mon": {"channels": {"4": {"carries": "choir-left", "patched_from": "mon/link-1/1", "phantom": "on"}}}
        },
        "channels": {"9": {"phantom": "off"}, "10": {"phantom": "off"}},
    }
    words = "lose mon and add box-f stage-box-8x8 behind mon/link-1"
    cure = planned(words, "two_chains", change).cures[FEWEST]
    (told,) = [step for step in cure.quiet.last if step.startswith("once mon is back")]
    assert "choir-left" in told
    assert "organ-left" not in told
