"""Rigs broken at random, through every command: a verdict or a clear refusal, never a defect, never a long wait.

The values of a rig are dropped, doubled, exchanged with each other and replaced by odd ones, so that most of what comes
out still fits the schema and reaches the commands. `python tests/cli/test_broken_rigs.py 5000` tries so many.
"""

from __future__ import annotations

import json
import random
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from breaking import broken
from typer.testing import CliRunner

from lint.check.engine import check_file
from lint.cli import app
from lint.read.load import load_document
from lint.read.problem import CannotReadError

RIGS = sorted((Path(__file__).parents[1] / "clean").glob("*/rigs/*.yaml"))
LONGEST_S = 2.0


def commands(rig: str, data: dict[str, Any], rng: random.Random) -> Iterator[list[str]]:
    """Yield calls of the commands that take a rig."""

    def any_of(section: str) -> str:
        rows = data.get(section)
        return rng.choice(sorted(map(str, rows))) if isinstance(rows, dict) and rows else "nothing"

    yield ["check", rig]
    yield ["check", rig, "--format", rng.choice(["json", "sarif", "junit"])]
    yield ["trace", rig, any_of(rng.choice(["sources", "channels", "mixes", "destinations", "devices", "amplifiers"]))]
    yield ["trace", rig, any_of("sources"), rng.choice(["--upstream", "--downstream"])]
    yield ["sheet", rig, "--format", rng.choice(["text", "markdown", "csv", "html"])]
    yield ["picture", rig, rng.choice(["chain", "stage", "signals", any_of("sources")])]
    yield ["handover", rig, "--since", "as-it-was.json.yaml", "--format", rng.choice(["text", "html", "json"])]
    lost = any_of(rng.choice(["devices", "cables"]))
    yield ["whatif", rig, rng.choice(["lose", "remove"]), lost]
    yield ["spares", rig, lost]
    symptom = rng.choice(["dead", "wrong", "noise", "distorted"])
    keys = "".join(rng.choice("yns") for _ in range(30))
    yield ["hunt", rig, any_of(rng.choice(["sources", "destinations"])), symptom, "--answers", keys]
    yield ["walk", rig, "--by", "R. Adeyemi", "--checklist", rng.choice(["short-walk", "full-walk", "close-down"])]


def try_one(seed: int, folder: Path) -> int:
    """Run every command on one broken rig in the current folder and return how many ran on a rig that could be read."""
    rng = random.Random(seed)
    whole = load_document(rng.choice(RIGS)).data
    data = broken(whole, rng)
    (folder / "house.yaml").write_text("rig_format: 1\n", encoding="utf-8")
    (folder / "as-it-was.json.yaml").write_text(json.dumps(whole), encoding="utf-8")
    rig = folder / "rig.yaml"
    rig.write_text(json.dumps(data, ensure_ascii=False), encoding="utf-8")
    try:
        check_file(rig)
    except CannotReadError:
        done = CliRunner().invoke(app, ["check", "rig.yaml"])
        assert done.exit_code == 2, (seed, done.output)
        return 0
    ran = 0
    for call in commands("rig.yaml", data, rng):
        began = time.process_time()
        done = CliRunner().invoke(app, call, input="g\n" * 10)
        spent_s = time.process_time() - began
        if done.exception is not None and not isinstance(done.exception, SystemExit):
            raise AssertionError(f"seed {seed}: {call}") from done.exception
        assert done.exit_code in (0, 1, 2), (seed, call, done.output)
        assert spent_s < LONGEST_S, (seed, call, spent_s)
        ran += 1
    return ran


@pytest.mark.parametrize("seed", range(25))
def test_a_broken_rig_is_judged_or_refused(seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    try_one(seed, tmp_path)


def main() -> None:
    import os

    first, most = 1000, int(sys.argv[1])
    ran = failed = 0
    for seed in range(first, first + most):
        with tempfile.TemporaryDirectory() as folder:
            os.chdir(folder)
            try:
                ran += try_one(seed, Path(folder))
            except AssertionError as error:
                failed += 1
                cause = error.__cause__
                place = ""
                if cause is not None and cause.__traceback__ is not None:
                    step = cause.__traceback__
                    while step.tb_next is not None:
                        step = step.tb_next
                    place = f" {type(cause).__name__}: {cause} at {step.tb_frame.f_code.co_filename}:{step.tb_lineno}"
                sys.stdout.write(f"{str(error)[:300]}{place}\n")
                sys.stdout.flush()
            os.chdir("/")
    sys.stdout.write(f"{most} rigs, {ran} commands on those that could be read, {failed} failures\n")


if __name__ == "__main__":
    main()
