"""rigwalk: checks a digital sound rig before the doors open, and walks its crew to a signed go or no-go.

This is the public surface for rule authors and for programs: everything else may change without notice. A program asks
`check_file(path)`, and has the `verdict` and the `findings` of what it returns.

A rule is one function over a `ResolvedRig` that yields `Finding`s, made a `Rule` by the `rule` decorator. It stands in
a module of its own, whose name is the rule's. A package offers its rules through an entry point of the group
`rigwalk.rules` that names a module such as this one (`hall = "hall_rules"`):

    from lint import hookimpl
    from hall_rules.lectern_low import check  # @rule(title=..., severity="caution", family="plugs", why=..., do=...)

    @hookimpl
    def rigwalk_rules():
        return [check]

A severity is no-go, caution or note, and a family one of those that `rigwalk rules` lists. `rigwalk rules new --python`
writes a rule to begin with, and `lint.testing` holds rules to their own examples.

Names are loaded when they are first asked for, so that `rigwalk --help` does not wait for what it does not need.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lint.check.catalogue import Catalogue, hookimpl, load_catalogue
    from lint.check.engine import Checked, check_file, check_rig
    from lint.check.finding import Cure, Finding, Severity, Verdict
    from lint.check.rule import Bad, Limit, Rule, rule
    from lint.read.problem import CannotReadError, Problem
    from lint.resolve.resolved import Arrival, Departure, ResolvedRig, resolve_rig
    from lint.rig.address import Port, Return, Signal, Slot, Socket
    from lint.rig.build import load_rig
    from lint.rig.rig import Cable, Channel, Destination, Device, Effects, Feed, Mix, Place, Rig, Send, Source, Waiver

_HOME = {
    "lint.check.catalogue": ("Catalogue", "hookimpl", "load_catalogue"),
    "lint.check.engine": ("Checked", "check_file", "check_rig"),
    "lint.check.finding": ("Cure", "Finding", "Severity", "Verdict"),
    "lint.check.rule": ("Bad", "Limit", "Rule", "rule"),
    "lint.read.problem": ("CannotReadError", "Problem"),
    "lint.resolve.resolved": ("Arrival", "Departure", "ResolvedRig", "resolve_rig"),
    "lint.rig.address": ("Port", "Return", "Signal", "Slot", "Socket"),
    "lint.rig.build": ("load_rig",),
    "lint.rig.rig": (
        *("Cable", "Channel", "Destination", "Device", "Effects", "Feed"),
        *("Mix", "Place", "Rig", "Send", "Source", "Waiver"),
    ),
}
_MODULE_OF = {name: module for module, names in _HOME.items() for name in names}

__all__ = [
    "Arrival",
    "Bad",
    "Cable",
    "CannotReadError",
    "Catalogue",
    "Channel",
    "Checked",
    "Cure",
    "Departure",
    "Destination",
    "Device",
    "Effects",
    "Feed",
    "Finding",
    "Limit",
    "Mix",
    "Place",
    "Port",
    "Problem",
    "ResolvedRig",
    "Return",
    "Rig",
    "Rule",
    "Send",
    "Severity",
    "Signal",
    "Slot",
    "Socket",
    "Source",
    "Verdict",
    "Waiver",
    "check_file",
    "check_rig",
    "hookimpl",
    "load_catalogue",
    "load_rig",
    "resolve_rig",
    "rule",
]


if not TYPE_CHECKING:  # else a name that is not there would pass for anything

    def __getattr__(name: str) -> object:
        if name not in _MODULE_OF:
            raise AttributeError(f"module 'lint' has no attribute '{name}'")
        value = globals()[name] = getattr(import_module(_MODULE_OF[name]), name)
        return value

    def __dir__() -> list[str]:
        return sorted({*__all__, *(name for name in globals() if name.startswith("__"))})
