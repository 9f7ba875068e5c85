"""Helpers for the commands' tests: the program in a process of its own, and the demo house in a fresh folder."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
Run = Callable[..., subprocess.CompletedProcess[str]]


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The demo house as the current folder's `hall`, so that what is printed has short paths in it."""
    shutil.copytree(ROOT / "lint" / "demo", tmp_path / "hall", ignore=shutil.ignore_patterns("__pycache__"))
    monkeypatch.chdir(tmp_path)
    return tmp_path / "hall"


@pytest.fixture
def run() -> Run:
    """Run the installed command, as a shell would; what it prints goes to pipes."""
    command = Path(sys.executable).parent / "rigwalk"

    def made(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
        known = {key: value for key, value in os.environ.items() if key not in ("NO_COLOR", "FORCE_COLOR")}
        return subprocess.run(
            [str(command), *arguments],
            capture_output=True,
            text=True,
            encoding="utf-8",
            stdin=subprocess.DEVNULL,
            env={**known, "COLUMNS": "80", "PYTHONIOENCODING": "utf-8", **environment},
            check=False,
            timeout=60,
        )

    return made
