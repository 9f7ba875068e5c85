"""rigwalk: checks a digital sound rig before the doors open, and walks its crew to a signed go or no-go.

This is the public surface for rule authors and for programs: everything else may change without notice.

A rule is one function over a `ResolvedRig` that yields `Finding`s, made a `Rule` by the `rule` decorator; a package
offers its rules through the entry-point group `rigwalk.rules` and the hook `rigwalk_rules` (mark it with `hookimpl`).
"""

from lint.check.finding import Cure, Finding, Severity, Verdict
from lint.check.rule import Bad, Limit, Rule, rule
from lint.resolve.resolved import Arrival, Departure, ResolvedRig, resolve
from lint.rig.address import Port, Return, Signal, Slot, Socket
from lint.rig.build import load_rig
from lint.rig.rig import Place, Rig

__all__ = [
    "Arrival",
    "Bad",
    "Cure",
    "Departure",
    "Finding",
    "Limit",
    "Place",
    "Port",
    "ResolvedRig",
    "Return",
    "Rig",
    "Rule",
    "Severity",
    "Signal",
    "Slot",
    "Socket",
    "Verdict",
    "load_rig",
    "resolve",
    "rule",
]
