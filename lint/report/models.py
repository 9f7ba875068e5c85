"""The equipment models that a rig may use: a line each, or as JSON."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence

from lint.read.problem import Problem
from lint.rig.model import Model, model_data

FORMAT = 1


def models_text(models: Mapping[str, Model]) -> str:
    """Return a line a model."""
    width = max(map(len, models))
    return "\n".join(f"{name:{width}}  {model.title}" for name, model in models.items())


def models_json(models: Mapping[str, Model], problems: Sequence[Problem]) -> str:
    """Return the models, and what is wrong with the files of others, by `schemas/models-report.schema.json`."""
    data = {
        "format": FORMAT,
        "models": [{"name": name, "chain": None, **model_data(model)} for name, model in models.items()],
        "problems": [
            {"file": row.file, "line": row.line, "column": row.column, "message": row.message} for row in problems
        ],
    }
    return json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False)
