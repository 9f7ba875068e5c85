"""Rules that several houses share: each in a module of its own, whose name is the rule's id."""

from collections.abc import Iterable

from lint import Rule, hookimpl
from tallow_rules import lavalier_gain


@hookimpl
def rigwalk_rules() -> Iterable[Rule]:
    """Return the rules of this package."""
    return [lavalier_gain.check]
