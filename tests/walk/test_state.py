"""The state that is kept up entry by entry, against one worked out from all entries at once."""

from __future__ import annotations

import random

import pytest

from lint.walk.answer import Answer
from lint.walk.entry import ANSWER, CHANGED, CURE, REOPENED, Entry
from lint.walk.items import SECOND
from lint.walk.state import replay

LIST = {
    "links": [
        '{id: bank, role: stage, killer: true, for_each: boxes, challenge: "{box.name}, bank: {box.bank}"}',
        '{id: plain, role: stage, challenge: "Covers: on"}',
    ],
    "levels": [
        '{id: level, role: house-mixer, killer: true, measure: {unit: dB, min: 60, max: 70}, challenge: "Level: 60 to 70 dB"}',
    ],
}


def is_waited_for(plan, call, entries: list[Entry]) -> bool:
    """Whether anything that a call speaks of, the last of everything, was not settled after these entries."""
    counting, _, differs, *_ = at_once(plan, entries, calls_unsaid=False)
    last = max(item.phase for item in plan.items)
    rows = [item.key for item in plan.items if not item.is_call and call.phase in (last, item.phase)]
    settled = {key for key, answer in counting.items() if answer.answer in ("go", "not-applicable")} - set(differs)
    return not settled.issuperset(rows)


def at_once(plan, entries: list[Entry], calls_unsaid: bool = True) -> tuple[dict, dict, dict, dict, dict, int]:
    """Work out what counts from all entries together: the slow and plain way."""
    latest: dict[str, Answer] = {}
    reopened: dict[str, Answer] = {}
    holds: dict[str, int] = {}
    cures: dict[str, str] = {}
    last_change = 0
    for entry in entries:
        if entry.kind in (ANSWER, CHANGED, REOPENED):
            last_change = entry.seq
        if entry.kind == ANSWER:
            answer = Answer.of(entry)
            before = latest.get(answer.item)
            again = before is not None and (before.answer, before.asked) == ("hold", answer.asked)
            holds[answer.item] = (holds[answer.item] + 1 if again else 1) if answer.answer == "hold" else 0
            latest[answer.item] = answer
            reopened.pop(answer.item, None)
            if answer.answer == "no-go":
                cures.pop(answer.item.removeprefix("second/"), None)
        elif entry.kind == REOPENED:
            for key in entry.body["items"]:
                holds.pop(key, None)
                if key in latest:
                    reopened[key] = latest.pop(key)
        elif entry.kind == CURE:
            cures[entry.body["item"]] = entry.body["cure"]
    counting, outdated, differs = counted(plan, latest, reopened)
    for call in [item for item in plan.items if item.is_call and item.key in counting]:
        if calls_unsaid and any(
            is_waited_for(plan, call, entries[: count + 1])
            for count in range(len(entries))
            if entries[count].seq >= counting[call.key].seq
        ):
            outdated[call.key] = counting.pop(call.key)
    held = {key: times for key, times in holds.items() if times and key in counting}
    return counting, outdated, differs, held, cures, last_change


def counted(plan, latest: dict[str, Answer], reopened: dict[str, Answer]) -> tuple[dict, dict, dict]:
    counting, outdated, differs = {}, dict(reopened), {}
    for key, answer in latest.items():
        item = plan.by_key.get(key)
        (counting if item is not None and item.asked == answer.asked else outdated)[key] = answer
    for item in plan.items:
        second, first = counting.get(item.key), counting.get(item.second_of)
        if not item.second_of or second is None:
            continue
        if first is None or first.seq > second.seq or first.answer not in ("go", "not-applicable"):
            outdated[item.key] = counting.pop(item.key)
        elif second.answer not in (first.answer, "hold"):  # whoever is second here did look
            differs[item.second_of] = second
    return counting, outdated, differs


def kept_up(state) -> tuple[dict, dict, dict, dict, dict, int]:
    held = {item.key: times for item in state.plan.items if (times := state.times_held(item))}
    return state.answers, state.outdated, state.differs, held, state.cures, state.last_change


@pytest.fixture
def sessions(house):
    house.phases(**LIST)
    with house.opened() as first, house.opened("B. Brown") as second:
        yield first, second


def step(chance: random.Random, session, ways) -> None:
    """Do something that may be done, at random."""
    state = session.state
    items = [item for item in state.plan.items if state.status(item) != "waiting"]
    items = [item for item in items if not (item.is_call and state.waits(item.phase))]
    item = chance.choice(items)
    what = chance.random()
    if what < 0.1:
        session.reopen(chance.sample(items, 2))
    elif what < 0.2:
        session.cure(state.plan.by_key.get(item.second_of, item), "turned")
    else:
        answer = chance.choice(["go", "go", "go", "no-go", "hold", "not-applicable"])
        value = chance.choice([50, 65]) if item.measure and answer == "go" else None
        person = "C. Clark" if item.second_of else ""
        session.answer(item, ways.Given(answer, value, "seen so", "because"), person)


@pytest.mark.parametrize("seed", range(12))
def test_incremental_is_the_same_as_a_full_replay(sessions, house, ways, seed) -> None:
    """Two terminals at random, and a change of the rig on the way: after every step both come to the same."""
    chance = random.Random(seed)
    for number in range(40):
        session = chance.choice(sessions)
        if number == 25:
            house.write("extends: ../house.yaml\nevent: {name: Sunday}\ndevices: {east-box: {output_bank: 17-24}}\n")
        session.refresh()
        step(chance, session, ways)
        assert kept_up(session.state) == at_once(session.state.plan, session._entries)
        assert session.state == replay(session.state.plan, session._entries)
    for session in sessions:
        session.refresh()
    assert sessions[0].state == sessions[1].state


def test_a_joint_answer_is_both_peoples(sessions, ways) -> None:
    session = sessions[0]
    first = session.state.plan.by_key["bank/west-box"]
    second = session.state.plan.by_key[f"{SECOND}/bank/west-box"]
    session.answer(first, ways.Given("go"))
    session.answer(second, ways.Given("no-go", seen="off"), "B. Brown")
    session.answer(first, ways.Given("go"), "A. Adams", "B. Brown")
    assert session.state.status(first) == session.state.status(second) == "go"
    assert session.state == replay(session.state.plan, session._entries)


def test_an_answer_is_taken_in_without_a_replay(sessions, ways, monkeypatch) -> None:
    """However long the walk, one answer reads and takes in what is new alone, another terminal's too."""
    session, other = sessions
    taken: list[tuple[int, int]] = []
    whole = type(session.state).take
    monkeypatch.setattr(
        type(session.state), "take", lambda state, entry: (taken.append((id(state), entry.seq)), whole(state, entry))[1]
    )
    item = session.state.plan.by_key["plain"]
    for _ in range(5):
        other.note(None, "seen")
        session.answer(item, ways.Given("go"))
    assert len(taken) == len(set(taken)) == 20, "ten entries, each once at either terminal"
