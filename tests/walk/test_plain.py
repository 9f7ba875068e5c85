"""What a screen reader is given, and a terminal that knows ASCII alone."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from io import BytesIO, StringIO, TextIOWrapper

import pytest

from lint.record.ledger import Ledger
from lint.walk.screen import Screen, StoppedError
from lint.walk.terminal import Walker

MARKS = "✓✗‖○▶─·–—"


def test_plain_is_words_alone_one_paragraph_a_line(full_house) -> None:
    shown = StringIO()
    with Ledger(full_house.ledger_path) as ledger:
        session = full_house.session(ledger)
        session.open("A. Adams")
        lines = "g\nn wrong\n\n\no\n\np\nq\n"
        screen = Screen(StringIO(lines), shown, plain=True)
        with pytest.raises(StoppedError):
            Walker(session, screen, None).run()
    text = shown.getvalue()
    assert not re.search(r"[✓✗‖○▶─·]", text)
    assert "\x1b" not in text and "\r" not in text and "\b" not in text
    assert "GO recorded" in text and "NO-GO recorded" in text
    assert "1 no-go: Circuit hall" in text
    assert "Phase 1 of 13, item 1 of 15," in text
    safety = next(line for line in text.splitlines() if line.startswith("WARNING: Mains"))
    assert safety.endswith("Local electrical codes and a licensed electrician decide.")


def test_the_option_is_kept_in_the_command_that_resumes(small) -> None:
    done = small.run([], "--by", "A", "--plain")
    assert f"To resume: rigwalk walk {small.rig} --plain" in done.stdout
    assert not any(mark in done.stdout for mark in "✓✗‖○▶─·")


def test_no_choice_and_no_prompt_has_a_mark_in_it(small) -> None:
    lines = ["g", "g", "g", "65", "g", "g", "g", "g", "Zed", "", "Zed"]
    small.write("extends: ../house.yaml\nevent: {name: Sunday}\ncrew: {lead: R. Adeyemi}\n")
    done = small.run(lines, "--by", "A", "--plain").stdout
    assert "y: yes, Enter: no, ask again" in done
    assert not any(mark in done for mark in "✓✗‖○▶─·")


def test_a_terminal_that_knows_ascii_alone_is_shown_no_question_marks(small) -> None:
    code = "import typer; from lint.cli.walk import walk; typer.run(walk)"
    done = subprocess.run(
        [sys.executable, "-c", code, str(small.rig), "--by", "A"],
        input=b"g\n",
        capture_output=True,
        check=False,
        timeout=60,
        env={**os.environ, "PYTHONIOENCODING": "ascii"},
    )
    assert done.returncode == 1, done.stderr
    assert b"west-box, output bank: 1-8" in done.stdout
    assert b"?" not in done.stdout.replace(b"? help", b"").replace(b"Enter; ? and", b"")


def test_ascii_is_found_out_by_the_encoding() -> None:
    assert Screen(StringIO(), TextIOWrapper(BytesIO(), encoding="ascii")).is_plain
    assert not Screen(StringIO(), TextIOWrapper(BytesIO(), encoding="utf-8")).is_plain
