"""What is typed and shown."""

from __future__ import annotations

import random
from io import StringIO

import pytest

from lint.record.ledger import Ledger
from lint.walk.screen import Screen
from lint.walk.state import replay

GO_ALL = ["g", "g", "g", "65", "g"]
SIGN = ["g", "g", "g", "L. Lead", "go"]


def test_a_whole_walk_is_signed_go(session, ways) -> None:
    shown = ways.typed(session, GO_ALL + SIGN)
    assert shown.go is True
    assert shown.walker.signed.body["verdict"] == "go"
    assert max(map(len, shown.text.splitlines())) <= 80
    assert "\x1b" not in shown.text


def test_each_item_shows_its_place_and_the_keys_on_one_line(session, ways) -> None:
    text = ways.typed(session, ["g"]).text
    assert "Phase 1 of 2 · item 1 of 3 · 5 of 5 left · stage\nNothing starts without this: a killer item.\n" in text
    assert "  ▶ west-box, output bank: 1–8" in text
    assert "g go  n no-go  h hold  x not applicable  l look  b back  o open  ? help  q stop\n" in text
    assert "✓ GO recorded" in text


def test_no_go_asks_what_is_seen_takes_the_cure_and_asks_again(session, ways) -> None:
    shown = ways.typed(session, ["n", "", "bank 9–16", "selector turned", "g"])
    answers = [(answer.item, answer.answer, answer.seen) for answer in session.state.given]
    assert answers == [("bank/west-box", "no-go", "bank 9–16"), ("bank/west-box", "go", None)]
    assert session.state.cures == {"bank/west-box": "selector turned"}
    assert shown.text.count("What do you see, hear or read instead?") == 2
    assert "Answered before: ✗ NO-GO: bank 9–16 (by A. Adams" in shown.text


def test_the_no_go_is_on_disk_before_the_cure_is_asked_for(session, ways) -> None:
    ways.typed(session, ["n bank 9–16"])
    assert session.state.answers["bank/west-box"].seen == "bank 9–16"


def test_back_goes_from_answer_to_answer_and_enter_leaves_one(session, ways) -> None:
    ways.typed(session, ["g", "g", "b", "b", "n wrong", "", "g", "turned it", "g"])
    assert [(answer.item, answer.answer) for answer in session.state.given] == [
        ("bank/west-box", "go"),
        ("bank/east-box", "go"),
        ("bank/west-box", "no-go"),
        ("bank/west-box", "go"),  # nothing starts without it: asked again at once
        ("completion-call/links", "go"),
    ]


def test_back_at_the_start_says_so_and_a_thousand_times_back_is_no_trouble(session, ways) -> None:
    assert "Nothing was answered before this." in ways.typed(session, ["b"]).text
    ways.typed(session, ["g", "g"])
    ways.typed(session, ["b"] * 2000)
    assert len(session.state.given) == 2


def test_open_items_are_listed_and_picked(session, ways) -> None:
    shown = ways.typed(session, ["h later", "o", "1", "g"])
    assert "1 ‖ hold: west-box, output bank: 1–8" in shown.text
    assert [answer.answer for answer in session.state.given] == ["hold", "go"]


def test_what_is_no_answer_is_told_and_records_nothing(session, ways) -> None:
    shown = ways.typed(session, ["", "yes", "ok", "checked", "v 12"])
    assert session.state.given == []
    assert "“checked” is no answer here" in shown.text
    assert "Nothing is measured here" in shown.text


@pytest.mark.parametrize("line", ["65", "v 65", "v 65,0", "65 dB", "v +65.00"])
def test_a_measured_value_is_read(session, ways, line) -> None:
    ways.typed(session, ["g", "g", "g", line])
    assert session.state.answers["level"].answer == "go"


@pytest.mark.parametrize("line", ["g", "v nan", "v inf", "v 1e999999999", "v sixty", "inf", "v 6 5"])
def test_what_is_no_value_is_refused(session, ways, line) -> None:
    ways.typed(session, ["g", "g", "g", line])
    assert "level" not in session.state.answers


