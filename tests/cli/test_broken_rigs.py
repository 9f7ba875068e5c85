"""Rigs broken at random, through every command: a verdict or a clear refusal, never a defect, never a long wait.

The values of a rig are dropped, doubled, exchanged with each other and replaced by odd ones, so that most of what comes
out still fits the schema and reaches the commands. `PYTHONPATH=tests python tests/cli/test_broken_rigs.py 5000 [SEED]`
tries so many.
"""

from __future__ import annotations

import json
import random
import sys
import tempfile
import time
import traceback
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
    yield [
        "whatif",
        rig,
        "lose",
        lost,
        "--write",
        f"mended-{rng.randrange(10**6)}.yaml",
        "--cure",
        rng.choice(["console", "plugs", "fewest"]),
    ]
    boxes = [name for name in data["devices"] if "box" in name] if isinstance(data.get("devices"), dict) else []
    yield ["whatif", rig, "order", *rng.sample(boxes, len(boxes))] if boxes else ["whatif", rig, "remove", lost]
    yield ["spares", rig, lost, *rng.choice([[], ["--write", f"rescued-{rng.randrange(10**6)}.yaml"]])]
    symptom = rng.choice(["dead", "wrong", "noise", "distorted"])
    keys = "".join(rng.choice("yns") for _ in range(30))
    yield ["hunt", rig, any_of(rng.choice(["sources", "destinations"])), symptom, "--answers", keys]
    yield ["walk", rig, "--by", "R. Adeyemi", "--checklist", rng.choice(["short-walk", "full-walk", "close-down"])]
    yield ["history", ".", "--format", rng.choice(["text", "json", "csv"])]
    yield ["new", f"next-{rng.randrange(10**6)}.yaml", "--from", rig, "--date", "2027-01-03"]
    yield ["rules", "--house", "."]
    yield ["models", "."]


def try_one(seed: int, folder: Path) -> list[tuple[float, list[str]]]:
    """Run every command on one broken rig in the current folder; return each with its seconds, if it could be read."""
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
        return []
    ran = []
    for call in commands("rig.yaml", data, rng):
        began = time.process_time()
        done = CliRunner().invoke(app, call, input="g\n" * 10)
        spent_s = time.process_time() - began
        if done.exception is not None and not isinstance(done.exception, SystemExit):
            raise AssertionError(f"seed {seed}: {call}") from done.exception
        assert done.exit_code in (0, 1, 2), (seed, call, done.output)
        assert spent_s < LONGEST_S, (seed, call, spent_s)
        ran.append((spent_s, call))
    return ran


@pytest.mark.parametrize("seed", range(25))
def test_a_broken_rig_is_judged_or_refused(seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    try_one(seed, tmp_path)


def main() -> None:
    """Try as many as the call says, from a seed on; print each failure, and the slowest command and the memory at the end."""
    import os
    import resource

    most, first = int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1000
    failed, ran, slowest = 0, 0, (0.0, [""])
    for seed in range(first, first + most):
        if (seed - first) % 50 == 49:
            sys.stdout.write(f"{seed - first + 1} rigs, {ran} commands, {failed} failures so far\n")
            sys.stdout.flush()
        with tempfile.TemporaryDirectory() as folder:
            os.chdir(folder)
            try:
                done = try_one(seed, Path(folder))
                ran += len(done)
                slowest = max(slowest, *done, (0.0, [""]))
            except AssertionError as error:
                failed += 1
                sys.stdout.write(f"{str(error)[:300]}{_place(error.__cause__)}\n")
                sys.stdout.flush()
            os.chdir("/")
    memory_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    sys.stdout.write(
        f"{most} rigs, {ran} commands on those that could be read, {failed} failures; the slowest took "
        f"{slowest[0]:.2f} s ({' '.join(slowest[1])}), memory {memory_mb:.0f} MB at most\n"
    )


def _place(cause: BaseException | None) -> str:
    if cause is None or cause.__traceback__ is None:
        return ""
    frame = traceback.extract_tb(cause.__traceback__)[-1]
    return f" {type(cause).__name__}: {cause} at {frame.filename}:{frame.lineno}"


if __name__ == "__main__":
    main()
