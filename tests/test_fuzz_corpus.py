"""What fuzzing found worth keeping, replayed: each input ends quietly and quickly, or the target raises what is wrong.

`tests/fuzz.py` is the fuzzer. An input that failed once and was mended is kept here for good.
"""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from fuzz_targets import TARGETS

CORPUS = Path(__file__).parent / "corpus"
KEPT = [pytest.param(path, id=f"{path.parent.name}/{path.name}") for path in sorted(CORPUS.glob("*/*"))]
LONGEST_S = 2.0


@pytest.fixture(scope="module", autouse=True)
def _made_once() -> None:
    for target in TARGETS.values():
        target(b"")


@pytest.mark.parametrize("path", KEPT)
def test_an_input_of_the_corpus_does_no_harm(path: Path) -> None:
    began = time.process_time()
    TARGETS[path.parent.name](path.read_bytes())
    assert time.process_time() - began < LONGEST_S


def test_the_corpus_is_small_and_has_inputs_for_every_target() -> None:
    sizes = {name: [path.stat().st_size for path in (CORPUS / name).iterdir()] for name in TARGETS}
    assert all(sizes.values())
    assert all(sum(found) < 16 * 1024 for found in sizes.values()), sizes
