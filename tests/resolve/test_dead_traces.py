"""A trace of a dead console, and of what hangs on it, says that it is dead and nothing that is not so."""

from __future__ import annotations

import pytest
from rigs import BASE, resolved

from lint.resolve.trace import trace_signal

DEAD = "dead: {desk: no lamp}\nsources: {player: {kind: player, plugged_into: desk/in/1}}\nchannels: {9: {carries: player, patched_from: desk/in/1}}"
ENDS = "desk is dead (no lamp), so nothing gets through"


def told(what: str) -> tuple[list[str], list[str]]:
    steps = [step for trace in trace_signal(resolved(BASE, DEAD), what) for step in trace.every()]
    return [step.text for step in steps if step.stops], [step.text for step in steps]


@pytest.mark.parametrize("what", ["desk", "player", "wedge-mix", "desk/in/1"])
def test_it_says_that_the_console_is_dead(what: str) -> None:
    stops, every = told(what)
    assert ENDS in stops
    assert not [text for text in every if "selector takes" in text or "no channel is patched" in text]


def test_what_hangs_on_its_links_is_told_as_it_is_cabled() -> None:
    assert "desk/link-1: west-box, east-box" in told("desk")[1]
    assert "desk/link-2: nothing hangs on it" in told("desk")[1]


def test_a_console_that_works_is_told_as_before() -> None:
    steps = [step for trace in trace_signal(resolved(BASE), "desk") for step in trace.every()]
    assert not [step for step in steps if step.stops]
