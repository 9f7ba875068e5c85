"""Something is lost in a rig of which a circuit is dark already: what comes by the dark does not arrive, and is saved."""

from __future__ import annotations

import pytest
from test_both_ends import CATALOGUE, MODELS, rig_of

from lint.plan.cures import FEWEST
from lint.plan.edit import CannotDoError
from lint.plan.outage import outage_of
from lint.plan.rebuild import rebuilt
from lint.plan.whatif import what_if
from lint.resolve.dark import unlit
from lint.resolve.resolved import ResolvedRig

NAMES = ("base", "few", "two_chains", "boxed")


def dark(name: str, circuit: str) -> ResolvedRig:
    return rebuilt(rig_of(name), {"power": {"circuits": {circuit: {"dark": True}}}}, MODELS)


@pytest.mark.parametrize(("name", "circuit"), [(name, each) for name in NAMES for each in rig_of(name).rig.circuits])
def test_a_dead_link_cable_is_laid_nowhere(name: str, circuit: str) -> None:
    file = dark(name, circuit)
    for cable in file.rig.cables:
        try:
            outage = outage_of(file, cable, MODELS)
        except CannotDoError:
            continue
        for each in (outage, *([outage.longer] if outage.longer else [])):
            assert cable not in each.after.rig.cables, (cable, each.words)


@pytest.mark.parametrize(("name", "circuit"), [(name, each) for name in NAMES for each in rig_of(name).rig.circuits])
def test_who_comes_by_the_dark_is_counted_as_silent_and_saved_where_there_is_room(name: str, circuit: str) -> None:
    file = dark(name, circuit)
    for console in (row.name for row in file.rig.consoles):
        plan = what_if(file, ["lose", "console", console], MODELS, CATALOGUE)
        gone = unlit(plan.after)
        if not plan.cures or console in gone:
            continue
        cure = plan.cures[FEWEST]
        wrong = " ".join(map(str, cure.unmet))
        for arrival in cure.result.arrivals.values():
            if arrival.channel.console not in {*gone, console} and arrival.socket and arrival.socket.device in gone:
                assert all(name in wrong for name in arrival.sources), (console, arrival.sources)
        # No plug of the cure ends where no channel takes it, unless its source lives by its phantom power there.
        assert not [step for step in cure.handlings if step.is_idle and step.start and step.start.device in gone]


@pytest.mark.parametrize(("name", "circuit"), [(name, each) for name in NAMES for each in rig_of(name).rig.circuits])
def test_dead_inputs_beside_the_dark_are_cabled_past_like_a_dead_box(name: str, circuit: str) -> None:
    """Whatever is lost besides, the boxes behind the dark are reached where the cables at hand reach."""
    file = dark(name, circuit)
    lit = [box for box in file.rig.boxes if box.name not in unlit(file) and file.is_reached(box.name)]
    for box in lit:
        card = outage_of(file, f"{box.name}/in/1", MODELS)
        alone = outage_of(file, circuit, MODELS)
        assert card.after.boxes.keys() == alone.after.boxes.keys(), box.name
        assert card.cabling == alone.cabling
        assert card.card == f"{box.name}/in/1"
