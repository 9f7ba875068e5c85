"""A no-go is on disk the moment it is said: what was seen may come later, even at the next start."""

from __future__ import annotations

import signal

from torture import ITEM, spawn

from lint.record.ledger import Ledger
from lint.record.recurring import recurring
from lint.record.walks import past_walks


def test_a_no_go_is_written_down_before_its_words_are_asked(session, ways) -> None:
    text = ways.typed(session, ["n"]).text
    assert text.index("NO-GO recorded") < text.index("What do you see, hear or read instead?")
    [answer] = session.state.given
    assert (answer.answer, answer.seen) == ("no-go", None)
    assert session.reasons()[0] == "No-go: west-box, output bank: 1–8 — seen: no words yet"


def test_killed_before_the_words_it_stays_a_no_go_and_the_words_are_asked_on_resume(small) -> None:
    child = spawn(small.rig)
    child.expect(ITEM)
    child.sendline("n")
    child.expect("instead\\? $")
    child.kill(signal.SIGKILL)
    child.wait()
    child.close()
    shown = small.run(["bank 17–24", "h", "", "q"], "--by", "A. Adams").stdout
    assert "A. Adams said no-go, and the words are missing: west-box, output bank: 1–8" in shown
    assert "Answered before: ✗ NO-GO: bank 17–24 (by A. Adams" in shown
    with Ledger(small.ledger_path, reading=True) as ledger:
        assert [entry.kind for entry in ledger.entries()][1:] == ["answer", "resumed", "seen", "answer"]
        assert ledger.verify().broken is None
        [row] = past_walks(ledger, ledger.verify())
    assert "seen at bank/west-box: bank 17–24, by A. Adams" in small.run([], "1", check="history").stdout
    assert [entry.body["item"] for entry in row.entries if entry.kind == "answer"] == ["bank/west-box", "bank/east-box"]


def test_the_words_stand_with_the_no_go_wherever_it_is_told(session, small, ways) -> None:
    from lint.handover.walked import failures
    from lint.record.export import as_csv

    ways.typed(session, ["n", "bank 17–24", "turned it", "g"])
    with Ledger(small.ledger_path) as ledger:
        again = small.session(ledger)
        again.open("B. Brown", fresh=True)
        ways.typed(again, ["n", "bank 9–16", ""])
        walks = past_walks(ledger, ledger.verify())
    assert [row.seen for row in failures(walks[0])] == ["bank 17–24"]
    assert "bank 17–24" in as_csv(walks)
    [often] = recurring(walks)
    assert [row.seen for row in often.failures] == ["bank 17–24", "bank 9–16"]
    assert session.state.given[0].seen == "bank 17–24"


def test_the_numbers_come_with_the_words(full_house, ways) -> None:
    with Ledger(full_house.ledger_path) as ledger:
        session = full_house.session(ledger)
        session.open("A. Adams")
        item = session.state.plan.by_key["plugs/west-box/in/1-8"]
        session.answer(item, ways.Given("no-go", words_later=True))
        session.words(item, "4: dead", ["4"])
        assert session.state.answers[item.key].seen == "4: dead"
        assert session._entries[-1].body["about"] == ["ribbon", "west-box/in/4", "west-box"]
