"""`rigwalk hunt`: by given keys, through a pipe and at a real terminal; what it records, and what it learns from that."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pexpect
import pytest
from typer.testing import CliRunner, Result

from lint.cli import app
from lint.hunt.keys import Keys
from lint.record.hunts import found_before, past_hunts
from lint.record.ledger import Ledger
from lint.walk.screen import Screen

CLEAN = "hall/rigs/clean-week.yaml"
# lead-vocal dead: all well; others are right at the loudspeaker; right at the meter; its mute: no; is it right now: yes.
MUTED = "yyyny"


def call(*arguments: str, typed: str | None = None) -> Result:
    return CliRunner(env={"COLUMNS": "80"}).invoke(app, ["hunt", *arguments], input=typed)


def test_given_keys_lead_to_the_part_and_its_cure_and_into_the_record(house: Path) -> None:
    done = call(CLEAN, "lead-vocal", "dead", "--answers", MUTED, "--by", "T. Lindqvist")
    assert done.exit_code == 0, done.stdout
    assert (
        "Found: channel 10 (Lead vox): muted or down.\nCure: turn its fader down, unmute it, bring it up slowly.\n"
        in done.stdout
    )
    assert all(len(line) <= 80 for line in done.stdout.splitlines() if "walks.sqlite" not in line)
    with Ledger(house / "records" / "walks.sqlite", reading=True) as ledger:
        (entry,) = past_hunts(ledger)
        assert ledger.verify().broken is None
    body = entry.body
    assert (body["by"], body["about"], body["symptom"]) == ("T. Lindqvist", "lead-vocal", "dead")
    assert (body["part"], body["cause"]) == ("desk/channel/10", "channel-muted")
    assert len(body["answers"]) == len(MUTED)


@pytest.mark.usefixtures("house")
def test_the_next_hunt_knows_of_it_and_history_still_holds() -> None:
    call(CLEAN, "lead-vocal", "dead", "--answers", MUTED, "--by", "T. Lindqvist")
    again = call(CLEAN, "lead-vocal", "dead", "--answers", "y")
    assert "This house's records know 1 hunt; they count in the likelihoods." in again.stdout
    history = CliRunner().invoke(app, ["history", "hall"])
    assert history.exit_code == 0
    assert "Each of the 1 records holds" in history.stdout


@pytest.mark.usefixtures("house")
def test_a_hunt_is_noted_with_the_walk_that_is_under_way() -> None:
    CliRunner().invoke(app, ["walk", CLEAN, "--by", "R. Adeyemi"], input="q\n")
    call(CLEAN, "lead-vocal", "dead", "--answers", MUTED, "--by", "T. Lindqvist")
    shown = CliRunner().invoke(app, ["history", "hall", "1"]).stdout
    assert (
        "hunt: lead-vocal dead: channel 10 (Lead vox): muted or down; turn its fader down, unmute it, bring it up slowly, by T. Lindqvist"
        in " ".join(shown.split())
    )
    walked = CliRunner().invoke(app, ["walk", CLEAN, "--by", "R. Adeyemi"], input="q\n")
    assert "Resuming the walk begun" in walked.stdout


def test_through_a_pipe_it_takes_lines_and_asks_for_a_name(house: Path) -> None:
    done = call(CLEAN, "10", typed="y\ny\ny\n?\nx\ny\nw\nn\ny\nT. Lindqvist\n")
    assert done.exit_code == 0, done.stdout
    assert "“x” is no answer here; y yes" in done.stdout
    assert "s            can't tell, or can't be reached now" in done.stdout
    assert "Recorded for the walk and the handover" in done.stdout
    assert (house / "records" / "walks.sqlite").is_file()


@pytest.mark.usefixtures("house")
def test_a_line_is_a_key_or_its_whole_word_and_nothing_else_goes_back() -> None:
    done = call(CLEAN, "10", "--plain", typed="Yes\nbogus\nyes\nback\nno one\nall suspects\nstop\n")
    assert "“bogus” is no answer here; y yes" in done.stdout
    assert "“no one” is no answer here; y yes" in done.stdout
    numbers = [
        line[:2].strip() for line in done.stdout.splitlines() if line[2:4] == "  " and line[:2].strip().isdigit()
    ]
    assert numbers == ["1", "2", "3", "2"]


@pytest.mark.usefixtures("house")
def test_what_is_left_is_one_line_and_w_lists_it_all() -> None:
    lines = call(CLEAN, "lead-vocal", "--answers", "yyw").stdout.splitlines()
    (left,) = [index for index, line in enumerate(lines) if line.startswith("    Left: ")]
    assert lines[left].endswith(", likeliest channel 10 (Lead vox): muted or down (20%).")
    assert lines[left + 1] == ""
    end = lines.index("Stopped: not found.")
    listed = [line for line in lines[left:end] if line[:8].endswith("%") and line[4:7].strip().isdigit()]
    assert len(listed) == int(lines[left].split()[1].rstrip(","))


def test_without_a_name_nothing_is_recorded(house: Path) -> None:
    assert "Not recorded." in call(CLEAN, "10", "--answers", MUTED).stdout
    assert "Not recorded." in call(CLEAN, "10", typed="\n".join([*MUTED, "", ""])).stdout
    assert not (house / "records").exists()


@pytest.mark.usefixtures("house")
def test_a_cable_that_does_it_is_the_end_and_the_caution_comes_with_each_plug() -> None:
    done = call(CLEAN, "lead-vocal", "dead", "--answers", "ynyyyyy")
    flat = " ".join(done.stdout.split())
    assert done.exit_code == 0, done.stdout
    assert flat.count("CAUTION: ") == flat.count("Put another cable") == 1
    assert "Follow the cable of lead-vocal by eye, touching no plug: is it in" in flat  # nothing is muted for that
    assert (
        "Put another cable that works between lead-vocal and west-box/in/10 (stage left): does it do as it should with that? (60 s) y yes"
        in flat
    )
    assert "Found: the cable from lead-vocal to west-box/in/10: broken." in flat
    assert "Cure: leave the other cable in; label the old one broken and take it out of use." in flat


@pytest.mark.usefixtures("house")
def test_stopped_it_tells_what_is_still_suspected() -> None:
    for keys in ("yyq", "yy"):
        done = call(CLEAN, "10", "--answers", keys)
        assert done.exit_code == 1
        assert "Still to be looked at, the likeliest first:\n" in done.stdout


def test_stopped_or_in_vain_it_is_recorded_and_teaches_nothing(house: Path) -> None:
    call(CLEAN, "lead-vocal", "--answers", "yynq", "--by", "T. Lindqvist")
    call(CLEAN, "house-left", "noise", "--answers", "n", "--by", "T. Lindqvist")
    call(CLEAN, "lead-vocal", "--answers", "q", "--by", "T. Lindqvist")  # nothing was answered
    with Ledger(house / "records" / "walks.sqlite", reading=True) as ledger:
        left, danger = past_hunts(ledger)
        assert found_before((left, danger)) == []
    assert (left.body["part"], left.body["cause"], left.body["questions"]) == ("", "", 3)
    assert left.body["found"].startswith(
        "not found after 2 answers; ruled out, if only one thing has failed: lead-vocal itself, "
    )
    assert "%" not in left.body["found"]
    assert left.body["cure"] == "hunt it again"
    assert danger.body["found"] == "smoke, water, heat or a tingle: nothing more may be touched"
    shown = CliRunner().invoke(app, ["history", "hall"])
    assert shown.exit_code == 0
    assert "count in the likelihoods" not in call(CLEAN, "lead-vocal", "--answers", "y").stdout


@pytest.mark.usefixtures("house")
def test_every_question_has_its_keys_and_keeps_its_number_after_going_back() -> None:
    lines = call(CLEAN, "lead-vocal", "--answers", "yybyq").stdout.splitlines()
    numbers = [line[:2].strip() for line in lines if line[:2].strip().isdigit() and line[2:4] == "  "]
    assert numbers == ["1", "2", "3", "2", "3"]
    keys = [line for line in lines if line.startswith("    y yes   n no   ")]
    assert len(keys) == len(numbers)
    assert keys[0] == "    y yes   n no   w all suspects   ? help   q stop"
    assert keys[1] == "    y yes   n no   s can't tell   w all suspects   b back   ? help   q stop"


@pytest.mark.usefixtures("house")
def test_smoke_or_a_tingle_ends_it_with_who_decides() -> None:
    done = call(CLEAN, "house-left", "noise", "--answers", "n")
    assert done.exit_code == 1
    flat = " ".join(done.stdout.split())
    assert "WARNING: Stop here. Keep people away from it, touch nothing" in flat
    assert "A licensed electrician decides when it goes on again." in flat


def test_what_the_rig_file_itself_has_wrong_is_told_first(house: Path) -> None:
    text = (house / "rigs" / "clean-week.yaml").read_text(encoding="utf-8")
    wrong = text.replace(
        "carries: lead-vocal,  patched_from: desk/link-1/10", "carries: lead-vocal, patched_from: desk/link-1/9"
    )
    (house / "rigs" / "wrong.yaml").write_text(wrong, encoding="utf-8")
    done = call("hall/rigs/wrong.yaml", "lead-vocal", "--answers", "y")
    flat = " ".join(done.stdout.split())
    assert "NO-GO by the rig file itself, so mend that first: channel 10 (Lead vox)" in flat


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (
            ["nobody"],
            "nothing here is called 'nobody' (a source, pair, channel number, effects unit, mix, destination, amplifier or socket)",
        ),
        (["kick", "elsewhere"], "where is kick heard? Say it with --at DESTINATION"),
        (["kick", "dead", "--at", "nowhere"], "no destination is called 'nowhere'"),
        (
            ["radio-1", "elsewhere", "--at", "recorder"],
            "by the rig file radio-1 belongs at recorder: channel 33 (HH red) → house → record.",
        ),
    ],
)
def test_a_wrong_call_is_told(house: Path, arguments: list[str], message: str) -> None:
    del house
    done = call(CLEAN, *arguments)
    assert done.exit_code == 2
    assert message in " ".join(done.stderr.split())
    assert all(len(line) <= 80 for line in done.stderr.splitlines())


def test_an_unknown_symptom_is_told(house: Path) -> None:
    del house
    done = call(CLEAN, "kick", "buz")
    assert done.exit_code == 2
    assert "'buz' is no symptom; did you mean 'buzz'? (dead: nothing comes through;" in " ".join(done.stderr.split())


def test_a_record_that_was_tampered_with_is_not_added_to(house: Path) -> None:
    call(CLEAN, "10", "--answers", MUTED, "--by", "T. Lindqvist")
    import sqlite3

    with sqlite3.connect(house / "records" / "walks.sqlite") as book:
        book.execute("DROP TRIGGER never_altered")
        book.execute("UPDATE entries SET body = replace(body, 'Lindqvist', 'Somebody')")
    done = call(CLEAN, "10", "--answers", MUTED, "--by", "T. Lindqvist")
    assert done.exit_code == 2
    assert "so nothing is added to it" in done.stderr


@pytest.mark.skipif(sys.platform == "win32", reason="needs a terminal")
def test_at_a_terminal_one_key_is_an_answer(house: Path) -> None:
    command = str(Path(sys.executable).parent / "rigwalk")
    environment = {**os.environ, "COLUMNS": "80", "TERM": "xterm", "NO_COLOR": "1"}
    child = pexpect.spawn(
        command, ["hunt", CLEAN, "10", "--by", "T. Lindqvist"], cwd=str(house.parent), env=environment,
        encoding="utf-8", timeout=30, dimensions=(24, 80),
    )  # fmt: skip
    for key in MUTED:
        child.expect_exact("    > ")
        child.send(key)  # no Enter
    child.expect_exact("Found: channel 10 (Lead vox): muted or down.")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 0


def test_whoever_types_enter_after_every_key_answers_nothing_by_it(monkeypatch: pytest.MonkeyPatch) -> None:
    typed = iter("y\rn\r\r\r?")
    monkeypatch.setattr("lint.hunt.keys._pressed", lambda *_: next(typed))
    keys = Keys(Screen(), None, plain=False)
    keys.by_press = True
    assert [keys.press("> ") for _ in range(5)] == ["y", "n", "", "", "?"]


@pytest.mark.skipif(sys.platform == "win32", reason="needs a terminal")
def test_at_a_terminal_ctrl_c_stops_it_and_leaves_the_terminal_as_it_was(house: Path) -> None:
    command = str(Path(sys.executable).parent / "rigwalk")
    child = pexpect.spawn(
        command,
        ["hunt", CLEAN, "10"],
        cwd=str(house.parent),
        encoding="utf-8",
        timeout=30,
        # What starts the tests in the background may have told it to pass over interrupts.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )
    child.expect_exact("    > ")
    child.sendintr()
    child.expect_exact("Still to be looked at, the likeliest first:")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 1


def test_plain_asks_for_lines_even_at_a_terminal(house: Path) -> None:
    command = str(Path(sys.executable).parent / "rigwalk")
    done = subprocess.run(
        [command, "hunt", CLEAN, "10", "--plain"],
        input="y\n",
        cwd=house.parent,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1
    assert "\x1b" not in done.stdout


def test_json_says_where_a_hunt_stands_and_asks_nothing(house: Path) -> None:
    first = json.loads(call(CLEAN, "lead-vocal", "--format", "json").stdout)
    assert first["asked"]["kind"] == "safety"
    assert first["asked"]["keys"] == ["y", "n"]
    assert abs(sum(row["likelihood"] for row in first["suspects"]) - 1) < 0.01
    on_the_way = call(CLEAN, "lead-vocal", "--answers", MUTED[:-1], "--by", "T. Lindqvist", "--format", "json")
    assert on_the_way.exit_code == 1
    assert json.loads(on_the_way.stdout)["asked"]["kind"] == "cured"
    assert not (house / "records").exists()  # it is not over
    done = call(CLEAN, "lead-vocal", "--answers", MUTED, "--by", "T. Lindqvist", "--format", "json")
    assert done.exit_code == 0
    end = json.loads(done.stdout)
    assert (end["asked"], end["suspects"]) == (None, [])
    assert end["found"]["words"] == "channel 10 (Lead vox): muted or down"
    assert end["cure"] == "turn its fader down, unmute it, bring it up slowly"
    assert [row["said"] for row in end["answers"]] == ["yes", "yes", "yes", "no", "yes"]
    with Ledger(house / "records" / "walks.sqlite", reading=True) as ledger:
        assert len(past_hunts(ledger)) == 1


@pytest.mark.parametrize("output", ["text", "json"])
def test_one_hunt_is_one_record_however_often_its_answers_are_given(house: Path, output: str) -> None:
    book = house / "records" / "walks.sqlite"

    def noted(*keys: str) -> int:
        for given in keys:
            call(CLEAN, "lead-vocal", "--answers", given, "--by", "T. Lindqvist", "--format", output)
        if not book.is_file():
            return 0
        with Ledger(book, reading=True) as ledger:
            return len(past_hunts(ledger))

    assert noted(*(MUTED[:count] for count in range(1, len(MUTED)))) == 0  # it is not over
    assert noted(MUTED, MUTED, MUTED) == 1
    assert noted("yyq", "yyq", MUTED) == 2  # another hunt, given up


@pytest.mark.usefixtures("house")
def test_json_shows_the_care_before_plugs_and_takes_answers_back() -> None:
    handled = json.loads(call(CLEAN, "lead-vocal", "noise", "--answers", "y", "--format", "json").stdout)
    keys = "y"
    while handled["asked"]["care"] is None:
        keys += handled["asked"]["keys"][-1]  # s, and y where something is put back
        handled = json.loads(call(CLEAN, "lead-vocal", "noise", "--answers", keys, "--format", "json").stdout)
    assert "phantom power" in handled["asked"]["care"]
    back = json.loads(call(CLEAN, "lead-vocal", "noise", "--answers", keys + "yb", "--format", "json").stdout)
    assert back["asked"] == handled["asked"]
    stopped = json.loads(call(CLEAN, "lead-vocal", "--answers", "n", "--format", "json").stdout)
    assert stopped["stopped"].startswith("Stop here.")


@pytest.mark.usefixtures("house")
@pytest.mark.parametrize(
    ("keys", "message"),
    [
        ("ys?", "answer 3 is '?', expected one of y, n, s to: "),
        ("s", "answer 1 is 's', expected one of y, n to: Before anything else"),
        (MUTED + "y", "answer 6 ('y') comes after the end of the hunt, which took 5"),
    ],
)
def test_json_refuses_a_key_that_answers_nothing(keys: str, message: str) -> None:
    done = call(CLEAN, "lead-vocal", "--answers", keys, "--format", "json")
    assert done.exit_code == 2
    assert f"{CLEAN}: {message}" in " ".join(done.output.split())
    assert "{" not in done.stdout


@pytest.mark.parametrize(
    ("keys", "message"),
    [
        ("yx", "answer 2 is 'x', expected one of y, n, s to: "),
        ("yw?yx", "answer 5 is 'x', expected one of y, n, s to: "),
        ("s", "answer 1 is 's', expected one of y, n to: Before anything else"),
    ],
)
def test_a_key_given_that_answers_nothing_is_told_and_nothing_is_noted(house: Path, keys: str, message: str) -> None:
    done = call(CLEAN, "lead-vocal", "--answers", keys, "--by", "T. Lindqvist")
    assert done.exit_code == 2
    assert f"{CLEAN}: {message}" in " ".join(done.stderr.split())
    assert "Stopped" not in done.stdout
    assert not (house / "records").exists()


@pytest.mark.usefixtures("house")
@pytest.mark.parametrize(
    ("word", "symptom"),
    [("silent", "dead"), ("No signal", "dead"), ("hum", "noise"), ("crackle", "noise"), ("buzz", "noise"), ("hiss", "noise"),
     ("clipping", "distorted"), ("distortion", "distorted"), ("swapped", "wrong"), ("DEAD", "dead")],
)  # fmt: skip
def test_the_crew_s_words_for_a_symptom_are_taken(word: str, symptom: str) -> None:
    done = call(CLEAN, "kick", word, "--answers", "y", "--format", "json")
    assert json.loads(done.stdout)["symptom"] == symptom


@pytest.mark.usefixtures("house")
def test_feedback_is_no_hunt_and_says_what_to_do_at_once() -> None:
    done = call(CLEAN, "singer-wedge", "feedback")
    assert done.exit_code == 2
    assert "Pull the microphone's fader, or the monitor that rings, down at once;" in " ".join(done.stderr.split())


@pytest.mark.usefixtures("house")
def test_a_stopped_hunt_says_what_was_ruled_out_and_gives_no_odds_to_what_is_left_alone() -> None:
    done = call(CLEAN, "lead-vocal", "--answers", "yynnq")
    flat = " ".join(done.stdout.split())
    assert "Ruled out, if only one thing has failed: " in flat
    assert "100%" not in flat
    hunted = json.loads(call(CLEAN, "house-left", "--answers", "yyyyq", "--format", "json").stdout)
    assert hunted["suspects"]


def test_a_cure_that_did_not_help_is_told_in_the_record(house: Path) -> None:
    call(CLEAN, "lead-vocal", "--answers", "yyynnq", "--by", "T. Lindqvist")
    with Ledger(house / "records" / "walks.sqlite", reading=True) as ledger:
        (entry,) = past_hunts(ledger)
    assert "wrong and put right, but not the fault: channel 10 (Lead vox): muted or down;" in entry.body["found"]


@pytest.mark.usefixtures("house")
def test_of_a_stereo_end_the_side_is_asked_for_and_hunted() -> None:
    done = call(CLEAN, "recorder", typed="x\nr\ny\nq\n\n")
    assert (
        "It has 2 sides: on which is it? Listen to each alone.\n    l left alone   r right alone   b both   q stop\n"
        in done.stdout
    )
    assert "Side: right.\n" in done.stdout
    assert "Is the other side" not in done.stdout  # both were listened to
    by_name = json.loads(call(CLEAN, "recorder", "--side", "right", "--answers", "y", "--format", "json").stdout)
    assert "desk/out/1)" in by_name["asked"]["question"]
    by_socket = json.loads(call(CLEAN, "desk/out/2", "--answers", "y", "--format", "json").stdout)
    assert any("desk/out/2" in row["part"] for row in by_socket["suspects"])
    assert not any("desk/out/1" in row["part"] for row in by_socket["suspects"])


@pytest.mark.usefixtures("house")
def test_a_side_that_is_not_there_is_told_and_a_guess_says_so() -> None:
    wrong = call(CLEAN, "recorder", "--side", "up", "--answers", "y")
    assert (
        wrong.exit_code,
        "there is no side 'up' here; say --side left, right or both" in " ".join(wrong.stderr.split()),
    ) == (2, True)
    one = call(CLEAN, "kick", "--side", "left", "--answers", "y")
    assert "it has one side only" in one.stderr
    assert "Side: left; for another say --side right or both." in call(CLEAN, "recorder", "--answers", "y").stdout
    assert call(CLEAN, "recorder", typed="q\n").exit_code == 1


def dark_house(house: Path) -> str:
    text = "rig_format: 1\nextends: clean-week.yaml\npower: {circuits: {gallery: {dark: true}}}\n"
    (house / "rigs" / "dark.yaml").write_text(text, encoding="utf-8")
    return "hall/rigs/dark.yaml"


def test_a_dark_circuit_is_told_at_first_and_asked_for_before_all_else(house: Path) -> None:
    done = call(dark_house(house), "soprano", "--answers", "yny")
    assert done.exit_code == 0
    flat = " ".join(done.stdout.split())
    assert (
        "By the rig file itself loft-box has no mains: its circuit gallery is dark, so nothing comes through it."
        in flat
    )
    assert (
        "2 By the rig file loft-box has no mains: its circuit gallery is dark. Go to loft-box (choir gallery):" in flat
    )
    assert "Found: the box loft-box: no mains." in flat
    noise = json.loads(call("hall/rigs/dark.yaml", "choir-wedge", "hum", "--format", "json").stdout)
    assert noise["wrong_by_the_rig"] == ["loft-box has no mains: its circuit gallery is dark"]


@pytest.mark.skipif(sys.platform == "win32", reason="needs a terminal")
def test_a_hunt_that_is_killed_goes_on_where_it_was(house: Path) -> None:
    command = str(Path(sys.executable).parent / "rigwalk")

    def begun() -> pexpect.spawn:
        return pexpect.spawn(command, ["hunt", CLEAN, "10"], cwd=str(house.parent), encoding="utf-8", timeout=30,
                             dimensions=(24, 80))  # fmt: skip

    first = begun()
    for _ in range(3):
        first.expect_exact("    > ")
        first.send("y")
    first.expect_exact("    > ")
    first.kill(signal.SIGKILL)
    first.wait()
    again = begun()
    again.expect_exact("Going on where this hunt was cut off, after 3 answers")
    again.expect_exact(" 4  ")
    again.send("q")
    again.expect_exact("Enter: record nothing")
    again.sendline("")
    again.expect_exact("Enter once more records nothing")
    again.sendline("")
    again.expect(pexpect.EOF)
    assert not (house / "records").exists()  # stopped by hand: nothing is left of it
    fresh = begun()
    fresh.expect_exact(" 1  Before anything else")
    fresh.kill(signal.SIGKILL)
    fresh.wait()


@pytest.mark.parametrize("keys", ["nyy", "yqy", MUTED + "y"])
@pytest.mark.parametrize("output", ["text", "json"])
def test_keys_after_the_end_are_told_and_nothing_is_recorded(house: Path, keys: str, output: str) -> None:
    done = call(CLEAN, "lead-vocal", "--answers", keys, "--by", "T. Lindqvist", "--format", output)
    assert done.exit_code == 2
    assert "comes after the end of the hunt, which took" in " ".join(done.output.split())
    assert not (house / "records" / "walks.sqlite").exists()


def test_a_hunt_that_was_stopped_and_then_ended_is_one_record(house: Path) -> None:
    call(CLEAN, "lead-vocal", "--answers", "yyq", "--by", "T. Lindqvist")
    done = call(CLEAN, "lead-vocal", "--answers", MUTED, "--by", "R. Adeyemi")
    assert done.exit_code == 0
    call(CLEAN, "kick", "--answers", "yyq", "--by", "T. Lindqvist")  # another thing is another record
    call(CLEAN, "lead-vocal", "--answers", "ynq", "--by", "T. Lindqvist")  # and so is a new trouble, once it was found
    with Ledger(house / "records" / "walks.sqlite", reading=True) as ledger:
        first, second, other, again = past_hunts(ledger)
        assert ledger.verify().broken is None
    assert second.walk == first.walk
    assert second.body["goes_on_from"] == first.seq
    assert len({first.walk, other.walk, again.walk}) == 3
    assert "goes_on_from" not in {*first.body, *other.body, *again.body}


@pytest.mark.usefixtures("house")
def test_in_a_walk_the_history_says_that_a_hunt_was_gone_on_with() -> None:
    CliRunner().invoke(app, ["walk", CLEAN, "--by", "R. Adeyemi"], input="q\n")
    call(CLEAN, "lead-vocal", "--answers", "yyq", "--by", "T. Lindqvist")
    call(CLEAN, "lead-vocal", "--answers", MUTED, "--by", "T. Lindqvist")
    shown = " ".join(CliRunner().invoke(app, ["history", "hall", "1"]).output.split())
    assert "hunt: lead-vocal dead: not found after 1 answer" in shown
    assert "hunt gone on with: lead-vocal dead: channel 10 (Lead vox): muted or down" in shown
