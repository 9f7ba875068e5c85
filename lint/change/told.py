"""The changes from one rig to another in the words of the trade, each with what follows from it."""

from __future__ import annotations

from lint.change import tell_chain, tell_console, tell_rest, tell_stage
from lint.change.compare import changes_between
from lint.change.effects import add_effects
from lint.change.facts import facts_of
from lint.change.pile import PARTS, Pile, Told
from lint.resolve.resolved import ResolvedRig


def tell_changes(old: ResolvedRig, new: ResolvedRig) -> list[Told]:
    """Return what changed from one rig to another, part by part; each single change is told in one place alone.

    Causes take their consequences along: first the chain, then plugs, then the patch, then whatever is left.
    """
    pile = Pile(old, new, changes_between(facts_of(old.rig), facts_of(new.rig)))
    tell_chain.tell(pile)
    tell_stage.tell(pile)
    tell_console.tell(pile)
    tell_rest.tell(pile)
    if pile.told:
        add_effects(pile)
    return sorted(pile.told, key=lambda told: PARTS.index(told.part))
