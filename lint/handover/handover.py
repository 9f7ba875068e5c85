"""All that a handover says, worked out once; the page and the JSON both come from it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from lint.change.pile import Told
from lint.change.told import tell_changes
from lint.check.engine import Checked
from lint.check.finding import Finding, Severity
from lint.handover.since import Past, Since, compared_with, read_past
from lint.handover.walked import Failure, Recurring, failures, recurring
from lint.rig.plant import Gear
from lint.rig.rig import Waiver

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
    failed: list[Failure]
    recurring: list[Recurring]

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

    @property
    def gear(self) -> list[Gear]:
        """What is borrowed, lent, broken or missing."""
        return list(self.checked.resolved.rig.gear.values())

    @property
    def next_steps(self) -> list[str]:
        """What to do next, the most pressing first."""
        steps = [f"Put right: {row.message}" + _cure(row) for row in self.no_gos]
        steps += [
            f"Still open from the walk: {row.challenge}: seen {row.seen}" for row in self.failed if not row.settled
        ]
        if self.past.own is None:
            steps.append("This rig as it stands is not signed off: walk it, and sign it off.")
        steps += [_waiver_step(waiver, days) for waiver, days in self.waivers if days <= SOON_DAYS]
        steps += [f"Find out why it keeps failing: {row.challenge}" for row in self.recurring]
        steps += [_gear_step(row) for row in self.gear]
        steps += [
            f"Save the memory of {memory.console} with this event's changes."
            for memory in self.checked.resolved.rig.memories.values()
            if not memory.after
        ]
        return steps


def make_handover(checked: Checked, other: Path | None, today: date) -> Handover:
    """Work out the handover of a rig against `other`, or against the last sign-off.

    Raises CannotReadError, NothingToCompareError, RecordError.
    """
    rig = checked.resolved
    past = read_past(rig)
    since = compared_with(rig, past, other)
    told = tell_changes(since.rig, rig) if since else None
    failed = failures(past.walk) if past.walk else []
    return Handover(checked, today, past, since, told, failed, recurring(past.walks, today))


def _cure(finding: Finding) -> str:
    return f" Cure: {'; or '.join(cure.text for cure in finding.cures)}." if finding.cures else ""


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
