"""A key in braces without a value of its own is a slip of the pen, never a removal: said where it stands."""

from __future__ import annotations

import pytest

from lint.read.parse import parse
from lint.read.problem import CannotReadError


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            "{label:Snare, gain_db: 2}",
            "1:2: found 'label:Snare' alone, expected a space after the colon: 'label: Snare'",
        ),
        ("{carrier_mhz: 606,5}", "1:19: found '5' alone, expected a decimal point: 606.5"),
        ("{gain_db: 2,5, pan: left}", "1:13: found '5' alone, expected a decimal point: 2.5"),
        ("{label: Snare, pan}", "1:16: found 'pan' alone, expected a key with its value: 'pan: ...'"),
        ('{label: Snare, "pan"}', "1:16: found 'pan' alone, expected a key with its value: 'pan: ...'"),
    ],
)
def test_a_key_alone_is_refused(text: str, says: str) -> None:
    with pytest.raises(CannotReadError) as caught:
        parse(text, "rig.yaml")
    assert [str(problem) for problem in caught.value.problems] == [f"rig.yaml:{says}"]


@pytest.mark.parametrize(
    "text", ["{pan: null}", "{pan: ~}", "{pan: }", "{pan: , label: a}", "pan:", "a:\n  pan:\n  b: 1"]
)
def test_a_null_that_is_written_stays_a_removal(text: str) -> None:
    data, _ = parse(text, "rig.yaml")
    assert data in ({"pan": None}, {"pan": None, "label": "a"}, {"a": {"pan": None, "b": 1}})
