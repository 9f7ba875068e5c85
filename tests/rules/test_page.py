"""The generated page of the rules is what the rules say today."""

from __future__ import annotations

from pathlib import Path

from lint.check.catalogue import load_catalogue
from lint.report.rules import catalogue_page

PAGE = Path(__file__).parents[2] / "rules" / "README.md"


def test_the_page_is_current() -> None:
    current = catalogue_page(load_catalogue())
    assert PAGE.read_text(encoding="utf-8") == current, "make it anew: rigwalk rules page > rules/README.md"
