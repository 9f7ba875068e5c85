"""`label:Snare` is one word to YAML: said so where it stands, in a week's file as in a whole rig."""

from __future__ import annotations

from pathlib import Path

import pytest

from lint.read.load import load_document
from lint.read.problem import CannotReadError
from lint.read.schema import require_valid

RIG = "rig_format: 1\ndevices: {desk: {model: console-32}}\nchannels: {1: {label: Snare}}\n"


def refused(path: Path) -> str:
    with pytest.raises(CannotReadError) as caught:
        require_valid(load_document(path), "rig")
    (problem,) = caught.value.problems
    return str(problem).removeprefix(str(path))


def test_in_a_weeks_file_it_is_no_removal(tmp_path: Path) -> None:
    (tmp_path / "house.yaml").write_text(RIG, encoding="utf-8")
    week = tmp_path / "week.yaml"
    week.write_text("extends: house.yaml\nchannels: {1: {label:Kick, gain_db: 20}}\n", encoding="utf-8")
    assert refused(week) == ":2:16: found 'label:Kick' as one word, expected a space after the colon: 'label: Kick'"


def test_in_a_whole_rig(tmp_path: Path) -> None:
    rig = tmp_path / "rig.yaml"
    rig.write_text(RIG.replace("label: Snare", "label:Snare"), encoding="utf-8")
    says = ":3:16: channels/1: `label:Snare` is not known here, expected a space after the colon: 'label: Snare'"
    assert refused(rig) == says
