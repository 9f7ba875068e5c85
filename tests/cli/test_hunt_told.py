"""`rigwalk hunt`: what it tells beside its questions: which channel it is about, and what is to be put back."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from rigs import BASE
from test_hunt_stopped import keys_to
from typer.testing import CliRunner, Result

from lint.cli import app

RIGS = Path(__file__).parents[1] / "hunt"
TWO_DESKS, HALL = str(RIGS / "two-desks.yaml"), str(RIGS / "powered-legs" / "rigs" / "hall.yaml")


def call(*arguments: str) -> Result:
    return CliRunner(env={"COLUMNS": "80"}).invoke(app, ["hunt", *arguments])


@pytest.mark.parametrize(
    ("what", "told"),
    [
        (["1"], "It is hunted at channel 1 (Vox) on desk; for the other call it mon/channel/1."),
        (["vox"], ""),
        (["mon/channel/1"], ""),
        (["1", "--at", "ears"], ""),
        (["mon/channel/1", "--at", "ears"], ""),
        (["2"], ""),
    ],
)
def test_a_channel_that_two_consoles_have_is_told_apart(what: list[str], told: str) -> None:
    flat = " ".join(call(TWO_DESKS, *what, "--answers", "y").stdout.split())
    assert ("It is hunted at" in flat) == bool(told)
    assert told in flat
    report = json.loads(call(TWO_DESKS, *what, "--format", "json").stdout)
    assert report["called_as_well"] == (["mon/channel/1"] if told else [])
    assert report["channel"] == ("desk/channel/2" if what == ["2"] else report["channel"])
    assert report["channel"] == ("mon/channel/1" if "ears" in what or "mon/channel/1" in what else report["channel"])


@pytest.mark.parametrize(
    ("what", "lit"),
    [(["lead"], ["mon"]), (["bass"], []), (["alto"], []), (["lead", "noise"], [])],
)
def test_only_a_console_that_is_asked_about_beside_the_path_is_taken_to_be_lit(what: list[str], lit: list[str]) -> None:
    """Those on the path, that which powers the source among them, are suspects."""
    flat = " ".join(call(HALL, *what, "--answers", "y").stdout.split())
    assert ("Taken to be lit, besides what is on its path: mon. Where one is dark" in flat) == bool(lit)
    assert ("Taken to be lit" in flat) == bool(lit)
    told = json.loads(call(HALL, *what, "--answers", "y", "--format", "json").stdout)
    assert told["taken_to_be_lit"] == lit


def test_phantom_power_that_the_rig_file_itself_has_off_is_told_first(tmp_path: Path) -> None:
    week = tmp_path / "week.yaml"
    text = (RIGS / "chapel.yaml").read_text(encoding="utf-8")
    told = "NO-GO by the rig file itself, so mend that first: cymbals (nave-box/in/2"
    for state in ("on", "off"):
        row = "2: {label: Cymbals, carries: cymbals, patched_from: desk/link-1/2, phantom: "
        assert f"{row}on" in text
        week.write_text(text.replace(f"{row}on", f"{row}{state}"), encoding="utf-8")
        flat = " ".join(call(str(week), "cymbals", "--answers", "y").stdout.split())
        assert (told in flat) == (state == "off")


def test_stopped_in_a_test_of_phantom_power_it_is_said_first_what_to_put_back() -> None:
    keys = keys_to("point split rack to mon/in/3 / power-here", "bass")
    back = (
        "Mute channel 7 (Bass) on desk and channel 3 (Bass) on mon again and turn down, switch phantom power off at "
        "channel 7 (Bass) on desk and back at channel 3 (Bass) on mon as you found it;"
    )
    begun = " ".join(call(HALL, "bass", "--answers", keys + "q").stdout.split())
    assert f"FIRST: If you began the last test: {back}" in begun
    after = json.loads(call(HALL, "bass", "--answers", keys + "n", "--format", "json").stdout)["asked"]
    assert (after["kind"], after["keys"]) == ("put-back", ["y"])
    assert after["question"].startswith(back)
    refused = call(HALL, "bass", "--answers", keys + "nn")
    assert refused.exit_code == 2
    assert "expected y to: Mute channel 7" in " ".join(refused.stderr.split())
    stopped = " ".join(call(HALL, "bass", "--answers", keys + "nq").stdout.split())
    assert f"FIRST: {back}" in stopped
    assert "y done w all suspects b back ? help q stop" in stopped
    assert "FIRST: " not in call(HALL, "bass", "--answers", keys + "nyq").stdout


@pytest.mark.parametrize(("what", "words"), [("nave-box/in/1", "crackles"), ("desk", "no picture")])
def test_what_the_rig_file_says_is_dead_is_told_first(tmp_path: Path, what: str, words: str) -> None:
    week = tmp_path / "week.yaml"
    text = (RIGS / "chapel.yaml").read_text(encoding="utf-8")
    week.write_text(f"{text}\ndead: {{{what}: {words}}}\n", encoding="utf-8")
    told = f"{what} is dead ({words})"
    flat = " ".join(call(str(week), "drum", "--answers", "y").stdout.split())
    assert f"By the rig file itself {told}: `rigwalk spares RIG {what}` says how to carry on." in flat
    # Its lamps may be lit, and it clears itself by them: that is said before anything is asked.
    assert ("whatever its lamps show: below it is taken to be alive" in flat) == (what == "desk")
    done = json.loads(call(str(week), "drum", "--answers", "y", "--format", "json").stdout)
    assert told in done["wrong_by_the_rig"]


def test_what_the_check_finds_on_the_path_alone_is_told(tmp_path: Path) -> None:
    week = tmp_path / "week.yaml"
    text = (RIGS / "chapel.yaml").read_text(encoding="utf-8")
    week.write_text(text.replace("carries: cymbals, patched_from: desk/link-1/2", "carries: cymbals, patched_from: desk/link-1/1"),
                    encoding="utf-8")  # fmt: skip
    for what, is_told in (("cymbals", True), ("bass", False)):
        done = json.loads(call(str(week), what, "--answers", "y", "--format", "json").stdout)
        assert bool(done["wrong_by_the_rig"]) == is_told
        assert ("NO-GO by the rig file itself" in call(str(week), what, "--answers", "y").stdout) == is_told


def test_a_leak_that_the_rig_file_itself_has_and_the_check_finds_is_not_called_right(tmp_path: Path) -> None:
    week = tmp_path / "week.yaml"
    week.write_text(MONITOR_IN_HOUSE, encoding="utf-8")
    done = call(str(week), "vocal", "elsewhere", "--at", "left")
    assert done.exit_code == 2
    told = " ".join(done.stderr.split())
    assert "no part has failed: by the rig file itself vocal gets to left: channel 1 → wedge-mix → house" in told
    assert "`rigwalk check` says no-go of it: wedge-mix, a monitor mix, is heard in house" in told


MONITOR_IN_HOUSE = BASE.replace("takes: {channels: [1-3]}", "takes: {channels: [2, 3], mixes: [wedge-mix]}")


def test_a_channel_by_its_address_is_that_one_and_no_other_that_hears_the_same() -> None:
    refused = call(TWO_DESKS, "mon/channel/1", "--at", "house-l", "--answers", "y")
    assert refused.exit_code == 2
    assert "by the rig channel 1 (Vox) on mon does not get to house-l" in " ".join(refused.stderr.split())
    assert call(TWO_DESKS, "vox", "--at", "house-l", "--answers", "y").exit_code == 1
    gone = call(TWO_DESKS, "kick", "--at", "ears", "--answers", "y")
    assert "by the rig kick does not get to ears" in " ".join(gone.stderr.split())


def test_of_both_sides_the_one_that_is_dark_by_the_file_is_told_first_and_is_not_called_mended(tmp_path: Path) -> None:
    path = tmp_path / "rig.yaml"
    fed = BASE.replace("expects: house.right}", "expects: house.right, circuit: stage}")
    path.write_text(f"{fed}power: {{circuits: {{stage: {{dark: true}}}}}}\n")
    why = "right has no mains: its circuit stage is dark"
    both = [str(path), "house", "dead", "--side", "both"]
    report = json.loads(call(*both, "--format", "json").stdout)
    assert report["at"] == "left"
    assert why in report["wrong_by_the_rig"]
    keys = ""
    while json.loads(call(*both, "--answers", keys, "--format", "json").stdout)["asked"] is not None:
        keys += "y"  # until another in the place of something puts it right
    flat = " ".join(call(*both, "--answers", keys).stdout.split())
    before, _, rest = flat.partition(" 1 Before anything else")
    assert f"By the rig file itself {why}. So that side tells nothing" in before
    assert "Hunted is the left side alone: judge left by itself." in before
    assert f"Not mended by that: {why}." in rest
