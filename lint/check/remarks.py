"""What a check says about its own settings and rules: what has no effect, and what nobody has seen work."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping

from lint.check.finding import Finding
from lint.check.own import REMOVAL_IDLE, RULE_UNPROVEN, SETTING_IDLE, own_finding
from lint.check.rule import Rule
from lint.rig.rig import Place, Rig, Setting


def remarks(rig: Rig, rules: Mapping[str, Rule], weighing: Container[str]) -> Iterator[Finding]:
    """Yield everything that there is to say; `weighing` are rules that gave some finding a severity of its own."""
    yield from _idle_removals(rig)
    yield from _idle_settings(rig, rules, weighing)
    yield from _unproven(rules.values())


def _idle_removals(rig: Rig) -> Iterator[Finding]:
    for removal in rig.idle_removals:
        yield own_finding(REMOVAL_IDLE, removal.message, Place(removal.file, removal.line, removal.column, "files"))


def _idle_settings(rig: Rig, rules: Mapping[str, Rule], weighing: Container[str]) -> Iterator[Finding]:
    """Tell of settings that change nothing: what they say is so without them."""
    for setting in rig.settings.values():
        if setting.rule not in rules:
            continue  # it could not be loaded, and that is told
        for why in _idle_parts(setting, rules[setting.rule], setting.rule in weighing):
            place = rig.place(setting.trail, f"rules/{setting.rule}", at_key=True)
            yield own_finding(SETTING_IDLE, f"the setting of {setting.rule} changes nothing: {why}", place)


def _idle_parts(setting: Setting, rule: Rule, weighs: bool) -> Iterator[str]:
    if setting.off:
        if setting.severity or setting.limits:
            yield "where the rule is off, no severity and no limit counts"
        return
    if not setting.severity and not setting.limits:
        yield "it has no severity, no limits and no `off`"
    if setting.severity == rule.severity.value and not weighs:
        yield f"the severity {setting.severity} is the rule's own"
    for name, value in setting.limits.items():
        if name in rule.limits and value == rule.limits[name].default:
            yield f"the limit {name} is {value:g} without it"


def _unproven(rules: Iterable[Rule]) -> Iterator[Finding]:
    """Tell of house rules that nobody has seen find anything, or let anything be."""
    for rule in rules:
        missing = [word for word, examples in (("good", rule.good), ("bad", rule.bad)) if not examples]
        if rule.file and missing:
            message = (
                f"the house rule {rule.id} has no {' and no '.join(missing)} example, so nobody knows that it works"
            )
            yield own_finding(RULE_UNPROVEN, message, Place(rule.file, 1, 1, f"rules/{rule.id}"))
