"""What the check itself says, about rules, waivers and removals: documented like the rules, and listed with them."""

from __future__ import annotations

from collections.abc import Iterator

from lint.check.finding import Cure, Finding, Severity
from lint.check.rule import Rule
from lint.resolve.resolved import ResolvedRig
from lint.rig.rig import Place

RULE_FAILED = "rule-failed"
WAIVER_UNUSED = "waiver-unused"
WAIVER_FORBIDDEN = "waiver-forbidden"
WAIVER_BY_ASKER = "waiver-by-asker"
WAIVER_LONG = "waiver-long"
WAIVERS_REPLACED = "waivers-replaced"
REMOVAL_IDLE = "removal-idle"
SETTING_IDLE = "setting-idle"
RULE_UNPROVEN = "rule-unproven"


def _by_the_engine(_rig: ResolvedRig) -> Iterator[Finding]:
    """Yield nothing: the engine gives these findings, for a rule sees only the rig."""
    yield from ()


def _own(rule_id: str, title: str, severity: Severity, family: str, why: str, do: str, waivable: bool = True) -> Rule:
    return Rule(rule_id, title, severity, family, why, do, "rigwalk itself", (), (), _by_the_engine, waivable=waivable)


OWN_RULES = {
    rule.id: rule
    for rule in (
        _own(
            RULE_FAILED,
            "A rule failed, or could not be loaded",
            Severity.NO_GO,
            "files",
            "What the rule looks after was not checked, and nobody knows how it stands.",
            "Give the message to whoever wrote the rule. Until it is mended, look after by hand what it checks, and "
            "switch it off under `rules:` with that as the reason; a package that can't be loaded is to be taken out.",
            waivable=False,
        ),
        _own(
            REMOVAL_IDLE,
            "A null removes what is not there",
            Severity.NOTE,
            "files",
            "Whoever wrote it thinks that something is gone; it may still be there, under another name.",
            "Write the name as it stands in the file that is extended, or take the line out.",
        ),
        _own(
            SETTING_IDLE,
            "A setting changes nothing",
            Severity.NOTE,
            "files",
            "Whoever wrote it thinks that the rule is set otherwise than it is.",
            "Take the setting out, or write what it is to change.",
        ),
        _own(
            RULE_UNPROVEN,
            "A house rule has no good or no bad example",
            Severity.CAUTION,
            "files",
            "A rule that nobody has seen find anything may never find anything; one that nobody has seen let anything "
            "be may find everything.",
            "Add a good and a bad example to the rule's file, and then: rigwalk rules try RULE",
        ),
        _own(
            WAIVER_UNUSED,
            "A waiver waives nothing",
            Severity.NOTE,
            "control",
            "What it was for is put right, or it names the wrong thing and what it means to accept still stands.",
            "Take the waiver out, or name under `about` what the finding is about.",
        ),
        _own(
            WAIVER_FORBIDDEN,
            "A waiver accepts what nobody may accept",
            Severity.NO_GO,
            "control",
            "Some findings are about what may hurt people; nobody can accept that for them.",
            "Take the waiver out, and put right what it was for.",
            waivable=False,
        ),
        _own(
            WAIVER_BY_ASKER,
            "A waiver is accepted by whoever asked for it",
            Severity.CAUTION,
            "control",
            "Whoever wants to be let off is a poor judge of what may go wrong; the waiver does not count.",
            "Have somebody else accept it, and write that name under `by`.",
            waivable=False,
        ),
        _own(
            WAIVER_LONG,
            "A waiver holds for more than a year",
            Severity.CAUTION,
            "control",
            "What is accepted once is looked at never again: people, gear and rooms change, and nobody remembers why. "
            "A year at the most is our own choice; to look at accepted risks once a year is common practice.",
            "End it within a year, and decide anew then; better still, put right what it is for.",
            waivable=False,
        ),
        _own(
            WAIVERS_REPLACED,
            "A list of waivers replaces the one that it extends",
            Severity.NOTE,
            "control",
            "A week's file says only what is different, but a list is taken as a whole: the house's waivers no longer "
            "count, and what they accepted stands.",
            "Copy those that still hold into this list, or write this week's waivers into the house's list, each with "
            "its own date.",
        ),
    )
}


def own_finding(rule_id: str, message: str, *places: Place, do: str = "") -> Finding:
    """Return a finding of the check itself, as its documentation weighs it; `do` where its advice does not fit."""
    rule = OWN_RULES[rule_id]
    return Finding(message, places, (Cure(do or rule.do),), rule=rule.id, family=rule.family, severity=rule.severity)
