"""Fixtures for the rules' tests."""

from __future__ import annotations

from pathlib import Path

import pytest
from example_rigs import Example

from lint.check.catalogue import Catalogue, load_catalogue


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    return load_catalogue()


@pytest.fixture
def example(catalogue: Catalogue) -> Example:
    return Example(catalogue)


@pytest.fixture
def house(catalogue: Catalogue, tmp_path: Path) -> Example:
    """The same with models of the house's own, to be written into `house.house / "models"`."""
    (tmp_path / "models").mkdir()
    return Example(catalogue, tmp_path)
