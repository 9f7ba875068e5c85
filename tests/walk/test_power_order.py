"""What is powered when: a step waits for those before it, and loudspeakers for links, selectors, plugs and phantom power."""

from __future__ import annotations

import pytest

from lint.record.ledger import Ledger
from lint.walk.guards import Step

LISTS = ("full-walk", "short-walk", "close-down")


@pytest.fixture(params=LISTS)
def session(request, full_house):
    with Ledger(full_house.ledger_path) as ledger:
        opened = full_house.session(ledger, request.param)
        opened.open("A. Adams")
        yield opened


@pytest.fixture
def short(full_house):
    with Ledger(full_house.ledger_path) as ledger:
        opened = full_house.session(ledger, "short-walk")
        opened.open("A. Adams")
        yield opened


def steps(session) -> list:
    rows = [item for item in session.state.plan.items if item.step is not None]
    return sorted(rows, key=lambda item: item.step.number)


def walk(session, ways, stop_at, most: int = 500) -> None:
    """Answer go, with a second person, to whatever is asked; hold what `stop_at` says."""
    for _ in range(most):
        item = session.state.next_item()
        if item is None:
            return
        least = item.measure.least if item.measure else None
        given = ways.Given("hold") if stop_at(item) else ways.Given("go", least)
        session.answer(item, given, "S. Second" if item.second_of else "")


@pytest.mark.parametrize("answer", ["hold", "no-go"])
def test_a_step_that_is_held_or_a_no_go_stops_every_later_one(session, ways, answer) -> None:
    """Up: amplifiers last; down: amplifiers first; whichever phase a step stands in."""
    first, *later = steps(session)
    assert first.step.number == 1 and later, "there is an order"
    while (item := session.state.next_item()) is not None:
        least = item.measure.least if item.measure else None
        given = ways.Given("go", least)
        if item == first:
            if session.state.status(item) == answer == "no-go":
                break
            given = ways.Given(answer, seen="dark")
        session.answer(item, given, "S. Second" if item.second_of else "")
    assert [session.state.status(item) for item in later] == ["open"] * len(later)
    assert all(session.state.held_back_by(item) == first for item in later)
    session.answer(first, ways.Given("go"))
    assert session.state.held_back_by(later[0]) in (None, *session.state.plan.items)
    assert session.state.held_back_by(later[0]) != first


def test_what_does_not_apply_stops_nothing(session, ways) -> None:
    first, second, *_ = steps(session)
    session.answer(first, ways.Given("not-applicable", reason="not here today"))
    assert session.state.held_back_by(second) != first


@pytest.mark.parametrize(
    ("checklist", "words"),
    [("full-walk", ("link-feed/", "bank-selector/", "plugs/", "phantom-on/")), ("short-walk", ("box/", "plugs/"))],
)
def test_loudspeakers_wait_for_links_selectors_plugs_and_phantom_power(full_house, checklist, words) -> None:
    with Ledger(full_house.ledger_path) as ledger:
        session = full_house.session(ledger, checklist)
        session.open("A. Adams")
        held = [next(item for item in session.state.plan.items if item.key.startswith(word)) for word in words]
        phantom = [item for item in session.state.plan.items if item.key in ("phantom-off", "phantom-on")]
        loud = [item for item in steps(session) if item.step.is_loud]
        assert loud and phantom
        for wanted in (*held, *phantom):
            guards = session.state.plan.guards.single[loud[0].key]
            assert wanted in guards
            if wanted.second_person:
                assert session.state.plan.by_key[f"second/{wanted.key}"] in guards


def test_a_plug_that_is_held_keeps_the_amplifiers_off(short, ways) -> None:
    plug = next(item for item in short.state.plan.items if item.key.startswith("plugs/"))
    walk(short, ways, lambda item: item == plug)
    loud = [item for item in steps(short) if item.step.is_loud]
    assert [short.state.status(item) for item in loud] == ["open"] * len(loud)
    assert short.state.held_back_by(loud[0]) == plug
    quiet = [item for item in steps(short) if not item.step.is_loud]
    assert {short.state.status(item) for item in quiet} == {"go"}
    short.answer(plug, ways.Given("go"))
    ways.walk_on(short)
    assert [short.state.status(item) for item in loud] == ["go"] * len(loud)


