"""What a house may set about a rule, and what nobody may."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from lint.check.finding import Severity
from lint.check.rule import Rule
from lint.read.problem import Problem
from lint.rig.rig import Rig, Setting


def setting_problems(rig: Rig, rules: Mapping[str, Rule]) -> Iterator[Problem]:
    """Yield what is wrong with the settings of known rules: one that can't be waived made weaker, a limit too far."""
    for setting in rig.settings.values():
        rule = rules.get(setting.rule)
        if rule is None:
            continue
        yield from _out_of_range(rig, setting, rule)
        if rule.guards_people or not rule.waivable:
            yield from _weaker(rig, setting, rule)


def _out_of_range(rig: Rig, setting: Setting, rule: Rule) -> Iterator[Problem]:
    """Refuse a limit that would switch the rule off unseen, or let it find everything."""
    for name, value in setting.limits.items():
        limit = rule.limits.get(name)
        if limit is None or limit.allows(value):
            continue
        message = f"{rule.id}: {name} is {value:g}, expected {limit.range} ({limit.meaning})"
        if not limit.unit and 1 < value <= 100:
            message += f"; {value:g} % is written {value / 100:g}"
        yield Problem(*rig.document.locate((*setting.trail, "limits", name)), message)


def _weaker(rig: Rig, setting: Setting, rule: Rule) -> Iterator[Problem]:
    """Refuse to switch off or to lower what can't be waived, or guards people: that would waive all of it for good."""
    asked = [("off", "switched off")] if setting.off else []
    if setting.severity and Severity(setting.severity).rank > rule.heaviest.rank:
        asked.append(("severity", f"lowered from {rule.heaviest.value} to {setting.severity}"))
    for key, words in asked:
        why = ", just as it can't be waived: put right what it finds, and"
        if rule.waivable:
            why = (
                ": it looks after what may shock or burn somebody. Put right what it finds, or waive that by name; and"
            )
        message = f"{rule.id} can't be {words}{why} take `{key}` out"
        yield Problem(*rig.document.locate((*setting.trail, key)), message)
