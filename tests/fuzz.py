"""Fuzzing led by coverage, with atheris (not among the test extras: `pip install atheris`).

`python tests/fuzz.py TARGET [--runs N] [--seconds N] [--corpus FOLDER]`: the targets are those of `fuzz_targets.py`.
It goes on after a failure, leaves one input for each place in the code that failed in FOLDER/TARGET-failed, and what
reached something new in FOLDER/TARGET.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import time
import traceback
from collections.abc import Callable
from pathlib import Path

import atheris
from atheris.import_hook import HookManager

# What of rigwalk leads each target: coverage of the rest would take time and lead away from what the target is for.
LED_BY = {
    "reader": ("lint.read", "lint.rig", "lint.resolve"),
    "schemas": ("lint.read",),
    "rules": ("lint.rig", "lint.resolve", "lint.check", "lint.rules"),
    "lists": ("lint.start",),
    "templates": ("lint.walk",),
    "records": ("lint.record", "lint.walk.session", "lint.walk.state", "lint.cli.history", "lint.report"),
}


def led_by(target: str) -> HookManager:
    """Return what watches the modules that lead a target; atheris' own choice knows whole packages only."""
    root = Path(__file__).parents[1]
    names = [".".join(path.relative_to(root).with_suffix("").parts) for path in (root / "lint").rglob("*.py")]
    names += [
        f"lint.{'.'.join(path.relative_to(root).with_suffix('').parts)}" for path in (root / "rules").glob("*.py")
    ]
    away = [name.removesuffix(".__init__") for name in names if not name.startswith(LED_BY.get(target, ("lint",)))]
    return atheris.instrument_imports(include=["lint"], exclude=away)


with led_by(next(iter(sys.argv[1:]), "")):
    import fuzz_targets

KEPT = Path(__file__).parent / "corpus"
LONGEST_S, MOST_MB, LONGEST_BYTES = 2.0, 500, 4096


def kept(target: Callable[[bytes], None], failed: Path) -> Callable[[bytes], None]:
    """Return the target with each kind of failure written down once."""
    failed.mkdir(parents=True, exist_ok=True)
    seen: set[str] = set()

    def run(raw: bytes) -> None:
        began = time.process_time()
        try:
            target(raw)
            assert time.process_time() - began < LONGEST_S, "slow"
        except Exception as error:
            place = traceback.extract_tb(error.__traceback__)[-1]
            name = f"{type(error).__name__}-{Path(place.filename).stem}-{place.lineno}"
            if name not in seen:
                seen.add(name)
                (failed / name).write_bytes(raw)
                (failed / f"{name}.txt").write_text(traceback.format_exc(), encoding="utf-8", errors="replace")

    return run


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("target", choices=sorted(fuzz_targets.TARGETS))
    words.add_argument("--runs", type=int, default=1_000_000)
    words.add_argument("--seconds", type=int, default=0)
    words.add_argument("--corpus", type=Path, default=Path("/tmp/rigwalk-fuzz"))
    wanted = words.parse_args()
    found = wanted.corpus / wanted.target
    found.mkdir(parents=True, exist_ok=True)
    for path in (KEPT / wanted.target).iterdir():
        shutil.copy(path, found)
    settings = [
        f"-runs={wanted.runs}", f"-max_total_time={wanted.seconds}", f"-max_len={LONGEST_BYTES}", "-timeout=120",
        f"-rss_limit_mb={MOST_MB}", f"-artifact_prefix={wanted.corpus / wanted.target}-", "-print_final_stats=1",
    ]  # fmt: skip
    target = fuzz_targets.TARGETS[wanted.target]
    target(b"")  # what is made once is no part of any run's time
    atheris.Setup([sys.argv[0], *settings, str(found)], kept(target, wanted.corpus / f"{wanted.target}-failed"))
    atheris.Fuzz()


if __name__ == "__main__":
    main()
