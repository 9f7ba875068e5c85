"""Rigs for the published checks, built by way of the text that a user would write."""

from __future__ import annotations

from pathlib import Path

from lint.read.document import Document
from lint.read.parse import parse
from lint.read.schema import require_valid
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import build_rig
from lint.rig.model import Models

FILE = "rig.yaml"


def resolved(text: str, house: Path | None = None) -> ResolvedRig:
    """Return the resolved rig of a text that fits the schema; `house` is a folder with models of its own."""
    data, marks = parse(text, FILE)
    document = Document(data, marks, (FILE,), ())
    require_valid(document, "rig")
    return resolve_rig(build_rig(document, FILE, Models(house)))


def chain_text(*models: str, console: str = "console-48", rate_hz: int = 48000, rows: str = "") -> str:
    """Return a rig of one console with boxes box-1, box-2 ... chained on its first link, and further rows of devices."""
    devices = "".join(f"  box-{number}: {{model: {model}}}\n" for number, model in enumerate(models, start=1))
    ends = ["desk/link-1", *(f"box-{number}/downstream" for number in range(1, len(models)))]
    cables = "".join(
        f"  cable-{number}: {{from: {end}, to: box-{number}/upstream}}\n" for number, end in enumerate(ends, start=1)
    )
    return (
        f"rig_format: 1\nclock: {{sample_rate_hz: {rate_hz}, leader: desk}}\n"
        f"devices:\n  desk: {{model: {console}}}\n{devices}cables:\n{cables}{rows}"
    )
