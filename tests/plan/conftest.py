"""What the planning tests share: the small models, and a rig of data."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from plan_rigs import write_models

from lint.read.document import Document
from lint.read.parse import parse
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import build_rig
from lint.rig.model import Models

Built = Callable[[dict[str, Any]], ResolvedRig]


@pytest.fixture(scope="session")
def models(tmp_path_factory: pytest.TempPathFactory) -> Models:
    folder = tmp_path_factory.mktemp("house")
    write_models(folder)
    return Models(folder)


@pytest.fixture(scope="session")
def built(models: Models) -> Built:
    """Return the resolved rig of data, by way of its text (JSON is YAML)."""

    def made(data: dict[str, Any]) -> ResolvedRig:
        read, marks = parse(json.dumps(data), "rig.yaml")
        return resolve_rig(build_rig(Document(read, marks, ("rig.yaml",), ()), "rig.yaml", models))

    return made
