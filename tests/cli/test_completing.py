"""What the shell completes, through the script that bash is given: names of the rig that stands in the call."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from lint.rig.build import load_rig

WEEK = "hall/rigs/clean-week.yaml"
BASH = """\
eval "$(_RIGWALK_COMPLETE=source_bash rigwalk)"
COMP_WORDS=("$@") COMP_CWORD=$(($# - 1))
_rigwalk_completion rigwalk
printf '%s\\n' "${COMPREPLY[@]}"
"""


def completed(*words: str) -> list[str]:
    """Return what bash offers for the last word of a call; anything that is told on the way fails."""
    done = subprocess.run(
        ["bash", "--norc", "-c", BASH, "bash", "rigwalk", *words],
        capture_output=True,
        text=True,
        env={**os.environ, "PATH": f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"},
        check=False,
        timeout=60,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert not list(Path().glob("rigwalk-defect-*"))
    return done.stdout.split()


@pytest.mark.parametrize(
    ("words", "offered"),
    [
        (["trace", WEEK, "lead"], ["lead-vocal"]),
        (["trace", WEEK, "west-box/in/1"], [f"west-box/in/{number}" for number in (1, *range(10, 17))]),
        (["trace", WEEK, "desk/link-1/9"], ["desk/link-1/9"]),
        (["trace", WEEK, "lead-vocal", "--to", "house-l"], ["house-left"]),
        (["hunt", WEEK, "choir-w"], ["choir-wedge"]),
        (["hunt", WEEK, "west-box/in/11"], ["west-box/in/11"]),
        (["hunt", WEEK, "kick", ""], ["dead", "wrong", "noise", "distorted", "elsewhere"]),
        (["hunt", WEEK, "kick", "--at", "singer"], ["singer-wedge"]),
        (["hunt", WEEK, "kick", "--side", "r"], ["right"]),
        (["spares", WEEK, "ea"], ["east-box"]),
        (["spares", WEEK, "stage-r"], ["stage-right"]),
        (["spares", WEEK, "desk/"], ["desk/link-1", "desk/in"]),
        (["whatif", WEEK, ""], ["order", "add", "remove", "replace", "move", "bank", "lose"]),
        (["whatif", WEEK, "lose", "stair"], ["stairwell"]),
        (["whatif", WEEK, "order", "east-box", ""], ["west-box", "loft-box", "and"]),
        (["whatif", WEEK, "bank", "east-box", "to", "1-"], ["1-8"]),
        (["whatif", WEEK, "move", "east-box", ""], ["desk/link-1", "desk/link-2"]),
        (["whatif", WEEK, "lose", "east-box", "and", "rem"], ["remove"]),
        (["whatif", WEEK, "add", "new-box", "stage-box-16x8", ""], ["behind", "bank", "and"]),
        (["whatif", WEEK, "add", "new-box", "stage-box-16x8", "behind", "l"], ["loft-box"]),
        (["whatif", WEEK, "replace", "east-box", "stage-box-8"], ["stage-box-8x8"]),
        (["rules", "explain", "phantom-as"], ["phantom-astray"]),
        (["rules", "explain", "--house", "hall", "own-"], ["own-one"]),
        (["rules", "facts", "so"], ["sources"]),
        (["picture", WEEK, "lead"], ["lead-vocal"]),
        (["sheet", WEEK, "--only", "mon"], ["monitors"]),
        (["walk", WEEK, "--checklist", "own"], ["own-walk"]),
        (["schema", "hou"], ["house-rule"]),
    ],
    ids=" ".join,
)
def test_the_names_that_a_word_may_be_are_offered(house: Path, words: list[str], offered: list[str]) -> None:
    (house / "checklists").mkdir(exist_ok=True)
    (house / "checklists" / "own-walk.yaml").touch()
    (house / "rules" / "own-one.py").write_text("raise SystemExit('a key pressed runs no rule')\n", encoding="utf-8")
    assert completed(*words) == offered


def test_every_signal_of_the_rig_is_offered_once(house: Path) -> None:  # noqa: ARG001
    rig = load_rig(Path(WEEK))
    offered = completed("hunt", WEEK, "")
    assert {*rig.sources, *rig.pairs, *rig.mixes, *rig.destinations, *rig.amplifiers} <= set(offered)
    assert len(offered) == len(set(offered))


@pytest.mark.parametrize("command", ["trace", "hunt", "spares", "whatif", "picture"])
@pytest.mark.parametrize(
    "text", [None, "rig_format: 1\nsources: [\n", "\x00", "rig_format: 1\nextends: nowhere.yaml\n"]
)
def test_a_rig_that_cannot_be_read_offers_nothing_and_tells_nothing(
    house: Path,  # noqa: ARG001
    command: str,
    text: str | None,
) -> None:
    if text is not None:
        Path("broken.yaml").write_text(text, encoding="utf-8")
    words = ["lose", ""] if command == "whatif" else [""]
    assert completed(command, "broken.yaml", *words) == []


@pytest.mark.parametrize("words", [["check", "ha"], ["trace", "hall/ri"], ["whatif", "hall/rigs/"]])
def test_rig_files_are_left_to_bash(house: Path, words: list[str]) -> None:  # noqa: ARG001
    assert completed(*words) == []  # and `complete -o default` has bash offer files where nothing is


def test_a_home_folder_by_its_tilde_is_read(house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", str(house))
    assert completed("trace", "~/rigs/clean-week.yaml", "lead") == ["lead-vocal"]