def test_a_value_out_of_its_limits_is_a_no_go_and_measured_again_after_the_cure(session, ways) -> None:
    shown = ways.typed(session, ["g", "g", "g", "v 80", "fader down", "v 69"])
    assert "✗ NO-GO 80 dB recorded" in shown.text
    assert [(answer.answer, answer.value) for answer in session.state.given][-2:] == [("no-go", "80"), ("go", "69")]


def test_a_role_sees_its_own_items_and_does_not_sign(session, ways) -> None:
    shown = ways.typed(session, ["a", "s", "64", "q"], role="house-mixer")
    assert shown.go is False
    assert "output bank" not in shown.text
    assert "The sign-off is the lead's." in shown.text
    assert "run the walk without --role" in shown.text


def test_signing_early_records_a_no_go_with_what_is_open(session, ways) -> None:
    shown = ways.typed(session, ["g", "s", "L. Lead"])
    assert shown.go is False
    reasons = shown.walker.signed.body["reasons"]
    assert "Not answered: east-box, output bank: 9–16" in reasons
    assert "The stage was not polled" in reasons


def test_what_keeps_a_go_away_is_listed_before_the_poll(session, ways) -> None:
    shown = ways.typed(session, ["g", "g", "g", "n wrong", "", "1", "65", "turned it up", "g", *SIGN])
    assert "Not ready for the poll." in shown.text
    assert "1 ✗ no-go: Level: 60 to 70.5 dB" in shown.text
    assert shown.go is True


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("", "silence"), ("no", ""), ("n", ""), ("no-go", ""), ("No Go.", ""), ("nogo", ""),
        ("n piano dead", "piano dead"), ("no-go, piano dead", "piano dead"), ("no, piano dead", "piano dead"),
        ("no sound left", "no sound left"), ("N nothing plugged", "nothing plugged"),
    ],
)  # fmt: skip
def test_no_and_silence_are_a_no_go_in_the_poll(session, ways, said, words) -> None:
    """Words are kept as they were said, without the key that was pressed before them."""
    why = [] if words not in ("", "silence") else [""]
    shown = ways.typed(session, [*GO_ALL, "g", said, *why, "L. Lead"])
    assert shown.go is False
    assert session.state.polls["house-mixer"].answer == "no-go"
    assert session.state.polls["house-mixer"].said == words


def test_a_slip_of_the_finger_is_no_word_in_the_poll_and_no_name(session, ways) -> None:
    shown = ways.typed(session, [*GO_ALL, "g", "maybe", "yes", "g", "y", "go", "L. Lead", "ggo", "go"])
    assert session.state.polls["house-mixer"].answer == "go"
    assert "silence is a no-go" in shown.text
    assert "“y” is no name" in shown.text
    assert shown.go is True


def test_nothing_starts_without_a_killer_item(session, ways) -> None:
    shown = ways.typed(session, ["n wrong", "", "n still wrong", "", "n and still", ""])
    assert shown.text.count("▶ west-box, output bank: 1–8") == 4
    assert "Links complete" not in shown.text


def test_a_poll_that_was_cut_off_goes_on_where_it_was(session, ways) -> None:
    ways.typed(session, [*GO_ALL, "g"])
    shown = ways.typed(session, ["g", "g", "L. Lead", "go"])
    assert "stage: ✓ GO (said already)" in shown.text
    assert shown.go is True


def test_a_no_go_in_the_poll_is_asked_again(session, ways) -> None:
    assert ways.typed(session, [*GO_ALL, "g", "no", ""]).go is None
    assert ways.typed(session, ["g", "", "g", "L. Lead", "go"]).go is True


def test_typed_text_can_forge_no_screen(session, ways) -> None:
    ways.typed(session, ["n \x1b[2Jbad\x07 \u202etxt", "", "t note\x00d"])
    assert session.state.answers["bank/west-box"].seen == "[2Jbad txt"


