"""Of a dead socket that is asked about, `spares` keeps apart what the rig file calls dead already."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from lint.cli import app

RIG = """\
rig_format: 1
devices:
  desk: {model: console-32}
  left: {model: stage-box-16x8}
cables: {trunk: {from: desk/link-1, to: left/upstream}}
sources:
  lead: {kind: dynamic-microphone, plugged_into: left/in/1}
  keys: {kind: dynamic-microphone, plugged_into: left/in/2}
  kick: {kind: dynamic-microphone, plugged_into: left/in/3}
channels:
  1: {carries: lead, patched_from: desk/link-1/1}
  2: {carries: keys, patched_from: desk/link-1/2}
  3: {carries: kick, patched_from: desk/link-1/3}
"""


@pytest.mark.parametrize(
    ("dead", "asked", "head"),
    [
        (
            "dead: {left/in/2-3: no signal}\n",
            "left/in/1",
            "The input socket left/in/1 is dead 3 sources lost: lead, keys, kick. By the file already (dead: "
            "left/in/2-3): keys, kick. All",
        ),
        ("", "left/in/1-2", "The input sockets left/in/1-2 are dead 2 sources lost: lead, keys. All"),
        (
            "dead: {left/in/1: hums, left/in/3: hums}\n",
            "left/in/1",
            "The input socket left/in/1 is dead 2 sources lost: lead, kick. By the file already (dead: left/in/3): kick. "
            "All",
        ),
    ],
)
def test_the_head(tmp_path: Path, dead: str, asked: str, head: str) -> None:
    path = tmp_path / "rig.yaml"
    path.write_text(RIG + dead, encoding="utf-8")
    text = " ".join(CliRunner().invoke(app, ["spares", str(path), asked]).output.split())
    assert text.startswith(head)
