"""What if: a change of a rig with all that follows from it, and the ways to mend that."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

from lint.check.catalogue import Catalogue
from lint.check.engine import Checked, check_rig
from lint.check.finding import Finding, Severity, Verdict
from lint.plan.asked import Asked, Coming
from lint.plan.cures import WAYS, Cure, Mending
from lint.plan.distance import Lack, lacks
from lint.plan.edit import Edit
from lint.plan.effect import Effect, effect_between
from lint.plan.exchanging import put_in
from lint.plan.intent import intent_of, unmet_channels
from lint.plan.outputs import OutputCure
from lint.plan.plug import InputCure
from lint.plan.rebuild import as_living
from lint.plan.relaying import plugged_again, relaying
from lint.plan.words import edits_of, patch_between
from lint.resolve.dark import dark_in
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Socket
from lint.rig.model import Models
from lint.rig.rig import Channel

TOO_SHORT = "link-cable-short"  # told of the change itself, with what is to be fetched


class PhantomAstray(NamedTuple):
    """A channel with phantom power on that gets other sources than it should, or reaches what must not have it.

    `harmed` are those, by its own socket or by the switch that this shares with others.
    """

    channel: Channel
    wanted: str
    gets: tuple[str, ...]
    harmed: tuple[str, ...]


@dataclass(frozen=True)
class WhatIf:
    """A rig before and after its edits."""

    before: ResolvedRig
    after: ResolvedRig
    edits: Sequence[Edit]
    models: Models
    catalogue: Catalogue

    @property
    def dead(self) -> frozenset[str]:
        """The devices and destinations that no longer work."""
        return self.before.dead_consoles.union(*(edit.dead for edit in self.edits))

    @cached_property
    def patch(self) -> Mapping[str, Any]:
        """All edits as one merge patch of the rig's data."""
        return patch_between(self.before, self.after)

    @cached_property
    def effect(self) -> Effect:
        """What is different."""
        return effect_between(self.before, self.after, self.dead)

    @cached_property
    def checked(self) -> Checked:
        """The full check of the rig as it would be."""
        return check_rig(self.after, self.catalogue)

    @cached_property
    def mending(self) -> Mending:
        """What there is to mend."""
        settled = frozenset().union(*(edit.settled for edit in self.edits))
        before = as_living(self.before, self.models)
        intent = intent_of(before)
        dead = self.dead.union(dark_in(self.after))
        return Mending(before, self.after, intent, dead, settled, self.models, self.asked, self.before)

    @property
    def asked(self) -> Asked:
        """Whether all that is asked about has failed, some of it, or nothing; what has, and which boxes are others."""
        lost = [edit.lost for edit in self.edits]
        coming = Coming.LOST if all(lost) else Coming.PARTLY if any(lost) else Coming.PLANNED
        return Asked(coming, frozenset(filter(None, lost)), frozenset(self.bared))

    @cached_property
    def lacks(self) -> tuple[Lack, ...]:
        """The link cables whose way is longer than they are, once the edits are made."""
        return lacks(self.before, self.after)

    @property
    def is_go(self) -> bool:
        """Whether no rule finds a no-go in the changed rig."""
        return self.is_go_with(None)

    def is_go_with(self, way: str | None) -> bool:
        """Whether the rig is a go once a cure is done, where one is named and anything is to be mended."""
        checked = self.cured(way) if way is not None and way in self.cures else self.checked
        return checked.verdict is not Verdict.NO_GO

    @cached_property
    def phantom_astray(self) -> tuple[PhantomAstray, ...]:
        """The channels with phantom power on where another source arrives then, or that bring it to what it harms."""
        astray = {channel for channel, _ in unmet_channels(self.mending.intent, self.after, self.dead)}
        rows = []
        for key, arrival in self.after.arrivals.items():
            channel = arrival.channel
            harmed = tuple(name for name, channels in self.harmed.items() if channel in channels)
            if channel.phantom == "on" and (harmed or (arrival.sources and channel in astray)):
                wanted = self.mending.intent.channels.get(key, "")
                rows.append(PhantomAstray(channel, str(wanted), arrival.sources, harmed))
        return tuple(rows)

    @cached_property
    def harmed(self) -> Mapping[str, Sequence[Channel]]:
        """The sources that phantom power reaches then, and must not, with the channels that it is on at."""
        already = self.before.phantom.harmed
        return {name: channels for name, channels in self.after.phantom.harmed.items() if name not in already}

    @cached_property
    def doing(self) -> Cure:
        """What is muted and switched off around the edits themselves, nothing being mended."""
        return self.mending.built("change", InputCure(), OutputCure())

    @property
    def made(self) -> tuple[str, ...]:
        """The steps in which the edits themselves are made, nothing being mended; what fails makes itself."""
        return self.made_without(())

    def made_without(self, out: Collection[Socket]) -> tuple[str, ...]:
        """Return the steps in which the edits are made where a cure takes plugs `out`: they don't go in again."""
        made = [edit for edit in self.edits if not edit.lost]
        if not made or not (self.patch or self.moves_plugs):
            return ()
        again = (step for name in self.bared for step in plugged_again(self.before, self.after, name))
        then = (step for edit in made for step in edit.then)
        on = (step for name in self.bared for step in put_in(self.before, self.after, name, out))
        steps = (*then, *again, *self.relaid, *(step for edit in made for step in edit.at_last), *on)
        by = f", by the next {f'{len(steps)} steps' if len(steps) > 1 else 'step'}" if steps else ""
        return (f"now make the change{by}: {'; '.join(edit.words for edit in made)}", *steps)

    @property
    def bared(self) -> tuple[str, ...]:
        """The boxes that others are put in the place of: every plug of theirs comes out."""
        return tuple(edit.bared for edit in self.edits if edit.bared in self.before.rig.devices)

    @cached_property
    def relaid(self) -> tuple[str, ...]:
        """Which link cables go where for the change: all whose ends differ, whatever the edits say."""
        lost = [edit.lost for edit in self.edits if edit.lost]
        return relaying(self.before, self.after, lost, (*self.dead, *lost), self.bared)

    @property
    def moves_plugs(self) -> bool:
        """Whether plugs are pulled and plugged for the edits themselves."""
        return any(edit.then for edit in self.edits)

    @property
    def moves_links(self) -> bool:
        """Whether link cables are pulled and plugged for the edits."""
        return "cables" in self.patch or bool(self.bared)

    @property
    def wrong_channels(self) -> int:
        """How many channels do not get what they are meant to."""
        mending = self.mending
        return sum(1 for _ in unmet_channels(mending.intent, mending.rig, mending.dead))

    @cached_property
    def cures(self) -> Mapping[str, Cure]:
        """The cures by their way; none where nothing is wrong."""
        return {way: self.mending.cure(way) for way in WAYS} if self.mending.unmet else {}

    def is_new(self, finding: Finding) -> bool:
        """Whether a finding is there only since the edits."""
        return (finding.rule, finding.about) not in self._found_before

    @cached_property
    def _found_before(self) -> frozenset[tuple[str, str]]:
        return frozenset((found.rule, found.about) for found in check_rig(self.before, self.catalogue).findings)

    def cured(self, way: str) -> Checked:
        """The full check of the rig once a cure is done."""
        if way not in self._cured:
            self._cured[way] = check_rig(self.cures[way].result, self.catalogue)
        return self._cured[way]

    @cached_property
    def _cured(self) -> dict[str, Checked]:
        return {}

    def no_gos_left(self, way: str) -> list[Finding]:
        """Return the new no-gos that stand once all is done that a cure takes, fetching a link cable among it."""
        found = [row for row in self.cured(way).findings if row.weight is Severity.NO_GO and row.waived is None]
        return [row for row in found if self.is_new(row) and not (self.lacks and row.rule == TOO_SHORT)]

    def patch_with(self, way: str | None) -> Mapping[str, Any]:
        """Return the edits, and a cure where one is named, as one merge patch of the rig's data."""
        return patch_between(self.before, self.result(way))

    def result(self, way: str | None) -> ResolvedRig:
        """Return the rig after the edits, and after a cure where one is named and anything is to be mended."""
        return self.cures[way].result if way is not None and way in self.cures else self.after


def what_if(rig: ResolvedRig, words: Sequence[str], models: Models, catalogue: Catalogue) -> WhatIf:
    """Return what follows from the edits that `words` ask for. Raises CannotDoError."""
    edits, after = edits_of(rig, words, models)
    return WhatIf(rig, after, edits, models, catalogue)