def test_a_rig_that_changes_under_the_walk_is_told_before_the_next_item(small, session, ways) -> None:
    ways.typed(session, ["g", "g"])
    small.edit("output_bank: 9-16", "output_bank: 17-24", "house.yaml")
    text = ways.typed(session, []).text
    assert "The rig has changed since." in text
    assert "was “east-box, output bank: 9–16”, is now" in text
    assert "  ▶ east-box, output bank: 17–24" in text
    assert "Asked again: it was “east-box, output bank: 9–16” when A. Adams answered go." in text


def test_only_what_was_answered_is_said_to_be_asked_again(small, session, ways) -> None:
    ways.typed(session, ["g"])
    small.edit("output_bank: 9-16", "output_bank: 17-24", "house.yaml")
    text = ways.typed(session, []).plain
    assert "the output selector stands at 17–24 (before: 9–16)" in text, "the rig's change in the words of the trade"
    assert "~ 1 that nobody had answered yet Nothing that was answered is asked again." in text
    assert "asked again: " not in text and "said anew" not in text
    ways.typed(session, ["g", "g"])
    small.edit("output_bank: 17-24", "output_bank: 9-16", "house.yaml")
    text = ways.typed(session, []).plain
    assert "~ asked again: was “east-box, output bank: 17–24”, is now “east-box, output bank: 9–16”" in text
    assert "~ 1 completion call is said anew What says so is asked again; every other answer is kept." in text


def test_what_a_rig_changed_back_leaves_open_is_not_said_to_be_unanswered_or_kept(small, session, ways) -> None:
    ways.typed(session, ["g", "g", "g"])
    small.edit("output_bank: 9-16", "output_bank: 17-24", "house.yaml")
    ways.typed(session, [])
    small.edit("output_bank: 17-24", "output_bank: 9-16", "house.yaml")
    text = ways.typed(session, []).plain
    assert "~ 1 that an earlier change opened: still to be asked again" in text
    assert "nobody had answered" not in text and "Nothing that was answered" not in text
    assert "What says so is asked again; every other answer is kept." in text
    assert "  ▶ east-box, output bank: 9–16" in ways.typed(session, []).text


def test_what_was_gone_for_a_while_is_asked_again_when_it_is_back(small, session, ways) -> None:
    ways.typed(session, ["g", "g", "g", "65"])
    small.edit("id: level,", "id: other,", "checklists/full-walk.yaml")
    assert "gone: Level: 60 to 70.5 dB" in ways.typed(session, []).plain
    small.edit("id: other,", "id: level,", "checklists/full-walk.yaml")
    text = ways.typed(session, []).plain
    assert "+ back, asked again: Level: 60 to 70.5 dB" in text
    assert "What says so is asked again; every other answer is kept." in text
    assert session.state.status(session.state.plan.by_key["level"]) == "open"


def told_of_the_change(small) -> str:
    told = " ".join(small.run([], "1", check="history").stdout.split())
    return told[told.index("had changed, at the terminal of") :]


def test_history_says_what_a_change_of_the_rig_was_and_who_was_at_the_terminal(small, session, ways) -> None:
    ways.typed(session, ["g", "g", "g"])
    small.edit("output_bank: 9-16", "output_bank: 17-24", "house.yaml")
    with small.opened("B. Brown"):
        told = told_of_the_change(small)
    assert told.startswith("had changed, at the terminal of B. Brown ")
    assert "the output selector stands at 17–24 (before: 9–16)" in told
    assert "asked again: was “east-box, output bank: 9–16”, is now “east-box, output bank: 17–24”" in told
    assert "1 completion call is said anew" in told


def test_history_says_what_a_change_of_the_list_was(small, session, ways) -> None:
    ways.typed(session, ["g"])
    small.edit('challenge: "Level', 'challenge: "Music', "checklists/full-walk.yaml")
    ways.typed(session, [])
    assert "was “Level: 60 to 70.5 dB”, is now “Music: 60 to 70.5 dB”" in told_of_the_change(small)


def test_history_says_where_a_change_touched_nothing_that_is_asked(small, session, ways) -> None:
    ways.typed(session, ["g"])
    small.write(small.rig.read_text(encoding="utf-8").replace("Sunday", "Sunday evening"))
    ways.typed(session, ["g"])
    told = told_of_the_change(small)
    assert "Sunday evening" in told and "nothing that is asked is another" in told