def test_the_screen_says_what_waits_for_a_step_and_what_a_step_waits_for(short, ways) -> None:
    first, *later = steps(short)
    while short.state.next_item() != first:
        item = short.state.next_item()
        short.answer(item, ways.Given("go"), "S. Second" if item.second_of else "")
    text = " ".join(ways.typed(short, ["h the breaker", f"o {later[0].challenge[:30]}"]).text.split())
    waiting = short.state.waiting_on(first)
    assert {step.key for step in later} < {item.key for item in waiting}, "and whatever is heard from loudspeakers"
    assert f"Held, and {len(waiting)} items wait for it. Nothing else can be asked before it." in text
    assert f"That waits: before it comes “{first.challenge}” (stage)." in text


def test_a_step_is_counted_by_its_number_wherever_it_is_listed(house, ways) -> None:
    """A house's own list, amplifiers written first."""
    house.checklist(
        """\
checklist_format: 1
title: Upside down
phases:
  - id: power
    title: Power
    mode: read-do
    completion: Power complete
    items:
      - {id: loud, role: stage, for_each: power_on, when: {is_loud: true}, challenge: "{step.devices}: on"}
      - {id: quiet, role: stage, for_each: power_on, when: {is_loud: false}, challenge: "{step.devices}: on"}
"""
    )
    with Ledger(house.ledger_path) as ledger:
        session = house.session(ledger)
        session.open("A. Adams")
        asked = []
        while not (item := session.state.next_item()).is_call:
            asked.append(item.step)
            session.answer(item, ways.Given("go"))
    assert [step.number for step in asked] == list(range(1, len(asked) + 1))
    assert asked[-1] == Step("power_on", len(asked), is_loud=True)


def test_taking_the_mark_away_needs_a_reason_that_the_walk_shows(house) -> None:
    from lint.read.problem import CannotReadError

    text = "extends: full-walk\nphases:\n  - id: plugs\n    items:\n      - id: plugs\n        before_loud: false\n"
    house.checklist(text)
    with pytest.raises(CannotReadError, match="that loudspeakers go on only after plugs; say why"):
        house.basis()
    house.checklist(text + "        because: the stage is patched in the morning\n")
    assert house.basis().template.left_out == (
        "that loudspeakers go on only after plugs — the stage is patched in the morning",
    )


def test_nothing_is_heard_from_loudspeakers_that_were_not_switched_on(short, ways) -> None:
    """A plug that is a no-go keeps them off; then no wedge and no mix can be said to be heard."""
    plugs = next(item for item in short.state.plan.items if item.key.startswith("plugs/"))
    while (item := short.state.next_item()) is not None:
        least = item.measure.least if item.measure else None
        given = ways.Given("no-go", seen="half out") if item == plugs else ways.Given("go", least)
        short.answer(item, given, "S. Second" if item.second_of else "")
    loud = [item for item in steps(short) if item.step.is_loud]
    assert {short.state.status(item) for item in loud} == {"open"}
    titles = {phase.id: number for number, phase in enumerate(short.state.plan.phases)}
    heard = [number for name, number in titles.items() if name.partition("/")[0] in ("monitors", "house-system")]
    later = [item for item in short.state.plan.items if item.phase in heard and not item.is_call and not item.second_of]
    assert later and {short.state.status(item) for item in later} == {"open"}
    waiting = {item.key for item in short.state.waiting_on(plugs)}
    assert {item.key for item in later} <= waiting
    short.answer(plugs, ways.Given("go"))
    walk(short, ways, lambda _: False)
    assert {short.state.status(item) for item in (*loud, *later)} == {"go"}


def test_a_loudspeaker_that_did_not_come_on_holds_nothing_else_back(short, ways) -> None:
    loud = [item for item in steps(short) if item.step.is_loud]
    while (item := short.state.next_item()) is not None:
        least = item.measure.least if item.measure else None
        given = ways.Given("no-go", seen="the left one is dark") if item in loud else ways.Given("go", least)
        short.answer(item, given, "S. Second" if item.second_of else "")
    assert {short.state.status(item) for item in short.state.plan.items if item.key.startswith("monitor-mix/")} == {
        "go"
    }
