"""A hunt that is under way, kept on disk answer by answer: one that was cut off goes on where it was."""

from __future__ import annotations

import hashlib
import json
import os
import time
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from lint.hunt.hunt import Answer, Hunt

STALE_S = 6 * 3600.0  # what was cut off earlier than that was another day's trouble


class Draft:
    """The file of one hunt: of that rig file and about that. What can't be written is not kept, and stops nothing."""

    def __init__(self, folder: Path, about: Sequence[str | None]) -> None:
        """`about` tells one hunt from another: the rig file, what is hunted, the symptom, where, which side."""
        digest = hashlib.sha256(json.dumps(list(about)).encode()).hexdigest()[:12]
        self._path = folder / f"hunt-{digest}.part"

    def keep(self, hunt: Hunt) -> None:
        """Write the answers down, whole or not at all."""
        fresh = self._path.with_suffix(".new")
        with suppress(OSError):
            self._path.parent.mkdir(parents=True, exist_ok=True)
            with fresh.open("w", encoding="utf-8") as target:
                json.dump([list(answer) for answer in hunt.answers], target)
                target.flush()
                os.fsync(target.fileno())
            fresh.replace(self._path)

    def forget(self) -> None:
        """Remove it, and the folder where there is nothing else in it."""
        for path in (self._path, self._path.with_suffix(".new")):
            with suppress(OSError):
                path.unlink(missing_ok=True)
        with suppress(OSError):
            self._path.parent.rmdir()

    def resumed(self, begun: Hunt) -> Hunt:
        """Return the hunt after the answers that were kept, as far as the same questions are asked again."""
        hunt = begun
        for key, said in self._kept():
            if hunt.question is None or hunt.question.key != key:
                break
            hunt = Hunt(hunt.parts, hunt.symptom, hunt.weights, (*hunt.answers, Answer(key, said)), hunt.given)
        return hunt

    def _kept(self) -> list[tuple[str, str]]:
        try:
            if time.time() - self._path.stat().st_mtime > STALE_S:
                return []
            rows = json.loads(self._path.read_text(encoding="utf-8"))
            return [(key, said) for key, said in rows if isinstance(key, str) and said in ("y", "n", "s")]
        except (OSError, ValueError, TypeError):
            return []
