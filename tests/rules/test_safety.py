"""Whatever has hands on plugs, mains, loudspeakers or clocks says its caution; nothing is ever called safe."""

from __future__ import annotations

import re

import pytest

from lint.check.catalogue import load_catalogue
from lint.check.rule import Rule

RULES = load_catalogue().rules
# What is put right at a desk or on paper, with nothing live to touch.
HARMLESS = {
    "channel-double-patch", "patch-block-wrong", "mix-empty", "mix-unheard", "monitor-after-fader", "monitor-latency",
    "level-clips", "level-headroom", "level-noise", "delay-misaligned", "link-cable-coiled-spare", "memory-not-saved",
    "remote-may-change-house", "role-unfilled", "effects-before-fader", "effects-unreturned", "only-through-effects",
    "pair-half-in-mix", "preamplifier-two-gains", "signal-twice", "talkback-in-house",
}  # fmt: skip


@pytest.mark.parametrize("rule", RULES.values(), ids=list(RULES))
def test_the_caution_is_there_where_it_belongs(rule: Rule) -> None:
    assert bool(rule.safety) is (rule.id not in HARMLESS)


@pytest.mark.parametrize("rule", [rule for rule in RULES.values() if rule.family == "power"], ids=lambda r: r.id)
def test_mains_defers_to_codes_and_a_licensed_person(rule: Rule) -> None:
    assert "codes" in rule.safety and "licensed" in rule.safety


@pytest.mark.parametrize("rule", RULES.values(), ids=list(RULES))
def test_nothing_is_called_safe(rule: Rule) -> None:
    words = " ".join((rule.title, rule.why, rule.do, rule.safety, *(text for bad in rule.bad for text in bad.gives)))
    assert not re.search(r"\b(un)?safe(ly)?\b", words, re.IGNORECASE)