def test_the_findings_that_keep_a_go_away_are_told_once_on_resume(small, session, ways) -> None:
    ways.typed(session, ["g"])
    small.edit(
        "from: west-box/downstream, to: east-box/upstream,",
        "from: west-box/downstream, to: east-box/downstream,",
        "house.yaml",
    )
    text = small.run(["k", "q"], "--by", "A. Adams").stdout
    assert "had changed" in text or "has changed since" in text
    assert text.count("finds what must be put right") == 1


def test_colour_is_for_terminals_that_want_it(monkeypatch) -> None:
    class Terminal(StringIO):
        def isatty(self) -> bool:
            return True

    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert Screen(StringIO(), Terminal()).status("no-go") == "\x1b[31m✗ NO-GO\x1b[0m"
    monkeypatch.setenv("NO_COLOR", "1")
    assert Screen(StringIO(), Terminal()).status("no-go") == "✗ NO-GO"
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.setenv("TERM", "dumb")
    assert Screen(StringIO(), Terminal()).status("no-go") == "✗ NO-GO"
    monkeypatch.setenv("TERM", "xterm")
    assert Screen(StringIO(), StringIO()).status("no-go") == "✗ NO-GO"


WORDS = [
    "g",
    "n",
    "h",
    "x",
    "v",
    "b",
    "o",
    "t",
    "s",
    "?",
    "",
    "65",
    "80",
    "v 1",
    "1",
    "2",
    "n wrong",
    "h later",
    "x none",
]


@pytest.mark.parametrize("seed", range(40))
def test_whatever_is_typed_the_walk_stands_where_its_entries_say(small, ways, seed: int) -> None:
    """Random lines, cut off at random: nothing but an answer changes anything, and a go is never signed by chance."""
    chance = random.Random(seed)
    with Ledger(small.ledger_path) as ledger:
        for _ in range(4):
            session = small.session(ledger)
            session.open("A")
            role = chance.choice([None, None, "lead", "stage"])
            ways.typed(session, [chance.choice(WORDS) for _ in range(chance.randrange(60))], role)
            state = replay(session.basis.plan, ledger.entries(session.walk))
            assert state.answers == session.state.answers
            signed = state.last_signed
            if signed is not None and signed.body["verdict"] == "go":
                assert not signed.body["open"]
                assert {answer["answer"] for answer in signed.body["answers"]} <= {"go", "not-applicable"}
        assert ledger.verify().broken is None


def test_at_eighty_columns_no_key_is_cut_and_a_measured_item_shows_how(session, ways, monkeypatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    text = ways.typed(session, ["g", "g", "g"]).text
    assert max(map(len, text.splitlines())) <= 80
    assert "The answer is the value read, in dB, such as v 72.5 (or 72.5 alone)." in text
    for wide in (40, 60):
        monkeypatch.setenv("COLUMNS", str(wide))
        narrow = ways.typed(session, []).text
        assert max(map(len, narrow.splitlines())) <= wide
        assert "x not applicable" in narrow.replace("\n", "  ")


def test_the_number_of_items_is_one_number(full_house, ways) -> None:
    """What the beginning says is what the first item says is left, second looks and calls with it."""
    from lint.record.ledger import Ledger

    with Ledger(full_house.ledger_path) as ledger:
        session = full_house.session(ledger)
        session.open("A. Adams")
        count = len(session.state.plan.items)
        assert f"{count} of {count} left" in ways.typed(session, []).text
        ways.typed(session, ["g"])
        assert f"{count - 1} of {count} left" in ways.typed(session, []).text


def test_what_a_change_touches_is_told_once_though_two_look_at_it(full_house) -> None:
    from lint.record.ledger import Ledger

    with Ledger(full_house.ledger_path) as ledger:
        session = full_house.session(ledger)
        session.open("A. Adams")
        full_house.edit(
            "location: stage left, circuit: stage-left}\npower", "location: loft, circuit: stage-left}\npower"
        )
        change = session.refresh()
    assert change is not None and change.touched
    assert len(change.touched) == len(set(change.touched))
