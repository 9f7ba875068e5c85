"""The shape of the code: which way imports go, and how long a file and a function may be."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
LONGEST_FILE = 400
LONGEST_FUNCTION = 50
# What a rule may use of ours: what is upstream of the check, and the check's own words.
FOR_RULES = {"check", "formula", "read", "resolve", "rig", "rules"}
FILES = sorted(path for folder in ("lint", "rules") for path in (ROOT / folder).rglob("*.py"))


def test_imports_go_one_way() -> None:
    """The layers stand in pyproject.toml; import-linter holds every module to them."""
    program = Path(sys.executable).parent / "lint-imports"
    done = subprocess.run([program, "--no-cache"], cwd=ROOT, capture_output=True, encoding="utf-8", check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_a_rule_knows_nothing_of_what_is_made_of_its_findings() -> None:
    for path in (ROOT / "rules").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("lint."):
                assert node.module.split(".")[1] in FOR_RULES, f"{path.name} imports {node.module}"


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_a_file_and_a_function_can_be_taken_in_at_a_look(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.count("\n") <= LONGEST_FILE
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef):
            assert (node.end_lineno or 0) - node.lineno < LONGEST_FUNCTION, node.name
