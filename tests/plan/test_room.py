"""What may be unplugged for those who are left: only what really saves somebody, held against a count by hand."""

from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st
from rigs import examples

from lint.check.catalogue import load_catalogue
from lint.check.engine import check_rig
from lint.plan.cures import Mending
from lint.plan.intent import intent_of
from lint.plan.outage import outage_of
from lint.plan.rescue import Spared
from lint.plan.spares import Rescuer
from lint.report.spares import spares_text
from lint.rig.model import Models

CATALOGUE = load_catalogue()
PRIORITY = st.integers(1, 9)


def two_consoles(lost: list[int], own: list[int | None], on_mon: list[int]) -> dict[str, Any]:
    """A box that will be lost, what is plugged into the one before it, and what another console hears by itself.

    The numbers are priorities; None is a player that no channel takes. The console of the boxes has no input free.
    """
    sources: dict[str, Any] = {}
    channels: dict[str, Any] = {}
    theirs: dict[str, Any] = {}
    for n, priority in enumerate(lost, start=1):
        sources[f"lost-{n}"] = {"kind": "dynamic-microphone", "plugged_into": f"b/in/{n}", "priority": priority}
        channels[str(n)] = {"carries": f"lost-{n}", "patched_from": f"desk/link-1/{4 + n}"}
    for n, own_priority in enumerate(own, start=1):
        sources[f"own-{n}"] = {"kind": "player", "plugged_into": f"a/in/{n}", "priority": own_priority or 1}
        if own_priority is not None:
            channels[str(4 + n)] = {"carries": f"own-{n}", "patched_from": f"desk/link-1/{n}"}
    for n in (1, 2):
        sources[f"desk-{n}"] = {"kind": "player", "plugged_into": f"desk/in/{n}", "priority": 1}
        channels[str(8 + n)] = {"carries": f"desk-{n}", "patched_from": f"desk/in/{n}"}
    for n, priority in enumerate(on_mon, start=1):
        sources[f"mon-{n}"] = {"kind": "dynamic-microphone", "plugged_into": f"mon/in/{n}", "priority": priority}
        theirs[str(n)] = {"carries": f"mon-{n}", "patched_from": f"mon/in/{n}"}
    return {
        "rig_format": 1,
        "devices": {
            "desk": {"model": "console-mini"}, "mon": {"model": "console-mini"},
            "a": {"model": "mini-4x4"}, "b": {"model": "mini-4x4"},
        },
        "cables": {
            "one": {"from": "desk/link-1", "to": "a/upstream"}, "two": {"from": "a/downstream", "to": "b/upstream"},
        },
        "sources": sources, "channels": channels, "consoles": {"mon": {"channels": theirs}},
    }  # fmt: skip


def rescued(built: Any, models: Models, data: dict[str, Any]) -> Spared:
    before = built(data)
    gone = outage_of(before, "b", models)
    mending = Mending(before, gone.after, intent_of(before), gone.dead, gone.dead, models)
    rescue = Rescuer(mending).rescue()
    return Spared(gone, rescue, check_rig(rescue.cure.result, CATALOGUE))


def pulled_by_hand(lost: list[int], own: list[int | None]) -> list[str]:
    """Return what is worth pulling: what nobody takes first, then the least important, while somebody more is left."""
    left = sorted(lost)[4 - len(own) :]
    order = sorted(range(len(own)), key=lambda n: (own[n] is not None, -(own[n] or 0)))
    pulled = []
    for n in order:
        if left and (own[n] is None or left[0] < (own[n] or 0)):
            pulled.append(f"own-{n + 1}")
            left.pop(0)
    return pulled


@examples(1)
@given(
    st.lists(PRIORITY, min_size=1, max_size=4),
    st.lists(st.none() | PRIORITY, max_size=4),
    st.lists(PRIORITY, max_size=2),
)
def test_only_what_saves_somebody_who_matters_more_is_to_be_unplugged(
    built: Any, models: Models, lost: list[int], own: list[int | None], on_mon: list[int]
) -> None:
    rescue = rescued(built, models, two_consoles(lost, own, on_mon)).rescue
    assert sorted(row.plug.source for row in rescue.room) == sorted(pulled_by_hand(lost, own))
    assert all(row.saves for row in rescue.room)
    assert rescue.free == 4 - len(own)  # not those of the console that hears none of the lost


def test_the_sockets_of_a_console_that_hears_none_of_the_lost_are_neither_named_nor_counted(
    built: Any, models: Models
) -> None:
    shown = spares_text(rescued(built, models, two_consoles([2, 3], [1, 1, 1], [9])))
    assert "1 finds a socket, 1 does not (1 free that any of them could use)." in shown
    assert "lost-2 (channel 2 on desk)" in shown
    assert "mon-1" not in shown
    assert "Nothing was found that matters less by its priority" in shown
    shown = spares_text(rescued(built, models, two_consoles([2, 3], [1, 8, 1], [9])))
    told = "To make room, unplug what matters less by its priority, the first first: own-2 (a/in/2) for lost-2."
    assert told in " ".join(shown.split())
