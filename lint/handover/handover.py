"""All that a handover says, worked out once; the page and the JSON both come from it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from lint.change.pile import Told
from lint.change.told import tell_changes
from lint.check.engine import Checked
from lint.check.finding import Finding, Severity
from lint.check.own import WAIVER_FORBIDDEN, WAIVER_UNUSED
from lint.handover.since import Past, Since, compared_with, read_past
from lint.handover.walked import (
    Failure,
    Found,
    Recurring,
    failures,
    hunts_since,
    not_seen_go_since,
    reasons,
    recurring,
)
from lint.handover.went_by import WentBy, went_by
from lint.page.page import CARE
from lint.record.hunts import KEEP_OFF
from lint.record.put_back import Left
from lint.record.walks import PastWalk
from lint.rig.dead import DeadPart
from lint.rig.plant import Gear
from lint.rig.rig import Rig, Waiver
from lint.walk.answer import NO_GO

# From this many days before its end on, a waiver is a next step.
SOON_DAYS = 14


@dataclass(frozen=True)
class Handover:
    """What the next crew must know of a rig. `since` and `told` are None where there is nothing to compare with."""

    checked: Checked
    today: date
    past: Past
    since: Since | None
    told: list[Told] | None
    recurring: list[Recurring]
    went_by: WentBy | None = None

    @property
    def no_gos(self) -> list[Finding]:
        """The no-gos that stand."""
        return self._standing(Severity.NO_GO)

    @property
    def cautions(self) -> list[Finding]:
        """The cautions that are open."""
        return self._standing(Severity.CAUTION)

    def _standing(self, weight: Severity) -> list[Finding]:
        return [row for row in self.checked.findings if row.weight is weight and row.waived is None]

    @property
    def waivers(self) -> list[tuple[Waiver, int]]:
        """Every waiver with the days left from today; below zero it has ended."""
        return [(waiver, (waiver.until - self.today).days) for waiver in self.checked.resolved.rig.waivers]

    def is_idle(self, waiver: Waiver) -> bool:
        """Say whether a waiver accepts nothing that the check found."""
        place = self.checked.resolved.rig.place(waiver.trail, waiver.about)
        idle = (WAIVER_UNUSED, WAIVER_FORBIDDEN)
        return any(row.rule in idle and row.places[:1] == (place,) for row in self.checked.findings)

    @property
    def walks(self) -> list[tuple[str, PastWalk, Rig]]:
        """The walks that are told of, each with how it is named and the rig that it was of.

        While this rig's own walk is not signed, that is the walk of the rig that it is compared with, too.
        """
        rig, since, own = self.checked.resolved.rig, self.since, self.past.walk
        told = [("the walk", own, rig)] if own is not None else []
        is_same = own is not None and since is not None and since.walk is not None and own.number == since.walk.number
        if since is not None and since.walk is not None and not is_same and (own is None or own.verdict is None):
            name = f"the walk of {since.walk.rig} on {since.walk.begun[:10]}"
            told.insert(0, (name, since.walk, since.rig.rig))
        closed = self.past.closed
        return told if closed is None else [*told, (f"the close-down on {closed.begun[:10]}", closed, rig)]

    @property
    def earlier_failures(self) -> list[tuple[PastWalk, Failure]]:
        """What failed in walks before those that are told of, and was not seen go since."""
        told = {walk.number for _, walk, _ in self.walks}
        return not_seen_go_since(self.past.walks, told)

    @property
    def hunts(self) -> list[Found]:
        """What hunts found in this house since the last ten walks began, oldest first."""
        return hunts_since(self.past.hunts, self.past.walks, self.past.done)

    @property
    def open_cautions(self) -> list[str]:
        """The cautions that are open, with their cures; what to take care of stands once on the page."""
        told: dict[str, int] = {}
        for row in self.no_gos:
            self._advice(row, told)
        return [f"! {_sentence(row.message)}{self._advice(row, told)}" for row in self.cautions]

    def _advice(self, finding: Finding, told: dict[str, int]) -> str:
        """Return what to take care of, by the finding's rule, and only then how to cure it.

        Words of care are told in full once, with a number, and called to mind by that number after that.
        """
        rule = self.checked.catalogue.documented.get(finding.rule)
        cures = [cure.text for cure in finding.cures] or ([rule.do] if rule is not None else [])
        said = ""
        if rule is not None and rule.safety:
            words, is_new = " ".join(rule.safety.split()), rule.safety not in told
            number = told.setdefault(rule.safety, len(told) + 1)
            said = f" {CARE} {number}: {words}" if is_new else f" {CARE}: as {CARE} {number}."
        return said + (f" Cure: {'; or '.join(cure.rstrip('.') for cure in cures)}." if cures else "")

    @property
    def gear(self) -> list[Gear]:
        """What is borrowed, lent, broken or missing."""
        return list(self.checked.resolved.rig.gear.values())

    @property
    def dead(self) -> list[DeadPart]:
        """The input sockets and consoles that are dead."""
        return list(self.checked.resolved.rig.dead.values())

    @property
    def next_steps(self) -> list[str]:
        """What to do next, the most pressing first."""
        told: dict[str, int] = {}
        steps = [f"{_to_do(row)} what was {_sentence(row.words)}" for row in self.past.left]
        steps += [f"Put right: {_sentence(row.message)}{self._advice(row, told)}" for row in self.no_gos]
        steps += [
            f"Still open from {name}: {row.challenge}: seen {row.seen or 'not said'}"
            for name, walk, _ in self.walks
            for row in failures(walk)
            if not row.settled
        ]
        steps += [
            f"Look at it before anything starts; nobody did in {name}, or one alone: {row}"
            for name, walk, _ in self.walks
            for row in walk.signed_body.get("killers_not_looked_at", ())
        ]
        steps += [_earlier_step(walk, row) for walk, row in self.earlier_failures]
        steps += [
            f"Still not found: {row.about}, {row.symptom} on {row.on}: {row.cure}."
            for row in self.hunts
            if not row.is_found
        ]
        steps += self._to_sign()
        steps += [
            f"The waiver of {waiver.rule} for {waiver.about} waives nothing: take it out."
            if self.is_idle(waiver)
            else _waiver_step(waiver, days)
            for waiver, days in self.waivers
            if days <= SOON_DAYS or self.is_idle(waiver)
        ]
        steps += [f"Find out why it keeps failing: {row.challenge}" for row in self.recurring]
        steps += [_gear_step(row) for row in self.gear]
        steps += [f"Have {row.name} mended ({row.note}), then take it out of `dead:`." for row in self.dead]
        steps += [
            f"Save the memory of {memory.console} with this event's changes."
            for memory in self.checked.resolved.rig.memories.values()
            if not memory.after
        ]
        return steps

    def _to_sign(self) -> Iterator[str]:
        """Yield what to do about the record and the signature."""
        walk, broken = self.past.walk, self.past.broken
        if broken is not None:
            yield (
                f"Record {broken.seq} of the house does not hold: keep the file, ask who had it, move it away, and "
                "walk again."
            )
        if walk is not None and walk.signature.fault:
            yield "The record of the sign-off can't be trusted: ask who signed it, walk again, and sign anew."
        elif walk is not None and walk.overtaken:
            yield "A no-go came after the signed GO: cure it, walk on, and have the lead sign anew."
        elif self.past.own is None:
            yield "This rig as it stands is not signed off: walk it, and sign it off."
        elif walk is not None and walk.verdict == NO_GO:
            unpolled = any(reason.endswith("was not polled") for reason in reasons(walk))
            polled = " and poll everybody" if unpolled else ""
            yield f"It was signed no-go: when that is put right, walk it again{polled}, and sign it off."


def make_handover(checked: Checked, other: Path | None, today: date) -> Handover:
    """Work out the handover of a rig against `other`, or against the last sign-off.

    Raises CannotReadError, NothingToCompareError, RecordError.
    """
    rig = checked.resolved
    past = read_past(rig)
    since = compared_with(rig, past, other)
    told = tell_changes(since.rig, rig) if since else None
    return Handover(checked, today, past, since, told, recurring(past.walks), went_by(past.walk, checked))


def _sentence(text: str) -> str:
    return text if text.endswith((".", "!", "?")) else f"{text}."


def _to_do(row: Left) -> str:
    if row.is_broken:
        return "Have mended or replaced"
    return "Mind" if row.back == KEEP_OFF else "Put back"


def _earlier_step(walk: PastWalk, row: Failure) -> str:
    if row.settled:
        return f"Look at it again: {row.challenge}: it failed on {walk.begun[:10]} and no walk has seen it go since"
    return (
        f"Still open from the walk of {walk.rig} on {walk.begun[:10]}: {row.challenge}: seen {row.seen or 'not said'}"
    )


def _waiver_step(waiver: Waiver, days: int) -> str:
    if days < 0:
        return f"The waiver of {waiver.rule} for {waiver.about} has ended: cure what it waived, or ask {waiver.by}."
    return f"The waiver of {waiver.rule} for {waiver.about} ends in {counted_days(days)}: cure what it waives before."


def counted_days(days: int) -> str:
    """Return a number of days with its noun."""
    return "1 day" if days == 1 else f"{days} days"


def gear_words(gear: Gear) -> str:
    """Say what is the matter with a piece of gear."""
    what = gear.what or gear.name
    who = {"borrowed": "from", "lent": "to", "broken": "seen to by", "missing": "looked for by"}[gear.state]
    comma = "," if gear.state in ("broken", "missing") else ""
    parts = [f"{gear.state}{comma} {who} {gear.who}" if gear.who else gear.state]
    parts += [f"until {gear.until.isoformat()}" if gear.until else "", gear.note]
    return f"{what}: {', '.join(filter(None, parts))}"


def _gear_step(gear: Gear) -> str:
    what, by = gear.what or gear.name, f" by {gear.until.isoformat()}" if gear.until else ""
    to = f" to {gear.who}" if gear.who else ""
    get = f" from {gear.who}" if gear.who else ""
    return {
        "borrowed": f"Give back {what}{to}{by}.",
        "lent": f"Get back {what}{get}{by}.",
        "broken": f"Have {what} mended{by}" + (f" ({gear.who})." if gear.who else "."),
        "missing": f"Look for {what}{by}" + (f" ({gear.who})." if gear.who else "."),
    }[gear.state]
