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


@pytest.fixture
def grouped(house: Example) -> Example:
    """A model of the house's own with one switch for each four sockets, and one without phantom power."""
    assert house.house is not None
    text = (
        "model_format: 1\nkind: stage-box\ninputs: {{count: 8, {}}}\n"
        "outputs: {{count: 8, addressed: by-selector, selector: [1-8, 9-16]}}\nchain: {{slots: {{48000: 48}}}}\n"
    )
    models = house.house / "models"
    (models / "group-box.yaml").write_text(text.format("phantom: groups, phantom_group_size: 4"))
    (models / "bare-box.yaml").write_text(text.format("phantom: none"))
    return house
